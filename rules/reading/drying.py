"""Drying and filtering."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from .characters import Token
from .course import Clause, Course, Op
from .things import Item, things_in


def dry(course: Course, clause: Clause) -> int:
    """Read a drying, or the brine that people "dry" with."""
    tokens, i, begun, high = clause.tokens, clause.i, clause.begun, clause.high
    subject, after = clause.subject, clause.after
    token = tokens[i]
    items, shared, stop = things_in(tokens, i + 1, high, after)
    agents = [x for x in items if x.kinds.get("desiccant") is not None]
    lead = [k for k in range(max(begun, i - 3), i) if tokens[k].has("desiccant")]
    if not agents and lead and not (i + 1 < len(tokens) and tokens[i - 1].has("aux")):
        k = lead[-1]
        op = course.simple("dry", tokens, i)
        op.start, op.desiccant = tokens[k].start, tokens[k].kinds["desiccant"]
        op.names_layer = True
        return stop
    over = next((k for k in range(i + 1, high) if tokens[k].low in ("over", "with", "on", "using")), high)
    told = next((t for t in tokens[over:high] if t.kinds.get("desiccant")), None)
    if told is not None and not any(x.kinds.get("desiccant") is not None or x.kinds.get("solution") for x in items):
        # "Dry the ethyl acetate over sodium sulfate."
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = told.kinds["desiccant"], told.end, True
        course.target = "liquid"
        return high
    if agents and _in_desiccator(tokens, agents[0], high) and not (subject is not None and subject.kind == "organic"):
        return stop  # a solid that stands over it
    if agents:
        for item in items[: items.index(agents[0])]:
            if item.kinds.get("solution") == "brine":
                first = course.from_thing("wash", item, shared, token.start)
                first.notes.append("drying with brine is read as a wash with it")
                first.names_layer = True
                course.ops.append(first)
        op = course.simple("dry", tokens, i)
        if course.ops[-2:-1] and course.ops[-2].end > op.start and course.ops[-2].action == "wash":
            op.start = agents[0].start
        op.end = agents[0].end
        op.desiccant = agents[0].kinds["desiccant"]
        if not op.desiccant:
            op.notes.append(f"{agents[0].low} is not among the drying agents of the tables")
        if len(agents) > 1:
            op.notes.append(f"{agents[1].low} is named besides")
            op.end = agents[1].end
        op.names_layer = op.desiccant != ""
        op.weak = False
        if subject is not None:
            op.subject, op.subject_solvent = subject.kind, subject.solvent
        if course.target == "solid" and op.desiccant not in ("mgso4", "na2so4", "sieves_3a", "sieves_4a"):
            op.weak = True
        course.target = "liquid"
        return stop
    salts = [x for x in items if x.kinds.get("solution") in ("brine",)]
    if salts:
        for item in salts:
            op = course.from_thing("wash", item, shared, token.start)
            op.notes.append("drying with brine is read as a wash with it")
            op.names_layer = True
            course.ops.append(op)
        if agent := next((t for t in tokens[stop:high] if t.kinds.get("desiccant")), None):
            op = Op("dry", tokens[stop].start, agent.end, course.number, desiccant=agent.kinds["desiccant"])
            op.names_layer = True
            course.ops.append(op)
            return high
        return stop
    following = tokens[high] if high < len(tokens) else None
    onward = (
        following is not None and following.kinds.get("verb") in ("filter", "pass") and tokens[high - 1].low == "by"
    )
    if onward and (agent := next((t for t in tokens[high + 1 : high + 5] if t.kinds.get("desiccant")), None)):
        # "dried by filtration through sodium sulfate"
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
        course.target = "liquid"
        return tokens.index(agent) + 1
    azeotropic = any("azeo" in t.low for t in tokens[max(0, i - 3) : min(len(tokens), i + 8)])
    rest = tokens[i + 1 : high]
    azeotropic |= any(t.low.startswith("distil") for t in rest[:3]) and any(t.low == "water" for t in rest)
    op = course.simple("dry", tokens, i, weak=True)
    if azeotropic:
        op.desiccant = "toluene_azeotrope"
        op.weak = False
        return stop
    # A desiccator holds solids: what is said to be done to a layer is done in the flask.
    layer = subject is not None and subject.kind in ("organic", "liquid")
    airy = (
        any(t.has("vacuo") or t.low in ("°", "pump") for t in rest)
        or (any(t.low in ("phosphorus", "p2o5") for t in rest) and not layer)
        or token.low == "drying"
    )
    solid = course.target == "solid" or (subject is not None and subject.kind in ("solid", "residue"))
    if airy or solid:
        course.ops.remove(op)
        return stop
    unknown = [t for t in rest if t.has("with") and t.low in ("over", "with", "on", "using")]
    if unknown:
        end = next((k for k in range(i + 1, high) if tokens[k].low in (",", ";") or tokens[k].has("conj")), high)
        op.end = tokens[end - 1].end
        op.notes.append("the drying agent is not known")
        op.names_layer = any(t.has("solid") or t.low in ("agent", "stuff", "desiccant") for t in tokens[i + 1 : end])
    else:
        op.notes.append("drying agent not given")
    return stop


# What stands in a desiccator; the others are put into a layer.
_STOOD_OVER = frozenset({"cacl2", "koh", "naoh_pellets"})


def _in_desiccator(tokens: Sequence[Token], agent: Item, high: int) -> bool:
    """Tell whether a drying agent is one that a solid stands over: in a desiccator, or calcium chloride under vacuum."""
    where = list(takewhile(lambda t: t.low not in (",", ";") and not t.has("conj"), tokens[agent.last + 1 : high]))
    return any("desiccator" in t.low or "exsiccator" in t.low or "exsikkator" in t.low for t in where) or (
        agent.kinds.get("desiccant") in _STOOD_OVER
        and any("vac" in t.low or t.low in ("under reduced pressure", "at reduced pressure") for t in where)
    )


def passed_through(course: Course, clause: Clause) -> int:
    """Read what a solution is passed through."""
    tokens, i, high = clause.tokens, clause.i, clause.high
    agent = next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None)
    if agent is not None:
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
    else:
        op = course.simple("odd", tokens, i, weak=True)
        op.end = tokens[high - 1].end
    return i + 1


def filtered(course: Course, clause: Clause) -> None:
    """Read a filtration: of a drying agent, through one, or of a solid that is kept or thrown away."""
    tokens, i, high, after, subject = clause.tokens, clause.i, clause.high, clause.after, clause.subject
    agent = next((t for t in tokens[i + 1 : high] if t.kinds.get("desiccant")), None)
    if (
        agent is not None
        and any(t.low in ("through", "over") for t in tokens[i + 1 : high])
        and not any(op.action == "dry" for op in course.ops[-2:])
    ):
        op = course.simple("dry", tokens, i)
        op.desiccant, op.end, op.names_layer = agent.kinds["desiccant"], agent.end, True
        return
    op = course.simple("filter", tokens, i, weak=True)
    # What goes through Celite or a plug is the liquid.
    through = any(t.low == "through" for t in tokens[i + 1 : i + 3])
    liquid = (
        through
        or any(p.kind == "liquid" for p in after)
        or (subject is not None and subject.kind in ("organic", "aqueous"))
    )
    course.target = "liquid" if liquid else "solid"
    last = next((o for o in reversed(course.ops[:-1]) if o.action not in ("cool", "wait", "stir")), None)
    if last is not None and last.action in ("dry",):
        course.target = "solid"
        op.action = "filter off desiccant"
