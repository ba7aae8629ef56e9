"""A page as a browser shows it: Chromium without a window, and a note of all that it asks for.

Where there is none, tests that want it skip; with GLINT_BROWSER=required, as the gate sets it,
they fail instead.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

REQUIRED = os.environ.get("GLINT_BROWSER") == "required"

OPTIONS = (
    "--headless",
    "--no-sandbox",  # which cannot be had as root; every page here is our own
    "--disable-gpu",
    "--disable-quic",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)

SELF_CONTAINED = ("file:", "data:", "blob:")

# Every text against the first opaque background behind it, as (ratio, text, colours).
# WCAG 2.2, SC 1.4.3: contrast is (lighter + 0.05) / (darker + 0.05) of relative luminances.
CONTRASTS = """
const channels = (colour) => colour.match(/[\\d.]+/g).map(Number);
const luminance = ([r, g, b]) => [r, g, b].map((v) => v / 255)
  .map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
  .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
const found = [];
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walk.nextNode()) {
  const text = walk.currentNode.textContent.trim(), holder = walk.currentNode.parentElement;
  if (!text || holder.closest("svg, script, style") || !holder.getClientRects().length) continue;
  let behind = holder;
  while (behind && channels(getComputedStyle(behind).backgroundColor)[3] === 0) {
    behind = behind.parentElement;
  }
  const ground = behind ? getComputedStyle(behind).backgroundColor : "rgb(255, 255, 255)";
  const ink = getComputedStyle(holder).color;
  const [dark, light] = [ink, ground].map(channels).map(luminance).sort((a, b) => a - b);
  found.push([(light + 0.05) / (dark + 0.05), text.slice(0, 40), `${ink} on ${ground}`]);
}
return found;
"""


class Browser:
    """One browser, which looks at one page after the other."""

    def __init__(self, driver: Any) -> None:
        self._driver = driver

    def open(self, page: Path, width: int = 1400, dark: bool = False) -> None:
        """Show a file in a window of this width, px, and forget what was asked for before."""
        self.visit(page.resolve().as_uri(), width, dark=dark)

    def visit(
        self, address: str, width: int = 1400, dark: bool = False, still: bool = False
    ) -> None:
        """The same for an address. still: for somebody who wants less motion."""
        screen = {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 600}
        self._driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
        wishes = [
            {"name": "prefers-color-scheme", "value": "dark" if dark else "light"},
            {"name": "prefers-reduced-motion", "value": "reduce" if still else "no-preference"},
        ]
        self._driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": wishes})
        for log in ("performance", "browser"):
            self._driver.get_log(log)
        self._driver.get(address)

    def run(self, script: str, *arguments: Any) -> Any:
        """What a piece of JavaScript returns."""
        return self._driver.execute_script(script, *arguments)

    def press(self, selector: str, key: str) -> None:
        """Put the focus on an element and press a key."""
        self._driver.find_element("css selector", selector).send_keys(key)

    def keys(self, *keys: str) -> None:
        """Press keys where the focus is; several at once are held together."""
        from selenium.webdriver import ActionChains

        chain = ActionChains(self._driver)
        for key in keys[:-1]:
            chain.key_down(key)
        chain.send_keys(keys[-1])
        for key in reversed(keys[:-1]):
            chain.key_up(key)
        chain.perform()

    def drag(self, selector: str, right: int, down: int) -> None:
        """Hold the middle of an element, move it by so many px, and let go."""
        from selenium.webdriver import ActionChains

        found = self._driver.find_element("css selector", selector)
        chain = ActionChains(self._driver).click_and_hold(found)
        chain.move_by_offset(right // 2, down // 2)
        chain.move_by_offset(right - right // 2, down - down // 2).release().perform()

    def reload(self) -> None:
        """Load the page again, as its address is now."""
        self._driver.refresh()

    def click(self, selector: str) -> None:
        """Click on the middle of an element."""
        self._driver.find_element("css selector", selector).click()

    def asked_for(self) -> list[str]:
        """The address of everything that the page asked for, the page itself first."""
        messages = [
            json.loads(e["message"])["message"] for e in self._driver.get_log("performance")
        ]
        return [
            message["params"]["request"]["url"]
            for message in messages
            if message["method"] == "Network.requestWillBeSent"
        ]

    def outside(self) -> list[str]:
        """The address of everything that the page asked for beyond itself and what it holds."""
        page, *rest = self.asked_for()
        assert page == self._driver.current_url
        return [url for url in rest if not url.startswith(SELF_CONTAINED)]

    def complaints(self) -> list[str]:
        """What stands in the console."""
        return [entry["message"] for entry in self._driver.get_log("browser")]

    def pictures(self) -> list[dict[str, Any]]:
        """Every <img> and outermost <svg>: what it is, its own width and the shown one, px."""
        return self.run(
            "return [...document.querySelectorAll('img, :not(svg) > svg')].map((one) => ({"
            " name: one.alt ?? one.outerHTML.slice(0, 60),"
            " own: one.naturalWidth ?? one.getBBox().width,"
            " shown: one.getBoundingClientRect().width }))"
        )

    def width_needed(self) -> float:
        """How wide the page is, px, whether the window is or not."""
        self.run("for (const one of document.querySelectorAll('details')) one.open = true")
        return self.run("return document.scrollingElement.scrollWidth")

    def contrasts(self) -> list[tuple[float, str, str]]:
        """Contrast ratio of every text that is shown, the text, and its colours."""
        return [tuple(found) for found in self.run(CONTRASTS)]

    def pdf_pages(self) -> list[str]:
        """The text of each page when the page is printed as its own style wants it."""
        import base64
        import io

        from pypdf import PdfReader

        printed = self._driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
        reader = PdfReader(io.BytesIO(base64.b64decode(printed["data"])))
        return [page.extract_text() for page in reader.pages]


def started() -> Iterator[Browser]:
    """A browser of this machine, with nothing kept from before; ended in the end."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    driver = shutil.which("chromedriver")
    if program is None or driver is None:
        missing = "chromium" if program is None else "chromedriver"
        (pytest.fail if REQUIRED else pytest.skip)(f"{missing} is not installed")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as empty:
        options = webdriver.ChromeOptions()
        options.binary_location = program
        options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
        for option in (*OPTIONS, f"--user-data-dir={empty}"):
            options.add_argument(option)
        found = webdriver.Chrome(options=options, service=Service(driver))
        try:
            yield Browser(found)
        finally:
            found.quit()
