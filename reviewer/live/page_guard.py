"""Which requests the live page answers: those of its own address, by somebody who knows its token.

A page elsewhere can make a browser ask here, also under a name of its own that leads to this machine.
Such a request names another host or another origin, or lacks the token.
"""

from __future__ import annotations

import hmac
from collections.abc import Sequence

#: names of this machine by which the page is reached
_HERE = ("127.0.0.1", "localhost")
#: the places that are served, below the token
SHELL, PAGE, CHANGES = "", "page", "changes"
#: where a browser says that a request comes from, if the page itself or a person made it
_OWN_SITES = ("same-origin", "none")


def refusal(hosts: Sequence[str], origins: Sequence[str], sites: Sequence[str], port: int) -> str:
    """Why a request is refused, in one sentence; "" where it is not.

    ``hosts``, ``origins`` and ``sites`` are the values of the fields Host, Origin and Sec-Fetch-Site of
    the request, each as often as it is there.
    """
    here = [f"{name}:{port}" for name in _HERE]
    if len(hosts) != 1 or hosts[0].lower() not in here:
        return "The request names another host than this machine."
    if any(origin.lower() not in [f"http://{host}" for host in here] for origin in origins):
        return "The request comes from a page elsewhere."
    if any(site.lower() not in _OWN_SITES for site in sites):
        return "The request comes from a page elsewhere."
    return ""


def place_of(target: str, token: str) -> str | None:
    """The place that a request asks for, one of SHELL, PAGE and CHANGES; None where it is none of them
    or the token is another."""
    path = target.partition("?")[0]
    start, slash, place = path.removeprefix("/").partition("/")
    known = hmac.compare_digest(start.encode("utf-8", "replace"), token.encode())
    return place if known and slash and place in (SHELL, PAGE, CHANGES) else None
