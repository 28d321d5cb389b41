"""Where a person asks for a report to be written: what is there keeps what it is, and a file is whole or not there."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from reviewer.cli.folder import NotOurs, place_folder
from reviewer.cli.stopping import Stopped
from reviewer.cli.written_file import LeftAlone, write_file, write_new_file
from tests.test_cli import GOOD, ROOT, SMALL, run
from tests.test_rulebook import RULE

pytestmark = pytest.mark.long  # each test runs several commands

REPORT = b"a report\n" * 30_000  # more than a pipe holds


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def read_from(pipe: Path, told: list[bytes]) -> threading.Thread:
    reader = threading.Thread(target=lambda: told.append(pipe.read_bytes()), daemon=True)
    reader.start()
    return reader


def test_a_pipe_takes_the_report_and_stays_a_pipe(tmp_path: Path) -> None:
    pipe, told = tmp_path / "pipe", []
    os.mkfifo(pipe)
    reader = read_from(pipe, told)
    write_file(pipe, REPORT)
    reader.join(10)
    assert told == [REPORT] and stat.S_ISFIFO(pipe.stat().st_mode) and os.listdir(tmp_path) == ["pipe"]


def test_a_device_stays_a_device(tmp_path: Path) -> None:
    """A link stands for the device, so that a mistake would replace the link only."""
    null, full = tmp_path / "null", tmp_path / "full"
    null.symlink_to("/dev/null")
    full.symlink_to("/dev/full")
    before = os.stat("/dev/null")
    write_file(null, REPORT)
    with pytest.raises(OSError, match="No space"):
        write_file(full, REPORT)
    assert null.is_symlink() and full.is_symlink() and sorted(os.listdir(tmp_path)) == ["full", "null"]
    after = os.stat("/dev/null")
    assert (after.st_mode, after.st_rdev) == (before.st_mode, before.st_rdev)


def test_a_device_of_ones_own_stays_a_device(tmp_path: Path) -> None:
    null = tmp_path / "null"
    try:
        os.mknod(null, 0o666 | stat.S_IFCHR, os.makedev(1, 3))
        null.write_bytes(b"x")
    except OSError:  # only an administrator may make one; the link above shows the same
        null.unlink(missing_ok=True)
        os.mkfifo(null)
        read_from(null, [])
    kind = stat.S_IFMT(null.lstat().st_mode)
    write_file(null, REPORT)
    assert stat.S_IFMT(null.lstat().st_mode) == kind and os.listdir(tmp_path) == ["null"]


def test_a_link_is_followed_to_its_target_there_or_not(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    for name in ("old", "new"):
        (tmp_path / name).symlink_to(Path("there") / name)
    (tmp_path / "there" / "old").write_text("old")
    for name in ("old", "new"):
        write_file(tmp_path / name, REPORT)
        assert (tmp_path / name).is_symlink() and (tmp_path / "there" / name).read_bytes() == REPORT
    (tmp_path / "round").symlink_to("round")
    with pytest.raises(OSError, match="symbolic links"):
        write_file(tmp_path / "round", REPORT)
    assert sorted(os.listdir(tmp_path)) == ["new", "old", "round", "there"]
    assert sorted(os.listdir(tmp_path / "there")) == ["new", "old"]


@pytest.mark.parametrize("kept", [0o600, 0o640, 0o644, 0o664, 0o755])
def test_what_exists_keeps_its_mode_and_is_never_more_open_meanwhile(
    kept: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out, seen = tmp_path / "out", []
    out.write_text("old, and longer than the report is")
    out.chmod(kept)
    real = os.write

    def watched(descriptor: int, content: bytes) -> int:
        seen.append(stat.S_IMODE(os.fstat(descriptor).st_mode))
        return real(descriptor, content)

    monkeypatch.setattr("reviewer.cli.written_file.os.write", watched)
    write_file(out, b"new")
    assert out.read_bytes() == b"new" and mode(out) == kept and set(seen) == {kept}
    assert os.listdir(tmp_path) == ["out"]


@pytest.mark.parametrize(("mask", "given"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_a_new_file_has_the_mode_of_the_umask(mask: int, given: int, tmp_path: Path) -> None:
    before = os.umask(mask)
    try:
        write_file(tmp_path / "out", REPORT)
        write_new_file(tmp_path / "new", REPORT)
    finally:
        os.umask(before)
    assert mode(tmp_path / "out") == mode(tmp_path / "new") == given


@pytest.mark.parametrize("locked", [0o444, 0o400, 0o000])
def test_a_read_only_file_is_left_alone_by_an_administrator_too(locked: int, tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.write_text("kept")
    out.chmod(locked)
    with pytest.raises(LeftAlone, match="read-only"):
        write_file(out, REPORT)
    (tmp_path / "link").symlink_to("out")
    with pytest.raises(LeftAlone, match="read-only"):
        write_file(tmp_path / "link", REPORT)
    assert mode(out) == locked
    out.chmod(0o600)
    assert out.read_text() == "kept" and sorted(os.listdir(tmp_path)) == ["link", "out"]


def test_a_second_name_of_a_file_keeps_its_content_in_common(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_bytes(REPORT)
    os.link(one, other)
    write_file(one, b"new")
    assert other.read_bytes() == b"new" and one.samefile(other)


def test_the_owner_of_a_file_stays_its_owner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    out.write_text("theirs, and longer than the report is")
    if os.geteuid() == 0:
        os.chown(out, 65534, 65534)
    else:  # only an administrator can give a file away; here the user becomes another
        monkeypatch.setattr("reviewer.cli.written_file.os.geteuid", lambda: 65534)
    before = out.stat()
    write_file(out, b"new")
    after = out.stat()
    assert (after.st_ino, after.st_uid, after.st_gid) == (before.st_ino, before.st_uid, before.st_gid)
    assert out.read_bytes() == b"new" and os.listdir(tmp_path) == ["out"]


@pytest.mark.parametrize("reason", [OSError(28, "No space left on device"), Stopped(signal.SIGTERM)])
@pytest.mark.parametrize("write", [write_file, write_new_file])
def test_a_full_disk_or_a_stop_leaves_what_was_there(
    write: Callable[[Path, bytes], None],
    reason: BaseException,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    out = tmp_path / "out"
    real, calls = os.write, []

    def full(descriptor: int, content: bytes) -> int:
        calls.append(descriptor)
        if len(calls) % 2:
            return real(descriptor, content[:10])
        raise reason

    monkeypatch.setattr("reviewer.cli.written_file.os.write", full)
    with pytest.raises(type(reason)):
        write(out, REPORT)
    assert os.listdir(tmp_path) == []
    if write is write_file:
        out.write_text("old")
        with pytest.raises(type(reason)):
            write(out, REPORT)
        assert out.read_text() == "old" and os.listdir(tmp_path) == ["out"]


def test_a_new_file_takes_no_name_that_is_taken_even_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "link").symlink_to("nowhere")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "file").write_text("kept")
    for name in ("link", "pipe", "file"):
        with pytest.raises(FileExistsError):
            write_new_file(tmp_path / name, REPORT)
    out, real = tmp_path / "meanwhile", os.write

    def slow(descriptor: int, content: bytes) -> int:
        out.write_text("another's")
        return real(descriptor, content)

    monkeypatch.setattr("reviewer.cli.written_file.os.write", slow)
    with pytest.raises(FileExistsError):
        write_new_file(out, REPORT)
    assert out.read_text() == "another's" and (tmp_path / "file").read_text() == "kept"
    assert sorted(os.listdir(tmp_path)) == ["file", "link", "meanwhile", "pipe"]


def test_a_new_file_is_whole_where_a_file_can_have_one_name_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr("reviewer.cli.written_file.os.link", refused)
    write_new_file(tmp_path / "new", REPORT)
    assert (tmp_path / "new").read_bytes() == REPORT and os.listdir(tmp_path) == ["new"]


@pytest.mark.parametrize("name", ["é" * 127, "\U0001f6e9" * 63, "n" * 255])
def test_the_longest_name_that_a_system_has_can_be_written(name: str, tmp_path: Path) -> None:
    write_file(tmp_path / name, b"1")
    write_file(tmp_path / name, b"2")
    place_folder(tmp_path / f"x{name[1:]}", {"a": b""})
    assert (tmp_path / name).read_bytes() == b"2" and len(os.listdir(tmp_path)) == 2


def test_a_folder_that_is_replaced_keeps_its_modes_and_one_that_is_read_only_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tests.test_handoff import MANIFEST

    monkeypatch.setattr("reviewer.cli.folder._listed", lambda manifest: {"a": sha256_of(b"1")})
    out = tmp_path / "out"
    out.mkdir(mode=0o700)
    place_folder(out, {"a": b"1", MANIFEST: b"{}"})
    assert mode(out) == 0o700
    (out / "a").chmod(0o600)
    place_folder(out, {"a": b"1", MANIFEST: b"{}"})
    assert (mode(out), mode(out / "a")) == (0o700, 0o600)
    for path, locked, usual in ((out / "a", 0o444, 0o600), (out, 0o555, 0o700)):
        path.chmod(locked)
        with pytest.raises(NotOurs, match="read-only"):
            place_folder(out, {"a": b"2", MANIFEST: b"{}"})
        assert mode(path) == locked and (out / "a").read_bytes() == b"1"
        path.chmod(usual)
    assert os.listdir(tmp_path) == ["out"]


def sha256_of(content: bytes) -> str:
    import hashlib

    return hashlib.sha256(content).hexdigest()


def test_every_command_tells_in_one_sentence_what_it_left_alone(tmp_path: Path) -> None:
    (tmp_path / "small.yaml").write_text(SMALL, encoding="utf-8")
    locked = tmp_path / "locked"
    locked.write_text("kept")
    locked.chmod(0o444)
    for arguments in (["review"], ["wires"], ["report"], ["compare", "small.yaml"]):
        done = run(*arguments, "small.yaml", "--out", "locked", cwd=tmp_path)
        assert done.returncode == 2 and locked.read_text() == "kept"
        assert done.stderr == "locked is read-only and was left as it was; name another file.\n"


def test_no_report_goes_over_a_table_or_a_rule_that_was_read_for_it(tmp_path: Path) -> None:
    """Not by another name either; a file that only stands beside the design is replaced."""
    for name in ("trainer.design.yaml", "loads.csv", "wires.csv"):
        (tmp_path / name).write_bytes((ROOT / "examples" / "tables" / name).read_bytes())
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "a_rule.py").write_text(RULE, encoding="utf-8")
    (tmp_path / "link.csv").symlink_to("loads.csv")
    (tmp_path / "old.txt").write_text("old")
    kept = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    for out in ("loads.csv", "link.csv", "rules/a_rule.py"):
        done = run(
            "review",
            "trainer.design.yaml",
            "--rules-from",
            "rules",
            "--without-trials",
            "--out",
            out,
            cwd=tmp_path,
        )
        assert done.returncode == 2
        assert done.stderr == f"{out} was read for this report and was left as it was; name another file.\n"
    assert {path: path.read_bytes() for path in kept} == kept
    done = run("expand", "trainer.design.yaml", "--out", "old.txt", cwd=tmp_path)
    assert done.returncode == 0 and "format: 1" in (tmp_path / "old.txt").read_text()


def test_standard_output_named_as_a_file_goes_on_where_it_stands(tmp_path: Path) -> None:
    (tmp_path / "small.yaml").write_text(SMALL, encoding="utf-8")
    wanted = run("review", "small.yaml", cwd=tmp_path).stdout
    command = f"{sys.executable} -m reviewer review small.yaml --out"
    for place in ("/dev/stdout", "/dev/fd/1", "/proc/self/fd/1", "log"):
        (tmp_path / "log").unlink(missing_ok=True)
        done = subprocess.run(
            f"{{ echo first; {command} {place}; echo last; }} > log",
            shell=True, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True,
        )  # fmt: skip
        assert done.stderr == f"Wrote {place}.\n"
        assert (tmp_path / "log").read_text(encoding="utf-8") == f"first\n{wanted}last\n", place
    done = subprocess.run(
        ["bash", "-c", f"{command} >(cat > copy; echo done >> copy); sleep 0.5"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True,
    )  # fmt: skip
    assert (tmp_path / "copy").read_text(encoding="utf-8") == f"{wanted}done\n", done.stderr


def test_start_on_a_full_disk_leaves_nothing(tmp_path: Path) -> None:
    """A limit on the size of files stands for the full disk; Python ignores the signal that comes with it."""
    import resource

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

    assert len(GOOD) > 1000
    done = subprocess.run(
        [sys.executable, "-m", "reviewer", "start", "new.yaml"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}, capture_output=True, text=True, preexec_fn=small,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (2, "new.yaml cannot be written: File too large.\n")
    assert os.listdir(tmp_path) == []
