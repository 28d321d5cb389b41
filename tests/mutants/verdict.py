"""What is decided of a mutant before any review, and the criteria that several operators share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState
from tests.mutants.currents import Solved
from tests.mutants.evaluated import Evaluated, grave_losses
from tests.mutants.mutant import Mutant
from tests.mutants.wiring_faults import wire_faults
from tests.oracle.plain import OPEN, Answer, Fault, solve, working

YES, NO, OPEN_QUESTION = "yes", "no", "left out"


@dataclass(frozen=True)
class Verdict:
    """Whether a mutant is a defect and why. ``names`` are the elements that a finding may name,
    ``chapters`` those of its rule.
    """

    defect: str
    why: str
    names: tuple[str, ...] = ()
    chapters: tuple[str, ...] = ()


class Case:
    """A mutant beside the sound design that it was made of."""

    def __init__(self, mutant: Mutant, base: Evaluated, base_solved: Solved):
        self.mutant, self.base, self.base_solved = mutant, base, base_solved
        self.changed = Evaluated(mutant.data())

    @cached_property
    def solved(self) -> Solved:
        return Solved(self.changed)

    def yes(self, why: str, *names: str, chapters: tuple[str, ...]) -> Verdict:
        """A defect. The changed elements may be named too."""
        return Verdict(YES, why, tuple(dict.fromkeys((*names, *self.mutant.elements))), chapters)

    def no(self, why: str) -> Verdict:
        return Verdict(NO, why)

    def undecided(self, why: str) -> Verdict:
        return Verdict(OPEN_QUESTION, why)


def new_wire_faults(case: Case) -> Verdict | None:
    """A wire that Table 11-3 or the rule of 6 in finds wanting, which it did not."""
    before = wire_faults(case.base)
    new = {w: told for w, told in wire_faults(case.changed).items() if w not in before}
    if not new:
        return None
    first, told = next(iter(new.items()))
    more = f", and {len(new) - 1} more" if len(new) > 1 else ""
    return case.yes(f"{told}{more}.", first, *new, chapters=("protection",))


def new_bare_load(case: Case) -> Verdict | None:
    """A supply or signal input that a battery reaches with no device on the way, where none did: no
    wire on it is the 6 in between a source and its device, however short.
    """
    before = dict(_bare_loads(case.base))
    for node, battery in _bare_loads(case.changed):
        if node not in before:
            load = node.partition(".")[0]
            why = f"By the plain evaluator {battery} reaches {node} with no device between."
            return case.yes(why, load, chapters=("protection",))
    return None


def _bare_loads(of: Evaluated) -> Iterator[tuple[str, str]]:
    starters = {n for n in of.design.of_kind(p.Load) if of.design.parts[n].type == "starter"}
    nodes = [node for taker in of.circuit.consumers for node in taker.plus]
    for name in of.design.of_kind(p.Instrument):
        nodes += (f"{name}.{i.signal}" for i in of.design.parts[name].inputs.values())
    for state in of.widest:
        for node in nodes:
            if node in of.live(state) and node.partition(".")[0] not in starters:
                yield from ((node, battery) for battery in of.short(state, node).batteries[:1])


def new_grave_losses(case: Case) -> Verdict | None:
    """A function of hazardous or catastrophic loss that one failure takes, in the worse outcome,
    where none such did.
    """
    losses = grave_losses(case.base, case.changed)
    if not losses:
        return None
    function, elements = next(iter(losses.items()))
    parts = [e.partition(".")[0] for e in elements]
    told = f"one failure at {parts[0]} takes {function}, in the worse outcome of a short"
    return case.yes(f"By the plain evaluator {told}.", function, *parts, *losses, chapters=("redundancy",))


def other_new_losses(case: Case) -> Verdict | None:
    """A function of lesser loss that one failure takes where it did not: no criterion says that it
    may not.
    """
    for name, elements in case.changed.single_losses.items():
        if more := sorted(elements - case.base.single_losses.get(name, frozenset())):
            why = f"One failure at {more[0]} takes {name}, of {case.changed.design.functions[name].loss} loss"
            return case.undecided(f"{why}; no criterion forbids it.")
    return None


def new_tie(case: Case) -> Verdict | None:
    """Two batteries that feed each other in a declared state, with no diode between."""
    for name, state in case.changed.states.items():
        for one, other in _ties(case.changed, name):
            if (one, other) not in set(_ties(case.base, name)) and state.use != "ground":
                told = f"in {name} the positives of {one} and {other} feed each other with no diode between"
                return case.yes(
                    f"By the plain evaluator {told}.", one, other, chapters=("backfeed", "redundancy")
                )
    return None


def _ties(of: Evaluated, state: str) -> Iterator[tuple[str, str]]:
    answer = of.healthy(of.states[state])
    batteries = [s for s in of.circuit.sources if s.kind == "battery"]
    for i, one in enumerate(batteries):
        for other in batteries[i + 1 :]:
            if other.positive in answer.fed[one.element] and one.positive in answer.fed[other.element]:
                yield one.element.partition("/")[2], other.element.partition("/")[2]


def dead_bus_lives(case: Case) -> Verdict | None:
    """A bus that a state declares dead and that a source feeds there."""
    for name, state in case.changed.states.items():
        answer = case.changed.healthy(state)
        was = case.base.healthy(case.base.states[name])
        for bus in state.dead:
            by = [s.partition("/")[2] for s, fed in answer.fed.items() if bus in fed]
            if by and not any(bus in fed for fed in was.fed.values()):
                told = f"in {name} {bus} must be dead, and {by[0]} feeds it"
                return case.yes(f"By the plain evaluator {told}.", bus, *by, chapters=("backfeed",))
    return None


def new_darkness(case: Case) -> Verdict | None:
    """A load, coil or source that works in a declared state and does so no more."""
    for name, state in case.changed.states.items():
        before, after = case.base.healthy(case.base.states[name]), case.changed.healthy(state)
        for what in ("powered", "energised", "alive"):
            gone = [e for e, on in getattr(before, what).items() if on and not getattr(after, what).get(e)]
            if gone:
                names = [e.partition("/")[2] for e in gone]
                told = f"in {name} {', '.join(names)} is not {what} any more"
                lost = _functions_lost(case, name)
                return case.yes(f"By the plain evaluator {told}.", *names, *lost, chapters=("grounding",))
    return None


def _functions_lost(case: Case, state: str) -> list[str]:
    before = working(case.base.design, case.base.healthy(case.base.states[state]).powered)
    after = working(case.changed.design, case.changed.healthy(case.changed.states[state]).powered)
    return [n for n in before if before[n] and not after[n]]


def new_idle_source(case: Case) -> Verdict | None:
    """A source that could power something in the normal state and can power nothing."""
    before = useful(case.base, case.base.healthy(case.base.normal))
    after = useful(case.changed, case.changed.healthy(case.changed.normal))
    gone = sorted(before - after)
    if not gone:
        return None
    told = f"{gone[0]} can power nothing in the normal state: no load has both its feed and its return"
    why = f"By the plain evaluator {told}."
    return case.yes(why, *gone, chapters=("grounding", "sources"))


def useful(of: Evaluated, answer: Answer) -> set[str]:
    """The sources that power something."""
    takers = (*of.circuit.consumers, *of.circuit.coils)
    return {
        s.element.partition("/")[2]
        for s in of.circuit.sources
        if any(
            not answer.fed[s.element].isdisjoint(t.plus)
            and not answer.returned[s.element].isdisjoint(t.minus)
            for t in takers
        )
    }


def not_charged(case: Case) -> Verdict | None:
    """A reserve that another source charged in the normal state, and none does now."""
    for name in case.base.design.of_kind(p.Battery):
        if _charged(case.base, name) and not _charged(case.changed, name):
            told = f"no other source feeds {name} and gets its current back in the normal state"
            why = f"By the plain evaluator {told}."
            return case.yes(why, name, chapters=("sources", "endurance"))
    return None


def through_loads(of: Evaluated) -> tuple[Fault, ...]:
    """The case in which no load with several returns is a way from one ground to another: that is
    not what it is for.
    """
    return tuple(Fault(t.element, OPEN) for t in of.circuit.consumers if len(t.minus) > 1)


def _charged(of: Evaluated, battery: str) -> bool:
    answer = solve(of.circuit, of.normal, through_loads(of), of.healthy(of.normal))
    return any(
        f"{battery}.positive" in answer.fed[s] and f"{battery}.negative" in answer.returned[s]
        for s, alive in answer.alive.items()
        if alive and s != f"parts/{battery}"
    )


def switch_does_nothing(case: Case) -> Verdict | None:
    """A switch that took loads off in the normal state, and takes them off no more."""
    base, changed = case.base, case.changed
    if more := sorted(_lit(changed, changed.normal) - _lit(base, base.normal)):
        told = f"in the normal state {', '.join(more)} is on, and was not"
        why = f"By the plain evaluator {told}; off must mean off."
        return case.yes(why, *more, chapters=("backfeed", "switching"))
    for name in changed.design.of_kind(p.Switch):
        part = changed.design.parts[name]
        for position in part.positions:
            if position == base.normal.switches.get(name):
                continue
            off = _lit(base, base.normal) - _lit(base, base.moved(base.normal, name, position))
            kept = off & _lit(changed, changed.moved(changed.normal, name, position))
            if kept:
                told = f"with {name} at {position} {', '.join(sorted(kept))} stays on"
                return case.yes(
                    f"By the plain evaluator {told}; off must mean off.",
                    name,
                    *sorted(kept),
                    chapters=("backfeed", "switching"),
                )
    return None


def supply_stays_fed(case: Case) -> Verdict | None:
    """A supply that a switch took the feed from, and takes it from no more."""
    base, changed = case.base, case.changed
    for name in changed.design.of_kind(p.Switch):
        for position in changed.design.parts[name].positions:
            off = _supplied(base, base.normal) - _supplied(base, base.moved(base.normal, name, position))
            kept = sorted(off & _supplied(changed, changed.moved(changed.normal, name, position)))
            if kept:
                loads = [node.partition(".")[0] for node in kept]
                why = f"By the plain evaluator with {name} at {position} {kept[0]} stays fed; off must mean off."
                return case.yes(why, name, *loads, chapters=("backfeed", "switching"))
    return None


def _supplied(of: Evaluated, state: ResolvedState) -> set[str]:
    """The supplies of loads that a live source feeds in a state."""
    return of.live(state) & {node for taker in of.circuit.consumers for node in taker.plus}


def lost_purpose(case: Case) -> Verdict | None:
    """A reserve that no longer feeds, in the normal state, a load that it is kept for."""
    for name in case.base.design.of_kind(p.Battery):
        kept = set(case.base.design.parts[name].dedicated_to)
        gone = sorted(kept & (fed_by(case.base, name) - fed_by(case.changed, name)))
        if gone:
            why = f"By the plain evaluator {name} does not feed {gone[0]} any more, which it is kept for."
            return case.yes(why, name, *gone, chapters=("endurance", "redundancy", "backfeed"))
    return None


def fed_by(of: Evaluated, source: str) -> set[str]:
    """The loads that a source feeds in the normal state."""
    fed = of.healthy(of.normal).fed[f"parts/{source}"]
    return {c.element.partition("/")[2] for c in of.circuit.consumers if not fed.isdisjoint(c.plus)}


def _lit(of: Evaluated, state: ResolvedState) -> set[str]:
    """The loads, coils and alternators that work in a state."""
    answer = of.healthy(state)
    alternators = {f"parts/{n}": answer.alive[f"parts/{n}"] for n in of.design.of_kind(p.Alternator)}
    on = {**answer.powered, **answer.energised, **alternators}
    return {e.partition("/")[2] for e, lit in on.items() if lit}
