"""Symptoms as a person reports them: readings, units dark or working, circuit protection open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from math import inf

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.quantities import QuantityError, read_quantity
from reviewer.model.record import record
from reviewer.questions.isolation_looks import OFF, WITHOUT
from reviewer.questions.meter_ranges import BLANK
from reviewer.questions.naming import NoAnswer, unknown
from reviewer.questions.state_signs import Look, Sign, StateSigns

_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
#: words for a display without power, and for what is only lit or dark
_WORDS = {"blank": BLANK, "lit": 1.0, "dark": 0.0}
#: of an ammeter that shows them
_WAYS = {"charge": 1, "discharge": -1}


@record
class Reported:
    """What a person reports, by name: readings as (monitor or terminal, text); ``rest_normal`` where
    all else is as usual."""

    readings: Sequence[tuple[str, str]] = ()
    dark: Sequence[str] = ()
    working: Sequence[str] = ()
    opened: Sequence[str] = ()
    closed: Sequence[str] = ()
    rest_normal: bool = False


@record
class Symptom:
    """A sign with the value that is seen: volts, amperes, 1 for working, open and lit, 0 for dark and
    closed, BLANK for a display without power. ``words`` are as they were written."""

    sign: Sign
    value: float
    words: str


def symptoms_of(facts: Facts, signs: StateSigns, reported: Reported) -> tuple[Symptom, ...]:
    """The symptoms that were reported, each sign once. Raises NoAnswer."""
    units = {s.name for s in signs.signs if s.look is Look.UNIT}
    protection = facts.design.of_kind(p.Protector)
    found = [_reading(facts, signs, name, text) for name, text in reported.readings]
    for names, known, look, value, words in (
        (reported.dark, units, Look.UNIT, 0.0, "dark"),
        (reported.working, units, Look.UNIT, 1.0, "works"),
        (reported.opened, protection, Look.PROTECTION, 1.0, "open"),
        (reported.closed, protection, Look.PROTECTION, 0.0, "closed"),
    ):
        for written in names:
            state, name = _placed(facts, signs, written)
            if name not in known:
                kind = "breaker, fuse or limiter" if look is Look.PROTECTION else "load or instrument"
                raise NoAnswer(unknown(kind, name, known))
            if state and look is Look.PROTECTION:
                raise NoAnswer(f"Protection that is open stays open; report {name} without a state.")
            found.append(Symptom(Sign(look, name, state), value, words))
    if not found:
        raise NoAnswer(
            "Report at least one symptom: `--dark LOAD`, `--open BREAKER`, or `--reads MONITOR=VALUE`."
        )
    by_sign: dict[Sign, Symptom] = {}
    for one in found:
        if by_sign.setdefault(one.sign, one) != one:
            raise NoAnswer(f"{one.sign} is reported twice: {by_sign[one.sign].words} and {one.words}.")
    if reported.rest_normal:
        for sign in signs.signs:
            seen = signs.seen(sign)[-1]
            if sign not in by_sign and seen is not None:
                value = BLANK if seen[0] == BLANK else sum(seen) / 2
                by_sign[sign] = Symptom(sign, value, "as usual")
    return tuple(by_sign.values())


def _ohms(signs: StateSigns, name: str, text: str) -> Symptom:
    """A reading of an ohmmeter to ground with everything off and a wire taken off a terminal."""
    if name not in signs.isolation.names:
        forms = f"`PART.TERMINAL{WITHOUT}WIRE` or `WIRE{OFF}PART.TERMINAL`"
        raise NoAnswer(f"`{name}` cannot be measured to ground; write {forms}, at no ground.")
    if text.strip().lower() in ("ol", "open"):
        return Symptom(Sign(Look.ISOLATION, name), inf, "without continuity")
    try:
        value = read_quantity(text.strip(), "resistance", "0.2 ohm")
    except QuantityError as error:
        raise NoAnswer(f"The reading of {name}: {error.message}; write `OL` for none.") from error
    return Symptom(Sign(Look.ISOLATION, name), value, text.strip())


def _placed(facts: Facts, signs: StateSigns, written: str) -> tuple[str, str]:
    """``STATE:NAME`` as state and name; "" for the state that is asked about."""
    state, colon, name = written.partition(":")
    if not colon:
        return "", written
    if state not in facts.states.declared:
        raise NoAnswer(unknown("state", state, facts.states.declared))
    return ("" if state == signs.answer.state.name else state), name


def _reading(facts: Facts, signs: StateSigns, written: str, text: str) -> Symptom:
    """A reading of a monitor, or of a voltmeter at a terminal."""
    state, name = _placed(facts, signs, written)
    monitors = facts.design.watch.monitors
    word = text.strip().lower()
    if name in monitors:
        meter = facts.detection.meters[name]
        if Sign(Look.MONITOR, name) not in signs.signs:
            raise NoAnswer(f"The drawing does not say by what {name} reads.")
        sign, shows = signs.monitor(name, state), meter.shows
        of_light = shows == "live" or meter.lamp
        if word in _WORDS and (not meter.lamp if word == "blank" else of_light):
            return Symptom(sign, _WORDS[word], word)
        if of_light:
            raise NoAnswer(f"{name} is lit or dark; write `{name}=lit` or `{name}=dark`.")
    elif name in facts.network.index:
        sign, shows = Sign(Look.TERMINAL, name, state), "voltage"
    elif WITHOUT in name or OFF in name:
        return _ohms(signs, name, text)
    else:
        raise NoAnswer(unknown("monitor or terminal", name, (*monitors, *facts.network.names)))
    unit = "A" if shows == "current" else "V"
    way, _, amperes = text.strip().partition(" ")
    if sign.charges and way.lower() in _WAYS and _NUMBER.match(amperes):
        read = _reading(facts, signs, written, amperes)
        return replace(read, value=_WAYS[way.lower()] * sign.charges * read.value, words=text.strip())
    figure = f"{word} {unit}" if _NUMBER.fullmatch(word) else text.strip()
    try:
        value = read_quantity(figure, shows, f"12.6 {unit}")
    except QuantityError as error:
        raise NoAnswer(f"The reading of {name}: {error.message}.") from error
    return Symptom(sign, value, figure)
