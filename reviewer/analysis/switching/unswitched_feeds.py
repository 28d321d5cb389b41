"""Loads that no switch takes off although there is one in their circuit, because a second feed
comes without a switch."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer, feed_path, solve_state
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice


@record
class UnswitchedFeed:
    """A ``load`` (element) that is powered with every switch off, those in its circuit among them:
    ``switches`` (name, position). ``path`` leads from a source to it."""

    load: str
    switches: tuple[tuple[str, str], ...]
    path: tuple[str, ...]


def unswitched_feeds(
    design: Design, network: Network, normal: StateAnswer, bypassed: Collection[str]
) -> Iterator[UnswitchedFeed]:
    """Every load that a switch in its circuit feeds in the normal state, and that is powered with
    every switch off and the engine stopped.

    ``bypassed`` are elements whose contacts open nothing anyway.
    """
    open_at = {name: at for name in normal.state.switches if (at := _open_position(design, name))}
    everything = {**normal.state.switches, **open_at}
    if is_excluded(design, everything):
        return
    stopped = replace(normal.state.with_engine("stopped"), external_power=False)
    off = solve_state(design, network, replace(stopped, name="", switches=MappingProxyType(everything)))
    for consumer in network.consumers:
        if not off.healthy.powered[consumer.element] or not normal.healthy.powered[consumer.element]:
            continue
        for node in consumer.inlets:
            elements = circuit(design, network, [node]).elements
            own = tuple((n, at) for n, at in open_at.items() if f"parts/{n}" in elements - set(bypassed))
            paths = [feed_path(network, off, source, node) for source in off.fed_by(node)]
            path = min(paths, key=len, default=())
            if own and path and _is_second_feed(network, normal, consumer, dict(own), path):
                yield UnswitchedFeed(consumer.element, own, path)
                break


def _open_position(design: Design, name: str) -> str | None:
    """The position of a switch that stays and joins nothing; None where there is none."""
    part = design.parts[name]
    if isinstance(part, p.BreakerSwitch):
        return "open"
    stays = (at for at, pairs in part.positions.items() if not pairs and at not in part.momentary)
    return next(stays, None)


def _is_second_feed(
    network: Network, normal: StateAnswer, consumer: PoweredDevice, own: dict[str, str], path: Collection[str]
) -> bool:
    """Whether the switches feed the load where the path without a switch is open."""
    cases = [Failure(element, OPEN) for element in path if element != consumer.element]
    state = normal.state
    switched_off = replace(state, switches=MappingProxyType({**state.switches, **own}))
    on = conduct(network, state, cases, normal.healthy).powered[consumer.element]
    return bool(on & ~conduct(network, switched_off, cases, normal.healthy).powered[consumer.element])
