"""A conflict on a plan told as an argument: what can be seen at best, and what hides the rest."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.errors import listed
from optimizer.instance import Instance
from optimizer.solving.proof import ArgumentStep
from optimizer.solving.reasons import unseen

GEOMETRY = "plan: shadows of walls, reach and width of lenses, however they are aimed"
_MOST_NAMED = 6


def plan_steps(instance: Instance) -> Iterator[ArgumentStep]:
    """What is seen at best of the zones that are asked, where that is too little.

    Parameters
    ----------
    instance : Instance
        In which a cell counts as seen if any spot of it might be.
    """
    for reason in unseen(instance):
        place, _, quantity = reason.place.partition("/")
        if place.startswith("mounts."):
            names = [i for t in instance.zones if t.optional for i, _ in t.refusals]
            origin = f"book: {listed(dict.fromkeys(names), _MOST_NAMED)}"
            of = reason.place
        else:
            origin, of = GEOMETRY, f"{place}/share" if quantity == "seen" else reason.place
        name = place.partition(".")[2]
        yield ArgumentStep(text=f"{name}: {reason.limit}.", requirements=(of,), origin=origin)


def searched(instance: Instance) -> ArgumentStep:
    """What is left to say where no single zone shows it."""
    mounts = sum(table.optional for table in instance.zones)
    return ArgumentStep(
        text=f"No choice of cameras on the {mounts} mounts does, though a spot counts as seen here "
        "wherever any lens might show it.",
        requirements=(),
        origin="proven by the search",
    )


__all__ = ["plan_steps", "searched"]
