"""The mutation run's changes, without running it: each is one, parses, and the sample is the same for a seed."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import pytest

from tests.code_changes import Change, changes
from tests.equivalent_changes import key, listed
from tests.forked_changes import Ending, Trial
from tests.mutation import (
    ASIDE,
    ROOMS,
    alone_ending,
    chosen_for,
    ending,
    folder_of,
    forked_endings,
    of_no_room,
    own_tests,
    sample,
)
from tests.reach import CASES, RECORD_TO, ROOT, RUN_THOSE_OF, Reach, first_line, read_reach
from tests.rule_mutation import unnoticed

SOURCE = '''"""Text 3."""
def f(x: int = 2) -> "a < b":
    assert x is not None
    if TYPE_CHECKING:
        from a import b
    if not x < 1.5 and f"{x > 4}" and zip(x, strict=True):
        return x + 3
    return True
'''


def test_the_changes_of_a_source() -> None:
    assert [c.what for c in changes(Path("f.py"), SOURCE)] == [
        "2 -> 3",
        "not x < 1.5 -> x < 1.5",
        "not x < 1.5 and f'{x > 4}' and zip(x, strict=True) -> not x < 1.5 or f'{x > 4}' or zip(x, strict=True)",
        "not x < 1.5 and f'{x > 4}' and zip(x, strict=True) -> False",
        "x < 1.5 -> x >= 1.5",
        "x < 1.5 -> x <= 1.5",
        "1.5 -> 2.5",
        "x + 3 -> x - 3",
        "3 -> 4",
        "True -> False",
    ]


@pytest.mark.parametrize("room", ["crew", "ratings"])
def test_a_sample_is_the_same_for_a_seed_and_every_change_parses_and_differs(room: str) -> None:
    assert room in ROOMS
    drawn = sample(room, 12, 1)
    assert drawn == sample(room, 12, 1) != sample(room, 12, 2) and len(set(drawn)) == 12
    for change in drawn:
        was = (ROOT / change.path).read_bytes()
        assert ast.dump(ast.parse(change.made(was))) != ast.dump(ast.parse(was))


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_code_and_tests_of_its_own(room: str) -> None:
    assert folder_of(room).is_dir()
    assert room == "rules" or all((ROOT / tests).exists() for tests in own_tests(room))


def test_the_tests_of_several_rooms_are_tried_for_each() -> None:
    """The cards of the crew alone use some of its code; what is set aside is there."""
    found = of_no_room()
    assert "tests/test_checklists.py" in found and CASES not in found
    assert all((ROOT / f"tests/test_{name}.py").is_file() for name in ASIDE)


@pytest.mark.long
def test_a_run_of_tests_passes_or_is_stopped_at_its_processor_time(tmp_path: Path) -> None:
    """What waits takes none: it is no endless loop."""
    (tmp_path / "test_it.py").write_text(
        "import time\n"
        "def test_waits():\n    time.sleep(6)\n"
        "def test_endless():\n    while True:\n        pass\n"
    )
    ended = {
        name: ending(tmp_path, ("-c", "/dev/null", "test_it.py", "-k", name), 4)
        for name in ("waits", "endless")
    }
    assert ended == {"waits": Ending.PASSED, "endless": Ending.STOPPED}


CODE = """\
from functools import cache
LIMIT = 3
def loaded():
    return 5
KEPT = loaded()
@cache
def doubled(n):
    return n * 2
def counter():
    def count(n):
        return n + 1
    return count
COUNT = counter()
def below(n):
    return n < LIMIT
if __name__ == "__main__":
    print(doubled(4))
"""
TESTS = """\
import subprocess, sys
from reviewer import it
def test_doubled():
    assert it.doubled(2) == 4
def test_count():
    assert it.COUNT(1) == 2
def test_kept():
    assert it.KEPT == 5
def test_below():
    assert it.below(2)
def test_command():
    assert subprocess.run([sys.executable, "-m", "reviewer.it"], capture_output=True).stdout == b"8\\n"
"""
DOUBLED, COUNTED, KEPT_FIVE, BELOW, COMMAND = (
    f"tests/test_it.py::test_{name}" for name in ("doubled", "count", "kept", "below", "command")
)


#: what stands in the code, what it becomes, the tests, how they end
CHANGED = [
    ("n * 2", "n * 3", [KEPT_FIVE, DOUBLED], Ending.FAILED),
    ("n * 2", "n * 3", [KEPT_FIVE], Ending.PASSED),
    ("n * 2", "n * 3", [COMMAND], Ending.FAILED),  # what a test starts runs the change too
    ("n < LIMIT", "n <= LIMIT", [BELOW], Ending.PASSED),
    ("return n < LIMIT", "\n    while True:\n        pass", [BELOW], Ending.STOPPED),
    ("LIMIT = 3", "LIMIT = 4", [BELOW], Ending.ALONE),  # outside of every function
    ("return 5", "return 6", [KEPT_FIVE], Ending.ALONE),  # what it returned is kept
    ("n + 1", "n + 2", [COUNTED], Ending.FAILED),  # made by a function that ran: its own code is changed
    ("(n):\n    return n * 2", "(n):\n    return (n * 2)", [DOUBLED, COMMAND], Ending.PASSED),  # no change
]


@pytest.mark.long
def test_a_change_ends_in_a_forked_process_as_in_an_interpreter_of_its_own(tmp_path: Path) -> None:
    """Or asks for one; and the file is as it was after it."""
    for name, text in {
        "reviewer/__init__.py": "", "reviewer/it.py": CODE, "tests/__init__.py": "", "tests/test_it.py": TESTS,
        **{f"tests/{n}.py": (ROOT / "tests" / f"{n}.py").read_text() for n in ("forked_changes", "once_a_run", "reach")},
    }.items():  # fmt: skip
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text)
    trials = [Trial("reviewer/it.py", CODE.replace(old, new), tests, 3) for old, new, tests, _ in CHANGED]
    wanted = [ending for *_, ending in CHANGED]
    assert forked_endings(tmp_path, trials) == wanted
    assert (tmp_path / "reviewer" / "it.py").read_text() == CODE
    for trial, end in list(zip(trials, wanted, strict=True))[:2]:
        assert alone_ending(trial, tmp_path) is end


def test_a_change_of_a_rule_is_noticed_by_its_case() -> None:
    """A rule that judges the other way round is; a letter more in a text that no case shows is not."""
    path = Path("rules/protection/spare_fuses_are_carried.py")
    source = (ROOT / path).read_bytes()
    start = source.index(b"Why:")
    other = Change(path, 1, 1, start, start + 4, "Why now:", "a word of its page")
    every = [c for c in sample("rules", 10_000, 0) if c.path == path]
    assert other in unnoticed([other]) and len(list(unnoticed(every))) < len(every) / 2


PATH = Path("reviewer/analysis/paths/returns.py")


def line_of(text: str) -> int:
    """The line of PATH that has a text."""
    lines = (ROOT / PATH).read_text(encoding="utf-8").splitlines()
    return next(i for i, line in enumerate(lines, 1) if text in line)


def test_the_function_of_a_line() -> None:
    inside, head = line_of("if one.partition"), line_of("def shield_loop(")
    assert first_line(ROOT / PATH, inside) == head
    assert first_line(ROOT / PATH, 1) is None


@pytest.mark.long
def test_the_tests_that_run_a_changed_function_and_those_alone_in_their_order(tmp_path: Path) -> None:
    unmet = "test_the_unmet_design_gives_exactly_the_expected_findings"
    case = "shields-are-grounded-at-one-point"
    test = f"{CASES}::{unmet}[{case}]"
    assert ending(ROOT, [test], 60, {RECORD_TO: str(tmp_path / "ran")}) is Ending.PASSED
    found = read_reach([tmp_path / "ran"])
    assert found.of_line(PATH, line_of("if one.partition")) == {test} == set(found.seconds)
    assert found.of_line(PATH, line_of("def signal_return_loop(") + 4) == frozenset()
    assert found.of_line(PATH, 1) == {test}  # outside every function: whoever runs the file
    change = next(
        c for c in sample("paths", 10_000, 0) if c.path == PATH and c.line > line_of("def shield_loop(")
    )
    some = Reach(
        {PATH.as_posix(): {1: frozenset({"b", "a"})}}, {"a": 2.0, "b": 1.0, "tests/analysis/paths/c": 3.0}
    )
    assert chosen_for(change, "paths", some) == ["tests/analysis/paths/c"]  # nothing runs the function
    head = first_line(ROOT / PATH, change.line)
    ran = Reach({PATH.as_posix(): {head or 1: frozenset({"b"})}}, {"b": 1.0, "tests/editor/c": 0.5})
    assert chosen_for(change, "paths", ran) == ["b"]
    assert chosen_for(change, "editor", ran) == ["b", "tests/editor/c"]  # which may start the command
    chosen = tmp_path / "chosen"
    chosen.write_text(json.dumps([f"{CASES}::{unmet}[relays-settle-in-every-state]", test]))
    chosen_alone = {RECORD_TO: str(tmp_path / "again"), RUN_THOSE_OF: str(chosen)}
    assert ending(ROOT, [CASES], 60, chosen_alone) is Ending.PASSED
    assert list(read_reach([tmp_path / "again"]).seconds) == json.loads(chosen.read_text())


def test_every_known_equivalent_is_a_change_of_the_code() -> None:
    """One that fits nothing any more is stale: the line was changed."""
    files = {file for file, _, _ in listed()}
    there = {key(c) for f in files for c in changes(Path(f), (ROOT / f).read_text(encoding="utf-8"))}
    assert set(listed()) <= there
