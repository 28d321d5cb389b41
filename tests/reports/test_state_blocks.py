"""Tables whose columns are states, cut into blocks that fit a sheet, and columns that print says once."""

from __future__ import annotations

import pytest

from reviewer.reports.handoff.schedules.schedule import STATES_ABREAST, Schedule


def table(states: int, head: int | None = 2) -> Schedule:
    columns = ("name", "kind", *(f"s{n}" for n in range(states)))
    rows = tuple((name, "switch", *(f"{name}{n}" for n in range(states))) for name in ("a", "b"))
    return Schedule("k", "T", "About.", columns, rows, head)


@pytest.mark.parametrize("states", [STATES_ABREAST + 1, 2 * STATES_ABREAST, 2 * STATES_ABREAST + 1, 107])
def test_no_state_is_left_out_and_each_block_has_the_names(states: int) -> None:
    whole = table(states)
    blocks = whole.blocks
    assert all(
        len(block.columns) - 2 <= STATES_ABREAST and block.columns[:2] == ("name", "kind") for block in blocks
    )
    assert sum((block.columns[2:] for block in blocks), ()) == whole.columns[2:]
    for number, row in enumerate(whole.rows):
        assert {block.rows[number][:2] for block in blocks} == {row[:2]}
        assert sum((block.rows[number][2:] for block in blocks), ()) == row[2:]
    sizes = {len(block.columns) for block in blocks[:-1]}
    assert len(sizes) == 1 and len(blocks[-1].columns) > 2
    assert blocks[0].about.startswith("About. States s0 to ") and blocks[1].about.startswith("States s")


def test_what_fits_and_what_has_no_states_is_one_block() -> None:
    for whole in (table(STATES_ABREAST), table(1), table(60, None)):
        assert whole.blocks == (whole,)


def test_states_with_long_words_are_cut_into_more_blocks_than_short_ones() -> None:
    """Twenty-two columns of twelve letters (43 points a column in print) do not fit a sheet; of "on" they do."""
    columns = ("name", "kind", *(f"state-{n}" for n in range(22)))
    wide, slim = (
        Schedule("k", "T", "About.", columns, (("pump-relay", "coil", *[word] * 22),), 2)
        for word in ("deenergised-", "on")
    )
    assert len(slim.blocks) == 1 and [len(block.columns) for block in wide.blocks] == [13, 13]


@pytest.mark.parametrize(
    ("zones", "head", "once"),
    [
        (("panel",) * 5, None, (2,)),
        (("panel",) * 4, None, ()),  # a short table is printed as it is
        (("panel",) * 4 + ("tail",), None, ()),
        (("panel",) * 4 + ("",), None, ()),
        (("",) * 5, None, ()),
        (("panel",) * 5, 1, ()),  # a column is a state
    ],
)
def test_a_column_with_one_entry_in_every_row_is_printed_once(
    zones: tuple[str, ...], head: int | None, once: tuple[int, ...]
) -> None:
    rows = tuple((f"W{n}", n, zone) for n, zone in enumerate(zones))
    assert Schedule("k", "T", "About.", ("wire", "length, m", "zone"), rows, head).constant_columns == once
