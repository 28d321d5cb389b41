"""The command budget as its user meets it: text, CSV and JSON say the same numbers, and those are the engine's."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.quantity_words import clock, days
from reviewer.reading import read_design
from reviewer.reports.budget.words import COLUMNS
from reviewer.reports.wording import CAUTIONS
from tests.edits import edited
from tests.rule_cases import design, yaml_text

ROOT = Path(__file__).parent.parent
TOURER = ROOT / "examples" / "tourer.design.yaml"
SCHEMA = json.loads((ROOT / "schemas" / "budget.schema.json").read_text(encoding="utf-8"))
BENCH = yaml_text(design("main-batteries-meet-endurance-after-alternator-loss", "met"))


def ask(*arguments: str | Path) -> Result:
    return CliRunner().invoke(commands, ["budget", *map(str, arguments)], catch_exceptions=False)


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_design(TOURER))


@pytest.fixture(scope="module")
def document() -> dict:
    return json.loads(ask(TOURER, "--as", "json").stdout)


def test_the_json_is_what_its_schema_says_for_every_example(document: dict) -> None:
    for path in sorted((ROOT / "examples").glob("*.design.yaml")):
        made = document if path == TOURER else json.loads(ask(path, "--as", "json").stdout)
        jsonschema.Draft202012Validator(SCHEMA).validate(made)
        assert made["cautions"] == list(CAUTIONS)


def test_the_numbers_are_those_of_the_engine(facts: Facts, document: dict) -> None:
    assert [p["phase"] for p in document["phases"]] == ["start", "taxi", "climb", "cruise", "approach"]
    for phase in document["phases"]:
        point = facts.points.operating_point(phase["state"], phase["phase"])
        assert phase["batteries"] == {
            n: pytest.approx(point.given[f"parts/{n}"], abs=1e-4) for n in ("main-battery", "reserve-battery")
        }
        for name, amps in phase["loads"].items():
            assert amps == pytest.approx(point.taken[f"parts/{name}"], abs=1e-4)
    for told in document["endurance"]:
        found = facts.endurance.endurance_of(told["battery"])
        assert told["seconds"] == pytest.approx(found.seconds, abs=0.01)
        assert sum(s["seconds"] for s in told["segments"]) == pytest.approx(found.seconds, abs=0.05)
        assert (told["curve"][0]["seconds"], told["curve"][-1]["seconds"]) == (
            0,
            pytest.approx(found.seconds, abs=0.01),
        )
        assert len(told["curve"]) <= 60
    watched = ("engine-runs", "attitude", "communication", "engine-indication")
    assert tuple(one["function"] for one in document["functions"]) == watched
    for told in document["functions"]:
        lasts = facts.detection.function_endurance(told["function"])
        assert told["seconds"] == pytest.approx(lasts.seconds, abs=0.01)
        assert told["seconds_without_crew"] == pytest.approx(lasts.unattended, abs=0.01)
        assert told["noticed_by"] == "bus-volts" and told["noticed_after_seconds"] == 0
        assert told["timeline"][-1]["event"] == "function lost"
        assert told["timeline"][-1]["seconds"] == told["seconds"]
    shed = document["shed_plan"]
    assert [s["action"] for s in shed] == ["shed-field", "shed-lights-and-heat", "shed-second-set"] and [
        s["done_after_seconds"] for s in shed
    ] == [305, 325, 355]
    assert [
        load in s["off"] for load, s in zip(("alternator", "pitot-heater", "radio-2"), shed, strict=True)
    ] == [
        True,
        True,
        True,
    ]
    assert shed[0]["main_battery_after"] < shed[0]["main_battery_before"] - 2
    assert shed[1]["main_battery_after"] < shed[1]["main_battery_before"] - 9


def test_the_csv_has_the_same_numbers(document: dict) -> None:
    done = ask(TOURER, "--as", "csv")
    rows = list(csv.DictReader(io.StringIO(done.stdout)))
    assert tuple(rows[0]) == COLUMNS and all(caution in done.stderr for caution in CAUTIONS)
    value = {(r["section"], r["of"], r["item"], r["quantity"]): r["value"] for r in rows}
    assert len(value) == len(rows)
    for phase in document["phases"]:
        for name, amps in phase["loads"].items():
            assert float(value["phase", phase["phase"], name, "load current"]) == pytest.approx(
                amps, abs=6e-4
            )
        for one in phase["alternators"]:
            assert float(value["phase", phase["phase"], one["alternator"], "margin"]) == pytest.approx(
                one["margin"], abs=6e-4
            )
    for told in document["endurance"]:
        assert float(value["endurance", told["battery"], "", "endurance"]) == pytest.approx(
            told["seconds"], abs=0.06
        )
        assert value["endurance", told["battery"], "", "ends because"] == told["ends"]
    section = "function after loss of all generation"
    for told in document["functions"]:
        assert float(value[section, told["function"], "", "endurance"]) == pytest.approx(
            told["seconds"], abs=0.06
        )
        for i, line in enumerate(told["timeline"], 1):
            at = value[section, told["function"], f"{i}. {line['words']}", "time from the loss"]
            assert float(at) == pytest.approx(line["seconds"], abs=0.06)
    for one in document["parasitic_drain"]:
        assert float(
            value["parasitic drain", one["battery"], one["state"], "drain, maximum"]
        ) == pytest.approx(one["amperes"][1], abs=1e-6)


def test_the_text_has_the_same_numbers(document: dict) -> None:
    text = ask(TOURER).stdout
    told = flat(text)
    for one in document["endurance"]:
        assert (
            f"{one['battery']} after loss of" in told
            and f": endurance {clock(one['seconds'])}, required {clock(one['required_seconds'])}, " in told
            and f"; {one['ends']}" in told
        )
    for one in document["functions"]:
        assert f"- {one['function']} ({one['hazard']}) after loss of alternator in cruise: lost after" in told
        for line in one["timeline"]:
            assert f" {clock(line['seconds'])} {line['words']}" in told
    header = next(line.split() for line in text.splitlines() if "cruise" in line and "approach" in line)
    assert header == [p["phase"] for p in document["phases"]]
    for line in text.splitlines():
        cells = line.split()
        if cells and cells[0] == "ignition-b" and len(cells) == 6:
            assert [float(c) for c in cells[1:]] == [
                pytest.approx(p["loads"]["ignition-b"], abs=0.006) for p in document["phases"]
            ]
            break
    else:
        raise AssertionError("ignition-b is in no row")
    assert all(flat(caution) in told for caution in CAUTIONS) and max(map(len, text.splitlines())) <= 100


def test_what_is_missing_is_named_and_the_rest_is_told(tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    path.write_text(BENCH.replace(", min-temperature: -10 C", ""), encoding="utf-8")
    done = ask(path)
    assert done.exit_code == 0
    assert (
        "endurance of main-battery and reserve-battery: needs `min-temperature` of the aircraft"
        in flat(done.stdout)
        and "Parasitic drain, parked" in done.stdout
    )
    made = json.loads(ask(path, "--as", "json").stdout)
    assert {g["what"] for g in made["missing_data"]} == {
        "loads by phase",
        "endurance of main-battery and reserve-battery",
        "ignition after loss of all generation",
    }


def test_an_endurance_without_end_is_told_and_null(tmp_path: Path) -> None:
    second = "  second: {kind: alternator, excitation: permanent-magnet, rating: 60 A, set-point: 14.4 V}\n  engine: {kind"
    wires = "  W91: {from: main-bus.second, to: second.output, gauge: 6 AWG, length: 1.4 m}\n  W92: {from: second.ground, to: engine.second, gauge: 6 AWG, length: 0.2 m}\nfunctions:"
    path = tmp_path / "two.yaml"
    text = BENCH.replace("  engine: {kind", second).replace("functions:", wires)
    # what takes the field of the one off must leave the other one alone
    assert "[shed-field, shed-heat]" in text
    path.write_text(text.replace("[shed-field, shed-heat]", "[shed-heat]"), encoding="utf-8")
    assert "endurance unlimited, required 60 min; not exhausted" in flat(ask(path).stdout)
    made = json.loads(ask(path, "--as", "json").stdout)
    jsonschema.Draft202012Validator(SCHEMA).validate(made)
    assert (made["endurance"][0]["seconds"], made["endurance"][0]["ended_by"]) == (None, None)


def test_without_states_there_is_no_budget(tmp_path: Path) -> None:
    path = tmp_path / "none.yaml"
    path.write_text(BENCH[: BENCH.index("operation:")] + BENCH[BENCH.index("watch:") :], encoding="utf-8")
    done = ask(path)
    assert done.exit_code == 2 and "`operation`" in done.stderr


def test_a_narrow_terminal_gets_the_phases_in_pieces() -> None:
    from reviewer.questions.budget import budget_of
    from reviewer.reports.budget.text import budget_text
    from reviewer.session import facts_of

    facts = facts_of(TOURER)
    text = budget_text("t", facts.design, budget_of(facts), 50)
    heads = [
        line.split()
        for line in text.splitlines()
        if re.fullmatch(r"\s{10,}[\w\s-]+", line) and {"start", "climb", "approach"} & set(line.split())
    ]
    assert [name for head in heads for name in head] == ["start", "taxi", "climb", "cruise", "approach"]


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(59.999, "59 s"), (60, "1 min"), (320, "5 min 20 s"), (1911.4, "31 min"), (float("inf"), "unlimited")],
)
def test_times_are_rounded_down(seconds: float, words: str) -> None:
    assert clock(seconds) == words


@pytest.mark.parametrize(
    ("value", "words"),
    [(33.33, "33 days"), (2.5, "60 h"), (2529.8, "more than a year"), (float("inf"), "unlimited")],
)
def test_days_are_rounded_down(value: float, words: str) -> None:
    assert days(value) == words


def test_an_aircraft_without_an_alternator_has_the_endurance_of_its_battery(tmp_path: Path) -> None:
    data = edited(
        design("main-batteries-meet-endurance-after-alternator-loss", "met"),
        {
            "remove": ["parts/alternator", "wires/W8", "wires/W9", "wires/W13"],
            "parts/alternator-limiter/unused": ["load"],
            "parts/alternator-switch/unused": ["load"],
            "parts/engine/unused": ["alternator"],
        },
    )
    path = tmp_path / "glider.design.yaml"
    path.write_text(yaml_text(data), encoding="utf-8")
    made = json.loads(ask(path, "--as", "json").stdout)
    jsonschema.Draft202012Validator(SCHEMA).validate(made)
    main = next(e for e in made["endurance"] if e["battery"] == "main-battery")
    assert main["lost"] == [] and main["initial_state_of_charge"] == 1 and main["seconds"] > 600
    assert "main-battery charged, in cruise: endurance" in flat(ask(path).stdout)
