"""Section 2 of the rules: streams, recorders, drives.

All sums here are over integers, each addend rounded as the rules say: up for what is asked, down
for what a piece can do. A sum that holds this way holds at full precision too, so a breach at
full precision is always a breach found here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction

from optimizer import design as plain
from optimizer.audit.case import Case
from optimizer.audit.figures import (
    down,
    gb,
    in_stream,
    kbit_s,
    kpx_s,
    picture_bytes,
    rate_of,
    recorded_picture,
    sound_bytes,
)
from optimizer.audit.finding import Fault, Rule, counted, figure
from optimizer.engineering.storage import array_min_drives, array_usable
from optimizer.pricebook import schema as book
from optimizer.pricebook.schema import AnyItem
from optimizer.site.schema import Site

ARRAYS = {0: ("single",), 1: ("mirror", "5", "10", "6"), 2: ("6",)}
"""Arrays that stand so many drive failures."""


def bit_rates(case: Case) -> Iterator[Fault]:
    """2.1: stated bit rates, in bit/s, are the zone's, the measured or the expected ones."""
    for camera in case.cameras:
        rate = rate_of(case.site, camera)
        if rate is not None and abs(camera.stated.bit_rate - rate) >= 1:
            stated = camera.stated.bit_rate
            text = f"sends {figure(rate)} bit/s, the design says {figure(stated)} bit/s"
            yield Fault(camera.place, "mismatch", text, stated, rate)


def storage_figures(case: Case) -> Iterator[Fault]:
    """2.2: stated storage of cameras and audio points, in bytes."""
    sizes = [
        (c.place, c.stated.storage_bytes, picture_bytes(case.site, c.zone, rate))
        for c in case.cameras
        if (rate := rate_of(case.site, c)) is not None
    ]
    sizes += [
        (s.place, s.stated.storage_bytes, sound_bytes(case.site, s.point)) for s in case.sounds
    ]
    for place, stated, exact in sizes:
        if abs(stated - exact) >= 1:
            text = f"needs {figure(exact)} bytes, the design says {figure(stated)} bytes"
            yield Fault(place, "mismatch", text, stated, exact)


def channel_count(item: book.Recorder) -> int:
    """Channels of a recorder: its cap, or all inputs."""
    return item.channels if item.channels is not None else sum(g.count for g in item.inputs)


def inputs(case: Case) -> Iterator[Fault]:
    """2.3: every camera is in the input group of its family, no group holds more than it can."""
    for camera in case.cameras:
        if camera.group is None:
            text = f"{camera.recorder.id} has no input for {camera.item.family}"
            yield Fault(camera.place, "limit", text)
    for unit, item in case.recorders:
        for group in item.inputs:
            n = sum(1 for c in case.on(unit) if c.group is group)
            if n > group.count:
                words = " or ".join(group.families)
                text = f"{counted(n, 'camera')} on {counted(group.count, 'input')} for {words}"
                yield Fault(unit.id, "limit", text, n, group.count)


def channels(case: Case) -> Iterator[Fault]:
    """2.3: channels are numbered once each, within the unit, and no more than it has."""
    for unit, item in case.recorders:
        cameras, most = case.on(unit), channel_count(item)
        n, ends = len(cameras), sum(g.count for g in item.inputs)
        if n > most:
            yield Fault(
                unit.id, "limit", f"{counted(n, 'camera')} on {counted(most, 'channel')}", n, most
            )
        for channel, times in Counter(c.stated.channel for c in cameras).items():
            if times > 1:
                text = f"channel {channel} is used by {times} cameras"
                yield Fault(unit.id, "mismatch", text, times, 1)
            if not 1 <= channel <= ends:
                text = f"there is no channel {channel}, only 1 to {ends}"
                yield Fault(unit.id, "mismatch", text, channel, ends)
        yield from _stated(unit, "channels in use", unit.channels_used, n, "")
        yield from _stated(unit, "channels", unit.channels, most, "")


def _stated(
    unit: plain.Recorder, what: str, stated: int, exact: int, dimension: str
) -> Iterator[Fault]:
    if stated != exact:
        text = f"{what}: {figure(exact)}{dimension}, the design says {figure(stated)}{dimension}"
        yield Fault(unit.id, "mismatch", text, stated, exact)


def encoding(case: Case) -> Iterator[Fault]:
    """2.3: composite and hd_coax pictures together stay within the encode rate."""
    for unit, item in case.recorders:
        total = sum(
            kpx_s(c.zone, recorded_picture(c.item, c.group))
            for c in case.on(unit)
            if c.group is not None and c.item.family != "network"
        )
        yield from _stated(unit, "pictures to encode", unit.encode_kpx_s, total, " kpx/s")
        most = 0 if item.encode_rate is None else down(Fraction(item.encode_rate) / 1000)
        if total > most:
            text = f"encodes {figure(total)} kpx/s, it can {figure(most)} kpx/s"
            yield Fault(unit.id, "limit", text, total, most)


def ingest(case: Case) -> Iterator[Fault]:
    """2.3 and 2.2: network streams with the sound in them stay within the ingest limit."""
    for unit, item in case.recorders:
        rates = [rate_of(case.site, c) for c in case.on(unit) if c.item.family == "network"]
        total = sum(kbit_s(r) for r in rates if r is not None)
        streams = sum(1 for s in case.heard_on(unit) if in_stream(s))
        total += streams * kbit_s(Fraction(case.site.audio.bit_rate))
        yield from _stated(unit, "network streams", unit.kbit_s, total, " kbit/s")
        most = 0 if item.ingest is None else down(Fraction(item.ingest) / 1000)
        if total > most:
            text = f"takes in {figure(total)} kbit/s, it can {figure(most)} kbit/s"
            yield Fault(unit.id, "limit", text, total, most)


def recorder_codec(case: Case) -> Iterator[Fault]:
    """2.3: the recorder lists the site's codec."""
    for unit, item in case.recorders:
        if case.site.recording.codec not in item.codecs:
            text = f"records {', '.join(item.codecs)}, not {case.site.recording.codec}"
            yield Fault(unit.id, "limit", text)


def audio_inputs(case: Case) -> Iterator[Fault]:
    """2.3: audio inputs are used once each and no more than there are; streams use none."""
    for unit, item in case.recorders:
        wired = [s for s in case.heard_on(unit) if not in_stream(s)]
        n = len(wired)
        if n > item.audio_inputs:
            text = f"{counted(n, 'audio point')} on {counted(item.audio_inputs, 'audio input')}"
            yield Fault(unit.id, "limit", text, n, item.audio_inputs)
        for number, times in Counter(s.stated.input for s in wired).items():
            if number is None or not 1 <= number <= item.audio_inputs:
                text = f"there is no audio input {number} among {item.audio_inputs}"
                yield Fault(unit.id, "mismatch", text)
            elif times > 1:
                text = f"audio input {number} is used by {times} points"
                yield Fault(unit.id, "mismatch", text, times, 1)
        yield from _stated(unit, "audio inputs in use", unit.audio_inputs_used, n, "")
    for sound in case.sounds:
        if in_stream(sound) and sound.stated.input is not None:
            text = f"travels in a stream, yet has audio input {sound.stated.input}"
            yield Fault(sound.place, "mismatch", text)


def drive_gb(case: Case, item_id: str) -> int:
    """Capacity of a drive in the sums. [GB, rounded down]"""
    item = case.items[item_id]
    assert isinstance(item, book.Drive)
    return down(Fraction(item.capacity) / 10**9)


def counted_drives(unit: plain.Recorder) -> Counter[str]:
    """How many drives of each item a unit has."""
    counted: Counter[str] = Counter()
    for drives in unit.drives:
        counted[drives.item] += drives.count
    return counted


def usable_gb(case: Case, unit: plain.Recorder) -> int | None:
    """Usable capacity of a unit's drives; None where the array cannot be made of them. [GB]"""
    drives = counted_drives(unit)
    if unit.array in ("single", "mirror"):
        if unit.array == "mirror" and any(n % 2 for n in drives.values()):
            return None
        raw = sum(n * drive_gb(case, item) for item, n in drives.items())
        return raw if unit.array == "single" else raw // 2
    n = sum(drives.values())
    if len(drives) != 1 or n < array_min_drives(unit.array) or (unit.array == "10" and n % 2):
        return None
    return array_usable(unit.array, n, drive_gb(case, next(iter(drives))))


def storage(case: Case) -> Iterator[Fault]:
    """2.3: what a unit's cameras and audio points need fits on its drives."""
    for unit, _ in case.recorders:
        rates = [(c.zone, rate_of(case.site, c)) for c in case.on(unit)]
        total = sum(gb(picture_bytes(case.site, z, r)) for z, r in rates if r is not None)
        total += sum(gb(sound_bytes(case.site, s.point)) for s in case.heard_on(unit))
        usable = usable_gb(case, unit)
        yield from _stated(unit, "stored", unit.stored_gb, total, " GB")
        if usable is None:
            continue
        yield from _stated(unit, "usable", unit.usable_gb, usable, " GB")
        if total > usable:
            text = f"stores {figure(total)} GB, its drives hold {figure(usable)} GB"
            yield Fault(unit.id, "limit", text, total, usable)


def recorder_in_use(case: Case) -> Iterator[Fault]:
    """2.3: each unit has at least one camera."""
    for unit, _ in case.recorders:
        if not case.on(unit):
            yield Fault(unit.id, "surplus", "records no camera", 0, 1)


def drives(case: Case) -> Iterator[Fault]:
    """2.4: each drive fits the recorder, all fit its bays, and there is at least one."""
    for unit, item in case.recorders:
        largest = down(Fraction(item.largest_drive) / 10**9)
        for drive in counted_drives(unit):
            size = drive_gb(case, drive)
            if Fraction(_drive(case, drive).capacity) > Fraction(item.largest_drive):
                text = f"{drive} has {figure(size)} GB, the unit takes {figure(largest)} GB at most"
                yield Fault(unit.id, "limit", text, size, largest)
        n = sum(counted_drives(unit).values())
        taken = unit.optical_writer is not None and item.optical == "drive_bay"
        bays = item.bays - int(taken)
        if n > bays:
            also = " beside the optical writer" if taken else ""
            yield Fault(
                unit.id, "limit", f"{counted(n, 'drive')} in {counted(bays, 'bay')}{also}", n, bays
            )
        if n == 0:
            yield Fault(unit.id, "missing", "has no drive", 0, 1)


def _drive(case: Case, item_id: str) -> book.Drive:
    item = case.items[item_id]
    assert isinstance(item, book.Drive)
    return item


def arrays(case: Case) -> Iterator[Fault]:
    """2.4: the array stands the failures asked, the unit lists it, the drives can form it."""
    failures = case.site.recording.drive_failures
    for unit, item in case.recorders:
        if unit.array not in ARRAYS[failures]:
            text = (
                f"array {unit.array} is not one for {counted(failures, 'drive failure')}: "
                f"{', '.join(ARRAYS[failures])}"
            )
            yield Fault(unit.id, "limit", text)
        if unit.array != "single" and unit.array not in item.arrays:
            able = ", ".join(item.arrays) or "none"
            text = f"{item.id} cannot form array {unit.array}, only: {able}"
            yield Fault(unit.id, "limit", text)
        n = sum(counted_drives(unit).values())
        if n and usable_gb(case, unit) is None:
            words = ", ".join(f"{k} x {d}" for d, k in counted_drives(unit).items())
            least = array_min_drives(unit.array)
            text = f"array {unit.array} cannot be formed of {words}"
            yield Fault(unit.id, "missing" if n < least else "limit", text, n, least)


def bays_for_drives(site: Site, item: book.Recorder) -> int:
    """Bays that an optical writer leaves, where the site asks for one and it sits among them."""
    return item.bays - int("optical" in site.recording.export and item.optical == "drive_bay")


def usable(site: Site, items: Mapping[str, AnyItem]) -> list[book.Recorder]:
    """Recorders that the site can use, in the sense of 1.1.

    They keep 2.5 (an optical writer can be had where they need one), list the codec, are not
    forbidden, and can take a drive and as many of it as an array of 2.4 asks.
    """
    allowed = [item for i, item in items.items() if i not in site.policy.forbid]
    writers = any(isinstance(item, book.OpticalWriter) for item in allowed)
    sizes = [Fraction(item.capacity) for item in allowed if isinstance(item, book.Drive)]
    smallest = min(sizes, default=None)
    recording = site.recording
    found = []
    for item in allowed:
        if not isinstance(item, book.Recorder) or recording.codec not in item.codecs:
            continue
        least = [
            1 if array == "single" else array_min_drives(array)
            for array in ARRAYS[recording.drive_failures]
            if array == "single" or array in item.arrays
        ]
        driven = smallest is not None and smallest <= Fraction(item.largest_drive)
        formed = any(n <= bays_for_drives(site, item) for n in least)
        bare = "optical" in recording.export and item.optical != "built_in" and not writers
        lacks = bare or any(export_lacks(site, item)) or any(displays_lack(site, item))
        if driven and formed and not lacks:
            found.append(item)
    return found


def export(case: Case) -> Iterator[Fault]:
    """2.5: each unit exports in every way that is asked."""
    for unit, item in case.recorders:
        for text in export_lacks(case.site, item):
            yield Fault(unit.id, "limit", f"{item.id} {text}")
        yield from _optical(case, unit, item)


def export_lacks(site: Site, item: book.Recorder) -> Iterator[str]:
    """Rule 2.5 for one recorder item: ways of export that it has not."""
    for way in site.recording.export:
        if way == "optical" and item.optical == "none":
            yield "takes no optical writer"
        elif way != "optical" and way not in item.export:
            yield f"does not export by {way}"


def _optical(case: Case, unit: plain.Recorder, item: book.Recorder) -> Iterator[Fault]:
    asked = "optical" in case.site.recording.export
    has = unit.optical_writer is not None
    if asked and item.optical in ("own_bay", "drive_bay") and not has:
        yield Fault(unit.id, "missing", "has no optical writer", 0, 1)
    if has and (not asked or item.optical in ("none", "built_in")):
        yield Fault(unit.id, "mismatch", f"has no job for the writer {unit.optical_writer}")


def displays(case: Case) -> Iterator[Fault]:
    """2.5: each unit has the display outputs that are asked."""
    for unit, item in case.recorders:
        for text, n, least in displays_lack(case.site, item):
            yield Fault(unit.id, "limit", text, n, least)


def displays_lack(site: Site, item: book.Recorder) -> Iterator[tuple[str, int, int]]:
    """Rule 2.5 for one recorder item: display outputs that are too few."""
    displays = site.recording.displays
    asked = {"hdmi": displays.hdmi, "vga": displays.vga, "composite": displays.composite}
    outputs = {str(kind): n for kind, n in item.displays.items()}
    for kind, least in asked.items():
        n = outputs.get(kind, 0)
        if n < least:
            yield f"has {counted(n, kind + ' output')}, the site asks {least}", n, least


def spare_channels(case: Case) -> Iterator[Fault]:
    """2.6: free channels over all units."""
    free = sum(channel_count(item) for _, item in case.recorders) - len(case.cameras)
    least = case.site.spare.channels
    if free < least:
        text = f"{counted(free, 'channel')} free, the site asks {least}"
        yield Fault("recorders", "missing", text, free, least)


RULES = (
    Rule("2.1 bit rate", bit_rates),
    Rule("2.2 storage of each", storage_figures),
    Rule("2.3 input groups", inputs),
    Rule("2.3 channels", channels),
    Rule("2.3 encode rate", encoding),
    Rule("2.3 ingest", ingest),
    Rule("2.3 codec", recorder_codec),
    Rule("2.3 audio inputs", audio_inputs),
    Rule("2.3 storage", storage),
    Rule("2.3 recorder in use", recorder_in_use),
    Rule("2.4 drives", drives),
    Rule("2.4 arrays", arrays),
    Rule("2.5 export", export),
    Rule("2.5 displays", displays),
    Rule("2.6 spare channels", spare_channels),
)
