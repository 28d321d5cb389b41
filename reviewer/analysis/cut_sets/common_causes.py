"""Common causes: elements at one place that fail together and lose a function that none of them
loses alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_masks,
    loads_of,
    units_of,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare, holder


@record
class CommonLoss:
    """A ``function`` that is lost in a ``state`` when all elements at one ``place`` fail open.

    ``channels`` are the elements of which one alone loses a load of the function, with that load.
    """

    function: str
    place: str
    state: str
    channels: tuple[tuple[str, str], ...]


def openings(design: Design) -> dict[str, tuple[str, ...]]:
    """Opening of a bulkhead -> the wires that pass it."""
    found: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        for opening in wire.through:
            found.setdefault(opening, []).append(f"wires/{name}")
    return {opening: tuple(wires) for opening, wires in found.items()}


def exposed_zones(design: Design) -> dict[str, tuple[str, ...]]:
    """Zone near an exhaust or under a fluid line -> the parts, but structure, and wires in it."""
    exposed = {name for name, zone in design.aircraft.zones.items() if zone.hazards}
    found: dict[str, list[str]] = {name: [] for name in exposed}
    for group, members in (("parts", design.parts), ("wires", design.wires)):
        for name, member in members.items():
            if member.zone in exposed and not isinstance(member, p.Airframe):
                found[member.zone].append(f"{group}/{name}")
    return {zone: tuple(elements) for zone, elements in found.items() if elements}


def common_losses(
    design: Design, network: Network, answer: StateAnswer, places: Mapping[str, Sequence[str]]
) -> Iterator[CommonLoss]:
    """The critical functions that the elements at each place lose together in a state.

    Not those that one of them loses alone, nor those that a severed bundle of them loses: they are
    single failures. Nor those that the loads at the place lose by failing themselves: no other route
    of a wire would keep them.
    """
    names = list(places)
    cases = [tuple(Failure(e, OPEN) for e in places[name]) for name in names]
    if not cases:
        return
    solved = conduct(network, answer.state, cases, answer.healthy)
    works = function_masks(design, solved.powered, (1 << len(cases)) - 1)
    for function in critical_functions(design):
        if answer.alive[function]:
            for lane, name in enumerate(names):
                inside = set(places[name])
                if (
                    not works[function] >> lane & 1
                    and not _lost_by_loads(design, answer, function, inside)
                    and not _lost_singly(network, answer, function, inside)
                ):
                    channels = tuple(_channels(design, answer, function, inside))
                    yield CommonLoss(function, name, answer.state.name, channels)


def _lost_by_loads(design: Design, answer: StateAnswer, function: str, inside: set[str]) -> bool:
    """Whether a function is lost by the failure of those of its loads and magnetos that are inside."""
    own = {f"parts/{n}" for n in units_of(design, function)} & inside
    return not function_masks(
        design, {e: m * (holder(e) not in own) for e, m in answer.healthy.powered.items()}, 1
    )[function]


def _lost_singly(network: Network, answer: StateAnswer, function: str, inside: set[str]) -> bool:
    """Whether one failure loses a function: of an element, or of a bundle with several of them."""
    bundles = {
        f"bundles/{name}" for name, wires in network.bundles.items() if len(inside.intersection(wires)) > 1
    }
    return any(
        not answer.functions[function] >> i & 1
        for i, failure in enumerate(answer.failures)
        if failure.element in bundles or (failure.element in inside and failure.mode == OPEN)
    )


def _channels(
    design: Design, answer: StateAnswer, function: str, inside: set[str]
) -> Iterator[tuple[str, str]]:
    """The first element at a place that alone loses each load of a function, with the load."""
    for load in loads_of(design, function):
        powered = answer.failed.powered[f"parts/{load}"]
        if answer.healthy.powered[f"parts/{load}"]:
            for i, failure in enumerate(answer.failures):
                if failure.element in inside and failure.mode == OPEN and not powered >> i & 1:
                    yield bare(failure.element), load
                    break
