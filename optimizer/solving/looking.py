"""What the cameras of a design see of the plan zones, by their exact shapes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from optimizer import design as plain
from optimizer.errors import Defect
from optimizer.instance.tables import Aim, Viewing
from optimizer.plan.pinhole import axes, density
from optimizer.plan.prepared import Prepared
from optimizer.plan.shares import Aimed, seen, seen_ground
from optimizer.solving.choices import CameraChoice
from optimizer.units import shown_px_m


def seen_zones(prepared: Prepared, cameras: Sequence[CameraChoice]) -> tuple[plain.Seen, ...]:
    """The share of each zone that is seen, and where it is seen worst.

    Parameters
    ----------
    prepared : Prepared
        Its lenses hold those of the cameras.
    cameras : sequence of CameraChoice
        Of which those on mounts count.
    """
    lenses = {(mount, lens.key): lens for mount, some in prepared.lenses.items() for lens in some}
    aimed = [
        Aimed(
            choice.zone.id,
            lenses[choice.zone.id, choice.aim.lens],
            choice.aim.view.focal_mm,
            choice.aim.view.pan_deg,
            choice.aim.view.tilt_deg,
            choice.serves,
        )
        for choice in cameras
        if choice.aim is not None
    ]
    asked = {area.id: area.share for area in prepared.scene.areas}
    found = []
    for one in seen(prepared.scene, aimed):
        if one.worst_px_m is None or one.worst_at is None:
            raise Defect(f"the cameras see nothing of zone {one.area_id}")
        found.append(
            plain.Seen(
                zone=one.area_id,
                share=round(one.share, 6),
                asked=asked[one.area_id],
                px_per_m=shown_px_m(one.worst_px_m, 2),
                at=(round(one.worst_at[0], 3), round(one.worst_at[1], 3)),
            )
        )
    return tuple(found)


def worst_of(viewing: Viewing, aim: Aim, zone: str) -> float:
    """Least density at a spot of a zone that an aim counts for. [px/m]

    That is, over its cells, or over the ground that it sees where that is what counts.
    """
    prepared, view = viewing.prepared, aim.view
    mount = next(m for m in prepared.scene.mounts if m.id == view.mount_id)
    area = next(a for a in prepared.scene.areas if a.id == zone)
    lens = next(x for x in prepared.lenses[mount.id] if x.key == view.lens_key)
    axis = axes(view.pan_deg, view.tilt_deg)[0]
    if viewing.fixed:
        aimed = Aimed(mount.id, lens, view.focal_mm, view.pan_deg, view.tilt_deg, (zone,))
        corners = shapely.get_coordinates(seen_ground(prepared.scene, aimed, area))
    else:
        corners = np.concatenate(
            [
                shapely.get_coordinates(prepared.cells[c].polygon)
                for c in aim.cells.tolist()
                if prepared.cells[c].area_id == zone
            ]
        )
    flat = (corners - np.array(mount.at)) @ axis[:2]
    lifts = np.array([area.low_m, area.high_m]) - mount.height_m
    depth = float(flat.max() + (axis[2] * lifts).max())
    return float(density(lens, view.focal_mm, depth))
