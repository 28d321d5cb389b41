"""A mutation run of the code: ``python -m tests.mutation [--sample N] [--seed S] [--reach FOLDER] [ROOM ...]``.

A seeded sample of small changes of a room of the analysis, of a package or of the rules, each made alone in a copy outside the checkout: a
comparison turned or moved to its bound, `and` for `or`, `not` taken away, a number one higher, a sum for a difference, a branch dropped.

The tests of all rooms that are asked for, those of no room, and the cases of the rules, run once; what each runs is recorded (:mod:`tests.reach`) and kept in
``--reach FOLDER`` for a second run of the same checkout. A change is tried against the tests that run the changed function: those of its own room first, then the
quickest, as many as take two minutes; where none runs it, or where tests start the command, against all tests of its room. A change of a rule is tried against the case of that rule.

It is noticed where a test fails, or where the tests take ten seconds and three times the processor time that they take without it: time on the
clock would count a busy machine. Known equivalents (`equivalent_changes.yaml`, each with its reason) are not tried. Prints the
score of each room, every change that only time noticed, and every change that was not noticed: read them.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from pathlib import Path
from random import Random

from tests.code_changes import Change, changes
from tests.equivalent_changes import known_equivalents
from tests.forked_changes import TRY_THOSE_OF, USAGE, Ending, Trial, ending_of, endings_file, write_trials
from tests.reach import CASES, RECORD_TO, ROOT, RUN_THOSE_OF, Reach, read_reach
from tests.rule_mutation import unnoticed

#: a package -> its tests; the room of an engine has those of tests/analysis/<room>
PACKAGES = {
    "model": (
        "tests/model", "tests/reading/test_ranges.py", "tests/test_said_numbers.py", "tests/published/test_awg.py",
        "tests/published/test_wire_table.py",
    ),
    "network": ("tests/network", "tests/analysis/test_against_plain.py", "tests/analysis/conduction", "tests/oracle"),
    "questions": (
        "tests/questions", "tests/analysis/test_effects.py", "tests/analysis/test_scenes.py", "tests/test_cards.py",
        "tests/test_committed.py", "tests/test_compare.py", "tests/test_questions.py", "tests/test_solve.py", "tests/test_wires.py",
    ),
    "reading": ("tests/reading",),
    "reports": (
        "tests/reports", "tests/test_reports.py", "tests/test_first_screen.py", "tests/test_package.py", "tests/test_schematic.py",
        "tests/test_title_block.py", "tests/test_readings.py", "tests/test_cards.py", "tests/test_committed.py",
    ),
    "cli": ("tests/test_cli.py", "tests/test_committed.py", "tests/test_cli_package.py", "tests/test_check.py", "tests/test_written_file.py", "tests/test_many_files.py"),
    "rulebook": (
        "tests/test_rulebook.py", "tests/test_rules_of_others.py", "tests/test_causes.py", "tests/test_ask.py",
        "tests/test_first_screen.py", "tests/test_estimate_trials.py", "tests/test_second_feeds.py",
    ),
    "tables": ("tests/tables",),
    "live": ("tests/live", "tests/test_live_command.py"),
    "editor": ("tests/editor",),
}  # fmt: skip
ROOMS = [
    *sorted(d.name for d in (ROOT / "tests" / "analysis").iterdir() if (d / "__init__.py").exists()),
    *PACKAGES,
    "rules",
]
#: what else tries the logic of states: the comparison with a plain answer, and the states that it makes
CONDUCTION = ("tests/oracle", "tests/reading/test_made_states.py")
#: rooms whose tests start the command: what that runs is not recorded, so that all their tests are tried
STARTED = ("cli", "live", "editor")
#: tests of no room that try no code of one by itself, or in processes of which nothing is recorded
ASIDE = (
    "arrows", "article", "causes_of_faults", "edits", "every_key", "every_kind", "every_rule", "from_python", "house_rules", "long_run",
    "memory", "mutation", "order", "packaging", "picture", "precommit_hook", "record", "review_questions", "streams",
)  # fmt: skip
#: tests are tried as long as they take no more than this together, s of processor time
MOST_SECONDS = 120.0


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
    # the second in which a source was written, by which compiled files are told apart, is too coarse
    command = [
        sys.executable,
        "-m",
        "compileall",
        "-q",
        "--invalidation-mode",
        "checked-hash",
        "reviewer",
        "tests",
    ]
    subprocess.run(command, cwd=folder, check=True)


def started(tests: Iterable[str], plugins: Iterable[str] = ()) -> list[str]:
    """The command that runs tests up to the first that fails."""
    plain = ["-n0", "-x", "-q", "--assert=plain", "-p", "no:cacheprovider"]
    asked = [word for plugin in plugins for word in ("-p", plugin)]
    return [sys.executable, "-m", "pytest", *plain, *asked, *tests]


def surroundings(folder: Path, more: Mapping[str, str]) -> dict[str, str]:
    """The environment of tests of the copy.

    Compiled files are told apart by their content, see `copied`; those of changes are not kept.
    """
    return {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(folder), **more}


def ending(
    folder: Path, tests: Iterable[str], limit: int, environment: Mapping[str, str] | None = None
) -> Ending:
    """How tests end in the copy within a limit of processor time, s, or of ten times that on the clock.

    Raises SystemExit where pytest does not take its arguments.
    """
    command = started(tests, ["tests.reach"] if environment else [])
    try:
        done = subprocess.run(
            command, cwd=folder, env=surroundings(folder, environment or {}), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            timeout=10 * limit, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5)),
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return Ending.STOPPED
    if done.returncode == USAGE:
        raise SystemExit(f"pytest refuses: {' '.join(command)}")
    return ending_of(done.returncode)


def forked_endings(folder: Path, trials: list[Trial]) -> list[Ending]:
    """How the tests of each trial end in a process forked from one that has loaded all of them.

    Raises SystemExit where that one does not come to its end.
    """
    file = folder / "trials"
    write_trials(file, trials)
    command = started(dict.fromkeys(_files_of(trials)), ["tests.forked_changes"])
    done = subprocess.run(
        command, cwd=folder, env=surroundings(folder, {TRY_THOSE_OF: str(file)}), capture_output=True, text=True
    )  # fmt: skip
    ended = [Ending[name] for name in endings_file(file).read_text(encoding="utf-8").split()]
    if len(ended) != len(trials):
        raise SystemExit(f"pytest stopped: {' '.join(command)}\n{done.stdout}{done.stderr}")
    return ended


def _files_of(trials: Iterable[Trial]) -> Iterator[str]:
    return (test.partition("::")[0] for trial in trials for test in trial.tests)


def own_tests(room: str) -> tuple[str, ...]:
    """The tests of a room or a package; those of the logic include the comparison with a plain answer."""
    return PACKAGES.get(room, (f"tests/analysis/{room}", *(CONDUCTION if room == "conduction" else ())))


def of_no_room() -> list[str]:
    """The tests of what several rooms do together, as the cards of the crew: for some of their code the only ones."""
    listed = {tests for own in PACKAGES.values() for tests in own}
    every = sorted(f"tests/{file.name}" for file in (ROOT / "tests").glob("test_*.py"))
    return [tests for tests in every if tests not in listed | {f"tests/test_{name}.py" for name in ASIDE}]


def recorded(rooms: Iterable[str], folder: Path, kept: Path) -> Reach:
    """What the tests of some rooms, those of no room and the cases of the rules run in the copy; what is
    ``kept`` is not run again.

    Raises SystemExit where they fail as they are.
    """
    digest = sha256()
    for file in sorted([*folder.rglob("*.py"), *folder.rglob("*.yaml")]):
        digest.update(file.read_bytes())
    kept.mkdir(exist_ok=True)
    made = []
    for tests in dict.fromkeys([*(test for room in rooms for test in own_tests(room)), *of_no_room(), CASES]):
        made.append(kept / f"{digest.hexdigest()[:12]}-{tests.replace('/', '-')}")
        if not made[-1].is_file():
            unfinished = kept / "unfinished"
            unfinished.write_bytes(b"")  # of tests that are all long nothing is recorded
            if ending(folder, [tests], 6000, {RECORD_TO: str(unfinished)}) is not Ending.PASSED:
                raise SystemExit(f"{tests} fail without any change")
            unfinished.rename(made[-1])
    return read_reach(made)


def chosen_for(change: Change, room: str, reach: Reach) -> list[str]:
    """The tests of a change: those of its room first, then the quickest, as many as the time allows."""

    running = reach.of_line(change.path, change.line)
    every = running
    if not running or room in STARTED:
        every = running | {test for test in reach.seconds if test.startswith(own_tests(room))}

    def place(test: str) -> tuple[bool, bool, float, str]:
        return test not in running, not test.startswith(own_tests(room)), reach.seconds[test], test

    found: list[str] = []
    left = MOST_SECONDS
    for test in sorted(every, key=place):
        if (left := left - reach.seconds[test]) > 0 or not found:
            found.append(test)
    return found


@dataclass
class Score:
    """Of the changes ``tried``: those that no test noticed, and those that only the limit of time noticed;
    ``equivalent`` were drawn too."""

    tried: int = 0
    equivalent: int = 0
    left: list[Change] = field(default_factory=list)
    stopped: list[Change] = field(default_factory=list)


def run(room: str, drawn: list[Change], folder: Path, reach: Reach | None) -> Iterator[tuple[Change, Ending]]:
    """How the tests of each change of a room end."""
    if reach is None:
        left = set(unnoticed(drawn))
        yield from ((change, Ending.PASSED if change in left else Ending.FAILED) for change in drawn)
        return
    trials = [trial_of(change, chosen_for(change, room, reach), folder, reach) for change in drawn]
    for change, trial, ended in zip(drawn, trials, forked_endings(folder, trials), strict=True):
        yield change, alone_ending(trial, folder) if ended is Ending.ALONE else ended


def trial_of(change: Change, tests: list[str], folder: Path, reach: Reach) -> Trial:
    """A change of the copy with its tests, and three times their time as the limit."""
    made = change.made((folder / change.path).read_bytes()).decode()
    limit = round(10 + 3 * sum(reach.seconds[test] for test in tests))
    return Trial(change.path.as_posix(), made, tests, limit)


def alone_ending(trial: Trial, folder: Path) -> Ending:
    """How the tests of a trial end in an interpreter of their own."""
    chosen, file = folder / "chosen", folder / trial.path
    chosen.write_text(json.dumps(trial.tests), encoding="utf-8")
    was = file.read_bytes()
    file.write_text(trial.text, encoding="utf-8")
    ended = ending(folder, dict.fromkeys(_files_of([trial])), trial.limit, {RUN_THOSE_OF: str(chosen)})
    file.write_bytes(was)
    return ended


def scored(room: str, count: int, seed: int, folder: Path, reach: Reach | None) -> Score:
    """Try a sample of a room. Raises SystemExit where the tests of a rule fail as they are."""
    drawn = sample(room, count, seed)
    known = known_equivalents(drawn)
    tried = [change for change in drawn if change not in known]
    score = Score(len(tried), len(known))
    for change, ended in run(room, tried, folder, reach):
        {Ending.PASSED: score.left, Ending.STOPPED: score.stopped}.get(ended, []).append(change)
        if ended is not Ending.FAILED:
            words = "not noticed" if ended is Ending.PASSED else "noticed by its time alone"
            print(
                f"  {words}: {change.path}:{change.line}, column {change.column}: {change.what}", flush=True
            )
    return score


def main() -> None:
    asked = argparse.ArgumentParser(
        prog="python -m tests.mutation", description=(__doc__ or "").partition("\n")[0]
    )
    asked.add_argument("--sample", type=int, default=20, metavar="N", help="changes in each room (20)")
    asked.add_argument("--seed", type=int, default=0, metavar="S", help="another sample (0)")
    asked.add_argument("room", nargs="*", metavar="ROOM", help=f"some of: {', '.join(ROOMS)}")
    asked.add_argument("--reach", type=Path, metavar="FOLDER", help="keep here what each test runs")
    given = asked.parse_args()
    if unknown := sorted(set(given.room) - set(ROOMS)):
        asked.error(f"no such room: {', '.join(unknown)}")
    rooms = given.room or ROOMS
    total = Score()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made).resolve()
        copied(folder)
        coded = [room for room in rooms if room != "rules"]
        reach = recorded(coded, folder, given.reach or folder / "reach") if coded else None
        for room in rooms:
            score = scored(room, given.sample, given.seed, folder, None if room == "rules" else reach)
            print(f"{room}: {of(score)}", flush=True)
            total.tried += score.tried
            total.equivalent += score.equivalent
            total.left += score.left
            total.stopped += score.stopped
    print(f"all: {of(total)}, {100 * (1 - len(total.left) / max(total.tried, 1)):.0f} %")


def of(score: Score) -> str:
    """A score in words."""
    found = f"{score.tried - len(score.left)} of {score.tried} noticed"
    by_time = f", {len(score.stopped)} of them by time alone" if score.stopped else ""
    return found + by_time + (f", {score.equivalent} known equivalents" if score.equivalent else "")


if __name__ == "__main__":
    main()
