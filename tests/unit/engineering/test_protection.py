"""Enclosures, fire ratings, routes and conduit: edges, errors and laws."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engineering import conduit, protection

codes = st.builds("IP{}{}".format, st.sampled_from("0123456X"), st.sampled_from("0123456789X"))
impacts = st.sampled_from([f"IK{number:02d}" for number in range(12)])
RATINGS = ["CMX", "CM", "CMG", "CMR", "CMP", "CL2X", "CL2", "CL2R", "CL2P"]
RATINGS += ["CATVX", "CATV", "CATVR", "CATVP"]
ratings = st.sampled_from(RATINGS)


@pytest.mark.parametrize(
    ("code", "numerals"),
    [
        ("IP65", (6, 5)),
        ("IPX4", (None, 4)),
        ("IP2X", (2, None)),
        ("IP69", (6, 9)),
        ("IP00", (0, 0)),
    ],
)
def test_parse_ip(code, numerals):
    assert protection.parse_ip(code) == numerals


@pytest.mark.parametrize(
    "code", ["", "IP", "65", "IP6", "IP75", "ip65", "IP65 ", "IP655", "IK08", "IP-5", "IP٣٤"]
)
def test_unreadable_ip(code):
    with pytest.raises(ValueError, match=r"^code must look like IP65 or IPX4, got "):
        protection.parse_ip(code)


@pytest.mark.parametrize(
    ("have", "need", "verdict"),
    [
        # By numeral: up to 6 each includes the lower ones.
        ("IP66", "IP65", True),
        ("IP65", "IP66", False),
        ("IP55", "IP65", False),
        ("IP65", "IP54", True),
        # Immersion vouches for 0 to 4 only, and for immersion up to itself.
        ("IP67", "IP64", True),
        ("IP67", "IP65", False),
        ("IP68", "IP67", True),
        ("IP67", "IP68", False),
        ("IP66", "IP67", False),
        # Hot jets vouch for 0 to 4 and themselves.
        ("IP69", "IP64", True),
        ("IP69", "IP66", False),
        ("IP69", "IP67", False),
        ("IP66/IP68/IP69", "IP67", True),
        # Two needs; neither mark alone stands both.
        ("IP66/IP67", "IP66/IP67", True),
        ("IP66", "IP66/IP67", False),
        # Solids and water must come from one mark.
        ("IP6X/IPX5", "IP65", False),
        # X asks for nothing and vouches for nothing.
        ("IP65", "IPX4", True),
        ("IPX4", "IP24", False),
        ("IPX4", "IP04", True),
        ("IP2X", "IP21", False),
        ("IP2X", "IP20", True),
        ("IPXX", "IPXX", True),
        ("IPX4", "IP14", False),
        ("IP00", "IP10", False),
    ],
)
def test_ip_at_least(have, need, verdict):
    assert protection.ip_at_least(have, need) is verdict


@given(codes)
def test_every_code_covers_itself(code):
    assert protection.ip_at_least(code, code)


@given(codes, codes, codes)
def test_cover_passes_on(high, middle, low):
    if protection.ip_at_least(high, middle) and protection.ip_at_least(middle, low):
        assert protection.ip_at_least(high, low)


@given(codes, codes, codes)
def test_a_second_mark_never_hurts(have, more, need):
    if protection.ip_at_least(have, need):
        assert protection.ip_at_least(f"{have}/{more}", need)


@given(impacts, impacts)
def test_impacts_are_ordered_by_number(have, need):
    assert protection.ik_at_least(have, need) == (int(have[2:]) >= int(need[2:]))


def test_unknown_impact_is_named():
    with pytest.raises(ValueError, match=r"^code must be one of IK00, .*, got 'IK12'$"):
        protection.ik_joules("IK12")
    with pytest.raises(ValueError, match=r"^have must be .*, got 'IK8'$"):
        protection.ik_at_least("IK8", "IK08")
    with pytest.raises(ValueError, match=r"^need must be .*, got 'IK8'$"):
        protection.ik_at_least("IK08", "IK8")


def test_levels_by_name():
    # X limited use, plain (or G) general, R riser, P plenum, in every family.
    assert {rating: protection.fire_level(rating) for rating in RATINGS} == {
        **dict.fromkeys(["CMX", "CL2X", "CATVX"], 0),
        **dict.fromkeys(["CM", "CMG", "CL2", "CATV"], 1),
        **dict.fromkeys(["CMR", "CL2R", "CATVR"], 2),
        **dict.fromkeys(["CMP", "CL2P", "CATVP"], 3),
    }


@given(ratings, ratings)
def test_fire_replacement_never_lowers_the_level(have, need):
    if protection.fire_at_least(have, need):
        assert protection.fire_level(have) >= protection.fire_level(need)


@given(ratings, ratings, ratings)
def test_fire_replacement_passes_on(high, middle, low):
    assert protection.fire_at_least(high, high)
    if protection.fire_at_least(high, middle) and protection.fire_at_least(middle, low):
        assert protection.fire_at_least(high, low)


def test_other_families_do_not_mix():
    assert not protection.fire_at_least("CL2P", "CATV")
    assert not protection.fire_at_least("CATVP", "CL2")
    assert not protection.fire_at_least("CATVP", "CM")
    assert protection.fire_at_least("CATVP", "CATVR")


@pytest.mark.parametrize(
    ("route", "fire", "outdoor", "burial", "verdict"),
    [
        ("indoor", "CMX", True, True, False),
        ("indoor", "CM", False, False, True),
        ("indoor", "CMG", False, False, True),
        ("indoor", "CATV", False, False, True),
        ("indoor", None, True, True, False),
        ("riser", "CM", False, False, False),
        ("riser", "CMR", False, False, True),
        ("riser", "CL2R", False, False, True),
        ("plenum", "CMR", False, False, False),
        ("plenum", "CMP", False, False, True),
        ("outdoor", "CMP", False, True, False),
        ("outdoor", None, True, False, True),
        ("buried", None, True, False, False),
        ("buried", None, False, True, True),
    ],
)
def test_routes(route, fire, outdoor, burial, verdict):
    assert protection.route_ok(route, fire, outdoor, burial) is verdict


def test_every_route_says_what_it_needs():
    assert tuple(protection.ROUTE_NEEDS) == protection.ROUTES


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: protection.route_ok("roof", "CM", True, True), "route"),
        (lambda: protection.route_ok("outdoor", "FT4", True, True), "fire"),
        (lambda: protection.fire_level("cm"), "rating"),
        (lambda: protection.fire_at_least("XX", "CM"), "have"),
        (lambda: protection.fire_at_least("CM", "XX"), "need"),
        (lambda: conduit.fill_limit(0), "cables"),
        (lambda: conduit.cables_that_fit(0, 1), "conduit_mm"),
        (lambda: conduit.cables_that_fit(20, 0), "cable_mm"),
        (lambda: conduit.may_jam(20, 0), "cable_mm"),
    ],
)
def test_bad_input_is_named(call, name):
    with pytest.raises(ValueError, match=f"^{name} must be .*, got "):
        call()


@pytest.mark.parametrize(
    ("conduit_mm", "cable_mm", "cables"),
    [
        # (10/8)^2 = 1.5625: one takes 64 %, over 53.
        (10, 8, 0),
        # (10/7)^2 = 2.041: one takes 49 %, two 98 %.
        (10, 7, 1),
        # (10/4)^2 = 6.25: two take 32 %, over 31; 40 % holds 2.5.
        (10, 4, 1),
        # (10/3.9)^2 = 6.575: two take 30.4 %; 40 % holds 2.63, not yet 2.8.
        (10, 3.9, 2),
        # (10/3.75)^2 = 7.111: 40 % holds 2.844, which counts as three.
        (10, 3.75, 3),
        # Thicker than the conduit.
        (10, 11, 0),
        # 40 % x (10/2)^2 is exactly 10.
        (10, 2, 10),
    ],
)
def test_few_cables(conduit_mm, cable_mm, cables):
    assert conduit.cables_that_fit(conduit_mm, cable_mm) == cables


def test_nipple_takes_more():
    # A cable as thick as the nipple takes all of it, over 60 %; note 7 counts 0.6 as none.
    assert conduit.cables_that_fit(10, 10, nipple=True) == 0
    # 60 % x (10/4)^2 = 3.75 stays 3, where 1 fits a long conduit.
    assert conduit.cables_that_fit(10, 4, nipple=True) == 3


sizes = st.fractions(1, 100, max_denominator=100)


@given(sizes, sizes, st.fractions(1, 5))
def test_a_wider_conduit_never_takes_fewer(conduit_mm, cable_mm, factor):
    some = conduit.cables_that_fit(conduit_mm, cable_mm)
    assert conduit.cables_that_fit(conduit_mm * factor, cable_mm) >= some
    assert conduit.cables_that_fit(conduit_mm, cable_mm, nipple=True) >= some


@given(sizes, sizes)
def test_fill_is_within_its_limit_but_for_the_rounding(conduit_mm, cable_mm):
    cables = conduit.cables_that_fit(conduit_mm, cable_mm)
    if cables:
        share = (cable_mm / conduit_mm) ** 2
        slack = Fraction(1, 5) if cables > 2 else 0
        assert (cables - slack) * share <= conduit.fill_limit(cables)
