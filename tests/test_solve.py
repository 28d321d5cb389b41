"""The command solve as its user meets it: networks solved in print, meters, phases, failures, starts, forms."""

from __future__ import annotations

import csv
import io
import json
import re
from functools import reduce
from pathlib import Path

import jsonschema
import pytest
import yaml
from click.testing import CliRunner, Result

from reviewer.cli.main import commands
from reviewer.reports.solve.table import COLUMNS
from tests.analysis.operating_point.bench import BASE as PLAIN
from tests.analysis.operating_point.bench import SHUNTS

ROOT = Path(__file__).parent.parent
BASE = reduce(lambda text, edit: text.replace(*edit, 1), SHUNTS.items(), PLAIN)
SCHEMA = json.loads((ROOT / "schemas" / "operating-points.schema.json").read_text(encoding="utf-8"))
TOURER = ROOT / "examples" / "tourer.design.yaml"


def ask(file: Path, *arguments: str) -> Result:
    return CliRunner().invoke(commands, ["solve", str(file), *arguments], catch_exceptions=False)


def points(file: Path, *arguments: str) -> dict[str | None, dict]:
    """The points by phase, as a program would read them."""
    done = ask(file, "--as", "json", *arguments)
    assert done.exit_code == 0, done.stderr
    document = json.loads(done.stdout)
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    return {point["phase"]: point for point in document["points"]}


def flat(text: str) -> str:
    return " ".join(text.split())


def printed(
    folder: Path,
    volts: float,
    resistors: list[tuple[str, str, float]],
    loads: list[tuple[str, str, float]] = (),
    celsius: float = 20,
) -> dict:
    """A network of a textbook as a design: a regulated source between splices `n1` and `n0`, wires of given resistance, loads that are resistances."""
    nodes = sorted({n for a, b, _ in (*resistors, *loads) for n in (a, b)} | {"n0", "n1"})
    parts: dict = {
        "source": {"kind": "external-power", "voltage": f"{volts} V"},
        **{n: {"kind": "splice"} for n in nodes},
    }
    wires: dict = {
        "plus": {"from": "source.positive", "to": "n1.source", "resistance": "0.0000001 ohm"},
        "minus": {"from": "source.negative", "to": "n0.source", "resistance": "0.0000001 ohm"},
    }
    for i, (a, b, ohms) in enumerate(resistors):
        wires[f"r{i + 1}"] = {"from": f"{a}.r{i + 1}", "to": f"{b}.r{i + 1}", "resistance": f"{ohms} ohm"}
    for i, (a, b, ohms) in enumerate(loads):
        parts[f"load{i + 1}"] = {"kind": "load", "type": "resistive", "current": f"{14 / ohms} A"}
        wires[f"l{i + 1}"] = {
            "from": f"{a}.l{i + 1}",
            "to": f"load{i + 1}.supply",
            "resistance": "0.0000001 ohm",
        }
        wires[f"b{i + 1}"] = {
            "from": f"load{i + 1}.return",
            "to": f"{b}.l{i + 1}",
            "resistance": "0.0000001 ohm",
        }
    design = {
        "format": "1",
        "aircraft": {
            "name": "Bench",
            "nominal": "14 V",
            "airframe": "wood",
            "stage": "concept",
            "ambient": f"{celsius} C",
        },
        "parts": parts,
        "wires": wires,
        "operation": {
            "normal": "on",
            "states": {"on": {"use": "ground", "engine": "stopped", "external-power": "connected"}},
        },
    }
    path = folder / "printed.yaml"
    path.write_text(
        yaml.safe_dump(design, sort_keys=False).replace("format: '1'", "format: 1"), encoding="utf-8"
    )
    return points(path)[None]


def way(point: dict, element: str) -> dict:
    return next(w for w in point["paths"] if w["element"] == element)


# Lessons In Electric Circuits, volume I, as read in the repository FauxFaux/lessons-in-electric-circuits at 594fe93 (s_p.sml, dcnet.sml, batt.sml, conduct.sml)


def test_a_series_parallel_network_has_the_printed_volts_and_amperes(tmp_path: Path) -> None:
    point = printed(
        tmp_path, 24, [("n1", "n2", 100), ("n1", "n2", 250), ("n2", "n0", 350), ("n2", "n0", 200)]
    )
    for wire, amps, volts in (
        ("r1", 0.08627, 8.627),
        ("r2", 0.03451, 8.627),
        ("r3", 0.04392, 15.37),
        ("r4", 0.07686, 15.37),
    ):
        carries = way(point, f"wires/{wire}")
        assert carries["amperes"] == pytest.approx(amps, abs=6e-6) and carries["volts"] == pytest.approx(
            volts, abs=5e-3
        )
    assert point["sources"][0]["amperes"] == pytest.approx(0.12078, abs=6e-6)


@pytest.mark.parametrize(
    ("volts", "ohms", "two", "three"),
    [(24, (150, 50, 100, 300, 250), 17.66, 19.31), (10, (12, 18, 6, 18, 12), 5.294, 4.706)],
)
def test_unbalanced_bridges_have_the_printed_volts(
    tmp_path: Path, volts: float, ohms: tuple[float, ...], two: float, three: float
) -> None:
    ends = [("n1", "n2"), ("n1", "n3"), ("n2", "n3"), ("n2", "n0"), ("n3", "n0")]
    point = printed(tmp_path, volts, [(a, b, r) for (a, b), r in zip(ends, ohms, strict=True)])
    at = point["terminals"]
    assert at["n2"] - at["n0"] == pytest.approx(two, rel=3e-4) and at["n3"] - at["n0"] == pytest.approx(
        three, rel=3e-4
    )


def test_a_source_with_resistance_into_one_ohm_gives_the_printed_current(tmp_path: Path) -> None:
    point = printed(tmp_path, 10, [("n1", "n2", 0.2)], [("n2", "n0", 1)])
    # the joints of three splices, six times 0.2 milliohm, take a thousandth of it
    assert point["loads"][0]["amperes"] == pytest.approx(8.333 * 1.2 / 1.2012, abs=1e-3)


@pytest.mark.parametrize(("celsius", "load", "wire"), [(20, 12.5, 0.75), (35, 12.42, 0.79)])
def test_warm_wires_take_the_printed_share(tmp_path: Path, celsius: float, load: float, wire: float) -> None:
    # printed with a temperature coefficient of 0.004041; the reviewer's, 1 / 254.5, differs by less than the last printed digit
    point = printed(tmp_path, 14, [("n1", "n2", 15), ("n3", "n0", 15)], [("n2", "n3", 250)], celsius)
    assert point["loads"][0]["volts"] == pytest.approx(load, abs=5e-3) and way(point, "wires/r1")[
        "volts"
    ] == pytest.approx(wire, abs=6e-3)


# Meters: common practice, no source


@pytest.fixture
def dressed(tmp_path: Path) -> Path:
    path = tmp_path / "bench.yaml"
    path.write_text(
        BASE.replace(
            "  states:\n", "  phases: {climb: {state: cruise}, level: {state: cruise}}\n  states:\n"
        ),
        encoding="utf-8",
    )
    return path


def reading(point: dict, monitor: str) -> float:
    return next(m["value"] for m in point["monitors"] if m["monitor"] == monitor)


def test_an_ammeter_in_the_alternator_lead_reads_nothing_with_the_engine_stopped_and_never_less(
    dressed: Path,
) -> None:
    assert reading(points(dressed, "--state", "stopped")[None], "alternator-amps") == 0
    states = yaml.safe_load(BASE)["operation"]["states"]
    read = [
        reading(p, "alternator-amps") for state in states for p in points(dressed, "--state", state).values()
    ]
    assert len(read) >= len(states) and min(read) >= 0 and max(read) > 1


def test_an_ammeter_in_the_battery_lead_reads_both_ways(dressed: Path) -> None:
    # its line terminal is at the battery: charging reads less than nothing
    assert reading(points(dressed)["level"], "battery-amps") < -0.1
    assert reading(points(dressed, "--state", "stopped")[None], "battery-amps") > 0.1


def test_each_phase_of_the_state_is_solved_with_its_own_currents() -> None:
    found = points(TOURER, "--state", "departure")
    assert list(found) == ["climb", "approach"]
    flaps = [
        next(load["amperes"] for load in point["loads"] if load["element"] == "parts/landing-light")
        for point in found.values()
    ]
    assert all(amps > 3 for amps in flaps)
    text = flat(ask(TOURER, "--state", "departure").stdout)
    assert "Phase climb" in text and "Phase approach" in text and "No phase" not in text
    alone = flat(ask(TOURER, "--state", "parked").stdout)
    assert "No phase has this state: each load draws its largest current" in alone


def test_a_state_that_names_a_phase_is_solved_with_its_currents_and_says_so(tmp_path: Path) -> None:
    data = yaml.safe_load(TOURER.read_text(encoding="utf-8"))
    states = data["operation"]["states"]
    states["named"] = {"like": "departure", "use": "abnormal", "currents-of": "climb"}
    file = tmp_path / "named.design.yaml"
    file.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    text = flat(ask(file, "--state", "named").stdout)
    assert "No phase has this state: the loads draw their currents of climb" in text
    assert "largest current" not in text
    assert (
        points(file, "--state", "named")[None]["loads"]
        == points(TOURER, "--state", "departure")["climb"]["loads"]
    )
    assert "currents of" not in flat(ask(file, "--state", "departure").stdout).split("Notes")[0]


def test_a_motor_that_starts_pulls_the_bus_down() -> None:
    calm, hard = (
        points(TOURER, "--state", "cranking")["start"],
        points(TOURER, "--state", "cranking", "--while", "starter")["start"],
    )
    assert hard["terminals"]["main-bus"] < calm["terminals"]["main-bus"] - 0.5
    assert "Starting: starter." in ask(TOURER, "--state", "cranking", "--while", "starter").stdout


def test_a_failure_changes_the_figures(dressed: Path) -> None:
    whole, lost = points(dressed)["level"], points(dressed, "--failed", "alternator")["level"]
    assert whole["terminals"]["main-bus"] > 13.5 > 12.8 > lost["terminals"]["main-bus"]
    text = flat(ask(dressed, "--failed", "left-fuse", "--failed", "main-contactor=failed-open").stdout)
    assert (
        "Failed: left-fuse open and main-contactor contacts failed open." in text
        and "left-ignition no power" in text
    )
    short = points(dressed, "--failed", "left-switch=shorted-to-ground@load")["level"]
    assert short["terminals"]["left-switch.load"] is None


def test_every_terminal_way_and_meter_is_told_in_every_form(dressed: Path) -> None:
    point = points(dressed)["level"]
    design = yaml.safe_load(BASE)
    assert {w["element"] for w in point["paths"]} >= {f"wires/{n}" for n in design["wires"]}
    assert {m["monitor"] for m in point["monitors"]} == set(design["watch"]["monitors"])
    rows = list(csv.DictReader(io.StringIO(ask(dressed, "--as", "csv").stdout)))
    assert tuple(rows[0]) == COLUMNS and {row["phase"] for row in rows} == {"climb", "level"}
    fuse = next(row for row in rows if row["name"] == "left-fuse" and row["phase"] == "level")
    assert (
        float(fuse["amperes"]) == way(point, "parts/left-fuse")["amperes"]
        and fuse["from"] == "left-fuse.line"
    )
    text = ask(dressed).stdout
    for name in (*design["wires"], *design["watch"]["monitors"], "charge-diode", "main-contactor"):
        assert re.search(rf"^    {re.escape(name)} ", text, re.M), name
    assert "Typical values used" in text and "second opinion" in text


def test_the_poles_of_a_switch_are_told_one_by_one() -> None:
    switched = [w for w in points(TOURER)["cruise"]["paths"] if w["element"] == "parts/standby-switch"]
    assert [w["from_terminal"] for w in switched] == [
        "standby-switch.attitude-line",
        "standby-switch.monitor-line",
    ]
    assert switched[0]["amperes"] > 0.4


def test_an_open_contact_shows_the_voltage_of_its_live_end() -> None:
    text = flat(ask(TOURER, "--state", "cruise").stdout)
    point = points(TOURER, "--state", "cruise")["cruise"]
    volts = point["terminals"]["flap-switch.line"]
    assert volts > 13 and point["terminals"]["flap-switch.down"] is None
    assert (
        f"flap-switch down to line: open, {volts:.2f} V at its second end" in text
        and "open, dead" not in text
    )


def test_what_the_file_lacks_is_told(dressed: Path) -> None:
    dressed.write_text(
        BASE.replace(
            "to: left-ignition.supply, gauge: 18 AWG, length: 1.2 m",
            "to: left-ignition.supply, gauge: 18 AWG",
        ),
        encoding="utf-8",
    )
    assert "W22 `length` is missing; solved as an ideal joint" in flat(ask(dressed).stdout)
    assert points(dressed)[None]["solved_as_ideal_joints"] == {"wires/W22": "`length`"}
    dressed.write_text(
        BASE.replace("alternator: {kind: alternator, rating: 60 A,", "alternator: {kind: alternator,"),
        encoding="utf-8",
    )
    done = ask(dressed)
    assert (done.exit_code, done.stdout) == (2, "")
    assert (
        done.stderr
        == "Voltages and currents of cruise cannot be solved. Missing data: `rating` of alternator.\n"
    )
    assert ask(dressed, "--state", "parked").exit_code == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--state", "zzz"], "There is no state `zzz`"),
        (["--while", "left-fuse"], "left-fuse has no peak current: it is a fuse"),
        (["--while", "pump"], "There is no load or instrument `pump`"),
        (["--failed", "left-fues"], "There is no part, wire or bundle `left-fues`"),
        (
            ["--failed", "W20=stays"],
            "W20 is a wire and does not fail as `stays`; it may fail as `open`, `shorted-to-ground`, "
            "`degraded:OHMS`.",
        ),
        (["--failed", "W20=melted"], "does not fail as `melted`"),
        (
            ["--failed", "W20=degraded"],
            "State the resistance of W20, for example `W20=degraded:0.05 ohm`.",
        ),
        (
            ["--failed", "W20=degraded:0.05 V"],
            "The resistance of W20: `V` is not a unit of resistance; known: ohm, mohm, kohm",
        ),
        (["--failed", "W20=degraded:0 ohm"], "must be more than 0 ohm"),
        (
            ["--failed", "left-ignition=degraded:1 ohm"],
            "`open`, `shorted-to-ground`. Name the wire, joint or contact in its path.",
        ),
        (["--failed", "W20=open:1 ohm"], "`open` has no resistance; write `W20=open`."),
        (["--failed", "W20=leaking:1 ohm"], "W20 is a wire and does not fail as `leaking`"),
        (["--failed", "main-ground=degraded:0.1 ohm"], "`main-ground=degraded:0.1 ohm@engine`"),
        (
            ["--failed", "left-fuse=shorted-to-ground"],
            "`left-fuse=shorted-to-ground@line`, `left-fuse=shorted-to-ground@load`",
        ),
        (["--failed", "left-switch=stays@half"], "`left-switch=stays@down`"),
    ],
)
def test_what_cannot_be_answered_is_one_message(dressed: Path, arguments: list[str], words: str) -> None:
    done = ask(dressed, *arguments)
    assert (done.exit_code, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert words in done.stderr


def test_an_instrument_takes_its_peak_while_it_transmits() -> None:
    """A constant power of peak amperes, 3 A, at nominal volts; one without a peak is refused."""
    idle, talking = (
        next(load for load in points(TOURER, *more)["cruise"]["loads"] if load["element"] == "parts/radio-1")
        for more in ((), ("--while", "radio-1"))
    )
    assert talking["amperes"] * talking["volts"] == pytest.approx(3.0 * 14.0, rel=1e-3)
    assert talking["amperes"] > 4 * idle["amperes"]
    refused = ask(TOURER, "--while", "engine-monitor")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "engine-monitor has no peak current" in refused.stderr


def test_a_lamp_without_power_is_dark_and_a_display_without_power_blank() -> None:
    small = TOURER.parents[1] / "tests" / "aircraft" / "small-generator.design.yaml"
    for path, monitor, state, reading in (
        (small, "starter-engaged", "cruise", "dark"),
        (TOURER, "bus-volts", "parked", "blank"),
    ):
        for point in points(path, "--state", state).values():
            assert next(m["reading"] for m in point["monitors"] if m["monitor"] == monitor) == reading


def test_a_degraded_joint_lowers_the_volts_behind_it(dressed: Path) -> None:
    def volts(*arguments: str) -> float:
        point = next(iter(points(dressed, *arguments).values()))
        return next(load["volts"] for load in point["loads"] if load["element"] == "parts/left-ignition")

    sound = volts()
    wire, ground = (
        volts("--failed", "W22=degraded:0.2 ohm"),
        volts("--failed", "main-ground=degraded:400 mohm@left"),
    )
    # an ignition of 1.5 A; its supply takes a little more at a lower voltage
    assert sound - wire == pytest.approx(0.3, rel=0.1) and sound - ground == pytest.approx(0.6, rel=0.1)
