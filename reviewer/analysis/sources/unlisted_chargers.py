"""Chargers on the mains or the sun that no state lists: each is tried at work in a declared state, the
quietest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.sources.alternators import Charge, charges
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare


@record
class UnlistedCharge:
    """What a charger that no state lists charges once it works in the state ``base``; ``answer`` is that,
    by a name of its own."""

    base: str
    charge: Charge
    answer: StateAnswer


def unlisted_charges(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> Iterator[UnlistedCharge]:
    """Of each such charger the batteries that it charges, each in one state in which it does: with no other
    charger and the fewest loads, as far as there is one. Not with an alternator, which holds the volts."""

    def noise(answer: StateAnswer) -> tuple[bool, int]:
        return bool(answer.state.chargers), sum(1 for mask in answer.healthy.powered.values() if mask)

    listed = {name for answer in answers for name in answer.state.chargers}
    idle = [s.element for s in network.sources if s.listed and bare(s.element) not in listed]
    machines = [s.element for s in network.sources if s.kind == "alternator"]
    alone = [a for a in answers if not any(a.healthy.alive[e] for e in machines)]
    quiet = sorted(alone, key=noise)
    for element in idle:
        name, done = bare(element), set()
        states = [
            replace(a.state, name=f"{a.state.name} with {name} charging", chargers=(*a.state.chargers, name))
            for a in quiet
        ]
        solved = conduct_states(network, states)
        for i, (own, state) in enumerate(zip(quiet, states, strict=True)):
            answer = StateAnswer(design, network, state, solved.lane(i))
            for charge in charges(network, answer, element):
                if charge.battery not in done:
                    done.add(charge.battery)
                    yield UnlistedCharge(own.state.name, charge, answer)
