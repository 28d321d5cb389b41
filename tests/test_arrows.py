"""Imports point down, and heavy libraries stay away from a review; each contract breaks when it should."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def contracts(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(config_filename='pyproject.toml', no_cache=True))",
    ]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, env={"PYTHONPATH": str(folder), "PATH": ""})


def test_imports_point_down() -> None:
    done = contracts(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("model/quantities.py", "import reviewer.session"),
        ("reports/text.py", "import reviewer.reading.reader"),
        ("analysis/states.py", "import reviewer.rulebook.rule"),
        ("tables/table.py", "import reviewer.network.graph"),
        ("network/graph.py", "import networkx"),
        ("analysis/states.py", "import numpy"),
        ("reading/collector.py", "import jsonschema"),
    ],
)
def test_a_planted_import_the_wrong_way_is_caught(module: str, line: str, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "reviewer", tmp_path / "reviewer", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    path = tmp_path / "reviewer" / module
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("from __future__ import annotations\n", f"from __future__ import annotations\n{line}\n", 1), encoding="utf-8")
    done = contracts(tmp_path)
    assert done.returncode == 1 and "BROKEN" in done.stdout, done.stdout + done.stderr
