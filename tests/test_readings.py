"""Readings that come back on cards: judged by the limits of the design, and explained by the failure that was planted."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from reviewer.analysis.conduction.failure_modes import DEGRADED, OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.tolerances import Within
from reviewer.cli.main import commands
from reviewer.questions.card_steps import CardStep
from reviewer.questions.effects import effects_of
from reviewer.questions.measured import MeasuredStep
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage
from reviewer.questions.power_up import power_up
from reviewer.questions.readings import readings_of
from reviewer.questions.test_cards import cards_of
from reviewer.reading import Unreadable, read_design
from reviewer.reading.filled_cards import FilledRow, filled_cards
from reviewer.reports.csv import csv_of
from reviewer.reports.handoff.filled_steps import measured_steps
from reviewer.reports.handoff.schedules.cards import test_cards as schedule_of_cards
from reviewer.reports.handoff.schedules.power_up_table import COLUMNS, power_up_cards
from reviewer.reports.readings_text import readings_text
from tests.test_power_up import applied, bench_of, element, read

ROOT = Path(__file__).parent.parent
DESIGN = ROOT / "reviewer" / "starter.design.yaml"


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_design(DESIGN))


@pytest.fixture(scope="module")
def cards(facts: Facts) -> tuple[PowerCard, ...]:
    return power_up(facts)


@pytest.fixture(scope="module")
def steps(facts: Facts, cards: tuple[PowerCard, ...]) -> tuple[MeasuredStep, ...]:
    """Every step of the power-up cards, as they come back blank."""
    made = power_up_cards(facts.as_written, cards)
    assert made is not None
    rows = [
        FilledRow(f"row {n}", dict(zip(COLUMNS, map(str, row), strict=True)))
        for n, row in enumerate(made.rows, 2)
    ]
    found, strange = measured_steps(facts.as_written, cards, cards_of(facts, None), rows)
    assert not strange and len(found) == sum(len(card.steps) for card in cards)
    return found


def filled(steps: tuple[MeasuredStep, ...], value: Callable[[MeasuredStep], str]) -> tuple[MeasuredStep, ...]:
    return tuple(replace(step, text=value(step)) for step in steps)


def test_readings_as_expected_are_within_limits(facts: Facts, steps: tuple[MeasuredStep, ...]) -> None:
    def expected(step: MeasuredStep) -> str:
        if step.limits is not None:
            return f"{step.limits.value:.4f} {step.unit}"
        isolated = step.power is not None and step.power[1].act is Act.ISOLATION
        return "OL" if isolated else "ok"

    found = readings_of(facts, filled(steps, expected))
    assert (found.out, found.unread, found.blank, found.explanations) == ((), (), (), ())
    assert len(readings_of(facts, steps).blank) == len(steps)


def test_a_step_that_was_left_out_is_named_and_cards_that_nobody_filled_in_are_counted(
    facts: Facts, steps: tuple[MeasuredStep, ...]
) -> None:
    some = [replace(step, text="ok") for step in steps if step.limits is None]
    said = readings_text("x", "cards", readings_of(facts, (*some[:-1], replace(some[-1], text=" "))), ())
    assert f"WITHOUT A READING\n  {some[-1].card}, step {some[-1].step} " in said
    assert "1 step without a reading." in said
    said = readings_text("x", "cards", readings_of(facts, steps), ())
    assert f"{len(steps)} steps without a reading." in said and "WITHOUT" not in said


def test_each_open_part_or_wire_of_a_circuit_is_among_the_first_that_explain_its_readings(
    facts: Facts, cards: tuple[PowerCard, ...], steps: tuple[MeasuredStep, ...]
) -> None:
    """The supply cards with one failure planted in all of them, read to a tenth as a meter shows."""
    benches = {c.name: bench_of(facts, c) for c in cards if c.supply is not None}
    answers = {
        (c.name, s.moved): applied(facts, benches[c.name], c, s.moved)
        for c in cards
        if c.supply is not None
        for s in dict.fromkeys(c.steps)
    }
    names = dict.fromkeys(n for c in cards if c.supply is not None for s in c.steps for n in s.suspects)
    found = 0
    for name in list(names)[::11]:
        failure = Failure(element(facts, name), OPEN)

        def planted(step: MeasuredStep, failure: Failure = failure) -> str:
            assert step.power is not None
            card, own = step.power
            if card.supply is None or own.act is Act.CONTACT:
                return ""
            return f"{read(benches[card.name], answers[card.name, own.moved], own, (failure,)):.1f}"

        readings = readings_of(facts, filled(steps, planted))
        first = readings.explanations[0]
        assert readings.out and not first.against and len(first.explains) == len(readings.out)
        assert f"{name} open" in (first.failure, *first.alike), name
        found += 1
    assert found >= 4


def test_a_loose_joint_explains_a_voltage_between_that_of_a_sound_and_of_an_open_circuit(
    facts: Facts, steps: tuple[MeasuredStep, ...]
) -> None:
    """The volts across a load with a resistance planted in its lead; not where too many are read."""
    wire, step, bench, answer = next(
        (name, step, bench_of(facts, step.power[0]), applied(facts, bench_of(facts, step.power[0]), step.power[0]))
        for step in steps
        if step.power is not None and step.power[1].act is Act.LOAD and step.power[0].supply is not None
        for name in step.power[1].suspects
        if name in facts.design.wires and step.power[1].limits is not None
    )  # fmt: skip
    assert step.power is not None and step.limits is not None
    planted = (Failure(f"wires/{wire}", DEGRADED, ohms=0.5),)
    own = [s for s in steps if s.power is not None and s.power[0] is step.power[0]]
    measured = [replace(s, text=f"{read(bench, answer, s.power[1], planted):.3f}") for s in own if s.power]
    found = readings_of(facts, measured)
    assert any(s.place == step.place for s in found.out)
    first = found.explanations[0]
    low, high = (float(first.failure.split()[i]) for i in (0, 2))
    assert low <= 0.5 <= high and wire in first.failure and "too much in" in first.failure
    assert {s.place for s in first.explains} == {s.place for s in found.out} and not first.against
    above = [replace(s, text=f"{s.limits.high + 0.5}") for s in own if s is step and s.limits]
    assert not any("too much" in one.failure for one in readings_of(facts, above).explanations)


def test_a_contactor_that_stays_closed_explains_what_is_read_after_its_release(
    facts: Facts, cards: tuple[PowerCard, ...], steps: tuple[MeasuredStep, ...]
) -> None:
    (own,) = (card for card in cards if card.name == "coil of main-contactor")
    alone = [step for step in steps if step.power is not None and step.power[0] == own]
    fed = [f"{step.limits.value:.1f}" if step.limits else "" for step in alone[:-1]]
    for last, said in (("12.6", ("main-contactor contacts welded closed",)), ("0", ())):
        written = (*fed, last)
        read_back = tuple(replace(step, text=text) for step, text in zip(alone, written, strict=True))
        found = readings_of(facts, read_back)
        first = [name for one in found.explanations[:1] for name in (one.failure, *one.alike)]
        assert set(said) <= set(first) and bool(first) is bool(said)
        assert [step.step for step in found.out] == ([len(alone)] if said else [])


STEP = MeasuredStep("row 2", "x", 1, "y", "", "12.5", "V", Within(12.5, 12.2, 12.8))
COLD = PowerCard(Stage.COLD, "isolation", ())


@pytest.mark.parametrize(
    ("text", "value", "within"),
    [
        ("12.5", 12.5, True), ("12,5 V", 12.5, True), ("12800 mV", 12.8, True), ("12.9", 12.9, False),
        ("0", 0.0, False), ("12.5 A", None, None), ("about 12", None, None), ("ok", None, None),
    ],
)  # fmt: skip
def test_volts_are_read_as_a_person_writes_them(text: str, value: float | None, within: bool | None) -> None:
    step = replace(STEP, text=text)
    assert (step.value, step.within) == (value, within)


@pytest.mark.parametrize(
    ("text", "beside", "within"),
    [
        ("OL", (), True),
        ("open", (), True),
        ("0.2 ohm", (), False),
        ("2 Mohm", (), True),
        ("22 ohm", (), False),
        ("22 ohm", ("radio",), True),
        ("0,3", ("radio",), False),
    ],
)
def test_no_continuity_is_read_in_words_or_ohms(text: str, beside: tuple[str, ...], within: bool) -> None:
    own = PowerStep(Act.ISOLATION, ("bus", "ground"), beside=beside)
    step = replace(STEP, text=text, unit="", limits=None, expected="no continuity", power=(COLD, own))
    assert step.within is within


def test_a_wire_without_continuity_and_a_declared_check_out_of_limits_are_explained_by_their_cards(
    facts: Facts, steps: tuple[MeasuredStep, ...]
) -> None:
    cold = next(s for s in steps if s.power is not None and s.power[1].act is Act.SUPPLY_CONTINUITY)
    assert cold.power is not None
    found = readings_of(facts, [replace(cold, text="OL")])
    assert {found.explanations[0].failure, *found.explanations[0].alike} == {
        f"{name} open" for name in cold.power[1].suspects
    }
    assert replace(cold, text="OL").value == math.inf
    checks = cards_of(facts, effects_of(facts)).protection[0]
    closed: CardStep = checks.closed
    step = replace(STEP, text="0", limits=closed.limits, checked=closed)
    (one,) = readings_of(facts, [step]).explanations
    assert one.failure == f"{checks.name} open"


@pytest.mark.parametrize("form", ["semicolon", "workbook"])
def test_the_command_reads_cards_as_a_spreadsheet_saves_them(
    facts: Facts, cards: tuple[PowerCard, ...], tmp_path: Path, form: str
) -> None:
    made = power_up_cards(facts.as_written, cards)
    tests = schedule_of_cards(facts.as_written, cards_of(facts, effects_of(facts)))
    assert made is not None
    out, altered = "alternator-limiter", "bus-limiter"
    rows = [list(row) for row in made.rows]
    for row in rows:
        if row[1] in (out, altered) and row[2] == 2:
            row[COLUMNS.index("measured")] = "0,0 V" if form == "semicolon" else 0.0
        if row[1] == altered:
            row[COLUMNS.index("look at")] = "something else"
    path = tmp_path / "cards.csv"
    if form == "workbook":
        path = tmp_path / "cards.xlsx"
        book = openpyxl.Workbook()
        for title, columns, lines in (
            ("about", ("x",), []),
            ("a", tests.columns, tests.rows),
            ("b", COLUMNS, rows),
        ):
            sheet = book.create_sheet(title)
            for line in (columns, *lines):
                sheet.append(list(line))
        book.save(path)
    else:
        text = csv_of(COLUMNS, rows)
        if form == "semicolon":
            stream = io.StringIO()
            csv.writer(stream, delimiter=";").writerows(csv.reader(io.StringIO(text, newline="")))
            text = stream.getvalue()
        path.write_text(text, encoding="utf-8-sig", newline="")
    done = CliRunner().invoke(commands, ["readings", str(DESIGN), str(path)], catch_exceptions=False)
    assert done.exit_code == 1, done.output
    told = " ".join(done.stdout.split())
    assert "1 reading: 0 within limits, 1 not" in told and f"{out} open" in told
    assert "OF NO STEP OF THIS DESIGN" in told and f"{altered}, step 2" in told


@pytest.mark.parametrize("written", [True, False])
def test_cards_on_which_nothing_is_filled_in_are_no_pass(
    facts: Facts, cards: tuple[PowerCard, ...], tmp_path: Path, written: bool
) -> None:
    made = power_up_cards(facts.as_written, cards)
    assert made is not None
    rows = [list(row) for row in made.rows]
    row = next(row for row in rows if row[COLUMNS.index("minimum")] != "")
    row[COLUMNS.index("measured")] = row[COLUMNS.index("expected")] if written else " "
    path = tmp_path / "cards.csv"
    path.write_text(csv_of(COLUMNS, rows), encoding="utf-8-sig", newline="")
    done = CliRunner().invoke(commands, ["readings", str(DESIGN), str(path)], catch_exceptions=False)
    told = " ".join(done.stdout.split())
    assert done.exit_code == (0 if written else 1), told
    assert ("1 reading: 1 within" if written else "No reading was filled in, so that nothing") in told


@pytest.mark.parametrize("content", [b"", b"a,b\n1,2\n", b"PK\x03\x04 no workbook", b"\x00\xff"])
def test_what_is_no_card_is_one_message(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "cards.csv"
    path.write_bytes(content)
    done = CliRunner().invoke(commands, ["readings", str(DESIGN), str(path)], catch_exceptions=False)
    assert done.exit_code == 2 and "cards.csv" in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("headings", "said"),
    [
        ("card,step,look at", "the headings have no `measured` or `reading`"),
        ("card,look at,measured", "the headings have no `step`"),
        ("card,look at,note", "the headings have no `step` and no `measured` or `reading`"),
        ("part,wire,note", "no sheet has the headings of a card"),
    ],
)
def test_a_heading_that_is_missing_is_named(headings: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "cards.csv"
    path.write_text(f"{headings}\na,1,b\n", encoding="utf-8")
    with pytest.raises(Unreadable) as error:
        filled_cards(path)
    assert said in str(error.value) and "line 1" not in str(error.value)
    with pytest.raises(Unreadable) as missing:
        filled_cards(tmp_path / "none.csv")
    assert "there is no such file; name power-up-cards.csv" in str(missing.value)
    path.write_text("card,step,look at,measured\na,1,b,12\n", encoding="utf-8")
    assert [row.cell("measured") for row in filled_cards(path)] == ["12"]
