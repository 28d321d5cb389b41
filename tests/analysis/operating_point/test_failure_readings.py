"""What monitors read under many failures at once is what `solve` has for each of them by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.failure_readings import FailureReadings
from reviewer.analysis.operating_point.points import Figures, Points, Unsolved, solve_points
from reviewer.reading import read_text
from tests.analysis.operating_point.bench import BASE, bench
from tests.analysis.operating_point.dressed import sensed
from tests.analysis.second_alternator import second_alternator
from tests.edits import edited
from tests.oracle.generator import awkward, realistic
from tests.rule_cases import parsed, text

ROOT = Path(__file__).parents[3]
#: volts or amperes by which they may differ, and the least share that does not: where loads of constant power are more than the sources
#: bear there are two operating points, and both are proved
CLOSE, ALIKE = 2e-3, 0.999


def compared(facts: Facts, state: str, cases: Sequence[Case]) -> list[float]:
    """The differences of all readings that can be read, under each case."""
    answer = facts.states.answer(state)
    solved = Observation(answer, facts.detection.meters, tuple(cases)).solved
    apart = []
    for case, readings in zip(cases, facts.points.under_failures.of(answer, cases, solved), strict=True):
        try:
            point = facts.points.operating_point(state, None, failures_of(case))
        except NotAssessable:
            assert readings is None, case
            continue
        assert readings is not None, case
        for name, own in point.readings.items():
            if own.shows != "live" and own.value is not None:
                assert own.blank == readings[name].blank, (case, name)
                apart += [] if own.blank else [abs(own.value - readings[name].value)]
    return apart


def every_case(facts: Facts, state: str) -> tuple[Case, ...]:
    answer = facts.states.answer(state)
    return (*answer.failures, *answer.stuck_contacts)


def test_a_short_at_a_unit_ends_its_work_on_its_own_battery_and_one_at_its_lead_does_not() -> None:
    panel = "audio-panel:\n    kind: instrument\n"
    facts = bench((panel, panel + "    internal-battery: 30 min\n"))
    cases = every_case(facts, "cruise")
    assert not [apart for apart in compared(facts, "cruise", cases) if apart > CLOSE]


@pytest.mark.parametrize("file", ["tourer", pytest.param("faulted-tourer", marks=pytest.mark.long)])
def test_the_readings_of_the_examples_are_those_of_solve(file: str) -> None:
    path = ROOT / "examples" / f"{file}.design.yaml"
    facts = Facts(read_text(path.read_text(encoding="utf-8"), str(path)))
    for state in ("cruise", "reserve-check", "cranking"):
        # every eleventh, so that most stand for others
        apart = compared(facts, state, every_case(facts, state)[::11])
        assert len(apart) > 100 and max(apart) <= CLOSE, state


@pytest.mark.parametrize(
    "seeds",
    [pytest.param(range(2), id="two"), pytest.param(range(2, 14), marks=pytest.mark.long, id="many")],
)
def test_the_readings_of_invented_aircraft_are_those_of_solve(seeds: range) -> None:
    apart = []
    for seed in seeds:
        design = realistic(80, seed, sensed(seed)) if seed % 3 == 0 else awkward(seed, dress=sensed(seed))
        facts = Facts(design)
        for state in list(facts.states.declared)[:2]:
            cases = every_case(facts, state)[::7]
            if design.watch.monitors and cases:
                apart += compared(facts, state, cases)
    assert len(apart) > 50 * len(seeds)
    assert sum(a <= CLOSE for a in apart) >= ALIKE * len(apart), max(apart)


def test_a_regulator_that_senses_its_field_does_so_in_each_case() -> None:
    senses = ("set-point: 14.4 V", "set-point: 14.4 V, field-current: 3 A, regulator-senses: field")
    facts = bench(senses)
    for state in ("cruise", "alternator-off"):
        # the field is held to a hundred-thousandth of a volt, which is milliamperes through a battery
        assert max(compared(facts, state, every_case(facts, state)[::3])) <= 5 * CLOSE


def test_several_failures_at_once_are_one_case() -> None:
    facts = Facts(read_text(BASE, "x"))
    case = (Failure("parts/alternator", OPEN), Failure("parts/reserve-battery", OPEN))
    assert max(compared(facts, "cruise", (case, case[0], ()))) <= CLOSE


def test_a_case_is_solved_once_and_failures_of_one_chain_together(monkeypatch: pytest.MonkeyPatch) -> None:
    facts = Facts(read_text(BASE, "x"))
    asked = []
    plain = facts.points.failed_points
    monkeypatch.setattr(
        facts.points,
        "failed_points",
        lambda state, cases, *more: asked.append(cases) or plain(state, cases, *more),
    )
    answer = facts.states.answer("cruise")
    chain = next(
        c
        for c in facts.network.contracted.chains
        if len({facts.network.links[i].element for i, _ in c.steps}) > 3
    )
    elements = dict.fromkeys(facts.network.links[i].element for i, _ in chain.steps)
    cases = tuple(Failure(e, OPEN) for e in elements)
    solved = Observation(answer, facts.detection.meters, cases).solved
    for _ in range(2):
        facts.points.under_failures.of(answer, cases, solved)
    assert [len(some) for some in asked] == [2]  # one of them, and the state without a failure


def test_of_many_cases_the_least_charge_is_solved_where_it_is_asked_for() -> None:
    one, other = (Facts(read_text(BASE, "x")) for _ in range(2))
    answer = one.states.answer("cruise")
    cases = every_case(one, "cruise")
    solved = Observation(answer, one.detection.meters, cases).solved
    whole = one.points.under_failures.of(answer, cases, solved)
    at_once = other.points.under_failures.of(other.states.answer("cruise"), cases, solved, 0)
    later = other.points.under_failures.of(other.states.answer("cruise"), cases, solved, 0b1010)
    apart = 0
    for lane, (both, plain, asked) in enumerate(zip(whole, at_once, later, strict=True)):
        for name, reading in (both or {}).items():
            assert plain[name].value == pytest.approx(reading.value, abs=CLOSE)
            assert plain[name].at_least_charge == plain[name].value or 0b1010 >> lane & 1 or cases[lane] == ()
            if 0b1010 >> lane & 1:
                assert asked[name].at_least_charge == pytest.approx(reading.at_least_charge, abs=CLOSE)
            apart += abs(reading.at_least_charge - reading.value) > 0.1
    assert len(cases) > 50 and apart


def test_what_is_read_does_not_depend_on_who_asked_before() -> None:
    facts = bench()
    answer = facts.states.answers()[0]
    fresh = FailureReadings(facts.points)
    plain = fresh.of(answer, answer.failures, answer.failed, 0)
    least = fresh.of(answer, answer.failures, answer.failed)
    assert plain != least and fresh.of(answer, answer.failures, answer.failed, 0) == plain
    other = FailureReadings(facts.points)
    assert other.of(answer, answer.failures, answer.failed) == least
    assert other.of(answer, answer.failures, answer.failed, 0) == plain
    some = other.of(answer, answer.failures, answer.failed, 0b101)
    assert some == (least[0], plain[1], least[2], *plain[3:])


def test_what_the_file_lacks_is_told_once() -> None:
    facts = Facts(read_text(BASE.replace("chemistry: lead-acid, ", ""), "x"))
    answer = facts.states.answer("cruise")
    for _ in range(2):
        with pytest.raises(NotAssessable, match="chemistry"):
            facts.points.under_failures.of(answer, ((),), answer.healthy)


@pytest.mark.parametrize(("amps", "able", "low"), [(0.5, True, False), (2, True, True), (4, False, True)])
def test_of_two_operating_points_at_the_limit_of_an_alternator_the_lower_one_is_taken(
    amps: float, able: bool, low: bool
) -> None:
    """A box of constant power at idle, both batteries gone: the alternator gives 10 A at most. It can hold its set point, and where the box
    has pulled it down below that, it cannot lift it any more."""
    box = {
        "parts/alternator/idle-output": "10 A",
        "operation/states/idle": {"like": "cruise", "use": "ground", "engine-speed": "idle"},
        "parts/box": {"kind": "load", "type": "electronic", "current": f"{amps} A", "minimum": "8 V"},
        "wires/W93": {"from": "main-bus.box", "to": "box.supply", "gauge": "10 AWG", "length": "1 m"},
        "wires/W94": {"from": "box.return", "to": "main-ground.box", "gauge": "10 AWG", "length": "1 m"},
    }
    facts = Facts(
        read_text(text(edited(parsed(ROOT / "tests" / "rules" / "bases" / "bench.yaml"), box)), "design.yaml")
    )
    answer = facts.states.answer("idle")
    gone = (Failure("parts/main-battery", OPEN), Failure("parts/reserve-battery", OPEN))
    alone = facts.points.operating_point("idle", case=gone)
    cases = ((), gone, (Failure("wires/W23", OPEN),))
    scenario = Scenario(
        answer.state, conduct(facts.network, answer.state, cases, answer.healthy), cases=cases
    )
    lanes = solve_points(facts.design, facts.network, scenario, Figures(speed=answer.state.speed), 1)
    assert lanes.across("parts/box")[1] == pytest.approx(alone.across["parts/box"], abs=CLOSE)
    assert (alone.across["parts/box"] < 8) == low
    healthy = facts.points.operating_point("idle").given["parts/alternator"]
    assert (healthy < 10) == able


def overloaded(state: str, edits: dict[str, object], *opened: str) -> list[set[str]]:
    """What is overloaded with each of some parts of the bench open, besides a heater of 30 A at the main bus."""
    heater = {
        "parts/heater": {"kind": "load", "type": "heater", "current": "30 A"},
        "wires/W95": {"from": "main-bus.heater", "to": "heater.supply", "gauge": "10 AWG", "length": "0.5 m"},
        "wires/W96": {
            "from": "heater.return",
            "to": "main-ground.heater",
            "gauge": "10 AWG",
            "length": "0.5 m",
        },
        "operation/states/off": {
            "like": "cruise",
            "use": "abnormal",
            "switches": {"alternator-switch": "down"},
        },
        "operation/states/idle": {"like": "cruise", "use": "ground", "engine-speed": "idle"},
    }
    bench = ROOT / "tests" / "rules" / "bases" / "bench.yaml"
    facts = Facts(read_text(text(edited(parsed(bench), {**heater, **edits})), "design.yaml"))
    answer = facts.states.answer(state)
    cases = tuple(Failure(f"parts/{name}", OPEN) for name in opened)
    solved = conduct(facts.network, answer.state, cases, answer.healthy)
    assert facts.points.under_failures.overloaded(answer, (), solved) == ()
    return [set(found) for found in facts.points.under_failures.overloaded(answer, cases, solved)]


@pytest.mark.parametrize(("most", "over"), [("20 A", {"parts/main-battery"}), ("60 A", set())])
def test_a_battery_that_gives_more_than_it_may_after_a_loss_is_overloaded(most: str, over: set[str]) -> None:
    """A heater of 30 A and an ignition: some 30 A from the battery once the alternator is gone, none while it runs."""
    edits = {"parts/main-battery/max-discharge-current": most}
    assert overloaded("cruise", edits, "alternator", "left-fuse") == [over, set()]
    # with the alternator off it gives as much without any failure: that is no effect of one
    assert overloaded("off", edits, "left-fuse") == [set()]


@pytest.mark.parametrize(
    ("rating", "state", "over"),
    [("20 A", "cruise", True), ("60 A", "cruise", False), ("60 A", "idle", True), ("100 A", "idle", False)],
)
def test_the_alternator_that_is_left_gives_all_it_can(rating: str, state: str, over: bool) -> None:
    """Some 36 A are asked of it; at idle it has half of its rating (common practice, no source)."""
    second = {**second_alternator(rating, "14.2 V"), "parts/alternator/rating": "120 A"}
    assert overloaded(state, second, "alternator", "left-fuse") == [
        {"parts/second"} if over else set(),
        set(),
    ]


@pytest.mark.parametrize(
    ("name", "state", "failures", "dead", "fed"),
    [
        # all off: the loads of the reserve bus have diodes inside, so that leaks alone would lift it
        pytest.param(
            "injected-auto-pump",
            "secured",
            [Failure("wires/D19", OPEN), Failure("parts/main-battery", OPEN)],
            "reserve-bus",
            "reserve-battery.positive",
            id="behind a diode",
        ),
        # battery 1 is alone, so that nothing but leaks tells where the rest stands against its post
        pytest.param(
            "glider-two-batteries",
            "parked",
            [Failure("parts/battery-1-connector", OPEN), Failure("bundles/battery-1-lead", Mode.SEVERED)],
            "main-bus",
            "battery-2.positive",
            id="in two parts",
        ),
    ],
)
def test_what_no_source_feeds_has_no_volts_under_many_failures_as_in_solve(
    name: str, state: str, failures: list[Failure], dead: str, fed: str
) -> None:
    path = ROOT / "tests" / "aircraft" / f"{name}.design.yaml"
    # no unit is off at its own switch: a bus without one has the millivolts of what leaks to it in solve alone
    text = path.read_text(encoding="utf-8").replace(
        "units-off: [engine-monitor, display, radio]", "units-off: []"
    )
    facts = Facts(read_text(text, str(path)))
    answer = facts.states.answer(state)
    cases = (*failures, ())
    solved = conduct(facts.network, answer.state, cases, answer.healthy)
    points = facts.points.failed_points_in(answer, cases, solved)
    read = {t: np.nan_to_num(points.volts(t)) for t in facts.network.index}
    for lane, case in enumerate(cases):
        alone = facts.points.operating_point(state, None, failures_of(case)).volts
        apart = {t: abs(volts[lane] - alone.get(t, 0.0)) for t, volts in read.items()}
        assert max(apart.values()) <= CLOSE, max(apart, key=lambda t: apart[t])
        assert read[dead][lane] == pytest.approx(0.0, abs=CLOSE)
    assert all(read[fed][: len(cases)] > 13.0)


def test_a_failure_is_solved_once_whether_it_stands_alone_or_as_a_case_of_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    facts = Facts(read_text((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"), "tourer"))
    answer = facts.states.answers()[0]
    readings = facts.points.under_failures
    alone = readings.of(answer, answer.failures, answer.failed)
    assert any(alone)
    monkeypatch.setattr(readings, "_solve", None)
    assert readings.of(answer, [(f,) for f in answer.failures], answer.failed) == alone


def test_a_case_that_is_solved_alone_has_its_least_charge_too(monkeypatch: pytest.MonkeyPatch) -> None:
    path = ROOT / "examples" / "tourer.design.yaml"
    facts = [Facts(read_text(path.read_text(encoding="utf-8"), "tourer")) for _ in range(2)]
    lost = Failure("parts/alternator", OPEN)
    joint = facts[1].points.failed_points

    def none_found(*asked: object) -> Points:
        found = joint(*asked)
        return replace(found, unsolved=tuple(Unsolved(i, "", 0.0, "") for i in range(found.count)))

    monkeypatch.setattr(facts[1].points, "failed_points", none_found)
    together, alone = (
        one.points.under_failures.of(
            answer := one.states.answers()[0], [lost], conduct(one.network, answer.state, [lost])
        )[0]
        for one in facts
    )
    assert together is not None and alone is not None
    assert any(one.at_least_charge < one.value - 0.1 for one in together.values())
    for name, one in together.items():
        assert one.value == pytest.approx(alone[name].value, abs=CLOSE)
        assert one.at_least_charge == pytest.approx(alone[name].at_least_charge, abs=CLOSE)


def test_points_of_chargers_beside_remote_sensing_at_28_volts_are_all_found() -> None:
    """A charger takes what its output gives: how much that is, volts alone do not say to a microwatt."""
    path = ROOT / "tests" / "aircraft" / "28v-essential.design.yaml"
    facts = Facts(read_text(path.read_text(encoding="utf-8"), path.name))
    answer = facts.states.answer("taxi")
    cases = answer.failures[:60]
    found = facts.points.failed_points(
        "taxi", cases, conduct(facts.network, answer.state, cases, answer.healthy)
    )
    assert not found.unsolved
    for lane in (13, 40):
        alone = facts.points.operating_point("taxi", None, failures_of(cases[lane]))
        for charger in ("parts/engine-battery-charger", "parts/converter"):
            assert found.amps(charger)[lane] == pytest.approx(alone.given[charger], abs=1e-4)
