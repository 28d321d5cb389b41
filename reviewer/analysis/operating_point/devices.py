"""Sources, diodes, loads and coils of a design as the devices of a circuit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.ratings.rest_voltage import rest_voltage
from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    Device,
    DiodeBranch,
    InletBranch,
    LoadBranch,
    RegulatedBranch,
    Resistor,
    StartingBranch,
)
from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.model.design import Design
from reviewer.network.graph import Source, bare
from reviewer.network.kinds import UnknownKind
from reviewer.network.regulators import regulation
from reviewer.tables.batteries import open_circuit_knots
from reviewer.tables.lookup import SourcedFigure
from reviewer.tables.typical import acceptance_knots, battery_ohms, charge_acceptance, typical

#: an ideal joint that is open in some lanes, ohm: a hundred amperes drop a tenth of a millivolt
JOINT_OHMS = 1e-6
#: a dead short to ground, ohm: ten amperes that return by it drop a millivolt
SHORT_OHMS = 1e-4
#: k T / q at 300.15 K, the temperature at which diode curves are customarily given; CODATA 2018
#: values of k and q
THERMAL_VOLT = 1.380649e-23 * 300.15 / 1.602176634e-19

#: share of its output from which an alternator gives all it can
AT_ITS_LIMIT = 0.999


def _suffix(design: Design) -> str:
    return "-28" if design.aircraft.nominal == "28 V" else ""


def typical_set_point(design: Design) -> SourcedFigure:
    """Set point of a regulator where the file does not say it, by the system's class."""
    return typical("volts", f"set-point{_suffix(design)}")


def set_point_of(design: Design, alternator: str) -> float:
    """Volts that the regulator of an alternator (its name) holds: those of the file, be it a part of
    its own or not, else a typical figure."""
    return regulation(design, alternator).set_point or typical_set_point(design).value


def source_device(
    design: Design, source: Source, assumptions: Assumptions, charges: Mapping[str, float]
) -> Device:
    """The device of a live source; ``charges`` are the states of charge of batteries that are not as
    full as the file says. Raises NotAssessable where the file does not say enough of it."""
    part = design.parts[bare(source.element)]
    if isinstance(part, p.Battery):
        charge = charges.get(source.element, part.state_of_charge)
        figures = battery_figures(design, source.element, charge, 1.0, assumptions)
        return BatteryBranch(source.element, source.positive, source.minus, **figures)
    if isinstance(part, p.Alternator):
        return RegulatedBranch(
            source.element,
            source.positive,
            source.negative,
            **alternator_figures(design, source.element, None, 1.0, assumptions),
        )
    if isinstance(part, p.Charger):
        return _charger(design, source, part, assumptions)
    if isinstance(part, p.Converter):
        return _converter(source, part)
    if not isinstance(part, p.ExternalPower):
        raise UnknownKind(part, "the operating point, as a source,")
    volts = part.voltage or assumptions.use(
        AssumedQuantity.SOURCE_VOLTAGE,
        "voltage of external power",
        typical("volts", f"external-power{_suffix(design)}"),
        source.element,
    )
    return RegulatedBranch(source.element, source.positive, source.negative, volts, part.rating or math.inf)


def _charger(design: Design, source: Source, part: p.Charger, assumptions: Assumptions) -> Device:
    """A charger holds its set point up to its current limit, and never takes current. Raises
    NotAssessable."""
    if part.current_limit is None:
        raise NotAssessable(f"`current-limit` of {bare(source.element)}")
    volts = part.set_point or assumptions.use(
        AssumedQuantity.SOURCE_VOLTAGE,
        "set point of a charger",
        typical_set_point(design),
        source.element,
    )
    return RegulatedBranch(source.element, source.positive, source.negative, volts, part.current_limit)


def _converter(source: Source, part: p.Converter) -> Device:
    """A converter holds its output up to its rating. Raises NotAssessable."""
    volts, most = part.output_voltage, part.most
    if volts is None or most is None:
        key = "output-voltage" if volts is None else "rating"
        raise NotAssessable(f"`{key}` of {bare(source.element)}")
    return RegulatedBranch(source.element, source.positive, source.negative, volts, most)


def inlet_device(
    design: Design, source: Source, gives: int, output: RegulatedBranch, assumptions: Assumptions
) -> Device:
    """The input of a source that is fed itself; ``gives`` is the index of its ``output``. The search
    for its power begins at half of the most."""
    assert source.inlet is not None
    nominal, share = design.aircraft.volts, typical("shares", "minimum-of-nominal")
    least = assumptions.use(
        AssumedQuantity.MINIMUM_VOLTAGE,
        "minimum voltage of a load",
        share,
        source.element,
        share.value * nominal,
        "V",
    )
    efficiency = getattr(design.parts[bare(source.element)], "efficiency", None)
    if efficiency is None:
        efficiency = assumptions.use(
            AssumedQuantity.CURRENT,
            "efficiency of a converter or charger that a bus feeds",
            typical("shares", "converter-efficiency"),
            source.element,
        )
    plus, minus = source.inlet.plus[0], source.inlet.minus[0]
    half = 0.5 * output.volts * output.limit / efficiency
    return InletBranch(source.element, plus, minus, half, least, 2.0 * nominal, gives, efficiency)


def battery_figures(
    design: Design, element: str, charge: Any, ageing: Any, assumptions: Assumptions
) -> dict[str, Any]:
    """Open-circuit volts, and ohms while discharging and while charging. State of ``charge`` (0 to
    1, None for a full battery) and ``ageing``, a factor on the resistance, are one number or
    (points,). Raises NotAssessable, and OutsideTable for a state of charge that the open-circuit
    voltages do not cover."""
    part, nominal = design.part(bare(element), p.Battery), design.class_of(bare(element))
    missing = [
        f"`{key}`"
        for key, value in (("chemistry", part.chemistry), ("capacity", part.capacity))
        if value is None
    ]
    if missing:
        raise NotAssessable(f"{' and '.join(missing)} of {bare(element)}")
    assert part.chemistry is not None and part.capacity is not None
    if charge is None:
        charge = assumptions.use(
            AssumedQuantity.STATE_OF_CHARGE,
            "state of charge of a battery, share",
            typical("shares", "state-of-charge"),
            element,
        )
    cells = design.scale_of(bare(element))
    ohms = part.internal_resistance
    if ohms is None:
        figure = battery_ohms(part.chemistry, part.capacity)
        ohms = assumptions.use(
            AssumedQuantity.RESISTANCE,
            f"resistance of a new {part.chemistry} battery",
            figure,
            element,
            figure.value * cells,
            "ohm",
        )
    assumptions.use(
        AssumedQuantity.CHARGE_ACCEPTANCE,
        f"charge that a {part.chemistry} battery accepts",
        charge_acceptance(part.chemistry, 1.0),
        element,
    )
    taken = _along(
        charge, acceptance_knots(part.chemistry), lambda share: charge_acceptance(part.chemistry, share).value
    )
    rest = _along(
        charge,
        open_circuit_knots(part.chemistry),
        lambda share: rest_voltage(part, share, nominal),
    )
    given = ohms * ageing
    return {"open_circuit": rest, "ohms": given, "charge_ohms": given + cells / (taken * part.capacity)}


def _along(values: Any, knots: Sequence[float], ask: Any) -> Any:
    """``ask`` of one value or of an array, interpolated between the knots; the least and the
    greatest value are asked too, so that what is outside is refused."""
    if isinstance(values, (int, float)):
        return ask(float(values))
    import numpy as np

    values = np.asarray(values, float)
    ask(float(values.min())), ask(float(values.max()))
    return np.interp(values, knots, [ask(knot) for knot in knots])


def alternator_figures(
    design: Design, element: str, set_point: Any, speed: Any, assumptions: Assumptions
) -> dict[str, Any]:
    """Set point and current limit; ``speed`` goes from 0 at idle to 1 in flight, one number or
    (points,). Raises NotAssessable."""
    part = design.part(bare(element), p.Alternator)
    if set_point is None:
        set_point = regulation(design, bare(element)).set_point
    if set_point is None:
        set_point = assumptions.use(
            AssumedQuantity.SOURCE_VOLTAGE,
            "set point of a regulator",
            typical_set_point(design),
            element,
        )
    most = part.most
    if most is None:
        raise NotAssessable(f"`rating` of {bare(element)}")
    idle = part.idle_output
    if idle is None and not (isinstance(speed, (int, float)) and speed == 1):
        share = typical("shares", "idle-output-of-rating")
        idle = assumptions.use(
            AssumedQuantity.SOURCE_OUTPUT,
            "output of an alternator at idle, half of its rating",
            share,
            element,
            share.value * most,
            "A",
        )
    return {"volts": set_point, "limit": most if idle is None else idle + (most - idle) * speed}


def idle_amps(part: p.Alternator) -> float:
    """Output of an alternator at idle: the figure of the file, else the typical share of the
    current at which it limits itself."""
    share = typical("shares", "idle-output-of-rating").value
    return (part.most or 0.0) * share if part.idle_output is None else part.idle_output


def field_amps(design: Design, element: str, assumptions: Assumptions) -> float:
    """Amperes of the field of an alternator (an element) at full output and nominal volts."""
    amps = design.part(bare(element), p.Alternator).field_current
    if amps is not None:
        return amps
    return assumptions.use(
        AssumedQuantity.CURRENT,
        "field current of an alternator",
        typical("amperes", f"alternator-field{_suffix(design)}"),
        element,
    )


def field_device(design: Design, source: Source, assumptions: Assumptions) -> Device:
    """The field of an alternator, a resistance."""
    assert source.field is not None
    amps = field_amps(design, source.element, assumptions)
    return LoadBranch(source.element, source.field, source.negative, amps, design.aircraft.volts, 1.0, 0.0)


def coil_device(design: Design, element: str, plus: int, minus: int, assumptions: Assumptions) -> Device:
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
        amps = assumptions.use(
            AssumedQuantity.CURRENT,
            f"current of {with_article(name.replace('-', ' '))}",
            figure,
            element,
            figure.value / design.aircraft.scale,
        )
    return LoadBranch(element, plus, minus, amps, design.aircraft.volts, 1.0, 0.0)


def diode_device(design: Design, element: str, plus: int, minus: int, assumptions: Assumptions) -> Device:
    """A diode whose curve goes through its drop at its drop current or rating."""
    part = design.parts[bare(element)]
    if isinstance(part, p.Electromagnet):  # the diode across its coil
        part = p.Diode(kind="diode")
    technology = part.technology or "silicon"
    amps = part.drop_current or part.rating
    if amps is None:
        amps = assumptions.use(
            AssumedQuantity.DIODE_CURVE,
            "current at which a diode has its drop",
            typical("amperes", "diode-rating"),
            element,
        )
    drop = part.drop
    if drop is None:
        drop = assumptions.use(
            AssumedQuantity.DIODE_DROP,
            f"drop of {with_article(technology)} diode at its rating",
            typical("volts", technology),
            element,
        )
    emission = assumptions.use(
        AssumedQuantity.DIODE_CURVE,
        f"emission coefficient of {with_article(technology)} diode",
        typical("shares", f"{technology}-emission"),
        element,
    )
    return curve_through(element, plus, minus, drop, amps, emission)


def curve_through(
    element: str, plus: int, minus: int, drop: float, amps: float, emission: float
) -> DiodeBranch:
    """The diode whose exponential curve gives ``amps`` at ``drop`` volts."""
    scale = emission * THERMAL_VOLT
    return DiodeBranch(element, plus, minus, amps / math.expm1(drop / scale), scale)


def contact_device(element: str, resistor: Resistor) -> Device:
    """A resistor that is open in some lanes. An ideal joint gets the least resistance that is
    solved well."""
    return LoadBranch(element, resistor.a, resistor.b, 1.0, resistor.ohms or JOINT_OHMS, 1.0, 0.0)


def taken_out(device: Device) -> tuple[str, ...]:
    """The figures of a device that :data:`NOTHING` takes out of the circuit."""
    return {
        DiodeBranch: ("scale",),
        BatteryBranch: ("ohms", "charge_ohms"),
        RegulatedBranch: ("limit",),
        LoadBranch: ("amps",),
        ConstantPowerBranch: ("watts",),
        InletBranch: ("watts",),
    }[type(device)]


#: by figure, the value with which a device gives and takes nothing to speak of
NOTHING = {"scale": 1e9, "ohms": 1e12, "charge_ohms": 1e12, "limit": 0.0, "amps": 0.0, "watts": 0.0}


def resistance_device(element: str, plus: int, minus: int, ohms: float) -> Device:
    """A resistance that may differ from point to point, see :func:`resistance_figures`."""
    return LoadBranch(element, plus, minus, 1.0 / ohms, 1.0, 1.0, 0.0)


def resistance_figures(ohms: Any) -> dict[str, Any]:
    """The figures of such a resistance of ``ohms``, one number or (points,)."""
    return {"amps": 1.0 / ohms}


def load_device(
    design: Design, element: str, plus: int, minus: int, amps: Any, starting: bool, assumptions: Assumptions
) -> Device:
    """A load or instrument that takes ``amps`` at nominal voltage (one number or (points,)), by its
    type; while ``starting``, a motor or lamp is a resistance, and never takes less than it runs
    on; anything else takes its peak."""
    name = bare(element)
    part, nominal, law = design.parts[name], design.nominal_volts(name), _law(design.parts[name])
    if starting and law in ("motor", "lamp"):
        siemens = _inrush(design, element, law, amps, assumptions)
        runs = load_device(design, element, plus, minus, amps, False, assumptions)
        assert isinstance(runs, LoadBranch)
        return StartingBranch(
            element, plus, minus, runs.amps, runs.volts, runs.least, runs.constant_fraction, siemens
        )
    if starting and part.peak is not None:
        amps = part.peak
    if law == "resistance":
        return LoadBranch(element, plus, minus, amps, nominal, 1.0, 0.0)
    least = part.minimum
    if least is None:
        share = typical("shares", "minimum-of-nominal")
        least = assumptions.use(
            AssumedQuantity.MINIMUM_VOLTAGE,
            "minimum voltage of a load",
            share,
            element,
            share.value * nominal,
            "V",
        )
    if law == "power":
        return ConstantPowerBranch(element, plus, minus, amps * nominal, least, 2.0 * nominal)
    fraction = 1.0
    if law in ("lamp", "unknown"):
        fraction = assumptions.use(
            AssumedQuantity.CURRENT,
            f"constant-current fraction of {'a lamp' if law == 'lamp' else 'a load of no given type'}",
            typical("shares", f"{law}-constant-current"),
            element,
        )
    return LoadBranch(element, plus, minus, amps, nominal, least, fraction)


def _inrush(design: Design, element: str, law: str, amps: Any, assumptions: Assumptions) -> Any:
    """Siemens of a motor that stands or a cold lamp: its peak over the volts at which the peak is
    stated. A starter's is stated at the volts of a battery, any other at those of the system."""
    part = design.part(bare(element), p.Load)
    if part.peak is None:
        over = assumptions.use(
            AssumedQuantity.CURRENT,
            f"inrush current of a {law} over its running current",
            typical("shares", f"{law}-inrush"),
            element,
        )
        return amps * over / design.nominal_volts(bare(element))
    stated = part.peak_voltage
    if stated is None and part.type == "starter":
        stated = assumptions.use(
            AssumedQuantity.CURRENT,
            "voltage at which the peak current of a starter is stated",
            typical("volts", f"starter-peak{_suffix(design)}"),
            element,
        )
    return part.peak / (stated or design.nominal_volts(bare(element)))


_LAWS = {
    "electronic": "power",
    "resistive": "resistance",
    "heater": "resistance",
    "inductive": "resistance",
    "lamp": "lamp",
    None: "unknown",
}


def holds_power(part: Any) -> bool:
    """Whether a load takes more current at fewer volts, as a supply inside electronics does."""
    return _law(part) == "power"


def _law(part: Any) -> str:
    """How the current of a load goes with the voltage: supplies inside electronics hold the power,
    a motor's torque holds the current."""
    if isinstance(part, p.Instrument):
        return "power"
    return _LAWS.get(part.type, "motor")


def amps_of(part: Any, element: str, phases: Sequence[str], assumptions: Assumptions) -> float:
    """The current that the file gives for a load: in the first of ``phases`` that it names, else
    the largest; none is noted and taken as nothing."""
    current = part.current
    if isinstance(current, (int, float)):
        return float(current)
    for phase in phases:
        if current and phase in current:
            return current[phase]
    if current and not phases:
        return max(current.values())
    assumptions.undrawn[element] = f"`current` in {phases[0]}" if current else "`current`"
    return 0.0
