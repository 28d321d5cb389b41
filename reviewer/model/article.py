"""The article that stands before a noun in a sentence."""

from __future__ import annotations

import re

#: numbers are spoken: eight, eleven, eighteen, eighty-two
_VOWEL = re.compile(r"[aeiou]|8|11(?!\d)|18(?!\d)", re.IGNORECASE)


def with_article(noun: object) -> str:
    """The noun with ``a`` or ``an`` before it: ``an alternator``, ``a bus``, ``an 18 AWG wire``."""
    return f"{'an' if _VOWEL.match(str(noun)) else 'a'} {noun}"
