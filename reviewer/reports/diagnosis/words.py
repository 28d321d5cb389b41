"""Symptoms, causes and next steps in words, shared by text, table and JSON."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import bare
from reviewer.questions.diagnosis import Diagnosis
from reviewer.questions.failure_causes import FailureCause
from reviewer.questions.isolation_looks import OFF, WITHOUT
from reviewer.questions.meter_ranges import BLANK, Seen
from reviewer.questions.next_looks import NextLook, Risk
from reviewer.questions.raised_resistances import RaisedResistance
from reviewer.questions.state_signs import EITHER, Look, Sign
from reviewer.questions.symptoms import Symptom
from reviewer.reports.wording import counted

_NOTES: tuple[str, ...] = (
    "A cause is what one repair puts right: a part or wire, or all places of one break or short between "
    "two terminals with no branch between them, which nothing outside tells apart.",
    "Single failures of the state are tried, each solved; a reading fits within the error of its meter, "
    "the charge of the batteries, the set point of the regulator and the current of the loads.",
    "A terminal is measured to the negative of the main battery, {still}switches as in the state.",
    "Protection that has opened stays open until the short is found (common practice, no published source).",
    "A short is a joint to ground that stays. An ohmmeter may not find one that comes and goes.",
    "Raised resistances, as of a corroded joint, are tried where no single failure explains all; "
    "`solve --failed PART=degraded:OHMS` shows the volts of one.",
)


def notes(design: Design) -> tuple[str, ...]:
    """How an answer is to be read; of what has no engine nothing is said of one."""
    still = "engine stopped, propeller clear, " if design.has_engine else ""
    return tuple(note.replace("{still}", still) for note in _NOTES)


def symptom_words(design: Design, symptom: Symptom) -> str:
    """``main-volts reads 12.1 V``, ``radio dark``."""
    verb = " reads " if symptom.words[:1] in "+-0123456789" else " "
    return f"{symptom.sign}{verb}{symptom.words}"


def seen_words(design: Design, sign: Sign, seen: Seen) -> str:
    """What is seen of a sign, a range in numbers."""
    if seen is None:
        return "not known"
    low, high = seen
    if low == BLANK:
        return "blank"
    words = {Look.UNIT: ("dark", "works"), Look.PROTECTION: ("closed", "open")}.get(sign.look)
    monitor = design.watch.monitors.get(sign.name)
    if sign.look is Look.MONITOR and monitor is not None and (lights(design, sign)):
        words = ("dark", "lit")
    if words is not None:
        return f"{words[0]} or {words[1]}" if seen == EITHER else words[int(low)]
    if sign.look is Look.ISOLATION:
        return "no continuity" if low == inf else f"{quantity(high, 'ohm')} or less"
    unit = "A" if monitor is not None and monitor.shows == "current" else "V"
    if high == inf:
        return f"{quantity(low, unit)} or more"
    if 0 != round(high, 1) == -round(low, 1):  # what a meter may show of nothing
        return f"0 {unit} within {quantity(round(high, 1), unit)}"
    low, high = round(low, 1) + 0.0, round(high, 1) + 0.0
    if not sign.charges:
        return f"{quantity(low, unit)} to {quantity(high, unit)}"
    least, most = sorted((sign.charges * low, sign.charges * high))
    ends = [abs(least), abs(most)]
    one, other = ("charge" if end > 0 or (end == 0 and least == 0) else "discharge" for end in (least, most))
    begin, end = (f"{quantity(amperes, unit)}" for amperes in (sorted(ends) if one == other else ends))
    return f"{one} {begin} to {'' if one == other else other + ' '}{end}"


def lights(design: Design, sign: Sign) -> bool:
    """Whether a monitor is only lit or dark."""
    monitor = design.watch.monitors[sign.name]
    part = design.parts.get(monitor.displayed_on or "")
    return monitor.shows == "live" or (part is not None and part.kind == "load")


def shown_words(design: Design, shows: Sequence[tuple[Sign, Seen]]) -> str:
    """What was not reported and would not be as usual."""
    return and_list([f"{sign} {seen_words(design, sign, seen)}" for sign, seen in shows])


def cause_words(cause: FailureCause) -> str:
    """``radio open``, ``open between main-bus and radio.supply (W46, radio-breaker, W47)``."""
    hidden = cause.places[0].words[1:]
    behind = "".join(f" and {bare(element)} {words}" for element, words in hidden)
    by_name: dict[str, list[str]] = {}
    for place in cause.places:
        by_name.setdefault(bare(place.words[0][0]), []).append(place.words[0][1])
    if not cause.between:
        return "".join(f"{name} {' or '.join(modes)}" for name, modes in by_name.items()) + behind
    places = ", ".join(_place_words(cause, name, modes) for name, modes in by_name.items())
    return f"{cause.mode} between {and_list(cause.between)} ({places}){cause.clearing}{behind}"


def _place_words(cause: FailureCause, name: str, modes: Sequence[str]) -> str:
    """A part or wire in the mode of its cause by name, or by the terminal at which it is shorted."""
    own = [words.removesuffix(cause.clearing).removeprefix(cause.mode) for words in modes]
    at = [words.removeprefix(" at ") for words in own if words.startswith(" at ")]
    if at or not any(own):
        return ", ".join(at) or name
    return f"{name} {' or '.join(modes)}"


def raised_words(raised: RaisedResistance) -> str:
    """``0.01 ohm to 0.03 ohm more between main-bus and radio.supply (W46, W47)``."""
    ohms = f"{quantity(raised.least, 'ohm')} to {quantity(raised.most, 'ohm')} more"
    if not raised.between:
        return f"{ohms} in {raised.names[0]}"
    return f"{ohms} between {and_list(raised.between)} ({', '.join(raised.names)})"


def alike_words(causes: Sequence[FailureCause]) -> str:
    """``3 causes that look alike, 7 places``; "" where it is one failure."""
    places = sum(len(cause.places) for cause in causes)
    if places == 1:
        return ""
    alike = f"{len(causes)} causes that look alike, " if len(causes) > 1 else ""
    return f"{alike}{counted(places, 'place')}"


def action_words(design: Design, look: NextLook) -> str:
    """What to do, as an instruction."""
    name = look.sign.name
    if look.risk is Risk.LOOK:
        return f"Look at {name}."
    if look.risk is Risk.DISCONNECT:
        terminal, at_terminal, wire = name.partition(WITHOUT)
        if not at_terminal:
            wire, _, terminal = name.partition(OFF)
        place = terminal if at_terminal else "its end"
        return (
            "On the ground, every battery disconnected, all circuit protection out, everything off: take "
            f"{wire} off {terminal} and measure the ohms from {place} to the negative lead of the main "
            "battery."
        )
    if look.risk is Risk.MEASURE:
        still = "engine stopped, " if design.has_engine else ""
        return f"On the ground, {still}switches as they are: measure the volts at {name}."
    moves = and_list([f"{switch} to {position}" for switch, position in look.moved])
    where = "" if look.risk is Risk.MOVE else "On the ground only, as it turns off what is needed: move "
    return f"{where or 'Move '}{moves} ({look.sign.state}), then look at {name}."


def split_words(design: Design, look: NextLook) -> str:
    """``works: 4 places; dark: 3 places``."""
    return "; ".join(
        f"{seen_words(design, look.sign, seen)}: {counted(count, 'place')}" for seen, count in look.splits
    )


def missing_sentences(answer: Diagnosis) -> list[str]:
    """Symptoms that could not be judged."""
    return [f"{symptom.sign} was not judged. Missing data: {needs}." for symptom, needs in answer.unjudged]


def dead_sentences(answer: Diagnosis) -> list[str]:
    """Where else a short may be that opened circuit protection as a switch was moved."""
    found = []
    for name, wires in answer.dead_behind:
        verb = "is" if len(wires) == 1 else "are"
        found.append(
            f"{name} also protects {and_list(list(wires))}, which {verb} dead in {answer.state}. "
            "If it opens as a switch is moved, the short is there or in what they feed."
        )
    return found


def pair_sentences(answer: Diagnosis) -> list[str]:
    """Whether pairs were tried, and how many were not."""
    found = []
    if answer.pairs:
        found.append("No single failure explains all symptoms. These are pairs with a latent failure.")
    elif answer.groups and answer.groups[0].against:
        found.append(
            "No single failure, and no pair with a latent one that was tried, explains all symptoms."
        )
    elif not answer.groups and len(answer.normal) < len(answer.symptoms) - len(answer.unjudged):
        found.append("No single failure explains any of the symptoms. Read them again, then measure.")
    if answer.untried:
        found.append(
            f"{answer.untried:,} pairs were not tried: those that alone explain the fewest symptoms."
        )
    return found
