"""A power-up card says of a relay that it pulls in only where the supply gives its coil the pickup voltage."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.questions.power_steps import Act, PowerCard
from reviewer.questions.power_up import power_up
from reviewer.reading import read_text
from tests.edits import edited
from tests.rule_cases import BASES, parsed, text

CONTACTS = {"main": {"kind": "make", "joins": ["line", "load"]}}


def cards(pickup: str, length: str, current: str = "0.2 A") -> list[PowerCard]:
    """The cards of a relay at the main bus, with a lead to its coil of some length."""
    relay: dict[str, Any] = {
        "kind": "relay",
        "coil": ["plus", "minus"],
        "contacts": CONTACTS,
        "suppression": "internal",
        "coil-current": current,
        "pickup-voltage": pickup,
    }
    data = edited(
        parsed(BASES / "bench.yaml"),
        {
            "parts/coil-breaker": {"kind": "breaker", "rating": "5 A", "label": "CHARGE"},
            "parts/charge-relay": relay,
            "wires/W90": {
                "from": "main-bus.charge",
                "to": "coil-breaker.line",
                "gauge": "20 AWG",
                "length": "0.1 m",
            },
            "wires/W91": {
                "from": "coil-breaker.load",
                "to": "charge-relay.plus",
                "gauge": "24 AWG",
                "length": length,
            },
            "wires/W92": {
                "from": "charge-relay.minus",
                "to": "main-ground.coil",
                "gauge": "20 AWG",
                "length": "0.1 m",
            },
        },
    )
    return [c for c in power_up(Facts(read_text(text(data), "bench"))) if c.name == "coil of charge-relay"]


def asks_contacts(card: PowerCard) -> bool:
    return any(step.act is Act.CONTACT for step in card.steps)


def test_a_relay_that_only_charging_picks_up_has_no_card_on_a_supply() -> None:
    assert cards("13.4 V", "0.3 m") == []


@pytest.mark.parametrize(("length", "current", "sure"), [("0.3 m", "0.2 A", True), ("40 m", "1 A", False)])
def test_what_its_contacts_do_is_asked_where_the_coil_surely_has_its_pickup_voltage(
    length: str, current: str, sure: bool
) -> None:
    (card,) = cards("11 V", length, current)
    assert asks_contacts(card) is sure
    assert any(step.act is Act.COIL for step in card.steps)
