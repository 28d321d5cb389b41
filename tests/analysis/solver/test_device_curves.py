"""The curves of devices: diodes against the function of Lambert by mpmath and scipy, slopes against differences, the two forms against each other."""

from __future__ import annotations

from typing import Any

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import wrightomega

from reviewer.analysis.operating_point.devices import curve_through
from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    DiodeBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    Resistor,
    StartingBranch,
)
from reviewer.analysis.solver.device_curves import current, curve, omega
from reviewer.analysis.solver.nonlinear import solve

#: a device of each kind: figures, and voltages on every straight piece and on both sides of each bend
FIGURES: dict[Any, tuple[dict[str, float], list[float]]] = {
    DiodeBranch: ({"saturation": 1e-9, "scale": 0.0388}, [-20, -1, 0, 0.3, 0.6, 0.8]),
    BatteryBranch: (
        {"open_circuit": 12.6, "ohms": 0.008, "charge_ohms": 4.0},
        [0, 10, 12.59, 12.61, 14.4, 16],
    ),
    RegulatedBranch: ({"volts": 14.4, "limit": 60.0}, [0, 10, 14.39, 14.3995, 14.41, 16]),
    LoadBranch: (
        {"amps": 4.0, "volts": 14.0, "least": 9.0, "constant_fraction": 0.45},
        [-20, -9.1, -8.9, -5, 0, 5, 8.9, 9.1, 14, 20],
    ),
    # 4 A down to 9 V, and a resistance of 2.5 ohm above 10 V
    StartingBranch: (
        {"amps": 4.0, "volts": 14.0, "least": 9.0, "constant_fraction": 1.0, "siemens": 0.4},
        [-14, -10.1, -9.9, -9.1, -8.9, 0, 5, 8.9, 9.1, 9.9, 10.1, 14, 20],
    ),
    ConstantPowerBranch: ({"watts": 56.0, "least": 9.0, "most": 28.0}, [-14, 0, 5, 8.9, 9.1, 14, 27, 29]),
}


def column(figures: dict[str, float]) -> dict[str, Any]:
    return {name: np.array([[value]]) for name, value in figures.items()}


@pytest.mark.parametrize("kind", FIGURES)
def test_the_curve_of_a_device_is_its_current_by_voltage(kind: Any) -> None:
    figures, rho = column(FIGURES[kind][0]), np.array([[0.05]])
    for volts in FIGURES[kind][1]:
        v = np.array([[float(volts)]])
        amps = current(kind, v, figures)
        x = v if kind in (LoadBranch, StartingBranch, ConstantPowerBranch) else v + rho * amps
        found = curve(kind, x, rho, figures)
        assert found.volts[0, 0] == pytest.approx(volts, abs=1e-9)
        assert found.amps[0, 0] == pytest.approx(amps[0, 0], rel=1e-6, abs=1e-9)
        step = 1e-6
        more, less = curve(kind, x + step, rho, figures), curve(kind, x - step, rho, figures)
        assert found.volts_slope[0, 0] == pytest.approx(
            (more.volts - less.volts)[0, 0] / (2 * step), rel=1e-4, abs=1e-6
        )
        assert found.amps_slope[0, 0] == pytest.approx(
            (more.amps - less.amps)[0, 0] / (2 * step), rel=1e-4, abs=1e-4
        )


@pytest.mark.parametrize("kind", [LoadBranch, StartingBranch])
def test_a_load_takes_the_same_current_with_its_leads_exchanged(kind: Any) -> None:
    figures = column(FIGURES[kind][0])
    for volts in FIGURES[kind][1]:
        forward, reverse = (current(kind, np.array([[v]]), figures) for v in (float(volts), -float(volts)))
        assert forward[0, 0] == pytest.approx(-reverse[0, 0])


@given(st.floats(-600, 1e6))
def test_omega_is_the_function_of_lambert_of_an_exponential(z: float) -> None:
    found = float(omega(np.array([z]))[0])
    with mpmath.workdps(30):
        wanted = mpmath.lambertw(mpmath.exp(mpmath.mpf(z)))
        assert abs(found - wanted) <= (4e-15 + 4e-16 * max(-z, 0.0)) * wanted  # a double holds no more of z


def test_omega_agrees_with_scipy_over_its_range() -> None:
    z = np.concatenate([np.linspace(-690, 40, 20001), np.geomspace(40, 1e9, 2001)])
    assert np.all(np.abs(omega(z) / wrightomega(z) - 1) <= 4e-15 + 4e-16 * np.maximum(-z, 0.0))


@given(
    st.sampled_from([(0.8, 1.5), (0.45, 1.2), (0.05, 0.1)]),
    st.floats(0.5, 60),
    st.floats(-16, 16),
    st.floats(0.001, 50),
)
@settings(deadline=None)
def test_a_diode_behind_a_resistor_has_the_current_that_lamberts_function_gives(
    drop: tuple[float, float], amps: float, volts: float, ohms: float
) -> None:
    """I = (s / R) W((R Is / s) exp((V + R Is) / s)) - Is, to a microampere or nine figures."""
    diode = curve_through("diode", 2, 0, drop[0], amps, drop[1])
    found = solve(NodalCircuit(3, (Resistor(1, 2, ohms),), (diode, RegulatedBranch("source", 1, 0, abs(volts), 1e9)) if volts > 0 else
                          (DiodeBranch("diode", 0, 2, diode.saturation, diode.scale), RegulatedBranch("source", 1, 0, abs(volts), 1e9))))  # fmt: skip
    with mpmath.workdps(40):
        s, i0 = mpmath.mpf(diode.scale), mpmath.mpf(diode.saturation)
        r = mpmath.mpf(ohms) + mpmath.mpf("1e-4")
        wanted = (
            s / r * mpmath.lambertw(r * i0 / s * mpmath.exp((abs(volts) + r * i0) / s)) - i0
            if volts > 0
            else mpmath.mpf(0)
        )
        through = found.device_amps(0)[0]
        assert not found.lost
        if volts > 0:
            assert abs(through - wanted) <= 1e-6 + 1e-9 * wanted
        else:
            assert -float(i0) * (1 + 1e-9) <= through <= 1e-12


@pytest.mark.parametrize(("drop", "amps", "emission"), [(0.8, 25, 1.5), (0.45, 40, 1.2), (0.05, 10, 0.1)])
def test_a_diode_goes_through_the_drop_that_the_file_gives(drop: float, amps: float, emission: float) -> None:
    diode = curve_through("diode", 1, 0, drop, amps, emission)
    found = current(
        DiodeBranch, np.array([[drop]]), column({"saturation": diode.saturation, "scale": diode.scale})
    )
    assert found[0, 0] == pytest.approx(amps, rel=1e-9)


def test_a_load_of_constant_power_takes_its_power_and_falls_off_below_its_minimum() -> None:
    figures = column(FIGURES[ConstantPowerBranch][0])
    v = np.array([[9.0, 14.0, 28.0]])
    assert np.allclose(v * current(ConstantPowerBranch, v, figures), 56.0)
    assert current(ConstantPowerBranch, np.array([[4.5]]), figures)[0, 0] == pytest.approx(56 / 9 / 2)
