"""Relays that stay energised, and buses that live on, from one declared state to another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.fixed_point import Conduction, conduct_from
from reviewer.analysis.conduction.masks import joined
from reviewer.analysis.conduction.scenarios import lanes_of_states
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice


@record
class HeldRelay:
    """A relay that ``state`` alone does not energise, energised where it is set after ``after``.

    With the source that holds it, and the ``path`` of the feed. ``commanded`` where all switches in
    the circuit of its coil, of which there are some, are as in ``after`` or in a state that alone
    energises it: it is not switched off, only what it is fed from is dead.
    """

    relay: str
    after: str
    state: str
    source: str
    path: tuple[str, ...]
    commanded: bool


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
    energised = {e: joined([a.healthy.energised[e] for a, _ in pairs], 1) for e in network.moved}
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


def relays_held_energised(design: Design, network: Network, changed: StateChanges) -> Iterator[HeldRelay]:
    """The relays that do not drop out when a state is set that alone does not energise them.

    Where several do not, those that stay so with the others as the state alone has them, if any:
    the rest follows from these.
    """
    switches = {c.element: _switches(design, network, c) for c in network.coils}
    answers = {id(a): a for pair in changed.pairs for a in pair}.values()
    energise = {c.element: [a for a in answers if a.healthy.energised[c.element]] for c in network.coils}
    found: dict[str, list[HeldRelay]] = {}
    for i, (one, other) in enumerate(changed.pairs):
        assert changed.solved is not None
        solved = changed.solved
        held = [
            coil
            for coil in network.coils
            if (solved.energised[coil.element] & ~solved.unsettled) >> i & 1
            and not other.healthy.energised[coil.element]
        ]
        for coil in _by_themselves(network, held, one, other):
            source, path = _holder(network, coil, one, other)
            own = switches[coil.element]
            commanded = bool(own) and any(
                all(a.state.switches.get(s) == other.state.switches.get(s) for s in own)
                for a in (one, *energise[coil.element])
            )
            found.setdefault(coil.element, []).append(
                HeldRelay(coil.element, one.state.name, other.state.name, source, path, commanded)
            )
    for coil in network.coils:
        yield from found.get(coil.element, ())


def _switches(design: Design, network: Network, coil: PoweredDevice) -> tuple[str, ...]:
    """The switches in the circuit of a coil, as far as the next bars and sources."""
    own = circuit(design, network, (*coil.plus, *coil.minus)).elements
    return tuple(n for n in design.settable if f"parts/{n}" in own)


def _by_themselves(
    network: Network, held: Sequence[PoweredDevice], one: StateAnswer, other: StateAnswer
) -> Sequence[PoweredDevice]:
    """Those of some held relays that stay energised with the other relays as in a state alone."""
    if len(held) < 2:
        return held
    alone = lanes_of_states(network, [other.state] * len(held))
    every = (1 << len(held)) - 1
    energised = {e: every if mask else 0 for e, mask in other.healthy.energised.items()}
    energised |= {coil.element: 1 << i for i, coil in enumerate(held)}
    # an alternator that excites itself may still run; external power that is taken off does not
    was = {
        s.element: (one if s.kind == "alternator" else other).healthy.alive[s.element]
        for s in network.sources
    }
    alive = {e: every if mask else 0 for e, mask in was.items()}
    solved = conduct_from(network, alone, energised, alive)
    return [c for i, c in enumerate(held) if solved.energised[c.element] >> i & 1] or held


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
