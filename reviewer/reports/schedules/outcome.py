"""What one failure changes in a state, read from its scene: the same bits that the page shows."""

from __future__ import annotations

from dataclasses import dataclass

from reviewer.analysis.facts import Facts
from reviewer.analysis.failures import Failure
from reviewer.analysis.scenes import Items, Scene
from reviewer.analysis.states import function_masks
from reviewer.model import parts as p
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare


@dataclass(frozen=True)
class Outcome:
    """Names of what changes under one failure: ``sources`` that are lost, ``protectors`` that a short opens, relays that ``let_go`` or ``pull_in``,
    ``buses`` that go dead, ``loads`` that lose their power, ``woken`` loads, and ``functions`` that are lost with their class, the gravest first."""

    failure: Failure
    words: str
    sources: tuple[str, ...]
    protectors: tuple[str, ...]
    let_go: tuple[str, ...]
    pull_in: tuple[str, ...]
    buses: tuple[str, ...]
    loads: tuple[str, ...]
    woken: tuple[str, ...]
    functions: tuple[tuple[str, HazardClass], ...]

    @property
    def nothing(self) -> bool:
        """Whether nothing of this changes."""
        return not (self.sources or self.protectors or self.let_go or self.pull_in or self.buses or self.loads or self.woken)

    @property
    def hazard(self) -> HazardClass | None:
        """The gravest class among the functions that are lost."""
        return self.functions[0][1] if self.functions else None


def outcome(facts: Facts, items: Items, scene: Scene, number: int) -> Outcome:
    """What failure ``number`` of a scene changes."""
    healthy, changes = frozenset(scene.healthy), frozenset(scene.changes[number])
    nodes, sources = len(items.nodes), len(items.sources)
    powered = nodes * sources
    coils = powered + len(items.powered)
    alive = coils + len(items.coils)
    opened = items.width - len(items.protectors)

    def gone(begin: int, names: tuple[str, ...], back: bool = False) -> tuple[str, ...]:
        return tuple(bare(name) for i, name in enumerate(names, begin) if i in changes and (i in healthy) is not back)

    now = healthy ^ changes
    design, network = facts.design, facts.network
    place = {node: i for i, node in enumerate(items.nodes)}
    buses = []
    for name in design.of_kind(p.Bus):
        bits = [s * nodes + place[network.index[name]] for s in range(sources)] if name in network.index else []
        if any(b in healthy for b in bits) and not any(b in now for b in bits):
            buses.append(name)
    lives = {name: int(i in now) for i, name in enumerate(items.powered, powered)}
    alive_before = facts.answer(scene.state).alive
    lost = [(n, HazardClass.of(design.functions[n].loss)) for n, m in function_masks(design, lives, 1).items() if alive_before[n] and not m]
    failure = scene.failures[number]
    return Outcome(
        failure,
        failure.words(network),
        gone(alive, items.sources),
        tuple(dict.fromkeys(bare(network.links[link].element) for i, link in enumerate(items.protectors, opened) if i in now)),
        gone(coils, items.coils),
        gone(coils, items.coils, True),
        tuple(buses),
        gone(powered, items.powered),
        gone(powered, items.powered, True),
        tuple(sorted(lost, key=lambda f: -f[1])),
    )
