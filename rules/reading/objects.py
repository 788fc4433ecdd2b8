"""What a verb acts on and what it is done with: of "quench the bleach with sulfite" only the sulfite is added."""

from __future__ import annotations

from collections.abc import Sequence

from . import trade
from .characters import Token
from .things import Item

_WITH = trade.words("with w/ using by mit via")
# What stands between two parts of a procedure: what was named before it was added before it.
_NEW_PART = trade.words("; : > / then next")
_PLACE = trade.words("in into onto to on from")
# A rest of something is what is quenched, whatever it is quenched with.
_REST = trade.words("excess remaining residual leftover left-over left unreacted unused surplus remnants rest")
# What ends an oxidant; nothing that is made in the flask is reduced with these.
REDUCTANTS = frozenset({"na2so3", "nahso3", "na2s2o3"})


def done_with(tokens: Sequence[Token], i: int, high: int, items: Sequence[Item]) -> list[Item]:
    """Return what is added of what ``tokens[i + 1:high]`` names, without what the verb at ``i`` acts on.

    The object stands right after the verb, before "with" and without an amount; a rest of something ("the excess bleach") is
    an object even where nothing is said of what it is quenched with.
    """
    by = next((k for k in range(i + 1, high) if tokens[k].low in _WITH), high)
    named = [x for x in items if x.first < by]
    if not named or _parted(tokens[named[-1].last + 1 : by]):
        return list(items)
    agent = any(x.first > by for x in items)
    kept = []
    for item in items:
        rest = any(t.low in _REST for t in tokens[i + 1 : item.first]) or (
            item.first == i + 2 and tokens[i + 1].low in ("the", "any", "all")
        )
        apart = any(t.low in _PLACE for t in tokens[max(i + 1, item.first - 3) : item.first])
        if item.first > by or item.amount.sized() or item.amount.strong() or apart or not (agent or rest):
            kept.append(item)
    return kept


def _parted(between: Sequence[Token]) -> bool:
    return any(t.low in _NEW_PART for t in between) or (
        bool(between) and (between[-1].low == "," or between[-1].has("conj"))
    )


def ends_an_oxidant(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether "reduce" ends what is left of an oxidant, and makes no product: with sulfite or thiosulfate."""
    by = next((k for k in range(i + 1, min(len(tokens), i + 9)) if tokens[k].low in _WITH), -1)
    return by > 0 and any(t.kinds.get("solution") in REDUCTANTS for t in tokens[by + 1 : by + 8])


def ends_the_reaction(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether "stop" is said of the reaction and with what: not the stirring, nor a place to stop at."""
    near = tokens[i + 1 : i + 4]
    return any(t.low in ("reaction", "it") for t in near) and any(t.low in _WITH for t in tokens[i + 2 : i + 6])


def ends_a_hydride(items: Sequence[Item]) -> Sequence[Item]:
    """Return the three of a list that end an aluminium hydride: a little water, as much lye, then three times the water.

    1 mL, 1 mL of 15 % and 3 mL for a gram of it, or the same in letters (n, n, 3n); washes are of like volumes.
    """
    for three in zip(items, items[1:], items[2:], strict=False):
        if [x.kinds.get("solution") for x in three] not in (["water", "naoh", "water"], ["water", "koh", "water"]):
            continue
        if any(x.amount.repeats not in (None, 1) for x in three):
            continue
        first, lye, last = (x.amount.letter if three[0].amount.letter else x.amount.volume for x in three)
        if first and lye and last and 0.8 <= lye / first <= 1.25 and 2 <= last / first <= 4:
            return three
    return []
