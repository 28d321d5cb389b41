"""Masks of lanes."""

from __future__ import annotations

from reviewer.analysis.conduction.masks import (
    LanePicker,
    PickedMasks,
    at_any,
    bits,
    joined,
    pick,
    pick_each,
    repeated,
    served,
)
from reviewer.network.graph import PoweredDevice


def test_bits_are_numbered_from_the_lowest() -> None:
    assert list(bits(0b1010)) == [1, 3] and list(bits(0)) == []
    assert list(bits(1 << 70 | 1 << 3)) == [3, 70] and list(bits((1 << 70) - 2)) == list(range(1, 70))


def test_a_union_over_several_nodes() -> None:
    assert at_any([0b01, 0b10, 0b100], (0, 1)) == 0b11 and at_any([1], ()) == 0


def test_a_consumer_is_served_where_it_has_both_feed_and_return() -> None:
    assert served(PoweredDevice("parts/lamp", (0,), (1,)), [0b011, 0], [0, 0b110]) == 0b010


def test_only_what_takes_either_polarity_is_served_the_other_way_round() -> None:
    fed, returned = [0, 1], [1, 0]
    assert served(PoweredDevice("parts/relay", (0,), (1,), either_way=True), fed, returned) == 1
    assert served(PoweredDevice("parts/lamp", (0,), (1,)), fed, returned) == 0


def test_lanes_are_picked_in_the_order_asked_for() -> None:
    assert pick(0b0110, [1, 0, 2]) == 0b101 and pick(0b1, []) == 0


def test_masks_that_are_picked_as_they_are_asked_for_are_those_picked_at_once() -> None:
    masks = {"none": 0b1000, "all": 0b0111, "some": 0b0110, "dead": 0}
    picked = PickedMasks(masks, LanePicker([1, 0, 2]))
    assert dict(picked) == pick_each(masks, [1, 0, 2]) == {"none": 0, "all": 7, "some": 5, "dead": 0}
    assert list(picked) == list(masks) and len(picked) == 4 and picked["some"] == 5


def test_many_lanes_are_picked_as_few_are() -> None:
    lanes = [(7 * i) % 40 for i in range(20)]
    mask = 0b1011_0110_0000_1111_0101 << 20 | 0b1100_1010
    assert pick_each({0: mask}, lanes)[0] == sum((mask >> lane & 1) << i for i, lane in enumerate(lanes))
    assert pick_each({0: -1, 1: 0}, lanes) == {0: (1 << 20) - 1, 1: 0}
    assert pick_each({0: mask}, []) == {0: 0}


def test_blocks_are_joined_with_the_first_lowest() -> None:
    assert joined([0b01, 0b10], 2) == 0b1001 == joined([0b1001], 4)
    assert repeated(0b01, 3, 2) == 0b010101
