"""Pairs of failures that leave a function with too few volts, which neither failure does alone.

Logic says what is dark after two failures. Here is what has power then, and less than its minimum.
A failure that changes nothing in the core of the loads of critical functions, and turns nothing on,
only takes load away: it is in no such pair. Where a battery surely leaves a load its minimum
(:mod:`~reviewer.analysis.cut_sets.sure_volts`) nothing is solved. Pairs that conduct alike in the
core are solved once, with the most load; failures that are alike (``alike_cases``) are judged by
one, a short as cleared by the nearest device.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product

from reviewer.analysis.conduction.alike_cases import alike_cases
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_pairs, link_masks
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.scenarios import lanes_of_cases, lanes_of_pairs
from reviewer.analysis.conduction.states import StateAnswer, function_masks, loads_of
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.cut_sets.core import network_core
from reviewer.analysis.cut_sets.low_volts import LowVolts
from reviewer.analysis.cut_sets.minimal_cut_sets import BLOCK
from reviewer.analysis.cut_sets.sure_volts import LinkMasks
from reviewer.model.record import record

Pair = tuple[Failure, Failure]


@record
class LowPair:
    """A ``first`` failure and a ``second`` one that leave a ``function`` with too few volts."""

    first: Failure
    second: Failure
    function: str


def low_pairs(
    volts: LowVolts, answer: StateAnswer, functions: Sequence[str], firsts: Sequence[Failure]
) -> Iterator[LowPair]:
    """Those of each of ``firsts``, which lose nothing alone, with another single failure of a state."""
    found = _LowPairs(volts, answer, functions)
    if found.loads and found.sure is not None:
        yield from found.losing(firsts)


class _LowPairs:
    def __init__(self, volts: LowVolts, answer: StateAnswer, functions: Sequence[str]):
        self.answer, self.network, self.design = answer, answer.network, answer.design
        self.functions = [f for f in functions if answer.alive[f]]
        state = volts.state(answer)
        self.sure = state.paths
        own = {f"parts/{n}" for f in self.functions for n in loads_of(self.design, f)}
        self.loads = [e for e in state.watched if e in own]
        self.off = [c.element for c in self.network.consumers if not answer.healthy.powered[c.element]]

    def losing(self, firsts: Sequence[Failure]) -> Iterator[LowPair]:
        """See :func:`low_pairs`."""
        failures, latent = self.answer.failures, set(firsts)
        more = tuple(failure for failure in firsts if failure not in self._number)
        changing = self._changing(failures, self.answer.failed)
        if more:
            after = conduct(self.network, self.answer.state, more, self.answer.healthy)
            changing |= self._changing(more, after) << len(failures)
        every = (*failures, *more)
        cases = [every[i] for i in bits(changing)]
        groups = alike_cases(self.network, cases)
        own = [[cases[i] for i in group if cases[i] in latent] for group in groups]
        others = [[cases[i] for i in group if cases[i] in self._number] for group in groups]
        rows = [k for k, some in enumerate(own) if some]
        columns = [k for k, some in enumerate(others) if some]
        step, low = max(1, BLOCK // max(1, len(columns))), list[tuple[int, int]]()
        for start in range(0, len(rows), step):
            block = rows[start : start + step]
            found = self._low([own[k][0] for k in block], [others[k][0] for k in columns])
            low += [(block[i], columns[j]) for i, j in found]
        pairs = (pair for i, j in low for pair in product(own[i], others[j]))
        yield from self._lost([pair for pair in pairs if pair[0].element != pair[1].element])

    @cached_property
    def _number(self) -> Mapping[Failure, int]:
        return {failure: i for i, failure in enumerate(self.answer.failures)}

    def _changing(self, cases: Sequence[Failure], solved: Conduction) -> int:
        """Those of some cases, a lane each, that change the core or turn something on; not those that let a
        starter run on, which is heard."""
        state, healthy = self.answer.state, self.answer.healthy
        lanes, sound = lanes_of_cases(self.network, state, cases), lanes_of_cases(self.network, state, ((),))
        every, changed = (1 << len(cases)) - 1, 0
        usual = self._rows(healthy, link_masks(sound, healthy.energised))
        for row, was in zip(self._rows(solved, link_masks(lanes, solved.energised)), usual, strict=True):
            changed |= row ^ (every if was & 1 else 0)
        heard = join(solved.powered[e] for e in self.off if e in self._starters)
        return changed & every & ~solved.unsettled & ~heard

    @cached_property
    def _starters(self) -> frozenset[str]:
        return frozenset(f"parts/{name}" for name in self.design.starters)

    def _low(self, firsts: Sequence[Failure], seconds: Sequence[Failure]) -> Iterator[tuple[int, int]]:
        """The pairs of some failures, by their numbers, after which a function has too few volts."""
        state, healthy = self.answer.state, self.answer.healthy
        solved = conduct_pairs(self.network, state, firsts, seconds, healthy)
        masks = link_masks(lanes_of_pairs(self.network, state, firsts, seconds), solved.energised)
        doubtful = self._doubtful(solved, masks) & ~solved.unsettled
        if not doubtful:
            return
        alike: dict[int, list[int]] = {}
        for lane, key in self._keys(doubtful, self._rows(solved, masks)).items():
            alike.setdefault(key, []).append(lane)
        worst = [lane for lanes in alike.values() for lane in self._most_load(lanes, solved)]
        width = len(seconds)
        lost = self._losses([(firsts[lane // width], seconds[lane % width]) for lane in worst])
        hit = {worst[k] for mask in lost.values() for k in bits(mask)}
        for lanes in alike.values():
            if not hit.isdisjoint(lanes):
                yield from (divmod(lane, width) for lane in lanes)

    def _doubtful(self, solved: Conduction, masks: LinkMasks) -> int:
        """The lanes in which a function works by logic and would not with only what surely has its
        minimum."""
        assert self.sure is not None
        every, sure = (1 << solved.width) - 1, self.sure.sure(solved, masks)
        certain = {**solved.powered, **{e: sure[e] for e in self.loads}}
        works = function_masks(self.design, solved.powered, every, self.functions)
        surely = function_masks(self.design, certain, every, self.functions)
        return join(works[f] & ~surely[f] for f in self.functions)

    def _rows(self, solved: Conduction, masks: LinkMasks) -> list[int]:
        """Masks that are the same in two lanes which conduct alike in the core, with what is off in the sound
        state."""
        either: dict[int, int] = {}
        both: dict[int, int] = {}
        for i, chain in self._core.items():
            link = self.network.links[i]
            alive = ~(solved.zone[link.a] | solved.zone[link.b])
            either[chain] = either.get(chain, -1) & (masks[0][i] | masks[1][i]) & alive
            both[chain] = both.get(chain, -1) & masks[0][i] & masks[1][i] & alive
        lives = (*solved.alive.values(), *solved.energised.values())
        on = (solved.powered[e] for e in (*self.loads, *self.off))
        every = (1 << solved.width) - 1
        return [mask & every for mask in (*either.values(), *both.values(), *lives, *on)]

    @cached_property
    def _core(self) -> Mapping[int, int]:
        """Link -> its chain, of the links that can matter to the loads."""
        coils = (coil.element for coil in self.network.coils)
        return network_core(self.network, None, [*self.loads, *coils]).chain_of

    @staticmethod
    def _keys(lanes: int, rows: Iterable[int]) -> Mapping[int, int]:
        found = dict.fromkeys(bits(lanes), 0)
        for at, row in enumerate(rows):
            for lane in bits(row & lanes):
                found[lane] |= 1 << at
        return found

    @staticmethod
    def _most_load(lanes: Sequence[int], solved: Conduction) -> Iterator[int]:
        """Of lanes that conduct alike those with the most loads: none has all loads of another."""
        on = {lane: frozenset(e for e, mask in solved.powered.items() if mask >> lane & 1) for lane in lanes}
        kept: list[frozenset[str]] = []
        for lane in sorted(lanes, key=lambda one: -len(on[one])):
            if not any(on[lane] <= more for more in kept):
                kept.append(on[lane])
                yield lane

    def _losses(self, pairs: Sequence[Pair]) -> Mapping[str, int]:
        """By function, those of some pairs that leave it too few volts and do not lose it by logic."""
        solved = conduct(self.network, self.answer.state, pairs, self.answer.healthy)
        every = (1 << len(pairs)) - 1
        powered = less(solved.powered, self.answer.low(pairs, solved))
        dark = function_masks(self.design, solved.powered, every, self.functions)
        works = function_masks(self.design, powered, every, self.functions)
        return {f: dark[f] & ~works[f] & ~solved.unsettled for f in self.functions}

    def _lost(self, pairs: Sequence[Pair]) -> Iterator[LowPair]:
        """Those of some pairs that leave a function too few volts, where the second does not alone."""
        lost = self._losses(pairs) if pairs else {}
        for function, mask in lost.items():
            for k in bits(mask):
                first, second = pairs[k]
                if self.answer.functions[function] >> self._number[second] & 1:
                    yield LowPair(first, second, function)
