"""Recharge inrush: what the protective devices and diodes on the way to a flat battery carry when
the alternator comes on.

The currents are those of the solved circuit; the way is the path of least resistance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.fault_loops import FaultLoops
from reviewer.analysis.sources.recharge_course import FirstCharge
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Network, bare


@record
class RechargeInrush:
    """The first current, ``amps``, into a flat ``battery`` in a ``state``, from ``alternators``.

    The battery is flat at ``flat`` volts at open circuit. On the paths of ``ohms`` at least, and of
    diodes that drop ``drop`` volts, lie ``protectors`` and ``diodes``: name -> amperes through it,
    loads and all; resistors are among the ``diodes``. The paths ``passed`` all those elements.
    """

    battery: str
    givers: tuple[str, ...]
    state: str
    amps: float
    flat: float
    ohms: float
    drop: float
    protectors: Mapping[str, float]
    diodes: Mapping[str, float]
    passed: tuple[str, ...]


@record
class RechargeOpening:
    """A protective device, ``name``, that a recharge opens: it carries ``amps``, more than ``limit``,
    for ``seconds``; 0 where that opens it at once."""

    name: str
    amps: float
    limit: float
    seconds: float = 0.0


def openings(
    design: Design,
    charge: RechargeInrush,
    multiple: float,
    longest: float,
    carried: Callable[[Mapping[str, float]], Mapping[str, tuple[float, float]]],
) -> Iterator[RechargeOpening]:
    """The devices that a recharge opens: at once above ``multiple`` times their rating, and above their
    rating if it goes on for more than ``longest`` seconds.

    ``carried`` gives the most amperes and the seconds above it by element, for limits by element.
    Raises NotAssessable.
    """
    parts = ((name, design.part(name, p.Protector)) for name in charge.protectors)
    ratings = {name: part.rating for name, part in parts}
    if unrated := [name for name, rating in ratings.items() if rating is None]:
        raise NotAssessable(" and ".join(f"`rating` of {name}" for name in unrated))
    slow = {}
    for name, rating in ratings.items():
        assert rating is not None
        if exceeds(charge.protectors[name], multiple * rating):
            yield RechargeOpening(name, charge.protectors[name], multiple * rating)
        elif exceeds(charge.protectors[name], rating):
            slow[f"parts/{name}"] = rating
    for element, (amps, seconds) in carried(slow).items() if slow else ():
        if exceeds(amps, slow[element]) and exceeds(seconds, longest):
            yield RechargeOpening(bare(element), amps, slow[element], seconds)


def recharge(
    design: Design, network: Network, loops: FaultLoops, answer: StateAnswer, first: FirstCharge, battery: str
) -> RechargeInrush | None:
    """The recharge inrush of a battery, by name, whose first current is ``first`` in a state.

    None where no path leads to it from an alternator or a converter. Raises NotAssessable.
    """
    sink = next(s for s in network.sources if s.element == f"parts/{battery}")
    givers, elements, ohms, drop = [], [sink.element], [], []
    for source in network.sources:
        if source.kind not in ("alternator", "converter") or not answer.healthy.alive[source.element]:
            continue
        out = loops.path(answer, source.positive, sink.positive, True)
        back = loops.path(answer, source.negative, sink.negative, False)
        if out is not None and back is not None:
            givers.append(bare(source.element))
            elements += (*out.elements, *back.elements)
            ohms.append(out.ohms + back.ohms)
            drop.append(out.drop + back.drop)
    if not givers:
        return None
    lacking = loops.unsized(elements)
    if lacking:
        raise NotAssessable(lacking)
    carried = {bare(e): abs(first.point.amps.get(e, first.amps)) for e in elements if e.startswith("parts/")}
    return RechargeInrush(
        battery,
        tuple(givers),
        first.flown.state,
        first.amps,
        first.volts,
        min(ohms),
        min(drop),
        {name: amps for name, amps in carried.items() if isinstance(design.parts[name], p.Protector)},
        {
            name: amps
            for name, amps in carried.items()
            if isinstance(design.parts[name], (p.Diode, p.FixedResistor))
        },
        tuple(dict.fromkeys(elements)),
    )
