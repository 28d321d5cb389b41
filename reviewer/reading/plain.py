"""Plain data -> a piece of the model, where everything in it is plainly right.

Most files have no mistake, and to import pydantic takes longer than to review one. So the annotations of the pieces are followed here first, and
strictly: whatever is not of the very type that is wanted is refused, and then pydantic decides (:mod:`reviewer.reading.mistakes`), which says
why or takes what may be meant. What is accepted here pydantic accepts too, with the same result; a test compares them.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from datetime import date
from functools import lru_cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from reviewer.model.piece import Mark, Piece, key_of

Read = Callable[[Any], Any]


class NotPlain(ValueError):
    """The data is not plainly right."""


def reader(annotation: Any) -> Read:
    """What reads a value of this annotation: a function that gives the value as a piece keeps it, or raises ValueError."""
    found = _READERS.get(annotation)
    if found is None:
        found = _READERS[annotation] = _reader(annotation)
    return found


def _reader(annotation: Any) -> Read:
    if isinstance(annotation, type) and issubclass(annotation, Piece):
        return _piece(annotation)
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _marked(*inner)
    if origin is Literal:
        return _word(inner)
    if origin in (Union, UnionType):
        return _any_of([reader(one) for one in inner])
    if origin is tuple:
        return _list(reader(inner[0]))
    if origin is Mapping:
        return _map(reader(inner[0]), reader(inner[1]))
    raise TypeError(f"no piece has a field of {annotation}")


def _piece(piece: type[Piece]) -> Read:
    named = {key_of(one.name): one for one in fields(piece)}
    needed = {key for key, one in named.items() if one.default is MISSING and one.default_factory is MISSING}
    readers: dict[str, tuple[str, Read]] = {}  # filled as keys turn up: most kinds use few of theirs

    def read(value: Any) -> Piece:
        if type(value) is not dict or not needed <= value.keys() <= named.keys():
            raise NotPlain
        for key in value.keys() - readers.keys():
            readers[key] = named[key].name, reader(named[key].type)
        found = {}
        for key, entry in value.items():
            name, one = readers[key]
            found[name] = one(entry)
        return piece(**found)

    return read


def _marked(kind: Any, *marks: Mark) -> Read:
    if marks[0].reads_text:
        return _quantity(marks[0])
    steps = [reader(kind), *(mark.read for mark in marks)]

    def read(value: Any) -> Any:
        for step in steps:
            value = step(value)
        return value

    return read


def _quantity(mark: Mark) -> Read:
    once = lru_cache(maxsize=1000)(mark.read)  # a file has many wires of few sizes

    def read(value: Any) -> Any:
        if type(value) is not str:
            raise NotPlain
        return once(value)

    return read


def _word(words: tuple[str, ...]) -> Read:
    def read(value: Any) -> str:
        if type(value) is not str or value not in words:
            raise NotPlain
        return value

    return read


def _any_of(readers: list[Read]) -> Read:
    def read(value: Any) -> Any:
        for one in readers:
            try:
                return one(value)
            except ValueError:
                continue
        raise NotPlain

    return read


def _list(entry: Read) -> Read:
    def read(value: Any) -> tuple[Any, ...]:
        if type(value) is not list:
            raise NotPlain
        return tuple(map(entry, value))

    return read


def _map(key: Read, entry: Read) -> Read:
    def read(value: Any) -> dict[str, Any]:
        if type(value) is not dict:
            raise NotPlain
        return {key(k): entry(v) for k, v in value.items()}

    return read


def _exactly(kind: type) -> Read:
    def read(value: Any) -> Any:
        if type(value) is not kind:
            raise NotPlain
        return value

    return read


def _text(value: Any) -> str:
    if type(value) is not str:
        raise NotPlain
    if not value.isascii():
        value.encode()  # half of a pair of surrogates is no text
    return value


def _day(value: Any) -> date:
    if type(value) is not str or not _DAY.fullmatch(value):
        raise NotPlain
    return date.fromisoformat(value)


_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")
_READERS: dict[Any, Read] = {str: _text, int: _exactly(int), bool: _exactly(bool), NoneType: _exactly(NoneType), date: _day}
