"""What a failure does: by hand on the base design, and against the engine's single failures and pairs on the examples."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import BY_OHMS, MODE_KEYS, OPEN, SEVERED, SHORT, mode_key
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import function_masks
from reviewer.analysis.cut_sets.late_pairs import late_pairs
from reviewer.analysis.facts import Facts
from reviewer.model.review import HazardClass
from reviewer.questions.effects import Effect, effects_of, next_failures_after
from reviewer.questions.fail import fail_of
from reviewer.questions.naming import NoAnswer, elements_named, modes_of
from reviewer.reading import read_design, read_text
from reviewer.reports.effects.table import effects_json
from reviewer.reports.effects.words import local_effect
from tests.analysis.second_alternator import second_alternator
from tests.analysis.small_designs import SmallDesign
from tests.edits import edited
from tests.rule_cases import parsed, text

ROOT = Path(__file__).parents[2]
BASE = ROOT / "tests" / "rules" / "bases" / "bench.yaml"
EXAMPLES = sorted((ROOT / "examples").glob("*tourer.design.yaml"))


@pytest.fixture(scope="module")
def base() -> Facts:
    return Facts(read_design(BASE))


def only(facts: Facts, name: str, mode: str, state: str | None = None, at: str = "") -> Effect:
    found = [e for e in fail_of(facts, name, mode, state).effects if not at or at in e.words]
    assert len(found) == 1, [e.words for e in found]
    return found[0]


def test_an_open_fuse_takes_its_load_and_leaves_the_other_channel(base: Facts) -> None:
    effect = only(base, "left-fuse", "open")
    assert effect.loads == ("parts/left-ignition",)
    assert (effect.sources, effect.protection, effect.dropped_out, effect.buses, effect.functions) == (
        (),
        (),
        (),
        (),
        (),
    )
    (left,) = effect.remaining
    assert (left.function, left.channels, left.of, left.needed, left.before) == (
        "ignition",
        ("right-ignition",),
        ("left-ignition", "right-ignition"),
        1,
        2,
    )
    opens = {f.element.partition("/")[2] for f in left.next_failures if f.mode == OPEN}
    # by hand: the right way alone; the reserve's own lead and return are doubled by the charging line and the bond
    assert opens == {
        "right-fuse",
        "right-switch",
        "right-ignition",
        "reserve-ground",
        "W30",
        "W31",
        "W32",
        "W33",
    }


def test_relays_that_do_not_settle_are_told_of_the_failure_that_starts_them() -> None:
    """The first relay holds a buzzer off; without its coil current the buzzer's own contact opens its coil, again and again."""
    made = SmallDesign()
    contact = {"feed": {"kind": "break", "joins": ["line", "load"]}}
    for name in ("holder", "buzzer"):
        made.add(name, "relay", coil=["plus", "minus"], contacts=contact)
        made.wire(f"{name}.minus", "ground")
    made.run("bus", [made.protector("holder-breaker")], "holder.plus")
    made.run("bus", [("holder.line", "holder.load"), ("buzzer.line", "buzzer.load")], "buzzer.plus")
    made.load("lamp")
    table = effects_of(made.facts())
    opens = {e.failure.element: e.unsettled for e in table.effects if e.failure.mode == OPEN}
    assert opens["parts/holder-breaker"] and not opens["parts/lamp"] and not opens["parts/buzzer"]


def test_a_short_is_cleared_by_the_protectors_round_it(base: Facts) -> None:
    load_side = only(base, "left-fuse", "shorted-to-ground", at="left-fuse.load")
    assert (load_side.at, load_side.protection, load_side.loads) == (
        "left-fuse.load",
        ("parts/left-fuse",),
        ("parts/left-ignition",),
    )
    bus = only(base, "main-bus", "shorted-to-ground")
    # the charging line is one way, so nothing feeds the bus through it; the field and audio breakers have nothing behind them
    assert bus.protection == ("parts/bus-limiter",)
    assert (
        bus.buses == ("parts/main-bus",)
        and bus.sources == ("parts/alternator",)
        and bus.loads == ("parts/audio-panel",)
    )
    post = only(base, "main-battery", "shorted-to-ground")
    # the alternator feeds into the short through the bus's limiter, which opens, and lives on with the bus
    assert (post.sources, post.protection) == (("parts/main-battery",), ("parts/bus-limiter",))
    assert post.dropped_out == ("parts/main-contactor",) and post.buses == ()


def test_a_source_without_its_return_or_its_only_load_feeds_nothing(base: Facts) -> None:
    for name, source in (("W9", "parts/alternator"), ("right-fuse", "parts/reserve-battery")):
        effect = only(base, name, "open")
        assert (effect.sources, effect.unloaded) == ((), (source,))


def test_batteries_that_no_alternator_charges_any_more_are_named(base: Facts) -> None:
    main, reserve = "parts/main-battery", "parts/reserve-battery"
    for name in ("charge-diode", "charge-breaker", "charge-fuse", "W40", "W35"):
        effect = only(base, name, "open")
        assert effect.uncharged == (reserve,) and not effect.nothing
        assert local_effect(effect) == "no longer charged: reserve-battery"
    rows = json.loads(effects_json("bench.yaml", base.design, effects_of(base, "cruise")))["failures"]
    (row,) = (r for r in rows if (r["element"], r["mode"]) == ("parts/charge-diode", "open"))
    assert row["local_effect"]["batteries_uncharged"] == [reserve]
    # the alternator's return, its field, and the feeder between the contactor and the bus
    assert only(base, "W9", "open").uncharged == (main, reserve)
    assert only(base, "W11", "open").uncharged == (main, reserve)
    assert only(base, "W4", "open").uncharged == (main,)
    assert only(base, "main-contactor", "open").uncharged == (main,)
    # a battery that fails itself, or is lost, is not one that is not charged
    for mode in ("open", "shorted-to-ground"):
        assert main not in only(base, "main-battery", mode).uncharged
    for name in ("left-fuse", "audio-breaker"):
        assert only(base, name, "open").uncharged == ()
    # nothing charges them with the engine stopped
    assert only(base, "W35", "open", "parked").uncharged == ()


def test_a_battery_that_another_line_charges_is_not_named() -> None:
    second = {
        "parts:": "  second-breaker: {kind: breaker, rating: 5 A}\n"
        "  second-diode: {kind: diode, duty: isolation, protects: reserve-battery, rating: 25 A}",
        "wires:": "  W46: {from: main-bus.second, to: second-breaker.line, gauge: 18 AWG, length: 0.1 m}\n"
        "  W47: {from: second-breaker.load, to: second-diode.anode, gauge: 18 AWG, length: 0.8 m}\n"
        "  W48: {from: second-diode.cathode, to: reserve-battery.positive, gauge: 18 AWG, length: 0.8 m}",
    }
    text = BASE.read_text(encoding="utf-8")
    for heading, lines in second.items():
        text = text.replace(f"\n{heading}\n", f"\n{heading}\n{lines}\n")
    facts = Facts(read_text(text, "twice-charged.yaml"))
    for name in ("charge-diode", "charge-breaker", "second-diode", "W48"):
        effect = only(facts, name, "open")
        assert effect.uncharged == () and local_effect(effect) == "none"
    # both lines return through the bond
    assert only(facts, "W35", "open").uncharged == ("parts/reserve-battery",)


def test_the_solver_charges_the_batteries_that_are_not_named_and_no_others(base: Facts) -> None:
    batteries = [s.element for s in base.network.sources if s.kind == "battery"]
    healthy = base.points.operating_point("cruise").given
    assert all(healthy[battery] < 0 for battery in batteries)
    named = 0
    for effect in effects_of(base, "cruise").effects:
        given = base.points.operating_point("cruise", case=(effect.failure,)).given
        for battery in set(batteries) - {*effect.sources, effect.failure.element}:
            assert (given[battery] >= 0) == (battery in effect.uncharged), (effect.words, battery)
        named += len(effect.uncharged)
    assert named > 20


def test_contacts_that_stick_and_switches_that_stay(base: Facts) -> None:
    assert {m for m in MODE_KEYS if only_or_none(base, "main-contactor", m)} == {
        "open",
        "failed-open",
        "welded-closed",
    }
    rest = only(base, "main-contactor", "failed-open")
    assert (
        rest.dropped_out == ()
        and rest.loads == ()
        and rest.remaining[0].channels == ("left-ignition", "right-ignition")
    )
    held = only(base, "main-contactor", "welded-closed", "parked")
    assert held.buses == () and held.newly_powered == ("parts/audio-panel",)
    stays = only(base, "left-switch", "stays")
    assert (stays.words, stays.loads) == ("stays at down", ("parts/left-ignition",))


def only_or_none(facts: Facts, name: str, mode: str) -> bool:
    try:
        return len(fail_of(facts, name, mode).effects) == 1
    except NoAnswer:
        return False


def test_a_bundle_is_severed_as_a_whole() -> None:
    text = re.sub(r"(W[23]1: .*bundle: )\w+", r"\1both", BASE.read_text(encoding="utf-8"))
    facts = Facts(read_text(text, "bundled.yaml"))
    effect = only(facts, "both", "severed")
    assert (
        effect.functions == (("ignition", HazardClass.CATASTROPHIC),)
        and effect.hazard is HazardClass.CATASTROPHIC
    )
    assert effect.failure.mode == SEVERED and effect.remaining == ()
    assert elements_named(facts.network, "bundles/both") == elements_named(facts.network, "both")


def test_a_short_where_nothing_is_fed_is_said_to_change_nothing(base: Facts) -> None:
    answer = fail_of(base, "left-ignition", "shorted-to-ground", "parked")
    assert answer.effects == () and answer.untried == (
        "left-ignition is not energised in parked; a short to ground there has no effect.",
    )


@pytest.mark.parametrize(
    "path",
    [BASE, *(pytest.param(path, marks=pytest.mark.long) for path in EXAMPLES)],
    ids=lambda path: path.name,
)
def test_the_table_says_of_every_failure_what_the_engine_says(path: Path) -> None:
    facts = Facts(read_design(path))
    answer, table = facts.states.answer("cruise"), effects_of(facts)
    rows = {e.failure: e for e in table.effects}
    assert len(rows) == len(table.effects) and set(answer.failures) <= set(rows)
    pairs = facts.failures.pair_losses("cruise")
    names = [f for f in answer.design.functions if answer.alive[f]]
    late = late_pairs(answer, names, answer.failures, facts.states.late_failures("cruise"))
    for i, failure in enumerate(answer.failures):
        row = rows[failure]
        lost = {n for n, mask in answer.functions.items() if answer.alive[n] and not mask >> i & 1}
        assert {n for n, _ in row.functions} == lost
        assert [h for _, h in row.functions] == sorted((h for _, h in row.functions), reverse=True)
        dead = {e for e, m in answer.failed.powered.items() if answer.healthy.powered[e] and not m >> i & 1}
        assert set(row.loads) == dead
        for left in row.remaining:
            assert left.function not in lost
            near = set(bits(pairs.rows[left.function][i]))
            assert len(left.next_failures) == len(near | set(late[left.function][i]))
    stuck = [e for e in table.effects if e.failure not in set(answer.failures)]
    assert {e.failure.mode for e in stuck} >= {"stays", "contacts failed open", "contacts welded closed"}


def test_what_a_second_failure_takes_is_the_same_solved_alone_or_with_all(base: Facts) -> None:
    answer = base.states.answer("cruise")
    alone = next_failures_after(base, answer, answer.failures)
    assert {n: tuple(rows) for n, rows in alone.items()} == dict(base.failures.pair_losses("cruise").rows)
    stuck = [
        e.failure for e in fail_of(base, "main-contactor").effects if e.failure.mode == "contacts failed open"
    ]
    (mask,) = next_failures_after(base, answer, stuck)["ignition"]
    cases = [(stuck[0], other) for other in answer.failures]
    both = function_masks(
        base.design, conduct(base.network, answer.state, cases, answer.healthy).powered, (1 << len(cases)) - 1
    )["ignition"]
    assert mask == ~both & answer.functions["ignition"]


#: more than the main battery gives alone for long
HEATER = {
    "parts/heater": {"kind": "load", "type": "heater", "current": "20 A"},
    "wires/W93": {"from": "main-bus.heater", "to": "heater.supply", "gauge": "10 AWG", "length": "1 m"},
    "wires/W94": {"from": "heater.return", "to": "main-ground.heater", "gauge": "10 AWG", "length": "1 m"},
}


@pytest.mark.parametrize(("rating", "overloaded"), [("15 A", ("parts/second",)), ("60 A", ())])
def test_the_alternator_that_is_left_with_too_much_is_overloaded(
    rating: str, overloaded: tuple[str, ...]
) -> None:
    edits = edited(parsed(BASE), {**second_alternator(rating, "14.2 V"), **HEATER})
    facts = Facts(read_text(text(edits), "design.yaml"))
    effect = only(facts, "alternator", "open")
    assert effect.overloaded == overloaded and ("second is overloaded" in local_effect(effect)) == bool(
        overloaded
    )
    point = facts.points.operating_point("cruise", case=(effect.failure,))
    assert (point.given["parts/second"] > 0.999 * float(rating[:2])) == bool(overloaded)
    # with nothing failed the first one holds the bus at 14.4 V, and the second gives nothing
    assert only(facts, "left-fuse", "open").overloaded == ()


@pytest.mark.parametrize(("most", "overloaded"), [("20 A", ("parts/main-battery",)), ("40 A", ())])
def test_a_battery_that_gives_more_than_it_may_is_overloaded(most: str, overloaded: tuple[str, ...]) -> None:
    edits = edited(parsed(BASE), {**HEATER, "parts/main-battery/max-discharge-current": most})
    facts = Facts(read_text(text(edits), "design.yaml"))
    effect = only(facts, "alternator", "open")
    assert effect.overloaded == overloaded
    given = facts.points.operating_point("cruise", case=(effect.failure,)).given["parts/main-battery"]
    assert (given > float(most[:2])) == bool(overloaded)
    (row,) = [
        row
        for row in json.loads(effects_json("design.yaml", facts.as_written, effects_of(facts)))["failures"]
        if row["element"] == "parts/alternator" and row["mode"] == "open"
    ]
    assert row["local_effect"]["sources_overloaded"] == list(overloaded)


def test_every_way_in_which_anything_can_fail_is_answered(base: Facts) -> None:
    for element in (*base.network.elements, *(f"bundles/{b}" for b in base.network.bundles)):
        for mode in modes_of(base.design, element):
            answer = fail_of(base, element, mode_key(base.network, element, mode))
            assert bool(answer.degraded) is (mode in BY_OHMS)
            assert bool(answer.effects or answer.untried) is (mode not in BY_OHMS)
            assert all(one.mode == mode for one in answer.degraded)
            assert all(e.failure.mode == mode for e in answer.effects)
            assert not answer.untried or mode == SHORT


def test_a_unit_that_loses_its_feed_runs_on_the_battery_inside_it(base: Facts) -> None:
    """Its channel goes on; one that is itself shorted does not."""
    edits = {"parts/left-ignition/internal-battery": "30 min"}
    facts = Facts(read_text(text(edited(parsed(BASE), edits)), "design.yaml"))
    effect = only(facts, "left-fuse", "open")
    assert effect.loads == ("parts/left-ignition",)
    said = "left-ignition loses power; left-ignition runs on its own battery for 30 min"
    assert said in local_effect(effect) and "own battery" not in local_effect(only(base, "left-fuse", "open"))
    assert effect.remaining[0].channels == ("left-ignition", "right-ignition")
    assert "own battery" not in local_effect(only(facts, "left-ignition", "open"))
