"""The record of a judgement, and its text.

``cli/schemas/check.schema.json`` describes the record field by field.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from washlore.cli.common import version
from washlore.cli.page.scheme import scheme_lines
from washlore.cli.render.followed import follow
from washlore.cli.render.plan import transfer_words
from washlore.cli.render.record import source_keys
from washlore.cli.render.text import INDENT, heading, paragraph, sentence, table_text
from washlore.knowledge.rows import Desiccant, Solution, Solvent, source_text, table
from washlore.rules.judge import Judgement, Part
from washlore.rules.plan import make_plan
from washlore.rules.proposal import as_proposal, read_as
from washlore.rules.reckon import PlanRefused
from washlore.rules.several import own_id
from washlore.rules.verdict import Found
from washlore.rules.words import between, listed, share, spread

if TYPE_CHECKING:
    from washlore.rules.proposal import ReadStep

SAID = {
    "ok": "Sound.",
    "minor": "Sound, with something to improve.",
    "flawed": "Flawed.",
    "dangerous": "Dangerous: do not do it as written.",
    "unreadable": "Not read: no step of a workup was found in the text.",
}
WORKS = (
    "Write what is done in order, with the solutions by name or formula, such as: wash twice with 20 mL sat. NaHCO3, then "
    "20 mL brine; dry over MgSO4, filter, evaporate."
)
# What is less is not told beside a product.
WORTH_TELLING = 0.001
PUT_RIGHT = "Where the plan keeps the wrong layer, this goes on with the right one, so that the rest can be judged."
KINDS = {
    "hazard": "Can hurt someone",
    "loss": "Loses product",
    "leftover": "Leaves something behind",
    "technique": "Works, but could be done better",
}


def check_record(made: Judgement, against: bool = False, followed: bool = False) -> dict[str, Any]:
    """Return the record of a judgement. Shares are between 0 and 1, volumes in mL; ``start`` and ``end`` are in the text.

    ``followed``: with where everything goes, and the chemistry behind the findings.
    """
    mixture = made.considered.plan.mixture if made.considered.plan else made.considered.mixture
    names = {c.id: c.name for c in mixture.components}
    ours = made.considered.plan.left if made.considered.plan else {}
    record: dict[str, Any] = {
        "washlore": {"version": version()},
        "title": mixture.title,
        "product": listed([c.name for c in mixture.wanted]) if made.parts else mixture.product.name,
        "verdict": made.verdict,
        "says": _says(made),
        "checked": list(made.checked),
        "plan_read": [_step(n, read, made) for n, read in enumerate(made.proposal.steps, start=1)],
        "unread": [
            {"start": u.start, "end": u.end, "words": u.words, "reason": u.reason} for u in made.proposal.unread
        ],
        "set_aside": {
            "before": list(made.proposal.before) if made.proposal.before else None,
            "after": list(made.proposal.after) if made.proposal.after else None,
        },
        "findings": [_finding(item, names) for item in made.findings],
        "achieves": [{"step": item.step, "text": item.text} for item in made.achieves],
        "left": [
            {
                "id": c,
                "name": names[c],
                "left": _band(values),
                "left_by_our_plan": _band(ours[c]) if c in ours else None,
            }
            for c, values in made.left.items()
            if c != "product"
        ],
        "product_recovered": _band(made.recovered),
        "assumptions": list(mixture.assumptions),
    }
    if made.parts:
        record["products"] = [_part(part) for part in made.parts]
    if against:
        record["against"] = _against(made)
    if followed:
        record |= follow(record, made)
    record["sources"] = {key: source_text(key) for key in sorted(source_keys(record))}
    return record


def _part(part: Part) -> dict[str, Any]:
    """Return what is told of one of several products: where it is worked up from, and what would be in its crude."""
    told = check_record(part.judgement)
    return {
        "id": part.product.id,
        "name": part.product.name,
        "from": part.place,
        "verdict": told["verdict"],
        "product_recovered": told["product_recovered"],
        "left": [{**item, "id": own_id(part, item["id"])} for item in told["left"]],
    }


def _says(made: Judgement) -> str:
    """Return the verdict in words, with what it rests on."""
    said = SAID[made.verdict]
    if made.verdict == "unreadable":
        return f"{said} {WORKS}"
    if made.left_to == "next step":
        return f"{said} What stays goes into the next step, as the text says; without that the plan would be flawed."
    if made.left_to:
        return (
            f"{said} What stays is left to the {made.left_to} that the text names; without it the plan would be flawed."
        )
    return said


def _step(number: int, read: ReadStep, made: Judgement) -> dict[str, Any]:
    solution = table(Solution).get(read.solution)
    solvent = table(Solvent).get(read.solvent)
    desiccant = table(Desiccant).get(read.desiccant)
    return {
        "number": number,
        "action": read.action,
        "start": read.start,
        "end": read.end,
        "words": read.words,
        "read_as": read_as(read),
        "solution": read.solution or None,
        "solution_name": solution.name if solution else None,
        "solute": solution.formula if solution and solution.solute else None,
        "strength": read.strength or None,
        "solvent": solvent.name if solvent else None,
        "volume_ml": _number(read.volume_ml),
        "repeats": read.repeats,
        "phase_kept": read.phase_kept or None,
        "layer_kept": read.layer_kept or None,
        "desiccant": desiccant.name if desiccant else None,
        "target_ph": _number(read.target_ph),
        "assumed": list(dict.fromkeys(made.assumed.get(number, read.assumed))),
    }


def _finding(item: Found, names: dict[str, str]) -> dict[str, Any]:
    numbers: dict[str, Any] = {}
    for name, *values in item.numbers:
        numbers[name] = _band((values[0], values[1], values[2])) if len(values) == 3 else _number(values[0])
    return {
        "kind": item.kind,
        "rule": item.rule,
        "title": item.title,
        "step": item.step or None,
        "quote": item.quote,
        "component": names.get(item.component) or None,
        "text": item.text,
        "remedy": item.remedy,
        "numbers": numbers,
        "sources": list(item.sources),
    }


def _against(made: Judgement) -> list[dict[str, Any]]:
    """Return their steps and ours side by side; a step without a partner stands alone."""
    theirs = made.proposal.steps
    ours = _our_steps(made)
    pairs: list[tuple[int | None, int | None]] = []
    matcher = difflib.SequenceMatcher(None, _keys(theirs), _keys(ours), autojunk=False)
    for _, a1, a2, b1, b2 in matcher.get_opcodes():
        for offset in range(max(a2 - a1, b2 - b1)):
            pairs.append((a1 + offset if a1 + offset < a2 else None, b1 + offset if b1 + offset < b2 else None))
    return [
        {
            "theirs": a + 1 if a is not None else None,
            "theirs_text": read_as(theirs[a]) if a is not None else "",
            "ours": b + 1 if b is not None else None,
            "ours_text": read_as(ours[b]) if b is not None else "",
        }
        for a, b in pairs
    ]


def _our_steps(made: Judgement) -> tuple[ReadStep, ...]:
    plan = made.considered.plan
    if plan is None and made.parts:
        try:
            plan = make_plan(made.considered.mixture)
        except PlanRefused:
            return ()
    return as_proposal(plan).steps if plan else ()


def _keys(steps: Iterable[Any]) -> list[tuple[str, str]]:
    rows = table(Solution)
    return [(s.action, rows[s.solution].acts_as if s.solution in rows else "") for s in steps]


def _band(values: tuple[float, float, float]) -> dict[str, float]:
    low, middle, high = (min(1.0, max(0.0, float(v))) for v in values)
    return {"low": float(f"{low:.4g}"), "mid": float(f"{middle:.4g}"), "high": float(f"{high:.4g}")}


def _number(value: float | None) -> float | None:
    return None if value is None else float(f"{float(value):.6g}")


def check_text(record: dict[str, Any], width: int, depth: str = "chemist", look: str = "boxes") -> str:
    """Return a judgement as text; ``depth`` and ``look`` are those of a plan, where the record is followed."""
    plain = look == "plain"
    blocks = [paragraph(sentence(record["title"]).rstrip("."), width), paragraph(record["says"], width)]
    if record["findings"]:
        blocks.append(_findings(record, width, depth))
    if record["plan_read"]:
        blocks.append(_read(record, width, depth))
    if record["unread"]:
        told = [paragraph(f'"{u["words"]}": {u["reason"]}', width, f"{INDENT}- ") for u in record["unread"]]
        blocks.append("\n".join([heading("Not read, and not judged"), *told]))
    if record.get("streams") and not plain:
        view = {**record, "steps": record["plan_read"]}
        lines = [f"{INDENT}{line}" for line in scheme_lines(view, width - len(INDENT), look == "ascii")]
        note = [paragraph(PUT_RIGHT, width, INDENT)] if record["put_right"] else []
        blocks.append("\n".join([heading("Where it would go"), *note, *lines]))
    if record["plan_read"]:
        blocks.append(_crudes(record, width, plain) if record.get("products") else _expected(record, width, plain))
    if record.get("against"):
        rows = [(row["theirs_text"] or "-", row["ours_text"] or "-") for row in record["against"]]
        blocks.append("\n".join([heading("Step by step"), table_text(("as proposed", "our plan"), rows, width, plain)]))
    if record["assumptions"]:
        told = [paragraph(sentence(text), width, f"{INDENT}- ") for text in record["assumptions"]]
        blocks.append("\n".join([heading("Assumed"), *told]))
    if record["checked"]:
        blocks.append(paragraph(f"Checked: {', '.join(record['checked'])}.", width))
    cited = cited_by(record)
    if cited:
        numbers = _marks(record)
        told = [paragraph(source_text(key), width, f"{INDENT}[{numbers[key]}] ") for key in cited]
        blocks.append("\n".join([heading("Sources"), *told]))
    return "\n\n".join(blocks)


def cited_by(record: dict[str, Any]) -> list[str]:
    """Return the keys of the sources that the findings name, in order."""
    return sorted({key for item in record["findings"] for key in item["sources"]})


def _marks(record: dict[str, Any]) -> dict[str, int]:
    return {key: n for n, key in enumerate(cited_by(record), start=1)}


def explained(record: dict[str, Any], item: dict[str, Any], depth: str) -> list[str]:
    """Return what a student or an instructor is told of a finding beyond what to do."""
    told = [lesson["why"] for lesson in record.get("lessons", ()) if lesson["rule"] == item["rule"]]
    wrong = [p for p in record.get("pitfalls", ()) if p["rule"] == item["rule"]]
    if depth == "instructor":
        told += [f"Students often think: {pitfall['belief']} Say: {pitfall['fact']}" for pitfall in wrong]
    return [] if depth == "chemist" else told


def _findings(record: dict[str, Any], width: int, depth: str) -> str:
    numbers = _marks(record)
    lines = []
    kind = ""
    for item in record["findings"]:
        if item["kind"] != kind:
            kind = item["kind"]
            lines.append(heading(KINDS[kind]))
        where = f'Step {item["step"]}, "{_clipped(item["quote"])}": ' if item["step"] else ""
        marks = "".join(f" [{number}]" for number in sorted(numbers[key] for key in item["sources"]))
        lines.append(paragraph(f"{where}{item['title']}.{marks}", width, f"{INDENT}- "))
        lines.append(paragraph(sentence(item["text"]), width, INDENT * 2))
        if item["remedy"]:
            lines.append(paragraph(sentence(f"Instead: {item['remedy']}"), width, INDENT * 2))
        lines += [paragraph(sentence(text), width, INDENT * 2) for text in explained(record, item, depth)]
    return "\n".join(lines)


def _clipped(words: str, most: int = 90) -> str:
    words = " ".join(words.split())
    return words if len(words) <= most else f"{words[: most - 3].rstrip()}..."


def _read(record: dict[str, Any], width: int, depth: str) -> str:
    does = {item["step"]: item["text"] for item in record["achieves"]}
    lines = [heading("Read as")]
    for step in record["plan_read"]:
        assumed = f" (assumed: {'; '.join(step['assumed'])})" if step["assumed"] else ""
        number = f"{step['number']}."
        first = f"{INDENT}{number:<4}"
        words = f'"{_clipped(step["words"], 60)}": ' if step["words"] else ""
        lines.append(paragraph(sentence(f"{words}{step['read_as']}{assumed}"), width, first))
        if step["number"] in does:
            lines.append(paragraph(sentence(does[step["number"]]), width, " " * len(first)))
        if depth != "chemist":
            lines += [
                paragraph(transfer_words(item), width, " " * len(first))
                for item in record.get("reactions", ())
                if item["step"] == step["number"]
            ]
    return "\n".join(lines)


def _crudes(record: dict[str, Any], width: int, plain: bool) -> str:
    """Return what would be in the crude of each of several products."""
    rows = []
    for product in record["products"]:
        back = product["product_recovered"]
        beside = [
            f"{share(item['left']['mid'])} of {item['name']}"
            for item in product["left"]
            if item["left"]["mid"] >= WORTH_TELLING
        ]
        found = f"{share(back['mid'])}{spread(back['low'], back['mid'], back['high'])}"
        rows.append((product["name"], product["from"], found, listed(beside) or "nothing much"))
    lines = [heading("What would be in the crude products")]
    lines.append(table_text(("product", "from", "recovered", "beside it"), rows, width, plain))
    lines.append(
        paragraph("In brackets the range that holds nine cases in ten; shares of what the flask held.", width, INDENT)
    )
    return "\n".join(lines)


def _expected(record: dict[str, Any], width: int, plain: bool) -> str:
    back = record["product_recovered"]
    said = f"{share(back['mid'])} of {record['product']}{spread(back['low'], back['mid'], back['high'], 'range: ')}"
    lines = [heading("What would be in the crude product"), paragraph(sentence(said), width, INDENT)]
    rows = [
        (
            item["name"],
            share(item["left"]["mid"]),
            between(item["left"]["low"], item["left"]["high"]),
            share(item["left_by_our_plan"]["mid"]) if item["left_by_our_plan"] else "",
        )
        for item in record["left"]
    ]
    if rows:
        lines.append(paragraph("A range holds nine cases in ten.", width, INDENT))
        lines.append(table_text(("of the rest", "left", "range", "by our plan"), rows, width, plain))
    return "\n".join(lines)
