"""Runs of loads: worked by hand, against the examples of AC 43.13-1B, and on invented aircraft, where what is lost on the way and what a load has must add up."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.wiring.voltage_drop import circuit_run, sounding_of
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.reading import read_design, read_text
from tests.analysis.operating_point.dressed import dress
from tests.analysis.wiring.wired import ohms, run, wired
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic

ROOT = Path(__file__).parents[3]


def test_the_run_of_the_heater_worked_by_hand() -> None:
    """0.4 m of 14 AWG and 4.8 m of 12 AWG; the breaker 150 mV at 15 A, the switch 10 mohm, two pins of 5 mohm each (typical values)."""
    found = run(wired(), "pitot-heater")
    shares = dict(found.out) | {e: v for e, v in found.back if e.startswith("wires/")}
    amps = found.amperes
    assert shares["wires/W71"] == pytest.approx(amps * ohms("14 AWG", 0.3))
    assert shares["wires/W72"] == pytest.approx(amps * ohms("12 AWG", 1.5))
    assert shares["parts/heater-breaker"] == pytest.approx(amps * 0.15 / 15)
    assert shares["parts/heater-switch"] == pytest.approx(amps * 0.010)
    assert shares["wires/W75"] == pytest.approx(amps * ohms("12 AWG", 1.5))
    own = amps * (ohms("14 AWG", 0.4) + ohms("12 AWG", 4.8) + 0.010 + 0.010 + 2 * 0.005)
    shared = (
        found.volts - own
    )  # main-ground, the strap and the alternator's lead carry the others' currents too
    assert 0 < shared < 0.03
    assert (found.begins, found.ends, found.diodes) == ("parts/main-bus", "parts/alternator", ())
    assert found.out[0][0] == "parts/main-bus" and [e for e, _ in found.back[:3]] == [
        "wires/W74",
        "parts/wing-plug",
        "wires/W75",
    ]


def test_a_run_on_the_battery_begins_at_the_battery_where_no_bus_stands_between() -> None:
    found = run(wired(), "left-ignition", "on-battery")
    assert (found.begins, found.ends) == ("parts/main-battery", "parts/main-battery")
    assert [e for e, _ in found.out] == [
        "wires/W20",
        "parts/left-fuse",
        "wires/W21",
        "parts/left-switch",
        "wires/W22",
    ]


def test_current_that_returns_through_a_shield_has_a_run() -> None:
    facts = wired(
        ("  W52: {from: audio-panel.return, to: main-ground.audio, gauge: 22 AWG, length: 0.9 m}\n", ""),
        (
            "to: audio-panel.supply, gauge: 22 AWG, length: 0.6 m",
            "to: audio-panel.supply, gauge: 22 AWG, length: 0.6 m, shield: [audio-panel.return, main-ground.audio]",
        ),
    )
    found = run(facts, "audio-panel")
    assert [e for e, _ in found.back[:2]] == ["wires/W51", "parts/main-ground"]
    assert dict(found.out)["wires/W51"] == pytest.approx(found.amperes * ohms("22 AWG", 0.6))
    shield = facts.points.point(facts.points.flown[0]).shields["wires/W51"]
    assert shield == pytest.approx(found.amperes, abs=0.001)  # and what the sense lead draws


def test_what_a_diode_drops_is_told_apart() -> None:
    """A feed through a diode of 0.8 V at 10 A, silicon: less than 0.8 V at a lesser current, and no part of the drop."""
    feed = (
        "W21: {from: left-fuse.load, to: left-switch.line, gauge: 18 AWG, length: 1.4 m, bundle: left}",
        "W21: {from: left-fuse.load, to: feed-diode.anode, gauge: 18 AWG, length: 1.3 m}\n"
        "  W24: {from: feed-diode.cathode, to: left-switch.line, gauge: 18 AWG, length: 0.1 m}",
    )
    plain, behind = run(wired(), "left-ignition"), run(
        wired(feed, ("  left-switch:", "  feed-diode: {kind: diode, rating: 10 A, drop: 0.8 V}\n  left-switch:")), "left-ignition"
    )  # fmt: skip
    assert [e for e, _ in behind.diodes] == ["parts/feed-diode"] and 0.6 < behind.diode_volts < 0.8
    assert behind.volts / behind.amperes == pytest.approx(plain.volts / plain.amperes, rel=0.02)


ONE_RUN = """format: 1
aircraft: {{name: Example, nominal: {nominal}, airframe: metal, stage: detailed, ambient: 20 C}}
parts:
  alternator: {{kind: alternator, excitation: permanent-magnet, rating: 100 A, set-point: {volts} V}}
  main-bus: {{kind: bus}}
  pump: {{kind: load, type: motor, current: {amperes} A, minimum: 5 V, duty: continuous}}
wires:
  W1: {{from: alternator.output, to: main-bus.feed, resistance: 0.0001 ohm}}
  W2: {{from: main-bus.pump, to: pump.supply, gauge: {awg} AWG, length: {feet} ft}}
  W3: {{from: pump.return, to: alternator.ground, gauge: {awg} AWG, length: 1 ft}}
operation: {{normal: cruise, states: {{cruise: {{engine: running}}}}}}
"""


def one_run(nominal: str, awg: str, feet: float, amperes: float) -> Facts:
    """A bus, one wire to a load that draws the same at any voltage, and one back of a foot, so that the run is ``feet`` long in all."""
    volts = nominal.removesuffix(" V")
    text = ONE_RUN.format(nominal=nominal, volts=volts, amperes=amperes, awg=awg, feet=feet - 1)
    return Facts(read_text(text, "example.yaml"))


# AC 43.13-1B Table 11-7: allowed drop and nominal, run in feet, amperes, size, printed drop (2 % for the row that prints 3.60 for 3.555). The bus bar
# adds 0.2 mohm
@pytest.mark.parametrize(
    ("nominal", "feet", "awg", "printed"), [("28 V", 107, "6", 0.942), ("14 V", 90, "4", 0.504)]
)
def test_table_11_7_comes_out_of_a_solved_design(nominal: str, feet: float, awg: str, printed: float) -> None:
    found = one_run(nominal, awg, feet, 20).wires.steady_runs["parts/pump"][0][1]
    assert found.amperes == pytest.approx(20)
    assert found.volts == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize(("awg", "enough"), [("10", False), ("8", True)])
def test_example_1_of_ac_43_13_1b_chooses_8_awg(awg: str, enough: bool) -> None:
    """11-67c: 50 ft with the ground wire, 20 A continuous, 28 V: between 8 and 10 AWG, so 8 AWG."""
    from reviewer.rulebook.loader import load_rules
    from reviewer.rulebook.runner import run_rules

    rule = next(
        r
        for r in load_rules([ROOT / "rules"], installed=False)
        if r.name == "continuous-voltage-drop-is-within-limits"
    )
    assessment = run_rules([rule], one_run("28 V", awg, 50, 20))[0][0]
    assert [f.subject for f in assessment.findings] == ([] if enough else ["parts/pump"])
    assert (assessment.gaps, assessment.breakdowns) == ((), ())


def everything_adds_up(facts: Facts) -> int:
    """For each load in each state that can be solved: from the beginning of its run to the end, the losses and what it has are all there is."""
    told = 0
    for flown in facts.points.flown:
        try:
            point = facts.points.point(flown)
        except NotAssessable:
            continue
        at, answer = sounding_of(facts.network, point), facts.states.answer(flown.state)
        for load, amperes in point.taken.items():
            if (
                not amperes > 1e-4 or not answer.healthy.powered[load]
            ):  # what comes through another load feeds nothing
                continue
            found = circuit_run(facts.design, facts.network, answer, at, load, amperes, from_source=True)
            if found is None:  # the largest share of its return goes backwards through another load
                assert min(point.taken.values()) < -amperes / 2, (flown, load)
                continue
            source = next(s for s in facts.network.sources if s.element == found.begins)
            end = next(s for s in facts.network.sources if s.element == found.ends)
            assert point.given[found.begins] > -1e-9 or isinstance(
                facts.design.parts[bare(found.begins)], p.Battery
            )
            whole = (
                point.volts[facts.network.names[source.positive]]
                - point.volts[facts.network.names[end.negative]]
            )
            part = facts.design.parts[bare(load)]
            inside = point.volts[f"{bare(load)}.{part.returns[0]}"]
            supply = max(point.volts.get(f"{bare(load)}.{t}", -math.inf) for t in part.supplies)
            if load in point.reversed:
                supply, inside = inside, supply
            assert found.volts + found.diode_volts + supply - inside == pytest.approx(whole, abs=1e-9)
            assert all(volts > -1e-9 for _, volts in (*found.out, *found.back, *found.diodes)), (flown, load)
            told += 1
    return told


@pytest.mark.parametrize("example", ["tourer", "faulted-tourer"])
def test_what_is_lost_and_what_a_load_has_add_up_on_the_examples(example: str) -> None:
    assert everything_adds_up(Facts(read_design(ROOT / "examples" / f"{example}.design.yaml"))) > 50


def test_they_add_up_on_invented_aircraft_whatever_their_wiring() -> None:
    told = 0
    for seed in range(40):
        design = (
            realistic(80 + seed, seed, dress(seed, 0.0))
            if seed % 4 == 0
            else awkward(seed, dress=dress(seed, 0.0))
        )
        told += everything_adds_up(Facts(design))
    assert told > 300


def test_a_ring_of_ideal_joints_is_passed_and_named() -> None:
    """How two wires without a length share is open; the rest of the way still loses what it loses."""
    lead = "W2: {from: main-bus.pump, to: pump.supply, gauge: 10 AWG, length: 49 ft}"
    text = ONE_RUN.format(nominal="28 V", volts="28", amperes=20, awg=10, feet=49)
    assert text.count(lead) == 1
    open_share = lead.replace(", length: 49 ft", "")
    facts = Facts(read_text(text.replace(lead, f"{open_share}\n  {open_share.replace('W2', 'W2B')}"), "x"))
    found = facts.wires.steady_runs["parts/pump"][0][1]
    whole = Facts(read_text(text, "x")).wires.steady_runs["parts/pump"][0][1]
    assert {"wires/W2", "wires/W2B"} & set(found.elements) and "wires/W3" in found.elements
    assert dict(found.back) == pytest.approx(dict(whole.back), abs=1e-9)
    assert found.volts == pytest.approx(whole.volts - dict(whole.out)["wires/W2"], abs=1e-6)
