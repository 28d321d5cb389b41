"""Cards for tests: what to set, what to look at, what it should read, beyond which limits the step has failed, and which failure it tells of.

A check that the file declares gives a step for each thing that it watches; a protector that takes a load gives the volts behind it, in and pulled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.detection.evidence import Scene
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import tolerances as limits
from reviewer.model import parts as p
from reviewer.model.design import Check
from reviewer.network.graph import bare
from reviewer.questions.effects import EffectsTable
from reviewer.reports.handoff.schedules.operating_tables import reading_words
from reviewer.reports.handoff.schedules.table import Cell, Table, names, number
from reviewer.reports.wording import positions_words

COLUMNS = (
    "card", "set", "do", "look at", "expected", "unit", "reject below", "reject above", "tells of", "what the design file expects", "found", "by and when",
)  # fmt: skip
UNITS = {"voltage": "V", "current": "A"}


@dataclass(frozen=True)
class Step:
    """One thing to look at: ``expected`` as it is told, the ``within`` that it rests on, None where nothing is read or limits could not be solved, and the
    failures that it ``tells`` of, with what is seen then."""

    look: str
    expected: Cell
    unit: str
    within: limits.Within | None
    tells: tuple[tuple[Failure, str], ...]


def check_steps(facts: Facts, name: str) -> tuple[Step, ...]:
    """The steps of a declared check, then the differences between the voltmeters that it watches."""
    check = facts.design.watch.checks[name]
    answer, failures = facts.states.answer(check.state), proved(facts, check)
    return _Check(facts, check, answer, failures).steps()


def proved(facts: Facts, check: Check) -> tuple[Failure, ...]:
    """The failures that a check is to notice: what it proves open, and a diode shorted through too."""
    elements = [f"parts/{n}" if n in facts.design.parts else f"wires/{n}" for n in check.proves]
    diodes = [e for e in elements if isinstance(facts.design.parts.get(bare(e)), p.Diode)]
    return (*(Failure(e, OPEN) for e in elements), *(Failure(e, DIODE_SHORT) for e in diodes))


class _Check:
    def __init__(self, facts: Facts, check: Check, answer: StateAnswer, failures: tuple[Failure, ...]):
        self.facts, self.check, self.answer, self.failures = facts, check, answer, failures
        self.spread = spread_of(facts, check.state)
        meters = {n: m for n, m in facts.detection.meters.items() if n in check.watch}
        self.scene = Scene(answer, meters, failures) if failures else None

    def steps(self) -> tuple[Step, ...]:
        monitors = self.facts.design.watch.monitors
        found = [
            self._read(n) if n in monitors and monitors[n].shows != "live" and self.spread else self._seen(n)
            for n in self.check.watch
        ]
        live = [
            n for n in self.check.watch if n in monitors and monitors[n].shows == "voltage" and self._lives(n)
        ]
        return (*found, *(self._between(one, other) for other, one in pairwise(live)))

    def _lives(self, name: str) -> bool:
        within = self.spread.monitor(name) if self.spread else None
        return within is not None and within.low > 1.0

    def _read(self, name: str) -> Step:
        within = self.spread.monitor(name) if self.spread else None
        unit = UNITS[self.facts.design.watch.monitors[name].shows]
        if within is None:
            return self._seen(name)
        told = []
        for failure in self.failures:
            reading = self._reading(failure, name)
            if reading is not None and (
                reading.blank or (reading.value is not None and not within.holds(reading.value))
            ):
                told.append((failure, "dark" if reading.blank else f"{reading.value:.1f} {unit}"))
        return Step(name, number(within.value, 2), unit, within, tuple(told))

    def _between(self, one: str, other: str) -> Step:
        within = self.spread.difference(one, other) if self.spread else None
        told = []
        for failure in self.failures if within else ():
            mine, theirs = self._reading(failure, one), self._reading(failure, other)
            if (
                mine is None
                or theirs is None
                or mine.blank
                or theirs.blank
                or within is None
                or mine.value is None
                or theirs.value is None
            ):
                continue
            if not within.holds(mine.value - theirs.value):
                told.append((failure, f"{mine.value - theirs.value:.2f} V"))
        return Step(
            f"{one} less {other}", number(within.value, 2) if within else "", "V", within, tuple(told)
        )

    def _reading(self, failure: Failure, name: str):
        try:
            return self.facts.points.operating_point(self.check.state, None, (failure,)).readings[name]
        except NotAssessable:
            return None

    def _seen(self, name: str) -> Step:
        mask = self.scene.watched((name,)) if self.scene else 0
        told = tuple((failure, "otherwise") for i, failure in enumerate(self.failures) if mask >> i & 1)
        return Step(name, _given(self.facts, self.answer, name), "", None, told)


def spread_of(facts: Facts, state: str, case: tuple[Failure, ...] = ()) -> limits.Spread | None:
    """The spread of a state; None where the file lacks what it needs."""
    try:
        return facts.points.spread(state, case)
    except NotAssessable:
        return None


def protector_steps(facts: Facts, name: str) -> tuple[Step, Step | None]:
    """The volts behind a protector in the dispatch state with it in, then with it pulled; None where it is fed from its far end too, so that they tell
    nothing."""
    operation = facts.design.operation
    assert operation is not None
    answer, terminal, failure = (
        facts.states.answer(operation.dispatch),
        f"{name}.load",
        Failure(f"parts/{name}", OPEN),
    )
    spread = spread_of(facts, operation.dispatch)
    within = spread.volts(terminal) if spread else None
    look = f"volts from {terminal} to the main negative"
    node = facts.network.node(terminal)
    lane = answer.failures.index(failure)
    pulled: limits.Within | None = limits.DEAD
    if answer.failed.live(node) >> lane & 1:
        other = spread_of(facts, operation.dispatch, (failure,))
        pulled = other.volts(terminal) if other else None
    told = (
        ((failure, f"{pulled.value:.1f} V"),) if within and pulled and not within.holds(pulled.value) else ()
    )
    step = Step(look, number(within.value, 2) if within else "live", "V" if within else "", within, told)
    if pulled is None or (within is not None and pulled.holds(within.value)):
        return step, None
    return step, Step(look, number(pulled.value + 0.0, 2), "V", pulled, ())


def test_cards(facts: Facts, effects: EffectsTable | None) -> Table:
    """A card for each declared check, then one for each protector that takes a load in the dispatch state."""
    rows: list[tuple[Cell, ...]] = []
    for name, check in facts.design.watch.checks.items():
        setting = f"{check.state}: {_setting(facts, facts.states.answer(check.state))}"
        steps = check_steps(facts, name)
        for step in steps:
            rows.append(_row(f"check {name}", setting, "look", step, check.expect))
        told = {
            failure.element for step in steps for failure, _ in step.tells
        }  # a diode is proved by either of its failures
        if silent := list(
            dict.fromkeys(bare(f.element) for f in proved(facts, check) if f.element not in told)
        ):
            none = Step("no step of this card tells of", names(silent), "", None, ())
            rows.append(_row(f"check {name}", setting, "find another way", none, check.expect))
    dispatch = facts.design.operation.dispatch if facts.design.operation else ""
    for effect in effects.effects if effects else ():
        name = bare(effect.failure.element)
        part = facts.design.parts.get(name) if effect.failure.element.startswith("parts/") else None
        if effect.failure.mode == OPEN and isinstance(part, p.Protector) and effect.loads:
            rows += _protector_rows(facts, name, part, dispatch, [bare(load) for load in effect.loads])
    return Table("test-cards", "Test cards", _about(facts), COLUMNS, tuple(rows))


def _protector_rows(
    facts: Facts, name: str, part: p.Protector, dispatch: str, loads: Sequence[str]
) -> list[tuple[Cell, ...]]:
    fast = (
        ", engine fast enough for the alternator to hold its set point"
        if facts.design.of_kind(p.Alternator)
        else ""
    )
    card, setting = f"protector {name}", f"as for flight in {dispatch}, on the ground{fast}"
    pull = _opened(name, part)
    one, other = protector_steps(facts, name)
    found = [_row(card, setting, "leave it in", one)]
    if other:
        wrong = f"fed from elsewhere ({one.within.value:.1f} V)" if one.within else "fed from elsewhere"
        found.append(_row(card, setting, pull, other, tells=wrong))
    stopped = Step(names(loads), f"{'stops' if len(loads) == 1 else 'stop'}; all else goes on", "", None, ())
    return [*found, _row(card, setting, pull, stopped)]


def _opened(name: str, part: p.Protector) -> str:
    """How a protector is opened: a fuse or limiter only when it carries nothing."""
    told = f"{name} ({part.label})" if part.label else name
    if isinstance(part, p.Breaker):
        return f"pull {told}"
    if isinstance(part, p.BreakerSwitch):
        return f"switch off {told}"
    return f"with the engine stopped and everything off take out {told}, then set as above"


def _row(
    card: str, setting: str, do: str, step: Step, expects: str = "", tells: str = ""
) -> tuple[Cell, ...]:
    low, high = (number(step.within.low, 1), number(step.within.high, 1)) if step.within else ("", "")
    told = tells or "; ".join(
        f"{bare(f.element)} {f.mode}{f' ({seen})' if seen != 'otherwise' else ''}" for f, seen in step.tells
    )
    return (card, setting, do, step.look, step.expected, step.unit, low, high, told, expects, "", "")


def _about(facts: Facts) -> str:
    states = [check.state for check in facts.design.watch.checks.values()] + (
        [facts.design.operation.dispatch] if facts.design.operation else []
    )
    spreads = [s for state in dict.fromkeys(states) if (s := spread_of(facts, state))]
    told = "Cards to be filled in at the bench and in the aircraft. Where a figure stands, it was solved with nothing failed; a reading beyond its limits means that something is not as drawn."
    if not spreads:
        return f"{told} No limits could be solved: the file lacks what volts and amperes need."
    basis = "; ".join(dict.fromkeys(str(u) for s in spreads for u in s.unknowns))
    meters = (
        f"a voltmeter of {limits.VOLTS_SHARE:.0%} of the reading and {limits.VOLTS_STEP:g} V, an ammeter of {limits.AMPS_SHARE:.0%} of the rating of its shunt and "
        f"{limits.AMPS_STEP:g} A (assumed)"
    )
    return f"{told} Limits hold for {basis}; with {meters}. A measured figure in the design file, or a better meter, narrows them."


def _given(facts: Facts, answer: StateAnswer, name: str) -> str:
    """What a monitor, function, load or other part does in a solved state, nothing failed."""
    if name in facts.design.functions:
        return "works" if answer.alive[name] else "is lost"
    monitor = facts.design.watch.monitors.get(name)
    network, healthy = facts.network, answer.healthy
    if monitor is not None:
        try:
            return f"reads {reading_words(facts.points.operating_point(answer.state.name), name)}"
        except NotAssessable:
            node = network.index.get(monitor.senses, network.index.get(f"{monitor.senses}.line"))
            live = node is not None and healthy.live(node)
            return ("there is voltage at " if live else "no voltage at ") + monitor.senses
    element = f"parts/{name}"
    if element in healthy.powered:
        return "works" if healthy.powered[element] else "is off"
    if element in healthy.energised:
        return "pulls in" if healthy.energised[element] else "is at rest"
    return "is live" if any(healthy.live(n) for n in network.nodes_of.get(element, ())) else "is dead"


def _setting(facts: Facts, answer) -> str:
    """The switch positions of a state, by what differs from the dispatch state where that is shorter."""
    dispatch = facts.design.operation.dispatch if facts.design.operation else ""
    like = () if answer.state.name == dispatch else facts.states.answer(dispatch).switches
    return positions_words(answer.switches, like, dispatch)
