"""Many files in one run: in processes side by side, in the order of the files, with one status."""

from __future__ import annotations

import gzip
import json
import os
import re
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.cli.review_command import _processes as processes

ROOT = Path(__file__).parent.parent
SARIF = json.loads((ROOT / "tests" / "published" / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))
REVIEW_SCHEMA = json.loads((ROOT / "schemas" / "review.schema.json").read_text(encoding="utf-8"))
FIRST = (ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for number in range(6):
        text = FIRST.replace("First drawing", f"Drawing {number}")
        (tmp_path / f"{number}.design.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "2.design.yaml").write_text(FIRST.replace("kind: fuse", "kind: fuze"), encoding="utf-8")
    (tmp_path / "notes.yaml").write_text("- no design\n", encoding="utf-8")
    return tmp_path


def asked(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(commands, ["review", *arguments])
    return result.exit_code, result.stdout, result.stderr


def test_side_by_side_they_are_as_one_after_the_other(folder: Path) -> None:
    one, several = (asked(str(folder), "--as", "lines", "--jobs", jobs) for jobs in ("1", "2"))
    assert one == several and one[0] == 2
    names = [line.partition(":")[0][-13:] for line in several[1].splitlines()]
    assert list(dict.fromkeys(names)) == [f"{number}.design.yaml" for number in (0, 1, 3, 4, 5)]
    assert "2.design.yaml" in several[2] and "fuze" in several[2]


def test_the_summary_names_what_was_not_reviewed(folder: Path) -> None:
    """It stands at the end, far from the mistakes; what it says of no finding is of the others alone."""
    _, said, _ = asked(*(str(folder / f"{number}.design.yaml") for number in (1, 2)))
    words = " ".join(said.split())
    assert "1 file reviewed, 1 not. Not reviewed: " in words and "2.design.yaml. With findings: " in words
    _, said, _ = asked(*(str(folder / f"{number}.design.yaml") for number in (1, 3)), "--all")
    assert "2 files reviewed. With findings: " in " ".join(said.split()) and "Not reviewed" not in said
    sound = folder / "sound.design.yaml"
    sound.write_text((ROOT / "examples" / "sketch.design.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    _, said, _ = asked(str(sound), str(folder / "2.design.yaml"))
    assert "No file that was reviewed has a finding, which is not an approval." in " ".join(said.split())


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_json_names_what_was_not_reviewed_with_its_mistakes(folder: Path, jobs: str) -> None:
    status, said, _ = asked(str(folder), "--as", "json", "--jobs", jobs)
    document = json.loads(said)
    jsonschema.validate(document, REVIEW_SCHEMA)
    (unread,) = document["unread"]
    (mistake,) = unread["mistakes"]
    assert status == 2 and len(document["reviews"]) == 5 and unread["file"] == "2.design.yaml"
    line = FIRST.splitlines().index("  fuse: {kind: fuse, rating: 5 A}") + 1
    assert mistake["place"]["line"] == line and "fuze" in mistake["sentence"]
    assert mistake["item"] == "parts/fuse/kind"
    _, said, _ = asked(str(folder / "1.design.yaml"), "--as", "json")
    assert "unread" not in json.loads(said)


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_sarif_says_that_a_run_with_a_file_not_reviewed_was_no_success(folder: Path, jobs: str) -> None:
    _, said, _ = asked(str(folder), "--as", "sarif", "--jobs", jobs)
    log = json.loads(said)
    jsonschema.validate(log, SARIF)
    ((invocation,),) = (run["invocations"] for run in log["runs"])
    assert invocation["executionSuccessful"] is False
    (said_of,) = [n for n in invocation["toolExecutionNotifications"] if n["level"] == "error"]
    place = said_of["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"].endswith("2.design.yaml") and place["region"]["startLine"] > 1
    assert said_of["message"]["text"].startswith("Not reviewed: ") and "fuze" in said_of["message"]["text"]
    _, said, _ = asked(str(folder / "1.design.yaml"), "--as", "sarif")
    assert json.loads(said)["runs"][0]["invocations"][0]["executionSuccessful"] is True


def test_where_nothing_was_reviewed_the_data_say_so_too(folder: Path) -> None:
    """Else a step that sends the file on would find none, or an old one."""
    out = folder / "report"
    for form in ("json", "sarif"):
        broken = str(folder / "2.design.yaml"), str(folder / "missing.design.yaml")
        status, _, said = asked(*broken, "--as", form, "--out", str(out))
        document = json.loads(out.read_text(encoding="utf-8"))
        assert status == 2 and "fuze" in said
        if form == "json":
            jsonschema.validate(document, REVIEW_SCHEMA)
            assert document["reviews"] == [] and len(document["unread"]) == 2
        else:
            jsonschema.validate(document, SARIF)
            run = document["runs"][0]
            assert run["results"] == [] and not run["invocations"][0]["executionSuccessful"]


def test_a_file_with_two_names_is_reported_by_each(folder: Path) -> None:
    (folder / "link.design.yaml").symlink_to(folder / "1.design.yaml")
    both = str(folder / "1.design.yaml"), str(folder / "link.design.yaml")
    reviews = json.loads(asked(*both, "--as", "json")[1])["reviews"]
    assert [r.pop("file") for r in reviews] == ["1.design.yaml", "link.design.yaml"]
    assert reviews[0] == reviews[1]


def test_a_folder_is_the_designs_in_it(folder: Path, tmp_path: Path) -> None:
    files = [str(folder / f"{number}.design.yaml") for number in range(6)]
    assert asked(str(folder), "--as", "json")[1] == asked(*files, "--as", "json")[1]
    (tmp_path / "empty").mkdir()
    status, _, said = asked(str(tmp_path / "empty"))
    assert status == 2 and "has no file named" in said


def test_as_many_processes_as_processors_and_never_more_than_files() -> None:
    assert processes(None, 4) == 1 and processes(8, 3) == 3 and processes(1, 100) == 1
    assert 1 <= processes(None, 10_000) <= (os.cpu_count() or 1)


def test_rules_of_a_folder_are_judged_in_each_process(folder: Path) -> None:
    rules = folder / "rules"
    rules.mkdir()
    assert CliRunner().invoke(commands, ["start", "--rule", "own-rule", str(rules)]).exit_code == 0
    one, several = (
        asked(str(folder), "--rules-from", str(rules), "--as", "json", "--jobs", jobs) for jobs in ("1", "2")
    )
    assert one[1] == several[1] and "own-rule" in one[1]


@pytest.mark.long
@pytest.mark.parametrize(("jobs", "begun"), [(2, 2), (6, 1), (6, 2), (6, 5)])
def test_a_stop_ends_all_of_them(jobs: int, begun: int) -> None:
    """Also one that comes while they are being begun."""
    code = "from reviewer.cli.main import main; main()"
    command = [sys.executable, "-c", code, "review", "--jobs", str(jobs), str(ROOT / "tests" / "aircraft")]
    running = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True
    )
    deadline = time.monotonic() + 60
    children: list[str] = []
    while len(children) < begun and time.monotonic() < deadline:
        time.sleep(0.001)
        children = (
            Path(f"/proc/{running.pid}/task/{running.pid}/children").read_text(encoding="utf-8")
        ).split()
    os.kill(running.pid, signal.SIGINT)
    out, said = running.communicate(timeout=60)
    assert (running.returncode, out, said) == (130, b"", b"")
    time.sleep(1)
    assert not any(Path(f"/proc/{child}").exists() for child in children)


def _within_what_is_taken(log: Any, content: bytes) -> None:
    """What the service that the last step sends to publishes of the files that it takes: their size, how many
    results, rules and steps, and which properties they have (docs, "SARIF support for code scanning")."""
    assert len(gzip.compress(content)) < 10_000_000 and len(log["runs"]) <= 20
    (run,) = log["runs"]
    rules = run["tool"]["driver"]["rules"]
    assert len(run["results"]) <= 5_000 and len(rules) <= 25_000
    for rule in rules:
        texts = rule["shortDescription"]["text"], rule["fullDescription"]["text"]
        assert all(0 < len(text) <= 1024 for text in texts), rule["id"]
        assert rule["help"]["text"] and rule["defaultConfiguration"]["level"] in ("note", "warning", "error")
    for result in run["results"]:
        (location,) = result["locations"]
        place = location["physicalLocation"]
        assert place["region"]["startLine"] >= 1 and result["message"]["text"] and result["ruleId"]
        assert not re.match("[a-z]+:|/", place["artifactLocation"]["uri"]) and result["partialFingerprints"]
        assert all(
            len(flow["locations"]) <= 1_000
            for code in result.get("codeFlows", ())
            for flow in code["threadFlows"]
        )


def test_the_pipeline_of_the_readme_writes_sarif_for_a_folder(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its steps are read from the page; the one that reviews is run as it stands there."""
    page = (ROOT / "README.md").read_text(encoding="utf-8")
    block = page.partition("In a pipeline")[2].partition("\n\n")[2].partition("\n\n")[0]
    steps = yaml.safe_load(textwrap.dedent(block))
    (command,) = (step["run"] for step in steps if step.get("run", "").startswith("reviewer "))
    upload = next(step for step in steps if "upload-sarif" in step.get("uses", ""))
    assert upload["if"] == "always()"  # also after findings, which end the step before it
    (folder / "2.design.yaml").unlink()
    folder.rename(folder.parent / "designs")
    monkeypatch.chdir(folder.parent)
    assert CliRunner().invoke(commands, command.split()[1:]).exit_code == 1
    log = json.loads(Path(upload["with"]["sarif_file"]).read_text(encoding="utf-8"))
    jsonschema.validate(log, SARIF)
    _within_what_is_taken(log, Path(upload["with"]["sarif_file"]).read_bytes())
    places = {
        r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in log["runs"][0]["results"]
    }
    assert places == {f"designs/{number}.design.yaml" for number in (0, 1, 3, 4, 5)}
