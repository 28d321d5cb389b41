"""Two designs side by side in figures: what an owner weighs who chooses between alternatives."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.renamed_parts import SAME_NAMES, Renames

if TYPE_CHECKING:
    from reviewer.analysis.endurance.generation_loss import FunctionEndurance
    from reviewer.analysis.operating_point.solved_state import Reading

#: parts before wires, wires before bundles
_GROUPS = ("parts", "wires", "bundles")
#: kg a metre and mm2 of copper and of aluminium: 8.89 and 2.70 g/cm3 (from memory)
_KG = {"copper": 8.89e-3, "aluminium": 2.70e-3}


@record
class WireTotal:
    """The wires of one gauge: how many, their metres, the kg of their conductors, and how many have
    no length in the file; ``mm2`` of the conductor, infinite without a gauge."""

    gauge: str
    count: int
    metres: float
    kilograms: float
    unmeasured: int
    mm2: float


@record
class Alternative:
    """One design in figures.

    ``single_points`` are the parts and wires whose failure alone loses each function in the normal
    state, None where it does not work there with nothing failed; ``lasting_points`` those of a function
    of hazardous loss or worse that no declared action recovers. Those stand first that lose the most of
    the gravest functions. ``grave`` are the functions whose
    loss is hazardous or worse, ``major`` those whose loss is major, ``moves`` those of the crew in each
    action. ``endurance`` is that of
    each battery in seconds, infinite where it is unlimited, None where the file lacks data;
    ``functions`` says how long each function of class major or worse works after the loss of all
    generation, None where data are missing. ``readings`` are by state and monitor, None where the state
    is not solved; ``joints`` are the ends of wires.
    """

    findings: Mapping[HazardClass, int]
    single_points: Mapping[str, tuple[str, ...] | None]
    lasting_points: Mapping[str, tuple[str, ...]]
    grave: tuple[str, ...]
    major: tuple[str, ...]
    moves: Mapping[str, int]
    endurance: Mapping[str, float | None]
    functions: Mapping[str, FunctionEndurance | None]
    readings: Mapping[str, Mapping[str, Reading] | None]
    wires: tuple[WireTotal, ...]
    joints: int
    parts: int


def alternative(
    facts: Facts, findings: Mapping[HazardClass, int], renamed: Renames = SAME_NAMES
) -> Alternative:
    """A design in figures, with its standing findings by class, under the names of a new file."""
    design = facts.design
    operation = design.operation
    classes = {name: HazardClass.of(function.loss) for name, function in design.functions.items()}
    singles = dict(_single_points(facts)) if operation else {}
    rank = _gravest_first(singles, classes)
    return Alternative(
        findings,
        {f: _renamed(names, rank, renamed) for f, names in singles.items()},
        {f: _renamed(names, rank, renamed) or () for f, names in _lasting_points(facts)} if operation else {},
        tuple(n for n, hazard in classes.items() if hazard >= HazardClass.HAZARDOUS),
        tuple(n for n, hazard in classes.items() if hazard is HazardClass.MAJOR),
        {name: len(action.move) for name, action in operation.actions.items()} if operation else {},
        {renamed.name(n): seconds for n, seconds in _endurance(facts)} if operation else {},
        dict(_functions(facts)) if operation else {},
        {renamed.states.get(state, state): read for state, read in _readings(facts)} if operation else {},
        tuple(_wires(facts)),
        2 * len(design.wires),
        sum(not isinstance(part, MechanicalChannel) for part in design.parts.values()),
    )


def _gravest_first(
    singles: Mapping[str, tuple[str, ...] | None], classes: Mapping[str, HazardClass]
) -> Callable[[str], tuple[object, ...]]:
    """The key by which elements are sorted: that of which the failure loses the most functions of the gravest
    class first, then of the next; parts before wires, and these before bundles."""
    lost: dict[str, list[HazardClass]] = {}
    for function, elements in singles.items():
        for element in elements or ():
            lost.setdefault(element, []).append(classes[function])

    def key(element: str) -> tuple[object, ...]:
        counts = (-lost.get(element, []).count(hazard) for hazard in sorted(HazardClass, reverse=True))
        group = element.partition("/")[0]
        return (*counts, _GROUPS.index(group) if group in _GROUPS else len(_GROUPS), element)

    return key


def _single_points(facts: Facts) -> Iterator[tuple[str, tuple[str, ...] | None]]:
    assert facts.design.operation is not None
    for name in facts.design.functions:
        cuts = facts.failures.cut_sets(facts.design.operation.normal, name, 1)
        dead = any(not cut.failures for cut in cuts)
        yield (
            name,
            None if dead else tuple(dict.fromkeys(f.element for cut in cuts for f in cut.failures)),
        )


def _renamed(
    elements: Iterable[str] | None, rank: Callable[[str], tuple[object, ...]], renamed: Renames
) -> tuple[str, ...] | None:
    """The names of elements in their order, each once; None for None."""
    if elements is None:
        return None
    return tuple(dict.fromkeys(renamed.name(bare(element)) for element in sorted(elements, key=rank)))


def _lasting_points(facts: Facts) -> Iterator[tuple[str, tuple[str, ...]]]:
    assert facts.design.operation is not None
    normal = facts.design.operation.normal
    found: dict[str, list[str]] = {f: [] for f in facts.states.critical_functions}
    for points in facts.failures.single_points.values():
        for point in points:
            if point.state == normal:
                found[point.function] += (point.element, *point.equivalent, *point.series)
    yield from ((function, tuple(set(names))) for function, names in found.items())


def _endurance(facts: Facts) -> Iterator[tuple[str, float | None]]:
    design = facts.design
    for name in design.of_kind(p.Battery):
        if design.parts[name].purpose == "reserve" or design.of_kind(p.Alternator):
            try:
                yield name, facts.endurance.endurance_of(name).seconds
            except NotAssessable:
                yield name, None


def _functions(facts: Facts) -> Iterator[tuple[str, FunctionEndurance | None]]:
    for name in facts.endurance.watched_functions if facts.design.of_kind(p.Alternator) else ():
        try:
            yield name, facts.detection.function_endurance(name)
        except NotAssessable:
            yield name, None


def _readings(facts: Facts) -> Iterator[tuple[str, Mapping[str, Reading] | None]]:
    for state in facts.states.declared:
        try:
            yield state, facts.points.operating_point(state).readings
        except NotAssessable:
            yield state, None


def _wires(facts: Facts) -> Iterator[WireTotal]:
    groups: dict[tuple[Gauge | None, str], list[float | None]] = {}
    for wire in facts.design.wires.values():
        groups.setdefault((wire.gauge, wire.conductor or "copper"), []).append(wire.length)
    thickest = sorted(groups, key=lambda g: (-(g[0].area_mm2 if g[0] else -math.inf), g[1]))
    for gauge, conductor in thickest:
        lengths = groups[gauge, conductor]
        metres = sum(length for length in lengths if length is not None)
        metal = " aluminium" if conductor == "aluminium" else ""
        name = f"{gauge}{metal}" if gauge else "no gauge"
        mass = metres * gauge.area_mm2 * _KG[conductor] if gauge else 0.0
        yield WireTotal(
            name, len(lengths), metres, mass, lengths.count(None), gauge.area_mm2 if gauge else math.inf
        )
