"""What a degraded or leaking part or wire does, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.questions.degraded import (
    DegradedAnswer,
    DegradedEffect,
    DegradedLoss,
    HighVolts,
    LoadVolts,
    LowLoad,
    ShownBy,
)
from reviewer.questions.fail import WhatFails
from reviewer.reports.effects.words import NO_FUNCTIONS, NO_WATCH, none_but_the_loss
from reviewer.reports.layout import labelled, lines_of
from reviewer.reports.wording import element_words, shown

#: loads whose volts are told
MOST_LOADS = 12
#: said of what holds once no alternator gives anything
ALONE = " on batteries alone"


def degraded_lines(design: Design, answer: WhatFails, width: int) -> list[str]:
    """The lines of each mode with a resistance; places where nothing is lost stand together."""
    lines: list[str] = []
    quiet: dict[tuple[str, str], list[str]] = {}
    for one in answer.degraded:
        if one.effect is None and not _limits(one):
            quiet.setdefault((one.mode.value, one.missing), []).append(one.at)
        else:
            lines += ["", *_answer(design, answer.element, one, width)]
    for (mode, missing), places in quiet.items():
        lines += [
            "",
            *lines_of(f"{element_words(answer.element)} {mode}{_at(answer.element, places)}", width),
        ]
        lines += labelled("functions lost", _none(design, missing), width, 2)
    return lines


def _limits(one: DegradedAnswer) -> bool:
    """Whether anything is said of a mode but that no resistance loses a function."""
    alone = one.on_batteries
    return any(
        (one.losses, one.low, one.low_missing, one.high, alone.losses, alone.low, alone.missing),
    )


def _none(design: Design, missing: str) -> str:
    if not design.functions:
        return NO_FUNCTIONS
    return f"not assessed; missing data: {shown(missing)}" if missing else "none at any resistance"


def _at(element: str, places: Sequence[str]) -> str:
    named = [shown(f"{element.partition('/')[2]}.{at}") for at in places if at]
    return f" at {and_list(named)}" if named else ""


def _answer(design: Design, element: str, one: DegradedAnswer, width: int) -> Iterator[str]:
    ohms = ""
    if one.effect:
        more = "more" if one.mode.value == "degraded" else "across it"
        ohms = f", {one.effect.failure.ohms:g} ohm {more}"
    yield from lines_of(f"{element_words(element)} {one.mode.value}{ohms}{_at(element, [one.at])}", width)
    if one.effect:
        yield from labelled("local effect", _local(one.effect), width, 2)
        lost = ", ".join(f"{shown(n)} ({hazard.word})" for n, hazard in one.effect.functions)
        yield from labelled("functions lost", lost or _none_now(design), width, 2)
        unseen = none_but_the_loss([None]) if one.effect.functions else "none"
        signs = "; ".join(map(_sign, one.effect.shown)) or unseen
        yield from labelled("indication", signs if design.watch.monitors else NO_WATCH, width, 2)
    if not one.losses and design.functions:
        label, text = (
            ("limit", "no resistance loses a function")
            if one.effect
            else ("functions lost", _none(design, ""))
        )
        if one.on_batteries.losses:
            text += " while an alternator works"
        yield from labelled(label, text, width, 2)
    for loss in one.losses:
        yield from labelled("limit", _limit(one, loss), width, 2)
    for load in one.low:
        yield from labelled("limit", _low(one, load), width, 2)
    for loss in one.on_batteries.losses:
        yield from labelled("limit", _limit(one, loss, ALONE), width, 2)
    for load in one.on_batteries.low:
        yield from labelled("limit", _low(one, load, ALONE), width, 2)
    for high in one.high:
        yield from labelled("limit", _high(one, high), width, 2)
    if one.low_missing:
        text = f"that of each load not assessed; missing data: {shown(one.low_missing)}"
        yield from labelled("limit", text, width, 2)
    if one.on_batteries.missing:
        text = f"those{ALONE} not assessed; missing data: {shown(one.on_batteries.missing)}"
        yield from labelled("limit", text, width, 2)


def _none_now(design: Design) -> str:
    return "none" if design.functions else NO_FUNCTIONS


def _local(effect: DegradedEffect) -> str:
    clauses = [_volts(load) for load in effect.loads[:MOST_LOADS]]
    if effect.loads[MOST_LOADS:]:
        clauses.append(f"{len(effect.loads) - MOST_LOADS} more loads change less")
    clauses += [f"{shown(relay)} drops out" for relay in effect.dropped]
    clauses += [
        f"{shown(name)} {volts:.2f} V at its output, above its overvoltage trip of {trip:g} V: it may trip"
        for name, volts, trip in effect.reach
    ]
    return "; ".join(clauses) or "none"


def _volts(load: LoadVolts) -> str:
    text = f"{shown(load.load)} {load.after:.2f} V instead of {load.before:.2f} V"
    if load.low:
        return f"{text}, below its minimum of {load.minimum:g} V"
    return f"{text}, above its maximum of {load.maximum:g} V" if load.high else text


def _sign(sign: ShownBy) -> str:
    if sign.dark or sign.reading is None:
        return f"dark: {shown(sign.monitor)}"
    reads = f"{shown(sign.monitor)} reads {sign.reading:.1f}"
    if sign.alarm:
        return f"{reads}, alarm"
    assert sign.sound is not None
    return f"{reads}, {sign.sound.low:g} to {sign.sound.high:g} when sound"


def _limit(one: DegradedAnswer, loss: DegradedLoss, when: str = "") -> str:
    up = "from" if one.mode.value == "degraded" else "up to"
    why = [f"{shown(n)} is below its minimum of {least:g} V" for n, _, least in loss.low]
    why += [f"{shown(relay)} drops out" for relay in loss.dropped]
    why += [f"{shown(name)} has tripped by overvoltage" for name in loss.tripped]
    phase = f" in {shown(loss.phase)}" if loss.phase else ""
    lost = f"{shown(loss.function)} ({loss.hazard.word}) is lost {up} {loss.ohms:.3g} ohm{phase}{when}"
    return f"{lost}: {'; '.join(why)}"


def _high(one: DegradedAnswer, high: HighVolts) -> str:
    up = "from" if one.mode.value == "degraded" else "up to"
    phase = f" in {shown(high.phase)}" if high.phase else ""
    what = "reaches its overvoltage trip" if high.trip else "is above its maximum"
    return f"{shown(high.name)} {what} of {high.limit:g} V {up} {high.ohms:.3g} ohm{phase}"


def _low(one: DegradedAnswer, load: LowLoad, when: str = "") -> str:
    up = "from" if one.mode.value == "degraded" else "up to"
    phase = f" in {shown(load.phase)}" if load.phase else ""
    where = f"{up} {load.ohms:.3g} ohm{phase}{when}; {shown(load.function)} continues without it"
    if load.minimum is not None:
        return f"{shown(load.load)} is below its minimum of {load.minimum:g} V {where}"
    why = [f"{shown(relay)} drops out" for relay in load.dropped]
    why += [f"{shown(name)} has tripped by overvoltage" for name in load.tripped]
    return f"{shown(load.load)} has no power {where}: {and_list(why)}"
