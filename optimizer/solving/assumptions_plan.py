"""What an answer takes for granted about a plan: each default that decides, with its origin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pydantic import BaseModel

from optimizer.errors import listed
from optimizer.site.schema import Mount, Plan, PlanZone, Site
from optimizer.solving.answer import Assumption
from optimizer.solving.origins import OWN, PRACTICE, SITE

_SILENT = (
    ("share", "all of the area"),
    ("night", "lit at night"),
    ("recorded", "recorded 24 h a day"),
)


def of_plan(site: Site) -> Iterator[Assumption]:
    """Assumptions about zones on the plan, mounts, and runs taken from the plan.

    Parameters
    ----------
    site : Site
        Nothing is listed for one without zones on a plan.
    """
    plan = site.plan
    if plan is None or not site.areas:
        return
    yield from _targets(site)
    yield from _mounts(site)
    taken = [mount for mount in site.mounts if mount.run is None]
    if taken:
        yield from _runs(plan, taken)


def _targets(site: Site) -> Iterator[Assumption]:
    silent = [zone for zone in site.areas if "heights" not in zone.model_fields_set]
    if silent:
        low, high = silent[0].heights
        yield Assumption(
            name="target on the plan",
            value=f"a person, feet to head, {low:g} to {high:g} m up "
            f"({_names(site.areas, silent)})",
            origin=PRACTICE,
        )
    faces = [zone for zone in site.areas if zone.faces]
    if faces:
        yield Assumption(
            name="faces",
            value=f"seen from at most {site.assumptions.face_tilt:g} deg above "
            f"({_names(site.areas, faces)})",
            origin=_origin(site.assumptions, "face_tilt", PRACTICE),
        )
    told: dict[str, list[str]] = {}
    for field, words in _SILENT:
        some = [zone for zone in site.areas if field not in zone.model_fields_set]
        if some:
            told.setdefault(_names(site.areas, some), []).append(words)
    if told:
        rows = [f"{', '.join(words)} ({names})" for names, words in told.items()]
        yield Assumption(name="plan zones where not stated", value=", ".join(rows), origin=OWN)
    yield Assumption(name="lens", value="shows straight lines straight (pinhole)", origin=OWN)


def _mounts(site: Site) -> Iterator[Assumption]:
    every = [mount for mount in site.mounts if mount.facing is None]
    if every:
        value = f"every way ({_names(site.mounts, every)})"
        yield Assumption(name="mounts without facing are open", value=value, origin=OWN)
    half = [m for m in site.mounts if m.facing is not None and m.swing is None]
    if half:
        value = f"180 deg about facing ({_names(site.mounts, half)})"
        yield Assumption(name="mounts without swing are open", value=value, origin=OWN)


def _runs(plan: Plan, taken: Sequence[Mount]) -> Iterator[Assumption]:
    assert plan.room is not None
    yield Assumption(
        name="runs taken from the plan",
        value=f"{len(taken)}, each straight to the nearest cable route and the shortest way along",
        origin=OWN,
    )
    yield Assumption(
        name="height of cable routes",
        value=f"{plan.route_height:g} m up",
        origin=_origin(plan, "route_height", PRACTICE),
    )
    yield Assumption(
        name="height of cable ends in the room",
        value=f"{plan.room.height:g} m up",
        origin=_origin(plan.room, "height", PRACTICE),
    )
    yield Assumption(
        name="added to runs for bends",
        value=f"{float(plan.allowance * 100):g} %",
        origin=_origin(plan, "allowance", PRACTICE),
    )


def _origin(model: BaseModel, field: str, otherwise: str) -> str:
    return SITE if field in model.model_fields_set else otherwise


def _names(every: Sequence[PlanZone | Mount], some: Sequence[PlanZone | Mount]) -> str:
    return "all" if len(some) == len(every) > 1 else listed((one.id for one in some), 8)


__all__ = ["of_plan"]
