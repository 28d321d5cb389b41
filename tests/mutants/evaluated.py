"""A design as the plain evaluator answers for it: what is live, what a short reaches, what one
failure takes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState, resolved
from reviewer.reading import read_text
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import OPEN, SEVERED, SHORT, THROUGH, Answer, Fault, solve, working
from tests.rule_cases import Data

GRAVE = ("catastrophic", "hazardous", "major")


@dataclass(frozen=True)
class Short:
    """A short at a node: the devices next to it, and the batteries that reach it with no device
    between.
    """

    devices: tuple[str, ...]
    batteries: tuple[str, ...]
    answer: Answer


class Evaluated:
    """A design and what the plain evaluator says of it."""

    def __init__(self, data: Data):
        self.data = data
        self.design = read_text(json.dumps(data), "design")
        self.circuit = circuit_of(self.design)
        assert self.design.operation
        self.states = resolved(self.design.operation)
        self.normal = self.states[self.design.operation.normal]
        self._healthy: dict[str, Answer] = {}
        self._shorts: dict[tuple[str, str, frozenset[str]], Short] = {}

    def healthy(self, state: ResolvedState) -> Answer:
        """The answer of a state with nothing failed."""
        if state.name not in self._healthy:
            self._healthy[state.name] = solve(self.circuit, state)
        return self._healthy[state.name]

    def moved(self, state: ResolvedState, switch: str, position: str) -> ResolvedState:
        """A state with one switch moved."""
        return _state(state, f"{state.name}, {switch} {position}", {**state.switches, switch: position})

    @cached_property
    def widest(self) -> tuple[ResolvedState, ...]:
        """Two states in which all is live that can be: each switch at its first, or last, position
        that joins anything.
        """
        found = []
        for word, which in (("first", 0), ("last", -1)):
            switches = dict(self.normal.switches)
            for name, part in self.design.parts.items():
                if isinstance(part, p.Switch):
                    closed = [at for at, pairs in part.positions.items() if pairs]
                    switches[name] = closed[which] if closed else next(iter(part.positions))
                elif isinstance(part, p.BreakerSwitch):
                    switches[name] = "closed"
            found.append(_state(self.normal, f"all closed, {word}", switches))
        return tuple(found)

    def live(self, state: ResolvedState) -> set[str]:
        """The nodes that a live source feeds."""
        answer = self.healthy(state)
        return set().union(*(answer.fed[s] for s, alive in answer.alive.items() if alive))

    def short(self, state: ResolvedState, node: str, passes: frozenset[str] = frozenset()) -> Short:
        """A short of a node to ground, which some devices do not clear."""
        key = (state.name, node, passes)
        if key not in self._shorts:
            fault = Fault("the short", SHORT, (node,), passes=passes)
            answer = solve(self.circuit, state, (fault,), self.healthy(state))
            live = set().union(*(answer.fed[s] for s, alive in answer.alive.items() if alive))
            devices = {
                w.element.partition("/")[2]
                for w in self.circuit.ways
                if w.when == "protector"
                and w.element.partition("/")[2] not in state.pulled
                and ((w.one in answer.dead and w.other in live) or (w.other in answer.dead and w.one in live))
            }
            batteries = {
                s.element.partition("/")[2]
                for s in self.circuit.sources
                if s.kind != "alternator" and s.positive in answer.dead
            }
            self._shorts[key] = Short(tuple(sorted(devices)), tuple(sorted(batteries)), answer)
        return self._shorts[key]

    @cached_property
    def single_losses(self) -> Mapping[str, frozenset[str]]:
        """For each function that works in the normal state: the elements of which one failure
        alone takes it, in the worse outcome.
        """
        lost: dict[str, set[str]] = {name: set() for name in self.design.functions}
        works = working(self.design, self.healthy(self.normal).powered)
        done: dict[tuple[str, ...], list[str]] = {}
        for element, answer in self._single_failures():
            key = (*sorted(e for e, powered in answer.powered.items() if powered),)
            if key not in done:
                after = working(self.design, answer.powered)
                done[key] = [name for name in works if works[name] and not after[name]]
            for name in done[key]:
                lost[name].add(element)
        return {name: frozenset(elements) for name, elements in lost.items()}

    def _single_failures(self) -> Iterator[tuple[str, Answer]]:
        healthy, state = self.healthy(self.normal), self.normal
        structure = {f"parts/{n}" for n in self.design.of_kind(p.Airframe)}
        elements = [*(f"parts/{n}" for n in self.design.parts), *(f"wires/{n}" for n in self.design.wires)]
        cases = [Fault(e, OPEN) for e in elements if e not in structure]
        cases += [Fault(f"parts/{n}", THROUGH) for n in self.design.of_kind(p.Diode)]
        cases += [Fault(b, SEVERED) for b, wires in self.circuit.bundles.items() if len(wires) > 1]
        for fault in cases:
            yield fault.element.partition("/")[2], solve(self.circuit, state, (fault,), healthy)
        zones: set[frozenset[str]] = set()
        for node in sorted(self.live(state)):
            zone = frozenset(self.short(state, node).answer.dead)
            if zone not in zones:
                zones.add(zone)
                for answer in self._outcomes(state, node):
                    yield node, answer

    def _outcomes(self, state: ResolvedState, node: str) -> Iterator[Answer]:
        """The outcomes of a short: the nearest devices open, or one further up where ratings do
        not promise the order.
        """
        near = self.short(state, node)
        yield near.answer
        for device in near.devices:
            further = self.short(state, node, frozenset([f"parts/{device}"]))
            if any(not self.opens_before(device, up) for up in set(further.devices) - set(near.devices)):
                yield further.answer

    def opens_before(self, device: str, upstream: str) -> bool:
        """Whether ratings promise that a device opens before another: 1.5 times its rating, twice
        for a breaker below a fuse.
        """
        one, other = self.design.parts[device], self.design.parts[upstream]
        own, above = getattr(one, "rating", None), getattr(other, "rating", None)
        if own is None or above is None:
            return True  # nothing is said of one of them: not what is asked here
        times = 2.0 if "breaker" in one.kind and other.kind == "fuse" else 1.5
        return bool(above >= times * own)


def grave_losses(base: Evaluated, other: Evaluated) -> Mapping[str, Sequence[str]]:
    """The functions of hazardous or catastrophic loss that a failure takes in one design and none
    such in the base.
    """
    found = {}
    for name, elements in other.single_losses.items():
        more = sorted(elements - base.single_losses.get(name, frozenset()))
        if more and other.design.functions[name].loss in ("catastrophic", "hazardous"):
            found[name] = more
    return found


def _state(base: ResolvedState, name: str, switches: Mapping[str, str]) -> ResolvedState:
    return ResolvedState(name, base.use, base.engine, switches, (), True, (), ())
