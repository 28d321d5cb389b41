"""Voltage of a battery at rest by its state of charge, and back: the chart of its chemistry, as
high as the file says that the full battery stands."""

from __future__ import annotations

from reviewer.model import parts as p
from reviewer.tables.batteries import open_circuit_voltage, state_of_charge_at


def rest_voltage(battery: p.Battery, charge: float, nominal: str) -> float:
    """Open-circuit volts at a state of ``charge``, 0 to 1. Raises OutsideTable."""
    return open_circuit_voltage(battery.chemistry or "", charge, nominal).value + _above(battery, nominal)


def charge_at_rest(battery: p.Battery, volts: float, nominal: str) -> float:
    """State of charge, 0 to 1, of a battery that has ``volts`` at open circuit. Raises
    OutsideTable."""
    return state_of_charge_at(battery.chemistry or "", volts - _above(battery, nominal), nominal).value


def _above(battery: p.Battery, nominal: str) -> float:
    """What a declared open-circuit voltage is above the chart, which is shifted as a whole: that
    its shape stays is common practice (no published source)."""
    if battery.open_circuit_voltage is None:
        return 0.0
    return battery.open_circuit_voltage - open_circuit_voltage(battery.chemistry or "", 1.0, nominal).value
