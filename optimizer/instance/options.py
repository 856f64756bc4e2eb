"""Uses: what an option takes from everything that options share.

An option (a way to lay, feed or steer) is only a list of uses, so the model can add up any
option without knowing what kind it is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple


class Cut(NamedTuple):
    """A piece cut from a box of one construction. [cm]"""

    construction: str
    length_cm: int
    kind: str = "Cut"


class SupplyGroup(NamedTuple):
    """Supplies alike in feed, voltage (in mV) and kind of ends; they differ in size only."""

    feed: str
    millivolts: int
    ends: str


class Output(NamedTuple):
    """One output of a supply of the group in the room, with its load. [mA]"""

    group: SupplyGroup
    milliamps: int
    kind: str = "Output"


class LocalAdapter(NamedTuple):
    """An adapter at the camera or audio point, with its load. [mA]"""

    feed: str
    millivolts: int
    milliamps: int
    kind: str = "LocalAdapter"


class PoweredPort(NamedTuple):
    """A powered port of a switch. [10 mW]"""

    load: int
    kind: str = "PoweredPort"


class RecorderPort(NamedTuple):
    """A powered port of the recorder that records the camera. [10 mW]"""

    load: int
    kind: str = "RecorderPort"


class Injected(NamedTuple):
    """An injector. [10 mW]"""

    load: int
    kind: str = "Injected"


class PlainPort(NamedTuple):
    """A port of a switch that gives no power."""

    kind: str = "PlainPort"


class Part(NamedTuple):
    """A job that any of several items can do, such as bnc/rg59 or pigtail/male."""

    role: str
    kind: str = "Part"


class Piece(NamedTuple):
    """One piece of a certain item."""

    item: str
    kind: str = "Piece"


class Kept(NamedTuple):
    """An existing cable: index in the existing list of its place."""

    entry: int
    kind: str = "Kept"


Use = (
    Cut
    | Output
    | LocalAdapter
    | PoweredPort
    | RecorderPort
    | Injected
    | PlainPort
    | Part
    | Piece
    | Kept
)


@dataclass(frozen=True)
class Option:
    """One way to do something, for one camera or audio point.

    Attributes
    ----------
    kind : str
        Name of the way in RULES.md.
    uses : tuple of (use, amount)
        What it takes.
    labour : int
        Price of laying, in hundredths.
    pieces : tuple of str
        What it is made of, for the design: lead items, construction or balun.
    length_cm : int
        Length that decides drop and reach.
    """

    kind: str
    uses: tuple[tuple[Use, int], ...]
    labour: int = 0
    pieces: tuple[str, ...] = ()
    length_cm: int = 0
    existing: int | None = None
    balun: str | None = None
    volts: float | None = None
    milliamps: int | None = None
    watts: float | None = None
    group: SupplyGroup | None = None
    conductor: Conductor | None = None


@dataclass(frozen=True)
class Conductor:
    """The power conductors of a path or of a pair laid for power alone.

    Attributes
    ----------
    gauge : int
        AWG.
    length_cm : int
        One way.
    pairs : int
        Pairs in parallel.
    fitted : bool
        Whether its ends are plugs fitted at the factory (leads).
    """

    gauge: int
    length_cm: int
    pairs: int = 1
    fitted: bool = False


@dataclass(frozen=True)
class Path:
    """A way for the picture to travel.

    Attributes
    ----------
    option : Option
        What it takes, without its feed.
    own : Conductor or None
        Its own power conductors, where it is fed through them.
    extra_watts : float
        Drawn by baluns at the camera end when fed through them. [W]
    audio : bool
        Whether it also carries sound.
    steers : bool
        Whether a pair is left to steer the camera.
    up_the_coax : bool
        Whether control up the coax works over it.
    """

    option: Option
    own: Conductor | None = None
    extra_watts: float = 0.0
    audio: bool = False
    steers: bool = False
    up_the_coax: bool = False
    key: str = field(default="")
