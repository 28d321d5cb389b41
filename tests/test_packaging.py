"""A wheel holds the rules and schemas inside the package, claims one top-level name, and reviews from an empty folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from reviewer.resources import STARTERS

#: processes are started throughout
pytestmark = pytest.mark.long

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    source = tmp_path_factory.mktemp("source")
    for name in ("reviewer", "rules", "schemas"):
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, source)
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(folder), str(source)],
        check=True,
    )
    return next(folder.glob("*.whl"))


def test_the_wheel_claims_one_top_level_name(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {n.partition("/")[0] for n in names} == {"reviewer", "circuit_reviewer-0.1.0.dist-info"}
    assert (
        "reviewer/bundled_rules/switching/relays_settle_in_every_state.py" in names
        and "reviewer/bundled_schemas/design.schema.json" in names
    )
    drawn = {f"{p.relative_to(ROOT)}" for p in (ROOT / "reviewer" / "bundled_assemblies").rglob("*.yaml")}
    assert len(drawn) == 16 and drawn <= set(names)
    assert {f"reviewer/{name}" for name in STARTERS.values()} <= set(names)
    figures = {f"reviewer/tables/{path.name}" for path in (ROOT / "reviewer" / "tables").glob("*.toml")}
    modules = {path.relative_to(ROOT).as_posix() for path in (ROOT / "reviewer").rglob("*.py")}
    assert len(figures) > 10 and figures | modules <= set(names)


@pytest.mark.long
def test_an_installed_reviewer_works_away_from_the_checkout(wheel: Path, tmp_path: Path) -> None:
    venv.create(tmp_path / "venv", with_pip=False, system_site_packages=False)
    python = tmp_path / "venv" / "bin" / "python"
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(python),
            "install",
            "--quiet",
            "--no-compile",
            str(wheel),
        ],
        check=True,
    )
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    command = [str(tmp_path / "venv" / "bin" / "reviewer")]
    empty = tmp_path / "empty"
    empty.mkdir()
    assert subprocess.run([*command, "start", "a.design.yaml"], cwd=empty, env=environment).returncode == 0
    done = subprocess.run(
        [*command, "review", "a.design.yaml"], cwd=empty, env=environment, capture_output=True, text=True
    )
    assert done.returncode == 0 and "No finding." in done.stdout, done.stderr
    assert (
        subprocess.run(
            [*command, "handoff", "a.design.yaml", "--out", "package"], cwd=empty, env=environment
        ).returncode
        == 0
    )
    assert "<svg" in (empty / "package" / "page.html").read_text(encoding="utf-8")
    for arguments in (["explain", "relays-settle-in-every-state"], ["schema"], ["--version"]):
        assert (
            subprocess.run([*command, *arguments], cwd=empty, env=environment, capture_output=True).returncode
            == 0
        )
