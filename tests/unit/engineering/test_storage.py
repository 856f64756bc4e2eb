"""Storage: exactness, edges, errors and laws."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import storage

LEVELS = ["none", "mirror", "0", "1", "5", "6", "10"]


def test_bytes_are_exact():
    # 0.1 bit/s for 1 s for 1 day is 1/80 byte.
    assert storage.bytes_for(0.1, 1, 1) == Fraction(1, 80)
    assert storage.bytes_for(1_000_000, 0, 30) == 0


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: storage.bytes_for(-1, 86_400, 1), "bit_rate_bit_s"),
        (lambda: storage.bytes_for(1, 86_401, 1), "seconds_per_day"),
        (lambda: storage.bytes_for(1, -1, 1), "seconds_per_day"),
        (lambda: storage.bytes_for(1, 86_400, -1), "days"),
        (lambda: storage.tb_to_tib(-1), "tb"),
        (lambda: storage.gb_to_gib(-1), "gb"),
        (lambda: storage.idema_sectors(49), "gb"),
        (lambda: storage.idema_sectors(500.0), "gb"),
        (lambda: storage.idema_sectors(500, 520), "sector_bytes"),
        (lambda: storage.array_usable("7", 4, 1), "level"),
        (lambda: storage.array_usable("5", 2, 1), "n"),
        (lambda: storage.array_usable("6", 3, 1), "n"),
        (lambda: storage.array_usable("10", 5, 1), "n"),
        (lambda: storage.array_usable("10", 2, 1), "n"),
        (lambda: storage.array_usable("mirror", 3, 1), "n"),
        (lambda: storage.array_usable("none", 0, 1), "n"),
        (lambda: storage.array_usable("5", 3, -1), "capacity"),
        (lambda: storage.array_survives("raid"), "level"),
        (lambda: storage.array_survives("1", 1), "n"),
        (lambda: storage.array_min_drives(""), "level"),
        (lambda: storage.rebuild_hours(1, 0), "write_bytes_s"),
        (lambda: storage.read_error_risk(-1), "read_bytes"),
        (lambda: storage.read_error_risk(1, 1), "error_per_bit"),
        (lambda: storage.yearly_load_tb(-1), "bit_s"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must be .*, got "):
        call()


def test_usable_keeps_the_type():
    assert type(storage.array_usable("mirror", 4, 2_000)) is int
    assert storage.array_usable("6", 4, Fraction(1, 3)) == Fraction(2, 3)
    assert storage.array_usable("5", 3, 0.5) == 1.0


def test_survived_without_a_count():
    survived = {level: storage.array_survives(level) for level in LEVELS}
    assert survived == {"none": 0, "0": 0, "mirror": 1, "1": 1, "5": 1, "6": 2, "10": 1}


@given(st.sampled_from(LEVELS), st.integers(1, 24), st.integers(1, 10**14))
def test_what_protects_costs_capacity(level, n, capacity):
    n = max(n, storage.array_min_drives(level))
    n += n % 2 if level in ("mirror", "10") else 0
    usable = storage.array_usable(level, n, capacity)
    assert 0 < usable <= n * capacity
    # Standing k failures for certain takes at least k drives' worth of capacity.
    assert usable <= (n - storage.array_survives(level, n)) * capacity


@given(st.fractions(0, 10**9), st.fractions(0, 86_400), st.fractions(0, 400), st.fractions(0, 400))
def test_days_add_up(rate, seconds, first, second):
    parts = storage.bytes_for(rate, seconds, first) + storage.bytes_for(rate, seconds, second)
    assert storage.bytes_for(rate, seconds, first + second) == parts


@given(st.integers(50, 30_000))
def test_both_sector_sizes_hold_the_same(gb):
    assert storage.idema_sectors(gb, 4096) * 4096 == storage.idema_sectors(gb) * 512
    assert storage.idema_sectors(gb) * 512 >= gb * 10**9


@given(st.floats(0, 1e15), st.floats(0, 1e-12))
def test_risk_is_a_probability_that_grows(read, chance):
    risk = storage.read_error_risk(read, chance)
    assert 0 <= risk <= 1
    assert storage.read_error_risk(read * 2, chance) >= risk


@given(st.floats(0, 1e6))
def test_binary_units_are_fewer(amount):
    assert storage.tb_to_tib(amount) <= storage.gb_to_gib(amount) <= amount
