"""What depends on the order of the steps: evaporate or concentrate, the layer kept, a wash that takes the product up."""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.records import replace
from washlore.knowledge.rows import Solution, table
from washlore.rules.proposal import ReadStep

from .adding import AFTER
from .course import Op

# No step depends on one further away than this; it bounds the time that a very long text takes.
_FAR = 30


# Said of a solvent that water is washed with, until later words name the organic layer.
WATER_WASHED = "a wash of the aqueous layer: the aqueous layer is kept"
_BOTH = frozenset({"wash", "extract", "take up"})


def settle_operations(steps: list[Op], around: list[Op]) -> None:
    """Settle what depends on the order: evaporate or concentrate, the layer kept, washes that take the product up."""
    _name_first(steps)
    _parted_after(steps, around)
    begun = False
    for op in steps:
        if op.action == "concentrate" and not begun:
            op.action = "evaporate"
        if op.action in ("wash", "extract", "take up", "dilute", "dry", "quench", "set ph"):
            begun = True
    for k, op in enumerate(steps):
        later = steps[k + 1 : k + 1 + _FAR]
        if op.action == "take up" and op.verb in ("extract", "back-extract"):
            # An aqueous extract that nobody sets free again was a wash.
            freed = next((s for s in later if s.action in ("set ph", "dry", "concentrate")), None)
            again = any(s.action == "extract" for s in later)
            if (freed is None or freed.action != "set ph") and not again:
                op.action = "wash"
                op.notes = [n for n in op.notes if n != "aqueous layer kept"]
        elif op.action == "wash" and op.solution:
            row = table(Solution).get(op.solution)
            nxt = next(
                (
                    s
                    for s in later
                    if s.action not in ("wash", "combine", "cool", "wait", "vent", "check ph", "discard")
                ),
                None,
            )
            if (
                row is not None
                and row.acts_as in ("acid", "base")
                and nxt is not None
                and nxt.action == "set ph"
                and nxt.subject == "aqueous"
            ) and any(s.action == "extract" for s in later):
                op.action = "take up"
    for k in range(len(steps) - 2, -1, -1):
        # Nobody dries a solid over magnesium sulfate, nor speaks of its organic layer: that was a liquid after all.
        op, following = steps[k], steps[k + 1]
        if op.action == "rinse" and op.solution:
            liquid = following.desiccant in ("mgso4", "na2so4", "caso4") or following.subject == "organic"
            if (following.action == "wash" and following.verb == "of a liquid") or (
                following.action in ("dry", "wash") and liquid
            ):
                op.action, op.verb = "wash", "of a liquid"
    for k, op in enumerate(steps):
        later = steps[k + 1 : k + 1 + _FAR]
        if (
            op.action == "extract"
            and WATER_WASHED in op.notes
            and not any(s.action in ("extract", "set ph") for s in later)
        ):
            op.phase, op.notes = "", [n for n in op.notes if n != WATER_WASHED]  # nothing comes of the water
    placed = {id(op): j for j, op in enumerate(around)}
    for op in steps:
        # "Wash with base; keep the organic layer", after a solid was filtered off: nobody keeps a layer of a solid.
        said = next((s for s in around[placed[id(op)] + 1 :] if s.action != "vent"), None)
        if op.action == "rinse" and op.solution and said and said.action == "layers" and said.subject == "organic":
            op.action, op.phase, op.verb = "wash", "organic", "of a liquid"
    for k, op in enumerate(steps):
        if (
            op.action == "filter"
            and k
            and next(
                (s.action for s in reversed(steps[max(0, k - _FAR) : k]) if s.action in ("dry", "wash", "extract")), ""
            )
            == "dry"
        ):
            op.action = "filter off desiccant"
    for k, op in enumerate(steps):
        # Nobody rinses a drying agent with water: what is washed then is the filtrate.
        if op.action == "rinse" and op.solution and k and steps[k - 1].action in ("filter off desiccant", "wash"):
            op.action = "wash"
    for op in steps:
        presumed = WATER_WASHED in op.notes
        if op.action not in _BOTH or (op.phase and not presumed) or op.layer:
            continue
        # The next words that name a layer say which was gone on with.
        for other in around[placed[id(op)] + 1 : placed[id(op)] + 1 + _FAR]:
            if other.subject in ("organic", "aqueous") and other.action in (
                "dry",
                "wash",
                "extract",
                "layers",
                "combine",
                "set ph",
                "concentrate",
                "take up",
            ):
                onward = other.action in ("set ph", "wash", "dry", "combine")
                if (op.action == "wash" and other.subject == "organic") or (
                    op.action == "take up" and other.subject == "aqueous"
                ):
                    op.phase = other.subject
                elif op.action == "extract" and onward and (other.subject == "organic" or other.action == "set ph"):
                    op.phase = other.subject
                    op.notes = [n for n in op.notes if n != WATER_WASHED]
                break
            if other.action in ("extract", "set ph", "quench"):
                break
        if op.phase:
            op.notes = [n for n in op.notes if n != f"{op.phase} layer kept"]  # said, not assumed
        else:
            kept = "aqueous" if op.action == "take up" else "organic"
            note = f"{kept} layer kept"
            if note not in op.notes:
                op.notes.append(note)


_AS_NOUN = frozenset({"evaporation", "concentration", "removal", "evaporating", "concentrating"})


def _name_first(steps: list[Op]) -> None:
    """Put in order what is named before what it follows: "evaporation of the dried layer", a quench told before how."""
    for k in range(len(steps) - 1, 0, -1):
        first, second = steps[k - 1], steps[k]
        if (
            first.action == "concentrate"
            and second.action == "dry"
            and first.sentence == second.sentence
            and first.verb.split()[0] in _AS_NOUN
        ):
            steps[k - 1], steps[k] = second, first
        bare = first.action == "quench" and not (first.solution or first.solvent or first.reason)
        if not bare:
            continue
        # "LAH quench: cool, dilute with ether; 1 mL water": how it is done may come after what leads up to it.
        how = next((s for s in steps[k:] if s.action not in ("cool", "wait", "dilute") or s.solution), second)
        if how.action in ("quench", "set ph") and how.sentence - first.sentence <= 1:
            if how is second and how.sentence == first.sentence:
                how.start = min(first.start, how.start)
            del steps[k - 1]
    for k in range(1, len(steps)):
        if AFTER in steps[k].notes:
            steps[k].notes.remove(AFTER)
            if steps[k - 1].sentence == steps[k].sentence and steps[k - 1].action in ("extract", "wash"):
                steps[k - 1], steps[k] = steps[k], steps[k - 1]
    had = False
    for op in steps:
        # "Add HCl. Shake. Keep the organic layer." is a wash, once there is an organic layer.
        if (
            had
            and op.action == "dilute"
            and op.verb == "add"
            and op.solution
            and not op.solvent
            and (op.phase == "organic" or op.subject in ("organic", "top", "bottom"))
        ):
            op.action = "wash"
        had |= op.action in ("wash", "extract", "dilute")


# What does not part the layers, nor bring anything in.
_MEANWHILE = frozenset({"vent", "wait", "cool", "check ph", "stir"})


def _parted_after(steps: Sequence[Op], around: Sequence[Op]) -> None:
    """Read "charge citric acid, settle, drain the lower layer" as a wash, once there is an organic layer without water."""
    placed = {id(op): j for j, op in enumerate(around)}
    alone = False  # an organic layer, its water run off
    for op in steps:
        onward = around[placed[id(op)] + 1 : placed[id(op)] + 1 + _FAR]
        after = next((o for o in onward if o.action not in _MEANWHILE), None)
        parted = bool(op.layer or op.phase or op.subject == "organic") or (
            after is not None and after.action in ("layers", "discard")
        )
        if op.action == "dilute" and op.solution and not op.solvent and op.verb in ("add", *_CHARGED):
            if alone and parted and op.phase != "aqueous":
                op.action = "wash"
            alone = parted and op.phase != "aqueous"
        elif op.action in ("wash", "extract"):
            alone = op.phase != "aqueous"
        elif op.action in ("dilute", "quench", "set ph", "take up"):
            alone = (bool(op.solvent) and not op.solution) or parted


_CHARGED = frozenset({"charge", "charged", "adding", "added", "addition", "introduced"})


def settle_rows(steps: Sequence[ReadStep]) -> tuple[ReadStep, ...]:
    """Settle in the rows of a table what depends on their order."""
    settled: list[ReadStep] = []
    begun = dried = False
    for step in steps:
        if step.action in ("filter", "filter off desiccant"):
            step = replace(step, action="filter off desiccant" if dried else "filter")
        elif step.action in ("concentrate", "evaporate"):
            step = replace(step, action="concentrate" if begun else "evaporate")
        begun |= step.action in ("wash", "extract", "take up", "dilute", "dry", "quench", "set ph")
        dried = step.action == "dry" or (dried and step.action not in ("wash", "extract", "take up"))
        settled.append(step)
    return tuple(settled)
