"""Rules of one's own: a rule to begin with, its cases run, what may be asked, and the page about it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.own_cases import tried_cases
from reviewer.reading import read_text
from reviewer.rulebook.facts_pages import answers, facts_page, groups, topics
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.own_rule import CASES, own_rule

ROOT = Path(__file__).parent.parent
NAME = "breakers-are-within-reach"
OWN = "breakers_are_within_reach"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in own_rule(NAME).items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def wrong(folder: Path) -> list[str]:
    return [result.wrong for result in tried_cases(load_rules([folder], installed=False)) if result.wrong]


def test_the_rule_to_begin_with_does_what_its_cases_say(folder: Path) -> None:
    results = list(tried_cases(load_rules([folder], installed=False)))
    assert len(results) == 3 and not any(result.wrong for result in results)


@pytest.mark.parametrize(
    ("file", "old", "new", "why"),
    [
        pytest.param(f"{OWN}.py", '!= "in-flight"', '== "in-flight"', "findings also parts/radio-breaker", id="a rule turned round"),
        pytest.param(f"{OWN}.py", '!= "in-flight"', '!= "on-ground"', "findings not parts/radio-breaker", id="a rule that misses"),
        pytest.param(f"{OWN}.py", "breaker.accessible is None", "False", "not-assessed not parts/radio-breaker", id="a rule that guesses"),
        pytest.param(f"{OWN}.py", "if breaker.accessible is None", "if 1 / 0", "the rule failed: ", id="a rule that fails"),
        pytest.param(f"{OWN}{CASES}", "  findings: [parts/radio-breaker]", "  findings: []", "findings also parts/radio-breaker", id="a case that is wrong"),
        pytest.param(f"{OWN}{CASES}", "case: a breaker within reach", "name: x", "a case has no key `name`", id="a key"),
        pytest.param(f"{OWN}{CASES}", f"design: {NAME}", "design: ../x", "must be in the folder", id="another folder"),
        pytest.param(f"{OWN}{CASES}", f"design: {NAME}", "design: x", "there is no file", id="no design"),
        pytest.param(f"{OWN}{CASES}", "radio-breaker/accessible: in-flight", "radio-breaker/rating: 5 A", "is '5 A' already", id="an edit that changes nothing"),
        pytest.param(f"{OWN}{CASES}", "radio-breaker/accessible: in-flight", "radio-breaker/accessible: never", "its design cannot be read", id="an edit that breaks it"),
        pytest.param(f"{OWN}{CASES}", "- case", "- [case", "line ", id="no YAML"),
        pytest.param(f"{NAME}.design.yaml", "kind: bat", "kind: rat", "its design cannot be read: ", id="a mistake in the design"),
    ],
)  # fmt: skip
def test_what_is_not_as_a_case_says_is_named(folder: Path, file: str, old: str, new: str, why: str) -> None:
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1 if file.endswith(CASES) else -1), encoding="utf-8")
    assert any(why in said for said in wrong(folder)), wrong(folder)


def test_a_rule_without_cases_or_without_a_finding_in_them_is_named(folder: Path) -> None:
    cases = folder / f"{OWN}{CASES}"
    text = cases.read_text(encoding="utf-8")
    cases.write_text(
        text.replace("  findings: [parts/radio-breaker]\n", "").replace("on-ground", "in-flight"),
        encoding="utf-8",
    )
    assert any("nothing shows that it finds" in said for said in wrong(folder))
    cases.unlink()
    assert wrong(folder) == [f"it has no cases; write {cases.name} beside it"]


def test_the_command_tells_findings_from_errors(folder: Path) -> None:
    def status(*arguments: str) -> int:
        return CliRunner().invoke(commands, arguments).exit_code

    (folder / "design.schema.json").write_text("{}", encoding="utf-8")  # as `start` writes it for an editor
    assert status("try", str(folder)) == 0
    (folder / "empty").mkdir()
    assert status("try", str(folder / "empty")) == 3
    assert status("try", str(folder / "nowhere")) == 2
    assert status("start", "--rule", "Bad Name", str(folder)) == 2
    assert status("start", "--rule", NAME, str(folder)) == 2  # it is there already
    assert status("start", "--rule", "main-bus-is-fed", "--design", "sketch", str(folder)) == 2
    assert status("start", "--rule", "main-bus-is-fed", str(folder / f"{OWN}.py")) == 2
    assert status("start", "--rule", "circuit-protection-is-selective", str(folder / "new")) == 2
    assert not (folder / "new").exists() and status("try", str(folder / f"{OWN}.py")) == 2
    (folder / f"{OWN}{CASES}").unlink()
    assert status("try", str(folder)) == 1
    assert status("start", "--rule", NAME, str(folder)) == 2 and not (folder / f"{OWN}{CASES}").exists()


def test_every_answer_that_a_rule_of_ours_asks_for_is_on_a_page() -> None:
    """The rules that come with the reviewer are the readers of the page."""
    asked = set()
    for path in (ROOT / "rules").rglob("*.py"):
        asked |= set(re.findall(r"\bfacts\.([a-z_]+)\.([a-z_]+)", path.read_text(encoding="utf-8")))
    listed = {
        (name, called.partition("(")[0]) for name, made in groups().items() for called, _, _ in answers(made)
    }
    own = {group for group, _ in asked} - set(groups())
    assert own <= {"design", "as_written", "network", "file_order", "graph"}
    assert len(asked) > 100 and {pair for pair in asked if pair[0] in groups()} <= listed


def test_every_group_of_the_facts_has_its_page() -> None:
    assert set(groups()) == {n for n, m in vars(Facts).items() if hasattr(m, "func")} - {
        "estimates",
        "file_order",
        "graph",
        "_low_volts",
    }
    for topic in topics():
        page = facts_page(topic)
        assert page.startswith(topic) and ":attr:" not in page and "``" not in page
        assert all(len(line) <= 100 or " " not in line.strip() for line in page.splitlines())


def test_what_stands_beside_the_groups_and_one_answer_have_pages(tmp_path: Path) -> None:
    """What is said of the graph is what the graph has."""
    graph = Facts(read_text((ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8"), "x")).graph
    page = facts_page("facts.graph")
    for about in (*(a for _, a in graph.nodes(data=True)), *(a for _, _, a in graph.edges(data=True))):
        assert all(f"`{key}`" in page for key in about)
    assert "parts: Mapping[str, Any]" in facts_page("facts.design")
    one = facts_page("facts.wires.steady_runs")
    assert "Flown(state: str" in one and "peak_runs" not in one
    with pytest.raises(KeyError):
        facts_page("facts.wires.steady_run")


def test_the_page_of_the_documentation_says_what_the_commands_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each line with `$` is run in one empty folder; what stands below it is what it prints."""
    page = (ROOT / "examples" / "own_rules.md").read_text(encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for name, text in re.findall(r"<!-- file (\S+) -->\n\n```\w*\n(.*?)```", page, re.DOTALL):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    blocks = re.findall(r"((?:^    .*\n)+)", page, re.MULTILINE)
    ran = 0
    for block in blocks:
        for command, wanted in re.findall(
            r"^    \$ reviewer (.*)\n((?:    (?!\$).*\n)*)", block, re.MULTILINE
        ):
            result = CliRunner().invoke(commands, command.split())
            told = [line[4:] for line in wanted.splitlines()]
            lines = [line.rstrip() for line in result.stdout.splitlines()]
            assert [line for line in told if line != "..."] == (
                lines if "..." not in told else [line for line in lines if line in told]
            ), command
            ran += 1
    assert ran >= 4
