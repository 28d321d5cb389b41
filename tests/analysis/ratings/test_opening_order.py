"""Whether two ratings in a row promise an order of opening."""

from __future__ import annotations

import pytest

from reviewer.analysis.ratings.opening_order import selectivity


# 1.5 for the same or a slower class above, 2 for a fuse above a breaker; common practice, no source
@pytest.mark.parametrize(
    ("upper", "lower", "promised"),
    [
        (("breaker", 15), ("breaker", 10), True), (("breaker", 14), ("breaker", 10), False), (("breaker", 15), ("fuse", 10), True),
        (("fuse", 20), ("breaker", 10), True), (("fuse", 19), ("breaker", 10), False), (("fuse", 20), ("breaker-switch", 10), True),
        (("limiter", 15), ("breaker", 10), True), (("breaker", 100), ("limiter", 10), False), (("fuse", 100), ("limiter", 10), False),
        (("fuse", 15), ("fuse", 10), True), (("fuse", 3), ("fuse", 2), True),
    ],
)  # fmt: skip
def test_ratings_promise_an_order_of_opening(
    upper: tuple[str, float], lower: tuple[str, float], promised: bool
) -> None:
    assert selectivity(*upper, *lower).promised is promised
