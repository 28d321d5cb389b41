"""What `like` hands on, by its meaning: of each key the first state that says it counts, from the state itself back.

The plain evaluator takes the resolved states as they are, so that nothing but this file stands for them.
"""

from __future__ import annotations

import json
from random import Random
from typing import Any

import pytest

from reviewer.model.resolved_states import ResolvedState, resolved
from reviewer.reading import read_text

HEAD = {
    "format": 1,
    "aircraft": {"name": "Example", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
    "parts": {
        "one": {"kind": "switch", "positions": {"down": [], "up": [["line", "load"]]}},
        "two": {"kind": "switch", "positions": {"down": [], "up": [["line", "load"]]}},
        "tie": {"kind": "breaker-switch", "rating": "5 A"},
        "first": {"kind": "breaker", "rating": "5 A"},
        "second": {"kind": "fuse", "rating": "5 A"},
        "bus": {"kind": "bus"},
        "lamp": {"kind": "load", "own-switch": True},
        "radio": {"kind": "instrument", "own-switch": True},
        "sun": {"kind": "charger", "from": "solar"},
        "second-sun": {"kind": "charger", "from": "solar"},
    },
    "wires": {"W1": {"from": "bus.lamp", "to": "lamp.supply"}},
    "functions": {"light": {"any": 1, "of": ["lamp"], "loss": "minor"}},
}
PHASES = {"climb": {"state": "base"}, "descent": {"state": "base"}}


def read(states: dict[str, dict[str, Any]]) -> dict[str, ResolvedState]:
    whole = {**HEAD, "operation": {"normal": "base", "states": states, "phases": PHASES}}
    operation = read_text(json.dumps(whole), "example").operation
    assert operation is not None
    return dict(resolved(operation))


def expected(states: dict[str, dict[str, Any]], name: str) -> dict[str, Any]:
    """What holds in a state, told key by key."""
    back = [name]
    while like := states[back[-1]].get("like"):
        back.append(like)

    def says(key: str, otherwise: Any) -> Any:
        return next((states[n][key] for n in back if key in states[n]), otherwise)

    positions = {
        switch: next(s for n in back if (s := states[n].get("switches", {}).get(switch)))
        for switch in ("one", "two", "tie")
    }
    positions |= dict.fromkeys(says("units-off", ()), "off")
    use = says("use", "flight")
    speed = says("engine-speed", "idle" if use == "ground" else "flight")
    return {
        "use": use, "engine": says("engine", "running"), "at_idle": speed == "idle", "switches": positions,
        "pulled": tuple(says("pulled", ())), "external_power": says("external-power", "absent") == "connected",
        "currents_of": says("currents-of", None), "dead": tuple(states[name].get("dead", ())),
        "without": tuple(states[name].get("without", ())),
        "chargers": tuple(says("chargers", ())),
    }  # fmt: skip


BASE = {"switches": {"one": "up", "two": "down", "tie": "closed"}}
#: each key with what a state may say of it
SAYS: dict[str, tuple[Any, ...]] = {
    "use": ("flight", "abnormal", "ground"),
    "engine": ("running", "stopped", "cranking"),
    "engine-speed": ("idle", "run-up", "flight"),
    "currents-of": ("climb", "descent"),
    "switches": ({"one": "down"}, {"two": "up"}, {"tie": "open"}, {"one": "down", "tie": "open"}),
    "pulled": ([], ["first"], ["second", "first"]),
    "units-off": ([], ["lamp"], ["radio", "lamp"]),
    "external-power": ("connected", "absent"),
    "dead": (["bus"],),
    "without": (["light"],),
    "chargers": ([], ["sun"], ["second-sun", "sun"]),
}


@pytest.mark.parametrize("key", SAYS)
def test_a_key_is_handed_on_over_a_state_that_does_not_say_it(key: str) -> None:
    """And is overruled by the state itself; `dead` and `without` are never handed on."""
    for value in SAYS[key]:
        for other in SAYS[key]:
            states = {
                "base": {**BASE, **({key: value} if key != "switches" else {})},
                "above": {"like": "base", **({key: value} if key == "switches" else {})},
                "silent": {"like": "above"},
                "own": {"like": "silent", key: other},
            }
            found = read(states)
            for name in states:
                told = expected(states, name)
                assert {k: getattr(found[name], k) for k in told} == told, (name, value, other)
    if key in ("dead", "without"):
        assert getattr(found["silent"], key) == () != getattr(found["own"], key)


@pytest.mark.parametrize("seed", range(60))
def test_states_that_are_like_one_another_in_any_order_of_the_file(seed: int) -> None:
    chance = Random(seed)
    names = ["base", "a", "b", "c", "d"]
    states: dict[str, dict[str, Any]] = {}
    for i, name in enumerate(names):
        own = {key: chance.choice(said) for key, said in SAYS.items() if chance.random() < 0.35}
        if name == "base":
            own["switches"] = {**BASE["switches"], **own.get("switches", {})}
        else:
            own["like"] = chance.choice(names[:i])
        states[name] = own
    chance.shuffle(names)
    found = read({name: states[name] for name in names})
    assert list(found) == names
    for name in names:
        told = expected(states, name)
        assert {k: getattr(found[name], k) for k in told} == told, states


def test_on_the_ground_the_engine_idles_unless_a_state_says_its_speed() -> None:
    """A taxi like cruise idles, and a climb like that taxi does not: the speed was said nowhere."""
    found = read({
        "base": BASE, "taxi": {"like": "base", "use": "ground"}, "climb": {"like": "taxi", "use": "flight"},
        "run-up": {"like": "taxi", "engine-speed": "run-up"}, "after": {"like": "run-up"},
    })  # fmt: skip
    assert [found[n].at_idle for n in ("base", "taxi", "climb", "run-up", "after")] == [0, 1, 0, 0, 0]
    assert [found[n].speed for n in ("taxi", "climb")] == [0.0, 1.0]
