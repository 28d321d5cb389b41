"""Limits of AC 43.13-1B: Table 11-6 (drop), Table 11-4 and 11-53g (switches, 9/8/98, p. 11-17), 11-35a (supply, p. 11-12).

The intermittent limits of Table 11-6 are from memory: that they say so is tested in test_transcriptions.py, and their values nowhere.
"""

from __future__ import annotations

import pytest

from reviewer.analysis.ratings.supply import alternator_load
from reviewer.tables.limits import allowed_drop, bond_limit, silver_contact_least, switch_factor
from reviewer.tables.lookup import OutsideTable


@pytest.mark.parametrize(("nominal", "limit"), [("14 V", 0.5), ("28 V", 1), ("115 V", 4), ("200 V", 7)])
def test_table_11_6_continuous(nominal: str, limit: float) -> None:
    assert allowed_drop(nominal, "continuous").value == limit


def test_the_intermittent_column_is_marked_as_from_memory() -> None:
    assert allowed_drop("14 V", "intermittent").origin.status == "memory"
    assert allowed_drop("14 V", "continuous").origin.status == "verified"


@pytest.mark.parametrize(
    ("nominal", "duty"), [("24 V", "continuous"), ("12 V", "intermittent"), ("14 V", "momentary")]
)
def test_table_11_6_has_no_other_voltage_or_duty(nominal: str, duty: str) -> None:
    with pytest.raises(OutsideTable, match="Table 11-6"):
        allowed_drop(nominal, duty)


# Table 11-4 prints 28 V and 12 V; a 14 V system is of the 12 V class
@pytest.mark.parametrize(
    ("load", "at_28", "at_12"), [("lamp", 8, 5), ("inductive", 4, 2), ("resistive", 2, 1), ("motor", 3, 2)]
)
def test_table_11_4(load: str, at_28: float, at_12: float) -> None:
    assert (switch_factor("28 V", load).value, switch_factor("14 V", load).value) == (at_28, at_12)


def test_electronics_are_read_as_resistive() -> None:
    figure = switch_factor("14 V", "electronic")
    assert (figure.value, figure.read_as) == (1, "resistive")


@pytest.mark.parametrize(("load", "nominal"), [("unknown", "14 V"), ("lamp", "24 V"), ("lamp", "115 V")])
def test_table_11_4_has_no_other_load_or_voltage(load: str, nominal: str) -> None:
    with pytest.raises(OutsideTable, match="Table 11-4"):
        switch_factor(nominal, load)


def test_silver_contacts_are_unsuited_below_8_v_or_half_an_ampere() -> None:
    """11-53g."""
    assert [figure.value for figure in silver_contact_least()] == [8, 0.5]


# 11-35a: 80 % of the output
@pytest.mark.parametrize(
    ("load", "output", "within"), [(48, 60, True), (48.1, 60, False), (32, 40, True), (0, 40, True)]
)
def test_the_80_per_cent_line(load: float, output: float, within: bool) -> None:
    assert alternator_load(load, output).within is within


def test_a_switch_sized_by_table_11_4_is_within_a_printed_28_volt_rating() -> None:
    """MIL-PRF-22885/71C Table III, p. 5: a push-button rated 7 A resistive may make 4 A inductive at 28 V dc. By
    the factors of Table 11-4 on its resistive rating less is allowed."""
    assert 7 / switch_factor("28 V", "inductive").value <= 4
    assert 7 / switch_factor("28 V", "resistive").value <= 7


def test_bonds() -> None:
    """11-188f: frames of equipment; 11-189: each connection of a jumper."""
    assert (bond_limit("frame").value, bond_limit("connection").value) == (0.0025, 0.003)
