"""What the crew can do: small circuits whose answer can be seen by eye, and the lanes against one course at a time."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.crew.moves import ActionSequence, Begun, after_failures, continued, moved
from reviewer.analysis.crew.recovery import Recovery, recoveries
from reviewer.analysis.crew.recovery_search import RecoverySearch
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.resources import folder
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from tests.rule_cases import base_text, design, yaml_text

CHOICE = yaml_text(design("critical-functions-need-no-crew-action-after-a-failure", "unmet"))
BASE = base_text("bench")
#: a light on the fuse of the only ignition, and three things the crew may do
LIGHT = (
    (
        "  right-fuse: {kind: fuse",
        "  light-switch: {kind: switch, positions: {down: [], up: [[line, load]]}}\n  light: {kind: load}\n  right-fuse: {kind: fuse",
    ),
    (
        "  W30: {",
        "  L1: {from: left-fuse.load, to: light-switch.line}\n  L2: {from: light-switch.load, to: light.supply}\n"
        "  L3: {from: light.return, to: main-ground.light}\n  W30: {",
    ),
    ("of: [left-ignition, right-ignition]", "of: [left-ignition]"),
    ("right-switch: up}}", "right-switch: up, light-switch: up}}"),
    (
        "watch:\n",
        "  actions:\n    renew: {move: {left-fuse: in}, time: 20 s}\n    dark: {move: {light-switch: down}, time: 5 s}\nwatch:\n",
    ),
)
ACTIONS = "    right-to-reserve: {move: {right-source: reserve}, time: 5 s}\n"
MORE = (
    "    master-off: {move: {master: down, alternator-switch: down}}\n    pull: {move: {audio-breaker: pulled}}\n"
    "    renew: {move: {left-fuse: in}}\n    to-left: {move: {left-switch: down}}\n    left-on: {move: {left-switch: up}}\n"
)


def facts(text: str, *changes: tuple[str, str]) -> Facts:
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "x"))


def ways(
    f: Facts, element: str, mode: str, terminal: str = "", function: str = "ignition"
) -> tuple[Recovery, ...]:
    failures = [x for x in f.states.answer("cruise").failures if (x.element, x.mode) == (element, mode)]
    wanted = [x for x in failures if not terminal or f.network.node(terminal) in x.nodes]
    assert len(wanted) == 1, failures
    return f.crew.recoveries(function, "cruise", wanted[0])


def test_one_switch_brings_the_ignition_back_from_the_reserve() -> None:
    f = facts(CHOICE)
    found = ways(f, "parts/main-battery", SHORT)
    assert found == (
        Recovery(
            "ignition",
            "cruise",
            found[0].failure,
            ("right-to-reserve",),
            (("right-source", "reserve"),),
            5.0,
            (),
            (),
            ("right-ignition",),
        ),
    )


def test_a_failure_that_takes_nothing_has_no_recovery() -> None:
    f = facts(CHOICE)
    assert ways(f, "wires/W52", OPEN) == ()


def test_a_search_knows_nothing_of_one_from_other_switch_positions() -> None:
    f = facts(CHOICE)
    normal = f.states.answer("cruise")
    failure = Failure("parts/main-battery", OPEN)
    switched, _ = moved(f.design, normal.state, {"right-source": "reserve"})
    found = []
    for answer in (StateAnswer(f.design, f.network, switched, normal.healthy), normal):
        now = after_failures(f.network, answer.state, ((failure,), ()), answer.healthy)
        begun = Begun({failure: 0}, now, now.solved.powered, {}, {})
        search = RecoverySearch(f.design, f.network, answer, "ignition", [((failure,),)], begun=begun)
        found.append([s.actions for _, _, those in search.found() for _, s in those])
    assert ("right-to-reserve",) not in found[0] and ("right-to-reserve",) in found[1]


def test_a_function_that_no_action_reaches_stays_lost() -> None:
    f = facts(CHOICE, (ACTIONS, "    dark: {move: {audio-breaker: pulled}}\n"))
    assert ways(f, "parts/main-battery", SHORT) == ()


def test_a_fuse_is_renewed_only_after_the_short_is_switched_off() -> None:
    """Common practice, no source: a fuse that is renewed into the short opens again."""
    f = facts(BASE, *LIGHT)
    found = ways(f, "parts/light", SHORT)
    assert [w.actions for w in found] == [("dark", "renew")]
    assert found[0].moves == (("light-switch", "down"), ("left-fuse", "in")) and found[0].seconds == 25.0


def test_neither_half_of_it_is_enough() -> None:
    f = facts(BASE, *LIGHT[:-1], ("watch:\n", "  actions:\n    dark: {move: {light-switch: down}}\nwatch:\n"))
    assert ways(f, "parts/light", SHORT) == ()
    f = facts(BASE, *LIGHT[:-1], ("watch:\n", "  actions:\n    renew: {move: {left-fuse: in}}\nwatch:\n"))
    assert ways(f, "parts/light", SHORT) == ()


def test_a_fuse_that_is_broken_is_not_mended_by_a_move() -> None:
    f = facts(BASE, *LIGHT)
    assert ways(f, "parts/left-fuse", OPEN) == ()


def test_a_battery_that_was_shorted_stays_lost_when_the_short_is_switched_off() -> None:
    text = (
        *LIGHT[:-1],
        ("L1: {from: left-fuse.load,", "L1: {from: main-battery.positive,"),
        ("W1: {from: main-battery.positive, to: main-contactor.battery, gauge: 4 AWG, length: 0.4 m}", ""),
        ("watch:\n", "  actions:\n    dark: {move: {light-switch: down}}\nwatch:\n"),
    )
    assert ways(facts(BASE, *text), "parts/light", SHORT) == ()


@pytest.mark.parametrize(("kept", "found"), [("left-ignition", 0), ("audio-panel", 0), ("right-ignition", 1)])
def test_what_takes_another_function_as_grave_is_no_recovery(kept: str, found: int) -> None:
    """After the main battery is lost, the audio panel lives on the alternator until the same action switches it off."""
    f = facts(
        CHOICE,
        (ACTIONS, "    right-to-reserve: {move: {right-source: reserve, alternator-switch: down}}\n"),
        ("functions:\n", f"functions:\n  other: {{any: 1, of: [{kept}], loss: catastrophic}}\n"),
    )
    # the left ignition is lost with the battery: the action does not take it
    assert len(ways(f, "parts/main-battery", SHORT)) == (1 if kept == "left-ignition" else found)


@pytest.mark.parametrize(
    ("edits", "hazard"),
    [
        ((), "major"),
        (((", alarm-below: 12.8 V}", "}"),), "major"),  # the reading itself goes away
        (
            (("    main-volts: {shows: voltage, senses: main-battery.positive, alarm-below: 12.8 V}\n", ""),),
            "hazardous",
        ),
        (
            (("{right-source: reserve}, time", "{right-source: reserve, left-switch: down}, time"),),
            "hazardous",
        ),
    ],
)
def test_one_move_with_a_warning_is_major_and_all_else_hazardous(edits: tuple, hazard: str) -> None:
    rule = [
        r
        for r in load_rules([folder("rules")], installed=False)
        if r.name == "critical-functions-need-no-crew-action-after-a-failure"
    ]
    done = run_rules(rule, facts(CHOICE, *edits))[0][0]
    assert {x.subject: x.hazard.word for x in done.findings}["parts/main-battery"] == hazard


@pytest.mark.parametrize(
    ("text", "edits", "least"),
    [
        (CHOICE, ((ACTIONS, ACTIONS + MORE),), 50),
        pytest.param(
            BASE,
            (
                *LIGHT[:-1],
                (
                    "watch:\n",
                    f"  actions:\n{MORE}    dark: {{move: {{light-switch: down}}}}\n    bright: {{move: {{light-switch: up}}}}\nwatch:\n",
                ),
            ),
            1000,
            marks=pytest.mark.long,
        ),
    ],
)
def test_the_lanes_give_what_one_failure_and_one_course_at_a_time_give(
    text: str, edits: tuple, least: int
) -> None:
    f = facts(text, *edits)
    answer = f.states.answer("cruise")
    actions = f.design.operation.actions
    tried = 0
    for i, failure in enumerate(answer.failures):
        if answer.functions["ignition"] >> i & 1:
            continue
        found = f.crew.recoveries("ignition", "cruise", failure)
        shortest = len(found[0].actions) if found else 4
        for course in courses(list(actions), min(shortest, 3)):
            tried += 1
            assert alone(f, failure, course) == (course in [w.actions for w in found]), (failure, course)
    assert tried > least


def test_what_was_not_tried_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("reviewer.analysis.crew.recovery_search.MOST_LANES", 60)
    f = facts(
        BASE,
        *LIGHT[:-1],
        ("watch:\n", f"  actions:\n{MORE}    dark: {{move: {{light-switch: down}}}}\nwatch:\n"),
    )
    # one action after each of the failures is within the bound, two in a row are not
    assert ways(f, "parts/light", SHORT) == ()
    assert f.states.untried == ["After the loss of ignition at most 1 crew actions in sequence were tried."]


@pytest.mark.parametrize(
    ("most", "found", "untried"),
    [
        (2, [("dark", "renew")], ""),
        (1, [], "After the loss of ignition at most 0 crew actions in sequence were tried."),
    ],
)
def test_as_many_sequences_as_the_bound_are_tried(
    monkeypatch: pytest.MonkeyPatch, most: int, found: list[tuple[str, ...]], untried: str
) -> None:
    """Two actions make two sequences of one and two of both, each a lane for the one failure."""
    monkeypatch.setattr("reviewer.analysis.crew.recovery_search.MOST_LANES", most)
    f = facts(BASE, *LIGHT)
    answer = f.states.answer("cruise")
    (short,) = (x for x in answer.failures if (x.element, x.mode) == ("parts/light", SHORT))
    told = recoveries(f.design, f.network, answer, "ignition", [short])
    assert [w.actions for w in told.ways[short]] == found and told.untried == untried


def courses(names: list[str], most: int) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = [()]
    for _ in range(most):
        found += [(*c, n) for c in found for n in names if n not in c and (*c, n) not in found]
    return found[1:]


def alone(f: Facts, failure: Failure, course: tuple[str, ...]) -> bool:
    """One course, step by step, in a lane of its own; a step that changes nothing makes it another, shorter course."""
    answer = f.states.answer("cruise")
    now, state = after_failures(f.network, answer.state, [failure], answer.healthy), answer.state
    for name in course:
        state, moves = moved(f.design, state, f.design.operation.actions[name].move)
        if not moves:
            return False
        now = continued(f.network, now, [failure], [ActionSequence((name,), state, moves, moves)])
    return bool(function_masks(f.design, now.solved.powered, 1)["ignition"])
