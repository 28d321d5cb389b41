"""Which share of the current of a short each protective device carries, where several feeds supply it
in parallel.

Solved with every device closed and with the batteries alone. Where the shares cannot be told, each
device is taken to carry all of it: where a live alternator or external power feeds the short too,
where a resistance on the way is not known, and where no operating point is found.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints, assessed
from reviewer.analysis.operating_point.circuit_build import Built, build
from reviewer.analysis.operating_point.devices import SHORT_OHMS
from reviewer.analysis.operating_point.solved_state import scenario_of
from reviewer.analysis.solver.circuit import BatteryBranch, DiodeBranch, NodalCircuit, Resistor
from reviewer.analysis.solver.nonlinear import solve
from reviewer.model.design import Design
from reviewer.network.graph import Network


class FaultShares:
    """The shares of the current of each short of a state, solved on first asking."""

    def __init__(self, design: Design, network: Network, points: OperatingPoints, answer: StateAnswer):
        self.design, self.network, self.points, self.answer = design, network, points, answer
        self._amps: dict[int, tuple[Mapping[str, float], ...]] = {}

    def __call__(self, index: int, upper: str, lower: str) -> float:
        """The largest share, 0 to 1, of the current of protector ``lower`` that ``upper`` carries in
        the short ``index``; 1 where it cannot be told."""
        if index not in self._amps:
            self._amps[index] = self._solved(index)
        found = self._amps[index]
        if not found or any(not one.get(lower) or upper not in one for one in found):
            return 1.0
        return min(1.0, max(one[upper] / one[lower] for one in found))

    def _solved(self, index: int) -> tuple[Mapping[str, float], ...]:
        """Amperes through each protector, by element, with the short returned to the negative of each
        live battery in turn; () where they cannot be told."""
        answer, network = self.answer, self.network
        zone = answer.failed.zone
        live = [s for s in network.sources if answer.healthy.alive[s.element]]
        batteries = [s for s in live if s.kind == "battery" and not zone[s.positive] >> index & 1]
        if any(s.kind != "battery" and not zone[s.positive] >> index & 1 for s in live):
            return ()
        built = self._built
        if built is None or built.assumptions.unsized:
            return ()
        short = answer.failures[index]
        try:
            return tuple(self._through(built, short, battery.negative) for battery in batteries)
        except NotAssessable:
            return ()

    @cached_property
    def _built(self) -> Built | None:
        """The circuit of the healthy state, which serves every short; None where a figure lacks."""
        charges = self.points.charges_in(self.answer.state)
        scenario = scenario_of(
            self.design, self.network, self.answer.state, self.answer.healthy, charges=charges
        )
        try:
            return assessed(
                lambda: build(self.design, self.network, scenario, wiring=self.points.wiring, sensing=False)
            )
        except NotAssessable:
            return None

    def _through(self, built: Built, short: Failure, negative: int) -> Mapping[str, float]:
        circuit = built.circuit
        shorts = tuple(Resistor(node, negative, SHORT_OHMS) for node in short.nodes)
        shorted = NodalCircuit(
            circuit.count,
            (*circuit.resistors, *shorts),
            tuple(d for d in circuit.devices if isinstance(d, (BatteryBranch, DiodeBranch))),
            circuit.anchors,
        )
        solution = assessed(lambda: solve(shorted))
        if solution.lost:
            raise NotAssessable("an operating point with a short")
        lone = {e: i for e, i in self.network.lone.items() if i in self.network.protectors}
        return {
            e: abs(float(solution.resistor_amps(built.resistors[i])[0]))
            for e, i in lone.items()
            if i in built.resistors
        }
