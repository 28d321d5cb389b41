"""A circuit as it is solved: resistors and devices between numbered nodes.

It stands on its own, without a design, so that a network printed in a book can be solved by the
same code.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from functools import cached_property
from typing import Any

from reviewer.analysis.solver.trunk import ResistorArrays, Trunk, arrays_of, joined
from reviewer.model.record import record


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
class NodalCircuit:
    """``count`` nodes; an island that holds no battery and nothing regulated is dead. ``anchors``
    are nodes to count volts from, first choice first. The resistors begin with those of a ``trunk``."""

    count: int
    resistors: tuple[Resistor, ...]
    devices: tuple[Device, ...]
    anchors: tuple[int, ...] = ()
    trunk: Trunk | None = None

    @property
    def shape(self) -> tuple[Hashable, ...]:
        """What circuits have in common that differ in the figures of their devices alone."""
        wires, devices = self.beside_trunk, self.devices
        rows = tuple(column.tobytes() for column in (wires.a, wires.b, wires.ohms, wires.copper))
        return self.count, self.anchors, self.trunk, rows, tuple((type(d), d.plus, d.minus) for d in devices)

    @cached_property
    def wires(self) -> ResistorArrays:
        """The resistors as arrays."""
        return self.beside_trunk if self.trunk is None else self.trunk.wires.with_more(self.beside_trunk)

    @cached_property
    def beside_trunk(self) -> ResistorArrays:
        """The resistors that are not in the trunk, as arrays."""
        return arrays_of([self.resistors[i] for i in self.all_beside_trunk])

    @property
    def all_beside_trunk(self) -> range:
        """The indexes of these."""
        return range(len(self.trunk.resistors) if self.trunk else 0, len(self.resistors))

    def joined_by(self, resistors: Iterable[int]) -> Sequence[int]:
        """For each node one that stands for all that the trunk and some other resistors, by index, join
        it with."""
        return self._joined(self.trunk.pieces if self.trunk else (), resistors)

    @cached_property
    def pieces(self) -> Sequence[int]:
        """For each node one that stands for all that resistors join it with."""
        return self.joined_by(self.all_beside_trunk)

    @cached_property
    def joints(self) -> Sequence[int]:
        """The same by ideal joints alone."""
        ideal = [i for i in self.all_beside_trunk if self.resistors[i].ohms == 0]
        return self._joined(self.trunk.joints if self.trunk else (), ideal)

    def _joined(self, begin: Sequence[int], resistors: Iterable[int]) -> Sequence[int]:
        pairs = ((r.a, r.b) for r in map(self.resistors.__getitem__, resistors))
        return joined([*begin, *range(len(begin), self.count)], pairs)
