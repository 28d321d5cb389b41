"""Single failures that stop every alternator through what excites or controls them, while one of their
outputs could still feed loads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, SEVERED, Failure, Mode
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import bits, join, served, serves
from reviewer.analysis.conduction.own_generators import own_generators
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.crew.moves import ActionSequence, after_failures, continued, longer
from reviewer.analysis.sources.alternators import carrying, source_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, Source, bare

_SWITCHES = (p.Switch, p.BreakerSwitch)


@record
class ExcitationLead:
    """The first ``wire`` past some failed elements on the feed of what excites an alternator, from the
    terminal ``at``, and the nearest ``bus`` that the alternator would feed (all names, "" for none).

    ``path`` is that feed, from its source; ``protected`` says whether there is circuit protection past the
    wire, ``switched`` whether there is a switch, or none between it and the last bus.
    """

    wire: str
    at: str
    bus: str
    path: tuple[str, ...]
    protected: bool
    switched: bool


@record
class LostTogether:
    """Failures in a state after which no alternator carries anything, whatever one declared action follows.

    ``spared`` are the alternators (elements) that would feed ``loads`` (elements) then if they were excited
    and the relays in their outputs stood as before. ``lead`` is that of the first of them, None where no
    opening is on its feed; ``ungrounded`` what excites or controls it (an element) and loses its
    return by the first of the failures that spares it, or "".
    """

    state: str
    failures: tuple[Failure, ...]
    spared: tuple[str, ...]
    loads: tuple[str, ...]
    lead: ExcitationLead | None
    ungrounded: str


def lost_together(design: Design, network: Network, answer: StateAnswer) -> Iterator[LostTogether]:
    """The failures of a state, severed bundles left out, that stop all of several alternators through
    their excitation or control, those together that spare the same alternators.

    Several are those that work at once in the state, or of which a declared action starts one where the
    others stand still; the generator of one load is none of them.
    """
    own = own_generators(answer)
    machines = [s.element for s in network.sources if s.kind == "alternator" and s.element not in own]
    sequences = [ActionSequence((), answer.state), *_actions(design, answer)]
    if len(machines) < 2 or len(_startable(network, answer, machines, sequences)) < 2:
        return
    full_on = tuple(f for f in answer.stuck_contacts if f.mode is Mode.FULL_ON)
    tried = (*(f for f in answer.failures if f.mode is not SEVERED), *answer.stuck_relays, *full_on)
    solved = conduct(network, answer.state, tried, answer.healthy)
    on = join(carrying(network, solved, each) for each in machines)
    stopped = [tried[i] for i in bits((1 << len(tried)) - 1 & ~on)]
    if not stopped:
        return
    after = _outcomes(network, answer, stopped, sequences)
    on = _in_any(join(carrying(network, after, each) for each in machines), len(stopped), len(sequences))
    stopped = [f for i, f in enumerate(stopped) if not on >> i & 1]
    if not stopped:
        return
    after = _outcomes(network, answer, stopped, sequences)
    excited = replace(network, sources=tuple(map(_excited, network.sources)))
    held = _relays_of_one(network, answer, machines)
    stand = dict.fromkeys(f for own in held.values() for f in own)
    freed = _outcomes(excited, answer, [(f, *stand) for f in stopped], sequences)
    spared_by = {}
    for i, failure in enumerate(stopped):
        lanes = sum(1 << k * len(stopped) + i for k in range(len(sequences)))
        if fed := {each: loads for each in machines if (loads := _loads(excited, freed, each, lanes))}:
            spared_by[failure] = _Spared(lanes, fed)
    for failures in _joined(spared_by):
        together = [spared_by[f] for f in failures]
        spared = [each for each in machines if any(each in one.fed for one in together)]
        spared.sort(key=lambda each: -sum(each in one.fed for one in together))
        opened = {f.element for f in failures if not f.nodes}
        mends = []
        for each in spared:
            relays = {f.element for f in held.get(each, ())}
            needs = (*_excitation(network, each), *(c for c in network.coils if c.element in relays))
            lanes = next(one.lanes for one in together if each in one.fed)
            needs = tuple(device for device in needs if not _has_power(network, after, device, lanes))
            lead = _lead(design, answer, needs, opened, _buses(design, answer, freed, each, lanes))
            mends.append((each, lead, _ungrounded(after, needs, lanes)))
        known = [mend for mend in mends if mend[2] or (mend[1] and mend[1].bus)]
        best, lead, ungrounded = next(iter(known or [mend for mend in mends if mend[1]] or mends))
        yield LostTogether(
            answer.state.name,
            tuple(failures),
            tuple(dict.fromkeys((best, *spared))),
            tuple(dict.fromkeys(load for one in together for loads in one.fed.values() for load in loads)),
            lead,
            ungrounded,
        )


@record
class _Spared:
    """The lanes of a failure, one for each sequence, and the loads that each alternator (an element) would
    feed in them."""

    lanes: int
    fed: Mapping[str, Sequence[str]]


def _joined(spared_by: Mapping[Failure, _Spared]) -> list[list[Failure]]:
    """The failures that spare the same alternator, themselves or by others, together."""
    groups: list[tuple[set[str], list[Failure]]] = []
    for failure, spared in spared_by.items():
        own = [group for group in groups if not group[0].isdisjoint(spared.fed)]
        groups = [group for group in groups if group not in own]
        groups.append(
            (set(spared.fed).union(*(g[0] for g in own)), [*(f for g in own for f in g[1]), failure])
        )
    return [failures for _, failures in groups]


def _loads(network: Network, solved: Conduction, machine: str, lanes: int) -> list[str]:
    """The loads that an alternator feeds in some lanes."""
    return [c.element for c in network.consumers if serves(network, solved, machine, c) & lanes]


def _has_power(network: Network, solved: Conduction, device: PoweredDevice, lanes: int) -> bool:
    """Whether a source that is alive feeds a device and has its return in any of some lanes."""
    alive = (e for e in solved.fed if solved.alive[e] & lanes)
    return any(served(device, solved.fed[e], solved.returned[e]) & lanes for e in alive)


def _buses(
    design: Design, answer: StateAnswer, solved: Conduction, machine: str, lanes: int
) -> tuple[str, ...]:
    """The buses that an alternator feeds in some lanes, the nearest in the healthy state first."""
    index = answer.network.index
    fed = [n for n in design.of_kind(p.Bus) if n in index and solved.fed[machine][index[n]] & lanes]
    ways = {name: feed_path(answer.network, answer, machine, index[name]) for name in fed}
    return tuple(sorted(fed, key=lambda name: (not ways[name], len(ways[name]))))


def _excitation(network: Network, machine: str) -> tuple[PoweredDevice, ...]:
    """What an alternator needs fed and returned: its field, the leads of its regulator, or its control."""
    own = source_of(network, machine)
    field = () if own.field is None else (PoweredDevice(own.element, (own.field,), (own.negative,)),)
    return (*field, *filter(None, (own.leads,)))


def _lead(
    design: Design,
    answer: StateAnswer,
    needs: Sequence[PoweredDevice],
    failed: Set[str],
    buses: Sequence[str],
) -> ExcitationLead | None:
    """The first wire past the last of some elements on a feed of what an alternator needs; none that
    leads from a regulator to the field, which no bus may feed."""
    for node in (n for device in needs for n in device.plus):
        for source in answer.fed_by(node):
            path = feed_path(answer.network, answer, source, node)
            last = max((i for i, element in enumerate(path) if element in failed), default=None)
            past = path[last + 1 :] if last is not None else ()
            wire = next((element for element in past if element.startswith("wires/")), "")
            if wire:
                number = path.index(wire)
                ends, before = design.wires[bare(wire)], bare(path[number - 1])
                at = ends.to if ends.to.partition(".")[0] == before else ends.from_
                if isinstance(design.parts[before], p.Regulator):
                    continue
                protected, switched = (_any_of(design, path[number:], k) for k in (p.Protector, _SWITCHES))
                bars = (i for i in range(number) if _any_of(design, path[i : i + 1], p.Bus))
                switched |= not _any_of(design, path[max(bars, default=0) : number], _SWITCHES)
                bus = next(iter(buses), "")
                return ExcitationLead(bare(wire), at, bus, path, protected, switched)
    return None


def _any_of(design: Design, path: Sequence[str], kinds: type | tuple[type, ...]) -> bool:
    """Whether a part of some kinds is on a path."""
    return any(isinstance(design.parts[bare(e)], kinds) for e in path if e.startswith("parts/"))


def _ungrounded(solved: Conduction, needs: Sequence[PoweredDevice], lanes: int) -> str:
    """What an alternator needs, an element, and has no return to a live source in some lanes; "" for none."""
    live = [source for source in solved.returned if solved.alive[source] & lanes]
    for device in needs:
        if not any(solved.returned[source][node] & lanes for source in live for node in device.minus):
            return device.element
    return ""


def _actions(design: Design, answer: StateAnswer) -> list[ActionSequence]:
    """Each declared action by itself."""
    start = ActionSequence((), answer.state)
    return longer(design, start, 0) if design.operation else []


def _startable(
    network: Network, answer: StateAnswer, machines: Sequence[str], sequences: Sequence[ActionSequence]
) -> list[str]:
    """The alternators that work in a state, or after a declared action with the others lost."""
    lost: list[Case] = [()]
    lost += [tuple(Failure(other, Mode.OPEN) for other in machines if other != each) for each in machines]
    solved = _outcomes(network, answer, lost, sequences)
    width, found = len(lost), []
    for number, each in enumerate(machines):
        lanes = _in_any(carrying(network, solved, each), width, len(sequences))
        if lanes & (1 | 2 << number):
            found.append(each)
    return found


def _outcomes(
    network: Network, answer: StateAnswer, cases: Sequence[Case], sequences: Sequence[ActionSequence]
) -> Conduction:
    """A block of the cases for each sequence of actions that follows them."""
    now = after_failures(network, answer.state, cases, answer.healthy)
    return continued(network, now, cases, sequences).solved


def _in_any(mask: int, width: int, blocks: int) -> int:
    """The lanes of a block that are set in any of some blocks."""
    block = (1 << width) - 1
    return join(mask >> k * width & block for k in range(blocks))


def _excited(source: Source) -> Source:
    """An alternator that nothing but its own output and engine can stop."""
    if source.kind != "alternator":
        return source
    return replace(
        source,
        field=None,
        leads=None,
        held=False,
        untripped=None,
        full_without=(),
        off_without=(),
        smoothing=None,
    )


def _relays_of_one(
    network: Network, answer: StateAnswer, machines: Sequence[str]
) -> Mapping[str, Sequence[Failure]]:
    """By alternator at work, the relays whose contacts, stuck the other way, stop it and not all of them, as
    they stand now, in the form of failures: they are part of its control."""
    healthy, stuck = answer.healthy, answer.stuck
    on = {e: carrying(network, stuck, e) for e in machines if carrying(network, healthy, e)}
    own: dict[str, list[Failure]] = {each: [] for each in on}
    for i, failure in enumerate(answer.stuck_relays):
        if failure.mode not in (HELD, DROPPED):
            continue
        now = HELD if healthy.energised[failure.element] else DROPPED
        stops = [each for each, mask in on.items() if not mask >> i & 1]
        if failure.mode is not now and len(stops) < len(on):
            for each in stops:
                own[each].append(Failure(failure.element, now))
    return own
