"""The text of the page, without a browser: what is listed where, and that every link in it leads
somewhere.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from reviewer.model.review import Cause, Finding, Gap, HazardClass
from reviewer.network.graph import bare
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.page.effect_rows import effect_rows, without_effect
from reviewer.reports.page.html import as_page
from reviewer.session import solved_file
from tests.printed import page_and_review

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def sketch() -> SolvedDesign:
    return solved_file(ROOT / "examples" / "sketch.design.yaml")


def with_gaps(solved: SolvedDesign, count: int) -> str:
    """The page of a review in which ``count`` rules want an input, one of them twice and in a
    harder class.
    """
    gaps = [
        Gap(f"rule-{i}", f"parts/p{i}", f"`rating` of p{i} & <b>", HazardClass.MINOR) for i in range(count)
    ]
    gaps.append(Gap("rule-0", "parts/other", "`gauge`", HazardClass.MAJOR))
    told = tuple(
        replace(a, gaps=tuple(gaps) if i == 0 else (), breakdowns=())
        for i, a in enumerate(solved.review.assessments)
    )
    return as_page(replace(solved, review=replace(solved.review, assessments=told)))


def test_missing_data_are_counted_with_the_verdict_and_listed_after_the_findings(
    sketch: SolvedDesign,
) -> None:
    page = with_gaps(sketch, 13)
    counted, listed = page.index('href="#open"'), page.index('<table class="wanted">')
    assert counted < page.index('<h2 id="schematic-title">') < page.index('<h2 id="findings-title">') < listed
    assert page.count('<table class="wanted">') == 1
    assert page.count("14 items of 13 rules") == 2 and "1 of them major." in page


def test_keys_are_set_as_code_and_what_stands_beside_them_stays_text(sketch: SolvedDesign) -> None:
    page = with_gaps(sketch, 2)
    assert "<code>gauge</code>" in page and "<code>rating</code> of p1 &amp; &lt;b&gt;" in page
    assert not re.search(
        r">[^<]*`", page.partition('<script type="application/json"')[0].partition("</style>")[2]
    )


@pytest.mark.parametrize("name", ["sketch", pytest.param("faulted-tourer", marks=pytest.mark.long)])
def test_every_link_of_a_page_leads_somewhere_and_no_key_stands_in_quotes(name: str) -> None:
    page, review = page_and_review(ROOT / "examples" / f"{name}.design.yaml")
    places = re.findall(r' id="([^"]+)"', page)
    assert len(places) == len(set(places))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= set(places)
    written = re.sub(r"<(style|script).*?</\1>", "", page, flags=re.DOTALL)
    assert not re.search(r">[^<]*`", written)  # keys are set as code wherever they stand
    standing = [cause for cause in review.causes if cause.standing]
    assert page.count('class="pick" id="pick-') == len(standing)
    assert page.count('id="finding-') == len(review.findings)


def test_every_single_failure_is_in_one_row_or_listed_without_effect(sketch: SolvedDesign) -> None:
    assert sketch.answers.effects is not None
    effects = sketch.answers.effects.effects
    rows = effect_rows(sketch.design, effects)
    listed = sorted((failed.name, failed.words) for row in rows for failed in row.failed)
    assert listed == sorted((bare(e.failure.element), e.words) for e in effects if not e.nothing)
    quiet = {name for _, names in without_effect(effects) for name in names}
    assert quiet == {bare(e.failure.element) for e in effects if e.nothing}
    assert len(
        {(row.kind, row.mode, row.local, row.functions, row.indication, row.remaining) for row in rows}
    ) == len(rows)


def test_an_element_that_is_listed_twice_in_a_row_is_labelled_by_its_terminals(sketch: SolvedDesign) -> None:
    assert sketch.answers.effects is not None
    twice = 0
    for row in effect_rows(sketch.design, sketch.answers.effects.effects):
        names = [failed.name for failed in row.failed]
        for failed in row.failed:
            if names.count(failed.name) > 1:
                assert failed.label.startswith(f"{failed.name}.") and failed.words.endswith(
                    f" at {failed.label}"
                )
                twice += 1
            else:
                assert failed.label == failed.name
    assert twice


def test_the_first_printed_sheet_has_the_causes_or_what_was_not_assessed(sketch: SolvedDesign) -> None:
    """The sheets of the schematic follow the causes; where there are none, what was not assessed."""
    page, sheets = as_page(sketch), '<div class="sheets"'
    assert page.count(sheets) == 1
    assert page.index('<h2 id="open-title">') < page.index(sheets) < page.index('<h2 id="wiring-title">')
    finding = Finding("a-rule", "parts/master", "master has no `y-z` or `a b-c` for d-e.", HazardClass.MINOR)
    told = tuple(
        replace(a, findings=(finding,) if i == 0 else ()) for i, a in enumerate(sketch.review.assessments)
    )
    review = replace(sketch.review, assessments=told, causes=(Cause((finding,), finding),))
    page = as_page(replace(sketch, review=review))
    assert page.count(sheets) == 1
    assert page.index('class="pick"') < page.index(sheets) < page.index('<h2 id="findings-title">')
    assert (
        page.count('master has no <code>y-z</code> or <code>a b-c</code> for <span class="whole">d-e.</span>')
        == 2
    )  # in the list and in full


@pytest.mark.parametrize("more", ["", "\n  main-alternator: {kind: alternator, rating: 40 A}"])
def test_states_of_a_glider_say_nothing_of_an_engine(more: str, tmp_path: Path) -> None:
    path = tmp_path / "glider.design.yaml"
    path.write_text(
        "format: 1\naircraft: {name: Glider, nominal: 14 V, airframe: composite, stage: concept}\n"
        f"parts:\n  battery: {{kind: battery}}{more}\nwires: {{}}\n"
        "operation: {normal: soaring, states: {soaring: {}}}\n"
    )
    page = as_page(solved_file(path))
    engine = re.findall(r'"engine":"(\w*)"', page)
    assert engine == (["running"] if more else [""])
    assert ('<th scope="row">engine</th>' in page) == bool(more)
