"""What several tests share: a real browser, found on this machine, never downloaded.

Chromium, Chrome or Edge serve; ``apt-get install chromium`` brings one on Debian. Without any, tests that need one are
skipped and say so; with WASHLORE_NEEDS_BROWSER=1 (as in CI) they fail instead.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from washlore.cli.page.browser import find_browser

# Tests plan anew, and leave the folder alone in which a user's plans are kept; those that try it name their own.
os.environ["WASHLORE_CACHE"] = "off"

NONE_FOUND = (
    "no browser was found: install Chromium (on Debian and Ubuntu: apt-get install chromium), or name one with "
    "WASHLORE_BROWSER"
)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Give a headless browser, driven by playwright."""
    path = find_browser()
    if path is None:
        (pytest.fail if os.environ.get("WASHLORE_NEEDS_BROWSER") else pytest.skip)(NONE_FOUND)
    from playwright.sync_api import sync_playwright

    flags = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=str(path), args=flags)
        yield made
        made.close()


class Opened:
    """A page in the browser, with every complaint it made and everything it asked the network for."""

    def __init__(self, browser: Any, path: Path, **options: Any) -> None:
        self.context = browser.new_context(**options)
        self.page = self.context.new_page()
        self.complaints: list[str] = []
        self.requests: list[str] = []
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.goto(path.as_uri())

    def overflow(self) -> list[str]:
        """Return what sticks out of the window on the right, beside what scrolls by itself."""
        return self.page.evaluate(
            """() => {
              const wide = document.documentElement.clientWidth, found = [];
              for (const e of document.querySelectorAll('body *')) {
                if (e.closest('.wide, .skip') || e.closest('thead') || (e.closest('svg') && e.tagName !== 'svg')) continue;
                const box = e.getBoundingClientRect();
                if (box.width && box.right > wide + 1) found.push(e.tagName + '.' + e.className + ' ' + box.right);
              }
              if (document.documentElement.scrollWidth > wide + 1) found.push('the page scrolls sideways');
              return found;
            }"""
        )

    def faults(self) -> list[str]:
        """Return what axe-core finds of serious and critical faults."""
        from axe_playwright_python.sync_playwright import Axe

        # The page's own policy forbids scripts; axe is put in past it.
        found = Axe().run(self.page).response["violations"]
        return [
            f"{item['id']}: {node['html'][:160]} {node['failureSummary']}"
            for item in found
            if item["impact"] in ("serious", "critical")
            for node in item["nodes"]
        ]


@pytest.fixture
def opened(browser: Any) -> Iterator[Any]:
    """Give a function that opens an HTML file, with the options of a browser context (``viewport`` and such)."""
    made: list[Opened] = []

    def open_page(path: Path, **options: Any) -> Opened:
        made.append(Opened(browser, path, bypass_csp=True, **options))
        return made[-1]

    yield open_page
    for item in made:
        item.context.close()
