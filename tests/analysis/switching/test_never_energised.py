"""What nothing energises, against every setting of the switches solved by the plain evaluator."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from types import MappingProxyType

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import solve
from tests.rule_cases import design, facts, text

RULE = "loads-and-coils-are-energised-in-some-state"


def settings(made: Facts) -> Iterator[ResolvedState]:
    """Every legal or illegal setting, the engine running and stopped, external power on and off."""
    base = replace(made.states.answers()[0].state, pulled=())
    choices = {s: list(made.design.parts[s].positions) for s in made.design.of_kind(p.Switch)}
    for engine, outside, *at in product(("running", "stopped"), (True, False), *choices.values()):
        switches = MappingProxyType(dict(zip(choices, at, strict=True)))
        yield replace(base, engine=engine, external_power=outside, switches=switches)


@pytest.mark.parametrize(
    "case",
    [
        "met",
        "unmet",
        "the relay holds itself, and a button that springs back picks it up",
        "a contactor of a battery with its coil on the bus that it feeds",
        "that contactor waits for a relay whose coil is on the load side of its own contact",
        "the ground of one of them is left out",
    ],
)
def test_what_is_never_energised_is_off_in_every_setting_of_the_plain_evaluator(case: str) -> None:
    made = facts(text(design(RULE, case)))
    circuit, seen = circuit_of(made.design), set[str]()
    for state in settings(made):
        answer = solve(circuit, state)
        seen |= {e for on in (answer.powered, answer.energised) for e, yes in on.items() if yes}
    users = {u.element for u in (*circuit.consumers, *circuit.coils)}
    assert set(made.switches.never_energised.dead) == users - seen
