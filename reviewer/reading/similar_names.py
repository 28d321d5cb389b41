"""Which of many names is most like another, found soon."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache

#: names of which all are compared, and how many of a longer list are
FEW, TRIED = 60, 20
#: names that share a pair, counted for one word; what nearly all share tells none from another
MOST_COUNTED = 4_000
_Index = dict[str, list[int]]


def likeliest(word: str, known: Sequence[str]) -> Sequence[str]:
    """The names among which the one most like a word is: of many those that share most pairs of
    letters with it, beside each other or with one between, the rarest pairs first."""
    if len(known) <= FEW:
        return known
    index = _index(tuple(known))
    shared: Counter[int] = Counter()
    counted = 0
    for names in sorted((index[p] for p in dict.fromkeys(_pairs(word)) if p in index), key=len):
        if counted > MOST_COUNTED:
            break
        shared.update(names)
        counted += len(names)
    best = sorted(shared, key=lambda i: (-2 * shared[i] / (len(word) + len(known[i])), i))
    return [known[i] for i in best[:TRIED]]


@lru_cache(maxsize=8)
def _index(known: tuple[str, ...]) -> _Index:
    """Pair of letters -> the names that have it."""
    found: _Index = {}
    for number, name in enumerate(known):
        for pair in set(_pairs(name[:100])):
            found.setdefault(pair, []).append(number)
    return found


def _pairs(word: str) -> Iterator[str]:
    framed = f"^{word}$"
    for first, second in itertools.pairwise(framed):
        yield first + second
    for first, third in zip(word, word[2:], strict=False):
        yield f"{first}?{third}"
