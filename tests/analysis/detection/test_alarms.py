"""What indicates particular failures."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, Failure
from reviewer.analysis.detection.alarms import MonitorIndication, Shows
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.subject import Subject
from tests.analysis.detection.watched import volts, watched
from tests.analysis.small_designs import SmallDesign
from tests.rule_cases import RULES

ROOT = Path(__file__).parents[3]


def sensed(**alarm: str) -> SmallDesign:
    made = watched(bus_volts=volts("bus.sense", **alarm))
    made.run("bus.sense", [made.protector("sense-fuse", "fuse")], "display.in-1")
    return made


def test_the_loss_of_an_alternator_leaves_the_voltage_of_the_battery() -> None:
    made = sensed()
    made.alternator()
    (shown,) = made.facts().detection.alternator_loss_indications("parts/alternator") or ()
    assert shown == MonitorIndication("bus-volts", Shows.BATTERY_VOLTS)
    assert shown.low_voltage and not (shown.no_voltage or shown.lights or shown.otherwise)


def test_of_an_alternator_that_does_not_run_there_is_no_loss() -> None:
    made = sensed()
    made.alternator()
    assert made.facts(engine="stopped").detection.alternator_loss_indications("parts/alternator") is None


def test_the_loss_of_a_source_is_shown_by_a_monitor_by_use_or_by_nothing() -> None:
    shown = sensed().facts().detection.source_loss_indications["parts/battery"]
    assert shown is not None and shown.monitor == "bus-volts"
    made = SmallDesign()
    made.load("ignition")
    made.function("fire", "ignition")
    shown = made.facts().detection.source_loss_indications["parts/battery"]
    assert shown is not None and shown.monitor == ""
    made = SmallDesign()
    made.load("lamp")
    assert made.facts().detection.source_loss_indications["parts/battery"] is None


def test_an_open_sense_lead_is_noticed_unless_the_monitor_is_silent() -> None:
    detection = sensed().facts().detection
    assert detection.undetected_opens("bus-volts", silent=False) == ()
    assert "parts/sense-fuse" in detection.undetected_opens("bus-volts", silent=True)


def with_a_standby(start: str, **fields: str) -> SmallDesign:
    """The display and a load on the bus, and a second load fed from ``start``."""
    made = sensed()
    made.second_battery()
    made.load("heater")
    made.load("standby", start=start, **fields)
    return made


def test_what_feeds_both_the_display_and_what_it_monitors_silences_it_while_a_lamp_stays_lit() -> None:
    facts = with_a_standby("second-bus", type="lamp").facts()
    silent = {f.element for f in facts.detection.disabling_failures("bus-volts") if f.mode == "open"}
    assert {"parts/bus", "wires/W1"} <= silent and "parts/display-breaker" not in silent


def test_a_panel_that_goes_dark_as_a_whole_shows() -> None:
    assert with_a_standby("bus", type="lamp").facts().detection.disabling_failures("bus-volts") == ()
    motor = with_a_standby("second-bus", type="motor")
    assert motor.facts().detection.disabling_failures("bus-volts") == ()


def test_a_warning_lamp_that_loses_its_bus_is_silent_where_no_instrument_goes_dark() -> None:
    """The lamp is dark before and after; the heater that stops is no panel."""
    made = SmallDesign()
    made.load("heater")
    made.load("low-volts", made.protector("lamp-breaker"), type="lamp")
    bus_volts = volts(made.tab("bus"), alarm_below="13 V", displayed_on="low-volts")
    made.more["watch"] = {"monitors": {"bus-volts": bus_volts}}
    silent = {f.element for f in made.facts().detection.disabling_failures("bus-volts") if f.mode == "open"}
    assert "parts/bus" in silent


def test_a_failure_that_loses_nothing_but_the_display_is_no_such_case() -> None:
    assert sensed().facts().detection.disabling_failures("bus-volts") == ()


def test_a_lower_voltage_warns_only_below_an_alarm() -> None:
    for alarm, warned in (({"alarm_below": "13 V"}, ("bus-volts",)), ({}, ())):
        made = sensed(**alarm)
        made.alternator()
        facts = made.facts()
        (lost,) = (
            f
            for f in facts.states.answer("cruise").failures
            if (f.element, f.mode) == ("parts/alternator", "open")
        )
        assert facts.detection.warned("cruise", lost) == warned


def test_a_welded_contactor_that_runs_the_starter_is_shown_by_what_is_live() -> None:
    made = watched(starter_live={"shows": "live", "senses": "cranker.supply", "displayed-on": "display"})
    made.add(
        "contactor",
        "contactor",
        coil=["plus", "minus"],
        contacts={"main": {"kind": "make", "joins": ["in", "out"]}},
    )
    made.run("bus", [made.switch("button")], "contactor.plus")
    made.wire("contactor.minus", "ground")
    made.load("cranker", ("contactor.in", "contactor.out"), type="starter")
    (stuck,) = made.facts(switches={"button": "off"}).detection.stuck_starters
    assert (stuck.contactor, stuck.starter, stuck.shown) == ("parts/contactor", "cranker", ("starter-live",))


def test_a_check_notices_what_it_proves_only_where_it_watches_it() -> None:
    for watch, misses in ((["lamp"], ()), (["other"], (Failure("parts/breaker", OPEN),))):
        made = SmallDesign()
        made.load("lamp", made.protector("breaker"))
        made.load("other")
        made.more["watch"] = {
            "checks": {"look": {"state": "cruise", "watch": watch, "expect": "Lit.", "proves": ["breaker"]}}
        }
        evidence = made.facts().detection.check_evidence("look")
        assert evidence.notices and evidence.misses == misses


def test_a_check_misses_a_diode_of_which_it_sees_neither_failure() -> None:
    for watch, misses in ((["lamp"], ()), (["other"], (OPEN, DIODE_SHORT))):
        made = SmallDesign()
        made.add("diode", "diode")
        made.load("lamp", ("diode.anode", "diode.cathode"))
        made.load("other")
        made.more["watch"] = {
            "checks": {"look": {"state": "cruise", "watch": watch, "expect": "Lit.", "proves": ["diode"]}}
        }
        evidence = made.facts().detection.check_evidence("look")
        assert evidence.misses == tuple(Failure("parts/diode", mode) for mode in misses)


def test_a_shunt_in_the_lead_of_the_battery_shows_its_charge() -> None:
    for start, meters in (("far-bus", ("amps",)), ("bus", ())):
        made = watched(amps={"shows": "current", "senses": "shunt", "displayed-on": "display"})
        made.add("shunt", "shunt")
        made.add("far-bus", "bus")
        made.run("bus", [("shunt.line", "shunt.load")], "far-bus")
        made.add("alternator", "alternator", excitation="permanent-magnet")
        made.wire("alternator.output", start)
        made.wire("alternator.ground", "ground")
        made.load("lamp", start="far-bus")
        assert made.facts().detection.charge_meters("parts/alternator") == meters


@pytest.mark.parametrize("chemistry", ["lead-acid", "lithium-iron-phosphate"])
@pytest.mark.parametrize("alarm", ["12.4 V", "12.7 V", "13 V", "13.2 V", "13.6 V", "13.8 V"])
def test_an_alarm_that_is_crossed_at_once_is_the_first_one_of_the_timeline(
    chemistry: str, alarm: str
) -> None:
    """What is solved at the moment of the loss agrees with the batteries followed from there, the error
    of the meter counted against the alarm."""
    text = (files("reviewer") / "starter.design.yaml").read_text(encoding="utf-8")
    for was, now in (
        ("alarm-below: 13 V, alarm-above", f"alarm-below: {alarm}, alarm-above"),
        ("alarm-below: 12.5 V", "alarm-below: 11 V"),
        (
            "main-battery: {kind: battery, chemistry: lead-acid",
            f"main-battery: {{kind: battery, chemistry: {chemistry}",
        ),
    ):
        assert text.count(was) == 1
        text = text.replace(was, now)
    found = Facts(read_text(text, "starter")).detection
    first = found.alarm_after("parts/alternator")
    left = found.volts_without("parts/alternator")["bus-volts"].most
    assert first is not None and first.monitor == "bus-volts"
    limits = found.limits_after("bus-volts", (Failure("parts/alternator", OPEN),))
    assert limits is not None and 0.2 < limits.high - limits.value < 0.5  # 1 %, a tenth, and the batteries
    assert (first.seconds == 0) == (left + limits.ends[1] - limits.value < float(alarm.removesuffix(" V")))
    # the rule says of it what the timeline does
    assert (first.seconds == 0) == (found.no_news("bus-volts", "parts/alternator") is None)
    told, sound = found.telling_alarm("parts/alternator"), found.limits_after("bus-volts", ())
    assert sound is not None and 0.2 < found.meter_error("bus-volts", left) < 0.25
    most_left = left + limits.ends[1] - limits.value
    if chemistry == "lead-acid":
        assert told == ("bus-volts", 13.0) and most_left < 13.0 < sound.ends[0]
    else:  # the regulator may hold less than an alarm above a lithium battery at rest
        assert told is None and most_left > sound.ends[0]
        assert most_left < found.normal_volts["bus-volts"].least - found.meter_error("bus-volts", 14.0)


@pytest.mark.long
@pytest.mark.parametrize(
    "path",
    [
        *(ROOT / "examples").glob("*tourer.design.yaml"),
        *(ROOT / "tests" / "aircraft").glob("*.design.yaml"),
        *(ROOT / "tests" / "cause_aircraft").glob("*.design.yaml"),
    ],
    ids=lambda path: path.name.partition(".")[0],
)
def test_the_rule_of_an_alarm_at_once_says_what_load_analysis_and_cards_say(path: Path) -> None:
    facts = Facts(read_text(path.read_text(encoding="utf-8"), path.name))
    found, rule = facts.detection, RULES["alternator-loss-raises-an-alarm"]
    for alternator in rule.subjects(facts):
        first = found.alarm_after(alternator)
        if first is not None:  # what it rests on is in the file
            assert (first.seconds == 0) == (not list(rule.judge(Subject(alternator), facts)))


@pytest.mark.parametrize(
    ("monitor", "shown"),
    [
        ("alternator-amps: {shows: current, indicates: alternator-output, alarm: Red below 2 A,", True),
        ("alternator-amps: {shows: current, indicates: alternator-output,", False),
    ],
)
def test_an_ammeter_is_an_alarm_at_the_loss_only_where_it_has_one(monitor: str, shown: bool) -> None:
    """The figure falls to nothing with the alternator, and a figure that falls calls nobody."""
    text = (files("reviewer") / "starter.design.yaml").read_text(encoding="utf-8")
    was = "alternator-amps: {shows: current, senses: alternator-shunt, indicates: alternator-output,"
    assert was in text
    facts = Facts(
        read_text(
            text.replace(was, f"{monitor} senses: alternator-shunt,").replace(
                "alarm-below: 13 V", "alarm-below: 11 V"
            ),
            "starter",
        )
    )
    first = facts.detection.alarm_after("parts/alternator")
    at_once = first is not None and (first.monitor, first.seconds) == ("alternator-amps", 0.0)
    assert at_once is shown
