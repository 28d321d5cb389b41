"""At an edge of a printed sheet no line has its name twice, as one that goes over the edge and comes back would have it."""

from __future__ import annotations

import html
import re
from collections import Counter
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_design
from reviewer.reports.page.printed_sheets import SheetTitle, printed_sheets
from reviewer.reports.schematic.draw import draw
from reviewer.reports.schematic.fitting import fitting_sheet

ROOT = Path(__file__).parent.parent.parent
DRAWN = [
    "tests/aircraft/28v-essential",
    "examples/short-form/two-seater",
    *(
        pytest.param(f"tests/aircraft/{n}", marks=pytest.mark.long)
        for n in ("twin-split-bus", "injected-auto-pump")
    ),
    *(pytest.param(f"examples/{n}", marks=pytest.mark.long) for n in ("tourer", "faulted-tourer", "sketch")),
]
MARK = re.compile(r'text-anchor="(start|end)" transform="translate[^"]*rotate\(-90\)">([^<]*)<')


@pytest.mark.parametrize("name", DRAWN)
def test_no_name_stands_twice_at_an_edge(name: str) -> None:
    facts = Facts(read_design(ROOT / f"{name}.design.yaml"))
    drawing = draw(fitting_sheet(facts.as_written, facts.network))
    text = printed_sheets(drawing, SheetTitle("x", (("a", "b"),) * 5, "0" * 64))
    sheets = text.split('<svg class="schematic"')[1:]
    marks = 0
    for number, sheet in enumerate(sheets, 1):
        at = Counter((end, html.unescape(words)) for end, words in MARK.findall(sheet))
        marks += sum(at.values())
        assert [one for one, count in at.items() if count > 1] == [], number
    assert len(sheets) > 1 and marks > len(sheets)
