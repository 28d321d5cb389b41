"""A mutation run of the code: ``python -m tests.mutation [--sample N] [--seed S] [ROOM ...]``.

A seeded sample of small changes of a room of the analysis, of a package or of the rules, each made alone in a copy outside the checkout: a
comparison turned or moved to its bound, `and` for `or`, `not` taken away, a number one higher, a sum for a difference, a branch dropped.
A change is tried against the tests of its room, then against the cases of rules that run the changed function; a change of a rule against
the cases of that rule. It is found where a test fails, or where the tests take three times the processor time that they take without it:
time on the clock would count a busy machine. Prints the score of each room, every change that only time found, and every change that
was not found. Some of those change nothing that can be seen: read them.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum, auto
from functools import cache
from pathlib import Path
from random import Random

from tests.code_changes import Change, changes
from tests.rule_mutation import unnoticed
from tests.rule_reach import Reach, reach

ROOT = Path(__file__).parent.parent
#: a package -> its tests; the room of an engine has those of tests/analysis/<room>
PACKAGES = {
    "model": (
        "tests/model", "tests/reading/test_ranges.py", "tests/test_said_numbers.py", "tests/published/test_awg.py",
        "tests/published/test_wire_table.py",
    ),
    "network": ("tests/network", "tests/analysis/test_against_plain.py", "tests/analysis/conduction"),
    "questions": (
        "tests/questions", "tests/analysis/test_effects.py", "tests/analysis/test_scenes.py", "tests/test_cards.py",
        "tests/test_compare.py", "tests/test_questions.py", "tests/test_solve.py", "tests/test_wires.py",
    ),
    "reading": ("tests/reading",),
    "rulebook": (
        "tests/test_rulebook.py", "tests/test_rules_of_others.py", "tests/test_causes.py", "tests/test_ask.py",
        "tests/test_first_screen.py", "tests/test_estimate_trials.py", "tests/test_second_feeds.py",
    ),
    "tables": ("tests/tables",),
}  # fmt: skip
CASES = "tests/test_every_rule.py"
ROOMS = [
    *sorted(d.name for d in (ROOT / "tests" / "analysis").iterdir() if (d / "__init__.py").exists()),
    *PACKAGES,
    "rules",
]
#: of more rules that run a function the quickest are tried
MOST_RULES = 40


def folder_of(room: str) -> Path:
    """Where the code of a room stands."""
    if room == "rules":
        return ROOT / "rules"
    return ROOT / "reviewer" / (room if room in PACKAGES else f"analysis/{room}")


@cache
def of_room(room: str) -> tuple[Change, ...]:
    """Every change of a room, file by file."""
    files = sorted(folder_of(room).rglob("*.py"))
    return tuple(c for f in files for c in changes(f.relative_to(ROOT), f.read_text(encoding="utf-8")))


def sample(room: str, count: int, seed: int) -> list[Change]:
    """``count`` changes of a room, or all where it has no more: the same for the same seed and source."""
    return Random(f"{room} {seed}").sample(of_room(room), min(count, len(of_room(room))))


def copied(folder: Path) -> None:
    """Copy what git knows of the checkout to a folder."""
    names = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True
    ).stdout
    for name in filter(None, names.split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, folder / name)


class Ending(Enum):
    """How a run of tests ended."""

    PASSED = auto()
    FAILED = auto()
    STOPPED = auto()  # at the limit


def ending(folder: Path, tests: Sequence[str], limit: int) -> Ending:
    """How tests end in the copy within a limit of processor time, s, or of ten times that on the clock."""
    command = [sys.executable, "-m", "pytest", "-n0", "-x", "-q", "-p", "no:cacheprovider", *tests]
    # compiled files are told apart by the second in which their source was written: too coarse here
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(folder)}
    try:
        done = subprocess.run(
            command, cwd=folder, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            timeout=10 * limit, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5)),
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return Ending.STOPPED
    if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        return Ending.STOPPED
    return Ending.FAILED if done.returncode else Ending.PASSED


def own_tests(room: str) -> tuple[str, ...]:
    """The tests of a room or a package; those of the logic include the comparison with a plain answer."""
    return PACKAGES.get(
        room, (f"tests/analysis/{room}", *(("tests/oracle",) if room == "conduction" else ()))
    )


def tests_of(room: str, path: Path) -> tuple[str, ...]:
    """The tests of a changed file: those of its room, first what bears the name of the file."""
    named = [f"{tests}/test_{path.stem}.py" for tests in own_tests(room)]
    return (*(name for name in named if (ROOT / name).is_file()), *own_tests(room))


@cache
def _reach() -> Reach:
    return reach()


def _ending_of_cases(change: Change, folder: Path) -> Ending:
    """How the cases of the rules that run the changed function end; passed where none runs it."""
    seconds = _reach().seconds
    rules = sorted(_reach().of_line(change.path, change.line), key=lambda rule: (seconds[rule], rule))
    if not (some := rules[:MOST_RULES]):
        return Ending.PASSED
    limit = round(60 + 6 * sum(seconds[rule] for rule in some))
    return ending(folder, [CASES, "-k", " or ".join(some)], limit)


@dataclass
class Score:
    """Of the changes ``tried``: those that no test found, and those that only the limit of time found."""

    tried: int = 0
    left: list[Change] = field(default_factory=list)
    stopped: list[Change] = field(default_factory=list)


def run(room: str, count: int, seed: int, folder: Path) -> Score:
    """Try a sample of a room. Raises SystemExit where the tests fail as they are."""
    drawn, score = sample(room, count, seed), Score()
    if room == "rules":
        return Score(len(drawn), list(unnoticed(drawn)))
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    if ending(folder, own_tests(room), 600) is not Ending.PASSED:
        raise SystemExit(f"the tests of {room} fail without any change")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    limit = round(10 + 3 * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime))
    for change in drawn:
        file = folder / change.path
        was = file.read_bytes()
        file.write_bytes(change.made(was))
        ended = ending(folder, tests_of(room, change.path), limit)
        if ended is Ending.PASSED:
            ended = _ending_of_cases(change, folder)
        file.write_bytes(was)
        score.tried += 1
        {Ending.PASSED: score.left, Ending.STOPPED: score.stopped}.get(ended, []).append(change)
    return score


def main() -> None:
    asked = argparse.ArgumentParser(
        prog="python -m tests.mutation", description=(__doc__ or "").partition("\n")[0]
    )
    asked.add_argument("--sample", type=int, default=20, metavar="N", help="changes in each room (20)")
    asked.add_argument("--seed", type=int, default=0, metavar="S", help="another sample (0)")
    asked.add_argument("room", nargs="*", metavar="ROOM", help=f"some of: {', '.join(ROOMS)}")
    given = asked.parse_args()
    if unknown := sorted(set(given.room) - set(ROOMS)):
        asked.error(f"no such room: {', '.join(unknown)}")
    total = found = 0
    with tempfile.TemporaryDirectory() as made:
        copied(Path(made))
        for room in given.room or ROOMS:
            score = run(room, given.sample, given.seed, Path(made))
            here = score.tried - len(score.left)
            total, found = total + score.tried, found + here
            print(f"{room}: {here} of {score.tried} found", flush=True)
            for words, listed in (("not found", score.left), ("stopped by its time", score.stopped)):
                for change in listed:
                    print(
                        f"  {words}: {change.path}:{change.line}, column {change.column}: {change.what}",
                        flush=True,
                    )
    print(f"all: {found} of {total} found, {100 * found / max(total, 1):.0f} %")


if __name__ == "__main__":
    main()
