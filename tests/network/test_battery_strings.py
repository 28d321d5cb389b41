"""Which batteries are a string."""

from __future__ import annotations

import pytest

from tests.analysis.small_designs import SmallDesign


def strings(nominal: str, joint: tuple[str, str] | None = None, joined: str = "lower.positive") -> set[str]:
    """The batteries of a string of two, the upper one of which stands on the lower one by a part or a wire."""
    made = SmallDesign()
    made.add("lower", "battery", nominal=nominal)
    made.add("upper", "battery", nominal=nominal)
    made.wire("lower.negative", "ground")
    if joint:
        made.add("joint", joint[0], **({"rating": "100 A"} if joint[0] == "limiter" else {}))
    ends = (
        [("joint.anode", "joint.cathode") if joint[0] == "diode" else ("joint.line", "joint.load")]
        if joint
        else []
    )
    made.run(joined, ends, "upper.negative")
    made.wire("upper.positive", "bus")
    return {e for s in made.facts().network.sources for e in s.string}


@pytest.mark.parametrize(("nominal", "is_one"), [("6 V", True), ("14 V", False)])
def test_only_batteries_below_the_class_of_the_aircraft_make_a_string(nominal: str, is_one: bool) -> None:
    """Two of 14 V in series are no string of a 14 V aircraft: they are a mistake."""
    assert strings(nominal) == ({"parts/lower", "parts/upper"} if is_one else set())


@pytest.mark.parametrize(("kind", "is_one"), [("limiter", True), ("diode", False)])
def test_a_joint_of_a_string_may_have_a_protector_and_no_diode(kind: str, is_one: bool) -> None:
    assert bool(strings("6 V", (kind, ""))) is is_one


def test_batteries_with_their_negatives_together_are_no_string() -> None:
    assert strings("6 V", joined="lower.negative") == set()
