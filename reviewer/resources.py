"""Where the rules and schemas are: beside the package in a checkout, inside it once installed."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def folder(name: str) -> Path:
    """The folder ``rules``, ``schemas`` or ``tests``.

    Raises FileNotFoundError where an installation is incomplete; tests are in a checkout only.
    """
    for candidate in (_PACKAGE / f"bundled_{name}", _PACKAGE.parent / name):
        if candidate.is_dir() and (
            candidate.parent == _PACKAGE or (_PACKAGE.parent / "pyproject.toml").is_file()
        ):
            return candidate
    raise FileNotFoundError(f"the folder {name} of this installation is missing")


def rule_examples() -> Path | None:
    """The folder with each rule's case, or None outside a checkout."""
    try:
        return folder("tests") / "rules"
    except FileNotFoundError:
        return None


#: the name of the schema of design files
DESIGN_SCHEMA = "design.schema.json"


def design_schema() -> str:
    """The JSON Schema of design files, as text."""
    return (folder("schemas") / DESIGN_SCHEMA).read_text(encoding="utf-8")


#: the designs that ``reviewer start`` writes, by the word that asks for each
STARTERS = {
    "sketch": "sketch.design.yaml",
    "assembled": "assembled.design.yaml",
    "detailed": "starter.design.yaml",
}


def starter(which: str = "sketch") -> str:
    """One of :data:`STARTERS`: a commented design to begin with."""
    return (_PACKAGE / STARTERS[which]).read_text(encoding="utf-8")
