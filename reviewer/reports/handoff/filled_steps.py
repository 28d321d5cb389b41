"""Rows of cards that were filled in -> the steps that they are of, as the design has them now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.model.design import Design
from reviewer.questions.card_steps import CardStep
from reviewer.questions.measured import MeasuredStep
from reviewer.questions.power_steps import PowerCard, PowerStep
from reviewer.questions.test_cards import Cards
from reviewer.reading.filled_cards import READING, FilledRow
from reviewer.reports.handoff.schedules import cards as test_card_rows
from reviewer.reports.handoff.schedules import power_up_table
from reviewer.reports.handoff.schedules.safety_words import SAFETY

Key = tuple[str, str]


def measured_steps(
    design: Design, power: Sequence[PowerCard], cards: Cards, filled: Sequence[FilledRow]
) -> tuple[tuple[MeasuredStep, ...], tuple[FilledRow, ...]]:
    """The steps with what was written at them, and the rows that are of no step of this design.

    A row is of a step where card, number and what is looked at are alike: limits are those of the
    design as it is now, not those that stand on the paper.
    """
    known = {**dict(_power_steps(design, power)), **dict(_test_steps(design, cards))}
    found: list[MeasuredStep] = []
    strange: list[FilledRow] = []
    for row in filled:
        if row.cell("look at") == SAFETY:
            continue
        key = (row.cell("card"), row.cell("step").removesuffix(".0"))
        make = known.get(key)
        if make is None or make.look != row.cell("look at"):
            if row.cell(*READING):
                strange.append(row)
            continue
        found.append(
            MeasuredStep(
                row.place, make.card, make.step, make.look, row.cell(*READING), make.expected, make.unit,
                make.limits, make.power, make.checked,
            )
        )  # fmt: skip
    return tuple(found), tuple(strange)


def _power_steps(design: Design, power: Sequence[PowerCard]) -> Iterator[tuple[Key, MeasuredStep]]:
    for card in power:
        rows = list(power_up_table.card_rows(design, card))[1:]
        for row, step in zip(rows, card.steps, strict=True):
            own: tuple[PowerCard, PowerStep] = (card, step)
            yield (
                (row.card, str(row.step)),
                MeasuredStep(
                    "", row.card, row.step, row.look_at, "", str(row.expected), row.unit, step.limits, own
                ),
            )


def _test_steps(design: Design, cards: Cards) -> Iterator[tuple[Key, MeasuredStep]]:
    rows = {(row.card, row.step): row for row in test_card_rows.card_rows(design, cards) if row.step}
    steps: Mapping[str, Sequence[CardStep]] = {
        **{f"check {card.name}": card.steps for card in cards.checks},
        **{f"{design.parts[c.name].kind} {c.name}": (c.closed, *c.open) for c in cards.protection},
    }
    for (title, number), row in rows.items():
        step = steps[title][number - 1]
        yield (
            (title, str(number)),
            MeasuredStep(
                "", title, number, row.look_at, "", str(row.expected), row.unit, step.limits, None, step
            ),
        )
