"""A bill alone: cameras, recorders, drives (sections 1 and 2 of the rules).

Every "missing" and "limit" here is a necessary condition; see :mod:`optimizer.audit.kit`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from optimizer.audit.figures import GB, abreast, down, gb, sound_bytes
from optimizer.audit.finding import Fault, counted, figure
from optimizer.audit.flow import shortage
from optimizer.audit.kit import (
    BillRule,
    Kit,
    arrays_of,
    channels_of,
    compare,
    least_units,
    reasons,
    useless,
)
from optimizer.audit.recorders import channel_count
from optimizer.engineering.storage import array_min_drives
from optimizer.pricebook import schema as book
from optimizer.site.schema import Zone

MOST_REASONS = 4


def suited(kit: Kit) -> Iterator[Fault]:
    """Each zone has a camera item in the kit that suits it (necessary)."""
    cameras = [c for c, _ in kit.of(book.Camera)]
    for zone in kit.site.views:
        if kit.choices[zone.id]:
            continue
        said = [f"{c.id} {_why_not(kit, zone, c)}" for c in cameras]
        more = f", and {len(said) - MOST_REASONS} more" if len(said) > MOST_REASONS else ""
        text = "; ".join(said[:MOST_REASONS]) or "there is none"
        yield Fault(zone.id, "missing", f"no camera in the kit suits it: {text}{more}", 0, 1)


def _why_not(kit: Kit, zone: Zone, camera: book.Camera) -> str:
    for text in reasons(kit.site, zone, camera):
        return text
    n = abreast(kit.site, zone, camera, camera.picture)
    if n is None:
        detail = figure(kit.site.detail_px_m(zone))
        return f"does not give {detail} px/m at its longest focal length"
    if n > zone.most_cameras:
        return f"takes {n} side by side, the site allows {zone.most_cameras}"
    return "suits with its own picture, but is recorded with too small a one"


def enough_cameras(kit: Kit) -> Iterator[Fault]:
    """The cameras can be shared out among the zones they suit (necessary)."""
    groups: dict[frozenset[str], list[Zone]] = defaultdict(list)
    for zone in kit.site.views:
        if kit.choices[zone.id]:
            groups[frozenset(c.camera.id for c in kit.choices[zone.id])].append(zone)
    demands = [(sum(kit.fewest(z) for z in zones), ids) for ids, zones in groups.items()]
    short = shortage(demands, kit.pieces)
    if short is not None:
        members = list(groups.values())
        names = [z.id for index in short.demands for z in members[index]]
        shown = ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")
        text = (
            f"at least {counted(short.wanted, 'camera')} of {', '.join(short.pieces)} are needed "
            f"(zones: {shown}), the kit holds {short.there}"
        )
        yield Fault("cameras", "missing", text, short.there, short.wanted)


def idle_cameras(kit: Kit) -> Iterator[Fault]:
    """Bought cameras that suit no zone, or of which there are more than all zones can take."""
    for camera, _ in kit.of(book.Camera):
        n = kit.bought.get(camera.id, 0)
        if n == 0:
            continue
        able = [z for z in kit.site.views if camera in [c.camera for c in kit.choices[z.id]]]
        most = sum(kit.most(z, camera) for z in able)
        if not able:
            zone = kit.site.views[0]
            text = f"suits no zone; at {zone.id} it {_why_not(kit, zone, camera)}"
            yield Fault(camera.id, "surplus", text, n, 0)
        elif n > most:
            text = f"bought: {n}, the zones they suit can take {most}"
            yield Fault(camera.id, "surplus", text, n, most)
    most = sum(
        max((kit.most(z, c.camera) for c in kit.choices[z.id]), default=1) for z in kit.site.views
    )
    total = sum(kit.bought.get(c.id, 0) for c, _ in kit.of(book.Camera))
    if total > most:
        text = f"bought: {total}, the zones need {most} at most with these items"
        yield Fault("cameras", "surplus", text, total, most)


def useful_recorders(kit: Kit) -> Iterator[Fault]:
    """Bought recorders that can do no job on this site."""
    for recorder, _ in kit.of(book.Recorder):
        why = useless(kit.site, recorder)
        n = kit.bought.get(recorder.id, 0)
        if why is not None and n:
            yield Fault(recorder.id, "surplus", f"can do no job here: it {why}", n, 0)


def channels(kit: Kit) -> Iterator[Fault]:
    """Channels for all cameras and the spare ones, and inputs by family (necessary).

    For each set of families: cameras that can only be of these need inputs that take them.
    """
    there = sum(n * capacity for capacity, n in channels_of(kit))
    spare = kit.site.spare.channels
    if there < kit.all_cameras + spare:
        text = (
            f"at least {counted(kit.all_cameras, 'camera')} and {counted(spare, 'spare channel')} "
            f"are needed, the recorders have {counted(there, 'channel')}"
        )
        yield Fault("recorders", "missing", text, there, kit.all_cameras + spare)
    families = kit.site.policy.families
    for size in range(1, len(set(families)) + 1):
        for chosen in combinations(sorted(set(families)), size):
            needed = _only_of(kit, chosen)
            able = sum(n * _inputs(r, chosen) for r, n in kit.recorders)
            words = " or ".join(chosen)
            yield from compare("recorders", f"inputs for {words}", able, needed)


def _only_of(kit: Kit, families: tuple[str, ...]) -> int:
    """Cameras that can only be of these families, at the fewest."""
    return sum(n for _, n in kit.surely(lambda c: c.camera.family in families))


def _inputs(recorder: book.Recorder, families: tuple[str, ...]) -> int:
    able = sum(g.count for g in recorder.inputs if set(g.families) & set(families))
    return min(able, channel_count(recorder))


def rates(kit: Kit) -> Iterator[Fault]:
    """Streams and pictures fit ingest and encode rate of all recorders together (necessary)."""
    for what, needed, able, dimension in (
        (
            "ingest",
            sum(
                min(c.kbit_s for c in kit.choices[z.id])
                for z, _ in kit.surely(lambda c: c.camera.family == "network")
            ),
            sum(n * down(Fraction(r.ingest or 0) / 1000) for r, n in kit.recorders),
            " kbit/s",
        ),
        (
            "encode rate",
            sum(
                min(c.kpx_s for c in kit.choices[z.id])
                for z, _ in kit.surely(lambda c: c.camera.family != "network")
            ),
            sum(n * down(Fraction(r.encode_rate or 0) / 1000) for r, n in kit.recorders),
            " kpx/s",
        ),
    ):
        yield from compare("recorders", what, able, needed, dimension)


def _fitting_drives(kit: Kit) -> list[int]:
    """Capacity of each drive that some usable recorder takes, largest first. [GB]"""
    largest = max((Fraction(r.largest_drive) for r, _ in kit.recorders), default=Fraction(0))
    sizes = [
        down(Fraction(d.capacity) / GB)
        for d, n in kit.of(book.Drive)
        if Fraction(d.capacity) <= largest
        for _ in range(n)
    ]
    return sorted(sizes, reverse=True)


def _bays(kit: Kit) -> int:
    optical = "optical" in kit.site.recording.export
    return sum(n * (r.bays - int(optical and r.optical == "drive_bay")) for r, n in kit.recorders)


def most_usable_gb(kit: Kit) -> int:
    """No array of the kit's drives in its recorders' bays can hold more than this. [GB]

    Single drives: the largest that the bays take. Mirrors and array 10: half of them. Array 5
    loses at least the smallest drive, array 6 the two smallest.
    """
    sizes = _fitting_drives(kit)[: _bays(kit)]
    able = {a for r, _ in kit.recorders for a in arrays_of(kit.site, r)}
    bounds = [0]
    if "single" in able:
        bounds.append(sum(sizes))
    if able & {"mirror", "10"}:
        bounds.append(sum(sizes) // 2)
    if "5" in able:
        bounds.append(sum(sizes[:-1]))
    if "6" in able:
        bounds.append(sum(sizes[:-2]))
    return max(bounds)


def storage(kit: Kit) -> Iterator[Fault]:
    """All recordings, at the least their zones need, fit the drives (necessary)."""
    if not kit.recorders:
        return
    needed = sum(min((c.storage_gb for c in kit.choices[z.id]), default=0) for z in kit.site.views)
    needed += sum(gb(sound_bytes(kit.site, p)) for p in kit.site.audio.points)
    usable = most_usable_gb(kit)
    if usable < needed:
        text = (
            f"at least {figure(needed)} GB are recorded, the drives that fit hold "
            f"{figure(usable)} GB at most"
        )
        yield Fault("drives", "missing", text, usable, needed)


def drives(kit: Kit) -> Iterator[Fault]:
    """As many drives as the fewest recorders need for their arrays (necessary)."""
    if not kit.recorders:
        return
    units = max(1, least_units(kit.all_cameras, channels_of(kit)))
    per_unit = min(
        array_min_drives("none" if a == "single" else a)
        for r, _ in kit.recorders
        for a in arrays_of(kit.site, r)
    )
    yield from compare("drives", "drives that fit", len(_fitting_drives(kit)), units * per_unit)


def idle_drives(kit: Kit) -> Iterator[Fault]:
    """Bought drives that no recorder of the kit takes, or for which there are no bays."""
    largest = max((Fraction(r.largest_drive) for r, _ in kit.recorders), default=None)
    fitting = 0
    for drive, _ in kit.of(book.Drive):
        n, size = kit.bought.get(drive.id, 0), Fraction(drive.capacity) / GB
        if largest is None or n == 0:
            continue
        if size * GB > largest:
            text = f"has {figure(size)} GB, the recorders take {figure(largest / GB)} GB at most"
            yield Fault(drive.id, "surplus", text, size, largest / GB)
        else:
            fitting += n
    if largest is not None and fitting > _bays(kit):
        text = f"{counted(fitting, 'drive')} bought for {counted(_bays(kit), 'bay')}"
        yield Fault("drives", "surplus", text, fitting, _bays(kit))


def optical_writers(kit: Kit) -> Iterator[Fault]:
    """Writers for the recorders that must be in use and have none built in (necessary)."""
    there = sum(n for _, n in kit.of(book.OpticalWriter))
    needed = 0
    if "optical" in kit.site.recording.export:
        built_in = [r for r in kit.recorders if r[0].optical == "built_in"]
        others = [r for r in kit.recorders if r[0].optical != "built_in"]
        rest = kit.all_cameras - sum(n * channel_count(r) for r, n in built_in)
        needed = least_units(rest, [(channel_count(r), n) for r, n in others])
    yield from compare("optical writers", "optical writers", there, needed)
    for writer, _ in kit.of(book.OpticalWriter):
        n = kit.bought.get(writer.id, 0)
        if n and "optical" not in kit.site.recording.export:
            text = "has no job: the site asks no optical export"
            yield Fault(writer.id, "surplus", text, n, 0)


def brackets(kit: Kit) -> Iterator[Fault]:
    """Brackets for cameras that must be in use and need them (necessary)."""
    cameras = kit.of(book.Camera)
    for pattern in sorted({c.bracket for c, _ in cameras if c.bracket is not None}):
        others = sum(n for c, n in cameras if c.bracket != pattern)
        there = sum(n for b, n in kit.of(book.Bracket) if pattern in b.fits)
        needed = min(kit.all_cameras - others, sum(n for c, n in cameras if c.bracket == pattern))
        yield from compare(pattern, f'brackets for hole pattern "{pattern}"', there, needed)
    patterns = {c.bracket for c, _ in cameras}
    for bracket, _ in kit.of(book.Bracket):
        n = kit.bought.get(bracket.id, 0)
        if n and not patterns & set(bracket.fits):
            yield Fault(bracket.id, "surplus", "fits no camera of the kit", n, 0)


def camera_models(kit: Kit) -> Iterator[Fault]:
    """Zones with no camera item in common need an item each (necessary)."""
    most = kit.site.policy.most_camera_models
    seen: set[str] = set()
    apart: list[str] = []
    for zone in sorted(kit.site.views, key=lambda z: len(kit.choices[z.id])):
        ids = {c.camera.id for c in kit.choices[zone.id]}
        if ids and not ids & seen:
            apart.append(zone.id)
            seen |= ids
    if most is not None and len(apart) > most:
        text = (
            f"zones {', '.join(apart)} need {len(apart)} different camera items, the policy "
            f"allows {most}"
        )
        yield Fault("cameras", "limit", text, len(apart), most)


RULES = (
    BillRule("1 cameras that suit", suited),
    BillRule("1.1 cameras of a zone", enough_cameras),
    BillRule("1 idle cameras", idle_cameras),
    BillRule("1.9 brackets", brackets),
    BillRule("2 useful recorders", useful_recorders),
    BillRule("2.3 channels", channels),
    BillRule("2.3 rates", rates),
    BillRule("2.3 storage", storage),
    BillRule("2.4 drives", drives),
    BillRule("2.4 idle drives", idle_drives),
    BillRule("2.5 export", optical_writers),
    BillRule("5.7 camera models", camera_models),
)
