"""When a battery counts as flat. The trade has two meanings of it for lithium, and each has a row
of its own.

For the time that a recharge takes, a lithium battery begins at nothing (``flat-lithium-recharge``).
For the inrush into it, it begins where its management disconnects it, or at a tenth of its charge
(``flat-lithium-inrush``): below that it would not be connected. A lead-acid battery is flat at 11.8
V in both.
"""

from __future__ import annotations

from reviewer.model import parts as p
from reviewer.tables.batteries import open_circuit_voltage, state_of_charge_at
from reviewer.tables.practice import practice


def flat_state_of_charge(battery: p.Battery, nominal: str) -> float:
    """State of charge, 0 to 1, at which the recharge of a flat battery begins. Raises
    OutsideTable."""
    if battery.chemistry != "lead-acid":
        return practice("states_of_charge", "flat-lithium-recharge").low
    return state_of_charge_at("lead-acid", _lead_acid_volts(nominal), nominal).value


def flat_voltage(battery: p.Battery, nominal: str) -> float:
    """Open-circuit volts of a flat battery when an alternator comes on to it. Raises
    OutsideTable."""
    if battery.chemistry == "lead-acid":
        return _lead_acid_volts(nominal)
    if battery.low_voltage_disconnect is not None:
        return battery.low_voltage_disconnect
    charge = practice("states_of_charge", "flat-lithium-inrush").low
    return open_circuit_voltage(battery.chemistry or "", charge, nominal).value


def _lead_acid_volts(nominal: str) -> float:
    return practice("volts", "flat-lead-acid").low * (2 if nominal == "28 V" else 1)
