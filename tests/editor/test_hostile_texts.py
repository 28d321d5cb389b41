"""Every hostile text of the command line, typed into an editor: each has the mistakes of a fresh reading, or the findings
of a fresh review, at its lines; it is asked about, and the server goes on."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcException

from reviewer.editor.open_design import TextRead
from reviewer.editor.written_names import lines_in
from reviewer.reading import read_text
from tests.editor.session import Session, edited, in_session
from tests.editor.test_random_edits import fresh
from tests.fuzz.hostile import MARK, WORDS
from tests.hostile_texts import FIRST, hostile_texts
from tests.live.test_hostile_files import BROKEN, TABLES
from tests.thinned import thinned


@pytest.mark.long
def test_every_hostile_text_has_the_answer_of_a_fresh_review(tmp_path: Path) -> None:
    """Every second of them; the page beside an editor has them all."""
    path = tmp_path / "mine.design.yaml"

    async def work(session: Session) -> None:
        for number, (name, text) in enumerate(thinned(list(hostile_texts()), 2)):
            found = await (session.changed if number else session.open)(path, text)
            last = len(lines_in(text))
            said = sorted((d.range.start.line + 1, d.message) for d in found)
            wanted = sorted((min(line, last), words) for line, words in fresh(path, text))
            assert [line for line, _ in said] == [line for line, _ in wanted], (name, said, wanted)
            for line, words in wanted:  # before a finding stands its class
                assert any(at == line and message.endswith(words) for at, message in said), (
                    name,
                    words,
                    said,
                )
            if number % 8:
                continue
            document = lsp.TextDocumentIdentifier(path.as_uri())
            for place in (lsp.Position(0, 0), lsp.Position(last // 2, 9), lsp.Position(10**6, 10**6)):
                await session.hover(path, place.line, place.character)
                await session.client.text_document_completion_async(lsp.CompletionParams(document, place))
                await session.client.text_document_definition_async(lsp.DefinitionParams(document, place))
                await session.actions(path, lsp.Range(place, place))

    in_session(work)
    assert not list(tmp_path.iterdir()) and not Path(MARK).exists()


@BROKEN
def test_a_table_beside_a_text_that_is_broken_is_a_mistake_and_holds_up_nothing(
    tmp_path: Path, hurt: Callable[[Path], object], said: str
) -> None:
    """A file that was never saved has the tables of the folder that it will be in."""
    for name in ("loads.csv", "wires.csv"):
        shutil.copy(TABLES / name, tmp_path / name)
    path, text = tmp_path / "new.design.yaml", (TABLES / "trainer.design.yaml").read_text(encoding="utf-8")
    assert TextRead(path, text).design is not None
    hurt(tmp_path / "loads.csv")
    read = TextRead(path, text)
    assert read.design is None and any(said in problem.message for problem in read.problems), read.problems
    assert read.names.of("parts", "main-bus")


@pytest.mark.long
def test_a_hostile_name_is_refused_or_the_design_reads_with_it_and_no_message_ends_the_server(
    tmp_path: Path,
) -> None:
    path = tmp_path / "mine.design.yaml"
    at = FIRST.index("battery")
    place = lsp.Position(FIRST.count("\n", 0, at), at - FIRST.rfind("\n", 0, at) - 1)

    async def work(session: Session) -> None:
        findings = len(await session.open(path, FIRST))
        document, read, refused = lsp.TextDocumentIdentifier(path.as_uri()), 0, 0
        for word in WORDS:
            try:
                asked = lsp.RenameParams(document, place, word)
                edit = await session.client.text_document_rename_async(asked)
            except JsonRpcException as error:
                refused += 1
                assert "Traceback" not in str(error), (word, error)
            else:
                read += 1
                assert word in read_text(edited(FIRST, edit), "x").parts, word
        assert read > 10 and refused > 10
        server = session.client._server
        assert server is not None and server.stdin is not None
        for body in (
            b'{"a":',
            b"[]",
            b'{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"a":3}}',
        ):
            server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        assert len(await session.changed(path, FIRST + "# on\n")) == findings

    in_session(work)
