"""A design file is read once: what was reviewed is what is digested, copied and shown, from a pipe and from a file that changes too."""

from __future__ import annotations

import hashlib
import json
import os
import resource
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from reviewer.reading import DesignFile, Unreadable, read_design, read_file
from reviewer.reading.yaml_events import MAX_BYTES
from reviewer.reports.handoff.contents import MANIFEST, folder_files
from reviewer.session import solved_file
from tests.test_cli import BROKEN, GOOD, MINOR, SMALL

#: processes are started throughout
pytestmark = pytest.mark.long

ROOT = Path(__file__).parent.parent.parent


def ask(arguments: list[str], folder: Path, **more: object) -> subprocess.CompletedProcess[bytes]:
    done = subprocess.run(
        [sys.executable, "-m", "reviewer", *arguments], capture_output=True, cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT)}, timeout=40, **more,
    )  # fmt: skip
    assert b"defect" not in done.stderr and b"Traceback" not in done.stderr, done.stderr
    return done


def piped(path: Path, content: str) -> None:
    """A named pipe that gives the content to the first who opens it, and to nobody afterwards."""
    os.mkfifo(path)

    def give() -> None:
        path.write_text(content, encoding="utf-8")

    threading.Thread(target=give, daemon=True).start()


@pytest.mark.parametrize(
    ("arguments", "text", "status"),
    [
        (["review"], GOOD, 0),
        (["review", "--as", "json"], BROKEN, 2),
        (["solve"], BROKEN, 2),
        (["wires", "--as", "json", "--out", "table"], GOOD, 0),
        (["report", "--out", "page"], SMALL, 0),
        (["handoff", "--out", "folder"], SMALL, 0),
        (["handoff", "--out", "folder"], BROKEN, 2),
        (["compare", "again.yaml"], SMALL, 0),
    ],
)
def test_a_pipe_is_opened_once_by_every_command(
    arguments: list[str], text: str, status: int, tmp_path: Path
) -> None:
    (tmp_path / "again.yaml").write_text(SMALL, encoding="utf-8")
    piped(tmp_path / "pipe.yaml", text)
    done = ask([arguments[0], "pipe.yaml", *arguments[1:]], tmp_path)
    assert done.returncode == status, done.stderr
    if text is BROKEN:  # the line of the mistake is from the one time that the file was read
        assert b"rating: 60, label: BUS FEED" in done.stderr
    if status == 0 and arguments[0] == "handoff":
        assert (tmp_path / "folder" / "design.yaml").read_text(encoding="utf-8") == text


def test_what_comes_from_standard_input_is_what_is_handed_over(tmp_path: Path) -> None:
    done = ask(["handoff", "/dev/stdin", "--out", "folder"], tmp_path, input=MINOR.encode())
    assert done.returncode == 0, done.stderr
    manifest = json.loads((tmp_path / "folder" / MANIFEST).read_text(encoding="utf-8"))
    assert manifest["design"] == {"file": "stdin", "sha256": hashlib.sha256(MINOR.encode()).hexdigest()}
    assert (tmp_path / "folder" / "design.yaml").read_bytes() == MINOR.encode()
    assert manifest["counts"]["findings"] == 1


@pytest.mark.parametrize(
    "change",
    [lambda path: path.write_text(GOOD, encoding="utf-8"), lambda path: path.unlink()],
    ids=["edited", "deleted"],
)
def test_a_file_that_changes_meanwhile_is_handed_over_as_it_was_reviewed(
    change: Callable[[Path], object], tmp_path: Path
) -> None:
    path = tmp_path / "mine.json.yaml"
    path.write_text(MINOR, encoding="utf-8")

    def meanwhile(done: int, total: int, rule: str) -> None:
        if done == 1:
            change(path)

    solved = solved_file(path, progress=meanwhile)
    assert not path.exists() or path.read_text(encoding="utf-8") != MINOR
    made = folder_files(solved)
    assert made["design.yaml"] == MINOR.encode()
    manifest = json.loads(made[MANIFEST])
    digest = hashlib.sha256(MINOR.encode()).hexdigest()
    assert manifest["design"]["sha256"] == digest and digest in made["page.html"].decode()
    assert [f.sentence for f in solved.review.findings] == ["left-breaker has no label."]


def test_a_json_design_is_handed_over_as_json(tmp_path: Path) -> None:
    import yaml

    path = tmp_path / "mine.json"
    path.write_text(json.dumps(yaml.safe_load(GOOD)), encoding="utf-8")
    made = folder_files(solved_file(path, []))
    assert made["design.json"] == path.read_bytes() and "design.yaml" not in made


def test_the_lines_of_a_mistake_are_those_that_were_read(tmp_path: Path) -> None:
    path = tmp_path / "broken.yaml"
    path.write_text(BROKEN, encoding="utf-8")
    with pytest.raises(Unreadable) as caught:
        read_design(path)
    path.write_text("other", encoding="utf-8")
    assert list(caught.value.lines) == BROKEN.splitlines()


@pytest.mark.parametrize("command", [["review"], ["trace", "main-bus"], ["handoff", "--out", "folder"]])
def test_a_device_without_an_end_is_refused_in_one_message_and_little_memory(
    command: list[str], tmp_path: Path
) -> None:
    def little() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (1 << 29, 1 << 29))

    done = ask([command[0], "/dev/zero", *command[1:]], tmp_path, preexec_fn=little)
    assert done.returncode == 2 and not any(tmp_path.iterdir())
    assert done.stderr.count(b"larger than 5000000 bytes") == 1 and len(done.stderr) < 400


def test_a_file_of_the_largest_size_is_read_and_one_byte_more_is_not(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    path.write_bytes(GOOD.encode() + b"#" * (MAX_BYTES - len(GOOD.encode()) - 1) + b"\n")
    assert read_design(path).aircraft and read_file(path) == DesignFile(path, path.read_bytes())
    with path.open("ab") as stream:
        stream.write(b"\n")
    with pytest.raises(Unreadable) as caught:
        read_file(path)
    assert "larger than" in caught.value.problems[0].message and caught.value.lines == ()
