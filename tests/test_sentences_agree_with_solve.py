"""Volts and amperes that a finding names are those of `solve` in the same state.

Every figure of a sentence must be found: among what the question behind `solve` answers for the state of the
finding, in one of its phases, while the starter turns or takes its peak, or with the batteries held at the volts
that the sentence names; as the difference between two places for a drop; or in the file, as a rating or limit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.answers import Flown
from reviewer.analysis.operating_point.points import Figures
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.naming import NoAnswer
from reviewer.questions.solve import OperatingPoint, solved_of
from tests.rule_cases import ROOT, assess, design, facts, parsed, text

FAULTED = ROOT / "examples" / "faulted-tourer.design.yaml"
NUMBER = re.compile(r"(-?\d+(?:\.\d+)?) (mA|mV|A|V)\b")
HELD = re.compile(r"with the battery at (\d+(?:\.\d+)?) V")
#: rules whose sentences name what is solved in a state as it is declared, or while its starter turns
STEADY = (
    "alternators-at-idle-carry-the-ground-phases",
    "ammeters-read-the-declared-current",
    "bars-shunts-and-sockets-are-within-their-current-rating",
    "circuit-protection-carries-its-normal-load",
    "connector-pins-are-within-their-current-rating",
    "wires-are-within-their-current-rating",
    "coil-voltage-is-within-limits",
    "loads-keep-their-minimum-voltage-while-cranking",
    "loads-receive-their-minimum-voltage",
)
#: more of them
FURTHER = (
    "alternators-carry-every-phase-with-margin",
    "alternators-that-share-the-load-both-give-current",
    "batteries-charge-at-their-specified-voltage",
    "cables-carry-the-starter-current",
    "loads-left-on-when-parked-are-indicated",
)
#: rules whose sentences name what is lost between two places
DROPS = ("continuous-voltage-drop-is-within-limits", "starter-cable-voltage-drop-is-within-limits")


def near(value: str, found: float, unit: str) -> bool:
    """Whether a figure is a number as it is written, in its last digit."""
    digits = len(value.partition(".")[2])
    scale = 1000.0 if unit.startswith("m") else 1.0
    return abs(abs(float(value)) - scale * abs(found)) <= 0.51 * 10**-digits


def declared(facts: Facts) -> Iterator[float]:
    """Every figure of the parts, and what a rating is multiplied with."""
    for part in facts.design.parts.values():
        for value in part.__dict__.values():
            yield from (value,) if isinstance(value, float) else ()
            yield from (v for v in value.values() if isinstance(v, float)) if isinstance(value, dict) else ()


def points(facts: Facts, finding: Any) -> Iterator[OperatingPoint]:
    """The operating points of the state of a finding, as `solve` gives them."""
    starters = [n for n in facts.design.of_kind(p.Load) if facts.design.parts[n].type == "starter"]
    cranks = facts.states.declared[finding.state].engine == "cranking"
    for starting in ((), tuple(starters)) if cranks else ((),):
        try:
            phases = solved_of(facts, finding.state, (), starting).phases
        except NoAnswer:
            continue
        yield from (phase.point for phase in phases if phase.point is not None)
    held = HELD.search(finding.sentence)
    if held:
        batteries = {f"parts/{n}": float(held[1]) for n in facts.design.of_kind(p.Battery)}
        for name in batteries:
            for flown in facts.points.flown_in([finding.state]):
                yield facts.points.figured(flown, (), Figures(held_volts={name: batteries[name]}))
            yield facts.points.figured(Flown(finding.state, None), (), Figures(held_volts=batteries))


def solved(point: OperatingPoint, unit: str) -> Iterator[float]:
    if unit.endswith("A"):
        for group in (point.amps, point.contacts, point.given, point.taken, point.coils, point.shields):
            yield from group.values()
    else:
        yield from point.across.values()
        yield from point.volts.values()
    shown = "current" if unit.endswith("A") else "voltage"
    yield from (r.value for r in point.readings.values() if r.value is not None and r.shows == shown)


def across_coils(facts: Facts, point: OperatingPoint) -> Iterator[float]:
    for name in facts.design.of_kind(p.Electromagnet):
        plus, minus = (f"{name}.{end}" for end in facts.design.parts[name].coil)
        if plus in point.volts and minus in point.volts:
            yield point.volts[plus] - point.volts[minus]


def cases(rules: tuple[str, ...]) -> list[tuple[str, Facts, Any]]:
    """The findings of some rules in their unmet designs and in the faulted aircraft."""
    found = []
    for rule in rules:
        for content in (text(design(rule, "unmet")), text(parsed(FAULTED))):
            own = facts(content)
            found += [(rule, own, one) for one in assess(rule, content).findings]
    return found


def own(finding: Any, every: list[Any]) -> tuple[float, ...]:
    """What the subject of a finding itself has or carries; () where that is not one figure."""
    return tuple(values[finding.subject] for values in every if finding.subject in values)


def unexplained(known: Facts, finding: Any, values: tuple[float, ...], unit: str, value: str) -> bool:
    file = set(declared(known))
    shares = (1.0, 0.8, 0.6, 1.25, 2.0)
    return not any(near(value, v, unit) for v in values) and not any(
        near(value, v * share, unit) for v, share in product(file, shares)
    )


@pytest.mark.parametrize(("rules", "least"), [(STEADY, 25), pytest.param(FURTHER, 6, marks=pytest.mark.long)])
def test_what_a_sentence_says_flows_or_stands_is_what_solve_answers(
    rules: tuple[str, ...], least: int
) -> None:
    seen: dict[str, int] = dict.fromkeys(rules, 0)
    for rule, known, finding in cases(rules):
        every = list(points(known, finding))
        if rule == "coil-voltage-is-within-limits":
            volts = tuple(v for point in every for v in across_coils(known, point))
        else:
            volts = own(finding, [point.across for point in every]) or tuple(
                v for point in every for v in solved(point, "V")
            )
        amperes = own(finding, [point.amps for point in every]) or tuple(
            v for point in every for v in solved(point, "A")
        )
        if rule == "alternators-at-idle-carry-the-ground-phases":
            amperes += tuple(
                sum(
                    g
                    for e, g in point.given.items()
                    if g > 0 and known.design.parts[bare(e)].kind == "battery"
                )
                for point in every
            )
        first = NUMBER.findall(finding.sentence.partition(";")[0])
        for value, unit in first:
            values = amperes if unit.endswith("A") else volts
            assert not unexplained(known, finding, values, unit, value), (value, unit, finding.sentence)
        seen[rule] += len(first)
    assert all(seen.values()), seen
    assert sum(seen.values()) > least


def test_a_drop_is_the_difference_between_what_begins_the_run_and_what_the_load_has() -> None:
    seen = 0
    for _, known, finding in cases(DROPS):
        ((value, unit), *_) = NUMBER.findall(finding.sentence)
        load = finding.subject
        starts = {step.part for step in finding.path}
        drops = []
        for point in points(known, finding):
            if load not in point.across:
                continue
            ends = [point.volts[n] for n in point.volts if n.partition(".")[0] in starts]
            drops += [a - b - point.across[load] for a in point.volts.values() for b in (*ends, 0.0)]
        assert any(near(value, drop, unit) for drop in drops), finding.sentence
        seen += 1
    assert seen >= 3


def test_the_drop_of_a_feeder_at_the_rating_is_that_of_its_wires_as_solve_has_them() -> None:
    """Ohms of each wire, volts over amperes of the solved state, in series and at the amperes that are named."""
    seen = 0
    for _, known, finding in cases(("alternator-feeder-voltage-drop-is-within-limits",)):
        (value, unit), (amperes, _), *_ = NUMBER.findall(finding.sentence)
        names = dict(finding.numbers)["wires"].split(", ")
        ends = {
            name: (str(known.design.wires[name].from_), str(known.design.wires[name].to)) for name in names
        }
        ohms = [
            sum(
                abs((point.volts[a] - point.volts[b]) / point.amps[f"wires/{n}"])
                for n, (a, b) in ends.items()
            )
            for point in points(known, finding)
        ]
        assert any(near(value, float(amperes) * one, unit) for one in ohms), (finding.sentence, ohms)
        seen += 1
    assert seen
