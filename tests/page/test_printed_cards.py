"""A page of checklists that chromium prints from its command line has a card a sheet of A6."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from reviewer.cli.main import commands
from tests.page.conftest import FLAGS, ROOT

pytestmark = pytest.mark.long  # a browser takes its time


def test_checklists_print_a_card_a_sheet_of_a6(tmp_path: Path) -> None:
    chromium = shutil.which("chromium")
    if not chromium or not shutil.which("pdftotext"):
        pytest.skip("chromium and poppler-utils are not installed")
    page, printed = tmp_path / "cards.html", tmp_path / "cards.pdf"
    design = ROOT / "examples" / "sketch.design.yaml"
    made = CliRunner().invoke(commands, ["checklists", str(design), "--as", "html", "--out", str(page)])
    assert made.exit_code == 0
    flags = [*FLAGS, f"--user-data-dir={tmp_path / 'browser'}", "--no-pdf-header-footer"]
    subprocess.run(
        [chromium, *flags, f"--print-to-pdf={printed}", page.as_uri()],
        check=True,
        capture_output=True,
        timeout=120,
    )
    told = subprocess.run(
        ["pdftotext", "-bbox", printed, "-"], check=True, capture_output=True, text=True
    ).stdout
    sheets = told.split("<page ")[1:]
    cards = page.read_text(encoding="utf-8").count("<pre class")
    assert len(sheets) == cards + 1 > 5 and "checklists" in sheets[0]  # the cautions come first
    for number, sheet in enumerate(sheets):
        wide, high = (
            float(sheet.partition(f'{side}="')[2].partition('"')[0]) for side in ("width", "height")
        )
        assert (wide, high) == pytest.approx((105 / 25.4 * 72, 148 / 25.4 * 72), abs=1.5)  # A6
        assert number == 0 or f">{number}</word>" in sheet.partition("</line>")[0]
