"""What cranks."""

from __future__ import annotations

from reviewer.analysis.operating_point.cranking import ageing, cranks, starters
from tests.analysis.wiring.wired import wired


def test_the_state_that_cranks_and_its_starter() -> None:
    facts = wired()
    assert [name for name, state in facts.states.declared.items() if cranks(state)] == [
        f.state for f in facts.wires.while_cranking
    ]
    assert starters(facts.design) == ("cranking-motor",)
    assert ageing() == 1.5  # common practice, no source
