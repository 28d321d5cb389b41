"""Unbroken runs: conductors in series with no branch between them.

Where along a run it is open, or where along its metal it touches ground, is seen at its inner
terminals alone: outside it all is the same in every state.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import cached_property

from reviewer.model.record import record
from reviewer.network.contraction import Chain, chains_between, nodes_to_keep
from reviewer.network.graph import Link, Network
from reviewer.network.search import conductors


@record
class SeriesRun:
    """A run: its ``nodes`` in order, that nearer to a source first, and its links by their place in it;
    ``metal`` are the nodes whose only links are those of the run and one more."""

    nodes: tuple[int, ...]
    order: Mapping[int, int]
    metal: frozenset[int]


class SeriesRuns:
    """The runs of a network. ``read`` are further nodes that something outside is read at."""

    def __init__(self, network: Network, read: Collection[int]):
        self.network = network
        self.ends: list[int] = [0] * len(network.names)
        for link in network.links:
            for node in (link.a, link.b):
                self.ends[node] += 1
        self.kept = {*nodes_to_keep(network), *read}
        self.in_line = self._runs(lambda link: True)
        self.of_metal = self._runs(lambda link: conductors(link, True) and not link.resistive)

    def through(self, links: Collection[int]) -> SeriesRun | None:
        """The run in which all of some links are."""
        return _only(self.in_line.get(i) for i in links)

    def at(self, nodes: Collection[int]) -> SeriesRun | None:
        """The run to whose metal all of some nodes belong."""
        return _only(self._metal.get(n) for n in nodes)

    def of_conductors(self, links: Collection[int]) -> SeriesRun | None:
        """The run of metal in which all of some links are."""
        return _only(self.of_metal.get(i) for i in links)

    @cached_property
    def _metal(self) -> Mapping[int, SeriesRun]:
        return {n: run for run in self.of_metal.values() for n in run.metal}

    def _runs(self, passes: Callable[[Link], bool]) -> Mapping[int, SeriesRun]:
        """By link the run of links that pass."""
        links = self.network.links
        around: list[dict[int, tuple[int, bool]]] = [{} for _ in self.ends]
        for i, link in enumerate(links):
            if link.a != link.b and passes(link):
                around[link.a][i] = (link.b, True)
                around[link.b][i] = (link.a, False)
        # a link that does not pass ends a run as a branch does
        kept = {n for n, own in enumerate(around) if own and (n in self.kept or self._ends(n, own))}
        found = {}
        for chain in chains_between(around, kept):
            run = self._run(chain, around)
            found.update(dict.fromkeys(run.order, run))
        return found

    def _ends(self, node: int, own: Collection[int]) -> bool:
        return len(own) != 2 or self.ends[node] != 2

    def _run(self, chain: Chain, around: Sequence[Collection[int]]) -> SeriesRun:
        nodes, links = (chain.a, *chain.inner, chain.b), [i for i, _ in chain.steps]
        came = self.network.from_sources
        if came.get(nodes[1]) != (nodes[0], links[0]) and came.get(nodes[-2]) == (nodes[-1], links[-1]):
            nodes, links = nodes[::-1], links[::-1]
        ends = (n for n in (chain.a, chain.b) if len(around[n]) == 1 and self.ends[n] <= 2)
        order = {i: place for place, i in enumerate(links)}
        return SeriesRun(nodes, order, frozenset((*chain.inner, *ends)))


def _only(runs: Iterable[SeriesRun | None]) -> SeriesRun | None:
    """The run, where all of some are the same one."""
    found = list(runs)
    return found[0] if found and all(run is found[0] for run in found) else None
