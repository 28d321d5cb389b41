"""A remedy follows from the cause that was computed, and does not lead to another hazard."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.model.review import HazardClass
from reviewer.reading import read_text
from reviewer.rulebook.lost_channels import LostChannels
from reviewer.rulebook.runner import run_rules
from tests.edits import edited
from tests.rule_cases import RULES, assess, design, facts, yaml_text

SELECTIVE = "circuit-protection-is-selective"
RESERVE = "reserve-batteries-meet-their-required-endurance"
GROUND, ENDS = "ground-leads-state-a-maximum-resistance", "every-wire-is-protected-at-each-energised-end"
SNEAK = "circuits-switched-off-have-no-sneak-path"


def remedies(rule: str, edits: dict[str, Any]) -> set[str]:
    """The remedies of the findings of a rule on its unmet design with some edits."""
    data = design(rule, "unmet")
    return {f.remedy for f in assess(rule, yaml_text(edited(data, edits) if edits else data)).findings}


def test_a_higher_rating_is_advised_where_the_wires_allow_it() -> None:
    """7.5 A is asked for; Table 11-3 allows more than that on 16 AWG."""
    (remedy,) = remedies(SELECTIVE, {})
    assert remedy.startswith("Fit right-feed of 7.5 A or more, or dome-fuse of ")


def test_a_thicker_wire_is_advised_where_the_wire_forbids_the_higher_rating() -> None:
    """7.5 A on 22 AWG is more than Table 11-3 allows for its kind of device."""
    (remedy,) = remedies(SELECTIVE, {"wires/W37/gauge": "24 AWG"})
    assert remedy.startswith("Fit right-feed of 7.5 A or more (with wire for it)")


def test_the_tie_gets_a_diode_where_the_tie_is_the_cause() -> None:
    found = remedies(SELECTIVE, JOINED)
    assert found and all("diode in the tie of reserve-battery" in remedy for remedy in found)


@pytest.mark.parametrize(
    ("edits", "declare", "drop"),
    [
        ({}, True, False),
        ({"parts/reserve-battery/capacity": "1 Ah"}, False, False),
        ({"parts/right-ignition/minimum": "13.5 V"}, False, True),
    ],
)
def test_a_time_is_declared_only_where_it_is_of_use(edits: dict[str, Any], declare: bool, drop: bool) -> None:
    (remedy,) = remedies(RESERVE, edits)
    assert ("declare the time" in remedy) is declare
    assert remedy.startswith("Reduce the voltage drop to right-ignition") is drop


def test_a_stated_limit_is_lowered_and_short_stubs_count_together() -> None:
    """A limit that is there is not asked for; a stub of 4 in behind one of 5 in is not to be fused within 6 in
    of it, where it is already."""
    loose = edited(design(GROUND, "met"), {"wires/W10/max-resistance": "0.02 ohm"})
    (remedy,) = {f.remedy for f in assess(GROUND, yaml_text(loose)).findings}
    assert remedy == "Lower the limit to 2.95 milliohm, on the test card too."
    first = {"from": "main-battery.positive", "to": "post.feed", "gauge": "16 AWG", "length": "0.12 m"}
    stubs = {"parts/post": {"kind": "stud"}, "wires/X1": first, "wires/W20/from": "post.left"}
    (found,) = assess(ENDS, yaml_text(edited(design(ENDS, "met"), stubs))).findings
    assert found.subject == "wires/W20" and found.remedy.startswith("Shorten the unprotected conductor")


def test_a_lamp_between_two_circuits_gets_no_diode_behind_which_both_are_shorted() -> None:
    found = remedies(SNEAK, {})
    assert found and all("feed-lamp then has one feed" in remedy for remedy in found)
    assert not any("diode" in remedy for remedy in found)


def test_a_function_that_needs_most_of_many_channels_gets_as_many_feeds_by_name() -> None:
    """Of 7 injectors on one fuse, 6 are needed; with 4 of them a second feed for 3 does. A sub-function
    with fewer loads is what is fed."""
    names = [f"injector-{n}" for n in range(1, 8)]
    function = {"any": 6, "of": names, "loss": "catastrophic"}
    assert "Feed 6 channels of injection from another source" in _remedy_of({"injection": function}, names)
    assert "injector-1 and injector-2 (for injection)" in _remedy_of(
        {"injection": {**function, "any": 2}}, names
    )
    lanes = {
        "lane-a": {"any": 5, "of": names[:5], "loss": "minor"},
        "lane-b": {"any": 2, "of": names[5:], "loss": "minor"},
    }
    nested = {**lanes, "injection": {"any": 1, "of": ["lane-a", "lane-b"], "loss": "catastrophic"}}
    assert "Feed injector-6 and injector-7 (for injection) from another source" in _remedy_of(nested, names)


def _remedy_of(functions: dict[str, Any], loads: list[str]) -> str:
    """The remedy for the fuse that feeds some loads of a first drawing."""
    ends = {f"S{n}": {"from": "fuse.load", "to": f"{load}.supply"} for n, load in enumerate(loads)}
    ends |= {f"R{n}": {"from": f"{load}.return", "to": "battery.negative"} for n, load in enumerate(loads)}
    drawn = {
        "format": 1,
        "aircraft": {"name": "X", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
        "parts": {
            "battery": {"kind": "battery"},
            "fuse": {"kind": "fuse", "rating": "5 A"},
            **{load: {"kind": "load"} for load in loads},
        },
        "wires": {"W1": {"from": "battery.positive", "to": "fuse.line"}, **ends},
        "functions": functions,
        "operation": {"normal": "cruise", "states": {"cruise": {"engine": "running"}}},
    }
    found = assess("no-single-supply-failure-stops-a-critical-function", yaml_text(drawn)).findings
    (remedy,) = {f.remedy for f in found if f.subject == "wires/W1"}
    return remedy


def reviewed(data: dict[str, Any]) -> dict[tuple[str, str], HazardClass]:
    """Every finding of all rules: (rule, subject) -> the gravest class."""
    found: dict[tuple[str, str], HazardClass] = {}
    for assessment in run_rules(list(RULES.values()), facts(yaml_text(data)))[0]:
        for f in assessment.findings:
            found[f.rule, f.subject] = max(f.hazard, found.get((f.rule, f.subject), f.hazard))
    return found


JOINED = {"wires/W90": {"from": "main-bus.tie", "to": "right-bus.tie", "gauge": "16 AWG", "length": "0.3 m"}}
DIODE = {
    "parts/tie-diode": {
        "kind": "diode", "duty": "isolation", "protects": "reserve-battery", "rating": "25 A", "drop": "0.4 V",
        "drop-current": "10 A",
    },
    "wires/W90/to": "tie-diode.anode",
    "wires/W91": {"from": "tie-diode.cathode", "to": "right-bus.tie", "gauge": "16 AWG", "length": "0.1 m"},
}  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "fault", "remedy"),
    [
        (SELECTIVE, {}, {"parts/right-feed/rating": "7.5 A"}),
        (
            SELECTIVE,
            {"wires/W37/gauge": "24 AWG"},
            {"wires/W37/gauge": "16 AWG", "parts/right-feed/rating": "7.5 A"},
        ),
        (SELECTIVE, JOINED, DIODE),
        (
            RESERVE,
            {"parts/reserve-battery/capacity": "1 Ah", "watch/monitors/reserve-volts/alarm-below": "13 V"},
            {"parts/reserve-battery/capacity": "14 Ah"},
        ),
        (SNEAK, {}, {"wires/W27/to": "main-ground.lamp", "wires/W27/gauge": "18 AWG"}),
    ],
)
def test_a_remedy_brings_no_finding_as_grave(
    rule: str, fault: dict[str, Any], remedy: dict[str, Any]
) -> None:
    unmet = edited(design(rule, "unmet"), fault) if fault else design(rule, "unmet")
    before, after = reviewed(unmet), reviewed(edited(unmet, remedy))
    gravest = max(hazard for (name, _), hazard in before.items() if name == rule)
    new = {key: hazard for key, hazard in after.items() if key not in before and hazard >= gravest}
    assert new == {}
    assert (
        max((hazard for (name, _), hazard in after.items() if name == rule), default=HazardClass.MINOR)
        <= gravest
    )
    assert len([key for key in after if key[0] == rule]) < len([key for key in before if key[0] == rule])


FUNCTIONS = """
format: 1
aircraft: {{name: Words, nominal: 14 V, airframe: metal, stage: concept}}
circuits:
  a: battery.positive > fuse 5 A > a (1 A, electronic) > battery.negative
  b: a-fuse.load > b (1 A, electronic) > battery.negative
  c: a-fuse.load > 20 AWG 1 m bundle {bundle} > c (1 A, electronic) > 20 AWG 1 m bundle {bundle} > battery.negative
parts: {{battery: {{kind: battery}}}}
functions:
  spark: {{any: 1, of: [a, b], loss: hazardous}}
  engine: {{any: 2, of: [spark, c], loss: catastrophic}}
  lights: {{any: 2, of: [a, b, c], loss: hazardous}}
operation: {{normal: cruise, states: {{cruise: {{engine: running}}}}}}
"""


@pytest.mark.parametrize(
    "functions, lost, words",
    [
        (["spark"], ["a", "b"], "a or b"),
        (["engine", "spark"], ["a", "b", "c"], "c, and a or b"),
        (["engine"], ["c"], "c"),
        (["lights"], ["a", "b", "c"], "2 of a, b, c"),
        (["spark"], ["a"], ""),
    ],
)
def test_a_remedy_names_a_load_for_each_function(functions: list[str], lost: list[str], words: str) -> None:
    design = read_text(FUNCTIONS.format(bundle="tray"), "words.yaml")
    assert LostChannels(design, lost).wanted(functions) == words


@pytest.mark.parametrize("bundle", ["tray", "c"])
def test_a_severed_bundle_is_called_so_and_is_not_the_load_of_its_name(bundle: str) -> None:
    found = assess("critical-functions-survive-a-severed-bundle", FUNCTIONS.format(bundle=bundle)).findings
    (said,) = [f.sentence for f in found]
    assert said.startswith(f"Severed bundle {bundle} causes loss of engine: c not powered."), said


PUMPS = """
format: 1
aircraft: {name: two pumps, nominal: 14 V, airframe: composite, stage: concept}
parts:
  main-battery: {kind: battery, capacity: 18 Ah}
  pump-select: {kind: switch, positions: {left: [[line, a]], right: [[line, b]]}, normal: left}
  main-bus: {kind: bus}
  ground: {kind: ground-block}
circuits:
  feeder: "main-battery.positive > main-bus"
  pumps: "main-bus + breaker 10 A PUMPS > pump-select.line"
  p1: "pump-select.a > pump-a (5 A, 9 to 16 V) > ground"
  p2: "pump-select.b > pump-b (5 A, 9 to 16 V) > ground"
  back: "main-battery.negative > ground"
functions:
  fuel: {any: 1, of: [pump-a, pump-b], loss: catastrophic}
"""
SECOND_LINE = """  pumps: "main-bus + breaker 10 A PUMPS > pump-select.line"
  p2: "main-bus + breaker 7.5 A PUMP B > pump-b (5 A, 9 to 16 V) > ground"
"""


def _said(text: str) -> dict[str, str]:
    rule = RULES["no-single-supply-failure-stops-a-critical-function"]
    found = run_rules([rule], facts(text))[0]
    return {f.subject: f.remedy for one in found for f in one.findings}


def test_the_unit_that_stands_idle_is_fed_where_the_other_fails() -> None:
    """One breaker feeds both pumps: a second pump is there and is not to be fitted. A feed for the
    standby pump mends the bus too. Where the second pump runs by itself, no failure of the first
    counts."""
    said = _said(PUMPS)
    assert said["parts/pump-a"] == (
        "Feed pump-b through circuit protection, a switch and wires of its own, so that it works when pump-a fails."
    )
    assert said["parts/main-bus"].startswith("Feed pump-a or pump-b from another source")
    first, second = PUMPS.split('  pumps: "main-bus + breaker 10 A PUMPS > pump-select.line"\n')
    both = (
        first + SECOND_LINE + second.replace('  p2: "pump-select.b > pump-b (5 A, 9 to 16 V) > ground"\n', "")
    )
    both = both.replace("{left: [[line, a]], right: [[line, b]]}", "{left: [[line, a]], right: []}")
    assert "parts/pump-a" not in _said(both)
    lone = PUMPS.replace("of: [pump-a, pump-b]", "of: [pump-a]")
    assert _said(lone)["parts/pump-a"].startswith("Fit a second unit that does what pump-a does")
