"""What a monitor reads is solved at the end of its sense lead, and agrees with what logic says of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.reading import read_design

FACTS = Facts(read_design(Path(__file__).parents[3] / "examples" / "tourer.design.yaml"))
LEADS = [
    (name, element)
    for name, meter in FACTS.detection.meters.items()
    if meter.drawn and meter.shows != "live"
    for element in meter.lead
]


def test_the_leads_of_the_tourer_are_drawn() -> None:
    assert {name for name, _ in LEADS} == {
        "bus-volts", "main-volts", "reserve-volts", "alternator-amps", "bus-amps",
    }  # fmt: skip


@pytest.mark.parametrize(("name", "element"), LEADS)
def test_with_a_part_of_its_lead_open_a_monitor_reads_nothing_and_logic_says_so(
    name: str, element: str
) -> None:
    opened = Failure(element, OPEN)
    healthy = FACTS.points.operating_point("cruise").readings[name]
    failed = FACTS.points.operating_point("cruise", None, (opened,)).readings[name]
    assert healthy.value and abs(healthy.value) > 1
    assert failed.value == 0 and not failed.blank
    assert name in FACTS.detection.evidence("cruise", opened).monitors


def test_a_voltmeter_that_takes_more_reads_less_through_a_poor_joint() -> None:
    """Ohm's law: 1 kohm in the lead of an input of 100 kohm takes one part in 101."""
    text = (Path(__file__).parents[3] / "examples" / "tourer.design.yaml").read_text(encoding="utf-8")
    name = "reserve-volts"
    lead = next(e for n, e in LEADS if n == name and e.startswith("wires/")).partition("/")[2]
    from reviewer.reading import read_text

    before = f"  {lead}: {{"
    assert text.count(before) == 1
    poor = Facts(read_text(text.replace(before, before + "resistance: 1 kohm, "), "design"))
    sound = FACTS.points.operating_point("cruise").readings[name].value
    assert sound
    assert poor.points.operating_point("cruise").readings[name].value == pytest.approx(
        sound * 100 / 101, rel=1e-4
    )
