"""What a choice of views is weighed by: cameras, their prices, or what the whole would pay."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.instance import Instance
from optimizer.solving.case import Case
from optimizer.solving.placing import Floor, on_mounts, weight_of


def ones(instance: Instance) -> dict[tuple[int, int], int]:
    """Each camera on a mount alike."""
    return dict.fromkeys(on_mounts(instance), 1)


def prices(instance: Instance) -> dict[tuple[int, int], int]:
    """What each camera on a mount costs. [hundredth]"""
    return {key: weight_of(instance, key) for key in on_mounts(instance)}


def worth(instance: Instance, case: Case, floors: Sequence[Floor]) -> dict[tuple[int, int], int]:
    """What the relaxation would pay for a view of a lens that does a duty on a mount.

    These are the prices of the rows that tie cameras to aims, with what the floors pay: among all
    weights those for which the least weight of views lifts the bound of the whole most, were views
    as divisible as in the relaxation. Any weights >= 0 would be right.
    """
    paid = dict(
        zip(
            (row.name for row in case.shrunk.program.rows),
            case.trees[0].relaxer.row_prices(),
            strict=False,
        )
    )
    out = {}
    for key in on_mounts(instance):
        candidate = instance.zones[key[0]].candidates[key[1]]
        name = f"aim/{instance.zones[key[0]].name}/{candidate.lens}.{candidate.duty}"
        total = -paid.get(name, 0.0)
        for floor in floors:
            total += paid.get(floor.row, 0.0) * floor.weights[key]
        out[key] = max(0, round(total))
    return out


__all__ = ["ones", "prices", "worth"]
