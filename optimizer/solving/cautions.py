"""What can hurt people or break the law in a design, said beside it.

General cautions from trade practice, from memory; they replace neither local codes nor licensed
practice, which decide.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from optimizer.design import Design
from optimizer.engineering.class2 import CLASS2_HIGHEST_V, class2_limits
from optimizer.errors import listed
from optimizer.pricebook.schema import AnyItem, Camera, Supply
from optimizer.site import AudioPoint, Site, Zone
from optimizer.site.runs import ways
from optimizer.site.schema import Mount
from optimizer.solving.answer import Caution

LONG_WITHOUT_REASON_DAYS = 3
"""From about 72 h on a reason is expected, growing with time (EDPB guidelines 3/2019, from
memory). [day]"""

LONG_DAYS = 31
"""The time kept by a published police advice; longer needs a reason of its own. [day]"""

_GENERAL = Caution(
    about="always",
    text="Local codes and licensed practice decide, here and where nothing is said.",
)

_BATTERY = re.compile(r"\bups\b|uninterruptible|batter(y|ies)\b", re.IGNORECASE)


def cautions(
    site: Site, items: Mapping[str, AnyItem], design: Design | None = None
) -> tuple[Caution, ...]:
    """The cautions that apply to a site and its design.

    Parameters
    ----------
    site : Site
        What is asked.
    items : mapping
        The items of the price book by id.
    design : Design, optional
        The kit found; without one, only what follows from the site is said.

    Returns
    -------
    tuple of Caution
        Law first, then power, wiring and work on site.
    """
    found = [*_speech(site), *_privacy(site)]
    if design is not None:
        found += [*_mains(site, items), *_low_voltage(items, design), *_poe(design)]
    found += [*_routes(site)]
    if design is not None:
        found += [*_control(design), *_on_site(items, design)]
    return (*found, _GENERAL)


def _speech(site: Site) -> Iterator[Caution]:
    if not site.audio.points:
        return
    if site.audio.consent.strip():
        yield Caution(
            about="recording of speech",
            text="This program cannot judge the lawful basis that the site file states: have it "
            "confirmed under local law, and put up the notice before sound is recorded.",
        )
    else:
        yield Caution(
            about="recording of speech",
            text="No lawful basis is stated (audio.consent). Recording what people say without "
            "one is a crime in many places: record no sound until local law is settled.",
            strong=True,
        )


def _privacy(site: Site) -> Iterator[Caution]:
    yield Caution(
        about="privacy",
        text="Keep homes, neighbours' ground and rest rooms out of view; put up notices; ask "
        "local law about staff and visitors.",
    )
    longest = max(site.retention_days(zone) for zone in site.zones)
    if longest > LONG_WITHOUT_REASON_DAYS:
        yield Caution(
            about="retention",
            text="Keeping pictures for more than "
            + (f"{LONG_DAYS} days" if longest > LONG_DAYS else "72 hours")
            + " needs a written reason in many places; delete on time.",
            strong=longest > LONG_DAYS,
        )
    hidden = [zone.id for zone in site.zones if zone.discreet]
    if hidden:
        yield Caution(
            about="discreet cameras",
            text="Filming people unawares is forbidden or tightly limited in many places: the "
            f"notice is needed at {listed(hidden, 6)} too.",
            strong=True,
        )


def _mains(site: Site, items: Mapping[str, AnyItem]) -> Iterator[Caution]:
    yield Caution(
        about="mains",
        text="For qualified people only: isolation, protective earth, residual-current "
        "protection outdoors.",
    )
    wanted = [need.item for need in site.policy.require]
    names = [f"{items[name].id} {items[name].name}" for name in wanted if name in items]
    if any(_BATTERY.search(name) for name in names):
        yield Caution(
            about="batteries",
            text="A battery can drive a huge current into a short circuit and give off gas: "
            "ventilate it, fuse it close by, and have it recycled.",
        )


def _low_voltage(items: Mapping[str, AnyItem], design: Design) -> Iterator[Caution]:
    used = [items[name] for name in dict.fromkeys(unit.item for unit in design.supplies)]
    supplies = [supply for supply in used if isinstance(supply, Supply)]
    if not supplies:
        return
    yield Caution(
        about="low voltage",
        text="Keep it apart from mains wiring; never join outputs of supplies.",
    )
    free = [supply.id for supply in supplies if not _limited(supply)]
    if free:
        yield Caution(
            about="power limit",
            text=f"Outputs of {listed(free, 4)} may exceed Class 2 limits: protect their wiring "
            "like power wiring unless the local code allows less.",
        )


def _limited(supply: Supply) -> bool:
    """Whether the book marks the outputs as Class 2 and their figures agree with the mark."""
    if not supply.class2 or supply.volts > CLASS2_HIGHEST_V:
        return False
    volt_amperes, amperes = class2_limits(float(supply.volts))
    power = supply.volts * supply.output_amps
    return float(supply.output_amps) <= amperes and float(power) <= volt_amperes


def _poe(design: Design) -> Iterator[Caution]:
    if sum(c.power.way == "poe" for c in design.cameras) > 1:
        yield Caution(
            about="PoE bundles",
            text="Data cables that carry power warm each other: keep bundles within the local "
            "limits for size and temperature.",
        )


def _routes(site: Site) -> Iterator[Caution]:
    places: list[Zone | AudioPoint | Mount] = [*site.views, *site.audio.points, *site.mounts]
    routes = {zone.route for zone in site.views} | {point.route for point in site.audio.points}
    routes |= {way.route for way in ways(site).values()}
    if routes & {"outdoor", "buried"} or any(place.place == "outdoors" for place in places):
        yield Caution(
            about="outdoor copper",
            text="Copper brings lightning surges into a building: protect and bond it where it "
            "enters, and take fibre between buildings.",
        )
    if "buried" in routes:
        yield Caution(
            about="digging",
            text="Have buried services traced first; depth and protection follow the local code.",
        )
    if routes & {"riser", "plenum"}:
        yield Caution(
            about="fire rating",
            text="Cable in risers and air spaces is chosen by North American ratings (CMR, CMP); "
            "the local code decides which it accepts. Seal what passes a fire wall.",
            strong=True,
        )
    elif "indoor" in routes:
        yield Caution(
            about="fire rating",
            text="Indoor cable is chosen by the North American rating CM; the local code decides "
            "which fire class it accepts.",
        )


def _control(design: Design) -> Iterator[Caution]:
    wired = [c.recorder for c in design.cameras if c.control in ("pair", "category")]
    if len(wired) > len(set(wired)):
        yield Caution(
            about="control pairs",
            text="Control pairs meet in the room as a star, which upsets RS-485: loop them there "
            "and back as one line with 120 ohm at both ends, or add a distributor.",
        )


def _on_site(items: Mapping[str, AnyItem], design: Design) -> Iterator[Caution]:
    used = [items[camera.item] for camera in design.cameras]
    if any(isinstance(c, Camera) and c.infrared is not None for c in used):
        yield Caution(
            about="infra-red lamps",
            text="They can harm the eye close by, unseen (IEC 62471): fit them out of reach and "
            "do not look into them.",
        )
    yield Caution(
        about="work at height",
        text="Use proper access; keep people away below; do not work alone.",
    )
