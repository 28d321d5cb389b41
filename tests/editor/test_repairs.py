"""The edit that accepts a finding, put into every form in which a file may have its concessions."""

from __future__ import annotations

import pytest
import yaml

from reviewer.editor.fresh_review import Mark
from reviewer.editor.repairs import concession_of

MARK = Mark(1, 1, "major", "It is so.", "own-rule", accept=("parts/fuse", "cruise", ""))
OTHER = "{rule: other}"


@pytest.mark.parametrize(
    ("before", "others"),
    [
        ("", 0),
        ("concessions:\n", 0),
        ("concessions: []\n", 0),
        (f"concessions: [{OTHER}, {OTHER}]\n", 2),
        (f"concessions:\n  - {OTHER}\n", 1),
        (f"concessions:\n- {OTHER}\n- {OTHER}\n", 2),
        (f"concessions:\n      - {OTHER}\n", 1),
        ("concessions:\n  - rule: other\nwires: {}\n", 1),
        ('{"format": 1, "concessions": [{"rule": "other"}]}', 1),
        ('{"format": 1, "concessions": []}', 0),
        ('{"format": 1}', 0),
    ],
)
def test_a_concession_joins_those_of_the_file(before: str, others: int) -> None:
    text = before if before.startswith("{") else f"format: 1\n{before}"
    (repair,) = concession_of(MARK, text)
    if text.endswith(("format: 1\n", "concessions:\n")):  # the form of the examples
        assert "\n  - rule: own-rule\n    subject: " in f"\n{repair.text}"
    lines = [*text.split("\n"), ""]  # what goes below all lines goes at the end
    line, column = repair.spot
    lines[line - 1] = lines[line - 1][: column - 1] + repair.text + lines[line - 1][column - 1 :]
    read = yaml.safe_load("\n".join(lines))
    own, *left = sorted(read["concessions"], key=lambda one: one["rule"] != "own-rule")
    assert [one["rule"] for one in left] == ["other"] * others
    assert {"rule": "own-rule", "subject": "parts/fuse", "state": "cruise"}.items() <= own.items()
    assert own.keys() >= {"reason", "by", "date"} and "extent" not in own and read["format"] == 1
