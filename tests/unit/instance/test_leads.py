"""Runs of ready-made leads: every run that covers the length and could lose none of its leads."""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations_with_replacement
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.instance.cables import LeadShelf
from tests.optimality.asking import loaded
from tests.optimality.plain_kit import book, site

DATA = frozenset({"data"})


def lead(
    length: str, *, joinable: bool = True, series: str = "patch", **what: Any
) -> dict[str, Any]:
    return {
        "kind": "lead",
        "price": "1.00",
        "series": series,
        "carries": ["data"],
        "length": length,
        "joinable": joinable,
        **what,
    }


def runs(
    run: str, joints: int, forbid: tuple[str, ...] = (), **leads: dict[str, Any]
) -> list[tuple[str, ...]]:
    asked = site(policy={"most_joints": joints, "forbid": list(forbid)})
    shelf = LeadShelf(asked, loaded(book(**leads)))
    return sorted(found.items for found in shelf.runs(DATA, Decimal(run), "indoor"))


def test_no_run_could_lose_a_lead() -> None:
    leads = {"a": lead("5 m"), "b": lead("10 m"), "c": lead("20 m")}
    # 12 m: 20 alone; 5 + 10 and 10 + 10 (with 5 + 5 too short); 20 with anything could lose it.
    assert runs("12", 1, **leads) == [("a", "b"), ("b", "b"), ("c",)]
    # Three leads: 5 + 5 + 5; 5 + 5 + 10 could lose a 5 m lead.
    assert runs("12", 2, **leads) == [("a", "a", "a"), ("a", "b"), ("b", "b"), ("c",)]
    assert runs("12", 0, **leads) == [("c",)]
    # To the centimetre.
    assert runs("20", 1, **leads) == [("b", "b"), ("c",)]
    assert runs("20.01", 1, **leads) == [("a", "c"), ("b", "c"), ("c", "c")]


def test_a_lead_that_is_not_joinable_serves_alone_only() -> None:
    leads = {"a": lead("10 m"), "b": lead("30 m", joinable=False)}
    assert runs("25", 2, **leads) == [("a", "a", "a"), ("b",)]
    # Its fellows may still be joined past it.
    assert runs("31", 3, **leads) == [("a", "a", "a", "a")]


def test_series_do_not_mix_and_what_is_forbidden_or_carries_more_stays_out() -> None:
    leads = {
        "a": lead("10 m"),
        "b": lead("10 m", series="other"),
        "c": lead("10 m", series="both", carries=["video", "power"], gauge="20 AWG", fit="rg59"),
    }
    assert runs("15", 1, **leads) == [("a", "a"), ("b", "b")]
    assert runs("15", 1, ("b",), **leads) == [("a", "a")]


def test_a_run_knows_its_length_and_joints() -> None:
    shelf = LeadShelf(site(), loaded(book(a=lead("5 m"), b=lead("7.5 m"))))
    found = {r.items: (r.length, r.joints) for r in shelf.runs(DATA, Decimal(11), "indoor")}
    assert found == {("a", "b"): (Decimal("12.5"), 1), ("b", "b"): (Decimal(15), 1)}


@settings(derandomize=True, deadline=None, database=None, max_examples=40)
@given(
    st.lists(st.tuples(st.integers(1, 20), st.booleans()), min_size=1, max_size=4),
    st.integers(1, 50),
    st.integers(0, 3),
)
def test_each_cover_of_leads_that_could_lose_none_and_no_other(
    drawn: list[tuple[int, bool]], run: int, joints: int
) -> None:
    leads = {f"l{i}": lead(f"{m} m", joinable=j) for i, (m, j) in enumerate(drawn)}
    metres = {f"l{i}": m for i, (m, _) in enumerate(drawn)}
    loose = {f"l{i}" for i, (_, j) in enumerate(drawn) if j}
    expected = set()
    for size in range(1, joints + 2):
        for chosen in combinations_with_replacement(sorted(leads), size):
            total = sum(metres[c] for c in chosen)
            # What is left after taking one out: too short, or there was only one.
            needed = all(total - metres[c] < run for c in chosen)
            if total >= run and needed and (size == 1 or set(chosen) <= loose):
                expected.add(chosen)
    found = [tuple(sorted(one)) for one in runs(str(run), joints, **leads)]
    assert len(found) == len(set(found))
    assert set(found) == expected
