"""Figures that no light aircraft has are refused where they are written, with the range of their unit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from reviewer.model.fields import Piece
from reviewer.model.quantities import RANGES, UNITS, Quantity, QuantityError, quantity_of, read_quantity
from reviewer.reading import Unreadable, read_design, read_text

ROOT = Path(__file__).parent.parent.parent
FIRST = (ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8")
DESIGNS = [*ROOT.glob("examples/*.design.yaml"), *ROOT.glob("tests/rules/bases/*.yaml")]


def said(old: str, new: str) -> list[str]:
    """What is said of the first example with a change."""
    assert FIRST.count(old) == 1
    try:
        read_text(FIRST.replace(old, new), "x")
    except Unreadable as error:
        return [p.message for p in error.problems]
    return []


@pytest.mark.parametrize("dimension", RANGES)
def test_the_ends_of_a_range_may_be_written_and_nothing_beyond(dimension: str) -> None:
    least, most, why = RANGES[dimension]
    mark = Quantity(dimension, "7 X")
    low, high = (read_quantity(end, dimension, "7 X") for end in (least, most))
    assert low < high and why
    for end in (low, high):
        if end:
            assert mark.read(least if end == low else most) == end
    base = next(unit for unit, scale in UNITS[dimension].items() if scale[1] == 0.0)
    factor = UNITS[dimension][base][0]
    beyond = [high * 1.001, 1e300, *([low * 1.001] if low < 0 else [low * 0.999] if low else [])]
    for number in beyond:
        with pytest.raises(QuantityError) as caught:
            mark.read(f"{number / factor:.9e} {base}")
        assert least in str(caught.value) and most in str(caught.value) and "7 X" in str(caught.value)


def test_every_unit_of_a_design_has_a_range_with_its_reason() -> None:
    assert RANGES.keys() == UNITS.keys()


@pytest.mark.parametrize("zero", [False, True])
def test_zero_is_refused_where_it_makes_no_sense(zero: bool) -> None:
    for dimension in RANGES.keys() - {"temperature"}:
        mark, text = Quantity(dimension, "7 X", zero=zero), f"0 {next(iter(UNITS[dimension]))}"
        if zero:
            assert mark.read(text) == 0
        else:
            with pytest.raises(QuantityError, match="must be more than zero"):
                mark.read(text)
    assert Quantity("temperature", "40 C", zero=zero).read("0 C") == 0


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("rating: 5 A", "rating: 1e300 A", "`1e300 A` is out of range; a current must be 0.000001 mA to 10000 A"),
        ("rating: 5 A", "rating: 1e300 mA", "out of range"),
        ("rating: 5 A", f"rating: {'1' * 5000} A", "out of range"),
        ("rating: 5 A", f"rating: 0.{'0' * 5000}1 A", "must be more than zero"),
        ("rating: 5 A", f"rating: {'1' * 350}", "has no unit; write for example `7.5 A`"),
        ("rating: 5 A", f"rating: -{'1' * 390}", "has no unit; write for example `7.5 A`"),
        ("rating: 5 A", f"rating: {'1' * 5000}", "is not a current"),
        ("rating: 5 A", "rating: 1e400", "has no unit; write for example `7.5 A`"),
        ("rating: 5 A", "rating: .inf", "is not a current"),
        ("rating: 5 A", "rating: nan A", "is not a current"),
        ("rating: 5 A", "rating: 5 A, spares: 1001", "it must be 1000 or less"),
        ("rating: 5 A", f"rating: 5 A, spares: {'1' * 350}", "it must be 1000 or less"),
        ("any: 1", "any: 1001", "it must be 1000 or less"),
        ("any: 1", f"any: {'9' * 350}", "it must be 1000 or less"),
        ("any: 1", f"any: {'9' * 5000}", "expected a whole number"),
        ("any: 1", "any: 1e300", "expected a whole number"),
        ("to: fuse.line", f"to: fuse.line, gauge: {'1' * 350}", "write for example `18 AWG`"),
        ("to: fuse.line", "to: fuse.line, gauge: 501 mm2", "outside the sizes 0.005 mm2 to 500 mm2"),
        ("to: fuse.line", "to: fuse.line, gauge: 0.000000001 mm2", "outside the sizes"),
        ("to: fuse.line", "to: fuse.line, resistance: 2 Mohm", "`2000 kohm` for megohms, `2 mohm` for milliohms"),
        ("to: fuse.line", "to: fuse.line, length: 20 km", "`km` is not a unit of length"),
        ("to: fuse.line", "to: fuse.line, length: 5000 m", "a length must be 0.1 mm to 1000 m"),
        ("airframe: metal", "airframe: metal, max-altitude: 1e6 ft", "an altitude must be 1 m to 30000 m"),
        ("airframe: metal", "airframe: metal, ambient: -200 C", "a temperature must be -100 C to 2000 C"),
        ("kind: battery", "kind: battery, minimum-capacity: 0 %", "must be more than zero"),
        ("kind: battery", "kind: battery, state-of-charge: 101 %", "a share must be 0 % to 100 %"),
    ],
)  # fmt: skip
def test_a_figure_out_of_range_is_told_where_it_is_written(old: str, new: str, words: str) -> None:
    (message,) = said(old, new)
    assert words in message and len(message) < 250


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("airframe: metal", "airframe: metal, max-altitude: 25000 ft, ambient: -40 C, min-temperature: 0 C"),
        ("kind: battery", "kind: battery, state-of-charge: 0 %, max-discharge-current: 2500 A"),
        ("rating: 5 A", "rating: 5 A, resistance: 0.02 mohm, spares: 0"),
    ],
)
def test_a_figure_at_the_edge_of_what_is_built_is_read(old: str, new: str) -> None:
    assert said(old, new) == []


def figures(value: Any) -> Iterator[tuple[str, float]]:
    """(dimension, figure in its base unit) of all that a piece of a design holds."""
    if isinstance(value, Piece):
        for name, about in type(value).model_fields.items():
            inner, mark = getattr(value, name), quantity_of(about)
            if mark is None:
                yield from figures(inner)
            else:
                held = inner.values() if hasattr(inner, "values") else (inner,)
                yield from ((mark.dimension, number) for number in held if isinstance(number, float))
    elif hasattr(value, "values"):
        for inner in value.values():
            yield from figures(inner)
    elif isinstance(value, tuple):
        for inner in value:
            yield from figures(inner)


def test_the_figures_of_all_designs_here_are_well_inside_their_ranges() -> None:
    """Three times at least, so that no range is drawn around what happens to be in the examples."""
    seen: dict[str, list[float]] = {}
    for path in DESIGNS:
        design = read_design(path)
        for piece in (design.aircraft, design.parts, design.wires, design.operation, design.watch):
            for dimension, number in figures(piece):
                seen.setdefault(dimension, []).append(number)
    assert seen.keys() >= RANGES.keys() - {"altitude", "power", "capacitance"}
    for dimension in seen.keys() - {"share", "temperature"}:
        least, most, _ = RANGES[dimension]
        low, high = (read_quantity(end, dimension, "x") for end in (least, most))
        sizes = [number for number in seen[dimension] if number]
        assert low * 3 < min(sizes) and max(sizes) < high / 3, dimension
        assert all(map(math.isfinite, sizes))
