"""The comments of a file, and where its groups end."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from typing import Any

import yaml

_COMMENT = re.compile(r"(?:^|(?<=\s))#[^\r\n]*")
_COMMENT_BELOW = re.compile(r"(?:[ \t]*\r?\n)*[ \t]+#[^\n]*(?:\n|\Z)")


class Comments:
    """The comments of the ``source`` of a file whose nodes are those of ``root``."""

    def __init__(self, source: str, root: Any):
        self.source = source
        self._texts = sorted(self._scalars(root))

    def _scalars(self, node: Any) -> Iterator[tuple[int, int]]:
        """Where texts begin and end, in which ``#`` is no comment; a block of text begins below its head."""
        if isinstance(node, yaml.ScalarNode):
            start = int(node.start_mark.index)
            block = node.style in ("|", ">")
            yield self.line_end(start) if block else start, last_end(node)
            return
        for entry in node.value:
            for one in entry if isinstance(entry, tuple) else (entry,):
                yield from self._scalars(one)

    def between(self, start: int, end: int) -> list[str]:
        """The comments from one index to another."""
        found: list[str] = []
        number = bisect_left(self._texts, (start, start))
        while number < len(self._texts) and self._texts[number][0] < end:
            found += _COMMENT.findall(self.source[start : self._texts[number][0]])
            start = max(start, self._texts[number][1])
            number += 1
        return [*found, *_COMMENT.findall(self.source[start:end])]

    def of_group(self, key: Any, group: Any) -> tuple[dict[str, list[str]], list[str]]:
        """The comments of each entry of a group, and those below the last one; ``key`` is the group's."""
        found: dict[str, list[str]] = {}
        at = key.end_mark.index
        entries = group.value if isinstance(group, yaml.MappingNode) else enumerate(group.value)
        for name, value in entries:
            end = last_end(value)
            stop = end if group.flow_style else self.line_end(end)
            found[getattr(name, "value", str(name))] = self.between(at, stop)
            at = stop
        return found, self.between(at, group.end_mark.index if group.flow_style else self.group_end(group))

    def group_end(self, group: Any) -> int:
        """After the last line of a group, with the comments below it that are indented."""
        at = self.line_end(last_end(group))
        while match := _COMMENT_BELOW.match(self.source, at):
            at = match.end()
        return at

    def line_end(self, at: int) -> int:
        """The start of the line after an index, which may be the start of a line itself."""
        if at and self.source[at - 1] == "\n":
            return at
        end = self.source.find("\n", at)
        return len(self.source) if end < 0 else end + 1


def last_end(node: Any) -> int:
    """Where a node ends, without the blanks and comments that YAML counts to a group."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return last_end(last[1] if isinstance(last, tuple) else last)
    if isinstance(node, yaml.ScalarNode) and not node.value and not node.style:
        return int(node.start_mark.index)
    return int(node.end_mark.index)
