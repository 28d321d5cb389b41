"""The article follows how a noun is spoken."""

from __future__ import annotations

import pytest

from reviewer.model.article import with_article
from reviewer.model.parts import PART_KINDS

AN = ("alternator", "instrument", "airframe", "external-power")


@pytest.mark.parametrize("kind", PART_KINDS)
def test_the_article_of_every_kind_of_part(kind: str) -> None:
    assert with_article(kind) == f"{'an' if kind in AN else 'a'} {kind}"


@pytest.mark.parametrize(
    ("noun", "words"),
    [
        ("AGM battery", "an AGM battery"),
        ("18 AWG wire", "an 18 AWG wire"),
        ("8 AWG wire", "an 8 AWG wire"),
        ("11 V supply", "an 11 V supply"),
        ("14 V system", "a 14 V system"),
        ("110 V supply", "a 110 V supply"),
        ("2 AWG wire", "a 2 AWG wire"),
    ],
)
def test_the_article_of_numbers_and_letters(noun: str, words: str) -> None:
    assert with_article(noun) == words
