"""A browser that is on this machine already, found by name: it prints a page to PDF as it would on paper."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from washlore.cli.common import Trouble

NAMED = "WASHLORE_BROWSER"
_ON_PATH = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
    "microsoft-edge",
    "microsoft-edge-stable",
)
_ELSEWHERE = {
    "darwin": (
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
        "/Applications/Chromium.app/Contents/MacOS/Chromium",
        "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    ),
    "win32": (
        r"%ProgramFiles(x86)%\Microsoft\Edge\Application\msedge.exe",
        r"%ProgramFiles%\Microsoft\Edge\Application\msedge.exe",
        r"%ProgramFiles%\Google\Chrome\Application\chrome.exe",
        r"%LocalAppData%\Google\Chrome\Application\chrome.exe",
    ),
}
MOST_SECONDS = 60


def find_browser() -> Path | None:
    """Return the program of a browser that can print without a window, or ``None``."""
    named = os.environ.get(NAMED)
    if named:
        found = shutil.which(named)
        return Path(found) if found else None
    for name in _ON_PATH:
        found = shutil.which(name)
        if found:
            return Path(found)
    for place in _ELSEWHERE.get(sys.platform, ()):
        path = Path(os.path.expandvars(place))
        if path.is_file():
            return path
    return None


def print_pdf(html: str, path: Path) -> bytes:
    """Return a page as PDF, printed by the browser; raise ``Trouble`` where there is none or it fails."""
    program = find_browser()
    other = path.with_suffix(".html")
    if program is None:
        raise Trouble(
            f"{path}: a PDF is printed by a browser, and none was found; install Chromium, Chrome or Edge (or name one in "
            f"{NAMED}), or write {other.name} and print that from any browser."
        )
    with tempfile.TemporaryDirectory(prefix="washlore-") as name:
        folder = Path(name)
        page, made = folder / "page.html", folder / "page.pdf"
        page.write_text(html, encoding="utf-8")
        command = [
            str(program),
            "--headless",
            "--disable-gpu",
            "--no-first-run",
            "--no-pdf-header-footer",
            f"--user-data-dir={folder / 'profile'}",
            f"--print-to-pdf={made}",
            page.as_uri(),
        ]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            # A browser run by the superuser (as in a container) has no sandbox; the page is our own and runs no script.
            command.insert(1, "--no-sandbox")
        with contextlib.suppress(OSError, subprocess.TimeoutExpired):
            subprocess.run(command, capture_output=True, timeout=MOST_SECONDS, check=False)
        if not made.is_file():
            raise Trouble(f"{path}: {program.name} did not print the page; write {other.name} and print that instead.")
        return made.read_bytes()
