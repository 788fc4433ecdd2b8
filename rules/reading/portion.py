"""The workup told from what surrounds it: the reaction in front, the purification behind, and what was not read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from washlore.knowledge.rows import Solution, table
from washlore.rules.proposal import Proposal, ReadStep, Unread

from .course import GOES_FIRST, Course, Op
from .errors import MOST_STEPS
from .layers import layers_in, makes_layer
from .order import settle_operations
from .purification import later_purification, through_silica

_STRONG = frozenset({"wash", "extract", "take up", "dry", "discard"})


STEPS = frozenset(
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


# More than any flask here holds.
MOST_ML = 1e5


def portion(course: Course, several: bool = False) -> Proposal:
    """Cut the reaction off in front and the purification behind; return the steps in between.

    With ``several`` products the workup goes on after the first of them is dry.
    """
    ops = course.ops
    text, at = course.text, course.at
    strong = [
        k
        for k, op in enumerate(ops)
        if (op.action in _STRONG and not op.weak) or (op.names_layer and op.action in STEPS)
    ]
    sure = set(strong)
    readable = [k for k, op in enumerate(ops) if op.action in STEPS]
    if not readable:
        return _nothing(course)
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
            k for k, op in enumerate(ops) if op.action == "react" and not (course.lines and op.verb.startswith("add"))
        ]
        after = [k for k in readable if not barriers or k > barriers[-1]]
        if course.lines and after:
            # In a few lines of notes, what cannot be read is told rather than set aside.
            after = sorted([*after, *(k for k, op in enumerate(ops) if op.action == "odd" and k < after[-1])])
        if not after:
            return _nothing(course)
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
                    and _ends_reaction(ops[k - 2], op, course.lines)
                    and op.action == "react"
                    and op.sentence - ops[k - 2].sentence <= 1
                ):
                    k -= 1
                    continue
                break
            if op.action in ("layers", "stir") or op.action in STEPS or op.action == "odd":
                k -= 1
                continue
            break
        while (
            k < first
            and not (course.lines and ops[k].action == "odd")
            and (
                ops[k].action not in STEPS
                or (ops[k].action in ("cool", "wait", "rinse", "combine") and not _rinses_water(ops, k))
                or (
                    ops[k].action == "dilute"
                    and ops[k].verb in ("dissolved", "dissolving", "dissolve", "add", "suspended", "slurried")
                    and not any(o.action in ("evaporate", "concentrate", "filter", "quench") for o in ops[:k])
                    and ops[k].solvent
                    and len(course.norm) > 300
                    and ops[k].verb in ("dissolved", "dissolving", "dissolve", "suspended", "slurried")
                )
            )
        ):
            k += 1
        while (
            k < first
            and not (course.lines and ops[k].verb == "add")
            and ops[k].action == "dilute"
            and ops[k].solvent
            and not ops[k].solution
            and not makes_layer(ops[k].solvent)
        ):
            k += 1
        first = min(k, first)
    # On over what follows the last sure step, up to the purification.
    k = last
    while k + 1 < len(ops):
        op = ops[k + 1]
        if op.action in ("purify",):
            break
        if op.action == "react" and not _ends_reaction(ops[k], op, course.lines):
            break
        k += 1
    end = k
    while (
        end > last
        and not course.lines
        and (
            ops[end].action not in STEPS
            or ops[end].action in ("cool", "wait", "dilute", "quench", "set ph")
            or (ops[end].action == "rinse" and ops[end - 1].action not in ("filter off desiccant", "rinse"))
        )
    ):
        end -= 1
    # After the solvent is gone, dissolving and filtering are purification.
    gone = next((j for j in range(last, end + 1) if ops[j].action == "concentrate"), None)
    if gone is not None and not several:
        end = gone
    chosen = ops[first : end + 1]
    taken: list[Op] = []
    unread: list[Unread] = []

    def place(op: Op) -> tuple[int, int]:
        norm = course.norm
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
        elif op.action in STEPS and named:
            op.subject_solvent = op.subject_solvent or (named if op.action in ("wash", "dry") else "")
            named = ""
        if op.reason:
            start, stop = place(op)
            unread.append(Unread(start, stop, text[start:stop], op.reason))
            continue
        if op.action in STEPS:
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
    if len(taken) > MOST_STEPS:
        start, stop = place(taken[MOST_STEPS])[0], place(taken[-1])[1]
        unread = [u for u in unread if u.start < start]
        unread.append(Unread(start, stop, text[start:stop], f"more than the {MOST_STEPS} steps that a workup can have"))
        last_kept = taken[MOST_STEPS - 1]
        taken = taken[:MOST_STEPS]
        chosen = chosen[: chosen.index(last_kept) + 1]
    # "Remove the THF on the rotovap": said twice, done once.
    taken = [
        op
        for k, op in enumerate(taken)
        if not (k and op.action == taken[k - 1].action == "concentrate" and op.sentence == taken[k - 1].sentence)
    ]
    settle_operations(taken, chosen)
    steps = []
    for op in taken:
        start, stop = place(op)
        if op.volume is not None and not op.volume <= MOST_ML:
            op.notes.append(f"{op.volume:.3g} mL: no funnel holds that, not counted")
            op.volume = None
        steps.append(
            ReadStep(
                op.action, start, stop, text[start:stop], op.solution, op.strength, op.solvent, op.desiccant, op.volume,
                op.relative, op.repeats, op.ph, op.phase, op.layer, op.subject_solvent, tuple(dict.fromkeys(op.notes)),
                op.solvent_ml, op.in_all or (op.action == "dilute" and text[stop : stop + 12].lstrip().startswith("in all")),
            )
        )  # fmt: skip
    unread += _silent_lines(course, chosen, place)
    span = (at[chosen[0].start], max(at[op.end - 1] for op in chosen))
    covered = [(s.start, s.end) for s in steps] + [(u.start, u.end) for u in unread]
    for _, start, stop in course.silent:
        place_of = (at[start], at[stop - 1] + 1)
        if span[0] <= place_of[0] <= span[1] and not any(s < place_of[1] and place_of[0] < e for s, e in covered):
            unread.append(Unread(*place_of, text[slice(*place_of)], "an operation that no step was read for"))
    unread += _left_over(course, chosen, [(s.start, s.end) for s in steps] + [(u.start, u.end) for u in unread])
    unread += _other_script(text)
    unread.sort(key=lambda u: u.start)
    if not steps:
        return Proposal(text, (), tuple(unread))
    begin = min([s.start for s in steps] + [u.start for u in unread])
    finish = max([s.end for s in steps] + [u.end for u in unread])
    opening = next((t for t in course.sentences if at[t[0].start] <= begin < at[t[-1].end - 1] + 1), None)
    if opening is not None and not any(
        op.end <= chosen[0].start and op.sentence == chosen[0].sentence for op in ops[:first]
    ):
        begin = min(begin, at[opening[0].start])
    before = (0, begin) if text[:begin].strip(" \n\t-•*0123456789.)(") else None
    closing = next((t for t in course.sentences if at[t[0].start] < finish <= at[t[-1].end - 1] + 1), None)
    if closing is not None:
        # "Remove the solvent on the rotovap": the apparatus is no further step.
        twice = {
            id(op)
            for op in ops[end + 1 :]
            if op.action == ops[end].action == "concentrate" and op.sentence == ops[end].sentence
        }
        later_op = next((op for op in ops[end + 1 :] if at[op.start] >= finish and id(op) not in twice), None)
        finish = min(at[closing[-1].end - 1] + 1, at[later_op.start] if later_op is not None else len(text))
    after_span = (finish, len(text)) if text[finish:].strip(" \n\t.;,)") else None
    cleaned_by = later_purification(text[finish:])
    if not cleaned_by and any(GOES_FIRST in op.notes for op in taken):
        cleaned_by = "distillation"
    if not cleaned_by and through_silica(text[begin:finish]):
        cleaned_by = "pad of silica"
    solvent = _solvent_before(course, chosen[0].start)
    return Proposal(text, tuple(steps), tuple(unread), before, after_span, solvent, cleaned_by)


def _rinses_water(ops: Sequence[Op], k: int) -> bool:
    """Tell whether a rinse with solvent is of the water that is brought to a pH next, and no washing of a solid."""
    op = ops[k]
    if op.action != "rinse" or not op.solvent or not makes_layer(op.solvent):
        return False
    return k + 1 < len(ops) and ops[k + 1].action == "set ph"


def _ends_reaction(before: Op, op: Op, note: bool) -> bool:
    """Tell whether a warming or stirring (``op``) only waits for what ``before`` has ended.

    In a ``note`` what begins it is no reaction: "Add 6 M NaOH (60 mL), stir for 1 h, separate".
    """
    brought = before.action in ("dilute", "set ph") and bool(before.solution)
    if note and brought and op.verb.startswith("stir") and before.sentence == 0:
        return True
    if before.action in ("quench", "set ph") and before.verb.startswith(
        ("pour", "quench", "acid", "bas", "decompos", "hydrolys", "termin", "stopped")
    ):
        return op.verb.startswith(("warm", "maintain", "add", "allowed", "stir"))
    ended = before.action == "quench" or (before.action == "dilute" and bool(before.solution))
    row = table(Solution).get(before.solution)
    if ended and row is not None and op.verb.startswith("stir") and row.acts_as in ("complexing", "reductant"):
        return True  # EDTA or tartrate is stirred until the layers are clear
    return ended and op.verb.startswith(("allowed to warm", "warmed", "warm" if note else "warmed"))


def _solvent_before(course: Course, end: int) -> str:
    """Return the immiscible solvent of the reaction: the one of which most is named, else the last one named."""
    amounts: dict[str, float] = {}
    for tokens in course.sentences:
        if tokens[0].start >= end:
            break
        for i, token in enumerate(tokens):
            solvent = token.kinds.get("solvent")
            if solvent is None or token.start >= end or not makes_layer(solvent):
                continue
            near = [
                tokens[k].number * tokens[k + 1].kinds["ml"]
                for k in range(max(0, i - 6), min(len(tokens) - 1, i + 4))
                if tokens[k].number is not None and tokens[k + 1].has("ml")
            ]
            # Later mentions win between equals.
            amounts[solvent] = amounts.pop(solvent, 0.0) + (max(near) if near else 0.0)
    return max(reversed(amounts), key=lambda s: amounts[s]) if amounts else ""


def _nothing(course: Course) -> Proposal:
    """Return a proposal without steps: all of the text is listed as not read, if there is any."""
    text = course.text
    if not text.strip():
        return Proposal(text, (), ())
    return Proposal(text, (), (Unread(0, len(text), text, "no step of a workup was recognised"),))


# Letters beyond Latin and Greek, with the signs and numbers between them.
_FOREIGN = re.compile(
    r"[^\W\d_\u0000-\u03ff\u1e00-\u1fff\u2070-\u214f](?:[^.\n]{0,20}?[^\W\d_\u0000-\u03ff\u1e00-\u1fff\u2070-\u214f])*"
)


def _other_script(text: str) -> list[Unread]:
    """List the words in a script that nothing is read of: what was done may stand in them."""
    found = [m for m in _FOREIGN.finditer(text) if len(m.group()) > 1]
    return [Unread(m.start(), m.end(), m.group(), "written in a script that is not read here") for m in found]


def _silent_lines(course: Course, chosen: list[Op], place: Any) -> list[Unread]:
    """List the sentences within the workup of which nothing was read though they look like an operation."""
    heard = {op.sentence for op in course.ops} | course.heard
    out = []
    low, high = chosen[0].sentence, chosen[-1].sentence
    if course.lines:
        short = len(course.norm) < 1500 and ("\n" in course.norm or len(course.norm) < 400)
        low = 0 if chosen[0].sentence <= 3 and short else low
        high = len(course.sentences) - 1 if short and len(course.sentences) - high <= 2 else high
    for number in range(low, high + 1):
        if number in heard:
            continue
        tokens = course.sentences[number]
        start, stop = course.at[tokens[0].start], course.at[tokens[-1].end - 1] + 1
        words = [t for t in tokens if t.low.isalpha()]
        looks = any(t.has("solution", "solvent", "desiccant", "ml") for t in tokens) or any(
            t.low.endswith("ed") and k and tokens[k - 1].has("aux") for k, t in enumerate(tokens)
        )
        bullet = course.lines and "\n" in course.norm and len(words) >= 2 and tokens[-1].low != ":"
        if (looks or bullet) and len(words) >= 1 and not (len(words) == 1 and tokens[-1].low == ":"):
            out.append(Unread(start, stop, course.text[start:stop], "no operation was recognised in it"))
    return out


_AGENTS = frozenset({"mgso4", "na2so4", "caso4", "cacl2", "k2co3"})


# Said of a compound that is weighed out: the solvent is that of the reaction.
_SETS_UP = ("dissol", "redissol", "suspend", "slurr")


def _left_over(course: Course, chosen: list[Op], told: list[tuple[int, int]]) -> list[Unread]:
    """List the measured solutions within the workup that belong to no step and to nothing told as not read."""
    spans = sorted(told)
    if not spans:
        return []
    low, high = spans[0][0], max(end for _, end in spans)
    first = chosen[0].sentence
    set_up = any(
        op.action == "react" and op.verb.startswith(_SETS_UP) and course.at[op.start] < low for op in course.ops
    )
    if course.lines and first <= 3 and len(course.norm) < 1500 and not set_up:
        low, first = -1, 0  # in a few lines of notes nothing stands in front of the workup
    at = course.at
    out: list[Unread] = []
    k, reached = 0, 0
    for tokens in course.sentences[first : chosen[-1].sentence + 1]:
        layers = {j for p in layers_in(tokens, set()) for j in range(p.index, p.last + 1)}
        for i, token in enumerate(tokens):
            start, end = at[token.start], at[token.end - 1] + 1
            while k < len(spans) and spans[k][0] <= start:
                reached = max(reached, spans[k][1])
                k += 1
            if start < reached or not low < start < high or i in layers:
                continue
            if token.kinds.get("desiccant") in _AGENTS and not any(s <= start < e for s, e in told):
                near = tokens[max(0, i - 3) : i]
                filtered = any(t.kinds.get("verb") == "filter" for t in near)
                if not filtered and not any(
                    t.has("contra", "stop", "solid") or t.low in ("of", "from", "through") for t in near
                ):
                    out.append(Unread(start, end, course.text[start:end], "a drying agent that no step was read for"))
                    reached = max(reached, end)
                    continue
            if not token.has("solution", "row", "solvent"):
                continue
            if (
                token.low == "water"
                and i
                and tokens[i - 1].low in ("residual", "remaining", "traces", "dissolved", "any")
            ):
                continue  # what is taken away
            if not token.has("solution", "row"):
                # A solvent counts where an amount of it is named.
                behind = tokens[i + 1 : i + 4]
                sized = any(t.has("ml") for t in tokens[max(0, i - 3) : i]) or (
                    len(behind) == 3 and behind[0].low == "(" and behind[2].has("ml", "x")
                )
                if sized and not any(s <= start < e for s, e in told):
                    out.append(Unread(start, end, course.text[start:end], "a solvent that no step was read for"))
                    reached = max(reached, end)
                continue
            near = tokens[max(0, i - 4) : i]
            if token.kinds.get("solution") == "ice_water" and near and near[-1].low in ("in", "on", "with"):
                continue  # the bath
            measured = any(t.has("ml", "molar", "normal", "pct", "sat") for t in near)
            if course.lines and token.kinds.get("solution") not in ("acid", "base", "ice_water"):
                # In a few lines every solution that is named counts, unless the words only say what is washed away.
                measured |= not any(t.has("stop", "contra") or t.low in ("of", "the", "excess", "no") for t in near)
            elided = i > 1 and tokens[i - 1].low == "with" and (i - 2) in layers
            if measured or elided:
                first = min((t.start for t in near if t.number is not None), default=token.start)
                begin = max(at[first], reached)
                begin += len(course.text[begin:end]) - len(course.text[begin:end].lstrip(" ,;.)"))
                out.append(Unread(begin, end, course.text[begin:end], "a solution that no step was read for"))
                reached = max(reached, end)
    return out
