"""Power-up cards before any source: bonds, isolation, continuity there and back, diodes, polarity."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from functools import cached_property

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.tolerances import Within, rounded
from reviewer.analysis.solver.two_point_resistance import JoinedNodes
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import PoweredDevice, bare
from reviewer.network.search import reachable_by, shortest
from reviewer.questions.bench_supply import (
    Bench,
    SuppliedCircuit,
    moved_from_rest,
    normal_positions,
    rest_positions,
)
from reviewer.questions.live_terminals import hot_magnetos
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage
from reviewer.tables.practice import practice

#: an ohmmeter is wrong by one step, its leads included; assumed
STEP = practice("ohms", "ohmmeter-step").high


@record
class CoilCircuit:
    """A coil with the circuit that feeds it from ``battery``."""

    coil: PoweredDevice
    circuit: SuppliedCircuit
    battery: str


def cold_cards(
    design: Design, circuits: Sequence[SuppliedCircuit], coils: Sequence[CoilCircuit] = ()
) -> tuple[PowerCard, ...]:
    """The cards in their order; one without a step is left out."""
    cold = _Cold(design, circuits)
    made = (
        PowerCard(Stage.COLD, "bonds and ground leads", tuple(cold.bonds())),
        PowerCard(Stage.COLD, cold.polarity_name, tuple(cold.polarity())),
        PowerCard(Stage.COLD, "isolation", tuple(cold.isolation())),
        PowerCard(Stage.COLD, "diodes", tuple(cold.diodes())),
        *cold.magnetos(),
        *cold.continuity(),
        *cold.coil_continuity(coils),
    )
    return tuple(card for card in made if card.steps)


class Metal:
    """What a state joins without a source: nodes in one piece, and ohms between them."""

    def __init__(self, bench: Bench, answer: StateAnswer, without: str = ""):
        """Without an element, where one is named."""
        self.bench, self.network, self.answer = bench, bench.network, answer
        self._shut = [
            closed and not link.oneway and link.element != without
            for closed, link in zip(answer.closed, self.network.links, strict=True)
        ]
        self._around: dict[int, list[tuple[int, str]]] = {}
        self._pieces: dict[int, frozenset[int]] = {}
        self._joined: dict[frozenset[int], JoinedNodes] = {}
        #: by a node and an element left out, whether that parts other nodes from it
        self._parted: dict[tuple[int, str], dict[int, bool]] = {}

    def without(self, element: str) -> Metal:
        """The same with an element taken off."""
        return Metal(self.bench, self.answer, element)

    @cached_property
    def joints(self) -> Sequence[tuple[int, int, float, str]]:
        """Both nodes, ohms and element of every link that joins two."""
        return self._joints(i for i, shut in enumerate(self._shut) if shut)

    def _joints(self, which: Iterable[int]) -> list[tuple[int, int, float, str]]:
        unused, links, wiring = Assumptions(), self.network.links, self.bench.wiring
        return [(links[i].a, links[i].b, wiring.resistor(i, unused).ohms, links[i].element) for i in which]

    def steps(self, node: int) -> list[tuple[int, str]]:
        """The nodes that are joined to one directly, each with the element between."""
        if node not in self._around:
            shut, steps = self._shut, self.bench.joints.get(node, ())
            self._around[node] = [(other, element) for i, other, element in steps if shut[i]]
        return self._around[node]

    def piece(self, node: int) -> frozenset[int]:
        """The nodes joined to one, itself included."""
        if node not in self._pieces:
            found = frozenset(reachable_by([node], lambda n: (m for m, _ in self.steps(n))))
            self._pieces.update(dict.fromkeys(found, found))
        return self._pieces[node]

    def ohms(self, one: int, other: int) -> float | None:
        """Ohms between two nodes; None where nothing joins them."""
        piece = self.piece(one)
        if other not in piece:
            return None
        if piece not in self._joined:
            joints, joined = self.bench.joints, self.bench.joined
            links = tuple(sorted({i for n in piece for i, _, _ in joints.get(n, ()) if self._shut[i]}))
            if links not in joined:
                joined[links] = JoinedNodes((a, b, r) for a, b, r, _ in self._joints(links))
            self._joined[piece] = joined[links]
        return self._joined[piece].ohms(one, other)

    def ohms_along(self, elements: Iterable[str]) -> float:
        """The most ohms of some elements in a row."""
        return sum(self._ohms_of.get(e, 0.0) for e in elements)

    @cached_property
    def _ohms_of(self) -> Mapping[str, float]:
        found: dict[str, float] = {}
        for _, _, ohms, element in self.joints:
            found[element] = found.get(element, 0.0) + ohms
        return found

    def way(self, one: int, other: int, without: str = "") -> tuple[str, ...] | None:
        """The elements of a shortest way between two nodes, one left out; None where there is none."""
        found = shortest(one, {other}, lambda n: (s for s in self.steps(n) if s[1] != without))
        return None if found is None else tuple(dict.fromkeys(found[1]))

    def parted(self, one: int, other: int, without: str) -> bool:
        """Whether nothing joins two nodes with an element left out."""
        known = self._parted.setdefault((other, without), {other: False})
        if one not in known:
            seen, todo, joined = {one}, [one], False
            for node in todo:
                for n, element in self.steps(node):
                    if n not in seen and element != without:
                        seen.add(n)
                        todo.append(n)
                        joined |= not known.get(n, True)
                if joined:
                    break
            known.update(dict.fromkeys(seen, not joined))
        return known[one]

    def across(self, one: int, other: int) -> tuple[str, ...]:
        """What lies between the pieces of two nodes, so that a meter reads it too: loads and coils, inputs
        of instruments, sources, converters and capacitors."""
        here, there = self.piece(one), self.piece(other)
        found = []
        for user in (*self.network.consumers, *self.network.acting):
            for ends, others in ((user.plus, user.minus), (user.minus, user.plus)):
                if not here.isdisjoint(ends) and not there.isdisjoint(others):
                    found.append(bare(user.element))
        for name, posts in self._passing.items():
            if here & posts and there & posts:
                found.append(name)
        return tuple(dict.fromkeys(found))

    def input_ohms(self, one: int, other: int) -> float | None:
        """The resistance of the inputs that sense volts between the pieces of two nodes, where nothing
        else lies between them."""
        here, there = self.piece(one), self.piece(other)
        between = [
            (self.network.names[r.a].partition(".")[0], r.ohms)
            for r, _ in self.bench.wiring.inputs
            if (r.a in here and r.b in there) or (r.b in here and r.a in there)
        ]
        if not between or set(self.across(one, other)) != {name for name, _ in between}:
            return None
        return 1.0 / sum(1.0 / ohms for _, ohms in between)

    @cached_property
    def _passing(self) -> Mapping[str, Set[int]]:
        """The terminals of what an ohmmeter finds to pass some current, though no load or coil."""
        design, nodes_of = self.bench.design, self.network.nodes_of
        kinds = (p.Capacitor, p.Converter, p.Charger, p.Alternator, p.Regulator)
        names = [n for n in design.of_kind(kinds) if n not in self.bench.disconnected]
        found = {n: set(nodes_of.get(f"parts/{n}", ())) for n in names}
        for name in design.of_kind(p.Instrument):
            part = design.part(name, p.Instrument)
            ends = (*(i.signal for i in part.inputs.values()), *part.returns)
            found[name] = {self.network.node(f"{name}.{end}") for end in ends}
        return found


class _Cold:
    """The steps with every battery disconnected and all circuit protection out."""

    _grounds = (p.GroundBlock, p.Stud, p.Airframe)

    def __init__(self, design: Design, circuits: Sequence[SuppliedCircuit]):
        self.design, self.circuits, self.bench = design, circuits, Bench(design)
        self.rest = rest_positions(design)
        self.every = design.of_kind(p.Protector)
        self.network = self.bench.network
        #: measured one by one
        mains = [n for n in design.of_kind(p.Battery) if design.part(n, p.Battery).purpose == "main"]
        self.batteries = design.of_kind(p.Battery)
        self.sockets = design.of_kind(p.ExternalPower)
        self.negative = f"{(mains or self.batteries)[0]}.negative"
        self.ground = self.network.node(self.negative)

    @cached_property
    def out(self) -> Metal:
        """Everything out and off."""
        return self._metal(self.rest)

    def _metal(self, switches: Mapping[str, str]) -> Metal:
        """What is joined with some switches on and all circuit protection out."""
        return next(iter(self._metals([switches])))

    def _metals(self, settings: Sequence[Mapping[str, str]]) -> Iterator[Metal]:
        """:meth:`_metal` of several settings, one for those that are the same."""
        keys = [tuple(sorted(switches.items())) for switches in settings]
        different = list(dict.fromkeys(keys))
        states = [
            self.bench.state(f"{i}", dict(key), self.every, fed=False) for i, key in enumerate(different)
        ]
        answers = dict(zip(different, self.bench.solve(states).values(), strict=True))
        left, made = Counter(keys), dict[object, Metal]()
        for key in keys:
            if key not in made:
                made[key] = Metal(self.bench, answers[key])
            left[key] -= 1  # dropped after its last use: it is as large as the aircraft
            yield made[key] if left[key] else made.pop(key)

    def bonds(self) -> Iterator[PowerStep]:
        """Each wire for which the file states the most ohms that a test accepts."""
        for name, wire in self.design.wires.items():
            if wire.max_resistance is None:
                continue
            element = f"wires/{name}"
            ends = (self.network.node(wire.from_), self.network.node(wire.to))
            own = next((ohms for _, _, ohms, e in self.out.joints if e == element), 0.0)
            limits, names = Within(own, 0.0, wire.max_resistance), (name, wire.from_, wire.to)
            yield PowerStep(Act.BOND, names, limits, "ohm", (name,), (), self._beside(element, *ends))

    def _beside(self, element: str, one: int, other: int) -> tuple[str, ...]:
        """The wires by which current goes round an element."""
        way = self.out.way(one, other, element) or ()
        return tuple(bare(e) for e in way if e.startswith("wires/"))

    @property
    def polarity_name(self) -> str:
        """The title of the card of :meth:`polarity`."""
        return "polarity of the battery leads" + (" and of external power" if self.sockets else "")

    def polarity(self) -> Iterator[PowerStep]:
        """The negative lead of each battery and socket is the one that the main ground reaches."""
        for name in (*self.batteries, *self.sockets):
            plus, minus = self.network.node(f"{name}.positive"), self.network.node(f"{name}.negative")
            if self.ground in self.out.piece(minus) and self.ground not in self.out.piece(plus):
                yield PowerStep(Act.POLARITY, (name, self._far_ground(name, minus)))

    def _far_ground(self, battery: str, lead: int) -> str:
        """A terminal of the ground in which the negative lead of a battery ends."""
        far, wire = self._far_end(f"{battery}.negative")
        if wire and isinstance(self.design.parts.get(far.partition(".")[0]), self._grounds):
            return far
        names = (self.network.names[n] for n in sorted(self.out.piece(lead)) if n != lead)
        owned = [n for n in names if isinstance(self.design.parts.get(n.partition(".")[0]), self._grounds)]
        return next((n for n in owned if "." in n), self.negative)

    def magnetos(self) -> Iterator[PowerCard]:
        """The lead of each magneto, taken off it: grounded with everything off, and not as for flight."""
        normal = normal_positions(self.design)
        for title, switches in (("off", self.rest), ("on", {**self.rest, **normal})):
            metal = self._metal(switches)
            steps = []
            free: set[int] = set()
            for magneto in self.network.magnetos:
                ends, name = (magneto.p_lead, magneto.ground), bare(magneto.element)
                way = metal.way(*ends)
                told = (bare(e) for e in way or () if metal.parted(*ends, e))
                found = "open" if way is None else "grounded"
                suspects = tuple(n for n in told if n != name)
                steps.append(PowerStep(Act.P_LEAD, (name, f"{name}.p-lead", found), suspects=suspects))
                free |= metal.piece(magneto.p_lead) if way is None else set()
            moved = tuple(
                (n, at)
                for n, at in switches.items()
                if at != self.rest.get(n) and not free.isdisjoint(self.network.nodes_of.get(f"parts/{n}", ()))
            )
            # without its lead every one of them fires
            hot = tuple(step.names[0] for step in steps)
            yield PowerCard(Stage.COLD, f"magneto leads, ignition {title}", tuple(steps), (), moved, (), hot)

    def isolation(self) -> Iterator[PowerStep]:
        """Each piece of metal with a bus, a battery lead or circuit protection on it, against ground."""
        seen: set[frozenset[int]] = set()
        places = {f"wires/{name}": i for i, name in enumerate(self.design.wires)}
        starts = [f"{n}.positive" for n in (*self.batteries, *self.sockets)]
        starts += list(self.design.of_kind(p.Bus))
        starts += [f"{n}.{end}" for n in self.every for end in ("line", "load")]
        for terminal in starts:
            node = self.network.index.get(terminal)
            piece = self.out.piece(node) if node is not None else frozenset()
            if node is None or piece in seen or len(piece) < 2 or self.ground in piece:
                continue
            seen.add(piece)
            own = {e for n in piece for _, e in self.out.steps(n) if e in places}
            wires = tuple(map(bare, sorted(own, key=places.__getitem__)))
            beside = self.out.across(node, self.ground)
            yield PowerStep(Act.ISOLATION, (terminal, self.negative), suspects=wires, beside=beside)

    def diodes(self) -> Iterator[PowerStep]:
        """Each diode both ways, with what lies beside it.

        At the far ends of its wires: at its own posts one that is wired the wrong way round is sound.
        """
        for name in self.design.of_kind(p.Diode):
            anode, cathode = self.network.node(f"{name}.anode"), self.network.node(f"{name}.cathode")
            (begin, _), (end, wire) = self._far_end(f"{name}.anode"), self._far_end(f"{name}.cathode")
            across = self.out.across(anode, cathode)
            beside = (*across, *self._beside(f"parts/{name}", anode, cathode))
            yield PowerStep(Act.DIODE, (name, begin, end, wire), beside=beside)

    def _far_end(self, post: str) -> tuple[str, str]:
        """The other end of the only wire on a post, and that wire; where it is not one, the post itself."""
        wires = [(n, w) for n, w in self.design.wires.items() if post in (w.from_, w.to)]
        if len(wires) != 1:
            return post, ""
        ((name, wire),) = wires
        return (wire.to if wire.from_ == post else wire.from_), name

    def continuity(self) -> Iterator[PowerCard]:
        """Each circuit from its protection to its loads, and from them to the main negative; one that a
        selector feeds from elsewhere too is the same once measured."""
        measured = set[tuple[PowerStep, ...]]()
        circuits = [circuit for circuit in self.circuits if not circuit.feeder]
        settings = [{**self.rest, **dict(circuit.switches)} for circuit in circuits]
        for circuit, metal in zip(circuits, self._metals(settings), strict=True):
            users = [self.network.users[load] for load in circuit.loads]
            steps = tuple(step for user in users for step in self._of_load(metal, circuit, user))
            used = {name for step in steps for name in (*step.suspects, *step.untold)}
            switches = ((n, at) for n, at in circuit.switches if n in used)
            moved = moved_from_rest(self.design, self.rest, switches)
            hot = hot_magnetos(self.network, metal.answer)
            if steps in measured:
                continue
            measured.add(steps)
            # a switch that only moves a relay parts nothing that is measured here
            name = circuit.name if circuit.moved.partition(" ")[0] in dict(moved) else circuit.protection
            yield PowerCard(Stage.COLD, f"continuity of {name}", steps, (), moved, (), hot)

    def coil_continuity(self, coils: Sequence[CoilCircuit]) -> Iterator[PowerCard]:
        """From the circuit protection of each coil, else from the positive lead of its battery, to the
        coil, and from there to the main negative; the coil itself is on the card that pulls it in."""
        settings = [{**self.rest, **dict(each.circuit.switches)} for each in coils]
        for each, metal in zip(coils, self._metals(settings), strict=True):
            steps = tuple(self._of_load(metal, each.circuit, each.coil, f"{each.battery}.positive"))
            used = {name for step in steps for name in (*step.suspects, *step.untold)}
            switches = ((n, at) for n, at in each.circuit.switches if n in used)
            moved = moved_from_rest(self.design, self.rest, switches)
            hot = hot_magnetos(self.network, metal.answer)
            name = f"continuity of the coil of {bare(each.coil.element)}"
            yield PowerCard(Stage.COLD, name, steps, (), moved, (), hot)

    def _of_load(
        self, metal: Metal, circuit: SuppliedCircuit, user: PoweredDevice, unprotected: str = ""
    ) -> Iterator[PowerStep]:
        """The steps of a load or coil; a circuit without protection begins at ``unprotected``."""
        start = self.network.node(f"{circuit.protection}.load" if circuit.protection else unprotected)
        untold: tuple[str, ...] = ()
        for act, nodes, begin in (
            (Act.SUPPLY_CONTINUITY, user.plus, start),
            (Act.RETURN_CONTINUITY, user.minus, self.ground),
        ):
            known = [(ohms, n) for n in nodes if (ohms := metal.ohms(n, begin)) is not None]
            if not known:  # a relay is de-energised without a source
                untold = (*untold, *(relay for relay in self._relays(circuit) if relay != bare(user.element)))
                continue
            ohms, node = min(known)
            ends = (begin, node) if act is Act.SUPPLY_CONTINUITY else (node, begin)
            names = (self.network.names[ends[0]], self.network.names[ends[1]])
            _, high = rounded(ohms, ohms + STEP)
            passed = [e for e in metal.way(node, begin) or () if e != user.element]
            told = [e for e in passed if self._shows(metal, (node, begin), e, high)]
            others = (bare(e) for e in passed if e not in told and bare(e) not in self.design.bonded)
            untold = (*untold, *others)
            yield PowerStep(act, names, Within(ohms, 0.0, high), "ohm", tuple(map(bare, told)), untold)
            untold = ()

    def _shows(self, metal: Metal, ends: tuple[int, int], element: str, most: float) -> bool:
        """Whether two nodes are parted by an element that opens, or have more than some ohms between them;
        one that is measured by itself only where it parts them."""
        if metal.parted(*ends, element):
            return True
        detour = metal.way(*ends, element) if bare(element) not in self.design.bonded else None
        if detour is None or metal.ohms_along(detour) <= most:
            return False
        left = metal.without(element).ohms(*ends)
        return left is None or left > most

    def _relays(self, circuit: SuppliedCircuit) -> tuple[str, ...]:
        """The relays between the protection of a circuit and its loads."""
        coils = {coil.element for coil in self.network.coils}
        own = f"parts/{circuit.protection}"
        after = circuit.elements.index(own) if circuit.protection else 0
        return tuple(bare(e) for e in circuit.elements[after:] if e in coils)
