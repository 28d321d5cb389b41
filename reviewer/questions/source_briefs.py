"""The design in short: which source feeds which bus and load, by what, in any declared state, and what
the failure of each source does and the crew can do about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.crew.left_ways import may_work
from reviewer.analysis.crew.moves import Begun, after_failures
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect, EffectsTable
from reviewer.questions.fail import Recoveries
from reviewer.questions.naming import shown_answers

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts

#: what is named on the way from one bus to the next; of the rest a schematic shows more
_DEVICES = (p.Protector, p.Switch, p.Electromagnet, p.Diode)


@record
class Feeder:
    """The way from a source or bus to another bus (names). ``devices`` are the circuit protection,
    switches, relays and diodes on it; ``normal`` says whether it is in use in the normal state."""

    start: str
    end: str
    devices: tuple[str, ...]
    normal: bool


@record
class BusLoad:
    """A load (name) behind a bus or source, with the last circuit protection on its way, or ""."""

    bus: str
    load: str
    protection: str
    normal: bool


@record
class Distribution:
    """``sources`` and ``buses`` by name, each bus after what feeds it first, and what joins them."""

    sources: tuple[str, ...]
    buses: tuple[str, ...]
    feeders: tuple[Feeder, ...]
    loads: tuple[BusLoad, ...]


@record
class SourceBrief:
    """A source in the normal state: the ``buses`` that it feeds, how many loads, those (names) that no
    other source feeds then, the ``effects`` of its failures, and what restores each function lost."""

    name: str
    buses: tuple[str, ...]
    loads: int
    alone: tuple[str, ...]
    effects: tuple[Effect, ...]
    crew: tuple[tuple[str, Recoveries], ...]


@record
class DesignBrief:
    """The distribution in the declared states, and each source that lives in the normal one."""

    state: str
    distribution: Distribution
    sources: tuple[SourceBrief, ...]


def design_brief(facts: Facts, effects: EffectsTable) -> DesignBrief:
    """The brief of a design with an operation; ``effects`` are those of the normal state."""
    answer = facts.states.answer(effects.state)
    return DesignBrief(effects.state, _distribution(facts, answer), tuple(_sources(facts, answer, effects)))


def _sources(facts: Facts, answer: StateAnswer, effects: EffectsTable) -> Iterator[SourceBrief]:
    network, buses = facts.network, facts.design.of_kind(p.Bus)
    fed = {
        user.element: {source for node in user.inlets for source in answer.fed_by(node)}
        for user in network.consumers
        if answer.healthy.powered[user.element]
    }
    alive = [source for source in network.sources if answer.healthy.alive[source.element]]
    by_source = {
        source.element: tuple(e for e in effects.effects if e.failure.element == source.element)
        for source in alive
    }
    begun = _begun(facts, answer, [e.failure for own in by_source.values() for e in own])
    for source in alive:
        own = by_source[source.element]
        lost = dict.fromkeys(function for effect in own for function, _ in effect.functions)
        failures = tuple(effect.failure for effect in own)
        yield SourceBrief(
            bare(source.element),
            tuple(n for n in buses if source.element in answer.fed_by(network.index[n])),
            sum(source.element in by for by in fed.values()),
            tuple(bare(user) for user, by in fed.items() if by == {source.element}),
            own,
            tuple((f, facts.crew.recoveries_from(f, effects.state, failures, begun)) for f in lost),
        )


def _begun(facts: Facts, answer: StateAnswer, failures: Sequence[Failure]) -> Begun:
    """Some failures of a state with their other outcomes, solved once for every function."""
    late = facts.states.late_failures(answer.state.name)
    own: dict[Failure, None] = {}
    for failure in failures:
        own |= dict.fromkeys((failure, *late.get(failure, ())))
    cases: tuple[Case, ...] = (*own, ())
    now = after_failures(facts.network, answer.state, cases, answer.healthy)
    powered = less(now.solved.powered, answer.low(cases, now.solved, minor=True))
    lane_of = {failure: i for i, failure in enumerate(own)}
    return Begun(lane_of, now, powered, may_work(facts.network, answer.state, cases), {})


def _distribution(facts: Facts, normal: StateAnswer) -> Distribution:
    """By the shortest way from each source to each bus and load in each state, the normal one first."""
    feeders: dict[tuple[str, str], Feeder] = {}
    loads: dict[tuple[str, str], BusLoad] = {}
    nodes = [(n, facts.network.index[n]) for n in facts.design.of_kind(p.Bus) if n in facts.network.index]
    users = [(bare(u.element), node) for u in facts.network.consumers for node in u.inlets]
    others = [a for a in shown_answers(facts) if a.state.name != normal.state.name]
    for answer in (normal, *others):
        now = answer is normal
        for name, node in (*nodes, *users):
            for source in answer.fed_by(node):
                steps = list(_steps(facts, source, feed_path(facts.network, answer, source, node), name))
                for start, devices, end in (
                    steps[:-1] if name in facts.design.of_kind((p.Load, p.Instrument)) else steps
                ):
                    feeders.setdefault((start, end), Feeder(start, end, devices, now))
                start, devices, end = steps[-1]
                if end == name and (name, node) in users:
                    held = [d for d in devices if isinstance(facts.design.parts[d], p.Protector)]
                    loads.setdefault((start, end), BusLoad(start, end, held[-1] if held else "", now))
    sources = dict.fromkeys(bare(s.element) for s in facts.network.sources)
    used = {f.start for f in feeders.values()} | {one.bus for one in loads.values()}
    return Distribution(
        tuple(n for n in sources if n in used),
        tuple(n for n, _ in nodes if any(n in (f.start, f.end) for f in feeders.values())),
        tuple(feeders.values()),
        tuple(loads.values()),
    )


def _steps(
    facts: Facts, source: str, way: tuple[str, ...], end: str
) -> Iterator[tuple[str, tuple[str, ...], str]]:
    """From a source to the first bus, from there to the next, and so on to the ``end``."""
    start, devices = bare(source), list[str]()
    for element in way:
        name = bare(element)
        part = facts.design.parts.get(name) if element.startswith("parts/") else None
        if isinstance(part, (p.Bus, p.Converter)) and name not in (start, end):
            yield start, tuple(devices), name
            start, devices = name, []
        elif isinstance(part, _DEVICES) and name not in (start, end):
            devices.append(name)
    yield start, tuple(devices), end
