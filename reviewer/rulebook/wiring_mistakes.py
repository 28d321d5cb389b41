"""One mistake at a contact, by which declared states are not as they say: two positions exchanged, a pair
joined in a position too many or in place of another, a wire past what switches a coil."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import combinations
from math import inf

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.network.work_count import work_done
from reviewer.rulebook.asked_repairs import TrialRepair
from reviewer.rulebook.trial_repairs import Change, positions_exchanged, removed, wires_at, with_positions
from reviewer.rulebook.unmet_declarations import UnmetDeclaration, unmet_declarations

#: ways that are tried, and changes of which it is solved what they put right
_MOST_WAYS, _MOST_SOLVED = 3, 24
#: of the work of all trials, what may be spent on choosing a change
_SHARE = 0.15
#: findings that may ask for them
_MOST_ASKED = 2
#: states in which a change must put something right: what is amiss in one may be the state itself
_LEAST_STATES = 2


class WiringMistakes:
    """What was found of one review, for each finding that may ask for it."""

    def __init__(self, most: float):
        """Of what is left up to ``most`` work, a share is for what changes put right."""
        self.most, self.asked = share_of(most), 0
        self.found: Sequence[Change] | None = None

    def trial(self, repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
        """The change at a contact with which all declarations are met; it shows everywhere. It is asked for
        twice at most."""
        unmet = unmet_declarations(facts)
        if self.asked >= _MOST_ASKED or not unmet:
            return None
        if self.found is None:
            self.found = _put_right(facts, self.most)
        asking = next((m for m in members if _is_about(m, unmet)), None)
        if asking is None or not self.found:
            return None
        self.asked += 1
        others = tuple(m for m in members if m is not asking)
        return TrialRepair(repair, None, (asking, *others), tuple(self.found), equal=True, searched=True)


def share_of(most: float) -> float:
    """The work up to which it is solved what changes may put right, of trials that end at ``most``."""
    return work_done() + _SHARE * (most - work_done())


def _is_about(finding: Finding, unmet: Collection[UnmetDeclaration]) -> bool:
    """Whether a finding is about an element and a state of some declarations, with nothing failed, or
    about a check in such a state."""
    if finding.failure and not finding.subject.startswith("watch/checks/"):
        return False
    evidence = finding.evidence
    named = {finding.subject, *evidence.elements, *(f"functions/{name}" for name in evidence.functions)}
    return any(one.element in named and finding.state in ("", one.state) for one in unmet)


def _put_right(facts: Facts, most: float = inf) -> Sequence[Change]:
    """The changes with which all declarations are met, the first of them first: where something else is
    amiss, what is found may follow from that."""
    found = list[Change]()
    several = len({one.state for one in unmet_declarations(facts)}) >= _LEAST_STATES
    for number, change in enumerate(_changes(facts) if several else ()):
        if number >= _MOST_SOLVED or work_done() >= most:
            break
        with Facts(change.made_in(facts.as_written)) as after:
            if not unmet_declarations(after):
                found.append(change)
    return found[:_MOST_WAYS]


def _changes(facts: Facts) -> Iterator[Change]:
    """Changes that may put right what is unmet: two positions are exchanged only where both are wrong."""
    amiss = {one.state for one in unmet_declarations(facts)}
    settings = [dict(answer.switches) for answer in facts.states.answers() if answer.state.name in amiss]
    for name in facts.design.hand_switches:
        part = facts.design.parts[name]
        if not isinstance(part, p.Switch):
            continue
        wrong = [position for position in part.positions if any(s.get(name) == position for s in settings)]
        for one, other in combinations(wrong, 2):
            if part.positions[one] != part.positions[other]:
                yield positions_exchanged(name, part, one, other)
        for position in wrong:
            for pairs in _other_pairs(part, position):
                yield with_positions(name, part, {position: pairs})
    for wire in dict.fromkeys((*_past_contacts(facts), *_between_p_leads(facts))):
        yield removed(wire, facts.design)


def _other_pairs(part: p.Switch, position: str) -> Iterator[Sequence[Sequence[str]]]:
    """The pairs that a switch may join in a position: one fewer of those that others join too, or one of
    the others in place of one. What another position joins already is none."""
    own = [tuple(pair) for pair in part.positions[position]]
    others = [tuple(pair) for at, pairs in part.positions.items() if at != position for pair in pairs]
    taken = [{frozenset(pair) for pair in pairs} for pairs in part.positions.values()]
    ways = [[pair for pair in own if pair != left] for left in own if left in others]
    for new in dict.fromkeys(pair for pair in others if pair not in own):
        ways += [[new if pair == left else pair for pair in own] for left in own]
    yield from (way for way in ways if {frozenset(pair) for pair in way} not in taken)


def _between_p_leads(facts: Facts) -> Iterator[str]:
    """The wires (names) on the first terminal to which the p-lead of a magneto goes that is not as declared,
    that lead on to another terminal with more wires."""
    amiss = {bare(one.element) for one in unmet_declarations(facts)}
    for name in (n for n in facts.design.of_kind(p.Magneto) if n in amiss):
        ends = [far for _, far in wires_at(facts.design, f"{name}.p-lead")]
        for end in ends:
            leads = wires_at(facts.design, end)
            yield from (
                w for w, far in leads if far not in ends and len(wires_at(facts.design, far)) > 1 < len(leads)
            )


def _past_contacts(facts: Facts) -> Iterator[str]:
    """The wires (names) in the circuit of a coil that is energised where a bus is to be dead or a starter to
    rest, each beside another one at the coil."""
    found = dict[str, None]()
    for state in sorted({one.state for one in unmet_declarations(facts) if one.element.startswith("parts/")}):
        answer = facts.states.answer(state)
        for coil in (c.element for c in facts.network.coils if answer.healthy.energised.get(c.element)):
            name = bare(coil)
            part = facts.design.parts[name]
            for terminal in part.coil if isinstance(part, p.Electromagnet) else ():
                on = [wire for wire, _ in wires_at(facts.design, f"{name}.{terminal}")]
                circuit = (*facts.states.path_to(state, coil), *facts.states.path_back(state, coil))
                found.update(dict.fromkeys(w for w in on if on[1:] and f"wires/{w}" in circuit))
    yield from found
