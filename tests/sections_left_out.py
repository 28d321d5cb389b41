"""What each rule says of an aircraft of which a section of the file, or every size, is left out: it asks, or has no subject, or still judges.

    python -m tests.sections_left_out        writes ``sections_left_out.yaml``: read the difference

There every rule stands once for each thing left out, under what it asks for, `no subject` or `judges`. A section is asked for once by a rule
that can say so before it knows a subject: one item that was not assessed, not one for each subject.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from textwrap import fill

import yaml

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules
from tests.rule_cases import ROOT, Data, text

TABLE = Path(__file__).with_suffix(".yaml")
AIRCRAFT = ROOT / "examples" / "faulted-tourer.design.yaml"
SECTIONS = ("functions", "operation", "watch")
SIZES = ("gauge", "length", "resistance")
#: what is left out -> the sections that go; what refers to one of them goes with it
LEFT_OUT: Mapping[str, tuple[str, ...]] = {
    "operation": ("operation", "watch"),
    "functions": ("functions", "operation", "watch"),
    "watch": ("watch",),
    "sizes": (),
}


@cache
def facts_without(what: str) -> Facts:
    """The facts of the aircraft without something."""
    data: Data = yaml.load(AIRCRAFT.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    data = {key: entry for key, entry in data.items() if key not in LEFT_OUT[what]}
    if what == "sizes":
        data["aircraft"] = {**data["aircraft"], "stage": "concept"}
        data["wires"] = {
            name: {key: value for key, value in wire.items() if key not in SIZES}
            for name, wire in data["wires"].items()
        }
    return Facts(read_text(text(data), "design"))


def without(what: str, rule: Rule) -> str:
    """`judges`, `no subject`, or the section that a rule asks for, once or at each subject; `asks` where it is another thing."""
    (done,), _ = run_rules([rule], facts_without(what))
    assert not done.breakdowns, done.breakdowns
    if not done.gaps or len(done.gaps) < done.examined:
        return "judges" if done.examined else "no subject"
    asked = {gap.needs.partition("`: ")[0].partition("` ")[0].strip("`") for gap in done.gaps}
    if (section := min(asked)) not in SECTIONS:
        return "asks"
    return f"asks {'each subject ' if all(gap.subject for gap in done.gaps) else ''}for {section}"


@cache
def expected(what: str) -> dict[str, str]:
    """A rule -> what it says; read and found right."""
    found: Data = yaml.load(TABLE.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    return {name: words for words, names in found[what].items() for name in names.split()}


def main() -> None:
    """Write the table."""
    from tests.rule_cases import RULES

    made: Data = {}
    for what in LEFT_OUT:
        for name, rule in sorted(RULES.items()):
            made.setdefault(what, {}).setdefault(without(what, rule), []).append(name)
    lines = []
    for what, answers in made.items():
        lines.append(f"{what}:")
        for words, names in sorted(answers.items()):
            lines += [f"  {words}: >-", *fill(" ".join(names), 150, break_on_hyphens=False).split("\n")]
    whole = "\n".join(line if line[-1] in ":-" else f"    {line}" for line in lines)
    TABLE.write_text(whole + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
