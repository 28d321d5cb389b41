"""What an operating point rests on besides the file."""

from __future__ import annotations

from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.tables.typical import typical


def test_one_kind_of_figure_is_one_entry_with_its_range_and_its_elements() -> None:
    assumptions, figure = Assumptions(), typical("volts", "breaker-at-rating")
    for rating in (5, 10):
        assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a breaker",
            figure,
            f"parts/b{rating}",
            figure.value / rating,
            "ohm",
        )
    (one,) = assumptions.assumed()
    assert (one.quantity, one.figure, one.elements) == (
        AssumedQuantity.RESISTANCE,
        "0.015 to 0.03 ohm",
        ("parts/b5", "parts/b10"),
    )
    assert str(one) == "resistance of a breaker 0.015 to 0.03 ohm (common practice, no published source)"


def test_what_others_rest_on_is_taken_over() -> None:
    one, other = Assumptions(), Assumptions()
    other.use(
        AssumedQuantity.STATE_OF_CHARGE,
        "state of charge",
        typical("shares", "state-of-charge"),
        "parts/battery",
    )
    other.unsized["wires/W1"], other.undrawn["parts/pump"] = "`gauge`", "`current`"
    one.add(other)
    assert (one.used, one.unsized, one.undrawn) == (other.used, other.unsized, other.undrawn)
    assert one.assumed()[0].figure == "1"  # a share has no unit
