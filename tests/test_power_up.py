"""Power-up cards walked through: each step is done to the network, and to the plain evaluator, as its card says."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.solved_state import OperatingPoint, scenario_of, solve_state
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.bench_supply import Bench, rest_positions, stopped
from reviewer.questions.cold_cards import Metal
from reviewer.questions.effects import effects_of
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage
from reviewer.questions.power_up import power_up
from reviewer.questions.test_cards import cards_of
from reviewer.reading import read_design, read_text
from reviewer.reports.handoff.schedules.cards import card_rows
from reviewer.reports.handoff.schedules.power_up_table import COLUMNS, power_up_cards
from reviewer.reports.handoff.schedules.safety_words import SAFETY, safety_words
from tests.oracle import plain
from tests.oracle.circuit import circuit_of
from tests.rule_cases import design as case
from tests.rule_cases import text
from tests.thinned import some_of

ROOT = Path(__file__).parent.parent
ORDER = [Stage.COLD, Stage.SUPPLY, Stage.BATTERY]


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_design(ROOT / "examples" / "tourer.design.yaml"))


@pytest.fixture(scope="module")
def cards(facts: Facts) -> tuple[PowerCard, ...]:
    return power_up(facts)


@pytest.fixture(scope="module")
def benches(facts: Facts) -> Mapping[str, Bench]:
    return {name: Bench(facts.as_written, name) for name in facts.as_written.of_kind(p.Battery)}


def applied(
    facts: Facts, bench: Bench, card: PowerCard, moved: tuple[tuple[str, str], ...] = ()
) -> StateAnswer:
    """What a card sets: its circuit protection in, its switches moved, all else out and off; then what one of
    its steps moves."""
    switches = {**rest_positions(facts.as_written), **dict(card.switches)}
    taken = [name for name, at in moved if at == "out"]
    switches |= {name: at for name, at in moved if at != "out"}
    out = [n for n in facts.as_written.of_kind(p.Protector) if n not in card.fitted or n in taken]
    state = bench.state("card", switches, out)
    return bench.solve([state])["card"]


def bench_of(facts: Facts, card: PowerCard) -> Bench:
    """The supply of a card, with the leads off that it says are off."""
    assert card.supply is not None
    return Bench(facts.as_written, card.supply[0], card.supply[3], tuple(wire for wire, _ in card.lifted))


def of_windings(cards: tuple[PowerCard, ...]) -> list[PowerCard]:
    """The cards of coils and fields."""
    return [card for card in cards if card.name.startswith(("coil of ", "field of "))]


def read(bench: Bench, answer: StateAnswer, step: PowerStep, case: tuple[Failure, ...] = ()) -> float:
    """What the meter of a step reads in a state, under some failures."""
    point = solved(bench, answer, case)
    if step.act is Act.SUPPLY_AMPERES:
        return point.given.get(bench.source, 0.0)
    if step.act is Act.COIL:
        coil = bench.design.part(step.names[0], p.Electromagnet).coil
        plus, minus = (point.volts.get(f"{step.names[0]}.{end}", 0.0) for end in coil)
        return plus - minus
    if step.act is Act.LOAD:
        return point.across.get(f"parts/{step.names[0]}", 0.0)
    return point.volts.get(step.names[0], 0.0)


def solved(bench: Bench, answer: StateAnswer, case: tuple[Failure, ...]) -> OperatingPoint:
    scenario = scenario_of(bench.design, bench.network, answer.state, answer.healthy, None, case)
    return solve_state(bench.design, bench.network, scenario, wiring=bench.wiring)


def element(facts: Facts, name: str) -> str:
    return f"parts/{name}" if name in facts.design.parts else f"wires/{name}"


def test_the_cards_come_in_the_safe_order_and_ask_for_no_engine(cards: tuple[PowerCard, ...]) -> None:
    stages = [ORDER.index(card.stage) for card in cards]
    assert stages == sorted(stages) and set(stages) == {0, 1, 2}
    supplied = [card for card in cards if card.stage is Stage.SUPPLY]
    windings = of_windings(cards)
    for number, card in enumerate(supplied):  # what feeds a device was proved on a card before
        before = {c.fitted[-1] for c in supplied[:number] if c not in windings}
        assert set(card.fitted if card in windings else card.fitted[:-1]) <= before, card.name


def test_every_breaker_fuse_and_limiter_and_every_load_has_its_card(
    facts: Facts, cards: tuple[PowerCard, ...]
) -> None:
    """But what no source on the ground reaches: that of the starter, which only turns the engine."""
    fitted = {card.fitted[-1] for card in cards if card.stage is Stage.SUPPLY and card.fitted}
    assert set(facts.design.of_kind(p.Protector)) - fitted == {"starter-sense-fuse"}
    tried = {step.names[0] for card in cards for step in card.steps if step.act is Act.LOAD}
    loads = set(facts.design.of_kind((p.Load, p.Instrument)))
    assert loads - tried == set(cards[-1].steps[-1].untold) & loads == {"starter"}


def test_what_no_card_names_is_named_by_the_last_step() -> None:
    facts = of_aircraft("glider-two-batteries")
    made = cards_of_aircraft("glider-two-batteries")
    *before, end = [step for card in made for step in card.steps]
    said = {n for c in made for n in (*c.fitted, *dict(c.switches))}
    for step in before:
        said |= {*step.suspects, *step.untold, *step.beside, *(n.partition(".")[0] for n in step.names)}
    electric = {n for n, part in facts.as_written.parts.items() if part.kind != "mechanical"}
    assert electric | set(facts.as_written.wires) <= said | set(end.untold)
    # leads of signals are on no card; what feeds the radio and brings its current back is
    assert {"microphone", "talk-button", "temperature-probe", "R7", "R8"} <= set(end.untold)
    assert {"radio", "radio-breaker", "R1", "R2"}.isdisjoint(end.untold)
    assert set(end.untold).isdisjoint(n for step in before for n in step.suspects)


@pytest.mark.long
def test_at_the_socket_for_external_power_its_own_way_is_shown_as_solved() -> None:
    facts = of_aircraft("28v-essential")
    made = cards_of_aircraft("28v-essential")
    windings = of_windings(made)
    supplied = [card for card in made if card.supply is not None and card not in windings]
    plugged = [card for card in supplied if card.supply and card.supply[0] == "external-power"]
    bench = Bench(facts.as_written, "external-power")
    circuit = circuit_of(bench.design)
    seen: set[str] = set()
    for card in plugged:
        answer = applied(facts, bench, card)
        assert "external-power.positive" in card.live
        fed = set().union(*plain.solve(circuit, answer.state).fed.values())
        leads = {f"{n}.positive" for n in facts.as_written.of_kind(p.Battery)}
        assert set(card.live) & leads == fed & leads, card.name  # a lead that is off its battery is live too
        for step in card.steps:
            assert step.limits is not None
            assert step.limits.value == pytest.approx(read(bench, answer, step), abs=1e-6), card.name
            for name in step.suspects:
                assert not step.limits.holds(
                    read(bench, answer, step, (Failure(element(facts, name), OPEN),))
                ), (card.name, name)
            seen.update(step.suspects)
    coil = {n for card in windings for step in card.steps for n in step.suspects}
    assert {"external-limiter", "external-control-fuse"} <= seen
    assert {"external-contactor", "external-diode"} <= coil
    # what a battery feeds too is shown once, at its battery
    before = {c.name for c in made if c.supply is not None and c not in plugged}
    assert len(plugged) < 6 and {"external-limiter", "external-control-fuse"}.isdisjoint(before)
    table = power_up_cards(facts.as_written, plugged)
    assert table is not None and all("plugged into external-power" in str(row[3]) for row in table.rows)
    polarity = [s.names[0] for c in made for s in c.steps if s.act is Act.POLARITY]
    assert "external-power" in polarity
    # nothing is plugged in while isolation is measured, so that the socket reads as open
    assert not any("external-power" in s.beside for c in made for s in c.steps if s.act is Act.ISOLATION)


def test_on_the_supply_nothing_else_is_live_and_every_reading_is_as_solved(
    facts: Facts, cards: tuple[PowerCard, ...], benches: Mapping[str, Bench]
) -> None:
    circuits = {name: circuit_of(bench.design) for name, bench in benches.items()}
    for card in cards:
        if card.supply is None:
            continue
        if card in of_windings(cards):
            continue
        bench = benches[card.supply[0]]
        answer = applied(facts, bench, card)
        told = plain.solve(circuits[card.supply[0]], answer.state)
        works = {bare(name) for name, on in told.powered.items() if on and bare(name) in facts.design.parts}
        assert {s.names[0] for s in card.steps if s.act is Act.LOAD} == works & consumers(facts), card.name
        fed = set().union(*told.fed.values())
        device_ends = {f"{n}.{end}" for n in facts.design.of_kind(p.Protector) for end in ("line", "load")}
        assert set(card.live) & device_ends == fed & device_ends, card.name
        for step in card.steps:
            assert step.limits is not None and step.limits.holds(step.limits.value)
            assert step.limits.value == pytest.approx(read(bench, answer, step), abs=1e-6), card.name
        amperes = next(s.limits for s in card.steps if s.act is Act.SUPPLY_AMPERES)
        assert amperes is not None and amperes.value < card.supply[2]


def consumers(facts: Facts) -> set[str]:
    return set(facts.design.of_kind((p.Load, p.Instrument)))


def test_a_planted_fault_shows_at_the_step_that_suspects_it_and_at_no_step_that_does_not_tell_it(
    facts: Facts, cards: tuple[PowerCard, ...], benches: Mapping[str, Bench]
) -> None:
    shown = hidden = 0
    for card in [card for card in cards if card.supply is not None and card not in of_windings(cards)]:
        assert card.supply is not None
        bench = benches[card.supply[0]]
        answer = applied(facts, bench, card)
        for step in card.steps:
            for name in step.suspects:
                after = read(bench, answer, step, (Failure(element(facts, name), OPEN),))
                assert step.limits is not None and not step.limits.holds(after), (card.name, step.names, name)
                shown += 1
            for name in step.untold:
                case = (Failure(element(facts, name), OPEN),)
                readings = [(s.limits, read(bench, answer, s, case)) for s in card.steps]
                assert all(limits is not None and limits.holds(value) for limits, value in readings), (
                    card.name,
                    name,
                )
                hidden += 1
    assert shown > 150 and hidden > 1


@pytest.mark.parametrize(
    ("name", "coils", "fields"),
    [
        ("", {"main-contactor", "starter-contactor", "pitot-relay"}, {"alternator"}),
        pytest.param(
            "28v-essential",
            {"main-contactor", "starter-contactor", "alternate-relay", "external-contactor"},
            {"main-alternator", "standby-alternator"},
            marks=pytest.mark.long,
        ),
        pytest.param(
            "twin-split-bus",
            {
                "battery-contactor", "external-contactor", "left-tie-contactor", "right-tie-contactor",
                "left-starter-contactor", "right-starter-contactor", "gear-down-relay",
            },
            {"left-alternator", "right-alternator"},
            marks=pytest.mark.long,
        ),
        pytest.param(
            "injected-auto-pump",
            {"main-contactor", "starter-contactor", "trim-up-relay", "trim-down-relay"},
            set(),
            marks=pytest.mark.long,
        ),
    ],
)  # fmt: skip
def test_coils_and_fields_are_pulled_in_and_released_as_solved_and_no_starter_gets_power(
    name: str, coils: set[str], fields: set[str], facts: Facts, cards: tuple[PowerCard, ...]
) -> None:
    facts, cards = (of_aircraft(name), cards_of_aircraft(name)) if name else (facts, cards)
    made = of_windings(cards)
    assert {card.name for card in made} == {f"coil of {n}" for n in coils} | {f"field of {n}" for n in fields}
    left = {n for n in facts.design.of_kind(p.Electromagnet) if n not in coils}
    assert left <= set(cards[-1].steps[-1].untold)
    shown = 0
    for card in made:
        bench, live = bench_of(facts, card), set[str]()
        circuit = circuit_of(bench.design)
        for step in card.steps:
            answer = applied(facts, bench, card, step.moved)
            told = plain.solve(circuit, answer.state)
            kinds = {
                n: getattr(bench.design.parts[n], "type", None)
                for n in map(bare, told.powered)
                if n in bench.design.parts
            }
            working = {bare(e) for e, on in told.powered.items() if on}
            assert not any(kinds.get(n) == "starter" for n in working), card.name
            assert {n for n in working if kinds.get(n) == "motor"} <= set(card.running)
            own = f"parts/{card.name.rpartition(' ')[2]}"
            if card.name.startswith("coil"):
                assert bool(told.energised[own]) is not bool(step.moved), card.name
            live |= set().union(*told.fed.values())
            if step.act is Act.CONTACT:
                closed = joined(bench, answer, *step.names[:2])
                assert closed is (step.names[2] == "closed")
                assert not live & set(step.names[:2])
                continue
            if step.limits is None:
                assert step.act is Act.SUPPLY_AMPERES
                continue
            assert step.limits.value == pytest.approx(read(bench, answer, step), abs=1e-6), card.name
            for suspect in step.suspects:
                relay = isinstance(facts.design.parts.get(suspect), p.Electromagnet)
                stuck = [Failure(f"parts/{suspect}", mode) for mode in (HELD, DROPPED) if relay]
                cases = [Failure(element(facts, suspect), OPEN), *stuck]
                after = [read(bench, answer, step, (case,)) for case in cases]
                assert any(not step.limits.holds(value) for value in after), (card.name, step.names, suspect)
                shown += 1
        ends = {f"{n}.{end}" for n in facts.design.of_kind(p.Protector) for end in ("line", "load")}
        ends |= {
            f"{n}.{t}"
            for n in facts.design.of_kind(p.Contactor)
            for c in facts.design.part(n, p.Contactor).contacts.values()
            for t in c.terminals
        }
        ends &= set(facts.network.index)  # the line of what is plugged on a bus is the bus
        assert set(card.live) & ends == live & ends, card.name
    assert shown > 4 * len(made)


def test_a_lead_is_off_only_where_a_starter_would_get_power(
    facts: Facts, cards: tuple[PowerCard, ...]
) -> None:
    """A contactor that closes brings power to its post; what hangs on it stays off."""
    made = {card.name: card for card in of_windings(cards)}
    starter = made["coil of starter-contactor"]
    assert starter.lifted == (("K4", "starter-contactor.load"),) and "starter-contactor.load" in starter.live
    assert all(card.lifted == () for card in made.values() if card is not starter)
    bench = Bench(facts.as_written, "main-battery")  # with the lead on, it would
    assert applied(facts, bench, starter).healthy.powered["parts/starter"]
    table = power_up_cards(facts.as_written, [starter])
    assert table is not None
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in table.rows]
    assert all("K4 off starter-contactor.load and its end insulated" in str(row["set"]) for row in rows)
    assert "starter-contactor.load" in str(rows[0]["do"])
    assert [str(row["do"]).partition(";")[0] for row in rows[1:]] == [
        "switch the supply on", "listen and measure", "measure", "start-button released",
    ]  # fmt: skip
    assert "not for long" in str(rows[2]["do"])
    pitot = power_up_cards(facts.as_written, [made["coil of pitot-relay"]])
    assert pitot is not None and not any("not for long" in str(row[4]) for row in pitot.rows)


def test_a_coil_whose_current_the_file_does_not_state_gives_no_limit_of_amperes(facts: Facts) -> None:
    text_of = (ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8")
    unstated = power_up(Facts(read_text(text_of.replace("    coil-current: 0.6 A\n", "", 1), "x")))
    (own,) = (card for card in unstated if card.name == "coil of main-contactor")
    assert own.steps[0].limits is None and own.steps[1].limits is not None
    stated = power_up(facts)
    (own,) = (card for card in stated if card.name == "coil of main-contactor")
    assert own.steps[0].limits is not None and own.steps[0].limits.holds(0.9 * own.steps[0].limits.value)


def test_before_any_source_an_open_wire_parts_what_is_measured_and_a_bond_is_measured_alone(
    facts: Facts, cards: tuple[PowerCard, ...]
) -> None:
    """By nothing but the wires and switches of the file: a search over names."""
    bench = Bench(facts.as_written)
    seen = 0
    for card in cards:
        if card.stage is not Stage.COLD:
            continue
        answer = bench.solve(
            [
                bench.state(
                    "c",
                    {**rest_positions(facts.as_written), **dict(card.switches)},
                    facts.design.of_kind(p.Protector),
                )
            ]
        )["c"]
        for step in card.steps:
            if step.act in (Act.SUPPLY_CONTINUITY, Act.RETURN_CONTINUITY):
                assert joined(bench, answer, *step.names)
                for name in step.suspects:
                    left = Metal(bench, answer, element(facts, name)).ohms(
                        *map(bench.network.node, step.names)
                    )
                    assert step.limits is not None and (left is None or not step.limits.holds(left)), name
                    assert left is not None or not joined(
                        bench, answer, *step.names, without=element(facts, name)
                    )
                    seen += 1
                for name in step.untold:
                    if not isinstance(facts.design.parts.get(name), p.Relay):
                        assert joined(bench, answer, *step.names, without=element(facts, name)), name
            elif step.act is Act.BOND:
                assert step.limits is not None and step.limits.holds(step.limits.value)
                wire = element(facts, step.names[0])
                assert joined(bench, answer, *step.names[1:], without=wire) == bool(step.beside), wire
            elif step.act is Act.ISOLATION:
                assert not joined(bench, answer, *step.names)
    assert seen > 100


def joined(bench: Bench, answer: StateAnswer, one: str, other: str, without: str = "") -> bool:
    """Whether current can go from one terminal to another with no source, an element left out."""
    network = bench.network
    reached, todo = {network.node(one)}, [network.node(one)]
    while todo:
        at = todo.pop()
        for i, link in enumerate(network.links):
            if at in (link.a, link.b) and answer.closed[i] and not link.oneway and link.element != without:
                for end in {link.a, link.b} - reached:
                    reached.add(end)
                    todo.append(end)
    return network.node(other) in reached


def test_each_card_opens_with_its_safety_block_and_has_room_for_what_is_measured(
    facts: Facts, cards: tuple[PowerCard, ...]
) -> None:
    made = power_up_cards(facts.as_written, cards)
    assert made is not None
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in made.rows]
    names = [row["card"] for row in rows]
    for number, row in enumerate(rows):
        first = number == 0 or names[number - 1] != row["card"] or rows[number - 1]["stage"] != row["stage"]
        assert (row["look at"] == SAFETY) is first is (row["step"] == 0)
        assert (row["measured"], row["performed by"], row["date"]) == ("", "", "")
        assert row["expected"] != ""
    blocks = {row["stage"]: str(row["do"]) for row in rows if row["step"] == 0}
    for stage, words in (
        (Stage.COLD, ("Disconnect every battery", "Propeller clear", "chocks", "Nobody in the seat")),
        (
            Stage.SUPPLY,
            ("Batteries stay disconnected", "Fire extinguisher", "One person in the seat", "Live: "),
        ),
        (Stage.BATTERY, ("brakes", "before anybody works on a wire", "Live: main-battery.positive")),
    ):
        assert all(word in blocks[stage.value] for word in words), stage
    limiter = next(row for row in rows if row["card"] == "bus-limiter" and row["step"] == 0)
    assert "line side of start-breaker, alternator-limiter, field-breaker, engine-a-limiter" in str(
        limiter["do"]
    )


def test_a_card_warns_of_what_moves_and_of_what_gets_hot(facts: Facts, cards: tuple[PowerCard, ...]) -> None:
    """On a supply, and on the cards of checks and protection that follow: pumps and pitot heat, each where
    it has power, and the starter nowhere but where the engine is cranked."""
    made = power_up_cards(facts.as_written, cards)
    assert made is not None
    blocks = {row[1]: str(row[4]) for row in made.rows if row[2] == 0}
    hot = {name for name, words in blocks.items() if "pitot-heater gets hot" in words}
    assert {"pitot-breaker", "coil of pitot-relay"} <= hot and "pump-a-breaker" not in hot
    assert "Clear what pump-a moves." in blocks["pump-a-breaker"] and "pump-a" not in blocks["pitot-breaker"]
    later = card_rows(facts.as_written, cards_of(facts, effects_of(facts)))
    after = {row.card: row.do for row in later if row.step == 0}
    assert (
        "starter move" in after["check starter-shows"] and "starter move" not in after["check reserve-alone"]
    )
    assert "pitot-heater gets hot" in after["breaker pitot-breaker"]


def test_with_everything_off_no_magneto_fires_and_its_lead_is_measured_both_ways() -> None:
    """The position of a magneto switch that joins the fewest terminals is BOTH, which is not off."""
    facts = Facts(read_design(ROOT / "tests" / "aircraft" / "magneto-metal.design.yaml"))
    made = {card.name: card for card in power_up(facts)}
    off, on = made["magneto leads, ignition off"], made["magneto leads, ignition on"]
    assert [step.names[2] for step in off.steps] == ["grounded", "grounded"] and off.switches == ()
    assert [step.names[2] for step in on.steps] == ["open", "open"]
    assert on.switches == (("ignition-switch", "both"),)
    assert rest_positions(facts.as_written)["ignition-switch"] == "off"
    assert all("I1" in step.suspects or "I2" in step.suspects for step in off.steps)
    assert (
        off.hot == on.hot == ("left-magneto", "right-magneto")
    )  # a lead that is off its magneto stops nothing
    hot = {card.name for card in made.values() if card.hot}
    # with its key at START the switch grounds no lead either
    coil = "coil of starter-contactor"
    assert hot == {
        off.name,
        on.name,
        coil,
        f"continuity of the {coil}",
        "all on as for flight, engine stopped",
    }
    table = power_up_cards(facts.as_written, list(made.values()))
    assert table is not None
    blocks = {row[1]: str(row[4]) for row in table.rows if row[2] == 0}
    assert {name for name, block in blocks.items() if "Hands off the propeller" in block} == hot


def test_continuity_is_measured_from_the_protection_to_the_load_and_from_there_to_the_ground(
    facts: Facts, cards: tuple[PowerCard, ...]
) -> None:
    """Between two terminals; the load or coil of a step is the one of both of its measurements. A coil that
    no circuit protection feeds is measured from the positive lead of its battery."""
    users = {bare(user.element): user for user in (*facts.network.consumers, *facts.network.coils)}
    seen = 0
    for step in (step for card in cards for step in card.steps):
        if step.act in (Act.SUPPLY_CONTINUITY, Act.RETURN_CONTINUITY):
            supply = step.act is Act.SUPPLY_CONTINUITY
            near, far = step.names if supply else step.names[::-1]
            load = users[far.partition(".")[0]]
            assert facts.network.index[far] in (load.plus if supply else load.minus)
            assert near.endswith((".load", ".positive")) if supply else near.partition(".")[0] not in users
            seen += 1
    assert seen > 20
    coils = {bare(coil.element) for coil in facts.network.coils}
    measured = {card.name.partition("continuity of the coil of ")[2]: card for card in cards}
    assert coils and coils <= measured.keys()
    for coil in coils:
        both = [step.act for step in measured[coil].steps]
        assert both == [Act.SUPPLY_CONTINUITY, Act.RETURN_CONTINUITY], coil


def test_hands_stay_off_the_propeller_of_each_magneto_that_is_not_grounded(facts: Facts) -> None:
    one, two = (safety_words(facts.design, Stage.COLD, hot=hot) for hot in (("left",), ("left", "right")))
    assert "Hands off the propeller: left fires when it is turned." in one
    assert "Hands off the propeller: left, right fire when it is turned." in two
    assert "propeller: " not in safety_words(facts.design, Stage.ENGINE, hot=("left",))  # it runs


@pytest.mark.parametrize(("said", "at"), [(", off: dim", "dim"), ("", "out")])
def test_a_switch_is_off_where_its_file_says_so_and_else_where_it_joins_nothing(said: str, at: str) -> None:
    """DIM joins a bleed resistor, so that OUT joins fewer terminals; the file says which one is off."""
    text = (ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8")
    switch = f"  lamps: {{kind: switch, positions: {{on: [[in, lamp]], out: [], dim: [[in, bleed]]}}{said}, normal: on}}\nwires:"
    text = text.replace("\nwires:", f"\n{switch}", 1).replace(
        "states: {cruise: {", "states: {cruise: {switches: {lamps: on}, "
    )
    assert rest_positions(read_text(text, "lamps.yaml")) == {"lamps": at}


@cache
def of_aircraft(name: str) -> Facts:
    return Facts(read_design(ROOT / "tests" / "aircraft" / f"{name}.design.yaml"))


@cache
def cards_of_aircraft(name: str) -> tuple[PowerCard, ...]:
    return power_up(of_aircraft(name))


def test_what_an_ohmmeter_reads_beside_a_lead_is_named_and_what_lies_open_is_not() -> None:
    """A capacitor, a generator, a converter and the input of an instrument pass some current; a bus with
    all its fuses out passes none."""
    beside = {}
    for name in ("small-generator", "glider-two-batteries"):
        (card,) = (card for card in cards_of_aircraft(name) if card.name == "isolation")
        beside |= {step.names[0]: set(step.beside) for step in card.steps}
    assert beside["generator-fuse.load"] == {"generator", "smoothing"}
    assert beside["shunt-high-fuse.load"] == {"engine-monitor"}
    assert beside["converter-breaker.load"] == {"converter"}
    assert beside["main-bus"] == beside["charge-bus"] == beside["pump-fuse.load"] == set()


DIODES = """
format: 1
aircraft: {name: Two diodes, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 18 Ah}
  main-bus: {kind: bus}
  second-bus: {kind: bus}
  ground: {kind: ground-block}
circuits:
  feed: battery.positive > fuse 20 A FEED > main-bus
  negative: battery.negative > ground
  first: main-bus > diode FIRST > second-bus
  second: main-bus > diode SECOND > second-bus
  lamp: second-bus > fuse 2 A LAMP > lamp (1 A) > ground
operation: {normal: cruise, states: {cruise: {engine: running}}}
wires: {BYPASS: {from: main-bus.9, to: second-bus.9}}
"""


@pytest.mark.parametrize("bypass", [True, False])
def test_a_wire_round_a_diode_is_named_where_the_diode_is_measured(bypass: bool) -> None:
    """With it the meter reads 0 both ways, as across a shorted diode; another diode beside hides no open one."""
    made = DIODES if bypass else DIODES.partition("wires:")[0]
    steps = [s for card in power_up(Facts(read_text(made, "x"))) for s in card.steps if s.act is Act.DIODE]
    assert len(steps) == 2
    assert all(("BYPASS" in step.beside) is bypass for step in steps)


def test_a_glider_has_no_engine_and_a_selector_without_off_is_set_on_each_card_that_needs_it() -> None:
    glider = of_aircraft("glider-two-batteries")
    made = cards_of_aircraft("glider-two-batteries")
    table = power_up_cards(glider.as_written, made)
    assert table is not None and not any("engine" in str(cell) for row in table.rows for cell in row)
    supplied = [card for card in made if card.supply is not None]
    through = [card for card in supplied if "master" in dict(card.switches)]
    assert len(through) > 10
    for card in through:
        assert card.supply is not None and dict(card.switches)["selector"] == card.supply[0]
    assert all("selector" not in dict(card.switches) for card in supplied if card not in through)
    cold = [card.steps for card in made if card.stage is Stage.COLD]
    assert len(set(cold)) == len(cold)  # nothing is measured twice


def test_a_string_is_supplied_at_its_top_so_that_nothing_between_two_batteries_gets_all_its_volts() -> None:
    name = "each of two batteries in series has its own window, and its half of the volts"
    facts = Facts(read_text(text(case("batteries-charge-at-their-specified-voltage", name)), "string"))
    assert facts.as_written.part("low-battery", p.Battery).nominal == 14.0
    supplied = [card for card in power_up(facts) if card.supply is not None]
    of_string = [card for card in supplied if card.supply and card.supply[0] == "main-battery"]
    assert of_string and not any(card.supply and card.supply[0] == "low-battery" for card in supplied)
    for card in of_string:
        assert card.supply is not None and card.supply[1:2] + card.supply[3:] == (25.2, ("low-battery",))
        assert "main-battery.positive" in card.live and "low-battery.positive" not in card.live
        assert not any("low-battery" in step.suspects for step in card.steps)
    table = power_up_cards(facts.as_written, of_string)
    assert table is not None
    assert all(
        "place of main-battery, the two leads of low-battery joined" in str(row[3]) for row in table.rows
    )
    # a battery by itself has nothing to join
    assert all(card.supply and not card.supply[3] for card in supplied if card not in of_string)


@pytest.mark.long
@pytest.mark.parametrize("name", ["28v-essential", "twin-split-bus"])
def test_no_two_cards_have_one_name_though_a_circuit_is_tried_from_two_supplies(name: str) -> None:
    """What is filled in is judged by the name of its card and its step."""
    made = [card for card in cards_of_aircraft(name) if card.supply is not None]
    assert len({card.name for card in made}) == len(made)
    own = {card.fitted[-1]: card.supply[0] for card in made if card.fitted and card.supply}
    twice = [card for card in made if card.fitted and card.supply and own[card.fitted[-1]] != card.supply[0]]
    assert twice and all(
        card.name == f"{card.fitted[-1]}, from {card.supply[0]}"
        for card in made
        if card.supply and card.supply[0] == "external-power" and card not in of_windings(tuple(made))
    )


OTHERS = ["twin-split-bus", "28v-essential", "glider-two-batteries", "magneto-metal"]


@pytest.mark.long
@pytest.mark.parametrize("name", some_of(OTHERS, [name for name in OTHERS if name != "28v-essential"]))
def test_the_cards_of_other_aircraft_are_walked_through_as_well(name: str) -> None:
    """What is live, what each step reads, and what every third planted fault shows, at the supply of each card."""
    facts = of_aircraft(name)
    made = cards_of_aircraft(name)
    ends = {f"{n}.{end}" for n in facts.design.of_kind(p.Protector) for end in ("line", "load")}
    walked = planted = 0
    for card in [c for c in made if c.supply is not None and c not in of_windings(made)]:
        bench = bench_of(facts, card)
        answer = applied(facts, bench, card)
        told = plain.solve(circuit_of(bench.design), answer.state)
        works = {bare(n) for n, on in told.powered.items() if on and bare(n) in facts.design.parts}
        assert {s.names[0] for s in card.steps if s.act is Act.LOAD} <= works & consumers(facts), card.name
        fed = set().union(*told.fed.values())
        bar = {n: getattr(part, "plugged_on", None) for n, part in facts.design.parts.items()}
        live = {end for end in ends if end in fed or (end.endswith(".line") and bar[end[:-5]] in fed)}
        assert set(card.live) & ends == live, card.name
        for step in card.steps:
            if step.limits is None:
                continue
            assert step.limits.holds(step.limits.value)
            assert step.act is not Act.VOLTS or step.limits.value > 5, card.name  # its circuit is energised
            # behind a diode without current the volts may be anything up to its drop
            error = 0.1 if step.act is Act.VOLTS else 1e-6
            assert step.limits.value == pytest.approx(read(bench, answer, step), abs=error), card.name
            walked += 1
            for fault in step.suspects[::3]:
                after = read(bench, answer, step, (Failure(element(facts, fault), OPEN),))
                assert not step.limits.holds(after), (card.name, step.names, fault)
                planted += 1
            for fault in step.untold[::3]:
                after = read(bench, answer, step, (Failure(element(facts, fault), OPEN),))
                assert step.limits.holds(after), (card.name, step.names, fault)
    assert walked > 20 and planted > 10


@pytest.mark.long
def test_a_circuit_that_takes_more_than_a_bench_supply_gives_is_tried_on_the_batteries() -> None:
    """The gear pump of the twin; the boost pumps stay on the supply."""
    facts = of_aircraft("twin-split-bus")
    made = cards_of_aircraft("twin-split-bus")
    assert all(card.supply[2] <= 30.0 for card in made if card.supply and card.supply[0] == "battery")
    (card,) = (c for c in made if c.too_much)
    assert card.stage is Stage.BATTERY and card.supply is None and card.fitted[-1] == "gear-pump-limiter"
    assert made.index(card) > max(i for i, c in enumerate(made) if c.stage is Stage.SUPPLY)
    out = [n for n in facts.as_written.of_kind(p.Protector) if n not in card.fitted]
    state = stopped("card", {**rest_positions(facts.as_written), **dict(card.switches)}, out)
    answer = solve_states(facts.design, facts.network, [state])["card"]
    point = facts.points.solved_of(answer)
    amperes, volts, pump = card.steps
    assert amperes.limits is not None and amperes.limits.holds(point.given["parts/battery"])
    assert volts.limits is not None and volts.limits.holds(point.volts["gear-pump-limiter.load"])
    assert pump.limits is not None and pump.limits.holds(point.across["parts/gear-pump"])
    assert set(card.live) >= {"battery.positive", "gear-pump-limiter.load"} and "gear-pump" in card.running
    row = next(row for row in power_up_cards(facts.as_written, [card]).rows if row[2] == 1)  # type: ignore[union-attr]
    assert (
        str(row[3]).startswith("charged batteries, for the circuit may take more than") and "clamp" in row[4]
    )
