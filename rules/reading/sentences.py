"""The words cut into sentences and lines of notes; numbers and bullets that begin a line are left out."""

from __future__ import annotations

from collections.abc import Sequence

from . import trade
from .characters import Token

_SHORTENED = trade.words(
    "btw betw comb wt sat'd conc'd sol'n sat satd aq dil conc concd ml mls l hr hrs h min mins approx ca "
    "vol vols anhyd soln sol org temp no g mg kg gm gms mm mol mmol eq equiv e i ex etc cc lit wt mp m n "
    "evap ext abs b p tert sec cm anh pet petr dist dec max vac fig sep anhydr aqu sq nat liq tech alc "
    "chem ether's v deg lsg ltr hplc iso c f verd ges wässr gesätt approx appr ppt extd saturd"
)


_TIMES = frozenset({"min", "mins", "h", "hr", "hrs", "sec"})
# A sentence without an end is cut here, so that the time stays in proportion to the length of the text.
_LONG = 300


def sentences_of(tokens: list[Token], norm: str) -> list[list[Token]]:
    """Cut the words into sentences and lines of notes; numbers and bullets that begin a line are left out."""
    sentences: list[list[Token]] = [[]]
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
            last = tokens[i - 1].low if i else ""
            ended = last in (":", ";", "!", "?") or (last == "." and _ends(tokens, i - 1, norm))
            if (
                blank
                or bullet
                or ended
                or short_lines
                or (
                    following is not None
                    and following.has("verb")
                    and (following.capital or (len(norm) < 70 * lines and not _leads_on(tokens[i - 1])))
                )
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
        if low == "#" and i + 1 < count and tokens[i + 1].number is not None:
            dash = i + 2 < count and tokens[i + 2].low in ("-", ":")
            i += 3 if dash else 2  # "wash #2 - 15 mL of brine"
            continue
        if low in (".", "!", "?", "…") and _ends(tokens, i, norm):
            sentences.append([])
            if i + 1 < count and _numbering(tokens, i + 1, norm) and tokens[i + 1].low != "(":
                i += 1 + _numbering(tokens, i + 1, norm)
                continue
        elif low == ">" and 0 < i < count - 1 and tokens[i + 1].has("ph") and sentences[-1]:
            sentences[-1].append(Token("to", token.start, token.end, {"with": "to"}))  # "1 M HCl -> pH 2"
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


def _leads_on(token: Token) -> bool:
    """Tell whether a line that ends with this word goes on in the next one."""
    return token.has("aux", "conj", "with", "of") or token.low in (",", "the", "a", "then", "not")


def _numbering(tokens: Sequence[Token], i: int, norm: str) -> int:
    """Return how many signs at ``i`` only number or mark a line: 1. 2) (3) Step 4: - •."""
    count = len(tokens)
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
        if sign == "/" and token.number is not None and i + 2 < count and tokens[i + 2].start > tokens[i + 1].end:
            return 2 if norm[:12].lstrip(" -#\n").startswith("1/") else 0
        if sign in (")", ":") or (sign == "." and i + 2 < count and tokens[i + 2].start > tokens[i + 1].end):
            ratio = sign == ":" and i + 2 < count and tokens[i + 2].number is not None
            return 0 if ratio else 2
    return 0


def _inline_numbering(tokens: Sequence[Token], i: int, norm: str) -> int:
    """Numbers in running text, as in ``1) wash with HCl 2) wash with brine`` or ``(a) wash (b) dry``."""
    token = tokens[i]
    if token.low == "(" and i + 3 < len(tokens) and tokens[i + 2].low == ")" and norm.lstrip(" -#\n").startswith("("):
        inner, after = tokens[i + 1], tokens[i + 3]
        letter = len(inner.low) == 1 and inner.low.isalpha()
        named = tokens[i - 1].low in ("repeat", "step", "of", "in", "from", "to", "steps")
        return (
            3
            if letter and not named and (after.capital or after.has("verb") or after.number is not None or after.kinds)
            else 0
        )
    if (
        token.number is not None
        and token.number < 30
        and i + 2 < len(tokens)
        and norm[:12].lstrip(" -#\n").startswith("1.")
    ):
        point, following = tokens[i + 1], tokens[i + 2]
        if point.low == "." and point.start == token.end and following.start > point.end and following.has("verb"):
            return 2
    if norm[:12].lstrip(" -#\n").startswith("1/") and i + 2 < len(tokens) and tokens[i + 1].low == "/":
        spaced = tokens[i + 1].start == token.end and tokens[i + 2].start > tokens[i + 1].end
        return 2 if spaced and token.number is not None and token.number < 30 else 0
    if (
        token.number is not None
        and token.number < 30
        and i + 2 < len(tokens)
        and tokens[i + 1].low == ")"
        and tokens[i + 1].start == token.end
    ):
        # Not the number that closes a bracket: (pH 2), (x 3).
        depth = 0
        for back in range(i - 1, max(-1, i - 40), -1):
            if tokens[back].low == ")":
                depth += 1
            elif tokens[back].low == "(":
                if depth == 0:
                    return 0
                depth -= 1
        return 2
    return 0


def _ends(tokens: Sequence[Token], i: int, norm: str) -> bool:
    """Tell whether the point at ``i`` ends a sentence."""
    if i + 1 >= len(tokens):
        return True
    token, after = tokens[i], tokens[i + 1]
    if after.low == "\n":
        return not (i > 0 and tokens[i - 1].low in ("sat", "aq", "dil", "conc"))
    before = tokens[i - 1].low.rstrip(".") if i else ""
    if i and before in ("with", "of", "over", "and", "the", "a", "to", "in") and not after.capital:
        return False
    if i + 2 < len(tokens) and after.low in ("x", "n", "y") and tokens[i + 2].has("ml"):
        return True  # "ether 40 mL. x mL water"
    last = (before.replace("-", " ").split() or [""])[-1]
    spaced = after.start > token.end
    if last == "aq" and i > 1 and tokens[i - 2].kinds.get("verb") in ("discard", "keep", "drain", "separate"):
        return True
    if last in _TIMES and i > 1 and tokens[i - 2].number is not None and spaced and after.capital:
        return True  # "stir 15 min. MgSO4, filter"
    if last in _SHORTENED or (len(last) == 1 and last.isalpha()):
        # After a shortened word, only a capital that is no chemical begins a sentence.
        chemical = after.has("solution", "solvent", "desiccant", "sat", "aqueous", "row", "half", "buffer")
        return (spaced and after.capital and not chemical and after.end - after.start > 2) or (
            (spaced and after.low in ("a", "to")) and after.capital
        )
    if not spaced:
        return after.capital and len(last) > 2 and last.isalpha()
    return True
