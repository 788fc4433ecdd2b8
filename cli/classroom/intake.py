"""Answers from a CSV or XLSX file, a table with one row a step, a folder of text files, or standard input."""

from __future__ import annotations

import datetime
import itertools
import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from washlore.cli.classroom.assignment import Assignment
from washlore.cli.classroom.cleaning import one_line, plain_text
from washlore.cli.classroom.columns import Columns, find_columns
from washlore.cli.classroom.spreadsheets import MOST_ROWS, Row, as_csv, encoding_of, open_sheet, spooled
from washlore.cli.common import Trouble
from washlore.knowledge.records import dataclass, replace

# A plan that can be read has up to 30,000 characters; tags may make a cell longer.
MOST_CHARACTERS, MOST_RAW = 30_000, 400_000
MOST_NAME = 200
SAMPLE_ROWS = 60
NO_ANSWER = "no answer was given"
SUFFIXES = {
    ".txt": "text",
    ".md": "text",
    ".text": "text",
    ".html": "text",
    ".htm": "text",
    ".csv": "csv",
    ".toml": "toml",
}


@dataclass(frozen=True)
class Answer:
    """One answer to one question. ``row`` is the row of the file (or the number of the file in the folder).

    ``question`` counts from 0. ``kind`` is text, csv or toml. ``problem`` says why it cannot be read; it has no text then.
    ``override`` is what stands in the override column.
    """

    row: int
    student: str
    question: int
    text: str
    kind: str = "text"
    override: str = ""
    late: bool = False
    problem: str = ""


@dataclass
class Intake:
    """Answers in order, and what is to be said about where they were found."""

    answers: Iterator[Answer]
    notes: list[str]


def take_in(
    said: str, path: str, assignment: Assignment, named_answers: Sequence[str], named: Mapping[str, str], scratch: Path
) -> Intake:
    """Return the answers in a file, a folder or standard input (``-``); ``scratch`` is a folder for what is spooled.

    ``said`` is what the user calls the place. ``named_answers`` are columns in the order of the questions. Raises
    ``Trouble`` where nothing can be read.
    """
    if path != "-" and Path(path).is_dir():
        return _folder(Path(path), assignment)
    said = "standard input" if path == "-" else said
    place = spooled(sys.stdin.buffer, scratch, said) if path == "-" else Path(path)
    sheet = open_sheet(place, said)
    if len(named_answers) > len(assignment.questions):
        raise Trouble(
            f"--answer: {len(named_answers)} columns are named and the assignment has {len(assignment.questions)} "
            "question(s); name one column for each."
        )
    wanted = [q.column for q in assignment.questions]
    wanted[: len(named_answers)] = named_answers
    head = list(itertools.islice(sheet.rows, SAMPLE_ROWS))
    columns = find_columns(
        sheet.header, [r.cells for r in head if not r.problem], wanted, {**assignment.columns, **named}, said
    )
    rows = itertools.chain(head, sheet.rows)
    answers = _by_step(rows, sheet.header, columns, assignment) if columns.steps else _by_row(rows, columns, assignment)
    return Intake(answers, [*sheet.notes, *columns.notes])


def _by_row(rows: Iterator[Row], columns: Columns, assignment: Assignment) -> Iterator[Answer]:
    for row in rows:
        student = _student(row, columns)
        override = _cell(row.cells, columns.override).strip()
        late = _late(_cell(row.cells, columns.handed_in), assignment.due)
        for question, place in enumerate(columns.answers):
            if row.problem:
                yield Answer(row.number, student, question, "", problem=row.problem)
                continue
            answer = _read(Answer(row.number, student, question, _cell(row.cells, place), late=late))
            # A row with several questions has no one mark to override.
            yield replace(answer, override=override if len(columns.answers) == 1 else "")


def _cell(cells: Sequence[str], place: int | None) -> str:
    return cells[place] if place is not None and place < len(cells) else ""


def _student(row: Row, columns: Columns) -> str:
    name = one_line(" ".join(_cell(row.cells, place)[:MOST_NAME] for place in columns.student))
    return name or f"row {row.number}"


def _read(answer: Answer) -> Answer:
    """Return an answer with its cell as plain text, or with the reason why it is none."""
    if len(answer.text) > MOST_RAW:
        return replace(answer, text="", problem=_too_long(len(answer.text)))
    text = plain_text(answer.text)
    if len(text) > MOST_CHARACTERS:
        return replace(answer, text="", problem=_too_long(len(text)))
    return replace(answer, text=text, problem="" if text else NO_ANSWER)


def _too_long(count: int) -> str:
    return f"the answer has {count:,} characters; a plan of up to {MOST_CHARACTERS:,} can be read"


def _late(written: str, due: datetime.datetime | None) -> bool:
    if due is None or not written.strip():
        return False
    import pandas as pd

    moment = pd.to_datetime(written.strip(), errors="coerce", dayfirst=bool(re.match(r"\d{1,2}\.\d", written.strip())))
    return not pd.isna(moment) and moment.tz_localize(None) > due


def _by_step(rows: Iterator[Row], header: Sequence[str], columns: Columns, assignment: Assignment) -> Iterator[Answer]:
    """Gather the rows of each student (and question), which may stand anywhere, in the order in which they first come."""
    skipped = {*columns.student, columns.question, columns.override, columns.handed_in}
    kept = [n for n in range(len(header)) if n not in skipped]
    names = {q.name.casefold(): n for n, q in enumerate(assignment.questions)}
    if len(names) > 1 and columns.question is None:
        raise Trouble("The table has one row a step and the assignment several questions; add a column question.")
    gathered: dict[tuple[str, int], tuple[Answer, list[list[str]]]] = {}
    for row in rows:
        student = _student(row, columns)
        asked = one_line(_cell(row.cells, columns.question)).casefold()
        question = names.get(asked, 0 if len(names) == 1 else -1)
        if asked.isdigit() and 0 < int(asked) <= len(names):
            question = int(asked) - 1
        if row.problem or question < 0:
            said = row.problem or f"the question {asked[:40]!r} is none of the assignment's"
            yield Answer(row.number, student, max(question, 0), "", problem=said)
            continue
        first, steps = gathered.setdefault((student, question), (Answer(row.number, student, question, ""), []))
        steps.append([one_line(_cell(row.cells, n)) for n in kept])
        override = _cell(row.cells, columns.override).strip()
        late = _late(_cell(row.cells, columns.handed_in), assignment.due)
        if override or late:
            gathered[student, question] = (
                replace(first, override=override or first.override, late=late or first.late),
                steps,
            )
    for first, steps in gathered.values():
        text = as_csv([header[n] for n in kept], steps)
        if len(text) > MOST_CHARACTERS:
            yield replace(first, problem=_too_long(len(text)))
        else:
            yield replace(first, text=text, kind="csv")


def _folder(folder: Path, assignment: Assignment) -> Intake:
    """Return the answers of a folder: one file a student, in a folder for each question where there are several."""
    names = [q.name for q in assignment.questions]
    places = [(0, folder)] if len(names) == 1 else [(n, folder / name) for n, name in enumerate(names)]
    lacking = [place.name for _, place in places if not place.is_dir()]
    if lacking:
        raise Trouble(
            f"{folder}: has no folder {lacking[0]!r}; with several questions the answers to each are in a folder of its name."
        )
    try:
        files = [(q, path) for q, place in places for path in sorted(place.iterdir()) if not path.name.startswith(".")]
    except OSError as error:
        raise Trouble(f"{folder}: cannot be read ({error.strerror}); ask for the right to read it.") from None
    files = [(q, path) for q, path in files if not path.is_dir()]
    if not files:
        raise Trouble(f"{folder}: holds no files; put one text file a student into it.")
    if len(files) > MOST_ROWS:
        raise Trouble(f"{folder}: holds more than {MOST_ROWS:,} files; review the parts one by one.")
    students = {name: n for n, name in enumerate(sorted({path.stem for _, path in files}), start=1)}
    note = f"{folder}: {len(files)} file{'s' if len(files) > 1 else ''}, one a student, who is called as the file is."
    return Intake((_file(q, path, students[path.stem]) for q, path in files), [note])


def _file(question: int, path: Path, number: int) -> Answer:
    answer = Answer(number, one_line(path.stem)[:MOST_NAME] or f"file {number}", question, "")
    kind = SUFFIXES.get(path.suffix.lower())
    if path.is_symlink():
        return replace(answer, problem=f"{one_line(path.name)} is a link to another place and is not followed")
    if kind is None:
        return replace(
            answer, problem=f"{one_line(path.name)} is no text file; .txt, .md, .html, .csv and .toml can be read"
        )
    try:
        size = path.stat().st_size
        if size > MOST_RAW:
            return replace(
                answer,
                problem=f"the file has {size:,} bytes; a plan of up to {MOST_CHARACTERS:,} characters can be read",
            )
        text = path.read_text(encoding=encoding_of(path)[0], errors="replace")
    except OSError as error:
        return replace(answer, problem=f"the file cannot be read ({type(error).__name__})")
    if kind == "text":
        return _read(replace(answer, text=text))
    if len(text) > MOST_CHARACTERS:
        return replace(answer, problem=_too_long(len(text)))
    return replace(answer, text=text, kind=kind, problem="" if text.strip() else NO_ANSWER)
