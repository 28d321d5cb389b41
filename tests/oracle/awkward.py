"""Small circuits wired at random, with what makes an engine stumble: relays that hold or chase themselves, opposed diodes, loops of
buses, fields fed from several places."""

from __future__ import annotations

from random import Random
from typing import Any

from reviewer.model.design import Design
from tests.oracle.workbench import Workbench

BARS = ("bus", "bus", "splice", "stud")
LARGEST = 25


def awkward(seed: int, breaks: bool = True) -> Design:
    """A circuit of 8 to 25 parts wired at random. Without ``breaks`` no contact is closed at rest: then less fed is never more powered."""
    chance = Random(f"awkward {seed} {breaks}")
    return _Tangle(Workbench(chance, chance.choice(["metal", "composite"])), breaks).design(f"Tangle {seed}")


class _Tangle:
    """``hot`` and ``cold`` are terminals and bars on the supply's side and on the return's; what is added hangs on any of them."""

    def __init__(self, bench: Workbench, breaks: bool):
        self.bench, self.chance, self.breaks = bench, bench.chance, breaks
        self.hot: list[str] = []
        self.cold: list[str] = []
        self.number = 0

    def design(self, name: str) -> Design:
        chance, bench = self.chance, self.bench
        for _ in range(chance.randint(1, 3)):
            self.hot.append(bench.add(self._name("bar"), chance.choice(BARS)))
        self._grounds()
        self._source("battery")
        features = [self._self_holding, self._opposed_diodes, self._ring, self._field, self._diode, self._second_source, self._breaker_switch]
        features += [self._connector, self._shunt, self._across_supplies, self._relay, self._relay]
        if self.breaks:
            features += [self._chasing, self._changeover, self._interlock, self._relay]
        loads = [self._load(), self._load()]
        wanted = chance.randint(8, LARGEST)
        while len(bench.parts) < wanted:
            # no feature adds more than seven parts
            if len(bench.parts) > LARGEST - 7 or chance.random() < 0.2:
                loads.append(self._load(plain=True))
            else:
                chance.choice(features)()
        for _ in range(chance.randint(0, 4)):
            self._stray_wire()
        self._bundle()
        bench.functions["one"] = {"any": 1, "of": loads[:2], "loss": "catastrophic"}
        bench.functions["most"] = {"any": len(loads) - 1, "of": loads, "loss": "major"}
        bench.functions["nested"] = {"any": chance.randint(1, 2), "of": ["one", "most"], "loss": "hazardous"}
        bench.states["all-on"] = {"engine": "running", "switches": bench.turned()}
        return bench.design(name)

    def _grounds(self) -> None:
        """One or two grounds, mostly bonded; an airframe that may not conduct is one of them now and then."""
        for _ in range(self.chance.randint(1, 2)):
            kind = self.chance.choice(["ground-block", "ground-block", "airframe", "airframe", "stud"])
            material = {"material": "metal"} if kind == "airframe" and self.chance.random() < 0.6 else {}
            self.cold.append(self.bench.add(self._name("ground"), kind, **material))
        if len(self.cold) == 2 and self.chance.random() < 0.85:
            self.bench.wire(*self.cold)

    def _name(self, stem: str) -> str:
        self.number += 1
        return f"{stem}-{self.number}"

    def _hot(self) -> str:
        # what was added last is likelier, so that one relay comes to hang on another
        return self.chance.choice(self.hot[-6:]) if self.chance.random() < 0.5 else self.chance.choice(self.hot)

    def _commanded(self) -> str:
        """A place to feed a coil or a field from: rather behind the contact of another relay, so that one drops out after another."""
        contacts = [place for place in self.hot if place.endswith((".load", ".common")) and self.bench.parts[place.partition(".")[0]].get("coil")]
        return self.chance.choice(contacts) if contacts and self.chance.random() < 0.6 else self._hot()

    def _cold(self) -> str:
        # now and then a return that hangs on the wrong side
        return self.chance.choice(self.cold) if self.chance.random() < 0.95 else self._hot()

    def _link(self) -> tuple[str, str]:
        """A part to go through: a protector or a switch, to a terminal of which other things may be wired later."""
        kind = self.chance.choice(["breaker", "fuse", "limiter", "breaker-switch", "switch", "switch"])
        ends = self.bench.switch(self._name("switch")) if kind == "switch" else self.bench.protector(self._name(kind), kind)
        self.hot.append(ends[1])
        return ends

    def _way(self, start: str, end: str, longest: int = 2) -> None:
        self.bench.run(start, [self._link() for _ in range(self.chance.randint(0, longest))], end)

    def _source(self, kind: str) -> str:
        name, chance = self._name(kind), self.chance
        if kind == "battery":
            self.bench.add(name, kind, purpose=chance.choice(["main", "reserve"]))
        elif kind == "alternator":
            self.bench.add(name, kind, excitation=chance.choice(["field", "field", "permanent-magnet"]))
        else:
            self.bench.add(name, kind)
        positive, negative = ("output", "ground") if kind == "alternator" else ("positive", "negative")
        self._way(f"{name}.{positive}", self._hot(), longest=1)
        self.bench.wire(f"{name}.{negative}", self._cold())
        self.hot.append(f"{name}.{positive}")
        return name

    def _second_source(self) -> None:
        self._source(self.chance.choice(["battery", "battery", "ground-power", "alternator"]))

    def _field(self) -> None:
        """An alternator whose field can be fed from several places, its own output among them."""
        name = self._source("alternator")
        self.bench.parts[name]["excitation"] = "field"
        for _ in range(self.chance.randint(1, 2)):
            self._way(self._commanded(), f"{name}.field", longest=1)

    def _electromagnet(self, contacts: dict[str, Any], coil: tuple[str, str] = ("plus", "minus")) -> str:
        kind = self.chance.choice(["relay", "contactor"])
        return self.bench.add(self._name(kind), kind, coil=list(coil), contacts=contacts)

    def _self_holding(self) -> None:
        """A coil that is fed through its own make contact, and through a switch that starts it."""
        name = self._electromagnet({"hold": {"kind": "make", "joins": ["line", "plus"]}, "work": {"kind": "make", "joins": ["line", "load"]}})
        self.bench.wire(self._hot(), f"{name}.line")
        self.bench.run(self._commanded(), [self.bench.switch(self._name("start"))], f"{name}.plus")
        self._way(f"{name}.minus", self._cold(), longest=1)
        self.hot += [f"{name}.load", f"{name}.plus"]

    def _start(self, name: str) -> tuple[str, str]:
        """A switch that is drawn off more often than on."""
        self.bench.add(name, "switch", positions={"on": [["line", "load"]], "off": []})
        return f"{name}.line", f"{name}.load"

    def _chasing(self) -> None:
        """A coil that is fed through its own break contact: it never settles while it is fed."""
        name = self._electromagnet({"own": {"kind": "break", "joins": ["line", "plus"]}})
        self.bench.run(self._commanded(), [self._start(self._name("start"))], f"{name}.line")
        self.bench.wire(f"{name}.minus", self._cold())
        self.hot.append(f"{name}.plus")

    def _interlock(self) -> None:
        """Two relays, the coil of each fed through a break contact of the other."""
        one, two = (
            self._electromagnet({"lock": {"kind": "break", "joins": ["in", "out"]}, "work": {"kind": "make", "joins": ["line", "load"]}})
            for _ in range(2)
        )
        for name, other in ((one, two), (two, one)):
            self.bench.run(self._hot(), [self._start(self._name("start")), (f"{other}.in", f"{other}.out")], f"{name}.plus")
            self.bench.wire(f"{name}.minus", self._cold())
            self.bench.wire(self._hot(), f"{name}.line")
            self.hot.append(f"{name}.load")

    def _changeover(self) -> None:
        name = self._electromagnet({"both": {"kind": "changeover", "common": "common", "at-rest": "rest", "energised": "drawn"}})
        for terminal in ("rest", "drawn"):
            self._way(self._hot(), f"{name}.{terminal}", longest=1)
        self._way(self._commanded(), f"{name}.plus", longest=1)
        self.bench.wire(f"{name}.minus", self._cold())
        self.hot.append(f"{name}.common")

    def _relay(self) -> None:
        contacts = {"first": {"kind": "make", "joins": ["line", "load"]}}
        if self.breaks and self.chance.random() < 0.5:
            contacts["second"] = {"kind": "break", "joins": ["line", "rest"]}
            self.hot.append(f"relay-{self.number + 1}.rest")
        name = self.bench.add(self._name("relay"), "relay", coil=["plus", "minus"], contacts=contacts)
        self._way(self._hot(), f"{name}.line", longest=1)
        self._way(self._commanded(), f"{name}.plus", longest=1)
        self._way(f"{name}.minus", self._cold(), longest=1)
        self.hot.append(f"{name}.load")

    def _across_supplies(self) -> None:
        """A coil between two supplies: fed from either side, returned through the other."""
        name = self._electromagnet({"work": {"kind": "make", "joins": ["line", "load"]}})
        for terminal in ("plus", "minus", "line"):
            self.bench.wire(self._hot(), f"{name}.{terminal}")
        self.bench.run(f"{name}.minus", [self.bench.switch(self._name("ground-switch"))], self._cold())
        self.hot.append(f"{name}.load")

    def _diode(self) -> None:
        name = self.bench.add(self._name("diode"), "diode")
        self._way(self._hot(), f"{name}.anode", longest=1)
        self.bench.wire(f"{name}.cathode", self._hot())
        self.hot.append(f"{name}.cathode")

    def _opposed_diodes(self) -> None:
        """Two diodes nose to nose or tail to tail in one line, or against each other side by side."""
        one, two = (self.bench.add(self._name("diode"), "diode") for _ in range(2))
        start, end = self._hot(), self._hot()
        shape = self.chance.choice(["nose to nose", "tail to tail", "side by side"])
        if shape == "side by side":
            self.bench.run(start, [(f"{one}.anode", f"{one}.cathode")], end)
            self.bench.run(start, [(f"{two}.cathode", f"{two}.anode")], end)
        else:
            a, b = ("anode", "cathode") if shape == "nose to nose" else ("cathode", "anode")
            self.bench.run(start, [(f"{one}.{a}", f"{one}.{b}"), (f"{two}.{b}", f"{two}.{a}")], end)
            self.hot.append(f"{one}.{b}")

    def _ring(self) -> None:
        """Buses in a ring, so that each is fed from two sides."""
        buses = [self.bench.add(self._name("ring"), "bus") for _ in range(self.chance.randint(2, 3))]
        self.bench.wire(self._hot(), buses[0])
        for one, other in zip(buses, buses[1:] + buses[:1], strict=True):
            self._way(one, other, longest=1)
        self.hot += buses

    def _breaker_switch(self) -> None:
        self.bench.run(self._hot(), [self.bench.protector(self._name("breaker-switch"), "breaker-switch")], self._hot())

    def _shunt(self) -> None:
        name = self.bench.add(self._name("shunt"), "shunt")
        self.bench.run(self._hot(), [(f"{name}.line", f"{name}.load")], self._hot())
        self.hot.append(f"{name}.load")

    def _connector(self) -> None:
        name = self.bench.add(self._name("connector"), "connector", pins=["1", "2"])
        self.bench.wire(self._hot(), f"{name}.1-plug")
        self.hot.append(f"{name}.1-socket")
        self.bench.wire(self._cold(), f"{name}.2-plug")
        self.cold.append(f"{name}.2-socket")

    def _load(self, plain: bool = False) -> str:
        """A load or an instrument, bolted down or wired, with one supply or two; ``plain`` has one wire to each side."""
        chance, name = self.chance, self._name("load")
        if plain:
            self.bench.add(name, "load")
            self.bench.wire(self._hot(), f"{name}.supply")
            self.bench.wire(f"{name}.return", self._cold())
            return name
        more: dict[str, Any] = {}
        if chance.random() < 0.3:
            more["supplies"] = ["supply", "second"]
        if chance.random() < 0.3:
            more["returns"] = ["return", "other-return"]
        grounds = [place for place in self.cold if "." not in place]
        if chance.random() < 0.2 and grounds:
            more["mounted_on"] = self.bench.tab(chance.choice(grounds))
        if chance.random() < 0.3:
            inputs = {"sense": {"signal": "in", "return": "in-return"}}
            self.bench.add(name, "instrument", inputs=inputs, signal_returns=chance.choice(["joined", "isolated"]), **more)
            self.bench.wire(self._hot(), f"{name}.in", shield=[f"{name}.in-return", self._cold_terminal()])
        else:
            self.bench.add(name, "load", **more)
        for terminal in more.get("supplies", ["supply"]):
            self._way(self._hot(), f"{name}.{terminal}", longest=1)
        for terminal in more.get("returns", ["return"]):
            if "mounted_on" not in more or chance.random() < 0.3:
                self.bench.wire(f"{name}.{terminal}", self._cold())
        return name

    def _cold_terminal(self) -> str:
        place = self.chance.choice(self.cold)
        return place if "." in place else self.bench.tab(place)

    def _stray_wire(self) -> None:
        one, other = self._hot(), self._hot() if self.chance.random() < 0.9 else self._cold()
        if one != other:
            self.bench.wire(one, other)

    def _bundle(self) -> None:
        for wire in self.bench.wires.values():
            if self.chance.random() < 0.6:
                wire["bundle"] = self.chance.choice(["front", "aft", "panel"])
