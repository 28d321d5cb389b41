"""How fast a steady current empties an aged, cold battery."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty

exponents, currents, shares = st.floats(1.0, 1.3), st.floats(0.85, 60), st.floats(0.1, 1.0)


@given(currents, exponents, shares, shares)
def test_a_steady_current_lasts_as_the_common_formula_says(
    amperes: float, exponent: float, age: float, cold: float
) -> None:
    """t = C ((C / 20) / I)^(k-1) a T / I, common practice, no source; above the rated current."""
    seconds = seconds_to_empty(Store(17, exponent, age, cold), amperes)
    assert seconds / 3600 == pytest.approx(
        17 * ((17 / 20) / amperes) ** (exponent - 1) * age * cold / amperes
    )


@given(currents, currents, exponents, shares)
def test_the_time_falls_with_the_load_and_rises_with_the_capacity(
    a: float, b: float, exponent: float, age: float
) -> None:
    low, high = sorted((a, b))
    small, large = Store(17, exponent, age, 0.8), Store(20, exponent, age, 0.8)
    assert seconds_to_empty(small, high) <= seconds_to_empty(small, low) * (1 + 1e-9)
    assert seconds_to_empty(small, low) <= seconds_to_empty(large, low) * (1 + 1e-9)


def test_without_a_load_there_is_no_end() -> None:
    assert seconds_to_empty(Store(17, 1.2, 1.0, 1.0), 0) == math.inf
