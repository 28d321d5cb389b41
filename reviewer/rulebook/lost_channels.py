"""Which of the loads that a failure takes would save a function, through functions of functions."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence

from reviewer.analysis.conduction.states import rests_on
from reviewer.model.design import Design


class LostChannels:
    """The functions of a design with some channels ``lost``; each is looked at once, however many
    functions share it. The loads ``dead`` work with no feed at all."""

    def __init__(self, design: Design, lost: Collection[str], dead: Collection[str] = ()) -> None:
        self.design = design
        self.lost = lost
        self.dead = dead
        self._known: dict[str, list[str]] = {}
        self._known_saved: dict[str, bool] = {}

    def needed(self, functions: Iterable[str]) -> tuple[str, ...]:
        """The lost loads of which one more that works would save the functions.

        Of a function that still has channels enough, or that a dead load keeps from working, no load is
        named.
        """
        found: dict[str, None] = {}
        todo, seen = list(functions), set[str]()
        while todo:
            function = todo.pop(0)
            if function in seen or not self._saved(function):
                continue
            seen.add(function)
            for channel in self._gone(function):
                if channel in self.design.functions:
                    todo.append(channel)
                elif channel in self.design.parts and channel not in self.dead:
                    found[channel] = None
        return tuple(found)

    def fewest(self, function: str, cost: Callable[[tuple[str, ...]], int] = len) -> tuple[str, ...]:
        """The fewest lost loads that save a function once they have power, or those of the least ``cost``;
        () where it has channels enough left, or power alone saves none, as of a coil that a unit drives."""
        return self._fewest(function, cost, {}) if self._gone(function) else ()

    def wanted(self, functions: Sequence[str]) -> str:
        """The lost loads that must work for the functions to be kept, in words: ``left or right``; with
        more that must be, ``injection, and left or right``. "" where none is named."""
        known: dict[str, str] = {}
        outer = [f for f in functions if not any(f != o and rests_on(self.design, o, f) for o in functions)]
        words = [self._wanted(function, known) for function in outer]
        return _all_of(list(dict.fromkeys(filter(None, words))))

    def _saved(self, channel: str) -> bool:
        """Whether a channel works once every lost load has power."""
        if channel not in self.design.functions:
            return channel not in self.dead
        if channel not in self._known_saved:
            spec, gone = self.design.functions[channel], self._gone(channel)
            unsaved = sum(not self._saved(one) for one in gone)
            self._known_saved[channel] = len(spec.of) - unsaved >= spec.any
        return self._known_saved[channel]

    def _fewest(
        self, name: str, cost: Callable[[tuple[str, ...]], int], known: dict[str, tuple[str, ...]]
    ) -> tuple[str, ...]:
        """The same for a function or load in it."""
        if name not in self.design.functions:
            powered = name in self.design.parts and getattr(self.design.parts[name], "driver", None) is None
            return (name,) if powered else ()
        if name not in known:
            gone = self._gone(name)
            ways = sorted(filter(None, (self._fewest(one, cost, known) for one in gone)), key=cost)
            short = self._short(name)
            loads = dict.fromkeys(load for way in ways[:short] for load in way)
            known[name] = tuple(loads) if len(ways) >= short else ()
        return known[name]

    def _wanted(self, function: str, known: dict[str, str]) -> str:
        """The words for one function."""
        if function not in known:
            design, short = self.design, self._short(function)
            words = [
                self._wanted(one, known) if one in design.functions else one
                for one in self._gone(function)
                if one in design.functions or one in design.parts
            ]
            words = list(dict.fromkeys(filter(None, words)))
            known[function] = _all_of(words) if short >= len(words) else _some_of(words, short)
        return known[function]

    def _short(self, function: str) -> int:
        """How many channels more a function wants."""
        spec = self.design.functions[function]
        return spec.any - (len(spec.of) - len(self._gone(function)))

    def _gone(self, function: str) -> list[str]:
        """The lost channels of a function that has not enough left, else none."""
        if function not in self._known:
            functions = self.design.functions
            spec = functions[function]
            gone = [c for c in spec.of if c in self.lost or (c in functions and self._gone(c))]
            self._known[function] = gone if len(spec.of) - len(gone) < spec.any else []
        return self._known[function]


def _all_of(words: Sequence[str]) -> str:
    plain = sorted(words, key=lambda one: " or " in one or " of " in one)
    joint = ", and " if any(" or " in one or " of " in one for one in words) else " and "
    return joint.join(plain)


def _some_of(words: Sequence[str], number: int) -> str:
    return " or ".join(words) if number < 2 else f"{number} of {', '.join(words)}"
