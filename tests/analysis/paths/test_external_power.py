"""External power sockets."""

from __future__ import annotations

from reviewer.analysis.paths.external_power import Socket
from tests.analysis.small_designs import SmallDesign


def socket(*chain: str, diode: bool = False, amperes: str = "100 A") -> Socket:
    """A socket to the bus through a ``contactor`` of its own, a ``breaker``, or nothing."""
    made = SmallDesign()
    made.add("socket", "external-power")
    made.wire("socket.negative", "ground")
    steps = []
    if "contactor" in chain:
        made.add(
            "contactor",
            "contactor",
            coil=["plus", "minus"],
            contacts={"main": {"kind": "make", "joins": ["in", "out"]}},
        )
        if diode:
            made.add("blocking", "diode")
            made.run("socket.positive", [("blocking.anode", "blocking.cathode")], "contactor.plus")
        else:
            made.wire("socket.positive", "contactor.plus")
        made.wire("contactor.minus", "ground")
        steps.append(("contactor.in", "contactor.out"))
    if "breaker" in chain:
        steps.append(made.protector("breaker"))
        made.parts["breaker"]["rating"] = amperes
    made.run("socket.positive", steps, "bus")
    return made.facts().paths.sockets["parts/socket"]


def test_a_plain_wire_is_unprotected_uncontrolled_and_has_live_pins() -> None:
    plain = socket()
    assert plain.unprotected and plain.uncontrolled and not plain.contactors
    assert plain.live_pins is not None and plain.live_pins[:2] == ("cruise", "parts/battery")


def test_a_breaker_protects_and_does_not_control() -> None:
    assert not socket("breaker").unprotected and socket("breaker").uncontrolled


def test_a_contactor_of_its_own_controls_it_and_leaves_the_pins_dead() -> None:
    controlled = socket("contactor", "breaker")
    assert (
        controlled.contactors == ("parts/contactor",)
        and not controlled.uncontrolled
        and controlled.live_pins is None
    )


def test_reversed_polarity_closes_a_contactor_without_a_diode_in_its_coil_circuit() -> None:
    assert socket("contactor").reversed_in == ("parts/contactor", "cruise")
    assert socket("contactor", diode=True).reversed_in is None


def test_a_breaker_too_small_to_crank_through_makes_a_port() -> None:
    assert not socket().port and not socket("breaker").port
    assert socket("breaker", amperes="15 A").port
    assert socket("breaker", amperes="15 A").reverse_reaches is None  # the battery opens the breaker
