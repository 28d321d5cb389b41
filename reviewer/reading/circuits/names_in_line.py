"""What a part in a line has by itself.

* Name: the circuit's and its kind, ``nav-radio-breaker``; the next of the kind in the circuit
  ``nav-radio-breaker-2``.
* Terminals: a path comes in at the line of protection, switches and shunts, the anode of a diode,
  the supply of a load, the signal of a sensor, and goes out at the other. At a bus, block, stud,
  splice or airframe a wire has a terminal named after the circuit; the next one in the circuit has
  ``-2``.
* Label: breakers, fuses, limiters and switches have the circuit's name in capitals, ``NAV RADIO``;
  the next of the same sort in the circuit ``NAV RADIO 2``.
* A switch in a line is single-pole: its positions are ``off`` and ``on``, or two others
  (``positions down/up``), of which the second one joins. What changes over is written under
  ``parts``.

Nothing else is taken as given.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from reviewer.reading.circuits.kinds_in_line import IN_LINE, PROTECTORS

#: letters of the shortest name that may have a slip, and of the shortest word in which another letter is one
_SHORTEST, _SHORTEST_WORD = 4, 5


def misspelt(name: str, known: Iterable[str]) -> str:
    """The known name that differs from one by a letter more or less, by two letters exchanged, or by
    another letter in a word of five; "" for none.

    What tells alike parts apart is no slip: a number, a single letter, an s at the end.
    """
    return next((other for other in known if other != name and _one_slip(name, other)), "")


def _one_slip(one: str, other: str) -> bool:
    short, long = sorted((one, other), key=len)
    if len(short) < _SHORTEST or len(long) - len(short) > 1:
        return False
    at = next((i for i, (a, b) in enumerate(zip(short, long, strict=False)) if a != b), len(short))
    if len(short) < len(long):
        return short[at:] == long[at + 1 :] and long[at].isalpha() and not long.endswith(f"{short}s")
    if short[at + 2 :] == long[at + 2 :] and short[at : at + 2] == long[at : at + 2][::-1]:
        return short[at : at + 2].isalpha()
    word = next(w for w in re.finditer(r"[^-_. ]+", one) if w.start() <= at < w.end() or w.end() == len(one))
    return (
        short[at + 1 :] == long[at + 1 :]
        and short[at].isalpha()
        and long[at].isalpha()
        and len(word[0]) >= _SHORTEST_WORD
    )


def has_label(kind: str) -> bool:
    """Whether a part of a kind is marked for the crew: words in capitals in its line are its label."""
    return kind in PROTECTORS or kind == "switch"


def label_of(kind: str, circuit: str, labels: dict[str, int]) -> str:
    """The label of a part that has none in its line, empty for one that needs none; ``labels``
    counts those of the circuit by sort."""
    if not has_label(kind):
        return ""
    sort = "protection" if kind in PROTECTORS else kind
    labels[sort] = labels.get(sort, 0) + 1
    words = circuit.replace("-", " ").upper()
    return words if labels[sort] == 1 else f"{words} {labels[sort]}"


def may_be_made(circuit: str) -> set[str]:
    """The names that parts of a circuit may have got by themselves."""
    return {f"{circuit}-{kind}" for kind in IN_LINE}


def positions_of(names: list[str]) -> dict[str, Any]:
    """A single-pole switch: the first position joins nothing."""
    return {names[0]: [], names[1]: [["line", "load"]]}
