"""Returns that are shared or lost.

Which conductors returns have in common, what the loss of one takes, and the leads between grounds.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import takewhile

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.masks import join, ways_out
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.paths.series_leads import lead_from, lead_wires, negative_leads
from reviewer.analysis.wiring.circuits import is_pulsed
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, PoweredDevice, Source, bare, holder
from reviewer.network.search import conductors, reachable, shortest

#: what a ground lead joins: blocks, studs, structure, and the negatives of sources
_GROUNDS = (p.GroundBlock, p.Stud, p.Airframe, *p.SOURCES)


def return_side(network: Network) -> set[int]:
    """Nodes that plain conductors join to the negative of a source."""
    return reachable(network, (s.negative for s in network.sources), conductors)


def ground_leads(design: Design, network: Network) -> tuple[str, ...]:
    """Names of the wires from one ground to another, joints in series between them.

    Between blocks, studs, structure and the negatives of sources.
    """
    side = return_side(network)

    def is_ground(node: int) -> bool:
        return node in side and isinstance(design.parts[network.names[node].partition(".")[0]], _GROUNDS)

    def ends_grounded(wire: str, terminal: str) -> bool:
        node = network.node(terminal)
        return is_ground(node) or is_ground(
            lead_from(design, network, network.links_of[f"wires/{wire}"][0], node).end
        )

    return tuple(n for n, w in design.wires.items() if ends_grounded(n, w.from_) and ends_grounded(n, w.to))


def necessary(network: Network, starts: Collection[int], goals: Collection[int]) -> tuple[str, ...]:
    """Cut elements: those without which no start reaches a goal, with every contact closed.

    In the order of the path there. Of a connector only the pins in the path count.
    """
    return _elements(network, _necessary(network, starts, goals))


def _necessary(network: Network, starts: Collection[int], goals: Collection[int]) -> tuple[int, ...]:
    """The conductors of :func:`necessary`."""
    steps = network.returning

    def path(without: int) -> list[int] | None:
        found = (
            shortest(s, goals, lambda node: (step for step in steps[node] if step[1] != without))
            for s in starts
        )
        return next((nearest[1] for nearest in found if nearest is not None), None)

    return tuple(c for c in dict.fromkeys(path(-1) or ()) if path(c) is None)


def _elements(network: Network, conductors_: Iterable[int]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(network.links[c].element for c in conductors_))


class Homes:
    """The batteries to which the current of a user returns: those that feed it.

    In the states of flight (``flown``), else in any of the others (``declared``), as a starter; else
    with every contact closed, as a motor that no state runs; all where none can. An alternator
    returns the current of those that it feeds.
    """

    def __init__(
        self,
        design: Design,
        network: Network,
        flown: Sequence[StateAnswer] = (),
        declared: Sequence[StateAnswer] = (),
    ):
        self.design, self.network, self.flown, self.declared = design, network, flown, declared
        self._inlets = {bare(c.element): c.inlets for c in network.consumers}
        self._batteries = [s for s in network.sources if s.kind == "battery"]

    def of(self, name: str) -> frozenset[str]:
        """The names of the batteries of a load, instrument or alternator."""
        for answers in (self.flown, self.declared):
            found = frozenset(
                bare(s.element) for s in self._batteries for a in answers if self._feeds(a, s, name)
            )
            if found:
                return found
        able = frozenset(bare(s.element) for s in self._batteries if self._can_feed(s, name))
        return able or frozenset(bare(s.element) for s in self._batteries)

    def _can_feed(self, battery: Source, name: str) -> bool:
        reached = reachable(
            self.network,
            [battery.positive],
            lambda link, leaving: (leaving or not link.oneway) and link.gate is not Gate.SHIELD,
        )
        return not reached.isdisjoint(self._inlets.get(name, ()))

    def _feeds(self, answer: StateAnswer, battery: Source, name: str) -> bool:
        fed = answer.healthy.fed
        if isinstance(self.design.parts[name], p.Alternator):
            return bool(fed[f"parts/{name}"][battery.positive])
        return any(fed[battery.element][n] for n in self._inlets[name])


def star(design: Design, network: Network, batteries: Collection[str]) -> frozenset[int]:
    """Where returns may meet: the conductors of the star at some batteries.

    The leads on the negatives of these, with the joints in series in them, and the blocks, studs
    and structure at their other ends.
    """
    found: set[int] = set()
    for lead in negative_leads(design, network, batteries):
        owner = network.names[lead.end].partition(".")[0]
        found.update(lead.links)
        found.update(network.links_of.get(f"parts/{owner}", ()))
    return frozenset(network.conductors[i] for i in found)


@record
class SharedReturn:
    """The elements that the return of ``noisy`` has in common with that of ``instrument``.

    In the order of the path back; ``path`` goes from ``noisy`` to the last of them.
    """

    noisy: str
    instrument: str
    elements: tuple[str, ...]
    path: tuple[str, ...]


def noisy_users(design: Design) -> tuple[str, ...]:
    """Names of the alternators, starters and loads of pulsed current."""
    heavy = (n for n, part in design.parts.items() if isinstance(part, p.Alternator) or _is_starter(part))
    return tuple(dict.fromkeys((*heavy, *(n for n, part in design.parts.items() if is_pulsed(part)))))


def instrument_returns(design: Design, network: Network, homes: Homes) -> dict[str, tuple[int, ...]]:
    """Name of each instrument -> the conductors without which its return reaches no battery that
    feeds it."""
    return {name: _path_home(design, network, name, homes.of(name)) for name in design.of_kind(p.Instrument)}


def shared_returns(
    design: Design,
    network: Network,
    noisy: str,
    returns: Mapping[str, Collection[int]],
    hearing: Collection[str],
    batteries: Collection[str],
) -> tuple[SharedReturn, ...]:
    """What the return of a noisy load has in common with those of instruments.

    Of an alternator, starter or load with ``returns``, before the star at its ``batteries``. With a
    pulsed load only instruments count that take sound or the signal of a sensor (``hearing``), with
    an alternator or starter all do. A load whose supply is filtered shares what is ahead of its first
    block, stud or structure alone: behind it its pulses are smoothed.
    """
    part, own = design.parts[noisy], _path_home(design, network, noisy, batteries)
    points = star(design, network, batteries)
    heavy = isinstance(part, p.Alternator) or _is_starter(part)
    if not heavy and getattr(part, "filtered", False):
        own = tuple(takewhile(lambda c: not _is_ground(design, network, c), own))
    found = []
    for name, theirs in returns.items():
        common = tuple(c for c in own if c in theirs and c not in points)
        if common and name != noisy and (heavy or name in hearing):
            path = own[: own.index(common[-1]) + 1]
            found.append(SharedReturn(noisy, name, _elements(network, common), _elements(network, path)))
    return tuple(found)


def crossed_blocks(
    design: Design,
    network: Network,
    noisy: str,
    wires: Collection[str],
    returns: Mapping[str, Collection[int]],
    batteries: Collection[str],
) -> tuple[SharedReturn, ...]:
    """The blocks and studs of instruments with ``returns`` that some wires, by name, cross with the return
    current of a starter, by one of several paths: at least two of them end there. None of the star at its
    ``batteries``, nor structure."""
    points = star(design, network, batteries)
    found = []
    for name, theirs in returns.items():
        for c in theirs:
            element = network.links[c].element
            if c in points or not isinstance(design.parts.get(bare(element)), (p.GroundBlock, p.Stud)):
                continue
            ends = [w for w in wires if bare(element) in design.wires[w].joined_parts]
            if len(ends) > 1:
                crossed = (element, *(f"wires/{w}" for w in ends))
                found.append(SharedReturn(noisy, name, crossed, crossed))
    return tuple(found)


def _is_ground(design: Design, network: Network, conductor: int) -> bool:
    element = network.links[conductor].element
    return element.startswith("parts/") and isinstance(design.parts[bare(element)], _GROUNDS)


def _path_home(design: Design, network: Network, name: str, batteries: Collection[str]) -> tuple[int, ...]:
    part = design.parts[name]
    returns = part.returns if isinstance(part, p.Consumer) else ("ground",)
    goals = {network.node(f"{n}.negative") for n in batteries}
    return _necessary(network, [network.node(f"{name}.{t}") for t in returns], goals)


def _is_starter(part: p.Part) -> bool:
    return isinstance(part, p.Load) and part.type == "starter"


@record
class LostGround:
    """A wire, or a bolt of structure, whose opening loses the return of several loads in a state.

    ``batteries`` are those to which they lose it while they keep that to an alternator.
    """

    wire: str
    state: str
    users: tuple[str, ...]
    batteries: tuple[str, ...] = ()
    #: the wire, or the wires on the bolt
    opened: tuple[str, ...] = ()

    @property
    def to_battery(self) -> str:
        """Where the return no longer leads, in words; "" where it leads nowhere."""
        return f" to {' and '.join(self.batteries)}" if self.batteries else ""


def lost_grounds(design: Design, network: Network, answer: StateAnswer) -> dict[str, LostGround]:
    """Return wires and bolts of which the opening loses two or more loads, or leaves them an
    alternator alone.

    A load has its return where that reaches a battery that feeds it; an alternator alone counts
    where no battery does. Not where all of these are channels of functions that have enough others:
    such a wire is the ground of one channel. Nor that of one unit and of the loads that it drives. Nor the
    negative lead of a battery or of a converter: its opening loses that source.
    """
    side, found = return_side(network), {}
    cables = lead_wires(design, network)
    lanes = {f.element: i for i, f in enumerate(answer.failures) if f.mode == OPEN}
    every = {c.element: _circuits(network, answer, c) for c in network.consumers}
    ways = {e: pairs for e, pairs in every.items() if pairs and answer.healthy.powered[e]}
    returned = {e: join(answer.failed.returned[s.element][n] for s, n in pairs) for e, pairs in ways.items()}
    some = several = 0
    for mask in returned.values():
        several |= some & ~mask
        some |= ~mask
    for element in (*(f"wires/{name}" for name in design.wires), *network.groups):
        opened = network.groups.get(element, (element,))
        lane = lanes.get(element)
        if lane is None or not several >> lane & 1 or not cables.isdisjoint(opened):
            continue
        pieces = _pieces(network, side, opened)
        # what dies because a relay lost its own ground has its return still
        parted = [
            e
            for e, pairs in ways.items()
            if not returned[e] >> lane & 1
            and not any(all((n in piece) == (s.negative in piece) for piece in pieces) for s, n in pairs)
            and not _own_lead_of(network, element, [s for s, _ in pairs])
        ]
        users = tuple(bare(e) for e in parted)
        units = {d if (d := getattr(design.parts[u], "driver", None)) in users else u for u in users}
        if len(units) < 2 or not _matters(design, answer, users):
            continue
        batteries: tuple[str, ...] = ()
        if any(answer.failed.powered[e] >> lane & 1 for e in parted):
            batteries = tuple(dict.fromkeys(bare(s.element) for e in parted for s, _ in ways[e]))
        found[element] = LostGround(element, answer.state.name, users, batteries, opened)
    return found


def _own_lead_of(network: Network, element: str, feeding: Sequence[Source]) -> bool:
    """Whether a wire is the lead to the ground of the converters that alone feed a load."""
    nodes = network.nodes_of.get(element, ())
    return all(s.kind == "converter" and s.negative in nodes for s in feeding)


def _pieces(network: Network, side: Collection[int], opened: Collection[str]) -> list[set[int]]:
    """The pieces into which the return side falls at some wires that open; one where they have
    a path beside them."""
    ends = [n for e in opened for i in network.links_of[e] for n in (network.links[i].a, network.links[i].b)]
    pieces: list[set[int]] = []
    for end in ends if all(n in side for n in ends) else ():
        if not any(end in piece for piece in pieces):
            pieces.append(
                reachable(network, [end], lambda o, onto: conductors(o, onto) and o.element not in opened)
            )
    return pieces


def _matters(design: Design, answer: StateAnswer, users: Collection[str]) -> bool:
    """Whether some users serve no function that goes on without all of them."""
    left = {
        e: 0 if bare(e) in users and holder(e) == e else mask for e, mask in answer.healthy.powered.items()
    }
    lives = function_masks(design, left, 1)
    kept = {channel for name, f in design.functions.items() if lives[name] for channel in f.of}
    losing = {
        channel
        for name, f in design.functions.items()
        if answer.alive[name] and not lives[name]
        for channel in f.of
    }
    return any(u in losing or u not in kept for u in users)


def _circuits(network: Network, answer: StateAnswer, user: PoweredDevice) -> list[tuple[Source, int]]:
    """The batteries that feed a user in a state, each with a node at which its current returns to it;
    its sources where none is one. One that is off at its negative feeds nothing."""
    solved = answer.healthy
    found = [
        (s, n)
        for s in network.sources
        for n in ways_out(user, solved.fed[s.element])
        if solved.returned[s.element][n]
    ]
    return [(s, n) for s, n in found if s.kind == "battery"] or found


def by_wire(lost: Iterable[dict[str, LostGround]]) -> dict[str, LostGround]:
    """The lost grounds of several states: of each wire the first that takes most users."""
    worst: dict[str, LostGround] = {}
    for state in lost:
        for element, ground in state.items():
            if element not in worst or len(ground.users) > len(worst[element].users):
                worst[element] = ground
    return worst
