"""A chart read back: what stands where on it says the figures that it was drawn from, and all of it lies on the sheet."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from reviewer.questions.discharge_curves import DischargeCurve, ShedPoint
from reviewer.questions.load_analysis import PhaseCurrents, SolvedCurrents
from reviewer.reports.page.chart import discharge_chart, load_chart

#: the width of a letter at most, as a part of 11 pixels, its height
LETTER = 7.0
LOST = DischargeCurve(
    "main", 3600.0, 1800.0, ((0.0, 0.9), (1200.0, 0.6), (3600.0, 0.0)), (ShedPoint("heat", 600.0, 0.75),), ("heat",)
)  # fmt: skip
RESERVE = DischargeCurve("reserve", 5400.0, None, ((0.0, 1.0), (5400.0, 0.2)), (), ())
LATE = DischargeCurve("late", 600.0, 5400.0, ((0.0, 0.5), (600.0, 0.1)), (), ())


class Sheet:
    """The marks of an SVG by their class."""

    def __init__(self, text: str):
        self.top = ET.fromstring(text)
        left, top, self.wide, self.high = map(float, self.top.attrib["viewBox"].split())
        assert (left, top) == (0, 0)

    def of(self, kind: str) -> list[ET.Element]:
        return [e for e in self.top.iter() if kind in e.attrib.get("class", "").split()]

    def words(self) -> list[tuple[str, float, float]]:
        """Every text with the place of its left end and its line."""
        found = []
        for e in self.top.iter("text"):
            said = "".join(e.itertext())
            back = {"end": 1.0, "middle": 0.5}.get(e.attrib.get("text-anchor", ""), 0.0)
            found.append((said, float(e.attrib["x"]) - back * LETTER * len(said), float(e.attrib["y"])))
        return found

    def stays_inside(self) -> bool:
        """Whether no text leaves the sheet, and no two in one line lie on each other."""
        words = sorted(self.words(), key=lambda w: (w[2], w[1]))
        return all(
            x >= -1 and x + 0.8 * LETTER * len(said) <= self.wide and 8 <= y <= self.high
            for said, x, y in words
        )


def at(path: str) -> tuple[float, float]:
    """Where a path begins."""
    found = re.match(r"M([\d.-]+) ([\d.-]+)", path)
    assert found is not None
    return float(found[1]), float(found[2])


@pytest.mark.parametrize("curves", [(LOST,), (LOST, RESERVE), (LATE, LOST, RESERVE)])
def test_a_discharge_is_read_off_its_axes(curves: tuple[DischargeCurve, ...]) -> None:
    sheet = Sheet(discharge_chart(curves))
    assert sheet.stays_inside()
    number = {e.text: (float(e.attrib["x"]), float(e.attrib["y"])) for e in sheet.of("value")}
    (zero,) = (y - 4 for text, (_, y) in number.items() if text == "0 %")
    (full,) = (y - 4 for text, (_, y) in number.items() if text == "100 %")
    axis = sorted((float(t), x) for t, (x, y) in number.items() if t and re.fullmatch(r"[\d.]+", t))
    (first, begin), (last, end) = axis[0], axis[-1]
    assert first == 0 and 2 <= len(axis) <= 11
    apart = (end - begin) / last
    assert [x for _, x in axis] == pytest.approx([begin + t * apart for t, _ in axis], abs=0.1)
    assert last <= max(max(one.seconds, one.required or 0) for one in curves) / 60

    def minutes(x: float) -> float:
        return (x - begin) / apart

    def charge(y: float) -> float:
        return (zero - y) / (zero - full)

    lines = [e for e in sheet.top.iter("polyline")]
    for one, line in zip(curves, lines, strict=True):
        points = [tuple(map(float, p.split(","))) for p in line.attrib["points"].split()]
        assert [(minutes(x), charge(y)) for x, y in points] == [
            (pytest.approx(s / 60, abs=0.05), pytest.approx(c, abs=0.003)) for s, c in one.points
        ]
    dots = [(minutes(float(e.attrib["cx"])), charge(float(e.attrib["cy"]))) for e in sheet.of("shed")]
    assert dots == [
        (pytest.approx(s.seconds / 60, abs=0.05), pytest.approx(s.charge, abs=0.003)) for o in curves for s in o.shed
    ]  # fmt: skip
    wanted = [minutes(at(e.attrib["d"])[0]) for e in sheet.of("wanted")]
    assert wanted == [pytest.approx(o.required / 60, abs=0.05) for o in curves if o.required is not None]
    assert len({line.attrib.get("stroke-dasharray") for line in lines}) == len(lines)
    said = [w for w, _, _ in sheet.words()]
    for one in curves:
        assert any(w.startswith(f"{one.battery}: ") and ("required" in w) is (one.required is not None) for w in said)  # fmt: skip


def test_nothing_is_drawn_where_no_battery_runs_down() -> None:
    assert discharge_chart(()) == ""


def phase(name: str, drawn: float, charging: float, output: float) -> PhaseCurrents:
    """A phase of the load analysis, solved."""
    return PhaseCurrents(name, name, (), (), output, output, SolvedCurrents(drawn, charging, 0.0))


@pytest.mark.parametrize(
    "phases",
    [
        [phase("cruise", 20.0, 4.0, 60.0), phase("taxi", 25.0, 10.0, 15.0), phase("dark", 6.0, 0.0, 0.0)],
        [phase("start", 250.0, 0.0, 0.0), phase("cruise", 30.0, 5.0, 60.0)],  # a bar that is broken off
        [phase("off", 0.0, 0.0, 0.0)],
    ],
)
def test_bars_are_as_long_as_their_currents_but_one_that_is_broken_off(phases: list[PhaseCurrents]) -> None:
    """And each has its figures, its capacity as a line where it has one, in the height of its own row."""
    sheet = Sheet(load_chart(phases))
    assert sheet.stays_inside()
    rows: list[tuple[float, float, float]] = []
    for one, drawn, charging in zip(phases, sheet.of("amps"), sheet.of("charging"), strict=True):
        x, y, wide = (float(drawn.attrib[key]) for key in ("x", "y", "width"))
        assert float(charging.attrib["x"]) == pytest.approx(x + wide, abs=0.1)
        rows.append((y, wide, float(charging.attrib["width"])))
        said = [w for w, _, at_y in sheet.words() if y <= at_y <= y + 24]
        assert one.phase in said and len(said) == 3
        assert any(
            w.startswith(f"{one.drawn:.1f} A") and ("charging" in w) is (one.charging > 0) for w in said
        )
        assert ("on battery alone" in said) is (one.output == 0)
    broken = [one for one in phases if one.drawn > 200]
    whole = [(one, row) for one, row in zip(phases, rows, strict=True) if one not in broken]
    scale = next((row[1] / one.drawn for one, row in whole if one.drawn), 1.0)
    for one, (_, loads, more) in whole:
        assert (loads, more) == (pytest.approx(one.drawn * scale, abs=0.1), pytest.approx(one.charging * scale, abs=0.1))  # fmt: skip
    assert len(sheet.of("break")) == len(broken)
    left = float(sheet.of("amps")[0].attrib["x"])
    lines = [at(e.attrib["d"])[0] - left for e in sheet.of("rated")]
    assert lines == [pytest.approx(one.output * scale, abs=0.1) for one in phases if one.output]
