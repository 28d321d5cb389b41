"""From which resistance on a degraded joint loses a function: by hand in a circuit that can be worked out, and solved just above and just below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, LEAKING, Failure, Mode
from reviewer.analysis.cut_sets.degradation import Degradation, DegradedLoss
from reviewer.analysis.cut_sets.degraded_effects import degraded_effect
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.reading import read_text
from tests.analysis.cut_sets.test_low_volts import UNBUNDLED, changed

#: a battery of 12.8 V behind 0.01 ohm, 0.091 ohm of wire, and what hangs on them
BENCH = """
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: composite, stage: detailed, ambient: 20 C}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah, internal-resistance: 0.01 ohm}
  ground: {kind: ground-block}
  LOAD
wires:
  W1: {from: battery.positive, to: TOP, resistance: 0.04 ohm}
  W2: {from: BOTTOM, to: ground.pump, resistance: 0.05 ohm}
  W3: {from: ground.battery, to: battery.negative, resistance: 0.001 ohm}
  MORE
functions: {fuel: {any: 1, of: [pump], loss: hazardous}}
operation: {normal: cruise, states: {cruise: {engine: running, switches: {}}}}
"""
PUMP = "pump: {kind: load, type: motor, current: 4 A, minimum: 10 V, maximum: 16 V}"


def bench(load: str = PUMP, top: str = "pump.supply", bottom: str = "pump.return", more: str = "") -> Facts:
    text = BENCH.replace("LOAD", load).replace("TOP", top).replace("BOTTOM", bottom).replace("MORE", more)
    return Facts(read_text(text, "bench.yaml"))


def of(facts: Facts, element: str, mode: Mode = DEGRADED, place: str = "", ohms: float = 1.0) -> Degradation:
    return Degradation(
        facts.points, facts.states.answer("cruise"), Failure(element, mode, position=place, ohms=ohms)
    )


def confirmed(facts: Facts, failure: Failure, loss: DegradedLoss, factor: float = 1.004) -> None:
    """Solves a point just above and one just below, each as a scenario of its own."""
    worse, better = (loss.ohms / factor, loss.ohms * factor) if failure.mode is LEAKING else (loss.ohms * factor, loss.ohms / factor)  # fmt: skip
    load, _, minimum = loss.low[0]
    for ohms, lost in ((worse, True), (better, False)):
        case = (replace(failure, ohms=ohms),)
        volts = facts.points.operating_point("cruise", loss.phase, case).across[f"parts/{load}"]
        assert (volts < minimum) is lost, (ohms, volts)


def test_the_resistance_of_a_motor_is_that_of_the_closed_form() -> None:
    facts = bench()
    rest = facts.points.operating_point("cruise").volts["battery.positive"] + 4 * 0.01
    # a motor takes 4 A at any voltage above its minimum; the ring terminals of the block add 2 x what they have
    (loss,) = of(facts, "wires/W1").losses()
    ring = facts.points.wiring.resistor(facts.network.links_of["parts/ground"][0], Assumptions()).ohms
    assert loss.function == "fuel" and loss.low[0][0] == "pump" and not loss.dropped
    assert loss.ohms == pytest.approx((rest - 10) / 4 - 0.01 - 0.091 - 2 * ring, rel=2e-3)


@pytest.mark.parametrize(
    ("element", "place"), [("wires/W1", ""), ("wires/W2", ""), ("parts/battery", ""), ("parts/ground", "pump"), ("parts/ground", "battery")]
)  # fmt: skip
def test_every_joint_in_series_has_the_same_resistance(element: str, place: str) -> None:
    facts = bench()
    (loss,) = of(facts, element, place=place).losses()
    (first,) = of(facts, "wires/W1").losses()
    assert loss.ohms == pytest.approx(first.ohms, rel=2e-3)
    confirmed(facts, Failure(element, DEGRADED, position=place), loss)


TWO_PUMPS = """
  W4: {from: battery.positive, to: other-pump.supply, resistance: 0.04 ohm}
  W5: {from: other-pump.return, to: ground.other, resistance: 0.05 ohm}"""


@pytest.mark.parametrize(("loss", "told"), [("hazardous", ["pump"]), ("minor", [])])
def test_a_joint_of_one_of_two_channels_starves_that_channel(loss: str, told: list[str]) -> None:
    text = BENCH.replace("LOAD", f"{PUMP}\n  other-{PUMP}").replace("MORE", TWO_PUMPS.strip())
    text = text.replace("TOP", "pump.supply").replace("BOTTOM", "pump.return")
    text = text.replace("of: [pump], loss: hazardous", f"of: [pump, other-pump], loss: {loss}")
    facts = Facts(read_text(text, "bench.yaml"))
    degraded = of(facts, "wires/W1")
    assert degraded.losses() == () and [low.load for low in degraded.low_loads()] == told
    for low in degraded.low_loads():
        assert (low.function, low.minimum, low.dropped) == ("fuel", 10, ())
        for factor, below in ((1.004, True), (1 / 1.004, False)):
            case = (Failure("wires/W1", DEGRADED, ohms=low.ohms * factor),)
            at = facts.points.operating_point("cruise", low.phase, case)
            assert (at.across["parts/pump"] < 10) is below and at.across["parts/other-pump"] > 12
    shared = of(facts, "wires/W3")
    assert {low.load for low in shared.low_loads()} == ({"pump", "other-pump"} if told else set())
    assert [lost.function for lost in shared.losses()] == ["fuel"]


def test_where_a_finer_point_has_no_solution_the_last_two_bound_the_limit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    facts = bench()
    (exact,) = of(facts, "wires/W1").losses()
    solved = Degradation._working

    def unsolved(self: Degradation, ohms: Sequence[float], *rest: object) -> dict[str, int]:
        if max(ohms) / min(ohms) < widest:
            raise NotAssessable("an operating point")
        return solved(self, ohms, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(Degradation, "_working", unsolved)
    widest = 1.1
    (loss,) = of(facts, "wires/W1").losses()
    assert exact.ohms <= loss.ohms <= exact.ohms * 1.02 and loss.low[0][0] == "pump"
    widest = 10
    with pytest.raises(NotAssessable):
        of(facts, "wires/W1").losses()


def test_a_joint_that_carries_nothing_loses_nothing() -> None:
    more = "W4: {from: ground.spare, to: ground.spare-too, resistance: 0.01 ohm}"
    facts = bench(more=more)
    assert of(facts, "parts/ground", place="spare").losses() == ()
    assert degraded_effect(of(facts, "wires/W4")).loads == ()


def test_a_relay_that_drops_out_takes_the_function() -> None:
    load = (
        f"{PUMP}\n  relay: {{kind: relay, coil: [plus, minus], coil-current: 0.14 A, dropout-voltage: 4 V, "
        "contacts: {main: {kind: make, joins: [line, load]}}}"
    )
    more = (
        "W4: {from: relay.load, to: pump.supply, resistance: 0.01 ohm}\n"
        "  W5: {from: battery.positive, to: relay.plus, resistance: 0.01 ohm}\n"
        "  W6: {from: relay.minus, to: ground.relay, resistance: 0.01 ohm}"
    )
    facts = bench(load, top="relay.line", more=more)
    (loss,) = of(facts, "wires/W6").losses()
    # the coil has 100 ohm, and 4 V of 12.8 V or so: in series 100 (12.8 / 4 - 1)
    volts = facts.points.operating_point("cruise").volts["battery.positive"]
    assert loss.dropped == ("relay",) and not loss.low
    assert loss.ohms == pytest.approx(100 * (volts / 4 - 1), rel=5e-3)
    effect = degraded_effect(of(facts, "wires/W6", ohms=loss.ohms * 1.01))
    assert effect.dropped == ("relay",) and [n for n, _ in effect.functions] == ["fuel"]
    spared = degraded_effect(of(facts, "wires/W6", ohms=loss.ohms / 1.01))
    assert not spared.dropped and not spared.functions


def test_the_effect_is_what_is_solved_and_names_what_is_low() -> None:
    facts = bench()
    failure = Failure("wires/W1", DEGRADED, ohms=0.7)
    effect = degraded_effect(of(facts, "wires/W1", ohms=0.7))
    (pump,) = effect.loads
    assert pump.after == facts.points.operating_point("cruise", case=(failure,)).across["parts/pump"]
    assert pump.low and pump.after < 10
    assert [n for n, _ in effect.functions] == ["fuel"]
    twin = degraded_effect(of(facts, "wires/W1", ohms=0.5))
    # 4 A at any voltage above the minimum
    assert twin.loads[0].before - twin.loads[0].after == pytest.approx(4 * 0.5, abs=1e-6)
    assert not twin.functions and not twin.loads[0].low


def test_a_function_that_is_low_with_nothing_failed_is_not_lost_by_a_joint() -> None:
    assert of(bench(PUMP.replace("10 V", "13 V")), "wires/W1").losses() == ()


@pytest.mark.parametrize(
    "element", ["wires/W20", "wires/W22", "wires/W23", "parts/left-switch", "parts/left-fuse"]
)
def test_of_an_aircraft_it_is_confirmed_above_and_below(element: str) -> None:
    facts = changed(UNBUNDLED, ("of: [left-ignition, right-ignition]", "of: [left-ignition]"))
    (loss,) = of(facts, element).losses()
    assert loss.low[0][0] == "left-ignition"
    confirmed(facts, Failure(element, DEGRADED), loss)


def test_a_monitor_shows_what_leaves_its_limits() -> None:
    facts = changed(
        UNBUNDLED,
        ("    reserve-volts: {shows:", "    bus-volts: {shows: voltage, senses: main-bus.feed, displayed-on: audio-panel, alarm-below: 12.5 V}\n    reserve-volts: {shows:"),
        ("right-switch: up}}", "right-switch: up}}\n    battery-only: {like: cruise, switches: {alternator-switch: down}}"),
    )  # fmt: skip
    answer = facts.states.answer("battery-only")

    def shown(ohms: float) -> list[str]:
        failure = Failure("wires/W4", DEGRADED, ohms=ohms)
        return [s.monitor for s in degraded_effect(Degradation(facts.points, answer, failure)).shown]

    assert "bus-volts" in shown(3.0) and "bus-volts" not in shown(0.001)


def test_what_leaks_is_lost_up_to_a_resistance() -> None:
    # the alternator is not turned: its rectifier leaks to ground behind a long lead
    load = f"{PUMP}\n  alternator: {{kind: alternator, rating: 40 A, excitation: permanent-magnet}}"
    more = (
        "W4: {from: alternator.output, to: pump.supply, resistance: 0.01 ohm}\n"
        "  W5: {from: alternator.ground, to: ground.alternator, resistance: 0.001 ohm}"
    )
    text = (
        BENCH.replace("LOAD", load)
        .replace("TOP", "pump.supply")
        .replace("BOTTOM", "pump.return")
        .replace("MORE", more)
    )
    facts = Facts(read_text(text.replace("engine: running", "engine: stopped"), "x"))
    failure = Failure("parts/alternator", LEAKING)
    (loss,) = of(facts, "parts/alternator", LEAKING).losses()
    confirmed(facts, failure, loss)
    assert 0.1 < loss.ohms < 2


@pytest.mark.parametrize(
    ("flown", "named"), [(("climb", "descent"), "climb"), (("descent", "climb"), "descent")]
)
def test_of_two_phases_alike_the_one_that_the_file_gives_first_is_named(
    flown: tuple[str, str], named: str
) -> None:
    """In both the same loads are on, so that the same resistance loses the function."""
    phases = ", ".join(f"{phase}: {{state: cruise, duration: 5 min}}" for phase in flown)
    text = BENCH.replace("normal: cruise,", f"normal: cruise, phases: {{{phases}}},")
    for old, new in (("LOAD", PUMP), ("TOP", "pump.supply"), ("BOTTOM", "pump.return"), ("MORE", "")):
        text = text.replace(old, new)
    facts = Facts(read_text(text, "bench.yaml"))
    (lost,) = of(facts, "wires/W1").losses()
    (low,) = of(facts, "wires/W1").low_loads()
    assert lost.phase == low.phase == named
