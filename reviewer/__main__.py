"""``python -m reviewer``, and the command ``reviewer``.

Listens to signals before anything is loaded that takes time.
"""

from __future__ import annotations

import os
import sys

from reviewer.cli.stopping import Stopped, listen, listen_no_more


def main() -> None:
    """Run the command and end with its exit status."""
    try:
        listen()
        _open_streams()
        from reviewer.cli.main import run

        status = run()
    except Stopped as stop:
        status = stop.status
    listen_no_more()
    sys.exit(status)


def _open_streams() -> None:
    """A stream that the caller closed leads nowhere: no file that is opened takes its number."""
    for descriptor in range(3):
        try:
            os.fstat(descriptor)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


if __name__ == "__main__":
    main()
