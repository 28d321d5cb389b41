"""What stands first on a card: what to make safe before its steps, and what is live during them.

Common practice (no published source).
"""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.questions.power_steps import Stage
from reviewer.reports.handoff.schedules.schedule import names

#: what a row of a safety block looks at
SAFETY = "safety"


def safety_words(
    design: Design,
    stage: Stage,
    live: Sequence[str] = (),
    running: Sequence[str] = (),
    hot: Sequence[str] = (),
) -> str:
    """The block of a card of a stage.

    ``live`` are the terminals that are live while it is done, ``running`` the motors and heaters that
    get power, ``hot`` the magnetos whose lead is not grounded.
    """
    made = [*_aircraft(design, stage), *_PEOPLE[stage]]
    motors = [n for n in running if getattr(design.parts.get(n), "type", None) in ("motor", "starter")]
    made += [f"Clear what {names(motors)} {'moves' if len(motors) == 1 else 'move'}."] if motors else []
    heaters = [n for n in running if getattr(design.parts.get(n), "type", None) == "heater"]
    if heaters:
        get = "gets" if len(heaters) == 1 else "get"
        made.append(f"{names(heaters)} {get} hot: nothing over it, hands off, and off between steps.")
    if hot and stage is not Stage.ENGINE:
        fire = "fires" if len(hot) == 1 else "fire"
        made.append(f"Hands off the propeller: {names(hot)} {fire} when it is turned.")
    made.append(_live_words(design, live, stage))
    return " ".join(filter(None, made))


_PEOPLE = {
    Stage.COLD: (
        "Disconnect every battery, its negative lead first, and cover its terminals.",
        "Unplug what feeds from outside. All circuit protection out, all switches off but those that the "
        "card sets. Nobody in the seat.",
    ),
    Stage.SUPPLY: (
        "Batteries stay disconnected. Fire extinguisher at hand. One person in the seat at the switches.",
        "Switch the supply off before anybody works on a wire.",
    ),
    Stage.BATTERY: (
        "Connect each battery with all switches off, its negative lead last.",
        "Fire extinguisher at hand. One person in the seat at the switches.",
        "Disconnect every battery, its negative lead first, before anybody works on a wire.",
    ),
    Stage.ENGINE: (
        "Outdoors. Fire extinguisher manned. The pilot in the seat, the engine's stop at hand.",
        "Nobody near a wire. Stop the engine and disconnect every battery, its negative lead first, before "
        "anybody works on one.",
    ),
}


def _aircraft(design: Design, stage: Stage) -> Sequence[str]:
    if not design.has_engine:
        return ("Aircraft secured.",)
    if stage is Stage.ENGINE:
        return ("Propeller clear and watched, chocks set, brakes on.",)
    if stage is Stage.COLD:
        return ("Propeller clear, chocks set.",)
    return ("Propeller clear, for ignition or starter may get power; chocks set, brakes on.",)


def _live_words(design: Design, live: Sequence[str], stage: Stage) -> str:
    """``Live: main-bus, main-battery.positive; line side of radio-breaker``."""
    if not live:
        return "Live: the terminals of each battery itself and nothing else." if stage is Stage.COLD else ""
    every = design.of_kind(p.Protector)
    at = {end: {t[: -len(end) - 1] for t in live if t.endswith(f".{end}")} for end in ("line", "load")}
    both = [name for name in every if name in at["line"] and name in at["load"]]
    paired = frozenset(both)
    one = {end: [name for name in every if name in own and name not in paired] for end, own in at.items()}
    shown = {name for found in (both, *one.values()) for name in found}
    others = [t for t in live if t.rpartition(".")[0] not in shown]
    said = [names(others), f"both sides of {_most(both, every)}" if both else ""]
    said += [f"{end} side of {names(found)}" for end, found in one.items() if found]
    return f"Live: {'; '.join(filter(None, said))}."


def _most(some: Sequence[str], every: Sequence[str]) -> str:
    """Some names; of nearly all the others are named."""
    own = frozenset(some)
    rest = [name for name in every if name not in own]
    if 2 * len(rest) >= len(some):
        return names(some)
    said = "all circuit protection"
    return f"{said} but {names(rest)}" if rest else said
