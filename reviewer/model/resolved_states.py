"""The declared states with their inheritance resolved."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from reviewer.model.design import Operation
from reviewer.model.record import record


@record
class ResolvedState:
    """One state as it holds: ``switches`` gives a position for every switch; ``external_power`` is
    True where external power is connected; ``at_idle`` where the engine turns no faster;
    ``currents_of`` the phase whose load currents it takes, or None.
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


def resolved(operation: Operation) -> Mapping[str, ResolvedState]:
    """The states by name. ``like`` hands on switches, engine and its speed, use, external power,
    pulled protectors and ``currents-of``, not ``dead`` and ``without``.

    The references must resolve and go round in no circle, as those of a design that was read do.
    """
    done: dict[str, ResolvedState] = {}
    speeds: dict[str, str | None] = {}

    def resolve(name: str) -> ResolvedState:
        if name not in done:
            state = operation.states[name]
            base = resolve(state.like) if state.like else None
            given = "pulled" in state.model_fields_set
            use = state.use or (base.use if base else "flight")
            speeds[name] = state.engine_speed or (speeds[base.name] if base else None)
            done[name] = ResolvedState(
                name,
                use,
                state.engine or (base.engine if base else "running"),
                MappingProxyType({**(base.switches if base else {}), **state.switches}),
                state.pulled if given or not base else base.pulled,
                state.external_power == "connected"
                if state.external_power or not base
                else base.external_power,
                state.dead,
                state.without,
                use == "ground" if speeds[name] is None else speeds[name] == "idle",
                state.currents_of or (base.currents_of if base else None),
            )
        return done[name]

    return MappingProxyType({name: resolve(name) for name in operation.states})
