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
    sys.dont_write_bytecode = True  # tests write a rule again within one second


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run the tests that are marked as long")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--long"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    items[:] = [item for item in items if not item.get_closest_marker("long")]
    config.hook.pytest_deselected(items=long)
    config.stash[_LEFT_OUT] = len(long)
    if hasattr(
        config, "workeroutput"
    ):  # a process of its own: the one that prints the summary collects nothing
        config.workeroutput["long"] = len(long)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object) -> None:
    """Take over what a worker left out; all workers collect the same tests."""
    node.config.stash[_LEFT_OUT] = getattr(node, "workeroutput", {}).get("long", 0)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if left_out := config.stash.get(_LEFT_OUT, 0):
        terminalreporter.write_line(
            f"{left_out} long tests were left out; `python -m pytest --long` runs them too"
        )
