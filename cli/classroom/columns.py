"""Which column holds the student, which the answers: as named, or found from headers and what the cells hold."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from washlore.cli.classroom.cleaning import plain_text
from washlore.cli.common import Trouble, near
from washlore.knowledge.records import dataclass, field

# Words of headers, the best first.
STUDENT = ("student", "student name", "full name", "name", "learner", "username", "user name", "user", "email address")
STUDENT_LATER = ("email", "e-mail", "student id", "id number", "id", "login", "matriculation number", "team", "group")
FIRST, LAST = ("first name", "given name", "forename"), ("last name", "surname", "family name")
OVERRIDE = ("override", "mark override", "override mark")
HANDED_IN = (
    "handed in",
    "handed_in",
    "submitted",
    "submitted at",
    "completed",
    "completed on",
    "finished",
    "timestamp",
)
# "due" in the assignment is compared with these.
ANSWER = re.compile(r"^(?:answer|response|plan|workup|work-up|work up|essay)\b", re.I)
# What a workup is written with; a cell that holds two of these is likely one.
TRADE = re.compile(
    r"\b(?:wash|dry|dried|drying|extract|brine|quench|evaporat|concentrat|filter|rotary|layer|organic|aqueous|NaHCO3|HCl|"
    r"NaOH|MgSO4|Na2SO4|bicarb|separat|funnel|decant|strip|rotovap|acidif|basif|neutralis|neutraliz)",
    re.I,
)
STEP, STEP_BESIDE = ("step", "action"), ("solution", "strength", "volume", "repeats", "layer kept", "desiccant")
LEAST_SHARE = 0.2


@dataclass(frozen=True)
class Columns:
    """The places of columns in a row. ``student`` may be two (first and last name); ``answers`` is one a question.

    ``steps`` tells that each row is one step of a plan; ``question`` is then the column that names the question, if any.
    """

    student: tuple[int, ...]
    answers: tuple[int, ...]
    override: int | None = None
    handed_in: int | None = None
    steps: bool = False
    question: int | None = None
    notes: tuple[str, ...] = field(default=())


def find_columns(
    header: Sequence[str],
    sample: Sequence[Sequence[str]],
    answers: Sequence[str],
    named: Mapping[str, str],
    said: str,
) -> Columns:
    """Return the columns of a table. ``answers`` has a name for each question, empty where it is to be found.

    Raises ``Trouble`` with the columns there are where one that is named is not there, or none looks like an answer.
    """
    if not any(header):
        raise Trouble(f"{said}: its first row names no columns; write a header such as: student, answer.")
    student = _student(header, named.get("student", ""), said)
    override = _one(header, named.get("override", ""), OVERRIDE, said)
    handed_in = _one(header, named.get("handed_in", ""), HANDED_IN, said)
    keys = [name.casefold() for name in header]
    told = [f"students from {_listed(header, student)}" if student else "no column names students: rows are numbered"]
    if not any(answers) and any(k in STEP for k in keys) and sum(k in STEP_BESIDE for k in keys):
        if not student:
            raise Trouble(
                f"{said}: has one row a step and no column that says whose; add a column student, or name one with --student."
            )
        question = keys.index("question") if "question" in keys else None
        told.append("one row a step")
        return Columns(student, (), override, handed_in, True, question, (_note(said, told),))
    taken = {*student, override, handed_in}
    places = _answers(header, sample, answers, taken, said)
    told.append(f"{'answers' if len(places) == 1 else 'answers in order'} from {_listed(header, places)}")
    if override is not None:
        told.append(f"overriding marks from {_listed(header, (override,))}")
    return Columns(student, places, override, handed_in, notes=(_note(said, told),))


def _note(said: str, told: Sequence[str]) -> str:
    return f"{said}: {'; '.join(told)}."


def _listed(header: Sequence[str], places: Sequence[int]) -> str:
    return " and ".join(repr(_short(header[p])) for p in places)


def _short(name: str) -> str:
    return name if len(name) <= 50 else f"{name[:47]}..."


def _place(header: Sequence[str], name: str, said: str) -> int:
    keys = [column.casefold() for column in header]
    if name.casefold() in keys:
        return keys.index(name.casefold())
    alike = near(name, [h for h in header if h]) or [h for h in header if h][:8]
    raise Trouble(f"{said}: has no column {name!r}; near it are {', '.join(map(repr, map(_short, alike)))}.")


def _one(header: Sequence[str], name: str, known: Sequence[str], said: str) -> int | None:
    if name:
        return _place(header, name, said)
    keys = [column.casefold() for column in header]
    return next((keys.index(word) for word in known if word in keys), None)


def _student(header: Sequence[str], name: str, said: str) -> tuple[int, ...]:
    if name:
        return tuple(_place(header, part.strip(), said) for part in name.split("+"))
    keys = [column.casefold() for column in header]
    first, last = (next((keys.index(w) for w in words if w in keys), None) for words in (FIRST, LAST))
    whole = next((keys.index(word) for word in STUDENT[:5] if word in keys), None)
    if whole is None and first is not None and last is not None:
        return (first, last)
    found = next((keys.index(word) for word in (*STUDENT, *STUDENT_LATER) if word in keys), None)
    return () if found is None else (found,)


def _answers(
    header: Sequence[str], sample: Sequence[Sequence[str]], names: Sequence[str], taken: set[int | None], said: str
) -> tuple[int, ...]:
    named = [_place(header, name, said) if name else None for name in names]
    missing = named.count(None)
    if not missing:
        return tuple(place for place in named if place is not None)
    taken = {*taken, *named}
    free = [n for n, column in enumerate(header) if n not in taken and column]
    likely = [n for n in free if _holds_plans(n, sample)]
    by_name = [n for n in free if ANSWER.match(header[n])]
    chosen = next((c for c in ([n for n in likely if n in by_name], likely, by_name) if len(c) == missing), None)
    if chosen is None:
        found = likely or by_name
        what = (
            f"{len(found)} columns look like answers ({_listed(header, found)})"
            if found
            else "no column looks like answers"
        )
        columns = ", ".join(repr(_short(h)) for h in header[:15] if h)
        raise Trouble(
            f"{said}: {what}, and {missing} {'is' if missing == 1 else 'are'} wanted; name each with --answer, or as column in "
            f"the assignment. The columns are {columns}."
        )
    rest = iter(chosen)
    return tuple(next(rest) if place is None else place for place in named)


def _holds_plans(place: int, sample: Sequence[Sequence[str]]) -> bool:
    """Tell whether the cells of a column read like workups, and are not one question printed in every row."""
    cells = [plain_text(row[place][:5_000]) for row in sample if place < len(row) and row[place].strip()]
    if not cells or (len(cells) > 2 and len(set(cells)) == 1):
        return False
    return sum(len(TRADE.findall(cell)) >= 2 for cell in cells) >= max(1, LEAST_SHARE * len(cells))
