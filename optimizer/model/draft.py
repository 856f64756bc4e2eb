"""The program while it is being written: what the families share.

Families never call each other. Each adds variables and rows, and enters what its variables take
into the tallies; the closing families (packs, parts, money) turn the tallies into rows.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from optimizer.instance.options import Kept, Option, Part, Piece, Use
from optimizer.instance.streams import Level, Stream
from optimizer.instance.tables import Aim, Candidate, Feeding, Instance
from optimizer.model.packs import Pack
from optimizer.model.program import Program
from optimizer.site.schema import Zone

Terms = list[tuple[int, int]]


@dataclass(frozen=True)
class StreamChoice:
    """Cameras of a candidate on a level: which variable counts them."""

    table: int
    candidate: Candidate
    level: Level
    stream: Stream
    sound: str
    var: int
    asked: Zone


@dataclass
class Draft:
    """Everything the families write into.

    Attributes
    ----------
    tally : dict
        Use to the terms that add up to its amount.
    streams : dict
        Stream to the terms that count it.
    used : dict
        Item id to the terms that count its pieces doing a job.
    units : dict or None
        Most units of each recorder item, where that is settled already.
    gone : dict
        Zone id to the variable that says whether it is left out, where that may be.
    changed : dict
        Name of a change to the variable that says whether it is made.
    """

    instance: Instance
    program: Program = field(default_factory=Program)
    spelt: frozenset[str] = frozenset()
    units: dict[str, int] | None = None
    tally: dict[Use, Terms] = field(default_factory=lambda: defaultdict(list))
    streams: dict[Stream, Terms] = field(default_factory=lambda: defaultdict(list))
    used: dict[str, Terms] = field(default_factory=lambda: defaultdict(list))
    packs: dict[str, Pack] = field(default_factory=dict)

    gone: dict[str, int] = field(default_factory=dict)
    changed: dict[str, int] = field(default_factory=dict)
    cameras: dict[tuple[int, int], int] = field(default_factory=dict)
    stream_choices: list[StreamChoice] = field(default_factory=list)
    feedings: list[tuple[int, int, Feeding, int]] = field(default_factory=list)
    paths: list[tuple[int, str, int, int]] = field(default_factory=list)
    control: list[tuple[int, str, Option, int]] = field(default_factory=list)
    sounds: list[tuple[int, str, str | None, Option | None, int]] = field(default_factory=list)
    signals: list[tuple[int, Option, int]] = field(default_factory=list)
    sound_streams: list[tuple[int, Stream, int]] = field(default_factory=list)
    flows: list[tuple[Stream, str, int]] = field(default_factory=list)
    recorders: dict[str, int] = field(default_factory=dict)
    drives: list[tuple[str, str, str, int]] = field(default_factory=list)
    arrays: list[tuple[str, str, str, int]] = field(default_factory=list)
    parts: list[tuple[str, str, int]] = field(default_factory=list)
    bought: dict[str, Terms] = field(default_factory=lambda: defaultdict(list))
    aims: list[tuple[Aim, int]] = field(default_factory=list)
    offers: list[tuple[str, int]] = field(default_factory=list)

    owners: dict[int, tuple[object, int]] = field(default_factory=dict)

    def own(self, var: int, owner: object, cap: int) -> None:
        """Say that the variables of one owner together are at most its cap."""
        self.owners[var] = (owner, cap)

    def take(self, place: str, option: Option, var: int) -> None:
        """Enter what one of an option takes into the tallies."""
        for use, amount in option.uses:
            if isinstance(use, Piece):
                self.used[use.item].append((var, amount))
            elif isinstance(use, Kept):
                self.kept[place, use.entry].append((var, amount))
            else:
                self.tally[use].append((var, amount))
        if option.labour:
            self.program.cost[var] += option.labour

    kept: dict[tuple[str, int], Terms] = field(default_factory=lambda: defaultdict(list))

    def need(self, role: str, terms: Iterable[tuple[int, int]]) -> None:
        """Ask for pieces that do a job."""
        self.tally[Part(role)].extend(terms)

    @property
    def asked(self) -> dict[str, int]:
        """Pieces that the site wants used, by item: required or pinned."""
        site = self.instance.site
        asked = {r.item: r.quantity for r in site.policy.require}
        for owned in site.owned:
            if owned.pinned:
                asked[owned.item] = max(asked.get(owned.item, 0), owned.quantity)
        return asked

    def largest(self, terms: Terms) -> int:
        """Most that a sum of terms with positive coefficients can be; a variable may come twice."""
        sums: dict[int, int] = {}
        for col, coef in terms:
            sums[col] = sums.get(col, 0) + coef
        total = 0
        shared: dict[object, tuple[int, int, int]] = {}
        for col, coef in sums.items():
            amount = coef * self.program.upper[col]
            if col not in self.owners:
                total += amount
                continue
            owner, cap = self.owners[col]
            most, coarse, _ = shared.get(owner, (0, 0, 0))
            shared[owner] = (most + amount, max(coarse, coef), cap)
        return total + sum(min(most, coef * cap) for most, coef, cap in shared.values())
