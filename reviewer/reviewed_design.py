"""A review asked for in Python: of a file, or of a design that is built as data."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.review import Finding, Gap, Review
from reviewer.reading import Unreadable, design_of, read_file, read_text
from reviewer.rulebook.rule import Rule
from reviewer.session import review_facts

#: what a review calls a design that was built as data
BUILT = "design"
#: no figure of a file is larger, and nothing in one lies deeper
_LARGEST, _DEEPEST = 1e300, 50


@dataclass(frozen=True)
class ReviewedDesign:
    """A design with its review, and the answers of the engines about it. A notebook shows it as a table
    of the findings and the schematic."""

    review: Review
    facts: Facts

    @property
    def design(self) -> Design:
        """The design in the order of its file."""
        return self.facts.as_written

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, conceded ones included, worst first."""
        return self.review.findings

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Everything that was not assessed, with the missing data. Not assessed does not mean
        acceptable."""
        return self.review.gaps

    def _repr_html_(self) -> str:
        from reviewer.reports.notebook import notebook_html

        return notebook_html(self.design, self.facts.network, self.review)


def review(
    design: str | PathLike[str] | Mapping[str, Any] | Design,
    rules: Sequence[Rule] | None = None,
    trials: bool = True,
) -> ReviewedDesign:
    """Review a design by the given rules, or by those that come with the reviewer.

    ``design`` is the path of a file, the data of one (mappings, lists, texts and numbers, as a file
    holds them), or a design that was read. Without ``trials`` estimates are taken as written only.

    Raises :class:`reviewer.Unreadable` with every mistake; the places of mistakes and findings in data
    count the lines of the data as JSON, indented by one. Raises TypeError or ValueError with the path of
    every value that a file cannot hold, and :class:`reviewer.rulebook.loader.RuleNotLoadable`.
    """
    if isinstance(design, str) and "\n" in design:
        raise TypeError("The text of a design is no path; give its data, as yaml.safe_load(text) has them.")
    if isinstance(rules, str) or not all(isinstance(rule, Rule) for rule in rules or ()):
        raise TypeError("rules are what load_rules([FOLDER]) of reviewer.rulebook.loader gives.")
    path = Path(BUILT)
    if isinstance(design, Design):
        facts = Facts(design)
    elif isinstance(design, Mapping):
        facts = Facts(_read(design))
    elif not isinstance(design, str | PathLike):
        raise TypeError(
            f"A design is the path of a file, a mapping with the sections of a file, as "
            f'{{"format": 1, "aircraft": ...}}, or a Design; not {_kind(design)}.'
        )
    else:
        path = Path(design)
        facts = Facts(design_of(read_file(path)))
    return ReviewedDesign(review_facts(facts, path, rules, trials=trials), facts)


class _DataUnreadable(Unreadable):
    """Says where in the data a mistake is, as data have no lines."""

    def __str__(self) -> str:
        many = "" if len(self.problems) == 1 else "s"
        places = [f"At /{p.pointer.strip('/')}: {p.message}" for p in self.problems]
        return "\n  ".join([f"{self.file}: {len(self.problems)} mistake{many}", *places])


def _read(data: Mapping[str, Any]) -> Design:
    try:
        return read_text(_as_text(data), BUILT)
    except Unreadable as error:
        raise _DataUnreadable(error.file, error.problems, error.lines) from None


def _as_text(data: Mapping[str, Any]) -> str:
    """Data as the text of a file. Raises TypeError or ValueError with every value that no file holds."""
    wrong = list(_unheld(data, "", ()))
    if wrong:
        kind = TypeError if any(not number for _, number in wrong) else ValueError
        raise kind("\n".join(words for words, _ in wrong))
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False, default=_plain)


def _plain(value: Any) -> Any:
    """A mapping or sequence of another class as a dict or a list."""
    return dict(value) if isinstance(value, Mapping) else list(value)


def _unheld(value: Any, path: str, within: tuple[int, ...]) -> Iterator[tuple[str, bool]]:
    """What is wrong with each value that no file holds, and whether it is a number."""
    where = f"At {path}" if path else "The data"
    if len(within) > _DEEPEST:
        yield f"{where}: it lies {_DEEPEST} deep; a file has its parts and wires under their sections.", False
        return
    if id(value) in within:
        yield f"{where}: it holds itself; write what it holds.", False
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            if isinstance(key, str):
                yield from _unheld(inner, f"{path}/{key}", (*within, id(value)))
            else:
                yield f'{where}: the key {key!r} is {_kind(key)}; write it as a text: "{key}".', False
    elif isinstance(value, str) or value is None:
        return
    elif isinstance(value, int | float):
        if value != value or abs(value) > _LARGEST:
            what = str(value) if isinstance(value, float) else "so large a number"
            yield f"{where}: {what} is no figure; write a number, or leave the key out.", True
    elif isinstance(value, Sequence) and not isinstance(value, bytes | bytearray | memoryview):
        for number, inner in enumerate(value):
            yield from _unheld(inner, f"{path}/{number}", (*within, id(value)))
    else:
        yield f"{where}: {_kind(value)} stands in no file; write {_instead_of(value)}.", False


def _instead_of(value: Any) -> str:
    """What a file has in the place of a value."""
    if hasattr(value, "isoformat"):
        return f'the text "{value.isoformat()}"'
    if isinstance(value, bytes | bytearray):
        return "a text: it.decode()"
    if hasattr(value, "tolist"):
        return "a number or a list: it.tolist()"
    if isinstance(value, set | frozenset):
        return "a list: sorted(it)"
    return 'a mapping, a list, a number, true or false, or a text as "5 A"'


def _kind(value: Any) -> str:
    name = type(value).__name__
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
