"""Networks solved in print: Lessons In Electric Circuits, volume I, chapters on series-parallel circuits, network analysis, conductors and batteries.

Each network is solved by its own constants, at the precision that is printed. Read in the stored repository FauxFaux/lessons-in-electric-circuits at
594fe93 (DC/src/s_p.sml, dcnet.sml, conduct.sml, batt.sml).
"""

from __future__ import annotations

import pytest

from reviewer.analysis.solver.circuit import BatteryBranch, Device, NodalCircuit, Resistor
from reviewer.analysis.solver.circuit_solution import CircuitSolution
from reviewer.analysis.solver.nonlinear import solve


def cell(plus: int, volts: float, ohms: float, minus: int = 0) -> BatteryBranch:
    """A source of a textbook: the same resistance either way."""
    return BatteryBranch("source", plus, minus, volts, ohms, ohms)


def network(resistors: list[tuple[int, int, float]], devices: list[Device]) -> CircuitSolution:
    ends = [n for a, b, _ in resistors for n in (a, b)] + [n for d in devices for n in (d.plus, d.minus)]
    found = solve(
        NodalCircuit(
            max(ends) + 1, tuple(Resistor(a, b, ohms) for a, b, ohms in resistors), tuple(devices), (0,)
        )
    )
    assert not found.lost and found.balance[0] < 1e-6
    return found


def volts(found: CircuitSolution, node: int) -> float:
    return float(found.volts(node)[0])


def amps(found: CircuitSolution, resistor: int) -> float:
    return float(found.resistor_amps(resistor)[0])


#: the sources of the textbook have no resistance; good insulation across every device takes the last tenth of a microampere
IDEAL = 1e-7


def test_series_parallel_combination() -> None:
    found = network([(1, 2, 100), (1, 2, 250), (2, 0, 350), (2, 0, 200)], [cell(1, 24, IDEAL)])
    assert volts(found, 1) - volts(found, 2) == pytest.approx(8.627, abs=5e-4)
    assert volts(found, 2) == pytest.approx(15.37, abs=5e-3)
    for resistor, printed in enumerate((0.08627, 0.03451, 0.04392, 0.07686)):
        assert amps(found, resistor) == pytest.approx(printed, abs=5e-6)
    assert -found.device_amps(0)[0] == pytest.approx(0.12078, abs=5e-6)
    assert 24 / -found.device_amps(0)[0] == pytest.approx(198.7, abs=0.05)


def test_the_stronger_of_two_sources_drives_the_weaker_backwards() -> None:
    found = network([(1, 0, 2)], [cell(1, 28, 4), cell(1, 7, 1)])
    assert volts(found, 1) == pytest.approx(8.0, abs=2e-6)
    assert -found.device_amps(0)[0] == pytest.approx(5.0, abs=2e-6)
    assert amps(found, 0) == pytest.approx(4.0, abs=2e-6)
    # one ampere backward into the seven-volt battery, with its four-ohm and one-ohm resistors drawn or inside the sources
    assert found.device_amps(1)[0] == pytest.approx(1.0, abs=2e-6)
    drawn = network([(3, 0, 2), (1, 3, 4), (2, 3, 1)], [cell(1, 28, IDEAL), cell(2, 7, IDEAL)])
    assert volts(drawn, 3) == pytest.approx(8.0, abs=2e-6)
    assert volts(drawn, 1) - volts(drawn, 3) == pytest.approx(20.0, abs=2e-6)
    assert volts(drawn, 3) - volts(drawn, 2) == pytest.approx(1.0, abs=2e-6)
    assert amps(drawn, 2) == pytest.approx(-1.0, abs=2e-6)


def test_thevenin_and_norton_equivalents() -> None:
    opened = network([], [cell(1, 28, 4), cell(1, 7, 1)])
    assert volts(opened, 1) == pytest.approx(11.2, abs=2e-6)
    shorted = network([(1, 0, 1e-6)], [cell(1, 28, 4), cell(1, 7, 1)])
    assert amps(shorted, 0) == pytest.approx(14.0, abs=5e-5)
    assert volts(opened, 1) / amps(shorted, 0) == pytest.approx(0.8, abs=5e-6)


@pytest.mark.parametrize(
    ("resistors", "source", "printed"),
    [
        ([(1, 2, 150), (1, 3, 50), (2, 3, 100), (2, 0, 300), (3, 0, 250)], 24, (17.66, 19.31, 1.655)),
        ([(1, 2, 12), (1, 3, 18), (2, 3, 6), (2, 0, 18), (3, 0, 12)], 10, (5.294, 4.706, 0.5882)),
    ],
)
def test_unbalanced_bridges(
    resistors: list[tuple[int, int, float]], source: float, printed: tuple[float, float, float]
) -> None:
    found = network(resistors, [cell(1, source, IDEAL)])
    two, three = volts(found, 2), volts(found, 3)
    for value, shown in zip((two, three, abs(two - three)), printed, strict=True):
        assert value == pytest.approx(shown, rel=3e-4)


def test_internal_resistance_of_a_battery() -> None:
    assert amps(network([(1, 0, 1.0)], [cell(1, 10, 0.2)]), 0) == pytest.approx(8.333, abs=5e-4)
    assert amps(network([(1, 0, 1e-6)], [cell(1, 10, 0.2)]), 0) == pytest.approx(50.0, abs=1e-3)


def test_a_long_line_limits_the_current_of_a_short_at_its_end() -> None:
    # 2300 ft of 14 AWG each way, printed as 5.651 ohm a wire and 11.301 ohm both; 230 V
    found = network([(1, 2, 5.6505), (2, 3, 1e-6), (3, 0, 5.6505)], [cell(1, 230, IDEAL)])
    assert amps(found, 1) == pytest.approx(20.352, abs=1e-3)


@pytest.mark.parametrize(("celsius", "load", "wire"), [(20, 12.5, 0.75), (35, 12.42, 0.79)])
def test_warm_wires_take_more_of_the_voltage(celsius: float, load: float, wire: float) -> None:
    # two wires of 15 ohm at 20 C, copper's alpha printed there as 0.004041, and the 250 ohm that 12.5 V at 0.05 A make
    warm = 15 * (1 + 0.004041 * (celsius - 20))
    found = network([(1, 2, warm), (2, 3, 250), (3, 0, warm)], [cell(1, 14, IDEAL)])
    assert volts(found, 2) - volts(found, 3) == pytest.approx(load, abs=5e-3)
    assert volts(found, 3) == pytest.approx(wire, abs=6e-3)
