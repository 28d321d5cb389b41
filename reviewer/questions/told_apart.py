"""What tells cards apart that begin with the same indication: further signs, which show otherwise after
every cause of one card than after every cause of the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.first_signs import FirstSigns
from reviewer.questions.meter_ranges import Seen, spanned
from reviewer.questions.state_signs import Look, Sign, StateSigns


def told_apart(
    first: FirstSigns, cards: Sequence[ChecklistCard], lanes: Sequence[Sequence[int]]
) -> tuple[ChecklistCard, ...]:
    """The cards, each with a few signs that tell it from the others of its indication (``apart``) and the
    numbers of those that none tells from it (``not_apart``); ``lanes`` are the causes of each."""
    signs = first.signs
    usable = [sign for sign in signs.signs if sign.look is not Look.PROTECTION]
    # what is dark is seen without reading a figure
    usable.sort(key=lambda sign: (sign.look is not Look.UNIT, -first.gravest.get(sign.name, 0)))
    known: dict[tuple[Sign, int], Seen] = {}

    def seen_of(sign: Sign, k: int) -> Seen:
        """What is seen of a sign after any cause of a card: cards of one indication are all compared."""
        if (sign, k) not in known:
            known[sign, k] = _seen(signs, sign, lanes[k])
        return known[sign, k]

    found = []
    for i, card in enumerate(cards):
        alike = [k for k, other in enumerate(cards) if k != i and _begins(other) == _begins(card)]
        seen = {sign: seen_of(sign, i) for sign in usable} if alike else {}
        tell = {sign: {k for k in alike if _disjoint(own, seen_of(sign, k))} for sign, own in seen.items()}
        left, chosen, also = set(alike), list[Sign](), {sign for sign, _ in card.also}
        if card.sign in tell and card.sign.look is Look.MONITOR:
            left -= tell[card.sign]  # its figures stand in the heading
        while left:
            best = max(tell, key=lambda sign: (len(tell[sign] & left), sign in also))
            if not tell[best] & left:
                break
            chosen.append(best)
            left -= tell[best]
        apart = tuple((sign, seen[sign]) for sign in chosen)
        found.append(replace(card, apart=apart, not_apart=tuple(sorted(k + 1 for k in left))))
    return tuple(found)


def _begins(card: ChecklistCard) -> tuple[object, ...]:
    """What the crew sees first of a card."""
    if card.first_seen_by_alarm and card.alarm:
        return ("alarm", card.alarm.monitor)
    return (card.sign, card.by)


def _seen(signs: StateSigns, sign: Sign, lanes: Sequence[int]) -> Seen:
    """What is seen of a sign after any of some causes; None where one of them leaves that open."""
    every = signs.seen(sign)
    each = [every[i] for i in lanes]
    return None if None in each else spanned(each)


def _disjoint(one: Seen, other: Seen) -> bool:
    return one is not None and other is not None and (one[1] < other[0] or other[1] < one[0])
