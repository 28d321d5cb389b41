"""The page around the page, while it is served live: what is going on, mistakes, and the page in a frame."""

from __future__ import annotations

from reviewer.reports.page.html import environment, joined, policy


def as_live_shell(name: str) -> str:
    """The page around the page of a file, as one HTML text."""
    from markupsafe import Markup

    style, script = joined("style", ("live.css",)), joined("script", ("live.js",))
    return (
        environment()
        .get_template("live.html.j2")
        .render(
            name=name,
            style=Markup(style),
            script=Markup(script),
            policy=policy(style, script, "connect-src 'self'; frame-src 'self'; "),
        )
    )
