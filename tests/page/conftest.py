"""A headless Chromium for the tests of the page, and the pages that they open."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from selenium import webdriver
from selenium.webdriver.chrome.service import Service

from tests.printed import page_and_review
from tests.renaming import renamed

ROOT = Path(__file__).parent.parent.parent
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--window-size=1400,1000",
)  # fmt: skip
#: set by .ci/run: there a missing browser is a failure
REQUIRED = "REVIEWER_BROWSER_REQUIRED"


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    """One browser for all tests, with a user folder of its own."""
    chromium, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if not chromium or not driver or not shutil.which("pdftotext"):
        message = "the browser tests need Debian's chromium, chromium-driver and poppler-utils: apt-get install chromium chromium-driver poppler-utils"
        if os.environ.get(REQUIRED):
            pytest.fail(message)
        pytest.skip(message)
    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('browser')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    chrome = webdriver.Chrome(options=options, service=Service(driver))
    chrome.set_script_timeout(20)
    yield chrome
    chrome.quit()


def write_page(design: Path, folder: Path) -> Path:
    """The page of a design, written to a folder."""
    out = folder / f"{design.name.partition('.')[0]}.html"
    out.write_text(page_and_review(design)[0], encoding="utf-8")
    return out


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The pages of the examples, of the hostile design and of one that has hardly anything, by
    name.
    """
    folder = tmp_path_factory.mktemp("pages")
    hostile = folder / "hostile.design.yaml"
    hostile.write_text(hostile_design(), encoding="utf-8")
    least = folder / "least.design.yaml"
    least.write_text(
        "format: 1\naircraft: {name: Bare, nominal: 14 V, airframe: metal, stage: concept}\nparts: {battery: {kind: battery}}\nwires: {}\n"
    )
    designs = [*sorted((ROOT / "examples").glob("*.design.yaml")), hostile, least]
    return {design.name.partition(".")[0]: write_page(design, folder) for design in designs}


@pytest.fixture(scope="session")
def magneto_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of a small design with two magnetos."""
    return write_page(
        ROOT / "tests" / "rules" / "bases" / "magnetos.yaml", tmp_path_factory.mktemp("magnetos")
    )


#: what the hostile design calls things
MARKUP = "<img src=x onerror=\"document['title']='taken'\">"
ENDING = "</script><script>document['title']='taken'</script>"
TURNED = "\u05de\u05e6\u05d1\u05e8 \u0627\u0644\u0628\u0637\u0627\u0631\u064a\u0629"
LONG = "L" * 200
QUOTED = "'\"`&amp;{{7*7}}${7*7}"


def hostile_design() -> str:
    """The small sound design of the rules' tests, its names replaced by markup, quotes, letters
    that run from right to left, and 200 letters.
    """
    base = ROOT / "tests" / "rules" / "bases" / "bench.yaml"
    data = yaml.load(base.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    names = {
        "main-bus": MARKUP,
        "left-ignition": ENDING,
        "reserve-battery": TURNED,
        "left-fuse": LONG,
        "master": QUOTED,
        "W21": MARKUP + "2",
        "W22": LONG,
    }
    data = renamed(data, names)
    data["aircraft"]["name"] = MARKUP + TURNED
    data["parts"][LONG]["label"] = ENDING
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False, width=1000)
