"""That a figure is missing is kept once, and holds nothing of what was at work when it was found out."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from tests.analysis.small_designs import SmallDesign


class Large:
    """Stands for what the caller holds while it asks."""


def asked(facts, held: Large) -> NotAssessable:
    with pytest.raises(NotAssessable) as caught:
        facts.points.operating_point("cruise")
    assert held
    return caught.value


def holds(error: BaseException, what: object) -> bool:
    """Whether the frames that an error passed still hold a thing."""
    trace = error.__traceback__
    while trace:
        if any(value is what for value in trace.tb_frame.f_locals.values()):
            return True
        trace = trace.tb_next
    return False


def test_a_missing_figure_that_is_kept_holds_no_frames_of_those_who_asked() -> None:
    made = SmallDesign()
    made.load("lamp", made.protector("breaker"))
    facts, held = made.facts(), Large()
    first, second = asked(facts, held), asked(facts, held)
    assert str(first) == str(second) and first.needs and holds(first, held)
    kept = [found for found in facts.points._points.values() if isinstance(found, NotAssessable)]
    assert [str(one) for one in kept] == [str(first)]
    assert all(one.__traceback__ is None and one.__context__ is None for one in kept)
