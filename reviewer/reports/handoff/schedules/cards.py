"""Test cards as rows: what to set, do and look at, its limits, and the failures to suspect."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import bare
from reviewer.questions.card_steps import CardStep, Condition, SuspectedFailure, Watched
from reviewer.questions.power_steps import Stage
from reviewer.questions.test_cards import Cards, CheckCard, ProtectionCard
from reviewer.reports.handoff.schedules.safety_words import SAFETY, safety_words
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.solve.words import reading_words
from reviewer.reports.wording import AMMETERS, positions_words

_WORDS = {
    Condition.WORKS: "works",
    Condition.LOST: "is lost",
    Condition.OFF: "is off",
    Condition.ENERGISED: "is energised",
    Condition.DE_ENERGISED: "is de-energised",
    Condition.LIVE: "is live",
    Condition.DEAD: "is dead",
}
#: what sensors read is no figure of a design file
_BY_MAKER = "each reads within the limits of its maker, which the design file does not have"
_AT_REST = (
    "each reads as with the engine stopped; a pressure as its pump brings it; no figure in the design file"
)
#: digits of the value that a meter reads after a failure; of others one
_SUSPECT_DIGITS = {Watched.DIFFERENCE: 2}
_NONE = {"V": "volts", "A": "current"}
_ABOUT = (
    "Cards to fill in at the bench and in the aircraft. Figures are solved with nothing failed; a reading "
    "out of limits means that something is not as drawn."
)


class CardRow(NamedTuple):
    """One line of a card."""

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
    file_expects: str
    reading: str = ""
    performed_by: str = ""
    date: str = ""
    inspected_by: str = ""


#: what every card has in its columns, before what is found
STEP_COLUMNS = (
    "card",
    "step",
    "set",
    "do",
    "look at",
    "expected",
    "unit",
    "minimum",
    "maximum",
    "if out of limits suspect",
)
COLUMNS = (
    *STEP_COLUMNS,
    "what the design file expects",
    "reading",
    "performed by",
    "date",
    "inspected by",
)


def test_cards(design: Design, cards: Cards) -> Schedule:
    """A card for each declared check, and for each breaker, fuse and limiter with a load."""
    return Schedule("test-cards", "Test cards", about(cards), COLUMNS, card_rows(design, cards))


def card_rows(design: Design, cards: Cards) -> tuple[CardRow, ...]:
    """The rows of all cards, each card after the other, those with the engine last.

    Each opens with its safety block.
    """
    made: list[tuple[CheckCard | ProtectionCard, list[CardRow]]] = []
    made += [(card, list(_check_rows(design, cards, card))) for card in cards.checks]
    made += [(card, list(_protection_rows(design, card))) for card in cards.protection]
    found: list[CardRow] = []
    for card, rows in sorted(made, key=lambda each: not each[0].stopped):
        stage = Stage.BATTERY if card.stopped or not design.has_engine else Stage.ENGINE
        block = safety_words(design, stage, card.live, card.running, card.hot)
        found.append(CardRow(rows[0].card, 0, rows[0].set, block, SAFETY, "done", "", "", "", "", ""))
        found += [row._replace(step=number) for number, row in enumerate(rows, 1)]
    return tuple(found)


def about(cards: Cards) -> str:
    """What the cards are, and what their limits allow for."""
    if not cards.limited:
        return f"{_ABOUT} No limits could be solved: the file lacks data for voltages and currents."
    meters = cards.meters
    errors = (
        f"a voltmeter error of {meters.volts_share:.0%} of the reading plus {quantity(meters.volts, 'V')}, "
        f"and an ammeter error of {meters.amperes_share:.0%} of the rating of its shunt plus "
        f"{quantity(meters.amperes, 'A')} "
        "(assumed)"
    )
    if any(step.unit == "A" for card in cards.checks for step in card.steps):
        errors += f". {AMMETERS.removesuffix('.')}"
    taken = f" Estimates taken as written: {', '.join(cards.estimates)}." if cards.estimates else ""
    return (
        f"{_ABOUT} Limits allow for {'; '.join(cards.unknowns)}; {errors}. A measured figure in the design "
        f"file, or a better meter, narrows them.{taken}"
    )


def _check_rows(design: Design, cards: Cards, card: CheckCard) -> Iterator[CardRow]:
    setting = f"{card.state}: {_positions(design, cards, card)}"
    for step in card.steps:
        do = "check by another method" if step.watched is Watched.UNPROVED else "observe"
        row = _row(design, f"check {card.name}", setting, do, step, card.expect)
        if step.watched is Watched.SENSORS:
            row = row._replace(expected=_AT_REST if card.stopped else _BY_MAKER)
        yield row


def held_at(design: Design, name: str, at: str) -> str:
    """The position to which a switch is set, of a spring-return one that it is held there."""
    return f"held at {at}" if at in getattr(design.parts[name], "momentary", ()) else at


def _positions(design: Design, cards: Cards, card: CheckCard) -> str:
    """The switch positions of a check, as differences from the normal state where shorter."""
    like = () if card.state == cards.normal else cards.normal_switches
    switches, normal = (
        [(name, held_at(design, name, at)) for name, at in some] for some in (card.switches, like)
    )
    return positions_words(switches, normal, cards.normal)


def _protection_rows(design: Design, card: ProtectionCard) -> Iterator[CardRow]:
    part = design.parts[card.name]
    title = f"{part.kind} {card.name}"
    setting = f"{card.state}: as for flight, on the ground"
    if card.stopped:
        setting += ", engine stopped, batteries charged" if design.has_engine else ""
    elif design.of_kind(p.Alternator):
        setting += ", engine at a speed at which the alternator holds its set point"
    yield _row(design, title, setting, "leave it closed", card.closed)
    for step in card.open:
        row = _row(design, title, setting, _open_words(design, card, part), step)
        yield row._replace(suspect=_backfed(card)) if step.watched is Watched.OPENED else row


def _backfed(card: ProtectionCard) -> str:
    limits = card.closed.limits
    return "backfed from another source" + (f" ({quantity(limits.value, 'V')})" if limits else "")


def _open_words(design: Design, card: ProtectionCard, part: p.Protector) -> str:
    """How a protection is opened: a fuse or limiter only when it carries nothing."""
    name = f"{card.name} ({part.label})" if part.label else card.name
    stay = "stays" if len(card.stays_live) == 1 else "stay"
    name += f"; {names(card.stays_live)} {stay} live" if card.stays_live else ""
    if isinstance(part, p.Breaker):
        return f"pull {name}"
    if isinstance(part, p.BreakerSwitch):
        return f"switch off {name}"
    stopped = "the engine stopped and " if design.has_engine else ""
    return f"with {stopped}everything off remove {name}; then set as above"


def _row(design: Design, card: str, setting: str, do: str, step: CardStep, expects: str = "") -> CardRow:
    low, high = (number(step.limits.low, 1), number(step.limits.high, 1)) if step.limits else ("", "")
    suspects = "; ".join(_suspect_words(step, suspect) for suspect in step.suspects)
    look, expected = _look(design, step), _expected(design, step)
    return CardRow(card, 0, setting, do, look, expected, step.unit, low, high, suspects, expects)


def _look(design: Design, step: CardStep) -> str:
    match step.watched:
        case Watched.DIFFERENCE:
            return f"{step.names[0]} minus {step.names[1]}"
        case Watched.CLOSED | Watched.OPENED:
            return f"voltage from {step.names[0]} to {_negative(design)}"
        case Watched.UNPROVED:
            return "not shown by any step of this card"
        case Watched.SENSORS:
            return f"{names(step.names[1:])} on {step.names[0]}"
        case _:
            return names(step.names)


def _expected(design: Design, step: CardStep) -> Cell:
    if step.limits:
        return number(step.limits.value + 0.0, 2)
    if step.reading is not None:
        return f"reads {reading_words(step.reading)}"
    if step.rests_on:
        return f"works on {names(step.rests_on)} alone, with a drop in speed"
    if step.condition in (Condition.VOLTAGE, Condition.NO_VOLTAGE):
        senses = design.watch.monitors[step.names[0]].senses
        return f"{step.condition.value} at {senses}"
    match step.watched:
        case Watched.LOADS:
            return f"{_stopping(design, step.names)}; all else keeps working"
        case Watched.UNPROVED:
            return names(step.names)
        case Watched.CLOSED:
            return "live"
        case _:
            return _WORDS[step.condition] if step.condition else ""


def _negative(design: Design) -> str:
    """What volts are measured from: the ground of the first alternator where there is no battery."""
    machines = [] if design.of_kind(p.Battery) else design.of_kind(p.Alternator)
    return next((f"{name}.ground" for name in machines), "the main negative")


def _stopping(design: Design, loads: Sequence[str]) -> str:
    """What is seen of loads that lose their feed: one with a battery inside it works on."""
    own = [name for name in loads if design.part(name, p.Consumer).internal_battery]
    stop = [name for name in loads if name not in own]
    words = [f"{names(stop)} " * bool(own) + ("stops" if len(stop) == 1 else "stop")] if stop else []
    if own:
        inside = "the battery inside it" if len(own) == 1 else "the batteries inside them"
        who = f"{names(own)} " if stop else ""
        words.append(f"{who}{'works' if len(own) == 1 else 'work'} on by {inside}")
    return "; ".join(words)


def _suspect_words(step: CardStep, suspect: SuspectedFailure) -> str:
    """``charge-diode shorted (12.4 V)``: the failure, and what is then seen."""
    words = f"{bare(suspect.failure.element)} {suspect.failure.mode}"
    if suspect.dark:
        return f"{words} (dark)"
    if suspect.value is None:
        return words
    reads = f"{suspect.value:.{_SUSPECT_DIGITS.get(step.watched, 1)}f}"
    if float(reads) == 0.0 and step.watched is not Watched.DIFFERENCE:
        return f"{words} (no {_NONE[step.unit]})"
    return f"{words} ({reads.removeprefix('-') if float(reads) == 0.0 else reads} {step.unit})"
