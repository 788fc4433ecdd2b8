"""``washlore plan``: the workup of a mixture."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from washlore.cli.common import (
    Trouble,
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


@command()
@click.argument("mixture", required=False)
@mixture_options
@click.option(
    "--report",
    "report",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write a page to look at and print: .html, .pdf, .md, or .svg for the flow chart alone.",
)
@click.option("--sheet", is_flag=True, help="With --report: the bench sheet alone, on one page.")
@depth_option
@plain_option
@format_option
def plan(
    mixture: str | None, given: dict[str, Any], report: Path | None, sheet: bool, depth: str, plain: bool, style: str
) -> None:
    """Work out the aqueous workup of a mixture.

    MIXTURE is a file (see `washlore new`) or one of the mixtures that come with washlore: ester, amide, amine.
    Without it, --product, --with and --solvent say what is in the flask:

    \b
      washlore plan --product "CCOC(=O)/C=C/c1ccccc1" --amount "10 mmol" \\
          --with "cinnamic acid; 1 mmol" --with "pyridine; 12 mmol; base" \\
          --solvent "DCM; 40 mL"
      washlore plan ester --report ester.html --for student
    """
    if sheet and report is None:
        raise Trouble("--sheet: says what to put into a report; name its file too, such as --report sheet.html.")
    if report is not None:
        from washlore.cli.page.write import check_name

        check_name(report, sheet)
        spare(report, mixture)
    with troubles():
        from washlore.cli.render.record import plan_record
        from washlore.rules.plan import make_plan

        made = make_plan(read(mixture, given))
        record = plan_record(made)
    if report is not None:
        from washlore.cli.page.write import write_plan

        write_plan(record, report, depth, sheet)
        click.echo(f"Wrote {report}.", err=style == "json")
    if style == "json":
        click.echo(dump(record))
    elif report is None:
        from washlore.cli.render.plan import plan_text

        show(plan_text(record, text_width(), depth, look(plain)), plain)
    from washlore.cli.kept import keep

    keep(mixture, given, made)
