"""Which sign of a failure the crew sees first: an alarm or light, then a unit that is dark or runs,
then a reading, then open circuit protection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import cached_property

from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.review import HazardClass
from reviewer.questions.meter_ranges import Seen
from reviewer.questions.state_signs import Look, Sign, StateSigns

_ALARM, _UNIT, _READING, _PROTECTION, _BLANK = range(5)


class FirstSigns:
    """The signs of a state in the order in which the crew sees them."""

    def __init__(self, facts: Facts, signs: StateSigns):
        self.facts, self.signs = facts, signs
        self.number = {sign: i for i, sign in enumerate(signs.signs)}
        self.gravest: dict[str, HazardClass] = {}
        #: by sign and way whether a reading is beyond its alarm, for all cases or each
        self._rings: dict[tuple[Sign, int], bool | Sequence[bool]] = {}
        for function in facts.design.functions:
            hazard = HazardClass.of(facts.design.functions[function].loss)
            for unit in facts.states.units_of(function):
                self.gravest[unit] = max(hazard, self.gravest.get(unit, hazard))

    def of(self, shown: tuple[int, ...], lanes: Sequence[int]) -> tuple[Sign, int]:
        """The first sign of a pattern, and how it moves in its cases."""
        moved = [(s, by) for s, by in zip(self.signs.signs, shown, strict=True) if by]
        return min(moved, key=lambda one: self.rank(one[0], one[1], lanes))

    def rank(self, sign: Sign, by: int, lanes: Sequence[int]) -> tuple[int, int, int, int]:
        """Less is seen earlier; ``by`` says how the sign moves in some cases."""
        number = self.number[sign]
        if by == -2:
            return _BLANK, 0, 0, number
        if sign.look is Look.UNIT:
            return _UNIT, -self.gravest.get(sign.name, HazardClass.NO_SAFETY_EFFECT), by, number
        if sign.look is Look.PROTECTION:
            return _PROTECTION, 0, 0, number
        if not self._alarm(sign, by, lanes):
            return _READING, 0, 0, number
        return _ALARM, 0 if self._lamp(sign) else 1, 0, number

    def notice(self, sign: Sign, by: int, lanes: Sequence[int]) -> LossNotice | None:
        """The sign as what shows some cases at once; None for a reading that gives no alarm."""
        at_once = self.rank(sign, by, lanes)[0] in (_ALARM, _UNIT)
        return LossNotice(sign.name, 0.0) if at_once else None

    def ringing(self, shown: tuple[int, ...], lane: int) -> tuple[Sign, ...]:
        """The alarms and lamps of a pattern that a case sets off."""
        moved = ((s, shown[n]) for n, s in self._monitors if shown[n] in (-1, 1))
        return tuple(s for s, by in moved if self._alarm(s, by, (lane,)))

    @cached_property
    def _monitors(self) -> Sequence[tuple[int, Sign]]:
        return [(n, sign) for n, sign in enumerate(self.signs.signs) if sign.look is Look.MONITOR]

    def may_alarm(self, sign: Sign) -> bool:
        """Whether a sign is a reading with an alarm that is silent in normal flight."""
        return sign.look is Look.MONITOR and not self._lamp(sign) and bool(self._silent.get(sign.name))

    def alarmed(self, sign: Sign, lane: int) -> int:
        """How a reading moves that crosses its alarm with a case: -1 lower, 1 higher, 0 where it does not
        surely. In normal flight it is on the silent side, the batteries as that leaves them; while they are
        recharged it may read as after the case, so that limits alone do not tell the two apart."""
        if not self.may_alarm(sign):
            return 0
        least = -1 if self.facts.points.alarm_sign(sign.name) > 0 else 1
        return next((by for by in (least, -least) if self._alarm(sign, by, (lane,))), 0)

    def shown(self, sign: Sign, by: int, lanes: Sequence[int]) -> Sequence[Seen]:
        """What is seen of a sign in some cases: of a reading surely beyond its alarm what is beyond."""
        of_cases = self.signs.seen(sign)
        every = [of_cases[i] for i in lanes]
        if sign.look is not Look.MONITOR or self._lamp(sign) or not self._alarm(sign, by, lanes):
            return every
        monitor = self.facts.design.watch.monitors[sign.name]
        turned = self.facts.points.alarm_sign(sign.name) < 0
        level = monitor.alarm_below if (by < 0) != turned else monitor.alarm_above
        if level is None:
            return every
        level = -level if turned else level
        cut = min if by < 0 else max
        return [seen if seen is None else (cut(seen[0], level), cut(seen[1], level)) for seen in every]

    @cached_property
    def _silent(self) -> Mapping[str, bool]:
        """By monitor with an alarm in figures whether that is surely off in the normal state; empty in
        others, and where it is not known."""
        with suppress(NotAssessable):
            return self.facts.detection.silent_alarms if self._limited else {}
        return {}

    def _lamp(self, sign: Sign) -> bool:
        meter = self.facts.detection.meters[sign.name]
        return meter.shows == "live" or meter.lamp

    def _alarm(self, sign: Sign, by: int, lanes: Sequence[int]) -> bool:
        """Whether a reading is on the far side of its alarm in all of some cases, or a lamp lights."""
        if (sign, by) not in self._rings:
            self._rings[sign, by] = self._beyond_alarm(sign, by)
        rings = self._rings[sign, by]
        return rings if isinstance(rings, bool) else all(rings[i] for i in lanes)

    def _beyond_alarm(self, sign: Sign, by: int) -> bool | Sequence[bool]:
        """:meth:`_alarm` of each case; True or False where that is the same for every case."""
        monitor = self.facts.design.watch.monitors[sign.name]
        if self._lamp(sign):
            return by > 0
        low, high = monitor.alarm_below, monitor.alarm_above
        if low is None and high is None:
            return monitor.shows == "current" and bool(monitor.alarm)
        if self._silent.get(sign.name) is False:
            return False
        turned = self.facts.points.alarm_sign(sign.name) < 0
        falls = (by < 0) != turned

        def rings(seen: Seen, surely: bool = True) -> bool:
            if seen is None:
                return False
            least, most = (-seen[1], -seen[0]) if turned else seen
            if not surely:
                least, most = most, least
            return (low is not None and most < low) if falls else (high is not None and least > high)

        every = self.signs.seen(sign)
        if rings(every[-1]):
            return False

        def unsure(lane: int) -> bool:
            """Whether the limits of a case by itself may be on the far side where what is seen is not."""
            seen, now = every[lane], self.signs.reading(sign.name, lane)
            if now is None or rings(seen) or not rings(seen, surely=False):
                return False
            # those limits have its reading within them
            return rings((now.value, now.value))

        if self._limited:
            self.signs.solve_limits(sign.name, [i for i in range(len(every)) if unsure(i)])
        return [
            rings(seen) or (unsure(i) and rings(self._after(sign.name, seen, i)))
            for i, seen in enumerate(every)
        ]

    @property
    def _limited(self) -> bool:
        """Whether limits of a case are solved: of other states nothing says how full batteries are."""
        return self.signs.answer.state.name == self.facts.states.operation.normal

    def _after(self, monitor: str, seen: Seen, lane: int) -> Seen:
        """What a monitor may read after a case by the limits of that case itself, narrower than those of
        the sound system where an alternator is lost: its setting does not count then."""
        if seen is None or not self._limited:
            return None
        now = self.signs.reading(monitor, lane)
        own = None if now is None else self.signs.limits_after(monitor, now, lane)
        return own.ends if own else None
