"""From which negative volts are counted where failures part a circuit."""

from __future__ import annotations

from types import SimpleNamespace

from reviewer.analysis.operating_point.failure_lanes import counted_from
from reviewer.analysis.solver.circuit import BatteryBranch, LoadBranch, NodalCircuit, Resistor

#: nodes: a bus, and the negatives of the main battery and of the reserve
BUS, MAIN, RESERVE = range(3)


def test_volts_count_from_a_source_that_is_there_and_from_no_load_beside_one_that_is_lost() -> None:
    """Main battery and reserve on one bus, a load across the main battery. In the second lane that is lost."""
    devices = (
        BatteryBranch("parts/main", BUS, MAIN, open_circuit=12.6, ohms=0.01, charge_ohms=0.01),
        LoadBranch("parts/load", BUS, MAIN, amps=1.0, volts=12.0, least=1.0, constant_fraction=0.0),
        BatteryBranch("parts/reserve", BUS, RESERVE, open_circuit=12.6, ohms=0.01, charge_ohms=0.01),
    )
    circuit = NodalCircuit(3, (Resistor(MAIN, RESERVE, 0.01),), devices, (MAIN, RESERVE))
    built = SimpleNamespace(circuit=circuit, width=2, present={0: 0b01})
    every = dict.fromkeys((BUS, MAIN, RESERVE))
    assert counted_from(built) == [  # type: ignore[arg-type]
        (MAIN, dict.fromkeys(every, 0b01)),
        (RESERVE, dict.fromkeys(every, 0b10)),
    ]
