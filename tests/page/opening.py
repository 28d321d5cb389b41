"""What the tests in a browser share: opening a page, choosing, and asking what is marked."""

from __future__ import annotations

from pathlib import Path

from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import Select

Pages = dict[str, Path]


def opened(browser: webdriver.Chrome, page: Path) -> webdriver.Chrome:
    """The page, fresh, ready, and without a word of complaint from the browser."""
    browser.get_log("browser")
    browser.get("about:blank")
    browser.get_log("performance")
    browser.get(page.as_uri())
    assert browser.execute_script("return document.documentElement.dataset.ready") == "yes"
    assert browser.get_log("browser") == []
    return browser


def classes(browser: webdriver.Chrome, name: str) -> set[str]:
    """The classes of the symbols and lines of a part or wire."""
    script = """
    const element = data.elements.indexOf(arguments[0]);
    const all = [...data.symbols.filter((f) => f[1] === element && !f[2].startsWith('to-')).map((f) => by('f' + f[0])),
                 ...data.runs.flatMap((r, i) => (r[0] === element ? [by('r' + i)] : []))];
    return [...new Set(all.flatMap((one) => [...one.classList]))];
    """
    return set(browser.execute_script(script, name))


def choose(browser: webdriver.Chrome, state: str, failure: str = "") -> None:
    Select(browser.find_element(By.ID, "state")).select_by_visible_text(
        next(o.text for o in options(browser, "state") if o.text.startswith(f"{state} ("))
    )
    if failure:
        Select(browser.find_element(By.ID, "failure")).select_by_visible_text(failure)


def options(browser: webdriver.Chrome, name: str):
    return Select(browser.find_element(By.ID, name)).options
