"""The solutions, solvents and drying agents that a phrase names, each with what is said of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from washlore.knowledge.records import dataclass

from . import trade
from .amounts import Amount, amount_at
from .characters import Token
from .layers import Phase


@dataclass
class Item:
    """One solution, solvent or drying agent, with what is said of it."""

    kinds: dict[str, Any]
    low: str
    amount: Amount
    start: int
    end: int
    first: int
    last: int
    separated: bool = False
    unknown: bool = False
    bracket: bool = False


SMALL_WORDS = trade.words(
    "the a an this that it its of to in on at by for or as is was were are be been with and then ml volume "
    "total mixture respectively more another further additional respectively solution same each time well "
    "carefully cautiously slowly gently until till about approximately ca approx vigorously extra very "
    "quickly portionwise dropwise obtained resulting just any all both off out up down"
)


_PASSIVE = ("was ", "were ", "is ", "are ")


def things_in(tokens: Sequence[Token], low: int, high: int, phases: Sequence[Phase]) -> tuple[list[Item], Amount, int]:
    """Return the solutions, solvents or drying agents in ``tokens[low:high]``, what is said of all, and the end."""
    layers = {p.index: p for p in phases}
    items: list[Item] = []
    shared, pending = Amount(), Amount()
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
            items.append(Item({}, "", pending, start, end, segment, at - 1, separated, unknown=True))
        elif not segment_has and at == high < len(tokens) and tokens[high].has("verb") and _only_times(pending):
            pass  # "with water and twice extracted": said of the next verb
        elif not pending.empty():
            if items and not items[-1].unknown:
                for item in items if pending.each and not segment_has else items[-1:]:
                    item.amount.take(pending)
                if not pending.each:
                    items[-1].end = max(items[-1].end, pending.end)
            elif not items:
                shared.take(pending)
        pending, segment_has, strange, marked = Amount(), False, [], False

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
            if not items and pending.each and depth == 0 and i + 1 < high and tokens[i + 1].low == ":":
                shared.take(pending)  # "Washes (15 mL each): 1 M HCl x2, brine"
                pending = Amount()
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
        if token.low in _GOES and items and not (token.low == "go" and tokens[i - 1].low in ("one", "a", "single")):
            # "... and the acid goes into the water": told, not used
            while items and items[-1].first >= segment:
                items.pop()
            strange, marked, segment_has, pending = [], False, False, Amount()
            stop = segment
            break
        if token.has("aux") and items:
            stop = dropped.first if (dropped := _next_subject(tokens, items, i, segment_has)) else i
            break
        if ((token.has("stop") and top) or token.low in ("over", "through")) and items:
            # "until colourless, then water": the list goes on after what is said of one of them.
            on = _goes_on(tokens, i, high, layers) if token.has("stop") else -1
            if on < 0:
                stop = i
                break
            close(i)
            for k in range(i, on):
                # "until the washings stay acidic (4 x 25 mL), then ..."
                if (
                    tokens[k].low == "("
                    and (told := amount_at(tokens, k + 1, on)) is not None
                    and not items[-1].amount.sized()
                ):
                    items[-1].amount.take(told[1])
                    items[-1].end = max(items[-1].end, told[1].end)
            separated, segment, i = True, on + 1, on + 1
            continue
        if token.low == "containing" and segment_has and items:
            # "10 % HCl containing KI (10 mL)": what is in it besides makes no wash of its own.
            i += 1
            while i < high and tokens[i].low not in ("(", ",", ";") and not tokens[i].has("conj"):
                i += 1
            continue
        if token.has("contra"):
            # "without", "not", "free from": what follows is not used.
            i += 2 if i + 1 < high and tokens[i + 1].has("solution", "solvent", "with") else 1
            continue
        # A chemical is looked for first, so that "2-butanol" is not two of something.
        if (
            (token.kinds.get("solution") in ("acid", "base") or token.low in ("peroxide", "peroxides"))
            and i > low
            and (_describes(tokens[i - 1]) or _is_meant(tokens, i))
        ):
            strange.append(i)
            marked = True
            i += 1
            continue
        chemical = token.has("solution", "row") or token.has("solvent") or token.has("desiccant")
        if chemical and not (token.has("layer") and not token.has("solution")):
            if _crystal_water(tokens, i):
                i += 1
                continue
            if _in_water(tokens, i, items, segment_has):
                items[-1].end = token.end
                items[-1].last = i
                i += 1
                continue
            if _in_organic(tokens, i, items, segment_has):
                # "HCl in ether": no aqueous solution, and nothing that a wash is made of.
                items[-1].kinds, items[-1].end, items[-1].last = {"reagent": token.low}, token.end, i
                i += 1
                continue
            kinds: dict[str, Any] = {
                k: token.kinds[k] for k in ("solution", "row", "solvent", "desiccant") if k in token.kinds
            }
            if not top and segment_has and items:
                # In brackets after a name: the same thing said again, or what it is.
                _bracketed(items[-1], kinds, token, pending, i)
                pending = Amount()
                i += 1
                continue
            start = token.start if pending.empty() else min(pending.start, token.start)
            generic = segment_has and items[-1].kinds.get("solution") in ("acid", "base") and items[-1].last == i - 1
            if generic and "solution" in kinds:
                start = items.pop().start  # "with the base NaOH"
            items.append(Item(kinds, token.low, pending, start, token.end, i, i, separated, bracket=not top))
            pending = Amount()
            segment_has, separated = True, False
            strange = []
            i += 1
            continue
        # Na2S2O3 5H2O, Na2S2O3 x 5H2O: no amount.
        count = i + 1 if token.low in ("x", "*") else i
        if count + 1 < high and tokens[count].number is not None and _crystal_water(tokens, count + 1):
            i = count + 2
            continue
        got = amount_at(tokens, i, high)
        if got is not None and got[0] < high and _is_vessel(tokens[got[0]]):
            i = got[0] + 1  # "a 125-mL separatory funnel"
            continue
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
            elif segment_has and (
                not _chemical_ahead(tokens, j, high, layers)
                or (not items[-1].amount.sized() and amount.volume is not None and _has_its_own(tokens, j, high))
            ):
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
            pending.take(Amount(state="conc", words=[(token.start, token.end)], start=token.start, end=token.end))
            marked = True
        elif token.low in ("dilute", "diluted"):
            pending.take(Amount(state="dil", words=[(token.start, token.end)], start=token.start, end=token.end))
        elif token.has("aqueous"):
            if items and segment_has:
                items[-1].amount.aqueous = True
                items[-1].end = max(items[-1].end, token.end)
                items[-1].last = i
            else:
                pending.take(Amount(aqueous=True, start=token.start, end=token.end))
            marked = True
        elif token.has("solid_state"):
            pending.solid = True
        elif (
            (token.has("each") or token.low == "all")
            and pending.empty()
            and not segment_has
            and items
            and token.low != "each time"
        ):
            pending.each = True  # "in each case twice with 25 mL"
        elif token.has("each"):
            for item in items:
                item.amount.take(items[-1].amount)
            pending.each = pending.each or not pending.empty()
        elif token.low == "solution" or token.low in trade.WORDS["soln"]:
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
            and token.low not in SMALL_WORDS
        ):
            strange.append(i)
        i += 1
    passive = (
        bool(items)
        and stop == high < len(tokens)
        and tokens[high].low.startswith(_PASSIVE)
        and tokens[high].has("verb")
    )
    passive = passive or (
        bool(items)
        and stop == high < len(tokens)
        and tokens[high].low in ("washed", "dried", "shaken", "extracted")
        and bool(items[-1].kinds.get("solvent"))
        and not items[-1].amount.sized()
    )
    if passive and (dropped := _next_subject(tokens, items, high, segment_has)):
        stop = dropped.first  # "...; the ether was washed": one word of the lexicon
    close(stop)
    lead = next((k for k, x in enumerate(items) if x.amount.each and x.amount.sized()), None)
    if lead is not None:
        said = items[lead].amount
        for item in items[lead + 1 :]:
            if not item.amount.sized():
                item.amount.volume, item.amount.relative, item.amount.repeats = said.volume, said.relative, said.repeats
    return items, shared, stop


def _is_vessel(token: Token) -> bool:
    return token.low in ("flask", "funnel", "beaker", "erlenmeyer") or (token.has("ignore") and "funnel" in token.low)


_GOES = frozenset({"goes", "go", "stays", "stay", "remains", "moves", "dissolves"})


def _only_times(amount: Amount) -> bool:
    return amount.repeats is not None and amount.volume is None and amount.relative is None and not amount.strong()


def _chemical_ahead(tokens: Sequence[Token], i: int, high: int, layers: Mapping[int, Phase]) -> bool:
    """Tell whether another name follows before the next separator."""
    for k in range(i, min(high, i + 8)):
        token = tokens[k]
        if token.low == "." and k and (tokens[k - 1].has("conc", "sat", "aqueous", "dil") or tokens[k - 1].has("ml")):
            continue
        if token.low in (",", ";", "(", ")", "/", ".") or token.has("conj", "aux") or k in layers:
            return False
        if token.has("solution", "row", "solvent"):
            return not (token.low in ("water", "h2o") and k and tokens[k - 1].low in ("in",))
    return False


def _has_its_own(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether the name right behind an amount has a volume of its own behind it: ether 50 mL. water 20 mL."""
    k = i + (i < high and tokens[i].low == ".")
    named = k + 2 < high and tokens[k].has("solution", "solvent", "row")
    return named and tokens[k + 1].number is not None and tokens[k + 2].has("ml")


def _crystal_water(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether this is the water of a salt such as Na2S2O3 5H2O."""
    if tokens[i].low not in ("h2o", "h20") or i < 2:
        return False
    k = i - 1
    if tokens[k].number is not None and tokens[k].end == tokens[i].start:
        k -= 1
    if k >= 0 and tokens[k].low in (".", "•", "x", "*"):
        k -= 1
    return k >= 0 and k < i - 1 and tokens[k].has("solution", "desiccant") and tokens[k].low not in ("water",)


def _in_water(tokens: Sequence[Token], i: int, items: list[Item], segment_has: bool) -> bool:
    """Tell whether "in water" only completes the solution before it."""
    if (
        tokens[i].kinds.get("solution") != "water"
        or not items
        or not segment_has
        or not items[-1].kinds.get("solution")
    ):
        return False
    return (
        any(tokens[k].low in ("in", "w/v") for k in range(max(0, i - 4), i)) and items[-1].kinds["solution"] != "water"
    )


_GASES_IN = frozenset({"hcl", "ammonia"})


def _in_organic(tokens: Sequence[Token], i: int, items: list[Item], segment_has: bool) -> bool:
    """Tell whether the solvent at ``i`` is what a gas is dissolved in: 4 M HCl in dioxane, ammonia in methanol."""
    if not items or not segment_has or not tokens[i].has("solvent") or tokens[i].has("solution"):
        return False
    before = i - 1 if not tokens[i - 1].has("anhydrous", "cold") else i - 2
    return tokens[before].low == "in" and before == items[-1].last + 1 and items[-1].kinds.get("solution") in _GASES_IN


def _next_subject(tokens: Sequence[Token], items: list[Item], at: int, segment_has: bool) -> Item | None:
    """Take the last item out of the list where it is what the next words are about: right before "was" at ``at``."""
    last = items[-1]
    if last.separated and len(items) > 1 and not last.bracket and _adjacent(tokens, last.last, at) and segment_has:
        return items.pop()
    return None


def _bracketed(item: Item, kinds: dict[str, Any], token: Token, pending: Amount, i: int) -> None:
    """Let the words in brackets say more of the item before them."""
    generic = ("acid", "base", "buffer", "ice_water", "acidic")
    own = item.kinds.get("solution")
    new = kinds.get("solution")
    if own in generic and new and new not in generic:
        item.kinds = kinds
    item.amount.take(pending)
    item.end = max(item.end, token.end)
    item.last = i


def _describes(token: Token) -> bool:
    """Tell whether a word before makes it another one: benzoic acid, Hunig's base, benzoyl peroxide."""
    return token.low.isalpha() and len(token.low) > 3 and not token.kinds and token.low not in SMALL_WORDS


_IN_FLASK = frozenset({"mixture", "reaction", "flask", "melt", "liquor", "suspension", "slurry"})


def _is_meant(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether "the acid" is what a step is about and not what it is done with: "take up the acid in NaOH".

    So is a base that is there already: "with the base still present".
    """
    if i + 1 < len(tokens) and tokens[i + 1].low in _IN_FLASK:
        return True  # "to the acid mixture"
    if tokens[i - 1].low not in ("the", "all", "any", "your", "our", "my") or i < 2:
        return False
    if i + 1 < len(tokens) and tokens[i + 1].low in ("still", "present", "already"):
        return True
    return not tokens[i - 2].has("with", "of") and tokens[i - 2].low not in ("in", "conj", ",")


def _goes_on(tokens: Sequence[Token], low: int, high: int, layers: Mapping[int, Phase]) -> int:
    """Return where a list goes on (then, followed by) before ``high``, or -1."""
    until = tokens[low].low in ("until", "till")
    for k in range(low + 1, min(high, low + 18)):
        if (k in layers or tokens[k].has("aux")) and not until:
            return -1
        if until and tokens[k].low == "," and k + 1 < high:
            # "until colourless, water (20 mL), brine"
            near = tokens[k + 1 : min(high, k + 5)]
            first = next((n for n, t in enumerate(near) if t.has("solution", "row")), -1)
            added = high < len(tokens) and tokens[high].low in ("added", "charged", "introduced")
            if first >= 0 and not added and all(t.number is not None or t.kinds for t in near[:first]):
                return k
        if tokens[k].low in ("then", "followed by", "and then", "and finally", "next"):
            return k if any(t.has("solution", "row") for t in tokens[k + 1 : min(high, k + 6)]) else -1
    return -1


def _adjacent(tokens: Sequence[Token], last: int, i: int) -> bool:
    return all(
        t.low in (")", "(", "layer", "solution", "ext", "extract", ".") or t.has("ml", "each") or t.number is not None
        for t in tokens[last + 1 : i]
    )


def segment_start(tokens: Sequence[Token], low: int, high: int) -> int:
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


def is_agent(item: Item) -> bool:
    """Tell whether a name at the end of a list of washes is a drying agent: brine, MgSO4."""
    agent = item.kinds.get("desiccant")
    plain = not item.amount.aqueous and not item.amount.strong() and not item.amount.sized()
    return agent in ("mgso4", "na2so4", "caso4") and plain and item.separated
