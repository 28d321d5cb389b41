"""The steps of a power-up card: what is done, what is looked at, its limits, and what it cannot tell."""

from __future__ import annotations

from enum import Enum

from reviewer.analysis.operating_point.tolerances import Within
from reviewer.model.record import record


class Stage(Enum):
    """How far the power-up has come, in the safe order."""

    COLD = "before any source"
    SUPPLY = "current-limited supply"
    BATTERY = "battery"
    ENGINE = "engine"


class Act(Enum):
    """What a step measures or looks at."""

    #: ohms of a bond or ground lead, one end of it off where another way joins its ends
    BOND = "bond"
    #: no continuity from a bus or circuit to the main negative
    ISOLATION = "isolation"
    #: ohms from circuit protection to what a load is fed at
    SUPPLY_CONTINUITY = "supply continuity"
    #: ohms from the return of a load to the main negative
    RETURN_CONTINUITY = "return continuity"
    #: from the terminal before a diode to the one behind it current passes, and not the other way
    DIODE = "diode"
    #: which of the leads of a battery is the negative
    POLARITY = "polarity"
    #: the lead that stops a magneto is grounded, or with ``open`` as its third name is not
    P_LEAD = "p-lead"
    #: amperes that the supply or battery gives
    SUPPLY_AMPERES = "amperes of the supply"
    #: volts behind circuit protection, from the main negative
    VOLTS = "volts"
    #: volts across a load, and that it works
    LOAD = "load"
    #: volts across the coil of a relay or contactor, and that it pulls in
    COIL = "coil"
    #: continuity between two terminals of a contact that no source feeds, or none
    CONTACT = "contact"


@record
class PowerStep:
    """One step.

    ``names`` are a wire with its ends, a terminal, two terminals, a load, a diode with the terminals
    ahead of it and behind it as drawn and the wire to be lifted there, a battery and where
    its negative lead ends, a magneto with its ground and what is to be found, a coil, or the two
    terminals of a contact with "closed" or "open". Without ``limits``
    the act says what is to be found. ``suspects`` are the parts and wires whose opening shows here,
    and a relay whose contact stays where it was;
    ``untold`` those of this circuit whose opening does not, because another way remains.
    ``beside`` are what lies across the two ends and reads too: loads, coils, other wires. ``moved``
    are switches that stand elsewhere than the card sets them from this step on, and circuit
    protection that is taken out ("out").
    """

    act: Act
    names: tuple[str, ...]
    limits: Within | None = None
    unit: str = ""
    suspects: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    moved: tuple[tuple[str, str], ...] = ()


@record
class PowerCard:
    """One card: ``fitted`` circuit protection, ``switches`` off their rest, and the steps.

    ``live`` are the terminals that are live while its steps are done, ``hot`` the magnetos that would
    fire. ``supply`` are the battery in whose place the supply stands, its volts, the amperes to which it
    is limited, and the batteries of its string whose leads are joined. ``running`` are the motors and
    heaters that get power, ``lifted`` the wires that are off at a terminal, so that no starter does.
    ``too_much`` are the amperes beyond which a circuit is tried on the batteries, as it is here; else 0.
    """

    stage: Stage
    name: str
    steps: tuple[PowerStep, ...]
    fitted: tuple[str, ...] = ()
    switches: tuple[tuple[str, str], ...] = ()
    live: tuple[str, ...] = ()
    hot: tuple[str, ...] = ()
    supply: tuple[str, float, float, tuple[str, ...]] | None = None
    running: tuple[str, ...] = ()
    lifted: tuple[tuple[str, str], ...] = ()
    too_much: float = 0.0
