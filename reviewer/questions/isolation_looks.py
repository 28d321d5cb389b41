"""What an ohmmeter reads to ground with every battery disconnected, all circuit protection out,
everything off and one wire taken off a terminal: from the terminal, or from the end of the wire."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from math import inf

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure, Mode
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.questions.bench_supply import Bench, rest_positions
from reviewer.questions.cold_cards import STEP, Metal
from reviewer.questions.meter_ranges import Seen

#: in the names of such measurements: ``bus-limiter.load without W17`` is made at the terminal,
#: ``W17 off bus-limiter.load`` at the end of the wire
WITHOUT, OFF = " without ", " off "
#: an ohmmeter that finds nothing
OVER_RANGE: Seen = (inf, inf)
#: no input of an instrument that senses volts has fewer ohms, of the many thousands that it has, and no short
#: has as many; a value of our own
LEAST_INPUT = 100.0
#: failures that neither join nor ground anything in a system that is off
_QUIET = (OPEN, Mode.DROPPED, Mode.FULL_ON)


class IsolationLooks:
    """A design off and without a source, and what its terminals show to ground.

    ``network`` is that in which the nodes of failures are numbered.
    """

    def __init__(self, design: Design, network: Network):
        self.design, self.network, self.bench = design, network, Bench(design)
        batteries = design.of_kind(p.Battery)
        mains = [n for n in batteries if design.part(n, p.Battery).purpose == "main"]
        self.ground = next((f"{n}.negative" for n in (*mains, *batteries)), "")

    @cached_property
    def _off(self) -> Metal:
        """What is joined with everything out and off."""
        every = self.design.of_kind(p.Protector)
        state = self.bench.state("off", rest_positions(self.design), every, fed=False)
        return Metal(self.bench, self.bench.solve([state])["off"])

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Every measurement; none at what is grounded anyway, and none on the lead of a magneto, which
        would fire without it."""
        if not self.ground:
            return ()
        ground = self._off.piece(self.bench.network.node(self.ground))
        for magneto in self.bench.network.magnetos:
            ground |= self._off.piece(magneto.p_lead)
        ends = ((w, end) for w, wire in self.design.wires.items() for end in (wire.from_, wire.to))
        free = [(w, end) for w, end in ends if self.bench.network.node(end) not in ground]
        return tuple(name for w, end in free for name in (f"{end}{WITHOUT}{w}", f"{w}{OFF}{end}"))

    def seen(self, name: str, cases: tuple[Case, ...]) -> Iterator[Seen]:
        """Ohms in each case; None where a load or coil beside it is read too, or the case is of a kind
        that may join something. Inputs that sense volts, and nothing else, read far above a short."""
        terminal, of_terminal, wire = name.partition(WITHOUT)
        if not of_terminal:
            wire, _, terminal = name.partition(OFF)
        own = self.design.wires[wire]
        far = self.bench.network.node(own.to if own.from_ == terminal else own.from_)
        here = self._off.without(f"wires/{wire}")
        node = self.bench.network.node(terminal) if of_terminal else far
        ground = self.bench.network.node(self.ground)
        beside, inputs = here.across(node, ground), here.input_ohms(node, ground)
        open_reads = None if beside else OVER_RANGE
        if inputs is not None and inputs > LEAST_INPUT:
            open_reads = LEAST_INPUT, inf
        for case in cases:
            failures = failures_of(case)
            shorted = {n for f in failures for n in self._shorted(f, wire, far)}
            if any(f.mode not in (*_QUIET, SHORT) for f in failures):
                yield None
            elif any(f.mode == OPEN and not shorted.isdisjoint(here.piece(node)) for f in failures):
                yield None  # an open wire or part between may hide it
            elif found := [ohms for n in shorted if (ohms := here.ohms(node, n)) is not None]:
                yield 0.0, min(found) + STEP
            else:
                yield open_reads

    def _shorted(self, failure: Failure, wire: str, far: int) -> Iterator[int]:
        """The nodes that a short grounds: of a wire that is taken off the ``far`` end alone, of a
        battery that is disconnected none."""
        if failure.mode != SHORT or isinstance(self._part(failure.element), p.Battery):
            return
        if failure.element == f"wires/{wire}":
            yield far
            return
        for number in failure.nodes or self.network.nodes_of.get(failure.element, ()):
            yield self.bench.network.node(self.network.names[number])

    def _part(self, element: str) -> p.Part | None:
        return self.design.parts.get(element.partition("/")[2]) if element.startswith("parts/") else None
