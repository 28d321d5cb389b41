"""The parts of an aircraft's electrical system, one frozen type per ``kind``, and the wires that
join them.

A part says which terminals it has; a wire, a mounting or a shield names them as ``part.terminal``.
Nothing here conducts or computes: what a part does in a circuit is in :mod:`reviewer.network`.
"""

from reviewer.model.load_parts import Consumer, Instrument, Load, Sensor, SignalInput
from reviewer.model.part import Part
from reviewer.model.passive_parts import Capacitor, Dimmer, FixedResistor, Potentiometer
from reviewer.model.protection_parts import Breaker, BreakerSwitch, Fuse, InsideDevice, Limiter, Protector
from reviewer.model.source_parts import (
    Alternator,
    Battery,
    Charger,
    Converter,
    ExternalPower,
    Magneto,
    Regulator,
)
from reviewer.model.switching_parts import (
    BreakContact,
    ChangeoverContact,
    Contact,
    Contactor,
    Diode,
    Electromagnet,
    MakeContact,
    RatedContacts,
    Relay,
    Switch,
)
from reviewer.model.wiring_parts import Airframe, Bus, Connector, GroundBlock, Shunt, Splice, Stud, Wire

__all__ = [
    "PART_KINDS",
    "SELF_LIMITED",
    "SOURCES",
    "Airframe",
    "Alternator",
    "Battery",
    "BreakContact",
    "Breaker",
    "BreakerSwitch",
    "Bus",
    "Capacitor",
    "ChangeoverContact",
    "Charger",
    "Connector",
    "Consumer",
    "Contact",
    "Contactor",
    "Converter",
    "Dimmer",
    "Diode",
    "Electromagnet",
    "ExternalPower",
    "FixedResistor",
    "Fuse",
    "GroundBlock",
    "InsideDevice",
    "Instrument",
    "Limiter",
    "Load",
    "Magneto",
    "MakeContact",
    "Part",
    "Potentiometer",
    "Protector",
    "RatedContacts",
    "Regulator",
    "Relay",
    "Sensor",
    "Shunt",
    "SignalInput",
    "Splice",
    "Stud",
    "Switch",
    "Wire",
]

PART_KINDS: dict[str, type[Part]] = {
    "battery": Battery, "alternator": Alternator, "regulator": Regulator,
    "external-power": ExternalPower, "bus": Bus,
    "breaker": Breaker, "fuse": Fuse, "limiter": Limiter, "breaker-switch": BreakerSwitch, "switch": Switch,
    "relay": Relay, "contactor": Contactor, "diode": Diode, "shunt": Shunt, "load": Load,
    "instrument": Instrument, "sensor": Sensor,
    "ground-block": GroundBlock, "stud": Stud, "connector": Connector, "splice": Splice, "airframe": Airframe,
    "magneto": Magneto,
    "charger": Charger, "converter": Converter,
    "resistor": FixedResistor, "capacitor": Capacitor, "potentiometer": Potentiometer, "dimmer": Dimmer,
}  # fmt: skip

#: kinds that give current
SOURCES = (Battery, Alternator, ExternalPower, Charger, Converter)
#: those of them that limit their current, to ``most`` amperes
SELF_LIMITED = (Alternator, Charger, Converter)
