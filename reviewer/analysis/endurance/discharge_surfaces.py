"""Scenarios solved over the states of charge of their batteries, aged and cold, each once for all
that follows batteries through it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from typing import TYPE_CHECKING

from reviewer.analysis.endurance.phase_loads import drawn
from reviewer.analysis.not_assessable import NotAssessable, gaps
from reviewer.analysis.operating_point.answers import OperatingPoints, assessed
from reviewer.analysis.operating_point.cold_batteries import cold_factors, cold_range
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.conduction.failure_modes import Failure
    from reviewer.analysis.endurance.battery_cells import DayCells
    from reviewer.analysis.endurance.depletion import Depletion
    from reviewer.analysis.operating_point.charge_sweep import Surface, Sweep
    from reviewer.analysis.operating_point.circuit_build import Built, Scenario
    from reviewer.analysis.operating_point.resistances import Wiring
    from reviewer.model.design import Design

#: seconds in which charges change so little that corners of their curves are enough
SHORT_S = 120.0


class DischargeSurfaces:
    """The surfaces of scenarios after a loss. The margin of every load that states its minimum is
    in each."""

    def __init__(self, operating: OperatingPoints):
        self.operating = operating
        parts, consumers = operating.design.parts, operating.network.consumers
        self.watched = tuple(c.element for c in consumers if parts[bare(c.element)].minimum is not None)
        self.ageing = cold_factors(operating.design, cold_range().high)
        #: by failures, phase and name of the first segment: the batteries while the crew does nothing
        self.without_moves: dict[tuple[tuple[Failure, ...], str | None, str], Depletion] = {}
        self._solved: dict[tuple[object, ...], Surface] = {}
        #: the same by the circuit, where no alternator gives anything
        self._of_circuit: dict[tuple[object, ...], Surface] = {}

    @cached_property
    def day_cells(self) -> DayCells:
        """The batteries as they are at the loss."""
        from reviewer.analysis.endurance.battery_cells import DayCells

        return DayCells(self.operating)

    def of(self, scenario: Scenario, seconds: float | None) -> Surface:
        """The surface of a scenario that lasts some seconds, or to the end. Raises NotAssessable
        with what is missing."""
        fine = seconds is None or seconds > SHORT_S
        key = (*_identity(scenario), fine)
        if key not in self._solved:
            drawn(self.operating, scenario.conduction.powered)
            found = assessed(lambda: self._solved_once(scenario, fine))
            if missing := _missing(found.sweep):
                raise NotAssessable(gaps(missing))
            self._solved[key] = found
        return self._solved[key]

    def _solved_once(self, scenario: Scenario, fine: bool) -> Surface:
        """The surface of a scenario, solved once for all that leave the same circuit: what fails of an
        alternator that gives nothing makes no difference. Where one still gives, what it senses does."""
        from reviewer.analysis.operating_point.charge_sweep import surface
        from reviewer.analysis.operating_point.circuit_build import build

        design, network, wiring = self.operating.design, self.operating.network, self.operating.wiring
        if any(s.kind == "alternator" and scenario.conduction.alive[s.element] for s in network.sources):
            return surface(design, network, scenario, self.ageing, self.watched, fine, wiring)
        built = build(design, network, scenario, wiring=wiring)
        key = (*_circuit_of(design, built, wiring), fine)
        if (known := self._of_circuit.get(key)) is not None:
            return replace(known, sweep=replace(known.sweep, assumed=built.assumptions.assumed()))
        found = surface(design, network, scenario, self.ageing, self.watched, fine, wiring, built)
        self._of_circuit[key] = found
        return found

    def exact(self, scenario: Scenario, rows: Sequence[Sequence[float]]) -> Sweep:
        """A scenario solved at rows of states of charge, one for each live battery."""
        from reviewer.analysis.operating_point.charge_sweep import sweep

        design, network, wiring = self.operating.design, self.operating.network, self.operating.wiring
        return assessed(partial(sweep, design, network, scenario, self.ageing, self.watched, rows, wiring))


def _identity(scenario: Scenario) -> tuple[object, ...]:
    """What tells one scenario from another: the same switches may leave relays otherwise."""
    state, now = scenario.state, scenario.conduction
    return (
        tuple(sorted(state.switches.items())),
        frozenset(state.pulled),
        frozenset(state.outputs_on),
        tuple(sorted(now.energised.items())),
        tuple(sorted(now.alive.items())),
        frozenset(scenario.case),
        scenario.phases,
    )


def _circuit_of(design: Design, built: Built, wiring: Wiring) -> tuple[object, ...]:
    """What circuits have in common that answer the same."""
    from reviewer.analysis.operating_point.points import conductor_temperature

    shape = wiring.shapes.of(built.circuit, float(conductor_temperature(design, built)))
    held = built.assumptions
    return (
        shape.core,
        built.circuit.devices,
        *(tuple(some.items()) for some in (built.sources, built.loads, built.fields)),
        *(tuple(some.items()) for some in (held.unsized, held.undrawn)),
    )


def _missing(sweep: Sweep) -> Mapping[str, str]:
    return {bare(e): key for e, key in (*sweep.undrawn.items(), *sweep.unsized.items())}
