"""The mutation run's changes, without running it: each is one, parses, and the sample is the same for a seed."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.code_changes import Change, changes
from tests.mutation import ROOMS, ROOT, Ending, ending, folder_of, own_tests, sample
from tests.rule_mutation import unnoticed
from tests.reach import first_line, read_reach

SOURCE = '''"""Text 3."""
def f(x: int = 2) -> "a < b":
    assert x is not None
    if TYPE_CHECKING:
        from a import b
    if not x < 1.5 and f"{x > 4}":
        return x + 3
    return True
'''


def test_the_changes_of_a_source() -> None:
    assert [c.what for c in changes(Path("f.py"), SOURCE)] == [
        "2 -> 3",
        "not x < 1.5 -> x < 1.5",
        "not x < 1.5 and f'{x > 4}' -> not x < 1.5 or f'{x > 4}'",
        "not x < 1.5 and f'{x > 4}' -> False",
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


def test_a_change_of_a_rule_is_noticed_by_its_case() -> None:
    """A rule that judges the other way round is; a letter more in a text that no case shows is not."""
    path = Path("rules/protection/spare_fuses_are_carried.py")
    source = (ROOT / path).read_bytes()
    start = source.index(b"Why:")
    other = Change(path, 1, 1, start, start + 4, "Why now:", "a word of its page")
    every = [c for c in sample("rules", 10_000, 0) if c.path == path]
    assert other in unnoticed([other]) and len(list(unnoticed(every))) < len(every) / 2


def test_the_rules_that_run_a_changed_function() -> None:
    rule, path = "shields-are-grounded-at-one-point", Path("reviewer/analysis/paths/returns.py")
    lines = (ROOT / path).read_text(encoding="utf-8").splitlines()
    inside = next(i for i, line in enumerate(lines, 1) if "if one.partition" in line)
    first = first_line(ROOT / path, inside)
    assert first is not None and lines[first - 1].startswith("def shield_loop(")
    found = reach([rule])
    assert found.of_line(path, inside) == {rule} and set(found.seconds) == {rule}
    other = next(i for i, line in enumerate(lines, 1) if line.startswith("def signal_return_loop("))
    assert found.of_line(path, other) == frozenset()
    assert found.of_line(path, 1) == {rule}  # outside every function: whoever runs the file
