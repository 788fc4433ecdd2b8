"""Take pictures of the reports of the three examples, to be looked at: phone, tablet and desk, light, dark and paper.

    python tests/pictures/make_pictures.py FOLDER       all of them, into FOLDER
    python tests/pictures/make_pictures.py --readme     the small ones of the README, into tests/pictures

Needs a browser (see tests/conftest.py) and the packages of the extra ``tests``.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
EXAMPLES = ("ester", "amide", "amine")
WIDTHS = {"phone": 360, "tablet": 768, "desk": 1280}
README = {"bench.png": ("#bench ~ ol li:nth-child(1)", "ester"), "left.png": ("#left ~ figure", "ester")}


def report(path: Path, *options: str) -> Path:
    """Write a report by the command that a user would give."""
    code = "from washlore.cli.main import main; main()"
    subprocess.run([sys.executable, "-c", code, "plan", *options, "--report", str(path)], check=True)
    return path


def launch(playwright: Any) -> Any:
    """Return the browser of this machine."""
    from washlore.cli.page.browser import find_browser

    path = find_browser()
    if path is None:
        raise SystemExit("no browser was found; install Chromium, or name one with WASHLORE_BROWSER")
    flags = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return playwright.chromium.launch(executable_path=str(path), args=flags)


def everything(browser: Any, folder: Path) -> None:
    """Picture each example at each width in light and dark, and print page and sheet on both papers."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in EXAMPLES:
        page_file = report(folder / f"{name}.html", name, "--for", "instructor")
        sheet_file = report(folder / f"{name}-sheet.html", name, "--sheet")
        for scheme in ("light", "dark"):
            for label, width in WIDTHS.items():
                page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
                page.goto(page_file.as_uri())
                page.screenshot(path=str(folder / f"{name}-{label}-{scheme}.png"), full_page=True)
                page.close()
        for file in (page_file, sheet_file):
            for paper in ("A4", "Letter"):
                page = browser.new_page()
                page.goto(file.as_uri())
                page.pdf(path=str(folder / f"{file.stem}-{paper}.pdf"), format=paper)
                page.close()


def readme(browser: Any) -> None:
    """Make the pictures of the README: the schemes as SVG, a step at the bench and the chart as small PNG."""
    for example in EXAMPLES:
        report(HERE / f"{example}.svg", example)
    with tempfile.TemporaryDirectory() as name:
        for picture, (place, example) in README.items():
            file = report(Path(name) / f"{example}.html", example)
            page = browser.new_page(viewport={"width": 820, "height": 900}, color_scheme="light")
            page.goto(file.as_uri())
            page.locator(place).first.screenshot(path=str(HERE / picture))
            page.close()


def main() -> None:
    """Do what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?", type=Path)
    parser.add_argument("--readme", action="store_true")
    given = parser.parse_args()
    if not given.readme and given.folder is None:
        parser.error("name a folder, or give --readme")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = launch(playwright)
        if given.readme:
            readme(browser)
        if given.folder is not None:
            everything(browser, given.folder)
        browser.close()


if __name__ == "__main__":
    main()
