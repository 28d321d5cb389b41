"""Equivalent failures of a state: those that do the same to every function, alone and together with
any other failure.

* *Opens* are equivalent where they cut the same chains of the contracted graph. They differ only
  when a short is inside one of these chains.
* *Shorts* are equivalent where the grounded nodes are one piece of metal in this state: joined by
  wires, bars and closed switches, with no protector, diode or relay contact between. They differ
  only when the other failure parts that metal.
* *Idle* is what is pendant: chains that lead to no load in question, coil, field or source, or that
  a switch or a pulled protector holds open. An idle failure does nothing together with another,
  unless a short begins on the same pendant part. An idle open there can only keep the short from
  the rest of the network: where the part is joined to it at one node, and without a relay contact,
  the two together do what the short does, or nothing.

Where they differ, the pairs are listed one by one, so that the grouping loses nothing; a test
compares it with every pair solved by itself. (Fault collapsing, in the words of circuit test.)
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, SEVERED, SHORT, Failure
from reviewer.analysis.conduction.metal import grounded_alike, pieces
from reviewer.analysis.cut_sets.core import Place, network_core
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import MOVED, Gate, Network


@record
class Group:
    """Equivalent failures.

    ``members`` are their indexes, ``opened`` the elements that any of them opens, ``places`` the
    chains and pendant parts where they are, ``metal`` the pieces of metal that they ground.
    """

    members: tuple[int, ...]
    idle: bool
    opened: frozenset[str]
    places: frozenset[Place]
    metal: frozenset[int] = frozenset()


@record
class Sample:
    """One pair of failures that stands for every pair of ``firsts`` and ``seconds``."""

    pair: tuple[int, int]
    firsts: tuple[int, ...]
    seconds: tuple[int, ...]


@record
class Grouping:
    """The ``groups`` that are not idle.

    The first members of two groups stand for all of their pairs, except for the pairs of group
    indexes in ``apart``: ``samples`` has these, and the pairs of idle failures.
    """

    groups: tuple[Group, ...]
    apart: frozenset[tuple[int, int]]
    samples: tuple[Sample, ...]

    @classmethod
    def of_each(cls, count: int) -> Grouping:
        """Every failure by itself."""
        return cls(tuple(Group((i,), False, frozenset(), frozenset()) for i in range(count)), frozenset(), ())


def grouping(
    network: Network, state: ResolvedState | None, failures: Sequence[Failure], loads: Collection[str]
) -> Grouping:
    """Group single failures of a state by their effect on ``loads`` (elements).

    Without a state, those that are equivalent in every state, and so whatever the crew moves.
    """
    if any(f.mode not in (OPEN, SHORT, DIODE_SHORT, SEVERED) or f.passes or f.opened for f in failures):
        # other failures move contacts or pass a short through a protector: each is a group of its
        # own
        return Grouping.of_each(len(failures))
    return _Grouper(network, state, failures, loads).done()


class _Grouper:
    def __init__(
        self,
        network: Network,
        state: ResolvedState | None,
        failures: Sequence[Failure],
        loads: Collection[str],
    ):
        self.network, self.failures = network, failures
        self.core = network_core(network, state, loads)
        self.solid = [
            possible
            and not link.oneway
            and link.gate not in (Gate.PROTECTOR, Gate.PLUGGED, *MOVED)
            and (state is not None or not link.positions)
            for possible, link in zip(self.core.possible, network.links, strict=True)
        ]
        followed = {f.device.element for f in network.followers if f.device is not None}
        self.terminals = {s.element for s in network.sources}.union(network.moved, followed, loads)
        self.terminals |= {m.element for m in network.magnetos} | set(network.inside)
        self.piece = pieces(network, range(len(network.names)), self.solid, frozenset())
        self.nodes_of_piece: dict[int, list[int]] = {}
        for node, piece in self.piece.items():
            self.nodes_of_piece.setdefault(piece, []).append(node)

    def done(self) -> Grouping:
        """The grouping."""
        by_key: dict[object, list[int]] = {}
        both = [i for i, f in enumerate(self.failures) if f.mode is SEVERED and f.nodes]
        for i, failure in enumerate(self.failures):
            if i not in both:
                by_key.setdefault(self._key(i, failure), []).append(i)
        every = [self._group(tuple(members)) for members in by_key.values()]
        groups = tuple(g for g in every if not g.idle)
        number = {id(g): n for n, g in enumerate(groups)}
        apart: set[tuple[int, int]] = set()
        # what opens and grounds at once is tried with every other failure by itself
        others = [(i, j) for i in both for j in range(len(self.failures)) if j not in both or j > i]
        samples = [Sample(pair, pair[:1], pair[1:]) for pair in others]
        for other, short in self._met(every):
            samples += self._samples(other, short)
            if not other.idle and not short.idle:
                one, two = sorted((number[id(other)], number[id(short)]))
                apart.add((one, two))
        return Grouping(groups, frozenset(apart), tuple(samples))

    def _met(self, every: Sequence[Group]) -> Iterator[tuple[Group, Group]]:
        """Groups of opens (or diodes), each with a group of shorts that it may meet.

        They meet at the same place, in the same metal, or in the same element.
        """
        at: dict[object, list[Group]] = {}
        for group in every:
            if not group.metal:
                beside = {self.piece[n] for i in self._links(group.opened) for n in self._ends(i)}
                for key in (*group.places, *group.opened, *beside):
                    at.setdefault(key, []).append(group)
        for short in every:
            if short.metal:
                keys = (*short.places, *short.metal, *{self.failures[i].element for i in short.members})
                for other in {id(g): g for key in keys for g in at.get(key, ())}.values():
                    yield other, short

    def _samples(self, other: Group, short: Group) -> Iterator[Sample]:
        """Pairs of an open (or a diode) and a short that meet.

        One by one where the short is inside the chain, else one for each side that it is on.
        """
        rest: dict[frozenset[int], list[int]] = {}
        sides: dict[int, int] | None = None
        only_keeps_off = other.idle and bool(other.opened) and other.places <= self.core.lone.keys()
        for i in short.members:
            failure = self.failures[i]
            if only_keeps_off and self._on_one_part(failure.nodes):
                continue
            if failure.element in other.opened or (
                not short.idle and other.places & self._where(failure.nodes)
            ):
                yield from (Sample((j, i), (j,), (i,)) for j in other.members)
            elif not other.idle and not short.idle:
                if sides is None:
                    nodes = [n for piece in short.metal for n in self.nodes_of_piece[piece]]
                    sides = pieces(
                        self.network,
                        nodes,
                        self.solid,
                        frozenset(self._opened(self.failures[other.members[0]])),
                    )
                rest.setdefault(frozenset(sides[n] for n in failure.nodes), []).append(i)
        for same in rest.values():
            yield Sample((other.members[0], same[0]), other.members, tuple(same))

    def _on_one_part(self, nodes: Collection[int]) -> bool:
        """Whether nodes lie on one lone pendant part, or where it is joined to the rest."""
        places = {place for n in nodes for place in self.core.places[n]}
        return (
            len(places) == 1
            and all(self.core.places[n] or n == self.core.lone.get(place) for place in places for n in nodes)
            and places <= self.core.lone.keys()
        )

    def _key(self, i: int, failure: Failure) -> object:
        """Equal for failures that are equivalent."""
        if failure.grounds:
            return ("metal", grounded_alike(self.network, failure, self.piece))
        opened = self._opened(failure)
        if failure.mode == DIODE_SHORT or self.terminals & set(opened):
            return ("itself", i)
        # idle failures are kept apart by their place, so that each is tried with the shorts that
        # begin there
        return ("chains", self._cut(opened) or frozenset(self._of_links(opened)))

    def _group(self, members: tuple[int, ...]) -> Group:
        first = self.failures[members[0]]
        if first.grounds:
            nodes = [n for i in members for n in self.failures[i].nodes]
            metal = frozenset(self.piece[n] for n in nodes)
            return Group(
                members,
                not self.core.reaches_core(self.network, nodes),
                frozenset(),
                self._where(nodes),
                metal,
            )
        touched = frozenset(
            e for i in members for e in (self._opened(self.failures[i]) or (self.failures[i].element,))
        )
        idle = not self._cut(touched) and not self.terminals & touched
        opened = frozenset(e for i in members for e in self._opened(self.failures[i]))
        return Group(members, idle, opened, frozenset(self._of_links(touched)))

    def _opened(self, failure: Failure) -> tuple[str, ...]:
        """The elements that a failure opens."""
        own = self.network.opened_by(failure.element)
        return own if failure.mode in (OPEN, SEVERED) else ()

    def _links(self, elements: Iterable[str]) -> list[int]:
        return [i for e in elements for i in self.network.links_of.get(e, ())]

    def _ends(self, i: int) -> tuple[int, int]:
        return self.network.links[i].a, self.network.links[i].b

    def _cut(self, elements: Iterable[str]) -> frozenset[Place]:
        """The chains of the core that opening some elements cuts."""
        return frozenset(
            ("chain", self.core.chain_of[i]) for i in self._links(elements) if i in self.core.chain_of
        )

    def _of_links(self, elements: Iterable[str]) -> set[Place]:
        """The places of the links of some elements."""
        places: set[Place] = set()
        for i in self._links(elements):
            if i in self.core.chain_of:
                places.add(("chain", self.core.chain_of[i]))
            else:
                places |= self._where(self._ends(i))
        return places

    def _where(self, nodes: Iterable[int]) -> frozenset[Place]:
        """The places of some nodes."""
        return frozenset().union(*(self.core.places[n] for n in nodes))
