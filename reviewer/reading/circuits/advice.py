"""What is said of words that do not fit where they stand in a path."""

from __future__ import annotations

from collections.abc import Collection
from difflib import get_close_matches

from reviewer.reading.circuits.kinds_in_line import IN_LINE, THROUGH
from reviewer.reading.circuits.tokens import Token
from reviewer.reading.meant import KINDS
from reviewer.reading.problem import did_you_mean

#: how alike a word and a kind are of which one is the other misspelt: `braker`, not `radio` and `diode`
_NEARLY = 0.75

#: what is said of a `<`
NO_JOIN = "`<` is no join; write the path from source to ground, with ` > `"


def missing_join(token: Token, before: Token) -> str:
    """What is said of a word or sign that stands where a join is."""
    if token.sign == ")":
        return "this bracket closes nothing; remove it"
    if token.sign == ",":
        return "a comma is used in brackets only; `>` or `+` leads to the next part"
    if token.text == "<":
        return NO_JOIN
    said = f"`{token.text}` follows `{before.text}` without a join"
    return f"{said}; write ` > ` for a wire or ` + ` between them"


def figures_outside(token: Token, figure: str, declared: Collection[str]) -> str:
    """What is said of a name with a ``figure`` after it that is no wire's."""
    if token.text in declared:
        return f"`{token.text}` is made already; its figures go there, and its name alone here"
    meant = KINDS.get(token.text.lower(), ())
    if meant and not {"load", "instrument"} & set(meant):
        return f"`{token.text}` is not a kind of part{did_you_mean(meant)}"
    if "+" in token.text:
        return f"a ` + ` has a space before and after it: `{token.text.replace('+', ' + ')}`"
    if near := get_close_matches(token.text, IN_LINE, 1, _NEARLY):
        return f"`{token.text}` is not a kind of part{did_you_mean(near)}"
    said = f"the figures of a load go in brackets: `{token.text} ({figure})`"
    return f"{said}; anything but a load begins with its kind"


def terminals_of_made(kind: str, word: str) -> str:
    """What is said of terminals after a kind, which a path passes in one direction only."""
    name, _, terminals = word.partition(".") if "." in word else (f"{kind}-1", "", word)
    if "/" not in terminals:
        terminals = "/".join(reversed(THROUGH[kind])) if kind in THROUGH else "IN/OUT"
    made = f"write `{name}: {{kind: {kind}}}` under `parts`, and here `{name}.{terminals}`"
    return f"`{word}`: a path passes a {kind} that it makes in one direction; for other terminals {made}"


def not_in_line(kind: str) -> str:
    """What is said of a kind that no path makes."""
    said = f"{kind}: a line cannot say all that it needs; write it under `parts`"
    return f"{said}, and here its name with the terminals of the path: `NAME.IN/OUT`"
