"""Loads that a failure leaves with power and too little voltage: a second feed by a thin wire, a change-over to one, and random
systems in which every shortcut is solved by itself."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

import pytest

from reviewer.analysis.conduction.failure_modes import HELD, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct, link_masks
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.scenarios import lanes_of_cases
from reviewer.analysis.cut_sets.low_volts import LowVolts, StateVolts
from reviewer.analysis.cut_sets.sure_volts import SurePaths
from reviewer.analysis.facts import Facts
from reviewer.network.graph import bare
from reviewer.questions.effects import effects_of
from reviewer.questions.fail import fail_of
from reviewer.reading import read_text
from tests.analysis.operating_point.dressed import dress
from tests.analysis.small_designs import SmallDesign
from tests.oracle.generator import realistic
from tests.oracle.workbench import Dress
from tests.rule_cases import ROOT, base_text, design, yaml_text

UNBUNDLED = base_text("unbundled")
CHOICE = yaml_text(design("critical-functions-need-no-crew-action-after-a-failure", "unmet"))


def changed(text: str, *edits: tuple[str, str]) -> Facts:
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "x"))


def second_feed(ohms: float, minimum: float = 10.0) -> Facts:
    """The only ignition has a second feed from the reserve, by a wire of some resistance."""
    return changed(
        UNBUNDLED,
        (
            "left-ignition: {kind: load, type: electronic, current: 1.5 A, minimum: 8 V,",
            "second-fuse: {kind: fuse, rating: 7.5 A, label: SECOND}\n  left-ignition: {kind: load, type: electronic, current: 3 A, "
            f"supplies: [supply, second], minimum: {minimum} V,",
        ),
        (
            "  W30: {",
            "  W60: {from: reserve-battery.positive, to: second-fuse.line, gauge: 16 AWG, length: 0.1 m}\n"
            f"  W61: {{from: second-fuse.load, to: left-ignition.second, resistance: {ohms} ohm}}\n  W30: {{",
        ),
        ("of: [left-ignition, right-ignition]", "of: [left-ignition]"),
    )


def test_a_second_feed_that_leaves_less_than_the_minimum_is_none() -> None:
    facts = second_feed(0.9)
    point = facts.failures.single_points["parts/left-fuse"][0]
    assert "open" in point.modes and not point.returns
    ((name, volts, minimum),) = point.low_volts
    solved = facts.points.operating_point("cruise", case=(Failure("parts/left-fuse", OPEN),))
    assert name == "left-ignition" and minimum == 10.0
    assert volts == pytest.approx(solved.across["parts/left-ignition"], abs=1e-6) and 9.0 < volts < 9.9


def test_a_second_feed_that_leaves_enough_is_one() -> None:
    facts = second_feed(0.5)
    assert "parts/left-fuse" not in facts.failures.single_points
    solved = facts.points.operating_point("cruise", case=(Failure("parts/left-fuse", OPEN),))
    assert solved.across["parts/left-ignition"] > 10.5


def test_a_load_below_its_minimum_with_nothing_failed_is_no_failure_of_what_feeds_it() -> None:
    assert "parts/left-fuse" not in second_feed(0.9, minimum=14.6).failures.single_points


def test_effects_and_fail_call_the_function_lost_and_the_load_low() -> None:
    facts = second_feed(0.9)
    (effect,) = fail_of(facts, "left-fuse", "open").effects
    assert effect.low == ("parts/left-ignition",) and not effect.loads
    assert [name for name, _ in effect.functions] == ["ignition"] and not effect.remaining
    row = next(e for e in effects_of(facts).effects if e.failure == effect.failure)
    assert (row.low, row.functions) == (effect.low, effect.functions)
    (twin,) = fail_of(second_feed(0.5), "left-fuse", "open").effects
    assert not twin.low and not twin.functions


def test_a_channel_with_too_little_voltage_is_no_remaining_redundancy() -> None:
    facts = changed(
        UNBUNDLED,
        ("W32: {from: right-switch.load, to: right-ignition.supply, gauge: 18 AWG, length: 1.2 m}",
         "W32: {from: right-switch.load, to: right-ignition.supply, resistance: 0.5 ohm}"),
        ("right-ignition: {kind: load, type: electronic, current: 1.5 A, minimum: 8 V,",
         "right-ignition: {kind: load, type: electronic, current: 1.5 A, minimum: 12 V,"),
    )  # fmt: skip
    (effect,) = fail_of(facts, "charge-diode", "open").effects
    (left,) = [one for one in effect.remaining if one.function == "ignition"]
    assert effect.low == ("parts/right-ignition",) and left.channels == ("left-ignition",)
    # the alternator holds it up while it charges the reserve: that is why its diode matters
    healthy = facts.points.operating_point("cruise").across["parts/right-ignition"]
    assert healthy > 12.0 > facts.points.operating_point("cruise", case=(effect.failure,)).across["parts/right-ignition"]  # fmt: skip


@pytest.mark.parametrize(("ohms", "recovered"), [(1.2, True), (2.4, False)])
def test_a_change_over_recovers_only_what_then_has_its_minimum(ohms: float, recovered: bool) -> None:
    lead = "to: right-source.reserve, gauge: 18 AWG, length: 1.4 m"
    facts = changed(CHOICE, (lead, f"to: right-source.reserve, resistance: {ohms} ohm"))
    failure = Failure("parts/main-ground", OPEN)
    ways = facts.crew.recoveries("ignition", "cruise", failure)
    points = facts.failures.single_points if not recovered else facts.failures.recoverable_points
    assert bool(ways) is recovered and "parts/main-ground" in points


def light(seed: int) -> Dress:
    """Full batteries, thick wires and small loads whose minimum is near what they have: some of it is told without solving."""

    def add(data: dict[str, Any]) -> None:
        dress(seed, unsized=0.0)(data)
        chance = Random(seed)
        for part in data["parts"].values():
            if part["kind"] == "battery":
                part.update({"state-of-charge": "100 %", "capacity": "40 Ah"})
            if part["kind"] in ("load", "instrument"):
                part.update(
                    {
                        "current": f"{chance.uniform(0.05, 0.3):.3f} A",
                        "minimum": f"{chance.uniform(9, 12.4):.1f} V",
                    }
                )
        for wire in data["wires"].values():
            wire.update({"gauge": "8 AWG"})

    return add


@pytest.mark.parametrize(
    "make",
    [
        pytest.param(lambda seed: dress(seed, unsized=0.0), id="heavy"),
        pytest.param(light, marks=pytest.mark.long, id="light"),
    ],
)
@pytest.mark.parametrize("seed", range(4))
def test_what_is_sure_is_not_low_and_what_is_alike_is_low_together(
    seed: int, make: Callable[[int], Dress]
) -> None:
    facts = Facts(realistic(70, seed, make(seed)))
    answer = facts.states.answers()[0]
    state = StateVolts(facts.points, answer)
    assert state.watched and state.paths is not None
    masks = link_masks(lanes_of_cases(answer.network, answer.state, answer.failures), answer.failed.energised)
    sure = state.paths.sure(answer.failed, masks)
    assert any(sure.values()) or make is not light
    low = answer.low(answer.failures, answer.failed, each=True)
    every = range(0, len(answer.failures), max(1, len(answer.failures) // 25))
    lanes = {
        *every,
        *(lane for mask in (*low.values(), *map(sure.get, state.coils)) for lane in list(bits(mask))[:10]),
    }
    for lane in sorted(lanes):
        solved = conduct(answer.network, answer.state, (answer.failures[lane],), answer.healthy)
        volts = state.volts(answer.state, (answer.failures[lane],), solved)
        for coil, holds in state.coils.items():
            if sure[coil] >> lane & 1 and coil in volts:
                assert volts[coil] >= holds, (coil, answer.failures[lane])
        for element in state.kept & volts.keys():
            least = facts.design.parts[bare(element)].minimum
            if sure[element] >> lane & 1:
                assert volts[element] >= least, (element, answer.failures[lane])
            if solved.powered[element] and not solved.unsettled:
                assert bool(low.get(element, 0) >> lane & 1) is (volts[element] < least - 1e-6), (
                    answer.failures[lane]
                )


def test_the_drop_of_what_joins_two_supplies_is_not_forgotten() -> None:
    """A load of two supplies has 50 mV less than its battery gives: it is sure of what it has less 20 mV, not of 20 mV more."""

    def unit(minimum: float) -> Facts:
        made = SmallDesign()
        made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
        made.add("unit", "load", supplies=["one", "two"], current="0.1 A", minimum=f"{minimum:.3f} V")
        for end in ("unit.one", "unit.two"):
            made.wire("bus", end)
        made.wire("unit.return", "ground")
        for wire in made.wires.values():
            wire["resistance"] = "0.001 ohm"
        return made.facts(engine="stopped")

    def is_sure(minimum: float) -> bool:
        facts = unit(minimum)
        answer = facts.states.answer("cruise")
        lanes = lanes_of_cases(answer.network, answer.state, [])
        masks = link_masks(lanes, answer.healthy.energised)
        return bool(SurePaths(facts.points, answer, ["parts/unit"]).sure(answer.healthy, masks)["parts/unit"])

    volts = unit(8.0).points.operating_point("cruise").across["parts/unit"]
    assert is_sure(volts - 0.02) and not is_sure(volts + 0.02)


def test_states_are_told_apart_by_identity() -> None:
    facts = second_feed(0.9)
    volts = LowVolts(facts.points)
    assert volts.state(facts.states.answer("cruise")) is not volts.state(facts.states.answer("smoke-drill"))


@pytest.mark.parametrize(("amps", "main_sure"), [("160 A", True), ("1500 A", False)])
def test_what_is_sure_while_a_welded_contactor_turns_the_starter_has_its_volts(
    amps: str, main_sure: bool
) -> None:
    """A starter that takes more than the main battery has volts for leaves sure what the reserve feeds."""
    text = (ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8")
    assert text.count("current: 160 A") == 1
    facts = Facts(read_text(text.replace("current: 160 A", f"current: {amps}"), "tourer.yaml"))
    answer = facts.states.answer("cruise")
    welded = Failure("parts/starter-contactor", HELD)
    lane = answer.stuck_relays.index(welded)
    state = StateVolts(facts.points, answer, True)
    assert state.paths is not None and answer.stuck.powered["parts/starter"] >> lane & 1
    lanes = lanes_of_cases(answer.network, answer.state, answer.stuck_relays)
    sure = state.paths.sure(answer.stuck, link_masks(lanes, answer.stuck.energised))
    here = [element for element, mask in sure.items() if mask >> lane & 1]
    fed_by_reserve = {f"parts/{n}" for n in ("ignition-b", "injection-b", "pump-b", "standby-attitude")}
    assert fed_by_reserve <= {*here} and bool({*here} - fed_by_reserve) is main_sure
    volts = state.volts(answer.state, (welded,), answer.stuck.lane(lane))
    for element in here:
        part = facts.design.parts[bare(element)]
        assert volts[element] >= state.coils.get(element, getattr(part, "minimum", None) or 0.0), element


@pytest.mark.parametrize("seed", range(4))
def test_what_is_sure_in_a_start_has_its_volts(seed: int) -> None:
    facts = Facts(realistic(70, seed, light(seed)))
    tried = 0
    for answer in (one for one in facts.states.answers() if one.state.engine == "cranking"):
        state = StateVolts(facts.points, answer, True)
        if state.paths is None:
            continue
        masks = link_masks(
            lanes_of_cases(answer.network, answer.state, answer.failures), answer.failed.energised
        )
        sure = state.paths.sure(answer.failed, masks)
        for lane in range(0, len(answer.failures), max(1, len(answer.failures) // 25)):
            case = (answer.failures[lane],)
            if not any(mask >> lane & 1 for mask in sure.values()):
                continue
            volts = state.volts(answer.state, case, answer.failed.lane(lane))
            for element in (e for e, mask in sure.items() if mask >> lane & 1 and e in volts):
                least = state.coils.get(element) or facts.design.parts[bare(element)].minimum or 0.0
                assert volts[element] >= least, (element, case)
                tried += 1
    assert tried
