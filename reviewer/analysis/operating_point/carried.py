"""The kinds of parts that carry current from one terminal to another."""

from __future__ import annotations

from reviewer.model import parts as p

#: parts of one path or more between two terminals
CARRIERS = (
    p.Protector,
    p.Switch,
    p.Electromagnet,
    p.Diode,
    p.Shunt,
    p.Connector,
    p.Regulator,
    p.FixedResistor,
    p.Potentiometer,
    p.Dimmer,
)
