"""How many causes each planted fault of the six aircraft makes that the sound drawing does not have.

``python -m tests.write_causes [AIRCRAFT ...]`` reviews an aircraft with each of its faults and writes the
numbers to ``tests/aircraft/causes.yaml``; read the difference. All six take half an hour.
"""

from __future__ import annotations

import sys
from pathlib import Path

import yaml

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.session import review_facts
from tests.rule_cases import RULES, text
from tests.test_six_aircraft import AIRCRAFT, FOLDER, data_of, with_fault

FILE = FOLDER / "causes.yaml"
_HEAD = """\
# How many causes each fault makes that the sound drawing does not have: python -m tests.write_causes
"""


def counts() -> dict[str, dict[str, int]]:
    """Aircraft -> fault -> its causes, as they were written."""
    found: dict[str, dict[str, int]] = yaml.safe_load(FILE.read_text(encoding="utf-8"))
    return found


def causes_made(name: str, fault: str) -> int:
    """How many causes of an aircraft with a fault have a finding that its sound drawing has not."""
    facts = Facts(read_text(text(with_fault(name, fault)), "design"))
    review = review_facts(facts, Path("design"), list(RULES.values()), trials=False)
    known = {tuple(entry) for entry in data_of(name, "expected")["sound"]}
    return sum(any((f.rule, f.subject) not in known for f in c.findings) for c in review.causes)


if __name__ == "__main__":
    written = counts() if FILE.exists() else {}
    for name in sys.argv[1:] or AIRCRAFT:
        written[name] = {fault: causes_made(name, fault) for fault in data_of(name, "expected")["faults"]}
        lines = (f"{n}:\n" + "".join(f"  {f}: {c}\n" for f, c in written[n].items()) for n in sorted(written))
        FILE.write_text(_HEAD + "".join(lines), encoding="utf-8")
        print(name, round(sum(written[name].values()) / len(written[name]), 2), flush=True)
