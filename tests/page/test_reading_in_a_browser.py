"""The page as it is read: where scripts are off, in print, on a phone, in the dark, cause by cause."""

from __future__ import annotations

import base64
import re
import subprocess
from pathlib import Path

import pytest
from selenium import webdriver

from tests.page.opening import Pages, opened

pytestmark = pytest.mark.long

#: WCAG 2.1: contrast of text, and px that a finger has to meet
_CONTRAST, _TARGET = 4.5, 24

_CONTRASTS = """
const light = (c) => {
  const part = (v) => ((v /= 255) <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  return 0.2126 * part(c[0]) + 0.7152 * part(c[1]) + 0.0722 * part(c[2]);
};
const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
const behind = (e) => {
  for (; e; e = e.parentElement) {
    const colour = rgb(getComputedStyle(e).backgroundColor);
    if (colour.length < 4 || colour[3] > 0) return colour;
  }
  return [255, 255, 255];
};
document.querySelectorAll('details').forEach((d) => (d.open = true));
const found = {};
const add = (what, colour, e) => {
  const [a, b] = [light(rgb(colour)), light(behind(e))];
  const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  found[`${colour} on ${behind(e)}: ${what}`] = ratio;
};
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walk.nextNode()) {
  const e = walk.currentNode.parentElement;
  if (!walk.currentNode.textContent.trim() || ['SCRIPT', 'NOSCRIPT', 'title'].includes(e.tagName)) continue;
  const style = getComputedStyle(e);
  add(e.localName, e.namespaceURI.endsWith('svg') ? style.fill : style.color, e);
}
document.querySelectorAll('input').forEach((e) => add('placeholder', getComputedStyle(e, '::placeholder').color, e));
return found;
"""


def test_without_scripts_the_page_prints_the_schematic_and_every_section(
    browser: webdriver.Chrome, pages: Pages, tmp_path: Path
) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        browser.get(pages["sketch"].as_uri())
        pdf = browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"]
    finally:
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    (tmp_path / "page.pdf").write_bytes(base64.b64decode(pdf))
    told = subprocess.run(
        ["pdftotext", str(tmp_path / "page.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    sheets = [page for page in told.split("\f") if "Power distribution schematic. An arrow" in page]
    page = pages["sketch"].read_text(encoding="utf-8")
    drawn = set(re.findall(r"<title>(W\d+)</title>", page))
    assert len(sheets) > 2 and len(drawn) > 40
    on_sheets = " ".join(sheets)
    assert [wire for wire in drawn if not re.search(rf"\b{wire}\b", on_sheets)] == []
    assert all("no switch state is shown" in " ".join(sheet.split()) for sheet in sheets)
    assert "Scripts are off" in told
    for inside in ("Limitations", "Ground map", "path to the negative of a source", "Outcome of the rules"):
        assert inside in " ".join(told.split()), inside  # folded on a screen


def test_text_has_contrast_and_targets_meet_a_finger(browser: webdriver.Chrome, pages: Pages) -> None:
    try:
        for theme in ("light", "dark"):
            media = [{"name": "prefers-color-scheme", "value": theme}]
            browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": media})
            opened(browser, pages["first"])
            browser.execute_script("by('pick-1').click()")
            ratios = browser.execute_script(_CONTRASTS)
            assert len(ratios) > 12
            assert {what: ratio for what, ratio in ratios.items() if ratio < _CONTRAST} == {}
        metrics = {"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": True}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        opened(browser, pages["first"])
        small = browser.execute_script(
            "document.querySelectorAll('details').forEach((d) => (d.open = true));"
            "const sizes = (e) => { const b = e.getBoundingClientRect(); return [e.textContent.trim().slice(0, 20) || e.id, Math.min(b.width, b.height)]; };"
            "return [...document.querySelectorAll('nav a, button, select, input, summary')].map(sizes).filter(([, px]) => px && px < arguments[0])",
            _TARGET,
        )
        assert small == []
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


def test_no_name_is_broken_at_its_hyphens(browser: webdriver.Chrome, pages: Pages) -> None:
    """In the list of causes, in what is chosen, and in every table, also in the narrow columns of print."""
    opened(browser, pages["faulted-tourer"])
    script = """
    document.querySelectorAll('details').forEach((d) => (d.open = true));
    const names = [...document.querySelectorAll('.whole:not(.long)')].filter((e) => e.getClientRects().length);
    const tall = (e) => { const range = document.createRange(); range.selectNodeContents(e);
      return new Set([...range.getClientRects()].map((b) => Math.round(b.top / 4))).size > 1; };
    const known = new Set(data.elements.filter((name) => name.includes('-')));
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const loose = [];
    while (walk.nextNode()) {
      const { textContent, parentElement } = walk.currentNode;
      if (parentElement.closest('.whole, svg, script, noscript, select, code, button') || !parentElement.getClientRects().length) continue;
      loose.push(...(textContent.match(/\\w+(-\\w+)+/g) || []).filter((name) => known.has(name)));
    }
    return [names.length, [...names.filter(tall).map((e) => e.textContent), ...loose].slice(0, 5)];
    """
    try:
        for media in ("screen", "print"):
            browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media})
            metrics = {
                "width": 993 if media == "print" else 390,
                "height": 844,
                "deviceScaleFactor": 1,
                "mobile": False,
            }
            browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
            browser.execute_script("by('pick-3').click()")
            count, broken = browser.execute_script(script)
            assert count > 500 and broken == [], media
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_a_cause_of_a_function_shows_the_failure_of_what_loses_it(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    """A function, a monitor and a check are not drawn: what fails, what it senses and what it proves are."""
    opened(browser, pages["faulted-tourer"])
    script = """
    return data.groups.map((group, i) => {
      by(`pick-${i + 1}`).click();
      const failed = view().failure;
      const marked = document.querySelectorAll('.sought, .onpath:not(.key *)').length;
      return [by(`pick-${i + 1}`).querySelector('span').textContent, failed ? `${data.elements[failed[0]]} ${failed[1]}` : '', group.failure, marked];
    });
    """
    shown = browser.execute_script(script)
    assert [words for words, _, _, marked in shown if not marked] == []
    assert [words for words, failed, failure, _ in shown if failure and not failed] == []
    lost = [
        (words, failed) for words, failed, _, _ in shown if words.startswith("Single failure of main-bus")
    ]
    assert lost and all(failed.startswith("main-bus ") for _, failed in lost)
