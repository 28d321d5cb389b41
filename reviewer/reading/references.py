"""References of a design: every name that is used names something. A reference to a piece that is itself broken is no second mistake."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from reviewer.model import parts as p
from reviewer.model.design import Function, Operation, Watch
from reviewer.reading.names import Names
from reviewer.reading.operation_references import OperationReferences
from reviewer.reading.positions import pointer
from reviewer.reading.problem import nearest
from reviewer.reading.shape import Shape


def check_references(
    shape: Shape,
    data: dict[str, Any],
    parts: Mapping[str, Any],
    wires: Mapping[str, p.Wire],
    functions: Mapping[str, Function],
    operation: Operation | None,
    watch: Watch,
) -> None:
    """Add a problem to ``shape`` for each name that names nothing, or not what it should."""
    _References(shape, data, parts).all(wires, functions, watch)
    if operation is not None:
        OperationReferences(shape, data, parts).all(operation)


class _References(Names):
    def all(self, wires: Mapping[str, p.Wire], functions: Mapping[str, Function], watch: Watch) -> None:
        for name, part in self.parts.items():
            self._part(name, part)
        for name, wire in wires.items():
            self._wire(name, wire)
        for name, function in functions.items():
            self._function(name, function, functions)
        self._watch(watch)

    def _part(self, name: str, part: Any) -> None:
        at = pointer("parts", name)
        what = f"{part.kind} {name}"
        for i, terminal in enumerate(part.unused):
            if not part.open_ended and terminal not in part.terminals():
                self.shape.say(
                    f"{at}/unused/{i}",
                    f"{what} has no terminal `{terminal}`{nearest(terminal, part.terminals())}; it has {', '.join(part.terminals())}",
                )
        if getattr(part, "mounted_on", None):
            self._terminal(part.mounted_on, f"{at}/mounted-on", what)
        self._zone(part.zone, f"{at}/zone", what)
        if isinstance(part, p.Battery) and part.charge_from and part.charge_to and part.charge_from > part.charge_to:
            self.shape.say(f"{at}/charge-to", f"{what}: `charge-to` is less than `charge-from`; write the lowest voltage first")
        if isinstance(part, p.Switch):
            for i, seat in enumerate(part.reached_from if self.seat_names else ()):
                self._known(seat, self.seat_names, f"{at}/reached-from/{i}", what, "seat")
            for i, position in enumerate(part.momentary):
                self._known(position, part.positions, f"{at}/momentary/{i}", what, "position")
            for position, pairs in part.positions.items():
                for i, pair in enumerate(pairs):
                    if pair[0] == pair[1]:
                        self.shape.say(f"{pointer(f'{at}/positions', position)}/{i}", f"{what}: `{pair[0]}` is joined to itself")
        elif isinstance(part, p.Electromagnet):
            if part.coil[0] == part.coil[1]:
                self.shape.say(f"{at}/coil", f"{what}: both ends of the coil are `{part.coil[0]}`")
        elif isinstance(part, p.Diode) and part.protects is not None:
            self._known(part.protects, self.part_names, f"{at}/protects", what, "part")
        elif isinstance(part, p.Consumer):
            if isinstance(part.current, Mapping) and self.phase_names:
                for phase in part.current:
                    self._known(phase, self.phase_names, pointer(f"{at}/current", phase), what, "phase")
            both = set(part.supplies) & set(part.returns)
            if both:
                self.shape.say(at, f"{what}: `{min(both)}` is both a supply and a return", key=True)
        elif isinstance(part, p.Battery):
            self._channels(part.kept_for, f"{at}/kept-for", what)
        elif isinstance(part, p.Connector) and len(set(part.pins)) < len(part.pins):
            self.shape.say(f"{at}/pins", f"{what}: a pin is named twice")

    def _wire(self, name: str, wire: p.Wire) -> None:
        at = pointer("wires", name)
        what = f"wire {name}"
        self._terminal(wire.from_, f"{at}/from", what)
        self._terminal(wire.to, f"{at}/to", what)
        for i, ref in enumerate(wire.shield or ()):
            self._terminal(ref, f"{at}/shield/{i}", what)
        self._zone(wire.zone, f"{at}/zone", what)
        if wire.from_ == wire.to:
            self.shape.say(f"{at}/to", f"{what}: both ends are at `{wire.to}`")

    def _zone(self, zone: str | None, at: str, what: str) -> None:
        """Zones are free words until the aircraft has a list of them."""
        if zone is not None and self.zone_names:
            self._known(zone, self.zone_names, at, what, "zone")

    def _function(self, name: str, function: Function, functions: Mapping[str, Function]) -> None:
        at = pointer("functions", name)
        what = f"function {name}"
        if name in self.part_names:
            self.shape.say(at, f"{what}: a part has this name too; give the function another", key=True)
        self._channels(function.of, f"{at}/of", what)
        if function.any > len(function.of):
            self.shape.say(f"{at}/any", f"{what} wants {function.any} of {len(function.of)} channels; write {len(function.of)} or fewer")
        circle = self._circle(name, lambda n: functions[n].of if n in functions else ())
        if circle:
            self.shape.say(at, f"{what} rests on itself: {' -> '.join(circle)}", key=True)

    def _channels(self, names: tuple[str, ...], at: str, what: str) -> None:
        known = [*self.part_names, *self.function_names]
        for i, channel in enumerate(names):
            here = f"{at}/{i}"
            if self._known(channel, known, here, what, "load or function"):
                if channel in self.parts and not isinstance(self.parts[channel], p.Consumer):
                    self.shape.say(here, f"{what}: `{channel}` is a {self.parts[channel].kind}; a channel is a load, an instrument or a function")
                if channel in names[:i]:
                    self.shape.say(here, f"{what}: `{channel}` is named twice")

    def _watch(self, watch: Watch) -> None:
        for name, monitor in watch.monitors.items():
            at = pointer("watch/monitors", name)
            what = f"monitor {name}"
            if monitor.shows == "current" and "." not in monitor.senses:
                self._kind(monitor.senses, p.Shunt, f"{at}/senses", what, "shunt")
            elif "." not in monitor.senses:
                self.shape.say(f"{at}/senses", f"{what}: `{monitor.senses}` is no terminal; write `part.terminal`")
            else:
                self._terminal(monitor.senses, f"{at}/senses", what)
            if monitor.on is not None:
                self._kind(monitor.on, p.Consumer, f"{at}/on", what, "instrument or load")
        for name, check in watch.checks.items():
            at = pointer("watch/checks", name)
            self._known(check.state, self.state_names, f"{at}/state", f"check {name}", "state")
            known = [*self.monitor_names, *self.function_names, *self.part_names]
            for i, watched in enumerate(check.watch):
                self._known(watched, known, f"{at}/watch/{i}", f"check {name}", "monitor, load or function")
            for i, proved in enumerate(check.proves):
                self._known(proved, [*self.part_names, *self.wire_names], f"{at}/proves/{i}", f"check {name}", "part or wire")
