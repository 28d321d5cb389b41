"""A design on a current-limited supply in the place of one battery or at the socket for external power,
every other battery disconnected, and the circuits that it feeds: what each needs fitted and switched on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType

from reviewer.analysis.conduction.circuit_paths import path_back, path_to
from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.analysis.conduction.switch_effects import off_position
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.analysis.solver.two_point_resistance import JoinedNodes
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState, resolved
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.network.network_build import build_network
from reviewer.tables.practice import practice

#: more than any circuit takes: the limit that is set is printed on the card of each
_LIMIT = "10000 A"


@record
class SuppliedCircuit:
    """A breaker, fuse or limiter with the loads (elements) behind it and before the next one.

    ``fitted`` are the protective devices that must be in, its own the last, ``switches`` those that
    must be on, and ``elements`` everything on the way there, back, and to the coils on it. ``moved`` is
    the switch that stands elsewhere than in flight, or "".
    """

    protection: str
    loads: tuple[str, ...]
    fitted: tuple[str, ...]
    switches: tuple[tuple[str, str], ...]
    elements: tuple[str, ...]
    moved: str

    @property
    def name(self) -> str:
        """The device, with what stands elsewhere than in flight."""
        return self.protection + (f", {self.moved}" if self.moved else "")

    @property
    def feeder(self) -> bool:
        """Whether no load is before the next device."""
        return not self.loads


class Bench:
    """A design with a supply in the place of ``battery``, or plugged into the socket of that name; of ""
    none, and no source at all.

    ``below`` are the batteries in series on which it stands: their leads are joined, so that what is
    tapped between two of them gets no more volts than on its battery. ``lifted`` are wires of which
    one end is off.
    """

    def __init__(
        self,
        design: Design,
        battery: str = "",
        below: tuple[str, ...] = (),
        lifted: tuple[str, ...] = (),
    ):
        self.battery, self.below, self.lifted = battery, below, lifted
        #: whether the supply is plugged into the socket for external power
        self.plugged = isinstance(design.parts.get(battery), p.ExternalPower)
        #: batteries whose leads end at nothing
        self.disconnected = [n for n in design.of_kind(p.Battery) if n not in (battery, *below)]
        parts = {
            name: self._in_place(design, name) if isinstance(part, p.Battery) or name == battery else part
            for name, part in design.parts.items()
        }
        wires = {name: wire for name, wire in design.wires.items() if name not in lifted}
        self.design: Design = replace(design, parts=parts, wires=wires, functions={}, concessions=())
        self.network: Network = build_network(self.design)

    @property
    def source(self) -> str:
        """The supply, an element."""
        return f"parts/{self.battery}"

    def volts(self, design: Design) -> float:
        """Volts that the supply is set to, those of rested batteries; common practice (no published
        source)."""
        usual = practice("volts", "supply-at-power-up").low
        return sum(usual * design.scale_of(name) for name in (self.battery, *self.below))

    @cached_property
    def wiring(self) -> Wiring:
        """The resistances of wires and contacts."""
        return Wiring(self.design, self.network)

    @cached_property
    def joined(self) -> dict[tuple[int, ...], JoinedNodes]:
        """The ohms between nodes that some links join, by these links: most of what a switch leaves is as
        another leaves it."""
        return {}

    @cached_property
    def joints(self) -> Mapping[int, Sequence[tuple[int, int, str]]]:
        """By node the links that may join it to another and let current pass both ways, resistors across
        a source among them: link, the other node, element."""
        found: dict[int, list[tuple[int, int, str]]] = {}
        for i, link in enumerate(self.network.links):
            if not link.oneway:
                found.setdefault(link.a, []).append((i, link.b, link.element))
                found.setdefault(link.b, []).append((i, link.a, link.element))
        return found

    def _in_place(self, design: Design, name: str) -> p.Part:
        if name in self.below:
            return p.Splice.model_validate({"kind": "splice"})
        if name != self.battery:  # its leads end at nothing: what passes no direct current
            return p.Capacitor.model_validate({"kind": "capacitor"})
        volts = f"{self.volts(design):g} V"
        if self.plugged:
            return design.part(name, p.ExternalPower).model_copy(
                update={"voltage": self.volts(design), "rating": None}
            )
        return p.Charger.model_validate(
            {"kind": "charger", "from": "mains", "set-point": volts, "current-limit": _LIMIT}
        )

    def state(
        self, name: str, switches: Mapping[str, str], pulled: Iterable[str], fed: bool = True
    ) -> ResolvedState:
        """A state on the ground with the engine stopped, and the supply switched on or off."""
        chargers = (self.battery,) if fed and self.battery and not self.plugged else ()
        return stopped(name, switches, pulled, chargers, fed and self.plugged)

    def solve(self, states: Sequence[ResolvedState]) -> Mapping[str, StateAnswer]:
        """Some states by name."""
        return solve_states(self.design, self.network, states)

    def circuits(self) -> tuple[SuppliedCircuit, ...]:
        """The circuits that the supply can feed, feeders first.

        With everything on as for flight, then what one switch elsewhere powers too, but a starter.
        """
        answers = self.set_answers
        found: dict[tuple[str, str], list[tuple[str, tuple[str, ...]]]] = {}
        seen: set[str] = set()
        for answer in answers.values():
            powered = [u for u in self.network.consumers if answer.healthy.powered[u.element]]
            if any(getattr(self.design.parts[bare(u.element)], "type", None) == "starter" for u in powered):
                continue
            for user in powered:
                if user.element not in seen:
                    for own, way in self._ways(answer, user):
                        found.setdefault((own, answer.state.name), []).append((user.element, way))
            seen |= {u.element for u in powered}
        first = next(iter(answers.values()))
        for name in self.design.of_kind(p.Protector):
            way = path_to(first, f"parts/{name}")
            if not any(own == name for own, _ in found) and way[:1] == (self.source,):
                found[name, first.state.name] = [("", tuple(self.with_coils(first, way)))]
        made = [self._circuit(answers[at].state, name, ways) for (name, at), ways in found.items() if name]
        return tuple(sorted(made, key=lambda c: (len(c.fitted), bool(c.loads))))

    @cached_property
    def set_answers(self) -> Mapping[str, StateAnswer]:
        """The answers of :meth:`settings`, by name."""
        return self.solve(list(self.settings()))

    def forget(self) -> None:
        """Free the memory of :attr:`set_answers`, which hold the whole aircraft each."""
        self.__dict__.pop("set_answers", None)

    def settings(self) -> Iterator[ResolvedState]:
        """Everything on as for flight; the same with one switch in each of its other positions."""
        normal = normal_positions(self.design)
        yield self.state("", normal, ())
        for name in (n for n in self.design.settable if n in normal and self.design.by_hand(n)):
            part = self.design.parts[name]
            for at in ("closed",) if isinstance(part, p.BreakerSwitch) else part.positions:
                if at != normal[name]:
                    yield self.state(f"{name} {at}", {**normal, name: at}, ())

    def _ways(self, answer: StateAnswer, user: PoweredDevice) -> Iterator[tuple[str, tuple[str, ...]]]:
        """The last protective device and the elements of each way by which a load is fed, and back."""
        back = tuple(self.with_coils(answer, path_back(answer, user.element)))
        for plus in user.inlets:
            way = path_to(answer, user.element, nodes=[plus])
            if way[:1] == (self.source,):
                yield self._protection(way), (*self.with_coils(answer, way), *back)

    def _circuit(
        self, state: ResolvedState, name: str, ways: Sequence[tuple[str, tuple[str, ...]]]
    ) -> SuppliedCircuit:
        elements = tuple(dict.fromkeys(e for _, way in ways for e in way))
        names = [bare(e) for e in elements if e.startswith("parts/")]
        fitted = [n for n in names if isinstance(self.design.parts[n], p.Protector) and n != name]
        switches = [(n, state.switches[n]) for n in names if n in self.design.settable]
        loads = tuple(dict.fromkeys(load for load, _ in ways if load))
        return SuppliedCircuit(name, loads, (*fitted, name), tuple(switches), elements, state.name)

    def _protection(self, way: Sequence[str]) -> str:
        """The last protective device of a way; "" for none."""
        kinds = ((bare(e), self.design.parts[bare(e)]) for e in reversed(way) if e.startswith("parts/"))
        return next((name for name, part in kinds if isinstance(part, p.Protector)), "")

    @cached_property
    def _acting(self) -> Mapping[str, Sequence[PoweredDevice]]:
        """By element the coil or input that moves its contacts, and the unit that holds it closed."""
        found: dict[str, list[PoweredDevice]] = {}
        for device in {d.element: d for d in (*self.network.coils, *self.network.commands)}.values():
            found.setdefault(device.element, []).append(device)
        units = {device.element: device for device in self.network.units}
        for element, unit in {link.element: link.unit for link in self.network.links if link.unit}.items():
            if unit in units:
                found.setdefault(element, []).append(units[unit])
        return found

    def with_coils(self, answer: StateAnswer, way: Sequence[str]) -> Iterator[str]:
        """The elements of a way, and of the ways to and from the coils that hold contacts on it, and the
        units that hold their electronic protection closed."""
        powered, energised = answer.healthy.powered, answer.healthy.energised
        seen: set[PoweredDevice] = set()
        todo = [tuple(way)]
        while todo:
            for element in todo.pop():
                yield element
                for device in self._acting.get(element, ()):
                    on = energised.get(device.element, powered.get(device.element, 0))
                    if on and device not in seen:
                        seen.add(device)
                        todo.append(path_to(answer, device.element, nodes=device.plus))
                        todo.append(path_back(answer, device.element, device=device))


def stopped(
    name: str,
    switches: Mapping[str, str],
    pulled: Iterable[str],
    chargers: tuple[str, ...] = (),
    plugged: bool = False,
) -> ResolvedState:
    """A state on the ground with the engine stopped, the socket for external power in use or not."""
    return ResolvedState(
        name,
        "ground",
        "stopped",
        MappingProxyType(dict(switches)),
        tuple(pulled),
        external_power=plugged,
        dead=(),
        without=(),
        at_idle=True,
        chargers=chargers,
    )


def normal_positions(design: Design) -> Mapping[str, str]:
    """The position of each switch in the normal state; {} without an operation."""
    operation = design.operation
    return resolved(operation)[operation.normal].switches if operation else {}


def moved_from_rest(
    design: Design, rest: Mapping[str, str], switches: Iterable[tuple[str, str]]
) -> tuple[tuple[str, str], ...]:
    """Those of some switches that a card must set: what stands elsewhere than at rest, and what has no
    off position."""

    def selects(name: str) -> bool:
        part = design.parts[name]
        return isinstance(part, p.Switch) and part.off is None and all(part.positions.values())

    return tuple((n, at) for n, at in switches if rest.get(n) != at or selects(n))


def rest_positions(design: Design) -> Mapping[str, str]:
    """The position of each switch with everything off: its off position, as the file says or else by
    what it joins; of a switch that has none the one that joins the fewest terminals.

    Of several of these that of a declared state with the engine stopped, else the first. A switch that
    grounds the leads of magnetos stands where it grounds the most.
    """
    states = resolved(design.operation).values() if design.operation else ()
    quiet = [s for s in states if s.engine == "stopped"]
    found = dict(normal_positions(design))
    for name in design.settable:
        part = design.parts[name]
        if isinstance(part, p.BreakerSwitch):
            found[name] = "open"
        elif isinstance(part, p.Switch) and design.by_hand(name):
            normal = found.get(name, "")
            off = off_position(design, name, normal)
            if part.off is not None or off != normal:
                found[name] = off
                continue
            least = min(map(len, part.positions.values()))
            can = [at for at, joins in part.positions.items() if len(joins) == least]
            held = [s.switches.get(name) for s in quiet if s.switches.get(name) in can]
            free = [at for at in can if at not in part.momentary]
            found[name] = str((held or free or can)[0])
    _silence(design, found)
    return found


def _silence(design: Design, found: dict[str, str]) -> None:
    """Put each switch where the fewest magnetos would fire."""
    if not design.of_kind(p.Magneto):
        return
    network = build_network(design)
    for name in design.hand_switches:
        positions = list(design.part(name, p.Switch).positions)
        usual = [found[name], *(at for at in positions if at != found[name])]
        states = [stopped(at, {**found, name: at}, ()).with_engine("running") for at in usual]
        answers = solve_states(design, network, states)
        fire = {at: sum(answers[at].healthy.powered[m.element] for m in network.magnetos) for at in usual}
        found[name] = min(usual, key=lambda at: fire[at])
