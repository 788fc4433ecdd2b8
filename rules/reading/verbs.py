"""Which words are verbs of the trade where they stand, and which verb."""

from __future__ import annotations

from collections.abc import Sequence

from . import trade
from .amounts import count_of
from .characters import Token
from .objects import ends_an_oxidant, ends_the_reaction


def verbs_in(tokens: list[Token]) -> list[tuple[int, str]]:
    """Return the places of the verbs in a sentence, and which verbs they are."""
    found = []
    for i, _token in enumerate(tokens):
        if verb := verb_at(tokens, i):
            found.append((i, verb))
    return found


def verb_at(tokens: list[Token], i: int) -> str:
    """Return the verb that a word is where it stands, or ""."""
    token = tokens[i]
    low = token.low
    before = tokens[i - 1] if i else None
    after = tokens[i + 1] if i + 1 < len(tokens) else None
    if after is not None and after.low == "." and i + 2 < len(tokens):
        after = tokens[i + 2]
    if low in ("conc", "concentrated", "concentrate", "conc'd"):
        if (
            before is not None
            and low == "concentrate"
            and (before.low in ("the", "this", "residual", "resulting") or before.has("aqueous", "organic"))
        ):
            return ""
        if (
            after is not None
            and (after.has("solution", "aqueous", "row", "sat") or after.number is not None)
            and low != "concentrate"
        ):
            return ""
        if low == "conc" and not (
            after is None
            or after.has("vacuo")
            or after.low in (":", "(", "@", ",", "in", "under", "to", ";", "and", "on", "carefully", "gently", "slowly")
            or (
                after.low == "."
                and i + 2 >= len(tokens)
                and (before is None or before.low in (",", ";", "/") or before.has("conj"))
            )
        ):
            return ""
        return "concentrate"
    if low in ("dilute", "diluted"):
        if after is not None and (after.has("solution", "aqueous", "row") or after.low == "mineral"):
            return ""
        named = low == "diluted" and before is not None and before.has("solution")
        if named and after is not None and (after.number is not None or after.low == "("):
            return ""  # "hydrochloric acid diluted 1 M"
        return "" if low == "dilute" and before is not None and before.low == "to" else "dilute"
    if token.kinds.get("verb") == "repeat":
        # "With repeated shaking": how, not again.
        return "" if low == "repeated" and after is not None and after.has("verb") else "repeat"
    alone = before is None or before.low == "," or before.has("conj")
    if low == "filtrate" and alone and (after is None or after.low in (",", ".") or after.has("conj")):
        return "filter"  # "after drying, filtrate and evaporate"
    if low == "saturate" and before is not None and before.has("solution"):
        return ""
    if low in ("saturate", "saturated", "saturated with", "salted out") and salt_after(tokens, i) >= 0:
        return "salt"
    if low == "saturate" and after is not None and not after.has("solution", "aqueous"):
        return "odd"
    if low in ("bring", "brought", "make", "made", "take", "taken") and any(t.has("ph") for t in tokens[i + 1 : i + 8]):
        return "adjust"
    if low in ("make", "made", "render", "rendered") and any(t.has("basic", "acidic") for t in tokens[i + 1 : i + 6]):
        return "adjust"  # "make the aqueous layer basic"
    if low in ("take", "taken", "took") and any(t.has("layer") for t in tokens[i + 1 : i + 4]):
        return "keep"
    if before is not None and before.low in ("the", "a") and low.startswith(("rotov", "rotav", "rota vap", "roto vap")):
        tool = any(t.low in ("on", "with", "by", "using", "via", "at") for t in tokens[max(0, i - 2) : i])
        if tool and any(t.kinds.get("verb") in ("concentrate", "drain") for t in tokens[: i - 1]):
            return ""
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
    if low == "reduced" and after is not None and (after.has("vacuo") or _dried_up(tokens, i)):
        return "concentrate"  # "passed through a frit and reduced in vacuo"
    if low in ("reduce", "reduced", "reducing") and ends_an_oxidant(tokens, i):
        return "quench"
    if low == "stop" and ends_the_reaction(tokens, i):
        return "quench"
    if low == "x" and before is not None and before.has("aqueous") and after is not None and after.has("solvent"):
        return "extract"  # "aq x EtOAc 2 x 30 mL"
    named = (
        low == "to" and before is not None and before.has("aqueous", "layer") and after is not None and after.has("ph")
    )
    if named and not any(t.has("verb") or t.low in _BRINGS for t in tokens[max(0, i - 5) : i]):
        return "adjust"  # "aq to pH 12 with NaOH"
    if low == "given" and before is not None and before.has("aux"):
        return "add" if any(t.has("solution") for t in tokens[max(0, i - 4) : i]) else ""
    if low == "drop" and (before is None or before.low in _HOW or before.has("conj")):
        # "slowly drop 1 N HCl": added; "a drop of" is an amount.
        return "add" if after is not None and (after.number is not None or after.has("solution", "conc")) else ""
    if low == "off" and before is not None and _alone(tokens, i - 1, i):
        # "Dried MgSO4. Solvent off."
        named = before.has("solvent") and not before.has("solution")
        return "concentrate" if named or before.low in ("solvent", "solvents") else ""
    if low == "sep" and (before is None or before.low in _HOW or before.has("conj")):
        return "separate" if i + 1 == len(tokens) or tokens[i + 1].low in (",", ";") else ""
    if low == "comb" and before is not None and before.has("organic", "organics", "aqueous"):
        return "combine"
    verb = token.kinds.get("verb", "")
    of_water = after is not None and after.kinds.get("solution") in _WATERS and before is not None
    if low in ("stirred", "stirring", "cooled", "chilled") and before is not None and of_water:
        described = before.has("of", "with") or before.low in ("the", "a", "into", "onto", "well", "rapidly")
        if described:
            return ""  # "into 100 mL of stirred ice water"
    if verb in ("cool", "stir", "vent", "wait") and before is not None and before.low in ("without", "no"):
        return ""  # "without cooling"
    if not verb:
        if low == "use" and (before is None or before.low in (",", ";", ":", ")") or before.has("conj")):
            # "Use sat. NaHCO3 instead"
            near = tokens[i + 1 : i + 7]
            if any(t.has("solution") for t in near) and not any(
                t.has("verb") or t.low == "to" for t in tokens[i + 1 : i + 12]
            ):
                return "wash"
        if (
            low in ("goes", "comes", "gets", "get", "receives")
            and after is not None
            and (after.number is not None or after.has("solution"))
        ):
            return "add"
        if (
            low == "dil"
            and after is not None
            and (after.has("with") or (after.has("solvent") and not after.has("solution")))
        ):
            return "dilute"
        alone = (before is None or before.low in (",", ";", ">", "/")) and (after is None or after.low in (",", ";"))
        return "concentrate" if low in ("vac", "vacuo", "rv") and alone else ""
    if _only_describes(tokens, i, verb):
        return ""
    if verb in ("acidify", "basify") and before is not None and before.low in ("when", "if", "on", "once"):
        return ""  # "until a drop is no longer cloudy when made basic": a test
    if verb in ("acidify", "basify", "neutralize") and before is not None and before.low == "for":
        return ""  # "set the base layer aside for acidifying later"
    if low == "waste" and before is not None and before.low == "to" and any(t.has("verb") for t in tokens[: i - 1]):
        return ""  # "drain the aqueous layer to waste"
    if low in ("washes", "washings") and after is not None and after.kinds.get("verb") in ("discard", "combine"):
        return ""
    if low in ("wash", "washes", "extract") and _is_done_to(tokens, i):
        return ""  # "the citric acid washes were back-extracted": a layer
    if low == "column" and before is not None and before.low in ("vigreux", "widmer", "packed", "fractionating"):
        return ""  # one that is distilled through
    if low == "column" and any(t.has("desiccant") for t in tokens[i + 1 : i + 4]):
        return ""
    if low in ("stirring", "shaking", "cooling", "swirling", "agitation") and before is not None:
        # How it is done: "poured with stirring into".
        how = before.low in (
            "with",
            "under",
            "while",
            "vigorous",
            "rapid",
            "efficient",
            "external",
            "good",
            "occasional",
        )
        if how and after is not None and not after.has("conj", "with"):
            return ""
        if how and any(t.kinds.get("verb") in ("pour", "add", "quench") for t in tokens[max(0, i - 5) : i]):
            return ""
    if verb == "purify" and low.startswith("distil") and i and "azeo" in tokens[i - 1].low:
        return "dry"
    if (
        verb == "purify"
        and low == "distilling"
        and tokens[i - 1].low == "by"
        and i > 1
        and tokens[i - 2].has("anhydrous")
    ):
        return ""  # "dried by distilling until no more water comes over"
    if verb == "purify" and low == "distilled" and _of_a_solvent(tokens, i):
        return "concentrate"
    if verb == "purify" and low.startswith("distil") and (_strips(tokens, i) or _out_of_solvent(tokens, i)):
        return "concentrate"
    if low == "eluting" and any(t.kinds.get("verb") in ("filter", "rinse", "pass") for t in tokens[max(0, i - 12) : i]):
        return "rinse"
    if low == "layered" and not (before is not None and before.has("aux")):
        return ""
    if low in ("raised", "lowered", "established") and not any(t.has("ph") for t in tokens[max(0, i - 8) : i + 4]):
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
            # "Dry ether" is one that is dry; "dry ether over MgSO4" and "dry the ether" are done.
            over = next(
                (k for k in range(i + 2, min(len(tokens), i + 5)) if tokens[k].low in ("over", "with", "on")), -1
            )
            done = over > 0 and any(t.has("desiccant") for t in tokens[over + 1 : over + 4])
            return "dry" if done and low == "dry" and (before is None or not before.has("with", "of")) else ""
        if (
            after is not None
            and after.has("solution", "desiccant")
            and before is not None
            and not (before.low in (",", ";", ":", "(", ")", ".") or before.has("conj", "verb", "layer", "organics"))
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
            if before is not None and before.low in ("combined", "pooled", "the", "these", "all", "acid", "dried"):
                return ""
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
            and not (after is not None and (after.has("with") or count_of(after) is not None))
        ):
            return "" if low in ("extract", "extr", "ext") else verb
        return verb
    if low in ("filter", "funnel", "column") and before is not None and before.low in ("the", "a", "on", "glass"):
        return "" if low == "filter" else verb
    if verb == "quench" and low.replace("-", " ") in ("work up", "worked up", "workup"):
        close = next((k for k in range(i + 2, len(tokens)) if tokens[k].low == ")"), i + 2)
        if after is not None and after.low == "(" and any(t.has("solution") for t in tokens[i + 2 : close]):
            if any(t.low in (",", ";") for t in tokens[i + 2 : close]):
                return verb  # a list of all the steps
            return "partition" if any(t.has("solvent") and not t.has("solution") for t in tokens[i + 2 : i + 6]) else ""
        opened = after is not None and after.low in ("with", "w/", "using")
        return verb if opened and any(t.has("solution") for t in tokens[i + 2 : i + 7]) else ""
    if verb == "quench" and before is not None and before.has("aux") and before.low in ("would", "could", "can", "may"):
        return ""  # "NaOH would hydrolyse the ester"
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


_WATERS = ("water", "ice_water")
_SALTS = ("brine", "nacl", "k2co3", "na2so4", "na2so4_sat", "nh42so4", "k2co3_sat")


def salt_after(tokens: Sequence[Token], i: int) -> int:
    """Return the place of the salt that water is saturated with (NaCl, K2CO3, salt) by the word at ``i``, or -1.

    "Saturated with NaCl", not "saturated NaCl", which is a wash.
    """
    with_it = tokens[i].low.endswith("with") or (i + 1 < len(tokens) and tokens[i + 1].low in ("with", "by", "it"))
    if not with_it and tokens[i].low != "saturate":
        return -1
    for k in range(i + 1, min(len(tokens), i + 7)):
        token = tokens[k]
        if token.low in (",", ";") or token.has("verb"):
            return -1
        if (
            token.low in ("salt", "nacl")
            or token.kinds.get("solution") in _SALTS
            or token.kinds.get("desiccant") in _SALTS
        ):
            return k
    return -1


_HOW = trade.words(", ; slowly carefully cautiously dropwise")
_SAID_OF_A_LAYER = frozenset({"cool", "react", "stir", "keep", "discard", "quench", "acidify", "basify", "neutralize"})
_MADE = frozenset({"reaction", "mixture", "solution", "suspension", "contents", "flask", "slurry", "melt"})


def _only_describes(tokens: Sequence[Token], i: int, verb: str) -> bool:
    """Tell whether a participle only says which mixture is meant: "transfer the cooled reaction mixture"."""
    if verb not in _SAID_OF_A_LAYER or not tokens[i].low.endswith("ed") or not 0 < i < len(tokens) - 1:
        return False
    after = tokens[i + 1]
    return tokens[i - 1].low in ("the", "this", "a") and (
        after.low in _MADE or after.has("filtrate", "residue", "soln", "organic", "aqueous", "layer")
    )


_HANDLED = frozenset({"extract", "back-extract", "combine", "discard", "acidify", "basify", "neutralize", "adjust"})


_BRINGS = frozenset({"bring", "brought", "take", "taken", "make", "made", "set"})
_OF_WASHES = frozenset({"extract", "back-extract", "discard", "keep", "combine"})


def _is_done_to(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether a noun such as "washes" is what a verb is about: the washes were extracted again, re-extract the acid wash."""
    near = tokens[max(0, i - 4) : i]
    extracted = next((k for k, t in enumerate(near) if t.kinds.get("verb") in _OF_WASHES), -1)
    if extracted >= 0 and any(t.low in ("the", "this", "these", "all") for t in near[extracted + 1 :]):
        return not any(t.has("with") or t.low in (",", ";") for t in near[extracted + 1 :])
    k = i + 1
    while k < len(tokens) and (tokens[k].has("aux", "conj") or tokens[k].low in ("all", "both", "then", "-")):
        k += 1
    return (
        0 < i < k - 1 < len(tokens) - 1
        and tokens[i + 1].has("aux")
        and (tokens[k].kinds.get("verb") in _HANDLED or tokens[k].low in ("back", "re"))
    )


def _alone(tokens: Sequence[Token], first: int, last: int) -> bool:
    """Tell whether words stand between the ends of a sentence or its commas."""
    begins = not first or tokens[first - 1].low in (",", ";")
    return begins and (last + 1 == len(tokens) or tokens[last + 1].low in (",", ";", "."))


def _dried_up(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether something is reduced to less: to dryness, to a small volume, to 20 mL."""
    near = tokens[i + 1 : i + 5]
    return bool(near) and near[0].low == "to" and any(t.low in ("dryness", "volume") or t.has("ml") for t in near)


def _of_a_solvent(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether what is distilled is the solvent: "and the chloroform (was) distilled"."""
    k = i - 1
    while k > 0 and tokens[k].has("aux"):
        k -= 1
    return k > 0 and tokens[k].has("solvent") and not tokens[k].has("solution") and tokens[k - 1].low == "the"


def _strips(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether a distillation only takes the solvent away: distil the ether off, distilled to 3 volumes."""
    after = tokens[i + 1 : i + 6]
    if not after:
        return False
    if after[0].low == "to":
        return len(after) > 1 and (after[1].number is not None or after[1].low in ("dryness", "a", "near", "small"))
    skip = 1 if after[0].low in ("the", "off", "most", "all", "away") else 0
    skip += len(after) > skip + 1 and after[skip].low in ("the", "of")
    if len(after) <= skip:
        return False
    named = after[skip]
    if any(t.has("vacuo") for t in after[:2]) and any(t.has("residue") for t in tokens[i + 3 : i + 9]):
        return True  # "distilled under vacuum to get the crude"
    solvent = (named.has("solvent") and not named.has("solution")) or named.low in ("solvent", "solvents", "volatiles")
    return solvent and not any(t.low in ("from", "at") for t in after[:2])


def _out_of_solvent(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether the product is distilled out of its solvent, which stays behind: "distil hexanal out of DMSO"."""
    return any(
        tokens[k].low == "out" and tokens[k + 1].low == "of" and any(t.has("solvent") for t in tokens[k + 2 : k + 4])
        for k in range(i + 1, min(i + 12, len(tokens) - 2))
    )


def is_noun(tokens: Sequence[Token], i: int, verb: str) -> bool:
    """Tell whether the word follows what it is done with: a water wash, ether extraction, water washed."""
    k = named_before(tokens, i)
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


def named_before(tokens: Sequence[Token], i: int) -> int:
    """Return the place of the name that stands before a noun, over "solution" and an amount in brackets."""
    k = i - 1
    if k >= 0 and tokens[k].low == ")":
        opened = next((j for j in range(k - 1, max(-1, k - 9), -1) if tokens[j].low == "("), -1)
        if opened > 0 and all(
            t.number is not None or t.has("ml", "x", "times") or t.low == "," for t in tokens[opened + 1 : k]
        ):
            k = opened - 1
    if k >= 0 and tokens[k].low in trade.WORDS["soln"]:
        k -= 1
    return k


def next_verb(tokens: list[Token], low: int) -> int:
    """Return the place of the next verb, or the end."""
    return next((k for k in range(low, len(tokens)) if verb_at(tokens, k)), len(tokens))
