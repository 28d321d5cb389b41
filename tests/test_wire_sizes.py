"""The wire size that a remedy names puts its finding right, and in the case of a table no smaller one does."""

from __future__ import annotations

import re

import pytest

from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.wire_tables import larger_sizes
from tests.edits import edited
from tests.rule_cases import FILES, assess, design, parsed, text

ADVICE = re.compile(r"\b[Uu]se (?P<size>[\d.]+ (?:AWG|mm2)) or larger for (?P<wires>[^:;]+?)(?:,| as far as)")
MOST_CASES = 2
#: rules of which a smaller size is tried too; of a voltage drop the size allows for what the load takes more
BY_A_TABLE = (
    "circuit-protection-fits-its-wire",
    "every-wire-is-protected-at-each-energised-end",
    "smaller-wire-downstream-stays-protected",
    "wires-are-within-their-current-rating",
)
BY_A_DROP = (
    "continuous-voltage-drop-is-within-limits",
    "intermittent-voltage-drop-is-within-limits",
)


def advised(rule: str) -> list[tuple[str, str, str, list[str]]]:
    """(case, subject of the finding, size, wires) for what the rule advises in its cases."""
    cases = ["unmet", *(trap["name"] for trap in parsed(FILES[rule]).get("traps", ()) if "findings" in trap)]
    found = []
    for case in cases:
        for finding in assess(rule, text(design(rule, case))).findings:
            if said := ADVICE.search(finding.remedy):
                wires = re.split(", | and ", said["wires"])
                found.append((case, finding.subject, said["size"], wires))
        if len(found) > MOST_CASES:
            break
    return found


def stays(rule: str, case: str, subject: str, size: str, wires: list[str]) -> bool:
    """Whether the finding stays with wires of a size; the case may write them as circuits or bundles."""
    data = edited(design(rule, case), {f"wires/{wire}/gauge": size for wire in wires})
    return subject in {finding.subject for finding in assess(rule, text(data)).findings}


@pytest.mark.parametrize("rule", [*BY_A_TABLE, *BY_A_DROP])
def test_a_wire_of_the_size_that_is_advised_is_no_finding_any_more(rule: str) -> None:
    cases = advised(rule)
    assert cases
    for case, subject, size, wires in cases:
        assert not stays(rule, case, subject, size, wires), (case, size)
        if rule in BY_A_TABLE and case == "unmet":
            drawn = design(rule, case)["wires"]
            own = [read_gauge(drawn[wire]["gauge"]) for wire in wires]
            between = [
                s for s in larger_sizes(max(own, key=area)) if s.area_mm2 < read_gauge(size).area_mm2 * 0.999
            ]
            assert not between or stays(rule, case, subject, str(between[-1]), wires), (case, size)


def area(gauge: Gauge) -> float:
    return gauge.area_mm2
