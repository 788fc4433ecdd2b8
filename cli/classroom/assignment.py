"""An assignment file: the mixtures, which column answers which, the rubric, and when it was due."""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from washlore.cli.common import Trouble, examples, find
from washlore.knowledge.records import dataclass, field
from washlore.rules.toml_text import parsed

if TYPE_CHECKING:
    from washlore.rules.marking import Rubric
    from washlore.rules.mixture import Mixture

MOST_BYTES, MOST_QUESTIONS = 1_000_000, 20
COLUMNS = ("student", "override", "handed_in")
WORKS = 'write [[question]] with mixture = "ester" (a mixture that comes with washlore, or a file) for each question'


@dataclass(frozen=True)
class Question:
    """One question: what it is called, the flask it is about, the column with the answers (empty: to be found)."""

    name: str
    mixture: Mixture
    column: str
    rubric: Rubric


@dataclass(frozen=True)
class Assignment:
    """Questions for one class. ``columns`` names columns by what they hold (student, override, handed_in)."""

    title: str
    questions: tuple[Question, ...]
    columns: Mapping[str, str] = field(default_factory=dict)
    due: datetime.datetime | None = None


def read_assignment(name: str) -> Assignment:
    """Return the assignment of a file, or one question on a mixture file or a mixture that comes with washlore.

    Raises ``Trouble`` naming the place, and ``MixtureError`` or ``RubricError`` from what it holds.
    """
    path = find(name)
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise Trouble(f"{name}: is longer than an assignment can be; name a TOML file of less than 1 MB.")
        data = parsed(raw.decode("utf-8-sig"))
    except FileNotFoundError:
        raise Trouble(
            f"{name}: there is no such file; name an assignment, a mixture file or one of the mixtures that come with "
            f"washlore ({', '.join(examples())})."
        ) from None
    except IsADirectoryError:
        raise Trouble(f"{name}: is a folder; name the assignment first, then the plans.") from None
    except UnicodeDecodeError:
        raise Trouble(f"{name}: is not text in UTF-8; the assignment comes first, then the plans.") from None
    except OSError as error:
        raise Trouble(f"{name}: cannot be read ({error.strerror}); name a file that may be read.") from None
    except tomllib.TOMLDecodeError as error:
        raise Trouble(f"{name}: is not TOML: {error}. The assignment comes first, then the plans.") from None
    return from_table(data, path, name)


def from_table(data: Mapping[str, Any], path: Path, said: str) -> Assignment:
    """Return the assignment that a parsed TOML table describes; file names in it are relative to ``path``."""
    from washlore.rules.marking import Rubric, rubric_from_table
    from washlore.rules.mixture import MixtureError
    from washlore.rules.mixture_file import mixture_from_table

    rubric = rubric_from_table(data["rubric"]) if isinstance(data.get("rubric"), dict) else Rubric()
    if "product" in data:
        rest = {key: value for key, value in data.items() if key != "rubric"}
        try:
            mixture = mixture_from_table(rest, default_title=path.stem)
        except MixtureError as error:
            raise MixtureError(f"{said}: {error}") from None
        return _checked(Assignment(mixture.title, (Question("", mixture, "", rubric),)), said)
    _only(data, said, ("title", "due", "mixture", "column", "columns", "rubric", "question"))
    entries = data.get("question", [])
    if "mixture" in data and not entries:
        entries = [{"mixture": data["mixture"], "column": data.get("column", "")}]
    if not isinstance(entries, list) or not entries or not all(isinstance(entry, dict) for entry in entries):
        raise Trouble(f"{said}: holds no question; {WORKS}.")
    if len(entries) > MOST_QUESTIONS:
        raise Trouble(f"{said}: holds {len(entries)} questions; up to {MOST_QUESTIONS} can be reviewed in one go.")
    questions = []
    for number, entry in enumerate(entries, start=1):
        where = f"{said}: question {number}"
        _only(entry, where, ("name", "mixture", "column", "rubric"))
        own = entry.get("rubric")
        if own is not None and not isinstance(own, dict):
            raise Trouble(f"{where}: rubric must be a table; write [question.rubric].")
        questions.append(
            Question(
                _text(entry, "name", where) or (f"Question {number}" if len(entries) > 1 else ""),
                _mixture(entry.get("mixture"), path, where),
                _text(entry, "column", where),
                rubric_from_table(own, f"[question.rubric] of question {number}") if own is not None else rubric,
            )
        )
    names = [q.name for q in questions]
    if len(set(names)) < len(names):
        raise Trouble(f"{said}: two questions are called alike; give each a name of its own.")
    columns = data.get("columns", {})
    if not isinstance(columns, dict):
        raise Trouble(f'{said}: columns must be a table; write [columns] and student = "Name".')
    _only(columns, f"{said}: [columns]", COLUMNS)
    named = {key: _text(columns, key, f"{said}: [columns]") for key in columns}
    title = _text(data, "title", said) or questions[0].mixture.title
    return _checked(Assignment(title, tuple(questions), named, _due(data.get("due"), said)), said)


def _mixture(value: Any, path: Path, where: str) -> Mixture:
    from washlore.rules.mixture import MixtureError
    from washlore.rules.mixture_file import mixture_from_table, read_mixture

    if isinstance(value, str) and value:
        beside = path.parent / value
        try:
            there = beside.is_file()
        except OSError:  # longer than the name of a file can be
            there = False
        return read_mixture(beside if there else find(value))
    if isinstance(value, dict):
        try:
            return mixture_from_table(value, default_title=f"{path.stem}, {where.rpartition(': ')[2]}")
        except MixtureError as error:
            raise MixtureError(f"{where}: mixture: {error}") from None
    raise Trouble(f"{where}: names no mixture; {WORKS}.")


def _checked(made: Assignment, said: str) -> Assignment:
    """See to it that every impurity the rubrics name is in a flask."""
    names = {c.name.lower() for q in made.questions for c in q.mixture.others}
    for question in made.questions:
        for name in question.rubric.impurity:
            if name not in names:
                raise Trouble(
                    f"{said}: the rubric names the impurity {name!r}, which is in no flask; there are "
                    f"{', '.join(sorted(names)) or 'none'}."
                )
    return made


def _due(value: Any, said: str) -> datetime.datetime | None:
    if value is None:
        return None
    if isinstance(value, datetime.datetime):
        return value.replace(tzinfo=None)
    if isinstance(value, datetime.date):
        return datetime.datetime.combine(value, datetime.time(23, 59, 59))
    raise Trouble(
        f"{said}: due must be a date or a time without quotes, such as due = 2031-03-14T17:00:00; found {value!r}."
    )


def _only(data: Mapping[str, Any], where: str, known: tuple[str, ...]) -> None:
    for key in data:
        if key not in known:
            raise Trouble(f"{where}: {key!r} is not a key here; the keys are {', '.join(known)}.")


def _text(entry: Mapping[str, Any], key: str, where: str) -> str:
    value = entry.get(key, "")
    if not isinstance(value, str):
        raise Trouble(f"{where}: {key} must be text in quotes; found {value!r}.")
    return value.strip()
