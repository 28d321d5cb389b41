"""Figures that a design states as estimates, ``~5 A`` or ``4 to 6 A``: which they are, and the design with
some of them at an end of their range."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from reviewer.model.design import Design
from reviewer.model.fields import PLAIN, Piece, key_of
from reviewer.model.parts import SOURCES, Consumer
from reviewer.model.quantities import Written
from reviewer.model.record import record

#: how far a figure written ``~5 A`` may be off either way where ``estimates`` of the aircraft says nothing.
#: Our own: what a load list that nobody measured is worth
EITHER_WAY = 0.30
#: so many are named in a sentence; the others are counted
NAMED = 4


@record
class Estimate:
    """One key with a figure that is an estimate: ``at`` is its pointer, ``parts/radio/current``.

    ``text``, ``low`` and ``high`` are its figure and its ends as they are written, all of them where
    it has one for each phase. ``gives`` is True of a figure of a source.
    """

    at: str
    text: str
    low: str
    high: str
    gives: bool = False

    @property
    def name(self) -> str:
        """``current of radio``."""
        _, _, path = self.at.partition("/")
        owner, _, key = path.rpartition("/")
        return f"{key} of {owner.replace('/', ', ')}" if owner else f"{key} of the aircraft"

    def __str__(self) -> str:
        return f"{self.name} ({self.text})"

    def end(self, high: bool) -> str:
        """``current of radio at 6.5 A``."""
        return f"{self.name} at {self.high if high else self.low}"


def share_of(design: Design) -> float:
    """How far a figure written ``~5 A`` may be off either way, as a share of it."""
    return EITHER_WAY if design.aircraft.estimates is None else float(design.aircraft.estimates)


def estimates_of(design: Design) -> tuple[Estimate, ...]:
    """Every figure that is an estimate, currents of loads by the largest amperes of their range first. The
    power of a load is none: where it counts, the current is worked out from it."""
    found: dict[str, list[Written]] = {}

    def of_load(at: str) -> bool:
        return isinstance(design.parts.get(at.split("/")[1]), Consumer)

    def seen(at: str, figure: Written) -> Written:
        if figure.unit != "W" or not of_load(at):
            found.setdefault(at, []).append(figure)
        return figure

    _everywhere(design, seen)
    share = share_of(design)

    def ends(at: str, high: bool) -> str:
        return _listed(figure.tried(high, share) for figure in found[at])

    def swing(at: str) -> float:
        return max(abs(f.tried(True, share) - f.tried(False, share)) for f in found[at])

    def order(at: str) -> tuple[object, ...]:
        drawn = of_load(at) and found[at][0].unit in ("A", "mA")
        return (not drawn, -swing(at) if drawn else 0.0, at)

    return tuple(
        Estimate(at, _listed(found[at]), ends(at, False), ends(at, True), _gives(design, at))
        for at in sorted(found, key=order)
    )


def _listed(figures: Iterable[Written]) -> str:
    return ", ".join(dict.fromkeys(figure.text for figure in figures))


def _gives(design: Design, at: str) -> bool:
    section, _, path = at.partition("/")
    return section == "parts" and isinstance(design.parts[path.split("/")[0]], SOURCES)


def with_estimates(design: Design, ends: Mapping[str, bool]) -> Design:
    """The design with estimates at the ends of their ranges: pointer -> whether it is the high end."""
    share = share_of(design)

    def moved(at: str, figure: Written) -> Written:
        return figure.tried(ends[at], share) if at in ends else figure

    return _everywhere(design, moved)


def piece_at(piece: Any, high: bool, share: float) -> Any:
    """A part with all of its estimates at an end; itself where it has none."""
    return _changed(piece, "", lambda _, figure: figure.tried(high, share))


_Change = Callable[[str, Written], Written]


def _everywhere(design: Design, change: _Change) -> Design:
    """The design with each estimate in it changed."""
    common = design.aircraft.wire
    shared = {} if common is None else {name: value for name, value in common if value is not None}

    def of_wire(at: str, figure: Written) -> Written:
        key = at.rpartition("/")[2]
        said = shared.get(key.replace("-", "_"))
        return change(f"aircraft/wire/{key}" if said is figure else at, figure)

    return replace(
        design,
        aircraft=_changed(design.aircraft, "aircraft", change),
        operation=_changed(design.operation, "operation", change),
        watch=_changed(design.watch, "watch", change),
        parts=_changed(design.parts, "parts", change),
        wires=_changed(design.wires, "wires", of_wire),
    )


def _changed(value: Any, at: str, change: _Change) -> Any:
    """A value with each estimate in it changed; the value itself where there is none."""
    if type(value) in PLAIN:
        return value
    if isinstance(value, Written):
        return change(at, value) if value.estimate else value
    if isinstance(value, str | float | int):
        return value
    if isinstance(value, Piece):
        own = value.__dict__
        given = value.model_fields_set
        changes = {
            name: new
            for name, old in own.items()
            if type(old) not in PLAIN
            and name in given
            and (new := _changed(old, f"{at}/{key_of(name)}", change)) is not old
        }
        return value.model_copy(update=changes) if changes else value
    if isinstance(value, Mapping):
        # one current for each phase is one figure
        entries = {
            name: _changed(old, at if isinstance(old, float) else f"{at}/{name}", change)
            for name, old in value.items()
        }
        same = all(entries[name] is old for name, old in value.items())
        return value if same else MappingProxyType(entries)
    if isinstance(value, tuple) and value and isinstance(value[0], Piece):
        listed = tuple(_changed(old, f"{at}/{i}", change) for i, old in enumerate(value))
        return listed if any(a is not b for a, b in zip(listed, value, strict=True)) else value
    return value


def estimates_in_words(estimates: tuple[Estimate, ...]) -> str:
    """``3 figures are estimates: current of lamp (~5 A), ...``: the beginning of a sentence."""
    left = len(estimates) - NAMED
    named = ", ".join(map(str, estimates[:NAMED])) + (f" and {left} more" if left > 0 else "")
    count = len(estimates)
    return f"{'One figure is an estimate' if count == 1 else f'{count} figures are estimates'}: {named}"


@record
class Corner:
    """Where all estimates of a design stand at once: pointer -> whether at the high end; and in words."""

    words: str
    ends: Mapping[str, bool]


def corners_of(estimates: Sequence[Estimate]) -> list[Corner]:
    """All low and all high; where some are of sources and some are not, also these against those."""
    if not estimates:
        return []
    corners = [Corner(f"all {_END[high]}", {g.at: high for g in estimates}) for high in (False, True)]
    if any(g.gives for g in estimates) and not all(g.gives for g in estimates):
        corners += [
            Corner(
                f"those of sources {_END[high]} and all others {_END[not high]}",
                {g.at: high == g.gives for g in estimates},
            )
            for high in (False, True)
        ]
    return corners


#: False is low
_END = ("low", "high")
