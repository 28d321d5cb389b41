"""Undervoltage when two peaks meet on the battery, worked by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.tables.batteries import open_circuit_voltage
from tests.rule_cases import design, yaml_text

ROOT = Path(__file__).parents[3]


def test_two_peaks_at_once_worked_by_hand() -> None:
    """A heater of 130 A at 14 V is 0.1077 ohm; the battery rests at what its charge gives, behind twice its resistance."""
    text = yaml_text(design("peak-loads-on-battery-leave-minimum-voltage", "unmet"))
    text = text.replace(
        "chemistry: lead-acid, capacity: 17 Ah",
        "chemistry: lead-acid, capacity: 17 Ah, internal-resistance: 0.010 ohm",
    )
    text = text.replace("alarm-below: 12.5 V", "alarm-below: 13.2 V")  # at once, its error allowed for
    facts = Facts(read_text(text, "design.yaml"))
    sag, lasting = (
        facts.endurance.undervoltage_at_peak("main-battery", 3600),
        facts.endurance.endurance_of("main-battery"),
    )
    # steadily drawn before, so that the charge falls nearly in proportion to the time
    assert sag.charge == pytest.approx(1 - 3600 / lasting.seconds, abs=0.02)
    rest = open_circuit_voltage("lead-acid", sag.charge).value
    # its way: 4 m of 10 AWG, 3.3 milliohm a metre, a breaker of 30 A, 5 milliohm; limiter, contactor, cables and ring terminals, some milliohm more
    amps = (rest - sag.volts) / 0.020
    assert 14 / 130 + 0.0183 < sag.volts / (amps - 3.4) < 14 / 130 + 0.030
    assert [name for name, _, _ in sag.low] == ["left-ignition"]
