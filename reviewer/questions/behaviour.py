"""How two designs behave differently, where both have the same states, parts and functions.

What feeds each bus and load, voltages and currents, endurance, and the failures that cause loss of
a function.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping

from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.states import StateAnswer, runs_in_reverse
from reviewer.analysis.cut_sets.minimal_cut_sets import CutSet
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.quantity_words import minutes, quantity
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.questions.paired_states import paired_states, state_names
from reviewer.questions.renamed_parts import SAME_NAMES, Renames

#: the cut set of a function that does not work in the healthy state
_DEAD = ("nothing failed",)
#: smallest differences of load voltage and source current that are reported; typical values cancel out
VOLTS, AMPERES = 0.1, 0.5
#: smallest difference of endurance that is reported, seconds
ENDURANCE_S = 30.0


@record
class Changed:
    """One difference:

    ``what`` (a load, bus, switch, function ...) of that ``name``, ``before`` and ``after``.
    ``state`` is "" where no state is meant.
    """

    what: str
    name: str
    state: str
    before: str
    after: str


@record
class CutChange:
    """A function whose minimal cut sets differ in a state: those that are ``new`` or ``gone``.

    Each cut set is given as the words of its failures.
    """

    function: str
    state: str
    new: tuple[tuple[str, ...], ...]
    gone: tuple[tuple[str, ...], ...]


@record
class Behaviour:
    """All differences in behaviour:

    ``settings`` of switches, ``feeds`` of loads, buses and coils. ``figures`` are voltages and
    currents, ``endurance`` is of batteries, ``cuts`` of one and two failures.
    """

    states_new: tuple[str, ...]
    states_gone: tuple[str, ...]
    #: states of another name with the same settings: (before, after)
    states_renamed: tuple[tuple[str, str], ...]
    settings: tuple[Changed, ...]
    feeds: tuple[Changed, ...]
    functions: tuple[Changed, ...]
    figures: tuple[Changed, ...]
    endurance: tuple[Changed, ...]
    cuts: tuple[CutChange, ...]
    #: what was not compared, one sentence each
    untried: tuple[str, ...]

    @property
    def same(self) -> bool:
        """Whether nothing differs."""
        return not (
            self.states_new
            or self.states_gone
            or self.states_renamed
            or self.settings
            or self.feeds
            or self.functions
            or self.figures
            or self.endurance
            or self.cuts
        )


def behaviour(old: Facts, new: Facts, renames: Renames) -> Behaviour:
    """How a new design behaves differently from an old one, under the names of the new one."""
    before, after = state_names(old), state_names(new)
    both = paired_states(old, new, renames)
    settings: list[Changed] = []
    feeds: list[Changed] = []
    figures: list[Changed] = []
    untried: list[str] = []
    for state, was in both.items():
        settings += _settings(old.states.answer(was), new.states.answer(state), renames)
        feeds += _feeds(old, was, new, state, renames)
        figures += _figures(old, was, new, state, renames, untried)
    untried += [] if both else ["No state is the same in both files, so powered equipment was not compared."]
    lasting = tuple(_endurance(old, new, renames, untried)) if before and after else ()
    cuts = tuple(_cuts(old, new, both, renames, untried)) if both else ()
    gone = tuple(s for s in before if s not in both.values())
    return Behaviour(
        states_new=tuple(s for s in after if s not in both),
        states_gone=gone,
        states_renamed=tuple((was, state) for state, was in both.items() if was != state),
        settings=tuple(settings),
        feeds=tuple(feeds),
        functions=tuple(_functions(old, new, renames)),
        figures=tuple(figures),
        endurance=lasting,
        cuts=cuts,
        untried=tuple(untried),
    )


def _settings(old: StateAnswer, new: StateAnswer, renames: Renames) -> Iterator[Changed]:
    positions = {renames.name(switch): at for switch, at in old.positions.items()}
    for switch in dict.fromkeys((*positions, *new.positions)):
        one, two = (at.get(switch, "no such switch") for at in (positions, new.positions))
        if one != two:
            yield Changed("switch", switch, new.state.name, one, two)
    for key in ("engine", "use"):
        if getattr(old.state, key) != getattr(new.state, key):
            yield Changed("state", key, new.state.name, getattr(old.state, key), getattr(new.state, key))
    before, after = set(map(renames.name, old.state.pulled)), set(new.state.pulled)
    for name in sorted(before ^ after):
        one, two = ("pulled" if name in pulled else "in" for pulled in (before, after))
        yield Changed("breaker", name, new.state.name, one, two)
    before, after = set(map(renames.name, old.state.outputs_on)), set(new.state.outputs_on)
    for name in sorted(before ^ after):
        one, two = ("on" if name in on else "off" for on in (before, after))
        yield Changed("output", name, new.state.name, one, two)


def _feeds(old: Facts, was: str, new: Facts, state: str, renames: Renames) -> Iterator[Changed]:
    two = fed_words(new, new.states.answer(state))
    found = fed_words(old, old.states.answer(was), renames).items()
    one = {(what, renames.name(name)): words for (what, name), words in found}
    for key in dict.fromkeys((*one, *two)):
        before, after = one.get(key, "no such part"), two.get(key, "no such part")
        if before != after:
            yield Changed(*key, state, before, after)


def fed_words(facts: Facts, answer: StateAnswer, renames: Renames = SAME_NAMES) -> dict[tuple[str, str], str]:
    """For each bus, load and coil, as (kind, name): the sources that feed it, or that it is off; for
    each magneto whether its p-lead is grounded."""
    found: dict[tuple[str, str], str] = {}
    network: Network = facts.network
    for name in facts.design.of_kind(p.Bus):
        node = network.index.get(name)
        found["bus", name] = _listed(answer.fed_by(node), renames) if node is not None else "dead"
    for consumer in network.consumers:
        sources = [
            s
            for s, reach in answer.healthy.fed.items()
            if served(consumer, reach, answer.healthy.returned[s])
        ]
        reverse = " in reverse" if sources and runs_in_reverse(answer, consumer) else ""
        found["load", bare(consumer.element)] = _listed(sources, renames, "off") + reverse
    for coil in network.coils:
        found["coil", bare(coil.element)] = (
            "energised" if answer.healthy.energised[coil.element] else "de-energised"
        )
    for magneto in network.magnetos:
        hot = answer.healthy.hot[magneto.element]
        found["magneto", bare(magneto.element)] = "hot, its p-lead not grounded" if hot else "p-lead grounded"
    return found


def _listed(sources: Collection[str], renames: Renames, none: str = "dead") -> str:
    names = sorted(renames.name(bare(s)) for s in sources)
    return "fed by " + ", ".join(names) if names else none


def _figures(
    old: Facts, was: str, new: Facts, state: str, renames: Renames, untried: list[str]
) -> Iterator[Changed]:
    """Loads whose voltage and sources whose current differ, where both files can be solved."""
    try:
        one, two = old.points.operating_point(was), new.points.operating_point(state)
    except NotAssessable as missing:
        untried.append(f"Voltages and currents in {state} were not compared; missing data: {missing.needs}.")
        return
    for what, unit, least, found, after in (
        ("voltage of load", "V", VOLTS, one.across, two.across),
        ("current of source", "A", AMPERES, one.given, two.given),
    ):
        before = {renames.pointer(element): value for element, value in found.items()}
        for element in after:
            if element in before and abs(after[element] - before[element]) >= least:
                yield Changed(
                    what,
                    bare(element),
                    state,
                    quantity(before[element], unit, digits=4),
                    quantity(after[element], unit, digits=4),
                )


def _endurance(old: Facts, new: Facts, renames: Renames, untried: list[str]) -> Iterator[Changed]:
    """Batteries of both files whose endurance differs, where both can be solved."""
    were = {renames.name(name): name for name in old.design.of_kind(p.Battery)}
    for name in new.design.of_kind(p.Battery):
        if name not in were:
            continue
        if new.design.parts[name].purpose != "reserve" and not (
            old.design.of_kind(p.Alternator) and new.design.of_kind(p.Alternator)
        ):
            continue
        try:
            before = old.endurance.endurance_of(were[name]).seconds
            after = new.endurance.endurance_of(name).seconds
        except NotAssessable as missing:
            untried.append(f"The endurance of {name} was not compared; missing data: {missing.needs}.")
            continue
        if before != after and not abs(after - before) < ENDURANCE_S:
            yield Changed("endurance on", name, "", minutes(before, after), minutes(after, before))


def _functions(old: Facts, new: Facts, renames: Renames) -> Iterator[Changed]:
    one, two = old.design.functions, new.design.functions
    same = SAME_NAMES
    for name in dict.fromkeys((*one, *two)):
        before, after = (
            f"any {f.any} of {', '.join(map(names.name, f.of))}, loss {f.loss}"
            if (f := each.get(name))
            else "not declared"
            for each, names in ((one, renames), (two, same))
        )
        if before != after:
            yield Changed("function", name, "", before, after)


def _cuts(
    old: Facts, new: Facts, both: Mapping[str, str], renames: Renames, untried: list[str]
) -> Iterator[CutChange]:
    """The minimal cut sets of one and two failures, in the normal state of the new design.

    A pair that is gone because one of its failures now loses the function alone is left out, and a pair
    that is new because one of them no longer does.
    """
    assert new.design.operation is not None
    state = new.design.operation.normal
    if state not in both:
        untried.append(f"The normal state {state} is not in the old file, so cut sets were not compared.")
        return
    for function in new.design.functions:
        if function in old.design.functions:
            before, after = (
                frozenset(map(_words(f, names), f.failures.cut_sets(name, function)))
                for f, name, names in ((old, both[state], renames), (new, state, SAME_NAMES))
            )
            if before != after:
                dead = _DEAD in after  # it does not work with nothing failed: nothing is left to lose
                gone = frozenset() if dead else _beyond(before - after, after)
                yield CutChange(function, state, _sorted(_beyond(after - before, before)), _sorted(gone))


def _beyond(
    cuts: frozenset[tuple[str, ...]], others: frozenset[tuple[str, ...]]
) -> frozenset[tuple[str, ...]]:
    """The cut sets without the pairs of which one failure alone is among others."""
    alone = {cut[0] for cut in others if len(cut) == 1}
    return frozenset(cut for cut in cuts if len(cut) < 2 or not alone & set(cut))


def _words(facts: Facts, renames: Renames) -> Callable[[CutSet], tuple[str, ...]]:
    def words(cut: CutSet) -> tuple[str, ...]:
        each = (
            f"{renames.name(bare(f.element))} {renames.terminals(f.words(facts.network))}"
            for f in cut.failures
        )
        return tuple(sorted(each)) or _DEAD

    return words


def _sorted(cuts: frozenset[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    return tuple(sorted(cuts, key=lambda cut: (len(cut), cut)))
