"""Channels of functions that are no loads: sources, buses, what needs no electricity."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.facts import Facts
from reviewer.model.channels import MechanicalName
from reviewer.network.graph import bare
from reviewer.network.network_build import build_network
from reviewer.reading import read_text
from reviewer.session import review_facts
from tests.oracle.awkward import awkward

WITH_BOOST = {
    "state": "cruise",
    "watch": ["boost-pump"],
    "expect": "Fuel pressure rises.",
    "proves": ["boost-pump", "pump-fuse", "W3", "W4", "W5"],
}
WITHOUT_BOOST = {
    "state": "boost-off",
    "watch": ["fuel"],
    "expect": "The engine runs on its own pump.",
    "proves": ["engine pump"],
}
BOOST_OFF = {"use": "ground", "engine": "running", "switches": {"master": "up"}, "pulled": ["pump-fuse"]}


def drawing(**changes: object) -> dict:
    """Two permanent-magnet alternators on one bus, each through a fuse of its own, and a fuel pump beside an
    engine-driven one."""
    ends = [
        "battery.positive contactor.line", "contactor.load limiter.line", "limiter.load main-bus.a",
        "main-bus.b pump-fuse.line", "pump-fuse.load boost-pump.supply", "boost-pump.return battery.negative",
        "battery.positive contactor.plus", "contactor.minus master.a", "master.b battery.negative",
        "alternator-1.output fuse-1.line", "alternator-2.output fuse-2.line", "fuse-1.load main-bus.c",
        "fuse-2.load main-bus.d", "alternator-1.ground battery.negative", "alternator-2.ground battery.negative",
    ]  # fmt: skip
    machine = {"kind": "alternator", "excitation": "permanent-magnet", "rating": "20 A"}
    data = {
        "format": 1,
        "aircraft": {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
        "parts": {
            "battery": {"kind": "battery"},
            "contactor": {
                "kind": "contactor",
                "coil": ["plus", "minus"],
                "contacts": {"main": {"kind": "make", "joins": ["line", "load"]}},
            },
            "master": {"kind": "switch", "positions": {"down": [], "up": [["a", "b"]]}},
            "main-bus": {"kind": "bus"},
            "limiter": {"kind": "limiter", "rating": "60 A"},
            "alternator-1": machine,
            "alternator-2": machine,
            "fuse-1": {"kind": "fuse", "rating": "30 A"},
            "fuse-2": {"kind": "fuse", "rating": "30 A"},
            "pump-fuse": {"kind": "fuse", "rating": "5 A"},
            "boost-pump": {"kind": "load", "type": "motor"},
        },
        "wires": {f"W{i}": dict(zip(("from", "to"), e.split(), strict=True)) for i, e in enumerate(ends)},
        "functions": {
            "generation": {"any": 1, "of": ["alternator-1", "alternator-2"], "loss": "hazardous"},
            "fuel": {"any": 1, "of": ["boost-pump", {"mechanical": "engine pump"}], "loss": "catastrophic"},
        },
        "operation": {"normal": "cruise", "states": {"cruise": {"engine": "running", "switches": {"master": "up"}}}},
        "watch": {"checks": {}},
    }  # fmt: skip
    for place, value in changes.items():
        *way, last = place.split("/")
        owner: dict = data
        for step in way:
            owner = owner[step]
        owner[last] = value
    return data


def facts_of(**changes: object) -> Facts:
    return Facts(read_text(json.dumps(drawing(**changes)), "bench.yaml"))


def losing(facts: Facts, function: str) -> set[str]:
    answer = facts.states.answer("cruise")
    return {bare(f.element) for f in answer.losing(function)}


def test_two_alternators_are_lost_by_the_bus_that_both_feed_and_by_no_lead_of_one() -> None:
    lost = losing(facts_of(), "generation")
    assert "main-bus" in lost
    assert not lost & {"W9", "W10", "W13", "W14", "alternator-1", "alternator-2"}
    shared = facts_of(**{"wires/W10": {"from": "alternator-2.output", "to": "alternator-1.output"}})
    assert {"fuse-1", "W11"} <= losing(shared, "generation")


def test_an_alternator_that_can_power_nothing_does_not_count() -> None:
    """Its output is joined to its fuse alone: a short of the fuse's far wire loses nothing that was there."""
    cut = facts_of(**{"wires/W12": {"from": "fuse-2.load", "to": "fuse-2.line"}})
    assert {"alternator-1", "W9", "fuse-1"} <= losing(cut, "generation")


def test_a_bus_is_lost_by_what_leaves_it_dead() -> None:
    function = {"any": 1, "of": ["main-bus"], "loss": "major"}
    lost = losing(facts_of(**{"functions/supply": function}), "supply")
    assert "main-bus" in lost and not lost & {"battery", "contactor", "alternator-1", "W4"}


def test_what_needs_no_electricity_lives_while_the_engine_runs_and_fails_alone() -> None:
    facts = facts_of(
        **{"operation/states/parked": {"use": "ground", "engine": "stopped", "switches": {"master": "up"}}}
    )
    answer = facts.states.answer("cruise")
    assert answer.healthy.powered["parts/engine pump"] and not losing(facts, "fuel")
    assert not facts.states.answer("parked").healthy.powered["parts/engine pump"]
    alone = facts_of(
        **{"functions/fuel": {"any": 2, "of": ["boost-pump", {"mechanical": "engine pump"}], "loss": "major"}}
    )
    assert {"engine pump", "boost-pump", "pump-fuse"} <= losing(alone, "fuel")


@pytest.mark.parametrize(
    ("checks", "latent"),
    [
        ({"bus": {**WITH_BOOST, "watch": ["main-bus"], "proves": []}}, True),
        ({"boost": WITH_BOOST, "own": WITHOUT_BOOST}, False),
    ],
    ids=["neither pump is tried by itself", "each pump is tried by itself"],
)
def test_of_two_pumps_that_run_together_each_must_be_tried_by_itself(checks: dict, latent: bool) -> None:
    """With both running, a dead one does not show."""
    states = {"watch/checks": checks, "operation/states/boost-off": BOOST_OFF}
    review = review_facts(facts_of(**states), Path("x"))
    rule = "latent-failures-cause-no-loss-with-one-more-failure"
    found = next(a for a in review.assessments if a.rule == rule)
    pumps = {"parts/engine pump", "parts/boost-pump"}
    assert bool({f.subject for f in found.findings} & pumps) is latent


def test_the_class_of_a_loss_is_the_worst_that_the_uses_of_the_aircraft_allow() -> None:
    loss = {"day": "minor", "night": "hazardous", "ifr": "catastrophic"}
    for uses, word in (
        (["day"], "minor"),
        (["day", "night"], "hazardous"),
        (["ifr"], "catastrophic"),
        ([], "catastrophic"),
    ):
        facts = facts_of(**{"functions/fuel/loss": loss, "aircraft/uses": uses})
        assert facts.design.functions["fuel"].loss == word
        review = review_facts(facts, Path("x"))
        said = next(limit for limit in review.limits if "Loss of fuel" in limit)
        assert (
            "minor by day, hazardous at night, catastrophic under IFR" in said and f"counts as {word}" in said
        )


def test_for_a_use_without_a_class_all_of_them_count() -> None:
    for loss, uses, word in (
        ({"day": "minor", "night": "major"}, ["day", "ifr"], "major"),
        ({"night": "major"}, ["day"], "major"),
        ({"day": "minor", "night": "major"}, ["day"], "minor"),
    ):
        facts = facts_of(**{"functions/fuel/loss": loss, "aircraft/uses": uses})
        assert facts.design.functions["fuel"].loss == word


def test_channels_are_read_as_names() -> None:
    design = facts_of().as_written
    assert design.functions["fuel"].of == ("boost-pump", "engine pump")
    assert isinstance(design.functions["fuel"].of[1], MechanicalName)
    assert design.function_tree.loads["fuel"] == ("boost-pump",)
    assert design.function_tree.others["generation"] == ("alternator-1", "alternator-2")


@pytest.mark.parametrize("seed", [1, 9])
def test_of_no_lanes_a_source_that_a_function_rests_on_has_no_answer_and_breaks_nothing(seed: int) -> None:
    design = awkward(seed)
    network = build_network(design)
    resting = {c.element for c in network.channels}
    assert resting & {s.element for s in network.sources}
    nothing = conduct_states(network, [])
    assert nothing.width == 0 and not any(nothing.powered[element] for element in resting)
