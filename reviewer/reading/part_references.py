"""References of the parts: terminals, mountings, zones, seats, positions, phases and what a part is
kept for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.model.quantity_words import quantity
from reviewer.reading.known_names import Names, terminals_of
from reviewer.reading.problem import nearest
from reviewer.reading.yaml_events import pointer

#: kinds that may be channels of a function
CHANNELS = (p.Consumer, p.Magneto, p.Battery, p.Alternator, p.ExternalPower, p.Bus)
#: what a switch follows that no part is
ENGINE = "engine"
FOLLOWED = (p.Consumer, p.Bus, p.Alternator)


class PartReferences(Names):
    """Checks what parts refer to."""

    def all_parts(self) -> None:
        """Add a problem for each name in a part that names nothing, or not what it should."""
        for name, part in self.parts.items():
            at, what = pointer("parts", name), f"{part.kind} {name}"
            self._any_part(name, part, at, what)
            match part:
                case p.Battery():
                    self._battery(part, at, what)
                case p.Protector():
                    self._protector(part, at, what)
                case p.Switch():
                    self._switch(part, at, what)
                case p.Electromagnet() if part.coil[0] == part.coil[1]:
                    self.collector.refer(f"{at}/coil", f"{what}: both ends of the coil are `{part.coil[0]}`")
                case p.Diode() if part.protects is not None:
                    self._known(part.protects, self.part_names, f"{at}/protects", what, "part")
                case p.Consumer():
                    self._ordered(part, ("minimum", "maximum"), at, what)
                    self._consumer(part, at, what)
                    if isinstance(part, p.Load):
                        self._annunciator(part, at, what)
                        self._driver(name, part, at, what)
                    if isinstance(part, p.Instrument):
                        self._takes_over(name, part, at, what)
                case p.Alternator():
                    for key, others in (("shares-with", part.shares_with), ("standby-for", part.standby_for)):
                        self._other_alternators(name, others, f"{at}/{key}", what)
                    if part.smoothing_capacitor is not None:
                        wanted, key = part.smoothing_capacitor, f"{at}/smoothing-capacitor"
                        self._kind(wanted, p.Capacitor, key, what, "capacitor")
                case p.Regulator():
                    self._regulator(name, part, at, what)
                case p.Connector() if len(set(part.pins)) < len(part.pins):
                    self.collector.refer(f"{at}/pins", f"{what}: a pin is named twice")

    def _ordered(self, part: Any, keys: tuple[str, str], at: str, what: str) -> None:
        """Two keys of which the first is to be the smaller."""
        low, high = (getattr(part, key.replace("-", "_")) for key in keys)
        if low is not None and high is not None and low > high and self.collector.sound(at, *keys):
            said = f"{what}: `{keys[0]}` {quantity(low, 'V')} is above `{keys[1]}` {quantity(high, 'V')}"
            self.collector.refer(f"{at}/{keys[0]}", f"{said}; exchange them, or correct one")

    def _any_part(self, name: str, part: Any, at: str, what: str) -> None:
        known = None if part.open_ended else terminals_of(self.collector, name, part)
        for i, terminal in enumerate(part.unused):
            if known is not None and terminal not in known:
                hint = f"{nearest(terminal, known)}; it has {', '.join(known)}"
                self.collector.refer(f"{at}/unused/{i}", f"{what} has no terminal `{terminal}`{hint}")
        if getattr(part, "mounted_on", None):
            self._terminal(part.mounted_on, f"{at}/mounted-on", what)
        self._zone(part.zone, f"{at}/zone", what)
        self._engine(part, at, what)

    def _other_alternators(self, name: str, others: tuple[str, ...], at: str, what: str) -> None:
        self._kinds(others, p.Alternator, at, what, "alternator")
        if name in others:
            self.collector.refer(f"{at}/{others.index(name)}", f"{what}: `{name}` is the alternator itself")

    def _engine(self, part: Any, at: str, what: str) -> None:
        """The engine that drives an alternator, or that a starter turns, where there are several."""
        starter = isinstance(part, p.Load) and part.type == "starter"
        driven = isinstance(part, (p.Alternator, p.Magneto))
        key = "driven-by" if driven else "turns"
        named = getattr(part, "driven_by", None) or getattr(part, "turns", None)
        if named is not None and not self.engine_names:
            said = f"{what}: the aircraft has no `engines`; name them there, or remove `{key}`"
            self.collector.refer(f"{at}/{key}", said, key=True)
        elif named is not None:
            self._known(named, self.engine_names, f"{at}/{key}", what, "engine")
        elif self.engine_names and (starter or driven):
            choice = ", ".join(f"`{key}: {name}`" for name in self.engine_names)
            self.collector.refer(at, f"{what}: of which engine? write {choice}", key=True)

    def _protector(self, part: p.Protector, at: str, what: str) -> None:
        if part.plugged_on is not None:
            self._kind(part.plugged_on, p.Bus, f"{at}/plugged-on", what, "bus")
        if not isinstance(part, p.InsideDevice):
            return
        if part.inside is not None:
            self._kind(part.inside, p.Consumer, f"{at}/inside", what, "load or instrument")
        electronic = isinstance(part, p.Breaker) and part.reset == "electronic"
        lacking = [k for k in ("inside", "without-supply") if getattr(part, k.replace("-", "_")) is None]
        if electronic and lacking and self.collector.sound(at, *lacking):
            words = " and ".join(f"`{key}`" for key in lacking)
            said = f"{what}: an electronic breaker needs {words}: the unit that opens it, and its position"
            self.collector.refer(f"{at}/reset", f"{said} while that has no power")
        elif part.without_supply is not None and not electronic:
            said = f"{what}: `without-supply` is for a breaker of `reset: electronic` only"
            self.collector.refer(f"{at}/without-supply", said, key=True)
        if part.commanded_by is not None and self.collector.sound(at, "inside", "without-supply"):
            self._command(part, part.commanded_by, f"{at}/commanded-by", what)

    def _command(self, part: p.InsideDevice, ref: str, at: str, what: str) -> None:
        """The input that turns on what is inside a unit."""
        owner, _, terminal = ref.partition(".")
        if part.inside is None:
            said = f"{what}: an input commands only what is `inside` its unit; write `inside: {owner}`"
            self.collector.refer(at, said)
        elif part.inside != owner:
            said = f"{what}: it is inside {part.inside}; an input of that commands it, not one of {owner}"
            self.collector.refer(at, said)
        elif part.without_supply == "closed":
            said = f"{what}: no input commands it while the unit has no power; write `without-supply: open`"
            self.collector.refer(at, said)
        elif isinstance(unit := self.parts.get(owner), p.Load):
            said = f"{what}: a load has no inputs; draw {owner} as an instrument, which has `inputs`"
            self.collector.refer(at, said)
        elif isinstance(unit, p.Instrument) and self.collector.sound(pointer("parts", owner), "inputs"):
            signals = [i.signal for i in unit.inputs.values()]
            if terminal not in signals:
                hint = f"{nearest(terminal, signals)}; it has {', '.join(signals) or 'no input'}"
                self.collector.refer(at, f"{what}: no input of {owner} has the signal `{terminal}`{hint}")
            elif unit.reads(terminal) not in ("closed-to-ground", "closed-to-supply"):
                said = f"{what}: the input of {ref} commands it as a contact; state there what it `reads`"
                self.collector.refer(at, f"{said}: `closed-to-ground` or `closed-to-supply`")

    def _battery(self, battery: p.Battery, at: str, what: str) -> None:
        if (
            battery.min_charge_voltage
            and battery.max_charge_voltage
            and battery.min_charge_voltage > battery.max_charge_voltage
        ):
            self.collector.refer(
                f"{at}/max-charge-voltage",
                f"{what}: `max-charge-voltage` is less than `min-charge-voltage`; write the lowest voltage "
                "first",
            )
        self._channels(battery.dedicated_to, f"{at}/dedicated-to", what)

    def _regulator(self, name: str, regulator: p.Regulator, at: str, what: str) -> None:
        self._kind(regulator.regulates, p.Alternator, f"{at}/regulates", what, "alternator")
        alternator = self.parts.get(regulator.regulates)
        if not isinstance(alternator, p.Alternator):
            return
        here, whose = f"{at}/regulates", regulator.regulates
        others = (n for n, o in self.parts.items() if isinstance(o, p.Regulator) and o.regulates == whose)
        first = next(others)
        if first != name:
            self.collector.refer(here, f"{what}: `{first}` regulates {whose} already")
        if alternator.magnets:
            self.collector.refer(here, f"{what}: {whose} has permanent magnets and no field to feed")
        if alternator.regulator == "internal":
            inside = f"{what}: {whose} says `regulator: internal`; its regulator is inside it or apart"
            self.collector.refer(here, inside)
        for key, value in (
            ("set-point", alternator.set_point),
            ("regulator-senses", alternator.regulator_senses),
        ):
            if value is not None:
                moved = f"{what}: `{key}` of {whose} is said at its regulator; remove it from {whose}"
                self.collector.refer(pointer("parts", whose) + f"/{key}", moved)

    def _switch(self, switch: p.Switch, at: str, what: str) -> None:
        for i, seat in enumerate(switch.accessible_from if self.seat_names else ()):
            self._known(seat, self.seat_names, f"{at}/accessible-from/{i}", what, "seat")
        if self.collector.sound(at, "positions"):
            for i, position in enumerate(switch.momentary):
                self._known(position, switch.positions, f"{at}/momentary/{i}", what, "position")
            for key in ("normal", "off"):
                if (stays := getattr(switch, key)) is not None:
                    self._stays(switch, stays, f"{at}/{key}", what)
        for position, pairs in switch.positions.items():
            here = pointer(f"{at}/positions", position)
            for i, pair in enumerate(pairs):
                if pair[0] == pair[1]:
                    self.collector.refer(f"{here}/{i}", f"{what}: `{pair[0]}` is joined to itself")

        if switch.ground is not None and self.collector.sound(at, "ground", "operated-by", "positions"):
            here = f"{at}/ground"
            if switch.operated_by not in ("voltage", "current"):
                said = f"{what}: only a switch operated by voltage or current measures against a `ground`"
                self.collector.refer(here, said, key=True)
            elif any(switch.ground in pair for pairs in switch.positions.values() for pair in pairs):
                said = f"{what}: `{switch.ground}` is a terminal of its contacts; its `ground` is another one"
                self.collector.refer(here, said)
        self._moving_volts(switch, at, what)
        if switch.by_hand:
            key = "follows" if switch.follows else "at-rest" if switch.at_rest else ""
            if key and self.collector.sound(at, "operated-by"):
                said = f"{what}: the crew moves it; write `operated-by`, or remove `{key}`"
                self.collector.refer(f"{at}/{key}", said, key=True)
        else:
            self._automatic(switch, at, what)

    def _stays(self, switch: p.Switch, position: str, at: str, what: str) -> None:
        """A position in which a switch is left."""
        if self._known(position, switch.positions, at, what, "position") and position in switch.momentary:
            self.collector.refer(
                at, f"{what}: `{position}` is a spring-return position; write one that stays"
            )

    def _automatic(self, switch: p.Switch, at: str, what: str) -> None:
        """A switch that no hand moves: its rest, what it follows, and what is not asked of it."""
        for key, value in (
            ("guard", switch.guard),
            ("placard", switch.placard),
            ("momentary", switch.momentary),
            ("normal", switch.normal if switch.follows else None),
            ("off", switch.off),
            ("accessible-from", switch.accessible_from),
        ):
            if value:
                said = f"{what}: it is not operated by hand but by {switch.operated_by}; remove `{key}`"
                if key == "normal":
                    said = f"{what}: {switch.follows} moves it, which says where it stands; remove `normal`"
                self.collector.refer(f"{at}/{key}", said, key=True)
        if switch.at_rest is None:
            if self.collector.sound(at, "at-rest"):
                said = f"{what}: `at-rest` is missing: its position while it senses nothing"
                self.collector.refer(at, said, key=True)
        elif self.collector.sound(at, "positions"):
            self._known(switch.at_rest, switch.positions, f"{at}/at-rest", what, "position")
        here = f"{at}/follows"
        if switch.operated_by == "current" and self.collector.sound(at, "follows"):
            followed = self.parts.get(switch.follows or "")
            if isinstance(followed, p.Bus) or (switch.follows in (None, ENGINE) and followed is None):
                said = f"{what}: the current of what moves it? write which load, instrument or alternator it"
                self.collector.refer(here if switch.follows else at, f"{said} `follows`", key=True)
                return
        if switch.follows is None:
            return
        if switch.follows != ENGINE or isinstance(self.parts.get(ENGINE), FOLLOWED):
            wanted = "load, instrument, bus or alternator"
            self._kind(switch.follows, FOLLOWED, here, what, wanted)
        if len(switch.positions) != 2 and self.collector.sound(at, "positions"):
            has = len(switch.positions)
            said = f"{what}: what follows something has two positions, at rest and moved; this one has {has}"
            self.collector.refer(here, said)

    def _moving_volts(self, switch: p.Switch, at: str, what: str) -> None:
        """The volts that move a switch: of one operated by voltage that follows a load, instrument or bus."""
        measures = isinstance(self.parts.get(switch.follows or ""), (p.Consumer, p.Bus))
        for key, value in (
            ("pickup-voltage", switch.pickup_voltage),
            ("dropout-voltage", switch.dropout_voltage),
        ):
            if value is not None and not (switch.operated_by == "voltage" and measures):
                said = f"{what}: only a switch operated by voltage that follows a load, instrument or bus"
                self.collector.refer(f"{at}/{key}", f"{said} has a `{key}`", key=True)
        if switch.dropout_voltage is not None and switch.pickup_voltage is None:
            self.collector.refer(
                f"{at}/dropout-voltage", f"{what}: `pickup-voltage` is missing beside it", key=True
            )

    def _consumer(self, consumer: p.Consumer, at: str, what: str) -> None:
        if isinstance(consumer.current, Mapping) and self.phase_names:
            for phase in consumer.current:
                self._known(phase, self.phase_names, pointer(f"{at}/current", phase), what, "phase")
        if isinstance(consumer, p.Load) and consumer.reversible and self.collector.sound(at, "type"):
            if consumer.type != "motor":
                self.collector.refer(
                    f"{at}/reversible", f"{what}: only a load of `type: motor` is `reversible`", key=True
                )
            elif len(consumer.supplies) + len(consumer.returns) > 2:
                self.collector.refer(
                    f"{at}/reversible",
                    f"{what}: a `reversible` motor has one supply and one return",
                    key=True,
                )
        taken = {t: "a supply" for t in consumer.supplies} | {t: "a return" for t in consumer.returns}
        for name, output in consumer.outputs.items():
            here = pointer(f"{at}/outputs", name) + "/terminal"
            if output.terminal in taken:
                said = (
                    f"{what}: terminal `{output.terminal}` of output `{name}` is {taken[output.terminal]} too"
                )
                self.collector.refer(here, said)
            taken[output.terminal] = f"that of output `{name}`"
            if output.switches == "supply" and len(consumer.supplies) > 1:
                said = f"{what}: output `{name}` switches the supply, and the unit has several"
                self.collector.refer(here, f"{said}; draw its driver as a relay fed from the right one")
        if consumer.figures in ("measured", "maker") and consumer.estimated:
            told = f"{what}: `figures` is `{consumer.figures}`, and a figure with `~` or `to` is an estimate"
            self.collector.refer(f"{at}/figures", f"{told}; remove one of the two")
        both = set(consumer.supplies) & set(consumer.returns)
        if both and self.collector.sound(at, "supplies", "returns"):
            self.collector.refer(at, f"{what}: `{min(both)}` is both a supply and a return", key=True)

    def _annunciator(self, part: p.Load, at: str, what: str) -> None:
        for key, kind in (("annunciator", "heater"), ("heats", "heater"), ("longest-run", "starter")):
            given = getattr(part, key.replace("-", "_")) is not None
            if given and part.type != kind and self.collector.sound(at, "type"):
                said = f"{what}: only a load of `type: {kind}` has `{key}`"
                self.collector.refer(f"{at}/{key}", said, key=True)
        if part.annunciator is None:
            return
        self._kind(part.annunciator, p.Load, f"{at}/annunciator", what, "lamp")

    def _driver(self, name: str, part: p.Load, at: str, what: str) -> None:
        """The unit that drives a load has outputs; one that drives itself needs none."""
        if part.driver in (None, name):
            return
        self._kind(part.driver, p.Consumer, f"{at}/driver", what, "load or instrument")
        unit = self.parts.get(part.driver)
        sound = self.collector.sound(f"parts/{part.driver}", "outputs")
        if isinstance(unit, p.Consumer) and not unit.outputs and sound:
            said = f"{what}: `{part.driver}` has no `outputs`; write what drives the load as one of them"
            self.collector.refer(f"{at}/driver", said)

    def _takes_over(self, name: str, part: p.Instrument, at: str, what: str) -> None:
        for i, lost in enumerate(part.takes_over):
            self._kind(lost, p.Instrument, f"{at}/takes-over/{i}", what, "instrument")
            if lost == name:
                self.collector.refer(f"{at}/takes-over/{i}", f"{what}: it cannot replace itself")

    def _channels(
        self, names: Sequence[Any], at: str, what: str, kinds: Any = p.Consumer, words: str = "an instrument"
    ) -> None:
        """Loads, instruments, functions and parts of some ``kinds``, none of them twice."""
        known = [*self.part_names, *self.function_names]
        meant = [n for n in known if at not in (f"{pointer('functions', n)}/of", pointer("functions", n))]
        for i, channel in enumerate(names):
            here = f"{at}/{i}"
            hint = None
            if isinstance(channel, str) and channel not in known:
                hint = nearest(channel, meant)
                if not hint and at.startswith("functions/"):
                    hint = f"; one that needs no electricity is `{{mechanical: {channel}}}`"
                hint = hint or self._those(meant, channel)
            if isinstance(channel, str) and self._known(channel, known, here, what, "load or function", hint):
                if channel in self.parts and not isinstance(self.parts[channel], kinds):
                    kind = with_article(self.parts[channel].kind)
                    wanted = f"a channel is a load, {words} or a function"
                    self.collector.refer(here, f"{what}: `{channel}` is {kind}; {wanted}")
                if channel in names[:i]:
                    self.collector.refer(here, f"{what}: `{channel}` is named twice")
