"""What wires withstand and fuses let through; the equation itself is tested with its published values."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.fault_heating import let_through_of, withstand_of
from tests.analysis.small_aircraft import small


def zoned(celsius: str, *changes: tuple[str, str]) -> Facts:
    """The wire of the heater in a zone that is as hot as that."""
    air = ("ambient: 20 C", f"ambient: 20 C, zones: {{cabin: {{hottest: {celsius}}}}}")
    return small(air, ("insulation: 150 C,", "insulation: 150 C, zone: cabin,"), *changes)


def test_a_hotter_start_leaves_less_to_withstand() -> None:
    cold, hot = (zoned(at) for at in ("20 C", "90 C"))
    ease = [withstand_of(facts.design, "H2").seconds(500.0) for facts in (cold, hot)]
    assert ease[0] > ease[1] > 0


@pytest.mark.parametrize(
    ("old", "new", "needs"),
    [
        ("gauge: 16 AWG, insulation: 150 C,", "insulation: 150 C,", "gauge"),
        (" insulation: 150 C,", "", "insulation"),
        ("insulation: 150 C,", "insulation: 150 C, conductor: aluminium,", "aluminium"),
    ],
)
def test_what_is_missing_is_named(old: str, new: str, needs: str) -> None:
    with pytest.raises(NotAssessable, match=needs):
        withstand_of(small((old, new)).design, "H2")


def test_a_fuse_without_its_construction_lets_nothing_be_said() -> None:
    """The heater behind a fuse in place of its breaker."""
    kind = "heater-breaker: {kind: breaker, rating: 15 A, resistance: 0.005 ohm, reach: in-flight}"
    known, unknown = (
        zoned("40 C", (kind, f"heater-breaker: {{kind: fuse, rating: 15 A, resistance: 0.005 ohm{more}}}"))
        for more in (", construction: blade", "")
    )
    (fault,) = known.protection.faults("wires/H2")
    found = let_through_of(known.design, fault)
    assert found.through is not None and found.through.i2t_a2s < found.withstand.i2t_a2s
    with pytest.raises(NotAssessable, match="construction"):
        let_through_of(unknown.design, unknown.protection.faults("wires/H2")[0])
