"""One case: a folder with files, a command, and what became of them, in a process of its own."""

from __future__ import annotations

import io
import os
import resource
import select
import shutil
import signal
import sys
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tests.fuzz.commands import arguments, expansion, names_in
from tests.fuzz.hostile import MARK
from tests.fuzz.received import FOLDER, received
from tests.fuzz.tables import tables_of
from tests.fuzz.text import design_file, shortened_file

#: processor seconds that a command may take for each design it reads, seconds on the clock after which it is ended, and bytes that it may ask for
SECONDS, PATIENCE, MEMORY = 20, 90, 3 << 30
KEPT = "kept as it is\n"


@dataclass(frozen=True)
class Case:
    """Files by name, the first of them the design that is asked about, and the arguments of the command."""

    number: int
    files: dict[str, bytes]
    arguments: list[str]


@dataclass
class Outcome:
    """What a command did: ``status`` as the process ended (less than 0: ended by that signal), what it wrote, ``seconds`` of processor time,
    ``forbidden`` what it tried that it must not, ``spoilt`` files that are not as they were, ``made`` the files in its output folder."""

    status: int
    out: str
    err: str
    seconds: float
    forbidden: list[str] = field(default_factory=list)
    spoilt: list[str] = field(default_factory=list)
    made: dict[str, bytes] = field(default_factory=dict)


def case_of(number: int) -> Case:
    """The case of a number, the same each time."""
    draw = Random(number)
    files = {"design.yaml": design_file(draw)}
    if draw.random() < 0.25:
        files[draw.choice(("old.yaml", "old.json", f"{MARK}\u202e\x1b[2J.yaml", "-old.yaml"))] = design_file(
            draw
        )
    names = names_in(files["design.yaml"])
    return _with_a_folder(
        _with_tables(_in_the_short_form(Case(number, files, arguments(draw, list(files), names))))
    )


def _in_the_short_form(case: Case) -> Case:
    """Some cases have their design as circuits, now and then with a path that is changed, and some ask for the long form."""
    draw = Random(f"short form of {case.number}")
    files, told = dict(case.files), case.arguments
    if draw.random() < 0.3:
        files["design.yaml"] = shortened_file(draw, files["design.yaml"])
    if draw.random() < 0.06:
        told = expansion(draw, list(files))
    return Case(case.number, files, told)


def _with_tables(case: Case) -> Case:
    """A few cases have their loads and wires in tables beside the design, most of which are changed."""
    draw = Random(f"tables of {case.number}")
    if draw.random() >= 0.06:
        return case
    return Case(case.number, case.files | tables_of(draw, case.files["design.yaml"]), case.arguments)


def _with_a_folder(case: Case) -> Case:
    """A few cases check a folder that was received."""
    draw = Random(f"folder of {case.number}")
    if draw.random() >= 0.04:
        return case
    folder = FOLDER if draw.random() < 0.95 else draw.choice(("out", "design.yaml", "missing", "", "."))
    return Case(case.number, case.files | received(draw), ["check", folder])


def run_case(case: Case, folder: Path, command: Callable[[], object], seconds: int = SECONDS) -> Outcome:
    """Runs ``command``, which reads ``sys.argv``, in a process of its own in a folder of its own, which is gone afterwards."""
    place = folder / str(case.number)
    shutil.rmtree(place, ignore_errors=True)
    (place / "out" / "full").mkdir(parents=True)
    before = {**case.files, "out/full/keep.txt": KEPT.encode()}
    for name, content in before.items():
        (place / name).parent.mkdir(exist_ok=True)
        (place / name).write_bytes(content)
    notes = {
        n: os.open(folder / f"{case.number}.{n}", os.O_RDWR | os.O_CREAT | os.O_TRUNC)
        for n in ("out", "err", "forbidden")
    }
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child == 0:
        _child(case, place, notes, command, seconds)
    status, took = ended(child)
    told = {n: _read(handle).decode("utf-8", "replace") for n, handle in notes.items()}
    for name, handle in notes.items():
        os.close(handle)
        (folder / f"{case.number}.{name}").unlink()
    spoilt = [
        name
        for name, content in before.items()
        if not (place / name).is_file() or (place / name).read_bytes() != content
    ]
    there = {p.relative_to(place).as_posix(): p for p in place.rglob("*") if p.is_file()}
    spoilt += [name for name in there if name not in before and not name.startswith("out/")]
    made = {name: path.read_bytes() for name, path in there.items() if name not in before}
    shutil.rmtree(place, ignore_errors=True)
    return Outcome(status, told["out"], told["err"], took, told["forbidden"].splitlines(), spoilt, made)


def ended(child: int) -> tuple[int, float]:
    """How a child ended, less than 0: by that signal, and its seconds of processor time."""
    watch = os.pidfd_open(child)
    try:
        if not select.select([watch], [], [], PATIENCE)[0]:
            os.kill(child, signal.SIGKILL)
        _, status, used = os.wait4(child, 0)
    finally:
        os.close(watch)
    return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime


def _read(handle: int) -> bytes:
    os.lseek(handle, 0, os.SEEK_SET)
    found = b""
    while more := os.read(handle, 1 << 20):
        found += more
    return found


def _child(
    case: Case, place: Path, notes: dict[str, int], command: Callable[[], object], seconds: int
) -> None:
    """What the process of the case does; it never comes back."""
    status = 99
    try:
        os.chdir(place)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(notes["out"], 1)
        os.dup2(notes["err"], 2)
        sys.stdin, sys.stdout, sys.stderr = (
            io.TextIOWrapper(os.fdopen(n, mode, closefd=False), encoding="utf-8")
            for n, mode in ((0, "rb"), (1, "wb"), (2, "wb"))
        )
        sys.argv, sys.dont_write_bytecode = ["reviewer", *case.arguments], True
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        sys.addaudithook(_hook(str(place / "out"), notes["forbidden"]))
        try:
            command()
            status = 0
        except SystemExit as done:
            status = done.code if isinstance(done.code, int) else 0 if done.code is None else 1
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        os.write(2, traceback.format_exc().encode("utf-8", "replace"))
    finally:
        os._exit(status & 0xFF)


_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_PATHS = (
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.mkdir",
    "os.link",
    "os.symlink",
    "os.chmod",
    "os.chown",
    "os.truncate",
    "os.utime",
    "shutil.rmtree",
)
_NEVER = (
    "os.system",
    "os.exec",
    "os.posix_spawn",
    "os.spawn",
    "os.fork",
    "os.forkpty",
    "subprocess.Popen",
    "os.kill",
    "ctypes.",
    "pty.",
    "webbrowser.",
)
_NEVER += (
    "socket.",
    "urllib.",
    "http.",
    "ftplib.",
    "smtplib.",
    "os.putenv",
    "os.startfile",
    "builtins.input",
    "pdb.",
    "pickle.",
)


def _hook(out: str, notes: int) -> Callable[[str, tuple], None]:
    """Notes and forbids every write outside of the folder ``out``, every start of a program or connection, and every piece of the design that is
    compiled."""

    def note(text: str) -> None:
        os.write(notes, text.replace("\n", " ").encode("utf-8", "backslashreplace")[:400] + b"\n")
        raise PermissionError(text[:400])

    def inside(path: object) -> bool:
        if isinstance(path, int) or path is None:
            return True
        full = os.path.abspath(os.fsdecode(path))  # type: ignore[arg-type]
        if len(os.fsencode(os.path.basename(full))) > 255:
            return True  # no file system has such a name: nothing comes of it
        return full == out or full.startswith(out + "/") or full.startswith(os.devnull)

    def hook(event: str, given: tuple) -> None:
        if event == "open":
            path, _mode, flags = given
            if (
                isinstance(flags, int)
                and flags & _WRITES
                and not inside(path)
                and not (flags & os.O_EXCL and os.path.lexists(path))
            ):
                note(f"opened for writing: {path!r}")
        elif event == "compile":
            source = given[0]
            text = source.decode("utf-8", "replace") if isinstance(source, bytes) else source
            if isinstance(text, str) and MARK in text:
                note(f"compiled: {text[:200]!r}")
        elif event in _PATHS:
            for path in given[: 2 if event in ("os.rename", "os.link", "os.symlink") else 1]:
                if not inside(path):
                    note(f"{event} {path!r}")
        elif event.startswith(_NEVER):
            note(f"{event} {given!r}")

    return hook
