"""What a student is told: what is right first, then each fault with its reason and what to do instead, then the mark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from washlore.cli.classroom.cleaning import clipped, one_line
from washlore.cli.common import visible

if TYPE_CHECKING:
    from washlore.cli.classroom.results import Result

OPENING = {
    "ok": "This works. Every step does its job, and nothing was found to change.",
    "minor": "This works. There is something to polish, below.",
    "flawed": "There is good work here, and something in it would go wrong at the bench. Here is what, why, and how to mend it.",
    "dangerous": "Please read this before you go to the bench: as it is written, something in the plan could hurt you or a "
    "neighbour. Here is what, why, and how to make it safe.",
    "unreadable": "The steps of a workup were not found in this answer. Somebody will look at it; until then there is no mark.",
    "no answer": "There is no answer here. If you handed one in, say so.",
}
HEADINGS = {
    "hazard": "What could hurt someone",
    "loss": "Where product would be lost",
    "leftover": "What would stay behind",
    "technique": "What could be done better",
}
# What an achievement begins with when it is something to be pleased about.
GOOD = (
    "takes",
    "destroys",
    "brings",
    "carries",
    "takes the water out",
    "makes sure",
    "lets the pressure out",
    "keeps heat",
)
RECOVERED_WELL = 0.95
CLOSING = "The safety data sheets, the local rules and the person in charge come first."
MOST_QUOTE = 140


def feedback_record(results: Sequence[Result], title: str) -> dict[str, Any]:
    """Return what one student is told about all of their answers; nothing of anybody else is in it."""
    marked = [r for r in results if r.mark is not None]
    return {
        "title": title,
        "student": results[0].answer.student,
        "answers": [_answer(result) for result in results],
        "mark": results[0].total,
        "out_of": sum(r.proposed.out_of for r in marked) if marked else None,
        "closing": CLOSING,
    }


def _answer(result: Result) -> dict[str, Any]:
    record = result.record
    verdict = result.verdict if result.blank or not result.problem else "unreadable"
    return {
        "question": result.question.name,
        "opening": OPENING[verdict],
        "problem": "" if result.blank else result.problem,
        "right": [] if result.problem else right(record, [c.name for c in result.question.mixture.wanted]),
        "faults": [
            {"heading": HEADINGS[kind], "items": [_fault(f, result) for f in found]}
            for kind in HEADINGS
            if (found := [f for f in record.get("findings", ()) if f["kind"] == kind])
        ],
        "mark": result.mark,
        "overridden": result.override is not None,
        "out_of": result.proposed.out_of,
        "account": [
            {
                "points": f"{line.points:g} of {line.of:g}" if line.of else f"{line.points:+g}",
                "what": line.what,
                "why": line.why,
            }
            for line in result.proposed.lines
        ],
        "read": [_step(s) for s in record.get("plan_read", ())],
        "unread": [clipped(u["words"], MOST_QUOTE) for u in record.get("unread", ())],
        "late": result.answer.late,
    }


def right(record: Mapping[str, Any], products: Sequence[str]) -> list[str]:
    """Return what is right in a plan, in sentences."""
    from washlore.rules.words import listed

    wrong = {f["step"] for f in record["findings"]}
    quotes = {s["number"]: s["words"] for s in record["plan_read"]}
    said = []
    back = record["product_recovered"]["mid"]
    kinds = {f["kind"] for f in record["findings"]}
    if "loss" not in kinds and back >= RECOVERED_WELL:
        come = "The products come" if len(products) > 1 else "The product comes"
        said.append(f"{come} through: about {100 * back:.0f} % of {listed(list(products))} is recovered.")
    for item in record["achieves"]:
        if item["step"] not in wrong and item["text"].startswith(GOOD) and " is left" not in item["text"]:
            said.append(f'"{clipped(quotes[item["step"]], 80)}": {one_line(item["text"])}.')
    if "hazard" not in kinds:
        said.append("Nothing in it was found that could hurt someone.")
    return said


def _fault(finding: Mapping[str, Any], result: Result) -> dict[str, str]:
    from washlore.cli.classroom.results import their_words

    return {
        "where": f"step {finding['step']}" if finding["step"] else "the plan as a whole",
        "quote": clipped(their_words(result, finding), MOST_QUOTE),
        "title": finding["title"],
        "text": _sentence(finding["text"]),
        "remedy": f"{one_line(finding['remedy']).rstrip('.')}." if finding["remedy"] else "",
    }


def _step(step: Mapping[str, Any]) -> str:
    assumed = f" ({'; '.join(step['assumed'])})" if step["assumed"] else ""
    return _sentence(f"{step['read_as']}{assumed}")


def _sentence(text: str) -> str:
    text = one_line(text).rstrip(".")
    return f"{text[:1].upper()}{text[1:]}."


def feedback_text(result: Result) -> str:
    """Return the feedback on one answer as plain text for a cell: a few lines, to be pasted into a gradebook."""
    told = _answer(result)
    lines = [told["opening"]]
    if told["problem"]:
        return visible(f"{told['opening']} ({told['problem']})")
    if told["right"]:
        lines += ["Right:", *(f"* {line}" for line in told["right"])]
    for block in told["faults"]:
        lines.append(f"{block['heading']}:")
        for item in block["items"]:
            where = f'{item["where"]}, "{item["quote"]}"' if item["quote"] else item["where"]
            line = f"* {where}: {item['title']}. {item['text']}"
            lines.append(f"{line} Instead: {item['remedy']}" if item["remedy"] else line)
    return visible("\n".join(lines))


def feedback_page(record: Mapping[str, Any], style: str) -> str:
    """Return the feedback of a student as ``html`` or ``md``."""
    from washlore.cli.page.environment import render

    return render(f"feedback.{style}", told=record)
