"""A coil is energised by current from a live plus, and not from a ground into which a shorted source feeds."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.network.negative_metal import negative_metal
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle import plain
from tests.oracle.circuit import circuit_of


def drawn(reversed: bool) -> SmallDesign:
    """A contactor with a diode inside, the right way round or ``reversed``, so that it shorts its supply; and
    a relay with a diode inside behind a breaker."""
    made = SmallDesign()
    contacts = {"main": {"kind": "make", "joins": ["line", "load"]}}
    plus, minus = ("two", "one") if reversed else ("one", "two")
    for name in ("contactor", "relay"):
        made.add(
            name,
            "contactor" if name == "contactor" else "relay",
            coil=["one", "two"],
            suppression="diode",
            contacts=contacts,
        )
        made.wire("bus", f"{name}.line")
    made.wire("bus", f"contactor.{plus}")
    made.run(f"contactor.{minus}", [made.switch("master")], "ground")
    made.run("bus", [made.protector("coil-breaker")], "relay.one")
    made.wire("relay.two", "ground")
    made.load("radio", start="relay.load")
    made.function("communication", "radio", loss="major")
    return made


@pytest.mark.parametrize("reversed", [True, False])
def test_a_coil_without_its_feed_is_de_energised_though_a_short_feeds_its_ground(reversed: bool) -> None:
    facts = drawn(reversed).facts()
    answer = cruise(facts)
    assert bool(answer.healthy.fed["parts/battery"][facts.network.node("ground")]) == reversed
    assert all(answer.healthy.energised[f"parts/{name}"] for name in ("contactor", "relay"))
    opened = fails(facts, "parts/coil-breaker")
    after = conduct(facts.network, answer.state, [(opened,)], answer.healthy)
    assert (after.energised["parts/contactor"], after.energised["parts/relay"]) == (1, 0)
    assert not after.powered["parts/radio"]


@pytest.mark.parametrize("reversed", [True, False])
def test_so_it_is_by_the_plain_evaluator(reversed: bool) -> None:
    facts = drawn(reversed).facts()
    circuit, state = circuit_of(facts.design), cruise(facts).state
    healthy = plain.solve(circuit, state)
    assert healthy.energised == {"parts/contactor": True, "parts/relay": True}
    after = plain.solve(circuit, state, [plain.Fault("parts/coil-breaker", plain.OPEN)], healthy)
    assert after.energised == {"parts/contactor": True, "parts/relay": False}


def test_a_source_that_a_wire_shorts_has_no_metal_of_its_negative() -> None:
    made = drawn(False)
    made.wire("bus", "ground")
    facts = made.facts()
    assert not negative_metal(facts.network)
    # as nothing parts plus and ground there, the coils stay as the source feeds them
    assert all(cruise(facts).healthy.energised[f"parts/{name}"] for name in ("contactor", "relay"))
