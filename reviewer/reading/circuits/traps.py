"""What YAML makes of a path that is not in quotes, and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from reviewer.reading.circuits.path_text import PathText
from reviewer.reading.circuits.tokens import SOLD_GAUGE
from reviewer.reading.problem import shown

#: what is said of a comma in braces
BRACES = "in braces `{ }` a comma makes another key; put the text that has one in quotes"
_QUOTE = "put the whole path in quotes"
#: first character of a path -> what it is to YAML
_FIRST = {
    ">": "a `>` at the start makes a block of text of it; a path begins at a bus or source",
    "|": "a `|` at the start makes a block of text of it; a path begins at a bus or source",
    "*": f"a `*` at the start makes a reference of it; {_QUOTE}, or leave the `*` out",
    "&": f"an `&` at the start makes an anchor of it; {_QUOTE}, or leave the `&` out",
    "!": f"a `!` at the start makes a tag of it; {_QUOTE}, or leave the `!` out",
    '"': "a quote at the start ends the text at the next quote; put the whole path in single quotes `'`",
    "'": 'a quote at the start ends the text at the next quote; put the whole path in double quotes `"`',
    "{": f"a `{{` at the start makes a group of keys of it; {_QUOTE}",
    "[": f"a `[` at the start makes a list of it; {_QUOTE}",
    "%": f"no text begins with `%`; {_QUOTE}",
    "@": f"no text begins with `@`; {_QUOTE}",
    "`": f"no text begins with `` ` ``; {_QUOTE}",
    "?": "a `? ` at the start makes a key of it; a path begins at a bus or source",
    "-": "a `- ` at the start makes a list of it; a path begins at a bus or source",
}
#: a path that ends with a length, or where a wire begins
_WIRE_LAST = re.compile(r"(?:[0-9.]\s*(?:mm|cm|m|ft|in)|>)\s*$")
_ENTRY = re.compile(r"^(\s+)(?:\"[^\"]*\"|'[^']*'|[^\s#:\"'][^:]*):(?:\s+(.*))?$")
_CIRCUITS = re.compile(r"\s*(circuits|\"circuits\"|'circuits')\s*:")


def cut_short(text: PathText, at: int, message: str) -> str:
    """What is said of a mistake, with the reason where a `` #`` or a comma of YAML has cut the path."""
    rest = text.rest_of_line()
    sold = SOLD_GAUGE.match(rest.lstrip()) if not text.style and rest[:1].isspace() else None
    if sold and _WIRE_LAST.search(text):
        return f"` #` begins a comment, so `#{sold[1]}` is not read; write the gauge as `{sold[1]} AWG`"
    last = at >= len(text.rstrip()) - len(text.rstrip().split()[-1]) if text.strip() else False
    open_bracket = text.count("(") > text.count(")")
    if not text.style and re.match(r"\s+#", rest) and (last or open_bracket):
        return f"{message}; ` #` cuts the path here, what follows is a comment: put the whole path in quotes"
    if at >= max(text.rfind(" > "), text.rfind(" + ")) and (said := after_the_path(text)):
        return f"{message}; {said}"
    if cut_by_comma(text):
        said = "in braces `{ }` a comma makes another key; put the path in quotes"
        return f"{said}, or give each circuit a line of its own"
    return message


def comment_in_block(text: PathText) -> int:
    """The index of a ``#`` in a block of text that is meant as a comment; -1 for none."""
    found = re.search(r"(?:^|\s)#", text) if text.style in ("|", ">") else None
    return found.end() - 1 if found else -1


def cut_by_comma(text: PathText) -> bool:
    """Whether a comma in its brackets has cut a path that stands in braces."""
    return not text.style and text.rest_of_line().startswith(",") and text.count("(") > text.count(")")


def after_the_path(text: PathText) -> str:
    """What is said of a comment after a path that has a join in it; nothing of another."""
    rest = text.rest_of_line()
    comment = re.match(r"\s+#(.*)", rest) if not text.style else None
    if comment and re.search(r"\s[>+]\s", comment[1]):
        said = "` #` cuts the path here, and what follows it looks like more of it"
        return f"{said}; put the whole path in quotes, or the comment on a line of its own"
    return ""


def without_braces(name: str, value: Any) -> str:
    """What is said of a circuit that is no text."""
    said = f"circuit {name}: expected a path, found {shown(value)}"
    if isinstance(value, dict) and "assembly" in value:
        return f"{said}; an assembly stands under `installed`, beside `circuits`"
    if isinstance(value, dict):
        return f"{said}; a `: ` in a path makes a key of what is before it: put the path in quotes"
    if isinstance(value, list):
        return f"{said}; write the path after the colon, without `-` or brackets"
    return f"{said}; write for example `main-bus + breaker 5 A > 20 AWG 1.2 m > radio (1.2 A) > ground`"


def without_blank(circuits: object) -> str:
    """What is said of circuits in which no blank follows a colon; nothing of others."""
    tight = re.match(r"[\w-]+:(?=\S)", circuits) if isinstance(circuits, str) else None
    return f"; a space follows the colon of a name: `{tight[0]} ...`" if tight else ""


def syntax_hint(lines: Sequence[str], line: int) -> tuple[str, int]:
    """What is said of a line in ``circuits`` of which YAML makes nothing, and the line where it
    stands, 0 for the one that YAML names; nothing elsewhere.

    ``line`` counts from 1.
    """
    number = min(line, len(lines)) - 1
    top = _head_of(lines, number)
    if top < 0:
        return "", 0
    first = next((x for x in lines[top + 1 :] if x.strip() and not x.lstrip().startswith("#")), "")
    indent = len(first) - len(first.lstrip())
    entries = [
        at
        for at in range(top + 1, number + 1)
        if lines[at].strip()
        and len(lines[at]) - len(lines[at].lstrip()) <= indent
        and not lines[at].lstrip().startswith("#")
    ]
    if entries and (said := _of_entry(lines[entries[-1] : number + 1])):
        return said, 0
    bare = next((at for at in entries[-2:-1] if not _ENTRY.match(lines[at])), None)
    return (_of_entry(lines[bare : bare + 1]), bare + 1) if bare is not None else ("", 0)


def _head_of(lines: Sequence[str], number: int) -> int:
    """The line with the `circuits` in which a line stands, of the file or of an assembly; -1 for none."""
    least = len(lines[number]) + 1
    for at in range(number, -1, -1):
        text = lines[at].lstrip()
        indent = len(lines[at]) - len(text)
        if not text or text.startswith("#") or indent >= least:
            continue
        if at != number and _CIRCUITS.match(lines[at]):
            return at
        least = indent
    return -1


def _of_entry(lines: Sequence[str]) -> str:
    entry = _ENTRY.match(lines[0])
    start = (entry[2] or "").lstrip() if entry else ""
    if not start:
        start = next((x.strip() for x in lines[1:] if x.strip()), "")
    if entry is None and not lines[0].lstrip().startswith("-"):
        return (
            "a line in `circuits` is `name: path`; write the name of the circuit and a colon before the path"
        )
    if start[:1] in _FIRST and (start[:1] not in "-?" or start[1:2].isspace()):
        return _FIRST[start[0]]
    if any(re.match(r"\s*#", x) or re.search(r"\s#", x) for x in lines[:-1]):
        return "a comment between the lines of a path ends it; put it above the circuit"
    whole = " ".join([start, *lines[1:]])
    if re.search(r":\s", whole) or whole.rstrip().endswith(":"):
        return f"a `: ` in a path makes a key of what is before it; {_QUOTE}"
    return ""
