"""Power-up cards of the coils of relays and contactors and of the fields of alternators, on a supply: pulled
in, what the contacts do, and released."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace

from reviewer.analysis.conduction.circuit_paths import path_back, path_to
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.operating_point import tolerances
from reviewer.model import parts as p
from reviewer.model.design import Design, Wire
from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network, PoweredDevice, bare
from reviewer.questions.bench_supply import Bench, SuppliedCircuit, moved_from_rest, rest_positions
from reviewer.questions.cold_cards import Metal
from reviewer.questions.live_terminals import hot_magnetos, live_terminals, moving_or_hot
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage

#: where circuit protection is that a step takes out
OUT = "out"
#: what releases a winding, and the state after that
Released = tuple[tuple[str, str], StateAnswer]


@record
class Winding:
    """A coil, or the field of an alternator, with the circuit that feeds it on a supply."""

    device: PoweredDevice
    bench: Bench
    circuit: SuppliedCircuit
    #: the position of each switch with everything off
    rest: Mapping[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The part."""
        return bare(self.device.element)

    @property
    def is_field(self) -> bool:
        """Whether it is that of an alternator."""
        return isinstance(self.bench.design.parts[self.name], p.Alternator)

    def fed(self, lanes: Conduction) -> int:
        """The lanes in which it has power."""
        if not self.is_field:
            return lanes.energised[self.device.element]
        source = self.bench.source
        return lanes.fed[source][self.device.plus[0]] & lanes.returned[source][self.device.minus[0]]

    def state(self, number: int, design: Design, moved: Mapping[str, str]) -> StateAnswer:
        """The state of its card, with what a step ``moved``."""
        switches = {**self.rest, **dict(self.circuit.switches)}
        return card_state(design, self.bench, f"{self.name} {number}", switches, self.circuit.fitted, moved)


def windings_of(design: Design, benches: Iterable[Bench]) -> tuple[Winding, ...]:
    """Each coil and field with the supply from which the way to it is shortest, of those that can be fed
    so that no starter gets power."""
    found: dict[str, Winding] = {}
    rest = rest_positions(design)
    for bench in benches:
        for device in _devices(bench.network):
            for answer in bench.set_answers.values():
                circuit = _circuit(bench, answer, device)
                if circuit is None:
                    continue
                known = found.get(device.element)
                if known is None or (not bench.plugged and _length(circuit) < _length(known.circuit)):
                    made = _spared(design, Winding(device, bench, circuit, rest))
                    found.update({} if made is None else {device.element: made})
                break
    return tuple(sorted(found.values(), key=lambda w: _length(w.circuit)))


def _length(circuit: SuppliedCircuit) -> tuple[int, int]:
    return len(circuit.fitted), len(circuit.elements)


def _devices(network: Network) -> Iterator[PoweredDevice]:
    yield from network.coils
    for source in network.sources:
        if source.field is not None:
            yield PoweredDevice(source.element, (source.field,), (source.negative,))


def _circuit(bench: Bench, answer: StateAnswer, device: PoweredDevice) -> SuppliedCircuit | None:
    """What feeds a winding in a state; None where the supply does not."""
    element = device.element
    own = Winding(device, bench, SuppliedCircuit("", (), (), (), (), ""))
    way = path_to(answer, element) if own.fed(answer.healthy) else ()
    if way[:1] != (bench.source,):
        return None
    there = tuple(bench.with_coils(answer, (*way, *path_back(answer, element))))
    standing = {bench.source, *(f"parts/{name}" for name in bench.below)}
    elements = tuple(dict.fromkeys(e for e in there if e not in standing))
    parts = {bare(e): bench.design.parts[bare(e)] for e in elements if e.startswith("parts/")}
    fitted = tuple(name for name, part in parts.items() if isinstance(part, p.Protector))
    last = [bare(e) for e in way if isinstance(parts.get(bare(e)), p.Protector)][-1:]
    fitted = (*(name for name in fitted if name not in last), *last)
    switches = tuple((n, answer.state.switches[n]) for n in parts if n in bench.design.settable)
    return SuppliedCircuit("".join(last), (element,), fitted, switches, elements, "")


def _spared(design: Design, winding: Winding) -> Winding | None:
    """The same with the leads taken off that would bring power to a starter; None where it is not fed
    then, or by its own circuit alone."""
    while True:
        answer = winding.state(0, design, {})
        if answer.healthy.unsettled or not winding.fed(answer.healthy):
            return None
        starter = next(iter(_starters(winding.bench, answer)), None)
        if starter is None:
            return winding
        leads = [e for e in reversed(path_to(answer, starter)) if e.startswith("wires/")]
        cases = [Failure(e, OPEN) for e in leads]
        lanes = conduct(winding.bench.network, answer.state, cases, answer.healthy)
        spared = ~lanes.powered[starter] & winding.fed(lanes)
        lead = next((bare(e) for i, e in enumerate(leads) if spared >> i & 1), None)
        if lead is None:
            return None
        bench = winding.bench
        lifted = Bench(design, bench.battery, bench.below, (*bench.lifted, lead))
        winding = replace(winding, bench=lifted)


def _starters(bench: Bench, answer: StateAnswer) -> Iterator[str]:
    for user in bench.network.consumers:
        kind = getattr(bench.design.parts[bare(user.element)], "type", None)
        if kind == "starter" and answer.healthy.powered[user.element]:
            yield user.element


def card_state(
    design: Design,
    bench: Bench,
    name: str,
    switches: Mapping[str, str],
    fitted: Iterable[str],
    moved: Mapping[str, str],
) -> StateAnswer:
    """The state that a card on a supply sets, with what one of its steps moved; ``switches`` are all of
    them."""
    taken = {n for n, where in moved.items() if where == OUT}
    kept = {*fitted} - taken
    positions = {**switches, **{n: where for n, where in moved.items() if n not in taken}}
    state = bench.state(name, positions, [n for n in design.of_kind(p.Protector) if n not in kept])
    return bench.solve([state])[name]


def winding_card(
    design: Design,
    winding: Winding,
    settings: tuple[StateAnswer, Released | None],
    spreads: Sequence[tolerances.Spread | None],
    limit: float,
) -> PowerCard:
    """The card of a winding; ``settings`` are those of :func:`settings_of`, ``spreads`` theirs."""
    on, released = settings
    steps = tuple(_Steps(winding, on, released).steps(spreads))
    bench, circuit = winding.bench, winding.circuit
    answers = [on, *([released[1]] if released else [])]
    live = dict.fromkeys(t for a in answers for t in live_terminals(design, bench.network, a))
    ends = {name: design.wires[name] for name in bench.lifted}
    return PowerCard(
        Stage.SUPPLY,
        f"{'field' if winding.is_field else 'coil'} of {winding.name}",
        steps,
        circuit.fitted,
        moved_from_rest(design, winding.rest, circuit.switches),
        tuple(live),
        tuple(dict.fromkeys(n for a in answers for n in hot_magnetos(bench.network, a))),
        (bench.battery, bench.volts(design), limit, bench.below),
        moving_or_hot(bench.design, bench.network, answers),
        tuple((name, _near(bench, on, wire)) for name, wire in ends.items()),
    )


def _near(bench: Bench, on: StateAnswer, wire: Wire) -> str:
    """The end of a lifted wire at which there are volts with the coil pulled in."""
    ends = (wire.from_, wire.to)
    return next((e for e in ends if on.healthy.live(bench.network.node(e))), ends[0])


def settings_of(design: Design, winding: Winding) -> tuple[StateAnswer, Released | None]:
    """The state with a winding fed, and what releases it with the state after that; None where nothing
    does.

    Of the switches on its way the one nearest to it, else its circuit protection.
    """
    on, rest = winding.state(0, design, {}), winding.rest
    back = path_back(on, winding.device.element)
    near = [bare(e) for e in (*reversed(path_to(on, winding.device.element)), *back)]
    hands = [name for name in near if name in design.hand_switches]
    ways = [(name, rest[name]) for name in hands]
    ways += [(name, at) for name in hands for at in design.part(name, p.Switch).positions]
    ways += [(name, OUT) for name in near if name in winding.circuit.fitted]
    for name, at in ways:
        if dict(winding.circuit.switches).get(name) != at:
            off = winding.state(1, design, {name: at})
            if not winding.fed(off.healthy) and not off.healthy.unsettled:
                return on, ((name, at), off)
    return on, None


class _Steps:
    """The steps of one winding, ``on`` and ``released``."""

    def __init__(self, winding: Winding, on: StateAnswer, released: Released | None):
        self.winding, self.on, self.released = winding, on, released
        self.network = winding.bench.network
        self.told: set[str] = set()

    def steps(self, spreads: Sequence[tolerances.Spread | None]) -> Iterator[PowerStep]:
        """All of them; of the last one what none of them shows."""
        made = [*self._fed(spreads[0])]
        off = spreads[1] if len(spreads) > 1 else None
        contacts = list(self._contacts(spreads[0], off))
        made += [step for step in contacts if not step.moved]
        if self.released:
            moved = (self.released[0],)
            after = [step for step in contacts if step.moved]
            if not after:
                amperes = off.given(self.winding.bench.source) if off else None
                after = [
                    PowerStep(Act.SUPPLY_AMPERES, (self.winding.bench.battery,), amperes, "A", moved=moved)
                ]
            made += after
        left = (bare(e) for e in self.winding.circuit.elements)
        untold = tuple(name for name in left if name not in self.told | self.winding.bench.design.bonded)
        made[-1] = replace(made[-1], untold=untold)
        yield from made

    def _fed(self, spread: tolerances.Spread | None) -> Iterator[PowerStep]:
        bench, element = self.winding.bench, self.winding.device.element
        known = spread is not None and not unstated(bench, self.on)
        amperes = spread.given(bench.source) if known and spread else None
        lost = self._losing(self.winding.circuit.elements, self.winding.fed)
        if self.winding.is_field:  # an open ground of the field leaves its volts
            dead = self._losing(lost, lambda lanes: lanes.live(self.winding.device.plus[0]))
            terminal = self.network.names[self.winding.device.plus[0]]
            step = self._step(Act.VOLTS, (terminal,), spread.volts(terminal) if spread else None, "V", dead)
        else:  # and an open coil its own
            dead = [e for e in lost if e != element]
            within = spread.at_load(element) if spread else None
            step = self._step(Act.COIL, (self.winding.name,), within, "V", dead)
        left: list[str] = []
        if amperes and spread:
            built = spread.points.built
            own = (built.fields if self.winding.is_field else built.coils)[element]
            taken = float(spread.points.device_amps(own)[0])
            left = [e for e in lost if e not in dead] if amperes.value - taken < amperes.low else []
        yield self._step(Act.SUPPLY_AMPERES, (bench.battery,), amperes, "A", left)
        yield step

    def _losing(self, elements: Iterable[str], works: Callable[[Conduction], int]) -> list[str]:
        """The elements whose opening takes what ``works`` gives the lanes of."""
        tried = list(elements)
        lanes = conduct(self.network, self.on.state, [Failure(e, OPEN) for e in tried], self.on.healthy)
        left = works(lanes)
        return [e for i, e in enumerate(tried) if not left >> i & 1]

    def _step(
        self,
        act: Act,
        names: tuple[str, ...],
        within: tolerances.Within | None,
        unit: str,
        lost: Iterable[str],
    ) -> PowerStep:
        new = tuple(dict.fromkeys(n for e in lost if (n := bare(e)) not in self.told))
        self.told.update(new)
        return PowerStep(act, names, within, unit, new)

    def _contacts(self, on: tolerances.Spread | None, off: tolerances.Spread | None) -> Iterator[PowerStep]:
        """What each contact does, pulled in and released."""
        if self.winding.is_field:
            if self.released:
                terminal = self.network.names[self.winding.device.plus[0]]
                yield self._volts(terminal, off, (self.released[0],))
            return
        element, seen = self.winding.device.element, set[str]()
        if not self._surely_pulled_in(on):
            return
        for i in self.network.links_of.get(element, ()):
            link = self.network.links[i]
            if link.gate not in (Gate.ENERGISED, Gate.DE_ENERGISED) or self.released is None:
                continue
            terminal = self._switched(link)
            if terminal and terminal not in seen:
                seen.add(terminal)
                yield replace(self._volts(terminal, on, ()), suspects=self._of_contact(terminal))
                yield replace(self._volts(terminal, off, (self.released[0],)), suspects=(self.winding.name,))
            elif not terminal and self._apart(link):
                names = (self.network.names[link.a], self.network.names[link.b])
                closed = link.gate is Gate.ENERGISED
                own = (self.winding.name,)
                self.told.update(own)
                yield PowerStep(Act.CONTACT, (*names, "closed" if closed else "open"), suspects=own)
                yield PowerStep(
                    Act.CONTACT,
                    (*names, "open" if closed else "closed"),
                    suspects=own,
                    moved=(self.released[0],),
                )

    def _surely_pulled_in(self, on: tolerances.Spread | None) -> bool:
        """Whether the coil has its pickup voltage on the supply, where the file says that, at the least."""
        within = None if on is None else on.at_load(self.winding.device.element)
        wanted = self.winding.device.picks_up
        return within is None or wanted is None or within.ends[0] >= wanted

    def _of_contact(self, terminal: str) -> tuple[str, ...]:
        """The parts and wires by which a terminal is live with the coil pulled in, and the relay."""
        node, source = self.network.node(terminal), self.winding.bench.source
        way = feed_path(self.network, self.on, source, node) if self.on.healthy.live(node) else ()
        lost = self._losing((e for e in way if e != source), lambda lanes: lanes.live(node))
        new = tuple(n for e in lost if (n := bare(e)) not in self.told and n != self.winding.name)
        self.told.update((*new, self.winding.name))
        return (*new, self.winding.name)

    def _volts(
        self, terminal: str, spread: tolerances.Spread | None, moved: tuple[tuple[str, str], ...]
    ) -> PowerStep:
        within = spread.volts(terminal) if spread else None
        return PowerStep(Act.VOLTS, (terminal,), within, "V", moved=moved)

    def _switched(self, link: Link) -> str:
        """The terminal of a contact that is live in one of both states; "" for none."""
        assert self.released is not None
        for node in (link.b, link.a):
            if self.on.healthy.live(node) != self.released[1].healthy.live(node):
                return self.network.names[node]
        return ""

    def _apart(self, link: Link) -> bool:
        """Whether an ohmmeter tells a contact open from closed: nothing feeds it or joins its ends."""
        assert self.released is not None
        for answer in (self.on, self.released[1]):
            live = [answer.healthy.live(node) for node in (link.a, link.b)]
            beside = Metal(self.winding.bench, answer).without(self.winding.device.element)
            if any(live) or link.b in beside.piece(link.a) or beside.across(link.a, link.b):
                return False
        return True


def unstated(bench: Bench, answer: StateAnswer) -> tuple[str, ...]:
    """The coils and fields that draw in a state and whose current the file does not state: a typical one
    is no limit."""
    network = bench.network
    found = []
    for device in _devices(network):
        part = bench.design.parts[bare(device.element)]
        own = Winding(device, bench, SuppliedCircuit("", (), (), (), (), ""))
        stated = part.field_current if isinstance(part, p.Alternator) else part.coil_current
        if stated is None and own.fed(answer.healthy):
            found.append(bare(device.element))
    return tuple(found)
