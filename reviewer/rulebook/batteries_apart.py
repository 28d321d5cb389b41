"""What parts several batteries that one failure takes together, where no other feed of a load helps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.network.search import reachable_by
from reviewer.rulebook.numbers import and_list
from reviewer.rulebook.trade_words import kind_word

#: relays that are named
_FEW = 3


def batteries_apart(failure: Failure, state: str, loads: Sequence[str], facts: Facts) -> str:
    """The remedy for a failure after which none of several batteries powers some loads (names) that each
    powered before; "" for fewer batteries, and where it is neither their ground that is lost nor what
    energises their contactors."""
    answer = facts.states.answer(state)
    lane = _lane(answer, failure)
    if lane is None:
        return ""
    failed, at = lane
    batteries = _lost(answer, failed, at, loads)
    if len(batteries) < 2:
        return ""
    part = facts.design.parts.get(bare(failure.element))
    if isinstance(part, p.GroundBlock | p.Stud) and all(
        ends_at(battery, failure.element, facts) for battery in batteries
    ):
        names = and_list(map(bare, batteries))
        stay = [load for load in loads if ends_at(f"parts/{load}", failure.element, facts)]
        with_it = f", and the returns of {and_list(stay)} with them" if len(stay) == len(loads) else ""
        return f"Give {names} each a {kind_word(part)} of its own{with_it}."
    relays = [
        bare(c.element)
        for c in facts.network.coils
        if answer.healthy.energised[c.element] & 1 and not failed.energised[c.element] >> at & 1
    ]
    if len(batteries) <= len(relays) <= _FEW and failure.element not in {f"parts/{r}" for r in relays}:
        apart = f"Feed or ground the coils of {and_list(relays)} apart from each other"
        return f"{apart}, so that a failure of {bare(failure.element)} leaves one of them energised."
    return ""


def _lane(answer: StateAnswer, failure: Failure) -> tuple[Conduction, int] | None:
    """Where a failure of a state is solved: the conduction of its lanes, and its lane."""
    for failures, solved in ((answer.failures, answer.failed), (answer.stuck_relays, answer.stuck)):
        if failure in failures:
            return solved, failures.index(failure)
    return None


def _lost(answer: StateAnswer, failed: Conduction, lane: int, loads: Sequence[str]) -> list[str]:
    """The batteries that powered any of some loads and now power none of them; none where one still does."""
    network = answer.network
    users = [c for c in network.consumers if bare(c.element) in loads]

    def powering(solved: Conduction, at: int) -> Iterator[str]:
        for source in (s.element for s in network.sources if s.kind == "battery" and s.element in solved.fed):
            if any(serves(network, solved, source, user) >> at & 1 for user in users):
                yield source

    return [] if any(powering(failed, lane)) else list(powering(answer.healthy, 0))


def ends_at(element: str, block: str, facts: Facts) -> bool:
    """Whether the return of a load or battery reaches no ground but a ground block (both pointers)."""
    network, parts = facts.network, facts.design.parts
    ends = [s.negative for s in network.sources if s.element == element]
    ends += [node for c in network.consumers if c.element == element for node in c.minus]
    grounds = {
        node
        for terminal, node in network.index.items()
        if isinstance(parts.get(name := terminal.rpartition(".")[0]), p.GroundBlock | p.Airframe)
        and f"parts/{name}" != block
    }
    reached = reachable_by(
        ends, lambda n: (other for i, other, _ in network.around[n] if network.links[i].element != block)
    )
    return not grounds & reached
