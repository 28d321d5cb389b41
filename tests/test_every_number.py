"""Every number on every sheet of a package is traced to what the file states, to an operating point, or to a count."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from math import inf, pi
from pathlib import Path
from typing import Any

import networkx as nx
import pytest

from reviewer.analysis.conduction.states import solve_states
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.questions.bench_supply import rest_positions
from reviewer.questions.wires import WireTable, wire_table
from reviewer.reading import read_design
from reviewer.reports.handoff.schedules.all_tables import schedules
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.session import solved_file
from tests.published.transcriptions import PRINTED

pytestmark = pytest.mark.long  # each example is solved as for a package

ROOT = Path(__file__).parent.parent
PATHS = {
    "tourer": ROOT / "examples" / "tourer.design.yaml",
    "magneto-metal": ROOT / "tests" / "aircraft" / "magneto-metal.design.yaml",
}
#: what a number must be: one figure, or the least and the most
Wanted = float | tuple[float, float]
Row = Mapping[str, Any]
#: sheets whose numbers other tests trace: each step of a card is solved again in its own state, the minutes
#: against an integration of its own
ELSEWHERE = {
    "power-up-cards": "tests/test_power_up.py",
    "test-cards": "tests/test_cards.py",
    "function-endurance": "tests/test_budget_command.py",
}
#: ohms of a ring terminal on its stud, a mated pin, a switch contact, a relay contact (common practice)
RING, PIN, CONTACT, RELAY = 0.0002, 0.005, 0.010, 0.005
#: circular mils to mm2, grams in a cm3 of copper, feet in a metre
MIL, COPPER, FEET = pi / 4 * 0.0254**2, 8.89, 1 / 0.3048


class Traced:
    """One example, solved by itself, and where the numbers of its sheets come from."""

    def __init__(self, name: str):
        solved = solved_file(PATHS[name])
        self.review = solved.review
        self.tables = {table.key: table for table in schedules(solved)}
        self.facts = Facts(read_design(PATHS[name]))
        self.design: Design = self.facts.as_written

    @cached_property
    def amperes(self) -> dict[str, float]:
        """The most that each wire carries at any point of any phase, and while cranking."""
        flown = (*self.facts.wires.steady, *self.facts.wires.while_cranking)
        points = [self.facts.points.point(one) for one in flown]
        return {w: max(abs(at.amps[f"wires/{w}"]) for at in points) for w in self.design.wires}

    def flown(self, words: str) -> Any:
        """The operating point of a state, written with its phase where it has one."""
        return next(self.facts.points.point(one) for one in self.facts.points.flown if str(one) == words)

    def wires_of(self, key: str, value: str) -> list[Any]:
        return [w for w in self.design.wires.values() if getattr(w, key) == value]

    # ---- Lists of what is built

    def wire(self, row: Row, heading: str) -> Wanted | None:
        """A wire as its file has it."""
        wire = self.design.wires[row["wire"]]
        return {
            "length, m": wire.length,
            "insulation rating, C": wire.insulation,
            "insulation, C": wire.insulation,
        }.get(heading)

    def loading(self, row: Row, heading: str) -> Wanted | None:
        wire, name = self.design.wires[row["wire"]], row["wire"]
        match heading:
            case "current, A":
                return abs(self.flown(row["state"]).amps[f"wires/{name}"])
            case "voltage drop, V":
                volts = self.flown(row["state"]).volts
                return abs(volts[wire.from_] - volts[wire.to])
            case "current while cranking, A":
                cranking = self.facts.wires.while_cranking
                return max(abs(self.facts.points.point(one).amps[f"wires/{name}"]) for one in cranking)
            case "current while held, A":
                return self._held(*row["switch held"].split(" at "))[f"wires/{name}"]
            case "current of limit, %":
                share = 100 * self.loading(row, "current, A") / row["limit, A"]  # type: ignore[operator]
                return share - 0.52, share + 0.52  # of a limit that is rounded itself
            case "ambient, C":
                zone = self.design.aircraft.zones.get(row["zone of its ambient"])
                return (
                    zone.max_ambient
                    if zone and zone.max_ambient is not None
                    else self.design.aircraft.ambient
                )
            case "wires in bundle":
                return len(self.wires_of("bundle", wire.bundle)) if wire.bundle else 1
            case "limit, A":
                return self.facts.wires.wire_loads.worst(name)[1].ampacity.amperes
            case "bundle used, %":
                return 0.0, 100.0
        return self.wire(row, heading)

    def _held(self, switch: str, position: str) -> Mapping[str, float]:
        """The currents in normal flight with one switch held, what runs only then at its peak."""
        design, network, normal = self.facts.design, self.facts.network, self.facts.states.answers()[0]
        held = replace(normal.state, name="held", switches={**normal.state.switches, switch: position})
        answer = solve_states(design, network, [held])["held"]
        loads = {f"parts/{n}": part for n, part in design.parts.items() if isinstance(part, p.Consumer)}
        new = {e: v for e, v in loads.items() if answer.healthy.powered[e] > normal.healthy.powered[e]}
        figures = Figures(loads={e: v.peak for e, v in new.items() if v.peak is not None})
        return {e: abs(amps) for e, amps in self.facts.points.solved_of(answer, figures).amps.items()}

    def summary(self, row: Row, heading: str) -> Wanted | None:
        every = row["gauge"] == "all wire"
        which = [w for n, w in self.design.wires.items() if every or n in row["names of wires"].split(", ")]
        if heading == "mass, conductor only, g":
            return sum(w.length * self._area(w) * COPPER for w in which)
        return {
            "wires": len(which),
            "length, m": sum(w.length for w in which),
            "wires without a length": 0,
        }[heading]

    def _area(self, wire: Any) -> float:
        """The conductor of a gauge in mm2, which is grams of a metre over the density."""
        return PRINTED["copper_wire/aircraft"][wire.size.removesuffix(" AWG")][-1] * MIL

    def work(self, row: Row, heading: str) -> Wanted | None:
        parts, wires = (row[f"names of {what}"].split(", ") for what in ("parts", "wires"))
        lengths = [self.design.wires[w].length for w in wires if w]
        return {
            "parts": len([name for name in parts if name]),
            "wires": len(lengths),
            "length of wire, m": sum(lengths),
            "wires without a length": 0,
        }[heading]

    def bundle(self, row: Row, heading: str) -> Wanted | None:
        which = self.wires_of("bundle", row["bundle"])
        return {"wires": len(which), "longest wire, m": max(w.length for w in which)}[heading]

    def connector(self, row: Row, heading: str) -> Wanted | None:
        if heading == "pin rating, A":
            return self.design.part(row["connector"], p.Connector).pin_rating
        on = [w for w in (row["plug: wire"], row["socket: wire"]) if w]
        return max(self.amperes[w] for cell in on for w in cell.split(", "))

    def interface(self, row: Row, _: str) -> Wanted | None:
        return self.amperes[row["wire"]]

    def stack(self, row: Row, heading: str) -> Wanted | None:
        """A stud with all its terminals, or one terminal: wires, shields and cases that end there."""
        at, stud = row["stud or tab"], "." not in row["stud or tab"]

        def here(end: str | None) -> bool:
            return end is not None and (end.partition(".")[0] if stud else end) == at

        ends = sum(here(e) for w in self.design.wires.values() for e in (w.from_, w.to, *(w.shield or ())))
        cases = sum(here(getattr(part, "mounted_on", None)) for part in self.design.parts.values())
        return ends + cases if heading == "terminals on it" else (1, ends + cases)

    def terminal(self, row: Row, _: str) -> Wanted | None:
        """Ends of wires of one gauge at the terminals that the row names; splices themselves."""
        at = row["fitted at"].split(", ")
        if row["kind"] == "splice":
            return len(at)
        if row["gauge"] == "shield":
            return sum(e in at for w in self.design.wires.values() for e in w.shield or ())
        return sum(
            e in at for w in self.design.wires.values() if w.size == row["gauge"] for e in (w.from_, w.to)
        )

    def part(self, row: Row, _: str) -> Wanted | None:
        return len(row["names"].split(", "))

    def label(self, row: Row, _: str) -> Wanted | None:
        """A part has one; a wire and a bundle one at each end, a connector one on each half."""
        return 2 if row["of a"] in ("wire", "bundle") or row["where"] == "plug and socket" else 1

    def ground(self, row: Row, _: str) -> Wanted | None:
        return self.design.wires[row["connected here"].removeprefix("wire ")].length

    def open_item(self, row: Row, _: str) -> Wanted | None:
        """The names of the subject; of a cause its findings."""
        if row["what"].startswith("cause "):
            number = int(row["what"].removeprefix("cause ").partition(",")[0])
            return len(dict(self.review.numbered)[number].standing)
        return len(row["subject"].split(", "))

    def protection(self, row: Row, heading: str) -> Wanted | None:
        part, above = self.design.part(row["name"], p.Protector), row["next protection upstream"]
        if heading == "rating ratio":
            return self.design.part(above, p.Protector).rating / part.rating
        return {"rating, A": part.rating, "spares": getattr(part, "spares", None)}[heading]

    # ---- What is solved

    def volts(self, row: Row, heading: str) -> Wanted | None:
        part = self.design.parts[row["name"]]
        if heading in ("minimum, V", "maximum, V"):
            return getattr(part, heading[:7])
        point = self.facts.points.operating_point(heading.removesuffix(", V"))
        if row["quantity"] == "load, supply to return":
            return point.across.get(f"parts/{row['name']}", 0.0)
        ends = {"alternator": ".output", "converter": ".output", "bus": ""}
        return point.volts[row["name"] + ends.get(part.kind, ".positive")]

    def current(self, row: Row, heading: str) -> Wanted | None:
        if heading == "rating, A":
            return self.design.parts[row["name"]].rating
        point, element = (
            self.facts.points.operating_point(heading.removesuffix(", A")),
            f"parts/{row['name']}",
        )
        of = {"source output": point.given, "load current": point.taken, "coil current": point.coils}
        return of.get(row["quantity"], point.amps).get(element, 0.0)

    def reading(self, row: Row, heading: str) -> Wanted | None:
        monitor = self.design.watch.monitors[row["monitor"]]
        if heading in ("low alarm", "high alarm"):
            return monitor.alarm_below if heading == "low alarm" else monitor.alarm_above
        return self.facts.points.operating_point(heading).readings[row["monitor"]].value

    def drop(self, row: Row, heading: str) -> Wanted | None:
        """The volts at a load are a point's; what its run loses is what `reviewer wires` answers."""
        if heading == "lowest voltage, V":
            return self.flown(row["state of the lowest voltage"]).across[f"parts/{row['load']}"]
        found = next(one for one in self.wires.loads if one.load == row["load"])
        return found.peak.run.volts if heading == "voltage drop at its peak, V" else found.continuous[1].volts

    @cached_property
    def wires(self) -> WireTable:
        return wire_table(self.facts)

    def declared(self, row: Row, heading: str) -> Wanted | None:
        if heading == "peak, A":
            return self.design.parts[row["load"]].peak
        phase = heading.partition(" (")[0]
        column = {
            r[0]: r[self.tables["declared-loads"].columns.index(heading)]
            for r in self.tables["declared-loads"].rows
        }
        if row["load"] == "total declared":
            return sum(v for n, v in column.items() if n in self.design.parts and not isinstance(v, str))
        if row["load"] == "rating of the running alternators":
            state = self.facts.states.answer(self.design.operation.phases[phase].state)
            alternators = self.design.of_kind(p.Alternator)
            return sum(self.design.parts[a].rating for a in alternators if state.healthy.alive[f"parts/{a}"])
        current = self.design.parts[row["load"]].current
        state = self.facts.states.answer(self.design.operation.phases[phase].state)
        on = state.healthy.powered[f"parts/{row['load']}"]
        return (current.get(phase) if isinstance(current, Mapping) else current) or 0.0 if on else 0.0

    def generating(self, row: Row, heading: str) -> Wanted | None:
        phase, name = row["phase"], row[self.tables["generating-capacity"].columns[2]]
        point = self.flown(next(str(f) for f in self.facts.points.flown if f.phase == phase))
        batteries = [
            point.given[f"parts/{b}"] for b in self.design.of_kind(p.Battery) if f"parts/{b}" in point.given
        ]
        if name == "batteries alone":
            assert not any(
                a > 0
                for source, a in point.given.items()
                if source.removeprefix("parts/") not in self.design.of_kind(p.Battery)
            )
            flows = {"batteries charge, A": [-a for a in batteries], "batteries discharge, A": batteries}
            return sum(max(0.0, a) for a in flows[heading])
        output, most = point.given[f"parts/{name}"], self.design.parts[name].rating
        match heading:
            case "output, A":
                return output
            case "batteries charge, A":
                return sum(max(0.0, -a) for a in batteries)
            case "batteries discharge, A":
                return sum(max(0.0, a) for a in batteries)
            case "capacity, A":
                return 0.0, most
            case "margin, A":
                return row["capacity, A"] - row["demand at its set point, A"]
            case "demand at its set point, A":
                return output - 0.01, inf
            case "continuous load, %":
                share = 100 * row["demand at its set point, A"] / row["capacity, A"]
                return share - 0.52, share + 0.52
            case "limit, %":
                return 80.0, 100.0
        return None

    def charge(self, row: Row, heading: str) -> Wanted | None:
        name, part = row["battery"], self.design.part(row["battery"], p.Battery)
        flat = not row["state of charge"].startswith("as normal")
        if heading == "maximum charging current, A":
            return part.max_charge_current
        if heading == "charging current, A":
            return (0.0, inf) if flat else -self.flown(row["state (phase)"]).given[f"parts/{name}"]
        if heading == "terminal voltage, V":
            volts = self.flown(row["state (phase)"]).volts
            return volts[f"{name}.positive"] - volts[f"{name}.negative"]
        stated = {"minimum, V": part.min_charge_voltage, "maximum, V": part.max_charge_voltage}[heading]
        return (
            stated
            if stated is not None
            else (self.design.aircraft.volts * 0.9, self.design.aircraft.volts * 1.1)
        )

    def overvoltage(self, row: Row, heading: str) -> Wanted | None:
        return {
            "trip voltage or limit, V": self.design.part(row["alternator"], p.Alternator).overvoltage_trip
        }.get(heading, (0.0, inf))  # type: ignore[return-value]

    # ---- Batteries, as `budget` has them

    def battery(self, row: Row, heading: str) -> Wanted | None:
        found = self.facts.endurance.endurance_of(row["battery"])
        match heading:
            case "endurance, min":
                return found.seconds / 60 - 0.1, found.seconds / 60
            case "required, min":
                return found.wanted / 60
            case "margin, min":
                margin = (found.seconds - found.wanted) / 60
                return margin - 0.1, margin
            case "state of charge at the loss, %":
                return 100 * found.begins
            case "terminal voltage before the loss, V":
                return found.charging_v
        return None

    def segment(self, row: Row, heading: str) -> Wanted | None:
        found = self.facts.endurance.endurance_of(row["battery"]).found
        names = [run.name for run in found.runs]
        run = found.runs[names.index(row["segment"])]
        before = sum(r.seconds for r in found.runs[: names.index(row["segment"])]) / 60
        return {
            "start, min": (before - 0.1, before),
            "duration, min": (run.seconds / 60 - 0.1, run.seconds / 60),
            "initial current, A": run.first_a,
            "final current, A": run.last_a,
            "state of charge left, %": 100 * run.charge,
        }[heading]

    def by_hours(self, row: Row, heading: str) -> Wanted | None:
        """Three quarters of the rated capacity over the mean current of the discharge, at least the smallest."""
        found = self.facts.endurance.endurance_of(row["battery"])
        if heading == "endurance in this review, min":
            return found.seconds / 60 - 0.1, found.seconds / 60
        currents = [a for run in found.found.runs for a in (run.first_a, run.last_a)]
        hours = 0.75 * self.design.part(row["battery"], p.Battery).capacity  # type: ignore[operator]
        return 60 * hours / max(currents) - 0.1, 60 * hours / min(currents)

    def capacity_test(self, row: Row, heading: str) -> Wanted | None:
        """The current is the rated one or that of a discharge; a time is the capacity over it, or less
        at more than the rated current, by an exponent of 1 to 1.4."""
        part = self.design.part(row["battery"], p.Battery)
        amps = row["test current, A"]
        if heading == "test current, A":
            runs = self.facts.endurance.endurance_of(row["battery"]).found.runs
            rated = part.capacity / (part.capacity_rate or 3600.0) * 3600.0 if part.capacity_rate else None
            return (
                max(r.first_a for r in runs)
                if row["current is"].startswith("largest")
                else rated or (0.0, inf)
            )
        if heading == "end voltage, V":
            return self.design.aircraft.volts * 0.6, self.design.aircraft.volts
        minutes = 60 * part.capacity / amps
        return minutes / 3, minutes * 1.001

    def drain(self, row: Row, heading: str) -> Wanted | None:
        return (0.0, row["maximum drain, mA"]) if heading.startswith("minimum drain") else (0.0, inf)

    # ---- Signs

    def pattern(self, row: Row, heading: str) -> Wanted | None:
        causes = row["possible causes"].split("; ")
        return len(causes) if heading == "number of causes" else (len(causes), inf)

    def failures(self, row: Row, _: str) -> Wanted | None:
        """At least one for each name of what fails; the terminals of shorts are names too."""
        return 1, len(re.findall(r"[\w.-]+", row["what fails"]))

    def indication(self, row: Row, _: str) -> Wanted | None:
        cards = {r[0] for r in self.tables["checklists"].rows}
        assert {int(n) for n in str(row["cards"]).split(", ")} <= cards
        return float(str(row["cards"]).split(", ")[0])

    def assumed(self, row: Row, _: str) -> Wanted | None:
        return len(self.facts.endurance.endurance_of(row["battery"]).typical)

    def card(self, row: Row, heading: str) -> Wanted | None:
        return {"card": (1, inf), "number": (1, 20)}[heading]


#: which way traces each sheet
WAYS: dict[str, Callable[[Traced, Row, str], Wanted | None]] = {
    "wire-list": Traced.wire,
    "wire-currents": Traced.loading,
    "wire-summary": Traced.summary,
    "work": Traced.work,
    "bundles": Traced.bundle,
    "connectors": Traced.connector,
    "interfaces": Traced.interface,
    "ring-terminals": Traced.stack,
    "terminals": Traced.terminal,
    "parts": Traced.part,
    "labels": Traced.label,
    "ground-map": Traced.ground,
    "open-work": Traced.open_item,
    "circuit-protection": Traced.protection,
    "voltages": Traced.volts,
    "currents": Traced.current,
    "monitor-readings": Traced.reading,
    "voltage-drops": Traced.drop,
    "declared-loads": Traced.declared,
    "generating-capacity": Traced.generating,
    "charging": Traced.charge,
    "overvoltage": Traced.overvoltage,
    "endurance": Traced.battery,
    "discharge-timeline": Traced.segment,
    "printed-endurance": Traced.by_hours,
    "capacity-tests": Traced.capacity_test,
    "endurance-assumptions": Traced.assumed,
    "parasitic-drain": Traced.drain,
    "trouble-shooting": Traced.pattern,
    "failure-effects": Traced.failures,
    "indications": Traced.indication,
    "checklists": Traced.card,
}


@pytest.fixture(scope="module", params=PATHS)
def traced(request: pytest.FixtureRequest) -> Traced:
    return Traced(request.param)


def numbers(table: Schedule) -> Iterator[tuple[Row, str, float]]:
    for row in table.rows:
        of = dict(zip(table.columns, row, strict=True))
        yield from ((of, heading, cell) for heading, cell in of.items() if not isinstance(cell, str))


def half_a_digit(table: Schedule, heading: str) -> float:
    """Half of the last digit that a column shows."""
    column = [str(row[table.columns.index(heading)]) for row in table.rows]
    digits = max(
        (len(cell.partition(".")[2]) for cell in column if re.fullmatch(r"-?\d+\.\d+", cell)), default=0
    )
    return 0.51 * 10.0**-digits


def test_every_number_is_traced(traced: Traced) -> None:
    seen: dict[str, int] = {}
    for key, table in traced.tables.items():
        if key in ELSEWHERE:
            assert (ROOT / ELSEWHERE[key]).exists()
            continue
        for row, heading, cell in numbers(table):
            wanted = WAYS[key](traced, row, heading)
            where = f"{key}, {heading}: {cell} of {dict(row)}"
            assert wanted is not None, where
            if isinstance(wanted, tuple):
                assert wanted[0] - 1e-6 <= cell <= wanted[1] + 1e-6, (where, wanted)
            else:
                slack = 0.0 if isinstance(wanted, int) else half_a_digit(table, heading)
                assert cell == pytest.approx(wanted, abs=slack), (where, wanted)
            seen[key] = seen.get(key, 0) + 1
    assert len(seen) > 20 and sum(seen.values()) > 2500


def copper(wire: Any) -> float:
    """The ohms of a wire: its own, else the printed ones of its gauge over its length."""
    if wire.resistance is not None:
        return float(wire.resistance)
    per_foot = PRINTED["copper_wire/aircraft"][wire.size.removesuffix(" AWG")][3] / 1000
    return float(wire.length * FEET * per_foot)


def test_the_ohms_of_bonds_are_those_of_their_wire_and_their_limit_is_the_file_s(traced: Traced) -> None:
    table = traced.tables["power-up-cards"]
    rows = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
    bonds = [row for row in rows if row["card"] == "bonds and ground leads" and row["unit"] == "ohm"]
    assert {row["if out of limits suspect"] for row in bonds} == {
        name for name, wire in traced.design.wires.items() if wire.max_resistance is not None
    }
    for row in bonds:
        wire = traced.design.wires[row["if out of limits suspect"]]
        assert row["expected"] == pytest.approx(copper(wire), abs=0.6e-4)
        assert (row["minimum"], row["maximum"]) == (0, pytest.approx(wire.max_resistance, abs=0.6e-4))


def drawn(design: Design, at: Mapping[str, str]) -> nx.Graph:
    """Wires and closed contacts as resistors between terminals, with all circuit protection out.

    Each terminal of a bar, a block and a piece of structure is joined to it by a ring terminal.
    """
    graph: nx.MultiGraph = nx.MultiGraph()

    posts = {end for wire in design.wires.values() for end in (wire.from_, wire.to)}
    posts |= {part.mounted_on for part in design.parts.values() if getattr(part, "mounted_on", None)}
    for end in posts:
        name = end.partition(".")[0]
        if design.parts[name].open_ended:
            graph.add_edge(end, name, ohms=RING)
    for wire in design.wires.values():
        graph.add_edge(wire.from_, wire.to, ohms=copper(wire))
    for name, part in design.parts.items():
        own = getattr(part, "resistance", None)
        if isinstance(part, p.Connector):
            for pin in part.pins:
                ends = (f"{name}.{pin}-plug", f"{name}.{pin}-socket")
                graph.add_edge(*ends, ohms=PIN if own is None else own)
        elif isinstance(part, p.Switch):
            for one, other in part.positions[at.get(name, part.at_rest)]:
                graph.add_edge(f"{name}.{one}", f"{name}.{other}", ohms=CONTACT if own is None else own)
        elif isinstance(part, p.Shunt):
            graph.add_edge(f"{name}.line", f"{name}.load", ohms=0.05 / part.rating if own is None else own)
        for contact in getattr(part, "contacts", {}).values():
            if contact.kind != "make":
                one, other = contact.joins[0], contact.joins[-1]
                graph.add_edge(f"{name}.{one}", f"{name}.{other}", ohms=RELAY if own is None else own)
        returns = getattr(part, "returns", ())
        for one, other in pairwise(returns):  # joined inside the unit
            graph.add_edge(f"{name}.{one}", f"{name}.{other}", ohms=RING)
        if getattr(part, "mounted_on", None):
            for end in (*returns, "ground"):
                graph.add_edge(f"{name}.{end}", part.mounted_on, ohms=RING)
    return nx.Graph(
        (a, b, {"ohms": 1 / sum(1 / max(each["ohms"], 1e-9) for each in graph[a][b].values())})
        for a, b in graph.edges()
        if a != b
    )


def test_the_ohms_of_a_circuit_are_those_of_a_network_drawn_beside_it(traced: Traced) -> None:
    """From protection to load and from load to the main negative, in the switch positions of the card."""
    table, seen = traced.tables["power-up-cards"], 0
    rest = rest_positions(traced.design)
    for row, heading, cell in numbers(table):
        if heading != "expected" or not row["card"].startswith("continuity of ") or row["unit"] != "ohm":
            continue
        moved = dict(
            item.replace(" held at ", " ").rsplit(" ", 1)
            for item in row["set"].split(", ")[1:]
            if item != "all switches off"
        )
        one, other = row["look at"].removeprefix("ohms from ").split(" to ")
        graph = drawn(traced.design, {**rest, **moved})
        ends = []
        for end in (one, other):
            owner = re.fullmatch(r"the (\w+) lead of (.+)", end)
            named = f"{owner[2]}.{owner[1]}" if owner else end
            ends.append(named if named in graph else named.partition(".")[0])
        piece = graph.subgraph(nx.node_connected_component(graph, ends[0]))
        ohms = nx.resistance_distance(piece, *ends, weight="ohms", invert_weight=True)
        assert cell == pytest.approx(ohms, abs=0.6e-4), (row["card"], row["look at"])
        seen += 1
    assert seen > 20
