"""The brief: what it says is what the commands say, and it prints on two landscape sheets that can be read."""

from __future__ import annotations

import base64
import re
import subprocess
from itertools import combinations
from pathlib import Path

import pytest
from click.testing import CliRunner
from selenium import webdriver

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.questions.effects import effects_of
from reviewer.questions.source_briefs import design_brief
from reviewer.questions.trace import trace_of
from reviewer.reading import DesignFile, read_design
from reviewer.reports.page.brief import as_brief
from reviewer.session import review_facts, solved_design
from tests.oracle.generator import realistic
from tests.page.conftest import hostile_design
from tests.printed import brief_of

ROOT = Path(__file__).parent.parent.parent
#: the examples, and the aircraft with the most sources and the most buses
DESIGNS = [
    *sorted((ROOT / "examples").glob("*.design.yaml")),
    *(ROOT / "tests" / "aircraft" / f"{n}.design.yaml" for n in ("28v-essential", "twin-split-bus")),
]
_WORD = re.compile(r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)<')


def test_each_way_of_the_distribution_is_one_that_trace_finds_in_a_state() -> None:
    facts = Facts(read_design(ROOT / "tests" / "aircraft" / "glider-two-batteries.design.yaml"))
    found = design_brief(facts, effects_of(facts)).distribution
    assert len(found.buses) == 2 and {f.normal for f in found.feeders} == {True, False}
    for end in found.buses:
        ways = [
            {e.partition("/")[2] for e in path.elements}
            for state in trace_of(facts, end).states
            for terminal in state.terminals
            for by in terminal.fed
            for path in by.paths
        ]
        for feeder in (f for f in found.feeders if f.end == end):
            assert any({feeder.start, *feeder.devices} <= way for way in ways), feeder
    batteries = {f.start: f.normal for f in found.feeders if f.start.startswith("battery")}
    assert batteries == {"battery-1": True, "battery-2": False}


def test_each_source_has_its_loads_and_the_functions_that_its_failures_cost() -> None:
    """One battery alone feeds both ignitions; of two sources neither feeds one alone."""
    facts = Facts(read_design(ROOT / "examples" / "first.design.yaml"))
    (one,) = design_brief(facts, effects_of(facts)).sources
    assert (one.name, one.loads, one.alone) == ("battery", 2, ("left-ignition", "right-ignition"))
    assert [[f for f, _ in e.functions] for e in one.effects] == [["ignition"], ["ignition"]]
    sketch = Facts(read_design(ROOT / "examples" / "sketch.design.yaml"))
    every = design_brief(sketch, effects_of(sketch)).sources
    assert {s.name for s in every} == {"main-battery", "reserve-battery", "alternator"}
    assert all(s.alone == () for s in every)


@pytest.mark.long
def test_the_command_writes_minutes_and_actions_that_budget_and_fail_print(tmp_path: Path) -> None:
    tourer, out = ROOT / "examples" / "tourer.design.yaml", tmp_path / "brief.html"
    assert CliRunner().invoke(commands, ["brief", str(tourer), "--out", str(out)]).exit_code == 0
    words = " ".join(re.sub(r"<[^>]+>", " ", out.read_text(encoding="utf-8")).split())
    told = " ".join(CliRunner().invoke(commands, ["budget", str(tourer)]).stdout.split())
    for battery in ("main-battery", "reserve-battery"):
        lost = "main-battery and alternator" if battery == "reserve-battery" else "alternator"
        minutes = re.findall(
            rf"(\S+), after loss of {lost} [^:]*: (endurance \d+ min, required \d+ min)", words
        )
        # its own minutes stand beside what it feeds, not at its failure
        assert minutes[0][0] == "Alone" and {said for _, said in minutes} <= set(
            re.findall(r"endurance \d+ min, required \d+ min", told)
        )
    assert "shed-field done" in words and "no declared action restores it" in words
    fails = " ".join(CliRunner().invoke(commands, ["fail", str(tourer), "main-battery"]).stdout.split())
    assert "surveillance" in words and "surveillance" in fails
    assert words.count("second opinion") == 2 and "No monitor or display shows it in flight" in words


@pytest.mark.long
def test_every_brief_prints_on_two_landscape_sheets_with_letters_of_six_points(
    browser: webdriver.Chrome, tmp_path: Path
) -> None:
    hostile, least = tmp_path / "hostile.design.yaml", tmp_path / "least.design.yaml"
    hostile.write_text(hostile_design(), encoding="utf-8")
    least.write_text(
        "format: 1\naircraft: {name: Bare, nominal: 14 V, airframe: metal, stage: concept}\nparts: {battery: {kind: battery}}\nwires: {}\n"
    )
    facts = Facts(realistic(150, 2))
    large = solved_design(facts, review_facts(facts, Path("large"), []), DesignFile(Path("large"), b""))
    briefs = [(path, *brief_of(path)) for path in (*DESIGNS, hostile, least)]
    for design, brief, sha256 in (*briefs, (Path("large"), as_brief(large), large.file.sha256)):
        page = tmp_path / "brief.html"
        page.write_text(brief, encoding="utf-8")
        browser.get_log("browser")
        browser.get(page.as_uri())
        assert browser.get_log("browser") == [], design
        asked = {"printBackground": False, "preferCSSPageSize": True}
        (tmp_path / "brief.pdf").write_bytes(
            base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", asked)["data"])
        )
        told = subprocess.run(
            ["pdftotext", "-bbox", str(tmp_path / "brief.pdf"), "-"],
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        sheets = re.split(r"<page ", told)[1:]
        assert len(sheets) == 2, design.name
        for sheet in sheets:
            wide, tall = map(float, re.match(r'width="([\d.]+)" height="([\d.]+)"', sheet).groups())
            assert (wide, tall) == (pytest.approx(841.9, abs=1), pytest.approx(595, abs=1))
            boxes = [(*map(float, box), word) for *box, word in _WORD.findall(sheet)]
            text = " ".join(word for *_, word in boxes)
            assert sha256[:16] in text and "second opinion" in text, design.name
            for left, top, right, bottom, word in boxes:
                assert left >= 15 and right <= wide - 15 and top >= 15 and bottom <= tall - 15, (
                    design.name,
                    word,
                )
                assert len(word) < 3 or bottom - top >= 6 * 0.95, (design.name, word)
            for one, other in combinations(boxes, 2):
                apart_x = min(one[2], other[2]) - max(one[0], other[0])
                apart_y = min(one[3], other[3]) - max(one[1], other[1])
                assert apart_x < 1 or apart_y < 2.5, (design.name, one[4], other[4])
