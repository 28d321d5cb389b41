"""Combinations of the switches that can matter."""

from __future__ import annotations

from reviewer.analysis.conduction.switch_combinations import Setting, conduct_grid, grid_of, held_momentary
from reviewer.analysis.facts import Facts
from reviewer.network.graph import Gate, bare
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.generator import realistic
from tests.oracle.sound import sound


def two_switched_lamps() -> SmallDesign:
    made = SmallDesign()
    made.load("left", made.switch("left-switch"))
    made.load("right", made.switch("right-switch"))
    return made


def test_only_switches_on_a_path_between_the_nodes_can_matter() -> None:
    facts = two_switched_lamps().facts()
    nodes = [facts.network.node(n) for n in ("battery.positive", "left.supply")]
    assert facts.states.cones.switches(nodes) == ("left-switch",)


def test_every_combination_is_solved_side_by_side() -> None:
    facts = two_switched_lamps().facts()
    grid = grid_of(facts.design, cruise(facts).state, ["left-switch", "right-switch"])
    assert grid is not None and grid.width == 4 and grid.left_out == ()
    powered = conduct_grid(facts.network, grid).powered
    on = {lane: dict(grid.combination(lane).switches) for lane in range(4)}
    assert [powered["parts/left"] >> lane & 1 for lane in on] == [
        int(at["left-switch"] == "on") for at in on.values()
    ]


def test_an_excluded_combination_is_not_legal() -> None:
    made = two_switched_lamps()
    made.more["operation"] = {
        "excluded": [{"switches": {"left-switch": "off", "right-switch": "off"}, "because": "One bar."}]
    }
    facts = made.facts()
    grid = grid_of(facts.design, cruise(facts).state, ["left-switch", "right-switch"])
    assert grid is not None and grid.legal.bit_count() == 3
    alone = grid_of(facts.design, cruise(facts).state, ["left-switch"])
    assert alone is not None and alone.legal.bit_count() == 2  # the other switch can be moved


def test_the_nearest_combination_moves_as_few_switches_as_possible() -> None:
    facts = two_switched_lamps().facts()
    grid = grid_of(facts.design, cruise(facts).state, ["left-switch", "right-switch"])
    assert grid is not None
    dark = 0b1111 & ~conduct_grid(facts.network, grid).powered["parts/left"]
    assert grid.combination(grid.nearest(dark)).moved == (("left-switch", "off"),)


def test_in_transit_contacts_are_joined_or_not_by_the_make_of_the_switch() -> None:
    for transfer, settings in (
        ("break-before-make", [Setting(("off", "on"), joined=False)]),
        ("make-before-break", [Setting(("off", "on"))]),
        ("unknown", [Setting(("off", "on")), Setting(("off", "on"), joined=False)]),
    ):
        made = SmallDesign()
        made.add("switch", "switch", transfer=transfer, positions={"off": [], "on": [["line", "load"]]})
        made.load("lamp", ("switch.line", "switch.load"))
        facts = made.facts()
        grid = grid_of(facts.design, cruise(facts).state, ["switch"], moving="switch")
        assert grid is not None and list(grid.settings(0)) == settings
        told = {grid.combination(lane).transit for lane in range(grid.width)}
        assert told == {"switch moves from off to on"}


def test_a_switch_at_a_position_is_in_no_transit() -> None:
    facts = two_switched_lamps().facts()
    grid = grid_of(facts.design, cruise(facts).state, ["left-switch", "right-switch"])
    assert grid is not None and {grid.combination(lane).transit for lane in range(grid.width)} == {""}


def test_a_position_that_springs_back_is_marked() -> None:
    made = SmallDesign()
    made.add("switch", "switch", momentary=["on"], positions={"off": [], "on": [["line", "load"]]})
    made.load("lamp", ("switch.line", "switch.load"))
    facts = made.facts()
    grid = grid_of(facts.design, cruise(facts).state, ["switch"])
    assert grid is not None
    assert held_momentary(facts.design, grid) == conduct_grid(facts.network, grid).powered["parts/lamp"]


def test_the_switches_of_a_cone_are_those_on_its_links() -> None:
    for design in (realistic(110, 1), realistic(110, 2), sound(150, 1)):
        facts = Facts(design)
        network, cones, links = facts.network, facts.states.cones, facts.network.links
        for user in (*network.consumers, *network.coils):
            nodes = {*user.plus, *user.minus, *(s.positive for s in network.sources)}
            named = {bare(links[i].element) for i in cones.links(nodes) if links[i].positions}
            assert cones.switches(nodes) == tuple(n for n in facts.design.parts if n in named)
            gates: dict[str, set[Gate]] = {}
            for i in cones.tree.between(nodes):
                gates.setdefault(links[i].element, set()).add(links[i].gate)
            both = {e for e, own in gates.items() if own >= {Gate.ENERGISED, Gate.DE_ENERGISED}}
            assert cones.changeover_relays(nodes) == both
            assert cones.links(nodes) >= cones.tree.between(nodes)
            for i in cones.links(nodes):
                if links[i].gate in (Gate.ENERGISED, Gate.DE_ENERGISED):
                    acting = {*cones.moving[links[i].element], *cones.ends}
                    assert cones.tree.between(acting) <= cones.links(nodes)
