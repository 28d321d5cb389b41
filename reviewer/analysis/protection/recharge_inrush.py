"""Recharge inrush: the first current into a flat reserve when the alternator comes on.

By the path of least resistance.
"""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import alternator_figures, battery_figures
from reviewer.analysis.protection.fault_loops import FaultLoops
from reviewer.analysis.ratings.flat_battery import flat_voltage
from reviewer.analysis.ratings.supply import recharge_current
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.tables.lookup import OutsideTable


@record
class RechargeInrush:
    """The first current, ``amps``, from ``alternator`` into ``battery`` in a ``state``.

    The alternator holds ``volts``, the battery is flat at ``flat`` volts. The current flows over
    ``ohms`` in all and diodes that drop ``drop`` volts, through the ``protectors`` and ``diodes``
    (names) and all that it ``passed``.
    """

    battery: str
    alternator: str
    state: str
    amps: float
    volts: float
    flat: float
    ohms: float
    drop: float
    protectors: tuple[str, ...]
    diodes: tuple[str, ...]
    passed: tuple[str, ...]


def recharge(
    design: Design, network: Network, loops: FaultLoops, answers: Iterable[StateAnswer], battery: str
) -> RechargeInrush | None:
    """The recharge inrush of a battery, by name; None for none. Raises NotAssessable.

    In the first of some states in which an alternator feeds it.
    """
    sink = next(s for s in network.sources if s.element == f"parts/{battery}")
    for answer in answers:
        for source in network.sources:
            if source.kind != "alternator" or not answer.healthy.alive[source.element]:
                continue
            out = loops.path(answer, source.positive, sink.positive, True)
            back = loops.path(answer, source.negative, sink.negative, False)
            if out is None or back is None:
                continue
            lacking = loops.unsized((*out.elements, *back.elements))
            if lacking:
                raise NotAssessable(lacking)
            try:
                volts = alternator_figures(design, source.element, None, 1.0, Assumptions())["volts"]
                inside = battery_figures(design, sink.element, None, 1.0, loops.notes)["ohms"]
                flat = flat_voltage(design.part(battery, p.Battery), design.aircraft.nominal)
            except OutsideTable as missing:
                raise NotAssessable(str(missing)) from None
            ohms = inside + out.ohms + back.ohms
            names = [bare(e) for e in (*out.elements, *back.elements) if e.startswith("parts/")]
            passed = (sink.element, *out.elements, *back.elements)
            protectors = tuple(n for n in names if isinstance(design.parts[n], p.Protector))
            diodes = tuple(n for n in names if isinstance(design.parts[n], p.Diode))
            amps = recharge_current(volts, flat, ohms, out.drop + back.drop)
            return RechargeInrush(
                battery,
                bare(source.element),
                answer.state.name,
                amps,
                volts,
                flat,
                ohms,
                out.drop + back.drop,
                protectors,
                diodes,
                passed,
            )
    return None
