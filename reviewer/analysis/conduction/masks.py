"""Masks of lanes: which bits are set, the union over several nodes, and lanes in blocks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from reviewer.network.graph import PoweredDevice

#: lanes that are picked one at a time
FEW = 16


def bits(mask: int) -> Iterator[int]:
    """The numbers of the bits that are set, lowest first."""
    text = bin(mask)[:1:-1]
    at = text.find("1")
    while at >= 0:
        yield at
        at = text.find("1", at + 1)


def at_any(reach: Sequence[int], nodes: Iterable[int]) -> int:
    """The lanes in which any of some nodes is reached."""
    mask = 0
    for node in nodes:
        mask |= reach[node]
    return mask


def join(masks: Iterable[int]) -> int:
    """The union of masks."""
    mask = 0
    for each in masks:
        mask |= each
    return mask


def served(user: PoweredDevice, fed: Sequence[int], returned: Sequence[int]) -> int:
    """The lanes in which one source both feeds a consumer and has its return.

    ``fed`` and ``returned`` are those of the source. A coil and a reversible motor may have either polarity.
    """
    mask = at_any(fed, user.plus) & at_any(returned, user.minus)
    return mask | (at_any(fed, user.minus) & at_any(returned, user.plus)) if user.either_way else mask


def ways_out(user: PoweredDevice, fed: Sequence[int]) -> tuple[int, ...]:
    """The nodes at which a consumer returns the current of a source that feeds it in a state.

    ``fed`` is that of the source. A reversible motor that is fed at its return leaves by its supply.
    """
    return tuple(n for inlets, outlets in user.directions if at_any(fed, inlets) for n in outlets)


def pick(mask: int, lanes: Sequence[int]) -> int:
    """The mask whose bit i is bit ``lanes[i]`` of another."""
    if len(lanes) < FEW:  # to write out a wide mask takes longer
        return sum((mask >> lane & 1) << i for i, lane in enumerate(lanes))
    digits = f"{mask:0{max(lanes) + 1}b}"[::-1]
    return int("".join([digits[lane] for lane in lanes])[::-1], 2)


def first_of_each_block(mask: int, width: int) -> Iterator[int]:
    """The lowest bit that is set in each block of ``width`` lanes."""
    while mask:
        lane = (mask & -mask).bit_length() - 1
        yield lane
        end = (lane // width + 1) * width
        mask = mask >> end << end


def joined(blocks: Sequence[int], width: int) -> int:
    """One mask of many blocks of ``width`` lanes, the first lowest."""
    return int("".join([f"{block:0{width}b}" for block in reversed(blocks)]) or "0", 2)


def repeated(block: int, times: int, width: int) -> int:
    """One block of ``width`` lanes, repeated ``times`` times."""
    return int(f"{block:0{width}b}" * times or "0", 2)
