"""The solver against trying every choice of views, on random small plans (see `plans`)."""

from __future__ import annotations

import pytest

from tests.optimality.plans import differs


@pytest.mark.parametrize("seed", range(8))
def test_the_cheapest_choice_of_views(seed: int) -> None:
    assert differs(seed) == ""
