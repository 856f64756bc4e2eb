"""What is said of wishes that cannot be given up, and of budgets, word for word."""

# ruff: noqa: E501 - messages stand here as they are printed
from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.questions.spending import budget_of
from optimizer.site import LoadedSite, check_wishes, load_site
from tests.messages.refusals import assert_refused
from tests.optimality.explaining import unread
from tests.optimality.plain_kit import site

SITE = """\
leastkit: site/1
name: Depot
money: {currency: EUR}
zones:
- {id: gate, distance: 4 m, width: 2 m, detail: identify, frame_rate: 10 fps, run: 18 m,
   steerable: true}
- {id: till, distance: 4 m, width: 2 m, detail: identify, frame_rate: 10 fps, run: 18 m}
recording: {retention: 10 days}
untouchable: [zones.gate/detail]
wishes:
  WISH
"""
ALL = (
    "zones.gate, zones.gate/detail, zones.gate/width, zones.gate/frame_rate, "
    "zones.gate/steerable, zones.gate/recorded, zones.till, zones.till/detail, zones.till/width, "
    "zones.till/frame_rate, zones.till/recorded, recording/retention, spare/supply, "
    "policy/most_joints"
)

CASES = {
    "an unknown id": (
        "zones.gat: {rank: 1}",
        f"""
        site.yaml:11: the site asks for nothing called "zones.gat"
          field:    wishes.zones.gat
          value:    zones.gat
          accepted: {ALL}
          hint:     did you mean "zones.gate"?
        """,
    ),
    "the budget": (
        "budget: {rank: 1}",
        f"""
        site.yaml:11: the budget is what wishes give way to
          field:    wishes.budget
          value:    budget
          accepted: {ALL}
          hint:     leave it out: it is given to the command
        """,
    ),
    "what must stand": (
        "zones.gate/detail: {rank: 1}",
        """
        site.yaml:11: this is a wish, and must stand whatever happens (untouchable)
          field:    wishes.zones.gate/detail
          value:    zones.gate/detail
          accepted: what untouchable does not name
          hint:     remove it from wishes or from untouchable
        """,
    ),
    "a least without steps": (
        'zones.gate/steerable: {rank: 1, least: "false"}',
        """
        site.yaml:11: this has no steps: it is asked or it is not
          field:    wishes.zones.gate/steerable.least
          value:    false
          accepted: no least
          hint:     leave least out
        """,
    ),
    "a least that is harder": (
        "recording/retention: {rank: 1, least: 31 days}",
        """
        site.yaml:11: this is harder than what is asked
          field:    wishes.recording/retention.least
          value:    31 days
          accepted: a value no harder than what is asked, 10 days
          hint:     give the value below which it is of no use
        """,
    ),
    "a least that is no value": (
        "recording/retention: {rank: 1, least: soon}",
        """
        site.yaml:11: this is not a quantity
          field:    wishes.recording/retention.least
          value:    soon
          accepted: a duration in days, day, d, weeks, week, h or hours, such as 31 days, 6 weeks, 72 h
          hint:     write it as 31 days, 6 weeks, 72 h
        """,
    ),
    "no rank": (
        "recording/retention: {weight: 2}",
        """
        site.yaml:11: "rank" is missing
          field:    wishes.recording/retention.rank
          accepted: a whole number from 1 to 99
          hint:     add a line 'rank: 1'
        """,
    ),
    "a rank before the first": (
        "recording/retention: {rank: 0}",
        """
        site.yaml:11: this number is too small
          field:    wishes.recording/retention.rank
          value:    0
          accepted: a whole number from 1 to 99
          hint:     check the number
        """,
    ),
    "nothing is a must": (
        "zones.gate: {rank: 1}\n  zones.till: {rank: 2}",
        """
        site.yaml:11: every zone is a wish
          field:    wishes.zones.gate
          accepted: at least one zone that is a must
          hint:     leave out the zone that matters most: without any zone nothing is asked
        """,
    ),
}  # fmt: skip


def checked(path: Path) -> LoadedSite:
    """Load a site and check its wishes, as every command does."""
    asked = load_site(path)
    check_wishes(asked)
    return asked


@pytest.mark.parametrize("title", CASES)
def test_wishes(title: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    wish, expected = CASES[title]
    assert_refused(checked, "site.yaml", SITE.replace("WISH", wish), expected)


def test_too_many_steps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    content = SITE.replace("WISH", "recording/retention: {rank: 1}").replace("10 days", "900 days")
    assert_refused(
        checked,
        "site.yaml",
        content,
        """
        site.yaml:11: from here down there are more than 500 steps
          field:    wishes.recording/retention
          value:    900 days
          accepted: at most 500 steps
          hint:     add a line 'least: ...' with the value below which it is of no use
        """,
    )


@pytest.mark.parametrize(
    ("budget", "what"),
    [(None, "there is no budget"), ("2,500", "this is not an amount of money")],
)
def test_budgets(budget: str | None, what: str) -> None:
    with pytest.raises(InputError) as caught:
        budget_of(unread(site()), budget)
    (trouble,) = caught.value.troubles
    assert trouble.what == what
    assert trouble.accepted.startswith("an amount from 0 to ")
    assert trouble.hint


def test_the_budget_of_the_site() -> None:
    assert budget_of(unread(site(money={"budget": "12.34"})), None) == 1234
    assert budget_of(unread(site(money={"budget": "12.34"})), "2500") == 250000
