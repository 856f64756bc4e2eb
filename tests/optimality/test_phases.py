"""Purchases in phases: figures derived by hand, and laws on random sites.

Sums with the plain kit: 424 for one zone; a second on 20 m takes a camera 100, two BNC 2, a pigtail
2. A recorder has 4 inputs, a supply 4 outputs, a box 100 m.
"""

from __future__ import annotations

import time
from typing import Any

import pytest

from optimizer.reading.source import Source
from optimizer.scenarios import LoadedPhases, PhasePlan, phases
from optimizer.scenarios.phase_schema import Phases
from optimizer.site.schema import Site
from tests.optimality.asking import loaded
from tests.optimality.explaining import unread
from tests.optimality.phases import differences
from tests.optimality.plain_kit import RECORDER, book, site, zone

Row = dict[str, Any]


def named(*entries: Row) -> LoadedPhases:
    """Phases that were never a file."""
    rows = [{"id": f"p{number}", **entry} for number, entry in enumerate(entries, 1)]
    data = {"leastkit": "phases/1", "phases": rows}
    return LoadedPhases(Phases.model_validate(data), Source("drawn", data, {}, ""))


def bought(asked: Site, *entries: Row, seconds: float = 60, **changes: Any) -> PhasePlan:
    end = time.monotonic() + seconds
    return phases(unread(asked), loaded(book(**changes)), named(*entries), end, lambda _: None)


def totals(found: PhasePlan) -> list[str]:
    return [phase.total for phase in found.phases]


def orders(found: PhasePlan, item: str) -> list[int]:
    bills = [{line.item: line.quantity for line in phase.bill} for phase in found.phases]
    return [bill.get(item, 0) for bill in bills]


LARGE = {
    "large": {
        **RECORDER,
        "price": "300.00",
        "inputs": [{"families": ["hd_coax"], "count": 8, "picture": "1920x1080"}],
    }
}
FIVE = site(*(zone(name) for name in "abcde"))
FIRST_ONE = ({"zones": ["a"]}, {"zones": ["b", "c", "d", "e"]})


def test_a_larger_recorder_now() -> None:
    # One by one: 424; then four cameras 416, a second recorder 200, its drive 50, a second supply
    # 30: 696. With the recorder of 8 inputs at first: 524, then 416 + 30.
    found = bought(FIVE, *FIRST_ONE, **LARGE)
    assert (found.status, found.total, found.lower_bound) == ("optimal", "970.00", "970.00")
    assert totals(found) == ["524.00", "446.00"]
    assert [phase.apart for phase in found.phases] == ["424.00", "696.00"]
    assert (found.apart.status, found.apart.total, found.saving) == ("proven", "1120.00", "150.00")
    assert orders(found, "large") == [1, 0]
    assert orders(found, "supply") == [1, 1]
    changes = [{(c.item, c.before, c.after) for c in phase.items} for phase in found.phases]
    assert changes == [
        {("rec", 1, 0), ("large", 0, 1)},
        {("rec", 1, 0), ("disk", 1, 0)},
    ]


def test_a_budget_that_the_larger_recorder_does_not_fit() -> None:
    first, second = FIRST_ONE
    found = bought(FIVE, {**first, "budget": "523.99"}, second, **LARGE)
    # Nothing is saved: 424 + 696 is the cheapest that is left.
    assert (found.status, found.total, found.saving) == ("optimal", "1120.00", "0.00")
    assert found.phases[0].left == "99.99"
    found = bought(FIVE, {**first, "budget": "524.00"}, second, **LARGE)
    assert (found.total, found.phases[0].left) == ("970.00", "0.00")


def test_a_second_budget_that_asks_for_more_in_the_first_year() -> None:
    # 696 are too much for the second year: the larger recorder is bought in the first.
    first, second = FIRST_ONE
    found = bought(FIVE, first, {**second, "budget": "695.99"}, **LARGE)
    assert (found.status, found.total) == ("optimal", "970.00")
    assert (found.apart.status, found.apart.stopped_at) == ("stopped", "p2")
    assert found.saving is None
    # 416 for cameras alone; what can be bought earlier is: all of it but for labour.
    found = bought(FIVE, first, {**second, "budget": "0.00"}, **LARGE)
    assert (found.status, totals(found)) == ("optimal", ["970.00", "0.00"])
    later = {one.item: one.pieces for one in found.phases[0].for_later}
    assert later == {"cam": 4, "bnc": 8, "male": 4, "supply": 1}


def test_budgets_that_allow_nothing() -> None:
    first, second = FIRST_ONE
    found = bought(FIVE, {**first, "budget": "423.99"}, second, **LARGE)
    assert (found.status, found.total, found.phases) == ("unmeetable", None, ())
    assert "970.00" in found.because
    assert "p1 524.00" in found.because


def test_what_cannot_be_met_whatever_it_costs() -> None:
    found = bought(site(zone("a"), zone("b", width="13 m")), {"zones": ["a"]}, {"zones": ["b"]})
    assert (found.status, found.apart.stopped_at) == ("unmeetable", "p2")
    assert "whatever it costs" in found.because


def test_cable_is_cut_once() -> None:
    # Runs of 40, 40, then 60, 60 m. A box of 100 m takes 40 and 60, or twice 40. Whoever cuts both
    # 40 m from one box needs a box for each 60 m: three. With two boxes at first: two in all.
    # 424 + 104 + 40 for the second box; then 208 alone. Four cameras: recorder and supply do.
    asked = site(
        *(zone(name, run=run) for name, run in zip("abcd", ("40 m", "40 m", "60 m", "60 m"),
                                                   strict=True))
    )  # fmt: skip
    entries: tuple[Row, Row] = ({"zones": ["a", "b"]}, {"zones": ["c", "d"]})
    # A camera of 1 W draws 0.1 A at most: no drop to speak of.
    thrifty = {"cam": {"feeds": [{"feed": "12 V DC", "watts": "1 W", "volts": "10.8 to 13.2 V"}]}}
    found = bought(asked, *entries, **thrifty)
    assert (found.status, totals(found)) == ("optimal", ["568.00", "208.00"])
    assert found.apart.total == "816.00"
    first, second = entries
    # With 567.99 there is no second box in the first year.
    found = bought(asked, {**first, "budget": "567.99"}, second, **thrifty)
    assert (found.status, totals(found)) == ("optimal", ["528.00", "288.00"])
    assert orders(found, "siamese") == [1, 2]


def test_each_phase_is_an_order_of_its_own() -> None:
    # Drives cost 50, from three on 20. A month later 75 days are kept of four cameras: 4031 GB,
    # five drives; of one camera 75 days are 1007.8 GB, two drives.
    asked = site(*(zone(name) for name in "abcd"), recording={"retention": "75 days"})
    drive = {"disk": {"breaks": [{"at_least": 3, "price": "20.00"}]}}
    # The recorder has 4 bays: 4 drives are 4000 GB. 74 days of four cameras are 3977.3 GB.
    asked = site(*(zone(name) for name in "abcd"), recording={"retention": "74 days"})
    found = bought(asked, {"zones": ["a"]}, {"zones": ["b", "c", "d"]}, **drive)
    # One by one: one drive at 50, then three at 20. Together: four at 20 in the first order, or
    # one at 50 and three at 20: 110 against 80. 374 + 80, then 312.
    assert (found.apart.total, found.total) == ("796.00", "766.00")
    assert orders(found, "disk") == [4, 0]
    assert [one.pieces for one in found.phases[0].for_later if one.item == "disk"] == [3]


def test_what_is_asked_from_a_phase_on() -> None:
    # 75 days from the second phase on take a second drive there.
    asked = site(zone(), recording={"retention": "10 days"})
    found = bought(asked, {"zones": ["a"]}, {"set": {"recording/retention": "75 days"}})
    assert (found.status, totals(found)) == ("optimal", ["424.00", "50.00"])
    # Five channels free: a second recorder, and a camera on each recorder in use: not with one.
    found = bought(asked, {"zones": ["a"]}, {"set": {"spare/channels": "4"}}, **LARGE)
    # With one camera a second recorder would be idle: the larger one must be there at first.
    assert (found.status, totals(found)) == ("optimal", ["524.00", "0.00"])
    assert found.apart.stopped_at == "p2"


def test_labour_is_paid_when_it_is_done() -> None:
    # 60 an hour, 0.5 min/m: 20 m take 10 min, 10.00 for each cable.
    labour = {"labour": {"rate": "60.00", "pulling": "0.5 min/m"}}
    asked = site(zone("a"), zone("b"), policy=labour, money={"tax": "20 %"})
    found = bought(asked, {"zones": ["a"]}, {"zones": ["b"]})
    assert [phase.labour for phase in found.phases] == ["10.00", "10.00"]
    assert [phase.net for phase in found.phases] == ["434.00", "114.00"]
    assert totals(found) == ["520.80", "136.80"]


def test_tax_is_rounded_for_each_order() -> None:
    # 7.7 % of 424.00 are 32.648, of 104.00 8.008: 32.65 + 8.01 = 40.66; of 528.00 40.656.
    asked = site(zone("a"), zone("b"), money={"tax": "7.7 %"})
    found = bought(asked, {"zones": ["a"]}, {"zones": ["b"]})
    assert [phase.tax for phase in found.phases] == ["32.65", "8.01"]
    assert found.total == "568.66"


def test_a_single_phase_is_the_site_itself() -> None:
    found = bought(site(), {"zones": ["a"], "budget": "424.00"})
    assert (found.status, found.total, found.saving) == ("optimal", "424.00", "0.00")


def test_no_time_is_said_to_be_no_proof() -> None:
    found = bought(FIVE, *FIRST_ONE, seconds=0, **LARGE)
    assert found.status in ("optimal", "feasible", "undecided")
    if found.status == "feasible":
        assert found.net is not None
        assert found.lower_bound is not None
        assert float(found.lower_bound) < float(found.net)
    assert (found.status == "undecided") == (found.total is None) == bool(found.because)


def test_owned_pieces_are_used_once() -> None:
    owned = [{"item": "cam", "quantity": 1}]
    found = bought(site(zone("a"), zone("b"), owned=owned), {"zones": ["a"]}, {"zones": ["b"]})
    assert totals(found) == ["324.00", "104.00"]


@pytest.mark.parametrize("number", [2, 9, 14, 20, 34, 41, 51, 64])
def test_random_sites(number: int) -> None:
    wrong, figures = differences(number)
    assert wrong == []
    assert figures > 0
