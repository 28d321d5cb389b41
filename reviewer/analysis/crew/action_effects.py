"""Whether a crew action has its declared effect, after what is declared to have failed."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import matching_exclusions
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.sensed_positions import sensed
from reviewer.analysis.conduction.states import StateAnswer, feed_path, function_masks
from reviewer.analysis.crew.moves import ActionSequence, after_failures, continued, moved
from reviewer.model import parts as p
from reviewer.model.design import Action, Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network


@record
class StillFed:
    """A load or bus that an action leaves fed though it, or the source, should be disconnected.

    ``path`` leads to it from the source.
    """

    name: str
    source: str
    path: tuple[str, ...]


@record
class ActionEffect:
    """What an action leaves ``dead`` that it should restore, and ``alive`` that it should
    disconnect.

    ``possible`` is False where its moves lead to an excluded combination, ``settled`` where the
    relays chatter afterwards.
    """

    action: str
    possible: bool
    settled: bool
    dead: tuple[str, ...]
    alive: tuple[StillFed, ...]


def action_effect(design: Design, network: Network, answer: StateAnswer, name: str) -> ActionEffect:
    """The effect of one declared action in a state.

    What has failed is open; a protector that has opened can be reset.
    """
    action, before, case = situation(design, answer, name)
    state, after = _carried_out(network, answer, name, action, before, case)
    done = after.healthy
    gone = frozenset(failure.element for failure in case)
    # an opened breaker alone may stand against a bar
    known = list(matching_exclusions(design, before.switches))
    return ActionEffect(
        name,
        all(e in known for e in matching_exclusions(design, state.switches)),
        not done.unsettled,
        _left_dead(network, answer, name, (action, before, case), _dead(design, action, after)),
        _alive(design, network, action, after, gone),
    )


def _carried_out(
    network: Network,
    answer: StateAnswer,
    name: str,
    action: Action,
    before: ResolvedState,
    case: tuple[Failure, ...],
) -> tuple[ResolvedState, StateAnswer]:
    """The state after an action, and what is live in it."""
    state, moves = moved(answer.design, before, action.move)
    start = after_failures(network, before, [case], answer.healthy)
    done = continued(network, start, [case], [ActionSequence((name,), state, moves, moves)]).solved
    return state, StateAnswer(answer.design, network, state, done)


def _left_dead(
    network: Network,
    answer: StateAnswer,
    name: str,
    taken: tuple[Action, ResolvedState, tuple[Failure, ...]],
    dead: tuple[str, ...],
) -> tuple[str, ...]:
    """Those of what an action should restore that it leaves ``dead``, without what is off in the normal
    state too and that a switch at rest which no hand moves turns on after the action, as the vane of a
    stall warning does."""
    action, before, case = taken
    wait = _dead(answer.design, action, answer)
    for _, _, other in sensed(answer.design, before) if set(dead) & set(wait) else ():
        _, after = _carried_out(network, answer, name, action, other, case)
        still = _dead(answer.design, action, after)
        dead = tuple(n for n in dead if n not in wait or n in still)
    return dead


def situation(
    design: Design, answer: StateAnswer, name: str
) -> tuple[Action, ResolvedState, tuple[Failure, ...]]:
    """A declared action, the state of the switches in which it is taken, and what has failed then."""
    assert design.operation is not None
    action = design.operation.actions[name]
    opened = [n for n in action.after_failure_of if isinstance(design.parts.get(n), p.Protector)]
    case = tuple(
        Failure(f"parts/{n}" if n in design.parts else f"wires/{n}", OPEN)
        for n in action.after_failure_of
        if n not in opened
    )
    off = {n: "open" for n in opened if n in answer.state.switches}
    pulled = (*answer.state.pulled, *(n for n in opened if n not in off))
    return (
        action,
        replace(answer.state, switches=MappingProxyType({**answer.state.switches, **off}), pulled=pulled),
        case,
    )


def _dead(design: Design, action: Action, after: StateAnswer) -> tuple[str, ...]:
    """What the action should restore and does not."""
    works = function_masks(design, after.healthy.powered, 1)
    parts = {**after.healthy.powered, **after.healthy.alive}
    return tuple(n for n in action.restores if not (works[n] if n in works else parts[f"parts/{n}"]))


def _alive(
    design: Design, network: Network, action: Action, after: StateAnswer, gone: frozenset[str]
) -> tuple[StillFed, ...]:
    """What the action should disconnect and does not; ``gone`` has failed."""
    still_fed = []
    for name in action.disconnects:
        element = f"parts/{name}"
        if element in after.healthy.alive:
            feeds = [(element, load, node) for load, node in _powered_by(network, after, element)]
        elif isinstance(design.parts[name], p.Bus):
            node = network.node(name)
            feeds = [(source, name, node) for source in after.fed_by(node)]
        elif after.healthy.powered[element]:
            nodes = next(c.inlets for c in network.consumers if c.element == element)
            feeds = [(source, name, node) for node in nodes for source in after.fed_by(node)]
        else:
            feeds = []
        if feeds:
            source, what, node = feeds[0]
            still_fed.append(StillFed(what, source, feed_path(network, after, source, node, gone)))
    return tuple(still_fed)


def _powered_by(network: Network, after: StateAnswer, source: str) -> list[tuple[str, int]]:
    """The loads that one source powers, each with the node by which it is fed."""
    fed, back = after.healthy.fed[source], after.healthy.returned[source]
    found = []
    for consumer in network.consumers:
        for plus, minus in consumer.directions:
            live = [n for n in plus if fed[n]]
            if live and any(back[n] for n in minus):
                found.append((consumer.element.partition("/")[2], live[0]))
                break
    return found
