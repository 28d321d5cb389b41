"""The parts of an aircraft's electrical system, one frozen type per ``kind``, and the wires that
join them.

A part says which terminals it has; a wire, a mounting or a shield names them as ``part.terminal``.
Nothing here conducts or computes: what a part does in a circuit is in :mod:`reviewer.network`.
"""

from reviewer.model.load_parts import Consumer, Instrument, Load, Sensor, SignalInput
from reviewer.model.part import Part
from reviewer.model.protection_parts import Breaker, BreakerSwitch, Fuse, InsideDevice, Limiter, Protector
from reviewer.model.source_parts import Alternator, Battery, ExternalPower, Magneto, Regulator
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
    "Airframe",
    "Alternator",
    "Battery",
    "BreakContact",
    "Breaker",
    "BreakerSwitch",
    "Bus",
    "ChangeoverContact",
    "Connector",
    "Consumer",
    "Contact",
    "Contactor",
    "Diode",
    "Electromagnet",
    "ExternalPower",
    "Fuse",
    "GroundBlock",
    "InsideDevice",
    "Instrument",
    "Limiter",
    "Load",
    "Magneto",
    "MakeContact",
    "Part",
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
}  # fmt: skip
