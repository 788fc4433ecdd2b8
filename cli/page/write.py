"""Writing a report to a file: the ending of its name says what it will be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from washlore.cli.common import Trouble, visible, write_bytes

KINDS = {".html": "a page", ".htm": "a page", ".md": "Markdown", ".pdf": "PDF", ".svg": "the flow chart alone"}


def check_name(path: Path, sheet: bool = False) -> str:
    """Return the ending of a report's name; raise ``Trouble`` for one that means nothing.

    ``sheet``: it is to be a bench sheet.
    """
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise Trouble(
            f"{path}: a report is written as .html (a page), .pdf, .md (Markdown) or .svg (the flow chart alone); name it such "
            f"as {path.stem or 'report'}.html."
        )
    if sheet and kind in (".md", ".svg"):
        raise Trouble(f"{path}: the bench sheet is one page to print; name it {path.stem}.html or {path.stem}.pdf.")
    return kind


def write_plan(record: dict[str, Any], path: Path, depth: str, sheet: bool) -> None:
    """Write the report of a plan's record to ``path``."""
    from washlore.cli.page import report

    kind = check_name(path, sheet)
    if kind == ".md":
        write(path, report.plan_markdown(record, depth))
    elif kind == ".svg":
        write(path, report.scheme_svg(record))
    else:
        write_page(path, report.plan_sheet(record, depth) if sheet else report.plan_page(record, depth))


def write_check(record: dict[str, Any], path: Path, depth: str) -> None:
    """Write the report of a judgement's record to ``path``."""
    from washlore.cli.page import verdict

    kind = check_name(path)
    if kind == ".md":
        write(path, verdict.check_markdown(record, depth))
    elif kind == ".svg":
        drawn = verdict.check_scheme(record)
        if drawn is None:
            raise Trouble(
                f"{path}: nothing of this plan could be followed, so there is no flow chart; name it {path.stem}.html."
            )
        write(path, drawn)
    else:
        write_page(path, verdict.check_page(record, depth))


def write_page(path: Path, page: str) -> None:
    """Write a page as HTML, or as PDF where the name ends so."""
    if path.suffix.lower() == ".pdf":
        from washlore.cli.page.browser import print_pdf

        write_bytes(path, print_pdf(visible(page), path))
    else:
        write(path, page)


def write(path: Path, text: str) -> None:
    """Write a text without marks that cannot be seen, whole or not at all."""
    write_bytes(path, visible(text).encode("utf-8"))
