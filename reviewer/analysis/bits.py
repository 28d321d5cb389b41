"""Masks of lanes in blocks: the lanes of one block side by side, block after block."""

from __future__ import annotations

from collections.abc import Sequence


def pick(mask: int, lanes: Sequence[int]) -> int:
    """The mask whose bit i is bit ``lanes[i]`` of another."""
    if not lanes:
        return 0
    digits = f"{mask:0{max(lanes) + 1}b}"[::-1]
    return int("".join([digits[lane] for lane in lanes])[::-1], 2)


def joined(blocks: Sequence[int], width: int) -> int:
    """One mask of many blocks of ``width`` lanes, the first lowest."""
    return int("".join([f"{block:0{width}b}" for block in reversed(blocks)]) or "0", 2)


def repeated(block: int, times: int, width: int) -> int:
    """One block of ``width`` lanes, many times over."""
    return int(f"{block:0{width}b}" * times or "0", 2)
