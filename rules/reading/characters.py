"""Characters and words: many signs and spellings made one, and the text cut into words with their places."""

from __future__ import annotations

import math
import re
import unicodedata
from functools import lru_cache
from typing import Any

from washlore.knowledge.records import dataclass, field

_ONE_SIGN = {
    **dict.fromkeys("‐‑‒–—―−﹣－", "-"),
    **dict.fromkeys("×✕✖⨯╳", "x"),
    **dict.fromkeys("‘’′´`ʹʼ", "'"),
    **dict.fromkeys("“”″", '"'),
    **dict.fromkeys("·∙⋅‧・•▪◦●■‣⁃➢➤✓☐", "•"),
    **dict.fromkeys("→⇒➔➜⟶►▶", ">"),
    "⁄": "/",
    "∶": ":",
    "：": ":",
    "\u00a0": " ",
    "\r": "\n",
    "\u2028": "\n",
    "\u2029": "\n",
    "\x0b": "\n",
    "\x0c": "\n",
    "\x85": "\n",
    "½": "0.5",
    "¼": "0.25",
    "¾": "0.75",
    "⅓": "0.33",
    "⅔": "0.67",
    "º": "°",
    "˚": "°",
    "℃": "°C",
}


@lru_cache(maxsize=4096)
def _plain(character: str) -> str:
    """Return what one character is read as (perhaps nothing)."""
    if character in _ONE_SIGN:
        return _ONE_SIGN[character]
    if unicodedata.category(character) in ("Cf", "Mn", "Cc") and character not in "\n\t":
        return ""
    return unicodedata.normalize("NFKC", character)


def normalise(text: str) -> tuple[str, list[int]]:
    """Return the text as it is compared, and for each of its characters the place in ``text``."""
    if text.isascii():
        return text.replace("\r", "\n").replace("\x0b", "\n").replace("\x0c", "\n"), list(range(len(text) + 1))
    out: list[str] = []
    at: list[int] = []
    for place, character in enumerate(text):
        if " " <= character <= "~":
            out.append(character)
            at.append(place)
            continue
        # An accent written on its own joins the letter before it, so that ä has one spelling.
        if (
            unicodedata.combining(character)
            and out
            and len(joined := unicodedata.normalize("NFC", out[-1] + character)) == 1
        ):
            out[-1] = joined
            continue
        for piece in _plain(character):
            out.append(piece)
            at.append(place)
    at.append(len(text))
    return "".join(out), at


_LETTER = r"[A-Za-zµμ\u00c0-\u024f\u0391-\u03c9]"


_TOKEN = re.compile(
    r"(?P<num>\d+(?:[.,]\d+)*|\.\d+)"
    r"|(?P<glued>(?<=\d)(?:m[lL]|ML|cc)(?=[xX]\d)|(?<=\d)[MN](?=HCl|NaOH|KOH|H2SO4|Na|K|HC)|[pP][hH](?=\d)|[xX](?=\d|[A-Z]|brine|water|sat))"
    r"|(?P<arrow>[-=]{1,9}>)"
    rf"|(?P<word>{_LETTER}(?:{_LETTER}|\d|'(?={_LETTER}))*)"
    r"|(?P<sign>\n|[^\s\w]|_)"
)


@dataclass
class Token:
    """A word or sign, or a phrase of the trade; ``kinds`` is what it may be and as what."""

    low: str
    start: int
    end: int
    kinds: dict[str, Any] = field(default_factory=dict)
    capital: bool = False
    number: float | None = None

    def has(self, *kinds: str) -> bool:
        """Tell whether the word may be of one of these kinds."""
        return not self.kinds.keys().isdisjoint(kinds)


def lowered(word: str) -> str:
    """Return a word as words are compared."""
    return word.lower().replace("sulph", "sulf")


def _number(text: str) -> float:
    """Return a number as British, American or German writers mean it."""
    text = text.replace(" ", "")
    if "," in text and "." in text:
        # The later sign is the decimal one.
        text = text.replace(",", "") if text.rfind(".") > text.rfind(",") else text.replace(".", "").replace(",", ".")
    elif "," in text:
        whole, *rest = text.split(",")
        grouped = len(rest) >= 1 and all(len(part) == 3 for part in rest) and whole != "0"
        text = text.replace(",", "") if grouped or len(rest) > 1 else text.replace(",", ".")
    elif text.count(".") > 1:
        text = text.replace(".", "")
    try:
        value = float(text)
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def cut(norm: str) -> list[Token]:
    """Cut a text into words and signs with their places."""
    found = []
    for match in _TOKEN.finditer(norm):
        raw = match.group()
        token = Token(lowered(raw), match.start(), match.end(), capital=raw[0].isupper())
        if match.lastgroup == "arrow":
            token.low = ">"
        if match.lastgroup == "num":
            token.number = _number(raw[:40])
        found.append(token)
    return found
