"""The current of loads of which the file gives the power alone."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantities import ABOUT, RANGE, Written


def with_current_of_power(design: Design) -> Design:
    """The design with watts over nominal volts as the ``current`` of each load and instrument that has no
    current; an estimate stays one. Not of a starter, whose power is what its shaft gives."""
    parts: dict[str, p.Part] = {
        name: part.model_copy(update={"current": _amperes(part.power, design.nominal_volts(name))})
        for name in design.of_kind(p.Consumer)
        if name not in design.starters
        and (part := design.part(name, p.Consumer)).current is None
        and part.power is not None
    }
    return replace(design, parts=MappingProxyType({**design.parts, **parts})) if parts else design


def _amperes(watts: float, volts: float) -> Written:
    amps = watts / volts
    if not isinstance(watts, Written) or not watts.estimate:
        return Written(amps, f"{amps:.3g} A")
    if not watts.ends:
        return Written(amps, f"{ABOUT}{amps:.3g} A")
    low, high = (_amperes(end, volts) for end in watts.ends)
    return Written(amps, f"{low:.3g}{RANGE}{high:.3g} A", (low, high))
