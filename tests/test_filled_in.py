"""What a review fills in is counted with its reason; what decides a life is asked for, never filled in."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.filled_in import defaults_of
from reviewer.reading import Unreadable, read_text
from reviewer.reports.review.text import as_text
from reviewer.session import review_facts
from tests.rule_cases import RULES

START = (Path(__file__).parents[1] / "reviewer" / "starter.design.yaml").read_text("utf-8")
SENSES = "regulators-sense-bus-voltage-without-drop"


def test_each_default_says_which_it_is_how_often_and_why() -> None:
    found = {one.what: one for one in defaults_of(read_text(START, "x"))}
    one = found["purpose of battery"]
    assert (one.value, one.items) == ("main", ("main-battery",)) and one.why.startswith(
        "Whether it is a main"
    )
    assert found["use of state"].items == ("cruise",) and "engine of state" not in found
    stated = START.replace("main-battery: {kind: battery,", "main-battery: {kind: battery, purpose: main,")
    assert "purpose of battery" not in {one.what for one in defaults_of(read_text(stated, "x"))}


def test_a_review_counts_defaults_and_typical_values() -> None:
    review = review_facts(Facts(read_text(START, "x")), Path("x"), [RULES[SENSES]], trials=False)
    typical = next(f for f in review.filled_in if f.what == "resistance of a closed switch contact")
    assert typical.why.startswith("common practice (no published source)") and "left-switch" in typical.items
    number = sum(len(f.items) for f in review.filled_in)
    assert f"Filled in by default: {number} values" in as_text([review])


@pytest.mark.parametrize(
    ("given", "instead", "rule", "asked"),
    [
        # whether a change-over breaks before it makes: both ways are evaluated, and it is asked for
        (
            ", transfer: break-before-make, rating: 10 A, accessible",
            ", rating: 10 A, accessible",
            "",
            "transfer",
        ),
        # where a regulator senses
        (", regulator-senses: output", "", SENSES, "regulator-senses"),
    ],
)
def test_what_is_critical_is_asked_for_and_has_no_default(
    given: str, instead: str, rule: str, asked: str
) -> None:
    design = read_text(START.replace(given, instead), "x")
    assert design != read_text(START, "x")
    assert not any(asked in one.what for one in defaults_of(design))
    if rule:
        review = review_facts(Facts(design), Path("x"), [RULES[rule]], trials=False)
        assert any(asked in gap.needs for gap in review.gaps)


def test_the_class_of_a_function_is_never_a_default() -> None:
    with pytest.raises(Unreadable) as caught:
        read_text(START.replace(", loss: catastrophic}", "}"), "x")
    assert ["`loss` is missing" in p.message for p in caught.value.problems] == [True]


def test_a_return_goes_nowhere_unless_it_is_drawn() -> None:
    open_return = START.replace("  W52: {from: audio-panel.return,", "  # W52: {from: audio-panel.return,")
    review = review_facts(
        Facts(read_text(open_return, "x")), Path("x"), [RULES["every-load-has-a-return-path"]], trials=False
    )
    assert [f.subject for f in review.findings] == ["parts/audio-panel"]


def test_a_changeover_of_unknown_throw_is_asked_for_or_found() -> None:
    """With nothing said of the contacts the finding or the question comes, with a make-before-break the finding."""
    text = """
format: 1
aircraft: {name: x, nominal: 14 V, airframe: metal, stage: detailed}
parts:
  main: {kind: battery}
  reserve: {kind: battery, purpose: reserve}
  select: {kind: switch, positions: {main: [[a, out]], reserve: [[b, out]]}THROW}
  radio: {kind: load}
wires:
  W1: {from: main.positive, to: select.a}
  W2: {from: reserve.positive, to: select.b}
  W3: {from: select.out, to: radio.supply}
  W4: {from: radio.return, to: main.negative}
  W5: {from: reserve.negative, to: main.negative}
functions: {talk: {any: 1, of: [radio], loss: major}}
operation: {normal: main, states: {main: {switches: {select: main}}, reserve: {like: main, switches: {select: reserve}}}}
"""
    rules = [RULES["source-changeover-is-by-double-throw-switch"], RULES["no-source-backfeeds-another"]]

    def said(throw: str) -> bool:
        review = review_facts(
            Facts(read_text(text.replace("THROW", throw), "x")), Path("x"), rules, trials=False
        )
        return bool(review.findings or any("transfer" in gap.needs for gap in review.gaps))

    assert said("") and not said(", transfer: break-before-make")


def test_the_defaults_of_assemblies_are_counted_with_what_they_are() -> None:
    short = Path(__file__).parents[1] / "examples" / "short-form" / "two-seater.design.yaml"
    found = {one.what: one for one in defaults_of(read_text(short.read_bytes(), "x"))}
    one = found["gauge of assembly sense-lead"]
    assert (one.value, one.items) == ("22 AWG", ("volts-left", "volts-right"))
    assert one.why == "Default of the assembly for its gauge of the lead."
    assert found["rating of assembly load"].why == "Default of the assembly for its rating."
    assert "length of assembly sense-lead" not in found and "zone of assembly starter" not in found
