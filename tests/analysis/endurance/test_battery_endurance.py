"""The load budget against hand-worked numbers, published laws written out again, and an integration by scipy that shares only the operating points."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from reviewer.analysis.endurance.battery_endurance import shed_at
from reviewer.analysis.endurance.generation_loss import TimelineEvent
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown
from reviewer.analysis.operating_point.flight_charges import charging_volts
from reviewer.analysis.operating_point.points import Figures
from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.model.quantity_words import days
from reviewer.reading import read_text
from reviewer.reports.budget.words import when
from reviewer.tables.batteries import state_of_charge_at
from tests.analysis.endurance.by_hand import ByHand
from tests.analysis.second_alternator import second_alternator
from tests.edits import edited
from tests.rule_cases import Data, assess, design, text, yaml_text

ROOT = Path(__file__).parents[3]
TOURER = (ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8")
BENCH = yaml_text(design("reserve-batteries-meet-their-required-endurance", "met"))
#: a motor takes the same current at any voltage above its minimum
STEADY = BENCH.replace(
    "right-ignition: {kind: load, type: electronic", "right-ignition: {kind: load, type: motor"
)


def facts_of(content: str, *edits: tuple[str, str]) -> Facts:
    for old, new in edits:
        assert content.count(old) == 1, old
        content = content.replace(old, new)
    return Facts(read_text(content, "design.yaml"))


def test_a_steady_current_empties_a_battery_in_the_time_worked_by_hand() -> None:
    """7 Ah, aged and cold 0.8 each, 1.5 A, exponent 1.2: 20 h x (7 / (20 x 1.5))^1.2 x 0.64 = 20 x 0.17441 x 0.64 = 2.2324 h."""
    found = facts_of(STEADY).endurance.endurance_of("reserve-battery")
    assert found.seconds == pytest.approx(2.2324 * 3600, rel=1e-3)
    assert (found.found.ended_by, found.found.why) == ("parts/reserve-battery", "is empty")
    # the voltmeter takes a ten-thousandth of that
    assert [round(run.first_a, 3) for run in found.found.runs] == [1.5]


def test_a_load_with_a_high_minimum_ends_it_at_the_charge_that_the_open_circuit_voltage_gives() -> None:
    """Open-circuit voltage at the end = minimum + I (2 R of the battery + the path); the time is that of the charge above it."""
    text = STEADY.replace("minimum: 8 V", "minimum: 12.1 V").replace(
        "capacity: 7 Ah", "capacity: 7 Ah, internal-resistance: 0.02 ohm"
    )
    facts = Facts(read_text(text, "design.yaml"))
    found = facts.endurance.endurance_of("reserve-battery")
    point = facts.points.operating_points("smoke-drill", Figures(), 1)
    way = float(point.across("parts/reserve-battery")[0] - point.across("parts/right-ignition")[0]) / 1.5
    floor = state_of_charge_at("lead-acid", 12.1 + 1.5 * (2 * 0.02 + way)).value
    assert 0.3 < floor < 0.7
    assert found.seconds == pytest.approx(
        (1 - floor) * seconds_to_empty(Store(7, 1.2, 0.8, 0.8), 1.5), rel=2e-3
    )
    assert (found.found.ended_by, found.found.charge) == (
        "parts/right-ignition",
        pytest.approx(floor, abs=2e-3),
    )


def test_a_battery_that_disconnects_itself_ends_there() -> None:
    """Lithium rests at 13.0 V with 30 %: with 12.9 V and 1.5 A through 2 x 0.05 ohm it disconnects at 13.05 V at rest, 32.5 % by the chart's points."""
    lithium = (
        "chemistry: lead-acid, capacity: 7 Ah",
        "chemistry: lithium-iron-phosphate, capacity: 7 Ah, internal-resistance: 0.05 ohm, low-voltage-disconnect: 12.9 V",
    )
    facts = facts_of(STEADY, lithium)
    found = facts.endurance.endurance_of("reserve-battery")
    assert (found.found.ended_by, found.found.why) == ("parts/reserve-battery", "disconnects itself")
    assert found.found.charge == pytest.approx(0.325, abs=0.002)
    # behind the diode it was charged to less than full: as far as its own volts are those that the diode leaves, where it
    # gives nothing any more; 20 h x (7 / 30)^1.05 x 0.64 = 2.7770 h for the whole
    assert 13.5 < found.charging_v < 13.6
    flown = Flown("cruise", None)
    assert found.charging_v == charging_volts(facts.points.point(flown), "parts/reserve-battery")
    full = charging_volts(facts.points.charged_point(flown, {}), "parts/reserve-battery")
    assert 0.9 < found.begins < 0.9 + 0.09 * (full - 13.4) / 0.2
    settled = Figures(state_of_charge={"parts/reserve-battery": found.begins})
    point = facts.points.figured(flown, (), settled)
    assert abs(point.given["parts/reserve-battery"]) < 0.05
    assert found.seconds == pytest.approx(
        (found.begins - 0.325) * 20 * (7 / 30) ** 1.05 * 0.64 * 3600, rel=5e-3
    )


#: what the crew sheds, as states of their own: the same switches, set by hand; nothing turns the alternator
STAGES = """    lost-0: {like: cruise, use: abnormal, engine: stopped}
    lost-1: {like: lost-0, use: abnormal, switches: {alternator-switch: down}}
    lost-2: {like: lost-1, use: abnormal, switches: {position-switch: down, strobe-switch: open, landing-switch: down, pitot-switch: down}}
    lost-3: {like: lost-2, use: abnormal, switches: {radio-2-switch: down}, pulled: [second-display-breaker, panel-light-breaker]}
  phases:
"""


def test_the_tourer_agrees_with_an_integration_by_scipy() -> None:
    """The main battery carries channel B too once the reserve is empty."""
    facts = Facts(read_text(TOURER.replace("  phases:\n", STAGES), "design.yaml"))
    hand, left = ByHand(facts, {"main-battery": 18.0, "reserve-battery": 9.0}, "cruise"), []
    for state, seconds in (("lost-0", 300 + 5), ("lost-1", 20), ("lost-2", 30), ("lost-3", 7200)):
        assert hand.follow(state, seconds, "pump-a") == (state == "lost-3")
        left.append(hand.charges[0])
    assert hand.out == ["reserve-battery", "main-battery"]
    found = Facts(read_text(TOURER, "design.yaml")).endurance.endurance_of("main-battery")
    # between the knots of its surface currents are taken as straight
    assert found.seconds == pytest.approx(hand.hours * 3600, rel=3e-3)
    assert [run.seconds for run in found.found.runs[:3]] == [305, 20, 30]
    assert [run.charge for run in found.found.runs] == [pytest.approx(q, abs=2e-3) for q in left]


def test_the_numbers_do_not_hang_on_the_steps_that_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    from reviewer.analysis.endurance import discharge

    coarse = Facts(read_text(TOURER, "design.yaml")).endurance.endurance_of("main-battery").seconds
    monkeypatch.setattr(discharge, "STEP", discharge.STEP / 8)
    assert Facts(read_text(TOURER, "design.yaml")).endurance.endurance_of(
        "main-battery"
    ).seconds == pytest.approx(coarse, rel=1e-3)


def test_more_batteries_than_are_solved_at_once_are_told() -> None:
    extra = "".join(
        f"  spare-{i}: {{kind: battery, chemistry: lead-acid, capacity: 5 Ah}}\n" for i in range(3)
    )
    wires = "".join(
        f"  X{i}: {{from: spare-{i}.positive, to: main-battery.positive}}\n  Y{i}: {{from: spare-{i}.negative, to: main-ground.x{i}}}\n"
        for i in range(3)
    )
    facts = facts_of(
        BENCH,
        ("  engine: {kind", f"{extra}  engine: {{kind"),
        ("functions:", f"{wires}functions:"),
        ("  normal:", "  endurance: 1 h\n  normal:"),
    )
    with pytest.raises(NotAssessable, match="5 batteries at once, of which 3"):
        facts.endurance.endurance_of("main-battery")


def test_a_warmer_battery_lasts_longer_by_the_share_that_the_temperature_leaves() -> None:
    """Straight line from 0.8 at -10 C to 1 at 25 C; a steady current, so the time goes with the capacity."""
    cold, mild = (
        Facts(read_text(STEADY.replace("min-temperature: -10 C", f"min-temperature: {c} C"), "design.yaml"))
        for c in ("-10", "7.5")
    )
    found = [facts.endurance.endurance_of("reserve-battery") for facts in (cold, mild)]
    assert found[1].seconds / found[0].seconds == pytest.approx(0.9 / 0.8, rel=2e-3)
    assert ("capacity when cold", "90 % at 7.5 C, common practice (no published source)") in found[1].factors


LATE = {"watch/monitors/bus-volts/alarm-below": "12.1 V", "remove": ["watch/monitors/reserve-volts"]}
SILENT = {"remove": ["watch/monitors/bus-volts", "watch/monitors/reserve-volts/alarm-below"]}


@pytest.mark.parametrize(("edits", "noticed"), [({}, "at once"), (LATE, "late"), (SILENT, "never")])
def test_the_crew_sheds_at_one_time_for_batteries_and_functions(edits: Data, noticed: str) -> None:
    rule = "main-batteries-meet-endurance-after-alternator-loss"
    facts = facts_of(text(edited(design(rule, "met"), edits)))
    battery, function = (
        facts.endurance.endurance_of("main-battery"),
        facts.detection.function_endurance("ignition"),
    )
    sheds = [entry.seconds for entry in function.timeline if entry.event is TimelineEvent.SHED]
    assert sheds == pytest.approx(list(shed_at(battery).values()))
    assert battery.noticed == function.noticed
    if battery.noticed:
        recognition = facts.states.operation.recognition_time or 0.0
        assert sheds[0] == battery.noticed.seconds + recognition + 5
    assert noticed == ("at once" if not battery.late_alarm else "late" if battery.noticed else "never")
    assert [run.name for run in battery.found.runs[1:]] == (
        [] if noticed == "never" else ["shed-field", "shed-heat"]
    )


def test_the_loss_of_one_of_two_alternators_has_its_own_alarm() -> None:
    """The other one holds the bus up: its voltage gives no alarm, and nothing is shed."""
    rule = "main-batteries-meet-endurance-after-alternator-loss"
    found = facts_of(text(edited(design(rule, "met"), second_alternator("60 A", "14.4 V"))))
    assert found.detection.loss_notice(found.endurance.alternators, None) is not None
    assert [found.detection.loss_notice((one,), None) for one in found.endurance.alternators] == [None, None]
    assert math.isinf(found.endurance.endurance_of("main-battery").seconds)


#: a reserve that feeds the radio, and the gear in a state of its own
GEAR = """
format: 1
aircraft: {name: Gear, nominal: 14 V, airframe: metal, stage: concept, min-temperature: 0 C}
parts:
  main: {kind: battery, chemistry: lead-acid, capacity: 20 Ah}
  reserve: {kind: battery, purpose: reserve, dedicated-to: [radio], endurance: 1 h, chemistry: lead-acid, capacity: 10 Ah}
  gear-switch: {kind: switch, positions: {down: [], up: [[line, load]]}}
  gear: {kind: load, type: motor, current: 40 A, minimum: 6 V}
  radio: {kind: load, type: motor, current: 2 A, minimum: 8 V}
  ground: {kind: ground-block}
wires:
  A: {from: reserve.positive, to: radio.supply, resistance: 0.01 ohm}
  B: {from: radio.return, to: ground.b, resistance: 0.01 ohm}
  C: {from: reserve.negative, to: ground.c, resistance: 0.001 ohm}
  D: {from: reserve.positive, to: gear-switch.line, resistance: 0.001 ohm}
  E: {from: gear-switch.load, to: gear.supply, resistance: 0.001 ohm}
  F: {from: gear.return, to: ground.f, resistance: 0.001 ohm}
  G: {from: main.negative, to: ground.g, resistance: 0.001 ohm}
operation:
  normal: cruise
  states:
    cruise: {use: flight, engine: running, switches: {gear-switch: down}}
    travel: {use: flight, engine: running, switches: {gear-switch: up}}
  phases:
    cruise: {state: cruise, duration: 2 h}
    travel: {state: travel, duration: TRAVEL}
"""


def test_what_is_on_for_seconds_empties_a_reserve_for_seconds() -> None:
    """40 A more for 30 s takes a third of an ampere hour, some 8 min of the radio; for 10 min it lasts."""

    def seconds(travel: str) -> float:
        return facts_of(GEAR, ("TRAVEL", travel)).endurance.endurance_of("reserve").seconds

    radio_alone = facts_of(
        GEAR,
        ("    travel: {state: travel, duration: TRAVEL}\n", ""),
        ("gear-switch: up", "gear-switch: down"),
    ).endurance.endurance_of("reserve")
    after = facts_of(GEAR, ("TRAVEL", "30 s")).endurance.endurance_of("reserve")
    assert [run.name for run in after.found.runs] == ["travel", "cruise"] and after.state == "cruise"
    # the rate takes more of it than its ampere hours
    assert radio_alone.seconds - 3600 < after.seconds < radio_alone.seconds - 30 * 40 / 2 + 60
    assert seconds("10 min") < 0.1 * after.seconds


#: the radio on the main battery in the travel, on the reserve in cruise; a beacon on the reserve in both
CHANGED_OVER = (
    ("dedicated-to: [radio]", "dedicated-to: [radio, beacon]"),
    ("{from: reserve.positive, to: radio.supply, ", "{from: selector.out, to: radio.supply, "),
    (
        "parts:\n",
        "parts:\n  selector: {kind: switch, positions: {m: [[m, out]], r: [[r, out]]}}\n"
        "  beacon: {kind: load, type: motor, current: 0.5 A, minimum: 8 V}\n",
    ),
    (
        "wires:\n",
        "wires:\n"
        "  H: {from: reserve.positive, to: selector.r, resistance: 0.01 ohm}\n"
        "  I: {from: main.positive, to: selector.m, resistance: 0.01 ohm}\n"
        "  J: {from: reserve.positive, to: beacon.supply, resistance: 0.01 ohm}\n"
        "  K: {from: beacon.return, to: ground.k, resistance: 0.01 ohm}\n",
    ),
    ("switches: {gear-switch: down", "switches: {selector: r, gear-switch: down"),
    ("switches: {gear-switch: up", "switches: {selector: m, gear-switch: up"),
    ("TRAVEL", "30 s"),
)


def test_what_a_reserve_does_not_feed_in_a_brief_state_does_not_end_it_there() -> None:
    found = facts_of(GEAR, *CHANGED_OVER).endurance.endurance_of("reserve")
    assert [run.name for run in found.found.runs] == ["travel", "cruise"] and found.seconds > 3600
    # what it feeds there does
    weak = facts_of(
        GEAR,
        *CHANGED_OVER,
        (
            "J: {from: reserve.positive, to: beacon.supply, resistance: 0.01",
            "J: {from: reserve.positive, to: beacon.supply, resistance: 10",
        ),
    )
    ended = weak.endurance.endurance_of("reserve")
    assert (ended.found.ended_by, ended.seconds) == ("parts/beacon", 0)


#: one battery, one load that is on in the parked state too, and a charger
CHARGED = """
format: 1
aircraft: {name: Charged, nominal: 14 V, airframe: composite, stage: detailed, min-temperature: 0 C}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}
  bus: {kind: bus}
  radio: {kind: instrument, current: 2 A, minimum: 10 V}
  charger: {kind: charger, from: solar, set-point: 14.2 V, current-limit: 3 A}
wires:
  W1: {from: battery.positive, to: bus.feed, gauge: 8 AWG, length: 0.3 m}
  W2: {from: bus.radio, to: radio.supply, gauge: 20 AWG, length: 1 m}
  W3: {from: radio.return, to: battery.negative, gauge: 20 AWG, length: 1 m}
  W4: {from: charger.positive, to: bus.charge, gauge: 16 AWG, length: 1 m}
  W5: {from: charger.negative, to: battery.negative, gauge: 16 AWG, length: 1 m}
operation:
  normal: cruise
  states: {cruise: {engine: stopped, chargers: [charger]}, parked: {use: ground, engine: stopped}}
  phases: {flight: {state: cruise, duration: 2 h}}
  endurance: 60 min
"""


def test_endurance_without_the_sun_says_so_and_a_ground_charger_is_not_lost() -> None:
    lasting = facts_of(CHARGED).endurance.endurance_of("battery")
    assert lasting.lost == ("charger",) and when(lasting) == "after loss of charger in cruise (flight)"
    on_mains = CHARGED.replace("from: solar", "from: mains").replace(
        "stopped, chargers: [charger]", "stopped"
    )
    alone = facts_of(on_mains).endurance.endurance_of("battery")
    assert alone.lost == () and when(alone) == "charged, in cruise (flight)"
    assert alone.seconds == pytest.approx(lasting.seconds, rel=1e-3)


def test_a_parked_battery_lasts_as_long_in_the_finding_as_in_the_load_analysis() -> None:
    found = assess("batteries-keep-their-charge-while-parked", CHARGED)
    (one,) = found.findings
    (drain,) = facts_of(CHARGED).endurance.parasitic_drains("parked")
    assert f"half discharged after {days(drain.days[1])} in parked" in one.sentence
    assert days(drain.days[1]) == "3.7 h"


@pytest.mark.parametrize(("second", "alarm"), [("13.4 V", None), ("14.8 V", "second-amps")])
def test_an_alarm_in_words_of_a_current_that_was_nothing_shows_no_loss(
    second: str, alarm: str | None
) -> None:
    """The lamp of an ammeter in the lead of an alternator that stands by is as before once that is lost."""
    rule = "main-batteries-meet-endurance-after-alternator-loss"
    edits = second_alternator("60 A", second) | {
        "parts/second-shunt": {"kind": "shunt", "rating": "60 A"},
        "watch/monitors/second-amps": {
            "shows": "current",
            "senses": "second-shunt",
            "alarm": "Lamp below 1 A",
        },
    }
    heavy = edits["wires/W91"]
    edits["wires/W91"] = {**heavy, "to": "second-shunt.load"}
    edits["wires/W93"] = {**heavy, "from": "second-shunt.line", "to": "second.output", "length": "0.1 m"}
    found = facts_of(text(edited(design(rule, "met"), edits)))
    notice = found.detection.loss_notice(("parts/second",), None)
    assert (notice.monitor if notice else None) == alarm
