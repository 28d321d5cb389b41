"""A battery that is charged too low because its alternator gives all that it can."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.rule_cases import design, yaml_text

RULE = "batteries-charge-at-their-specified-voltage"


@pytest.mark.parametrize(
    ("case", "overloaded"),
    [
        ("an alternator that is overloaded in most of the flight does not", True),
        ("unmet", False),
        ("lead-acid behind the same diode and set point is not", False),
    ],
)
def test_an_alternator_below_its_set_point_is_overloaded(case: str, overloaded: bool) -> None:
    """The two others are charged too low by a diode and by a set point, with current to spare."""
    sources = Facts(read_text(yaml_text(design(RULE, case)), "design.yaml")).sources
    points = [p for battery in sources.charged for p in sources.charging_points(battery)]
    assert any(p.overloaded == ("parts/alternator",) for p in points) is overloaded
