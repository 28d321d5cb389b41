"""Volts and amperes of the declared states, as the operating points of the engine give them, and what they rest on besides the file."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.reports.handoff.schedules.table import Cell, Table, names, number

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

_PROVISO = "One point for each state, engine idling on the ground and as in flight else, batteries at the charge of the file."


_UNITS = {"voltage": "V", "current": "A", "live": ""}


class Operating:
    """The operating points of a design by state; ``unsolved`` says of the other states what is missing, ``none`` why there is no point at all."""

    def __init__(self, facts: Facts):
        self.facts = facts
        self.points: dict[str, OperatingPoint] = {}
        self.unsolved: dict[str, str] = {}
        for answer in facts.states.answers() if facts.design.operation else ():
            try:
                self.points[answer.state.name] = facts.points.operating_point(answer.state.name)
            except NotAssessable as missing:
                self.unsolved[answer.state.name] = missing.needs

    @property
    def none(self) -> str:
        """Why no state has an operating point; "" where one has."""
        return (
            ""
            if self.points
            else "for want of " + (next(iter(self.unsolved.values()), "`operation` in the file"))
        )

    def tables(self) -> tuple[Table, ...]:
        """Amperes, volts, readings and basis; none where no state could be solved."""
        return (self.amperes(), self.volts(), *self.readings(), self.basis()) if self.points else ()

    def _about(self, text: str) -> str:
        gaps = "".join(f" {state} was not solved: {needs}." for state, needs in self.unsolved.items())
        return f"{text} {_PROVISO}{gaps}"

    def _each(self, ask: Callable[[OperatingPoint], float | None]) -> tuple[Cell, ...]:
        """A number for each state."""
        return tuple(number(ask(point), 2) for point in self.points.values())

    def amperes(self) -> Table:
        """What each source gives, each load and coil takes, each protector and shunt carries."""
        design, first = self.facts.design, next(iter(self.points.values()))
        rows: list[tuple[Cell, ...]] = []
        for source in first.given:
            rows.append((bare(source), "source, given", "", *self._each(partial(_of, "given", source))))
        for name in (*design.of_kind(p.Protector), *design.of_kind(p.Shunt)):
            part = design.parts[name]
            rows.append(
                (name, part.kind, number(part.rating), *self._each(partial(_of, "amps", f"parts/{name}")))
            )
        for load in first.taken:
            rows.append((bare(load), "load, taken", "", *self._each(partial(_of, "taken", load))))
        for coil in dict.fromkeys(c for at in self.points.values() for c in at.coils):
            rows.append((bare(coil), "coil, taken", "", *self._each(partial(_of, "coils", coil))))
        text = "Amperes: given by each source (less than 0 for a battery that is charged), carried by each protector and shunt from line to load, taken by each load."
        return Table(
            "amperes",
            "Amperes in each state",
            self._about(text),
            ("name", "what", "rating, A", *self._heads("A")),
            tuple(rows),
        )

    def volts(self) -> Table:
        """Volts of each bus and source, and across each load with the window that it may have."""
        design = self.facts.design
        rows: list[tuple[Cell, ...]] = []
        for name in (*design.of_kind((p.Battery, p.Alternator, p.GroundPower)), *design.of_kind(p.Bus)):
            kind = design.parts[name].kind
            terminal = {
                "battery": f"{name}.positive",
                "alternator": f"{name}.output",
                "ground-power": f"{name}.positive",
            }.get(kind, name)
            rows.append(
                (name, f"{kind}, to the main negative", "", "", *self._each(partial(_of, "volts", terminal)))
            )
        for consumer in self.facts.network.consumers:
            part = design.parts[bare(consumer.element)]
            head = (bare(consumer.element), "load, across it", number(part.minimum), number(part.maximum))
            rows.append((*head, *self._each(partial(_of, "across", consumer.element))))
        text = "Volts: of each source and bus from the negative of the main battery, across each load from supply to return. 0 or an empty cell: nothing live reaches it."
        return Table(
            "volts",
            "Volts in each state",
            self._about(text),
            ("name", "what", "at least, V", "at most, V", *self._heads("V")),
            tuple(rows),
        )

    def readings(self) -> tuple[Table, ...]:
        """What each monitor reads; nothing where the file has no monitor."""
        monitors = self.facts.design.watch.monitors
        if not monitors:
            return ()
        rows = [
            (name, monitor.shows, _UNITS[monitor.shows], monitor.senses, monitor.on or "", number(monitor.alarm_below), number(monitor.alarm_above),
             *(_reading(at, name) for at in self.points.values()))
            for name, monitor in monitors.items()
        ]  # fmt: skip
        text = "What each monitor should read in each state. The reading of a gauge may differ by its own error, which the file does not give."
        columns = (
            "monitor",
            "shows",
            "unit",
            "senses",
            "on",
            "alarm below, V",
            "alarm above, V",
            *self.points,
        )
        return (
            Table(
                "monitor-readings", "Monitor readings in each state", self._about(text), columns, tuple(rows)
            ),
        )

    def basis(self) -> Table:
        """The typical values that were used, and the wires and loads for which the file lacks a figure."""
        found: dict[tuple[str, str], tuple[dict[str, None], dict[str, None], dict[str, None]]] = {}

        def note(what: str, value: str, rests_on: str, elements: Iterable[str], state: str) -> None:
            for into, more in zip(
                found.setdefault((what, rests_on), ({}, {}, {})),
                ([value], map(_bare, elements), [state]),
                strict=True,
            ):
                into.update(dict.fromkeys(more))

        for state, at in self.points.items():
            for one in at.assumed:
                note(one.what, one.figure, one.rests_on, one.elements, state)
            for words, lacking in (
                ("solved as an ideal joint", at.unsized),
                ("solved as drawing nothing", at.undrawn),
            ):
                for element, needs in lacking.items():
                    note(words, "", f"the file lacks {needs}", [element], state)
        rows = tuple(
            (what, "; ".join(values), rests_on, names(which), names(states))
            for (what, rests_on), (values, which, states) in found.items()
        )
        text = "What the volts and amperes rest on besides the design file. A measured value in the file takes the place of a typical one."
        return Table(
            "basis-of-volts",
            "What the volts and amperes rest on",
            text,
            ("what", "value", "rests on", "for", "in"),
            rows,
        )

    def _heads(self, unit: str) -> tuple[str, ...]:
        return tuple(f"{state}, {unit}" for state in self.points)


def _of(key: str, name: str, at: OperatingPoint) -> float | None:
    """A figure of an operating point; None where it has none of that name."""
    return getattr(at, key).get(name)


def _reading(at: OperatingPoint, monitor: str) -> Cell:
    reading = at.readings[monitor]
    if reading.blank or reading.value is None or reading.shows == "live":
        return reading_words(at, monitor)
    return number(reading.value, 2)


def reading_words(at: OperatingPoint, monitor: str) -> str:
    """``12.61 V``, ``-3.20 A``, ``lit``, or that it shows nothing."""
    reading = at.readings[monitor]
    if reading.blank:
        return "blank"
    if reading.value is None:
        return "not solved"
    if reading.shows == "live":
        return "lit" if reading.value else "dark"
    return f"{round(reading.value, 2) + 0.0:.2f} {_UNITS[reading.shows]}"


def _bare(element: str) -> str:
    return bare(element) if "/" in element else element
