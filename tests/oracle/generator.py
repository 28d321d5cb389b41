"""Seeded aircraft for the comparison of the engine with the plain evaluator: plausible ones of any size."""

from __future__ import annotations

from random import Random
from typing import NamedTuple

from reviewer.model.design import Design
from tests.oracle.awkward import awkward
from tests.oracle.scenarios import random_cases, random_states
from tests.oracle.workbench import Dress, Workbench

__all__ = ["awkward", "random_cases", "random_states", "realistic"]

DEEPEST = 2  # a centre hangs on one of the main buses, or on a centre that does


class Centre(NamedTuple):
    """A place where loads hang: its bus, ground block and connector, and how many centres are between it and a main bus."""

    bus: str
    ground: str
    plug: str = ""
    depth: int = 0


def realistic(parts: int, seed: int, dress: Dress | None = None) -> Design:
    """A plausible aircraft of about ``parts`` parts (from 80), with functions and 4 to 12 states (12 from 500 parts on).

    Main and reserve battery, alternator, ground power, contactors, a bus for each purpose, load centres with their own bus, ground
    block and connector, and loads that hang on these by breakers and switches.
    """
    chance = Random(f"realistic {parts} {seed}")
    bench = Workbench(chance, chance.choice(["metal", "composite"]))
    _grounds(bench)
    _sources(bench)
    _buses(bench, seed % 2 == 1)
    centres = [
        Centre("main-bus", "panel-ground"),
        Centre("essential-bus", "panel-ground"),
        Centre("avionics-bus", "avionics-ground"),
    ]
    loads: list[str] = []
    while len(bench.parts) < parts:
        # a centre for about every forty parts, so that the tree grows with the aircraft
        if len(bench.parts) > 40 * (len(centres) - 1):
            centres.append(_centre(bench, len(centres), centres))
        else:
            loads.append(_load(bench, len(loads) + 1, chance.choice(centres)))
    _automatic(bench, loads, Random(f"automatic {parts} {seed}"))
    if seed % 3 == 1:
        _chargers(bench)
    bench.add("trimmer", "potentiometer", resistance="100 ohm")
    bench.wire("main-bus", "trimmer.a")
    bench.wire("trimmer.wiper", "panel-ground")
    bench.add("panel-dimmer", "dimmer")
    bench.add("panel-lights", "load")
    bench.run("main-bus", [("panel-dimmer.input", "panel-dimmer.output")], "panel-lights.supply")
    bench.wire("panel-dimmer.ground", "panel-ground")
    bench.wire("panel-lights.return", "panel-ground")
    _functions(bench, loads)
    _magnetos(bench)
    _states(bench, 12 if parts >= 500 else chance.randint(4, 12))
    return bench.design(f"Invented aircraft of {parts} parts, seed {seed}", dress)


def _grounds(bench: Workbench) -> None:
    bench.add("structure", "airframe")
    bench.add("engine", "airframe", material="metal")
    for name in ("main-ground", "panel-ground", "avionics-ground"):
        bench.add(name, "ground-block")
    bench.wire("engine", "main-ground")
    bench.wire("engine", "structure")
    bench.wire("main-ground", "structure")
    bench.wire("panel-ground", "main-ground", "panel")
    bench.wire("avionics-ground", "main-ground", "panel")
    if bench.airframe == "metal":
        bench.wire("panel-ground", "structure")


def _sources(bench: Workbench) -> None:
    bench.add("main-battery", "battery")
    bench.add("reserve-battery", "battery", purpose="reserve")
    bench.add("alternator", "alternator")
    bench.add("ground-socket", "external-power")
    bench.add("post", "stud")
    bench.wire("main-battery.positive", "post")
    bench.wire("main-battery.negative", "main-ground")
    bench.add("reserve-ground", "ground-block")
    bench.wire("reserve-battery.negative", "reserve-ground", "aft")
    bench.wire("reserve-ground", "main-ground", "aft")
    bench.wire("alternator.ground", "engine")
    bench.add("smoothing", "capacitor", capacitance="22 mF", voltage="25 V")
    bench.wire("alternator.output", "smoothing.positive")
    bench.wire("smoothing.negative", "engine")
    bench.wire("ground-socket.negative", "main-ground")
    make = {"main": {"kind": "make", "joins": ["line", "load"]}}
    bench.add("main-contactor", "contactor", coil=["line", "coil"], contacts=make)
    bench.wire("post", "main-contactor.line")
    bench.run("main-contactor.coil", [bench.switch("master")], "main-ground", "panel")
    # the socket's own contactor pulls in by the power that is plugged in, and only with the right polarity
    bench.add("socket-contactor", "contactor", coil=["coil-plus", "coil-minus"], contacts=make)
    bench.add("socket-diode", "diode")
    bench.wire("ground-socket.positive", "socket-contactor.line")
    bench.run(
        "ground-socket.positive",
        [("socket-diode.anode", "socket-diode.cathode")],
        "socket-contactor.coil-plus",
    )
    bench.run("socket-contactor.coil-minus", [bench.switch("socket-switch")], "main-ground", "panel")
    bench.wire("socket-contactor.load", "main-contactor.load")
    bench.add("starter-contactor", "contactor", coil=["coil-plus", "coil-minus"], contacts=make)
    bench.add("starter", "load", mounted_on="engine.starter")
    bench.wire("main-contactor.load", "starter-contactor.line")
    bench.wire("starter-contactor.load", "starter.supply")
    bench.wire("starter-contactor.coil-minus", "engine")


def _chargers(bench: Workbench) -> None:
    """The reserve is charged by the sun, and from the main bus; a converter feeds a bus of its own."""
    solar = {"from": "solar", "current_limit": "2 A"}
    bench.add("solar-charger", "charger", **solar)
    bench.run("solar-charger.positive", [bench.protector("solar-fuse", "fuse")], "reserve-battery.positive")
    bench.wire("solar-charger.negative", "reserve-ground")
    fed = {"from": "another-bus", "current_limit": "5 A"}
    bench.add("reserve-charger", "charger", **fed)
    bench.run("main-bus", [bench.protector("charger-breaker")], "reserve-charger.input", "aft")
    bench.wire("reserve-charger.input-return", "reserve-ground", "aft")
    bench.run(
        "reserve-charger.positive", [bench.protector("charger-fuse", "fuse")], "reserve-battery.positive"
    )
    bench.wire("reserve-charger.negative", "reserve-ground", "aft")
    bench.add("converter", "converter")
    bench.add("cabin-bus", "bus")
    bench.run("main-bus", [bench.protector("converter-breaker")], "converter.input", "panel")
    bench.wire("converter.output", "cabin-bus")
    bench.wire("converter.ground", "panel-ground", "panel")
    bench.add("cabin-load", "load", nominal="5 V")
    bench.wire("cabin-bus", "cabin-load.supply", "panel")
    bench.wire("cabin-load.return", "panel-ground", "panel")


def _regulator(bench: Workbench, field: list[tuple[str, str]]) -> None:
    """A regulator that stands apart, its supply behind ``field``."""
    bench.add(
        "regulator",
        "regulator",
        regulates="alternator",
        without_sense="no-output",
        without_ground="full-field",
    )
    bench.run("main-bus", field, "regulator.supply", "panel")
    bench.wire("regulator.field", "alternator.field")
    bench.run("main-bus", [bench.protector("sense-fuse", "fuse")], "regulator.sense", "panel")
    bench.wire("regulator.ground", "engine")


def _buses(bench: Workbench, apart: bool) -> None:
    for name in ("main-bus", "essential-bus", "avionics-bus"):
        bench.add(name, "bus")
    bench.add("bus-shunt", "shunt")
    bench.run(
        "main-contactor.load",
        [("bus-shunt.line", "bus-shunt.load"), bench.protector("bus-limiter", "limiter")],
        "main-bus",
    )
    bench.run("main-contactor.load", [bench.protector("alternator-limiter", "limiter")], "alternator.output")
    field = [bench.protector("field-breaker"), bench.switch("alternator-switch")]
    if apart:
        _regulator(bench, field)
    else:
        bench.run("main-bus", field, "alternator.field", "panel")
    bench.add(
        "start-button", "switch", positions={"released": [], "start": [["line", "load"]]}, momentary=["start"]
    )
    start = [bench.protector("start-breaker"), ("start-button.line", "start-button.load")]
    bench.run("main-bus", start, "starter-contactor.coil-plus", "panel")
    bench.run(
        "main-bus",
        [bench.protector("avionics-breaker"), bench.switch("avionics-master")],
        "avionics-bus",
        "panel",
    )
    # the essential bus: from the main bus by a diode, from the reserve by a relay that lets go while the main bus holds it
    bench.add("essential-diode", "diode")
    bench.run(
        "main-bus",
        [bench.protector("essential-breaker"), ("essential-diode.anode", "essential-diode.cathode")],
        "essential-bus",
        "panel",
    )
    bench.add(
        "reserve-relay",
        "relay",
        coil=["plus", "minus"],
        contacts={"main": {"kind": "break", "joins": ["line", "load"]}},
    )
    bench.run("main-bus", [bench.protector("relay-breaker")], "reserve-relay.plus", "aft")
    bench.wire("reserve-relay.minus", "reserve-ground", "aft")
    reserve = [
        bench.protector("reserve-limiter", "limiter"),
        ("reserve-relay.line", "reserve-relay.load"),
        bench.switch("reserve-switch"),
    ]
    bench.run("reserve-battery.positive", reserve, "essential-bus", "aft")
    bench.add("charge-diode", "diode")
    bench.add("charge-resistor", "resistor", resistance="1 ohm", power="50 W")
    charge = [
        bench.protector("charge-breaker"),
        ("charge-resistor.a", "charge-resistor.b"),
        ("charge-diode.anode", "charge-diode.cathode"),
        bench.protector("charge-fuse", "fuse"),
    ]
    bench.run("main-bus", charge, "reserve-battery.positive", "aft")


def _centre(bench: Workbench, number: int, centres: list[Centre]) -> Centre:
    """Add a load centre: its bus, ground block and connector, fed from one that stands already."""
    chance, name = bench.chance, f"centre-{number}"
    above = [centre for centre in centres if centre.depth < DEEPEST]
    parent, ground, _, depth = chance.choice(above)
    bus, block = bench.add(f"{name}-bus", "bus"), bench.add(f"{name}-ground", "ground-block")
    pins = [str(pin) for pin in range(1, 9)]
    plug = bench.add(f"{name}-plug", "connector", pins=pins)
    feed = [bench.protector(f"{name}-limiter", "limiter")]
    if chance.random() < 0.4:
        feed.append(bench.switch(f"{name}-switch"))
    if chance.random() < 0.3:
        bench.add(f"{name}-shunt", "shunt")
        feed.append((f"{name}-shunt.line", f"{name}-shunt.load"))
    kind = chance.random()
    if kind < 0.3:
        bench.add(
            f"{name}-relay",
            "relay",
            coil=["plus", "minus"],
            contacts={"main": {"kind": "make", "joins": ["line", "load"]}},
        )
        bench.run(
            parent,
            [bench.protector(f"{name}-relay-breaker"), bench.switch(f"{name}-relay-switch")],
            f"{name}-relay.plus",
            name,
        )
        bench.wire(f"{name}-relay.minus", block, name)
        feed.append((f"{name}-relay.line", f"{name}-relay.load"))
    if kind > 0.7:
        # two ways in, each by a diode, as where two buses hold up one and must not feed each other
        one, two = (bench.add(f"{name}-{which}-diode", "diode") for which in ("first", "second"))
        feed.append((f"{one}.anode", f"{one}.cathode"))
        bench.run(
            chance.choice(above).bus,
            [bench.protector(f"{name}-second-breaker"), (f"{two}.anode", f"{two}.cathode")],
            bus,
            name,
        )
    bench.run(parent, feed, bus, name)
    bench.wire(block, ground, name)
    if bench.airframe == "metal" and chance.random() < 0.5:
        bench.wire(block, "structure")
    return Centre(bus, block, plug, depth + 1)


def _load(bench: Workbench, number: int, centre: Centre) -> str:
    """Add a load with its protector, perhaps a switch, a pin of the centre's connector and a splice."""
    chance, name = bench.chance, f"load-{number}"
    bus, ground, plug, _ = centre
    bundle = bus.removesuffix("-bus")
    chain = [
        bench.protector(f"{name}-breaker", chance.choice(["breaker", "breaker", "fuse", "breaker-switch"]))
    ]
    if chance.random() < 0.45:
        chain.append(bench.switch(f"{name}-switch"))
    pin = bench.used.get(f"{plug} pins", 0) + 1
    if plug and pin <= 8 and chance.random() < 0.6:
        bench.used[f"{plug} pins"] = pin
        chain.append((f"{plug}.{pin}-plug", f"{plug}.{pin}-socket"))
    if chance.random() < 0.25:
        splice = bench.add(f"{name}-splice", "splice")
        chain.append((f"{splice}.in", f"{splice}.out"))
    kind = chance.random()
    if kind < 0.25:
        returns = {
            "inputs": {"sense": {"signal": "in", "return": "in-return"}},
            "signal_returns": chance.choice(["joined", "isolated"]),
        }
        bench.add(name, "instrument", **returns)
        bench.add(f"{name}-sensor", "sensor")
        bench.wire(f"{name}-sensor.signal", f"{name}.in", bundle, [f"{name}.in-return"])
        bench.wire(f"{name}-sensor.return", f"{name}.in-return", bundle)
    elif kind < 0.4:
        bench.add(name, "load", supplies=["supply", "second"])
        bench.run(
            chance.choice(["essential-bus", "main-bus"]),
            [bench.protector(f"{name}-second-breaker")],
            f"{name}.second",
            bundle,
        )
    else:
        bench.add(name, "load")
    bench.run(bus, chain, f"{name}.supply", bundle)
    bench.wire(f"{name}.return", ground, bundle)
    return name


def _automatic(bench: Workbench, loads: list[str], chance: Random) -> None:
    """Lamps that are lit by switches that no hand moves; some change over between two feeds of the lamp."""
    followed = [*loads, *(n for n, part in bench.parts.items() if part["kind"] == "bus")]
    for number in (1, 2):
        name, lamp = f"automatic-{number}", f"automatic-{number}-lamp"
        sensed = (
            {} if chance.random() < 0.2 else {"follows": chance.choice([*followed, "alternator", "engine"])}
        )
        changes = not sensed or chance.random() < 0.5
        bench.add(
            name,
            "switch",
            positions={"low": [["line", "spare"]] if changes else [], "normal": [["line", "load"]]},
            operated_by=chance.choice(["pressure", "flow", "voltage", "temperature"]),
            at_rest="low",
            **sensed,
        )
        if bench.parts[name]["operated-by"] == "voltage":
            bench.parts[name]["ground"] = "earth"
            bench.wire(f"{name}.earth", "panel-ground")
        bench.add(lamp, "load", supplies=["supply", "second"] if changes else ["supply"])
        if changes:
            bench.wire(f"{name}.spare", f"{lamp}.second")
        bus = chance.choice(["main-bus", "essential-bus", "avionics-bus"])
        bench.run(
            bus, [bench.protector(f"{name}-breaker"), (f"{name}.line", f"{name}.load")], f"{lamp}.supply"
        )
        bench.wire(f"{lamp}.return", "panel-ground")
        loads.append(lamp)


def _magnetos(bench: Workbench) -> None:
    """Two magnetos with a rotary switch that grounds them, one p-lead through a connector."""
    positions = {
        "off": [["left", "ground"], ["right", "ground"]],
        "right": [["left", "ground"]],
        "left": [["right", "ground"]],
        "on": [],
    }
    bench.add("ignition-switch", "switch", positions=positions)
    bench.add("p-lead-plug", "connector", pins=["1"])
    for side, chain in (("left", []), ("right", [("p-lead-plug.1-plug", "p-lead-plug.1-socket")])):
        name = bench.add(f"{side}-magneto", "magneto", mounted_on=f"engine.{side}-magneto")
        bench.run(f"{name}.p-lead", chain, f"ignition-switch.{side}", f"{side}-p-lead")
    bench.wire("ignition-switch.ground", "panel-ground", "panel")
    magnetos = {"any": 1, "of": ["left-magneto", "right-magneto"], "loss": "catastrophic"}
    bench.functions["ignition"] = magnetos
    bench.functions["power"] = {"any": 2, "of": ["ignition", "flight-goes-on"], "loss": "catastrophic"}


def _functions(bench: Workbench, loads: list[str]) -> None:
    """Functions of one, two or three loads, and of those again."""
    chance, made = bench.chance, []
    for number in range(1, 3 + len(loads) // 6):
        of = chance.sample(loads, min(len(loads), chance.choice([1, 2, 2, 3])))
        bench.functions[f"function-{number}"] = {
            "any": chance.randint(1, len(of)),
            "of": of,
            "loss": chance.choice(["major", "hazardous", "catastrophic"]),
        }
        made.append(f"function-{number}")
    bench.functions["flight-goes-on"] = {"any": len(made) - 1, "of": made, "loss": "catastrophic"}


def _states(bench: Workbench, count: int) -> None:
    """The states that every checklist has, then some with switches set otherwise."""
    off = bench.turned("off")
    known = {
        "cruise": {"engine": "running", "switches": bench.turned(socket_switch="off")},
        "master-off": {
            "use": "abnormal",
            "engine": "running",
            "switches": bench.turned(master="off", alternator_switch="off"),
        },
        "cranking": {
            "use": "ground",
            "engine": "cranking",
            "switches": bench.turned(start_button="start", avionics_master="off"),
        },
        "parked": {"use": "ground", "engine": "stopped", "switches": off},
        "alternator-off": {
            "use": "abnormal",
            "engine": "running",
            "switches": bench.turned(alternator_switch="off", socket_switch="off"),
        },
        "plugged-in": {
            "use": "ground",
            "engine": "stopped",
            "external-power": "connected",
            "switches": bench.turned(alternator_switch="off"),
        },
        "field-pulled": {
            "use": "abnormal",
            "engine": "running",
            "pulled": ["field-breaker"],
            "switches": bench.turned(),
        },
    }
    if "solar-charger" in bench.parts:
        for name in ("cruise", "parked"):
            known[name]["chargers"] = ["solar-charger"]
    while len(known) < count:
        switches = {
            name: position if bench.chance.random() < 0.75 else off[name]
            for name, position in bench.turned().items()
        }
        known[f"setting-{len(known) + 1}"] = {"engine": "running", "switches": switches}
    bench.states.update(list(known.items())[:count])
