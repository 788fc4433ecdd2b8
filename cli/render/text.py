"""Terminal text from records. Plain text, set to a width, short sentences."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from washlore.rules.words import share

NARROW = 66


def paragraph(text: str, width: int, first: str = "", rest: str | None = None) -> str:
    """Return a text filled to a width; ``first`` and ``rest`` stand before its first and later lines."""
    later = " " * len(first) if rest is None else rest
    return textwrap.fill(
        text, width, initial_indent=first, subsequent_indent=later, break_long_words=False, break_on_hyphens=False
    )


def sentence(text: str) -> str:
    """Return a text that begins with a capital where it begins with a plain word, and ends with a full stop."""
    text = text.strip()
    if not text:
        return text
    word = text.split()[0].rstrip(",:;.")
    if word.isalpha() and word.islower() and (len(word) > 1 or word == "a"):
        text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?" else f"{text}."


def heading(text: str) -> str:
    """Return a heading with a line under it."""
    return f"{text}\n{'-' * len(text)}"


def table_text(header: Sequence[str], rows: Iterable[Sequence[str]], width: int, right: Sequence[int] = ()) -> str:
    """Return columns side by side; the last column wraps. On a narrow terminal each row becomes a few lines."""
    lines = [list(header), *([str(cell) for cell in row] for row in rows)]
    sizes = [max(len(line[i]) for line in lines) for i in range(len(header) - 1)]
    used = sum(sizes) + 2 * len(sizes)
    if width < NARROW or width - used < 18:
        return "\n".join(_stacked(header, line, width) for line in lines[1:])
    made = []
    for line in lines:
        cells = [cell.rjust(size) if i in right else cell.ljust(size) for i, (cell, size) in enumerate(zip(line, sizes))]
        made.append(paragraph(line[-1] or " ", width, "  ".join(cells) + "  ", " " * used).rstrip())
    return "\n".join(made)


def _stacked(header: Sequence[str], line: Sequence[str], width: int) -> str:
    told = "; ".join(f"{name} {cell}" for name, cell in zip(header[1:], line[1:], strict=True) if cell)
    return paragraph(f"{line[0]}: {told}", width, "", "  ")


def plan_text(record: dict[str, Any], width: int) -> str:
    """Return a plan as text."""
    blocks = [heading(record["title"]), _flask(record, width), _steps(record, width), _left(record, width)]
    if record["not_removed"]:
        blocks.append(_not_removed(record, width))
    if record["cautions"]:
        blocks.append(_cautions(record, width))
    if record["assumptions"]:
        told = [paragraph(sentence(text), width, "  ") for text in record["assumptions"]]
        blocks.append("\n".join([heading("Assumed"), *told]))
    blocks.append(paragraph("For the reasons, ask `washlore why` with the same mixture and a step number, a solution or a "
                            "compound; `not` before a name asks why it is not used.", width))
    return "\n\n".join(blocks)


def _flask(record: dict[str, Any], width: int) -> str:
    lines = [heading("In the flask")]
    for item in record["components"]:
        amount = f"{item['mmol']:.3g} mmol{' (assumed)' if item['amount_assumed'] else ''}"
        role = "" if item["role"] == "product" and item["name"] == "the product" else f", {item['role']}"
        lines.append(paragraph(f"{item['name']}{role}, {amount}: {_nature(item)}", width, "", "  "))
        lines.append(paragraph(_read_as(item), width, "  "))
    return "\n".join(lines)


def _nature(item: dict[str, Any]) -> str:
    """Say what a component is in the funnel, with the pKa that decides it."""
    kind = item["behaviour"]
    said = {"amphoteric": "acid and base at once", "permanent ion": "an ion at any pH", "neutral": "neutral"}.get(
        kind, f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"
    )
    for wanted in ("acid", "base"):
        if kind in (wanted, f"weak {wanted}"):
            values = [s["pka"] for s in item["sites"] if s["kind"] == wanted]
            if values:
                pka = min(values) if wanted == "acid" else max(values)
                said += f", pKa {pka:.1f}" + (" as its cation" if wanted == "base" else "")
    return said


def _read_as(item: dict[str, Any]) -> str:
    written, origin = item["written"], item["origin"]
    if origin == "SMILES":
        return f"Structure: {item['smiles']}" + ("" if written == item["smiles"] else f" (written {written})")
    where = {
        "reagent table": "name known to washlore",
        "solvent table": "solvent known to washlore",
        "chemicals": "name from the chemicals package",
        "quench": "formed by the quench",
    }.get(origin, origin)
    said = f" (written {written}; {where})" if written != item["name"] else f" ({where})"
    return f"Structure: {item['smiles']}{said}"


def _steps(record: dict[str, Any], width: int) -> str:
    lines = [heading("What to do")]
    for step in record["steps"]:
        number = f"{step['number']}."
        first = f"{number:<4}"
        lines.append(paragraph(sentence(step["instruction"]), width, first))
        why = sentence(step["reason"])
        if step["spent_ph"] is not None and step["action"] in ("wash", "take up"):
            why += f" The first portion ends near pH {step['spent_ph']:.0f}."
        lines.append(paragraph(why, width, "    "))
    return "\n".join(lines)


def _left(record: dict[str, Any], width: int) -> str:
    rows = [
        [item["name"], share(item["left"]["mid"]), f"{share(item['left']['low'])} to {share(item['left']['high'])}", item["fate"]]
        for item in record["components"]
        if item["role"] != "product"
    ]
    lines = [heading("What to expect")]
    back = record["product_recovered"]
    lines.append(
        paragraph(
            f"Of {record['product']}, about {share(back['mid'])} reaches the crude ({share(back['low'])} to "
            f"{share(back['high'])}; the band holds nine cases in ten).",
            width,
        )
    )
    if rows:
        lines.append(table_text(("component", "left", "band", "where it goes"), rows, width))
    return "\n".join(lines)


def _not_removed(record: dict[str, Any], width: int) -> str:
    lines = [heading("What washing does not take out")]
    for item in record["not_removed"]:
        lines.append(paragraph(sentence(item["text"]), width, "  "))
    return "\n".join(lines)


def _cautions(record: dict[str, Any], width: int) -> str:
    lines = [heading("Take care")]
    for item in record["cautions"]:
        lines.append(paragraph(sentence(item["text"]), width, "- "))
    return "\n".join(lines)
