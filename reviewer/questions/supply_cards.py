"""Power-up cards on a current-limited supply in the place of a battery, then at the socket for external
power: one circuit at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import accumulate

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct_failed_states, conduct_states
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import tolerances
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.solved_state import scenario_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.network_build import build_network
from reviewer.questions.bench_failures import read_on_bench, solved_on_bench
from reviewer.questions.bench_supply import Bench, SuppliedCircuit, moved_from_rest, rest_positions
from reviewer.questions.coil_cards import Winding, settings_of, unstated, winding_card
from reviewer.questions.live_terminals import hot_magnetos, live_among, moving_or_hot, terminals_of
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage


def supplied_circuits(design: Design, benches: Sequence[Bench]) -> tuple[tuple[Bench, SuppliedCircuit], ...]:
    """Each circuit with the one of some supplies from which the way to it is shortest: that of its own
    battery.

    At a socket for external power only circuits that have on their way what no other one has.
    """
    found: dict[tuple[str, str], tuple[Bench, SuppliedCircuit]] = {}
    for bench in (one for one in benches if not one.plugged):
        for circuit in bench.circuits():
            key = (circuit.protection, circuit.moved)
            if key not in found or len(circuit.fitted) < len(found[key][1].fitted):
                found[key] = bench, circuit
    owns = {key for key, (_, circuit) in found.items() if not circuit.feeder}
    whole = [pair for key, pair in found.items() if key in owns or not any(key[0] == o for o, _ in owns)]
    order = design.of_kind(p.Battery)
    whole.sort(key=lambda pair: (order.index(pair[0].battery), len(pair[1].fitted)))
    plugged = [bench for bench in benches if bench.plugged]
    return (*whole, *_plugged(plugged, {e for _, circuit in whole for e in circuit.elements}))


def _plugged(benches: Iterable[Bench], shown: set[str]) -> Iterator[tuple[Bench, SuppliedCircuit]]:
    """The circuits at each socket that have elements on their way which are not ``shown`` yet."""
    for bench in benches:
        for circuit in bench.circuits():
            if not shown.issuperset(circuit.elements):
                shown.update(circuit.elements)
                yield bench, circuit


def benches_of(design: Design) -> Iterator[Bench]:
    """A supply in the place of each battery, or of the uppermost of each string of them, and at each socket
    for external power."""
    network = build_network(design)
    sources = {bare(s.element): s for s in network.sources if s.kind == "battery"}
    for name in design.of_kind(p.Battery):
        source = sources[name]
        others = tuple(n for e in source.string if (n := bare(e)) != name)
        if not others or source.positive == source.string_top:
            yield Bench(design, name, others)
    yield from (Bench(design, name) for name in design.of_kind(p.ExternalPower))


def supply_cards(
    design: Design,
    circuits: Sequence[tuple[Bench, SuppliedCircuit]],
    windings: Sequence[Winding] = (),
) -> Iterator[PowerCard]:
    """A card for each circuit, the feeders of each supply first, and one for each coil and field as soon as
    what feeds it was proved."""
    rest, every = rest_positions(design), design.of_kind(p.Protector)
    benches = list(dict.fromkeys(bench for bench, _ in circuits))
    waiting, made = list(windings), _of_windings(design, windings)
    for bench in benches:
        own = [circuit for other, circuit in circuits if other is bench]
        states = [
            bench.state(f"{number}", {**rest, **dict(c.switches)}, [n for n in every if n not in c.fitted])
            for number, c in enumerate(own)
        ]
        answers = tuple(bench.solve(states).values())
        opened = _opened(bench, own, answers)
        terminals = terminals_of(design, bench.network)
        proved: set[str] = set()
        fitted: set[str] = set()
        for circuit, answer, lanes, spread in zip(
            own, answers, opened, _spreads(bench, answers), strict=True
        ):
            yield from (_less(made[w.name], proved) for w in _ready(bench, waiting, fitted))
            card = _card(design, bench, circuit, answer, lanes, spread, rest, frozenset(proved), terminals)
            proved.update(name for step in card.steps for name in step.suspects)
            fitted.add(circuit.protection)
            yield card
        yield from (_less(made[w.name], proved) for w in _ready(bench, waiting, fitted))


def _ready(bench: Bench, waiting: list[Winding], fitted: set[str]) -> Iterator[Winding]:
    """The windings on a supply of which all circuit protection was ``fitted`` before; each once."""
    for winding in list(waiting):
        if winding.bench.battery == bench.battery and fitted.issuperset(winding.circuit.fitted):
            waiting.remove(winding)
            yield winding


def _of_windings(design: Design, windings: Sequence[Winding]) -> Mapping[str, PowerCard]:
    """Their cards by part, the states on one supply solved side by side."""
    made: dict[str, PowerCard] = {}
    for bench in dict.fromkeys(w.bench for w in windings):
        here = [w for w in windings if w.bench is bench]
        own = [settings_of(design, winding) for winding in here]
        each = [(on, *([released[1]] if released else [])) for on, released in own]
        spreads = iter(_spreads(bench, [answer for answers in each for answer in answers]))
        for winding, settings, answers in zip(here, own, each, strict=True):
            found = [next(spreads) for _ in answers]
            amperes = found[0].given(bench.source) if found[0] else None
            picking_up = getattr(design.parts[winding.name], "pickup_current", None) or 0.0
            limit = _limit(design, winding.circuit.protection, amperes, picking_up)
            made[winding.name] = winding_card(design, winding, settings, found, limit)
    return made


def _less(card: PowerCard, proved: set[str]) -> PowerCard:
    """The card of a winding without what was ``proved`` before; that gets what it shows."""
    own = card.name.rpartition(" ")[2]
    steps = tuple(
        replace(
            step,
            suspects=tuple(n for n in step.suspects if n not in proved or n == own),
            untold=tuple(n for n in step.untold if n not in proved),
        )
        for step in card.steps
    )
    proved.update(name for step in steps for name in step.suspects)
    return replace(card, steps=steps)


@record
class _Opened:
    """A circuit with each of its ``elements`` open in turn: the lanes of ``solved`` from ``first`` on."""

    elements: tuple[str, ...]
    solved: Conduction
    first: int

    def dead(self, live: int) -> list[str]:
        """The elements without which something is dead that has power in the lanes ``live``."""
        live >>= self.first
        return [e for i, e in enumerate(self.elements) if not live >> i & 1]


def _opened(
    bench: Bench, circuits: Sequence[SuppliedCircuit], answers: Sequence[StateAnswer]
) -> tuple[_Opened, ...]:
    """Each of some circuits on a supply in its state, all solved side by side."""
    others = {bench.battery, *bench.below}
    elements = [tuple(e for e in circuit.elements if bare(e) not in others) for circuit in circuits]
    cases = [[Failure(element, OPEN) for element in own] for own in elements]
    states, healthy = [answer.state for answer in answers], [answer.healthy for answer in answers]
    solved = conduct_failed_states(bench.network, states, cases, healthy)
    firsts = accumulate(map(len, elements), initial=0)
    return tuple(_Opened(own, solved, first) for own, first in zip(elements, firsts, strict=False))


def _card(
    design: Design,
    bench: Bench,
    circuit: SuppliedCircuit,
    answer: StateAnswer,
    opened: _Opened,
    spread: tolerances.Spread | None,
    rest: Mapping[str, str],
    proved: frozenset[str],
    terminals: Mapping[str, int],
) -> PowerCard:
    """The card of one circuit; ``proved`` are parts and wires that an earlier card shows, ``terminals``
    those of :func:`terminals_of`."""
    elements = opened.elements
    loads = [load for load in circuit.loads if answer.healthy.powered[load]]
    undrawn = spread is None or any(load in spread.points.undrawn for load in loads)
    undrawn = undrawn or bool(unstated(bench, answer))
    amperes = spread.given(bench.source) if spread and not undrawn else None
    terminal, dead = _far_end(bench.network, circuit.protection, opened)
    steps = [
        PowerStep(Act.SUPPLY_AMPERES, (bench.battery,), amperes, "A"),
        PowerStep(
            Act.VOLTS, (terminal,), spread.volts(terminal) if spread else None, "V", _names(dead, proved)
        ),
    ]
    told = {*dead}
    for load in loads:
        lost = opened.dead(opened.solved.powered[load])
        within = spread.at_load(load) if spread else None
        new = _names((e for e in lost if e not in told and e != load), proved)
        steps.append(PowerStep(Act.LOAD, (bare(load),), within, "V", new))
        told.update(lost)
    unseen = [e for e in elements if e not in told and e not in circuit.loads]
    known = proved | design.bonded
    low = _shown_by_figures(bench, answer, [e for e in unseen if bare(e) not in known], steps)
    for at, seen in low.items():
        steps[at] = replace(steps[at], suspects=(*steps[at].suspects, *_names(seen)))
    left = [e for e in unseen if not any(e in seen for seen in low.values())]
    idle = [load for load in circuit.loads if load not in loads]  # it waits for another circuit
    untold = (*_names(left, known), *_names(idle))
    peak = max(
        (getattr(design.parts[bare(load)], "peak", None) or 0.0 for load in circuit.loads), default=0.0
    )
    steps[-1] = replace(steps[-1], untold=untold)
    return PowerCard(
        Stage.SUPPLY,
        circuit.name + (f", from {bench.battery}" if bench.plugged else ""),
        tuple(steps),
        circuit.fitted,
        moved_from_rest(design, rest, circuit.switches),
        live_among(terminals, answer),
        hot_magnetos(bench.network, answer),
        (bench.battery, bench.volts(design), _limit(design, circuit.protection, amperes, peak), bench.below),
        moving_or_hot(design, bench.network, [answer]),
    )


def _shown_by_figures(
    bench: Bench, answer: StateAnswer, elements: Sequence[str], steps: Sequence[PowerStep]
) -> Mapping[int, list[str]]:
    """By step, the volts before the amperes, the elements whose opening leaves all live and is out of its
    limits first there, as one of two feeds."""
    found: dict[int, list[str]] = {}
    judged = [(at, step.limits) for at, step in enumerate(steps) if step.limits is not None]
    judged.sort(key=lambda one: steps[one[0]].act is Act.SUPPLY_AMPERES)
    solved = solved_on_bench(bench, answer, [Failure(e, OPEN) for e in elements]) if elements else None
    if solved is None:
        return found
    left = list(range(len(elements)))
    for at, limits in judged:
        read = read_on_bench(bench, solved, steps[at])
        out = [i for i in left if (seen := read[i]) is not None and not any(map(limits.holds, seen))]
        if out:
            found[at] = [elements[i] for i in out]
            left = [i for i in left if i not in out]
    return found


def _far_end(network: Network, protection: str, opened: _Opened) -> tuple[str, list[str]]:
    """The end of a device that is dead while it is out, and what else makes it dead when it opens."""
    for terminal in (f"{protection}.load", f"{protection}.line"):
        dead = opened.dead(opened.solved.live(network.node(terminal)))
        if f"parts/{protection}" in dead:
            return terminal, dead
    return f"{protection}.load", []


def _limit(design: Design, protection: str, amperes: tolerances.Within | None, peak: float) -> float:
    """Amperes to which the supply is limited: one more than expected, and than a ``peak``.

    At most the rating of the device.
    """
    wanted = float(int(max(amperes.high if amperes else 0.0, peak)) + 1)
    rating: float | None = getattr(design.parts.get(protection), "rating", None)
    return min(wanted, rating) if rating else wanted


def _spreads(bench: Bench, answers: Sequence[StateAnswer]) -> Sequence[tolerances.Spread | None]:
    """The spread of each of some states on the supply, solved side by side; None where the file lacks
    what it needs or its relays do not settle."""
    settled = [a for a in answers if not a.healthy.unsettled]
    found: dict[str, tolerances.Spread] = {}
    if settled:
        states = tuple(answer.state for answer in settled)
        first = scenario_of(bench.design, bench.network, states[0], conduct_states(bench.network, states))
        many = replace(first, states=states)
        with suppress(NotAssessable):
            each = assessed(lambda: tolerances.spreads(bench.design, bench.network, many, bench.wiring))
            found = {state.name: spread for state, spread in zip(states, each, strict=True)}
    return [found.get(answer.state.name) for answer in answers]


def _names(elements: Iterable[str], known: frozenset[str] = frozenset()) -> tuple[str, ...]:
    return tuple(name for name in dict.fromkeys(bare(element) for element in elements) if name not in known)
