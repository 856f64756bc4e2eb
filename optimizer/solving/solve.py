"""The main question: the cheapest complete kit for a site."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from optimizer import __version__
from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.errors import Defect
from optimizer.instance import Instance, build_instance
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site
from optimizer.solving import cpsat, highs
from optimizer.solving.answer import Answer, Provenance, Reason, Status
from optimizer.solving.assemble import assemble
from optimizer.solving.assumptions import assumptions
from optimizer.solving.cautions import cautions
from optimizer.solving.layout import Layout, lay_out
from optimizer.solving.purchase import tax_on
from optimizer.solving.reasons import reasons
from optimizer.solving.search import Found, minimise
from optimizer.solving.ties import settle
from optimizer.units import money_text

Progress = Callable[[str], None]


@dataclass(frozen=True)
class _Result:
    draft: Draft
    found: Found
    layout: Layout | None
    values: tuple[int, ...] | None
    ties: str = ""


def solve_site(
    site: Site,
    book: LoadedBook,
    seconds: float = 60,
    site_sha256: str = "",
    progress: Progress | None = None,
) -> Answer:
    """Find the cheapest complete kit, prove it, lay it out and have it audited.

    Parameters
    ----------
    seconds : float
        Time limit for the search; what is proven by then is said.

    Raises
    ------
    Defect
        If the audit finds fault with the design, or two solvers contradict each other.
    """
    say = progress or (lambda _: None)
    deadline = time.monotonic() + seconds
    instance = build_instance(site, book)
    provenance = Provenance(
        site_sha256=site_sha256, book_sha256=book.sha256, version=__version__, solver=""
    )
    impossible = reasons(instance)
    if not instance.recorders or any(not z.candidates for z in instance.zones):
        proof = provenance.model_copy(update={"solver": "no search was needed: tables alone"})
        return _without(site, book, "unmeetable", impossible, proof)
    result = _search(instance, deadline, say)
    found = result.found
    if found.status == "infeasible":
        return _unmeetable(site, book, result, impossible, provenance, deadline, say)
    if result.values is None or result.layout is None:
        solver = f"{cpsat.VERSION}, time ran out"
        undecided = provenance.model_copy(update={"solver": solver})
        return _without(site, book, "undecided", impossible, undecided)
    design = assemble(result.draft, result.values, result.layout)
    _inspect(site, book, design)
    return _answer(site, book, design, result, provenance)


def _search(instance: Instance, deadline: float, say: Progress) -> _Result:
    """Solve pooled, lay out, and spell out what could not be laid out, until all fits."""
    spelt: set[str] = set()
    while True:
        draft = build(instance, spelt)
        found = minimise(draft, max(deadline - time.monotonic(), 0.1), say)
        if found.values is None:
            return _Result(draft, found, None, None)
        values, ties = found.values, "not settled: the price itself is not proven"
        layout = lay_out(draft, values)
        if found.status == "optimal" and not layout.failed:
            say("settling ties")
            settled = settle(draft, values, max(deadline - time.monotonic(), 1.0))
            preferred = lay_out(draft, settled.values)
            if not preferred.failed:
                values, layout = settled.values, preferred
                ties = "settled" if settled.proven else "not settled to the end"
            else:
                layout = preferred
        if not layout.failed:
            return _Result(draft, found, layout, values, ties)
        if time.monotonic() > deadline:
            return _Result(draft, Found("unknown", None, None, found.bound), None, None)
        say(f"spelling out {', '.join(sorted(layout.failed))}")
        if spelt >= set(layout.failed):
            raise Defect(f"{layout.failed[0]} is spelt out and still cannot be laid out")
        spelt |= set(layout.failed)


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
    result: _Result,
    provenance: Provenance,
) -> Answer:
    found = result.found
    net = found.objective or 0
    bound = net if found.status == "optimal" else (found.bound or 0)
    total, lower = net + tax_on(net, site.money.tax), bound + tax_on(bound, site.money.tax)
    status: Status = "optimal" if found.status == "optimal" else "feasible"
    solver = f"{cpsat.VERSION}, linear bounds by {highs.VERSION}"
    parts = {name: getattr(design, name) for name in Design.model_fields}
    return Answer(
        site=site.name,
        status=status,
        lower_bound=money_text(lower),
        gap=0.0 if status == "optimal" else round((total - lower) / max(total, 1), 6),
        assumptions=assumptions(site, book, design),
        cautions=cautions(site, book.items, design),
        provenance=provenance.model_copy(update={"solver": solver, "ties": result.ties}),
        **parts,
    )


def _unmeetable(
    site: Site,
    book: LoadedBook,
    result: _Result,
    impossible: tuple[Reason, ...],
    provenance: Provenance,
    deadline: float,
    say: Progress,
) -> Answer:
    """Have a second solver confirm that nothing is left, before anybody reads it."""
    say("confirming with a second solver")
    second = highs.solve(result.draft.program, max(deadline - time.monotonic(), 10.0))
    if second.values is not None:
        raise Defect("one solver proves the site unmeetable, the other finds a design")
    confirmed = second.status == "infeasible"
    words = f"{cpsat.VERSION}, " + (
        f"confirmed by {highs.VERSION}"
        if confirmed
        else f"not confirmed by {highs.VERSION} in time"
    )
    status: Status = "unmeetable" if confirmed else "undecided"
    return _without(site, book, status, impossible, provenance.model_copy(update={"solver": words}))


def _without(
    site: Site,
    book: LoadedBook,
    status: Status,
    impossible: tuple[Reason, ...],
    provenance: Provenance,
) -> Answer:
    return Answer(
        site=site.name,
        status=status,
        currency=site.money.currency,
        reasons=impossible,
        assumptions=assumptions(site, book, None),
        cautions=cautions(site, book.items, None),
        provenance=provenance,
    )
