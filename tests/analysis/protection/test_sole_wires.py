"""Wires that alone lead back, against taking each wire away in turn."""

from __future__ import annotations

from random import Random
from types import SimpleNamespace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from reviewer.analysis.protection import return_protection
from reviewer.analysis.protection.return_protection import _back_by, _sole_wires
from reviewer.network.graph import Link

Steps = list[list[tuple[int, str]]]


def drawn(chance: Random) -> Steps:
    """Wires and joints in chains, rings and stars; some of them, like diodes, lead one way."""
    count = chance.randint(2, 14)
    steps: Steps = [[] for _ in range(count)]
    pairs = [(n, chance.randrange(n)) for n in range(1, count) if chance.random() < 0.95]
    pairs += [tuple(chance.sample(range(count), 2)) for _ in range(chance.randint(0, 6))]  # type: ignore[misc]
    for number, (a, b) in enumerate(pairs):
        element = f"wires/W{number}" if chance.random() < 0.7 else f"parts/P{number % 3}"
        steps[a].append((b, element))
        if chance.random() < 0.9:
            steps[b].append((a, element))
    return steps


def reaches(steps: Steps, starts: tuple[int, ...], goals: frozenset[int], without: str) -> bool:
    seen, todo = set(starts), list(starts)
    while todo:
        for other, element in steps[todo.pop()]:
            if element != without and other not in seen:
                seen.add(other)
                todo.append(other)
    return bool(seen & goals)


def _past_dead_ends(steps: Steps, starts: tuple[int, ...], goals: frozenset[int]) -> tuple[str, ...]:
    """As the rule asks, where what lies on dead ends is not searched."""
    links: list[Link] = []
    forth, back = list[bool](), list[bool]()
    around: list[list[tuple[int, int, bool]]] = [[] for _ in steps]
    for a, onward in enumerate(steps):
        for b, element in onward:
            there = (a, element) in steps[b]
            if there and a > b:  # drawn from its other end
                continue
            around[a].append((len(links), b, True))
            around[b].append((len(links), a, False))
            links.append(Link(a, b, element))
            forth.append(True)
            back.append(there)
    network: Any = SimpleNamespace(
        links=links,
        around=around,
        sources=[SimpleNamespace(negative=goal) for goal in goals],
        consumers=[SimpleNamespace(plus=(), minus=starts)],
    )
    answer: Any = SimpleNamespace(conducting=(forth, back))
    ways = return_protection._WaysBack(network, answer, return_protection._dead_ends(network))
    return ways.sole(starts, goals)


@given(st.integers(0, 100_000))
@settings(deadline=None, max_examples=300)
def test_the_wires_that_alone_lead_back_are_those_whose_loss_cuts_every_way(seed: int) -> None:
    chance = Random(seed)
    steps = drawn(chance)
    goals = frozenset(chance.sample(range(len(steps)), chance.choice([1, 1, 2])))
    known: return_protection._Known = {}
    for _ in range(4):
        starts = tuple(chance.sample(range(len(steps)), chance.choice([1, 1, 2])))
        wires = sorted({e for around in steps for _, e in around if e.startswith("wires/")})
        wanted = [w for w in wires if not reaches(steps, starts, goals, w)]
        found = _sole_wires(steps, starts, goals)
        if not reaches(steps, starts, goals, ""):
            assert found is None and not _back_by(steps, starts, goals, known)
            assert not _past_dead_ends(steps, starts, goals)
        else:
            assert found is not None and sorted(found) == wanted
            assert sorted(_back_by(steps, starts, goals, known) or ()) == wanted
            assert sorted(_past_dead_ends(steps, starts, goals)) == wanted
