"""A run says how many long tests it left out, with one process or with several."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = """\
import pytest

def test_short(): pass

@pytest.mark.long
def test_long(): pass
"""


@pytest.mark.parametrize(
    ("arguments", "left_out"),
    [((), True), (("-n", "1"), True), (("--long",), False), (("--long", "-n", "1"), False)],
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
