"""A planted fault is told as one cause or little more: what was counted, and that it is counted so still."""

from __future__ import annotations

import pytest

from tests.test_six_aircraft import AIRCRAFT, data_of
from tests.write_causes import causes_made, counts

#: causes of a planted fault on average, as reached; nothing is to make it more
MOST_CAUSES = 1.19


def test_a_planted_fault_makes_few_causes() -> None:
    """The numbers that were written, for each fault of the aircraft that were counted."""
    written = counts()
    assert set(written) <= set(AIRCRAFT)
    for name, made in written.items():
        assert list(made) == list(data_of(name, "expected")["faults"])
        assert all(made.values())
    numbers = [number for made in written.values() for number in made.values()]
    assert sum(numbers) / len(numbers) <= MOST_CAUSES


@pytest.mark.long
@pytest.mark.parametrize("name", ["glider-two-batteries", "small-generator"])
def test_the_causes_of_each_fault_are_those_that_were_written(name: str) -> None:
    """Of the two aircraft that are reviewed the quickest."""
    assert {fault: causes_made(name, fault) for fault in counts()[name]} == counts()[name]
