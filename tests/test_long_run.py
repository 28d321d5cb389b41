"""A run says how many long tests it left out, with one process or with several."""

from __future__ import annotations

import shutil
import subprocess
import sys
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple, cast

import pytest

from tests.conftest import long_first

TESTS = """\
import pytest

def test_short(): pass

@pytest.mark.long
def test_long(): pass
"""


@pytest.mark.parametrize(
    ("arguments", "left_out"),
    [
        ((), True),
        pytest.param(("-n", "1"), True, marks=pytest.mark.long),
        (("--long",), False),
        pytest.param(("--long", "-n", "1"), False, marks=pytest.mark.long),
    ],
)
def test_what_is_left_out_is_said(arguments: tuple[str, ...], left_out: bool, tmp_path: Path) -> None:
    shutil.copy(Path(__file__).with_name("conftest.py"), tmp_path)
    (tmp_path / "test_two.py").write_text(TESTS, encoding="utf-8")
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers = long: takes long\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:hypothesispytest", *arguments],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    said = "1 long tests were left out; `python -m pytest --long` runs them too" in done.stdout
    assert said is left_out and f"{1 if left_out else 2} passed" in done.stdout


class Collected(NamedTuple):
    """A test as far as its place in a run asks."""

    path: Path
    number: int
    long: bool = False

    def get_closest_marker(self, name: str) -> bool | None:
        return True if self.long and name == "long" else None


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_each_process_begins_with_whole_files_that_have_long_tests(workers: int) -> None:
    files = {f"test_{i}.py": (8, 3 if i < 6 else 0) for i in range(12)}
    items = [
        Collected(Path(name), i, i < long) for name, (count, long) in files.items() for i in range(count)
    ]
    told = cast("list[Collected]", long_first(cast("list[Any]", items), workers))
    assert sorted(told) == sorted(items)
    each = len(items) // workers
    for stretch in (told[i * each : (i + 1) * each] for i in range(workers)):
        begun = [name for name, _ in groupby(stretch, key=lambda one: one.path)]
        assert len(begun) == len(set(begun)) == len(files) / workers
        assert [files[path.name][1] > 0 for path in begun] == [True] * (6 // workers) + [False] * (
            6 // workers
        )
