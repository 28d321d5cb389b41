"""Coil leads wired to the wrong place, by eye, and the sentences that name them first."""

from __future__ import annotations

import pytest

from reviewer.analysis.switching.coil_leads import MiswiredLead, miswired_lead
from tests.analysis.small_designs import SmallDesign
from tests.edits import edited
from tests.rule_cases import assess, design, text

RELAY = "parts/relay"


def relay(plus: str | None, minus: str | None, kind: str = "make") -> SmallDesign:
    """A relay from the bus to a lamp; where its coil leads are wired, None for nowhere."""
    made = SmallDesign()
    made.add("relay", "relay", coil=["plus", "minus"], contacts={"one": {"kind": kind, "joins": ["a", "b"]}})
    made.wire("bus", "relay.a")
    made.load("lamp", start="relay.b")
    for lead, end in (("plus", plus), ("minus", minus)):
        if end == "switch":
            made.run(f"relay.{lead}", [made.switch("switch")], "ground")
        elif end is not None:
            made.wire(f"relay.{lead}", end)
    return made


def lead(made: SmallDesign) -> MiswiredLead | None:
    facts = made.facts()
    assert facts.switches.miswired_lead(RELAY) == miswired_lead(facts.network, facts.network.coils[0])
    return facts.switches.miswired_lead(RELAY)


@pytest.mark.parametrize(
    ("plus", "minus", "found"),
    [
        ("relay.b", "ground", MiswiredLead("relay.plus", "relay.b", "relay.a")),
        ("ground", "relay.b", MiswiredLead("relay.minus", "relay.b", "relay.a")),
        ("relay.b", "switch", MiswiredLead("relay.plus", "relay.b", "relay.a")),
        ("relay.a", None, MiswiredLead("relay.minus", "", "")),
        ("relay.a", "relay.b", MiswiredLead("relay.minus", "relay.b", "")),
        ("relay.b", "relay.a", MiswiredLead("relay.plus", "relay.b", "")),
        ("relay.a", "bus", MiswiredLead("relay.minus", "relay.a", "")),
        ("bus", "battery.positive", MiswiredLead("relay.minus", "relay.a", "")),
    ],
)
def test_the_lead_and_where_it_goes(plus: str, minus: str | None, found: MiswiredLead) -> None:
    assert lead(relay(plus, minus)) == found


@pytest.mark.parametrize(
    ("plus", "minus"),
    [("bus", "ground"), ("relay.a", "switch"), ("ground", "bus"), ("switch", "relay.a"), (None, None)],
)
def test_a_coil_with_a_feed_and_a_return_has_none(plus: str | None, minus: str | None) -> None:
    assert lead(relay(plus, minus)) is None


def test_a_relay_that_holds_itself_behind_a_start_button_has_none() -> None:
    made = relay("relay.b", "ground")
    made.run("bus", [made.switch("button")], "relay.plus")
    assert lead(made) is None


def test_a_coil_on_the_break_side_of_its_own_contact_has_a_feed() -> None:
    made = relay("bus", "ground", "break")
    assert lead(made) is None


DROPS = "relays-drop-out-when-switched-off"
APART = {"parts/main-contactor/coil": ["coil-plus", "coil-minus"]}


def wire(one: str, other: str) -> dict[str, str]:
    return {"from": one, "to": other, "gauge": "22 AWG", "length": "0.1 m"}


@pytest.mark.parametrize(
    ("rule", "edits", "cause"),
    [
        (
            "loads-and-coils-are-energised-in-some-state",
            {**APART, "wires/X1": wire("main-contactor.coil-plus", "main-contactor.load")},
            "Coil lead main-contactor.coil-plus is wired to main-contactor.load, behind its own contact, and must "
            "be wired to main-contactor.battery. main-contactor does not pick up",
        ),
        (
            "loads-and-coils-are-energised-in-some-state",
            {"parts/main-contactor/coil": ["load", "coil-minus"]},
            "Coil lead main-contactor.load is behind its own contact, and must be wired to main-contactor.battery. ",
        ),
        (
            "every-load-has-a-return-path",
            {"remove": ["wires/W6"]},
            "Coil lead main-contactor.coil-minus leads to no return and must lead to the negative of main-battery: ",
        ),
        (
            "every-load-has-a-return-path",
            {
                "remove": ["wires/W5"],
                **APART,
                "wires/X1": wire("main-contactor.coil-plus", "main-contactor.battery"),
                "wires/X2": wire("main-contactor.coil-minus", "main-contactor.load"),
            },
            "Coil lead main-contactor.coil-minus is wired to main-contactor.load and must lead to the negative of "
            "main-battery: main-contactor has no return path",
        ),
    ],
)
def test_the_sentence_names_the_lead_first(rule: str, edits: dict[str, object], cause: str) -> None:
    done = assess(rule, text(edited(design(DROPS, "bench"), edits)))
    (found,) = (f for f in done.findings if f.subject == "parts/main-contactor")
    assert found.sentence.startswith(cause)
