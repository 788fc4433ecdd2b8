"""``washlore properties``: pKa and log K for a list of structures."""

from __future__ import annotations

import csv
import itertools
import sys
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

import click

from washlore.cli.common import Trouble, command, dump, one_paragraph, troubles, version, write_whole
from washlore.knowledge.records import dataclass, field

BAD_ROWS = 1
# What parts the cells, the usual one first; spreadsheets write semicolons where the comma is the decimal sign.
DELIMITERS = (",", ";", "\t")


@command()
@click.argument("file", metavar="FILE.csv|-")
@click.option("--column", default="smiles", show_default=True, help="The column that holds the SMILES.")
@click.option(
    "--format", "style", type=click.Choice(("csv", "json")), default="csv", show_default=True, help="How to write."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write to this file instead of the terminal.")
def properties(file: str, column: str, style: str, out: Path | None) -> None:
    """Tabulate ionisable sites and log K for each SMILES of a CSV file.

    log K is log10 of the concentration in the solvent over that in water, for the neutral form at 25 C, or what
    log_k_of says: of an amino acid the zwitterion, of an onium salt the ion pair. The columns of the file come along. A
    row that cannot be read, or whose structure is outside what is known, is reported in its place and the rest goes on;
    the exit code is 1 then. - reads standard input.

    \b
      washlore properties molecules.csv --out sites.csv
    """
    with troubles(), _opened(file) as handle:
        given = read_rows(file, handle, column)
        wide = out is not None or not sys.stdout.isatty()
        # The rows are counted beforehand for the bar only; standard input cannot be read twice.
        count = _count(file, column) if wide and file != "-" and sys.stderr.isatty() else None
        made = _Records(given, count)
        if out is None:
            _write(sys.stdout, made, style)
        else:
            write_whole(out, lambda target: _write(target, made, style))
    if made.bad:
        told = f"{made.bad} of {made.done} rows"
        click.echo(
            f"{_said(file)}: {told} have no numbers; the column {made.given.added('problem')} says why.", err=True
        )
        sys.exit(BAD_ROWS)


@dataclass
class Given:
    """The rows of a CSV file: the names of its columns, which of them holds the SMILES, and the cells, row by row."""

    header: list[str]
    place: int
    rows: Iterable[list[str]]

    def added(self, name: str) -> str:
        """Return the name that a column of ours gets: its own, or one marked where the file has that name already."""
        return name if name not in self.header else f"{name}_computed"


@dataclass
class _Records:
    """Records row by row, with a bar where ``count`` is known, and a count of rows done and of bad ones."""

    given: Given
    count: int | None
    done: int = 0
    bad: int = 0
    sources: set[str] = field(default_factory=set)

    def __iter__(self) -> Iterator[dict[str, Any]]:
        if self.count is None:
            yield from map(self._one, self.given.rows)
            return
        with click.progressbar(self.given.rows, length=self.count, label="structures", file=sys.stderr) as bar:
            for cells in bar:
                yield self._one(cells)

    def _one(self, cells: list[str]) -> dict[str, Any]:
        self.done += 1
        wide = len(self.given.header)
        filled = cells + [""] * (wide - len(cells))
        problem = None
        if len(cells) > wide:
            problem = f"The row has {len(cells)} cells and the first line names {wide} columns; put a cell with a comma in quotes."
        record = structure_record(self.done, filled[self.given.place].strip(), problem)
        record["given"] = dict(zip(self.given.header, filled, strict=False))
        self.bad += record["problem"] is not None
        self.sources |= {site["source"] for site in record["sites"]}
        self.sources |= {value["source"] for value in record["log_k"].values()}
        return record


@contextmanager
def _opened(file: str) -> Iterator[IO[str]]:
    """Open a CSV file, or standard input for ``-``; raise ``Trouble`` for what is none."""
    said = _said(file)
    try:
        handle = sys.stdin if file == "-" else open(file, encoding="utf-8-sig", newline="")  # noqa: SIM115 (closed below)
    except FileNotFoundError:
        raise Trouble(
            f"{file}: there is no such file; name a CSV file with a column of SMILES, or - for input."
        ) from None
    except IsADirectoryError:
        raise Trouble(f"{file}: is a folder; name a CSV file in it.") from None
    except PermissionError:
        raise Trouble(f"{file}: may not be read; ask for the right to read it, or name another file.") from None
    except (OSError, ValueError):  # a structure in the place of a file, longer than any file name or with a zero byte
        raise Trouble(f"{file[:60]}: is not the name of a file; name a CSV file with a column of SMILES.") from None
    try:
        yield handle
    except UnicodeDecodeError:
        raise Trouble(f"{said}: cannot be read as text; save it as UTF-8.") from None
    except csv.Error as error:
        raise Trouble(f"{said}: is not CSV that can be read: {error}.") from None
    finally:
        if handle is not sys.stdin:
            handle.close()


def _said(file: str) -> str:
    return "standard input" if file == "-" else file


def _full(handle: IO[str], column: str) -> Iterator[list[str]]:
    """Return the rows that hold anything, with the cells parted by the sign that leaves ``column`` in the first of them."""
    first = next((line for line in handle if line.strip()), "").removeprefix("\ufeff")
    named = {sign: {cell.strip(' "\r\n').casefold() for cell in first.split(sign)} for sign in DELIMITERS}
    sign = next((sign for sign, cells in named.items() if column.casefold() in cells), DELIMITERS[0])
    return (row for row in csv.reader(itertools.chain([first], handle), delimiter=sign) if any(map(str.strip, row)))


def _count(file: str, column: str) -> int:
    with _opened(file) as handle:
        return max(0, sum(1 for _ in _full(handle, column)) - 1)


def read_rows(file: str, handle: IO[str], column: str) -> Given:
    """Return the columns and rows of an open CSV file; raise ``Trouble`` where it lacks ``column``."""
    rows = _full(handle, column)
    said = _said(file)
    first = next(rows, None)
    if first is None:
        raise Trouble(f"{said}: is empty; its first line must name the columns, one of them {column!r}.")
    header = _unlike([name.strip() for name in first])
    places = [i for i, name in enumerate(header) if name == column] or [
        i for i, name in enumerate(header) if name.casefold() == column.casefold()
    ]
    if not places:
        raise Trouble(
            f"{said}: has no column {column!r}; its columns are {', '.join(header[:12])}. Name one with --column."
        )
    return Given(header, places[0], rows)


def _unlike(names: Sequence[str]) -> list[str]:
    """Give a nameless column its number and the second of two alike its number too."""
    made: list[str] = []
    for number, name in enumerate(names, start=1):
        made.append(f"{name or 'column'}_{number}" if not name or name in made else name)
    return made


def solvent_keys() -> list[str]:
    """Return the solvents that log K is given for."""
    from washlore.knowledge.partition import SolventEquation
    from washlore.knowledge.rows import table

    return list(table(SolventEquation))


def structure_record(row: int, text: str, problem: str | None = None) -> dict[str, Any]:
    """Return sites and log K of one SMILES; ``problem`` says why there are none."""
    from washlore.knowledge import acidity, partition
    from washlore.knowledge.scope import no_log_k
    from washlore.knowledge.structure import StructureError, molecules

    record: dict[str, Any] = {"row": row, "smiles": text, "problem": problem, "sites": [], "log_k": {}}
    if problem is not None:
        return record
    try:
        if reason := no_log_k(molecules(text)):
            record["problem"] = f"Outside what is known here: {reason}."
            return record
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
    return {
        "value": round(value.value, 3),
        "sigma": round(value.sigma, 3),
        "form": value.form,
        "tier": value.tier,
        "source": value.source,
    }


def _write(handle: IO[str], records: _Records, style: str) -> None:
    (_write_json if style == "json" else _write_csv)(handle, records)


def _write_json(handle: IO[str], records: _Records) -> None:
    """Write one record after the other, so that a long list is never held whole."""
    from washlore.knowledge.rows import source_text

    handle.write(f'{{\n  "washlore": {dump({"version": version()}).replace(chr(10), chr(10) + "  ")},\n  "rows": [')
    for number, record in enumerate(records):
        handle.write(("," if number else "") + "\n" + textwrap.indent(dump(record), "    "))
    sources = dump({key: source_text(key) for key in sorted(records.sources)}).replace("\n", "\n  ")
    handle.write(f'\n  ],\n  "sources": {sources}\n}}\n')


def _write_csv(handle: IO[str], records: _Records) -> None:
    keys, given = solvent_keys(), records.given
    ours = ["problem", "sites", "log_k_of", *(f"{key}_{what}" for key in keys for what in ("log_k", "sigma"))]
    writer = csv.writer(handle, lineterminator="\n")
    writer.writerow([given.added("row"), *given.header, *map(given.added, ours)])
    for record in records:
        cells = [
            record["row"],
            *record["given"].values(),
            record["problem"] or "",
            " ; ".join(map(_site, record["sites"])),
            next((value["form"] for value in record["log_k"].values()), ""),
        ]
        for key in keys:
            value = record["log_k"].get(key)
            cells += [f"{value['value']:.2f}", f"{value['sigma']:.2f}"] if value else ["", ""]
        writer.writerow(cells)


def _site(site: dict[str, Any]) -> str:
    return (
        f"atom {site['atom']} {site['kind']} pKa {site['pka']:.2f} sigma {site['sigma']:.2f} {site['class']} "
        f"[{site['source']}]"
    )
