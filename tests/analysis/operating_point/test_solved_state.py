"""The operating point of a small aircraft: facts of the trade (common practice, no source), hand-worked drops, and what each monitor reads."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.points import Figures
from reviewer.analysis.solver import newton
from reviewer.model.quantities import FOOT_M
from reviewer.reading import read_design
from reviewer.tables.typical import typical
from tests.analysis.operating_point.bench import BASE, bench
from tests.analysis.small_designs import SmallDesign

ROOT = Path(__file__).parents[3]
BIG_LOAD = (
    "audio-panel:\n    kind: instrument\n    current: 0.5 A",
    "audio-panel:\n    kind: instrument\n    current: 4 A",
)


def test_the_alternator_holds_the_main_battery_at_its_charging_voltage() -> None:
    """Common practice, no source: 14.2 to 14.5 V."""
    point = bench().points.operating_point("cruise")
    assert 14.2 <= point.volts["main-battery.positive"] - point.volts["main-battery.negative"] <= 14.5
    assert point.given["parts/main-battery"] < 0


def test_what_is_flown_is_each_state_with_each_of_its_phases_and_every_other_state_once() -> None:
    facts = bench(("  states:\n", "  phases: {climb: {state: cruise}, level: {state: cruise}}\n  states:\n"))
    assert [str(f) for f in facts.points.flown] == [
        "cruise (climb)",
        "cruise (level)",
        "alternator-off",
        "smoke-drill",
        "parked",
        "stopped",
    ]
    assert all(
        facts.points.point(f) is facts.points.operating_point(f.state, f.phase) for f in facts.points.flown
    )


def test_the_reserve_floats_behind_its_diode() -> None:
    """Common practice, no source: near 13.9 V, and the diode drops 0.5 to 0.8 V."""
    point = bench(("functions:\n", "functions:\n")).points.operating_point("cruise")
    reserve = point.volts["reserve-battery.positive"] - point.volts["reserve-battery.negative"]
    drop = point.volts["charge-diode.anode"] - point.volts["charge-diode.cathode"]
    assert 13.5 <= reserve <= 14.0, reserve
    assert 0.5 <= drop <= 0.8, drop


def test_without_the_alternator_batteries_stand_at_their_own_voltage_less_a_little() -> None:
    """Common practice, no source: 12.7 V full at rest; each a little less under its load, and the diode keeps them apart."""
    point = bench().points.operating_point("stopped")
    for name in ("main-battery", "reserve-battery"):
        assert 12.4 <= point.volts[f"{name}.positive"] - point.volts[f"{name}.negative"] <= 12.7
        assert point.given[f"parts/{name}"] > 0
    assert abs(point.amps["parts/charge-diode"]) < 1e-3


def test_the_shunt_in_the_alternator_lead_reads_nothing_with_the_engine_stopped_and_never_backwards() -> None:
    facts = bench()
    assert facts.points.operating_point("stopped").readings["alternator-amps"].value == pytest.approx(
        0, abs=1e-6
    )
    assert facts.points.operating_point("alternator-off").readings["alternator-amps"].value == pytest.approx(
        0, abs=1e-6
    )
    running = facts.points.operating_point("cruise")
    assert running.readings["alternator-amps"].value == pytest.approx(
        running.given["parts/alternator"], abs=1e-6
    )
    assert running.given["parts/alternator"] > 1


def test_the_shunt_in_the_battery_lead_reads_both_ways() -> None:
    facts = bench()
    running, stopped = facts.points.operating_point("cruise"), facts.points.operating_point("stopped")
    assert (
        running.readings["battery-amps"].value is not None
        and stopped.readings["battery-amps"].value is not None
    )
    assert running.readings["battery-amps"].value < -0.1 < 0.1 < stopped.readings["battery-amps"].value


def test_the_shunt_in_a_feeder_reads_the_load_behind_it() -> None:
    for state in ("cruise", "stopped"):
        point = bench().points.operating_point(state)
        reading = point.readings["audio-amps"]
        assert (
            reading.value == pytest.approx(point.taken["parts/audio-panel"], abs=1e-6) and not reading.blank
        )
        # an instrument holds its power: 0.5 A at 14 V
        assert reading.value * point.across["parts/audio-panel"] == pytest.approx(7.0, abs=1e-4)


def test_a_voltmeter_reads_against_its_own_return_and_is_blank_without_supply() -> None:
    facts = bench(
        BIG_LOAD,
        ("reserve-volts: {signal: volts-in}}", "reserve-volts: {signal: volts-in}, bus: {signal: bus-in}}"),
        (
            "  W44: {",
            "  W99: {from: main-bus.feed, to: audio-panel.bus-in, gauge: 22 AWG, length: 0.5 m}\n  W44: {",
        ),
    )
    point = facts.points.operating_point("cruise")
    offset = point.volts["audio-panel.return"]
    # 22 AWG of 0.9 m, 16.2 ohm per 1000 ft, and the ring terminal, carry four amperes: some sixty millivolts and more
    assert offset > 0.05
    assert point.readings["bus-volts"].value == pytest.approx(point.volts["main-bus.feed"] - offset)
    assert point.readings["main-volts"].value == pytest.approx(point.volts["main-battery.positive"])
    parked = facts.points.operating_point("parked")
    assert parked.readings["bus-volts"].blank and parked.readings["main-live"].value == 0
    assert point.readings["main-live"].value == 1


def test_a_return_wire_drops_what_table_11_9_says() -> None:
    """AC 43.13-1B Table 11-9: 22 AWG 16.2 ohm per 1000 ft at 20 C; 11-66d(4): (234.5 + T) / 254.5."""
    for ambient, factor in (("20 C", 1.0), ("70 C", 304.5 / 254.5)):
        facts = bench(
            BIG_LOAD,
            (
                "airframe: composite, stage: detailed}",
                f"airframe: composite, stage: detailed, ambient: {ambient}}}",
            ),
        )
        point = facts.points.operating_point("cruise")
        drop = point.volts["audio-panel.return"] - point.volts["main-ground.audio"]
        ohms = 16.2 / 1000 / FOOT_M * 0.9 * factor
        # what the input of the voltmeter takes returns by the same wire
        sensed = point.readings["reserve-volts"].value / typical("ohms", "voltage-input").value
        assert drop == pytest.approx(ohms * (point.taken["parts/audio-panel"] + sensed), rel=1e-6)
        assert "conductor" not in " ".join(a.what for a in point.assumed)


def test_a_common_return_lifts_what_shares_it() -> None:
    """Two loads on one ground block: each sees the other's current in the wire that they share."""
    share = (
        "W52: {from: audio-panel.return, to: main-ground.audio,",
        "W52: {from: audio-panel.return, to: left-ignition.return,",
    )
    alone, shared = (
        bench(BIG_LOAD).points.operating_point("cruise"),
        bench(BIG_LOAD, share).points.operating_point("cruise"),
    )
    lifted = shared.volts["left-ignition.return"] - alone.volts["left-ignition.return"]
    ohms = 6.23 / 1000 / FOOT_M * 0.6 + 0.0002
    assert lifted == pytest.approx(ohms * shared.taken["parts/audio-panel"], rel=0.02)


def test_an_alternator_at_its_limit_leaves_the_rest_to_the_battery() -> None:
    heavy = (
        "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse",
        "type: heater, current: 40 A}\n  right-fuse",
    )
    facts = bench(heavy, ("rating: 60 A, set-point", "rating: 30 A, set-point"))
    point = facts.points.operating_point("cruise")
    assert point.given["parts/alternator"] == pytest.approx(30, abs=1e-6)
    assert point.given["parts/main-battery"] > 2
    assert point.volts["main-battery.positive"] < 12.7


def test_on_the_ground_the_alternator_gives_its_idle_output() -> None:
    idle = ("cruise: {engine: running", "taxi: {like: cruise, use: ground}\n    cruise: {engine: running")
    heavy = (
        "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse",
        "type: heater, current: 40 A}\n  right-fuse",
    )
    facts = bench(idle, heavy, ("rating: 60 A, set-point", "rating: 60 A, idle-output: 12 A, set-point"))
    assert facts.points.operating_point("taxi").given["parts/alternator"] == pytest.approx(12, abs=1e-6)
    assert facts.points.operating_point("cruise").given["parts/alternator"] > 35


def test_every_answer_says_which_typical_values_it_rests_on() -> None:
    point = bench().points.operating_point("cruise")
    said = {a.what: a for a in point.assumed}
    assert "parts/main-battery" in said["resistance of a new lead-acid battery"].elements
    assert said["resistance of a closed switch contact"].rests_on == "common practice (no published source)"
    assert all(a.rests_on and a.elements for a in point.assumed)
    given = bench(
        (
            "chemistry: lead-acid, capacity: 17 Ah}",
            "chemistry: lead-acid, capacity: 17 Ah, internal-resistance: 0.007 ohm}",
        )
    )
    again = {a.what: a for a in given.points.operating_point("cruise").assumed}
    assert "parts/main-battery" not in again["resistance of a new lead-acid battery"].elements


def test_a_wire_without_a_size_is_an_ideal_joint_and_is_told() -> None:
    facts = bench(
        ("to: left-ignition.supply, gauge: 18 AWG, length: 1.2 m", "to: left-ignition.supply, gauge: 18 AWG")
    )
    point = facts.points.operating_point("cruise")
    assert point.unsized == {"wires/W22": "`length`"}
    assert point.volts["left-switch.load"] == point.volts["left-ignition.supply"]
    assert point.amps["wires/W22"] == pytest.approx(point.taken["parts/left-ignition"], abs=1e-6)


def test_the_share_of_ideal_joints_in_a_ring_is_not_made_up() -> None:
    facts = bench(
        ("to: left-ignition.supply, gauge: 18 AWG, length: 1.2 m,", "to: left-ignition.supply,"),
        ("  W23: {", "  W22B: {from: left-switch.load, to: left-ignition.supply}\n  W23: {"),
    )
    point = facts.points.operating_point("cruise")
    assert (
        point.amps["wires/W22"] != point.amps["wires/W22"]
        and point.amps["wires/W22B"] != point.amps["wires/W22B"]
    )
    assert point.amps["wires/W21"] == pytest.approx(point.taken["parts/left-ignition"], abs=1e-6)


def test_a_load_without_a_current_draws_nothing_and_is_told() -> None:
    facts = bench(
        (
            "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse",
            "type: electronic}\n  right-fuse",
        )
    )
    point = facts.points.operating_point("cruise")
    assert point.undrawn == {"parts/left-ignition": "`current`"} and point.taken["parts/left-ignition"] == 0


@pytest.mark.parametrize(
    ("edit", "needs"),
    [
        (("chemistry: lead-acid, capacity: 17 Ah}", "capacity: 17 Ah}"), "`chemistry` of main-battery"),
        (("chemistry: lead-acid, capacity: 17 Ah}", "chemistry: lead-acid}"), "`capacity` of main-battery"),
        (
            ("alternator: {kind: alternator, rating: 60 A,", "alternator: {kind: alternator,"),
            "`rating` of alternator",
        ),
    ],
)
def test_a_source_of_which_too_little_is_said_is_not_assessed(edit: tuple[str, str], needs: str) -> None:
    with pytest.raises(NotAssessable) as caught:
        bench(edit).points.operating_point("cruise")
    assert caught.value.needs == needs


def test_a_point_that_is_not_found_names_the_node_and_the_device(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(newton, "ROUNDS", 1)
    monkeypatch.setattr(newton, "DESCENTS", 0)
    facts = bench()
    with pytest.raises(NotAssessable) as caught:
        facts.points.operating_point("cruise")
    terminal = caught.value.needs.partition("the currents at ")[2].partition(" miss by ")[0]
    assert terminal in facts.network.names
    assert caught.value.needs.rpartition(", at ")[2] in facts.design.parts
    points = facts.points.operating_points("cruise", Figures(), 3)
    assert [u.point for u in points.unsolved] == [0, 1, 2]
    with pytest.raises(NotAssessable, match="no operating point was found"):
        points.require_found()
    assert all(v != v for v in points.volts("main-bus")) and all(
        a != a for a in points.amps("parts/alternator")
    )


def test_a_lost_bond_shows_in_volts() -> None:
    """Without the bond of the two ground blocks the reserve is not charged: it falls to its own voltage."""
    facts = bench()
    whole, broken = (
        facts.points.operating_point("cruise"),
        facts.points.operating_point("cruise", None, (Failure("wires/W35", OPEN),)),
    )
    across = [
        p.volts["reserve-battery.positive"] - p.volts["reserve-battery.negative"] for p in (whole, broken)
    ]
    assert across[0] > 13.5 > 12.7 > across[1]


def test_where_no_source_is_left_there_are_no_volts_and_no_amperes() -> None:
    facts = bench()
    point = facts.points.operating_point(
        "stopped", None, tuple(Failure(f"parts/{name}", OPEN) for name in ("main-battery", "reserve-battery"))
    )
    assert (
        not point.volts
        and not any(point.amps.values())
        and not any(point.given.values())
        and point.readings["main-volts"].value == 0
    )


@pytest.mark.parametrize(
    "path",
    [ROOT / "tests" / "rules" / "bases" / "bench.yaml", ROOT / "examples" / "tourer.design.yaml"],
    ids=lambda path: path.name,
)
def test_volts_and_logic_agree_under_failures(path: Path) -> None:
    """What the logic calls powered has volts across it and what it does not call powered has none, under every seventh failure."""
    facts = Facts(read_design(path))
    answer = facts.states.answer("cruise")
    compared = 0
    for lane, failure in list(enumerate(answer.failures))[::7]:
        point = facts.points.operating_point("cruise", None, (failure,))
        for load, volts in point.across.items():
            powered = answer.failed.powered[load] >> lane & 1
            assert volts > 10 if powered else volts < 1, (failure, load, volts)
            compared += 1
    assert compared > 40


def test_a_motor_that_starts_and_a_cold_lamp_take_their_peak_as_a_resistance() -> None:
    old = "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse"
    for kind, given, factor in (
        ("motor", ", peak: 20 A", 20 / 14),
        ("motor", "", 5 * 2 / 14),
        ("lamp", "", 10 * 2 / 14),
    ):
        facts = bench((old, f"type: {kind}, current: 2 A, minimum: 8 V{given}}}\n  right-fuse"))
        point = facts.points.operating_point("cruise", starting=("left-ignition",))
        assert point.taken["parts/left-ignition"] == pytest.approx(
            factor * point.across["parts/left-ignition"], rel=1e-6
        )
        assert (
            point.volts["left-ignition.supply"]
            < facts.points.operating_point("cruise").volts["left-ignition.supply"]
        )


def test_a_starter_drags_the_battery_down_and_the_contactor_still_holds() -> None:
    """Common practice, no source: 9 to 11.5 V at the battery with 150 to 200 A, and the diode keeps the reserve out of it."""
    point = Facts(read_design(ROOT / "examples" / "tourer.design.yaml")).points.operating_point("cranking")
    assert 9 < point.volts["main-battery.positive"] < 11.5 < 12.3 < point.volts["reserve-battery.positive"]
    assert (
        point.taken["parts/starter"] == pytest.approx(160, rel=1e-6)
        and point.coils["parts/starter-contactor"] > 2.5
    )


def test_figures_of_the_phase_are_taken() -> None:
    old = (
        "type: electronic, current: 1.5 A, minimum: 8 V",
        "type: motor, current: {climb: 3 A, cruise: 1 A}, minimum: 8 V",
    )
    phases = (
        "  states:\n",
        "  phases: {climb: {state: cruise}, cruise: {state: cruise}, descent: {state: cruise}}\n  states:\n",
    )
    facts = bench(old, phases)
    for phase, amps in (("climb", 3), ("cruise", 1), ("descent", 0), (None, 3)):
        point = facts.points.operating_point("cruise", phase)
        assert point.taken["parts/left-ignition"] == pytest.approx(amps, abs=1e-6)
        assert ("parts/left-ignition" in point.undrawn) == (phase == "descent")
    assert (
        facts.points.operating_point("cruise", "descent").undrawn["parts/left-ignition"]
        == "`current` in descent"
    )


def test_a_28_volt_system_has_twice_the_volts() -> None:
    facts = bench(("nominal: 14 V", "nominal: 28 V"), (", set-point: 14.4 V, overvoltage-trip: 16.2 V", ""))
    running, stopped = facts.points.operating_point("cruise"), facts.points.operating_point("stopped")
    # common practice, no source: 28.0 to 28.8 V charging, twice 12.6 V at rest
    assert (
        28.0 <= running.volts["main-battery.positive"] <= 28.8
        and 25.0 <= stopped.volts["main-battery.positive"] <= 25.2
    )


def test_a_load_of_two_supplies_takes_the_higher_and_feeds_neither() -> None:
    two = (
        "left-ignition: {kind: load, type: electronic, current: 1.5 A",
        "left-ignition: {kind: load, supplies: [supply, second], type: electronic, current: 1.5 A",
    )
    wire = (
        "  W23: {",
        "  W22B: {from: right-switch.load, to: left-ignition.second, gauge: 18 AWG, length: 1 m}\n  W23: {",
    )
    facts = bench(two, wire)
    point = facts.points.operating_point("cruise")
    # the main side is 0.6 V higher than the reserve behind its diode: it feeds the load alone, and nothing comes back out of the other
    assert point.amps["wires/W22"] == pytest.approx(point.taken["parts/left-ignition"], abs=1e-5)
    assert point.amps["wires/W22B"] == pytest.approx(0, abs=1e-5)
    lost = facts.points.operating_point("cruise", None, (Failure("wires/W21", OPEN),))
    assert (
        lost.amps["wires/W22B"] == pytest.approx(lost.taken["parts/left-ignition"], abs=1e-5)
        and lost.taken["parts/left-ignition"] > 1
    )


def test_what_the_file_says_of_a_resistance_is_used() -> None:
    edits = (
        ("left-fuse: {kind: fuse,", "left-fuse: {kind: fuse, resistance: 0.1 ohm,"),
        ("left-switch: {kind: switch,", "left-switch: {kind: switch, resistance: 0.2 ohm,"),
        ("to: left-ignition.supply, gauge", "to: left-ignition.supply, resistance: 0.3 ohm, gauge"),
        ("alternator-shunt: {kind: shunt,", "alternator-shunt: {kind: shunt, resistance: 0.001 ohm,"),
        (
            "charge-diode: {kind: diode,",
            "charge-diode: {kind: diode, technology: schottky, drop: 0.3 V, drop-current: 0.1 A,",
        ),
    )
    point = bench(*edits).points.operating_point("cruise")
    for one, other, ohms, element in (
        ("left-fuse.line", "left-fuse.load", 0.1, "parts/left-fuse"),
        ("left-switch.line", "left-switch.load", 0.2, "parts/left-switch"),
        ("left-switch.load", "left-ignition.supply", 0.3, "wires/W22"),
        ("alternator-shunt.line", "alternator-shunt.load", 0.001, "parts/alternator-shunt"),
    ):
        assert point.volts[one] - point.volts[other] == pytest.approx(ohms * point.amps[element], rel=1e-6)
    drop = point.volts["charge-diode.anode"] - point.volts["charge-diode.cathode"]
    assert drop == pytest.approx(
        0.3 + 1.2 * 0.025865 * math.log(point.amps["parts/charge-diode"] / 0.1), abs=1e-4
    )


def test_a_review_of_a_sketch_without_sizes_does_not_load_numpy() -> None:
    program = (
        "import sys\n"
        "from reviewer.cli.main import main\n"
        "sys.argv[:] = ['reviewer', 'review', sys.argv[1]]\ntry:\n    main()\nexcept SystemExit:\n    pass\n"
        "sys.exit('numpy' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(ROOT / "examples" / "sketch.design.yaml")],
        cwd=ROOT,
        capture_output=True,
    )
    assert done.returncode == 0 and b"No finding" in done.stdout, done.stderr.decode()


def test_the_bench_is_the_base_with_shunts() -> None:
    assert (
        len(bench().design.parts)
        == len(Facts(read_design(ROOT / "tests" / "rules" / "bases" / "bench.yaml")).design.parts) + 3
        and "audio-shunt" not in BASE
    )


@pytest.mark.parametrize("switches", ["ground", "supply"])
def test_an_output_carries_the_current_of_what_it_drives(switches: str) -> None:
    """A lamp on an output that is on has the same volts as one wired to the return, or to the supply, of the unit."""
    volts = {}
    for drives in (True, False):
        made = SmallDesign()
        made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
        output = {"terminal": "out", "switches": switches, "when": "working"}
        made.load("unit", current="1 A", type="electronic", outputs={"drives": output})
        made.add("lamp", "load", current="2 A", type="heater")
        near, far = ("return", "supply") if switches == "ground" else ("supply", "return")
        made.wire(f"lamp.{near}", "unit.out" if drives else f"unit.{near}")
        made.wire(f"lamp.{far}", "bus" if far == "supply" else "ground")
        for wire in made.wires.values():
            wire["resistance"] = "0.05 ohm"
        point = made.facts().points.operating_point("cruise", None, ())
        volts[drives] = point.across["parts/lamp"], point.across["parts/unit"]
        assert point.taken["parts/lamp"] == pytest.approx(2.0, rel=0.15)
    assert volts[True] == pytest.approx(volts[False], abs=0.002)


def test_a_unit_that_is_turned_off_at_its_own_switch_takes_no_current() -> None:
    made = SmallDesign()
    made.parts["battery"].update(chemistry="lead-acid", capacity="17 Ah")
    made.load("lamp", type="motor", current="1 A")
    made.load("radio", **{"type": "motor", "current": "2 A", "own-switch": True})
    made.states = {
        "cruise": {"engine": "stopped", "switches": {}},
        "off": {"like": "cruise", "units-off": ["radio"]},
    }
    on, off = (made.facts().points.operating_point(state) for state in ("cruise", "off"))
    assert on.given["parts/battery"] == pytest.approx(3, abs=1e-3)
    assert off.given["parts/battery"] == pytest.approx(1, abs=1e-3)
    assert on.taken["parts/radio"] == pytest.approx(2, abs=1e-3) and off.taken["parts/radio"] == 0
