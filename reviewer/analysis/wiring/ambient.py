"""The air that a wire runs in: the hottest of its zone, or of the zones of the parts at its
ends."""

from __future__ import annotations

from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record


@record
class Ambient:
    """Hottest air about a wire, in C, and the ``zone`` that it is of. ``known`` is False where
    neither the wire nor both of its ends name a zone: then the hottest zone of the aircraft is
    taken, which is on the safe side."""

    celsius: float
    zone: str
    known: bool


def ambient_of(design: Design, wire: str) -> Ambient | None:
    """The air about a wire; None where the zone that would say so has no ``max-ambient``, or no
    zone has one.
    """
    spec, zones = design.wires[wire], design.aircraft.zones
    named = (
        [spec.zone]
        if spec.zone is not None
        else [design.parts[end.partition(".")[0]].zone for end in (spec.from_, spec.to)]
    )
    known = None not in named
    temperatures = []
    for zone in named if known else zones:
        hottest = zones[zone].max_ambient if zone in zones else None
        if hottest is not None:
            temperatures.append((hottest, zone))
        elif known:
            return None
    return Ambient(*max(temperatures), known) if temperatures else None


def zone_missing(design: Design, wire: str) -> str:
    """What to write so that the air about a wire is known."""
    spec, zones = design.wires[wire], design.aircraft.zones
    if all(zone.max_ambient is None for zone in zones.values()):
        return "`aircraft.zones` with the `max-ambient` air of each"
    named = (
        [spec.zone]
        if spec.zone is not None
        else [design.parts[end.partition(".")[0]].zone for end in (spec.from_, spec.to)]
    )
    silent = sorted(
        {
            zone
            for zone in named
            if zone is not None and (zone not in zones or zones[zone].max_ambient is None)
        },
        key=name_order,
    )
    return (
        f"`max-ambient` of {' and '.join(silent)} in `aircraft.zones`"
        if silent and None not in named
        else f"`zone` of {wire}, and its `max-ambient` in `aircraft.zones`"
    )
