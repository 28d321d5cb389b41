"""An editor's side of the protocol: opens a text, changes it, waits for what is said of it."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from lsprotocol import types as lsp
from pytest_lsp import LanguageClient, make_test_lsp_client

#: seconds that an answer may take on a machine that does much else
PATIENCE = 120


class Session:
    """A client that is connected to a server of its own."""

    def __init__(self, client: LanguageClient):
        self.client, self.version = client, 0

    async def open(self, path: Path, text: str) -> list[lsp.Diagnostic]:
        """Open a text as the file at a path; what is said of it."""
        self.version += 1
        item = lsp.TextDocumentItem(path.as_uri(), "yaml", self.version, text)
        self.client.text_document_did_open(lsp.DidOpenTextDocumentParams(item))
        return await self.said(path)

    def change(self, path: Path, text: str) -> None:
        """Say that the text is another one."""
        self.version += 1
        self.client.text_document_did_change(
            lsp.DidChangeTextDocumentParams(
                lsp.VersionedTextDocumentIdentifier(self.version, path.as_uri()),
                [lsp.TextDocumentContentChangeWholeDocument(text)],
            )
        )

    async def changed(self, path: Path, text: str) -> list[lsp.Diagnostic]:
        """Change the text; what is said of it."""
        self.change(path, text)
        return await self.said(path)

    async def said(self, path: Path) -> list[lsp.Diagnostic]:
        """Wait for what is said of the newest text of a file, or of one that was closed."""
        while True:
            wait = self.client.wait_for_notification(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
            found = await asyncio.wait_for(wait, PATIENCE)
            if found.uri == path.as_uri() and found.version in (self.version, None):
                return list(found.diagnostics)

    async def hover(self, path: Path, line: int, column: int) -> str:
        """What is shown at a place, both from 0."""
        found = await self.client.text_document_hover_async(
            lsp.HoverParams(lsp.TextDocumentIdentifier(path.as_uri()), lsp.Position(line, column))
        )
        return found.contents.value if found else ""

    async def actions(self, path: Path, at: lsp.Range) -> list[lsp.CodeAction]:
        """The repairs that are offered in a range."""
        found = await self.client.text_document_code_action_async(
            lsp.CodeActionParams(lsp.TextDocumentIdentifier(path.as_uri()), at, lsp.CodeActionContext([]))
        )
        return [one for one in found or [] if isinstance(one, lsp.CodeAction)]


def in_session(work: Callable[[Session], Awaitable[Any]], *arguments: str) -> Any:
    """Start ``reviewer serve``, do some work as its editor, end it."""

    async def run() -> Any:
        client = make_test_lsp_client()
        code = "from reviewer.cli.main import main; main()"
        await client.start_io(sys.executable, "-c", code, "serve", *arguments)
        await client.initialize_session(lsp.InitializeParams(capabilities=lsp.ClientCapabilities()))
        try:
            return await work(Session(client))
        finally:
            await client.shutdown_session()
            await client.stop()

    return asyncio.run(run())


def edited(text: str, edit: lsp.WorkspaceEdit | None) -> str:
    """A text after an edit of an editor; positions count UTF-16 units."""
    assert edit is not None and edit.changes is not None
    (changes,) = edit.changes.values()
    lines = text.split("\n")

    def offset(at: lsp.Position) -> int:
        own = lines[at.line].encode("utf-16-le")[: 2 * at.character].decode("utf-16-le")
        return sum(len(line) + 1 for line in lines[: at.line]) + len(own)

    for change in sorted(changes, key=lambda c: offset(c.range.start), reverse=True):
        text = text[: offset(change.range.start)] + change.new_text + text[offset(change.range.end) :]
    return text
