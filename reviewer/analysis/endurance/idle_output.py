"""What batteries give in a phase before they are charged again, and what the flight after it puts back.

Where the file does not say what an alternator gives at idle, both ends of common practice are tried.
"""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.endurance.phase_loads import LoadOfPhase
from reviewer.analysis.operating_point.flight_charges import NOTHING_A
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.rounding import exceeds
from reviewer.tables.practice import practice


@record
class IdleDischarge:
    """Amperes that batteries give, ``least`` with the alternators at the high end of the range of common
    practice at idle and ``most`` at its low end; ``unstated`` are the alternators (names) whose output at
    idle the file does not state. Both are what was solved where it states them all.

    ``back`` are the ampere-hours of alternator margin in the flight phases after it, without those
    of no stated duration, which are ``untimed``.
    """

    least: float
    most: float
    unstated: tuple[str, ...]
    back: float
    untimed: tuple[str, ...]

    def depends(self, seconds: float | None, longest: float) -> bool:
        """Whether the output at idle decides between a discharge of at most ``longest`` seconds that
        is put back, and more."""
        if not self.unstated or not self.most or (seconds and self._too_much(self.least, seconds, longest)):
            return False
        return seconds is None or self._too_much(self.most, seconds, longest)

    def _too_much(self, amps: float, seconds: float, longest: float) -> bool:
        return bool(amps) and (exceeds(seconds, longest) or exceeds(amps * seconds / 3600, self.back))


def idle_discharge(
    design: Design, loads: Mapping[str, LoadOfPhase], states: Mapping[str, ResolvedState], phase: str
) -> IdleDischarge:
    """The discharge in a phase, of the ``loads`` of all in their order."""
    names = list(loads)
    after = [n for n in names[names.index(phase) + 1 :] if states[loads[n].flown.state].use == "flight"]
    spare = {n: sum(one.spare for one in loads[n].alternators) for n in after}
    back = sum((amps * (loads[n].seconds or 0.0) / 3600 for n, amps in spare.items()), 0.0)
    untimed = tuple(n for n, amps in spare.items() if loads[n].seconds is None and amps)
    load = loads[phase]
    running = [(one, design.part(one.name, p.Alternator)) for one in load.alternators if load.at_idle]
    unstated = [(one, part) for one, part in running if part.idle_output is None]
    if not unstated:
        return IdleDischarge(load.from_batteries, load.from_batteries, (), back, untimed)
    taken = sum(one.amperes for one, _ in running) + load.from_batteries - load.into_batteries
    stated = sum(part.idle_output for _, part in running if part.idle_output is not None)
    rated = sum(part.most or 0.0 for _, part in unstated)
    share = practice("factors", "alternator-at-idle")
    ends = [taken - stated - end * rated for end in (share.high, share.low)]
    least, most = (amps if amps > NOTHING_A else 0.0 for amps in ends)
    return IdleDischarge(least, most, tuple(one.name for one, _ in unstated), back, untimed)
