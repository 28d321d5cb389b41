"""What tells the crew of a failure in flight: an alarm that is given, or a reading that goes away."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from reviewer.analysis.conduction import Conduction
from reviewer.analysis.states import StateAnswer
from reviewer.model.design import Design, Monitor
from reviewer.network.graph import Network


def notices(design: Design, network: Network, answer: StateAnswer) -> Mapping[str, int]:
    """For each monitor, the failures of a state that it tells of.

    An alarm below some voltage, and a `live` indication, tell where the alternator or outside power no longer feeds the sensed terminal, or nothing
    does any more. Every reading tells where what it senses goes dead, or where the instrument that it is on goes dark.
    """
    every = (1 << len(answer.failures)) - 1
    return MappingProxyType({name: _tells(network, monitor, answer, every) for name, monitor in design.watch.monitors.items()})


def _tells(network: Network, monitor: Monitor, answer: StateAnswer, every: int) -> int:
    screen = f"parts/{monitor.on}" if monitor.on else ""
    if screen and not answer.healthy.powered[screen]:
        return 0
    nodes = (network.node(monitor.senses),) if "." in monitor.senses else network.nodes_of[f"parts/{monitor.senses}"]
    dark = every & ~answer.failed.powered[screen] if screen else 0
    lost = 0
    for kinds in (None, ("alternator", "ground-power")) if monitor.alarm_below is not None or monitor.shows == "live" else (None,):
        if _fed(network, answer.healthy, nodes, kinds):
            lost |= every & ~_fed(network, answer.failed, nodes, kinds)
    return dark | lost


def _fed(network: Network, solved: Conduction, nodes: tuple[int, ...], kinds: tuple[str, ...] | None) -> int:
    """Lanes in which a source, of some kinds only, feeds any of some nodes."""
    mask = 0
    for source in network.sources:
        if kinds is None or source.kind in kinds:
            for node in nodes:
                mask |= solved.fed[source.element][node]
    return mask
