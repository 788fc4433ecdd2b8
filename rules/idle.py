"""Whether a wash has anything to do: the one criterion by which a plan is made and by which a written one is judged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Solution, table
from washlore.rules.species import Sheet

# A wash that moves less than this share of the product's amount moves nothing; a trace is this share of the target.
IDLE_SHARE, TRACE = 0.01, 0.1
# A planner drops what comes near to that, so that no rounding makes the two differ.
NEARLY = 2.0
# Water this acid or basic has met acid or base; a contact this acid leaves acid in the layer.
ACID_PH, BASE_PH, STRONGLY_ACID_PH = 6.5, 7.5, 3.0
STRONG_ACID_PKA = 2.0
# A solution reaches an acid no more than this above its pH, or a base this below.
REACH = 1.0


class Natures:
    """What each component is where it matters for a wash, and the pKa that decides; from facts ``Ionises`` and ``Behaviour``."""

    def __init__(self, ionises: Iterable[Any], behaviour: Iterable[Any]) -> None:
        self.pkas = {(fact["component"], fact["kind"]): float(fact["pka"]) for fact in ionises}
        self.kinds: dict[str, set[str]] = {}
        for fact in behaviour:
            self.kinds.setdefault(fact["component"], set()).add(fact["kind"])

    def kind(self, component: str) -> str:
        """Return amphoteric, acid, base, weak acid, weak base or other."""
        kinds = self.kinds.get(component, set())
        return next((k for k in ("amphoteric", "acid", "base", "weak acid", "weak base") if k in kinds), "other")

    def pka(self, component: str) -> float:
        """Return the pKa that decides a component's layer."""
        return self.pkas.get((component, "base" if "base" in self.kind(component) else "acid"), 7.0)


@dataclass(frozen=True)
class Met:
    """One step of a plan: what was with the product before and after (shares by component id), and what met it.

    ``phs`` has the pH of each contact, ``stripped`` the components taken off; ``binds``: the solution binds or destroys some.
    ``did`` is ``wash``, ``quench``, ``pour`` (a solution comes into the flask) or anything else.
    """

    did: str
    solution: str
    before: Mapping[str, float]
    after: Mapping[str, float]
    phs: tuple[float, ...] = ()
    stripped: tuple[str, ...] = ()
    binds: bool = False


def idle_washes(
    mets: Sequence[Met],
    natures: Natures,
    amounts_mmol: Mapping[str, float],
    numbers: Sheet,
    target: float,
    nearly: float = 1.0,
) -> list[int]:
    """Return the places of the washes that have nothing to do; ``nearly`` times the thresholds count as nothing.

    A wash has something to do where it moves or binds something, where something that it takes is there, where it ends an
    acid (or a base on an acid product) that came before, where it follows a quench of its own side, or where it makes sure
    of what the rotary evaporator was to take. The first of all meets the ions of the flask.
    """
    others = [c for c in amounts_mmol if c != "product"]
    product_mmol = amounts_mmol["product"]
    ions = any(numbers.strong_of.values()) or bool(numbers.weak_mmol)
    acidic_product = natures.kind("product") in ("acid", "weak acid", "amphoteric")
    strong_acid = any((natures.pkas.get((c, "acid"), 14.0)) < STRONG_ACID_PKA for c in others)
    seen: set[str] = set()
    poured: set[str] = set()
    unsure: dict[str, set[str]] = {"acid": set(), "base": set()}
    based = False
    found = []
    for place, met in enumerate(mets):
        for side in unsure:
            unsure[side] |= {c for c in met.stripped if opposite(side) in natures.kind(c)}
        row = table(Solution).get(met.solution)
        if met.did != "wash" or not met.phs or row is None:
            if met.did in ("quench", "pour") and row is not None:
                own = set(sides(row)) or {"neutral"}
                seen |= own
                poured |= own if met.did == "quench" else set()
            if met.phs:
                # The layer has been over acid, whatever was poured, or at least over water.
                seen.add("acid" if min(met.phs) < STRONGLY_ACID_PH else "neutral")
            continue
        own = set(sides(row))
        reach = {c for c in others if not any(out_of_reach(natures, side, row.ph, c) for side in own)}
        moved = sum((met.before[c] - met.after[c]) * amounts_mmol[c] for c in reach)
        there = any(
            opposite(side) in natures.kind(c) and met.before[c] > nearly * TRACE * target for c in reach for side in own
        )
        busy = (
            row.acts_as in ("neutral", "salt")
            or met.binds
            or moved >= nearly * IDLE_SHARE * product_mmol
            or there
            or ("base" in own and ("acid" in seen or (strong_acid and not based)))
            or ("acid" in own and "base" in seen and acidic_product)
            or (not seen and ions)
            # A quench is spent on what it destroys; a fresh portion makes sure.
            or any(side in poured and opposite(side) in natures.kind(c) for side in own for c in others)
            or any(unsure[side] & reach for side in own)
        )
        if not busy and others:
            found.append(place)
        seen |= own or {"neutral"}
        if met.phs[0] < STRONGLY_ACID_PH:
            seen.add("acid")
        if met.phs[-1] < ACID_PH:
            unsure["acid"].clear()
        if met.phs[-1] > BASE_PH:
            unsure["base"].clear()
            based = True
    return found


def sides(row: Solution) -> tuple[str, ...]:
    """Return what a solution serves as: acid, base, or both where it is a buffer near pH 7."""
    if row.ph < ACID_PH:
        return ("acid",)
    if row.ph > BASE_PH:
        return ("base",)
    return ("acid", "base") if row.acts_as == "buffer" else ()


def opposite(side: str) -> str:
    """Return what an acid wash takes, or a base wash."""
    return "base" if side == "acid" else "acid"


def out_of_reach(natures: Natures, side: str, ph: float, component: str) -> bool:
    """Tell whether a component is an acid too weak for a base of this pH, or a base for an acid: bicarbonate and phenol."""
    if component == "product" or opposite(side) not in natures.kind(component):
        return False
    beyond = ph - natures.pka(component)
    return (beyond if side == "base" else -beyond) < -REACH
