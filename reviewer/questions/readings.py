"""Readings that came back on cards: within limits or not, and the single failures that explain them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import DEGRADED, Failure, stuck_relays
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.degraded_points import degraded_points
from reviewer.analysis.operating_point.points import Points
from reviewer.analysis.operating_point.solved_state import scenario_of
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.bench_failures import low_coils, read_on_bench, solved_on_bench
from reviewer.questions.bench_supply import Bench, rest_positions
from reviewer.questions.coil_cards import card_state
from reviewer.questions.measured import MeasuredStep
from reviewer.questions.meter_ranges import Seen, SolvedCases, fits, widened
from reviewer.questions.power_steps import Act, PowerCard, Stage
from reviewer.questions.raised_resistances import OHMS
from reviewer.questions.supply_cards import benches_of

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


#: acts that an open wire or part spoils
_OPENED = (Act.SUPPLY_CONTINUITY, Act.RETURN_CONTINUITY, Act.BOND)


@record
class Explanation:
    """A single failure, in words, with the readings out of limits that it explains.

    ``against`` are readings within limits that it would put out of them. ``alike`` are other failures
    that no reading tells from it.
    """

    failure: str
    explains: tuple[MeasuredStep, ...]
    against: tuple[MeasuredStep, ...]
    alike: tuple[str, ...] = ()


@record
class Readings:
    """All that was measured: ``within`` limits, ``out`` of them, ``unread`` where the words tell neither;
    ``blank`` are the steps without a reading."""

    within: tuple[MeasuredStep, ...]
    out: tuple[MeasuredStep, ...]
    unread: tuple[MeasuredStep, ...]
    blank: tuple[MeasuredStep, ...]
    explanations: tuple[Explanation, ...]


def readings_of(facts: Facts, steps: Sequence[MeasuredStep]) -> Readings:
    """Judge what was written at the steps of cards."""
    written = [step for step in steps if step.text.strip()]
    judged = [(step, step.within) for step in written]
    out = tuple(step for step, within in judged if within is False)
    within = tuple(step for step, found in judged if found)
    unread = tuple(step for step, found in judged if found is None)
    explanations = tuple(_ranked(facts, out, within)) if out else ()
    blank = tuple(step for step in steps if not step.text.strip())
    return Readings(within, out, unread, blank, explanations)


def _ranked(
    facts: Facts, out: Sequence[MeasuredStep], within: Sequence[MeasuredStep]
) -> Iterator[Explanation]:
    """What explains the most, against the fewest readings, first; failures that read alike together."""
    found: dict[str, tuple[list[MeasuredStep], list[MeasuredStep]]] = {}
    for failure, step in (*_by_supply(facts, out, within, found), *_by_card(out)):
        found.setdefault(failure, ([], []))[0].append(step)
    for failure, step in _by_card(within, whole=True):
        if failure in found:
            found[failure][1].append(step)
    alike: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for failure, (explains, against) in found.items():
        key = (tuple(s.place for s in explains), tuple(s.place for s in against))
        if explains and len(against) < len(explains):
            alike.setdefault(key, []).append(failure)
    for _, failures in sorted(alike.items(), key=lambda pair: _rank(*pair[0])):
        explains, against = found[failures[0]]
        yield Explanation(failures[0], tuple(explains), tuple(against), tuple(failures[1:]))


def _rank(explains: Sequence[str], against: Sequence[str]) -> tuple[int, int]:
    """What has the most readings for it, less those against it, comes first."""
    return len(against) - len(explains), -len(explains)


def _by_card(steps: Sequence[MeasuredStep], whole: bool = False) -> Iterator[tuple[str, MeasuredStep]]:
    """What the card itself suspects of a step that was not solved on the supply.

    Of ``whole`` steps, which read as they should, what would have opened them.
    """
    for step in steps:
        if whole:
            if step.power is not None and step.power[1].act in _OPENED:
                yield from ((f"{name} open", step) for name in step.power[1].suspects)
        elif step.checked is not None:
            for suspect in step.checked.suspects:
                value, limits = step.value, step.limits
                near = value is None or suspect.value is None or limits is None
                if near or abs(value - suspect.value) <= (limits.high - limits.low) / 2:  # type: ignore[operator, union-attr]
                    yield f"{bare(suspect.failure.element)} {suspect.failure.mode}", step
        elif step.power is not None and step.power[1].act is Act.CONTACT:
            yield from ((f"{name} contacts stuck", step) for name in step.power[1].suspects)
        elif step.power is not None and step.power[0].stage is Stage.COLD:
            act = step.power[1].act
            mode = {Act.ISOLATION: "shorted to ground", Act.DIODE: "open, shorted or reversed"}.get(
                act, "open"
            )
            if act is Act.P_LEAD and step.expected == "no continuity":
                mode = "lead grounded"
            elif act is not Act.ISOLATION and step.value not in (None, float("inf")):
                mode = "of high resistance"  # it conducts, by too many ohms
            names = step.power[1].suspects or step.power[1].names[:1]
            yield from ((f"{name} {mode}", step) for name in names)


def _by_supply(
    facts: Facts,
    out: Sequence[MeasuredStep],
    within: Sequence[MeasuredStep],
    found: dict[str, tuple[list[MeasuredStep], list[MeasuredStep]]],
) -> Iterator[tuple[str, MeasuredStep]]:
    """Single failures whose solved readings fit; ``found`` gets what speaks against each."""
    supply = _Supply(facts)
    fitting: dict[str, Failure] = {}
    for card, steps in _of_cards(out):
        for name, failure, step in supply.fitting(card, steps):
            fitting[name] = failure
            yield name, step
    for card, steps in _of_cards(out):
        beside = [step for other, own in _of_cards(within) if other is card for step in own]
        for name, step, against in supply.raised(card, steps, beside):
            found.setdefault(name, ([], []))[1].extend(against)
            yield name, step
    tried = list(fitting.items())
    for card, steps in _of_cards(within):
        for name, step in supply.spoilt(card, steps, tried):
            found.setdefault(name, ([], []))[1].append(step)


def _of_cards(steps: Iterable[MeasuredStep]) -> Iterator[tuple[PowerCard, list[MeasuredStep]]]:
    """The steps on the supply that are done in one setting, with their card."""
    found: dict[tuple[PowerCard, object], list[MeasuredStep]] = {}
    for step in steps:
        if step.power is not None and step.power[0].supply is not None and step.limits is not None:
            found.setdefault((step.power[0], step.power[1].moved), []).append(step)
    for (card, _), own in found.items():
        yield card, own


@record
class _Degraded:
    """A conductor at each of :data:`OHMS` too much, and where a relay has ``dropped`` out by that."""

    points: Points
    dropped: list[bool]


class _Supply:
    """The states of the cards on the supply, under failures."""

    def __init__(self, facts: Facts):
        self.facts = facts
        self.rest = rest_positions(facts.as_written)
        self.benches = {bench.battery: bench for bench in benches_of(facts.as_written)}

    def fitting(
        self, card: PowerCard, steps: Sequence[MeasuredStep]
    ) -> Iterator[tuple[str, Failure, MeasuredStep]]:
        """Each single failure under which a step reads what was measured."""
        bench, answer = self._state(card, steps[0])
        failures = (*answer.failures, *stuck_relays(bench.design))
        solved = solved_on_bench(bench, answer, failures)
        if solved is None:
            return
        for step in steps:
            assert step.limits is not None and step.value is not None
            read = self._read(bench, solved, step)
            for i, failure in enumerate(failures):
                if _fits(step, read[i]):
                    yield f"{bare(failure.element)} {failure.words(bench.network)}", failure, step

    def raised(
        self, card: PowerCard, steps: Sequence[MeasuredStep], beside: Sequence[MeasuredStep]
    ) -> Iterator[tuple[str, MeasuredStep, list[MeasuredStep]]]:
        """The conductors of which a raised resistance, as of a loose joint, explains a voltage that is too
        low, with the steps ``beside`` on the card, within limits, that speak against it."""
        for step in steps:
            assert step.power is not None and step.limits is not None and step.value is not None
            if step.power[1].act not in (Act.VOLTS, Act.LOAD) or not 0.0 < step.value < step.limits.low:
                continue
            bench, answer = self._state(card, step)
            found: dict[tuple[int, int], tuple[list[str], _Degraded]] = {}
            for name in (n for n in step.power[1].suspects if n in self.facts.design.wires):
                points = self._degraded(bench, answer, Failure(f"wires/{name}", DEGRADED, ohms=OHMS[0]))
                each = pairwise(self._each(bench, points, step)) if points else ()
                at = [i for i, one in enumerate(each) if _between(step, *one)]
                if points and at:
                    key = at[0], at[-1] + 1
                    found.setdefault(key, ([], points))[0].append(name)
            for (first, last), (names, points) in found.items():
                between = range(first, last)
                said = f"{OHMS[first]:.2g} to {OHMS[last]:.2g} ohm too much in {', '.join(names)}"
                against = self._against(bench, points, beside, between)
                for other in (
                    s for s in steps if s is step or not self._against(bench, points, [s], between)
                ):
                    yield f"{said} or a joint or contact there", other, against

    def _against(
        self, bench: Bench, points: _Degraded, steps: Sequence[MeasuredStep], at: Sequence[int]
    ) -> list[MeasuredStep]:
        """Those of some steps that read otherwise at each of some resistances and the next."""
        read = {step: self._each(bench, points, step) for step in steps}
        return [o for o, seen in read.items() if not any(_between(o, *seen[i : i + 2]) for i in at)]

    def _degraded(self, bench: Bench, answer: StateAnswer, failure: Failure) -> _Degraded | None:
        """A conductor at each of :data:`OHMS` too much."""
        lanes = conduct(bench.network, answer.state, ((failure,),), answer.healthy)
        plain = scenario_of(bench.design, bench.network, answer.state, answer.healthy)
        scenario = replace(plain, conduction=lanes, case=(failure,))
        with suppress(NotAssessable):
            points = assessed(
                partial(degraded_points, bench.design, bench.network, scenario, OHMS, bench.wiring)
            )
            low = [at for coil, at in low_coils(bench, answer, points).items() if lanes.energised[coil]]
            return _Degraded(points, [any(at) for at in zip(*low, strict=True)] or [False] * len(OHMS))
        return None

    def _each(self, bench: Bench, at: _Degraded, step: MeasuredStep) -> list[Seen]:
        """What a step reads at each resistance, with the error of its meter; None where a relay drops out."""
        assert step.power is not None and step.limits is not None
        name, points = step.power[1].names[0], at.points
        if step.power[1].act is Act.SUPPLY_AMPERES:
            read = points.amps(bench.source)
        else:
            read = points.volts(name) if step.power[1].act is Act.VOLTS else points.across(f"parts/{name}")
        return [
            None if low else widened((v, v), step.limits, as_dead=False)
            for v, low in zip(read.tolist(), at.dropped, strict=True)
        ]

    def spoilt(
        self, card: PowerCard, steps: Sequence[MeasuredStep], tried: Sequence[tuple[str, Failure]]
    ) -> Iterator[tuple[str, MeasuredStep]]:
        """Which of some failures would put a step that is within limits out of them."""
        bench, answer = self._state(card, steps[0])
        known = {*answer.failures, *stuck_relays(bench.design)}
        own = [(name, failure) for name, failure in tried if failure in known]
        solved = solved_on_bench(bench, answer, [failure for _, failure in own]) if own else None
        if solved is None:
            return
        for step in steps:
            read = self._read(bench, solved, step)
            for i, (name, _) in enumerate(own):
                if step.value is not None and fits(step.value, read[i]) is False:
                    yield name, step

    def _state(self, card: PowerCard, step: MeasuredStep) -> tuple[Bench, StateAnswer]:
        assert card.supply is not None and step.power is not None
        design, bench = self.facts.as_written, self.benches[card.supply[0]]
        switches = {**self.rest, **dict(card.switches)}
        if card.lifted:
            bench = Bench(design, bench.battery, bench.below, tuple(wire for wire, _ in card.lifted))
        moved = dict(step.power[1].moved)
        return bench, card_state(design, bench, "card", switches, card.fitted, moved)

    def _read(self, bench: Bench, solved: SolvedCases, step: MeasuredStep) -> list[Seen]:
        """What a step reads under each failure, with the error of its meter."""
        assert step.power is not None and step.limits is not None
        read = read_on_bench(bench, solved, step.power[1])
        return [widened(seen, step.limits, as_dead=False) for seen in read]


def _between(step: MeasuredStep, one: Seen, other: Seen) -> bool:
    """Whether a reading may be that of a resistance between two, at which ``one`` and ``other`` are read."""
    if step.value is None or one is None or other is None:
        return False
    return bool(fits(step.value, (min(one[0], other[0]), max(one[1], other[1]))))


def _fits(step: MeasuredStep, seen: Seen) -> bool:
    """Whether a reading may be that of a failure."""
    return step.value is not None and bool(fits(step.value, seen))
