"""Buses and loads that stay on a battery in every setting of the switches.

Not counted are circuits that may stay live with the master off: those that the engine needs, those
of a reserve that is dedicated to them, and those behind circuit protection that is small enough
(14 CFR 23.1361(b), from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from functools import cached_property

from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.conduction.switch_combinations import Cones, conduct_grid, grid_of, held_momentary
from reviewer.analysis.paths.reverse_feed import dedicated_loads, not_varied
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network, PoweredDevice, Source, bare
from reviewer.network.search import anything_along, conductors, reachable, reachable_together


@record
class AlwaysLive:
    """What a battery feeds in every setting, by a ``path`` of the first state, past every switch and relay
    where there is such a one.

    ``names`` are buses and loads; ``unrated`` the protective devices without a rating that decide
    whether they may stay live. ``past`` is the switch or relay that the first wire of the path goes
    past, all by name: without that wire the first of ``names`` is fed through it; "" for none.
    ``needed`` is a load that keeps the first of ``names`` live, a bus; ``others`` are the loads on it
    that may not stay live, ``joined`` the buses that it feeds. "" and none where nothing needs it.
    """

    names: tuple[str, ...]
    path: tuple[str, ...]
    unrated: tuple[str, ...]
    past: str = ""
    needed: str = ""
    others: tuple[str, ...] = ()
    joined: tuple[str, ...] = ()


class BatteryDisconnection:
    """One battery, and what the switches take off it. ``most`` amperes may stay live."""

    def __init__(
        self,
        design: Design,
        network: Network,
        cones: Cones,
        answers: Sequence[StateAnswer],
        source: Source,
        needed: Collection[str],
        most: float,
    ):
        self.design, self.network, self.cones, self.answers = design, network, cones, answers
        self.source, self.most = source, most
        self.excused = {*needed, *dedicated_loads(design, bare(source.element))}
        #: what was not tried, one sentence each
        self.untried: list[str] = []

    def always_live(self) -> AlwaysLive | None:
        """The buses and loads that stay live and may not, buses first.

        Left out are buses that a state must leave dead, and what stands behind them: there each
        of their sources is reported.
        """
        buses = [n for n in self.design.of_kind(p.Bus) if n in self.network.index]
        hot = [bus for bus in buses if self._stays(bus, (self.network.index[bus],))]
        first = self.answers[0]
        taken_off = [n for n in buses if n not in hot and self._fed(first, (self.network.index[n],))]
        live = [bus for bus in hot if self._wrong_bus(bus, taken_off)]
        loads = [c for c in self.network.consumers if bare(c.element) not in self.excused]
        past = self._past(live)
        live += [
            bare(c.element)
            for c in loads
            if not past.isdisjoint(c.plus)  # the others are fed from a bus that is named
            and self._large(c.plus)
            and self._stays(bare(c.element), c.plus)
        ]
        told = {bus for answer in self.answers for bus in answer.state.dead}
        past = self._past(told.intersection(live))
        live = [name for name in live if name not in told and not past.isdisjoint(self._nodes(name))]
        return self._told(live, taken_off) if live else None

    def _nodes(self, name: str) -> tuple[int, ...]:
        """The nodes of a bus, or of the supplies of a load."""
        if isinstance(self.design.parts[name], p.Bus):
            return (self.network.index[name],)
        return next(tuple(c.plus) for c in self.network.consumers if bare(c.element) == name)

    def _told(self, live: list[str], taken_off: Sequence[str]) -> AlwaysLive:
        nodes = self._nodes(live[0])
        contacts = [f"parts/{n}" for n in self.design.of_kind((p.Switch, p.BreakerSwitch, p.Electromagnet))]
        around = self._way(nodes, contacts)
        path = around or self._way(nodes)
        wire = [e for e in around if e.startswith("wires/")][:1]
        switched = self._way(nodes, wire) if wire else ()
        past = next((bare(e) for e in switched if e in contacts), "")
        unrated = [
            n
            for n in self.design.of_kind(p.Protector)
            if self.design.parts[n].rating is None and f"parts/{n}" in path
        ]
        bus = live[0] if isinstance(self.design.parts[live[0]], p.Bus) else ""
        own = self._own_loads(bus, taken_off) if bus else []
        needed = next((bare(c.element) for c in own if bare(c.element) in self.excused), "")
        beyond = [b for b in self.design.of_kind(p.Bus) if b != bus] if needed else []
        near = self._past(beyond)
        others = [bare(c.element) for c in own if self._unwanted(c) and not near.isdisjoint(c.plus)]
        joined = [b for b in beyond if self.network.index.get(b, -1) in self._past() - self._past([bus])]
        return AlwaysLive(
            tuple(live), path, tuple(unrated), past, needed, tuple(others if needed else ()), tuple(joined)
        )

    def _own_loads(self, bus: str, taken_off: Sequence[str]) -> list[PoweredDevice]:
        """The loads that the battery reaches by a bus alone, but for those of a bus that it feeds in the
        first state and a switch takes off."""
        on = self._past(taken_off) - self._past([bus, *taken_off])
        return [c for c in self.network.consumers if not on.isdisjoint(c.plus)]

    def _unwanted(self, load: PoweredDevice) -> bool:
        """Whether a load may not stay live, for what it does and for its circuit protection."""
        return bare(load.element) not in self.excused and self._large(load.plus)

    def _way(self, nodes: Collection[int], without: Collection[str] = ()) -> tuple[str, ...]:
        """The shortest path by which the battery feeds one of some nodes in the first state."""
        ways = [feed_path(self.network, self.answers[0], self.source.element, n, without) for n in nodes]
        return min(filter(None, ways), key=len, default=())

    def _wrong_bus(self, bus: str, taken_off: Sequence[str]) -> bool:
        """Whether a bus may not stay live: for a load of its own, or because no load needs it."""
        own = self._own_loads(bus, taken_off)
        if any(self._unwanted(c) for c in own):
            return True
        if not own:
            return False
        node = self.network.index[bus]
        beside = node in reachable(self.network, [self.source.positive], conductors)
        return not (beside or not self._large([node]) or any(bare(c.element) in self.excused for c in own))

    def _past(self, buses: Collection[str] = (), devices: Collection[str] = ()) -> set[int]:
        """The nodes that the battery reaches by anything that could conduct, by one throw of each switch.

        Not past some buses, not through some protective devices, not on from another source.
        """
        barred = {self.network.index[bus] for bus in buses}
        barred |= {s.positive for s in self.network.sources if s is not self.source}

        def passes(link: Link, leaving: bool) -> bool:
            to = link.b if leaving else link.a
            return anything_along(link, leaving) and link.element not in devices and to not in barred

        return reachable_together(self.network, [self.source.positive], passes)

    def _large(self, nodes: Iterable[int]) -> bool:
        """Whether a path to some nodes passes no circuit protection that is small enough."""
        return not self._past_large_ones.isdisjoint(nodes)

    @cached_property
    def _past_large_ones(self) -> set[int]:
        ratings = {n: self.design.parts[n].rating for n in self.design.of_kind(p.Protector)}
        small = {f"parts/{n}" for n, rating in ratings.items() if rating is not None and rating <= self.most}
        return self._past(devices=small)

    def _stays(self, name: str, nodes: Sequence[int]) -> bool:
        """Whether the battery feeds some nodes in every legal setting."""
        base = self.answers[0].state
        if any(not a.state.pulled and not self._fed(a, nodes) for a in self.answers):
            return False
        named = self.cones.switches((self.source.positive, *nodes))
        switches = [s for s in named if s in base.switches and self.design.by_hand(s)]
        grid = grid_of(self.design, replace(base, external_power=False), switches, engines=("stopped",))
        assert grid is not None  # nothing moves
        if grid.left_out:
            self.untried.append(not_varied(grid, f"taking {name} off {bare(self.source.element)}"))
            return False
        fed = conduct_grid(self.network, grid).fed[self.source.element]
        settings = grid.legal & ~held_momentary(self.design, grid) & grid.with_external_power(False)
        return bool(settings) and not settings & ~at_any(fed, nodes)

    def _fed(self, answer: StateAnswer, nodes: Sequence[int]) -> bool:
        return any(answer.healthy.fed[self.source.element][n] for n in nodes)
