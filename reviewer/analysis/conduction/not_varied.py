"""What enumerations leave out, as sentences: switches that were not varied where there are too many."""

from __future__ import annotations

from collections.abc import Iterable

_SHORT = "a short of "


class NotVaried(str):
    """The sentence that says which ``switches`` stayed at the normal position in the search for
    something (``about``)."""

    about: str
    switches: tuple[str, ...]

    @classmethod
    def of(cls, about: str, switches: tuple[str, ...]) -> NotVaried:
        """The sentence of one search."""
        found = cls(_sentence([about], switches))
        found.about, found.switches = about, switches
        return found


def told_together(sentences: Iterable[str]) -> tuple[str, ...]:
    """Some sentences, each once; those of searches that leave the same switches as they are in
    one, where the first of them stands."""
    found: dict[str | tuple[str, ...], list[str]] = {}
    for sentence in dict.fromkeys(sentences):
        if isinstance(sentence, NotVaried):
            found.setdefault(sentence.switches, []).append(sentence.about)
        else:
            found[sentence] = [sentence]
    return tuple(_sentence(abouts, key) if isinstance(key, tuple) else key for key, abouts in found.items())


def _sentence(abouts: Iterable[str], switches: tuple[str, ...]) -> str:
    every = list(dict.fromkeys(abouts))
    shorts = [about.removeprefix(_SHORT) for about in every if about.startswith(_SHORT)]
    others = [about for about in every if not about.startswith(_SHORT)]
    listed = ", ".join(
        [*others, *([f"shorts of {', '.join(shorts)}"] if shorts[1:] else map(_SHORT.__add__, shorts))]
    )
    own = "its normal position" if len(switches) == 1 else "their normal positions"
    return f"Tried only with {', '.join(switches)} in {own}, as there are too many combinations: {listed}."
