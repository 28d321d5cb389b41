"""The commands report, compare and handoff as their user meets them: exit status, messages, and what is written where."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.test_cli import BROKEN, GOOD, MINOR, RULE, run

pytestmark = pytest.mark.long  # each test runs commands that write pages and folders

#: without states, functions and wires
LEAST = "format: 1\naircraft: {name: Bare, nominal: 14 V, airframe: metal, stage: concept}\nparts:\n  battery: {kind: battery}\nwires: {}\n"


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    for name, text in {"good": GOOD, "minor": MINOR, "broken": BROKEN}.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "nothing_is_asked_here.py").write_text(RULE, encoding="utf-8")
    return tmp_path


def test_report_writes_one_page(bench: Path) -> None:
    done = run("report", "minor.yaml", "--out", "page.html", cwd=bench)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "Wrote page.html.\n")
    page = (bench / "page.html").read_text(encoding="utf-8")
    assert (
        page.startswith("<!doctype html>") and "Content-Security-Policy" in page and "second opinion" in page
    )
    assert page.index('<h2 id="findings-title">') < page.index('<h2 id="open-title">Not assessed')
    named = page.replace("http://www.w3.org/2000/svg", "")  # the name of a language, which is not fetched
    assert "http://" not in named and "https://" not in named


def test_handoff_writes_a_folder_and_leaves_others_alone(bench: Path) -> None:
    done = run("handoff", "good.yaml", "--out", "package", cwd=bench)
    assert (done.returncode, done.stderr) == (0, "Wrote package.\n")
    manifest = json.loads((bench / "package" / "manifest.json").read_text(encoding="utf-8"))
    assert {e["name"] for e in manifest["files"]} | {"manifest.json"} == {
        p.name for p in (bench / "package").iterdir()
    }
    (bench / "least.yaml").write_text(LEAST, encoding="utf-8")
    assert run("handoff", "least.yaml", "--out", "package", cwd=bench).returncode == 0
    before = {p.name for p in bench.iterdir()}
    done = run("handoff", "least.yaml", "--out", "rules", cwd=bench)
    assert done.returncode == 2 and "left as it is" in done.stderr
    assert {p.name for p in bench.iterdir()} == before and [p.name for p in (bench / "rules").iterdir()] == [
        "nothing_is_asked_here.py"
    ]


def test_compare_ends_with_one_where_it_got_worse(bench: Path) -> None:
    assert run("compare", "minor.yaml", "good.yaml", cwd=bench).returncode == 0
    assert run("compare", "good.yaml", "good.yaml", cwd=bench).returncode == 0
    done = run("compare", "good.yaml", "minor.yaml", cwd=bench)
    assert done.returncode == 1 and "1 new" in done.stdout and "second opinion" in done.stdout
    done = run("compare", "good.yaml", "minor.yaml", "--as", "sarif", "--out", "c.sarif", cwd=bench)
    assert (
        done.returncode == 1
        and json.loads((bench / "c.sarif").read_text(encoding="utf-8"))["version"] == "2.1.0"
    )


@pytest.mark.parametrize(
    "command",
    [
        ["report", "{}", "--out", "x.html"],
        ["handoff", "{}", "--out", "x"],
        ["compare", "{}", "good.yaml"],
        ["compare", "good.yaml", "{}"],
    ],
)
@pytest.mark.parametrize("file", ["broken.yaml", "missing.yaml", "rules"])
def test_what_cannot_be_read_is_told_and_nothing_is_written(
    bench: Path, command: list[str], file: str
) -> None:
    before = {p.name for p in bench.iterdir()}
    done = run(*(part.format(file) for part in command), cwd=bench)
    assert done.returncode == 2 and file in done.stderr and done.stdout == ""
    assert {p.name for p in bench.iterdir()} == before


def test_compare_tells_the_mistakes_of_both_files(bench: Path) -> None:
    (bench / "torn.yaml").write_text("format: 1\nparts: {\n", encoding="utf-8")
    done = run("compare", "broken.yaml", "torn.yaml", cwd=bench)
    assert done.returncode == 2 and done.stdout == ""
    told = done.stderr.splitlines()
    assert told[0].startswith("broken.yaml") and any(line.startswith("torn.yaml") for line in told)
    twice = run("compare", "torn.yaml", "./torn.yaml", cwd=bench).stderr
    assert twice.count("torn.yaml") == run("review", "torn.yaml", cwd=bench).stderr.count("torn.yaml")


@pytest.mark.parametrize(
    "command",
    [
        ["report", "good.yaml", "--out", "no/such/x.html"],
        ["handoff", "good.yaml", "--out", "no/such/x"],
        ["handoff", "good.yaml", "--out", "good.yaml"],
        pytest.param(["report", "good.yaml", "--out", "good.yaml"], marks=pytest.mark.long),
        pytest.param(["report", "good.yaml", "--out", "rules/../good.yaml"], marks=pytest.mark.long),
        ["review", "minor.yaml", "good.yaml", "--out", "good.yaml"],
        pytest.param(["effects", "good.yaml", "--out", "good.yaml"], marks=pytest.mark.long),
        pytest.param(["compare", "minor.yaml", "good.yaml", "--out", "good.yaml"], marks=pytest.mark.long),
        pytest.param(["report", "good.yaml", "--out", "rules"], marks=pytest.mark.long),
        ["report", "good.yaml", "--out", "x" * 300],
        pytest.param(
            ["report", "good.yaml", "--out", "x.html", "--rules-from", "x" * 300], marks=pytest.mark.long
        ),
    ],
)
def test_where_nothing_can_be_written(bench: Path, command: list[str]) -> None:
    """Of a small design: what stands in the way is no matter of its parts."""
    (bench / "good.yaml").write_text(LEAST, encoding="utf-8")
    done = run(*command, cwd=bench)
    assert (
        done.returncode == (3 if "--rules-from" in command else 2)
        and done.stdout == ""
        and "defect" not in done.stderr
    )
    assert (bench / "good.yaml").read_text(encoding="utf-8") == LEAST


def test_a_path_or_word_with_hidden_characters_is_told_with_escapes(bench: Path) -> None:
    for command in (
        ["review", "x\x1b[2J.yaml"],
        ["explain", "\u202ex"],
        ["trace", "good.yaml", "main-bus", "\u2066y"],
        ["report", "good.yaml", "--out", "\u200bz"],
    ):
        done = run(*command, cwd=bench)
        assert done.stderr.replace("\n", "").isprintable(), done.stderr


@pytest.mark.long
def test_a_rule_that_breaks_down_is_told_in_what_is_written(bench: Path) -> None:
    done = run("report", "good.yaml", "--out", "page.html", "--rules-from", "rules", cwd=bench)
    assert done.returncode == 3 and "sabotage" in (bench / "page.html").read_text(encoding="utf-8")
    assert run("handoff", "good.yaml", "--out", "package", "--rules-from", "rules", cwd=bench).returncode == 3
    assert (
        json.loads((bench / "package" / "manifest.json").read_text(encoding="utf-8"))["counts"]["broke_down"]
        == 1
    )
    assert run("compare", "good.yaml", "good.yaml", "--rules-from", "rules", cwd=bench).returncode == 3


def test_a_file_without_states_functions_or_wires_gets_a_page_and_a_folder(bench: Path) -> None:
    (bench / "least.yaml").write_text(LEAST, encoding="utf-8")
    assert run("report", "least.yaml", "--out", "page.html", cwd=bench).returncode == 0
    assert "declares no state" in (bench / "page.html").read_text(encoding="utf-8")
    assert run("handoff", "least.yaml", "--out", "package", cwd=bench).returncode == 0
    assert "hidden-failures.csv" not in {p.name for p in (bench / "package").iterdir()}
    assert run("compare", "least.yaml", "good.yaml", cwd=bench).returncode in (0, 1)
    assert run("compare", "good.yaml", "least.yaml", cwd=bench).returncode in (0, 1)
