"""How much faster the engine is than the plain evaluator and a satisfiability solver, in one run on one machine:
``python -m tests.benchmarks.engine_speed [PART ...]``.

Prints ratios, not seconds to be compared between machines. The parts are ``singles``, ``states``, ``doubles``, ``cuts``; all without an
argument. ``cuts`` lists the minimal cut sets of one and two open elements, by the engine and by the clauses of ``tests/oracle/cuts.py``. The plain evaluator gives every answer, so the engine is timed with and without asking it for the answer of every node. Where one of
the two is timed on a part of the work and scaled, the line says on how much. Takes some minutes; no test runs it.
"""

from __future__ import annotations

import gc
import math
import resource
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from random import Random

from reviewer.analysis.conduction.failure_modes import OPEN, Failure, single_failures
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_pairs, conduct_states
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.cut_sets.minimal_cut_sets import cut_sets, pair_losses
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState, resolved
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from tests.oracle.circuit import Circuit, circuit_of
from tests.oracle.cuts import LossClauses
from tests.oracle.engine import fault_of
from tests.oracle.generator import realistic
from tests.oracle.plain import Answer, solve
from tests.oracle.scenarios import Case, states_of_switches, switch_positions
from tests.oracle.sound import sound

SEED = 1
SAMPLE = 150  # scenarios that the plain evaluator solves where it is not given all
LANES = 1 << 16  # pairs solved side by side in one call
CUT_FUNCTIONS = 10  # that the satisfiability solver is asked for
FRACTION = 40  # of the blocks of pairs, every so manieth is timed


@dataclass(frozen=True)
class Subject:
    """An aircraft in the forms that the two sides need."""

    design: Design
    network: Network
    circuit: Circuit
    states: tuple[ResolvedState, ...]


def subject(parts: int) -> Subject:
    """The aircraft of about that many parts; what the engine prepares once for a network is prepared."""
    design = realistic(parts, SEED)
    network = build_network(design)
    assert design.operation is not None and network.contracted
    return Subject(design, network, circuit_of(design), tuple(resolved(design.operation).values()))


def clocked(work: Callable[[], object], times: int = 1) -> float:
    """Shortest of several runs, in seconds of processor time, without collections of garbage in between."""
    runs = []
    for _ in range(times):
        gc.collect()
        gc.disable()
        began = time.process_time()
        work()
        runs.append(time.process_time() - began)
        gc.enable()
    return min(runs)


def failures_in(s: Subject, healthy: Conduction) -> tuple[Failure, ...]:
    """Every single failure that a review tries in a state."""
    return single_failures(s.design, s.network, {n for n in range(len(s.network.names)) if healthy.live(n)})


def functions(s: Subject, result: Conduction) -> dict[str, int]:
    """What a review asks first: the lanes in which each function works."""
    return function_masks(s.design, result.powered, (1 << result.width) - 1)


def every_node(s: Subject, result: Conduction) -> None:
    """Ask for the answer of every node, as the plain evaluator gives it."""
    functions(s, result)
    for reached in (*result.fed.values(), *result.returned.values()):
        for _ in reached:
            pass


def plain_time(
    s: Subject, state: ResolvedState, before: Answer | None, cases: Sequence[Case], total: int
) -> tuple[float, str]:
    """Seconds of the plain evaluator for ``total`` scenarios, of which ``cases`` are a sample, and words that say so."""
    spent = clocked(lambda: [solve(s.circuit, state, case, before) for case in cases])
    words = "all of them" if len(cases) == total else f"{len(cases)} of them drawn at random, scaled"
    return spent * total / len(cases), words


def say(what: str, engine: float, whole: float | None, plain: float, words: str, wanted: int) -> None:
    """Print one comparison."""
    ratio = plain / engine
    asked = (
        f"; every node asked for: {whole * 1e3:,.0f} ms, {plain / whole:,.0f} times as fast" if whole else ""
    )
    print(f"{what}: engine {engine * 1e3:,.0f} ms{asked}; plain {plain:,.1f} s ({words})")
    print(
        f"    the engine is {ratio:,.0f} times as fast; wanted {wanted}: {'reached' if ratio >= wanted else 'NOT REACHED'}"
    )


def singles() -> None:
    """All single failures of one state, and how the engine's time grows with the size."""
    times = {}
    for parts, wanted in ((120, 50), (500, 150), (2000, 500)):
        s, chance = subject(parts), Random(SEED)
        state = s.states[0]
        healthy, before = conduct(s.network, state), solve(s.circuit, state)
        tried = failures_in(s, healthy)
        solved = partial(conduct, s.network, state, tried, healthy)
        engine = clocked(lambda s=s, solved=solved: functions(s, solved()), 3)  # type: ignore[misc]
        whole = clocked(lambda s=s, solved=solved: every_node(s, solved()), 2)  # type: ignore[misc]
        drawn = list(tried) if len(tried) < 1500 else chance.sample(tried, SAMPLE)
        plain, words = plain_time(s, state, before, [(fault_of(s.network, f),) for f in drawn], len(tried))
        say(
            f"{len(s.design.parts)} parts, {len(tried)} single failures of one state",
            engine,
            whole,
            plain,
            words,
            wanted,
        )
        times[len(s.design.parts)] = engine
    (small, first), *_, (large, last) = times.items()
    exponent = math.log(last / first) / math.log(large / small)
    print(
        f"time of all single failures grows with parts to the power {exponent:.2f} from {small} to {large} parts; wanted 1.4 or less"
    )


def states() -> None:
    """Every combination of twelve switches, healthy."""
    s, chance = subject(120), Random(SEED)
    names = chance.sample(sorted(switch_positions(s.design)), 12)
    settings = list(states_of_switches(s.design, s.states[0], names))
    engine = clocked(lambda: functions(s, conduct_states(s.network, settings)), 3)
    whole = clocked(lambda: every_node(s, conduct_states(s.network, settings)), 2)
    spent = clocked(lambda: [solve(s.circuit, state) for state in settings])
    say(f"{len(s.design.parts)} parts, {len(settings)} states", engine, whole, spent, "all of them", 50)


def doubles() -> None:
    """Every pair of single failures in twelve states."""
    s, chance = subject(500), Random(SEED)
    engine = plain = 0.0
    pairs = timed = drawn = 0
    for state in s.states[:12]:
        healthy, before = conduct(s.network, state), solve(s.circuit, state)
        tried = failures_in(s, healthy)
        total = len(tried) * (len(tried) - 1) // 2
        blocks = _blocks(len(tried))
        mine = 0
        spent = 0.0
        for start, end in blocks[chance.randrange(min(FRACTION, len(blocks))) :: FRACTION]:
            firsts, seconds = tried[start:end], tried[start:]
            solved = partial(conduct_pairs, s.network, state, firsts, seconds, healthy)
            spent += clocked(lambda solved=solved: functions(s, solved()))  # type: ignore[misc]
            mine += sum(len(tried) - 1 - i for i in range(start, end))
        engine += spent * total / mine
        sample = [tuple(fault_of(s.network, f) for f in chance.sample(tried, 2)) for _ in range(SAMPLE // 3)]
        plain += plain_time(s, state, before, sample, total)[0]
        pairs, timed, drawn = pairs + total, timed + mine, drawn + len(sample)
    share = f"engine timed on {timed:,} of the {pairs:,} pairs in whole blocks, scaled; plain on {drawn} drawn at random, scaled"
    say(
        f"{len(s.design.parts)} parts, all pairs of failures in {len(s.states[:12])} states",
        engine,
        None,
        plain,
        share,
        250,
    )


class Opens(StateAnswer):
    """A state of which only the failures are tried that open an element, as the clauses have them."""

    @cached_property
    def failures(self) -> tuple[Failure, ...]:
        """The opens among the single failures of the state."""
        tried = single_failures(self.design, self.network, {n for n, _ in enumerate(self.network.names)})
        return tuple(f for f in tried if f.mode == OPEN)


def cuts() -> None:
    """Minimal cut sets of order 1 and 2 of the functions of one state, against a satisfiability solver."""
    for parts in (120, 500):
        design, chance = sound(parts, SEED), Random(SEED)
        network, circuit = build_network(design), circuit_of(design)
        assert design.operation is not None and network.contracted
        state = resolved(design.operation)[design.operation.normal]

        def engine(design=design, network=network, state=state) -> dict[str, set[frozenset[str]]]:
            answer = Opens(design, network, state, conduct(network, state))
            pairs = pair_losses(answer)
            return {
                name: {frozenset(f.element for f in cut.failures) for cut in cut_sets(answer, name, 2, pairs)}
                for name in design.functions
            }

        ours = clocked(engine, 3)
        began = time.process_time()
        clauses = LossClauses(design, circuit, state)
        made = time.process_time() - began
        asked = chance.sample(list(design.functions), min(CUT_FUNCTIONS, len(design.functions)))
        structure = {f"parts/{name}" for name, part in design.parts.items() if part.kind == "airframe"}
        began = time.process_time()
        listed = {name: clauses.minimal_cut_sets(name) for name in asked}
        spent = time.process_time() - began
        found = engine()
        assert all(found[n] == {cut for cut in wanted if not cut & structure} for n, wanted in listed.items())
        theirs = made + spent * len(design.functions) / len(asked)
        print(
            f"{len(design.parts)} parts, minimal cut sets of order 1 and 2 of {len(design.functions)} functions in one state: "
            f"engine {ours * 1e3:,.0f} ms; satisfiability solver {theirs:,.1f} s (timed on {len(asked)} functions, the same sets found, scaled)"
        )
        print(f"    the engine is {theirs / ours:,.0f} times as fast")


def _blocks(count: int) -> list[tuple[int, int]]:
    """Runs of first failures, each to be paired with all from its first one on, of about LANES lanes a block."""
    blocks = []
    start = 0
    while start < count - 1:
        end = min(count - 1, start + max(1, LANES // (count - start)))
        blocks.append((start, end))
        start = end
    return blocks


def main() -> None:
    """Run the parts that were asked for, or all."""
    known: dict[str, Callable[[], None]] = {
        "singles": singles,
        "states": states,
        "doubles": doubles,
        "cuts": cuts,
    }
    for name in sys.argv[1:] or known:
        known[name]()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"largest memory of the whole run, plain evaluator included: {peak:,.0f} MB; wanted under 300 MB")


if __name__ == "__main__":
    main()
