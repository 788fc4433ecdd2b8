"""A plan printed by washlore, with headings: the steps stand indented under one of their own, each with its reason below it."""

from __future__ import annotations

import re

STEPS_HEADING = "what to do"
_ITEM = re.compile(r"\s+\d{1,2}\.\s")
# What follows "Quench this with that:" tells how, and what the washes will take afterwards.
_DRIED = re.compile(r"\badd MgSO4, filter\b(?:[^.:;]*\brinse them\b)?")
# Of what is quenched, only the agent is read, and the first where there are two.
_QUENCHED = re.compile(r"^([^\S\n]+\d{1,2}\.\s+Quench)\b(.*?)(?= with\b)", re.M)
_OR_ELSE = re.compile(r"^([^\S\n]+\d{1,2}\.\s+Quench\b.*?)((?:,| \(|) ?\bor\b(?:(?!, then\b|, at least\b).)*)", re.M)
_DETAILS = re.compile(r"^([^\S\n]+\d{1,2}\.\s+Quench\b(?:[^:\n]|:(?!\s))*)(:\s.*)$", re.M)


def steps_alone(text: str) -> str:
    """Return the text with all blanked out but the steps that stand numbered under their heading, each at its place.

    A step ends with the first line that ends a sentence; its reason follows. A text without such a heading, or with
    nothing indented under it, is returned as it is.
    """
    lines = text.splitlines(keepends=True)
    begin = next((n for n, line in enumerate(lines, start=1) if _is_heading(line)), None)
    if begin is None:
        return text
    end = next((n for n in range(begin, len(lines)) if lines[n].strip() and not lines[n][0].isspace()), len(lines))
    if not any(_ITEM.match(line) for line in lines[begin:end]):
        return text
    made: list[str] = []
    telling = False
    for n, line in enumerate(lines):
        if _ITEM.match(line):
            telling = begin <= n < end
        elif telling:
            made[-1] = made[-1].replace("\n", " ")  # a step that goes on in the next line is one line
        made.append(line if telling else _blank(line))
        telling = telling and not line.rstrip().endswith(".")
    told = _DETAILS.sub(lambda found: found[1] + _dried(found[2]), "".join(made))
    for unsaid in (_QUENCHED, _OR_ELSE):
        told = unsaid.sub(lambda found: found[1] + _blank(found[2]), told)
    return told


def _dried(details: str) -> str:
    """Return the details of a quench blanked out but for what they dry the layer with, and filter off."""
    found = _DRIED.search(details)
    if not found:
        return _blank(details)
    return f"{_blank(details[: found.start()])}{found[0]}{_blank(details[found.end() :])}"


def _is_heading(line: str) -> bool:
    return not line[:1].isspace() and line.strip().rstrip(":").strip().casefold() == STEPS_HEADING


def _blank(line: str) -> str:
    return "".join(c if c.isspace() else " " for c in line)
