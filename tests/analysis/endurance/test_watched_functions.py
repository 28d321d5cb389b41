"""Which functions are followed after the loss of all generation: those that work in the normal state."""

import pytest

from tests.analysis.small_designs import SmallDesign


@pytest.mark.parametrize(
    ("position", "without", "followed"),
    [
        pytest.param("on", [], True, id="it works"),
        pytest.param("off", ["heat"], False, id="it is off on purpose: there is nothing to lose"),
        pytest.param("off", [], True, id="it is off, and nobody says why"),
        pytest.param("on", ["heat"], True, id="it works, whatever the state says"),
    ],
)
def test_what_the_normal_state_has_off_on_purpose_is_not_followed(
    position: str, without: list[str], followed: bool
) -> None:
    made = SmallDesign()
    made.alternator()
    made.add("switch", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.load("heater", ("switch.line", "switch.load"))
    made.function("heat", "heater", loss="major")
    facts = made.facts(switches={"switch": position}, without=without)
    assert ("heat" in facts.endurance.watched_functions) is followed
