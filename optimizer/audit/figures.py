"""Figures of section 2 of the rules, computed anew: pictures, bit rates, storage.

Exact fractions; rounding up happens where the rules say, in :func:`up`.
"""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

from optimizer.audit.case import Fitted, Heard
from optimizer.engineering.optics import focal_to_set
from optimizer.engineering.storage import DAY_S, bytes_for
from optimizer.engineering.video import bit_rate as expected_rate
from optimizer.pricebook import schema as book
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import AudioPoint, Site, Zone

GB = 10**9
FLOAT_SHARE = 1e-9
"""Relative tolerance, for floating-point quantities alone."""


def up(value: Fraction | float) -> int:
    """Round up; a float that misses a whole number by noise only counts as that number."""
    return math.ceil(value if isinstance(value, Fraction) else value * (1 - FLOAT_SHARE))


def down(value: Fraction | Decimal) -> int:
    """Round down."""
    return math.floor(value)


def prints_as(stated: float, exact: float | Fraction, decimals: int) -> bool:
    """Whether a stated figure is the exact one, given in full or printed with few decimals."""
    gap = abs(float(stated) - float(exact))
    return gap <= max(0.5 * 10.0**-decimals * (1 + FLOAT_SHARE), abs(float(exact)) * FLOAT_SHARE)


def recorded_picture(camera: book.Camera, group: book.Inputs) -> PictureSize:
    """The camera's picture limited, in width and height separately, by the recorder's inputs."""
    return PictureSize(
        min(camera.picture.width, group.picture.width),
        min(camera.picture.height, group.picture.height),
    )


def focal_for(camera: book.Camera, zone: Zone, abreast: int) -> Fraction | None:
    """Focal length to set with so many cameras side by side; None if the view is too wide. [mm]"""
    return focal_to_set(
        camera.sensor_width,
        camera.focal.low,
        camera.focal.high,
        zone.distance,
        Fraction(zone.width) / abreast,
    )


def abreast(site: Site, zone: Zone, camera: book.Camera, picture: PictureSize) -> int | None:
    """Fewest cameras side by side that show a zone's width with its detail.

    With n cameras f = min(longest focal, n x sensor width x distance / width), so both the
    shortest focal and the focal that the detail needs give a least n; None where the detail needs
    a longer focal than the lens has.
    """
    reach = Fraction(camera.sensor_width) * Fraction(zone.distance)
    for_detail = site.detail_px_m(zone) * reach / picture.width
    if for_detail > camera.focal.high:
        return None
    focal = max(for_detail, Fraction(camera.focal.low))
    return max(1, math.ceil(focal * Fraction(zone.width) / reach))


def density(camera: book.Camera, zone: Zone, picture: PictureSize, focal: Fraction) -> Fraction:
    """Detail at the zone's distance. [px/m]"""
    return picture.width * focal / (Fraction(camera.sensor_width) * Fraction(zone.distance))


def bit_rate(site: Site, zone: Zone, camera: book.Camera, picture: PictureSize) -> Fraction:
    """Bit rate of a camera: of its zone, else measured, else expected. [bit/s]"""
    recording = site.recording
    stated = zone.bit_rate
    if stated is None:
        stated = recording.measured.get(camera.id)
    if stated is not None:
        return Fraction(stated)
    return expected_rate(
        picture.width, picture.height, zone.frame_rate, recording.codec, recording.activity
    )


def _kept(site: Site, rate: Fraction, share: Fraction, days: Decimal) -> Fraction:
    plain = bytes_for(rate, share * DAY_S, days)
    return plain * (1 + Fraction(site.spare.storage)) / (1 - Fraction(site.recording.reserve))


def picture_bytes(site: Site, zone: Zone, rate: Fraction) -> Fraction:
    """Storage of one camera of a zone, spare and reserve included. [byte]"""
    return _kept(site, rate, Fraction(zone.recorded), site.retention_days(zone))


def sound_bytes(site: Site, point: AudioPoint) -> Fraction:
    """Storage of an audio point, spare and reserve included. [byte]"""
    zone = next((z for z in site.views if z.id == point.zone), None)
    days = site.recording.retention if zone is None else site.retention_days(zone)
    return _kept(site, Fraction(site.audio.bit_rate), Fraction(1), days)


def rate_of(site: Site, camera: Fitted) -> Fraction | None:
    """Bit rate of a camera of the design; None where no input takes its family. [bit/s]"""
    if camera.group is None:
        return None
    picture = recorded_picture(camera.item, camera.group)
    if not camera.served:
        return bit_rate(site, camera.zone, camera.item, picture)
    stated = [Fraction(z.bit_rate) for z in camera.served if z.bit_rate is not None]
    if len(stated) < len(camera.served):
        stated.append(bit_rate(site, camera.zone, camera.item, picture))
    return max(stated)


def gb(size: Fraction) -> int:
    """Storage in the sums. [GB, rounded up]"""
    return up(size / GB)


def kbit_s(rate: Fraction) -> int:
    """Bit rate in the sums. [kbit/s, rounded up]"""
    return up(rate / 1000)


def kpx_s(zone: Zone, picture: PictureSize) -> int:
    """Pictures to encode in the sums. [kpx/s, rounded up]"""
    return up(picture.width * picture.height * Fraction(zone.frame_rate) / 1000)


def in_stream(sound: Heard) -> bool:
    """Whether the sound travels in the stream of a network camera."""
    return sound.stated.way == "A7"
