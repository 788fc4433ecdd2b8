"""Words that say why and not what, tests that add nothing, what is not to be done, and German sentences with their verb last."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from washlore.knowledge.records import replace

from . import trade
from .characters import Token

# A reason goes on this far at most.
_LONG = 25
_OPENS = frozenset(
    {
        "to take out",
        "to get rid of",
        "to pull out",
        "to take away",
        "to remove",
        "to get",
        "because",
        "so that",
        "in order",
        "removes",
        "gets rid of",
        "takes out",
        "neutralises",
        "neutralizes",
    }
)
# After "to".
_REASONS = trade.words(
    "kill destroy decompose reduce reduced "
    "protonate deprotonate help avoid prevent eliminate ensure clean guarantee strip wash scavenge trap hydrolyse "
    "hydrolyze convert turn dissolve break bring make"
)
_SURE = frozenset({"safe", "sure", "extra", "certain", "really", "on"})
_ON = frozenset(
    {
        "then", "and then", "followed by", "next", "finally", "and finally", "dann", "danach", "afterwards", "after that",
        "subsequently", "thereafter", "lastly", "then again",
    }
)  # fmt: skip


def without_reasons(tokens: Sequence[Token]) -> list[Token]:
    """Leave out what only says what a step is for, up to where the steps go on: "to get rid of the acid", "to be safe"."""
    out: list[Token] = []
    i, count = 0, len(tokens)
    while i < count:
        if i and _opens(tokens, i):
            if token_is_riddance(tokens[i]):
                _mark_riddance(out)
            i = _ends(tokens, i)
            continue
        token = tokens[i]
        if i and token.low == "to remove" and not token.has("verb"):
            token = replace(
                token, kinds={**token.kinds, "verb": "drain"}, low="remove"
            )  # the solvent: a step of its own
        out.append(token)
        i += 1
    return out


# What goes with the solvent that water is shaken with for it, and is thrown away.
_RIDS = ("to remove", "to get rid of", "to take out", "to pull out", "to take away")
RIDS = "rids"


def token_is_riddance(token: Token) -> bool:
    """Tell whether a reason begins with what a step is to take away."""
    return token.low in _RIDS


def _mark_riddance(out: list[Token]) -> None:
    """Let the extraction before a reason tell that what it takes out is not wanted: "extracted with ether to remove X"."""
    last = next((k for k in range(len(out) - 1, -1, -1) if out[k].has("verb")), -1)
    if last >= 0 and out[last].kinds.get("verb") == "extract":
        out[last] = replace(out[last], kinds={**out[last].kinds, RIDS: True})


_CLAUSE = frozenset({",", ";", ":", "(", ")", "and"})


def without_tests(tokens: Sequence[Token]) -> list[Token]:
    """Leave out the drop of water that tells the layers apart: "let a drop of water fall in", "add a drop of water to see"."""
    out = list(tokens)
    for i in range(len(tokens) - 2, -1, -1):
        if tokens[i].low != "a drop of" or tokens[i + 1].low != "water":
            continue
        begin = next((k + 1 for k in range(i - 1, -1, -1) if tokens[k].low in _CLAUSE), 0)
        end = next((k for k in range(i + 2, len(tokens)) if tokens[k].low in _CLAUSE), len(tokens))
        if not any(t.kinds.get("verb") == "quench" for t in tokens[begin:end]):
            del out[begin:end]
    return out


def _opens(tokens: Sequence[Token], i: int) -> bool:
    token = tokens[i]
    near = tokens[i + 1 : i + 6]
    if token.low in ("to remove", "to take away", "to strip"):
        # What takes the solvent away is a step of its own, unless a wash does.
        washed = any(t.kinds.get("verb") == "wash" for t in tokens[:i])
        clause = takewhile(lambda t: t.low not in (",", ";", "and"), tokens[i + 1 : i + 10])
        if washed and not any(t.has("vacuo") or t.kinds.get("verb") == "concentrate" for t in clause):
            return True
        return not any(
            (t.has("solvent") and not t.has("solution")) or t.low in ("solvent", "solvents", "volatiles", "volatile")
            for t in near
        )
    if token.low == "to destroy":
        # Of what is heated it says that the step is a quench.
        return any(t.kinds.get("verb") in ("add", "wash", "stir") for t in tokens[:i])
    if token.low in _OPENS:
        return True
    if tokens[i - 1].low == "(" and token.low in ("remove", "removing", "kills", "kill", "destroys"):
        return True  # "1 M HCl (remove DMAP)"
    if token.low == "so" and near:
        # "So the amines go as salts"; "so wash with acid" goes on.
        return near[0].low in ("the", "it", "they", "all", "any", "that") and not any(t.has("verb") for t in near[:2])
    if token.low == "for" and near:
        return near[0].low in ("remove", "neutralize", "neutralise", "eliminate", "removing", "eliminating")
    if token.low != "to" or not near or tokens[i - 1].low == "used":
        return False
    if near[0].low == "be":
        return len(near) > 1 and near[1].low in _SURE
    if near[0].low == "make":
        return len(near) > 1 and near[1].low == "sure"
    if near[0].low in ("bring", "make", "strip", "wash", "dissolve", "break"):
        return near[0].low in ("wash", "break", "dissolve") and not any(
            t.has("ph", "with", "solvent") for t in near[1:]
        )
    return near[0].low in _REASONS


def _ends(tokens: Sequence[Token], i: int) -> int:
    sure = len(tokens) > i + 2 and "sure" in (tokens[i + 1].low, tokens[i + 2].low)
    for k in range(i + 1, min(len(tokens), i + _LONG)):
        token = tokens[k]
        if token.has("aux") and not sure and tokens[i].low not in ("because", "so that", "so", "removes") and k > i + 2:
            return k - 1  # a new clause with a subject of its own
        after = tokens[k + 1] if k + 1 < len(tokens) else None
        if token.low in (",", ";", ")", ":") or token.low in _ON:
            return k
        if token.low in ("and", "&", "plus") and after is not None:
            near = tokens[k + 1 : k + 5]
            if after.has("verb") or (not sure and any(t.has("aux") for t in near)):
                return k
        if token.low in ("with", "using") and after is not None and k > i + 1:
            return k
        if token.low == "(" and after is not None and (after.number is not None or after.has("times", "x")):
            return k
    return min(len(tokens), i + _LONG)


def verbs_first(tokens: Sequence[Token]) -> list[Token]:
    """Bring a German verb from the end of its clause to where its phrase begins: "mit Wasser gewaschen"."""
    out = list(tokens)
    begin = 0
    opened = False  # a clause begins with its verb: "Waschen mit Wasser, über MgSO4 trocknen"
    for i, token in enumerate(tokens):
        if token.low not in trade.VERBS_LAST:
            if token.has("verb"):
                begin = i + 1
            continue
        places = [k for k in range(begin, i) if out[k].has("with") or out[k].low in ("im", "am")]
        place = -1 if not places else places[-1] if opened else places[0]
        opened = i + 1 < len(tokens) and tokens[i + 1].has("with") and not places
        if place >= 0:
            moved = Token(token.low, out[place].start, token.end, token.kinds, token.capital)
            out[place + 1 : i + 1] = out[place:i]
            out[place] = moved
        begin = i + 1
    return out


# How far a thing that is not done reaches.
_ENDS_IT = (",", ";", ":", "but")
_NEVER = ("do not", "don't", "dont", "never", "avoid")
_MUST = ("to", "must", "shall", "did", "do")


def not_done(tokens: Sequence[Token], i: int) -> int:
    """Return where something that is not to be done ends ("do not wash with NaOH; ..."), or 0 where the verb at ``i`` is done."""
    if i == 0:
        return 0
    clause = list(takewhile(lambda t: t.low not in _ENDS_IT and t.low != "]", tokens[i:]))
    if any(t.low == "in" and after.low == "future" for t, after in pairwise(clause)):
        return i + len(clause)  # "would strip off the dioxane in future": what was learnt
    before, earlier = tokens[i - 1], tokens[max(0, i - 2)]
    none = before.low in ("acid", "base", "acidic", "basic") and earlier.low == "no"  # "no acid wash here"
    refused = before.low == "not" and (earlier.has("aux") or earlier.low in _MUST)
    if not (none or refused or before.low in _NEVER):
        return 0
    depth = 0
    for k in range(i + 1, len(tokens)):
        depth += (tokens[k].low == "(") - (tokens[k].low == ")")
        over = tokens[k].low in _ENDS_IT or depth < 0 or (tokens[k].has("verb") and tokens[k - 1].has("conj"))
        if depth <= 0 and over:
            return k
    return len(tokens)
