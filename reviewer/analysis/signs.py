"""What shows a failure: the monitors that read otherwise, and the checks before flight in which something that is watched is otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction import Conduction, conduct
from reviewer.analysis.failures import OPEN, Failure
from reviewer.analysis.lanes import mask_of
from reviewer.analysis.states import StateAnswer, function_masks
from reviewer.model import parts as p
from reviewer.model.design import Check, Monitor
from reviewer.model.record import record


@record
class Signs:
    """For one failure in a state: ``monitors`` that read otherwise, those that go ``dark`` because what shows them has no power, and the ``checks`` before
    flight that it would change."""

    monitors: tuple[str, ...]
    dark: tuple[str, ...]
    checks: tuple[str, ...]


def signs(answer: StateAnswer, failures: Sequence[Failure], checks: Mapping[str, tuple[Check, StateAnswer]]) -> tuple[Signs, ...]:
    """What shows each of some failures in a state; ``checks`` are the checks before flight, each with the answer of its state."""
    if not failures:
        return ()
    scene = _Scene(answer, failures)
    seen = {name: _Scene(there, failures).watched(check.watch) for name, (check, there) in checks.items()}
    monitors = {name: scene.monitor(name) for name in answer.design.watch.monitors}
    found = []
    for i in range(len(failures)):
        told = tuple(n for n, (reads, _) in monitors.items() if reads >> i & 1)
        dark = tuple(n for n, (_, dark) in monitors.items() if dark >> i & 1)
        found.append(Signs(told, dark, tuple(n for n, mask in seen.items() if mask >> i & 1)))
    return tuple(found)


class _Scene:
    """One state under some failures beside the healthy state; each mask has the lanes in which something is otherwise."""

    def __init__(self, answer: StateAnswer, failures: Sequence[Failure]):
        self.answer, self.failures = answer, failures
        self.every = (1 << len(failures)) - 1
        self.solved = answer.failed if failures is answer.failures else conduct(answer.network, answer.state, failures, answer.healthy)

    def watched(self, names: Sequence[str]) -> int:
        """Lanes in which any of some monitors, functions or loads is otherwise."""
        design, mask = self.answer.design, 0
        lives = function_masks(design, self.solved.powered, self.every)
        for name in names:
            if name in design.watch.monitors:
                reads, dark = self.monitor(name)
                mask |= reads | dark
            elif name in lives:
                mask |= self._otherwise(lives[name], self.answer.alive[name])
            elif f"parts/{name}" in self.solved.powered:
                mask |= self._otherwise(self.solved.powered[f"parts/{name}"], self.answer.healthy.powered[f"parts/{name}"])
        return mask

    def monitor(self, name: str) -> tuple[int, int]:
        """Lanes in which a monitor reads otherwise, and those in which it goes dark."""
        monitor = self.answer.design.watch.monitors[name]
        lit, was_lit = self.every, 1
        if monitor.on and f"parts/{monitor.on}" in self.solved.powered:
            lit, was_lit = self.solved.powered[f"parts/{monitor.on}"], self.answer.healthy.powered[f"parts/{monitor.on}"]
        changed = self._otherwise(lit, was_lit) & lit
        if was_lit:
            opened = mask_of(
                (i for i, f in enumerate(self.failures) if f.mode == OPEN and f.element == f"parts/{monitor.senses}"), len(self.failures)
            )
            for after, before in zip(self._reading(monitor, self.solved, opened), self._reading(monitor, self.answer.healthy, 0), strict=True):
                changed |= self._otherwise(after, before) & lit
        return changed, self.every & ~lit if was_lit else 0

    def _reading(self, monitor: Monitor, solved: Conduction, opened: int) -> tuple[int, ...]:
        """What a monitor tells, as masks: for current what feeds the shunt and whether it is open; for voltage charging or battery volts; or live."""
        network = self.answer.network
        owner = monitor.senses.partition(".")[0]
        nodes = (network.node(monitor.senses),) if monitor.senses in network.index else network.nodes_of[f"parts/{owner}"]
        fed = {s.element: 0 for s in network.sources}
        for element in fed:
            for node in nodes:
                fed[element] |= solved.fed[element][node]
        charged = 0
        for source in network.sources:
            charged |= fed[source.element] if source.kind != "battery" else 0
        anything = 0
        for mask in fed.values():
            anything |= mask
        if monitor.shows == "current" and isinstance(self.answer.design.parts[owner], p.Shunt):
            return (*fed.values(), opened)
        return (anything,) if monitor.shows == "live" else (charged, anything)

    def _otherwise(self, after: int, before: int | bool) -> int:
        return after ^ (self.every if before else 0)
