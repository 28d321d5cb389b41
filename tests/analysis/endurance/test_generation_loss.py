"""How long functions last after the loss of all generation: against an integration by scipy, and designs whose answer can be seen by eye."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.endurance import generation_loss
from reviewer.analysis.endurance.depletion import BatteryOut, Stop
from reviewer.analysis.endurance.discharge import Ending
from reviewer.analysis.endurance.generation_loss import FunctionEndurance, GenerationLoss, TimelineEvent
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.reading import read_text
from reviewer.reports.budget.words import timeline_event
from tests.analysis.endurance.by_hand import ByHand
from tests.edits import edited
from tests.rule_cases import Data, design, parsed, text

ENGINE = (
    3,
    [(1, ["ignition-a", "ignition-b"]), (1, ["injection-a", "injection-b"]), (1, ["pump-a", "pump-b"])],
)
NEEDS = {
    "engine-runs": ENGINE,
    "attitude": (1, ["primary-display", "standby-attitude"]),
    "communication": (1, ["radio-1", "radio-2"]),
}
#: each pump stops at a voltage of its own: channel A first, the engine with channel B
STOPS = {"parts/pump-a/minimum": "11.95 V", "parts/pump-b/minimum": "11.7 V"}
#: what the crew sheds, as states of their own: the same switches, set by hand; nothing turns the alternator
STAGES = {
    "operation/states/lost-0": {"like": "cruise", "use": "abnormal", "engine": "stopped"},
    "operation/states/lost-1": {
        "like": "lost-0",
        "use": "abnormal",
        "switches": {"alternator-switch": "down"},
    },
    "operation/states/lost-2": {
        "like": "lost-1",
        "use": "abnormal",
        "switches": {
            "position-switch": "down",
            "strobe-switch": "open",
            "landing-switch": "down",
            "pitot-switch": "down",
        },
    },
    "operation/states/lost-3": {
        "like": "lost-2",
        "use": "abnormal",
        "switches": {"radio-2-switch": "down"},
        "pulled": ["second-display-breaker", "panel-light-breaker"],
    },
}
PLAN = (("lost-0", 300 + 5), ("lost-1", 20), ("lost-2", 30), ("lost-3", 20000))
EXAMPLES = Path(__file__).parents[3] / "examples"
TOURER = parsed(EXAMPLES / "tourer.design.yaml")
#: one pump, on the main battery; a switch puts it on the reserve
BENCH = edited(
    design("main-batteries-meet-endurance-after-alternator-loss", "met"),
    {
        "parts/pump": {
            "kind": "load",
            "type": "motor",
            "current": "3 A",
            "minimum": "11.4 V",
            "maximum": "16 V",
        },
        "parts/pump-select": {
            "kind": "switch",
            "label": "PUMP",
            "transfer": "break-before-make",
            "positions": {"main": [["main", "pump"]], "reserve": [["reserve", "pump"]]},
        },
        "parts/pump-fuse": {"kind": "fuse", "rating": "7.5 A"},
        "parts/pump-reserve-fuse": {"kind": "fuse", "rating": "7.5 A"},
        "wires/W70": {
            "from": "main-battery.positive",
            "to": "pump-fuse.line",
            "gauge": "16 AWG",
            "length": "0.1 m",
        },
        "wires/W71": {"from": "pump-fuse.load", "to": "pump-select.main", "gauge": "16 AWG", "length": "1 m"},
        "wires/W72": {
            "from": "reserve-battery.positive",
            "to": "pump-reserve-fuse.line",
            "gauge": "16 AWG",
            "length": "0.1 m",
        },
        "wires/W73": {
            "from": "pump-reserve-fuse.load",
            "to": "pump-select.reserve",
            "gauge": "16 AWG",
            "length": "1 m",
        },
        "wires/W74": {"from": "pump-select.pump", "to": "pump.supply", "gauge": "16 AWG", "length": "1 m"},
        "wires/W75": {"from": "pump.return", "to": "main-ground.pump", "gauge": "16 AWG", "length": "1 m"},
        "parts/right-ignition/type": "motor",
        "functions/fuel": {"any": 1, "of": ["pump"], "loss": "catastrophic"},
        "operation/states/cruise/switches/pump-select": "main",
        "operation/states/parked/switches/pump-select": "main",
        "operation/actions/pump-to-reserve": {"move": {"pump-select": "reserve"}, "time": "10 s"},
    },
)


def facts_of(data: Data) -> Facts:
    return Facts(read_text(text(data), "design.yaml"))


@pytest.mark.parametrize(
    ("function", "edits"),
    [
        pytest.param("engine-runs", {}, id="engine, until empty", marks=pytest.mark.long),
        pytest.param("engine-runs", STOPS, id="engine, until below its minimum"),
        pytest.param("communication", STOPS, id="radio", marks=pytest.mark.long),
        pytest.param("attitude", {}, id="attitude", marks=pytest.mark.long),
        pytest.param("attitude", STOPS, id="attitude beside pumps that stop", marks=pytest.mark.long),
        pytest.param("communication", {}, id="radio, until empty", marks=pytest.mark.long),
    ],
)
def test_the_tourer_agrees_with_an_integration_by_scipy(function: str, edits: Data) -> None:
    found = facts_of(edited(TOURER, edits)).detection.function_endurance(function)
    staged = facts_of(edited(TOURER, edits | STAGES))
    for stages, seconds in ((PLAN, found.attended), ((("lost-0", 20000),), found.unattended)):
        hand = ByHand(staged, {"main-battery": 18.0, "reserve-battery": 9.0}, "cruise")
        assert [hand.follow(state, length, NEEDS[function]) for state, length in stages][-1]
        assert seconds == pytest.approx(hand.hours * 3600, rel=0.01)
    assert found.noticed and found.seconds == found.attended > found.unattended


def lines(found: FunctionEndurance) -> list[tuple[str, str]]:
    return [(entry.event.value, entry.what) for entry in found.timeline]


def fuel(**edits: object) -> FunctionEndurance:
    changed = {key.replace("__", "/").replace("_", "-"): value for key, value in edits.items()}
    return facts_of(edited(BENCH, changed)).detection.function_endurance("fuel")


def test_the_change_over_lasts_as_long_as_the_reserve_does_from_there() -> None:
    found = fuel()
    assert lines(found) == [
        ("generation lost", "alternator"),
        ("noticed", "bus-volts"),
        ("shed", "shed-field"),
        ("shed", "shed-heat"),
        ("change-over", "pump-to-reserve"),
        ("battery exhausted", "main-battery"),
        ("function lost", "fuel"),
    ]
    _, _, field, heat, over, _, lost = found.timeline
    assert (field.seconds, heat.seconds, over.takes) == (305, 325, 10)
    assert field.without == found.unattended and field.without < (heat.without or 0) < (over.without or 0)
    assert over.without == over.seconds < lost.seconds == found.seconds == found.attended
    staged = edited(
        BENCH,
        {
            "operation/states/lost-0": {"like": "cruise", "use": "abnormal", "engine": "stopped"},
            "operation/states/lost-1": {"like": "lost-0", "switches": {"alternator-switch": "down"}},
            "operation/states/lost-2": {"like": "lost-1", "pulled": ["heater-breaker"]},
            "operation/states/lost-3": {"like": "lost-2", "switches": {"pump-select": "reserve"}},
        },
    )
    hand = ByHand(facts_of(staged), {"main-battery": 17.0, "reserve-battery": 7.0}, None)
    plan = (("lost-0", 305), ("lost-1", 20), ("lost-2", 20000))
    assert [hand.follow(state, length, "pump") for state, length in plan] == [False, False, True]
    assert over.seconds == pytest.approx(hand.hours * 3600, rel=0.01)
    assert hand.out == [] and hand.follow("lost-3", 20000, "pump")
    assert lost.seconds == pytest.approx(hand.hours * 3600, rel=0.01)


def spark(fuel: str, spark: str) -> FunctionEndurance:
    """An ignition on the reserve, beside a pump that the crew moves there."""
    functions = {
        "fuel": {"any": 1, "of": ["pump"], "loss": fuel},
        "spark": {"any": 1, "of": ["right-ignition"], "loss": spark},
    }
    edits = {"functions": functions, "parts/pump/minimum": "6 V"}
    return facts_of(edited(BENCH, edits)).detection.function_endurance("spark")


def test_a_change_over_for_a_graver_function_counts_for_what_the_reserve_feeds_already() -> None:
    found, pump = spark("catastrophic", "hazardous"), fuel(parts__pump__minimum="6 V")
    over = next(e for e in found.timeline if e.event is TimelineEvent.CHANGE_OVER)
    assert (over.what, over.why) == ("pump-to-reserve", "fuel would be lost")
    assert over.seconds < found.seconds < (over.without or 0)
    # both run until the reserve is empty
    assert found.seconds == pytest.approx(pump.seconds, rel=1e-3)


def test_the_crew_makes_no_change_over_for_a_lesser_function_at_the_cost_of_a_graver_one() -> None:
    found = spark("hazardous", "catastrophic")
    assert TimelineEvent.CHANGE_OVER not in {entry.event for entry in found.timeline}
    over = next(e for e in spark("hazardous", "hazardous").timeline if e.event is TimelineEvent.CHANGE_OVER)
    assert found.seconds == pytest.approx(over.without)


def test_without_an_action_for_it_nothing_is_changed_over() -> None:
    found = fuel(remove=["operation/actions/pump-to-reserve"])
    assert TimelineEvent.CHANGE_OVER not in {entry.event for entry in found.timeline}
    assert found.seconds == next(e.without for e in fuel().timeline if e.event is TimelineEvent.CHANGE_OVER)


def test_a_flat_battery_that_the_crew_joins_to_the_reserve_takes_from_it() -> None:
    both = {"main": [["main", "pump"]], "reserve": [["main", "reserve"], ["main", "pump"]]}
    found, alone = fuel(parts__pump_select__positions=both), fuel()
    assert ("change-over", "pump-to-reserve") in lines(found)
    assert found.unattended == pytest.approx(alone.unattended)
    assert found.seconds < alone.seconds - 60


def test_a_battery_that_is_empty_before_the_change_over_is_told_once() -> None:
    found = fuel(parts__pump__minimum="6 V")
    assert lines(found)[4:] == [
        ("battery exhausted", "main-battery"),
        ("change-over", "pump-to-reserve"),
        ("battery exhausted", "reserve-battery"),
        ("function lost", "fuel"),
    ]
    assert "main-battery is empty" not in timeline_event(found.timeline[5], "fuel")


def test_a_change_over_whose_time_nobody_states_is_told_without_it() -> None:
    found = fuel(operation__actions__pump_to_reserve={"move": {"pump-select": "reserve"}})
    over = next(e for e in found.timeline if e.event is TimelineEvent.CHANGE_OVER)
    assert over.takes is None and found.seconds == fuel().seconds


def test_no_crew_action_counts_without_an_alarm() -> None:
    silent = {"shows": "voltage", "senses": "main-bus.audio", "displayed-on": "audio-panel"}
    found = fuel(
        watch__monitors__bus_volts=silent,
        watch__monitors__reserve_volts=silent | {"senses": "reserve-battery.positive"},
    )
    assert lines(found)[1:] == [("not noticed", ""), ("function lost", "fuel")]
    assert found.seconds == found.unattended < found.attended


def test_an_alarm_that_comes_late_delays_the_crew() -> None:
    """Under the heater the bus surely reads less than 12.3 V some minutes after the loss; the recognition time begins there."""
    alarm = {
        "shows": "voltage",
        "senses": "main-bus.audio",
        "displayed-on": "audio-panel",
        "alarm-below": "12.3 V",
    }
    quiet = {"shows": "voltage", "senses": "reserve-battery.positive", "displayed-on": "audio-panel"}
    soon = {"watch__monitors__reserve_volts": quiet, "operation__recognition_time": "1 min"}
    found = fuel(watch__monitors__bus_volts=alarm, **soon)
    assert found.noticed and 30 < found.noticed.seconds < 330
    assert [e.seconds - found.noticed.seconds for e in found.timeline if e.event is TimelineEvent.SHED] == [
        pytest.approx(65),
        pytest.approx(85),
    ]
    assert found.seconds < fuel(**soon).seconds


def test_an_alarm_that_is_on_before_shows_nothing() -> None:
    high = {
        "shows": "voltage",
        "senses": "main-bus.audio",
        "displayed-on": "audio-panel",
        "alarm-below": "15 V",
    }
    quiet = {"shows": "voltage", "senses": "reserve-battery.positive", "displayed-on": "audio-panel"}
    assert fuel(watch__monitors__bus_volts=high, watch__monitors__reserve_volts=quiet).noticed is None


def test_a_load_that_the_plan_turns_off_is_not_changed_over() -> None:
    found = facts_of(
        edited(
            BENCH,
            {
                "functions/speech": {"any": 1, "of": ["audio-panel"], "loss": "major"},
                "parts/audio-panel/minimum": "9 V",
                "operation/actions/shed-audio": {"move": {"audio-breaker": "pulled"}, "time": "5 s"},
                "operation/load-shedding": ["shed-field", "shed-heat", "shed-audio"],
            },
        )
    ).detection.function_endurance("speech")
    assert found.timeline[-1].why == "audio-panel is turned off" and found.seconds == 330


def test_a_reserve_that_disconnects_itself_ends_it_there() -> None:
    found = fuel(parts__reserve_battery__low_voltage_disconnect="11.8 V")
    over = next(e.seconds for e in found.timeline if e.event is TimelineEvent.CHANGE_OVER)
    assert found.timeline[-1].why == "reserve-battery disconnects itself"
    assert over < found.seconds < fuel().seconds


def test_the_minimum_voltage_of_its_loads_must_be_stated() -> None:
    facts = facts_of(edited(BENCH, {"remove": ["parts/pump/minimum"]}))
    with pytest.raises(NotAssessable, match="`minimum` of pump"):
        facts.detection.function_endurance("fuel")
    assert facts.detection.function_endurance("ignition").seconds > 0


@pytest.mark.parametrize(
    ("of", "why"),
    [("alternator", "alternator has no power"), ("main-bus", "main-battery is empty")],
)
def test_a_function_without_loads_is_lost_with_its_source_or_bus(of: str, why: str) -> None:
    made = {"functions/power": {"any": 1, "of": [of], "loss": "major"}}
    found = facts_of(edited(BENCH, made)).detection.function_endurance("power")
    assert found.timeline[-1].why == why
    assert (found.seconds == 0) == (of == "alternator")


def test_a_second_alternator_is_lost_with_the_first() -> None:
    second = design(
        "main-batteries-meet-endurance-after-alternator-loss",
        "with an alternator on each side the loss of one empties nothing",
    )
    facts = facts_of(second)
    found = facts.detection.function_endurance("ignition")
    assert found.lost == ("alternator", "second") and found.seconds < 3 * 3600


def test_a_battery_inside_a_unit_adds_its_time_to_the_loss_of_its_feed() -> None:
    """The pump works on for 20 minutes once both batteries are down; one that is long enough no longer decides
    when the main battery is exhausted."""
    without, own = fuel(), fuel(parts__pump={**BENCH["parts"]["pump"], "internal-battery": "20 min"})
    assert own.seconds == pytest.approx(without.seconds + 20 * 60)
    assert own.unattended == pytest.approx(without.unattended + 20 * 60)
    assert own.stops["pump"] == pytest.approx(without.stops["pump"] + 20 * 60)
    assert lines(own) == lines(without)
    assert own.timeline[-1].seconds == own.seconds
    assert own.timeline[-1].why.endswith(", and the battery inside pump is empty")


def test_failures_that_leave_the_same_circuit_share_what_was_solved() -> None:
    """The field of the alternator without its breaker, and without its switch; without the alternator it draws on."""
    file = EXAMPLES / "tourer.design.yaml"
    shared, alone = (Facts(read_text(file.read_text(encoding="utf-8"), "tourer")) for _ in range(2))

    def lasting(facts: Facts, *lost: str) -> dict[str, tuple[float, float | None]]:
        case = tuple(Failure(f"parts/{name}", OPEN) for name in lost)
        found = facts.endurance.limited_functions(case, "cruise", (), (), None)
        return {f: (one.unattended, one.attended) for f, one in found.items()}

    lasting(shared, "alternator-switch")
    circuits, scenarios = (
        len(some) for some in (shared.endurance.surfaces._of_circuit, shared.endurance.surfaces._solved)
    )
    assert lasting(shared, "field-breaker") == lasting(alone, "field-breaker")
    assert len(shared.endurance.surfaces._solved) > scenarios
    assert len(shared.endurance.surfaces._of_circuit) == circuits
    lasting(shared, "alternator")
    assert len(shared.endurance.surfaces._of_circuit) > circuits


def test_functions_that_are_lost_together_share_what_actions_do() -> None:
    """A search for one function by itself finds the same actions."""
    ways, searches, lost = [], 0, 0
    for data in (TOURER, BENCH):
        facts = facts_of(data)
        endurance, case = facts.endurance, (Failure("parts/alternator", OPEN),)
        shared = GenerationLoss(endurance.points, endurance.surfaces, case, None)
        for loss in shared.until(0).losses.values():
            ways.append(list(shared._restoring(loss)))
            alone = GenerationLoss(endurance.points, endurance.surfaces, case, None)
            assert ways[-1] == list(alone._restoring(loss))
        searches, lost = searches + len(shared._begun), lost + len(shared.until(0).losses)
    assert any(ways) and searches < lost


def test_after_the_first_moves_a_battery_that_has_disconnected_itself_stays_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One that was empty may be charged by then, and is followed again."""
    off = BatteryOut("parts/off", 60.0, Ending.DISCONNECTS)
    flat = BatteryOut("parts/flat", 90.0, Ending.EMPTY)
    first, rest = (SimpleNamespace(now=now, out=[off, flat], through=list) for now in ("then", "loss"))
    made = GenerationLoss.__new__(GenerationLoss)
    made.segments, made.functions = (), ()
    both = [first, rest]
    made._depleted = lambda _: both.pop(0)  # type: ignore[assignment,method-assign,return-value]
    monkeypatch.setattr(generation_loss, "carried_out", lambda *_: [])
    assert made._after_moves(1, 0.0) == {}
    assert (rest.now, rest.out) == ("then", [off])


@pytest.mark.parametrize("why", Stop)
def test_loads_that_stop_together_have_a_verb_of_several(why: Stop) -> None:
    verb, _, rest = why.partition(" ")
    several = {"falls": "fall", "has": "have", "is": "are"}
    assert why.of_several == f"{several[verb]} {rest.replace('its', 'their')}"
