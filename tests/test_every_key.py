"""Every key of the design file is read by an engine, a rule or a schedule.

Each read of a field of a piece is written down while designs are reviewed and their schedules made.
What a module of the model or of the reader reads does not count, but for what it works out for
others.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, ClassVar, get_origin

import pytest

import reviewer.model.design  # noqa: F401, every piece of a design is declared then
from reviewer.model.parts import Part, Stud
from reviewer.reading import read_text
from reviewer.rulebook.loader import load_rules
from reviewer.session import solved_file

#: examples are reviewed and packed under a profiler of attributes, which takes a while
pytestmark = pytest.mark.long

ROOT = Path(__file__).parent.parent
PIECE = next(base for base in Part.__mro__ if base.__name__ == "Piece")
#: what the reader alone uses: a ``kind`` tells pieces apart, each wire takes over what all wires are
#: made of, parts and states refer to the engines, standard states are made before anybody asks, and a
#: channel takes over its mechanical name and what drives it; the rows of a table become parts and wires;
#: what is fitted later is taken out of the parts and wires
READER_ONLY = {
    "Aircraft.wire",
    "Aircraft.engines",
    "Part.fitted",
    "Wire.fitted",
    "Operation.standard_states",
    "MechanicalEntry.mechanical",
    "MechanicalEntry.driven_by",
}
READER_PIECES = {"CommonWire", "Table"}
#: what of the model works something out for others: the states with what they inherit, the ends of estimates
WORKS_OUT = ("reviewer.model.resolved_states", "reviewer.model.estimates")

#: a design with the keys that the examples leave out
SELDOM = """
format: 1
aircraft:
  name: Bench
  nominal: 14 V
  airframe: composite
  stage: detailed
  estimates: 20 %
  wire: {conductor: copper, insulation: 150 C, insulation-material: etfe}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah, cold-resistance: 0.012 ohm, cold-capacity: 70 %, open-circuit-voltage: 12.8 V}
  socket: {kind: external-power, rating: 150 A, voltage: 14 V}
  alternator: {kind: alternator, rating: 60 A, current-limit: 64 A, field-current: 3 A}
  machine: {kind: alternator, rating: 40 A, field-current: 3 A, overvoltage-trip: none}
  keeper: {kind: regulator, regulates: machine, set-point: 14.4 V, overvoltage-trip: 16 V, mounted-on: shelf.keeper}
  shelf: {kind: stud}
  main-bus: {kind: bus, rating: 80 A}
  shunt: {kind: shunt, rating: 60 A}
  bleeder: {kind: resistor, resistance: 100 ohm, power: 5 W}
  smoothing: {kind: capacitor, capacitance: 22 mF, voltage: 25 V}
  dimmer: {kind: dimmer, rating: 3 A, resistance: 0.1 ohm}
  brightness: {kind: potentiometer, resistance: 1 kohm}
  sensor: {kind: switch, operated-by: voltage, ground: earth, follows: main-bus, positions: {dead: [], live: [[line, load]]}, at-rest: dead}
  inner: {kind: breaker, reset: electronic, inside: gauge, without-supply: open, commanded-by: gauge.level-in, rating: 2 A}
  relay:
    kind: relay
    coil: [plus, minus]
    contacts:
      rest: {kind: break, joins: [rest-in, rest-out]}
      over: {kind: changeover, common: common, de-energised: low, energised: high}
  gauge:
    kind: instrument
    current: ~1 A
    internal-battery: 30 min
    outputs: {warning: {terminal: warning-out, switches: ground, when: commanded}}
    inputs: {level: {signal: level-in, reads: closed-to-ground, pull-up: 5 V, pull-up-resistance: 10 kohm}}
wires:
  P1: {from: main-battery.positive, to: shunt.line, gauge: 8 AWG, length: 1 m}
  X1: {from: main-bus.bleeder, to: bleeder.a, gauge: 20 AWG, length: 1 m}
  X2: {from: bleeder.b, to: main-battery.negative, gauge: 20 AWG, length: 1 m}
  X3: {from: alternator.output, to: smoothing.positive, gauge: 20 AWG, length: 1 m}
  X4: {from: smoothing.negative, to: main-battery.negative, gauge: 20 AWG, length: 1 m}
  X7: {from: main-bus.dimmer, to: dimmer.input, gauge: 20 AWG, length: 1 m}
  X8: {from: dimmer.ground, to: main-battery.negative, gauge: 20 AWG, length: 1 m}
  X5: {from: main-bus.brightness, to: brightness.a, gauge: 20 AWG, length: 1 m}
  X6: {from: brightness.wiper, to: main-battery.negative, gauge: 20 AWG, length: 1 m}
  P2: {from: shunt.load, to: main-bus.battery, gauge: 8 AWG, length: 1 m}
  P3: {from: alternator.output, to: main-bus.alternator, gauge: 8 AWG, length: 1 m}
  P4: {from: main-bus.field, to: alternator.field, gauge: 20 AWG, length: 1 m}
  P5: {from: main-bus.coil, to: relay.plus, gauge: 20 AWG, length: 1 m}
  P6: {from: main-bus.gauge, to: relay.common, gauge: 20 AWG, length: 1 m}
  P7: {from: relay.high, to: gauge.supply, gauge: 20 AWG, length: 1 m}
  P8: {from: socket.positive, to: main-bus.socket, gauge: 8 AWG, length: 1 m}
  P9: {from: main-bus.keeper, to: keeper.supply, gauge: 20 AWG, length: 1 m}
  P10: {from: keeper.field, to: machine.field, gauge: 20 AWG, length: 1 m}
  P11: {from: main-bus.sense, to: keeper.sense, gauge: 20 AWG, length: 1 m}
  N5: {from: machine.ground, to: main-battery.negative, gauge: 8 AWG, length: 1 m}
  P12: {from: main-bus.inner, to: inner.line, gauge: 20 AWG, length: 1 m}
  N6: {from: shelf.ground, to: main-battery.negative, gauge: 18 AWG, length: 1 m}
  N1: {from: alternator.ground, to: main-battery.negative, gauge: 8 AWG, length: 1 m}
  N2: {from: relay.minus, to: main-battery.negative, gauge: 20 AWG, length: 1 m}
  N3: {from: gauge.return, to: main-battery.negative, gauge: 20 AWG, length: 1 m}
  N4: {from: socket.negative, to: main-battery.negative, gauge: 8 AWG, length: 1 m}
operation:
  normal: cruise
  states:
    cruise: {use: flight, engine: running, outputs-on: [gauge.warning]}
    parked: {like: cruise, use: ground, engine: stopped, external-power: connected}
watch:
  monitors: {amperes: {shows: current, senses: shunt, displayed-on: gauge, alarm: ALT lamp below 2 A}}
concessions:
  - {rule: labels-are-present-and-unique, subject: parts/relay, extent: the label, reason: On the firewall., by: builder, date: 2026-04-18}
"""

#: two engines with magnetos, a mechanical pump, a charger and a converter
ENGINES = """
format: 1
aircraft: {name: Twin bench, nominal: 28 V, airframe: metal, stage: concept, uses: [day, night, ifr], engines: [left-engine, right-engine]}
parts:
  structure: {kind: airframe}
  left-magneto: {kind: magneto, mounted-on: structure.left-magneto, driven-by: left-engine}
  right-magneto: {kind: magneto, mounted-on: structure.right-magneto, driven-by: right-engine}
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}
  reserve-battery: {kind: battery, purpose: reserve, dedicated-to: [radio], chemistry: lead-acid, capacity: 7 Ah}
  alternator: {kind: alternator, rating: 60 A, driven-by: left-engine}
  charger: {kind: charger, from: another-bus, set-point: 28.8 V, current-limit: 3 A}
  converter: {kind: converter, output-voltage: 14 V, rating: 8 A, efficiency: 88 %, isolated: false}
  bus: {kind: bus}
  radio: {kind: load, type: electronic, current: 2 A}
  horn: {kind: load, type: electronic, current: 0.2 A, nominal: 14 V}
  spare-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up, off: down}
  spare-breaker: {kind: breaker-switch, rating: 5 A, normal: closed}
  pitot-heater: {kind: load, type: heater, heats: pitot-tube, current: 5 A}
  gear-switch: {kind: switch, label: GEAR, operated-by: gear, positions: {down: [], up: [[line, load]]}, at-rest: down}
wires:
  W1: {from: main-battery.positive, to: bus.battery}
  W2: {from: alternator.output, to: bus.alternator}
  W3: {from: bus.field, to: alternator.field}
  W4: {from: bus.charger, to: charger.input}
  W5: {from: charger.positive, to: reserve-battery.positive}
  W6: {from: reserve-battery.positive, to: radio.supply}
  W7: {from: bus.converter, to: converter.input}
  W8: {from: converter.output, to: gear-switch.line}
  W9: {from: gear-switch.load, to: horn.supply}
  N1: {from: main-battery.negative, to: structure.battery}
  N2: {from: alternator.ground, to: structure.alternator}
  N3: {from: charger.input-return, to: structure.charger}
  N4: {from: charger.negative, to: structure.charger}
  N5: {from: reserve-battery.negative, to: structure.reserve}
  N6: {from: radio.return, to: structure.radio}
  N7: {from: converter.ground, to: structure.converter}
  N8: {from: horn.return, to: structure.horn}
  W10: {from: bus.heat, to: pitot-heater.supply}
  N9: {from: pitot-heater.return, to: structure.heat}
functions:
  ignition: {any: 1, of: [left-magneto, right-magneto], loss: catastrophic}
  fuel: {any: 1, of: [{mechanical: engine-driven pump, driven-by: left-engine}], loss: catastrophic}
  communication: {any: 1, of: [radio], loss: {day: minor, night: minor, ifr: major}}
operation:
  standard-states: [parked, smoke]
"""


def _kinds_of_pieces(base: type) -> Iterator[type]:
    for piece in base.__subclasses__():
        yield piece
        yield from _kinds_of_pieces(piece)


def fields() -> dict[str, type]:
    """``Battery.capacity`` -> the class that declares it, for every field of every piece of a design file."""
    found = {}
    for piece in _kinds_of_pieces(PIECE):
        if piece.__module__.startswith("reviewer.model."):
            for name, annotation in vars(piece).get("__annotations__", {}).items():
                if get_origin(annotation) is not ClassVar and not name.startswith("_") and name != "kind":
                    found[f"{piece.__name__}.{name}"] = piece
    return {
        field: piece
        for field, piece in found.items()
        if field not in READER_ONLY and piece.__name__ not in READER_PIECES
    }


def _counts(module: str, reader: Any, piece: Any) -> bool:
    if module.startswith("reviewer.model."):
        own = reader.f_locals.get("self") is piece and reader.f_code.co_name not in (
            "__init__",
            "__eq__",
            "__repr__",
        )
        return own or module in WORKS_OUT
    return module.startswith("reviewer") and not module.startswith("reviewer.reading")


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> dict[str, set[str]]:
    """The fields that were read -> the modules that read them."""
    from reviewer.reports.handoff.schedules.all_tables import schedules

    found: dict[str, set[str]] = defaultdict(set)
    plain = PIECE.__getattribute__

    @cache
    def field(kind: type, name: str) -> str:
        """The field of that name with the class that declares it, or nothing."""
        return next(
            (f"{c.__name__}.{name}" for c in kind.__mro__ if name in vars(c).get("__annotations__", {})), ""
        )

    def spy(piece: Any, name: str) -> Any:
        if not name.startswith("_") and (key := field(type(piece), name)):
            reader = sys._getframe(1)
            module = reader.f_globals.get("__name__", "")
            if module not in found.get(key, ()) and _counts(module, reader, piece):
                found[key].add(module)
        return plain(piece, name)

    seldom = tmp_path_factory.mktemp("keys") / "seldom.design.yaml"
    seldom.write_text(SELDOM, encoding="utf-8")
    engines = seldom.with_name("engines.design.yaml")
    engines.write_text(ENGINES, encoding="utf-8")
    rules = load_rules([ROOT / "rules"], installed=False)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PIECE, "__getattribute__", spy)
        for path in (
            seldom,
            engines,
            *(ROOT / "examples" / f"{n}.design.yaml" for n in ("sketch", "tourer")),
        ):
            schedules(solved_file(path, rules, trials=False))
    return dict(found)


def test_every_key_of_the_format_is_read(read: dict[str, set[str]]) -> None:
    assert len(fields()) > 150
    assert sorted(set(fields()) - set(read)) == []


@pytest.mark.parametrize(
    "field",
    ["Bus.rating", "Shunt.rating", "SignalInput.pull_up_resistance", "Exclusion.because", "Zone.note"],
)
def test_what_is_only_told_stands_in_a_schedule(field: str, read: dict[str, set[str]]) -> None:
    """No engine needs these; a person who wires or flies the aircraft does."""
    assert any(".schedules." in module for module in read[field])


def test_a_key_that_nobody_reads_is_noticed(
    read: dict[str, set[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reads are counted by class: that other parts have a rating does not help the rating of a stud."""
    monkeypatch.setitem(vars(Stud)["__annotations__"], "rating", float)
    assert set(fields()) - set(read) == {"Stud.rating"}


def test_what_all_wires_are_made_of_is_taken_over_by_each_wire() -> None:
    wires = read_text(SELDOM, "seldom.yaml").wires.values()
    assert {(w.conductor, w.insulation, w.insulation_material) for w in wires} == {("copper", 150.0, "etfe")}
