"""Moves of the crew."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import Mode
from reviewer.analysis.crew.moves import (
    ActionSequence,
    after_failures,
    continued,
    excluded,
    longer,
    moved,
    positions_in_flight,
)
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.edits import edited
from tests.rule_cases import BASES, parsed, text


def switched_lamp(**operation: object) -> Facts:
    made = SmallDesign()
    made.load("lamp", made.protector("breaker"), made.switch("switch"))
    made.more["operation"] = operation
    return made.facts()


def wired(*edits: tuple[str, object]) -> frozenset[tuple[str, str]]:
    """The positions set in flight of the base with a starter."""
    facts = Facts(read_text(text(edited(parsed(BASES / "wired.yaml"), dict(edits))), "design"))
    states = facts.states.declared
    return positions_in_flight(facts.design, facts.network, states.values(), states["cruise"])


def test_a_position_that_ground_states_alone_set_is_not_set_in_flight() -> None:
    ground = ("operation/states/taxi/switches/flap-switch", "up")
    assert ("flap-switch", "up") not in wired(ground)
    assert ("flap-switch", "up") in wired(ground, ("operation/states/taxi/use", "abnormal"))


def test_the_start_is_judged_where_the_engine_cranks_and_what_else_is_set_there_is_not() -> None:
    found = wired(("operation/states/cranking/switches/flap-switch", "up"))
    assert ("start-button", "start") in found and ("flap-switch", "up") not in found
    assert ("start-button", "start") not in wired(("operation/states/cranking/engine", "stopped"))


def test_of_a_start_by_two_switches_neither_is_set_in_flight() -> None:
    found = wired(
        ("parts/start-enable", {"kind": "switch", "positions": {"off": [], "on": [["line", "load"]]}}),
        ("wires/W63/to", "start-enable.line"),
        ("wires/W63B", {"from": "start-enable.load", "to": "start-button.line"}),
        ("operation/states/cruise/switches/start-enable", "off"),
        ("operation/states/cranking/switches/start-enable", "on"),
    )
    assert {("start-button", "start"), ("start-enable", "on")} <= found


def test_a_move_that_changes_nothing_is_not_listed() -> None:
    facts = switched_lamp()
    state, moves = moved(facts.design, cruise(facts).state, {"switch": "on"})
    assert moves == () and state.switches == cruise(facts).state.switches
    state, moves = moved(facts.design, cruise(facts).state, {"switch": "off", "breaker": "pulled"})
    assert moves == (("switch", "off"), ("breaker", "pulled")) and state.pulled == ("breaker",)


def test_a_combination_that_is_declared_impossible_is_excluded() -> None:
    facts = switched_lamp(excluded=[{"switches": {"switch": "off"}, "because": "Guarded."}])
    state = cruise(facts).state
    assert not excluded(facts.design, state) and excluded(
        facts.design, moved(facts.design, state, {"switch": "off"})[0]
    )


def test_a_sequence_is_extended_by_actions_that_change_something() -> None:
    facts = switched_lamp(actions={"dark": {"move": {"switch": "off"}}, "light": {"move": {"switch": "on"}}})
    (sequence,) = longer(facts.design, ActionSequence((), cruise(facts).state), 0)
    assert sequence.actions == ("dark",)
    assert [one.actions for one in longer(facts.design, sequence, 0)] == [("dark", "light")]


def test_a_protector_that_has_opened_stays_open_until_it_is_reset() -> None:
    facts = switched_lamp()
    answer = cruise(facts)
    short = fails(facts, "parts/lamp", Mode.SHORT)
    start = after_failures(facts.network, answer.state, [short], answer.healthy)
    (breaker,) = facts.network.links_of["parts/breaker"]
    assert start.tripped[breaker] == 1
    for move, tripped in (({"switch": "off"}, 1), ({"switch": "off", "breaker": "in"}, 0)):
        state, moves = moved(facts.design, answer.state, move)
        after = continued(facts.network, start, [short], [ActionSequence(("x",), state, moves, moves)])
        assert after.tripped[breaker] == tripped, move


def test_a_source_that_was_shorted_stays_lost() -> None:
    facts = switched_lamp()
    answer = cruise(facts)
    short = fails(facts, "parts/battery", Mode.SHORT, "battery.positive")
    start = after_failures(facts.network, answer.state, [short], answer.healthy)
    state, moves = moved(facts.design, answer.state, {"switch": "off"})
    after = continued(facts.network, start, [short], [ActionSequence(("x",), state, moves, moves)])
    assert (
        start.lost["parts/battery"] == after.lost["parts/battery"] == 1
        and not after.solved.alive["parts/battery"]
    )


def test_a_breaker_is_reset_and_a_breaker_switch_is_closed_again() -> None:
    made = SmallDesign()
    made.load("lamp", made.protector("breaker"), made.protector("breaker-switch", "breaker-switch"))
    facts = made.facts()
    state, moves = moved(facts.design, cruise(facts).state, {"breaker": "pulled", "breaker-switch": "open"})
    assert state.pulled == ("breaker",) and state.switches["breaker-switch"] == "open"
    back, moves = moved(facts.design, state, {"breaker": "in", "breaker-switch": "in"})
    assert moves == (("breaker", "in"), ("breaker-switch", "in"))
    assert back.pulled == () and dict(back.switches) == dict(cruise(facts).state.switches)
