"""The title block as every document shows it."""

from __future__ import annotations

from reviewer.model.design import Aircraft


def title_rows(aircraft: Aircraft) -> list[tuple[str, str]]:
    """(what, value) of the title block after the name; "" where the file does not say."""
    block = aircraft.title_block
    if block is None:
        return [(what, "") for what in ("registration or serial", "revision", "date", "drawn", "checked")]
    return [
        ("registration or serial", block.registration or ""),
        ("revision", block.revision or ""),
        ("date", block.date.isoformat() if block.date else ""),
        ("drawn", block.drawn or ""),
        ("checked", block.checked or ""),
    ]


def title_line(aircraft: Aircraft) -> str:
    """Name, registration or serial, and revision with its date, for the foot of a sheet."""
    rows = dict(title_rows(aircraft))
    revision = " of ".join(filter(None, (rows["revision"] and f"revision {rows['revision']}", rows["date"])))
    return ", ".join(filter(None, (aircraft.name, rows["registration or serial"], revision)))
