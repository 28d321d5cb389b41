"""Checklists as a page to be printed, a card a sheet."""

from __future__ import annotations

from html import escape

from reviewer.model.design import Design
from reviewer.questions.checklist_cards import Checklists
from reviewer.reports.checklists.text import COLUMNS, LINES, placard
from reviewer.reports.wording import CAUTIONS, shown

#: A6 is no name of a page to a browser, so that its measures stand here
_STYLE = f"""
@page {{ size: 105mm 148mm; margin: 3mm; }}
body {{ margin: 0; color: #000; background: #fff; }}
pre {{ font: 7pt/1.15 monospace; margin: 0; width: {COLUMNS}ch; min-height: {LINES}lh;
  break-inside: avoid; break-after: page; white-space: pre; }}
pre {{ padding: 3pt; border: 2pt solid #fff; }}
pre.emergency {{ border-color: #c00; }}
header {{ break-after: page; }}
p {{ font: 9pt sans-serif; max-width: 40em; }}
pre:last-child {{ break-after: auto; }}
@media screen {{ pre {{ font-size: 11pt; margin: 1em; padding: 0.5em; }} p {{ margin: 1em; }} }}
"""


def checklists_html(file: str, design: Design, answer: Checklists) -> str:
    """The cautions on the first sheet, then a card a sheet."""
    name = escape(shown(design.aircraft.name))
    first = "".join(f"<p>{escape(caution)}</p>" for caution in CAUTIONS)
    cards = "\n".join(
        f'<pre class="{"emergency" if card.emergency else "abnormal"}">'
        + escape("\n".join(placard(design, number, card)))
        + "</pre>"
        for number, card in enumerate(answer.cards, 1)
    )
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{name}: checklists</title>'
        f"<style>{_STYLE}</style></head><body>\n"
        f"<header><p>{name}: checklists for what is seen in {escape(shown(answer.state))}. "
        f"{escape(shown(file))}</p>{first}</header>\n{cards}\n</body></html>\n"
    )
