"""``washlore check``: judge a workup that somebody else wrote."""

from __future__ import annotations

import codecs
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from washlore.cli.common import (
    Trouble,
    any_given,
    command,
    depth_option,
    dump,
    format_option,
    look,
    mixture_options,
    plain_option,
    read,
    show,
    spare,
    text_width,
    troubles,
)

if TYPE_CHECKING:
    from washlore.rules.proposal import Proposal

SOUND = ("ok", "minor")
UNSOUND, UNREADABLE = 1, 2
# A file of a plan is short; what is longer is some other file.
MOST_BYTES = 1_000_000


@command()
@click.argument("words", nargs=-1, metavar="[MIXTURE] [PLAN]")
@click.option("--plan", "text", metavar="TEXT", help="The plan itself, in place of a file.")
@click.option("--against", is_flag=True, help="Show our plan beside it, step by step.")
@click.option(
    "--report",
    "report",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write a page to look at and print: .html, .pdf, .md, or .svg for the flow chart alone.",
)
@mixture_options
@depth_option
@plain_option
@format_option
def check(
    words: tuple[str, ...],
    text: str | None,
    against: bool,
    report: Path | None,
    given: dict[str, Any],
    depth: str,
    plain: bool,
    style: str,
) -> None:
    """Judge a proposed workup: what it would do, why, and how to put it right.

    PLAN is a file with the workup as written (text; or a table, .csv or .toml), or - for standard input. MIXTURE is as
    in `washlore plan`. The exit code is 0 for a sound plan, 1 for a flawed or dangerous one, 2 for what cannot be read.

    \b
      washlore check ester plan.txt
      washlore check ester --plan "Wash twice with 20 mL sat. NaHCO3, then brine. Dry over MgSO4, filter, evaporate."
    """
    mixture, path = _split(words, text, any_given(given))
    if report is not None:
        from washlore.cli.page.write import check_name

        check_name(report)
        spare(report, mixture, path)
    with troubles():
        from washlore.cli.render.judgement import check_record, check_text
        from washlore.rules.judge import consider, judge

        flask = read(mixture, given)
        proposal = _proposal(path, text, several=len(flask.wanted) > 1)
        record = check_record(judge(proposal, consider(flask)), against, followed=True)
    if report is not None:
        from washlore.cli.page.write import write_check

        write_check(record, report, depth)
        click.echo(f"{record['says']} Wrote {report}.", err=style == "json")
    if style == "json":
        click.echo(dump(record))
    elif report is None:
        show(check_text(record, text_width(), depth, look(plain)), plain)
    verdict = record["verdict"]
    if verdict not in SOUND:
        click.get_current_context().exit(UNREADABLE if verdict == "unreadable" else UNSOUND)


def _split(words: tuple[str, ...], text: str | None, described: bool) -> tuple[str | None, str | None]:
    """Return the mixture's name and the plan's path, either of which may be given otherwise."""
    wanted = (not described) + (text is None)
    if len(words) == wanted:
        rest = list(words)
        mixture = None if described else rest.pop(0)
        return mixture, rest.pop(0) if rest else None
    if len(words) > wanted:
        raise Trouble(
            f"check: {words[wanted]!r} is one too many; give a mixture (a file, or options such as --product) and a plan (a "
            "file, - for standard input, or --plan)."
        )
    if not words and not described:
        raise Trouble(
            "check: no mixture is given; name a mixture file or start with --product, then give a plan: a file, - for "
            "standard input, or --plan with the text."
        )
    raise Trouble(
        'check: no plan is given; name a file, write - to read standard input, or write it after --plan, such as --plan "wash '
        'twice with 20 mL sat. NaHCO3, dry over MgSO4, filter, evaporate".'
    )


def _proposal(path: str | None, text: str | None, several: bool) -> Proposal:
    """Return the plan as read, for one product or several."""
    from washlore.rules.reading import read_plan, read_table

    if text is not None:
        return read_plan(text, several)
    assert path is not None
    kind = Path(path).suffix.lower().lstrip(".") if path != "-" else ""
    content = _content(path)
    return read_table(content, kind) if kind in ("csv", "toml") else read_plan(content, several)


def _content(path: str) -> str:
    """Return what a file or standard input holds; raise ``Trouble`` with what would work."""
    try:
        raw = sys.stdin.buffer.read(MOST_BYTES + 1) if path == "-" else _bytes(Path(path))
    except FileNotFoundError:
        raise Trouble(
            f"{path}: there is no such file; name one that holds the plan, or write the plan after --plan."
        ) from None
    except IsADirectoryError:
        raise Trouble(f"{path}: is a folder; name a file that holds the plan.") from None
    except (OSError, ValueError) as error:
        raise Trouble(f"{path}: cannot be read ({type(error).__name__}); name a text file.") from None
    if len(raw) > MOST_BYTES:
        raise Trouble(f"{path}: is longer than a workup can be; name a file of less than 1 MB.")
    for encoding in _encodings(raw):
        try:
            return raw.decode(encoding).replace("\r\n", "\n").replace("\r", "\n")
        except UnicodeDecodeError:
            continue
    said = "standard input" if path == "-" else path
    raise Trouble(f"{said}: is not text; save the plan as plain text in UTF-8.")


def _encodings(raw: bytes) -> tuple[str, ...]:
    """Return the encodings that a text may have, the likeliest first; every other byte of most UTF-16 is zero."""
    if raw.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        return ("utf-32",)
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return ("utf-16",)
    for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if raw[first::2].count(0) > len(raw) // 4:
            return (encoding,)
    return ("utf-8-sig", "cp1252")


def _bytes(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)
