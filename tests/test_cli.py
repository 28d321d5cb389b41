"""The command line as its user meets it: every exit status, every option, and no traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from reviewer import session
from reviewer.cli.handoff_commands import compare
from reviewer.cli.review_command import review
from reviewer.reading import DesignFile, read_file
from reviewer.resources import STARTERS
from tests.forked_command import forked

ROOT = Path(__file__).parent.parent
#: the longest starter without its estimates, which are tried at both ends and make a review thrice as long
GOOD = (ROOT / "reviewer" / "starter.design.yaml").read_text(encoding="utf-8").replace(": ~", ": ")
MINOR = GOOD.replace(", label: LEFT IGNITION BREAKER", "")
HAZARDOUS = GOOD.replace(
    "left-breaker.line, gauge: 16 AWG, length: 0.1 m", "left-breaker.line, gauge: 16 AWG, length: 0.9 m"
)
GAP = GOOD.replace("left-breaker.line, gauge: 16 AWG, length: 0.1 m", "left-breaker.line, gauge: 16 AWG")
BROKEN = GOOD.replace("rating: 60 A, label: BUS FEED", "rating: 60, label: BUS FEED")
#: of four parts, with findings: for tests of streams, signals and files, to which the parts do not matter
SMALL = (ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8")
RULE = """\"\"\"Nothing is asked here.

Why: to test.
\"\"\"
from reviewer.rulebook import HazardClass

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "none"),)
REMEDY = "Nothing."


def subjects(facts):
    return ["parts/master"]


def judge(subject, facts):
    raise RuntimeError("sabotage")
    yield
"""


def run(*arguments: object, cwd: Path) -> subprocess.CompletedProcess[str]:
    """The command in a process that has all loaded already."""
    done = forked([*map(str, arguments)], cwd)
    assert "Traceback (most" not in done.stderr + done.stdout
    return done


def started(*arguments: object, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """The command in a new interpreter."""
    done = subprocess.run(
        [sys.executable, "-m", "reviewer", *map(str, arguments)],
        capture_output=True, text=True, cwd=cwd, env={**os.environ, "PYTHONPATH": str(ROOT), **environment}, timeout=60, encoding="utf-8",
    )  # fmt: skip
    assert "Traceback (most" not in done.stderr + done.stdout
    return done


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    for name, text in {
        "good": GOOD,
        "minor": MINOR,
        "hazardous": HAZARDOUS,
        "gap": GAP,
        "broken": BROKEN,
    }.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "gap-concept.yaml").write_text(
        GAP.replace("stage: detailed", "stage: concept"), encoding="utf-8"
    )
    (tmp_path / "conceded.yaml").write_text(
        MINOR
        + "concessions:\n  - {rule: labels-are-present-and-unique, subject: parts/left-breaker, reason: Marked on the holder., by: builder, date: 2026-04-18}\n",
        encoding="utf-8",
    )
    (tmp_path / "idle-concession.yaml").write_text(
        GOOD
        + "concessions:\n  - {rule: labels-are-present-and-unique, subject: parts/left-breaker, reason: Old., by: builder, date: 2026-04-18}\n",
        encoding="utf-8",
    )
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "a_rule.py").write_text(RULE, encoding="utf-8")
    (tmp_path / "half").mkdir()
    (tmp_path / "half" / "a_rule.py").write_text("x = 1\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["good.yaml"], 0),
        (["minor.yaml"], 1),
        (["minor.yaml", "broken.yaml"], 2),
        (["good.yaml", "--rules-from", "rules"], 3),
        (["broken.yaml", "good.yaml", "--rules-from", "rules"], 3),
        (["good.yaml", "--rules-from", "half"], 3),
        (["good.yaml", "--rules-from", "nowhere"], 3),
    ],
)
def test_the_exit_status_tells_findings_from_errors(bench: Path, arguments: list[str], status: int) -> None:
    done = started("review", *arguments, cwd=bench)
    assert done.returncode == status, done.stdout + done.stderr
    assert done.stdout or done.stderr


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["minor.yaml", "--stop-at", "major"], 0),
        (["hazardous.yaml", "--stop-at", "catastrophic"], 0),
        (["hazardous.yaml", "--stop-at", "hazardous"], 1),
        (["good.yaml", "--stop-at", "no-safety-effect"], 0),
        (["gap.yaml", "--stop-at", "catastrophic"], 1),
        (["gap-concept.yaml", "--stop-at", "catastrophic"], 0),
        (["conceded.yaml"], 0),
        (["idle-concession.yaml"], 1),
        (["broken.yaml"], 2),
        (["missing.yaml"], 2),
        (["rules"], 2),
        ([], 2),
        (["good.yaml", "--as", "prose"], 2),
        (["good.yaml", "--stop-at", "bad"], 2),
    ],
)
def test_what_is_found_and_where_a_review_is_to_stop_decide_its_exit_status(
    bench: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], status: int
) -> None:
    """In this process, which is three times as fast."""
    monkeypatch.chdir(bench)
    done = CliRunner().invoke(review, arguments)
    assert done.exit_code == status and done.output, done.output


def test_a_file_that_cannot_be_reviewed_does_not_lose_the_others(bench: Path) -> None:
    done = run("review", "broken.yaml", "minor.yaml", cwd=bench)
    line = next(number for number, text in enumerate(BROKEN.splitlines(), 1) if "rating: 60, label" in text)
    assert f"line {line}, column 40" in done.stderr and "write for example `60 A`" in done.stderr
    assert "left-breaker has no label." in done.stdout


@pytest.mark.parametrize("form", ["text", "json", "sarif"])
def test_a_report_can_be_written_to_a_file(bench: Path, form: str) -> None:
    done = run("review", "minor.yaml", "--as", form, "--out", "report", cwd=bench)
    assert (done.returncode, done.stdout) == (1, "")
    assert "Wrote report" in done.stderr
    text = (bench / "report").read_text(encoding="utf-8")
    assert text == run("review", "minor.yaml", "--as", form, cwd=bench).stdout
    if form != "text":
        json.loads(text)
    assert sorted(p.name for p in bench.iterdir() if p.name.startswith(".")) == []


def test_a_file_named_twice_is_solved_once_and_told_under_each_name(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(bench)
    files = ["minor.yaml", "good.yaml", str(bench / "minor.yaml")]
    reads: list[Path] = []

    def counted(path: Path) -> DesignFile:
        reads.append(path)
        return read_file(path)

    monkeypatch.setattr(session, "read_file", counted)
    done = CliRunner().invoke(review, [*files, "--as", "json", "--jobs", "1"])
    assert done.exit_code == 1 and reads == [Path("minor.yaml"), Path("good.yaml")]
    one, other, again = json.loads(done.stdout)["reviews"]
    assert [one["file"], other["file"], again["file"]] == [*files[:2], f"{bench.name}/minor.yaml"]
    assert {**again, "file": one["file"]} == one
    reads.clear()
    assert CliRunner().invoke(compare, ["good.yaml", str(bench / "good.yaml")]).exit_code == 0
    assert reads == [Path("good.yaml")]


def test_a_report_that_cannot_be_written_is_told_in_one_sentence(bench: Path) -> None:
    done = run("review", "good.yaml", "--out", "nowhere/report", cwd=bench)
    assert done.returncode == 2 and "cannot be written" in done.stderr and len(done.stderr.splitlines()) == 1


def test_every_report_shows_the_cautions(bench: Path) -> None:
    for form in ("text", "json", "sarif"):
        text = " ".join(run("review", "good.yaml", "--as", form, cwd=bench).stdout.split())
        assert "second opinion" in text and "can still be wrong" in text


def test_the_handbook_lists_and_explains(bench: Path) -> None:
    listed = run("explain", cwd=bench)
    assert listed.returncode == 0 and "coils-are-suppressed" in listed.stdout
    page = run("explain", "coils-are-suppressed", cwd=bench)
    assert "suppression: none" in page.stdout and "References" in page.stdout
    assert "reviewer explain contactor" in run("explain", "solenoid", cwd=bench).stdout
    unknown = run("explain", "coils-are-supressed", cwd=bench)
    assert unknown.returncode == 2 and "coils-are-suppressed" in unknown.stderr


def test_the_schemas_are_printed(bench: Path) -> None:
    for which in ("design", "review"):
        assert json.loads(run("schema", which, cwd=bench).stdout)["$schema"].endswith("2020-12/schema")


@pytest.mark.parametrize("design", STARTERS)
def test_a_starter_reviews_without_mistakes_or_findings_and_is_never_overwritten(
    bench: Path, design: str
) -> None:
    assert run("start", "mine.design.yaml", "--design", design, cwd=bench).returncode == 0
    done = run("review", "mine.design.yaml", cwd=bench)
    assert done.returncode == 0 and "No finding." in done.stdout
    first = (bench / "mine.design.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=design.schema.json"
    assert (bench / "design.schema.json").read_text(encoding="utf-8") == run("schema", cwd=bench).stdout
    (bench / "mine.design.yaml").write_text("mine", encoding="utf-8")
    again = run("start", "mine.design.yaml", cwd=bench)
    assert again.returncode == 2 and "left as it was" in again.stderr
    assert (bench / "mine.design.yaml").read_text(encoding="utf-8") == "mine"


def test_a_sketch_is_what_comes_without_asking_and_fits_on_a_screen(bench: Path) -> None:
    (bench / "design.schema.json").write_text("mine", encoding="utf-8")
    assert run("start", "mine.design.yaml", cwd=bench).returncode == 0
    text = (bench / "mine.design.yaml").read_text(encoding="utf-8")
    assert run("start", cwd=bench).stdout == text and len(text.splitlines()) <= 30
    assert "15 parts" in run("review", "mine.design.yaml", cwd=bench).stdout and "stage: concept" in text
    assert (bench / "design.schema.json").read_text(encoding="utf-8") == "mine"


def test_hostile_names_stay_text_on_any_terminal(bench: Path) -> None:
    text = MINOR.replace("left-breaker", "'<b>\u202eéß\"'", 1).replace("left-breaker.", '<b>\u202eéß".')
    text = text.replace("proves: [left-breaker,", "proves: ['<b>\u202eéß\"',")
    (bench / "hostile.yaml").write_text(
        text.replace('to: <b>\u202eéß".line', "to: '<b>\u202eéß\".line'").replace(
            'from: <b>\u202eéß".load', "from: '<b>\u202eéß\".load'"
        ),
        encoding="utf-8",
    )
    done = started("review", "hostile.yaml", cwd=bench, PYTHONIOENCODING="ascii")
    assert done.returncode == 1, done.stderr
    assert "\u202e" not in done.stdout and "<b>" in done.stdout


def test_a_reader_that_goes_away_is_no_error_message(bench: Path) -> None:
    done = subprocess.run(
        f"{sys.executable} -m reviewer review {' '.join(['minor.yaml'] * 12)} | head -c 10", shell=True, capture_output=True, text=True, cwd=bench,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.stderr == ""


def test_a_review_imports_no_heavy_library(bench: Path) -> None:
    code = "import sys; sys.argv = ['reviewer', 'review', 'minor.yaml', '--out', 'report']\nfrom reviewer.cli.main import main\ntry: main()\nexcept SystemExit: pass\n"
    code += "print(sorted(m for m in ('networkx', 'scipy', 'jsonschema', 'jinja2') if m in sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=bench,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_help_states_the_exit_statuses_and_the_cautions(bench: Path) -> None:
    text = run("review", "--help", cwd=bench).stdout
    for word in ("Exit status", "cannot be reviewed", "second opinion", "--stop-at", "--rules-from"):
        assert word in text


@pytest.mark.parametrize(
    "options",
    [
        ("--satisfied", "--missing"),
        ("--all", "--cause", "1"),
        ("--satisfied", "--as", "json"),
        ("--all", "--as", "lines"),
    ],
)
def test_a_review_has_one_form_and_only_text_has_parts(options: tuple[str, ...]) -> None:
    """It ends before the file is read, which is none."""
    done = CliRunner().invoke(review, ["none.yaml", *options])
    assert done.exit_code == 2 and "are forms of the text; name one of them" in done.stderr


def test_the_help_names_each_command_once_under_its_purpose() -> None:
    from reviewer.cli.main import GROUPS, commands

    listed = [name for names in GROUPS.values() for name in names]
    assert sorted(listed) == sorted(commands.commands)
