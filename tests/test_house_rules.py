"""Rules of a house that are JSON Schemas, on designs in both forms, and files that are none."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from reviewer.model.review import Assessment
from reviewer.reading import read_text
from reviewer.rulebook.house_schema import ENDING
from reviewer.rulebook.loader import RuleNotLoadable, load_rules
from reviewer.rulebook.plain_data import plain_data
from reviewer.session import review_file

SCHEMA: dict[str, Any] = {
    "title": "Labels are in capitals.",
    "description": "Why: the shop engraves capitals only.",
    "hazard": "minor",
    "remedy": "Write the label in capitals.",
    "references": ["Shop manual, issue 3; section 4.2"],
    "properties": {
        "parts": {
            "propertyNames": {"pattern": "^[a-z0-9-]+$", "sentence": "The name {name} has other signs."},
            "additionalProperties": {
                "properties": {"label": {"$ref": "#/$defs/capitals"}},
                "if": {"properties": {"kind": {"const": "breaker"}}},
                "then": {"required": ["label"], "hazard": "major", "remedy": "Label it."},
            },
        },
        "wires": {"additionalProperties": {"properties": {"gauge": {"enum": ["20 AWG", "18 AWG"]}}}},
        "operation": {"properties": {"states": {"required": ["smoke"]}}},
    },
    "$defs": {"capitals": {"pattern": "^[A-Z0-9 ]+$", "sentence": "{name} is labelled {value}, `{key}`."}},
}
HEAD = "format: 1\naircraft: {name: x, nominal: 14 V, airframe: metal, stage: concept}\n"
LONG = f"""{HEAD}parts:
  battery: {{kind: battery}}
  radio-breaker: {{kind: breaker, rating: 5 A, label: LABEL}}
  radio: {{kind: load, type: electronic}}
wires:
  W1: {{from: battery.positive, to: radio-breaker.line, gauge: 20 AWG}}
  W2: {{from: radio-breaker.load, to: radio.supply}}
  W3: {{from: radio.return, to: battery.negative}}
"""
PATH = f"""{HEAD}parts:
  battery: {{kind: battery}}
circuits:
  radio: battery.positive > 20 AWG > breaker 5 A LABEL > radio (1 A) > battery.negative
"""


def written(folder: Path, schema: Any = SCHEMA, name: str = "labels_in_capitals") -> Path:
    folder.mkdir(exist_ok=True)
    text = schema if isinstance(schema, str) else json.dumps(schema)
    (folder / f"{name}{ENDING}").write_text(text, encoding="utf-8")
    return folder


def found(folder: Path, text: str, schema: Any = SCHEMA) -> Assessment:
    path = folder / "x.design.yaml"
    path.write_text(text, encoding="utf-8")
    review = review_file(path, load_rules([written(folder / "rules", schema)], installed=False))
    (assessment,) = review.assessments
    assert not assessment.breakdowns, assessment.breakdowns
    return assessment


def test_a_design_that_keeps_to_it_has_no_finding(tmp_path: Path) -> None:
    for text in (LONG, PATH):
        assessment = found(tmp_path, text.replace("LABEL", "NAV 1"))
        assert assessment.findings == () and assessment.examined >= 3


@pytest.mark.parametrize(
    ("text", "change", "subject", "sentence", "hazard", "line"),
    [
        pytest.param(LONG, ("LABEL", "Nav"), "parts/radio-breaker", "radio-breaker is labelled Nav, `label`.", "minor", 5, id="a pattern"),
        pytest.param(PATH, ("LABEL", '"Nav"'), "parts/radio-breaker", "radio-breaker is labelled Nav, `label`.", "minor", 6, id="in a path"),
        pytest.param(LONG, (", label: LABEL", ""), "parts/radio-breaker", "radio-breaker has no `label`.", "major", 5, id="a missing key"),
        pytest.param(LONG, ("20 AWG", "24 AWG"), "wires/W1", '`gauge` of W1 is 24 AWG; the rule allows 20 AWG, 18 AWG.', "minor", 8, id="a value"),
        pytest.param(LONG.replace("radio:", "Radio_1:").replace("radio.", "Radio_1."), ("", ""), "parts/Radio_1", "The name Radio_1 has other signs.", "minor", 6, id="a name"),
        pytest.param(LONG + "operation: {normal: cruise, states: {cruise: {engine: running}}}\n", ("", ""), "operation", "operation has no `states/smoke`.", "minor", 11, id="a state"),
    ],
)  # fmt: skip
def test_what_fails_has_its_place_class_and_sentence(
    tmp_path: Path, text: str, change: tuple[str, str], subject: str, sentence: str, hazard: str, line: int
) -> None:
    text = text.replace(*change) if change[0] else text
    (finding,) = found(tmp_path, text.replace("LABEL", "NAV")).findings
    assert (finding.subject, finding.sentence) == (subject, sentence)
    assert finding.hazard.word == hazard and finding.place is not None and finding.place.line == line
    assert finding.citations[0].title == "Shop manual, issue 3"
    assert finding.remedy == ("Label it." if hazard == "major" else "Write the label in capitals.")


def test_a_concession_accepts_it_as_that_of_any_rule(tmp_path: Path) -> None:
    accepted = (
        "concessions:\n- {rule: labels-in-capitals, subject: parts/radio-breaker, extent: label pattern, "
        "reason: Bought so., by: builder, date: 2026-05-01}\n"
    )
    (finding,) = found(tmp_path, LONG.replace("LABEL", "Nav") + accepted).findings
    assert finding.conceded is not None


def test_figures_and_sizes_are_as_the_file_writes_them() -> None:
    data = plain_data(read_text(PATH.replace("battery}", "battery, capacity: 18 Ah}"), "x"))
    assert data["parts"]["battery"] == {"kind": "battery", "capacity": "18 Ah"}
    assert data["parts"]["radio-breaker"] == {"kind": "breaker", "rating": "5 A", "label": "LABEL"}
    assert data["wires"]["radio-1"]["gauge"] == "20 AWG" and "operation" not in data


@pytest.mark.parametrize(
    ("schema", "why"),
    [
        pytest.param("{", "line 1, column 2: is not JSON", id="no JSON"),
        pytest.param("[]", "no JSON Schema in braces", id="a list"),
        pytest.param(SCHEMA | {"properties": 3}, "no JSON Schema", id="no schema"),
        *(pytest.param({k: v for k, v in SCHEMA.items() if k != key}, f"`{key}`", id=f"no {key}") for key in ("title", "description", "hazard", "remedy", "references")),
        pytest.param(SCHEMA | {"hazard": "severe"}, "`catastrophic`", id="no class"),
        pytest.param(SCHEMA | {"items": {"hazard": "severe"}}, "`hazard` at items", id="no class deeper"),
        pytest.param(SCHEMA | {"items": {"sentence": 3}}, "`sentence` at items", id="no sentence"),
        pytest.param(SCHEMA | {"items": {"$ref": "https://example.invalid/x.json"}}, "another document", id="elsewhere"),
        pytest.param(SCHEMA | {"requird": ["wires"]}, "`requird` at its top is no word of JSON Schema, and none of a rule (did you mean `required`?)", id="a word"),
        pytest.param(SCHEMA | {"properties": {"part": {}}}, "`part` at properties is no section of a design (did you mean `parts`?)", id="a section"),
        pytest.param(SCHEMA | {"properties": {"circuits": {}}}, "is judged as `parts` and `wires`", id="circuits"),
        pytest.param(SCHEMA | {"sentence": "{name} has no {ky}."}, "`{ky}` in the sentence at its top is none of", id="braces"),
    ],
)  # fmt: skip
def test_a_file_that_is_no_rule_is_refused_with_what_it_lacks(tmp_path: Path, schema: Any, why: str) -> None:
    with pytest.raises(RuleNotLoadable) as caught:
        load_rules([written(tmp_path, schema)], installed=False)
    assert why in str(caught.value) and str(caught.value).startswith("labels_in_capitals.schema.json: ")


def test_every_word_of_the_draft_and_one_of_the_houses_own_are_taken(tmp_path: Path) -> None:
    """The innocent twins of a misspelt word."""
    words: dict[str, Any] = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$comment": "x",
        "x-owner": "the shop",
        "dependentRequired": {"anything": ["parts"]},
        "dependentSchemas": {"anything": {"minProperties": 1}},
        "allOf": [{"maxProperties": 50}, {"not": {"const": {"nothing": "of words"}}}],
        "unevaluatedProperties": True,
    }
    (finding,) = found(tmp_path, LONG.replace("LABEL", "Nav"), SCHEMA | words).findings
    assert finding.subject == "parts/radio-breaker"


def test_a_part_named_as_a_word_of_the_schema_is_no_annotation(tmp_path: Path) -> None:
    schema = SCHEMA | {"properties": {"parts": {"properties": {"hazard": {"required": ["label"]}}}}}
    text = LONG.replace("radio:", "hazard:").replace("radio.", "hazard.")
    (finding,) = found(tmp_path, text, schema).findings
    assert finding.sentence == "hazard has no `label`."


def test_a_folder_without_rules_is_said(tmp_path: Path) -> None:
    with pytest.raises(RuleNotLoadable, match="there is no rule in this folder"):
        load_rules([tmp_path], installed=False)


def test_a_key_that_no_design_can_have_is_a_mistake_of_the_schema(tmp_path: Path) -> None:
    """What is missing may be asked for, also below a name; a key that the format lacks cannot be written."""
    (tmp_path / "x.design.yaml").write_text(LONG, encoding="utf-8")

    def judged(**properties: Any) -> Assessment:
        rules = load_rules(
            [written(tmp_path / "rules", SCHEMA | {"properties": properties})], installed=False
        )
        return review_file(tmp_path / "x.design.yaml", rules).assessments[0]

    breaker = judged(parts={"properties": {"radio-breaker": {"required": ["capacity", "accessible"]}}})
    (broken,) = breaker.breakdowns
    assert broken.error == (
        "ValueError: a finding is about `capacity`, a key that parts/radio-breaker cannot have"
        " (labels_in_capitals.schema.json)"
    )
    sound = judged(
        parts={"required": ["spare"], "properties": {"radio-breaker": {"required": ["accessible"]}}},
        aircraft={"required": ["wire"], "properties": {"name": {"pattern": "^[A-Z]"}}},
    )
    assert not sound.breakdowns and len(sound.findings) == 4
    top = SCHEMA | {"required": ["watch"]}
    (assessment,) = review_file(
        tmp_path / "x.design.yaml", load_rules([written(tmp_path / "rules", top)], installed=False)
    ).assessments
    assert [f.sentence for f in assessment.findings if "watch" in f.sentence] == [
        "The design has no `watch`."
    ]


def of_parts(**own: Any) -> Any:
    return SCHEMA | {"properties": {"parts": {"additionalProperties": own}}}


@pytest.mark.parametrize(
    ("schema", "why"),
    [
        pytest.param(SCHEMA | {"required": ["watch", "circuits"]}, "`circuits` at required is no key there", id="circuits"),
        pytest.param(of_parts(properties={"labl": {"pattern": "^A"}}), "`labl` at properties/parts/additionalProperties/properties is no key there (did you mean `label`?)", id="a key"),
        pytest.param(of_parts(required=["labl"]), "required is no key there (did you mean `label`?)", id="a key that must be there"),
        pytest.param(of_parts(**{"not": {"required": ["labl"]}}), "not/required is no key there", id="a key that must not"),
        pytest.param(of_parts(**{"if": {"properties": {"kind": {"const": "braker"}}}}), "`braker` at properties/parts/additionalProperties/if/properties/kind is never there (did you mean `breaker`?)", id="a kind"),
        pytest.param(of_parts(properties={"contacts": {"additionalProperties": {"properties": {"kind": {"enum": ["mke"]}}}}}), "`mke` at ", id="a word deeper"),
        pytest.param(of_parts(properties={"rating": {"maximum": 5}}), "`maximum` at properties/parts/additionalProperties/properties/rating looks at numbers", id="a limit of a figure"),
        pytest.param(SCHEMA | {"$ref": "#/$defs/none"}, "`$ref` at its top names #/$defs/none, which is not in the file", id="nowhere"),
        pytest.param(SCHEMA | {"allOf": [{"$ref": "#/$defs/a"}], "$defs": {"a": {"$ref": "#/$defs/a"}}}, "`$ref` at allOf/0 leads to itself", id="a ring"),
        pytest.param(of_parts(**{"$ref": "#/$defs/a"}) | {"$defs": {"a": {"properties": {"labl": {}}}}}, "`labl` at ", id="behind a reference"),
    ],
)  # fmt: skip
def test_what_could_find_nothing_in_any_design_is_refused(tmp_path: Path, schema: Any, why: str) -> None:
    with pytest.raises(RuleNotLoadable) as caught:
        load_rules([written(tmp_path, schema)], installed=False)
    assert why in str(caught.value)


def test_what_can_apply_somewhere_is_taken(tmp_path: Path) -> None:
    """The innocent twins: keys of other kinds, names of parts, states and pins, numbers and lists."""
    of_part: dict[str, Any] = {
        "rating": {"enum": ["5 A"]},
        "trip-free": False,
        "accessible": {"enum": ["in-flight", None]},
        "current": {"type": ["string", "object"], "properties": {"cruise": {"pattern": "A$"}}},
        "inputs": {"additionalProperties": {"properties": {"signal": {"pattern": "x"}}}},
        "positions": {"properties": {"up": {"items": {"items": {"pattern": "x"}}}}},
    }
    switches = {"properties": {"master": {"const": "down"}}}
    schema: dict[str, Any] = {
        "parts": {
            "additionalProperties": {"properties": of_part, "$ref": "#/$defs/labelled"},
            "patternProperties": {"^radio": {"required": ["label"]}},
        },
        "wires": {"additionalProperties": {"properties": {"gauge": {"enum": ["20 AWG"]}, "length": {"pattern": "m$"}}}},
        "functions": {"additionalProperties": {"properties": {"any": {"minimum": 1}, "of": {"items": {"pattern": "x"}}}}},
        "operation": {"properties": {"states": {"properties": {"smoke": {"properties": {"switches": switches}}}}}},
        "concessions": {"items": {"properties": {"by": {"pattern": "^[A-Z]"}}}},
    }  # fmt: skip
    labelled = {"labelled": {"patternProperties": {"^label$": {"maxLength": 12}}}}
    load_rules([written(tmp_path, SCHEMA | {"properties": schema, "$defs": labelled})], installed=False)
