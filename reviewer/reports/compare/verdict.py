"""The first screen of a comparison: what became of single points of failure, magnetos, minutes and
feeds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.questions.behaviour import ENDURANCE_S, Changed
from reviewer.questions.compare import Comparison
from reviewer.questions.side_by_side import Alternative
from reviewer.reports import wording
from reviewer.reports.compare.side_by_side_rows import endurance_rows, single_words
from reviewer.reports.layout import lines_of
from reviewer.reports.review.fitted import fitted
from reviewer.reports.wording import counted, shown

#: names in one line, names of lesser weight in one, and lines of one kind, at most
_NAMES, _FEW, _LINES = 10, 5, 5
#: sentences about buses and loads that are fed differently
_FED = 3
#: how it is said of a load and of a bus that nothing feeds it
_UNFED = ("off", "dead")
#: causes with a line of their own, and the letters of the sentence of one
_CAUSES, _ROOM = 6, 74


def verdict(c: Comparison, width: int) -> Iterator[str]:
    """The verdict, gone before new; details stand below it."""
    for line in _sentences(c):
        yield from lines_of(line, width, 0, 2)


def _sentences(c: Comparison) -> Iterator[str]:
    findings = c.findings
    grown = f", {len(c.causes_grown)} with new findings" if c.causes_grown else ""
    yield f"Causes: {_by_class(c.causes_gone, c.causes_new)}{grown}."
    counts = f"{len(findings.changed)} changed, {findings.unchanged} unchanged"
    yield f"Findings: {_by_class(findings.gone, findings.new)}, {counts}."
    b = c.behaviour
    for was, state in b.states_renamed:
        yield f"State {shown(was)} is now called {shown(state)}."
    renamed = [part for part in c.parts if part.change == "renamed"]
    for part in renamed[:_LINES]:
        yield f"{part.kind.capitalize()} {shown(part.keys[0][1])} is now called {shown(part.name)}."
    if len(renamed) > _LINES:
        yield f"{counted(len(renamed) - _LINES, 'more part or wire', 'more parts and wires')} renamed."
    for change, states in by_state([f for f in b.feeds if f.what == "magneto"]):
        yield f"Magneto {shown(change.name)}: {change.before} -> {change.after} (in {_names(states)})."
    yield from _single_points(*c.alternatives, _named_by(c.causes_gone), _named_by(c.causes_new))
    yield from _minutes(c)
    yield from _feeds(by_state([f for f in b.feeds if f.what in ("bus", "load")]))
    kinds = (("gone", c.causes_gone), ("new", c.causes_new), ("with new findings", c.causes_grown))
    for word, found in kinds:
        for cause in found[:_CAUSES]:
            yield f"Cause {word}, {cause.hazard.word}: {fitted(shown(cause.sentence), _ROOM, 1, 0)[0]}"
        if (more := len(found) - _CAUSES) > 0:
            yield counted(more, "more cause") + f" {word}."


def _minutes(c: Comparison) -> Iterator[str]:
    """Functions and batteries of which the same minutes are said stand in one sentence."""
    same: dict[tuple[str, str, str], list[str]] = {}
    for group, name, was, now in endurance_rows(*c.alternatives, ENDURANCE_S):
        if was != now:
            same.setdefault((group, was, now), []).append(name)
    for (group, was, now), names in same.items():
        yield f"{group.capitalize()}, {_names(names)}: {was} -> {now}."


def _feeds(fed: Sequence[tuple[Changed, list[str]]]) -> Iterator[str]:
    """Buses and loads that are fed differently in the same way and states stand in one sentence, what is
    no longer fed first."""
    same: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for change, states in sorted(fed, key=lambda entry: entry[0].after not in _UNFED):
        same.setdefault((change.before, change.after, tuple(states)), []).append(change.name)
    for (before, after, in_states), names in [*same.items()][:_FED]:
        in_few = _names(in_states, _FEW)
        yield f"{_names(names, _FEW)}: {shown(before)} -> {shown(after)} (in {in_few})."
    if left := sum(map(len, [*same.values()][_FED:])):
        changes = counted(left, "more change", "more changes")
        yield f"{changes} of what feeds a bus or load; all are listed below."


def _named_by(causes: Sequence[Finding]) -> Mapping[str, int]:
    """The names that the headlines of causes of a lost function are about, the gravest cause first."""
    named = (bare(cause.subject) for cause in causes if cause.evidence.functions)
    return {name: place for place, name in enumerate(dict.fromkeys(named))}


def _single_points(
    old: Alternative, new: Alternative, of_gone: Mapping[str, int], of_new: Mapping[str, int]
) -> Iterator[str]:
    """The single points of functions of major or worse loss by name, the worse first, gone before new;
    of the others how many, and of major ones beyond some lines. What causes that are gone and new are about
    (``of_gone``, ``of_new``) stands first."""
    functions = list(dict.fromkeys((*new.single_points, *old.single_points)))
    grave = [f for f in functions if f in old.grave or f in new.grave]
    major = [f for f in functions if f not in grave and (f in old.major or f in new.major)]
    one, two = old.lasting_points, new.lasting_points
    first = {"gone": of_gone, "new": of_new}
    yield from _gone_and_new(grave, one, two, first, ", not recoverable in flight")
    yield from _gone_and_new(grave, _recovered(old), _recovered(new), first, " until the crew acts")
    of_major = [*_gone_and_new(major, old.single_points, new.single_points, first, most=_FEW)]
    named = [*grave, *(major if len(of_major) <= _LINES else ())]
    yield from of_major if len(of_major) <= _LINES else ()
    for function in (*grave, *major):
        for word, each, other in (("no longer works", new, old), ("works again", old, new)):
            if each.single_points.get(function, ()) is None and other.single_points.get(function) is not None:
                yield f"{shown(function)} {word} with nothing failed."
    counts = [
        f"{shown(f)} {was} -> {now}"
        for f in functions
        if f not in named and (was := single_words(old, f)) != (now := single_words(new, f))
    ]
    if counts:
        yield f"Single points of failure of other functions: {', '.join(counts)}."


def _recovered(each: Alternative) -> Mapping[str, tuple[str, ...]]:
    """The single points after which a declared action restores the function."""
    return {
        function: tuple(name for name in names or () if name not in each.lasting_points.get(function, ()))
        for function, names in each.single_points.items()
    }


def _gone_and_new(
    functions: Sequence[str],
    old: Mapping[str, tuple[str, ...] | None],
    new: Mapping[str, tuple[str, ...] | None],
    first: Mapping[str, Mapping[str, int]],
    how: str = "",
    most: int = _NAMES,
) -> Iterator[str]:
    """Functions that lose the same ones stand in one line."""
    for word, one, two in (("gone", new, old), ("new", old, new)):
        lost: dict[tuple[str, ...], list[str]] = {}
        for function in functions:
            before, after = one.get(function) or (), two.get(function) or ()
            if fewer := tuple(name for name in after if name not in before):
                lost.setdefault(fewer, []).append(shown(function))
        named = [*first[word]]
        for fewer, those in lost.items():
            in_order = [n for n in named if n in fewer] + [n for n in fewer if n not in named]
            lost_are = " and of ".join(those)
            yield f"Single points of failure {word}, loss of {lost_are}{how}: {_names(in_order, most)}."


def _by_class(gone: Sequence[Finding], new: Sequence[Finding]) -> str:
    said = []
    for word, found in (("gone", gone), ("new", new)):
        classes = f" ({wording.hazard_counts(found)})" if found else ""
        said.append(f"{len(found)} {word}{classes}")
    return ", ".join(said)


def _names(names: Sequence[str], most: int = _NAMES) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(map(shown, names[:most])) + more


def by_state(changes: Sequence[Changed]) -> list[tuple[Changed, list[str]]]:
    """Changes that are the same in several states, with these states."""
    found: dict[tuple[str, str, str, str], tuple[Changed, list[str]]] = {}
    for c in changes:
        found.setdefault((c.what, c.name, c.before, c.after), (c, []))[1].append(c.state)
    return list(found.values())
