"""The phrases of the trade as a tree of words: each text is cut into words, and the phrases in it are recognised."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any

from washlore.knowledge.rows import Desiccant, Solution, Solvent, table

from . import bottles, romance, trade
from .characters import Token, cut, lowered, normalise

_STRENGTH = re.compile(r"^(?:[\d.]+ (?:M|%)|saturated) ")
# Words of the longest phrase: 5 % L-cysteine, brought to pH 8 with sodium hydroxide.
LONGEST = 12
_SPELT_OUT = re.compile(r"(\d+)")


def _spellings(phrase: str) -> Iterable[str]:
    yield phrase
    if any(c.isdigit() for c in phrase) and any(c.isalpha() for c in phrase) and " " not in phrase:
        yield _SPELT_OUT.sub(r" \1 ", phrase).strip()


_CORRECTED = frozenset({"solution", "desiccant", "sat", "aqueous", "organic", "organics", "anhydrous"})


_CORRECTED_VERBS = trade.words(
    "wash extract back-extract dry filter rinse concentrate quench dilute dissolve acidify basify "
    "neutralize partition combine discard separate"
)


_CORRECTED_SOLVENTS = trade.words(
    "diethyl_ether ethyl_acetate dichloromethane chloroform toluene mtbe petroleum_ether benzene"
)


class _Lexicon:
    """The phrases of the trade as a tree of words, and the single words for the correction of slips."""

    def __init__(self) -> None:
        self.tree: dict[str, Any] = {}
        self.words: set[str] = set()
        # The words that a slip may be put right to: those that decide what a step is.
        self.targets: set[str] = set()
        for key, solute in bottles.SOLUTES.items():
            for name in solute.names:
                self.add(name, "solution", key)
        self._add_rows()
        for identifier, names in bottles.SOLVENT_NAMES.items():
            for name in names:
                self.add(name, "solvent", identifier)
        for identifier, names in bottles.DESICCANT_NAMES.items():
            for name in names:
                self.add(name, "desiccant", identifier)
        for verb, names in trade.VERBS.items():
            for name in names:
                self.add(name, "verb", verb)
        for kind, names in trade.WORDS.items():
            for name in names:
                self.add(name, kind, name)
        for kind, values in (
            ("numword", trade.NUMBERS),
            ("times", trade.TIMES),
            ("relative", trade.RELATIVE),
            ("ml", trade.UNITS_ML),
        ):
            for name, value in values.items():
                self.add(name, kind, value)
        for name in bottles.HYDRATES:
            self.add(name, "hydrate", name)
        self._add_romance()
        for name in trade.VAGUE:
            self.add(name, "vague", name)
        for name in trade.OTHER_UNITS:
            self.add(name, "other unit", name)
        self.slips = self._slips()

    def _add_romance(self) -> None:
        """Add the French and Spanish words; where English has the same word, it stays what it is."""
        grouped = (
            ("solution", romance.SOLUTES),
            ("solvent", romance.SOLVENTS),
            ("desiccant", romance.DESICCANTS),
            ("verb", romance.VERBS),
        )
        for kind, table_of in grouped:
            for key, names in table_of.items():
                for name in names:
                    self.add(name, kind, key)
        for kind, names in romance.WORDS.items():
            for name in names:
                self.add(name, kind, name)
        for name, number in romance.NUMBERS.items():
            self.add(name, "numword", number)
        for name, times in romance.TIMES.items():
            self.add(name, "times", times)

    def _add_rows(self) -> None:
        """Add the spellings of the tables that the lists do not hold, so that a new row is read too."""
        grouped = {row for solute in bottles.SOLUTES.values() for row in solute.rows}
        for row in table(Solution).values():
            # What a name says beyond solute and strength (a pH, a second solute) is part of it.
            if any(mark in row.name for mark in (",", " in ", " with ", " buffer")):
                self.add(_STRENGTH.sub("", row.name), "row", row.id)
            if row.id not in grouped:
                for name in (row.name, *row.aliases):
                    self.add(name, "row", row.id)
        for solvent in table(Solvent).values():
            for name in (solvent.name, *solvent.aliases):
                if name.lower() not in bottles.NOT_SOLVENTS and solvent.id != "water":
                    self.add(name, "solvent", solvent.id)
        for agent in table(Desiccant).values():
            for name in (agent.name, *agent.aliases):
                self.add(name, "desiccant", agent.id)

    def add(self, phrase: str, kind: str, value: Any) -> None:
        # "1 M 3 x 20 mL": a unit is never spelt apart.
        for spelling in (phrase,) if kind == "other unit" else _spellings(phrase):
            norm, _ = normalise(spelling)
            tokens = [t.low for t in cut(norm) if t.low != "-"]
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
    lexicon = the_lexicon()
    if not 4 <= len(word) <= 24 or word in lexicon.words or word in trade.NEVER_CORRECTED or not word.isalpha():
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
def the_lexicon() -> _Lexicon:
    """Return the one lexicon, built on first use."""
    return _Lexicon()


def lex(norm: str) -> list[Token]:
    """Return the words of the text, with phrases of the trade joined and recognised."""
    lexicon = the_lexicon()
    raw = cut(norm)
    for token in raw:
        for end in ("lösung", "loesung"):
            if token.low.endswith(end) and token.low not in lexicon.tree and token.low[: -len(end)] in lexicon.tree:
                token.low = token.low[: -len(end)]  # "Natriumchloridlösung"
        if token.number is None and token.low not in lexicon.tree and len(token.low) > 3:
            token.low = lexicon.corrected(token.low)
    raw = [
        token
        for token, after, then in zip(raw, raw[1:] + raw[:1], raw[2:] + raw[:2], strict=True)
        if not (token.low == "for" and then.low in ("times", "time") and (after.number or after.low in trade.NUMBERS))
    ]  # "washed for 3 times"
    raw = _said_once(raw)
    for token, after in pairwise(raw):
        if token.low == "bis" and after.low in _UP_TO:
            token.low = "until"  # "2 N HCl bis pH 1"
    out: list[Token] = []
    i, count = 0, len(raw)
    while i < count:
        node, j, best, depth = lexicon.tree, i, None, 0
        while j < count and depth < LONGEST:
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
        if lowered(written).upper() in bottles.CAPITALS_ONLY and not written.isupper():
            kinds.pop("solvent", None), kinds.pop("solution", None)
        elif "each" in kinds and "solvent" in kinds:
            kinds.pop("each")  # EA is ethyl acetate, ea each
        low = first.low if j == i + 1 else lowered(written)
        out.append(Token(low, first.start, raw[j - 1].end, kinds, first.capital, first.number))
        i = j
    return out


def _said_once(raw: Sequence[Token]) -> list[Token]:
    """Leave out a number in brackets that only says the word before it again: two (2) times."""
    out: list[Token] = []
    skip = 0
    for i, token in enumerate(raw):
        if skip:
            skip -= 1
            continue
        before = trade.NUMBERS.get(raw[i - 1].low) if i else None
        again = before is not None and token.low == "(" and i + 2 < len(raw) and raw[i + 1].number == before
        if again and raw[i + 2].low == ")":
            skip = 2
            continue
        out.append(token)
    return out


# What stands behind a German "bis".
_UP_TO = trade.words("ph zur zum neutral sauer basisch alkalisch")


def _dotted(norm: str, raw: Sequence[Token], j: int) -> bool:
    """Tell whether a point within a phrase only shortens the word before it (pet. ether, sat. ...)."""
    return len(raw[j - 1].low) <= 4 and j + 1 < len(raw) and not raw[j + 1].capital and raw[j].start == raw[j - 1].end


_NAME_GOES_ON = trade.words(
    "hydrochloride hydrobromide sulfonic sulfonyl sulfonate sulfonamide carboxylic carboxylate "
    "carboxaldehyde derivative tosylate oxide methiodide diamide sulfonylchloride perchlorate trihydrate"
)


def _part_of_a_name(norm: str, raw: Sequence[Token], i: int, j: int, out: Sequence[Token]) -> bool:
    """Tell whether the words are the end or beginning of a longer chemical name, such as azabicyclo[3.1.0]hexane."""
    first, last = raw[i], raw[j - 1]
    if first.low in ("hcl", "hbr") and i > 1 and raw[i - 1].low in (".", "•") and len(raw[i - 2].low) > 1:
        # Et3N.HCl: a salt.
        shortened = raw[i - 2].low in ("aq", "conc", "dil", "sat", "satd") or raw[i - 2].number is not None
        if raw[i - 2].end == raw[i - 1].start and raw[i - 1].end == first.start and not shortened:
            return True
    if (
        first.low == "ether"
        and j == i + 1
        and i
        and raw[i - 1].low.endswith("yl")
        and raw[i - 1].low not in ("ethyl", "diethyl")
    ):
        return True  # ethyl vinyl ether
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
            if following.number is None and following.low not in the_lexicon().tree and following.low.isalpha():
                return True
    return False


def _inner_hyphen(norm: str, token: Token) -> bool:
    before = norm[token.start - 1 : token.start]
    after = norm[token.end : token.end + 1]
    return (before.isalnum() or before in ")%") and after.isalnum() and not (before.isdigit() and after.isdigit())
