"""What is proposed for an alternator that gives no current."""

from __future__ import annotations

import pytest

from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.rewirings import excited
from tests.test_sources_apart import drawn

#: a regulator that is a part of its own between the switch and the field
APART = (
    ("  alternator-switch:", "  regulator: {kind: regulator, regulates: alternator, senses: supply}\n  alternator-switch:"),
    ("alternator-switch.load > alternator.field", "alternator-switch.load > regulator.supply"),
    ("  s1:", '  a5: "regulator.field > alternator.field"\n  a6: "regulator.ground > ground"\n  s1:'),
)  # fmt: skip


@pytest.mark.parametrize(
    ("left_out", "proposed"),
    [
        (('  a6: "regulator.ground > ground"\n', ""), "Add a wire from regulator.ground to ground.a2."),
        (('  a2: "alternator.ground > ground"\n', ""), "Add a wire from alternator.ground to ground.a6."),
        (('  a3: "bus + breaker 5 A > alternator-switch.line"\n', ""), "alternator.output to "),
    ],
)
def test_the_lead_that_is_left_out_is_proposed(left_out: tuple[str, str], proposed: str) -> None:
    """A ground that is there is not proposed a second time; what feeds the field comes after grounds."""
    facts = drawn(*APART, left_out)
    answer = facts.states.answer("normal")
    (source,) = (s for s in facts.network.sources if s.kind == "alternator")
    assert not answer.healthy.alive[source.element]
    first = next(excited(source, "normal", facts))
    assert proposed in change_words(first, facts.design)
