"""Voltages and contact currents that cannot be known, because an input is missing.

They depend on a wire or protective device whose size the file does not give, or on a load without a
current.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.paths import returns
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: amperes from which an element without a size matters to every voltage, as a share of what all
#: sources give; a value of our own
HEAVY = 0.1


def lacking(
    design: Design, network: Network, answer: StateAnswer, point: OperatingPoint, terminals: Sequence[str]
) -> str:
    """The first input that is missing for the voltage between some terminals; "" for none.

    As a person would write it. That is the size of an element on the path from a source to one of
    them or from one of them back, or of one that carries a tenth or more of what all sources give;
    and the current of a load that shares such an element.
    """
    if not point.unsized and not point.undrawn:
        return ""
    nodes = [network.node(t) for t in terminals]
    paths = [feed_path(network, answer, s.element, n) for s in network.sources for n in nodes]
    near = {e for path in paths for e in path} | set(returns.return_path(network, tuple(nodes)) or ())
    most = HEAVY * sum(given for given in point.given.values() if given > 0)
    for element, key in point.unsized.items():
        if element in near or not abs(point.amps.get(element, 0.0)) < most:
            return f"{key} of {bare(element)}"
    for element, key in point.undrawn.items():
        consumer = next(c for c in network.consumers if c.element == element)
        if answer.healthy.powered[element] and any(
            set(feed_path(network, answer, s.element, n)) & near
            for s in network.sources
            for n in consumer.inlets
        ):
            return f"{key} of {bare(element)}"
    return ""


def unknown_contacts(
    design: Design, network: Network, answer: StateAnswer, point: OperatingPoint
) -> Iterator[tuple[str, str]]:
    """Switches and relays whose current an operating point cannot say -> the missing input.

    Those in the feed or return of a live load without a current, and those in a ring of joints
    without a size.
    """
    switching = {f"parts/{n}" for n in design.of_kind((p.Switch, p.Electromagnet))}
    for consumer in network.consumers:
        if consumer.element in point.undrawn and answer.healthy.powered[consumer.element]:
            paths = [
                feed_path(network, answer, s.element, n) for s in network.sources for n in consumer.inlets
            ]
            paths.append(returns.return_path(network, consumer.minus) or ())
            yield from (
                (e, f"{point.undrawn[consumer.element]} of {bare(consumer.element)}")
                for path in paths
                for e in path
                if e in switching
            )
    contacts: dict[str, list[float]] = {}
    for (terminal, _), a in point.contacts.items():
        contacts.setdefault(f"parts/{terminal.partition('.')[0]}", []).append(a)
    for element in switching:
        amps = [point.amps.get(element, 0.0), *contacts.get(element, ())]
        if any(a != a for a in amps):
            needs = next(
                (
                    f"{key} of {bare(e)}"
                    for e, key in point.unsized.items()
                    if not abs(point.amps.get(e, 0.0)) < float("inf")
                ),
                "",
            )
            yield element, needs or f"`resistance` of {bare(element)}"
