"""A plan given as a table, CSV or TOML: each row is read as a phrase."""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Mapping

from washlore.knowledge.records import replace
from washlore.rules.proposal import Proposal, ReadStep, Unread
from washlore.rules.toml_text import parsed

from .characters import normalise
from .errors import MAX_ROWS, ReadingError
from .lexicon import lex
from .order import settle_rows
from .portion import portion
from .walk import walk

_COLUMNS: dict[str, tuple[str, ...]] = {
    "step": ("step", "action", "operation", "what", "do", "schritt"),
    "solution": (
        "solution",
        "with",
        "reagent",
        "wash",
        "solvent",
        "solution or solvent",
        "material",
        "lösung",
        "liquid",
    ),
    "strength": ("strength", "concentration", "conc", "molarity", "grade"),
    "volume": ("volume", "volume ml", "volume_ml", "vol", "amount", "ml", "volume (ml)", "how much", "quantity"),
    "repeats": ("repeats", "times", "repeat", "n", "number", "count", "x"),
    "kept": ("layer kept", "layer_kept", "kept", "layer", "keep", "phase kept", "phase_kept", "phase"),
    "desiccant": ("desiccant", "drying agent", "drying_agent"),
    "ph": ("ph", "target ph", "target_ph"),
}


_COLUMN_OF = {name: column for column, names in _COLUMNS.items() for name in names}


def _csv_rows(text: str) -> list[tuple[int, int, dict[str, str]]]:
    lines = text.splitlines(keepends=True)
    header_line = next((k for k, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")), None)
    if header_line is None:
        raise ReadingError("The table is empty; begin with a header: step,solution,strength,volume,repeats,layer kept.")
    sign = max(",;\t|", key=lines[header_line].count)
    header = [cell.strip().lower().lstrip("\ufeff") for cell in next(csv.reader([lines[header_line]], delimiter=sign))]
    columns = [_COLUMN_OF.get(cell, _COLUMN_OF.get(cell.replace("_", " "), "")) for cell in header]
    if "what" in header and columns.count("step") > 1 and "solution" not in columns:
        columns[header.index("what")] = "solution"  # operation | what | how much
    if "step" not in columns and "solution" not in columns:
        raise ReadingError(
            f"The header of the table is {', '.join(header)[:200]!r}; it needs a column step or solution "
            "(and may have strength, volume, repeats, layer kept)."
        )
    rows = []
    place = sum(len(line) for line in lines[: header_line + 1])
    numbering = columns.count("step") == 1
    for line in lines[header_line + 1 :]:
        start, place = place, place + len(line)
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            cells = next(csv.reader(io.StringIO(line), delimiter=sign))
        except csv.Error as error:
            raise ReadingError(
                f"The row {line.strip()[:80]!r} cannot be read as CSV: {error}; put cells with signs in quotes."
            ) from None
        values: dict[str, str] = {}
        for column, cell in zip(columns, cells, strict=False):
            if column and cell.strip():
                values[column] = cell.strip()
        extra = [c.strip() for c in cells[len(columns) :] if c.strip()]
        if extra:
            values["extra"] = ", ".join(extra)
        if numbering and values.get("step", "").rstrip(".)").isdigit():
            values.pop("step")
        rows.append((start + len(line) - len(line.lstrip()), start + len(line.rstrip()), values))
    return rows


_TOML_ITEM = re.compile(r"^[ \t]*\[\[[^\]\n]{1,80}\]\][^\n]*$", re.MULTILINE)


def _toml_rows(text: str) -> list[tuple[int, int, dict[str, str]]]:
    try:
        data = parsed(text)
    except tomllib.TOMLDecodeError as error:
        raise ReadingError(f"The plan cannot be read as TOML: {error}. Write each step under [[step]].") from None
    if "step" not in data and ("product" in data or "others" in data):
        raise ReadingError(
            "The TOML describes a mixture ([product], [[others]]) and no plan. The mixture comes first and the plan after it, as "
            "in: washlore check flask.toml plan.txt; a plan in TOML has its steps under [[step]]."
        )
    arrays = [v for v in data.values() if isinstance(v, list) and v and all(isinstance(x, dict) for x in v)]
    if not arrays:
        raise ReadingError(
            'The TOML holds no array of tables; write each step as [[step]] with step = "wash", solution = "brine".'
        )
    steps = arrays[0]
    marks = [m.start() for m in _TOML_ITEM.finditer(text)]
    exact = len(marks) == sum(len(a) for a in arrays)
    rows = []
    for k, step in enumerate(steps):
        start = marks[k] if exact else 0
        end = (marks[k + 1] if k + 1 < len(marks) else len(text)) if exact else len(text)
        values: dict[str, str] = {}
        for name, value in step.items():
            column = _COLUMN_OF.get(name.lower(), _COLUMN_OF.get(name.lower().replace("_", " "), ""))
            if isinstance(value, (list, dict)) or not column:
                values["extra"] = f"{values.get('extra', '')} {name} = {value}".strip()
            elif str(value).strip():
                values[column] = str(value).strip()
        rows.append((start, start + len(text[start:end].rstrip()), values))
    return rows


def _said_alone(words: str, measured: bool) -> tuple[str, str]:
    """Return what is done and with what for a cell that names both or a drying agent: "evaporate", "MgSO4"."""
    known = lex(normalise(words)[0])
    if any(t.has("verb") and not t.has("anhydrous") for t in known):
        return words, ""
    if not measured and any(t.kinds.get("desiccant") in ("mgso4", "na2so4", "caso4", "cacl2") for t in known):
        return "dry", words
    return "", words


def _read_row(text: str, start: int, end: int, cells: Mapping[str, str]) -> tuple[list[ReadStep], list[Unread]]:
    """Read one row by writing it as a phrase; every step of it has the place of the row."""
    words = text[start:end]
    step = cells.get("step", "")
    solution = cells.get("solution", "")
    agent = cells.get("desiccant", "")
    if not (step or solution or agent):
        return [], [Unread(start, end, words, "the row says neither what is done nor with what")]
    volume = cells.get("volume", "")
    strength = cells.get("strength", "")
    if solution and not step and not agent:
        step, solution = _said_alone(solution, bool(strength or any(c.isdigit() for c in volume)))
    vague = [volume] if volume and not any(c.isdigit() for c in volume) else []
    if volume and volume.replace(",", ".").replace(".", "", 1).isdigit():
        volume = f"{volume} mL"
    repeats = cells.get("repeats", "").strip().lower()
    if repeats.replace("x", "").strip().isdigit():
        repeats = f"{repeats.replace('x', '').strip()} times"
    if strength and strength.replace(".", "", 1).isdigit():
        strength += " M"
    size = f"({repeats})" if repeats else ""
    if volume:
        size = f"({volume})" + size
    doing = step or ("dry" if agent else "wash")
    phrase = doing
    if solution or agent:
        known = lex(normalise(doing)[0])
        drying = any(t.kinds.get("verb") == "dry" for t in known)
        phrase = f"{doing} {'over' if drying else 'with'} {strength} {solution or agent} {size}"
    elif size:
        phrase = f"{doing} {size}"
    if ph := cells.get("ph", ""):
        phrase = f"{doing} to pH {ph} " + (f"with {strength} {solution}" if solution else "")
    read = portion(walk(phrase))
    notes = [f"{v}: no volume counted" for v in vague if not any(s.relative_volume for s in read.steps)]
    kept = cells.get("kept", "").lower()
    phase = next((p for p in ("organic", "aqueous") if kept.startswith(p[:2])), "")
    solvent_kept = (
        [t for t in lex(normalise(kept)[0]) if t.has("solvent") and not t.has("solution")] if kept and not phase else []
    )
    phase = "organic" if solvent_kept else phase
    layer = next(
        (
            name
            for name, names in (("top", ("top", "upper")), ("bottom", ("bottom", "lower")))
            if kept.startswith(names)
        ),
        "",
    )
    steps = []
    for got in read.steps:
        assumed = [
            n
            for n in got.assumed
            if not n.startswith("read as a") and not ((phase or layer) and n.endswith("layer kept"))
        ]
        steps.append(
            replace(
                got,
                start=start,
                end=end,
                words=words,
                phase_kept=phase or got.phase_kept,
                layer_kept=layer or got.layer_kept,
                assumed=tuple(assumed + notes),
            )
        )
    unread = [Unread(start, end, words, u.reason) for u in read.unread]
    if kept and not (phase or layer) and kept not in ("-", "none", "n/a"):
        unread.append(
            Unread(
                start, end, words, f"the layer kept, {kept[:40]!r}, is not known; organic, aqueous, top and bottom are"
            )
        )
    if extra := cells.get("extra"):
        unread.append(Unread(start, end, words, f"not read: {extra[:80]}"))
    return steps, unread


def has_header(text: str) -> bool:
    """Tell whether a text begins with the header of a table in CSV: step, reagent, volume, ..."""
    return bool(_header_sign(text.splitlines()))


def _header_sign(lines: list[str]) -> str:
    """Return the sign between the columns that the first line names, comma or semicolon; empty where it is no header."""
    first = next((line for line in lines if line.strip()), "")
    for sign in (",", ";"):
        cells = [cell.strip().strip('"').lower() for cell in first.split(sign)]
        if len(cells) > 2 and len(lines) > 2 and sum(cell in _COLUMN_OF for cell in cells) >= max(3, 0.7 * len(cells)):
            return sign
    return ""


_RULER = re.compile(r"^[\s|+:=-]+$")


def table_in_text(text: str) -> Proposal | None:
    """Return the plan in a text that is drawn as a table with strokes or tabs, or ``None`` where it is none."""
    lines = text.splitlines(keepends=True)
    if sign := _header_sign(lines):
        filled = [line for line in lines if line.strip()]
        if sum(line.count(sign) >= 2 for line in filled) < 0.8 * len(filled):
            return None
        try:
            read = read_rows(text, "csv")
        except ReadingError:
            return None
        return read if read.steps else None
    ruled = [line for line in lines if line.count("|") >= 2 or line.count("\t") >= 2]
    written = sum(bool(line.strip()) and not _RULER.match(line) for line in lines)
    if len(ruled) < 3 or len(ruled) < 0.8 * written:
        return None
    drawn = []
    for line in lines:
        body = line.rstrip()
        if body.strip().startswith("|"):
            at = body.index("|")
            body = body[:at] + " " + body[at + 1 :]
            body = body[:-1] + " " if body.endswith("|") else body
        if body.strip() and _RULER.match(body):
            body = "#" + body[1:]
        drawn.append(body + line[len(line.rstrip()) :])
    try:
        read = read_rows("".join(drawn), "csv")
    except ReadingError:
        return None
    return replace(read, text=text) if read.steps else None


def read_rows(text: str, kind: str) -> Proposal:
    """Return the plan in a table of the kind ``csv`` or ``toml``; raise ``ReadingError`` where it cannot be parsed."""
    if kind not in ("csv", "toml"):
        raise ReadingError(f"A table of the kind {kind!r} cannot be read; csv or toml can.")
    rows = _csv_rows(text) if kind == "csv" else _toml_rows(text)
    if not rows:
        raise ReadingError(
            "The table holds no step; write one row for each, such as: wash, NaHCO3, sat., 20 mL, 2, organic."
        )
    if len(rows) > MAX_ROWS:
        raise ReadingError(f"The table has {len(rows):,} rows; a plan of up to {MAX_ROWS} steps can be read.")
    steps: list[ReadStep] = []
    unread: list[Unread] = []
    for start, end, cells in rows:
        got, missed = _read_row(text, start, end, cells)
        steps += got
        unread += missed
    return Proposal(text, settle_rows(steps), tuple(unread))
