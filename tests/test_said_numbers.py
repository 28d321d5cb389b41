"""Every number that a person reads has sensible digits, in a unit of the file, and does not contradict its limit."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner

from reviewer import session
from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.quantities import read_quantity
from reviewer.model.quantity_words import (
    beside,
    clock,
    days,
    length,
    margin,
    minutes,
    number,
    percent,
    quantity,
    shortfall,
    tabled,
    volts_lost,
)
from reviewer.model.review import Review
from reviewer.reading import read_design
from reviewer.reports.handoff.schedules.all_tables import schedules
from reviewer.session import review_facts, solved_file
from tests.edits import edited
from tests.rule_cases import FILES, assess, design, findings, yaml_text
from tests.said_numbers import contradictions, foreign_units, offences
from tests.write_committed import example_review

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))


@pytest.mark.parametrize(
    ("value", "unit", "apart", "words"),
    [
        (14.3499, "V", None, "14.3 V"),
        (0.55814, "V", None, "0.56 V"),
        (0.50004, "V", 0.5, "0.50004 V"),
        (31.554, "A", None, "31.6 A"),
        (4.84123, "A", None, "4.8 A"),
        (1.23456, "A", None, "1.2 A"),
        (12.3456781, "V", 12.3456782, "12.3456781 V"),
        (0.3561234, "A", None, "0.36 A"),
        (0.00014321, "A", None, "0.143 mA"),
        (12624.2, "A2s", None, "12,600 A2s"),
        (-0.0000001, "A", None, "0 A"),
        (-0.0, "V", None, "0 V"),
        (12.12, "V", None, "12.12 V"),
        (100000.0, "ohm", None, "100,000 ohm"),
        (math.inf, "s", None, "unlimited s"),
    ],
)
def test_a_quantity_has_the_digits_that_a_person_says(
    value: float, unit: str, apart: float | None, words: str
) -> None:
    assert quantity(value, unit, apart) == words


@pytest.mark.parametrize(
    ("value", "words"), [("7ft", "7 ft"), ("0.50 m", "0.5 m"), ("24 in", "24 in"), ("350 mm", "350 mm")]
)
def test_what_the_file_states_is_said_as_it_stands_there(value: str, words: str) -> None:
    stated = read_quantity(value, "length", "1 m")
    assert length(stated, "m") == quantity(stated, "m") == words
    assert stated == pytest.approx(float(stated)) and number(float(stated)) != words


@pytest.mark.parametrize(
    ("metres", "unit", "apart", "words"),
    [
        (2.4000001, "m", None, "2.4 m"),
        (2.1336, "ft", None, "7 ft"),
        (2.1336, "in", None, "7 ft"),
        (0.1524, "ft", None, "6 in"),
        (0.1524, "m", None, "0.15 m"),
        (0.153, "m", 0.1524, "0.153 m"),
        (0.25, "mm", None, "250 mm"),
        (1.25, "cm", None, "1.25 m"),
    ],
)
def test_a_length_is_in_the_unit_of_the_file(
    metres: float, unit: str, apart: float | None, words: str
) -> None:
    assert length(metres, unit, apart) == words


def test_times_and_shares() -> None:
    assert [days(2529.8), days(164.3), days(2.5), days(math.inf)] == [
        "more than a year",
        "164 days",
        "60 h",
        "unlimited",
    ]
    assert [margin(142), margin(30), margin(0), shortfall(1), shortfall(301)] == [
        "2 min",
        "less than 1 min",
        "0 min",
        "1 min",
        "6 min",
    ]
    assert [clock(320), minutes(1911)] == ["5 min 20 s", "31 min"]
    assert [minutes(60 * n) for n in (120, 121, 180, 2292, 2880, 4500)] == [
        "120 min",
        "2 h 1 min",
        "3 h",
        "38 h 12 min",
        "2 days",
        "3 days 3 h",
    ]
    assert clock(137_520) == margin(137_520) == shortfall(137_520) == "38 h 12 min"
    # two that stand side by side are said alike, but for what is less than an hour
    assert [minutes(109 * 60, 180 * 60), minutes(180 * 60, 109 * 60), minutes(1020, 180 * 60)] == [
        "1 h 49 min",
        "3 h",
        "17 min",
    ]
    # what is left is never said to be more than it is, what lacks never less
    assert [minutes(6000 * 60), margin(6000 * 60), shortfall(6001 * 60)] == ["4 days 4 h"] * 2 + [
        "4 days 5 h"
    ]
    # two long times that whole minutes do not tell apart
    assert [minutes(10_799, 10_790), minutes(10_790, 10_799)] == ["179.9 min", "179.8 min"]
    assert [percent(0.8), percent(-0.001), percent(0.8004, 0.8)] == ["80 %", "0 %", "80.04 %"]
    assert [percent(0.8, 0.8), percent(0.8004, 0.79)] == ["80 %", "80 %"]


def test_hours_of_a_parked_battery_are_rounded_down() -> None:
    assert [days(h / 24) for h in (1.929, 9.99, 10, 0.04)] == ["1.9 h", "9.9 h", "10 h", "0 h"]


def test_a_time_is_never_promised_longer_than_it_is_nor_a_shortfall_shorter() -> None:
    assert [minutes(1799.9), minutes(1800), minutes(math.inf)] == ["29 min", "30 min", "unlimited"]
    # a limit that stands beside it is told apart, by two decimals at most
    assert [minutes(1799, 1740), minutes(1740, 1799), minutes(1799.99, 1799.98)] == [
        "29.9 min",
        "29.0 min",
        "29 min",
    ]
    assert [margin(59.9), margin(60), margin(-5), margin(math.inf)] == [
        "less than 1 min",
        "1 min",
        "0 min",
        "unlimited",
    ]
    assert [shortfall(0.1), shortfall(60), shortfall(60.1)] == ["1 min", "1 min", "2 min"]
    assert [clock(s) for s in (59.9999999, 60, 599, 600, 659, math.inf)] == [
        "1 min", "1 min", "9 min 59 s", "10 min", "10 min", "unlimited",
    ]  # fmt: skip
    assert [clock(45.9), days(2.98765), days(3), days(365), days(365.1), days(12345)] == [
        "45 s", "71 h", "3 days", "365 days", "more than a year", "more than a year",
    ]  # fmt: skip


def test_what_is_in_a_cell_or_beside_its_limit_is_never_minus_zero_nor_the_same_as_it() -> None:
    for nought in (tabled(-0.001, 2), tabled(-0.0, 1), tabled(0.0, 1)):
        assert str(nought) == "0.0"
    assert [tabled(-0.016, 2), tabled(2.5449, 2)] == [-0.02, 2.54]
    assert [beside(-0.001, 0.3, ".1f"), beside(12.34, 12.0, ".1f"), beside(80.04, 80.0, ".0f")] == [
        "0.0", "12.3", "80.04",
    ]  # fmt: skip
    # what is told apart by no digit that anybody reads stands as it would alone
    assert beside(5.0, 5.0, ".1f") == beside(5.0, 5.0 + 1e-12, ".1f") == "5.0"


def test_thousandths_are_told_below_a_hundredth_of_an_ampere_or_volt_only() -> None:
    said = [(0.0099, "A"), (0.01, "A"), (0.0099, "m"), (1e-6, "A"), (9e-7, "A"), (0.99, "A"), (1.04, "A")]
    assert [quantity(value, unit) for value, unit in said] == [
        "9.9 mA", "0.01 A", "0.0099 m", "0.001 mA", "0 A", "0.99 A", "1.04 A",
    ]  # fmt: skip
    # beside a limit that is not so small the unit stays the limit's
    assert quantity(0.002, "A", 0.5) == "0.002 A" != quantity(0.002, "A", 0.005) == "2 mA"


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        ("2.1336 m", True),
        ("2529.8 days", True),
        ("164.0 days", True),
        ("-0.0 A", True),
        ("1e-05 A", True),
        ("6 in", True),
        ("3 ft of wire", True),
        ("12,600 A2s", False),
        ("14.27 V in cruise", False),
        ("30 000 ft", False),
        ("on W1a2 and 10 in all", False),
        ("2,500 days", False),
    ],
)
def test_the_check_sees_what_it_should(words: str, wrong: bool) -> None:
    assert bool(list(offences(words, foreign_units("length: 2.4 m")))) == wrong
    assert not list(offences("2.4 m", foreign_units("length: 2.4 m"))) and list(
        offences("2.4 m", foreign_units("length: 7 ft"))
    )
    assert contradictions((("run", "0.15 m"), ("limit", "0.15 m (6 in)")))


@pytest.mark.parametrize("rule", sorted(FILES))
def test_the_sentences_of_every_finding(rule: str) -> None:
    units = foreign_units(yaml_text(design(rule, "unmet")))
    for finding in findings(rule):
        for words in (
            finding["sentence"],
            *(f"{what}: {value}" for what, value in finding.get("numbers", ())),
        ):
            assert not list(offences(words, units)), words
        assert not contradictions(finding.get("numbers", ()))


def in_feet(content: str) -> str:
    """A design with its lengths in feet, below one foot in inches."""

    def foot(match: re.Match[str]) -> str:
        metres = float(match[1])
        return (
            f"length: {metres / 0.3048:.1f} ft" if metres >= 0.3048 else f"length: {metres / 0.0254:.1f} in"
        )

    return re.sub(r"\blength: ([\d.]+) m\b", foot, content)


@pytest.mark.parametrize(
    ("path", "feet"),
    [
        *(
            pytest.param(path, False, marks=[pytest.mark.long] if "tourer" in path.name else [])
            for path in EXAMPLES
        ),
        (ROOT / "examples" / "tourer.design.yaml", True),
    ],
    ids=lambda one: one.name.partition(".")[0] if isinstance(one, Path) else "in feet" if one else "as it is",
)
def test_every_text_report_of_the_examples(path: Path, feet: bool, tmp_path: Path) -> None:
    content = path.read_text(encoding="utf-8")
    copy = tmp_path / "design.yaml"
    copy.write_text(in_feet(content) if feet else content, encoding="utf-8")
    units = foreign_units(copy.read_text(encoding="utf-8"))
    assert not feet or units == {"m", "cm", "mm"}
    name = next(iter(read_design(copy).parts))
    asked = [
        ["review"],
        ["budget"],
        ["wires"],
        *([] if feet else [["solve"], ["effects"], ["fail", name], ["compare", str(path)]]),
    ]
    facts = Facts(read_design(copy))
    reviewed = review_facts(facts, copy) if feet else example_review(path)

    def told_again(facts: Facts, path: Path, *rest: object, **more: object) -> Review:
        return replace(reviewed, file=path.name)

    # worked out once for all questions
    with patch.object(session, "Facts", lambda _: facts), patch.object(session, "review_facts", told_again):
        for command, *more in asked:
            told = CliRunner().invoke(commands, [command, str(copy), *more]).output
            assert told
            # what is wrapped is one sentence
            assert not list(offences(re.sub(r"\s+", " ", told), units)), command


@pytest.mark.long
def test_every_cell_of_the_schedules_and_the_cards_in_feet(tmp_path: Path) -> None:
    content = in_feet((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"))
    path = tmp_path / "design.yaml"
    path.write_text(content, encoding="utf-8")
    made = {table.key: table for table in schedules(solved_file(path, [], trials=False))}
    for key, table in made.items():
        if key == "notes":  # these are the words of the file
            continue
        for cell in (cell for row in table.rows for cell in row):
            assert not list(offences(str(cell), foreign_units(content))), (key, cell)
            assert not isinstance(cell, float) or str(cell) != "-0.0"
    columns = made["wire-list"].columns
    assert "length, ft" in columns
    lengths = {row[0]: row[columns.index("length, ft")] for row in made["wire-list"].rows}
    assert lengths["Y9"] == 7.2  # 2.2 m


def test_a_rule_says_a_length_in_the_unit_of_the_file() -> None:
    rule = "every-wire-is-protected-at-each-energised-end"
    data = design(rule, "unmet")
    for content, words in ((yaml_text(data), "0.15 m"), (in_feet(yaml_text(data)), "6 in")):
        found = assess(rule, content).findings
        limits = [value for one in found for what, value in one.numbers if what == "unprotected conductor"]
        assert limits and all(f"limit {words} to the first protection" in limit for limit in limits)


def test_a_changed_length_is_told_as_each_file_has_it(tmp_path: Path) -> None:
    files = []
    for name, size in (("old", "7 ft"), ("new", "2.2 m")):
        path = tmp_path / f"{name}.yaml"
        data = edited(
            design("every-wire-is-protected-at-each-energised-end", "met"), {"wires/W22/length": size}
        )
        path.write_text(yaml_text(data), encoding="utf-8")
        files.append(str(path))
    told = CliRunner().invoke(commands, ["compare", *files]).output
    assert "7 ft" in told and "2.2 m" in told and "2.1336" not in told


def test_a_list_of_voltage_drops_has_one_unit() -> None:
    """Volts throughout (common practice, no source): a millivolt here and a volt there are misread."""
    assert [volts_lost(v) for v in (0.2344, 0.0471, 0.003123, 0.0004, -0.0004, -0.0012, 12.4953)] == [
        *("0.234 V", "0.047 V", "0.003 V", "0 V", "0 V", "-0.001 V", "12.5 V"),
    ]
    folder = Path(__file__).parent / "answers"
    for name in ("solve.txt", "solve-failed.txt", "wires.txt"):
        text = (folder / name).read_text(encoding="utf-8")
        assert re.findall(r"drop -?[\d.]+ V", text) and not re.findall(r"drop -?[\d.]+ mV", text)
