"""Why a recorder and its drives: what one cheaper unit in its place could not take."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from optimizer.design import Camera, Recorder
from optimizer.errors import listed
from optimizer.explaining.why_kit import MOST_PLACES, Kit, Verdict
from optimizer.instance.amounts import GB, up
from optimizer.instance.recorders import RecorderFit, least_drives, parity, port_power
from optimizer.instance.streams import audio_bytes, recorded_picture
from optimizer.pricebook import schema as book
from optimizer.solving.wording import count


def recorder_verdicts(kit: Kit, item: book.Recorder) -> Iterator[Verdict]:
    """Cheaper recorders in the place of each unit of the item, with that unit's load."""
    fits = {fit.item: fit for fit in kit.instance.recorders}
    for unit in kit.design.recorders:
        if unit.item != item.id:
            continue
        for other in kit.cheaper(item):
            assert isinstance(other, book.Recorder)
            banned = kit.forbidden(other, unit.id)
            if banned is not None:
                yield banned
            elif other.id in kit.instance.recorder_refusals:
                limit = kit.instance.recorder_refusals[other.id]
                yield Verdict(other.id, other.price, unit.id, limit, _asked(kit, other))
            else:
                limit, demand = _too_small(kit, unit, fits[other.id])
                remote = not _same_inputs(kit, unit, other)
                yield Verdict(other.id, other.price, unit.id, limit, demand, remote)


def _asked(kit: Kit, other: book.Recorder) -> str:
    """The requirement behind a refusal of the tables, looked at in their order."""
    recording = kit.site.recording
    if recording.codec not in other.codecs:
        return "recording/codec"
    for way in recording.export:
        if way == "optical":
            if other.optical != "built_in" and (
                other.optical == "none" or not kit.book.by_kind(book.OpticalWriter)
            ):
                return "recording/export.optical"
        elif way not in other.export:
            return f"recording/export.{way}"
    have = {str(kind): number for kind, number in other.displays.items()}
    for output, number in recording.displays.model_dump().items():
        if have.get(output, 0) < number:
            return f"recording/displays.{output}"
    return "recording/drive_failures" if recording.drive_failures else ""


def _too_small(kit: Kit, unit: Recorder, fit: RecorderFit) -> tuple[str, str]:
    """The first limit of a recorder that a unit's load is beyond, and the requirement behind it."""
    cameras = [c for c in kit.design.cameras if c.recorder == unit.id]
    inputs = _inputs(kit, fit, cameras)
    if inputs:
        return inputs, ""
    free = kit.site.spare.channels
    others = sum(r.channels - r.channels_used for r in kit.design.recorders if r is not unit)
    if fit.channels - len(cameras) + others < free:
        left = fit.channels - len(cameras)
        return f"its {fit.channels} channels leave {left} free, {free} are asked", "spare/channels"
    for camera in cameras:
        coarse = _coarse(kit, fit, camera)
        if coarse:
            return coarse, f"zones.{_sharpest(kit, camera)}/detail"
    return _rates(kit, fit, cameras) or _extras(kit, fit, unit, cameras) or _full(kit, fit, unit)


def _same_inputs(kit: Kit, unit: Recorder, other: book.Recorder) -> bool:
    """Whether a recorder has inputs for every family on a unit."""
    have = {family for group in other.inputs for family in group.families}
    return {kit.camera_item(c).family for c in kit.design.cameras if c.recorder == unit.id} <= have


def _inputs(kit: Kit, fit: RecorderFit, cameras: list[Camera]) -> str:
    if len(cameras) > fit.channels:
        return f"it has {fit.channels} channels for {len(cameras)} cameras"
    families = [kit.camera_item(c).family for c in cameras]
    for family in dict.fromkeys(families):
        if not fit.group_count(family):
            return f"it has no input for {family} cameras"
    for group in fit.recorder.inputs:
        number = sum(f in group.families for f in families)
        if number > group.count:
            kinds = " and ".join(group.families)
            return f"it has {group.count} {kinds} inputs for {number} cameras"
    return ""


def _coarse(kit: Kit, fit: RecorderFit, camera: Camera) -> str:
    view, _ = kit.view(camera)
    picture = recorded_picture(fit.recorder, view.camera)
    if picture is None or picture.width >= view.width_px:
        return ""
    if camera.aim is not None:
        return (
            f"it records {picture.width} px across at {camera.zone}, the camera is aimed for "
            f"{view.width_px}"
        )
    detail = float(kit.site.detail_px_m(kit.zones[camera.zone]))
    return (
        f"it records {picture.width} px across at {camera.zone}, "
        f"{view.width_px} are needed for {detail:g} px/m"
    )


def _sharpest(kit: Kit, camera: Camera) -> str:
    """The zone that asks a camera for most detail."""
    if camera.aim is None:
        return camera.zone
    there = {one.zone for one in camera.aim.serves}
    zones = [zone for zone in kit.site.areas if zone.id in there]
    return max(zones, key=kit.site.detail_px_m).id


def _rates(kit: Kit, fit: RecorderFit, cameras: list[Camera]) -> tuple[str, str] | None:
    pixels = kilobits = 0
    for camera in cameras:
        view, levels = kit.view(camera)
        level = next(one for one in levels if fit.item in one.recorders)
        if view.camera.family == "network":
            kilobits += up(level.rate / 1000)
        else:
            rate = Fraction(kit.zones[camera.zone].frame_rate)
            pixels += up(level.picture.width * level.picture.height * rate / 1000)
    kilobits += sum(
        up(Fraction(kit.site.audio.bit_rate) / 1000)
        for sound in kit.design.audio
        if sound.way == "A7" and sound.recorder in {c.recorder for c in cameras}
    )
    if pixels > fit.kilopixels:
        return f"it encodes {fit.kilopixels:,} kpx/s, the pictures are {pixels:,} kpx/s", ""
    if kilobits > fit.kbit:
        return f"it takes in {fit.kbit:,} kbit/s, the streams are {kilobits:,} kbit/s", ""
    return None


def _extras(
    kit: Kit, fit: RecorderFit, unit: Recorder, cameras: list[Camera]
) -> tuple[str, str] | None:
    heard = [s for s in kit.design.audio if s.recorder == unit.id and s.input is not None]
    have = fit.recorder.audio_inputs
    if len(heard) > have:
        inputs = f"{have} audio inputs" if have else "no audio input"
        points = listed((sound.point for sound in heard), MOST_PLACES)
        return f"it has {inputs} for {points}", f"audio.{heard[0].point}"
    for camera in cameras:
        wanted = {"pair": "rs485", "category": "rs485", "coax": "coax"}.get(camera.control)
        if wanted is not None and wanted not in fit.recorder.control:
            return f"it cannot steer over {wanted}", f"zones.{camera.zone}/steerable"
    steered = (c for c in cameras if c.control in ("pair", "category"))
    eighths = sum(up(Fraction(kit.camera_item(c).unit_load) * 8) for c in steered)
    if eighths > fit.eighths:
        return f"it steers {fit.eighths / 8:g} unit loads, there are {eighths / 8:g}", ""
    fed = [kit.camera_item(c) for c in cameras if c.power.unit == unit.id]
    if len(fed) > fit.ports:
        ports = count(fit.ports, "powered port")
        return f"it has {ports} for the {len(fed)} cameras it would feed", ""
    loads = [port_power(c.poe_class or 0) for c in fed]
    if loads and max(loads) > fit.port_load:
        return f"its ports give {fit.port_load / 100:g} W, {max(loads) / 100:g} W are needed", ""
    if sum(loads) > fit.port_budget:
        need = sum(loads) / 100
        return f"its ports give {fit.port_budget / 100:g} W together, {need:g} W are needed", ""
    return None


def _full(kit: Kit, fit: RecorderFit, unit: Recorder) -> tuple[str, str]:
    need, most = stored(kit, fit, unit), most_held(fit)
    if most >= need:
        return "", ""
    bays = count(fit.bays, "bay")
    return f"with {bays} it holds at most {most:,} of {need:,} GB", _kept(kit, unit)


def _kept(kit: Kit, unit: Recorder) -> str:
    """The retention that most of a unit's storage is for."""
    own = [
        f"zones.{c.zone}/retention"
        for c in kit.design.cameras
        if c.recorder == unit.id and c.aim is None and kit.zones[c.zone].retention is not None
    ]
    everyone = sum(c.recorder == unit.id for c in kit.design.cameras)
    return own[0] if own and len(own) == everyone else "recording/retention"


def stored(kit: Kit, fit: RecorderFit, unit: Recorder) -> int:
    """Storage of a unit's cameras and audio points if a recorder kept them, rounded up. [GB]"""
    total = 0
    for camera in kit.design.cameras:
        if camera.recorder == unit.id:
            _, levels = kit.view(camera)
            level = next(one for one in levels if fit.item in one.recorders)
            total += up(level.stored / GB)
    points = {p.id: p for p in kit.site.audio.points}
    for sound in kit.design.audio:
        if sound.recorder == unit.id:
            total += up(audio_bytes(kit.site, points[sound.point]) / GB)
    return total


def most_held(fit: RecorderFit) -> int:
    """Most that any drives in a recorder make usable. [GB]"""
    return max(usable for _, usable, _, _ in _equal_sets(fit))


def _equal_sets(fit: RecorderFit) -> Iterator[tuple[str, int, str, int]]:
    """Array, usable capacity, drive item and number, for sets of equal drives."""
    for array in fit.arrays:
        step = 2 if array in ("mirror", "10") else 1
        for drive in fit.drives:
            for number in range(least_drives(array), fit.bays + 1, step):
                size = drive.gigabytes
                if array == "single":
                    usable = number * size
                elif step == 2:
                    usable = number * size // 2
                else:
                    usable = (number - parity(array)) * size
                yield array, usable, drive.item, number


def drive_verdicts(kit: Kit, item: book.Drive) -> Iterator[Verdict]:
    """The cheaper set of drives that holds most, in the place of each set with the item."""
    fits = {fit.item: fit for fit in kit.instance.recorders}
    for unit in kit.design.recorders:
        spent = sum(kit.book.items[d.item].price * d.count for d in unit.drives)
        if all(d.item != item.id for d in unit.drives):
            continue
        fit = fits[unit.item]
        need = stored(kit, fit, unit)
        best = _most_below(kit, fit, spent)
        if best is None:
            continue
        usable, price, words = best
        first = words.split(" x ", 1)[1].split(" + ")[0]
        limit = f"no cheaper set holds more than {usable:,} of {need:,} GB ({words})"
        yield Verdict(first, price, unit.id, "" if usable >= need else limit, _kept(kit, unit))


def _most_below(kit: Kit, fit: RecorderFit, spent: int) -> tuple[int, int, str] | None:
    """Most usable capacity of a set of drives whose list price is below a sum.

    Single drives, and pairs of mirrored ones, may be mixed: sets are built drive by drive, keeping
    for each number only those that no other set of the number beats in price and capacity.
    """
    price = {drive.item: kit.book.items[drive.item].price for drive in fit.drives}
    found: list[tuple[int, int, str]] = []
    for array in fit.arrays:
        if array in ("single", "mirror"):
            each = 1 if array == "single" else 2
            fronts: list[tuple[int, int, tuple[str, ...]]] = [(0, 0, ())]
            for _ in range(fit.bays // each):
                grown = [
                    (cost + each * price[d.item], size + d.gigabytes, (*kept, d.item))
                    for cost, size, kept in fronts
                    for d in fit.drives
                    if cost + each * price[d.item] < spent
                ]
                fronts = _unbeaten(grown)
                found += [(size, cost, _set_words(kept * each)) for cost, size, kept in fronts]
    for array, usable, item, number in _equal_sets(fit):
        if array in ("5", "6", "10") and number * price[item] < spent:
            found.append((usable, number * price[item], _set_words((item,) * number)))
    return max(found, key=lambda one: (one[0], -one[1]), default=None)


def _unbeaten(
    sets: list[tuple[int, int, tuple[str, ...]]],
) -> list[tuple[int, int, tuple[str, ...]]]:
    kept: list[tuple[int, int, tuple[str, ...]]] = []
    for one in sorted(sets, key=lambda s: (s[0], -s[1])):
        if not kept or one[1] > kept[-1][1]:
            kept.append(one)
    return kept


def _set_words(items: tuple[str, ...]) -> str:
    return " + ".join(f"{items.count(item)} x {item}" for item in dict.fromkeys(sorted(items)))
