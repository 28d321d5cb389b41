"""What monitors read, which failures stay hidden, and which pairs they complete; each compared with a way that groups nothing."""

from __future__ import annotations

import random
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest
import yaml

from reviewer.analysis.conduction.failure_modes import HELD, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import critical_functions, function_masks
from reviewer.analysis.detection.completing_pairs import completing_pairs
from reviewer.analysis.detection.monitors import readings
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.reading import read_text
from tests.thinned import thinned

pytestmark = pytest.mark.long  # all pairs of invented aircraft

ROOT = Path(__file__).parents[3]
WATCHED = (ROOT / "tests" / "rules" / "bases" / "watched.yaml").read_text(encoding="utf-8")
BASE = (ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
EXAMPLES = [
    (ROOT / "examples" / f"{n}.design.yaml").read_text(encoding="utf-8")
    for n in ("faulted-tourer", "tourer", "sketch")
]


def changed(*changes: tuple[str, str], text: str = WATCHED) -> str:
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def facts(*changes: tuple[str, str], text: str = WATCHED) -> Facts:
    return Facts(read_text(changed(*changes, text=text), "x"))


def read(f: Facts, state: str, *failures: Failure) -> dict[str, tuple[int, ...]]:
    answer = f.states.answer(state)
    cases = (failures,) if failures else ()
    solved = conduct(f.network, answer.state, cases, answer.healthy) if failures else answer.healthy
    return readings(f.network, f.detection.meters, solved)


def opened(element: str) -> Failure:
    return Failure(element, OPEN)


@pytest.mark.parametrize(
    ("state", "monitor", "reading"),
    [
        # (display has power, something feeds it, something that charges feeds it)
        ("cruise", "bus-volts", (1, 1, 1)),
        ("cruise", "reserve-volts", (1, 1, 1)),
        ("before-start", "bus-volts", (1, 1, 0)),
        ("before-start", "reserve-volts", (1, 1, 0)),
        ("smoke-drill", "bus-volts", (1, 0, 0)),
        ("parked", "bus-volts", (0, 0, 0)),
        # (display has power, current from the bus to the alternator, current from the alternator to the bus)
        ("cruise", "alternator-amps", (1, 0, 1)),
        ("parked", "alternator-amps", (0, 0, 0)),
        ("cruise", "starter-engaged", (0,)),
        ("cranking", "starter-engaged", (1,)),
    ],
)
def test_a_monitor_reads_what_its_state_gives_it(state: str, monitor: str, reading: tuple[int, ...]) -> None:
    assert read(facts(), state)[monitor] == reading


@pytest.mark.parametrize(
    ("failure", "monitor", "reading"),
    [
        (opened("parts/alternator"), "bus-volts", (1, 1, 0)),
        (opened("parts/bus-volts-fuse"), "bus-volts", (1, 0, 0)),
        (opened("parts/engine-monitor"), "bus-volts", (0, 0, 0)),
        (opened("wires/W68"), "bus-volts", (1, 1, 1)),  # the display lives by its second supply
        (opened("wires/W41"), "reserve-volts", (1, 1, 0)),
        (opened("parts/alternator-shunt"), "alternator-amps", (1, 0, 0)),
        (opened("wires/W62"), "alternator-amps", (1, 0, 0)),
        (
            opened("parts/main-battery"),
            "alternator-amps",
            (1, 0, 1),
        ),  # amperes still come from the alternator
        (Failure("parts/starter-contactor", HELD), "starter-engaged", (1,)),
    ],
)
def test_a_failure_changes_the_reading_that_it_should(
    failure: Failure, monitor: str, reading: tuple[int, ...]
) -> None:
    assert read(facts(), "cruise", failure)[monitor] == reading


@pytest.mark.parametrize(
    "lead",
    [
        (
            "W60: {from: main-bus.alternator, to: alternator-shunt.line",
            "W60: {from: main-battery.positive, to: alternator-shunt.line",
        ),
        (
            "W60: {from: main-bus.alternator, to: alternator-shunt.line",
            "W60: {from: main-battery.negative, to: alternator-shunt.line",
        ),
    ],
    ids=["positive lead", "negative lead"],
)
def test_an_ammeter_in_a_lead_of_the_battery_tells_charge_from_discharge(lead: tuple[str, str]) -> None:
    """Common practice, no source: a shunt in either lead of the battery shows which way its current flows."""
    wire = "W1: {from: main-battery.positive" if "positive" in lead[1] else "W2: {from: main-battery.negative"
    f = facts(
        ("W7: {from: alternator-shunt.load", "W7: {from: main-bus.alternator-2"),
        lead,
        (
            wire,
            wire.replace("main-battery", "alternator-shunt")
            .replace("positive", "load")
            .replace("negative", "load"),
        ),
    )
    charging, discharging = (
        read(f, "cruise")["alternator-amps"],
        read(f, "cruise", opened("parts/alternator"))["alternator-amps"],
    )
    assert charging != discharging and sum(charging[1:]) == sum(discharging[1:]) == 1
    assert read(f, "before-start")["alternator-amps"] == discharging


def test_volts_need_the_return_of_the_instrument() -> None:
    """The reserve's volts between its post and the main ground are gone when the bond of the two grounds is."""
    f = facts()
    assert read(f, "before-start")["reserve-volts"] == (1, 1, 0)
    assert read(f, "before-start", opened("wires/W35"))["reserve-volts"] == (1, 0, 0)


def test_a_bar_may_be_sensed_where_no_wire_is_drawn() -> None:
    f = facts(("senses: main-bus.volts", "senses: main-bus.somewhere"))
    assert read(f, "before-start")["bus-volts"] == (1, 1, 0)


def test_evidence_names_what_a_failure_changes_and_is_computed_once() -> None:
    f = facts()
    found = f.detection.evidence("cruise", opened("parts/audio-breaker"))
    assert (found.monitors, found.functions, found.loads) == ((), (), ("audio-panel",))
    assert f.detection.evidence("cruise", opened("parts/audio-breaker")) is found
    both = f.detection.evidence("cruise", (opened("wires/W20"), opened("wires/W30")))
    assert (both.functions, both.loads) == (("ignition",), ("left-ignition", "right-ignition"))
    stuck = f.detection.evidence("cruise", Failure("parts/starter-contactor", HELD))
    # the starter drags the bus below its alarm, the reserve behind the diode too, and the alternator to its limit
    assert set(stuck.monitors) == {"reserve-volts", "bus-volts", "alternator-amps", "starter-engaged"}
    assert stuck.loads == ("start-lamp", "start-motor")
    with pytest.raises(FrozenInstanceError):
        found.state = "x"  # type: ignore[misc]


def hidden_one_by_one(f: Facts) -> set[Failure]:
    """What latent means, taken one failure and one state at a time."""
    design = f.design
    dispatch = f.states.answer(design.operation.normal)
    flown = {dispatch.state.name, *(phase.state for phase in design.operation.phases.values())}
    looked = {dispatch.state.name: set()}
    for check in design.watch.checks.values():
        looked.setdefault(check.state, set()).update(check.watch)
    for state in flown:
        looked.setdefault(state, set())
    hidden = set()
    for failure in (*dispatch.failures, *dispatch.stuck_relays):
        seen = False
        for state, names in looked.items():
            evidence = f.detection.evidence(state, failure)
            told = {*evidence.monitors, *evidence.functions, *evidence.loads}
            if state in flown:
                healthy = f.states.answer(state).healthy.powered
                dark = {
                    n
                    for n in evidence.loads
                    if healthy[f"parts/{n}"]
                    and (isinstance(design.parts[n], p.Instrument) or design.parts[n].type == "starter")
                }
                seen = seen or bool(evidence.monitors or evidence.functions or dark)
            seen = seen or bool(told & names)
        if not seen:
            hidden.add(failure)
    return hidden


@pytest.mark.parametrize("text", [WATCHED, BASE, EXAMPLES[2]], ids=["watched", "base", "sketch"])
def test_the_hidden_failures_are_those_found_one_by_one(text: str) -> None:
    f = facts(text=text)
    assert set(f.detection.latent) == hidden_one_by_one(f)
    assert len(f.detection.latent) == len(set(f.detection.latent)) > 0


CHANGED = [
    (
        "left-alone: {state: run-up-left, watch: [left-ignition]",
        "left-alone: {state: run-up-left, watch: [bus-volts]",
    ),
    (
        "right-alone: {state: run-up-right, watch: [right-ignition]",
        "right-alone: {state: run-up-right, watch: [bus-volts]",
    ),
    (
        "W35: {from: reserve-ground.bond, to: main-ground.bond",
        "W35: {from: reserve-ground.bond, to: engine.bond",
    ),
    ("W4: {from: bus-limiter.load,", "W4: {from: main-contactor.load,"),
    (
        "W42: {from: charge-diode.cathode, to: charge-fuse.load",
        "W42: {from: charge-diode.cathode, to: reserve-battery.positive",
    ),
]


def all_pairs(f: Facts) -> set[tuple[Failure, Failure, str]]:
    """Nothing grouped: every latent failure with every other, a lane each."""
    design, dispatch = f.design, f.states.answer(f.design.operation.normal)
    wanted = set()
    for first in f.detection.latent:
        solved = conduct(
            f.network, dispatch.state, [(first, second) for second in dispatch.failures], dispatch.healthy
        )
        alive = function_masks(design, solved.powered, (1 << len(dispatch.failures)) - 1)
        for function in critical_functions(design):
            for i, second in enumerate(dispatch.failures):
                if (
                    dispatch.alive[function]
                    and dispatch.functions[function] >> i & 1
                    and not alive[function] >> i & 1
                ):
                    wanted.add((first, second, function))
    return wanted


@pytest.mark.parametrize("number", thinned(range(len(CHANGED) + 4), 2))
def test_the_pairs_are_those_of_all_latent_failures_with_all_others(number: int) -> None:
    unchecked = EXAMPLES[1].partition("  checks:\n")[0]
    f = (
        facts(*CHANGED[:number])
        if number <= len(CHANGED)
        else facts(text=(BASE, EXAMPLES[0], unchecked)[number - len(CHANGED) - 1])
    )
    wanted = all_pairs(f)
    assert (
        set(completing_pairs(f.design, f.states.answer(f.design.operation.normal), f.detection.latent))
        == wanted
    )
    assert number == 0 or wanted


@pytest.mark.parametrize(
    "seed", [s if s < 6 else pytest.param(s, marks=pytest.mark.long) for s in range(21) if s != 11]
)  # 11 draws a wire from a terminal to itself, which is refused
def test_wrongly_wired_designs_have_the_same_hidden_failures_and_pairs_either_way(seed: int) -> None:
    """Wires taken away or put elsewhere, checks dropped: many of these short a source or leave a load half fed."""
    draw = random.Random(seed)
    data = yaml.safe_load(draw.choice((WATCHED, BASE)))
    for _ in range(draw.randint(1, 4)):
        wires, checks = data["wires"], data["watch"].get("checks", {})
        kind = draw.choice(("away", "elsewhere", "elsewhere", "unchecked"))
        if kind == "away":
            del wires[draw.choice(list(wires))]
        elif kind == "elsewhere":
            wires[draw.choice(list(wires))][draw.choice(("from", "to"))] = wires[draw.choice(list(wires))][
                draw.choice(("from", "to"))
            ]
        elif checks:
            del checks[draw.choice(list(checks))]
    f = Facts(read_text(yaml.safe_dump(data, sort_keys=False), "x"))
    assert set(f.detection.latent) == hidden_one_by_one(f)
    assert set(
        completing_pairs(f.design, f.states.answer(f.design.operation.normal), f.detection.latent)
    ) == all_pairs(f)


#: both ignitions behind the fuse of the left one, which alone takes the function
ONE_FUSE = ("W30: {from: reserve-battery.positive,", "W30: {from: left-fuse.load,")


@pytest.mark.parametrize("text", [EXAMPLES[0], changed(*CHANGED[:2], ONE_FUSE)], ids=["faulted", "bench"])
def test_no_pair_is_told_where_a_failure_alone_does_it(text: str) -> None:
    """A function that one failure alone loses, and that pairs lose: that failure is in none of its pairs."""
    f = facts(text=text)
    normal = f.states.answer(f.design.operation.normal)
    pairs = list(completing_pairs(f.design, normal, f.detection.latent))
    both = set()
    for function in critical_functions(f.design):
        lost = {x for i, x in enumerate(normal.failures) if not normal.functions[function] >> i & 1}
        told = {x for first, second, of in pairs if of == function for x in (first, second)}
        assert not lost & told
        both |= {function} if normal.alive[function] and lost and told else set()
    assert both, "a design without pairs, or without failures that do it alone, proves nothing"
