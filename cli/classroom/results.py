"""One row of the table of results for each answer: verdict, mark, what was found, what is left, and the words for it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from washlore.cli.classroom.cleaning import clipped, one_line, quoted
from washlore.cli.classroom.feedback import feedback_text
from washlore.cli.classroom.intake import NO_ANSWER
from washlore.cli.classroom.judging import as_grounds
from washlore.cli.common import Trouble
from washlore.knowledge.records import dataclass, field

if TYPE_CHECKING:
    from washlore.cli.classroom.assignment import Assignment, Question
    from washlore.cli.classroom.intake import Answer
    from washlore.rules.marking import Mark

NOTHING = "no answer"
KINDS = ("hazard", "loss", "leftover", "technique")
# Names of columns, and what is in them: text, a number, a whole number, or yes and no.
COLUMNS: dict[str, str] = {
    "row": "whole",
    "student": "text",
    "question": "text",
    "verdict": "text",
    "mark": "number",
    "override": "text",
    "proposed_mark": "number",
    "out_of": "number",
    "student_total": "number",
    "needs_a_look": "text",
    "hazards": "text",
    "losses": "text",
    "leftovers": "text",
    "techniques": "text",
    "product_recovered_percent": "number",
    "worst_leftover": "text",
    "worst_leftover_percent": "number",
    "how_the_mark_came_about": "text",
    "plan_read": "text",
    "alike": "whole",
    "late": "yes or no",
    "feedback": "text",
    "problem": "text",
}
PLURAL = {"hazard": "hazards", "loss": "losses", "leftover": "leftovers", "technique": "techniques"}


@dataclass(frozen=True)
class Override:
    """What stands in the column override of an earlier table of results, and whose row it was."""

    said: str
    student: str


@dataclass
class Result:
    """An answer with its judgement (``record``), its mark, and what an instructor made of it."""

    answer: Answer
    question: Question
    record: dict[str, Any]
    proposed: Mark
    override: float | None = None
    override_note: str = ""
    alike: int | None = None
    total: float | None = None
    look: list[str] = field(default_factory=list)

    @property
    def problem(self) -> str:
        """Why it could not be read or judged; empty where it was."""
        return str(self.record.get("problem", ""))

    @property
    def blank(self) -> bool:
        """Whether no answer was given."""
        return self.problem == NO_ANSWER

    @property
    def verdict(self) -> str:
        """The verdict; ``unreadable`` where there is none, ``no answer`` where there is nothing to read."""
        return NOTHING if self.blank else str(self.record.get("verdict", "unreadable"))

    @property
    def mark(self) -> float | None:
        """The instructor's mark, else the proposed one, else none."""
        return self.proposed.points if self.override is None else self.override


def assemble(
    outcomes: Iterable[tuple[Answer, str, dict[str, Any]]],
    assignment: Assignment,
    groups: Mapping[str, int],
    overrides: Mapping[tuple[int, str], Override],
) -> Iterator[list[Result]]:
    """Yield the results of each student (row) together, in the order of the input. ``groups`` are by digest."""
    for _, together in groupby(outcomes, key=lambda item: item[0].row):
        results = [_result(*item, assignment, groups, overrides) for item in together]
        marks = [r.mark for r in results if r.mark is not None]
        total = round(sum(marks), 6) if marks else None
        for result in results:
            result.total = total
        yield results


def _result(
    answer: Answer,
    digest: str,
    record: dict[str, Any],
    assignment: Assignment,
    groups: Mapping[str, int],
    overrides: Mapping[tuple[int, str], Override],
) -> Result:
    from washlore.rules.marking import Grounds, mark

    question = assignment.questions[answer.question]
    seen = as_grounds(record["grounds"]) if "grounds" in record else Grounds("unreadable", 0.0, (), ())
    result = Result(answer, question, record, mark(seen, question.rubric), alike=groups.get(digest))
    earlier = overrides.get((answer.row, question.name))
    if answer.override or earlier is None or earlier.student == one_line(answer.student):
        said = answer.override or (earlier.said if earlier else "")
        result.override, result.override_note = _number(said, question.rubric.out_of)
    else:
        result.override_note = (
            f"the override {clipped(earlier.said, 30)} was written for {clipped(earlier.student, 40)}, who is not in this row "
            "any more, and was not used"
        )
    result.look = list(record.get("look", ()))
    if result.problem and not result.blank:
        result.look.insert(0, f"not read: {result.problem}")
    if result.override_note:
        result.look.insert(0, result.override_note)
    return result


def _number(said: str, out_of: float) -> tuple[float | None, str]:
    said = said.strip().lstrip("'")
    if not said:
        return None, ""
    try:
        value = float(said.replace(",", "."))
    except ValueError:
        return None, f"the override {clipped(said, 30)!r} is not a number and was not used"
    if not 0 <= value <= out_of:
        return None, f"the override {clipped(said, 30)} is not between 0 and {out_of:g} and was not used"
    return value, ""


def as_row(result: Result) -> dict[str, Any]:
    """Return a result as a row of the table; what is not known is ``None``."""
    record, answer = result.record, result.answer
    worst = worst_leftover(record)
    recovered = record.get("product_recovered") if not result.problem else None
    row: dict[str, Any] = {
        "row": answer.row,
        "student": answer.student,
        "question": result.question.name,
        "verdict": result.verdict,
        "mark": result.mark,
        "override": "" if result.override is None else f"{result.override:g}",
        "proposed_mark": result.proposed.points,
        "out_of": result.proposed.out_of,
        "student_total": result.total,
        "needs_a_look": "; ".join(result.look),
        "product_recovered_percent": _percent(recovered["mid"]) if recovered else None,
        "worst_leftover": worst["name"] if worst else "",
        "worst_leftover_percent": _percent(worst["left"]["mid"]) if worst else None,
        "how_the_mark_came_about": account(result),
        "plan_read": "; ".join(f"{s['number']}. {s['read_as']}" for s in record.get("plan_read", ())),
        "alike": result.alike,
        "late": answer.late,
        "feedback": feedback_text(result),
        "problem": result.problem,
    }
    for kind in KINDS:
        row[PLURAL[kind]] = "; ".join(_said(f) for f in record.get("findings", ()) if f["kind"] == kind)
    return {name: row[name] for name in COLUMNS}


def _said(finding: Mapping[str, Any]) -> str:
    where = f"step {finding['step']}: " if finding["step"] and not finding["text"].startswith("step ") else ""
    return f"{where}{one_line(finding['text'])}"


def _percent(value: float) -> float:
    return float(f"{100 * value:.3g}")


def their_words(result: Result, finding: Mapping[str, Any]) -> str:
    """Return what the writer said at the step of a finding; empty where it is about the plan as a whole."""
    if not finding["step"]:
        return ""
    steps = {step["number"]: step for step in result.record["plan_read"]}
    here = steps.get(finding["step"])
    if here is None or result.answer.kind != "text":
        return str(finding["quote"])
    text = result.answer.text
    later = [step["start"] for step in steps.values() if step["start"] >= here["end"]]
    words = quoted(text, here["start"], here["end"], min(later, default=len(text)))
    return re.sub(r"(?<![\s,;])[\s,;]+(?:(?:and|then|and then)[\s,;]*)?\d{0,2}[.)]?$", "", words) or words


def worst_leftover(record: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return what is left most of, beside the product; ``None`` where nothing is left of anything."""
    if record.get("problem"):
        return None
    return max(
        (i for i in record.get("left", ()) if i["left"]["mid"] > 0), key=lambda i: i["left"]["mid"], default=None
    )


def account(result: Result) -> str:
    """Return how a mark came about, on one line."""
    lines = [
        f"{line.what} {line.points:g}/{line.of:g} ({line.why})"
        if line.of
        else f"{line.what} {line.points:+g} ({line.why})"
        for line in result.proposed.lines
    ]
    if result.override is not None:
        lines.append(f"overridden by the instructor: {result.override:g}")
    return "; ".join(lines)


def read_overrides(earlier: Sequence[Path], named: Path | None) -> dict[tuple[int, str], Override]:
    """Return the marks that an instructor wrote into the column override of tables of results, by (row, question).

    Of ``earlier`` tables any may be missing; ``named`` goes before them. Raises ``Trouble`` where two earlier ones differ.
    """
    found: dict[tuple[int, str], Override] = {}
    for path in filter(Path.is_file, earlier):
        for key, override in _overrides(path, required=False):
            known = found.setdefault(key, override)
            if known.said != override.said:
                raise Trouble(
                    f"{path}: overrides row {key[0]} with {clipped(override.said, 20)}, and another table of results there "
                    f"with {clipped(known.said, 20)}; keep one of them."
                )
    if named is not None:
        found |= _overrides(named, required=True)
    return found


def _overrides(path: Path, required: bool) -> list[tuple[tuple[int, str], Override]]:
    from washlore.cli.classroom.spreadsheets import open_sheet

    sheet = open_sheet(path, str(path))
    keys = [name.casefold() for name in sheet.header]
    if "override" not in keys or "row" not in keys:
        if required:
            raise Trouble(f"{path}: has no columns row and override; take a table of results that review wrote.")
        return []
    places = [keys.index(name) if name in keys else None for name in ("row", "question", "override", "student")]
    made = []
    for row in sheet.rows:
        cells = [row.cells[p].strip() if p is not None and p < len(row.cells) else "" for p in places]
        number = cells[0].removesuffix(".0")
        if number.isdigit() and cells[2]:
            made.append(
                ((int(number), cells[1].removeprefix("'")), Override(cells[2], one_line(cells[3].removeprefix("'"))))
            )
    return made
