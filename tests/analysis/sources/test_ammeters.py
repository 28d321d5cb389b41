"""Ammeters that show the current that they are said to show."""

from __future__ import annotations

import pytest

from reviewer.analysis.sources.ammeters import battery_ammeters
from tests.analysis.operating_point.bench import bench


def test_a_shunt_in_its_lead_shows_what_it_is_said_to_show_and_one_elsewhere_does_not() -> None:
    sources = bench().sources
    assert sources.misread("alternator-amps", "alternator-output") is None
    assert sources.misread("audio-amps", "load") is None
    wrong = sources.misread("audio-amps", "alternator-output")
    assert wrong is not None and wrong.of == "alternator" and abs(wrong.reads - wrong.actual) > 1


def test_what_hangs_on_the_battery_before_the_shunt_is_missing_in_its_reading() -> None:
    """The left ignition, 1.5 A at 14 V of constant power, is fed from the terminal of the battery itself."""
    wrong = bench().sources.misread("battery-amps", "battery-charge")
    assert wrong is not None and wrong.of == "main-battery"
    assert wrong.actual - wrong.reads == pytest.approx(1.5 * 14 / 12.4, abs=0.05)


def test_the_ammeter_of_a_main_battery_is_known_by_what_it_reads() -> None:
    """That of the audio panel reads no battery; and where the one battery is a reserve, none reads a main one."""
    behind_the_shunt = ("W20: {from: main-battery.positive,", "W20: {from: main-bus.left,")
    facts = bench(behind_the_shunt)
    assert battery_ammeters(facts.states, facts.points) == ("battery-amps",)
    facts = bench()  # the left ignition hangs on the terminal of the battery itself
    assert battery_ammeters(facts.states, facts.points) == ()
    reserve = ("main-battery: {kind: battery,", "main-battery: {kind: battery, purpose: reserve,")
    facts = bench(behind_the_shunt, reserve)
    assert battery_ammeters(facts.states, facts.points) == ()


def test_the_lead_of_the_battery_is_no_load() -> None:
    wrong = bench().sources.misread("battery-amps", "load")
    assert wrong is not None and abs(wrong.reads) > 1
