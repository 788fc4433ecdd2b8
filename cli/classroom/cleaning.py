"""Text from outside made harmless: cells to plain text, table cells that no spreadsheet runs, safe file names, quotes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from html.parser import HTMLParser

from washlore.cli.common import visible

# What a spreadsheet takes for the beginning of a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r")
BLOCKS = frozenset(("p", "div", "br", "li", "ul", "ol", "tr", "table", "h1", "h2", "h3", "h4", "h5", "h6", "pre", "hr"))
HIDDEN = frozenset(("script", "style", "head", "title", "template", "noscript"))
INLINE = frozenset(
    ("span", "b", "i", "u", "em", "strong", "sub", "sup", "a", "font", "td", "th", "tbody", "html", "body")
)
_TAG = re.compile(f"</?(?:{'|'.join(sorted(BLOCKS | HIDDEN | INLINE))})\\b[^<>]{{0,2000}}>", re.I)
_ANY_TAG = re.compile(r"<(/?)([a-z][a-z0-9]{0,20})(?:[\s:/-][^<>]{0,2000})?>|<[!?][^<>]{0,2000}>", re.I)
_ENTITY = re.compile(r"&(?:[a-z]{2,8}|#\d{1,6}|#x[0-9a-f]{1,5});", re.I)
LONGEST_NAME = 60
RESERVED = frozenset(("con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))))


class _Text(HTMLParser):
    """Collects the text of HTML, a line for each block."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts: list[str] = []
        self.hidden = 0
        self.counts: list[int] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        """Begin a line at a block; number the items of an ordered list."""
        if tag in HIDDEN:
            self.hidden += 1
        elif tag in ("ol", "ul"):
            self.counts.append(0 if tag == "ol" else -1)
        elif tag in ("td", "th"):
            self.parts.append(" ")
        if tag in BLOCKS:
            self.parts.append("\n")
        if tag == "li" and self.counts and self.counts[-1] >= 0:
            self.counts[-1] += 1
            self.parts.append(f"{self.counts[-1]}. ")

    def handle_endtag(self, tag: str) -> None:
        """End a line at a block."""
        if tag in HIDDEN:
            self.hidden = max(0, self.hidden - 1)
        elif tag in ("ol", "ul") and self.counts:
            self.counts.pop()
        if tag in BLOCKS and tag != "br":
            self.parts.append("\n")

    def handle_data(self, data: str) -> None:
        """Keep what is shown."""
        if not self.hidden:
            self.parts.append(data)


def plain_text(cell: str) -> str:
    """Return a cell as text: HTML taken off, lines kept, control and direction marks gone."""
    tagged = _TAG.search(cell)
    if tagged or _ENTITY.search(cell):
        parser = _Text()
        # In HTML a line break is a space; export tools that add tags keep real ones as <br>.
        full = filter(None, map(str.strip, cell.split("\n")))
        # Of a tag only its name is wanted: what looks for the ends of quotes and comments takes hours over hostile ones.
        cell = _without_comments((" " if tagged else "\n").join(full))
        bare = _ANY_TAG.sub(lambda found: f"<{found[1]}{found[2]}>" if found[2] else "", cell)
        parser.feed(re.sub(r"<(?!/?[a-z][a-z0-9]*>)", "&lt;", bare, flags=re.I))
        parser.close()
        cell = "".join(parser.parts)
    cell = visible(cell).replace("\r\n", "\n").replace("\r", "\n").replace("\xa0", " ")
    lines = (re.sub(r"[ \t]+", " ", line).strip() for line in cell.split("\n"))
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip()


def _without_comments(cell: str) -> str:
    """Return HTML without its comments; one that does not end is none."""
    kept, place = [], 0
    while (start := cell.find("<!--", place)) >= 0 and (end := cell.find("-->", start)) >= 0:
        kept.append(cell[place:start])
        place = end + 3
    return "".join(kept) + cell[place:]


def one_line(text: str) -> str:
    """Return a text on one line, without marks that cannot be seen."""
    return " ".join(visible(text).split())


def no_formula(value: object) -> object:
    """Return a cell that a spreadsheet shows and does not run: a quote goes before what looks like a formula."""
    if isinstance(value, str) and value.lstrip(" \n").startswith(FORMULA):
        return f"'{value}"
    return value


def file_name(row: int, name: str) -> str:
    """Return a file name for a student, without a suffix: row number and plain letters, safe on every system."""
    plain = unicodedata.normalize("NFKD", one_line(name)).encode("ascii", "ignore").decode()
    plain = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-").lower()[:LONGEST_NAME].rstrip("-")
    if plain in RESERVED:
        plain = f"{plain}-"
    return f"{row:04d}-{plain}".rstrip("-") if plain else f"{row:04d}"


_ADDRESS = re.compile(r"\S+@\S+|https?://\S+|\b\d{5,}\b")
_WORD = re.compile(r"[^\W\d_]{2,}")


def anonymous(quote: str, own: str, others: Collection[str] = ()) -> str:
    """Return a quote without addresses and long numbers; empty where it may name somebody.

    ``own`` is the writer's name, no word of which may be in it; ``others`` are words of names in lower case, none of which
    may stand in it with a capital letter.
    """
    quote = one_line(_ADDRESS.sub("...", quote))
    words = _WORD.findall(quote)
    if {w.casefold() for w in words} & name_words(own):
        return ""
    return "" if any(w[0].isupper() and w.casefold() in others for w in words[1:]) else quote


def name_words(name: str) -> frozenset[str]:
    """Return the words of a name in lower case."""
    return frozenset(w.casefold() for w in _WORD.findall(name))


def clipped(text: str, most: int) -> str:
    """Return a text on one line, cut at a word where it is longer than ``most``."""
    text = one_line(text)
    if len(text) <= most:
        return text
    return f"{text[: most - 3].rsplit(' ', 1)[0] if ' ' in text[: most - 3] else text[: most - 3]}..."


def quoted(text: str, start: int, end: int, stop: int) -> str:
    """Return what is written from ``start``, past ``end``, to the end of its sentence or line, but not beyond ``stop``.

    What a step was read from may leave out the words that tell which layer was kept; who wrote it wants to see them.
    """
    rest = text[end:stop]
    found = re.search(r"[.;](?=\s|$)|\n", rest)
    return text[start:end] + (rest[: found.start()] if found else rest).rstrip(" ,;-\u2022\t")
