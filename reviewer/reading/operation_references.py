"""References of the operation: states, phases, actions and what is excluded."""

from __future__ import annotations

from collections.abc import Mapping
from types import NoneType

from reviewer.model import parts as p
from reviewer.model.design import Action, Operation, State
from reviewer.reading.names import Names
from reviewer.reading.positions import pointer
from reviewer.reading.problem import nearest

SWITCHING = (p.Switch, p.BreakerSwitch)
SOURCES = (p.Battery, p.Alternator, p.GroundPower)


class OperationReferences(Names):
    """Checks an operation."""

    def all(self, operation: Operation) -> None:
        """Add a problem for each name in it that names nothing, or not what it should."""
        if operation.dispatch:
            self._known(operation.dispatch, self.state_names, "operation/dispatch", "operation", "state")
        for name, state in operation.states.items():
            self._state(operation, name, state)
        for name, phase in operation.phases.items():
            self._known(phase.state, self.state_names, f"{pointer('operation/phases', name)}/state", f"phase {name}", "state")
        for name, action in operation.actions.items():
            self._action(name, action)
        for i, taken in enumerate(operation.shedding):
            self._known(taken, list(operation.actions), f"operation/shedding/{i}", "shedding", "action")
        for i, exclusion in enumerate(operation.excluded):
            self._moves(exclusion.switches, f"operation/excluded/{i}/switches", "excluded combination")

    def _action(self, name: str, action: Action) -> None:
        at = pointer("operation/actions", name)
        what = f"action {name}"
        self._moves(action.move, f"{at}/move", what, protectors=True)
        for i, failed in enumerate(action.after):
            self._known(failed, [*self.part_names, *self.wire_names], f"{at}/after/{i}", what, "part or wire")
        for key, kinds, words in (
            ("restores", (p.Consumer,), "function, load or source"),
            ("disconnects", (p.Consumer, p.Bus), "bus, load or source"),
        ):
            known = [*self.part_names, *(self.function_names if key == "restores" else ())]
            for i, named in enumerate(getattr(action, key)):
                here = f"{at}/{key}/{i}"
                if self._known(named, known, here, what, words) and not isinstance(self.parts.get(named), (NoneType, *SOURCES, *kinds)):
                    self.shape.say(here, f"{what}: `{named}` is a {self.parts[named].kind}, not a {words}")

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
