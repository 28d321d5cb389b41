"""What nothing energises, against every setting of the switches solved by the plain evaluator."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from types import MappingProxyType

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState
from tests.analysis.small_designs import SmallDesign
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import solve
from tests.rule_cases import design, facts, text

RULE = "loads-and-coils-are-energised-in-some-state"


def settings(made: Facts) -> Iterator[ResolvedState]:
    """Every legal or illegal setting, the engine running and stopped, external power on and off."""
    base = replace(made.states.answers()[0].state, pulled=())
    choices = {s: list(made.design.parts[s].positions) for s in made.design.of_kind(p.Switch)}
    for engine, outside, *at in product(("running", "stopped"), (True, False), *choices.values()):
        switches = MappingProxyType(dict(zip(choices, at, strict=True)))
        yield replace(base, engine=engine, external_power=outside, switches=switches)


@pytest.mark.parametrize(
    "case",
    [
        "met",
        "unmet",
        "the relay holds itself, and a button that springs back picks it up",
        "a contactor of a battery with its coil on the bus that it feeds",
        "that contactor waits for a relay whose coil is on the load side of its own contact",
        "the ground of one of them is left out",
    ],
)
def test_what_is_never_energised_is_off_in_every_setting_of_the_plain_evaluator(case: str) -> None:
    made = facts(text(design(RULE, case)))
    circuit, seen = circuit_of(made.design), set[str]()
    for state in settings(made):
        answer = solve(circuit, state)
        seen |= {e for on in (answer.powered, answer.energised) for e, yes in on.items() if yes}
    users = {u.element for u in (*circuit.consumers, *circuit.coils)}
    assert set(made.switches.never_energised.dead) == users - seen


@pytest.mark.parametrize("own", [True, False], ids=["behind its own contact", "from the socket alone"])
def test_a_contactor_behind_its_own_contact_is_a_reason_of_its_own_whatever_else_would_energise_it(
    own: bool,
) -> None:
    """The external contactor would make the bus live and so the battery contactor pick up; both are wrong.
    A coil that only the external contactor feeds waits for that one, which is the one reason."""
    feed = "K1: {from: bus.coil, to: battery-contactor.coil-plus}" if own else FROM_SOCKET
    made = facts(TWO_CONTACTORS.format(feed=feed))
    found = {one.element: set(one.also) for one in made.switches.never_energised.reasons(())}
    battery, outside, lamp = "parts/battery-contactor", "parts/external-contactor", "parts/lamp"
    assert found == ({battery: {lamp}, outside: set()} if own else {outside: {battery, lamp}})


FROM_SOCKET = "K1: {from: external-contactor.load, to: battery-contactor.coil-plus}"
TWO_CONTACTORS = """\
format: 1
aircraft: {{name: X, nominal: 14 V, airframe: metal, stage: detailed}}
parts:
  battery: {{kind: battery}}
  socket: {{kind: external-power}}
  battery-contactor: {{kind: contactor, coil: [coil-plus, coil-minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
  external-contactor: {{kind: contactor, coil: [coil-plus, coil-minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
  diode: {{kind: diode, duty: polarity, protects: external-contactor}}
  bus-diode: {{kind: diode, duty: isolation, protects: socket}}
  master: {{kind: switch, positions: {{"off": [], "on": [[line, load]]}}}}
  bus: {{kind: bus}}
  lamp: {{kind: load}}
wires:
  B1: {{from: battery.positive, to: battery-contactor.line}}
  B2: {{from: battery-contactor.load, to: bus.battery}}
  {feed}
  K2: {{from: battery-contactor.coil-minus, to: master.line}}
  K3: {{from: master.load, to: battery.negative}}
  X1: {{from: socket.positive, to: external-contactor.line}}
  X2: {{from: external-contactor.load, to: bus-diode.anode}}
  X7: {{from: bus-diode.cathode, to: bus.external}}
  X3: {{from: socket.negative, to: battery.negative}}
  X4: {{from: socket.positive, to: diode.cathode}}
  X5: {{from: diode.anode, to: external-contactor.coil-plus}}
  X6: {{from: external-contactor.coil-minus, to: battery.negative}}
  L1: {{from: bus.lamp, to: lamp.supply}}
  L2: {{from: lamp.return, to: battery.negative}}
operation:
  normal: parked
  states: {{parked: {{engine: stopped, switches: {{master: "on"}}}}}}
"""


@pytest.mark.parametrize("joined", [True, False])
def test_a_motor_that_the_socket_alone_runs_in_reverse_runs_both_ways(joined: bool) -> None:
    """A door motor that closes on the bus and opens on external power, and the same with the wire from the socket left out."""
    made = SmallDesign()
    made.add("socket", "external-power")
    made.wire("socket.negative", "ground")
    positions = {
        "close": [["bus", "up"], ["first", "down"]],
        "open": [["socket", "down"], ["second", "up"]],
    }
    made.add("selector", "switch", positions=positions)
    for terminal, end in (("bus", "bus"), ("first", "ground"), ("second", "ground")):
        made.wire(f"selector.{terminal}", end)
    if joined:
        made.wire("selector.socket", "socket.positive")
    made.add("door", "load", type="motor", reversible=True)
    made.wire("selector.up", "door.supply")
    made.wire("selector.down", "door.return")
    found = made.facts(switches={"selector": "close"}).switches.one_way_motors
    assert dict(found) == ({} if joined else {"parts/door": "door.return"})


@pytest.mark.parametrize(
    ("lower", "found"),
    [
        ([["bus", "down"], ["return", "up"]], {}),
        ([["bus", "down"], ["return", "down"]], {}),  # it shorts the source, which another rule reports
        ([["return", "down"]], {"parts/flap": "flap.return"}),
    ],
)
def test_a_position_that_shorts_a_source_hides_whether_its_motor_would_run(
    lower: list[list[str]], found: dict[str, str]
) -> None:
    made = SmallDesign()
    made.add("selector", "switch", positions={"raise": [["bus", "up"], ["return", "down"]], "lower": lower})
    made.wire("selector.bus", "bus")
    made.wire("selector.return", "ground")
    made.add("flap", "load", type="motor", reversible=True)
    made.wire("selector.up", "flap.supply")
    made.wire("selector.down", "flap.return")
    assert dict(made.facts(switches={"selector": "raise"}).switches.one_way_motors) == found
