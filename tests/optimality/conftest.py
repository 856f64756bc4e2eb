"""The three ways to an optimum, for the cases derived by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from tests.optimality.asking import program_net
from tests.optimality.brute import brute_force
from tests.optimality.second import second_opinion

Solver = Callable[[Site, Book], int | None]
"""Site and book in; net in hundredths out, None where the site cannot be met."""

SOLVERS: dict[str, Solver] = {
    "second": second_opinion,
    "brute": brute_force,
    "program": program_net,
}


@pytest.fixture(params=SOLVERS)
def net(request: pytest.FixtureRequest) -> Solver:
    """One of the three."""
    return SOLVERS[request.param]
