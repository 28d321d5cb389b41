"""Relays that need what they restore, and relays that stay energised from one state to another."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_from
from reviewer.analysis.conduction.masks import joined
from reviewer.analysis.conduction.scenarios import lanes_of_states
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, PoweredDevice
from reviewer.network.search import conductors_and_protectors, reachable


@record
class RestoringRelay:
    """A relay that in ``state`` restores buses, or loads that functions depend on.

    In the normal state it is de-energised. ``needs`` are (failure, what would live) pairs: after
    the failure has taken the normal feed the relay, from de-energised, does not pick up, though
    with its contacts closed that would live.
    """

    relay: str
    state: str
    restores: tuple[str, ...]
    needs: tuple[tuple[Failure, tuple[str, ...]], ...]


def restoring_relays(
    design: Design, network: Network, dispatch: StateAnswer, answers: tuple[StateAnswer, ...]
) -> Iterator[RestoringRelay]:
    """Relays that restore something in a state set in flight.

    Each with the failures after which they cannot.
    """
    relays = [coil.element for coil in network.coils if not dispatch.healthy.energised[coil.element]]
    for answer in answers:
        if answer.state.use == "ground" or answer.state.name == dispatch.state.name or not relays:
            continue
        # a relay that would stay energised if it were in is commanded, whether or not it can pick
        # up
        closed = conduct(network, answer.state, [Failure(relay, HELD) for relay in relays])
        for i, relay in enumerate(relays):
            if closed.energised[relay] >> i & 1:
                found = _restored(design, network, dispatch, answer, relay)
                if found:
                    names = tuple(dict.fromkeys(n for _, back, _ in found for n in back))
                    yield RestoringRelay(
                        relay,
                        answer.state.name,
                        names,
                        tuple((f, back) for f, back, pulls in found if not pulls),
                    )


def _restored(
    design: Design, network: Network, dispatch: StateAnswer, answer: StateAnswer, relay: str
) -> list[tuple[Failure, tuple[str, ...], bool]]:
    """What a relay restores in another state after each failure, and whether it picks up.

    Over the failures that lose something in the normal state, but those that leave the source side
    of its contacts dead; what its contacts restore is in names.
    """
    every = (1 << len(dispatch.failures)) - 1
    normal = [n for n in _wanted(design) if _lives(design, network, dispatch.healthy, n) & 1]
    lost = {n: every & ~_lives(design, network, dispatch.failed, n) for n in normal}
    taking = [i for i in range(len(dispatch.failures)) if any(mask >> i & 1 for mask in lost.values())]
    failures = [dispatch.failures[i] for i in taking]
    if not failures:
        return []
    cold = conduct(network, answer.state, failures)
    closed = conduct(network, answer.state, [(failure, Failure(relay, HELD)) for failure in failures])
    apart = conduct(network, answer.state, [(failure, Failure(relay, DROPPED)) for failure in failures])
    gains = {n: _lives(design, network, closed, n) & ~_lives(design, network, apart, n) for n in normal}
    unsourced = _source_dead(network, apart, relay)
    found = []
    for j, i in enumerate(taking):
        if unsourced >> j & 1:
            continue
        back = tuple(n for n in normal if lost[n] >> i & 1 and gains[n] >> j & 1)
        if back:
            found.append((failures[j], back, bool(cold.energised[relay] >> j & 1)))
    return found


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


@record
class HeldRelay:
    """A relay that ``state`` alone does not energise, held energised from ``after``.

    With the source that holds it, and the ``path`` of the feed.
    """

    relay: str
    after: str
    state: str
    source: str
    path: tuple[str, ...]


@record
class RevivedBus:
    """A bus that ``state`` must leave dead and that lives when it is set after ``after``.

    With the source that feeds it, and the ``path`` of the feed.
    """

    bus: str
    after: str
    state: str
    source: str
    path: tuple[str, ...]


@record
class StateChanges:
    """Declared states set after each other, with nothing failed.

    Lane i of ``solved`` is the second of ``pairs[i]`` after the first.
    """

    pairs: tuple[tuple[StateAnswer, StateAnswer], ...]
    solved: Conduction | None


def changes(network: Network, answers: tuple[StateAnswer, ...]) -> StateChanges:
    """Every declared state after every other one, where that makes a difference.

    Something is energised or gives current that the second alone does not bring up.
    """
    pairs = tuple(
        (one, other) for one in answers for other in answers if one is not other and _may_hold(one, other)
    )
    if not pairs:
        return StateChanges((), None)
    energised = {
        c.element: joined([a.healthy.energised[c.element] for a, _ in pairs], 1) for c in network.coils
    }
    alive = {s.element: joined([a.healthy.alive[s.element] for a, _ in pairs], 1) for s in network.sources}
    return StateChanges(
        pairs,
        conduct_from(network, lanes_of_states(network, [b.state for _, b in pairs]), energised, alive),
    )


def _may_hold(one: StateAnswer, other: StateAnswer) -> bool:
    was, alone = one.healthy, other.healthy
    return any(m and not alone.energised[c] for c, m in was.energised.items()) or any(
        m and not alone.alive[s] for s, m in was.alive.items()
    )


def relays_held_energised(network: Network, changed: StateChanges) -> Iterator[HeldRelay]:
    """The relays that do not drop out when a state is set that alone does not energise them."""
    for coil in network.coils:
        for i, (one, other) in enumerate(changed.pairs):
            assert changed.solved is not None
            if (
                changed.solved.energised[coil.element] & ~changed.solved.unsettled
            ) >> i & 1 and not other.healthy.energised[coil.element]:
                source, path = _holder(network, coil, one, other)
                yield HeldRelay(coil.element, one.state.name, other.state.name, source, path)


def revived_buses(network: Network, changed: StateChanges) -> Iterator[RevivedBus]:
    """Buses that a state lists as dead and that live when it is set after another.

    Alone the state leaves them dead.
    """
    for i, (one, other) in enumerate(changed.pairs):
        assert changed.solved is not None
        for bus in other.state.dead:
            node = network.node(bus)
            if (changed.solved.live(node) & ~changed.solved.unsettled) >> i & 1 and not other.healthy.live(
                node
            ):
                answer = _after(network, one, other)
                source = answer.fed_by(node)[0]
                yield RevivedBus(
                    bus, one.state.name, other.state.name, source, feed_path(network, answer, source, node)
                )


def _after(network: Network, one: StateAnswer, other: StateAnswer) -> StateAnswer:
    """A state as it is when it is set after another."""
    alone = lanes_of_states(network, [other.state])
    return StateAnswer(
        other.design,
        network,
        other.state,
        conduct_from(network, alone, one.healthy.energised, one.healthy.alive),
    )


def _holder(
    network: Network, coil: PoweredDevice, one: StateAnswer, other: StateAnswer
) -> tuple[str, tuple[str, ...]]:
    answer = _after(network, one, other)
    for plus, minus in ((coil.plus, coil.minus), (coil.minus, coil.plus)):
        for node in plus:
            for source in answer.fed_by(node):
                if any(answer.healthy.returned[source][n] for n in minus):
                    return source, feed_path(network, answer, source, node)
    return "", ()
