"""Relays that restore a bus or a load after the loss of its feed, and those that need what they restore.

What is lost is judged twice: from the running state, and from cold, where no alternator holds a bus
up that feeds its own field.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, STAYS, Failure, stuck_contacts
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import at_any, bits
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.moves import excluded
from reviewer.analysis.switching.own_switches import stays
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import conductors_and_protectors, reachable, reachable_by


@record
class Unrestored:
    """A ``failure`` after which a relay, from de-energised, does not pick up to bring ``names`` back.

    ``lost`` is False where only an alternator that excites itself keeps them alive after it. ``unreturned``
    is the source, an element, that feeds the coil then and does not have its return there; "" for none.
    """

    failure: Failure
    names: tuple[str, ...]
    lost: bool
    unreturned: str = ""


@record
class RestoringRelay:
    """A relay that in ``state`` restores buses, or loads that functions depend on.

    In the normal state it is de-energised. ``moved`` is the (switch, position) that alone differs
    from ``state``, where no declared state commands the relay; else None. With its contacts closed
    all ``restores`` would live.
    """

    relay: str
    state: str
    moved: tuple[str, str] | None
    restores: tuple[str, ...]
    needs: tuple[Unrestored, ...]


def restoring_relays(
    design: Design, network: Network, dispatch: StateAnswer, answers: tuple[StateAnswer, ...]
) -> Iterator[RestoringRelay]:
    """Relays that restore something in a state set in flight, or with one switch moved.

    Each with the failures after which they cannot.
    """
    off = [c.element for c in network.coils if not dispatch.healthy.energised[c.element]]
    relays = [relay for relay in off if _joins_sources(network, relay)]
    if not relays:
        return
    cold = conduct(network, dispatch.state, dispatch.failures)
    declared = [
        (answer.state, None)
        for answer in answers
        if answer.state.use != "ground" and answer.state.name != dispatch.state.name
    ]
    known = set()
    for state, moved in (*declared, *_moves(design, dispatch.state)):
        # a relay that would stay energised if it were in is commanded, whether or not it can pick
        # up
        left = [relay for relay in relays if moved is None or relay not in known]
        closed = conduct(network, state, [Failure(relay, HELD) for relay in left])
        for i, relay in enumerate(left):
            if closed.energised[relay] >> i & 1:
                known.add(relay)
                found = _restored(design, network, dispatch, cold, state, relay)
                if found:
                    names = tuple(dict.fromkeys(n for need, _ in found for n in need.names))
                    needs = tuple(need for need, pulls in found if not pulls)
                    yield RestoringRelay(relay, state.name, moved, names, needs)


def _joins_sources(network: Network, relay: str) -> bool:
    """Whether closing a relay can feed what is fed without it.

    On both sides of a contact is a source, or it acts on another coil or on a field.
    """
    own = network.links_of[relay]
    ends = {n for s in network.sources for n in (s.positive, s.negative)}
    acted = {n for c in network.coils if c.element != relay for n in (*c.plus, *c.minus)}
    acted |= {s.field for s in network.sources if s.field is not None}

    def side(node: int) -> set[int]:
        return reachable_by([node], lambda at: (o for i, o, _ in network.around[at] if i not in own))

    for i in own:
        link = network.links[i]
        sides = [side(n) for n in (link.a, link.b)]
        if all(s & ends for s in sides) or any(s & acted and not s & ends for s in sides):
            return True
    return False


def _moves(design: Design, state: ResolvedState) -> Iterator[tuple[ResolvedState, tuple[str, str]]]:
    """The normal state with one switch moved to a position in which it stays, where that is legal."""
    for move in stuck_contacts(design, dict(state.switches)):
        name = bare(move.element)
        if move.mode == STAYS and name in state.switches and stays(design, move):
            after = replace(state, switches=MappingProxyType({**state.switches, name: move.position}))
            if not excluded(design, after):
                yield after, (name, move.position)


def _restored(
    design: Design,
    network: Network,
    dispatch: StateAnswer,
    dead: Conduction,
    state: ResolvedState,
    relay: str,
) -> list[tuple[Unrestored, bool]]:
    """What a relay restores in another state after each failure, and whether it picks up.

    Over the failures that lose something in the normal state, from running or from cold (``dead``),
    but those that leave the source side of its contacts dead.
    """
    every = (1 << len(dispatch.failures)) - 1
    normal = [n for n in _wanted(design) if _lives(design, network, dispatch.healthy, n) & 1]
    lost = {n: every & ~_lives(design, network, dispatch.failed, n) for n in normal}
    gone = {n: lost[n] | every & ~_lives(design, network, dead, n) for n in normal}
    taking = tuple(bits(_union(gone.values())))
    failures = [dispatch.failures[i] for i in taking]
    if not failures:
        return []
    cold = conduct(network, state, failures)
    closed = conduct(network, state, [(failure, Failure(relay, HELD)) for failure in failures])
    apart = conduct(network, state, [(failure, Failure(relay, DROPPED)) for failure in failures])
    gains = {n: _lives(design, network, closed, n) & ~_lives(design, network, apart, n) for n in normal}
    unsourced, returning = _source_dead(network, apart, relay), _returning(network, closed, relay)
    found = []
    for j, i in enumerate(taking):
        if unsourced >> j & 1:
            continue
        what = gone if returning >> j & 1 else lost
        back = tuple(n for n in normal if what[n] >> i & 1 and gains[n] >> j & 1)
        if back:
            whole = any(lost[n] >> i & 1 for n in back)
            need = Unrestored(failures[j], back, whole, _unreturned(network, cold, relay, j))
            found.append((need, bool(cold.energised[relay] >> j & 1)))
    return found


def _returning(network: Network, closed: Conduction, relay: str) -> int:
    """The lanes in which a source at a relay's closed contacts has its return at the coil: where
    the failure takes that, a ground is lost, and no feed of the coil would help."""
    coil = next(c for c in network.coils if c.element == relay)
    sides = {n for i in network.links_of[relay] for n in (network.links[i].a, network.links[i].b)}
    mask = 0
    for source, fed in closed.fed.items():
        mask |= at_any(fed, sides) & at_any(closed.returned[source], (*coil.plus, *coil.minus))
    return mask


def _unreturned(network: Network, solved: Conduction, relay: str, lane: int) -> str:
    """A source that feeds a relay's coil in a lane and has its return at neither end of it; "" for none."""
    coil = next(c for c in network.coils if c.element == relay)
    ends = (*coil.plus, *coil.minus)
    feeding = [s for s, fed in solved.fed.items() if at_any(fed, ends) >> lane & 1]
    returned = any(at_any(solved.returned[s], ends) >> lane & 1 for s in feeding)
    return "" if returned else next(iter(feeding), "")


def _union(masks: Iterable[int]) -> int:
    union = 0
    for mask in masks:
        union |= mask
    return union


def _source_dead(network: Network, apart: Conduction, relay: str) -> int:
    """The lanes, with a relay's contacts held open, in which their source side is dead.

    The source side of a contact is the one that a battery feeds by wires and circuit protection
    alone: the battery's own bus. It is no side where both are fed so, or neither.
    """
    hot = reachable(
        network, [s.positive for s in network.sources if s.kind == "battery"], conductors_and_protectors
    )
    dead = -1
    for i in network.links_of[relay]:
        link = network.links[i]
        if link.gate is Gate.ENERGISED:
            sides = [n for n in (link.a, link.b) if n in hot]
            dead &= ~apart.live(sides[0]) if len(sides) == 1 else 0
    return dead if dead != -1 else 0


def _wanted(design: Design) -> tuple[str, ...]:
    loads = [c for function in design.functions.values() for c in function.of if c in design.parts]
    return tuple(dict.fromkeys((*design.of_kind(p.Bus), *loads)))


def _lives(design: Design, network: Network, solved: Conduction, name: str) -> int:
    return (
        solved.live(network.node(name))
        if isinstance(design.parts[name], p.Bus)
        else solved.powered[f"parts/{name}"]
    )
