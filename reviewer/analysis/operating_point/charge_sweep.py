"""One scenario solved over the states of charge of its batteries: current and volts of each, the
margin of each load over its minimum, what monitors read."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise, product
from math import ceil
from typing import TYPE_CHECKING, Any

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import Assumed
from reviewer.analysis.operating_point.circuit_build import Built, Scenario
from reviewer.analysis.operating_point.meter_readings import amperes_read, dark, volts_read
from reviewer.analysis.operating_point.points import Figures, solve_points
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.meters import Meter
from reviewer.tables.batteries import open_circuit_knots
from reviewer.tables.interpolation import bracket
from reviewer.tables.typical import acceptance_knots

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints

#: batteries whose charges are swept together; the points grow as the knots to this power
MOST = 3
#: state of charge from one solved point to the next; at a twentieth the endurance of an example is
#: 0.1 % longer
APART = 0.1


@record
class Sweep:
    """Answers at some states of charge, plain numbers: ``amps`` and ``volts`` by battery, ``spare``
    by load (volts above its minimum), ``taken`` amperes by load and by alternator whose field draws
    though nothing turns it; each has one number for each row
    of states of charge. ``assumed``, ``unsized`` and ``undrawn`` as of an operating point."""

    batteries: tuple[str, ...]
    amps: Mapping[str, Sequence[float]]
    volts: Mapping[str, Sequence[float]]
    spare: Mapping[str, Sequence[float]]
    taken: Mapping[str, Sequence[float]]
    assumed: tuple[Assumed, ...]
    unsized: Mapping[str, str]
    undrawn: Mapping[str, str]


@record
class Surface:
    """A sweep over every combination of ``knots``, between which it is interpolated: open-circuit
    voltage and charge acceptance are linear there."""

    sweep: Sweep
    knots: tuple[tuple[float, ...], ...]

    def corners(self, charges: Sequence[float]) -> list[tuple[int, float]]:
        """(row of the sweep, weight) of the corners of the cell that holds some states of charge;
        the weights add up to 1."""
        found = [(0, 1.0)]
        for knots, charge in zip(self.knots, charges, strict=True):
            i, along = bracket(knots, charge)
            found = [
                (row * len(knots) + i + k, w * share)
                for row, w in found
                for k, share in ((0, 1.0 - along), (1, along))
                if share > 0.0
            ]
        return found


def surface(
    design: Design,
    network: Network,
    scenario: Scenario,
    ageing: Mapping[str, float],
    watched: Collection[str],
    fine: bool,
    wiring: Wiring | None = None,
    built: Built | None = None,
) -> Surface:
    """The surface of a scenario, over the states of charge of all its live batteries; ``fine`` puts
    points between the corners of their curves; ``built`` is its circuit. Raises as :func:`sweep` does."""
    batteries = alive(network, scenario)
    if len(batteries) > MOST:
        raise NotAssessable(
            f"the discharge of {len(batteries)} batteries at once, of which {MOST} are solved at most"
        )
    knots = tuple(_knots(design.part(bare(b), p.Battery), fine) for b in batteries)
    rows = list(product(*knots))
    return Surface(sweep(design, network, scenario, ageing, watched, rows, wiring, built), knots)


def alive(network: Network, scenario: Scenario) -> tuple[str, ...]:
    """The batteries that are alive in a scenario."""
    return tuple(
        s.element for s in network.sources if s.kind == "battery" and scenario.conduction.alive[s.element]
    )


def _knots(battery: p.Battery, fine: bool) -> tuple[float, ...]:
    """Every corner of the curves of a battery; where ``fine``, points between them too, so that none
    are more than APART from each other."""
    if battery.chemistry is None:
        raise NotAssessable("`chemistry` of a battery")
    corners = sorted({0.0, 1.0, *open_circuit_knots(battery.chemistry), *acceptance_knots(battery.chemistry)})
    if not fine:
        return tuple(corners)
    between = [
        a + (b - a) * i / parts
        for a, b in pairwise(corners)
        for parts in [ceil((b - a) / APART - 1e-9)]
        for i in range(1, parts)
    ]
    return tuple(sorted([*corners, *between]))


def sweep(
    design: Design,
    network: Network,
    scenario: Scenario,
    ageing: Mapping[str, float],
    watched: Collection[str],
    rows: Sequence[Sequence[float]],
    wiring: Wiring | None = None,
    built: Built | None = None,
) -> Sweep:
    """A scenario solved at each row of states of charge (one for each live battery, 0 to 1);
    ``ageing`` are factors on the resistance of batteries, ``watched`` the elements of the loads
    whose volts are wanted; ``wiring`` serves all scenarios of a design; ``built`` is the circuit of
    the scenario, where it was built already.

    Raises NotAssessable, with the missing figure, and OutsideTable.
    """
    import numpy as np

    batteries = alive(network, scenario)
    columns = np.asarray(rows, float).T
    figures = Figures(state_of_charge=dict(zip(batteries, columns, strict=True)), ageing=ageing)
    points = solve_points(design, network, scenario, figures, len(rows), wiring, built=built)
    points.require_found()

    def listed(values: Any) -> list[float]:
        return list(values.tolist())

    dead = {e: i for e, i in points.built.fields.items() if not scenario.conduction.alive[e]}
    fields = {e: listed(points.device_amps(i)) for e, i in dead.items()}
    least = {e: design.parts[bare(e)].minimum for e in watched if e in points.built.loads}
    return Sweep(
        batteries,
        {b: listed(points.amps(b)) for b in batteries},
        {b: listed(points.across(b)) for b in batteries},
        {e: listed(points.across(e) - minimum) for e, minimum in least.items() if minimum is not None},
        {e: listed(points.amps(e)) for e in points.built.loads} | fields,
        points.assumed,
        points.unsized,
        points.undrawn,
    )


def alarm_readings(
    operating: OperatingPoints,
    scenario: Scenario,
    charges: Sequence[Mapping[str, float]],
    shown: Mapping[str, Meter],
) -> Mapping[str, Sequence[float]]:
    """What monitors of a voltage or current read at some states of charge of the batteries (by
    element), each battery with the resistance of a new one, a current in the direction of its
    alarms; infinite where what shows them is dark. A current of more than one path is not in it.

    Raises as :func:`sweep` does.
    """
    import numpy as np

    design, network = operating.design, operating.network
    figures = Figures(
        state_of_charge={b: np.array([at[b] for at in charges]) for b in alive(network, scenario)}
    )
    points = solve_points(design, network, scenario, figures, len(charges), operating.wiring)
    points.require_found()
    found = {}
    for name, meter in shown.items():
        read = volts_read(points, meter) if meter.shows == "voltage" else amperes_read(points, meter)
        if read is not None:
            known = np.where(dark(design, points, meter), np.inf, operating.alarm_sign(name) * read)
            found[name] = [float(one) for one in known]
    return found
