"""Writes a handoff folder, whole or not at all, over nothing but an unchanged former one."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from reviewer.cli.received_folder import NoPackage, manifest_in
from reviewer.cli.written_file import is_read_only, name_beside
from reviewer.reports.handoff.contents import MANIFEST


class NotOurs(Exception):
    """A place that is left as it is; the message says why."""


def place_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Writes the files to the folder ``out``, new or in place of an unchanged former handoff.

    Raises :class:`NotOurs` where anything else is there, and OSError where it cannot be written.
    The files are written beside the place first, so that a run that is stopped leaves what was
    there.
    """
    former = _former(out)
    parent = out.parent
    work = Path(tempfile.mkdtemp(prefix=name_beside(out), dir=parent))
    try:
        made = work / "new"
        made.mkdir()
        for name, content in files.items():
            if Path(name).name != name:
                raise ValueError(f"{name} is not the name of a file")
            (made / name).write_bytes(content)
            if former and (out / name).exists():
                shutil.copymode(out / name, made / name)
        if out.is_dir():
            shutil.copymode(out, made)
        old = work / "old"
        if former:
            os.rename(out, old)
        elif out.is_dir():
            os.rmdir(out)
        try:
            os.rename(made, out)
        except BaseException:
            if former:
                with contextlib.suppress(OSError):
                    os.rename(old, out)
            raise
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _former(out: Path) -> bool:
    """Whether a former handoff is at the place; False where nothing or an empty folder is."""
    if out.is_symlink():
        raise NotOurs(f"{out} is a link; name the folder itself.")
    if not out.exists():
        return False
    if not out.is_dir():
        raise NotOurs(f"{out} is a file; name a folder.")
    if is_read_only(out, out.stat()):
        raise NotOurs(f"{out} is read-only, so it was left as it was; name another folder.")
    there = sorted(p.name for p in out.iterdir())
    if not there:
        return False
    listed = _listed(out)
    if listed is None:
        raise NotOurs(
            f"{out} is not empty and is no handoff folder, so it was left as it is; name a new folder."
        )
    strange = [name for name in there if name != MANIFEST and name not in listed]
    if strange:
        raise NotOurs(
            f"{out} holds files that are not of a handoff, so it was left as it is: {', '.join(strange[:5])}."
        )
    changed = [name for name in there if name != MANIFEST and not _same(out / name, listed[name])]
    if changed:
        raise NotOurs(
            f"{out} holds changed files of a handoff, so it was left as it is: {', '.join(changed[:5])}."
        )
    locked = [name for name in there if is_read_only(out / name, (out / name).stat())]
    if locked:
        raise NotOurs(f"{out} holds read-only files, so it was left as it was: {', '.join(locked[:5])}.")
    return True


def _listed(folder: Path) -> dict[str, str] | None:
    """The files of a former handoff with their digests; None without a manifest of this format."""
    try:
        return {str(entry["name"]): str(entry["sha256"]) for entry in manifest_in(folder)["files"]}
    except (NoPackage, KeyError, TypeError):
        return None


def _same(path: Path, digest: str) -> bool:
    return (
        path.is_file() and not path.is_symlink() and hashlib.sha256(path.read_bytes()).hexdigest() == digest
    )
