"""Rules on small designs against the printed tables: the printed value is met, the next one beyond it is a finding."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.published.transcriptions import PRINTED
from tests.rule_cases import RULES

#: battery, bus, circuit protection, switch, load and its return; an alternator that feeds the bus
DESIGN = """format: 1
aircraft: {{name: Example, nominal: {nominal}, airframe: metal, stage: detailed, ambient: 20 C,
  zones: {{cabin: {{max-ambient: 70 C}}}}}}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 17 Ah}}
  alternator: {{kind: alternator, excitation: permanent-magnet, rating: {output} A, set-point: {volts} V}}
  bus: {{kind: bus}}
  device: {{kind: {device}, rating: {rating} A}}
  switch: {{kind: switch, rating: {contact} A, contact-material: silver, positions: {{"off": [], up: [[line, load]]}}}}
  consumer: {{kind: load, {type}current: {amperes} A, minimum: 5 V, duty: continuous}}
wires:
  B1: {{from: battery.positive, to: bus.battery, resistance: 0.0001 ohm}}
  A1: {{from: alternator.output, to: bus.alternator, {feeder}}}
  A2: {{from: alternator.ground, to: battery.negative, resistance: 0.0001 ohm}}
  W1: {{from: bus.consumer, to: device.line, gauge: 0000 AWG, length: 0.05 m}}
  W2: {{from: device.load, to: switch.line, gauge: {awg} AWG, length: {metres} m, insulation: {insulation} C, zone: cabin}}
  W3: {{from: switch.load, to: consumer.supply, gauge: 0000 AWG, length: 0.05 m}}
  W4: {{from: consumer.return, to: battery.negative, gauge: 0000 AWG, length: 0.05 m}}
operation:
  normal: cruise
  states: {{cruise: {{engine: running, switches: {{switch: up}}}}}}
"""
USUAL = {
    "nominal": "14 V", "volts": 14, "output": 500, "device": "breaker", "rating": 5, "contact": 1000, "type": "type: resistive, ",
    "amperes": 1, "awg": "22", "metres": 0.5, "insulation": 150, "feeder": "resistance: 0.0001 ohm",
}  # fmt: skip


def found(rule: str, subject: str, **values: object) -> bool:
    """Whether a rule has a finding of a subject; a gap or an error is a failure of the test."""
    facts = Facts(read_text(DESIGN.format(**USUAL | values), "example"))
    (assessment,), _ = run_rules([RULES[rule]], facts)
    assert not assessment.breakdowns
    assert subject not in {gap.subject for gap in assessment.gaps}, assessment.gaps
    assert assessment.examined
    return subject in {f.subject for f in assessment.findings}


@pytest.mark.parametrize("column", ["breaker", "fuse"])
def test_table_11_3(column: str) -> None:
    """AC 43.13-1B: each wire size with the printed device, and with half an ampere more."""
    for awg, (amperes,) in PRINTED[f"wire_protection/{column}"].items():
        rule = "circuit-protection-fits-its-wire"
        assert not found(rule, "parts/device", device=column, awg=awg, rating=amperes), awg
        assert found(rule, "parts/device", device=column, awg=awg, rating=amperes + 0.5), awg


@pytest.mark.parametrize(("nominal", "volts", "row"), [("14 V", 14, "12"), ("28 V", 28, "28")])
def test_table_11_4(nominal: str, volts: int, row: str) -> None:
    """AC 43.13-1B: the rating of a switch is the current times the factor, whatever the type of the load."""
    rule = "contacts-are-rated-for-their-loads"
    columns = ("lamp", "inductive", "resistive", "motor")
    for kind, factor in zip(columns, PRINTED["switch_factors/derating"][row], strict=True):
        of = {"nominal": nominal, "volts": volts, "type": f"type: {kind}, ", "amperes": 2}
        assert not found(rule, "parts/switch", contact=2 * factor * 1.02, **of), kind
        assert found(rule, "parts/switch", contact=2 * factor * 0.95, **of), kind


def test_11_53g() -> None:
    """AC 43.13-1B: silver contacts below half an ampere."""
    rule = "low-current-contacts-are-gold"
    (_, amperes) = PRINTED["switch_factors/low_energy"]["least"]
    assert not found(rule, "parts/switch", amperes=amperes)
    assert found(rule, "parts/switch", amperes=amperes * 0.98)


@pytest.mark.parametrize(("nominal", "volts"), [("14 V", 14), ("28 V", 28)])
def test_table_11_6(nominal: str, volts: int) -> None:
    """AC 43.13-1B, with the ohms of Table 11-9: the run on which 10 A lose the allowed drop, less and more."""
    (allowed,) = PRINTED["voltage_drop/continuous"][nominal.removesuffix(" V")]
    metres = allowed / 10 / (PRINTED["copper_wire/aircraft"]["12"][3] / 304.8)
    of = {"nominal": nominal, "volts": volts, "amperes": 10, "awg": "12", "rating": 30}
    # the breaker and the switch take 0.05 V and 0.1 V of it, and little is lost in the other wires
    inside = (allowed - 0.19) / allowed
    assert not found(
        "continuous-voltage-drop-is-within-limits", "parts/consumer", metres=inside * metres, **of
    )
    assert found("continuous-voltage-drop-is-within-limits", "parts/consumer", metres=metres, **of)


@pytest.mark.parametrize(("insulation", "column"), [(105, 0), (150, 1), (200, 2)])
def test_table_11_9(insulation: int, column: int) -> None:
    """AC 43.13-1B: at the 70 C of the table a wire that runs alone carries at least what is printed for a bundle of
    33 at 20 %, and at most that over the bundle factor of the basis (.625 for 19 wires, .775 for 9)."""
    # a load of unknown type draws a constant current
    rule = "wires-are-within-their-current-rating"
    for awg, row in PRINTED["copper_wire/aircraft"].items():
        large = awg.startswith("0") or int(awg) <= 8
        of = {
            "awg": awg,
            "insulation": insulation,
            "metres": 0.05,
            "rating": 1000,
            "output": 5000,
            "type": "",
        }
        most = row[column] / PRINTED["wire_derating/bundle"]["9" if large else "19"][0]
        assert not found(rule, "wires/W2", amperes=row[column], **of), awg
        assert not found(rule, "wires/W2", amperes=0.99 * most, **of), awg
        assert found(rule, "wires/W2", amperes=1.01 * most, **of), awg


def test_11_35a() -> None:
    """AC 43.13-1B: 80 % of the output of an alternator, without an ammeter."""
    rule = "alternators-carry-every-phase-with-margin"
    (share,) = PRINTED["load_limits/alternator"]["most"]
    of = {"output": 50, "awg": "4", "rating": 100, "type": ""}
    charging = 50 * 0.05  # what the full battery draws is less
    assert not found(rule, "parts/alternator", amperes=50 * share - charging, **of)
    assert found(rule, "parts/alternator", amperes=50 * share + 0.1, **of)


def test_two_per_cent_of_the_regulated_voltage() -> None:
    """FAA-H-8083-31: the feeder of an alternator at its rated output."""
    rule = "alternator-feeder-voltage-drop-is-within-limits"
    (share,) = PRINTED["voltage_drop/source_feeder"]["most"]
    ohms = 14 * share / 500
    assert not found(rule, "parts/alternator", feeder=f"resistance: {ohms * 0.999:.7f} ohm")
    assert found(rule, "parts/alternator", feeder=f"resistance: {ohms * 1.01:.7f} ohm")
