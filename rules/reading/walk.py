"""The walk through a text: each sentence, each verb in it, and what the verb makes of its phrase."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

from . import adding, drying, keeping, trade, washing
from .amounts import Amount, amount_at
from .characters import Token
from .course import Clause, Course, Op
from .layers import layers_in
from .things import segment_start, things_in
from .verbs import is_noun, named_before, verbs_in


def walk(text: str) -> Course:
    """Return the course of a whole text, with every operation in it."""
    course = Course(text)
    for number, tokens in enumerate(course.sentences):
        course.number = number
        _sentence(course, tokens)
    return course


def _sentence(course: Course, tokens: list[Token]) -> None:
    verbs = verbs_in(tokens)
    if not verbs:
        _verbless(course, tokens)
        return
    phases = layers_in(tokens, {i for i, _ in verbs})
    _leading_list(course, tokens, *verbs[0])
    course.carried = None
    begun = 0
    for place, (i, verb) in enumerate(verbs):
        if i < begun:
            continue  # an addition that the verb before has told of
        high = verbs[place + 1][0] if place + 1 < len(verbs) else len(tokens)
        if place + 1 < len(verbs) and is_noun(tokens, high, verbs[place + 1][1]):
            high = max(i + 1, segment_start(tokens, i + 1, high))
        before = [p for p in phases if begun <= p.index < i and not _passed_through(tokens, p.index)]
        after = [p for p in phases if i < p.index < high]
        subject = before[-1] if before else course.carried if verb == "discard" and not after else None
        noun = _follows_its_thing(tokens, i, verb, begun)
        if verb in ("wash", "extract", "dry") and not noun:
            adding.brought_in(course, tokens, begun, i)
        made = len(course.ops)
        begun = _handle(course, Clause(tokens, i, verb, begun, high, subject, before, after, noun))
        if verb in _MUST_MAKE and len(course.ops) == made and not _told_of(tokens, i, high):
            course.silent.append((course.number, tokens[i].start, tokens[max(i, min(high, i + 8) - 1)].end))
        while verb in ("add", "quench", "pour") and (on := _goes_on_at(tokens, begun, high)) >= 0:
            begun = max(on + 1, _handle(course, Clause(tokens, on, verb, on, high, None, [], [], False)))


# Verbs of which a step must come, or else the reader is told.
_MUST_MAKE = frozenset({"extract", "back-extract", "dilute", "dissolve", "quench", "pour", "partition", "transfer"})


def _told_of(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether what follows a verb names neither a solution nor a solvent with an amount: nothing is lost."""
    after = tokens[i + 1 : high]
    named = any(t.has("solution", "row", "solvent") and not t.has("layer") for t in after)
    return not (named and any(t.has("ml") for t in after))


def _goes_on_at(tokens: Sequence[Token], low: int, high: int) -> int:
    """Return where "then" goes on with another solution for the same verb, or -1: "add water, then NaOH"."""
    for k in range(low, high):
        if tokens[k].low in ("then", "and then", "followed by") and any(
            t.has("solution", "row", "desiccant") for t in tokens[k + 1 : min(high, k + 6)]
        ):
            return k
    return -1


_AFTER_A_LIST = frozenset({"filter", "concentrate", "dry", "vent", "combine", "rinse"})
# After these a solution that stands before is what the flask is thinned with: "then 30 mL water, extract with ether".
_THINNED = frozenset({"extract", "separate", "stir", "wait"})
_PLAIN = trade.words("the a an some and then anh anhydrous solid of over again finally next first with")


def _leading_list(course: Course, tokens: list[Token], i: int, verb: str) -> None:
    """Read what a note names without a verb before one that it does not belong to: "brine, MgSO4, filter"."""
    lead = tokens[:i]
    while lead and (lead[-1].low in (",", ";", "-", "/") or lead[-1].has("conj")):
        lead = lead[:-1]
    thinned = verb in _THINNED and any(t.has("ml") for t in lead)
    shaken = tokens[i].low in ("shake", "shaken", "swirl") and (i + 1 == len(tokens) or tokens[i + 1].low in (",", ";"))
    shaken |= verb in ("keep", "discard") and any(t.has("ml") for t in lead)
    if (verb not in _AFTER_A_LIST and not thinned and not shaken) or not lead or (verb == "dry" and len(lead) == i):
        return
    if not any(t.has("solution", "row", "desiccant") for t in lead):
        return
    for token in lead:
        known = token.has("solution", "row", "desiccant", "solvent", "sat", "aqueous", "dil", "conc", "conj", "ml", "x")
        known = known or token.has("molar", "normal", "pct", "soln", "times", "each", "half", "cold", "anhydrous", "of")
        if not (known or token.number is not None or token.low in _PLAIN or not token.low.isalpha()):
            return
        if token.has("aux"):
            return
    lines, course.lines = course.lines, True
    made = len(course.ops)
    _verbless(course, lead)
    course.lines = lines
    if thinned:
        for op in course.ops[made:]:
            if op.action == "wash" and not op.reason:
                op.action, op.verb, op.weak = "dilute", "add", True
                op.notes = [n for n in op.notes if not n.startswith("read as")]


_NOUNS = frozenset(
    {"wash", "washes", "extraction", "extractions", "washed", "extract", "extracted", "shake", "back wash"}
)


def _follows_its_thing(tokens: Sequence[Token], i: int, verb: str, begun: int) -> bool:
    """Tell whether the word stands behind what it is done with: a water wash, ether extraction."""
    if verb not in ("wash", "extract") or i <= begun or tokens[i].low not in _NOUNS:
        return False
    k = named_before(tokens, i)
    if k < begun or not tokens[k].has("solution", "row", "solvent") or tokens[k].has("aux"):
        return False
    after = tokens[i + 1] if i + 1 < len(tokens) else None
    return after is None or not (after.has("with") and after.low in ("with", "w/", "w", "using"))


_MAKES: dict[str, Callable[[Course, Clause], int]] = {
    "wash": washing.wash,
    "extract": washing.extract,
    "back-extract": washing.extract,
    "partition": washing.partition,
    "rinse": washing.rinse,
    "dry": drying.dry,
    "pass": drying.passed_through,
    "pour": adding.pour,
    "quench": adding.quench,
    "dilute": adding.dilute,
    "dissolve": adding.dilute,
    "take": adding.dilute,
    "acidify": adding.set_ph,
    "basify": adding.set_ph,
    "neutralize": adding.set_ph,
    "adjust": adding.set_ph,
    "add": adding.add,
    "stir": adding.stir,
    "transfer": adding.transfer,
    "exchange": adding.exchange,
    "repeat": washing.repeat,
    "discard": keeping.discard,
    "drain": keeping.discard,
    "keep": keeping.keep,
    "separate": keeping.keep,
}
# After these verbs a list without a verb still goes on with the wash or extraction before.
_PASSING = frozenset({"stir", "cool", "wait", "vent", "check", "combine", "keep", "separate", "discard", "drain"})


def _handle(course: Course, clause: Clause) -> int:
    """Make of a verb what it is; return where the next one may begin."""
    tokens, i, verb, high, subject = clause.tokens, clause.i, clause.verb, clause.high, clause.subject
    token = tokens[i]
    if clause.before:
        course.carried = subject
    if verb in ("stir", "separate", "keep", "drain", "dry", "discard", "wash"):
        course.heard.add(course.number)
    if subject is not None and subject.kind in ("solid", "organic", "aqueous", "liquid", "top", "bottom"):
        course.target = "solid" if subject.kind == "solid" else "liquid"
    if verb not in _PASSING:
        course.verb = verb if verb in ("wash", "extract") else ""
    if make := _MAKES.get(verb):
        return make(course, clause)
    if verb == "filter":
        drying.filtered(course, clause)
    elif verb == "decant":
        if any(t.has("solid", "desiccant", "anhydrous") for t in tokens[i + 1 : high]):
            drying.filtered(course, clause)
            course.target = "liquid"
        elif course.ops and course.ops[-1].action == "dry" and subject is None:
            drying.filtered(course, clause)
        elif subject is not None and subject.kind in ("organic", "aqueous", "top", "bottom"):
            return keeping.keep(course, replace(clause, verb="keep" if subject.kind == "organic" else "separate"))
    elif verb == "concentrate":
        course.simple("concentrate", tokens, i, weak=True)
        course.target = ""
    elif (
        verb == "wait"
        and any(t.low == "over" for t in tokens[i:high])
        and (agent := next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None))
    ):
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
    elif verb in ("cool", "wait", "vent", "combine"):
        op = course.simple(verb, tokens, i, weak=True)
        rest = tokens[i + 1 : high]
        if (
            verb == "vent"
            and course.verb == "wash"
            and any(t.has("solution") for t in rest)
            and (any(t.has("ml", "sat", "x") for t in rest) or _listed(rest))
        ):
            # "(vent!), 10 mL brine", "venting, then brine": the list goes on.
            made = len(course.ops)
            stop = washing.wash(course, replace(clause, verb="wash", noun=False))
            if len(course.ops) > made:
                course.ops[made].start = next(
                    t.start for t in tokens[i + 1 :] if t.has("solution") or t.number is not None
                )
            return stop
        if verb == "combine":
            op.subject_solvent = next((p.solvent for p in clause.before + clause.after if p.solvent), "")
            op.subject = next((p.kind for p in clause.before + clause.after), "")
        op.names_layer = verb == "vent" or op.subject in ("organic", "aqueous", "layers", "top", "bottom", "liquid")
        if verb == "combine" and not op.names_layer and _mixes_reagents(tokens, i, high):
            op.action = "react"
    elif verb == "check":
        if course.ops and course.ops[-1].action == "check ph" and course.ops[-1].sentence == course.number:
            return i + 1
        op = course.simple("check ph", tokens, i, weak=True)
        if got := next(
            (a for k in range(i + 1, high) if (a := amount_at(tokens, k, high)) and a[1].ph is not None), None
        ):
            op.ph = got[1].ph
    elif verb == "odd" and token.low.startswith("decolo") and any(t.has("solution") for t in tokens[i + 1 : high]):
        return washing.wash(course, replace(clause, verb="wash", noun=False))
    elif verb == "react" and _destroys(tokens, i, high):
        return adding.stir(course, clause)
    elif verb in ("purify", "react", "odd"):
        course.simple(verb, tokens, i, weak=True)
        if verb == "purify":
            course.target = ""
    return i + 1


# What warming with a solution is for, where it belongs to the workup.
_ENDS = frozenset({"destroy", "decompose", "hydrolyse", "hydrolyze", "quench"})


def _destroys(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether something is warmed with a solution to destroy a leftover: "heated with ammonia to destroy the sulfate"."""
    said = tokens[i + 1 : i + 3]
    return any(t.low == "with" for t in said) and any(
        t.low.split()[-1] in _ENDS for t in tokens[i : min(high + 10, len(tokens))]
    )


# A list without a verb is no longer than this.
_LONG_LIST = 45


def _listed(tokens: Sequence[Token]) -> bool:
    """Tell whether a solution stands as the next thing of a list, and not as what something was done with."""
    return any(t.has("solution") and before.low in (",", ";", "then", "and") for before, t in pairwise(tokens))


# "The DMF goes in the water": told, not done. "Transfer to the funnel": handling without a consequence.
_TELLS = trade.words("goes go stays stay remains remain think hopefully should belongs contains contain")
_HANDLING = trade.words("transfer transferred funnel put place placed label goggles gloves hood weigh weighed yield")
_SLOWLY = trade.words("dropwise slowly carefully portionwise cautiously")


def _verbless(course: Course, tokens: list[Token]) -> None:
    """Read a line or sentence without a verb: it goes on with the verb before, or names what is used."""
    if len(tokens) > _LONG_LIST:
        return
    phases = layers_in(tokens, set())
    items, shared, _stop = things_in(tokens, 0, len(tokens), phases)
    goes_on = (
        tokens[0].has("conj")
        or tokens[0].low in ("followed", "with", "then", "next", "finally")
        or tokens[0].has("with")
    )
    if any(t.has("aux") or t.low in _TELLS for t in tokens) or not (goes_on or course.lines):
        if not any(t.has("ml") for t in tokens):
            course.heard.add(course.number)
        return
    if any(t.low in _HANDLING for t in tokens) and not items:
        course.heard.add(course.number)
        return
    last = course.ops[-1] if course.ops else None
    if last is None and not course.lines:
        return
    items = course.join(items, tokens)
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
    if wet and ph is not None and reaches and not names_buffer:
        # "6 M NaOH to pH 13": set, not washed with.
        op = course.from_thing("set ph", wet[0], Amount(), wet[0].start)
        op.ph, op.weak, op.verb, op.names_layer = ph, True, "adjust", True
        op.end = max([op.end, *(t.end for t in tokens if t.number == ph)])
        course.ops.append(op)
        return
    organic = [x for x in items if x.kinds.get("solvent") and not x.kinds.get("solution")]
    if (
        len(items) == 2
        and len(organic) == 1
        and any(t.low == "/" for t in tokens)
        and not items[0].unknown | items[1].unknown
    ):
        op = course.from_thing("dilute", next(x for x in items if x is not organic[0]), shared, items[0].start)
        op.end, op.solvent, op.names_layer = items[-1].end, organic[0].kinds["solvent"], True
        op.notes.append("read as partitioned between the two")
        course.ops.append(op)
        return
    slowly = any(t.low in _SLOWLY for t in tokens) and not any(o.action in ("wash", "extract") for o in course.ops)
    for item in items:
        if item.unknown:
            op = course.from_thing("wash", item, shared)
            op.weak = True
            course.ops.append(op)
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
            op = course.from_thing("extract", item, shared)
            op.notes.append("read as an extraction")
            op.names_layer = True
        else:
            continue
        course.ops.append(op)


def _mixes_reagents(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether what is combined is a reaction being set up: combined with 3 g of imidazole, combined in DMF."""
    after = tokens[i + 1 : high]
    return bool(after) and after[0].low in ("with", "in") and any(t.number is not None for t in tokens)


def _passed_through(tokens: Sequence[Token], index: int) -> bool:
    """Tell whether a solid is only what a liquid is filtered through."""
    return any(t.low == "through" for t in tokens[max(0, index - 4) : index])
