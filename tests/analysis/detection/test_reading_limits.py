"""Limits of readings: rules, `fail`, `effects` and test cards say of volts and amperes what `solve` has."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.detection.reading_limits import ReadingLimits, _rings
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown
from reviewer.analysis.operating_point.failure_readings import CaseReading
from reviewer.analysis.operating_point.points import Figures
from reviewer.analysis.operating_point.tolerances import Within
from reviewer.model import parts as p
from reviewer.questions.card_steps import Watched
from reviewer.questions.check_steps import check_steps
from reviewer.questions.effects import effects_of
from reviewer.questions.fail import fail_of
from reviewer.reading import read_text
from reviewer.tables.practice import practice
from tests.analysis.operating_point.bench import bench
from tests.analysis.operating_point.dressed import sensed
from tests.edits import edited
from tests.oracle.generator import awkward, realistic
from tests.rule_cases import BASES, parsed, text
from tests.thinned import some_of

ROOT = Path(__file__).parents[3]
READY = practice("states_of_charge", "ready-for-flight").low
#: an error of the two ways of solving that may move a reading over a limit
NEAR = 2e-3


def watched(**edits: object) -> Facts:
    """The base with monitors after some edits, ``__`` for a slash and ``_`` for a hyphen in their paths."""
    paths = {path.replace("__", "/").replace("_", "-"): value for path, value in edits.items()}
    return Facts(read_text(text(edited(parsed(BASES / "watched.yaml"), paths)), "watched"))


def shown(facts: Facts, failure: Failure, state: str = "cruise") -> tuple[str, ...]:
    return facts.detection.evidence(state, failure).monitors


CHARGING_LINE = Failure("parts/charge-diode", OPEN)


def test_a_reserve_whose_own_volts_are_within_the_limits_does_not_show_an_open_charging_diode() -> None:
    lithium = watched(parts__reserve_battery__chemistry="lithium-iron-phosphate")
    levels = Observation(lithium.states.answer("cruise"), lithium.detection.meters, (CHARGING_LINE,))
    assert levels.monitors["reserve-volts"]  # that of a battery instead of that of an alternator
    assert "reserve-volts" not in shown(lithium, CHARGING_LINE)
    # a lead-acid one, which feeds an ignition, falls below its alarm of 12.5 V by the time it is at 80 %
    assert "reserve-volts" in shown(watched(), CHARGING_LINE)
    assert "reserve-volts" not in shown(
        watched(watch__monitors__reserve_volts__alarm_below="12 V"), CHARGING_LINE
    )


def test_a_reserve_that_feeds_nothing_never_falls_to_its_alarm() -> None:
    """At rest it has its 12.6 V for the whole flight: nothing shows that its charging line is open."""
    idle = watched(wires__W30__from="main-bus.right", wires__W69__from="main-bus.monitor")
    assert "reserve-volts" in shown(watched(), CHARGING_LINE)
    assert "reserve-volts" not in shown(idle, CHARGING_LINE)


def test_an_alarm_that_is_on_anyway_limits_nothing() -> None:
    facts = watched(watch__monitors__bus_volts__alarm_below="14.5 V")
    assert "bus-volts" in shown(
        facts, Failure("parts/alternator", OPEN)
    )  # 12.6 V, where 13.4 V to 14.8 V may be


@pytest.mark.parametrize(
    ("volts", "surely", "perhaps"),
    [
        (12.7, True, True),
        (12.9, False, True),
        (13.1, False, True),
        (13.3, False, False),
        (15.1, False, True),
        (15.5, True, True),
    ],
)
def test_an_alarm_counts_that_comes_whatever_its_meter_is_wrong_by(
    volts: float, surely: bool, perhaps: bool
) -> None:
    now = CaseReading(volts, volts, False)
    assert (_rings(now, 13.0, 15.2, 0.2), _rings(now, 13.0, 15.2, -0.2)) == (surely, perhaps)


def test_what_falls_comes_to_its_alarm_whatever_the_error() -> None:
    now = CaseReading(13.1, 12.9, False)
    assert _rings(now, 13.0, None, 0.2, 1) and not _rings(now, 13.0, None, 0.2)


def test_a_display_that_goes_dark_shows_it_and_one_that_is_dark_anyway_does_not() -> None:
    facts = watched()
    unit = Failure("parts/engine-monitor", OPEN)
    assert {"bus-volts", "reserve-volts", "alternator-amps"} <= set(shown(facts, unit))
    assert "bus-volts" not in shown(facts, Failure("parts/main-battery", OPEN), "parked")


def test_a_low_voltage_lamp_is_lit_by_volts() -> None:
    # the lamp is fed from the bus and senses it
    def lamp(below: str) -> Facts:
        return watched(
            wires__W86__from="main-bus.lamp",
            watch__monitors__bus_volts__displayed_on="start-lamp",
            watch__monitors__bus_volts__alarm_below=below,
        )

    lost = Failure("parts/alternator", OPEN)
    assert "bus-volts" in shown(lamp("12.9 V"), lost)
    assert "bus-volts" not in shown(lamp("11 V"), lost)


def test_two_voltmeters_of_a_check_show_a_diode_by_their_difference() -> None:
    facts = watched(
        watch__checks__reserve_charges={
            "state": "run-up-left",
            "watch": ["bus-volts", "reserve-volts"],
            "expect": "0.6 V less.",
        },
        parts__charge_diode__technology="schottky",
    )
    shorted = Failure("parts/charge-diode", DIODE_SHORT)
    answer, meters = facts.states.answer("run-up-left"), facts.detection.meters
    observation = Observation(answer, meters, (shorted,), facts.detection.limits)
    names = ("bus-volts", "reserve-volts")
    apart = facts.detection.limits.between(answer, (shorted,), observation.solved, meters, names)
    point = facts.points.operating_point("run-up-left", None, (shorted,))
    reads = point.readings["bus-volts"].value - point.readings["reserve-volts"].value
    within = facts.points.spread("run-up-left").difference("bus-volts", "reserve-volts")
    assert apart == (not within.holds(reads))
    assert observation.watched(names) & 1 >= apart
    assert observation.apart() == {"bus-volts": apart}
    alone = watched(parts__charge_diode__technology="schottky")
    assert not Observation(
        alone.states.answer("run-up-left"), meters, (shorted,), alone.detection.limits
    ).apart()


def test_without_a_figure_readings_are_told_by_level() -> None:
    facts = watched(remove=["parts/reserve-battery/chemistry"])
    assert "reserve-volts" in shown(facts, CHARGING_LINE)


def test_the_current_of_loads_that_nobody_knows_is_told_by_its_direction() -> None:
    facts = watched(remove=["parts/left-ignition/current"])
    opened = Failure("parts/alternator-shunt", OPEN)
    assert "alternator-amps" in shown(facts, opened)
    assert (
        "alternator-amps"
        not in Observation(
            facts.states.answer("cruise"), facts.detection.meters, (opened,), facts.detection.limits
        ).numbers
    )


def test_in_flight_an_ammeter_shows_what_is_beyond_all_that_the_crew_sees_in_normal_flight() -> None:
    def amps(failure: Failure, state: str, alarm: str | None = None) -> bool:
        data = parsed(ROOT / "examples" / "tourer.design.yaml")
        edits = {"watch/monitors/alternator-amps/alarm": alarm} if alarm else {}
        return "alternator-amps" in shown(
            Facts(read_text(text(edited(data, edits)), "tourer")), failure, state
        )

    heater, lost = Failure("parts/pitot-switch", OPEN), Failure("parts/alternator", OPEN)
    # 24 A in the cruise is less than is ever seen; 28 A in the climb is seen in the cruise
    assert amps(heater, "cruise")
    assert not amps(heater, "departure")
    assert not amps(heater, "cruise", "ALT below 1 A")
    assert amps(lost, "departure")
    assert amps(lost, "cruise", "ALT below 1 A")


def test_a_current_is_told_by_its_direction_where_a_state_of_flight_has_loads_that_nobody_knows() -> None:
    data = parsed(ROOT / "examples" / "tourer.design.yaml")
    # the landing light is off in the cruise
    facts = Facts(read_text(text(edited(data, {"remove": ["parts/landing-light/current"]})), "tourer"))
    assert "alternator-amps" not in shown(facts, Failure("parts/pitot-switch", OPEN))
    assert "alternator-amps" in shown(facts, Failure("parts/alternator", OPEN))


# -- every sentence against solve ----------------------------------------------------------------------------------------------------------


@cache
def readings_of(facts: Facts, state: str, case: tuple[Failure, ...]) -> tuple[dict, dict]:
    """What `solve` reads, and with each battery at the least charge with which it is ready."""
    charge = {}
    for name in facts.design.of_kind(p.Battery):
        own = facts.design.parts[name].state_of_charge
        charge[f"parts/{name}"] = min(READY, 1.0 if own is None else own)
    ground = facts.states.declared[state].use == "ground"
    figures = Figures(state_of_charge=charge, speed=0.0 if ground else 1.0)
    return (
        dict(facts.points.operating_point(state, None, case).readings),
        dict(facts.points.figured(Flown(state, None), case, figures).readings),
    )


def told_by_solve(facts: Facts, state: str, failure: Failure, name: str) -> bool | None:
    """Whether a voltmeter or ammeter shows a failure by its definition; None where it is told by level, or near a limit."""
    monitor = facts.design.watch.monitors[name]
    try:
        before, before_low = readings_of(facts, state, ())
        after, after_low = readings_of(facts, state, (failure,))
        within, undrawn = facts.points.spread(state).monitor(name), facts.points.spread(state).points.undrawn
    except NotAssessable:
        return None
    powered = facts.states.answer(state).healthy.powered
    if (
        within is None
        or after[name].value is None
        or (any(powered[e] for e in undrawn) and monitor.shows == "current")
    ):
        return None
    if before[name].blank or after[name].blank:
        return before[name].blank != after[name].blank
    watched = any(c.state == state and name in c.watch for c in facts.design.watch.checks.values())
    flight = () if watched else in_flight(facts, name)
    if None in flight and monitor.shows == "current":
        return None
    flight = tuple(one for one in flight if one)
    low, high = min(w.low for w in (within, *flight)), max(w.high for w in (within, *flight))
    if any(
        abs(reads - limit) < NEAR
        for reads in (after[name].value, after_low[name].value)
        for limit in (*limits_of(monitor), low, high)
    ):
        return None
    if monitor.alarm and not watched:  # that of a current: it is gone, has turned or is new
        amps = [0.0 if abs(r[name].value) < 0.5 else r[name].value for r in (before, after)]
        return not low <= after[name].value <= high and np.sign(amps[0]) != np.sign(amps[1])
    below, above = monitor.alarm_below, monitor.alarm_above
    wrong = [facts.detection.meter_error(name, r[name].value) for r in (before, after)]
    ringing = (below is not None and min(before[name].value - wrong[0], before_low[name].value) < below) or (
        above is not None and before[name].value + wrong[0] > above
    )
    if watched or ringing:
        return not low <= after[name].value <= high
    falling = falls(facts, state, failure, name)
    if below is None:
        under = after[name].value < low
    else:
        under = after[name].value + wrong[1] < below or (falling and after_low[name].value < below)
    return under or after[name].value > (high if above is None else above + wrong[1])


def falls(facts: Facts, state: str, failure: Failure, name: str) -> bool:
    """Whether every battery that feeds what a voltmeter senses discharges."""
    now = facts.points.answer_of(Flown(state, None), (failure,)).healthy
    given = facts.points.operating_point(state, None, (failure,)).given
    fed = [
        given[s.element]
        for s in facts.network.sources
        if s.kind == "battery" and now.fed[s.element][facts.detection.meters[name].ends[0]]
    ]
    return bool(fed) and all(amps > 0.05 for amps in fed)


@cache
def in_flight(facts: Facts, name: str) -> tuple[Within | None, ...]:
    """What a sound system reads in each state and phase of normal flight; None where a figure lacks."""
    found: list[Within | None] = []
    for flown in facts.points.flown:
        state = facts.states.answer(flown.state).state
        if state.engine != "cranking" and (
            state.use == "flight" or flown.state == facts.design.operation.normal
        ):
            try:
                spread = facts.points.spread(flown.state, phase=flown.phase)
            except NotAssessable:
                found.append(None)
                continue
            powered = facts.states.answer(flown.state).healthy.powered
            lacking = any(powered[e] for e in spread.points.undrawn)
            found.append(None if lacking else spread.monitor(name))
    return tuple(found)


def limits_of(monitor) -> list[float]:
    return [limit for limit in (monitor.alarm_below, monitor.alarm_above) if limit is not None]


def meters_of(facts: Facts) -> list[str]:
    return [n for n, m in facts.detection.meters.items() if m.shows != "live" and not m.lamp]


def compared(facts: Facts, state: str, every: int) -> int:
    """Compares what `effects` says of the monitors of a state with solve; gives how many were shown."""
    count = 0
    for effect in effects_of(facts, state).effects[::every]:
        if effect.failure.passes or effect.failure.opened or effect.unsettled:
            continue
        for name in meters_of(facts):
            wanted = told_by_solve(facts, state, effect.failure, name)
            if wanted is not None and state != "cranking":
                assert wanted == (name in (*effect.signs.monitors, *effect.signs.dark)), (
                    effect.words,
                    effect.failure,
                    name,
                )
                count += wanted
    return count


@pytest.mark.parametrize(
    ("file", "states"),
    [("tourer", ("cruise",)), pytest.param("faulted-tourer", ("taxi",), marks=pytest.mark.long)],
)
def test_effects_name_the_monitors_of_the_examples_that_solve_takes_out_of_their_limits(
    file: str, states: tuple[str, ...]
) -> None:
    facts = Facts(read_text((ROOT / "examples" / f"{file}.design.yaml").read_text(encoding="utf-8"), file))
    assert all([compared(facts, state, 37) for state in states])
    one = fail_of(facts, "alternator").effects[0]
    (row,) = (e for e in effects_of(facts, "cruise").effects if e.failure == one.failure)
    assert one.signs == row.signs and "bus-volts" in one.signs.monitors


@pytest.mark.parametrize(
    "seed", [1, *(pytest.param(s, marks=pytest.mark.long) for s in some_of([0, 2, 3, 5], [0, 2]))]
)
def test_effects_name_the_monitors_of_invented_aircraft_that_solve_takes_out_of_their_limits(
    seed: int,
) -> None:
    facts = Facts(realistic(80, seed, sensed(seed)) if seed % 3 == 0 else awkward(seed, dress=sensed(seed)))
    if facts.design.watch.monitors:
        for state in [s for s in facts.states.declared if facts.states.answer(s).state.engine != "cranking"][
            :2
        ]:
            compared(facts, state, 31)


def cards(facts: Facts, check: str) -> int:
    """Compares the steps of a test card with solve; gives how many failures they suspect by a reading."""
    state, count = facts.design.watch.checks[check].state, 0
    point = facts.points.operating_point(state)
    for step in check_steps(facts, check):
        if step.watched not in (Watched.METER, Watched.DIFFERENCE) or step.limits is None:
            continue
        read = [point.readings[n].value for n in step.names]
        assert step.limits.value == pytest.approx(read[0] - sum(read[1:]), abs=NEAR)
        assert step.limits.low <= step.limits.value <= step.limits.high
        for suspect in step.suspects:
            after = facts.points.operating_point(state, None, (suspect.failure,))
            reads = [after.readings[n].value for n in step.names]
            if suspect.dark:
                assert any(after.readings[n].blank for n in step.names)
                continue
            assert suspect.value == pytest.approx(reads[0] - sum(reads[1:]), abs=NEAR)
            assert not step.limits.low + NEAR <= suspect.value <= step.limits.high - NEAR
            count += 1
    return count


def test_the_cards_of_the_example_suspect_what_solve_takes_out_of_the_limits() -> None:
    facts = Facts(read_text((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"), "tourer"))
    assert sum(cards(facts, check) for check in facts.design.watch.checks) >= 5


def test_the_rule_on_alternators_tells_the_volts_that_solve_has() -> None:
    facts = watched(watch__monitors__bus_volts__alarm_below="11 V")
    told = facts.detection.volts_without("parts/alternator")["bus-volts"]
    full, _ = readings_of(facts, "cruise", (Failure("parts/alternator", OPEN),))
    assert told.most == pytest.approx(full["bus-volts"].value, abs=NEAR)
    before, _ = readings_of(facts, "cruise", ())
    assert facts.detection.normal_volts["bus-volts"].least == pytest.approx(
        before["bus-volts"].value, abs=NEAR
    )


def test_an_alarm_warns_of_a_lost_alternator_where_the_batteries_fall_to_it() -> None:
    lost = Failure("parts/alternator", OPEN)
    assert "bus-volts" in watched().detection.warned("cruise", lost)
    late = watched(watch__monitors__bus_volts__alarm_below="11 V")
    assert "bus-volts" not in late.detection.warned("cruise", lost)


def test_a_display_that_goes_dark_with_too_little_voltage_warns() -> None:
    """On the batteries alone both its supplies have less than 13.2 V; no alarm comes at 9 V."""
    lost = Failure("parts/alternator", OPEN)
    alarms = {f"watch__monitors__{n}_volts__alarm_below": "9 V" for n in ("bus", "reserve")}
    dark = watched(parts__engine_monitor__minimum="13.2 V", **alarms)
    assert set(dark.detection.warned("cruise", lost)) == {"alternator-amps", "bus-volts", "reserve-volts"}
    lit = watched(parts__engine_monitor__minimum="9 V", **alarms)
    assert lit.detection.warned("cruise", lost) == ("alternator-amps",)


def test_a_check_compares_the_voltmeters_that_it_watches_and_not_those_of_another() -> None:
    both = {"state": "run-up-left", "watch": ["bus-volts", "reserve-volts"], "expect": "0.6 V less."}
    one, other = ({**both, "watch": [n]} for n in both["watch"])
    together = watched(watch__checks__compared=both)
    assert together.detection.limits.read_together("run-up-left") == (("bus-volts", "reserve-volts"),)
    apart = watched(watch__checks__one=one, watch__checks__other=other)
    assert apart.detection.limits.read_together("run-up-left") == ()


@pytest.mark.parametrize(
    ("minimum", "opened", "state", "outside", "dark"),
    [
        ("12.4 V", "parts/left-fuse", "stopped", 1, 0),  # it lights up
        ("11 V", "parts/left-fuse", "stopped", 0, 0),
        ("11 V", "parts/audio-breaker", "stopped", 1, 1),  # it goes dark
        ("12.4 V", "parts/audio-breaker", "stopped", 0, 0),
    ],
)
def test_a_display_goes_dark_only_where_it_was_lit(
    minimum: str, opened: str, state: str, outside: int, dark: int
) -> None:
    """A heater of 40 A pulls the battery to some 12.2 V; without it the display has 12.5 V."""
    heater = "type: heater, current: 40 A}\n  right-fuse"
    facts = bench(
        ("type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse", heater),
        ("    current: 0.5 A\n", f"    current: 0.5 A\n    minimum: {minimum}\n"),
    )
    answer, cases = facts.states.answer(state), (Failure(opened, OPEN),)
    solved = conduct(facts.network, answer.state, cases, answer.healthy)
    meter = facts.points.wiring.meters["reserve-volts"]
    found = ReadingLimits(facts.points, facts.design).shown(answer, cases, solved, [meter])
    assert (found["reserve-volts"].outside, found["reserve-volts"].dark) == (outside, dark)


def test_an_alarm_in_amperes_comes_where_solve_has_less_whichever_way_the_shunt_is_drawn() -> None:
    """The shunt is drawn with its line at the bus: it reads -8.2 A in flight, of which 8.2 A are meant."""
    low = watched(watch__monitors__alternator_amps__alarm_below="2 A")
    assert low.points.operating_point("cruise").readings["alternator-amps"].value < -8
    assert low.points.alarm_sign("alternator-amps") == -1
    lost, lesser = Failure("parts/alternator", OPEN), Failure("parts/left-fuse", OPEN)
    assert "alternator-amps" in low.detection.warned("cruise", lost)
    assert "alternator-amps" not in low.detection.warned("cruise", lesser)
    silent = {
        "watch__monitors__bus_volts__alarm_below": "9 V",
        "watch__monitors__reserve_volts__alarm_below": "9 V",
    }
    (phase,) = (f.phase for f in low.points.flown_in(["cruise"]))
    for level, first in (("below", "alternator-amps"), ("above", "")):
        facts = watched(
            **{f"watch__monitors__alternator_amps__alarm_{level}": "55 A" if not first else "2 A"},
            **silent,
            aircraft__min_temperature="-10 C",
        )
        notice = facts.detection.loss_notice(("parts/alternator",), phase)
        assert (notice.monitor == first and not notice.seconds) if first else notice is None or notice.seconds
