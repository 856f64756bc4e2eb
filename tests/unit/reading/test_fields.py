"""Field types: what they take, what they make of it, and how they write it again."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any, get_args

import pytest
from pydantic import TypeAdapter, ValidationError

from optimizer.engineering.copper import resistance_per_m
from optimizer.reading import fields
from optimizer.reading.fields import (
    CelsiusRange,
    Currency,
    Gauge,
    Ident,
    IkCode,
    IpCode,
    Length,
    LensRange,
    Money,
    Picture,
    PictureSize,
    Prose,
    SpanOf,
    Temperature,
    Title,
    VoltRange,
)
from optimizer.reading.readers import FieldReader

NAMED = {
    name: kind
    for name, kind in vars(fields).items()
    if any(isinstance(one, FieldReader) for one in get_args(kind))
}


def _reader(kind: Any) -> FieldReader:
    return next(one for one in get_args(kind) if isinstance(one, FieldReader))


def test_all_kinds_are_looked_at() -> None:
    assert set(NAMED) == set(fields.__all__) - {"Base", "PictureSize", "SpanOf"}
    assert len(NAMED) > 20


@pytest.mark.parametrize("name", NAMED)
def test_example_is_read_and_written_and_fits_its_json_schema(name: str) -> None:
    adapter = TypeAdapter(NAMED[name])
    reader = _reader(NAMED[name])
    value = adapter.validate_python(reader.example)
    text = adapter.dump_python(value, mode="json")
    assert isinstance(text, str)
    assert adapter.validate_python(text) == value
    assert json.loads(adapter.dump_json(value)) == text
    assert adapter.validate_python(value) == value
    schema = adapter.json_schema()
    assert "string" in schema["type"]
    for one in [text, reader.example, *schema.get("examples", ())]:
        assert re.search(schema.get("pattern", ""), one)
        adapter.validate_python(one)


@pytest.mark.parametrize("name", NAMED)
@pytest.mark.parametrize("value", [None, [], {}, True, 3.5])
def test_what_is_no_text_is_refused(name: str, value: object) -> None:
    with pytest.raises(ValidationError):
        TypeAdapter(NAMED[name]).validate_python(value)


def _read(kind: Any, text: str) -> Any:
    return TypeAdapter(kind).validate_python(text)


@pytest.mark.parametrize(
    ("kind", "text", "low", "high"),
    [
        (VoltRange, "10.8 to 13.2 V", "10.8", "13.2"),
        (VoltRange, "10.8V to 13.2V", "10.8", "13.2"),
        (VoltRange, "10.8 to 13.2V", "10.8", "13.2"),
        (VoltRange, "10.8 V to 13.2 V", "10.8", "13.2"),
        (VoltRange, "900 mV to 13.2 V", "0.9", "13.2"),
        (VoltRange, "900 to 950 mV", "0.9", "0.95"),
        (VoltRange, "12 V", "12", "12"),
        (CelsiusRange, "-20 to 50 C", "-20", "50"),
        # -4 F = -20 C and 122 F = 50 C
        (CelsiusRange, "-4 F to 50 C", "-20", "50"),
        (CelsiusRange, "-4 to 122 F", "-20", "50"),
        (CelsiusRange, "-4 F to 122 F", "-20", "50"),
        (CelsiusRange, "-20C  to  -10C", "-20", "-10"),
        (LensRange, "2.8 to 12 mm", "2.8", "12"),
        (LensRange, " 4 mm ", "4", "4"),
        (LensRange, "2.8\u00a0to\u00a012\u00a0mm", "2.8", "12"),
    ],
)
def test_range(kind: Any, text: str, low: str, high: str) -> None:
    span = _read(kind, text)
    assert span == SpanOf(Decimal(low), Decimal(high))
    again = TypeAdapter(kind).dump_python(span, mode="json")
    assert _read(kind, again) == span


@pytest.mark.parametrize(
    "text",
    [
        "10.8 V to 13.2",
        "10.8 to 13.2",
        "to 13.2 V",
        "10.8 V to",
        "1 to 2 to 3 V",
        "10.8-13.2 V",
        "10.8 .. 13.2 V",
        "13.2 to 10.8 V",
        "10.8 to 1300 V",
        "-5 to 12 V",
        "10.8 W to 13.2 V",
        "",
        "to",
    ],
)
def test_no_range(text: str) -> None:
    with pytest.raises(ValidationError):
        _read(VoltRange, text)


def test_ends_of_the_believable_range_belong_to_it() -> None:
    assert _read(Length, "0 m") == 0
    assert _read(Length, "100 km") == 100_000
    for text in ("-0.001 mm", "100.00001 km"):
        with pytest.raises(ValidationError):
            _read(Length, text)


def test_every_temperature_of_a_conductor_that_is_read_has_a_resistance() -> None:
    # -76 F = (-76 - 32) / 1.8 = -60 C and 248 F = (248 - 32) / 1.8 = 120 C.
    for text, celsius in (("-76 F", -60), ("-60 C", -60), ("120 C", 120), ("248 F", 120)):
        assert _read(Temperature, text) == celsius
        assert resistance_per_m(18, float(_read(Temperature, text))) > 0
    for text in ("-60.01 C", "-76.01 F", "-90 C", "120.01 C"):
        with pytest.raises(ValidationError):
            _read(Temperature, text)


# What is sold and asked for: a range that is believable must not shut it out. Common practice, no
# source, but for the lead lengths and rates named.
@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Length", "0 m"),
        ("Length", "10 km"),
        ("ViewLength", "15 cm"),
        ("ViewLength", "5 km"),
        ("Lens", "1.05 mm"),
        ("Lens", "36 mm"),
        ("LensRange", "1.4 mm"),
        ("LensRange", "16 to 2000 mm"),
        ("Power", "0 W"),
        ("Power", "1.2 kW"),
        ("Voltage", "57 V"),
        ("VoltRange", "100 to 240 V"),
        ("Current", "0 A"),
        ("Current", "40 A"),
        ("Storage", "32 GB"),
        ("Storage", "28 TB"),
        ("Storage", "500 TB"),
        ("BitRate", "16 kbit/s"),
        ("BitRate", "25 Gbit/s"),
        # 16 inputs of 352x288 at 1 fps; 128 of 3840x2160 at 30 fps are 31,850 Mpx/s
        ("PictureRate", "1622 kpx/s"),
        ("PictureRate", "31851 Mpx/s"),
        ("FrameRate", "0.1 fps"),
        ("FrameRate", "120 fps"),
        ("Light", "0 lx"),
        ("Light", "0.0001 lx"),
        ("Light", "100000 lx"),
        ("Density", "1500 px/m"),
        ("Density", "12.5 px/m"),
        ("Duration", "72 h"),
        ("Duration", "10 weeks"),
        ("Duration", "3650 days"),
        ("Minutes", "20 s"),
        ("Pace", "0.2 min/m"),
        ("Temperature", "75 C"),
        ("Temperature", "-40 C"),
        ("CelsiusRange", "-60 to 75 C"),
        ("Share", "25 %"),
        ("PartShare", "50 %"),
        ("Gauge", "24 AWG"),
        ("Gauge", "10 AWG"),
    ],
)
def test_real_values_are_believed(name: str, text: str) -> None:
    _read(NAMED[name], text)


def test_gauge_is_a_whole_number() -> None:
    assert _read(Gauge, "18.0 AWG") == 18
    with pytest.raises(ValidationError):
        _read(Gauge, "18.5 AWG")


@pytest.mark.parametrize("text", ["1920x1080", "1920 x 1080", " 352x288 "])
def test_picture(text: str) -> None:
    size = _read(Picture, text)
    assert isinstance(size, PictureSize)
    assert str(size) == text.replace(" ", "")


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("1920×1080", 'did you mean "1920x1080"?'),
        ("1920X1080", 'did you mean "1920x1080"?'),
        ("1080p", "write it as 1920x1080"),
        ("0x1080", "write it as 1920x1080"),
        ("1920x1080x3", "write it as 1920x1080"),
        ("1x1", "write it as 1920x1080"),
        ("١٩٢٠x١٠٨٠", "write it as 1920x1080"),
    ],
)
def test_no_picture(text: str, hint: str) -> None:
    with pytest.raises(ValidationError) as caught:
        _read(Picture, text)
    assert caught.value.errors()[0]["ctx"]["hint"] == hint


# First numeral 0 to 6 or X, second 0 to 9 or X (IEC 60529, from memory).
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("IP66", "IP66"),
        ("ip67", "IP67"),
        ("IPX4", "IPX4"),
        ("IP6X", "IP6X"),
        ("IP69", "IP69"),
        ("IP66/IP67", "IP66/IP67"),
        (" ip00 ", "IP00"),
    ],
)
def test_ingress(text: str, code: str) -> None:
    assert _read(IpCode, text) == code


@pytest.mark.parametrize("text", ["IP99", "IP6", "IP", "66", "IP666", "IP66/67", "IP66/", "IK08"])
def test_no_ingress(text: str) -> None:
    with pytest.raises(ValidationError):
        _read(IpCode, text)


def test_impact() -> None:
    # IK00 to IK11 (IEC 62262 with its 2021 amendment, through a secondary page)
    for number in range(12):
        assert _read(IkCode, f"ik{number:02d}") == f"IK{number:02d}"
    for text in ("IK12", "IK8", "IK10+", "IK"):
        with pytest.raises(ValidationError):
            _read(IkCode, text)


@pytest.mark.parametrize("text", ["a", "0", "012", "no", "1e5", "a.b-c_d", "x" * 64])
def test_ident(text: str) -> None:
    assert _read(Ident, text) == text


@pytest.mark.parametrize("text", ["", "-a", ".a", "A", "a b", "a/b", "é", "x" * 65, "a\n"])
def test_no_ident(text: str) -> None:
    with pytest.raises(ValidationError):
        _read(Ident, text)


def test_currency() -> None:
    assert _read(Currency, "EUR") == "EUR"
    for text in ("eur", "EURO", "€", "EU", "", "ÉUR"):
        with pytest.raises(ValidationError):
            _read(Currency, text)


def test_texts() -> None:
    assert _read(Title, "  Depot \n") == "Depot"
    assert _read(Title, "x" * 200) == "x" * 200
    assert _read(Prose, "two\nlines\n") == "two\nlines\n"
    for kind, text in ((Title, "x" * 201), (Title, "a\nb"), (Prose, "x" * 10_001)):
        with pytest.raises(ValidationError):
            _read(kind, text)


def test_money_is_counted_in_hundredths() -> None:
    adapter = TypeAdapter(Money)
    assert adapter.validate_python("12.5") == 1250
    assert adapter.validate_python(1250) == 1250
    assert adapter.dump_python(1250) == 1250
    assert adapter.dump_python(1250, mode="json") == "12.50"
