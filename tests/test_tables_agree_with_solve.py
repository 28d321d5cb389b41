"""Amperes of the load analysis and readings on cards are what `solve` answers in the same phase, or with the same failure."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

from click.testing import CliRunner

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.naming import NoAnswer
from reviewer.questions.solve import solved_of
from reviewer.questions.state_signs import Look
from reviewer.reading import read_text
from tests.test_sentences_agree_with_solve import near

SKETCH = (files("reviewer") / "starter.design.yaml").read_text(encoding="utf-8")
#: a row of the table of loads: the name and a figure for each phase
ROW = re.compile(r"^  ([\w-]+) +((?:\d+\.\d+|-)(?: +(?:\d+\.\d+|-))*)$")


def test_the_load_analysis_has_the_amperes_that_solve_answers(tmp_path: Path) -> None:
    path = tmp_path / "sketch.design.yaml"
    path.write_text(SKETCH, encoding="utf-8")
    facts = Facts(read_text(SKETCH, "sketch.design.yaml"))
    phases = [flown for flown in facts.points.flown if flown.phase]
    solved = [
        next(p.point for p in solved_of(facts, f.state).phases if p.point and p.phase == f.phase)
        for f in phases
    ]
    text = CliRunner().invoke(commands, ["budget", str(path)]).output
    table = text.partition("Loads and coils by phase, A")[2].partition("total")[0]
    rows = [found for line in table.splitlines() if (found := ROW.match(line))]
    seen = 0
    for name, figures in (row.groups() for row in rows):
        for figure, point in zip(figures.split(), solved, strict=True):
            if figure != "-":
                element = f"parts/{name}"
                assert near(figure, point.taken.get(element) or point.coils[element], "A"), (name, figure)
                seen += 1
    assert seen >= 5
    output = re.findall(r"alternator output (\d+(?:\.\d+)?) A of", text)
    given = [point.given["parts/alternator"] for point in solved]
    assert output and all(any(near(value, one, "A") for one in given) for value in output)


def test_a_card_has_the_readings_that_solve_answers_with_each_of_its_causes() -> None:
    shooting = TroubleShooting(Facts(read_text(SKETCH, "sketch.design.yaml")))
    facts, seen = shooting.facts, 0
    for card in checklists(shooting).cards:
        signs = [(card.sign, card.seen), *card.also]
        ranges = {sign.name: read for sign, read in signs if sign.look is Look.MONITOR and read is not None}
        for failure in card.outcomes[:2] if ranges else ():
            name = failure.element.partition("/")[2]
            mode = failure.words(facts.network).partition(" at ")[0]
            if failure.nodes or failure.position or mode != "open":
                continue
            try:
                phases = solved_of(facts, shooting.answer.state.name, [f"{name}=open"]).phases
            except NoAnswer:
                continue
            readings = next(p.point.readings for p in phases if p.point)
            for monitor, (low, high) in ranges.items():
                reading = readings[monitor]
                if reading.value is not None and not reading.blank:
                    assert low <= reading.value <= high, (card.sign, failure, monitor, reading)
                    seen += 1
    assert seen >= 3
