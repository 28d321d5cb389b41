"""Checklists for indications in flight, as they were derived: cards, and which of them serve an
indication."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.crew.course_choice import ChosenStep, Prohibition
from reviewer.analysis.endurance.failure_endurance import LimitedFunction
from reviewer.analysis.endurance.generation_loss import LaterMove
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.questions.failure_causes import FailureCause
from reviewer.questions.meter_ranges import Seen
from reviewer.questions.state_signs import Look, Sign

__all__ = [
    "BreakerReset",
    "ChecklistCard",
    "Checklists",
    "ChosenStep",
    "LaterMove",
    "LimitedFunction",
    "Prohibition",
    "ServedIndication",
]


#: seconds for which a function must work on to be not lost at once
LEAST_S = 60.0


@record
class BreakerReset:
    """Circuit protection that may have opened. ``retrips`` where a short among the causes opens it
    again; ``once`` where it is reset once, by ``action`` if the file declares one, for ``restores``:
    what works then if nothing is shorted."""

    protector: str
    retrips: bool
    once: bool = False
    action: str = ""
    restores: tuple[str, ...] = ()


@record
class ChecklistCard:
    """One card.

    ``sign`` is what the crew sees first, ``seen`` what it shows, ``by`` whether that is less (-1) or more
    (1) than in a sound system, or blank (-2); ``also`` are other signs that all of the ``causes`` give,
    but open protection, ``outcomes`` are the causes once more, a short for each way in which it may be
    cleared so. ``lost`` are functions that any cause loses, the gravest first, ``unwanted``
    motors that run and do not in a sound system, ``steps`` what restores, in order, ``shed`` the shed
    plan where it makes functions last longer or no battery is charged, ``left`` what is lost after the
    steps. ``limited`` are functions that last as long as batteries, ``unlimited`` those of class major or
    worse that go on, ``rests_on`` critical functions with no channel to spare, each with its channels.
    ``needs`` is the missing data of the minutes. ``overloaded`` where after every cause an alternator works
    and has more to feed than it can, so that batteries discharge beside it. ``unalarmed`` where
    no alarm surely shows it in time, so that the minutes with all that is done hold if it is seen at once;
    ``alarm`` is another than the sign, at the latest, from which these minutes count.
    ``resets`` are of circuit protection that may be open. ``overvoltage`` are alternators (elements) that
    nothing regulates after every cause; they are ``unwanted`` too. ``sensed`` are switches that no hand
    moves, each with the position in which it gives the first sign with nothing electrical failed, as a
    float switch, or an oil pressure switch without pressure. ``misplaced`` are switches of the crew, each
    with its position in the state, where nothing but one of them elsewhere gives the signs.
    ``apart`` are signs that tell the card from the others that begin with the same one, ``not_apart`` the
    numbers of those that no sign tells from it. ``stop_tried`` are the moves in a row that were tried at most
    to stop what runs.
    """

    sign: Sign
    by: int
    seen: Seen
    also: tuple[tuple[Sign, Seen], ...]
    causes: tuple[FailureCause, ...]
    outcomes: tuple[Failure, ...]
    lost: tuple[tuple[str, HazardClass], ...]
    unwanted: tuple[str, ...]
    steps: tuple[ChosenStep, ...]
    shed: tuple[str, ...]
    left: tuple[str, ...]
    limited: tuple[LimitedFunction, ...]
    unlimited: tuple[str, ...]
    rests_on: tuple[tuple[str, tuple[str, ...]], ...]
    resets: tuple[BreakerReset, ...]
    prohibited: tuple[Prohibition, ...]
    hazard: HazardClass
    needs: str = ""
    overloaded: bool = False
    unalarmed: bool = False
    alarm: LossNotice | None = None
    overvoltage: tuple[str, ...] = ()
    sensed: tuple[tuple[str, str], ...] = ()
    misplaced: tuple[tuple[str, str], ...] = ()
    apart: tuple[tuple[Sign, Seen], ...] = ()
    not_apart: tuple[int, ...] = ()
    stop_tried: int = 0

    @property
    def first_seen_by_alarm(self) -> bool:
        """Whether an alarm that comes later is what the crew sees first: circuit protection is open after
        some causes alone, and may be out of sight."""
        return self.alarm is not None and self.sign.look is Look.PROTECTION

    @property
    def lost_at_once(self) -> tuple[tuple[str, HazardClass], ...]:
        """What is lost, without the functions that batteries keep on for a minute or more."""
        going = {one.function for one in self.limited if one.unattended >= LEAST_S}
        return tuple(one for one in self.lost if one[0] not in going)

    @property
    def emergency(self) -> bool:
        """Whether a function of class hazardous or catastrophic is lost, or will be."""
        return self.hazard >= HazardClass.HAZARDOUS


@record
class ServedIndication:
    """An indication, ``by`` as on a card, 0 where none moves it; with the numbers of the cards that begin
    with it or mention it; without any, why it has none."""

    sign: Sign
    by: int
    seen: Seen
    cards: tuple[int, ...]
    why: str = ""


@record
class Checklists:
    """The cards of a state, emergencies first; every indication of the design with its cards;
    ``silent`` single failures show nothing."""

    state: str
    switches: tuple[tuple[str, str], ...]
    cards: tuple[ChecklistCard, ...]
    indications: tuple[ServedIndication, ...]
    silent: int
