"""Section 3 of the rules: how a camera's picture and its control get to the room."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction

from optimizer.audit.case import Case, Fitted, LaidRun
from optimizer.audit.figures import up
from optimizer.audit.finding import Fault, Kind, Rule, figure
from optimizer.engineering.poe import CHANNEL_M
from optimizer.engineering.reach import RS485_REACH_M, signal_reach_m
from optimizer.pricebook import schema as book
from optimizer.reading.terms import Family

CATEGORY_PAIRS = 4
VIDEO, DATA = ("V1", "V2", "V3", "V4", "V5"), ("D1", "D2", "D3")

_MADE_OF: dict[str, tuple[str, Callable[[LaidRun], bool]]] = {
    "V1": ("cut coax_power", lambda r: r.cable is not None and r.medium == "coax_power"),
    "V2": ("cut coax", lambda r: r.cable is not None and r.medium == "coax"),
    "V3": (
        "an existing coax_power or coax",
        lambda r: r.entry is not None and r.medium in ("coax_power", "coax"),
    ),
    "V4": ("a category cable", lambda r: r.medium == "category"),
    "V5": (
        "leads that carry video and power",
        lambda r: bool(r.leads) and all({"video", "power"} <= set(x.carries) for x in r.leads),
    ),
    "D1": ("a cut category cable", lambda r: r.cable is not None and r.medium == "category"),
    "D2": (
        "an existing category cable",
        lambda r: r.entry is not None and r.medium == "category",
    ),
    "D3": (
        "leads that carry data",
        lambda r: bool(r.leads) and all(x.carries == ("data",) for x in r.leads),
    ),
}


def paths(case: Case) -> Iterator[Fault]:
    """The path suits the camera's family and is made of what the table says."""
    for camera in case.cameras:
        path = camera.stated.path
        able = DATA if camera.item.family == "network" else VIDEO
        if path not in able:
            text = f"is {camera.item.family}, which path {path} does not carry"
            yield Fault(camera.place, "mismatch", text)
        words, made = _MADE_OF[path]
        if not made(camera.path):
            text = f"path {path} is {words}, run {camera.path.stated.id} is something else"
            yield Fault(camera.place, "mismatch", text)


def baluns(case: Case) -> Iterator[Fault]:
    """Path V4 has two baluns of one item that lists the family; no other path has any."""
    for camera in case.cameras:
        if camera.stated.path != "V4":
            if camera.balun is not None:
                text = f"path {camera.stated.path} takes no balun"
                yield Fault(camera.place, "mismatch", text)
        elif camera.balun is None:
            yield Fault(camera.place, "missing", "path V4 has no baluns", 0, 2)
        elif camera.item.family not in camera.balun.families:
            text = f"{camera.balun.id} is for {', '.join(camera.balun.families)}, not for "
            yield Fault(camera.place, "limit", text + camera.item.family)


def signal_reach(case: Case) -> Iterator[Fault]:
    """The length that the path's row names does not exceed its reach."""
    for camera in case.cameras:
        limit = reach_m(camera)
        length = camera.path.length_m
        if limit is not None and length > limit:
            text = (
                f"{figure(length)} m of path {camera.stated.path}, the signal reaches "
                f"{figure(limit)} m"
            )
            yield Fault(camera.place, "limit", text, length, limit)


def reach_m(camera: Fitted) -> Fraction | None:
    """Reach of a camera's path; None where another rule finds the path impossible. [m]"""
    family, path = camera.item.family, camera.path
    if camera.stated.path in DATA:
        return Fraction(CHANNEL_M)
    if camera.stated.path == "V4":
        return None if camera.balun is None else Fraction(camera.balun.reach)
    if family == "network":
        return None
    made: tuple[book.Cable | book.Lead, ...] = path.leads
    if path.cable is not None:
        made = (path.cable,)
    if made:
        reaches = [coax_reach_m(x.reach, family, x.fit) for x in made]
    else:
        reaches = [coax_reach_m({}, family, path.fit)]
    known = [r for r in reaches if r is not None]
    return min(known) if known else None


def coax_reach_m(
    stated: Mapping[Family, Decimal], family: Family, fit: str | None
) -> Fraction | None:
    """Reach of a family over coax or leads: as the book states, else by the default. [m]"""
    if family in stated:
        return Fraction(stated[family])
    if fit not in ("rg59", "rg6", "rg11"):
        return None
    return Fraction(signal_reach_m(family, fit))


def control_needed(camera: Fitted) -> str:
    """How a camera must be steered: its control if its zone asks for steering, else none."""
    return camera.item.control if camera.zone.steerable else "none"


_STATED_AS: dict[str, tuple[str, ...]] = {
    "none": ("none",),
    "rs485": ("pair", "category"),
    "coax": ("coax",),
    "network": ("network",),
}


def steering(case: Case) -> Iterator[Fault]:
    """Each camera of a zone with steering is steered the way it needs; others are not."""
    for camera in case.cameras:
        needed, stated = control_needed(camera), camera.stated.control
        if stated not in _STATED_AS[needed]:
            kind: Kind = "missing" if stated == "none" else "mismatch"
            text = f"is steered by {needed}, the design gives {stated}"
            yield Fault(camera.place, kind, text)
            continue
        listed = {str(one) for one in camera.unit.control}
        if needed in ("rs485", "coax") and needed not in listed:
            text = f"{camera.recorder.id} has no {needed} control"
            yield Fault(camera.place, "limit", text)
        if needed == "rs485":
            run = Fraction(camera.zone.run)
            if run > RS485_REACH_M:
                text = f"the run is {figure(run)} m, control reaches {RS485_REACH_M} m"
                yield Fault(camera.place, "limit", text, run, RS485_REACH_M)
        if needed == "coax" and camera.stated.path not in ("V1", "V2", "V3", "V5"):
            text = f"control over coax cannot use path {camera.stated.path}"
            yield Fault(camera.place, "limit", text)
        if needed == "network" and camera.item.family != "network":
            yield Fault(camera.place, "limit", "control over the network needs a network camera")
        if stated == "category":
            yield from _free_pair(camera)


def _free_pair(camera: Fitted) -> Iterator[Fault]:
    if camera.stated.path != "V4":
        text = f"path {camera.stated.path} has no free pair of a V4 category cable"
        yield Fault(camera.place, "limit", text)
        return
    power = 0
    if camera.stated.power.way == "own_pair" and camera.balun is not None:
        power = camera.balun.power_pairs
    pairs = 1 + power + 1
    if pairs > CATEGORY_PAIRS:
        text = f"picture, power and control take {pairs} pairs of {CATEGORY_PAIRS}"
        yield Fault(camera.place, "limit", text, pairs, CATEGORY_PAIRS)


def unit_loads(case: Case) -> Iterator[Fault]:
    """Control loads on a unit, each in eighths rounded up, stay within its unit loads."""
    for unit, item in case.recorders:
        eighths = sum(
            up(Fraction(c.item.unit_load) * 8)
            for c in case.on(unit)
            if control_needed(c) == "rs485"
        )
        if eighths > 8 * item.unit_loads:
            load = Fraction(eighths, 8)
            text = f"controls {figure(load)} unit loads, it drives {item.unit_loads}"
            yield Fault(unit.id, "limit", text, load, item.unit_loads)


RULES = (
    Rule("3 paths", paths),
    Rule("3 baluns", baluns),
    Rule("3 signal reach", signal_reach),
    Rule("3 steering", steering),
    Rule("3 unit loads", unit_loads),
)
