"""160 questions that a design review asks: what answers each, and what nothing answers, stands in
review_questions.yaml.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.reading import Unreadable, read_text
from reviewer.reports.handoff.schedules.all_tables import schedules
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from reviewer.session import solved_file

ROOT = Path(__file__).parent.parent
ALL_RULES = load_rules([ROOT / "rules"], installed=False)
RULES = {rule.name for rule in ALL_RULES}
TEXT = (ROOT / "tests" / "review_questions.yaml").read_text(encoding="utf-8")
TABLE = yaml.safe_load(TEXT)
QUESTIONS = TABLE["questions"]
ASKED = {rule for entry in QUESTIONS.values() for rule in entry.get("rules", ())}
TOURER = ROOT / "examples" / "tourer.design.yaml"


def without(*path: str) -> str:
    """The tourer without one of its entries."""
    design = yaml.safe_load(TOURER.read_text(encoding="utf-8"))
    at = design
    for key in path[:-1]:
        at = at[key]
    del at[path[-1]]
    return yaml.safe_dump(design, sort_keys=False)


def test_every_question_stands_in_the_table_once() -> None:
    assert [int(n) for n in re.findall(r"^  (\d+): ", TEXT, re.MULTILINE)] == list(range(1, 161))
    assert list(QUESTIONS) == list(range(1, 161))
    asked = [entry["asks"] for entry in QUESTIONS.values()]
    assert len(set(asked)) == len(asked)


@pytest.mark.parametrize("number", QUESTIONS)
def test_a_question_is_answered_or_says_why_it_is_not(number: int) -> None:
    entry = QUESTIONS[number]
    assert entry["asks"].endswith("?")
    answers = entry.keys() & {"rules", "answered-by"}
    assert bool(answers) != ("not-covered" in entry)
    assert entry.keys() <= {"asks", "not-covered"} or entry.keys() <= {"asks", "left", *answers}
    for key in answers:
        assert entry[key] and len(set(entry[key])) == len(entry[key])
    for key in entry.keys() & {"left", "not-covered"}:
        assert entry[key].endswith(".")
    assert set(entry.get("rules", ())) <= RULES


def test_every_rule_answers_a_question_or_says_why_a_review_needs_it() -> None:
    beyond = TABLE["beyond-the-questions"]
    assert all(why.endswith(".") for why in beyond.values())
    assert not beyond.keys() & ASKED
    assert beyond.keys() | ASKED == RULES


@pytest.mark.long
def test_the_commands_and_the_schedules_of_the_folder_exist() -> None:
    said = [answer.split() for entry in QUESTIONS.values() for answer in entry.get("answered-by", ())]
    assert said
    assert {command for command, *_ in said} <= commands.commands.keys()
    assert {command for command, *rest in said if rest} == {"handoff"}
    written = {table.key for table in schedules(solved_file(TOURER))}
    assert {schedule for _, *rest in said for schedule in rest} <= written


@pytest.mark.parametrize(
    "path",
    [("functions", "engine-runs", "any"), ("functions", "engine-runs", "loss"), ("operation", "normal")],
    ids="-".join,
)
def test_a_file_without_success_rule_class_or_normal_state_is_refused(path: tuple[str, ...]) -> None:
    with pytest.raises(Unreadable) as caught:
        read_text(without(*path), "tourer.yaml")
    (problem,) = caught.value.problems
    assert path[-1] in problem.message


def test_two_wires_of_one_name_are_refused() -> None:
    text = TOURER.read_text(encoding="utf-8")
    line = re.search(r"^  K1: .*\n", text, re.MULTILINE)
    assert line
    with pytest.raises(Unreadable) as caught:
        read_text(text.replace(line[0], line[0] * 2), "tourer.yaml")
    assert "K1" in caught.value.problems[0].message


def test_a_rule_without_the_rating_that_it_needs_is_not_assessed() -> None:
    name = "circuit-protection-carries-its-normal-load"
    facts = Facts(read_text(without("parts", "pitot-breaker", "rating"), "tourer.yaml"))
    (assessment,), _ = run_rules([rule for rule in ALL_RULES if rule.name == name], facts)
    assert [gap.subject for gap in assessment.gaps] == ["parts/pitot-breaker"]
