"""What drives the inputs of instruments, and which inputs are dragged down."""

from __future__ import annotations

from tests.analysis.small_aircraft import small

SECOND = (
    "  sender: {kind: sensor",
    "  logger: {kind: instrument, current: 0.1 A, inputs: {level: {signal: level-in}}}\n  sender: {kind: sensor",
)
WIRED = (
    "  S1: {from: sender.signal",
    "  L1: {from: main-bus.logger, to: logger.supply, resistance: 0.01 ohm}\n"
    "  L2: {from: logger.return, to: block.logger, resistance: 0.01 ohm}\n"
    "  S2: {from: sender.signal, to: logger.level-in, resistance: 0.01 ohm}\n  S1: {from: sender.signal",
)


def test_a_sender_drives_the_input_and_reaches_no_supply() -> None:
    facts = small()
    entry = facts.design.parts["radio"].inputs["level"]
    found = facts.grounds.drive("radio", entry)
    assert (found.sensor, found.contact, found.direct, found.to_supply) == (True, False, False, False)


def test_an_input_on_a_switch_is_driven_by_a_contact_to_ground() -> None:
    facts = small(
        (
            "S1: {from: sender.signal, to: radio.level-in,",
            "S1: {from: master-switch.line, to: radio.level-in,",
        )
    )
    entry = facts.design.parts["radio"].inputs["level"]
    found = facts.grounds.drive("radio", entry)
    assert found.contact and found.to_ground


def test_an_input_is_dragged_down_by_an_instrument_that_is_off_while_the_other_works() -> None:
    """In smoke the radio works on the reserve and the logger on the main bus is dark."""
    facts = small(SECOND, WIRED)
    (dragged,) = facts.grounds.dragged_inputs["radio"]
    assert (dragged.input, dragged.other) == ("level", "logger")


def test_two_channels_that_read_one_sender_share_it() -> None:
    facts = small(SECOND, WIRED, ("voice: {any: 1, of: [radio]", "voice: {any: 1, of: [radio, logger]"))
    (shared,) = facts.grounds.shared_sensors["voice"]
    assert (set(shared.instruments), shared.sensor) == ({"radio", "logger"}, "sender")
