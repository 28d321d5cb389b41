"""The files of tables: each read once, whole, from the folder of the design file and from nowhere else."""

from __future__ import annotations

import os
import stat
from pathlib import Path

#: the most that is read of a table; a list of a thousand wires has about a fiftieth of it as CSV
MOST_OF_A_TABLE = 5_000_000
SUFFIXES = (".csv", ".tsv", ".xlsx")
#: where a file is no name in a folder but an open stream
_STREAMS = ("/dev/", "/proc/")


class TableError(Exception):
    """A table that cannot be read; the message is one sentence."""


class TableFiles:
    """The tables of a design: ``contents`` has what was read, by name, in order.

    Without a ``folder`` the design was read from a stream, and no table can be read.
    """

    def __init__(self, folder: Path | None):
        self.folder = folder
        self.contents: dict[str, bytes] = {}

    def read(self, name: str) -> bytes:
        """The content of a table. Raises :class:`TableError`."""
        if name not in self.contents:
            self.contents[name] = self._read(name)
        return self.contents[name]

    def _read(self, name: str) -> bytes:
        if self.folder is None:
            raise TableError(
                f"a design that is read from standard input or a pipe has no folder, so that `{name}` cannot "
                "be found; name the design file itself"
            )
        if set(name) & set("/\\:") or not name.isprintable():
            raise TableError("a table stands in the folder of the design file; write its name alone")
        if Path(name).suffix.lower() not in SUFFIXES:
            raise TableError(f"`{name}` is no table that is read; save it as CSV or XLSX")
        real = os.path.realpath(self.folder / name)
        if os.path.dirname(real) != os.path.realpath(self.folder):
            raise TableError(
                f"`{name}` is a link to another folder and was not read; put the file itself here"
            )
        try:
            with open(real, "rb", opener=_opened) as stream:
                if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
                    raise TableError(f"`{name}` is no plain file; a table is a CSV or XLSX file")
                content = stream.read(MOST_OF_A_TABLE + 1)
        except FileNotFoundError:
            raise TableError(f"there is no file `{name}` in the folder of the design file") from None
        except (OSError, ValueError) as error:
            raise TableError(
                f"`{name}` cannot be opened: {getattr(error, 'strerror', None) or error}"
            ) from None
        if len(content) > MOST_OF_A_TABLE:
            raise TableError(
                f"`{name}` is larger than {MOST_OF_A_TABLE:,} bytes, the largest table that is read"
            )
        return content


def folder_of(path: Path, regular: bool) -> Path | None:
    """The folder in which the tables of a design file stand; None for a stream."""
    return path.parent if regular and not str(path).startswith(_STREAMS) else None


def _opened(path: str, flags: int) -> int:
    """A handle of a file; one of a pipe, too, comes back at once."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))
