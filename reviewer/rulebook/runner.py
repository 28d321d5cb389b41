"""Runs rules: judges every subject, contains a rule error to it, adds places and positions."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.design import Concession, Design
from reviewer.model.review import (
    Assessment,
    Breakdown,
    Consequence,
    Finding,
    FindingEvidence,
    Gap,
    HazardClass,
    Place,
    Step,
)
from reviewer.network.graph import bare
from reviewer.rulebook.changes import placed
from reviewer.rulebook.concessions import grant
from reviewer.rulebook.conformity import check_unmet, pointers_of
from reviewer.rulebook.containment import Containment, TimeLimit, freed, trace_of, words_of
from reviewer.rulebook.rule import Rule, Unmet
from reviewer.rulebook.subject import Subject

Progress = Callable[[int, int, str], None]

#: findings about one subject, above which a rule does not end by itself
MOST_FINDINGS = 10_000


def run_rules(
    rules: Sequence[Rule],
    facts: Facts,
    progress: Progress | None = None,
    judged: Callable[[str], bool] | None = None,
) -> tuple[tuple[Assessment, ...], tuple[Concession, ...]]:
    """Judge every rule, of its subjects those that are to be ``judged``, or all. A rule that fails is
    reported, and the others stand.

    What a rule prints goes where the caller's standard output goes; the command line sends it to
    standard error. Returns the assessments in the order of the rules, and the concessions that
    match nothing.
    """
    done = []
    with Containment() as containment:
        for number, rule in enumerate(rules):
            if progress:
                progress(number, len(rules), rule.name)
            done.append(_Judging(rule, facts, containment, judged).assessment())
    return grant(tuple(done), facts.design.concessions)


class _Judging:
    """One rule at work: what it found, what it could not assess, where it failed."""

    def __init__(
        self,
        rule: Rule,
        facts: Facts,
        containment: Containment,
        judged: Callable[[str], bool] | None = None,
    ):
        self.rule, self.facts, self.containment, self.judged = rule, facts, containment, judged
        self.findings: dict[tuple[str, str, str], Finding] = {}
        self.gaps: list[Gap] = []
        self.breakdowns: list[Breakdown] = []
        #: the subject that is judged, and the line of the rule that judges it
        self.subject, self.line = "", self.line_of(rule.subjects)
        self.examined, self.over = 0, False

    def assessment(self) -> Assessment:
        """Judge every subject until all are judged or the time is up."""
        rule, pointers = self.rule, dict[str, None]()
        self.containment.begin()
        self.contain(lambda: self.collect(pointers))
        left = filter(self.judged, pointers) if self.judged else iter(pointers)
        while not self.over and not self.contain(lambda: self.judge_all(left)):
            pass  # what raised is written down, and the others are judged
        return Assessment(
            rule.name,
            rule.title,
            rule.hazard,
            rule.citations,
            rule.help,
            self.examined,
            tuple(self.findings.values()),
            tuple(self.gaps),
            tuple(self.breakdowns),
        )

    def line_of(self, function: Any) -> int | None:
        """The line at which a function of the rule begins, None where it stands in another file."""
        code = getattr(function, "__code__", None)
        return code.co_firstlineno if code is not None and self.is_own(code) else None

    def contain(self, work: Callable[[], None]) -> bool:
        """Do a piece of work of the rule, and say whether it came to its end; what it raises is written
        down."""
        error = self.containment.run(work)
        if error is None:
            return True
        subject = self.subject
        if isinstance(error, NotAssessable) and isinstance(error.needs, str) and error.needs:
            place = _place(self.facts.design, subject, "")
            self.gaps.append(Gap(self.rule.name, subject, error.needs, self.rule.hazard, place, error.lacks))
        else:
            self.break_down(subject, error)
            self.over = isinstance(error, TimeLimit)
        freed(error)
        return False

    def is_own(self, code: Any) -> bool:
        """Whether some code stands in the file of the rule: a schema has no lines of code."""
        return code is not None and code.co_filename == self.rule.path

    def break_down(self, subject: str, error: BaseException) -> None:
        """Write down that the rule failed on a subject."""
        words = words_of(error, self.rule.path, self.line)
        if isinstance(error, TimeLimit):
            words += "; the items after this one were not judged"
        self.breakdowns.append(Breakdown(self.rule.name, subject, words, trace_of(error)))

    def collect(self, pointers: dict[str, None]) -> None:
        """Add the pointers of the subjects, each once."""
        for pointer in pointers_of(self.rule.subjects(self.facts), self.facts):
            pointers[pointer] = None

    def judge_all(self, left: Iterator[str]) -> None:
        """Judge the subjects that are left, until the user interrupts."""
        line = self.line_of(self.rule.judge)
        for pointer in left:
            self.examined += 1
            self.subject, self.line = pointer, line
            self.judge(Subject(pointer))
            if self.containment.interrupted:
                return

    def judge(self, subject: Subject) -> None:
        """Add the findings about a subject."""
        judged = self.rule.judge(subject, self.facts)
        for number, unmet in enumerate(judged):
            frame = getattr(judged, "gi_frame", None)
            self.line = frame.f_lineno if frame and self.is_own(frame.f_code) else self.line
            if number == MOST_FINDINGS:
                raise ValueError(f"judge() yields more than {MOST_FINDINGS} findings about one subject")
            check_unmet(unmet, subject, self.facts)
            finding = _finding(self.rule, subject, unmet, self.facts)
            self.findings.setdefault((finding.subject, finding.state, finding.extent), finding)


def _finding(rule: Rule, subject: Subject, unmet: Unmet, facts: Facts) -> Finding:
    about = unmet.subject or subject.pointer
    state = facts.states.declared[unmet.state] if unmet.state else None
    hazard = rule.hazard if unmet.hazard is None else unmet.hazard
    return Finding(
        rule=rule.name,
        subject=about,
        sentence=_sentence(unmet, Subject(about)),
        hazard=hazard,
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
        consequence=_consequence(rule, unmet, hazard),
        evidence=FindingEvidence(
            tuple(unmet.path),
            tuple(unmet.elements),
            tuple(unmet.lost),
            placed(unmet.changes, unmet.path) or ((f"{about}/{unmet.field}",) if unmet.field else ()),
            tuple(unmet.functions) or ((Subject(about).name,) if about.startswith("functions/") else ()),
        ),
        judged="" if about == subject.pointer else subject.pointer,
    )


def _sentence(unmet: Unmet, about: Subject) -> str:
    """Its sentence; one that begins with the number of a wire says that it is a wire."""
    numbered = about.kind == "wires" and about.name[:1].isdigit()
    opens = numbered and unmet.sentence.startswith(f"{about.name} ")
    return f"Wire {unmet.sentence}" if opens else unmet.sentence


def _consequence(rule: Rule, unmet: Unmet, hazard: HazardClass) -> Consequence:
    """What is lost at one failure and is not critical is not there when wanted."""
    declared = Consequence.of(unmet.consequence) if unmet.consequence else rule.consequence
    if declared is Consequence.LOST_AT_ONE_FAILURE and hazard < HazardClass.HAZARDOUS:
        return Consequence.NOT_THERE_WHEN_WANTED
    return declared


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
    at = subject.in_file
    for candidate in (f"{at}/{field}", at, subject.section or subject.kind):
        if candidate in design.places:
            return Place.of(design.places[candidate])
    return None
