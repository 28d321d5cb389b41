"""References of a design: every name that is used names something. A reference to a piece that is itself broken is no second mistake."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from reviewer.model import parts as p
from reviewer.model.design import Function, Operation, State, Watch
from reviewer.reading.positions import pointer
from reviewer.reading.problem import nearest
from reviewer.reading.shape import Shape

SWITCHING = (p.Switch, p.BreakerSwitch)


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
    _References(shape, data, parts, functions, operation, watch).all(wires)


class _References:
    def __init__(
        self,
        shape: Shape,
        data: dict[str, Any],
        parts: Mapping[str, Any],
        functions: Mapping[str, Function],
        operation: Operation | None,
        watch: Watch,
    ):
        self.shape, self.parts, self.functions, self.operation, self.watch = shape, parts, functions, operation, watch
        self.part_names = self._names(data, "parts")
        self.function_names = self._names(data, "functions")
        self.state_names = self._names(data.get("operation"), "states")
        self.phase_names = self._names(data.get("operation"), "phases")
        self.monitor_names = self._names(data.get("watch"), "monitors")

    @staticmethod
    def _names(owner: Any, key: str) -> dict[str, None]:
        group = owner.get(key) if isinstance(owner, dict) else None
        return dict.fromkeys(group) if isinstance(group, dict) else {}

    def all(self, wires: Mapping[str, p.Wire]) -> None:
        for name, part in self.parts.items():
            self._part(name, part)
        for name, wire in wires.items():
            self._wire(name, wire)
        for name, function in self.functions.items():
            self._function(name, function)
        if self.operation is not None:
            self._operation(self.operation)
        self._watch()

    def _terminal(self, ref: str, at: str, what: str) -> None:
        owner, _, terminal = ref.partition(".")
        if owner not in self.part_names:
            self.shape.say(at, f"{what}: there is no part `{owner}`{nearest(owner, self.part_names)}")
        elif owner in self.parts and not self.parts[owner].open_ended and terminal not in self.parts[owner].terminals():
            known = self.parts[owner].terminals()
            self.shape.say(at, f"{what}: {owner} has no terminal `{terminal}`{nearest(terminal, known)}; it has {', '.join(known)}")

    def _known(self, name: str, known: Collection[str], at: str, what: str, kind: str) -> bool:
        if name in known:
            return True
        self.shape.say(at, f"{what}: there is no {kind} `{name}`{nearest(name, known)}")
        return False

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
        if isinstance(part, p.Switch):
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
        if wire.from_ == wire.to:
            self.shape.say(f"{at}/to", f"{what}: both ends are at `{wire.to}`")

    def _function(self, name: str, function: Function) -> None:
        at = pointer("functions", name)
        what = f"function {name}"
        if name in self.part_names:
            self.shape.say(at, f"{what}: a part has this name too; give the function another", key=True)
        self._channels(function.of, f"{at}/of", what)
        if function.any > len(function.of):
            self.shape.say(f"{at}/any", f"{what} wants {function.any} of {len(function.of)} channels; write {len(function.of)} or fewer")
        circle = self._circle(name, lambda n: self.functions[n].of if n in self.functions else ())
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

    @staticmethod
    def _circle(start: str, following: Any) -> list[str]:
        """The way from a name back to itself, or nothing."""
        todo = [[start]]
        seen = set()
        while todo:
            way = todo.pop()
            for other in following(way[-1]):
                if other == start:
                    return [*way, start]
                if other not in seen:
                    seen.add(other)
                    todo.append([*way, other])
        return []

    def _operation(self, operation: Operation) -> None:
        if operation.dispatch:
            self._known(operation.dispatch, self.state_names, "operation/dispatch", "operation", "state")
        for name, state in operation.states.items():
            self._state(operation, name, state)
        for name, phase in operation.phases.items():
            self._known(phase.state, self.state_names, f"{pointer('operation/phases', name)}/state", f"phase {name}", "state")
        for name, action in operation.actions.items():
            self._moves(action.move, f"{pointer('operation/actions', name)}/move", f"action {name}", protectors=True)
        for i, exclusion in enumerate(operation.excluded):
            self._moves(exclusion.switches, f"operation/excluded/{i}/switches", "excluded combination")

    def _state(self, operation: Operation, name: str, state: State) -> None:
        at = pointer("operation/states", name)
        what = f"state {name}"
        if state.like is not None:
            self._known(state.like, self.state_names, f"{at}/like", what, "state")
            circle = self._circle(name, lambda n: (operation.states[n].like,) if n in operation.states and operation.states[n].like else ())
            if circle:
                self.shape.say(f"{at}/like", f"{what} is like itself: {' -> '.join(circle)}")
                return
        self._moves(state.switches, f"{at}/switches", what)
        self._kinds(state.pulled, p.Protector, f"{at}/pulled", what, "breaker, fuse or limiter")
        self._kinds(state.dead, p.Bus, f"{at}/dead", what, "bus")
        for i, function in enumerate(state.without):
            self._known(function, self.function_names, f"{at}/without/{i}", what, "function")
        given, whole = set(state.switches), True
        base: State | None = state
        while base is not None and base.like is not None:
            whole = whole and base.like in operation.states
            base = operation.states.get(base.like)
            given |= set(base.switches) if base else set()
        missing = [n for n, part in self.parts.items() if isinstance(part, SWITCHING) and n not in given]
        if missing and whole:
            self.shape.say(f"{at}/switches" if state.switches else at, f"{what} gives no position for {', '.join(missing)}", key=True)

    def _moves(self, moves: Mapping[str, str], at: str, what: str, protectors: bool = False) -> None:
        allowed = SWITCHING + ((p.Protector,) if protectors else ())
        for name, position in moves.items():
            here = pointer(at, name)
            if not self._known(name, self.part_names, here, what, "switch") or name not in self.parts:
                continue
            part = self.parts[name]
            if not isinstance(part, allowed):
                self.shape.say(here, f"{what}: `{name}` is a {part.kind}, not a switch", key=True)
                continue
            positions = list(part.positions) if isinstance(part, p.Switch) else ["on", "off"] if isinstance(part, p.BreakerSwitch) else []
            if protectors and isinstance(part, p.Protector):
                positions += ["pulled", "in"]
            if position not in positions:
                self.shape.say(here, f"{what}: {name} has no position `{position}`{nearest(position, positions)}; it has {', '.join(positions)}")

    def _kinds(self, names: tuple[str, ...], kind: Any, at: str, what: str, words: str) -> None:
        for i, name in enumerate(names):
            self._kind(name, kind, f"{at}/{i}", what, words)

    def _kind(self, name: str, kind: Any, at: str, what: str, words: str) -> None:
        if self._known(name, self.part_names, at, what, words) and name in self.parts and not isinstance(self.parts[name], kind):
            self.shape.say(at, f"{what}: `{name}` is a {self.parts[name].kind}, not a {words}")

    def _watch(self) -> None:
        for name, monitor in self.watch.monitors.items():
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
        for name, check in self.watch.checks.items():
            at = pointer("watch/checks", name)
            self._known(check.state, self.state_names, f"{at}/state", f"check {name}", "state")
            known = [*self.monitor_names, *self.function_names, *self.part_names]
            for i, watched in enumerate(check.watch):
                self._known(watched, known, f"{at}/watch/{i}", f"check {name}", "monitor, load or function")
