"""Small circuits wired at random, with what makes an engine stumble: relays that hold or chase themselves, opposed diodes, loops of
buses, fields fed from several places."""

from __future__ import annotations

from random import Random

from reviewer.model.design import Design
from tests.oracle.tangle import BARS, Tangle
from tests.oracle.workbench import Dress, Workbench

LARGEST = 25


def awkward(seed: int, breaks: bool = True, dress: Dress | None = None) -> Design:
    """A circuit of 8 to 25 parts wired at random. Without ``breaks`` no contact is closed at rest: then less fed is never more powered."""
    chance = Random(f"awkward {seed} {breaks}")
    return _Awkward(Workbench(chance, chance.choice(["metal", "composite"])), breaks).design(
        f"Tangle {seed}", dress
    )


_PROTECTORS = ("breaker", "fuse", "limiter", "breaker-switch")


class _Awkward(Tangle):
    """A tangle with features of a certain kind, each of which adds up to seven parts."""

    def __init__(self, bench: Workbench, breaks: bool):
        super().__init__(bench)
        self.breaks = breaks

    def design(self, name: str, dress: Dress | None = None) -> Design:
        chance, bench = self.chance, self.bench
        for _ in range(chance.randint(1, 3)):
            self.hot.append(bench.add(self.fresh("bar"), chance.choice(BARS)))
        self.grounds()
        self.source("battery")
        features = [
            self._self_holding,
            self._opposed_diodes,
            self._ring,
            self._field,
            self._diode,
            self._second_source,
            self._breaker_switch,
        ]
        features += [
            self._second_source,
            self._diode,
            self._connector,
            self._shunt,
            self._across_supplies,
            self._cascade,
            self._cascade,
            self._self_holding,
        ]
        if self.breaks:
            features += [
                self._chasing,
                self._chasing,
                self._changeover,
                self._interlock,
                self._relay,
                self._relay,
            ]
        loads = [self.load(), self.load()]
        wanted = chance.randint(8, LARGEST)
        while len(bench.parts) < wanted:
            # no feature adds more than seven parts
            if len(bench.parts) > LARGEST - 7 or chance.random() < 0.2:
                loads.append(self.load(plain=True))
            else:
                chance.choice(features)()
        if self.breaks and len(bench.parts) <= LARGEST - 7:
            self._reversing()
        for _ in range(chance.randint(0, 4)):
            self.stray_wire()
        own = Random(f"chargers {name}")  # what has none stays what it is without them
        if len(bench.parts) <= LARGEST - 4 and own.random() < 0.5:
            self._chargers(own)
        self.bundle()
        bench.functions["one"] = {"any": 1, "of": loads[:2], "loss": "catastrophic"}
        bench.functions["most"] = {"any": len(loads) - 1, "of": loads, "loss": "major"}
        bench.functions["nested"] = {"any": chance.randint(1, 2), "of": ["one", "most"], "loss": "hazardous"}
        self._other_channels()
        self._plugged_and_own_switches()
        self._sparks()
        self._let_go()
        self._passive()
        if len(bench.parts) <= LARGEST - 3:
            self._outputs()
        self._inside_units()
        self._grounds()
        bench.states["all-on"] = {"engine": "running", "switches": bench.turned()}
        if solar := [n for n, part in bench.parts.items() if part.get("from") == "solar"]:
            bench.states["all-on"]["chargers"] = solar
        return bench.design(name, dress)

    def _other_channels(self) -> None:
        """Functions of sources, of a bus, and of what needs no electricity; nothing else changes by them."""
        bench, kinds = self.bench, ("battery", "external-power", "alternator")
        sources = [name for name, part in bench.parts.items() if part["kind"] in kinds]
        buses = [name for name, part in bench.parts.items() if part["kind"] == "bus"]
        bench.functions["supply"] = {"any": 1, "of": sources[:2], "loss": "major"}
        driven = {"mechanical": "driven pump"}
        bench.functions["driven"] = {"any": 1, "of": [*sources[-1:], driven], "loss": "hazardous"}
        by_hand = {"mechanical": "crank", "driven-by": "hand"}
        bench.functions["by-hand"] = {"any": 1, "of": [*sources[:1], by_hand], "loss": "major"}
        if buses:
            bench.functions["bar"] = {
                "any": 1,
                "of": [buses[0], driven],
                "loss": {"day": "minor", "ifr": "major"},
            }

    def _plugged_and_own_switches(self) -> None:
        """Some devices are plugged on their bus instead of wired to it, some loads have a switch of their own."""
        bench, own = self.bench, Random(f"{self.bench.wires}")
        ends = [end for wire in bench.wires.values() for end in (wire["from"], wire["to"])]
        ends += [end for wire in bench.wires.values() for end in wire.get("shield", ())]
        for name, wire in list(bench.wires.items()):
            bus, _, line = *wire["from"].partition(".")[::2], wire["to"]
            device = line.removesuffix(".line")
            joins = bench.parts[bus]["kind"] == "bus" and line == f"{device}.line"
            alone = joins and bench.parts[device]["kind"] in _PROTECTORS and ends.count(line) == 1
            if alone and own.random() < 0.8:
                bench.parts[device]["plugged-on"] = bus
                del bench.wires[name]
        for part in bench.parts.values():
            if part["kind"] in ("load", "instrument") and own.random() < 0.3:
                part["own-switch"] = True
            if part["kind"] in ("load", "instrument") and own.random() < 0.15:
                part["internal-battery"] = "30 min"

    def _outputs(self) -> None:
        """Loads drive a lamp, or the coil of a relay, through an output that follows their power."""
        bench, own = self.bench, Random(f"outputs of {self.bench.wires}")
        units = [name for name, part in bench.parts.items() if part["kind"] == "load" and "type" not in part]
        whens = ["working", "commanded", "not-working"] if self.breaks else ["working", "commanded"]
        for name in units:
            if own.random() < 0.3:
                side = own.choice(["ground", "supply"])
                if len(bench.parts[name].get("supplies", ())) > 1:
                    side = "ground"
                made = {"terminal": "driven", "switches": side, "when": own.choice(whens)}
                bench.parts[name]["outputs"] = {"drives": made}
                lamp = bench.add(self.fresh("driven"), "load")
                near, far = ("return", "supply") if side == "ground" else ("supply", "return")
                bench.wire(f"{lamp}.{near}", f"{name}.driven")
                bench.wire(f"{lamp}.{far}", own.choice(self.hot if side == "ground" else self.cold))

    def _inside_units(self) -> None:
        """Some breakers and fuses are inside a load, electronic ones open or closed without its supply."""
        bench, own = self.bench, Random(f"inside of {self.bench.wires}")
        units = [name for name, part in bench.parts.items() if part["kind"] == "load" and "type" not in part]
        for part in bench.parts.values():
            if units and part["kind"] in ("breaker", "fuse") and own.random() < 0.3:
                part["inside"] = own.choice(units)
                if part["kind"] == "breaker" and own.random() < 0.7:
                    part |= {"reset": "electronic", "without-supply": own.choice(["open", "closed"])}
        self._commands()

    def _commands(self) -> None:
        """An input turns on what is inside some units, by a switch or a lead that goes where it should or elsewhere."""
        bench, own = self.bench, Random(f"commands {self.bench.wires}")
        inside = {part["inside"] for part in bench.parts.values() if "inside" in part}
        for unit in sorted(inside):
            if len(bench.parts) >= LARGEST or own.random() < 0.4:
                continue
            reads = own.choice(["closed-to-ground", "closed-to-supply"])
            bench.parts[unit] |= {
                "kind": "instrument",
                "inputs": {"command": {"signal": "command-in", "reads": reads}},
            }
            right, wrong = (self.cold, self.hot) if reads == "closed-to-ground" else (self.hot, self.cold)
            chain = [bench.switch(f"{unit}-command")] if own.random() < 0.7 else []
            bench.run(f"{unit}.command-in", chain, own.choice(right if own.random() < 0.85 else wrong))
            for part in bench.parts.values():
                if part.get("inside") == unit and part.get("without-supply") != "closed":
                    part["commanded-by"] = f"{unit}.command-in"

    def _sparks(self) -> None:
        """A magneto with its p-lead to a switch, and now and then to where it should not be."""
        own, bench = Random(f"sparks {self.bench.wires}"), self.bench
        if not self.breaks or len(bench.parts) > LARGEST - 2 or own.random() < 0.5:
            return
        bench.add("magneto", "magneto")
        if own.random() < 0.9:
            bench.wire("magneto.ground", own.choice(self.cold))
        end = own.choice(self.cold if own.random() < 0.8 else self.hot)
        bench.run("magneto.p-lead", [bench.switch("p-lead-switch")], end)
        bench.functions["spark"] = {"any": 1, "of": ["magneto", "one"], "loss": "catastrophic"}

    def _let_go(self) -> None:
        """Some switches are moved by what they follow, not by a hand; without ``breaks`` they close while that works."""
        own, parts = Random(f"{self.bench.wires}"), self.bench.parts
        kinds = ("load", "instrument", "bus", "alternator")
        followed = ["engine", *(n for n, part in parts.items() if part["kind"] in kinds)]
        for part in parts.values():
            if part["kind"] == "switch" and len(part["positions"]) == 2 and own.random() < 0.3:
                rest = own.choice(["on", "off"]) if self.breaks else "off"
                part |= {"operated-by": "pressure", "follows": own.choice(followed), "at-rest": rest}

    def _grounds(self) -> None:
        """Some of these switches measure against a ground of their own, now and then a wrong one."""
        own = Random(f"grounds {self.bench.wires}")
        for name, part in self.bench.parts.items():
            if "follows" in part and own.random() < 0.4:
                part |= {"operated-by": "voltage", "ground": "earth"}
                end = own.choice(self.cold if own.random() < 0.9 else self.hot)
                self.bench.wire(f"{name}.earth", end)

    def _passive(self) -> None:
        """Resistors and potentiometers in place of shunts, a resistor, a potentiometer and a capacitor somewhere."""
        bench, own = self.bench, Random(f"{self.bench.wires} passive")
        for name in [n for n, part in bench.parts.items() if part["kind"] == "shunt"]:
            if (kind := own.choice(["shunt", "resistor", "potentiometer"])) == "shunt":
                continue
            bench.parts[name] = {"kind": kind, "resistance": own.choice(["1 ohm", "100 ohm"])}
            ends = {
                f"{name}.line": f"{name}.a",
                f"{name}.load": f"{name}.{'b' if kind == 'resistor' else 'wiper'}",
            }
            self.hot = [ends.get(t, t) for t in self.hot]
            for wire in bench.wires.values():
                wire.update(
                    {key: ends.get(wire[key], wire[key]) for key in ("from", "to")},
                    **({"shield": [ends.get(t, t) for t in wire["shield"]]} if "shield" in wire else {}),
                )
            if kind == "potentiometer" and own.random() < 0.7:
                bench.wire(f"{name}.b", own.choice(self.hot[:3] + self.cold))
        for name, part in list(bench.parts.items()):
            if part["kind"] == "external-power" and own.random() < 0.5:
                part["control-pin"] = True
                coils = [f"{n}.{part['coil'][0]}" for n, part in bench.parts.items() if "coil" in part]
                bench.wire(f"{name}.control", own.choice([*self._bars(), *coils]))
            if self.breaks and part.get("excitation") == "permanent-magnet":
                self._machine(name, own)
        if len(bench.parts) < LARGEST - 1 and own.random() < 0.4:
            dimmer = bench.add(self.fresh("dimmer"), "dimmer")
            bench.wire(own.choice(self._bars()), f"{dimmer}.input")
            bench.wire(f"{dimmer}.ground", own.choice(self.cold))
            light = bench.add(self.fresh("light"), "load")
            bench.wire(f"{dimmer}.output", f"{light}.supply")
            bench.wire(f"{light}.return", own.choice(self.cold))
        for kind in ("resistor", "resistor", "potentiometer", "capacitor"):
            if len(bench.parts) < LARGEST and own.random() < 0.4:
                fields = {} if kind == "capacitor" else {"resistance": "47 ohm"}
                name = bench.add(self.fresh(kind), kind, **fields)
                one, other = ("positive", "negative") if kind == "capacitor" else ("a", "b")
                hot = self._bars()
                bench.wire(own.choice(hot), f"{name}.{one}")
                bench.wire(f"{name}.{other}", own.choice([*hot, *self.cold]))
                if kind == "potentiometer":
                    bench.wire(f"{name}.wiper", own.choice(hot))

    def _bars(self) -> list[str]:
        return [n for n in self.hot if self.bench.parts.get(n, {}).get("kind") in BARS]

    def _machine(self, name: str, own: Random) -> None:
        """A lamp, a control and a smoothing capacitor at a machine of permanent magnets, each of them now and then."""
        bench = self.bench
        hot = self._bars()
        if own.random() < 0.4:
            bench.wire(own.choice(hot), f"{name}.control")
        if len(bench.parts) < LARGEST and own.random() < 0.6:
            lamp = bench.add(self.fresh("lamp"), "load")
            bench.wire(own.choice(hot), f"{lamp}.supply")
            bench.wire(f"{lamp}.return", f"{name}.lamp")
        if len(bench.parts) < LARGEST and own.random() < 0.6:
            capacitor = bench.add(self.fresh("capacitor"), "capacitor")
            bench.wire(own.choice([f"{name}.output", *hot]), f"{capacitor}.positive")
            bench.wire(f"{capacitor}.negative", own.choice(self.cold))
            bench.parts[name]["smoothing-capacitor"] = capacitor

    def _second_source(self) -> None:
        self.source(self.chance.choice(["battery", "external-power", "external-power", "alternator"]))

    def _field(self) -> None:
        """An alternator whose field can be fed from several places, its own output among them."""
        name = self.source("alternator")
        self.bench.parts[name]["excitation"] = "field"
        field = f"{name}.field"
        own = Random(f"{self.bench.wires}")  # what has no regulator stays what it is without them
        if own.random() < 0.5:
            field = self._regulator(name, field, own)
        for _ in range(self.chance.randint(1, 2)):
            self.way(self.commanded(), field, longest=1)

    def _chargers(self, own: Random) -> None:
        """Chargers, from the sun or from another place, which may be their own output, and a converter."""
        for number in range(own.randint(0, 2)):
            way = own.choice(["solar", "another-bus", "another-bus"])
            name = self.bench.add(f"charger-{number}", "charger", **{"from": way, "current_limit": "5 A"})
            self.bench.wire(f"{name}.positive", own.choice(self.hot))
            self.bench.wire(f"{name}.negative", own.choice(self.cold))
            if way == "another-bus":
                self.bench.wire(f"{name}.input", own.choice(self.hot))
                self.bench.wire(f"{name}.input-return", own.choice(self.cold))

        if own.random() < 0.5:
            name, isolated = self.bench.add("converter", "converter"), own.random() < 0.3
            self.bench.parts[name]["isolated"] = isolated
            self.bench.wire("converter.input", own.choice(self.hot))
            self.bench.wire("converter.output", own.choice(self.hot))
            for back in ("input-return", "output-return") if isolated else ("ground",):
                self.bench.wire(f"converter.{back}", own.choice(self.cold))
            self.bench.add("converter-load", "load")
            self.bench.wire("converter.output", "converter-load.supply")
            self.bench.wire("converter-load.return", own.choice(self.cold))

    def _regulator(self, alternator: str, field: str, own: Random) -> str:
        """A regulator before a field, with or without a sense lead; gives its supply."""
        said = {
            f"without_{lead}": does
            for lead in ("sense", "ground")
            if (does := own.choice(["", "no-output", "full-field"]))
        }
        name = self.bench.add(
            self.fresh("regulator"),
            "regulator",
            regulates=alternator,
            senses=own.choice(["sense", "supply"]),
            **said,
        )
        self.bench.parts[alternator]["overvoltage-trip"] = own.choice(["16 V", "none"])
        self.bench.wire(f"{name}.field", field)
        self.bench.wire(f"{name}.ground", own.choice(self.cold))
        if self.bench.parts[name]["senses"] == "sense":
            self.bench.wire(f"{name}.sense", own.choice(self.hot))
        return f"{name}.supply"

    def _self_holding(self) -> None:
        """A coil that is fed through its own make contact, and through a switch that starts it."""
        name = self.electromagnet(
            {
                "hold": {"kind": "make", "joins": ["line", "plus"]},
                "work": {"kind": "make", "joins": ["line", "load"]},
            }
        )
        self.bench.wire(self.supply_side(), f"{name}.line")
        self.bench.run(self.commanded(), [self.bench.switch(self.fresh("start"))], f"{name}.plus")
        self.way(f"{name}.minus", self.return_side(), longest=1)
        self.hot += [f"{name}.load", f"{name}.plus"]

    def _chasing(self) -> None:
        """A coil that is fed through its own break contact: it never settles while it is fed."""
        name = self.electromagnet({"own": {"kind": "break", "joins": ["line", "plus"]}})
        self.bench.run(self.commanded(), [self.start(self.fresh("start"))], f"{name}.line")
        self.bench.wire(f"{name}.minus", self.return_side())
        self.hot.append(f"{name}.plus")

    def _interlock(self) -> None:
        """Two relays, the coil of each fed through a break contact of the other."""
        one, two = (
            self.electromagnet(
                {
                    "lock": {"kind": "break", "joins": ["in", "out"]},
                    "work": {"kind": "make", "joins": ["line", "load"]},
                }
            )
            for _ in range(2)
        )
        for name, other in ((one, two), (two, one)):
            self.bench.run(
                self.supply_side(),
                [self.start(self.fresh("start")), (f"{other}.in", f"{other}.out")],
                f"{name}.plus",
            )
            self.bench.wire(f"{name}.minus", self.return_side())
            self.bench.wire(self.supply_side(), f"{name}.line")
            self.hot.append(f"{name}.load")

    def _changeover(self) -> None:
        name = self.electromagnet(
            {"both": {"kind": "changeover", "common": "common", "de-energised": "rest", "energised": "drawn"}}
        )
        for terminal in ("rest", "drawn"):
            self.way(self.supply_side(), f"{name}.{terminal}", longest=1)
        self.way(self.commanded(), f"{name}.plus", longest=1)
        self.bench.wire(f"{name}.minus", self.return_side())
        self.hot.append(f"{name}.common")

    def _reversing(self) -> None:
        """A motor between two change-over relays: one turns it forward, the other in reverse, both or none stop it."""
        motor = self.bench.add(self.fresh("motor"), "load", type="motor", reversible=True)
        feed, back = self.supply_side(), self.return_side()
        contact = {"kind": "changeover", "common": "common", "de-energised": "rest", "energised": "drawn"}
        for end in ("supply", "return"):
            name = self.electromagnet({"both": contact})
            self.bench.wire(feed, f"{name}.drawn")
            self.bench.wire(f"{name}.rest", back)
            self.bench.wire(f"{name}.common", f"{motor}.{end}")
            self.way(self.commanded(), f"{name}.plus", longest=1)
            self.bench.wire(f"{name}.minus", self.return_side())

    def _relay(self) -> None:
        contacts = {"first": {"kind": "make", "joins": ["line", "load"]}}
        if self.breaks and self.chance.random() < 0.5:
            contacts["second"] = {"kind": "break", "joins": ["line", "rest"]}
            self.hot.append(f"relay-{self.number + 1}.rest")
        name = self.bench.add(self.fresh("relay"), "relay", coil=["plus", "minus"], contacts=contacts)
        self.way(self.supply_side(), f"{name}.line", longest=1)
        self.way(self.commanded(), f"{name}.plus", longest=1)
        self.way(f"{name}.minus", self.return_side(), longest=1)
        self.hot.append(f"{name}.load")

    def _cascade(self) -> None:
        """Relays of which each feeds the coil of the next, so that they drop out one after another."""
        feed = self.supply_side()
        for _ in range(self.chance.randint(2, 3)):
            name = self.electromagnet({"work": {"kind": "make", "joins": ["line", "load"]}})
            self.bench.wire(feed, f"{name}.plus")
            self.bench.wire(f"{name}.minus", self.return_side())
            self.bench.wire(self.supply_side(), f"{name}.line")
            self.hot.append(feed := f"{name}.load")

    def _across_supplies(self) -> None:
        """A coil between two supplies: fed from either side, returned through the other."""
        name = self.electromagnet({"work": {"kind": "make", "joins": ["line", "load"]}})
        for terminal in ("plus", "minus", "line"):
            self.bench.wire(self.supply_side(), f"{name}.{terminal}")
        self.bench.run(f"{name}.minus", [self.bench.switch(self.fresh("ground-switch"))], self.return_side())
        self.hot.append(f"{name}.load")

    def _diode(self) -> None:
        name = self.bench.add(self.fresh("diode"), "diode")
        self.way(self.supply_side(), f"{name}.anode", longest=1)
        self.bench.wire(f"{name}.cathode", self.supply_side())
        self.hot.append(f"{name}.cathode")

    def _opposed_diodes(self) -> None:
        """Two diodes nose to nose or tail to tail in one line, or against each other side by side."""
        one, two = (self.bench.add(self.fresh("diode"), "diode") for _ in range(2))
        start, end = self.supply_side(), self.supply_side()
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
        buses = [self.bench.add(self.fresh("ring"), "bus") for _ in range(self.chance.randint(2, 3))]
        self.bench.wire(self.supply_side(), buses[0])
        for one, other in zip(buses, buses[1:] + buses[:1], strict=True):
            self.way(one, other, longest=1)
        self.hot += buses

    def _breaker_switch(self) -> None:
        self.bench.run(
            self.supply_side(),
            [self.bench.protector(self.fresh("breaker-switch"), "breaker-switch")],
            self.supply_side(),
        )

    def _shunt(self) -> None:
        name = self.bench.add(self.fresh("shunt"), "shunt")
        self.bench.run(self.supply_side(), [(f"{name}.line", f"{name}.load")], self.supply_side())
        self.hot.append(f"{name}.load")

    def _connector(self) -> None:
        name = self.bench.add(self.fresh("connector"), "connector", pins=["1", "2"])
        self.bench.wire(self.supply_side(), f"{name}.1-plug")
        self.hot.append(f"{name}.1-socket")
        self.bench.wire(self.return_side(), f"{name}.2-plug")
        self.cold.append(f"{name}.2-socket")
