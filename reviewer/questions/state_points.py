"""Currents and voltages by state: the operating point of each, or its missing data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.record import record
from reviewer.questions.naming import shown_answers

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class StatePoints:
    """The operating ``points`` by state; of the other states ``unsolved`` says what the file lacks.

    A state has one point: with the engine at the speed of the state.
    """

    points: Mapping[str, OperatingPoint]
    unsolved: Mapping[str, str]


def state_points(facts: Facts) -> StatePoints:
    """The operating points of the declared states, the normal state first, and of those in which a
    sneak current keeps a relay energised."""
    points: dict[str, OperatingPoint] = {}
    unsolved: dict[str, str] = {}
    for answer in shown_answers(facts) if facts.design.operation else ():
        name = answer.state.name
        try:
            points[name] = facts.points.operating_point(name)
        except NotAssessable as missing:
            unsolved[name] = missing.needs
    return StatePoints(points, unsolved)
