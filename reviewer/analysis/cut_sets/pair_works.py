"""Which functions survive pairs of two lists of failures, with equivalent shorts solved once.

Shorts are equivalent where the same protectors clear them and the nodes that they ground are one
piece of metal: joined by wires, bars and closed switches, with no protector, diode or relay contact
between. The other failure tells them apart where it opens or moves an element of that metal, or an
element that is itself shorted. There they are solved for each side of the metal, and by themselves.
Opens are equivalent where they cut the same chains and none of the first failures is a short.
A test compares this with every pair solved by itself.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import product

from reviewer.analysis.conduction.alike_cases import acting_elements, opened_alike
from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct, conduct_pairs
from reviewer.analysis.conduction.masks import pick
from reviewer.analysis.conduction.metal import grounded_alike, pieces, solid_links
from reviewer.analysis.conduction.scenarios import mask_of
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.cut_sets.minimal_cut_sets import BLOCK
from reviewer.model.record import record


@record
class _Equivalent:
    """Failures, by number, that are equivalent where nothing tells them apart.

    ``opens`` are the elements that they open or move, ``metal`` the pieces of metal that they
    ground, and ``touched`` the elements that tell them apart; none for a failure by itself.
    """

    members: tuple[int, ...]
    opens: frozenset[str]
    metal: frozenset[int] = frozenset()
    touched: frozenset[str] = frozenset()


def pair_works(
    answer: StateAnswer,
    functions: Collection[str],
    firsts: Sequence[Failure],
    seconds: Sequence[Failure],
    grouped: bool = True,
) -> Mapping[str, list[int]]:
    """For each function and each of ``firsts``, the ``seconds``, as a mask, with which it survives.

    Without ``grouped`` every pair is solved by itself, which gives the same and takes longer.
    """
    if not firsts or not seconds or not functions:
        return {name: [0] * len(firsts) for name in functions}
    return _PairWorks(answer, functions, firsts, seconds, grouped).solved()


class _PairWorks:
    def __init__(
        self,
        answer: StateAnswer,
        functions: Collection[str],
        firsts: Sequence[Failure],
        seconds: Sequence[Failure],
        grouped: bool,
    ):
        self.answer, self.network, self.functions = answer, answer.network, functions
        self.firsts, self.seconds = firsts, seconds
        #: whether a link is metal, whatever relays do
        self.solid = solid_links(self.network, answer.state)
        self.piece = pieces(self.network, range(len(self.network.names)), self.solid, frozenset())
        self.nodes_of: dict[int, list[int]] = {}
        for node, piece in self.piece.items():
            self.nodes_of.setdefault(piece, []).append(node)
        self.rows = self._alike(firsts, grouped)
        shorts = any(failure.nodes for failure in firsts)
        self.columns = self._alike(seconds, grouped, opens=grouped and not shorts)
        self._sides: dict[tuple[frozenset[int], frozenset[str]], Mapping[int, int]] = {}

    def solved(self) -> Mapping[str, list[int]]:
        """Every pair of two groups by the first member of each, then those that are told apart."""
        survived: dict[str, list[int]] = {name: [0] * len(self.firsts) for name in self.functions}
        column_of = [0] * len(self.seconds)
        for j, column in enumerate(self.columns):
            for i in column.members:
                column_of[i] = j
        cases = [self.seconds[c.members[0]] for c in self.columns]
        step = max(1, BLOCK // len(cases))
        for start in range(0, len(self.rows), step):
            block = self.rows[start : start + step]
            solved = conduct_pairs(
                self.network,
                self.answer.state,
                [self.firsts[r.members[0]] for r in block],
                cases,
                self.answer.healthy,
            )
            both = self._works(solved.powered, solved.width)
            for name in self.functions:
                whole: dict[int, int] = {}
                for k, row in enumerate(block):
                    mask = both[name] >> k * len(cases) & (1 << len(cases)) - 1
                    if mask not in whole:
                        whole[mask] = pick(mask, column_of)
                    for i in row.members:
                        survived[name][i] = whole[mask]
        self._tell_apart(survived)
        return survived

    def _tell_apart(self, survived: Mapping[str, list[int]]) -> None:
        """Solve the pairs for which the first members of their groups do not stand."""
        pairs = list(self._apart())
        for start in range(0, len(pairs), BLOCK):
            block = pairs[start : start + BLOCK]
            cases = [(self.firsts[rows[0]], self.seconds[columns[0]]) for rows, columns in block]
            solved = conduct(self.network, self.answer.state, cases, self.answer.healthy)
            works = self._works(solved.powered, len(block))
            for k, (rows, columns) in enumerate(block):
                mask = mask_of(columns, len(self.seconds))
                for name in self.functions:
                    for i in rows:
                        was = survived[name][i] & ~mask
                        survived[name][i] = was | mask if works[name] >> k & 1 else was

    def _apart(self) -> Iterator[tuple[Sequence[int], Sequence[int]]]:
        """(firsts, seconds) of which the first pair stands for all."""
        for row in self.rows:
            for column in self.columns:
                if row.touched.isdisjoint(column.opens) and column.touched.isdisjoint(row.opens):
                    continue
                yield from product(
                    self._split(row, self.firsts, column.opens), self._split(column, self.seconds, row.opens)
                )

    def _split(
        self, group: _Equivalent, failures: Sequence[Failure], opened: frozenset[str]
    ) -> list[Sequence[int]]:
        """The members of a group that some opened elements leave equivalent."""
        if group.touched.isdisjoint(opened):
            return [group.members]
        key = group.metal, opened & group.touched
        if key not in self._sides:
            nodes = [n for piece in group.metal for n in self.nodes_of[piece]]
            self._sides[key] = pieces(self.network, nodes, self.solid, opened)
        sides = self._sides[key]
        parts: dict[object, list[int]] = {}
        for i in group.members:
            failure = failures[i]
            alone = failure.element in opened
            parts.setdefault(i if alone else frozenset(sides[n] for n in failure.nodes), []).append(i)
        return list(parts.values())

    def _alike(self, failures: Sequence[Failure], grouped: bool, opens: bool = False) -> list[_Equivalent]:
        """Failures that are equivalent, ``opens`` too where no other failure is a short."""
        by_key: dict[object, list[int]] = {}
        acting = acting_elements(self.network) if opens else frozenset[str]()
        for i, failure in enumerate(failures):
            key: object = i
            if grouped and failure.mode == SHORT:
                key = grounded_alike(self.network, failure, self.piece)
            elif opens and failure.mode == OPEN:
                key = opened_alike(self.network, failure, acting) or i
            by_key.setdefault(key, []).append(i)
        return [self._group(tuple(members), failures) for members in by_key.values()]

    def _group(self, members: tuple[int, ...], failures: Sequence[Failure]) -> _Equivalent:
        opens = frozenset().union(*(self._opens(failures[i]) for i in members))
        if len(members) == 1 or failures[members[0]].mode == OPEN:
            return _Equivalent(members, opens)
        metal = frozenset(self.piece[n] for n in failures[members[0]].nodes)
        links = self.network.links
        within = {
            links[i].element
            for piece in metal
            for n in self.nodes_of[piece]
            for i, _, _ in self.network.around[n]
            if self.solid[i]
        }
        return _Equivalent(members, opens, metal, frozenset(within | {failures[i].element for i in members}))

    def _opens(self, failure: Failure) -> frozenset[str]:
        """The elements of which links may open with a failure, relays aside."""
        if failure.element in self.network.groups:
            return frozenset(self.network.groups[failure.element])
        own = self.network.opened_by(failure.element) if failure.mode in (OPEN, STAYS) else ()
        return failure.opened | frozenset(own)

    def _works(self, powered: Mapping[str, int], width: int) -> Mapping[str, int]:
        return function_masks(self.answer.design, powered, (1 << width) - 1)
