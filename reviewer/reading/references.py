"""References of a design: every name that is used names something.

A reference to what is itself mistaken is no second mistake.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from reviewer.model import parts as p
from reviewer.model.channels import NO_ENGINE
from reviewer.model.design import Check, Function, Monitor, Operation, Watch
from reviewer.model.function_tree import MOST_LEVELS, levels_of
from reviewer.model.quantities import UNITS, Written
from reviewer.reading.collector import Collector
from reviewer.reading.known_names import along
from reviewer.reading.operation_references import OperationReferences
from reviewer.reading.part_references import CHANNELS, PartReferences
from reviewer.reading.yaml_events import pointer


def check_references(
    collector: Collector,
    data: dict[str, Any],
    parts: Mapping[str, Any],
    wires: Mapping[str, p.Wire],
    functions: Mapping[str, Function],
    operation: Operation | None,
    watch: Watch,
    later: Collection[str] = (),
) -> None:
    """Add a problem to ``collector`` for each name that names nothing, or not what it should.

    ``later`` are names of parts that are fitted later, and are no parts here.
    """
    _References(collector, data, parts, later).all(wires, functions, watch)
    if operation is not None:
        OperationReferences(collector, data, parts, later).all(operation)


class _References(PartReferences):
    def all(self, wires: Mapping[str, p.Wire], functions: Mapping[str, Function], watch: Watch) -> None:
        self.all_parts()
        for name, wire in wires.items():
            self._wire(name, wire)
        for word in NO_ENGINE:
            if word in self.engine_names:
                said = f"`{word}` is what drives something without an engine; give the engine another name"
                self.collector.refer(f"aircraft/engines/{list(self.engine_names).index(word)}", said)
        self.driven: dict[str, Any] = {}
        for name, function in functions.items():
            self._function(name, function, functions)
        for name, level in levels_of(functions).items():
            if level == MOST_LEVELS + 1:  # those above it rest on it
                said = f"function {name} is level {level} of functions in functions"
                self.collector.refer(
                    pointer("functions", name), f"{said}; a design may have {MOST_LEVELS} levels", key=True
                )
        for name, monitor in watch.monitors.items():
            self._monitor(name, monitor)
        for name, check in watch.checks.items():
            self._check(name, check)

    def _wire(self, name: str, wire: p.Wire) -> None:
        at = pointer("wires", name)
        what = f"wire {name}"
        self._terminal(wire.from_, f"{at}/from", what)
        self._terminal(wire.to, f"{at}/to", what)
        for i, ref in enumerate(wire.shield or ()):
            self._terminal(ref, f"{at}/shield/{i}", what)
        self._zone(wire.zone, f"{at}/zone", what)
        if wire.from_ == wire.to and self.collector.sound(at, "from"):
            self.collector.refer(f"{at}/to", f"{what}: both ends are at `{wire.to}`")

    def _function(self, name: str, function: Function, functions: Mapping[str, Function]) -> None:
        at = pointer("functions", name)
        what = f"function {name}"
        if name in self.part_names:
            said = f"{what}: a part has this name too; give the function another"
            self.collector.refer(at, said, key=True)
        # as it is written: of a list with a mistake an example is read
        written = self.data["functions"][name].get("of")
        channels_of = written if isinstance(written, list) else []
        plain = list(channels_of)
        for i, channel in enumerate(channels_of):
            if isinstance(channel, str) and channel.startswith("mechanical:"):
                self.collector.refer(f"{at}/of/{i}", f"{what}: write `{channel}` without quotes")
                plain[i] = None  # it is no name of a part
        self._channels(plain, f"{at}/of", what, CHANNELS, "an instrument, a magneto, a source, a bus")
        for i, channel in enumerate(channels_of):
            if isinstance(channel, dict) and isinstance(channel.get("mechanical"), str):
                self._mechanical_channel(channel, f"{at}/of/{i}", what)
        count = len(function.of)
        if function.any > count and self.collector.sound(at, "of"):
            said = f"{what} needs {function.any} of {count} channels; write {count} or fewer"
            self.collector.refer(f"{at}/any", said)

        def channels(of: str) -> tuple[str, ...]:
            sound = of in functions and self.collector.sound(pointer("functions", of), "of")
            return functions[of].of if sound else ()

        if name not in self.part_names and (circle := self._circle(name, channels)):
            self.collector.refer(at, f"{what} depends on itself: {along(circle)}", key=True)

    def _mechanical_channel(self, channel: dict[str, Any], at: str, what: str) -> None:
        name, engine = channel["mechanical"], channel.get("driven-by")
        first = self.driven.setdefault(name, engine)
        if isinstance(engine, str) and engine not in NO_ENGINE and not self.engine_names:
            said = f"{what}: the aircraft has no `engines`; name them there, or remove `driven-by`"
            self.collector.refer(f"{at}/driven-by", said, key=True)
        elif isinstance(engine, str) and engine not in NO_ENGINE:
            self._known(engine, self.engine_names, f"{at}/driven-by", what, "engine")
        if first != engine:
            said = f"{what}: another function names `{name}` with another `driven-by`, or without one"
            self.collector.refer(at, said, key=True)
        if name in self.part_names or name in self.function_names:
            part = self.parts.get(name)
            serves = name in self.function_names or isinstance(part, p.Consumer | p.Magneto)
            said = f"{what}: `mechanical: {name}` has the name of a part or function; "
            said += f"write `{name}` alone for that" if serves else "give it another"
            self.collector.refer(at, said)

    def _monitor(self, name: str, monitor: Monitor) -> None:
        at = pointer("watch/monitors", name)
        what = f"monitor {name}"
        if "." in monitor.senses and monitor.shows == "current" and self.collector.sound(at, "shows"):
            said = f"{what}: `{monitor.senses}` is a terminal; a current is that of a shunt, write its name"
            self.collector.refer(f"{at}/senses", said)
        elif "." in monitor.senses:
            self._terminal(monitor.senses, f"{at}/senses", what)
        elif not self.collector.sound(at, "shows"):
            pass  # whether it senses a terminal or a shunt follows from what it shows
        elif monitor.shows == "current":
            self._kind(monitor.senses, p.Shunt, f"{at}/senses", what, "shunt")
        else:
            said = f"{what}: `{monitor.senses}` is not a terminal; write `part.terminal`"
            self.collector.refer(f"{at}/senses", said)
        if monitor.displayed_on is not None:
            self._kind(monitor.displayed_on, p.Consumer, f"{at}/displayed-on", what, "instrument or load")

        if self.collector.sound(at, "shows"):
            self._keys_of_what_it_shows(monitor, at, what)

    def _keys_of_what_it_shows(self, monitor: Monitor, at: str, what: str) -> None:
        """Tell of a key that belongs to another quantity than the monitor shows."""
        for key, of in (
            ("alarm-below", ("voltage", "current")),
            ("alarm-above", ("voltage", "current")),
            ("alarm", ("current",)),
            ("indicates", ("current",)),
        ):
            value = getattr(monitor, key.replace("-", "_"))
            given = value is not None or not self.collector.sound(at, key)
            if given and monitor.shows not in of:
                words = " and ".join(f"`shows: {one}`" for one in of)
                said = f"{what}: `{key}` applies to {words} only"
                self.collector.say(f"{at}/{key}", said, key=True)
            elif isinstance(value, Written) and value.unit not in UNITS[monitor.shows]:
                like = "12.8 V" if monitor.shows == "voltage" else "2 A"
                said = (
                    f"{what}: `{key}` of a {monitor.shows} is not `{value.text}`; write for example `{like}`"
                )
                self.collector.say(f"{at}/{key}", said)

    def _check(self, name: str, check: Check) -> None:
        at = pointer("watch/checks", name)
        what = f"check {name}"
        self._known(check.state, self.set_names, f"{at}/state", what, "state")
        known = [*self.monitor_names, *self.function_names, *self.part_names]
        for i, watched in enumerate(check.watch):
            self._known(watched, known, f"{at}/watch/{i}", what, "monitor, load or function")
        elements = [*self.part_names, *self.wire_names, *self.mechanical_names]
        for i, proved in enumerate(check.proves):
            self._known(proved, elements, f"{at}/proves/{i}", what, "part or wire")
