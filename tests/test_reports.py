"""The reports of one review: text, JSON against its schema, SARIF against the official schema."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import jsonschema
import pytest

from reviewer.model.design import Concession
from reviewer.model.review import (
    Assessment,
    Breakdown,
    Citation,
    Finding,
    Gap,
    HazardClass,
    Place,
    Review,
    Step,
)
from reviewer.reading.problem import Problem
from reviewer.reports.review.json import as_json
from reviewer.reports.review.mistakes_text import as_problems
from reviewer.reports.review.sarif import as_sarif
from reviewer.reports.review.text import as_text
from tests.write_committed import EXAMPLES, example_review

ROOT = Path(__file__).parent.parent
#: SARIF 2.1.0-rtm.5, the schema that the OASIS technical committee published, as json.schemastore.org serves it
SARIF = json.loads((ROOT / "tests" / "published" / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))
CITED = (Citation("practice", "Common practice (no published source)", "a clause & more"),)
ACCEPTED = Concession(
    rule="a-rule", subject="parts/<b>", reason="Known & liked.", by="builder", date=date(2026, 4, 18)
)
WORST = Finding(
    "a-rule", 'parts/"<&\u202e\x1b[31m', 'It fails at "<&\u202e\x1b[31m.', HazardClass.CATASTROPHIC, field="rating", state="cruise", failure="open",
    switches=(("master", "on"),), path=(Step("main-battery", "battery"), Step("W1", "wire a.b to c.d")), numbers=(("rating", "20 A"), ("limit", "5 A")),
    citations=CITED, remedy="Mend it.", place=Place(7, 3),
)  # fmt: skip
KEPT = replace(
    WORST,
    subject="parts/<b>",
    sentence="A label is missing.",
    hazard=HazardClass.MINOR,
    conceded=ACCEPTED,
    state="",
    switches=(),
    path=(),
)
REVIEW = Review(
    "a folder/désign.yaml", "Bench", "detailed",
    (
        Assessment("a-rule", "Everything is well.", HazardClass.HAZARDOUS, CITED, "Everything is well.\n\nWhy.", 5, (WORST, KEPT),
                   (Gap("a-rule", "wires/W2", "`gauge` of W2", HazardClass.HAZARDOUS, Place(9, 1)),), (Breakdown("a-rule", "parts/x", "ValueError: no", "trace"),)),
        Assessment("b-rule", "Nothing is ill.", HazardClass.MINOR, CITED, "Nothing is ill.\n\nWhy.", 2),
        Assessment("c-rule", "No such thing.", HazardClass.MINOR, CITED, "No such thing.\n\nWhy.", 0),
    ),
    unmatched=(replace_concession := ACCEPTED.model_copy(update={"subject": "parts/gone"}),),
    limits=("One failure at a time.",), basis=("Table 11-3.",), parts=3, wires=2, states=("cruise",), positions=((("master", "on"),),),
)  # fmt: skip
NAMES = ["bench", *(path.name for path in EXAMPLES)]


def review_of(name: str) -> Review:
    return REVIEW if name == "bench" else example_review(ROOT / "examples" / name)


def every_review() -> list[Review]:
    return [review_of(name) for name in NAMES]


def test_the_text_opens_with_the_verdict_and_keeps_everything_with_missing_data_after_findings() -> None:
    text = as_text([REVIEW])
    order = [
        "a folder/désign.yaml",
        "RULE ERROR",
        "Rule error: ",
        "Catastrophic: 1 finding",
        "Conceded: 1 finding",
        "Missing data: ",
        "Concessions that match no finding",
        "second opinion",
    ]
    places = [text.index(word) for word in order]
    assert places == sorted(places)
    for word in (
        "`gauge` of W2",
        "main-battery -> W1",
        "20 A",
        "5 A",
        "a clause & more",
        "Mend it.",
        "line 7",
        "Known & liked.",
        "2026-04-18",
        "parts/gone",
    ):
        assert word in text, word
    assert "\x1b" not in text and "\u202e" not in text


def test_no_line_of_a_narrow_text_is_wider_than_it_may_be_but_for_one_word() -> None:
    for line in as_text(every_review(), 60).splitlines():
        assert len(line) <= 60 or len(line.split()) <= 2, line


@pytest.mark.parametrize("name", NAMES)
def test_no_output_calls_a_design_good(name: str) -> None:
    review = review_of(name)
    own = {**{f.name: getattr(review, f.name) for f in review.__dataclass_fields__.values()}}
    assert own
    for text in (as_text([review]), as_json([review]), as_sarif([review], "1")):
        words = re.sub(r"no[ -]safety[ -]effect", "", text.lower())
        words = words.replace("development of safe", "")
        assert not re.search(r"\b(is safe|approved|compliant|airworthy|certified)\b", words)


@pytest.mark.parametrize("name", NAMES)
def test_the_json_is_valid_against_its_schema(name: str) -> None:
    review = review_of(name)
    schema = json.loads((ROOT / "schemas" / "review.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(as_json([review])))


def test_the_json_carries_the_evidence() -> None:
    text = as_json([REVIEW])
    for word in (
        WORST.identity,
        "main-battery",
        "20 A",
        "ValueError: no",
        "parts/gone",
        "One failure at a time.",
        "Known & liked.",
    ):
        assert word in text


def sarif(*reviews: Review) -> dict:
    return json.loads(as_sarif(reviews, "0.1.0"))["runs"][0]


@pytest.mark.parametrize("name", NAMES)
def test_the_sarif_is_valid_against_the_official_schema(name: str) -> None:
    review = review_of(name)
    log = json.loads(as_sarif([review], "0.1.0"))
    jsonschema.validators.validator_for(SARIF)(SARIF).validate(log)
    assert log["version"] == "2.1.0"


def test_the_sarif_keeps_the_rules_of_the_specification_that_its_schema_does_not_state() -> None:
    """SARIF 2.1.0: 3.27.10 (level none where kind is not fail), 3.27.23 (suppressions in all results or in none), 3.52.4 (ruleIndex)."""
    run = sarif(*every_review())
    rules = run["tool"]["driver"]["rules"]
    for result in run["results"]:
        assert "level" in result and (result.get("kind", "fail") == "fail" or result["level"] == "none")
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
    assert len({"suppressions" in r for r in run["results"]}) == 1
    assert run["invocations"][0]["executionSuccessful"] is False
    assert sarif(*every_review()[1:])["invocations"][0]["executionSuccessful"] is True


def test_the_sarif_says_where_in_the_design_and_by_which_path() -> None:
    result = sarif(REVIEW)["results"][0]
    location = result["locations"][0]
    assert location["physicalLocation"]["artifactLocation"]["uri"] == "a%20folder/d%C3%A9sign.yaml"
    assert location["physicalLocation"]["region"]["startLine"] == 7
    assert location["logicalLocations"][0]["fullyQualifiedName"].startswith("parts/")
    steps = result["codeFlows"][0]["threadFlows"][0]["locations"]
    assert len(steps) == 2
    assert [s["status"] for r in sarif(REVIEW)["results"] for s in r["suppressions"]] == ["accepted"]


def test_fingerprints_stay_when_lines_move_and_differ_otherwise() -> None:
    def moved(review: Review) -> Review:
        findings = tuple(replace(f, place=Place(99, 9)) for f in review.assessments[0].findings)
        return replace(
            review, assessments=(replace(review.assessments[0], findings=findings), *review.assessments[1:])
        )

    def prints(review: Review) -> list[str]:
        return [
            json.dumps(r["partialFingerprints"])
            for r in sarif(review)["results"]
            if "partialFingerprints" in r
        ]

    assert prints(REVIEW) == prints(moved(REVIEW))
    assert len(set(prints(REVIEW))) == len(prints(REVIEW)) >= 2


def test_mistakes_of_a_file_are_shown_with_the_line_and_a_mark() -> None:
    text = as_problems("x.yaml", [Problem(2, 4, "a/b", "the number 5 has no unit")], ["a:", "  b: 5"])
    assert (
        "the number 5 has no unit" in text
        and "line 2, column 4" in text
        and "| " in text
        and "nothing was reviewed" in text
    )


def test_of_very_many_mistakes_the_first_thousand_are_told_and_the_rest_counted() -> None:
    told = as_problems(
        "x.yaml", [Problem(1, i, "", f"mistake number {i}") for i in range(1, 5001)], ["x" * 5_000_000]
    )
    assert "mistake number 1000\n" in told and "mistake number 1001" not in told
    assert (
        "4000 more mistakes not listed" in told and "5000 mistakes in x.yaml" in told and len(told) < 500_000
    )
