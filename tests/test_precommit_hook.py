"""The hook, with the real pre-commit package on a repository of its own. It installs the reviewer, so it needs a package index."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).parent.parent
GOOD = (ROOT / "reviewer" / "starter.design.yaml").read_text(encoding="utf-8").replace(": ~", ": ")


def git(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    who = [
        "-c",
        "user.name=builder",
        "-c",
        "user.email=builder@example.invalid",
        "-c",
        "init.defaultBranch=main",
        "-c",
        "commit.gpgsign=false",
    ]
    return subprocess.run(["git", *who, *arguments], cwd=folder, capture_output=True, text=True)


@pytest.fixture(scope="module")
def hook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """This checkout's files as a repository that pre-commit can clone."""
    folder = tmp_path_factory.mktemp("hook")
    for name in ("reviewer", "rules", "schemas"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", ".pre-commit-hooks.yaml"):
        shutil.copy(ROOT / name, folder)
    for arguments in (("init",), ("add", "-A"), ("commit", "-m", "Hook")):
        assert git(folder, *arguments).returncode == 0
    return folder


@pytest.mark.parametrize(
    ("name", "reviewed"),
    [
        *((f"a/b.{kind}.{end}", True) for kind in ("design", "circuit") for end in ("yaml", "yml", "json")),
        *((f"a/loads.{end}", True) for end in ("csv", "tsv", "xlsx")),  # a table may be one of a design
        *((name, False) for name in ("design.yaml", "a.json", "a.design.json5", "a.design.yaml.orig", "adesign.json")),
    ],
)  # fmt: skip
def test_designs_are_taken_in_yaml_and_json_and_what_may_be_a_table_of_one(name: str, reviewed: bool) -> None:
    """As the package does: a search for the expression in the path."""
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert bool(re.search(hook["files"], name)) == reviewed
    assert not {"types", "types_or", "exclude_types", "exclude"} & set(hook)  # nothing else chooses


@pytest.mark.long
def test_a_commit_with_findings_is_stopped_and_a_sound_one_is_not(hook: Path, tmp_path: Path) -> None:
    revision = git(hook, "rev-parse", "HEAD").stdout.strip()
    git(tmp_path, "init")
    (tmp_path / ".pre-commit-config.yaml").write_text(
        f"repos:\n  - repo: {hook.as_uri()}\n    rev: {revision}\n    hooks: [{{id: review-electrical-design}}]\n",
        encoding="utf-8",
    )
    # what is installed is compiled as it is imported: most of it never is
    environment = {**os.environ, "PRE_COMMIT_HOME": str(tmp_path / "cache"), "PIP_COMPILE": "0"}

    def hooked() -> subprocess.CompletedProcess[str]:
        git(tmp_path, "add", "-A", ":!cache")
        return subprocess.run(
            [sys.executable, "-m", "pre_commit", "run"],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
        )

    design = tmp_path / "aircraft.design.yaml"
    design.write_text(GOOD, encoding="utf-8")
    sound = hooked()
    assert sound.returncode == 0, sound.stdout + sound.stderr
    design.write_text(GOOD.replace("overvoltage-trip: 16.2 V", "overvoltage-trip: none"), encoding="utf-8")
    stopped = hooked()
    assert stopped.returncode == 1 and "no overvoltage protection" in stopped.stdout
    design.write_text(GOOD.replace("rating: 60 A", "rating: 60"), encoding="utf-8")
    broken = hooked()
    assert broken.returncode == 1 and "has no unit" in broken.stdout
    design.unlink()
    written = tmp_path / "aircraft.design.json"
    written.write_text(json.dumps(yaml.safe_load(GOOD)), encoding="utf-8")
    sound = hooked()
    assert sound.returncode == 0 and "no files to check" not in sound.stdout, sound.stdout + sound.stderr
    written.write_text(written.read_text(encoding="utf-8").replace('"16.2 V"', '"none"'), encoding="utf-8")
    stopped = hooked()
    assert stopped.returncode == 1 and "no overvoltage protection" in stopped.stdout
    written.unlink()
    (tmp_path / "prices.csv").write_text("a,b\n", encoding="utf-8")  # a table that no design names
    assert hooked().returncode == 0
    (tmp_path / "prices.csv").unlink()
    (tmp_path / "notes.yaml").write_text("a: 1\n", encoding="utf-8")
    assert "no files to check" in hooked().stdout
