"""What a path of `circuits` may say, in words: how it passes parts, the names that it gives, and the words
that need no key, by kind."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.reading.circuits.kinds_in_line import IN_LINE, THROUGH, WIRE, vocabulary
from reviewer.reports.layout import lines_of


def path_page(width: int) -> Iterator[str]:
    """What a path may say of its parts and wires, and which names it gives."""
    yield ""
    for text in (
        "A path passes a part that is made elsewhere by two of its terminals, as `shunt.line/load`, and "
        "ends at one, as `engine-monitor.volts-in`. At a bus, block, splice or stud the name is enough: the "
        "terminal there has the name of the circuit.",
        "What a path makes is named after it, as `nav-radio-breaker` and wires `nav-radio-1`, `nav-radio-2`; "
        "a part may have a name of its own after its kind, as `switch master 10 A MASTER`. A label is in "
        "capitals or in quotes.",
        "Figures in brackets are separated by commas: a quantity, a word, or a key and its value, as "
        "`radio (1.2 A, 9 to 32 V, maker, zone panel)`. A wire has them without commas, as `20 AWG 1.2 m "
        "bundle panel through left-grommet`. Words that need no key:",
    ):
        yield from lines_of(text, width)
    everywhere = set.intersection(*(set(vocabulary(kind).words) for kind in IN_LINE))
    for kind in (*THROUGH, WIRE):
        own = [word for word in vocabulary(kind).words if word not in everywhere]
        if own:
            yield from lines_of(f"{kind}: {', '.join(own)}", width, 2, 6)
