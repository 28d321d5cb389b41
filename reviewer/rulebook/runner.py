"""Runs rules: judges every subject, contains a rule error to it, adds places and positions."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.design import Concession, Design
from reviewer.model.review import Assessment, Breakdown, Finding, Gap, Place, Step
from reviewer.network.graph import bare
from reviewer.rulebook.concessions import grant
from reviewer.rulebook.rule import Rule, Unmet
from reviewer.rulebook.subject import Subject

Progress = Callable[[int, int, str], None]


def run_rules(
    rules: Sequence[Rule], facts: Facts, progress: Progress | None = None
) -> tuple[tuple[Assessment, ...], tuple[Concession, ...]]:
    """Judge every rule.

    Returns the assessments in the order of the rules, and the concessions that match nothing.
    """
    done = []
    for number, rule in enumerate(rules):
        if progress:
            progress(number, len(rules), rule.name)
        done.append(_assess(rule, facts))
    return grant(tuple(done), facts.design.concessions)


def _assess(rule: Rule, facts: Facts) -> Assessment:
    findings: dict[tuple[str, str, str], Finding] = {}
    gaps: list[Gap] = []
    breakdowns: list[Breakdown] = []
    examined = 0

    def contain(subject: str, work: Callable[[], None]) -> None:
        try:
            work()
        except NotAssessable as gap:
            gaps.append(Gap(rule.name, subject, gap.needs, rule.hazard, _place(facts.design, subject, "")))
        except Exception as error:  # a rule error is reported and must not stop the other rules
            import traceback

            breakdowns.append(
                Breakdown(rule.name, subject, f"{type(error).__name__}: {error}", traceback.format_exc())
            )

    pointers: list[str] = []
    contain("", lambda: pointers.extend(dict.fromkeys(map(str, rule.subjects(facts)))))
    for pointer in pointers:
        examined += 1

        def judge(pointer: str = pointer) -> None:
            subject = Subject(pointer)
            for unmet in rule.judge(subject, facts):
                finding = _finding(rule, subject, unmet, facts)
                findings.setdefault((finding.subject, finding.state, finding.extent), finding)

        contain(pointer, judge)
    return Assessment(
        rule.name,
        rule.title,
        rule.hazard,
        rule.citations,
        rule.help,
        examined,
        tuple(findings.values()),
        tuple(gaps),
        tuple(breakdowns),
    )


def _finding(rule: Rule, subject: Subject, unmet: Unmet, facts: Facts) -> Finding:
    about = unmet.subject or subject.pointer
    state = facts.states.declared[unmet.state] if unmet.state else None
    return Finding(
        rule=rule.name,
        subject=about,
        sentence=unmet.sentence,
        hazard=rule.hazard if unmet.hazard is None else unmet.hazard,
        field=unmet.field,
        state=unmet.state,
        failure=unmet.failure,
        switches=tuple(state.switches.items()) if state else unmet.switches,
        path=tuple(Step(bare(e), _kind(facts.design, e)) for e in unmet.path),
        numbers=unmet.numbers,
        citations=rule.citations,
        remedy=unmet.remedy or rule.remedy,
        place=_place(facts.design, about, unmet.field),
        extent=unmet.extent,
    )


def _kind(design: Design, element: str) -> str:
    if element.startswith("wires/"):
        wire = design.wires[bare(element)]
        return f"wire {wire.from_} to {wire.to}"
    return "bolt" if element.startswith("bolts/") else design.parts[bare(element)].kind


def _place(design: Design, pointer: str, field: str) -> Place | None:
    """Where a field stands in the file, else its subject, else the section of the file."""
    subject = Subject(pointer)
    if subject.kind == "bundles":
        # a bundle stands nowhere in the file but in its wires
        wire = next((name for name, wire in design.wires.items() if wire.bundle == subject.name), "")
        subject, field = Subject(f"wires/{wire}"), "bundle"
    name = subject.name.replace("~", "~0").replace("/", "~1")
    at = "/".join(step for step in (subject.section, subject.kind, name) if step)
    for candidate in (f"{at}/{field}", at, subject.section or subject.kind):
        if candidate in design.places:
            return Place(*design.places[candidate])
    return None
