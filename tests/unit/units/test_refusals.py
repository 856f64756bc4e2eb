"""What is said of quantities that cannot be read, beyond what the message tests show."""

from __future__ import annotations

import pytest

from optimizer import units


@pytest.mark.parametrize(
    ("text", "dimension", "what", "hint"),
    [
        ("", "length", "this is not a quantity", "write it as 30 m, 98 ft"),
        ("m", "length", "this is not a quantity", "write it as 30 m, 98 ft"),
        ("- 5 C", "temperature", "this is not a quantity", "write it as -20 C, -4 F"),
        ("\u22125 C", "temperature", "this is not a quantity", 'did you mean "-5 C"?'),
        ("-.5 C", "temperature", "this is not a quantity", 'did you mean "-0.5 C"?'),
        ("5. A", "current", '". A" is not a unit of current', "write it as 0.5 A"),
        ("1 1/2 in", "length", "this is not one number and its unit", "write it as 30 m, 98 ft"),
        ("30 m 20", "length", "this is not one number and its unit", "write it as 30 m, 98 ft"),
        ('10 "', "length", '""" is not a unit of length', 'did you mean "10 in"?'),
        ("10'", "length", '"\'" is not a unit of length', 'did you mean "10 ft"?'),
        ("12 v", "voltage", '"v" is not a unit of voltage', 'did you mean "12 V"?'),
        ("4 tb", "storage", '"tb" is not a unit of storage', 'did you mean "4 TB"?'),
        ("4 MB/s", "bit rate", '"MB/s" is not a unit of bit rate', "1 MB/s is 8 Mbit/s"),
        ("4 Mb/s", "bit rate", '"Mb/s" is not a unit of bit rate', 'did you mean "4 Mbit/s"?'),
        ("4", "bit rate", "the unit is missing", 'did you mean "4 Mbit/s"?'),
        ("4", "picture rate", "the unit is missing", 'did you mean "4 Mpx/s"?'),
        ("3 months", "duration", '"months" is not a unit of duration', None),
        ("18 awg", "gauge", '"awg" is not a unit of gauge', 'did you mean "18 AWG"?'),
        ("15 Hz", "frame rate", '"Hz" is not a unit of frame rate', 'did you mean "15 fps"?'),
        ("20 percent", "share", '"percent" is not a unit of share', 'did you mean "20 %"?'),
        ("5 parsec", "length", '"parsec" is not a unit of length', "write it as 30 m, 98 ft"),
        (
            "5 \x1b[2J",
            "length",
            "this is not one number and its unit",
            "write it as 30 m, 98 ft",
        ),
        (
            "5 \x1bJ",
            "length",
            '"\\x1bJ" is not a unit of length',
            "write it as 30 m, 98 ft",
        ),
    ],
)
def test_refusal(text: str, dimension: str, what: str, hint: str | None) -> None:
    with pytest.raises(units.UnitError) as caught:
        units.parse(text, dimension)
    assert caught.value.what == what
    assert caught.value.hint == (hint or "months differ in length: write days")


@pytest.mark.parametrize("text", ["1" * 41, "0." + "0" * 39 + "1"])
def test_absurdly_long_number(text: str) -> None:
    with pytest.raises(units.UnitError, match="absurdly long"):
        units.parse(f"{text} m", "length")


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("1,234.50", "use a decimal point and no separators, as in 1234.50"),
        ("1 234.50", "use a decimal point and no separators, as in 1234.50"),
        ("12,50", "use a decimal point and no separators, as in 1234.50"),
        ("€ 12.50", "write the number alone: the currency is stated once for the file"),
        ("12.50 EUR", "write the number alone: the currency is stated once for the file"),
        ("1e3", "write the number out in full, as in 1234.50"),
        ("free", "write a number, such as 12.50"),
        ("", "write a number, such as 12.50"),
        ("nan", "write a number, such as 12.50"),
        (".50", 'did you mean "0.50"?'),
        ("+5", "write the number alone: the currency is stated once for the file"),
    ],
)
def test_money_refusal(text: str, hint: str) -> None:
    with pytest.raises(units.UnitError) as caught:
        units.money(text)
    assert caught.value.hint == hint
