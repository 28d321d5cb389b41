"""The live page in a real browser: a save is seen, what was chosen stays, a mistake is shown above the page."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import Select, WebDriverWait

from tests.page.conftest import ROOT
from tests.page.opening import classes

#: a browser takes its time
pytestmark = pytest.mark.long

#: three causes, and two states
SKETCH = (
    (ROOT / "examples" / "first.design.yaml")
    .read_text(encoding="utf-8")
    .replace("{cruise: {engine: running}}", "{cruise: {engine: running}, parked: {engine: stopped}}")
)


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / "my.design.yaml"
    path.write_text(SKETCH, encoding="utf-8")
    return path


@pytest.fixture
def url(design: Path) -> Iterator[str]:
    """The address at which the design is served; at the end the command is stopped as by Ctrl-C."""
    process = subprocess.Popen(
        [sys.executable, "-m", "reviewer", "live", str(design)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        yield process.stdout.readline().strip()
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=20)
        assert (process.returncode, said) == (130, "")
    finally:
        process.kill()
        process.communicate()


def page(browser: webdriver.Chrome, number: int) -> None:
    """Wait for a page, and look into its frame."""
    browser.switch_to.default_content()
    said = "return document.documentElement.dataset.page"
    WebDriverWait(browser, 60, 0.1).until(lambda b: b.execute_script(said) == str(number))
    browser.switch_to.frame(browser.find_element(By.TAG_NAME, "iframe"))
    assert browser.execute_script("return document.documentElement.dataset.ready") == "yes"


def chosen(browser: webdriver.Chrome, name: str) -> str:
    return Select(browser.find_element(By.ID, name)).first_selected_option.text


def save(path: Path, text: str) -> None:
    """As an editor does: a new file is put in the place of the old one."""
    new = path.with_name("new~")
    new.write_text(text, encoding="utf-8")
    os.replace(new, path)


def test_a_save_is_seen_and_what_was_chosen_stays(browser: webdriver.Chrome, design: Path, url: str) -> None:
    browser.get(url)
    page(browser, 1)
    assert browser.find_element(By.TAG_NAME, "h1").text == "First drawing"
    browser.find_element(By.ID, "pick-2").click()
    Select(browser.find_element(By.ID, "zoom")).select_by_value("2")
    Select(browser.find_element(By.ID, "state")).select_by_index(1)
    Select(browser.find_element(By.ID, "failure")).select_by_index(3)
    browser.find_element(By.ID, "theme").click()
    browser.execute_script(
        "document.getElementById('wire-list').open = true; document.querySelector('.frame').scrollTo(40, 60); scrollTo(0, 500)"
    )
    place = "const f = document.querySelector('.frame'); return [scrollY, f.scrollLeft, f.scrollTop, document.documentElement.dataset.theme]"
    before = [chosen(browser, "state"), chosen(browser, "failure"), browser.execute_script(place)]
    assert before[2][0] == 500 and before[2][1:3] == [40, 60] and before[1] != "nothing failed"

    save(design, SKETCH.replace("name: First drawing", "name: Another sketch"))
    page(browser, 2)
    assert browser.find_element(By.TAG_NAME, "h1").text == "Another sketch"
    WebDriverWait(browser, 5).until(lambda b: b.execute_script(place) == before[2])
    assert [chosen(browser, "state"), chosen(browser, "failure")] == before[:2]
    assert browser.execute_script("return document.getElementById('wire-list').open")
    assert browser.find_element(By.ID, "pick-2").get_attribute("aria-pressed") == "true"
    assert "failed" in classes(browser, before[1].split(" ")[0])


def test_a_mistake_is_shown_above_the_last_page_which_is_marked(
    browser: webdriver.Chrome, design: Path, url: str
) -> None:
    browser.get(url)
    page(browser, 1)
    save(design, SKETCH.replace("kind: battery", "kind: batery", 1))
    browser.switch_to.default_content()
    mistakes = browser.find_element(By.ID, "mistakes")
    WebDriverWait(browser, 30, 0.1).until(lambda b: mistakes.is_displayed())
    assert "batery" in mistakes.text and "line" in mistakes.text and "nothing was reviewed" in mistakes.text
    assert "old" in browser.find_element(By.TAG_NAME, "body").get_attribute("class")
    assert browser.find_element(By.ID, "what").text.startswith("The file as it is now was not reviewed.")
    page(browser, 1)  # it stays
    save(design, SKETCH)  # what it was: the page is right again, and was not made anew
    browser.switch_to.default_content()
    WebDriverWait(browser, 30, 0.1).until(lambda b: not mistakes.is_displayed())
    assert browser.find_element(By.TAG_NAME, "body").get_attribute("class") == ""
    page(browser, 1)
