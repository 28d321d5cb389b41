"""Limits of AC 43.13-1B: Table 11-6 (drop), Table 11-4 and 11-53g (switches, 9/8/98, p. 11-17), 11-35 (supply, p. 11-12); feeder drop of FAA-H-8083-31.

The intermittent limits of Table 11-6 are from memory: that they say so is tested in test_transcriptions.py, and their values nowhere.
"""

from __future__ import annotations

import pytest

from reviewer.analysis.ratings.contacts import ContactLoad, is_low_energy, needed_rating
from reviewer.analysis.ratings.drop import Conductor, source_feeder_drop
from reviewer.analysis.ratings.supply import alternator_load
from reviewer.model.quantities import FOOT_M, read_gauge
from reviewer.tables.limits import allowed_drop, bus_warning, switch_factor
from reviewer.tables.lookup import OutsideTable


@pytest.mark.parametrize(("nominal", "limit"), [("14 V", 0.5), ("28 V", 1), ("115 V", 4), ("200 V", 7)])
def test_table_11_6_continuous(nominal: str, limit: float) -> None:
    assert allowed_drop(nominal, "continuous").value == limit


def test_the_intermittent_column_is_marked_as_from_memory() -> None:
    assert allowed_drop("14 V", "intermittent").origin.status == "memory"
    assert allowed_drop("14 V", "continuous").origin.status == "verified"


@pytest.mark.parametrize(("nominal", "duty"), [("24 V", "continuous"), ("12 V", "intermittent"), ("14 V", "momentary")])
def test_table_11_6_has_no_other_voltage_or_duty(nominal: str, duty: str) -> None:
    with pytest.raises(OutsideTable, match="Table 11-6"):
        allowed_drop(nominal, duty)


# Table 11-4 prints 28 V and 12 V; a 14 V system is of the 12 V class
@pytest.mark.parametrize(("load", "at_28", "at_12"), [("lamp", 8, 5), ("inductive", 4, 2), ("resistive", 2, 1), ("motor", 3, 2)])
def test_table_11_4(load: str, at_28: float, at_12: float) -> None:
    assert (switch_factor("28 V", load).value, switch_factor("14 V", load).value) == (at_28, at_12)
    assert needed_rating([ContactLoad("load", 2.5, load)], "28 V").amperes == 2.5 * at_28


@pytest.mark.parametrize(("load", "nominal"), [("unknown", "14 V"), ("lamp", "24 V"), ("lamp", "115 V")])
def test_table_11_4_has_no_other_load_or_voltage(load: str, nominal: str) -> None:
    with pytest.raises(OutsideTable, match="Table 11-4"):
        needed_rating([ContactLoad("load", 1, load)], nominal)


# 11-53g: below 8 V or 0.5 A
@pytest.mark.parametrize(("amperes", "volts", "low"), [(0.5, 8, False), (0.49, 14, True), (5, 7.9, True), (0.5, 14, False)])
def test_silver_contacts_are_unsuited_to_low_energy(amperes: float, volts: float, low: bool) -> None:
    assert is_low_energy(amperes, volts) is low


# 11-35a: 80 % of the output
@pytest.mark.parametrize(("load", "output", "within"), [(48, 60, True), (48.1, 60, False), (32, 40, True), (0, 40, True)])
def test_the_80_per_cent_line(load: float, output: float, within: bool) -> None:
    assert alternator_load(load, output).within is within


def test_11_35b_low_bus_voltage() -> None:
    assert (bus_warning("14 V").value, bus_warning("28 V").value) == (13, 26)


def test_a_feeder_may_lose_2_per_cent_of_the_regulated_voltage() -> None:
    """FAA-H-8083-31, chapter 9, as restated. 4 AWG has 0.28 ohm per 1000 ft: 20 ft at 50 A lose 0.28 V, which is 2 % of 14 V."""
    lead = [Conductor("lead", read_gauge("4 AWG"), 20 * FOOT_M)]
    assert source_feeder_drop(lead, 50, 14.0).within
    assert not source_feeder_drop(lead, 50, 13.9).within
