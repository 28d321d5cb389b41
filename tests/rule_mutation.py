"""Changed rules against their cases, in one process: all changes of all rules take some minutes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook import containment
from reviewer.rulebook.loader import RuleNotLoadable, load_rules
from tests import rule_cases, test_every_rule
from tests.code_changes import Change
from tests.sections_left_out import LEFT_OUT

#: a changed rule that judges a case for longer, s, has broken down
LONGEST = 20.0


def unnoticed(changes: Iterable[Change]) -> Iterator[Change]:
    """The changes of rules after which every test of the case of the rule passes, rule by rule.

    Raises SystemExit where the tests of a case fail as they are.
    """
    by_rule: dict[str, list[Change]] = {}
    for change in changes:
        by_rule.setdefault(change.path.stem.replace("_", "-"), []).append(change)
    for rule, some in sorted(by_rule.items()):
        with _kept_facts():
            if not _passes(rule):
                raise SystemExit(f"the case of {rule} fails without any change")
            yield from (change for change in some if _passes_with(rule, change))


@contextmanager
def _kept_facts() -> Iterator[None]:
    """The facts of every design of a case are worked out once."""

    @cache
    def facts(content: str) -> Facts:
        return Facts(read_text(content, "design"))

    with patch.object(rule_cases, "facts", facts), patch.object(containment, "RULE_SECONDS", LONGEST):
        yield


def _passes_with(rule: str, change: Change) -> bool:
    with TemporaryDirectory() as folder:
        file = Path(folder) / change.path.name
        file.write_bytes(change.made((rule_cases.ROOT / change.path).read_bytes()))
        try:
            (changed,) = load_rules([Path(folder)], installed=False)
        except RuleNotLoadable:
            return False
        with patch.dict(rule_cases.RULES, {rule: changed}):
            return _passes(rule)


def _passes(rule: str) -> bool:
    """Whether the met design, the unmet one and every trap are judged as the case says."""
    rule_cases.assess.cache_clear()
    try:
        for test in _tests(rule):
            test()
    except Exception:  # what fails: an assertion, or an error of what is found
        return False
    finally:
        rule_cases.assess.cache_clear()
    return True


def _tests(rule: str) -> Iterator[Callable[[], None]]:
    yield partial(test_every_rule.test_the_met_design_has_no_finding_and_at_least_one_subject, rule)
    yield partial(test_every_rule.test_the_unmet_design_gives_exactly_the_expected_findings, rule)
    for what in LEFT_OUT:
        yield partial(test_every_rule.test_a_rule_asks_for_what_is_left_out_or_judges_without_it, what, rule)
    for trap in rule_cases.parsed(rule_cases.FILES[rule]).get("traps", ()):
        yield partial(test_every_rule.test_a_rule_is_not_fooled, rule, trap)
