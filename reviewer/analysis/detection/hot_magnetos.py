"""Magnetos that must not fire in a state: which stay hot, and which failures leave them hot unseen.

A magneto is hot where its p-lead does not reach its ground: it fires as soon as its engine is
turned, be it by hand.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.circuit_paths import grounding_path
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.design import Check, Design
from reviewer.model.record import record


@record
class HotMagneto:
    """A magneto, by name, that fires in ``states`` in which it must be silent, the most dangerous
    first: by the hand that turns the propeller where ``by_hand``, else with the engine turning.
    """

    magneto: str
    states: tuple[str, ...]
    by_hand: bool


def hot_magnetos(answers: Sequence[StateAnswer]) -> Iterator[HotMagneto]:
    """The magnetos that are hot with nothing failed in a state that declares them silent."""
    found: dict[str, list[StateAnswer]] = {}
    for answer in answers:
        for name in answer.state.silent:
            if answer.healthy.hot[f"parts/{name}"]:
                found.setdefault(name, []).append(answer)
    for name, hot in found.items():
        still = [a.state.name for a in hot if a.state.engine == "stopped"]
        turning = [a.state.name for a in hot if a.state.engine != "stopped"]
        yield HotMagneto(name, (*still, *turning), bool(still))


def exchanged_positions(
    design: Design, answers: Sequence[StateAnswer], hot: HotMagneto
) -> tuple[str, str, str] | None:
    """A switch moved by hand, and its two positions, that exchanged silence a magneto wherever it must be
    silent: with them every magneto is grounded in all states that declare it silent and in no other in
    which the engine runs, and as many loads have power. The first is that of the first state; else None."""
    first = next(a for a in answers if a.state.name == hot.states[0])
    for name in design.hand_switches:
        own = first.state.switches.get(name, "")
        for other in design.part(name, p.Switch).positions if own else ():
            turned = {own: other, other: own}
            if other != own and all(_right_with(design, a, name, turned) for a in answers):
                return name, own, other
    return None


def _right_with(design: Design, answer: StateAnswer, switch: str, turned: Mapping[str, str]) -> bool:
    """Whether the magnetos are grounded as a state asks, with positions of a switch ``turned``, and loads
    have power as without."""
    at, state = answer.state.switches.get(switch, ""), answer.state
    if at not in turned:
        solved = answer.healthy
    else:
        moved = MappingProxyType({**state.switches, switch: turned[at]})
        solved = conduct(answer.network, replace(state, switches=moved))
    magnetos = design.of_kind(p.Magneto)
    silent = all(not solved.hot[f"parts/{m}"] for m in magnetos if m in state.silent)
    fires = all(
        solved.hot[f"parts/{m}"]
        for m in magnetos
        if state.engine == "running" and m not in state.silent and not state.is_off(m)
    )
    users = (c.element for c in answer.network.consumers)
    return silent and fires and all(solved.powered[e] == answer.healthy.powered[e] for e in users)


def never_fires(answers: Sequence[StateAnswer], magneto: str) -> tuple[str, tuple[str, ...]] | None:
    """The first of some states with the engine running, and how a magneto, by name, is grounded there;
    None where it fires in one of them, or where one that declares it silent or off is all that there is."""
    element = f"parts/{magneto}"
    running = [a for a in answers if a.state.engine == "running"]
    wanted = [a for a in running if magneto not in a.state.silent and not a.state.is_off(magneto)]
    if not wanted or any(a.healthy.hot[element] for a in running):
        return None
    path = grounding_path(wanted[0], element)
    return (wanted[0].state.name, path) if path else None


@record
class UnseenHot:
    """Single failures that leave a magneto, by name, hot on the ground in a ``state`` and that no
    check shows; ``path`` is how its p-lead is grounded there."""

    magneto: str
    state: str
    failures: tuple[Failure, ...]
    path: tuple[str, ...]


@record
class OpenedGround:
    """Circuit protection, by element, whose opening leaves a magneto hot in a ``state``; ``path`` is
    how its p-lead is grounded there."""

    state: str
    devices: tuple[str, ...]
    path: tuple[str, ...]


def opened_ground(answers: Sequence[StateAnswer], magneto: str, devices: Set[str]) -> OpenedGround | None:
    """Those of the ``devices`` that one magneto is grounded through in the first state that silences
    it and in which it is; None where there are none."""
    element = f"parts/{magneto}"
    for answer in answers:
        if magneto in answer.state.silent and not answer.healthy.hot[element]:
            failed = [answer.failures[i].element for i in bits(answer.failed.hot[element])]
            if opened := tuple(dict.fromkeys(e for e in failed if e in devices)):
                return OpenedGround(answer.state.name, opened, grounding_path(answer, element))
    return None


def unseen_hot(
    answers: Sequence[StateAnswer], checks: Sequence[tuple[Check, StateAnswer]], magneto: str
) -> UnseenHot | None:
    """The failures that leave a magneto hot in the first state with the engine stopped that silences
    it, and that no check shows; None where there are none. Raises NotAssessable where that state was
    made and the file has no check: its checks are yet to come."""
    element = f"parts/{magneto}"
    for answer in answers:
        grounded = not answer.healthy.hot[element]
        if magneto in answer.state.silent and answer.state.engine == "stopped" and grounded:
            left = [answer.failures[i] for i in bits(answer.failed.hot[element])]
            for check, checked in checks:
                if left:
                    seen = Observation(checked, {}, tuple(left)).watched_parts(check.watch)
                    left = [failure for i, failure in enumerate(left) if not seen >> i & 1]
            if left and not checks and answer.state.name in answer.design.made:
                raise NotAssessable("`watch` with its `checks`")
            path = grounding_path(answer, element)
            return UnseenHot(magneto, answer.state.name, tuple(left), path) if left else None
    return None


@record
class LiveLead:
    """The p-lead of a magneto that a ``source`` feeds in some ``states``; ``path`` is how, in the first."""

    source: str
    states: tuple[str, ...]
    path: tuple[str, ...]


def live_lead(answers: Sequence[StateAnswer], magneto: str) -> LiveLead | None:
    """The states in which a source feeds the p-lead of a magneto, by name, whose ground is not live; None
    where there are none."""
    network = answers[0].network
    lead, ground = (network.node(f"{magneto}.{end}") for end in ("p-lead", "ground"))
    found = [a for a in answers if a.healthy.live(lead) and not a.healthy.live(ground)]
    if not found:
        return None
    source = found[0].fed_by(lead)[0]
    path = feed_path(network, found[0], source, lead)
    return LiveLead(source, tuple(a.state.name for a in found), path)
