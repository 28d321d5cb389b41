"""A review asked for in Python, what a notebook shows of it, and the page of the documentation about both."""

from __future__ import annotations

import base64
import datetime
import doctest
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import MappingProxyType
from xml.etree import ElementTree

import numpy
import pytest
import yaml

import reviewer
from reviewer import Design, ReviewedDesign, Unreadable, read_design, review
from reviewer.model.review import Review
from reviewer.reports.notebook import notebook_html
from reviewer.reports.wording import CAUTIONS, UNASSESSED_CAUTION, shown
from reviewer.rulebook.loader import load_rules
from tests.test_questions import HOSTILE

ROOT = Path(__file__).parent.parent
FIRST = ROOT / "examples" / "first.design.yaml"


class Cells(HTMLParser):
    """The cells of the table, the sentences below it, the tags, and whether each was closed."""

    def __init__(self, text: str):
        super().__init__()
        self.cells: list[str] = []
        self.tags: set[str] = set()
        self.open: list[str] = []
        self.said = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)
        self.open += [tag] if tag != "img" else []
        self.cells += [""] if tag == "td" else []

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.said += data
        if self.open and self.open[-1] == "td":
            self.cells[-1] += data


def test_the_page_of_the_documentation_says_what_python_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    page = str(ROOT / "examples" / "from_python.md")
    done = doctest.testfile(page, module_relative=False, encoding="utf-8")
    assert done.failed == 0 and done.attempted > 10


def test_a_file_its_data_and_its_design_have_the_same_review() -> None:
    data = yaml.safe_load(FIRST.read_text(encoding="utf-8"))

    def without_places(found: ReviewedDesign) -> list[object]:
        return [[replace(one, place=None) for one in group] for group in (found.findings, found.gaps)]

    by_path, by_data, by_design = map(review, (str(FIRST), data, read_design(FIRST)))
    assert by_path.findings and isinstance(by_path.review, Review) and isinstance(by_path.design, Design)
    assert without_places(by_path) == without_places(by_data) == without_places(by_design)
    assert by_path.review.file == FIRST.name and by_data.review.file == "design"


@pytest.mark.parametrize(
    ("data", "error"),
    [({"format": float("nan")}, ValueError), ({"format": {1}}, TypeError), ({}, Unreadable)],
)
def test_data_that_are_no_design_are_refused(data: dict[str, object], error: type[Exception]) -> None:
    with pytest.raises(error):
        review(data)


def test_each_value_that_no_file_holds_is_named_with_its_place_and_what_to_write() -> None:
    """One error for all of them."""
    own: dict[str, object] = {}
    own["again"] = own
    deep: object = 1
    for _ in range(2000):
        deep = [deep]
    wrong = {
        "nan": float("nan"),
        "large": 10**5000,
        "set": {1},
        "day": datetime.date(2026, 1, 2),
        "figure": numpy.float32(3),
        "own": own,
        "deep": deep,
        "list": [1, {7: "a"}],
    }
    with pytest.raises(TypeError) as refused:
        review({"format": 1, "parts": {"fuse": wrong}})
    lines = str(refused.value).splitlines()
    places = [line.partition(": ")[0] for line in lines]
    assert places[:6] == [
        f"At /parts/fuse/{name}" for name in ("nan", "large", "set", "day", "figure", "own/again")
    ]
    assert places[6].startswith("At /parts/fuse/deep/0") and places[7:] == ["At /parts/fuse/list/1"]
    for line, words in zip(
        lines, ("number", "number", "sorted", '"2026-01-02"', "tolist", "holds itself"), strict=False
    ):
        assert words in line


@pytest.mark.parametrize("given", [object(), None, [1], 5, b"design.yaml"])
def test_what_is_no_design_at_all_is_named_with_what_one_is(given: object) -> None:
    with pytest.raises(TypeError, match=f"path of a file, a mapping .* not an? {type(given).__name__}"):
        review(given)  # type: ignore[arg-type]


def test_a_mistake_in_data_is_named_with_its_path() -> None:
    data = yaml.safe_load(FIRST.read_text(encoding="utf-8"))
    data["parts"]["fuse"]["rating"] = 5
    del data["parts"]["battery"]["kind"]
    with pytest.raises(Unreadable) as refused:
        review(data)
    first, second = sorted(str(refused.value).splitlines()[1:])
    assert first.strip().startswith("At /parts/battery: ") and "`kind`" in first
    assert second.strip().startswith("At /parts/fuse/rating: ") and "no unit" in second


def test_the_text_of_a_design_and_a_folder_of_rules_are_named_with_what_to_give() -> None:
    with pytest.raises(TypeError, match=r"yaml\.safe_load"):
        review(FIRST.read_text(encoding="utf-8"))
    for rules in ("house", [ROOT / "rules"]):
        with pytest.raises(TypeError, match="load_rules"):
            review(FIRST, rules)  # type: ignore[arg-type]
    own = load_rules([ROOT / "rules" / "wiring"], installed=False)
    assert {one.rule for one in review(FIRST, own).review.assessments} == {rule.name for rule in own}


def test_mappings_and_sequences_of_any_class_are_data() -> None:
    data = yaml.safe_load(FIRST.read_text(encoding="utf-8"))
    data["functions"]["ignition"]["of"] = tuple(data["functions"]["ignition"]["of"])
    frozen = MappingProxyType({**data, "parts": MappingProxyType(data["parts"])})
    assert review(frozen).review == review(data).review


def test_a_notebook_shows_the_findings_and_the_schematic(tmp_path: Path) -> None:
    reviewed = review(FIRST)
    told = Cells(reviewed._repr_html_())
    assert not told.open and told.tags <= {"h4", "table", "thead", "tbody", "tr", "th", "td", "img", "p"}
    assert [told.cells[i::5] for i in (0, 2, 4)] == [
        [f.hazard.word for f in reviewed.findings],
        [shown(f.sentence) for f in reviewed.findings],
        [f.rule for f in reviewed.findings],
    ]
    assert all(
        words in told.said for words in (*CAUTIONS, UNASSESSED_CAUTION, f"{len(reviewed.findings)} findings")
    )
    (data,) = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', reviewed._repr_html_())
    picture = ElementTree.fromstring(base64.b64decode(data))
    titles = {title.text for title in picture.iter("{http://www.w3.org/2000/svg}title")}
    assert {"battery, battery", "fuse, fuse, 5 A", *reviewed.design.wires} <= titles


def test_names_of_a_file_are_text_in_a_notebook() -> None:
    data = yaml.safe_load(HOSTILE)
    data["aircraft"]["name"] = "<script>x</script>"
    reviewed = review(data)
    text = notebook_html(reviewed.design, reviewed.facts.network, reviewed.review)
    told = Cells(text)
    assert "script" not in told.tags and "b" not in told.tags and "<script>x</script>" in told.said
    assert "\u202e" not in text


def test_the_public_names_are_there_and_cost_nothing_until_they_are_used() -> None:
    assert all(getattr(reviewer, name) is not None for name in reviewer.__all__)
    assert set(reviewer._HOMES) | {"__version__"} == set(reviewer.__all__) and len(reviewer.__all__) <= 10
    code = "import sys, reviewer; print(sorted(m for m in sys.modules if m.startswith('reviewer.') or m in ('pydantic', 'yaml')))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.stdout.strip() == "[]", done.stderr
