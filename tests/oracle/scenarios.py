"""States and cases of failures drawn at random for a circuit, in the terms of the plain evaluator."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from random import Random

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from tests.oracle.circuit import Circuit
from tests.oracle.plain import DROPPED, FULL_ON, HELD, OPEN, SEVERED, SHORT, STAYS, STUCK_ON, THROUGH, Fault

Case = tuple[Fault, ...]


def switch_positions(design: Design) -> dict[str, tuple[str, ...]]:
    """The positions of every switch and breaker-switch."""
    positions = {
        name: tuple(part.positions) for name, part in design.parts.items() if isinstance(part, p.Switch)
    }
    return positions | {name: ("open", "closed") for name in design.of_kind(p.BreakerSwitch)}


def random_states(design: Design, chance: Random, count: int) -> tuple[ResolvedState, ...]:
    """States drawn at random: mostly switched on, mostly running, with now and then a protector pulled."""
    positions, protectors = switch_positions(design), design.of_kind(p.Protector)
    listed = [n for n in design.of_kind(p.Charger) if design.part(n, p.Charger).from_ != "another-bus"]
    found = []
    for number in range(count):
        switches = {
            name: known[-1] if chance.random() < 0.8 else chance.choice(known)
            for name, known in positions.items()
        }
        pulled = tuple(name for name in protectors if chance.random() < 0.03)
        engine = chance.choice(["running", "running", "running", "stopped", "cranking"])
        own = Random(f"{number} {switches}")  # states without such units stay what they are
        switches |= {
            name: "off"
            for name in design.of_kind(p.Consumer)
            if design.parts[name].own_switch and own.random() < 0.3
        }
        commanded = [
            f"{name}.{output}"
            for name in design.of_kind(p.Consumer)
            for output, made in design.parts[name].outputs.items()
            if made.when == "commanded"
        ]
        found.append(
            ResolvedState(
                f"drawn-{number}",
                "flight",
                engine,
                switches,
                pulled,
                chance.random() < 0.5,
                (),
                (),
                chargers=tuple(c for c in listed if chance.random() < 0.7),
                outputs_on=tuple(output for output in commanded if own.random() < 0.5),
            )
        )
    return tuple(found)


def states_of_switches(design: Design, base: ResolvedState, names: Sequence[str]) -> Iterator[ResolvedState]:
    """A state for every combination of the first and the last position of some switches, the others as in ``base``."""
    positions = switch_positions(design)
    for number, combination in enumerate(product((0, -1), repeat=len(names))):
        switches = dict(base.switches) | {
            name: positions[name][which] for name, which in zip(names, combination, strict=True)
        }
        yield ResolvedState(
            f"combination-{number}", base.use, base.engine, switches, base.pulled, base.external_power, (), (),
            chargers=base.chargers,
        )  # fmt: skip


def random_cases(
    design: Design, circuit: Circuit, state: ResolvedState, chance: Random, count: int
) -> tuple[Case, ...]:
    """Cases drawn at random: the whole system, singles of every mode, and doubles, of which about a third share a chain.

    A case never holds two faults that gainsay each other: one relay stuck both ways, one switch at two places.
    """
    deck = _Deck(design, circuit, state, chance)
    cases: list[Case] = [()]
    while len(cases) < count:
        case: Case = (deck.fault(),)
        kind = chance.random()
        if kind < 0.6:
            # the second one on the same chain, on the same element, or anywhere
            near = deck.chain_of(case[0]) if kind < 0.25 else deck.same_as(case[0]) if kind < 0.33 else None
            second = deck.fault(near)
            if second == case[0] or (
                second.element == case[0].element
                and {second.mode, case[0].mode} in ({HELD, DROPPED}, {STAYS})
            ):
                continue
            case += (second,)
        cases.append(case)
    return tuple(cases)


class _Deck:
    """The faults of a circuit to draw from."""

    def __init__(self, design: Design, circuit: Circuit, state: ResolvedState, chance: Random):
        self.design, self.circuit, self.state, self.chance = design, circuit, state, chance
        self.elements = [*(f"parts/{n}" for n in design.parts), *(f"wires/{n}" for n in design.wires)]
        self.bundles = sorted((*circuit.bundles, *circuit.bolts))
        self.protectors = [f"parts/{n}" for n in design.of_kind(p.Protector)]
        self.positions = switch_positions(design)
        self.touching: dict[str, list[str]] = {element: [] for element in self.elements}
        joined = {node for way in circuit.ways for node in (way.one, way.other)}
        for node in sorted(circuit.nodes):
            if "." in node or node in joined:
                self.touching[f"parts/{node.partition('.')[0]}"].append(node)
        for way in circuit.ways:
            if way.element.startswith("wires/"):
                self.touching[way.element] += [way.one, way.other]
        self.chains = _chains(circuit)

    def chain_of(self, fault: Fault) -> list[str] | None:
        """The elements of the chain in which a fault's element stands, or None where it stands in none."""
        chains = [chain for chain in self.chains if fault.element in chain]
        return sorted(self.chance.choice(chains)) if chains else None

    def same_as(self, fault: Fault) -> Sequence[str]:
        """The element of a fault, or for a bundle or a bolt its wires."""
        return (self.circuit.bundles | self.circuit.bolts).get(fault.element, [fault.element])

    def fault(self, among: Sequence[str] | None = None) -> Fault:
        """A fault of any mode that its element can have."""
        chance = self.chance
        if among is None and self.bundles and chance.random() < 0.05:
            together = chance.choice(self.bundles)
            return Fault(together, SEVERED if together in self.circuit.bundles else OPEN)
        element = chance.choice(among or self._kind_first())
        special = self._special(element)
        if special and chance.random() < 0.6:
            return self._grounding(chance.choice(special))
        return Fault(element, OPEN) if chance.random() < 0.55 else self._short(element)

    def _kind_first(self) -> list[str]:
        """The elements to draw from: wires are many, and switches turn what can hunt or hold."""
        kind = self.chance.random()
        if kind < 0.15 and self.positions:
            return [f"parts/{name}" for name in self.positions]
        return [e for e in self.elements if e.startswith("parts/")] if kind < 0.65 else self.elements

    def _special(self, element: str) -> list[Fault]:
        name = element.partition("/")[2]
        part = self.design.parts.get(name) if element.startswith("parts/") else None
        if isinstance(part, p.Diode | p.FixedResistor):
            return [Fault(element, THROUGH)]
        regulated = {r.regulates for r in self.design.parts.values() if isinstance(r, p.Regulator)}
        if isinstance(part, p.Regulator) or (isinstance(part, p.Alternator) and name not in regulated):
            return [Fault(element, FULL_ON)]
        if isinstance(part, p.Electromagnet):
            return [Fault(element, HELD), Fault(element, DROPPED)]
        if isinstance(part, p.Consumer):
            return [Fault(element, STUCK_ON, position=output) for output in part.outputs]
        if name in self.positions and part is not None:
            return [
                Fault(element, STAYS, position=other)
                for other in self.positions[name]
                if other != self.state.switches.get(name)
            ]
        return []

    def _grounding(self, fault: Fault) -> Fault:
        """Contacts that are stuck, one time in four so that they ground some of their own nodes."""
        nodes = self.touching[fault.element]
        if fault.mode in (THROUGH, FULL_ON) or not nodes or self.chance.random() < 0.75:
            return fault
        return replace(
            fault, nodes=tuple(self.chance.sample(nodes, self.chance.choice([1, min(2, len(nodes))])))
        )

    def _short(self, element: str) -> Fault:
        chance, nodes = self.chance, self.touching[element]
        if not nodes:
            return Fault(element, OPEN)
        grounded = tuple(chance.sample(nodes, min(len(nodes), chance.choice([1, 1, 1, 2, 3]))))
        passes = (
            chance.sample(self.protectors, min(len(self.protectors), chance.randint(1, 3)))
            if chance.random() < 0.4
            else []
        )
        return Fault(element, SHORT, grounded, passes=frozenset(passes))


def _chains(circuit: Circuit) -> list[set[str]]:
    """Sets of elements that follow each other where nothing branches off: at nodes that exactly two ways touch."""
    touching: dict[str, list[str]] = {}
    for way in circuit.ways:
        for node in (way.one, way.other):
            touching.setdefault(node, []).append(way.element)
    chains: list[set[str]] = []
    for elements in touching.values():
        if len(elements) == 2:
            joined = [chain for chain in chains if not chain.isdisjoint(elements)]
            chains = [chain for chain in chains if chain.isdisjoint(elements)] + [
                set(elements).union(*joined)
            ]
    return [chain for chain in chains if len(chain) > 1]
