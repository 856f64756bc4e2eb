"""Which cameras fit a view, with how many side by side, and on which recorded pictures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from optimizer.engineering.light import night_ok
from optimizer.engineering.optics import focal_to_set, pixels_needed
from optimizer.engineering.protection import ik_at_least, ip_at_least, parse_ip
from optimizer.pricebook.schema import Camera
from optimizer.site.schema import PlanZone, Site, Zone
from optimizer.units import exact

_NEAR = 1e-6
_ANYWHERE = Decimal(1)


@dataclass(frozen=True)
class View:
    """A camera item in a zone, n of them side by side.

    Attributes
    ----------
    camera : Camera
    count : int
        Cameras side by side.
    focal : Fraction
        Focal length to set. [mm]
    width_px : int
        Fewest recorded pixels across that keep the detail.
    """

    camera: Camera
    count: int
    focal: Fraction
    width_px: int


@dataclass(frozen=True)
class Refusal:
    """Why a camera item cannot serve a zone: the requirement it fails and how.

    Attributes
    ----------
    figure : float or None
        What it reaches of the quantity, where that is a number and more is better.
    """

    quantity: str
    limit: str
    figure: float | None = field(default=None, compare=False)


def suits(site: Site, zone: Zone, camera: Camera) -> Refusal | None:
    """The first limit that takes a camera out, optics apart; None if there is none."""
    if camera.family not in site.policy.families:
        return Refusal("family", f"{camera.family} is not an allowed signal family")
    if camera.id in site.policy.forbid:
        return Refusal("forbid", f"{camera.id} is forbidden")
    if zone.steerable and not (camera.steerable and _can_be_steered(camera)):
        return Refusal("steerable", "it cannot be steered")
    if zone.discreet and not camera.discreet:
        return Refusal("discreet", "its housing is not discreet")
    if camera.family == "network" and site.recording.codec not in camera.codecs:
        return Refusal("codec", f"it does not encode {site.recording.codec}")
    if camera.frame_rate < zone.frame_rate:
        return Refusal(
            "frame_rate", f"it gives at most {camera.frame_rate} fps", float(camera.frame_rate)
        )
    return _weather(zone, camera) or _light(zone, camera)


def may_stand(site: Site, zone: Zone, camera: Camera) -> Refusal | None:
    """The first limit that takes a camera out at a place, whatever it is to see there."""
    if camera.family not in site.policy.families:
        return Refusal("family", f"{camera.family} is not an allowed signal family")
    if camera.id in site.policy.forbid:
        return Refusal("forbid", f"{camera.id} is forbidden")
    if camera.family == "network" and site.recording.codec not in camera.codecs:
        return Refusal("codec", f"it does not encode {site.recording.codec}")
    return _weather(zone, camera)


def own_light(zone: PlanZone, camera: Camera) -> float:
    """How far a camera sees at night in a plan zone; infinite where the zone's light does. [m]"""
    light = (zone.night, zone.night_colour)
    lux = (camera.lux_colour, camera.lux_mono)
    if _night(*light, None, *lux, _ANYWHERE)[0]:
        return math.inf
    reach = camera.infrared
    if reach is not None and reach > 0 and _night(*light, reach, *lux, Decimal(reach))[0]:
        return float(reach)
    return 0.0


def _can_be_steered(camera: Camera) -> bool:
    """Whether its way of control goes with its signal family."""
    wrong = "coax" if camera.family == "network" else "network"
    return camera.control not in ("none", wrong)


def _weather(zone: Zone, camera: Camera) -> Refusal | None:
    if zone.place == "outdoors" and not camera.outdoors:
        return Refusal("place", "it is for indoors only")
    if zone.ingress and not (camera.ingress and ip_at_least(camera.ingress, zone.ingress)):
        return Refusal("ingress", f"it has {_marked(camera.ingress, zone.ingress)}")
    if zone.impact and not (camera.impact and ik_at_least(camera.impact, zone.impact)):
        return Refusal("impact", f"it has {camera.impact or 'no impact code'}")
    if zone.temperature and not (
        camera.temperature.low <= zone.temperature.low
        and zone.temperature.high <= camera.temperature.high
    ):
        low, high = camera.temperature
        return Refusal("temperature", f"it works from {low} to {high} C")
    return None


def _marked(have: str | None, asked: str) -> str:
    """An ingress code, with why a higher numeral for water is not enough."""
    if not have:
        return "no ingress code"
    immersed = any((parse_ip(code)[1] or 0) in (7, 8) for code in have.split("/"))
    jets = any((parse_ip(code)[1] or 0) in (5, 6) for code in asked.split("/"))
    return f"{have} (immersion, not jets of water)" if immersed and jets else have


@lru_cache(maxsize=65536)
def _night(
    night: str,
    colour: bool,
    infrared: Decimal | None,
    lux_colour: Decimal,
    lux_mono: Decimal | None,
    distance: Decimal,
) -> tuple[bool, str]:
    figure: str | Fraction = night
    if night not in ("lit", "dark"):
        figure = exact(night, "light")
    return night_ok(figure, colour, infrared, lux_colour, lux_mono, distance)


def _light(zone: Zone, camera: Camera) -> Refusal | None:
    good, words = _night(
        zone.night,
        zone.night_colour,
        camera.infrared,
        camera.lux_colour,
        camera.lux_mono,
        zone.distance,
    )
    return None if good else Refusal("night", words)


def views(
    site: Site, zone: Zone, camera: Camera, pictures: Sequence[int], *, every: bool = False
) -> list[View] | Refusal:
    """The useful numbers of a camera side by side in a zone.

    A larger number is useful only if it makes a smaller recorded picture good enough.

    Parameters
    ----------
    pictures : sequence of int
        Recorded picture widths that some recorder gives this camera. [px]
    every : bool
        All numbers that fit: for an item of which the site wants so many used.
    """
    if not pictures:
        return Refusal("recorder", "no recorder takes it")
    detail = site.detail_px_m(zone)
    widest = max(pictures)
    found: list[View] = []
    kept: set[int] = set()
    low, high = float(camera.focal.low), float(camera.focal.high)
    reach = float(camera.sensor_width * zone.distance)
    refusal = Refusal("width", "its lens cannot show the width")
    for count in range(1, zone.most_cameras + 1):
        limit = reach * count / float(zone.width)
        if limit < low * (1 - _NEAR):
            continue
        need = float(detail) * reach / min(high, limit)
        if need > widest * (1 + _NEAR):
            refusal = _too_coarse(zone, camera, widest, min(high, limit), count)
            if limit > high:
                break
            continue
        exact = _exact(zone, camera, detail, count)
        if exact is None:
            continue
        view, saturated = exact
        good = {p for p in pictures if p >= view.width_px}
        if good > kept or every:
            found.append(view)
            kept = good
        if every:
            continue
        if saturated or len(kept) == len(set(pictures)):
            break
    return found or refusal


def _too_coarse(zone: Zone, camera: Camera, widest: int, focal: float, count: int) -> Refusal:
    density = widest * focal / float(camera.sensor_width * zone.distance)
    each = "" if count == 1 else f" with {count} side by side"
    return Refusal("detail", f"it gives at most {density:.1f} px/m{each}", density)


def _exact(zone: Zone, camera: Camera, detail: Fraction, count: int) -> tuple[View, bool] | None:
    focal = focal_to_set(
        camera.sensor_width,
        camera.focal.low,
        camera.focal.high,
        zone.distance,
        Fraction(zone.width) / count,
    )
    if focal is None:
        return None
    need = pixels_needed(detail, camera.sensor_width, focal, zone.distance)
    return View(camera, count, focal, need), focal == Fraction(camera.focal.high)
