"""The record and the text of ``washlore why``: reasons indented from the conclusion down to the atoms."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from washlore.cli.common import in_ascii, version
from washlore.cli.render.text import paragraph, sentence

if TYPE_CHECKING:
    from washlore.rules.entries import Entry
    from washlore.rules.explain import Answer
    from washlore.rules.reasons import Reasoned
    from washlore.rules.unless import Unless

INDENT = "  "
DEEPEST = 8


def why_record(title: str, question: str, answers: Sequence[Answer]) -> dict[str, Any]:
    """Return the record of an answer about a plan."""
    sources: dict[str, str] = {}
    for answer in answers:
        sources |= answer.sources
    return {
        "washlore": {"version": version()},
        "title": title,
        "question": question,
        "answers": [
            {
                "kind": answer.kind,
                "subject": answer.subject,
                "in_plan": answer.in_plan,
                "verdict": answer.verdict,
                "reasons": [reason_record(reason) for reason in answer.reasons],
            }
            for answer in answers
        ],
        "entries": [],
        "unless": [],
        "sources": sources,
    }


def unless_record(item: Unless) -> dict[str, Any]:
    """Return the record of what would turn one decision."""
    return {
        "subject": item.subject,
        "in_plan": item.in_plan,
        "decision": item.decision,
        "asked": item.asked,
        "turns": [
            {
                "what": turn.what,
                "subject": turn.subject,
                "text": turn.text,
                "threshold": _figure(turn.threshold),
                "now": _figure(turn.now),
                "unit": turn.unit or None,
                "sure": turn.sure or None,
            }
            for turn in item.turns
        ],
    }


def _figure(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.3g}")


def lore_record(question: str, entries: Sequence[Entry]) -> dict[str, Any]:
    """Return the record of what is known of a subject without any mixture."""
    sources: dict[str, str] = {}
    for entry in entries:
        sources |= entry.sources
    return {
        "washlore": {"version": version()},
        "title": None,
        "question": question,
        "answers": [],
        "entries": [
            {
                "kind": entry.kind,
                "name": entry.name,
                "lines": list(entry.lines),
                "sources": list(entry.cited),
                "rules": [
                    {"rule": item.id, "title": item.title, "why": item.why, "sources": list(item.sources)}
                    for item in entry.rules
                ],
            }
            for entry in entries
        ],
        "unless": [],
        "sources": sources,
    }


def reason_record(reason: Reasoned) -> dict[str, Any]:
    """Return a tree of reasons as a record."""
    return {
        "rule": reason.rule or None,
        "title": reason.title or None,
        "why": reason.why or None,
        "text": reason.text,
        "sources": list(reason.sources),
        "told_above": reason.repeated,
        "because": [reason_record(inner) for inner in reason.below],
    }


def why_text(record: dict[str, Any], width: int, look: str = "boxes") -> str:
    """Return the record of ``washlore why`` as text; sources are numbered and listed at the end.

    ``look`` is that of a plan. Read aloud (plain), indents are not heard: how deep a reason lies is told by numbers.
    """
    numbers = {key: str(n) for n, key in enumerate(record["sources"], start=1)}
    blocks = [_unless(item, width) for item in record["unless"]]
    told: set[str] = set()
    for answer in record["answers"] if not record["unless"] else ():
        lines = [paragraph(sentence(answer["verdict"]), width)]
        for n, reason in enumerate(answer["reasons"], start=1):
            if look == "plain":
                lines += ["", *_numbered(reason, str(n), width, numbers, told)]
            else:
                lines += ["", *_lines(reason, 0, width, numbers, told)]
        blocks.append("\n".join(lines))
    blocks += [_entry(entry, width, numbers) for entry in record["entries"]]
    if record["sources"] and not record["unless"]:
        lines = ["Sources"]
        for key, citation in record["sources"].items():
            lines.append(paragraph(sentence_end(citation), width, f"{INDENT}[{numbers[key]}] "))
        blocks.append("\n".join(lines))
    text = "\n\n".join(blocks)
    return in_ascii(text) if look == "ascii" else text


def _unless(item: dict[str, Any], width: int) -> str:
    """Return what would turn one decision, the smallest change first."""
    lines = [paragraph(sentence(item["decision"]), width)]
    if not item["asked"]:
        return lines[0]
    if not item["turns"]:
        lines.append(
            paragraph(
                f"No one change of those that were tried turns that (the plan was made {item['asked']} times): no impurity "
                "absent or ten times as much, no pKa or log K three units off, no group of the product left out, no other "
                "solvent.",
                width,
            )
        )
    else:
        lines.append("It would be otherwise if")
    for turn in item["turns"]:
        sure = f"; {turn['sure']}" if turn["sure"] else ""
        lines.append(paragraph(f"{turn['text']}{sure}.", width, f"{INDENT}- "))
    return "\n".join(lines)


def sentence_end(text: str) -> str:
    """Return a text with a full stop at its end."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _marks(sources: Sequence[str], numbers: dict[str, str]) -> str:
    return "".join(f" [{numbers[key]}]" for key in sources if key in numbers)


def _lines(reason: dict[str, Any], depth: int, width: int, numbers: dict[str, str], told: set[str]) -> list[str]:
    """Return a reason and what it rests on; the chemistry of a rule is told where the rule first appears."""
    lead = INDENT * min(depth, DEEPEST)
    first = lead + ("" if depth == 0 else "- ")
    rest = lead + INDENT
    marks = _marks(reason["sources"], numbers)
    tail = " Its reasons stand above." if reason["told_above"] else ""
    made = []
    if reason["rule"] is None or reason["rule"] in told:
        made.append(paragraph(f"{sentence(reason['text'])}{marks}{tail}", width, first, rest))
    else:
        told.add(reason["rule"])
        made.append(
            paragraph(f"{reason['title'].rstrip('.')}: {sentence_end(reason['text'])}{tail}", width, first, rest)
        )
        made.append(paragraph(f"{sentence(reason['why'])}{marks}", width, rest, rest))
    for inner in reason["because"]:
        made += _lines(inner, depth + 1, width, numbers, told)
    return made


def _numbered(reason: dict[str, Any], place: str, width: int, numbers: dict[str, str], told: set[str]) -> list[str]:
    """Return a reason and what it rests on, each with its place, such as 1.2.1, before it."""
    lines = _lines({**reason, "because": []}, 0, width - len(place) - 2, numbers, told)
    made = [f"{place}. {lines[0]}", *lines[1:]]
    for n, inner in enumerate(reason["because"], start=1):
        made += _numbered(inner, f"{place}.{n}", width, numbers, told)
    return made


def _entry(entry: dict[str, Any], width: int, numbers: dict[str, str]) -> str:
    kind = {
        "desiccant": "drying agent",
        "solution": "wash solution",
        "group": "functional group",
        "structure": "a structure that no table holds",
        "residue": "leftover",
    }
    lines = [f"{entry['name']} ({kind.get(entry['kind'], entry['kind'])}){_marks(entry['sources'], numbers)}"]
    lines += [paragraph(sentence(line), width, INDENT) for line in entry["lines"]]
    if entry["rules"]:
        lines += ["", f"{INDENT}Rules that name it:"]
        for item in entry["rules"]:
            lines.append(paragraph(sentence(item["title"]), width, f"{INDENT}- "))
            lines.append(paragraph(f"{sentence(item['why'])}{_marks(item['sources'], numbers)}", width, INDENT * 2))
    return "\n".join(lines)
