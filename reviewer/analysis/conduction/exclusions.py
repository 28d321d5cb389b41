"""Switch positions that are declared impossible together, and what moves along with a switch."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from reviewer.analysis.conduction.switch_combinations import positions_of
from reviewer.model.design import Design
from reviewer.model.operation import Exclusion


def is_excluded(design: Design, at: Mapping[str, str]) -> bool:
    """Whether some switch positions include a combination that is declared impossible."""
    return any(True for _ in matching_exclusions(design, at))


def matching_exclusions(design: Design, at: Mapping[str, str]) -> Iterator[Exclusion]:
    """The declared exclusions that forbid some switch positions."""
    for exclusion in design.operation.excluded if design.operation else ():
        if all(at.get(n) == position for n, position in exclusion.switches.items()):
            yield exclusion


def ways_along(
    design: Design, at: Mapping[str, str], switch: str, along: tuple[tuple[str, str], ...] = ()
) -> Iterator[tuple[tuple[str, str], ...]]:
    """The ways in which other switches move along with one, once each, until no combination of all
    positions ``at`` is excluded; nothing moves along where none is."""
    violated = next(matching_exclusions(design, at), None)
    if violated is None:
        yield along
        return
    if not along and springs_back(design, switch, at[switch]):
        return
    for other in violated.switches:
        if other == switch or other in dict(along):
            continue
        for position in positions_of(design, other):
            if position != at[other] and not springs_back(design, other, position):
                yield from ways_along(design, {**at, other: position}, switch, (*along, (other, position)))


def springs_back(design: Design, switch: str, position: str) -> bool:
    """Whether a position of a switch is spring-loaded."""
    return position in getattr(design.parts[switch], "momentary", ())
