"""What is known to be missed, or found of the innocent, at present: no review may do worse."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from tests.mutants.score import Reviewed, decided_of
from tests.mutants.verdict import YES

KNOWN = Path(__file__).parent / "known.yaml"


@cache
def known_faults() -> dict[str, Any]:
    """``missed``: defects that no finding names, by operator. ``told-of-the-innocent``: those with
    a new finding, and the reason.
    """
    return yaml.load(KNOWN.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)


def worse(reviews: Iterable[Reviewed]) -> list[str]:
    """What a review does worse than is known, a sentence each."""
    missed = {key for keys in known_faults()["missed"].values() for key in keys}
    found = []
    for one in reviews:
        verdict = decided_of(one.key)
        if verdict.defect == YES and not one.caught and one.key not in missed:
            found.append(f"{one.key} is missed: {verdict.why}")
        if verdict.defect != YES and one.new and one.key not in known_faults()["told-of-the-innocent"]:
            found.append(f"{one.key} is innocent ({verdict.why}) and has: {'; '.join(one.new)}")
    return found


def better(reviews: Iterable[Reviewed]) -> list[str]:
    """What is known to be wrong and is right now: to be taken out of the list."""
    missed = {key for keys in known_faults()["missed"].values() for key in keys}
    false = known_faults()["told-of-the-innocent"]
    return [r.key for r in reviews if (r.key in missed and r.caught) or (r.key in false and not r.new)]
