"""Failures that look alike as causes: what one repair puts right.

A cause is a part or wire that has failed, or one break or short to ground in an unbroken run of conductors
(:mod:`reviewer.questions.failure_runs`) with all places where it may be: terminals, wires, contacts.
"""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.series_runs import SeriesRun
from reviewer.questions.state_signs import StateSigns


@record
class FailurePlace:
    """One place of a cause: a single failure, or one with a latent one, each as (element, words)."""

    case: tuple[Failure, ...]
    words: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        return " and ".join(f"{bare(element)} {words}" for element, words in self.words)


@record
class FailureCause:
    """A cause with its places. Those of a run are in its order, and ``between`` has the terminals at its
    ends; it is () for failures of one part or wire. Of a pair the latent failure is the same at all."""

    between: tuple[str, ...]
    places: tuple[FailurePlace, ...]

    @property
    def mode(self) -> str:
        """What a run has at all its places: it is open or shorted to ground."""
        return (SHORT if self.cases[0][0].mode == SHORT else OPEN).value

    @property
    def clearing(self) -> str:
        """How a short is cleared otherwise than by the nearest protection, else ""."""
        return self.cases[0][0].clearing

    @property
    def cases(self) -> tuple[tuple[Failure, ...], ...]:
        """The failures of each place."""
        return tuple(place.case for place in self.places)


def causes_of(signs: StateSigns, lanes: Sequence[int]) -> tuple[FailureCause, ...]:
    """The causes of some lanes in the order of the file; of the outcomes of one short the first."""
    network, order, runs = signs.facts.network, signs.facts.file_order, signs.failure_runs
    places: dict[tuple[object, ...], FailurePlace] = {}
    for lane in lanes:
        case = failures_of(signs.cases[lane])
        key = tuple((f.element, f.mode, f.nodes, f.position) for f in case)
        places.setdefault(key, FailurePlace(case, tuple((f.element, f.words(network)) for f in case)))
    found: dict[object, tuple[SeriesRun | None, list[tuple[int, FailurePlace]]]] = {}
    for place in sorted(places.values(), key=lambda p: [order.get(f.element, 0) for f in p.case]):
        first, *hidden = place.case
        run, at = runs.of(first) or (None, 0)
        where = (run.nodes, first.mode == SHORT, first.clearing) if run else first.element
        found.setdefault((where, *hidden), (run, []))[1].append((at, place))
    return tuple(_cause(network, run, several) for run, several in found.values())


def _cause(
    network: Network, run: SeriesRun | None, several: Sequence[tuple[int, FailurePlace]]
) -> FailureCause:
    places = tuple(place for _, place in sorted(several, key=lambda one: one[0]))
    if run is None or len({place.case[0].element for place in places}) == 1:
        return FailureCause((), places)
    return FailureCause((network.names[run.nodes[0]], network.names[run.nodes[-1]]), places)
