"""Whether an action of the crew does what the file says of it, from the dispatch state and with what it says has failed."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer, feed_path, function_masks
from reviewer.analysis.crew.moves import Course, excluded, go_on, moved, start_of
from reviewer.model import parts as p
from reviewer.model.design import Action, Design
from reviewer.model.record import record
from reviewer.network.graph import Network


@record
class Alive:
    """A load or bus that an action leaves fed though it, or the source, should be disconnected: by which source and by which way."""

    name: str
    source: str
    path: tuple[str, ...]


@record
class Outcome:
    """What an action does: ``dead`` of what it should restore, ``alive`` of what it should disconnect.

    ``possible`` is False where it leads to an excluded combination, ``settled`` where the relays hunt afterwards.
    """

    action: str
    possible: bool
    settled: bool
    dead: tuple[str, ...]
    alive: tuple[Alive, ...]


def outcome(design: Design, network: Network, answer: StateAnswer, name: str) -> Outcome:
    """The outcome of one declared action in a state. What has failed is open; a protector that has opened can be put in again."""
    assert design.operation is not None
    action = design.operation.actions[name]
    opened = [n for n in action.after if isinstance(design.parts.get(n), p.Protector)]
    case = tuple(
        Failure(f"parts/{n}" if n in design.parts else f"wires/{n}", OPEN)
        for n in action.after
        if n not in opened
    )
    off = {n: "off" for n in opened if n in answer.state.switches}
    pulled = (*answer.state.pulled, *(n for n in opened if n not in off))
    before = replace(answer.state, switches=MappingProxyType({**answer.state.switches, **off}), pulled=pulled)
    state, moves = moved(design, before, action.move)
    start = start_of(network, before, [case], answer.healthy)
    done = go_on(network, start, [case], [Course((name,), state, moves, moves)]).solved
    after = StateAnswer(design, network, state, done)
    gone = frozenset(failure.element for failure in case)
    return Outcome(
        name,
        not excluded(design, state),
        not done.unsettled,
        _dead(design, action, after),
        _alive(design, network, action, after, gone),
    )


def _dead(design: Design, action: Action, after: StateAnswer) -> tuple[str, ...]:
    works = function_masks(design, after.healthy.powered, 1)
    parts = {**after.healthy.powered, **after.healthy.alive}
    return tuple(n for n in action.restores if not (works[n] if n in works else parts[f"parts/{n}"]))


def _alive(
    design: Design, network: Network, action: Action, after: StateAnswer, gone: frozenset[str]
) -> tuple[Alive, ...]:
    found = []
    for name in action.disconnects:
        element = f"parts/{name}"
        if element in after.healthy.alive:
            feeds = [(element, load, node) for load, node in _powered_by(network, after, element)]
        elif isinstance(design.parts[name], p.Bus):
            node = network.node(name)
            feeds = [(source, name, node) for source in after.fed_by(node)]
        elif after.healthy.powered[element]:
            nodes = [network.node(f"{name}.{t}") for t in design.parts[name].supplies]
            feeds = [(source, name, node) for node in nodes for source in after.fed_by(node)]
        else:
            feeds = []
        if feeds:
            source, what, node = feeds[0]
            found.append(Alive(what, source, feed_path(network, after, source, node, gone)))
    return tuple(found)


def _powered_by(network: Network, after: StateAnswer, source: str) -> list[tuple[str, int]]:
    """Loads, and the node by which each is fed, that one source powers."""
    fed, back = after.healthy.fed[source], after.healthy.returned[source]
    found = []
    for consumer in network.consumers:
        plus = [n for n in consumer.plus if fed[n]]
        if plus and any(back[n] for n in consumer.minus):
            found.append((consumer.element.partition("/")[2], plus[0]))
    return found
