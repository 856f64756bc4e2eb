"""Why a cable, a lead or a connector: what a cheaper one in its place could not carry."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.design import Box, Camera, Run
from optimizer.engineering.poe import CHANNEL_M
from optimizer.explaining.why_kit import Kit, Load, Verdict
from optimizer.instance.amounts import CM_PER_M, down
from optimizer.instance.cables import coax_reach, may_lie
from optimizer.pricebook import schema as book
from optimizer.site.schema import AudioPoint, Zone


def lead_verdicts(kit: Kit, item: book.Lead) -> Iterator[Verdict]:
    """Cheaper single leads in the place of each run that is one such lead."""
    for run in kit.design.runs:
        if run.medium != "lead" or run.items != (item.id,):
            continue
        place = _place(kit, run)
        for other in kit.cheaper(item):
            assert isinstance(other, book.Lead)
            if frozenset(other.carries) != frozenset(item.carries):
                continue
            banned = kit.forbidden(other, run.place)
            if banned is not None:
                yield banned
                continue
            limit, demand = "", ""
            if other.length < place.run:
                demand = f"{_id(kit, place)}/run"
                limit = f"it is {float(other.length):g} m long, the run is {float(place.run):g} m"
            limit = limit or _cannot_lie(kit, run, other, float(other.length))
            yield Verdict(other.id, other.price, run.place, limit, demand)


def cable_verdicts(kit: Kit, item: book.Cable) -> Iterator[Verdict]:
    """Cheaper boxes of the same medium in the place of each box of the item."""
    runs = {run.id: run for run in kit.design.runs}
    for box in kit.design.boxes:
        if box.item != item.id:
            continue
        cut = [runs[name] for name in box.cuts]
        for other in kit.cheaper(item):
            assert isinstance(other, book.Cable)
            if other.medium != item.medium:
                continue
            banned = kit.forbidden(other, box.id)
            if banned is not None:
                yield banned
                continue
            limits = (_cannot_lie(kit, run, other, run.length_cm / CM_PER_M) for run in cut)
            limit = _short(box, other) or next((words for words in limits if words), "")
            yield Verdict(other.id, other.price, box.id, limit)


def _short(box: Box, other: book.Cable) -> str:
    used, has = box.length_cm - box.left_cm, down(other.box * CM_PER_M)
    if has >= used:
        return ""
    return f"one box has {has / CM_PER_M:g} m, {used / CM_PER_M:g} m are cut from this one"


def _cannot_lie(kit: Kit, run: Run, other: book.Cable | book.Lead, metres: float) -> str:
    """Why a run cannot be made of another cable or lead, its length apart; empty if it can.

    The feed is left as it is: with another supply the voltage may do, and then the kit as a whole
    decides.
    """
    place = _place(kit, run)
    if not may_lie(place.route, other):
        return f"it may not lie on the {place.route} route to {place.id}"
    camera = next((c for c in kit.design.cameras if run.id in c.runs), None)
    if camera is None:
        return ""
    reach = _reach(kit, run, camera, other)
    if reach is not None and metres > reach:
        return f"it carries the picture {reach:g} m, the run to {place.id} is {metres:g} m"
    return _voltage(kit, run, camera, other, metres)


def _reach(kit: Kit, run: Run, camera: Camera, other: book.Cable | book.Lead) -> float | None:
    """How far the picture goes; None where the run carries no picture. [m]"""
    if run.medium in ("power_pair", "control_pair", "audio_pair"):
        return None
    if camera.balun is not None:
        balun = kit.book.items[camera.balun]
        assert isinstance(balun, book.Balun)
        return float(balun.reach)
    family = kit.camera_item(camera).family
    return float(CHANNEL_M) if family == "network" else float(coax_reach(other, family))


def _voltage(
    kit: Kit, run: Run, camera: Camera, other: book.Cable | book.Lead, metres: float
) -> str:
    """Why the camera's supply would not do over another gauge."""
    fed_over = kit.power_run(camera)
    if fed_over is None or fed_over.id != run.id:
        return ""
    load, feed, volts, pairs = _fed(kit, camera)
    ohm = kit.ohm(int(other.gauge or 0), metres) / pairs
    refused = load.refused(feed, volts, ohm)
    return f"{refused} (its {other.gauge} AWG)" if refused else ""


def _fed(kit: Kit, camera: Camera) -> tuple[Load, str, float, int]:
    """A camera's load, and the feed, volts and parallel pairs it has in the design."""
    unit = kit.units[str(camera.power.unit)]
    supply = kit.book.items[unit.item]
    assert isinstance(supply, book.Supply)
    place = f"{camera.zone}/{camera.number}"
    load = next(one for one in kit.loads(unit.id) if one.place == place)
    pairs = 1
    if camera.balun is not None and camera.power.way == "own_pair":
        balun = kit.book.items[camera.balun]
        assert isinstance(balun, book.Balun)
        pairs = balun.power_pairs
    return load, supply.feed, float(supply.volts), pairs


def _place(kit: Kit, run: Run) -> Zone | AudioPoint:
    name = run.place.partition("/")[0]
    point = next((p for p in kit.site.audio.points if p.id == run.place), None)
    return kit.zones[name] if point is None else point


def _id(kit: Kit, place: Zone | AudioPoint) -> str:
    if isinstance(place, Zone) and place.id in {mount.id for mount in kit.site.mounts}:
        return f"mounts.{place.id}"
    return f"zones.{place.id}" if isinstance(place, Zone) else f"audio.{place.id}"


def connector_verdicts(kit: Kit, item: book.Connector) -> Iterator[Verdict]:
    """Connectors for the same cable that are cheaper a piece and that the site rules out.

    Those it allows are left aside: the tool and the time they need decide, not a limit.
    """
    fits = [f for p in kit.design.parts if p.item == item.id for f in [p.role.partition("/")[2]]]
    methods = kit.site.policy.connectors.get(item.type)
    each = item.price / item.pack
    others = [
        one
        for one in kit.book.by_kind(book.Connector)
        if one.type == item.type and one.price / one.pack < each and set(fits) <= set(one.fits)
    ]
    for other in sorted(others, key=lambda one: -one.price / one.pack):
        banned = kit.forbidden(other)
        if banned is not None:
            yield banned
        elif methods is not None and other.method not in methods:
            limit = f"{other.method.replace('_', '-')} is excluded by policy"
            yield Verdict(other.id, other.price, "", limit, f"policy/connectors.{item.type}")
