"""A design file as it was read: once, whole, into memory.

What is reviewed, what is digested, what is copied and the lines that a mistake shows all come from
here. A path is not read again: the file may be another by then, and a pipe gives its content once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

from reviewer.model.record import record
from reviewer.reading.beside import FilesBeside, folder_of
from reviewer.reading.files_read import note_read
from reviewer.reading.problem import Unreadable, of_file
from reviewer.reading.yaml_events import MAX_BYTES, too_large


@record
class DesignFile:
    """A file that was read: its ``path`` as it was named, and its ``content`` in bytes."""

    path: Path
    content: bytes

    @property
    def sha256(self) -> str:
        """The digest of the design, in hexadecimal: that of the file, or, with files that belong to it,
        that of the digests of the file and of each of them, as lines."""
        import hashlib  # for a page or a folder alone

        own = hashlib.sha256(self.content).hexdigest()
        if not self.beside.contents:
            return own
        every = [own, *(hashlib.sha256(content).hexdigest() for content in self.beside.contents.values())]
        return hashlib.sha256("".join(f"{one}\n" for one in every).encode()).hexdigest()

    @cached_property
    def beside(self) -> FilesBeside:
        """The files that belong to it, in its folder; each is read once, when the design is."""
        return FilesBeside(folder_of(self.path))

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines without their ends; what is not UTF-8 is shown by a replacement character."""
        return tuple(self.content.decode("utf-8", "replace").splitlines())


def names_of(paths: Sequence[Path]) -> list[str]:
    """What reports call some files: nothing of the machine on which they were made.

    A relative path as it was named; of an absolute one as much of its end as tells it from the others.
    """
    ends = Counter(path.parts[-n:] for path in set(paths) for n in range(1, len(path.parts) + 1))
    found = []
    for path in paths:
        name = path.as_posix()
        if path.is_absolute():
            for count in range(1, len(path.parts)):
                name = "/".join(path.parts[-count:])
                if ends[path.parts[-count:]] == 1:
                    break
        found.append(name)
    return found


def _unopened(error: Exception) -> str:
    """Why a file could not be opened."""
    if isinstance(error, FileNotFoundError):
        return "there is no such file; `reviewer start FILE` writes a design to begin with"
    return f"the file cannot be opened: {getattr(error, 'strerror', None) or error}"


def read_file(path: Path) -> DesignFile:
    """Read a file once, a pipe or a device too.

    Of one that is larger than ``MAX_BYTES`` no more than that is read. Raises :class:`Unreadable`
    where it cannot be opened or is larger.
    """
    try:
        with path.open("rb") as stream:
            note_read(path)
            content = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        raise Unreadable(str(path), [of_file(_unopened(error))]) from None
    if len(content) > MAX_BYTES:
        raise too_large(str(path))
    return DesignFile(path, content)
