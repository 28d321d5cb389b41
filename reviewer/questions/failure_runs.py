"""In which unbroken run of conductors a failure is, and where in it.

Loads and sources are in no run: to exchange a unit is another repair than to mend what leads to it.
"""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, OPEN, SEVERED, SHORT, STAYS, Failure
from reviewer.analysis.facts import Facts
from reviewer.network.graph import Gate, Network
from reviewer.network.series_runs import SeriesRun, SeriesRuns


class FailureRuns:
    """The runs of a design, and in which of them a failure is."""

    def __init__(self, facts: Facts):
        self.network = network = facts.network
        meters = facts.detection.meters.values()
        self.runs = SeriesRuns(network, {n for m in meters for n in (*m.sensed, *m.ends, *m.returns)})
        self.units = {
            one.element
            for several in (network.sources, network.consumers, network.dimmers, network.magnetos)
            for one in several
        }

    def of(self, failure: Failure) -> tuple[SeriesRun, int] | None:
        """The run that a failure opens or grounds, and its place there; None where it does more."""
        if failure.element in self.units:
            return None
        if failure.mode == SHORT:
            return self._grounded(failure)
        opened = _opened(self.network, failure)
        run = self.runs.through(opened) if opened else None
        return (run, min(run.order[i] for i in opened)) if run else None

    def _grounded(self, failure: Failure) -> tuple[SeriesRun, int] | None:
        """Places count nodes and links in turn."""
        if run := self.runs.at(failure.nodes):
            places = [2 * k for k, node in enumerate(run.nodes) if node in failure.nodes]
            return run, places[0] + (len(places) > 1)
        own = self.network.links_of.get(failure.element, ())
        if run := self.runs.of_conductors(own):
            return run, min(2 * run.order[i] + 1 for i in own)
        return None


def _opened(network: Network, failure: Failure) -> Sequence[int]:
    """The links that a failure opens in every state, where that is all that it does; else none."""
    own = network.links_of.get(failure.element, ())
    links = [network.links[i] for i in own]
    if failure.mode == OPEN or (failure.mode == SEVERED and not failure.nodes):
        opened = network.opened_by(failure.element)
        if any(coil.element in opened for coil in network.coils):
            return ()  # its coil is open too
        return [i for element in opened for i in network.links_of.get(element, ())]
    if failure.mode == STAYS:
        return own if all(k.positions and failure.position not in k.positions for k in links) else ()
    gate = {DROPPED: Gate.ENERGISED, HELD: Gate.DE_ENERGISED}.get(failure.mode)
    return own if all(k.gate is gate for k in links) else ()
