"""References of the operation: states, phases, actions and what is excluded."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property
from typing import Any

from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.model.design import Action, Operation, State
from reviewer.model.operation import NORMAL
from reviewer.reading.known_names import Names, along
from reviewer.reading.problem import did_you_mean, nearest
from reviewer.reading.yaml_events import pointer

SWITCHING = (p.Switch, p.BreakerSwitch)

#: positions that an example of a mistake has
_FEW = 3


class OperationReferences(Names):
    """Checks an operation."""

    def all(self, operation: Operation) -> None:
        """Add a problem for each name in it that names nothing, or not what it should."""
        names = self.state_names or [NORMAL]
        if "normal" in operation.model_fields_set:
            self._known(operation.normal, names, "operation/normal", "operation", "state")
        for name, state in operation.states.items():
            if name != self.made_state:
                self._state(operation, name, state)
        for name, phase in operation.phases.items():
            here = f"{pointer('operation/phases', name)}/state"
            self._known(phase.state, self.set_names, here, f"phase {name}", "state")
        for name, action in operation.actions.items():
            self._action(name, action)
        for i, taken in enumerate(operation.load_shedding):
            self._known(taken, self.action_names, f"operation/load-shedding/{i}", "load-shedding", "action")
        for i, exclusion in enumerate(operation.excluded):
            self._moves(exclusion.switches, f"operation/excluded/{i}/switches", "excluded combination")

    def _action(self, name: str, action: Action) -> None:
        at = pointer("operation/actions", name)
        what = f"action {name}"
        self._moves(action.move, f"{at}/move", what, protectors=True)
        for i, failed in enumerate(action.after_failure_of):
            self._known(
                failed,
                [*self.part_names, *self.wire_names, *self.mechanical_names],
                f"{at}/after-failure-of/{i}",
                what,
                "part or wire",
            )
        for key, kinds, words in (
            ("restores", (p.Consumer, p.Magneto), "function, load or source"),
            ("disconnects", (p.Consumer, p.Bus), "bus, load or source"),
        ):
            known = [*self.part_names, *(self.function_names if key == "restores" else ())]
            for i, named in enumerate(getattr(action, key)):
                here = f"{at}/{key}/{i}"
                if not self._known(named, known, here, what, words) or named not in self.parts:
                    continue
                if not isinstance(self.parts[named], (*p.SOURCES, *kinds)):
                    is_kind = with_article(self.parts[named].kind)
                    said = f"{what}: `{named}` is {is_kind}, not {with_article(words)}"
                    self.collector.refer(here, said)

    def _state(self, operation: Operation, name: str, state: State) -> None:
        at = pointer("operation/states", name)
        what = f"state {name}"
        if state.like is not None:
            self._known(state.like, self.state_names, f"{at}/like", what, "state")
            circle = self._circle(name, lambda n: self._base(operation, n))
            if circle:
                self.collector.refer(f"{at}/like", f"{what} is `like` itself: {along(circle)}")
                return
        if state.currents_of is not None:
            self._known(state.currents_of, list(operation.phases), f"{at}/currents-of", what, "phase")
        if isinstance(state.engine, Mapping):
            self._engines(state.engine, f"{at}/engine", what)
        self._moves(state.switches, f"{at}/switches", what)
        self._kinds(state.pulled, p.Protector, f"{at}/pulled", what, "breaker, fuse or limiter")
        for i, unit in enumerate(state.units_off):
            self._unit_off(unit, f"{at}/units-off/{i}", what)
        self._chargers(operation, name, at, what)
        for i, output in enumerate(state.outputs_on):
            self._output_on(output, f"{at}/outputs-on/{i}", what)
        self._kinds(state.dead, p.Bus, f"{at}/dead", what, "bus")
        self._kinds(state.silent, p.Magneto, f"{at}/silent", what, "magneto")
        for i, function in enumerate(state.without):
            self._known(function, self.function_names, f"{at}/without/{i}", what, "function")
        missing = self._unset(operation, name)
        told = set(self._unset(operation, state.like)) if state.like is not None else set()
        if missing := [n for n in missing if n not in told]:
            here = f"{at}/switches" if state.switches else at
            some = ", ".join(f"{n}: {self._usual(self.parts[n])}" for n in missing[:_FEW])
            said = f"{what} gives no position for {', '.join(missing)}; write under `switches`, as "
            start = f", or begin it with `like: {operation.normal}`"
            begun = state.like is not None or name == operation.normal
            self.collector.say(here, f"{said}`switches: {{{some}}}`{'' if begun else start}", key=True)

    def _engines(self, does: Mapping[str, str], at: str, what: str) -> None:
        """What each engine of the aircraft does: all of them, and no other."""
        if not self.engine_names:
            said = f"{what}: the aircraft has no `engines`; name them there, or write `engine: running`"
            self.collector.refer(at, said, key=True)
            return
        for name in does:
            self._known(name, self.engine_names, pointer(at, name), what, "engine")
        if missing := [name for name in self.engine_names if name not in does]:
            self.collector.refer(at, f"{what} does not state what {', '.join(missing)} does", key=True)

    def _unit_off(self, name: str, at: str, what: str) -> None:
        known = self._known(name, self.part_names, at, what, "load or instrument")
        if known and name in self.parts and not getattr(self.parts[name], "own_switch", None):
            said = f"{what}: `{name}` has no switch of its own; write `own-switch: true` there"
            self.collector.refer(at, f"{said}, or set the switch that turns it off")

    def _chargers(self, operation: Operation, name: str, at: str, what: str) -> None:
        """The chargers that a state lists, and those from the mains that it takes over in flight."""
        chain = self._chain(operation, name)
        lists = next((n for n in chain if "chargers" in operation.states[n].model_fields_set), name)
        listed = operation.states[lists].chargers
        if lists == name:
            self._kinds(listed, p.Charger, f"{at}/chargers", what, "charger")
        use = next((u for n in chain if (u := operation.states[n].use)), "flight")
        for i, charger in enumerate(listed):
            part = self.parts.get(charger)
            here = f"{at}/chargers/{i}" if lists == name else at
            if not isinstance(part, p.Charger):
                continue
            if part.from_ == "another-bus" and lists == name:
                said = f"{what}: {charger} works whenever its input has power; remove it from `chargers`"
                self.collector.refer(here, said)
            if part.from_ == "mains" and use != "ground":
                by = "" if lists == name else f", listed by state {lists},"
                said = f"{what}: {charger}{by} is fed from the mains, which only a state of `use: ground` has"
                self.collector.refer(here, said, key=lists != name)

    def _chain(self, operation: Operation, name: str) -> list[str]:
        """A state and those that it is like, nearest first; states may go round in a circle."""
        chain: list[str] = []
        while name in operation.states and name not in chain:
            chain.append(name)
            name = operation.states[name].like or ""
        return chain

    def _output_on(self, name: str, at: str, what: str) -> None:
        known = {
            f"{unit}.{output}": made.when
            for unit, part in self.parts.items()
            if isinstance(part, p.Consumer)
            for output, made in part.outputs.items()
        }
        unit = name.partition(".")[0]
        if unit in self.parts and not self.collector.sound(pointer("parts", unit), "outputs"):
            return
        if self._known(name, known, at, what, "output") and known[name] != "commanded":
            said = f"{what}: `{name}` is on without a command, `when: {known[name]}`"
            self.collector.refer(at, f"{said}; list those of `when: commanded` only")

    def _base(self, operation: Operation, name: str) -> tuple[str, ...]:
        """The state that a state is like, where it is known."""
        state = operation.states.get(name)
        return (state.like,) if state is not None and state.like is not None else ()

    def _given(self, operation: Operation, name: str) -> set[str] | None:
        """The switches that a state gives a position, itself or by the states it is like; that of normal
        flight gives each its normal one. None where a mistake hides some."""
        given: set[str] = set()
        passed: set[str] = set()  # states may go round in a circle, which is reported
        while name in operation.states and name not in passed:
            passed.add(name)
            at, state = pointer("operation/states", name), operation.states[name]
            if not self.collector.sound(at, "like") or not (
                state.switches or self.collector.sound(at, "switches")
            ):
                return None
            given |= state.switches.keys()
            if state.like is None:
                return {*given, *self._in_flight} if name == operation.normal else given
            name = state.like
        return None

    def _unset(self, operation: Operation, name: str) -> list[str]:
        """The switches that a state gives no position, itself or by the states it is like; without
        one whose name is misspelt there, which is told."""
        given = self._given(operation, name)
        if given is None:
            return []
        misspelt = [self._meant(n, self._set) for n in given if not isinstance(self.parts.get(n), SWITCHING)]
        return [n for n in self._set if n not in given and not any(f"`{n}`" in near for near in misspelt)]

    def _meant(self, name: str, movable: Collection[str]) -> str:
        """What may be meant by a name that is none of what can be moved: the one whose label it is, as
        ``fuel-boost`` of FUEL BOOST, else one that is near."""
        by_label = {str(self.parts[n].label or "").lower().replace(" ", "-"): n for n in movable}
        return did_you_mean([by_label[name]]) if name in by_label else nearest(name, movable)

    @cached_property
    def _in_flight(self) -> list[str]:
        """The parts that give their position in normal flight themselves."""
        return [name for name, part in self.parts.items() if getattr(part, "in_flight", None)]

    @cached_property
    def _set(self) -> list[str]:
        """The parts that a state must give a position."""
        return [name for name, part in self.parts.items() if _is_set(part)]

    def _moves(self, moves: Mapping[str, str], at: str, what: str, protectors: bool = False) -> None:
        allowed = SWITCHING + ((p.Protector,) if protectors else ())
        movable = {
            n
            for n, part in self.parts.items()
            if isinstance(part, allowed) or (protectors and getattr(part, "own_switch", None))
        }
        for name, position in moves.items():
            here = pointer(at, name)
            hint = "" if name in self.parts else self._meant(name, movable)
            if not self._known(name, self.part_names, here, what, "switch", hint) or name not in self.parts:
                continue
            part = self.parts[name]
            if name not in movable:
                hint = self._meant(name, self._set)
                said = f"{what}: `{name}` is {with_article(part.kind)}, not a switch{hint}"
                self.collector.refer(here, said, key=True)
                continue
            if why := _not_moved(part, protectors):
                self.collector.refer(here, f"{what}: {name} {why}", key=True)
                continue
            positions = self._positions(name, part, protectors)
            if positions is not None and position not in positions:
                hint = f"{nearest(position, positions)}; it has {', '.join(positions)}"
                self.collector.refer(here, f"{what}: {name} has no position `{position}`{hint}")

    def _positions(self, name: str, part: Any, protectors: bool) -> list[str] | None:
        """The positions of a switch, and where protectors are moved too, of those; None where they
        are mistaken."""
        if not self.collector.sound(pointer("parts", name), "positions"):
            return None
        return positions_of(part, protectors)

    def _usual(self, part: Any) -> str:
        """A position to write for a switch: the one that its part gives as normal, else the last."""
        return getattr(part, "normal", None) or (self._positions("", part, False) or [""])[-1]


def positions_of(part: Any, protectors: bool) -> list[str]:
    """The positions of a switch or a unit with a switch of its own, and where protectors are moved too,
    of those; none of another part."""
    if isinstance(part, p.Consumer):
        return ["off", "on"]
    positions = list(part.positions) if isinstance(part, p.Switch) else []
    if isinstance(part, p.BreakerSwitch):
        positions = ["closed", "open"]
    if protectors and isinstance(part, p.Protector):
        positions += ["pulled", "in"]
    return positions


def _is_set(part: Any) -> bool:
    """Whether a state must give a position for a part: to a switch of the crew that has several in which
    it stays."""
    if isinstance(part, p.Switch):
        return part.by_hand and not part.at_rest and not part.springs_to
    return isinstance(part, p.BreakerSwitch)


def _not_moved(part: Any, crew: bool) -> str:
    """Why a switch is not set to a position where it is named; "" where it may be."""
    if getattr(part, "follows", None):
        return f"follows {part.follows} and has the position that this gives it; remove it"
    if crew and not getattr(part, "by_hand", True):
        return f"is operated by {part.operated_by}; the crew cannot move it"
    return ""
