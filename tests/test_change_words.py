"""What a trial changes, in words that agree with the wiring that was tried."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.source_joints import charged_apart

#: two batteries on one bus with an alternator
DRAWING = """
format: 1
aircraft: {name: Side by side, nominal: 14 V, airframe: metal, stage: concept}
parts:
  one: {kind: battery}
  two: {kind: battery}
  alternator: {kind: alternator}
  bus: {kind: bus}
  ground: {kind: ground-block}
wires:
  A1: {from: one.positive, to: bus.a1}
  A2: {from: one.negative, to: ground.a2}
  B1: {from: bus.b1, to: two.positive}
  B2: {from: two.negative, to: ground.b2}
  C1: {from: alternator.output, to: bus.c1}
  C2: {from: alternator.ground, to: ground.c2}
  C3: {from: bus.c3, to: alternator.field}
operation: {normal: cruise, states: {cruise: {engine: running}}}
"""


def test_a_diode_is_named_with_the_end_at_its_cathode() -> None:
    facts = Facts(read_text(DRAWING, "x"))
    (changes,) = charged_apart("parts/one", facts).values()
    said = set()
    for change in changes:
        (diode,) = change.parts
        (lead,) = (wire for name, wire in change.wires.items() if name not in facts.design.wires)
        (cathode,) = {lead.from_, lead.to} - {f"{diode}.cathode"}
        said.add(words := change_words(change, facts.design))
        assert words.endswith(f"cathode to {cathode}.")
    assert said == {"Put a diode into B1, cathode to two.positive."}
