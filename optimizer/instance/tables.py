"""The instance: integer tables of everything the site could be built from.

Zones that ask for the same thing are one :class:`ZoneTable`, counted; cameras with the same
electrical needs share one :class:`Profile`. A mount is a zone table whose camera is optional; what
the cameras of mounts see is a :class:`Viewing`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from optimizer.instance.cables import Construction
from optimizer.instance.feeding import SupplyFit
from optimizer.instance.leaving import Leaving
from optimizer.instance.optics import Refusal, View
from optimizer.instance.options import Option, Path
from optimizer.instance.recorders import RecorderFit
from optimizer.instance.sound import SoundTable
from optimizer.instance.streams import Level
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.schema import Mount, PlanZone, Site, Zone

if TYPE_CHECKING:
    from optimizer.plan.prepared import Ints, Prepared
    from optimizer.plan.prepared import View as PlanView

UNFED = "no supply and cable keep its voltage within limits"
"""Begins what is said of a camera that can be seen with and not be fed."""


class Feeding(NamedTuple):
    """A feed of one camera.

    Attributes
    ----------
    path : int or None
        Index of the path whose own conductors it uses; None for the other feeds.
    microphone : str or None
        The microphone that shares it.
    """

    option: Option
    path: int | None
    microphone: str | None = None


@dataclass(frozen=True)
class Profile:
    """Cameras that are alike to cable and supply."""

    family: str
    feedings: tuple[Feeding, ...]
    control: str = "none"


@dataclass(frozen=True)
class Candidate:
    """A camera item in a zone table, n side by side.

    Attributes
    ----------
    lens : str
        On a mount: the optics that its views are listed under, of a recorded picture.
    duty : int or None
        On a mount: which of the table's duties it does.
    """

    view: View
    levels: tuple[Level, ...]
    profile: int
    lens: str = ""
    duty: int | None = None


class Demand(NamedTuple):
    """What recording asks of a camera, for all plan zones that it serves together.

    Attributes
    ----------
    bit_rate : Decimal
        The greatest that a zone states; 0 for none. [bit/s]
    estimated : bool
        Whether a zone states none.
    """

    frame_rate: Decimal
    recorded: Decimal
    retention: Decimal
    bit_rate: Decimal
    estimated: bool

    def within(self, other: Demand) -> bool:
        """Whether whoever meets the other meets this."""
        return self.joined(other) == other

    def joined(self, other: Demand) -> Demand:
        """What both ask together."""
        return Demand(
            max(self.frame_rate, other.frame_rate),
            max(self.recorded, other.recorded),
            max(self.retention, other.retention),
            max(self.bit_rate, other.bit_rate),
            self.estimated or other.estimated,
        )


@dataclass(frozen=True)
class Duty:
    """A demand that the camera of a mount may have to meet.

    Attributes
    ----------
    asked : Zone
        The mount in the form of a zone of one camera that asks for it; its distance, width and
        detail say nothing.
    zones : frozenset of str
        Plan zones whose own demand is within.
    """

    demand: Demand
    asked: Zone
    zones: frozenset[str]


class Choice(NamedTuple):
    """A camera and a way to record it that a zone has under some changes of what it asks.

    Attributes
    ----------
    candidate : int
        Number in the table.
    asked : Zone
        What is asked of it.
    changes : frozenset of str
        Names of the changes; none: the zone as it is asked at first.
    """

    candidate: int
    level: Level
    asked: Zone
    changes: frozenset[str]


class Shift(NamedTuple):
    """A change of what some zones of a table ask.

    Attributes
    ----------
    zones : int
        How many.
    """

    change: str
    zones: int


@dataclass(frozen=True)
class ZoneTable:
    """Zones that ask for the same thing.

    Attributes
    ----------
    zones : tuple of Zone
        In the order of the site file. For a mount: the mount in the form of a zone.
    paths : dict
        Signal family to its paths.
    control : tuple of Option
        Pairs laid for steering.
    refusals : tuple of (camera id, Refusal)
        Why every other camera is out.
    duties : tuple of Duty
        Of a mount: what its camera may be asked to do.
    shifts : tuple of Shift
        Changes of what is asked, if the instance stands for several sites.
    choices : tuple of Choice
        With shifts: every camera and way to record it, and under which of them it may be chosen.
    """

    zones: tuple[Zone, ...]
    candidates: tuple[Candidate, ...]
    profiles: tuple[Profile, ...]
    paths: dict[str, tuple[Path, ...]]
    control: tuple[Option, ...]
    sound: SoundTable | None
    refusals: tuple[tuple[str, Refusal], ...]
    mount: Mount | None = None
    duties: tuple[Duty, ...] = ()
    shifts: tuple[Shift, ...] = ()
    choices: tuple[Choice, ...] = ()

    @property
    def optional(self) -> bool:
        """Whether it may stay without a camera: a mount."""
        return self.mount is not None

    def ways(self, number: int) -> list[tuple[Level, Zone]]:
        """Ways to record a candidate, each with what is asked of it."""
        if self.shifts:
            return [(c.level, c.asked) for c in self.choices if c.candidate == number]
        candidate = self.candidates[number]
        return [(level, self.asked(candidate)) for level in candidate.levels]

    def asked(self, candidate: Candidate) -> Zone:
        """What is asked of a candidate."""
        return self.zones[0] if candidate.duty is None else self.duties[candidate.duty].asked

    def tags(self, quantity: str) -> list[str]:
        """Ids of the requirements of its zones, or of its mount."""
        kind = "mounts" if self.optional else "zones"
        return [f"{kind}.{z.id}/{quantity}" for z in self.zones]

    @property
    def zone(self) -> Zone:
        """Any of its zones."""
        return self.zones[0]

    @property
    def name(self) -> str:
        """Name for rows and messages."""
        return self.zones[0].id


@dataclass(frozen=True, eq=False)
class Aim:
    """A way to use the camera of a mount: a lens, aimed, doing a duty.

    Attributes
    ----------
    table : int
        Number of the mount's table.
    view : plan.View
        Where cells count that might be seen, it only says by which mount and lens.
    cells : ndarray of int32, sorted
        Cells that it counts for.
    """

    table: int
    lens: str
    duty: int
    view: PlanView
    cells: Ints


UNITS = 10**8
"""Parts into which the area of a zone is divided where a share of it is asked."""


class Group(NamedTuple):
    """Cells of a zone that the same aims count for.

    Attributes
    ----------
    units : int
        Their area, rounded down, in units of which a whole zone has UNITS.
    aims : ndarray of int32
        Numbers of the aims that count for them, ascending.
    close : tuple of (int, int)
        Tables of mounts that are too close in direction to count together, in pairs.
    """

    cells: tuple[int, ...]
    units: int
    aims: Ints
    close: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, eq=False)
class Seen:
    """A plan zone and what of it can be seen by what.

    Attributes
    ----------
    units : int
        Of its area that must be seen, rounded up; None where every cell must be.
    """

    zone: PlanZone
    groups: tuple[Group, ...]
    units: int | None


@dataclass(frozen=True, eq=False)
class Viewing:
    """What cameras on mounts see.

    Attributes
    ----------
    sure : bool
        Whether a cell counts as seen only if all of it surely is; else if any of it might be.
    fixed : bool
        Each aim is used, one a mount: what they see together was judged by exact shapes, and no
        cell is counted.
    over : str
        Over what set of cameras and aims a choice is cheapest, in words for a reader.
    stopped : bool
        Time ran out before more lenses or smaller cells were tried for a zone that lacks views.
    """

    prepared: Prepared
    aims: tuple[Aim, ...]
    zones: tuple[Seen, ...]
    sure: bool = True
    fixed: bool = False
    over: str = ""
    stopped: bool = False


@dataclass(frozen=True)
class Change:
    """One of several changes of a site, of which exactly one is made.

    Attributes
    ----------
    name : str
    gone : dict of int to int
        Number of a table to how many of its zones are left out, or are spoken of by `tables`.
    tables : tuple of int
        Numbers of the tables of zones that are also wired in another way.
    spare : int
        Channels to be kept spare, more than the site itself asks.
    fresh : bool
        Whether only kits matter that the site without a change does not admit.
    """

    name: str
    gone: dict[int, int]
    tables: tuple[int, ...]
    spare: int = 0
    fresh: bool = False


@dataclass(frozen=True)
class Instance:
    """Everything the model reads.

    Attributes
    ----------
    leaving : Leaving or None
        Where zones may be left out; each then has a table of its own.
    changes : tuple of Change
        Where it stands for several sites at once: exactly one of these is made.
    """

    site: Site
    book: LoadedBook
    zones: tuple[ZoneTable, ...]
    sounds: tuple[SoundTable, ...]
    recorders: tuple[RecorderFit, ...]
    supplies: tuple[SupplyFit, ...]
    cables: dict[str, Construction]
    recorder_refusals: dict[str, str] = field(default_factory=dict)
    viewing: Viewing | None = None
    leaving: Leaving | None = None
    changes: tuple[Change, ...] = ()

    @property
    def lacks_candidates(self) -> bool:
        """Whether a surveyed view is left without any camera."""
        return any(not z.candidates and not z.optional for z in self.zones)

    @property
    def instead(self) -> dict[int, str]:
        """Tables that stand for zones in one change only, and its name."""
        return {index: change.name for change in self.changes for index in change.tables}
