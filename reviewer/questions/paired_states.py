"""The states of two designs that are the same state: by name, or renamed with the same settings."""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.questions.renamed_parts import SAME_NAMES, Renames


def paired_states(old: Facts, new: Facts, renames: Renames = SAME_NAMES) -> dict[str, str]:
    """New state -> old state, in the order of the new file.

    A state of another name is the same one where both files have one alone with its engine, its use
    and its positions of the switches that both have, breakers pulled and units off among them.
    ``renames`` are parts under other names in the new file.
    """
    before, after = _states(old), _states(new)
    shared = set(map(renames.name, _all(before))) & set(_all(after))
    left_before = _by_settings({n: a for n, a in before.items() if n not in after}, shared, renames)
    left_after = _by_settings({n: a for n, a in after.items() if n not in before}, shared)
    renamed = {
        names[0]: left_before[settings][0]
        for settings, names in left_after.items()
        if len(names) == 1 and len(left_before.get(settings, ())) == 1
    }
    return {n: n if n in before else renamed[n] for n in after if n in before or n in renamed}


def _states(facts: Facts) -> dict[str, StateAnswer]:
    """The declared states by name, each followed by those in which a sneak current keeps a relay
    energised."""
    if not facts.design.operation:
        return {}
    held = facts.switches.still_energised
    return {
        answer.state.name: answer
        for state in facts.states.declared
        for answer in (facts.states.answer(state), *held[state])
    }


def state_names(facts: Facts) -> tuple[str, ...]:
    """The names of all states that are compared."""
    return tuple(_states(facts))


def _all(states: Mapping[str, StateAnswer]) -> list[str]:
    return [switch for answer in states.values() for switch in answer.positions]


def _by_settings(
    states: Mapping[str, StateAnswer], shared: set[str], renames: Renames = SAME_NAMES
) -> dict[tuple, list[str]]:
    found: dict[tuple, list[str]] = {}
    for name, answer in states.items():
        named = ((renames.name(s), at) for s, at in answer.positions.items())
        positions = tuple(sorted((s, at) for s, at in named if s in shared))
        pulled = tuple(sorted(map(renames.name, answer.state.pulled)))
        found.setdefault((answer.state.engine, answer.state.use, positions, pulled), []).append(name)
    return found
