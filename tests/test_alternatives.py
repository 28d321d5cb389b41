"""The verdict of a comparison, and two designs side by side in figures."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import yaml

from reviewer.model.quantities import awg_area_mm2
from reviewer.model.review import HazardClass
from reviewer.questions.behaviour import Changed
from reviewer.questions.side_by_side import _gravest_first
from reviewer.reports.compare.side_by_side_rows import _findings, side_by_side_rows
from reviewer.reports.compare.table import comparison_json
from reviewer.reports.compare.text import comparison_text
from reviewer.reports.compare.verdict import _feeds, verdict
from reviewer.reports.solve.words import reading_words
from tests.test_compare import BASE, compared, edited, reviewed

ROOT = Path(__file__).parent.parent
MAGNETOS = (ROOT / "tests" / "rules" / "bases" / "magnetos.yaml").read_text(encoding="utf-8")


def screen(old: str, new: str, folder: Path) -> str:
    return " ".join(" ".join(verdict(compared(old, new, folder), 100)).split())


def test_a_magneto_that_becomes_hot_is_named_with_its_states(tmp_path: Path) -> None:
    """The switch no longer grounds the left p-lead at OFF: the magneto fires when the propeller is turned."""
    hot = edited(MAGNETOS, '"off": [[left, ground], [right, ground]]', '"off": [[right, ground]]')
    said = screen(MAGNETOS, hot, tmp_path)
    assert (
        "Magneto left-magneto: p-lead grounded -> hot, its p-lead not grounded (in off-at-idle, parked)."
        in said
    )
    assert "right-magneto: p-lead" not in said
    assert "Magneto left-magneto: hot, its p-lead not grounded -> p-lead grounded" in screen(
        hot, MAGNETOS, tmp_path
    )


def test_a_state_of_another_name_is_the_same_state(tmp_path: Path) -> None:
    """Nothing but the name of the normal state differs, so nothing else is told."""
    renamed = BASE.replace("cruise", "normal-flight")
    c = compared(BASE, renamed, tmp_path)
    b = c.behaviour
    assert b.states_renamed == (("cruise", "normal-flight"),)
    assert not (b.states_new or b.states_gone or b.feeds or b.cuts or b.settings or b.figures)
    assert not c.findings.new and not c.findings.gone and not c.findings.changed
    assert "State cruise is now called normal-flight." in screen(BASE, renamed, tmp_path)


@pytest.mark.long
def test_findings_in_a_renamed_state_are_the_same_findings(tmp_path: Path) -> None:
    short = edited(
        BASE, "left-fuse.line, gauge: 16 AWG, length: 0.1 m", "left-fuse.line, gauge: 16 AWG, length: 0.9 m"
    )
    c = compared(short, short.replace("cruise", "normal-flight"), tmp_path)
    assert c.findings.unchanged >= 1 and not c.findings.new and not c.findings.gone and not c.findings.changed


@pytest.mark.long
def test_a_state_with_other_settings_is_another_state(tmp_path: Path) -> None:
    """The innocent twin of a renamed state: a new name, and the master in another position too."""
    text = yaml.safe_load(BASE)
    cruise = text["operation"]["states"]["cruise"]
    assert "master" in cruise["switches"]
    other = BASE.replace("cruise", "normal-flight").replace("master: up", "master: down", 1)
    assert other != BASE.replace("cruise", "normal-flight")
    b = compared(BASE, other, tmp_path).behaviour
    assert b.states_renamed == () and "normal-flight" in b.states_new and "cruise" in b.states_gone


@pytest.mark.long
def test_a_path_that_takes_another_way_changes_no_finding(tmp_path: Path) -> None:
    """The finding about left-fuse leads through W21, which is W99 now; nothing else of it differs."""
    other = BASE.replace("W21", "W99")
    c = compared(BASE, other, tmp_path)
    (one,) = [f for f in reviewed(BASE)[1].findings if f.subject == "parts/left-fuse" and f.path]
    (two,) = [f for f in reviewed(other)[1].findings if f.subject == "parts/left-fuse" and f.path]
    assert one.path != two.path and one.sentence == two.sentence
    assert not [f for f, _ in c.findings.changed if f.subject == "parts/left-fuse" and f.path]


@pytest.mark.long
def test_a_pair_whose_failure_now_loses_the_function_alone_is_not_told(tmp_path: Path) -> None:
    shared = edited(
        BASE,
        "from: reserve-battery.positive, to: right-fuse.line",
        "from: left-fuse.load, to: right-fuse.line",
    )
    c = compared(BASE, shared, tmp_path)
    (cut,) = [cut for cut in c.behaviour.cuts if cut.function == "ignition"]
    alone = {cuts[0] for cuts in cut.new if len(cuts) == 1}
    assert "left-fuse open" in alone
    assert not any(set(pair) & alone for pair in cut.gone if len(pair) == 2)
    back = compared(shared, BASE, tmp_path)
    (cut,) = [cut for cut in back.behaviour.cuts if cut.function == "ignition"]
    assert ("left-fuse open",) in cut.gone and any(len(pair) == 2 for pair in cut.new)
    alone = {cuts[0] for cuts in cut.gone if len(cuts) == 1}
    assert not any(set(pair) & alone for pair in cut.new)


@pytest.mark.long
def test_single_points_come_gone_before_new_with_their_names(tmp_path: Path) -> None:
    shared = edited(
        BASE,
        "from: reserve-battery.positive, to: right-fuse.line",
        "from: left-fuse.load, to: right-fuse.line",
    )
    lasting = "loss of ignition, not recoverable in flight: (?:[\\w-]+, )*left-fuse\\b"
    said = screen(BASE, shared, tmp_path)
    assert re.search(f"failure new, {lasting}", said)
    back = screen(shared, BASE, tmp_path)
    assert re.search(f"failure gone, {lasting}", back)
    major, minor = (
        screen(*(t.replace("loss: catastrophic", f"loss: {word}") for t in (BASE, shared)), tmp_path)
        for word in ("major", "minor")
    )
    assert re.search(r"failure new, loss of ignition: (?:[\w-]+, )*left-fuse\b", major)
    assert (
        not re.search(r"failure (?:new|gone), loss of", minor)
        and "Single points of failure of other functions: ignition " in minor
    )
    text = comparison_text(compared(shared, BASE, tmp_path))
    assert text.index("Findings: ") < text.index("Side by side") < text.index("Parts and wires that differ")


def test_what_changes_alike_stands_in_one_sentence_and_what_is_off_comes_first() -> None:
    feeds = [
        (Changed("load", name, "cruise", "fed by battery", after), ["cruise"])
        for name, after in (("radio", "fed by reserve"), ("pump", "off"), ("light", "fed by reserve"))
    ]
    assert list(_feeds(feeds)) == [
        "pump: fed by battery -> off (in cruise).",
        "radio, light: fed by battery -> fed by reserve (in cruise).",
    ]
    alone = [(Changed("load", f"load-{i}", "cruise", "off", f"fed by {i}"), ["cruise"]) for i in range(5)]
    assert [*_feeds(alone)][3:] == ["2 more changes of what feeds a bus or load; all are listed below."]


def test_findings_stand_by_class_the_worst_first_though_only_the_new_design_has_it() -> None:
    old, new = (
        SimpleNamespace(findings=found)
        for found in ({HazardClass.MINOR: 2}, {HazardClass.HAZARDOUS: 3, HazardClass.MINOR: 4})
    )
    rows = [(what, *both) for _, what, *both in _findings(old, new)]
    assert rows == [("hazardous", "none", "3"), ("minor", "2", "4")]
    assert [row[1] for row in _findings(new, old)] == ["hazardous", "minor"]


def test_wire_is_summed_by_gauge_in_metres_and_mass(tmp_path: Path) -> None:
    """Summed here from the text of the file: 8.89 g/cm3 of copper by the area of ASTM B258."""
    c = compared(BASE, BASE, tmp_path)
    metres: dict[str, float] = {}
    for wire in yaml.safe_load(BASE)["wires"].values():
        metres[wire["gauge"]] = metres.get(wire["gauge"], 0.0) + float(wire["length"].split()[0])
    totals = {w.gauge: w for w in c.alternatives[1].wires}
    assert set(totals) == set(metres)
    for gauge, length in metres.items():
        mass = length * 1000 * awg_area_mm2(gauge.split()[0]) * 8.89e-6
        assert totals[gauge].metres == pytest.approx(length)
        assert totals[gauge].kilograms == pytest.approx(mass, rel=0.01)
    assert c.alternatives[1].joints == 2 * sum(w.count for w in totals.values())


@pytest.mark.long
def test_a_thicker_longer_wire_shows_in_both_columns(tmp_path: Path) -> None:
    thick = edited(
        BASE, "left-fuse.line, gauge: 16 AWG, length: 0.1 m", "left-fuse.line, gauge: 12 AWG, length: 0.12 m"
    )
    data = json.loads(comparison_json(compared(BASE, thick, tmp_path)))
    rows = {(r["group"].split(",")[0], r["what"]): (r["old"], r["new"]) for r in data["side_by_side"]}
    old, new = rows["wire", "16 AWG"]
    assert int(old.split(" wire")[0]) == int(new.split(" wire")[0]) + 1
    assert ("parts and joints", "ends of wires") in rows and any(
        group.startswith("readings in") for group, _ in rows
    )


def test_what_one_design_lacks_is_told_apart_from_what_was_not_solved(tmp_path: Path) -> None:
    """A state or action that is not in the file, a state without an operating point, and a monitor that is
    not there are four things; what both have is told in figures."""
    old, new = compared(BASE, BASE, tmp_path).alternatives
    state = next(state for state, read in old.readings.items() if read)
    read = old.readings[state]
    assert read is not None
    name, action = next(iter(read)), "reserve-alone"

    def told(readings: dict[str, Any], moves: dict[str, int]) -> tuple[str, str]:
        rows = side_by_side_rows(
            replace(old, readings=readings, moves=moves), replace(new, moves={action: 2})
        )
        cells = {(group, what): one for group, what, one, _ in rows}
        return cells[f"readings in {state}", name], cells["moves of the crew in each action", action]

    assert told({}, {}) == ("no such state", "no such action")
    assert told({state: None}, {action: 2}) == ("not solved", "2")
    assert told({state: {}}, {action: 2}) == ("no such monitor", "2")
    assert told({state: read}, {action: 2}) == (reading_words(read[name]), "2")


def test_single_points_that_lose_the_most_of_the_gravest_functions_stand_first() -> None:
    """Parts stand before wires and these before bundles where they lose as much; functions of class minor
    weigh less than one of class catastrophic."""
    singles = {
        "engine": ("parts/pump", "wires/W1", "bundles/left", "parts/main-bus"),
        "radio": ("parts/main-bus", "wires/W2", "parts/aerial"),
        "clock": ("wires/W2", "parts/aerial", "parts/fuse"),
        "heat": None,
    }
    worst, least = HazardClass.CATASTROPHIC, HazardClass.MINOR
    key = _gravest_first(singles, {"engine": worst, "radio": least, "clock": least, "heat": worst})
    every = {element for elements in singles.values() for element in elements or ()}
    assert sorted(every, key=key) == [
        *("parts/main-bus", "parts/pump", "wires/W1", "bundles/left", "parts/aerial", "wires/W2"),
        "parts/fuse",
    ]


@pytest.mark.long
def test_what_a_new_cause_is_about_stands_first_among_the_new_single_points(tmp_path: Path) -> None:
    """The faults of the tourer: bus, stud and switch of the causes, before breakers that come first by letter."""
    old, new = (
        (ROOT / "examples" / f"{name}.design.yaml").read_text("utf-8")
        for name in ("tourer", "faulted-tourer")
    )
    line = screen(old, new, tmp_path).partition("Single points of failure new, ")[2]
    first = "engine-bus-a, ignition-stud, ignition-switch, "
    assert line.startswith(f"loss of engine-runs, not recoverable in flight: {first}")
