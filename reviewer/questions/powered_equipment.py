"""Switch states and powered equipment: what feeds each bus, load and coil, by state."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.masks import served
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import PoweredDevice, bare

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts


@record
class LoadSupply:
    """The ``sources`` that power a load; ``no_return`` where it is fed without a return path."""

    sources: tuple[str, ...]
    no_return: bool


@record
class PoweredState:
    """A declared state with nothing failed, by name of the part.

    ``switches`` gives where each switch stands, ``buses`` the sources that feed each bus, ``coils``
    whether each coil is energised, ``loads`` the supply.
    """

    state: ResolvedState
    switches: Mapping[str, str]
    buses: Mapping[str, tuple[str, ...]]
    coils: Mapping[str, bool]
    loads: Mapping[str, LoadSupply]


def powered_states(facts: Facts) -> tuple[PoweredState, ...]:
    """Every declared state, in the order of the file, each followed by those in which a sneak
    current keeps a relay energised; () without an operation."""
    if facts.as_written.operation is None:
        return ()
    held = facts.switches.still_energised
    return tuple(
        _powered(facts, answer)
        for state in facts.as_written.operation.states
        for answer in (facts.states.answer(state), *held[state])
    )


def _powered(facts: Facts, answer: StateAnswer) -> PoweredState:
    network, healthy = facts.network, answer.healthy
    nodes = {name: network.index.get(name) for name in facts.design.of_kind(p.Bus)}
    buses = {
        name: () if node is None else tuple(map(bare, answer.fed_by(node))) for name, node in nodes.items()
    }
    coils = {bare(coil.element): bool(healthy.energised[coil.element]) for coil in network.coils}
    loads = {bare(consumer.element): _supply(answer, consumer) for consumer in network.consumers}
    return PoweredState(answer.state, answer.positions, buses, coils, loads)


def _supply(answer: StateAnswer, consumer: PoweredDevice) -> LoadSupply:
    found, fed = [], False
    for source, reach in answer.healthy.fed.items():
        fed |= any(reach[n] for n in consumer.inlets)
        if served(consumer, reach, answer.healthy.returned[source]):
            found.append(bare(source))
    return LoadSupply(tuple(found), fed and not found)
