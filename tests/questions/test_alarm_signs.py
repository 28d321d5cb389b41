"""An alarm that comes with a loss is a sign of its card where the reading alone might be that of a sound system while
batteries are recharged; what a card says of the alarm is what the load analysis says."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.facts import Facts
from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.first_signs import FirstSigns
from reviewer.questions.state_signs import Look, StateSigns
from reviewer.reading import read_text
from reviewer.reports.checklists.words import card_lines
from tests.test_overloaded_alternators import METERED

#: a lithium battery that takes all that is left of 30 A, and a breaker that sheds the lights
LITHIUM = (
    METERED.replace("chemistry: lead-acid", "chemistry: lithium-iron-phosphate")
    .replace("rating: 50 A, set-point", "rating: 30 A, set-point")
    .replace("{alternator-switch: down, lights-breaker: pulled}", "{lights-breaker: pulled}")
    .replace("displayed-on: meter}\n", "displayed-on: meter%s}\n")
)


def cards_with(alarm: str) -> tuple[Facts, dict[str, ChecklistCard]]:
    """By element, the card of its being open."""
    facts = Facts(read_text(LITHIUM % (20, "", alarm), "lithium.yaml"))
    answer = checklists(TroubleShooting(facts))
    return facts, {f.element: c for c in answer.cards for f in c.outcomes if f.mode == OPEN}


def notice_of(facts: Facts) -> tuple[str, float] | None:
    """What the load analysis says of the loss of the alternator."""
    found = facts.detection.alarm_after("parts/alternator")
    return None if found is None else (found.monitor, found.seconds)


def test_an_alarm_that_a_recharge_sets_off_too_is_the_sign_of_the_loss() -> None:
    facts, cards = cards_with(", alarm-below: 13.7 V")
    assert notice_of(facts) == ("volts", 0.0)
    signs = StateSigns(facts, facts.states.answer("cruise"), [])
    (sound,) = signs.seen(signs.monitor("volts"))
    assert sound is not None and sound[0] < 13.7 < sound[1]  # a flat battery holds the bus down
    lost, false = cards["parts/alternator"], cards["wires/high-1"]
    assert (lost.sign.name, lost.by, lost.unalarmed, lost.shed) == ("volts", -1, False, ("shed",))
    assert lost.seen is not None and lost.seen[1] <= 13.7
    # the ammeter reads the same, and nothing is lost: a reading that is false has a card of its own
    assert false is not lost and false.sign.name == "amps" and not false.shed and not false.limited


def test_an_alarm_that_comes_later_counts_from_then_on_the_card_too() -> None:
    facts, cards = cards_with(", alarm-below: 12.9 V")
    name, seconds = notice_of(facts) or ("", 0.0)
    assert name == "volts" and seconds > 60
    lost = cards["parts/alternator"]
    assert lost.sign.name == "amps" and not lost.unalarmed
    # the field of the card's other causes is off: the battery holds the volts up for longer
    assert lost.alarm is not None and lost.alarm.monitor == name and seconds <= lost.alarm.seconds
    at_once = cards_with(", alarm-below: 13.7 V")[1]["parts/alternator"]
    (sooner,), (later,) = at_once.limited, lost.limited
    assert sooner.unattended == later.unattended < (later.attended or 0) < (sooner.attended or 0)
    said = " ".join(line.text for line in card_lines(facts.design, lost))
    assert "begun at the alarm of volts" in said and "no alarm is sure" not in said


def test_an_alarm_that_comes_too_late_to_help_is_none_in_time() -> None:
    facts, cards = cards_with(", alarm-below: 12.7 V")
    lost = cards["parts/alternator"]
    assert notice_of(facts) and lost.shed and lost.unalarmed and lost.alarm is None
    assert "sure to ring in time" in " ".join(line.text for line in card_lines(facts.design, lost))


@pytest.mark.parametrize("alarm", ["", ", alarm-below: 14.5 V"])
def test_without_an_alarm_or_with_one_that_is_on_in_flight_nothing_is_promised(alarm: str) -> None:
    facts, cards = cards_with(alarm)
    assert notice_of(facts) is None
    lost = cards["parts/alternator"]
    assert lost.sign.name == "amps" and lost.unalarmed and lost.alarm is None


def test_limits_of_a_case_have_its_reading_within_them_and_only_such_beyond_an_alarm_are_solved(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What decides which limits are solved: every case is solved here, as if none were left out."""
    facts = Facts(read_text(LITHIUM % (20, "", ", alarm-below: 13.7 V"), "lithium.yaml"))
    signs = TroubleShooting(facts).signs
    read = [s for s in signs.signs if s.look is Look.MONITOR and not facts.detection.meters[s.name].lamp]
    within, beyond = 0, set()
    for lane, case in enumerate(signs.cases[:-1]):
        for sign in read:
            now = signs.reading(sign.name, lane)
            limits = facts.detection.limits_after(sign.name, failures_of(case))
            if now is None or now.blank or limits is None:
                continue
            within += 1
            assert limits.holds(now.value), (sign.name, case)
            if sign.name == "volts" and limits.ends[1] < 13.7:
                beyond.add(lane)
    assert within > 100
    assert beyond
    asked: list[tuple[str, tuple[object, ...]]] = []
    limits_after = signs.facts.detection.limits_after

    def noted(monitor: str, case: tuple[object, ...]) -> object:
        asked.append((monitor, case))
        return limits_after(monitor, case)

    fresh = TroubleShooting(facts).signs
    volts = fresh.monitor("volts")
    usual = fresh.seen(volts)  # asks for what it shows itself
    monkeypatch.setattr(facts.detection, "limits_after", noted)
    first = FirstSigns(facts, fresh)
    rings = {lane for lane in range(len(usual) - 1) if first.alarmed(volts, lane)}
    surely = {lane for lane, seen in enumerate(usual) if seen is not None and seen[1] < 13.7}
    assert rings == beyond | surely
    lanes = {failures_of(case): lane for lane, case in enumerate(fresh.cases)}
    assert asked
    for monitor, case in asked:
        now = fresh.reading(monitor, lanes[case])
        assert now is not None and now.value < 13.7


#: an ignition on its own battery, a second one that the alternator's bus charges, and a switch between them
TWO_SOURCES = """
format: 1
aircraft: {name: Two sources, nominal: 14 V, airframe: composite, stage: concept, min-temperature: -10 C}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 18 Ah, internal-resistance: 0.01 ohm, max-charge-current: 40 A}
  second: {kind: battery, chemistry: lead-acid, capacity: 9 Ah, internal-resistance: 0.02 ohm, max-charge-current: 20 A}
  contactor: {kind: contactor, coil: [battery, minus], contacts: {main: {kind: make, joins: [battery, load]}}, coil-current: 0.5 A}
  master: {kind: switch, positions: {down: [], up: [[coil, ground]]}, normal: up}
  alternator: {kind: alternator, excitation: permanent-magnet, rating: 40 A, set-point: 14.2 V, smoothing-capacitor: capacitor}
  capacitor: {kind: capacitor, capacitance: 22 mF}
  charge-diode: {kind: diode, duty: isolation, protects: second, rating: 40 A, drop: 0.5 V}
  source: {kind: switch, positions: {first: [[first, out]], second: [[second, out]]}, normal: first, transfer: break-before-make}
  bus: {kind: bus}
  ground: {kind: ground-block}
  meter: {kind: instrument, current: 0.2 A, minimum: 9 V, maximum: 32 V, inputs: {volts: {signal: volts-in, resistance: 100 kohm}}, signal-returns: joined}
circuits:
  one: battery.positive > contactor.battery/battery > source.first
  two: contactor.load > bus
  three: alternator.output > bus
  four: alternator.output > capacitor.positive
  five: capacitor.negative > ground
  six: bus > charge-diode > second.positive > source.second
  seven: source.out > ignition (5 A, electronic, 8 to 32 V) > ground
  eight: bus > meter.supply
  nine: battery.positive > meter.volts-in
  ten: contactor.minus > master > ground
  eleven: battery.negative > ground
  twelve: second.negative > ground
  thirteen: alternator.ground > ground
  fourteen: meter.return > ground
functions:
  engine-runs: {any: 1, of: [ignition], loss: catastrophic}
operation:
  normal: cruise
  states: {cruise: {engine: running}}
  ACTIONS
watch:
  monitors: {volts: {shows: voltage, senses: battery.positive, displayed-on: meter}}
"""


@pytest.mark.parametrize("action", [True, False])
def test_a_change_over_is_on_the_card_where_nothing_is_to_shed_and_no_alarm_comes_in_time(
    action: bool,
) -> None:
    """The contactor opens: the alternator charges the battery no more that the ignition is on."""
    change = "actions: {to-second: {move: {source: second}, time: 10 s}}" if action else ""
    text = TWO_SOURCES.replace("ACTIONS", change).replace(" > ", " > 10 AWG 0.5 m > ")
    facts = Facts(read_text(text, "two.yaml"))
    cards = {
        f.element: c for c in checklists(TroubleShooting(facts)).cards for f in c.outcomes if f.mode == OPEN
    }
    (ends,) = cards["parts/contactor"].limited
    said = " ".join(line.text for line in card_lines(facts.design, cards["parts/contactor"]))
    assert not cards["parts/contactor"].shed and ends.unattended > 3600
    assert [move.actions for move in ends.later] == (["to-second"] if action else [])
    assert ("source ... SECOND" in said and "no alarm is sure to ring in time" in said) is action
