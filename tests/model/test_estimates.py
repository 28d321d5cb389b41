"""Figures that are estimates: how they are written, what they are worth, and what a review says of them."""

from __future__ import annotations

import re

import pytest

from reviewer.model.design import Design
from reviewer.model.estimates import estimates_in_words, estimates_of, with_estimates
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


def test_estimates_are_found_wherever_a_quantity_stands_the_largest_currents_first() -> None:
    assert estimates_of(design()) == ()
    found = estimates_of(design("~1 A, peak 8 to 10 A, 9 V to 32 V", "~55 W", "~1 m", "~17 Ah"))
    assert [str(estimate) for estimate in found] == [
        "current of lamp (~3.93 A)",
        "peak of radio (8 to 10 A)",
        "current of radio (~1 A)",
        "capacity of battery (~17 Ah)",
        "length of c-1 (~1 m)",
    ]
    assert [estimate.end(True) for estimate in found[1:3]] == [
        "peak of radio at 10 A",
        "current of radio at 1.3 A",
    ]
    assert [estimate.gives for estimate in found] == [False, False, False, True, False]


def test_a_current_of_each_phase_is_one_estimate_and_pieces_in_pieces_have_theirs() -> None:
    text = """
format: 1
aircraft: {name: x, nominal: 14 V, airframe: metal, stage: detailed, estimates: 10 %, zones: {engine: {max-ambient: 80 to 100 C}}}
parts:
  radio: {kind: instrument, current: {cruise: ~1 A, climb: 2 A, descent: 1 to 3 A}, inputs: {volts: {signal: in, resistance: ~100 kohm}}}
wires: {W1: {from: radio.supply, to: radio.return}}
operation: {normal: cruise, endurance: ~45 min, states: {cruise: {}}, phases: {cruise: {state: cruise}, climb: {state: cruise}, descent: {state: cruise}}}
watch: {monitors: {low: {shows: voltage, senses: radio.supply, alarm-below: ~12 V}}}
"""
    found = {estimate.at: (estimate.low, estimate.high) for estimate in estimates_of(read_text(text, "x"))}
    assert found == {
        "parts/radio/current": ("0.9 A, 1 A", "1.1 A, 3 A"),
        "parts/radio/inputs/volts/resistance": ("90 kohm", "110 kohm"),
        "operation/endurance": ("40.5 min", "49.5 min"),
        "watch/monitors/low/alarm-below": ("10.8 V", "13.2 V"),
        "aircraft/zones/engine/max-ambient": ("80 C", "100 C"),
    }
    moved = with_estimates(read_text(text, "x"), {"parts/radio/current": True, "operation/endurance": False})
    assert dict(moved.parts["radio"].current) == pytest.approx({"cruise": 1.1, "climb": 2, "descent": 3})
    assert moved.operation is not None and moved.operation.endurance == pytest.approx(40.5 * 60)
    assert moved.watch == read_text(text, "x").watch


def test_a_temperature_has_ends_and_no_share() -> None:
    with pytest.raises(QuantityError, match="write its ends"):
        Quantity("temperature", "60 C").read("~60 C")
    assert not re.search(Quantity("temperature", "60 C").pattern, "~60 C")


@pytest.mark.parametrize("share", ["100 %", "~20 %", "10 to 20 %"])
def test_how_far_estimates_may_be_off_is_less_than_the_whole_and_no_estimate(share: str) -> None:
    text = (
        HEAD.replace("detailed}", f"detailed, estimates: {share}}}")
        + "parts: {bus: {kind: bus}}\nwires: {}\n"
    )
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x")
    assert [p.pointer for p in caught.value.problems] == ["aircraft/estimates"]


def test_a_share_of_a_whole_is_never_more_than_the_whole() -> None:
    share = Quantity("share", "80 %").read("~90 %")
    assert isinstance(share, Written) and share.tried(True, 0.3) == pytest.approx(1.0)


@pytest.mark.parametrize("radio", ["1 A, figures estimate", "1 A, estimate"])
def test_the_word_that_marked_estimates_says_what_to_write(radio: str) -> None:
    with pytest.raises(Unreadable) as caught:
        design(radio)
    (problem,) = caught.value.problems
    assert "; write each figure that is an estimate with its sign, `~5 A`, or by its ends" in problem.message


@pytest.mark.parametrize("figures", ["measured", "maker"])
def test_a_figure_is_not_measured_and_an_estimate(figures: str) -> None:
    with pytest.raises(Unreadable) as caught:
        design(f"~1 A, {figures}")
    assert [p.message for p in caught.value.problems] == [
        f"load radio: `figures` is `{figures}`, and a figure with `~` or `to` is an estimate; remove one of the two"
    ]


@pytest.mark.parametrize("written", ["4 to 6 A", "4 A to 6 A", " 4  to 6A ", "4.0 to 6.0 A"])
def test_a_range_is_an_estimate_of_its_middle(written: str) -> None:
    found = Quantity("current", "5 A").read(written)
    assert found == 5.0 and isinstance(found, Written) and found.estimate and found.unit == "A"
    assert quantity(found, "A") == ("4.0 to 6.0 A" if "." in written else "4 to 6 A")


def test_a_range_may_stand_in_a_path_and_in_the_long_form() -> None:
    found = design("4 to 6 A, peak 8 to 10 A, 9 to 32 V")
    assert found == design("5 A, peak 9 A, minimum 9 V, maximum 32 V")
    assert estimates_in_words(estimates_of(found)).startswith("2 figures are estimates: ")


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
