"""What functions are made of. Each function is looked at once, however many others rest on it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Protocol

#: levels of functions in functions that a design may have; an aircraft has three or four
MOST_LEVELS = 20


class Channels(Protocol):
    """A function: ``any`` of its channels, loads or functions, are enough."""

    any: int
    of: tuple[str, ...]


class FunctionTree:
    """By name of a function: ``loads``, the names of all loads, instruments and magnetos that it
    rests on, in the order of its channels, each before those that take its place; ``others``, its
    channels that are neither loads nor functions: sources, buses, what is mechanical; ``within``,
    its channels and theirs; ``needed``, those without which it is lost because it needs all of its
    channels, and they all of theirs.

    No function may rest on itself, nor on more than :data:`MOST_LEVELS` levels.
    """

    def __init__(
        self,
        functions: Mapping[str, Channels],
        loads: Collection[str],
        takers: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
    ):
        self._functions, self._loads, self._takers = functions, loads, takers
        self.loads: dict[str, tuple[str, ...]] = {}
        self.others: dict[str, tuple[str, ...]] = {}
        self.within: dict[str, frozenset[str]] = {}
        self.needed: dict[str, frozenset[str]] = {}
        for name in functions:
            self._add(name)

    def _add(self, name: str) -> None:
        if name in self.loads:
            return
        function, within, needed = self._functions[name], set[str](), set[str]()
        loads, others = dict[str, None](), dict[str, None]()
        for channel in function.of:
            within.add(channel)
            needed.add(channel)
            if channel in self._functions:
                self._add(channel)
                loads.update(dict.fromkeys(self.loads[channel]))
                others.update(dict.fromkeys(self.others[channel]))
                within |= self.within[channel]
                needed |= self.needed[channel]
            else:
                (loads if channel in self._loads else others)[channel] = None
                loads.update(dict.fromkeys(self._takers.get(channel, ())))
        self.loads[name], self.others[name] = tuple(loads), tuple(others)
        self.within[name] = frozenset(within)
        self.needed[name] = frozenset(needed) if function.any == len(function.of) else frozenset()


def levels_of(functions: Mapping[str, Channels]) -> dict[str, int]:
    """The level of each function: 1 where all of its channels are loads, else one more than the
    highest among them. One that rests on itself has none."""
    above: dict[str, list[str]] = {}
    below = {name: {c for c in function.of if c in functions} for name, function in functions.items()}
    for name, channels in below.items():
        for channel in channels:
            above.setdefault(channel, []).append(name)
    left = {name: len(channels) for name, channels in below.items()}
    levels = {name: 1 for name, count in left.items() if not count}
    todo = list(levels)
    for name in todo:
        for outer in above.get(name, ()):
            left[outer] -= 1
            if not left[outer]:
                levels[outer] = 1 + max(levels[c] for c in below[outer])
                todo.append(outer)
    return levels
