"""Tries changes of the code from one interpreter that has all loaded: a plugin of pytest that collects once and forks a process for each.

The process writes the changed file, so that the commands that tests start run it too, gives the functions of the file
their changed code, and runs the tests of the change. A change that this would not make whole ends as `alone`, and asks
for an interpreter of its own: one outside every function, of a function that ran while tests were collected, for what
it returned is kept, or of a function whose variables become others.
"""

from __future__ import annotations

import gc
import inspect
import json
import os
import resource
import signal
import sys
import time
from collections.abc import Collection, Iterator
from contextlib import suppress
from cProfile import Profile
from dataclasses import asdict, dataclass
from enum import Enum, auto
from pathlib import Path
from types import CodeType, FunctionType

import pytest

from tests.once_a_run import FOLDER as OF_A_RUN

ROOT = Path(__file__).parent.parent
#: the name in the environment of a file of trials, a line of JSON each; how they ended is written beside it
TRY_THOSE_OF = "REVIEWER_TESTS_CHANGES"
#: how pytest ends where it was started wrongly, and where no test was left
USAGE, NO_TESTS = 4, 5


class Ending(Enum):
    """How a run of tests ended."""

    PASSED = auto()
    FAILED = auto()
    STOPPED = auto()  # at the limit
    ALONE = auto()  # not run: asks for an interpreter of its own


def ending_of(status: int) -> Ending:
    """How tests ended, by the exit status of pytest or, below 0, the signal that ended it."""
    if status in (-signal.SIGXCPU, -signal.SIGKILL):
        return Ending.STOPPED
    return Ending.PASSED if status in (0, NO_TESTS) else Ending.FAILED


@dataclass(frozen=True)
class Trial:
    """The text of a changed file, the tests to run in their order, and their limit of processor time, s."""

    path: str
    text: str
    tests: list[str]
    limit: int


def write_trials(file: Path, trials: Collection[Trial]) -> None:
    """Write trials for the plugin."""
    file.write_text("".join(json.dumps(asdict(trial)) + "\n" for trial in trials), encoding="utf-8")
    endings_file(file).write_bytes(b"")


def endings_file(file: Path) -> Path:
    """Where the plugin writes how the trials of a file ended, a name a line."""
    return file.with_suffix(".ended")


def _nested(code: CodeType) -> list[CodeType]:
    return [c for c in code.co_consts if isinstance(c, CodeType)]


def _pairs(old: CodeType, new: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    """The code of a file and of all functions in it, with what it becomes; what is in a dropped branch has no pair."""
    yield old, new
    inner, changed = _nested(old), _nested(new)
    if [c.co_qualname for c in inner] == [c.co_qualname for c in changed]:
        for pair in zip(inner, changed, strict=True):
            yield from _pairs(*pair)


def _own(code: CodeType) -> tuple[object, ...]:
    """What a function does itself, wherever its lines stand."""
    constants = [repr(c) for c in code.co_consts if not isinstance(c, CodeType)]
    return code.co_code, constants, code.co_names, code.co_varnames, code.co_freevars, len(_nested(code))


def _place(code: CodeType) -> tuple[str, str, int]:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def changed_functions(
    path: Path, text: str, ran: Collection[tuple[str, str, int]]
) -> list[tuple[FunctionType, CodeType]] | None:
    """The functions of a file that are loaded here, each with the code that another text of the file gives it.

    None where that would not make the change whole; none where the file is not loaded yet. ``ran``: file, name
    and first line of the functions that have run.
    """
    module = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
    if module not in sys.modules:
        return []
    old, new = (
        compile(t, str(path), "exec", dont_inherit=True) for t in (path.read_text(encoding="utf-8"), text)
    )
    pairs = list(_pairs(old, new))
    others = [before for before, after in pairs if _own(before) != _own(after)]
    if any(not code.co_flags & inspect.CO_OPTIMIZED or _place(code) in ran for code in others):
        return None
    found = []
    for function in gc.get_objects():
        if isinstance(function, FunctionType) and function.__code__.co_filename == str(path):
            after = next((after for before, after in pairs if before == function.__code__), None)
            if after is not None:
                if after.co_freevars != function.__code__.co_freevars:
                    return None
                found.append((function, after))
    return found or None


def _waited(child: int, seconds: float) -> Ending:
    """How a process ends within a time on the clock, s; what it started ends with it."""
    until = time.monotonic() + seconds
    ended = 0
    while not ended and time.monotonic() < until:
        ended, status = os.waitpid(child, os.WNOHANG)
        time.sleep(0.01)
    with suppress(ProcessLookupError):  # nothing is left of it
        os.killpg(child, signal.SIGKILL)
    if not ended:
        status = os.waitpid(child, 0)[1]
    return ending_of(os.waitstatus_to_exitcode(status))


class Forked:
    """Forks a process for each trial of a file, in place of running what was collected."""

    def __init__(self, file: Path):
        self.file = file
        self.loading = Profile(builtins=False)
        self.loading.enable()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool | None:
        self.loading.disable()
        ran = {_place(entry.code) for entry in self.loading.getstats() if isinstance(entry.code, CodeType)}
        items = {item.nodeid: item for item in session.items}
        trials = [Trial(**json.loads(line)) for line in self.file.read_text(encoding="utf-8").splitlines()]
        if missing := sorted({test for trial in trials for test in trial.tests} - items.keys()):
            raise pytest.UsageError(f"no such tests: {', '.join(missing)}")
        for trial in trials:
            path = ROOT / trial.path
            was = path.read_bytes()
            ending = Ending.ALONE
            if (functions := changed_functions(path, trial.text, ran)) is not None:
                child = os.fork()
                if child == 0:
                    os.setsid()
                    resource.setrlimit(resource.RLIMIT_CPU, (trial.limit, trial.limit + 5))
                    path.write_text(trial.text, encoding="utf-8")
                    for function, code in functions:
                        function.__code__ = code
                    os.environ.pop(OF_A_RUN, None)  # nothing that other code has made
                    session.items[:] = [items[test] for test in trial.tests]
                    return None  # pytest runs them and ends as it always does
                ending = _waited(child, 10 * trial.limit)
                path.write_bytes(was)
            with endings_file(self.file).open("a", encoding="utf-8") as written:
                written.write(f"{ending.name}\n")
        return True


def pytest_configure(config: pytest.Config) -> None:
    """Register what the environment asks for."""
    if file := os.environ.get(TRY_THOSE_OF):
        config.pluginmanager.register(Forked(Path(file)))
