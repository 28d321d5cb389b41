"""Buses that must be dead, against every setting of the other switches solved by the plain evaluator."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from types import MappingProxyType

import pytest

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState, resolved
from tests.analysis.small_designs import SmallDesign
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import solve
from tests.rule_cases import design, facts, text

RULE = "buses-declared-dead-are-de-energised"
TIE = "a tie that no state closes keeps the bus live with the master off"
RELAY = "a relay on the reserve closes the tie when its switch is up"
BAR = "a bar on the master takes the tie down with it"
LOAD = "that tie goes to a load and not to the bus"
SPLICE = "a splice in the place of that diode"
DIODE = "the drill opens the switch of the second bus too, and its diode keeps the first one dead"
AHEAD = "a switch ahead of the tie, which the drill opens, stays open"


def settings(
    design: Design, normal: ResolvedState, state: ResolvedState, behind: tuple[str, ...]
) -> Iterator[dict[str, str]]:
    """Every setting of the switches that a state leaves as the normal one has them, and of those
    ``behind`` the bus, springs released."""
    free = [s for s in design.of_kind(p.Switch) if s in behind or state.switches[s] == normal.switches[s]]
    choices = [[at for at in design.parts[s].positions if at not in design.parts[s].momentary] for s in free]
    assert design.operation is not None
    for positions in product(*choices):
        at = {**state.switches, **dict(zip(free, positions, strict=True))}
        if not any(e.switches.items() <= at.items() for e in design.operation.excluded):
            yield at


@pytest.mark.parametrize(
    ("name", "ties", "behind"),
    [
        (TIE, True, ()),
        (RELAY, True, ()),
        (BAR, False, ()),
        (LOAD, False, ()),
        (SPLICE, True, ("avionics-switch",)),
        (DIODE, False, ("avionics-switch",)),
        (AHEAD, False, ()),
    ],
)
def test_the_settings_that_make_a_bus_live_are_those_of_the_plain_evaluator(
    name: str, ties: bool, behind: tuple[str, ...]
) -> None:
    made = facts(text(design(RULE, name)))
    assert made.design.operation is not None
    circuit, states = circuit_of(made.design), resolved(made.design.operation)
    found = {feed.state: dict(feed.combination.moved) for feed in made.paths.live_buses}
    for state in (s for s in states.values() if "main-bus" in s.dead):
        live = 0
        for at in settings(made.design, states[made.design.operation.normal], state, behind):
            answer = solve(circuit, replace(state, switches=MappingProxyType(at)))
            bus = any(node.startswith("main-bus.") for fed in answer.fed.values() for node in fed)
            expected = state.name in found and found[state.name].items() <= at.items()
            assert bus == expected, at
            live += bus
        assert bool(live) is ties


def test_a_bus_that_no_declared_state_has_live_is_compared_with_none() -> None:
    """Nothing says what takes it off: a state in which it is live does."""
    made = SmallDesign()
    made.add("spare-bus", "bus")
    made.run("bus", [made.switch("tie")], "spare-bus")
    made.load("radio")
    found = made.facts(switches={"tie": "off"}, dead=["spare-bus"])
    assert found.paths.live_buses == () and not found.states.untried
