"""When a battery counts as flat: one open-circuit voltage, from which its first current and its
whole recharge are reckoned.

A lead-acid battery is flat at 11.8 V. A lithium battery is flat where its management disconnects
it, which its data sheet says, else when nothing is left in it: the most current.
"""

from __future__ import annotations

from reviewer.analysis.ratings.rest_voltage import charge_at_rest, rest_voltage
from reviewer.model import parts as p
from reviewer.tables.practice import practice


def flat_voltage(battery: p.Battery, nominal: str) -> float:
    """Open-circuit volts of a flat battery when an alternator comes on to it. Raises
    OutsideTable."""
    if battery.chemistry == "lead-acid":
        return practice("volts", "flat-lead-acid").low * (2 if nominal == "28 V" else 1)
    if battery.low_voltage_disconnect is not None:
        return battery.low_voltage_disconnect
    charge = practice("states_of_charge", "flat-lithium").low
    return rest_voltage(battery, charge, nominal)


def flat_state_of_charge(battery: p.Battery, nominal: str) -> float:
    """State of charge, 0 to 1, of a flat battery. Raises OutsideTable."""
    return charge_at_rest(battery, flat_voltage(battery, nominal), nominal)
