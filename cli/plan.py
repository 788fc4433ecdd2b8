"""``washlore plan``: the workup of a mixture."""

from __future__ import annotations

from typing import Any

import click

from washlore.cli.common import dump, format_option, mixture_options, read, text_width, troubles


@click.command()
@click.argument("mixture", required=False)
@mixture_options
@format_option
def plan(mixture: str | None, given: dict[str, Any], style: str) -> None:
    """Work out the aqueous workup of a mixture.

    MIXTURE is a file (see `washlore new`) or one of the mixtures that come with washlore: ester, amide, amine.
    Without it, --product, --with and --solvent say what is in the flask:

    \b
      washlore plan --product "CCOC(=O)/C=C/c1ccccc1" --amount "10 mmol" \\
          --with "cinnamic acid; 1 mmol" --with "pyridine; 12 mmol; base" \\
          --solvent "DCM; 40 mL"
    """
    with troubles():
        from washlore.cli.render.record import plan_record
        from washlore.rules.plan import make_plan

        record = plan_record(make_plan(read(mixture, given)))
    if style == "json":
        click.echo(dump(record))
        return
    from washlore.cli.render.text import plan_text

    click.echo(plan_text(record, text_width()))
