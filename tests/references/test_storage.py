"""Recording size, drive sizes and arrays against published figures and exact arithmetic."""

from decimal import Decimal, getcontext
from fractions import Fraction

import pytest

from optimizer.engineering import storage


def test_one_megabit_a_day():
    # 1 Mbit/s for 24 h: 1e6 / 8 x 86400 = 10.8 GB = 10.06 GiB; 30 days 324 GB.
    assert storage.bytes_for(1_000_000, 86_400, 1) == 10_800_000_000
    assert storage.gb_to_gib(10.8) == pytest.approx(10.06, abs=5e-3)
    assert storage.bytes_for(1_000_000, 86_400, 30) == 324 * 10**9


def test_sixteen_streams():
    # 16 x 4 Mbit/s x 30 days = 64e6 / 8 x 2,592,000 = 20.736 TB = 18.859 TiB.
    total = storage.bytes_for(16 * 4_000_000, 86_400, 30)
    assert total == 20_736 * 10**9
    assert storage.tb_to_tib(20.736) == pytest.approx(18.859, abs=5e-4)


def test_government_storage_example():
    # UFC 4-021-02NF figure 4-9: 25 kB x 6 fps x 30 days = 389 GB (388.8 exactly).
    total = storage.bytes_for(25_000 * 8 * 6, 86_400, 30)
    assert total == 388_800_000_000
    assert round(total / 10**9) == 389


def test_trap_5_decimal_and_binary_units():
    # 1e12 / 2^40 = 0.909495; the other way 9.95 % more; GB against GiB 7.37 %.
    assert storage.tb_to_tib(1) == pytest.approx(0.909495, abs=5e-7)
    assert 1 / storage.tb_to_tib(1) - 1 == pytest.approx(0.0995, abs=5e-5)
    assert 1 / storage.gb_to_gib(1) - 1 == pytest.approx(0.0737, abs=5e-5)
    # Kilobit against kilobyte: eight kilobit for a second are one kilobyte.
    assert storage.bytes_for(8_000, 1, 1) == 1_000


@pytest.mark.parametrize(
    ("gb", "sectors"),
    [
        # IDEMA LBA1-03 with constants from open-source storage utilities.
        (50, 97_696_368),
        (1_000, 1_953_525_168),
        (2_000, 3_907_029_168),
        (4_000, 7_814_037_168),
        (8_000, 15_628_053_168),
        (10_000, 19_535_061_168),
        (16_000, 31_256_085_168),
        (20_000, 39_070_101_168),
    ],
)
def test_idema_sectors(gb, sectors):
    assert storage.idema_sectors(gb) == sectors
    # 4096-byte sectors are eight of the others.
    assert storage.idema_sectors(gb, 4096) * 8 == sectors


@pytest.mark.parametrize("gb", [1_000, 4_000, 20_000])
def test_trap_13_idema_exceeds_nominal(gb):
    # 1,953,525,168 x 512 = 1.000204886 TB: about 0.02 % more at 1 TB and above.
    excess = Fraction(storage.idema_sectors(gb) * 512, gb * 10**9) - 1
    assert float(excess) == pytest.approx(2e-4, abs=1e-5)


@pytest.mark.parametrize(
    ("level", "n", "usable", "survives"),
    [
        # rkeene.org's table of overheads and handwiki.org (0, 1, 5, 6); 10 from memory. "none"
        # and "mirror" (pairs) follow from 0 and 1: n C and n C / 2.
        ("none", 3, 12, 0),
        ("0", 3, 12, 0),
        ("1", 3, 4, 2),
        ("mirror", 4, 8, 1),
        ("5", 4, 12, 1),
        ("6", 5, 12, 2),
        ("10", 6, 12, 1),
    ],
)
def test_arrays(level, n, usable, survives):
    assert storage.array_usable(level, n, 4) == usable
    assert storage.array_survives(level, n) == survives


def test_least_drives():
    # Level 5 at least 3 and level 6 at least 4 (as above); the others from memory.
    assert {level: storage.array_min_drives(level) for level in ("5", "6")} == {"5": 3, "6": 4}
    others = {
        level: storage.array_min_drives(level) for level in ("none", "0", "1", "mirror", "10")
    }
    assert others == {"none": 1, "0": 2, "1": 2, "mirror": 2, "10": 4}


def test_rebuild_floor():
    # 16 TB at 200 MB/s = 80,000 s = 22.2 h.
    assert storage.rebuild_hours(16e12, 200e6) == pytest.approx(22.2, abs=0.05)
    assert storage.rebuild_hours(16e12, 200e6) == pytest.approx(200 / 9)


def test_read_error_risk():
    # 48 TB read: 32 % at 1e-15, 98 % at 1e-14 (chances from memory).
    assert storage.read_error_risk(48e12, 1e-15) == pytest.approx(0.32, abs=5e-3)
    assert storage.read_error_risk(48e12) == storage.read_error_risk(48e12, 1e-15)
    assert storage.read_error_risk(48e12, 1e-14) == pytest.approx(0.98, abs=5e-3)


def test_read_error_risk_against_long_arithmetic():
    getcontext().prec = 60
    survives = (1 - Decimal("1e-15")) ** (8 * 48 * 10**12)
    assert storage.read_error_risk(48e12, 1e-15) == pytest.approx(float(1 - survives), rel=1e-12)


def test_yearly_load():
    # 64 Mbit/s / 8 x 31,557,600 s = 252 TB a year.
    assert storage.yearly_load_tb(64e6) == pytest.approx(252, abs=0.5)
    # 365.25 x 86,400
    assert storage.YEAR_S == 31_557_600
    # 8 x 1e12 bit / 31,557,600 s fills 1 TB in a year.
    assert storage.yearly_load_tb(8e12 / 31_557_600) == pytest.approx(1, rel=1e-12)


def test_overhead_from_memory():
    # File system and reserve: 3 to 10 %, a usual allowance, from memory.
    assert storage.OVERHEAD_SHARE == (0.03, 0.10)


def test_workload_ratings_from_memory():
    # Desktop about 55, surveillance about 180, enterprise about 550 TB/year, from memory. The
    # recorder above wears one drive out of any class but the last.
    ratings = storage.WORKLOAD_TB_PER_YEAR
    assert ratings == {"desktop": 55, "surveillance": 180, "enterprise": 550}
    assert [ratings[name] > storage.yearly_load_tb(64e6) for name in ratings] == [
        False,
        False,
        True,
    ]
