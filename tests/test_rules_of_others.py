"""A rule that somebody wrote may do anything: it fails alone, is named with its line, and ends."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.editor.fresh_review import marks_of
from reviewer.model.review import Assessment, Outcome
from reviewer.reading import read_text
from reviewer.reports.review.first_screen import first_screen
from reviewer.reports.review.problem_lines import as_lines
from reviewer.reports.review.sarif import as_sarif
from reviewer.reports.review.text import as_text
from reviewer.rulebook import containment
from reviewer.rulebook.loader import RuleNotLoadable, load_rules
from reviewer.rulebook.runner import run_rules
from reviewer.session import facts_of, review_facts
from tests import test_cli
from tests.test_rulebook import GOOD, RULE

JUDGE = "    yield from ()\n"
LINE = RULE.count("\n")
SOUND = RULE.replace("Every part is looked at.", "Every part is a part.").replace(
    JUDGE, '    if subject.name == "master":\n        yield Unmet("Sound.")\n'
)


def reviewed(folder: Path, text: str) -> tuple[Assessment, Assessment]:
    """A rule of this text and a sound one at work on one design."""
    (folder / "a_rule.py").write_text(text, encoding="utf-8")
    (folder / "b_rule.py").write_text(SOUND, encoding="utf-8")
    (broken, sound), _ = run_rules(load_rules([folder], installed=False), Facts(read_text(GOOD, "x")))
    assert [f.sentence for f in sound.findings] == ["Sound."]
    return broken, sound


@pytest.mark.parametrize(
    ("judge", "error"),
    [
        ("raise SystemExit", "SystemExit"),
        ("raise SystemExit(0)", "SystemExit: 0"),
        ("import sys; sys.exit('bye')", "SystemExit: bye"),
        ("import os; os._exit(0)", "SystemExit: os._exit(0) ends no review"),
        ("import posix; posix._exit(0)", "SystemExit: os._exit(0) ends no review"),
        ("raise GeneratorExit", "GeneratorExit"),
        ("raise KeyboardInterrupt", "KeyboardInterrupt"),
        (
            "raise type('Stops', (Exception,), {'__str__': lambda self: (_ for _ in ()).throw(KeyboardInterrupt)})",
            "cannot be written",
        ),
        ("raise BaseException('no')", "BaseException: no"),
        ("raise type('Mute', (Exception,), {'__str__': lambda self: 1 / 0})", "cannot be written"),
        ("raise type('Exits', (Exception,), {'__str__': lambda self: exit()})", "cannot be written"),
        ("raise RuntimeError('x' * 10**6)", "xxx…"),
        ("raise NotAssessable(5)", "NotAssessable: 5"),
        ("yield 5", "judge() yields a value of type int, not Unmet"),
        ("yield None", "judge() yields a value of type NoneType, not Unmet"),
        ("yield 'A fault.'", "not Unmet"),
        ("yield Unmet(None)", "`sentence` of Unmet is a value of type NoneType"),
        ("yield Unmet(' ')", "`sentence` of Unmet is empty"),
        ("yield Unmet('A.', field=3)", "`field` of Unmet"),
        (
            "yield Unmet('A.', field='labl')",
            "a finding is about `labl`, a key that parts/main-bus cannot have",
        ),
        ("yield Unmet('A.', field='gauge')", "`gauge`, a key that parts/main-bus cannot have"),
        ("yield Unmet('A.', field='label/first')", "`label/first`, a key that parts/main-bus cannot have"),
        ("yield Unmet('A.', field='/')", "`/`, a key that parts/main-bus cannot have"),
        (
            "yield Unmet('A.', subject='operation', field='gauge')",
            "`gauge`, a key that operation cannot have",
        ),
        ("yield Unmet('A.', subject='bundles/left', field='rating')", "a key that bundles/left cannot have"),
        ("yield Unmet('A.', numbers=(('current', 5),))", "`numbers` of Unmet must be pairs of texts"),
        ("yield Unmet('A.', numbers={'current': '5 A'})", "`numbers` of Unmet must be pairs of texts"),
        ("yield Unmet('A.', switches=('master',))", "`switches` of Unmet must be pairs of texts"),
        ("yield Unmet('A.', path=(1,))", "`path` of Unmet must be pointers"),
        ("yield Unmet('A.', path=('parts/none',))", "the design has no `parts/none`"),
        ("yield Unmet('A.', changes=(1,))", "`changes` of Unmet must be pointers of keys"),
        ("yield Unmet('A.', elements=('parts/none',))", "the design has no `parts/none`"),
        ("yield Unmet('A.', lost='pump')", "`lost` of Unmet must be names"),
        ("yield Unmet('A.', hazard='major')", "`hazard` of Unmet"),
        ("yield Unmet('A.', subject='parts/none')", "the design has no `parts/none`"),
        ("yield Unmet('A.', subject='main-bus')", "the design has no `main-bus`"),
        ("yield Unmet('A.', state='none')", "`state` of Unmet is `none`"),
        ("while True: yield Unmet('A.')", "judge() yields more than 10000 findings"),
    ],
)
def test_what_a_rule_does_wrong_at_one_subject_is_named_with_its_line_and_the_rest_stands(
    judge: str, error: str, tmp_path: Path
) -> None:
    on_one = f'    if subject.pointer == "parts/main-bus":\n        {judge}\n    yield Unmet("Seen.")\n'
    broken, _ = reviewed(tmp_path, RULE.replace(JUDGE, on_one))
    assert broken.outcome is Outcome.RULE_ERROR
    assert [b.subject for b in broken.breakdowns] == ["parts/main-bus"]
    assert error in broken.breakdowns[0].error
    assert f"(a_rule.py, line {LINE + 1})" in broken.breakdowns[0].error
    assert len([f for f in broken.findings if f.sentence == "Seen."]) == broken.examined - 1 == 25


def test_a_process_that_a_rule_forked_ends_as_it_wants_and_nothing_is_refused_afterwards(
    tmp_path: Path,
) -> None:
    judge = "import os; yield Unmet(str(os.waitpid(os.fork() or os._exit(7), 0)[1] >> 8))"
    before = os._exit
    seen, _ = reviewed(tmp_path, RULE.replace(JUDGE, f"    {judge}\n"))
    assert {f.sentence for f in seen.findings} == {"7"} and not seen.breakdowns
    assert os._exit is before


SENDS = "import os, signal; os.kill(os.getpid(), signal.SIGINT); [len([]) for _ in range(9)]"


@pytest.mark.parametrize("judge", [SENDS, f"try: exec({SENDS!r})\n        except BaseException: pass"])
def test_an_interrupt_by_the_user_ends_the_review_whatever_the_rule_catches(
    judge: str, tmp_path: Path
) -> None:
    """It comes as a signal; a rule that raises a KeyboardInterrupt of its own breaks down alone."""
    (tmp_path / "a_rule.py").write_text(
        RULE.replace(JUDGE, f"    if True:\n        {judge}\n    yield from ()\n")
    )
    rules, facts = load_rules([tmp_path], installed=False), Facts(read_text(GOOD, "x"))
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        run_rules(rules, facts)
    assert signal.getsignal(signal.SIGINT) is before


def test_a_file_of_a_rule_that_raises_an_interrupt_of_its_own_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a_rule.py").write_text("raise KeyboardInterrupt\n")
    with pytest.raises(RuleNotLoadable, match="KeyboardInterrupt"):
        load_rules([tmp_path], installed=False)


@pytest.mark.parametrize(
    ("subjects", "error"),
    [
        ('["parts/none"]', "the design has no `parts/none`"),
        ('["main-bus"]', "the design has no `main-bus`"),
        ('["operation/states/none"]', "the design has no `operation/states/none`"),
        ('["watch/none"]', "the design has no `watch/none`"),
        ('["operation/load-shedding-order"]', "the design has no"),
        ('[""]', "the design has no ``"),
        ("facts.design.parts.values()", "not a pointer such as `parts/main-bus`"),
        ("[1]", "not a pointer"),
        ('"parts/fuse"', "subjects() gives a text, `parts/fuse`, not a list of pointers"),
        ("None", "'NoneType' object is not iterable"),
        ("exit()", "SystemExit"),
    ],
)
def test_subjects_that_the_design_does_not_have_are_refused(
    subjects: str, error: str, tmp_path: Path
) -> None:
    given = RULE.replace('[f"parts/{n}" for n in facts.design.parts]', subjects)
    broken, _ = reviewed(tmp_path, given.replace(JUDGE, '    yield Unmet("Seen.")\n'))
    assert broken.outcome is Outcome.RULE_ERROR and error in broken.breakdowns[0].error
    assert "a_rule.py, line 1" in broken.breakdowns[0].error
    assert broken.findings == ()


@pytest.mark.parametrize(
    ("pointer", "fields"),
    [
        ("parts/fuse", ["", "rating", "label", "max-ambient"]),
        ("parts/display", ["inputs", "inputs/volts/signal", "inputs/none", "current/cruise"]),
        ("wires/W1", ["from", "gauge"]),
        ("functions/engine", ["loss", "loss/night", "of/0"]),
        ("operation", ["normal", "states/smoke"]),
        ("operation/states/cruise", ["engine", "switches/fuse"]),
        ("watch", ["checks"]),
        ("watch/monitors/volts", ["alarm-below"]),
        ("aircraft", ["stage", "wire/insulation", "zones/cabin/hazards"]),
        ("bundles/left", ["bundle", "through"]),
        ("functions/a~b|c", ["any"]),
    ],
)
def test_whatever_may_stand_in_the_design_may_be_a_subject_or_a_field(
    pointer: str, fields: list[str], tmp_path: Path
) -> None:
    """A key is one that the subject may have, whether the file gives it or not."""
    head = "format: 1\naircraft: {name: T, nominal: 14 V, airframe: metal, stage: concept}\n"
    design = head + (
        "parts:\n  battery: {kind: battery}\n  fuse: {kind: fuse, rating: 5 A}\n  lamp: {kind: load}\n"
        "  display: {kind: instrument}\n"
        "wires:\n  W1: {from: battery.positive, to: fuse.line, bundle: left}\n"
        "  W2: {from: fuse.load, to: lamp.supply}\n  W3: {from: lamp.return, to: battery.negative}\n"
        "functions:\n  engine: {any: 1, of: [lamp], loss: minor}\n"
        "  a~b/c: {any: 1, of: [lamp], loss: minor}\n"
        "operation: {normal: cruise, states: {cruise: {use: flight, engine: running}}}\n"
        "watch: {monitors: {volts: {shows: voltage, senses: fuse.load}}}\n"
    )
    given = f"[{pointer.replace('|', '/')!r}]"
    text = RULE.replace('[f"parts/{n}" for n in facts.design.parts]', given)
    judge = f"    for field in {fields}:\n        yield Unmet('Seen.', field=field, extent=field)\n"
    (tmp_path / "a_rule.py").write_text(text.replace(JUDGE, judge), encoding="utf-8")
    (done,), _ = run_rules(load_rules([tmp_path], installed=False), Facts(read_text(design, "x")))
    assert [b.error for b in done.breakdowns] == [] and [f.field for f in done.findings] == fields
    assert all(f.place is not None for f in done.findings)


ENDLESS = {
    "judges": RULE.replace(JUDGE, "    while True:\n        pass\n    yield\n"),
    "asks for ever": RULE.replace(JUDGE, "    while True:\n        facts.states.declared\n    yield\n"),
    "catches errors": RULE.replace(
        JUDGE, "    while True:\n        try:\n            len([])\n        except Exception:\n            pass\n    yield\n",
    ),
    "gives subjects": RULE.replace(
        "    return [", "    while True:\n        yield 'parts/master'\n    return ["
    ),
}  # fmt: skip


@pytest.mark.parametrize("how", ENDLESS)
def test_an_endless_rule_is_stopped_and_the_rest_stands(
    how: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(containment, "RULE_SECONDS", 0.3)
    began = time.monotonic()
    broken, _ = reviewed(tmp_path, ENDLESS[how])
    assert time.monotonic() - began < 10
    (breakdown,) = broken.breakdowns
    assert (
        "it took more than 0.3 s and was stopped" in breakdown.error and "a_rule.py, line" in breakdown.error
    )
    assert "the items after this one were not judged" in breakdown.error
    assert broken.examined == (0 if how == "gives subjects" else 1)


def test_the_time_limit_is_that_of_a_whole_rule_and_holds_in_any_thread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(containment, "RULE_SECONDS", 0.3)
    slow = RULE.replace(JUDGE, "    import time\n    time.sleep(0.1)\n    yield from ()\n")
    done: list[Assessment] = []
    before = threading.active_count()
    worker = threading.Thread(target=lambda: done.append(reviewed(tmp_path, slow)[0]))
    worker.start()
    worker.join(20)
    assert done[0].outcome is Outcome.RULE_ERROR and 2 <= done[0].examined <= 8
    assert threading.active_count() <= before


STOPPED = """
from cProfile import Profile
from reviewer.rulebook import containment

def endless():
    while True:
        pass

containment.RULE_SECONDS = 0.2
with containment.Containment() as contained:
    contained.begin()
    assert isinstance(contained.run(endless), containment.TimeLimit)
Profile().runcall(lambda: [len(str(number)) for number in range(100)])
"""


def test_after_a_rule_that_was_stopped_calls_can_be_counted() -> None:
    # in a process of its own: where they cannot, Python 3.11 waits for ever
    subprocess.run([sys.executable, "-c", STOPPED], check=True, timeout=60)


def test_a_rule_that_keeps_to_its_time_is_not_stopped_afterwards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(containment, "RULE_SECONDS", 0.2)
    with containment.Containment() as contained:
        for _ in range(5):
            contained.begin()
            assert contained.run(lambda: time.sleep(0.15)) is None
            time.sleep(0.1)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("raise SystemExit(0)\n" + RULE, "SystemExit: 0"),
        ("import sys; sys.exit()\n" + RULE, "SystemExit"),
        ("while True: pass\n" + RULE, "it took more than 0.3 s and was stopped"),
        ("raise BaseException('no')\n" + RULE, "BaseException: no"),
        ("def broken(:\n" + RULE, "SyntaxError: "),
    ],
)
def test_a_module_that_does_not_load_is_named_with_its_line(
    text: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(containment, "RULE_SECONDS", 0.3)
    path = tmp_path / "a_rule.py"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(RuleNotLoadable) as caught:
        load_rules([tmp_path], installed=False)
    assert said in str(caught.value) and "(a_rule.py, line 1)" in str(caught.value)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (RULE[: RULE.index("from")], "__doc__ = 5\n"),
        ('(("practice", "none"),)', "5"),
        ('(("practice", "none"),)', '(("practice", 5),)'),
        ("def subjects(facts):", "subjects = dict.fromkeys\ndef others(facts):"),
    ],
)
def test_a_module_of_odd_values_is_not_loaded(before: str, after: str, tmp_path: Path) -> None:
    (tmp_path / "a_rule.py").write_text(RULE.replace(before, after), encoding="utf-8")
    with pytest.raises(RuleNotLoadable):
        load_rules([tmp_path], installed=False)


@pytest.mark.parametrize(
    ("where", "items"),
    [("", "could not judge 26 items"), ("raise SystemExit\n    return [", "could not list its items")],
)
def test_an_error_that_comes_many_times_is_said_once_with_its_line(
    where: str, items: str, tmp_path: Path
) -> None:
    text = RULE.replace("    return [", f"    {where}") if where else RULE
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "a_rule.py").write_text(
        text.replace(JUDGE, "    1 / 0\n    yield\n"), encoding="utf-8"
    )
    path = tmp_path / "good.design.yaml"
    path.write_text(GOOD, encoding="utf-8")
    facts = facts_of(path)
    review = review_facts(facts, path, load_rules([tmp_path / "rules"], installed=False))
    assert len(review.breakdowns) == (1 if where else 26)
    screen = " ".join(first_screen(review))
    assert f"RULE ERROR: a-rule {items}: " in screen and screen.count("a_rule.py, line ") == 1
    text = " ".join(as_text([review]).split())  # the verdict, and the section with every item
    assert text.count("a_rule.py, line ") == 2 and ("parts/main-bus" in text or where)
    assert as_lines([review]).count("a_rule.py, line ") == 1
    marks = marks_of(facts, review.assessments, (), GOOD.splitlines())
    assert ["a_rule.py, line" in m.sentence for m in marks if m.weight == "rule error"] == [True]
    (run,) = json.loads(as_sarif([review], "1"))["runs"]
    (said,) = (n for n in run["invocations"][0]["toolExecutionNotifications"] if n["level"] == "error")
    assert len(said["locations"]) == len(review.breakdowns)


@pytest.mark.parametrize("command", [["review", "good.yaml"], ["compare", "good.yaml", "minor.yaml"]])
def test_what_a_rule_prints_goes_to_standard_error_and_its_end_is_status_3(
    command: list[str], tmp_path: Path
) -> None:
    text = RULE.replace("HAZARD =", "print('while loading')\nHAZARD =").replace(
        JUDGE, "    print('while judging')\n    raise SystemExit(0)\n    yield\n"
    )
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "a_rule.py").write_text(text, encoding="utf-8")
    (tmp_path / "good.yaml").write_text(test_cli.GOOD, encoding="utf-8")
    (tmp_path / "minor.yaml").write_text(test_cli.MINOR, encoding="utf-8")
    arguments = [sys.executable, "-m", "reviewer", *command, "--as", "json", "--rules-from", "rules"]
    paths = {**os.environ, "PYTHONPATH": str(test_cli.ROOT)}
    done = subprocess.run(arguments, capture_output=True, text=True, cwd=tmp_path, env=paths, timeout=60)
    assert done.returncode == 3
    assert "while loading" in done.stderr and "while judging" in done.stderr
    json.loads(done.stdout)


def test_a_rule_that_changes_the_folder_moves_no_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    reviewed(tmp_path, RULE.replace(JUDGE, "    import os; os.chdir('elsewhere')\n    yield from ()\n"))
    assert Path.cwd() == tmp_path


def test_a_rule_may_ask_the_graph_with_any_algorithm_of_networkx(tmp_path: Path) -> None:
    judge = """
    import networkx
    graph = facts.graph
    for node, about in graph.nodes.items():
        if about["part"] == subject.name and about["role"] == "supply":
            passed = networkx.immediate_dominators(graph, "main-battery.positive")[node]
            yield Unmet(f"{node} is fed by {passed} alone.")
"""
    text = RULE.replace(JUDGE, judge)
    found, _ = reviewed(tmp_path, text)
    sentences = {finding.sentence for finding in found.findings}
    assert "left-ignition.supply is fed by left-switch.load alone." in sentences
    assert not found.breakdowns
