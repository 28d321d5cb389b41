"""What the monitors of generated drawings read on the cards is what `solve` answers with each cause: amperes of every shunt and
volts of every bus."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.conduction.failure_modes import SHORT, STAYS, STUCK_ON, Failure, mode_key
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.meter_ranges import BLANK
from reviewer.questions.solve import solved_of
from reviewer.questions.state_signs import Look
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import realistic
from tests.thinned import some_of

#: (parts, seed), the first one in the short run
EACH = [*((60, seed) for seed in range(1, 10)), *((90, seed) for seed in (1, 2, 3))]
DRAWN = some_of(EACH, [(60, 1), (60, 7), (90, 2)])
#: causes of one card that are solved at most
MOST_CAUSES = 8


def with_monitors(parts: int, seed: int) -> Facts:
    """A drawing with an ammeter at each shunt and a voltmeter at each bus."""
    figures = dress(seed, 0.0)

    def add(data: dict[str, Any]) -> None:
        figures(data)
        monitors = data.setdefault("watch", {}).setdefault("monitors", {})
        for name, part in data["parts"].items():
            if part["kind"] == "shunt":
                monitors[f"{name}-amperes"] = {"shows": "current", "senses": name}
            if part["kind"] == "bus":
                monitors[f"{name}-volts"] = {"shows": "voltage", "senses": f"{name}.volts"}

    return Facts(realistic(parts, seed, add))


def typed(facts: Facts, failure: Failure) -> str:
    """A failure as the command line has it."""
    place = failure.position if failure.mode in (STAYS, STUCK_ON) else ""
    if failure.mode == SHORT and len(failure.nodes) == 1:
        place = facts.network.names[failure.nodes[0]].partition(".")[2]
    mode = mode_key(facts.network, failure.element, failure.mode)
    return f"{bare(failure.element)}={mode}{'@' if place else ''}{place}"


@pytest.mark.parametrize(
    ("parts", "seed"),
    [pytest.param(*one, marks=pytest.mark.long if one != DRAWN[0] else ()) for one in DRAWN],
)
def test_each_cause_of_a_card_has_the_readings_that_solve_answers(parts: int, seed: int) -> None:
    facts = with_monitors(parts, seed)
    assert facts.design.of_kind(p.Shunt)
    shooting, seen, missed = TroubleShooting(facts), {"current": 0, "voltage": 0}, []
    signs, state = shooting.signs, shooting.answer.state.name
    late = facts.states.late_failures(state)
    lane_of = {failures_of(case)[0]: i for i, case in reversed(list(enumerate(signs.cases[:-1])))}
    for card in checklists(shooting).cards:
        said = {sign.name: read for sign, read in ((card.sign, card.seen), *card.also)}
        # of several ways to clear a short `solve` answers with the worst: those have cases of their own
        alone = [one for one in card.outcomes if one not in late and not (one.opened or one.passes)]
        for failure in alone[:MOST_CAUSES]:
            if signs.solved.unsettled >> lane_of[failure] & 1:
                continue
            (first, *_) = solved_of(facts, state, [typed(facts, failure)]).phases
            assert first.point is not None
            for sign in (s for s in signs.signs if s.look is Look.MONITOR):
                reading = first.point.readings[sign.name]
                for read in (signs.seen(sign)[lane_of[failure]], said.get(sign.name)):
                    if read is None or read == (BLANK, BLANK) or reading.value is None:
                        continue
                    seen[reading.shows] += 1
                    if not read[0] - 1e-6 <= reading.value <= read[1] + 1e-6:
                        missed.append((typed(facts, failure), sign.name, reading.value, read))
    assert missed == []
    assert min(seen.values()) >= 20
