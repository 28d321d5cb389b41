"""Frozen records: dataclasses whose methods are written once.

``dataclass(frozen=True)`` compiles six methods for each class, which takes longer than most reviews
give to one of their rules; a review begins with dozens of such classes. The methods here read the
fields of the class instead, and cost nothing before they are called; the one that makes records is
written with the first of them.
"""

from __future__ import annotations

from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from functools import cache
from operator import attrgetter
from types import CodeType, FunctionType, MappingProxyType
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def record(cls: type[T]) -> type[T]:
    """As ``dataclass(frozen=True)``. What a ``default_factory`` makes serves all records of the class: a
    dictionary is read-only, and what else can be changed raises TypeError.
    """
    cls.__doc__ = (
        cls.__doc__ or cls.__name__
    )  # without one, ``dataclass`` writes a signature, for which it reads the text of ``__init__``
    made: Any = dataclass(init=False, repr=False, eq=False)(cls)
    own = fields(made)
    for one in own:
        if one.default_factory is not MISSING:
            setattr(made, one.name, _unchangeable(made, one.name, one.default_factory()))
    made._names = tuple(one.name for one in own)
    made._compared = attrgetter(*(one.name for one in own if one.compare))
    for method in (__init__, __setattr__, __delattr__, __eq__, __hash__, __repr__):
        setattr(made, method.__name__, method)
    return made


def _unchangeable(made: type, name: str, value: Any) -> Any:
    if isinstance(value, dict):
        return MappingProxyType(value)
    if isinstance(value, (list, set, bytearray)):
        raise TypeError(f"{made.__name__}.{name} would be one {type(value).__name__} for all of them")
    return value


def __init__(self: Any, *values: Any, **named: Any) -> None:
    """The first record of a class is made by this, which writes what makes the others."""
    made: Any = next(cls for cls in type(self).__mro__ if "_names" in cls.__dict__)
    made.__init__ = _written(made)
    made.__init__(self, *values, **named)


def _written(made: Any) -> Any:
    """What fills in the records of a class: an attribute that is set like any other is read four times
    as fast as one that is put into the dictionary of its record."""
    names = made._names
    filled = [one.name for one in fields(made) if not (one.default is one.default_factory is MISSING)]
    if names[len(names) - len(filled) :] != (*filled,):
        raise TypeError(f"{made.__name__} has a field without a default after one with a default")
    code = _filling(len(names))
    own = dict(zip(code.co_varnames[1:], names, strict=True))
    code = code.replace(
        co_varnames=("self", *names),
        co_consts=tuple(own.get(const, const) for const in code.co_consts),
    )
    init = FunctionType(code, {"_set": object.__setattr__}, "__init__")
    init.__defaults__ = tuple(getattr(made, name) for name in filled)
    return init


@cache
def _filling(count: int) -> CodeType:
    """What fills in a record of so many fields, compiled once for all classes of as many: only the names
    differ."""
    names = [f"_field_{i}" for i in range(count)]
    sets = "".join(f"    _set(self, {name!r}, {name})\n" for name in names)
    made: dict[str, Any] = {}
    exec(f"def __init__(self, {', '.join(names)}):\n{sets}", made)
    return made["__init__"].__code__


def __setattr__(self: Any, name: str, value: Any) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def __delattr__(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def __eq__(self: Any, other: Any) -> bool:
    if type(other) is not type(self):
        return NotImplemented
    return bool(self._compared(self) == self._compared(other))


def __hash__(self: Any) -> int:
    return hash(self._compared(self))


def __repr__(self: Any) -> str:
    shown = (f"{one.name}={getattr(self, one.name)!r}" for one in fields(self) if one.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"
