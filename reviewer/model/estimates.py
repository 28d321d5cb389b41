"""What a design states as an estimate, and the sentences in which a review says so."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model.design import Design
from reviewer.model.fields import Piece, key_of
from reviewer.model.parts import Consumer
from reviewer.model.quantities import Written
from reviewer.model.quantity_words import quantity

#: so many are named, the largest first; of the others their number is told
_NAMED = 4


def estimates_in_words(design: Design) -> tuple[str, ...]:
    """The sentences of a review about the figures that are estimates; none where there are none."""
    drawn = {
        name: _amperes(load, design.nominal_volts(name))
        for name, load in design.parts.items()
        if isinstance(load, Consumer) and load.estimated
    }
    said = []
    if drawn:
        largest = sorted(drawn, key=lambda name: -drawn[name])
        named = _first([f"{name} ({_figure(design.parts[name])})" for name in largest])
        said.append(
            f"{_counted(len(drawn))} an estimated current: {named}. Every voltage, current and time "
            "computed from estimates rests on the figure given, of a range on its middle; other values were "
            "not tried."
        )
    if others := list(_others(design)):
        said.append(f"Estimated too, and not tried with other values: {_first(others)}.")
    return tuple(said)


def _amperes(load: Consumer, volts: float) -> float:
    """The most that it draws, of its power where no current is given."""
    return max(_currents(load), default=(load.power or 0.0) / volts)


def _currents(load: Consumer) -> list[float]:
    return [*load.currents, *(v for v in (load.peak, load.standby) if v is not None)]


def _figure(load: Consumer) -> str:
    given = _currents(load)
    return quantity(max(given), "A") if given else quantity(load.power or 0.0, "W")


def _others(design: Design) -> Iterator[str]:
    """Every other figure of a part or wire that is an estimate."""
    pieces: list[tuple[str, Piece]] = [*design.parts.items(), *design.wires.items()]
    for name, piece in pieces:
        drawn = piece.drawn if isinstance(piece, Consumer) else ()
        for key, value in piece:
            if isinstance(value, Written) and value.estimate and not any(value is own for own in drawn):
                yield f"{key_of(key)} of {name} ({value.text})"


def _first(texts: list[str]) -> str:
    left = len(texts) - _NAMED
    return ", ".join(texts[:_NAMED]) + (f" and {left} more" if left > 0 else "")


def _counted(count: int) -> str:
    return "One load has" if count == 1 else f"{count} loads and instruments have"
