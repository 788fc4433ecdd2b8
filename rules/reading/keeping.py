"""Verbs that say which layer is kept and which is thrown away."""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.records import replace

from . import drying, trade, washing
from .characters import Token
from .course import Clause, Course
from .layers import Phase
from .verbs import salt_after


def discard(course: Course, clause: Clause) -> int:
    """Read a layer that is thrown away or run off."""
    tokens, i, verb, begun = clause.tokens, clause.i, clause.verb, clause.begun
    high, subject, after = clause.high, clause.subject, clause.after
    ahead = tokens[i + 1 : i + 5]
    if ahead and ahead[0].low == "by" and any(t.kinds.get("verb") in ("wash", "extract") for t in ahead):
        return i + 1  # "the pyridine is removed by shaking with": the next verb says how
    means = verb == "drain" and tokens[i].low == "removed" and ahead and ahead[0].low in ("with", "using", "by")
    if means and any(t.has("solution") for t in tokens[i + 1 : min(high, i + 7)]):
        # "The acid is removed with sodium hydrogen carbonate": a wash with it.
        course.target = "liquid"
        return washing.wash(course, replace(clause, verb="wash", noun=False, subject=None))
    agent = any(t.has("desiccant") for t in ahead[:3]) or "drying agent" in " ".join(t.low for t in ahead)
    if tokens[i].low.startswith("remov") and agent and course.ops and course.ops[-1].action == "dry":
        drying.filtered(course, clause)
        return i + 1
    objects = [p for p in after if p.kind in ("organic", "aqueous", "top", "bottom")]
    takes_off = tokens[i].low.startswith(("remov", "take off", "took off"))
    if verb == "drain" and takes_off and _takes_solvent(tokens, i, high, after):
        course.simple("concentrate", tokens, i, weak=True)
        return i + 1
    if verb == "drain" and tokens[i].low == "removed" and _is_solvent_removed(tokens, i, begun, clause.before):
        course.simple("concentrate", tokens, i, weak=True)
        return i + 1
    passive = i > 0 and (
        tokens[i - 1].has("aux")
        or tokens[i].low.split()[0].endswith(("ed", "en", "wn", "worfen"))
        or tokens[i].low == "set aside"
    )
    about = (subject if passive and subject is not None else None) or (objects[0] if objects else None) or subject
    if verb == "discard" and (about is None or not (passive or objects)):
        for k in (*range(i + 1, high), *range(begun, i)):
            if tokens[k].has("solvent") and not tokens[k].has("solution"):
                about = Phase("organic", tokens[k].kinds["solvent"], k, k)
            elif tokens[k].has("aqueous", "organics") and not tokens[k].has("solution"):
                about = Phase("aqueous" if tokens[k].has("aqueous") else "organic", "", k, k)  # "aq to waste"
            elif tokens[k].has("solution"):
                about = Phase("aqueous", "", k, k)
            else:
                continue
            break
    solvent = any(
        t.has("solvent") or t.low in ("solvent", "solvents", "volatiles", "volatile")
        for t in tokens[begun:i] + tokens[i + 1 : high]
    )
    if about is None or about.kind not in ("organic", "aqueous", "top", "bottom"):
        if verb == "drain" and solvent and tokens[i].low.startswith("remov"):
            course.simple("concentrate", tokens, i, weak=True)
        elif (
            verb == "discard" and (about is None or about.kind not in ("solid", "residue")) and course.target != "solid"
        ):
            last = course.ops[-1] if course.ops else None
            ends = high <= i + 2 or (i + 1 < len(tokens) and tokens[i + 1].low in (")", "]"))
            if (
                last is not None
                and last.action in ("wash", "extract", "rinse")
                and last.sentence == course.number
                and ends
            ):
                return i + 1  # "wash with water, discard": the water; "with ether (20 mL; discard)": the ether
            op = course.simple("discard", tokens, i, weak=True)
            op.reason = "which layer is discarded is not said"
        return i + 1
    if (
        verb == "drain"
        and tokens[i].low.startswith("remov")
        and solvent
        and about.kind == "organic"
        and i < about.index == about.last
    ):
        course.simple("concentrate", tokens, i, weak=True)
        return i + 1
    if tokens[i].low.startswith(("drain", "run off", "ran off", "draw", "drawn")):
        following = tokens[i + 1 : high]
        if any(t.low in ("flask", "beaker", "erlenmeyer") for t in following):
            course.mark_kept(about, True)
            return i + 1
    if verb == "drain" and about.kind in ("top", "bottom") and tokens[i].low != "set aside":
        # Which layer is run off first says nothing of which is kept.
        course.simple("layers", tokens, i, weak=True).names_layer = True
        return i + 1
    course.mark_kept(about, verb == "drain" and about.kind == "organic")
    if verb == "discard" or about.kind in ("aqueous", "top", "bottom") or tokens[i].low == "set aside":
        op = course.simple("discard", tokens, i)
        span = [tokens[about.index].start, tokens[i].start, tokens[about.last].end, tokens[i].end]
        op.start, op.end = min(span), max(span)
        op.names_layer = True
        op.phase = {"aqueous": "organic", "organic": "aqueous"}.get(about.kind, "")
        op.layer = {"top": "bottom", "bottom": "top"}.get(about.kind, "")
    return i + 1


def _is_solvent_removed(tokens: Sequence[Token], i: int, begun: int, before: Sequence[Phase]) -> bool:
    """Tell whether a solvent, and no layer of it, stands right before "was removed"."""
    k = i - 1
    while k > begun and tokens[k].has("aux"):
        k -= 1
    named = tokens[k].has("solvent") and not tokens[k].has("solution")
    # "and the ether removed on the steam bath": the auxiliary is left out.
    warmed = any(t.low in _HEATERS or t.has("vacuo") for t in tokens[i + 1 : i + 5])
    return (k < i - 1 or warmed) and named and not any(p.index <= k <= p.last for p in before)


_HEATERS = trade.words("bath evaporator rotavap rotovap rotavapor rotovapor") | {
    "steam bath",
    "water bath",
    "rotary evaporator",
    "oil bath",
}


def _takes_solvent(tokens: Sequence[Token], i: int, high: int, after: Sequence[Phase]) -> bool:
    """Tell whether "removal of the THF" names a solvent right after the verb, and no layer of it."""
    layers = {k for p in after for k in range(p.index, p.last + 1)}
    for k in range(i + 1, min(high, i + 6)):
        token = tokens[k]
        if k in layers or token.low in (",", ";", "by", "with"):
            return False
        if (token.has("solvent") and not token.has("solution")) or token.low in ("solvent", "solvents", "volatiles"):
            return True
    return False


# How a solid is collected.
_SUCTION = frozenset(
    {"filtration", "suction", "by suction", "büchner", "buchner", "hirsch", "filter", "on the filter", "frit"}
)


def keep(course: Course, clause: Clause) -> int:
    """Read a layer that is kept, or that the layers were parted."""
    tokens, i, verb, begun = clause.tokens, clause.i, clause.verb, clause.begun
    high, subject, after = clause.high, clause.subject, clause.after
    objects = [p for p in after if p.kind in ("organic", "aqueous", "top", "bottom")]
    passive = i > 0 and (tokens[i - 1].has("aux") or (subject is not None and tokens[i].low.endswith("ed")))
    about = subject if passive else (objects[0] if objects else subject)
    if about is not None and about.kind in ("organic", "aqueous", "top", "bottom"):
        if verb == "keep" or about.kind == "organic":
            course.mark_kept(about, True)
        course.target = "liquid"
        if course.ops:
            marker = course.simple("layers", tokens, i, weak=True)
            marker.names_layer = True
            marker.subject = about.kind
            marker.subject_solvent = about.solvent
    elif tokens[i].low.startswith(("collect", "isolat", "recover")):
        if any(t.has("solid") or t.low in ("filtration", "suction") for t in tokens[begun:high]):
            course.target = "solid"
            if any(t.low in _SUCTION for t in tokens[i + 1 : high]):
                course.simple("filter", tokens, i, weak=True)
    elif verb == "separate":
        if about is not None and about.kind == "layers":
            marker = course.simple("layers", tokens, i, weak=True)
            marker.names_layer = True
            course.target = "liquid"
        elif any(t.has("solid") for t in tokens[begun:i]):
            course.target = "solid"
        elif (
            course.ops
            and course.ops[-1].action == "dilute"
            and (i + 1 == len(tokens) or tokens[i + 1].low in (",", ";"))
        ):
            course.simple("layers", tokens, i, weak=True)  # "charge brine, stir, separate"
    return i + 1


def salted(course: Course, clause: Clause) -> int:
    """Read the salt that the water is saturated with: it belongs to the extraction that comes next."""
    tokens, i = clause.tokens, clause.i
    place = salt_after(tokens, i)
    course.salted = tokens[i].start, tokens[place].end
    course.heard.add(course.number)
    return place + 1
