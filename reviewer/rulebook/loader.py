"""Loads folders of rules: modules, and JSON Schemas of a house. An incomplete rule stops the run, with what
it lacks."""

from __future__ import annotations

import importlib.machinery
import importlib.util
import inspect
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from types import FunctionType, ModuleType

from reviewer.model.review import Citation, Consequence, HazardClass
from reviewer.resources import DESIGN_SCHEMA
from reviewer.rulebook.containment import Containment, code_file, words_of
from reviewer.rulebook.house_schema import ENDING, NotASchema, schema_rule
from reviewer.rulebook.rule import Rule
from reviewer.tables.bibliography import cited, source_title

#: installed packages offer a folder of rules under this entry point group: a callable that returns its path
ENTRY_POINT_GROUP = "circuit_reviewer.rules"
#: flags of the code of a function that takes any number of arguments
_MANY = inspect.CO_VARARGS | inspect.CO_VARKEYWORDS


class RuleNotLoadable(Exception):
    """A rule that cannot be loaded: ``path`` and ``reason``. Its words name the file, not where the
    machine keeps it."""

    def __init__(self, path: str, reason: str):
        super().__init__(path, reason)
        self.path, self.reason = path, reason

    def __str__(self) -> str:
        return f"{code_file(self.path)}: {self.reason}"


def load_rules(folders: Sequence[Path], *, installed: bool = True) -> tuple[Rule, ...]:
    """Load every ``*.py`` and ``*.schema.json`` of some folders and of the chapters in them, without the
    schema of design files.

    With ``installed``, the folders that installed packages offer are loaded too. Returns the rules
    sorted by name. Raises :class:`RuleNotLoadable` for a missing folder, one without rules, a module or
    schema that does not load or lacks something, and for two rules of one name or title.
    """
    rules: dict[str, Rule] = {}
    titles: dict[str, str] = {}
    with Containment() as containment:
        for folder in [*folders, *(_offered(containment) if installed else ())]:
            if not os.path.isdir(folder):
                raise RuleNotLoadable(str(folder), "there is no such folder of rules")
            files = _files_of(folder)
            if not files:
                raise RuleNotLoadable(
                    str(folder), f"there is no rule in this folder; a rule is NAME.py or NAME{ENDING}"
                )
            for path in files:
                rule = _load_schema(path) if path.name.endswith(ENDING) else _load(path, containment)
                if rule.name in rules:
                    known = "/".join(Path(rules[rule.name].path).parts[-2:])
                    raise RuleNotLoadable(str(path), f"a rule of this name was already loaded from {known}")
                if rule.title in titles:
                    raise RuleNotLoadable(
                        str(path), f"the rule {titles[rule.title]} has the same first sentence"
                    )
                rules[rule.name], titles[rule.title] = rule, rule.name
    return tuple(rules[name] for name in sorted(rules))


def _files_of(folder: Path) -> list[Path]:
    """The files of a folder and of those in it that are rules."""
    modules = (p for p in folder.rglob("*.py") if p.stem != "__init__" and not set(p.parts) & {"__pycache__"})
    schemas = (p for p in folder.rglob(f"*{ENDING}") if p.name != DESIGN_SCHEMA)
    return sorted([*modules, *schemas])


def _load_schema(path: Path) -> Rule:
    try:
        return schema_rule(path)
    except NotASchema as error:
        raise RuleNotLoadable(str(path), str(error)) from None


def _offered(containment: Containment) -> list[Path]:
    # importlib.metadata costs more than all the rules together: loaded only if a package mentions the group
    import sys

    needle = ENTRY_POINT_GROUP.encode()
    for place in sys.path:
        try:
            mentions = any(
                needle in p.read_bytes() for p in Path(place or ".").glob("*-info/entry_points.txt")
            )
        except OSError:
            continue
        if mentions:
            break
    else:
        return []
    from importlib.metadata import entry_points

    found: list[Path] = []
    for point in entry_points(group=ENTRY_POINT_GROUP):
        containment.begin()
        error = containment.run(lambda point=point: found.append(Path(point.load()())))  # type: ignore[misc]
        if error:  # whatever a package does, the user must learn which package it was
            words = words_of(error, point.value)
            raise RuleNotLoadable(point.value, f"the entry point {point.name} failed: {words}") from error
    return found


def _load(path: Path, containment: Containment) -> Rule:
    name = path.stem.replace("_", "-")
    loader = importlib.machinery.SourceFileLoader(f"reviewer_rule_{path.stem}", str(path))
    spec = importlib.util.spec_from_file_location(loader.name, path, loader=loader)
    assert spec is not None
    module = importlib.util.module_from_spec(spec)
    complete: list[Rule] = []

    def load() -> None:
        loader.exec_module(module)
        complete.append(_complete(path, name, module))

    containment.begin()
    error = containment.run(load)
    if isinstance(error, RuleNotLoadable):
        raise error
    if error:  # a rule is somebody's code: any failure of it must be named, not hidden
        raise RuleNotLoadable(str(path), f"does not import: {words_of(error, str(path))}") from error
    return complete[0]


def _parameters(made: Callable[..., object]) -> int:
    """How many parameters something has that is called."""
    if isinstance(made, FunctionType) and not made.__code__.co_flags & _MANY and not vars(made):
        return made.__code__.co_argcount + made.__code__.co_kwonlyargcount  # as most: a signature takes long
    return len(inspect.signature(made).parameters)


def _complete(path: Path, name: str, module: ModuleType) -> Rule:
    doc = inspect.cleandoc(module.__doc__ or "")
    title, _, rest = doc.partition("\n\n")
    lacks = []
    if not title.endswith(".") or "\n" in title:
        lacks.append("a docstring whose first line is a sentence")
    if not rest.strip():
        lacks.append("a docstring that explains the rule below its first line")
    if not isinstance(getattr(module, "HAZARD", None), HazardClass):
        lacks.append("HAZARD, a HazardClass such as `HazardClass.MINOR`")
    if getattr(module, "CONSEQUENCE", None) not in (None, *(c.word for c in Consequence)):
        words = ", ".join(f'"{c.word}"' for c in Consequence)
        lacks.append(f"a CONSEQUENCE that is one of {words}, or none")
    if not isinstance(getattr(module, "REMEDY", None), str) or not module.REMEDY:
        lacks.append("REMEDY, a sentence that says what would satisfy it")
    citations = getattr(module, "CITATIONS", ())
    if not citations or not all(isinstance(clause, str) for _, clause in citations):
        lacks.append("CITATIONS, pairs of a key of sources.toml, or of SOURCES in this file, and a clause")
    for function, count in (("subjects", 1), ("judge", 2)):
        made = getattr(module, function, None)
        if not callable(made) or _parameters(made) != count:
            lacks.append(f"{function}(), a function of {count} argument{'s' if count > 1 else ''}")
    if callable(getattr(module, "judge", None)) and not inspect.isgeneratorfunction(module.judge):
        lacks.append("a judge() that yields its findings")
    if lacks:
        raise RuleNotLoadable(str(path), "lacks " + "; ".join(lacks))
    own = getattr(module, "SOURCES", {})
    if not isinstance(own, dict) or not all(isinstance(text, str) for text in (*own, *own.values())):
        raise RuleNotLoadable(str(path), "SOURCES is no dict of a key and the title of a source of your own")
    try:
        references = tuple(
            Citation(key, own[key], words)
            if key in own
            else Citation(key, source_title(key), cited(key, words))
            for key, words in citations
        )
    except (KeyError, TypeError, ValueError) as error:
        said = f"cites {error}, which neither sources.toml nor SOURCES of this file has"
        raise RuleNotLoadable(str(path), said) from None
    return Rule(
        name,
        title,
        doc,
        module.HAZARD,
        references,
        module.REMEDY,
        module.subjects,
        module.judge,
        str(path),
        Consequence.of(getattr(module, "CONSEQUENCE", Consequence.TO_BE_CORRECTED.word)),
        bool(getattr(module, "AS_WRITTEN", False)),
    )
