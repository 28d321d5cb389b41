"""A record does what a frozen dataclass of the standard library does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import FrozenInstanceError, dataclass, field, replace
from types import MappingProxyType
from typing import Any

import pytest

from reviewer.model.record import record


def declare(frozen: Callable[[type], type]) -> Any:
    @frozen
    class Reading:
        """A reading."""

        what: str
        volts: float
        where: str = ""
        marks: Any = field(default_factory=lambda: MappingProxyType({}), compare=False, repr=False)

    return Reading


RECORD, DATACLASS = declare(record), declare(dataclass(frozen=True))
MADE: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    (("bus", 14.2), {}),
    (("bus",), {"volts": 14.2}),
    ((), {"volts": 14.2, "what": "bus", "where": "post"}),
    (("bus", 14.2, "post", {"a": 1}), {}),
    (("bus", 0.0), {"marks": {}}),
]


@pytest.mark.parametrize(("values", "named"), MADE)
def test_it_shows_and_holds_the_same(values: tuple[Any, ...], named: dict[str, Any]) -> None:
    ours, theirs = RECORD(*values, **named), DATACLASS(*values, **named)
    assert repr(ours) == repr(theirs)
    assert hash(ours) == hash(theirs)
    assert all(getattr(ours, name) == getattr(theirs, name) for name in ("what", "volts", "where", "marks"))
    assert repr(replace(ours, where="x")) == repr(replace(theirs, where="x"))


def test_it_is_equal_to_the_same() -> None:
    def table(made: Any) -> list[list[bool]]:
        all_made = [made(*values, **named) for values, named in MADE]
        return [[one == other for other in [*all_made, ("bus", 14.2)]] for one in all_made]

    assert table(RECORD) == table(DATACLASS)


@pytest.mark.parametrize(
    ("values", "named"),
    [
        ((), {}),
        (("bus",), {}),
        (("bus", 1.0, "", {}, 5), {}),
        (("bus", 1.0), {"what": "x"}),
        (("bus", 1.0), {"colour": "x"}),
        ((), {"volts": 1.0}),
    ],
)
def test_it_refuses_the_same(values: tuple[Any, ...], named: dict[str, Any]) -> None:
    for made in (RECORD, DATACLASS):
        with pytest.raises(TypeError):
            made(*values, **named)


def test_a_field_without_a_value_of_its_own_comes_before_those_with_one() -> None:
    @record
    class Turned:
        where: str = ""
        what: str  # type: ignore[misc]

    with pytest.raises(TypeError, match="Turned has a field without a default after one"):
        Turned("bus", "post")


def test_nobody_can_change_it() -> None:
    for made in (RECORD, DATACLASS):
        one = made("bus", 14.2)
        for change in (
            lambda one=one: setattr(one, "volts", 1.0),
            lambda one=one: setattr(one, "new", 1.0),
            lambda one=one: delattr(one, "volts"),
        ):
            with pytest.raises(FrozenInstanceError):
                change()
        assert one.volts == 14.2


def test_a_value_that_serves_all_of_them_cannot_be_changed() -> None:
    @record
    class Table:
        rows: Any = field(default_factory=dict)

    with pytest.raises(TypeError):
        Table().rows["bus"] = 14.2
    assert Table().rows == {} and Table({"bus": 14.2}).rows == {"bus": 14.2}
    for factory in (list, set):
        with pytest.raises(TypeError, match="would be one"):

            @record
            class Listed:
                rows: Any = field(default_factory=factory)
