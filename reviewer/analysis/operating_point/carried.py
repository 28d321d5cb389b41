"""Operating points of a state by phase, and what each wire, contact, protective device and diode
carries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: parts of one path or more that carry current from one terminal to another
CARRIERS = (p.Protector, p.Switch, p.Electromagnet, p.Diode, p.Shunt, p.Connector)


@record
class SolvedPhase:
    """The operating point of a state with the figures of ``phase``, None where no phase is flown in
    it; without a ``point`` ``needs`` says what is missing."""

    phase: str | None
    point: OperatingPoint | None
    needs: str


@record
class SolvedState:
    """The answer of a state; ``failed`` are the failures in it as (element, words), ``starting``
    the loads that are just starting."""

    state: str
    switches: tuple[tuple[str, str], ...]
    failed: tuple[tuple[str, str], ...]
    starting: tuple[str, ...]
    phases: tuple[SolvedPhase, ...]


@record
class Carried:
    """Current of one path: from terminal ``a`` to ``b``; ``amperes`` counts from a to b and is None
    where ideal joints in a ring leave it open. Volts are None where no live source reaches the
    terminal."""

    element: str
    a: str
    b: str
    volts_a: float | None
    volts_b: float | None
    amperes: float | None

    @property
    def drop(self) -> float | None:
        """Volts from a to b."""
        return None if self.volts_a is None or self.volts_b is None else self.volts_a - self.volts_b


def carried(design: Design, network: Network, point: OperatingPoint) -> Iterator[Carried]:
    """Every wire, contact, pin, protective device, shunt and diode, in the file's order."""
    for element in network.elements:
        if not (element.startswith("wires/") or isinstance(design.parts[bare(element)], CARRIERS)):
            continue
        for i in network.links_of.get(element, ()):
            link = network.links[i]
            if link.gate is Gate.SHIELD:
                continue
            a, b = network.names[link.a], network.names[link.b]
            amperes = point.contacts.get((a, b), point.amps.get(element))
            known = None if amperes is None or amperes != amperes else amperes
            yield Carried(element, a, b, point.volts.get(a), point.volts.get(b), known)
