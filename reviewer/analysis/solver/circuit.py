"""A circuit as it is solved: resistors and devices between numbered nodes.

It stands on its own, without a design, so that a network printed in a book can be solved by the
same code.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from functools import cached_property
from typing import Any

from reviewer.model.record import record
from reviewer.tables.wire_tables import temperature_factor


class Singular(ArithmeticError):
    """Equations without one solution: figures so far apart that nothing is left of the small ones."""


@record
class Resistor:
    """From node ``a`` to node ``b``. ``ohms`` at 20 C, 0 for an ideal joint; ``copper`` where it
    changes with temperature."""

    a: int
    b: int
    ohms: float
    copper: bool = False


@record
class Device:
    """Anything else with two nodes; its current counts from ``plus`` through it to ``minus``.

    A figure may be one number or an array of one number for each operating point. ``element`` is
    the part it belongs to.
    """

    element: str
    plus: int
    minus: int


@record
class DiodeBranch(Device):
    """i = saturation (exp(v / scale) - 1), amperes and volts; ``scale`` is the emission coefficient
    times the thermal voltage."""

    saturation: Any
    scale: Any


@record
class BatteryBranch(Device):
    """``open_circuit`` volts behind ``ohms`` while it discharges, behind ``charge_ohms`` (not
    smaller) while it charges."""

    open_circuit: Any
    ohms: Any
    charge_ohms: Any


@record
class RegulatedBranch(Device):
    """Holds ``volts`` at its terminals as long as that takes no more than ``limit`` amperes, then
    gives ``limit``; it never takes current."""

    volts: Any
    limit: Any


@record
class LoadBranch(Device):
    """Takes ``amps`` at ``volts``. Below ``least`` volts its current falls off in proportion to the
    voltage, so that an operating point always exists.

    Above, the ``constant_fraction`` of the current does not change with the voltage and the rest is
    in proportion to it: 1 for constant current, 0 for a resistance. With its leads exchanged it
    takes the same current.
    """

    amps: Any
    volts: Any
    least: Any
    constant_fraction: Any


@record
class StartingBranch(LoadBranch):
    """A load that starts: a resistance of ``siemens``, the inverse of its ohms, and never less than
    it takes when it runs."""

    siemens: Any


@record
class ConstantPowerBranch(Device):
    """Takes ``watts`` from ``least`` to ``most`` volts; below and above, its current goes in
    proportion to the voltage."""

    watts: Any
    least: Any
    most: Any


@record
class InletBranch(ConstantPowerBranch):
    """The input of a source, the device of index ``gives``: it takes what that gives, over the
    ``efficiency``. ``watts`` is where the search for it begins."""

    gives: int
    efficiency: float


SOURCES = (BatteryBranch, RegulatedBranch)


@record
class ResistorArrays:
    """Resistors as arrays, one entry each: see :class:`Resistor`."""

    a: Any
    b: Any
    ohms: Any
    copper: Any

    @property
    def each(self) -> Iterable[tuple[int, int, float]]:
        """Both ends of each, with its ohms."""
        return zip(self.a.tolist(), self.b.tolist(), self.ohms.tolist(), strict=True)

    def ohms_at(self, temperature: float) -> Any:
        """Resistances at a conductor temperature in degrees Celsius."""
        import numpy as np

        return self.ohms * np.where(self.copper, temperature_factor(temperature), 1.0)


@record
class NodalCircuit:
    """``count`` nodes; an island that holds no battery and nothing regulated is dead. ``anchors``
    are nodes to count volts from, first choice first."""

    count: int
    resistors: tuple[Resistor, ...]
    devices: tuple[Device, ...]
    anchors: tuple[int, ...] = ()

    @property
    def shape(self) -> tuple[Hashable, ...]:
        """What circuits have in common that differ in the figures of their devices alone."""
        wires = self.wires
        rows = tuple(column.tobytes() for column in (wires.a, wires.b, wires.ohms, wires.copper))
        return self.count, self.anchors, rows, tuple((type(d), d.plus, d.minus) for d in self.devices)

    @cached_property
    def wires(self) -> ResistorArrays:
        """The resistors as arrays."""
        import numpy as np

        rows = self.resistors
        return ResistorArrays(
            np.array([r.a for r in rows], int),
            np.array([r.b for r in rows], int),
            np.array([r.ohms for r in rows], float),
            np.array([r.copper for r in rows], bool),
        )
