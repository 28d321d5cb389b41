"""The command live. Arguments in, exit status out."""

from __future__ import annotations

from pathlib import Path

import click

from reviewer.cli.output import ENDINGS, UNREADABLE, answer, fail, rules_of, trials_option, with_rules_from


@click.command(
    epilog=f"""\b
Exit status:
  2  there is no such file, the port cannot be used, or watchfiles is not
     installed
  3  a rule could not be loaded
{ENDINGS}
It goes on until it is stopped, whatever becomes of the file."""
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    metavar="NUMBER",
    help="The port of this machine to serve at; any free one if not given.",
)
@trials_option
@with_rules_from
def live(file: Path, port: int, without_trials: bool, rules_from: tuple[Path, ...]) -> None:
    """Serve the page of FILE to a browser on this machine, and renew it at each save.

    The page keeps its state, failure and place. A mistake is shown above the last page that could be
    made, which is marked as old. The address holds a token; nothing but the page is served, and nothing
    is written.
    """
    try:
        import watchfiles  # noqa: F401
    except ModuleNotFoundError:
        fail("It needs watchfiles: pip install 'circuit-reviewer[live]'.", UNREADABLE)
    import gc
    import secrets
    from threading import Event, Thread

    from reviewer.live.file_changes import follow, seen
    from reviewer.live.live_server import LiveServer
    from reviewer.live.page_renewal import Renewal
    from reviewer.reports.page.live_shell import as_live_shell

    before = seen(file)
    if before is None:
        fail(f"There is no file {file}.", UNREADABLE)
    rules_of(rules_from)
    renewal = Renewal(file, rules_from, not without_trials)
    shell = as_live_shell(file.name).encode("utf-8", "backslashreplace")
    try:
        server = LiveServer(port, secrets.token_urlsafe(24), shell, renewal.live)
    except OSError as error:
        fail(f"Port {port} cannot be used: {error.strerror or error}.", UNREADABLE)
    gc.enable()  # it runs for hours
    ended = Event()
    try:
        Thread(target=server.serve_forever, daemon=True).start()
        Thread(target=follow, args=(renewal, before, ended), daemon=True).start()
        answer(f"{server.url}\n")
        renewal.go_on()
    finally:
        ended.set()
        renewal.end()
        server.server_close()
