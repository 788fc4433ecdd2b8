"""The text of a name: what no name can hold, and what the spellings of one name have in common."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from .structure import MAX_SMILES_LENGTH


class NameProblem(ValueError):
    """A text stands for no structure, or for more than one; ``candidates`` are texts that would be understood."""

    def __init__(self, message: str, candidates: Iterable[str] = ()) -> None:
        super().__init__(message)
        self.candidates: tuple[str, ...] = tuple(candidates)


_DROPPED_SIGNS = str.maketrans("", "", "\u2122\u00ae\u00a9")
_SIGNS = str.maketrans(dict.fromkeys("·•∙⋅‧・", ".") | dict.fromkeys("‐‑‒–—―−", "-") | dict.fromkeys("‘’′´`ʹʼ", "'"))
GREEK = {
    "\u03b1": "alpha",
    "\u03b2": "beta",
    "\u03b3": "gamma",
    "\u03b4": "delta",
    "\u03b5": "epsilon",
    "\u03c9": "omega",
}


def clean(text: Any) -> str:
    """Return ``text`` with one kind of dot, dash, prime and space; raise ``NameProblem`` for what no name can hold."""
    if not isinstance(text, str):
        raise NameProblem(f"A component was given as {type(text).__name__}, not as text; write a name or a SMILES.")
    if len(text) > MAX_SMILES_LENGTH:
        raise NameProblem(
            f"{short(text)} has {len(text):,} characters; a name or SMILES of up to {MAX_SMILES_LENGTH:,} can be read."
        )
    if text.isascii() and text.isprintable() and not text.isspace() and text:
        return " ".join(text.translate(_SIGNS).split())
    import unicodedata

    shown = "".join(c for c in text if unicodedata.category(c) != "Cf").translate(_DROPPED_SIGNS)
    cleaned = unicodedata.normalize("NFKC", shown).translate(_SIGNS).strip()
    if not cleaned:
        raise NameProblem("The name is empty; write a name such as ethyl acetate, or a SMILES such as CCOC(C)=O.")
    for character in cleaned:
        if problem := _foreign(character):
            raise NameProblem(
                f"{short(text)} holds {problem}, which no chemical name or SMILES has; remove or retype it."
            )
    return " ".join(cleaned.split())


def _foreign(character: str) -> str:
    """Say what is wrong with a character, or return an empty string."""
    import unicodedata

    code = f"U+{ord(character):04X}"
    category = unicodedata.category(character)
    if character in "\n\r":
        return "a line break"
    if category == "Cc" and character != "\t":
        return f"a control character ({code})"
    if category in ("Cs", "Co", "Cn", "So", "Zl", "Zp"):
        return f"the sign {character!r} ({code})"
    if category[0] == "L" and ord(character) > 127:
        known = unicodedata.name(character, "")
        if not known.startswith(("LATIN", "GREEK")):
            return f"the letter {character!r} ({known.lower()}, {code})"
    return ""


_BETWEEN = r"[\s\-_.']"
_PLAIN_BETWEEN = str.maketrans("", "", " \t\n\r\f\v\x1c\x1d\x1e\x1f-_.'")


def key(text: str) -> str:
    """Return what spellings of one name have in common: no case, spaces, hyphens, dots, primes or accents."""
    if text.isascii():
        return text.casefold().translate(_PLAIN_BETWEEN)
    import unicodedata

    folded = "".join(GREEK.get(c, c) for c in text.casefold())
    plain = "".join(c for c in unicodedata.normalize("NFKD", folded) if not unicodedata.combining(c))
    return re.sub(_BETWEEN, "", plain)


_DEUTERIUM = r"(?:[dD]|\[?2H\]?)[-_]?(?:\d{1,2})?"
_LABELLED = (
    rf"(?P<plain>.+?)(?:[-\s]{_DEUTERIUM}|[-\s]?[(\[]{_DEUTERIUM}[)\]])",
    rf"(?:{_DEUTERIUM}[-\s]|[(\[]{_DEUTERIUM}[)\]][-\s]?)(?P<plain>.+)",
    r"(?i:(?:per)?deuter(?:o|io|ated|iated)[-\s]?)(?P<plain>.+)",
    r"(?P<plain>.+?)(?i:,? deuterated)",
    r"(?i:heavy (?P<plain>water))",
)
_FORMULA_WITH_D = r"(?=.*D(?![a-z]))(?:[A-Z][a-z]?|[\d()\[\]])+"


def without_deuterium(text: str) -> list[str]:
    """Return what a deuterated spelling may say of its plain compound: CHCl3 for CDCl3, acetone for acetone-d6."""
    found = [match["plain"] for pattern in _LABELLED if (match := re.fullmatch(pattern, text))]
    if re.fullmatch(_FORMULA_WITH_D, text):
        found.append(re.sub(r"D(?![a-z])", "H", text))
    return found


def begun_by(spelled: str, keys: Iterable[str], most: int = 3) -> list[str]:
    """Return the keys that a key begins, shortest first; nothing where it is short, or begins so many that it says little."""
    begun = sorted((k for k in keys if k.startswith(spelled) and k != spelled), key=lambda k: (len(k), k))
    return begun[:most] if len(spelled) > 3 and len(begun) <= MOST_BEGUN else []


MOST_BEGUN = 20


def made_of_symbols(text: str) -> bool:
    """Tell a formula or an abbreviation (AuCl, BTPP) from a name in words: what looks like it may be quite another thing."""
    return sum(c.isupper() for c in text) > 1 and not re.search(r"[a-z]{4}|\s", text)


def slips(spelled: str) -> Iterator[str]:
    """Yield what a key was if one of its characters was left out, or two were exchanged."""
    for i in range(len(spelled) + 1):
        yield from (spelled[:i] + c + spelled[i:] for c in "abcdefghijklmnopqrstuvwxyz0123456789()")
    for i in range(len(spelled) - 1):
        yield spelled[:i] + spelled[i + 1] + spelled[i] + spelled[i + 2 :]


def short(text: str) -> str:
    """Return a text in quotes, cut where it is long."""
    return repr(text if len(text) <= 60 else text[:57] + "...")
