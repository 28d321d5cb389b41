"""What is one cause: nothing outside an unbroken run tells where in it a failure is; a branch does."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from math import isclose
from pathlib import Path

import pytest
import yaml

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.network.graph import bare
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.failure_causes import FailureCause, causes_of
from reviewer.questions.meter_ranges import Seen, SolvedCases
from reviewer.questions.naming import NoAnswer
from reviewer.questions.state_signs import Sign, StateSigns
from reviewer.reading import read_design, read_text
from reviewer.reports.diagnosis.words import cause_words
from tests.thinned import some_of

ROOT = Path(__file__).parent.parent
EXAMPLES, AIRCRAFT = ROOT / "examples", ROOT / "tests" / "aircraft"

DESIGN = """\
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery, purpose: main}
  block: {kind: ground-block}
  bus: {kind: bus}
  breaker: {kind: breaker, rating: 5 A}
  switch: {kind: switch, positions: {up: [[line, load]], down: []}}
  radio: {kind: load}
  fuse: {kind: fuse, rating: 2 A}
  lamp: {kind: load}
wires:
  W1: {from: battery.positive, to: bus.feed}
  W2: {from: bus.radio, to: breaker.line}
  W3: {from: breaker.load, to: switch.line}
  W4: {from: switch.load, to: radio.supply}
  W5: {from: radio.return, to: block.radio}
  W6: {from: block.battery, to: battery.negative}
  W7: {from: bus.lamp, to: fuse.line}
  W8: {from: fuse.load, to: lamp.supply}
  W9: {from: lamp.return, to: block.lamp}
functions:
  communication: {loss: minor, any: 1, of: [radio]}
operation:
  normal: cruise
  states:
    cruise: {engine: stopped, switches: {switch: up}}
    off: {engine: stopped, switches: {switch: down}}
"""

WHOLE = "open between bus and radio.supply (W2, breaker, W3, switch open or stays at down, W4)"
LINE = "shorted to ground between breaker.load and switch.line (breaker.load, W3, switch.line)"


def every_cause(facts: Facts) -> tuple[FailureCause, ...]:
    """The causes of all single failures of the normal state, as though they looked alike."""
    signs = TroubleShooting(facts).signs
    return causes_of(signs, range(len(signs.cases) - 1))


def said(edit: dict[str, dict[str, object]]) -> set[str]:
    data = yaml.safe_load(DESIGN)
    for section, entries in edit.items():
        data.setdefault(section, {}).update(entries)
    return {cause_words(cause) for cause in every_cause(Facts(read_text(yaml.safe_dump(data), "bench.yaml")))}


def test_a_break_and_a_short_are_one_cause_along_a_run() -> None:
    found = said({})
    assert {
        *(WHOLE, LINE, "bus open or shorted to ground"),
        "radio open or shorted to ground at radio.supply",
    } <= found
    assert "shorted to ground between switch.load and radio.supply (switch.load, W4)" in found
    assert "W5 open" in found  # what leads to a unit, the unit and its return are three repairs
    assert not any(cause.startswith(("W3 ", "breaker ", "switch ")) for cause in found)


def test_a_run_between_two_sources_is_written_from_the_end_that_is_a_source() -> None:
    """Both its ends are fed without it: from the battery at the one, not from the bus at the other."""
    parts = {
        "reserve": {"kind": "battery", "purpose": "reserve"},
        "tie-breaker": {"kind": "breaker", "rating": "5 A"},
        "tie-switch": {"kind": "switch", "positions": {"up": [["line", "load"]], "down": []}},
    }
    ends = {
        "W10": "reserve.positive tie-breaker.line",
        "W11": "tie-breaker.load tie-switch.line",
        "W12": "tie-switch.load bus.tie",
        "W13": "reserve.negative block.reserve",
    }
    wires = {name: dict(zip(("from", "to"), both.split(), strict=True)) for name, both in ends.items()}
    closed = {"cruise": {"engine": "stopped", "switches": {"switch": "up", "tie-switch": "up"}}}
    found = said({"parts": parts, "wires": wires, "operation": {"states": closed}})
    run = "W10, tie-breaker, W11, tie-switch open or stays at down, W12"
    assert f"open between reserve.positive and bus ({run})" in found, found


def test_a_branch_in_the_run_parts_it() -> None:
    """A lamp that is fed from the load side of the breaker goes dark with what is ahead of it."""
    found = said({"wires": {"W7": {"from": "breaker.load", "to": "fuse.line"}}})
    assert WHOLE not in found and LINE not in found
    assert "open between battery.positive and breaker.load (W1, bus, W2, breaker)" in found
    assert "open between breaker.load and radio.supply (W3, switch open or stays at down, W4)" in found


def test_a_terminal_that_a_monitor_reads_parts_the_run() -> None:
    parts = {"display": {"kind": "instrument", "inputs": {"volts": {"signal": "volts-in"}}}}
    wires = {
        "W10": {"from": "bus.display", "to": "display.supply"},
        "W11": {"from": "display.return", "to": "block.display"},
    }
    reads = {"radio-volts": {"shows": "voltage", "senses": "switch.load", "displayed-on": "display"}}
    found = said({"parts": parts, "wires": wires, "watch": {"monitors": reads}})
    assert WHOLE not in found and LINE in found and "W4 open" in found


def test_a_switch_of_two_poles_and_a_plug_of_two_wires_are_in_no_run() -> None:
    poles = {
        "kind": "switch",
        "positions": {"up": [["line", "load"], ["lamp-line", "lamp-load"]], "down": []},
    }
    wires = {
        "W8": {"from": "fuse.load", "to": "switch.lamp-line"},
        "W10": {"from": "switch.lamp-load", "to": "lamp.supply"},
    }
    found = said({"parts": {"switch": poles}, "wires": wires})
    assert "switch open or stays at down" in found
    assert "open between bus and radio.supply (W2, breaker, W3, W4)" in found


def all_seen(signs: StateSigns) -> dict[object, Sequence[Seen]]:
    """What is seen under each case: all that the crew sees, and the volts of every terminal that is fed."""
    found: dict[object, Sequence[Seen]] = {sign: signs.seen(sign) for sign in signs.signs}
    with suppress(NotAssessable):
        points = signs.facts.points.failed_points_in(signs.answer, signs.cases, signs.solved)
        solved = SolvedCases(points, len(signs.cases))
        for node, terminal in enumerate(signs.facts.network.names):
            live = signs.solved.live(node)  # what no source feeds floats and has no reading of its own
            volts = enumerate(solved.volts(terminal))
            found[terminal] = [one if live >> i & 1 else None for i, one in volts]
    return found


def within(cause: FailureCause, signs: StateSigns) -> set[str]:
    """The terminals inside a run, and the parts in it."""
    run = signs.failure_runs.of(cause.cases[0][0])
    assert run is not None
    terminals = {signs.facts.network.names[n] for n in (*run[0].nodes[1:-1], *run[0].metal)}
    return terminals | {bare(f.element) for case in cause.cases for f in case}


def alike(seen: Sequence[Seen]) -> bool:
    first = seen[0]
    return all(
        one == first
        or (one and first and all(isclose(a, b, abs_tol=0.02) for a, b in zip(one, first, strict=True)))
        for one in seen
    )


@pytest.mark.parametrize(
    "path",
    [
        EXAMPLES / "sketch.design.yaml",
        *(
            pytest.param(path, marks=pytest.mark.long)
            for path in some_of(
                [EXAMPLES / "tourer.design.yaml", AIRCRAFT / "small-generator.design.yaml"],
                [AIRCRAFT / "small-generator.design.yaml"],
            )
        ),
    ],
    ids=lambda path: path.name.partition(".")[0],
)
def test_nothing_outside_a_run_tells_its_places_apart_in_any_state(path: Path) -> None:
    facts = Facts(read_design(path))
    compared = 0
    for answer in facts.states.answers():
        try:
            shooting = TroubleShooting(facts, answer.state.name)
        except NoAnswer:
            continue
        causes = [c for c in causes_of(shooting.signs, range(len(shooting.signs.cases) - 1)) if c.between]
        every = all_seen(shooting.signs)
        for cause in causes:
            inner = within(cause, shooting.signs)
            lanes = [shooting.signs.cases.index(case) for case in cause.cases]
            for what, by_lane in every.items():
                if (what.name if isinstance(what, Sign) else what) not in inner:
                    seen = [by_lane[i] for i in lanes]
                    assert alike(seen), (answer.state.name, what, cause_words(cause), seen)
                    compared += 1
    assert compared > 1000


def test_every_single_failure_is_a_place_of_one_cause() -> None:
    facts = Facts(read_design(EXAMPLES / "sketch.design.yaml"))
    signs = TroubleShooting(facts).signs
    tried = {(f.element, f.mode, f.nodes, f.position) for case in signs.cases for f in failures_of(case)}
    places = [case for cause in every_cause(facts) for case in cause.cases]
    assert len(places) == len(tried) and all(isinstance(case[0], Failure) for case in places)
