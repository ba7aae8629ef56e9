"""The page in a browser, as somebody sees and touches it."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from tests.browser import Browser
from tests.live.client import Server

WAIT = 45.0
"""Seconds that anything on the page may take."""


class Evening:
    """One page of one server."""

    def __init__(self, browser: Browser, server: Server, width: int = 1400, **how: Any) -> None:
        self.browser, self.server = browser, server
        browser.visit("about:blank")  # nothing of another test
        browser.visit(server.address, width, **how)
        self.until(lambda: self.state == "ready")

    @property
    def state(self) -> str:
        """What <body> says of the page."""
        return self.browser.run("return document.body.dataset.state")

    def until(self, holds: Callable[[], Any]) -> Any:
        """Wait for something; what it was in the end. Fails where it never comes."""
        end = time.monotonic() + WAIT
        while time.monotonic() < end:
            found = holds()
            if found:
                return found
            time.sleep(0.05)
        process = self.server.process
        if process.poll() is not None:
            errors = process.stderr.read() if process.stderr else ""
            raise AssertionError(f"the server ended with {process.returncode}: {errors[-2000:]}")
        raise AssertionError(self.text()[:3000])

    def text(self) -> str:
        """All that can be read on the page."""
        return self.browser.run("return document.body.innerText")

    def count(self, selector: str) -> int:
        """How many elements there are."""
        return self.browser.run("return document.querySelectorAll(arguments[0]).length", selector)

    def tab(self, name: str) -> None:
        """Turn to a panel."""
        self.browser.click(f"#tab-{name}")
        self.until(lambda: self.count(f"#tab-{name}[aria-selected=true]"))

    def value(self, path: str) -> str:
        """What the input of a key shows."""
        return self.browser.run(
            'return document.querySelector(`[data-path="${arguments[0]}"]`).value', path
        )

    def shows(self, path: str, value: str) -> None:
        """Wait until the input of a key shows something."""
        self.until(lambda: self.count(f'[data-path="{path}"]') and self.value(path) == value)

    def put(self, path: str, value: str) -> None:
        """Type something into the input of a key, and leave it there."""
        self.until(lambda: self.count(f'[data-path="{path}"]'))
        self.browser.run(
            'const input = document.querySelector(`[data-path="${arguments[0]}"]`);'
            "input.focus(); input.select()",
            path,
        )
        for letter in value:
            self.browser.keys(letter)
        self.browser.run("document.activeElement.blur()")

    def press(self, words: str, within: str = "body") -> None:
        """Click the first button that says so."""
        found = self.until(
            lambda: self.browser.run(
                "return [...document.querySelector(arguments[1]).querySelectorAll('button')]"
                ".find((one) => (one.getAttribute('aria-label') ?? one.textContent).trim()"
                " === arguments[0] && !one.disabled)",
                words,
                within,
            )
        )
        # What is above it may grow meanwhile, so nothing is aimed at.
        self.browser.run("arguments[0].click()", found)

    def choose(self, name: str, value: str) -> None:
        """Take one of a few choices."""
        self.browser.run(
            'document.querySelector(`input[name="${arguments[0]}"][value="${arguments[1]}"]`)'
            ".click()",
            name,
            value,
        )

    def exact(self) -> None:
        """Wait for the exact picture."""
        self.until(lambda: self.count(".badge.exact"))

    def tab_to(self, selector: str) -> None:
        """Press Tab until something has the focus: it can be reached without a mouse."""
        for _ in range(250):
            if self.browser.run("return document.activeElement.matches(arguments[0])", selector):
                return
            self.browser.keys("\ue004")
        raise AssertionError(f"Tab never comes to {selector}")
