"""What a cause says to do can be done: one action for what it restores, no device too small for its load,
and none that would have to be smaller than a start allows."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.parts import Electromagnet
from reviewer.model.review import Review
from reviewer.reading import read_text
from reviewer.rulebook.dead_users import leaves_dead
from reviewer.rulebook.idle_contacts import idles_a_contact, runs_unasked
from reviewer.rulebook.rewirings import coil_ends, exchanged_contacts, with_coils
from reviewer.rulebook.trial_exchanges import coil_moved, exchanged, rated
from reviewer.rulebook.trial_judging import (
    cuts_off_an_alternator,
    grounds_a_magneto,
    moves_the_loss,
    takes_a_switch_its_use,
    takes_something_away,
)
from reviewer.rulebook.trial_overloads import overloads
from reviewer.rulebook.trial_repairs import Change, contact_exchanged, parted, short_lead
from reviewer.session import review_facts
from tests.rule_cases import RULES

HEAD = "format: 1\naircraft: {name: Repairs, nominal: 14 V, airframe: metal, stage: detailed}\n"
SWITCH = "{kind: switch, rating: 20 A, positions: {down: [], up: [[line, load]]}, label: "
#: a pump on the main bus, and one that is switched off behind a bus and a ground of its own
PUMPS = f"""{HEAD}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 20 Ah}}
  main-bus: {{kind: bus}}
  second-bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  second-ground: {{kind: ground-block}}
  second-switch: {SWITCH}PUMP 2, normal: down}}
circuits:
  A: "battery.positive > 8 AWG 0.1 m > fuse 30 A > 8 AWG 0.5 m > main-bus"
  B: "battery.positive > 8 AWG 0.1 m > fuse 30 A > 8 AWG 0.5 m > second-bus"
  C: "battery.negative > 8 AWG 0.5 m > ground"
  D: "battery.negative > 8 AWG 0.5 m > second-ground"
  E: "main-bus + breaker 10 A PUMP 1 > 16 AWG 1 m > pump (5 A) > 16 AWG 1 m > ground"
  F: "second-bus + breaker 10 A PUMP 2 > 16 AWG 1 m > second-switch.line"
  G: "second-switch.load > 16 AWG 1 m > second-pump (5 A) > 16 AWG 1 m > second-ground"
  H: "main-bus + breaker 5 A RADIO > 18 AWG 1 m > radio (1 A) > 18 AWG 1 m > ground"
functions: {{fuel: {{any: 1, of: [pump, second-pump], loss: catastrophic}}}}
operation: {{normal: cruise, states: {{cruise: {{switches: {{second-switch: down}}}}}}}}
"""
#: a breaker that is too large for its wire
THIN = f"""{HEAD}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 20 Ah}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
circuits:
  A: "battery.positive > 8 AWG 0.1 m > fuse 30 A > 8 AWG 0.5 m > bus"
  C: "battery.negative > 8 AWG 0.5 m > ground"
  E: "bus + breaker 20 A LIGHT > 20 AWG 1 m > light (AMPS A) > 12 AWG 1 m > ground"
operation: {{normal: cruise, states: {{cruise: {{}}}}}}
"""
#: a current limiter in the cable from the battery to the bus
STARTER = f"""{HEAD}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 20 Ah}}
  contactor: {{kind: contactor, coil: [plus, minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
  starter: {{kind: load, type: starter, current: 150 A}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  button: {{kind: switch, positions: {{out: [], in: [[line, load]]}}, momentary: [in], normal: out}}
circuits:
  A: "battery.positive > 4 AWG 0.1 m > limiter 200 A > 4 AWG 0.5 m > bus"
  C: "battery.negative > 4 AWG 0.5 m > ground"
  D: "FROM > 4 AWG 0.5 m > contactor.line"
  E: "contactor.load > 4 AWG 0.5 m > starter.supply"
  F: "starter.return > 4 AWG 0.5 m > ground"
  G: "bus + breaker 5 A START > 18 AWG 0.5 m > button.line"
  H: "button.load > 18 AWG 0.5 m > contactor.plus"
  I: "contactor.minus > 18 AWG 0.5 m > ground"
operation:
  normal: cruise
  states:
    cruise: {{switches: {{button: out}}}}
    cranking: {{use: ground, engine: cranking, switches: {{button: in}}}}
"""


def reviewed(text: str, *rules: str) -> Review:
    judged = [RULES[name] for name in rules] or list(RULES.values())
    return review_facts(Facts(read_text(text, "x")), Path("x"), judged)


def test_what_one_action_of_the_crew_restores_is_one_cause() -> None:
    grave = [c for c in reviewed(PUMPS).causes if "loss of fuel" in c.headline.sentence]
    (by_hand,) = (c for c in grave if "Declare setting second-switch to up" in c.repair)
    # what loses the battery too is another matter
    assert len(by_hand.findings) == 3 and len(grave) == 2
    # nothing restores a pump whose switch is jammed off: there is none
    without = PUMPS.replace("[pump, second-pump]", "[pump]")
    apart = [c for c in reviewed(without).causes if "loss of fuel" in c.headline.sentence]
    assert len(apart) > 2 and not any("Declare" in c.repair for c in apart)


@pytest.mark.parametrize(("amps", "fits"), [("3", True), ("12", False)])
def test_a_smaller_breaker_is_tried_where_it_carries_the_load(amps: str, fits: bool) -> None:
    text = THIN.replace("AMPS", amps)
    found = reviewed(text, "circuit-protection-fits-its-wire").findings
    assert [f.subject for f in found] == ["parts/E-breaker"]
    repair = rated("parts/E-breaker", found, Facts(read_text(text, "x")))
    ratings = [way.parts["E-breaker"].rating for way in repair.ways] if repair else []
    assert ratings == (pytest.approx([7.5, 3.75]) if fits else [])


@pytest.mark.parametrize(("start", "finds"), [("bus", False), ("battery.positive", True)])
def test_a_limiter_may_be_as_large_as_the_start_that_it_passes(start: str, finds: bool) -> None:
    """It is too large for the cable of a bus from which no starter is fed."""
    names = (
        "circuit-protection-fits-its-wire",
        "smaller-wire-downstream-stays-protected",
        "return-wires-are-within-their-circuit-protection",
    )
    subjects = {f.subject for f in reviewed(STARTER.replace("FROM", start), *names).findings}
    assert ("parts/A-limiter" in subjects) == finds
    assert not subjects & {"wires/D-1", "wires/E-1", "wires/F-1", "wires/C-1"}


#: a tie between two buses of a battery each, its coil switched in the feed from one of them
TIE = f"""{HEAD}
parts:
  battery: {{kind: battery}}
  second-battery: {{kind: battery}}
  bus: {{kind: bus}}
  second-bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  tie: {{kind: contactor, coil: [plus, minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
  master: {SWITCH}MASTER}}
  tie-switch: {SWITCH}TIE}}
circuits:
  A: "battery.positive > bus"
  B: "second-battery.positive > master > second-bus"
  C: "battery.negative > ground > second-battery.negative"
  D: "bus > tie.line/load > second-bus"
  E: "bus > tie-switch > tie.plus"
  F: "tie.minus > ground"
  G: "second-bus > radio (1 A) > ground"
operation:
  normal: cruise
  states:
    cruise: {{switches: {{master: up, tie-switch: down}}}}
    tied: {{use: abnormal, switches: {{master: down, tie-switch: up}}}}
    dark: {{use: abnormal, switches: {{master: down, tie-switch: down}}}}
"""


def test_a_coil_is_fed_from_elsewhere_only_where_its_relay_picks_up_as_before() -> None:
    facts = Facts(read_text(TIE, "x"))
    relay = facts.design.part("tie", Electromagnet)
    ways = list(coil_ends("tie", relay, facts))
    ends = {way.parts["tie"].coil for way in ways}
    assert ("plus", "line") in ends  # both ends at a positive: it never picks up again
    finding = SimpleNamespace(subject="parts/tie", failure="", evidence=SimpleNamespace(changes=()))
    trial = coil_moved("x", (finding,), facts)  # type: ignore[arg-type]
    for way in trial.ways if trial else ():
        tied = Facts(way.made_in(facts.as_written)).states.answer("tied")
        assert tied.healthy.energised["parts/tie"]


def test_a_cross_feed_keeps_the_only_wire_of_its_contact() -> None:
    tied = "{use: abnormal, switches: {master: up, tie-switch: up}}"
    review = reviewed(f"{TIE}    both: {tied}\n", "no-source-backfeeds-another")
    assert [f.rule for f in review.findings] == ["no-source-backfeeds-another"]
    assert not any("Take" in cause.tried for cause in review.causes)


@pytest.mark.parametrize(("bus", "moves"), [("second-bus", True), ("other-bus", False)])
def test_a_feed_from_another_bus_of_the_battery_that_fails_moves_the_loss_to_that_bus(
    bus: str, moves: bool
) -> None:
    """A feed from the bus of another battery, which has a return of its own, puts it right."""
    second = """
  other: {kind: battery, chemistry: lead-acid, capacity: 20 Ah}
  other-bus: {kind: bus}
circuits:
  O: "other.positive > 8 AWG 0.1 m > fuse 30 A > 8 AWG 0.5 m > other-bus"
  P: "other.negative > 8 AWG 0.5 m > ground"
"""
    both = PUMPS.replace("second-switch: down", "second-switch: up")
    facts = Facts(read_text(both.replace("\ncircuits:\n", second), "x"))
    rule = "no-single-supply-failure-stops-a-critical-function"
    asking = next(
        f for f in review_facts(facts, Path("x"), [RULES[rule]]).findings if f.subject == "parts/battery"
    )
    moved = {"E-breaker": facts.design.parts["E-breaker"].model_copy(update={"plugged_on": bus})}
    repaired = Facts(Change(parts=moved).made_in(facts.as_written))
    assert moves_the_loss(asking, facts, repaired) is moves


#: a battery contactor and an ignition switch, with a generator that charges behind the contactor
MASTER = f"""{HEAD}
parts:
  battery: {{kind: battery}}
  contactor: {{kind: contactor, coil: [line, minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
  master: {SWITCH}MASTER}}
  key: {{kind: switch, positions: {{off: [[lead, ground]], on: [[spare, other]]}}, unused: [spare, other], label: KEY}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  magneto: {{kind: magneto}}
  generator: {{kind: alternator, excitation: permanent-magnet}}
circuits:
  A: "battery.positive > contactor.line"
  B: "contactor.minus > master > ground"
  C: "contactor.load > bus"
  D: "generator.output > bus"
  E: "generator.ground > ground > battery.negative"
  F: "bus > radio (1 A) > ground"
  G: "magneto.p-lead > key.lead/ground > ground"
  H: "magneto.ground > ground"
  I: "battery.positive > clock (0.1 A) > ground"
operation:
  normal: cruise
  states:
    cruise: {{engine: running, switches: {{master: up, key: on}}}}
    parked: {{use: ground, engine: stopped, switches: {{master: down, key: "off"}}, DEAD}}
"""


@pytest.mark.parametrize(
    ("moved", "dead", "useless"),
    [
        # the bus past the contactor: only what the file says makes that wrong, as a bus may be always live
        ({"C-1": {"contactor.load": "contactor.line"}}, "dead: [bus]", True),
        ({"C-1": {"contactor.load": "contactor.line"}}, "dead: []", False),
        # the coil past its switch: the contactor never opens again
        ({"B-1": {"master.line": "ground.coil"}}, "dead: []", True),
        # the lead that grounds a magneto
        ({"G-1": {"key.lead": "key.spare"}}, "silent: [magneto]", True),
        ({"G-1": {"key.lead": "key.spare"}}, "dead: []", False),
        # a load on another bus takes no switch its use
        ({"F-1": {"bus.F": "battery.positive"}}, "dead: [bus]", False),
    ],
)
def test_no_repair_takes_a_switch_its_use(moved: dict[str, dict[str, str]], dead: str, useless: bool) -> None:
    facts = Facts(read_text(MASTER.replace("DEAD", dead), "x"))
    assert takes_a_switch_its_use(facts, Facts(Change(moved).made_in(facts.as_written))) == useless


@pytest.mark.parametrize(("kind", "useless"), [("dimmer", False), ("relay", True)])
def test_a_dimmer_that_has_its_ground_in_all_states_takes_no_switch_its_use(kind: str, useless: bool) -> None:
    """It is switched by its supply; a relay that picks up in all states switches nothing any more."""
    drawn = MASTER.replace("DEAD", "dead: []")
    dimmed = "circuits:\n  J: battery.positive > dimmer.input/output > lights (0.5 A) > ground\n"
    relay = dimmed.replace("dimmer.input/output", "relay.line/load")
    coils = "relay: {kind: relay, coil: [line, minus], contacts: {main: {kind: make, joins: [line, load]}}}"
    part, circuit, end = {
        "dimmer": ("dimmer: {kind: dimmer}", dimmed, "dimmer.ground"),
        "relay": (coils, relay, "relay.minus"),
    }[kind]
    drawn = drawn.replace("circuits:\n", f"  {part}\n{circuit}", 1)
    facts = Facts(read_text(drawn, "x"))
    lead = short_lead(facts.as_written, "E-2", end, "ground.dimmer")
    repaired = Facts(Change(wires={"lead": lead}).made_in(facts.as_written))
    assert takes_a_switch_its_use(facts, repaired) == useless
    assert all(a.healthy.powered["parts/lights"] for a in repaired.states.answers())


@pytest.mark.parametrize(
    ("end", "silent", "grounds"),
    [
        # past the switch the magneto is grounded in flight too; on a terminal without a wire it fires always
        ("ground.key", "silent: [magneto]", True),
        ("key.spare", "dead: []", False),
    ],
)
def test_no_repair_grounds_a_magneto_in_flight(end: str, silent: str, grounds: bool) -> None:
    facts = Facts(read_text(MASTER.replace("DEAD", silent), "x"))
    repaired = Facts(Change({"G-1": {"key.lead": end}}).made_in(facts.as_written))
    assert grounds_a_magneto(facts, repaired) == takes_something_away(facts, repaired) == grounds


@pytest.mark.parametrize(("wire", "end", "cut"), [("D-1", "generator.output", True), ("F-1", "bus.F", False)])
def test_no_repair_cuts_an_alternator_off(wire: str, end: str, cut: bool) -> None:
    facts = Facts(read_text(MASTER.replace("DEAD", "dead: []"), "x"))
    repaired = Facts(parted(wire, end, facts.as_written).made_in(facts.as_written))
    assert cuts_off_an_alternator(facts, repaired) == cut


@pytest.mark.parametrize(
    ("coil", "dead"),
    [
        # the lead of the coil taken off: the contactor picks up no more, and feeds nothing
        ({"B-1": {"contactor.minus": "ground.off"}}, True),
        # its switch closed the other way round: it picks up with that
        ({"B-2": {"master.load": "master.line"}, "B-1": {"master.line": "master.load"}}, False),
    ],
)
def test_no_repair_leaves_a_coil_or_load_dead(coil: dict[str, dict[str, str]], dead: bool) -> None:
    facts = Facts(read_text(MASTER.replace("DEAD", "dead: []"), "x"))
    repaired = Facts(Change(coil).made_in(facts.as_written))
    assert leaves_dead(facts, repaired) == dead
    assert takes_something_away(facts, repaired) >= dead


@pytest.mark.parametrize(("coil", "causes"), [("minus, line", 1), ("line, minus", 0)])
def test_a_coil_whose_diode_shorts_its_supply_is_one_cause_with_all_that_the_short_does(
    coil: str, causes: int
) -> None:
    drawn = MASTER.replace("DEAD", "dead: []").replace("[line, minus]", f"[{coil}], suppression: diode")
    review = review_facts(Facts(read_text(drawn, "x")), Path("x"), list(RULES.values()), trials=False)
    of_short = [c for c in review.causes if "Exchange the leads at the coil of contactor." in c.tried]
    assert len(of_short) == causes and not review.dropped_trials
    assert all("The coil of contactor is reversed" in cause.headline.sentence for cause in of_short)
    left = [f.sentence for c in review.causes if c not in of_short for f in c.standing]
    assert not any("shorted" in sentence for sentence in left)


@pytest.mark.parametrize(
    ("fed", "causes"), [("bus > fuse 5 A > key.lead", 1), ("bus > fuse 5 A > clock-2 (0.1 A) > ground", 0)]
)
def test_what_feeds_a_p_lead_is_one_cause_and_is_taken_off_it(fed: str, causes: int) -> None:
    drawn = MASTER.replace("DEAD", "silent: [magneto]").replace("  I: ", f'  J: "{fed}"\n  I: ')
    review = review_facts(Facts(read_text(drawn, "x")), Path("x"), list(RULES.values()), trials=False)
    live = [cause for cause in review.causes if "The p-lead of magneto is live" in cause.headline.sentence]
    assert [cause.tried for cause in live] == ["Take J-2 off key.lead."] * causes
    assert not review.dropped_trials


#: a horn behind the switches of two gear legs, a trim motor between two relays, and a pump that a pressure
#: switch stops
RESTING = f"""{HEAD}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 20 Ah}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  horn-splice: {{kind: splice}}
  left: {{kind: switch, operated-by: gear, at-rest: up, positions: {{up: [[line, up]], down: [[line, down]]}}}}
  right: {{kind: switch, operated-by: gear, at-rest: up, positions: {{up: [[line, up]], down: [[line, down]]}}}}
  nose-up: RELAY
  nose-down: RELAY
  stick: {{kind: switch, momentary: [up, down], positions: {{up: [[up, ground]], centre: [], down: [[down, ground]]}}}}
  motor: {{kind: load, type: motor, reversible: true, current: 0.5 A, DUTY}}
  pressure: {{kind: switch, operated-by: pressure, at-rest: low, positions: {{low: [[line, load]], high: []}}}}
  contactor: {{kind: contactor, coil: [plus, minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
circuits:
  A: "battery.positive > fuse 30 A > bus"
  B: "battery.negative > ground"
  C: "bus > fuse 2 A > left.line"
  D: "bus > fuse 2 A > right.line"
  E: "left.up > horn-splice"
  F: "right.up > horn-splice"
  G: "horn-splice > horn (0.1 A) > ground"
  H: "bus > breaker 2 A > nose-up.no"
  I: "bus > breaker 2 A > nose-down.no"
  J: "nose-up.nc > ground"
  K: "nose-down.nc > ground"
  L: "nose-up.com > motor.supply"
  M: "nose-down.com > motor.return"
  N: "bus > breaker 2 A > nose-up.plus"
  O: "bus > breaker 2 A > nose-down.plus"
  P: "nose-up.minus > stick.up"
  Q: "nose-down.minus > stick.down"
  R: "stick.ground > ground"
  S: "bus > breaker 50 A > contactor.line"
  T: "contactor.load > pump (20 A, motor, intermittent) > ground"
  U: "bus > breaker 2 A > pressure > contactor.plus"
  V: "contactor.minus > ground"
functions: {{trim: {{any: 1, of: [motor], loss: minor}}}}
operation:
  normal: cruise
  states:
    cruise: {{engine: running, switches: {{left: up, right: up, stick: centre, pressure: high}}, WITHOUT}}
    trimming: {{like: cruise, use: flight, switches: {{stick: up}}}}
    pumping: {{like: cruise, use: flight, switches: {{pressure: low}}, WITHOUT}}
""".replace(
    "RELAY",
    "{kind: relay, coil: [plus, minus], "
    "contacts: {main: {kind: changeover, common: com, de-energised: nc, energised: no}}}",
)


def resting(
    duty: str = "duty: intermittent", without: str = "without: [trim]", drawn: str = RESTING
) -> Facts:
    return Facts(read_text(drawn.replace("DUTY", duty).replace("WITHOUT", without), "x"))


@pytest.mark.parametrize(
    ("moved", "idle"),
    [
        # a leg that leads nowhere: its switch warns of nothing any more
        ({"E-1": {"left.up": "bus.E"}}, True),
        # the horn moved: each leg still leads to the contact of the other one
        ({"G-1": {"horn-splice.G": "left.down"}}, False),
        # a lead moved from one terminal to another of one switch, and one of two leads at a terminal
        ({"E-1": {"left.up": "left.down"}}, False),
        ({"C-1": {"bus.C": "bus.other"}}, False),
        # the coil past the stick
        ({"P-1": {"stick.up": "ground.P"}}, True),
    ],
)
def test_no_repair_leaves_a_contact_with_nothing_behind_it(
    moved: dict[str, dict[str, str]], idle: bool
) -> None:
    facts = resting()
    repaired = Facts(Change(moved).made_in(facts.as_written))
    assert idles_a_contact(facts, repaired) == idle
    assert takes_something_away(facts, repaired) >= idle


@pytest.mark.parametrize(("second", "idle"), [("lamp.supply", False), ("second-lamp.supply", True)])
def test_one_of_two_leads_to_what_a_switch_feeds_by_the_other_is_left_off(second: str, idle: bool) -> None:
    drawn = f"""{HEAD}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 20 Ah}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  double: {{kind: switch, positions: {{down: [], up: [[line, load], [other-line, other-load]]}}}}
  lamp: {{kind: load, type: lamp, current: 0.1 A}}
  second-lamp: {{kind: load, type: lamp, current: 0.1 A}}
circuits:
  A: "battery.positive > fuse 30 A > bus"
  B: "battery.negative > ground"
  C: "bus > fuse 2 A > double.line"
  D: "bus > fuse 2 A > double.other-line"
  E: "double.load > lamp.supply"
  F: "double.other-load > {second}"
  G: "lamp.return > ground"
  H: "second-lamp.return > ground"
operation:
  normal: cruise
  states:
    cruise: {{engine: running, switches: {{double: up}}}}
"""
    facts = Facts(read_text(drawn, "x"))
    repaired = Facts(Change({"F-1": {"double.other-load": "double.load"}}).made_in(facts.as_written))
    assert idles_a_contact(facts, repaired) == idle


@pytest.mark.parametrize(
    ("duty", "without", "unasked"),
    [
        ("duty: intermittent", "without: [trim]", True),
        ("duty: intermittent", "without: []", True),
        ("duty: continuous", "without: [trim]", True),
        ("duty: continuous", "without: []", False),
        # what a switch inside may stop
        ("duty: intermittent, current: {flight: 0 A}", "without: []", False),
    ],
)
def test_no_repair_runs_what_is_to_rest(duty: str, without: str, unasked: bool) -> None:
    drawn = RESTING.replace("current: 0.5 A, ", "" if "current" in duty else "current: 0.5 A, ")
    if "current" in duty:
        drawn += "  phases: {flight: {state: cruise, duration: 1 h}}\n"
    facts = resting(duty, without, drawn)
    change = contact_exchanged("nose-up", facts.as_written)
    assert change is not None
    repaired = Facts(change.made_in(facts.as_written))
    assert runs_unasked(facts, repaired) == unasked


def test_a_repair_runs_what_ran_in_no_state_where_it_is_wanted() -> None:
    """The contacts of one relay drawn the wrong way round: exchanged, the motor rests in cruise."""
    turned = RESTING.replace("> nose-up.no", "> nose-up.x").replace("nose-up.nc", "nose-up.no")
    facts = resting(drawn=turned.replace("nose-up.x", "nose-up.nc"))
    assert facts.states.answer("cruise").healthy.powered["parts/motor"]
    change = contact_exchanged("nose-up", facts.as_written)
    assert change is not None
    assert not runs_unasked(facts, Facts(change.made_in(facts.as_written)))


def test_the_contacts_of_a_pressure_switch_are_exchanged_before_those_of_its_contactor() -> None:
    """A contactor that is closed at rest would run the pump once its control is lost."""
    turned = RESTING.replace("{low: [[line, load]], high: []}", "{low: [], high: [[line, load]]}")
    path, nothing = ("parts/contactor", "wires/T-1", "parts/pump"), ()
    evidence = SimpleNamespace(changes=nothing, path=path, elements=nothing)
    finding = SimpleNamespace(subject="parts/pump", evidence=evidence)
    trial = exchanged("x", (finding,), resting(drawn=turned))  # type: ignore[arg-type]
    assert trial and [list(way.parts) for way in trial.ways] == [["pressure"], ["contactor"]]
    facts = resting(drawn=turned)
    ways = exchanged_contacts(with_coils(["parts/pump"], "cruise", facts), "cruise", facts)
    assert [list(way.parts) for way in ways] == [["pressure"], ["contactor"]]


#: a pump whose lead is to go on the switch of a small device, which is behind a breaker of its own
SPARE = f"""{HEAD}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 20 Ah, internal-resistance: 0.01 ohm}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  pump-switch: {SWITCH}PUMP, normal: up}}
  small-switch: {{kind: switch, rating: RATED, positions: {{down: [], up: [[line, load], [line, spare]]}}, label: SMALL, normal: up}}
circuits:
  A: "battery.positive > 8 AWG 0.1 m > fuse 30 A > 8 AWG 0.5 m > bus"
  B: "battery.negative > 8 AWG 0.5 m > ground"
  E: "bus + breaker 10 A PUMP > 16 AWG 1 m > pump-switch.line"
  F: "pump-switch.load > 16 AWG 1 m > pump (4 A) > 16 AWG 1 m > ground"
  G: "bus + breaker BREAKER SMALL > 16 AWG 1 m > small-switch.line"
  H: "small-switch.load > 20 AWG 1 m > lamp (0.5 A) > 20 AWG 1 m > ground"
operation: {{normal: cruise, states: {{cruise: {{switches: {{pump-switch: up, small-switch: up}}}}}}}}
"""


@pytest.mark.parametrize(
    ("rated_at", "breaker", "too_small"),
    [
        ("20 A", "10 A", False),
        ("3 A", "10 A", True),
        # the contact carries the pump, and the breaker ahead of it does not
        ("20 A", "2 A", True),
    ],
)
def test_no_repair_puts_a_lead_on_a_device_that_is_too_small_for_it(
    rated_at: str, breaker: str, too_small: bool
) -> None:
    facts = Facts(read_text(SPARE.replace("RATED", rated_at).replace("BREAKER", breaker), "x"))
    change = Change({"F-1": {"pump-switch.load": "small-switch.spare"}})
    assert overloads(change, facts, Facts(change.made_in(facts.as_written))) == too_small
    stays = Change({"F-1": {"pump-switch.load": "pump-switch.line"}})  # on devices that carry it as drawn
    assert not overloads(stays, facts, Facts(stays.made_in(facts.as_written)))
