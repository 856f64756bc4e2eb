"""Reach: errors, edges and laws."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import reach

coaxes = st.sampled_from(["rg59", "rg6", "rg11"])


@given(coaxes, st.floats(1, 250))
def test_four_times_the_frequency_doubles_the_loss(coax, mhz):
    loss = reach.coax_loss_db_per_100m(coax, mhz)
    assert reach.coax_loss_db_per_100m(coax, 4 * mhz) == pytest.approx(2 * loss)


@given(st.floats(1, 1000))
def test_thicker_coax_loses_less(mhz):
    rg59, rg6, rg11 = (reach.coax_loss_db_per_100m(coax, mhz) for coax in ("rg59", "rg6", "rg11"))
    assert rg11 < rg6 < rg59


@pytest.mark.parametrize("family", ["composite", "hd_coax"])
def test_thicker_coax_reaches_farther(family):
    reaches = [reach.signal_reach_m(family, coax) for coax in ("rg59", "rg6", "rg11")]
    assert all(near < far for near, far in pairwise(reaches))


def test_table_is_complete():
    assert len(reach.COAX_REACH_M) == 6


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: reach.coax_loss_db_per_100m("rg58", 5), "type"),
        (lambda: reach.coax_loss_db_per_100m("rg59", 0.5), "mhz"),
        (lambda: reach.coax_loss_db_per_100m("rg59", 1001), "mhz"),
        (lambda: reach.signal_reach_m("network", "rg59"), "family"),
        (lambda: reach.signal_reach_m("composite", "rg58"), "coax"),
        (lambda: reach.rs485_max_rate(0), "length_m"),
        (lambda: reach.rs485_nodes(0), "unit_load"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must .*, got "):
        call()


def test_no_rate_past_the_reach():
    assert reach.rs485_max_rate(1200.1) == 0


@given(st.floats(0.1, 2000), st.floats(1, 10))
def test_a_longer_bus_is_never_faster(length, factor):
    assert reach.rs485_max_rate(length * factor) <= reach.rs485_max_rate(length)


@given(st.fractions(Fraction(1, 64), 32))
def test_nodes_fill_the_bus_and_no_more(load):
    nodes = reach.rs485_nodes(load)
    assert nodes * load <= 32 < (nodes + 1) * load
