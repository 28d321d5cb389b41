"""Long tests are left out unless asked for; the end of a run says how many and how to run them."""

from __future__ import annotations

import gc
import importlib
import os
import shutil
import sys
import tempfile
from collections import Counter
from contextlib import suppress
from functools import partial
from itertools import pairwise
from math import inf
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import settings

# data of tests is read by the library in C: the same data in a seventh of the time
yaml.safe_load = partial(yaml.load, Loader=yaml.CSafeLoader)

# a loaded machine makes nothing wrong: no example has a time limit
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

_LEFT_OUT = pytest.StashKey[int]()
#: the folder of what a run works out once (tests/once_a_run.py)
_OF_A_RUN = "REVIEWER_TESTS_OF_A_RUN"


def pytest_configure(config: pytest.Config) -> None:
    """Commands that tests start keep the bytecode of what they import, whatever this process does. The
    process that starts the others makes a folder for what they share."""
    config.addinivalue_line(
        "markers", "within_long: left out with --long, as a long test does all that it does"
    )
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False  # until all is collected
    if not hasattr(config, "workerinput"):
        folder = os.environ[_OF_A_RUN] = tempfile.mkdtemp(prefix="tests-of-a-run-")
        config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))


def pytest_collection(session: pytest.Session) -> None:
    """Of several processes, every second imports the modules of all tests from the last one on, so that in a new
    checkout each finds half of them compiled by another."""
    config = session.config
    worker = getattr(config, "workerinput", {}).get("workerid", "gw0")
    if worker[-1] not in "13579" or config.args != config.getini("testpaths"):
        return
    tests = Path(__file__).parent
    for path in sorted(tests.rglob("test_*.py"), reverse=True):
        # a module that does not import is told of where it is collected
        with suppress(Exception, pytest.skip.Exception):
            importlib.import_module(".".join(path.relative_to(tests.parent).with_suffix("").parts))


def pytest_collection_finish(session: pytest.Session) -> None:
    """The tests themselves are kept compiled for the next run; what they write and load is not. What is
    collected stays to the end: no search for garbage looks through it."""
    sys.dont_write_bytecode = True  # tests write a rule again within one second
    gc.freeze()
    gc.set_threshold(10_000)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run the tests that are marked as long")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--long"):
        kept = [item for item in items if not item.get_closest_marker("within_long")]
        items[:] = long_first(kept, getattr(config, "workerinput", {}).get("workercount", 1))
        return
    long = [item for item in items if item.get_closest_marker("long")]
    items[:] = [item for item in items if not item.get_closest_marker("long")]
    config.hook.pytest_deselected(items=long)
    config.stash[_LEFT_OUT] = len(long)
    if hasattr(
        config, "workeroutput"
    ):  # a process of its own: the one that prints the summary collects nothing
        config.workeroutput["long"] = len(long)


def long_first(items: list[pytest.Item], workers: int) -> list[pytest.Item]:
    """The tests in as many stretches of one length as there are workers, each of which begins with its share
    of the files that have long ones: what is left to share out at the end of a run is short.

    A file stands whole in one stretch, and a folder that has fixtures of its own, so that what its tests
    work out once is worked out by one process; only the end of a stretch that is too long goes to another one.
    Files with few long tests come first, as one of them may be as long as many others.
    """
    by_file: dict[Path, list[pytest.Item]] = {}
    for item in items:
        by_file.setdefault(_made_together(item.path), []).append(item)
    long = Counter({name: sum(map(_is_long, found)) for name, found in by_file.items()})
    names: list[list[Path]] = [[] for _ in range(workers)]
    share, length = [0] * workers, [0] * workers
    for name, number in long.most_common():
        at = min(range(workers), key=lambda i: (share[i] if number else 0, length[i]))
        share[at] += number
        length[at] += len(by_file[name])
        names[at].append(name)
    parts = [
        [item for name in sorted(of, key=lambda one: long[one] or inf) for item in by_file[name]]
        for of in names
    ]
    bounds = [len(items) * i // workers for i in range(workers + 1)]
    wanted = [end - begin for begin, end in pairwise(bounds)]
    over = [item for part, most in zip(parts, wanted, strict=True) for item in part[most:]]
    for part, most in zip(parts, wanted, strict=True):
        del part[most:]
        missing = most - len(part)
        part += over[:missing]
        del over[:missing]
    return [item for part in parts for item in part]


def _made_together(path: Path) -> Path:
    """The file of a test, or its folder where that has fixtures of its own, as pages in a browser."""
    folder = path.parent
    return folder if folder != Path(__file__).parent and (folder / "conftest.py").exists() else path


def _is_long(item: pytest.Item) -> bool:
    return item.get_closest_marker("long") is not None


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """Take over what a worker left out; all workers collect the same tests."""
    node.config.stash[_LEFT_OUT] = getattr(node, "workeroutput", {}).get("long", 0)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if left_out := config.stash.get(_LEFT_OUT, 0):
        terminalreporter.write_line(
            f"{left_out} long tests were left out; `python -m pytest --long` runs them too"
        )
    elif os.environ.get("REVIEWER_TESTS") != "all" and config.args == config.getini("testpaths"):
        terminalreporter.write_line(
            "of cases that are alike a part was run; `REVIEWER_TESTS=all python -m pytest --long` runs each"
        )
