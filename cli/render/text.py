"""Lines, paragraphs and tables of terminal text, set to a width."""

from __future__ import annotations

import itertools
import re
import textwrap
from collections.abc import Iterable, Sequence

INDENT = "  "
# A number stays on one line with its unit, and pH, pKa and × with their number.
_HELD = re.compile(r"(\b\d[\d.]*|\bpH|\bpKa|×|±) (?=%|M\b|mL\b|g\b|min\b|mmol\b|kJ\b|C\b|×|±|\d)")
NARROW, LEAST_LAST = 12, 18


def paragraph(text: str, width: int, first: str = "", rest: str | None = None) -> str:
    """Return a text filled to a width; ``first`` and ``rest`` stand before its first and later lines."""
    later = " " * len(first) if rest is None else rest
    filled = textwrap.fill(
        _HELD.sub("\\1\u00a0", text),
        width,
        initial_indent=first,
        subsequent_indent=later,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return filled.replace("\u00a0", " ")


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
    """Return a heading; what belongs to it is indented below."""
    return text


def table_text(header: Sequence[str], rows: Iterable[Sequence[str]], width: int, plain: bool = False) -> str:
    """Return columns side by side; the first and the last wrap.

    No word is broken: a terminal too narrow for the longest, and who has it read aloud (``plain``), gets a few lines for
    each row.
    """
    lines = [list(header), *([str(cell) for cell in row] for row in rows)]
    sizes = [max(len(line[i]) for line in lines) for i in range(len(header))]
    spare = width - len(INDENT) - 2 * (len(header) - 1) - sum(sizes[1:-1])
    sizes[0] = min(sizes[0], max(spare - sizes[-1], spare - LEAST_LAST))
    sizes[-1] = min(sizes[-1], spare - sizes[0])
    longest = [max(len(word) for line in lines for word in [*line[i].split(), ""]) for i in (0, -1)]
    if plain or sizes[0] < longest[0] or sizes[-1] < max(min(NARROW, len(header[-1])), longest[1]):
        return "\n".join(_stacked(header, line, width) for line in lines[1:])
    made = []
    for line in lines:
        cells = [
            textwrap.wrap(cell, size, break_on_hyphens=False) or [""] for cell, size in zip(line, sizes, strict=True)
        ]
        for row in itertools.zip_longest(*cells, fillvalue=""):
            told = "  ".join(cell.ljust(size) for cell, size in zip(row, sizes, strict=True))
            made.append(f"{INDENT}{told}".rstrip())
    return "\n".join(made)


def _stacked(header: Sequence[str], line: Sequence[str], width: int) -> str:
    told = "; ".join(f"{name}: {cell}" for name, cell in zip(header[1:], line[1:], strict=True) if cell)
    return f"{paragraph(line[0], width, INDENT, INDENT * 2)}\n{paragraph(told, width, INDENT * 2)}"
