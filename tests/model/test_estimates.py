"""Figures that are estimates: how they are written, what they are worth, and what a review says of them."""

from __future__ import annotations

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


@pytest.mark.parametrize("written", ["~", "~A", "~5", "~5 V", "~-5 A", "~0 A", "5 ~A", "~1e9 A"])
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
        f"load radio: `figures` is `{figures}`, and a figure with `~` is an estimate; take one of the two out"
    ]
