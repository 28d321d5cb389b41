"""Amperes of the load analysis and readings on cards are what `solve` answers in the same phase, or with the same failure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.cli.main import commands
from reviewer.model.design import Design
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.effects import effects_of
from reviewer.questions.load_analysis import phase_currents
from reviewer.questions.naming import NoAnswer
from reviewer.questions.solve import solved_of
from reviewer.questions.state_signs import Look
from reviewer.questions.test_cards import cards_of
from reviewer.reading import read_text
from reviewer.reports.handoff.schedules.cards import card_rows
from reviewer.reports.page.chart import load_chart
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import realistic
from tests.test_sentences_agree_with_solve import near

SKETCH = (files("reviewer") / "starter.design.yaml").read_text(encoding="utf-8")
ROOT = Path(__file__).parent.parent
BENCH, TOURER = ROOT / "tests" / "answers" / "bench.design.yaml", ROOT / "examples" / "tourer.design.yaml"
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


def drawings() -> Iterator[Any]:
    """Designs, the large ones among the long tests."""
    small = (ROOT / "tests" / "paper_aircraft.design.yaml", files("reviewer") / "starter.design.yaml")
    large = (TOURER, *sorted((ROOT / "tests" / "aircraft").glob("*.design.yaml")))
    for path in (*small, *large):
        marks = pytest.mark.long if path in large else ()
        name = path.name.partition(".")[0]
        yield pytest.param(partial(read_text, path.read_text(encoding="utf-8"), name), marks=marks, id=name)
    for parts, seed in ((60, 1), (60, 2), (90, 3)):
        made = partial(realistic, parts, seed, dress(seed, 0.0))
        yield pytest.param(made, marks=pytest.mark.long, id=f"generated-{parts}-{seed}")


@pytest.mark.parametrize("drawn", list(drawings()))
def test_the_totals_of_page_and_load_analysis_are_what_the_sources_of_solve_give(
    drawn: Callable[[], Design],
) -> None:
    """What the loads take is what the sources give that nothing feeds, less what goes into batteries; batteries in series pass one current."""
    facts = Facts(drawn())
    page, seen = {one.phase: one for one in phase_currents(facts)}, 0
    own = [s.element for s in facts.network.sources if not s.inlet and not s.stands_on_another]
    for flown in facts.points.flown:
        try:
            load = facts.endurance.phase_load(flown)
        except NotAssessable:
            continue
        phases = solved_of(facts, flown.state).phases
        point = next(p.point for p in phases if p.point and p.phase == flown.phase)
        given = [point.given[e] for e in own]
        assert load.total == pytest.approx(sum(given), abs=0.02), flown
        taken = sum(abs(amps) for amps in (*point.taken.values(), *point.coils.values()))
        assert taken <= load.total + load.repeated + sum(load.others.values()) + 0.02
        if flown.phase in page:
            shown = page[flown.phase]
            assert shown.drawn == pytest.approx(sum(given), abs=0.02), flown
            into = sum(-amps for e, amps in zip(own, given, strict=True) if amps < 0)
            assert shown.charging == pytest.approx(into, abs=0.02) == pytest.approx(load.into_batteries)
            said = re.search(r">(\d+\.\d) A", load_chart([shown]))
            assert said and float(said[1]) == pytest.approx(sum(given), abs=0.06)
            seen += 1
    assert seen or not page


@pytest.mark.parametrize(
    "after", ["lamp-a.return", "lamp-breaker.load"], ids=["one after another", "side by side"]
)
def test_a_current_that_passes_two_lamps_is_counted_once_in_the_load_analysis(after: str) -> None:
    data = yaml.safe_load(SKETCH)
    lamp = {"kind": "load", "type": "lamp"}
    data["parts"] |= {"lamp-a": lamp | {"current": "2 A"}, "lamp-b": lamp | {"current": "1 A"}}
    data["parts"]["lamp-breaker"] = {"kind": "breaker", "rating": "5 A"}
    wire = {"gauge": "18 AWG", "length": "1 m"}
    data["wires"] |= {
        "X1": wire | {"from": "main-bus.lamps", "to": "lamp-breaker.line"},
        "X2": wire | {"from": "lamp-breaker.load", "to": "lamp-a.supply"},
        "X3": wire | {"from": after, "to": "lamp-b.supply"},
        "X4": wire | {"from": "lamp-b.return", "to": "main-ground.lamp-b"},
        "X5": wire | {"from": "lamp-a.return", "to": "main-ground.lamp-a"},
    }
    if after == "lamp-a.return":
        del data["wires"]["X5"]
    facts = Facts(read_text(yaml.safe_dump(data, sort_keys=False), "lamps.design.yaml"))
    load = facts.endurance.phase_load(next(f for f in facts.points.flown if f.state == "cruise"))
    (first, *_) = solved_of(facts, "cruise").phases
    assert first.point is not None
    given = [first.point.given[s.element] for s in facts.network.sources if not s.inlet]
    assert load.total == pytest.approx(sum(given), abs=0.02)
    once = load.loads["lamp-a"] if after == "lamp-a.return" else 0.0
    assert load.repeated == pytest.approx(once, abs=0.02)


@pytest.mark.parametrize(
    "path", [BENCH, pytest.param(TOURER, marks=pytest.mark.long)], ids=["bench", "tourer"]
)
def test_what_a_test_card_expects_is_what_solve_answers_in_its_state(path: Path) -> None:
    """As printed, two decimals: a check in its own state, circuit protection in that of normal flight with the engine stopped."""
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    normal = data["operation"]["normal"]
    data["operation"]["states"]["on-the-ground"] = {"like": normal, "use": "ground", "engine": "stopped"}
    facts = Facts(read_text(yaml.safe_dump(data, sort_keys=False), path.name))
    seen = {"check": 0, "closed": 0, "open": 0}
    for row in card_rows(facts.design, cards_of(facts, effects_of(facts))):
        if not row.unit:
            continue
        kind, _, name = row.card.partition(" ")
        state, _, setting = row.set.partition(":")
        case = (
            [f"{name}=open"] if row.do.startswith(("pull", "switch off", "with ")) and kind != "check" else []
        )
        where = "on-the-ground" if kind != "check" and "engine stopped" in setting else state
        (first, *_) = solved_of(facts, where, case).phases
        assert first.point is not None
        if kind == "check":
            read = [first.point.readings[monitor].value for monitor in row.look_at.split(" minus ")]
            found = read[0] - sum(read[1:])
        else:
            terminal = row.look_at.removeprefix("voltage from ").removesuffix(" to the main negative")
            found = first.point.volts.get(terminal, 0.0)
        # of what is dead the return of the load stands some millivolts above the main negative
        assert abs(float(row.expected) - found) <= (0.0051 if row.expected else 0.05), (
            row.card,
            row.look_at,
            row.expected,
            found,
        )
        seen["check" if kind == "check" else "open" if case else "closed"] += 1
    assert min(seen.values()) >= 2, seen


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
