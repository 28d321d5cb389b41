"""What a rule may ask: the groups of the facts and their answers, from their own docstrings and types."""

from __future__ import annotations

import inspect
import re
import textwrap
import typing
from collections.abc import Iterator
from functools import cached_property

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.network.as_networkx import as_networkx

#: the modules before the name of a type
_MODULES = re.compile(r"\b(?:[a-z_]+\.)+(?=[A-Za-z])")
_ROLE = re.compile(r":[a-z]+:`([^`]+)`")


def groups() -> dict[str, type]:
    """Each group of the facts with its class."""
    found = {}
    for name, member in vars(Facts).items():
        if isinstance(member, cached_property) and not name.startswith("_"):
            made = typing.get_type_hints(member.func, localns={"nx": _Graphs}).get("return")
            if inspect.isclass(made) and made.__module__.endswith(".answers"):
                found[name] = made
    return found


class _Graphs:
    MultiDiGraph = object


def answers(group: type) -> Iterator[tuple[str, str, str]]:
    """Each answer of a group: its name with what it is asked, its type, and what it says."""
    for name, member in vars(group).items():
        if name.startswith("_"):
            continue
        function = _function(member)
        if not inspect.isfunction(function) or not function.__doc__:
            continue
        asked = function is member or isinstance(member, staticmethod)
        called = _arguments(function, own=function is member) if asked else ""
        yield f"{name}{called}", _type(function.__annotations__.get("return", "")), _said(function)


def attributes() -> Iterator[tuple[str, str, str]]:
    """What the facts have beside their groups: name, type and words."""
    yield "design", "Design", "The design in canonical order: the same whatever the order of its file."
    yield "as_written", "Design", "The design in the order of its file."
    for name, member in vars(Facts).items():
        function = _function(member)
        if inspect.isfunction(function) and name not in groups() and not name.startswith("_"):
            yield name, _type(function.__annotations__.get("return", "")), _said(function)


def _said(documented: object) -> str:
    """The words of a docstring on one line; a reference in it is the name alone."""
    words = " ".join(inspect.cleandoc(getattr(documented, "__doc__", "") or "").split())
    return _ROLE.sub(lambda found: found[1].rpartition(".")[2], words).replace("``", "`")


def _function(member: object) -> typing.Any:
    """The function of a property or of a static method; a method itself."""
    for inside in ("func", "fget", "__func__"):
        if found := getattr(member, inside, None):
            return found
    return member


def _arguments(function: typing.Any, own: bool) -> str:
    inside = []
    for parameter in list(inspect.signature(function).parameters.values())[own:]:
        kind = _type(parameter.annotation) if parameter.annotation is not parameter.empty else ""
        star = "*" if parameter.kind is parameter.VAR_POSITIONAL else ""
        default = "" if parameter.default is parameter.empty else f" = {parameter.default!r}"
        inside.append(f"{star}{parameter.name}{f': {kind}' if kind else ''}{default}")
    return f"({', '.join(inside)})"


def _type(annotation: object) -> str:
    plain = inspect.isclass(annotation) and not typing.get_args(annotation)
    text = annotation.__name__ if inspect.isclass(annotation) and plain else str(annotation)
    return _MODULES.sub("", text)


def records_of(group: type, answer: str = "") -> Iterator[tuple[str, str, str]]:
    """The types of our own that the answers of a group give, or one answer: name, fields with types,
    words."""
    found: dict[str, type] = {}
    for own, member in vars(group).items():
        if answer not in ("", own):
            continue
        function = _function(member)
        if inspect.isfunction(function):
            for word in re.findall(r"[A-Z]\w+", str(function.__annotations__.get("return", ""))):
                made = function.__globals__.get(word)
                if inspect.isclass(made) and made.__module__.startswith("reviewer."):
                    found[word] = made
    for name, made in sorted(found.items()):
        fields = ", ".join(f"{n}: {_type(t)}" for n, t in inspect.get_annotations(made).items())
        if fields:
            yield name, fields, _said(made)


def facts_page(topic: str, width: int = 100) -> str:
    """The page ``facts``, of the groups; that of one group, ``facts.wires``, or of one answer,
    ``facts.wires.steady``; or that of what stands beside them, ``facts.graph``. Raises KeyError."""
    lines: list[str] = [topic, "=" * len(topic), ""]
    if topic == "facts":
        lines += _lines(
            "What a rule may ask, as `facts.GROUP.ANSWER`. `reviewer explain facts.GROUP` lists the answers "
            "of a group, `facts.design` what a design has, `facts.graph` the nodes and edges. Elements are "
            "pointers (`parts/main-bus`, `wires/W12`); figures are in SI units without prefix, temperatures "
            "in degrees Celsius, minutes where a name says so.",
            width,
        )
        for name, kind, said in attributes():
            lines += ["", *_lines(f"{name}: {kind}", width), *_lines(said, width, 4)]
        for name, made in groups().items():
            lines += ["", name, *_lines(_said(made), width, 4)]
            names = ", ".join(called.partition("(")[0] for called, _, _ in answers(made))
            lines += _lines(f"Answers: {names}.", width, 4)
        return "\n".join(lines) + "\n"
    group, _, answer = topic.removeprefix("facts.").partition(".")
    own = {name: (kind, said) for name, kind, said in attributes()}
    if group in own and not answer:
        kind, said = own[group]
        return "\n".join([*lines, *_attribute(group, kind, said, width)]) + "\n"
    made = groups()[group]
    asked = [one for one in answers(made) if not answer or one[0].partition("(")[0] == answer]
    if not asked:
        raise KeyError(topic)
    lines += _lines(_said(made), width)
    for called, kind, said in asked:
        lines += ["", *_lines(f"{called} -> {kind}", width), *_lines(said, width, 4)]
    for name, fields, said in records_of(made, answer):
        lines += ["", *_lines(f"{name}({fields})", width), *_lines(said, width, 4)]
    return "\n".join(lines) + "\n"


def _attribute(name: str, kind: str, said: str, width: int) -> Iterator[str]:
    """What the facts have beside their groups: of the design what it has, of the graph what is in it."""
    yield from _lines(f"{name}: {kind}", width)
    yield from _lines(said, width, 4)
    if kind == "Design":
        yield ""
        yield from _lines(
            "A part is of the class of its kind in `reviewer.rulebook.parts`, and a key is an attribute of "
            "its name with `_` in place of `-`: `facts.design.parts['radio-breaker'].accessible_from`. What "
            "the file does not say is None or the default that `reviewer explain KIND` names.",
            width,
        )
        for field, of in inspect.get_annotations(Design).items():
            yield from ("", *_lines(f"{field}: {_type(of)}", width))
        for called, of, words in answers(Design):
            yield from ("", *_lines(f"{called} -> {of}", width), *_lines(words, width, 4))
    elif kind == "MultiDiGraph":
        for paragraph in inspect.cleandoc(as_networkx.__doc__ or "").split("\n\n"):
            yield from ("", *_lines(" ".join(paragraph.replace("``", "`").split()), width))


def topics() -> list[str]:
    """The pages that there are."""
    found = ["facts", *(f"facts.{name}" for name in (*(name for name, _, _ in attributes()), *groups()))]
    for name, made in groups().items():
        found += [f"facts.{name}.{called.partition('(')[0]}" for called, _, _ in answers(made)]
    return found


def _lines(text: str, width: int, indent: int = 0) -> list[str]:
    lead = " " * indent
    return textwrap.wrap(text, width, initial_indent=lead, subsequent_indent=lead, break_on_hyphens=False)
