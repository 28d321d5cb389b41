"""What a review says that it does not cover, by the design."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from reviewer.session import review_file
from tests.rule_cases import BASES, RULES, parsed


@pytest.mark.parametrize(
    ("named", "said"),
    [
        (
            set(),
            "4 states are no phase of the flight and without `currents-of`: ",
        ),
        ({"smoke-drill", "on-battery", "parked"}, "One state is no phase of the flight and without"),
    ],
)
def test_states_without_a_phase_are_named(tmp_path: Path, named: set[str], said: str) -> None:
    design = json.loads(json.dumps(parsed(BASES / "wired.yaml")))
    for state in named:
        design["operation"]["states"][state]["currents-of"] = "cruise"
    path = tmp_path / "wired.design.yaml"
    path.write_text(json.dumps(design), encoding="utf-8")
    rule = [RULES["labels-are-present-and-unique"]]
    limits = review_file(path, rule).limits
    assert [said in limit for limit in limits].count(True) == 1
    del design["parts"]["flap-motor"]["current"]
    path.write_text(json.dumps(design), encoding="utf-8")
    assert not any("no phase of the flight" in limit for limit in review_file(path, rule).limits)
