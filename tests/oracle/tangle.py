"""What a random circuit is made from: places to hang things on, ways of protectors and switches, sources, loads, stray wires."""

from __future__ import annotations

from typing import Any

from tests.oracle.workbench import Workbench

BARS = ("bus", "bus", "splice", "stud")


class Tangle:
    """``hot`` and ``cold`` are terminals and bars on the supply's side and on the return's; what is added hangs on any of them."""

    def __init__(self, bench: Workbench):
        self.bench, self.chance = bench, bench.chance
        self.hot: list[str] = []
        self.cold: list[str] = []
        self.number = 0

    def fresh(self, stem: str) -> str:
        """A name that no part has yet."""
        self.number += 1
        return f"{stem}-{self.number}"

    def grounds(self) -> None:
        """One or two grounds, mostly bonded; an airframe that may not conduct is one of them now and then."""
        for _ in range(self.chance.randint(1, 2)):
            kind = self.chance.choice(["ground-block", "ground-block", "airframe", "airframe", "stud"])
            material = {"material": "metal"} if kind == "airframe" and self.chance.random() < 0.6 else {}
            self.cold.append(self.bench.add(self.fresh("ground"), kind, **material))
        if len(self.cold) == 2 and self.chance.random() < 0.85:
            self.bench.wire(*self.cold)

    def supply_side(self) -> str:
        """A place on the supply side."""
        # what was added last is likelier, so that one relay comes to hang on another
        return (
            self.chance.choice(self.hot[-6:]) if self.chance.random() < 0.5 else self.chance.choice(self.hot)
        )

    def commanded(self) -> str:
        """A place to feed a coil or a field from: rather behind the contact of another relay, so that one drops out after another."""
        contacts = [
            place
            for place in self.hot
            if place.endswith((".load", ".common")) and self.bench.parts[place.partition(".")[0]].get("coil")
        ]
        return self.chance.choice(contacts) if contacts and self.chance.random() < 0.6 else self.supply_side()

    def return_side(self) -> str:
        """A place on the return side."""
        # now and then a return that hangs on the wrong side
        return self.chance.choice(self.cold) if self.chance.random() < 0.95 else self.supply_side()

    def return_terminal(self) -> str:
        """A terminal on the return side."""
        place = self.chance.choice(self.cold)
        return place if "." in place else self.bench.tab(place)

    def link(self) -> tuple[str, str]:
        """A part to go through: a protector or a switch, to a terminal of which other things may be wired later."""
        kind = self.chance.choice(["breaker", "fuse", "limiter", "breaker-switch", "switch", "switch"])
        ends = (
            self.bench.switch(self.fresh("switch"))
            if kind == "switch"
            else self.bench.protector(self.fresh(kind), kind)
        )
        self.hot.append(ends[1])
        return ends

    def start(self, name: str) -> tuple[str, str]:
        """A switch that is drawn off more often than on."""
        self.bench.add(name, "switch", positions={"on": [["line", "load"]], "off": []})
        return f"{name}.line", f"{name}.load"

    def way(self, start: str, end: str, longest: int = 2) -> None:
        """Wire from ``start`` to ``end`` through up to ``longest`` protectors and switches."""
        self.bench.run(start, [self.link() for _ in range(self.chance.randint(0, longest))], end)

    def source(self, kind: str) -> str:
        """Add a source, wired to both sides."""
        name, chance = self.fresh(kind), self.chance
        if kind == "battery":
            self.bench.add(name, kind, purpose=chance.choice(["main", "reserve"]))
        elif kind == "alternator":
            excitation = chance.choice(["field", "self", "permanent-magnet"])
            grounds = [place for place in self.cold if "." not in place]
            bolted = grounds and len(self.bench.parts) % 3 == 0
            more = {"mounted_on": self.bench.tab(grounds[0])} if bolted else {}
            self.bench.add(name, kind, excitation=excitation, **more)
        else:
            self.bench.add(name, kind)
        positive, negative = ("output", "ground") if kind == "alternator" else ("positive", "negative")
        self.way(f"{name}.{positive}", self.supply_side(), longest=1)
        self.bench.wire(f"{name}.{negative}", self.return_side())
        self.hot.append(f"{name}.{positive}")
        return name

    def electromagnet(self, contacts: dict[str, Any], coil: tuple[str, str] = ("plus", "minus")) -> str:
        """Add a relay or a contactor, not wired yet."""
        kind = self.chance.choice(["relay", "contactor"])
        return self.bench.add(self.fresh(kind), kind, coil=list(coil), contacts=contacts)

    def load(self, plain: bool = False) -> str:
        """A load or an instrument, bolted down or wired, with one supply or two; ``plain`` has one wire to each side."""
        chance, name = self.chance, self.fresh("load")
        if plain:
            self.bench.add(name, "load")
            self.bench.wire(self.supply_side(), f"{name}.supply")
            self.bench.wire(f"{name}.return", self.return_side())
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
            self.bench.add(
                name,
                "instrument",
                inputs=inputs,
                signal_returns=chance.choice(["joined", "isolated"]),
                **more,
            )
            signal = self.supply_side()
            if chance.random() < 0.4:
                sensor = self.bench.add(self.fresh("sensor"), "sensor", mounted_on=self.return_terminal())
                self.bench.wire(f"{sensor}.return", f"{name}.in-return")
                signal = f"{sensor}.signal"
            self.bench.wire(signal, f"{name}.in", shield=[f"{name}.in-return", self.return_terminal()])
        else:
            self.bench.add(name, "load", **more)
        for terminal in more.get("supplies", ["supply"]):
            self.way(self.supply_side(), f"{name}.{terminal}", longest=1)
        for terminal in more.get("returns", ["return"]):
            if "mounted_on" not in more or chance.random() < 0.3:
                self.bench.wire(f"{name}.{terminal}", self.return_side())
        return name

    def stray_wire(self) -> None:
        """Join two places that nobody meant to join."""
        one, other = (
            self.supply_side(),
            self.supply_side() if self.chance.random() < 0.9 else self.return_side(),
        )
        if one != other:
            self.bench.wire(one, other)

    def bundle(self) -> None:
        """Say for most wires in which bundle they run."""
        for wire in self.bench.wires.values():
            if self.chance.random() < 0.6:
                wire["bundle"] = self.chance.choice(["front", "aft", "panel"])
