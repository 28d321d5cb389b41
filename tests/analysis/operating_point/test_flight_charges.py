"""What normal flight takes from a battery that nothing charges."""

from __future__ import annotations

import pytest

from tests.analysis.small_designs import SmallDesign


def least(*phases: str) -> float:
    """The least charge in flight of a battery of 10 Ah that gives 1 A from first to last, an hour a phase."""
    made = SmallDesign()
    made.alternator()
    made.parts["alternator"] |= {"rating": "40 A", "set-point": "14.4 V"}
    made.second_battery(chemistry="lead-acid", capacity="10 Ah")
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.load("lamp", start="second-bus", type="motor", current="1 A", minimum="8 V")
    made.states = {
        "waiting": {"engine": "stopped", "use": "ground"},
        "drill": {"engine": "running", "use": "abnormal"},
        "taxi": {"engine": "running", "use": "ground"},
    }
    flown = {f"p{i}": {"state": name, "duration": "1 h"} for i, name in enumerate(phases)}
    made.more |= {"operation": {"phases": flown}, "aircraft": {"min-temperature": "20 C"}}
    return made.facts().points.flight_charges.least["parts/second"]


def test_an_hour_of_one_ampere_takes_its_share_of_the_time_that_the_battery_lasts() -> None:
    """Peukert's law, aged to 0.8: 20 h x (10 / (20 x 1))^1.2 x 0.8 = 7 h; with the exponent at the worse end of its range less."""
    once, twice = least("cruise"), least("cruise", "cruise")
    assert once - twice == pytest.approx(1 / 7, rel=0.06)
    assert 0.8 < once < 1 - 1 / 7.5 and least("taxi", "cruise") == pytest.approx(twice, abs=1e-3)


@pytest.mark.parametrize("state", ["waiting", "drill"])
def test_what_is_no_normal_flight_with_the_engine_running_takes_nothing(state: str) -> None:
    assert least(state, "cruise") == least("cruise")
