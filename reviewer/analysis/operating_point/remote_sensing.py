"""Regulators that hold the voltage of the feed of their field, not of their output: what the feed
drops, the output has more."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import replace
from typing import Any

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.circuit_build import Built
from reviewer.analysis.solver.circuit import NodalCircuit
from reviewer.analysis.solver.nonlinear import CircuitSolution, NotConverged, solve
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare

#: tolerance of the sensed voltage, V, and rounds to reach it; each reduces the error to a twentieth
#: or so
NEAR_V, ROUNDS = 1e-5, 20


def sensing(
    design: Design, network: Network, built: Built, free: Set[str]
) -> Mapping[int, tuple[int, int, str]]:
    """For each live alternator that senses its field's feed: its device -> node of its output, node
    of its field, its element. ``free`` ones do not regulate. One whose feed is lost is not live, so
    that it fails low."""
    found = {}
    for source in network.sources:
        part = design.parts[bare(source.element)]
        if (
            not isinstance(part, p.Alternator)
            or part.regulator_senses != "field"
            or source.field is None
            or source.element in free
        ):
            continue
        if source.element in built.sources:
            found[built.sources[source.element]] = (source.positive, source.field, source.element)
    return found


def as_sensed(
    senses: Mapping[int, tuple[int, int, str]],
    figures: Mapping[int, Mapping[str, Any]],
    circuit: NodalCircuit,
    points: int,
    temperature: float,
    idle: Mapping[int, Any] | None = None,
    live: Mapping[int, Any] | None = None,
) -> CircuitSolution:
    """The solution in which each of these outputs is above its set point by what lies between it
    and its field; ``idle`` as of :func:`solve`. Raises NotAssessable where none is found.

    Where the points are cases of failure, ``live`` has those in which each of these regulates,
    (points,), and a point for which none is found is lost.
    """
    import numpy as np

    now = {index: dict(own) for index, own in figures.items()}
    solved = solve(circuit, now, points, temperature, idle=idle)
    if not senses:
        return solved
    given = {index: np.zeros(points) for index in senses}
    before: dict[int, tuple[Any, Any]] = {}
    missing = np.zeros(points, bool)
    for _ in range(ROUNDS):
        missing = np.zeros(points, bool)
        for index, (output, field, _) in senses.items():
            rise = solved.volts(output) - solved.volts(field)
            rise = np.where(rise == rise, rise, given[index])
            rise = rise if live is None else np.where(live[index], rise, 0.0)
            missing |= abs(rise - given[index]) >= NEAR_V
            slope = _slope(np, given[index], rise, *before[index]) if index in before else 0.0
            before[index] = given[index], rise
            given[index] = given[index] + (rise - given[index]) / (1.0 - slope)
            now[index]["volts"] = figures[index]["volts"] + given[index]
        if not missing.any():
            return solved
        solved = solve(circuit, now, points, temperature, solved, idle)
    if live is not None:
        return _without(solved, missing, next(iter(senses)))
    names = " and ".join(bare(e) for *_, e in senses.values())
    raise NotAssessable(f"an operating point at which the regulator of {names} holds its field's feed")


def _without(solved: CircuitSolution, missing: Any, device: int) -> CircuitSolution:
    """The solution with some points lost."""
    node = solved.circuit.devices[device].plus
    known = {one.point for one in solved.lost}
    lost = [NotConverged(int(i), node, 0.0, device) for i in missing.nonzero()[0] if int(i) not in known]
    return replace(solved, lost=(*solved.lost, *lost))


def _slope(np: Any, given: Any, rise: Any, given_before: Any, rise_before: Any) -> Any:
    """Rise of the drop between output and field for each volt more at the output: near 1 where a
    second source takes up what one gives more."""
    step = given - given_before
    known = abs(step) > NEAR_V
    return np.where(known, np.clip((rise - rise_before) / np.where(known, step, 1.0), -1.0, 0.95), 0.0)
