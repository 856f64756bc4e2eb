"""How a density is told."""

from __future__ import annotations

import pytest

from optimizer.units import shown_px_m


@pytest.mark.parametrize(
    ("px_m", "decimals", "told"),
    [
        (78.394, 1, 78.3),
        (78.394, 2, 78.39),
        (78.3999, 1, 78.4),  # what is just met is told as met
        (99.99999, 1, 100.0),
        (62.5, 0, 62.0),
        (0.0, 2, 0.0),
    ],
)
def test_a_density_is_rounded_down(px_m: float, decimals: int, told: float) -> None:
    assert shown_px_m(px_m, decimals) == told


def test_rounding_twice_is_rounding_once() -> None:
    # A drawing works from the exact figure, a table from the two decimals of the answer.
    for thousandth in range(70_000, 80_000, 7):
        exact = thousandth / 1000
        assert shown_px_m(shown_px_m(exact, 2), 1) == shown_px_m(exact, 1)
