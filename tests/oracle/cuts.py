"""Minimal cut sets by a satisfiability solver, for circuits without contacts that are closed at rest.

"Function lost" is written as clauses. One variable says of each element that it is open. For each step, *may* variables say of each
node and source that the source may feed the node, or may get it back; of each coil and source that it may be energised, may be alive;
of each load and function that it may work. All clauses go one way:

* a live source may feed its positive; what may be fed may feed on along a way whose element is not open and whose relay may be
  energised; the same backwards from the negative for what is returned;
* a coil that is not open and that one source may feed and may get back may be energised in the next step, either way round, if the
  feed does not pass what conductors alone join to the negative of the source ("live"); a source likewise may be alive in the next step;
* a switch that follows something may leave its rest in the next step when that may work;
* in the last step, a load that is not open and is fed and returned by one source may work; any sufficient channels may make a function work.

The first step allows the relays and sources of the healthy system. Without contacts closed at rest, failures only take away, each step that
changes anything loses a relay or a source, and so there are as many steps as these are. The smallest reading of the *may*
variables is what truly happens, so a function that *may not* work is lost, and a lost one is allowed not to. The healthy system itself
is the least model of clauses of the same kind, which unit propagation finds.

Cut sets are then listed by order: a totalizer bounds the number of open elements, and each set found is blocked together with all larger
ones that hold it. Solver and totalizer: python-sat (https://pysathq.github.io).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

from pysat.card import ITotalizer
from pysat.formula import IDPool
from pysat.solvers import Solver

from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from tests.oracle.circuit import Circuit, Supply, Taker, Way

#: a variable's name, such as ("fed", step, source, node)
Key = tuple[object, ...]
#: what may be, if all of these may be, unless one of these elements is open
Rule = tuple[Key, list[Key], list[str]]


class LossClauses:
    """The clauses of one state of one circuit; :meth:`minimal_cut_sets` lists those of a function."""

    def __init__(self, design: Design, circuit: Circuit, state: ResolvedState):
        resting = {e: f.rest for e, f in circuit.followers.items()}
        if any(
            way.when in ("at rest", "dark", "unit dead") or resting.get(way.element) in way.positions
            for way in circuit.ways
        ):
            raise ValueError("a contact is closed at rest: opening something may restore what was lost")
        self.design, self.circuit, self.state = design, circuit, state
        self.ways = [way for way in circuit.ways if way.element in resting or _stands(way, state)]
        self.elements = [
            *(f"parts/{name}" for name in design.parts),
            *(f"wires/{name}" for name in design.wires),
        ]
        #: the relays that are energised and the sources that are alive in the healthy system, and the loads and functions that work
        self.healthy = self._healthy()
        up = [key[2] for key in self.healthy if key[0] == "up"]
        self.names = IDPool()
        self.solver = Solver("glucose4")
        for element in up:
            # an open source is dead from the first step on, an open relay has no contacts anyway
            self._clause(("up", 0, element), [], [str(element)])
        for step in range(len(up) + 1):
            for rule in self._rules(step, step + 1):
                self._clause(*rule)
        for rule in self._uses(len(up)):
            self._clause(*rule)
        opened = [self.names.id(("open", element)) for element in self.elements]
        self.bound = ITotalizer(opened, ubound=2, top_id=self.names.top)
        self.names.occupy(self.names.top + 1, self.bound.top_id)
        self.solver.append_formula(self.bound.cnf.clauses)

    def works(self, name: str) -> bool:
        """Whether a load or function works in the healthy system."""
        return ("works", name) in self.healthy

    def minimal_cut_sets(self, function: str) -> set[frozenset[str]]:
        """The minimal cut sets of one and two open elements of a function that works in the healthy system."""
        asked = self.names.id(("asked", function))
        lost = -self.names.id(("works", function))
        found: set[frozenset[str]] = set()
        for order in (1, 2):
            while self.solver.solve(assumptions=[asked, lost, -self.bound.rhs[order]]):
                true = {literal for literal in self.solver.get_model() if literal > 0}
                cut = frozenset(
                    element for element in self.elements if self.names.id(("open", element)) in true
                )
                found.add(cut)
                self.solver.add_clause([-asked, *(-self.names.id(("open", element)) for element in cut)])
        return found

    def _clause(self, head: Key, body: list[Key], intact: list[str]) -> None:
        opened = [self.names.id(("open", element)) for element in intact]
        self.solver.add_clause([self.names.id(head), *opened, *(-self.names.id(key) for key in body)])

    def _healthy(self) -> set[Key]:
        """The least model of the rules with nothing open, by unit propagation from the facts."""
        names, solver = IDPool(), Solver("glucose4")
        begin = names.id(("begin",))
        for head, body, _ in (*self._rules("cold", "cold"), *self._uses("cold")):
            solver.add_clause([names.id(head), -begin, *(-names.id(key) for key in body)])
        consistent, literals = solver.propagate(assumptions=[begin])
        assert consistent
        return {names.obj(literal) for literal in literals if literal > 0}

    def _rules(self, step: object, following: object) -> Iterator[Rule]:
        sources = self.circuit.sources
        for source in sources:
            at = source.element
            yield ("fed", step, at, source.positive), [("up", step, at)], []
            yield ("live", step, at, source.positive), [("up", step, at)], []
            yield ("back", step, at, source.negative), [], []
            yield ("joined", step, at, source.positive), [], []
            for way in self.ways:
                moved = way.when == "energised" or way.element in self.circuit.followers
                gate: list[Key] = [("up", step, way.element)] if moved else []
                gate += [("up", step, way.unit)] if way.unit else []
                gate += [("up", step, way.element)] if way.by_input else []
                for one, other in [(way.one, way.other), (way.other, way.one)][
                    : 1 if way.when == "forward" else 2
                ]:
                    words = ("fed", "joined") if source.held else ("fed",)
                    for word in words if other in self.circuit.grounds[at] else (*words, "live"):
                        yield (
                            (word, step, at, other),
                            [(word, step, at, one), *gate],
                            self._with_its_unit(way.element),
                        )
                    yield (
                        ("back", step, at, one),
                        [("back", step, at, other), *gate],
                        self._with_its_unit(way.element),
                    )
            yield from self._drivers(at, step, following)
        yield from self._followers(step, following)
        for source in sources:
            if source.kind == "external-power" and not self.state.external_power:
                continue
            if source.kind == "alternator" and self.state.engine != "running":
                continue
            if source.inlet:
                yield from self._supplied(source, step, following)
                continue
            if source.kind == "charger" and source.element.removeprefix("parts/") not in self.state.chargers:
                continue
            pairs = [(source.field, source.negative)] if source.field else []
            pairs += [(source.leads[0], source.leads[1])] if source.leads else []
            choices = [
                [[("fed", step, s.element, plus), ("back", step, s.element, minus)] for s in sources]
                for plus, minus in pairs
            ]
            intact = [source.element, *([source.regulator] if source.leads else [])]
            for bodies in product(*choices):
                body: list[Key] = [key for keys in bodies for key in keys]
                if source.held:
                    at, (sensed, ground) = source.element, source.leads
                    body += [("joined", step, at, sensed), ("back", step, at, ground)]
                yield ("up", following, source.element), body, intact

    def _drivers(self, at: str, step: object, following: object) -> Iterator[Rule]:
        """What a source moves: units that something follows, and coils."""
        for unit in self._units():
            for plus, minus in product(unit.plus, unit.minus):
                yield (
                    ("up", following, unit.element),
                    [("fed", step, at, plus), ("back", step, at, minus)],
                    [unit.element],
                )
        for coil in self.circuit.coils:
            ways = ((coil.plus, coil.minus), (coil.minus, coil.plus))
            for some, others in ways[: 1 + coil.either_way]:
                for plus, minus in product(some, others):
                    yield (
                        ("up", following, coil.element),
                        [("live", step, at, plus), ("back", step, at, minus)],
                        self._with_its_unit(coil.element),
                    )

    def _with_its_unit(self, element: str) -> list[str]:
        """An element, and the unit that it is inside of."""
        return [element, *(unit for unit, inside in self.circuit.inside.items() if element in inside)]

    def _units(self) -> list[Taker]:
        """The units whose power something follows, but for those that are off."""
        named = {way.unit for way in self.circuit.ways}
        return [t for t in self.circuit.consumers if t.element in named and not self._is_off(t)]

    def _followers(self, step: object, following: object) -> Iterator[Rule]:
        """A switch leaves its rest when what it follows works."""
        living = [source.element for source in self.circuit.sources]
        for element, follower in self.circuit.followers.items():
            ground = follower.ground
            grounds: list[list[Key]] = [[("back", step, s, ground)] for s in living] if ground else [[]]
            for (body, intact), own in product([*self._follows(follower.followed, step, following)], grounds):
                yield ("up", following, element), [*body, *own], intact

    def _follows(self, what: str, step: object, following: object) -> Iterator[tuple[list[Key], list[str]]]:
        """What lets what a switch follows work: keys, and what must be intact."""
        loads = {load.element: load for load in self.circuit.consumers}
        living = [source.element for source in self.circuit.sources]
        if what in living:
            yield [("up", following, what)], []
        elif what in loads and self._is_off(loads[what]):
            return
        elif what in loads:
            ends = [*product(loads[what].plus, loads[what].minus)]
            if loads[what].either_way:
                ends += [(minus, plus) for plus, minus in ends]
            for source in living:
                for plus, minus in ends:
                    yield [("fed", step, source, plus), ("back", step, source, minus)], [what]
        elif what:
            for source in living:
                yield [("fed", step, source, what)], [f"parts/{what}"]
        elif self.state.engine == "running":
            yield [], []

    def _is_off(self, load: Taker) -> bool:
        """Whether the state turns a load off by a switch of its own."""
        return load.own_switch and self.state.switches.get(load.element.partition("/")[2]) == "off"

    def _supplied(self, source: Supply, step: object, following: object) -> Iterator[Rule]:
        """A source lives by its input: fed by one that has none, or by another that has its input by this rule."""
        plus, minus = source.inlet
        for other in self.circuit.sources:
            if other.element != source.element:
                body: list[Key] = [("fed", step, other.element, plus), ("back", step, other.element, minus)]
                body += [("up", following, other.element)] if other.inlet else []
                yield ("up", following, source.element), body, [source.element]

    def _uses(self, step: object) -> Iterator[Rule]:
        for load in self.circuit.consumers:
            if self._is_off(load):
                continue
            name = load.element.partition("/")[2]
            for lost in getattr(self.design.parts[name], "takes_over", ()):
                yield ("works", lost), [("works itself", name)], []
            yield ("works", name), [("works itself", name)], []
            if load.lasts:
                yield ("works itself", name), [], [load.element]
            for source in self.circuit.sources:
                for plus in load.plus:
                    for minus in load.minus:
                        body: list[Key] = [
                            ("fed", step, source.element, plus),
                            ("back", step, source.element, minus),
                        ]
                        yield ("works itself", name), body, [load.element]
        for element, kind in self.circuit.channels.items():
            for body in self._other_uses(step, element, kind):
                yield ("works", element.partition("/")[2]), body, [element]
        for name, function in self.design.functions.items():
            for channels in combinations(function.of, function.any):
                yield ("works", name), [("works", channel) for channel in channels], []

    def _other_uses(self, step: object, element: str, kind: str) -> Iterator[list[Key]]:
        """What lets a channel that is no load work: a bus that is fed, a source that any consumer or coil takes from."""
        if kind == "mechanical":
            engine, engines = self.circuit.driven[element], self.state.engines
            does = {engines[engine]} if engine in engines else {self.state.engine, *engines.values()}
            yield from [[]] if engine == "hand" or "running" in does else []
        elif kind == "bus":
            yield from ([("fed", step, s.element, element.partition("/")[2])] for s in self.circuit.sources)
        else:
            for taker in (*self.circuit.consumers, *self.circuit.coils):
                for plus, minus in product(taker.plus, taker.minus):
                    yield [("fed", step, element, plus), ("back", step, element, minus)]
                    if taker.either_way:
                        yield [("fed", step, element, minus), ("back", step, element, plus)]


def _stands(way: Way, state: ResolvedState) -> bool:
    """Whether a way conducts as switches stand and protectors are in."""
    name = way.element.partition("/")[2]
    if way.when == "protector" and name in state.pulled:
        return False
    if way.when == "plugged" and not state.external_power:
        return False
    if way.command and way.command not in state.outputs_on:
        return False
    return not way.positions or state.switches[name] in way.positions
