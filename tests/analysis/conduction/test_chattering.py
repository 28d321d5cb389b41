"""Which relays chatter: a buzzer, two that take each other's power in a ring, and none of the others."""

from __future__ import annotations

from tests.analysis.small_designs import SmallDesign


def relay(made: SmallDesign, name: str, *contacts: str) -> None:
    """A relay with its coil from plus to minus and contacts ``make`` or ``break``, each of two terminals."""
    joins = {kind: {"kind": kind, "joins": [f"{kind}-in", f"{kind}-out"]} for kind in contacts}
    made.add(name, "relay", coil=["plus", "minus"], contacts=joins)
    made.wire(f"{name}.minus", "ground")


def through(name: str, kind: str) -> tuple[str, str]:
    """A contact as a piece of a chain."""
    return f"{name}.{kind}-in", f"{name}.{kind}-out"


def test_a_buzzer_chatters_and_what_it_feeds_does_not_count() -> None:
    made = SmallDesign()
    relay(made, "buzzer", "make", "break")
    relay(made, "steady", "make")
    relay(made, "fed", "make")
    made.run("bus", [through("buzzer", "break")], "buzzer.plus")
    made.wire("bus", "steady.plus")
    made.run("bus", [through("buzzer", "make")], "fed.plus")
    assert made.facts().states.chattering_relays("cruise") == ("parts/buzzer",)


def test_two_relays_of_a_ring_chatter() -> None:
    made = SmallDesign()
    relay(made, "one", "make")
    relay(made, "two", "break")
    made.run("bus", [through("two", "break")], "one.plus")
    made.run("bus", [through("one", "make")], "two.plus")
    assert set(made.facts().states.chattering_relays("cruise")) == {"parts/one", "parts/two"}


def test_a_relay_that_holds_itself_does_not_chatter() -> None:
    made = SmallDesign()
    relay(made, "holding", "make")
    made.run("bus", [made.switch("button")], "holding.plus")
    made.run("bus", [through("holding", "make")], "holding.plus")
    facts = made.facts()
    assert not facts.states.answer("cruise").healthy.unsettled
    assert facts.states.chattering_relays("cruise") == ()
