"""Natural steps of a requirement: what is one step easier or harder to meet.

Values are texts as they stand in a site file ("31 days"), so that what is asked, what is stepped to
and what is printed are the same words. The step sizes are common practice, no source, except where
a standard is named.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from optimizer import units
from optimizer.engineering.optics import DETAIL_LEVELS
from optimizer.engineering.protection import ip_at_least


class Ladder(Protocol):
    """Steps up and down from a value; None where there is no further step."""

    def easier(self, value: str) -> str | None:
        """One natural step easier to meet."""

    def harder(self, value: str) -> str | None:
        """One natural step harder to meet."""

    def hardness(self, value: str) -> Fraction:
        """A number that grows from easier to harder values."""


@dataclass(frozen=True)
class Fixed:
    """A value without steps: it is asked or it is not."""

    def easier(self, value: str) -> str | None:  # noqa: ARG002 - the protocol's
        return None

    def harder(self, value: str) -> str | None:  # noqa: ARG002 - the protocol's
        return None

    def hardness(self, value: str) -> Fraction:  # noqa: ARG002 - the protocol's
        return Fraction(0)


@dataclass(frozen=True)
class Whole:
    """Whole numbers; more is harder unless `more_is_easier`."""

    least: int
    most: int
    more_is_easier: bool = False

    def easier(self, value: str) -> str | None:
        return self._by(value, 1 if self.more_is_easier else -1)

    def harder(self, value: str) -> str | None:
        return self._by(value, -1 if self.more_is_easier else 1)

    def hardness(self, value: str) -> Fraction:
        return Fraction(-int(value) if self.more_is_easier else int(value))

    def _by(self, value: str, step: int) -> str | None:
        number = int(value) + step
        return str(number) if self.least <= number <= self.most else None


@dataclass(frozen=True)
class Amount:
    """A quantity in steps of its own unit; more is harder unless `more_is_easier`.

    Attributes
    ----------
    dimension : str
        A key of `units.DIMENSIONS`.
    steps : mapping of unit to number
        Step in each unit that a reader may use; the first is taken for any other unit.
    least, most : str
        Ends of the ladder, as quantities.
    to_end : bool
        Whether the last step up is shortened so that it meets `most`.
    """

    dimension: str
    steps: Mapping[str, str]
    least: str
    most: str
    more_is_easier: bool = False
    to_end: bool = False

    def easier(self, value: str) -> str | None:
        return self._by(value, 1 if self.more_is_easier else -1)

    def harder(self, value: str) -> str | None:
        return self._by(value, -1 if self.more_is_easier else 1)

    def hardness(self, value: str) -> Fraction:
        amount = units.exact(value, self.dimension)
        return -amount if self.more_is_easier else amount

    def _by(self, value: str, sign: int) -> str | None:
        number, unit = units.split(value, self.dimension)
        if unit not in self.steps:
            unit = next(iter(self.steps))
            number = in_unit(value, self.dimension, unit)
        text = _text(number + sign * Decimal(self.steps[unit]), unit)
        reached, low, high = (units.exact(t, self.dimension) for t in (text, self.least, self.most))
        if self.to_end and reached > high > units.exact(value, self.dimension):
            return self.most
        return text if low <= reached <= high else None


def in_unit(value: str, dimension: str, unit: str) -> Decimal:
    """The number of a quantity in another unit, to 28 digits."""
    exact = units.exact(value, dimension) / units.DIMENSIONS[dimension].factors[unit]
    return Decimal(exact.numerator) / Decimal(exact.denominator)


def plain(number: Decimal) -> str:
    """A number without an exponent and without needless zeros."""
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _text(number: Decimal, unit: str) -> str:
    return f"{plain(number)} {'day' if unit == 'days' and number == 1 else unit}"


_R10 = ("1", "1.25", "1.6", "2", "2.5", "3.15", "4", "5", "6.3", "8")
"""Rounded preferred numbers of the series R10. ISO 3, from memory."""


@dataclass(frozen=True)
class Density:
    """Level names of the edition; a plain figure goes by the preferred numbers R10 of ISO 3."""

    edition: str

    def easier(self, value: str) -> str | None:
        return self._by(value, up=False)

    def harder(self, value: str) -> str | None:
        return self._by(value, up=True)

    def hardness(self, value: str) -> Fraction:
        level = DETAIL_LEVELS[self.edition].get(value)
        return units.exact(value, "density") if level is None else level

    def _by(self, value: str, up: bool) -> str | None:
        levels = DETAIL_LEVELS[self.edition]
        if value in levels:
            names = sorted(levels, key=lambda n: levels[n])
            at = names.index(value) + (1 if up else -1)
            return names[at] if 0 <= at < len(names) else None
        unit = units.split(value, "density")[1]
        now = units.exact(value, "density")
        ladder = [f"{plain(Decimal(n).scaleb(e))} {unit}" for e in range(5) for n in _R10]
        ladder = [t for t in ladder if 1 <= units.exact(t, "density") <= 20000]
        beyond = [t for t in ladder if (units.exact(t, "density") > now) == up]
        beyond = [t for t in beyond if units.exact(t, "density") != now]
        if not beyond:
            return None
        return beyond[0] if up else beyond[-1]


@dataclass(frozen=True)
class Reversed:
    """A ladder of something of which less is harder, such as the most that may be shown."""

    ladder: Ladder

    def easier(self, value: str) -> str | None:
        return self.ladder.harder(value)

    def harder(self, value: str) -> str | None:
        return self.ladder.easier(value)

    def hardness(self, value: str) -> Fraction:
        return -self.ladder.hardness(value)


_DECADES = ("10 lx", "1 lx", "0.1 lx", "0.01 lx", "0.001 lx")


@dataclass(frozen=True)
class Light:
    """Light at night: lit, decades from 10 lx down to 0.001 lx, dark."""

    def easier(self, value: str) -> str | None:
        if value == "lit":
            return None
        brighter = [t for t in reversed(_DECADES) if value == "dark" or _lux(t) > _lux(value)]
        return brighter[0] if brighter else "lit"

    def harder(self, value: str) -> str | None:
        if value == "dark":
            return None
        darker = [t for t in _DECADES if value == "lit" or _lux(t) < _lux(value)]
        return darker[0] if darker else "dark"

    def hardness(self, value: str) -> Fraction:
        if value in ("lit", "dark"):
            return Fraction(-(10**9) if value == "lit" else 0)
        return -units.exact(value, "light")


def _lux(value: str) -> Decimal:
    return units.parse(value, "light")


@dataclass(frozen=True)
class DayShare:
    """How much of the day is recorded: an hour a day, or 5 % where it is stated as a share."""

    def easier(self, value: str) -> str | None:
        return self._by(value, -1)

    def harder(self, value: str) -> str | None:
        return self._by(value, 1)

    def hardness(self, value: str) -> Fraction:
        # A share is one of the day, so that it may be compared with hours.
        if "%" in value:
            return units.exact(value, "share") * units.exact("24 h", "duration")
        return units.exact(value, "duration")

    @staticmethod
    def _by(value: str, sign: int) -> str | None:
        if "%" in value:
            return Amount("share", {"%": "5"}, "5 %", "100 %")._by(value, sign)
        return Amount("duration", {"h": "1"}, "1 h", "24 h")._by(value, sign)


INGRESS = ("IP20", "IP44", "IP54", "IP65", "IP66")
"""Customary ingress codes, each of which covers those before it. Common practice, no source."""


@dataclass(frozen=True)
class Ingress:
    """The customary codes that the standard calls covered by the code asked (IEC 60529)."""

    def easier(self, value: str) -> str | None:
        return next((c for c in reversed(INGRESS) if c != value and ip_at_least(value, c)), None)

    def harder(self, value: str) -> str | None:
        return next(
            (c for c in INGRESS if ip_at_least(c, value) and not ip_at_least(value, c)), None
        )

    def hardness(self, value: str) -> Fraction:
        return Fraction(sum(ip_at_least(value, c) for c in INGRESS))


@dataclass(frozen=True)
class Impact:
    """Codes of IEC 62262 one by one."""

    def easier(self, value: str) -> str | None:
        number = int(value[2:]) - 1
        return f"IK{number:02d}" if number > 0 else None

    def harder(self, value: str) -> str | None:
        number = int(value[2:]) + 1
        return f"IK{number:02d}" if number <= 11 else None

    def hardness(self, value: str) -> Fraction:
        return Fraction(int(value[2:]))


@dataclass(frozen=True)
class Weather:
    """A range of temperatures, 5 C at each end."""

    def easier(self, value: str) -> str | None:
        low, high = _ends(value)
        return _span(low + 5, high - 5) if low + 5 <= high - 5 else None

    def harder(self, value: str) -> str | None:
        low, high = _ends(value)
        return _span(low - 5, high + 5) if low - 5 >= -90 and high + 5 <= 120 else None

    def hardness(self, value: str) -> Fraction:
        low, high = _ends(value)
        return Fraction(high - low)


def _ends(value: str) -> tuple[Decimal, Decimal]:
    ends = [end.strip() for end in value.split(" to ")]
    if len(ends) == 2 and ends[0].replace("-", "").replace(".", "").isdigit():
        ends[0] = f"{ends[0]} {units.split(ends[1], 'temperature')[1]}"
    return units.parse(ends[0], "temperature"), units.parse(ends[-1], "temperature")


def _span(low: Decimal, high: Decimal) -> str:
    return f"{plain(low)} to {plain(high)} C"


@dataclass(frozen=True)
class Longer:
    """A ladder of list values made from those that are left to add."""

    grow: Callable[[Sequence[str]], str | None]

    def easier(self, value: str) -> str | None:  # noqa: ARG002 - each entry is dropped by name
        return None

    def harder(self, value: str) -> str | None:
        entries = [w.strip() for w in value.split(",") if w.strip()]
        added = self.grow(entries)
        return None if added is None else ", ".join([*entries, added])

    def hardness(self, value: str) -> Fraction:
        return Fraction(len(value.split(",")))


def against(ladder: Ladder, asked: str, value: str) -> int | None:
    """1 if a value asks for more than another, -1 for less, 0 for the same; None if for neither.

    Where values are not all in one line, as with ingress codes or ranges of temperature, one has to
    cover the other.
    """
    if asked == value:
        return 0
    match ladder:
        case Fixed():
            return None
        case Ingress():
            more, less = ip_at_least(value, asked), ip_at_least(asked, value)
        case Weather():
            (low, high), (least, most) = _ends(value), _ends(asked)
            more, less = low <= least and high >= most, low >= least and high <= most
        case Longer():
            one, two = ({w.strip() for w in text.split(",")} for text in (value, asked))
            more, less = one >= two, one <= two
        case _:
            more = ladder.hardness(value) >= ladder.hardness(asked)
            less = ladder.hardness(value) <= ladder.hardness(asked)
    return int(more) - int(less) if more or less else None


__all__ = [
    "INGRESS",
    "Amount",
    "DayShare",
    "Density",
    "Fixed",
    "Impact",
    "Ingress",
    "Ladder",
    "Light",
    "Longer",
    "Reversed",
    "Weather",
    "Whole",
    "against",
    "in_unit",
    "plain",
]
