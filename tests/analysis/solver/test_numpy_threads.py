"""numpy in one thread."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.skipif(
    not Path("/proc/self/task").exists() or (os.cpu_count() or 1) < 2,
    reason="needs a list of a process's threads, and two processors",
)
def test_a_point_is_solved_in_one_thread_and_the_environment_stays() -> None:
    code = """
import os
from pathlib import Path
from reviewer.analysis.facts import Facts
from reviewer.reading import read_design
before = dict(os.environ)
facts = Facts(read_design(Path("examples/tourer.design.yaml")))
facts.points.point(facts.points.flown[0])
print(len(list(Path("/proc/self/task").iterdir())), before == dict(os.environ))
"""
    environment = {k: v for k, v in os.environ.items() if not k.endswith("_NUM_THREADS")}
    root = Path(__file__).parents[3]
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["1", "True"]
