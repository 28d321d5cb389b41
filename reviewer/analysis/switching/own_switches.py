"""Loads that stay on though their own switch is off, because a change-over feeds them around it.

A switch is a load's own where, in a declared state, moving it alone takes the load off and leaves
every bus alive. It is none at a position that feeds the load, if only from what is dead in that
state, nor where it commands a change-over between its feeds, nor outside the load's circuit where
it turns on another load, which the load tells is off. It is then left there, and the change-overs
that can matter are set to every position: switches of which each position closes a contact, and
those that command a change-over relay.
"""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.failure_modes import STAYS, Failure, stuck_contacts
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.states import StateAnswer, feed_path, solve_state
from reviewer.analysis.conduction.switch_combinations import (
    Combination,
    Cones,
    conduct_grid,
    grid_of,
    held_momentary,
)
from reviewer.analysis.paths.reverse_feed import not_varied, set_as
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, PoweredDevice, bare


@record
class OwnSwitch:
    """``switch`` at ``position`` takes ``load`` off in a state."""

    load: str
    switch: str
    position: str
    state: str


@record
class StaysOn:
    """A load that is powered with its own switch off in a ``combination`` of the others.

    ``path`` leads from a source to it.
    """

    own: OwnSwitch
    combination: Combination
    path: tuple[str, ...]


def own_switches(design: Design, network: Network, cones: Cones, answer: StateAnswer) -> Iterator[OwnSwitch]:
    """Every load with its own switch in a state, and the position that takes it off."""
    switches = answer.state.switches
    moves = [f for f in stuck_contacts(design, dict(switches)) if f.mode == STAYS and stays(design, f)]
    moves = [f for f in moves if bare(f.element) in switches]
    if not moves:
        return
    moved = conduct(network, answer.state, moves, answer.healthy)
    buses = [network.index[n] for n in design.of_kind(p.Bus) if n in network.index]
    dark = 0
    for bus in buses:
        dark |= ~moved.live(bus) if answer.healthy.live(bus) else 0
    turned_on = join(
        moved.powered[c.element] for c in network.consumers if not answer.healthy.powered[c.element]
    )
    for consumer in network.consumers:
        if answer.healthy.powered[consumer.element]:
            off = ~moved.powered[consumer.element] & ~dark
            for i, move in enumerate(moves):
                tells = turned_on >> i & 1 and not _in_circuit(network, cones, consumer, move.element)
                if off >> i & 1 and not tells:
                    yield OwnSwitch(consumer.element, bare(move.element), move.position, answer.state.name)


def stays(design: Design, move: Failure) -> bool:
    """Whether the crew sets a position, and it does not spring back."""
    part = design.parts[bare(move.element)]
    return not isinstance(part, p.Switch) or (part.by_hand and move.position not in (part.momentary or ()))


def stays_on(
    design: Design, network: Network, cones: Cones, answer: StateAnswer, own: OwnSwitch
) -> tuple[StaysOn | None, str]:
    """The combination nearest to a state in which a load stays on; and what was not tried."""
    if not design.of_kind(p.Electromagnet) and not any(
        _always_closes(design, s) for s in design.hand_switches
    ):
        return None, ""
    consumer = network.consumer[own.load]
    if _feeds_there(network, cones, consumer, own):
        return None, ""
    varied = changeovers(design, network, cones, answer, consumer)
    by_relay = own.switch in varied and not _always_closes(design, own.switch)
    varied = [s for s in varied if s != own.switch]
    if not varied or by_relay:
        return None, ""
    base = _with(answer.state, own)
    # the switch itself is varied too, so that what excludes it together with a change-over counts
    grid = grid_of(design, base, [own.switch, *(s for s in varied if s in base.switches)])
    assert grid is not None  # nothing moves
    untried = not_varied(grid, f"{bare(own.load)} with {own.switch} off") if grid.left_out else ""
    powered = conduct_grid(network, grid).powered[own.load] & grid.at({own.switch: own.position})
    lanes = powered & grid.legal & ~held_momentary(design, grid)
    # what is on with no change-over moved has a feed of another kind, and that is not around the switch
    unmoved = powered & grid.at({s: base.switches[s] for s in varied if s in base.switches})
    for engine in grid.engines:
        for outside in grid.outsides:
            lanes_there = grid.with_engine(engine) & grid.with_external_power(outside)
            lanes &= ~lanes_there if unmoved & lanes_there else -1
    if not lanes:
        return None, untried
    combination = grid.combination(grid.nearest(lanes))
    return StaysOn(own, combination, path_to(design, network, base, combination, consumer)), untried


def _feeds_there(network: Network, cones: Cones, consumer: PoweredDevice, own: OwnSwitch) -> bool:
    """Whether a switch, where it takes a load off, closes a contact in a feed or return of it."""
    contacts = _in_circuit(network, cones, consumer, f"parts/{own.switch}")
    return any(own.position in network.links[i].positions for i in contacts)


def _in_circuit(network: Network, cones: Cones, consumer: PoweredDevice, switch: str) -> list[int]:
    """The contacts of a switch that can be in a feed or return of a load."""
    between = {
        *cones.tree.between((*(s.positive for s in network.sources), *consumer.inlets)),
        *cones.tree.between((*(s.negative for s in network.sources), *consumer.outlets)),
    }
    return [i for i in network.links_of[switch] if i in between]


def changeovers(
    design: Design, network: Network, cones: Cones, answer: StateAnswer, consumer: PoweredDevice
) -> list[str]:
    """Names of the switches that change over between two feeds of a load.

    By their own contacts, or by a relay that they command in a state.
    """
    ends = (*(s.positive for s in network.sources), *consumer.plus, *consumer.minus)
    known = answer.searched.setdefault("changeovers", {})
    if ends not in known:
        known[ends] = _changeovers(design, network, cones, answer, ends)
    return known[ends]


def _changeovers(
    design: Design, network: Network, cones: Cones, answer: StateAnswer, ends: tuple[int, ...]
) -> list[str]:
    named = [s for s in cones.switches(ends) if design.by_hand(s)]
    found = {s for s in named if _always_closes(design, s)}
    relays = cones.changeover_relays(ends)
    stuck = stuck_contacts(design, dict(answer.state.switches)) if relays else ()
    moves = [f for f in stuck if f.mode == STAYS and bare(f.element) in named]
    if moves:
        moved = conduct(network, answer.state, moves, answer.healthy)
        buses = [network.index[n] for n in design.of_kind(p.Bus) if n in network.index]
        for i, move in enumerate(moves):
            changed = any((moved.energised[r] >> i & 1) != answer.healthy.energised[r] for r in relays)
            # a relay that follows its bus is commanded by nobody
            if changed and not any(moved.live(b) >> i & 1 != answer.healthy.live(b) for b in buses):
                found.add(bare(move.element))
    return [s for s in named if s in found]


def _always_closes(design: Design, switch: str) -> bool:
    part = design.parts[switch]
    return isinstance(part, p.Switch) and len(part.positions) > 1 and all(part.positions.values())


def _with(state: ResolvedState, own: OwnSwitch) -> ResolvedState:
    as_set = Combination(
        tuple({**state.switches, own.switch: own.position}.items()),
        (),
        state.engine,
        state.external_power,
        "",
    )
    return set_as(state, as_set)


def path_to(
    design: Design, network: Network, base: ResolvedState, combination: Combination, consumer: PoweredDevice
) -> tuple[str, ...]:
    """The elements of the shortest path by which a source feeds a load in a combination."""
    answer = solve_state(design, network, set_as(base, combination))
    paths = [feed_path(network, answer, s, node) for node in consumer.inlets for s in answer.fed_by(node)]
    return min(paths, key=len, default=())
