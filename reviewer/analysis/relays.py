"""Relays: those that need what they are to restore, those that are held in, and protectors whose opening drops one and with it a bus."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reviewer.analysis.bits import joined
from reviewer.analysis.conduction import Conduction, conduct, conduct_onward
from reviewer.analysis.failures import DROPPED, HELD, OPEN, Failure
from reviewer.analysis.lanes import lanes_of_states
from reviewer.analysis.states import StateAnswer, conducts, feed_path
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Consumer, Network, bare


@dataclass(frozen=True)
class Restoring:
    """A relay, at rest in the dispatch state, through which something lives in ``state``: a bus, or a load that a function rests on.

    ``needs`` are (failure, what would live) pairs: after the failure has taken the normal feed the relay, from open, does not pull in, though
    with its contacts closed that would live.
    """

    relay: str
    state: str
    restores: tuple[str, ...]
    needs: tuple[tuple[Failure, tuple[str, ...]], ...]


def restoring_relays(design: Design, network: Network, dispatch: StateAnswer, answers: tuple[StateAnswer, ...]) -> Iterator[Restoring]:
    """Relays that restore something in a state set in flight, each with the failures after which they cannot."""
    for answer in answers:
        if answer.state.use == "ground" or answer.state.name == dispatch.state.name:
            continue
        for relay, names in _through(design, network, answer).items():
            restores = tuple(n for n in names if _lives(design, network, dispatch.healthy, n) & 1)
            if restores and not dispatch.healthy.energised[relay]:
                yield Restoring(relay, answer.state.name, restores, tuple(_needs(design, network, dispatch, answer, relay, restores)))


def _through(design: Design, network: Network, answer: StateAnswer) -> dict[str, tuple[str, ...]]:
    """For each energised relay: the buses and loads of functions that die with its contacts."""
    relays = [coil.element for coil in network.coils if answer.healthy.energised[coil.element]]
    dropped = conduct(network, answer.state, [Failure(relay, DROPPED) for relay in relays], answer.healthy) if relays else None
    found = {}
    for i, relay in enumerate(relays):
        assert dropped is not None
        wanted = [n for n in _wanted(design) if _lives(design, network, answer.healthy, n) & 1]
        found[relay] = tuple(n for n in wanted if not _lives(design, network, dropped, n) >> i & 1)
    return found


def _wanted(design: Design) -> tuple[str, ...]:
    loads = [c for function in design.functions.values() for c in function.of if c in design.parts]
    return tuple(dict.fromkeys((*design.of_kind(p.Bus), *loads)))


def _lives(design: Design, network: Network, solved: Conduction, name: str) -> int:
    return solved.live(network.node(name)) if isinstance(design.parts[name], p.Bus) else solved.powered[f"parts/{name}"]


def _needs(
    design: Design, network: Network, dispatch: StateAnswer, answer: StateAnswer, relay: str, restores: tuple[str, ...]
) -> Iterator[tuple[Failure, tuple[str, ...]]]:
    every = (1 << len(dispatch.failures)) - 1
    lost = {n: every & ~_lives(design, network, dispatch.failed, n) for n in restores}
    taking = [i for i in range(len(dispatch.failures)) if any(mask >> i & 1 for mask in lost.values())]
    if not taking:
        return
    failures = [dispatch.failures[i] for i in taking]
    cold = conduct(network, answer.state, failures)
    closed = conduct(network, answer.state, [(failure, Failure(relay, HELD)) for failure in failures])
    for j, i in enumerate(taking):
        back = tuple(n for n in restores if lost[n] >> i & 1 and _lives(design, network, closed, n) >> j & 1)
        if back and not cold.energised[relay] >> j & 1:
            yield failures[j], back


@dataclass(frozen=True)
class Held:
    """A relay that ``state`` alone does not energise and that stays in when it is set after ``after``; the source that holds it, and by which way."""

    relay: str
    after: str
    state: str
    source: str
    path: tuple[str, ...]


def held_relays(network: Network, answers: tuple[StateAnswer, ...]) -> Iterator[Held]:
    """Every declared state set after every other: the relays that do not drop out."""
    pairs = [(one, other) for one in answers for other in answers if one is not other and _may_hold(one, other)]
    if not pairs:
        return
    energised = {c.element: joined([a.healthy.energised[c.element] for a, _ in pairs], 1) for c in network.coils}
    alive = {s.element: joined([a.healthy.alive[s.element] for a, _ in pairs], 1) for s in network.sources}
    solved = conduct_onward(network, lanes_of_states(network, [b.state for _, b in pairs]), energised, alive)
    for coil in network.coils:
        for i, (one, other) in enumerate(pairs):
            if (solved.energised[coil.element] & ~solved.unsettled) >> i & 1 and not other.healthy.energised[coil.element]:
                source, path = _holder(network, coil, one, other)
                yield Held(coil.element, one.state.name, other.state.name, source, path)


def _may_hold(one: StateAnswer, other: StateAnswer) -> bool:
    return any(mask and not other.healthy.energised[coil] for coil, mask in one.healthy.energised.items())


def _holder(network: Network, coil: Consumer, one: StateAnswer, other: StateAnswer) -> tuple[str, tuple[str, ...]]:
    alone = lanes_of_states(network, [other.state])
    answer = StateAnswer(other.design, network, other.state, conduct_onward(network, alone, one.healthy.energised, one.healthy.alive))
    for plus, minus in ((coil.plus, coil.minus), (coil.minus, coil.plus)):
        for node in plus:
            for source in answer.fed_by(node):
                if any(answer.healthy.returned[source][n] for n in minus):
                    return source, feed_path(network, answer, source, node)
    return "", ()


@dataclass(frozen=True)
class ControlProtector:
    """A protector that feeds no bus of ``buses`` and whose opening takes them all the same.

    ``alone`` are those of them that are left to an alternator alone. ``drops`` are the relays that let go and the alternators that stop;
    ``functions`` those that are lost.
    """

    protector: str
    state: str
    buses: tuple[str, ...]
    alone: tuple[str, ...]
    drops: tuple[str, ...]
    functions: tuple[str, ...]


def control_protectors(design: Design, network: Network, answer: StateAnswer) -> Iterator[ControlProtector]:
    """Protectors of a coil or field whose opening takes a bus in a state."""
    healthy, failed = answer.healthy, answer.failed
    batteries = [s.element for s in network.sources if s.kind == "battery"]
    buses = {name: network.node(name) for name in design.of_kind(p.Bus) if name in network.index and healthy.live(network.node(name))}
    for i, failure in enumerate(answer.failures):
        if failure.mode != OPEN or not isinstance(design.parts.get(bare(failure.element)), p.Protector) or not failure.element.startswith("parts/"):
            continue
        dead = [n for n, node in buses.items() if not failed.live(node) >> i & 1]
        stored = [n for n, node in buses.items() if any(healthy.fed[b][node] for b in batteries)]
        alone = [n for n in stored if n not in dead and not any(failed.fed[b][buses[n]] >> i & 1 for b in batteries)]
        taken = [n for n in (*dead, *alone) if _feeds(network, answer, buses[n], failure.element, batteries if n in stored else None)]
        if taken:
            drops = [c.element for c in network.coils if healthy.energised[c.element] and not failed.energised[c.element] >> i & 1]
            drops += [s.element for s in network.sources if healthy.alive[s.element] and not failed.alive[s.element] >> i & 1]
            functions = [f for f, works in answer.functions.items() if answer.alive[f] and not works >> i & 1]
            left = tuple(n for n in taken if n in alone)
            yield ControlProtector(failure.element, answer.state.name, tuple(taken), left, tuple(drops), tuple(functions))


def _feeds(network: Network, answer: StateAnswer, bus: int, without: str, sources: list[str] | None) -> bool:
    """Whether a live source (one of some only) reaches a bus without an element, with all relays as they are in the healthy state."""
    goals = {s.positive for s in network.sources if answer.healthy.alive[s.element] and (sources is None or s.element in sources)}
    seen, todo = {bus}, [bus]
    while todo:
        node = todo.pop()
        if node in goals:
            return True
        for i, other, leaving in network.around[node]:
            if other not in seen and network.links[i].element != without and conducts(network, answer, i, not leaving):
                seen.add(other)
                todo.append(other)
    return False
