"""Writes a file where a person asked for it, and damages nothing that is there.

A file is written whole or not at all: beside its place, then given its name. What exists keeps its
mode, its owner and its other names. A link is followed. A device, a pipe and a stream of the
command itself take what is written, and stay what they are.
"""

from __future__ import annotations

import errno
import os
import re
import stat
from pathlib import Path


class LeftAlone(Exception):
    """A place that is left as it is; the message says why."""


def write_file(out: Path, content: bytes) -> None:
    """Write ``content`` to what ``out`` names, over a file that is there.

    Raises :class:`LeftAlone` where what is there must stay, OSError where it cannot be written, and
    ValueError for a path that no system has.
    """
    stream = _own_stream(out)
    if stream is not None:
        _pour(stream, content)
        return
    try:
        there = os.stat(out)
    except FileNotFoundError:
        _write_beside(Path(os.path.realpath(out)), content, None)
        return
    if stat.S_ISDIR(there.st_mode):
        raise LeftAlone(f"{out} is a folder; name a file.")
    if stat.S_ISBLK(there.st_mode) or stat.S_ISSOCK(there.st_mode):
        raise LeftAlone(f"{out} is a disk or a socket and was left as it was; name a file.")
    if is_read_only(out, there):
        raise LeftAlone(f"{out} is read-only and was left as it was; name another file.")
    target = Path(os.path.realpath(out))
    if stat.S_ISREG(there.st_mode) and _replaceable(target, there):
        _write_beside(target, content, there)
    else:
        _write_over(target, content, stat.S_ISREG(there.st_mode))


def write_new_file(out: Path, content: bytes) -> None:
    """Write ``content`` to a new file, whole or not at all.

    Raises FileExistsError where anything has the name, a link without a target too, and OSError or
    ValueError as :func:`write_file` does.
    """
    try:
        os.lstat(out)
    except FileNotFoundError:
        _write_beside(Path(os.path.abspath(out)), content, None, new=True)
    else:
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(out))


def is_read_only(path: Path, there: os.stat_result) -> bool:
    """Whether nobody may write what is there, by its mode, or the user of the command may not.

    The mode counts for an administrator too, whom the system would let write.
    """
    return not there.st_mode & 0o222 or not os.access(path, os.W_OK)


def name_beside(target: Path) -> str:
    """The beginning of the name of what is written beside a target; no longer than names may be."""
    return f".{target.name[:40]}."


def _own_stream(out: Path) -> int | None:
    """The descriptor that is open in this process already, where ``out`` is one.

    It is written where it stands: a file that the shell opened would begin again otherwise.
    """
    named = re.fullmatch(r"/(?:dev|proc/self)/fd/(\d{1,9})", str(out))
    for descriptor in (int(named[1]),) if named else (1, 2):
        try:
            if os.path.samestat(os.fstat(descriptor), os.stat(out)):
                return descriptor
        except (OSError, ValueError):
            continue
    return None


def _replaceable(target: Path, there: os.stat_result) -> bool:
    """Whether another file in its place has the same owner and group, and leaves no second name."""
    return (
        os.name == "posix"
        and there.st_nlink == 1
        and there.st_uid == os.geteuid()
        and there.st_gid in (os.getegid(), *os.getgroups())
        and os.access(target.parent, os.W_OK | os.X_OK)
    )


def _write_beside(target: Path, content: bytes, there: os.stat_result | None, new: bool = False) -> None:
    """Write a file beside its place and give it its name.

    Where one is there, in its mode; else as the umask has it. A ``new`` one takes no name that is
    taken meanwhile.
    """
    beside = target.with_name(f"{name_beside(target)}{os.urandom(6).hex()}")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    descriptor = os.open(beside, flags, 0o600 if there else 0o666)
    try:
        try:
            if there:
                os.fchown(descriptor, -1, there.st_gid)
                os.fchmod(descriptor, stat.S_IMODE(there.st_mode))
            _pour(descriptor, content)
        finally:
            os.close(descriptor)
        if new:
            _name_new(beside, target)
        else:
            os.replace(beside, target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _name_new(beside: Path, target: Path) -> None:
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without second names
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        os.rename(beside, target)
    else:
        beside.unlink()


def _write_over(target: Path, content: bytes, cut: bool) -> None:
    """Write into what is there; ``cut`` what a file had more."""
    descriptor = os.open(target, os.O_WRONLY | getattr(os, "O_NOCTTY", 0) | getattr(os, "O_BINARY", 0))
    try:
        _pour(descriptor, content)
        if cut:
            os.ftruncate(descriptor, len(content))
    finally:
        os.close(descriptor)


def _pour(descriptor: int, content: bytes) -> None:
    rest = memoryview(content)
    while rest:
        rest = rest[os.write(descriptor, rest) :]
