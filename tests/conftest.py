"""Long tests are left out unless asked for; the end of a run says how many and how to run them."""

from __future__ import annotations

import os
import sys
from typing import Any

import pytest
from hypothesis import settings

# a loaded machine makes nothing wrong: no example has a time limit
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

_LEFT_OUT = pytest.StashKey[int]()


def pytest_configure(config: pytest.Config) -> None:
    """Commands that tests start keep the bytecode of what they import, whatever this process does."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_collection_finish(session: pytest.Session) -> None:
    """The tests themselves are kept compiled for the next run; what they write and load is not."""
    sys.dont_write_bytecode = True  # tests write a rule again within one second


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run the tests that are marked as long")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--long"):
        items[:] = long_first(items, getattr(config, "workerinput", {}).get("workercount", 1))
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
    """The tests in as many stretches as there are workers, each of which begins with its share of the long
    ones: what is left to share out at the end of a run is short."""
    parts: list[list[pytest.Item]] = [[], []]
    for item in items:
        parts[not item.get_closest_marker("long")].append(item)
    bounds = [[len(part) * i // workers for i in range(workers + 1)] for part in parts]
    return [
        item
        for i in range(workers)
        for part, at in zip(parts, bounds, strict=True)
        for item in part[at[i] : at[i + 1]]
    ]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """Take over what a worker left out; all workers collect the same tests."""
    node.config.stash[_LEFT_OUT] = getattr(node, "workeroutput", {}).get("long", 0)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if left_out := config.stash.get(_LEFT_OUT, 0):
        terminalreporter.write_line(
            f"{left_out} long tests were left out; `python -m pytest --long` runs them too"
        )
