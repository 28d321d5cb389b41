"""Loads that logic calls powered after a failure and that have no volts: each is fed by a converter alone that has too few at its
input for what it takes, and does not work where volts are looked at."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.answers import PLAIN
from reviewer.reading import read_text

AIRCRAFT = Path(__file__).parents[2] / "aircraft"
#: a design, the states in which such loads were found, the function of class minor that they serve, and how many
#: there are
FOUND = [
    ("glider-two-batteries", ["soaring", "landing", "launch"], ("loss: minor, note: \"Paper map", "loss: major, note: \"Paper map")),
]  # fmt: skip


def without_volts(facts: Facts, state: str) -> Iterator[tuple[str, bool, bool]]:
    """(load, whether a converter alone feeds it and has little more than half of the volts of the aircraft at its input, whether it has too few volts) of
    each load and failure of a state in which it is powered and has less than a volt."""
    answer, network = facts.states.answer(state), facts.network
    cases = (*answer.failures, *answer.stuck_contacts, ())
    solved = conduct(network, answer.state, cases, answer.healthy)
    points = facts.points.failed_points(state, cases, solved, (PLAIN,))
    assert not points.unsolved
    low = answer.low(cases, solved)

    def across(plus: int, minus: int) -> np.ndarray:
        return np.nan_to_num(points.volts_of(plus) - points.volts_of(minus), nan=0.0)

    for user in network.consumers:
        volts = np.max([across(n, user.minus[0]) for n in user.plus], axis=0)
        for lane, case in enumerate(cases):
            opened = case != () and user.element in network.opened_by(case.element)
            if opened or not solved.powered[user.element] >> lane & 1 or abs(volts[lane]) > 1.0:
                continue
            feeding = [s for s in solved.fed if any(solved.fed[s][n] >> lane & 1 for n in user.plus)]
            inputs = [c.supply for c in network.converters if c.element in feeding and c.supply]
            starved = len(inputs) == len(feeding) and all(
                across(c.plus[0], c.minus[0])[lane] < 0.55 * facts.design.aircraft.volts for c in inputs
            )
            yield user.element, starved, bool(low.get(user.element, 0) >> lane & 1)


@pytest.mark.long
@pytest.mark.parametrize(("name", "states", "graver"), FOUND)
def test_what_logic_calls_lit_without_volts_is_behind_a_converter_that_has_too_few(
    name: str, states: list[str], graver: tuple[str, str]
) -> None:
    """Of functions of class minor no volts are looked at, of graver ones they are: then it does not work."""
    text = (AIRCRAFT / f"{name}.design.yaml").read_text(encoding="utf-8")
    assert text.count(graver[0]) == 1
    minor, major = (Facts(read_text(t, "x.yaml")) for t in (text, text.replace(*graver)))
    for state in states:
        found, graver_found = list(without_volts(minor, state)), list(without_volts(major, state))
        assert found and all(starved for _, starved, _ in found)
        assert not any(low for *_, low in found) and all(low for *_, low in graver_found)
        assert len(found) == len(graver_found)
