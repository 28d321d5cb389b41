"""Each planted fault is shown by a step of the power-up cards, or the cards say that they show none of its kind."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

import pytest
import yaml

from reviewer.questions.power_steps import PowerCard
from reviewer.reading import read_design
from reviewer.reports.handoff.schedules.power_up_table import NOT_SHOWN, power_up_cards
from tests.faults.planted import FAULTS, SOUND
from tests.faults.power_up_walk import sound_cards, walked

TABLE = yaml.safe_load(Path(__file__).with_name("shown_at_power_up.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def cards() -> tuple[PowerCard, ...]:
    return sound_cards()


def test_on_the_aircraft_as_drawn_every_step_reads_as_its_card_says(cards: tuple[PowerCard, ...]) -> None:
    assert list(walked((), cards)) == []


def test_the_cards_say_of_which_faults_they_show_none(cards: tuple[PowerCard, ...]) -> None:
    made = power_up_cards(read_design(SOUND), cards)
    assert made is not None and all(words in made.about for words in NOT_SHOWN)
    assert set(TABLE) == set(FAULTS)
    assert {entry["not-shown"] for entry in TABLE.values() if "shown" not in entry} == set(NOT_SHOWN)


@pytest.mark.parametrize(
    "fault",
    [
        f if f in ("diode-backwards", "jack-on-metal-plate") else pytest.param(f, marks=pytest.mark.long)
        for f in FAULTS
    ],
)
def test_the_first_step_that_shows_a_planted_fault_is_the_one_written(
    fault: str, cards: tuple[PowerCard, ...]
) -> None:
    first = islice(walked([fault], cards), 1)
    assert [step.place for step in first] == [TABLE[fault][key] for key in TABLE[fault] if key == "shown"]
