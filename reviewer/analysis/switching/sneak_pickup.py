"""Relays that a current through loads or other coils picks up in a declared state.

A coil behind a resistor that drops its voltage picks up so, and one whose own circuit is open and
that a lamp or another load feeds or returns. The state is solved in volts from cold; a relay whose
coil has its pickup voltage is energised, and the state solved again with its contacts moved.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, solve_state
from reviewer.analysis.not_assessable import NoOperatingPoint, NotAssessable
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.paths.sneak_effects import coil_limits
from reviewer.analysis.switching.beside_coils import beside_coils
from reviewer.analysis.switching.sneak_currents import SneakPaths, may_flow
from reviewer.model.design import Design
from reviewer.model.resolved_states import SneakCurrent
from reviewer.network.graph import Network, bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.resistances import Wiring
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


def picked_up(
    design: Design, network: Network, answers: Mapping[str, StateAnswer], untried: list[str]
) -> Mapping[str, StateAnswer]:
    """Some states, with the sneak currents that pick up relays in them.

    A relay whose pickup voltage, or the current of a load on the path, is not known stays as it is; so
    does one in a state of which no operating point is found, which is added to ``untried``.
    """
    paths = [SneakPaths(design, network, coil) for coil, _ in beside_coils(network)]
    if not paths:
        return answers
    from reviewer.analysis.operating_point.resistances import Wiring

    search = _Pickups(design, network, paths, Wiring(design, network), untried)
    may = may_flow(design, network, [path.coil for path in paths], list(answers.values()))
    settled = {
        name: search.settled(answer, frozenset(coil for coil, mask in may.items() if mask >> i & 1))
        for i, (name, answer) in enumerate(answers.items())
    }
    own = dict.fromkeys(s for answer in settled.values() for s in answer.state.sneaks if s.alone)
    return MappingProxyType({name: search.knowing(answer, own) for name, answer in settled.items()})


class _Pickups:
    """The relays that could pick up, in one state after the other."""

    def __init__(
        self,
        design: Design,
        network: Network,
        paths: Sequence[SneakPaths],
        wiring: Wiring,
        untried: list[str],
    ):
        self.design, self.network, self.paths, self.wiring = design, network, paths, wiring
        self.untried = untried

    def settled(self, answer: StateAnswer, coils: Collection[str]) -> StateAnswer:
        """A state with every relay energised that picks up, those that follow from it too; the first of them
        of some ``coils``.

        One whose coil has less than its dropout voltage once its contacts have moved is left out.
        """
        known = {sneak.relay for sneak in answer.state.sneaks}
        every = {one.coil.element for one in self.paths}
        while found := [s for s in self._candidates(answer, coils) if s.relay not in known]:
            coils = every  # once contacts have moved
            known |= {s.relay for s in self._below(answer, found, held=False)}
            new = tuple(s for s in found if s.relay not in known)
            if not new:
                break
            known |= {s.relay for s in new}
            after = self._with(answer, new)
            if fallen := self._below(after, new, held=True):
                after = self._with(answer, tuple(s for s in new if s not in fallen))
            answer = after
        return answer

    def knowing(self, answer: StateAnswer, own: Iterable[SneakCurrent]) -> StateAnswer:
        """A state with the currents of coils without another circuit that flow in other states: one
        moved switch may close them here too."""
        more = tuple(s for s in own if s not in answer.state.sneaks)
        after = self._with(answer, more) if more else answer
        return after if after.healthy.energised == answer.healthy.energised else answer

    def _candidates(self, answer: StateAnswer, coils: Collection[str]) -> list[SneakCurrent]:
        """The sneak currents of known size that flow through those of some coils that are not energised."""
        asked = (one for one in self.paths if one.coil.element in coils)
        off = [one for one in asked if not answer.healthy.energised[one.coil.element]]
        found = [one.find(answer) for one in off if not answer.healthy.unsettled]
        return [path.current for path in found if path is not None and not path.missing]

    def _with(self, answer: StateAnswer, sneaks: tuple[SneakCurrent, ...]) -> StateAnswer:
        state = replace(answer.state, sneaks=(*answer.state.sneaks, *sneaks))
        return replace(solve_state(self.design, self.network, state), too_low=answer.too_low)

    def _below(self, answer: StateAnswer, sneaks: Sequence[SneakCurrent], held: bool) -> list[SneakCurrent]:
        """Those whose coil has less than its pickup voltage, or ``held`` its dropout voltage; where
        no voltage is known, all or none."""
        try:
            point = assessed(lambda: self._solved(answer))
        except NotAssessable as missing:
            if isinstance(missing, NoOperatingPoint):
                relays = " and ".join(bare(sneak.relay) for sneak in sneaks)
                sentence = (
                    f"In {answer.state.name} no operating point was found; not assessed: whether a current "
                    f"through other loads energises {relays}."
                )
                self.untried += [] if sentence in self.untried else [sentence]
            return [] if held else list(sneaks)
        found = []
        for sneak in sneaks:
            name = bare(sneak.relay)
            part = self.design.parts[name]
            limits = coil_limits(part, self.design.aircraft.volts, held)
            if point.coil_volts(name, *part.coil) < limits[not held]:
                found.append(sneak)
        return found

    def _solved(self, answer: StateAnswer) -> OperatingPoint:
        from reviewer.analysis.operating_point.circuit_build import Scenario
        from reviewer.analysis.operating_point.solved_state import solve_state as solved

        scenario = Scenario(answer.state, answer.healthy)
        return solved(self.design, self.network, scenario, wiring=self.wiring)
