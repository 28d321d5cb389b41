"""Imports point down, and heavy libraries stay away from a review; each contract breaks when it should."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


#: what stands at the top of the checkout, beside what begins with a dot
TOP = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "reviewer", "rules", "schemas", "tests", "examples",
}  # fmt: skip


def test_nothing_else_stands_at_the_top() -> None:
    known = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, check=True, text=True).stdout
    first = {name.split("/")[0] for name in known.splitlines() if (ROOT / name).exists()}
    assert {name for name in first if not name.startswith(".")} == TOP


def contracts(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(config_filename='pyproject.toml', no_cache=True))",
    ]
    return subprocess.run(
        command, cwd=folder, capture_output=True, text=True, env={"PYTHONPATH": str(folder), "PATH": ""}
    )


def test_imports_point_down() -> None:
    done = contracts(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("model/quantities.py", "import reviewer.session"),
        ("reports/layout.py", "import reviewer.session"),
        ("reports/wires/table.py", "import reviewer.analysis.wiring.voltage_drop"),
        ("reports/layout.py", "import reviewer.analysis.facts"),
        ("analysis/conduction/states.py", "import reviewer.rulebook.rule"),
        ("tables/lookup.py", "import reviewer.network.graph"),
        ("network/graph.py", "import networkx"),
        ("analysis/conduction/states.py", "import numpy"),
        ("analysis/conduction/states.py", "import reviewer.analysis.paths.returns"),
        ("analysis/paths/returns.py", "import reviewer.analysis.crew.recovery"),
        ("analysis/solver/circuit.py", "import reviewer.analysis.operating_point.points"),
        ("reading/collector.py", "import jsonschema"),
    ],
)
def test_a_planted_import_the_wrong_way_is_caught(module: str, line: str, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "reviewer", tmp_path / "reviewer", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    path = tmp_path / "reviewer" / module
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace(
            "from __future__ import annotations\n", f"from __future__ import annotations\n{line}\n", 1
        ),
        encoding="utf-8",
    )
    done = contracts(tmp_path)
    assert done.returncode == 1 and "BROKEN" in done.stdout, done.stdout + done.stderr


def test_a_room_without_a_place_is_caught(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "reviewer", tmp_path / "reviewer", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (tmp_path / "reviewer" / "analysis" / "attic").mkdir()
    (tmp_path / "reviewer" / "analysis" / "attic" / "__init__.py").touch()
    done = contracts(tmp_path)
    assert done.returncode == 1 and "attic" in done.stdout + done.stderr, done.stdout + done.stderr


def test_no_module_and_no_class_has_a_name_that_another_has() -> None:
    """Doors and formats (answers, text, table, words, json) bear one name in each package; classes have one meaning."""
    doors = {"__init__", "answers", "text", "table", "words", "json", "sarif"}
    modules = [p.stem for p in (ROOT / "reviewer").rglob("*.py") if p.stem not in doors]
    assert sorted(n for n in set(modules) if modules.count(n) > 1) == []
    classes = [
        node.name
        for path in (ROOT / "reviewer").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    ]
    assert sorted(n for n in set(classes) if classes.count(n) > 1) == []


def test_the_packages_that_are_installed_are_those_of_the_tree() -> None:
    listed = set(
        tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["packages"]
    )
    tree = {".".join(p.parent.relative_to(ROOT).parts) for p in (ROOT / "reviewer").rglob("__init__.py")}
    assert listed == tree | {f"reviewer.bundled_{name}" for name in ("assemblies", "rules", "schemas")}


def _names(statement: ast.stmt) -> set[str]:
    """What a statement names, but for what it defines itself."""
    found: set[str] = set()
    nodes = list(ast.walk(statement))
    docstrings = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        match node:
            case ast.Name(id=name, ctx=ast.Load()) | ast.Attribute(attr=name):
                found.add(name)
            case ast.ImportFrom(names=aliases):
                found.update(alias.name for alias in aliases)
            case ast.Constant(value=str(text)) if id(node) not in docstrings:
                found.update(re.findall(r"\w+", text))  # a type that is written as text
    return found - _defined(statement)


def _defined(statement: ast.stmt) -> set[str]:
    match statement:
        case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.ClassDef(name=name):
            return {name}
        case ast.Assign(targets=targets):
            return {target.id for target in targets if isinstance(target, ast.Name)}
        case ast.AnnAssign(target=ast.Name(id=name)):
            return {name}
    return set()


@pytest.mark.long
def test_every_function_class_and_constant_is_used_by_the_package_or_a_rule() -> None:
    """What tests alone call proves nothing of what a command says."""
    defined, used = dict[str, Path](), set[str]()
    for path in (*(ROOT / "reviewer").rglob("*.py"), *(ROOT / "rules").rglob("*.py")):
        # what a package passes on is used only where somebody asks for it, but for what Python users ask for
        passes_on = path.name == "__init__.py" and path.parent != ROOT / "reviewer"
        for statement in ast.parse(path.read_text(encoding="utf-8")).body:
            if not (passes_on and isinstance(statement, ast.ImportFrom | ast.Assign)):
                used |= _names(statement)
            if path.is_relative_to(ROOT / "reviewer"):
                defined |= dict.fromkeys(_defined(statement), path)
    assert len(defined) > 2000
    unused = {
        n: str(path.relative_to(ROOT)) for n, path in defined.items() if n not in used and n[:2] != "__"
    }
    assert not unused
