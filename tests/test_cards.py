"""Test cards: limits enclose every reading of a sound system within the unknowns, and exclude that
of the failure.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures
from reviewer.analysis.operating_point.tolerances import DEAD, LEAKS, VOLTS_SHARE, VOLTS_STEP, Within
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.card_steps import Condition, Watched
from reviewer.questions.check_steps import check_steps, proved
from reviewer.questions.effects import effects_of
from reviewer.questions.protection_cards import ProtectionCards
from reviewer.questions.test_cards import cards_of
from reviewer.reading import read_design, read_text
from reviewer.reports.handoff.schedules.cards import COLUMNS, CardRow, about, card_rows
from reviewer.reports.handoff.schedules.safety_words import SAFETY

ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples" / "tourer.design.yaml"


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_design(EXAMPLE))


def test_limits_enclose_the_solved_reading_and_exclude_that_of_each_suspected_failure(facts: Facts) -> None:
    told = 0
    for name, check in facts.design.watch.checks.items():
        for step in check_steps(facts, name):
            if step.limits is None:
                continue
            assert step.limits.low <= step.limits.value <= step.limits.high
            point = facts.points.operating_point(check.state)
            read = [point.readings[n].value for n in step.names]
            assert step.limits.value == pytest.approx(read[0] - sum(read[1:]), abs=1e-6)
            for suspect in step.suspects:
                after = facts.points.operating_point(check.state, None, (suspect.failure,))
                found = [after.readings[n] for n in step.names]
                assert any(r.blank for r in found) or not step.limits.holds(
                    found[0].value - sum(r.value for r in found[1:])
                ), (name, step.names)
                told += 1
    assert told > 8


def test_every_check_of_the_example_shows_all_that_it_is_to_prove(facts: Facts) -> None:
    for name in facts.design.watch.checks:
        told = {s.failure.element for step in check_steps(facts, name) for s in step.suspects}
        assert told == {failure.element for failure in proved(facts, name)}, name


def test_the_difference_of_two_voltmeters_tells_what_neither_tells_alone(facts: Facts) -> None:
    """A reserve that is not charged reads its rest voltage, which a charged one may read too when
    the alternator is short at idle.
    """
    steps = {step.names: step for step in check_steps(facts, "reserve-charges")}
    failure = Failure("parts/charge-breaker", OPEN)
    assert failure not in [s.failure for s in steps["reserve-volts",].suspects]
    assert failure in [s.failure for s in steps["bus-volts", "reserve-volts"].suspects]


@pytest.mark.parametrize("state", ["cruise", "taxi", "taxi without idle-output", "reserve-check", "cranking"])
def test_no_point_inside_the_box_reads_beyond_the_corners(facts: Facts, state: str) -> None:
    """500 points drawn inside, solved by themselves, against the limits with the meter's error
    taken off again.
    """
    state, without, _ = state.partition(" without")
    if without:
        facts = Facts(
            read_text(EXAMPLE.read_text(encoding="utf-8").replace("    idle-output: 30 A\n", ""), "x.yaml")
        )
        assert any(u.what.startswith("output at idle") for u in facts.points.spread(state).unknowns)
    spread, draw, count = facts.points.spread(state), np.random.default_rng(7), 500
    answer, design = facts.states.answer(state), facts.design
    alive = [s.element for s in facts.network.sources if answer.healthy.alive[s.element]]
    batteries = [e for e in alive if isinstance(design.parts[bare(e)], p.Battery)]
    alternators = [e for e in alive if isinstance(design.parts[bare(e)], p.Alternator)]
    phases = [n for n, phase in design.operation.phases.items() if phase.state == state]
    amps = {c.element: design.parts[bare(c.element)].current for c in facts.network.consumers}
    amps = {
        e: a if not hasattr(a, "values") else a.get(phases[0], 0.0) if phases else max(a.values())
        for e, a in amps.items()
        if a is not None
    }
    scale, ageing = draw.uniform(0.9, 1.1, count), draw.uniform(1.0, 2.0, count)
    figures = Figures(
        loads={e: a * scale for e, a in amps.items() if a},
        state_of_charge={e: draw.uniform(0.8, 1.0, count) for e in batteries},
        ageing={e: ageing for e in batteries},
        set_point={e: draw.uniform(13.8, 14.6, count) for e in alternators},
        speed=draw.uniform(-0.2, 0.2, count) if without else 0.0 if answer.state.use == "ground" else 1.0,
    )
    points = facts.points.operating_points(state, figures, count)
    for terminal in (
        "main-bus",
        "main-battery.positive",
        "reserve-battery.positive",
        "engine-b-limiter.load",
        "ignition-a.supply",
    ):
        read, within = np.nan_to_num(points.volts(terminal)), spread.volts(terminal)
        assert within is not None
        read = np.where(np.abs(read) < LEAKS, 0.0, read)  # no meter of tenths shows what leaks
        error = VOLTS_SHARE * np.abs(read) + VOLTS_STEP
        assert (read - error >= within.low - 1e-9).all() and (read + error <= within.high + 1e-9).all(), (
            terminal
        )
        assert (read.max() - read.min()) > 0.25 * (
            within.high - within.low
        ) - 0.3  # nor are the limits far off


def test_the_voltage_behind_an_open_protection_is_zero_and_that_of_another_feed_is_out_of_limits(
    facts: Facts,
) -> None:
    seen = 0
    for effect in effects_of(facts).effects:
        if (
            effect.failure.mode == OPEN
            and effect.loads
            and isinstance(facts.design.parts.get(bare(effect.failure.element)), p.Protector)
        ):
            name = bare(effect.failure.element)
            one, other = ProtectionCards(facts, [name], None).normal.steps(name)
            after = facts.points.operating_point(
                facts.design.operation.normal, None, (effect.failure,)
            ).volts.get(f"{name}.load", 0.0)
            assert one.limits is not None and one.limits.holds(one.limits.value)
            if other is None:
                assert one.limits.holds(after) or abs(after) > 1, name
                continue
            assert (
                other.limits.holds(after)
                and not other.limits.holds(one.limits.value)
                and not one.limits.holds(after)
            ), name
            seen += 1
    assert seen > 15


def test_a_design_without_figures_gets_cards_without_limits_that_say_so() -> None:
    text = (
        (ROOT / "tests" / "rules" / "bases" / "watched.yaml")
        .read_text(encoding="utf-8")
        .replace(", capacity: 17 Ah", "")
    )
    facts = Facts(read_text(text, "x.yaml"))
    cards = cards_of(facts, effects_of(facts))
    rows = card_rows(facts.design, cards)
    assert "No limits could be solved" in about(cards) and rows
    assert all(row.maximum in ("", DEAD.high) and row.minimum in ("", DEAD.low) for row in rows)


def test_a_check_that_does_not_show_a_failure_says_so() -> None:
    """``proves`` names the audio breaker, which no thing that the check watches depends on."""
    text = EXAMPLE.read_text(encoding="utf-8").replace(
        "proves: [charge-breaker, charge-diode, charge-fuse, C2]", "proves: [charge-breaker, audio-breaker]"
    )
    facts = Facts(read_text(text, "x.yaml"))
    cards = cards_of(facts, None)
    found = [
        s
        for c in cards.checks
        if c.name == "reserve-charges"
        for s in c.steps
        if s.watched is Watched.UNPROVED
    ]
    assert [s.names for s in found] == [("audio-breaker",)]
    (row,) = [
        r
        for r in card_rows(facts.design, cards)
        if r.card == "check reserve-charges" and r.do == "check by another method"
    ]
    assert row.expected == "audio-breaker"


def test_limits_are_rounded_outward_to_tenths() -> None:
    assert Within(12.0, 11.9, 12.1).holds(12.1) and not Within(12.0, 11.9, 12.1).holds(12.11)
    assert Within(0.0, -0.1, 0.1) == DEAD


def test_a_fuse_or_limiter_is_taken_out_only_when_nothing_runs(facts: Facts) -> None:
    """Common practice (no published source): a breaker is pulled live; what is bolted or clipped in
    is not drawn from a live holder with the engine running.
    """
    cards = card_rows(facts.design, cards_of(facts, effects_of(facts)))
    for name in facts.design.of_kind(p.Protector):
        opening = [
            r.do
            for r in cards
            if r.card == f"{facts.design.parts[name].kind} {name}"
            and r.do != "leave it closed"
            and r.look_at != SAFETY
        ]
        by_hand = isinstance(facts.design.parts[name], (p.Breaker, p.BreakerSwitch))
        assert all(("everything off" in do) is not by_hand for do in opening)
    assert any("everything off" in r.do for r in cards) and any(r.do.startswith("pull ") for r in cards)


def test_a_step_without_limits_says_what_is_to_be_found(facts: Facts) -> None:
    """A load that works, a monitor that shows only that something is live, and each failure that is
    then otherwise.
    """
    steps = {(c.name, s.names): s for c in cards_of(facts, None).checks for s in c.steps}
    pump, starter = steps["reserve-alone", ("pump-b",)], steps["starter-shows", ("starter-engaged",)]
    assert pump.condition is Condition.WORKS and pump.reading is None and pump.limits is None
    assert starter.reading is not None and starter.reading.value == 1 and starter.condition is None
    assert {s.failure.element for s in pump.suspects} == {
        "parts/reserve-battery",
        "parts/engine-b-limiter",
        "wires/G6",
    }
    assert all(s.value is None and not s.dark for s in pump.suspects)


def test_the_rows_of_the_cards_have_a_column_for_each_of_their_values(facts: Facts) -> None:
    rows = card_rows(facts.design, cards_of(facts, effects_of(facts)))
    assert len(COLUMNS) == len(CardRow._fields) and rows
    performed = COLUMNS.index("performed by")
    assert all(row[performed:] == ("", "", "") and row.expected != "" for row in rows)


def test_what_a_failure_leaves_dead_is_said_in_words_and_has_limits_of_a_dead_meter(facts: Facts) -> None:
    rows = card_rows(facts.design, cards_of(facts, effects_of(facts)))
    suspects = [row.suspect for row in rows]
    assert not any("(0.0 " in text or "-0.0" in text for text in suspects)
    assert sum("(no volts)" in text for text in suspects) > 10
    # through a blocking diode leak two millivolts, which no meter of tenths shows
    (dead,) = [r for r in rows if r.card == "check reserve-alone" and r.look_at == "bus-volts"]
    point = facts.points.operating_point("reserve-check").readings["bus-volts"]
    assert 0.001 < abs(point.value) < 0.01 and (dead.expected, dead.minimum, dead.maximum) == (0.0, -0.1, 0.1)


#: a machine with its capacitor and no battery at all, two displays of which one has a battery inside
ALONE = """
format: 1
aircraft: {name: Alone, nominal: 14 V, airframe: wood, stage: concept}
parts:
  dynamo: {kind: alternator, excitation: permanent-magnet, rating: 18 A, set-point: 14 V, smoothing-capacitor: smoothing}
  smoothing: {kind: capacitor, capacitance: 22 mF, voltage: 25 V}
  bus: {kind: bus}
  ground: {kind: ground-block}
  breaker: {kind: breaker, rating: 5 A, label: DISPLAYS}
  display: {kind: load, current: 1 A, minimum: 9 V, internal-battery: 30 min}
  radio: {kind: load, current: 1 A, minimum: 9 V}
  left: {kind: magneto}
  right: {kind: magneto}
  left-switch: {kind: switch, label: LEFT, positions: {run: [], stop: [[line, load]]}}
  right-switch: {kind: switch, label: RIGHT, positions: {run: [], stop: [[line, load]]}}
wires:
  W1: {from: dynamo.output, to: bus.feed}
  W2: {from: dynamo.ground, to: ground.feed}
  W3: {from: bus.breaker, to: breaker.line}
  W4: {from: breaker.load, to: display.supply}
  W5: {from: breaker.load, to: radio.supply}
  W6: {from: display.return, to: ground.display}
  W7: {from: radio.return, to: ground.radio}
  W8: {from: dynamo.output, to: smoothing.positive}
  W9: {from: smoothing.negative, to: ground.smoothing}
  L1: {from: left.p-lead, to: left-switch.line}
  L2: {from: left-switch.load, to: left.ground}
  R1: {from: right.p-lead, to: right-switch.line}
  R2: {from: right-switch.load, to: right.ground}
functions:
  ignition: {any: 1, of: [left, right], loss: catastrophic}
operation:
  normal: cruise
  states:
    cruise: {engine: running, switches: {left-switch: run, right-switch: run}}
    left-off: {like: cruise, use: ground, switches: {left-switch: stop}, silent: [left]}
watch:
  checks:
    left-off: {state: left-off, watch: [ignition], expect: The engine runs on the right., proves: [left-switch]}
    both: {state: cruise, watch: [ignition], expect: The engine runs.}
"""


def expected_of_alone() -> dict[tuple[str, str], object]:
    """By card and what is looked at, what is expected."""
    facts = Facts(read_text(ALONE, "alone"))
    rows = card_rows(facts.design, cards_of(facts, effects_of(facts)))
    return {(row.card, row.look_at): row.expected for row in rows}


def test_without_a_battery_volts_are_from_the_ground_of_the_alternator_and_a_unit_works_on_its_own() -> None:
    rows = expected_of_alone()
    assert ("breaker breaker", "voltage from breaker.load to dynamo.ground") in rows
    assert (
        rows["breaker breaker", "display, radio"]
        == "radio stops; display works on by the battery inside it; all else keeps working"
    )


def test_a_magneto_that_is_silenced_shows_in_a_drop_in_speed_and_both_together_do_not() -> None:
    rows = expected_of_alone()
    assert rows["check left-off", "ignition"] == "works on right alone, with a drop in speed"
    assert rows["check both", "ignition"] == "works"
