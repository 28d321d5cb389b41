"""The picture of the page that README shows: ``python -m tests.picture`` writes it.

It needs Debian's chromium and chromium-driver. The faulted tourer, with a finding chosen.
"""

from __future__ import annotations

import base64
import shutil
import struct
import sys
import tempfile
import zlib
from pathlib import Path

from selenium import webdriver
from selenium.webdriver.chrome.service import Service

from reviewer.reports.page.html import as_page
from reviewer.session import solved_file

ROOT = Path(__file__).parent.parent
PICTURE = ROOT / "examples" / "page.png"
DESIGN = ROOT / "examples" / "faulted-tourer.design.yaml"
#: size of the window, px, and the largest file, bytes
WIDE, TALL, MOST = 1440, 900, 200_000
#: the finding that is chosen
_FINDING = 1
#: six shades of each colour, as a number for each pixel, make a small file
_NUMBERED = """
const [shot, done] = arguments;
const image = new Image();
image.onload = () => {
  const canvas = Object.assign(document.createElement("canvas"), { width: image.width, height: image.height });
  const pen = canvas.getContext("2d");
  pen.drawImage(image, 0, 0);
  const { data } = pen.getImageData(0, 0, image.width, image.height);
  const shade = (value) => Math.round(value / 51);
  let text = "";
  for (let i = 0; i < data.length; i += 4) text += String.fromCharCode(shade(data[i]) * 36 + shade(data[i + 1]) * 6 + shade(data[i + 2]));
  done(btoa(text));
};
image.src = "data:image/png;base64," + shot;
"""


def picture(page: Path) -> bytes:
    """The page in a browser as PNG."""
    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium") or ""
    for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars"):
        options.add_argument(flag)
    chrome = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    try:
        metrics = {"width": WIDE, "height": TALL, "deviceScaleFactor": 1, "mobile": False}
        chrome.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        chrome.get(page.as_uri())
        chrome.execute_script(f"document.getElementById('pick-{_FINDING}').click()")
        shot = chrome.execute_cdp_cmd("Page.captureScreenshot", {"format": "png", "optimizeForSpeed": False})
        chrome.get("about:blank")  # the page itself loads no picture
        return as_png(base64.b64decode(chrome.execute_async_script(_NUMBERED, shot["data"])))
    finally:
        chrome.quit()


def as_png(pixels: bytes) -> bytes:
    """A PNG of WIDE by TALL pixels, each the number of a colour with six shades of red, green and blue."""
    colours = bytes(51 * shade for n in range(216) for shade in (n // 36, n // 6 % 6, n % 6))
    rows = b"".join(b"\0" + pixels[y * WIDE : (y + 1) * WIDE] for y in range(TALL))
    size = struct.pack(">IIBBBBB", WIDE, TALL, 8, 3, 0, 0, 0)
    chunks = ((b"IHDR", size), (b"PLTE", colours), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )


def main() -> int:
    """Write the picture; 1 where it is larger than it may be."""
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "page.html"
        page.write_text(as_page(solved_file(DESIGN)), encoding="utf-8")
        content = picture(page)
    if len(content) > MOST:
        print(f"{len(content):,} bytes; {MOST:,} at most", file=sys.stderr)
        return 1
    PICTURE.write_bytes(content)
    print(f"{PICTURE.relative_to(ROOT)}: {len(content):,} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
