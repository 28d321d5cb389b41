"""What a load or coil on a sneak path does with the voltage that is left for it.

Electronics and instruments work at their minimum voltage, a coil picks up at its pickup voltage and
stays energised at its dropout voltage; where these are not given, nobody knows between the ends of
the range of common practice (no published source). A lamp lights from a quarter of the nominal
voltage on, where a filament gives about a hundredth of its light; a motor turns and what else it is
has current from a tenth on: common practice (no published source).
"""

from __future__ import annotations

from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import PoweredDevice, bare
from reviewer.tables.practice import practice
from reviewer.tables.typical import typical

#: shares of the nominal voltage: common practice (no published source)
SHOWS = practice("factors", "voltage-that-shows-over-nominal").low
LIGHTS = practice("factors", "voltage-that-lights-a-lamp-over-nominal").low
PICKUP = practice("factors", "pickup-over-nominal")
DROPOUT = practice("factors", "dropout-of-nominal")


@record
class SneakEffect:
    """``does`` is what a load does, "" for nothing; ``volts`` at its terminals, ``least`` those at
    which it does it. Both None where they are not known."""

    does: str
    volts: float | None
    least: float | None
    #: the typical values that the volts rest on, in words
    assumed: str = ""
    #: the key without which nobody knows whether it does
    missing: str = ""


#: a load on a path of loads of which some have no current
UNWEIGHED = SneakEffect("is energised", None, None)


def sneak_effect(design: Design, user: PoweredDevice, point: OperatingPoint, held: bool) -> SneakEffect:
    """What a load or coil does at a solved point; ``held`` where a coil was energised before."""
    part, nominal = design.parts[bare(user.element)], design.nominal_volts(bare(user.element))
    told = "; ".join(str(a) for a in point.assumed if user.element in a.elements)
    if isinstance(part, p.Electromagnet):
        return _of_a_coil(bare(user.element), part, point, nominal, held, told)
    if isinstance(part, p.Instrument) or getattr(part, "type", None) == "electronic":
        volts, does, least = point.across.get(user.element, 0.0), "works", part.minimum
        least = least if least is not None else typical("shares", "minimum-of-nominal").value * nominal
    else:
        kind = str(getattr(part, "type", None))
        volts, share = abs(point.across.get(user.element, 0.0)), LIGHTS if kind == "lamp" else SHOWS
        least = share * nominal
        does = {"lamp": "lights", "motor": "turns", "starter": "turns"}.get(kind, "is energised")
    return SneakEffect(does if volts >= least else "", volts, least, told)


def _of_a_coil(
    name: str, part: p.Electromagnet, point: OperatingPoint, nominal: float, held: bool, told: str
) -> SneakEffect:
    volts, does = point.coil_volts(name, *part.coil), "stays energised" if held else "picks up"
    low, high = coil_limits(part, nominal, held)
    key = f"`{'dropout' if held else 'pickup'}-voltage` of {name}"
    unknown = low <= volts < high
    return SneakEffect(does if volts >= high else "", volts, high, told, key if unknown else "")


def coil_limits(part: p.Electromagnet, nominal: float, held: bool) -> tuple[float, float]:
    """Volts below which a coil does not pick up, or ``held`` drops out, and from which it does, or
    stays energised.

    Those of the file; without one common practice (no published source), in between which nobody
    knows.
    """
    given, share = (part.dropout_voltage, DROPOUT) if held else (part.pickup_voltage, PICKUP)
    return (given, given) if given is not None else (share.low * nominal, share.high * nominal)
