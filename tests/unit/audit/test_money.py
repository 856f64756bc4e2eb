"""Price breaks, offers, tax and surplus, on sums done by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from optimizer.audit import money, surplus
from optimizer.pricebook.schema import Offer
from tests.unit.audit.worked import ITEM, Trial


def drive(item_id: str, price: str, *breaks: tuple[str, str]):
    return ITEM.validate_python(
        {
            "id": item_id, "kind": "drive", "name": "d", "price": price, "capacity": "1 TB",
            "breaks": [{"at_least": n, "price": p} for n, p in breaks],
        }
    )  # fmt: skip


def offer(**fields: object) -> Offer:
    when = [{"items": ["a", "b"], "at_least": "3"}]
    return Offer.model_validate({"id": "o", "name": "o", "when": when, **fields})


BOOK = {
    "a": drive("a", "10.00", ("5", "9.00"), ("10", "8.50")),
    "b": drive("b", "3.33"),
}


@pytest.mark.parametrize(
    ("quantity", "price"), [(0, 1000), (1, 1000), (4, 1000), (5, 900), (9, 900), (10, 850)]
)
def test_the_highest_break_reached_holds(quantity, price):
    assert money.unit_price(BOOK["a"], quantity) == price


def test_goods_are_priced_all_at_the_break():
    """5 x 9.00 + 2 x 3.33 = 51.66."""
    assert money.goods(BOOK, {"a": 5, "b": 2}) == 5166


@pytest.mark.parametrize(
    ("bought", "off"),
    [({"a": 2}, None), ({"a": 3}, 700), ({"a": 2, "b": 1}, 700), ({"a": 9, "b": 9}, 700)],
)
def test_a_sum_comes_off_once_when_the_items_together_are_enough(bought, off):
    assert money.reduction(BOOK, offer(off="7.00"), bought) == off


@pytest.mark.parametrize(
    ("most", "off"),
    [
        # 10 % of 10.00 is 1.00; of 3.33 it is 0.333, rounded down to 0.33. Of the list price,
        # even where a break makes the pieces cheaper.
        (None, 100 + 100 + 33),
        ("1", 100),
        ("2", 200),
        ("9", 233),
    ],
)
def test_a_percentage_goes_by_list_price_dearest_first(most, off):
    fields = {"percent": "10 %", "on": ["b", "a"]}
    if most is not None:
        fields["most"] = most
    assert money.reduction(BOOK, offer(**fields), {"a": 2, "b": 1}) == off


def test_reductions_never_exceed_the_goods():
    """3 x 3.33 = 9.99, 20.00 off."""
    assert money.goods_less_offers(BOOK, [offer(off="20.00")], {"b": 3}) == 0


@pytest.mark.parametrize(
    ("net", "share", "tax"),
    [(1000, "0.2", 200), (1002, "0.25", 251), (1001, "0.25", 250), (999, "0.19", 190), (3, "0", 0)],
)
def test_tax_is_rounded_half_up(net, share, tax):
    """10.02 x 0.25 = 2.505, up to 2.51; 10.01 x 0.25 = 2.5025, 2.50; 9.99 x 0.19 = 1.8981."""
    assert money.tax_on(net, Fraction(share)) == tax


@pytest.mark.parametrize(
    ("text", "hundredths"),
    [
        ("0.00", 0),
        ("12.50", 1250),
        ("-3.05", -305),
        ("12.5", None),
        ("1,000.00", None),
        ("x", None),
    ],
)
def test_amounts_are_read_to_the_hundredth(text, hundredths):
    assert money.amount(text) == hundredths


@pytest.mark.parametrize("stated", ["900.00", "628.00", "0.00"])
def test_a_capped_reduction_may_be_stated_in_full_or_cut_down(stated):
    """900.00 off 628.00 of goods: net is the labour of 40.73 alone, tax 8.146 = 8.15."""
    trial = Trial()
    trial.offers[0]["off"] = "900.00"
    trial.design["reductions"][0]["amount"] = stated
    trial.design.update(net="40.73", tax="8.15", total="48.88")
    assert [str(f) for f in trial.findings()] == []


def test_an_offer_that_takes_nothing_off_may_be_left_out():
    trial = Trial()
    trial.offers[2]["when"][0]["at_least"] = "1"
    trial.offers[2]["off"] = "0.00"
    assert [str(f) for f in trial.findings()] == []


def found(trial: Trial) -> list[tuple[str, object, object]]:
    return [(f.place, f.amount, f.limit) for f in surplus(*trial.built())]


def test_the_worked_design_buys_nothing_in_vain():
    assert found(Trial()) == []


def test_a_piece_too_many_is_surplus():
    trial = Trial()
    trial.bill("mic").update(quantity=2, line_total="30.00")
    assert found(trial) == [("mic", 2, 1)]


def test_a_pack_too_many_is_surplus_and_the_rest_of_a_pack_is_not():
    """2 of a pack of 10 are used; a second pack would be in vain."""
    trial = Trial()
    trial.bill("bnc").update(quantity=2, line_total="16.00")
    assert found(trial) == [("bnc", 2, 1)]


def test_what_the_stock_could_give_is_surplus_when_bought():
    """3 mains leads are used and 1 is owned: 2 do."""
    trial = Trial()
    trial.bill("mains-c13").update(quantity=3, line_total="7.50", from_stock=0)
    assert found(trial) == [("mains-c13", 3, 2)]


def test_more_than_is_needed_for_a_break_is_no_surplus():
    """Three for 4.00 cost less than two for 15.00 each."""
    trial = Trial()
    trial.item("mic")["breaks"] = [{"at_least": "3", "price": "4.00"}]
    trial.bill("mic").update(quantity=3, unit_price="4.00", line_total="12.00")
    assert found(trial) == []


def test_more_than_is_needed_for_an_offer_is_no_surplus():
    """A third sign costs 1.20 and takes 5.00 off."""
    trial = Trial()
    trial.offers[2] = {
        "id": "signs", "name": "s", "off": "5.00", "when": [{"items": ["sign"], "at_least": "3"}]
    }  # fmt: skip
    trial.bill("sign").update(quantity=3, line_total="3.60")
    assert found(trial) == []


def test_a_broken_design_has_no_surplus_to_tell():
    trial = Trial()
    trial.design["cameras"][0]["recorder"] = "recorder-9"
    assert found(trial) == []
