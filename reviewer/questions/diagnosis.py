"""Trouble-shooting: from what is seen in a state to the failures that explain it.

How judged: every single failure of the state is solved, a short as the nearest protection clears it
and as one further upstream may. A failure explains a symptom that is not normal where it would be
seen so, meter errors and the charge of the batteries allowed for. Failures that explain the same
symptoms, and would show the same in all else that the crew can see, are one group. Those that
explain most come first; of these, those that would show the least that was not reported. Where no
single failure explains all, it is tried together with each latent one, and one raised resistance is looked
for that does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.failure_causes import FailureCause, causes_of
from reviewer.questions.meter_ranges import Seen, fits, moved_by
from reviewer.questions.naming import NoAnswer, state_named
from reviewer.questions.next_looks import NextLook, next_looks
from reviewer.questions.raised_resistances import RaisedResistance, raised_resistances
from reviewer.questions.state_signs import Look, Sign, StateSigns
from reviewer.questions.symptoms import Reported, Symptom, symptoms_of

#: pairs that are solved; of more the answer says so
MOST_PAIRS = 2000


@record
class CauseGroup:
    """Causes that nothing the crew sees tells apart.

    ``explains`` and ``against`` are symptoms that it would show and would not show; ``shows`` are
    signs that were not reported and would not be normal, each with what is seen.
    """

    causes: tuple[FailureCause, ...]
    explains: tuple[Symptom, ...]
    against: tuple[Symptom, ...]
    shows: tuple[tuple[Sign, Seen], ...]


@record
class SignPattern:
    """What the crew sees without a tool that a sound system does not show, and the causes that show just
    that."""

    shows: tuple[tuple[Sign, Seen], ...]
    causes: tuple[FailureCause, ...]


@record
class Diagnosis:
    """``normal`` are symptoms that a sound system shows too; ``unjudged`` has those of which nothing
    is known, with what the file lacks. ``pairs`` says that the groups are of pairs, ``untried`` how
    many pairs were not solved. ``next_looks`` split the places of the first groups best. ``raised`` are
    raised resistances that explain all, tried where no single failure does. ``dead_behind`` are wires by open
    circuit protection that protects them too, and that nothing energises in the state."""

    state: str
    switches: tuple[tuple[str, str], ...]
    symptoms: tuple[Symptom, ...]
    normal: tuple[Symptom, ...]
    unjudged: tuple[tuple[Symptom, str], ...]
    groups: tuple[CauseGroup, ...]
    pairs: bool
    untried: int
    next_looks: tuple[NextLook, ...]
    raised: tuple[RaisedResistance, ...] = ()
    dead_behind: tuple[tuple[str, tuple[str, ...]], ...] = ()


def diagnosis_of(facts: Facts, state: str | None, reported: Reported) -> Diagnosis:
    """What explains what is seen in a state. Raises NoAnswer."""
    return TroubleShooting(facts, state).diagnosis(reported)


class TroubleShooting:
    """A state with all its failures solved, which serves any number of reports. Raises NoAnswer."""

    def __init__(self, facts: Facts, state: str | None = None):
        self.facts, self.answer = facts, state_named(facts, state)
        self.signs = StateSigns(facts, self.answer, _cases(facts, self.answer))

    @cached_property
    def patterns(self) -> Mapping[tuple[int, ...], Sequence[int]]:
        """See :func:`lanes_by_pattern`."""
        return lanes_by_pattern(self.signs)

    def diagnosis(self, reported: Reported, ahead: bool = True) -> Diagnosis:
        """What explains a report, with what to look at next if ``ahead``. Raises NoAnswer."""
        facts, answer, signs = self.facts, self.answer, self.signs
        symptoms = symptoms_of(facts, signs, reported)
        unjudged = tuple((s, signs.missing(s.sign)) for s in symptoms if signs.seen(s.sign)[-1] is None)
        judged = [s for s in symptoms if signs.seen(s.sign)[-1] is not None]
        normal = tuple(s for s in judged if fits(s.value, signs.seen(s.sign)[-1]))
        if not judged:
            raise NoAnswer(f"No symptom can be judged. Missing data: {unjudged[0][1]}.")
        groups, pairs, untried = _groups(signs, judged, normal), False, 0
        raised: tuple[RaisedResistance, ...] = ()
        if len(normal) < len(judged) and not (groups and not groups[0].against):
            raised = raised_resistances(signs, judged, [s for s in judged if s not in normal])
            paired, untried = _paired(facts, signs, judged)
            found = _groups(StateSigns(facts, answer, paired), judged, normal) if paired else ()
            # a latent failure that adds nothing is no explanation
            least = len(groups[0].against) if groups else len(judged)
            better = tuple(g for g in found if len(g.against) < least)
            groups, pairs = (*better, *groups), bool(better)
        first = tuple(case for g in _best(groups) for c in g.causes for case in c.cases)
        asked = {s.sign for s in symptoms}
        looks = next_looks(facts, answer, first, asked) if ahead and len(first) > 1 else ()
        return Diagnosis(
            answer.state.name, answer.switches, symptoms, normal, unjudged, groups, pairs, untried, looks,
            raised, tuple(self._dead_behind(judged)),
        )  # fmt: skip

    def _dead_behind(self, symptoms: Sequence[Symptom]) -> Iterator[tuple[str, tuple[str, ...]]]:
        """Each protection that is open, with the wires that it protects once some switch energises them:
        a short there opens it then, and is no failure of the state."""
        network, live = self.facts.network, self.answer.healthy.live
        for name in (s.sign.name for s in symptoms if s.sign.look is Look.PROTECTION and s.value > 0):
            wires = tuple(
                bare(wire)
                for (wire, end), sources in self.facts.protection.end_sources.items()
                if name in sources.protectors and not live(network.node(end))
            )
            if wires:
                yield name, tuple(dict.fromkeys(wires))


def sign_patterns(shooting: TroubleShooting) -> tuple[SignPattern, ...]:
    """Every pattern of signs that single failures of a state show, the one with the fewest signs
    first."""
    signs = shooting.signs
    patterns = [
        SignPattern(
            tuple((s, signs.seen(s)[lanes[0]]) for s, by in zip(signs.signs, shown, strict=True) if by),
            causes_of(signs, lanes),
        )
        for shown, lanes in shooting.patterns.items()
    ]
    return tuple(sorted(patterns, key=lambda pattern: len(pattern.shows)))


def lanes_by_pattern(signs: StateSigns) -> dict[tuple[int, ...], list[int]]:
    """The cases, by number, that show the same: for each sign -2, -1, 0 or 1 (:func:`moved_by`). A case
    that shows nothing is left out."""
    moved = [moved_by(signs.seen(sign)) for sign in signs.signs]
    found: dict[tuple[int, ...], list[int]] = {}
    for lane, shown in enumerate(zip(*moved, strict=True)):
        if any(shown):  # of the last lane, that of a sound system, nothing has moved
            found.setdefault(shown, []).append(lane)
    return found


def _cases(facts: Facts, answer: StateAnswer) -> tuple[tuple[Failure, ...], ...]:
    """Every single failure, each short with its other outcomes behind it."""
    late = facts.states.late_failures(answer.state.name)
    every = (*answer.failures, *answer.stuck_contacts)
    return tuple((f,) for failure in every for f in (failure, *late.get(failure, ())))


def _best(groups: Sequence[CauseGroup]) -> tuple[CauseGroup, ...]:
    """The groups that explain as much as the first."""
    return tuple(g for g in groups if len(g.against) == len(groups[0].against))


def _groups(
    signs: StateSigns, symptoms: Sequence[Symptom], normal: Sequence[Symptom]
) -> tuple[CauseGroup, ...]:
    """The causes in groups, the best first."""
    found: dict[tuple[tuple[bool | None, ...], tuple[int, ...]], list[int]] = {}
    reported = {s.sign for s in symptoms}
    others = [sign for sign in signs.signs if sign not in reported]
    match = [[fits(s.value, seen) for seen in signs.seen(s.sign)] for s in symptoms]
    strange = [i for i, s in enumerate(symptoms) if s not in normal]
    moved = [moved_by(signs.seen(sign)) for sign in others]
    for lane in range(len(signs.cases) - 1):
        own = tuple(row[lane] for row in match)
        if any(own[i] for i in strange):
            found.setdefault((own, tuple(row[lane] for row in moved)), []).append(lane)

    def rank(entry: tuple[tuple[tuple[bool | None, ...], tuple[int, ...]], list[int]]) -> tuple[int, ...]:
        (own, shown), lanes = entry
        explained = sum(own[i] is True for i in strange)
        return sum(v is False for v in own), -explained, sum(map(bool, shown)), lanes[0]

    return tuple(
        CauseGroup(
            causes=causes_of(signs, lanes),
            explains=tuple(symptoms[i] for i in strange if own[i]),
            against=tuple(s for s, v in zip(symptoms, own, strict=True) if v is False),
            shows=tuple(
                (sign, signs.seen(sign)[lanes[0]]) for sign, by in zip(others, shown, strict=True) if by
            ),
        )
        for (own, shown), lanes in sorted(found.items(), key=rank)
    )


def _paired(facts: Facts, signs: StateSigns, symptoms: Sequence[Symptom]) -> tuple[tuple[Case, ...], int]:
    """Each single failure with each latent one, and how many of them are left out.

    Those come first of which the two alone explain the most symptoms between them.
    """
    try:
        latent = facts.detection.latent
    except NotAssessable:
        return (), 0
    match = [[fits(s.value, seen) for seen in signs.seen(s.sign)] for s in symptoms]
    by_case = {
        failures_of(case): sum(1 << k for k, row in enumerate(match) if row[i])
        for i, case in enumerate(signs.cases)
    }
    sound = by_case[()]
    every = len(symptoms)
    ranked: list[tuple[int, int, tuple[Failure, ...]]] = []
    for hidden in latent:
        other = by_case.get((hidden,), sound)
        for case, own in by_case.items():
            if case and case[0].element != hidden.element:
                missed = every - ((own | other).bit_count())
                ranked.append((missed, len(ranked), (*case, hidden)))
    ranked.sort(key=lambda one: one[:2])
    return tuple(case for _, _, case in ranked[:MOST_PAIRS]), max(0, len(ranked) - MOST_PAIRS)
