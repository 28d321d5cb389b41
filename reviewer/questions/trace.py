"""How a load, an instrument, a bus or a terminal is fed and returned, state by state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reviewer.analysis.conduction.circuit_paths import grounding_path
from reviewer.analysis.conduction.common_elements import common_elements
from reviewer.analysis.conduction.simple_paths import (
    MOST_PATHS,
    MOST_STEPS,
    BlockedPath,
    feed_paths,
    nearest_blocked_path,
    return_paths,
)
from reviewer.analysis.conduction.states import StateAnswer, runs_in_reverse
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.questions.naming import NoAnswer, shown_answers, state_named, unknown
from reviewer.questions.sneak_relays import EnergisedBySneak

#: the search for paths between two terminals ends at so many paths, or at so many steps
SEARCH_LIMIT = (MOST_PATHS, MOST_STEPS)

SUPPLY, RETURN, COIL, TERMINAL, BAR = "supply", "return", "coil", "terminal", "bar"


@record
class TracedPath:
    """One path in the order of current: ``elements``, the source among them.

    Of these, the circuit ``protection``, the ``switches`` with their positions, and the ``relays``
    with whether they are energised.
    """

    elements: tuple[str, ...]
    protection: tuple[str, ...]
    switches: tuple[tuple[str, str], ...]
    relays: tuple[tuple[str, bool], ...]


@record
class TracedPaths:
    """The paths between one source and one terminal, the shortest first.

    ``stopped``: :data:`SEARCH_LIMIT` was reached, there may be more. ``common`` are the elements that
    every path passes, those that are not listed too, in the order of the first.
    """

    source: str
    paths: tuple[TracedPath, ...]
    stopped: bool
    common: tuple[str, ...]


@record
class TracedTerminal:
    """A terminal (or the bar of a bus) in one state.

    ``fed`` has an entry for each source that feeds it, ``returned`` for each that it returns to.
    Where there is none, ``nearest`` is the open path that is nearest to conducting, and
    ``held_open`` are the switches, relays and protection that hold it open: (element, words).
    """

    terminal: str
    role: str
    fed: tuple[TracedPaths, ...]
    returned: tuple[TracedPaths, ...]
    nearest: BlockedPath | None = None
    held_open: tuple[tuple[str, str], ...] = ()

    @property
    def common(self) -> tuple[str, ...]:
        """The elements that every path passes, whichever source it begins or ends at."""
        first, *others = self.fed or self.returned or (None,)
        return tuple(e for e in first.common if all(e in o.common for o in others if o)) if first else ()

    @property
    def dead(self) -> bool:
        """Whether nothing feeds it, or, for a return, whether it returns to no source."""
        return not (self.returned if self.role == RETURN else self.fed or self.returned)


@record
class StateTrace:
    """What is traced in one state, by ``terminals``.

    ``works`` says whether it is powered (a coil: energised; a source: alive; a magneto: it fires),
    None where that means nothing; ``by`` the sources that feed it and that it returns to.
    ``unsettled``: relays chatter.
    """

    state: str
    works: bool | None
    by: tuple[str, ...]
    terminals: tuple[TracedTerminal, ...]
    unsettled: bool
    #: a load that is fed at its return: a reversible motor runs in reverse
    reversed: bool = False
    #: of a magneto, the path from its p-lead to its ground, () where it is hot; None of other parts
    grounding: tuple[str, ...] | None = None


@record
class Trace:
    """The trace of ``target`` (a part, or ``part.terminal``), of a ``kind``, in some states.

    ``sneaks`` are the relays that sneak currents energise in these.
    """

    target: str
    kind: str
    states: tuple[StateTrace, ...]
    sneaks: tuple[EnergisedBySneak, ...] = ()


def trace_of(facts: Facts, name: str, state: str | None = None) -> Trace:
    """How a part, or a terminal as ``part.terminal``, is fed and returned. Raises NoAnswer.

    In the declared states, or in one of them.
    """
    network, design = facts.network, facts.design
    if name in design.wires and name not in design.parts:
        wire = design.wires[name]
        raise NoAnswer(f"`{name}` is a wire; trace one of its ends: `{wire.from_}` or `{wire.to}`.")
    if name not in design.parts and name not in network.index:
        raise NoAnswer(unknown("part or terminal", name, (*design.parts, *network.index)))
    if state is None and design.operation:
        answers = shown_answers(facts)
    else:
        one = state_named(facts, state)
        answers = (one, *facts.switches.still_energised.get(one.state.name, ()))
    sneaks = tuple(s for answer in answers for s in facts.switches.sneaks_in(answer.state.name))
    return replace(trace(design, network, answers, name), sneaks=sneaks)


def trace(design: Design, network: Network, answers: Sequence[StateAnswer], target: str) -> Trace:
    """Trace a part or a terminal. Raises KeyError where there is none of that name."""
    name, _, terminal = target.partition(".")
    part = design.parts[name]
    if terminal and target not in network.index:
        raise KeyError(target)
    points = ((target, TERMINAL),) if terminal else _terminals(network, name, part)
    consumer = (
        None
        if terminal
        else next((c for c in (*network.consumers, *network.coils) if c.element == f"parts/{name}"), None)
    )
    kind = f"terminal of {part.kind}" if terminal else part.kind
    return Trace(target, kind, tuple(_state(design, answer, name, points, consumer) for answer in answers))


def _terminals(network: Network, name: str, part: p.Part) -> tuple[tuple[str, str], ...]:
    """The terminals of a part that are traced, each with its role."""
    if name in network.index:
        return ((name, BAR),)
    roles = {}
    if isinstance(part, p.Consumer):
        roles = {**dict.fromkeys(part.supplies, SUPPLY), **dict.fromkeys(part.returns, RETURN)}
    elif isinstance(part, p.Electromagnet):
        roles = {
            **dict.fromkeys(part.coil, COIL),
            **{t: TERMINAL for t in part.terminals() if t not in part.coil},
        }
    else:
        own = (network.names[n].partition(".")[2] for n in network.nodes_of[f"parts/{name}"])
        roles = dict.fromkeys((t for t in own if t), TERMINAL)
    return tuple((f"{name}.{t}", role) for t, role in roles.items())


def _state(
    design: Design,
    answer: StateAnswer,
    name: str,
    points: Sequence[tuple[str, str]],
    consumer: PoweredDevice | None,
) -> StateTrace:
    healthy, element = answer.healthy, f"parts/{name}"
    if element in healthy.hot and len(points) != 1:
        fires, unsettled = bool(healthy.powered[element]), bool(healthy.unsettled)
        grounding = grounding_path(answer, element)
        return StateTrace(answer.state.name, fires, (), (), unsettled, grounding=grounding)
    works: bool | None = None
    by: tuple[str, ...] = ()
    if consumer is not None:
        works = bool({**healthy.powered, **healthy.energised}[element])
        by = tuple(s for s in healthy.fed if _feeds_and_returns(answer, s, consumer))
    elif isinstance(design.parts[name], MechanicalChannel):
        works = bool(healthy.powered[element])
    elif element in healthy.alive and len(points) > 1:
        works = bool(healthy.alive[element])
    reverse = isinstance(design.parts[name], p.Consumer) and consumer and runs_in_reverse(answer, consumer)
    if reverse and works:
        exchanged = {SUPPLY: RETURN, RETURN: SUPPLY}
        points = [(t, exchanged[role]) for t, role in points]
    return StateTrace(
        answer.state.name,
        works,
        by,
        tuple(_terminal(design, answer, t, role, by) for t, role in points),
        bool(healthy.unsettled),
        bool(reverse),
    )


def _feeds_and_returns(answer: StateAnswer, source: str, consumer: PoweredDevice) -> bool:
    fed, returned = answer.healthy.fed[source], answer.healthy.returned[source]
    return any(
        any(fed[n] for n in plus) and any(returned[n] for n in minus) for plus, minus in consumer.directions
    )


def _terminal(
    design: Design, answer: StateAnswer, terminal: str, role: str, by: Sequence[str]
) -> TracedTerminal:
    node = answer.network.node(terminal)
    sources = [s for s in answer.healthy.fed if answer.healthy.alive[s]]
    fed = (
        ()
        if role == RETURN
        else tuple(_traced(design, answer, s, node, False) for s in sources if answer.healthy.fed[s][node])
    )
    back: tuple[TracedPaths, ...] = ()
    if role != SUPPLY and not fed:
        # a return belongs to the sources that feed the load; where none does, to every one it returns to
        wanted = [s for s in by if answer.healthy.returned[s][node]] or [
            s for s in sources if answer.healthy.returned[s][node]
        ]
        back = tuple(_traced(design, answer, s, node, True) for s in wanted)
    shut = nearest_blocked_path(answer, node, returns=role == RETURN) if not (fed or back) else None
    return TracedTerminal(
        terminal, role, fed, back, shut, tuple((e, stand_words(answer, e)) for e in shut.at) if shut else ()
    )


def _traced(design: Design, answer: StateAnswer, source: str, node: int, returns: bool) -> TracedPaths:
    found = return_paths(answer, source, node) if returns else feed_paths(answer, source, node)
    return TracedPaths(
        source,
        tuple(_traced_path(design, answer, path.elements) for path in found.paths),
        found.stopped,
        common_elements(answer, found),
    )


def _traced_path(design: Design, answer: StateAnswer, elements: tuple[str, ...]) -> TracedPath:
    parts = {e: design.parts[bare(e)] for e in elements if e.startswith("parts/")}
    return TracedPath(
        elements,
        tuple(e for e, part in parts.items() if isinstance(part, p.Protector)),
        tuple((e, answer.positions[bare(e)]) for e in parts if bare(e) in answer.positions),
        tuple(
            (e, bool(answer.healthy.energised[e]))
            for e, part in parts.items()
            if isinstance(part, p.Electromagnet)
        ),
    )


def stand_words(answer: StateAnswer, element: str) -> str:
    """How a switch, relay, protection, machine or socket stands with nothing failed.

    ``at off``, ``pulled``, ``not energised (held off by master at off)``; how a unit with outputs
    does: ``output off``, ``without power``.
    """
    name = bare(element)
    if name in answer.state.pulled:
        return "pulled"
    if name in answer.positions:
        return (
            f"at {answer.positions[name]}{', without its ground' if _lacks_ground(answer, element) else ''}"
        )
    if element in answer.network.lamp_contacts:
        return "giving current" if answer.healthy.alive[element] else "giving nothing"
    if element in {unit.element for unit in answer.network.units}:
        return "output off" if answer.healthy.powered[element] else "without power"
    network = answer.network
    unit = next((network.links[i].unit for i in network.links_of.get(element, ())), "")
    if unit and answer.healthy.energised[unit]:
        by = answer.design.parts[name].commanded_by
        return f"open, as {by} does not command it"
    if unit:
        return f"open, as {bare(unit)} has no power"
    if answer.healthy.energised.get(element):
        return "energised"
    coil = next((c for c in answer.network.acting if c.element == element), None)
    if coil is None:
        return "not connected"
    waits = _coil_shut(answer, coil)
    if waits is None:
        return "not energised"
    # a relay held off by a relay is given by its name alone: no recursion
    held = " and ".join(
        bare(e) + (f" at {answer.positions[bare(e)]}" if bare(e) in answer.positions else "")
        for e in waits.at
    )
    return f"not energised (held off by {held})"


def _lacks_ground(answer: StateAnswer, switch: str) -> bool:
    """Whether a switch rests as no source has its return at the ground against which it measures."""
    follower = answer.network.follower.get(switch)
    ground = None if follower is None else follower.ground
    return ground is not None and not any(returned[ground] for returned in answer.healthy.returned.values())


def _coil_shut(answer: StateAnswer, coil: PoweredDevice) -> BlockedPath | None:
    """What holds a coil's circuit open: the return of its live end, or the feed of an end."""
    for one, other in ((*coil.plus, *coil.minus), (*coil.minus, *coil.plus)):
        if answer.healthy.live(one):
            return nearest_blocked_path(answer, other, returns=True)
    found = [shut for n in (*coil.plus, *coil.minus) if (shut := nearest_blocked_path(answer, n))]
    return min(found, key=lambda shut: len(shut.at)) if found else None
