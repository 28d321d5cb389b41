"""Ground shift: rises against sums done by hand, and against the solver of operating points."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding import ground_shift
from reviewer.analysis.grounding.ground_shift import ReturnSide, _carries_its_share
from reviewer.network.graph import bare
from reviewer.reading import read_text
from tests.analysis.grounding.two_straps import RING, TEXT
from tests.edits import edited
from tests.rule_cases import design, text
from tests.rule_cases import facts as case_facts


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_text(TEXT, "bench.yaml"))


def test_what_a_return_rises_by_when_a_lead_opens_is_the_current_times_what_is_left(facts: Facts) -> None:
    """The estimate and the failure solved in full, by Ohm's law.

    The heater is a resistance of 1.4 ohm behind about 14.3 V.
    """
    rise = facts.grounds.rise("N6")
    point = facts.points.operating_point("cruise", None, (ground_shift.Failure("wires/N6", "open"),))
    amps = point.taken["parts/heater"]
    left = 0.005 + RING + 0.150 + 2 * RING
    assert rise.user == "heater"
    assert rise.volts > rise.most
    # the nearest negative is that of the battery: what charges it drops a little in N1
    assert rise.volts == pytest.approx(amps * left, rel=0.02)


def test_a_lead_beside_a_good_one_is_passed_without_solving_the_failure(facts: Facts) -> None:
    rise = ground_shift.rise(
        facts.network,
        facts.grounds.return_ohms,
        "wires/N7",
        facts.points.point(facts.points.flown[0]),
        lambda case: pytest.fail("solved"),
    )
    assert rise.volts < 0.2


@pytest.mark.parametrize(("ohms", "wanted"), [(2.9, True), (3.1, False)])
def test_a_lead_takes_a_share_where_the_way_through_it_is_up_to_four_times_the_least(
    ohms: float, wanted: bool
) -> None:
    """Node 0 to ground, node 1: 1 ohm of its own, or 0.5 ohm, the lead between nodes 2 and 3, and 0.5 ohm."""
    ends = {"own": (0, 1), "there": (0, 2), "lead": (2, 3), "back": (3, 1)}
    links = [SimpleNamespace(element=name, a=a, b=b) for name, (a, b) in ends.items()]
    around = {
        n: [(i, k.b if k.a == n else k.a, "") for i, k in enumerate(links) if n in (k.a, k.b)]
        for n in range(4)
    }
    side = ReturnSide({0: 1.0, 1: 0.5, 2: ohms, 3: 0.5}, {})
    network = SimpleNamespace(links=links, around=around)
    assert _carries_its_share(network, side, "lead", 2, [0], [1]) is wanted  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("trap", "leads"),
    [
        (
            "a diode as second ground of the sender, by which the engine would return, is a path",
            {"wires/Y2": "W10 Y4 W52", "wires/Y3": "W10 Y4 W52"},
        ),
        ("a shield of a power wire that is grounded at both ends", {"wires/W51": "W10"}),
    ],
)
def test_what_may_open_beside_a_signal_wire_is_neither_one_of_those_nor_the_wire_itself(
    trap: str, leads: dict[str, str]
) -> None:
    made = case_facts(text(design("open-grounds-put-no-current-through-signal-wires", trap)))
    found = {one.wire: " ".join(map(bare, one.leads)) for one in made.grounds.suspects}
    assert found == leads


@pytest.mark.parametrize(("wire", "asked"), [("W52", {"wires/W52": "`gauge`"}), ("W51", {})])
def test_a_size_is_asked_for_where_the_wire_could_open_beside_the_signal_wire(
    wire: str, asked: dict[str, str]
) -> None:
    """A wire of the ring with nothing said of its size, and one of a load elsewhere."""
    data = design("open-grounds-put-no-current-through-signal-wires", "unmet")
    made = case_facts(text(edited(data, {"remove": [f"wires/{wire}/gauge"]})))
    (suspect,) = made.grounds.suspects
    assert dict(made.grounds.stray(suspect).missing) == asked
