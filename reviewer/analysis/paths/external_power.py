"""External power: what is between its socket and the aircraft.

Tried with the right polarity, with reversed polarity, and with nothing plugged in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct, conduct_states
from reviewer.analysis.conduction.states import StateAnswer, conducts, feed_path
from reviewer.analysis.paths.exempt_cables import exempt_wires
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, Source, bare
from reviewer.network.search import reachable_by, shortest


@record
class Socket:
    """An external power socket.

    * ``unprotected``: a path to a bus or another source without a protector, () where there is
      none; one by cables of the starting circuit alone needs none;
    * ``uncontrolled``: a path that no contactor of its own can open, () where there is none;
    * ``contactors``: those without which the socket reaches nothing;
    * ``reversed_in``: the (contactor, state) in which all of these close with the polarity
      reversed;
    * ``live_pins``: the (state, source, path) by which the aircraft feeds the pins with nothing
      plugged in;
    * ``port``: whether every path passes circuit protection too small to crank through, as at the
      port of a charger; ``unrated`` a protective device whose rating decides that, or "";
    * ``reverse_reaches``: the (bus or load, state) that a reversed polarity reaches with no battery
      beside it whose current would open that protection.
    """

    socket: str
    unprotected: tuple[str, ...]
    uncontrolled: tuple[str, ...]
    contactors: tuple[str, ...]
    reversed_in: tuple[str, str] | None
    live_pins: tuple[str, str, tuple[str, ...]] | None
    port: bool
    unrated: str
    reverse_reaches: tuple[str, str] | None


def sockets(
    design: Design, network: Network, states: tuple[ResolvedState, ...], most: float
) -> dict[str, Socket]:
    """Every external power socket, in every declared state, plugged in and not plugged in.

    ``most`` is the largest circuit protection of a port, in amperes.
    """
    return {
        s.element: _socket(design, network, states, s, most)
        for s in network.sources
        if s.kind == "external-power"
    }


def _socket(
    design: Design, network: Network, states: tuple[ResolvedState, ...], source: Source, most: float
) -> Socket:
    coils = [c.element for c in network.coils]
    path = _path(design, network, source, frozenset(), ())
    own = tuple(c for c in coils if path and not _path(design, network, source, frozenset({c}), ()))
    return Socket(
        source.element,
        _unprotected(design, network, source),
        () if own else _path(design, network, source, frozenset(coils), ()) or path,
        own,
        _reversed_in(network, states, source, own),
        _live_pins(design, network, states, source),
        bool(path) and not _path(design, network, source, _small(design, most), ()),
        _unrated(design, network, source, most),
        _reverse_reaches(design, network, states, source),
    )


def _small(design: Design, most: float) -> frozenset[str]:
    """The protective devices too small to crank through: up to ``most`` A, and below the starters."""
    loads = (design.parts[n] for n in design.of_kind(p.Load))
    starters = [load.running_current for load in loads if load.type == "starter"]
    ratings = {n: design.parts[n].rating for n in design.of_kind(p.Protector)}
    return frozenset(
        f"parts/{n}"
        for n, rating in ratings.items()
        if rating is not None and rating <= most and all(c is None or rating < c for c in starters)
    )


def _unrated(design: Design, network: Network, source: Source, most: float) -> str:
    """A protective device without a rating, without which the socket would be no port; else ""."""
    unknown = [n for n in design.of_kind(p.Protector) if design.parts[n].rating is None]
    small = _small(design, most)
    for name in unknown:
        rest = small | {f"parts/{n}" for n in unknown if n != name}
        if _path(design, network, source, rest, ()) and not _path(
            design, network, source, rest | {f"parts/{name}"}, ()
        ):
            return name
    return ""


def _reverse_reaches(
    design: Design, network: Network, states: tuple[ResolvedState, ...], source: Source
) -> tuple[str, str] | None:
    """A bus or load whose current could flow back into the positive pin, and no battery feeds it.

    On the ground, where the file has such states.
    """
    batteries = [s.element for s in network.sources if s.kind == "battery"]
    ends: list[tuple[str, tuple[int, ...]]]
    ends = [(name, (network.index[name],)) for name in design.of_kind(p.Bus) if name in network.index]
    ends += [(bare(c.element), c.inlets) for c in network.consumers]
    for state in [s for s in states if s.use == "ground"] or states:
        plugged = replace(state, external_power=False)
        answer = StateAnswer(design, network, plugged, conduct(network, plugged))
        back = reachable_by([source.positive], partial(_upstream, network, answer))
        for name, nodes in ends:
            if any(n in back and not any(answer.healthy.fed[b][n] for b in batteries) for n in nodes):
                return name, state.name
    return None


def _upstream(network: Network, answer: StateAnswer, node: int) -> Iterator[int]:
    """The next nodes against the current in a state."""
    for i, other, leaving in network.around[node]:
        if conducts(network, answer, i, not leaving):
            yield other


def _path(
    design: Design, network: Network, source: Source, opened: frozenset[str], gates: tuple[Gate, ...]
) -> tuple[str, ...]:
    """The elements by which the socket reaches a bus or another source, with all switches closed,
    some relays de-energised, some protective devices and some gates open."""
    goals = _goals(design, network, source)

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if not (
                link.gate in gates
                or (link.gate in (Gate.ENERGISED, Gate.PROTECTOR) and link.element in opened)
                or (link.oneway and not leaving)
            ):
                yield other, link.element

    nearest = shortest(source.positive, goals, onward)
    return tuple(dict.fromkeys((source.element, *nearest[1]))) if nearest else ()


def _unprotected(design: Design, network: Network, source: Source) -> tuple[str, ...]:
    """A path of :func:`_path` that passes no protective device and leaves the starting circuit.

    From there no cable of a battery counts, nor what is beyond its post, as that is protected against the
    battery; but a bus does.
    """
    exempt, goals = exempt_wires(design, network), _goals(design, network, source)
    posts = frozenset[int]()

    def onward(node: int, of: Callable[[str], bool]) -> Iterator[tuple[int, str]]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if link.gate is not Gate.PROTECTOR and (leaving or not link.oneway) and of(link.element):
                yield other, link.element

    def starting(element: str) -> bool:
        return element in exempt or not element.startswith("wires/")

    if not exempt.isdisjoint(e for _, e in onward(source.positive, starting)):
        goals -= reachable_by([source.positive], lambda n: (other for other, _ in onward(n, starting)))
        posts = frozenset(s.positive for s in network.sources if s.kind == "battery")
        goals -= posts

    def further(node: int) -> Iterator[tuple[int, str]]:
        return iter(()) if node in posts else onward(node, lambda element: True)

    nearest = shortest(source.positive, goals, further)
    return tuple(dict.fromkeys((source.element, *nearest[1]))) if nearest else ()


def _goals(design: Design, network: Network, source: Source) -> set[int]:
    """The buses and the positives of the other sources."""
    goals = {network.index[name] for name in design.of_kind(p.Bus) if name in network.index}
    return goals | {s.positive for s in network.sources if s.element != source.element}


def _reversed_in(
    network: Network, states: tuple[ResolvedState, ...], source: Source, contactors: tuple[str, ...]
) -> tuple[str, str] | None:
    """The first contactor, and a state in which all of them close with the polarity reversed."""
    swapped = replace(source, positive=source.negative, negative=source.positive)
    turned = replace(network, sources=tuple(swapped if s is source else s for s in network.sources))
    others = tuple(Failure(s.element, OPEN) for s in network.sources if s is not source)
    for state in states:
        solved = conduct(turned, replace(state, external_power=True), [others])
        if contactors and all(solved.energised[c] for c in contactors):
            return contactors[0], state.name
    return None


def _live_pins(
    design: Design, network: Network, states: tuple[ResolvedState, ...], source: Source
) -> tuple[str, str, tuple[str, ...]] | None:
    """A state, a source and the path by which it feeds the positive pin with nothing plugged in."""
    unplugged = [replace(state, external_power=False) for state in states]
    solved = conduct_states(network, unplugged)
    for i, state in enumerate(unplugged):
        if solved.live(source.positive) >> i & 1:
            answer = StateAnswer(design, network, state, conduct(network, state))
            feeder = answer.fed_by(source.positive)[0]
            return state.name, feeder, feed_path(network, answer, feeder, source.positive)
    return None
