"""Masks of lanes: which bits are set, the union over several nodes, and lanes in blocks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import compress
from operator import itemgetter
from typing import Protocol, TypeVar

from reviewer.network.graph import Network, PoweredDevice

Key = TypeVar("Key")
#: lanes that are picked one at a time
FEW = 16
#: where one of so many bits is set, they are not looked for one at a time
MANY = 16
#: the digits 0 and 1 as false and true
_SET = bytes(octet & 1 for octet in range(256))


class Solved(Protocol):
    """What was solved: by source, the lanes in which each node is fed, and is joined to its return."""

    @property
    def fed(self) -> Mapping[str, Sequence[int]]:
        """By source."""

    @property
    def returned(self) -> Mapping[str, Sequence[int]]:
        """By source."""


def bits(mask: int) -> Iterator[int]:
    """The numbers of the bits that are set, lowest first."""
    text = bin(mask)[:1:-1]
    if mask.bit_count() > len(text) // MANY:
        return compress(range(len(text)), text.encode().translate(_SET))
    return _found(text)


def _found(text: str) -> Iterator[int]:
    """The places of the digits 1, of which there are few."""
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


def serves(network: Network, solved: Solved, source: str, user: PoweredDevice) -> int:
    """The lanes in which a source supplies a consumer, itself or through converters that it feeds."""
    mask = served(user, solved.fed[source], solved.returned[source])
    todo, done = [(user, -1)], {source, user.element}
    while todo:
        fed, lanes = todo.pop()
        for converter in network.converters:
            name = converter.element
            if name in done or name not in solved.fed:
                continue
            through = lanes & served(fed, solved.fed[name], solved.returned[name])
            if through and converter.supply is not None:
                done.add(name)
                own = served(converter.supply, solved.fed[source], solved.returned[source])
                mask |= through & own
                todo.append((converter.supply, through))
    return mask


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
    return int("".join(itemgetter(*lanes)(digits))[::-1], 2)


class LanePicker:
    """:func:`pick` of many masks, most of which have all of the lanes or none."""

    __slots__ = ("_chosen", "_every", "_lanes", "_of_digits", "_width")

    def __init__(self, lanes: Sequence[int]):
        self._lanes, self._width, self._every = lanes, max(lanes, default=0) + 1, (1 << len(lanes)) - 1
        digits = bytearray(b"0") * self._width
        for lane in lanes:
            digits[self._width - 1 - lane] = ord("1")
        self._chosen = int(digits, 2) if lanes else 0
        self._of_digits: Callable[[str], Iterable[str]] | None = None

    def pick(self, mask: int) -> int:
        """The mask whose bit i is the bit of lane i of another."""
        here = mask & self._chosen
        if not here or here == self._chosen:
            return self._every if here else 0
        if len(self._lanes) < FEW:
            return pick(here, self._lanes)
        if self._of_digits is None:
            self._of_digits = itemgetter(*[self._width - 1 - lane for lane in reversed(self._lanes)])
        return int("".join(self._of_digits(f"{here:0{self._width}b}")), 2)


def pick_each(masks: Mapping[Key, int], lanes: Sequence[int]) -> dict[Key, int]:
    """:func:`pick` of many masks."""
    picker = LanePicker(lanes)
    return {key: picker.pick(mask) for key, mask in masks.items()}


class PickedMasks(Mapping[Key, int]):
    """:func:`pick_each`, each worked out when it is first asked for."""

    __slots__ = ("_known", "_masks", "_picker")

    def __init__(self, masks: Mapping[Key, int], picker: LanePicker):
        self._masks, self._picker = masks, picker
        self._known: dict[Key, int] = {}

    def __getitem__(self, key: Key) -> int:
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._picker.pick(self._masks[key])
        return known

    def __iter__(self) -> Iterator[Key]:
        return iter(self._masks)

    def __len__(self) -> int:
        return len(self._masks)


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
