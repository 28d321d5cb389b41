"""Checklists as text: a card at most as long as a placard, then the index of indications."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.questions.checklist_cards import ChecklistCard, Checklists
from reviewer.reports.checklists import words
from reviewer.reports.layout import caution_lines, headed, lines_of
from reviewer.reports.wording import SHORT_CAUTION, counted, shown

#: columns and lines of a card, as much as a page of A6 has in 8 point
COLUMNS, LINES = 64, 44
_LABEL = 8


def placard(design: Design, number: int, card: ChecklistCard) -> list[str]:
    """The lines of one card: no more than :data:`LINES`, lists made shorter until they fit."""
    lines: list[str] = []
    for most in range(words.MOST_NAMES, 1, -1):
        lines = _placard(design, number, card, most)
        if len(lines) <= LINES:
            return lines
    foot = _foot()
    over = "More on this card than a placard has room for: see the CSV."
    return [*lines[: LINES - len(foot) - 1], over, *foot]


def _placard(design: Design, number: int, card: ChecklistCard, most: int) -> list[str]:
    kind = words.class_word(card)
    lines = [f"{kind}{f'card {number}':>{COLUMNS - len(kind)}}"]
    lines += lines_of(words.heading(design, card), COLUMNS)
    lines.append("-" * COLUMNS)
    before = ""
    for line in words.card_lines(design, card, most):
        head = line.head if line.head != before else ""
        before = line.head
        item = f"{line.number}. " if line.number else ""
        lines += lines_of(f"{head:<{_LABEL}}{item}{line.text}.", COLUMNS, 0, _LABEL + len(item))
    return [*lines, *_foot()]


def _foot() -> list[str]:
    return ["-" * COLUMNS, *lines_of(words.DEFERS, COLUMNS), *lines_of(SHORT_CAUTION, COLUMNS)]


def checklists_text(file: str, design: Design, answer: Checklists, width: int = 100) -> str:
    """All cards, the index of indications, how it is to be read, and the cautions."""
    lines = headed(f"{shown(file)}: checklists for what is seen in {shown(answer.state)}", width)
    grave = sum(card.emergency for card in answer.cards)
    lines += [f"{counted(len(answer.cards), 'card')}, {grave} of them for an emergency."]
    for number, card in enumerate(answer.cards, 1):
        lines += ["", *placard(design, number, card)]
    lines += ["", "EVERY INDICATION"]
    without: dict[str, list[str]] = {}
    for one in answer.indications:
        said = words.indication_words(design, one)
        if one.cards:
            numbers = ", ".join(map(str, one.cards))
            lines += lines_of(f"{said}: {'card' if len(one.cards) == 1 else 'cards'} {numbers}", width, 2, 4)
        else:
            without.setdefault(one.why, []).append(said)
    for why, those in without.items():
        lines += lines_of(f"No card, as {why}: {', '.join(those)}.", width, 2, 4)
    if answer.silent:
        lines += lines_of(
            f"{counted(answer.silent, 'single failure')} of the state: no indication.", width, 2, 4
        )
    lines.append("")
    for note in words.NOTES:
        lines += lines_of(note, width)
    lines += ["", *caution_lines(width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"
