"""What a load may have at the worst of what nobody has measured is what `solve` answers for a file that says that corner.

A sentence such as "may have as little as 13.2 V" is compared with the least that is solved of files in which charge and resistance of the batteries,
set point, output at idle and the currents of the loads stand at the ends that the finding prints under "taken at the worst of", all combinations of them.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import battery_figures
from reviewer.model import parts as p
from reviewer.reading import read_text
from tests.rule_cases import ROOT, assess, design, facts, parsed, text
from tests.test_sentences_agree_with_solve import near

SAID = re.compile(r"(?:may have as little as|has up to) (\d+(?:\.\d+)?) V in")
#: what is printed: "charge of main-battery 80 to 100 %"
ENDS = re.compile(r"([a-z][\w ,-]*?) (-?[\d.]+) to (-?[\d.]+)(?: (%|V|A))? \(")


def scaled(value: Any, factor: float) -> Any:
    if isinstance(value, dict):
        return {key: scaled(one, factor) for key, one in value.items()}
    number, unit = re.fullmatch(r"([\d.]+) (\w+)", str(value)).groups()
    return f"{float(number) * factor!r} {unit}"


def written(data: dict[str, Any], known: Facts, what: str, value: float) -> None:
    """An end of something that nobody has measured, written into the data of a file."""
    parts = data["parts"]
    batteries = known.design.of_kind(p.Battery)
    if what.startswith("charge of "):
        for name in what.removeprefix("charge of ").split(", "):
            parts[name]["state-of-charge"] = f"{value} %"
    elif what.startswith("resistance of the batteries"):
        for name in batteries:
            ohms = battery_figures(known.design, f"parts/{name}", 1.0, 1.0, Assumptions())["ohms"]
            parts[name]["internal-resistance"] = f"{ohms * value!r} ohm"
    elif what == "set point of the regulator":
        for name in known.design.of_kind(p.Alternator):
            parts[name]["set-point"] = f"{value} V"
    elif what.startswith("output at idle"):
        for name in known.design.of_kind(p.Alternator):
            parts[name]["idle-output"] = f"{known.design.parts[name].rating * value!r} A"
    else:
        assert what.startswith("current of the loads"), what
        for part in parts.values():
            for key in {"current", "coil-current"} & part.keys():
                part[key] = scaled(part[key], value)


def corners(data: dict[str, Any], known: Facts, told: str) -> Iterator[Facts]:
    ends = [(what.strip(), (float(low), float(high))) for what, low, high, _ in ENDS.findall(told)]
    assert len(ends) >= 4, told
    for values in product(*(pair for _, pair in ends)):
        made = copy.deepcopy(data)
        for (what, _), value in zip(ends, values, strict=True):
            written(made, known, what, value)
        yield Facts(read_text(text(made), "corner"))


#: rule, and a design of its case
CASES = (
    ("loads-stay-within-their-maximum-voltage", "unmet"),
    ("loads-receive-their-minimum-voltage", "enough by the figures of the file, too little at the lowest that the regulator may hold"),
    ("loads-stay-within-their-maximum-voltage", "it bears what the file says the regulator holds, and not the most that it may hold"),
    ("loads-stay-within-their-maximum-voltage", "the same unit on the input side of the converter"),
)  # fmt: skip


def compared(rule: str, data: dict[str, Any]) -> int:
    """Compares every sentence of a rule that names the worst; how many there were."""
    known, seen, solved = facts(text(data)), 0, dict[str, list[Any]]()
    for finding in assess(rule, text(data)).findings:
        said = SAID.search(finding.sentence)
        if said is None:
            continue
        if finding.state not in solved:
            told = dict(finding.numbers)["taken at the worst of"]
            phases = [f.phase for f in known.points.flown_in([finding.state])]
            solved[finding.state] = [
                corner.points.operating_point(finding.state, phase).across
                for corner in corners(data, known, told)
                for phase in phases
            ]
        found = [across[finding.subject] for across in solved[finding.state]]
        worst = min(found) if "as little" in said[0] else max(found)
        assert near(said[1], worst, "V"), (finding.sentence, worst)
        assert max(found) - min(found) > 0.3
        seen += 1
    return seen


@pytest.mark.parametrize(
    ("rule", "name"),
    [CASES[0], *(pytest.param(*case, marks=pytest.mark.long) for case in CASES[1:])],
    ids=["highest", "lowest", "highest in cruise", "highest behind a converter"],
)
def test_the_worst_that_a_sentence_names_is_the_worst_of_the_solved_corners(rule: str, name: str) -> None:
    assert compared(rule, design(rule, name)) == 1


@pytest.mark.long
@pytest.mark.parametrize(("rule", "key", "volts"), [(CASES[1][0], "minimum", "13.4 V"), (CASES[0][0], "maximum", "14.1 V")])  # fmt: skip
def test_so_it_is_in_the_example(rule: str, key: str, volts: str) -> None:
    """The tourer, with a limit of some loads moved to where the file's figures keep it and the worst ones do not."""
    data = copy.deepcopy(parsed(ROOT / "examples" / "tourer.design.yaml"))
    for name in ("radio-1", "pump-a", "pitot-heater", "landing-light"):
        data["parts"][name][key] = volts
    assert compared(rule, data) >= 1
