"""Streams: what one camera or audio point asks of the recorder it lands on."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from optimizer.engineering.storage import bytes_for
from optimizer.engineering.video import bit_rate
from optimizer.instance.amounts import GB, up
from optimizer.pricebook.schema import Camera, Recorder
from optimizer.reading.fields import PictureSize
from optimizer.site.schema import AudioPoint, Site, Zone

_DAY_S = 86_400


class Stream(NamedTuple):
    """Equal streams are counted together.

    Attributes
    ----------
    family : str or None
        Signal family; None for a microphone on an audio input.
    kbit : int
        Counted against ingest; 0 unless network. [kbit/s]
    gigabytes : int
        To keep. [GB]
    kilopixels : int
        Counted against the encode rate; 0 for network. [kpx/s]
    audio_inputs : int
    port : int
        Power asked of a powered port of the recorder, 0 if none. [10 mW]
    eighths : int
        RS-485 unit loads. [1/8]
    up_the_coax : bool
        Whether it is steered up the coax.
    recorders : tuple of str
        Recorder items that can take it.
    """

    family: str | None
    kbit: int
    gigabytes: int
    kilopixels: int
    audio_inputs: int
    port: int
    eighths: int
    up_the_coax: bool
    recorders: tuple[str, ...]


@dataclass(frozen=True)
class Level:
    """One recorded picture a camera can have in a zone.

    Attributes
    ----------
    picture : PictureSize
        As recorded.
    rate : Fraction
        Bit rate. [bit/s]
    stored : Fraction
        With spare and reserve. [byte]
    recorders : tuple of str
        The recorder items that record this picture.
    """

    picture: PictureSize
    rate: Fraction
    stored: Fraction
    recorders: tuple[str, ...]


def recorded_picture(recorder: Recorder, camera: Camera) -> PictureSize | None:
    """The picture a recorder keeps of a camera; None if it has no input for it."""
    for group in recorder.inputs:
        if camera.family in group.families:
            return PictureSize(
                min(camera.picture.width, group.picture.width),
                min(camera.picture.height, group.picture.height),
            )
    return None


def camera_rate(site: Site, zone: Zone, camera: Camera, picture: PictureSize) -> Fraction:
    """Bit rate of one camera: measured for the zone, for the item, or estimated. [bit/s]"""
    if zone.bit_rate is not None:
        return Fraction(zone.bit_rate)
    measured = site.recording.measured.get(camera.id)
    if measured is not None:
        return Fraction(measured)
    return bit_rate(
        picture.width,
        picture.height,
        zone.frame_rate,
        site.recording.codec,
        site.recording.activity,
    )


def _kept(site: Site, rate: Fraction, share: Decimal, days: Decimal) -> Fraction:
    raw = bytes_for(rate, Fraction(share) * _DAY_S, days)
    return raw * (1 + Fraction(site.spare.storage)) / (1 - Fraction(site.recording.reserve))


def camera_bytes(site: Site, zone: Zone, rate: Fraction) -> Fraction:
    """Storage of one camera, with spare and reserve. [byte]"""
    return _kept(site, rate, zone.recorded, site.retention_days(zone))


def audio_bytes(site: Site, point: AudioPoint) -> Fraction:
    """Storage of one audio point, with spare and reserve. [byte]"""
    days = site.recording.retention
    for zone in site.views:
        if zone.id == point.zone:
            days = site.retention_days(zone)
    return _kept(site, Fraction(site.audio.bit_rate), Decimal(1), days)


def stream_of(
    site: Site,
    zone: Zone,
    camera: Camera,
    level: Level,
    *,
    port: int = 0,
    sound: AudioPoint | None = None,
    in_stream: bool = False,
) -> Stream:
    """The stream of one camera.

    Parameters
    ----------
    port : int
        Power asked of the recorder's own port. [10 mW]
    sound : AudioPoint, optional
        The audio point that is tied to this camera.
    in_stream : bool
        Whether its sound travels in the camera's stream.
    """
    network = camera.family == "network"
    kbit = up(level.rate / 1000) if network else 0
    gigabytes = up(level.stored / GB)
    inputs = 0
    if sound is not None:
        gigabytes += up(audio_bytes(site, sound) / GB)
        if in_stream:
            kbit += up(Fraction(site.audio.bit_rate) / 1000)
        else:
            inputs = 1
    pixels = level.picture.width * level.picture.height * Fraction(zone.frame_rate) / 1000
    steered = zone.steerable
    return Stream(
        family=camera.family,
        kbit=kbit,
        gigabytes=gigabytes,
        kilopixels=0 if network else up(pixels),
        audio_inputs=inputs,
        port=port,
        eighths=up(Fraction(camera.unit_load) * 8) if steered and camera.control == "rs485" else 0,
        up_the_coax=steered and camera.control == "coax",
        recorders=level.recorders,
    )
