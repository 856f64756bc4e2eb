"""How long it takes to say why a site cannot be met, and what helps, beside the first solve.

Each site is one of the sites of a size with one thing asked too much: too long kept at one zone,
too much detail at one zone, or too little money for all of them.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import closing
from typing import Any, Final, TypedDict, TypeVar

T = TypeVar("T")
SIZES = "6,16,64"
KINDS = "network,coax,all"
QUARRELS: Final = ("retention", "detail", "money")

_TOO_MUCH: Final[dict[str, dict[str, str]]] = {
    "retention": {"retention": "3650 days", "bit_rate": "8 Mbit/s", "recorded": "24 h"},
    "detail": {"detail": "5000 px/m"},
}
_SHARE_OF_BOUND = 0.9
"""Of what no kit is proven to cost less than: a budget so low is surely too low."""


class Proved(TypedDict):
    """Seconds, unless said.

    Attributes
    ----------
    first : float
        Until it is known that the site cannot be met.
    reasons, busy : float
        Conflict and ways out; time that this took of the cores.
    members, ways : int
        Members of the first conflict; ways out that were found.
    complete : bool
        Whether the list of ways out is complete.
    asked, solves, carried, largest : int
        Questions, relaxations and searches, questions that a known design answered, variables of
        the largest program.
    certificate : float
        Until the certificate of the whole site; its cases and bytes, 0 where none was found.
    """

    kind: str
    cameras: int
    quarrel: str
    status: str
    first: float
    reasons: float
    busy: float
    members: int
    ways: int
    complete: bool
    asked: int
    solves: int
    carried: int
    largest: int
    certificate: float
    cases: int
    bytes: int


def unmeetable(kind: str, cameras: int, quarrel: str) -> dict[str, Any]:
    """A site file of so many zones that asks for too much."""
    from benchmarks.sites import written
    from optimizer.instance import build_instance
    from optimizer.model import build
    from optimizer.pricebook import load_book
    from optimizer.site.schema import Site
    from optimizer.solving import highs

    data = written(kind, cameras)
    if quarrel != "money":
        data["zones"][0].update(_TOO_MUCH[quarrel])
        return data
    program = build(build_instance(Site.model_validate(data), load_book())).program
    relaxed = highs.relax(program, 60.0)
    assert relaxed is not None
    data["money"].update(
        budget=f"{_SHARE_OF_BOUND * relaxed.value / 100:.2f}", budget_includes_tax=False
    )
    return data


def proved(kind: str, cameras: int, quarrel: str, seconds: float) -> Proved:
    """Measure one site; the first solve, the reasons and the certificate may each take so long."""
    from optimizer import questions
    from optimizer.explaining.asking import Asker
    from optimizer.explaining.certificate import certify_site
    from optimizer.explaining.holding import Holding
    from optimizer.explaining.standing import Wanted, stand
    from optimizer.instance import build_instance
    from optimizer.pricebook import load_book
    from optimizer.reading import Source
    from optimizer.site import LoadedSite
    from optimizer.site.schema import Site
    from optimizer.solving.export import mps

    data = unmeetable(kind, cameras, quarrel)
    asked = LoadedSite(Site.model_validate(data), Source("benchmark", data, {}, ""))
    book = load_book()
    answer, first = _timed(lambda: questions.solve(asked, book, seconds))
    begun, before = time.monotonic(), time.process_time()
    with closing(Asker(book, begun + seconds, lambda _: None)) as asker:
        holding = Holding(asked, book, asker)
        standing, reasons = _timed(
            lambda: stand(holding, Wanted(), lambda share: begun + share * seconds, lambda _: None)
        )
    busy = time.process_time() - before
    found, certified = _timed(lambda: certify_site(build_instance(asked.site, book), seconds))
    effort, conflicts = holding.decider.effort, standing.quarrels.conflicts
    proof = "" if found is None else found[1].text(mps(found[0], {}))
    return {
        "kind": kind,
        "cameras": cameras,
        "quarrel": quarrel,
        "status": answer.status,
        "first": first,
        "reasons": reasons,
        "busy": busy,
        "members": len(conflicts[0].members) if conflicts else 0,
        "ways": len(standing.ways.found),
        "complete": standing.ways.complete,
        "asked": effort.asked,
        "solves": effort.solves,
        "carried": effort.carried,
        "largest": effort.largest,
        "certificate": certified,
        "cases": 0 if found is None else 1 + proof.count("\nif "),
        "bytes": len(proof),
    }


def _timed(work: Callable[[], T]) -> tuple[T, float]:
    start = time.perf_counter()
    return work(), time.perf_counter() - start


def rows(found: Proved) -> tuple[str, ...]:
    """One line of the table."""
    first = found["first"]
    made = found["bytes"] > 0
    return (
        str(found["cameras"]),
        found["kind"],
        found["quarrel"],
        found["status"],
        f"{first:.2f}",
        f"{found['reasons']:.2f}",
        f"{found['busy']:.2f}",
        f"{found['reasons'] / first:.1f}",
        str(found["members"]) if found["members"] else "-",
        f"{found['ways']}{'' if found['complete'] else ' of ?'}",
        str(found["asked"]),
        str(found["carried"]),
        str(found["solves"]),
        f"{found['largest']:,}",
        f"{found['certificate']:.2f}" if made else f"> {found['certificate']:.2f}",
        f"{found['certificate'] / first:.1f}" if made else "-",
        f"{found['cases']:,}" if made else "-",
        f"{found['bytes'] / 1000:,.1f}" if made else "-",
    )


COLUMNS = (
    "zones",
    "kind",
    "too much",
    "status",
    "first solve s",
    "conflict and ways s",
    "busy s",
    "/ first",
    "members",
    "ways out",
    "asked",
    "carried",
    "solves",
    "variables",
    "certificate s",
    "/ first",
    "cases",
    "kB",
)
