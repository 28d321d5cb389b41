"""Loads and coils that nothing energises: in no declared state, with no one or two switches moved.

Each try starts from cold, and once more with every relay energised that picks up in some try: a
relay that holds itself is no reason for a load to be dead. The engine and external power are tried
both ways, breakers pushed in. Where the switches that can matter are few, all their legal
combinations are tried, and each source lost; and whatever opens in a declared state. A short is not
tried: it may be the return of anything. What has current through another load or coil is not dead.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from itertools import combinations, product
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.fixed_point import Conduction, conduct_from, conduct_lanes, link_masks
from reviewer.analysis.conduction.masks import at_any, join
from reviewer.analysis.conduction.propagation import Propagator, ends_at
from reviewer.analysis.conduction.scenarios import Lanes, lanes_of_states
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import Cones, conduct_grid, grid_of, positions_of
from reviewer.analysis.paths.sneak_circuits import with_loads
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, PoweredDevice
from reviewer.network.search import anything_along, conductors_and_protectors, reachable


@record
class NeverEnergised:
    """A load or coil (``element``) that nothing energises. ``also`` are the loads and coils that
    are dead for the same reason: behind its contacts, or on the same dead conductors."""

    element: str
    also: tuple[str, ...]


class NeverEnergisedUsers:
    """What nothing energises in a design, and what of it is dead for the same reason."""

    def __init__(self, design: Design, network: Network, cones: Cones, answers: Sequence[StateAnswer]):
        self._trial = _SettingsTried(design, network, cones, answers)
        #: elements, in canonical order
        self.dead = self._trial.dead()
        tried = {
            c.element: self._trial.behind(c.element, self.dead)
            for c in network.coils
            if c.element in self.dead
        }
        self._behind = {relay: follow for relay, (follow, _) in tried.items()}
        #: relays that their own contacts would energise, with what is dead behind them
        self.behind_own_contact = [relay for relay, (follow, own) in tried.items() if follow and own]

    def reasons(self, reported: Collection[str]) -> tuple[NeverEnergised, ...]:
        """Each reason once, without those ``reported`` elsewhere and what is dead behind them."""
        groups: dict[Collection[int] | str, list[str]] = {}
        for element in self.dead:
            if element not in reported and not self._explained(element):
                groups.setdefault(self._trial.conductors_of(element), []).append(element)
        found = []
        by_own = {e for relay in self.behind_own_contact for e in self._behind[relay]}
        for first, *others in groups.values():
            follow = [e for one in (first, *others) for e in self._behind.get(one, ())]
            if first not in self.behind_own_contact:
                follow = [e for e in follow if e not in by_own and e not in self.behind_own_contact]
            also = dict.fromkeys(e for e in (*others, *follow) if e != first and e not in reported)
            found.append(NeverEnergised(first, tuple(also)))
        return tuple(found)

    def _explained(self, element: str) -> bool:
        """Whether a dead relay energises it once its contacts close; of two that would energise
        each other, the second in the file. A relay that its own contacts would energise is a reason,
        whatever else would, and of all that is dead behind it."""
        if element in self.behind_own_contact:
            return False
        for relay, follow in self._behind.items():
            mutual = relay in self._behind.get(element, ())
            if element in follow and not (mutual and self.dead.index(element) < self.dead.index(relay)):
                return True
        return False


def one_way_motors(
    design: Design, network: Network, cones: Cones, answers: Sequence[StateAnswer]
) -> dict[str, str]:
    """Reversible motor (its element) -> the terminal at which no try lets current enter, of those
    that run the other way in some declared state. A setting that feeds the terminal and shorts a
    source is reported as a short, which hides whether the motor would run."""
    trial, left = _SettingsTried(design, network, cones, answers), {}
    for user in (c for c in network.consumers if c.either_way):
        ways = {user.plus: user.minus, user.minus: user.plus}
        unused = [way for way in ways.items() if not any(_enters(a.healthy, way) for a in answers)]
        if len(unused) == 1:
            left[user.element] = unused[0]
    for most in (1, 2):
        for lanes in trial.settings_moved(most, tuple(left)):
            for solved in trial.solved(lanes, ()):
                shorted = join(solved.fed[s.element][s.negative] for s in network.sources)
                fed = {
                    e: join(f[n] for f in solved.fed.values() for n in into) for e, (into, _) in left.items()
                }
                left = {e: w for e, w in left.items() if not _enters(solved, w) and not fed[e] & shorted}
    return {e: network.names[into[0]] for e, (into, _) in left.items()}


def _enters(solved: Conduction, way: tuple[tuple[int, ...], tuple[int, ...]]) -> int:
    """The lanes in which a source feeds the first of two terminals and has its return at the
    other."""
    into, out = way
    return join(
        at_any(solved.fed[s], into) & at_any(solved.returned[s], out) & solved.alive[s] for s in solved.fed
    )


def dead_starters(
    design: Design, network: Network, cones: Cones, answers: Sequence[StateAnswer]
) -> tuple[tuple[str, str], ...]:
    """(element, state) where a state cranks the engine and no starter has power, by the first one.

    Where a switch of a starter springs back from a position, only a state that holds one there.
    """
    users = {c.element: c for c in network.consumers}
    names = [f"parts/{n}" for n in design.starters]
    held = {
        (switch, at)
        for element in names
        for switch in cones.switches((*users[element].plus, *users[element].minus, *cones.ends))
        if isinstance(part := design.parts[switch], p.Switch)
        for at in part.momentary
    }
    return tuple(
        (names[0], answer.state.name)
        for answer in answers
        if answer.state.engine == "cranking"
        and names
        and not any(answer.healthy.powered[element] for element in names)
        and (not held or not held.isdisjoint(answer.state.switches.items()))
    )


class _SettingsTried:
    """The users of a design that have not been seen energised, try by try."""

    def __init__(self, design: Design, network: Network, cones: Cones, answers: Sequence[StateAnswer]):
        self.design, self.network, self.cones, self.answers = design, network, cones, answers
        users = {u.element: u for u in (*network.consumers, *network.coils)}
        self.users = {f"parts/{n}": users[f"parts/{n}"] for n in design.parts if f"parts/{n}" in users}
        self.live = frozenset[int]().union(*(a.live for a in answers))
        #: by the number of a state its settings with one switch moved, and what conducts in them from cold
        self._one_moved: dict[int, Lanes] = {}
        self._cold: dict[int, Conduction] = {}

    def dead(self) -> tuple[str, ...]:
        """What no try energises."""
        left = tuple(self.users)
        for answer in self.answers:
            left = tuple(e for e in left if not _on(answer.healthy, e))
        beyond = self._out_of_reach(left)
        left = tuple(e for e in left if e not in beyond)
        never = tuple(beyond)  # no relay of these closes a contact for the others
        left = self._after(
            left, (a for lanes in self.settings_moved(1, left) for a in self.solved(lanes, (*left, *never)))
        )
        for answer in self.answers if left else ():
            opened = sum(1 << i for i, f in enumerate(answer.failures) if f.mode == OPEN)
            left = tuple(e for e in left if not _on(answer.failed, e) & opened)
        left = self._after(
            left, (a for lanes in self.settings_moved(2, left) for a in self.solved(lanes, (*left, *never)))
        )
        left = tuple(e for e in left if not self._combined(self.users[e]))
        dead = (e for e in self.users if e in left or e in beyond)
        return tuple(e for e in dead if not self._in_series(self.users[e]))

    def _out_of_reach(self, left: Collection[str]) -> frozenset[str]:
        """Those that no source reaches with every contact closed, or that reach no negative of one: no
        setting need be tried."""
        sources = self.network.sources if left else ()
        fed = reachable(self.network, [s.positive for s in sources], anything_along)
        back = reachable(self.network, [s.negative for s in sources], lambda _, __: True)
        users = (self.users[e] for e in left)
        return frozenset(u.element for u in users if fed.isdisjoint(u.inlets) or back.isdisjoint(u.outlets))

    def behind(self, relay: str, dead: Sequence[str]) -> tuple[tuple[str, ...], bool]:
        """What of the dead is energised once the contacts of a relay are held as if it had picked
        up, and whether its own coil would be."""
        left, coil, own = tuple(e for e in dead if e != relay), self.users[relay], False
        for lanes in self.settings_moved(1, left):
            closed = replace(lanes, held=MappingProxyType({relay: lanes.every}))
            for solved in self.solved(closed, dead) if left or not own else ():
                left = tuple(e for e in left if not _on(solved, e))
                own = own or bool(_enters(solved, (coil.plus, coil.minus)))
        return tuple(e for e in dead if e != relay and e not in left), own

    def conductors_of(self, element: str) -> Collection[int] | str:
        """The conductors from which a dead user should be fed, where they are dead in each declared
        state; else the user by itself."""
        user = self.users[element]
        nodes = [n for n in user.plus if not self._a_return(n)] or list(user.plus)
        if not self.live.isdisjoint(user.inlets):
            return element
        every = reachable(self.network, nodes, lambda _, __: True)
        if not any(s.positive in every or s.negative in every for s in self.network.sources):
            return frozenset(every)
        return frozenset(reachable(self.network, nodes, conductors_and_protectors))

    def _a_return(self, node: int) -> bool:
        return any(back[node] for a in self.answers for back in a.healthy.returned.values())

    def _after(self, left: tuple[str, ...], solved: Iterator[Conduction]) -> tuple[str, ...]:
        for answer in solved if left else ():
            left = tuple(e for e in left if not _on(answer, e))
            if not left:  # no further try can take anything away
                break
        return left

    def solved(self, lanes: Lanes, dead: Collection[str]) -> Iterator[Conduction]:
        """Some lanes from cold; then with the relays energised and the sources alive that are so in
        any of them or in a declared state."""
        cold = conduct_lanes(self.network, lanes)
        yield cold
        seen = (cold, *(a.healthy for a in self.answers))
        coils = {
            moved: lanes.every if moved not in dead or cold.energised[moved] else 0
            for moved in self.network.moved
        }
        alive = {
            s.element: lanes.every if any(a.alive[s.element] for a in seen) else 0
            for s in self.network.sources
        }
        yield conduct_from(self.network, lanes, coils, alive)

    def settings_moved(self, most: int, left: Collection[str]) -> Iterator[Lanes]:
        """Each declared state with up to ``most`` switches moved, the engine running and stopped,
        external power connected and not, commanded outputs as the state has them and all on."""
        for number, answer in enumerate(self.answers if left else ()):
            if most > 1:
                yield self._moved(answer, most)
                continue
            if number not in self._one_moved:
                self._one_moved[number] = self._moved(answer, most)
            yield self._one_moved[number]

    def _moved(self, answer: StateAnswer, most: int) -> Lanes:
        """These settings of one state."""
        every = tuple(dict.fromkeys(output for _, output in self.network.commanded))
        outsides = (False, True) if self.design.of_kind(p.ExternalPower) else (False,)
        states = [
            replace(state.with_engine(engine), external_power=outside, pulled=(), outputs_on=on)
            for state in self._settings(answer.state, most)
            for engine, outside, on in product(
                ("running", "stopped"),
                outsides,
                dict.fromkeys((state.outputs_on, every)) if every else ((),),
            )
        ]
        return lanes_of_states(self.network, states)

    def _settings(self, state: ResolvedState, most: int) -> Iterator[ResolvedState]:
        yield state
        for count in range(1, most + 1):
            for switches in combinations(state.switches, count):
                others = [
                    [(s, at) for at in positions_of(self.design, s) if at != state.switches[s]]
                    for s in switches
                ]
                for moves in product(*others):
                    positions = {**state.switches, **dict(moves)}
                    if not is_excluded(self.design, positions):
                        yield replace(state, switches=MappingProxyType(positions))

    def _in_series(self, user: PoweredDevice) -> bool:
        """Whether current reaches a user through other loads or coils, or leaves it so."""
        wider, first = with_loads(self.design, self.network)
        for number, lanes in enumerate(self.settings_moved(1, (user.element,))):
            if number not in self._cold:
                self._cold[number] = conduct_lanes(self.network, lanes)
            solved = self._cold[number]
            along, against = link_masks(lanes, solved.energised)
            for link in wider.links[first:]:
                along.append(0 if link.element == user.element else lanes.every)
                against.append(0 if link.oneway else along[-1])
            for source in self.network.sources:
                fed = ends_at(wider.contracted, solved.fed[source.element])
                returned = ends_at(wider.contracted, solved.returned[source.element])
                onward = Propagator(wider.contracted, along, against, returned)
                reach = onward.from_node(
                    source.positive, solved.alive[source.element] & ~returned[source.positive]
                )
                for into, out in user.directions:
                    entered = at_any(reach, into)
                    for node in out if entered else ():
                        home = Propagator(wider.contracted, along, against, fed)
                        if home.from_node(node, entered & ~fed[node])[source.negative]:
                            return True
        return False

    def _combined(self, user: PoweredDevice) -> bool:
        """Whether a legal combination energises a user, with a source lost or none."""
        switches = self.cones.switches((*user.plus, *user.minus, *self.cones.ends))
        grid = grid_of(
            self.design,
            replace(self.answers[0].state, pulled=()),
            switches,
            engines=("running", "stopped"),
        )
        if grid is None or grid.left_out:
            return False
        lost: list[tuple[str, ...]] = [(), *((s.element,) for s in self.network.sources)]
        return any(_on(conduct_grid(self.network, grid, gone), user.element) & grid.legal for gone in lost)


def _on(solved: Conduction, element: str) -> int:
    """The lanes in which a load, instrument or coil is energised."""
    return solved.energised[element] if element in solved.energised else solved.powered[element]
