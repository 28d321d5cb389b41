"""What print leaves out of long lists is named there, and nothing grave is left out of the causes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.review import HazardClass
from reviewer.questions.effects import effects_of
from reviewer.reading import read_design
from reviewer.reports.effects.words import indication
from reviewer.reports.page.effect_rows import mode_of
from reviewer.reports.page.html import as_page, environment
from reviewer.reports.page.printed_effects import printed_effects
from reviewer.reports.page.printed_rows import in_runs
from reviewer.session import solved_file

EXAMPLES = Path(__file__).parents[2] / "examples"
BASE = Path(__file__).parent.parent / "rules" / "bases" / "bench.yaml"


@pytest.mark.parametrize("bare_wires", [2, 12])
def test_minor_causes_of_one_rule_are_one_entry_in_print_and_each_is_named(
    tmp_path: Path, bare_wires: int
) -> None:
    """Twelve wires without gauge and length are one printed entry, two are two; the page has them all."""
    data = yaml.load(BASE.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    names = list(data["wires"])[:bare_wires]
    for name in names:
        for key in ("gauge", "length"):
            data["wires"][name].pop(key, None)
    design = tmp_path / "bare.design.yaml"
    design.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    solved = solved_file(design)
    page = as_page(solved)
    causes = [(n, c) for n, c in solved.review.numbered if c.standing]
    items = dict(re.findall(r'<li value="(\d+)"( class="unprinted")?>', page))
    assert set(items) == {str(number) for number, _ in causes}
    of_wires = [(n, c) for n, c in causes if c.headline.sentence.endswith("has no gauge and no length.")]
    assert len(of_wires) == bare_wires
    hidden = [n for n, _ in of_wires if items[str(n)]]
    if bare_wires == 2:
        assert not hidden and "The same rule" not in page
        return
    assert hidden == [n for n, _ in of_wires[1:]]
    told = re.search(r"The same rule, 11 more: (.*?)\. Each", page)
    assert told
    # a browser breaks no button between sheets: a long list in one would lie on the next sheet
    assert not re.search(r"<button(?:(?!</button>).)*The same rule", page, re.S)
    said = re.sub(r"<[^>]+>", "", told[1]).split(", ")
    assert said == [*in_runs(c.headline.subject.partition("/")[2] for _, c in of_wires[1:])]
    articles = re.findall(r'class="finding( unprinted)? minor"', page)
    assert articles.count(" unprinted") == 11
    for number, cause in causes:  # what is graver is always printed
        assert not items[str(number)] or cause.headline.hazard.word == "minor"


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ("W1 W2 W3 W5 W6", "W1 to W3, W5, W6"),
        ("W8 W9 W10 W11", "W8 to W11"),
        ("W3 W2 W1", "W3, W2, W1"),
        ("W1 V2 W3", "W1, V2, W3"),
        ("load-09 load-10 load-11 load-12", "load-09, load-10 to load-12"),
        ("W1A W1B radio", "W1A, W1B, radio"),
        ("", ""),
    ],
)
def test_names_that_count_up_are_a_run(names: str, said: str) -> None:
    assert ", ".join(in_runs(names.split())) == said


def test_of_a_rule_that_lacks_much_print_has_the_beginning_and_says_how_much_is_left_out(
    tmp_path: Path,
) -> None:
    """The breakers of wires without gauge are an item each: all are on the page, the first twelve in print."""
    data = yaml.load(BASE.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    for i in range(30):
        data["parts"][f"fuse-{i}"] = {"kind": "fuse", "rating": "5 A"}
        data["parts"][f"lamp-{i}"] = {"kind": "load", "type": "lamp", "current": "1 A"}
        data["wires"][f"F{i}"] = {"from": f"main-bus.f{i}", "to": f"fuse-{i}.line"}
        data["wires"][f"L{i}"] = {"from": f"fuse-{i}.load", "to": f"lamp-{i}.supply"}
        data["wires"][f"R{i}"] = {"from": f"lamp-{i}.return", "to": f"main-ground.f{i}"}
    design = tmp_path / "no-gauge.design.yaml"
    design.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    solved = solved_file(design)
    table = re.search(r'<table class="wanted">.*?</table>', as_page(solved), re.S)[0]
    cut = 0
    for body in re.findall(r"<tbody>.*?</tbody>", table, re.S):
        rows, hidden = len(re.findall(r"<tr(?! class=.in-print)", body)), body.count('<tr class="unprinted">')
        said = re.search(r"and (\d+) more of this rule, on the page", body)
        assert (int(said[1]) if said else 0) == hidden and (hidden == 0 or rows - hidden == 12)
        assert rows - hidden < 24
        cut += hidden
    assert cut > 0


def test_every_grave_failure_is_printed_once_in_a_row_that_says_what_it_does() -> None:
    """Rows join failures with the same loss; what a row says of all and of some is what each of them does."""
    facts = Facts(read_design(EXAMPLES / "faulted-tourer.design.yaml"))
    effects = effects_of(facts).effects
    grave = [e for e in effects if e.hazard and e.hazard >= HazardClass.HAZARDOUS]
    rows = printed_effects(facts.design, effects)
    assert len(rows) == 8 and sum(row.number for row in rows) == len(grave) == 76
    words = [
        tuple((mode, names.split(", ")) for mode, names in row.failures)
        for row in printed_effects(facts.design, effects)
    ]
    for effect in grave:
        name = effect.failure.element.partition("/")[2]
        here = [
            row
            for row, failures in zip(rows, words, strict=True)
            if any(mode == mode_of(effect) and {name, effect.at} & {*names} for mode, names in failures)
            and row.indication == indication(facts.design, effect)
        ]
        assert len(here) == 1, (name, effect.mode)
        row = here[0]
        assert [(n, word) for n, word, _ in row.functions] == [(n, h.word) for n, h in effect.functions]
        told = set(re.findall(r"[a-z]+(?:-[a-z]+)+", row.local))
        for lost in (*effect.loads, *effect.buses, *effect.protection, *effect.sources):
            assert lost.partition("/")[2] in told, (name, lost)
    some = [row.local for row in rows if "of some also" in row.local]
    assert "pump-a, pump-b lose power; of some also: pump-a-breaker opens" in some
    every = [row.local for row in rows if "of some" not in row.local]
    assert "pump-a-breaker opens; pump-a, pump-b lose power" in every


def test_what_no_failure_takes_that_is_grave_is_not_printed() -> None:
    facts = Facts(read_design(EXAMPLES / "tourer.design.yaml"))
    effects = effects_of(facts).effects
    worst = [e.hazard for e in effects if e.hazard]
    assert worst and max(worst) < HazardClass.HAZARDOUS and printed_effects(facts.design, effects) == []


@pytest.mark.parametrize("number", [17, 40])
def test_of_a_long_list_of_a_detail_print_has_the_beginning_and_says_how_many_are_left_out(
    number: int,
) -> None:
    names = [f"load-{i}" for i in range(number)]
    text = f"states: cruise; same effect: {', '.join(names)}; limit: 5 V"
    made = environment().from_string("{{ text | shorter_in_print }}").render(text=text)
    on_page = re.sub(r"<[^>]+>", "", re.sub(r'<span class="in-print">[^<]*</span>', "", made))
    assert on_page == text
    left = f"and {number - 12} more, on the page"
    assert (left in made) is (number == 40)
    hidden = re.search(r'<span class="unprinted">(.*)</span><span class="in-print"', made)
    assert (hidden is not None) is (number == 40)
    if hidden:
        assert re.findall(r"load-\d+", hidden[1]) == names[12:]
