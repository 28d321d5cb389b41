"""The links inside parts, one kind after another."""

from __future__ import annotations

import pytest

from reviewer.model.parts import Part
from reviewer.network.graph import Gate
from reviewer.network.part_links import NamedPart, place_of
from reviewer.reading import read_text

TEXT = """
format: 1
aircraft: {{name: Bench, nominal: 14 V, airframe: metal, stage: detailed}}
parts:
  it: {part}
  block: {{kind: ground-block}}
  machine: {{kind: alternator}}
wires: {{N: {{from: block.one, to: block.two}}}}
"""


def links(part: str) -> list[tuple[str, str, Gate, bool, frozenset[str]]]:
    """The links of a part as (terminal, terminal, gate, one way only, positions)."""
    made: Part = read_text(TEXT.format(part=part), "bench.yaml").parts["it"]
    names: list[str] = []

    def node(name: str) -> int:
        if name not in names:
            names.append(name)
        return names.index(name)

    found = place_of(made).links(NamedPart("it", made, node))
    return [(names[k.a], names[k.b], k.gate, k.oneway, k.positions) for k in found]


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        ("{kind: fuse}", [("it.line", "it.load", Gate.PROTECTOR, False, frozenset())]),
        ("{kind: breaker-switch}", [("it.line", "it.load", Gate.PROTECTOR, False, frozenset({"closed"}))]),
        ("{kind: diode}", [("it.anode", "it.cathode", Gate.ALWAYS, True, frozenset())]),
        ("{kind: bus}", []),
        (
            "{kind: switch, positions: {a: [[x, y]], b: [[y, x], [y, z]]}}",
            [
                ("it.x", "it.y", Gate.SWITCH, False, frozenset({"a", "b"})),
                ("it.y", "it.z", Gate.SWITCH, False, frozenset({"b"})),
            ],
        ),
        ("{kind: load, returns: [r1, r2]}", [("it.r1", "it.r2", Gate.ALWAYS, False, frozenset())]),
        (
            "{kind: instrument, inputs: {i: {signal: s, return: g}}, signal-returns: joined}",
            [("it.g", "it.return", Gate.ALWAYS, False, frozenset())],
        ),
        ("{kind: instrument, inputs: {i: {signal: s, return: g}}, signal-returns: isolated}", []),
        (
            "{kind: instrument, inputs: {i: {signal: s, return: g}, j: {signal: g}}, signal-returns: joined}",
            [],
        ),
        (
            "{kind: regulator, regulates: machine, mounted-on: block.one}",
            [
                ("it.supply", "it.field", Gate.ALWAYS, False, frozenset()),
                ("it.ground", "block.one", Gate.ALWAYS, False, frozenset()),
            ],
        ),
        (
            "{kind: sensor, mounted-on: block.one}",
            [("it.return", "block.one", Gate.ALWAYS, False, frozenset())],
        ),
    ],
)
def test_the_links_inside_a_part(part: str, expected: list[tuple]) -> None:
    assert links(part) == expected


def test_a_break_contact_is_closed_when_the_coil_is_not_energised() -> None:
    contacts = "{main: {kind: break, joins: [line, load]}, on: {kind: make, joins: [line, other]}}"
    gates = {
        (a, b): gate
        for a, b, gate, _, _ in links(f"{{kind: relay, coil: [plus, minus], contacts: {contacts}}}")
    }
    assert gates == {("it.line", "it.load"): Gate.DE_ENERGISED, ("it.line", "it.other"): Gate.ENERGISED}
