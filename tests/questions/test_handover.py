"""What the page and the folder ask: each answer against the engine, and what is missing is said."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.battery_charging import charged_batteries
from reviewer.questions.budget import TimelineEvent, budget_of
from reviewer.questions.capacity_tests import capacity_tests, printed_endurance
from reviewer.questions.discharge_curves import discharge_curves
from reviewer.questions.effects import effects_of
from reviewer.questions.latent_failures import latent_failures
from reviewer.questions.load_analysis import phase_currents
from reviewer.questions.overvoltage_exposure import overvoltage_exposures
from reviewer.questions.powered_equipment import powered_states
from reviewer.questions.source_briefs import design_brief
from reviewer.questions.state_points import state_points
from reviewer.questions.wiring_schedule import wiring_schedule
from reviewer.reading import read_design, read_text
from reviewer.reports.handoff.schedules.endurance_tables import _functions as function_rows
from reviewer.reports.handoff.schedules.wire_summary import wire_summary
from reviewer.reports.handoff.schedules.wiring_tables import wire_list
from reviewer.reports.page.brief import _function as brief_row
from reviewer.reports.page.brief import _source as source_rows
from reviewer.reports.page.brief import _times as source_times
from tests.analysis.small_designs import SmallDesign

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
BARE = (
    "format: 1\naircraft: {name: Bare, nominal: 14 V, airframe: metal, stage: concept}\n"
    "parts: {battery: {kind: battery}}\nwires: {}\n"
)


@pytest.fixture(scope="module")
def tourer() -> Facts:
    return Facts(read_design(EXAMPLES / "tourer.design.yaml"))


@pytest.fixture(scope="module")
def faulted() -> Facts:
    return Facts(read_design(EXAMPLES / "faulted-tourer.design.yaml"))


@pytest.fixture(scope="module")
def sketch() -> Facts:
    return Facts(read_design(EXAMPLES / "sketch.design.yaml"))


def test_a_file_without_an_operation_has_no_answer_by_state() -> None:
    facts = Facts(read_text(BARE, "x.yaml"))
    assert powered_states(facts) == phase_currents(facts) == charged_batteries(facts) == ()
    assert overvoltage_exposures(facts) == () and latent_failures(facts) is None
    assert not state_points(facts).points and not state_points(facts).unsolved
    assert wiring_schedule(facts).wires == {} and discharge_curves(None) == ()


def test_a_load_is_powered_by_sources_exactly_where_the_engine_says_that_it_works(faulted: Facts) -> None:
    states = powered_states(faulted)
    assert [s.state.name for s in states] == list(faulted.as_written.operation.states)
    for state in states:
        healthy = faulted.states.answer(state.state.name).healthy
        for name, supply in state.loads.items():
            assert bool(supply.sources) == bool(healthy.powered[f"parts/{name}"])
            assert not (supply.sources and supply.no_return)
        assert state.coils == {bare(e): bool(m) for e, m in healthy.energised.items()}


def test_the_currents_of_a_phase_balance(tourer: Facts) -> None:
    phases = phase_currents(tourer)
    assert [f.phase for f in phases] == list(tourer.states.operation.phases)
    for found in phases:
        assert found.solved is not None and found.drawn == found.solved.loads
        point = tourer.points.operating_point(found.state, found.phase)
        alternators = [a for s, a in point.given.items() if bare(s) in tourer.design.of_kind(p.Alternator)]
        supplied = sum(alternators) + found.solved.discharging - found.solved.charging
        assert found.solved.loads == pytest.approx(supplied)
        assert list(found.loads) == sorted(found.loads, key=lambda pair: -pair[1]) and not found.unknown
        assert found.declared == pytest.approx(sum(a for _, a in found.loads))


def test_a_phase_that_cannot_be_solved_is_drawn_as_declared(tourer: Facts) -> None:
    text = (EXAMPLES / "tourer.design.yaml").read_text(encoding="utf-8")
    assert text.count(", capacity: 18 Ah") == 1
    found = phase_currents(Facts(read_text(text.replace(", capacity: 18 Ah", ""), "x.yaml")))
    assert [f.declared for f in found] == [f.declared for f in phase_currents(tourer)]
    assert all(f.solved is None and f.drawn == f.declared and f.charging == 0 for f in found)


def test_a_load_without_a_current_in_a_phase_is_among_the_unknown_there(tourer: Facts) -> None:
    text = (EXAMPLES / "tourer.design.yaml").read_text(encoding="utf-8")
    whole = "radio-1: {kind: instrument, current: 0.6 A"
    assert text.count(whole) == 1
    text = text.replace(whole, "radio-1: {kind: instrument, current: {cruise: 0.6 A}")
    found = {f.phase: f for f in phase_currents(Facts(read_text(text, "x.yaml")))}
    as_drawn = {f.phase: f for f in phase_currents(tourer)}
    assert found["cruise"] == as_drawn["cruise"]
    for phase in ("taxi", "climb"):
        assert ("radio-1", 0.6) in as_drawn[phase].loads
        assert found[phase].unknown == ("radio-1",) and "radio-1" not in dict(found[phase].loads)


def test_a_battery_without_chemistry_says_what_its_charging_needs(sketch: Facts) -> None:
    found = {one.battery: one for one in charged_batteries(sketch)}
    main = found["main-battery"]
    assert main.needs == "`chemistry`" and main.window is None and main.held == () and main.recharge is None
    assert "`chemistry`" in found["reserve-battery"].needs


def test_charging_holds_each_battery_in_every_flown_state_of_normal_flight(tourer: Facts) -> None:
    for one in charged_batteries(tourer):
        assert one.needs == "" and one.window is not None and one.window.low <= one.window.high
        assert one.held == tourer.sources.charging_points(f"parts/{one.battery}")
        assert one.recharge is not None and one.recharge.amps > max(held.amps for held in one.held)


def test_overvoltage_exposes_only_what_is_rated_for_less_and_names_what_is_missing(
    faulted: Facts, sketch: Facts
) -> None:
    (found,) = overvoltage_exposures(faulted)
    assert found.ceiling is not None and found.exposed and found.needs == ""
    assert all(one.rated < one.volts <= found.ceiling.volts for one in found.exposed)
    (unsolved,) = overvoltage_exposures(sketch)
    assert unsolved.ceiling is None and unsolved.exposed == () and "overvoltage-trip" in unsolved.needs


def test_latent_failures_are_those_of_the_engine_and_the_critical_ones_are_marked(faulted: Facts) -> None:
    found = latent_failures(faulted)
    assert found is not None
    assert {e.name for e in found} == {bare(f.element) for f in faulted.detection.latent}
    assert sum(len(e.failures) for e in found) == len(faulted.detection.latent)
    losses = faulted.detection.latent_losses
    same = {bare(e) for loss in losses.values() for e in loss.equivalent}
    assert {e.name for e in found if e.losses} == set(map(bare, losses))
    assert {e.name for e in found if e.same_as} == same and not same & set(map(bare, losses))
    assert any(e.critical for e in found) and not all(e.critical for e in found)


def test_a_discharge_curve_ends_with_the_battery_and_its_actions_lie_on_it(tourer: Facts) -> None:
    curves = {one.battery: one for one in discharge_curves(budget_of(tourer))}
    for name, one in curves.items():
        seconds = [at for at, _ in one.points]
        assert seconds == sorted(seconds) and len(seconds) <= 60
        assert seconds[0] == 0 and seconds[-1] == pytest.approx(tourer.endurance.endurance_of(name).seconds)
        charges = [charge for _, charge in one.points]
        assert charges == sorted(charges, reverse=True)
        assert all(
            charges[-1] <= shed.charge <= charges[0] and shed.seconds < one.seconds for shed in one.shed
        )
    assert [s.action for s in curves["main-battery"].shed] == list(curves["main-battery"].planned) != []


def test_a_battery_that_outlasts_every_flight_has_no_curve(tourer: Facts) -> None:
    budget = budget_of(tourer)
    first, *others = budget.lasting
    endless = replace(budget, lasting=(replace(first, found=replace(first.found, seconds=math.inf)), *others))
    assert discharge_curves(endless) == discharge_curves(replace(budget, lasting=tuple(others)))


def test_a_function_has_the_moves_of_the_crew_and_its_required_time_where_it_is_lost(tourer: Facts) -> None:
    """In the brief one row a function, in the folder one an event."""
    budget = budget_of(tourer)
    table = [dict(zip(t.columns, row, strict=True)) for t in [function_rows(budget)] for row in t.rows]
    for one in budget.functions:
        own = [row for row in table if row["function"] == one.function]
        moves = [e for e in one.timeline if e.event not in (TimelineEvent.LOSS, TimelineEvent.LOST)]
        assert len(own) == len(one.timeline) >= 1
        stated = [row["required, min"] != "" for row in own]
        assert stated == [e.event is TimelineEvent.LOST for e in one.timeline]
        (_, _, (done,)) = brief_row(one).cells
        assert done.count(": ") == len(moves) if moves else done == "none"
    assert any(len(one.timeline) > 2 for one in budget.functions)


def test_the_brief_says_once_of_a_source_how_long_batteries_last_without_it(tourer: Facts) -> None:
    """Beside the first of its failures, whichever it is; how long a battery lasts itself, beside what it
    feeds."""
    budget, found = budget_of(tourer), design_brief(tourer, effects_of(tourer))
    solved: Any = SimpleNamespace(design=tourer.design, answers=SimpleNamespace(budget=budget))
    told = 0
    for one in found.sources:
        own, after = map(set, source_times(budget, one.name))
        first, *others = source_rows(solved, one, 3)
        assert own <= set(first.cells[1]) and after <= set(first.cells[4])
        assert all((own | after).isdisjoint((*row.cells[1], *row.cells[4])) for row in others)
        told += bool((own | after) and others)
    assert told >= 2


def test_the_next_protection_of_one_feeds_it_and_grounds_have_their_path(tourer: Facts) -> None:
    found = wiring_schedule(tourer)
    assert found.upstream["ignition-a-breaker"] == "engine-a-limiter"
    assert all(name == "" or name in tourer.design.of_kind(p.Protector) for name in found.upstream.values())
    for name, path in found.grounds.items():
        assert path == (tuple(map(bare, way)) if (way := tourer.paths.return_path((name,))) else None)
    feeds = tourer.protection.wire_feeds
    for name, supply in found.wires.items():
        ends = [end for end in (supply.from_end, supply.to_end) if end]
        fed = feeds.get(f"wires/{name}", ())
        assert {q for end in ends for q in end.protectors} == {bare(q) for f in fed for q in f.protectors}
        assert {s for end in ends for s in end.unprotected} == {bare(s) for f in fed for s in f.sources}
        named = {
            s for end in ends for against in (end.unprotected, *end.protectors.values()) for s in against
        }
        assert named >= set(supply.sources)


def test_each_end_of_a_wire_names_what_stands_against_which_source(tourer: Facts) -> None:
    """A limiter in the alternator's lead is nothing against the battery at the same stud."""
    listed, both = _ends_protected(tourer), "main-battery, alternator"
    assert listed["A1"] == ["none against main-battery (stub); alternator-limiter against alternator", ""]
    assert listed["C3"] == [f"charge-breaker against {both}", "charge-fuse against reserve-battery"]
    assert listed["C4"] == [f"charge-fuse against {both}", "none against reserve-battery (stub)"]
    assert listed["N3"] == [
        "alternator-limiter against main-battery",
        "none against alternator (limits itself to 60 A)",
    ]
    assert listed["K1"] == [
        "none against main-battery (battery or starter cable)",
        "alternator-limiter against alternator",
    ]
    assert listed["T5"] == ["", ""]
    text = (EXAMPLES / "tourer.design.yaml").read_text(encoding="utf-8")
    longer = text.replace("gauge: 10 AWG, length: 0.1 m, bundle: engine-a", "gauge: 10 AWG, length: 1 m")
    from_end = _ends_protected(Facts(read_text(longer, "x.yaml")))["A1"][0]
    assert from_end == "none against main-battery; alternator-limiter against alternator"


def _ends_protected(facts: Facts) -> dict[object, list[object]]:
    """Wire -> what the wire list says of the protection at its two ends."""
    found = wire_list(facts.as_written, wiring_schedule(facts))
    ends = [found.columns.index(f"circuit protection, {end} end") for end in ("from", "to")]
    return {row[0]: [row[i] for i in ends] for row in found.rows}


def test_a_wire_behind_a_spring_return_contact_is_energised_while_it_is_held(tourer: Facts) -> None:
    """As a state in which it is held has it; a wire that is energised anyway needs nobody."""
    found = wiring_schedule(tourer).wires
    assert found["T3"].held == found["T4"].held == ("trim-switch",) and found["T3"].sources == ()
    assert found["T2"].held == () and found["T2"].sources and found["T5"].held == ()
    held = (n for n, state in tourer.states.declared.items() if state.switches["start-button"] == "start")
    cranking = tourer.states.answer(next(held))
    network = tourer.network
    for name, wire in tourer.design.wires.items():
        cranked = any(cranking.fed_by(network.node(end)) for end in (wire.from_, wire.to))
        by_start = "start-button" in found[name].held
        assert not by_start or (cranked and not found[name].sources), name
    assert "start-button" in found["S3"].held


def test_a_capacity_test_is_expected_of_every_battery_at_its_rated_and_its_largest_current(
    tourer: Facts,
) -> None:
    budget = budget_of(tourer)
    found = capacity_tests(tourer, budget)
    assert {one.battery for one in found} == set(tourer.design.of_kind(p.Battery))
    for one in found:
        part = tourer.design.part(one.battery, p.Battery)
        assert part.capacity is not None and part.minimum_capacity is not None
        if one.at == "rated current":
            assert one.found.replace_below == pytest.approx(part.minimum_capacity * one.found.longest)
            hours = (part.capacity_rate or 20 * 3600) / 3600
            assert one.found.amperes * hours == pytest.approx(part.capacity)
            assert one.found.longest == pytest.approx(3600 * hours)
        else:
            lasting = next(b for b in budget.lasting if b.battery == one.battery)
            assert one.found.amperes == max(run.first_a for run in lasting.found.runs)


def test_the_printed_endurance_is_the_usable_share_over_the_solved_currents(tourer: Facts) -> None:
    budget = budget_of(tourer)
    for one, lasting in zip(printed_endurance(tourer, budget.lasting), budget.lasting, strict=True):
        capacity = tourer.design.part(one.battery, p.Battery).capacity
        assert capacity is not None and one.ours == lasting.seconds
        currents = [a for run in lasting.found.runs for a in (run.first_a, run.last_a)]
        usable = 3600 * 0.75 * capacity
        assert usable / max(currents) <= one.seconds <= usable / min(currents)


@pytest.mark.parametrize(("end", "lost"), [("battery.negative", False), ("loose.trim", True)])
def test_a_motor_that_is_fed_in_reverse_without_a_return_is_told(end: str, lost: bool) -> None:
    text = f"""
format: 1
aircraft: {{name: Trim, nominal: 14 V, airframe: metal, stage: concept}}
parts:
  battery: {{kind: battery}}
  loose: {{kind: ground-block}}
  trim: {{kind: switch, positions: {{up: [[plus, a], [minus, b]], off: [], down: [[plus, b], [minus, a]]}}}}
  motor: {{kind: load, type: motor, reversible: true}}
wires:
  W1: {{from: battery.positive, to: trim.plus}}
  W2: {{from: {end}, to: trim.minus}}
  W3: {{from: trim.a, to: motor.supply}}
  W4: {{from: trim.b, to: motor.return}}
operation:
  normal: up
  states:
    up: {{engine: running, switches: {{trim: up}}}}
    rest: {{like: up, switches: {{trim: 'off'}}}}
    down: {{like: up, switches: {{trim: down}}}}
"""
    states = powered_states(Facts(read_text(text, "trim.yaml")))
    told = {s.state.name: s.loads["motor"].no_return for s in states}
    assert told == {"up": lost, "rest": False, "down": lost}


@pytest.mark.parametrize(
    ("battery", "nominal", "ends"),
    [
        ({"chemistry": "lead-acid"}, "14 V", 10.5),
        ({"chemistry": "lead-acid"}, "28 V", 21.0),
        ({"chemistry": "lithium-iron-phosphate"}, "14 V", 10.0),
        ({"chemistry": "lithium-iron-phosphate", "low-voltage-disconnect": "11.2 V"}, "14 V", 11.2),
        ({"chemistry": "lead-acid", "capacity": None}, "14 V", None),
        ({"chemistry": "lead-acid", "nominal": "14 V"}, "28 V", 10.5),  # one of two in series
        ({}, "14 V", None),
    ],
)
def test_a_capacity_test_ends_where_its_chemistry_or_its_own_disconnect_does(
    battery: dict[str, str | None], nominal: str, ends: float | None
) -> None:
    """10.5 V of lead-acid, 10.0 V of lithium in a 14 V system (common practice, no source)."""
    made = SmallDesign()
    made.more["aircraft"] = {"nominal": nominal}
    made.parts["battery"] |= {k: v for k, v in {"capacity": "17 Ah", **battery}.items() if v}
    found = capacity_tests(made.facts(), None)
    assert [(one.battery, one.end_volts, one.at, one.declared) for one in found] == (
        [("battery", ends, "rated current", False)] if ends else []
    )


def test_wire_is_summed_by_what_it_is_bought_by_to_the_millimetre_and_the_tenth_of_a_gram() -> None:
    """What has no length is counted beside it; 22 AWG has 754 circular mils, 0.382 mm2 of copper."""
    design = read_text(
        """format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: concept}
parts: {main-bus: {kind: bus}, lamp: {kind: load}}
wires:
  W1: {from: main-bus.1, to: lamp.supply, gauge: 22 AWG, length: 1.2344 m}
  W2: {from: main-bus.2, to: lamp.return, gauge: 22 AWG, length: 2 m}
  W3: {from: main-bus.3, to: main-bus.5, gauge: 22 AWG}
  W4: {from: main-bus.4, to: main-bus.6}
""",
        "x",
    )
    made = wire_summary(design)
    first, last, every = ([str(cell) for cell in row] for row in made.rows)
    at = [made.columns.index(c) for c in ("gauge", "wires", "length, m", "wires without a length")]
    assert [first[i] for i in at] == ["22 AWG", "3", "3.234", "1"]
    assert [last[i] for i in at] == ["gauge not stated", "1", "0", "1"]
    assert [every[i] for i in at] == ["all wire", "4", "3.234", "2"]
    grams = float(first[made.columns.index("mass, conductor only, g")])
    assert grams == pytest.approx(3.2344 * 0.382 * 8.89, abs=0.06)
