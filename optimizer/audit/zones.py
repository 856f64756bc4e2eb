"""Section 1 of the rules: which camera looks at which zone, and whether it can."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from optimizer.audit.case import Case, Fitted
from optimizer.audit.figures import abreast, density, focal_for, prints_as, recorded_picture
from optimizer.audit.finding import Fault, Rule, counted, figure
from optimizer.audit.recorders import usable
from optimizer.engineering.light import night_ok
from optimizer.engineering.optics import view_angle
from optimizer.engineering.protection import ik_at_least, ip_at_least
from optimizer.pricebook import schema as book
from optimizer.reading.fields import SpanOf
from optimizer.site.schema import Site, Zone
from optimizer.units import parse

FOCAL_DECIMALS, ANGLE_DECIMALS, DENSITY_DECIMALS = 2, 1, 1
"""A design may print these figures so coarsely (mm, deg, px/m); the rules go by the exact ones."""


def number_of_cameras(case: Case) -> Iterator[Fault]:
    """1.1: each zone has 1 to most_cameras cameras of one item, numbered from 1."""
    for zone in case.site.views:
        cameras = case.of_zone(zone)
        n, most = len(cameras), zone.most_cameras
        if n == 0:
            yield Fault(zone.id, "missing", "no camera looks at this zone", 0, 1)
            continue
        if n > most:
            text = f"{n} cameras look at this zone, the site allows {most}"
            yield Fault(zone.id, "limit", text, n, most)
        if sorted(c.stated.number for c in cameras) != list(range(1, n + 1)):
            yield Fault(zone.id, "mismatch", f"its {n} cameras are not numbered 1 to {n}")
        models = sorted({c.item.id for c in cameras})
        if len(models) > 1:
            text = f"its cameras are of {len(models)} items ({', '.join(models)}), not of one"
            yield Fault(zone.id, "mismatch", text, len(models), 1)


def needless_cameras(case: Case) -> Iterator[Fault]:
    """1.1: no camera is added that the picture does not need, unless its item is wanted used."""
    recorders = usable(case.site, case.items)
    wanted = wanted_items(case.site)
    for zone in case.site.views:
        cameras = case.of_zone(zone)
        n = len(cameras)
        if n == 0 or cameras[0].item.id in wanted or len({c.item.id for c in cameras}) > 1:
            continue
        numbers = abreast_numbers(case.site, zone, cameras[0].item, recorders)
        fewer = [number for number in numbers if number < n]
        if fewer and n not in numbers:
            text = (
                f"{counted(n, 'camera')} of {cameras[0].item.id} look at this zone where "
                f"{max(fewer)} would keep its detail"
            )
            yield Fault(zone.id, "limit", text, n, max(fewer))


def wanted_items(site: Site) -> set[str]:
    """Items that the site wants used (5.6)."""
    return {r.item for r in site.policy.require} | {o.item for o in site.owned if o.pinned}


def abreast_numbers(
    site: Site, zone: Zone, camera: book.Camera, recorders: list[book.Recorder]
) -> set[int]:
    """Least numbers of a camera item that keep a zone's detail, over the recorded pictures."""
    pictures = {
        recorded_picture(camera, g)
        for r in recorders
        for g in r.inputs
        if camera.family in g.families
    }
    numbers = (abreast(site, zone, camera, picture) for picture in pictures)
    return {n for n in numbers if n is not None and n <= zone.most_cameras}


def optics(case: Case) -> Iterator[Fault]:
    """1.2: the lens shows the share of the width, the recorded picture keeps the detail."""
    for camera in case.cameras:
        if camera.group is None or camera.mount is not None:
            continue
        zone, item = camera.zone, camera.item
        picture = recorded_picture(item, camera.group)
        if camera.stated.picture != str(picture):
            text = f"is recorded as {picture}, the design says {camera.stated.picture}"
            yield Fault(camera.place, "mismatch", text)
        focal = focal_for(item, zone, camera.abreast)
        stated = Fraction(repr(camera.stated.focal_mm))
        if focal is None:
            yield _too_narrow(camera, Fraction(item.focal.low))
        elif not prints_as(camera.stated.focal_mm, focal, FOCAL_DECIMALS):
            yield Fault(
                camera.place, "mismatch",
                f"the focal length to set is {figure(focal)} mm, the design says "
                f"{figure(stated)} mm", stated, focal,
            )  # fmt: skip
            yield from _with_stated(camera, stated)
        if focal is not None:
            yield from _detail(camera, focal)


def _with_stated(camera: Fitted, focal: Fraction) -> Iterator[Fault]:
    """What the stated focal length itself would do, where it is not the one to set."""
    lens = camera.item.focal
    if not lens.low <= focal <= lens.high:
        ends = f"{figure(Fraction(lens.low))} to {figure(Fraction(lens.high))} mm"
        text = f"the lens goes from {ends}, not to {figure(focal)} mm"
        limit = lens.low if focal < lens.low else lens.high
        yield Fault(camera.place, "limit", text, focal, Fraction(limit))
    if focal > 0:
        shown = Fraction(camera.item.sensor_width) * Fraction(camera.zone.distance) / focal
        if shown < Fraction(camera.zone.width) / camera.abreast:
            yield _too_narrow(camera, focal)


def _too_narrow(camera: Fitted, focal: Fraction) -> Fault:
    shown = Fraction(camera.item.sensor_width) * Fraction(camera.zone.distance) / focal
    share = Fraction(camera.zone.width) / camera.abreast
    text = (
        f"at {figure(focal)} mm it shows {figure(shown)} m, its share of the width is "
        f"{figure(share)} m"
    )
    return Fault(camera.place, "limit", text, shown, share)


def _detail(camera: Fitted, focal: Fraction) -> Iterator[Fault]:
    assert camera.group is not None
    item, zone, stated = camera.item, camera.zone, camera.stated
    there = density(item, zone, recorded_picture(item, camera.group), focal)
    if not prints_as(stated.px_per_m, there, DENSITY_DECIMALS):
        text = f"gives {figure(there)} px/m, the design says {figure(stated.px_per_m)} px/m"
        yield Fault(camera.place, "mismatch", text, stated.px_per_m, there)
    angle = view_angle(float(item.sensor_width), float(focal))
    if not prints_as(stated.view_angle_deg, angle, ANGLE_DECIMALS):
        text = f"sees {figure(angle)} deg, the design says {figure(stated.view_angle_deg)} deg"
        yield Fault(camera.place, "mismatch", text, stated.view_angle_deg, angle)


def detail(case: Case) -> Iterator[Fault]:
    """1.2: recorded width x f / (sensor width x distance) is at least the zone's px/m."""
    for camera in case.cameras:
        if camera.group is None or camera.mount is not None:
            continue
        focal = focal_for(camera.item, camera.zone, camera.abreast)
        if focal is None:
            continue
        picture = recorded_picture(camera.item, camera.group)
        there = density(camera.item, camera.zone, picture, focal)
        needed = case.site.detail_px_m(camera.zone)
        if there < needed:
            text = f"records {figure(there)} px/m, the zone asks {figure(needed)} px/m"
            yield Fault(camera.place, "limit", text, there, needed)


def frame_rate(case: Case) -> Iterator[Fault]:
    """1.3: the camera is as fast as the zone asks."""
    for camera in case.cameras:
        yield from _named(camera, slow(camera.zone, camera.item))


def surroundings(case: Case) -> Iterator[Fault]:
    """1.4: place, ingress, impact and temperature."""
    for camera in case.cameras:
        yield from _named(camera, exposed(camera.zone, camera.item))


def night(case: Case) -> Iterator[Fault]:
    """1.5: the camera sees at night; for plan zones see 7.5."""
    for camera in case.cameras:
        if camera.mount is None:
            yield from _named(camera, blind(camera.zone, camera.item))


def steerable_discreet(case: Case) -> Iterator[Fault]:
    """1.6: steerable with control, and discreet, where the zone asks."""
    for camera in case.cameras:
        yield from _named(camera, unlike(camera.zone, camera.item))


def families(case: Case) -> Iterator[Fault]:
    """1.7: only allowed signal families."""
    for camera in case.cameras:
        yield from _named(camera, wrong_family(case.site, camera.item))


def codecs(case: Case) -> Iterator[Fault]:
    """1.8: a network camera codes as the site asks."""
    for camera in case.cameras:
        yield from _named(camera, no_codec(case.site, camera.item))


def brackets(case: Case) -> Iterator[Fault]:
    """1.9: a camera with a hole pattern has a bracket that fits it."""
    for camera in case.cameras:
        pattern, stated = camera.item.bracket, camera.stated.bracket
        if pattern is None:
            if stated is not None:
                yield Fault(camera.place, "mismatch", f"needs no bracket, yet has {stated}")
            continue
        if stated is None:
            text = f'has no bracket for its hole pattern "{pattern}"'
            yield Fault(camera.place, "missing", text, 0, 1)
            continue
        bracket = case.items[stated]
        if isinstance(bracket, book.Bracket) and pattern not in bracket.fits:
            text = f'{stated} fits {", ".join(bracket.fits)}, not its hole pattern "{pattern}"'
            yield Fault(camera.place, "limit", text)


Reason = tuple[str, Fraction | None, Fraction | None]
"""Why a camera does not suit: text, what it has, what is asked."""


def _named(camera: Fitted, reasons: Iterator[Reason]) -> Iterator[Fault]:
    for text, amount, limit in reasons:
        yield Fault(camera.place, "limit", f"{camera.item.id} {text}", amount, limit)


def slow(zone: Zone, camera: book.Camera) -> Iterator[Reason]:
    """Rule 1.3 for one zone and one camera item."""
    has, asked = Fraction(camera.frame_rate), Fraction(zone.frame_rate)
    if has < asked:
        yield f"gives {figure(has)} fps, the zone asks {figure(asked)} fps", has, asked


def exposed(zone: Zone, camera: book.Camera) -> Iterator[Reason]:
    """Rule 1.4 for one zone and one camera item."""
    if zone.place == "outdoors" and not camera.outdoors:
        yield "is not made for outdoors", None, None
    if zone.ingress is not None and not (
        camera.ingress is not None and ip_at_least(camera.ingress, zone.ingress)
    ):
        yield f"is {camera.ingress or 'of no stated ingress code'}, not {zone.ingress}", None, None
    if zone.impact is not None and not (
        camera.impact is not None and ik_at_least(camera.impact, zone.impact)
    ):
        yield f"is {camera.impact or 'of no stated impact code'}, not {zone.impact}", None, None
    asked, stands = zone.temperature, camera.temperature
    if asked is not None and not (stands.low <= asked.low and asked.high <= stands.high):
        yield (
            f"stands {_celsius(stands)}, the zone has {_celsius(asked)}",
            None,
            None,
        )


def _celsius(span: SpanOf) -> str:
    return f"{figure(Fraction(span.low))} to {figure(Fraction(span.high))} C"


def blind(zone: Zone, camera: book.Camera) -> Iterator[Reason]:
    """Rule 1.5 for one zone and one camera item."""
    light = zone.night if zone.night in ("lit", "dark") else parse(zone.night, "light")
    sees, why = night_ok(
        light,
        zone.night_colour,
        camera.infrared,
        camera.lux_colour,
        camera.lux_mono,
        zone.distance,
    )
    if not sees:
        yield f"does not see at night: {why}", None, None


def unlike(zone: Zone, camera: book.Camera) -> Iterator[Reason]:
    """Rule 1.6 for one zone and one camera item."""
    if zone.steerable and not camera.steerable:
        yield "cannot be steered", None, None
    elif zone.steerable and camera.control == "none":
        yield "has no control to steer it by", None, None
    if zone.discreet and not camera.discreet:
        yield "is not discreet", None, None


def wrong_family(site: Site, camera: book.Camera) -> Iterator[Reason]:
    """Rule 1.7 (families) for one camera item."""
    if camera.family not in site.policy.families:
        yield f"is {camera.family}, the policy allows {', '.join(site.policy.families)}", None, None


def no_codec(site: Site, camera: book.Camera) -> Iterator[Reason]:
    """Rule 1.8 for one camera item."""
    if camera.family == "network" and site.recording.codec not in camera.codecs:
        yield f"codes {', '.join(camera.codecs)}, not {site.recording.codec}", None, None


RULES = (
    Rule("1.1 cameras of a zone", number_of_cameras),
    Rule("1.1 cameras without need", needless_cameras),
    Rule("1.2 optics", optics),
    Rule("1.2 detail", detail),
    Rule("1.3 frame rate", frame_rate),
    Rule("1.4 surroundings", surroundings),
    Rule("1.5 night", night),
    Rule("1.6 steerable and discreet", steerable_discreet),
    Rule("1.7 families", families),
    Rule("1.8 codec", codecs),
    Rule("1.9 brackets", brackets),
)
