"""The faulted tourer is the sound one and 30 faults, each found alone and gone when mended."""

from __future__ import annotations

import pytest
import yaml

from reviewer.model.review import HazardClass
from tests.edits import edited, inverse
from tests.faults.planted import FAULTED, FAULTS, SOUND, entry, faulted_text, findings, sound, with_faults
from tests.reviewed_once import reviewed_once
from tests.rule_cases import RULES, text
from tests.test_causes import MENDED
from tests.write_committed import example_review

ALL = frozenset(FAULTS)
#: those that the short run tries
SAMPLE = ("reserve-sensed-at-the-bus",)
EACH = [name if name in SAMPLE else pytest.param(name, marks=pytest.mark.long) for name in FAULTS]


def test_there_are_thirty_faults_and_each_names_a_rule_and_what_masks_it() -> None:
    assert len(FAULTS) == 30 and set(SAMPLE) < ALL
    for fault in FAULTS.values():
        assert fault.found["rule"] in RULES
        assert set(fault.found) <= {"rule", "subject", "state", "says"}
        assert set(fault.masked_by) < ALL - {fault.name}


def test_the_example_is_the_sound_tourer_with_every_edit_and_nothing_else() -> None:
    data = yaml.load(FAULTED.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    assert data == with_faults(FAULTS)
    names = list(FAULTS)
    for i in reversed(range(len(names))):
        data = edited(data, inverse(with_faults(names[:i]), FAULTS[names[i]].edits))
    assert data == sound()


def test_the_comments_of_the_sound_tourer_stay_and_each_fault_stands_under_its_own() -> None:
    lines = faulted_text().splitlines()
    for fault in FAULTS.values():
        marks = [i for i, line in enumerate(lines) if line.strip().startswith(f"# planted: {fault.name}")]
        assert len(marks) == 1
        comment = " ".join(line.strip(" #") for line in lines[marks[0] : marks[0] + 4])
        assert fault.why in comment
    kept = [line for line in SOUND.read_text(encoding="utf-8").splitlines() if line.strip().startswith("#")]
    lost = [line for line in kept if line not in lines]
    # these two stood over parts that are gone
    assert [line.split()[1] for line in lost] == ["Cathode", "Beside"]


def test_with_all_faults_mended_no_finding_remains() -> None:
    assert findings(frozenset()) == ()


def test_the_worst_finding_of_the_example_is_catastrophic_and_comes_first() -> None:
    assert example_review(FAULTED).findings[0].hazard is HazardClass.CATASTROPHIC


@pytest.mark.parametrize("name", EACH)
def test_a_fault_alone_is_found_where_it_was_planted(name: str) -> None:
    """By its rule, of its subject, at the lines of that subject. In the long run the whole review is looked
    at, which ``tests/test_causes.py`` reads too."""
    if name in SAMPLE:
        found = findings(frozenset({name}), FAULTS[name].found["rule"])
    else:
        found = reviewed_once(with_faults([name])).findings
    told = FAULTS[name].told(found)
    assert told, [f.sentence for f in found]
    lines = entry(text(with_faults([name])), FAULTS[name].found["subject"])
    assert {f.place.line for f in told if f.place} <= set(lines)
    assert all(f.place for f in told)


def test_every_planted_fault_of_the_example_is_found_at_its_comment() -> None:
    """In the file as it is read: the finding's rule and subject, its line in the entry of that subject, and the
    comment that names the fault over or in that entry wherever an edit touches it. Those that others mask are
    found alone, above."""
    content = FAULTED.read_text(encoding="utf-8")
    lines, found = content.splitlines(), example_review(FAULTED).findings
    told = {name: fault.told(found) for name, fault in FAULTS.items()}
    assert [name for name in FAULTS if not told[name] and not FAULTS[name].masked_by] == []
    for name, of in ((name, of) for name, of in told.items() if of):
        subject = FAULTS[name].found["subject"]
        stands = entry(content, subject)
        assert all(f.place and f.place.line in stands for f in of), name
        if any(path.startswith((subject, f"{subject}/")) for path in FAULTS[name].edits):
            over = stands.start - 1
            while lines[over - 1].lstrip().startswith("#"):
                over -= 1
            assert any(
                f": {name}" in line or f"of {name}" in line for line in lines[over : stands.stop - 1]
            ), name


#: of the others both halves are held, above and by tests/test_causes.py, which mends one alone too
MENDED_HERE = [
    pytest.param(name, marks=pytest.mark.long)
    for name in FAULTS
    if name not in SAMPLE and (FAULTS[name].masked_by or name not in MENDED)
]


@pytest.mark.parametrize("name", [*SAMPLE, *MENDED_HERE])
def test_a_mend_alone_takes_its_finding_away(name: str) -> None:
    """Among all faults but those that are said to mask it; beside them its mend changes nothing. Its own rule
    is asked."""
    fault = FAULTS[name]
    rest, rule = ALL - set(fault.masked_by), fault.found["rule"]
    assert fault.told(findings(rest, rule))
    assert not fault.told(findings(rest - {name}, rule))
    if fault.masked_by:
        assert bool(fault.told(findings(ALL, rule))) == bool(fault.told(findings(ALL - {name}, rule)))
