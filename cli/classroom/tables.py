"""The table of results as CSV, XLSX, JSON Lines or Parquet: written in pieces, moved into place when whole."""

from __future__ import annotations

import datetime
import json
import os
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from washlore.cli.classroom.cleaning import clipped, no_formula
from washlore.cli.classroom.results import COLUMNS, Result, as_row
from washlore.cli.common import Trouble, need, visible

if TYPE_CHECKING:
    import pandas as pd

STYLES = ("csv", "xlsx", "jsonl", "parquet")
PIECE = 500
MOST_IN_CELL = 32_000
WIDTHS = {"student": 24, "needs_a_look": 40, "how_the_mark_came_about": 60, "plan_read": 60, "feedback": 60}


class Table:
    """A file of results being written. Use it as a context; only a whole one takes its place."""

    style = ""

    def __init__(self, folder: Path) -> None:
        self.path = folder / f"results.{self.style}"
        handle, self.temporary = tempfile.mkstemp(prefix=".results-", suffix=f".{self.style}", dir=folder)
        os.close(handle)
        self.open()

    def open(self) -> None:
        """Begin the file."""

    def write(self, frame: pd.DataFrame, results: Sequence[Result]) -> None:
        """Write a piece: the rows as a frame, and the results they come from."""
        raise NotImplementedError

    def close(self) -> None:
        """End the file."""

    def finish(self) -> None:
        """End the file and move it into place."""
        self.close()
        os.chmod(self.temporary, 0o644)
        try:
            os.replace(self.temporary, self.path)
        except OSError as error:
            raise Trouble(
                f"{self.path}: cannot be written ({error.strerror}); is it open in another program?"
            ) from None

    def drop(self) -> None:
        """Leave nothing behind."""
        with suppress(Exception):
            self.close()
        with suppress(OSError):
            os.unlink(self.temporary)


class Csv(Table):
    """CSV in UTF-8 with the mark that makes spreadsheets read it as such; formulas are made plain text."""

    style = "csv"

    def open(self) -> None:
        """Begin the file."""
        self.file = open(self.temporary, "w", encoding="utf-8-sig", newline="")  # noqa: SIM115
        self.begun = False

    def write(self, frame: pd.DataFrame, results: Sequence[Result]) -> None:
        """Write a piece."""
        frame.map(no_formula).to_csv(self.file, index=False, header=not self.begun, lineterminator="\n")
        self.begun = True

    def close(self) -> None:
        """End the file."""
        self.file.close()


class Xlsx(Table):
    """XLSX, row by row, every text as text."""

    style = "xlsx"

    def open(self) -> None:
        """Begin the file."""
        need("xlsxwriter", "class", "to write XLSX")
        import xlsxwriter

        self.book = xlsxwriter.Workbook(
            self.temporary,
            {
                "constant_memory": True,
                "strings_to_formulas": False,
                "strings_to_urls": False,
                "strings_to_numbers": False,
                "nan_inf_to_errors": True,
            },
        )
        self.book.set_properties({"created": datetime.datetime(2000, 1, 1), "comments": "Marks are proposals."})
        self.sheet = self.book.add_worksheet("results")
        bold = self.book.add_format({"bold": True, "bottom": 1})
        self.sheet.freeze_panes(1, 2)
        for place, name in enumerate(COLUMNS):
            self.sheet.set_column(place, place, WIDTHS.get(name, 14))
            self.sheet.write_string(0, place, name, bold)
        self.line = 1

    def write(self, frame: pd.DataFrame, results: Sequence[Result]) -> None:
        """Write a piece."""
        import pandas as pd

        for values in frame.itertuples(index=False):
            for place, value in enumerate(values):
                if isinstance(value, str):
                    self.sheet.write_string(self.line, place, _cell(value))
                elif isinstance(value, bool):
                    self.sheet.write_string(self.line, place, "yes" if value else "")
                elif not pd.isna(value):
                    self.sheet.write_number(self.line, place, float(value))
            self.line += 1

    def close(self) -> None:
        """End the file."""
        self.book.close()


def _cell(value: str) -> str:
    value = visible(value).replace("\r\n", "\n").replace("\r", "\n")
    made = str(no_formula(value))
    return made if len(made) <= MOST_IN_CELL else clipped(made, MOST_IN_CELL)


class JsonLines(Table):
    """One JSON object a line: the row, the findings as ``check`` gives them, and the account of the mark."""

    style = "jsonl"

    def open(self) -> None:
        """Begin the file."""
        self.file = open(self.temporary, "w", encoding="ascii", newline="\n")  # noqa: SIM115

    def write(self, frame: pd.DataFrame, results: Sequence[Result]) -> None:
        """Write a piece."""
        for result in results:
            self.file.write(json.dumps(as_object(result), ensure_ascii=True, allow_nan=False) + "\n")

    def close(self) -> None:
        """End the file."""
        self.file.close()


def as_object(result: Result) -> dict[str, Any]:
    """Return a result as the object of a line; ``cli/schemas/review.schema.json`` describes it."""
    record = result.record
    return {
        **as_row(result),
        "look": result.look,
        "account": [
            {"points": line.points, "of": line.of, "what": line.what, "why": line.why} for line in result.proposed.lines
        ],
        "findings": record.get("findings", []),
        "steps": record.get("plan_read", []),
        "achieves": record.get("achieves", []),
        "left": record.get("left", []),
        "unread": record.get("unread", []),
    }


class Parquet(Table):
    """Parquet, typed, unchanged text."""

    style = "parquet"

    def open(self) -> None:
        """Begin the file."""
        need("pyarrow", "class", "to write Parquet")
        import pyarrow as pa
        import pyarrow.parquet as pq

        types = {"text": pa.string(), "number": pa.float64(), "whole": pa.int64(), "yes or no": pa.bool_()}
        self.schema = pa.schema([(name, types[kind]) for name, kind in COLUMNS.items()])
        self.writer = pq.ParquetWriter(self.temporary, self.schema)

    def write(self, frame: pd.DataFrame, results: Sequence[Result]) -> None:
        """Write a piece."""
        import pyarrow as pa

        self.writer.write_table(pa.Table.from_pandas(frame, schema=self.schema, preserve_index=False))

    def close(self) -> None:
        """End the file."""
        self.writer.close()


_KINDS = {kind.style: kind for kind in (Csv, Xlsx, JsonLines, Parquet)}
_TYPES = {"text": "string", "number": "float64", "whole": "Int64", "yes or no": "bool"}


class Tables:
    """All tables that are asked for, written side by side; a context that leaves whole files or none."""

    def __init__(self, folder: Path, styles: Sequence[str]) -> None:
        self.open: list[Table] = []
        self.held: list[Result] = []
        try:
            for style in styles:
                self.open.append(_KINDS[style](folder))
        except BaseException:
            self._drop()
            raise

    def __enter__(self) -> Tables:
        return self

    def add(self, result: Result) -> None:
        """Write one result, sooner or later."""
        self.held.append(result)
        if len(self.held) >= PIECE:
            self._flush()

    def _flush(self) -> None:
        if not self.open:
            self.held.clear()
            return
        frame = frame_of(self.held)
        for table in self.open:
            table.write(frame, self.held)
        self.held.clear()

    def __exit__(self, kind: Any, error: Any, trace: Any) -> None:
        if kind is not None:
            self._drop()
            return
        try:
            self._flush()
            for table in self.open:
                table.finish()
        except BaseException:
            self._drop()
            raise

    def _drop(self) -> None:
        for table in self.open:
            table.drop()


def frame_of(results: Sequence[Result]) -> pd.DataFrame:
    """Return results as a frame with the columns of ``COLUMNS`` in their types."""
    import pandas as pd

    frame = pd.DataFrame([as_row(result) for result in results], columns=list(COLUMNS))
    return frame.astype({name: _TYPES[kind] for name, kind in COLUMNS.items()})
