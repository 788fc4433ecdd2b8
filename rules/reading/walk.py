"""The walk through a text: each sentence, each verb in it, and what the verb makes of its phrase."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from washlore.knowledge.records import replace

from . import adding, drying, keeping, washing
from .amounts import amount_at
from .asides import not_done
from .characters import Token
from .course import GOES_FIRST, Clause, Course
from .layers import layers_in
from .lists import BEFORE_A_LIST, leading_list, listed_next, trailing_list, verbless, workup_listed
from .things import segment_start
from .verbs import is_noun, named_before, verbs_in


def walk(text: str) -> Course:
    """Return the course of a whole text, with every operation in it."""
    course = Course(text)
    for number, tokens in enumerate(course.sentences):
        course.number = number
        _sentence(course, tokens)
    return course


def _sentence(course: Course, tokens: list[Token]) -> None:
    if tokens[0].low in ("if", "should", "in case") and any(t.low in ("emulsion", "emulsions") for t in tokens[1:8]):
        course.heard.add(course.number)  # what is done only if layers do not part
        return
    if tokens[0].low in ("do", "perform") and len(tokens) > 2 and tokens[1].low in ("this", "it", "that", "so"):
        washing.done_in_all(course, tokens)
        return
    verbs = verbs_in(tokens)
    if not verbs:
        verbless(course, tokens)
        return
    verbs = [(i, verb) for i, verb in verbs if not _is_an_extract(tokens, i)]
    if not verbs:
        course.heard.add(course.number)
        return
    phases = layers_in(tokens, {i for i, _ in verbs})
    leading_list(course, tokens, *verbs[0])
    course.carried = None
    begun = 0
    for place, (i, verb) in enumerate(verbs):
        if i < begun:
            continue  # an addition that the verb before has told of
        if (stop := not_done(tokens, i)) > 0:
            begun = stop
            course.heard.add(course.number)
            continue
        if listed := workup_listed(tokens, i):
            lines, course.lines = course.lines, True
            verbless(course, listed)
            course.lines = lines
            begun = i + 2 + len(listed)
            continue
        high = verbs[place + 1][0] if place + 1 < len(verbs) else len(tokens)
        if place + 1 < len(verbs) and is_noun(tokens, high, verbs[place + 1][1]):
            high = max(i + 1, segment_start(tokens, i + 1, high))
        before = [p for p in phases if begun <= p.index < i and not _passed_through(tokens, p.index)]
        after = [p for p in phases if i < p.index < high]
        subject = before[-1] if before else course.carried if verb == "discard" and not after else None
        noun = _follows_its_thing(tokens, i, verb, begun)
        stirred = tokens[i].low.startswith(("stir", "agit")) and any(t.has("solution") for t in tokens[i + 1 : high])
        if (verb in ("wash", "extract", "dry") or stirred) and not noun:
            adding.brought_in(course, tokens, begun, i)
        made = len(course.ops)
        begun = _handle(course, Clause(tokens, i, verb, begun, high, subject, before, after, noun))
        if verb in _MUST_MAKE and len(course.ops) == made and not _told_of(tokens, i, high):
            course.silent.append((course.number, tokens[i].start, tokens[max(i, min(high, i + 8) - 1)].end))
        while verb in ("add", "quench", "pour") and (on := _goes_on_at(tokens, begun, high)) >= 0:
            begun = max(on + 1, _handle(course, Clause(tokens, on, verb, on, high, None, [], [], False)))
        added = high < len(tokens) and tokens[high].low in (
            "added",
            "charged",
            "introduced",
        )  # what it names stands before it
        if verb in BEFORE_A_LIST and not added:
            trailing_list(course, verb, tokens[begun:high], course.ops[made:])


_WHOSE = frozenset({"the", "each", "this", "that", "combined", "your", "first", "second", "saved"})


def _is_an_extract(tokens: Sequence[Token], i: int) -> bool:
    """Tell whether "extract" is what was extracted: the HCl extract, the combined ether extract."""
    if tokens[i].low != "extract" or i < 2 or not tokens[i - 1].has("solution", "row", "solvent", "acidic", "basic"):
        return False
    return any(t.low in _WHOSE for t in tokens[max(0, i - 3) : i - 1])


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
        elif subject is None and next((o.action for o in reversed(course.ops) if o.action != "wait"), "") == "dry":
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
            and (any(t.has("ml", "sat", "x") for t in rest) or listed_next(rest))
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
    elif verb == "salt":
        return keeping.salted(course, clause)
    elif verb == "purify" and token.low.startswith("distil") and course.lies_dry():
        op = course.simple("concentrate", tokens, i, weak=True)
        op.notes.append(GOES_FIRST)  # "dry, filter, distil"
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


def _mixes_reagents(tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether what is combined is a reaction being set up: combined with 3 g of imidazole, combined in DMF."""
    after = tokens[i + 1 : high]
    return bool(after) and after[0].low in ("with", "in") and any(t.number is not None for t in tokens)


def _passed_through(tokens: Sequence[Token], index: int) -> bool:
    """Tell whether a solid is only what a liquid is filtered through."""
    return any(t.low == "through" for t in tokens[max(0, index - 4) : index])
