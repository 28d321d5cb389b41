"""How long a wire bears the starter's current, against the heat balance integrated step by step."""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.protection.starter_cables import seconds_borne
from reviewer.analysis.ratings.short_circuit import withstand
from reviewer.model.quantities import read_gauge
from tests.analysis.small_aircraft import small


def stepped(i2t_a2s: float, continuous_a: float, amperes: float) -> float:
    """Seconds to the limit: what comes in is I2, what goes out is Ic2 times the share that is
    reached; the limit holds ``i2t_a2s``."""
    share = elapsed = 0.0
    step = i2t_a2s / amperes**2 / 20_000
    while share < 1.0:
        share += step * (amperes**2 - continuous_a**2 * share) / i2t_a2s
        elapsed += step
    return elapsed


@pytest.mark.parametrize("amperes", [21.0, 30.0, 60.0, 160.0])
def test_a_wire_warms_as_a_body_that_loses_heat(amperes: float) -> None:
    bears = withstand(read_gauge("14 AWG"), 50.0, 150.0)
    assert seconds_borne(bears, 20.0, amperes) == pytest.approx(
        stepped(bears.i2t_a2s, 20.0, amperes), rel=1e-3
    )


def test_it_bears_for_ever_what_it_carries_continuously_and_never_less_than_without_losing_heat() -> None:
    bears = withstand(read_gauge("14 AWG"), 50.0, 150.0)
    assert seconds_borne(bears, 20.0, 20.0) == math.inf
    for amperes in (20.01, 25.0, 100.0, 1000.0):
        assert bears.seconds(amperes) < seconds_borne(bears, 20.0, amperes) < math.inf
    assert seconds_borne(bears, 20.0, 1000.0) == pytest.approx(bears.seconds(1000.0), rel=1e-3)


def test_an_aircraft_without_a_starter_has_no_cables_of_one() -> None:
    assert small().protection.starter_cables.wires() == ()
