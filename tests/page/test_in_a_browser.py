"""The page in a real browser: what is chosen shows, what is typed filters, what is hostile stays text, and nothing leaves the page."""

from __future__ import annotations

import base64
import json
import re
import subprocess
import zlib
from pathlib import Path

import pytest
from selenium import webdriver
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

from reviewer.analysis.facts import Facts
from reviewer.analysis.failures import OPEN
from reviewer.network.graph import bare
from reviewer.questions import effects_of
from reviewer.reading import read_design
from reviewer.reports.page.page import as_page
from reviewer.reports.solved import Solved
from reviewer.session import review_file
from tests.oracle.generator import realistic
from tests.page.conftest import ENDING, LONG, MARKUP, ROOT, TURNED

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
    """The classes of the figures and lines of a part or wire."""
    script = """
    const element = data.elements.indexOf(arguments[0]);
    const all = [...data.figures.filter((f) => f[1] === element && !f[2].startsWith('to-')).map((f) => by('f' + f[0])),
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


def test_choosing_a_failure_changes_the_diagram_and_says_so(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    assert "live" in classes(browser, "ignition-a") and "live" in classes(browser, "A13")
    choose(browser, "cruise", "ignition-a-breaker open")
    assert "dead" in classes(browser, "ignition-a") and "dead" in classes(browser, "A13") and "failed" in classes(browser, "ignition-a-breaker")
    assert "live" in classes(browser, "ignition-b")
    assert browser.find_element(By.ID, "said").text == ("State cruise, ignition-a-breaker open. 1 load loses power. Functions lost: none.")
    browser.find_element(By.ID, "healthy").click()
    assert "live" in classes(browser, "ignition-a") and "failed" not in classes(browser, "ignition-a-breaker")


def test_choosing_a_state_changes_the_diagram(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    assert "live" in classes(browser, "main-bus")
    choose(browser, "master-off")
    assert "dead" in classes(browser, "main-bus") and "live" in classes(browser, "engine-bus-a")
    levers = browser.execute_script(
        "return [...by('f' + data.figures.find((f) => data.elements[f[1]] === 'master')[0]).querySelectorAll('.lever')].map((l) => l.classList.contains('shown'))"
    )
    assert levers == [False, True]  # the lever to its throw is not drawn, the open one is


@pytest.mark.parametrize("name", ["tourer", "faulted-tourer", "sketch"])
def test_every_load_in_every_state_is_shown_as_the_engine_solved_it(browser: webdriver.Chrome, pages: Pages, name: str) -> None:
    opened(browser, pages[name])
    facts = Facts(read_design(ROOT / "examples" / f"{name}.design.yaml"))
    shown = browser.execute_script(
        """return data.states.map((state, s) => [state.name, Object.fromEntries([-1, ...state.failures.keys()].map((f) => {
             const now = new Scene(s, f);
             const key = f < 0 ? 'healthy' : data.elements[state.failures[f][0]] + ' ' + state.failures[f][1];
             return [key, now.of('powered', data.powered).map((e) => data.elements[e]).sort().join()];
           }))])"""
    )
    assert [s for s, _ in shown] == [a.state.name for a in facts.answers()]
    for answer, (_, told) in zip(facts.answers(), shown, strict=True):
        assert told["healthy"] == ",".join(sorted(bare(e) for e, m in answer.healthy.powered.items() if m))
        for i, failure in enumerate(answer.failures):
            words = f"{bare(failure.element)} {failure.words(facts.network)}"
            if failure.mode == OPEN:  # a part and a bundle may have one name; their openings differ by their words
                assert told[words] == ",".join(sorted(bare(e) for e, m in answer.failed.powered.items() if m >> i & 1)), words


def test_a_wire_that_is_fed_from_its_far_end_is_marked(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    assert "back" not in classes(browser, "N3")
    choose(browser, "alternator-failed")
    assert "back" in classes(browser, "N3")  # the lead of an alternator that is off is live from the battery's end


def test_the_failure_effects_filter_by_words_kind_and_class(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["faulted-tourer"])
    form = browser.find_element(By.CSS_SELECTOR, "form[data-table]")
    rows = lambda: [r for r in browser.find_elements(By.CSS_SELECTOR, "#effects-table tbody tr") if r.is_displayed()]  # noqa: E731
    every = len(rows())
    assert f"{every} of {every} rows" in form.find_element(By.TAG_NAME, "output").text
    form.find_element(By.NAME, "words").send_keys("pump-breaker open")
    assert 0 < len(rows()) < every and all("pump-breaker" in r.text and "open" in r.text for r in rows())
    form.find_element(By.CSS_SELECTOR, "button[type=reset]").click()
    Select(form.find_element(By.NAME, "hazard")).select_by_visible_text("catastrophic")
    grave = rows()
    assert 0 < len(grave) < every and all("catastrophic" in r.text for r in grave)
    Select(form.find_element(By.NAME, "kind")).select_by_visible_text("wire")
    assert all(r.find_elements(By.TAG_NAME, "td")[0].text == "wire" for r in rows()) and len(rows()) < len(grave)


def test_a_finding_leads_to_its_part_in_its_state(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["faulted-tourer"])
    button = browser.find_element(By.CSS_SELECTOR, "#findings button[data-name='engine-bus-a']")
    browser.execute_script("arguments[0].click()", button)
    assert "sought" in classes(browser, "engine-bus-a")
    assert browser.find_element(By.ID, "state").get_attribute("value") == "0"


def test_the_keyboard_alone_is_enough(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    focus = lambda: browser.execute_script("const a = document.activeElement; return a.id || a.getAttribute('href') || a.tagName")  # noqa: E731
    press = lambda *keys: ActionChains(browser).send_keys(*keys).perform()  # noqa: E731
    press(Keys.TAB)
    seen = [focus()]
    while seen[-1] != "state" and len(seen) < 60:
        press(Keys.TAB)
        seen.append(focus())
    assert "#main" in seen and "theme" in seen and seen[-1] == "state"
    press(Keys.TAB)
    assert focus() == "find"
    press("ignition-a-breaker open")
    press(Keys.TAB)
    assert focus() == "failure"
    press(Keys.ARROW_DOWN)
    assert "ignition-a-breaker open" in browser.find_element(By.ID, "said").text
    assert "dead" in classes(browser, "ignition-a")
    style = browser.execute_script("return getComputedStyle(document.activeElement).outlineStyle")
    assert style == "solid"


def test_what_can_be_reached_has_a_name_and_the_diagram_says_what_it_shows(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["faulted-tourer"])
    browser.execute_cdp_cmd("Accessibility.enable", {})
    nodes = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    named = {"button", "link", "combobox", "searchbox", "textbox", "region", "image", "img"}
    nameless = [n for n in nodes if not n.get("ignored") and n["role"]["value"] in named and not n.get("name", {}).get("value")]
    assert nameless == []
    choose(browser, "cruise", "main-bus open")
    assert "main-bus open" in browser.find_element(By.ID, "svg").get_attribute("aria-label")
    assert browser.find_element(By.ID, "said").get_attribute("aria-live") == "polite"


def test_hostile_names_stay_text(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["hostile"])
    assert browser.title.startswith(MARKUP) and "taken" not in browser.title.replace(MARKUP, "")
    assert browser.find_elements(By.TAG_NAME, "img") == []
    assert len(browser.find_elements(By.TAG_NAME, "script")) == 2
    assert browser.find_element(By.TAG_NAME, "h1").text == MARKUP + TURNED
    for name in (MARKUP, ENDING, LONG, TURNED):
        assert browser.execute_script("return data.elements.includes(arguments[0])", name)
    choose(browser, "cruise", f"{MARKUP} open")
    assert MARKUP in browser.find_element(By.ID, "said").text and browser.find_elements(By.TAG_NAME, "img") == []
    titles = browser.execute_script("return [...document.querySelectorAll('#svg .f title')].map((t) => t.textContent)")
    assert any(t.startswith(ENDING) for t in titles)
    wide = browser.execute_script("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0


@pytest.mark.parametrize("name", ["tourer", "hostile"])
def test_no_request_leaves_the_page(browser: webdriver.Chrome, pages: Pages, name: str) -> None:
    opened(browser, pages[name])
    choose(browser, "cruise")
    browser.find_element(By.ID, "theme").click()
    browser.execute_script("fetch('https://example.invalid/').catch(() => {}); new Image().src = 'http://example.invalid/x.png'")
    events = [json.loads(entry["message"])["message"] for entry in browser.get_log("performance")]
    asked = {e["params"]["requestId"]: e["params"]["request"]["url"] for e in events if e["method"] == "Network.requestWillBeSent"}
    refused = {e["params"]["requestId"] for e in events if e["method"] == "Network.loadingFailed" and e["params"].get("blockedReason") == "csp"}
    assert [url for number, url in asked.items() if number not in refused] == [pages[name].as_uri()]
    assert any("Content Security Policy" in entry["message"] for entry in browser.get_log("browser"))  # what was tried was refused


@pytest.mark.parametrize("name", ["tourer", "faulted-tourer", "sketch", "hostile"])
@pytest.mark.parametrize("size", [(360, 740), (1400, 1000)], ids=["phone", "desktop"])
def test_nothing_is_wider_than_the_window(browser: webdriver.Chrome, pages: Pages, name: str, size: tuple[int, int]) -> None:
    metrics = {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": size[0] < 500}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    try:
        opened(browser, pages[name])
        assert browser.execute_script("return document.documentElement.scrollWidth") <= size[0]
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_dark_and_light_follow_the_system_and_the_button(browser: webdriver.Chrome, pages: Pages) -> None:
    paper = lambda: browser.execute_script("return getComputedStyle(document.body).backgroundColor")  # noqa: E731
    try:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": "dark"}]})
        opened(browser, pages["sketch"])
        assert paper() == "rgb(16, 22, 28)" and browser.find_element(By.ID, "theme").text == "Light page"
        browser.find_element(By.ID, "theme").click()
        assert paper() == "rgb(255, 255, 255)"
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


@pytest.mark.parametrize("paper", [(8.27, 11.69), (8.5, 11.0)], ids=["A4", "letter"])
def test_the_printed_page_has_everything_and_cuts_nothing(
    browser: webdriver.Chrome, pages: Pages, paper: tuple[float, float], tmp_path: Path
) -> None:
    opened(browser, pages["faulted-tourer"])
    asked = {"printBackground": False, "paperWidth": paper[0], "paperHeight": paper[1]}
    pdf = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", asked)["data"])
    (tmp_path / "page.pdf").write_bytes(pdf)
    count = len(re.findall(rb"/Type\s*/Page\b", pdf + b"".join(_streams(pdf))))
    assert 6 <= count <= 36
    told = subprocess.run(["pdftotext", "-bbox", str(tmp_path / "page.pdf"), "-"], capture_output=True, text=True, check=True).stdout
    for page in re.split(r"<page ", told)[1:]:
        wide, tall = map(float, re.match(r'width="([\d.]+)" height="([\d.]+)"', page).groups())
        for box in re.findall(r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)"', page):
            left, top, right, bottom = map(float, box)
            assert left >= 20 and right <= wide - 20 and top >= 20 and bottom <= tall - 20
    words = re.sub(r"<[^>]+>", " ", told)
    facts = Facts(read_design(ROOT / "examples" / "faulted-tourer.design.yaml"))
    for wire in facts.design.wires:
        assert re.search(rf"\b{wire}\b", words), wire
    for heading in ("Cautions", "Findings", "Returns", "Signals", "effects", "cards"):
        assert heading in words


def _streams(pdf: bytes):
    for match in re.finditer(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL):
        try:
            yield zlib.decompress(match[1])
        except zlib.error:
            continue


def test_the_page_of_five_hundred_parts_is_small_and_opens_at_once(browser: webdriver.Chrome, tmp_path: Path) -> None:
    """The review of an example stands in for its own, which takes long and is not what is measured."""
    facts = Facts(realistic(500, 1))
    review = review_file(ROOT / "examples" / "faulted-tourer.design.yaml")
    page = tmp_path / "large.html"
    page.write_text(as_page(Solved(facts, review, "0" * 64, effects_of(facts))), encoding="utf-8")
    took = []
    for _ in range(3):
        opened(browser, page)
        took.append(browser.execute_script("return performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd") / 1000)
    print(f"500 parts: {page.stat().st_size / 1e6:.2f} MB, opened in {', '.join(f'{t:.2f}' for t in took)} s")
    assert page.stat().st_size < 5_000_000
    assert min(took) < 2
