"""The sneak paths of all lanes at once, against a search of one lane after the other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from random import Random

import pytest

from reviewer.analysis.conduction.masks import bits, first_of_each_block
from reviewer.analysis.facts import Facts
from reviewer.analysis.paths.sneak_circuits import _Candidate, _Place, _rank, _SneakSearch, with_loads
from reviewer.model.design import Design
from reviewer.network.search import shortest
from tests.oracle.generator import realistic


def searches(design: Design) -> Iterator[_SneakSearch]:
    """The search of each declared state, its paths known."""
    facts = Facts(design)
    wider = with_loads(design, facts.network)
    for answer in facts.states.answers():
        search = _SneakSearch(design, facts.network, answer, facts.paths._solve, wider)
        search.sneaks()
        yield search


def by_victim(search: _SneakSearch) -> dict[str, list[_Candidate]]:
    found: dict[str, list[_Candidate]] = {}
    for candidate in search._candidates():
        found.setdefault(candidate.user.element, []).append(candidate)
    return found


def plain(search: _SneakSearch, candidate: _Candidate, lane: int) -> list[tuple[str, bool]]:
    """The shortest sneak path of one lane, searched by itself."""
    wider, fed = search.wider, search.solved.fed[candidate.source]
    returned = search.solved.returned[candidate.source]
    start = next(s.positive for s in wider.sources if s.element == candidate.source)

    def onward(node: int) -> Iterator[tuple[int, tuple[str, bool]]]:
        for i, other, leaving in wider.around[node]:
            conducts = (search.along[i] if leaving else search.against[i]) >> lane & 1
            if conducts and not returned[other] >> lane & 1:
                yield other, (wider.links[i].element, i >= search.first)

    nearest = shortest(start, {n for n in candidate.nodes if not fed[n] >> lane & 1}, onward)
    assert nearest is not None
    return list(dict.fromkeys(nearest[1]))


def tried(places: Iterable[_Place], count: int) -> list[_Place]:
    """The places that differ in their move or in the loads that pass the current, the first of each."""
    found: dict[tuple[object, ...], _Place] = {}
    for rank, number, path in sorted(places, key=lambda place: place[:2]):
        found.setdefault((rank[2] // count, *(e for e, passed in path if passed)), (rank, number, path))
    return list(found.values())


@pytest.mark.parametrize(("parts", "seed"), [(140, 1), (180, 1), (180, 2), (200, 1), (200, 2)])
def test_the_first_place_of_each_path_is_that_of_a_search_in_every_lane(parts: int, seed: int) -> None:
    compared = 0
    for search in searches(realistic(parts, seed)):
        count = len(search.losses)
        for candidates in by_victim(search).values():
            every = [
                (_rank(lane, count), i, plain(search, candidate, lane))
                for i, candidate in enumerate(candidates)
                for lane in bits(candidate.lanes)
            ]
            assert tried(search._places(candidates), count) == tried(every, count)
            compared += len(every)
    assert compared > 300


def test_the_first_of_each_block() -> None:
    chance = Random(1)
    for _ in range(200):
        width, mask = chance.randint(1, 9), chance.getrandbits(chance.randint(1, 60))
        firsts: dict[int, int] = {}
        for bit in bits(mask):
            firsts.setdefault(bit // width, bit)
        assert list(first_of_each_block(mask, width)) == list(firsts.values())
