"""Figures that are estimates: what the trials of a review show is what a file with the end written out shows."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.review import Review
from reviewer.questions.budget import budget_of
from reviewer.questions.wires import wires_of
from reviewer.reading import read_text
from reviewer.reports.budget.text import budget_text
from reviewer.reports.handoff.schedules.endurance_tables import tables
from reviewer.reports.review.text import as_text
from reviewer.reports.wires.text import wires_text
from reviewer.rulebook import estimate_trials
from reviewer.session import review_facts
from tests.screens import as_screens

START = (Path(__file__).parents[1] / "reviewer" / "starter.design.yaml").read_text("utf-8")
RULES = [
    "reserve-batteries-meet-their-required-endurance",
    "main-batteries-meet-endurance-after-alternator-loss",
    "redundant-channels-share-no-circuit-protection",
]


def written(right: str, reserve: str = "7 Ah", main: str = "17 Ah") -> str:
    """The starter with a current of the right ignition; nothing else in it is an estimate unless given so."""
    text = START.replace("zone: cabin, current: ~1.5 A", "zone: cabin, current: RIGHT").replace(
        "current: ~", "current: "
    )
    text = text.replace("capacity: 7 Ah", f"capacity: {reserve}").replace(
        "capacity: 17 Ah", f"capacity: {main}"
    )
    return text.replace("RIGHT", right)


def reviewed(text: str, trials: bool = True) -> Review:
    return review_facts(Facts(read_text(text, "x")), Path("x"), chosen(), trials=trials)


def chosen() -> list[estimate_trials.Rule]:
    from tests.rule_cases import RULES as every

    return [every[name] for name in RULES]


def found(review: Review) -> set[tuple[str, str]]:
    return {(f.rule, f.subject) for f in review.findings}


def test_a_verdict_that_turns_is_told_with_the_estimate_that_turns_it() -> None:
    """The trial agrees with files in which the ends are written out."""
    estimated = reviewed(written("~2 A"))
    low, high = reviewed(written("1.4 A")), reviewed(written("2.6 A"))
    assert not found(estimated) and not found(low) and found(high)
    assert {(t.rule, t.subject) for t in estimated.estimates.turned} == found(high)
    assert all(
        not t.found and t.by == "current of right-ignition at 2.6 A" for t in estimated.estimates.turned
    )
    sentences = {f.sentence for f in high.findings}
    assert {t.sentence for t in estimated.estimates.turned} == sentences
    assert estimated.estimates.deciding[0][0] == "current of right-ignition (~2 A)"
    screen = as_screens([estimated])
    assert (
        "ESTIMATES. 1 figure is an estimate." in screen and "at 2.6 A: Endurance on reserve-battery" in screen
    )


def test_a_finding_that_vanishes_within_the_range_says_so_and_its_twin_stays() -> None:
    turns, stays = reviewed(written("~3 A")), reviewed(written("~5 A"))
    (one,) = (f for f in turns.findings if f.subject == "parts/reserve-battery")
    assert one.estimates == "rests on estimates; not found with current of right-ignition at 2.1 A"
    assert "On estimates: Endurance" in as_screens([turns]) and "rests on estimates" in as_text([turns])
    (firm,) = (f for f in stays.findings if f.subject == "parts/reserve-battery")
    assert firm.estimates.startswith("its figures rest on estimates; the verdict stays with all low and")


def test_what_no_estimate_moves_says_nothing_of_estimates() -> None:
    """The right breaker is taken by both ignitions: no ampere decides that."""
    shared = written("~1.5 A").replace(
        "{from: right-breaker.load, to: right-switch.line,",
        "{from: left-breaker.load, to: right-switch.line,",
    )
    findings = [f for f in reviewed(shared).findings if f.rule == RULES[2]]
    assert findings and not any(f.estimates for f in findings)


def test_a_firm_verdict_is_told_as_firm_and_no_more_than_was_tried() -> None:
    tried = reviewed(written("~1.5 A")).estimates
    assert tried.corners == ("all low", "all high") and tried.trials == 2 and not tried.turned
    assert tried.beginning == "1 figure is an estimate. No verdict turns with all low or all high."
    assert reviewed(written("1.5 A")).estimates.estimates == ()


def test_sources_against_loads_find_what_all_low_and_all_high_hide() -> None:
    """More capacity and more current cancel: only one against the other shows the short battery."""
    assert not found(reviewed(written("1.19 A", "5.6 Ah"))) and not found(
        reviewed(written("2.21 A", "10.4 Ah"))
    )
    assert found(reviewed(written("2.21 A", "5.6 Ah")))
    (turned,) = reviewed(written("~1.7 A", "~8 Ah")).estimates.turned
    assert turned.by == "those of sources low and all others high together"


def test_many_estimates_are_halved_to_the_one_that_decides_in_few_trials() -> None:
    text = written("~2 A").replace("gauge: 22 AWG, length: ", "gauge: 22 AWG, length: ~")
    tried = reviewed(text).estimates
    assert len(tried.estimates) > 19 and tried.trials <= estimate_trials.MOST
    assert {t.by for t in tried.turned} == {"current of right-ignition at 2.6 A"}


def test_trials_can_be_left_out(tmp_path: Path) -> None:
    review = reviewed(written("~2 A"), trials=False)
    assert review.estimates.trials == 0 and "No other values were tried." in as_screens([review])
    file = tmp_path / "x.yaml"
    file.write_text(written("~2 A"), encoding="utf-8")
    told = CliRunner().invoke(commands, ["budget", str(file), "--without-trials"]).output
    assert (
        "1 figure of the file is an estimate: current of right-ignition (~2 A)." in told
        and "at their ends" not in told
    )


def test_minutes_that_rest_on_an_estimate_have_their_least_and_most() -> None:
    """The least minutes are those of a file with the high current written out."""

    def reserve(text: str) -> float:
        (one,) = (b for b in budget_of(Facts(read_text(text, "x"))).lasting if b.reserve)
        return one.seconds

    facts = Facts(read_text(written("~2 A"), "x"))
    budget = budget_of(facts)
    (one,) = (g for g in budget.estimated if g.what == "endurance of reserve-battery")
    assert one.low == pytest.approx(reserve(written("2.6 A"))) and one.high == pytest.approx(
        reserve(written("1.4 A"))
    )
    assert one.decides and "DECIDED BY ESTIMATES" in budget_text("x", facts.design, budget)
    (margin,) = (g for g in budget.estimated if g.what == "margin of alternator in cruise")
    rows = {row[0]: row[1:5] for table in tables(budget) if table.key == "estimates" for row in table.rows}
    assert rows[margin.what] == (*(round(n, 1) for n in (margin.value, margin.low, margin.high)), "A")
    assert not budget_of(Facts(read_text(written("2 A"), "x"))).estimated


def test_the_list_of_wires_names_the_estimates_that_it_rests_on() -> None:
    for right, said in (("~2 A", True), ("2 A", False)):
        design = read_text(written(right), "x")
        text = wires_text("x", design, wires_of(Facts(design)))
        assert ("Estimates, taken as written" in text and "current of right-ignition (~2 A)" in text) is said


def test_limits_of_cards_hold_for_the_range_of_an_estimate() -> None:
    spreads = {
        right: Facts(read_text(written(right), "x")).points.spread("cruise")
        for right in ("1 A", "1 to 5 A", "5 A")
    }
    estimated = spreads["1 to 5 A"].volts("right-ignition.supply")
    for end in ("1 A", "5 A"):
        sound = spreads[end].volts("right-ignition.supply")
        assert sound and estimated and estimated.low <= sound.value <= estimated.high
    assert "current of right-ignition 1 to 5 A (an estimate in the file)" in map(
        str, spreads["1 to 5 A"].unknowns
    )
