"""Stand-by time and heat against published worked cases and SciPy's constants."""

import math

import pytest
from scipy import constants

from optimizer.engineering import battery


def test_simple_runtime():
    # Hobby page: 40 Ah, 12 V, 180 W, 60 %: 288 Wh / 180 W = 1.6 h.
    assert battery.ups_runtime_h(12, 40, 180, depth=0.6) == pytest.approx(1.6)
    assert battery.ups_runtime_h(12, 40, 180, efficiency=0.6) == pytest.approx(1.6)


def test_peukert_at_the_rated_current():
    # At the rated current of 100 Ah / 20 h = 5 A the rated 20 h come out, whatever the exponent.
    for exponent in (1.05, 1.2, 1.6):
        assert battery.peukert_h(100, 5, exponent, 20) == pytest.approx(20.0)


def test_trap_12_peukert_needs_the_rated_hour():
    # electrotechnik.net: C / I^k with 100 Ah, k 1.2, 5 A gives 14.5 h; with H = 20 h it is 20.0
    # h, so the short form is 28 % low (14.5/20 = 0.725).
    short = 100 / 5**1.2
    assert short == pytest.approx(14.5, abs=0.05)
    assert 1 - short / battery.peukert_h(100, 5, 1.2, 20) == pytest.approx(0.28, abs=0.01)
    # The two agree where C / H is 1 A: H = 100 h here.
    assert battery.peukert_h(100, 5, 1.2, 100) == pytest.approx(short)


def test_peukert_second_published_pair():
    # Same page: 5 A for 20 h becomes about 7.5 h at 10 A: k = ln(20/7.5)/ln 2 = 1.415.
    assert math.log2(20 / 7.5) == pytest.approx(1.415, abs=5e-4)
    assert battery.peukert_h(100, 10, 1.415, 20) == pytest.approx(7.5, abs=0.005)


def test_exponents_disagree():
    # batteryguy1.rssing.com, batt2012.noxblog.com, electrotechnik.net: the ranges differ by page.
    assert battery.PEUKERT_EXPONENTS == {
        "agm": (1.05, 1.15),
        "gel": (1.1, 1.25),
        "flooded": (1.2, 1.6),
    }


def test_margins_from_memory():
    # IEEE 485 practice, from memory: 80 % at the end of life, 1 % for each K below 25 C.
    # 12 W for 10 h at 12 V is 10 Ah; / 0.8 = 12.5; at 5 C another / 0.8 = 15.625 Ah.
    assert battery.capacity_needed_ah(12, 12, 10) == pytest.approx(12.5)
    assert battery.capacity_needed_ah(12, 12, 10, celsius=5) == pytest.approx(15.625)


def test_apparent_power_from_memory():
    # VA = W / power factor, from memory: 450 W at 0.9 is 500 VA.
    assert battery.apparent_power(450, 0.9) == pytest.approx(500)


def test_heat_against_scipy():
    # 1 W = 3.412142 BTU/h.
    assert battery.heat_btu_h(1) == pytest.approx(3600 / constants.Btu_IT, rel=1e-12)
    assert battery.heat_btu_h(1) == pytest.approx(3.412142, abs=5e-7)
