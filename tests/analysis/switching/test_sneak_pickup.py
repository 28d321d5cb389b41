"""Relays that a sneak current picks up, against the voltage divider by hand and a circuit simulator."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Scenario, solve_points
from reviewer.analysis.switching.sneak_currents import SneakPaths, may_flow
from reviewer.model.resolved_states import resolved
from tests.analysis.small_designs import SmallDesign, cruise
from tests.analysis.solver.netlist import by_neospice, netlist

#: the coil takes 0.2 A at 14 V: 70 ohm
COIL = 70.0


def bench(amps: float, kind: str = "make", own_switch: bool = True, feed: str = "bus") -> SmallDesign:
    """A contactor from the bus to a second bus with a radio, its coil returned by a resistor that takes
    ``amps`` at 14 V and, with ``own_switch``, by a switch that is off; ``feed`` is where it is fed."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.add(
        "contactor",
        "relay",
        coil=["plus", "minus"],
        contacts={"one": {"kind": kind, "joins": ["line", "load"]}},
        **{"coil-current": "0.2 A", "pickup-voltage": "9 V", "dropout-voltage": "3 V"},
    )
    made.wire("bus", "contactor.line")
    made.add("second-bus", "bus")
    made.wire("contactor.load", "second-bus")
    made.load("radio", start="second-bus", current="1 A", type="electronic")
    made.add("lamp", "load", type="resistive", current=f"{amps} A")
    made.wire(feed, "contactor.plus")
    made.wire("contactor.minus", "lamp.supply")
    made.wire("lamp.return", "ground")
    if own_switch:
        made.run("contactor.minus", [made.switch("switch")], "ground")
    return made


def solved(made: SmallDesign, position: str = "off") -> Facts:
    switches = {n: position for n, part in made.parts.items() if part["kind"] == "switch"}
    return made.facts(switches=switches)


def share(amps: float) -> float:
    """The share of the battery's voltage that the coil has in series with the resistor."""
    return COIL / (COIL + 14 / amps)


@pytest.mark.parametrize("amps", [0.6, 2.0, 8.0])
def test_a_coil_with_its_pickup_voltage_closes_its_contacts(amps: float) -> None:
    facts = solved(bench(amps))
    answer = cruise(facts)
    (one,) = facts.switches.sneaks_in("cruise")
    battery = facts.points.operating_point("cruise").volts["battery.positive"]
    assert one.picks_up and one.limit == 9 and one.volts == pytest.approx(share(amps) * battery, abs=0.02)
    assert one.through == ("parts/lamp",) and one.live == ("second-bus",)
    assert answer.healthy.energised["parts/contactor"] and answer.healthy.powered["parts/radio"]
    assert facts.points.operating_point("cruise").across["parts/radio"] > 11
    lost = {
        f.element for i, f in enumerate(answer.failures) if not answer.failed.powered["parts/radio"] >> i & 1
    }
    assert {"parts/lamp", "parts/contactor", "parts/battery"} <= lost


@pytest.mark.parametrize("amps", [0.02, 0.3, 0.45])
def test_a_coil_below_its_pickup_voltage_stays_as_it_is(amps: float) -> None:
    facts = solved(bench(amps))
    assert share(amps) * 12.7 < 9
    assert not cruise(facts).healthy.energised["parts/contactor"]
    assert not cruise(facts).healthy.powered["parts/radio"]
    told = facts.switches.sneaks_in("cruise")
    assert all(not one.picks_up for one in told)
    # from its dropout voltage on it stays energised where the switch was on before
    assert bool(told) == (share(amps) * 12.7 >= 3)


def test_the_held_state_is_one_of_its_own_and_ends_with_the_lamp() -> None:
    facts = solved(bench(0.3))
    ((name, (held,)),) = facts.switches.still_energised.items()
    assert name == "cruise" and held.state.name == "cruise with contactor still energised"
    assert facts.states.answer(held.state.name) is held and "contactor" in held.state.name
    assert held.healthy.powered["parts/radio"] and tuple(facts.states.declared) == ("cruise",)
    lost = {
        f.element
        for i, f in enumerate(held.failures)
        if f.mode == OPEN and not held.failed.energised["parts/contactor"] >> i & 1
    }
    assert "parts/lamp" in lost and "parts/radio" not in lost


def test_a_resistor_in_the_only_circuit_of_a_coil_is_part_of_it() -> None:
    for amps, picks_up in ((2.0, True), (0.3, False)):
        facts = solved(bench(amps, own_switch=False))
        assert bool(cruise(facts).healthy.energised["parts/contactor"]) is picks_up
        assert [s.alone for s in cruise(facts).state.sneaks] == [True] * picks_up
        assert facts.switches.sneak_held == ()


def test_a_relay_without_its_data_stays_as_it_is() -> None:
    made = bench(2.0)
    del made.parts["contactor"]["coil-current"]
    assert not cruise(solved(made)).healthy.energised["parts/contactor"]


def test_a_relay_whose_own_contact_ends_the_current_does_not_settle() -> None:
    made = bench(2.0, kind="break", own_switch=False, feed="second-bus")
    facts = solved(made)
    assert cruise(facts).healthy.unsettled and facts.switches.sneaks_in("cruise") == ()


@pytest.mark.parametrize("amps", [0.3, 2.0])
def test_a_simulator_finds_the_same_volts_across_the_coil(amps: float) -> None:
    facts = solved(bench(amps))
    answer = cruise(facts)
    held = facts.switches.still_energised["cruise"]
    for one in (answer, *held):
        assert volts_by_simulator(one) == pytest.approx(volts_here(facts, one), abs=2e-3)
    (told,) = facts.switches.sneaks_in("cruise")
    assert told.volts == pytest.approx(volts_by_simulator(held[0] if held else answer), abs=2e-3)


def volts_here(facts: Facts, answer: StateAnswer) -> float:
    point = facts.points.operating_point(answer.state.name)
    return point.coil_volts("contactor", "plus", "minus")


def volts_by_simulator(answer: StateAnswer) -> float:
    """Volts across the coil with the contacts as the state has them."""
    again = conduct(answer.network, answer.state, ((),), answer.healthy)
    assert again.energised == answer.healthy.energised
    points = solve_points(answer.design, answer.network, Scenario(answer.state, again))
    circuit, names = points.parts[0][1].circuit, answer.network.index
    live = [n for n in range(circuit.count) if points.parts[0][1].islands.merged[n] >= 0]
    plus, minus = names["contactor.plus"], names["contactor.minus"]
    lines = netlist(circuit, live, names["battery.negative"], points.parts[0][1].temperature)
    found = by_neospice(lines, [plus, minus])
    return abs(found[plus] - found[minus])


@pytest.mark.parametrize("returned", [True, False])
def test_a_current_is_looked_for_where_loads_lead_through_a_coil(returned: bool) -> None:
    """The lamp in series with the coil has its return, or none: then nothing can flow."""
    made = bench(2.0)
    if not returned:
        made.wires = {n: w for n, w in made.wires.items() if w["from"] != "lamp.return"}
    facts = solved(made)
    cold = solve_states(facts.design, facts.network, list(resolved(facts.design.operation).values()))
    answers = list(cold.values())
    may = may_flow(facts.design, facts.network, facts.network.coils, answers)
    paths = {coil.element: SneakPaths(facts.design, facts.network, coil) for coil in facts.network.coils}
    flows = {e: [one.find(answer) is not None for answer in answers] for e, one in paths.items()}
    assert {e: [bool(mask >> i & 1) for i in range(len(answers))] for e, mask in may.items()} == flows
    assert flows["parts/contactor"] == [returned] * len(answers)
