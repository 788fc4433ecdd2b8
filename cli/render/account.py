"""The part of a plan's record that follows the ledger: every contact, every stream, what goes to waste.

A stream is what flows between two steps, or from a step into a flask that is kept or thrown away. Streams make a tree
that starts at the mixture; ``from_step`` and ``to_step`` are its edges.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from washlore.knowledge.rows import Desiccant, Solvent, table
from washlore.rules.ledger import band

if TYPE_CHECKING:
    from washlore.rules.contact import Contact, Phase
    from washlore.rules.plan import Plan, PlanStep
    from washlore.rules.species import Array

# Shares below this are nowhere told.
LEAST_SHARE = 0.0005
# In these steps the kept layers of all portions are put together.
POOLED = ("take up", "extract", "neutralise")
# What a step does to the layer that goes on, where it has no two layers.
MAIN = "the layer with the product"


def contacts(plan: Plan) -> list[dict[str, Any]]:
    """Return every contact of two layers, in order: volumes in mL, densities in g/mL, gas in mL at 25 C, shares 0 to 1."""
    book = plan.ledger
    made = []
    pooled: Array | None = None
    for contact in book.contacts:
        step = plan.steps[contact.step - 1]
        keeps_organic = (step.phase_kept or "organic") == "organic"
        kept = contact.organic_mmol if keeps_organic else contact.aqueous_mmol
        if step.action in POOLED:
            pooled = kept if contact.portion == 1 or pooled is None else pooled + kept
            kept = pooled
        made.append(_contact(plan, contact, "organic" if keeps_organic else "aqueous", kept))
    return made


def _contact(plan: Plan, contact: Contact, kept: str, mmol: Array) -> dict[str, Any]:
    book = plan.ledger
    organic_below = contact.organic_density > contact.aqueous_density
    return {
        "step": contact.step,
        "portion": contact.portion,
        "kept": kept,
        "ph": _range(contact.ph, 2),
        "organic": {
            "layer": "bottom" if organic_below else "top",
            "volume_ml": figure(contact.organic_ml),
            "density_g_ml": figure(contact.organic_density),
        },
        "aqueous": {
            "layer": "top" if organic_below else "bottom",
            "volume_ml": figure(contact.aqueous_ml),
            "density_g_ml": figure(contact.aqueous_density),
        },
        "co2_ml": figure(contact.co2_ml),
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
    """Return the streams of a plan as a tree from the mixture to the product and the waste."""
    book = plan.ledger
    made: list[dict[str, Any]] = [
        _stream(
            "mixture",
            "mixture",
            "the reaction mixture",
            None,
            1,
            "goes on",
            holds=_holds(plan, book.sheet.normal * 0, whole=True),
        )
    ]
    last = len(plan.steps)
    volume = _reaction_volume(plan)
    for step in plan.steps:
        after = book.after[step.number - 1]
        before = book.after[step.number - 2] if step.number > 1 else None
        made += _waste(plan, step, before, after, volume)
        volume = _volume_after(plan, step, volume)
        ends = step.number == last
        kind = "solid" if ends and step.action == "concentrate" else step.phase_kept or "organic"
        name = "the crude product" if ends else "the aqueous layer" if kind == "aqueous" else "the organic layer"
        made.append(
            _stream(
                f"s{step.number}",
                kind,
                name,
                step.number,
                None if ends else step.number + 1,
                "product" if ends else "goes on",
                volume_ml=None if ends else volume,
                ph=_water_ph(plan, step) if kind == "aqueous" else None,
                holds=_holds(plan, after),
            )
        )
    for number, item in enumerate((s for s in made if s["fate"] == "waste"), start=1):
        item["label"] = f"W{number}"
    next(s for s in reversed(made) if s["fate"] == "product")["label"] = "P"
    return made


def _stream(
    ident: str,
    kind: str,
    name: str,
    from_step: int | None,
    to_step: int | None,
    fate: str,
    *,
    volume_ml: float | None = None,
    mass_g: float | None = None,
    ph: float | None = None,
    goes_to: str = "",
    holds: Sequence[dict[str, Any]] = (),
) -> dict[str, Any]:
    return {
        "id": ident,
        "label": None,
        "kind": kind,
        "name": name,
        "from_step": from_step,
        "to_step": to_step,
        "fate": fate,
        "volume_ml": None if volume_ml is None else figure(volume_ml),
        "mass_g": None if mass_g is None else figure(mass_g),
        "ph": None if ph is None else round(ph, 1) + 0.0,
        "goes_to": goes_to or None,
        "holds": list(holds),
    }


def _holds(plan: Plan, mmol: Array, whole: bool = False) -> list[dict[str, Any]]:
    """Return what a stream holds of each component, as shares of what the flask held; traces are left out."""
    book = plan.ledger
    found = []
    for c in followed(plan):
        values = np.ones(book.sheet.draws) if whole else book.fraction(c, mmol)
        told = shares(values)
        if told["high"] >= LEAST_SHARE:
            found.append({"component": c, "share": told})
    return found


def _reaction_volume(plan: Plan) -> float:
    return sum(v for s, v in plan.mixture.reaction_solvents if s.log_k_key)


def _volume_after(plan: Plan, step: PlanStep, before: float) -> float:
    """Return the volume (mL) of the layer that goes on after a step."""
    met = [c for c in plan.ledger.contacts if c.step == step.number]
    if met:
        keeps_organic = (step.phase_kept or "organic") == "organic"
        volumes = [c.organic_ml if keeps_organic else c.aqueous_ml for c in met]
        return sum(volumes) if step.action in POOLED else volumes[-1]
    if step.action in ("evaporate", "concentrate"):
        return 0.0
    if step.action in ("dilute", "filter off desiccant"):
        return before + (step.volume_ml or 0.0) * step.repeats
    return before


def _water_ph(plan: Plan, step: PlanStep) -> float | None:
    met = [c for c in plan.ledger.contacts if c.step == step.number]
    return float(met[-1].ph[0]) if met else step.target_ph


def _waste(plan: Plan, step: PlanStep, before: Array | None, after: Array, volume_ml: float) -> list[dict[str, Any]]:
    """Return the streams that leave in a step."""
    book = plan.ledger
    made = []
    set_aside = [(kind, phase) for number, kind, phase in book.set_aside if number == step.number]
    for kind in dict.fromkeys(kind for kind, _ in set_aside):
        phases = [phase for k, phase in set_aside if k == kind]
        made.append(_liquid(plan, step, kind, phases))
    if made:
        return made
    lost = _holds(plan, np.maximum((book.sheet.mmol[:, None] if before is None else before) - after, 0.0))
    if step.action in ("evaporate", "concentrate"):
        solvents = _layer_solvents(plan, step)
        made.append(
            _stream(
                f"w{step.number}",
                "distillate",
                "the distillate",
                step.number,
                None,
                "waste",
                volume_ml=volume_ml or None,
                goes_to=f"{_waste_class(solvents)} solvent waste",
                holds=lost,
            )
        )
    elif step.action == "filter":
        made.append(
            _stream(
                f"w{step.number}",
                "solid",
                "the solid on the filter",
                step.number,
                None,
                "waste",
                goes_to="solid waste",
                holds=lost,
            )
        )
    elif step.action == "filter off desiccant":
        dried = next((s for s in reversed(plan.steps[: step.number]) if s.desiccant), None)
        name = table(Desiccant)[dried.desiccant].name if dried else "drying agent"
        made.append(
            _stream(
                f"w{step.number}",
                "solid",
                f"spent {name}",
                step.number,
                None,
                "waste",
                mass_g=dried.desiccant_g if dried else None,
                goes_to="solid waste, once the solvent has evaporated in the hood",
            )
        )
    return made


def _liquid(plan: Plan, step: PlanStep, kind: str, phases: Sequence[Phase]) -> dict[str, Any]:
    """Return the stream of the layers that a step sets aside."""
    mmol = sum((phase.mmol for phase in phases[1:]), phases[0].mmol)
    met = [c for c in plan.ledger.contacts if c.step == step.number]
    if kind == "aqueous":
        volume = sum(c.aqueous_ml for c in met) if len(phases) == len(met) else met[-1].aqueous_ml
        # Acid and base do not average as pH does; of several portions each has its own in the contacts.
        ph = float(met[-1].ph[0])
        goes = "aqueous waste" + (", acidic" if ph < 4 else ", basic" if ph > 10 else "")
    else:
        volume = sum(c.organic_ml for c in met) if len(phases) == len(met) else met[-1].organic_ml
        ph = None
        goes = (
            f"{_waste_class([table(Solvent)[k] for k, _ in phases[0].solvents if k in table(Solvent)])} solvent waste"
        )
    several = "s" if len(phases) > 1 else ""
    return _stream(
        f"w{step.number}",
        kind,
        f"the {kind} layer{several}",
        step.number,
        None,
        "waste",
        volume_ml=volume,
        ph=ph,
        goes_to=goes,
        holds=_holds(plan, mmol),
    )


def _layer_solvents(plan: Plan, step: PlanStep) -> list[Solvent]:
    """Return the solvents that an evaporation takes off."""
    added = [s for s in plan.steps[: step.number] if s.solvent]
    stripped = [s.number for s in plan.steps[: step.number - 1] if s.action == "evaporate"]
    since = [table(Solvent)[s.solvent] for s in added if not stripped or s.number > stripped[-1]]
    if step.action == "concentrate":
        return since or [table(Solvent)[plan.extraction]]
    return [s for s, _ in plan.mixture.reaction_solvents] + since


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
