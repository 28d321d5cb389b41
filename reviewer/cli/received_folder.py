"""Reads a handoff folder that came from others: plain files only, none larger than such a folder has."""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reviewer import resources
from reviewer.reading.beside import is_plain_name
from reviewer.reports.handoff.contents import FORMAT, MANIFEST
from reviewer.reports.handoff.differences import Difference
from reviewer.reports.wording import shown

#: bytes of a manifest and of any other file; what is larger is not read
MOST_OF_MANIFEST, MOST_OF_FILE = 1 << 20, 1 << 28
#: mistakes of one document that are listed
_MOST_MISTAKES = 20
_LONGEST = 160


class NoPackage(Exception):
    """A folder that cannot be checked; the message says why."""


class _NotRead(Exception):
    """A file that was not read; the message follows its name."""


@dataclass(frozen=True)
class ReceivedFolder:
    """The ``manifest`` of a folder, what each file holds that was read, and what was seen to differ.

    ``shaped`` says whether the manifest meets its schema; where it does not, no other file was read.
    """

    manifest: Mapping[str, Any]
    contents: Mapping[str, bytes]
    differences: tuple[Difference, ...]
    shaped: bool


def manifest_in(folder: Path) -> Mapping[str, Any]:
    """The manifest of a handoff folder, a mapping of this format. Raises :class:`NoPackage`."""
    return _manifest(folder)[1]


def _manifest(folder: Path) -> tuple[bytes, Mapping[str, Any]]:
    try:
        content = _content(folder / MANIFEST, MOST_OF_MANIFEST)
    except FileNotFoundError:
        raise NoPackage(f"{folder} is no handoff folder: it has no {MANIFEST}.") from None
    except _NotRead as error:
        raise NoPackage(f"{folder} is no handoff folder: its {MANIFEST} {error}.") from None
    try:
        found = json.loads(content.decode("utf-8"))
    except (ValueError, RecursionError):
        raise NoPackage(f"{folder} is no handoff folder: its {MANIFEST} is no JSON.") from None
    form = found.get("format") if isinstance(found, dict) else None
    if form != FORMAT:
        said = f"has the format `{_brief(form)}`" if isinstance(form, str) else "has no format"
        raise NoPackage(f"{folder} cannot be checked: its {MANIFEST} {said}; this reviewer reads `{FORMAT}`.")
    return content, found


def received_folder(folder: Path) -> ReceivedFolder:
    """What a folder holds, compared with its manifest. Raises :class:`NoPackage`."""
    try:
        there = {entry.name for entry in os.scandir(folder)}
    except NotADirectoryError:
        raise NoPackage(
            f"{folder} cannot be read: it is a file. Give the folder; unpack an archive first."
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise NoPackage(f"{folder} cannot be read: {reason}.") from None
    content, manifest = _manifest(folder)
    differences = [Difference(MANIFEST, mistake) for mistake in schema_mistakes(manifest, "handoff")]
    if differences:
        return ReceivedFolder(manifest, {MANIFEST: content}, tuple(differences), False)
    contents, listed = {MANIFEST: content}, {MANIFEST}
    for entry in manifest["files"]:
        name = entry["name"]
        if not is_plain_name(name):
            said = f"lists `{_brief(name)}`, which is no name of a file in the folder and was not looked for"
            differences.append(Difference(MANIFEST, said))
        elif name in listed:
            differences.append(Difference(MANIFEST, f"lists {_brief(name)} again"))
        elif name not in there:
            differences.append(Difference(name, "missing"))
        else:
            try:
                contents[name] = _content(folder / name, MOST_OF_FILE)
            except FileNotFoundError:
                differences.append(Difference(name, "missing"))
            except _NotRead as error:
                differences.append(Difference(name, str(error)))
            else:
                differences += [Difference(name, said) for said in _unlike(entry, contents[name])]
        listed.add(name)
    differences += [Difference(name, "not listed in the manifest") for name in sorted(there - listed)]
    return ReceivedFolder(manifest, contents, tuple(differences), True)


def _unlike(entry: Mapping[str, Any], content: bytes) -> Iterator[str]:
    """How a file differs from what the manifest says of it."""
    found = hashlib.sha256(content).hexdigest()
    if found != entry["sha256"]:
        sizes = "" if len(content) == entry["bytes"] else f"; {len(content):,} bytes, not {entry['bytes']:,}"
        yield (
            f"changed since the manifest was written: sha256 {found[:12]}, not {entry['sha256'][:12]}{sizes}"
        )
    elif len(content) != entry["bytes"]:
        yield f"{len(content):,} bytes; the manifest says {entry['bytes']:,}"


def _content(path: Path, most: int) -> bytes:
    """The content of a plain file; of a pipe, a link or a device nothing is read.

    Raises FileNotFoundError, and :class:`_NotRead` with what follows the name of the file.
    """
    try:
        if path.is_symlink():
            raise _NotRead("is a link and was not read")
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)
        with open(
            path, "rb", opener=lambda name, _: os.open(name, flags | getattr(os, "O_BINARY", 0))
        ) as file:
            about = os.fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise _NotRead("is not a plain file and was not read")
            content = file.read(most + 1) if about.st_size <= most else None
    except FileNotFoundError:
        raise
    except (OSError, ValueError) as error:
        raise _NotRead(f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if content is None or len(content) > most:
        raise _NotRead(f"is larger than {most:,} bytes and was not read")
    return content


def schema_mistakes(document: object, schema: str) -> list[str]:
    """Where a document does not meet the JSON Schema of a name, each with its place and what is wrong."""
    from jsonschema import Draft202012Validator

    text = (resources.folder("schemas") / f"{schema}.schema.json").read_text(encoding="utf-8")
    found: list[str] = []
    for error in Draft202012Validator(json.loads(text)).iter_errors(document):
        if len(found) == _MOST_MISTAKES:
            found.append(f"does not meet its schema in more than {_MOST_MISTAKES} places")
            break
        place = "/".join(map(str, error.absolute_path)) or "its first level"
        found.append(f"does not meet its schema at {_brief(place)}: {_brief(error.message)}")
    return found


def _brief(text: object) -> str:
    words = shown(str(text))
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 4]} ..."
