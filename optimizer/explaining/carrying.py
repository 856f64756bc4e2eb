"""A design carried over to a changed site: the same pieces, used in the same way, figures anew.

Whether it is a design of the changed site is for the audit to say. Where it is, the changed site
costs no more than the first, and no search was needed to know it.
"""

from __future__ import annotations

import math
from collections import defaultdict

from optimizer.audit import audit_design
from optimizer.audit.case import Case, Fitted, LaidRun
from optimizer.audit.feeding import Load, loads
from optimizer.audit.figures import (
    abreast,
    bit_rate,
    density,
    down,
    focal_for,
    gb,
    in_stream,
    kbit_s,
    kpx_s,
    picture_bytes,
    rate_of,
    recorded_picture,
    sound_bytes,
)
from optimizer.audit.structure import resolve
from optimizer.design import Box, Camera, Design, FedFrom, PowerUnit, Recorder, Run, Sound
from optimizer.engineering.optics import view_angle
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Site


def carried(site: Site, book: LoadedBook, design: Design) -> Design | None:
    """A design of another site as a design of this one, or None where the audit refuses it.

    Its bill and its total stay as they are.

    Parameters
    ----------
    site : Site
        The changed site.
    design : Design
        One that the audit has passed for another site.
    """
    carrier = None
    if any(camera.aim is not None for camera in design.cameras):
        # Geometry is loaded for sites with a plan only.
        from optimizer.explaining.carrying_plan import Carrier, trimmed

        here = trimmed(site, design) if site.areas else None
        if here is None:
            return None
        design, carrier = here, Carrier(site)
    elif site.areas:
        return None
    case, broken = resolve(site, book.items, book.book.offers, design)
    if case is None or broken:
        return None
    cameras = [
        _camera(case, c) if c.mount is None or carrier is None else carrier.camera(c)
        for c in case.cameras
    ]
    if not all(cameras):
        return None
    seen = () if carrier is None else carrier.seen()
    if seen is None:
        return None
    made = {(c.zone, c.number): c for c in cameras if c is not None}
    fed = {id(load.stated): load for load in loads(case)}
    again = design.model_copy(
        update={
            "cameras": tuple(
                made[c.zone, c.number].model_copy(update={"power": _power(c.power, fed)})
                for c in design.cameras
            ),
            "seen": seen,
            "audio": tuple(_sound(case, s, fed) for s in design.audio),
            "recorders": tuple(_recorder(case, r) for r in design.recorders),
            "runs": tuple(_run(case.runs[r.id]) for r in design.runs),
            "boxes": tuple(_box(case, b) for b in design.boxes),
            "supplies": tuple(_supply(case, s, list(fed.values())) for s in design.supplies),
        }
    )
    if audit_design(site, book.items, book.book.offers, again):
        return None
    return again


def _camera(case: Case, camera: Fitted) -> Camera | None:
    if camera.group is None:
        return None
    picture = recorded_picture(camera.item, camera.group)
    # A picture that is good enough with fewer cameras side by side leaves one without need.
    if abreast(case.site, camera.zone, camera.item, picture) is None:
        return None
    focal = focal_for(camera.item, camera.zone, camera.abreast)
    if focal is None:
        return None
    rate = bit_rate(case.site, camera.zone, camera.item, picture)
    return camera.stated.model_copy(
        update={
            "focal_mm": float(math.floor(focal * 1000) / 1000),
            "view_angle_deg": round(view_angle(float(camera.item.sensor_width), float(focal)), 1),
            "px_per_m": round(float(density(camera.item, camera.zone, picture, focal)), 2),
            "bit_rate": math.ceil(rate),
            "storage_bytes": math.ceil(picture_bytes(case.site, camera.zone, rate)),
        }
    )


def _power(stated: FedFrom, fed: dict[int, Load]) -> FedFrom:
    load = fed.get(id(stated))
    if load is None or load.volts is None:
        return stated
    return stated.model_copy(
        update={
            "volts_at_load": round(load.volts, 3),
            "milliamps": load.milliamps,
            "watts": load.watts,
        }
    )


def _sound(case: Case, sound: Sound, fed: dict[int, Load]) -> Sound:
    point = next(p for p in case.site.audio.points if p.id == sound.point)
    size = math.ceil(sound_bytes(case.site, point))
    return sound.model_copy(update={"power": _power(sound.power, fed), "storage_bytes": size})


def _recorder(case: Case, recorder: Recorder) -> Recorder:
    sums: defaultdict[str, int] = defaultdict(int)
    for camera in case.on(recorder):
        assert camera.group is not None
        picture = recorded_picture(camera.item, camera.group)
        rate = rate_of(case.site, camera)
        assert rate is not None
        sums["stored_gb"] += gb(picture_bytes(case.site, camera.zone, rate))
        if camera.item.family == "network":
            sums["kbit_s"] += kbit_s(rate)
        else:
            sums["encode_kpx_s"] += kpx_s(camera.zone, picture)
    for sound in case.heard_on(recorder):
        sums["stored_gb"] += gb(sound_bytes(case.site, sound.point))
        if in_stream(sound):
            sums["kbit_s"] += math.ceil(case.site.audio.bit_rate / 1000)
    return recorder.model_copy(
        update={name: sums[name] for name in ("stored_gb", "kbit_s", "encode_kpx_s")}
    )


def _run(run: LaidRun) -> Run:
    return run.stated.model_copy(update={"length_cm": math.ceil(run.length_m * 100)})


def _box(case: Case, box: Box) -> Box:
    cut = sum(math.ceil(case.runs[name].length_m * 100) for name in box.cuts)
    return box.model_copy(update={"left_cm": box.length_cm - cut})


def _supply(case: Case, unit: PowerUnit, every: list[Load]) -> PowerUnit:
    item = case.supplies[unit.id][1]
    limit = down((1 - case.site.spare.supply) * item.total_amps * 1000)
    load = sum(one.milliamps for one in every if one.unit.id == unit.id)
    return unit.model_copy(update={"load": load, "limit": limit})


__all__ = ["carried"]
