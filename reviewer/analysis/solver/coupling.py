"""Figures of devices that follow what is solved, found in the same rounds of Newton's method as the
points: the watts that an inlet takes, the volts of an output whose regulator senses elsewhere."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from reviewer.analysis.solver.device_curves import Curve
from reviewer.analysis.solver.linear import Linear, solved_systems
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.solver.device_ports import Ports

#: least singular value that counts, of how far the figures follow each other: what no step tells
#: apart, such as the shares of two regulators that hold one bus, stays as it is
LEAST = 1e-3
#: volts by which an inlet has too few where the devices miss by less volts than ``ROUGHLY``, and
#: the figures by less than that share of their unit
SURELY_V, ROUGHLY = 0.1, 1e-3


@record
class InletWatts:
    """An inlet takes the watts that the ``source``, a row, gives, over its ``efficiency``; nothing
    in the points that are ``off``. Where it has less than ``least`` volts it will be.

    Of each coupling ``row`` and ``name`` say which device and which of its figures; it is found
    where it is what is ``asked`` for to within ``near``. ``unit`` is a change of it that matters,
    ``longest`` the longest step; two that ``share`` may have a common effect alone."""

    row: int
    source: int
    efficiency: float
    least: float
    off: Any
    near: float
    name: str = "watts"
    unit: float = 30.0
    longest: float = 1000.0
    shares: bool = False

    def asked(self, shape: Curve, core_volts: Any) -> Any:
        """The figure that is asked for where the devices are so and the core has these volts,
        (points,)."""
        import numpy as np

        given = -shape.volts[self.source] * shape.amps[self.source] / self.efficiency
        return np.where(self.off, 0.0, np.maximum(given, 0.0))

    def change(self, shape: Curve, step: Any, core_volts: Any) -> Any:
        """By how much more is asked for after a ``step`` of the devices, (devices, points), that
        changes the volts of the core by so much, (points,)."""
        import numpy as np

        i = self.source
        slope = shape.volts_slope[i] * shape.amps[i] + shape.volts[i] * shape.amps_slope[i]
        gives = ~self.off & (shape.volts[i] * shape.amps[i] < 0)
        return np.where(gives, -slope / self.efficiency * step[i], 0.0)

    def stops(self, shape: Curve) -> Any:
        """The points, (points,), in which it stops, even if the volts there are not yet exact."""
        return ~self.off & (shape.volts[self.row] < self.least - SURELY_V)

    def at(self, points: Any) -> InletWatts:
        """That of some of the points, by index or mask."""
        return replace(self, off=self.off[points])


@record
class SensedVolts:
    """An output has ``held`` volts and in the points that are ``live`` the rise to it from where it
    is sensed. ``ends`` are joined nodes: plus and minus of the output, and of what is sensed."""

    row: int
    held: Any
    live: Any
    ends: tuple[int, int, int, int]
    linear: Linear
    near: float
    name: str = "volts"
    unit: float = 1.0
    longest: float = 16.0
    shares: bool = True

    def asked(self, shape: Curve, core_volts: Any) -> Any:
        return self.held + self.change(shape, None, core_volts)

    def change(self, shape: Curve, step: Any, core_volts: Any) -> Any:
        import numpy as np

        output, ground, plus, minus = self.linear.joined_volts(core_volts, list(self.ends))
        return np.where(self.live, (output - ground) - (plus - minus), 0.0)

    def stops(self, shape: Curve) -> Any:
        import numpy as np

        return np.zeros(shape.volts.shape[1], bool)

    def at(self, points: Any) -> SensedVolts:
        return replace(self, held=self.held[points], live=self.live[points])


Coupling = InletWatts | SensedVolts


@record
class Couplings:
    """All of a circuit; their figures are (couplings, points)."""

    every: tuple[Coupling, ...] = ()

    def at(self, points: Any) -> Couplings:
        """Those of some of the points."""
        return Couplings(tuple(one.at(points) for one in self.every))

    def middle(self) -> Couplings:
        """That of one point in the middle: the first in which most is live, as a place to begin."""
        return self.at(slice(0, 1))

    def given(self, ports: Ports, points: int) -> Any:
        """The figures that the ports have, (couplings, points)."""
        import numpy as np

        rows = [np.broadcast_to(ports.figure(one.row, one.name), (points,)) for one in self.every]
        return np.array(rows).reshape(len(rows), points)

    def missed(self, figures: Any, shape: Curve, core_volts: Any) -> Any:
        """What is asked for less the figures, (couplings, points)."""
        import numpy as np

        asked = [one.asked(shape, core_volts) for one in self.every]
        return np.array(asked).reshape(figures.shape) - figures

    def found(self, missed: Any) -> Any:
        """The points at which all are found, (points,)."""
        import numpy as np

        return (np.abs(missed) < np.array([[one.near] for one in self.every])).all(axis=0)

    def decided(self, shape: Curve, miss: Any, missed: Any) -> Any:
        """The points, (points,), nearly found, at which one surely stops: nobody asks for more."""
        import numpy as np

        close = np.abs(missed) < ROUGHLY * np.array([[one.unit] for one in self.every])
        stops = np.logical_or.reduce([one.stops(shape) for one in self.every])
        return stops & close.all(axis=0) & (np.abs(miss).max(axis=0) < ROUGHLY)

    def step(self, ports: Ports, linear: Linear, x: Any, shape: Curve, miss: Any, missed: Any) -> Any:
        """Newton's step of the devices, (devices, points), and of the figures."""
        import numpy as np

        pushes = [(one.row, *ports.by_followed(one.row, x)) for one in self.every]
        (step, core), *ways = linear.steady_steps(shape.volts_slope, shape.amps_slope, -miss, pushes)
        follows = [[one.change(shape, *way) for way in ways] for one in self.every]
        wanted = missed + np.array([one.change(shape, step, core) for one in self.every])
        figures = self._solved(np.array(follows), wanted)
        for figure, (way, _) in zip(figures, ways, strict=True):
            step = step + way * figure
        return step, figures

    def _solved(self, follows: Any, wanted: Any) -> Any:
        """The changes d of the figures with d - ``follows`` d = ``wanted``, (couplings, points)."""
        import numpy as np

        unit = np.array([one.unit for one in self.every])
        system = np.eye(len(unit)) - (follows * unit[None, :, None] / unit[:, None, None]).transpose(2, 0, 1)
        right = (wanted / unit[:, None]).T[:, :, None]
        if len(unit) == 1:
            found = right / np.where(system == 0.0, 1.0, system)
        elif sum(one.shares for one in self.every) < 2:
            found = solved_systems(system, right)
        else:
            found = np.linalg.pinv(system, rcond=LEAST) @ right
        longest = np.array([[one.longest] for one in self.every])
        return np.clip(found[:, :, 0].T * unit[:, None], -longest, longest)
