"""What a short to ground gives a return runs in logic and in volts alike."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from reviewer.analysis.conduction.failure_modes import SHORT, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.reading import read_text
from tests.analysis.operating_point.dressed import sensed
from tests.analysis.small_designs import SmallDesign
from tests.oracle.generator import realistic
from tests.rule_cases import ROOT

#: volts from which something is taken to run, and below which it is dark: a current through other loads leaves some
LIT_V, DARK_V = 6.0, 3.0
#: of the shorts that run nothing, each so many-th is solved
DARK_EVERY = 20


def lamp(in_return: bool, on: bool = False) -> Facts:
    """A lamp and a contactor, switched in the return or in the feed, on a full battery."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah", "state-of-charge": "100 %"}
    for name in ("lamp-switch", "coil-switch"):
        made.switch(name)
    chain = {name: [(f"{name}.line", f"{name}.load")] for name in ("lamp-switch", "coil-switch")}
    made.add("lamp", "load", type="lamp", current="2 A")
    contacts = {"main": {"kind": "make", "joins": ["line", "load"]}}
    made.add("contactor", "contactor", coil=["plus", "minus"], contacts=contacts, coil_current="0.8 A")
    for switch, plus, minus in (
        ("lamp-switch", "lamp.supply", "lamp.return"),
        ("coil-switch", "contactor.plus", "contactor.minus"),
    ):
        made.run("bus", [] if in_return else chain[switch], plus)
        made.run(minus, chain[switch] if in_return else [], "ground")
    return made.facts(engine="stopped", use="ground", switches=made.turned("on" if on else "off"))


@pytest.mark.parametrize("at", ["lamp.return", "lamp-switch.line"])
def test_a_lamp_that_is_switched_in_its_return_is_lit_by_a_short_there(at: str) -> None:
    for in_return in (True, False):
        facts = lamp(in_return)
        short = Failure(f"parts/{at.partition('.')[0]}", SHORT, (facts.network.node(at),))
        point = facts.points.operating_point("cruise", None, (short,))
        assert (point.across.get("parts/lamp", 0.0) > 12.0) == (point.taken["parts/lamp"] > 1.5) == in_return


def test_a_coil_that_is_switched_in_its_return_is_energised_by_a_short_there() -> None:
    for in_return in (True, False):
        facts = lamp(in_return)
        short = Failure("parts/contactor", SHORT, (facts.network.node("contactor.minus"),))
        point = facts.points.operating_point("cruise", None, (short,))
        assert (point.coils.get("parts/contactor", 0.0) > 0.5) == in_return


def test_a_short_of_the_feed_leaves_it_dark() -> None:
    facts = lamp(True, on=True)
    assert facts.points.operating_point("cruise").across["parts/lamp"] > 12.0
    short = Failure("parts/lamp", SHORT, (facts.network.node("lamp.supply"),))
    assert facts.points.operating_point("cruise", None, (short,)).taken["parts/lamp"] == 0.0


def returned_by_shorts(facts: Facts, state: str) -> Iterator[tuple[str, Failure, bool, float]]:
    """(user, short, whether it runs in logic, its volts): every load and coil that has one end in the fault
    zone of a short while the other is outside of it."""
    network, answer = facts.network, facts.states.answer(state)
    users = [user for user in (*network.consumers, *network.coils) if not user.own_switch]
    shorts = [(i, f) for i, f in enumerate(answer.failures) if f.mode is SHORT]
    zone = answer.failed.zone
    within = {
        u.element: at_any(zone, u.outlets) & ~(at_any(zone, u.plus) & at_any(zone, u.minus)) for u in users
    }
    cases = tuple(f for i, f in shorts if any(mask >> i & 1 for mask in within.values()))
    if not cases:
        return
    solved = conduct(network, answer.state, cases, answer.healthy)
    within = {
        user.element: ended(solved, user) & ~by_converter_alone(network, solved, user) for user in users
    }
    for i, case in enumerate(cases):
        mine = [u for u in users if within[u.element] >> i & 1 and u.element != case.element]
        runs = {u.element: bool({**solved.energised, **solved.powered}[u.element] >> i & 1) for u in mine}
        for user in mine if any(runs.values()) or i % DARK_EVERY == 0 else ():
            volts = facts.points.operating_point(state, None, (case,)).volts
            minus = volts.get(network.names[user.minus[0]], 0.0)
            across = max((volts.get(network.names[n], 0.0) - minus for n in user.plus), key=abs)
            yield user.element, case, runs[user.element], abs(across)


def ended(solved: Conduction, user: PoweredDevice) -> int:
    """The lanes in which one end of a user is in the fault zone, the outlet but where either may be that."""
    plus, minus = at_any(solved.zone, user.plus), at_any(solved.zone, user.minus)
    return (plus ^ minus if user.either_way else minus & ~plus) & ~solved.unsettled


def by_converter_alone(network: Network, solved: Conduction, user: PoweredDevice) -> int:
    """The lanes in which no battery and no machine feeds a user that a converter or charger feeds: it may stop."""
    lanes = {True: 0, False: 0}
    for source in network.sources:
        lanes[source.kind in ("converter", "charger")] |= at_any(solved.fed[source.element], user.inlets)
    return lanes[True] & ~lanes[False]


def agree(facts: Facts, states: list[str]) -> int:
    """How many of them run by a short; each has volts in `solve` where it runs in `fail`, and none else."""
    run = 0
    for state in states:
        for user, case, runs, volts in returned_by_shorts(facts, state):
            assert volts > LIT_V if runs else volts < DARK_V, (state, bare(user), case, volts)
            run += runs
    return run


@pytest.mark.parametrize(
    ("file", "states", "least"),
    [
        ("examples/tourer", ["master-off"], 2),
        pytest.param("examples/tourer", [], 16, marks=pytest.mark.long),
        pytest.param("tests/aircraft/twin-split-bus", ["cruise", "all-off"], 10, marks=pytest.mark.long),
        pytest.param("tests/aircraft/28v-essential", ["cruise"], 4, marks=pytest.mark.long),
        pytest.param("tests/aircraft/magneto-metal", ["cruise-day"], 5, marks=pytest.mark.long),
    ],
)
def test_what_shorts_run_is_lit_in_fail_and_in_solve(file: str, states: list[str], least: int) -> None:
    path = ROOT / f"{file}.design.yaml"
    facts = Facts(read_text(path.read_text(encoding="utf-8"), str(path)))
    assert agree(facts, states or list(facts.states.declared)) >= least


@pytest.mark.parametrize(
    "seeds", [pytest.param(range(1), id="one"), pytest.param(range(1, 5), marks=pytest.mark.long, id="many")]
)
def test_what_shorts_run_in_invented_aircraft_is_lit_in_fail_and_in_solve(seeds: range) -> None:
    run = 0
    for seed in seeds:
        facts = Facts(realistic(80, seed, sensed(seed)))
        assert facts.design.of_kind(p.Battery)
        run += agree(facts, list(facts.states.declared))
    assert run > 2 * len(seeds)
