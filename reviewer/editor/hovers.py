"""What an editor shows of the word under the cursor: a finding, a name, a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.editor.completions import about_key
from reviewer.editor.cursor import cursor_at
from reviewer.editor.format_at import group_at
from reviewer.editor.fresh_review import Mark
from reviewer.editor.written_names import WrittenName
from reviewer.model.article import with_article
from reviewer.model.design import Design
from reviewer.reports.format_words import Schema
from reviewer.reports.wording import SHORT_CAUTION


def hover_words(
    text: str,
    line: int,
    column: int,
    marks: Sequence[Mark],
    pages: Mapping[str, str],
    named: WrittenName | None,
    live: str,
    design: Design | None,
    schema: Schema,
) -> str:
    """Lines of Markdown about a place, line and column from 1; "" where there is nothing to say.

    ``marks`` are those that cover it, ``pages`` the text of each rule, ``named`` the name there and
    ``live`` what was solved of it.
    """
    found = [*_findings(marks, pages)]
    if named is not None:
        found += _name(named, live, design)
    else:
        found += _key(text, line, column, schema)
    reviewed = live or any(mark.weight != "mistake" for mark in marks)
    caution = f"\n\n*{SHORT_CAUTION}*" if reviewed else ""
    return "\n\n---\n\n".join(found) + caution


def _findings(marks: Sequence[Mark], pages: Mapping[str, str]) -> Iterator[str]:
    for mark in marks:
        words = f"**{mark.weight}**: {mark.sentence}"
        if mark.more:
            words += f"\n\n{mark.more}"
        if mark.rule in pages:
            words += f"\n\nRule `{mark.rule}`\n\n{pages[mark.rule]}"
        yield words


def _name(named: WrittenName, live: str, design: Design | None) -> Iterator[str]:
    what = named.group.removesuffix("s")
    part = design.parts.get(named.name) if design and named.group == "parts" else None
    wire = design.wires.get(named.name) if design and named.group == "wires" else None
    if part is not None:
        label = getattr(part, "label", None)
        what = f"{with_article(part.kind)}{f', {label}' if label else ''}"
    words = f"**{named.name}**: {what}"
    if wire is not None:
        words = f"**{named.name}**: wire from {wire.from_} to {wire.to}"
    yield f"{words}\n\n{live}" if live else words


def _key(text: str, line: int, column: int, schema: Schema) -> Iterator[str]:
    cursor = cursor_at(text, line - 1, column - 1)
    if cursor is None:
        return
    key = cursor.key or cursor.whole
    own = group_at((*cursor.steps, key), cursor.kind, schema) if key else None
    if own is not None and own.get("description") and cursor.steps[:1] != ("circuits",):
        yield f"`{key}`: {about_key(own, schema)}"
