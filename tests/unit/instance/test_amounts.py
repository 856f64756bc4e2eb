"""Whatever is asked rounds up, whatever a piece can do rounds down."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from optimizer.instance.amounts import down, labour_price, pieces_reduction, up, up_float
from optimizer.instance.cables import constructions, cut_length
from optimizer.instance.feeding import supply_fits
from optimizer.instance.recorders import recorder_fits
from optimizer.instance.streams import Level, camera_bytes, camera_rate, stream_of
from optimizer.reading.fields import PictureSize
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import RECORDER, SUPPLY, book, camera, site, zone


@pytest.mark.parametrize(
    ("value", "above", "below"),
    [
        (Fraction(7, 2), 4, 3),
        (Decimal("3.0000000000000000001"), 4, 3),
        (Decimal("2.9999999999999999999"), 3, 2),
        (Fraction(3), 3, 3),
        (Decimal("-0.5"), 0, -1),
        (5, 5, 5),
    ],
)
def test_exact_values(value: Decimal | Fraction | int, above: int, below: int) -> None:
    assert (up(value), down(value)) == (above, below)


def test_a_float_is_forgiven_noise_only() -> None:
    # 0.1 + 0.2 = 0.30000000000000004 in binary.
    assert up_float((0.1 + 0.2) * 10) == 3
    assert up_float(3.00001) == 4
    assert up_float(2.5) == 3
    # A millionth of a large current is still something.
    assert up_float(1_000_000.01) == 1_000_001


def test_labour_is_rounded_up_for_each_piece_and_reductions_down() -> None:
    # 61.37 an hour: 1 min is 102.283.. hundredths.
    assert labour_price(6137, Decimal(1)) == 103
    assert labour_price(6000, Decimal("1.5")) == 150
    # 12.5 % of 1.99 is 24.875 hundredths.
    assert pieces_reduction(199, Decimal("0.125")) == 24
    assert pieces_reduction(200, Decimal("0.125")) == 25


def test_cut_lengths_round_up_and_boxes_down() -> None:
    # 20.001 m + 2 x 1.5 m = 2300.1 cm, and a box of 30.489 m (100 ft is 30.48) gives 3048.9 cm.
    asked = site(zone(run="20.001 m"), assumptions={"end_allowance": "1.5 m"})
    assert cut_length(asked, asked.zones[0].run) == 2301
    prices = loaded(book(siamese={"box": "30.489 m"}))
    assert constructions(asked, prices)["siamese"].boxes == (("siamese", 3048),)


def test_supply_limits_round_down_under_the_load_share() -> None:
    # 87.5 % of 1.001 A is 875.875 mA, of 4 A 3500 mA.
    prices = loaded(book(supply={**SUPPLY, "output_amps": "1.001 A"}))
    fit = supply_fits(site(spare={"supply": "12.5 %"}), prices)[0]
    assert (fit.output_limit, fit.total_limit) == (875, 3500)
    # An output gives no more than the whole unit.
    small = {**SUPPLY, "output_amps": "1 A", "total_amps": "1 A", "outputs": 4}
    assert (
        supply_fits(site(spare={"supply": "50 %"}), loaded(book(supply=small)))[0].output_limit
        == 500
    )


def test_recorder_limits_round_down() -> None:
    tight = {
        **RECORDER,
        "encode_rate": "20.7369 Mpx/s",
        "inputs": [
            *RECORDER["inputs"],
            {"families": ["network"], "count": 4, "picture": "1920x1080"},
        ],
        "ingest": "4096.9 kbit/s",
    }
    prices = loaded(book(rec=tight, disk={"capacity": "1999.9 GB"}))
    fit = recorder_fits(site(), prices)[0][0]
    assert (fit.kilopixels, fit.kbit) == (20736, 4096)
    assert [(d.item, d.gigabytes) for d in fit.drives] == [("disk", 1999)]


def test_streams_round_up_and_storage_comes_from_the_exact_rate() -> None:
    asked = site(
        zone(frame_rate="6.25 fps", bit_rate="1.2345 Mbit/s"), recording={"retention": "7 days"}
    )
    spot = asked.zones[0]
    rate = camera_rate(asked, spot, loaded(book()).items["cam"], PictureSize(1920, 1080))
    assert rate == 1_234_500
    stored = camera_bytes(asked, spot, rate)
    # 1 234 500 / 8 x 86 400 x 7 = 93 328 200 000 byte; from 1235 kbit/s it would be 93 366 000 000.
    assert stored == 93_328_200_000
    level = Level(PictureSize(1920, 1080), rate, stored, ("rec",))
    analogue = loaded(book()).items["cam"]
    stream = stream_of(asked, spot, analogue, level)
    # 1920 x 1080 x 6.25 = 12 960 kpx/s; a composite or hd_coax camera sends no network stream.
    assert (stream.kbit, stream.kilopixels, stream.gigabytes) == (0, 12960, 94)
    network = book(cam=camera(family="network", codecs=["H.264"], feeds=[], poe_class=2)).items[0]
    stream = stream_of(asked, spot, network, level)
    assert (stream.kbit, stream.kilopixels, stream.gigabytes) == (1235, 0, 94)


def test_reserve_and_spare_storage_are_exact() -> None:
    # 1 244 160 bit/s for 10 days is 134.36928 GB; x 1.2 / 0.95 = 169.7296.. GB.
    asked = site(recording={"reserve": "5 %"}, spare={"storage": "20 %"})
    rate = camera_rate(asked, asked.zones[0], loaded(book()).items["cam"], PictureSize(1920, 1080))
    assert rate == Fraction(1920 * 1080 * 10 * 6, 100)
    expected = Fraction(134_369_280_000) * Fraction(12, 10) / Fraction(95, 100)
    assert camera_bytes(asked, asked.zones[0], rate) == expected


def test_what_no_array_survives_is_told_in_number() -> None:
    told = [
        recorder_fits(site(recording={"drive_failures": n}), loaded(book()))[1]["rec"]
        for n in (1, 2)
    ]
    assert told == [
        "no array of it survives the failure of a drive",
        "no array of it survives the failure of 2 drives",
    ]
