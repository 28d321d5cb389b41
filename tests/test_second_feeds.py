"""Where a trial gives a load a feed of its own: at which wire, behind what it shares."""

from __future__ import annotations

import pytest

from reviewer.rulebook.second_feeds import second_feed
from tests.analysis.small_designs import SmallDesign


def two_loads(*, dedicated: tuple[str, ...] = ()) -> SmallDesign:
    """Two loads on one bus, each behind its breaker, and a second battery on the same ground."""
    made = SmallDesign()
    made.second_battery(dedicated_to=list(dedicated)) if dedicated else made.second_battery()
    for name in ("left", "right"):
        made.load(name, made.protector(f"{name}-breaker"))
    return made


@pytest.mark.parametrize(("dedicated", "moved"), [((), "left"), (("right",), "right")])
def test_of_two_loads_one_is_moved_at_the_first_wire_that_it_has_alone(
    dedicated: tuple[str, ...], moved: str
) -> None:
    """That wire leaves the bus for the new breaker; the breaker that is there stays behind it."""
    facts = two_loads(dedicated=dedicated).facts()
    change = second_feed(["left", "right"], "cruise", facts)
    assert change is not None and change.sources == {"parts/second"}
    design = change.made_in(facts.design)
    (alone,) = (w for w in facts.design.wires.values() if w.to == f"{moved}-breaker.line")
    (now,) = (w for w in design.wires.values() if w.to == f"{moved}-breaker.line")
    assert alone.from_.startswith("bus.") and now.from_ == f"{moved} second breaker.load"
    other = "right" if moved == "left" else "left"
    assert [w for w in design.wires.values() if w.to.startswith(f"{other}")] == [
        w for w in facts.design.wires.values() if w.to.startswith(f"{other}")
    ]


def test_a_load_alone_keeps_its_feed_and_has_another_one_besides() -> None:
    made = SmallDesign()
    made.second_battery()
    made.load("left", made.protector("left-breaker"))
    facts = made.facts()
    change = second_feed(["left"], "cruise", facts)
    assert change is not None
    design = change.made_in(facts.design)
    assert design.parts["left"].supplies == ("supply", "supply-2")
    assert {w.to for w in design.wires.values()} >= {"left.supply", "left.supply-2"}
