"""The list of wires: current, limit, voltage drop and protection; and the drop to each load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.wire_protection import STUB_M, EndFeed
from reviewer.analysis.wiring.held_currents import HeldCurrent
from reviewer.analysis.wiring.peak_drop import PeakRun
from reviewer.analysis.wiring.voltage_drop import CircuitRun
from reviewer.analysis.wiring.wire_loading import Allowed, WireLoad
from reviewer.model import parts as p
from reviewer.model.estimates import estimates_of
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.questions.naming import state_named
from reviewer.tables.limits import allowed_drop
from reviewer.tables.lookup import OutsideTable, SourcedFigure, protector_limit

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts

__all__ = [
    "Allowed",
    "CircuitRun",
    "EndProtection",
    "HeldCurrent",
    "LoadRow",
    "PeakRun",
    "WireLoad",
    "WireRow",
    "WireTable",
    "wires_of",
]


#: amperes that no wire carries for a load, and how much more than usual is worth a line (our own)
_NOTHING, _MORE = 0.001, 1.1


@record
class EndProtection:
    """Circuit protection between an end of a wire and something that can feed it.

    ``rating`` in A against the ``limit`` of Table 11-3 for the wire; either is None where it is not
    known. ``stub`` where the wire is so short that this protection need not fit it.
    """

    end: str
    device: str
    rating: float | None
    limit: float | None
    stub: bool


@record
class WireRow:
    """One wire.

    ``loading`` and ``allowed`` where it is loaded worst, with the voltage ``drop`` on it there.
    ``cranking`` is the largest current while the engine cranks, A, ``held`` that while a spring-return
    switch is held, where it is a tenth larger than that of ``loading``. ``unprotected`` are (end,
    sources) that feed an end without protection between, ``exempt`` where the wire needs none
    (battery and starter cables). ``missing`` says what was not assessed, and for which missing
    data.
    """

    wire: str
    loading: WireLoad | None
    allowed: Allowed | None
    drop: float | None
    cranking: float | None
    held: HeldCurrent | None
    protection: tuple[EndProtection, ...]
    unprotected: tuple[tuple[str, tuple[str, ...]], ...]
    exempt: bool
    missing: tuple[str, ...]

    @property
    def share(self) -> float | None:
        """The current over the limit of the wire; None where either is not known."""
        if self.loading is None or self.allowed is None:
            return None
        return abs(self.loading.amperes) / self.allowed.ampacity.amperes


@record
class LoadRow:
    """One load: its path at its continuous current where the drop is largest, with the state.

    Its path at its ``peak`` current; the ``lowest`` voltage across it with the state.
    """

    load: str
    continuous: tuple[str, CircuitRun] | None
    peak: PeakRun | None
    lowest: tuple[str, float] | None
    missing: tuple[str, ...]


@record
class WireTable:
    """All wires and loads; ``continuous`` and ``intermittent`` are limits of the voltage drop.

    ``typical`` are the typical values that the numbers rest on, ``estimates`` the figures of the
    file that are estimates, taken as written.
    """

    wires: tuple[WireRow, ...]
    loads: tuple[LoadRow, ...]
    continuous: SourcedFigure
    intermittent: SourcedFigure
    typical: tuple[str, ...]
    estimates: tuple[str, ...]
    missing: tuple[str, ...]


def wires_of(facts: Facts) -> WireTable:
    """The list of wires. Raises NoAnswer where no state is declared."""
    state_named(facts, None)
    return wire_table(facts)


def wire_table(facts: Facts) -> WireTable:
    """The table of a design.

    Missing data are named in the rows, or for all of them in ``missing``.
    """
    lacks: list[str] = []
    solved = _solved(facts, lacks)
    nominal = facts.design.aircraft.nominal
    wires = tuple(_wire(facts, name, solved) for name in facts.as_written.wires)
    loads = tuple(_load(facts, name) for name in facts.as_written.of_kind(p.Consumer)) if solved else ()
    points = facts.wires.steady_points if solved else ()
    return WireTable(
        wires=wires,
        loads=loads,
        continuous=allowed_drop(nominal, "continuous"),
        intermittent=allowed_drop(nominal, "intermittent"),
        typical=tuple(dict.fromkeys(str(a) for _, point in points for a in point.assumed)),
        estimates=tuple(map(str, estimates_of(facts.as_written))),
        missing=tuple(lacks),
    )


def _solved(facts: Facts, lacks: list[str]) -> bool:
    try:
        for flown in facts.wires.steady:
            if missing := facts.wires.lacking(flown, ()):
                lacks.append(f"{flown}: {missing} is taken as 0 A")
    except NotAssessable as missing:
        lacks.append(f"currents and voltage drops need {missing.needs}")
        return False
    return bool(facts.wires.steady)


def _wire(facts: Facts, name: str, solved: bool) -> WireRow:
    element = f"wires/{name}"
    lacks: list[str] = []
    load = allowed = drop = cranking = None
    if solved:
        try:
            load, allowed = facts.wires.wire_loads.worst(name)
        except NotAssessable as missing:
            lacks.append(missing.needs)
            load = facts.wires.wire_loads.heaviest(name)
        if load is not None:
            spec, point = facts.design.wires[name], facts.points.point(load.flown)
            if element in point.unsized:
                lacks.append(f"its voltage drop: {point.unsized[element]}")
            elif spec.from_ in point.volts and spec.to in point.volts:
                drop = abs(point.volts[spec.from_] - point.volts[spec.to])
        cranking = _cranking(facts, element)
    feeds = facts.protection.wire_feeds.get(element, ())
    exempt = element in facts.protection.exempt_wires
    return WireRow(
        wire=name,
        loading=load,
        allowed=allowed,
        drop=drop,
        cranking=cranking,
        held=_held(facts, element, load) if solved else None,
        protection=tuple(_protection(facts, name, feeds)),
        unprotected=_unprotected(feeds),
        exempt=exempt,
        missing=tuple(lacks),
    )


def _cranking(facts: Facts, element: str) -> float | None:
    try:
        return max(
            (abs(facts.points.point(flown).amps[element]) for flown in facts.wires.while_cranking),
            default=None,
        )
    except NotAssessable:
        return None


def _held(facts: Facts, element: str, load: WireLoad | None) -> HeldCurrent | None:
    found = facts.wires.held_currents.get(element)
    usual = abs(load.amperes) if load is not None else 0.0
    return found if found is not None and found.amperes >= max(_NOTHING, _MORE * usual) else None


def _protection(facts: Facts, name: str, feeds: Sequence[EndFeed]) -> Iterator[EndProtection]:
    wire = facts.design.wires[name]
    found: dict[tuple[str, str], bool] = {}
    for feed in feeds:
        for element in feed.protectors:
            stub = found.get((feed.end, element), True) and _is_stub(facts, wire, feed)
            found[feed.end, element] = stub
    for (end, element), stub in found.items():
        part = facts.design.parts[bare(element)]
        column = "breaker" if isinstance(part, (p.Breaker, p.BreakerSwitch)) else "fuse"
        yield EndProtection(end, bare(element), part.rating, _largest(wire, column), stub)


def _largest(wire: p.Wire, column: str) -> float | None:
    try:
        return protector_limit(wire.gauge, column) if wire.gauge is not None else None
    except OutsideTable:
        return None


def _is_stub(facts: Facts, wire: p.Wire, feed: EndFeed) -> bool:
    """Whether a wire is short enough to its other end's protection, or to need none."""
    far = (wire.to if feed.end == wire.from_ else wire.from_).partition(".")[0]
    to_protector = (
        wire.length is not None
        and not exceeds(wire.length, STUB_M)
        and isinstance(facts.design.parts[far], p.Protector)
    )
    return to_protector or (feed.run_m is not None and not exceeds(feed.run_m, STUB_M))


def _unprotected(feeds: Sequence[EndFeed]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found: dict[str, dict[str, None]] = {}
    for feed in feeds:
        if feed.sources:
            found.setdefault(feed.end, {}).update(dict.fromkeys(map(bare, feed.sources)))
    return tuple((end, tuple(sources)) for end, sources in found.items())


def _load(facts: Facts, name: str) -> LoadRow:
    element = f"parts/{name}"
    starter = getattr(facts.design.parts[name], "type", None) == "starter"
    lacks: list[str] = []
    usual = peak = None
    try:
        runs = (facts.wires.starter_runs if starter else facts.wires.steady_runs).get(element, ())
        if runs:
            flown, run = max(runs, key=lambda entry: entry[1].volts)
            usual = (str(flown), run)
            lacks += [missing for missing in [facts.wires.lacking(flown, run.elements)] if missing]
        found = facts.wires.peak_runs.get(element)
        if isinstance(found, NotAssessable):
            lacks.append(f"its peak current: {found.needs}")
        elif found is not None:
            peak = found
    except NotAssessable as missing:
        lacks.append(missing.needs)
    return LoadRow(
        name, usual, peak, None if starter else _lowest(facts, element), tuple(dict.fromkeys(lacks))
    )


def _lowest(facts: Facts, element: str) -> tuple[str, float] | None:
    has = [
        (point.across[element], str(flown))
        for flown, point in facts.wires.steady_points
        if point.taken[element] > 0
        and element in point.across
        and facts.states.answer(flown.state).healthy.powered[element]
    ]
    volts, state = min(has, default=(0.0, ""))
    return (state, volts) if has else None
