"""``washlore properties``: pKa and log K for a list of structures."""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

import click

from washlore.cli.common import Trouble, dump, one_paragraph, troubles, version, write_whole

BAD_ROWS = 1


@click.command()
@click.argument("file", metavar="FILE.csv|-")
@click.option("--column", default="smiles", show_default=True, help="The column that holds the SMILES.")
@click.option(
    "--format", "style", type=click.Choice(("csv", "json")), default="csv", show_default=True, help="How to write."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write to this file instead of the terminal.")
def properties(file: str, column: str, style: str, out: Path | None) -> None:
    """Tabulate ionisable sites and log K for each SMILES of a CSV file.

    log K is log10 of the concentration in the solvent over that in water, for the neutral form at 25 C. A row that
    cannot be read is reported in its place and the rest goes on; the exit code is 1 then. - reads standard input.
    """
    with troubles():
        texts = read_column(file, column)
        made = _Progress(texts, out)
        if out is None:
            _write(sys.stdout, made, style)
        else:
            write_whole(out, lambda handle: _write(handle, made, style))
    if made.bad:
        count = f"{made.bad} of {len(texts)} rows"
        click.echo(f"{file}: {count} could not be read; the column problem says why.", err=True)
        sys.exit(BAD_ROWS)


class _Progress:
    """Records row by row, with a bar on a terminal and a count of bad rows."""

    def __init__(self, texts: list[str], out: Path | None) -> None:
        self.texts, self.bad = texts, 0
        self.shown = sys.stderr.isatty() and (out is not None or not sys.stdout.isatty())

    def __iter__(self) -> Iterator[dict[str, Any]]:
        if not self.shown:
            yield from map(self._one, range(1, len(self.texts) + 1), self.texts)
            return
        with click.progressbar(self.texts, label="structures", file=sys.stderr) as bar:
            for number, text in enumerate(bar, start=1):
                yield self._one(number, text)

    def _one(self, number: int, text: str) -> dict[str, Any]:
        record = structure_record(number, text)
        self.bad += record["problem"] is not None
        return record


def read_column(file: str, column: str) -> list[str]:
    """Return the cells of a column of a CSV file, or of standard input for ``-``; raise ``Trouble`` otherwise."""
    try:
        text = sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise Trouble(
            f"{file}: there is no such file; name a CSV file with a column of SMILES, or - for input."
        ) from None
    except IsADirectoryError:
        raise Trouble(f"{file}: is a folder; name a CSV file in it.") from None
    except (UnicodeDecodeError, OSError) as error:
        raise Trouble(f"{file}: cannot be read as text ({type(error).__name__}); save it as UTF-8.") from None
    try:
        rows = [
            row
            for row in csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
            if any(c.strip() for c in row)
        ]
    except csv.Error as error:
        raise Trouble(f"{file}: is not CSV that can be read: {error}.") from None
    if not rows:
        raise Trouble(f"{file}: is empty; its first line must name the columns, one of them {column!r}.")
    header = [name.strip() for name in rows[0]]
    places = [i for i, name in enumerate(header) if name == column] or [
        i for i, name in enumerate(header) if name.casefold() == column.casefold()
    ]
    if not places:
        raise Trouble(
            f"{file}: has no column {column!r}; its columns are {', '.join(header[:12])}. Name one with --column."
        )
    return [row[places[0]].strip() if places[0] < len(row) else "" for row in rows[1:]]


def solvent_keys() -> list[str]:
    """Return the solvents that log K is given for."""
    from washlore.knowledge.partition import SolventEquation
    from washlore.knowledge.rows import table

    return list(table(SolventEquation))


def structure_record(row: int, text: str) -> dict[str, Any]:
    """Return sites and log K of one SMILES; ``problem`` says why there are none."""
    from washlore.knowledge import acidity, partition
    from washlore.knowledge.structure import StructureError, parse

    record: dict[str, Any] = {"row": row, "smiles": text, "problem": None, "sites": [], "log_k": {}}
    try:
        parse(text)
        found = acidity.sites(text)
        record["log_k"] = {key: _log_k(partition.log_k(text, key)) for key in solvent_keys()}
    except StructureError as error:
        record["problem"] = one_paragraph(str(error))
        return record
    except Exception as error:  # One structure that defeats the estimates must not end a long list.
        record["problem"] = f"Its numbers cannot be worked out ({type(error).__name__}: {one_paragraph(str(error))})."
        return record
    record["sites"] = [
        {
            "atom": site.atom,
            "kind": site.kind,
            "pka": round(site.pka, 3),
            "sigma": round(site.sigma, 3),
            "class": acidity.class_name(site.site_class),
            "tier": site.tier,
            "source": site.source,
        }
        for site in found
    ]
    return record


def _log_k(value: Any) -> dict[str, Any]:
    return {"value": round(value.value, 3), "sigma": round(value.sigma, 3), "tier": value.tier, "source": value.source}


def _write(handle: IO[str], records: _Progress, style: str) -> None:
    if style == "json":
        rows = list(records)
        keys = {site["source"] for row in rows for site in row["sites"]}
        keys |= {k["source"] for row in rows for k in row["log_k"].values()}
        from washlore.knowledge.rows import source_text

        sources = {key: source_text(key) for key in sorted(keys)}
        handle.write(dump({"washlore": {"version": version()}, "rows": rows, "sources": sources}) + "\n")
        return
    keys_ = solvent_keys()
    writer = csv.writer(handle, lineterminator="\n")
    writer.writerow(
        ["row", "smiles", "problem", "sites", *(f"{k}_{what}" for k in keys_ for what in ("log_k", "sigma"))]
    )
    for record in records:
        cells = [record["row"], record["smiles"], record["problem"] or "", " ; ".join(map(_site, record["sites"]))]
        for key in keys_:
            value = record["log_k"].get(key)
            cells += [f"{value['value']:.2f}", f"{value['sigma']:.2f}"] if value else ["", ""]
        writer.writerow(cells)


def _site(site: dict[str, Any]) -> str:
    return (
        f"atom {site['atom']} {site['kind']} pKa {site['pka']:.2f} sigma {site['sigma']:.2f} {site['class']} "
        f"[{site['source']}]"
    )
