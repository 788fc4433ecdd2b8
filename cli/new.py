"""``washlore new``: a mixture file to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from washlore.cli.common import Trouble, command, write_whole

TEMPLATE = """\
# A mixture for washlore: what is in the flask when the reaction stops.
# It runs as it stands; change it line by line. Text after # is a comment.
# A compound is given by name = "..." or by smiles = "...", never both.

title = "workup of an amide"

# The compound to keep. Without an amount, 10 mmol are assumed.
[product]
smiles = "CCCCNC(=O)c1ccc(C)cc1"
amount = "5 mmol"                   # mmol, mg, g or mL

# One block for each other thing in the flask, with what is left of it.
[[others]]
name = "triethylamine"
amount = "12 mmol"                  # or "2.4 equiv"; left out: 1 equiv assumed
role = "base"                       # reactant, reagent, base, acid, catalyst,
                                    # by-product, solvent or impurity; "product"
                                    # for a further compound to keep

[[others]]
smiles = "OC(=O)c1ccc(C)cc1"
amount = "60 mg"
role = "reactant"

# What the reaction ran in. A mixture of solvents is a list:
#   solvent = ["THF", "water"]
#   volume_ml = [20, 5]
[reaction]
solvent = "THF"
volume_ml = 25

# The solvent of the organic layer, or "choose".
[extraction]
solvent = "choose"

# How much of each component may stay, in per cent of what was there.
[target]
left_percent = 1
"""


@command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def new(file: Path, force: bool) -> None:
    """Write a mixture file to fill in. It runs as it is.

    \b
      washlore new flask.toml
    """
    if file.is_dir():
        raise Trouble(f"{file}: is a folder; name a file in it, such as {file / 'mixture.toml'}.")
    if file.exists() and not force:
        raise Trouble(f"{file}: is there already and is left as it is; choose another name, or add --force.")
    write_whole(file, lambda handle: _write(handle))
    click.echo(f"Wrote {file}. Edit it, then: washlore plan {file}")


def _write(handle: object) -> None:
    handle.write(TEMPLATE)  # type: ignore[attr-defined]
