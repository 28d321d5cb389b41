"""What print leaves out of long lists is named there, and nothing grave is left out of the causes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from reviewer.reports.page.effect_rows import EffectRow
from reviewer.reports.page.html import as_page, environment
from reviewer.reports.page.printed_rows import in_runs, printed_effects
from reviewer.session import solved_file

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


def test_the_failure_effects_that_lose_the_most_are_printed() -> None:
    def row(hazard: str, functions: int) -> EffectRow:
        return EffectRow("wire", "open", "", (("power", hazard),) * functions, "", "", hazard, ())

    rows = [row("minor", 9), *[row("hazardous", 1)] * 60, row("catastrophic", 1), row("catastrophic", 2)]
    printed = printed_effects(rows)
    assert len(printed) == 40 and {61, 62} <= printed and 0 not in printed
    assert printed_effects(rows[:11]) == set(range(1, 11)) and printed_effects([row("major", 1)]) == set()


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
