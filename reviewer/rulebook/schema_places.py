"""Which places of a design a JSON Schema of a house speaks of, and what of it could never apply.

A key that no part of that place can have, a word that it never is, and a limit of numbers on a figure
with its unit, which is a text, all find nothing, whatever the design: they are mistakes of the schema.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from functools import reduce
from operator import or_
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from reviewer.model.design import Aircraft, Concession, Function, Watch
from reviewer.model.fields import key_of
from reviewer.model.operation import Operation
from reviewer.model.parts import PART_KINDS, Wire
from reviewer.model.quantities import InUnits
from reviewer.rulebook.file_entries import below

#: what stands in the sections that a schema is judged on
_SECTIONS: Mapping[str, Any] = {
    "format": int,
    "aircraft": Aircraft,
    "parts": Mapping[str, reduce(or_, PART_KINDS.values())],  # type: ignore[misc]
    "wires": Mapping[str, Wire],
    "functions": Mapping[str, Function],
    "operation": Operation,
    "watch": Watch,
    "concessions": tuple[Concession, ...],
}
#: keywords with schemas of the same value, in a list and alone
_SAME_IN_LISTS, _SAME = ("allOf", "anyOf", "oneOf"), ("not", "if", "then", "else")
#: keywords that look at a number alone
_OF_NUMBERS = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "multipleOf")


def never_applies(schema: Mapping[str, Any]) -> Iterator[str]:
    """What in a schema can find nothing, one sentence each."""
    yield from dict.fromkeys(_SchemaWalk(schema).of_the_design())


class _SchemaWalk:
    def __init__(self, schema: Mapping[str, Any]):
        self.schema = schema
        self._followed: set[tuple[str, str]] = set()

    def of_the_design(self) -> Iterator[str]:
        """The schema of a whole design: its properties are sections."""
        yield from self._of(self.schema, [_Design], "")

    def _of(self, schema: Any, types: Sequence[Any], at: str) -> Iterator[str]:
        if not isinstance(schema, dict) or not types or any(one in _UNKNOWN for one in types):
            return
        yield from _values(schema, types, at)
        for key in _SAME_IN_LISTS:
            for number, inner in enumerate(schema.get(key, ())):
                yield from self._of(inner, types, f"{at}/{key}/{number}")
        for key in _SAME:
            yield from self._of(schema.get(key), types, f"{at}/{key}")
        for key, inner in schema.get("dependentSchemas", {}).items():
            yield from self._of(inner, types, f"{at}/dependentSchemas/{key}")
        yield from self._referred(schema.get("$ref"), types, at)
        yield from self._below(schema, types, at)

    def _below(self, schema: Mapping[str, Any], types: Sequence[Any], at: str) -> Iterator[str]:
        for name, inner in schema.get("properties", {}).items():
            found = [one for own in types for one in _at(own, name)]
            if not found and inner is not False:
                yield f"{_quoted(name, f'{at}/properties')} is no key there{near_word(name, _keys(types))}"
            yield from self._of(inner, found, f"{at}/properties/{name}")
        for name in schema.get("required", ()):
            if not any(_at(own, name) for own in types):
                yield f"{_quoted(name, f'{at}/required')} is no key there{near_word(name, _keys(types))}"
        anything = [one for own in types for one in _anything(own)]
        for name, inner in schema.get("patternProperties", {}).items():
            yield from self._of(inner, anything, f"{at}/patternProperties/{name}")
        for key in ("additionalProperties", "unevaluatedProperties", "items", "contains"):
            yield from self._of(schema.get(key), anything, f"{at}/{key}")

    def _referred(self, ref: Any, types: Sequence[Any], at: str) -> Iterator[str]:
        """What a reference within the file leads to, once for each place that it stands at."""
        if not isinstance(ref, str) or (ref, at) in self._followed or at.count("/$ref") > 20:
            return
        self._followed.add((ref, at))
        own: Any = self.schema
        for step in [s.replace("~1", "/").replace("~0", "~") for s in ref.lstrip("#").split("/") if s]:
            if isinstance(own, list) and step.isdigit() and int(step) < len(own):
                own = own[int(step)]
            elif isinstance(own, dict) and step in own:
                own = own[step]
            else:
                yield f"`$ref` at {_place(at)} names {ref}, which is not in the file"
                return
        if at.count("/$ref") == 20:
            yield f"`$ref` at {_place(at)} leads to itself"
            return
        yield from self._of(own, types, f"{at}/$ref")


class _Design:
    """The top of a file."""


#: types that say nothing of what may stand there
_UNKNOWN = (Any, object)


def _at(annotation: Any, name: str) -> list[Any]:
    if annotation is _Design:
        return [_SECTIONS[name]] if name in _SECTIONS else []
    return list(below(annotation, name))


def _anything(annotation: Any) -> Iterator[Any]:
    """The types of what stands under any key of a group, or any number of a list."""
    of, inner = get_origin(annotation), get_args(annotation)
    if fields := getattr(annotation, "model_fields", None):
        yield from (field.annotation for field in fields.values())
    elif annotation is _Design:
        yield from _SECTIONS.values()
    elif of is Mapping:
        yield inner[1]
    elif of in (tuple, list):
        yield inner[0]
    elif of in (Annotated, Union, UnionType):
        for one in inner:
            yield from _anything(one)


def _keys(types: Sequence[Any]) -> list[str]:
    """The keys that groups of some types may have."""
    found = [key_of(name) for own in _flat(types) for name in getattr(own, "model_fields", {})]
    return [*dict.fromkeys([*found, *(_SECTIONS if _Design in types else ())])]


def _flat(types: Sequence[Any]) -> Iterator[Any]:
    """Some types, those of unions one by one; a figure with its unit is a text."""
    for one in types:
        of, inner = get_origin(one), get_args(one)
        if of is Annotated:
            yield from [str] if any(isinstance(a, InUnits) for a in inner[1:]) else _flat(inner[:1])
        elif of in (Union, UnionType):
            yield from _flat(inner)
        else:
            yield one


def _values(schema: Mapping[str, Any], types: Sequence[Any], at: str) -> Iterator[str]:
    known = [one for one in _flat(types) if one is not type(None)]
    if not any(one in (int, float) for one in known):
        for key in _OF_NUMBERS:
            if key in schema:
                yield (
                    f"{_quoted(key, at)} looks at numbers, and there is none there: a figure is a text"
                    " with its unit, as `5 A`; write `enum` or `pattern`"
                )
    if known and all(get_origin(one) is Literal or one is bool for one in known):
        words = [word for one in known for word in (get_args(one) or (True, False))]
        wanted = [schema["const"]] if "const" in schema else schema.get("enum", ())
        for value in wanted:
            if value is not None and value not in words:
                yield f"`{value}` at {_place(at)} is never there{near_word(str(value), [*map(str, words)])}"


def near_word(word: str, known: Sequence[str]) -> str:
    """`` (did you mean `x`?)`` where a known word is near, else nothing."""
    near = get_close_matches(word, known, 1)
    return f" (did you mean `{near[0]}`?)" if near else ""


def _place(at: str) -> str:
    return re.sub(r"/\$ref(?=/|$)", "", at).strip("/") or "its top"


def _quoted(word: str, at: str) -> str:
    return f"`{word}` at {_place(at)}"
