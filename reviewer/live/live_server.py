"""The server of the live page: to this machine alone, the page and the events of its changes, no more."""

from __future__ import annotations

import contextlib
import json
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socket import SHUT_RDWR
from socketserver import TCPServer
from threading import BoundedSemaphore
from typing import Any

from reviewer.live.page_guard import PAGE, SHELL, place_of, refusal
from reviewer.live.page_renewal import LivePage, Showing

ADDRESS = "127.0.0.1"
#: connections at a time; seconds that one may wait; seconds after which a listener is written to
_MOST, _PATIENCE, _HEARTBEAT = 64, 30, 10.0
#: seconds in which one that is ended makes room
_ROOM = 1.0
#: what every answer says: nothing of it is kept, passed on, or read by another page
_FIELDS = (
    ("Cache-Control", "no-store"),
    ("Referrer-Policy", "no-referrer"),
    ("X-Content-Type-Options", "nosniff"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
)
_HTML, _TEXT = "text/html; charset=utf-8", "text/plain; charset=utf-8"


class LiveServer(ThreadingHTTPServer):
    """Serves a live page at a port of this machine, below a token; 0 is any port that is free.

    ``shell`` is the page around the page. Raises OSError where the port cannot be used.
    """

    daemon_threads = True
    block_on_close = False
    #: connections that wait to be taken; with the usual five, the next asks again after a second
    request_queue_size = 128

    def __init__(self, port: int, token: str, shell: bytes, live: LivePage):
        self.token, self.shell, self.live = token, shell, live
        self._free = BoundedSemaphore(_MOST)
        #: connections that have not asked for anything yet, the oldest first
        self.silent: dict[int, Any] = {}
        super().__init__((ADDRESS, port), _LiveRequest)

    @property
    def url(self) -> str:
        """Where the page is."""
        return f"http://{ADDRESS}:{self.server_port}/{self.token}/"

    def server_bind(self) -> None:
        """Take the port, and ask nobody for the name of this machine."""
        TCPServer.server_bind(self)
        self.server_name, self.server_port = ADDRESS, int(self.server_address[1])

    def process_request(self, request: Any, client_address: Any) -> None:
        """Answer in a thread; where too many are at work, one that has asked for nothing yet makes room,
        the oldest first, else the new one is closed."""
        free = self._free.acquire(blocking=False)
        if not free and (silent := list(self.silent.values())):
            with contextlib.suppress(OSError):
                silent[0].shutdown(SHUT_RDWR)
            free = self._free.acquire(timeout=_ROOM)
        if free:
            self.silent[id(request)] = request
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Answer, and make room for another."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self.silent.pop(id(request), None)
            self._free.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that goes away is nobody's mistake."""


class _LiveRequest(BaseHTTPRequestHandler):
    server: LiveServer
    timeout = _PATIENCE

    def do_GET(self) -> None:
        """Answer a request for the page, the page around it, or the changes."""
        self.server.silent.pop(id(self.connection), None)
        port = self.server.server_port
        fields = (self.headers.get_all(name, []) for name in ("Host", "Origin", "Sec-Fetch-Site"))
        hosts, origins, sites = fields
        place = place_of(self.path, self.server.token)
        now = self.server.live.now
        if why := refusal(hosts, origins, sites, port):
            self._answer(HTTPStatus.FORBIDDEN, _TEXT, f"{why}\n".encode())
        elif place is None or (place == PAGE and not now.page):
            self._answer(HTTPStatus.NOT_FOUND, _TEXT, b"There is nothing here.\n")
        elif place == SHELL:
            self._answer(HTTPStatus.OK, _HTML, self.server.shell, "frame-ancestors 'none'")
        elif place == PAGE:
            self._answer(HTTPStatus.OK, _HTML, now.page, "frame-ancestors 'self'")
        else:
            self._changes()

    def _answer(
        self, status: HTTPStatus, kind: str, content: bytes, policy: str = "default-src 'none'"
    ) -> None:
        self._begin(status, kind, policy)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def _begin(self, status: HTTPStatus, kind: str, policy: str) -> None:
        self.send_response(status)
        for name, value in (("Content-Type", kind), ("Content-Security-Policy", policy), *_FIELDS):
            self.send_header(name, value)

    def _changes(self) -> None:
        """Write what is shown, and again whenever that changes, until the browser goes away."""
        self._begin(HTTPStatus.OK, "text/event-stream", "default-src 'none'")
        self.end_headers()
        turn = -1
        while True:
            found = self.server.live.after(turn, _HEARTBEAT)
            self.wfile.write(_event(found) if found else b": still here\n\n")
            turn = found.turn if found else turn

    def version_string(self) -> str:
        """What the field Server says: nothing of the machine."""
        return "reviewer"

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing is written of requests: an address holds the token."""


def _event(now: Showing) -> bytes:
    said = {"number": now.number, "busy": now.busy, "mistakes": now.mistakes}
    return f"data: {json.dumps(said)}\n\n".encode()
