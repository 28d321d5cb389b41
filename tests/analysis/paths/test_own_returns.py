"""The conductors that return the current of one load alone: no sneak circuit is missed without their loss."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.paths import sneak_circuits
from reviewer.analysis.paths.own_returns import own_returns
from reviewer.model.design import Design
from reviewer.network.network_build import build_network
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic

DESIGNS = {
    **{f"awkward {seed}": (awkward, seed) for seed in range(40)},
    **{f"realistic {seed}": (lambda seed: realistic(80, seed), seed) for seed in (0, 1, 4, 7)},
}


@pytest.fixture(params=DESIGNS)
def design(request) -> Design:
    make, seed = DESIGNS[request.param]
    return make(seed)


def test_sneak_circuits_are_the_same_where_every_return_is_lost_once(design, monkeypatch) -> None:
    found = Facts(design).paths.sneaks
    monkeypatch.setattr(sneak_circuits, "own_returns", lambda network: frozenset())
    assert Facts(design).paths.sneaks == found


def test_nothing_but_the_load_is_at_the_far_end(design) -> None:
    """What stays joined to the load's return when all that is listed opens: no other user, and no second way out."""
    network = build_network(design)
    listed = own_returns(network)
    others = {n for s in network.sources for n in (*s.nodes, s.minus)}
    others |= {n for coil in network.coils for n in (*coil.plus, *coil.minus)}
    for element in listed:
        (i,) = network.links_of[element]
        sides = []
        for start in (network.links[i].a, network.links[i].b):
            reached, todo = {start}, [start]
            while todo:
                for link, other, _ in network.around[todo.pop()]:
                    if link != i and other not in reached:
                        reached.add(other)
                        todo.append(other)
            sides.append(reached)
        alone = min(sides, key=len)
        users = [u for u in network.consumers if alone & {*u.plus, *u.minus}]
        assert len(users) == 1 and not alone & {*users[0].plus} and not alone & others


def test_of_many_loads_most_have_a_return_of_their_own() -> None:
    network = build_network(realistic(120, 3))
    assert len(own_returns(network)) > len(network.consumers) // 3
