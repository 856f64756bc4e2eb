"""Every unit against its published factor.

SP 811: NIST Special Publication 811 (2008), appendix B. SI: BIPM, The International System of
Units, 9th edition, table 7 (prefixes). IEC 80000-13: binary prefixes. All from memory; the foot
and inch are exact by the international yard and pound agreement of 1959.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from optimizer import units

# text, dimension, value in the base unit
PUBLISHED = [
    # length [m]: 1 ft = 0.3048 m and 1 in = 2.54 cm, exact (SP 811)
    ("1 m", "length", "1"),
    ("1 ft", "length", "0.3048"),
    ("1 in", "length", "0.0254"),
    ("12 in", "length", "0.3048"),
    ("1 km", "length", "1000"),
    ("1 cm", "length", "0.01"),
    ("1 mm", "length", "0.001"),
    # 98 x 0.3048 = 29.8704; 500 ft and 1000 ft of cable: 152.4 m and 304.8 m
    ("98 ft", "length", "29.8704"),
    ("500 ft", "length", "152.4"),
    ("1000 ft", "length", "304.8"),
    ("4 mm", "lens", "4"),
    # SI prefixes
    ("6 W", "power", "6"),
    ("250 mW", "power", "0.25"),
    ("1.5 kW", "power", "1500"),
    ("12 V", "voltage", "12"),
    ("900 mV", "voltage", "0.9"),
    ("0.5 A", "current", "0.5"),
    ("350 mA", "current", "0.35"),
    # storage [byte]: TB = 10^12 (SI), TiB = 2^40 (IEC 80000-13)
    ("1 GB", "storage", "1000000000"),
    ("4 TB", "storage", "4000000000000"),
    ("1 GiB", "storage", "1073741824"),
    ("1 TiB", "storage", "1099511627776"),
    # 3.6 x 1099511627776 = 3958241859993.6
    ("3.6 TiB", "storage", "3958241859993.6"),
    ("1 bit/s", "bit rate", "1"),
    ("64 kbit/s", "bit rate", "64000"),
    ("4 Mbit/s", "bit rate", "4000000"),
    ("1 Gbit/s", "bit rate", "1000000000"),
    ("1 px/s", "picture rate", "1"),
    ("1 kpx/s", "picture rate", "1000"),
    ("120 Mpx/s", "picture rate", "120000000"),
    ("12.5 fps", "frame rate", "12.5"),
    ("0.5 lx", "light", "0.5"),
    ("2 lux", "light", "2"),
    # density [px/m]: 76.2 px/ft / 0.3048 m/ft = 250 px/m
    ("250 px/m", "density", "250"),
    ("76.2 px/ft", "density", "250"),
    # duration [day]: 1 day = 24 h (SI, table 8)
    ("31 days", "duration", "31"),
    ("1 day", "duration", "1"),
    ("2 d", "duration", "2"),
    ("6 weeks", "duration", "42"),
    ("1 week", "duration", "7"),
    ("72 h", "duration", "3"),
    ("36 hours", "duration", "1.5"),
    # 1 h = 60 min, 1 min = 60 s (SI, table 8)
    ("2 min", "minutes", "2"),
    ("90 s", "minutes", "1.5"),
    ("1.5 h", "minutes", "90"),
    ("0.5 min/m", "pace", "0.5"),
    # 0.1524 min/ft / 0.3048 m/ft = 0.5 min/m
    ("0.1524 min/ft", "pace", "0.5"),
    # t/C = (t/F - 32) / 1.8 (SP 811): -4 F is -20 C, 122 F is 50 C, -40 is both
    ("-20 C", "temperature", "-20"),
    ("-4 F", "temperature", "-20"),
    ("122 F", "temperature", "50"),
    ("-40 F", "temperature", "-40"),
    ("32 F", "temperature", "0"),
    ("20 %", "share", "0.2"),
    ("0.5 %", "share", "0.005"),
    ("18 AWG", "gauge", "18"),
    ("45 deg", "angle", "45"),
]


@pytest.mark.parametrize(("text", "dimension", "expected"), PUBLISHED)
def test_published_factor(text: str, dimension: str, expected: str) -> None:
    assert units.parse(text, dimension) == Decimal(expected)
    assert units.exact(text, dimension) == Fraction(expected)


def test_every_unit_is_compared_with_a_published_one() -> None:
    compared = {(d, text.split(" ")[1]) for text, d, _ in PUBLISHED}
    known = {(d, unit) for d, kind in units.DIMENSIONS.items() for unit in kind.factors}
    assert compared == known


@pytest.mark.parametrize("dimension", units.DIMENSIONS)
def test_examples_of_messages_can_be_read(dimension: str) -> None:
    for example in units.DIMENSIONS[dimension].example.split(", "):
        assert units.parse(example, dimension).is_finite()


@pytest.mark.parametrize("dimension", units.DIMENSIONS)
def test_spoken_words_stand_for_units_and_are_none(dimension: str) -> None:
    kind = units.DIMENSIONS[dimension]
    assert set(kind.spoken.values()) <= set(kind.factors)
    assert not set(kind.spoken) & set(kind.factors)


def test_values_without_an_end_are_rounded_once() -> None:
    # 10 h = 10/24 day = 0.41666..., to 28 digits
    assert units.exact("10 h", "duration") == Fraction(5, 12)
    assert units.parse("10 h", "duration") == Decimal("0.4166666666666666666666666667")
    # 80 px/ft = 80 / 0.3048 = 100000/381 px/m
    assert units.exact("80 px/ft", "density") == Fraction(100000, 381)
    # 0 F = -32 / 1.8 = -160/9 C
    assert units.exact("0 F", "temperature") == Fraction(-160, 9)
    assert units.parse("0 F", "temperature") == Decimal("-17.77777777777777777777777778")
