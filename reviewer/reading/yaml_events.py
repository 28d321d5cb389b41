"""Text of a design file -> plain data and the place of everything in it.

YAML and JSON come in by this one door.

The events of PyYAML's C parser carry positions. What could surprise a reader of the file is
refused: aliases, tags, duplicate keys, deep nesting, large files.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Sequence
from typing import Any

import yaml
from yaml import events as ev

from reviewer.model.places import Spot
from reviewer.model.quantities import with_point
from reviewer.reading.circuits.path_text import PathText
from reviewer.reading.circuits.traps import syntax_hint
from reviewer.reading.problem import Problem, Unreadable, of_file
from reviewer.reading.scalar import plain_scalar

#: the most that is read of a file; a design of a thousand parts has about a tenth of it
MAX_BYTES = 5_000_000
MAX_DEPTH = 50

#: what shows as nothing, and what ends a line for YAML but not for an editor
_NOT_ALLOWED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x85\u2028\u2029\ufffe\uffff\ufeff]")

#: pointer -> where it stands
Places = dict[str, Spot]


def pointer(parent: str, key: object) -> str:
    """A JSON pointer without its leading slash: ``parts/main-bus/rating``; ``~`` and ``/`` in a key
    become ``~0`` and ``~1``."""
    text = str(key)
    if "~" in text or "/" in text:
        text = text.replace("~", "~0").replace("/", "~1")
    return f"{parent}/{text}" if parent else text


def load(content: str | bytes, file: str) -> tuple[Any, Places, Places, list[Problem]]:
    """Parse a file's content.

    Returns the plain data, the places of values and of keys (both by pointer, line and column from
    1), and the mistakes that did not stop the parsing. Raises :class:`Unreadable` where nothing can
    be made of the file.
    """
    text = _decode(content, file)
    if not text.strip():
        raise Unreadable(
            file,
            [of_file("the file is empty; `reviewer start FILE` writes a design to begin with")],
        )
    builder = _Builder(yaml.CLoader(text).get_event, text)
    try:
        data = builder.document()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        lines = text.splitlines()
        if line > len(lines):  # the end of the file is reported at the end of its last line
            line, column = len(lines), len(lines[-1]) + 1
        said = _syntax(error, lines)
        if tight := _tight_colon(error, lines):
            line, column, said = tight
        elif _ends_too_late(error, lines):
            line, column = _begun(error)
        elif " #" in lines[line - 1][:column]:
            said += "; ` #` begins a comment, so put text that has it in quotes"
        begun = _begun(error)
        hint, at = syntax_hint(lines, begun[0] or line)
        if hint:
            line, column = begun if begun[0] else (line, column)
            if at:
                line, column = at, len(lines[at - 1]) - len(lines[at - 1].lstrip()) + 1
            said = f"in `circuits`: {hint}"
            builder.problems = [p for p in builder.problems if p.line != line]
        builder.problems.append(Problem(line, column, "", said))
        raise Unreadable(file, builder.problems) from None
    except (yaml.YAMLError, ValueError) as error:
        builder.problems.append(
            Problem(1, 1, "", f"the file is not YAML or JSON: {' '.join(str(error).split())[:200]}")
        )
        raise Unreadable(file, builder.problems) from None
    except _Stop:
        raise Unreadable(file, builder.problems) from None
    return data, builder.values, builder.keys, builder.problems


def places_so_far(text: str) -> tuple[Places, Places]:
    """The places of values and of keys, by pointer, as far as a text can be parsed: a text that is being
    written may end in the middle of a line."""
    with contextlib.suppress(yaml.YAMLError, ValueError, _Stop):
        builder = _Builder(yaml.CLoader(text).get_event, text)
        with contextlib.suppress(yaml.YAMLError, ValueError, _Stop):
            builder.document()
        return builder.values, builder.keys
    return {}, {}  # letters that are none


def too_large(file: str) -> Unreadable:
    """What to raise for a file of more than ``MAX_BYTES``."""
    message = f"the file is larger than {MAX_BYTES} bytes, the largest that is read; name a design file"
    return Unreadable(file, [of_file(message)])


def _decode(content: str | bytes, file: str) -> str:
    raw = content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content
    if len(raw) > MAX_BYTES:
        raise too_large(file)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        raise Unreadable(
            file, [Problem(line, column, "", f"byte {error.start} is not UTF-8 text; save the file as UTF-8")]
        ) from None
    if match := _NOT_ALLOWED.search(text):
        before = re.split("\r\n|\r|\n", text[: match.start()])
        said = f"the character U+{ord(match[0]):04X} is not allowed in a design file; delete it"
        raise Unreadable(file, [Problem(len(before), len(before[-1]) + 1, "", said)])
    return text


#: what the parser says of a missing sign, in words
_OPEN = {"{": "a `,` or `}` is missing", "[": "a `,` or `]` is missing"}
_TAB = "a tab stands here; indent with spaces, not tabs"
_WORDS = {
    "did not find expected ',' or '}'": _OPEN["{"],
    "did not find expected ',' or ']'": _OPEN["["],
    "did not find expected key": "a key is expected",
    "did not find expected '-' indicator": "a `- ` is expected",
    "found unexpected end of stream": "the file ends here",
    "found unexpected ':'": "a key without a value",
    "did not find expected node content": "a value is expected",
}


def _syntax(error: yaml.MarkedYAMLError, lines: Sequence[str]) -> str:
    what = _WORDS.get(error.problem or "", error.problem or "this cannot be read")
    hint, here = _indentation(error, lines), error.problem_mark
    at = lines[here.line][here.column : here.column + 1] if here and here.line < len(lines) else ""
    if "mapping values are not allowed" in what and here:
        what, hint = _second_colon(here.line, here.column, lines)
    elif "could not find expected ':'" in what:
        hint = "; write `key: value` with a space after the colon, and put text that has a colon in quotes"
    elif what in _OPEN.values() and at == ":":
        hint = "; put a comma before the key, or quotes around a text that has a colon"
    elif what == _WORDS["did not find expected key"] and at in ("}", "]"):
        what, hint = f"one `{at}` too many", ""
    elif what == _WORDS["did not find expected key"] and at == ",":
        what, hint = "the entry has ended before this comma; write one entry a line, without a comma", ""
    elif what in (_WORDS["found unexpected ':'"], _WORDS["did not find expected node content"]):
        hint = "; write one, or leave the key out until it is known"
    elif "tab character" in what:
        what, hint = _TAB, ""
    elif "cannot start any token" in what:
        hint = "; put text that starts with a special character in quotes"
        if at == "\t":
            what, hint = _TAB, ""
    elif what == _WORDS["did not find expected '-' indicator"] and error.context_mark:
        begins = error.context_mark.line + 1
        hint = f"; a list begins in line {begins}: write all its lines with `- `, or none as `name: value`"
    mark = error.context_mark if (error.context or "").startswith("while parsing a flow") else None
    sign = "[" if "sequence" in (error.context or "") else "{"
    if _ends_too_late(error, lines):
        quoted, comment = "quoted" in (error.context or ""), mark and " #" in lines[mark.line]
        what = f"the {'quote' if quoted else f'`{sign}`'} here has no end; write the one that closes it"
        hint = "; ` #` begins a comment, so put text that has it in quotes" if comment else ""
    elif mark:
        hint += f"; the `{sign}` of line {mark.line + 1}, column {mark.column + 1} is still open here"
    elif "quoted" in (error.context or "") and (quote := error.context_mark):
        hint += f"; the quote of line {quote.line + 1}, column {quote.column + 1} has no end"
    return f"the file is not well-formed here: {what}{hint}"


def _tight_colon(error: yaml.MarkedYAMLError, lines: Sequence[str]) -> tuple[int, int, str] | None:
    """Line and column of a key whose colon has no space after it, from 1, and what to write there: the line
    that is read as the beginning of a text, or the one before the place at which that shows."""
    begins, here = error.context_mark, error.problem_mark
    if (error.context or "") == "while scanning a simple key" and begins:
        number = begins.line
    elif error.problem == "mapping values are not allowed in this context" and here:
        above = [n for n in range(here.line) if lines[n].strip() and not lines[n].lstrip().startswith("#")]
        if not above or re.search(r":\s", lines[here.line][: here.column]):
            return None
        number = above[-1]
    else:
        return None
    found = re.match(r"(\s*)([\w-]+):([^\s/].*)", lines[number])
    if not found:
        return None
    words = f"`{found[2]}:` has no space after its colon; write `{found[2]}: {found[3].strip()[:60]}`"
    return number + 1, len(found[1]) + 1, f"the file is not well-formed here: {words}"


def _ends_too_late(error: yaml.MarkedYAMLError, lines: Sequence[str]) -> bool:
    """Whether what begins in one line and has no end was read up to a line that is not indented more."""
    (begins, _), here = _begun(error), error.problem_mark
    if not begins or not here or here.line < begins:
        return False
    own, end = lines[begins - 1], lines[min(here.line, len(lines) - 1)]
    return here.line >= len(lines) or len(end) - len(end.lstrip()) <= len(own) - len(own.lstrip())


def _second_colon(line: int, column: int, lines: Sequence[str]) -> tuple[str, str]:
    """What is wrong, and what to write, where a key and its colon follow a value: the line is indented more
    than the one before it, or a text has a colon."""
    if opened := re.match(r"\s*[\w-]+: +\(([^()]*)\)\s*$", lines[line] if line < len(lines) else ""):
        return "a group of keys stands in round brackets", f"; write `{{{opened[1]}}}`"
    earlier = [n for n in range(line) if lines[n].strip() and not lines[n].lstrip().startswith("#")]
    if earlier and not re.search(r":\s", lines[line][:column]):
        before, own = lines[earlier[-1]], lines[line]
        indent = len(before) - len(before.lstrip())
        if len(own) - len(own.lstrip()) > indent:
            return (
                f"this line is indented more than line {earlier[-1] + 1}, which has its value already",
                f"; begin it in column {indent + 1}",
            )
    return "a second colon in one entry", "; put text that has a colon in quotes, or write one key a line"


def _indentation(error: yaml.MarkedYAMLError, lines: Sequence[str]) -> str:
    """What to say of a key that stands in another column than those of its section; "" elsewhere."""
    section, here = error.context_mark, error.problem_mark
    if "block mapping" not in (error.context or "") or not section or not here or here.line >= len(lines):
        return ""
    if lines[here.line][: here.column].strip() or here.column == section.column:
        return ""
    return (
        f"; this line begins in column {here.column + 1} and the section of line {section.line + 1} in "
        f"column {section.column + 1}: indent all lines of a section alike, here or in the line before"
    )


def _begun(error: yaml.MarkedYAMLError) -> tuple[int, int]:
    """Line and column where something begins that has no end; 0 and 0 for another mistake."""
    told = (error.context or "").startswith(("while parsing a flow", "while scanning a"))
    mark = error.context_mark if told else None
    return (mark.line + 1, mark.column + 1) if mark else (0, 0)


class _Stop(Exception):
    pass


class _Builder:
    """Follows the events of one document.

    Every node of a file comes through here, so types are compared and names are bound once.
    """

    def __init__(self, event: Callable[[], Any], text: str) -> None:
        self.event, self.text = event, text
        self.values: Places = {}
        self.keys: Places = {}
        self.problems: list[Problem] = []

    def document(self) -> Any:
        data: Any = None
        documents = 0
        while (event := self.event()) is not None:
            if type(event) is ev.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    self._say(event, "", "a second document starts here; a design file holds one")
                    raise _Stop
                data = self._node(self.event(), "", 0)
        if documents == 0:
            self.problems.append(
                Problem(1, 1, "", "the file holds no design; `reviewer start FILE` writes one to begin with")
            )
            raise _Stop
        return data

    def _say(self, event: Any, at: str, message: str) -> None:
        self.problems.append(Problem(*_place(event), at, message))

    def _node(self, event: Any, at: str, depth: int) -> Any:
        self.values[at] = _place(event)
        kind = type(event)
        if depth > MAX_DEPTH:
            self._say(event, at, f"nested more than {MAX_DEPTH} deep")
            raise _Stop
        if kind is ev.AliasEvent:
            self._say(event, at, f"`*{event.anchor}` is an alias; write the value out")
            return Refused
        if event.anchor or event.tag:
            self._decorated(event, at)
        if kind is ev.ScalarEvent:
            found = _scalar(event)
            return PathText.of(self.text, event) if type(found) is str and _is_path(at, depth) else found
        if kind is ev.SequenceStartEvent:
            items: list[Any] = []
            while type(item := self.event()) is not ev.SequenceEndEvent:
                items.append(self._node(item, f"{at}/{len(items)}" if at else str(len(items)), depth + 1))
            return items
        return self._mapping(at, depth)

    def _decorated(self, event: Any, at: str) -> None:
        if event.anchor:
            self._say(
                event, at, f"`&{event.anchor}` is an anchor; leave it out and write values where they belong"
            )
        if event.tag and not (isinstance(event, ev.ScalarEvent) and event.tag == "!"):
            self._say(event, at, f"`{event.tag.replace('tag:yaml.org,2002:', '!!')}` is a tag; leave it out")

    def _decimal_comma(self, before: Any, key: Any, value: Any) -> str:
        """What `7,2 Ah` in braces is with a point: a number, then a key that follows its comma without
        a space and has no value; "" for another key."""
        if type(before) is not ev.ScalarEvent:
            return ""
        ends, begins = before.end_mark, key.start_mark
        cut = ends is not None and self.text[ends.index : begins.index] == ","
        if not cut or before.style or value.style or key.style:
            return ""
        return with_point(f"{before.value},{key.value}")

    def _mapping(self, at: str, depth: int) -> dict[str, Any]:
        found: dict[str, Any] = {}
        last: Any = None
        event_after, keys, values = self.event, self.keys, self.values
        plain = depth < MAX_DEPTH and not _is_path(f"{at}/", depth + 1)
        while type(key := event_after()) is not ev.MappingEndEvent:
            if type(key) is not ev.ScalarEvent:
                self._say(key, at, "a key must be a plain word")
                raise _Stop
            name = key.value
            here = pointer(at, name)
            if key.anchor or key.tag:
                self._say(key, here, "a key must be a plain word, without anchor or tag")
            if name in found:
                first, group = keys[here], at in _BY_NAME
                named, mend = ("the name", "give one another name") if group else ("the key", "delete one")
                self._say(key, here, f"{named} `{name}` is given twice, first in line {first[0]}; {mend}")
                self._node(event_after(), pointer(here, "again"), depth + 1)
                continue
            event = event_after()
            if depth == 1 and type(event) is ev.ScalarEvent and not event.value and name in _SECTIONS:
                self._say(
                    key, here, f"`{name}` is a section and stands within `{at}`; begin its line in column 1"
                )
                raise _Stop
            scalar = type(event) is ev.ScalarEvent
            if scalar and found and not event.value and (number := self._decimal_comma(last, key, event)):
                self._say(last, at, f"the decimal comma cuts the number; write `{number}`, with a point")
                found[next(reversed(found))] = Refused
                continue
            keys[here] = _place(key)
            if scalar and plain and not event.anchor and not event.tag:  # most nodes: as in `_node`
                values[here], found[name] = _place(event), _scalar(event)
            else:
                found[name] = self._node(event, here, depth + 1)
            last = event
        return found


def _is_path(at: str, depth: int) -> bool:
    """Whether a text is a path, or may be a piece of one: in a circuit, of an assembly too, or in what
    an assembly is given."""
    if at.startswith("circuits/"):
        return depth == 2
    if at.startswith("installed/"):
        return depth == 3
    if not at.startswith("assemblies/"):
        return False
    steps = at.split("/")
    return (depth == 4 and steps[2] == "circuits") or (depth == 5 and steps[2] == "installed")


def _place(event: Any) -> tuple[int, int]:
    mark = event.start_mark
    return mark.line + 1, mark.column + 1


#: the sections whose entries have a line each: indented, one would be an entry of the section before it
_SECTIONS = frozenset(
    ("parts", "wires", "functions", "operation", "watch", "circuits", "installed", "assemblies")
)
#: the sections of which each key is a name
_BY_NAME = frozenset(
    ("parts", "wires", "functions", "operation/states", "operation/phases", "circuits", "installed")
)


class Refused:
    """Stands for a value that was refused and already reported."""


def _scalar(event: Any) -> Any:
    return plain_scalar(event.value) if event.implicit[0] else event.value
