"""The commands trace, fail, effects and solve as their user meets them."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

import jsonschema
import pytest
from click.testing import CliRunner, Result

from reviewer.analysis.conduction.failure_modes import MODE_KEYS
from reviewer.analysis.cut_sets.degradation import Degradation
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.cli.main import commands
from reviewer.questions.naming import FORMS
from reviewer.reports.csv import csv_of, harmless
from reviewer.reports.effects.table import COLUMNS
from reviewer.reports.effects.words import names
from tests.rule_cases import design, yaml_text

ROOT = Path(__file__).parent.parent
GOOD = (ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
NO_FUNCTIONS = GOOD.replace(
    "functions:\n  ignition: {any: 1, of: [left-ignition, right-ignition], loss: catastrophic}\n", ""
)
NO_OPERATION = GOOD[: GOOD.index("operation:")] + GOOD[GOOD.index("watch:") :]
NO_WATCH = GOOD[: GOOD.index("watch:")]
EVIL = "=2+5|cmd' /C calc'!A0\u202e<b>"
HOSTILE = GOOD.replace("left-fuse", json.dumps(EVIL), 1)
HOSTILE = re.sub(r"left-fuse\.(\w+)", lambda m: json.dumps(f"{EVIL}.{m[1]}"), HOSTILE).replace(
    "label: LEFT IGNITION FUSE", 'label: "@SUM(A1)"'
)
SCHEMA = json.loads((ROOT / "schemas" / "effects.schema.json").read_text(encoding="utf-8"))
ASKED = (("trace", "left-ignition"), ("fail", "left-fuse"), ("effects",), ("solve",), ("budget",))


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    files = {
        "good": GOOD,
        "no-functions": NO_FUNCTIONS,
        "no-operation": NO_OPERATION,
        "no-watch": NO_WATCH,
        "hostile": HOSTILE,
    }
    for name, text in {**files, "broken": GOOD.replace("rating: 60 A", "rating: 60", 1)}.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ask(command: str, file: str, *arguments: str) -> Result:
    return CliRunner().invoke(commands, [command, file, *arguments], catch_exceptions=False)


def flat(text: str) -> str:
    return " ".join(text.split())


def run(*arguments: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "reviewer", *arguments], capture_output=True, text=True, cwd=cwd, timeout=60, encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )  # fmt: skip


def test_the_command_line_offers_every_failure_mode() -> None:
    (mode,) = (option for option in commands.commands["fail"].params if option.name == "mode")
    assert f"({', '.join(FORMS.values())})" in (mode.help or "")
    told = CliRunner().invoke(commands, ["solve", "--help"], terminal_width=200).stdout
    assert f"({', '.join(FORMS.values())})" in flat(told).replace("- ", "-")
    assert tuple(form.partition(":")[0] for form in FORMS.values()) == MODE_KEYS


@pytest.mark.parametrize(("command", "arguments"), [(c, a) for c, *a in ASKED])
def test_each_command_answers_from_a_shell(bench: Path, command: str, arguments: list[str]) -> None:
    done = run(command, "good.yaml", *arguments, cwd=bench)
    assert (done.returncode, done.stderr) == (0, "")
    assert (
        done.stdout.startswith("good.yaml: ")
        and "second opinion" in done.stdout
        and "can still be wrong" in done.stdout
    )
    assert "Exit status" in run(command, "--help", cwd=bench).stdout


def test_a_trace_tells_the_way_there_and_back_in_every_state(bench: Path) -> None:
    done = ask("trace", "good.yaml", "left-ignition")
    text = flat(done.stdout)
    assert done.exit_code == 0
    assert (
        "In cruise: powered by main-battery or alternator." in text
        and "In smoke-drill: powered by main-battery." in text
    )
    assert (
        "path main-battery -> W20 -> left-fuse -> W21 -> left-switch -> W22 protection left-fuse 7.5 A switches left-switch at up"
        in text
    )
    assert (
        "left-ignition.return returns to main-battery path W23 -> main-ground -> W2 -> main-battery" in text
    )
    assert (
        "In parked: not powered. left-ignition.supply is dead" in text
        and "held open by left-switch at down" in text
    )
    only = ask("trace", "good.yaml", "left-ignition", "--state", "parked").stdout
    assert "In parked" in only and "In cruise" not in only


def test_states_that_are_alike_are_told_once(bench: Path) -> None:
    text = flat(ask("trace", "good.yaml", "mic-jack").stdout)
    assert (
        "In smoke-drill and parked: partly dead. mic-jack.signal is dead" in text and "In parked" not in text
    )


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("main-bus", "In cruise: live."),
        ("main-contactor", "energised by"),
        ("main-battery", "supplies power"),
    ],
)
def test_buses_relays_and_sources_can_be_traced(bench: Path, name: str, words: str) -> None:
    assert words in flat(ask("trace", "good.yaml", name).stdout)


def test_a_failure_tells_what_dies_what_shows_it_and_what_is_left(bench: Path) -> None:
    text = flat(ask("fail", "good.yaml", "right-fuse", "--mode", "open").stdout)
    assert (
        "right-fuse open local effect reserve-battery feeds no load; right-ignition loses power functions lost none"
        in text
    )
    assert (
        "redundancy ignition: 1 of 2 channels (left-ignition), 1 needed" in text
        and "further single failures would cause loss of ignition: failures of" in text
    )
    every = flat(ask("fail", "good.yaml", "main-battery").stdout)
    assert "main-battery open" in every and "main-battery shorted to ground" in every
    assert "main-battery is lost; bus-limiter opens; main-contactor drops out" in every
    drill = flat(ask("fail", "good.yaml", "main-battery", "--state", "smoke-drill").stdout)
    assert "left-ignition loses power" in drill


def test_what_the_crew_can_do_is_told_for_each_function_that_is_lost(tmp_path: Path) -> None:
    file = str(tmp_path / "choice.yaml")
    Path(file).write_text(
        yaml_text(design("critical-functions-need-no-crew-action-after-a-failure", "unmet")), encoding="utf-8"
    )
    text = flat(ask("fail", file, "main-battery").stdout)
    assert "functions lost ignition (catastrophic)" in text
    assert "crew action ignition recoverable by right-to-reserve (right-source to reserve, 5 s)" in text
    assert "crew action ignition" not in flat(ask("fail", file, "left-fuse", "--mode", "open").stdout)


def test_a_bundle_is_named_as_one_beside_a_part_of_its_name() -> None:
    assert names(("parts/panel", "wires/W1", "bundles/panel")) == "panel, W1, bundle panel"


def test_where_no_action_is_declared_that_is_said(bench: Path) -> None:
    (bench / "one.yaml").write_text(GOOD.replace("any: 1", "any: 2"), encoding="utf-8")
    assert "crew action ignition: not assessed: the file declares no `actions`" in flat(
        ask("fail", "one.yaml", "left-fuse").stdout
    )
    acted = GOOD.replace("any: 1", "any: 2").replace(
        "watch:\n", "  actions:\n    off: {move: {alternator-switch: down}}\nwatch:\n"
    )
    (bench / "acted.yaml").write_text(acted, encoding="utf-8")
    assert "crew action ignition not recoverable in flight: no declared action restores it" in flat(
        ask("fail", "acted.yaml", "left-fuse").stdout
    )
    two = "functions:\n  spark: {any: 1, of: [left-ignition], loss: minor}\n"
    for name, file, said in (
        ("two", acted, " not recoverable in flight: no declared action restores them"),
        ("none", GOOD.replace("any: 1", "any: 2"), ": not assessed: the file declares no `actions`"),
    ):
        (bench / f"{name}.yaml").write_text(file.replace("functions:\n", two, 1), encoding="utf-8")
        told = flat(ask("fail", f"{name}.yaml", "left-fuse", "--mode", "open").stdout)
        assert told.count("crew action") == 1 and f"crew action ignition and spark{said}" in told


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (
            ["trace", "good.yaml", "left-ignitoin"],
            "There is no part or terminal `left-ignitoin`; similar: `left-ignition`",
        ),
        (
            ["trace", "good.yaml", "W20"],
            "`W20` is a wire; trace one of its ends: `main-battery.positive` or `left-fuse.line`.",
        ),
        (
            ["trace", "good.yaml", "left-ignition", "--state", "cruize"],
            "There is no state `cruize`; similar: `cruise`",
        ),
        (
            ["fail", "good.yaml", "left-fues"],
            "There is no part, wire or bundle `left-fues`; similar: `left-fuse`",
        ),
        (
            ["fail", "good.yaml", "W20", "--mode", "stays"],
            "W20 is a wire and does not fail as `stays`; it may fail as `open`, `shorted-to-ground`, "
            "`degraded:OHMS`.",
        ),
        (
            ["fail", "good.yaml", "W20", "--state", "zzz"],
            "There is no state `zzz`; there are `cruise`, `smoke-drill`, `parked`.",
        ),
        (["effects", "good.yaml", "--state", "zzz"], "There is no state `zzz`"),
        (["trace", "no-operation.yaml", "left-ignition"], "`operation`"),
        (["fail", "no-operation.yaml", "left-fuse"], "`operation`"),
        (["effects", "no-operation.yaml"], "`operation`"),
    ],
)
def test_what_cannot_be_answered_is_one_message(bench: Path, arguments: list[str], words: str) -> None:
    done = ask(*arguments)
    assert (done.exit_code, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert words in done.stderr


@pytest.mark.parametrize(("command", "arguments"), [(c, a) for c, *a in ASKED])
def test_a_file_that_cannot_be_read_is_told_with_its_mistakes(
    bench: Path, command: str, arguments: list[str]
) -> None:
    done = ask(command, "broken.yaml", *arguments)
    assert done.exit_code == 2 and "write for example `60 A`" in done.stderr and done.stdout == ""
    assert ask(command, "missing.yaml", *arguments).exit_code == 2


def test_a_name_of_two_things_is_asked_for_by_its_group(bench: Path) -> None:
    (bench / "twice.yaml").write_text(re.sub(r"\bW21\b", "left-fuse", GOOD), encoding="utf-8")
    done = ask("fail", "twice.yaml", "left-fuse")
    assert done.exit_code == 2 and "`parts/left-fuse` or `wires/left-fuse`" in done.stderr
    assert "left-fuse, wire, failure in" in ask("fail", "twice.yaml", "wires/left-fuse").stdout


def test_the_table_as_json_is_valid_against_its_schema(bench: Path) -> None:
    for name in ("good", "no-functions", "no-watch", "hostile"):
        done = ask("effects", f"{name}.yaml", "--as", "json")
        assert done.exit_code == 0
        document = json.loads(done.stdout)
        jsonschema.Draft202012Validator(SCHEMA).validate(document)
        assert document["format"] == "circuit-effects/1" and any(
            "second opinion" in c for c in document["cautions"]
        )
    row = next(
        r
        for r in json.loads(ask("effects", "good.yaml", "--as", "json").stdout)["failures"]
        if r["element"] == "parts/left-fuse"
    )
    assert (
        row["mode"] == "open"
        and row["local_effect"]["loads_dead"] == ["parts/left-ignition"]
        and row["functions_lost"] == []
    )
    assert (
        row["remaining_redundancy"][0]["channels"] == ["right-ignition"]
        and row["remaining_redundancy"][0]["next_failures"] > 8
    )


@pytest.mark.long
def test_the_examples_tables_are_valid_against_the_schema() -> None:
    for path in sorted((ROOT / "examples").glob("*.design.yaml")):
        done = CliRunner().invoke(commands, ["effects", str(path), "--as", "json"])
        if done.exit_code == 0:
            jsonschema.Draft202012Validator(SCHEMA).validate(json.loads(done.stdout))
        else:
            assert "`operation`" in done.stderr


def test_the_table_as_csv_has_a_row_a_failure_and_nothing_that_a_spreadsheet_computes(bench: Path) -> None:
    for name in ("good", "hostile"):
        done = ask("effects", f"{name}.yaml", "--as", "csv")
        rows = list(csv.reader(io.StringIO(done.stdout)))
        assert tuple(rows[0]) == COLUMNS and all(len(row) == len(COLUMNS) for row in rows)
        assert len(rows) == 1 + len(
            json.loads(ask("effects", f"{name}.yaml", "--as", "json").stdout)["failures"]
        )
        assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@"))]
        assert "second opinion" in done.stderr and done.exit_code == 0
    evil = next(row for row in rows if row[0].startswith("'=2+5"))
    assert evil[2] == "'@SUM(A1)" and "\\u202e" in evil[0]


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        *((text, f"'{text}") for text in ("=1", "+1", "-1", "@x", "\uff1d1+1", "\uff0b1", "\uff0d1", "\uff20x", " =1", " \uff1d1")),
        ("\t=1", "\\x09=1"), ("a\r\nb", "a\\x0d\\x0ab"), ("1-1", "1-1"), ("", ""), (-1.5, -1.5), (None, None),
    ],
)  # fmt: skip
def test_one_defence_keeps_every_cell_from_being_computed(cell: object, written: object) -> None:
    assert harmless(cell) == written
    assert next(csv.reader(io.StringIO(csv_of([str(cell)], [])))) == [str(harmless(str(cell)))]


def test_the_table_can_be_written_to_a_file_and_asked_for_another_state(bench: Path) -> None:
    for form in ("text", "csv", "json"):
        done = ask("effects", "good.yaml", "--as", form, "--out", "table", "--state", "smoke-drill")
        assert (done.exit_code, done.stdout) == (0, "") and "Wrote table." in done.stderr
        with (bench / "table").open(encoding="utf-8", newline="") as stream:
            assert (
                stream.read()
                == ask("effects", "good.yaml", "--as", form, "--state", "smoke-drill").stdout_bytes.decode()
            )
    assert ask("effects", "good.yaml", "--out", "nowhere/table").exit_code == 2


def test_what_is_not_declared_is_said_and_not_passed_over(bench: Path) -> None:
    for arguments in (("effects", "no-functions.yaml"), ("fail", "no-functions.yaml", "left-fuse")):
        done = ask(*arguments)
        assert done.exit_code == 0 and "not assessed: the file declares no `functions`" in flat(done.stdout)
    assert "none" not in {
        row[6] for row in csv.reader(io.StringIO(ask("effects", "no-functions.yaml", "--as", "csv").stdout))
    }
    for arguments in (("effects", "no-watch.yaml"), ("fail", "no-watch.yaml", "left-fuse")):
        assert "not assessed: the file declares no `watch`" in flat(ask(*arguments).stdout)


def test_a_function_that_is_off_anyway_is_said_to_be(bench: Path) -> None:
    for arguments in (("effects", "good.yaml"), ("fail", "good.yaml", "left-fuse")):
        assert "Functions off in this state with nothing failed: ignition." in flat(
            ask(*arguments, "--state", "parked").stdout
        )
        assert "Functions off" not in ask(*arguments).stdout
    assert json.loads(ask("effects", "good.yaml", "--state", "parked", "--as", "json").stdout)[
        "functions_off"
    ] == ["ignition"]


def test_the_gravest_losses_come_first(bench: Path) -> None:
    text = ask("effects", "good.yaml", "--state", "smoke-drill").stdout
    (bench / "shared.yaml").write_text(
        GOOD.replace("right-fuse.line, gauge", "left-fuse.line, gauge").replace(
            "reserve-battery.positive, to: left-fuse", "left-fuse.load, to: right-fuse"
        ),
        encoding="utf-8",
    )
    shared = ask("effects", "shared.yaml").stdout
    assert (
        shared.index("Loss of a function, catastrophic: ") < shared.index("No function is lost")
        and "Loss of a function" not in text
    )


@pytest.mark.parametrize(
    "arguments",
    [
        ("trace", EVIL),
        ("trace", "left-ignition"),
        ("fail", EVIL),
        ("fail", "W21"),
        ("effects",),
        ("trace", "left-\u202efuse"),
    ],
)
def test_hostile_names_stay_text(bench: Path, arguments: tuple[str, ...]) -> None:
    command, *rest = arguments
    done = run(command, "hostile.yaml", *rest, cwd=bench, PYTHONIOENCODING="ascii")
    assert done.returncode == (2 if "left-\u202efuse" in arguments else 0), done.stderr
    assert "\u202e" not in done.stdout + done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize(("command", "arguments"), [(c, a) for c, *a in ASKED])
def test_no_answer_calls_a_design_good(command: str, arguments: list[str]) -> None:
    names = {"trace": "ignition-a", "fail": "main-contactor"}
    for file in ("tourer", "faulted-tourer"):
        text = (
            CliRunner()
            .invoke(
                commands,
                [
                    command,
                    str(ROOT / "examples" / f"{file}.design.yaml"),
                    *([names[command]] if arguments else []),
                ],
            )
            .stdout
        )
        assert text and not re.search(
            r"\b(safe|approved|compliant|airworthy|certified)\b", text.lower().replace("no safety effect", "")
        )


def test_a_question_loads_no_heavy_library_and_a_review_none_of_the_questions(bench: Path) -> None:
    code = "import sys; from reviewer.cli.main import main\nsys.argv = ['reviewer', *{}]\ntry: main()\nexcept SystemExit: pass\nprint(sorted(m for m in {} if m in sys.modules))"
    heavy, questions = (
        ("networkx", "numpy", "jsonschema"),
        ("reviewer.questions", "reviewer.questions.trace", "reviewer.reports.effects.table"),
    )
    for arguments, modules in (
        (["trace", "good.yaml", "left-ignition"], heavy),
        # what shows a failure is solved
        (["fail", "good.yaml", "left-fuse"], ("networkx", "jsonschema")),
        (["review", "good.yaml"], questions),
    ):
        done = subprocess.run(
            [sys.executable, "-c", code.format(arguments, modules)],
            capture_output=True,
            text=True,
            cwd=bench,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        assert done.stdout.splitlines()[-1] == "[]", done.stderr


def test_a_degraded_part_is_told_with_its_volts_and_the_resistance_at_which_a_function_is_lost(
    bench: Path,
) -> None:
    alone = GOOD.replace("of: [left-ignition, right-ignition]", "of: [left-ignition]")
    (bench / "alone.yaml").write_text(alone, encoding="utf-8")
    told = flat(ask("fail", "alone.yaml", "left-fuse", "--mode", "degraded").stdout)
    limit = re.search(
        r"ignition \(catastrophic\) is lost from ([0-9.]+) ohm: left-ignition is below its minimum of 8 V",
        told,
    )
    assert limit and "left-fuse degraded" in told
    for factor, lost in ((1.01, "ignition (catastrophic)"), (0.99, "none")):
        mode = f"degraded:{float(limit[1]) * factor:.4f} ohm"
        one = flat(ask("fail", "alone.yaml", "left-fuse", "--mode", mode).stdout)
        assert (
            f"functions lost {lost}" in one
            and "left-ignition" in one
            and "open" not in one.split("Limitations")[0]
        )
    spared = flat(ask("fail", "good.yaml", "left-fuse", "--mode", "degraded").stdout)
    assert "left-fuse degraded functions lost none at any resistance limit left-ignition is below" in spared
    own = re.search(r"minimum of 8 V from ([0-9.]+) ohm; ignition continues without it", spared)
    assert own and own[1] == limit[1]
    unasked = flat(ask("fail", "good.yaml", "left-fuse").stdout)
    assert "left-fuse degraded" not in unasked and "are solved only with `--mode degraded`." in unasked


def test_a_load_that_cannot_be_solved_leaves_the_functions_told(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unsolved(_: Degradation) -> NoReturn:
        raise NotAssessable("an operating point")

    monkeypatch.setattr(Degradation, "low_loads", unsolved)
    told = flat(ask("fail", "good.yaml", "left-fuse", "--mode", "degraded").stdout)
    assert "functions lost none at any resistance" in told
    assert "limit that of each load not assessed; missing data: an operating point" in told


def test_a_ground_block_is_told_terminal_by_terminal(bench: Path) -> None:
    alone = GOOD.replace("of: [left-ignition, right-ignition]", "of: [left-ignition]")
    (bench / "alone.yaml").write_text(alone, encoding="utf-8")
    told = flat(ask("fail", "alone.yaml", "main-ground", "--mode", "degraded").stdout)
    assert "main-ground degraded at main-ground.left limit ignition (catastrophic) is lost from" in told
    assert "main-ground.audio functions lost none at any resistance" in told


def test_a_long_list_of_further_failures_is_printed_once() -> None:
    """A bus opens and is shorted to ground with the same further failures: named once, then referred to."""
    file = str(ROOT / "examples" / "tourer.design.yaml")
    text = flat(CliRunner().invoke(commands, ["fail", file, "engine-bus-a"]).stdout)
    lists = re.findall(
        r"would cause loss of [^:]*: (failures of [^.]*?) (?:redundancy|as before|Limit)", text
    )
    long = [one for one in lists if one.count(",") >= 3]
    assert len(long) == len(set(long)) > 0
    assert "the same as after engine-bus-a open" in text
