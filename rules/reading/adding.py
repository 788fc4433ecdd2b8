"""Verbs that bring something into the flask: pour, quench, dilute, dissolve, acidify, add, treat, stir with."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from washlore.knowledge.rows import Solution, table
from washlore.rules.ended import enders

from . import trade
from .amounts import Amount, amount_at
from .characters import Token
from .course import Clause, Course, Op
from .layers import Phase, makes_layer
from .objects import done_with, ends_a_hydride
from .things import Item, is_agent, things_in
from .verbs import next_verb


def pour(course: Course, clause: Clause) -> int:
    """Read what the flask is poured into, or what is poured onto it."""
    tokens, i, high = clause.tokens, clause.i, clause.high
    items, shared, stop = things_in(tokens, i + 1, high, [])
    items = course.join(items, tokens)
    if _poured_out(tokens, i, items):
        course.heard.add(course.number)  # "pour the ether out at the top"
        return stop
    if not items and any(t.low == "through" for t in tokens[i + 1 : i + 3]):
        course.simple("filter", tokens, i, weak=True)  # "poured through a Celite pad"
        course.target = "liquid"
        return i + 1
    if items and all(
        x.kinds.get("desiccant") and not (x.amount.sized() or x.amount.aqueous or x.amount.strong()) for x in items
    ):
        dried = course.simple("dry", tokens, i)  # "pour the layer into a dry flask with CaCl2"
        dried.desiccant, dried.end, dried.names_layer = items[0].kinds["desiccant"], items[0].end, True
        return stop
    wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
    op = course.liquid("quench" if wet else "dilute", tokens, i, items, shared, weak=True)
    if op is not None and wet:
        op.names_layer = False
    elif op is None and any("funnel" in t.low or t.has("ignore") for t in tokens):
        course.heard.add(course.number)
    return stop


def _poured_out(tokens: Sequence[Token], i: int, items: Sequence[Item]) -> bool:
    """Tell whether a layer that is named by its solvent alone leaves the funnel: poured off, poured out."""
    solvent = bool(items) and all(x.kinds.get("solvent") and not x.amount.sized() for x in items)
    return solvent and any(t.low in ("out", "off") for t in tokens[i + 1 : items[-1].last + 3])


_AMINES = ("amine", "glycine", "imidazole", "taurine", "morpholine", "piperazine")


def quench(course: Course, clause: Clause) -> int:
    """Read what the reaction is quenched with."""
    tokens, i, high, after = clause.tokens, clause.i, clause.high, clause.after
    if (hydrate := course.hydrate(tokens, i + 1, high, tokens[i].start)) >= 0:
        return hydrate + 1
    items, shared, stop = things_in(tokens, i + 1, high, after)
    # "quenched by adding 10 mL water": the amount follows the next verb.
    if not items and high < len(tokens) and tokens[high].kinds.get("verb") == "add":
        items, shared, stop = things_in(tokens, high + 1, next_verb(tokens, high + 1), [])
    rest = done_with(tokens, i, high, items)
    unsaid = bool(items) and not rest  # "quench the excess bleach": of what it is quenched with nothing is understood
    items = course.join(rest, tokens)
    for item in items[:1]:
        # Without water or a strength, acetic acid that ends a reaction is the neat one.
        if item.kinds.get("solution") == "acetic" and not item.amount.aqueous and not item.amount.strong():
            item.kinds = {"solvent": "acetic_acid"}
    op = course.liquid("quench", tokens, i, items, shared, weak=True)
    if op is None:
        op = course.simple("quench", tokens, i, weak=True)
        dry = any(t.low.endswith(_AMINES) for t in tokens[i + 1 : high])  # takes what acylates, without water
        dry = dry or bool(enders(" ".join(t.low for t in tokens[i + 1 : high])))
        if dry:
            op.end = tokens[high - 1].end
        if not dry and (unsaid or (len(tokens) > i + 1 and tokens[i + 1].has("with"))):
            op.reason = "what it is quenched with is not known"
            op.end = tokens[high - 1].end
    return max(stop, i + 1)


def dilute(course: Course, clause: Clause) -> int:
    """Read what is added to thin or to dissolve."""
    tokens, i, verb, begun = clause.tokens, clause.i, clause.verb, clause.begun
    high, before, after = clause.high, clause.before, clause.after
    if verb == "dissolve" and _weighs_out(tokens, begun, i) and not any(p.kind == "residue" for p in before):
        course.simple("react", tokens, i, weak=True)
        # The solvent belongs to the reaction: "dissolved in DCM and benzoyl chloride was added" dilutes nothing.
        return max(i + 1, things_in(tokens, i + 1, high, after)[2])
    items, shared, stop = things_in(tokens, i + 1, high, after)
    if not items and high < len(tokens) and tokens[high].kinds.get("verb") == "add":
        items, shared, stop = things_in(tokens, high + 1, next_verb(tokens, high + 1), [])
    listed = _washes_listed(items)
    items = items[: len(items) - len(listed)]
    hydride = ends_a_hydride(items)
    items = [x for x in items if not x.unknown and x not in hydride]
    wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
    action = (
        "take up"
        if verb == "dissolve" and wet and not [x for x in items if "solvent" in x.kinds and "solution" not in x.kinds]
        else "dilute"
    )
    salts = verb == "dissolve" and any(t.low in _WASTE_SALTS for t in tokens[begun:i] + tokens[i + 1 : i + 4])
    if salts or (verb == "dissolve" and wet and wet[0].kinds.get("solution") in ("acetic",)):
        action = "dilute"
    op = course.liquid(action, tokens, i, items, shared, weak=True)
    if op is not None and verb == "dissolve" and op.solvent and makes_layer(op.solvent):
        # "Dissolve the crude in 30 mL of DCM" begins a workup.
        first = not any(o.action in ("wash", "extract", "dry") for o in course.ops)
        op.names_layer = first and any(p.kind == "residue" and p.index < i + 4 for p in after)
    if op is not None and op.volume is not None and op.solution == "water" and not op.solvent:
        op.in_all = _to_a_total(tokens, i, stop)
    for item in listed:
        course.listed(item)
    for item in hydride:  # "dilute with ether; 1 mL water, 1 mL 15 % NaOH, 3 mL water"
        course.hydride(item, shared)
    if op is None and verb == "dilute":
        op = course.simple("dilute", tokens, i, weak=True)
        op.reason = "what it is diluted with is not known"
        op.end = tokens[high - 1].end if high > i else op.end
    return stop


def _to_a_total(tokens: Sequence[Token], i: int, stop: int) -> bool:
    """Tell whether a volume is that of all once it is in: "dilute with water to 100 mL", "to a total volume of 100 mL"."""
    for k in range(i + 1, stop):
        if tokens[k].low in ("to", "up to"):
            near = list(takewhile(lambda t: t.low not in (",", ";"), tokens[k + 1 : k + 7]))
            number = next((n for n, t in enumerate(near) if t.number is not None), -1)
            if 0 <= number < len(near) - 1 and near[number + 1].has("ml"):
                return True
    return False


def _washes_listed(items: Sequence[Item]) -> Sequence[Item]:
    """Return the solutions that a note lists behind the solvent: "take up in EtOAc 50, 1 M HCl 20, NaHCO3 20, brine".

    Nobody thins a flask with two or more of them in turn, unless they end a hydride.
    """
    if len(items) < 3 or not items[0].kinds.get("solvent") or items[0].kinds.get("solution"):
        return []
    rest = items[1:]
    wet = [x for x in rest if x.kinds.get("solution") or x.kinds.get("row")]
    in_turn = all(x.separated and not x.unknown and (x in wet or is_agent(x)) for x in rest)
    washes = [x for x in wet if not is_agent(x)]
    several = len({x.kinds.get("solution") or x.kinds.get("row") for x in washes}) > 1
    return rest if in_turn and several and not ends_a_hydride(items) else []


# Said of what is named behind the step that it goes before: "extracted with ether after addition of water".
AFTER = "named after the step that follows it"
# What water is added to dissolve, and is no product.
_WASTE_SALTS = frozenset({"salts", "inorganics", "magnesium salts", "sodium salts"})


def set_ph(course: Course, clause: Clause) -> int:
    """Read a pH that is set, and with what."""
    tokens, i, verb, begun = clause.tokens, clause.i, clause.verb, clause.begun
    high, subject, after = clause.high, clause.subject, clause.after
    token = tokens[i]
    items, shared, stop = things_in(tokens, i + 1, high, list(after))
    if not items and high < len(tokens) and tokens[high].kinds.get("verb") == "add":
        end = next_verb(tokens, high + 1)
        items, more, stop = things_in(tokens, high + 1, end, [])
        shared.take(more)
    added = done_with(tokens, i, high, items) if verb == "neutralize" else items
    wet = [x for x in added if x.kinds.get("solution") or x.kinds.get("row")]
    by = next((k for k in range(i + 1, high) if tokens[k].low in ("with", "using", "w/", "by")), -1)
    if by >= 0 and len(wet) > 1:
        wet = [x for x in wet if x.first > by] or wet
    ph = shared.ph if shared.ph is not None else next((x.amount.ph for x in items if x.amount.ph is not None), None)
    if ph is None:
        for k in range(max(begun, i - 4), min(len(tokens), stop + 10)):
            if tokens[k].has("ph") and (got := amount_at(tokens, k, len(tokens))) is not None:
                ph = got[1].ph
                stop = max(stop, got[0])
                break
    amount = Amount()
    if wet:
        op = course.from_thing("set ph", wet[0], amount, tokens[i].start)
        op.end = max(op.end, wet[0].end)
    else:
        op = Op("set ph", tokens[i].start, tokens[i].end, course.number)
        unknown = next((x for x in items if x.unknown), None)
        if unknown is not None:
            op.notes.append(f"{course.norm[unknown.start : unknown.end].strip()} is not known")
    named = any(t.has("ph") for t in tokens[min(begun, max(0, i - 4)) : i])
    if ph is None and ("ph" in token.low.split() or (verb == "adjust" and named)):
        # "Bring to pH 3", "the pH was adjusted to 8-9": its number stands alone and is no volume.
        for k in range(i + 1, min(len(tokens), i + 5)):
            unit = k + 1 < len(tokens) and tokens[k + 1].has("ml", "molar", "normal", "pct")
            if (n := tokens[k].number) is not None and 0 <= n <= 14 and not unit:
                ph = n
                upper = tokens[k + 2].number if k + 2 < len(tokens) and tokens[k + 1].low in ("-", "to") else None
                if upper is not None and 0 <= upper <= 14:
                    ph = (n + upper) / 2
                if op.volume in (n, upper):
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
        elif any(t.has("basic") for t in tokens[i + 1 : high]):
            ph = 10.0
            op.notes.append("pH 10: basic, no pH given")
        elif any(t.has("acidic") for t in tokens[i + 1 : high]):
            ph = 2.0
            op.notes.append("pH 2: acidic, no pH given")
    if wet and (listed := next((x for x in items if x.separated and not x.bracket and x.first > wet[0].last), None)):
        # "... to pH 2 (6 M HCl), EtOAc 3 x 30 mL, brine": the list goes on behind it.
        comma = next((k for k in range(listed.first, wet[0].last, -1) if tokens[k].low == ","), 0)
        stop = comma or stop
    op.ph = ph
    op.weak = True
    op.verb = verb
    covered = [t.end for t in tokens[i + 1 : stop] if t.has("ph") or t.number == ph]
    op.end = max([op.end, *covered])
    last = course.ops[-1] if course.ops else None
    brings = i > 0 and tokens[i - 1].low == "to" and not wet
    if (
        brings
        and last is not None
        and last.action == "dilute"
        and last.verb == "add"
        and last.sentence == course.number
    ):
        # "Add enough 2 M HCl to bring the pH to 6"
        course.ops.pop()
        op.solution, op.strength, op.start, op.notes = last.solution, last.strength, last.start, last.notes + op.notes
    subject = subject or next((p for p in after if p.kind == "aqueous"), None) or course.carried
    if subject is not None:
        op.subject = subject.kind
        op.names_layer = subject.kind in ("organic", "aqueous")
    course.ops.append(op)
    course.target = "liquid"
    return stop


WEIGHED = trade.words("g gm gms gram grams mg kg mmol mol moles mole mmole mmoles equiv eq equivalents equivalent meq")


def _weighed(tokens: Sequence[Token], item: Item) -> bool:
    """Tell whether a salt is added as a solid: 35 g of sodium chloride, solid NaCl."""
    if item.amount.aqueous or item.amount.strong() or item.kinds.get("solution") in ("ice_water", "water"):
        return False
    # "brine to dry it" is no solid, nor is "bicarbonate, dry".
    after = list(takewhile(lambda t: t.low not in ("to", ",", ";"), tokens[item.last + 1 : item.last + 4]))
    near = [*tokens[max(0, item.first - 3) : item.first], *after]
    return any(t.low in WEIGHED or t.has("solid_state", "anhydrous") for t in near)


# A short note that begins with so much of one of these begins with a quench: "added acetic acid (3 mmol)".
_POURED_ACIDS = frozenset({"acetic", "hcl", "h2so4"})


def _weighs_out(tokens: Sequence[Token], low: int, high: int) -> bool:
    """Tell whether a compound is weighed out there, other than the salt of a solution: a reaction is being set up."""
    for k in range(low, high):
        if tokens[k].low in WEIGHED and k and tokens[k - 1].number is not None:
            near = tokens[max(0, k - 4) : k + 4]
            if not any(t.has("solution", "row", "desiccant") for t in near):
                return True
    return False


def add(course: Course, clause: Clause) -> int:
    """Read an addition: a wash, a quench, a drying agent or a reagent, by what is added and to what."""
    tokens, i, begun, high = clause.tokens, clause.i, clause.begun, clause.high
    subject, before, after = clause.subject, clause.before, clause.after
    token = tokens[i]
    if course.ops and " ".join(t.low for t in tokens[i + 1 : i + 4] if t.low not in ("a", "the", "some")).startswith(
        ("drying agent", "desiccant", "drying salt")
    ):
        op = course.simple("dry", tokens, i)
        told = next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None)
        if told is not None:
            op.desiccant, op.end = told.kinds["desiccant"], told.end  # "add drying agent (MgSO4)"
        else:
            op.notes.append("drying agent not given")
        op.names_layer = True
        return min(high + 1, len(tokens))
    if (hydrate := course.hydrate(tokens, begun, high, token.start)) >= 0:
        return max(i, hydrate) + 1
    if _weighs_out(tokens, begun, high):
        op = course.simple("react", tokens, i, weak=True)
        return i + 1
    if token.kinds.get("verb") == "add" and token.low.startswith("treat"):
        return _treat(course, tokens, i, begun, high, subject, after)
    for k in range(i + 2, min(high + 1, len(tokens))):
        agent = next((t for t in tokens[begun:k] if t.kinds.get("desiccant")), None)
        if agent is not None and tokens[k].low == "dry" and tokens[k - 1].low == "to":
            # "Add magnesium sulfate to dry the layer", "MgSO4 was added to dry it"
            op = course.simple("dry", tokens, i)
            op.desiccant, op.names_layer = agent.kinds["desiccant"], True
            op.start, op.end = min(token.start, agent.start), tokens[k].end
            course.target = "liquid"
            return k + 1
        if agent is None and tokens[k].low == "dry" and tokens[k - 1].low == "to":
            # "Add brine to dry the ether layer"
            salt = [x for x in things_in(tokens, i + 1, k, [])[0] if x.kinds.get("solution") == "brine"]
            if salt:
                op = course.from_thing("wash", salt[0], Amount(), token.start)
                op.subject, op.names_layer, op.verb, op.end = "organic", True, "wash", tokens[k].end
                op.notes.append("drying with brine is read as a wash with it")
                course.ops.append(op)
                course.target, course.verb = "liquid", "wash"
                return k + 1
    ahead, shared, stop = things_in(tokens, i + 1, high, after)
    # "A and B were added": what stands before the auxiliary is all added.
    end = next(
        (k for k in range(i, begun, -1) if not tokens[k - 1].has("aux", "conj") and tokens[k - 1].low != "then"), i
    )
    behind, other, _ = things_in(tokens, begun, end, [p for p in before if p.kind != "layers"])
    into = (i + 1 < len(tokens) and tokens[i + 1].low in ("to", "into", "onto")) or (
        i + 2 < len(tokens) and tokens[i + 2].low == "to" and not tokens[i + 1].has("solution")
    )
    if not ahead and token.low == "add" and i + 1 < len(tokens) and tokens[i + 1].low == "more":
        return i + 1  # "Add more until fresh powder moves freely": the same again, as much as it takes
    if behind and not (ahead and token.low in ("add", "adding", "addition", *_RECEIVES)):
        items, shared = behind, other
        anew = bool(ahead) and any(t.low in _THEN for t in tokens[i + 1 : ahead[0].first])
        stop = stop if ahead and not anew else i + 1  # what follows is the next verb's, or "then water (80 mL)"
        ahead = [] if anew else ahead
    elif ahead:
        items = ahead
        if into:
            course.liquid("quench", tokens, i, ahead, shared, weak=True)
            return stop
    else:
        course.simple("react", tokens, i, weak=True)
        return stop
    if items is behind:
        items = course.join(items, tokens)
    wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
    if token.low in (*_RECEIVES, "goes") and wet and len(wet) == len(items) and course.ops:
        had = any(op.action in ("dilute", "wash", "extract") for op in course.ops)
        plain = any(x.kinds.get("solution") == "water" for x in wet)
        if had and (_is_organic(tokens, begun, i, before) or (len(wet) > 1 and not plain)):
            for k, item in enumerate(course.join(wet, tokens)):
                op = course.from_thing("wash", item, shared, token.start if not k else None)
                op.subject, op.names_layer, op.verb = "organic", True, "wash"
                course.ops.append(op)
            course.target, course.verb = "liquid", "wash"
            return stop
    ph = next(
        (
            got[1].ph
            for k in range(i + 1, min(len(tokens), high + (8 if tokens[high - 1].low == "to" else 0)))
            if tokens[k].has("ph") and (got := amount_at(tokens, k, len(tokens)))
        ),
        None,
    )
    basic = next((t for t in tokens[i + 1 : high] if t.has("basic", "acidic")), None)
    if ph is None and wet and _until_neutral(tokens, i, high):
        ph, shared.repeats = 7.0, None
        for item in wet:
            item.amount.repeats = None
            item.amount.notes = [n for n in item.amount.notes if "until neutral" not in n]
    if ph is None and wet:
        ph = _quiet_ph(tokens, i, high, wet[0])
    if wet and (
        ph is not None or (basic is not None and any(t.low in ("until", "till") for t in tokens[i + 1 : high]))
    ):
        for item in wet[:-1] if items is ahead else ():
            # "Add sodium acetate, then 2 M NaOH to pH 8": the last of them brings it there.
            first = course.from_thing("dilute", item, shared, min(token.start, item.start))
            first.weak, first.verb = True, "add"
            course.ops.append(first)
        last = wet[-1] if items is ahead else wet[0]
        op = course.from_thing(
            "set ph", last, shared, last.start if items is ahead and len(wet) > 1 else min(token.start, last.start)
        )
        op.ph = ph if ph is not None else (10.0 if basic is not None and basic.has("basic") else 2.0)
        op.end = max(op.end, token.end)
        op.weak = True
        course.ops.append(op)
        return stop
    solid = next((x for x in wet if _weighed(tokens, x) and not _is_powder(x)), None)
    ends = solid is not None and solid.kinds.get("solution") in _ENDING_SOLIDS
    if solid is not None and ends and not any(o.action in _WORKED for o in course.ops):
        op = course.simple("quench", tokens, i, weak=True)
        op.start, op.end = min(op.start, solid.start), max(op.end, solid.end)
        op.names_layer = True
        return stop
    if solid is not None and not (course.lines and not course.ops and solid.kinds.get("solution") in _POURED_ACIDS):
        op = course.simple("odd", tokens, i, weak=True)
        op.start, op.end = min(op.start, solid.start), max(op.end, solid.end)
        return stop
    if not wet and all(x.kinds.get("solvent") == "triethylamine" for x in items):
        course.simple("react", tokens, i, weak=True)
        return stop
    agents = [x for x in items if is_agent(x) or _is_powder(x)]
    if (agents and len(agents) == len(items)) or (
        agents and items[0] is agents[0] and items[0].kinds.get("desiccant") == "mgso4"
    ):
        begun_before = any(o.action in ("quench", "wash", "extract", "dilute", "set ph") for o in course.ops[-8:])
        op = course.simple("dry", tokens, i, weak=not begun_before)
        op.desiccant = agents[0].kinds["desiccant"]
        op.start, op.end = min(op.start, agents[0].start), max(op.end, agents[0].end)
        return stop
    if len(wet) > 1 and len(wet) == len(items) and items is ahead:
        for k, item in enumerate(course.join(wet, tokens)):
            op = course.from_thing("dilute", item, shared, token.start if not k else None)
            op.weak, op.verb = True, "add"
            course.ops.append(op)
        return stop
    made = course.liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=True)
    if made is not None and token.low in ("addition", "adding") and i and tokens[i - 1].low == "after":
        made.notes.append(AFTER)
    if made is not None:
        if subject is not None and token.low == "add" and tokens[begun].low == "to":
            made.subject = subject.kind  # "to the bottom layer add HCl"
        made.verb = "add"
        made.start = min(made.start, *(x.start for x in items))
        made.end = max(made.end, token.end)
        subject_next = bool(ahead) and ahead[-1].last + 1 < len(tokens) and tokens[ahead[-1].last + 1].has("aux")
        if behind and items is not ahead and ahead and tokens[i + 1].has("conj") and not subject_next:
            more = course.liquid("dilute", tokens, i, [x for x in ahead if not x.unknown], shared, weak=True)
            if more is not None:
                more.start, more.verb = ahead[0].start, "add"
    else:
        op = course.simple("react", tokens, i, weak=True)
        desiccants = [x for x in items if x.kinds.get("desiccant")]
        if desiccants and subject is not None:
            op.action, op.desiccant, op.weak, op.names_layer = "dry", desiccants[0].kinds["desiccant"], False, True
            op.start, op.end = min(op.start, desiccants[0].start), max(op.end, desiccants[0].end)
    return stop


_THEN = ("then", "and then", "followed by")
# Solid ammonium chloride ends a base or a metal without water, solid sulfite an oxidant.
_ENDING_SOLIDS = frozenset({"nh4cl", "na2so3", "nahso3", "na2s2o3", "ascorbate"})
_WORKED = frozenset({"wash", "extract", "take up", "dry"})


def _is_powder(item: Item) -> bool:
    """Tell whether a drying agent is added as a powder; sodium sulfate is, where neither water, strength nor volume is said."""
    if not item.kinds.get("desiccant"):
        return False
    plain = not item.amount.aqueous and not item.amount.strong() and not item.amount.sized()
    return not item.kinds.get("solution") or (item.kinds["desiccant"] == "na2so4" and plain)


def _until_neutral(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether an acid or base is added until the flask is neutral."""
    return any(t.has("times") and "neutral" in t.low for t in tokens[i + 1 : high])


# "until no more gas comes": acid has had all the carbonate that it takes, and the water stands where the carbonate holds it.
_GAS = ("gas", "evolution", "effervescence", "fizzing", "bubbling", "bubbles", "foaming", "frothing", "co2")
_QUIET_PH = {"nahco3": 8.0, "khco3": 8.0, "na2co3": 9.0, "k2co3": 9.0}


def _quiet_ph(tokens: Sequence[Token], i: int, high: int, item: Item) -> float | None:
    """Return the pH at which a carbonate added until no more gas comes holds the water, ``None`` where no such thing is said."""
    solution = item.kinds.get("solution") or ""
    ph = next((ph for salt, ph in _QUIET_PH.items() if solution.startswith(salt)), None)
    words = [t.low for t in tokens[i + 1 : min(high + 8, len(tokens))]]
    until = next((k for k, word in enumerate(words) if word in ("until", "till")), None)
    return ph if ph is not None and until is not None and any(w in _GAS for w in words[until + 1 : until + 8]) else None


# "The ether gets 20 mL of brine."
_RECEIVES = ("gets", "get", "receives")


def _is_organic(tokens: Sequence[Token], begun: int, i: int, before: Sequence[Phase]) -> bool:
    """Tell whether what stands before a verb is an organic layer or its solvent."""
    solvent = i > begun and tokens[i - 1].has("solvent") and not tokens[i - 1].has("solution")
    return solvent or any(p.kind == "organic" for p in before)


def _treat(course: Course, tokens, i, begun, high, subject, after) -> int:
    items, shared, stop = things_in(tokens, i + 1, high, after)
    dry = [
        x
        for x in items
        if x.kinds.get("desiccant") in ("mgso4", "na2so4") and not x.amount.aqueous and not x.amount.strong()
    ]
    items = done_with(tokens, i, high, items)
    wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
    ph = next(
        (
            got[1].ph
            for k in range(i + 1, len(tokens))
            if tokens[k].has("ph") and (got := amount_at(tokens, k, len(tokens)))
        ),
        None,
    )
    if dry:
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = dry[0].kinds["desiccant"], dry[0].end, True
    elif (
        len(wet) == 1
        and ph is not None
        and any(t.low in ("until", "till", "to") for t in tokens[wet[0].last : high + 3])
    ):
        op = course.from_thing("set ph", wet[0], shared, tokens[i].start)
        op.ph, op.weak, op.verb = ph, True, "adjust"
        course.ops.append(op)
    elif wet:
        layer = subject is not None and subject.kind == "organic" and not any(t.has("residue") for t in tokens[:i])
        for k, item in enumerate(course.join(wet, tokens)):
            op = course.from_thing("wash" if layer else "quench", item, shared, None if k else tokens[i].start)
            op.weak = not layer
            op.verb = "treat"
            course.ops.append(op)
    elif black := next((k for k in range(i + 1, high) if tokens[k].low in _SCAVENGERS), 0):
        course.simple("odd", tokens, i, weak=True).end = tokens[black].end
    else:
        course.simple("react", tokens, i, weak=True)
    return stop


# Solids that take colour or metals out; what they take is not computed.
_SCAVENGERS = frozenset(
    {"charcoal", "carbon", "norit", "darco", "alumina", "silica", "florisil", "quadrapure", "scavenger"}
)


def brought_in(course: Course, tokens: Sequence[Token], begun: int, i: int) -> None:
    """Read the solvent that what is washed is said to be in: "a solution of the residue in EtOAc was washed"."""
    place = next((k for k in range(i - 1, begun, -1) if tokens[k].low == "in"), -1)
    if place < 0:
        return
    what = tokens[begun:place]
    if not any(t.has("residue", "of", "solid") or t.low in ("solution", "compound", "it") for t in what):
        return
    items, shared, _ = things_in(tokens, place + 1, i, [])
    if not items or items[0].first > place + 3 or not items[0].kinds.get("solvent") or items[0].kinds.get("solution"):
        return
    if not makes_layer(items[0].kinds["solvent"]) or any(t.has("verb") for t in tokens[place + 1 : items[0].first]):
        return
    op = course.from_thing("dilute", items[0], shared)
    op.verb, op.weak = "in", True
    course.ops.append(op)


def transfer(course: Course, clause: Clause) -> int:
    """Read what goes into the funnel with what is transferred: "with the aid of 50 mL of ether and 100 mL of water"."""
    tokens, i, high = clause.tokens, clause.i, clause.high
    items, shared, stop = things_in(tokens, i + 1, high, clause.after)
    items = [x for x in course.join(items, tokens) if not x.unknown]
    agent = next(
        (t for t in tokens[i + 1 : high] if t.kinds.get("desiccant") in ("mgso4", "na2so4", "caso4", "cacl2")), None
    )
    if agent is not None and course.ops and not any(x.amount.sized() for x in items):
        op = course.simple("dry", tokens, i)  # "put MgSO4 in"
        op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], max(agent.end, op.end), True
        return stop
    bath = any(tokens[x.first - 1].low == "of" for x in items if x.kinds.get("solution") in ("water", "ice_water"))
    if not items or not (bath or any(x.amount.sized() for x in items)):
        course.heard.add(course.number)
        return i + 1
    poured = course.liquid("quench" if bath and len(items) == 1 else "dilute", tokens, i, items, shared, weak=True)
    if poured is not None:
        poured.verb = "add"
        poured.names_layer = any("funnel" in t.low for t in tokens) or bool(poured.solution and poured.solvent)
    return stop


def exchange(course: Course, clause: Clause) -> int:
    """Read a solvent that takes the place of another: stripped, and taken up again."""
    tokens, i, high = clause.tokens, clause.i, clause.high
    to = next((k for k in range(i + 1, high) if tokens[k].low in ("for", "to", "into", "with", "by")), -1)
    items, shared, stop = things_in(tokens, to + 1, high, []) if to > 0 else ([], Amount(), i + 1)
    course.simple("concentrate", tokens, i, weak=True)
    added = course.liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=True)
    if added is not None:
        added.start = items[0].start
    return max(stop, i + 1)


# What parts the layers only after hours.
_SLOW = ("rochelle_sat", "na3citrate_1m", "kf_10", "kf_1m")


def _is_organic_layer(about: Phase | None) -> bool:
    return about is not None and about.kind == "organic"


def _organic_alone(course: Course, about: Phase | None) -> bool:
    """Tell whether an organic layer without water is in the flask: the water of a wash or extraction was run off.

    A note that begins with a solvent that makes a layer means that layer; a reaction mixture may be in anything.
    """
    if about is not None and about.kind not in ("residue", "liquid"):
        return False
    for op in reversed(course.ops):
        if op.action in ("wash", "extract"):
            return op.phase != "aqueous"
        if op.action == "dilute":
            return bool(op.solvent) and not op.solution and makes_layer(op.solvent)
        if op.action not in ("layers", "vent", "wait", "cool", "combine", "discard"):
            return False
    return False


def _binds(course: Course, wet: Sequence[Item]) -> bool:
    """Tell whether a solution that binds or reduces is stirred with: hours of that make no reaction of it."""
    rows = (table(Solution).get(course.from_thing("quench", x, Amount()).solution) for x in wet)
    return all(row is not None and row.acts_as in ("complexing", "reductant") for row in rows)


def stir(course: Course, clause: Clause) -> int:
    """Read what is stirred with what."""
    tokens, i, high, subject, after = clause.tokens, clause.i, clause.high, clause.subject, clause.after
    items, shared, stop = things_in(tokens, i + 1, high, after)
    objects = [p for p in after if p.index < stop]
    # "Stir the organic layer with": the layer may stand between.
    reach = max([i + 4, *(p.last + 3 for p in objects[:1])])
    with_it = any(t.low in ("with", "w/", "over") for t in tokens[i + 1 : reach])
    about = subject or (objects[0] if objects else None)
    dry = [x for x in items if x.kinds.get("desiccant") in ("mgso4", "na2so4") and not x.amount.aqueous]
    wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
    if with_it and dry:
        last = course.ops[-1] if course.ops else None
        if last is not None and last.action == "dry" and not last.desiccant and last.sentence == course.number:
            course.ops.pop()  # "dried by stirring over MgSO4"
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = dry[0].kinds["desiccant"], dry[0].end, True
    elif with_it and wet and (_is_organic_layer(about) or _organic_alone(course, about)):
        for item in course.join(wet, tokens):
            op = course.from_thing("wash", item, shared, tokens[i].start)
            op.subject, op.names_layer, op.verb = "organic" if about else "", True, "stir"
            course.ops.append(op)
    elif with_it and wet and _binds(course, wet):
        course.liquid("quench", tokens, i, course.join(items, tokens), shared, weak=True)
    elif any(t.low in trade.LONG_TIMES for t in tokens[i + 1 : high]):
        if course.ops and course.ops[-1].solution in _SLOW:
            return stop
        course.simple("react", tokens, i, weak=True)
    elif with_it and wet and _weighed(tokens, wet[0]):
        op = course.simple("wait", tokens, i)  # a solid base: no water comes with it
        op.end = wet[0].end
    elif with_it and wet:
        course.liquid("quench", tokens, i, course.join(items, tokens), shared, weak=True)
    elif any(t.low in ("with", "w/") for t in tokens[i + 1 : i + 3]) and not items:
        op = course.simple("odd", tokens, i, weak=True)
        op.end = tokens[stop - 1].end
    return stop if with_it else i + 1
