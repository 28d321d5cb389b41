"""What a review is: outcomes, findings with their evidence, what was not assessed, and what was
conceded.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum, IntEnum
from functools import cached_property

from reviewer.model.design import Concession
from reviewer.model.estimates_tried import EstimatesTried
from reviewer.model.filled_in import FilledIn
from reviewer.model.places import CellPlace, Spot
from reviewer.model.record import record


class HazardClass(IntEnum):
    """Severity of a finding, in the words of AC 23.1309-1E; a larger number is worse."""

    NO_SAFETY_EFFECT = 0
    MINOR = 1
    MAJOR = 2
    HAZARDOUS = 3
    CATASTROPHIC = 4

    @property
    def word(self) -> str:
        """The class as written in files and reports."""
        return self.name.lower().replace("_", " ")

    @classmethod
    def of(cls, word: str) -> HazardClass:
        """The class for a word such as ``"no safety effect"``; raises KeyError."""
        return cls[word.upper().replace(" ", "_").replace("-", "_")]


class Consequence(IntEnum):
    """What comes of it when a property is missing, as the trade sorts its worries; larger is worse."""

    TO_BE_CORRECTED = 0
    RUNS_SHORT = 1
    ON_WHEN_NOT_WANTED = 2
    NOT_THERE_WHEN_WANTED = 3
    CAN_BURN = 4
    LOST_AT_ONE_FAILURE = 5

    @property
    def word(self) -> str:
        """The consequence as written in rules and reports."""
        return self.name.lower().replace("_", " ")

    @classmethod
    def of(cls, word: str) -> Consequence:
        """The consequence for a word such as ``"can burn"``; raises KeyError."""
        return cls[word.upper().replace(" ", "_")]


class Outcome(Enum):
    """How a rule ended. The value is the word that reports print."""

    RULE_ERROR = "rule error"
    NOT_MET = "not met"
    MISSING_DATA = "missing data"
    MET = "met"
    NOT_APPLICABLE = "not applicable"


@record
class Place:
    """Where in the file: 1-based line and column. For people only, never part of an identity.

    ``cell`` is where it stands in a table of the design; line and column are then those of the table.
    """

    line: int
    column: int
    cell: CellPlace | None = None

    @classmethod
    def of(cls, spot: Spot) -> Place:
        """The place of what the reader found there."""
        return cls(spot[0], spot[1], spot if isinstance(spot, CellPlace) else None)

    @property
    def words(self) -> str:
        """``line 12``, or ``loads.csv, row 7, column D (Amps)``."""
        return self.cell.words if self.cell else f"line {self.line}"


@record
class Citation:
    """A published source: ``key`` as in tables/sources.toml, ``clause`` the part of it that is
    meant.
    """

    key: str
    title: str
    clause: str


@record
class Step:
    """One step of a path: a part or wire, and what it does there."""

    part: str
    text: str


@record
class FindingEvidence:
    """What a finding rests on, as pointers and names: for programs, beside the words of the finding.

    ``path`` and ``elements`` are the parts and wires that it names, ``lost`` the loads that are lost,
    ``functions`` the functions. ``changes`` are the changes each of which alone puts it right: a key
    of the file, as ``parts/fuse/rating``, or a place and what is missing there, as
    ``parts/pump-b/feed``, ``parts/tie-switch/isolation``, ``wires/W1/protection``.
    """

    path: tuple[str, ...] = ()
    elements: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()

    @property
    def named(self) -> frozenset[str]:
        """Every part and wire of it."""
        return frozenset((*self.path, *self.elements))


@record
class Finding:
    """One way in which a design does not have a property.

    ``subject`` is a pointer without leading slash, such as ``parts/main-bus``; ``field`` a key of
    it or "". ``state`` is the operating state's name or "". ``switches`` are (switch, position)
    pairs of that state. ``path`` leads through the network. ``numbers`` are (what, value with unit)
    pairs: measured and limit.
    """

    rule: str
    subject: str
    sentence: str
    hazard: HazardClass
    field: str = ""
    state: str = ""
    failure: str = ""
    switches: tuple[tuple[str, str], ...] = ()
    path: tuple[Step, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()
    citations: tuple[Citation, ...] = ()
    remedy: str = ""
    place: Place | None = None
    conceded: Concession | None = None
    #: what tells it from other findings about the subject, where a concession must name it; or ""
    extent: str = ""
    consequence: Consequence = Consequence.TO_BE_CORRECTED
    evidence: FindingEvidence = FindingEvidence()
    #: where its words or numbers rest on figures that are estimates: whether it stays within their ranges
    estimates: str = ""
    #: the subject that the rule judged where the finding is about another one
    judged: str = ""

    @cached_property
    def identity(self) -> str:
        """Stays the same when lines move: a digest of rule, subject, state and extent."""
        import hashlib  # two libraries of the system, for the reports that print digests

        what = (self.rule, self.subject, self.state, *([self.extent] if self.extent else []))
        return hashlib.sha256("\x1f".join(what).encode()).hexdigest()


@record
class Cause:
    """What one repair puts right: the findings that go with it, the gravest first.

    A concession of a cause accepts the findings that stand in it then, and none that comes later.
    """

    findings: tuple[Finding, ...]
    #: the gravest of those about the part or wire that is repaired, else the gravest; one that nobody
    #: conceded, if there is one
    headline: Finding
    #: identities of those that vanish only when another cause is repaired as well
    shared: tuple[str, ...] = ()
    #: the identities of those other causes
    shared_with: tuple[str, ...] = ()
    #: what is seen only when it is repaired
    hidden: tuple[Finding, ...] = ()
    #: what still runs short when it is repaired, with the figures that it has then
    solved_again: tuple[Finding, ...] = ()
    #: the repair that was tried in the network and cleared other findings of it, in words; or ""
    tried: str = ""
    #: whether the trial searched for it, where the evidence of its findings names no repair
    searched: bool = False

    @property
    def gravest(self) -> Finding:
        """The gravest finding that nobody conceded; where all are conceded, the gravest."""
        return next((f for f in self.findings if not f.conceded), self.findings[0])

    @property
    def in_order(self) -> tuple[Finding, ...]:
        """Its headline, then the other findings that nobody conceded, the gravest first."""
        return (self.headline, *(f for f in self.standing if f is not self.headline))

    @property
    def repair(self) -> str:
        """What puts it right: the remedy of its headline, and those for other keys of the same thing, and
        what was tried; that alone where nothing but the trial tells what it is."""
        return self.repairs[0]

    @property
    def repairs(self) -> tuple[str, ...]:
        """What puts it right, in full and then in fewer words for a narrow place: what was tried clears
        it only as a whole, so that the shorter ones give all of it or none."""
        if self.tried and self.searched:
            return f"{self.tried} Tried, and it clears this.", self.tried
        about = {self.headline.field: self.headline.remedy}
        for one in self.standing:
            if one.subject == self.headline.subject and one.field and self.headline.field:
                about.setdefault(one.field, one.remedy)
        steps = list(dict.fromkeys(filter(None, about.values())))
        several = enumerate(steps, 1) if steps[1:] else ()
        remedies = " ".join(f"({number}) {step}" for number, step in several) or "".join(steps)
        if not self.tried:
            return (remedies,)
        if remedies.startswith(f"{self.tried.removesuffix('.')},"):
            return (f"{remedies} Tried, and it clears this.", remedies)
        tried = f"Tried, and it clears this: {self.tried}"
        return tuple(filter(None, (f"{remedies} {tried}".strip(), tried, remedies)))

    @property
    def identity(self) -> str:
        """That of its gravest finding, conceded or not."""
        return self.findings[0].identity

    @property
    def standing(self) -> tuple[Finding, ...]:
        """Its findings that nobody conceded."""
        return tuple(f for f in self.findings if not f.conceded)

    @property
    def hazard(self) -> HazardClass:
        """The worst class of the findings that nobody conceded."""
        return self.gravest.hazard

    @property
    def consequence(self) -> Consequence:
        """The worst consequence of them."""
        return max(f.consequence for f in self.standing or self.findings)


@record
class Gap:
    """A subject that could not be judged, and the input that is missing, in words; ``lacks`` has it as
    (pointer, key) where whoever asked knows it."""

    rule: str
    subject: str
    needs: str
    hazard: HazardClass
    place: Place | None = None
    lacks: tuple[tuple[str, str], ...] = ()


@record
class Question:
    """Data that the file lacks, where to write them, and how many rules lack them.

    ``kind`` is a kind of part, ``wire``, a group of the file such as ``function`` or ``monitor``, or
    ``section`` for whole sections; ``items`` are pointers, none for sections. ``snippet`` is text
    for the file with the values left open.
    """

    kind: str
    keys: tuple[str, ...]
    items: tuple[str, ...]
    rules: int
    hazard: HazardClass
    snippet: str


@record
class Breakdown:
    """A rule that failed on a subject: a defect of the rule, not of the design.

    ``trial`` is the repair that was tried when it failed, in words, or "": the review stands without it.
    """

    rule: str
    subject: str
    error: str
    traceback: str
    trial: str = ""


@record
class RuleError:
    """One error of a rule, with every subject on which it came; ``traceback`` is that of the first, and
    ``trial`` the repair that was tried when it came, in words, or ""."""

    rule: str
    error: str
    subjects: tuple[str, ...]
    traceback: str
    trial: str = ""


def rule_errors(breakdowns: Iterable[Breakdown]) -> tuple[RuleError, ...]:
    """Each error of a rule once: the same words with the same line, in the same trial."""
    found: dict[tuple[str, str, str], list[Breakdown]] = {}
    for one in breakdowns:
        found.setdefault((one.rule, one.error, one.trial), []).append(one)
    return tuple(
        RuleError(rule, error, tuple(b.subject for b in at), at[0].traceback, trial)
        for (rule, error, trial), at in found.items()
    )


@record
class Assessment:
    """How one rule ended, with everything it said; the headline never hides the rest."""

    rule: str
    title: str
    hazard: HazardClass
    citations: tuple[Citation, ...]
    help: str
    examined: int
    findings: tuple[Finding, ...] = ()
    gaps: tuple[Gap, ...] = ()
    breakdowns: tuple[Breakdown, ...] = ()

    @property
    def outcome(self) -> Outcome:
        """The worst of what happened: rule error, not met, missing data, met, not applicable."""
        if self.breakdowns:
            return Outcome.RULE_ERROR
        if any(f.conceded is None for f in self.findings):
            return Outcome.NOT_MET
        if self.gaps:
            return Outcome.MISSING_DATA
        return Outcome.MET if self.examined else Outcome.NOT_APPLICABLE


@record
class Review:
    """A whole review of one file."""

    file: str
    aircraft: str
    stage: str
    assessments: tuple[Assessment, ...]
    unmatched: tuple[Concession, ...] = ()
    #: what an enumeration did not cover, one sentence each
    limits: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()
    #: the least minutes, volts and amperes beside their limits, as a sentence; or ""
    margins: str = ""
    parts: int = 0
    wires: int = 0
    states: tuple[str, ...] = ()
    #: for each of ``states``, the (switch, position) pairs
    positions: tuple[tuple[tuple[str, str], ...], ...] = ()
    #: those of ``states`` that were made, each with how; and why others were not made
    made: tuple[tuple[str, str], ...] = ()
    unmade: tuple[str, ...] = ()
    #: how many parts and wires are fitted later, and were reviewed as not there
    later: tuple[int, int] = (0, 0)
    #: every finding under what one repair puts right: the worst consequence first, then the class
    causes: tuple[Cause, ...] = ()
    #: what to write for what was not assessed, the gravest first
    questions: tuple[Question, ...] = ()
    #: what was filled in: defaults of the format, then typical values of what was solved
    filled_in: tuple[FilledIn, ...] = ()
    #: the figures that are estimates, and the verdicts that turn within their ranges
    estimates: EstimatesTried = EstimatesTried()
    #: rules that failed while a repair was tried, which was dropped
    dropped_trials: tuple[Breakdown, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, conceded ones included, worst first, then in the order of the file."""
        found = [f for a in self.assessments for f in a.findings]
        return tuple(
            sorted(
                found, key=lambda f: (-f.hazard, f.place.line if f.place else 0, f.rule, f.subject, f.state)
            )
        )

    @property
    def numbered(self) -> tuple[tuple[int, Cause], ...]:
        """Each cause with its number, which every report and command calls it by: from 1, those of
        which every finding is conceded last."""
        return tuple(enumerate(self.causes, 1))

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Everything that was not assessed, worst rule first."""
        return tuple(
            sorted(
                (g for a in self.assessments for g in a.gaps), key=lambda g: (-g.hazard, g.rule, g.subject)
            )
        )

    @property
    def breakdowns(self) -> tuple[Breakdown, ...]:
        """Every breakdown of a rule."""
        return tuple(b for a in self.assessments for b in a.breakdowns)

    @property
    def rule_errors(self) -> tuple[RuleError, ...]:
        """Every error of a rule, once."""
        return rule_errors(self.breakdowns)
