"""Lists and notes without a verb: what goes on with the verb before, what stands before the next, what a note names alone."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from . import trade, washing
from .amounts import Amount
from .characters import Token
from .course import Clause, Course, Op
from .layers import layers_in, makes_layer
from .objects import ends_a_hydride
from .things import Item, things_in

# A list without a verb is no longer than this.
_LONG_LIST = 45


# "The DMF goes in the water": told, not done. "Transfer to the funnel": handling without a consequence.
_TELLS = trade.words("goes go stays stay remains remain think hopefully should belongs contains contain")


_HANDLING = trade.words("transfer transferred funnel put place placed label goggles gloves hood weigh weighed yield")


VESSELS = trade.words("flask beaker erlenmeyer vessel extract")


_SLOWLY = trade.words("dropwise slowly carefully portionwise cautiously")


def verbless(course: Course, tokens: list[Token]) -> None:
    """Read a line or sentence without a verb: it goes on with the verb before, or names what is used."""
    if len(tokens) > _LONG_LIST:
        return
    if tokens[0].has("contra"):
        course.heard.add(course.number)  # "Do not use acid."
        return
    if len(tokens) == 1 and tokens[0].low in ("rotary evaporator", "rotovapor", "rotavapor"):
        course.simple("concentrate", tokens, 0, weak=True)
        return
    if course.lines and (end := _ends_something(course, tokens) or _residue_in(course, tokens)):
        if end < len(tokens):
            verbless(course, tokens[end:])
        return
    phases = layers_in(tokens, set())
    items, shared, stop = things_in(tokens, 0, len(tokens), phases)
    goes_on = (
        tokens[0].has("conj")
        or tokens[0].low in ("followed", "with", "then", "next", "finally")
        or tokens[0].has("with")
    )
    if any(t.has("aux") or t.low in _TELLS for t in tokens) or not (goes_on or course.lines):
        if not any(t.has("ml") for t in tokens):
            course.heard.add(course.number)
        return
    told = {k for p in phases for k in range(p.index, p.last + 1)}
    of_layers = bool(phases) and not any(p.kind in ("solid", "residue") for p in phases)
    if of_layers and all(k in told or not t.low.isalpha() for k, t in enumerate(tokens)):
        course.heard.add(course.number)  # "ether layer": what the next words are about
        return
    if any(t.low in _HANDLING for t in tokens) and not items:
        course.heard.add(course.number)
        return
    last = course.ops[-1] if course.ops else None
    if last is None and not course.lines:
        return
    items = course.join(items, tokens)
    if (named := _named_layer(course, items, tokens)) is not None:
        items = [x for x in items if x is not named]
        course.heard.add(course.number)
    if (
        not items
        and last is not None
        and any(t.low in ("drying agent", "desiccant") for t in tokens)
        and len(tokens) < 5
    ):
        op = course.simple("dry", tokens, 0)
        op.notes.append("drying agent not given")
        op.names_layer = True
        return
    if items and last is not None and last.reason.startswith("what it is") and last.sentence == course.number - 1:
        # "Wash with" alone above a list of what with.
        course.ops.pop()
        course.verb = last.action
    wet = [x for x in items if x.kinds.get("solution") and not x.unknown]
    ph = next((x.amount.ph for x in wet if x.amount.ph is not None), shared.ph)
    names_buffer = "buffer" in course.norm[tokens[0].start : tokens[-1].end].lower()
    reaches = any(t.low in ("to", "until", "till", ">", "=") for t in tokens)
    if wet and ph is None and reaches and _sets_ph(tokens):
        ph = 10.0 if any(t.has("basic") for t in tokens) else 2.0
    if wet and ph is not None and reaches and not names_buffer:
        # "6 M NaOH to pH 13": set, not washed with.
        op = course.from_thing("set ph", wet[0], Amount(), wet[0].start)
        op.ph, op.weak, op.verb, op.names_layer = ph, True, "adjust", True
        op.end = max([op.end, *(t.end for t in tokens if t.number == ph)])
        course.ops.append(op)
        items = [x for x in items if x.first > wet[0].first]
        if not items:
            return
    organic = [x for x in items if x.kinds.get("solvent") and not x.kinds.get("solution")]
    if len(items) > 1 and organic and organic[0] in items[:2] and _between_two(course, items):
        other = next(x for x in items[:2] if x is not organic[0])
        op = course.from_thing("dilute", other, shared, items[0].start)
        op.end, op.solvent, op.names_layer = items[1].end, organic[0].kinds["solvent"], True
        op.solvent_ml = organic[0].amount.volume
        op.notes.append("read as partitioned between the two")
        course.ops.append(op)
        items = items[2:]
    hydride = ends_a_hydride(items) if not any(o.action == "wash" for o in course.ops) else []
    slowly = any(t.low in _SLOWLY for t in tokens) and not any(o.action in ("wash", "extract") for o in course.ops)
    for item in items:
        if item.unknown:
            op = course.from_thing("wash", item, shared)
            op.weak = True
            course.ops.append(op)
            continue
        if item in hydride:
            course.hydride(item, shared)
            continue
        if slowly and (item.kinds.get("solution") or item.kinds.get("row")):
            op = course.from_thing("quench", item, shared)
            op.notes.append("read as the quench")
            op.weak = op.names_layer = True
            course.ops.append(op)
            continue
        agent = item.kinds.get("desiccant")
        if (
            agent
            and not item.amount.aqueous
            and not item.amount.strong()
            and agent in ("mgso4", "na2so4", "caso4", "cacl2", "sieves_3a", "sieves_4a", "phase_separator")
            and item.amount.volume is None
        ):
            op = Op("dry", item.start, item.end, course.number, desiccant=agent, notes=["read as drying"])
            op.names_layer = True
        elif item.kinds.get("solution") or item.kinds.get("row"):
            op = course.from_thing("wash", item, shared)
            op.notes.append("read as a wash")
            op.names_layer = True
        elif item.kinds.get("solvent"):
            anew = bool(course.ops) and course.ops[-1].action == "concentrate"  # "evap acetone, ether 50"
            layer = makes_layer(item.kinds["solvent"]) and not anew
            op = course.from_thing("extract" if layer else "dilute", item, shared)
            op.notes.append("read as an extraction" if layer else "read as added")
            op.names_layer, op.weak = layer, not layer
        else:
            continue
        course.ops.append(op)
    over = next((t for t in tokens[stop + 1 : stop + 3] if t.has("desiccant")), None) if items else None
    if over is not None and tokens[stop].low in ("over", "on"):
        op = Op("dry", over.start, over.end, course.number, desiccant=over.kinds["desiccant"], notes=["read as drying"])
        op.names_layer = True
        course.ops.append(op)  # "2 x bicarbonate, brine; over Na2SO4"


_UNTIL = ("until", "till")


def _ends_something(course: Course, tokens: list[Token]) -> int:
    """Read what a note puts in until something shows that the leftover is gone: isopropanol till green.

    Return where the note goes on, 0 where it begins with nothing of the kind.
    """
    till = next((k for k, t in enumerate(tokens) if t.low in _UNTIL), -1)
    said = tokens[till + 1 : till + 5]
    if not 0 < till < 8 or not said or any(t.has("ph", "basic", "acidic", "times") for t in said):
        return 0
    items, shared, _ = things_in(tokens, 0, till, [])
    if len(items) != 1 or items[0].unknown or any(op.action in ("wash", "extract") for op in course.ops):
        return 0
    if not (items[0].kinds.get("solvent") or items[0].kinds.get("solution") or items[0].kinds.get("row")):
        return 0
    op = course.from_thing("quench", items[0], shared)
    op.notes.append("read as the quench")
    op.weak = op.names_layer = True
    course.ops.append(op)
    end = next(
        (k for k in range(till, len(tokens)) if tokens[k].low in (",", ";") or tokens[k].has("conj")), len(tokens)
    )
    op.end = tokens[end - 1].end
    while end < len(tokens) and (tokens[end].low in (",", ";") or tokens[end].has("conj")):
        end += 1
    return end


def _residue_in(course: Course, tokens: list[Token]) -> int:
    """Read the solvent that a note has the residue in: "residue in DCM, sat. NaHCO3"; return where it goes on, or 0."""
    place = next((k for k, t in enumerate(tokens[:4]) if t.low == "in"), -1)
    if place < 1 or not any(t.has("residue") for t in tokens[:place]):
        return 0
    end = next((k for k in range(place, len(tokens)) if tokens[k].low in (",", ";")), len(tokens))
    items, shared, _ = things_in(tokens, place + 1, end, [])
    if len(items) != 1 or not items[0].kinds.get("solvent") or items[0].kinds.get("solution"):
        return 0
    if any(t.has("aux") for t in tokens[place:end]):
        return 0
    op = course.from_thing("dilute", items[0], shared, tokens[0].start)
    op.verb, op.names_layer = "dissolved", makes_layer(op.solvent)
    course.ops.append(op)
    return min(end + 1, len(tokens))


def _named_layer(course: Course, items: Sequence[Item], tokens: Sequence[Token]) -> Item | None:
    """Return the solvent at the head of a list that only says which layer or mixture it is about, if there is one.

    "DCM + 2 M HCl" once there is a layer of it, "reaction (DCM) -> 1 M HCl".
    """
    first = items[0] if items else None
    if (
        first is None
        or first.unknown
        or first.amount.sized()
        or first.kinds.get("solution")
        or not first.kinds.get("solvent")
    ):
        return None
    if course.norm[first.start - 1 : first.start] == "(":
        return first if not course.ops and len(items) == 1 else None
    had = any(op.solvent == first.kinds["solvent"] for op in course.ops)
    onward = tokens[first.last + 1] if first.last + 1 < len(tokens) else None
    layer = had and len(items) > 1 and onward is not None and (onward.low in ("+", "/", ":") or onward.has("with"))
    return first if layer else None


def _between_two(course: Course, items: Sequence[Item]) -> bool:
    """Tell whether a list begins with a solution and a solvent that are used together: EtOAc/H2O, 50 mL H2O + 50 mL MTBE."""
    first, second = items[:2]
    if (
        first.unknown
        or second.unknown
        or sum(bool(x.kinds.get("solution") or x.kinds.get("row")) for x in (first, second)) != 1
    ):
        return False
    if (first.amount.repeats or 1) > 1 or (second.amount.repeats or 1) > 1:
        return False
    between = course.norm[first.end : second.start]
    return "/" in between or ("+" in between and not any(op.action in ("wash", "extract") for op in course.ops))


_AFTER_A_LIST = frozenset({"filter", "concentrate", "dry", "vent", "combine", "rinse"})


# After these a solution that stands before is what the flask is thinned with: "then 30 mL water, extract with ether".
_THINNED = frozenset({"extract", "separate", "stir", "wait"})


def _is_what_is_dried(tokens: Sequence[Token], k: int) -> bool:
    """Tell whether a word belongs to the layer that stands over a drying agent: organics over, ether layer over."""
    over = next((j for j in range(k, min(k + 4, len(tokens) - 1)) if tokens[j].low in ("over", "on")), -1)
    if over < 0 or not any(t.has("desiccant") for t in tokens[over + 1 : over + 3]):
        return False
    return all(t.has("organic", "organics", "layer", "extracts", "soln", "solvent") for t in tokens[k:over])


_PLAIN = trade.words("the a an some and then anh anhydrous solid of over again finally next first with")


def leading_list(course: Course, tokens: list[Token], i: int, verb: str) -> None:
    """Read what a note names without a verb before one that it does not belong to: "brine, MgSO4, filter"."""
    lead = tokens[: i - (tokens[i].low == "off")]  # "Na2SO4; solvent off"
    named = next((k for k, t in enumerate(lead[:7]) if t.low == ":"), -1)
    heads = any(
        t.has("organic", "organics", "layer", "extracts", "aqueous")
        or t.low in VESSELS
        or t.kinds.get("verb") == "quench"
        for t in lead[:named]
    )
    if named > 0 and heads:
        lead = lead[named + 1 :]  # "Comb. org.: H2O 15, brine 15; Na2SO4; evap.", "Flask A: 6 M NaOH to pH 12"
    # "The residue in toluene was washed" is about it; a comma ends what stands for itself.
    listed = any(t.low in (",", ";") for t in lead)
    if course.lines and (end := _ends_something(course, lead) or (listed and _residue_in(course, lead)) or 0):
        lead = lead[end:]
    if any(t.has("desiccant") for t in lead):
        lead = [t for k, t in enumerate(lead) if not _is_what_is_dried(lead, k)]  # "organics over Na2SO4, stand 20 min"
    while lead and (lead[-1].low in (",", ";", "-", "/") or lead[-1].has("conj")):
        lead = lead[:-1]
    thinned = verb in _THINNED and any(t.has("ml") for t in lead)
    shaken = tokens[i].low in ("shake", "shaken", "swirl") and (i + 1 == len(tokens) or tokens[i + 1].low in (",", ";"))
    shaken |= verb in ("keep", "discard") and any(t.has("ml") for t in lead)
    thinned &= not _sets_ph(lead)
    shaken |= verb in ("stir", "wait") and all(t.has("desiccant") for t in lead)  # "MgSO4, stir 15 min, filter"
    if (
        (verb not in _AFTER_A_LIST and not thinned and not shaken and not _sets_ph(lead))
        or not lead
        or (verb == "dry" and len(lead) == i and named < 0)
    ):
        return
    if not _is_list(lead) and not _sets_ph(lead):
        return
    lines, course.lines = course.lines, True
    made = len(course.ops)
    verbless(course, lead)
    course.lines = lines
    if thinned:
        for op in course.ops[made:]:
            if op.action == "wash" and not op.reason:
                op.action, op.verb, op.weak = "dilute", "add", True
                op.notes = [n for n in op.notes if not n.startswith("read as")]


# After these a list goes on that names what comes next without a verb: "combine, brine 20 mL, Na2SO4".
BEFORE_A_LIST = frozenset(
    {
        "acidify",
        "basify",
        "adjust",
        "filter",
        "combine",
        "keep",
        "separate",
        "discard",
        "drain",
        "stir",
        "cool",
        "wait",
        "vent",
        "add",
        "dilute",
        "partition",
        "quench",
        "dissolve",
        "concentrate",
    }
)


# Here a comma only parts what the verb itself is done with.
_TAKES_A_LIST = frozenset({"add", "dilute", "partition", "quench", "dissolve", "stir"})


def trailing_list(course: Course, verb: str, rest: list[Token], made: list[Op]) -> None:
    """Read what stands in a list behind a verb that it does not belong to."""
    signs = (";", ":") if verb in _TAKES_A_LIST else (",", ";", ":")
    if verb == "stir" and _dried_next(rest):
        signs = (",", ";", ":")
    begin = next(
        (k for k, t in enumerate(rest) if t.low in signs or (not k and t.low == "." and verb == "combine")), -1
    )
    if verb == "combine" and begin != 0 and len(rest) > 1 and rest[0].has("organic", "organics", "extracts"):
        layer = 1 + rest[1].has("layer", "extracts")
        if layer < len(rest) and (rest[layer].number is not None or rest[layer].has("sat", "solution")):
            begin = layer - 1  # "pooled org 5 % LiCl x3, brine"
    if verb == "filter":
        # "washed with A, the solid being filtered off, and then with B": the wash goes on.
        with_it = next((k for k, t in enumerate(rest[:4]) if t.low == "with"), -1)
        if with_it > 0 and rest[with_it - 1].has("conj") and any(op.action == "wash" for op in course.ops[-2:-1]):
            course.target = "liquid"
            washing.wash(course, Clause(rest, with_it, "wash", with_it, len(rest), None, [], [], False))
        return
    if begin < 0 or begin + 1 >= len(rest) or rest[begin].end == rest[begin + 1].start:
        return  # nothing, or "ice:water"
    listed = rest[begin + 1 :]
    while listed and (listed[-1].low in (",", ";", "/", ")", ".") or listed[-1].has("conj")):
        listed.pop()
    taken_up = verb == "concentrate" and bool(listed) and listed[0].has("solvent") and len(listed) < 4
    if not listed or not (_is_list(listed) or taken_up) or any(op.start >= listed[0].start for op in made):
        return
    lines, course.lines = course.lines, True
    verbless(course, listed)
    course.lines = lines


def _dried_next(rest: Sequence[Token]) -> bool:
    """Tell whether what stands behind a stirring is a drying agent alone: "stir 15 min, MgSO4, filter"."""
    comma = next((k for k, t in enumerate(rest) if t.low == ","), len(rest))
    behind = [t for t in rest[comma + 1 :] if t.low != ","]
    return not any(t.has("with") for t in rest[:comma]) and bool(behind) and all(t.has("desiccant") for t in behind)


def workup_listed(tokens: Sequence[Token], i: int) -> list[Token]:
    """Return the list in brackets behind "workup": (EtOAc/H2O; brine; Na2SO4)."""
    if tokens[i].low.replace("-", " ") not in ("workup", "work up") or i + 2 >= len(tokens) or tokens[i + 1].low != "(":
        return []
    depth, close = 1, -1
    for k in range(i + 2, len(tokens)):
        depth += (tokens[k].low == "(") - (tokens[k].low == ")")
        if not depth:
            close = k
            break
    listed = list(tokens[i + 2 : close]) if close > 0 else []
    several = any(t.low in (",", ";") for t in listed)
    return listed if several and _is_list(listed) else []


_MINUTES = trade.words("min mins minutes h hr")


def _is_list(tokens: Sequence[Token]) -> bool:
    """Tell whether words name only solutions, solvents, drying agents and amounts, as in a note."""
    if not any(t.has("solution", "row", "desiccant") for t in tokens):
        return False
    if any(t.low == "saturated with" or (t.has("sat") and after.has("with")) for t, after in pairwise(tokens)):
        return False  # "saturated with sodium chloride"
    for k, token in enumerate(tokens):
        if _is_what_is_dried(tokens, k):
            continue
        known = token.has("solution", "row", "desiccant", "solvent", "sat", "aqueous", "dil", "conc", "conj", "ml", "x")
        known = known or token.has("molar", "normal", "pct", "soln", "times", "each", "half", "cold", "anhydrous", "of")
        known = known or (token.low in _MINUTES and k > 1 and tokens[k - 2].has("desiccant"))  # "MgSO4 5 min"
        if token.has("aux") or not (
            known or token.number is not None or token.low in _PLAIN | _SLOWLY or not token.low.isalpha()
        ):
            return False
    return True


_TESTS = trade.words(
    "litmus paper ph congo red just strongly slightly universal indicator about approx ~ ca to until till"
)


def _sets_ph(tokens: Sequence[Token]) -> bool:
    """Tell whether a note says up to where an acid or base is added: 6 M NaOH to pH 13, NaHCO3 until basic to litmus."""
    reached = next((k for k, t in enumerate(tokens) if t.low in ("to", "until", "till")), -1)
    if reached < 1 or not tokens[reached + 1 : reached + 4] or not any(t.has("solution") for t in tokens[:reached]):
        return False
    if not any(t.has("ph", "basic", "acidic") for t in tokens[reached + 1 : reached + 4]):
        return False
    plain = [
        t for t in tokens if not (t.has("ph", "basic", "acidic", "with", "check") or t.low in _TESTS or t.low == "(")
    ]
    return _is_list(plain)


def listed_next(tokens: Sequence[Token]) -> bool:
    """Tell whether a solution stands as the next thing of a list, and not as what something was done with."""
    return any(t.has("solution") and before.low in (",", ";", "then", "and") for before, t in pairwise(tokens))
