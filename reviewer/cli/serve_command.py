"""The command serve. Arguments in, exit status out."""

from __future__ import annotations

from pathlib import Path

import click

from reviewer.cli.output import ENDINGS, UNREADABLE, fail, rules_of, with_rules_from


@click.command(
    epilog=f"""\b
Exit status:
  0  the editor ended the session
  1  the editor left without ending it
  2  pygls is not installed
  3  a rule could not be loaded
{ENDINGS}"""
)
@with_rules_from
def serve(rules_from: tuple[Path, ...]) -> None:
    """Serve an editor by the Language Server Protocol, on standard input and output.

    An editor starts it for designs in YAML or JSON. It shows mistakes, findings and missing data where
    they stand, as one types; what a part carries, what a key means; and offers completion, definitions,
    renaming and repairs. It writes no file.
    """
    try:
        from reviewer.editor.server import serve as served
    except ModuleNotFoundError as missing:
        if (missing.name or "").partition(".")[0] not in ("pygls", "lsprotocol", "cattrs", "attr", "attrs"):
            raise
        fail("It needs pygls: pip install 'circuit-reviewer[editor]'.", UNREADABLE)
    rules_of(rules_from)
    served([str(folder) for folder in rules_from])
