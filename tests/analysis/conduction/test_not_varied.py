"""What was not tried is said once for the same switches."""

from __future__ import annotations

from reviewer.analysis.conduction.not_varied import NotVaried, told_together


def test_searches_that_leave_the_same_switches_are_one_sentence() -> None:
    trim, both = ("trim",), ("arm", "trim")
    said = [
        NotVaried.of("a short of battery", trim),
        "At most 1 crew action was tried.",
        NotVaried.of("a short of battery", both),
        NotVaried.of("a short of alternator", both),
        NotVaried.of("left-bus dead in all-off", trim),
        NotVaried.of("a short of battery", trim),
    ]
    assert told_together(said) == (
        "Tried only with trim in its normal position, as there are too many combinations: left-bus dead in all-off, a short of battery.",
        "At most 1 crew action was tried.",
        "Tried only with arm, trim in their normal positions, as there are too many combinations: shorts of battery, alternator.",
    )
