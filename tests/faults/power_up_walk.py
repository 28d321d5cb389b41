"""The power-up cards of the sound tourer, walked through on an aircraft that was wired otherwise.

``python -m tests.faults.power_up_walk`` prints for each planted fault the first step whose reading is out
of limits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.solved_state import OperatingPoint, scenario_of, solve_state
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.questions.bench_supply import Bench, rest_positions, stopped
from reviewer.questions.cold_cards import Metal
from reviewer.questions.power_steps import Act, PowerCard, PowerStep
from reviewer.questions.power_up import power_up
from reviewer.reading import read_design, read_text
from tests.faults.planted import FAULTS, SOUND, with_faults
from tests.rule_cases import text


@record
class Shown:
    """A step whose reading is out of limits; ``number`` is that on its card."""

    card: str
    number: int
    step: PowerStep
    reading: object

    def __str__(self) -> str:
        return f"{self.place}: {self.step.act.value} of {self.step.names[0]}: {self.reading}"

    @property
    def place(self) -> str:
        """Card and step; step 0 is the setting of the card, which cannot be made."""
        return f"{self.card}, step {self.number}"


class Walk:
    """A design as it was wired, under the cards of another."""

    def __init__(self, wired: Design, cards: Iterable[PowerCard]):
        self.wired, self.cards = wired, tuple(cards)
        self._benches: dict[object, Bench] = {}

    @cached_property
    def facts(self) -> Facts:
        return Facts(self.wired)

    def shown(self) -> Iterator[Shown]:
        """Each step that does not read as its card says."""
        for card in self.cards:
            try:
                answer, bench = self._set(card)
                moved = {s.moved: self._set(card, s.moved)[0] for s in card.steps if s.moved}
            except KeyError as missing:
                yield Shown(card.name, 0, card.steps[0], f"there is no {missing.args[0]}")
                continue
            points: dict[object, OperatingPoint] = {}
            for number, step in enumerate(card.steps, 1):
                try:
                    wrong = self._wrong(bench, moved.get(step.moved, answer), card, step, points)
                except KeyError as missing:
                    wrong = f"there is no {missing.args[0]}"
                if wrong is not None:
                    yield Shown(card.name, number, step, wrong)

    def _set(self, card: PowerCard, moved: tuple[tuple[str, str], ...] = ()) -> tuple[StateAnswer, Bench]:
        """What a card sets, done to what was wired, and what one of its steps moves."""
        protection = self.wired.of_kind(p.Protector)
        for name in (*card.fitted, *dict(card.switches)):
            self.wired.parts[name]
        taken = [name for name, at in moved if at == "out"]
        at = {name: where for name, where in moved if where != "out"}
        switches = {**rest_positions(self.wired), **dict(card.switches), **at}
        out = [name for name in protection if name not in card.fitted or name in taken]
        if card.supply is None and card.fitted:
            state = stopped("card", switches, ())
            return solve_states(self.wired, self.facts.network, [state])["card"], self._bench("")
        lifted = tuple(wire for wire, _ in card.lifted)
        bench = self._bench(card.supply[0] if card.supply else "", lifted)
        state = bench.state("card", switches, out, fed=card.supply is not None)
        return bench.solve([state])["card"], bench

    def _bench(self, battery: str, lifted: tuple[str, ...] = ()) -> Bench:
        key = battery, lifted
        if key not in self._benches:
            self._benches[key] = Bench(self.wired, battery, lifted=lifted)
        return self._benches[key]

    def _wrong(
        self,
        bench: Bench,
        answer: StateAnswer,
        card: PowerCard,
        step: PowerStep,
        points: dict[object, OperatingPoint],
    ) -> object:
        """What is read where that is not as the card says; None where it is."""
        if step.act in (Act.SUPPLY_AMPERES, Act.VOLTS, Act.LOAD, Act.COIL):
            if step.moved not in points:
                points[step.moved] = self._point(bench, answer, on_supply=card.supply is not None)
            return _out(step, self._read(points[step.moved], bench, step))
        metal = Metal(bench, answer)
        node = bench.network.node
        if step.act is Act.CONTACT:
            one, other, found = step.names
            closed = node(other) in metal.piece(node(one))
            return None if closed is (found == "closed") else "continuity" if closed else "no continuity"
        if step.act is Act.DIODE:
            name, *ends = step.names[:3]
            begin, end = (metal.piece(node(terminal)) for terminal in ends)
            met = node(f"{name}.anode") in begin and node(f"{name}.cathode") in end
            return None if met else "it does not conduct that way"
        if step.act is Act.POLARITY:
            battery, ground = step.names
            leads = [metal.piece(node(f"{battery}.{end}")) for end in ("negative", "positive")]
            grounded = [node(ground) in lead for lead in leads]
            return None if grounded == [True, False] else f"negative and positive lead grounded: {grounded}"
        if step.act is Act.BOND:
            name, *ends = step.names
            wire = self.wired.wires[name]
            if [wire.from_, wire.to] != ends:
                return f"it leads from {wire.from_} to {wire.to}"
            own = [ohms for _, _, ohms, e in metal.joints if e == f"wires/{name}"]
            return _out(step, own[0] if own else float("inf"))
        one, other = map(node, step.names)
        if step.act is Act.ISOLATION:
            if other in metal.piece(one):
                return "continuity"
            return "a load reads there" if metal.across(one, other) and not step.beside else None
        ohms = metal.ohms(one, other)
        return "no continuity" if ohms is None else _out(step, ohms)

    def _point(self, bench: Bench, answer: StateAnswer, on_supply: bool) -> OperatingPoint:
        if on_supply:
            scenario = scenario_of(bench.design, bench.network, answer.state, answer.healthy)
            return solve_state(bench.design, bench.network, scenario, wiring=bench.wiring)
        scenario = scenario_of(self.wired, self.facts.network, answer.state, answer.healthy)
        return solve_state(self.wired, self.facts.network, scenario)

    def _read(self, point: OperatingPoint, bench: Bench, step: PowerStep) -> float:
        if step.act is Act.SUPPLY_AMPERES:
            return point.given.get(bench.source, 0.0)
        if step.act is Act.COIL:
            coil = self.wired.part(step.names[0], p.Electromagnet).coil
            plus, minus = (point.volts.get(f"{step.names[0]}.{end}", 0.0) for end in coil)
            return plus - minus
        if step.act is Act.LOAD:
            self.wired.parts[step.names[0]]
            return point.across.get(f"parts/{step.names[0]}", 0.0)
        bench.network.node(step.names[0])
        return point.volts.get(step.names[0], 0.0)


def _out(step: PowerStep, reading: float) -> float | None:
    """The reading where it is out of limits."""
    return None if step.limits is None or step.limits.holds(reading) else round(reading, 3)


def sound_cards() -> tuple[PowerCard, ...]:
    """The power-up cards of the sound tourer."""
    return power_up(Facts(read_design(SOUND)))


def walked(faults: Iterable[str], cards: Iterable[PowerCard]) -> Iterator[Shown]:
    """The steps that show some planted faults, each found when it is asked for."""
    return Walk(read_text(text(with_faults(faults)), "wired.yaml"), cards).shown()


if __name__ == "__main__":
    made = sound_cards()
    for fault in FAULTS:
        print(f"{fault}: {next(walked([fault], made), 'shown by no step')}")
