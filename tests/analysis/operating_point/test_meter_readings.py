"""What a monitor reads is solved at the end of its sense lead, and agrees with what logic says of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.reading import read_design, read_text
from reviewer.tables.typical import typical

TOURER = Path(__file__).parents[3] / "examples" / "tourer.design.yaml"
FACTS = Facts(read_design(TOURER))
LEADS = [
    (name, element)
    for name, meter in FACTS.detection.meters.items()
    if meter.drawn and meter.shows != "live"
    for element in meter.lead
]


def test_the_leads_of_the_tourer_are_drawn() -> None:
    assert {name for name, _ in LEADS} == {
        "bus-volts", "main-volts", "reserve-volts", "alternator-amps", "bus-amps",
    }  # fmt: skip


@pytest.mark.parametrize(("name", "element"), LEADS)
def test_with_a_part_of_its_lead_open_a_monitor_reads_nothing_and_logic_says_so(
    name: str, element: str
) -> None:
    opened = Failure(element, OPEN)
    healthy = FACTS.points.operating_point("cruise").readings[name]
    failed = FACTS.points.operating_point("cruise", None, (opened,)).readings[name]
    assert healthy.value and abs(healthy.value) > 1
    assert failed.value == 0 and not failed.blank
    assert name in FACTS.detection.evidence("cruise", opened).monitors


def test_a_voltmeter_that_takes_more_reads_less_through_a_poor_joint() -> None:
    """Ohm's law: 1 kohm in the lead of an input of 100 kohm takes one part in 101."""
    text = TOURER.read_text(encoding="utf-8")
    name = "reserve-volts"
    lead = next(e for n, e in LEADS if n == name and e.startswith("wires/")).partition("/")[2]
    before = f"  {lead}: {{"
    assert text.count(before) == 1
    poor = Facts(read_text(text.replace(before, before + "resistance: 1 kohm, "), "design"))
    sound = FACTS.points.operating_point("cruise").readings[name].value
    assert sound
    assert poor.points.operating_point("cruise").readings[name].value == pytest.approx(
        sound * 100 / 101, rel=1e-4
    )


def rewired(**starts: str) -> OperatingPoint:
    """Cruise of the tourer with some wires from other terminals."""
    text = TOURER.read_text(encoding="utf-8")
    for wire, start in starts.items():
        text, times = re.subn(rf"(?m)^(  {wire}: {{from: )[^,]+", rf"\g<1>{start}", text)
        assert times == 1
    return Facts(read_text(text, "design")).points.operating_point("cruise")


def test_an_ammeter_with_both_leads_on_one_side_of_its_shunt_reads_nothing() -> None:
    found = rewired(Q7="bus-shunt.line")
    assert abs(found.amps["parts/bus-shunt"]) > 1
    assert found.readings["bus-amps"].value == 0


def test_an_ammeter_with_a_lead_elsewhere_reads_the_volts_between_its_leads() -> None:
    """Ohm's law: the instrument takes them for the volts across the shunt."""
    shunt = FACTS.design.parts["bus-shunt"].rating
    for leads, high, low in (
        ({"Q7": "main-bus.ammeter"}, "bus-shunt.line", "main-bus.ammeter"),
        ({"Q5": "alternator-shunt.line"}, "alternator-shunt.line", "bus-shunt.load"),
    ):
        found = rewired(**leads)
        apart = found.volts[high] - found.volts[low]
        across = found.volts["bus-shunt.line"] - found.volts["bus-shunt.load"]
        assert abs(apart - across) > 0.01
        assert found.readings["bus-amps"].value == pytest.approx(
            apart / typical("volts", "shunt-at-rating").value * shunt
        )


def test_a_voltmeter_reads_the_battery_at_which_its_lead_is() -> None:
    found = rewired(Q13="main-battery.positive")
    assert found.volts["main-battery.positive"] - found.volts["reserve-battery.positive"] > 0.3
    assert found.readings["reserve-volts"].value == pytest.approx(
        found.readings["main-volts"].value, abs=0.01
    )


def test_where_two_leads_are_elsewhere_it_is_not_known_which_is_which() -> None:
    """What is declared is not what they read, and nothing is claimed."""
    found = rewired(Q9="main-bus.one", Q13="main-bus.two")
    for name in ("main-volts", "reserve-volts"):
        assert found.readings[name].value is None


@pytest.mark.parametrize("returns", ["joined", "isolated"])
def test_an_ammeter_reads_more_than_zero_where_its_signal_is_above_its_return(returns: str) -> None:
    """With the leads exchanged it reads the other sign. A low side that is an input too is not joined to
    the return of the unit."""
    text = TOURER.read_text(encoding="utf-8").replace("signal-returns: joined", f"signal-returns: {returns}")
    was = [f"bus-amps-{end}: {{signal: bus-amps-{end}, " for end in ("high", "low")]
    assert all(entry in text for entry in was)
    for high, low, sign in (("bus-amps-high", "bus-amps-low", 1), ("bus-amps-low", "bus-amps-high", -1)):
        own = text.replace(f"{was[0]}return: bus-amps-low, ", f"{was[0]}").replace(
            was[0], f"bus-amps-high: {{signal: {high}, return: {low}, "
        )
        end = f"      {was[1]}maximum: 32 V}}\n"
        own = own.replace(end, end.replace("signal: bus-amps-low", f"signal: {low}") * (returns == "joined"))
        point = Facts(read_text(own, "design")).points.operating_point("cruise")
        assert point.readings["bus-amps"].value == pytest.approx(
            sign * point.amps["parts/bus-shunt"], abs=0.01
        )
        assert abs(point.amps["parts/bus-shunt"]) > 1
