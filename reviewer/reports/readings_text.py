"""Readings that came back on cards, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity
from reviewer.questions.measured import MeasuredStep
from reviewer.questions.readings import Explanation, Readings
from reviewer.reading.filled_cards import READING, FilledRow
from reviewer.reports import wording
from reviewer.reports.layout import headed, lines_of
from reviewer.reports.wording import counted, shown

#: explanations that are printed, and failures that no reading separates
_TOLD, _ALIKE = 6, 8


def readings_text(
    file: str, cards: str, readings: Readings, strange: Sequence[FilledRow], width: int = 100
) -> str:
    """What is within limits, what is not and what explains it, and what could not be judged."""
    lines = [*headed(f"{shown(file)}: readings of {shown(cards)}", width)]
    measured = len(readings.within) + len(readings.out) + len(readings.unread)
    said = f"{counted(measured, 'reading')}: {len(readings.within)} within limits, {len(readings.out)} not"
    said += f", {len(readings.unread)} not understood" if readings.unread else ""
    blank = f" {counted(len(readings.blank), 'step')} without a reading." if readings.blank else ""
    empty = " No reading was filled in, so that nothing is shown to work." if not measured else ""
    lines += lines_of(f"{said}.{blank}{empty}", width)
    if readings.out:
        lines += ["", "NOT WITHIN LIMITS"]
        for step in readings.out:
            lines += lines_of(f"{_step(step)}: {_found(step)}", width, 2, 6)
        lines += ["", "WHAT EXPLAINS THEM (single failures, solved in the state of the card)"]
        lines += _explained(readings, width)
    if readings.unread:
        lines += ["", "NOT UNDERSTOOD (write a number with its unit, or yes or no)"]
        for step in readings.unread:
            wanted = "ohms" if step.measures_ohms else {"V": "volts", "A": "amperes"}.get(step.unit)
            wanted = f"; {wanted} are wanted" if wanted else ""
            lines += lines_of(f"{_step(step)}: `{shown(step.text)}`{wanted}", width, 2, 6)
    if 0 < len(readings.blank) <= _ALIKE:  # of cards that were filled in, not of ones still to be
        lines += ["", "WITHOUT A READING"]
        for step in readings.blank:
            lines += lines_of(_step(step), width, 2, 6)
    if strange:
        lines += ["", "OF NO STEP OF THIS DESIGN (the cards are of another revision, or were altered)"]
        for row in strange:
            named = f"{row.cell('card')}, step {row.cell('step')}: `{row.cell(*READING)}`"
            lines += lines_of(f"{shown(row.place)}: {shown(named)}", width, 2, 6)
    lines += ["", *lines_of(wording.SHORT_CAUTION, width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _step(step: MeasuredStep) -> str:
    return shown(f"{step.card}, step {step.step} ({step.place}): {step.look}")


def _found(step: MeasuredStep) -> str:
    if step.limits is None:
        return f"`{shown(step.text)}`; expected: {shown(step.expected)}"
    low, high = quantity(step.limits.low, step.unit), quantity(step.limits.high, step.unit)
    return f"`{shown(step.text)}`; limits {low} to {high}"


def _explained(readings: Readings, width: int) -> Iterator[str]:
    told = readings.explanations[:_TOLD]
    for one in told:
        yield from lines_of(_words(one, len(readings.out)), width, 2, 6)
    if (more := len(readings.explanations) - len(told)) > 0:
        yield f"  and {counted(more, 'more group')} that explain less"
    explained = {step.place for one in readings.explanations for step in one.explains}
    left = [step for step in readings.out if step.place not in explained]
    for step in left:
        named = "What the card suspects does not explain" if step.checked else "No single failure explains"
        then = "ask `reviewer diagnose`" if step.checked else "look for two"
        yield from lines_of(f"{named} {_step(step)}. Measure again, then {then}.", width, 2, 6)


def _words(one: Explanation, out: int) -> str:
    names = [one.failure, *one.alike]
    listed = names if len(names) <= _ALIKE else [*names[:_ALIKE], f"{len(names) - _ALIKE} more"]
    named = and_list([shown(n) for n in listed], "or")
    said = f"{named}: {len(one.explains)} of {counted(out, 'reading')}"
    if not one.against:
        return said
    against = ", ".join(shown(f"{step.card}, step {step.step}") for step in one.against[:3])
    return f"{said}; against it {counted(len(one.against), 'reading')} within limits ({against})"
