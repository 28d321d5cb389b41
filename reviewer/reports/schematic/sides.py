"""The supply side and the return side of a network, as the schematic draws them."""

from __future__ import annotations

from collections import deque

from reviewer.network.graph import Network

_FAR = 1 << 30


class CircuitSides:
    """Each terminal is on the supply side, on the return side, or carries a signal."""

    def __init__(self, network: Network):
        self.negatives = {s.negative for s in network.sources}
        self._supply = _reach(network, [s.positive for s in network.sources], True)
        self._back = _reach(network, [s.negative for s in network.sources], False)

    def distance(self, node: int) -> int:
        """Links from the nearest positive of a source to a terminal."""
        return self._supply.get(node, _FAR)

    def reached(self, node: int) -> bool:
        """Whether a conductor leads from a terminal to any source."""
        return node in self._supply or node in self._back

    def returns(self, node: int) -> bool:
        """Whether a terminal is on the return side: nearer to a negative than to any positive."""
        return node in self._back and self._back[node] < self.distance(node)

    def feeds(self, node: int) -> bool:
        """Whether a terminal is on the supply side."""
        return node in self._supply and not self.returns(node)

    def quiet(self, node: int) -> bool:
        """Whether a terminal carries no supply: it is on the return side, or a signal."""
        return not self.feeds(node)


def _reach(network: Network, starts: list[int], forward: bool) -> dict[int, int]:
    """Steps from the nearest start to each terminal, in any switch position.

    Through a diode they go with the current (``forward``) or against it.
    """
    steps = dict.fromkeys(starts, 0)
    todo = deque(starts)
    while todo:
        node = todo.popleft()
        for i, other, leaving in network.around[node]:
            if other not in steps and not (network.links[i].oneway and leaving is not forward):
                steps[other] = steps[node] + 1
                todo.append(other)
    return steps
