"""The main question: the cheapest complete kit for a site."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from optimizer import __version__
from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.instance import Instance, Memory, build_instance
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving import cpsat, highs
from optimizer.solving.answer import Answer, Provenance, Reason, Status, Undecided
from optimizer.solving.assemble import assemble
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions
from optimizer.solving.purchase import tax_on
from optimizer.solving.pursue import Pursuit, pursue
from optimizer.solving.reasons import reasons, unseen
from optimizer.units import money_text

if TYPE_CHECKING:
    from optimizer.solving.closing import Closed
    from optimizer.solving.shapes import Shapes

Progress = Callable[[str], None]
_TABLES_SHARE = 0.4
_EXACT_SHARE = 0.15
"""Of the time, for what exact shapes might save beyond whole cells."""

_NO_KIT_SHARE = 0.6
"""Of the time that is left, for the same where cells show no kit at all."""

_WHOLE_SECONDS = 3.0
_LEAST_SECONDS = 10.0
_CPSAT_SHARE = 0.3
_BETWEEN = (
    "no choice of views surely does, yet some aim might: cells, focal lengths and tilts that are "
    "looked at are not fine enough to tell"
)


def solve_site(
    site: Site,
    book: LoadedBook,
    seconds: float = 60,
    site_sha256: str = "",
    progress: Progress | None = None,
    certify: Callable[[Instance, float], bool] | None = None,
) -> Answer:
    """Find the cheapest complete kit, prove it, lay it out and have it audited.

    Parameters
    ----------
    seconds : float
        Time limit for the search; what is proven by then is said.
    certify : callable, optional
        Looks for an exact certificate that there is no kit, for so many seconds: asked where no
        second solver confirms it in time.

    Raises
    ------
    Defect
        If the audit finds fault with the design, or two solvers contradict each other.
    """
    say = progress or (lambda _: None)
    begun = time.monotonic()
    deadline = begun + seconds
    memory = Memory()
    instance = build_instance(site, book, memory=memory, until=begun + _TABLES_SHARE * seconds)
    provenance = Provenance(
        site_sha256=site_sha256, book_sha256=book.sha256, version=__version__, solver=""
    )
    impossible = reasons(instance)
    if not instance.recorders or instance.lacks_candidates:
        proof = provenance.model_copy(update={"solver": "no search was needed: tables alone"})
        return _without(site, book, "unmeetable", impossible, proof)
    result, closed = _searched(instance, memory, deadline, say)
    found = result.found
    if found.status == "infeasible" and instance.viewing is not None:
        # Only what cannot be however the cameras are aimed is unmeetable.
        instance = build_instance(site, book, sure=False)
        impossible = (*impossible, *unseen(instance))
        result = pursue(instance, deadline, say, below=None, ties=False)
        if result.found.status != "infeasible":
            why = _why_undecided(result, closed)
            undecided = provenance.model_copy(update={"solver": f"{cpsat.VERSION}; {_BETWEEN}"})
            return _without(site, book, "undecided", impossible, undecided, why)
    if found.status == "infeasible":
        return _unmeetable(site, book, result, impossible, provenance, deadline, say, certify)
    if found.values is None or result.layout is None:
        solver = f"{cpsat.VERSION}, time ran out"
        undecided = provenance.model_copy(update={"solver": solver})
        return _without(site, book, "undecided", impossible, undecided)
    design = assemble(result.draft, found.values, result.layout)
    _inspect(site, book, design)
    over = "" if instance.viewing is None else instance.viewing.over
    # A bound of nothing says nothing.
    exact = (closed.bound or None) if closed is not None else None
    return _answer(site, book, design, result, provenance, over, exact)


def _searched(
    instance: Instance, memory: Memory, deadline: float, say: Progress
) -> tuple[Pursuit, Closed | None]:
    """The cheapest kit, and on a plan what is known of it by exact shapes."""
    shapes = _by_shapes(instance, say)
    if shapes is None:
        return pursue(instance, deadline, say), None
    begun = time.monotonic()
    result = pursue(instance, deadline, say, lighter=shapes.lighter)
    if result.found.values is None and result.found.status != "infeasible":
        return result, None
    from optimizer.solving.closing import close, joined

    known = None if result.found.values is None else result
    until = min(deadline, time.monotonic() + _EXACT_SHARE * (deadline - begun))
    if known is None:
        # Where cells show no kit, nothing else is left to do but to look at their shapes.
        until = time.monotonic() + _NO_KIT_SHARE * (deadline - time.monotonic())
    closed = close(shapes, known, memory, until)
    return joined(result, closed), closed


def _why_undecided(result: Pursuit, closed: Closed | None) -> Undecided:
    """Why a site with a plan may have a kit though none is known, by what was looked at last."""
    if closed is None or closed.open == "time" or result.found.values is None:
        return "time"
    return closed.open or "settings"


def _by_shapes(instance: Instance, say: Progress) -> Shapes | None:
    """Who looks at exact shapes; None for a site without a plan."""
    if instance.viewing is None:
        return None
    # Geometry is loaded for sites with a plan only.
    from optimizer.solving.shapes import Shapes

    return Shapes(instance, say)


def _inspect(site: Site, book: LoadedBook, design: Design) -> None:
    faults = audit_design(site, book.items, book.book.offers, design)
    if faults:
        first = faults[0]
        raise Defect(
            f"the audit refuses the design ({len(faults)} findings): "
            f"{first.rule}, {first.place}: {first.text}"
        )


def _answer(
    site: Site,
    book: LoadedBook,
    design: Design,
    result: Pursuit,
    provenance: Provenance,
    over: str,
    exact: int | None,
) -> Answer:
    found = result.found
    net = found.objective or 0
    bound = net if found.status == "optimal" else (found.bound or 0)
    total, lower = net + tax_on(net, site.money.tax), bound + tax_on(bound, site.money.tax)
    status: Status = "optimal" if found.status == "optimal" else "feasible"
    solver = f"{cpsat.VERSION}, linear bounds by {highs.VERSION}"
    parts = {name: getattr(design, name) for name in Design.model_fields}
    least = None
    if over:
        from optimizer.solving.shapes import BY_SHAPES, exactly

        least = None if exact is None else money_text(exact + tax_on(exact, site.money.tax))
        over += BY_SHAPES + exactly(money_text(total), least)
    return Answer(
        site=site.name,
        status=status,
        lower_bound=money_text(lower),
        gap=0.0 if status == "optimal" else round((total - lower) / max(total, 1), 6),
        assumptions=assumptions(site, book, design),
        cautions=cautions(site, book.items, design),
        provenance=provenance.model_copy(update={"solver": solver, "ties": result.ties}),
        over=over,
        bound_by_shapes=least,
        **parts,
    )


def _unmeetable(
    site: Site,
    book: LoadedBook,
    result: Pursuit,
    impossible: tuple[Reason, ...],
    provenance: Provenance,
    deadline: float,
    say: Progress,
    certify: Callable[[Instance, float], bool] | None,
) -> Answer:
    """Have it confirmed that nothing is left, before anybody reads it."""
    say("confirming with both solvers")
    if result.draft.instance.viewing is not None:
        from optimizer.solving.unseeable import others_agree

        if not others_agree(result.draft.instance):
            raise Defect("two ways to cast shadows disagree on what no mount has in sight")
    program = result.draft.program
    left = max(deadline - time.monotonic(), _LEAST_SECONDS)
    share = 1.0 if certify is None else _CPSAT_SHARE
    first = cpsat.CpSat(program).solve(share * left, first=True)
    if first.values is not None:
        raise Defect("the search proves the site unmeetable, CP-SAT finds a design")
    # The search rests on HiGHS's bounds; CP-SAT alone on the whole program is the second proof.
    confirmed = first.status == "infeasible"
    whole = confirmed and highs.has_no_solution(program, _WHOLE_SECONDS)
    second_word = "confirmed by" if whole else "not confirmed on the whole program in time by"
    words = f"{cpsat.VERSION}, {second_word} {highs.VERSION}"
    if not confirmed and certify is not None:
        say("looking for a certificate")
        left = max(deadline - time.monotonic(), _LEAST_SECONDS)
        confirmed = certify(result.draft.instance, left)
        words = f"{highs.VERSION} and {cpsat.VERSION}, confirmed by an exact certificate"
    status: Status = "unmeetable" if confirmed else "undecided"
    return _without(site, book, status, impossible, provenance.model_copy(update={"solver": words}))


def _without(
    site: Site,
    book: LoadedBook,
    status: Status,
    impossible: tuple[Reason, ...],
    provenance: Provenance,
    why: Undecided = "time",
) -> Answer:
    return Answer(
        site=site.name,
        status=status,
        undecided_by=why if status == "undecided" else "",
        currency=site.money.currency,
        reasons=impossible,
        assumptions=assumptions(site, book, None),
        cautions=cautions(site, book.items, None),
        provenance=provenance,
    )
