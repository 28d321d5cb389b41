"""Circuit protection: nearest to which load, losing what, and which the crew can reset."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.feeds import feeding_of
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_mask,
    loads_needed,
    loads_of,
    rests_on,
    solve_state,
)
from reviewer.analysis.crew.moves import positions_in_flight
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network, bare
from reviewer.network.search import anything_along, conductors_and_protectors, reachable


@record
class Nearest:
    """The ``protectors`` (names) nearest to one supply terminal of a load.

    In the first state that has them.
    """

    load: str
    state: str
    protectors: tuple[str, ...]


def nearest_protectors(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> tuple[Nearest, ...]:
    """The protective devices nearest to each load and instrument, by state.

    Those round what its supply terminals are joined to, whatever else is on there. They protect
    nothing where a source reaches the load by another path without protection.
    """
    supplies = [(bare(c.element), node) for c in network.consumers for node in c.inlets]
    fed = feeding_of(network, answers, [(node, "") for _, node in supplies])
    found: dict[tuple[str, tuple[str, ...]], Nearest] = {}
    for answer, feedings in zip(answers, fed, strict=True):
        for (load, _), (sources, protectors) in zip(supplies, feedings, strict=True):
            if protectors and not sources:
                names = tuple(map(bare, protectors))
                found.setdefault((load, names), Nearest(load, answer.state.name, names))
    return tuple(found.values())


def lost_by_opening(design: Design, answer: StateAnswer) -> dict[str, tuple[str, ...]]:
    """Protective device, by name -> the loads that its opening loses in a state."""
    found: dict[str, tuple[str, ...]] = {}
    powered = answer.failed.powered
    alive = [(bare(e), powered[e]) for e in powered if answer.healthy.powered[e]]
    for i, failure in enumerate(answer.failures):
        name = bare(failure.element)
        if (
            failure.mode == OPEN
            and isinstance(design.parts.get(name), p.Protector)
            and failure.element.startswith("parts/")
        ):
            found[name] = tuple([load for load, works in alive if not works >> i & 1])
    return found


def fed_in_any_position(design: Design, network: Network, protector: str) -> tuple[str, ...]:
    """The loads (names) that a protective device feeds, and nothing else does, whatever position
    switches and relays have; not the lamps of monitors."""
    joined = conductors_and_protectors
    positives = {s.positive for s in network.sources}
    returns = (reachable(network, [s.negative], joined) for s in network.sources)
    ground = {node for side in returns if positives.isdisjoint(side) for node in side}

    def passes(link: Link, leaving: bool) -> bool:
        own = link.element == f"parts/{protector}" or (link.b if leaving else link.a) in ground
        return not own and anything_along(link, leaving)

    posts = design.parts[protector].posts(protector)
    line, load = (reachable(network, [network.node(post)], passes) for post in posts)
    behind = load - line if positives & line else line - load
    lamps = {monitor.displayed_on for monitor in design.watch.monitors.values()}
    return tuple(
        name
        for c in network.consumers
        if (name := bare(c.element)) not in lamps and c.plus and behind.issuperset(c.plus)
    )


def can_be_reset(part: p.Part) -> bool:
    """Whether a protective device can be put back in flight: a breaker in reach, or a fuse that closes
    again by itself."""
    if isinstance(part, p.Fuse) and part.reset == "automatic":
        return True
    return isinstance(part, (p.Breaker, p.BreakerSwitch)) and part.accessible == "in-flight"


def spares_in_reach(design: Design, part: p.Part) -> int | None:
    """How many spares of its rating are carried for a fuse in reach in flight; 0 for any other part,
    None where the file does not say."""
    if not isinstance(part, p.Fuse) or part.accessible != "in-flight":
        return 0
    alike = [f for f in map(design.parts.get, design.of_kind(p.Fuse)) if isinstance(f, p.Fuse)]
    told = [f.spares for f in alike if f is part or (f.rating is not None and f.rating == part.rating)]
    return max((spares for spares in told if spares is not None), default=None)


@record
class Shared:
    """A critical circuit's protective device that protects other circuits.

    ``load`` is the critical one, ``function`` depends on it, ``others`` are the other loads behind
    the device.
    """

    protector: str
    load: str
    function: str
    others: tuple[str, ...]
    state: str


def shared_circuits(
    design: Design, near: Sequence[Nearest], taken: Mapping[str, Mapping[str, tuple[str, ...]]]
) -> tuple[Shared, ...]:
    """Protective devices that feed a critical load and are the nearest to another load.

    They lose the critical one when they open in one of the states of ``taken`` (state ->
    :func:`lost_by_opening`), whatever protection of its own it has behind them. Not those whose
    other loads are channels of that function with it, or of its channels: where all of the channels
    are wanted, losing one loses all; where they stand in for each other, another rule reports it.
    Nor the lamps of one function.
    """
    together: dict[str, dict[str, str]] = {}
    for entry in near:
        for protector in entry.protectors:
            together.setdefault(protector, {}).setdefault(entry.load, entry.state)
    found: dict[str, Shared] = {}
    for function in critical_functions(design):
        for load in loads_of(design, function):
            for protector, loads in together.items():
                state = next((s for s, takes in taken.items() if load in takes.get(protector, ())), None)
                if protector in found or state is None:
                    continue
                others = unlike(design, function, load, loads)
                if others:
                    found[protector] = Shared(protector, load, function, others, state)
    return tuple(found.values())


def unlike(design: Design, function: str, load: str, others: Iterable[str]) -> tuple[str, ...]:
    """Those of some loads that are not ``load``, needed for ``function``, nor channels with it."""
    return tuple(o for o in others if o != load and not _of_one_function(design, function, load, o))


def _of_one_function(design: Design, critical: str, one: str, other: str) -> bool:
    """Whether two loads, the first needed for a critical function, are channels of it, of a channel
    of it or of what rests on it.

    Of its channels counts as well where it needs each of the two, or either.
    """

    def lost(function: str, *loads: str) -> bool:
        works = {f"parts/{n}": int(n not in loads) for n in design.parts}
        return not function_mask(design, works, 1, function)

    for name, function in design.functions.items():
        if name != critical and not rests_on(design, critical, name) and not rests_on(design, name, critical):
            continue
        if one in function.of and other in function.of:
            return True
        both = {one, other} <= set(loads_of(design, name)) and lost(name, one, other)
        if both and lost(name, one) == lost(name, other):
            return True
    return False


def moved(design: Design, network: Network, answer: StateAnswer, moves: Mapping[str, str]) -> StateAnswer:
    """A state with some switches (switch -> position) moved from it.

    It has a name of its own, so that no phase is flown in it.
    """
    words = " and ".join(f"{switch} at {position}" for switch, position in moves.items())
    state = replace(
        answer.state, name=f"{answer.state.name}, {words}", switches={**answer.state.switches, **moves}
    )
    return solve_state(design, network, state)


def untried(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> dict[tuple[str, str], StateAnswer]:
    """Each position of a switch that joins something and that no state of flight sets, nor an
    abnormal one: the normal state there.

    The normal state is the first of ``answers``. Not where the combination is excluded.
    """
    if not answers:
        return {}
    normal, found = answers[0], {}
    declared = positions_in_flight(design, network, [a.state for a in answers], normal.state)
    for name in design.settable:
        part = design.parts[name]
        joining = (
            [at for at, pairs in part.positions.items() if pairs]
            if isinstance(part, p.Switch)
            else ["closed"]
        )
        for at in joining:
            excluded = is_excluded(design, {**normal.state.switches, name: at})
            if (name, at) not in declared and not excluded:
                found[name, at] = moved(design, network, normal, {name: at})
    return found


@record
class Needed:
    """A protective device whose opening loses a critical load.

    ``load`` and the ``function`` that depends on it, the ``state`` in which it does, and the
    ``others`` whose opening loses the load as well.
    """

    protector: str
    load: str
    function: str
    state: str
    others: tuple[str, ...]


def needed_protectors(
    design: Design, answers: Sequence[StateAnswer], taken: Mapping[str, Mapping[str, tuple[str, ...]]]
) -> dict[str, tuple[Needed, ...]]:
    """Protective device -> the critical loads that its opening loses, each once.

    In one of some states, of which ``taken`` has what each device takes. Not the loads of a function
    that goes on there without electricity.
    """
    found: dict[str, dict[str, Needed]] = {}
    for answer in answers:
        state, takes = answer.state.name, taken[answer.state.name]
        for function in critical_functions(design):
            for load in loads_needed(design, answer, function):
                own = [protector for protector, loads in takes.items() if load in loads]
                for protector in own:
                    others = tuple(o for o in own if o != protector)
                    found.setdefault(protector, {}).setdefault(
                        load, Needed(protector, load, function, state, others)
                    )
    return {protector: tuple(needs.values()) for protector, needs in found.items()}


def guards_a_motor(design: Design, network: Network, answers: Sequence[StateAnswer], protector: str) -> bool:
    """Whether a protective device feeds motors alone and has another one ahead of it.

    One terminal leads to motors alone; the other is never fed but through another protective
    device, or by none.
    """
    line, load = map(network.node, design.parts[protector].posts(protector))
    for inner, outer in ((load, line), (line, load)):
        users = [
            bare(c.element) for c in network.consumers if set(c.plus) & _led_to(network, inner, protector)
        ]
        if not users or any(getattr(design.parts[u], "type", None) != "motor" for u in users):
            continue
        fed = [feedings[0] for feedings in feeding_of(network, answers, [(outer, f"parts/{protector}")])]
        if any(protectors for _, protectors in fed) and not any(sources for sources, _ in fed):
            return True
    return False


def _led_to(network: Network, start: int, protector: str) -> set[int]:
    """All nodes joined to a terminal of a protective device on its own side.

    In any state, through whatever protection is in the path.
    """
    return reachable(
        network,
        [start],
        lambda link, leaving: link.element != f"parts/{protector}" and anything_along(link, leaving),
    )
