"""Writes the findings of the unmet designs into the case files of the rules, and the words of the traps beside them.

Run ``python -m tests.write_findings`` (or with the names of some rules) after a change that is
meant to alter them, and read the difference before committing it.
"""

from __future__ import annotations

import re
import sys
from typing import Any

import yaml

from tests import rule_cases, trap_words

_SECTION = re.compile(r"^findings:.*\n(?:[ -].*\n)*", re.MULTILINE)


class _Dumper(yaml.SafeDumper):
    """Block style for mappings, flow style for lists of words, two blanks before a dash."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        super().increase_indent(flow, False)


def _sequence(dumper: _Dumper, value: list[Any]) -> yaml.Node:
    plain = all(isinstance(v, str) for v in value)
    return dumper.represent_sequence("tag:yaml.org,2002:seq", value, flow_style=plain)


_Dumper.add_representer(list, _sequence)


def section(findings: list[dict[str, Any]]) -> str:
    """The ``findings`` of a case file."""
    layout = {"sort_keys": False, "default_flow_style": False, "width": 96, "allow_unicode": True}
    return yaml.dump({"findings": findings}, Dumper=_Dumper, **layout)


def with_findings(content: str, made: str) -> str:
    """A case file with its ``findings`` replaced, or put before its traps where it has none."""
    if _SECTION.search(content):
        return _SECTION.sub(lambda _: made, content, count=1)
    head, mark, traps = content.partition("\ntraps:\n")
    return head.rstrip("\n") + "\n" + made + mark.lstrip("\n") + traps


def main(names: list[str]) -> None:
    for rule in names or rule_cases.RULES:
        path = rule_cases.FILES[rule]
        before = path.read_text(encoding="utf-8")
        after = with_findings(before, section(rule_cases.findings(rule)))
        if after != before:
            path.write_text(after, encoding="utf-8")
            print(path.relative_to(rule_cases.ROOT))
    for path in trap_words.write(names or rule_cases.RULES):
        print(path.relative_to(rule_cases.ROOT))


if __name__ == "__main__":
    main(sys.argv[1:])
