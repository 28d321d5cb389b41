"""A planted fault is told as one cause or little more: what was counted, and that it is counted so still."""

from __future__ import annotations

import pytest

from tests.test_six_aircraft import AIRCRAFT
from tests.thinned import some_of, thinned
from tests.write_causes import (
    ALL_AT_ONCE,
    DEAD_AT_ONCE,
    OTHERS,
    causes_made,
    counts,
    faults_of,
    reviewed_with_all,
    with_all,
)

#: causes of a planted fault on average, as reached; nothing is to make it more
MOST_CAUSES = 1.1
#: of one aircraft on average, one at a time and all of them at once
MOST_OF_ONE = 1.3


def test_a_planted_fault_makes_few_causes() -> None:
    """The numbers that were written, for each fault of the aircraft that were counted; of one that is slow to
    review with all faults at once alone."""
    written = counts()
    assert set(OTHERS) <= set(written) <= {*AIRCRAFT, *OTHERS}
    numbers: list[int] = []
    for name, made in written.items():
        assert list(made) in (faults_of(name), [ALL_AT_ONCE]) and all(made.values())
        alone = [number for fault, number in made.items() if fault != ALL_AT_ONCE]
        assert sum(alone) <= MOST_OF_ONE * len(alone)
        if ALL_AT_ONCE in made:
            assert made[ALL_AT_ONCE] <= MOST_OF_ONE * len(with_all(name)[1])
        numbers += alone
    assert sum(numbers) / len(numbers) <= MOST_CAUSES


@pytest.mark.long
@pytest.mark.parametrize("name", some_of(["glider-two-batteries", "small-generator", *OTHERS], OTHERS))
def test_the_causes_of_each_fault_are_those_that_were_written(name: str) -> None:
    """Of the aircraft that are reviewed the quickest: every second fault, and all at once. The two of the six are in
    ``tests/test_causes.py`` too, a part of their faults with one cause each."""
    written = counts()[name]
    tried = thinned([fault for fault in written if fault != ALL_AT_ONCE], 2)
    tried += [ALL_AT_ONCE] * (ALL_AT_ONCE in written)
    assert {fault: causes_made(name, fault) for fault in tried} == {fault: written[fault] for fault in tried}


@pytest.mark.long
@pytest.mark.parametrize("name", [n for n in DEAD_AT_ONCE if n != "twin-split-bus"])  # that takes minutes
def test_an_aircraft_that_is_dead_by_its_faults_has_the_causes_that_were_written(name: str) -> None:
    """Nearly nothing works in it: what is a consequence of a few faults stands in the causes of these."""
    assert causes_made(name, ALL_AT_ONCE) == counts()[name][ALL_AT_ONCE]


@pytest.mark.long
def test_of_repairs_made_at_once_none_has_what_goes_without_it() -> None:
    """A diode keeps two batteries apart; that no pump works after one failure goes with the contact of the
    pumps, and would stay where the diode alone is put in."""
    causes = reviewed_with_all("injected-auto-pump").causes
    (diode,) = [c for c in causes if c.headline.sentence == "reserve-battery backfeeds main-battery."]
    (contact,) = [c for c in causes if c.tried.startswith("Move P14 ")]
    pumps = [{f.subject for f in c.findings if "pump-1" in f.evidence.lost} for c in (diode, contact)]
    assert pumps[0] == set() and pumps[1] >= {"wires/P2", "wires/P3", "parts/pump-1-switch"}
    assert contact.tried == "Move P14 from pump-relay.load to pump-relay.line."
