"""Sneak circuits: current that reaches a circuit which is off, through a load, a lamp or a coil.

Here loads are conductors: a lamp, heater, motor or coil in both directions, electronics from supply
to return only. Current ends at the return of its source; past a return that is lost it flows on
into whatever else is connected there. Each switch is moved from a declared state, alone or with what
an exclusion makes it take along, and in each of these settings every conductor of the return side is
opened once.

What is on in a setting before the return is lost is not off after it. Where the currents of all
loads on the path are known the state is solved, and only what then lights, turns, works, picks up
or stays energised is reported: of the circuit at the end of the path, and past a lost return of the
loads that pass the current too. A load that gives no current in the phases of the state, for it is
off then, has its largest. Past a lost return a current that is missing is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from operator import itemgetter

from reviewer.analysis.conduction.exclusions import ways_along
from reviewer.analysis.conduction.failure_modes import OPEN, Failure, stuck_contacts
from reviewer.analysis.conduction.fixed_point import conduct_lanes, link_masks
from reviewer.analysis.conduction.masks import at_any, first_of_each_block, served
from reviewer.analysis.conduction.propagation import Propagator, Reached, chain_masks, ends_at
from reviewer.analysis.conduction.scenarios import Case, lanes_of_pairs
from reviewer.analysis.conduction.states import StateAnswer, solve_state
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.paths.lane_paths import LanePaths
from reviewer.analysis.paths.own_returns import own_returns
from reviewer.analysis.paths.sneak_effects import UNWEIGHED, SneakEffect, sneak_effect
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network, PoweredDevice, Source, bare

#: types of load that conduct in both directions
_BOTH_DIRECTIONS = ("lamp", "resistive", "heater", "motor", "inductive", "starter")
#: the operating point of a declared state with some failures, True where each load takes the largest
#: current of its phases; raises NotAssessable
Solve = Callable[[str, tuple[Failure, ...], bool], OperatingPoint]


@record
class Sneak:
    """``victim`` gets current from ``source`` though it is off, in a ``state`` or one move from it.

    ``through`` are the loads and coils that pass the current, ``moved`` the (switch, position) that
    differs from that state or None, ``lost`` the conductor of the return side that is open or
    "". ``effect`` is what the victim does.
    """

    victim: str
    source: str
    through: tuple[str, ...]
    moved: tuple[str, str] | None
    lost: str
    path: tuple[str, ...]
    state: str
    effect: SneakEffect


def sneaks(
    design: Design,
    network: Network,
    answer: StateAnswer,
    solve: Solve,
    wider: tuple[Network, int] | None = None,
) -> Iterator[Sneak]:
    """One sneak path for each victim: with nothing lost if there is one, else with the first return
    whose loss opens it. ``wider`` is what :func:`with_loads` gives, where it is known."""
    search = _SneakSearch(design, network, answer, solve, wider or with_loads(design, network))
    return iter(search.sneaks().values())


@record
class _Candidate:
    """A user that nothing powers and that a source reaches in some ``lanes`` at one of ``nodes``."""

    user: PoweredDevice
    source: str
    nodes: tuple[int, ...]
    lanes: int


#: how soon a lane is tried, the number of its candidate, and (element, True where it is a load) along
#: the path
_Place = tuple[tuple[bool, bool, int], int, list[tuple[str, bool]]]


def _moves(design: Design, now: Mapping[str, str], stuck: Iterable[Failure]) -> Iterator[tuple[Failure, ...]]:
    """Each switch at each other position, with what an exclusion makes it take along; not where it
    cannot be set."""
    for move in (f for f in stuck if f.position):
        switch = bare(move.element)
        along = next(ways_along(design, {**now, switch: move.position}, switch), None)
        if along is not None:
            others = (replace(move, element=f"parts/{s}", position=at) for s, at in along)
            yield (move, *others)


class _SneakSearch:
    """Every single move with every single loss of a return conductor, a lane for each pair."""

    def __init__(
        self,
        design: Design,
        network: Network,
        answer: StateAnswer,
        solve: Solve,
        wider: tuple[Network, int],
    ):
        self.design, self.network, self.solve = design, network, solve
        own = answer.state.by_own_circuits()
        self.answer = answer if own is answer.state else solve_state(design, network, own)
        answer = self.answer
        stuck = stuck_contacts(design, dict(answer.state.switches))
        self.moves: list[tuple[Failure, ...]] = [(), *_moves(design, answer.state.switches, stuck)]
        self.losses: list[Case] = [(), *_return_losses(design, network, answer)]
        self.lanes = lanes_of_pairs(network, answer.state, self.moves, self.losses)
        self.solved = conduct_lanes(network, self.lanes, answer.healthy)
        self.unhurt = sum(1 << m * len(self.losses) for m in range(len(self.moves)))
        self.wider, self.first = wider
        self.users = {u.element: u for u in (*network.consumers, *network.coils)}
        self.along, self.against = link_masks(self.lanes, self.solved.energised)
        for link in self.wider.links[self.first :]:
            mask = self.lanes.every & ~self.lanes.opened.get(link.element, 0)
            self.along.append(mask)
            self.against.append(0 if link.oneway else mask)

    def sneaks(self) -> dict[str, Sneak]:
        """Victim -> its sneak path."""
        found: dict[str, Sneak] = {}
        by_user: dict[str, list[_Candidate]] = {}
        lanes: dict[str, int] = {}
        for candidate in self._candidates():
            by_user.setdefault(candidate.user.element, []).append(candidate)
            lanes[candidate.source] = lanes.get(candidate.source, 0) | candidate.lanes
        self.paths = {source: self._paths(source, mask) for source, mask in lanes.items()}
        for victim, candidates in by_user.items():
            tried = set()
            count = len(self.losses)
            for (_, _, lane), i, path in sorted(self._places(candidates), key=itemgetter(0, 1)):
                key = lane // count, *(e for e, passed in path if passed)
                if key in tried:
                    continue
                tried.add(key)
                for sneak in self._effects(candidates[i], lane, path):
                    if sneak.victim not in found or found[sneak.victim].effect.missing:
                        found[sneak.victim] = sneak
                if victim in found and found[victim].effect.does:
                    break
        return found

    def _places(self, candidates: Sequence[_Candidate]) -> Iterator[_Place]:
        """The first lane of each move in which a path leads to a candidate; a later one of the same
        path and move shows nothing else."""
        count = len(self.losses)
        for number, candidate in enumerate(candidates):
            fed = self.solved.fed[candidate.source]
            goals = {n: candidate.lanes & ~fed[n] for n in candidate.nodes}
            for lanes, links in self.paths[candidate.source].routes(goals):
                path = list(dict.fromkeys((self.wider.links[i].element, i >= self.first) for i in links))
                for lane in first_of_each_block(lanes, count):
                    yield _rank(lane, count), number, path

    def _effects(self, candidate: _Candidate, lane: int, path: list[tuple[str, bool]]) -> Iterator[Sneak]:
        """What the circuit at the end of a path does; past a lost return, what else is off too."""
        moves, loss = self.moves[lane // len(self.losses)], self.losses[lane % len(self.losses)]
        case = (*moves, loss) if isinstance(loss, Failure) else moves
        through = tuple(dict.fromkeys(e for e, passed in path if passed))
        victim = candidate.user.element
        point = self._point(case, (*through, victim))
        own = _rank(lane, len(self.losses))[0]
        solved = isinstance(point, OperatingPoint)
        passing = [e for e in through if own and solved and not self._on(e) >> lane & 1]
        for element in (victim, *passing):
            effect = UNWEIGHED
            if isinstance(point, str):
                # with nothing lost the drawing is wrong whatever the currents are
                effect = replace(UNWEIGHED, does="", missing=point) if point and own else UNWEIGHED
            else:
                held = bool(self.answer.healthy.energised.get(element, 0))
                effect = sneak_effect(self.design, self.users[element], point, held)
                if held and not own:
                    continue  # a relay that stays energised with nothing failed is reported by another rule
                if getattr(self.design.parts[bare(element)], "type", None) == "lamp" and self._cut_off(lane):
                    continue  # the loss of all loads of a battery shows before that lamp
            if effect.does or effect.missing:
                yield Sneak(
                    element,
                    candidate.source,
                    tuple(e for e in (*through, victim) if e != element) if element != victim else through,
                    (bare(moves[0].element), moves[0].position) if moves else None,
                    loss.element if isinstance(loss, Failure) else "",
                    tuple(
                        dict.fromkeys(
                            [
                                candidate.source,
                                *(e for e, _ in path),
                                *([victim] if element != victim else ()),
                            ]
                        )
                    ),
                    self.answer.state.name,
                    effect,
                )

    def _cut_off(self, lane: int) -> bool:
        """Whether a battery that loads have their return at has that of none in a lane: the ground block at
        its negative is lost."""
        solved, unhurt = self.solved, lane - lane % len(self.losses)
        on = (u for u in self.network.consumers if solved.powered[u.element] >> unhurt & 1)
        ends = [node for user in on for node in user.minus]
        batteries = (solved.returned[s.element] for s in self.network.sources if s.kind == "battery")
        return any(
            any(at[n] >> unhurt & 1 for n in ends) and not any(at[n] >> lane & 1 for n in ends)
            for at in batteries
        )

    def _point(self, case: tuple[Failure, ...], loads: tuple[str, ...]) -> OperatingPoint | str:
        """The operating point with some failures, ``loads`` along the path, the victim last; in its
        place what is missing, "" where a load on the path cannot be weighed."""
        # the first load is entered from a live conductor; of the others only a single supply is solved
        if any(len(self.users[e].plus) > 1 for e in loads[1:]):
            return ""
        try:
            point = self.solve(self.answer.state.name, case, False)
            if any(e in point.undrawn and self._by_phase(e) for e in loads):
                point = self.solve(self.answer.state.name, case, True)
        except NotAssessable as lacking:
            return str(lacking)
        # two in a row of unknown current have no volts between them, and so are no gap of the point
        lacks = {e: self._unstated(e) for e in loads} | dict(point.undrawn)
        keys = [f"{lacks[e]} of {bare(e)}" for e in loads if lacks[e]]
        return " and ".join(dict.fromkeys(keys)) or point

    def _unstated(self, element: str) -> str:
        """The key of a current that the file does not give; "" where it does."""
        part = self.design.parts[bare(element)]
        return "`current`" if isinstance(part, p.Consumer) and part.current is None else ""

    def _by_phase(self, element: str) -> bool:
        """Whether the file gives the current of a load by phase."""
        part = self.design.parts[bare(element)]
        return isinstance(part, p.Consumer) and isinstance(part.current, Mapping)

    def _on(self, element: str) -> int:
        """The lanes in which a user is on, or would be if no return were lost."""
        on = self.solved.powered.get(element, 0) | self.solved.energised.get(element, 0)
        for sneak in self.answer.state.sneaks:  # of a coil without another circuit
            on |= self.solved.energised[sneak.relay] if element in sneak.through else 0
        user = self.users[element]
        if _either_way(self.design, user) and not user.either_way:
            # a motor that its own circuit feeds in reverse turns: that is no sneak path
            turned = replace(user, either_way=True)
            for source, fed in self.solved.fed.items():
                on |= served(turned, fed, self.solved.returned[source])
        # the lane of a move with nothing lost is the first of its block
        return on | (on & self.unhurt) * ((1 << len(self.losses)) - 1)

    def _candidates(self) -> Iterator[_Candidate]:
        off = {e: ~(self.lanes.opened.get(e, 0) | self._on(e)) for e in self.users}
        chains = chain_masks(self.wider.contracted, self.along, self.against)
        #: by what returns to them: sources of one negative share it
        onward: dict[int, Propagator] = {}
        for source in self.network.sources:
            returned = self.solved.returned[source.element]
            if id(returned) not in onward:
                # a path ends where it reaches the return of the source
                ends = ends_at(self.wider.contracted, returned)
                onward[id(returned)] = Propagator(
                    self.wider.contracted, self.along, self.against, ends, chains
                )
            yield from self._reached_from(source, off, onward[id(returned)])

    def _reached_from(
        self, source: Source, off: Mapping[str, int], onward: Propagator
    ) -> Iterator[_Candidate]:
        """What a source reaches ``onward`` of the users that are ``off``."""
        returned, fed = self.solved.returned[source.element], self.solved.fed[source.element]
        start = self.solved.alive[source.element] & ~returned[source.positive]
        reach = onward.from_node(source.positive, start)
        for user in self.users.values():
            for into, out in _directions(self.design, user):
                lanes = _into(reach, fed, into) & at_any(returned, out) & off[user.element]
                if lanes:
                    yield _Candidate(user, source.element, into, lanes)

    def _paths(self, source: str, lanes: int) -> LanePaths:
        """The sneak paths from a source in some lanes; they end at its return."""
        start = next(s.positive for s in self.network.sources if s.element == source)
        return LanePaths(self.wider, start, lanes, self.along, self.against, self.solved.returned[source])


def _return_losses(design: Design, network: Network, answer: StateAnswer) -> Iterator[Failure]:
    """The opening of each conductor of the return side; metal structure does not open, and where the
    return of one load alone opens, no current flows on. A load by itself is no conductor: open, it
    only takes away a path through it."""
    left = {f"parts/{n}" for n in design.of_kind(p.Airframe)} | own_returns(network)
    backs = {id(back): back for back in answer.healthy.returned.values()}.values()
    returned = {n for back in backs for n in range(len(network.names)) if back[n]}
    for element in network.elements:
        nodes = network.nodes_of[element]
        if not network.parting(element):
            continue
        if element not in left and answer.live.isdisjoint(nodes) and not returned.isdisjoint(nodes):
            yield Failure(element, OPEN)


def _into(reach: Reached, fed: Sequence[int], nodes: tuple[int, ...]) -> int:
    """The lanes in which a sneak path reaches one of some nodes that the source does not feed."""
    mask = 0
    for node in nodes:
        mask |= reach[node] & ~fed[node]
    return mask


def _directions(design: Design, user: PoweredDevice) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """(where current enters, where it leaves) a load or coil."""
    either = _either_way(design, user)
    yield from (user if either is user.either_way else replace(user, either_way=either)).directions


def _either_way(design: Design, user: PoweredDevice) -> bool:
    part = design.parts[bare(user.element)]
    return user.either_way or (isinstance(part, p.Load) and part.type in _BOTH_DIRECTIONS)


def _rank(lane: int, losses: int) -> tuple[bool, bool, int]:
    """The lane that is easiest to explain first: nothing lost, then nothing moved."""
    return (lane % losses != 0, lane // losses != 0, lane)


def with_loads(design: Design, network: Network) -> tuple[Network, int]:
    """The network with a link through every load, instrument and coil; and the index of the first
    of these links."""
    links = list(network.links)
    for consumer in (*network.consumers, *network.coils):
        oneway = not _either_way(design, consumer)
        for plus in consumer.plus:
            links.append(Link(plus, consumer.minus[0], consumer.element, oneway=oneway))
    around: list[list[tuple[int, int, bool]]] = [list(edges) for edges in network.around]
    for i in range(len(network.links), len(links)):
        around[links[i].a].append((i, links[i].b, True))
        around[links[i].b].append((i, links[i].a, False))
    return replace(network, links=tuple(links), around=tuple(map(tuple, around))), len(network.links)
