"""Verbs with two layers: wash, extract, partition, rinse."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from washlore.knowledge.records import replace

from .amounts import Amount, count_of, repeats_at, whole
from .asides import RIDS
from .characters import Token
from .course import Clause, Course, Op
from .layers import Phase, miscibility, solvent_name
from .order import WATER_WASHED
from .things import Item, is_agent, segment_start, things_in
from .verbs import verb_at


def wash(course: Course, clause: Clause) -> int:
    """Read what a layer is washed with, one operation for each solution."""
    tokens, i, begun, high = clause.tokens, clause.i, clause.begun, clause.high
    subject, after, noun = clause.subject, clause.after, clause.noun
    token = tokens[i]
    last = course.ops[-1] if course.ops else None
    if (
        noun
        and last is not None
        and last.action == "wash"
        and any(t.low in ("same", "ditto") for t in tokens[i + 1 : i + 4])
    ):
        last.repeats += 1  # "second base wash: same"
        last.notes.append(f"repeated: {last.repeats} portions in all")
        course.heard.add(course.number)
        return high
    if noun:
        low = max(begun, segment_start(tokens, begun, i))
        items, shared, _ = things_in(tokens, low, i, [])
        extra, later, stop = things_in(tokens, i + 1, high, after)
        if items and not later.empty():
            items[-1].amount.take(later)
        if items and extra and len(items) == 1 and items[0].low in ("acid", "base") and tokens[i + 1].low in ("(", ":"):
            items = []  # "acid wash (1 M HCl)": the bracket says which
        items += extra
    elif i > begun + 1 and tokens[i - 1].low == "to" and tokens[i - 2].low == "used":
        # "1 M HCl was used to wash the layer"
        items, shared, _ = things_in(tokens, begun, i - 2, [])
        extra, _, stop = things_in(tokens, i + 1, high, after)
        items += [x for x in extra if x.kinds.get("solution")]
    else:
        items, shared, stop = things_in(tokens, i + 1, high, after)
        # "three times washed", "twice washed"
        if (times := _times_before(tokens, i)) and shared.repeats is None:
            shared.repeats = times
            again = next(
                (k for k, x in enumerate(items) if k and _anew(tokens[items[k - 1].last : x.first])), len(items)
            )
            for item in items[again:]:
                item.amount.repeats = item.amount.repeats or 1  # "twice washed with A, then with B"
        elif i and token.low in ("washes", "washings") and shared.repeats is None:
            # "two washes with 1 M HCl and one with water"
            for item in items[:1] if tokens[min(i + 1, len(tokens) - 1)].low != ":" else ():
                item.amount.repeats = item.amount.repeats or whole(count_of(tokens[i - 1]))
    objects = [p for p in after if p.index < stop]
    if subject is not None and subject.kind == "layers" and objects:
        subject = objects[0]
    subject = subject or (objects[0] if objects else None)
    if objects and objects[0].kind != "layers":
        course.target = "solid" if objects[0].kind == "solid" else "liquid"
    if items and not noun and (layer := _washed_layer(tokens, i, items)) is not None:
        items.pop(0)
        subject = subject or layer
        course.target = "liquid"
        if items:
            items[0].start = min(items[0].start, token.start)
    said = any(t.has("solid") or t.low in ("it", "them") for t in tokens[i + 1 : i + 3])
    if (
        course.target == "solid"
        and subject is None
        and not said
        and any(x.kinds.get("solution") == "brine" for x in items)
    ):
        course.target = "liquid"  # "Filter. Wash with KHSO4 and brine": nobody rinses a solid with brine
    shook = token.low in ("shake", "shaken", "shaking", "shook", "shaked")
    if shook and items and _is_a_layer(tokens, items[0]):
        return items[0].first  # "shaked, the water was at the bottom"
    if _washes_glass(tokens, begun, i):
        return stop
    if shook and any(x.kinds.get("solvent") and not x.kinds.get("solution") for x in items):
        op = course.liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=False)
        if op is not None:
            op.names_layer = True
            if op.solvent and not op.solution:
                op.action = "extract"
            else:
                op.notes.append("partitioned between the two")
        return stop
    items = [
        x
        for x in course.join(items, tokens)
        if x.unknown or x.kinds.get("solution") or x.kinds.get("row") or x.kinds.get("solvent") or is_agent(x)
    ]
    if not items:
        if shook:
            return stop
        if not _about_nothing(course, tokens, i, high):
            op = course.simple("wash", tokens, i)
            op.end = tokens[min(high, len(tokens)) - 1].end if high > i + 1 else token.end
            op.reason = "what it is washed with is not said or not known"
            op.weak = course.target == "solid"
        return stop
    dried = (
        high < len(tokens) and tokens[high - 1].low == "(" and tokens[high].low == "dry" and items[-1].last == high - 2
    )
    if dried and items[-1].kinds.get("desiccant") and len(items) > 1:
        stop = items.pop().first  # "then K2CO3 (dry)"
    agents: list[Item] = []
    while items and is_agent(items[-1]) and (len(items) > 1 or noun):
        agents.insert(0, items.pop())
    wet = [x for x in items if x.unknown or x.kinds.get("solution") or x.kinds.get("row")]
    first = True
    told = False
    for item in items:
        if not item.unknown and not (item.kinds.get("solution") or item.kinds.get("row")):
            op = course.from_thing("rinse", item, shared, token.start if first and not noun else None)
            if course.target == "solid":
                op.weak = True
            elif (subject is not None and subject.kind == "aqueous") or (
                not wet
                and course.target == "liquid"
                and (subject is None or subject.kind == "liquid")
                and course.last_aqueous()
            ):
                op.action, op.phase = "extract", "aqueous"
                op.notes.append(WATER_WASHED)
            elif course.target == "" and not wet:
                op.weak = True
            elif course.target == "liquid" and subject is not None and subject.kind == "organic" and not wet:
                op.action = "dilute"
        elif course.target == "solid":
            op = course.from_thing("rinse", item, shared, token.start if first and not noun else None)
            op.weak = True
        else:
            op = course.from_thing("wash", item, shared, token.start if first and not noun else None)
        op.verb = token.low
        if subject is not None:
            op.subject, op.subject_solvent = subject.kind if not told else "", subject.solvent
            told = True
        if course.target == "liquid" and op.action in ("wash", "extract"):
            op.names_layer = True
        course.ops.append(op)
        first = False
    for item in agents:
        op = Op("dry", item.start, item.end, course.number, desiccant=item.kinds["desiccant"], notes=["read as drying"])
        op.names_layer = True
        course.ops.append(op)
    return stop


def _is_a_layer(tokens: Sequence[Token], item: Item) -> bool:
    """Tell whether "the water" is what the next words are about, and nothing that is shaken with."""
    after = tokens[item.last + 1] if item.last + 1 < len(tokens) else None
    the = item.first > 0 and tokens[item.first - 1].low == "the"
    return the and not item.amount.sized() and after is not None and after.has("aux")


def _anew(between: Sequence[Token]) -> bool:
    """Tell whether what goes on is said anew: "then with", "and with"."""
    return any(t.has("conj") and after.has("with") for t, after in pairwise(between))


def _times_before(tokens: Sequence[Token], i: int) -> int:
    """Return how often, where that stands right before the verb (twice washed, three times washed), or 0."""
    for k in (i - 1, i - 2):
        if k >= 0 and (got := repeats_at(tokens, k, i)) is not None and got[0] == i:
            return got[1]
    return 0


_GLASS = frozenset({"flask", "funnel", "beaker", "glass", "glassware", "vessel", "cylinder", "reactor"})


def _washes_glass(tokens: Sequence[Token], begun: int, i: int) -> bool:
    """Tell whether glass is rinsed out; what is "washed out with water" is in the organic layer, unless it is the flask."""
    if i + 1 >= len(tokens) or tokens[i + 1].low not in ("into", "out", "from", "down"):
        return False
    with_it = tokens[i + 1].low == "out" and any(t.low == "with" for t in tokens[i + 2 : i + 7])
    return not with_it or any(t.low in _GLASS for t in (*tokens[begun:i], *tokens[i + 2 : i + 5]))


def _washed_layer(tokens: Sequence[Token], i: int, items: Sequence[Item]) -> Phase | None:
    """Return the layer where the first thing after the verb is what is washed, not what with: "wash the ether with"."""
    first = items[0]
    following = tokens[first.last + 1] if first.last + 1 < len(tokens) else None
    if not first.kinds.get("solvent") or first.kinds.get("solution") or following is None or first.first - i > 3:
        return None
    return (
        Phase("organic", first.kinds["solvent"], first.first, first.last)
        if following.low in ("with", "w/", "w")
        else None
    )


def _about_nothing(course: Course, tokens: Sequence[Token], i: int, high: int) -> bool:
    """Tell whether the word is no operation here: after washing, the washing liquid, washed crystals."""
    token = tokens[i]
    after = tokens[i + 1] if i + 1 < len(tokens) else None
    if token.low == "washing" and not (after is not None and after.has("with")):
        return True
    return course.target == "solid" and token.low == "washed" and not (after is not None and after.has("with"))


# A German verb that names its solvent.
_WITH_ETHER = ("ausethern", "ausgeethert")


def extract(course: Course, clause: Clause) -> int:
    """Read what an aqueous layer is extracted with, or what the product is taken up into."""
    tokens, i, verb, begun = clause.tokens, clause.i, clause.verb, clause.begun
    high, subject, after, noun = clause.high, clause.subject, clause.after, clause.noun
    token = tokens[i]
    if any(t.low == "between" for t in tokens[i + 1 : i + 4]):
        return partition(course, clause)
    if noun:
        low = max(
            begun,
            next(
                (k + 1 for k in range(i - 1, begun - 1, -1) if tokens[k].has("verb") and verb_at(tokens, k)),
                begun,
            ),
        )
        items, shared, _ = things_in(tokens, low, i, [])
        extra, later, stop = things_in(tokens, i + 1, high, after)
        if items and not later.empty():
            items[-1].amount.take(later)
        items += [x for x in extra if not x.kinds.get("solvent") or not items]
    else:
        items, shared, stop = things_in(tokens, i + 1, high, after)
        if (times := _times_before(tokens, i)) and shared.repeats is None:
            shared.repeats = times
    objects = [p for p in after if p.index < stop]
    subject = subject or (objects[0] if objects else None)
    if items and not noun:
        layer = _washed_layer(tokens, i, items)
        if layer is not None:
            items.pop(0)
            subject = subject or layer
    if token.low in _WITH_ETHER and not any(x.kinds.get("solvent") for x in items):
        course.ops.append(Op("extract", token.start, token.end, course.number, solvent="diethyl_ether"))
        op = course.ops[-1]
        op.volume, op.relative, op.repeats = shared.volume, shared.relative, shared.repeats or 1
        op.end, op.notes, op.verb, op.names_layer = max(op.end, shared.end), list(shared.notes), token.low, True
        return stop
    source = _source(tokens, i + 1, high)
    if source >= 0 and len(items) > 1:
        items = [x for x in items if x.first < source] or items
    solvents = [x for x in items if x.kinds.get("solvent")]
    waters = [x for x in items if not x.kinds.get("solvent") and (x.kinds.get("solution") or x.kinds.get("row"))]
    unknown = [x for x in items if x.unknown]
    start: int | None = None if noun else token.start
    made: list[Op] = []
    listed = [
        x
        for x in items
        if solvents
        and x.first > solvents[-1].first
        and "," in course.norm[solvents[-1].end : x.start]
        and not x.unknown
    ]
    waters = [x for x in waters if x not in listed]
    if solvents:
        together = len(solvents) > 1 and _mixed(course, tokens, solvents)
        for item in solvents[:1] if together else solvents:
            op = course.from_thing("extract", item, shared, start)
            start = None
            if together:
                best = min(solvents, key=lambda x: miscibility(x.kinds["solvent"]))
                op.solvent = best.kinds["solvent"]
                op.end = max(x.end for x in solvents)
                for x in solvents:
                    if x is not item and op.volume is None:
                        op.volume, op.repeats = x.amount.volume, x.amount.repeats or op.repeats
                others = ", ".join(solvent_name(x.kinds["solvent"]) for x in solvents if x is not best)
                if others:
                    op.notes.append(f"a mixture with {others} is read as {solvent_name(op.solvent)}")
                op.strength = ""
            made.append(op)
        if course.salted and made:
            made[0].start = min(made[0].start, course.salted[0])
            course.salted = None
        if token.has(RIDS) and not waters and not any(op.phase for op in made):
            for op in made:
                op.phase = "aqueous"  # what the solvent takes out is not wanted
                op.notes.append(WATER_WASHED)
        if waters and course.target != "solid":
            first, second = sorted((solvents[0], waters[0]), key=lambda x: x.start)
            between = course.norm[first.end : second.start]
            together = "and" in between or "/" in between
            made[-1].solution = course.from_thing("extract", waters[0], Amount()).solution if together else ""
    elif waters:
        before = course.ops[-1] if course.ops else None
        if (
            before is not None
            and before.solution
            and before.verb == "add"
            and before.sentence == course.number
            and all(x.kinds.get("solution") == "water" and not x.amount.sized() for x in waters)
        ):
            # "Add NaOH and extract the phenol into the water": the water is what was added.
            before.action, before.phase, before.weak, before.names_layer, before.verb = "take up", "", False, True, verb
            before.notes.append("aqueous layer kept")
            course.target = "liquid"
            return stop
        for item in waters:
            op = course.from_thing("take up", item, shared, start)
            op.notes.append("aqueous layer kept")
            start = None
            made.append(op)
    elif unknown:
        for item in unknown:
            op = course.from_thing("extract", item, shared, start)
            op.reason = "the solvent is not known"
            made.append(op)
    elif token.low not in ("extraction", "extractions", "extracting", "extracts"):
        # "Extract twice more": the solvent is the one before.
        last = next((op for op in reversed(course.ops) if op.action == "extract" and op.solvent), None)
        if last is not None and not shared.empty():
            op = course.simple("extract", tokens, i)
            op.solvent, op.repeats, op.volume, op.end = (
                last.solvent,
                shared.repeats or 1,
                shared.volume,
                max(token.end, shared.end),
            )
            op.notes.append(f"the solvent is the one before, {solvent_name(last.solvent)}")
            op.names_layer = True
        else:
            op = course.simple("extract", tokens, i)
            op.end = tokens[high - 1].end if high > i + 1 else token.end
            op.reason = "what it is extracted with is not said or not known"
        return stop
    for op in made:
        op.verb = verb
        op.names_layer = True
        if subject is not None:
            op.subject, op.subject_solvent = subject.kind, subject.solvent
    for item in listed:
        if is_agent(item):
            more = Op("dry", item.start, item.end, course.number, desiccant=item.kinds["desiccant"])
            more.notes.append("read as drying")
        elif item.kinds.get("solution") or item.kinds.get("row"):
            more = course.from_thing("wash", item, Amount())
            more.notes.append("read as a wash")
        else:
            continue
        more.names_layer = True
        made.append(more)
    course.ops += made
    if made:
        course.target = "liquid"
    return stop


def _source(tokens: Sequence[Token], low: int, high: int) -> int:
    return next((k for k in range(low, high) if tokens[k].low == "from"), -1)


def _mixed(course: Course, tokens: Sequence[Token], items: Sequence[Item]) -> bool:
    between = course.norm[items[0].end : items[-1].start].lower()
    if "then" in between or "follow" in between or "," in between:
        return False
    before = course.norm[max(0, items[0].start - 30) : items[0].start].lower()
    return (
        "mixture" in before
        or "%" in before
        or "in" in between.split()
        or any(c in between for c in "/:-+")
        or any(x.amount.ratio for x in items)
    )


def rinse(course: Course, clause: Clause) -> int:
    """Read what a solid or a drying agent is rinsed with."""
    tokens, i, high, subject, after = clause.tokens, clause.i, clause.high, clause.subject, clause.after
    items, shared, stop = things_in(tokens, i + 1, high, after)
    objects = [p for p in after if p.index < stop]
    agents = [x for x in items[1:] if is_agent(x)]
    items = [x for x in items if x.amount.sized() or not x.kinds.get("desiccant")] or items  # "rinse the MgSO4 with"
    glass = (
        i > 1 and tokens[i - 1].has("aux") and tokens[i - 2].low in _GLASS and tokens[clause.begun].low != "contents"
    )
    liquid = any(p.kind in ("organic", "aqueous") for p in ([subject] if subject else []) + objects)
    if liquid and any(x.kinds.get("solution") for x in items):
        course.target = "liquid"
        return wash(course, replace(clause, verb="wash"))
    wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
    if (
        wet
        and not objects
        and subject is None
        and course.target != "solid"
        and not glass
        and not any(op.action.startswith("filter") for op in course.ops[-1:])
    ):
        return wash(course, replace(clause, verb="wash"))
    if not items:
        course.simple("rinse", tokens, i, weak=True)
    for item in items[:1]:
        op = course.from_thing("rinse", item, shared, tokens[i].start)
        op.weak = True
        course.ops.append(op)
    for item in agents if items else ():
        op = Op("dry", item.start, item.end, course.number, desiccant=item.kinds["desiccant"], notes=["read as drying"])
        op.names_layer = True
        course.ops.append(op)  # "filter, rinse with ether, Na2SO4, evaporate"
    return stop


def partition(course: Course, clause: Clause) -> int:
    """Read between what something is partitioned."""
    tokens, i, high = clause.tokens, clause.i, clause.high
    items, shared, stop = things_in(tokens, i + 1, high, [])
    if not items:
        items, stop = (
            things_in(tokens, segment_start(tokens, clause.begun, i), i, [])[0],
            i + 1,
        )  # "EtOAc/water partition"
    op = course.liquid("dilute", tokens, i, [x for x in items if not x.unknown], shared, weak=False)
    if op is not None:
        op.start = min([op.start, *(x.start for x in items)])
        op.names_layer = True
        op.notes.append("partitioned between the two")
        return stop
    if clause.subject is not None and clause.subject.kind == "layers":
        course.simple("layers", tokens, i, weak=True).names_layer = True
    else:
        course.simple("dilute", tokens, i).reason = "between what it is partitioned is not known"
    return i + 1


def done_in_all(course: Course, tokens: Sequence[Token]) -> None:
    """Read "do this three times": what was done last, so often in all."""
    last = next((op for op in reversed(course.ops) if op.action in ("wash", "extract", "take up", "dilute")), None)
    _, shared, _ = things_in(tokens, 2, len(tokens), [])
    course.heard.add(course.number)
    if last is not None and not last.reason and (shared.repeats or 1) > last.repeats:
        last.repeats = shared.repeats or 1
        last.notes.append(f"repeated: {last.repeats} portions in all")


def repeat(course: Course, clause: Clause) -> int:
    """Read what is done once more: the same again, or the same with another solution."""
    tokens, i, high = clause.tokens, clause.i, clause.high
    last = next((op for op in reversed(course.ops) if op.action in ("wash", "extract", "take up", "dilute")), None)
    items, shared, stop = things_in(tokens, i + 1, high, clause.after)
    if (
        last is None
        or last.reason
        or any(t.low in ("step", "steps", "procedure", "from") for t in tokens[i + 1 : i + 5])
    ):
        op = course.simple("odd", tokens, i, weak=True)
        op.end = tokens[max(i, stop - 1)].end
        return max(stop, i + 1)
    noun = high < len(tokens) and tokens[high].low in ("wash", "washing", "extraction", "washes")
    if noun:
        # "Repeat the acid wash with a fresh 20 mL portion"
        end = next((k for k in range(high + 1, len(tokens)) if verb_at(tokens, k)), len(tokens))
        extra, more, _ = things_in(tokens, high + 1, end, clause.after)
        items, stop = extra, end
        shared.take(more)
    if any(x.kinds.get("solution") or x.kinds.get("solvent") or x.unknown for x in items):
        return (extract if last.action == "extract" else wash)(
            course, replace(clause, verb="extract" if last.action == "extract" else "wash")
        )
    if clause.subject is not None and clause.subject.kind == "residue":
        return i + 1
    just_added = last.action == "dilute" and last.solution and last.sentence == course.number
    if just_added and shared.repeats is None and any(op.action in ("layers", "discard", "vent") for op in course.ops):
        # "Add 10 mL of bicarbonate to the funnel and repeat": the shaking and parting before.
        last.subject = last.subject or "organic"
        course.heard.add(course.number)
        return max(stop, i + 1)
    times = shared.repeats or 1
    last.repeats += times
    last.notes.append(f"repeated: {last.repeats} portions in all")
    course.heard.add(course.number)
    return max(stop, i + 1)
