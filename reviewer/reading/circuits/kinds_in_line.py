"""The kinds of parts that a path may make, and what a figure without a key means there."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, get_args, get_origin

from reviewer.model.fields import Piece, key_of
from reviewer.model.parts import PART_KINDS, Wire
from reviewer.model.quantities import UNITS
from reviewer.model.record import record

#: kind -> the terminals by which a path comes in and goes out
THROUGH: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        **dict.fromkeys(
            ("breaker", "fuse", "limiter", "breaker-switch", "switch", "shunt"), ("line", "load")
        ),
        "diode": ("anode", "cathode"),
        "load": ("supply", "return"),
        "instrument": ("supply", "return"),
        "sensor": ("signal", "return"),
    }
)
#: kinds with any number of terminals, all joined
OPEN = ("bus", "ground-block", "stud", "splice", "airframe")
IN_LINE = (*THROUGH, *OPEN)
PROTECTORS = ("breaker", "fuse", "limiter", "breaker-switch")
CONSUMERS = ("load", "instrument")
WIRE = "wire"

_RATED = {"current": "rating", "resistance": "resistance"}
_DRAWS = {"current": "current", "power": "power"}
#: kind -> dimension -> the key of a figure that has none
MEANT: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        **dict.fromkeys((*PROTECTORS, "switch", "shunt"), _RATED),
        **dict.fromkeys(CONSUMERS, _DRAWS),
        "diode": {"current": "rating"},
        "bus": {"current": "rating"},
        WIRE: {"size": "gauge", "length": "length", "resistance": "resistance", "temperature": "insulation"},
    }
)
#: the dimension of each unit; a wire size has the dimension ``size``
DIMENSIONS: Mapping[str, str] = MappingProxyType(
    {
        **{u: dimension for dimension, units in reversed(UNITS.items()) for u in units},
        "AWG": "size",
        "mm2": "size",
    }
)
#: how a unit may be written in a hurry -> the unit
SPELT: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), "A"),
        **dict.fromkeys(("v", "volt", "volts"), "V"),
        **dict.fromkeys(("w", "watt", "watts"), "W"),
        **dict.fromkeys(("ga", "gauge", "awg", "#"), "AWG"),
        **dict.fromkeys(("meter", "meters", "metre", "metres"), "m"),
        **dict.fromkeys(("foot", "feet", "'"), "ft"),
        **dict.fromkeys(("inch", "inches"), "in"),
        **dict.fromkeys(("ohms", "Ω"), "ohm"),
        **dict.fromkeys(("sqmm", "mm²"), "mm2"),
    }
)
_NOT_ALONE = frozenset({"none", "unknown"})


@record
class Vocabulary:
    """What may be said of a kind: ``keys`` with the form that each takes (``text``, ``list``,
    ``flag``, ``count``, or ``group`` for what a line has no room for), and ``words`` that stand for
    a key and its value."""

    keys: Mapping[str, str]
    words: Mapping[str, tuple[str, Any]]


@cache
def vocabulary(kind: str) -> Vocabulary:
    """What may be said of a part of a kind, or of a wire."""
    model: type[Piece] = Wire if kind == WIRE else PART_KINDS[kind]
    left_out = {"kind", "from", "to", "plugged-on"}
    fields = {key_of(n): f.annotation for n, f in model.model_fields.items() if key_of(n) not in left_out}
    keys = {key: _form(annotation) for key, annotation in fields.items()}
    words: dict[str, tuple[str, Any]] = {key: (key, True) for key, form in keys.items() if form == "flag"}
    twice: set[str] = set()
    for key, annotation in fields.items():
        for word in _literals(annotation):
            if word in words:
                twice.add(word)
            words.setdefault(word, (key, word))
    return Vocabulary(keys, {w: v for w, v in words.items() if w not in twice | _NOT_ALONE})


def _options(annotation: Any) -> list[Any]:
    """The alternatives of an annotation, without what they are marked with."""
    if hasattr(annotation, "__metadata__"):
        return _options(get_args(annotation)[0])
    origin = get_origin(annotation)
    if origin is not None and origin is not Literal and type(None) in get_args(annotation):
        return [o for a in get_args(annotation) if a is not type(None) for o in _options(a)]
    if origin is not None and "Union" in str(origin):
        return [o for a in get_args(annotation) for o in _options(a)]
    return [annotation]


def _form(annotation: Any) -> str:
    options = _options(annotation)
    plain = [o for o in options if get_origin(o) is not Mapping]
    if not plain or any(isinstance(o, type) and issubclass(o, Piece) for o in plain):
        return "group" if not plain else "text"
    forms: dict[Any, str] = {bool: "flag", int: "count"}
    return "list" if get_origin(plain[0]) is tuple else forms.get(plain[0], "text")


def _literals(annotation: Any) -> list[str]:
    return [w for o in _options(annotation) if get_origin(o) is Literal for w in get_args(o)]
