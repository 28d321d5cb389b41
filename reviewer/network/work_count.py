"""How much the engines have computed, counted and not timed, so that it is the same on every machine.

The unit is one link along which the current of every source is propagated once in all lanes of a fixed
point. What an element of a circuit costs that is solved was measured in it.
"""

from __future__ import annotations

import threading

#: what a resistor or device of a circuit costs whose operating points are solved (measured: 5 us a link,
#: 18 to 25 us an element)
SOLVED_ELEMENT = 5
#: how many further rounds of a solve cost as much as its first (measured)
ROUNDS_OF_A_SOLVE = 7
#: what a lane of states costs that is set up and solved (measured)
STATE_LANE = 4
#: how many steps of a search for paths cost as much as a link (measured: 1 us a step)
STEPS_OF_A_LINK = 5
#: what a link costs of a network that is built of a design, with the order of that and its states solved cold
BUILT_LINK = 8
#: what a short costs of which it is looked for what may clear it late
LATE_SHORT = 15
#: what a single point of failure costs that is described
SINGLE_POINT = 40


class _Count(threading.local):
    links = 0


_count = _Count()


def add_work(links: int) -> None:
    """Count some work of this thread."""
    _count.links += links


def work_done() -> int:
    """The work of this thread so far; what lies between two calls is what was done between them."""
    return _count.links
