"""Reading a site file, with the checks that need more than one field."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from optimizer.errors import InputError, Trouble
from optimizer.reading import Source, read_source, validate
from optimizer.reading.validation import suggest
from optimizer.site.schema import LEVEL_NAMES, Site
from optimizer.engineering.optics import DETAIL_LEVELS


@dataclass(frozen=True)
class LoadedSite:
    """A site and where it was read."""

    site: Site
    source: Source


def load_site(path: str | Path) -> LoadedSite:
    """Read and check a site file.

    Raises
    ------
    InputError
        With one trouble for each thing wrong.
    """
    source = read_source(path, "site")
    site = validate(Site, source)
    troubles = [*_twins(site, source), *_levels(site, source), *_references(site, source)]
    if troubles:
        raise InputError(*sorted(troubles, key=lambda t: t.line or 0))
    return LoadedSite(site, source)


def _twins(site: Site, source: Source) -> list[Trouble]:
    troubles = []
    for name, ids in (
        ("zones", [z.id for z in site.zones]),
        ("audio.points", [p.id for p in site.audio.points]),
        ("owned", [o.item for o in site.owned]),
        ("policy.require", [r.item for r in site.policy.require]),
    ):
        seen: set[str] = set()
        for index, one in enumerate(ids):
            if one in seen:
                key = "item" if name in ("owned", "policy.require") else "id"
                troubles.append(
                    Trouble(
                        f'"{one}" stands twice in {name}',
                        file=source.name,
                        line=source.line_of((*name.split("."), index, key)),
                        field=f"{name}[{index}].{key}",
                        value=one,
                        accepted="each one once",
                        hint="rename or remove one of the two",
                    )
                )
            seen.add(one)
    return troubles


def _levels(site: Site, source: Source) -> list[Trouble]:
    levels = DETAIL_LEVELS[site.edition]
    return [
        Trouble(
            f'"{zone.detail}" is not a level of {site.standard}',
            file=source.name,
            line=source.line_of(("zones", index, "detail")),
            field=f"zones[{index}].detail",
            value=zone.detail,
            accepted=", ".join(levels) + ", or a density such as 250 px/m",
            hint="state the other edition in the field standard, or use a level of this one",
        )
        for index, zone in enumerate(site.zones)
        if zone.detail in LEVEL_NAMES and zone.detail not in levels
    ]


def _references(site: Site, source: Source) -> list[Trouble]:
    zones = [z.id for z in site.zones]
    troubles = []
    taken: set[str] = set()
    for index, point in enumerate(site.audio.points):
        if point.zone is None:
            if point.power == "camera":
                troubles.append(
                    Trouble(
                        "power from the camera needs the zone whose camera is at this spot",
                        file=source.name,
                        line=source.line_of(("audio", "points", index, "power")),
                        field=f"audio.points[{index}].power",
                        value=point.power,
                        accepted="a zone beside power: camera",
                        hint="add a line 'zone: ...' to this audio point",
                    )
                )
            continue
        if point.zone not in zones or point.zone in taken:
            known = point.zone in zones
            troubles.append(
                Trouble(
                    f'zone "{point.zone}" has an audio point already'
                    if known
                    else f'there is no zone "{point.zone}"',
                    file=source.name,
                    line=source.line_of(("audio", "points", index, "zone")),
                    field=f"audio.points[{index}].zone",
                    value=point.zone,
                    accepted="a zone without another audio point" if known else ", ".join(zones),
                    hint="leave zone out for a second microphone there"
                    if known
                    else suggest(point.zone, zones),
                )
            )
        taken.add(point.zone)
    return troubles
