"""The largest current that anything of a network takes or gives: bounds, not what flows.

Each is at the volts at which it is largest. A battery at rest has less than the nominal volts of its
system, so that what is a resistance takes no more than at these.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf

from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import JOINT_OHMS, field_amps, holds_power
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Source, bare
from reviewer.tables.typical import typical


@record
class LargestCurrents:
    """Amperes: of each load in any phase, of starters apart while they turn; of each coil and of each
    resistor that lies across a source or senses volts, the ``steady`` ones, which draw whatever is
    on; of the fields and of what is fed itself; and what all alternators, chargers and converters
    give. ``nodes`` are those of all that is named."""

    loads: Mapping[str, float]
    starters: Mapping[str, float]
    steady: Mapping[str, float]
    sources: float
    generated: float
    nodes: Mapping[str, Sequence[int]]


def largest_currents(wiring: Wiring) -> LargestCurrents:
    """Those of a design."""
    design, network = wiring.design, wiring.network
    links = network.links
    across = {
        f"links/{i}": ((links[i].a, links[i].b), wiring.resistor(i, Assumptions()).ohms)
        for i in network.bridges
    }
    across |= {f"inputs/{n}": ((one.a, one.b), one.ohms) for n, (one, _) in enumerate(wiring.inputs)}
    steady = {
        c.element: design.parts[bare(c.element)].coil_current or typical("amperes", "contactor-coil").value
        for c in network.coils
    }
    steady |= {name: design.aircraft.volts / max(ohms, JOINT_OHMS) for name, (_, ohms) in across.items()}
    fields = [s.element for s in network.sources if s.field is not None]
    return LargestCurrents(
        loads={c.element: load_amps(design, c.element) for c in network.consumers},
        starters={f"parts/{name}": turning_amps(design, f"parts/{name}") for name in design.starters},
        steady=steady,
        sources=sum(field_amps(design, e, Assumptions()) for e in fields)
        + sum(inlet_amps(design, s) for s in network.sources if s.inlet),
        generated=sum(generated_amps(design, s) for s in network.sources),
        nodes={c.element: (*c.plus, *c.minus) for c in (*network.consumers, *network.coils)}
        | {name: nodes for name, (nodes, _) in across.items()},
    )


def minimum_volts(design: Design, element: str) -> float:
    """The minimum of a load; a usual one of a load that states none."""
    minimum: float | None = design.parts[bare(element)].minimum
    if minimum is not None:
        return minimum
    return typical("shares", "minimum-of-nominal").value * design.nominal_volts(bare(element))


def load_amps(design: Design, element: str) -> float:
    """The most amperes of a load in any phase: one that holds its power takes more down to its minimum,
    any other up to the volts of the system. A starter that does not turn takes none."""
    return 0.0 if bare(element) in design.starters else turning_amps(design, element)


def turning_amps(design: Design, element: str) -> float:
    """:func:`load_amps`, of a starter while it turns."""
    part, nominal = design.parts[bare(element)], design.nominal_volts(bare(element))
    least = minimum_volts(design, element)
    rise = nominal / least if holds_power(part) else design.aircraft.volts / nominal
    return max(part.currents, default=0.0) * max(rise, 1.0)


def inlet_amps(design: Design, source: Source) -> float:
    """The most amperes that a source takes that is fed itself: all its power at the least volts."""
    part = design.parts[bare(source.element)]
    volts = part.output_voltage if isinstance(part, p.Converter) else part.set_point
    share = getattr(part, "efficiency", None) or typical("shares", "converter-efficiency").value
    least = typical("shares", "minimum-of-nominal").value * design.aircraft.volts
    return generated_amps(design, source) * (volts or design.aircraft.volts) / share / least


def generated_amps(design: Design, source: Source) -> float:
    """The most amperes of an alternator, charger or converter; 0 of another source."""
    part = design.parts[bare(source.element)]
    return (part.most or inf) if isinstance(part, p.SELF_LIMITED) else 0.0
