"""How many causes each planted fault makes that the sound drawing does not have.

``python -m tests.write_causes [AIRCRAFT ...]`` reviews an aircraft with each of its faults and writes the
numbers to ``tests/aircraft/causes.yaml``; read the difference. All take half an hour. They are the six of
``tests/aircraft`` and those of ``tests/cause_aircraft``; the latter and three of the former, of which the
faults make a dead aircraft, are also reviewed with all their faults at once that can be planted together. What
the sound drawing has too is not counted.
"""

from __future__ import annotations

import sys
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from reviewer.model.review import Review
from tests.edits import EditError, edited
from tests.reviewed_once import reviewed_once
from tests.rule_cases import parsed
from tests.test_six_aircraft import AIRCRAFT, FOLDER, data_of, edits_of

FILE = FOLDER / "causes.yaml"
#: aircraft of an unusual system, drawn for this count
OTHERS_FOLDER = Path(__file__).with_name("cause_aircraft")
OTHERS = tuple(sorted(path.name.removesuffix(".design.yaml") for path in OTHERS_FOLDER.glob("*.design.yaml")))
#: aircraft of the six that are reviewed with all faults at once too
DEAD_AT_ONCE = ("injected-auto-pump", "magneto-metal", "twin-split-bus")
#: what stands for all faults of an aircraft together
ALL_AT_ONCE = "all at once"
_HEAD = """\
# How many causes each fault makes that the sound drawing does not have: python -m tests.write_causes
"""


def counts() -> dict[str, dict[str, int]]:
    """Aircraft -> fault -> its causes, as they were written."""
    found: dict[str, dict[str, int]] = yaml.safe_load(FILE.read_text(encoding="utf-8"))
    return found


def faults_of(name: str) -> list[str]:
    """The faults that are counted of an aircraft."""
    at_once = [ALL_AT_ONCE] if name in (*OTHERS, *DEAD_AT_ONCE) else []
    return [*planted(name), *at_once]


def with_all(name: str) -> tuple[dict[str, Any], list[str]]:
    """An aircraft with all its faults that can be planted together, in their order, and these."""
    design, made = sound(name), []
    for fault, steps in planted(name).items():
        with suppress(EditError):  # the place of the fault is gone with another one
            design = edited(design, edits_of(design, steps))
            made.append(fault)
    return design, made


def causes_made(name: str, fault: str) -> int:
    """How many causes of an aircraft with a fault have a finding that its sound drawing has not."""
    if fault == ALL_AT_ONCE:
        return _new_causes(reviewed_with_all(name), _known(name))
    design = edited(sound(name), edits_of(sound(name), planted(name)[fault]))
    return _new_causes(reviewed_once(design), _known(name))


@cache
def reviewed_with_all(name: str) -> Review:
    """The review of an aircraft with all its faults at once."""
    return reviewed_once(with_all(name)[0])


def sound(name: str) -> dict[str, Any]:
    """The data of an aircraft as it is drawn."""
    return parsed((OTHERS_FOLDER if name in OTHERS else FOLDER) / f"{name}.design.yaml")


def planted(name: str) -> dict[str, list[dict[str, Any]]]:
    """The faults of an aircraft, each with the steps of its edit."""
    faults: Any = parsed((OTHERS_FOLDER if name in OTHERS else FOLDER) / f"{name}.faults.yaml")
    return {fault["name"]: fault["edit"] for fault in faults}


@cache
def _known(name: str) -> frozenset[tuple[str, ...]]:
    if name not in OTHERS:
        return frozenset(tuple(entry) for entry in data_of(name, "expected")["sound"])
    review = reviewed_once(sound(name))
    return frozenset((f.rule, f.subject) for f in review.findings)


def _new_causes(review: Review, known: frozenset[tuple[str, ...]]) -> int:
    return sum(any((f.rule, f.subject) not in known for f in cause.findings) for cause in review.causes)


if __name__ == "__main__":
    written = counts() if FILE.exists() else {}
    for name in sys.argv[1:] or (*AIRCRAFT, *OTHERS):
        written[name] = {fault: causes_made(name, fault) for fault in faults_of(name)}
        lines = (f"{n}:\n" + "".join(f"  {f}: {c}\n" for f, c in written[n].items()) for n in sorted(written))
        FILE.write_text(_HEAD + "".join(lines), encoding="utf-8")
        print(name, round(sum(written[name].values()) / len(written[name]), 2), flush=True)
