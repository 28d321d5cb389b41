"""The leads of a ground loop: which may be left off, and which loads return by."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field

from reviewer.analysis.paths.returns import Loop
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record

#: what a lead goes on through
_JOINTS = (p.Splice, p.Connector, p.Stud)
_GROUNDS = (p.GroundBlock, p.Airframe)
#: what is at the end of a lead: a sensor or a return for measuring alone; a terminal that is both that and
#: the return of the instrument's own current; a return of anything else; ground
_SIGNAL, _BOTH, _POWER, _GROUND = "signal", "both", "power", "ground"


@record
class LoopLeads:
    """The wires of a ground loop by what they carry.

    ``removable`` are the wires by which no load returns, those to ground first; ``cased`` the sensors that
    close it by their case -> the body; ``misplaced`` the loads whose return is at a measuring terminal ->
    (wire, that terminal).
    """

    removable: tuple[str, ...]
    cased: Mapping[str, str] = field(default_factory=dict)
    misplaced: Mapping[str, tuple[str, str]] = field(default_factory=dict)


def loop_leads(design: Design, loop: Loop) -> LoopLeads:
    """What the leads of a loop that a signal return closes are for."""
    names = list(dict.fromkeys(e.partition("/")[2] for e in (loop.element, *loop.path)))
    wires = [name for name in names if name in design.wires]
    ends = {wire: _ends(wire, design) for wire in wires}
    spare = [wire for wire in wires if _is_signal(wire, ends[wire], design)]
    own = {t for pair in ends.values() for roles in pair for t, role in roles.items() if role == _BOTH}
    spare = [wire for wire in spare if all(_grounded(terminal, wire, design) for terminal in own)]
    spare.sort(key=lambda wire: not any(_GROUND in roles.values() for roles in ends[wire]))
    mounts = {n: design.parts[n].mounted_on for n in names if isinstance(design.parts.get(n), p.Sensor)}
    cased = {n: mount.partition(".")[0] for n, mount in mounts.items() if mount}
    misplaced: dict[str, tuple[str, str]] = {}
    measuring = [t for wire in wires for t in _own_ends(wire, design) if _measures(t, design)]
    for terminal in dict.fromkeys(measuring):
        misplaced.update({load: (wire, terminal) for wire, load in _loads_at(terminal, design)})
    return LoopLeads(tuple(spare), cased, misplaced)


def _own_ends(wire: str, design: Design) -> tuple[str, str]:
    return design.wires[wire].from_, design.wires[wire].to


def _ends(wire: str, design: Design) -> tuple[Mapping[str, str], Mapping[str, str]]:
    """What is at each end of a wire, through joints: terminal -> role."""
    one, other = (dict(_reached(end, wire, design)) for end in _own_ends(wire, design))
    return one, other


def _loads_at(terminal: str, design: Design, without: str = "") -> Iterator[tuple[str, str]]:
    """The wires but one on a terminal by which the return of another part leads there: (wire, part)."""
    for wire, far in design.wires_at.get(terminal, ()):
        for end, role in _reached(far, wire, design) if wire != without else ():
            if role == _POWER and end.partition(".")[0] != terminal.partition(".")[0]:
                yield wire, end.partition(".")[0]


def _reached(end: str, without: str, design: Design) -> Iterator[tuple[str, str]]:
    """The terminals, with their roles, to which an end is joined through joints and by wires but one; the
    end itself where it is no joint."""
    todo, seen = [end], {end}
    for here in todo:
        name = here.partition(".")[0]
        if not isinstance(design.parts.get(name), _JOINTS):
            yield here, _role(here, design)
            continue
        on = [far for wire, far in design.wires_at.get(here, ()) if wire != without]
        on += [f"{name}.{terminal}" for terminal in _joined(here, design)]
        fresh = [one for one in dict.fromkeys(on) if one not in seen]
        seen.update(fresh)
        todo += fresh


def _joined(terminal: str, design: Design) -> Iterator[str]:
    """The terminals of a splice, stud or connector that are one with a terminal of it."""
    name, _, own = terminal.partition(".")
    part = design.parts[name]
    if isinstance(part, p.Connector):
        pin = own.rpartition("-")[0]
        yield from (f"{pin}-plug", f"{pin}-socket")
        return
    ends = (end for wire in design.wires.values() for end in (wire.from_, wire.to))
    yield from (end.partition(".")[2] for end in ends if end.partition(".")[0] == name)


def _role(terminal: str, design: Design) -> str:
    name, _, own = terminal.partition(".")
    part = design.parts.get(name)
    if isinstance(part, p.Sensor):
        return _SIGNAL
    if isinstance(part, _GROUNDS) or (isinstance(part, p.Battery) and own == "negative"):
        return _GROUND
    if isinstance(part, p.Instrument) and _measures(terminal, design):
        return _BOTH if own in part.returns else _SIGNAL
    return _POWER


def _measures(terminal: str, design: Design) -> bool:
    """Whether a terminal is a measuring return of an instrument."""
    name, _, own = terminal.partition(".")
    part = design.parts.get(name)
    return isinstance(part, p.Instrument) and own in part.ends_of_measuring()


def _is_signal(wire: str, ends: tuple[Mapping[str, str], Mapping[str, str]], design: Design) -> bool:
    """Whether no load returns by a wire: it joins sensors and measuring returns with each other or with
    ground."""
    roles = {role for at in ends for role in at.values()}
    shared = any(
        True for t in _own_ends(wire, design) if _measures(t, design) for _ in _loads_at(t, design, wire)
    )
    return _POWER not in roles and _SIGNAL in roles and not shared


def _grounded(terminal: str, without: str, design: Design) -> bool:
    """Whether a return of the instrument of a terminal leads to ground by wires and joints but one wire."""
    name = terminal.partition(".")[0]
    leads = (
        _reached(far, wire, design)
        for end in design.part(name, p.Instrument).returns
        for wire, far in design.wires_at.get(f"{name}.{end}", ())
        if wire != without
    )
    return any(role == _GROUND for lead in leads for _, role in lead)
