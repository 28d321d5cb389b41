"""Test cards: limits enclose what a sound system reads wherever in the box of what is unknown it is, and shut out what the failure would read."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures
from reviewer.analysis.operating_point.tolerances import DEAD, VOLTS_SHARE, VOLTS_STEP, Within
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.names import effects_of
from reviewer.reading import read_design, read_text
from reviewer.reports.handoff.schedules.cards import COLUMNS, check_steps, protector_steps, proved, test_cards

test_cards.__test__ = False  # type: ignore[attr-defined]  # a function of the reviewer, no test
ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples" / "tourer.design.yaml"


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_design(EXAMPLE))


def test_limits_enclose_the_solved_reading_and_shut_out_the_failure_that_a_step_tells_of(facts: Facts) -> None:
    told = 0
    for name, check in facts.design.watch.checks.items():
        for step in check_steps(facts, name):
            if step.within is None:
                continue
            assert step.within.low <= step.within.value <= step.within.high
            one, _, other = step.look.partition(" less ")
            point = facts.points.operating_point(check.state)
            read = [point.readings[n].value for n in (one, other) if n]
            assert step.within.value == pytest.approx(read[0] - sum(read[1:]), abs=1e-6)
            for failure, _ in step.tells:
                after = facts.points.operating_point(check.state, None, (failure,))
                found = [after.readings[n] for n in (one, other) if n]
                assert any(r.blank for r in found) or not step.within.holds(found[0].value - sum(r.value for r in found[1:])), (name, step.look)
                told += 1
    assert told > 8


def test_every_check_of_the_example_tells_of_all_that_it_is_to_prove(facts: Facts) -> None:
    for name, check in facts.design.watch.checks.items():
        told = {failure.element for step in check_steps(facts, name) for failure, _ in step.tells}
        assert told == {failure.element for failure in proved(facts, check)}, name


def test_the_difference_of_two_voltmeters_tells_what_neither_tells_alone(facts: Facts) -> None:
    """A reserve that is not charged reads its rest voltage, which a charged one may read too when the alternator is short at idle."""
    steps = {step.look: step for step in check_steps(facts, "reserve-charges")}
    failure = Failure("parts/charge-breaker", OPEN)
    assert failure not in [f for f, _ in steps["reserve-volts"].tells]
    assert failure in [f for f, _ in steps["bus-volts less reserve-volts"].tells]


@pytest.mark.parametrize("state", ["cruise", "taxi", "taxi without idle-output", "reserve-check", "cranking"])
def test_no_point_inside_the_box_reads_beyond_the_corners(facts: Facts, state: str) -> None:
    """500 points drawn inside, solved by themselves, against the limits with the meter's error taken off again."""
    state, without, _ = state.partition(" without")
    if without:
        facts = Facts(read_text(EXAMPLE.read_text(encoding="utf-8").replace("    idle-output: 30 A\n", ""), "x.yaml"))
        assert any(u.what.startswith("output at idle") for u in facts.points.spread(state).unknowns)
    spread, draw, count = facts.points.spread(state), np.random.default_rng(7), 500
    answer, design = facts.states.answer(state), facts.design
    alive = [s.element for s in facts.network.sources if answer.healthy.alive[s.element]]
    batteries = [e for e in alive if isinstance(design.parts[bare(e)], p.Battery)]
    alternators = [e for e in alive if isinstance(design.parts[bare(e)], p.Alternator)]
    phases = [n for n, phase in design.operation.phases.items() if phase.state == state]
    amps = {c.element: design.parts[bare(c.element)].current for c in facts.network.consumers}
    amps = {e: a if not hasattr(a, "values") else a.get(phases[0], 0.0) if phases else max(a.values()) for e, a in amps.items() if a is not None}
    scale, ageing = draw.uniform(0.9, 1.1, count), draw.uniform(1.0, 2.0, count)
    figures = Figures(
        loads={e: a * scale for e, a in amps.items() if a},
        state_of_charge={e: draw.uniform(0.8, 1.0, count) for e in batteries},
        ageing={e: ageing for e in batteries},
        set_point={e: draw.uniform(13.8, 14.6, count) for e in alternators},
        speed=draw.uniform(-0.2, 0.2, count) if without else 0.0 if answer.state.use == "ground" else 1.0,
    )
    points = facts.points.operating_points(state, figures, count)
    for terminal in ("main-bus", "main-battery.positive", "reserve-battery.positive", "engine-b-limiter.load", "ignition-a.supply"):
        read, within = np.nan_to_num(points.volts(terminal)), spread.volts(terminal)
        assert within is not None
        error = VOLTS_SHARE * np.abs(read) + VOLTS_STEP
        assert (read - error >= within.low - 1e-9).all() and (read + error <= within.high + 1e-9).all(), terminal
        assert (read.max() - read.min()) > 0.25 * (within.high - within.low) - 0.3  # nor are the limits far off


def test_the_volts_behind_a_protector_that_is_pulled_are_nought_and_those_of_another_feed_are_shut_out(facts: Facts) -> None:
    seen = 0
    for effect in effects_of(facts).effects:
        if effect.failure.mode == OPEN and effect.loads and isinstance(facts.design.parts.get(bare(effect.failure.element)), p.Protector):
            name = bare(effect.failure.element)
            one, other = protector_steps(facts, name)
            after = facts.points.operating_point(facts.design.operation.dispatch, None, (effect.failure,)).volts.get(f"{name}.load", 0.0)
            assert one.within is not None and one.within.holds(one.within.value)
            if other is None:
                assert one.within.holds(after) or abs(after) > 1, name
                continue
            assert other.within.holds(after) and not other.within.holds(one.within.value) and not one.within.holds(after), name
            seen += 1
    assert seen > 15


def test_a_design_without_figures_gets_cards_without_limits_that_say_so() -> None:
    text = (ROOT / "tests" / "rules" / "bases" / "watched.yaml").read_text(encoding="utf-8").replace(", capacity: 17 Ah", "")
    facts = Facts(read_text(text, "x.yaml"))
    cards = test_cards(facts, effects_of(facts))
    assert "No limits could be solved" in cards.about and cards.rows
    low, high = COLUMNS.index("reject below"), COLUMNS.index("reject above")
    assert all(row[high] in ("", DEAD.high) and row[low] in ("", DEAD.low) for row in cards.rows)


def test_a_check_that_does_not_tell_says_so() -> None:
    """``proves`` names the audio breaker, which no thing that the check watches depends on."""
    text = EXAMPLE.read_text(encoding="utf-8").replace(
        "proves: [charge-breaker, charge-diode, charge-fuse, C2]", "proves: [charge-breaker, audio-breaker]"
    )
    facts = Facts(read_text(text, "x.yaml"))
    rows = [r for r in test_cards(facts, None).rows if r[0] == "check reserve-charges" and r[3] == "no step of this card tells of"]
    assert [r[4] for r in rows] == ["audio-breaker"]


def test_limits_are_told_outward_to_tenths() -> None:
    assert Within(12.0, 11.9, 12.1).holds(12.1) and not Within(12.0, 11.9, 12.1).holds(12.11)
    assert Within(0.0, -0.1, 0.1) == DEAD


def test_a_fuse_or_limiter_is_taken_out_only_when_nothing_runs(facts: Facts) -> None:
    """Common practice, no source: a breaker is pulled live; what is bolted or clipped in is not drawn from a live holder with the engine running."""
    cards = test_cards(facts, effects_of(facts)).rows
    for name in facts.design.of_kind(p.Protector):
        opening = [r[2] for r in cards if r[0] == f"protector {name}" and r[2] != "leave it in"]
        by_hand = isinstance(facts.design.parts[name], (p.Breaker, p.BreakerSwitch))
        assert all(("everything off" in do) is not by_hand for do in opening)
    assert any("everything off" in r[2] for r in cards) and any(r[2].startswith("pull ") for r in cards)
