"""What of the text behind the workup names a purification that is still to come."""

from __future__ import annotations

import re

# Each in the words it is shown in; the first that is found is told.
_KINDS = (
    (
        "chromatography",
        r"chromatograph\w*|column(?:ed)?\b|flash(?:ed)?\b|(?:prep\w*\.? |semi-?prep\w* )?hplc|prep\w*\.? tlc|eluted",
    ),
    ("crystallisation", r"re-?cryst\w*|crystalli[sz]\w*|umkristallisier\w*"),
    ("distillation", r"(?:re-?)?distill?(?:ed|ation)?\b(?! off)|kugelrohr|destillier\w*"),
    ("trituration", r"triturat\w*"),
    ("sublimation", r"sublim\w*"),
    (
        "next step",
        r"(?:used|carried|taken|employed|progressed|telescoped|goes|go|use)\b[^.;\n]{0,60}?\b(?:next|following|subsequent) "
        r"(?:step|stage|reaction|transformation)|"
        r"(?:used|carried|taken)\b[^.;\n]{0,40}?\bwithout (?:any )?(?:further )?purification",
    ),
)  # fmt: skip
_NOT = re.compile(r"\b(?:no|not|without|never|avoid\w*|instead of|nor)\b[^.;\n]{0,25}$", re.I)
_FOUND = tuple((name, re.compile(rf"\b(?:{pattern})", re.I)) for name, pattern in _KINDS)


_SILICA = re.compile(
    r"\b(?:pad|plug|short column|bed|layer|cake)s? of (?:silica|florisil|(?:neutral |basic )?alumina)\b|"
    r"\b(?:silica|florisil|alumina)(?: gel)? (?:pad|plug)\b|\bthrough (?:a little |some )?(?:silica|florisil)\b",
    re.I,
)


def through_silica(text: str) -> bool:
    """Tell whether a workup goes through a pad of silica or the like, which holds salts, metals and most of what is polar."""
    return any(not _NOT.search(text[: found.start()]) for found in _SILICA.finditer(text))


def later_purification(text: str) -> str:
    """Return the kind of purification that a text goes on to, such as ``chromatography``; empty where none is named.

    An analysis (NMR, TLC, a purity by HPLC) purifies nothing.
    """
    for name, pattern in _FOUND:
        for found in pattern.finditer(text):
            if name != "next step" and _NOT.search(text[: found.start()]):
                continue
            if found[0].lower() == "hplc" and not re.search(r"purif|prep", text, re.I):
                continue  # an analysis
            return name
    return ""
