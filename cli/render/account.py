"""The part of a plan's record that follows the ledger: every contact, every stream, what goes to waste.

A stream is what flows between two steps, or from a step into a flask that is kept or thrown away. Streams make a tree
that starts at the mixture; ``from_step`` and ``to_step`` are its edges.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from washlore.knowledge.arrays import np
from washlore.knowledge.rows import Desiccant, Solvent, table
from washlore.rules.ledger import band
from washlore.rules.proposal import ELSEWHERE
from washlore.rules.steps import AQUEOUS_WASTE, CRUDE, MIXTURE, ORGANIC_WASTE

if TYPE_CHECKING:
    from washlore.rules.contact import Contact
    from washlore.rules.plan import Plan, PlanStep
    from washlore.rules.species import Array

# Shares below this are nowhere told.
LEAST_SHARE = 0.0005
# In these steps what is fresh in each portion is put together, where it is what is kept.
POOLED = {"take up": "aqueous", "extract": "organic", "neutralise": "organic"}
# Beyond these an aqueous waste is called acidic or basic.
ACIDIC, BASIC = 4.0, 10.0


def contacts(plan: Plan) -> list[dict[str, Any]]:
    """Return every contact of two layers, in order: volumes in mL, densities in g/mL, gas in mL at 25 C, shares 0 to 1."""
    book = plan.ledger
    made = []
    pooled: Array | None = None
    for contact in book.contacts:
        step = plan.steps[contact.step - 1]
        keeps = step.phase_kept or "organic"
        kept = contact.organic_mmol if keeps == "organic" else contact.aqueous_mmol
        if step.also and step.action == "extract" and contact.portion == 1:
            pooled, kept = None, kept + book.after[step.number - 2]  # fresh solvent joins the layer that is there
        if POOLED.get(step.action) == keeps:
            pooled = kept if contact.portion == 1 or pooled is None else pooled + kept
            kept = pooled
        made.append(_contact(plan, contact, step, keeps, kept))
    return made


def _contact(plan: Plan, contact: Contact, step: PlanStep, kept: str, mmol: Array) -> dict[str, Any]:
    book = plan.ledger
    organic_below = contact.organic_density > contact.aqueous_density
    return {
        "step": contact.step,
        "portion": contact.portion,
        "kept": kept,
        "ph": _range(contact.ph, 2),
        "organic": {
            "layer": "bottom" if organic_below else "top",
            "fate": "waste" if step.organic_to == ORGANIC_WASTE else "goes on",
            "volume_ml": figure(contact.organic_ml),
            "density_g_ml": figure(contact.organic_density),
        },
        "aqueous": {
            "layer": "top" if organic_below else "bottom",
            "fate": "waste" if step.aqueous_to == AQUEOUS_WASTE else "goes on",
            "volume_ml": figure(contact.aqueous_ml),
            "density_g_ml": figure(contact.aqueous_density),
        },
        "co2_ml": figure(contact.co2_ml),
        "gases": [
            {
                "gas": v.gas,
                "component": v.component or None,
                "leaves_ml": figure(v.left_ml),
                "dissolved_mmol": figure(v.dissolved_mmol),
                "air_ppm": figure(v.above_ppm),
            }
            for v in contact.vapours
        ],
        "rise_c": figure(contact.rise_c),
        "shares": [
            {
                "component": c,
                "organic": shares(book.fraction(c, contact.organic_mmol)),
                "aqueous": shares(book.fraction(c, contact.aqueous_mmol)),
                "kept": shares(book.fraction(c, mmol)),
            }
            for c in followed(plan)
        ],
    }


def followed(plan: Plan) -> list[str]:
    """Return the ids of the components that the ledger follows, in the order of the mixture."""
    there = {item.component for item in plan.ledger.sheet.species}
    return [c.id for c in plan.mixture.components if c.id in there]


def streams(plan: Plan) -> list[dict[str, Any]]:
    """Return the streams of a plan as a tree from the mixture to the products and the waste."""
    return labelled(_Streams(plan).made)


def labelled(made: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give what is kept or thrown away in the end the labels of its flasks, in order; return the streams."""
    for letter, fate in (("W", "waste"), ("P", "product")):
        found = [s for s in made if s["fate"] == fate]
        for number, item in enumerate(found, start=1):
            item["label"] = letter if letter == "P" and len(found) == 1 else f"{letter}{number}"
    return made


class _Streams:
    """The streams, followed from step to step by the labels that the steps give them.

    ``open`` holds the streams that no step has taken up yet, by label, the last one last.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.made: list[dict[str, Any]] = []
        self.open: dict[str, dict[str, Any]] = {}
        everything = np.repeat(plan.ledger.sheet.mmol[:, None], plan.ledger.sheet.draws, axis=1)
        self.held: dict[str, Array] = {}
        self._add(
            MIXTURE,
            _stream(
                "mixture", "mixture", "the reaction mixture", None, "goes on", volume_ml=_reaction_volume(plan) or None
            ),
            everything,
        )
        for step in plan.steps:
            if step.action != ELSEWHERE:
                self._take(step)
        for stream in self.open.values():
            stream["fate"] = "product"  # what a plan leaves in solution
            del stream["joined_by"]

    def _add(self, label: str, stream: dict[str, Any], mmol: Array) -> None:
        """Add a stream that goes on, unless it joins one of its name that waits for its next step."""
        stream["holds"] = _holds(self.plan, mmol)
        self.made.append(stream)
        waits = self.open.get(label)
        if waits is not None:
            stream["fate"], stream["name"] = "joins", f"{stream['name']}, back to the first"
            waits["volume_ml"] = figure((waits["volume_ml"] or 0.0) + (stream["volume_ml"] or 0.0))
            self.held[label] = self.held[label] + mmol
            waits["joined_by"].append(stream)
        else:
            stream["joined_by"] = []
            self.open[label], self.held[label] = stream, mmol

    def _end(self, stream: dict[str, Any], mmol: Array | None) -> None:
        stream["holds"] = [] if mmol is None else _holds(self.plan, mmol)
        self.made.append(stream)

    def _take(self, step: PlanStep) -> None:
        label = step.stream if step.stream in self.open else next(reversed(self.open))
        came, before = self.open.pop(label), self.held.pop(label)
        came["to_step"] = step.number
        for joined in came.pop("joined_by"):
            joined["to_step"] = step.number
        for also in step.also:
            if also in self.open:
                joined, more = self.open.pop(also), self.held.pop(also)
                joined |= {"to_step": step.number, "fate": "joins"}
                for inner in joined.pop("joined_by"):
                    inner["to_step"] = step.number
                before = before + more
        met = [c for c in self.plan.ledger.contacts if c.step == step.number]
        if met:
            self._part(step, label, met)
        else:
            self._pass(step, label, came, before)

    def _part(self, step: PlanStep, label: str, met: Sequence[Contact]) -> None:
        """Two layers part: each goes where the step says."""
        book = self.plan.ledger
        aside = {
            kind: sum((layer.mmol for n, k, layer in book.set_aside if n == step.number and k == kind), 0.0)
            for kind in ("aqueous", "organic")
        }
        kept = book.after[step.number - 1]
        # What is fresh in each portion is put together; what meets portion after portion is what the last one leaves.
        fresh = {"wash": "aqueous", "take up": "aqueous"}.get(step.action, "organic")
        for kind, target in (("organic", step.organic_to), ("aqueous", step.aqueous_to)):
            drawn_off = aside[kind]
            mmol = kept if isinstance(drawn_off, float) else drawn_off
            volumes = [c.organic_ml if kind == "organic" else c.aqueous_ml for c in met]
            volume = sum(volumes) if kind == fresh else volumes[-1]
            ph = float(met[-1].ph[0]) if kind == "aqueous" else None
            several = "s" if kind == fresh and len(met) > 1 else ""
            name = f"the {kind} layer{several}"
            if target in (ORGANIC_WASTE, AQUEOUS_WASTE):
                goes = _aqueous_waste(ph) if ph is not None else f"{_waste_class(self._solvents(step))} solvent waste"
                self._end(
                    _stream(
                        f"w{step.number}{kind[0]}",
                        kind,
                        name,
                        step.number,
                        "waste",
                        volume_ml=volume,
                        ph=ph,
                        goes_to=goes,
                    ),
                    mmol,
                )
            else:
                self._add(
                    target or label,
                    _stream(
                        f"s{step.number}{kind[0]}",
                        kind,
                        _named(name, target),
                        step.number,
                        "goes on",
                        volume_ml=volume,
                        ph=ph,
                    ),
                    mmol,
                )

    def _pass(self, step: PlanStep, label: str, came: dict[str, Any], before: Array) -> None:
        """No two layers: the stream goes on, and something may leave it."""
        after = self.plan.ledger.after[step.number - 1]
        volume = came["volume_ml"] or 0.0
        lost = np.maximum(before - after, 0.0)
        self._leaves(step, volume, lost)
        target = step.organic_to or step.aqueous_to or label
        kind = "aqueous" if came["kind"] == "aqueous" else "mixture" if came["kind"] == "mixture" else "organic"
        if CRUDE in target:
            name = "the crude product" if target == CRUDE else f"the {target}"
            self._end(_stream(f"s{step.number}", "solid", name, step.number, "product"), after)
            return
        if step.action == "evaporate":
            volume = 0.0
        elif step.action in ("dilute", "filter off desiccant"):
            volume += (step.volume_ml or 0.0) * step.repeats
            kind = "organic" if step.action == "dilute" else kind
        name = "the reaction mixture" if kind == "mixture" else _named(f"the {kind} layer", target)
        ph = step.target_ph if step.target_ph is not None and kind == "aqueous" else came["ph"]
        self._add(
            target, _stream(f"s{step.number}", kind, name, step.number, "goes on", volume_ml=volume, ph=ph), after
        )

    def _leaves(self, step: PlanStep, volume_ml: float, lost: Array) -> None:
        """Add what leaves in a step without two layers: a distillate, a solid, a mother liquor."""
        if step.action in ("evaporate", "concentrate"):
            goes = f"{_waste_class(self._solvents(step))} solvent waste"
            made = _stream(
                f"w{step.number}",
                "distillate",
                "the distillate",
                step.number,
                "waste",
                volume_ml=volume_ml or None,
                goes_to=goes,
            )
            self._end(made, lost)
        elif step.action == "filter":
            made = _stream(
                f"w{step.number}", "solid", "the solid on the filter", step.number, "waste", goes_to="solid waste"
            )
            self._end(made, lost)
        elif step.action == "filter off desiccant":
            dried = next((s for s in reversed(self.plan.steps[: step.number]) if s.desiccant), None)
            made = _stream(
                f"w{step.number}",
                "solid",
                f"spent {table(Desiccant)[dried.desiccant].name}" if dried else "spent drying agent",
                step.number,
                "waste",
                mass_g=dried.desiccant_g if dried else None,
                goes_to="solid waste, once the solvent has evaporated in the hood",
            )
            # In a judged plan a solid that nobody filtered off before comes off here.
            self._end(made, lost if lost.size and float(lost.max()) > 0.0 else None)
        elif step.aqueous_to == AQUEOUS_WASTE:
            made = _stream(
                f"w{step.number}",
                "aqueous",
                "the mother liquor",
                step.number,
                "waste",
                volume_ml=volume_ml or None,
                ph=step.target_ph,
                goes_to="aqueous waste",
            )
            self._end(made, None)

    def _solvents(self, step: PlanStep) -> list[Solvent]:
        """Return the solvents that have been in the organic layers so far."""
        stripped = [s.number for s in self.plan.steps[: step.number - 1] if s.action == "evaporate"]
        since = stripped[-1] if stripped else 0
        added = [table(Solvent)[s.solvent] for s in self.plan.steps[: step.number] if s.solvent and s.number > since]
        first = [] if stripped else [s for s, _ in self.plan.mixture.reaction_solvents]
        return first + added or [table(Solvent)[self.plan.extraction]]


def _named(name: str, target: str) -> str:
    """Return the name of a layer, with the label of its flask where it has one of its own."""
    return f"{target}, {name}" if target.startswith(("flask ", "extract ")) else name


def _aqueous_waste(ph: float) -> str:
    # Acid and base do not average as pH does; of several portions each has its own in the contacts.
    return "aqueous waste" + (", acidic" if ph < ACIDIC else ", basic" if ph > BASIC else "")


def _stream(
    ident: str,
    kind: str,
    name: str,
    from_step: int | None,
    fate: str,
    *,
    volume_ml: float | None = None,
    mass_g: float | None = None,
    ph: float | None = None,
    goes_to: str = "",
) -> dict[str, Any]:
    return {
        "id": ident,
        "label": None,
        "kind": kind,
        "name": name,
        "from_step": from_step,
        "to_step": None,
        "fate": fate,
        "volume_ml": None if volume_ml is None else figure(volume_ml),
        "mass_g": None if mass_g is None else figure(mass_g),
        "ph": None if ph is None else round(ph, 1) + 0.0,
        "goes_to": goes_to or None,
        "holds": [],
    }


def _holds(plan: Plan, mmol: Array) -> list[dict[str, Any]]:
    """Return what a stream holds of each component, as shares of what the flask held; traces are left out."""
    book = plan.ledger
    found = []
    for c in followed(plan):
        told = shares(book.fraction(c, mmol))
        if told["high"] >= LEAST_SHARE:
            found.append({"component": c, "share": told})
    return found


def _reaction_volume(plan: Plan) -> float:
    return sum(v for s, v in plan.mixture.reaction_solvents if s.log_k_key)


def _waste_class(solvents: Iterable[Solvent]) -> str:
    rows = list(solvents)
    return "halogenated" if any(row.halogenated for row in rows) else "non-halogenated"


def shares(values: Array) -> dict[str, float]:
    """Return (5 %, median, 95 %) of shares as a record."""
    low, middle, high = band(values)
    return {"low": _fraction(low), "mid": _fraction(middle), "high": _fraction(high)}


def _range(values: Array, digits: int) -> dict[str, float]:
    low, middle, high = band(values)
    return {"low": round(low, digits) + 0.0, "mid": round(middle, digits) + 0.0, "high": round(high, digits) + 0.0}


def _fraction(value: float) -> float:
    return float(f"{min(1.0, max(0.0, float(value))):.3g}")


def figure(value: float) -> float:
    """Return a number with three figures; what is next to nothing is nothing."""
    value = float(value)
    return 0.0 if not math.isfinite(value) or abs(value) < 1e-6 else float(f"{value:.3g}")
