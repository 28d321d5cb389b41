"""What a power-up card on a supply suspects at a step is what puts that step out of its limits, by volts and amperes."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.solved_state import scenario_of, solve_state
from reviewer.questions.bench_supply import Bench
from reviewer.questions.power_steps import Act
from reviewer.questions.power_up import power_up
from tests.analysis.small_designs import SmallDesign


def drawn(second: str) -> Facts:
    """A radio with two returns, of 0.001 ohm and ``second``."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    made.load("radio", made.protector("radio-breaker"), current="4 A", type="electronic", minimum="9 V")
    first = f"W{len(made.wires)}"
    made.wires[first]["resistance"] = "0.001 ohm"
    made.wire("radio.return", "ground")
    made.wires[f"W{len(made.wires)}"]["resistance"] = second
    made.function("communication", "radio", loss="major")
    return made.facts()


#: by hand: 4 A at 14 V are 56 W; with the first return open V x (12.6 - V) / 0.6 ohm = 56 W leaves the radio 8.9 V
@pytest.mark.parametrize(("second", "shows"), [("0.6 ohm", True), ("0.002 ohm", False)])
def test_one_of_two_returns_is_suspected_where_the_other_loses_more_than_the_limits_allow(
    second: str, shows: bool
) -> None:
    facts = drawn(second)
    steps = [step for card in power_up(facts) for step in card.steps]
    (volts,) = (step for step in steps if step.act is Act.LOAD)
    assert volts.names == ("radio",) and volts.limits is not None
    assert (("W5" in volts.suspects), ("W5" in volts.untold)) == (shows, not shows)
    # an ohmmeter in the place of the supply: 0.6 ohm where 0.3 is the most
    (ohms,) = (step for step in steps if step.act is Act.RETURN_CONTINUITY)
    assert (("W5" in ohms.suspects), ("W5" in ohms.untold)) == (shows, not shows)
    bench = Bench(facts.as_written, "battery")
    (answer,) = bench.solve([bench.state("on", {}, [])]).values()
    case = (Failure("wires/W5", OPEN),)
    scenario = scenario_of(facts.as_written, bench.network, answer.state, answer.healthy, None, case)
    point = solve_state(facts.as_written, bench.network, scenario)
    read = point.volts["radio.supply"] - point.volts["radio.return"]
    assert volts.limits.holds(read) == (not shows) and (read < 9.0) == shows
