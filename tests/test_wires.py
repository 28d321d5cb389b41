"""The command wires as its user meets it, and its three forms against each other and against the rules."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result

from reviewer.cli.main import commands
from reviewer.reading import read_design
from reviewer.reports.wires.table import COLUMNS
from tests.rule_cases import FILES, parsed
from tests.test_questions import HOSTILE, NO_OPERATION, flat

ROOT = Path(__file__).parent.parent
WIRED = (ROOT / "tests" / "rules" / "bases" / "wired.yaml").read_text(encoding="utf-8")
SCHEMA = json.loads((ROOT / "schemas" / "wires.schema.json").read_text(encoding="utf-8"))
W73 = "W73: {from: wing-plug.heat-plug, to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m, bundle: wing}"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    files = {
        "good": WIRED, "thin": WIRED.replace(W73, W73.replace("12 AWG", "24 AWG")), "hostile": HOSTILE, "no-operation": NO_OPERATION,
        "no-current": WIRED.replace("    current: 0.5 A\n", ""), "no-length": WIRED.replace(W73, W73.replace(", length: 0.9 m", "")),
        "no-rating": WIRED.replace("alternator: {kind: alternator, rating: 60 A,", "alternator: {kind: alternator,"),
        "sketch": (ROOT / "examples" / "sketch.design.yaml").read_text(encoding="utf-8"),
    }  # fmt: skip
    for name, text in files.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def wires(file: str, *arguments: str) -> Result:
    return CliRunner().invoke(commands, ["wires", file, *arguments], catch_exceptions=False)


def document(file: str) -> dict[str, Any]:
    done = wires(file, "--as", "json")
    assert done.exit_code == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    jsonschema.Draft202012Validator(SCHEMA).validate(found)
    return found


def entry(found: dict[str, Any], group: str, name: str) -> dict[str, Any]:
    return next(e for e in found[group] if e[group.removesuffix("s")] == name)


@pytest.mark.parametrize(
    "file", ["good", "thin", "hostile", "no-current", "no-length", "no-rating", "sketch"]
)
def test_json_is_valid_and_csv_and_text_tell_every_wire(bench: Path, file: str) -> None:
    found = document(f"{file}.yaml")
    assert found["format"] == "circuit-wires/1" and any("second opinion" in c for c in found["cautions"])
    done = wires(f"{file}.yaml", "--as", "csv")
    rows = list(csv.reader(io.StringIO(done.stdout)))
    assert (
        tuple(rows[0]) == COLUMNS
        and all(len(row) == len(COLUMNS) for row in rows)
        and "second opinion" in done.stderr
    )
    assert [f"wires/{row[0]}" for row in rows[1:]] == [w["wire"] for w in found["wires"]]
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@"))]
    text = wires(f"{file}.yaml").stdout
    assert all(f"- {row[0]}, " in text for row in rows[1:])
    for row, wire in zip(rows[1:], found["wires"], strict=True):
        amperes, current = wire["amperes"], row[COLUMNS.index("current, A")]
        assert current == "" if amperes is None else float(current) == round(abs(amperes), 2)


def test_a_wire_that_carries_too_much_is_told_with_the_numbers_of_the_rule(bench: Path) -> None:
    """24 AWG, 4 A printed; seven wires in the bundle 0.82 over 0.625 of the basis; 60 C air, sqrt(90 / 80): 5.57 A. The rule's pair is the same design."""
    wire = entry(document("thin.yaml"), "wires", "wires/W73")
    assert wire["limit"]["amperes"] == pytest.approx(4 * 0.82 / 0.625 * (90 / 80) ** 0.5, abs=1e-6)
    assert wire["limit"]["printed_amperes"] == 4 and wire["share_of_limit"] > 1 and wire["state"] == "cruise"
    assert wire["drop_volts"] == pytest.approx(
        abs(wire["amperes"]) * 28.4 * 0.9 / 304.8, abs=1e-5
    )  # 28.4 ohm per 1000 ft
    expected = parsed(FILES["wires-are-within-their-current-rating"])["findings"][0]
    assert dict(expected["numbers"])["current"] == f"{abs(wire['amperes']):.1f} A"
    assert dict(expected["numbers"])["limit"] == f"{wire['limit']['amperes']:.1f} A"
    text = flat(wires("thin.yaml").stdout)
    assert (
        f"W73, 24 AWG, 0.9 m, wing-plug.heat-plug to pitot-heater.supply current {abs(wire['amperes']):.1f} A in cruise, limit 5.6 A (120 %)"
        in text
    )


def test_protectors_are_told_from_each_end_that_can_be_fed(bench: Path) -> None:
    found = document("good.yaml")
    breaker = {
        "end": "heater-breaker.load",
        "device": "parts/heater-breaker",
        "rating_amperes": 15,
        "largest_amperes": 20,
        "stub": False,
    }
    assert entry(found, "wires", "wires/W71")["protection"] == [breaker]  # 14 AWG may have a breaker of 20 A
    charge = entry(found, "wires", "wires/W42")  # between the diode and the fuse of the reserve
    assert {(p["end"], p["device"]) for p in charge["protection"]} == {
        ("charge-diode.cathode", "parts/charge-breaker"), ("charge-fuse.load", "parts/charge-fuse"),
    }  # fmt: skip
    stub = entry(found, "wires", "wires/W70")["protection"]
    assert stub and all(
        p["stub"] for p in stub
    )  # 0.1 m from the bus to its breaker, behind the limiter of 60 A
    cable = entry(found, "wires", "wires/W1")
    assert (
        cable["exempt"]
        and {"end": "main-battery.positive", "sources": ["parts/main-battery"]} in cable["unprotected"]
    )
    assert "exempt: battery and starter cables" in flat(wires("good.yaml").stdout)


def test_the_loads_tell_their_runs_at_usual_current_and_at_the_peak(bench: Path) -> None:
    found = document("good.yaml")
    heater, flaps, starter = (
        entry(found, "loads", f"parts/{n}") for n in ("pitot-heater", "flap-motor", "cranking-motor")
    )
    assert 0 < heater["continuous"]["drop_volts"] < found["drop_limits"]["continuous"]["volts"] == 0.5
    assert heater["continuous"]["drop_volts"] == pytest.approx(
        sum(s["volts"] for s in (*heater["continuous"]["supply_path"], *heater["continuous"]["return_path"])),
        abs=1e-4,
    )
    assert (
        heater["peak"]["amperes"] > heater["continuous"]["amperes"]
        and heater["lowest_voltage"]["state"] == "on-battery"
    )
    assert flaps["continuous"] is None and flaps["peak"]["state"] == "cruise with flap-switch at up"
    assert (
        starter["continuous"]["state"] == "cranking"
        and starter["continuous"]["begins"] == "parts/main-battery"
        and starter["peak"] is None
    )
    assert found["drop_limits"]["intermittent"]["source"].endswith("(from memory)")


def test_what_runs_only_while_a_switch_is_held_has_its_current_then(bench: Path) -> None:
    found = document("good.yaml")
    up, fed, heater = (entry(found, "wires", f"wires/{name}") for name in ("W82", "W81", "W73"))
    assert abs(up["amperes"]) < 0.01 and up["held"] == {
        "switch": "parts/flap-switch", "position": "up", "amperes": pytest.approx(8.0)
    }  # fmt: skip
    assert fed["held"]["amperes"] == pytest.approx(8.0) and heater["held"] is None
    assert not any(wire["held"] for wire in found["wires"] if "start" in wire["from_terminal"])
    assert "while held 8 A, flap-switch held at up" in flat(wires("good.yaml").stdout)


def test_what_is_not_known_is_said_and_not_passed_over(bench: Path) -> None:
    assert "`current` of audio-panel is taken as 0 A" in flat(wires("no-current.yaml").stdout)
    assert entry(document("no-length.yaml"), "wires", "wires/W73")["missing_data"] == [
        "its voltage drop: `length`"
    ]
    assert "missing data `length` of W73" in flat(wires("no-length.yaml").stdout)
    missing = document("no-rating.yaml")
    assert (
        missing["missing_data"] == ["currents and voltage drops need `rating` of alternator"]
        and missing["loads"] == []
    )
    told = wires("no-rating.yaml").stdout
    assert "Wires without current" not in told and "Wires, currents unknown" in told
    assert ", 0 loads." not in told and "Wires without current" in wires("good.yaml").stdout
    assert all(w["amperes"] is None for w in missing["wires"]) and any(
        w["protection"] for w in missing["wires"]
    )
    assert "Missing data: currents and voltage drops need `current` of the loads" in flat(
        wires("sketch.yaml").stdout
    )


def test_the_list_can_be_written_to_a_file_and_wants_an_operation(bench: Path) -> None:
    for form in ("text", "csv", "json"):
        done = wires("good.yaml", "--as", form, "--out", "list")
        assert (done.exit_code, done.stdout) == (0, "") and "Wrote list." in done.stderr
        with (bench / "list").open(encoding="utf-8", newline="") as stream:
            assert stream.read() == wires("good.yaml", "--as", form).stdout_bytes.decode()
    done = wires("no-operation.yaml")
    assert done.exit_code == 2 and "`operation`" in done.stderr
    assert wires("good.yaml", "--out", "nowhere/list").exit_code == 2


def test_the_text_keeps_its_width_and_the_schema_can_be_asked_for(bench: Path) -> None:
    for file in ("good", "hostile"):
        text = wires(f"{file}.yaml").stdout
        assert (max(map(len, text.splitlines())) <= 100 and text.isascii()) or file == "hostile"
        assert "\u202e" not in text
    assert json.loads(CliRunner().invoke(commands, ["schema", "wires"]).stdout) == SCHEMA
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_the_examples_lists_are_valid() -> None:
    for path in sorted((ROOT / "examples").glob("*.design.yaml")):
        found = document(str(path))
        assert len(found["wires"]) == len(read_design(path).wires)
        if "tourer" in path.name:
            assert found["missing_data"] == [] and len(found["loads"]) >= 10
