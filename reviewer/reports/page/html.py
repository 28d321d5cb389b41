"""The page: one self-contained file with findings, schematic, schedules and test cards."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.reports import wording
from reviewer.reports.handoff.schedules.schedule import BETWEEN_NAMES, LONGEST_WHOLE, Cell, Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.page.context import context
from reviewer.reports.page.pack import page_data
from reviewer.reports.page.printed_rows import MOST_ITEMS
from reviewer.reports.page.printed_sheets import SheetTitle, printed_sheets
from reviewer.reports.title_rows import title_line, title_rows

if TYPE_CHECKING:
    import jinja2

#: a name with hyphens, and what stands at its ends
_HYPHENED = re.compile(r"(?<!\S)([^\s-]+-\S+)")
_SCRIPTS = ("bits.js", "schematic.js", "findings.js", "tables.js", "print.js")
_STYLES = ("page.css", "schematic.css", "print.css")


def as_page(solved: SolvedDesign) -> str:
    """The page as one HTML text; nothing in it asks the network for anything.

    The same design and version give the same bytes.
    """
    from markupsafe import Markup

    style = joined("style", _STYLES) + _page_margins(solved)
    script = joined("script", _SCRIPTS)
    return (
        environment()
        .get_template("page.html.j2")
        .render(
            **context(solved),
            style=Markup(style),
            script=Markup(script),
            policy=policy(style, script),
            data=Markup(_json(page_data(solved))),
            drawing=_drawing(solved),
        )
    )


def environment() -> jinja2.Environment:
    """What fills templates: everything that is written is text, unless it is marked as markup."""
    import jinja2

    loader = jinja2.FunctionLoader(lambda name: _text("templates", name))
    made = jinja2.Environment(
        loader=loader,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_visible,
        keep_trailing_newline=True,
    )
    made.filters.update(
        bare=bare,
        citation=wording.citation_words,
        numbers=wording.number_words,
        counted=wording.counted,
        accepted=wording.concession_words,
        empty_columns=_empty_columns,
        limit=_limit,
    )
    made.filters["whole"] = _whole
    made.filters["shorter_in_print"] = _shorter_in_print
    made.globals["anchor"] = anchor
    return made


def anchor(finding: Finding) -> str:
    """The address of a finding in the page."""
    return "finding-" + finding.identity[:12]


def _whole(text: Any) -> Any:
    """A text as markup, with what stands between back quotes set as code, and no line that ends at a hyphen
    of a name that has room on a line; a number as it is.
    """
    return _whole_text(text) if isinstance(text, str) else text


@lru_cache(maxsize=4096, typed=True)
def _whole_text(text: str) -> Any:
    from markupsafe import Markup, escape

    visible = wording.shown(text)
    pieces = visible.split("`")
    if len(pieces) % 2 == 0 or len(pieces) == 1:
        return _unbroken(visible)
    return Markup(
        "".join(
            f"<code>{escape(piece)}</code>" if i % 2 else _unbroken(piece) for i, piece in enumerate(pieces)
        )
    )


def _unbroken(text: str) -> Any:
    from markupsafe import Markup, escape

    if "-" not in text:
        return escape(text)

    def kept(name: str) -> str:
        kind = "whole" if len(name) <= LONGEST_WHOLE else "whole long"
        return f'<span class="{kind}">{escape(name)}</span>'

    return Markup(
        "".join(
            "".join(map(kept, BETWEEN_NAMES.split(piece))) if i % 2 else escape(piece)
            for i, piece in enumerate(_HYPHENED.split(text))
        )
    )


def _shorter_in_print(text: str) -> Any:
    """A detail as :func:`_whole` has it, of whose long lists print has the beginning."""
    from markupsafe import Markup

    cut = '{}<span class="unprinted">, {}</span><span class="in-print"> and {} more, on the page</span>'
    pieces = []
    for piece in text.split("; "):
        names = piece.split(", ")
        first, rest = names[:MOST_ITEMS], names[MOST_ITEMS:]
        if len(rest) < MOST_ITEMS // 2:
            pieces.append(_whole(piece))
        else:
            pieces.append(Markup(cut).format(_whole(", ".join(first)), _whole(", ".join(rest)), len(rest)))
    return Markup("; ").join(pieces)


def _empty_columns(table: Schedule) -> list[int]:
    """The numbers of the columns that have no entry in any row."""
    return [i for i, cells in enumerate(zip(*table.rows, strict=True)) if all(c == "" for c in cells)]


def _limit(value: Cell, unit: str) -> str:
    """A limit of a card as it is printed on it."""
    return value if isinstance(value, str) else f"{value:.4f}" if unit == "ohm" else f"{value:.1f}"


def _visible(value: Any) -> Any:
    """What the template writes: a text with its hidden characters as escapes."""
    return wording.shown(value) if type(value) is str else "" if value is None else value


def _text(folder: str, name: str) -> str:
    return (
        resources.files("reviewer.reports.page").joinpath(folder).joinpath(name).read_text(encoding="utf-8")
    )


def joined(folder: str, names: Sequence[str]) -> str:
    """Style sheets or scripts, one after the other."""
    return "\n" + "\n".join(_text(folder, name) for name in names)


def policy(style: str, script: str, more: str = "") -> str:
    """What a browser may do with a page: run this script, use this style, ``more``, and nothing else."""
    hashes = [
        f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
        for text in (script, style)
    ]
    return (
        f"default-src 'none'; script-src {hashes[0]}; style-src {hashes[1]}; img-src data:; {more}"
        "base-uri 'none'; form-action 'none'"
    )


def _json(data: dict[str, Any]) -> str:
    """JSON that cannot end the element in which it stands."""
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _drawing(solved: SolvedDesign) -> dict[str, Any]:
    from markupsafe import Markup

    drawing = solved.drawing
    return {
        "svg": Markup(drawing.svg),
        "width": round(drawing.width),
        "height": round(drawing.height),
        "sheets": Markup(printed_sheets(drawing, sheet_title(solved))),
    }


def sheet_title(solved: SolvedDesign) -> SheetTitle:
    """What the title block of each printed sheet says."""
    aircraft = solved.design.aircraft
    return SheetTitle(aircraft.name, tuple(title_rows(aircraft)), solved.file.sha256)


def _page_margins(solved: SolvedDesign) -> str:
    """What stands at the foot of each printed page: aircraft and revision, design, caution, number."""
    design = f"{title_line(solved.design.aircraft)}. Design sha256 {solved.file.sha256[:16]}"
    left = _quoted(f"{design}. {wording.CAUTIONS[0]}")
    return f"""
@page {{
  @bottom-left {{ content: {left}; }}
  @bottom-right {{ content: "page " counter(page) " of " counter(pages); }}
}}
"""


def _quoted(text: str) -> str:
    """A text as a string of a style sheet, which it cannot end."""
    safe = "".join(c if c.isalnum() or c in " .,:;-_()" else f"\\{ord(c):x} " for c in wording.shown(text))
    return f'"{safe}"'
