"""Streams that are full, closed or read no more, and signals: quiet, with the status that the help states, never a defect."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from tests.test_cli import BROKEN, ROOT, SMALL

#: sends a signal to the process when it begins to import a module
AT_IMPORT = """
import os, sys
module, number = sys.argv[1], int(sys.argv[2])
class Watch:
    def find_spec(self, name, path=None, target=None):
        if name == module:
            sys.meta_path.remove(self)
            os.kill(os.getpid(), number)
sys.meta_path.insert(0, Watch())
sys.argv = ["reviewer", *sys.argv[3:]]
from reviewer.__main__ import main
main()
"""
#: processes are started throughout
pytestmark = pytest.mark.long
COMMANDS = (
    ["review", "one.yaml"],
    ["effects", "one.yaml", "--as", "csv"],
    ["compare", "one.yaml", "two.yaml", "--as", "json"],
    ["trace", "one.yaml", "left-ignition"],
    ["explain"],
    ["schema"],
    ["start"],
    ["--help"],
    ["--version"],
)


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    other = SMALL.replace("rating: 5 A", "rating: 7.5 A")
    for name, text in {"one": SMALL, "two": other, "broken": BROKEN}.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    return tmp_path


def ask(
    arguments: list[str], folder: Path, program: tuple[str, ...] = ("-m", "reviewer"), **more: object
) -> subprocess.CompletedProcess[str]:
    given = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **more}
    done = subprocess.run(
        [sys.executable, *program, *arguments], cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT)}, text=True, encoding="utf-8", timeout=60, **given,
    )  # fmt: skip
    for text in (done.stdout or "", done.stderr or ""):
        assert "defect" not in text and "Traceback" not in text and "Exception ignored" not in text, text
    return done


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_full_disk_behind_standard_output_is_told_in_one_sentence(command: list[str], bench: Path) -> None:
    with open("/dev/full", "w") as full:
        done = ask(command, bench, stdout=full)
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1] == "Standard output cannot be written: No space left on device."
    assert len(done.stderr.splitlines()) == 1 or "csv" in command  # the cautions go to standard error there


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_reader_that_has_gone_is_no_message(command: list[str], bench: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as gone:
        done = ask(command, bench, stdout=gone)
    assert done.returncode == 141 and (done.stderr == "" or "csv" in command)


@pytest.mark.parametrize("place", ["/dev/stdout", "pipe"])
def test_a_reader_of_what_is_written_that_has_gone_is_no_message(place: str, bench: Path) -> None:
    os.mkfifo(bench / "pipe")
    threading.Thread(target=lambda: (bench / "pipe").open("rb").close(), daemon=True).start()
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as gone:
        done = ask(["report", "one.yaml", "--out", place], bench, stdout=gone)
    assert (done.returncode, done.stderr) == (141, "")


def test_a_closed_standard_output_is_told_where_something_was_to_be_written(bench: Path) -> None:
    closed = {"stdout": None, "preexec_fn": lambda: os.close(1)}
    done = ask(["review", "one.yaml"], bench, **closed)
    assert (done.returncode, done.stderr) == (2, "Standard output cannot be written: it is closed.\n")
    done = ask(["review", "one.yaml", "--out", "report"], bench, **closed)
    assert (done.returncode, done.stderr) == (1, "Wrote report.\n")
    wanted = ask(["review", "one.yaml"], bench).stdout
    assert (bench / "report").read_text(encoding="utf-8") == wanted


@pytest.mark.parametrize(
    "kind", [pytest.param(kind, marks=pytest.mark.long) for kind in ("closed", "full", "gone")]
)
def test_nothing_is_lost_with_standard_error(kind: str, bench: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    where = {
        "closed": {"stderr": None, "preexec_fn": lambda: os.close(2)},
        "full": {"stderr": os.open("/dev/full", os.O_WRONLY)},
        "gone": {"stderr": writing},
    }[kind]
    asked: list[tuple[list[str], int]] = [
        (["review", "broken.yaml", "one.yaml"], 2),
        (["wires", "two.yaml", "--as", "csv"], 0),
        (["review", "one.yaml", "--out", "report"], 1),
        (["trace", "two.yaml", "nothing"], 2),
        (["review"], 2),
    ]
    for arguments, status in asked:
        done = ask(arguments, bench, **where)
        assert (done.returncode, done.stdout) == (status, ask(arguments, bench).stdout), arguments
    assert (bench / "report").stat().st_size > 300
    done = ask(["review", "one.yaml"], bench, **{**where, "stdout": os.open("/dev/full", os.O_WRONLY)})
    assert done.returncode == 2


def heard() -> None:
    """Signals as a terminal has them; a test that runs in the background would pass on that some are ignored."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


@pytest.mark.parametrize(
    "number",
    [signal.SIGINT, *(pytest.param(n, marks=pytest.mark.long) for n in (signal.SIGTERM, signal.SIGHUP))],
)
@pytest.mark.parametrize(
    ("module", "command"),
    [
        ("reviewer.cli.main", ["start", "new.yaml"]),
        ("click", ["review", "one.yaml"]),
        ("pydantic", ["review", "one.yaml"]),
        ("reviewer.cli.written_file", ["start", "new.yaml"]),
        ("reviewer.reports.review.text", ["review", "one.yaml"]),
        ("jinja2", ["handoff", "one.yaml", "--out", "folder"]),
        ("hashlib", ["report", "one.yaml", "--out", "page"]),
    ],
)
def test_a_signal_ends_the_command_quietly_at_any_time(
    module: str, command: list[str], number: signal.Signals, bench: Path
) -> None:
    before = sorted(os.listdir(bench))
    done = ask(command, bench, ("-c", AT_IMPORT, module, str(int(number))), preexec_fn=heard)
    assert (done.returncode, done.stdout, done.stderr) == (128 + number, "", "")
    assert sorted(os.listdir(bench)) == before


def test_a_signal_that_the_caller_ignores_stays_ignored(bench: Path) -> None:
    def ignored() -> None:
        signal.signal(signal.SIGHUP, signal.SIG_IGN)

    done = ask(
        ["review", "one.yaml"], bench, ("-c", AT_IMPORT, "click", str(int(signal.SIGHUP))), preexec_fn=ignored
    )  # fmt: skip
    assert done.returncode == 1 and "Single failure of battery" in done.stdout


def test_ctrl_c_while_a_pipe_is_waited_for_ends_the_command(bench: Path) -> None:
    """Nobody writes into the first pipe, nobody reads all of the second."""
    for name in ("in.yaml", "out"):
        os.mkfifo(bench / name)
    for arguments in (["review", "in.yaml"], ["report", "one.yaml", "--out", "out"]):
        with subprocess.Popen(
            [sys.executable, "-m", "reviewer", *arguments], cwd=bench, env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=heard,
        ) as process:  # fmt: skip
            end = None
            if "--out" in arguments:
                end = (bench / "out").open("rb")  # opens when the command does
                end.read(10)
            time.sleep(1.5)
            assert process.poll() is None
            process.send_signal(signal.SIGINT)
            told = process.communicate(timeout=30)
            assert (process.returncode, *told) == (130, "", ""), arguments
            if end:
                end.close()


@pytest.mark.parametrize(
    "form", ["text", *(pytest.param(f, marks=pytest.mark.long) for f in ("json", "sarif"))]
)
def test_one_file_that_cannot_be_read_does_not_stop_the_others(form: str, bench: Path) -> None:
    (bench / "round.yaml").symlink_to("round.yaml")
    (bench / "nowhere.yaml").symlink_to("missing.yaml")
    (bench / "folder.yaml").mkdir()
    (bench / "empty.yaml").touch()
    (bench / "bytes.yaml").write_bytes(b"\xff\xfe\x00")
    (bench / "locked.yaml").symlink_to("/proc/self/mem")
    bad = ["round", "nowhere", "folder", "empty", "bytes", "locked", "broken", "missing", "x" * 300]
    files = [f"{name}.yaml" for name in bad]
    done = ask(["review", *files[:4], "one.yaml", *files[4:], "two.yaml", "--as", form], bench)
    assert done.returncode == 2 and done.stderr.count("cannot be reviewed.") == len(bad)
    alone = ask(["review", "one.yaml", "two.yaml", "--as", form], bench).stdout
    if form == "text":  # the summary names what was not reviewed
        done_text, _, summary = done.stdout.rpartition("\n\n")
        alone, _, _ = alone.rpartition("\n\n")
        words = "".join(summary.split())
        assert all(f"{name}.yaml" in words for name in bad) and f"{len(bad)}not." in words
        assert done_text == alone
    elif form == "json":
        found = json.loads(done.stdout)
        assert [one["file"] for one in found.pop("unread")] == files
        assert found == json.loads(alone)
    elif form == "sarif":  # what was not reviewed stands among the notifications, and nothing else differs
        (found,), (without,) = json.loads(done.stdout)["runs"], json.loads(alone)["runs"]
        (ran,), (sound,) = found.pop("invocations"), without.pop("invocations")
        assert not ran["executionSuccessful"] and sound["executionSuccessful"]
        named = [{one["location"]["uri"] for one in run.pop("artifacts")} for run in (found, without)]
        assert named == [{*files, "one.yaml", "two.yaml"}, {"one.yaml", "two.yaml"}]
        assert found == without
        said = json.dumps([one for one in ran["toolExecutionNotifications"] if one["level"] == "error"])
        assert all(name in said for name in files)
    else:
        assert done.stdout == alone


def pipe_of(path: Path, text: str) -> None:
    os.mkfifo(path)
    threading.Thread(target=lambda: path.write_text(text, encoding="utf-8"), daemon=True).start()


@pytest.mark.parametrize(("text", "status"), [(SMALL, 1), (BROKEN, 2)])
def test_a_pipe_that_is_named_twice_is_read_once_and_told_twice(text: str, status: int, bench: Path) -> None:
    pipe_of(bench / "pipe.yaml", text)
    done = ask(["review", "pipe.yaml", "./pipe.yaml", "--as", "json"], bench)
    assert done.returncode == status
    if status == 2:
        assert done.stderr.count("rating: 60, label: BUS FEED") == 2
        assert "\npipe.yaml cannot" in f"\n{done.stderr}"
    else:
        assert [one["file"] for one in json.loads(done.stdout)["reviews"]] == ["pipe.yaml", "pipe.yaml"]
