"""The server: an editor's requests in, answers out. It writes no file and opens no port."""

from __future__ import annotations

import asyncio
import gc
import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcInvalidParams
from pygls.lsp.server import LanguageServer
from pygls.uris import from_fs_path, to_fs_path
from pygls.workspace import ServerTextPosition

from reviewer import __version__, resources
from reviewer.editor.completions import Completion, completions
from reviewer.editor.cursor import cursor_at
from reviewer.editor.forked_process import make_ready
from reviewer.editor.fresh_review import Mark
from reviewer.editor.hovers import hover_words
from reviewer.editor.open_design import OpenDesign, TextRead, read_as
from reviewer.editor.renames import NotRenamed, renamed
from reviewer.editor.repairs import concession_of, looks_like_a_design, word_at
from reviewer.editor.written_names import WrittenName, lines_in
from reviewer.model.places import CellPlace

#: seconds without another change before a text is read: an editor may send one edit in several
QUIET = 0.005
_SEVERITY = {
    "mistake": lsp.DiagnosticSeverity.Error,
    "rule error": lsp.DiagnosticSeverity.Error,
    "catastrophic": lsp.DiagnosticSeverity.Error,
    "hazardous": lsp.DiagnosticSeverity.Error,
    "major": lsp.DiagnosticSeverity.Warning,
    "concession": lsp.DiagnosticSeverity.Warning,
    "minor": lsp.DiagnosticSeverity.Information,
}
_KINDS = {
    "key": lsp.CompletionItemKind.Property,
    "kind": lsp.CompletionItemKind.Class,
    "word": lsp.CompletionItemKind.EnumMember,
    "name": lsp.CompletionItemKind.Variable,
    "terminal": lsp.CompletionItemKind.Field,
    "unit": lsp.CompletionItemKind.Unit,
    "example": lsp.CompletionItemKind.Value,
}


class DesignServer(LanguageServer):
    """Answers about the designs that are open; each has a process of its own that reviews its text."""

    def __init__(self, rules_from: Sequence[str] = ()):
        super().__init__("reviewer", __version__, text_document_sync_kind=lsp.TextDocumentSyncKind.Full)
        self.rules_from = tuple(rules_from)
        self.designs: dict[str, OpenDesign] = {}
        self.schema = json.loads(resources.design_schema())
        self._tasks: set[asyncio.Task[None]] = set()
        #: of many open designs some wait, so that there are processors and threads for what is typed
        self._reviews = asyncio.Semaphore(max(2, os.cpu_count() or 1))
        self._listen()

    def _listen(self) -> None:
        handlers: dict[str, Callable[[Any], Any]] = {
            lsp.TEXT_DOCUMENT_DID_OPEN: lambda p: self._changed(p.text_document.uri),
            lsp.TEXT_DOCUMENT_DID_CHANGE: lambda p: self._changed(p.text_document.uri),
            lsp.TEXT_DOCUMENT_DID_SAVE: lambda p: self._saved(p.text_document.uri),
            lsp.TEXT_DOCUMENT_DID_CLOSE: lambda p: self._closed(p.text_document.uri),
            lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES: lambda p: self._files_changed(p.changes),
            lsp.TEXT_DOCUMENT_DEFINITION: self._definition,
            lsp.TEXT_DOCUMENT_REFERENCES: self._references,
        }
        for name, handler in handlers.items():
            self.feature(name)(_one_argument(handler))
        self.feature(lsp.TEXT_DOCUMENT_HOVER)(_awaited(self._hover))
        self.feature(lsp.TEXT_DOCUMENT_COMPLETION, lsp.CompletionOptions(trigger_characters=[".", " "]))(
            _one_argument(self._completion)
        )
        self.feature(lsp.TEXT_DOCUMENT_RENAME, lsp.RenameOptions(prepare_provider=True))(
            _one_argument(self._rename)
        )
        self.feature(lsp.TEXT_DOCUMENT_PREPARE_RENAME)(_one_argument(self._prepare_rename))
        kinds = lsp.CodeActionOptions(code_action_kinds=[lsp.CodeActionKind.QuickFix])
        self.feature(lsp.TEXT_DOCUMENT_CODE_ACTION, kinds)(_one_argument(self._actions))

    # ---- texts come in

    def _changed(self, uri: str) -> None:
        self._forget()
        document = self.workspace.get_text_document(uri)
        text, path = document.source, Path(to_fs_path(uri) or uri)
        if uri not in self.designs and not looks_like_a_design(path, text):
            return
        own = self.designs.setdefault(uri, OpenDesign(path))
        own.version = document.version
        self._start(self._fresh(uri, own, own.changed(), text))

    def _forget(self) -> None:
        """Drop what came of earlier messages: pygls keeps it of each notification, some kB a letter."""
        kept = getattr(self.protocol, "_request_futures", {})
        for number in [number for number, future in kept.items() if future.done()]:
            del kept[number]

    def _start(self, work: Any) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _fresh(self, uri: str, own: OpenDesign, turn: int, text: str) -> None:
        """Read a text and review it, unless another one comes in the meantime."""
        await asyncio.sleep(QUIET)
        async with own.reading:
            if turn != own.turn:
                return
            read = await asyncio.to_thread(TextRead, own.path, text)
        if turn != own.turn:
            return
        own.read, own.last = read, read.design or own.last
        if read.design is None:
            own.marks = tuple(
                Mark(p.line, p.column, "mistake", p.message, table=p.cell.table if p.cell else "")
                for p in read.problems
            )
            self._publish(uri, own)
            return
        async with self._reviews:
            if turn != own.turn:
                return
            answered = await asyncio.to_thread(own.review(text, self.rules_from).answered)
        if turn != own.turn:
            return
        if answered is None or answered.failed:
            why = answered.failed if answered else "it gave no answer"
            said = f"This is a defect of the reviewer, not of your design: {why}. Please report it."
            own.marks = (Mark(1, 1, "rule error", said),)
        else:
            own.marks, own.pages = answered.marks, answered.pages
        self._publish(uri, own)

    def _saved(self, uri: str) -> None:
        """A file that was saved may be the table or assembly of another one."""
        for other, own in self.designs.items():
            if own.path.parent == Path(to_fs_path(uri) or uri).parent and (other == uri or own.last):
                self._changed(other)

    def _files_changed(self, changes: Sequence[lsp.FileEvent]) -> None:
        folders = {Path(to_fs_path(change.uri) or change.uri).parent for change in changes}
        for uri, own in self.designs.items():
            if own.path.parent in folders:
                self._changed(uri)

    def _closed(self, uri: str) -> None:
        own = self.designs.pop(uri, None)
        if own is not None:
            own.changed()
            self.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(uri, []))

    def end(self) -> None:
        """End every process."""
        for own in self.designs.values():
            own.changed()

    # ---- findings go out

    def _publish(self, uri: str, own: OpenDesign) -> None:
        found = [self._diagnostic(own, mark) for mark in own.marks]
        self.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(uri, found, own.version))

    def _diagnostic(self, own: OpenDesign, mark: Mark) -> lsp.Diagnostic:
        where = f"{mark.table}, line {mark.line}: " if mark.table else ""
        words = "" if mark.weight == "mistake" else f"{mark.weight}: "
        return lsp.Diagnostic(
            range=self._range_of(own, mark),
            message=f"{words}{where}{mark.sentence}",
            severity=_SEVERITY.get(mark.weight, lsp.DiagnosticSeverity.Hint),
            source="reviewer",
            code=mark.rule or None,
        )

    def _range_of(self, own: OpenDesign, mark: Mark) -> lsp.Range:
        lines = self._lines(own)
        if mark.table:  # the place is in another file
            return self._range(lines, 1, 1, 1)
        return self._range(lines, mark.line, mark.column, len(word_at(lines, mark.line, mark.column)))

    # ---- questions about a place

    def _lines(self, own: OpenDesign) -> list[str]:
        return own.read.lines if own.read else [""]

    def _range(self, lines: list[str], line: int, column: int, length: int) -> lsp.Range:
        codec = self.workspace.position_codec
        row = min(line, len(lines)) - 1
        start = codec.position_to_client_units(lines, ServerTextPosition(row, column - 1))
        end = codec.position_to_client_units(lines, ServerTextPosition(row, column - 1 + length))
        return lsp.Range(start, end)

    def _place(self, lines: list[str], position: lsp.Position) -> tuple[int, int]:
        """A position as line and column, both from 1, in characters."""
        if position.line >= len(lines):
            return len(lines), len(lines[-1]) + 1
        at = self.workspace.position_codec.position_from_client_units(lines, position)
        return at.line + 1, at.character + 1

    def _asked(self, params: Any) -> tuple[OpenDesign, TextRead, int, int] | None:
        """The design, its text and the place that a request names; the text is the newest one."""
        uri = params.text_document.uri
        own = self.designs.get(uri)
        if own is None:
            return None
        text = self.workspace.get_text_document(uri).source
        read = own.read if own.read is not None and own.read.text == text else TextRead(own.path, text)
        own.read = read
        position = getattr(params, "position", None) or lsp.Position(0, 0)
        return own, read, *self._place(read.lines, position)

    async def _hover(self, params: lsp.HoverParams) -> lsp.Hover | None:
        asked = self._asked(params)
        if asked is None:
            return None
        own, read, line, column = asked
        lines = read.lines
        marks = [m for m in own.marks if not m.table and m.line == line]
        marks = [m for m in marks if m.column <= column <= m.column + len(word_at(lines, line, m.column))]
        named = read.names.at(line, column)
        live = await asyncio.to_thread(own.about, named.name) if named else ""
        words = hover_words(read.text, line, column, marks, own.pages, named, live, own.last, self.schema)
        return lsp.Hover(lsp.MarkupContent(lsp.MarkupKind.Markdown, words)) if words else None

    def _completion(self, params: lsp.CompletionParams) -> list[lsp.CompletionItem]:
        own = self.designs.get(params.text_document.uri)
        if own is None:
            return []
        # asked at each letter, so the text is not read for it: names are those of the last design
        text = self.workspace.get_text_document(params.text_document.uri).source
        lines = lines_in(text)
        line, column = self._place(lines, params.position)
        cursor = cursor_at(text, line - 1, column - 1)
        if cursor is None:
            return []
        as_json = text.lstrip().startswith("{")
        start = self._range(lines, line, column - len(cursor.typed), len(cursor.typed))
        return [_item(one, start) for one in completions(cursor, self.schema, own.last, as_json)]

    def _definition(self, params: lsp.DefinitionParams) -> lsp.Location | None:
        asked = self._asked(params)
        named = asked[1].names.at(*asked[2:]) if asked else None
        if asked is None or named is None:
            return None
        own, read, *_ = asked
        place = read.names.given_at(named.group, named.name)
        if place is None:
            return None
        if isinstance(place, CellPlace):
            uri = from_fs_path(str(own.path.parent / place.table)) or ""
            row, column = (0, 0) if place.sheet else (place[0] - 1, place[1] - 1)
            return lsp.Location(uri, lsp.Range(lsp.Position(row, column), lsp.Position(row, column)))
        lines = read.lines
        length = len(word_at(lines, place[0], place[1]))
        return lsp.Location(params.text_document.uri, self._range(lines, place[0], place[1], length))

    def _references(self, params: lsp.ReferenceParams) -> list[lsp.Location]:
        asked = self._asked(params)
        named = asked[1].names.at(*asked[2:]) if asked else None
        if asked is None or named is None:
            return []
        lines = asked[1].lines
        return [
            lsp.Location(params.text_document.uri, self._range_of_name(lines, one))
            for one in asked[1].names.of(named.group, named.name)
            if not one.given or params.context.include_declaration
        ]

    def _range_of_name(self, lines: list[str], name: WrittenName) -> lsp.Range:
        return self._range(lines, name.line, name.column, len(name.name))

    # ---- edits

    def _prepare_rename(self, params: lsp.PrepareRenameParams) -> Any:
        asked = self._asked(params)
        named = asked[1].names.at(*asked[2:]) if asked else None
        if asked is None or named is None:
            return None
        lines = asked[1].lines
        return lsp.PrepareRenamePlaceholder(self._range_of_name(lines, named), named.name)

    def _rename(self, params: lsp.RenameParams) -> lsp.WorkspaceEdit:
        asked = self._asked(params)
        named = asked[1].names.at(*asked[2:]) if asked else None
        if asked is None or named is None:
            raise JsonRpcInvalidParams("There is no name here; put the cursor on one.")
        own, read, *_ = asked
        try:
            places = renamed(
                read.names, read.text, named, params.new_name, lambda text: read_as(own.path, text)
            )
        except NotRenamed as error:
            raise JsonRpcInvalidParams(str(error)) from None
        lines = read.lines
        edits = [lsp.TextEdit(self._range_of_name(lines, place), params.new_name) for place in places]
        return lsp.WorkspaceEdit(changes={params.text_document.uri: edits})

    def _actions(self, params: lsp.CodeActionParams) -> list[lsp.CodeAction]:
        asked = self._asked(params)
        if asked is None:
            return []
        own, read, *_ = asked
        lines, uri = read.lines, params.text_document.uri
        found = []
        for mark in own.marks:
            at = self._range_of(own, mark)
            if at.start.line > params.range.end.line or at.end.line < params.range.start.line:
                continue
            for repair in (*mark.repairs, *concession_of(mark, read.text)):
                edit = lsp.TextEdit(self._insertion(lines, repair.spot), self._whole(lines, repair))
                found.append(
                    lsp.CodeAction(
                        repair.title,
                        kind=lsp.CodeActionKind.QuickFix,
                        diagnostics=[self._diagnostic(own, mark)],
                        edit=lsp.WorkspaceEdit(changes={uri: [edit]}),
                    )
                )
        return found

    def _insertion(self, lines: list[str], spot: tuple[int, int]) -> lsp.Range:
        if spot[0] > len(lines):
            return self._range(lines, len(lines), len(lines[-1]) + 1, 0)
        return self._range(lines, spot[0], spot[1], 0)

    @staticmethod
    def _whole(lines: list[str], repair: Any) -> str:
        """The text of a repair; below a last line that has no end it begins a line of its own."""
        below_all = repair.spot[0] > len(lines) and lines[-1] != ""
        return f"\n{repair.text}" if below_all else str(repair.text)


def _item(one: Completion, at: lsp.Range) -> lsp.CompletionItem:
    return lsp.CompletionItem(
        label=one.text.strip().removesuffix(":"),
        kind=_KINDS[one.what],
        detail=one.about or one.what,
        filter_text=one.text,
        text_edit=lsp.TextEdit(at, one.text),
    )


def _one_argument(handler: Callable[[Any], Any]) -> Callable[[Any], Any]:
    def handle(params: Any) -> Any:
        return handler(params)

    return handle


def _awaited(handler: Callable[[Any], Any]) -> Callable[[Any], Any]:
    async def handle(params: Any) -> Any:
        return await handler(params)

    return handle


def serve(rules_from: Sequence[str] = ()) -> None:
    """Serve an editor on standard input and output until it ends the session.

    What anything else prints goes to standard error: standard output belongs to the protocol.
    """
    incoming, outgoing = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.dup2(2, 1)
    sys.stdout = sys.stderr
    make_ready()
    server = DesignServer(rules_from)
    gc.freeze()  # what is loaded stays
    gc.enable()  # a command is short and collects nothing; a session is not
    try:
        server.start_io(incoming, outgoing)
    finally:
        server.end()
