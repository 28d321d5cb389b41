"""The declared states with their inheritance resolved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from types import MappingProxyType

from reviewer.model.channels import BY_HAND
from reviewer.model.design import Operation
from reviewer.model.fields import no_entries
from reviewer.model.record import record


@record
class SneakCurrent:
    """A current in series through loads and coils that energises the coil of ``relay``, one of them.

    ``hops`` are (element, terminal at which the current enters, terminal at which it leaves), from
    the source to its return, ``path`` all elements on the way. ``alone`` where the coil has no other
    circuit: a resistor drops its voltage, or another coil.
    """

    relay: str
    hops: tuple[tuple[str, str, str], ...]
    path: tuple[str, ...] = ()
    alone: bool = False

    @property
    def through(self) -> tuple[str, ...]:
        """The loads and other coils that pass the current."""
        return tuple(dict.fromkeys(element for element, _, _ in self.hops if element != self.relay))


@record
class ResolvedState:
    """One state as it holds.

    ``switches`` gives a position for every switch, and `off` for each unit that is turned off by a
    switch of its own; ``external_power`` is True where external power is connected; ``at_idle``
    where the engine turns no faster. ``engine`` is what the engine does: of several, `cranking`
    where one is cranked, else `running` where one runs, and ``engines`` has those that the state
    names. ``currents_of`` is the phase whose load currents it takes, or None. ``sneaks`` are
    currents that were found, in volts, to energise a relay whose own circuit is open. ``chargers``
    work in it. ``outputs_on`` are the commanded outputs of units (``unit.output``) that are on.
    """

    name: str
    use: str
    engine: str
    switches: Mapping[str, str]
    pulled: tuple[str, ...]
    external_power: bool
    dead: tuple[str, ...]
    without: tuple[str, ...]
    at_idle: bool = False
    currents_of: str | None = None
    sneaks: tuple[SneakCurrent, ...] = ()
    outputs_on: tuple[str, ...] = ()
    silent: tuple[str, ...] = ()
    chargers: tuple[str, ...] = ()
    engines: Mapping[str, str] = field(default_factory=no_entries)

    def engine_of(self, name: str) -> str:
        """What one of several engines does; ``name`` may be "", for the only one."""
        return self.engines.get(name, self.engine)

    def runs(self, engine: str) -> bool:
        """Whether one of several engines runs; of "" whether any does. A hand and air are always there."""
        does = {self.engine_of(engine), *(() if engine else self.engines.values())}
        return engine == BY_HAND or "running" in does

    def with_engine(self, engine: str) -> ResolvedState:
        """The state with what the engine does, all of several; unchanged where it does so already."""
        return self if engine == self.engine else replace(self, engine=engine, engines=MappingProxyType({}))

    @property
    def speed(self) -> float:
        """The speed of its engine, from 0 at idle to 1 in flight."""
        return 0.0 if self.at_idle else 1.0

    def is_off(self, unit: str) -> bool:
        """Whether a unit (a name) is turned off by a switch of its own."""
        return self.switches.get(unit) == "off"

    def by_own_circuits(self, *relays: str) -> ResolvedState:
        """The state without the sneak currents, of some relays or of all, but where the coil has no
        other circuit."""
        left = tuple(s for s in self.sneaks if s.alone or (relays and s.relay not in relays))
        return self if left == self.sneaks else replace(self, sneaks=left)


def resolved(operation: Operation) -> Mapping[str, ResolvedState]:
    """The states by name. ``like`` hands on switches, engine and its speed, use, external power,
    pulled protectors, units that are off, chargers and ``currents-of``, not ``dead``, ``without``,
    ``silent`` and the outputs that are on: these a unit commands as things are.

    The references must resolve and go round in no circle, as those of a design that was read do.
    """
    done: dict[str, ResolvedState] = {}
    speeds: dict[str, str | None] = {}
    off: dict[str, frozenset[str]] = {"": frozenset()}

    def resolve(name: str) -> ResolvedState:
        if name not in done:
            state = operation.states[name]
            base = resolve(state.like) if state.like else None
            fields = state.model_fields_set
            engine = state.engine or ((base.engines or base.engine) if base else "running")
            inherited = dict(base.switches) if base else {}
            if "units_off" in fields:
                inherited = {name: at for name, at in inherited.items() if name not in off[state.like or ""]}
                off[name] = frozenset(state.units_off)
            else:
                off[name] = off[state.like or ""]
            inherited |= dict.fromkeys(state.units_off, "off")
            use = state.use or (base.use if base else "flight")
            speeds[name] = state.engine_speed or (speeds[base.name] if base else None)
            done[name] = ResolvedState(
                name,
                use,
                _overall(engine),
                MappingProxyType({**inherited, **state.switches}),
                state.pulled if "pulled" in fields or not base else base.pulled,
                state.external_power == "connected"
                if state.external_power or not base
                else base.external_power,
                state.dead,
                state.without,
                use == "ground" if speeds[name] is None else speeds[name] == "idle",
                state.currents_of or (base.currents_of if base else None),
                outputs_on=state.outputs_on,
                engines=MappingProxyType({} if isinstance(engine, str) else dict(engine)),
                silent=state.silent,
                chargers=state.chargers if "chargers" in fields or not base else base.chargers,
            )
        return done[name]

    return MappingProxyType({name: resolve(name) for name in operation.states})


def _overall(engine: str | Mapping[str, str]) -> str:
    """What the engines of a state do, in one word."""
    does = {engine} if isinstance(engine, str) else set(engine.values())
    return next(word for word in ("cranking", "running", "stopped") if word in does)
