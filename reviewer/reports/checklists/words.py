"""The lines of a card, shared by text, table, JSON and print."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor, isinf

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity, span
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.checklist_cards import (
    BreakerReset,
    ChecklistCard,
    ChosenStep,
    LaterMove,
    LimitedFunction,
    Prohibition,
    ServedIndication,
)
from reviewer.questions.meter_ranges import Seen
from reviewer.questions.state_signs import NO, Look, Sign
from reviewer.reports.diagnosis.words import lights, seen_words
from reviewer.reports.wording import counted, shown

DEFERS = "Drawn up from the design file. The approved documents of the aircraft come first."
NOTES: tuple[str, ...] = (
    "Single failures of the state are tried, each solved. What a card claims holds after every one of its "
    "causes, whichever protective device clears a short.",
    "Actions of the file are tried up to three in a row; where none restores, single moves of a switch, then "
    "two moves in a row for what is of class major or worse. An action is on no card if it loses a function "
    "as grave as what it restores, or ties sources together, when it is done or on the way.",
    "Minutes are computed where an alternator is lost, and where it gives all it can and a battery that it "
    "charges discharges as well. They count from the failure, in the worst of the causes and phases, with "
    "the batteries aged, cold and as full as normal flight leaves them, rounded down. The crew begins when "
    "the recognition time has passed.",
    "Circuit protection that has opened is reset once at most, and only for what is needed (common practice, "
    "no published source).",
    "Smoke, fire and what is not electrical are on no card.",
)
#: names in one list of a card; a table and JSON have all
MOST_NAMES = 6
_UNLIMITED = "not limited"
#: why a step is taken that by itself neither restores nor stops anything; a last one is there for what
#: it turns off, without which the steps before it would leave functions for a shorter time
NEEDED, BATTERIES = "the next step needs it", "so that the batteries last"


@record
class CardLine:
    """One entry of a card: under which ``head``, its ``number`` in a list of actions, or 0."""

    head: str
    number: int
    text: str


def title(design: Design, card: ChecklistCard) -> str:
    """``BUS-VOLTS LOW``, ``PRIMARY-DISPLAY DARK``; ``BUS-VOLTS ALARM`` where that comes later."""
    if card.first_seen_by_alarm and card.alarm:
        return f"{shown(card.alarm.monitor)} alarm".upper()
    return f"{_panel_words(design, card.sign)} {_moved_words(design, card.sign, card.by)}".upper()


def heading(design: Design, card: ChecklistCard) -> str:
    """The title with its figures and what tells it from other cards that begin so:
    ``BUS-VOLTS LOW (0 V within 0.1 V), primary-display dark``."""
    more = [f"{shown(s.name)} {_apart_words(design, s, seen)}" for s, seen in card.apart]
    return ", ".join([f"{title(design, card)}{shown(figures(design, card.sign, card.seen))}", *more])


def _apart_words(design: Design, sign: Sign, seen: Seen) -> str:
    if sign.look is Look.UNIT:
        return _moved_words(design, sign, -1 if seen == NO else 1)
    return seen_words(design, sign, seen)


def _panel_words(design: Design, sign: Sign) -> str:
    part = design.parts.get(sign.name) if sign.look is not Look.MONITOR else None
    return shown(part.label) if part is not None and part.label else shown(sign.name)


def _moved_words(design: Design, sign: Sign, by: int) -> str:
    if by == -2:
        return "blank"
    if sign.look is Look.UNIT:
        part = design.parts[sign.name]
        if part.kind == "magneto":
            return "not firing" if by < 0 else "not grounded"
        lamp = getattr(part, "type", None) == "lamp"
        return "dark" if by < 0 else "lit" if lamp else "on"
    if sign.look is Look.PROTECTION:
        return "open" if by > 0 else "closed"
    if lights(design, sign):
        return "lit" if by > 0 else "dark"
    if sign.charges:
        return "towards charge" if by * sign.charges > 0 else "towards discharge"
    return "low" if by < 0 else "high"


def class_word(card: ChecklistCard) -> str:
    """Emergency or abnormal."""
    return "EMERGENCY" if card.emergency else "ABNORMAL"


def indication_words(design: Design, one: ServedIndication | ChecklistCard) -> str:
    """``bus-volts low (11.3 V to 12.9 V)``."""
    if not one.by:
        return shown(one.sign.name)
    seen = figures(design, one.sign, one.seen)
    return f"{shown(one.sign.name)} {_moved_words(design, one.sign, one.by)}{seen}"


def figures(design: Design, sign: Sign, seen: Seen) -> str:
    """`` (11.3 V to 12.9 V)`` of a reading, else ""."""
    if sign.look is not Look.MONITOR or lights(design, sign) or (seen is not None and isinf(seen[0])):
        return ""
    return f" ({seen_words(design, sign, seen)})"


def card_lines(design: Design, card: ChecklistCard, most: int = MOST_NAMES) -> list[CardLine]:
    """All lines of a card; of a list of names at most so many."""
    lines = [CardLine("ALSO", 0, text) for text in _also(design, card, most)]
    lines.append(CardLine("MEANS", 0, _means(design, card, most)))
    lost = [f"{shown(f)} ({hazard.word})" for f, hazard in card.lost_at_once]
    lines.append(CardLine("LOST", 0, _some(lost, most) or "no function at once"))
    if card.overvoltage:
        free = _some(map(bare, card.overvoltage), most)
        lines.append(CardLine("RUNS", 0, f"{free} at full field: overvoltage"))
    if motors := [name for name in card.unwanted if name not in card.overvoltage]:
        unless = f" unless {_sensed(card, most)}" if card.sensed else ""
        lines.append(CardLine("RUNS", 0, f"{_some(map(bare, motors), most)}, off in a sound system{unless}"))
    lines += [CardLine("WORKS", 0, text) for text in _works(card, most)]
    kinds = (_misplaced, _steps, _resets, _sheds, _later)
    actions = [text for kind in kinds for text in kind(design, card)]
    lines += [CardLine("DO", i, text) for i, text in enumerate(actions, 1)]
    if not actions:
        lines.append(CardLine("DO", 0, _no_action(card)))
    lines += [CardLine("DO NOT", 0, text) for text in _do_not(design, card, most)]
    lines.append(CardLine("LEFT", 0, _left(card, most)))
    return lines


def _misplaced(design: Design, card: ChecklistCard) -> Iterator[str]:
    for name, at in card.misplaced:
        switch = _switch(design, name)
        yield f"If {switch} is not at {shown(at).upper()}: {moves_words(design, [(name, at)])}"


def _no_action(card: ChecklistCard) -> str:
    """What a card says where no move was found."""
    if card.lost:
        return "nothing restores it in flight"
    if card.sensed and not card.unwanted:
        return "no electrical action. What is shown may be true: follow the approved documents"
    return f"{_no_stop(card)} without a worse loss" if card.unwanted else "no action"


def _no_stop(card: ChecklistCard) -> str:
    """That no way was found to stop what runs, and how many moves in a row were tried."""
    in_a_row = {2: ", nor two in a row,", 3: ", nor two or three in a row,"}.get(card.stop_tried, "")
    return f"no move{in_a_row} was found that stops it"


def _some(names: Iterable[str], most: int, word: str = "and") -> str:
    every = [shown(name) for name in names]
    if len(every) > most:
        every = [*every[: most - 1], f"{len(every) - most + 1} more"]
    return and_list(every, word)


def _also(design: Design, card: ChecklistCard, most: int) -> Iterator[str]:
    dark = [s.name for s, seen in card.also if s.look is Look.UNIT and seen is not None and seen[1] <= 0]
    silent = [name for name in dark if design.parts[name].kind == "magneto"]
    dark = [name for name in dark if name not in silent]
    runs = [s.name for s, seen in card.also if s.look is Look.UNIT and s.name not in (*dark, *silent)]
    monitors = [(s, seen) for s, seen in card.also if s.look is Look.MONITOR and seen is not None]
    blank = [s.name for s, seen in monitors if isinf(seen[0])]
    read = [f"{shown(s.name)} {seen_words(design, s, seen)}" for s, seen in monitors if s.name not in blank]
    if blank:
        yield f"blank: {_some(blank, most)}"
    if dark:
        yield f"dark: {_some(dark, most)}"
    if silent:
        yield f"not firing: {_some(silent, most)}"
    if runs:
        yield f"on: {_some(runs, most)}"
    if read:
        yield _some(read, most)
    if card.not_apart:
        those = and_list([f"card {number}" for number in card.not_apart], "or")
        yield f"nothing that is shown tells this card from {those}"
    if card.first_seen_by_alarm:
        yield f"{_panel_words(design, card.sign)} may be open"


def _means(design: Design, card: ChecklistCard, most: int) -> str:
    """The causes in plain words: parts by name, wires and bundles by their number."""
    elements = list(dict.fromkeys(case[0].element for cause in card.causes for case in cause.cases))
    parts = [bare(e) for e in elements if e.startswith("parts/")]
    wires = sum(e.startswith("wires/") for e in elements)
    bundles = [bare(e) for e in elements if e.startswith("bundles/")]
    bolts = [bare(e) for e in elements if e.startswith("bolts/")]
    found = [f"failure of {_some(parts, most, 'or')}"] if parts else []
    found += (
        [f"of {counted(wires, 'wire')}" if found else f"failure of {counted(wires, 'wire')}"] if wires else []
    )
    found += (
        [f"{'bundle' if len(bundles) == 1 else 'bundles'} {_some(bundles, most)} severed"] if bundles else []
    )
    found += [f"open at the bolt of {_some(bolts, most)}"] if bolts else []
    shorted = any(case[0].nodes for cause in card.causes for case in cause.cases)
    sensed = f", or no failure: {_sensed(card, most)}" if card.sensed else ""
    found += [f"{_switch(design, name)} not at {shown(at).upper()}" for name, at in card.misplaced]
    return and_list(found, "or") + sensed + ("; a short may be the cause" if shorted else "")


def _sensed(card: ChecklistCard, most: int) -> str:
    """``float-switch at wet``: what gives the sign with nothing failed."""
    return _some([f"{name} at {to}" for name, to in card.sensed], most, "or")


def minutes_words(seconds: float) -> str:
    """Whole minutes, rounded down."""
    if isinf(seconds):
        return _UNLIMITED
    return span(floor(seconds / 60)) if seconds >= 60 else "less than 1 min"


def _at_latest(seconds: float) -> str:
    """Whole minutes, rounded up."""
    return f"{span(ceil(seconds / 60), up=True)} later at the latest"


def _works(card: ChecklistCard, most: int) -> Iterator[str]:
    if card.overloaded and card.limited:
        yield "the alternator gives all it can and the batteries discharge as well"
    fed = "" if card.overloaded else "on batteries: "
    seen = ", if it is seen at once: no alarm is sure to ring in time" if card.unalarmed else ""
    if card.alarm and card.alarm.seconds:
        seen = f", begun at the alarm of {card.alarm.monitor}, {_at_latest(card.alarm.seconds)}"
    by_time: dict[tuple[str, str], list[str]] = {}
    for one in card.limited:
        by_time.setdefault((_alone(one), _attended(one)), []).append(one.function)
    for (alone, attended), functions in by_time.items():
        running = card.overvoltage and alone == _UNLIMITED  # no battery is needed before it is stopped
        on_alternator = "until the overvoltage damages it"
        words = [f"{on_alternator if running else alone} if nothing is done"] if alone else []
        with_all = f"{'on batteries ' if running else ''}with all that is done here"
        words += [f"{attended} {with_all}{seen}"] if attended else []
        yield f"{'' if running else fed}{_some(functions, most)}: {', '.join(words)}"
    lost = {function for function, _ in card.lost}
    resting = {function for function, _ in card.rests_on}
    if always := [f for f in card.unlimited if f not in lost and f not in resting]:
        yield f"{_some(always, most)}{', until the overvoltage damages it' if card.overvoltage else ''}"
    if back := [f for f in card.unlimited if f in lost]:
        yield f"{_some(back, most)} once restored"
    for function, channels in card.rests_on:
        yield f"{shown(function)} on {_some(channels, most)} alone"
    if card.needs:
        what = "with all that is done here" if card.limited else "on batteries"
        yield f"{what}, minutes not computed. Missing data: {card.needs}"


def _alone(one: LimitedFunction) -> str:
    return "not kept on" if one.unattended <= 0 else minutes_words(one.unattended)


def _attended(one: LimitedFunction) -> str:
    if one.attended is None or minutes_words(one.attended) == minutes_words(one.unattended):
        return ""
    return minutes_words(one.attended)


def moves_words(design: Design, moves: Sequence[tuple[str, str]]) -> str:
    """``MASTER ... DOWN, then ALT FIELD ... DOWN``, by the labels on the panel."""
    return ", then ".join(f"{_switch(design, name)} ... {shown(at).upper()}" for name, at in moves)


def _switch(design: Design, name: str) -> str:
    part = design.parts[name]
    return shown(part.label) if part.label else shown(name)


def action_line(design: Design, action: str, moves: Sequence[tuple[str, str]]) -> str:
    """An action of the file in the words of its checklist, else by its moves."""
    assert design.operation is not None
    label = design.operation.actions[action].label
    return shown(label) if label else moves_words(design, moves)


def _steps(design: Design, card: ChecklistCard) -> Iterator[str]:
    tried: tuple[str, ...] = ()
    for step in card.steps:
        on = f"{_some(map(bare, tried), MOST_NAMES)} is still on" if tried else ""
        when = f"If {on}: " if on else ""
        if card.sensed and (step.stops or step.may_stop):  # what runs as it should is not to be stopped
            rightly = [f"{shown(name)} is not at {shown(to)}" for name, to in card.sensed]
            when = f"Only if {_some([*rightly, on] if on else rightly, MOST_NAMES)}: "
        claims = list(_claims(step)) or [BATTERIES if step is card.steps[-1] else NEEDED]
        yield f"{when}{_done(design, step)} ({'; '.join(claims)})"
        tried = step.may_stop or tried


def _done(design: Design, step: ChosenStep) -> str:
    if step.by_hand:
        return f"{moves_words(design, step.moves)}, not an action of the file"
    words = action_line(design, step.action, step.moves)
    how = "in one movement" if step.together else "in the order"
    return words if len(step.moves) < 2 else f"{words}, {how} {_in_order(design, step)}"


def _in_order(design: Design, step: ChosenStep) -> str:
    return ", ".join(f"{_switch(design, name)} {shown(at).upper()}" for name, at in step.moves)


def _claims(step: ChosenStep) -> Iterator[str]:
    if step.restores:
        yield f"restores {and_list(list(map(shown, step.restores)))}"
    if step.may_restore:
        yield f"may restore {and_list(list(map(shown, step.may_restore)))}"
    if step.stops:
        yield f"stops {and_list([shown(bare(e)) for e in step.stops])}"
    if step.may_stop:
        yield f"may stop {and_list([shown(bare(e)) for e in step.may_stop])}"
    if step.costs:
        yield f"loses {and_list(list(map(shown, step.costs)))}"


def _resets(design: Design, card: ChecklistCard) -> Iterator[str]:
    for one in card.resets:
        if one.once:
            what = f" for {and_list(list(map(shown, one.restores)))}" if one.restores else ""
            how = _reset_words(design, one)
            yield f"If {_switch(design, one.protector)} is open: {how}{what}. Opens again: leave it open"


def _reset_words(design: Design, one: BreakerReset) -> str:
    assert design.operation is not None
    if one.action:
        return action_line(design, one.action, tuple(design.operation.actions[one.action].move.items()))
    return "reset once"


def _sheds(design: Design, card: ChecklistCard) -> Iterator[str]:
    """The shed plan; not where an alternator is back that a reset or step before it may restore."""
    assert design.operation is not None
    hoped = [name for one in card.resets if one.once for name in one.restores]
    hoped += [name for step in card.steps for name in step.may_restore]
    charges = [name for name in dict.fromkeys(hoped) if _charges(design, name)]
    unless = f"Unless {_some(charges, MOST_NAMES)} is back: " if charges else ""
    for action in card.shed:
        move = tuple(design.operation.actions[action].move.items())
        yield f"{unless}{action_line(design, action, move)} (sheds load)"


def _charges(design: Design, name: str) -> bool:
    """Whether a name is an alternator, or a function that rests on one."""
    names = design.functions[name].of if name in design.functions else (name,)
    return any(isinstance(design.parts.get(one), p.Alternator) for one in names if isinstance(one, str))


def _later(design: Design, card: ChecklistCard) -> Iterator[str]:
    """The change-overs when a battery is down, each action once, at its earliest, with what shows that."""
    assert design.operation is not None
    made: dict[str, list[tuple[LaterMove, str]]] = {}
    for one in card.limited:
        for move in one.later:
            made.setdefault(move.actions, []).append((move, one.function))
    for actions, moves in made.items():
        words = "; ".join(
            action_line(design, name, tuple(design.operation.actions[name].move.items()))
            for name in actions.split(", ")
        )
        read: dict[str, float] = {}
        for move, _ in moves:
            if move.volts is not None:
                read[move.monitor] = max(move.volts, read.get(move.monitor, 0.0))
        signs = [f"{shown(name)} falls to {quantity(ceil(10 * v) / 10, 'V')}" for name, v in read.items()]
        loads = list(dict.fromkeys(move.stops for move, _ in moves))
        signs.append(f"{_some(loads, MOST_NAMES, 'or')} stops")
        seconds = min(move.seconds for move, _ in moves)
        functions = _some([function for _, function in moves], MOST_NAMES)
        earliest = f"in {minutes_words(seconds)} at the earliest"
        yield f"When {and_list(signs, 'or')}, {earliest}: {words} (for {functions})"


def _do_not(design: Design, card: ChecklistCard, most: int) -> Iterator[str]:
    shorted = [one.protector for one in card.resets if not one.once and one.retrips]
    others = [one.protector for one in card.resets if not one.once and not one.retrips]
    if shorted:
        names = _some([_switch(design, n) for n in shorted], most)
        yield f"reset, if open: {names}; a short may be behind it"
    if others:
        yield f"reset, if open: {_some([_switch(design, n) for n in others], most)}; not needed"
    by_effect: dict[str, list[str]] = {}
    for one in card.prohibited:
        by_effect.setdefault(_effect(one, most), []).append(_forbidden(design, one))
    for effect, moves in by_effect.items():
        more = f"; {len(moves) - most} more" if len(moves) > most else ""
        yield f"{'; '.join(moves[:most])}{more}: {effect}"


def _forbidden(design: Design, one: Prohibition) -> str:
    """The words of the action that has these moves, else the moves."""
    assert design.operation is not None
    for action in design.operation.actions.values():
        if action.label and dict(action.move) == dict(one.moves):
            return shown(action.label)
    return " and ".join(f"{_switch(design, name)} {shown(at).upper()}" for name, at in one.moves)


def _effect(one: Prohibition, most: int) -> str:
    lose, tie, leave, turn = (
        ("loses", "ties", "leaves", "turns")
        if one.always
        else ("may lose", "may tie", "may leave", "may turn")
    )
    found = [f"{lose} {_some(one.loses, most)}"] if one.loses else []
    found += [f"{tie} {shown(bare(a))} to {shown(bare(b))}" for a, b in one.ties]
    found += [f"{turn} {shown(bare(e))} off, which works" for e in one.turns_off]
    found += [f"{leave} {_some(one.on_batteries, most)} on batteries"] if one.on_batteries else []
    return ", ".join(found)


def _left(card: ChecklistCard, most: int) -> str:
    lost = f"at worst without {_some(card.left, most)}" if card.left else "no function lost at once"
    on = bool(card.unwanted) and not any(step.stops for step in card.steps)
    if on:
        drains = (
            " and may drain the batteries: minutes not computed" if card.needs and not card.limited else ""
        )
        perhaps = " at worst" if any(step.may_stop for step in card.steps) else ""
        stop = f" ({_no_stop(card)})" if card.stop_tried and not perhaps and (card.steps or card.shed) else ""
        lost += f"; {_some(map(bare, card.unwanted), most)} still on{perhaps}{stop}{drains}"
    if card.overvoltage:
        lost += "; what was on may be damaged"
    times = [
        one.unattended if card.unalarmed or (on and one.attended is None) else one.attended
        for one in card.limited
    ]
    ends = [seconds for seconds in times if seconds is not None and not isinf(seconds)]
    if not ends:
        return lost
    fed = "" if card.overloaded else "on batteries, "
    return f"{lost}; {fed}the first function ends after {minutes_words(min(ends))}"
