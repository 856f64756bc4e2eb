"""What is not worked out where zones are on a plan is refused, or said to be so."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from optimizer import questions
from optimizer.errors import InputError
from optimizer.explaining.proving import Wanted, prove
from optimizer.questions.preparing import surveyed
from optimizer.reading.source import Source
from optimizer.site import LoadedSite
from tests.optimality.rooms import answer, book, box, mount, site, square, zone

SHOP = Path(__file__).parents[2] / "problems" / "plans" / "shop-with-shelving" / "site.yaml"


@pytest.mark.parametrize(
    ("what", "ask"),
    [
        (
            "a frontier over zones is",
            lambda _: questions.frontier(SHOP, "zones"),
        ),
        ("the best within a budget is", lambda _: questions.within(SHOP, budget="900")),
    ],
)
def test_a_question_that_is_not_answered_names_the_zone(
    tmp_path: Path, what: str, ask: Callable[[Path], object]
) -> None:
    with pytest.raises(InputError) as caught:
        ask(tmp_path)
    [trouble] = caught.value.troubles
    assert trouble.what == f"{what} not worked out for sites with zones on a plan"
    assert trouble.field == "zones.entrance/area"
    assert trouble.accepted == "a site whose zones are surveyed views"
    assert trouble.hint == (
        "what is ruled out there is so for the listed ways to aim only; ask leastkit solve about "
        "the site with the value changed"
    )
    assert not list(tmp_path.iterdir())


def test_a_site_without_a_plan_is_not_refused() -> None:
    asked, _ = questions.prepare(SHOP.parents[2] / "corner-shop-coax" / "site.yaml")
    surveyed(asked, "anything is")


def test_what_is_undecided_on_a_plan_claims_nothing() -> None:
    # 260 px/m end at depth 2000 / (2.4 x 260) = 3.2 m. The corner (5, 1) is 5.1 m from both mounts;
    # there it is at most 1.2 x 3.2 = 3.84 m across, so 3.35 m ahead in plan, and its foot, 1 m
    # below the lens, 3.35 cos t + sin t > 3.2 m deep at every tilt t that keeps its head, 2 deg
    # below the horizon, under the upper edge of the picture, 34 deg up. No aim does; cells might.
    mounts = [mount("near", 0, 0), mount("far", 6, 6)]
    asked = site(square(6), [zone(box(1, 1, 5, 5), "260 px/m")], mounts)
    found = answer(asked)
    assert found.status == "undecided"
    file = LoadedSite(asked, Source("drawn for a test", None, {}, ""))
    told = prove(file, book(), found, Wanted(), 0.0, lambda _: None)
    assert told.proof is not None
    assert told.proof.verdict == "undecided"
    assert told.proof.words == (
        "nothing is proven; which demands cannot hold together, and what would help, is told on a "
        "plan only where it is proven that no aim does"
    )
    assert told.conflict == ()
    assert told.ways_out is None
