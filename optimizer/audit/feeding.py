"""Section 3 of the rules: low-voltage feeds of cameras and microphones (F1, F2, F3)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimizer import design as plain
from optimizer.audit.case import ROOM, Case, Fitted, Heard, LaidRun
from optimizer.audit.figures import FLOAT_SHARE, down, prints_as, up
from optimizer.audit.finding import Fault, Rule, counted, figure
from optimizer.engineering.copper import loop_resistance, voltage_at_load
from optimizer.pricebook import schema as book
from optimizer.reading.fields import SpanOf

LOW_VOLTAGE = ("own_pair", "separate_pair", "local")
MICROPHONE_FEED = "12 V DC"
VOLT_DECIMALS, WATT_DECIMALS = 2, 2
"""A design may print these figures so coarsely; the rules go by the exact ones."""

FEEDS: dict[str, tuple[str, ...]] = {
    "V1": ("own_pair",),
    "V2": ("separate_pair", "local"),
    "V3": ("own_pair", "separate_pair", "local"),
    "V4": ("own_pair", "separate_pair", "local"),
    "V5": ("own_pair",),
    "D1": ("separate_pair", "local", "poe"),
    "D2": ("separate_pair", "local", "poe"),
    "D3": ("separate_pair", "local", "poe"),
}
"""Feeds that each path leaves open; V3 and V4 have an own pair only if their cable brings one."""


def feeds(case: Case) -> Iterator[Fault]:
    """The feed is one that path, camera and zone allow."""
    for camera in case.cameras:
        way, path = camera.stated.power.way, camera.stated.path
        if way not in FEEDS[path]:
            text = f"path {path} is fed by {' or '.join(FEEDS[path])}, not by {way}"
            yield Fault(camera.place, "missing" if way == "none" else "mismatch", text)
            continue
        if way == "own_pair" and path == "V3" and camera.path.medium != "coax_power":
            text = f"an existing {camera.path.medium} has no power pair of its own"
            yield Fault(camera.place, "limit", text)
        if way == "own_pair" and path == "V4" and not (camera.balun and camera.balun.power_pairs):
            yield Fault(camera.place, "limit", "the baluns carry no power")
        if way != "own_pair" and path == "V4" and camera.balun and camera.balun.watts:
            text = (
                f"{camera.balun.id} draws {figure(Fraction(camera.balun.watts))} W, which only the "
                "pairs of its own cable bring it"
            )
            yield Fault(camera.place, "limit", text)
        if way == "local" and not camera.zone.mains:
            yield Fault(camera.place, "limit", "there is no mains at the camera point")
        if way == "poe" and camera.item.poe_class is None:
            yield Fault(camera.place, "limit", f"{camera.item.id} has no PoE class")
    for camera in case.cameras:
        fed = _camera_feed(case, camera)
        if camera.stated.power.way in LOW_VOLTAGE and fed is None:
            supply = case.supplies[camera.stated.power.unit or ""][1]
            listed = ", ".join(f.feed for f in camera.item.feeds) or "no low-voltage feed"
            text = f"{camera.item.id} takes {listed}, {supply.id} gives {supply.feed}"
            yield Fault(camera.place, "limit", text)
    for sound in case.sounds:
        if sound.stated.power.way in LOW_VOLTAGE:
            supply = case.supplies[sound.stated.power.unit or ""][1]
            if supply.feed != MICROPHONE_FEED:
                text = f"a microphone takes {MICROPHONE_FEED}, {supply.id} gives {supply.feed}"
                yield Fault(sound.place, "limit", text)


def _camera_feed(case: Case, camera: Fitted) -> book.CameraFeed | None:
    if camera.stated.power.way not in LOW_VOLTAGE:
        return None
    supply = case.supplies[camera.stated.power.unit or ""][1]
    return next((f for f in camera.item.feeds if f.feed == supply.feed), None)


@dataclass(frozen=True)
class Load:
    """What hangs on one output of a supply.

    Attributes
    ----------
    watts : float
        Camera, microphone that shares the feed, and balun together. [W]
    spans : tuple
        Who needs which voltages. [V]
    volts : float or None
        At the load; None where no steady solution exists. [V]
    """

    place: str
    stated: plain.FedFrom
    unit: plain.PowerUnit
    supply: book.Supply
    watts: float
    spans: tuple[tuple[str, SpanOf], ...]
    volts: float | None

    @property
    def amps(self) -> float | None:
        return None if self.volts is None else self.watts / self.volts

    @property
    def milliamps(self) -> int:
        """Current in the sums; 0 for a load that rule "3 volts" refuses already. [mA, up]"""
        return 0 if self.amps is None else up(self.amps * 1000)


def loads(case: Case) -> list[Load]:
    """Every load on an output of a supply, in the order of the design."""
    found = [_camera_load(case, c) for c in case.cameras]
    found += [_microphone_load(case, s) for s in case.sounds]
    return [one for one in found if one is not None]


def _camera_load(case: Case, camera: Fitted) -> Load | None:
    feed, stated = _camera_feed(case, camera), camera.stated.power
    if feed is None:
        return None
    watts, spans = Fraction(feed.watts), [(camera.item.id, feed.volts)]
    microphone = case.sharer(camera)
    if microphone is not None and microphone.volts is not None:
        watts += Fraction(microphone.watts)
        spans.append((microphone.id, microphone.volts))
    run, pairs = camera.power_run, 1
    if stated.way == "own_pair":
        run = camera.path
        if camera.balun is not None:
            watts += Fraction(camera.balun.watts)
            pairs = max(1, camera.balun.power_pairs)
    return _load(case, camera.place, stated, watts, tuple(spans), run, pairs)


def _microphone_load(case: Case, sound: Heard) -> Load | None:
    stated, microphone = sound.stated.power, sound.microphone
    if stated.way not in LOW_VOLTAGE or microphone is None or microphone.volts is None:
        return None
    run = sound.run("power_pair") if stated.way == "separate_pair" else sound.run("lead")
    spans = ((microphone.id, microphone.volts),)
    return _load(case, sound.place, stated, Fraction(microphone.watts), spans, run, 1)


def _load(
    case: Case,
    place: str,
    stated: plain.FedFrom,
    watts: Fraction,
    spans: tuple[tuple[str, SpanOf], ...],
    run: LaidRun | None,
    pairs: int,
) -> Load:
    unit, supply = case.supplies[stated.unit or ""]
    ohms = 0.0 if run is None or stated.way == "local" else loop_ohms(case, run) / pairs
    volts = voltage_at_load(float(supply.volts), float(watts), ohms)
    return Load(place, stated, unit, supply, float(watts), spans, volts)


def loop_ohms(case: Case, run: LaidRun) -> float:
    """Resistance there and back of a run's power conductors, warm. [ohm]"""
    celsius = float(case.site.assumptions.conductor_temperature)
    return sum(loop_resistance(gauge, float(length), celsius) for gauge, length in run.gauges)


def volts(case: Case) -> Iterator[Fault]:
    """Unloaded, the line is not too high; loaded, the voltage exists and is not too low."""
    for load in loads(case):
        high = Fraction(load.supply.volts)
        for who, span in load.spans:
            if high > span.high:
                text = f"{load.unit.id} gives {figure(high)} V unloaded, {who} stands "
                text += f"{figure(Fraction(span.high))} V"
                yield Fault(load.place, "limit", text, high, Fraction(span.high))
            if load.volts is not None and load.volts * (1 + FLOAT_SHARE) < span.low:
                text = f"{figure(load.volts)} V are left for {who}, it needs "
                text += f"{figure(Fraction(span.low))} V"
                yield Fault(load.place, "limit", text, load.volts, Fraction(span.low))
        if load.volts is None:
            text = f"no steady voltage: {figure(load.watts)} W over this run from {figure(high)} V"
            yield Fault(load.place, "limit", text)


def load_figures(case: Case) -> Iterator[Fault]:
    """Stated watts, volts and milliamps of each load are the recomputed ones."""
    for load in loads(case):
        if load.volts is None or load.amps is None:
            continue
        for what, dimension, stated, exact, decimals in (
            ("draws", "W", load.stated.watts, load.watts, WATT_DECIMALS),
            ("has", "V", load.stated.volts_at_load, load.volts, VOLT_DECIMALS),
        ):
            if stated is None or not prints_as(stated, exact, decimals):
                said = "nothing" if stated is None else f"{figure(stated)} {dimension}"
                text = f"{what} {figure(exact)} {dimension}, the design says {said}"
                yield Fault(load.place, "mismatch", text, stated, exact)
        least, stated_ma = load.milliamps, load.stated.milliamps
        # Noise in the last bit may move a current that is a whole number of mA to the next one.
        most = max(least, up(load.amps * 1000 * (1 + 2 * FLOAT_SHARE)))
        if stated_ma is None or not least <= stated_ma <= most:
            text = f"draws {figure(least)} mA, the design says {stated_ma} mA"
            yield Fault(load.place, "mismatch", text, stated_ma, least)


def bare_figures(case: Case) -> Iterator[Fault]:
    """Loads without an output of their own state no figures but those that can be recomputed.

    PoE: the class power alone. A microphone that shares a feed: its own watts and the shared
    unit, output and volts, or nothing. No feed: nothing.
    """
    for camera in case.cameras:
        power = camera.stated.power
        if power.way == "poe" and (power.volts_at_load, power.milliamps) != (None, None):
            yield Fault(camera.place, "mismatch", "PoE goes by class power, not by volts and mA")
    for sound in case.sounds:
        power = sound.stated.power
        if power.way == "camera" and sound.camera is not None:
            yield from _shared(case, sound, sound.camera)
        elif power.way == "none" and power != plain.FedFrom(way="none"):
            yield Fault(sound.place, "mismatch", "is not fed, yet states figures of a feed")


def _shared(case: Case, sound: Heard, camera: Fitted) -> Iterator[Fault]:
    said, theirs, microphone = sound.stated.power, camera.stated.power, sound.microphone
    load = _camera_load(case, camera)
    if load is None or load.volts is None or microphone is None:
        return
    own_watts = float(microphone.watts)
    for what, dimension, stated, exact, decimals in (
        ("shares", "V", said.volts_at_load, load.volts, VOLT_DECIMALS),
        ("draws", "W", said.watts, own_watts, WATT_DECIMALS),
    ):
        if stated is not None and not prints_as(stated, exact, decimals):
            text = (
                f"{what} {figure(exact)} {dimension}, the design says {figure(stated)} {dimension}"
            )
            yield Fault(sound.place, "mismatch", text, stated, exact)
    own_ma = up(own_watts / load.volts * 1000)
    if said.milliamps not in (None, own_ma, theirs.milliamps):
        text = f"draws {own_ma} mA, the design says {said.milliamps} mA"
        yield Fault(sound.place, "mismatch", text, said.milliamps, own_ma)
    if said.unit not in (None, theirs.unit) or said.output not in (None, theirs.output):
        text = (
            f"shares output {theirs.output} of {theirs.unit} with {camera.place}, the design "
            f"says {said.output} of {said.unit}"
        )
        yield Fault(sound.place, "mismatch", text)


def _share(case: Case, amps: Decimal) -> int:
    """What may be drawn of an output or a supply. [mA, rounded down]"""
    return down((1 - Fraction(case.site.spare.supply)) * Fraction(amps) * 1000)


def output_current(case: Case) -> Iterator[Fault]:
    """The current of each load stays within the loaded share of its output."""
    for load in loads(case):
        most = _share(case, load.supply.output_amps)
        if load.milliamps > most:
            text = (
                f"draws {figure(load.milliamps)} mA, an output of {load.unit.id} gives "
                f"{figure(most)} mA"
            )
            yield Fault(load.place, "limit", text, load.milliamps, most)


def total_current(case: Case) -> Iterator[Fault]:
    """The currents of all loads of a unit stay within its loaded share; its figures agree."""
    every = loads(case)
    for unit, supply in case.supplies.values():
        mine = [load for load in every if load.unit.id == unit.id]
        total = sum(load.milliamps for load in mine)
        most = _share(case, supply.total_amps)
        if total > most:
            text = f"is loaded with {figure(total)} mA, it may give {figure(most)} mA"
            yield Fault(unit.id, "limit", text, total, most)
        if unit.limit != most:
            text = f"may give {figure(most)} mA, the design says {figure(unit.limit)} mA"
            yield Fault(unit.id, "mismatch", text, unit.limit, most)
        # The stated currents were compared one by one under "3 load figures".
        if unit.load not in (total, sum(load.stated.milliamps or 0 for load in mine)):
            text = f"is loaded with {figure(total)} mA, the design says {figure(unit.load)} mA"
            yield Fault(unit.id, "mismatch", text, unit.load, total)


def outputs(case: Case) -> Iterator[Fault]:
    """One load for each output, outputs that exist, and every unit feeds something."""
    fed = [(c.place, c.stated.power) for c in case.cameras]
    fed += [(s.place, s.stated.power) for s in case.sounds]
    for unit, supply in case.supplies.values():
        mine = [p for _, p in fed if p.way in LOW_VOLTAGE and p.unit == unit.id]
        n = len(mine)
        if n == 0:
            yield Fault(unit.id, "surplus", "feeds nothing", 0, 1)
        if n > supply.outputs:
            text = f"{counted(n, 'load')} on {counted(supply.outputs, 'output')}"
            yield Fault(unit.id, "limit", text, n, supply.outputs)
        for output, times in Counter(p.output for p in mine).items():
            if output is None or not 1 <= output <= supply.outputs:
                text = f"there is no output {output}, only 1 to {supply.outputs}"
                yield Fault(unit.id, "mismatch", text)
            elif times > 1:
                yield Fault(unit.id, "limit", f"output {output} feeds {times} loads", times, 1)
        if (unit.outputs_used, unit.outputs) != (n, supply.outputs):
            text = (
                f"outputs in use: {n} of {supply.outputs}, the design says "
                f"{unit.outputs_used} of {unit.outputs}"
            )
            yield Fault(unit.id, "mismatch", text, unit.outputs_used, n)


def places(case: Case) -> Iterator[Fault]:
    """Supplies and switches stand in the room; at a point stands an adapter of its own."""
    for switch, _ in case.switches.values():
        if switch.place != ROOM:
            text = f"a switch stands in the {ROOM}, the design says {switch.place}"
            yield Fault(switch.id, "mismatch", text)
    fed = [(c.place, c.stated.power) for c in case.cameras]
    fed += [(s.place, s.stated.power) for s in case.sounds]
    for place, power in fed:
        if power.way not in LOW_VOLTAGE:
            continue
        unit, supply = case.supplies[power.unit or ""]
        wanted = place if power.way == "local" else ROOM
        if unit.place != wanted:
            text = f"is fed from {wanted}, but {unit.id} stands at {unit.place}"
            yield Fault(place, "mismatch", text)
        if power.way == "local" and supply.form != "adapter":
            text = f"{supply.id} is a {supply.form} supply, at the point stands an adapter"
            yield Fault(place, "limit", text)


RULES = (
    Rule("3 feeds", feeds),
    Rule("3 volts", volts),
    Rule("3 load figures", load_figures),
    Rule("3 shared figures", bare_figures),
    Rule("3 output current", output_current),
    Rule("3 supply current", total_current),
    Rule("3 outputs", outputs),
    Rule("3 places", places),
)
