"""Where two batteries are joined, what the review proposes leaves each of them its work."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.source_joints import kept_apart, with_diode
from reviewer.rulebook.trial_judging import _cuts_off_a_main_battery

#: a reserve on the bus by a fuse and no diode, with an ignition that a switch moves to it
DRAWING = """
format: 1
aircraft: {name: Reserve without a diode, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery: {kind: battery}
  aux: {kind: battery}
  alternator: {kind: alternator}
  contactor: {kind: contactor, coil: [line, coil], contacts: {main: {kind: make, joins: [line, load]}}}
  master: {kind: switch, positions: {down: [], up: [[coil, ground]]}, normal: up}
  alternator-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  start: {kind: switch, momentary: [pressed], positions: {released: [], pressed: [[line, load]]}}
  starter: {kind: load, type: starter, current: 150 A}
  feed: {kind: switch, positions: {bus: [[common, bus]], reserve: [[common, reserve]]}, normal: bus}
  bus: {kind: bus}
  stud: {kind: stud}
  ground: {kind: ground-block}
circuits:
  b1: "battery.positive > contactor.line"
  b2: "contactor.load > bus"
  b3: "contactor.coil > master.coil"
  b4: "master.ground > ground"
  b5: "battery.negative > ground"
  a1: "alternator.output > fuse 70 A > bus"
  a2: "alternator.ground > ground"
  a3: "bus + breaker 5 A > alternator-switch.line"
  a4: "alternator-switch.load > alternator.field"
  s1: "bus > start.line"
  s2: "start.load > starter.supply"
  s3: "starter.return > ground"
  r1: "bus > fuse 10 A > aux.positive"
  r2: "aux.negative > ground"
  r3: "aux.positive > fuse 7.5 A > feed.reserve"
  i1: "bus + breaker 5 A > feed.bus"
  i2: "feed.common > box (2 A) > ground"
  v1: "bus + breaker 5 A > radio (2 A) > ground"
functions:
  ignition: {any: 1, of: [box], loss: catastrophic}
"""


def drawn(*changes: tuple[str, str]) -> Facts:
    text = DRAWING
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return Facts(read_text(text, "x"))


@pytest.mark.parametrize(
    ("changes", "tried"),
    [
        ((), True),
        # nothing else could feed what the reserve feeds: it is on the bus as the other battery is
        ((("aux.positive > fuse 7.5 A > feed.reserve", "bus > fuse 7.5 A > feed.reserve"),), False),
        # it has a charger of its own, and needs no lead by which the other alternator charges it
        ((("  i2:", '  a5: "second.output > fuse 20 A > aux.positive"\n  a6: "second.ground > ground"\n  i2:'),
          ("  alternator-switch:", "  second: {kind: alternator, excitation: self}\n  alternator-switch:")), False),
    ],
)  # fmt: skip
def test_a_reserve_with_loads_of_its_own_is_charged_on_by_a_diode_in_the_tie(
    changes: tuple[tuple[str, str], ...], tried: bool
) -> None:
    """A switch may bring its load to the bus or to the reserve, and is no way to charge it."""
    facts = drawn(*changes)
    (feed,) = (f for f in facts.paths.reverse_feeds if f.state == "normal" and f.source == "parts/aux")
    ways = kept_apart(feed.path, feed.path, "normal", facts)
    charged = [
        w
        for w in ways
        if facts.sources.charged.keys() <= Facts(w.made_in(facts.design)).sources.charged.keys()
    ]
    first = [change_words(way, facts.design) for way in charged][:1]
    assert (first == ["Put a diode into r1-1, cathode to r1-fuse.line."]) is tried


@pytest.mark.parametrize(
    ("wire", "end", "cut"),
    [
        ("b2-1", "contactor.load", True),  # it neither turns the starter nor feeds a load
        ("b2-1", "bus.b2", False),
        ("r1-2", "aux.positive", False),  # the reserve is charged on
        ("s2-1", "start.load", True),
    ],
)
def test_a_trial_that_cuts_the_starting_battery_off_is_no_repair(wire: str, end: str, cut: bool) -> None:
    facts = drawn()
    ends = facts.design.wires[wire]
    change = with_diode(facts.design, wire, ends.to if end == ends.from_ else ends.from_, end)
    assert _cuts_off_a_main_battery(facts, Facts(change.made_in(facts.design))) is cut


def test_a_starting_battery_that_feeds_nothing_but_the_starter_is_cut_off() -> None:
    facts = drawn(
        ('s1: "bus', 's1: "contactor.load'), ("contactor.load > bus", "contactor.load > stud > bus")
    )
    lead = facts.design.wires["b2-2"]
    change = with_diode(facts.design, "b2-2", lead.to, lead.from_)
    assert _cuts_off_a_main_battery(facts, Facts(change.made_in(facts.design)))
