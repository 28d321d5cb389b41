"""The files that belong to a design: each read once, whole, from the folder of the design file and from
nowhere else."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from reviewer.reading.files_read import note_read
from reviewer.reading.yaml_events import MAX_BYTES

#: where a file is no name in a folder but an open stream
_STREAMS = ("/dev/", "/proc/")


class NotBeside(Exception):
    """A file that cannot be read; the message is one sentence."""


class FilesBeside:
    """The files beside a design; ``contents`` has what was read, by name, in order, ``asked`` the names
    of all that were asked for.

    Without a ``folder`` the design was read from a stream or is text, and nothing stands beside it.
    """

    def __init__(self, folder: Path | None):
        self.folder = folder
        self.contents: dict[str, bytes] = {}
        self.asked: dict[str, None] = {}

    def read(self, name: str) -> bytes:
        """The content of a file. Raises :class:`NotBeside`."""
        self.asked[name] = None
        if name not in self.contents:
            self.contents[name] = self._read(name)
        return self.contents[name]

    def _read(self, name: str) -> bytes:
        if self.folder is None:
            said = "a design that is read from standard input or a pipe has no folder, so that"
            raise NotBeside(f"{said} `{name}` cannot be found; name the design file itself")
        if not is_plain_name(name):
            raise NotBeside("it must be in the folder of the design file; write its name alone")
        real = os.path.realpath(self.folder / name)
        if os.path.dirname(real) != os.path.realpath(self.folder):
            raise NotBeside(
                f"`{name}` is a link to another folder and was not read; put the file itself here"
            )
        try:
            with open(real, "rb", opener=_opened) as stream:
                if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
                    raise NotBeside(f"`{name}` is not a plain file")
                note_read(real)
                content = stream.read(MAX_BYTES + 1)
        except FileNotFoundError:
            raise NotBeside(f"there is no file `{name}` in the folder of the design file") from None
        except (OSError, ValueError) as error:
            raise NotBeside(
                f"`{name}` cannot be opened: {getattr(error, 'strerror', None) or error}"
            ) from None
        if len(content) > MAX_BYTES:
            raise NotBeside(f"`{name}` is larger than {MAX_BYTES:,} bytes, the largest file that is read")
        return content


def is_plain_name(name: str) -> bool:
    """Whether a name is that of a file in a folder, on any machine, and leads nowhere else."""
    return name.isprintable() and name not in ("", ".", "..") and not set(name) & set("/\\:\x00")


def folder_of(path: Path) -> Path | None:
    """The folder in which the files of a design stand, or will stand once it is saved; None for a
    stream."""
    new = path.is_absolute() and not os.path.lexists(path) and path.parent.is_dir()
    return path.parent if (new or path.is_file()) and not str(path).startswith(_STREAMS) else None


def _opened(path: str, flags: int) -> int:
    """A handle of a file; one of a pipe, too, comes back at once."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))
