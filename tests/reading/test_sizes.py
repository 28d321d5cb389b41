"""A design that is too large is refused at once with the limit; a review that takes long says so before."""

from __future__ import annotations

import json
from difflib import SequenceMatcher
from functools import partial
from pathlib import Path
from typing import Any

import pytest
import yaml

from reviewer import session
from reviewer.cli.output import Progress
from reviewer.reading import Unreadable, read_text
from reviewer.reading.problem import Problem
from reviewer.reading.sizes import MOST_ENTRIES, MOST_WITHIN_PARTS
from tests.counted_calls import calls_of

FIRST = Path(__file__).parent.parent.parent / "examples" / "first.design.yaml"
BUS = {"kind": "bus"}
ENTRIES: dict[str, Any] = {
    "circuits": "battery.positive > battery.negative",
    "parts": BUS,
    "wires": {"from": "battery.positive", "to": "fuse.line"},
    "functions": {"any": 1, "of": ["left-ignition"], "loss": "minor"},
    "concessions": {"rule": "a", "subject": "parts/b", "reason": "r", "by": "b", "date": "2026-04-18"},
    "aircraft/zones": {},
    "operation/states": {"engine": "running"},
    "operation/phases": {"state": "cruise", "duration": "1 h"},
    "operation/actions": {"does": "Nothing."},
    "operation/excluded": {"fuse": "in"},
    "watch/monitors": {"shows": "voltage", "senses": "battery.positive"},
    "assemblies": {"circuits": {"$name": "battery.positive > fuse 1 A > battery.negative"}},
    "installed": {"assembly": "sense-lead", "from": "battery.positive"},
    "watch/checks": {"state": "cruise", "watch": ["left-ignition"], "expect": "It runs."},
}


def messages(data: dict[str, Any]) -> list[str]:
    with pytest.raises(Unreadable) as caught:
        read_text(json.dumps(data), "x")
    return [p.message for p in caught.value.problems]


def with_entries(at: str, count: int) -> dict[str, Any]:
    """The first example with so many entries in one of its groups."""
    data = yaml.safe_load(FIRST.read_text(encoding="utf-8"))
    *outer, last = at.split("/")
    group = data
    for step in outer:
        group = group.setdefault(step, {})
    if at in ("concessions", "operation/excluded"):
        group[last] = [ENTRIES[at]] * count
    else:
        held = group.setdefault(last, {})
        held.update({f"n{i}": ENTRIES[at] for i in range(count - len(held))})
    return data


@pytest.mark.parametrize("at", MOST_ENTRIES)
def test_more_entries_than_are_reviewed_are_refused_with_the_limit(at: str) -> None:
    most = MOST_ENTRIES[at]
    word = "excluded combinations" if at.endswith("excluded") else at.rpartition("/")[2]
    said = f"a design with {most + 1:,} {word} is not reviewed; {most:,} is the most"
    assert messages(with_entries(at, most + 1)) == [said]


@pytest.mark.parametrize("at", ["parts", "functions", "operation/states", "watch/monitors"])
def test_as_many_as_may_be_are_read(at: str) -> None:
    read_text(json.dumps(with_entries(at, MOST_ENTRIES[at])), "x")


def test_a_part_of_too_many_pieces_is_refused() -> None:
    data = with_entries("parts", 6)
    data["parts"]["n0"] = {"kind": "connector", "pins": [f"p{i}" for i in range(MOST_WITHIN_PARTS)]}
    assert messages(data) == [
        f"a design with more than {MOST_WITHIN_PARTS:,} entries in its parts is not reviewed;"
        f" {MOST_WITHIN_PARTS:,} is the most"
    ]


def problems_of(text: str, problems: list[Problem]) -> None:
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x")
    problems += caught.value.problems


def test_thousands_of_buses_are_refused_soon_and_at_their_place() -> None:
    """The calls grow as the file does, no more."""
    calls = []
    for count in (4_000, 8_000):
        text = "format: 1\nparts:\n" + "".join(f"  b{i}: {{kind: bus}}\n" for i in range(count))
        problems: list[Problem] = []
        calls.append(calls_of(partial(problems_of, text, problems)))
        (problem,) = problems
        assert (problem.line, problem.column) == (2, 1) and f"{count:,} parts" in problem.message
    assert calls[1] < 2.2 * calls[0], calls


def test_a_review_that_takes_long_says_so_before_and_another_does_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told: list[float] = []
    began: list[str] = []

    def progress(done: int, total: int, rule: str) -> None:
        began.append(rule)
        assert told == [pytest.approx(81.0)]

    session.review_file(FIRST, [], announce=told.append)
    assert told == []
    monkeypatch.setattr(session, "_SECONDS_EACH", 81.0 / (4 + 5) ** 2)
    from reviewer.rulebook.loader import load_rules

    rules = load_rules([FIRST.parent.parent / "rules"], installed=False)[:1]
    session.review_file(FIRST, rules, progress, told.append)
    assert len(began) == 1 and len(told) == 1


@pytest.mark.parametrize(
    ("seconds", "words"), [(12.4, "12 seconds"), (89.0, "89 seconds"), (95.0, "2 minutes")]
)
def test_the_time_is_told_on_standard_error(
    seconds: float, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Progress().announce(Path("a/big.design.yaml"))(seconds)
    out, err = capsys.readouterr()
    assert out == "" and err == f"big.design.yaml is a large design; its review takes about {words}.\n"


def test_hundreds_of_wrong_names_are_each_compared_with_a_few_and_told_with_the_nearest(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    count = 250
    parts = {f"nav-light-{i}-breaker": {"kind": "breaker", "rating": "5 A"} for i in range(count)}
    wires = {
        f"W{i}": {"from": f"nav-lihgt-{i}-breaker.line", "to": f"nav-light-{i}-braeker.load"}
        for i in range(count)
    }
    data = {
        "format": 1,
        "aircraft": {"name": "x", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
    }
    compared: list[str] = []
    usual = SequenceMatcher.set_seq1
    monkeypatch.setattr(
        SequenceMatcher, "set_seq1", lambda of, name: compared.append(name) or usual(of, name)
    )
    told = messages({**data, "parts": parts, "wires": wires})
    assert len(told) == 2 * count < len(compared) < 2 * count * count / 4, len(compared)
    assert all(f"(did you mean `nav-light-{m.split('-')[2]}-breaker`?)" in m for m in told)
