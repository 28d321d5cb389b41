"""The server as an editor meets it: a client of the protocol over standard input and output."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from lsprotocol import types as lsp
from pygls.exceptions import JsonRpcException

from reviewer.analysis.facts import Facts
from reviewer.editor.fresh_review import marks_of
from reviewer.editor.open_design import OpenDesign, TextRead
from reviewer.editor.part_words import part_words
from reviewer.editor.server import DesignServer
from reviewer.questions.solve import solved_of
from reviewer.reading import read_text
from reviewer.reports.wording import SHORT_CAUTION
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from reviewer.session import facts_of, review_file
from tests.analysis.small_designs import SmallDesign
from tests.editor.session import Session, edited, in_session

ROOT = Path(__file__).parents[2]
FIRST = ROOT / "examples" / "first.design.yaml"


def sentences(found: list[lsp.Diagnostic], word: str) -> list[str]:
    return [one.message for one in found if word in one.message]


def at(text: str, word: str) -> tuple[int, int]:
    before = text[: text.index(word)]
    return before.count("\n"), len(before) - before.rfind("\n") - 1


def test_one_session(tmp_path: Path) -> None:
    """Findings as a review has them; a mistake; findings again; hover, definition, renaming, repairs."""
    path = tmp_path / "mine.design.yaml"
    text = FIRST.read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    wanted = {f.sentence for f in review_file(path).findings}

    async def work(session: Session) -> None:
        first = await session.open(path, text)
        assert {m.partition(": ")[2] for m in (d.message for d in first)} >= wanted
        catastrophic = next(d for d in first if d.message.startswith("catastrophic"))
        assert catastrophic.severity == lsp.DiagnosticSeverity.Error
        assert catastrophic.range.start == lsp.Position(*at(text, "battery:"))

        broken = await session.changed(path, text.replace("kind: fuse", "kind: fuze"))
        assert len(broken) == 1 and "did you mean `fuse`" in broken[0].message
        assert [d.message for d in await session.changed(path, text)] == [d.message for d in first]

        line, column = at(text, "battery:")
        shown = await session.hover(path, line, column)
        assert "Why:" in shown and "Missing data" in shown and shown.count(SHORT_CAUTION) == 1
        assert "What it is" in await session.hover(path, *at(text, "kind:"))

        asked = lsp.TextDocumentIdentifier(path.as_uri())
        use = lsp.Position(*at(text, "battery.positive"))
        defined = await session.client.text_document_definition_async(lsp.DefinitionParams(asked, use))
        assert isinstance(defined, lsp.Location) and defined.range.start == lsp.Position(line, column)
        offered = await session.client.text_document_prepare_rename_async(lsp.PrepareRenameParams(asked, use))
        end = lsp.Position(use.line, use.character + len("battery"))
        assert getattr(offered, "range", offered) == lsp.Range(use, end)
        nothing = lsp.PrepareRenameParams(asked, lsp.Position(*at(text, "kind:")))
        assert await session.client.text_document_prepare_rename_async(nothing) is None
        new = await session.client.text_document_rename_async(lsp.RenameParams(asked, use, "main-battery"))
        assert "main-battery" in read_text(edited(text, new), "x").parts
        with pytest.raises(JsonRpcException, match="already"):
            await session.client.text_document_rename_async(lsp.RenameParams(asked, use, "fuse"))

        # each repair, put in as an editor does, leaves one thing to fill in and no other mistake
        titles = {}
        for diagnostic in first:
            for action in await session.actions(path, diagnostic.range):
                titles[action.title] = action
        assert any(title.startswith("Accept this finding") for title in titles)
        for title, action in titles.items():
            found = await session.changed(path, edited(text, action.edit))
            assert all("mistake" not in d.message for d in found), title
            assert not sentences(found, "well-formed"), (title, found)

    in_session(work)


def test_a_newer_text_ends_the_review_of_the_older(tmp_path: Path) -> None:
    """Thirty letters in a row: the last text is answered, and only that."""
    path = tmp_path / "mine.design.yaml"
    text = FIRST.read_text(encoding="utf-8")

    async def work(session: Session) -> list[lsp.Diagnostic]:
        await session.open(path, text)
        for count in range(30):
            session.change(path, text + "#" * count)
            await asyncio.sleep(0.01)
        return await session.changed(path, text.replace("kind: fuse", "kind: fuze"))

    assert len(in_session(work)) == 1


def test_what_is_no_design_is_left_alone(tmp_path: Path) -> None:
    """An editor offers every YAML file; a design is opened after it, so that silence can be seen."""
    other, path = tmp_path / "list.yaml", tmp_path / "mine.design.yaml"

    async def work(session: Session) -> set[str]:
        other_item = lsp.TextDocumentItem(other.as_uri(), "yaml", 0, "- milk\n- parts: 3\n")
        session.client.text_document_did_open(lsp.DidOpenTextDocumentParams(other_item))
        await session.open(path, "")
        return set(session.client.diagnostics)

    assert in_session(work) == {path.as_uri()}


def test_letters_beyond_the_first_plane_do_not_move_places(tmp_path: Path) -> None:
    """An editor counts two units for one such letter."""
    path = tmp_path / "mine.design.yaml"
    text = 'format: 1\naircraft: {name: "\U0001f6e9 x", nominal: 14 V, airframe: metal, stage: consept}\n'

    async def work(session: Session) -> list[lsp.Diagnostic]:
        return await session.open(path, text)

    found = [d for d in in_session(work) if "consept" in d.message]
    line = text.split("\n")[1]
    units = len(line[: line.index("consept")].encode("utf-16-le")) // 2
    assert [d.range.start for d in found] == [lsp.Position(1, units)]


def test_a_rule_that_prints_does_not_spoil_the_protocol(tmp_path: Path) -> None:
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "noisy.py").write_text(
        '"""Parts are seen.\n\nWhy: a test.\n"""\n'
        "from reviewer.rulebook import HazardClass\n"
        "HAZARD = HazardClass.MINOR\n"
        'REMEDY = "Nothing."\n'
        'CITATIONS = [("ac-43-13-1b", "11-48")]\n'
        'print("loaded")\n'
        "def subjects(facts):\n    print('x' * 10000)\n    return ['parts/fuse']\n"
        "def judge(subject, facts):\n    print('y')\n    raise SystemExit(0)\n    yield\n",
        encoding="utf-8",
    )
    path = tmp_path / "mine.design.yaml"
    text = FIRST.read_text(encoding="utf-8")

    async def work(session: Session) -> list[lsp.Diagnostic]:
        return await session.open(path, text)

    found = in_session(work, "--rules-from", str(folder))
    assert sentences(found, "noisy") and len(found) > 5


def test_marks_stand_in_the_order_of_the_text() -> None:
    """What is sent does not depend on the order in which rules found it."""
    text = FIRST.read_text(encoding="utf-8")
    facts = Facts(read_text(text, "x"))
    found, unmatched = run_rules(load_rules([ROOT / "rules"]), facts)
    lines = text.splitlines()
    assert marks_of(facts, found, unmatched, lines) == marks_of(facts, found[::-1], unmatched, lines)


def test_what_is_shown_of_a_part_is_what_is_solved() -> None:
    facts = facts_of(ROOT / "examples" / "tourer.design.yaml")
    (phase,) = solved_of(facts).phases
    assert phase.point is not None
    taken, across = phase.point.taken["parts/radio-1"], phase.point.across["parts/radio-1"]
    shown = part_words(facts, "radio-1")
    assert f"{across:.2f} V from supply to return" in shown and f"{taken:.3g} A" in shown
    assert "powered by main-battery and alternator" in shown
    (battery,) = (s for s in phase.sources if s.element == "parts/main-battery")
    assert battery.amperes < 0 and f"takes {-battery.amperes:.2f} A" in part_words(facts, "main-battery")
    wire = next(p for p in phase.paths if p.element == "wires/V50")
    assert wire.amperes is not None and f"{wire.amperes:.3g} A" in part_words(facts, "V50")


def test_a_source_that_carries_nothing_is_not_said_to_take_current() -> None:
    """A battery behind an open switch, which gives a leak at most, and an alternator at rest."""
    made = SmallDesign()
    made.add("spare", "battery", chemistry="lead-acid", capacity="7 Ah")
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.wire("spare.negative", "ground")
    made.run("spare.positive", [made.switch("tie")], "bus")
    made.alternator()
    made.load("radio", current="2 A")
    facts = made.facts(switches={"tie": "off"}, use="ground", engine="stopped")
    assert "supplies 2 A" in part_words(facts, "battery")
    for name in ("spare", "alternator"):
        assert "supplies 0 A" in part_words(facts, name)


def test_a_text_that_a_newer_one_replaced_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of what is typed quickly the last text alone is read."""
    path, read = tmp_path / "mine.design.yaml", list[str]()

    def noted(path: Path, text: str) -> TextRead:
        read.append(text)
        return TextRead(path, "format: 1\n")

    async def typed() -> None:
        server, own = DesignServer(), OpenDesign(path)
        monkeypatch.setattr(server, "_publish", lambda *_: None)
        turns = [(own.changed(), text) for text in ("old", "older", "newest")]
        await asyncio.gather(*(server._fresh(path.as_uri(), own, *turn) for turn in turns))

    monkeypatch.setattr("reviewer.editor.server.TextRead", noted)
    asyncio.run(typed())
    assert read == ["newest"]


def test_nothing_is_kept_of_the_letters_that_were_typed(tmp_path: Path) -> None:
    """A session of days: what the library keeps of each message is dropped at the next one."""
    uri = (tmp_path / "mine.design.yaml").as_uri()

    async def typed() -> int:
        server = DesignServer()
        server.protocol.handle_message(
            lsp.InitializeRequest(1, lsp.InitializeParams(capabilities=lsp.ClientCapabilities()))
        )
        item = lsp.TextDocumentItem(uri, "yaml", 0, "format: 1\n")
        server.protocol.handle_message(
            lsp.DidOpenTextDocumentNotification(lsp.DidOpenTextDocumentParams(item))
        )
        for number in range(100):
            change = lsp.DidChangeTextDocumentParams(
                lsp.VersionedTextDocumentIdentifier(number, uri),
                [lsp.TextDocumentContentChangeWholeDocument(f"format: {number}\n")],
            )
            server.protocol.handle_message(lsp.DidChangeTextDocumentNotification(change))
        text = server.workspace.get_text_document(uri).source
        server.end()
        assert text == "format: 99\n"
        return len(server.protocol._request_futures)

    assert asyncio.run(typed()) < 5


def test_a_file_that_was_never_saved_is_reviewed_too() -> None:
    """An editor calls it by a name of its own, and nothing stands beside it."""
    text = FIRST.read_text(encoding="utf-8")

    async def work(session: Session) -> list[lsp.Diagnostic]:
        item = lsp.TextDocumentItem("untitled:Untitled-1", "yaml", 1, text)
        session.client.text_document_did_open(lsp.DidOpenTextDocumentParams(item))
        wait = session.client.wait_for_notification(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        return list((await asyncio.wait_for(wait, 60)).diagnostics)

    assert len(in_session(work)) > 10
