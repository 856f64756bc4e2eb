"""Laws that hold for every quantity and amount of money."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer import units

EVERY_UNIT = [(d, unit) for d, kind in units.DIMENSIONS.items() for unit in kind.factors]
numbers = st.decimals(
    min_value=-(10**9), max_value=10**9, places=6, allow_nan=False, allow_infinity=False
)
blanks = st.sampled_from(["", " ", "  ", "\u00a0", "\u202f"])
dimensions = st.sampled_from(sorted(units.DIMENSIONS))


@given(st.sampled_from(EVERY_UNIT), numbers, blanks, blanks)
def test_the_number_counts_units_of_the_published_size(
    unit: tuple[str, str], number: Decimal, before: str, around: str
) -> None:
    dimension, name = unit
    text = f"{around}{number:f}{before}{name}{around}"
    expected = Fraction(number) * units.DIMENSIONS[dimension].factors[name]
    if name == "F":
        expected = (Fraction(number) - 32) / Fraction("1.8")
    assert units.exact(text, dimension) == expected
    # Fraction(Decimal) is exact: the two differ by half a unit of the 28th digit at most.
    error = abs(Fraction(units.parse(text, dimension)) - expected)
    assert error <= abs(expected) * Fraction(1, 10**27)


@given(st.sampled_from(EVERY_UNIT), numbers)
def test_what_has_an_end_is_exact(unit: tuple[str, str], number: Decimal) -> None:
    dimension, name = unit
    exact = units.exact(f"{number:f} {name}", dimension)
    tail = exact.denominator
    for prime in (2, 5):
        while tail % prime == 0:
            tail //= prime
    if tail == 1:
        assert Fraction(units.parse(f"{number:f} {name}", dimension)) == exact


@given(dimensions, numbers)
def test_written_is_read_back(dimension: str, number: Decimal) -> None:
    value = units.parse(f"{number:f} {next(iter(units.DIMENSIONS[dimension].factors))}", dimension)
    assert units.parse(units.written(value, dimension), dimension) == value


@given(st.sampled_from(EVERY_UNIT), numbers)
def test_written_is_read_back_from_any_unit(unit: tuple[str, str], number: Decimal) -> None:
    dimension, name = unit
    value = units.parse(f"{number.quantize(Decimal('0.01')):f} {name}", dimension)
    assert units.parse(units.written(value, dimension), dimension) == value


@given(dimensions, st.text(max_size=30))
def test_any_other_text_is_refused_with_a_hint(dimension: str, text: str) -> None:
    refused: units.UnitError | None = None
    try:
        assert units.parse(text, dimension).is_finite()
    except units.UnitError as error:
        refused = error
    if refused is not None:
        assert refused.what
        assert refused.accepted == units.accepts(dimension)
        assert refused.hint


@given(st.integers(min_value=0, max_value=99_999_999_999))
def test_money_is_read_back(hundredths: int) -> None:
    assert units.money(units.money_text(hundredths)) == hundredths


@given(st.text(max_size=20))
def test_any_other_money_is_refused_with_a_hint(text: str) -> None:
    refused: units.UnitError | None = None
    try:
        assert units.money(text) >= 0
    except units.UnitError as error:
        refused = error
    if refused is not None:
        assert refused.what
        assert refused.accepted == units.MONEY_ACCEPTED
        assert refused.hint


@pytest.mark.parametrize(
    ("text", "hundredths"),
    [("0", 0), ("12", 1200), ("12.5", 1250), ("12.50", 1250), (" 0.07 ", 7), ("007.10", 710)],
)
def test_money(text: str, hundredths: int) -> None:
    assert units.money(text) == hundredths


@pytest.mark.parametrize(
    ("hundredths", "text"), [(0, "0.00"), (7, "0.07"), (184320, "1843.20"), (-1205, "-12.05")]
)
def test_money_text(hundredths: int, text: str) -> None:
    assert units.money_text(hundredths) == text
