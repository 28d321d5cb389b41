"""Power-up cards as rows: for each card its safety block, then its steps, with room for what is measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.questions.power_steps import Act, PowerCard, PowerStep, Stage
from reviewer.reports.handoff.schedules.cards import STEP_COLUMNS, held_at
from reviewer.reports.handoff.schedules.safety_words import SAFETY, safety_words
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number

KEY = "power-up-cards"
_ABOUT = (
    "First power-up in this order: before any source; one circuit at a time on a current-limited "
    "supply in place of its battery, or at the socket for external power; then the batteries. The cards of "
    "test-cards come after, those with the engine last. Order and safety blocks are common practice (no "
    "published source). Figures are solved in the state of each card with nothing failed; limits allow for "
    "the loads on the day, the meter and what nobody measured. The last step names what no step shows. "
)
#: what no step can show, whatever the design: each was tried with planted faults
NOT_SHOWN = (
    "what stands on a part and not in its wiring (rating, setting, filter, label, guard)",
    "gauge and insulation of a wire",
    "what is wired beside the drawing",
    "a wire to another bus or ground of the same source",
    "what monitors read (see test-cards)",
    "what the crew is to do",
)


class PowerRow(NamedTuple):
    """One line of a power-up card."""

    stage: str
    card: str
    step: int
    set: str
    do: str
    look_at: str
    expected: Cell
    unit: str
    minimum: Cell
    maximum: Cell
    suspect: str
    untold: str
    measured: str = ""
    performed_by: str = ""
    date: str = ""


COLUMNS = (
    "stage",
    *STEP_COLUMNS,
    "not shown by this card",
    "measured",
    "performed by",
    "date",
)


def power_up_cards(design: Design, cards: Sequence[PowerCard]) -> Schedule | None:
    """All power-up cards; None where there are none."""
    rows = tuple(row for card in cards for row in card_rows(design, card))
    about = f"{_ABOUT}No card shows: {'; '.join(NOT_SHOWN)}."
    return Schedule(KEY, "Power-up cards", about, COLUMNS, rows) if rows else None


def card_rows(design: Design, card: PowerCard) -> Iterator[PowerRow]:
    """The rows of a card: its safety block, then a row a step."""
    setting = _setting(design, card)
    block = safety_words(design, card.stage, card.live, card.running, card.hot)
    yield PowerRow(card.stage.value, card.name, 0, setting, block, SAFETY, "done", "", "", "", "", "")
    before: tuple[tuple[str, str], ...] = ()
    for step_number, step in enumerate(card.steps, 1):
        do, look, expected = _words(design, step, card.supply is not None)
        do = "; ".join([*(f"{name} {at}" for name, at in step.moved if step.moved != before), do])
        before = step.moved
        digits = 4 if step.act is Act.BOND else 1
        low, high = (
            (number(step.limits.low, digits), number(step.limits.high, digits)) if step.limits else ("", "")
        )
        yield PowerRow(
            card.stage.value,
            card.name,
            step_number,
            setting,
            do,
            look,
            number(step.limits.value + 0.0, 4 if step.unit == "ohm" else 2) if step.limits else expected,
            step.unit if step.limits else "",
            low,
            high,
            names(step.suspects),
            names(step.untold),
        )


def _setting(design: Design, card: PowerCard) -> str:
    moved = [f"{name} {held_at(design, name, at)}" for name, at in card.switches]
    if card.stage is Stage.COLD:
        return names(["all circuit protection out", *(moved or ["all switches off"])])
    if card.supply is not None:
        battery, volts, most, joined = card.supply
        plugged = isinstance(design.parts[battery], p.ExternalPower)
        where = f"plugged into {battery}" if plugged else f"in place of {battery}"
        supply = f"{quantity(volts, 'V')} limited to {quantity(most, 'A')} {where}"
        supply += f", the two leads of {names(joined)} joined" if joined else ""
        fitted = f"in: {names(card.fitted)}; " if card.fitted else ""
        off = "".join(f"{wire} off {end} and its end insulated; " for wire, end in card.lifted)
        return f"supply of {supply}; {fitted}{off}{names([*moved, 'all else out and off'])}"
    if card.too_much:
        limit = quantity(card.too_much, "A")
        takes = f"charged batteries, for the circuit may take more than a bench supply gives ({limit})"
        return f"{takes}; in: {names(card.fitted)}; {names([*moved, 'all else out and off'])}"
    return f"all circuit protection in; {names(moved) if moved else 'all switches off'}"


def _words(design: Design, step: PowerStep, supplied: bool) -> tuple[str, str, str]:
    """What to do, what to look at, and what is to be found where nothing is measured."""
    first, last = (_lead(design, name) for name in (step.names[0], step.names[-1]))
    beside, more = names(step.beside), len(step.beside) > 1
    match step.act:
        case Act.BOND:
            lift = (
                f"lift one end of {first}, for {beside} {_verb('join', more)} its ends as well; "
                if beside
                else ""
            )
            low = step.limits is not None and step.limits.value > step.limits.high
            note = "; its gauge and length alone have more ohms than the file accepts" if low else ""
            look = f"ohms from {_lead(design, step.names[1])} to {last}"
            return f"{lift}measure {first} by four leads{note}", look, ""
        case Act.ISOLATION:
            found = f"no short; {beside} {_verb('read', more)} there" if beside else "no continuity"
            return "measure", f"ohms from {first} to {last}", found
        case Act.SUPPLY_CONTINUITY | Act.RETURN_CONTINUITY:
            return "measure", f"ohms from {first} to {last}", "continuity"
        case Act.DIODE:
            _, begin, end, wire = step.names
            lifted = f"the free end of {wire}" if wire and beside else end
            off = f"{wire} off {end}" if wire else f"one end of {first}"
            is_beside = f"{beside} {'are' if more else 'is'} in parallel with {first}"
            lift = f"lift {off}, for {is_beside}; " if beside else ""
            look = f"diode test of {first} from {begin} to {lifted} and back"
            return f"{lift}measure both ways", look, f"conducts from {begin} to {lifted} and not back"
        case Act.POLARITY:
            end = "post" if isinstance(design.parts[first], p.ExternalPower) else "lead"
            look = f"both {end}s of {first} to {last}"
            return "measure", look, f"continuity of the negative {end} and none of the positive"
        case Act.P_LEAD:
            found = "no continuity" if last == "open" else "continuity"
            return f"take the lead off {first}; measure", f"ohms from the lead of {first} to its case", found
        case Act.SUPPLY_AMPERES if not supplied:
            return "measure by a clamp round its positive lead", f"amperes of {step.names[0]}", "some"
        case Act.SUPPLY_AMPERES:
            return "switch the supply on", "amperes of the supply", "less than its limit"
        case Act.COIL:
            brief = getattr(design.parts[first], "duty", None) == "intermittent"
            for_long = "; not for long, for the coil is for intermittent duty" if brief else ""
            return f"listen and measure{for_long}", f"{first} pulls in; voltage across its coil", "pulls in"
        case Act.CONTACT:
            found = "continuity" if last == "closed" else "no continuity"
            return "measure", f"ohms from {first} to {step.names[1]}", found
        case Act.LOAD:
            return "observe and measure", f"{first} works; voltage across it", "works"
        case _:
            at = step.names[0]
            negative = "the negative lead of the supply" if supplied else "the main negative"
            return "measure", f"voltage from {first if supplied else at} to {negative}", "live"


def _verb(verb: str, more: bool) -> str:
    return verb if more else f"{verb}s"


def _lead(design: Design, name: str) -> str:
    """A terminal; of a battery that is disconnected, its lead."""
    owner, _, end = name.partition(".")
    battery = isinstance(design.parts.get(owner), p.Battery) and end in ("positive", "negative")
    return f"the {end} lead of {owner}" if battery else name
