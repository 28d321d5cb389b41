"""The duty of an isolation diode: current, inrush, heat and reverse voltage."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.diode_or_buses import upstream_protectors
from reviewer.analysis.protection.fault_loops import diode_drop
from reviewer.analysis.protection.protection_loading import SolvedCase
from reviewer.analysis.protection.recharge_inrush import RechargeInrush
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network
from reviewer.network.regulators import regulation
from reviewer.tables.practice import practice


@record
class DiodeDuty:
    """The duty of a diode: ``amps`` at most, ``when``, and the ``watts`` of heat.

    ``protector`` and its ``lowest`` rating stand ahead of it (None where none does). ``wanted`` is
    the rating that it needs for that protective device, None without one. ``reverse`` is what it
    must block, None where the voltage of the system, ``system``, is not said. Above ``sink_above``
    watts it needs a heat sink.
    """

    amps: float
    when: str
    watts: float
    protector: str
    lowest: float | None
    wanted: float | None
    reverse: float | None
    system: str
    #: the set points that make the voltage of the system, each as the change ``parts/NAME/set-point``
    set_by: tuple[str, ...]
    sink_above: float


def diode_duty(
    design: Design,
    network: Network,
    answers: Sequence[StateAnswer],
    currents: Sequence[tuple[float, str]],
    diode: str,
) -> DiodeDuty:
    """What a diode bears at the largest of some currents, each with when it flows.

    Raises NotAssessable.
    """
    part = design.part(diode, p.Diode)
    amps, when = most_amps(currents)
    before = lowest_rating_before(design, network, answers, diode)
    volts = highest_volts(design)
    over_protector = practice("factors", "diode-over-protector").low
    over_system = practice("factors", "reverse-over-system-volts").low
    return DiodeDuty(
        amps=amps,
        when=when,
        watts=amps * diode_drop(part),
        protector=before[0] if before else "",
        lowest=before[1] if before else None,
        wanted=before[1] * over_protector if before else None,
        reverse=volts[0] * over_system if volts else None,
        system=volts[1] if volts else "",
        set_by=volts[2] if volts else (),
        sink_above=practice("watts", "diode-without-heat-sink").high,
    )


def currents(
    solved: Sequence[SolvedCase], recharges: Sequence[RechargeInrush], name: str
) -> list[tuple[float, str]]:
    """The currents, A, through a diode or resistor in the solved states and in the recharge of a flat
    battery through it, and when that is."""
    found = [(abs(s.point.amps[f"parts/{name}"]), f"in {s.words}") for s in solved]
    return found + [(r.diodes[name], f"initially into a flat {r.battery}") for r in recharges]


def most_amps(currents: Sequence[tuple[float, str]]) -> tuple[float, str]:
    """The largest of some currents, A, and when it flows."""
    return max(currents, default=(0.0, "in no state"))


def lowest_rating_before(
    design: Design, network: Network, answers: Sequence[StateAnswer], diode: str
) -> tuple[str, float] | None:
    """The protective device ahead of a diode with the lowest rating; None for none.

    Of those that leave its anode dead when they open, in the first state in which it is live.
    Raises NotAssessable where none of them says its rating.
    """
    anode = network.node(f"{diode}.anode")
    for answer in answers:
        if answer.healthy.live(anode):
            ways = {e for source in answer.fed_by(anode) for e in feed_path(network, answer, source, anode)}
            # the breaker of a field leaves the anode dead as well, and carries none of its current
            names = [n for n in upstream_protectors(network, answer, anode) if f"parts/{n}" in ways]
            rated = [(n, design.parts[n].rating) for n in names if design.parts[n].rating is not None]
            if names and not rated:
                raise NotAssessable(f"`rating` of {' or '.join(names)}")
            return min(rated, key=lambda pair: pair[1], default=None)
    return None


def highest_volts(design: Design) -> tuple[float, str, tuple[str, ...]] | None:
    """The highest voltage of the system, what it is, and the set points that make it, as changes; None
    where the file does not say.

    The overvoltage trip of an alternator, else a set point of an alternator or charger.
    """
    alternators = [regulation(design, n) for n in design.of_kind(p.Alternator)]
    trips = [a.trip for a in alternators if isinstance(a.trip, float)]
    if trips:
        return max(trips), "the overvoltage trip", ()
    points = {f"parts/{a.alternator}": a.set_point for a in alternators if a.set_point is not None}
    chargers = {f"parts/{n}": design.part(n, p.Charger).set_point for n in design.of_kind(p.Charger)}
    points |= {element: volts for element, volts in chargers.items() if volts is not None}
    if not points:
        return None
    most = max(points.values())
    return most, "the set point", tuple(f"{e}/set-point" for e, volts in points.items() if volts == most)
