"""How conflicts, ways out and the proof are worded and set, from findings made by hand."""

from __future__ import annotations

import io
from typing import Any

import pytest
from rich.console import Console

from optimizer.reporting.page import Page
from optimizer.reporting.proof import MOST_MEMBERS, MOST_STEPS, render_met, show_proof
from optimizer.solving.answer import Answer, Provenance
from optimizer.solving.explanation import Change
from optimizer.solving.proof import (
    Argument,
    ArgumentStep,
    BudgetAlone,
    CertificateMade,
    Conflict,
    ConflictMember,
    CostOf,
    Lacking,
    Proof,
    WayOut,
    WaysOut,
)

GATE = ConflictMember(
    requirement="zones.gate/detail", line=7, text="gate: detail identify (250 px/m)",
    asked="identify", needed=True, total_without="1203.50",
)  # fmt: skip
MONEY = ConflictMember(
    requirement="budget", line=3, text="the kit costs at most 900.00 with tax", asked="900.00",
    needed=True, total_without="2310.00",
)  # fmt: skip
PROOF = Proof(verdict="unmeetable", words="proven by two solvers, no certificate", limits=("x",))


def conflict(*members: ConflictMember, independent: bool = True) -> Conflict:
    return Conflict(members=members, confirmed=("one", "two"), independent=independent)


def change(requirement: str, asked: str, to: str, steps: int | None = 1) -> Change:
    return Change(requirement=requirement, asked=asked, to=to, steps=steps)


def way(*changes: Change, **fields: Any) -> WayOut:
    given = {"steps": 1, "total": "1203.50", "cheapest": True, "smallest": True, **fields}
    return WayOut(changes=changes, **given)


def shown(width: int = 80, **fields: Any) -> str:
    """What is printed, on one line; lines are never too long."""
    made = Provenance(site_sha256="0", book_sha256="0", version="0", solver="")
    answer = Answer(site="s", status="unmeetable", currency="EUR", provenance=made,
                    **{"proof": PROOF, **fields})  # fmt: skip
    out = io.StringIO()
    show_proof(Page(Console(file=out, width=width, highlight=False)), answer)
    text = out.getvalue()
    assert all(len(line) <= width for line in text.splitlines())
    return " ".join(text.split())


def test_members_with_their_line_and_what_the_others_cost() -> None:
    text = shown(conflict=(conflict(MONEY, GATE),))
    assert "What cannot hold together without any one of these the others can be met" in text
    assert "demand asked line others alone, EUR" in text
    assert "zones.gate/detail gate: detail identify (250 px/m) 7 1,203.50" in text
    assert "There may be other conflicts that share demands with these." in text


def test_what_the_others_of_a_conflict_cost_is_not_taken_for_a_price_of_the_site() -> None:
    said = "for only the other demands of this table costs, with nothing else that is asked"
    assert said in shown(conflict=(conflict(MONEY, GATE),))
    assert "It is no price of the site" in shown(conflict=(conflict(MONEY, GATE),))
    # Of a single member there are no others.
    assert said not in shown(conflict=(conflict(GATE),))


def test_a_single_conflict_that_is_proven_to_be_the_only_one() -> None:
    proof = PROOF.model_copy(update={"all_conflicts": True})
    text = shown(conflict=(conflict(GATE),), proof=proof)
    assert "There is no other conflict; this is proven." in text


def test_what_is_not_proven_needed_is_said() -> None:
    open_ = GATE.model_copy(update={"needed": False, "total_without": None})
    text = shown(conflict=(conflict(MONEY, open_),))
    assert "some may not be needed for it: time ran out" in text
    assert "(250 px/m) 7 open" in text


def test_a_member_without_which_nothing_is_left() -> None:
    alone = GATE.model_copy(update={"total_without": "0.00"})
    assert "7 nothing left" in shown(conflict=(conflict(alone),))


def test_independent_conflicts_are_said_to_be_so() -> None:
    text = shown(conflict=(conflict(GATE), conflict(MONEY)))
    assert "Conflict 1 of 2" in text
    assert "Conflict 2 of 2 apart from those before" in text
    assert "They have no demand in common: each has to be settled by itself." in text
    sharing = shown(conflict=(conflict(GATE, MONEY), conflict(MONEY, independent=False)))
    assert "overlaps those before" in sharing
    assert "no demand in common" not in sharing


def test_a_large_conflict_is_told_by_place() -> None:
    names = (f"zones.gate/q{n}" for n in range(MOST_MEMBERS))
    many = [GATE.model_copy(update={"requirement": name}) for name in names]
    text = shown(conflict=(conflict(MONEY, *many),))
    assert f"{MOST_MEMBERS + 1} demands together: budget, zones.gate (q0, q1" in text
    assert "others alone" not in text


STEPS = (
    ArgumentStep(text="Asked: gate.", origin="site file, line 7"),
    ArgumentStep(text="2 x 3 = 6 GB.", origin="book: drive"),
    ArgumentStep(text="6 GB are more than 5 GB.", origin="arithmetic"),
)


def test_argument_step_by_step_with_origins() -> None:
    argument = Argument(conflict=("zones.gate/detail",), steps=STEPS, closed=True)
    text = shown(conflict=(conflict(GATE),), argument=(argument,))
    expected = "1. 2 x 3 = 6 GB. (book: drive) 2. 6 GB are more than 5 GB."
    assert f"Why, step by step: {expected}" in text
    assert "Asked:" not in text
    assert "do not close it" not in text


def test_an_argument_that_is_not_closed_says_so_and_a_long_one_is_cut() -> None:
    steps = STEPS[1:2] * (MOST_STEPS + 3)
    argument = Argument(conflict=("zones.gate/detail",), steps=steps, closed=False)
    text = shown(conflict=(conflict(GATE),), argument=(argument,))
    assert "These steps alone do not close it" in text
    assert "3 steps more are in the answer as JSON" in text


@pytest.mark.parametrize(
    ("met", "end"), [(True, "the whole site is met"), (False, "this conflict is gone")]
)
def test_what_an_item_would_have_to_do(met: bool, end: str) -> None:
    lacking = Lacking(conflict=("zones.gate/detail",), kind="recorder", like="r-8",
                      needs=("at least 37 channels", "at least 9 bays"), site_met=met)  # fmt: skip
    text = shown(conflict=(conflict(GATE),), proof=PROOF.model_copy(update={"lacking": (lacking,)}))
    expected = "a recorder like r-8, but with at least 37 channels and at least 9 bays."
    assert f"{expected} With it, {end} (tried)." in text


def test_ways_out_in_words() -> None:
    found = (
        way(change("zones.dock", "dock", "not asked", None)),
        way(change("recording/retention", "60 days", "41 days", 19), total="899.00"),
        way(change("zones.gate/discreet", "true", "not asked", None), cheapest=False),
        way(change("policy/families", "hd_coax", "not asked", None), smallest=False),
        way(change("budget", "900.00", "1212.40"), more_budget="312.40", total="1212.40"),
        way(change("zones.a/detail", "identify", "recognise"), change("zones.b", "b", "not asked")),
    )
    text = shown(ways_out=WaysOut(found=found, longest=2, complete=True, untouchable=("a/b",)))
    assert "1. leave out zones.dock 1,203.50 EUR" in text
    assert "2. recording/retention from 60 days to 41 days 899.00 EUR" in text
    assert "3. zones.gate/discreet: do not ask for it 1,203.50 EUR or less" in text
    assert "4. policy/families: do not ask for it (hd_coax)" in text
    assert "(a smaller change may do: not settled)" in text
    assert "5. budget +312.40, to 1,212.40 1,212.40 EUR" in text
    assert "6. zones.a/detail from identify to recognise; and leave out zones.b" in text
    assert "It is proven that no other set of up to 2 demands is a way out." in text
    assert "Not touched, as asked: a/b." in text


def test_an_incomplete_list_says_so() -> None:
    some = WaysOut(found=(way(change("zones.d", "d", "not asked")),), longest=1, complete=False,
                   others=4)  # fmt: skip
    text = shown(ways_out=some)
    assert "and 4 more, found too: --ways shows up to 20" in text
    assert "There may be more ways that change up to 1 demand: the list is not complete." in text
    assert "No other was found in the time given." in shown(
        ways_out=WaysOut(longest=2, complete=False)
    )
    none = shown(ways_out=WaysOut(longest=3, complete=True))
    assert "No change of up to 3 demands is enough." in none


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"enough": "no"}, "No budget would be enough: it cannot be met at any price."),
        ({"enough": "open"}, "was not settled in the time given"),
        ({"enough": "yes", "total": "912.00", "more": "12.00", "lower_bound": "912.00"},
         "the cheapest kit is 912.00 EUR, proven: 12.00 more than the budget"),
        ({"enough": "yes", "total": "912.00", "more": "12.00", "lower_bound": "905.00",
          "tax": "19 %"},
         "a kit is known at 912.00 EUR with tax, none below 905.00"),
    ],
)  # fmt: skip
def test_lifting_the_budget_alone(fields: dict[str, Any], words: str) -> None:
    budget = BudgetAlone(budget="900.00", **fields)
    assert words in shown(ways_out=WaysOut(longest=1, complete=True, budget=budget))


def test_what_each_demand_costs() -> None:
    costs = tuple(CostOf(requirement=f"r{n}", text=f"t{n}", saving=f"{90 - n}.00")
                  for n in range(10))  # fmt: skip
    text = shown(proof=PROOF.model_copy(update={"costs": costs}))
    assert "they do not add up" in text
    assert "r0 t0 90.00" in text
    assert "r8" not in text
    assert "and 2 demands that save less" in text


def test_how_it_is_proven() -> None:
    assert "Proven by two solvers, no certificate. What it does not cover: x." in shown()
    made = CertificateMade(claim="no solution", sums=4, cases=3, bytes=1234, program_sha256="0")
    proof = PROOF.model_copy(update={"words": "proven by a certificate", "certificate": made})
    text = shown(proof=proof)
    assert "The certificate: 1,234 bytes, 4 weighted sums in 3 cases" in text
    assert "--certificate FOLDER writes it" in text
    there = made.model_copy(update={"folder": "f", "cases": 1})
    text = shown(proof=proof.model_copy(update={"certificate": there, "left_open": ("this",)}))
    assert "4 weighted sums; written to f, check it with: python3 f/check.py" in text
    assert "Left open: this." in text


def test_nothing_is_said_without_a_proof() -> None:
    assert shown(proof=None, conflict=(conflict(GATE),)) == ""


def test_met() -> None:
    made = Provenance(site_sha256="0", book_sha256="0", version="0", solver="")
    proof = Proof(verdict="met", words="met: with a design", limits=("x",))
    answer = Answer(site="s", status="optimal", currency="EUR", provenance=made, proof=proof)
    out = io.StringIO()
    render_met(answer, Console(file=out, width=80))
    assert "Met: with a design." in out.getvalue()
