"""Currents, voltages and readings by state as schedules, with the assumptions behind them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.questions.solve import OperatingPoint, Reading
from reviewer.questions.state_points import StatePoints
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.solve.words import bare_name, reading_words
from reviewer.reports.wording import AMMETERS, BATTERY_CHARGE

_PROVISO = (
    "One operating point for each state, the engine at the speed of the state (idle on the ground if not "
    f"given). {BATTERY_CHARGE}"
)
_UNITS = {"voltage": "V", "current": "A", "live": ""}
#: the terminal whose voltage is that of a source
_TERMINALS = {
    "battery": "positive",
    "alternator": "output",
    "external-power": "positive",
    "charger": "positive",
    "converter": "output",
}


def tables(design: Design, network: Network, found: StatePoints) -> tuple[Schedule, ...]:
    """Currents, voltages, readings and assumptions; none where no state could be solved."""
    if not found.points:
        return ()
    every = _Operating(design, network, found)
    return (every.currents(), every.voltages(), *every.readings(), every.assumptions())


class _Operating:
    """The tables of the states that were solved."""

    def __init__(self, design: Design, network: Network, found: StatePoints):
        self.design, self.network = design, network
        self.points, self.unsolved = found.points, found.unsolved

    def _about(self, text: str) -> str:
        gaps = "".join(f" {state} is not solved: needs {needs}." for state, needs in self.unsolved.items())
        return f"{text} {_PROVISO}{gaps}"

    def _each(self, ask: Callable[[OperatingPoint], float | None]) -> tuple[Cell, ...]:
        """A number for each state."""
        return tuple(number(ask(point), 2) for point in self.points.values())

    def _heads(self, unit: str) -> tuple[str, ...]:
        return tuple(f"{state}, {unit}" for state in self.points)

    def currents(self) -> Schedule:
        """Currents of each source, protection, shunt, load and coil."""
        design, first = self.design, next(iter(self.points.values()))
        rows: list[tuple[Cell, ...]] = []
        for source in first.given:
            rows.append((bare(source), "source output", "", *self._each(partial(_of, "given", source))))
        for name in (*design.of_kind(p.Protector), *design.of_kind(p.Shunt)):
            part = design.parts[name]
            rows.append(
                (name, part.kind, number(part.rating), *self._each(partial(_of, "amps", f"parts/{name}")))
            )
        for load in first.taken:
            rows.append((bare(load), "load current", "", *self._each(partial(_of, "taken", load))))
        for coil in dict.fromkeys(c for at in self.points.values() for c in at.coils):
            rows.append((bare(coil), "coil current", "", *self._each(partial(_of, "coils", coil))))
        about = self._about(
            "The output of each source (negative for a battery that is charged), the current through each "
            "breaker, fuse, limiter and shunt from line to load, and the current of each load and coil."
        )
        columns = ("name", "quantity", "rating, A", *self._heads("A"))
        return Schedule("currents", "Currents by state", about, columns, tuple(rows), head=3)

    def voltages(self) -> Schedule:
        """Voltage of each source and bus, and of each load with its limits."""
        design = self.design
        rows: list[tuple[Cell, ...]] = []
        for name in (*design.of_kind(p.SOURCES), *design.of_kind(p.Bus)):
            kind = design.parts[name].kind
            terminal = f"{name}.{_TERMINALS[kind]}" if kind in _TERMINALS else name
            rows.append(
                (name, f"{kind}, to the main negative", "", "", *self._each(partial(_of, "volts", terminal)))
            )
        for consumer in self.network.consumers:
            part = design.parts[bare(consumer.element)]
            head = (
                bare(consumer.element),
                "load, supply to return",
                number(part.minimum),
                number(part.maximum),
            )
            rows.append((*head, *self._each(partial(_of, "across", consumer.element))))
        about = self._about(
            "The voltage of each source and bus to the negative of the main battery, and the terminal "
            "voltage of each load, supply to return. 0 or an empty cell: not energised."
        )
        columns = ("name", "quantity", "minimum, V", "maximum, V", *self._heads("V"))
        return Schedule("voltages", "Voltages by state", about, columns, tuple(rows), head=4)

    def readings(self) -> tuple[Schedule, ...]:
        """What each monitor reads; nothing where the file has no monitor."""
        monitors = self.design.watch.monitors
        if not monitors:
            return ()
        rows = [
            (
                name,
                monitor.shows,
                _UNITS[monitor.shows],
                monitor.senses,
                monitor.displayed_on or "",
                number(monitor.alarm_below),
                number(monitor.alarm_above),
                *(_reading_cell(at.readings[name]) for at in self.points.values()),
            )
            for name, monitor in monitors.items()
        ]
        about = self._about(
            "What each monitor should read in each state. The error of the gauge is not included: the file "
            f"does not give it. {AMMETERS}"
        )
        columns = (
            "monitor",
            "shows",
            "unit",
            "senses",
            "instrument",
            "low alarm",
            "high alarm",
            *self.points,
        )
        title = "Monitor readings by state"
        return (Schedule("monitor-readings", title, about, columns, tuple(rows), head=7),)

    def assumptions(self) -> Schedule:
        """The typical values used, and the wires and loads for which the file lacks a figure."""
        found: dict[tuple[str, str], tuple[dict[str, None], dict[str, None], dict[str, None]]] = {}

        def note(what: str, value: str, basis: str, elements: Iterable[str], state: str) -> None:
            columns = found.setdefault((what, basis), ({}, {}, {}))
            for column, more in zip(columns, ([value], map(bare_name, elements), [state]), strict=True):
                column.update(dict.fromkeys(more))

        for state, at in self.points.items():
            for one in at.assumed:
                note(one.what, one.figure, one.rests_on, one.elements, state)
            for words, lacking in (
                ("resistance taken as zero", at.unsized),
                ("current taken as zero", at.undrawn),
            ):
                for element, needs in lacking.items():
                    note(words, "", f"the file lacks {needs}", [element], state)
        rows = tuple(
            (what, "; ".join(values), basis, names(which), names(states))
            for (what, basis), (values, which, states) in found.items()
        )
        about = (
            "What the currents and voltages are based on besides the design file. A measured value in the "
            "file replaces a typical one."
        )
        columns = ("assumption", "value", "basis", "applies to", "states")
        title = "Assumptions behind currents and voltages"
        return Schedule("operating-assumptions", title, about, columns, rows)


def _of(key: str, name: str, at: OperatingPoint) -> float | None:
    """A figure of an operating point; None where it has none of that name."""
    return getattr(at, key).get(name)


def _reading_cell(reading: Reading) -> Cell:
    if reading.blank or reading.value is None or reading.shows == "live":
        return reading_words(reading)
    return number(reading.value, 2)
