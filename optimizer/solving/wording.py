"""Why a bill line has its quantity, in trade words, from the plain design alone.

Lengths are in metres, storage in GB (10^9 byte), currents in amperes, PoE in watts, as in
``optimizer/RULES.md``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from optimizer.design import Camera, Design, PowerUnit, Recorder
from optimizer.errors import listed
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem
from optimizer.site import Site

MOST_PLACES = 6
"""Places named in one reason; the rest are counted."""

ARRAY_WORDS = {
    "single": "",
    "mirror": "mirrored",
    "5": "array 5",
    "6": "array 6",
    "10": "array 10",
}
_CABLE_OF = {"bnc": "coax", "rj45": "category", "rca": "audio"}


@dataclass(frozen=True)
class _Kit:
    site: Site
    items: Mapping[str, AnyItem]
    design: Design

    def pieces(self, item: str) -> int:
        """Pieces of a small part in use, whatever for."""
        return sum(p.pieces for p in self.design.parts if p.item == item)

    def cameras(self, test: Callable[[Camera], bool]) -> str:
        """Some cameras and their zones: "cameras at gate (2), yard"; empty if there is none."""
        zones = Counter(c.zone for c in self.design.cameras if test(c))
        word = "camera" if zones.total() == 1 else "cameras"
        return f"{word} at {_places(zones)}" if zones else ""

    def loads(self, units: Iterable[PowerUnit | Recorder]) -> str:
        """What some supplies, switches, recorders or injectors feed, counted."""
        ids = {unit.id for unit in units}
        cameras = sum(c.power.unit in ids for c in self.design.cameras)
        microphones = sum(s.power.unit in ids for s in self.design.audio)
        words = [count(cameras, "camera")] if cameras else []
        words += [count(microphones, "microphone")] if microphones else []
        return _and(words)


def because(site: Site, items: Mapping[str, AnyItem], design: Design) -> dict[str, str]:
    """Reasons for the quantities of a kit.

    Parameters
    ----------
    site : Site
        What is asked.
    items : mapping
        The items of the price book by id.
    design : Design
        How each piece is used; its bill and money are not looked at.

    Returns
    -------
    dict of str to str
        For each item that has a job in the design or that the site requires: one short reason.
        Items bought without a job, for the sake of a price break or an offer, are left out; see
        :func:`line_because`.
    """
    kit = _Kit(site, items, design)
    required = {need.item: need.quantity for need in site.policy.require}
    reasons = {}
    for name, item in items.items():
        told = [part for part in _REASONS[item.kind](kit, item) if part]
        if name in required:
            told.append(f"the site requires {required[name]}")
        if told:
            reasons[name] = "; ".join(told)
    return reasons


def line_because(
    reason: str | None, quantity: int, used: int, from_stock: int = 0, pack: int = 1
) -> str:
    """The reason of one bill line: why so many are used, and why more or fewer are bought.

    Parameters
    ----------
    reason : str or None
        From :func:`because`; None for an item without a job.
    quantity : int
        Bought, in packs where the item comes in packs.
    used, from_stock : int
        Pieces doing a job, and how many pieces of what is owned are taken.
    pack : int
        Pieces for one price.
    """
    told = [reason] if reason else []
    if from_stock:
        told.append("all from stock" if not quantity else f"{from_stock:,} from stock")
    bought, needed = quantity * pack, used - from_stock
    if not used:
        if not reason:
            told.append("has no job here: an offer or price break makes the kit cheaper with it")
    elif pack > 1 and bought > needed:
        told.append(f"{needed:,} used of {bought:,}")
    elif bought > needed:
        told.append(f"{bought - needed:,} more than needed, cheaper so")
    return "; ".join(told)


def count(number: int, word: str) -> str:
    """A number with its word in the right form: "1 supply", "4 supplies", "2 switches"."""
    if number == 1:
        return f"1 {word}"
    if word.endswith("y"):
        return f"{number:,} {word[:-1]}ies"
    return f"{number:,} {word}{'es' if word.endswith('ch') else 's'}"


def _and(words: Iterable[str]) -> str:
    return " and ".join(words)


def _places(counts: Mapping[str, int]) -> str:
    return listed((p if n == 1 else f"{p} ({n:,})" for p, n in counts.items()), MOST_PLACES)


def _metres(cm: int) -> str:
    return f"{cm / 100:,.1f} m"


def _camera(kit: _Kit, item: book.Camera) -> Iterator[str]:
    yield kit.cameras(lambda c: c.item == item.id)


def _bracket(kit: _Kit, item: book.Bracket) -> Iterator[str]:
    where = kit.cameras(lambda c: c.bracket == item.id)
    if where:
        yield f"for the {where}"


def _recorder(kit: _Kit, item: book.Recorder) -> Iterator[str]:
    units = [r for r in kit.design.recorders if r.item == item.id]
    if not units:
        return
    stored, usable = sum(r.stored_gb for r in units), sum(r.usable_gb for r in units)
    used, channels = sum(r.channels_used for r in units), sum(r.channels for r in units)
    holds = f"{stored:,} of {usable:,} GB, {used:,} of {channels:,} channels"
    yield f"holds {holds}" if len(units) == 1 else f"{len(units)} together hold {holds}"
    powered = kit.loads(units)
    if powered:
        yield f"powers {powered}"


def _drive(kit: _Kit, item: book.Drive) -> Iterator[str]:
    units = {
        r.id: (r, sum(d.count for d in r.drives if d.item == item.id))
        for r in kit.design.recorders
        if any(d.item == item.id for d in r.drives)
    }
    if not units:
        return
    stored = sum(r.stored_gb for r, _ in units.values())
    usable = sum(r.usable_gb for r, _ in units.values())
    arrays = [w for w in dict.fromkeys(ARRAY_WORDS[r.array] for r, _ in units.values()) if w]
    where = _places({name: number for name, (_, number) in units.items()})
    yield f"in {where}: {stored:,} of {usable:,} GB" + "".join(f", {w}" for w in arrays)


def _optical_writer(kit: _Kit, item: book.OpticalWriter) -> Iterator[str]:
    number = sum(r.optical_writer == item.id for r in kit.design.recorders)
    if number:
        yield f"evidence discs, {count(number, 'recorder')}"


def _microphone(kit: _Kit, item: book.Microphone) -> Iterator[str]:
    points = [s.point for s in kit.design.audio if s.microphone == item.id]
    if points:
        yield f"sound at {listed(points, MOST_PLACES)}"


def _lead(kit: _Kit, item: book.Lead) -> Iterator[str]:
    runs = [r for r in kit.design.runs if r.medium == "lead" and item.id in r.items]
    places = [r.place + (" (joined)" if len(r.items) > 1 else "") for r in runs]
    if places:
        yield f"to {listed(places, MOST_PLACES)}"
    links = kit.pieces(item.id)
    if links:
        yield f"links {count(links, 'switch')} in the rack"


def _cable(kit: _Kit, item: book.Cable) -> Iterator[str]:
    boxes = [b for b in kit.design.boxes if b.item == item.id]
    if not boxes:
        return
    runs = sum(len(b.cuts) for b in boxes)
    total = sum(b.length_cm for b in boxes)
    cut = total - sum(b.left_cm for b in boxes)
    yield f"{count(runs, 'run')}, {_metres(cut)} of {_metres(total)} cut"


def _connector(kit: _Kit, item: book.Connector) -> Iterator[str]:
    ends = kit.pieces(item.id)
    cable = _CABLE_OF[item.type]
    if ends and ends % 2 == 0:
        yield f"{count(ends // 2, f'{cable} run')} x 2 ends"
    elif ends:
        yield f"{count(ends, 'end')} of {cable} runs"


def _pigtail(kit: _Kit, item: book.Pigtail) -> Iterator[str]:
    number = kit.pieces(item.id)
    if number:
        plug = "plug" if item.gender == "male" else "socket"
        yield f"barrel {plug} on {count(number, 'power end')}"


def _coupler(kit: _Kit, item: book.Coupler) -> Iterator[str]:
    number = kit.pieces(item.id)
    if number:
        yield f"{count(number, 'joint')} between leads"


def _splitter(kit: _Kit, item: book.Splitter) -> Iterator[str]:
    number = kit.pieces(item.id)
    if number:
        yield f"{count(number, 'microphone')} on the feed of a camera"


def _tool(kit: _Kit, item: book.Tool) -> Iterator[str]:
    methods: Counter[str] = Counter()
    for part in kit.design.parts:
        fitted = kit.items.get(part.item)
        if isinstance(fitted, book.Connector) and fitted.tool in item.types:
            methods[f"{fitted.method.replace('_', '-')} {fitted.type.upper()}"] += part.pieces
    if methods:
        what = _and(f"{number:,} {method}" for method, number in methods.items())
        number = sum(methods.values())
        yield f"for {what} {'connector' if number == 1 else 'connectors'}"


def _balun(kit: _Kit, item: book.Balun) -> Iterator[str]:
    number = sum(c.balun == item.id for c in kit.design.cameras)
    if number:
        yield f"{count(number, 'category run')} x 2 ends"


def _supply(kit: _Kit, item: book.Supply) -> Iterator[str]:
    units = [u for u in kit.design.supplies if u.item == item.id]
    room = [u for u in units if u.place == "room"]
    if room:
        load, limit = sum(u.load for u in room), sum(u.limit for u in room)
        verb = "feeds" if len(room) == 1 else f"{len(room)} together feed"
        yield f"{verb} {kit.loads(room)}, {load / 1000:.1f} of {limit / 1000:.1f} A"
    local = [u.place for u in units if u.place != "room"]
    if local:
        yield f"from the mains at {listed(local, MOST_PLACES)}"


def _switch(kit: _Kit, item: book.Switch) -> Iterator[str]:
    units = [u for u in kit.design.switches if u.item == item.id]
    if not units:
        return
    ids = {u.id for u in units}
    together = "" if len(units) == 1 else f"{len(units)} together: "
    powered = kit.loads(units)
    if powered:
        load, limit = sum(u.load for u in units), sum(u.limit for u in units)
        yield f"{together}powers {powered}, {load / 100:.1f} of {limit / 100:.1f} W"
    plain = sum(c.data_port in ids for c in kit.design.cameras)
    if plain:
        yield f"{'' if powered else together}connects {count(plain, 'camera')} powered elsewhere"


def _injector(kit: _Kit, item: book.Injector) -> Iterator[str]:
    ids = {u.id for u in kit.design.injectors if u.item == item.id}
    where = kit.cameras(lambda c: c.power.unit in ids)
    if where:
        yield f"powers the {where}"


def _mains_lead(kit: _Kit, item: book.MainsLead) -> Iterator[str]:
    design = kit.design
    units: list[PowerUnit | Recorder] = [
        *design.recorders,
        *design.supplies,
        *design.switches,
        *design.injectors,
    ]
    kinds: Counter[str] = Counter()
    for unit in units:
        owner = kit.items[unit.item]
        if getattr(owner, "mains_lead", None) == item.type:
            kinds[owner.kind] += 1
    if kinds:
        yield f"mains for {_and(count(number, kind) for kind, number in kinds.items())}"


def _nothing(_kit: _Kit, _item: book.Extra) -> Iterator[str]:
    """An extra is in the kit because the site requires it, and for nothing else."""
    return iter(())


_REASONS: dict[str, Callable[[_Kit, Any], Iterator[str]]] = {
    "camera": _camera,
    "bracket": _bracket,
    "recorder": _recorder,
    "drive": _drive,
    "optical_writer": _optical_writer,
    "microphone": _microphone,
    "lead": _lead,
    "cable": _cable,
    "connector": _connector,
    "pigtail": _pigtail,
    "coupler": _coupler,
    "splitter": _splitter,
    "tool": _tool,
    "balun": _balun,
    "supply": _supply,
    "switch": _switch,
    "injector": _injector,
    "mains_lead": _mains_lead,
    "extra": _nothing,
}
