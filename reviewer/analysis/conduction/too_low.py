"""What names the loads that have power and too little voltage.

States are solved in logic. Volts are solved in a room above, which gives its answer to a state by
this door.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Protocol

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.scenarios import Lanes
from reviewer.model.resolved_states import ResolvedState

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer

#: number of a lane -> its state of the switches and its failures
LaneOf = Callable[[int], tuple[ResolvedState, tuple[Failure, ...]]]


class TooLow(Protocol):
    """What names the loads that have power in some lanes and less than their minimum voltage."""

    def __call__(
        self,
        answer: StateAnswer,
        lanes: Lanes,
        solved: Conduction,
        of: LaneOf,
        asked: int = -1,
        each: bool = False,
        dark: bool = False,
        coils: bool = False,
        minor: bool = False,
    ) -> Mapping[str, int]:
        """By load (element), those of the lanes ``asked`` of ``solved``, which came of the state of
        ``answer`` by failures and moves; with ``dark`` those in which it has next to no volts; with
        ``coils``, of relays instead, those in which it drops out with too few at its coil.

        Lanes in which no function of class major or worse depends on it may be left out, with
        ``minor`` those in which no function does; with ``each`` none.
        """
        ...


def less(powered: Mapping[str, int], low: Mapping[str, int]) -> Mapping[str, int]:
    """The lanes in which loads have power, without those in which they have too little voltage."""
    return MappingProxyType({e: m & ~low.get(e, 0) for e, m in powered.items()}) if low else powered
