"""A figure is above its limit from a hair on that neither rounding nor the solver makes."""

from __future__ import annotations

from math import inf, nextafter

import pytest

from reviewer.model.rounding import exceeds, higher, over_rated


@pytest.mark.parametrize("limit", [-5.0, 0.0, 0.0005, 1.0, 14.4, 400.0, 1e9])
def test_what_computing_makes_of_a_limit_does_not_exceed_it(limit: float) -> None:
    assert not exceeds(limit, limit)
    assert not exceeds(nextafter(limit, inf), limit) and not exceeds(limit, nextafter(limit, -inf))
    hair = max(1e-9, abs(limit) * 1e-5)
    assert not exceeds(limit + 0.9 * hair, limit)
    assert exceeds(limit + 1.2 * hair, limit) and not exceeds(limit - 1.2 * hair, limit)


def test_a_sum_of_tenths_is_not_above_their_sum() -> None:
    assert sum([0.1] * 3) > 0.3 and not exceeds(sum([0.1] * 3), 0.3)


def test_without_an_end() -> None:
    assert exceeds(inf, 5.0) and not exceeds(5.0, inf) and not exceeds(inf, inf)


def test_what_stated_figures_are_good_for_is_no_excess() -> None:
    assert not higher(32.02, 32.0) and higher(32.2, 32.0)
    assert not higher(14.06, 14.0) and higher(14.1, 14.0)
    assert not over_rated(10.09, 10.0) and over_rated(10.11, 10.0)
