"""Failures of selectivity."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.late_outcomes import opens_later
from reviewer.analysis.cut_sets.selectivity_failures import SelectivityFailure
from reviewer.analysis.not_assessable import NotAssessable
from tests.analysis.small_designs import SmallDesign


def feeder(upper: str | None, lower: str | None) -> tuple[SelectivityFailure, ...]:
    """A fuse in the feed of a bus, and one in each of its branches."""
    made = SmallDesign()
    made.add("upper", "fuse", **({"rating": upper} if upper else {}))
    made.add("far-bus", "bus")
    made.run("bus", [("upper.line", "upper.load")], "far-bus")
    for name in ("ignition", "lamp"):
        made.add(f"{name}-fuse", "fuse", **({"rating": lower} if lower else {}))
        made.load(name, (f"{name}-fuse.line", f"{name}-fuse.load"), start="far-bus")
    made.function("fire", "ignition")

    made.more["aircraft"] = {
        "stage": "detailed"
    }  # at the concept stage an unknown rating is taken to be selective
    return made.facts().failures.selectivity_failures


def test_fuses_of_one_rating_are_not_selective_and_the_bus_is_lost() -> None:
    (failure,) = {f for f in feeder("5 A", "5 A") if f.protector == "parts/lamp-fuse"}
    assert failure.first == ("parts/upper",) and failure.lost == ("fire",) and failure.unrated == ()


def test_a_much_larger_fuse_upstream_is_selective() -> None:
    assert feeder("60 A", "5 A") == ()


def test_without_a_rating_it_is_in_doubt_and_the_rating_is_named() -> None:
    assert {f.unrated for f in feeder(None, "5 A")} == {("parts/upper",)}


def test_two_protectors_without_a_rating_are_not_assessable() -> None:
    made = SmallDesign()
    made.load("lamp", made.protector("one"), made.protector("two"))
    with pytest.raises(NotAssessable, match="rating"):
        made.facts().failures.selectivity("one", "two")


@pytest.mark.parametrize(("share", "later"), [(1.0, False), (0.5, True), (0.0, True)])
def test_a_feed_that_carries_little_or_none_of_the_current_of_a_short_opens_later(
    share: float, later: bool
) -> None:
    """None is what the limiter of a reserve carries whose negative lead was forgotten."""
    made = SmallDesign()
    for name in ("upper", "lower"):
        made.add(name, "fuse", rating="5 A")
    made.load("lamp", ("upper.line", "upper.load"), ("lower.line", "lower.load"))
    assert opens_later(made.facts().design, "parts/upper", "parts/lower", share) is later
