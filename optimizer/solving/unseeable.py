"""Ground that no camera can show as asked, seen with other eyes before a verdict rests on it."""

from __future__ import annotations

import shapely

from optimizer.audit.ground import in_sight
from optimizer.instance import Instance
from optimizer.plan.unseeable import lost

_SAME = 1e-6
"""Share of a zone on which the two may differ, by rounding."""


def others_agree(instance: Instance) -> bool:
    """Whether the audit, too, finds ground out of sight that was taken out of what may be seen.

    The audit casts its shadows by itself, ray by ray; it shares no code with the preparation.
    """
    viewing = instance.viewing
    if viewing is None:
        return True
    scene = viewing.prepared.scene
    zones = {zone.id: zone for zone in instance.site.areas}
    for area in scene.areas:
        gone = lost(scene, area).whole
        seen = in_sight(instance.site, zones[area.id])
        if shapely.intersection(gone, seen).area > _SAME * shapely.Polygon(area.outline).area:
            return False
    return True


__all__ = ["others_agree"]
