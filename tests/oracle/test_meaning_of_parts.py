"""What `supplies`, `returns` and `coil` of a part mean, in circuits whose answer is seen by eye.

The plain evaluator reads these keys through the same model as the engine; here both must give the answer that the
description of the key asks for.
"""

from __future__ import annotations

from itertools import permutations

import pytest

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.model.resolved_states import resolved
from tests.analysis.small_designs import SmallDesign
from tests.oracle.circuit import circuit_of
from tests.oracle.engine import failures_of
from tests.oracle.plain import OPEN, SHORT, STAYS, Fault, solve


def works(made: SmallDesign) -> set[str]:
    """The loads and relays that have power, by the engine and by the plain evaluator."""
    facts = made.facts()
    by_engine = facts.states.answer("cruise").healthy
    plain = solve(circuit_of(facts.design), resolved(facts.design.operation)["cruise"])
    powered = {**plain.powered, **plain.energised}
    assert not plain.unsettled
    assert {n for n, on in plain.powered.items() if on} == {
        n for n, on in by_engine.powered.items() if on & 1
    }
    return {name.removeprefix("parts/") for name, on in powered.items() if on}


def two_feeds(a: bool, b: bool, supplies: tuple[str, ...] = ("supply-a", "supply-b")) -> SmallDesign:
    """A unit with one supply at the bus and one at the second bus, and a lamp on each of two bars beside them."""
    made = SmallDesign()
    made.second_battery()
    made.add("unit", "load", supplies=list(supplies))
    for bar, lamp, supply in (("bar-a", "lamp-a", "supply-a"), ("bar-b", "lamp-b", "supply-b")):
        made.add(bar, "bus")
        made.load(lamp, start=bar)
        made.wire(f"unit.{supply}", bar)
    if a:
        made.wire("bus", "bar-a")
    if b:
        made.wire("second-bus", "bar-b")
    made.wire("unit.return", "ground")
    return made


@pytest.mark.parametrize("supplies", [*permutations(("supply-a", "supply-b"))])
@pytest.mark.parametrize(("a", "b"), [(True, True), (True, False), (False, True), (False, False)])
def test_any_one_supply_is_enough_and_supplies_do_not_feed_each_other(
    a: bool, b: bool, supplies: tuple[str, ...]
) -> None:
    lit = {"unit": a or b, "lamp-a": a, "lamp-b": b}
    assert works(two_feeds(a, b, supplies)) == {name for name, on in lit.items() if on}


def test_a_load_that_says_nothing_has_one_supply_and_one_return_of_those_names() -> None:
    made = SmallDesign()
    made.load("lamp")
    facts = made.facts()
    assert facts.design.parts["lamp"].terminals() == ("supply", "return")
    assert works(made) == {"lamp"}


def test_a_load_has_the_terminals_that_it_names_and_no_others() -> None:
    made = SmallDesign()
    made.add("unit", "load", supplies=["plus"], returns=["minus", "screen"])
    made.wire("bus", "unit.plus")
    made.wire("unit.screen", "ground")
    assert made.facts().design.parts["unit"].terminals() == ("plus", "minus", "screen")
    assert works(made) == {"unit"}


@pytest.mark.parametrize("grounded", ["one", "other", "both", "none"])
def test_returns_are_joined_inside_the_unit(grounded: str) -> None:
    """Either is enough; and a lamp whose return ends at the one is grounded through the other."""
    made = SmallDesign()
    made.add("unit", "load", returns=["one", "other"])
    made.wire("bus", "unit.supply")
    for name in ("one", "other") if grounded == "both" else () if grounded == "none" else (grounded,):
        made.wire(f"unit.{name}", "ground")
    made.add("lamp", "load")
    made.wire("bus", "lamp.supply")
    made.wire("lamp.return", "unit.one")
    assert works(made) == (set() if grounded == "none" else {"unit", "lamp"})


def test_a_supply_of_one_source_and_a_return_of_another_make_no_circuit() -> None:
    """Two batteries whose negatives meet nowhere: the lamp hangs between them."""
    made = SmallDesign()
    made.add("second", "battery")
    made.add("island", "ground-block")
    made.wire("second.negative", "island")
    made.load("astray", end="island")
    made.load("lamp")
    assert works(made) == {"lamp"}


def test_the_case_of_a_load_is_joined_to_its_return() -> None:
    made = SmallDesign("metal")
    made.add("frame", "airframe", material="metal")
    made.wire("frame.bond", "ground")
    made.add("bolted", "load", mounted_on="frame.panel")
    made.add("loose", "load")
    for name in ("bolted", "loose"):
        made.wire("bus", f"{name}.supply")
    assert works(made) == {"bolted"}


@pytest.mark.parametrize("coil", [["line", "control"], ["control", "line"]])
@pytest.mark.parametrize("grounded", [True, False])
def test_a_coil_has_two_terminals_of_which_one_may_be_a_contact_s(coil: list[str], grounded: bool) -> None:
    """Either way round: the contactor of a battery that pulls in when its control lead is grounded."""
    made = SmallDesign()
    made.add(
        "contactor", "contactor", coil=coil, contacts={"main": {"kind": "make", "joins": ["line", "load"]}}
    )
    made.wire("bus", "contactor.line")
    made.load("lamp", start="contactor.load")
    if grounded:
        made.wire("contactor.control", "ground")
    assert works(made) == ({"contactor", "lamp"} if grounded else set())


@pytest.mark.parametrize("energised", [True, False])
@pytest.mark.parametrize("kind", ["make", "break"])
def test_a_make_contact_joins_when_energised_and_a_break_contact_else(kind: str, energised: bool) -> None:
    made = SmallDesign()
    made.add("relay", "relay", coil=["plus", "minus"], contacts={"c": {"kind": kind, "joins": ["in", "out"]}})
    made.load("lamp", ("relay.in", "relay.out"))
    made.wire("relay.minus", "ground")
    if energised:
        made.wire("bus", "relay.plus")
    on = {"relay"} if energised else set()
    assert works(made) == on | ({"lamp"} if energised == (kind == "make") else set())


@pytest.mark.parametrize("energised", [True, False])
def test_a_changeover_contact_joins_its_common_to_one_side(energised: bool) -> None:
    made = SmallDesign()
    sides = {"kind": "changeover", "common": "common", "de-energised": "rest", "energised": "work"}
    made.add("relay", "relay", coil=["plus", "minus"], contacts={"c": sides})
    made.wire("bus", "relay.common")
    made.load("resting", start="relay.rest")
    made.load("working", start="relay.work")
    made.wire("relay.minus", "ground")
    if energised:
        made.wire("bus", "relay.plus")
    assert works(made) == ({"relay", "working"} if energised else {"resting"})


def test_a_coil_across_two_buses_of_one_battery_is_not_energised() -> None:
    """Both its terminals are fed, and neither comes back to the negative."""
    made = SmallDesign()
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"c": {"kind": "make", "joins": ["in", "out"]}}
    )
    made.load("lamp", ("relay.in", "relay.out"))
    made.wire("bus", "relay.plus")
    made.wire("bus", "relay.minus")
    assert works(made) == set()


@pytest.mark.parametrize("joined", [True, False])
@pytest.mark.parametrize("own", [True, False])
def test_a_signal_return_is_joined_to_the_power_return_or_isolated_from_it(joined: bool, own: bool) -> None:
    """A lamp whose return ends at the signal return of an instrument; at its power return (``own``) in any case."""
    made = SmallDesign()
    made.add(
        "monitor", "instrument", signal_returns="joined" if joined else "isolated", returns=["spare", "return"],
        inputs={"oil": {"signal": "oil-in", "return": "return" if own else "oil-return"}},
    )  # fmt: skip
    made.wire("bus", "monitor.supply")
    made.wire("monitor.return", "ground")
    made.add("lamp", "load")
    made.wire("bus", "lamp.supply")
    made.wire("lamp.return", "monitor.return" if own else "monitor.oil-return")
    made.add("sender", "sensor")
    made.wire("sender.signal", "monitor.oil-in")
    assert works(made) == ({"monitor", "lamp"} if joined or own else {"monitor"})


@pytest.mark.parametrize("reversible", [True, False])
def test_a_reversible_motor_runs_with_its_supply_and_its_return_exchanged(reversible: bool) -> None:
    made = SmallDesign()
    made.add("motor", "load", type="motor", **({"reversible": True} if reversible else {}))
    made.wire("bus", "motor.return")
    made.wire("motor.supply", "ground")
    assert works(made) == ({"motor"} if reversible else set())


def follower(made: SmallDesign, follows: str, contact: str = "rest") -> None:
    """``lamp`` behind a pressure switch that follows something, closed at rest or while that works."""
    positions: dict[str, list[list[str]]] = {"low": [], "normal": []}
    positions["low" if contact == "rest" else "normal"] = [["line", "load"]]
    by = "current" if follows == "pump" else "pressure"
    made.add("sensor", "switch", positions=positions, operated_by=by, follows=follows, at_rest="low")
    made.load("lamp", ("sensor.line", "sensor.load"))


@pytest.mark.parametrize("contact", ["rest", "work"])
@pytest.mark.parametrize("pumping", [True, False])
def test_a_pressure_switch_leaves_its_rest_while_the_pump_works_that_it_follows(
    contact: str, pumping: bool
) -> None:
    made = SmallDesign()
    follower(made, "pump", contact)
    made.add("pump", "load")
    made.wire("bus", "pump.supply")
    if pumping:
        made.wire("pump.return", "ground")
    on = {"pump", "sensor"} if pumping else set()
    assert works(made) == on | ({"lamp"} if pumping == (contact == "work") else set())


@pytest.mark.parametrize("alive", [True, False])
def test_a_switch_that_follows_a_bus_rests_where_no_source_feeds_it(alive: bool) -> None:
    made = SmallDesign()
    made.add("far-bus", "bus")
    follower(made, "far-bus")
    made.load("far", start="far-bus")
    if alive:
        made.wire("bus", "far-bus")
    assert works(made) == ({"far", "sensor"} if alive else {"lamp"})


@pytest.mark.parametrize("engine", ["running", "cranking", "stopped"])
@pytest.mark.parametrize("follows", ["engine", "alternator"])
def test_a_switch_that_follows_the_engine_rests_until_it_runs_by_itself(engine: str, follows: str) -> None:
    """So does one that follows an alternator, which gives nothing before."""
    made = SmallDesign()
    made.alternator()
    follower(made, follows)
    made.states["cruise"] = {"engine": engine, "switches": {}}
    assert works(made) == ({"sensor"} if engine == "running" else {"lamp"})


def test_a_part_of_the_name_engine_is_not_what_a_switch_follows_unless_it_works() -> None:
    made = SmallDesign()
    made.add("engine", "airframe", material="metal")
    follower(made, "engine")
    assert works(made) == {"sensor"}


@pytest.mark.parametrize("stands", ["", "open"])
def test_a_switch_that_follows_nothing_rests_unless_the_state_says_otherwise(stands: str) -> None:
    made = SmallDesign()
    positions = {"closed": [["line", "load"]], "open": []}
    made.add("crash", "switch", positions=positions, operated_by="inertia", at_rest="closed")
    made.load("pump", ("crash.line", "crash.load"))
    made.states["cruise"] = {"engine": "running", "switches": {"crash": stands} if stands else {}}
    assert works(made) == (set() if stands else {"pump"})


def test_a_switch_moves_when_the_pump_that_it_follows_fails_by_itself() -> None:
    """The pump is whole in its wires and open inside; the standby pump comes on, unless the switch is stuck."""
    made = SmallDesign()
    made.load("pump")
    follower(made, "pump")
    facts = made.facts()
    circuit, state = circuit_of(facts.design), resolved(facts.design.operation)["cruise"]
    healthy = solve(circuit, state)
    failed = Fault("parts/pump", OPEN)
    assert not healthy.powered["parts/lamp"]
    assert solve(circuit, state, [failed], healthy).powered["parts/lamp"]
    stuck = Fault("parts/sensor", STAYS, position="normal")
    assert not solve(circuit, state, [failed, stuck], healthy).powered["parts/lamp"]
    assert solve(circuit, state, [Fault("parts/sensor", STAYS, position="low")], healthy).powered[
        "parts/lamp"
    ]


def magneto(made: SmallDesign, switch: str, grounded: bool = True) -> None:
    """``left`` on the engine, its p-lead grounded by a switch at off; the engine has its strap where it is ``grounded``."""
    made.add("engine", "airframe", material="metal")
    if grounded:
        made.wire("engine.strap", "ground")
    made.add("left", "magneto", mounted_on="engine.pad")
    made.add("key", "switch", positions={"off": [["lead", "ground"]], "on": []})
    made.wire("left.p-lead", "key.lead")
    made.wire("key.ground", "ground")
    made.states["cruise"] = {"engine": "running", "switches": {"key": switch}}


@pytest.mark.parametrize("grounded", [True, False])
@pytest.mark.parametrize("key", ["on", "off"])
def test_a_magneto_fires_unless_its_p_lead_reaches_its_case(key: str, grounded: bool) -> None:
    """Grounded to the airframe alone it still fires, where the engine is not joined to that."""
    made = SmallDesign()
    magneto(made, key, grounded)
    assert works(made) == (set() if key == "off" and grounded else {"left"})


@pytest.mark.parametrize("engine", ["running", "cranking", "stopped"])
def test_a_magneto_fires_while_its_engine_turns_and_needs_no_battery(engine: str) -> None:
    made = SmallDesign()
    magneto(made, "on")
    made.states["cruise"]["engine"] = engine
    facts = made.facts()
    assert works(made) == (set() if engine == "stopped" else {"left"})
    assert facts.states.answer("cruise").healthy.hot == {"parts/left": 1}


@pytest.mark.parametrize(
    ("key", "fault", "fires"),
    [
        ("on", Fault("wires/W4", SHORT, ("left.p-lead", "key.lead")), False),
        ("on", Fault("wires/W4", OPEN), True),
        ("on", Fault("parts/left", OPEN), False),
        ("off", Fault("wires/W4", OPEN), True),
        ("off", Fault("wires/W5", OPEN), True),
        ("off", Fault("wires/W3", OPEN), True),
        ("off", Fault("parts/key", OPEN), True),
        ("off", Fault("parts/key", STAYS, position="on"), True),
        ("on", Fault("parts/key", STAYS, position="off"), False),
    ],
)
def test_what_opens_the_p_lead_leaves_it_hot_and_what_grounds_it_stops_it(
    key: str, fault: Fault, fires: bool
) -> None:
    made = SmallDesign()
    magneto(made, key)
    facts = made.facts()
    answer = facts.states.answer("cruise")
    circuit = circuit_of(facts.design)
    assert [circuit.ways[i].element for i in range(len(circuit.ways)) if "p-lead" in circuit.ways[i].one] == [
        "wires/W4"
    ]
    plain = solve(circuit, answer.state, [fault], solve(circuit, answer.state))
    solved = conduct(facts.network, answer.state, [failures_of(facts.network, [fault])], answer.healthy)
    assert plain.powered["parts/left"] == bool(solved.powered["parts/left"]) == fires
