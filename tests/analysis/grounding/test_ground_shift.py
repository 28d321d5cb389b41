"""Ground shift: rises against sums done by hand, and against the solver of operating points."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding import ground_shift
from reviewer.reading import read_text
from tests.analysis.grounding.two_straps import RING, TEXT


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_text(TEXT, "bench.yaml"))


def test_what_a_return_rises_by_when_a_lead_opens_is_the_current_times_what_is_left(facts: Facts) -> None:
    """The estimate and the failure solved in full, by Ohm's law.

    The heater is a resistance of 1.4 ohm behind about 14.3 V.
    """
    rise = facts.grounds.rise("N6")
    point = facts.points.operating_point("cruise", None, (ground_shift.Failure("wires/N6", "open"),))
    amps = point.taken["parts/heater"]
    left = 0.005 + RING + 0.150 + 2 * RING
    assert rise.user == "heater"
    assert rise.volts > rise.most
    # the nearest negative is that of the battery: what charges it drops a little in N1
    assert rise.volts == pytest.approx(amps * left, rel=0.02)


def test_a_lead_beside_a_good_one_is_passed_without_solving_the_failure(facts: Facts) -> None:
    rise = ground_shift.rise(
        facts.network,
        facts.grounds.return_ohms,
        "wires/N7",
        facts.points.point(facts.points.flown[0]),
        lambda case: pytest.fail("solved"),
    )
    assert rise.volts < 0.2
