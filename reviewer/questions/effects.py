"""What a failure does: what dies, what shows it, and how much redundancy each function has left. For one failure or for every one of a state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct, conduct_pairs
from reviewer.analysis.conduction.masks import bits, served
from reviewer.analysis.conduction.states import StateAnswer, conducts, function_masks
from reviewer.analysis.cut_sets.minimal_cut_sets import BLOCK, PairLosses
from reviewer.analysis.detection.indications import Signs
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.review import HazardClass


@record
class Left:
    """What is left of a function that lives on: ``channels`` of ``of`` that live, of them ``before`` the failure so many, where ``needed`` are enough.
    ``takers`` are the single failures that would now take it and would not alone."""

    function: str
    channels: tuple[str, ...]
    of: tuple[str, ...]
    needed: int
    before: int
    takers: tuple[Failure, ...]

    @property
    def touched(self) -> bool:
        """Whether the failure has cost the function a channel or made it depend on something."""
        return bool(self.takers) or len(self.channels) < self.before


@record
class Effect:
    """What one failure does in a state, against the healthy state.

    ``words`` tell the failure and ``at`` the terminal that is meant, where a part has more than one circuit. Elements: ``sources`` that are lost, those
    left ``idle``, alive but feeding no load or coil any more, ``protectors`` that open to clear a short, relays that ``let_go`` or ``pull_in``, ``buses`` and ``loads`` that die, ``woken`` loads
    that come alive. ``functions`` are those lost, each with its hazard class, the gravest first, and ``left`` tells of the others that live. ``hunts``
    where relays do not come to rest, so that nothing else is sure.
    """

    failure: Failure
    words: str
    at: str
    sources: tuple[str, ...]
    idle: tuple[str, ...]
    protectors: tuple[str, ...]
    let_go: tuple[str, ...]
    pull_in: tuple[str, ...]
    buses: tuple[str, ...]
    loads: tuple[str, ...]
    woken: tuple[str, ...]
    functions: tuple[tuple[str, HazardClass], ...]
    left: tuple[Left, ...]
    signs: Signs
    hunts: bool

    @property
    def nothing(self) -> bool:
        """Whether no source, protector, relay, bus or load changes."""
        return not any(
            (
                self.sources,
                self.idle,
                self.protectors,
                self.let_go,
                self.pull_in,
                self.buses,
                self.loads,
                self.woken,
                self.functions,
                self.hunts,
            )
        )

    @property
    def hazard(self) -> HazardClass | None:
        """The gravest class among the functions that are lost."""
        return self.functions[0][1] if self.functions else None


@record
class EffectsTable:
    """The effects of every single failure of a state, contacts that stick included; ``off`` are the functions that do not live in it anyway."""

    state: str
    switches: tuple[tuple[str, str], ...]
    off: tuple[str, ...]
    effects: tuple[Effect, ...]


def effects(
    answer: StateAnswer,
    failures: Sequence[Failure],
    signs: Sequence[Signs],
    takers: Mapping[str, Sequence[int]],
) -> tuple[Effect, ...]:
    """The effects of some failures in a state. ``signs`` has an entry for each; in ``takers[function][i]`` bit j says that ``answer.failures[j]`` takes
    the function after failure i, and neither alone."""
    if not failures:
        return ()
    return _Table(answer, failures, signs, takers).rows()


def takers_after(
    answer: StateAnswer, failures: Sequence[Failure], known: PairLosses | None = None
) -> Mapping[str, Sequence[int]]:
    """For each function that lives: after each of some failures, the single failures (bits of ``answer.failures``) that would take it, neither alone.

    ``known`` are the pairs of the single failures, where they were solved already.
    """
    names = [f for f in answer.design.functions if answer.alive[f]]
    if known is not None and tuple(failures) == answer.failures:
        return {name: known.rows[name] for name in names}
    singles = answer.failures
    rows: dict[str, list[int]] = {name: [] for name in names}
    step = max(1, BLOCK // max(1, len(singles)))
    for start in range(0, len(failures) if names and singles else 0, step):
        block = failures[start : start + step]
        alone = function_masks(
            answer.design,
            conduct(answer.network, answer.state, block, answer.healthy).powered,
            (1 << len(block)) - 1,
        )
        solved = conduct_pairs(answer.network, answer.state, block, singles, answer.healthy)
        both = function_masks(answer.design, solved.powered, (1 << solved.width) - 1)
        for name in names:
            spared = answer.functions[name]
            for i in range(len(block)):
                lost = ~(both[name] >> i * len(singles)) & spared
                rows[name].append(lost if alone[name] >> i & 1 else 0)
    return rows


class _Table:
    def __init__(
        self,
        answer: StateAnswer,
        failures: Sequence[Failure],
        signs: Sequence[Signs],
        takers: Mapping[str, Sequence[int]],
    ):
        self.answer, self.failures, self.signs, self.takers = answer, failures, signs, takers
        self.solved = (
            answer.failed
            if failures is answer.failures
            else conduct(answer.network, answer.state, failures, answer.healthy)
        )
        self.every = (1 << len(failures)) - 1
        self.functions = function_masks(answer.design, self.solved.powered, self.every)
        self.opened = self._opened()
        healthy = answer.healthy
        self.healthy = function_masks(answer.design, healthy.powered, 1)
        self.lost_sources = {e: self.every & ~m for e, m in self.solved.alive.items() if healthy.alive[e]}
        useful = self._useful(healthy)
        self.idle = {e: self.solved.alive[e] & ~m for e, m in self._useful(self.solved).items() if useful[e]}
        self.dropped = {e: self.every & ~m for e, m in self.solved.energised.items() if healthy.energised[e]}
        self.pulled = {e: m for e, m in self.solved.energised.items() if not healthy.energised[e]}
        self.dead = {e: self.every & ~m for e, m in self.solved.powered.items() if healthy.powered[e]}
        self.woken = {e: m for e, m in self.solved.powered.items() if not healthy.powered[e]}
        self.dead_buses = self._dead_buses()

    def rows(self) -> tuple[Effect, ...]:
        return tuple(self._row(i) for i in range(len(self.failures)))

    def _row(self, i: int) -> Effect:
        def those(masks: Mapping[str, int]) -> tuple[str, ...]:
            return tuple(e for e, mask in masks.items() if mask >> i & 1)

        design, alive = self.answer.design, self.answer.alive
        lost = [
            (n, HazardClass.of(f.loss))
            for n, f in design.functions.items()
            if alive[n] and not self.functions[n] >> i & 1
        ]
        failure = self.failures[i]
        return Effect(
            failure, failure.words(self.answer.network), self._at(failure), those(self.lost_sources), those(self.idle), those(self.opened), those(self.dropped), those(self.pulled),
            those(self.dead_buses), those(self.dead), those(self.woken), tuple(sorted(lost, key=lambda f: -f[1])), self._left(i), self.signs[i],
            bool(self.solved.unsettled >> i & 1),
        )  # fmt: skip

    def _at(self, failure: Failure) -> str:
        network = self.answer.network
        several = len(failure.nodes) == 1 and len(network.nodes_of[failure.element]) > 1
        return network.names[failure.nodes[0]] if several else ""

    def _left(self, i: int) -> tuple[Left, ...]:
        found = []
        for name, function in self.answer.design.functions.items():
            if self.functions[name] >> i & 1:
                works = tuple(c for c in function.of if self._works(c) >> i & 1)
                mask = self.takers[name][i] if name in self.takers else 0
                takers = tuple(self.answer.failures[j] for j in bits(mask)) if mask else ()
                before = sum(
                    self.healthy[c] if c in self.healthy else self.answer.healthy.powered[f"parts/{c}"]
                    for c in function.of
                )
                found.append(Left(name, works, function.of, function.any, before, takers))
        return tuple(found)

    def _works(self, channel: str) -> int:
        return (
            self.functions[channel] if channel in self.functions else self.solved.powered[f"parts/{channel}"]
        )

    def _useful(self, solved: Conduction) -> dict[str, int]:
        """For each source the lanes in which it lives and both feeds something and gets it back."""
        network, found = self.answer.network, {}
        for source, alive in solved.alive.items():
            mask = 0
            for consumer in (*network.consumers, *network.coils):
                mask |= served(consumer, solved.fed[source], solved.returned[source])
            found[source] = mask & alive
        return found

    def _opened(self) -> dict[str, int]:
        """Protectors at the edge of a short's zone that something still feeds from outside."""
        network = self.answer.network
        found: dict[str, int] = {}
        for i, carried in carriers(network, self.solved):
            if conducts(network, self.answer, i):
                found[network.links[i].element] = carried
        return found

    def _dead_buses(self) -> dict[str, int]:
        found = {}
        for name in self.answer.design.of_kind(p.Bus):
            node = self.answer.network.index.get(name)
            if node is not None and self.answer.healthy.live(node):
                found[f"parts/{name}"] = self.every & ~self.solved.live(node)
        return found
