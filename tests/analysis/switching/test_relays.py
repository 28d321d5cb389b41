"""Relays that need what they restore, relays that stay energised, buses that live on."""

from __future__ import annotations

from tests.analysis.small_aircraft import small
from tests.rule_cases import design, facts, text

#: the coil of the master is fed from the bus that its own contact feeds; a switch of its own starts
#: it
SELF_HELD = (
    (
        "P3: {from: main-battery.positive, to: master-fuse.line",
        "P3: {from: main-bus.hold, to: master-fuse.line",
    ),
    (
        "  radio-bus: {kind: bus}",
        "  radio-bus: {kind: bus}\n  start: {kind: switch, positions: {off: [], on: [[line, load]]}}",
    ),
    (
        "  S1: {from: sender",
        "  X1: {from: main-battery.positive, to: start.line}\n  X2: {from: start.load, to: main-bus.start}\n  S1: {from: sender",
    ),
    (
        "cruise: {use: flight, engine: running, switches: {master-switch: on, radio-switch: on}}",
        "cruise: {use: flight, engine: stopped, switches: {master-switch: on, radio-switch: on, start: off}, dead: [main-bus]}",
    ),
    (
        "smoke: {use: abnormal, engine: running, switches: {master-switch: off, radio-switch: on}}",
        "starting: {use: abnormal, engine: stopped, switches: {master-switch: on, radio-switch: on, start: on}}",
    ),
    (
        "switches: {master-switch: off, radio-switch: off}}",
        "switches: {master-switch: off, radio-switch: off, start: off}}",
    ),
)


def test_a_coil_on_a_battery_drops_out_with_its_switch() -> None:
    switches = small().switches
    assert (
        switches.relays_held_energised == ()
        and switches.revived_buses == ()
        and switches.restoring_relays == ()
    )


def test_a_contactor_fed_by_its_own_contact_stays_energised_once_it_was_started() -> None:
    facts = small(*SELF_HELD)
    assert not facts.states.answer("cruise").healthy.energised["parts/master"]
    (held,) = facts.switches.relays_held_energised
    assert (held.relay, held.after, held.state, held.source) == (
        "parts/master",
        "starting",
        "cruise",
        "parts/main-battery",
    )
    assert held.commanded  # the switch of the coil is on in both
    assert held.path[-2:] == ("parts/master-fuse", "wires/P4")
    (revived,) = facts.switches.revived_buses
    assert (revived.bus, revived.after, revived.state) == ("main-bus", "starting", "cruise")


def test_a_relay_that_needs_the_bus_that_it_restores_does_not_pick_up() -> None:
    """A contactor from the reserve to the main bus, whose coil is fed by the main bus, commanded in smoke."""
    tie = (
        ("  radio-bus: {kind: bus}", "  radio-bus: {kind: bus}\n  tie: {kind: relay, coil: [plus, minus], contacts: {main: {kind: make, joins: [line, load]}}}\n"
         "  tie-switch: {kind: switch, positions: {off: [], on: [[line, load]]}}"),
        ("  S1: {from: sender", "  T1: {from: reserve.positive, to: tie.line}\n  T2: {from: tie.load, to: main-bus.tie}\n"
         "  T3: {from: main-bus.coil, to: tie-switch.line}\n  T4: {from: tie-switch.load, to: tie.plus}\n"
         "  T5: {from: tie.minus, to: block.tie}\n  S1: {from: sender"),
        ("master-switch: on, radio-switch: on}}", "master-switch: on, radio-switch: on, tie-switch: off}}"),
        ("smoke: {use: abnormal, engine: running, switches: {master-switch: off, radio-switch: on}}",
         "smoke: {use: abnormal, engine: stopped, switches: {master-switch: on, radio-switch: on, tie-switch: on}}"),
        ("switches: {master-switch: off, radio-switch: off}}", "switches: {master-switch: off, radio-switch: off, tie-switch: off}}"),
    )  # fmt: skip
    (found,) = small(*tie).switches.restoring_relays
    assert (found.relay, found.state) == ("parts/tie", "smoke") and "main-bus" in found.restores
    assert {"parts/main-battery"} <= {need.failure.element for need in found.needs}


def test_a_relay_that_is_switched_on_is_not_said_to_stay_energised() -> None:
    """Switched on with the master off, and fed by its own contact: it was off in cruise and in no state
    fails to drop out."""
    name = "a relay that is switched on with the master off, and fed by its own contact"
    drawn = facts(text(design("relays-drop-out-when-switched-off", name)))
    held = drawn.switches.relays_held_energised
    assert {h.state for h in held} == {"standby-alone"} and all(h.commanded for h in held)
    dropped = facts(text(design("relays-drop-out-when-switched-off", "unmet"))).switches
    assert not any(h.commanded for h in dropped.relays_held_energised)
