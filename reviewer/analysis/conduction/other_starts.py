"""Starts that no state declares: switches moved while the engine is cranked, so that the starter takes its
current from other batteries or through other contacts, as through a cross-feed.

Circuit protection rated below what a starter runs at ends such a current; a battery's own main fuse that
is rated for the start passes it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import springs_back, ways_along
from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import positions_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network
from reviewer.network.search import reachable

#: switches that are moved one after the other, each with what an exclusion moves along
MOST = 2


@record
class OtherStart:
    """The state ``base`` with some switches ``moved``, solved; its state has a name of its own."""

    base: str
    moved: tuple[tuple[str, str], ...]
    answer: StateAnswer


@record
class HeavyPath:
    """The batteries, and the contacts by link, that a starter's current can come from and pass."""

    batteries: frozenset[str]
    contacts: frozenset[int]


def other_starts(
    design: Design, network: Network, answers: Sequence[StateAnswer], contacts: frozenset[int]
) -> Iterator[OtherStart]:
    """Each start by other batteries or contacts than those of the states before it. ``contacts`` are the
    links of contacts that can lie between a starter and a battery. Not what is excluded, nor a state in
    which no starter runs."""
    inlets = {
        f"parts/{n}": [node for c in network.consumers if c.element == f"parts/{n}" for node in c.inlets]
        for n in design.starters
    }
    begun = [OtherStart(a.state.name, (), a) for a in answers if a.state.engine == "cranking"]
    begun = [start for start in begun if any(start.answer.healthy.powered[e] for e in inlets)]
    ending = _ending(design)
    known = {_heavy_path(network, start.answer, inlets, contacts, ending) for start in begun}
    for _ in range(MOST):
        tried = [(start, *one) for start in begun for one in kept_moves(design, start.answer.state)]
        solved = conduct_states(network, [state for _, _, state in tried])
        begun = []
        for i, (start, moves, state) in enumerate(tried):
            if not any(solved.powered[e] >> i & 1 for e in inlets):
                continue
            moved = tuple(sorted({**dict(start.moved), **dict(moves)}.items()))
            words = " and ".join(f"{switch} at {at}" for switch, at in moved)
            named = replace(state, name=f"{start.base} with {words}")
            answer = StateAnswer(design, network, named, solved.lane(i))
            path = _heavy_path(network, answer, inlets, contacts, ending)
            if path.batteries and path not in known:
                known.add(path)
                begun.append(OtherStart(start.base, moved, answer))
        yield from begun


def kept_moves(
    design: Design, state: ResolvedState
) -> Iterator[tuple[tuple[tuple[str, str], ...], ResolvedState]]:
    """Each switch of a state by itself at another position that it keeps, with what moves along."""
    for name, at in state.switches.items():
        if not isinstance(design.parts[name], (p.Switch, p.BreakerSwitch)) or not design.by_hand(name):
            continue
        for position in positions_of(design, name):
            if position == at or springs_back(design, name, position):
                continue
            switches = {**state.switches, name: position}
            for along in islice(ways_along(design, switches, name), 1):
                moves = ((name, position), *along)
                held = {s for s, _ in along if springs_back(design, s, state.switches[s])}
                if not held:
                    yield moves, replace(state, switches=MappingProxyType({**switches, **dict(along)}))


def _ending(design: Design) -> frozenset[str]:
    """The circuit protection (pointers) that a start opens: of a rating below the least current of a
    starter, or where one of them is not known."""
    least = [design.part(n, p.Load).running_current for n in design.starters]
    most = None if None in least else min(filter(None, least), default=None)
    return frozenset(
        f"parts/{n}"
        for n in design.of_kind(p.Protector)
        if most is None or (design.part(n, p.Protector).rating or 0.0) < most
    )


def _heavy_path(
    network: Network,
    answer: StateAnswer,
    inlets: dict[str, list[int]],
    contacts: frozenset[int],
    ending: frozenset[str],
) -> HeavyPath:
    links, (along, against) = network.links, answer.conducting
    starts = {node for e, own in inlets.items() if answer.healthy.powered[e] for node in own}
    batteries = {s.positive: s.element for s in network.sources if s.kind == "battery"}
    free = {id(link): i for i, link in enumerate(links) if link.element not in ending}

    def near(begin: Iterable[int], without: int = -1) -> set[int]:
        """What lies against the current from some nodes, not by one link."""
        conducts = (against, along)
        return reachable(
            network,
            begin,
            lambda link, leaving: (
                free.get(id(link), without) != without and conducts[not leaving][free[id(link)]]
            ),
        )

    def passes(i: int) -> bool:
        """Whether a contact lies between a battery and a starter, and not on a branch beside that."""
        beside = near(starts, i)
        ends = ((links[i].a, links[i].b), (links[i].b, links[i].a))
        return any(one in beside and not batteries.keys().isdisjoint(near([far], i)) for one, far in ends)

    reached = near(starts)
    passed = (i for i in contacts if along[i] and {links[i].a, links[i].b} <= reached)
    return HeavyPath(
        frozenset(e for node, e in batteries.items() if node in reached), frozenset(filter(passes, passed))
    )
