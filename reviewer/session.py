"""The use cases: a path and some rules give a review, or all that a page is made from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reviewer import resources
from reviewer.analysis.conduction.not_varied import told_together
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.channels import LossWord, MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.estimates import estimates_in_words, estimates_of
from reviewer.model.estimates_tried import EstimatesTried
from reviewer.model.filled_in import FilledIn, defaults_of
from reviewer.model.parts import Consumer
from reviewer.model.resolved_states import resolved
from reviewer.model.review import Assessment, Review
from reviewer.network.graph import bare
from reviewer.network.work_count import work_done
from reviewer.reading import DesignFile, design_of, names_of, read_file
from reviewer.rulebook.causes import Tried, causes_of, with_second_figures
from reviewer.rulebook.estimate_trials import trials_expected, tried_estimates
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.margins import least_margins
from reviewer.rulebook.missing_data import questions_of
from reviewer.rulebook.numbers import few
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import Progress, run_rules
from reviewer.rulebook.trials import tried_repairs
from reviewer.tables.lookup import protection_basis
from reviewer.tables.wire_tables import ampacity_basis

if TYPE_CHECKING:
    from reviewer.reports.handoff.solved import SolvedDesign
    from reviewer.rulebook.next_questions import NextQuestion

#: what this version does not look at, in every review
LIMITS = (
    "Failures are tried one at a time in the declared states, and two at a time where the first can be "
    "latent; every other legal combination of switch positions is tried with nothing failed.",
    "A short is cleared by the nearest circuit protection, and where ratings do not ensure that, by those "
    "further upstream.",
    "Voltages and currents are computed in the declared states from the data in the file, and from typical "
    "values where it has none. Nothing was measured.",
)

#: processor seconds of a review for each state and each pair of parts and wires (measured: 1,000 parts
#: take 0.9 of it, 500 take 1.8), and seconds beyond which a review is announced before it begins
_SECONDS_EACH, LONG = 1.2e-7, 10.0
#: called before a review that will take long, with about how many seconds
Announce = Callable[[float], None]


def seconds_expected(facts: Facts, trials: bool = True) -> float:
    """About how many seconds the review of a design takes, trials of its estimates included."""
    design = facts.design
    states = len(design.operation.states) if design.operation else 0
    once = _SECONDS_EACH * (len(design.parts) + len(design.wires)) ** 2 * max(states, 1)
    return once * (1 + (trials_expected(facts) if trials else 0))


def facts_of(path: Path) -> Facts:
    """The facts of a design file. Raises :class:`reviewer.reading.Unreadable`."""
    return Facts(design_of(read_file(path)))


def review_file(
    path: Path | str,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    announce: Announce | None = None,
    trials: bool = True,
) -> Review:
    """Read a design file and review it by the given rules, or by those that come with the reviewer.

    ``progress`` is called before each rule, ``announce`` before a review that will take over
    :data:`LONG` seconds. Without ``trials`` estimates are taken as written only.

    Raises :class:`reviewer.reading.Unreadable` with every mistake of the file, and
    :class:`reviewer.rulebook.loader.RuleNotLoadable`.
    """
    return _reviewed(read_file(Path(path)), rules, progress, announce, trials)[1]


def reviewed_facts(
    facts: Facts,
    path: Path,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    announce: Announce | None = None,
) -> tuple[Facts, Review]:
    """Facts that were read already from a path, and their review, estimates taken as written.

    Raises RuleNotLoadable.
    """
    _announced(facts, announce, trials=False)
    return facts, review_facts(facts, path, rules, progress, trials=False)


def questions_about(
    path: Path,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    announce: Announce | None = None,
) -> tuple[Review, tuple[NextQuestion, ...]]:
    """The review of a design file, and a question for each key that it lacks, what decides most first.

    Raises as :func:`review_file` does.
    """
    from reviewer.rulebook.next_questions import next_questions

    file = read_file(path)
    facts, review = _reviewed(file, rules, progress, announce, trials=False)
    return review, next_questions(review.gaps, facts.as_written, file.lines)


def _reviewed(
    file: DesignFile,
    rules: Sequence[Rule] | None,
    progress: Progress | None,
    announce: Announce | None,
    trials: bool,
) -> tuple[Facts, Review]:
    facts = Facts(design_of(file))
    _announced(facts, announce, trials)
    return facts, review_facts(facts, file.path, rules, progress, trials)


def _announced(facts: Facts, announce: Announce | None, trials: bool) -> None:
    seconds = seconds_expected(facts, trials)
    if announce and seconds > LONG:
        announce(seconds)


def review_facts(
    facts: Facts,
    path: Path,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    trials: bool = True,
) -> Review:
    """Review a design that was read already, by its facts; ``path`` is named in the review.

    Without ``trials`` estimates are taken as written only. Raises RuleNotLoadable.
    """
    design = facts.design
    if rules is None:
        rules = load_rules([resources.folder("rules")])
    before = work_done()
    assessments, unmatched = run_rules(rules, facts, progress)
    facts.review_work = max(facts.review_work, work_done() - before)
    if trials:
        estimates, assessments = tried_estimates(facts, rules, assessments)
    else:
        estimates = EstimatesTried(tuple(map(str, facts.estimates)))
    states = resolved(facts.as_written.operation) if facts.as_written.operation else {}
    review = Review(
        file=names_of([path])[0],
        aircraft=design.aircraft.name,
        stage=design.aircraft.stage,
        assessments=assessments,
        unmatched=unmatched,
        limits=(
            *LIMITS,
            *_of_estimates(facts.as_written, estimates),
            *_made_states(design),
            *_provisions(facts.as_written),
            *(limit for table in design.tables for limit in table.limits),
            *_classes_by_use(design),
            *_without_phase(design),
            *told_together(facts.states.untried),
        ),
        basis=(protection_basis(), ampacity_basis()),
        margins=least_margins(facts),
        parts=sum(not isinstance(part, MechanicalChannel) for part in design.parts.values()),
        wires=len(design.wires),
        states=tuple(states),
        positions=tuple(tuple(state.switches.items()) for state in states.values()),
        made=tuple(facts.as_written.made.items()),
        unmade=design.unmade,
        later=(len(design.provisions.parts), len(design.provisions.wires)),
        estimates=estimates,
        filled_in=(*defaults_of(facts.as_written), *(_typical(facts) if rules else ())),
    )
    broken = {breakdown.rule for breakdown in review.breakdowns}
    tried = tried_repairs(review.findings, facts, rules, facts.review_work, broken, review.gaps)
    if tried.solved:
        review = replace(review, assessments=tuple(_with_second_figures(assessments, tried)))
    return replace(
        review,
        causes=causes_of(review.findings, design, tried),
        questions=questions_of(review.gaps, design),
        dropped_trials=tried.broken,
    )


def _with_second_figures(assessments: Sequence[Assessment], tried: Tried) -> Iterator[Assessment]:
    for assessment in assessments:
        findings = tuple(with_second_figures(finding, tried) for finding in assessment.findings)
        yield replace(assessment, findings=findings)


def _typical(facts: Facts) -> Iterator[FilledIn]:
    """The typical values on which the operating points of flight rest, each with its origin."""
    found: dict[tuple[str, str, str], dict[str, None]] = {}
    for flown in facts.points.flown if facts.design.operation else ():
        try:
            point = facts.points.operating_point(flown.state, flown.phase)
        except NotAssessable:
            continue
        for one in point.assumed:
            found.setdefault((one.what, one.figure, one.rests_on), {}).update(dict.fromkeys(one.elements))
    for (what, figure, rests_on), elements in found.items():
        yield FilledIn(what, figure, rests_on, tuple(bare(e) for e in elements))


def _of_estimates(design: Design, tried: EstimatesTried) -> Iterator[str]:
    """The figures that are estimates, and what was not tried of them."""
    if not tried.estimates:
        return
    words = f"{estimates_in_words(estimates_of(design))}. What is computed takes each as it is written"
    if not tried.corners:
        yield f"{words}, a range by its middle; other values were not tried."
        return
    yield (
        f"{words}, a range by its middle. Tried {'once' if tried.trials == 1 else f'{tried.trials} times'}: "
        f"{', '.join(tried.corners)}{', and where a verdict turned, parts of them' if tried.turned else ''}. "
        "Values between and other combinations were not tried."
    )


def _made_states(design: Design) -> Iterator[str]:
    """The states that nobody declared, and those that were not made."""
    if design.made:
        yield (
            f"States made, not declared: {', '.join(design.made)}. They are what the switches of the drawing "
            "can set; a checklist may ask for others."
        )
    if design.unmade:
        yield f"Not made: {'; '.join(design.unmade)}."


def _provisions(design: Design) -> Iterator[str]:
    """What is fitted later, which was reviewed as not there."""
    later = design.provisions
    if later.parts or later.wires:
        names = [*later.parts, *later.wires]
        yield f"Fitted later, and reviewed as not there: {few(names, 12)}."


def _classes_by_use(design: Design) -> Iterator[str]:
    """The functions whose loss has a class for each use of the aircraft, and the one that counts."""
    named = [use.upper() if use == "ifr" else use for use in design.aircraft.uses]
    uses = f"for {', '.join(named)}" if named else "for no use, so that all count"
    for name, function in design.functions.items():
        if isinstance(function.loss, LossWord):
            classes = f"Loss of {name} is {function.loss.by_use.words()}"
            yield f"{classes}. It counts as {function.loss}: the aircraft is declared {uses}."


def _without_phase(design: Design) -> Iterator[str]:
    """The states whose loads draw their largest current because no phase says what they draw there."""
    by_phase = [n for n in design.of_kind(Consumer) if len(set(design.part(n, Consumer).currents)) > 1]
    if design.operation is None:
        return
    flown = {phase.state for phase in design.operation.phases.values()}
    states = resolved(design.operation).items()
    without = [name for name, state in states if name not in flown and state.currents_of is None]
    if by_phase and without:
        states_are = "One state is" if len(without) == 1 else f"{len(without)} states are"
        yield (
            f"{states_are} no phase of the flight and without `currents-of`: {few(without, 4)}. A load whose "
            "current differs by phase draws its largest one there."
        )


def solved_file(
    path: Path,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    announce: Announce | None = None,
    trials: bool = True,
) -> SolvedDesign:
    """A design file read, reviewed and solved, from which page, schedules and folder are made.

    They call the file by its name alone: the same file gives the same bytes in any folder.

    Raises as :func:`review_file` does.
    """
    return solved_again(read_file(path), path.name, rules, progress, announce, trials)


def solved_again(
    file: DesignFile,
    name: str,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    announce: Announce | None = None,
    trials: bool = True,
) -> SolvedDesign:
    """A file that was read, reviewed and solved; page, schedules and folder call it by ``name``.

    Raises as :func:`review_file` does.
    """
    facts, review = _reviewed(file, rules, progress, announce, trials)
    return solved_design(facts, replace(review, file=name), file, trials)


def solved_design(facts: Facts, review: Review, file: DesignFile, trials: bool = True) -> SolvedDesign:
    """A design solved that was reviewed already; ``file`` is what it was read from. Without ``trials``
    estimates are taken as written only."""
    from reviewer.questions.handover import HandoverAnswers
    from reviewer.questions.scenes import as_normally_fed, items_of
    from reviewer.reports.handoff.solved import SolvedDesign
    from reviewer.reports.schematic.fitting import fitting_sheet

    sheet = fitting_sheet(facts.as_written, facts.network)
    items = items_of(facts.network, as_normally_fed(facts, sheet.directed_links), sheet.node_order)
    return SolvedDesign(
        facts.as_written,
        facts.network,
        review,
        file,
        HandoverAnswers(facts, trials),
        sheet,
        items,
    )
