"""Streams spread evenly over recorder units: a start where exact spreading takes too long."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from optimizer.instance.recorders import RecorderFit, parity
from optimizer.instance.streams import Stream


@dataclass
class Holder:
    """A recorder unit while it is being filled."""

    fit: RecorderFit
    name: str
    streams: Counter[Stream] = field(default_factory=Counter)

    def takes(self, stream: Stream) -> bool:
        """Whether one more such stream stays within every limit of the unit."""
        fit = self.fit
        if fit.item not in stream.recorders or not fit.takes(stream):
            return False
        now = [*self.streams.items(), (stream, 1)]
        for group in fit.recorder.inputs:
            if sum(n for s, n in now if s.family in group.families) > group.count:
                return False
        return (
            sum(n for s, n in now if s.family) <= fit.channels
            and sum(n * s.kilopixels for s, n in now) <= fit.kilopixels
            and sum(n * s.kbit for s, n in now) <= fit.kbit
            and sum(n * s.audio_inputs for s, n in now) <= fit.recorder.audio_inputs
            and sum(n * s.eighths for s, n in now) <= fit.eighths
            and sum(n for s, n in now if s.port) <= fit.ports
            and sum(n * s.port for s, n in now) <= fit.port_budget
            and sum(n * s.gigabytes for s, n in now) <= largest_storage(fit)
        )

    @property
    def fullness(self) -> float:
        """Share that is taken of whatever is scarcest."""
        fit = self.fit
        taken = (
            (sum(n * s.gigabytes for s, n in self.streams.items()), largest_storage(fit)),
            (sum(n * s.port for s, n in self.streams.items()), fit.port_budget),
            (sum(n * s.kbit for s, n in self.streams.items()), fit.kbit),
            (sum(n * s.kilopixels for s, n in self.streams.items()), fit.kilopixels),
            (sum(n for s, n in self.streams.items() if s.family), fit.channels),
        )
        return max(amount / limit for amount, limit in taken if limit)


def largest_storage(fit: RecorderFit) -> int:
    """Most that one unit can keep, with its largest drives. [GB]"""
    drive = max(d.gigabytes for d in fit.drives)
    usable = [
        {"single": fit.bays, "mirror": fit.bays // 2, "10": fit.bays // 2}.get(a)
        or fit.bays - (parity(a) if a in ("5", "6") else 0)
        for a in fit.arrays
    ]
    return drive * max(usable)


def spread(
    fits: Mapping[str, RecorderFit],
    units: Mapping[str, int],
    streams: Mapping[Stream, int],
    extra: int,
) -> list[Holder] | None:
    """Give every stream to the emptiest unit that takes it, the hardest streams first.

    Parameters
    ----------
    units : mapping
        Recorder item to units at hand.
    extra : int
        Units that may be added where none at hand has room.

    Returns
    -------
    list of Holder or None
        Units with at least one camera; None if it does not work out.
    """
    holders = [
        Holder(fits[item], f"{item}.{number}")
        for item, count in units.items()
        for number in range(count)
    ]
    one_by_one = [s for s, n in streams.items() for _ in range(n)]
    one_by_one.sort(
        key=lambda s: (s.family is None, len(s.recorders), -s.port, -s.gigabytes, -s.kbit)
    )
    for stream in one_by_one:
        holder = _emptiest(holders, stream)
        if holder is None and extra > 0:
            holder = _another(fits, holders, stream)
            extra -= 1
        if holder is None:
            return None
        holder.streams[stream] += 1
    kept = [h for h in holders if any(s.family for s in h.streams)]
    seen: Counter[str] = Counter()
    for holder in kept:
        holder.name = f"{holder.fit.item}.{seen[holder.fit.item]}"
        seen[holder.fit.item] += 1
    return kept


def _emptiest(holders: Sequence[Holder], stream: Stream) -> Holder | None:
    ranked = sorted(holders, key=lambda h: h.fullness)
    return next((h for h in ranked if h.takes(stream)), None)


def _another(
    fits: Mapping[str, RecorderFit], holders: list[Holder], stream: Stream
) -> Holder | None:
    for fit in sorted(fits.values(), key=lambda f: f.recorder.price):
        if fit.takes(stream):
            number = sum(h.fit.item == fit.item for h in holders)
            holders.append(Holder(fit, f"{fit.item}.{number}"))
            return holders[-1]
    return None
