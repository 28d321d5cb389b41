"""One aircraft in the short form with assemblies and in the long form: a sixth of the characters, the same network, the same review; ten typical mistakes in each form."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

import jsonschema
import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.reading import Unreadable, read_text
from reviewer.reading.circuits.expand import expanded
from reviewer.reading.schema import design_schema
from tests.assembling import assembled
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic
from tests.reading.test_short_form import forms
from tests.shortening import shortened
from tests.shuffling import said

FOLDER = Path(__file__).parents[2] / "examples" / "short-form"
SHORT, LONG = (
    (FOLDER / name).read_text(encoding="utf-8")
    for name in ("two-seater.design.yaml", "two-seater.long.design.yaml")
)


def plain(text: str) -> str:
    """A file without its line of comment."""
    head, _, rest = text.partition("\n")
    assert head.startswith("#") and "\n#" not in rest
    return rest


@pytest.mark.long
def test_both_forms_have_the_same_review() -> None:
    assert said(yaml.safe_load(SHORT)) == said(yaml.safe_load(LONG))


def test_the_short_form_has_a_sixth_of_the_characters_and_is_the_same_network() -> None:
    assert 6 * len(plain(SHORT)) <= len(plain(LONG))
    assert expanded(plain(SHORT).encode(), "x") == plain(LONG)
    short, long = read_text(SHORT, "x"), read_text(LONG, "x")
    assert 60 <= len(short.parts) <= 70 and len(short.wires) > 90
    assert short == long and Facts(short).network == Facts(long).network
    validator = jsonschema.Draft202012Validator(design_schema())
    for text in (SHORT, LONG):
        assert not list(validator.iter_errors(json.loads(json.dumps(yaml.safe_load(text)))))


@pytest.mark.parametrize("seed", range(8))
def test_long_form_json_and_short_form_with_assemblies_are_one_design(seed: int) -> None:
    made: dict[str, Any] = {}
    design = awkward(seed, dress=made.update) if seed % 2 else realistic(80, seed, dress=made.update)
    draw = Random(seed)
    short = assembled(shortened(made, draw) if seed % 4 < 3 else made, draw)
    assert len(short["installed"]) > 2
    network = Facts(design).network
    for text in (*forms(made), *forms(short)):
        found = read_text(text, "x")
        assert found == design and Facts(found).network == network
    assert read_text(expanded(forms(short)[seed // 2 % 2].encode(), "x"), "x") == design


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2))
def test_a_generated_design_has_the_same_review_with_assemblies(seed: int) -> None:
    made: dict[str, Any] = {}
    realistic(80, seed, dress=made.update)
    draw = Random(seed)
    assert said(assembled(shortened(made, draw), draw)) == said(made)


#: what is written wrong -> (what is changed in the short form, to what, what is said of it; the same in the long form)
TYPICAL = {
    "a name misspelt": (
        ("bus: bus-$name, senses", "bus: bsu-$name, senses", "circuit alternator-left-field: there is no part `bsu-left` (did you mean `bus-left`?); in assembly `alternator` of the library, line 38"),
        ("from: bus-left.alternator-left-field", "from: bsu-left.alternator-left-field", "wire alternator-left-field-1: there is no part `bsu-left` (did you mean `bus-left`?)"),
    ),
    "a unit that is not of the figure": (
        ("breaker 5 A (", "breaker 5 V (", "circuit radio: `5 V` does not fit a breaker; write for example `5 A`; in assembly `unit`, installed as `radio` in line 37 and 3 more"),
        ("label: RADIO, rating: 5 A", "label: RADIO, rating: 5 V", "breaker radio-breaker: `rating`: `V` is not a unit of current; known: A, mA; write for example `7.5 A`"),
    ),
    "a figure without a unit": (
        ("run: 2 m}", "run: 2}", "circuit landing-light: `2` has no known unit; write for example `2 AWG`, `2 m`, `2 ft`; in assembly `load`, line 8"),
        ("length: 2 m", "length: 2", "wire landing-light-3: `length`: the number 2 has no unit; write for example `2 m`"),
    ),
    "a decimal comma": (
        ("is: \"1.5 A, peak 2.5 A, electronic", "is: \"1,5 A, peak 2.5 A, electronic", "circuit ignition-left: the decimal comma cuts the number; write `1.5 A`, with a point; in assembly `load`, line 8"),
        ("current: 1.5 A", "current: 1,5 A", "the decimal comma cuts the number; write `1.5 A`, with a point"),
    ),
    "a terminal that is not there": (
        ("from: contactor-left.load", "from: contactor-left.laod", "circuit starter-feed: contactor-left has no terminal `laod` (did you mean `load`?); it has battery, coil-minus, load; in assembly `starter` of the library, line 39"),
        ("from: contactor-left.load, to: starter", "from: contactor-left.laod, to: starter", "wire starter-feed-1: contactor-left has no terminal `laod` (did you mean `load`?); it has battery, coil-minus, load"),
    ),
    "a key misspelt": (
        ("limiter: 60 A", "limter: 60 A", "alternator-left: assembly alternator has no parameter `limter` (did you mean `limiter`?)"),
        ("overvoltage-trip", "overvoltag-trip", "alternator alternator-left has no key `overvoltag-trip` (did you mean `overvoltage-trip`?)"),
    ),
    "a name given twice": (
        ("  display-2: {", "  radio: {}\n  display-2: {", "the name `radio` is given twice, first in line 37"),
        ("  display-2: {kind", "  radio: {}\n  display-2: {kind", "the name `radio` is given twice"),
    ),
    "a position that the switch has not": (
        ("pump-left-switch: up", "pump-left-switch: on", "state cruise: pump-left-switch has no position `on`"),
        ("pump-left-switch: up", "pump-left-switch: on", "state cruise: pump-left-switch has no position `on`"),
    ),
    "a bracket or brace left open": (
        ("maker, zone panel, max-ambient 70 C)", "maker, zone panel, max-ambient 70 C", "circuit radio: the bracket is not closed; write `)` after the last figure"),
        ("{kind: airframe, material: metal}", "{kind: airframe, material: metal", "the file is not well-formed here"),
    ),
    "a tab in place of blanks": (
        ("  monitor: bus", "\tmonitor: bus", "the file is not well-formed here: a tab stands here; indent with spaces, not tabs"),
        ("  engine: {kind", "\tengine: {kind", "the file is not well-formed here"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("form", ["short", "long"])
@pytest.mark.parametrize("mistake", TYPICAL)
def test_a_typical_mistake_has_one_message_in_either_form(mistake: str, form: str) -> None:
    (old, new, sentence), text = TYPICAL[mistake][form == "long"], LONG if form == "long" else SHORT
    assert old in text
    with pytest.raises(Unreadable) as caught:
        read_text(text.replace(old, new, 1), "x")
    (problem,) = caught.value.problems
    assert problem.message.startswith(sentence)
    wrong = text.replace(old, new, 1).split("\n")
    assert problem.line <= len(wrong) and problem.column <= len(wrong[problem.line - 1]) + 1
