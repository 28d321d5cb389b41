"""Sources, diodes, loads and coils of a design as the devices of a circuit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from reviewer.analysis.operating_point.assumptions import Notes, NotSolvable
from reviewer.analysis.solver.circuit import Battery, Device, Diode, Load, PowerLoad, Regulated
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Source, bare
from reviewer.network.kinds import UnknownKind
from reviewer.tables.batteries import rest_knots, rest_voltage
from reviewer.tables.typical import acceptance_knots, battery_ohms, charge_acceptance, typical

#: k T / q at 300.15 K, the temperature at which diode curves are customarily given; CODATA 2018 values of k and q
THERMAL_VOLT = 1.380649e-23 * 300.15 / 1.602176634e-19


def nominal_volts(design: Design) -> float:
    """Volts at which currents of loads are given: those of the system's class."""
    return design.aircraft.volts


def _suffix(design: Design) -> str:
    return "-28" if design.aircraft.nominal == "28 V" else ""


def source_device(design: Design, source: Source, notes: Notes) -> Device:
    """The device of a live source. Raises NotSolvable where the file does not say enough of it."""
    part = design.parts[bare(source.element)]
    if isinstance(part, p.Battery):
        figures = battery_figures(design, source.element, part.state_of_charge, 1.0, notes)
        return Battery(source.element, source.positive, source.negative, **figures)
    if isinstance(part, p.Alternator):
        return Regulated(
            source.element,
            source.positive,
            source.negative,
            **alternator_figures(design, source.element, None, 1.0, notes),
        )
    if not isinstance(part, p.GroundPower):
        raise UnknownKind(part, "the operating point, as a source,")
    volts = part.voltage or notes.use(
        "voltage of power from outside", typical("volts", f"ground-power{_suffix(design)}"), source.element
    )
    return Regulated(source.element, source.positive, source.negative, volts, part.rating or math.inf)


def battery_figures(design: Design, element: str, charge: Any, ageing: Any, notes: Notes) -> dict[str, Any]:
    """Rest volts, and ohms while giving and while taking current. ``charge`` (0 to 1, None for a full battery) and ``ageing``, a factor on the
    resistance, are one number or (points,). Raises NotSolvable, and OutsideTable for a charge that the rest voltages do not cover."""
    part, nominal = design.part(bare(element), p.Battery), design.aircraft.nominal
    missing = [
        f"`{key}`"
        for key, value in (("chemistry", part.chemistry), ("capacity", part.capacity))
        if value is None
    ]
    if missing:
        raise NotSolvable(f"{' and '.join(missing)} of {bare(element)}")
    assert part.chemistry is not None and part.capacity is not None
    if charge is None:
        charge = notes.use("state of charge of a battery, share", typical("shares", "charge"), element)
    cells = nominal_volts(design) / 14.0
    ohms = part.internal_resistance
    if ohms is None:
        figure = battery_ohms(part.chemistry, part.capacity)
        ohms = notes.use(
            f"resistance of a new {part.chemistry} battery", figure, element, figure.value * cells, "ohm"
        )
    notes.use(
        f"charge that a {part.chemistry} battery accepts", charge_acceptance(part.chemistry, 1.0), element
    )
    taken = _along(
        charge, acceptance_knots(part.chemistry), lambda share: charge_acceptance(part.chemistry, share).value
    )
    rest = _along(
        charge, rest_knots(part.chemistry), lambda share: rest_voltage(part.chemistry, share, nominal).value
    )
    given = ohms * ageing
    return {"rest": rest, "ohms": given, "charge_ohms": given + cells / (taken * part.capacity)}


def _along(values: Any, knots: Sequence[float], ask: Any) -> Any:
    """What ``ask`` says of one value or of an array, asked at the knots between which it is straight; the least and the greatest value are asked too, so that
    what is outside is refused."""
    if isinstance(values, (int, float)):
        return ask(float(values))
    import numpy as np

    values = np.asarray(values, float)
    ask(float(values.min())), ask(float(values.max()))
    return np.interp(values, knots, [ask(knot) for knot in knots])


def alternator_figures(
    design: Design, element: str, set_point: Any, speed: Any, notes: Notes
) -> dict[str, Any]:
    """Set point and current limit; ``speed`` goes from 0 at idle to 1 in flight, one number or (points,). Raises NotSolvable."""
    part = design.part(bare(element), p.Alternator)
    if set_point is None:
        set_point = part.set_point
    if set_point is None:
        set_point = notes.use(
            "set point of a regulator", typical("volts", f"set-point{_suffix(design)}"), element
        )
    most = part.most
    if most is None:
        raise NotSolvable(f"`rating` of {bare(element)}")
    idle = part.idle_output
    if idle is None and not (isinstance(speed, (int, float)) and speed == 1):
        share = typical("shares", "idle-output-of-rating")
        idle = notes.use(
            "output of an alternator at idle, half of its rating", share, element, share.value * most, "A"
        )
    return {"volts": set_point, "limit": most if idle is None else idle + (most - idle) * speed}


def idle_amps(part: p.Alternator) -> float:
    """What an alternator gives at idle: the file's figure, else the typical share of what it limits itself at."""
    return part.idle_output or (part.most or 0.0) * typical("shares", "idle-output-of-rating").value


def field_device(design: Design, source: Source, notes: Notes) -> Device:
    """The field of an alternator, a resistance."""
    assert source.field is not None
    part = design.part(bare(source.element), p.Alternator)
    amps = part.field_current
    if amps is None:
        amps = notes.use(
            "field current of an alternator",
            typical("amperes", f"alternator-field{_suffix(design)}"),
            source.element,
        )
    return Load(source.element, source.field, source.negative, amps, nominal_volts(design), 1.0, 0.0)


def coil_device(design: Design, element: str, plus: int, minus: int, notes: Notes) -> Device:
    """The coil of a relay or contactor, a resistance."""
    part = design.parts[bare(element)]
    amps = part.coil_current
    if not isinstance(part, (p.Relay, p.Contactor)):
        raise UnknownKind(part, "the operating point, as a coil,")
    if amps is None:
        name = (
            "relay-coil"
            if isinstance(part, p.Relay)
            else "intermittent-contactor-coil"
            if part.duty == "intermittent"
            else "contactor-coil"
        )
        figure = typical("amperes", name)
        amps = notes.use(
            f"current of a {name.replace('-', ' ')}",
            figure,
            element,
            figure.value / (nominal_volts(design) / 14.0),
        )
    return Load(element, plus, minus, amps, nominal_volts(design), 1.0, 0.0)


def diode_device(design: Design, element: str, plus: int, minus: int, notes: Notes) -> Device:
    """A diode whose curve goes through its drop at its drop current or rating."""
    part = design.part(bare(element), p.Diode)
    technology = part.technology or "silicon"
    amps = part.drop_current or part.rating
    if amps is None:
        amps = notes.use("current at which a diode has its drop", typical("amperes", "diode-rating"), element)
    drop = part.drop
    if drop is None:
        drop = notes.use(f"drop of a {technology} diode at its rating", typical("volts", technology), element)
    emission = notes.use(
        f"emission coefficient of a {technology} diode", typical("shares", f"{technology}-emission"), element
    )
    return curve_through(element, plus, minus, drop, amps, emission)


def curve_through(element: str, plus: int, minus: int, drop: float, amps: float, emission: float) -> Diode:
    """The diode whose exponential curve gives ``amps`` at ``drop`` volts."""
    scale = emission * THERMAL_VOLT
    return Diode(element, plus, minus, amps / math.expm1(drop / scale), scale)


def load_device(
    design: Design, element: str, plus: int, minus: int, amps: Any, starting: bool, notes: Notes
) -> Device:
    """A load or instrument that takes ``amps`` at nominal voltage (one number or (points,)), by its type; while ``starting``, a resistance."""
    part, nominal = design.parts[bare(element)], nominal_volts(design)
    law = _law(part)
    if starting and law in ("motor", "lamp"):
        if part.peak is not None:
            amps = part.peak
        else:
            name = "motor-start" if law == "motor" else "lamp-cold"
            amps = amps * notes.use(
                f"current of a {'motor' if law == 'motor' else 'lamp'} at first, over that when running",
                typical("shares", name),
                element,
            )
        return Load(element, plus, minus, amps, nominal, 1.0, 0.0)
    if law == "resistance":
        return Load(element, plus, minus, amps, nominal, 1.0, 0.0)
    least = part.minimum
    if least is None:
        share = typical("shares", "minimum-of-nominal")
        least = notes.use("voltage below which a load falls off", share, element, share.value * nominal, "V")
    if law == "power":
        return PowerLoad(element, plus, minus, amps * nominal, least, 2.0 * nominal)
    steady = 1.0
    if law in ("lamp", "unknown"):
        steady = notes.use(
            f"part of the current of a {law} load that does not follow the voltage",
            typical("shares", f"{law}-steady"),
            element,
        )
    return Load(element, plus, minus, amps, nominal, least, steady)


def _law(part: Any) -> str:
    """How the current of a load goes with the voltage: supplies inside electronics hold the power, a motor's torque holds the current."""
    if isinstance(part, p.Instrument):
        return "power"
    laws = {
        "electronic": "power",
        "resistive": "resistance",
        "heater": "resistance",
        "inductive": "resistance",
        "lamp": "lamp",
        None: "unknown",
    }
    return laws.get(part.type, "motor")


def amps_of(part: Any, element: str, phases: Sequence[str], notes: Notes) -> float:
    """The current that the file gives for a load: in the first of ``phases`` that it names, else the largest; none is noted and taken as nothing."""
    current = part.current
    if isinstance(current, (int, float)):
        return float(current)
    for phase in phases:
        if current and phase in current:
            return current[phase]
    if current and not phases:
        return max(current.values())
    notes.undrawn[element] = f"`current` in {phases[0]}" if current else "`current`"
    return 0.0
