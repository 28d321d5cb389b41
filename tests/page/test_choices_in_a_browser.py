"""The page in a real browser: what is chosen shows, what is typed filters, and the keyboard is
enough.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from selenium import webdriver
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.facts import Facts
from reviewer.network.graph import bare
from reviewer.reading import read_design
from tests.page.conftest import ROOT, write_page
from tests.page.opening import Pages, choose, classes, opened

#: a browser takes its time
pytestmark = pytest.mark.long


def test_choosing_a_failure_changes_the_schematic_and_says_so(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    opened(browser, pages["tourer"])
    assert "live" in classes(browser, "ignition-a") and "live" in classes(browser, "A13")
    choose(browser, "cruise", "ignition-a-breaker open")
    assert (
        "dead" in classes(browser, "ignition-a")
        and "dead" in classes(browser, "A13")
        and "failed" in classes(browser, "ignition-a-breaker")
    )
    assert "live" in classes(browser, "ignition-b")
    assert browser.find_element(By.ID, "said").text == (
        "State cruise, ignition-a-breaker open. 1 load loses power. Functions lost: none."
    )
    browser.find_element(By.ID, "healthy").click()
    assert "live" in classes(browser, "ignition-a") and "failed" not in classes(browser, "ignition-a-breaker")


def test_choosing_a_state_changes_the_schematic(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    assert "live" in classes(browser, "main-bus")
    choose(browser, "master-off")
    assert "dead" in classes(browser, "main-bus") and "live" in classes(browser, "engine-bus-a")
    levers = browser.execute_script(
        "return [...by('f' + data.symbols.find((f) => data.elements[f[1]] === 'master')[0]).querySelectorAll('.lever')].map((l) => l.classList.contains('shown'))"
    )
    assert levers == [False, True]  # the lever to its throw is not drawn, the open one is


def test_contacts_that_are_stuck_are_drawn_so_whatever_the_coil_does(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    """In cruise the starter contactor is de-energised and the main contactor energised."""
    script = """
    const contact = data.symbols.find((s) => data.elements[s[1]] === arguments[0] && s[3] === 'make');
    return [...by('f' + contact[0]).querySelectorAll('.lever')].map((l) => l.classList.contains('shown'));
    """
    opened(browser, pages["tourer"])
    assert browser.execute_script(script, "starter-contactor") == [False, True]
    choose(browser, "cruise", "starter-contactor contacts welded closed")
    assert browser.execute_script(script, "starter-contactor") == [True, False]
    assert browser.execute_script(script, "main-contactor") == [True, False]
    choose(browser, "cruise", "main-contactor contacts failed open")
    assert browser.execute_script(script, "main-contactor") == [False, True]


@pytest.mark.parametrize("name", ["tourer", "faulted-tourer", "sketch"])
def test_every_load_in_every_state_is_shown_as_the_engine_solved_it(
    browser: webdriver.Chrome, pages: Pages, name: str
) -> None:
    opened(browser, pages[name])
    facts = Facts(read_design(ROOT / "examples" / f"{name}.design.yaml"))
    shown = browser.execute_script(
        """return data.states.map((state, s) => [state.name, Object.fromEntries([-1, ...state.failures.keys()].map((f) => {
             const now = new View(s, f);
             const key = f < 0 ? 'healthy' : data.elements[state.failures[f][0]] + ' ' + state.failures[f][1];
             return [key, now.of('powered', data.powered).map((e) => data.elements[e]).sort().join()];
           }))])"""
    )
    assert [s for s, _ in shown] == [a.state.name for a in facts.states.answers()]
    for answer, (_, told) in zip(facts.states.answers(), shown, strict=True):
        assert told["healthy"] == ",".join(sorted(bare(e) for e, m in answer.healthy.powered.items() if m))
        for i, failure in enumerate(answer.failures):
            words = f"{bare(failure.element)} {failure.words(facts.network)}"
            if (
                failure.mode == OPEN
            ):  # a part and a bundle may have one name; their openings differ by their words
                assert told[words] == ",".join(
                    sorted(bare(e) for e, m in answer.failed.powered.items() if m >> i & 1)
                ), words


def test_a_wire_that_is_fed_from_its_far_end_is_marked(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    assert "back" not in classes(browser, "N3")
    choose(browser, "alternator-failed")
    assert "back" in classes(
        browser, "N3"
    )  # the lead of an alternator that is off is live from the battery's end


@pytest.mark.long
def test_the_failure_effects_filter_by_words_kind_and_class(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["faulted-tourer"])
    browser.execute_script("by('effects').open = true")
    form = browser.find_element(By.CSS_SELECTOR, "form[data-table]")

    def rows() -> list[list[str]]:
        """The words of each row that is shown, and of its first cell."""
        return browser.execute_script(
            """return [...document.querySelectorAll('#effects-table tbody tr')]
                 .filter((row) => row.checkVisibility())
                 .map((row) => [row.innerText, row.querySelector('td').innerText])"""
        )

    every = len(rows())
    assert f"{every} of {every} rows" in form.find_element(By.TAG_NAME, "output").text
    form.find_element(By.NAME, "words").send_keys("pump-a-breaker open")
    assert 0 < len(rows()) < every and all("pump-a-breaker" in r and "open" in r for r, _ in rows())
    form.find_element(By.CSS_SELECTOR, "button[type=reset]").click()
    Select(form.find_element(By.NAME, "hazard")).select_by_visible_text("catastrophic")
    grave = rows()
    assert 0 < len(grave) < every and all("catastrophic" in r for r, _ in grave)
    Select(form.find_element(By.NAME, "kind")).select_by_visible_text("wire")
    assert all(first == "wire" for _, first in rows()) and len(rows()) < len(grave)


def test_a_finding_leads_to_its_part_in_its_state(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["faulted-tourer"])
    browser.find_element(By.ID, "pick-1").click()
    group = browser.execute_script("return data.groups[0]")
    assert group["subjects"][0] == "engine-bus-a" and group["state"] == "cruise"
    assert {"sought", "failed"} <= classes(browser, "engine-bus-a")
    assert "onpath" in classes(browser, "A20") and "onpath" not in classes(browser, "B20")
    assert browser.find_element(By.ID, "state").get_attribute("value") == "0"
    assert "engine-bus-a open" in browser.find_element(By.ID, "said").text
    repair = browser.find_element(By.CSS_SELECTOR, "#pick-1 .repair")
    hidden = browser.find_element(By.CSS_SELECTOR, "#pick-2 .repair")
    assert repair.is_displayed() and not hidden.is_displayed()
    assert repair.text not in browser.find_element(By.ID, "picked").text
    browser.find_element(By.ID, "back").click()
    assert browser.switch_to.active_element.get_attribute("id") == "pick-1"
    assert "sought" not in classes(browser, "engine-bus-a") and "failed" not in classes(
        browser, "engine-bus-a"
    )


def test_a_cause_of_many_parts_has_boxes_only_around_what_it_is_about(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    """What else the cause explains and the loads lost glow as its path does; no box is drawn around a line."""
    opened(browser, pages["faulted-tourer"])
    script = """
    const boxed = (one) => getComputedStyle(one).outlineStyle !== 'none';
    return data.groups.map((group, i) => {
      by(`pick-${i + 1}`).click();
      const lines = [...document.querySelectorAll('.r.sought')];
      const sought = [...document.querySelectorAll('.f.sought')].map((one) => data.elements[data.symbols.find((s) => `f${s[0]}` === one.id)[1]]);
      const others = [...group.subjects.slice(group.own), ...group.lost].flatMap(drawnOf);
      const failed = view().failure ? data.elements[view().failure[0]] : '';
      return [lines.some(boxed), sought.filter((name) => name !== failed && !group.subjects.slice(0, group.own).includes(name)),
              others.every((one) => one.classList.contains('onpath') || one.classList.contains('sought')), others.length];
    });
    """
    made = browser.execute_script(script)
    assert all(not lines and not stray and marked for lines, stray, marked, _ in made)
    assert sum(others for *_, others in made) > 20
    reached = browser.execute_script(
        "const one = data.groups[0]; return [...one.lost, ...one.path, ...one.subjects]"
    )
    assert {"ignition-a", "injection-a", "pump-a", "pump-b"} <= set(reached), (
        "a load that is lost has no mark"
    )


def test_a_part_in_the_schematic_leads_to_what_is_found_about_it(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    opened(browser, pages["faulted-tourer"])
    browser.execute_script(
        "by('f' + data.symbols.find((s) => data.elements[s[1]] === 'charge-diode')[0]).dispatchEvent(new MouseEvent('click', { bubbles: true }))"
    )
    groups = browser.execute_script("return data.groups")
    about = {i for i, g in enumerate(groups, 1) if "charge-diode" in [*g["subjects"], *g["path"]]}
    marked = browser.find_elements(By.CSS_SELECTOR, "#list .pick.about")
    assert about and {int(one.get_attribute("data-group")) for one in marked} == about
    assert browser.find_element(By.ID, "picked").text.startswith("charge-diode: findings: ")


def test_the_first_finding_is_seen_in_the_schematic_without_scrolling(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    metrics = {"width": 1440, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    try:
        opened(browser, pages["faulted-tourer"])
        places = """
        const first = by('pick-1').getBoundingClientRect();
        const frame = document.querySelector('.frame').getBoundingClientRect();
        const sought = document.querySelector('.sought');
        const box = sought ? sought.getBoundingClientRect() : null;
        const inside = box && box.left < frame.right && box.right > frame.left && box.top >= frame.top && box.bottom <= Math.min(frame.bottom, innerHeight);
        const seen = [...document.querySelectorAll('.list .pick')].filter((one) => one.getBoundingClientRect().bottom < innerHeight);
        return [first.bottom < innerHeight, inside, scrollY, seen.length, document.querySelector('.verdict').getBoundingClientRect().bottom < frame.top, frame.height / innerHeight];
        """
        *places_seen, verdict, share = browser.execute_script(places)
        assert places_seen[:3] == [True, None, 0] and verdict
        assert places_seen[3] >= 7 and share > 0.6  # the gravest causes, and a schematic that can be read
        browser.execute_script("by('pick-1').click()")
        *places_seen, verdict, share = browser.execute_script(places)
        assert places_seen[:3] == [True, True, 0] and places_seen[3] >= 6 and verdict and share > 0.5
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_whatever_cause_is_chosen_nothing_of_it_is_cut_and_the_first_screen_holds_it(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    """The box above the schematic has no bar to scroll, what it shortens it says, names stand on one
    line, and schematic and causes end where the window does."""
    metrics = {"width": 1440, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    try:
        opened(browser, pages["faulted-tourer"])
        script = """
        const low = (s) => document.querySelector(s).getBoundingClientRect().bottom;
        const found = [low('.frame') <= innerHeight && low('.list') <= innerHeight ? '' : 'below the window'];
        const broken = [...document.querySelectorAll('.list .whole')].filter((one) => one.getClientRects().length > 1);
        found.push(...broken.map((one) => one.textContent));
        data.groups.forEach((group, i) => {
          by(`pick-${i + 1}`).click();
          const box = by('picked');
          if (box.scrollHeight > box.clientHeight || box.scrollWidth > box.clientWidth) found.push(`${i + 1} is cut`);
          if (document.querySelector('.frame').clientHeight < 250) found.push(`${i + 1} leaves no schematic`);
          if (data.elements.includes(group.subjects[0]) && !document.querySelector('#svg .sought')) found.push(`${i + 1} is not shown`);
          if (group.path.length && !document.querySelector('#svg .onpath')) found.push(`${i + 1} has no path`);
        });
        return [found.filter(Boolean), document.querySelectorAll('.list .whole').length, by('picked').textContent.length];
        """
        found, whole, letters = browser.execute_script(script)
        assert found == [] and whole > 50 and letters > 50
        browser.execute_script("by('pick-1').click()")
        assert "more under evidence" in browser.find_element(By.ID, "picked").text
    finally:
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_a_section_that_is_folded_opens_where_a_link_leads(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["faulted-tourer"])
    assert browser.execute_script("return document.documentElement.scrollHeight") < 6000
    note = browser.execute_script("return document.querySelector('.rule-note').id")
    assert not browser.find_element(By.ID, note).is_displayed()
    browser.execute_script("document.querySelector(`#findings a[href='#${arguments[0]}']`).click()", note)
    assert browser.find_element(By.ID, note).is_displayed()
    assert "How judged" in browser.find_element(By.ID, note).text
    browser.find_element(By.CSS_SELECTOR, "nav a[href='#wiring']").click()
    top = browser.execute_script(
        "return by('wiring').getBoundingClientRect().top - document.querySelector('nav').getBoundingClientRect().bottom"
    )
    assert 0 <= top < 60


def test_a_peer_finds_gauges_lengths_protection_grounds_and_loads_on_the_page(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    opened(browser, pages["tourer"])
    heads = browser.execute_script(
        "return ['wire-list', 'circuit-protection', 'ground-map', 'declared-loads'].map((key) => [...by(key + '-table').querySelectorAll('thead th')].map((th) => th.textContent))"
    )
    wires, protection, grounds, loads = heads
    assert {"gauge", "length, m", "circuit protection, from end", "circuit protection, to end"} <= set(wires)
    assert "rating, A" in protection and "path to the negative of a source" in grounds and "load" in loads
    metrics = {"width": 1440, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    seen = """
    const head = [...by('wire-list-table').querySelectorAll('thead th')].find((th) => th.textContent === 'energised from');
    for (let one = head; one; one = one.parentElement) if (one.localName === 'details') one.open = true;
    const right = head.getBoundingClientRect().right;
    return right > 500 && right <= innerWidth;
    """
    assert browser.execute_script(seen), "protection and sources of a wire stand beyond the window"
    rows = browser.execute_script("return [data.wires, by('wire-list-table').tBodies[0].rows.length]")
    assert rows[0] == rows[1]
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_the_keyboard_alone_is_enough(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])

    def focus() -> str:
        script = "const a = document.activeElement; return a.id || a.getAttribute('href') || a.tagName"
        return str(browser.execute_script(script))

    def press(*keys: str) -> None:
        ActionChains(browser).send_keys(*keys).perform()

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


def test_what_can_be_reached_has_a_name_and_the_schematic_says_what_it_shows(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    opened(browser, pages["faulted-tourer"])
    browser.execute_cdp_cmd("Accessibility.enable", {})
    nodes = browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    named = {"button", "link", "combobox", "searchbox", "textbox", "region", "image", "img"}
    nameless = [
        n
        for n in nodes
        if not n.get("ignored") and n["role"]["value"] in named and not n.get("name", {}).get("value")
    ]
    assert nameless == []
    choose(browser, "cruise", "main-bus open")
    assert "main-bus open" in browser.find_element(By.ID, "svg").get_attribute("aria-label")
    assert browser.find_element(By.ID, "said").get_attribute("aria-live") == "polite"


def test_the_filter_of_functions_lost_counts_rows(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["sketch"])
    form = browser.find_element(By.CSS_SELECTOR, "form[data-table]")
    browser.execute_script("by('effects').open = true")
    lost = browser.execute_script(
        "return [...document.querySelectorAll('#effects-table tbody tr')].filter((r) => r.dataset.hazard).length"
    )
    every = len(browser.find_elements(By.CSS_SELECTOR, "#effects-table tbody tr"))
    Select(form.find_element(By.NAME, "hazard")).select_by_visible_text("one or more")
    assert form.find_element(By.TAG_NAME, "output").text == f"{lost} of {every} rows shown"


def test_the_failure_that_is_shown_stays_chosen_however_the_list_is_narrowed(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    opened(browser, pages["tourer"])
    choose(browser, "cruise", "ignition-a-breaker open")
    browser.find_element(By.ID, "find").send_keys("pump-b")
    failure = Select(browser.find_element(By.ID, "failure"))
    assert failure.first_selected_option.text == "ignition-a-breaker open"
    assert "failed" in classes(browser, "ignition-a-breaker")
    assert all("pump-b" in o.text for o in failure.options[1:] if o.text != "ignition-a-breaker open")


def test_a_line_has_the_colour_of_each_source_that_feeds_it_and_says_so(
    browser: webdriver.Chrome, pages: Pages
) -> None:
    """In cruise nearly everything is fed by several: in stripes of their colours, not in black."""
    opened(browser, pages["tourer"])
    script = """
    const i = data.runs.findIndex((r) => data.elements[r[0]] === arguments[0]);
    const pattern = document.querySelector(getComputedStyle(by('r' + i)).stroke.replace(/^url\\("(#[^"]+)"\\).*/, '$1'));
    const fills = [...pattern.children].map((rect) => getComputedStyle(rect).fill);
    const key = [...document.querySelectorAll('.legend li')].slice(0, data.sources.length).map((li) => getComputedStyle(li.querySelector('path')).stroke);
    return [fills, key, by('r' + i).querySelector('title').textContent];
    """
    fills, key, title = browser.execute_script(script, "A13")
    assert fills == [key[0], key[2]] and len(set(key)) == 3
    assert title == "A13: fed by A, C"
    choose(browser, "master-off")
    stroke = browser.execute_script(
        "return getComputedStyle(by('r' + data.runs.findIndex((r) => data.elements[r[0]] === 'A13'))).stroke"
    )
    assert stroke == key[0]  # the battery of that channel alone


def test_a_magneto_is_no_load_and_says_whether_it_fires(
    browser: webdriver.Chrome, magneto_page: Path
) -> None:
    opened(browser, magneto_page)
    magnetos, powered = browser.execute_script("return [data.magnetos.length, data.powered.length]")
    assert magnetos == 2
    assert f"of {powered - 2} loads have power" in browser.find_element(By.ID, "said").text
    told = browser.find_element(By.ID, "told").get_attribute("textContent")
    assert "Magnetos that fire" in told
    without = told.partition("Loads without power")[2].partition("Magnetos")[0]
    assert "magneto" not in without


@pytest.mark.parametrize("name", ["tourer", "faulted-tourer", "sketch", "magnetos", "shields", "long-names"])
def test_no_text_of_the_schematic_lies_on_a_line(
    browser: webdriver.Chrome, pages: Pages, magneto_page: Path, name: str, tmp_path: Path
) -> None:
    if name == "shields":  # one beside the second contact of an ignition switch
        opened(browser, write_page(ROOT / "tests" / "aircraft" / "magneto-metal.design.yaml", tmp_path))
        names = "return [...by('sheet').querySelectorAll('.shield.to + text')].map((t) => t.textContent)"
        assert set(browser.execute_script(names)) == {"left-magneto", "right-magneto"}
    elif name == "long-names":  # of wires that paths made, side by side
        opened(browser, write_page(ROOT / "examples" / "short-form" / "tourer.design.yaml", tmp_path))
    else:
        opened(browser, {**pages, "magnetos": magneto_page}[name])
    browser.execute_script("by('zoom').value = '1'; by('zoom').dispatchEvent(new Event('change'))")
    script = (Path(__file__).parent / "lettering.js").read_text(encoding="utf-8")
    assert browser.execute_script(script) == []
    # nor on another text: the boxes of letters are a little higher than the letters
    others = """
    const texts = [...by('sheet').querySelectorAll('text')].filter((t) => t.textContent);
    const boxes = texts.flatMap((t) => (t.querySelectorAll('tspan').length ? [...t.querySelectorAll('tspan')] : [t]).map((s) => [t, s.textContent, s.getBoundingClientRect()]));
    return boxes.flatMap(([t, a, p], i) => boxes.slice(i + 1).filter(([u, , q]) => t !== u && p.left + 1 < q.right && q.left + 1 < p.right && p.top + 2.5 < q.bottom && q.top + 2.5 < p.bottom).map(([, b]) => `${a} on ${b}`));
    """
    assert browser.execute_script(others) == []


def test_the_smallest_letters_of_the_schematic_can_be_read(browser: webdriver.Chrome, pages: Pages) -> None:
    opened(browser, pages["tourer"])
    sizes = browser.execute_script(
        "return [...by('sheet').querySelectorAll('text, tspan')].map((t) => parseFloat(getComputedStyle(t).fontSize))"
    )
    assert min(sizes) >= 10.5
