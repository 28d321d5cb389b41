"""The power-up of a new or altered system in the safe order: cold, on a supply, on its batteries.

The declared checks and the cards of circuit protection follow, the engine last.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.bench_supply import moved_from_rest, rest_positions, stopped
from reviewer.questions.card_steps import spread_in
from reviewer.questions.coil_cards import windings_of
from reviewer.questions.cold_cards import CoilCircuit, cold_cards
from reviewer.questions.live_terminals import hot_magnetos, live_terminals, moving_or_hot
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage
from reviewer.questions.supply_cards import benches_of, supplied_circuits, supply_cards
from reviewer.questions.test_cards import on_batteries
from reviewer.tables.practice import practice

#: what a bench supply gives at most
MOST_A = practice("amperes", "bench-supply").high

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


def power_up(facts: Facts) -> tuple[PowerCard, ...]:
    """The cards up to where the declared checks begin; none without an operation or a battery."""
    design = facts.as_written
    if design.operation is None or not design.of_kind(p.Battery):
        return ()
    benches = tuple(benches_of(design))
    circuits = supplied_circuits(design, benches)
    windings = windings_of(design, benches)
    for bench in benches:
        bench.forget()
    coils = [CoilCircuit(w.device, w.circuit, w.bench.battery) for w in windings if not w.is_field]
    cold = cold_cards(design, [circuit for _, circuit in circuits], coils)
    every = tuple(supply_cards(design, circuits, windings))
    tried = {step.names[0] for card in every for step in card.steps if step.act is Act.LOAD}
    large = [card for card in every if _beyond_a_supply(design, card)]
    supplied = tuple(card for card in every if card not in large)
    quiet, *on = _battery_cards(facts, tried)
    made = (*cold, *supplied, quiet, *(_on_batteries(facts, card) for card in large), *on)
    if not made[-1].steps:
        return made
    last = made[-1].steps[-1]
    ended = replace(
        made[-1], steps=(*made[-1].steps[:-1], replace(last, untold=_shown_by_none(design, made)))
    )
    return (*made[:-1], ended)


def _beyond_a_supply(design: Design, card: PowerCard) -> bool:
    """Whether a circuit needs more than a bench supply gives, which is none of external power."""
    if card.supply is None or isinstance(design.parts[card.supply[0]], p.ExternalPower):
        return False
    loaded = any(step.act is Act.LOAD for step in card.steps)
    return loaded and card.supply[2] > MOST_A


def _on_batteries(facts: Facts, card: PowerCard) -> PowerCard:
    """A card of one circuit with the batteries in the place of its supply."""
    design = facts.as_written
    out = [n for n in design.of_kind(p.Protector) if n not in card.fitted]
    state = stopped(card.name, {**rest_positions(design), **dict(card.switches)}, out)
    answer = solve_states(facts.design, facts.network, [state])[state.name]
    spread = spread_in(facts, answer)
    within = {
        Act.VOLTS: lambda name: spread.volts(name) if spread else None,
        Act.LOAD: lambda name: spread.at_load(f"parts/{name}") if spread else None,
        Act.SUPPLY_AMPERES: lambda name: spread.given(f"parts/{name}") if spread else None,
    }
    return replace(
        card,
        stage=Stage.BATTERY,
        steps=tuple(replace(step, limits=within[step.act](step.names[0])) for step in card.steps),
        live=live_terminals(design, facts.network, answer),
        hot=hot_magnetos(facts.network, answer),
        running=moving_or_hot(design, facts.network, [answer]),
        supply=None,
        too_much=MOST_A,
    )


def _shown_by_none(design: Design, cards: Iterable[PowerCard]) -> tuple[str, ...]:
    """The loads and coils that no card tries, and the parts and wires that none names: starters, what runs
    only with the engine, leads of signals."""
    tried: set[str] = set()
    named: set[str] = set()
    for card in cards:
        named.update(card.fitted, (name for name, _ in card.switches))
        for step in card.steps:
            named.update(step.suspects, step.untold, step.beside)
            owners = {name.partition(".")[0] for name in step.names}
            named |= owners
            tried |= owners if step.act in (Act.LOAD, Act.COIL) else set()
    return tuple(
        name
        for name, piece in (*design.parts.items(), *design.wires.items())
        if name not in (tried if isinstance(piece, (p.Consumer, p.Electromagnet)) else named)
        and not isinstance(piece, MechanicalChannel)
    )


def _battery_cards(facts: Facts, tried: Collection[str]) -> Iterator[PowerCard]:
    """Each battery connected with everything off, then all on as for flight, the engine stopped.

    The loads that were not ``tried`` before are looked at then.
    """
    design = facts.as_written
    quiet = stopped("everything off", rest_positions(design), ())
    rest = solve_states(facts.design, facts.network, [quiet])[quiet.name]
    posts = [f"{name}.positive" for name in design.of_kind(p.Battery)]
    every = design.of_kind(p.Protector)
    yield _card(facts, "batteries connected, everything off", rest, posts, every)
    if (on := on_batteries(facts)) is not None:
        moved = moved_from_rest(design, quiet.switches, on.state.switches.items())
        buses = [*posts, *design.of_kind(p.Bus)]
        working = [e for e in (f"parts/{n}" for n in design.parts) if on.healthy.powered.get(e)]
        new = [e for e in working if bare(e) not in tried and isinstance(design.parts[bare(e)], p.Consumer)]
        name = "all on as for flight" + (", engine stopped" if design.has_engine else "")
        yield _card(facts, name, on, buses, every, moved, new)


def _card(
    facts: Facts,
    name: str,
    answer: StateAnswer,
    terminals: list[str],
    fitted: tuple[str, ...],
    switches: tuple[tuple[str, str], ...] = (),
    loads: Sequence[str] = (),
) -> PowerCard:
    spread = spread_in(facts, answer)
    live = [t for t in terminals if answer.healthy.live(facts.network.node(t))]
    steps = tuple(
        PowerStep(Act.VOLTS, (terminal,), spread.volts(terminal) if spread else None, "V")
        for terminal in live
    )
    steps += tuple(
        PowerStep(Act.LOAD, (bare(load),), spread.at_load(load) if spread else None, "V") for load in loads
    )
    around = live_terminals(facts.as_written, facts.network, answer)
    hot = hot_magnetos(facts.network, answer)
    running = moving_or_hot(facts.as_written, facts.network, [answer])
    return PowerCard(Stage.BATTERY, name, steps, fitted, switches, around, hot, None, running)
