"""Read a workup that somebody wrote, in prose or as a table, into the steps of a proposal.

The text is cut into words, the words of the trade are recognised (``reading_words.py`` and the tables), and each verb
takes what stands around it. All passes are linear in the length of the text.
"""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from typing import Any

from washlore.knowledge.rows import Desiccant, Solution, Solvent, table

from . import reading_words as rw
from .proposal import Proposal, ReadStep, Unread

MAX_CHARACTERS = 30_000
MAX_ROWS = 500


class ReadingError(ValueError):
    """A text cannot be read as a plan at all; the message says why and what would work."""


def read_plan(text: str) -> Proposal:
    """Return the workup in ``text`` (free text, any style) as steps with their places in it.

    Raises ``ReadingError`` where ``text`` is not text or has more than ``MAX_CHARACTERS`` characters. A text without
    a workup gives a ``Proposal`` without steps.
    """
    _check(text)
    return _Reader(text).proposal()


def read_table(text: str, kind: str) -> Proposal:
    """Return a plan given as a table: ``kind`` is ``csv`` (with a header) or ``toml`` (an array of tables, ``step``).

    Columns: step, solution, strength, volume, repeats, layer kept; further: desiccant, ph, note. Each row is one step.

    Raises ``ReadingError`` where the table cannot be parsed or has no column that says what is done.
    """
    _check(text)
    if kind not in ("csv", "toml"):
        raise ReadingError(f"A table of the kind {kind!r} cannot be read; csv or toml can.")
    rows = _csv_rows(text) if kind == "csv" else _toml_rows(text)
    if not rows:
        raise ReadingError(
            "The table holds no step; write one row for each, such as: wash, NaHCO3, sat., 20 mL, 2, organic."
        )
    if len(rows) > MAX_ROWS:
        raise ReadingError(f"The table has {len(rows):,} rows; a plan of up to {MAX_ROWS} steps can be read.")
    steps: list[ReadStep] = []
    unread: list[Unread] = []
    for start, end, cells in rows:
        got, missed = _read_row(text, start, end, cells)
        steps += got
        unread += missed
    return Proposal(text, _settle(steps), tuple(unread))


def organic_solvent(plan: Proposal) -> str:
    """Return the id of the solvent that the organic layer of the first wash is in, as far as the words tell; or "".

    What it was extracted with comes first, then what the layer is called, then what was added or what the residue was
    dissolved in, and last the solvent of the reaction.
    """
    end = next((k for k, s in enumerate(plan.steps) if s.action == "wash"), len(plan.steps))
    early = plan.steps[:end]
    # A residue that is dissolved anew is in the new solvent.
    fresh = max((k for k, s in enumerate(early) if s.action in ("concentrate", "evaporate")), default=-1) + 1
    for steps in (early[fresh:], early):
        if found := next(
            (s.solvent for s in steps if s.action == "extract" and s.solvent and s.phase_kept != "aqueous"), ""
        ):
            return found
        if found := next((s.phase_solvent for s in plan.steps[fresh : end + 1] if s.phase_solvent), ""):
            return found
        if found := next(
            (
                s.solvent
                for s in reversed(steps)
                if s.action in ("dilute", "quench", "take up") and s.solvent and _parts(s.solvent)
            ),
            "",
        ):
            return found
    return (
        next((s.phase_solvent for s in plan.steps if s.phase_solvent), "")
        or plan.solvent_before
        or next((s.solvent for s in plan.steps if s.action == "extract" and s.solvent), "")
    )


def describe(step: ReadStep) -> str:
    """Return the step in words, as it is shown back: ``3 x 20 mL saturated NaHCO3, organic layer kept (assumed)``."""
    amount = _amount(step)
    what = _named(step)
    kept = _kept(step)
    match step.action:
        case "wash" | "take up":
            text = f"{amount}{what or 'a solution that was not read'}"
            text = text if step.action == "wash" else f"taken up in {text}"
        case "extract":
            text = f"extract with {amount}{what or 'a solvent that was not read'}"
        case "dry":
            text = f"dry over {what}" if what else "dry"
            kept = ""
        case "set ph":
            to = f" to pH {step.target_ph:g}" if step.target_ph is not None else ""
            sure = " (assumed)" if any(a.startswith("pH ") for a in step.assumed) else ""
            text = f"adjust{to}{sure}" + (f" with {amount}{what}" if what else "")
        case "quench" | "dilute" | "rinse":
            text = step.action + (f" with {amount}{what}" if what else "")
        case "concentrate" | "evaporate" | "filter":
            text = step.action
        case "discard":
            return f"discard the {'organic' if step.phase_kept == 'aqueous' else 'aqueous'} layer"
        case _:
            text = step.action
    return f"{text}, {kept}" if kept else text


def _check(text: Any) -> None:
    if not isinstance(text, str):
        raise ReadingError(
            f"The plan was given as {type(text).__name__}, not as text; write it as people write a workup."
        )
    if len(text) > MAX_CHARACTERS:
        raise ReadingError(
            f"The plan has {len(text):,} characters; up to {MAX_CHARACTERS:,} can be read. Give the workup alone."
        )


def _amount(step: ReadStep) -> str:
    times = f"{step.repeats} x " if step.repeats > 1 else ""
    if step.volume_ml is not None:
        return f"{times}{step.volume_ml:g} mL "
    if step.relative_volume is not None:
        return f"{times}{step.relative_volume:g} volume{'' if step.relative_volume == 1 else 's'} "
    return times


def _named(step: ReadStep) -> str:
    parts = []
    if step.solution:
        row = table(Solution).get(step.solution)
        parts.append(row.name if row else step.solution)
    if step.solvent:
        solvent = table(Solvent).get(step.solvent)
        parts.append(solvent.name if solvent else step.solvent)
    if step.desiccant:
        agent = table(Desiccant).get(step.desiccant)
        parts.append(agent.name if agent else step.desiccant)
    return " and ".join(parts)


def _kept(step: ReadStep) -> str:
    if step.layer_kept:
        return f"{step.layer_kept} layer kept"
    if step.phase_kept:
        return f"{step.phase_kept} layer kept"
    for note in step.assumed:
        if note.endswith("layer kept"):
            return f"{note} (assumed)"
    return ""


# Characters and words


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


def _normalise(text: str) -> tuple[str, list[int]]:
    """Return the text as it is compared, and for each of its characters the place in ``text``."""
    if text.isascii():
        return text.replace("\r", "\n").replace("\x0b", "\n").replace("\x0c", "\n"), list(range(len(text) + 1))
    out: list[str] = []
    at: list[int] = []
    for place, character in enumerate(text):
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
    r"|(?P<glued>(?<=\d)(?:m[lL]|ML|cc)(?=[xX]\d)|(?<=\d)[MN](?=HCl|NaOH|KOH|H2SO4|Na|K|HC)|[pP][hH](?=\d)|[xX](?=\d))"
    rf"|(?P<word>{_LETTER}(?:{_LETTER}|\d|'(?={_LETTER}))*)"
    r"|(?P<sign>\n|[^\s\w]|_)"
)


@dataclass(slots=True)
class _Token:
    """A word or sign, or a phrase of the trade; ``kinds`` is what it may be and as what."""

    low: str
    start: int
    end: int
    kinds: dict[str, Any] = field(default_factory=dict)
    capital: bool = False
    number: float | None = None

    def has(self, *kinds: str) -> bool:
        return any(kind in self.kinds for kind in kinds)


def _low(word: str) -> str:
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


def _words(norm: str) -> list[_Token]:
    found = []
    for match in _TOKEN.finditer(norm):
        raw = match.group()
        token = _Token(_low(raw), match.start(), match.end(), capital=raw[0].isupper())
        if match.lastgroup == "num":
            token.number = _number(raw[:40])
        found.append(token)
    return found


_SPELT_OUT = re.compile(r"(\d+)")


def _spellings(phrase: str) -> Iterable[str]:
    yield phrase
    if any(c.isdigit() for c in phrase) and any(c.isalpha() for c in phrase) and " " not in phrase:
        yield _SPELT_OUT.sub(r" \1 ", phrase).strip()


_CORRECTED = frozenset({"solution", "desiccant", "sat", "aqueous", "organic", "organics", "anhydrous"})
_CORRECTED_VERBS = rw.words(
    "wash extract back-extract dry filter rinse concentrate quench dilute dissolve acidify basify "
    "neutralize partition combine discard separate"
)
_CORRECTED_SOLVENTS = rw.words(
    "diethyl_ether ethyl_acetate dichloromethane chloroform toluene mtbe petroleum_ether benzene"
)


class _Lexicon:
    """The phrases of the trade as a tree of words, and the single words for the correction of slips."""

    def __init__(self) -> None:
        self.tree: dict[str, Any] = {}
        self.words: set[str] = set()
        # The words that a slip may be put right to: those that decide what a step is.
        self.targets: set[str] = set()
        for key, solute in rw.SOLUTES.items():
            for name in solute.names:
                self.add(name, "solution", key)
        self._add_rows()
        for identifier, names in rw.SOLVENT_NAMES.items():
            for name in names:
                self.add(name, "solvent", identifier)
        for identifier, names in rw.DESICCANT_NAMES.items():
            for name in names:
                self.add(name, "desiccant", identifier)
        for verb, names in rw.VERBS.items():
            for name in names:
                self.add(name, "verb", verb)
        for kind, names in rw.WORDS.items():
            for name in names:
                self.add(name, kind, name)
        for kind, values in (
            ("numword", rw.NUMBERS),
            ("times", rw.TIMES),
            ("relative", rw.RELATIVE),
            ("ml", rw.UNITS_ML),
        ):
            for name, value in values.items():
                self.add(name, kind, value)
        for name in rw.VAGUE:
            self.add(name, "vague", name)
        for name in rw.OTHER_UNITS:
            self.add(name, "other unit", name)
        self.slips = self._slips()

    def _add_rows(self) -> None:
        """Add the spellings of the tables that the lists do not hold, so that a new row is read too."""
        grouped = {row for solute in rw.SOLUTES.values() for row in solute.rows}
        for row in table(Solution).values():
            if row.id not in grouped:
                for name in (row.name, *row.aliases):
                    self.add(name, "row", row.id)
        for solvent in table(Solvent).values():
            for name in (solvent.name, *solvent.aliases):
                if name.lower() not in rw.NOT_SOLVENTS and solvent.id != "water":
                    self.add(name, "solvent", solvent.id)
        for agent in table(Desiccant).values():
            for name in (agent.name, *agent.aliases):
                self.add(name, "desiccant", agent.id)

    def add(self, phrase: str, kind: str, value: Any) -> None:
        for spelling in _spellings(phrase):
            norm, _ = _normalise(spelling)
            tokens = [t.low for t in _words(norm) if t.low != "-"]
            if not tokens:
                continue
            node = self.tree
            for low in tokens:
                node = node.setdefault(low, {})
            node.setdefault("", {}).setdefault(kind, value)
            words = {low for low in tokens if len(low) >= 4 and low.isalpha()}
            self.words |= words
            if (
                kind in _CORRECTED
                or (kind == "verb" and value in _CORRECTED_VERBS)
                or (kind == "solvent" and value in _CORRECTED_SOLVENTS)
            ):
                self.targets |= {w for w in words if len(w) > 5 or w in ("brine", "dried", "water")}

    def _slips(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for word in sorted(self.words):
            if len(word) >= 5 and word in self.targets:
                for form in {word, *(word[:i] + word[i + 1 :] for i in range(1, len(word)))}:
                    found.setdefault(form, []).append(word)
        return {form: tuple(words) for form, words in found.items()}

    def corrected(self, word: str) -> str:
        """Return the word of the trade one slip away from ``word`` (two in long words), or ``word`` itself."""
        return _corrected(word)


@lru_cache(maxsize=8192)
def _corrected(word: str) -> str:
    lexicon = _lexicon()
    if not 4 <= len(word) <= 24 or word in lexicon.words or word in rw.NEVER_CORRECTED or not word.isalpha():
        return word
    best, fewest = word, 3
    for form in (word, *(word[:i] + word[i + 1 :] for i in range(1, len(word)))):
        for candidate in lexicon.slips.get(form, ()):
            allowed = 1 if len(candidate) < 9 else 2
            slips = _distance(word, candidate)
            if slips <= allowed and slips < fewest:
                best, fewest = candidate, slips
    return best


def _distance(a: str, b: str) -> int:
    """Return the slips (letter added, lost, changed, or two swapped) between two short words."""
    before: list[int] = []
    last = list(range(len(b) + 1))
    for i, x in enumerate(a, start=1):
        now = [i]
        for j, y in enumerate(b, start=1):
            value = min(last[j] + 1, now[-1] + 1, last[j - 1] + (x != y))
            if i > 1 and j > 1 and x == b[j - 2] and a[i - 2] == y:
                value = min(value, before[j - 2] + 1)
            now.append(value)
        before, last = last, now
    return last[-1]


@cache
def _lexicon() -> _Lexicon:
    return _Lexicon()


def _lex(norm: str) -> list[_Token]:
    """Return the words of the text, with phrases of the trade joined and recognised."""
    lexicon = _lexicon()
    raw = _words(norm)
    for token in raw:
        if token.number is None and token.low not in lexicon.tree and len(token.low) > 3:
            token.low = lexicon.corrected(token.low)
    out: list[_Token] = []
    i, count = 0, len(raw)
    while i < count:
        node, j, best, depth = lexicon.tree, i, None, 0
        while j < count and depth < 9:
            low = raw[j].low
            # A hyphen inside a phrase, and the line that ends in one of its spaces, do not count.
            if (j > i and low == "-") or (j > i and low == "." and _dotted(norm, raw, j)):
                j += 1
                continue
            following = node.get(low)
            if following is None:
                break
            node, j, depth = following, j + 1, depth + 1
            if "" in node:
                best = (j, node[""])
        first = raw[i]
        if best is None:
            if not (first.low == "-" and _inner_hyphen(norm, first)):
                out.append(first)
            i += 1
            continue
        j, kinds = best
        written = norm[first.start : raw[j - 1].end]
        kinds = dict(kinds)
        if ("solvent" in kinds or "solution" in kinds) and _part_of_a_name(norm, raw, i, j, out):
            for kind in ("solvent", "solution", "desiccant"):
                kinds.pop(kind, None)
        if _low(written).upper() in rw.CAPITALS_ONLY and not written.isupper():
            kinds.pop("solvent", None), kinds.pop("solution", None)
        low = first.low if j == i + 1 else _low(written)
        out.append(_Token(low, first.start, raw[j - 1].end, kinds, first.capital, first.number))
        i = j
    return out


def _dotted(norm: str, raw: Sequence[_Token], j: int) -> bool:
    """Tell whether a point within a phrase only shortens the word before it (pet. ether, sat. ...)."""
    return len(raw[j - 1].low) <= 4 and j + 1 < len(raw) and not raw[j + 1].capital and raw[j].start == raw[j - 1].end


_NAME_GOES_ON = rw.words(
    "hydrochloride hydrobromide sulfonic sulfonyl sulfonate sulfonamide carboxylic carboxylate "
    "carboxaldehyde derivative tosylate oxide methiodide diamide sulfonylchloride perchlorate trihydrate"
)


def _part_of_a_name(norm: str, raw: Sequence[_Token], i: int, j: int, out: Sequence[_Token]) -> bool:
    """Tell whether the words are the end or beginning of a longer chemical name, such as azabicyclo[3.1.0]hexane."""
    first, last = raw[i], raw[j - 1]
    if i and raw[i - 1].end == first.start:
        before = raw[i - 1].low
        if before == "]" and out and norm[raw[i - 2].start].isdigit() if i > 1 else False:
            return True
        if before == "-" and i > 1 and raw[i - 2].end == raw[i - 1].start:
            previous = out[-1] if out else None
            if previous is not None and previous.low == "-":
                previous = out[-2] if len(out) > 1 else None
            known = previous is not None and previous.end >= raw[i - 2].end and bool(previous.kinds)
            if not known and raw[i - 2].low not in (")", "%", "ml", "cold"):
                return True
    if j < len(raw):
        after = raw[j]
        if after.low in _NAME_GOES_ON:
            return True
        if after.low == "-" and after.start == last.end and j + 1 < len(raw) and raw[j + 1].start == after.end:
            following = raw[j + 1]
            if following.number is not None and j + 2 < len(raw) and raw[j + 2].low == "-":
                return True
            if following.number is None and following.low not in _lexicon().tree and following.low.isalpha():
                return True
    return False


def _inner_hyphen(norm: str, token: _Token) -> bool:
    before = norm[token.start - 1 : token.start]
    after = norm[token.end : token.end + 1]
    return (before.isalnum() or before in ")%") and after.isalnum() and not (before.isdigit() and after.isdigit())


# Amounts


@dataclass(slots=True)
class _Amount:
    """What is said of a solution besides its name."""

    volume: float | None = None
    relative: float | None = None
    repeats: int | None = None
    percent: float | None = None
    molar: float | None = None
    normal: float | None = None
    state: str = ""  # sat, half, dil, conc
    ph: float | None = None
    ratio: tuple[float, float] | None = None
    notes: list[str] = field(default_factory=list)
    words: list[tuple[int, int]] = field(default_factory=list)  # places of the strength
    each: bool = False
    solid: bool = False
    aqueous: bool = False
    start: int = -1
    end: int = -1

    def empty(self) -> bool:
        return self.start < 0

    def sized(self) -> bool:
        return self.volume is not None or self.relative is not None or self.repeats is not None

    def strong(self) -> bool:
        return self.percent is not None or self.molar is not None or self.normal is not None or bool(self.state)

    def take(self, other: _Amount) -> None:
        """Fill what is not said yet from ``other``."""
        for name in ("volume", "relative", "repeats", "percent", "molar", "normal", "ph", "ratio"):
            if getattr(self, name) is None:
                setattr(self, name, getattr(other, name))
        self.state = self.state or other.state
        self.notes += [n for n in other.notes if n not in self.notes]
        self.words += other.words
        self.each |= other.each
        self.solid |= other.solid
        self.aqueous |= other.aqueous
        if other.start >= 0:
            self.start = other.start if self.start < 0 else min(self.start, other.start)
            self.end = max(self.end, other.end)


def _next(tokens: Sequence[_Token], i: int, high: int) -> _Token | None:
    return tokens[i] if i < high else None


def _whole(value: float | None) -> int | None:
    return int(value) if value is not None and value == value and value == int(value) and 1 <= value <= 20 else None


def _count(token: _Token | None) -> float | None:
    if token is None:
        return None
    return token.number if token.number is not None else token.kinds.get("numword")


def _amount_at(tokens: Sequence[_Token], i: int, high: int) -> tuple[int, _Amount] | None:
    """Read one amount at ``i``: a volume, how often, a strength, a pH or a ratio; return where it ends."""
    first = tokens[i]
    amount = _Amount(start=first.start, end=first.end)

    def done(j: int) -> tuple[int, _Amount]:
        amount.end = tokens[j - 1].end
        return j, amount

    for kind in ("half", "sat"):
        if first.has(kind):
            amount.state = kind
            amount.words.append((first.start, first.end))
            return done(i + 1)
    if first.has("relative"):
        amount.relative = first.kinds["relative"]
        amount.each = first.low.endswith("volumes") and "equal" in first.low
        j = i + 1
        while j < high and (tokens[j].has("of", "portions") or tokens[j].low in ("of", "each")):
            j += 1
        return done(j)
    if first.has("times") and first.low != "neutral":
        amount.repeats, note = first.kinds["times"]
        if note:
            amount.notes.append(note)
        return done(i + 1)
    if first.has("vague"):
        amount.notes.append(f"{first.low}: no volume counted")
        return done(i + 1)
    if first.has("ph"):
        j = i + 1
        while j < high and (
            tokens[j].low
            in (
                "=",
                "of",
                "~",
                "about",
                "approximately",
                "ca",
                ".",
                "<",
                ">",
                "around",
                ":",
                "value",
                "is",
                "was",
                "to",
                "at",
                "a",
                "≤",
                "≥",
                "below",
                "above",
            )
        ):
            j += 1
        value = _count(_next(tokens, j, high))
        if value is None or not 0 <= value <= 14:
            return None
        low = value
        if (
            (k := j + 1) + 1 < high
            and tokens[k].low in ("-", "to")
            and (upper := _count(tokens[k + 1])) is not None
            and 0 <= upper <= 14
        ):
            low, j = (value + upper) / 2, k + 1
        amount.ph = low
        return done(j + 1)
    if first.has("x") and first.low in ("x", "*"):
        # "x 3" after a volume.
        if (times := _whole(_count(_next(tokens, i + 1, high)))) is not None:
            unit = _next(tokens, i + 2, high)
            if unit is not None and unit.has("ml"):
                return None
            amount.repeats = times
            j = i + 2
            if j < high and tokens[j].low in ("times", "time"):
                j += 1
            return done(j)
        return None
    if first.has("dil") and first.low != "diluted":
        amount.state = "dil"
        amount.words.append((first.start, first.end))
        return done(i + 1)
    value = _count(first)
    if value is None or value != value:
        return None
    return _numbered(tokens, i, high, value, amount)


def _numbered(tokens: Sequence[_Token], i: int, high: int, value: float, amount: _Amount) -> tuple[int, _Amount] | None:
    """Read an amount that begins with a number."""
    j = i + 1

    def done(k: int) -> tuple[int, _Amount]:
        amount.end = tokens[k - 1].end
        return k, amount

    def trail(k: int) -> int:
        """Pass over the words that only say that the volume is of one portion."""
        while k < high:
            token = tokens[k]
            if token.has("each"):
                # "Each time" is of one solution, "each" of all.
                amount.each = token.low in ("each", "of each", "apiece")
            elif not (
                token.has("portions")
                or token.has("of")
                or token.low in ("-", "more", "fresh", "further", "additional", "new")
            ):
                if (
                    token.low == "."
                    and k + 1 < high
                    and tokens[k - 1].has("ml")
                    and (tokens[k + 1].has("portions", "of", "each") or tokens[k + 1].low == "x")
                ):
                    k += 1
                    continue
                break
            k += 1
        return k

    token = _next(tokens, j, high)
    if (
        token is not None
        and token.low in ("more", "further", "additional", "fresh", "other", "small", "equal")
        and j + 1 < high
    ) and tokens[j + 1].has("portions", "x"):
        j, token = j + 1, tokens[j + 1]
    # Ranges: 20-30 mL, 5 to 10 %.
    if token is not None and token.low in ("-", "to") and (upper := _count(_next(tokens, j + 1, high))) is not None:
        unit = _next(tokens, j + 2, high)
        if unit is not None and unit.has("ml", "pct", "molar", "normal", "other unit", "portions", "x"):
            amount.notes.append(f"{value:g} to {upper:g}: {(value + upper) / 2:g} counted")
            value, j, token = (value + upper) / 2, j + 2, unit
    if token is None:
        return _bare(tokens, i, high, value, amount)
    if token.low in (":", "/") and (other := _count(_next(tokens, j + 1, high))) is not None:
        if value == 1 and other == 2 and (after := _next(tokens, j + 2, high)) is not None and after.has("sat"):
            amount.state = "half"
            return done(j + 3)
        amount.ratio = (value, other)
        amount.words.append((tokens[i].start, tokens[j + 1].end))
        return done(j + 2)
    if token.has("ml") and not (False):
        amount.volume = value * token.kinds["ml"]
        j = j + 1
        if (
            j < high
            and tokens[j].low == "."
            and j + 1 < high
            and (tokens[j + 1].has("x", "portions", "each", "of") or not tokens[j + 1].capital)
        ):
            j += 1
        j = trail(j)
        # 20 mL x 3, (20 mL, 3x), 20 mL three times.
        k = j
        if k < high and tokens[k].low == "," and k + 2 < high and tokens[k + 2].has("x"):
            k += 1
        if k < high and (got := _repeats(tokens, k, high)) is not None:
            j, amount.repeats = got
            j = trail(j)
        return done(j)
    if token.low == "x" or token.low == "*" or token.has("portions", "x"):
        times = _whole(value)
        k = j + 1
        if token.has("portions") or token.low in ("times", "time", "fold", "mal"):
            if times is None:
                return None
            amount.repeats = times
            k = trail(k)
            return _with_volume(tokens, k, high, amount) or done(k)
        second = _count(_next(tokens, k, high))
        if second is not None and second == second:
            unit = _next(tokens, k + 1, high)
            if times and unit is not None and unit.low == "/" and (part := _count(_next(tokens, k + 2, high))):
                noun = _next(tokens, k + 3, high)
                if noun is not None and noun.has("volumes"):
                    amount.repeats, amount.relative = times, second / part
                    return done(k + 4)
            if times and unit is not None and unit.has("volumes"):
                amount.repeats, amount.relative = times, second
                return done(k + 2)
            if unit is not None and unit.has("pct", "molar", "normal") and not unit.has("ml"):
                amount.repeats = times
                return done(k)
            if times is None or (
                value > 9 and _whole(second) is not None and second < value and not (unit and unit.has("ml"))
            ):
                value, second, times = second, value, _whole(second)
            if times is None:
                return None
            amount.repeats = times
            k += 1
            if unit is not None and unit.has("ml"):
                amount.volume = second * unit.kinds["ml"]
                k += 1
            else:
                amount.volume = second
                amount.notes.append(f"{second:g} mL: the unit was not written")
            return done(trail(k))
        if times is None:
            return None
        amount.repeats = times
        return done(trail(k))
    if token.has("pct"):
        amount.percent = value
        amount.words.append((tokens[i].start, token.end))
        j += 1
        # 10% w/v, 10% (w/v)
        return done(j)
    strength_next = _next(tokens, j + 1, high)
    if token.has("molar", "normal"):
        if token.low == "m" and strength_next is not None and strength_next.low == "in":
            pass
        if token.has("normal"):
            amount.normal = value
        else:
            amount.molar = value
        amount.words.append((tokens[i].start, token.end))
        return done(j + 1)
    if token.has("other unit") or token.low in ("°", "'"):
        return None
    if token.has("volumes"):
        amount.relative = value
        return done(trail(j + 1))
    if (inner := _count(token)) is not None:
        # three 20 mL portions
        unit = _next(tokens, j + 1, high)
        if unit is not None and unit.has("ml") and _whole(value) is not None:
            amount.repeats = _whole(value)
            amount.volume = inner * unit.kinds["ml"]
            return done(trail(j + 2))
    if tokens[i].has("numword"):
        # "two washes", "three portions of".
        if token.has("verb") and token.low in ("washes", "extractions", "washings", "wash"):
            amount.repeats = _whole(value)
            return done(i + 1)
        if token.has("solution", "solvent", "sat"):
            amount.repeats = _whole(value)
            return done(i + 1)
        return None
    return _bare(tokens, i, high, value, amount)


def _bare(tokens: Sequence[_Token], i: int, high: int, value: float, amount: _Amount) -> tuple[int, _Amount] | None:
    """Read a number without a unit: a volume where it can be one."""
    if tokens[i].number is None or not 5 <= value <= 5000:
        return None
    if ((after := _next(tokens, i + 1, high)) is not None and after.low in ("-", "°", "'")) or (
        after and after.number is not None
    ):
        return None
    amount.volume = value
    amount.notes.append(f"{value:g} mL: the unit was not written")
    return i + 1, amount


def _repeats(tokens: Sequence[_Token], i: int, high: int) -> tuple[int, int] | None:
    """Read how often: x 3, 3x, three times, twice; return where it ends and the number."""
    token = tokens[i]
    if token.has("times") and not token.kinds["times"][1]:
        return i + 1, token.kinds["times"][0]
    if token.low in ("x", "*") and (times := _whole(_count(_next(tokens, i + 1, high)))) is not None:
        unit = _next(tokens, i + 2, high)
        if unit is not None and unit.low in ("times", "time"):
            return i + 3, times
        return (i + 2, times) if unit is None or not unit.has("ml", "pct", "molar", "normal") else None
    if (
        (times := _whole(_count(token))) is not None
        and (unit := _next(tokens, i + 1, high)) is not None
        and unit.has("x")
    ):
        after = _next(tokens, i + 2, high)
        if after is None or _count(after) is None or unit.low != "x":
            return i + 2, times
    return None


def _with_volume(tokens: Sequence[_Token], i: int, high: int, amount: _Amount) -> tuple[int, _Amount] | None:
    """Read the volume after how often: three times with 20 mL, 3 portions (20 mL)."""
    k = i
    while k < high and tokens[k].low in ("of", "with", "(", "using"):
        k += 1
    value = _count(_next(tokens, k, high))
    unit = _next(tokens, k + 1, high)
    if (
        value is None
        or unit is None
        or not unit.has("ml")
        or tokens[k].number is None
        or any(t.low == "(" for t in tokens[i:k])
    ):
        return None
    amount.volume = value * unit.kinds["ml"]
    k += 2
    while k < high and tokens[k].has("portions", "each", "of"):
        k += 1
    amount.end = tokens[k - 1].end
    return k, amount


# Which row is meant


@dataclass(frozen=True, slots=True)
class _Strength:
    row: str
    molar: float
    percent: float | None
    saturated: bool
    concentrated: bool


_PERCENT = re.compile(r"(\d+(?:\.\d+)?) % w/w")
_MOLAR = re.compile(r"(\d+(?:\.\d+)?) M\b")


@cache
def _strengths(key: str) -> tuple[_Strength, ...]:
    found = []
    for identifier in rw.SOLUTES[key].rows:
        row = table(Solution).get(identifier)
        if row is None:
            continue
        percent = _PERCENT.match(row.strength)
        found.append(
            _Strength(
                identifier,
                row.molarity_m,
                float(percent[1]) if percent else None,
                row.strength.startswith("saturated"),
                identifier.endswith("_conc"),
            )
        )
    return tuple(found)


def _choose(key: str, amount: _Amount, written: str) -> tuple[str, list[str]]:
    """Return the row of the solutions table that is meant, and what was assumed."""
    solute = rw.SOLUTES[key]
    if key in ("na2s2o3_nahco3", "nh4cl_nh3"):
        return solute.usual, []
    notes = [solute.stands_for] if solute.stands_for else []
    if amount.ph is not None and (
        key in ("buffer", "phosphate", "citrate", "carbonate_buffer", "borate", "acetate", "tris", "nah2po4", "kh2po4")
    ):
        among = [b for b in rw.BUFFERS if key in ("buffer",) or b[1] in solute.rows] or list(rw.BUFFERS)
        if key in ("nah2po4", "kh2po4"):
            among = [b for b in rw.BUFFERS if b[1].startswith("phosphate")]
        if key in ("acetate", "borate", "carbonate_buffer", "tris"):
            return solute.usual, notes
        wanted_ph = amount.ph
        ph, row = min(among, key=lambda b: abs(b[0] - wanted_ph))
        if abs(ph - amount.ph) > 0.3:
            notes.append(f"pH {amount.ph:g} is read as the nearest buffer, {_row_name(row)}")
        elif key == "buffer":
            notes.append(f"read as {_row_name(row)}")
        return row, notes
    strengths = _strengths(key)
    if not amount.strong():
        if key in ("water", "ice_water", "brine") or key in ("na2s2o3_nahco3", "nh4cl_nh3"):
            return solute.usual, notes
        notes.append(f"strength not given: {_row_name(solute.usual)}")
        return solute.usual, notes
    if key in ("water", "ice_water"):
        return solute.usual, notes
    if key == "brine":
        if amount.state == "half" or (amount.percent is not None and amount.percent in (50.0,)):
            return "half_brine", notes
        if (amount.percent is not None and abs(amount.percent - 26) > 3) or amount.molar is not None:
            weak = (amount.percent or 0) / 5.85 if amount.percent is not None else amount.molar or 0
            row = "half_brine" if weak < 3.7 else "brine"
            notes.append(f"{written} is read as the nearest, {_row_name(row)}")
            return row, notes
        return "brine", notes
    if amount.percent is None and amount.molar is None and amount.normal is None:
        if amount.state == "sat":
            exact = [s for s in strengths if s.saturated]
        elif amount.state == "conc":
            exact = [s for s in strengths if s.concentrated or s.saturated]
        elif amount.state == "half":
            exact = [s for s in strengths if s.row.endswith("_half")] or [s for s in strengths if s.row == "nahco3_5"]
        else:
            exact = []
        if exact:
            return exact[0].row, notes
        if amount.state == "dil":
            notes.append(f"dilute: read as {_row_name(solute.usual)}")
            return solute.usual, notes
        top = max(strengths, key=lambda s: s.molar)
        row = top.row if amount.state in ("sat", "conc") else solute.usual
        notes.append(f"{written} is read as the nearest, {_row_name(row)}")
        return row, notes
    if amount.percent is not None:
        for s in strengths:
            if s.percent is not None and abs(s.percent - amount.percent) <= 0.02 * s.percent:
                return s.row, notes
        # What one per cent is in mol/L, from the row whose percentage is nearest; 10 g/L over its molar mass otherwise.
        known = [s for s in strengths if s.percent]
        per = min(known, key=lambda s: abs((s.percent or 0) - (amount.percent or 0))) if known else None
        wanted = amount.percent * (per.molar / per.percent if per and per.percent else _per_percent(key))
    else:
        wanted = amount.molar if amount.molar is not None else (amount.normal or 0) / solute.equivalents
        for s in strengths:
            if s.percent is None and abs(s.molar - wanted) <= 0.02 * s.molar:
                return s.row, notes
    nearest = min(strengths, key=lambda s: abs(math.log(max(s.molar, 1e-6) / max(wanted, 1e-6))))
    if abs(nearest.molar - wanted) > 0.06 * nearest.molar:
        notes.append(f"{written} is read as the nearest, {_row_name(nearest.row)}")
    elif nearest.percent is not None or amount.percent is not None:
        notes.append(f"{written} is read as {_row_name(nearest.row)}")
    return nearest.row, notes


_MOLAR_MASS = {
    "koh": 56.1, "lioh": 23.9, "h2so4": 98.1, "hno3": 63.0, "nahso4": 120.1, "h3po4": 98.0, "oxalic": 90.0,
    "nah2po4": 120.0, "kh2po4": 136.1, "k3po4": 212.3, "na2hpo4": 142.0, "na2so4": 142.0, "nh42so4": 132.1,
    "edta": 372.2, "cuso4": 159.6, "rochelle": 210.2, "na3citrate": 258.1, "phosphate": 120.0,
}  # fmt: skip


def _per_percent(key: str) -> float:
    return 10.0 / _MOLAR_MASS.get(key, 120.0)


def _row_name(identifier: str) -> str:
    return table(Solution)[identifier].name


# Sentences and verbs


_SHORTENED = rw.words(
    "btw betw comb wt sat'd conc'd sol'n sat satd aq dil conc concd ml mls l hr hrs h min mins approx ca "
    "vol vols anhyd soln sol org temp no g mg kg gm gms mm mol mmol eq equiv e i ex etc cc lit wt mp m n "
    "evap ext abs b p tert sec cm anh pet petr dist dec max vac fig sep anhydr aqu sq nat liq tech alc "
    "chem ether's v deg ltr hplc iso c f verd ges wässr gesätt approx appr ppt extd saturd"
)


# A sentence without an end is cut here, so that the time stays in proportion to the length of the text.
_LONG = 300


def _sentences(tokens: list[_Token], norm: str) -> list[list[_Token]]:
    """Cut the words into sentences and lines of notes; numbers and bullets that begin a line are left out."""
    sentences: list[list[_Token]] = [[]]
    count = len(tokens)
    fresh = True  # at the beginning of a line
    i = 0
    lines = norm.count("\n") + 1
    short_lines = lines > 2 and len(norm) / lines < 70
    while i < count:
        token = tokens[i]
        low = token.low
        if low == "\n":
            following = tokens[i + 1] if i + 1 < count else None
            blank = following is not None and following.low == "\n"
            bullet = following is not None and (
                following.low in ("-", "•", "*", "+", ">", "o", "#") or _numbering(tokens, i + 1, norm) > 0
            )
            ended = i > 0 and tokens[i - 1].low in (".", ":", ";", "!", "?")
            if (
                blank
                or bullet
                or ended
                or short_lines
                or (following is not None and following.capital and following.has("verb"))
            ):
                sentences.append([])
            fresh = True
            i += 1
            continue
        if fresh:
            skip = _numbering(tokens, i, norm)
            if skip:
                if sentences[-1]:
                    sentences.append([])
                i += skip
                continue
        fresh = False
        if low in (".", "!", "?", "…") and _ends(tokens, i, norm):
            sentences.append([])
            if i + 1 < count and _numbering(tokens, i + 1, norm) and tokens[i + 1].low != "(":
                i += 1 + _numbering(tokens, i + 1, norm)
                continue
        elif low == ">" and 0 < i < count - 1 and tokens[i - 1].low not in ("ph", "("):
            sentences.append([])
        elif low == "•":
            # A bullet within the line, or the point before the water of a crystal.
            if not (0 < i < count - 1 and tokens[i + 1].number is not None and tokens[i - 1].end == token.start):
                sentences.append([])
        elif i > 0 and (skip := _inline_numbering(tokens, i, norm)):
            sentences.append([])
            i += skip
            continue
        else:
            if len(sentences[-1]) >= _LONG and (low in (",", ";") or len(sentences[-1]) >= 2 * _LONG):
                sentences.append([])
            sentences[-1].append(token)
        i += 1
    return [s for s in sentences if s]


def _numbering(tokens: Sequence[_Token], i: int, norm: str) -> int:
    """Return how many signs at ``i`` only number or mark a line: 1. 2) (3) Step 4: - •."""
    count = len(tokens)
    if i >= count:
        return 0
    token = tokens[i]
    if token.low in ("•", "#", "o") or (
        token.low in ("-", "+", "*", ">") and i + 1 < count and tokens[i + 1].start > token.end
    ):
        return 1
    if token.low in ("-", "*", ">") and (i == 0 or tokens[i - 1].low == "\n"):
        return 1
    if token.low == "[" and i + 2 < count and tokens[i + 1].low in ("x", "]", " "):
        return 3 if tokens[i + 1].low == "x" else 2
    if token.low == "step" and i + 1 < count and tokens[i + 1].number is not None:
        return 3 if i + 2 < count and tokens[i + 2].low in (":", ".", ")", "-") else 2
    short = (token.number is not None and token.number < 60) or (len(token.low) == 1 and token.low.isalpha())
    if token.low == "(" and i + 2 < count and tokens[i + 2].low == ")":
        inner = tokens[i + 1]
        return (
            3
            if (inner.number is not None and inner.number < 60) or (len(inner.low) == 1 and inner.low.isalpha())
            else 0
        )
    if short and i + 1 < count and tokens[i + 1].start == token.end:
        sign = tokens[i + 1].low
        if sign in (")", ":") or (sign == "." and i + 2 < count and tokens[i + 2].start > tokens[i + 1].end):
            ratio = sign == ":" and i + 2 < count and tokens[i + 2].number is not None
            return 0 if ratio else 2
    return 0


def _inline_numbering(tokens: Sequence[_Token], i: int, norm: str) -> int:
    """Numbers in running text, as in ``1) wash with HCl 2) wash with brine``."""
    token = tokens[i]
    if (
        token.number is not None
        and token.number < 30
        and i + 2 < len(tokens)
        and norm[:12].lstrip(" -#\n").startswith("1.")
    ):
        point, following = tokens[i + 1], tokens[i + 2]
        if point.low == "." and point.start == token.end and following.start > point.end and following.has("verb"):
            return 2
    if (
        token.number is not None
        and token.number < 30
        and i + 2 < len(tokens)
        and tokens[i + 1].low == ")"
        and tokens[i + 1].start == token.end
    ):
        # Not the number that closes a bracket: (pH 2), (x 3).
        depth = 0
        for back in range(i - 1, max(-1, i - 12), -1):
            if tokens[back].low == ")":
                depth += 1
            elif tokens[back].low == "(":
                if depth == 0:
                    return 0
                depth -= 1
        return 2
    return 0


def _ends(tokens: Sequence[_Token], i: int, norm: str) -> bool:
    """Tell whether the point at ``i`` ends a sentence."""
    if i + 1 >= len(tokens):
        return True
    token, after = tokens[i], tokens[i + 1]
    if after.low == "\n":
        return not (i > 0 and tokens[i - 1].low in ("sat", "aq", "dil", "conc"))
    before = tokens[i - 1].low.rstrip(".") if i else ""
    if i and before in ("with", "of", "over", "and", "the", "a", "to", "in") and not after.capital:
        return False
    last = before.split()[-1] if before else ""
    spaced = after.start > token.end
    if last in _SHORTENED or (len(last) == 1 and last.isalpha()):
        # After a shortened word, only a capital that is no chemical begins a sentence.
        chemical = after.has("solution", "solvent", "desiccant", "sat", "aqueous", "row", "half", "buffer")
        return (spaced and after.capital and not chemical and after.end - after.start > 2) or (
            (spaced and after.low in ("a", "to")) and after.capital
        )
    if not spaced:
        return after.capital and len(last) > 2 and last.isalpha()
    return True


_LIQUID_VERBS = frozenset(
    {"extract", "partition", "dilute", "dissolve", "separate", "combine", "pour", "quench", "back-extract"}
)


@dataclass(slots=True)
class _Phase:
    """A layer that the words name."""

    kind: str  # organic, aqueous, top, bottom, liquid, solid, residue, layers
    solvent: str = ""
    index: int = 0
    last: int = 0


@dataclass(slots=True)
class _Item:
    """One solution, solvent or drying agent, with what is said of it."""

    kinds: dict[str, Any]
    low: str
    amount: _Amount
    start: int
    end: int
    first: int
    last: int
    separated: bool = False
    unknown: bool = False
    bracket: bool = False


@dataclass(slots=True)
class _Op:
    """An operation as found, before the workup is told from what surrounds it."""

    action: str
    start: int
    end: int
    sentence: int
    weak: bool = False
    solution: str = ""
    strength: str = ""
    solvent: str = ""
    desiccant: str = ""
    volume: float | None = None
    relative: float | None = None
    repeats: int = 1
    ph: float | None = None
    phase: str = ""
    layer: str = ""
    notes: list[str] = field(default_factory=list)
    subject: str = ""  # the layer that it is done to
    subject_solvent: str = ""
    verb: str = ""
    reason: str = ""  # for what could not be read
    names_layer: bool = False


class _Reader:
    def __init__(self, text: str) -> None:
        self.text = text
        self.norm, self.at = _normalise(text)
        self.sentences = _sentences(_lex(self.norm), self.norm)
        self.ops: list[_Op] = []
        self.number = 0
        self.carried: _Phase | None = None  # what the sentence is about so far
        self.heard: set[int] = set()  # sentences of which something was understood, though it is no step
        self.target = ""  # what the last words were about: liquid, solid, or not known
        self.verb = ""  # the verb that a list without one goes on with
        self.lines = "\n" in self.norm.strip() or self.norm.count("•") > 1 or len(self.norm) < 400

    # The walk

    def proposal(self) -> Proposal:
        for number, tokens in enumerate(self.sentences):
            self.number = number
            self._sentence(tokens)
        return _portion(self)

    def _sentence(self, tokens: list[_Token]) -> None:
        verbs = self._verbs(tokens)
        if not verbs:
            self._verbless(tokens)
            return
        phases = _phases(tokens, {i for i, _ in verbs})
        self._agent_before_filter(tokens, *verbs[0])
        self.carried = None
        begun = 0
        for place, (i, verb) in enumerate(verbs):
            if i < begun:
                continue  # an addition that the verb before has told of
            high = verbs[place + 1][0] if place + 1 < len(verbs) else len(tokens)
            if place + 1 < len(verbs) and self._is_noun(tokens, high, verbs[place + 1][1]):
                high = max(i + 1, _segment_start(tokens, i + 1, high))
            passive_next = place + 1 < len(verbs)
            before = [p for p in phases if begun <= p.index < i and not _passed_through(tokens, p.index)]
            after = [p for p in phases if i < p.index < high]
            begun = self._handle(tokens, i, verb, begun, high, before, after, passive_next)

    def _agent_before_filter(self, tokens: list[_Token], i: int, verb: str) -> None:
        """Read a drying agent that a note names without a verb before it filters: "MgSO4, filter"."""
        if verb != "filter":
            return
        lead = [t for t in tokens[:i] if t.low not in (",", ";", "-", ".", "and", "anh", "anhydrous", "solid", "over")]
        if len(lead) == 1 and (agent := lead[0].kinds.get("desiccant")):
            op = _Op("dry", lead[0].start, lead[0].end, self.number, desiccant=agent, notes=["read as drying"])
            op.names_layer = True
            self.ops.append(op)

    def _verbs(self, tokens: list[_Token]) -> list[tuple[int, str]]:
        found = []
        for i, _token in enumerate(tokens):
            if verb := self._verb_at(tokens, i):
                found.append((i, verb))
        return found

    def _verb_at(self, tokens: list[_Token], i: int) -> str:
        token = tokens[i]
        low = token.low
        before = tokens[i - 1] if i else None
        after = tokens[i + 1] if i + 1 < len(tokens) else None
        if after is not None and after.low == "." and i + 2 < len(tokens):
            after = tokens[i + 2]
        if low in ("conc", "concentrated", "concentrate", "conc'd"):
            if before is not None and before.low in ("the", "this") and low == "concentrate":
                return ""
            if (
                after is not None
                and (after.has("solution", "aqueous", "row", "sat") or after.number is not None)
                and low != "concentrate"
            ):
                return ""
            if low == "conc" and not (
                after is None or after.has("vacuo") or after.low in (",", "in", "under", "to", ";", "and", "on")
            ):
                return ""
            return "concentrate"
        if low in ("dilute", "diluted"):
            if after is not None and (after.has("solution", "aqueous", "row") or after.low == "mineral"):
                return ""
            return "" if low == "dilute" and before is not None and before.low == "to" else "dilute"
        if low in ("repeat", "repeated", "again") and not any(
            t.has("solution", "solvent", "verb") for t in tokens[i + 1 : i + 9]
        ):
            begun = any(t.has("verb", "solution") for t in tokens[:i])
            return "odd" if low == "repeat" or (low == "repeated" and not begun) else ""
        if low == "saturate" and after is not None and not after.has("solution", "aqueous"):
            return "odd"
        if low in ("bring", "brought", "make", "made", "take", "taken") and any(
            t.has("ph") for t in tokens[i + 1 : i + 8]
        ):
            return "adjust"
        if low in ("take", "taken", "took") and any(t.low == "up" for t in tokens[i + 1 : i + 7]):
            return "take"
        if low == "combined":
            if (
                (before is not None and before.has("aux"))
                or (after is not None and after.low in ("the", "all", "both"))
                or (after is not None and after.low in (".", ",", ";"))
            ):
                return "combine"
            if (after is not None and after.low in ("and",)) or after is None:
                return "combine"
            return ""
        verb = token.kinds.get("verb", "")
        if not verb:
            return ""
        if low in ("raised", "lowered", "established") and not any(t.has("ph") for t in tokens[max(0, i - 4) : i + 4]):
            return ""
        if low == "cooling" and i > 1 and tokens[i - 2].low == "," and after is not None and after.low == ",":
            return ""
        if (verb == "decant" or low == "shaking") and any(t.low == "by" for t in tokens[max(0, i - 4) : i]):
            earlier = next((t for t in tokens[max(0, i - 6) : i] if t.kinds.get("verb") in ("wash", "extract")), None)
            if earlier is not None:
                return ""
        if (
            low == "dried"
            and after is not None
            and (
                after.has("organic", "organics", "soln", "extracts", "filtrate")
                or (after.has("solvent") and not after.has("desiccant"))
            )
        ):
            return ""
        if low == "dry" or (low == "dried" and token.has("anhydrous")):
            if after is not None and after.has("solvent") and not after.has("desiccant"):
                return ""
            if (
                after is not None
                and after.has("solution", "desiccant")
                and before is not None
                and not (
                    before.low in (",", ";", ":", "(", ")", ".") or before.has("conj", "verb", "layer", "organics")
                )
            ):
                return ""
            if before is not None and (
                before.has("with", "of")
                or before.number is not None
                or before.low in ("a", "the", "of", "is", "was", "until", "pump")
            ):
                return ""
            return "dry"
        if verb == "extract" and low in ("extract", "extracts", "extractions", "ext", "extr"):
            if low == "extracts":
                return (
                    ""
                    if not (
                        after is not None
                        and after.has("with")
                        and not (before is not None and before.has("solvent", "organic", "aqueous", "solution"))
                    )
                    else verb
                )
            if before is not None and (
                before.has("organic", "aqueous", "acidic", "basic", "combined")
                or before.low in ("the", "this", "combined", "an", "each", "one", "crude")
            ):
                return ""
            if (
                before is not None
                and before.has("solvent", "solution")
                and not (after is not None and (after.has("with") or _count(after) is not None))
            ):
                return "" if low in ("extract", "extr") else verb
            return verb
        if low in ("filter", "funnel", "column") and before is not None and before.low in ("the", "a", "on", "glass"):
            return "" if low == "filter" else verb
        if verb == "quench" and low in ("work up", "worked up", "workup"):
            return ""
        if low == "separate" and before is not None and before.low in ("a", "three", "two"):
            return ""
        if (
            low in ("waste", "throw", "stand", "left", "sit", "leave")
            and verb == "wait"
            and not (
                after is not None
                and (after.low in ("for", "to", "until", "at", "overnight", ",") or after.number is not None)
            )
        ):
            return "" if low in ("left", "leave", "sit") else verb
        if verb == "stir" and low == "mix":
            return verb
        if verb == "react" and low == "reduced":
            return (
                ""
                if after is None or after.low == "pressure" or (before is not None and before.low in ("under", "at"))
                else verb
            )
        if verb == "react" and low in ("warm", "heat") and before is not None and before.low in ("with", "the", "of"):
            return ""
        if verb == "cool" and (low in ("chilled", "cold") and after is not None and after.has("solution", "solvent")):
            return ""
        if low == "distilled" and after is not None and after.has("solution"):
            return ""
        if low == "saturated with" and not (before is not None and before.has("aux")):
            return ""
        if verb == "separate" and low in ("separation", "settle") and before is not None and before.low == "for":
            return ""
        return verb

    @staticmethod
    def _is_noun(tokens: Sequence[_Token], i: int, verb: str) -> bool:
        """Tell whether the word follows what it is done with: a water wash, ether extraction, water washed."""
        k = i - 1
        if k >= 0 and tokens[k].low in rw.WORDS["soln"]:
            k -= 1
        if (
            verb not in ("wash", "extract")
            or k < 0
            or not tokens[k].has("solution", "row", "solvent")
            or tokens[k].has("aux")
        ):
            return False
        if tokens[i].low not in (
            "wash",
            "washes",
            "extraction",
            "extractions",
            "washed",
            "extract",
            "extracted",
            "shake",
            "washing",
            "washings",
        ):
            return False
        after = tokens[i + 1] if i + 1 < len(tokens) else None
        return not (after is not None and after.low in ("with", "w/", "w", "using", "into"))

    # Lists of what a verb takes

    def _items(
        self, tokens: Sequence[_Token], low: int, high: int, phases: Sequence[_Phase], wants: tuple[str, ...]
    ) -> tuple[list[_Item], _Amount, int]:
        """Return the solutions, solvents or drying agents in ``tokens[low:high]``, what is said of all, and the end."""
        layers = {p.index: p for p in phases}
        items: list[_Item] = []
        shared, pending = _Amount(), _Amount()
        depth, base = 0, 0
        segment_has = False  # whether an item stands since the last separator
        strange: list[int] = []  # words in this segment that are not known
        marked = False  # whether they look like a solution
        separated = False
        stop = high
        i = low
        segment = low

        def close(at: int) -> None:
            """End a segment: give what is left of it to the item before, or to all."""
            nonlocal pending, segment_has, strange, marked, separated
            if (
                not segment_has
                and marked
                and strange
                and (items or any(tokens[k].has("with") or tokens[k].low == ":" for k in range(low, at)))
            ):
                start, end = tokens[segment].start, tokens[at - 1].end
                items.append(_Item({}, "", pending, start, end, segment, at - 1, separated, unknown=True))
            elif not pending.empty():
                if items and not items[-1].unknown:
                    for item in items if pending.each and not segment_has else items[-1:]:
                        item.amount.take(pending)
                    if not pending.each:
                        items[-1].end = max(items[-1].end, pending.end)
                elif not items:
                    shared.take(pending)
            pending, segment_has, strange, marked = _Amount(), False, [], False

        while i < high:
            token = tokens[i]
            if token.has("ignore"):
                i += 1
                continue
            if i in layers:
                if depth > base:
                    i += 1  # (emulsion)
                    continue
                if items:
                    stop = i
                    break
                i = layers[i].last + 1
                continue
            if token.low in ("(", "["):
                depth += 1
                if not items and pending.empty():
                    base = depth
                i += 1
                continue
            if token.low in (")", "]"):
                depth = max(0, depth - 1)
                base = min(base, depth)
                i += 1
                continue
            top = depth <= base
            if (
                top
                and (token.low in (",", ";", "/", ">", "•", "|") or token.has("conj"))
                and not (
                    token.has("conj")
                    and token.low
                    in (
                        "successively",
                        "sequentially",
                        "consecutively",
                        "first",
                        "respectively",
                        "also",
                        "in turn",
                        "in succession",
                        "in sequence",
                    )
                )
            ):
                nxt = tokens[i + 1] if i + 1 < high else None
                if token.low == "/" and nxt is not None and nxt.low == "v":
                    i += 2
                    continue
                close(i)
                separated = True
                segment = i + 1
                i += 1
                continue
            if token.has("aux") and items:
                # What stands right before "was" is what the next words are about, not the last of the list.
                if (
                    items[-1].separated
                    and len(items) > 1
                    and not items[-1].bracket
                    and _adjacent(tokens, items[-1].last, i)
                    and segment_has
                ):
                    dropped = items.pop()
                    stop = dropped.first
                else:
                    stop = i
                break
            if ((token.has("stop") and top) or token.low in ("over", "through")) and items:
                # "until colourless, then water": the list goes on after what is said of one of them.
                on = _goes_on(tokens, i, high, layers) if token.has("stop") else -1
                if on < 0:
                    stop = i
                    break
                close(i)
                separated, segment, i = True, on + 1, on + 1
                continue
            if token.has("contra"):
                # "without", "not", "free from": what follows is not used.
                i += 2 if i + 1 < high and tokens[i + 1].has("solution", "solvent", "with") else 1
                continue
            # A chemical is looked for first, so that "2-butanol" is not two of something.
            if token.kinds.get("solution") in ("acid", "base") and i > low and _describes(tokens[i - 1]):
                strange.append(i)
                marked = True
                i += 1
                continue
            chemical = token.has("solution", "row") or token.has("solvent") or token.has("desiccant")
            if chemical and not (token.has("layer") and not token.has("solution")):
                if self._crystal_water(tokens, i):
                    i += 1
                    continue
                if self._in_water(tokens, i, items, segment_has):
                    items[-1].end = token.end
                    items[-1].last = i
                    i += 1
                    continue
                kinds: dict[str, Any] = {
                    k: token.kinds[k] for k in ("solution", "row", "solvent", "desiccant") if k in token.kinds
                }
                if not any(k in kinds for k in wants) and wants == ("desiccant",):
                    i += 1
                    continue
                if not top and segment_has and items:
                    # In brackets after a name: the same thing said again, or what it is.
                    self._bracketed(items[-1], kinds, token, pending, i)
                    pending = _Amount()
                    i += 1
                    continue
                start = token.start if pending.empty() else min(pending.start, token.start)
                items.append(_Item(kinds, token.low, pending, start, token.end, i, i, separated, bracket=not top))
                pending = _Amount()
                segment_has, separated = True, False
                strange = []
                i += 1
                continue
            if (
                token.number is not None
                and i + 1 < high
                and tokens[i + 1].low in ("h2o", "h20")
                and self._crystal_water(tokens, i + 1)
            ):
                i += 2
                continue
            got = _amount_at(tokens, i, high)
            if (
                got is not None
                and items
                and items[-1].kinds.get("solvent") == "petroleum_ether"
                and any("unit" in n for n in got[1].notes)
            ):
                i = got[0]  # its boiling range
                continue
            if got is not None:
                j, amount = got
                if not top and items:
                    items[-1].amount.take(amount)
                    items[-1].end = max(items[-1].end, amount.end)
                    items[-1].last = j - 1
                    if amount.each and len(items) > 1:
                        for item in items:
                            item.amount.take(amount)
                elif segment_has and not self._chemical_ahead(tokens, j, high, layers):
                    if amount.each:
                        for item in items:
                            item.amount.take(amount)
                    items[-1].amount.take(amount)
                    items[-1].end = max(items[-1].end, amount.end)
                    items[-1].last = j - 1
                else:
                    pending.take(amount)
                    marked |= amount.strong()
                i = j
                continue
            if (token.has("conc") and not token.has("verb")) or token.low in ("concentrated", "conc"):
                pending.take(_Amount(state="conc", words=[(token.start, token.end)], start=token.start, end=token.end))
                marked = True
            elif token.low in ("dilute", "diluted"):
                pending.take(_Amount(state="dil", words=[(token.start, token.end)], start=token.start, end=token.end))
            elif token.has("aqueous"):
                if items and segment_has:
                    items[-1].amount.aqueous = True
                    items[-1].end = max(items[-1].end, token.end)
                    items[-1].last = i
                else:
                    pending.take(_Amount(aqueous=True, start=token.start, end=token.end))
                marked = True
            elif token.has("solid_state"):
                pending.solid = True
            elif token.has("each"):
                for item in items:
                    item.amount.take(items[-1].amount)
                pending.each = pending.each or not pending.empty()
            elif token.low == "solution" or token.low in rw.WORDS["soln"]:
                if items and segment_has:
                    items[-1].end = max(items[-1].end, token.end)
                    items[-1].last = i
                    items[-1].amount.aqueous = True
                marked = True
            elif (
                token.low.isalpha()
                and len(token.low) > 1
                and not token.kinds
                and not segment_has
                and token.low not in _SMALL_WORDS
            ):
                strange.append(i)
            i += 1
        close(stop)
        if items and items[0].amount.each and items[0].amount.relative is not None:
            for item in items[1:]:
                if item.amount.volume is None and item.amount.relative is None:
                    item.amount.relative = items[0].amount.relative
        elif items and items[0].amount.each and items[0].amount.volume is not None:
            for item in items[1:]:
                if not item.amount.sized():
                    item.amount.volume, item.amount.repeats = items[0].amount.volume, items[0].amount.repeats
        return items, shared, stop

    @staticmethod
    def _chemical_ahead(tokens: Sequence[_Token], i: int, high: int, layers: Mapping[int, _Phase]) -> bool:
        """Tell whether another name follows before the next separator."""
        for k in range(i, min(high, i + 8)):
            token = tokens[k]
            if token.low in (",", ";", "(", ")", "/", ".") or token.has("conj", "aux") or k in layers:
                return False
            if token.has("solution", "row", "solvent"):
                return not (token.low in ("water", "h2o") and k and tokens[k - 1].low in ("in",))
        return False

    @staticmethod
    def _crystal_water(tokens: Sequence[_Token], i: int) -> bool:
        """Tell whether this is the water of a salt such as Na2S2O3 5H2O."""
        if tokens[i].low not in ("h2o", "h20") or i < 2:
            return False
        k = i - 1
        if tokens[k].number is not None and tokens[k].end == tokens[i].start:
            k -= 1
        if k >= 0 and tokens[k].low in (".", "•", "x", "*"):
            k -= 1
        return k >= 0 and k < i - 1 and tokens[k].has("solution", "desiccant") and tokens[k].low not in ("water",)

    @staticmethod
    def _in_water(tokens: Sequence[_Token], i: int, items: list[_Item], segment_has: bool) -> bool:
        """Tell whether "in water" only completes the solution before it."""
        if (
            tokens[i].kinds.get("solution") != "water"
            or not items
            or not segment_has
            or not items[-1].kinds.get("solution")
        ):
            return False
        return (
            any(tokens[k].low in ("in", "w/v") for k in range(max(0, i - 4), i))
            and items[-1].kinds["solution"] != "water"
        )

    @staticmethod
    def _bracketed(item: _Item, kinds: dict[str, Any], token: _Token, pending: _Amount, i: int) -> None:
        """Let the words in brackets say more of the item before them."""
        generic = ("acid", "base", "buffer", "ice_water", "acidic")
        own = item.kinds.get("solution")
        new = kinds.get("solution")
        if own in generic and new and new not in generic:
            item.kinds = kinds
        item.amount.take(pending)
        item.end = max(item.end, token.end)
        item.last = i

    # What each verb makes of its phrase

    def _handle(
        self,
        tokens: list[_Token],
        i: int,
        verb: str,
        begun: int,
        high: int,
        before: list[_Phase],
        after: list[_Phase],
        more: bool,
    ) -> int:
        token = tokens[i]
        subject = before[-1] if before else None
        if subject is not None:
            self.carried = subject
        elif verb == "discard" and not after:
            subject = self.carried
        if verb in ("stir", "separate", "keep", "drain", "dry", "discard", "wash"):
            self.heard.add(self.number)
        if (
            subject is not None
            and any(t.low in (",", ";") for t in tokens[subject.last : i])
            and verb in ("wash", "dry", "extract")
            and len(before) > 1
        ):
            pass
        if subject is not None and subject.kind in ("solid", "organic", "aqueous", "liquid", "top", "bottom"):
            self.target = "solid" if subject.kind == "solid" else "liquid"
        noun = (
            verb in ("wash", "extract")
            and i > begun
            and tokens[i - 1].has("solution", "row", "solvent")
            and not tokens[i - 1].has("aux")
            and token.low
            in (
                "wash",
                "washes",
                "extraction",
                "extractions",
                "washed",
                "extract",
                "extracted",
                "dry",
                "shake",
                "back wash",
            )
        )
        if (
            noun
            and (after_token := tokens[i + 1] if i + 1 < len(tokens) else None) is not None
            and after_token.has("with")
            and after_token.low in ("with", "w/", "w", "using")
        ):
            noun = False
        handler = {
            "wash": self._wash,
            "extract": self._extract,
            "back-extract": self._extract,
            "dry": self._dry,
            "rinse": self._rinse,
            "take": self._dilute,
            "pour": self._pour,
            "quench": self._quench,
            "dilute": self._dilute,
            "dissolve": self._dilute,
            "partition": self._partition,
            "acidify": self._set_ph,
            "basify": self._set_ph,
            "neutralize": self._set_ph,
            "adjust": self._set_ph,
            "add": self._add,
            "discard": self._discard,
            "drain": self._discard,
            "keep": self._keep,
            "separate": self._keep,
            "stir": self._stir,
            "pass": self._pass,
        }.get(verb)
        if verb not in ("stir", "cool", "wait", "vent", "check", "combine", "keep", "separate", "discard", "drain"):
            self.verb = verb if verb in ("wash", "extract") else ""
        if handler is not None:
            return handler(tokens, i, verb, begun, high, subject, before, after, noun)
        if verb == "filter":
            self._filter(tokens, i, high, after, subject)
        elif verb == "decant":
            if any(t.has("solid", "desiccant", "anhydrous") for t in tokens[i + 1 : high]):
                self._filter(tokens, i, high, after, subject)
                self.target = "liquid"
            elif subject is not None and subject.kind in ("organic", "aqueous", "top", "bottom"):
                return self._keep(
                    tokens,
                    i,
                    "keep" if subject.kind == "organic" else "separate",
                    begun,
                    high,
                    subject,
                    before,
                    after,
                    False,
                )
        elif verb == "concentrate":
            self._simple("concentrate", tokens, i, weak=True)
            self.target = ""
        elif (
            verb == "wait"
            and any(t.low == "over" for t in tokens[i:high])
            and (agent := next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None))
        ):
            op = self._simple("dry", tokens, i)
            op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
        elif verb in ("cool", "wait", "vent", "combine"):
            op = self._simple(verb, tokens, i, weak=True)
            if verb == "vent" and self.verb == "wash" and any(t.has("solution") for t in tokens[i + 1 : high]):
                # "(vent!), 10 mL brine": the list goes on.
                made = len(self.ops)
                stop = self._wash(tokens, i, "wash", begun, high, subject, before, after, False)
                if len(self.ops) > made:
                    self.ops[made].start = next(
                        t.start for t in tokens[i + 1 :] if t.has("solution") or t.number is not None
                    )
                return stop
            if verb == "combine":
                op.subject_solvent = next((p.solvent for p in before + after if p.solvent), "")
            op.names_layer = verb in ("vent", "combine")
        elif verb == "check":
            if self.ops and self.ops[-1].action == "check ph" and self.ops[-1].sentence == self.number:
                return i + 1
            op = self._simple("check ph", tokens, i, weak=True)
            if got := next(
                (a for k in range(i + 1, high) if (a := _amount_at(tokens, k, high)) and a[1].ph is not None), None
            ):
                op.ph = got[1].ph
        elif verb == "odd" and token.low.startswith("decolo") and any(t.has("solution") for t in tokens[i + 1 : high]):
            return self._wash(tokens, i, "wash", begun, high, subject, before, after, False)
        elif verb in ("purify", "react", "odd"):
            op = self._simple(verb, tokens, i, weak=True)
            if verb == "purify":
                self.target = ""
        return i + 1

    def _simple(self, action: str, tokens: Sequence[_Token], i: int, weak: bool = False) -> _Op:
        op = _Op(action, tokens[i].start, tokens[i].end, self.number, weak=weak, verb=tokens[i].low)
        self.ops.append(op)
        return op

    def _from_item(self, action: str, item: _Item, shared: _Amount, start: int | None = None) -> _Op:
        """Make the operation for one solution or solvent."""
        amount = _Amount(notes=[])
        amount.take(item.amount)
        amount.take(shared) if item.amount.repeats is None or item.amount.volume is None else None
        op = _Op(action, item.start if start is None else min(start, item.start), item.end, self.number)
        written = " ".join(self.norm[a:b] for a, b in sorted(set(amount.words)))
        op.strength = written
        op.volume, op.relative = amount.volume, amount.relative
        op.repeats = amount.repeats or 1
        op.notes += amount.notes
        if "row" in item.kinds:
            op.solution = item.kinds["row"]
        elif "solution" in item.kinds:
            key = item.kinds["solution"]
            if key == "brine" and amount.state == "sat":
                amount.state = ""
            said = self.norm[item.start : item.end].strip() if not written else f"{written} {item.low}"
            op.solution, notes = _choose(key, amount, said)
            if key == "water" and amount.ratio is None and "brine" in self.norm[item.start : item.end].lower():
                op.solution = "half_brine"
            op.notes += notes
        elif "solvent" in item.kinds:
            op.solvent = item.kinds["solvent"]
        if item.unknown:
            op.reason = "the solution is not known"
        return op

    def _join(self, items: list[_Item], tokens: Sequence[_Token]) -> list[_Item]:
        """Join the parts of one mixture: thiosulfate and bicarbonate 1:1, brine and water 1:1, ammonia in ammonium chloride."""
        pairs = {
            frozenset(("na2s2o3", "nahco3")): "na2s2o3_nahco3",
            frozenset(("nh4cl", "ammonia")): "nh4cl_nh3",
            frozenset(("brine", "water")): "half_brine",
        }
        out: list[_Item] = []
        for item in items:
            if out and not item.unknown and not out[-1].unknown:
                last = out[-1]
                pair = frozenset((last.kinds.get("solution", ""), item.kinds.get("solution", "")))
                row = pairs.get(pair)
                link = self.norm[last.end : item.start].strip()
                alcohol = "" if "solution" in last.kinds else last.kinds.get("solvent", "")
                watery = item.kinds.get("solution") == "water" and link in ("-", "/", ":", "and")
                if alcohol and watery and not _parts(alcohol):
                    # Aqueous methanol parts from the organic layer much as water does.
                    last.kinds, last.end, last.last = {"solution": "water"}, item.end, item.last
                    last.amount.take(item.amount)
                    last.amount.notes.append(f"a mixture with {_solvent_name(alcohol)} is read as water")
                    last.low = "water"
                    continue
                if (
                    "ice_water" in pair
                    and len(pair) == 2
                    and self.norm[last.end : item.start].strip() in ("/", "and", "-", "+", "in", "plus")
                ):
                    ice, other = (last, item) if last.kinds.get("solution") == "ice_water" else (item, last)
                    mixture = "mixture of" in self.norm[max(0, last.start - 14) : last.start + 12].lower()
                    if mixture or ice.low in ("ice", "crushed ice", "ice chips", "cracked ice"):
                        last.kinds, last.low = other.kinds, other.low
                        last.end, last.last = item.end, item.last
                        last.amount.take(item.amount)
                        last.amount.notes.append("with ice")
                        continue
                between = self.norm[last.end : item.start].strip(" ()")
                mixed = (
                    ("mixture of" in self.norm[max(0, last.start - 24) : last.start].lower() and last.low != "water")
                    or "mixture of water" in self.norm[max(0, last.start - 14) : last.end].lower()
                    or (last.amount.ratio and not any("mixture with" in n for n in last.amount.notes))
                    or item.amount.ratio
                )
                if row and (mixed or (between == "/" and row != "half_brine")):
                    last.kinds = {"row": row}
                    last.end, last.last = item.end, item.last
                    last.amount.take(item.amount)
                    last.amount.repeats = last.amount.repeats or item.amount.repeats
                    continue
            out.append(item)
        return out

    def _wash(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        token = tokens[i]
        if noun:
            low = max(begun, _segment_start(tokens, begun, i))
            items, shared, _ = self._items(tokens, low, i, [], ("solution", "solvent"))
            extra, later, stop = self._items(tokens, i + 1, high, after, ("solution", "solvent"))
            if items and not later.empty():
                items[-1].amount.take(later)
            items += extra
        else:
            items, shared, stop = self._items(tokens, i + 1, high, after, ("solution", "solvent"))
            # "three times washed", "twice washed"
            if i and (got := _repeats(tokens, i - 1, i)) is not None and shared.repeats is None:
                shared.repeats = got[1]
        objects = [p for p in after if p.index < stop]
        subject = subject or (objects[0] if objects else None)
        if objects and objects[0].kind != "layers":
            self.target = "solid" if objects[0].kind == "solid" else "liquid"
        if items and not noun and items[0].kinds.get("solvent") and not items[0].kinds.get("solution"):
            following = tokens[items[0].last + 1] if items[0].last + 1 < len(tokens) else None
            if following is not None and following.low in ("with", "w/", "w") and items[0].first - i <= 3:
                # "Wash the ether with": what is washed, not what with.
                layer = items.pop(0)
                subject = subject or _Phase("organic", layer.kinds["solvent"], layer.first, layer.last)
                self.target = "liquid"
                if items:
                    items[0].start = min(items[0].start, token.start)
        shook = token.low in ("shake", "shaken", "shaking", "shook")
        if i + 1 < len(tokens) and tokens[i + 1].low in ("into", "out", "from", "down"):
            return stop  # glass that is rinsed out
        if shook and any(x.kinds.get("solvent") and not x.kinds.get("solution") for x in items):
            op = self._liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=False)
            if op is not None:
                op.names_layer = True
                if op.solvent and not op.solution:
                    op.action = "extract"
                else:
                    op.notes.append("partitioned between the two")
            return stop
        items = [
            x
            for x in self._join(items, tokens)
            if x.unknown or x.kinds.get("solution") or x.kinds.get("row") or x.kinds.get("solvent") or self._is_agent(x)
        ]
        if not items:
            if shook:
                return stop
            if not self._wash_about_nothing(tokens, i, high):
                op = self._simple("wash", tokens, i)
                op.end = tokens[min(high, len(tokens)) - 1].end if high > i + 1 else token.end
                op.reason = "what it is washed with is not said or not known"
                op.weak = self.target == "solid"
            return stop
        agents: list[_Item] = []
        while items and self._is_agent(items[-1]) and (len(items) > 1 or noun):
            agents.insert(0, items.pop())
        wet = [x for x in items if x.unknown or x.kinds.get("solution") or x.kinds.get("row")]
        first = True
        told = False
        for item in items:
            if not item.unknown and not (item.kinds.get("solution") or item.kinds.get("row")):
                op = self._from_item("rinse", item, shared, token.start if first and not noun else None)
                if self.target == "solid":
                    op.weak = True
                elif (subject is not None and subject.kind == "aqueous") or (
                    not wet and self.target == "liquid" and subject is None and self._last_aqueous()
                ):
                    op.action, op.phase = "extract", "aqueous"
                    op.notes.append("a wash of the aqueous layer: the aqueous layer is kept")
                elif self.target == "" and not wet:
                    op.weak = True
                elif self.target == "liquid" and subject is not None and subject.kind == "organic" and not wet:
                    op.action = "dilute"
            elif self.target == "solid":
                op = self._from_item("rinse", item, shared, token.start if first and not noun else None)
                op.weak = True
            else:
                op = self._from_item("wash", item, shared, token.start if first and not noun else None)
            op.verb = token.low
            if subject is not None:
                op.subject, op.subject_solvent = subject.kind if not told else "", subject.solvent
                told = True
            if self.target == "liquid" and op.action in ("wash", "extract"):
                op.names_layer = True
            self.ops.append(op)
            first = False
        for item in agents:
            op = _Op(
                "dry", item.start, item.end, self.number, desiccant=item.kinds["desiccant"], notes=["read as drying"]
            )
            op.names_layer = True
            self.ops.append(op)
        return stop

    @staticmethod
    def _is_agent(item: _Item) -> bool:
        """Tell whether a name at the end of a list of washes is a drying agent: brine, MgSO4."""
        agent = item.kinds.get("desiccant")
        plain = not item.amount.aqueous and not item.amount.strong() and not item.amount.sized()
        return agent in ("mgso4", "na2so4", "caso4") and plain and item.separated

    def _wash_about_nothing(self, tokens: Sequence[_Token], i: int, high: int) -> bool:
        """Tell whether the word is no operation here: after washing, the washing liquid, washed crystals."""
        token = tokens[i]
        after = tokens[i + 1] if i + 1 < len(tokens) else None
        if token.low == "washing" and not (after is not None and after.has("with")):
            return True
        return self.target == "solid" and token.low == "washed" and not (after is not None and after.has("with"))

    def _last_aqueous(self) -> bool:
        return any(op.action == "take up" or op.phase == "aqueous" for op in self.ops[-2:])

    def _extract(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        token = tokens[i]
        if any(t.low == "between" for t in tokens[i + 1 : i + 4]):
            return self._partition(tokens, i, verb, begun, high, subject, before, after, noun)
        if noun:
            low = max(
                begun,
                next(
                    (k + 1 for k in range(i - 1, begun - 1, -1) if tokens[k].has("verb") and self._verb_at(tokens, k)),
                    begun,
                ),
            )
            items, shared, _ = self._items(tokens, low, i, [], ("solvent",))
            extra, later, stop = self._items(tokens, i + 1, high, after, ("solvent",))
            if items and not later.empty():
                items[-1].amount.take(later)
            items += [x for x in extra if not x.kinds.get("solvent") or not items]
        else:
            items, shared, stop = self._items(tokens, i + 1, high, after, ("solvent",))
            if i and (got := _repeats(tokens, i - 1, i)) is not None and shared.repeats is None:
                shared.repeats = got[1]
        objects = [p for p in after if p.index < stop]
        subject = subject or (objects[0] if objects else None)
        source = self._after_from(tokens, i + 1, high)
        if source >= 0 and len(items) > 1:
            items = [x for x in items if x.first < source] or items
        solvents = [x for x in items if x.kinds.get("solvent")]
        waters = [x for x in items if not x.kinds.get("solvent") and (x.kinds.get("solution") or x.kinds.get("row"))]
        unknown = [x for x in items if x.unknown]
        start: int | None = None if noun else token.start
        made: list[_Op] = []
        if solvents:
            together = len(solvents) > 1 and self._mixed(tokens, solvents)
            for item in solvents[:1] if together else solvents:
                op = self._from_item("extract", item, shared, start)
                start = None
                if together:
                    best = min(solvents, key=lambda x: _miscible(x.kinds["solvent"]))
                    op.solvent = best.kinds["solvent"]
                    op.end = max(x.end for x in solvents)
                    for x in solvents:
                        if x is not item and op.volume is None:
                            op.volume, op.repeats = x.amount.volume, x.amount.repeats or op.repeats
                    others = ", ".join(_solvent_name(x.kinds["solvent"]) for x in solvents if x is not best)
                    if others:
                        op.notes.append(f"a mixture with {others} is read as {_solvent_name(op.solvent)}")
                    op.strength = ""
                made.append(op)
            if waters and self.target != "solid" and made:
                made[-1].solution = "" if not waters else self._from_item("extract", waters[0], _Amount()).solution
                if (
                    "and"
                    not in self.norm[min(solvents[0].end, waters[0].end) : max(solvents[0].start, waters[0].start)]
                    and "/"
                    not in self.norm[min(solvents[0].end, waters[0].end) : max(solvents[0].start, waters[0].start)]
                ):
                    made[-1].solution = ""
        elif waters:
            for item in waters:
                op = self._from_item("take up", item, shared, start)
                op.phase = "aqueous"
                op.notes.append("aqueous layer kept")
                op.phase = ""
                start = None
                made.append(op)
        elif unknown:
            for item in unknown:
                op = self._from_item("extract", item, shared, start)
                op.reason = "the solvent is not known"
                made.append(op)
        elif token.low not in ("extraction", "extractions", "extracting", "extracts"):
            # "Extract twice more": the solvent is the one before.
            last = next((op for op in reversed(self.ops) if op.action == "extract" and op.solvent), None)
            if last is not None and not shared.empty():
                op = self._simple("extract", tokens, i)
                op.solvent, op.repeats, op.volume, op.end = (
                    last.solvent,
                    shared.repeats or 1,
                    shared.volume,
                    max(token.end, shared.end),
                )
                op.notes.append(f"the solvent is the one before, {_solvent_name(last.solvent)}")
                op.names_layer = True
            else:
                op = self._simple("extract", tokens, i)
                op.end = tokens[high - 1].end if high > i + 1 else token.end
                op.reason = "what it is extracted with is not said or not known"
            return stop
        for op in made:
            op.verb = verb
            op.names_layer = True
            if subject is not None:
                op.subject, op.subject_solvent = subject.kind, subject.solvent
        self.ops += made
        if made:
            self.target = "liquid"
        return stop

    @staticmethod
    def _after_from(tokens: Sequence[_Token], low: int, high: int) -> int:
        return next((k for k in range(low, high) if tokens[k].low == "from"), -1)

    def _mixed(self, tokens: Sequence[_Token], items: Sequence[_Item]) -> bool:
        between = self.norm[items[0].end : items[-1].start].lower()
        if "then" in between or "follow" in between or "," in between:
            return False
        before = self.norm[max(0, items[0].start - 30) : items[0].start].lower()
        return (
            "mixture" in before
            or "%" in before
            or "in" in between.split()
            or any(c in between for c in "/:-+")
            or any(x.amount.ratio for x in items)
        )

    def _dry(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        token = tokens[i]
        items, shared, stop = self._items(tokens, i + 1, high, after, ("desiccant", "solution"))
        agents = [x for x in items if x.kinds.get("desiccant") is not None]
        lead = [k for k in range(max(begun, i - 3), i) if tokens[k].has("desiccant")]
        if not agents and lead and not (i + 1 < len(tokens) and tokens[i - 1].has("aux")):
            k = lead[-1]
            op = self._simple("dry", tokens, i)
            op.start, op.desiccant = tokens[k].start, tokens[k].kinds["desiccant"]
            op.names_layer = True
            return stop
        if agents:
            for item in items[: items.index(agents[0])]:
                if item.kinds.get("solution") == "brine":
                    first = self._from_item("wash", item, shared, token.start)
                    first.notes.append("drying with brine is read as a wash with it")
                    first.names_layer = True
                    self.ops.append(first)
            op = self._simple("dry", tokens, i)
            if self.ops[-2:-1] and self.ops[-2].end > op.start and self.ops[-2].action == "wash":
                op.start = agents[0].start
            op.end = agents[0].end
            op.desiccant = agents[0].kinds["desiccant"]
            if not op.desiccant:
                op.notes.append(f"{agents[0].low} is not among the drying agents of the tables")
            if len(agents) > 1:
                op.notes.append(f"{agents[1].low} is named besides")
            op.names_layer = op.desiccant != ""
            op.weak = False
            if subject is not None:
                op.subject, op.subject_solvent = subject.kind, subject.solvent
            if self.target == "solid" and op.desiccant not in ("mgso4", "na2so4", "sieves_3a", "sieves_4a"):
                op.weak = True
            self.target = "liquid"
            return stop
        salts = [x for x in items if x.kinds.get("solution") in ("brine",)]
        if salts:
            for item in salts:
                op = self._from_item("wash", item, shared, token.start)
                op.notes.append("drying with brine is read as a wash with it")
                op.names_layer = True
                self.ops.append(op)
            if agent := next((t for t in tokens[stop:high] if t.kinds.get("desiccant")), None):
                op = _Op("dry", tokens[stop].start, agent.end, self.number, desiccant=agent.kinds["desiccant"])
                op.names_layer = True
                self.ops.append(op)
                return high
            return stop
        azeotropic = any("azeotrop" in t.low for t in tokens[max(0, i - 3) : min(len(tokens), i + 8)])
        rest = tokens[i + 1 : high]
        op = self._simple("dry", tokens, i, weak=True)
        if azeotropic:
            op.desiccant = "toluene_azeotrope"
            op.weak = False
            return stop
        airy = (
            any(t.has("vacuo") or t.low in ("°", "phosphorus", "p2o5") or t.low == "pump" for t in rest)
            or token.low == "drying"
        )
        solid = self.target == "solid" or (subject is not None and subject.kind in ("solid", "residue"))
        if airy or solid:
            self.ops.remove(op)
            return stop
        unknown = [t for t in rest if t.has("with") and t.low in ("over", "with", "on", "using")]
        if unknown:
            op.reason = "the drying agent is not known"
            op.end = tokens[high - 1].end
        else:
            op.notes.append("drying agent not given")
        return stop

    def _rinse(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, after, ("solvent", "solution"))
        objects = [p for p in after if p.index < stop]
        liquid = any(p.kind in ("organic", "aqueous") for p in ([subject] if subject else []) + objects)
        if liquid and any(x.kinds.get("solution") for x in items):
            self.target = "liquid"
            return self._wash(tokens, i, "wash", begun, high, subject, before, after, noun)
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        if (
            wet
            and not objects
            and subject is None
            and self.target != "solid"
            and not any(op.action.startswith("filter") for op in self.ops[-1:])
        ):
            return self._wash(tokens, i, "wash", begun, high, subject, before, after, noun)
        if not items:
            self._simple("rinse", tokens, i, weak=True)
        for item in items[:1]:
            op = self._from_item("rinse", item, shared, tokens[i].start)
            op.weak = True
            self.ops.append(op)
        return stop

    def _liquid(
        self, action: str, tokens: Sequence[_Token], i: int, items: list[_Item], shared: _Amount, weak: bool
    ) -> _Op | None:
        """Make one operation of a solution and a solvent named together."""
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        organic = [x for x in items if x.kinds.get("solvent") and not x.kinds.get("solution")]
        if not wet and not organic:
            return None
        if not wet:
            organic.sort(key=lambda x: (_miscible(x.kinds["solvent"]), x.kinds["solvent"] in _ALKANES))
        main = (wet or organic)[0]
        op = self._from_item(action, main, shared, tokens[i].start)
        op.end = max([main.end] + [x.end for x in wet[:1] + organic[:1]])
        op.weak = weak
        if not wet and len(organic) > 1:
            others = ", ".join(_solvent_name(x.kinds["solvent"]) for x in organic[1:])
            op.notes.append(f"a mixture with {others} is read as {_solvent_name(op.solvent)}")
            op.end = max(x.end for x in organic)
            op.start = min(op.start, *(x.start for x in organic))
            op.volume = next((x.amount.volume for x in organic if x.amount.volume is not None), None)
            op.strength = ""
        if wet and organic:
            op.solvent = organic[0].kinds["solvent"]
            if organic[0].amount.volume is not None:
                op.notes.append(f"{organic[0].amount.volume:g} mL of {_solvent_name(op.solvent)}")
        op.verb = tokens[i].low
        self.ops.append(op)
        for other in wet[1:]:
            second = self._from_item(action, other, shared)
            second.weak = weak
            self.ops.append(second)
        self.target = "liquid"
        return op

    def _pour(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, [], ("solution", "solvent"))
        items = self._join(items, tokens)
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        op = self._liquid("quench" if wet else "dilute", tokens, i, items, shared, weak=True)
        if op is not None and wet:
            op.names_layer = False
        return stop

    def _quench(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, after, ("solution", "solvent"))
        # "quenched by adding 10 mL water": the amount follows the next verb.
        if not items and high < len(tokens) and tokens[high].kinds.get("verb") == "add":
            items, shared, stop = self._items(
                tokens, high + 1, self._next_verb(tokens, high + 1), [], ("solution", "solvent")
            )
        items = self._join(items, tokens)
        op = self._liquid("quench", tokens, i, items, shared, weak=True)
        if op is None:
            op = self._simple("quench", tokens, i, weak=True)
            if len(tokens) > i + 1 and tokens[i + 1].has("with"):
                op.reason = "what it is quenched with is not known"
                op.end = tokens[high - 1].end
        return max(stop, i + 1)

    def _next_verb(self, tokens: list[_Token], low: int) -> int:
        return next((k for k in range(low, len(tokens)) if self._verb_at(tokens, k)), len(tokens))

    def _dilute(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        if verb == "dissolve" and self._reagents(tokens, begun, i) and not any(p.kind == "residue" for p in before):
            self._simple("react", tokens, i, weak=True)
            return i + 1
        items, shared, stop = self._items(tokens, i + 1, high, after, ("solvent", "solution"))
        if not items and high < len(tokens) and tokens[high].kinds.get("verb") == "add":
            items, shared, stop = self._items(
                tokens, high + 1, self._next_verb(tokens, high + 1), [], ("solvent", "solution")
            )
        items = [x for x in items if not x.unknown]
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        action = (
            "take up"
            if verb == "dissolve"
            and wet
            and not [x for x in items if "solvent" in x.kinds and "solution" not in x.kinds]
            else "dilute"
        )
        if verb == "dissolve" and wet and wet[0].kinds.get("solution") in ("acetic",):
            action = "dilute"
        op = self._liquid(action, tokens, i, items, shared, weak=True)
        if op is None and verb == "dilute":
            op = self._simple("dilute", tokens, i, weak=True)
            op.reason = "what it is diluted with is not known"
            op.end = tokens[high - 1].end if high > i else op.end
        return stop

    def _partition(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, [], ("solvent", "solution"))
        op = self._liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=False)
        if op is not None:
            op.names_layer = True
            op.notes.append("partitioned between the two")
        else:
            self._simple("dilute", tokens, i).reason = "between what it is partitioned is not known"
        return stop

    def _set_ph(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, list(after), ("solution",))
        if not items and high < len(tokens) and tokens[high].kinds.get("verb") == "add":
            end = self._next_verb(tokens, high + 1)
            items, more, stop = self._items(tokens, high + 1, end, [], ("solution",))
            shared.take(more)
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        by = next((k for k in range(i + 1, high) if tokens[k].low in ("with", "using", "w/", "by")), -1)
        if by >= 0 and len(wet) > 1:
            wet = [x for x in wet if x.first > by] or wet
        ph = shared.ph if shared.ph is not None else next((x.amount.ph for x in items if x.amount.ph is not None), None)
        if ph is None:
            for k in range(max(begun, i - 4), min(len(tokens), stop + 10)):
                if tokens[k].has("ph") and (got := _amount_at(tokens, k, len(tokens))) is not None:
                    ph = got[1].ph
                    stop = max(stop, got[0])
                    break
            else:
                if (i and tokens[i].low.endswith("ph")) or " ph" in tokens[i].low:
                    ph = next(
                        (
                            n
                            for k in range(i + 1, min(len(tokens), i + 4))
                            if (n := tokens[k].number) is not None and 0 <= n <= 14
                        ),
                        None,
                    )
        if tokens[i].low.endswith("ph") and ph is None:
            ph = next(
                (
                    n
                    for k in range(i + 1, min(len(tokens), i + 4))
                    if (n := tokens[k].number) is not None and 0 <= n <= 14
                ),
                None,
            )
        amount = _Amount()
        if wet:
            op = self._from_item("set ph", wet[0], amount, tokens[i].start)
            op.end = max(op.end, wet[0].end)
        else:
            op = _Op("set ph", tokens[i].start, tokens[i].end, self.number)
            unknown = next((x for x in items if x.unknown), None)
            if unknown is not None:
                op.notes.append(f"{self.norm[unknown.start : unknown.end].strip()} is not known")
        if verb == "adjust" and ph is None and any(t.has("ph") for t in tokens[begun:i]):
            for k in range(i + 1, min(len(tokens), i + 5)):
                if (n := tokens[k].number) is not None and 0 <= n <= 14:
                    ph = n
                    if op.volume == n:
                        op.volume = None
                        op.notes = [note for note in op.notes if "unit was not" not in note]
                    break
        if ph is None:
            ph, said = {
                "acidify": (2.0, "acidify"),
                "basify": (10.0, "make basic"),
                "neutralize": (7.0, "neutralise"),
            }.get(verb, (None, ""))
            if ph is not None:
                op.notes.append(f"pH {ph:g}: {said}, no pH given")
            elif tokens[i].low.startswith("adjust") and any(t.has("basic") for t in tokens[i + 1 : high]):
                ph = 10.0
                op.notes.append("pH 10: basic, no pH given")
            elif any(t.has("acidic") for t in tokens[i + 1 : high]):
                ph = 2.0
                op.notes.append("pH 2: acidic, no pH given")
        op.ph = ph
        op.weak = True
        op.verb = verb
        covered = [t.end for t in tokens[i + 1 : stop] if t.has("ph") or t.number == ph]
        op.end = max([op.end, *covered])
        subject = subject or next((p for p in after if p.kind == "aqueous"), None) or self.carried
        if subject is not None:
            op.subject = subject.kind
            op.names_layer = subject.kind in ("organic", "aqueous")
        self.ops.append(op)
        self.target = "liquid"
        return stop

    @staticmethod
    def _weighed(tokens: Sequence[_Token], item: _Item) -> bool:
        """Tell whether a salt is added as a solid: 35 g of sodium chloride, solid NaCl."""
        if item.amount.aqueous or item.amount.strong() or item.kinds.get("solution") in ("ice_water", "water"):
            return False
        near = [*tokens[max(0, item.first - 3) : item.first], *tokens[item.last + 1 : item.last + 4]]
        return any(t.low in _WEIGHED or t.has("solid_state", "anhydrous") for t in near)

    @staticmethod
    def _reagents(tokens: Sequence[_Token], low: int, high: int) -> bool:
        """Tell whether a compound is weighed out there, other than the salt of a solution: a reaction is being set up."""
        for k in range(low, high):
            if tokens[k].low in _WEIGHED and k and tokens[k - 1].number is not None:
                near = tokens[max(0, k - 4) : k + 4]
                if not any(t.has("solution", "row") for t in near):
                    return True
        return False

    def _add(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        token = tokens[i]
        if self._reagents(tokens, begun, high):
            op = self._simple("react", tokens, i, weak=True)
            return i + 1
        if token.kinds.get("verb") == "add" and token.low.startswith("treat"):
            return self._treat(tokens, i, begun, high, subject, after)
        ahead, shared, stop = self._items(tokens, i + 1, high, after, ("solution", "solvent"))
        behind, other, _ = self._items(
            tokens, begun, i, [p for p in before if p.kind != "layers"], ("solution", "solvent")
        )
        into = (i + 1 < len(tokens) and tokens[i + 1].low in ("to", "into", "onto")) or (
            i + 2 < len(tokens) and tokens[i + 2].low == "to" and not tokens[i + 1].has("solution")
        )
        if behind and not (ahead and token.low in ("add", "adding", "addition")):
            items, shared = behind, other
        elif ahead:
            items = ahead
            if into:
                self._liquid("quench", tokens, i, ahead, shared, weak=True)
                return stop
        else:
            self._simple("react", tokens, i, weak=True)
            return stop
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        ph = next(
            (
                got[1].ph
                for k in range(i + 1, min(len(tokens), high + (8 if tokens[high - 1].low == "to" else 0)))
                if tokens[k].has("ph") and (got := _amount_at(tokens, k, len(tokens)))
            ),
            None,
        )
        basic = next((t for t in tokens[i + 1 : high] if t.has("basic", "acidic")), None)
        if wet and (
            ph is not None or (basic is not None and any(t.low in ("until", "till") for t in tokens[i + 1 : high]))
        ):
            op = self._from_item("set ph", wet[0], shared, min(token.start, wet[0].start))
            op.ph = ph if ph is not None else (10.0 if basic is not None and basic.has("basic") else 2.0)
            op.end = max(op.end, token.end)
            op.weak = True
            self.ops.append(op)
            return stop
        solid = next((x for x in wet if self._weighed(tokens, x)), None)
        if solid is not None:
            op = self._simple("odd", tokens, i, weak=True)
            op.start, op.end = min(op.start, solid.start), max(op.end, solid.end)
            return stop
        if not wet and all(x.kinds.get("solvent") == "triethylamine" for x in items):
            self._simple("react", tokens, i, weak=True)
            return stop
        agents = [x for x in items if self._is_agent(x) or (x.kinds.get("desiccant") and not x.kinds.get("solution"))]
        if (agents and len(agents) == len(items)) or (
            agents and items[0] is agents[0] and items[0].kinds.get("desiccant") == "mgso4"
        ):
            op = self._simple("dry", tokens, i, weak=True)
            op.desiccant = agents[0].kinds["desiccant"]
            op.start, op.end = min(op.start, agents[0].start), max(op.end, agents[0].end)
            return stop
        if len(wet) > 1 and len(wet) == len(items) and items is ahead:
            for k, item in enumerate(self._join(wet, tokens)):
                op = self._from_item("dilute", item, shared, token.start if not k else None)
                op.weak, op.verb = True, "add"
                self.ops.append(op)
            return stop
        made = self._liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=True)
        if made is not None:
            made.verb = "add"
            made.start = min(made.start, *(x.start for x in items))
            made.end = max(made.end, token.end)
            if items is behind and ahead and tokens[i + 1].has("conj"):
                more = self._liquid("dilute", tokens, i, [x for x in ahead if not x.unknown], shared, weak=True)
                if more is not None:
                    more.start, more.verb = ahead[0].start, "add"
        else:
            op = self._simple("react", tokens, i, weak=True)
            desiccants = [x for x in items if x.kinds.get("desiccant")]
            if desiccants and subject is not None:
                op.action, op.desiccant, op.weak, op.names_layer = "dry", desiccants[0].kinds["desiccant"], False, True
                op.start, op.end = min(op.start, desiccants[0].start), max(op.end, desiccants[0].end)
        return stop

    def _treat(self, tokens, i, begun, high, subject, after) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, after, ("solution", "desiccant", "solvent"))
        dry = [
            x
            for x in items
            if x.kinds.get("desiccant") in ("mgso4", "na2so4") and not x.amount.aqueous and not x.amount.strong()
        ]
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        if dry:
            op = self._simple("dry", tokens, i)
            op.desiccant, op.end, op.names_layer = dry[0].kinds["desiccant"], dry[0].end, True
        elif wet:
            layer = subject is not None and subject.kind == "organic" and not any(t.has("residue") for t in tokens[:i])
            for k, item in enumerate(self._join(wet, tokens)):
                op = self._from_item("wash" if layer else "quench", item, shared, None if k else tokens[i].start)
                op.weak = not layer
                op.verb = "treat"
                self.ops.append(op)
        else:
            self._simple("react", tokens, i, weak=True)
        return stop

    def _stir(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        items, shared, stop = self._items(tokens, i + 1, high, after, ("solution", "desiccant", "solvent"))
        with_it = i + 1 < len(tokens) and any(t.low in ("with", "w/", "over") for t in tokens[i + 1 : i + 4])
        objects = [p for p in after if p.index < stop]
        about = subject or (objects[0] if objects else None)
        dry = [x for x in items if x.kinds.get("desiccant") in ("mgso4", "na2so4") and not x.amount.aqueous]
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        if with_it and dry:
            op = self._simple("dry", tokens, i)
            op.desiccant, op.end, op.names_layer = dry[0].kinds["desiccant"], dry[0].end, True
        elif with_it and wet and about is not None and about.kind == "organic":
            for item in wet:
                op = self._from_item("wash", item, shared, tokens[i].start)
                op.subject, op.names_layer = "organic", True
                self.ops.append(op)
        elif any(t.low in rw.LONG_TIMES for t in tokens[i + 1 : high]):
            self._simple("react", tokens, i, weak=True)
        elif with_it and wet:
            self._liquid("quench", tokens, i, self._join(items, tokens), shared, weak=True)
        elif any(t.low in ("with", "w/") for t in tokens[i + 1 : i + 3]) and not items:
            op = self._simple("odd", tokens, i, weak=True)
            op.end = tokens[stop - 1].end
        return stop

    def _pass(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        agent = next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None)
        if agent is not None:
            op = self._simple("dry", tokens, i)
            op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
        else:
            op = self._simple("odd", tokens, i, weak=True)
            op.end = tokens[high - 1].end
        return i + 1

    def _filter(self, tokens: list[_Token], i: int, high: int, after: list[_Phase], subject: _Phase | None) -> None:
        agent = next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None)
        if (
            agent is not None
            and any(t.low in ("through", "over") for t in tokens[i + 1 : high])
            and not any(op.action == "dry" for op in self.ops[-2:])
        ):
            op = self._simple("dry", tokens, i)
            op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
            return
        op = self._simple("filter", tokens, i, weak=True)
        # What goes through Celite or a plug is the liquid.
        through = any(t.low == "through" for t in tokens[i + 1 : i + 3])
        liquid = (
            through
            or any(p.kind == "liquid" for p in after)
            or (subject is not None and subject.kind in ("organic", "aqueous"))
        )
        self.target = "liquid" if liquid else "solid"
        last = next((o for o in reversed(self.ops[:-1]) if o.action not in ("cool", "wait", "stir")), None)
        if last is not None and last.action in ("dry",):
            self.target = "solid"
            op.action = "filter off desiccant"

    def _discard(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        objects = [p for p in after if p.kind in ("organic", "aqueous", "top", "bottom")]
        passive = i > 0 and (
            tokens[i - 1].has("aux")
            or tokens[i].low.endswith(("ed", "en", "off", "away"))
            or tokens[i].low == "set aside"
        )
        about = (subject if passive and subject is not None else None) or (objects[0] if objects else None) or subject
        if verb == "discard" and about is None:
            for k in (*range(i + 1, high), *range(begun, i)):
                if tokens[k].has("solvent") and not tokens[k].has("solution"):
                    about = _Phase("organic", tokens[k].kinds["solvent"], k, k)
                elif tokens[k].has("solution"):
                    about = _Phase("aqueous", "", k, k)
                if about is not None:
                    break
        solvent = any(
            t.has("solvent") or t.low in ("solvent", "solvents", "volatiles", "volatile")
            for t in tokens[begun:i] + tokens[i + 1 : high]
        )
        if about is None or about.kind not in ("organic", "aqueous", "top", "bottom"):
            if verb == "drain" and solvent and tokens[i].low.startswith("remov"):
                self._simple("concentrate", tokens, i, weak=True)
            elif (
                verb == "discard"
                and (about is None or about.kind not in ("solid", "residue"))
                and self.target != "solid"
            ):
                op = self._simple("discard", tokens, i, weak=True)
                op.reason = "which layer is discarded is not said"
            return i + 1
        if (
            verb == "drain"
            and tokens[i].low.startswith("remov")
            and solvent
            and about.kind == "organic"
            and i < about.index == about.last
        ):
            self._simple("concentrate", tokens, i, weak=True)
            return i + 1
        if tokens[i].low.startswith(("drain", "run off", "ran off", "draw", "drawn")):
            following = tokens[i + 1 : high]
            if any(t.low in ("flask", "beaker", "erlenmeyer") for t in following):
                self._mark_kept(about, True)
                return i + 1
        self._mark_kept(about, verb == "drain" and about.kind == "organic")
        if verb == "discard" or about.kind in ("aqueous", "top", "bottom") or tokens[i].low == "set aside":
            op = self._simple("discard", tokens, i)
            span = [tokens[about.index].start, tokens[i].start, tokens[about.last].end, tokens[i].end]
            op.start, op.end = min(span), max(span)
            op.names_layer = True
            op.phase = {"aqueous": "organic", "organic": "aqueous"}.get(about.kind, "")
            op.layer = {"top": "bottom", "bottom": "top"}.get(about.kind, "")
        return i + 1

    def _keep(self, tokens, i, verb, begun, high, subject, before, after, noun) -> int:
        objects = [p for p in after if p.kind in ("organic", "aqueous", "top", "bottom")]
        passive = i > 0 and (tokens[i - 1].has("aux") or (subject is not None and tokens[i].low.endswith("ed")))
        about = subject if passive else (objects[0] if objects else subject)
        if about is not None and about.kind in ("organic", "aqueous", "top", "bottom"):
            if verb == "keep" or about.kind == "organic":
                self._mark_kept(about, True)
            self.target = "liquid"
            if self.ops:
                marker = self._simple("layers", tokens, i, weak=True)
                marker.names_layer = True
                marker.subject = about.kind
                marker.subject_solvent = about.solvent
        elif tokens[i].low.startswith(("collect", "isolat", "recover")):
            if any(t.has("solid") or t.low in ("filtration", "suction") for t in tokens[begun:high]):
                self.target = "solid"
        elif verb == "separate":
            if about is not None and about.kind == "layers":
                marker = self._simple("layers", tokens, i, weak=True)
                marker.names_layer = True
                self.target = "liquid"
            elif any(t.has("solid") for t in tokens[begun:i]):
                self.target = "solid"
        return i + 1

    def _mark_kept(self, phase: _Phase, kept: bool) -> None:
        """Say of the last step with two layers which was kept."""
        last = next(
            (
                op
                for op in reversed(self.ops)
                if op.action in ("wash", "extract", "take up", "dilute", "quench", "set ph")
            ),
            None,
        )
        if last is None:
            return
        other = {"organic": "aqueous", "aqueous": "organic", "top": "bottom", "bottom": "top"}
        name = phase.kind if kept else other[phase.kind]
        if name in ("organic", "aqueous"):
            last.phase = name
        else:
            last.layer = name

    def _verbless(self, tokens: list[_Token]) -> None:
        """Read a line or sentence without a verb: it goes on with the verb before, or names what is used."""
        if len(tokens) > 24:
            return
        phases = _phases(tokens, set())
        items, shared, _stop = self._items(tokens, 0, len(tokens), phases, ("solution", "solvent", "desiccant"))
        goes_on = (
            tokens[0].has("conj")
            or tokens[0].low in ("followed", "with", "then", "next", "finally")
            or tokens[0].has("with")
        )
        if any(t.has("aux") for t in tokens) or not (goes_on or self.lines):
            return
        last = self.ops[-1] if self.ops else None
        if last is None and not self.lines:
            return
        items = self._join(items, tokens)
        if items and last is not None and last.reason.startswith("what it is") and last.sentence == self.number - 1:
            # "Wash with" alone above a list of what with.
            self.ops.pop()
            self.verb = last.action
        organic = [x for x in items if x.kinds.get("solvent") and not x.kinds.get("solution")]
        if (
            len(items) == 2
            and len(organic) == 1
            and any(t.low == "/" for t in tokens)
            and not items[0].unknown | items[1].unknown
        ):
            op = self._from_item("dilute", next(x for x in items if x is not organic[0]), shared, items[0].start)
            op.end, op.solvent, op.names_layer = items[-1].end, organic[0].kinds["solvent"], True
            op.notes.append("read as partitioned between the two")
            self.ops.append(op)
            return
        for item in items:
            if item.unknown:
                op = self._from_item("wash", item, shared)
                op.weak = True
                self.ops.append(op)
                continue
            agent = item.kinds.get("desiccant")
            if (
                agent
                and not item.amount.aqueous
                and not item.amount.strong()
                and agent in ("mgso4", "na2so4", "caso4", "cacl2", "sieves_3a", "sieves_4a", "phase_separator")
                and item.amount.volume is None
            ):
                op = _Op("dry", item.start, item.end, self.number, desiccant=agent, notes=["read as drying"])
                op.names_layer = True
            elif item.kinds.get("solution") or item.kinds.get("row"):
                op = self._from_item("wash", item, shared)
                op.notes.append("read as a wash")
                op.names_layer = True
            elif item.kinds.get("solvent"):
                op = self._from_item("extract", item, shared)
                op.notes.append("read as an extraction")
                op.names_layer = True
            else:
                continue
            self.ops.append(op)


_WEIGHED = rw.words("g gm gms gram grams mg kg mmol mol moles mole mmole mmoles equiv eq equivalents equivalent meq")
_ALKANES = frozenset(
    {"hexane", "heptane", "pentane", "petroleum_ether", "cyclohexane", "methylcyclohexane", "isooctane"}
)
_SMALL_WORDS = rw.words(
    "the a an this that it its of to in on at by for or as is was were are be been with and then ml volume "
    "total mixture respectively more another further additional respectively solution same each time well "
    "carefully cautiously slowly gently until till about approximately ca approx vigorously extra very "
    "quickly portionwise dropwise obtained resulting just any all both off out up down"
)


def _segment_start(tokens: Sequence[_Token], low: int, high: int) -> int:
    """Return where the words that belong to ``tokens[high]`` begin: after the last separator or verb."""
    depth = 0
    for k in range(high - 1, low - 1, -1):
        token = tokens[k]
        if token.low == ")":
            depth += 1
        elif token.low == "(":
            depth -= 1
        if depth <= 0 and (
            token.low in (",", ";", ":")
            or (token.has("aux", "conj") and not token.has("solution"))
            or token.low in ("by", "with", "the", "after")
        ):
            return k + 1
    return low


def _passed_through(tokens: Sequence[_Token], index: int) -> bool:
    """Tell whether a solid is only what a liquid is filtered through."""
    return any(t.low == "through" for t in tokens[max(0, index - 4) : index])


def _describes(token: _Token) -> bool:
    """Tell whether a word before "acid" or "base" makes it another one: benzoic acid, Hunig's base."""
    return token.low.isalpha() and len(token.low) > 3 and not token.kinds and token.low not in _SMALL_WORDS


def _goes_on(tokens: Sequence[_Token], low: int, high: int, layers: Mapping[int, _Phase]) -> int:
    """Return where a list goes on (then, followed by) before ``high``, or -1."""
    for k in range(low + 1, min(high, low + 12)):
        if k in layers or tokens[k].has("aux"):
            return -1
        if tokens[k].low in ("then", "followed by", "and then", "and finally", "next"):
            return k if any(t.has("solution", "row") for t in tokens[k + 1 : min(high, k + 6)]) else -1
    return -1


def _adjacent(tokens: Sequence[_Token], last: int, i: int) -> bool:
    return all(
        t.low in (")", "(", "layer", "solution") or t.has("ml", "each") or t.number is not None
        for t in tokens[last + 1 : i]
    )


def _miscible(identifier: str) -> tuple[int, int]:
    row = table(Solvent)[identifier]
    return ("immiscible", "partly", "miscible").index(row.miscibility), int(not row.extractant)


def _parts(identifier: str) -> bool:
    """Tell whether a solvent makes an organic layer over or under water, and is used for that."""
    row = table(Solvent)[identifier]
    return row.extractant or (row.miscibility == "immiscible" and identifier != "carbon_disulfide")


def _solvent_name(identifier: str) -> str:
    row = table(Solvent).get(identifier)
    return row.name if row else identifier


def _phases(tokens: Sequence[_Token], verbs: set[int]) -> list[_Phase]:
    """Find the layers, solids and liquids that the words name."""
    found: list[_Phase] = []
    count = len(tokens)
    i = 0
    while i < count:
        token = tokens[i]
        after = tokens[i + 1] if i + 1 < count else None
        if after is not None and after.low == "." and i + 2 < count and i + 1 not in verbs:
            after_index = i + 2
            after = tokens[after_index]
        else:
            after_index = i + 1
        step = 1
        if (
            i + 4 < count
            and after is not None
            and after.low == "("
            and tokens[i + 3].low == ")"
            and tokens[i + 4].has("layer")
        ):
            # The lower (DCM) layer, the aqueous (top) layer.
            pair = (token, tokens[i + 2])
            name = next(
                (n for n in ("organic", "aqueous", "solvent", "top", "bottom") if any(t.has(n) for t in pair)), ""
            )
            if name:
                solvent = next((t.kinds["solvent"] for t in pair if t.has("solvent")), "")
                found.append(_Phase("organic" if name == "solvent" else name, solvent, i, i + 4))
                i += 5
                continue
        noun = after is not None and after_index not in verbs
        after = after or _Token("", 0, 0)
        layer = noun and (after.has("layer") or after.has("extracts") or after.low == "portion")
        liquid = noun and after is not None and (after.low in rw.WORDS["soln"])
        if i in verbs or token.has("ignore"):
            pass
        elif token.has("organics"):
            found.append(_Phase("organic", "", i, i))
        elif token.has("organic") and (
            layer or liquid or (noun and after.has("solvent", "organic")) or (noun and after.low in ("/", "phase"))
        ):
            last = after_index
            solvent = token.kinds.get("solvent", "")
            if after.has("solvent"):
                solvent = after.kinds["solvent"]
                if last + 1 < count and tokens[last + 1].has("layer", "extracts"):
                    last += 1
            elif token.low in ("ethereal", "etheral"):
                solvent = "diethyl_ether"
            found.append(_Phase("organic", solvent, i, last))
            step = last - i + 1
        elif (
            token.has("organic")
            and after is not None
            and (after.has("aux") or after_index in verbs)
            and token.low in ("organic", "org")
        ):
            found.append(_Phase("organic", "", i, i))
        elif (token.has("aqueous") and layer) or (
            token.has("aqueous")
            and liquid
            and i
            and tokens[i - 1].low
            in ("the", "this", "combined", "resulting", "acidic", "basic", "alkaline", "remaining", "residual")
            and not (after_index + 1 < count and tokens[after_index + 1].low == "of")
        ):
            found.append(_Phase("aqueous", "", i, after_index))
            step = after_index - i + 1
        elif (
            token.has("aqueous")
            and after is not None
            and (
                after.has("aux")
                or after_index in verbs
                or (after.low == "," and i and (i - 1 in verbs or tokens[i - 1].low in ("the", "all")))
            )
            and (i == 0 or (not tokens[i - 1].has("solution", "solvent", "sat") and tokens[i - 1].low != "("))
        ) or (token.has("aqueous") and after is None and i and (i - 1 in verbs or tokens[i - 1].low in ("the", "all"))):
            found.append(_Phase("aqueous", "", i, i))
        elif token.has("solvent") and (layer or liquid) and not (liquid and i and tokens[i - 1].low in ("in",)):
            if not (
                after.low in ("solution",)
                and i
                and (
                    (tokens[i - 1].has("with") and tokens[i - 1].low in ("with", "into"))
                    or tokens[i - 1].number is not None
                )
            ):
                found.append(_Phase("organic", token.kinds["solvent"], i, after_index))
                step = after_index - i + 1
        elif (token.has("solution") and layer and not (False)) or (token.has("acidic", "basic") and (layer or liquid)):
            found.append(_Phase("aqueous", "", i, after_index))
            step = after_index - i + 1
        elif token.has("top", "bottom") and (
            layer or (after is not None and (after.has("organic", "aqueous", "solvent")))
        ):
            last = after_index
            kind = "top" if token.has("top") else "bottom"
            if after is not None and after.has("organic", "aqueous"):
                kind = "organic" if after.has("organic") else "aqueous"
                if last + 1 < count and tokens[last + 1].has("layer"):
                    last += 1
            elif after is not None and after.has("solvent") and not after.has("layer"):
                kind = "organic"
                if last + 1 < count and tokens[last + 1].has("layer"):
                    last += 1
            found.append(_Phase(kind, "", i, last))
            step = last - i + 1
        elif token.has("extracts") and not token.has("desiccant") and (not token.has("verb") or i not in verbs):
            found.append(_Phase("organic", "", i, i))
        elif token.low in ("washings",):
            found.append(_Phase("aqueous", "", i, i))
        elif (
            token.low in ("solution", "mixture")
            and after is not None
            and after.has("aux")
            and i
            and not tokens[i - 1].has("solution", "soln")
        ) or token.has("filtrate"):
            found.append(_Phase("liquid", "", i, i))
        elif token.low in ("layers", "phases", "lyrs", "phasen"):
            found.append(_Phase("layers", "", i, i))
        elif (token.has("solid") and not token.has("verb")) or (
            token.has("solid") and i and tokens[i - 1].low in ("the",)
        ):
            found.append(_Phase("solid", "", i, i))
        elif token.has("residue"):
            found.append(_Phase("residue", "", i, i))
        i += step
    return found


# Telling the workup from what surrounds it


_STRONG = frozenset({"wash", "extract", "take up", "dry", "discard"})
_STEPS = frozenset(
    [
        "quench",
        "evaporate",
        "dilute",
        "filter",
        "wash",
        "extract",
        "rinse",
        "concentrate",
        "vent",
        "cool",
        "wait",
        "combine",
        "discard",
        "dry",
        "take up",
        "set ph",
        "filter off desiccant",
        "check ph",
    ]
)


def _portion(reader: _Reader) -> Proposal:
    """Cut the reaction off in front and the purification behind; return the steps in between."""
    ops = reader.ops
    text, at = reader.text, reader.at
    strong = [
        k
        for k, op in enumerate(ops)
        if (op.action in _STRONG and not op.weak) or (op.names_layer and op.action in _STEPS)
    ]
    sure = set(strong)
    readable = [k for k, op in enumerate(ops) if op.action in _STEPS]
    if not readable:
        return _nothing(reader)
    if strong:
        first = strong[0]
        last = strong[0]
        purified = False
        for k in range(first, len(ops)):
            purified |= ops[k].action == "purify"
            if k in sure and ops[k].action in (
                ("wash", "extract", "take up") if purified else (*_STRONG, "set ph", "dilute")
            ):
                last = k
    else:
        barriers = [
            k for k, op in enumerate(ops) if op.action == "react" and not (reader.lines and op.verb.startswith("add"))
        ]
        after = [k for k in readable if not barriers or k > barriers[-1]]
        if reader.lines and after:
            # In a few lines of notes, what cannot be read is told rather than set aside.
            after = sorted([*after, *(k for k, op in enumerate(ops) if op.action == "odd" and k < after[-1])])
        if not after:
            return _nothing(reader)
        first, last = after[0], after[-1]
        while last > first and any(op.action == "purify" for op in ops[first:last]):
            last -= 1
    # Back over the weak steps that lead up to the first sure one.
    if strong:
        k = first
        while k > 0:
            op = ops[k - 1]
            if op.action in ("react", "purify"):
                # A short warming between the quench and the extraction belongs to the workup.
                if (
                    k >= 2
                    and ops[k - 2].action in ("quench", "set ph")
                    and ops[k - 2].verb.startswith(("pour", "quench", "acid", "bas", "decompos", "hydrolys"))
                    and op.action == "react"
                    and op.verb.startswith(("warm", "maintain", "add", "allowed", "stir"))
                    and op.sentence - ops[k - 2].sentence <= 1
                ):
                    k -= 1
                    continue
                break
            if op.action in ("layers", "stir") or op.action in _STEPS or op.action == "odd":
                k -= 1
                continue
            break
        while (
            k < first
            and not (reader.lines and ops[k].action == "odd")
            and (
                ops[k].action not in _STEPS
                or ops[k].action in ("cool", "wait", "rinse", "combine")
                or (
                    ops[k].action == "dilute"
                    and ops[k].verb in ("dissolved", "dissolving", "dissolve", "add", "suspended", "slurried")
                    and not any(o.action in ("evaporate", "concentrate", "filter", "quench") for o in ops[:k])
                    and ops[k].solvent
                    and len(reader.norm) > 300
                    and ops[k].verb in ("dissolved", "dissolving", "dissolve", "suspended", "slurried")
                )
            )
        ):
            k += 1
        while (
            k < first
            and ops[k].action == "dilute"
            and ops[k].solvent
            and not ops[k].solution
            and not _parts(ops[k].solvent)
        ):
            k += 1
        first = min(k, first)
    # On over what follows the last sure step, up to the purification.
    k = last
    while k + 1 < len(ops):
        op = ops[k + 1]
        if op.action in ("purify",):
            break
        if op.action == "react":
            break
        k += 1
    end = k
    while (
        end > last
        and not reader.lines
        and (
            ops[end].action not in _STEPS
            or ops[end].action in ("cool", "wait", "dilute", "quench", "set ph")
            or (ops[end].action == "rinse" and ops[end - 1].action not in ("filter off desiccant", "rinse"))
        )
    ):
        end -= 1
    # After the solvent is gone, dissolving and filtering are purification.
    gone = next((j for j in range(last, end + 1) if ops[j].action == "concentrate"), None)
    if gone is not None:
        end = gone
    chosen = ops[first : end + 1]
    taken: list[_Op] = []
    unread: list[Unread] = []

    def place(op: _Op) -> tuple[int, int]:
        norm = reader.norm
        while (
            op.end < len(norm)
            and norm[op.end] in ")]"
            and norm.count("(["[norm[op.end] == "]"], op.start, op.end) > norm.count(norm[op.end], op.start, op.end)
        ):
            op.end += 1
        return at[op.start], (at[op.end - 1] + 1 if op.end > op.start else at[op.start])

    named = ""
    for op in chosen:
        # A layer that was named when it was parted is the one that is washed next.
        if op.action in ("layers", "combine"):
            named = op.subject_solvent or named
        elif op.action in _STEPS and named:
            op.subject_solvent = op.subject_solvent or (named if op.action in ("wash", "dry") else "")
            named = ""
        if op.reason:
            start, stop = place(op)
            unread.append(Unread(start, stop, text[start:stop], op.reason))
            continue
        if op.action in _STEPS:
            taken.append(op)
        elif op.action in ("odd", "purify") or (op.action == "react" and op.verb not in ("stir", "stirred")):
            if op.verb.startswith(("warm", "allowed to warm")):
                continue
            start, stop = place(op)
            if (
                unread
                and op.action == "purify"
                and unread[-1].reason.startswith("a purif")
                and start - unread[-1].end < 120
            ):
                unread[-1] = Unread(unread[-1].start, stop, text[unread[-1].start : stop], unread[-1].reason)
                continue
            reason = {
                "odd": "an operation that is not judged here",
                "purify": "a purification within the workup",
                "react": "a heating, reaction or addition within the workup",
            }[op.action]
            unread.append(Unread(start, stop, text[start:stop], reason))
    _settle_ops(taken, chosen)
    steps = []
    for op in taken:
        start, stop = place(op)
        steps.append(
            ReadStep(
                op.action, start, stop, text[start:stop], op.solution, op.strength, op.solvent, op.desiccant, op.volume,
                op.relative, op.repeats, op.ph, op.phase, op.layer, op.subject_solvent, tuple(dict.fromkeys(op.notes)),
            )
        )  # fmt: skip
    unread += _silent_lines(reader, chosen, place)
    unread += _left_over(reader, chosen, [(s.start, s.end) for s in steps] + [(u.start, u.end) for u in unread])
    unread.sort(key=lambda u: u.start)
    if not steps:
        return Proposal(text, (), tuple(unread))
    begin = min([s.start for s in steps] + [u.start for u in unread])
    finish = max([s.end for s in steps] + [u.end for u in unread])
    opening = next((t for t in reader.sentences if at[t[0].start] <= begin < at[t[-1].end - 1] + 1), None)
    if opening is not None and not any(
        op.end <= chosen[0].start and op.sentence == chosen[0].sentence for op in ops[:first]
    ):
        begin = min(begin, at[opening[0].start])
    before = (0, begin) if text[:begin].strip(" \n\t-•*0123456789.)(") else None
    closing = next((t for t in reader.sentences if at[t[0].start] < finish <= at[t[-1].end - 1] + 1), None)
    if closing is not None:
        later_op = next((op for op in ops[end + 1 :] if at[op.start] >= finish), None)
        finish = min(at[closing[-1].end - 1] + 1, at[later_op.start] if later_op is not None else len(text))
    after_span = (finish, len(text)) if text[finish:].strip(" \n\t.;,)") else None
    return Proposal(text, tuple(steps), tuple(unread), before, after_span, _solvent_before(reader, chosen[0].start))


def _solvent_before(reader: _Reader, end: int) -> str:
    """Return the immiscible solvent of the reaction: the one of which most is named, else the last one named."""
    amounts: dict[str, float] = {}
    for tokens in reader.sentences:
        if tokens[0].start >= end:
            break
        for i, token in enumerate(tokens):
            solvent = token.kinds.get("solvent")
            if solvent is None or token.start >= end or not _parts(solvent):
                continue
            near = [
                tokens[k].number * tokens[k + 1].kinds["ml"]
                for k in range(max(0, i - 6), min(len(tokens) - 1, i + 4))
                if tokens[k].number is not None and tokens[k + 1].has("ml")
            ]
            # Later mentions win between equals.
            amounts[solvent] = amounts.pop(solvent, 0.0) + (max(near) if near else 0.0)
    return max(reversed(amounts), key=lambda s: amounts[s]) if amounts else ""


def _nothing(reader: _Reader) -> Proposal:
    """Return a proposal without steps: all of the text is listed as not read, if there is any."""
    text = reader.text
    if not text.strip():
        return Proposal(text, (), ())
    return Proposal(text, (), (Unread(0, len(text), text, "no step of a workup was recognised"),))


def _silent_lines(reader: _Reader, chosen: list[_Op], place: Any) -> list[Unread]:
    """List the sentences within the workup of which nothing was read though they look like an operation."""
    if not chosen:
        return []
    heard = {op.sentence for op in reader.ops} | reader.heard
    out = []
    low, high = chosen[0].sentence, chosen[-1].sentence
    if reader.lines:
        low, high = 0 if chosen[0].sentence <= 3 and len(reader.norm) < 1500 and "\n" in reader.norm else low, high
    for number in range(low, high + 1):
        if number in heard:
            continue
        tokens = reader.sentences[number]
        start, stop = reader.at[tokens[0].start], reader.at[tokens[-1].end - 1] + 1
        words = [t for t in tokens if t.low.isalpha()]
        looks = any(t.has("solution", "solvent", "desiccant") for t in tokens) or any(
            t.low.endswith("ed") and k and tokens[k - 1].has("aux") for k, t in enumerate(tokens)
        )
        bullet = reader.lines and "\n" in reader.norm and len(words) >= 2 and tokens[-1].low != ":"
        if (looks or bullet) and len(words) >= 1 and not (len(words) == 1 and tokens[-1].low == ":"):
            out.append(Unread(start, stop, reader.text[start:stop], "no operation was recognised in it"))
    return out


def _left_over(reader: _Reader, chosen: list[_Op], told: list[tuple[int, int]]) -> list[Unread]:
    """List the measured solutions within the workup that belong to no step and to nothing told as not read."""
    spans = sorted(told)
    if not spans:
        return []
    low, high = spans[0][0], max(end for _, end in spans)
    at = reader.at
    out: list[Unread] = []
    k, reached = 0, 0
    for tokens in reader.sentences[chosen[0].sentence : chosen[-1].sentence + 1]:
        layers = {j for p in _phases(tokens, set()) for j in range(p.index, p.last + 1)}
        for i, token in enumerate(tokens):
            start, end = at[token.start], at[token.end - 1] + 1
            while k < len(spans) and spans[k][0] <= start:
                reached = max(reached, spans[k][1])
                k += 1
            if start < reached or not low < start < high or i in layers or not token.has("solution", "row"):
                continue
            near = tokens[max(0, i - 4) : i]
            measured = any(t.has("ml", "molar", "normal", "pct", "sat") for t in near)
            if reader.lines and token.kinds.get("solution") not in ("acid", "base", "ice_water"):
                # In a few lines every solution that is named counts, unless the words only say what is washed away.
                measured |= not any(t.has("stop", "contra") or t.low in ("of", "the", "excess", "no") for t in near)
            elided = i > 1 and tokens[i - 1].low == "with" and (i - 2) in layers
            if measured or elided:
                first = min((t.start for t in near if t.number is not None), default=token.start)
                begin = max(at[first], reached)
                begin += len(reader.text[begin:end]) - len(reader.text[begin:end].lstrip(" ,;.)"))
                out.append(Unread(begin, end, reader.text[begin:end], "a solution that no step was read for"))
                reached = max(reached, end)
    return out


# No step depends on one further away than this; it bounds the time that a very long text takes.
_FAR = 30
_BOTH = frozenset({"wash", "extract", "take up"})


def _settle_ops(steps: list[_Op], around: list[_Op]) -> None:
    """Settle what depends on the order: evaporate or concentrate, the layer kept, washes that take the product up."""
    begun = False
    for op in steps:
        if op.action == "concentrate" and not begun:
            op.action = "evaporate"
        if op.action in ("wash", "extract", "take up", "dilute", "dry", "quench", "set ph"):
            begun = True
    for k, op in enumerate(steps):
        later = steps[k + 1 : k + 1 + _FAR]
        if op.action == "take up" and op.verb in ("extract", "back-extract"):
            # An aqueous extract that nobody sets free again was a wash.
            freed = next((s for s in later if s.action in ("set ph", "dry", "concentrate")), None)
            again = any(s.action == "extract" for s in later)
            if (freed is None or freed.action != "set ph") and not again:
                op.action = "wash"
                op.notes = [n for n in op.notes if n != "aqueous layer kept"]
        elif op.action == "wash" and op.solution:
            row = table(Solution).get(op.solution)
            nxt = next(
                (
                    s
                    for s in later
                    if s.action not in ("wash", "combine", "cool", "wait", "vent", "check ph", "discard")
                ),
                None,
            )
            if (
                row is not None
                and row.acts_as in ("acid", "base")
                and nxt is not None
                and nxt.action == "set ph"
                and nxt.subject == "aqueous"
            ) and any(s.action == "extract" for s in later):
                op.action = "take up"
    for k in range(len(steps) - 2, -1, -1):
        # Nobody dries a solid over magnesium sulfate, nor speaks of its organic layer: that was a liquid after all.
        op, following = steps[k], steps[k + 1]
        if op.action == "rinse" and op.solution:
            liquid = following.desiccant in ("mgso4", "na2so4", "caso4") or following.subject == "organic"
            if (following.action == "wash" and following.verb == "of a liquid") or (
                following.action in ("dry", "wash") and liquid
            ):
                op.action, op.verb = "wash", "of a liquid"
    for k, op in enumerate(steps):
        if (
            op.action == "filter"
            and k
            and next(
                (s.action for s in reversed(steps[max(0, k - _FAR) : k]) if s.action in ("dry", "wash", "extract")), ""
            )
            == "dry"
        ):
            op.action = "filter off desiccant"
    order = {id(op): j for j, op in enumerate(around)}
    for op in steps:
        if op.action not in _BOTH or op.phase or op.layer:
            continue
        # The next words that name a layer say which was gone on with.
        for other in around[order[id(op)] + 1 : order[id(op)] + 1 + _FAR]:
            if other.subject in ("organic", "aqueous") and other.action in (
                "dry",
                "wash",
                "extract",
                "layers",
                "set ph",
                "concentrate",
                "take up",
            ):
                if (op.action == "wash" and other.subject == "organic") or (
                    op.action == "take up" and other.subject == "aqueous"
                ):
                    op.phase = other.subject
                break
            if other.action in ("extract", "set ph", "quench"):
                break
        if not op.phase:
            kept = "aqueous" if op.action == "take up" else "organic"
            note = f"{kept} layer kept"
            if note not in op.notes:
                op.notes.append(note)


def _settle(steps: Sequence[ReadStep]) -> tuple[ReadStep, ...]:
    """Settle in the rows of a table what depends on their order."""
    settled: list[ReadStep] = []
    begun = dried = False
    for step in steps:
        if step.action in ("filter", "filter off desiccant"):
            step = replace(step, action="filter off desiccant" if dried else "filter")
        elif step.action in ("concentrate", "evaporate"):
            step = replace(step, action="concentrate" if begun else "evaporate")
        begun |= step.action in ("wash", "extract", "take up", "dilute", "dry", "quench", "set ph")
        dried = step.action == "dry" or (dried and step.action not in ("wash", "extract", "take up"))
        settled.append(step)
    return tuple(settled)


# Tables


_COLUMNS: dict[str, tuple[str, ...]] = {
    "step": ("step", "action", "operation", "what", "do", "schritt"),
    "solution": (
        "solution",
        "with",
        "reagent",
        "wash",
        "solvent",
        "solution or solvent",
        "material",
        "lösung",
        "liquid",
    ),
    "strength": ("strength", "concentration", "conc", "molarity", "grade"),
    "volume": ("volume", "volume ml", "volume_ml", "vol", "amount", "ml", "volume (ml)"),
    "repeats": ("repeats", "times", "repeat", "n", "number", "count", "x"),
    "kept": ("layer kept", "layer_kept", "kept", "layer", "keep", "phase kept", "phase_kept", "phase"),
    "desiccant": ("desiccant", "drying agent", "drying_agent"),
    "ph": ("ph", "target ph", "target_ph"),
}
_COLUMN_OF = {name: column for column, names in _COLUMNS.items() for name in names}


def _csv_rows(text: str) -> list[tuple[int, int, dict[str, str]]]:
    lines = text.splitlines(keepends=True)
    header_line = next((k for k, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")), None)
    if header_line is None:
        raise ReadingError("The table is empty; begin with a header: step,solution,strength,volume,repeats,layer kept.")
    sign = max(",;\t|", key=lines[header_line].count)
    header = [cell.strip().lower().lstrip("\ufeff") for cell in next(csv.reader([lines[header_line]], delimiter=sign))]
    columns = [_COLUMN_OF.get(cell, _COLUMN_OF.get(cell.replace("_", " "), "")) for cell in header]
    if "step" not in columns and "solution" not in columns:
        raise ReadingError(
            f"The header of the table is {', '.join(header)[:200]!r}; it needs a column step or solution "
            "(and may have strength, volume, repeats, layer kept)."
        )
    rows = []
    place = sum(len(line) for line in lines[: header_line + 1])
    numbering = columns.count("step") == 1
    for line in lines[header_line + 1 :]:
        start, place = place, place + len(line)
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            cells = next(csv.reader(io.StringIO(line), delimiter=sign))
        except csv.Error as error:
            raise ReadingError(
                f"The row {line.strip()[:80]!r} cannot be read as CSV: {error}; put cells with signs in quotes."
            ) from None
        values: dict[str, str] = {}
        for column, cell in zip(columns, cells, strict=False):
            if column and cell.strip():
                values[column] = cell.strip()
        extra = [c.strip() for c in cells[len(columns) :] if c.strip()]
        if extra:
            values["extra"] = ", ".join(extra)
        if numbering and values.get("step", "").rstrip(".)").isdigit():
            values.pop("step")
        rows.append((start + len(line) - len(line.lstrip()), start + len(line.rstrip()), values))
    return rows


_TOML_ITEM = re.compile(r"^[ \t]*\[\[[^\]\n]{1,80}\]\][^\n]*$", re.MULTILINE)


def _toml_rows(text: str) -> list[tuple[int, int, dict[str, str]]]:
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise ReadingError(f"The plan cannot be read as TOML: {error}. Write each step under [[step]].") from None
    arrays = [v for v in data.values() if isinstance(v, list) and v and all(isinstance(x, dict) for x in v)]
    if not arrays:
        raise ReadingError(
            'The TOML holds no array of tables; write each step as [[step]] with step = "wash", solution = "brine".'
        )
    steps = arrays[0]
    marks = [m.start() for m in _TOML_ITEM.finditer(text)]
    exact = len(marks) == sum(len(a) for a in arrays)
    rows = []
    for k, step in enumerate(steps):
        start = marks[k] if exact else 0
        end = (marks[k + 1] if k + 1 < len(marks) else len(text)) if exact else len(text)
        values: dict[str, str] = {}
        for name, value in step.items():
            column = _COLUMN_OF.get(name.lower(), _COLUMN_OF.get(name.lower().replace("_", " "), ""))
            if isinstance(value, (list, dict)) or not column:
                values["extra"] = f"{values.get('extra', '')} {name} = {value}".strip()
            elif str(value).strip():
                values[column] = str(value).strip()
        rows.append((start, start + len(text[start:end].rstrip()), values))
    return rows


def _read_row(text: str, start: int, end: int, cells: Mapping[str, str]) -> tuple[list[ReadStep], list[Unread]]:
    """Read one row by writing it as a phrase; every step of it has the place of the row."""
    words = text[start:end]
    step = cells.get("step", "")
    solution = cells.get("solution", "")
    agent = cells.get("desiccant", "")
    if not (step or solution or agent):
        return [], [Unread(start, end, words, "the row says neither what is done nor with what")]
    volume = cells.get("volume", "")
    strength = cells.get("strength", "")
    vague = [volume] if volume and not any(c.isdigit() for c in volume) else []
    if volume and volume.replace(",", ".").replace(".", "", 1).isdigit():
        volume = f"{volume} mL"
    repeats = cells.get("repeats", "").strip().lower()
    if repeats.replace("x", "").strip().isdigit():
        repeats = f"{repeats.replace('x', '').strip()} times"
    if strength and strength.replace(".", "", 1).isdigit():
        strength += " M"
    size = f"({repeats})" if repeats else ""
    if volume:
        size = f"({volume})" + size
    doing = step or ("dry" if agent else "wash")
    phrase = doing
    if solution or agent:
        known = _lex(_normalise(doing)[0])
        drying = any(t.kinds.get("verb") == "dry" for t in known)
        phrase = f"{doing} {'over' if drying else 'with'} {strength} {solution or agent} {size}"
    elif size:
        phrase = f"{doing} {size}"
    if ph := cells.get("ph", ""):
        phrase = f"{doing} to pH {ph} " + (f"with {strength} {solution}" if solution else "")
    reader = _Reader(phrase)
    read = reader.proposal()
    notes = [f"{v}: no volume counted" for v in vague if not any(s.relative_volume for s in read.steps)]
    kept = cells.get("kept", "").lower()
    phase = next((p for p in ("organic", "aqueous") if kept.startswith(p[:2])), "")
    solvent_kept = (
        [t for t in _lex(_normalise(kept)[0]) if t.has("solvent") and not t.has("solution")]
        if kept and not phase
        else []
    )
    phase = "organic" if solvent_kept else phase
    layer = next(
        (
            name
            for name, names in (("top", ("top", "upper")), ("bottom", ("bottom", "lower")))
            if kept.startswith(names)
        ),
        "",
    )
    steps = []
    for got in read.steps:
        assumed = [
            n
            for n in got.assumed
            if not n.startswith("read as a") and not ((phase or layer) and n.endswith("layer kept"))
        ]
        steps.append(
            replace(
                got,
                start=start,
                end=end,
                words=words,
                phase_kept=phase or got.phase_kept,
                layer_kept=layer or got.layer_kept,
                assumed=tuple(assumed + notes),
            )
        )
    unread = [Unread(start, end, words, u.reason) for u in read.unread]
    if kept and not (phase or layer) and kept not in ("-", "none", "n/a"):
        unread.append(
            Unread(
                start, end, words, f"the layer kept, {kept[:40]!r}, is not known; organic, aqueous, top and bottom are"
            )
        )
    if extra := cells.get("extra"):
        unread.append(Unread(start, end, words, f"not read: {extra[:80]}"))
    return steps, unread
