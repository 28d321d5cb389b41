"""Symptoms that one raised resistance explains: a bad joint, crimp, contact, ground lead or battery.

A reading between those of a sound system and of an open circuit is that of no failure that is tried as open.
Each unbroken run of conductors that carries current, and each battery, is solved at resistances over five
decades; it explains the symptoms at those at which every one of them fits, the error of its meter and what
nobody measured allowed for. What has no battery of its own and less than its minimum may be dark.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import cached_property
from itertools import pairwise
from math import inf

from reviewer.analysis.conduction.failure_modes import DEGRADED, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.cut_sets.degradation import GRID, dropout_volts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.degraded_points import degraded_points
from reviewer.analysis.operating_point.meter_readings import amperes_read, volts_read
from reviewer.analysis.operating_point.points import Points
from reviewer.analysis.operating_point.solved_state import phases_of
from reviewer.analysis.operating_point.tolerances import DEAD, Spread, usual_error
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.network.series_runs import SeriesRun
from reviewer.questions.meter_ranges import Seen, fits, widened
from reviewer.questions.naming import places_of
from reviewer.questions.state_signs import EITHER, NO, YES, Look, StateSigns
from reviewer.questions.symptoms import Symptom

#: less current than this through a run shows at no meter, A
LEAST_A = 0.01
#: from a milliohm to 100 ohm: less shows at no meter, more reads as open
OHMS = tuple(ohms for ohms in GRID if 0.00099 < ohms < 101)


@record
class RaisedResistance:
    """One raised resistance, from ``least`` to ``most`` ohms more than it should have, that explains every
    symptom: of a part, or ``between`` two terminals, anywhere on the ``names`` there."""

    between: tuple[str, ...]
    names: tuple[str, ...]
    least: float
    most: float


def raised_resistances(
    signs: StateSigns, symptoms: Sequence[Symptom], strange: Sequence[Symptom]
) -> tuple[RaisedResistance, ...]:
    """Those that explain ``symptoms``, of which some are ``strange``; () where no strange one is a figure.

    That which would move the fewest other monitors out of their limits comes first.
    """
    if not any(_figure(signs, symptom) for symptom in strange):
        return ()
    found = []
    with suppress(NotAssessable):
        trial = _Trial(signs)
        for between, names, failure in trial.candidates():
            with suppress(NotAssessable):
                found += [
                    (trial.moved(failure, fit, symptoms), RaisedResistance(between, names, *fit))
                    for fit in trial.fitting(failure, symptoms)
                ]
    return tuple(one for _, one in sorted(found, key=lambda entry: entry[0]))


def _figure(signs: StateSigns, symptom: Symptom) -> bool:
    """Whether a symptom is a reading in volts or amperes."""
    if symptom.sign.look is Look.TERMINAL:
        return True
    if symptom.sign.look is not Look.MONITOR or symptom.value == -inf:
        return False
    meter = signs.facts.detection.meters[symptom.sign.name]
    return meter.shows in ("voltage", "current") and not meter.lamp and not symptom.sign.state


class _Trial:
    """The state of some signs with one thing degraded."""

    def __init__(self, signs: StateSigns):
        self.signs, self.facts, self.answer = signs, signs.facts, signs.answer
        self.design, self.network = self.answer.design, self.answer.network
        self.meters = self.facts.detection.meters
        self._solved: dict[tuple[str, Failure], Points] = {}

    @cached_property
    def spread(self) -> Spread:
        """What a sound system may read."""
        return self.facts.points.spread_in(self.answer)

    def candidates(self) -> Iterator[tuple[tuple[str, ...], tuple[str, ...], Failure]]:
        """Each run that carries current with a failure in it, and each battery."""
        point = self.facts.points.solved_of(self.answer)
        runs = dict.fromkeys(map(id, self.signs.failure_runs.runs.in_line.values()))
        by_id = {id(run): run for run in self.signs.failure_runs.runs.in_line.values()}
        for key in runs:
            run = by_id[key]
            elements = self._in_series(run)
            amperes = [point.amps[e] for e in elements if e in point.amps]
            if amperes and max(map(abs, amperes)) >= LEAST_A:
                ends = (self.network.names[run.nodes[0]], self.network.names[run.nodes[-1]])
                yield ends, tuple(map(bare, elements)), Failure(elements[0], DEGRADED, ohms=OHMS[0])
        for name in self.design.of_kind(p.Battery):
            place = places_of(self.network, f"parts/{name}", DEGRADED)[0]
            yield (), (name,), Failure(f"parts/{name}", DEGRADED, position=place, ohms=OHMS[0])

    def _in_series(self, run: SeriesRun) -> list[str]:
        """The wires and parts of one path that a run is made of, wires first."""
        links = sorted(run.order, key=lambda i: run.order[i])
        own = [self.network.links[i] for i in links if not self.network.links[i].oneway]
        elements = [link.element for link in own if self.network.lone.get(link.element) is not None]
        return sorted(dict.fromkeys(elements), key=lambda e: not e.startswith("wires/"))

    def points(self, failure: Failure, answer: StateAnswer) -> Points:
        """The state at each of :data:`OHMS`."""
        key = answer.state.engine, failure
        if key not in self._solved:
            solved = conduct(self.network, answer.state, ((failure,),), answer.healthy)
            phases, charges = phases_of(self.design, answer.state), self.facts.points.charges_in(answer.state)
            scenario = Scenario(answer.state, solved, (failure,), phases, charges=charges)
            wiring = self.facts.points.wiring
            self._solved[key] = assessed(
                lambda: degraded_points(self.design, self.network, scenario, OHMS, wiring)
            )
            self._solved[key].require_found()
        return self._solved[key]

    def fitting(self, failure: Failure, symptoms: Sequence[Symptom]) -> Iterator[tuple[float, float]]:
        """The ohms from which and up to which every symptom fits."""
        holds = [self._holds(failure)]
        for symptom in symptoms:
            seen = self._seen(failure, symptom)
            # between two resistances a reading goes from the one to the other
            holds.append(
                [
                    one is not None and other is not None and bool(fits(symptom.value, _hull(one, other)))
                    for one, other in pairwise(seen)
                ]
            )
        steps = [i for i in range(len(OHMS) - 1) if all(row[i] for row in holds)]
        begins = [i for i in steps if i - 1 not in steps]
        for begin in begins:
            end = next(i for i in range(begin, len(OHMS)) if i not in steps)
            yield OHMS[begin], OHMS[end]

    def _holds(self, failure: Failure) -> list[bool]:
        """Between which resistances no relay drops out."""
        points = self.points(failure, self.answer)
        held = [e for e in points.built.coils if self.answer.healthy.energised[e]]
        volts = {e: abs(points.across(e)).tolist() for e in held}
        low = [any(v[i] < dropout_volts(self.design, e) for e, v in volts.items()) for i in range(len(OHMS))]
        return [not (a or b) for a, b in pairwise(low)]

    def _seen(self, failure: Failure, symptom: Symptom) -> Sequence[Seen]:
        """What is seen of the sign of a symptom at each resistance."""
        sign, none = symptom.sign, [None] * len(OHMS)
        if sign.state or sign.look is Look.ISOLATION:
            return none
        if sign.look is Look.TERMINAL:
            own = self.signs.at_rest
            points, within = self.points(failure, own.answer), own.limits_at(sign.name)
            volts = [0.0 if v != v else v for v in points.volts(sign.name).tolist()]
            return [widened((v, v), within or DEAD) for v in volts]
        if sign.look is Look.PROTECTION:
            return [self.signs.seen(sign)[-1]] * len(OHMS)
        if sign.look is Look.UNIT:
            return self._unit(failure, sign.name)
        return self._monitor(failure, sign.name)

    def _unit(self, failure: Failure, name: str) -> Sequence[Seen]:
        points, element = self.points(failure, self.answer), f"parts/{name}"
        if not self.answer.healthy.powered.get(element):
            return [NO] * len(OHMS)
        least = getattr(self.design.parts[name], "minimum", None)
        if element not in points.built.loads or least is None:
            return [YES] * len(OHMS)
        return [EITHER if volts < least else YES for volts in points.across(element).tolist()]

    def _monitor(self, failure: Failure, name: str) -> Sequence[Seen]:
        meter, points = self.meters[name], self.points(failure, self.answer)
        if meter.shows not in ("voltage", "current"):
            return [self.signs.seen(self.signs.monitor(name))[-1]] * len(OHMS)
        read = volts_read(points, meter) if meter.shows == "voltage" else amperes_read(points, meter)
        if read is None:
            return [None] * len(OHMS)
        values = [0.0 if v != v else v for v in read.tolist()]
        if meter.lamp:
            monitor, sign = self.design.watch.monitors[name], self.facts.points.alarm_sign(name)
            low = -inf if monitor.alarm_below is None else monitor.alarm_below
            high = inf if monitor.alarm_above is None else monitor.alarm_above
            return [NO if low <= sign * v <= high else YES for v in values]
        within = self.spread.monitor(name) or usual_error(meter)
        return [widened((v, v), within) for v in values]

    def moved(self, failure: Failure, fit: tuple[float, float], symptoms: Sequence[Symptom]) -> int:
        """How many monitors that were not reported would read out of the limits of a sound system."""
        at, reported, count = OHMS.index(fit[0]), {s.sign for s in symptoms}, 0
        for sign in (s for s in self.signs.signs if s.look is Look.MONITOR and s not in reported):
            sound, now = self.signs.seen(sign)[-1], self._monitor(failure, sign.name)[at]
            count += sound is not None and now is not None and (now[0] > sound[1] or now[1] < sound[0])
        return count


def _hull(one: tuple[float, float], other: tuple[float, float]) -> Seen:
    return min(one[0], other[0]), max(one[1], other[1])
