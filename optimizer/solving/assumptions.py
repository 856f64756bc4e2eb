"""The defaults and estimates that decide an answer, each with its value and where it is from.

What the site file states is listed as such; everything else names a standard, common practice,
memory, or this program's own choice (``optimizer/RULES.md``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction

from pydantic import BaseModel

from optimizer import units
from optimizer.design import Design
from optimizer.engineering.light import LIT_LUX
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.engineering.poe import CHANNEL_M
from optimizer.engineering.reach import COAX_REACH_M, RS485_REACH_M
from optimizer.engineering.video import BITS_PER_PIXEL
from optimizer.errors import clean, listed
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import AnyItem, Cable, Lead, Supply
from optimizer.site import AudioPoint, Site, Zone
from optimizer.site.schema import Mount
from optimizer.solving.answer import Assumption
from optimizer.solving.assumptions_plan import of_plan
from optimizer.solving.origins import BOOK, MEMORY, OWN, PRACTICE, PUBLISHED, SITE

FAMILY_WORDS = {"composite": "composite", "hd_coax": "HD over coax", "network": "network"}
_COAX_WORDS = {"rg59": "RG-59", "rg6": "RG-6", "rg11": "RG-11"}
_WIRED = ("own_pair", "separate_pair")


def assumptions(
    site: Site, book: LoadedBook, design: Design | None = None
) -> tuple[Assumption, ...]:
    """What an answer takes for granted.

    Parameters
    ----------
    site : Site
        What is asked; a value that the file states has the origin "site file".
    book : LoadedBook
        What can be bought.
    design : Design, optional
        The kit found. With it, only what bears on this kit is listed; without it, all that bore
        on the search.

    Returns
    -------
    tuple of Assumption
        In the order in which a reader meets them: picture, recording, wiring, sound, money.
    """
    return (
        *_picture(site),
        *of_plan(site),
        *_recording(site),
        *_wiring(site, book.items, design),
        *_reach(site, book.items, design),
        *_sound(site),
        *_scope(design),
        *_money(site, book),
    )


def _loaded(spare: Decimal) -> str:
    """What limits the current from a supply, and where that is set."""
    if not spare:
        return "each supply and each of its outputs up to its rating (spare.supply)"
    return (
        f"each supply and each of its outputs up to {units.written(1 - spare, 'share')} of its "
        "rating, the rest for switching on, heat and age (spare.supply)"
    )


def _origin(model: BaseModel, field: str, otherwise: str) -> str:
    return SITE if field in model.model_fields_set else otherwise


def _zones(site: Site, some: list[Zone]) -> str:
    return "all zones" if len(some) == len(site.zones) else listed((z.id for z in some), 8)


def _number(value: Decimal | Fraction) -> str:
    return f"{float(value):g}"


def days_words(days: Decimal) -> str:
    """A time as people say it: hours below two days, days from there on."""
    return f"{_number(days)} days" if days >= 2 else f"{_number(days * 24)} h"


_SILENT = (
    ("night", "lit at night"),
    ("place", "indoors"),
    ("route", "indoor route"),
    ("recorded", "recorded 24 h a day"),
)


def _picture(site: Site) -> Iterator[Assumption]:
    levels = DETAIL_LEVELS[site.edition]
    used = [level for level in levels if any(z.detail == level for z in site.zones)]
    if used:
        stated = "standard" in site.model_fields_set
        density = ", ".join(f"{level} {_number(levels[level])} px/m" for level in used)
        yield Assumption(
            name="detail levels",
            value=f"{density} ({site.standard}{'' if stated else ', edition not stated'})",
            origin=MEMORY if site.edition == "2025" else PUBLISHED,
        )
    silent: dict[str, list[str]] = {}
    for field, words in _SILENT:
        zones = [z for z in site.views if field not in z.model_fields_set]
        if zones:
            silent.setdefault(_zones(site, zones), []).append(words)
    if silent:
        told = [f"{', '.join(words)} ({zones})" for zones, words in silent.items()]
        yield Assumption(name="zones where not stated", value=", ".join(told), origin=OWN)
    if any(z.night == "lit" for z in site.zones):
        yield Assumption(
            name="light of a lit zone", value=f"{_number(LIT_LUX)} lx", origin=PRACTICE
        )
    silent_most = [z for z in site.views if "most_cameras" not in z.model_fields_set]
    if silent_most:
        yield Assumption(
            name="cameras side by side",
            value=f"at most {silent_most[0].most_cameras} ({_zones(site, silent_most)})",
            origin=OWN,
        )


def _recording(site: Site) -> Iterator[Assumption]:
    asked = site.recording
    own = [z for z in site.zones if z.retention is not None and z.retention != asked.retention]
    days = days_words(asked.retention)
    kept = [f"{z.id} {days_words(site.retention_days(z))}" for z in own]
    yield Assumption(
        name="retention", value=days + (f" ({listed(kept, 8)})" if kept else ""), origin=SITE
    )
    if any(z.bit_rate is None for z in site.zones):
        yield Assumption(name="codec", value=asked.codec, origin=_origin(asked, "codec", OWN))
        yield Assumption(
            name="activity",
            value=asked.activity,
            origin=_origin(asked, "activity", OWN),
        )
        bits = BITS_PER_PIXEL[asked.codec][asked.activity]
        yield Assumption(
            name="stream where no rate was measured",
            value=f"{_number(bits)} bit a pixel",
            origin="UFC 4-021-02NF (2006)" if asked.codec == "MJPEG" else MEMORY,
        )
    yield Assumption(
        name="kept free on the drives",
        value=units.written(asked.reserve, "share"),
        origin=_origin(asked, "reserve", MEMORY),
    )
    yield Assumption(
        name="drive failures survived",
        value=str(asked.drive_failures),
        origin=_origin(asked, "drive_failures", OWN),
    )
    yield Assumption(
        name="spare",
        value=f"{site.spare.channels} channels, "
        f"{units.written(site.spare.storage, 'share')} of storage",
        origin=SITE if {"channels", "storage"} & site.spare.model_fields_set else OWN,
    )


def _wiring(
    site: Site, items: Mapping[str, AnyItem], design: Design | None
) -> Iterator[Assumption]:
    taken = site.assumptions
    if design is None or design.boxes:
        yield Assumption(
            name="cut cable",
            value=f"{units.written(taken.end_allowance, 'length')} more at each end of a run",
            origin=_origin(taken, "end_allowance", PRACTICE),
        )
    feeds = None if design is None else _feeds(items, design)
    if feeds is None or feeds["supply"]:
        yield Assumption(
            name="current from supplies",
            value=_loaded(site.spare.supply),
            origin=_origin(site.spare, "supply", PRACTICE),
        )
    if feeds is None or feeds["pair"]:
        yield Assumption(
            name="conductor temperature",
            value=units.written(taken.conductor_temperature, "temperature"),
            origin=_origin(taken, "conductor_temperature", PRACTICE),
        )
        yield Assumption(
            name="conductors",
            value="solid copper by gauge (ASTM B258, IEC 60028)",
            origin=PUBLISHED,
        )
    if (feeds is None and _ac_on_sale(items)) or (feeds is not None and feeds["ac"]):
        yield Assumption(name="24 V AC lines", value="reckoned like DC", origin=OWN)
    if (feeds is None and "network" in site.policy.families) or (feeds and feeds["poe"]):
        yield Assumption(name="PoE camera", value="its class power (IEEE 802.3)", origin=PUBLISHED)
    points: list[Zone | Mount | AudioPoint] = [*site.views, *site.mounts, *site.audio.points]
    if any(point.existing for point in points):
        yield Assumption(name="existing cable", value="sound and suited to its route", origin=OWN)
    if design is None or any(r.medium == "lead" for r in design.runs):
        yield Assumption(
            name="joints in a run of leads",
            value=f"at most {site.policy.most_joints}",
            origin=_origin(site.policy, "most_joints", OWN),
        )


def _ac_on_sale(items: Mapping[str, AnyItem]) -> bool:
    return any(isinstance(i, Supply) and i.feed == "24 V AC" for i in items.values())


def _feeds(items: Mapping[str, AnyItem], design: Design) -> dict[str, bool]:
    """Which ways of feeding a design uses."""
    loads = [c.power for c in design.cameras] + [s.power for s in design.audio]
    used = [items[unit.item] for unit in design.supplies]
    return {
        "supply": bool(design.supplies),
        "pair": any(load.way in _WIRED for load in loads),
        "ac": any(isinstance(s, Supply) and s.feed == "24 V AC" for s in used),
        "poe": any(load.way == "poe" for load in loads),
    }


def _reach(site: Site, items: Mapping[str, AnyItem], design: Design | None) -> Iterator[Assumption]:
    for family, fit in _coaxes(site, items, design):
        yield Assumption(
            name=f"{FAMILY_WORDS[family]} over {_COAX_WORDS[fit]}",
            value=f"up to {COAX_REACH_M[family, fit]} m",
            origin=_reach_origin(family, fit),
        )
    data = (
        "network" in site.policy.families
        if design is None
        else any(c.path.startswith("D") for c in design.cameras)
    )
    if data:
        yield Assumption(name="data cable", value=f"up to {CHANNEL_M} m", origin=PUBLISHED)
    paired = (
        any(z.steerable for z in site.views)
        if design is None
        else any(c.control in ("pair", "category") for c in design.cameras)
    )
    if paired:
        yield Assumption(
            name="control pair",
            value=f"up to {RS485_REACH_M} m (guidance beside TIA-485-A)",
            origin=PUBLISHED,
        )


def _reach_origin(family: str, fit: str) -> str:
    if family == "hd_coax":
        return PRACTICE
    return MEMORY if fit == "rg11" else PUBLISHED


def _coaxes(
    site: Site, items: Mapping[str, AnyItem], design: Design | None
) -> list[tuple[str, str]]:
    """Signal and coax pairs whose reach is taken from the table, not from the price book."""
    if design is None:
        return [pair for pair in COAX_REACH_M if pair[0] in site.policy.families]
    runs = {run.id: run for run in design.runs}
    places: dict[str, Zone | Mount] = {zone.id: zone for zone in site.views}
    places |= {mount.id: mount for mount in site.mounts}
    used = set()
    for camera in design.cameras:
        family = getattr(items[camera.item], "family", "")
        for run in (runs[name] for name in camera.runs):
            if run.existing is not None:
                fit, stated = places[camera.zone].existing[run.existing].fit, False
            else:
                laid = items[run.items[0]]
                assert isinstance(laid, Cable | Lead)
                fit, stated = laid.fit, family in laid.reach
            if fit is not None and not stated:
                used.add((family, fit))
    return [pair for pair in COAX_REACH_M if pair in used]


def _sound(site: Site) -> Iterator[Assumption]:
    if site.audio.points:
        yield Assumption(
            name="sound",
            value=f"{_number(site.audio.bit_rate / 1000)} kbit/s, 24 h a day",
            origin=_origin(site.audio, "bit_rate", PRACTICE),
        )


def _scope(design: Design | None) -> Iterator[Assumption]:
    yield Assumption(
        name="included",
        value="mains leads"
        + (", a link in the rack for each switch" if design is None or design.switches else ""),
        origin=OWN,
    )
    yield Assumption(
        name="not included",
        value="uplinks, the building's network, the network lead of a recorder (comes with it)",
        origin=OWN,
    )


def _money(site: Site, book: LoadedBook) -> Iterator[Assumption]:
    labour = site.policy.labour
    if labour.rate:
        pace = units.written(labour.pulling, "pace")
        value = f"{units.money_text(labour.rate)} an hour, {pace} of new cable"
        yield Assumption(name="labour", value=value, origin=SITE)
    else:
        origin = _origin(labour, "rate", OWN)
        yield Assumption(name="labour", value="not counted", origin=origin)
    yield Assumption(
        name="tax",
        value=units.written(site.money.tax, "share"),
        origin=_origin(site.money, "tax", OWN),
    )
    note = clean(book.book.note, 160)
    name = clean(book.book.name, 80)
    yield Assumption(name="prices", value=f"{name}. {note}" if note else name, origin=BOOK)
