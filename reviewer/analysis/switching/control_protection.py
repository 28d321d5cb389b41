"""Protection of coils and fields: a breaker whose opening loses a bus that it does not feed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.feeds import feeding_of, kept_by_another
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.search import reachable_by


@record
class ControlProtector:
    """A protective device that feeds no bus of ``buses`` and whose opening loses them all the same.

    ``alone`` are those of them that are left to an alternator alone, while no battery is left at
    another: a tie that opens between two halves, each with its alternator, leaves one of them its
    battery. ``drops`` are the relays that drop out and the alternators that stop; ``functions``
    those that are lost.
    """

    protector: str
    state: str
    buses: tuple[str, ...]
    alone: tuple[str, ...]
    drops: tuple[str, ...]
    functions: tuple[str, ...]


def control_protectors(design: Design, network: Network, answer: StateAnswer) -> Iterator[ControlProtector]:
    """Protective devices of a coil or field whose opening loses a bus in a state.

    Each is the nearest to a coil that drops out or a field that stops then.
    """
    nearest = _nearest_to_controls(network, answer)
    nodes = {name: network.node(name) for name in design.of_kind(p.Bus) if name in network.index}
    live = {name: node for name, node in nodes.items() if answer.healthy.live(node)}
    protectors = {f"parts/{name}" for name in design.of_kind(p.Protector)}
    for i, failure in enumerate(answer.failures):
        if failure.mode == OPEN and failure.element in protectors:
            drops = tuple(_dropped(network, answer, i))
            if not any(failure.element in nearest[element] for element in drops):
                continue
            dead = [name for name, node in live.items() if not answer.failed.live(node) >> i & 1]
            alone = [
                name
                for name, node in live.items()
                if name not in dead
                and _left_alone(network, answer, i, node)
                and not kept_by_another(network, answer.failed, node) >> i & 1
            ]
            lost = [n for n in (*dead, *alone) if _fed_without(network, answer, live[n], failure.element)]
            if lost:
                yield ControlProtector(
                    protector=failure.element,
                    state=answer.state.name,
                    buses=tuple(lost),
                    alone=tuple(n for n in lost if n in alone),
                    drops=drops,
                    functions=tuple(
                        f for f, works in answer.functions.items() if answer.alive[f] and not works >> i & 1
                    ),
                )


def _nearest_to_controls(network: Network, answer: StateAnswer) -> Mapping[str, set[str]]:
    """Coils and sources, as elements -> the protective devices nearest to the coil or field."""
    ends = [(c.element, node) for c in network.coils for node in (*c.plus, *c.minus)]
    ends += [(s.element, s.field) for s in network.sources if s.field is not None]
    fed = feeding_of(network, [answer], [(node, "") for _, node in ends])[0] if ends else []
    found: dict[str, set[str]] = {element: set() for element in network.elements}
    for (element, _), (_, protectors) in zip(ends, fed, strict=True):
        found[element] |= set(protectors)
    return found


def _batteries(network: Network) -> list[str]:
    return [s.element for s in network.sources if s.kind == "battery"]


def _left_alone(network: Network, answer: StateAnswer, failure: int, node: int) -> bool:
    """Whether batteries feed a node and none does after one failure."""
    batteries = _batteries(network)
    return any(answer.healthy.fed[b][node] for b in batteries) and not any(
        answer.failed.fed[b][node] >> failure & 1 for b in batteries
    )


def _dropped(network: Network, answer: StateAnswer, failure: int) -> Iterator[str]:
    """The relays that drop out in one failure, then the sources that stop."""
    healthy, failed = answer.healthy, answer.failed
    for coil in network.coils:
        if healthy.energised[coil.element] and not failed.energised[coil.element] >> failure & 1:
            yield coil.element
    for source in network.sources:
        if healthy.alive[source.element] and not failed.alive[source.element] >> failure & 1:
            yield source.element


def _fed_without(network: Network, answer: StateAnswer, bus: int, without: str) -> bool:
    """Whether a live source reaches a bus without an element, with relays as when healthy.

    A battery, where one feeds the bus.
    """
    healthy, batteries = answer.healthy, _batteries(network)
    stored = any(healthy.fed[b][bus] for b in batteries)
    goals = {
        s.positive
        for s in network.sources
        if healthy.alive[s.element] and (not stored or s.element in batteries)
    }

    links, (forth, back) = network.links, answer.conducting

    def onward(node: int) -> Iterator[int]:
        for i, other, leaving in network.around[node]:
            if (back if leaving else forth)[i] and links[i].element != without:
                yield other

    return not goals.isdisjoint(reachable_by([bus], onward))


def coil_fuses(
    design: Design, network: Network, answers: Iterable[StateAnswer], relay: str
) -> dict[str, str]:
    """The fuses, by name, through which a source feeds the coil of a relay.

    Each with the first of some states in which the coil is energised through it.
    """
    coil = next(c for c in network.coils if c.element == relay)
    found: dict[str, str] = {}
    for answer in answers:
        if answer.healthy.energised[relay]:
            paths = [
                feed_path(network, answer, s.element, n)
                for s in network.sources
                for n in (*coil.plus, *coil.minus)
            ]
            for element in (e for path in paths for e in path):
                if element.startswith("parts/") and isinstance(design.parts[bare(element)], p.Fuse):
                    found.setdefault(bare(element), answer.state.name)
    return found
