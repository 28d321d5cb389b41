"""How the files of a received folder differ from those that a fresh review of its design gives."""

from __future__ import annotations

import csv
import io
import json
import zipfile
import zlib
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import Any

from reviewer.model.name_lists import and_list
from reviewer.model.record import record
from reviewer.reports.handoff.contents import MANIFEST
from reviewer.reports.wording import counted, shown, subject_words

Entry = Mapping[str, Any]
_LONGEST = 100
#: tables of what a design says, not of what is computed from it
_OWN_WORDS = frozenset({"parts.csv", "wire-list.csv", "stated-data.csv"})
#: what is inside a workbook apart from how it looks
_CELLS = ("xl/workbook.xml", "xl/sharedStrings.xml", "xl/worksheets/")


@record
class Difference:
    """A file of the folder, and in which way it is not as it should be; the words follow its name."""

    file: str
    words: str

    def __str__(self) -> str:
        return f"{shown(self.file)}: {self.words}."


def review_differences(package: Entry, fresh: Entry) -> Iterator[str]:
    """How two reviews of one design differ, both documents of `review.json`."""
    old, new = package["reviews"], fresh["reviews"]
    if len(old) != 1:
        yield f"holds {len(old)} reviews, not one"
        return
    lists: dict[str, tuple[str, Callable[[Entry], object], Callable[[Entry], str]]] = {
        "findings": ("finding", lambda e: e["identity"], lambda e: f"{_item(e)} ({_brief(e['sentence'])})"),
        "causes": ("cause", lambda e: e["identity"], lambda e: str(e["number"])),
        "missing_data": ("missing data of", lambda e: (e["rule"], e["subject"], e["needs"]), _item),
        "rule_errors": ("rule error of", lambda e: (e["rule"], e["subject"]), _item),
        "rules": ("rule", lambda e: e["rule"], lambda e: shown(e["rule"])),
    }
    for key, (what, identity, words) in lists.items():
        yield from _entries(what, identity, words, old[0][key], new[0][key])
    for key in (key for key in new[0] if key not in lists):
        yield from _unequal(key, old[0][key], new[0][key])


def file_differences(
    package: Mapping[str, bytes], fresh: Mapping[str, bytes], known: Collection[str]
) -> Iterator[Difference]:
    """How files differ from those that are written for the design now.

    ``known`` names those of which all is said: what is missing, and what was compared already.
    """
    for name, wanted in fresh.items():
        if name in known:
            continue
        if name not in package:
            yield Difference(name, "not in the folder; this reviewer writes it for the design")
        elif name == MANIFEST:
            yield from _of_manifest(package[name], wanted)
        elif package[name] != wanted and (said := _unlike(name, package[name], wanted)):
            yield Difference(name, said)
    for name in (name for name in package if name not in fresh):
        yield Difference(name, "listed, but this reviewer writes no such file for the design")


def in_short(differences: Iterable[Difference]) -> Iterator[Difference]:
    """The tables of what a design says itself, and one line for all that differs because of it."""
    follows: dict[str, None] = {}
    for one in differences:
        if one.file in _OWN_WORDS:
            yield one
        else:
            follows.setdefault(one.file)
    if follows:
        first, *more = follows
        also = f", nor are {and_list([*map(shown, more)])}" if more else ""
        yield Difference(first, f"not as this reviewer writes it for the changed design{also}")


def _unequal(key: str, old: object, new: object) -> Iterator[str]:
    """Where two values differ; of mappings the first entry that does, and how many more."""
    pairs = list(_leaves(f"`{key}`", old, new))
    if pairs:
        name, before, after = pairs[0]
        more = f", and so for {counted(len(pairs) - 1, 'more entry', 'more entries')}" if pairs[1:] else ""
        yield f"{name} is {_brief(before)}; a fresh review has {_brief(after)}{more}"


def _leaves(name: str, old: object, new: object) -> Iterator[tuple[str, object, object]]:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for key in dict.fromkeys((*old, *new)):
            yield from _leaves(f"{name}, `{shown(str(key))}`", old.get(key), new.get(key))
    elif old != new:
        yield name, old, new


def _unlike(name: str, found: bytes, wanted: bytes) -> str:
    """Where two versions of a file differ in what they say; empty where they say the same."""
    if name.endswith(".csv"):
        try:
            one, other = (
                list(csv.reader(io.StringIO(c.decode("utf-8-sig", "replace")))) for c in (found, wanted)
            )
        except csv.Error:  # what another program or a broken medium left
            return "is no CSV"
        return next(_of_rows(one, other), "")
    if name.endswith(".sarif"):
        try:
            same = json.loads(found) == json.loads(wanted)
        except (ValueError, RecursionError):
            return "is no JSON"
        return "" if same else "not as a fresh review writes it"
    if name.endswith(".xlsx"):
        return _of_workbook(found, wanted)
    return "not as this reviewer writes it for the design"


def _of_rows(found: Sequence[Sequence[str]], wanted: Sequence[Sequence[str]]) -> Iterator[str]:
    """Where two tables differ, cell by cell; their headings follow the line of cautions."""
    heads = next(row for row in wanted if not row[0].startswith("# "))
    for number, (one, other) in enumerate(zip_longest(found, wanted), start=1):
        if one is None or other is None:
            yield f"row {number} is not there" if one is None else f"row {number} is in no fresh review"
            continue
        for head, cell, fresh in zip_longest(heads, one, other, fillvalue=""):
            if cell != fresh:
                at = f"row {number}, column {_brief(head)}"
                yield f"{at}, is `{_brief(cell)}`; a fresh review has `{_brief(fresh)}`"


def _of_workbook(found: bytes, wanted: bytes) -> str:
    """Where the cells of a workbook differ. No more of it is unpacked than the other one holds."""
    try:
        with zipfile.ZipFile(io.BytesIO(wanted)) as new, zipfile.ZipFile(io.BytesIO(found)) as old:
            held = set(old.namelist())
            for member in new.infolist():
                if member.filename.startswith(_CELLS):
                    if member.filename not in held:
                        return f"has no {member.filename}"
                    with old.open(member.filename) as stream:
                        if stream.read(member.file_size + 1) != new.read(member):
                            return f"{member.filename} in it is not as this reviewer writes it for the design"
            strange = sorted(name for name in held if name not in new.namelist())
            return f"{_brief(strange[0])} in it is not of this reviewer" if strange else ""
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, OSError, EOFError, ValueError):
        return "is no workbook"


def _of_manifest(found: bytes, wanted: bytes) -> Iterator[Difference]:
    """What a manifest says otherwise; digests and sizes are compared with the files themselves."""
    old, new = json.loads(found), json.loads(wanted)
    for one in (old, new):
        one["files"] = [{"name": e["name"], "what": e["what"]} for e in one["files"]]
    for key in (key for key in new if key != "reviewer" and old[key] != new[key]):
        if key == "files":
            yield from _of_listed(old[key], new[key])
        else:
            yield from (Difference(MANIFEST, said) for said in _unequal(key, old[key], new[key]))


def _of_listed(old: Sequence[Entry], new: Sequence[Entry]) -> Iterator[Difference]:
    """Which files two manifests list otherwise."""
    said, now = ({entry["name"]: entry["what"] for entry in entries} for entries in (old, new))
    for name, what in now.items():
        if name not in said:
            yield Difference(MANIFEST, f"does not list {_brief(name)}, which a fresh review writes")
        elif said[name] != what:
            words = f"`what` of {_brief(name)} is {_brief(said[name])}; a fresh review has {_brief(what)}"
            yield Difference(MANIFEST, words)
    for name in (name for name in said if name not in now):
        yield Difference(MANIFEST, f"lists {_brief(name)}, which no fresh review writes")
    if [*said] != [*now] and {*said} == {*now}:
        yield Difference(MANIFEST, "lists the files in another order than a fresh review")


def _entries(
    what: str,
    identity: Callable[[Entry], object],
    words: Callable[[Entry], str],
    old: Sequence[Entry],
    new: Sequence[Entry],
) -> Iterator[str]:
    """How two lists of one kind differ, entry by entry."""
    before, after = {identity(e): e for e in old}, {identity(e): e for e in new}
    for key, entry in before.items():
        if key not in after:
            yield f"{what} {words(entry)} is in the package and not in a fresh review"
            continue
        for field, value in after[key].items():
            if field != "traceback" and entry.get(field) != value:
                said = f"`{field}` is {_brief(entry.get(field))}; a fresh review has {_brief(value)}"
                yield f"{what} {words(entry)}: {said}"
    for key, entry in after.items():
        if key not in before:
            yield f"{what} {words(entry)} is in a fresh review and not in the package"
    if len(old) != len(before):
        yield f"{what} {words(old[0])} or another is there more than once"
    elif before.keys() == after.keys() and list(before) != list(after):
        yield f"the list with {what} {words(old[0])} has another order than in a fresh review"


def _item(entry: Entry) -> str:
    return f"{shown(entry['rule'])}, {subject_words(entry['subject'])}"


def _brief(value: object) -> str:
    text = shown(value if isinstance(value, str) else json.dumps(value, ensure_ascii=False))
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 4]} ..."
