"""When two questions are the same: sites that ask for the same, programs that differ in names."""

from __future__ import annotations

import hashlib
import json

from optimizer.model.program import Program
from optimizer.site.schema import Site


def canonical(site: Site) -> str:
    """What a site asks, without names and without the order of its zones.

    Two sites with the same text have the same cheapest total.
    """
    data = site.model_dump(mode="json", exclude={"name", "note"})
    heard: dict[str | None, list[str]] = {}
    for point in data["audio"]["points"]:
        del point["id"]
        zone = point.pop("zone")
        heard.setdefault(zone, []).append(json.dumps(point, sort_keys=True))
    zones = []
    for zone in data["zones"]:
        name = zone.pop("id")
        del zone["name"]
        zone["sound"] = heard.get(name, [])
        zones.append(json.dumps(zone, sort_keys=True))
    data["zones"] = sorted(zones)
    data["audio"] = {"bit_rate": data["audio"]["bit_rate"], "free": sorted(heard.get(None, []))}
    return json.dumps(data, sort_keys=True)


def fingerprint(program: Program) -> bytes:
    """The same for programs that differ in names alone."""
    rows = [(row.cols, row.coefs, row.lo, row.hi) for row in program.rows]
    text = repr((program.lower, program.upper, program.cost, rows))
    return hashlib.blake2b(text.encode(), digest_size=16).digest()


__all__ = ["canonical", "fingerprint"]
