"""The page in a real browser: what is chosen shows, what is typed filters, and the keyboard is enough."""

from __future__ import annotations

import pytest
from selenium import webdriver
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

from reviewer.analysis.facts import Facts
from reviewer.analysis.failures import OPEN
from reviewer.network.graph import bare
from reviewer.reading import read_design
from tests.page.conftest import ROOT
from tests.page.opening import Pages, choose, classes, opened


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
    form.find_element(By.NAME, "words").send_keys("pump-a-breaker open")
    assert 0 < len(rows()) < every and all("pump-a-breaker" in r.text and "open" in r.text for r in rows())
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
