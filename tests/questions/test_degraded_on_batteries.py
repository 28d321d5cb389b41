"""A degraded joint loses a function at less resistance once the batteries are alone: worked out by hand for a motor, which takes the
same current at any voltage above its minimum."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.questions.fail import fail_of
from reviewer.reading import read_text
from reviewer.reports.degraded_text import degraded_lines

DESIGN = """
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: composite, stage: detailed, ambient: 20 C}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah, internal-resistance: 0.01 ohm}
  alternator: {kind: alternator, rating: 40 A, set-point: 14.4 V, excitation: permanent-magnet}
  bus: {kind: bus}
  ground: {kind: ground-block}
  pump: {kind: load, type: motor, current: 4 A, minimum: 10 V, maximum: 16 V}
wires:
  W1: {from: battery.positive, to: bus.battery, resistance: 0.001 ohm}
  W2: {from: alternator.output, to: bus.alternator, resistance: 0.001 ohm}
  W3: {from: SUPPLY, to: pump.supply, resistance: 0.04 ohm}
  W4: {from: pump.return, to: ground.pump, resistance: 0.05 ohm}
  W5: {from: ground.battery, to: battery.negative, resistance: 0.001 ohm}
  W6: {from: ground.alternator, to: alternator.ground, resistance: 0.001 ohm}
MORE
functions: {fuel: {any: 1, of: [pump], loss: hazardous}}
operation: {normal: cruise, states: {cruise: {engine: running, switches: {}}}}
"""


def facts(supply: str = "bus.pump", more: str = "") -> Facts:
    return Facts(read_text(DESIGN.replace("SUPPLY", supply).replace("MORE", more.strip("\n")), "bench.yaml"))


def test_the_limit_on_batteries_alone_is_said_beside_that_with_the_alternator() -> None:
    made = facts()
    answer = fail_of(made, "W3", "degraded")
    (one,) = answer.degraded
    (loss,), (alone,) = one.losses, one.on_batteries.losses
    lost = Failure("parts/alternator", OPEN)
    for limit, case in ((loss, ()), (alone, (lost,))):
        # what is left at the pump over its minimum, at the 4 A that it takes either way
        sound = made.points.operating_point("cruise", None, case).across["parts/pump"]
        assert limit.ohms == pytest.approx((sound - 10.0) / 4.0, rel=5e-3)
        for factor, low in ((1.004, True), (1 / 1.004, False)):
            worse = (Failure("wires/W3", DEGRADED, ohms=limit.ohms * factor), *case)
            volts = made.points.operating_point("cruise", None, worse).across["parts/pump"]
            assert (volts < 10.0) is low
    assert alone.ohms < 0.7 * loss.ohms
    told = [line.strip() for line in degraded_lines(made.design, answer, 200)]
    assert all(f"{limit.ohms:.3g} ohm" in line for limit, line in zip((loss, alone), told[2:4], strict=True))
    assert "on batteries alone" not in told[2] and "on batteries alone" in told[3]


SECOND = """
  W7: {from: other-battery.negative, to: ground.other, resistance: 0.001 ohm}
"""


def test_where_no_alternator_feeds_the_load_there_is_one_limit() -> None:
    text = DESIGN.replace(
        "  bus: {kind: bus}",
        "  bus: {kind: bus}\n  other-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}",
    )
    text = text.replace("SUPPLY", "other-battery.positive").replace("MORE", SECOND.strip("\n"))
    answer = fail_of(Facts(read_text(text, "bench.yaml")), "W3", "degraded")
    (one,) = answer.degraded
    assert one.losses and not one.on_batteries.losses and not one.on_batteries.low


def test_the_alternator_itself_is_not_judged_without_it() -> None:
    answer = fail_of(facts(), "alternator", "leaking")
    assert all(not one.on_batteries.losses and not one.on_batteries.missing for one in answer.degraded)
