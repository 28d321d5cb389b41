"""A failure that asks for more than the alternator gives: the card computes the minutes, is an emergency where a critical function goes, and says what takes the load off."""

from __future__ import annotations

from dataclasses import replace
from math import inf, isinf

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.endurance.failure_endurance import LimitedFunction
from reviewer.analysis.endurance.generation_loss import LaterMove
from reviewer.analysis.facts import Facts
from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.checklist_minutes import _worse
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.reading import read_text
from reviewer.reports.checklists.words import card_lines, minutes_words

DRAWING = """
format: 1
aircraft: {name: Starter, nominal: 14 V, airframe: metal, stage: concept, min-temperature: -10 C}
circuits:
  battery: battery.positive > 4 AWG 0.3 m > contactor.battery
  ground: ground > 4 AWG 0.3 m > battery.negative
  master: contactor.coil-minus > 22 AWG 1 m > switch 10 A MASTER (positions down/up) > 22 AWG 0.4 m > ground
  cable: contactor.load > 2 AWG 1 m > starter-contactor.line
  motor: starter-contactor.load > 2 AWG 0.5 m > starter (%s A, starter, 6 to 16 V) > 2 AWG 0.5 m > ground
  start: bus > 20 AWG 0.1 m > breaker 5 A STARTER (in-flight) > 20 AWG 0.3 m > switch start-button 15 A START (momentary start, positions released/start) > 20 AWG 2 m > starter-contactor.coil-plus
  start-return: starter-contactor.coil-minus > 20 AWG 0.3 m > ground
  charge: alternator.output > 6 AWG 1 m > limiter 60 A ALT (on-ground) > 6 AWG 1 m > contactor.load
  alternator-ground: alternator.ground > 6 AWG 0.3 m > ground
  feed: contactor.load > 6 AWG 1 m > limiter 60 A BUS (on-ground) > 6 AWG 1 m > bus
  field: bus > 20 AWG 0.1 m > breaker 5 A ALT FIELD (in-flight) > 20 AWG 0.3 m > switch alternator-switch 10 A ALT (positions down/up) > 20 AWG 2 m > alternator.field
  ignition: bus > 20 AWG 0.1 m > breaker 5 A IGNITION (in-flight) > 20 AWG 2 m > ignition (6 A, electronic, 9 to 16 V) > 20 AWG 1 m > ground
  lights: bus > 20 AWG 0.1 m > breaker 5 A LIGHTS (in-flight) > 20 AWG 2 m > lights (2 A, electronic, 9 to 16 V) > 20 AWG 1 m > ground
parts:
  battery: {kind: battery, purpose: main, chemistry: lead-acid, capacity: 20 Ah, internal-resistance: 0.007 ohm}
  alternator: {kind: alternator, excitation: field, rating: 50 A, set-point: 14.4 V, regulator: internal, regulator-senses: output}
  contactor: {kind: contactor, coil: [battery, coil-minus], contacts: {main: {kind: make, joins: [battery, load]}}, coil-current: 0.6 A, pickup-voltage: 9 V, dropout-voltage: 4 V}
  starter-contactor: {kind: contactor, coil: [coil-plus, coil-minus], contacts: {main: {kind: make, joins: [line, load]}}, coil-current: 4 A, pickup-voltage: 9 V, dropout-voltage: 4 V}
  bus: {kind: bus}
  ground: {kind: ground-block}
functions:
  spark: {any: 1, of: [ignition], loss: catastrophic}
  light: {any: 1, of: [lights], loss: minor}
operation:
  normal: cruise
  recognition-time: 2 min
  states:
    cruise: {use: flight, engine: running, switches: {master-switch: up, start-button: released, alternator-switch: up}}
"""


def welded(amperes: int, state: str = "cruise") -> tuple[Facts, ChecklistCard]:
    facts = Facts(read_text(DRAWING % amperes, "starter.yaml"))
    answer = checklists(TroubleShooting(facts, state))
    return facts, next(
        c
        for c in answer.cards
        if any(f.element == "parts/starter-contactor" and c.unwanted for f in c.outcomes)
    )


def test_a_starter_that_the_alternator_cannot_carry_has_its_minutes_and_is_an_emergency() -> None:
    facts, card = welded(140)
    (spark,) = card.limited
    assert card.emergency and card.overloaded and spark.function == "spark"
    # about 100 A of a 20 Ah battery, aged and cold
    assert 60 < spark.unattended < 12 * 60
    said = " ".join(line.text for line in card_lines(facts.design, card))
    assert "the batteries discharge" in said and "not computed. Missing data: `time`" in said
    # the button may have stuck: its breaker costs nothing; a weld is left to what it would cost
    assert [step.may_stop for step in card.steps] == [("parts/starter",)]
    assert card.steps[0].moves == (("start-breaker", "pulled"),) and not card.steps[0].stops
    assert "starter still on at worst; the first function ends after" in said


def test_a_starter_that_the_alternator_carries_limits_nothing() -> None:
    facts, card = welded(20)
    assert not card.limited and not card.overloaded and not card.emergency and not card.needs
    assert "spark" in card.unlimited
    assert not any("not computed" in line.text for line in card_lines(facts.design, card))


@pytest.mark.parametrize("amperes", [28, 60])
def test_what_is_limited_is_what_discharges_a_battery(amperes: int) -> None:
    """The margin of 50 A: the loads take 8 to 13 A."""
    facts, card = welded(amperes)
    failures = tuple(f for f in card.outcomes if f.element == "parts/starter-contactor")
    given = facts.points.operating_point("cruise", None, failures).given["parts/battery"]
    assert (given > 1) == any(not isinf(one.unattended) for one in card.limited) == (amperes == 60)


#: with an ammeter and a voltmeter, and the ignition and the alternator grounded on an engine of its own strap
METERED = (
    DRAWING.replace("lights (2 A", "lights (12 A")
    .replace("breaker 5 A LIGHTS", "breaker 15 A LIGHTS")
    .replace(
        "charge: alternator.output > 6 AWG 1 m > limiter 60 A ALT (on-ground) > 6 AWG 1 m > contactor.load",
        "charge: alternator.output > 6 AWG 1 m > limiter 60 A ALT (on-ground) > 6 AWG 1 m > shunt.line\n"
        "  charge-2: shunt.load > 6 AWG 1 m > contactor.load\n"
        "  high: shunt.line > 22 AWG 1 m > meter.amps-high\n"
        "  low: shunt.load > 22 AWG 1 m > meter.amps-low\n"
        "  volts: bus > 22 AWG 0.1 m > breaker 1 A VOLTS (in-flight) > 22 AWG 1 m > meter.bus-volts\n"
        "  meter: bus > 22 AWG 0.1 m > breaker 2 A METER (in-flight) > 22 AWG 1 m > meter.supply\n"
        "  meter-return: meter.return > 22 AWG 1 m > ground\n"
        "  strap: engine.strap > 4 AWG 0.4 m > ground",
    )
    .replace(
        "alternator.ground > 6 AWG 0.3 m > ground", "alternator.ground > 6 AWG 0.3 m > engine.alternator"
    )
    .replace(
        "ignition (6 A, electronic, 9 to 16 V) > 20 AWG 1 m > ground",
        "ignition (6 A, electronic, 9 to 16 V) > 20 AWG 1 m > engine.ignition",
    )
    .replace(
        "parts:\n",
        "parts:\n  engine: {kind: airframe, material: metal}\n  shunt: {kind: shunt, rating: 100 A}\n"
        "  meter: {kind: instrument, current: 0.2 A, minimum: 8 V, maximum: 32 V, inputs: {high: {signal: amps-high, return: amps-low}, low: {signal: amps-low}, volts: {signal: bus-volts}}}\n",
        1,
    )
    .replace(
        "  recognition-time: 2 min\n",
        "  recognition-time: 2 min\n  load-shedding: [shed]\n  actions:\n    shed: {move: {alternator-switch: down, lights-breaker: pulled}, time: 10 s}\n",
    )
    + "watch:\n  monitors:\n    amps: {shows: current, senses: shunt, displayed-on: meter, indicates: alternator-output%s}\n"
    + "    volts: {shows: voltage, senses: meter.bus-volts, displayed-on: meter}\n"
)


def cards_of(alarm: str, text: str = METERED) -> dict[str, ChecklistCard]:
    """By element, the card of its being open."""
    answer = checklists(TroubleShooting(Facts(read_text(text % (20, alarm), "metered.yaml"))))
    return {f.element: c for c in answer.cards for f in c.outcomes if f.mode == OPEN}


def test_an_alternator_that_may_work_is_not_turned_off_for_a_reading_that_may_be_false() -> None:
    """With the ammeter alone, an open sense lead reads as an alternator that is lost; a voltmeter tells the two apart."""
    volts = "    volts: {shows: voltage, senses: meter.bus-volts, displayed-on: meter}\n"
    apart, alike = (cards_of(", alarm-below: 3 A", t) for t in (METERED, METERED.replace(volts, "")))
    assert apart["parts/alternator"] is not apart["wires/high-1"]
    assert apart["parts/alternator"].shed == ("shed",) and not apart["wires/high-1"].shed
    card = alike["parts/alternator"]
    assert card is alike["wires/high-1"] and not card.shed
    (barred,) = [one for one in card.prohibited if one.turns_off]
    assert barred.turns_off == ("parts/alternator",) and not barred.always
    assert {"alternator-switch", "lights-breaker"} == set(dict(barred.moves))
    design = read_text(METERED % (20, ""), "metered.yaml")
    said = " ".join(line.text for line in card_lines(design, card))
    assert "may turn alternator off, which works" in said


def test_an_ammeter_that_alarms_is_a_first_sign_and_the_crew_begins_to_shed_then() -> None:
    silent, rings = cards_of("")["parts/alternator"], cards_of(", alarm-below: 3 A")["parts/alternator"]
    assert silent.sign == rings.sign and rings.sign.name == "amps" and rings.by < 0
    # what it reads with the alternator lost, as solved
    assert rings.seen is not None and rings.seen[0] <= 0 <= rings.seen[1] < 3
    assert silent.unalarmed and not rings.unalarmed and silent.shed == rings.shed == ("shed",)
    (before,), (after,) = silent.limited, rings.limited
    assert before.unattended == after.unattended < (after.attended or 0) == before.attended
    # what nothing is sure to show is promised for the time in which nothing is done
    design = read_text(METERED % (20, ""), "metered.yaml")
    said, sure = ([line.text for line in card_lines(design, card)] for card in (silent, rings))
    assert any("if it is seen at once: no alarm is sure to ring in time" in line for line in said)
    assert not any("seen at once" in line for line in sure)
    assert said[-1].endswith(minutes_words(before.unattended))
    assert sure[-1].endswith(minutes_words(after.attended or 0))


def test_what_the_shed_plan_would_take_after_some_failures_only_has_a_card_of_its_own() -> None:
    """The alternator feeds the ignition through the engine as long as it gives, with the strap off."""
    cards = cards_of(", alarm-below: 3 A")
    lost, strap = cards["parts/alternator"], cards["wires/strap-1"]
    assert lost is not strap and lost.shed == ("shed",)
    assert not any("alternator-switch" in dict(one.moves) for one in lost.prohibited)
    assert not strap.shed
    (barred,) = [one for one in strap.prohibited if dict(one.moves) == {"alternator-switch": "down"}]
    assert "spark" in barred.loses


def test_of_two_causes_the_less_time_counts_and_what_either_needs_is_done() -> None:
    first = LaterMove("second-pump", 1100.0, "pump", "bus-volts", 11.0)
    later = LaterMove("second-pump", 1300.0, "coil", "bus-volts", 11.5)
    one = LimitedFunction("spark", 500.0, inf, (first,))
    other = LimitedFunction("spark", 900.0, 24000.0)
    assert _worse(one, other) == LimitedFunction("spark", 500.0, 24000.0, (first,))
    assert _worse(other, one).later == (first,)
    both = _worse(one, replace(other, later=(later,))).later
    assert both == (replace(first, volts=11.5),)  # at its earliest, at the higher reading


#: the engine has magnetos, the attitude indicator a battery of its own, and a drill turns all off
DRILL = (
    DRAWING.replace(
        "lights (2 A, electronic, 9 to 16 V)", "instrument lights (2 A, 9 to 16 V, internal-battery %s)"
    )
    .replace(
        "spark: {any: 1, of: [ignition], loss: catastrophic}", "spark: {any: 1, of: [ignition], loss: minor}"
    )
    .replace("light: {any: 1, of: [lights], loss: minor}", "light: {any: 1, of: [lights], loss: major}")
    .replace(
        "  states:\n",
        "  endurance: 30 min\n"
        "  actions: {drill: {move: {alternator-switch: down, master-switch: down}, time: 10 s}}\n  states:\n",
        1,
    )
)


@pytest.mark.parametrize(("inside", "stopped"), [("45 min", True), ("20 min", False)])
def test_a_welded_starter_is_stopped_where_what_is_left_lasts_for_the_endurance(
    inside: str, stopped: bool
) -> None:
    """A major function goes on from its own battery for the 30 min, or not; common practice, no published source."""
    facts = Facts(read_text(DRILL.replace("%s A, starter", "140 A, starter") % inside, "drill.yaml"))
    card = next(
        c
        for c in checklists(TroubleShooting(facts, "cruise")).cards
        if any(f.element == "parts/starter-contactor" and c.unwanted for f in c.outcomes)
    )
    assert any("parts/starter" in step.stops and step.action == "drill" for step in card.steps) == stopped
