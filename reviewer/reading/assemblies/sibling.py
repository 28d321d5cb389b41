"""Files of assemblies that stand beside a design file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reviewer.reading.assemblies.definition import Assembly, SayAt, assembly_of
from reviewer.reading.beside import FilesBeside, NotBeside
from reviewer.reading.problem import Unreadable, shown
from reviewer.reading.yaml_events import Refused, load

MOST_FILES = 20


def assemblies_beside(names: Any, beside: FilesBeside, say: SayAt) -> Iterator[Assembly]:
    """The assemblies of the files that ``assembly-files`` names."""
    if names is None or names is Refused:
        return
    if not isinstance(names, list) or len(names) > MOST_FILES or not all(isinstance(n, str) for n in names):
        said = f"expected a list of at most {MOST_FILES} file names, as `[club.assemblies.yaml]`"
        say("assembly-files", f"`assembly-files` is {shown(names)}; {said}")
        return
    known: dict[str, str] = {}
    for i, name in enumerate(names):
        at = f"assembly-files/{i}"
        if name in names[:i]:
            say(at, f"{name} is named twice")
            continue
        for one in _of_file(name, beside, at, say):
            if one.name in known:
                say(at, f"{name}: assembly `{one.name}` is in {known[one.name]} already")
                continue
            known[one.name] = name
            yield one


def _of_file(name: str, beside: FilesBeside, at: str, say: SayAt) -> Iterator[Assembly]:
    try:
        data, values, keys, problems = load(beside.read(name), name)
    except NotBeside as error:
        say(at, error.args[0])
        return
    except Unreadable as error:
        data, values, keys, problems = None, {}, {}, error.problems
    for problem in problems:
        place = "" if problem.whole else f", line {problem.line}, column {problem.column}"
        say(at, f"{name}{place}: {problem.message}")
    if problems:
        return

    entry = at

    def say_there(at: str, message: str, *, key: bool = False) -> None:
        line, column = (keys if key else values).get(at) or values.get(at) or (1, 1)
        say(entry, f"{name}, line {line}, column {column}: {message}")

    if not isinstance(data, dict) or set(data) != {"format", "assemblies"} or data["format"] != 1:
        say_there("", "a file of assemblies has `format: 1` and `assemblies`, and nothing else")
        return
    if not isinstance(data["assemblies"], dict):
        say_there("assemblies", f"expected assemblies by name, found {shown(data['assemblies'])}")
        return
    for key, value in data["assemblies"].items():
        one = assembly_of(key, value, name, (values, keys), say_there)
        if one is not None:
            yield one
