"""Files that commands read, beside plans and flasks: tables of a class, assignments, lists of molecules.

A file is one text: its first sign says what file it is, its second how it is written (``SHAPES``, ``ENCODINGS``), the rest is
what it holds. So a fuzzer that knows only texts can change each of these.
"""

from __future__ import annotations

import csv
import io
import random
import tempfile
import zipfile
from pathlib import Path

import inputs

SHAPES = {"c": "class.csv", "x": "class.xlsx", "a": "lab.toml", "m": "molecules.csv"}
ENCODINGS = {"8": "utf-8", "b": "utf-8-sig", "6": "utf-16", "l": "cp1252", "j": "shift_jis"}
HEADERS = (
    "student", "Full name", "First name", "Surname", "answer", "Response 1", "Response 2", "override", "Completed on", "step",
    "action", "solution", "volume", "repeats", "layer kept", "question", "id", "", "email",
)  # fmt: skip
CLASS = "student,answer\nA,washed with brine and dried over MgSO4\n"
MOST_ROWS = 6


def draw(rng: random.Random) -> str:
    """Return a file as one text."""
    shape = rng.choice(tuple(SHAPES))
    text = {"c": table, "x": table, "a": assignment, "m": molecules}[shape](rng)
    if rng.random() < 0.4:
        text = inputs.damaged(text, rng)
    return f"{shape}{rng.choice((*ENCODINGS, '8', '8'))}{text}"


def table(rng: random.Random) -> str:
    """Return the answers of a class as CSV."""
    head = rng.sample(HEADERS, rng.randint(1, 7))
    if rng.random() < 0.7:
        head = [*head, "student", "answer"]
    return _csv([head, *([_cell(rng) for _ in head] for _ in range(rng.randint(0, MOST_ROWS)))], rng)


def _cell(rng: random.Random) -> str:
    words = rng.choice((inputs.plan_text(rng), inputs.number(rng), rng.choice(inputs.NOISE), "wash", "1", "", "=1+1"))
    if rng.random() < 0.15:
        words = f"<ol><li>{words}</li><li>{rng.choice(inputs.VERBS)}<br>&nbsp;{rng.choice(inputs.ODD)}</ol>"
    return words


def molecules(rng: random.Random) -> str:
    """Return a list of molecules as CSV."""
    head = rng.sample(("smiles", "name", "row", "problem", "SMILES", "", "x"), rng.randint(1, 4))
    rows = [[rng.choice((inputs.smiles(rng), inputs.number(rng), "")) for _ in head] for _ in range(rng.randint(0, 4))]
    return _csv([head, *rows], rng)


def _csv(rows: list[list[str]], rng: random.Random) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=rng.choice(",,,;\t|"), lineterminator=rng.choice(("\n", "\r\n"))).writerows(rows)
    return out.getvalue()


def assignment(rng: random.Random) -> str:
    """Return an assignment file."""
    lines = [f'title = "{rng.choice(inputs.NOISE)}"'.replace("\n", " ")]
    if rng.random() < 0.4:
        lines.append(f"due = {rng.choice(('2031-03-14T17:00:00', '2031-03-14', '17:00:00', inputs.number(rng)))}")
    for _ in range(rng.choice((0, 1, 1, 2))):
        lines += [
            "[[question]]",
            f"mixture = {rng.choice(('ester', 'amide', 'amine', '', 'x.toml', '..', 'lab.toml'))!r}",
        ]
        if rng.random() < 0.5:
            lines.append(f"{rng.choice(('name', 'column', 'x'))} = {rng.choice(('answer', '', 'Q 1', '../x'))!r}")
    if rng.random() < 0.5:
        key = rng.choice(("out_of", "hazard", "loses_product", "floor", "rules", "impurity", "x"))
        lines += ["[rubric]", f"{key} = {rng.choice((inputs.number(rng), 'true', '{}', '[]', '{brine = 3}'))}"]
    return "\n".join(lines)


def written(given: str, folder: Path) -> Path | None:
    """Write a file into a folder and return its path; nothing where its first sign is none of ``SHAPES``."""
    shape, encoding, text = given[:1], ENCODINGS.get(given[1:2], "utf-8"), given[2:]
    if shape not in SHAPES:
        return None
    path = folder / SHAPES[shape]
    path.write_bytes(_workbook(text) if shape == "x" else text.encode(encoding, "replace"))
    return path


def _workbook(text: str) -> bytes:
    """Return a workbook: of the cells of a CSV text, or with the text as its sheet where it begins with a bracket."""
    import openpyxl
    from openpyxl.utils.exceptions import IllegalCharacterError

    book = openpyxl.Workbook()
    try:
        for line in csv.reader(io.StringIO("" if text.startswith("<") else text)):
            book.active.append([int(cell) if cell.isdecimal() else cell for cell in line])
    except (IllegalCharacterError, csv.Error, ValueError):
        text = f"<worksheet>{text}</worksheet>"
    out = io.BytesIO()
    book.save(out)
    if not text.startswith("<"):
        return out.getvalue()
    changed = io.BytesIO()
    with zipfile.ZipFile(out) as old, zipfile.ZipFile(changed, "w") as new:
        for item in old.namelist():
            new.writestr(item, text.encode("utf-8", "replace") if "sheet1.xml" in item else old.read(item))
    return changed.getvalue()


def tried(given: str, whole: bool) -> bool:
    """Read a file as its command does; ``whole``: carry the command out on it."""
    from click.testing import CliRunner

    from washlore.cli.classroom.assignment import read_assignment
    from washlore.cli.classroom.intake import take_in
    from washlore.cli.common import Trouble
    from washlore.cli.main import main as cli

    with tempfile.TemporaryDirectory() as name:
        path = written(given, Path(name))
        if path is None:
            return False
        answers = path
        if path.suffix == ".toml":
            answers = path.with_name("class.csv")
            answers.write_text(CLASS, encoding="utf-8")
        if path.name != "molecules.csv" and not whole:
            try:
                asked = read_assignment(str(path) if path.suffix == ".toml" else "ester")
                intake = take_in("it", str(answers), asked, [], {}, Path(name))
                return any(not answer.problem for answer in intake.answers)
            except ValueError as error:
                if not type(error).__module__.startswith("washlore."):
                    raise
                return False
            except Trouble as error:
                assert len(error.message) > 15, error.message
                return False
        words = ["properties", str(path)] if path.name == "molecules.csv" else [
            "review", str(path) if path.suffix == ".toml" else "ester", str(answers), "--out", str(path.with_name("out")),
        ]  # fmt: skip
        done = CliRunner().invoke(cli, words)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert "Traceback" not in done.output, done.output
    return done.exit_code in (0, 1)


DRAWS = {**inputs.DRAWS, "files": draw}
