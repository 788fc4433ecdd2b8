"""After the last wash: brine, drying, and how the product is parted from the solvent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from washlore.knowledge.rows import Desiccant, Solution, Solvent, table
from washlore.knowledge.structure import canonical_smiles
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.families.solvents import DISTILS_OUT_C
from washlore.rules.families.stripping import never_distilled, stays_in_solution
from washlore.rules.perceive import Job
from washlore.rules.reckon import PlanRefused
from washlore.rules.steps import Draft, PlanStep, portions
from washlore.rules.stripped import GOES_WITH_SOLVENT_C
from washlore.rules.words import listed, round_volume


def added_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[Draft]:
    """Return what is added after the washes that remove something: brine and its like, drying, and the last step."""
    drafts = []
    volume = trial.wash_volume_ml(organic_ml)
    last_swap = 64.0
    added: dict[str, list[tuple[int, Any]]] = {}
    for known_id, fact in ke.facts_of(f.Adds):
        added.setdefault(fact["subject"], []).append((known_id, fact))
    for subject, items in added.items():
        row = table(Solution)[subject]
        text = ke.known[items[0][0]].reasons[0].text
        drafts.append(
            Draft(
                max(items[0][1]["rank"], last_swap),
                PlanStep(
                    0,
                    "wash",
                    portions("Wash", 1, volume, row),
                    "takes most of the dissolved water" if subject == "brine" else text,
                    tuple(i for i, _ in items),
                    solution=subject,
                    solute=row.formula,
                    strength=row.strength,
                    volume_ml=volume,
                    exact_ml=trial.WASH_SHARE * trial.layer_ml(job.mixture),
                    phase_kept="organic",
                ),
            )
        )
    leaves = [(i, fact["component"]) for i, fact in ke.facts_of(f.Leaves, way="evaporation")]
    dried = next(ke.facts_of(f.Dries), None)
    if dried is not None:
        drafts += _drying_steps(ke, solvent, organic_ml, dried, any(s == "brine" for s in added))
    extraction_id = next(ke.facts_of(f.Extraction))[0]
    drafts.append(Draft(95, last_step(ke, job, solvent, organic_ml, extraction_id, leaves)))
    return drafts


def _drying_steps(ke: Any, solvent: Solvent, organic_ml: float, dried: tuple[int, Any], brine: bool) -> list[Draft]:
    drafts: list[Draft] = []
    dries_id, dries = dried
    desiccant = table(Desiccant)[dries["desiccant"]]
    water_g = water_left_g(solvent, organic_ml, brine)
    grams = desiccant_mass_g(water_g, desiccant)
    # Of little water a tenth of a gram would say nothing.
    water = f"{water_g:.1f} g" if water_g >= 0.095 else f"{max(1, round(1000 * water_g))} mg"
    reason = ke.known[dries_id].reasons[0].text
    if desiccant.id == "toluene_azeotrope":
        drafts.append(
            Draft(
                90,
                PlanStep(
                    0,
                    "dry",
                    "Strip with two portions of toluene to carry the water off",
                    reason,
                    (dries_id,),
                    desiccant=desiccant.id,
                    phase_kept="organic",
                ),
            )
        )
    else:
        drafts.append(
            Draft(
                90,
                PlanStep(
                    0,
                    "dry",
                    f"Dry over about {grams:g} g of {desiccant.name} for {desiccant.wait_min:g} min (it meets some "
                    f"{water} of water); add more until fresh powder moves freely",
                    reason,
                    (dries_id,),
                    desiccant=desiccant.id,
                    desiccant_g=grams,
                    phase_kept="organic",
                ),
            )
        )
        rinse = round_volume(organic_ml * 0.1)
        drafts.append(
            Draft(
                91,
                PlanStep(
                    0,
                    "filter off desiccant",
                    f"Filter, and rinse the solid with 3 × {rinse:g} mL of clean dry {solvent.name}",
                    "the solid holds product solution back",
                    (dries_id,),
                    solvent=solvent.id,
                    volume_ml=rinse,
                    repeats=3,
                    phase_kept="organic",
                ),
            )
        )
    return drafts


# A base that boils above this goes with the solvent only if toluene or heptane is stripped after it.
NEEDS_TOLUENE_ABOVE_C = 80.0
# A product that boils below this is stripped with care, below the second mark not on the rotary evaporator at all, nor where
# less lies between it and the solvent than a column parts.
CAREFUL_BELOW_C, COLUMN_BELOW_C, COLUMN_PARTS_C = 150.0, 115.0, 30.0
OUT_OF = " out of "
# What boils higher outlasts a rotary evaporator at its best vacuum.
PUMP_ABOVE_C = 165.0


def last_step(
    ke: Any,
    job: Job,
    solvent: Solvent,
    organic_ml: float,
    extraction_id: int,
    leaves: Sequence[tuple[int, str]],
    stripped: Sequence[str] | None = None,
) -> PlanStep:
    """Strip the solvent, and with it what is volatile: with toluene or heptane after it where a base boils higher.

    With ``stripped`` (component ids) no water has come, and what is stripped is the reaction's own solvent.
    """
    layer = [solvent, *_stays_in_layer(ke, job, solvent)]
    if stripped is not None:
        layer = list(dict.fromkeys(s for s, _ in job.mixture.reaction_solvents))
    off = listed([s.name for s in layer])
    going = [c for _, c in leaves]
    slow = [
        c
        for c in going
        if ke.first(f.Ionises, component=c, kind="base")
        and (ke.first(f.Boils, component=c) or {"boiling_c": 0.0})["boiling_c"] > NEEDS_TOLUENE_ABOVE_C
    ]
    own = ke.first(f.Boils, component="product")
    rest = [
        fact["component"]
        # A salt that water has met is free where the product is, or is still held and stays.
        for _, fact in (*ke.facts_of(f.Boils), *(ke.facts_of(f.BoilsWhenFree) if stripped is None else ()))
        if fact["boiling_c"] < GOES_WITH_SOLVENT_C
        and fact["component"] not in (*going, "product")
        and (not ke.first(f.Ionises, component=fact["component"], kind="acid") or _base_is_freed(ke, fact["component"]))
        and not ke.first(f.Leaves, component=fact["component"])
    ]
    text, reason = _stripped_off(layer), "leaves the crude product"
    if not off:
        text, reason = (
            "Strip off what is volatile under vacuum in a tared flask, and weigh",
            "no water takes anything out of this flask",
        )
    elif stays_in_solution(ke):
        most_ml = round_volume(job.mixture.product.mmol)
        text = (
            f"Strip off most of {off} on the rotary evaporator below 40 C, behind a shield and not to dryness: stop at {most_ml:g} "
            "mL or more (1 M or less), and find by NMR against a weighed standard how much is in it"
        )
        reason = "leaves the crude product, in solution, as it may explode when dry"
    elif own is not None and own["boiling_c"] < CAREFUL_BELOW_C:
        own_solvent = max(layer, key=_boils)
        text, reason = _distilled_from(job.mixture.product.name, own["boiling_c"], layer)
        if "istil" in text and (danger := never_distilled(ke)):
            if OUT_OF in text and stripped is not None:
                raise PlanRefused(
                    f"product: {danger}, and {own_solvent.name}, which no wash parts from it, boils higher: no distillation. Keep "
                    f"it in {off}, cold, and use it as that solution, its content found by NMR against a weighed standard; next "
                    "time run the reaction in a low-boiling solvent.",
                    ke.fired,
                )
            text, reason = (
                f"Strip off what goes of {off} on the rotary evaporator below 40 C, behind a shield and not to dryness, and find "
                f"by NMR against a weighed standard how much {job.mixture.product.name} is in the rest",
                f"leaves the crude product in solution, as it is not distilled: {danger}",
            )
    if slow and (own is None or own["boiling_c"] > 180):
        chaser = "heptane" if solvent.id == "toluene" else "toluene"
        text = (
            f"Strip off {off} on the rotary evaporator, then twice add {round_volume(0.25 * organic_ml):g} mL of "
            f"{chaser} and strip it again, which carries {listed([job.name(c) for c in slow])} along; weigh in a tared flask"
        )
    return PlanStep(
        0,
        "concentrate",
        text,
        reason,
        (extraction_id, *(i for i, _ in leaves)),
        # Where the product is distilled out, what is volatile comes over with it.
        for_components=()
        if text.startswith("Distil ") and OUT_OF in text
        else tuple(dict.fromkeys((*going, *rest, *(stripped or ())))),
    )


def _base_is_freed(ke: Any, component: str) -> bool:
    """Tell whether a wash keeps the acid of a salt and leaves its volatile base to the evaporation."""
    washed = [fact["solution"] for _, fact in ke.facts_of(f.Chosen, component=component)]
    return bool(ke.first(f.BoilsWhenFree, component=component)) and any(
        table(Solution)[s].acts_as == "base" for s in washed
    )


def _boils(solvent: Solvent) -> float:
    return solvent.boiling_c


def _stays_in_layer(ke: Any, job: Job, solvent: Solvent) -> list[Solvent]:
    """Return what the reaction ran in that neither water nor the evaporator takes first: it is in the layer to the end."""
    gone = {fact["subject"] for _, fact in ke.facts_of(f.Prepares, action="evaporate")}
    followed = {c.smiles for c in job.mixture.components}
    rows = dict.fromkeys(s for s, _ in job.mixture.reaction_solvents if s.miscibility != "miscible" and s.id != "water")
    return [s for s in rows if s.id not in {solvent.id, *gone} and canonical_smiles(s.smiles) not in followed]


def _stripped_off(layer: Sequence[Solvent]) -> str:
    """Return how a layer is stripped off a product that stays: what boils too high for the rotary evaporator after the rest."""
    high = [s for s in layer if s.boiling_c > PUMP_ABOVE_C]
    low = [s for s in layer if s not in high]
    pumped = listed([f"{s.name} ({s.boiling_c:.0f} C at 1 atm)" for s in high])
    pumped = f"{pumped} under the vacuum of an oil pump, from a bath no warmer than the product stands"
    if not low:
        return f"Strip off {pumped}, into a tared flask and weigh"
    first = f"Strip off {listed([s.name for s in low])} on the rotary evaporator"
    return f"{first}, then {pumped}; weigh in a tared flask" if high else f"{first} into a tared flask and weigh"


def _distilled_from(product: str, boils_c: float, layer: Sequence[Solvent]) -> tuple[str, str]:
    """Return how a volatile product is parted from all that its layer is made of, and what comes of it."""
    high = [s for s in layer if boils_c - s.boiling_c < -DISTILS_OUT_C]
    low = [s for s in layer if s not in high]
    if not high or not low:
        nearest = max(high or low, key=_boils)
        return _distilled(product, boils_c, nearest, listed([s.name for s in layer]))
    stays, first = listed([s.name for s in high]), listed([s.name for s in low])
    return (
        f"Distil off {first} through a column at atmospheric pressure, then distil {product} (about {boils_c:.0f} C){OUT_OF}"
        f"{stays} through a short column into a tared receiver in ice, and weigh",
        f"{stays} boils higher and stays behind",
    )


def _distilled(product: str, boils_c: float, solvent: Solvent, off: str) -> tuple[str, str]:
    """Return how a volatile product is parted from the solvent, and what comes of it."""
    apart = boils_c - solvent.boiling_c
    if apart < -DISTILS_OUT_C:
        return (
            f"Distil {product} (about {boils_c:.0f} C) out of {off} through a short column into a tared receiver in ice, and weigh",
            f"{solvent.name} boils {-apart:.0f} C higher and stays behind",
        )
    if boils_c < COLUMN_BELOW_C or apart < COLUMN_PARTS_C:
        close = (
            f"; {off} boils only {abs(apart):.0f} C away and cannot be taken off whole"
            if apart < COLUMN_PARTS_C
            else ""
        )
        return (
            f"Distil off {off} through a column at atmospheric pressure from a bath no warmer than it must be, never on the "
            f"rotary evaporator; then distil {product} (about {boils_c:.0f} C) into a tared receiver in ice, and weigh",
            f"leaves the crude product, which would go with the solvent under vacuum{close}",
        )
    return (
        f"Strip off {off} on the rotary evaporator at a modest vacuum from a bath at 30 C, stop as soon as it is off, and weigh in "
        "a tared flask",
        "leaves the crude product, which goes with the solvent under full vacuum",
    )


def water_left_g(solvent: Solvent, organic_ml: float, brine: bool) -> float:
    """Return grams of water in an organic layer after water, or after brine, which leaves about a third of it."""
    water_g = organic_ml * solvent.density_g_ml * (solvent.water_held_wt_pct or 0.05) / 100 * (0.35 if brine else 1.0)
    # Clinging drops are what the agent mostly meets: four tenths of a gram in a hundred millilitres.
    return water_g + 0.004 * organic_ml


def desiccant_mass_g(water_g: float, desiccant: Desiccant) -> float:
    """Return grams of drying agent for ``water_g`` of water.

    The working capacity in the table is a quarter or less of what the hydrate could hold: that is the margin.
    """
    return max(1.0, round(2 * water_g / max(desiccant.capacity_g_per_g, 0.05)) / 2)
