"""That a site has no design, proven more than once: by two different solvers, by a certificate.

Each proof is about the same program, and none of them knows of the others. Where the program is a
relaxation that has a solution which cannot be laid out, what could not be is spelt out first.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

from optimizer.errors import Defect
from optimizer.explaining.certificate import Certificate, certify_site
from optimizer.instance import Instance, build_instance
from optimizer.model import Program, build
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving import cpsat, highs
from optimizer.solving.pursue import pursue

CERTIFICATE = "a certificate, checked without a solver"
_LEAST = 1.0
"""Time that each proof is given in any case. [s]"""


@dataclass(frozen=True)
class Confirmed:
    """Who proved that a site has no design.

    Attributes
    ----------
    by : tuple of str
        Solvers, and the certificate.
    program : Program or None
        The program that it is about.
    certificate : Certificate or None
    """

    by: tuple[str, ...]
    program: Program | None = None
    certificate: Certificate | None = None

    @property
    def enough(self) -> bool:
        """Whether it may be shown: two different solvers agree, or there is a certificate."""
        return self.certificate is not None or len(self.by) > 1

    @property
    def words(self) -> str:
        """How far it is proven: never more than is so."""
        solvers = len(self.by) - (self.certificate is not None)
        if self.certificate is not None:
            agree = ("", ", one solver agrees", ", two solvers agree")[solvers]
            return f"proven by a certificate that anybody can check{agree}"
        if solvers > 1:
            return "proven by two solvers, no certificate"
        return "undecided: not confirmed by a second solver in the time given"


def confirm(
    site: Site,
    book: LoadedBook,
    deadline: float,
    *,
    certificate: float = 0.0,
    below: int | None = None,
) -> Confirmed:
    """Have it proven that a site has no design, or none below a price.

    Parameters
    ----------
    deadline : float
        On the clock of ``time.monotonic``. [s]
    certificate : float
        Time to look for a certificate; none by default. [s]
    below : int, optional
        Prove that no design costs less than this. [hundredth, net]

    Raises
    ------
    Defect
        If one solver finds a design where another proves that there is none.
    """
    # On a plan there is none only if there is none where a cell counts that might be seen.
    instance = build_instance(site, book, sure=not site.areas)
    if instance.viewing is not None:
        from optimizer.solving.unseeable import others_agree

        if not others_agree(instance):
            raise Defect("two ways to cast shadows disagree on what no mount has in sight")
    by: list[str] = []
    program = _without_solution(instance, deadline, below)
    if program is not None:
        by.append(cpsat.VERSION)
        if highs.has_no_solution(program, max(deadline - time.monotonic(), _LEAST)):
            by.append(highs.VERSION)
    # Where the second solver says nothing (it takes a program without variables for no program at
    # all), a certificate is the better witness anyway.
    seconds = max(certificate, _LEAST) if program is not None and len(by) < 2 else certificate
    found = certify_site(instance, seconds, below) if seconds > 0 else None
    if found is None:
        return Confirmed(tuple(by), program)
    return Confirmed((*by, CERTIFICATE), *found)


def _without_solution(instance: Instance, deadline: float, below: int | None) -> Program | None:
    """A program of the site that CP-SAT proves to have no solution, spelt out as far as needed."""
    program = limited(build(instance).program, below)
    first = cpsat.CpSat(program).solve(max(deadline - time.monotonic(), _LEAST), first=True)
    if first.status == "infeasible":
        return program
    if first.values is None:
        return None
    # The program allows more than a kit: what cannot be laid out is spelt out by the search.
    result = pursue(instance, deadline, _quiet, below=below, ties=False)
    if result.found.values is not None and result.layout is not None:
        raise Defect("a site with a design is called unmeetable")
    if result.found.status != "infeasible":
        return None
    program = limited(result.draft.program, below)
    first = cpsat.CpSat(program).solve(max(deadline - time.monotonic(), _LEAST), first=True)
    if first.values is not None:
        raise Defect("the search proves a site unmeetable, CP-SAT finds a design")
    return program if first.status == "infeasible" else None


def limited(program: Program, below: int | None) -> Program:
    """The program with only solutions that cost less than a price. [hundredth, net]"""
    if below is not None:
        terms = [(i, k) for i, k in enumerate(program.cost) if k]
        program.row("price", ["price"], terms, hi=below - 1)
    return program


def _quiet(_words: str) -> None:
    """Progress of a confirmation is not told."""


__all__ = ["CERTIFICATE", "Confirmed", "confirm", "limited"]
