"""Motors of flaps, trim or gear that run on with stuck contacts, and that no single move stops."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, STAYS, Failure
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.crew.moves import ActionSequence, after_failures, continued, moved, only, single_moves
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network, bare


@record
class UnstoppedMotor:
    """A motor (a pointer) that runs in ``state`` with the contacts of ``failure`` stuck.

    ``unreached`` are the breakers that stop it and that do not say whether they are in reach.
    """

    motor: str
    state: str
    failure: Failure
    unreached: tuple[str, ...]


def unstopped_motors(
    design: Design, network: Network, answer: StateAnswer, reversed_loads: Collection[str]
) -> Mapping[str, tuple[UnstoppedMotor, ...]]:
    """For each motor that is off in a state and that moves something: the stuck contacts that run it
    and that no single move undoes.

    A motor moves something where it runs both ways, or runs while a switch is held. A move that
    loses a function of major or graver loss, other than one that needs the motor, is none.
    """
    stuck = [f for f in answer.stuck_contacts if f.mode in (HELD, DROPPED, STAYS)]
    motors = [
        f"parts/{n}"
        for n in design.of_kind(p.Load)
        if design.parts[n].type == "motor" and not answer.healthy.powered[f"parts/{n}"]
    ]
    if not motors or not stuck:
        return {}
    start = after_failures(network, answer.state, stuck, answer.healthy)
    runs = start.solved.powered
    sprung = sum(1 << i for i, f in enumerate(stuck) if _sprung(design, f))
    moving = [
        m
        for m in motors
        if design.part(bare(m), p.Load).reversible or m in reversed_loads or runs[m] & sprung
    ]
    left = list(bits(join(runs[m] for m in moving)))
    if not left:
        return {m: () for m in moving}
    cases = [stuck[i] for i in left]
    tried = single_moves(design, answer.state)
    courses = []
    for move in tried:
        state, done = moved(design, answer.state, dict(move))
        courses.append(ActionSequence((), state, done, done))
    after = continued(network, only(start, 1, len(stuck), left), cases, courses).solved.powered
    before = function_masks(design, runs, (1 << len(stuck)) - 1)
    kept = function_masks(design, after, (1 << len(cases) * len(courses)) - 1)
    found: dict[str, list[UnstoppedMotor]] = {m: [] for m in moving}
    for motor in moving:
        others = _others(design, motor)
        for j, i in enumerate(left):
            lanes = {k * len(cases) + j: reach for k, reach in enumerate(tried.values())}
            ways = tuple(
                reach
                for lane, reach in lanes.items()
                if not after[motor] >> lane & 1
                and all(kept[n] >> lane & 1 for n in others if before[n] >> i & 1)
            )
            if runs[motor] >> i & 1 and "" not in ways:
                found[motor].append(UnstoppedMotor(motor, answer.state.name, stuck[i], ways))
    return {motor: tuple(own) for motor, own in found.items()}


def _others(design: Design, motor: str) -> list[str]:
    """The functions of major or graver loss that do without a motor."""
    without = function_masks(design, {f"parts/{n}": f"parts/{n}" != motor for n in design.parts}, 1)
    return [
        n for n, f in design.functions.items() if without[n] and HazardClass.of(f.loss) >= HazardClass.MAJOR
    ]


def _sprung(design: Design, failure: Failure) -> bool:
    part = design.parts[bare(failure.element)]
    return failure.mode == STAYS and failure.position in getattr(part, "momentary", ())
