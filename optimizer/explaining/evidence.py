"""Where a first proof points: the places that it speaks of, so that a conflict is sought there.

What a proof uses is a hint and no more: that fewer requirements cannot hold together is asked anew.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.explaining.asking import least_net
from optimizer.explaining.certificate import Certificate, certify
from optimizer.explaining.confirming import limited
from optimizer.explaining.holding import BUDGET, Holding, Memory, at_place
from optimizer.instance import Instance, build_instance
from optimizer.model import Program, build

_SECONDS = 2.0


@dataclass(frozen=True)
class _Spoken:
    """What a proof speaks of.

    Attributes
    ----------
    places : frozenset of str
        Zones and audio points, as "zones.gate".
    price : bool
        Whether what the kit costs has a part in it.
    """

    places: frozenset[str]
    price: bool


def narrowed(holding: Holding, memory: Memory, ids: frozenset[str]) -> frozenset[str]:
    """Fewer of some requirements that are proven not to hold together either, if evidence shows so.

    Parameters
    ----------
    ids : frozenset of str
        Proven not to hold together.
    """
    spoken = _spoken(holding, ids)
    if spoken is None:
        return ids
    fewer = holding.normal(
        i
        for i in ids
        if (i in spoken.places or i.partition("/")[0] in spoken.places or not at_place(i))
        and (spoken.price or i != BUDGET)
    )
    # What counts pieces has to be asked of many sites; most often it has no part in it.
    for some in (frozenset(i for i in fewer if not holding.counted(i)), fewer):
        if some and some < ids and memory(some) == "no":
            return some
    return ids


def _spoken(holding: Holding, ids: frozenset[str]) -> _Spoken | None:
    site = next(iter(holding.sites(ids)), None)
    if site is None:
        return None
    memory = holding.asker.memory
    instance = build_instance(site, holding.book, memory=memory, sure=not site.areas)
    names = {f"zones.{z.id}": z.id for z in site.zones}
    if not instance.recorders:
        return _Spoken(frozenset(list(names)[:1]), False)
    empty = [t for t in instance.zones if not t.candidates and not t.optional]
    if empty:
        return _Spoken(frozenset({f"zones.{empty[0].name}"}), False)
    below = None
    if BUDGET in ids and holding.limit is not None:
        below = least_net(holding.limit + 1, site.money.tax)
    program = limited(build(instance).program, below)
    found = certify(program, _SECONDS)
    return None if found is None else _of_proof(instance, program, found)


def _of_proof(instance: Instance, program: Program, proof: Certificate) -> _Spoken:
    """Places whose rows, or whose variables' bounds, a proof makes use of."""
    used = {
        int(part.partition(":")[0])
        for line in proof.lines
        if not line.startswith("if ")
        for part in line.split()[1:]
    }
    places: set[str] = set()
    price = False
    grouped = {t.name: [f"zones.{z.id}" for z in t.zones] for t in instance.zones}
    known = {*grouped, *(zone.id for zone in instance.site.areas)}
    points = {s.point.id: f"audio.{s.point.id}" for s in instance.sounds}
    for number in used:
        row = program.rows[number]
        words = row.name.split("/")[1:]
        places.update(z for word in words for z in grouped.get(word, ()))
        places.update(points[word] for word in words if word in points)
        price = price or "price" in row.tags or BUDGET in row.tags
        for tag in row.tags:
            place = tag.partition("/")[0]
            if place.removeprefix("zones.") in known or place.removeprefix("audio.") in points:
                places.add(place)
    return _Spoken(frozenset(places), price)


__all__ = ["narrowed"]
