"""Laws of scenarios: as the site edited by hand, in any order; a frontier has no dominated pair."""

from __future__ import annotations

import random
import time
from decimal import Decimal
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import yaml

import optimizer
from optimizer.pricebook.schema import Book
from optimizer.scenarios import compare, frontier
from optimizer.scenarios.quantities import Range
from optimizer.site.schema import Site
from tests.optimality.asking import loaded
from tests.optimality.explaining import small_case, unread
from tests.optimality.scenarios import drawn_scenarios, named, ranges

NUMBERS = (11, 17)
READABLE = (4, 11, 17)
"""Cases whose price book also stands as a file: the generator draws leads that no file may hold."""


def as_file(folder: Path, name: str, data: dict[str, Any]) -> str:
    path = folder / name
    path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    return str(path)


def plain(model: Site | Book) -> dict[str, Any]:
    data: dict[str, Any] = model.model_dump(mode="json", exclude_none=True)
    return data


@pytest.mark.parametrize("number", READABLE)
def test_totals_are_those_of_the_files_edited_by_hand(number: int, tmp_path: Path) -> None:
    site, book = small_case(number)
    drive = next(item.id for item in book.items if item.kind == "drive")
    zone = {**plain(site)["zones"][0], "id": "one-more"}
    scenarios = {
        "leastkit": "scenarios/1",
        "scenarios": [
            {"id": "all", "builds_on": "more", "book": "other.yaml"},
            {"id": "more", "builds_on": "longer", "add": {"zones": [zone]}},
            {"id": "longer", "set": {"recording/retention": "20 days", "money/tax": "7 %"}},
            {"id": "dear", "builds_on": "longer", "prices": {drive: "333.33"}},
        ],
    }
    base = plain(site)
    longer = plain(site)
    longer["recording"]["retention"] = "20 days"
    longer["money"]["tax"] = "7 %"
    more = {**longer, "zones": [*longer["zones"], zone]}
    dear, other = plain(book), plain(book)
    for item in dear["items"]:
        if item["id"] == drive:
            item.pop("breaks", None)
            item["price"] = "333.33"
    for item in other["items"]:
        if item["kind"] == "camera":
            item["price"] = str(Decimal(item["price"]) + 25)
    books = {
        "book": as_file(tmp_path, "book.yaml", plain(book)),
        "other": as_file(tmp_path, "other.yaml", other),
        "dear": as_file(tmp_path, "dear.yaml", dear),
    }
    edited = {
        "base": (base, "book"),
        "all": (more, "other"),
        "more": (more, "book"),
        "longer": (longer, "book"),
        "dear": (longer, "dear"),
    }
    found = optimizer.compare(
        as_file(tmp_path, "site.yaml", base),
        as_file(tmp_path, "scenarios.yaml", scenarios),
        books["book"],
        seconds=120,
    )
    assert [one.id for one in found.scenarios] == list(edited)
    for one in found.scenarios:
        data, prices = edited[one.id]
        path = as_file(tmp_path, f"edited-{one.id}.yaml", data)
        alone = optimizer.solve(path, books[prices], seconds=60)
        assert alone.status in ("optimal", "unmeetable")
        assert (one.status, one.total) == (alone.status, alone.total)
        assert [(x.item, x.quantity) for x in one.answer.bill] == [
            (x.item, x.quantity) for x in alone.bill
        ]
        if one.answer.met:
            assert optimizer.findings(path, one.answer, books[prices]) == []


@pytest.mark.parametrize("number", NUMBERS)
def test_the_order_of_scenarios_does_not_matter(number: int) -> None:
    site, book = small_case(number)
    entries = list(drawn_scenarios(site, number).source.data["scenarios"])
    shuffled = list(entries)
    random.Random(number).shuffle(shuffled)
    if shuffled == entries:
        shuffled.reverse()
    end = time.monotonic() + 60
    first, second = (
        compare(unread(site), loaded(book), named(*some), end, lambda _: None)
        for some in (entries, shuffled)
    )
    by_id = {one.id: one for one in second.scenarios}
    assert [one.id for one in second.scenarios[1:]] == [entry["id"] for entry in shuffled]
    for one in first.scenarios:
        assert one == by_id[one.id]


@pytest.mark.parametrize("number", NUMBERS)
def test_a_frontier_holds_no_dominated_pair(number: int) -> None:
    site, book = small_case(number)
    for r, values in ranges(site)[:3]:
        end = time.monotonic() + 60
        found = frontier(
            unread(site), loaded(book), r.id, Range(values[0], values[-1]), end, lambda _: None
        )
        assert found.complete
        for easy, hard in combinations(found.points, 2):
            assert values.index(easy.value) < values.index(hard.value)
            assert Decimal(easy.total) < Decimal(hard.total)
