"""What a parked battery gives, in words: milliamperes below an ampere."""

from __future__ import annotations

import pytest

from reviewer.model.quantity_words import drain_current


@pytest.mark.parametrize(
    ("amperes", "said"),
    [
        (0.0165, "16.5 mA"),
        (0.0002, "0.2 mA"),
        (0.36, "360 mA"),
        (1.23456, "1.2 A"),
        (0.0, "0 A"),
        (1e-9, "0 A"),
    ],
)
def test_below_an_ampere_a_drain_is_said_in_milliamperes(amperes: float, said: str) -> None:
    assert drain_current(amperes) == said
