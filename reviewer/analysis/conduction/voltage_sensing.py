"""Relays, and switches operated by voltage, that a battery by itself does not move, only what charges it.

Such a relay joins two batteries while an alternator runs and parts them once it has stopped; such a switch
lights a warning then.
"""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.ratings.rest_voltage import rest_voltage
from reviewer.network.graph import CHARGES, Network, PoweredDevice

#: the most that charging gives, over the volts of a full battery at rest: 15 V of a 14 V system is
#: beyond every set point in use, common practice (no published source)
CHARGED = 1.2


#: an element, its coil or what it follows, the sources (elements) that do not pick it up, and those of
#: them that hold it
Sensing = tuple[str, PoweredDevice, frozenset[str], frozenset[str]]


def voltage_sensing(network: Network) -> tuple[Sensing, ...]:
    """(element, its coil or what it follows, the sources that do not pick it up, those of them that hold
    it once it has picked up): of relays, and of switches operated by voltage.

    A battery (an element) counts with its volts at full charge and at rest, under load it has less; a
    charger, a converter and external power with the volts that they hold. A battery of which the file
    does not give the chemistry picks up every coil; so does one in a string. A coil
    whose dropout voltage the file does not give is held by whatever feeds it, as that of an ordinary
    relay is. One that asks for more than charging gives senses nothing, nor does any
    where nothing charges: it picks up in logic, and the rule about its volts says what it lacks.
    """
    if "sensing" not in network.searched:  # asked again for each conduction
        network.searched["sensing"] = tuple(_sensing(network))
    found: tuple[Sensing, ...] = network.searched["sensing"]
    return found


def _sensing(network: Network) -> Iterator[Sensing]:
    follows = [(one.element, one.device) for one in network.followers if one.device is not None]
    coils = [(coil.element, coil) for coil in network.coils]
    asking = [(element, device) for element, device in (*coils, *follows) if device.picks_up is not None]
    if not asking or not any(s.kind in (*CHARGES, "external-power") for s in network.sources):
        return
    rests = {
        source.element: rest_voltage(source.at_rest[0], 1.0, source.at_rest[1])
        for source in network.sources
        if source.at_rest and source.at_rest[0].chemistry
    }
    volts_of = rests | {source.element: source.holds for source in network.sources if source.holds}
    for element, device in asking:
        least, wanted = device.drops_out or 0.0, device.picks_up or 0.0
        weak = frozenset(e for e, volts in volts_of.items() if volts < wanted <= CHARGED * volts)
        if weak:
            yield element, device, weak, frozenset(e for e in weak if volts_of[e] >= least)
