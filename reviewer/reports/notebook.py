"""A review as HTML for the cell of a notebook: findings in a table, and the schematic as a picture."""

from __future__ import annotations

from base64 import b64encode
from html import escape
from importlib import resources

from reviewer.model.design import Design
from reviewer.model.review import Finding, Review
from reviewer.network.graph import Network
from reviewer.reports.wording import CAUTIONS, UNASSESSED_CAUTION, counted, shown

_COLUMNS = ("hazard", "item", "finding", "remedy", "rule")


def notebook_html(design: Design, network: Network, review: Review) -> str:
    """A fragment of HTML that needs no script and no style of its surroundings.

    The same review gives the same text; names of the file are text in it, never markup.
    """
    gaps = len({(gap.rule, gap.subject) for gap in review.gaps})
    told = [counted(len(review.findings), "finding"), f"{counted(gaps, 'item')} not assessed"]
    if review.breakdowns:
        told.append(counted(len(review.breakdowns), "rule error"))
    head = "".join(f"<th>{column}</th>" for column in _COLUMNS)
    rows = "".join(map(_row, review.findings))
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    picture = f"data:image/svg+xml;base64,{_picture(design, network)}"
    cautions = [*CAUTIONS, *([UNASSESSED_CAUTION] if gaps else [])]
    return "\n".join(
        (
            f"<h4>{_text(review.aircraft)}: {', '.join(told)}</h4>",
            table if review.findings else "",
            f'<img alt="Power distribution schematic" src="{picture}">',
            *(f"<p>{_text(caution)}</p>" for caution in cautions),
        )
    )


def _row(finding: Finding) -> str:
    sentence = f"Conceded: {finding.sentence}" if finding.conceded else finding.sentence
    item = finding.subject.partition("/")[2] or finding.subject
    cells = (finding.hazard.word, item, sentence, finding.remedy, finding.rule)
    return f"<tr>{''.join(f'<td>{_text(cell)}</td>' for cell in cells)}</tr>"


def _text(words: str) -> str:
    return escape(shown(words))


def _picture(design: Design, network: Network) -> str:
    """The schematic as an SVG file of its own, with the colours of a light page, in base 64."""
    from reviewer.reports.schematic.draw import draw
    from reviewer.reports.schematic.fitting import fitting_sheet

    drawing = draw(fitting_sheet(design, network))
    styles = resources.files("reviewer.reports.page").joinpath("style")
    colours = styles.joinpath("page.css").read_text(encoding="utf-8").partition("}")[0] + "}"
    style = colours + styles.joinpath("schematic.css").read_text(encoding="utf-8")
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{drawing.width:g}" height="{drawing.height:g}">'
        f'<style>{escape(style, quote=False)}</style><rect width="100%" height="100%" fill="#ffffff"/>'
        f"{drawing.svg}</svg>"
    )
    return b64encode(svg.encode()).decode()
