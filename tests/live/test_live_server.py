"""The server of the live page on a socket: what it answers, what it refuses, and that nothing stops it."""

from __future__ import annotations

import contextlib
import json
import socket
from collections.abc import Iterator
from http.client import HTTPConnection
from threading import Thread

import pytest

from reviewer.live.live_server import ADDRESS, LiveServer
from reviewer.live.page_renewal import LivePage

TOKEN = "kAJ1-token"


@pytest.fixture
def server() -> Iterator[LiveServer]:
    live = LivePage()
    made = LiveServer(0, TOKEN, b"<p>around</p>", live)
    thread = Thread(target=made.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True)
    thread.start()
    yield made
    made.shutdown()
    made.server_close()
    thread.join(5)


def asked(
    server: LiveServer, target: str, method: str = "GET", **fields: str
) -> tuple[int, str, dict[str, str]]:
    connection = HTTPConnection(ADDRESS, server.server_port, timeout=5)
    connection.request(method, target, headers={k.replace("_", "-"): v for k, v in fields.items()})
    answer = connection.getresponse()
    found = answer.status, answer.read().decode(), dict(answer.getheaders())
    connection.close()
    return found


def raw(server: LiveServer, request: bytes) -> bytes:
    with socket.create_connection((ADDRESS, server.server_port), timeout=5) as there:
        there.sendall(request)
        there.shutdown(socket.SHUT_WR)
        return b"".join(iter(lambda: there.recv(4096), b""))


def test_the_page_is_served_below_its_token_alone(server: LiveServer) -> None:
    assert server.url == f"http://127.0.0.1:{server.server_port}/{TOKEN}/"
    assert asked(server, f"/{TOKEN}/")[:2] == (200, "<p>around</p>")
    assert asked(server, f"/{TOKEN}/page")[0] == 404  # there is none yet
    server.live.say(page="Größe".encode(), number=1, busy=False)
    status, text, fields = asked(server, f"/{TOKEN}/page?1")
    assert (status, text) == (200, "Größe")
    assert (
        fields["Cache-Control"] == "no-store"
        and fields["Content-Security-Policy"] == "frame-ancestors 'self'"
    )
    assert (
        fields["Referrer-Policy"] == "no-referrer" and fields["Cross-Origin-Resource-Policy"] == "same-origin"
    )
    assert not any(name.startswith("Access-Control") for name in fields)
    for target in (
        "/",
        "/page",
        "/x/page",
        f"/{TOKEN}/my.design.yaml",
        f"/{TOKEN}/../../etc/passwd",
        "/favicon.ico",
    ):
        status, text, _ = asked(server, target)
        assert status == 404 and TOKEN not in text


def test_other_hosts_origins_and_methods_are_refused(server: LiveServer) -> None:
    server.live.say(page=b"secret", number=1, busy=False)
    for fields in (
        {"Host": f"elsewhere.example:{server.server_port}"},
        {"Origin": "http://elsewhere.example"},
        {"Sec_Fetch_Site": "cross-site"},
    ):
        for place in ("", "page", "changes"):
            status, text, _ = asked(server, f"/{TOKEN}/{place}", **fields)
            assert status == 403 and "secret" not in text and TOKEN not in text
    for method in ("POST", "PUT", "DELETE", "OPTIONS", "HEAD", "CONNECT"):
        status, text, _ = asked(server, f"/{TOKEN}/page", method)
        assert status == 501 and "secret" not in text
    own = f"127.0.0.1:{server.server_port}".encode()
    two = b"GET /%s/page HTTP/1.1\r\nHost: %s\r\nHost: elsewhere.example\r\n\r\n" % (TOKEN.encode(), own)
    assert b"403" in raw(server, two) and b"secret" not in raw(server, two)
    assert b"secret" in raw(server, two.replace(b"Host: elsewhere.example\r\n", b""))


@pytest.mark.parametrize(
    "request_bytes",
    [b"", b"\r\n", b"GET\r\n\r\n", b"\x16\x03\x01\x02\x00", b"GET / HTTP/9.9\r\n\r\n", b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\n\r\n",
     b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 300 + b"\r\n", b"GET /\xff\xfe HTTP/1.1\r\nHost: \xff\r\n\r\n"],
    ids=["nothing", "a blank line", "no target", "an encrypted greeting", "a version of none", "a long target", "300 fields", "no text"],
)  # fmt: skip
def test_a_request_that_is_none_stops_nothing(server: LiveServer, request_bytes: bytes) -> None:
    assert b"around" not in raw(server, request_bytes)
    assert asked(server, f"/{TOKEN}/")[0] == 200


def test_changes_are_told_as_they_come(server: LiveServer) -> None:
    connection = HTTPConnection(ADDRESS, server.server_port, timeout=5)
    connection.request("GET", f"/{TOKEN}/changes")
    answer = connection.getresponse()

    def event() -> object:
        line, blank = answer.readline(), answer.readline()
        assert line.startswith(b"data: ") and blank == b"\n"
        return json.loads(line[6:])

    assert event() == {"number": 0, "busy": True, "mistakes": ""}
    server.live.say(page=b"x", number=1, busy=False)
    assert event() == {"number": 1, "busy": False, "mistakes": ""}
    server.live.say(mistakes="line 1\nline \u2028 2", busy=False)
    assert event() == {"number": 1, "busy": False, "mistakes": "line 1\nline \u2028 2"}
    connection.close()


def test_a_port_that_is_taken_is_refused(server: LiveServer) -> None:
    with pytest.raises(OSError):
        LiveServer(server.server_port, TOKEN, b"", LivePage())


def test_connections_that_ask_for_nothing_make_room_for_one_that_does(server: LiveServer) -> None:
    """The listeners of open pages stay; they have asked."""
    listener = socket.create_connection((ADDRESS, server.server_port), timeout=5)
    listener.sendall(
        f"GET /{TOKEN}/changes HTTP/1.1\r\nHost: 127.0.0.1:{server.server_port}\r\n\r\n".encode()
    )
    assert listener.recv(4096).startswith(b"HTTP/1.0 200")
    silent = [socket.create_connection((ADDRESS, server.server_port), timeout=5) for _ in range(150)]
    for number, one in enumerate(silent):
        if number % 2:
            with contextlib.suppress(OSError):
                one.sendall(b"GET / HTTP/1.1\r\nHos")
    assert asked(server, f"/{TOKEN}/")[:2] == (200, "<p>around</p>")
    server.live.say(page=b"new", number=1, busy=False)
    while b'"number": 1' not in (said := listener.recv(4096)):
        assert said
    for one in (*silent, listener):
        one.close()
