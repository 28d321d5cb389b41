"""Figures that are estimates: how they are written, what they are worth, and what a review says of them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reviewer.model.design import Design
from reviewer.model.estimates import estimates_in_words
from reviewer.model.quantities import Quantity, QuantityError, Written
from reviewer.model.quantity_words import quantity
from reviewer.reading import Unreadable, read_text

HEAD = "format: 1\naircraft: {name: x, nominal: 14 V, airframe: metal, stage: detailed}\n"
LINE = "circuits: {{c: 'battery.positive > 20 AWG {length} > fuse 5 A > radio ({radio}) > lamp ({lamp}) > battery.negative'}}\n"
PARTS = "parts: {{battery: {{kind: battery, capacity: {capacity}}}}}\n"


def design(radio: str = "1 A", lamp: str = "55 W", length: str = "1 m", capacity: str = "17 Ah") -> Design:
    text = HEAD + LINE.format(length=length, radio=radio, lamp=lamp) + PARTS.format(capacity=capacity)
    return read_text(text, "x")


@pytest.mark.parametrize("written", ["~5 A", " ~ 5 A", "~5A", "~5.0 A"])
def test_an_estimate_has_the_value_of_its_figure_and_is_shown_as_it_is_written(written: str) -> None:
    found = Quantity("current", "5 A").read(written)
    assert found == 5.0 and isinstance(found, Written) and found.estimate
    assert (found.text, found.unit, quantity(found, "A")) == ("~5 A", "A", "~5 A")
    assert not Quantity("current", "5 A").read("5 A").estimate  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "written",
    [
        "~",
        "~A",
        "~5",
        "~5 V",
        "~-5 A",
        "~0 A",
        "5 ~A",
        "~1e9 A",
        "6 to 4 A",
        "4 to 4 A",
        "4 A to 6 V",
        "4 A to 6 mA",
        "4 to 6",
        "to 6 A",
        "~4 to 6 A",
        "4 to 1e9 A",
        "4 to 6 to 8 A",
    ],
)
def test_what_is_no_figure_is_none_with_a_sign_before_it(written: str) -> None:
    with pytest.raises(QuantityError):
        Quantity("current", "5 A").read(written)


def test_the_design_is_that_of_the_figures() -> None:
    assert design("~1 A, peak ~2 A", "~55 W", "~1 m", "~17 Ah") == design(
        "1 A, peak 2 A", "55 W", "1 m", "17 Ah"
    )


def test_a_review_says_what_is_an_estimate_the_largest_first() -> None:
    assert estimates_in_words(design()) == ()
    one, other = estimates_in_words(design("~1 A", "~55 W", "~1 m", "~17 Ah"))
    assert one.startswith(
        "2 loads and instruments have an estimated current: lamp (~55 W), radio (~1 A). Every voltage"
    )
    assert (
        other
        == "Estimated too, and not tried with other values: capacity of battery (~17 Ah), length of c-1 (~1 m)."
    )
    (alone,) = estimates_in_words(design("1 A, figures estimate"))
    assert alone.startswith("One load has an estimated current: radio (1 A). ")


def test_many_are_counted() -> None:
    path = Path(__file__).parents[2] / "examples" / "tourer.design.yaml"
    (said,) = estimates_in_words(read_text(path.read_bytes(), "x"))
    assert said.startswith(
        "25 loads and instruments have an estimated current: starter (350 A), pitot-heater (11 A), "
    )
    assert " and 21 more. " in said


@pytest.mark.parametrize("figures", ["measured", "maker"])
def test_a_figure_is_not_measured_and_an_estimate(figures: str) -> None:
    with pytest.raises(Unreadable) as caught:
        design(f"~1 A, {figures}")
    assert [p.message for p in caught.value.problems] == [
        f"load radio: `figures` is `{figures}`, and a figure with `~` or `to` is an estimate; take one of the two out"
    ]


@pytest.mark.parametrize("written", ["4 to 6 A", "4 A to 6 A", " 4  to 6A ", "4.0 to 6.0 A"])
def test_a_range_is_an_estimate_of_its_middle(written: str) -> None:
    found = Quantity("current", "5 A").read(written)
    assert found == 5.0 and isinstance(found, Written) and found.estimate and found.unit == "A"
    assert quantity(found, "A") == ("4.0 to 6.0 A" if "." in written else "4 to 6 A")


def test_a_range_may_stand_in_a_path_and_in_the_long_form() -> None:
    found = design("4 to 6 A, peak 8 to 10 A, 9 to 32 V")
    assert found == design("5 A, peak 9 A, minimum 9 V, maximum 32 V")
    assert estimates_in_words(found)[0].startswith("One load has an estimated current: radio (8 to 10 A). ")


@pytest.mark.parametrize(
    "written", ["~5 A", "4 to 6 A", "4 A to 6 A", "5 A", "~5", "to 6 A", "4 to 6", "4 to 6 V", "~4 to 6 A"]
)
def test_the_pattern_for_editors_takes_what_is_read(written: str) -> None:
    mark = Quantity("current", "5 A")
    try:
        mark.read(written)
    except QuantityError:
        assert not re.search(mark.pattern, written)
    else:
        assert re.search(mark.pattern, written)
