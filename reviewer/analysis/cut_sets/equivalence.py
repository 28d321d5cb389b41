"""Which failures of a state are alike: those that do the same to every function, alone and together with any other failure.

* *Opens* are alike where they cut the same chains of the trunk. They differ only when a short lies inside one of these chains.
* *Shorts* are alike where the grounded places are one piece of metal in this state: joined by wires, bars and closed switches, with no
  protector, diode or relay contact between. They differ only when the other failure parts that metal.
* *Idle* is what lies on dead ends: chains that lead to no wanted load, coil, field or source, or that a switch or a pulled protector holds
  open. An idle failure does nothing with another, unless a short begins on the same dead end.

What differs is listed pair by pair, so that nothing is lost by the grouping; a test compares with every pair solved by itself.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, SEVERED, SHORT, Failure
from reviewer.analysis.cut_sets.core import Place, dead_ends
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare


@record
class Group:
    """``members`` are indexes of failures that are alike; ``opened`` the elements that any of them opens, ``places`` the chains and dead ends
    where they are, ``metal`` the pieces that they ground."""

    members: tuple[int, ...]
    idle: bool
    opened: frozenset[str]
    places: frozenset[Place]
    metal: frozenset[int] = frozenset()


@record
class Sample:
    """One pair of failures that stands for every pair of one of ``firsts`` and one of ``seconds``."""

    pair: tuple[int, int]
    firsts: tuple[int, ...]
    seconds: tuple[int, ...]


@record
class Grouping:
    """``groups`` that are not idle: the first members of two of them stand for all, but for the pairs of group indexes in ``apart``, which
    ``samples`` tell of, as they do of what is idle."""

    groups: tuple[Group, ...]
    apart: frozenset[tuple[int, int]]
    samples: tuple[Sample, ...]

    @classmethod
    def of_each(cls, count: int) -> Grouping:
        """Every failure by itself."""
        return cls(tuple(Group((i,), False, frozenset(), frozenset()) for i in range(count)), frozenset(), ())


def grouping(
    network: Network, state: ResolvedState, failures: Sequence[Failure], loads: Collection[str]
) -> Grouping:
    """Group single failures of a state by what they do to ``loads`` (elements)."""
    if any(f.mode not in (OPEN, SHORT, DIODE_SHORT, SEVERED) or f.passes for f in failures):
        # other failures move contacts or carry a short past a protector; they are left as they are
        return Grouping.of_each(len(failures))
    return _Grouper(network, state, failures, loads).done()


class _Grouper:
    def __init__(
        self, network: Network, state: ResolvedState, failures: Sequence[Failure], loads: Collection[str]
    ):
        self.network, self.failures = network, failures
        self.map = dead_ends(network, state, loads)
        self.solid = [
            fits and not link.oneway and link.gate not in (Gate.PROTECTOR, Gate.ENERGISED, Gate.AT_REST)
            for fits, link in zip(self.map.possible, network.links, strict=True)
        ]
        self.own = {s.element for s in network.sources} | {c.element for c in network.coils} | set(loads)
        self.piece = _pieces(network, range(len(network.names)), self.solid, frozenset())
        self.nodes_of_piece: dict[int, list[int]] = {}
        for node, piece in self.piece.items():
            self.nodes_of_piece.setdefault(piece, []).append(node)

    def done(self) -> Grouping:
        found: dict[object, list[int]] = {}
        for i, failure in enumerate(self.failures):
            found.setdefault(self._key(i, failure), []).append(i)
        every = [self._group(tuple(members)) for members in found.values()]
        groups = tuple(g for g in every if not g.idle)
        number = {id(g): n for n, g in enumerate(groups)}
        apart: set[tuple[int, int]] = set()
        samples: list[Sample] = []
        for other, short in self._met(every):
            samples += self._samples(other, short)
            if not other.idle and not short.idle:
                one, two = sorted((number[id(other)], number[id(short)]))
                apart.add((one, two))
        return Grouping(groups, frozenset(apart), tuple(samples))

    def _met(self, every: Sequence[Group]) -> Iterator[tuple[Group, Group]]:
        """Groups of opens (or diodes) with the groups of shorts that they may meet: at the same place, in the same metal, or of the same element."""
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
        """Pairs of an open (or a diode) and a short that meet: one by one where the short is inside, else one for each side that it is on."""
        rest: dict[frozenset[int], list[int]] = {}
        sides: dict[int, int] | None = None
        for i in short.members:
            failure = self.failures[i]
            if failure.element in other.opened or (
                not short.idle and other.places & self._where(failure.nodes)
            ):
                yield from (Sample((j, i), (j,), (i,)) for j in other.members)
            elif not other.idle and not short.idle:
                if sides is None:
                    nodes = [n for piece in short.metal for n in self.nodes_of_piece[piece]]
                    sides = _pieces(
                        self.network,
                        nodes,
                        self.solid,
                        frozenset(self._opened(self.failures[other.members[0]])),
                    )
                rest.setdefault(frozenset(sides[n] for n in failure.nodes), []).append(i)
        for same in rest.values():
            yield Sample((other.members[0], same[0]), other.members, tuple(same))

    def _key(self, i: int, failure: Failure) -> object:
        if failure.mode == SHORT:
            return ("metal", frozenset(self.piece[n] for n in failure.nodes))
        opened = self._opened(failure)
        if failure.mode == DIODE_SHORT or self.own & set(opened):
            return ("own", i)
        # what is idle is kept apart by where it is, so that it is tried with the shorts that begin there
        return ("chains", self._cut(opened) or frozenset(self._of_links(opened)))

    def _group(self, members: tuple[int, ...]) -> Group:
        first = self.failures[members[0]]
        if first.mode == SHORT:
            nodes = [n for i in members for n in self.failures[i].nodes]
            metal = frozenset(self.piece[n] for n in nodes)
            return Group(
                members,
                not self.map.reaches_core(self.network, nodes),
                frozenset(),
                self._where(nodes),
                metal,
            )
        touched = frozenset(
            e for i in members for e in (self._opened(self.failures[i]) or (self.failures[i].element,))
        )
        idle = not self._cut(touched) and not self.own & touched
        opened = frozenset(e for i in members for e in self._opened(self.failures[i]))
        return Group(members, idle, opened, frozenset(self._of_links(touched)))

    def _opened(self, failure: Failure) -> tuple[str, ...]:
        if failure.mode == SEVERED:
            return self.network.bundles[bare(failure.element)]
        return (failure.element,) if failure.mode == OPEN else ()

    def _links(self, elements: Iterable[str]) -> list[int]:
        return [i for e in elements for i in self.network.links_of.get(e, ())]

    def _ends(self, i: int) -> tuple[int, int]:
        return self.network.links[i].a, self.network.links[i].b

    def _cut(self, elements: Iterable[str]) -> frozenset[Place]:
        """The chains of the core that opening some elements cuts."""
        return frozenset(
            ("chain", self.map.chain_of[i]) for i in self._links(elements) if i in self.map.chain_of
        )

    def _of_links(self, elements: Iterable[str]) -> set[Place]:
        places: set[Place] = set()
        for i in self._links(elements):
            if i in self.map.chain_of:
                places.add(("chain", self.map.chain_of[i]))
            else:
                places |= self._where(self._ends(i))
        return places

    def _where(self, nodes: Iterable[int]) -> frozenset[Place]:
        return frozenset().union(*(self.map.places[n] for n in nodes))


def _pieces(
    network: Network, nodes: Iterable[int], solid: Sequence[bool], without: Collection[str]
) -> dict[int, int]:
    """Each of some nodes with one node of the metal that it is part of, when some elements are open."""
    piece: dict[int, int] = {}
    for start in nodes:
        if start not in piece:
            piece[start] = start
            todo = [start]
            while todo:
                for i, other, _ in network.around[todo.pop()]:
                    if other not in piece and solid[i] and network.links[i].element not in without:
                        piece[other] = start
                        todo.append(other)
    return piece
