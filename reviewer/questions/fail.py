"""What the failures of a part, a wire or a bundle do in a state, and what the crew can do then."""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction.failure_modes import BY_OHMS, Failure, mode_key
from reviewer.analysis.crew.recovery import Recoveries, Recovery
from reviewer.analysis.facts import Facts
from reviewer.model.record import record
from reviewer.questions.degraded import DegradedAnswer, degraded_of
from reviewer.questions.effects import Effect, effects, next_failures_after, worse_outcomes
from reviewer.questions.naming import (
    NoAnswer,
    degraded_named,
    element_named,
    failures_of,
    functions_off,
    kind_of,
    state_named,
    typed_mode,
    untried_words,
)
from reviewer.questions.sneak_relays import EnergisedBySneak

__all__ = ["Failure", "Recoveries", "Recovery", "WhatFails", "fail_of"]


@record
class WhatFails:
    """The ``effects`` of each failure of ``element`` (of ``kind``) that was tried in ``state``.

    ``untried`` says of each mode that applies and was not tried why it was not.
    ``single_failures[function]`` are those that cause its loss with nothing else failed, ``off``
    the functions that do not work in the state anyway. ``crew[function]`` is what declared actions
    do about each failure that loses it. ``degraded`` is what a resistance does, at each place.
    ``by_ohms`` are the modes with a resistance, which were not asked for and so not solved.
    """

    element: str
    kind: str
    state: str
    switches: tuple[tuple[str, str], ...]
    off: tuple[str, ...]
    effects: tuple[Effect, ...]
    untried: tuple[str, ...]
    single_failures: Mapping[str, tuple[Failure, ...]]
    crew: Mapping[str, Recoveries]
    #: the relays that sneak currents energise in the state, or keep energised
    sneaks: tuple[EnergisedBySneak, ...] = ()
    degraded: tuple[DegradedAnswer, ...] = ()
    by_ohms: tuple[str, ...] = ()


def fail_of(facts: Facts, name: str, mode: str | None = None, state: str | None = None) -> WhatFails:
    """What a failure does: of one mode, as typed on the command line, or of all that apply.

    Raises NoAnswer.
    """
    element, modes = element_named(facts, name)
    answer = state_named(facts, state)
    wanted, asked = modes, None
    if mode is not None:
        one, ohms, place = typed_mode(facts, element, modes, mode)
        wanted = (one,)
        if one in BY_OHMS and (ohms or place):
            asked = degraded_named(facts.network, element, name, one, ohms, place)
        elif place:
            raise NoAnswer(f"Every place is listed; write `--mode {mode_key(facts.network, element, one)}`.")
    failures = tuple(f for f in failures_of(answer, element) if f.mode in wanted)
    failures += worse_outcomes(facts, answer, failures)
    signs = facts.detection.indications_of(answer.state.name, failures)
    found = effects(facts, answer, failures, signs, next_failures_after(facts, answer, failures))
    lost = dict.fromkeys(function for effect in found for function, _ in effect.functions)
    return WhatFails(
        element=element,
        kind=kind_of(facts.design, element),
        state=answer.state.name,
        switches=answer.switches,
        off=functions_off(answer),
        effects=found,
        untried=tuple(
            untried_words(answer, element, m)
            for m in wanted
            if m not in BY_OHMS and all(f.mode != m for f in failures)
        ),
        single_failures={
            function: tuple(f for i, f in enumerate(answer.failures) if not mask >> i & 1)
            for function, mask in answer.functions.items()
        },
        crew={
            function: facts.crew.recoveries_from(function, answer.state.name, failures) for function in lost
        },
        sneaks=facts.switches.sneaks_in(answer.state.name),
        degraded=() if mode is None else degraded_of(facts, answer, element, wanted, asked),
        by_ohms=tuple(m.value for m in modes if m in BY_OHMS) if mode is None else (),
    )
