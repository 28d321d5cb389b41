"""Standard states, each by what makes it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from reviewer.analysis.conduction.standard_states import _Making


def test_an_alternator_that_is_off_in_normal_flight_does_not_fail() -> None:
    """Of a main and a standby alternator that waits, the main one alone has a state in which it is off."""
    made: list[tuple[Any, ...]] = []
    making: Any = SimpleNamespace(
        design=SimpleNamespace(of_kind=lambda kind: ["main", "standby"]),
        effects=SimpleNamespace(
            healthy=SimpleNamespace(alive={"parts/main": 1, "parts/standby": 0}),
            switch_of="{}-switch".format,
        ),
        off={"main-switch": "down", "standby-switch": "down"},
        unmade=[],
        _abnormal=lambda *state: made.append(state),
    )
    _Making.alternators_failed(making)
    assert made == [("alternator-failed-main", {"main-switch": "down"})] and not making.unmade
