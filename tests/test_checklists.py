"""Every claim of a checklist is applied in the network: what is lost, what each action restores, stops, costs and ties, what is left, and for how long.

The plain evaluator answers for logic, one cause and one move after another; the load analysis for minutes.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import permutations
from math import inf, isinf
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import jsonschema
import pytest
from click.testing import CliRunner

from reviewer.analysis.conduction.failure_modes import FULL_ON, OPEN, Failure
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.crew.course_choice import ChosenStep, made_moves, prohibitions
from reviewer.analysis.crew.moves import moved
from reviewer.analysis.endurance.failure_endurance import LimitedFunction
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.analysis.facts import Facts
from reviewer.analysis.paths.reverse_feed import own_alternators, possible_ties
from reviewer.cli.main import commands
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.budget import budget_of
from reviewer.questions.checklist_cards import ChecklistCard, Checklists
from reviewer.questions.checklist_groups import SameCards
from reviewer.questions.checklist_minutes import CardMinutes
from reviewer.questions.checklist_state import ChecklistState
from reviewer.questions.checklists import _Checklists, checklists
from reviewer.questions.diagnosis import TroubleShooting, lanes_by_pattern
from reviewer.questions.state_signs import Look, Sign
from reviewer.questions.symptoms import Reported
from reviewer.reading import read_design, read_text
from reviewer.reports.checklists.text import COLUMNS, LINES, placard
from reviewer.reports.checklists.words import DEFERS, card_lines, heading, indication_words, title
from reviewer.reports.checklists.words import _steps as step_lines
from reviewer.reports.diagnosis.words import seen_words
from reviewer.reports.wording import SHORT_CAUTION
from tests.analysis.crew.test_moves_against_plain import Left, left, move_on
from tests.document_schemas import document_schema
from tests.edits import edited
from tests.oracle import plain
from tests.oracle.circuit import Circuit, circuit_of
from tests.oracle.engine import fault_of
from tests.oracle.plain import Fault, solve, working
from tests.thinned import some_of, thinned

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))
AIRCRAFT = sorted((ROOT / "tests" / "aircraft").glob("*.design.yaml"))
TOURER = ROOT / "examples" / "tourer.design.yaml"
FAULTED = ROOT / "examples" / "faulted-tourer.design.yaml"
ESSENTIAL = ROOT / "tests" / "aircraft" / "28v-essential.design.yaml"


@cache
def solved(path: Path) -> tuple[TroubleShooting, Checklists]:
    shooting = TroubleShooting(Facts(read_design(path)))
    return shooting, checklists(shooting)


class Plain:
    """A cause of a card in the plain evaluator, followed through moves."""

    def __init__(self, facts: Facts, circuit: Circuit, state: ResolvedState, failure: Failure):
        self.design, self.network, self.circuit, self.state = facts.design, facts.network, circuit, state
        self.case = (
            fault_of(self.network, failure),
            *(Fault(element, plain.OPEN) for element in sorted(failure.opened)),
        )
        healthy = solve(circuit, state)
        self.now: Left = left(circuit, state, self.case, solve(circuit, state, self.case, healthy), healthy)

    def move(self, moves: tuple[tuple[str, str], ...]) -> None:
        self.state, done = moved(self.design, self.state, dict(moves))
        self.now = move_on(self.circuit, self.state, done, self.case, self.now)

    def after(self, moves: tuple[tuple[str, str], ...]) -> tuple[Left, dict[str, bool]]:
        """What some moves would do, without making them."""
        state, done = moved(self.design, self.state, dict(moves))
        there = move_on(self.circuit, state, done, self.case, self.now)
        return there, working(self.design, there.answer.powered)

    @property
    def works(self) -> dict[str, bool]:
        return working(self.design, self.now.answer.powered)


def tied(facts: Facts, answer: plain.Answer) -> set[tuple[str, str]]:
    """The sources of which one feeds the other though it must not."""
    normal = facts.states.answers()[0]
    own = own_alternators(facts.design, facts.network, normal)
    found = set()
    for source, other, both in possible_ties(facts.design, facts.network, own):
        into = facts.network.names[other.positive] in answer.fed[source.element]
        back = facts.network.names[source.positive] in answer.fed[other.element]
        if answer.alive[source.element] and into and (back or not both):
            found.add((source.element, other.element))
    return found


def wrong_claims(path: Path, step: int) -> Iterator[str]:
    """What the cards of a design claim and the plain evaluator denies, for every so many causes; as "" each cause that was looked at."""
    shooting, answer = solved(path)
    facts, state = shooting.facts, shooting.answer.state
    circuit = circuit_of(facts.design)
    usual = working(facts.design, solve(circuit, state).powered)
    for number, card in enumerate(answer.cards, 1):
        lost = {name for name, _ in card.lost}
        for failure in thinned(card.outcomes, step):
            one = Plain(facts, circuit, state, failure)
            if one.now.answer.unsettled:
                continue
            yield ""
            said = f"card {number}, {failure.element} {failure.words(facts.network)}"
            gone = {f for f, on in one.works.items() if usual[f] and not on}
            if gone - lost:
                yield f"{said}: {sorted(gone - lost)} lost, not told"
            for done in card.steps:
                before, ties = one.works, tied(facts, one.now.answer)
                one.move(done.moves)
                after = one.works
                if not all(after[f] for f in done.restores):
                    yield f"{said}: {done.action} does not restore {done.restores}"
                yield from _taken(
                    facts, card, said, {f for f in usual if usual[f] and before[f] and not after[f]}
                )
                if costs := {f for f, on in before.items() if on and not after[f]} - set(done.costs):
                    yield f"{said}: {done.action} costs {sorted(costs)}"
                runs = {**one.now.answer.powered, **one.now.answer.alive}
                if any(runs[e] for e in done.stops):
                    yield f"{said}: {done.action} does not stop {done.stops}"
                if tied(facts, one.now.answer) - ties:
                    yield f"{said}: {done.action} ties sources"
            if still := {f for f, on in one.works.items() if usual[f] and not on} - set(card.left):
                yield f"{said}: {sorted(still)} left lost, not told"
            if dead := [f for f in card.unlimited if usual[f] and not one.works[f]]:
                yield f"{said}: {dead} do not work"
            before, ties = one.works, tied(facts, one.now.answer)
            for action in card.shed:
                one.move(tuple(facts.states.operation.actions[action].move.items()))
            grave = [f for f in before if _hazard(facts, f) >= HazardClass.MAJOR]
            if shed := [f for f in grave if before[f] and not one.works[f]]:
                yield f"{said}: the shed plan costs {shed}"
            if tied(facts, one.now.answer) - ties:
                yield f"{said}: the shed plan ties sources"


def _taken(facts: Facts, card: ChecklistCard, said: str, lost: set[str]) -> Iterator[str]:
    """What a step may not lose, of what the sound state has; an alternator at full field is stopped at any cost."""
    if grave := [f for f in lost if _hazard(facts, f) >= HazardClass.HAZARDOUS and not card.overvoltage]:
        yield f"{said}: a step takes {grave}"


def _hazard(facts: Facts, function: str) -> HazardClass:
    return HazardClass.of(facts.design.functions[function].loss)


def test_what_the_cards_of_the_tourer_claim_is_so() -> None:
    found = list(wrong_claims(TOURER, 19))
    assert found.count("") > 30 and not any(found), [one for one in found if one]


@pytest.mark.long
@pytest.mark.parametrize(
    "path",
    some_of([*EXAMPLES, *AIRCRAFT], {*EXAMPLES, *AIRCRAFT} - {FAULTED}),
    ids=lambda path: path.name.partition(".")[0],
)
def test_what_every_card_claims_is_so(path: Path) -> None:
    found = list(wrong_claims(path, 15 if path in AIRCRAFT else 5 if "tourer" in path.name else 1))
    least = 0 if path.name.startswith("first") else 20 if path in EXAMPLES else 5
    assert found.count("") > least and not any(found), [one for one in found if one]


def forbidden(path: Path) -> Iterator[tuple[str, bool]]:
    """Each prohibited move and each breaker that is not to be reset, with whether the plain evaluator finds the harm after some cause."""
    shooting, answer = solved(path)
    facts, state = shooting.facts, shooting.answer.state
    circuit = circuit_of(facts.design)
    for card in answer.cards:
        if not card.prohibited and not any(one.retrips for one in card.resets):
            continue
        causes = []
        for failure in card.outcomes:
            one = Plain(facts, circuit, state, failure)
            opened = {bare(e) for e in one.now.opened}
            for reset in card.resets:
                if reset.retrips and reset.protector in opened:
                    again, _ = one.after(((reset.protector, "in"),))
                    yield f"reset {reset.protector}", f"parts/{reset.protector}" in again.opened
            for step in card.steps:
                one.move(step.moves)
            causes.append(one)
        for prohibited in card.prohibited:
            for function in prohibited.loses:
                harms = any(
                    one.works[function] and not one.after(prohibited.moves)[1][function] for one in causes
                )
                yield f"{prohibited.moves} loses {function}", harms
            for pair in prohibited.ties:
                there = any(pair in tied(facts, one.after(prohibited.moves)[0].answer) for one in causes)
                yield f"{prohibited.moves} ties {pair}", there


@pytest.mark.long
@pytest.mark.parametrize("path", [TOURER, *AIRCRAFT[::2]], ids=lambda path: path.name.partition(".")[0])
def test_what_is_not_to_be_done_does_harm(path: Path) -> None:
    found = dict[str, bool]()
    for what, harms in forbidden(path):
        found[what] = found.get(what, False) or harms
    assert found and all(found.values()), [what for what, harms in found.items() if not harms]


def test_the_minutes_after_the_loss_of_generation_are_those_of_the_load_analysis() -> None:
    shooting, answer = solved(TOURER)
    lost = Failure("parts/alternator", OPEN)
    card = next(c for c in answer.cards if any((lost,) in cause.cases for cause in c.causes))
    assert card.emergency and card.sign.name == "bus-volts" and card.shed
    for one in card.limited:
        known = shooting.facts.detection.function_endurance(one.function)
        # of all that look like the loss of the alternator the worst counts, which is no better than it
        assert 0 <= known.unattended - one.unattended < 60, one
        assert one.attended is not None and 0 <= known.seconds - one.attended < 60, one


@pytest.mark.long
@pytest.mark.parametrize(
    "path", some_of([TOURER, ESSENTIAL], [TOURER]), ids=lambda path: path.name.partition(".")[0]
)
def test_no_cause_of_a_card_leaves_less_time_than_the_card_says(path: Path) -> None:
    shooting, answer = solved(path)
    facts, looked_at = shooting.facts, 0
    for card in answer.cards:
        least = {one.function: one for one in card.limited}
        failures = card.outcomes if least else ()
        minutes = CardMinutes(facts, shooting.answer, [(f,) for f in failures])
        notice = LossNotice(card.sign.name, 0.0)
        done = tuple(step.action for step in card.steps), card.shed, notice
        if any(
            step.by_hand for step in card.steps
        ):  # of a step that is no action of the file no time is known
            done = (), (), None
        for case in thinned(minutes._lasting, 5 if path == TOURER else 15):
            for flown in facts.points.flown_in([answer.state]):
                found = facts.endurance.limited_functions(case, flown.phase, *done)
                for function, one in found.items():
                    if not isinf(one.unattended) and one.unattended > 0:
                        looked_at += 1
                        assert function in least, (card.sign, function)
                        assert least[function].unattended <= one.unattended + 1, (card.sign, case, one)
    assert looked_at > (20 if path == TOURER else 0)


@pytest.mark.long
@pytest.mark.parametrize(
    "path", some_of([TOURER, ESSENTIAL], [TOURER]), ids=lambda path: path.name.partition(".")[0]
)
def test_cards_are_the_same_after_the_load_analysis(path: Path) -> None:
    """The folder asks for it first, `reviewer checklists` does not. What searches for actions shared stands apart:
    in ``tests/analysis/crew/test_recovery.py``."""
    facts = Facts(read_design(path))
    budget_of(facts)
    after, alone = checklists(TroubleShooting(facts)).cards, solved(path)[1].cards
    assert [(one.sign, one.steps, one.limited) for one in after] == [
        (one.sign, one.steps, one.limited) for one in alone
    ]


def test_every_indication_has_a_card_or_is_named_as_having_none() -> None:
    for path in (TOURER, ROOT / "examples" / "sketch.design.yaml", ROOT / "examples" / "first.design.yaml"):
        shooting, answer = solved(path)
        signs = shooting.signs.signs
        assert {one.sign for one in answer.indications} == set(signs)
        told = {(one.sign, one.by) for one in answer.indications}
        for shown in lanes_by_pattern(shooting.signs):
            assert {(s, by) for s, by in zip(signs, shown, strict=True) if by} <= told
        assert all(bool(one.cards) != bool(one.why) for one in answer.indications)
        assert {n for one in answer.indications for n in one.cards} == set(range(1, len(answer.cards) + 1))
        in_order = [card.hazard for card in answer.cards]
        assert in_order == sorted(in_order, reverse=True)


@pytest.mark.parametrize(
    "path",
    [TOURER, pytest.param(ESSENTIAL, marks=pytest.mark.long)],
    ids=lambda path: path.name.partition(".")[0],
)
def test_cards_with_one_first_sign_are_told_apart_by_their_headings(path: Path) -> None:
    """What a heading adds is seen after every cause of its card and after none of the other; else the card says that nothing tells it."""
    shooting, answer = solved(path)
    design, signs = shooting.facts.design, shooting.signs
    of = {failures_of(case)[0]: i for i, case in enumerate(signs.cases) if failures_of(case)}
    begun: dict[str, list[int]] = {}
    for number, card in enumerate(answer.cards, 1):
        begun.setdefault(title(design, card), []).append(number)
    assert max(map(len, begun.values())) > 2
    for numbers in begun.values():
        for one, other in permutations(numbers, 2):
            card, against = answer.cards[one - 1], answer.cards[other - 1]
            if other in card.not_apart:
                assert one in against.not_apart
                assert f"card {other}" in " ".join(
                    line.text for line in card_lines(design, card) if line.head == "ALSO"
                )
                continue
            told = False
            for sign, seen in (
                *card.apart,
                *([(card.sign, card.seen)] if card.sign.look is Look.MONITOR else []),
            ):
                low, high = seen or (-inf, inf)
                theirs = [signs.seen(sign)[of[failure]] for failure in against.outcomes]
                told = told or all(their and (their[1] < low or their[0] > high) for their in theirs)
            assert told and heading(design, card) != heading(design, against), (one, other)


def test_a_card_fits_a_placard_and_defers_to_the_approved_documents() -> None:
    shooting, answer = solved(TOURER)
    for number, card in enumerate(answer.cards, 1):
        lines = placard(shooting.facts.design, number, card)
        assert len(lines) <= LINES and max(map(len, lines)) <= COLUMNS
        text = " ".join(" ".join(lines).split())
        assert DEFERS in text and SHORT_CAUTION in text
        assert lines[0].startswith("EMERGENCY" if card.emergency else "ABNORMAL")


def test_load_is_not_shed_where_that_would_cost_the_radio_that_is_left() -> None:
    shooting, answer = solved(TOURER)
    dark = card_of(answer, "parts/main-bus")
    assert "shed-second-set" not in dark.shed
    moves = dict(next(one for one in dark.prohibited if "communication" in one.loses).moves)
    assert moves["radio-2-switch"] == "down"
    alternator = card_of(answer, "parts/alternator")
    assert "shed-second-set" in alternator.shed
    # it is not shed where the field breaker, pushed in once, brings the alternator back
    lines = [line.text for line in card_lines(shooting.facts.design, alternator) if line.number]
    assert lines[0].startswith("If ALT FIELD is open: ALT FIELD BREAKER ... IN ONCE for alternator")
    assert len(lines) > 1 and all(line.startswith("Unless alternator is back: ") for line in lines[1:])
    assert not any("communication" in one.loses for one in alternator.prohibited)


ONE_BUS = """
format: 1
aircraft: {name: One bus, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 18 Ah}
  alternator: {kind: alternator, rating: 40 A, idle-output: 15 A, set-point: 14.2 V, regulator: internal}
  shunt: {kind: shunt, rating: 50 A}
  main-bus: {kind: bus}
  ground: {kind: ground-block}
  master: {kind: switch, positions: {down: [], up: [[line, load]]}}
  monitor: {kind: instrument, current: 0.4 A, minimum: 8 V, inputs: {volts: {signal: volts-in, resistance: 100 kohm}, amps: {signal: high, return: low}, low: {signal: low}}}
circuits:
  feed: battery.positive > master.line
  bus: master.load > main-bus
  negative: battery.negative > ground
  frame: alternator.ground > ground
  output: alternator.output > shunt.line
  output-2: shunt.load > main-bus
  field: main-bus + breaker 5 A FIELD > switch 5 A ALT (positions down/up) > alternator.field
  monitor: main-bus + breaker 2 A MONITOR > monitor > ground
  volts: main-bus > fuse 1 A VOLTS > monitor.volts-in
  high: shunt.line > fuse 1 A HIGH > monitor.high
  low: shunt.load > fuse 1 A LOW > monitor.low
  strobe: main-bus + breaker 5 A STROBE > switch 5 A STROBES (positions down/up) > strobe (2 A, electronic, minimum 9 V) > ground
functions: {strobes: {any: 1, of: [strobe], loss: minor}}
operation:
  normal: cruise
  load-shedding: [shed]
  states: {cruise: {engine: running, switches: {master: up, field-switch: up, strobe-switch: up}}}
  actions: {shed: {move: {field-switch: down, strobe-switch: down}, label: ALT AND STROBE ... OFF, disconnects: [strobe]}}
watch:
  monitors:
    bus-volts: {shows: voltage, senses: main-bus.volts, displayed-on: monitor, alarm-below: 13 V}
    amps: {shows: current, senses: shunt, indicates: alternator-output, displayed-on: monitor}
"""


def test_a_lost_alternator_is_shed_for_and_shares_no_card_with_a_false_reading() -> None:
    """Also where no function lasts longer for it: all are minor here, and go on with the battery."""
    answer = checklists(TroubleShooting(Facts(read_text(ONE_BUS, "x"))))
    lost, false = card_of(answer, "parts/alternator"), card_of(answer, "parts/volts-fuse")
    assert (lost.sign.name, false.sign.name) == ("bus-volts", "bus-volts") and lost is not false
    assert (lost.shed, false.shed) == (("shed",), ())


def test_what_rests_on_batteries_after_a_failure_is_what_stops_where_they_are_lost_too() -> None:
    """After every break, by the plain evaluator: with the alternator lost the strobes, the alternator alone feeds them else."""
    facts = Facts(read_text(ONE_BUS.replace("loss: minor", "loss: major"), "x"))
    answer = facts.states.answer("cruise")
    circuit, state = circuit_of(facts.design), answer.state
    opens = sorted(answer.failures, key=lambda f: f.element != "parts/alternator")
    opens = [f for f in opens if f.mode is OPEN]
    found = CardMinutes(facts, answer, [(f,) for f in opens])
    battery = Fault("parts/battery", plain.OPEN)
    healthy = solve(circuit, state)

    def on(*faults: Fault) -> set[str]:
        powered = solve(circuit, state, faults, healthy).powered
        return {f for f, works in working(facts.design, powered).items() if works}

    rests = []
    for i, failure in enumerate(opens):
        case = (fault_of(facts.network, failure), *(Fault(e, plain.OPEN) for e in sorted(failure.opened)))
        rests.append(on(*case) - on(*case, battery))
        assert set(found.at_first(i)) == rests[-1], failure
    assert rests[0] == {"strobes"} and set() in rests


@pytest.mark.parametrize(
    ("first", "others", "apart"),
    [
        ((13.1, 13.2), [(12.0, 13.0), (11.0, 12.5)], True),
        ((10.0, 10.9), [(12.0, 13.0), (11.0, 12.5)], True),
        ((12.6, 12.9), [(12.95, 13.0), (11.0, 12.5)], False),  # between those of two others
        ((13.0, 13.2), [(12.0, 13.0), (11.0, 12.5)], False),  # where ranges meet both may read the same
        ((13.1, 13.2), [(12.0, 13.0), None], False),  # blank after one of them
        (None, [(12.0, 13.0), (11.0, 12.5)], False),
    ],
)
def test_a_reading_tells_a_case_from_others_only_outside_of_all_that_these_may_read(
    first: Any, others: list[Any], apart: bool
) -> None:
    """What else a panel shows, as a light, is no reading and tells nothing here."""
    seen = {
        Sign(Look.MONITOR, "volts"): [*others, first],
        Sign(Look.UNIT, "lamp"): [(0.0, 0.0)] * len(others) + [(1.0, 1.0)],
    }
    signs = SimpleNamespace(signs=tuple(seen), seen=seen.__getitem__)
    cards = SameCards(cast("Any", SimpleNamespace(signs=signs)))
    assert cards._reads_apart(len(others), range(len(others))) is apart


MAGNETOS = ROOT / "tests" / "aircraft" / "magneto-metal.design.yaml"


def test_load_is_shed_where_a_battery_supplies_it_and_not_where_the_alternator_alone_does() -> None:
    """With the panel ground open the battery contactor opens: the battery discharges through the hour meter."""
    _, answer = solved(MAGNETOS)
    assert card_of(answer, "parts/panel-ground").shed == ()
    assert card_of(answer, "parts/alternator").shed == ("shed-lights-and-heat",)


def test_an_ammeter_with_the_battery_at_its_line_says_which_way_the_current_goes() -> None:
    """Its alarm of the voltage is set so low that it may not come at once: at 13 V it comes before the needle is read."""
    drawn = MAGNETOS.read_text(encoding="utf-8")
    shooting, answer = solved(MAGNETOS)
    assert title(shooting.facts.design, card_of(answer, "parts/alternator")) == "BUS-VOLTS LOW"
    shooting = TroubleShooting(
        Facts(read_text(drawn.replace("alarm-below: 13.0 V", "alarm-below: 12.9 V"), "magnetos.yaml"))
    )
    answer, of = checklists(shooting), shooting.facts.design
    lost, welded = (
        card_of(answer, "parts/alternator"),
        card_of_words(answer, "starter-contactor", "welded closed"),
    )
    assert title(of, lost) == "BATTERY-AMPERES TOWARDS DISCHARGE"
    assert indication_words(of, lost).startswith("battery-amperes towards discharge (discharge 5.")
    said = {sign.name: seen_words(of, sign, seen) for sign, seen in welded.also}
    assert said["battery-amperes"].startswith("charge 3")
    tripped = card_of_words(answer, "regulator", "failed full on")
    assert (tripped.sign.name, tripped.by) == ("high-voltage", 1) and tripped is not lost


def test_a_motor_that_may_run_is_stopped_at_no_loss_and_one_that_may_not_at_some() -> None:
    """The breaker of the pump out of reach, so that only the master stops it, or in reach. It is no spare
    of a critical function here: one that is stays on where it may run."""
    text, steps = MAGNETOS.read_text(encoding="utf-8"), {}
    pump, reach = (
        "boost-pump: {kind: load, type: motor,",
        "label: FUEL PUMP CB, plugged-on: main-bus, zone: panel",
    )
    text = text.replace("label: FUEL PUMP CB, zone: panel, plugged-on: main-bus", reach)
    spare = "fuel: {any: 1, of: [boost-pump, {mechanical: engine-driven pump}], loss: catastrophic}"
    assert pump in text and reach in text and spare in text
    sound = TroubleShooting(Facts(read_text(text.replace(pump, f"{pump} duty: continuous,"), "x.yaml")))
    assert not any("parts/boost-pump" in c.unwanted for c in checklists(sound).cards)
    text = text.replace(spare, "fuel: {any: 1, of: [{mechanical: engine-driven pump}], loss: catastrophic}")
    for duty in ("continuous", "intermittent"):
        for at in ("on-ground", "in-flight"):
            own = text.replace(pump, f"{pump} duty: {duty},")
            own = own.replace(f"{reach}, rating: 5 A, reset: trip-free, accessible: in-flight",
                              f"{reach}, rating: 5 A, reset: trip-free, accessible: {at}")  # fmt: skip
            answer = checklists(TroubleShooting(Facts(read_text(own, "x.yaml"))))
            card = next(c for c in answer.cards if "parts/boost-pump" in c.unwanted)
            steps[duty, at] = [step.moves[-1] for step in card.steps]
    assert (
        steps["continuous", "in-flight"] == steps["intermittent", "in-flight"] == [("pump-breaker", "pulled")]
    )
    assert steps["continuous", "on-ground"] == [] and steps["intermittent", "on-ground"] == [
        ("master-battery", "off")
    ]


@pytest.mark.long  # a whole aircraft is solved
def test_a_pump_that_has_taken_over_is_not_stopped_and_its_switch_is_not_to_be_moved() -> None:
    """Pump 2 runs by itself once pump 1 has no supply; a trim motor that runs on is stopped."""
    _, answer = solved(ROOT / "tests" / "aircraft" / "injected-auto-pump.design.yaml")
    runs = [c for c in answer.cards if c.by > 0 and "pump-2" in c.sign.name]
    assert len(runs) >= 4
    for card in runs:
        assert card.unwanted == card.steps == () and "fuel-pressure" not in card.left
    over = [c for c in runs if any(sign.name == "pump-1" for sign, _ in c.also)]
    assert over and all(("fuel-pressure", ("pump-2",)) in card.rests_on for card in over)
    off = (("pump-2-switch", "off"),)
    assert all(any(one.moves == off and one.always for one in card.prohibited) for card in over)
    trim = next(c for c in answer.cards if c.sign.name == "trim-motor")
    assert trim.unwanted == ("parts/trim-motor",) and trim.steps[0].stops == ("parts/trim-motor",)


def test_an_alternator_goes_off_before_its_battery_and_a_lamp_of_oil_pressure_may_be_right() -> None:
    """Nor is a load turned on so that a generator which works has one."""
    path = ROOT / "tests" / "aircraft" / "small-generator.design.yaml"
    shooting, answer = solved(path)
    (welded,) = (c for c in answer.cards if "parts/starter" in c.unwanted)
    first, second = welded.steps[0].moves
    assert first[0] == "generator-switch" and second[0] == "battery-switch"
    oil = next(c for c in answer.cards if c.sign.name == "oil-pressure")
    assert oil.sensed == (("oil-pressure-switch", "low"),)
    lines = [line.text for line in card_lines(shooting.facts.design, oil)]
    assert any("or no failure: oil-pressure-switch at low" in line for line in lines)
    assert any(line.startswith("no electrical action. What is shown may be true") for line in lines)
    blank = next(c for c in answer.cards if c.sign.name == "radio")
    assert blank.sensed == ()
    assert not any("pump" in name for c in answer.cards for step in c.steps for name, _ in step.moves)


def card_of_words(answer: Checklists, name: str, words: str) -> ChecklistCard:
    said = [(c, place.words) for c in answer.cards for cause in c.causes for place in cause.places]
    return next(card for card, ((element, how), *_) in said if bare(element) == name and words in how)


def test_an_alternator_that_nothing_regulates_is_an_emergency_and_one_that_its_trip_stops_is_lost() -> None:
    """The regulator is inside, where it may feed the field whatever is turned off; or a part of its own."""
    apart = ONE_BUS.replace("set-point: 14.2 V, regulator: internal", "regulator: external").replace(
        "  shunt: {kind",
        "  keeper: {kind: regulator, regulates: alternator, set-point: 14.2 V, senses: supply, "
        "without-ground: no-output}\n  shunt: {kind",
    )
    apart = apart.replace("> alternator.field", "> keeper.supply\n  coil: keeper.field > alternator.field\n"
                          "  keeper: keeper.ground > ground")  # fmt: skip
    for text, name, sure in ((ONE_BUS, "alternator", False), (apart, "keeper", True)):
        answer = checklists(TroubleShooting(Facts(read_text(text, "x"))))
        card = card_of_words(answer, name, "failed full on")
        assert card.by == 1 and card.emergency
        assert card.overvoltage == card.unwanted == ("parts/alternator",)
        (step,) = card.steps
        assert ("field-switch", "down") in step.moves
        assert (step.stops, step.may_stop) == (
            (("parts/alternator",), ()) if sure else ((), ("parts/alternator",))
        )
        words = [line.text for line in card_lines(read_text(text, "x"), card)]
        assert "alternator at full field: overvoltage" in words and "what was on may be damaged" in words[-1]
        # no function is promised for good on a voltage that may damage it; on batteries alone it may be
        held = replace(card, limited=(LimitedFunction("talk", inf, 2340.0),))
        for overvoltage, said in (
            (
                card.overvoltage,
                "talk: until the overvoltage damages it if nothing is done, 39 min on batteries",
            ),
            ((), "on batteries: talk: not limited if nothing is done, 39 min with all"),
        ):
            told = card_lines(read_text(text, "x"), replace(held, overvoltage=overvoltage))
            assert any(said in line.text for line in told)
        reads = TroubleShooting(Facts(read_text(text, "x"))).diagnosis(
            Reported((("bus-volts", "17 V"),)), ahead=False
        )
        assert [c.cases[0][0].mode for c in reads.groups[0].causes] == [FULL_ON]
        for trip, stops in (
            ("overvoltage-trip: 16 V, trip-acts-on: output", True),
            ("overvoltage-trip: none", False),
        ):
            own = text.replace("alternator: {kind: alternator,", f"alternator: {{kind: alternator, {trip},")
            answer = checklists(TroubleShooting(Facts(read_text(own, "x"))))
            assert any(card.overvoltage for card in answer.cards) is not stops


@pytest.mark.parametrize(("does", "free"), [("full-field", True), ("no-output", False)])
def test_a_lost_lead_that_drives_the_field_full_on_is_an_emergency_too(does: str, free: bool) -> None:
    text = ONE_BUS.replace(
        "set-point: 14.2 V, regulator: internal", "regulator: external, overvoltage-trip: none"
    )
    text = text.replace(
        "  shunt: {kind",
        "  keeper: {kind: regulator, regulates: alternator, set-point: 14.2 V, senses: sense, "
        f"without-sense: {does}, without-ground: no-output}}\n  shunt: {{kind",
    )
    text = text.replace("> alternator.field", "> keeper.supply\n  coil: keeper.field > alternator.field\n"
                        "  keeper: keeper.ground > ground\n  sensed: main-bus.sensed > keeper.sense")  # fmt: skip
    answer = checklists(TroubleShooting(Facts(read_text(text, "x"))))
    card = next(
        c
        for c in answer.cards
        if any(o.element.startswith("wires/sensed") and o.mode == OPEN for o in c.outcomes)
    )
    assert card.overvoltage == (("parts/alternator",) if free else ())
    assert card.emergency is free
    moves = [move for step in card.steps if step.stops == ("parts/alternator",) for move in step.moves]
    assert (("field-switch", "down") in moves) is free
    # one that gives no current, as its ground is open, is lost, and nothing runs
    lost = card_of(answer, "parts/alternator")
    assert any(o.element.startswith("wires/frame") for o in lost.outcomes) and not lost.overvoltage


def bench(edits: dict[str, object]) -> Checklists:
    return checklists(TroubleShooting(Facts(bench_design(edits))))


def bench_design(edits: dict[str, object]) -> Design:
    import yaml

    base = yaml.safe_load((ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8"))
    case = (
        ROOT
        / "tests"
        / "rules"
        / "documentation"
        / "critical_losses_that_a_switch_restores_have_an_action.yaml"
    )
    made = edited(edited(base, yaml.safe_load(case.read_text(encoding="utf-8"))["met"]), edits)
    return read_text(json.dumps(made), "bench.json")


def card_of(answer: Checklists, element: str) -> ChecklistCard:
    """The first card of a part or wire that has failed open."""
    lost = (Failure(element, OPEN),)
    return next(c for c in answer.cards if any(lost in cause.cases for cause in c.causes))


def bilge_lines(float_switch: dict[str, object]) -> list[str]:
    """The card of a bilge pump that runs, armed by a switch and turned on by another."""
    import yaml

    edits: dict[str, object] = {
        "parts/arming": {"kind": "switch", "label": "BILGE", "transfer": "break-before-make",
                         "positions": {"off": [], "auto": [["line", "load"]]}},
        "parts/float-switch": {"kind": "switch", "transfer": "break-before-make",
                               "positions": {"dry": [], "wet": [["line", "load"]]}, **float_switch},
        "parts/bilge-pump": {"kind": "load", "type": "motor", "current": "3 A"},
        "functions/bilge": {"any": 1, "of": ["bilge-pump"], "loss": "minor"},
        "operation/states/cruise/switches/arming": "auto",
        "operation/states/cruise/switches/float-switch": "dry",
    }  # fmt: skip
    run = ("main-bus.b", "arming.line", "arming.load", "float-switch.line", "float-switch.load",
           "bilge-pump.supply", "bilge-pump.return", "main-ground.b")  # fmt: skip
    for start, end in zip(run[::2], run[1::2], strict=True):
        edits[f"wires/to-{end.partition('.')[0]}"] = {"from": start, "to": end, "gauge": "18 AWG", "length": "0.5 m"}  # fmt: skip
    base = yaml.safe_load((ROOT / "tests" / "rules" / "bases" / "wired.yaml").read_text(encoding="utf-8"))
    design = read_text(json.dumps(edited(base, edits)), "bilge.json")
    (card,) = (
        c for c in checklists(TroubleShooting(Facts(design))).cards if "bilge" in c.sign.name and c.by > 0
    )
    assert card.steps and any("bilge-pump" in e for e in card.steps[0].stops)
    return [line.text for line in card_lines(design, card)]


def test_a_pump_that_a_float_switch_runs_rightly_is_stopped_only_if_the_switch_is_at_rest() -> None:
    lines = bilge_lines({"operated-by": "level", "at-rest": "dry"})
    assert "failure of float-switch, or no failure: float-switch at wet" in lines
    assert "bilge-pump, off in a sound system unless float-switch at wet" in lines
    (step,) = (line for line in lines if "BILGE ... OFF" in line)
    assert step.startswith("Only if float-switch is not at wet: BILGE ... OFF")
    # one that a hand moves is off in a sound system, and what runs then has failed
    lines = bilge_lines({})
    assert "bilge-pump, off in a sound system" in lines and not any("no failure:" in line for line in lines)
    assert any(line.startswith("BILGE ... OFF") for line in lines)


def test_a_change_over_of_the_file_restores_and_without_it_the_switch_by_itself() -> None:
    declared = card_of(bench({}), "parts/main-ground")
    assert declared.emergency and [s.action for s in declared.steps] == ["right-to-reserve"]
    assert declared.steps[0].restores == ("ignition",) and declared.left == ()
    by_hand = card_of(bench({"operation/actions": {}}), "parts/main-ground")
    assert by_hand.steps[0].by_hand and by_hand.steps[0].moves == (("right-source", "reserve"),)
    barred = {"switches": {"master": "up", "right-source": "reserve"}, "because": "A bar."}
    # the one move is barred, and allowed after another
    two = card_of(bench({"operation/actions": {}, "operation/excluded": [barred]}), "parts/main-ground")
    assert [s.moves for s in two.steps] == [(("master", "down"),), (("right-source", "reserve"),)]
    assert two.steps[1].restores == ("ignition",) and two.left == ()
    both = [barred, {"switches": {"master": "down", "right-source": "reserve"}, "because": "A bar."}]
    none = card_of(bench({"operation/actions": {}, "operation/excluded": both}), "parts/main-ground")
    assert none.steps == () and none.left == ("ignition",)


#: two buses, each on its battery, and a tie that the crew closes
TWO_BUSES = """
format: 1
aircraft: {name: Two buses, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery-1: {kind: battery}
  battery-2: {kind: battery}
  bus-1: {kind: bus}
  bus-2: {kind: bus}
  ground: {kind: ground-block}
  monitor: {kind: instrument, current: 0.4 A, inputs: {volts: {signal: volts-in, resistance: 100 kohm}}}
circuits:
  feed-1: battery-1.positive > bus-1
  feed-2: battery-2.positive > limiter 40 A FEED > bus-2
  tie: bus-1 > limiter 60 A TIE > switch 100 A TIE (break-before-make, positions down/up) > bus-2
  negative-1: battery-1.negative > ground
  negative-2: battery-2.negative > ground
  igniter: bus-1 + breaker 5 A IGNITION > igniter (1 A, electronic) > ground
  radio: bus-2 + breaker 5 A RADIO > radio (1 A, electronic) > ground
  monitor: bus-1 + breaker 2 A MONITOR > monitor > ground
  volts: bus-2 > fuse 1 A VOLTS > monitor.volts-in
functions:
  ignition: {any: 1, of: [igniter], loss: LOSS}
  communication: {any: 1, of: [radio], loss: minor}
operation:
  normal: cruise
  states: {cruise: {engine: running, switches: {tie-switch: down}}}
  actions: {close-tie: {move: {tie-switch: up}, label: TIE ... ON, restores: [communication], after-failure-of: [feed-2-limiter]}}
watch: {monitors: {bus-2-volts: {shows: voltage, senses: bus-2.volts, displayed-on: monitor, alarm-below: 12 V}}}
"""


def test_a_tie_is_not_closed_onto_a_short_from_the_source_of_a_graver_function() -> None:
    """What makes the second bus dead may be a short on it: the tie then blows its limiter, and the volts of the first dip."""

    def steps(loss: str) -> tuple[ChosenStep, ...]:
        facts = Facts(read_text(TWO_BUSES.replace("LOSS", loss), "design.yaml"))
        return card_of(checklists(TroubleShooting(facts)), "parts/bus-2").steps

    assert steps("hazardous") == ()
    (step,) = steps("no safety effect")
    assert (step.action, step.may_restore) == ("close-tie", ("communication",))


def test_moves_that_a_bar_makes_together_are_said_so() -> None:
    """Neither can be made first: a bar takes the master down with the change-over, and back."""
    action = {"move": {"right-source": "reserve", "master": "down"}}
    bars = [
        {"switches": {"master": "up", "right-source": "reserve"}, "because": "A bar."},
        {"switches": {"master": "down", "right-source": "main"}, "because": "A bar."},
    ]
    for excluded, how in (([], "in the order"), (bars, "in one movement")):
        edits = {"operation/actions/right-to-reserve": action, "operation/excluded": excluded}
        answer = bench(edits)
        card = card_of(answer, "parts/main-ground")
        (step,) = card.steps
        assert step.together == bool(excluded) and set(step.moves) == set(action["move"].items())
        said = " ".join(line.text for line in card_lines(bench_design(edits), card))
        assert f"{how} " in said


def test_text_csv_json_and_print_have_the_same_cards() -> None:
    asked = ["checklists", str(ROOT / "examples" / "sketch.design.yaml")]
    told = {
        form: CliRunner().invoke(commands, [*asked, "--as", form], catch_exceptions=False).stdout
        for form in ("text", "csv", "json", "html")
    }
    document = json.loads(told["json"])
    jsonschema.validate(document, json.loads(json.dumps(document_schema("checklists"))))
    titles = [card["title"] for card in document["cards"]]
    rows = list(csv.DictReader(io.StringIO(told["csv"])))
    named = {row["card"]: row["indication"] for row in rows if row["card"]}
    assert titles and list(named.values()) == titles
    printed = " ".join(told["text"].split())
    assert all(title in printed for title in titles)
    assert told["html"].count("</pre>") == len(titles) and told["html"].count(DEFERS.split()[0]) >= len(
        titles
    )
    assert inf not in [
        one["seconds_if_nothing_is_done"] for card in document["cards"] for one in card["limited"]
    ]


def test_a_step_that_does_nothing_by_itself_says_what_it_is_for() -> None:
    """The one before another is needed by that; the last one turns off what the batteries would feed."""
    design = read_design(TOURER)
    stops = ChosenStep("one", (("master", "down"),), True, stops=("parts/starter",))
    quiet = ChosenStep("two", (("alternator-switch", "down"),), True)
    for steps, words in (
        ((quiet, stops), ("the next step needs it", "stops starter")),
        ((stops, quiet), ("stops starter", "so that the batteries last")),
    ):
        lines = list(step_lines(design, SimpleNamespace(sensed=(), steps=steps)))
        assert [line.rpartition("(")[2].rstrip(")") for line in lines] == list(words)


@pytest.mark.long
def test_load_is_shed_after_the_alternator_is_lost_and_not_where_a_step_lets_it_charge_again() -> None:
    """A starter that runs by its switch stops with its breaker pulled; by its contactor with the master."""
    path = ROOT / "tests" / "aircraft" / "magneto-metal.design.yaml"
    shooting, answer = solved(path)
    design = shooting.facts.as_written
    (by_switch,) = [c for c in answer.cards if c.sign.name == "starter-engaged" and not c.left]
    assert [step.moves for step in by_switch.steps] == [(("start-breaker", "pulled"),)] and not by_switch.shed
    lost = [c for c in answer.cards if c.sign.name == "bus-volts" and "generation" in c.left]
    assert lost and all(card.shed == ("shed-lights-and-heat",) for card in lost)
    # a function that rests on one channel is said once
    (works, alone, *_) = [line.text for line in card_lines(design, by_switch) if line.head == "WORKS"]
    assert works == "fuel, attitude and panel-lighting" and alone == "ignition on left-magneto alone"
    # and an order is said by the labels of the switches
    (by_master,) = [c for c in answer.cards if c.sign.name == "starter-engaged" and c.left]
    said = " ".join(line.text for line in card_lines(design, by_master))
    assert "in the order MASTER ALT OFF, MASTER BAT OFF" in said


def test_what_cards_share_is_what_each_finds_by_itself() -> None:
    of = ChecklistState(TroubleShooting(solved(TOURER)[0].facts))
    answer = _Checklists(of)
    moves, together, found = answer._moves, answer._at_first, 0
    for lanes in list(of.patterns.values())[::9]:
        course = of.course(lanes)
        own = prohibitions(made_moves(course, course.start(), moves), course.every, {})
        assert prohibitions(together, sum(1 << i for i in lanes), {}) == own
        found += len(own)
    assert found > 3
    for function, ways in of.ways.items():
        alone = replace(of._begun, tried={})
        assert of.facts.crew.ways_back(function, of.state.state.name, tuple(ways), alone) == ways
    assert len(of._begun.tried) > len(of.ways)


def test_what_is_solved_for_all_cases_at_once_is_what_a_card_finds_by_itself() -> None:
    of = ChecklistState(TroubleShooting(solved(TOURER)[0].facts))
    answer = _Checklists(of)
    actions, groups, again, harmed = answer.actions, answer.groups, 0, 0
    resets = [name for name in actions._may_be_open if name in actions._reset_where_they_are]
    for lanes in of.patterns.values():
        course = of.course(lanes)
        assert not course.dropping
        retripped = {n for n in resets if actions._retripped.get(n, 0) & sum(1 << i for i in lanes)}
        assert retripped == course.retripped(course.start(), resets)
        hurt = groups._harmed(lanes)
        assert hurt == [i for i in lanes if i in groups._harmed_alone]
        again, harmed = again + len(retripped), harmed + len(hurt)
    assert again > 3 and harmed > 3
