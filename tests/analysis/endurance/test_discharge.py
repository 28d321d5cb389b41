"""Discharge of a battery on a surface worked by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from reviewer.analysis.endurance.discharge import Cell, DischargeSegment, Ending, crossing, discharge
from reviewer.analysis.operating_point.charge_sweep import Surface, Sweep
from reviewer.analysis.ratings.discharge_time import Store


def segment(
    amperes: float, seconds: float | None, minimum: float = 8.0, name: str = "all"
) -> DischargeSegment:
    """A battery of 11.6 to 12.6 V without resistance, straight with its state of charge, and one load of a steady current."""

    def exact(rows: Sequence[Sequence[float]]) -> Sweep:
        volts = [11.6 + row[0] for row in rows]
        return Sweep(
            ("b",),
            {"b": [amperes] * len(rows)},
            {"b": volts},
            {"load": [v - minimum for v in volts]},
            {"load": [amperes] * len(rows)},
            (),
            {},
            {},
        )

    return DischargeSegment(name, seconds, Surface(exact([[0.0], [1.0]]), ((0.0, 1.0),)), exact, ("load",))


def cell(low_voltage_disconnect: float | None = None) -> Cell:
    return Cell("b", Store(10, 1.0, 1.0, 1.0), 1.0, low_voltage_disconnect)


def test_a_steady_current_empties_it() -> None:
    """10 Ah at 5 A: 2 h."""
    found = discharge([cell()], "b", [segment(5, None)])
    assert (found.seconds, found.why, found.charge) == (
        pytest.approx(7200),
        Ending.EMPTY,
        pytest.approx(0, abs=1e-6),
    )


def test_a_load_ends_it_where_the_volts_reach_its_minimum() -> None:
    """12.1 V at half charge: an hour."""
    found = discharge([cell()], "b", [segment(5, None, 12.1)])
    assert (found.seconds, found.ended_by, found.why) == (
        pytest.approx(3600, rel=1e-3),
        "load",
        Ending.BELOW_MINIMUM,
    )


def test_its_management_ends_it() -> None:
    found = discharge([cell(11.85)], "b", [segment(5, None)])
    assert (found.seconds, found.ended_by, found.why) == (
        pytest.approx(5400, rel=1e-3),
        "b",
        Ending.DISCONNECTS,
    )


@pytest.mark.parametrize(
    ("values", "share"),
    [
        ((2, 1, -1, -3), 0.3),  # half way between the second and the third
        ((3, 1, -3, 5), 0.25),  # a quarter of that way, and the first of the crossings
        ((-1, 1, 1, 1), 0.0),
        ((0, 1, 1, 2), 1.0),  # a limit that is only touched is held
        ((3, 2, 1, 0.5), 1.0),
    ],
)
def test_a_limit_is_met_where_a_straight_line_crosses_zero(values: tuple[float, ...], share: float) -> None:
    assert crossing(values, (0.0, 0.2, 0.4, 1.0)) == pytest.approx(share)


def test_a_second_segment_begins_where_the_first_ends() -> None:
    """Half an hour at 5 A leaves 75 %, 7.5 Ah, which last 3 h at 2.5 A."""
    found = discharge([cell()], "b", [segment(5, 1800, name="before"), segment(2.5, None, name="after")])
    assert [(one.name, one.seconds) for one in found.runs] == [
        ("before", 1800),
        ("after", pytest.approx(10800)),
    ]
    assert found.runs[0].charge == pytest.approx(0.75)
    # what a load takes is that of the charge at which its segment begins, between the knots too
    assert [one.taken["load"] for one in found.runs] == [pytest.approx(5), pytest.approx(2.5)]


def test_what_charges_it_never_ends_it() -> None:
    found = discharge([cell()], "b", [segment(-1, None)])
    assert (found.seconds, found.why) == (math.inf, Ending.NONE)


def beside(amperes: dict[str, float], left: DischargeSegment) -> DischargeSegment:
    """Two batteries that each give a steady current, and what is left without the one that is flat first."""

    def exact(rows: Sequence[Sequence[float]]) -> Sweep:
        each = {battery: [amps] * len(rows) for battery, amps in amperes.items()}
        volts = {battery: [12.0] * len(rows) for battery in amperes}
        spare = {"load": [5.0] * len(rows)}
        return Sweep(tuple(amperes), each, volts, spare, {"load": [5.0] * len(rows)}, (), {}, {})

    corners = [[x, y] for x in (0.0, 1.0) for y in (0.0, 1.0)]
    surface = Surface(exact(corners), ((0.0, 1.0), (0.0, 1.0)))
    return DischargeSegment("all", None, surface, exact, ("load",), lambda _: left)


def test_a_battery_ends_with_the_one_in_series_that_is_flat_first() -> None:
    """5 Ah and 10 Ah in series at 5 A: an hour, and half of the larger one is left. Beside each other,
    with 2.5 A each, the larger one goes on with the whole 5 A: 2 h, then 1 h for its other half."""
    cells = [Cell("a", Store(5, 1.0, 1.0, 1.0), 1.0, None), cell()]
    nothing = DischargeSegment(
        "none", None, Surface(Sweep((), {}, {}, {}, {}, (), {}, {}), ()), exact_nothing, ()
    )
    found = discharge(cells, "b", [beside({"a": 5.0, "b": 5.0}, nothing)])
    assert (found.ended_by, found.why) == ("a", Ending.EMPTY)
    assert found.seconds == pytest.approx(3600, abs=1) and found.charge == pytest.approx(0.5, abs=1e-3)
    twin = discharge(cells, "b", [beside({"a": 2.5, "b": 2.5}, segment(5, None))])
    assert (twin.ended_by, twin.why) == ("b", Ending.EMPTY)
    assert twin.seconds == pytest.approx(10_800, abs=3)


def exact_nothing(rows: Sequence[Sequence[float]]) -> Sweep:
    """What is left of two batteries in series without one."""
    return Sweep((), {}, {}, {}, {}, (), {}, {})
