"""An aircraft drawn for this test, whose minutes, volts and ohms are worked out here from the figures of its file, and what budget, page, brief, CSV and checklists say of it."""

from __future__ import annotations

import csv
import io
import re
from functools import cache
from html import unescape
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner

from reviewer import session
from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.quantity_words import clock
from reviewer.model.review import HazardClass
from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.effects import effects_of
from reviewer.questions.fail import fail_of
from reviewer.questions.solve import solved_of
from reviewer.reading import read_design, read_text
from reviewer.reports.checklists.words import card_lines, title
from reviewer.reports.effects.words import functions_lost
from tests.printed import page_and_brief
from tests.thinned import some_of

PATH = Path(__file__).parent / "paper_aircraft.design.yaml"
DRAWN = PATH.read_text(encoding="utf-8")
#: of a battery when it is tested out (`minimum-capacity`), and at -10 C (common practice, no published source)
AGED, COLD = 0.8, 0.8
#: exponent of Peukert's law of an AGM battery (common practice, no published source)
RATE = 1.2


def changed(*edits: tuple[str, str]) -> Facts:
    text = DRAWN
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    return Facts(read_text(text, PATH.name))


@cache
def drawn() -> Facts:
    return changed()


def peukert_s(ampere_hours: float, amperes: float, factor: float) -> float:
    """Seconds at a current, of a capacity at one hour (Peukert's law in the hour-rate form)."""
    return 3600 * factor * (ampere_hours / amperes) ** RATE


def by_hand_s(capacity: float, steps: list[tuple[float, float]], factor: float) -> float:
    """Seconds until a battery is empty, through steps of (seconds, amperes); the last one to the end."""
    left, done = 1.0, 0.0
    for seconds, amperes in steps[:-1]:
        left -= seconds / peukert_s(capacity, amperes, factor)
        done += seconds
    return done + left * peukert_s(capacity, steps[-1][1], factor)


#: amperes of the main battery by hand: computer 84 W, display 28 W, radio 14 W and monitor 5.6 W at about 11.8 V,
#: pump 4 A, coil of the contactor 0.6 A, lights 5 A and field 3 A at 14 V as resistances
WATTS_A, PUMP_A, COIL_A, LIGHTS_A, FIELD_A = (84 + 28 + 14 + 5.6) / 11.5, 4.0, 0.6, 4.15, 2.6
SHED_A = WATTS_A + PUMP_A + COIL_A
ALL_A = SHED_A + LIGHTS_A + FIELD_A
#: of the reserve: computer 84 W at about 11.2 V, and the pump
RESERVE_A = 84 / 11.2 + PUMP_A


@pytest.mark.parametrize(
    ("edits", "capacity", "factor"),
    [
        ((), 16.0, AGED * COLD),
        ((("capacity: 16 Ah", "capacity: 8 Ah"),), 8.0, AGED * COLD),
        # 97 % of the capacity at 20 C: common practice, no published source
        ((("min-temperature: -10 C", "min-temperature: 20 C"),), 16.0, AGED * 0.97),
    ],
    ids=["as drawn", "half the capacity", "warm"],
)
def test_each_event_after_loss_of_the_alternator_comes_at_the_minute_worked_out_by_hand(
    edits: tuple[tuple[str, str], ...], capacity: float, factor: float
) -> None:
    facts = changed(*edits)
    unshed = by_hand_s(capacity, [(0.0, ALL_A)], factor)
    # five minutes of recognition, ten seconds for the field, twenty for the lights
    main = by_hand_s(capacity, [(310, ALL_A), (20, ALL_A - FIELD_A), (0, SHED_A)], factor)
    reserve = main + peukert_s(7.0, RESERVE_A, factor)
    fuel, attitude = (facts.detection.function_endurance(f) for f in ("fuel", "attitude"))
    assert fuel.unattended == pytest.approx(unshed, rel=0.03)
    empties = [entry.seconds for entry in fuel.timeline if entry.event == "battery exhausted"]
    assert empties == [pytest.approx(main, rel=0.03), pytest.approx(reserve, rel=0.03)]
    assert fuel.seconds == pytest.approx(reserve, rel=0.03)
    # the display goes on for 30 min by the battery inside it
    assert attitude.seconds == pytest.approx(main + 1800, rel=0.03)


ROOT = Path(__file__).parent.parent
SIX = sorted((ROOT / "tests" / "aircraft").glob("*.design.yaml"))
#: the six without the two largest, unless each case is asked for
OTHERS = [
    ROOT / "tests" / "answers" / "bench.design.yaml",
    ROOT / "examples" / "tourer.design.yaml",
    *some_of(SIX, [p for p in SIX if p.name.partition(".")[0] not in ("28v-essential", "twin-split-bus")]),
]


@pytest.mark.parametrize(
    "path",
    [PATH, *(pytest.param(path, marks=pytest.mark.long) for path in OTHERS)],
    ids=lambda path: path.name.partition(".")[0],
)
def test_page_brief_and_csv_have_the_minutes_of_the_load_analysis(path: Path) -> None:
    """All of them made of one design that is solved once; no rule has a say in it."""
    facts, said = Facts(read_design(path)), {}
    page, brief = page_and_brief(path, facts)
    for command, made in (("report", page), ("brief", brief)):
        html = re.sub(r"<(script|style)\b.*?</\1>", "", made, flags=re.DOTALL)
        said[command] = re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", html)))
    with patch.object(session, "facts_of", lambda _: facts):
        text = CliRunner().invoke(commands, ["budget", str(path)]).output.partition("\nFunctions after")[2]
        table = CliRunner().invoke(commands, ["budget", str(path), "--as", "csv"]).stdout
    text = re.sub(r"\s+", " ", text.partition("\nShed plan")[0])
    rows = [r for r in csv.DictReader(io.StringIO(table)) if r["section"].startswith("function after")]
    listed = said["brief"].partition("After the loss of all generation: functions of class major or worse")[2]
    seen = 0
    for name in dict.fromkeys(row["of"] for row in rows):
        own = [row for row in rows if row["of"] == name]
        told = (
            text.partition(f"- {name} (")[2].partition(") after loss of")[2].partition(") after loss of")[0]
        )
        lasts = next(row["value"] for row in own if row["quantity"] == "endurance")
        words = f"lost after {clock(float(lasts))};" if lasts else "not lost;"
        assert words in told, name
        entry = listed.partition(f" {name} (")[2]
        if path == PATH or entry:
            assert entry.partition(") ")[2].startswith(words), name
        else:
            assert "had no room" in listed, name  # the brief has two sheets
        for row in own:
            if row["quantity"] == "function lost without it":
                ends = f"lost after {clock(float(row['value']))}" if row["value"] else "not lost"
                assert f"{name} is {ends}" in told, name
                assert f"{name} is {ends}" in said["report"], name
                seen += 1
    assert seen or path != PATH


def test_the_field_of_a_lost_alternator_draws_on_in_every_answer() -> None:
    """Solve, effects and endurance mean the same failure: it gives nothing, and its field is a load until it is switched off."""
    facts = drawn()
    point = solved_of(facts, None, ["alternator"]).phases[0].point
    assert point is not None
    assert point.supplying["parts/alternator"] == pytest.approx(
        3.0 * point.volts["alternator.field"] / 14, rel=0.01
    )
    first = facts.endurance.endurance_of("main-battery").found.runs[0].first_a
    assert point.given["parts/main-battery"] == pytest.approx(first, rel=0.02)
    lost = next(
        e for e in effects_of(facts).effects if e.failure.element == "parts/alternator" and e.key == "open"
    )
    assert lost.fields_on == ("parts/alternator",)


def test_the_field_draws_nothing_where_its_breaker_is_open() -> None:
    facts = drawn()
    point = solved_of(facts, None, ["alternator", "field-breaker"]).phases[0].point
    assert point is not None and point.supplying["parts/alternator"] == 0.0
    opened = next(
        e for e in effects_of(facts).effects if e.failure.element == "parts/field-breaker" and e.key == "open"
    )
    assert opened.sources == ("parts/alternator",) and opened.fields_on == ()


def test_a_reading_after_loss_of_the_alternator_may_be_that_with_its_field_open_too() -> None:
    """An alternator that is open inside draws no field current: the limits after its loss hold that reading as well."""
    facts = drawn()
    alternator = next(f for f in facts.states.answer("cruise").failures if f.element == "parts/alternator")
    within = facts.detection.limits_after("bus-volts", (alternator,))
    assert within is not None
    for failed in (["alternator"], ["alternator", "field-breaker"]):
        point = solved_of(facts, None, failed).phases[0].point
        assert point is not None and within.holds(point.readings["bus-volts"].value or 0.0)


@pytest.mark.parametrize(("below", "noticed"), [("13.2 V", True), ("14.0 V", False)])
def test_an_alarm_that_may_be_on_in_normal_flight_by_the_error_of_its_meter_shows_no_loss(
    below: str, noticed: bool
) -> None:
    """The bus has 14.1 V in flight; the meter may read 1 % and 0.1 V less (common practice, no published source)."""
    facts = changed(
        ("alarm-below: 13.2 V", f"alarm-below: {below}"), ("alarm-below: 12.5 V", "alarm-below: 9 V")
    )
    assert facts.detection.silent_alarms["bus-volts"] is noticed
    assert bool(facts.detection.loss_notice(("parts/alternator",), "cruise")) is noticed
    shooting = TroubleShooting(facts)
    first = [card for card in checklists(shooting).cards if card.shed]
    assert [card.unalarmed for card in first] == [not noticed] * len(first) and first


def test_a_timeline_says_once_that_a_battery_gives_nothing_more_before_the_change_over() -> None:
    lithium = (
        "lead-acid, construction: agm, capacity: 16 Ah, capacity-rate: 1 h",
        "lithium-iron-phosphate, open-circuit-voltage: 13.3 V, low-voltage-disconnect: 11.5 V, capacity: 16 Ah, capacity-rate: 1 h",
    )
    for facts, why in ((drawn(), "is empty"), (changed(lithium), "disconnects itself")):
        timeline = facts.detection.function_endurance("fuel").timeline
        assert [f"{e.what} {e.why}" for e in timeline].count(f"main-battery {why}") == 1
        assert not [e for e in timeline if e.event != "battery exhausted" and "main-battery" in e.why]


@cache
def cards() -> tuple[ChecklistCard, ...]:
    return checklists(TroubleShooting(drawn())).cards


def card_of(name: str, element: str) -> ChecklistCard:
    return next(c for c in cards() if c.sign.name == name and element in {f.element for f in c.outcomes})


def test_a_function_that_a_move_brings_back_counts_from_the_failure_whenever_the_move_is_made() -> None:
    """The reserve carries the engine for 20 min: after a dead main bus that is 20 min from the failure if the crew moves at once, not 25."""
    card = card_of("computer", "parts/main-bus")
    by_function = {one.function: one for one in card.limited}
    reserve = peukert_s(7.0, RESERVE_A, AGED * COLD)
    assert by_function["fuel"].unattended == 0
    assert by_function["fuel"].attended == pytest.approx(reserve, rel=0.03)


def test_a_display_that_goes_on_by_the_battery_inside_it_is_not_lost_at_once() -> None:
    fed, itself = card_of("efis-breaker", "parts/efis-breaker"), card_of("efis", "parts/efis")
    assert [f for f, _ in fed.lost_at_once] == []
    assert [(one.function, one.unattended) for one in fed.limited] == [("attitude", 1800)]
    assert itself.lost_at_once == (("attitude", HazardClass.HAZARDOUS),) and not itself.limited
    # effects, which count it as lost before the endurance is over, say when
    for failed, words in (("efis-breaker", " after 30 min"), ("efis", "")):
        effect = next(e for e in fail_of(drawn(), failed, "open").effects if e.functions)
        assert functions_lost(drawn().design, effect) == f"attitude (hazardous){words}"


def test_a_card_says_on_which_reading_the_crew_changes_over() -> None:
    """Less than all that bus-volts may read at first, and more than the pump needs."""
    card = card_of("bus-volts", "parts/alternator")
    lines = [line.text for line in card_lines(drawn().design, card)]
    says = "When bus-volts falls to 11.4 V or pump-1 or computer stops, in 34 min at the earliest: ENGINE SOURCE ... RESERVE"
    assert f"{says} (for fuel and injection)" in lines
    volts = {move.volts for one in card.limited for move in one.later}
    least = drawn().design.parts["pump-1"].minimum
    assert least is not None and card.seen is not None
    assert volts and all(one is not None and least < one < card.seen[0] for one in volts)


def test_a_degraded_battery_lead_drops_its_ohms_times_its_current() -> None:
    sound, worn = (
        solved_of(drawn(), None, failed).phases[0].point
        for failed in (["alternator"], ["alternator", "battery-1=degraded:0.05 ohm"])
    )
    assert sound is not None and worn is not None
    amperes = worn.given["parts/main-battery"]
    lead = worn.volts["main-battery.positive"] - worn.volts["main-contactor.battery"]
    own = (sound.volts["main-battery.positive"] - sound.volts["main-contactor.battery"]) / sound.given[
        "parts/main-battery"
    ]
    assert lead == pytest.approx(amperes * (0.05 + own), rel=1e-3)
    # power is asked for at fewer volts: more amperes
    assert amperes > sound.given["parts/main-battery"]


def test_fuel_is_lost_at_the_resistance_of_the_change_over_contact_worked_out_by_hand() -> None:
    """At 9 V the pump takes 4 A; the computer 84 W at what its wires leave of the volts on the engine bus."""
    point = solved_of(drawn(), None, []).phases[0].point
    assert point is not None
    volts, taken = point.volts, point.taken
    ohms = {
        n: (volts["engine-bus"] - point.across[f"parts/{n}"]) / taken[f"parts/{n}"]
        for n in ("pump-1", "computer")
    }
    bus = 9.0 + 4.0 * ohms["pump-1"]
    computer = bus / 2 + (bus**2 / 4 - 84 * ohms["computer"]) ** 0.5
    amperes = 4.0 + 84 / computer
    more = amperes - taken["parts/pump-1"] - taken["parts/computer"]
    feed = (volts["main-bus"] - volts["engine-bus"]) / (taken["parts/pump-1"] + taken["parts/computer"])
    upstream = (
        (volts["main-contactor.load"] - volts["main-bus"]) / point.amps["bus-1"]
        if "bus-1" in point.amps
        else 0.0
    )
    contact = (volts["main-bus"] - upstream * more - amperes * feed - bus) / amperes
    output = CliRunner().invoke(commands, ["fail", str(PATH), "engine-source", "--mode", "degraded"]).output
    told = re.search(r"fuel \(catastrophic\) is lost from (\d+\.\d+) ohm", re.sub(r"\s+", " ", output))
    assert told and float(told[1]) == pytest.approx(contact, rel=0.03)


def test_a_card_of_a_loss_that_only_a_later_alarm_shows_begins_with_that_alarm() -> None:
    """A lithium battery holds the bus above the alarm for a while; the fuse that a short opens is out of sight, and closed after the other causes."""
    lithium = (
        "lead-acid, construction: agm, capacity: 16 Ah, capacity-rate: 1 h",
        "lithium-iron-phosphate, open-circuit-voltage: 13.3 V, low-voltage-disconnect: 11.5 V, capacity: 16 Ah, capacity-rate: 1 h",
    )
    facts = changed(lithium)
    answer = checklists(TroubleShooting(facts))
    numbers = [
        n
        for n, c in enumerate(answer.cards, 1)
        if "parts/alternator" in {f.element for f in c.outcomes} and c.shed
    ]
    for number in numbers:
        card = answer.cards[number - 1]
        assert (
            card.alarm
            and card.alarm.monitor == "bus-volts"
            and title(facts.design, card) == "BUS-VOLTS ALARM"
        )
        low = next(one for one in answer.indications if one.sign.name == "bus-volts" and one.by == -1)
        assert number in low.cards
    assert numbers
    # with lead-acid the alarm comes with the loss, and is the sign
    lead = card_of("bus-volts", "parts/alternator")
    assert lead.alarm is None and title(drawn().design, lead) == "BUS-VOLTS LOW"
