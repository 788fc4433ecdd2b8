"""Rows of a CSV or XLSX file, one at a time, whatever its encoding, within bounds of size and memory."""

from __future__ import annotations

import codecs
import csv
import datetime
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from washlore.cli.classroom.cleaning import one_line
from washlore.cli.common import Trouble, need
from washlore.knowledge.records import dataclass

MOST_BYTES = 300_000_000
MOST_ROWS = 200_000
MOST_CELL = 20_000_000
MOST_COLUMNS = 500
# Of an XLSX file once unpacked: all of it, and what has to be held in memory at once.
MOST_UNPACKED, MOST_HELD = 600_000_000, 150_000_000
SAMPLE_BYTES = 60_000
# Difference of charset-normalizer's measure of mess that says nothing.
CHAOS_ALIKE = 0.01
# What no header of a table holds.
_CONTROL = re.compile(r"[\x01-\x08\x0e-\x1f]")
DELIMITERS = ",;\t|"
SINGLE_BYTE = ("cp1252", "mac_roman", "cp1250", "cp1251", "cp1253", "cp1254", "iso8859_2")
MULTI_BYTE = ("utf_16", "shift_jis", "gb18030", "big5", "euc_kr", "euc_jp")


@dataclass
class Row:
    """One row: its number in the file as a spreadsheet counts it, its cells, and why it cannot be used (or nothing)."""

    number: int
    cells: list[str]
    problem: str = ""


@dataclass
class Sheet:
    """A table from outside: its column names, its rows, and what is to be said about how it was read."""

    header: list[str]
    rows: Iterator[Row]
    notes: list[str]


def open_sheet(path: Path, said: str) -> Sheet:
    """Return the table in a file. Raises ``Trouble`` where it is none, or is larger than can be read."""
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            magic = file.read(8)
    except FileNotFoundError:
        raise Trouble(f"{said}: there is no such file; name a CSV or XLSX file, a folder, or - for input.") from None
    except IsADirectoryError:
        raise Trouble(f"{said}: is a folder; name a CSV or XLSX file in it.") from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or type(error).__name__
        raise Trouble(f"{said}: cannot be read ({why}); name a CSV or XLSX file that may be read.") from None
    if size > MOST_BYTES:
        raise Trouble(f"{said}: has {size / 1e6:,.0f} MB; up to {MOST_BYTES / 1e6:,.0f} MB can be read. Split it.")
    if magic.startswith(b"PK\x03\x04"):
        return _xlsx(path, said)
    if magic.startswith(b"\xd0\xcf\x11\xe0"):
        raise Trouble(f"{said}: is an old .xls file or has a password; save it as .xlsx or CSV without one.")
    if magic.startswith((b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"\x1f\x8b")):
        raise Trouble(f"{said}: is not a table; name a CSV or XLSX file.")
    return _csv(path, said)


# CSV --------------------------------------------------------------------------------------------------------------


def encoding_of(path: Path) -> tuple[str, str]:
    """Return the encoding of a text file, and what to say about it (nothing for UTF-8)."""
    with path.open("rb") as file:
        head = file.read(4)
        if head.startswith(codecs.BOM_UTF8):
            return "utf-8-sig", ""
        if head.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
            return "utf-32", "read as UTF-32"
        if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return "utf-16", "read as UTF-16"
        file.seek(0)
        decoder = codecs.getincrementaldecoder("utf-8")()
        sample = b""
        try:
            while block := file.read(1 << 20):
                sample = block
                decoder.decode(block)
            decoder.decode(b"", final=True)
            return "utf-8", ""
        except UnicodeDecodeError as error:
            start = max(0, error.start - SAMPLE_BYTES // 2)
            found = _guess(
                sample[start : start + SAMPLE_BYTES] if error.start < len(sample) else sample[-SAMPLE_BYTES:]
            )
    return found, f"is not UTF-8; read as {found.replace('_', '-')}"


def _guess(sample: bytes) -> str:
    if len(sample) > 1 and sample[1::2].count(0) > len(sample) // 4:
        return "utf-16-le"
    if len(sample) > 1 and sample[::2].count(0) > len(sample) // 4:
        return "utf-16-be"
    need("charset_normalizer", "class", "to tell the encoding of a file that is not UTF-8")
    from charset_normalizer import from_bytes

    # Asked about few encodings it answers fairly; of those that fit about as well the commonest is meant.
    found = from_bytes(sample, cp_isolation=[*SINGLE_BYTE, *MULTI_BYTE])
    best = found.best()
    if best is None or any(m.encoding == "cp1252" and m.chaos <= best.chaos + CHAOS_ALIKE for m in found):
        return "cp1252"
    return best.encoding


class _Lines:
    """Lines of a text file; one that is longer than any cell may be ends the reading."""

    def __init__(self, file: IO[str]) -> None:
        self.file = file

    def __iter__(self) -> Iterator[str]:
        while line := self.file.readline(MOST_CELL + 1):
            if len(line) > MOST_CELL:
                raise csv.Error(f"a line has more than {MOST_CELL:,} characters")
            yield line.replace("\0", "")


def _csv(path: Path, said: str) -> Sheet:
    encoding, note = encoding_of(path)
    file = path.open(encoding=encoding, errors="replace", newline="")
    lines = iter(_Lines(file))
    try:
        first = next(lines, "")
        skipped = 0
        while first and not first.strip(" \t\r\n,;"):
            first, skipped = next(lines, ""), skipped + 1
        delimiter = ""
        if first[:4].lower() == "sep=" and len(first.strip()) == 5:
            delimiter, first, skipped = first.strip()[4], next(lines, ""), skipped + 1
    except csv.Error as error:
        raise Trouble(f"{said}: is not CSV that can be read: {error}.") from None
    if not first.strip():
        raise Trouble(f"{said}: is empty; its first line must name the columns, such as: student, answer.")
    csv.field_size_limit(MOST_CELL)
    reader = csv.reader(_again(first, lines), delimiter=delimiter or _delimiter(first))
    try:
        header = [one_line(cell) for cell in next(reader)]
    except csv.Error as error:
        raise Trouble(f"{said}: is not CSV that can be read: {error}.") from None
    if _CONTROL.search(first):
        raise Trouble(f"{said}: is not a table; name a CSV or XLSX file.")
    return Sheet(header, _csv_rows(reader, file, said, len(header)), [f"{said} {note}."] if note else [])


def _again(first: str, rest: Iterator[str]) -> Iterator[str]:
    yield first
    yield from rest


def _delimiter(line: str) -> str:
    bare, quoted = [], False
    for character in line:
        quoted ^= character == '"'
        if not quoted:
            bare.append(character)
    return max(DELIMITERS, key=bare.count)


def _csv_rows(reader: Any, file: IO[str], said: str, width: int) -> Iterator[Row]:
    number = 1
    with file:
        while True:
            number += 1
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                yield Row(number, [], f"this row and all below it cannot be read as CSV: {error}")
                return
            if not any(cell.strip() for cell in cells):
                number -= not cells  # a wholly empty line is no row to a spreadsheet's CSV reader
                continue
            _within(number, said)
            extra = [c for c in cells[width:] if c.strip()]
            problem = (
                f"has {len(cells)} cells where the header names {width} columns; an answer with the delimiter in it has to "
                "stand in quotes"
                if extra
                else ""
            )
            yield Row(number, cells[:MOST_COLUMNS], problem)


def _within(number: int, said: str) -> None:
    if number > MOST_ROWS + 1:
        raise Trouble(f"{said}: has more than {MOST_ROWS:,} rows; split it and review the parts one by one.")


# XLSX -------------------------------------------------------------------------------------------------------------


def _xlsx(path: Path, said: str) -> Sheet:
    need("openpyxl", "class", "to read XLSX")
    need("defusedxml", "class", "to read XLSX safely")
    _unpacks_within_bounds(path, said)
    import openpyxl

    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        sheets = [sheet for sheet in book.worksheets if hasattr(sheet, "iter_rows")]
    except Exception as error:  # What a broken file raises is anything; the user can only save it anew.
        raise Trouble(
            f"{said}: cannot be read as XLSX ({type(error).__name__}); save it anew as .xlsx or CSV."
        ) from None
    notes = []
    for sheet in sheets:
        sheet.reset_dimensions()
        rows = _xlsx_rows(sheet, said)
        header = next(rows, None)
        if header is None:
            continue
        if len(sheets) > 1:
            notes.append(f"{said}: the sheet {one_line(sheet.title)!r} was read; it holds {len(sheets)}.")
        return Sheet([one_line(cell) for cell in header.cells], rows, notes)
    raise Trouble(f"{said}: holds no rows; its first row must name the columns, such as: student, answer.")


def _unpacks_within_bounds(path: Path, said: str) -> None:
    try:
        with zipfile.ZipFile(path) as archive:
            items = archive.infolist()
    except (zipfile.BadZipFile, OSError, ValueError):
        raise Trouble(f"{said}: is a damaged XLSX file; save it anew.") from None
    total = sum(item.file_size for item in items)
    held = sum(item.file_size for item in items if not item.filename.startswith("xl/worksheets/"))
    if len(items) > 5_000 or total > MOST_UNPACKED or held > MOST_HELD:
        raise Trouble(
            f"{said}: would unpack to {total / 1e6:,.0f} MB, more than a class can fill; save the sheet alone as CSV."
        )
    if not any(item.filename.startswith("xl/") for item in items):
        raise Trouble(f"{said}: is a ZIP archive and no XLSX file; unpack it and name the folder.")


def _xlsx_rows(sheet: Any, said: str) -> Iterator[Row]:
    rows = sheet.iter_rows(values_only=True)
    number = 0
    while True:
        number += 1
        try:
            values = next(rows, None)
        except Exception as error:  # A damaged sheet raises anything, as above.
            yield Row(number, [], f"this row and all below it cannot be read ({type(error).__name__})")
            return
        if values is None:
            return
        cells = [_cell(value) for value in values[:MOST_COLUMNS]]
        if any(cells):
            _within(number, said)
            yield Row(number, cells)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, datetime.datetime | datetime.date):
        return value.isoformat(sep=" ") if isinstance(value, datetime.datetime) else value.isoformat()
    return str(value)


def spooled(stream: IO[bytes], folder: Path, said: str) -> Path:
    """Write what a stream holds to a file in ``folder`` and return it; raise ``Trouble`` past the largest size."""
    path = folder / "input"
    size = 0
    with path.open("wb") as file:
        while block := stream.read(1 << 20):
            size += len(block)
            if size > MOST_BYTES:
                raise Trouble(f"{said}: has more than {MOST_BYTES / 1e6:,.0f} MB. Split it.")
            file.write(block)
    return path


def as_csv(header: list[str], rows: list[list[str]]) -> str:
    """Return rows as CSV text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()
