"""What was filled in by default: keys that a file leaves out and the format gives a value."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from reviewer.model.design import Design
from reviewer.model.fields import Piece, key_of
from reviewer.model.filled_value import FilledIn
from reviewer.model.operation import State

__all__ = ["FilledIn", "defaults_of"]


def defaults_of(design: Design) -> Iterator[FilledIn]:
    """Each default of the format that a design rests on, of its parts, wires and states, and those of
    the assemblies that it has installed."""
    found: dict[tuple[str, str], list[str]] = {}
    every: list[tuple[str, Piece]] = [*design.parts.items(), *design.wires.items()]
    for name, piece in every:
        for key in _defaulted(type(piece)):
            if key not in piece.model_fields_set and getattr(piece, "kind", "") != "mechanical":
                found.setdefault((_kind(piece), key), []).append(name)
    pieces = {_kind(piece): piece for _, piece in every}
    for (kind, key), names in found.items():
        about = type(pieces[kind]).model_fields[key]
        yield FilledIn(
            f"{key_of(key)} of {kind}", _words(about.default), str(about.description), tuple(names)
        )
    states: Mapping[str, State] = design.operation.states if design.operation else {}
    for key, value, why in _OF_STATES:
        names = [
            name
            for name, state in states.items()
            if name not in design.made and getattr(state, key) is None and state.like is None
        ]
        if names:
            yield FilledIn(f"{key_of(key)} of state", value, why, tuple(names))
    yield from design.defaults_of_assemblies


#: what a state is that says neither and is like no other
_OF_STATES = (
    ("use", "flight", "A state is one of normal flight unless it says otherwise."),
    ("engine", "running", "The engine runs unless the state says otherwise."),
)


@cache
def _defaulted(kind: type[Piece]) -> tuple[str, ...]:
    """The fields of a kind of piece whose default says something."""
    return tuple(
        name
        for name, field in kind.model_fields.items()
        if not field.is_required() and field.default_factory is None and field.default not in (None, ())
    )


def _kind(piece: Piece) -> str:
    return str(getattr(piece, "kind", type(piece).__name__.lower()))


def _words(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
