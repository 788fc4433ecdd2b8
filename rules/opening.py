"""Before the first wash: quench, filter, strip, dilute, part the water that is there, bring the flask to a pH."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any

from washlore.knowledge.beside import most_cosolvent
from washlore.knowledge.records import replace
from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.engine import while_known
from washlore.rules.enough import NAHCO3_G_PER_MMOL, NH4CL_G_PER_MMOL, acid_mmol, base_m, needed_ml, solid_g_per_mmol
from washlore.rules.families.finishing import met_water
from washlore.rules.families.quench import (
    GELS_WITH_BASE,
    ICE,
    mind_ammonium,
    poured_in,
    quench_agent,
    quench_brings_water,
    remedy_words,
)
from washlore.rules.ledger import AGAIN_SHARE
from washlore.rules.meeting import in_bottle, meeting
from washlore.rules.mixture import Component
from washlore.rules.perceive import Job
from washlore.rules.phase import as_solid, blended, first_of
from washlore.rules.reckon import stripped_components
from washlore.rules.steps import HARD, Draft, PlanStep, ThroughWater, quench_ml, through_water
from washlore.rules.words import listed, round_volume

# What burns or boils with water goes first; nothing aqueous meets the flask before it is gone. Metals fall last: brine for
# silver would give halogen with an oxidant that is still there.
QUENCH_RANK = {
    "metal": 1.0,
    "hydride": 1.0,
    "organometallic": 1.05,
    "strong base": 1.1,
    "acid halide": 1.2,
    "Lewis acid": 1.25,
    "silane": 1.25,
    "metal salt": 1.6,
    "metal complex": 1.6,
}
# Among quenches of one rank those that pour base in come last.
NEUTRAL_PH, BASE_LATER = 7.5, 0.01
# A quench that must not meet what another destroys comes this much after it.
AFTER = 0.01
# Silver is filtered off before the thiosulfate that would dissolve it.
SILVER, BEFORE_THIOSULFATE = "silver_oxidant", 1.45
# A layer that lacks less than this share of its volume is not added to.
LEAST_ADDED = 0.2
# Lighter products are seldom solids.
LEAST_SOLID_G_MOL = 120.0
FALLEN = (
    "a solid that lies in the water is filtered off first and rinsed with cold water, and only the filtrate extracted"
)
FALLS_FREE = (
    "if the product is a solid, do this before any solvent is added, filter it off, rinse it with cold water, and extract the "
    "filtrate alone"
)
# Into a flask that has water enough no less of a quench is poured than this share of the organic layer; a wash where nobody knows.
LEAST_POURED, MOST_POURED = 0.1, 2.0
# Of a quench that asks for less than this times what is poured in, the rest is in the excess that it is reckoned with.
WORTH_A_SOLID = 1.1
# What must not meet base before something holds it in the water, as its row says, and the citrate that does.
BASE_FIRST, CITRATE_ML_PER_MMOL = ("never base first", "never carbonate first"), 1.2
# What has been poured together is told apart in so many parts at most.
MOST_PARTS = 12
# What is filtered off only once a solvent and air have brought it down: before any water, but for what would burn in that air.
BROUGHT_DOWN, BEFORE_WATER = ("titanocene",), 1.15
# What a flask is brought to a pH with.
REAGENT_FORMULAS = {
    "hydrochloric acid": "HCl",
    "citric acid": "C6H8O7",
    "sodium hydrogen carbonate": "NaHCO3",
    "potassium carbonate": "K2CO3",
    "sodium hydroxide": "NaOH",
}
# So much acid under a solid base is seen to fizz, mmol.
FIZZES_MMOL = 2.0


def prepare_drafts(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[Draft]:
    """Return what is done before any water is parted: quench, filter, strip, dilute."""
    drafts = []
    stripped_rows = []
    filtered = []
    quenches: dict[str, list[tuple[int, str]]] = {}
    # Not in the order in which the components were listed, which means nothing.
    for known_id, fact in sorted(ke.facts_of(f.Prepares), key=lambda item: _written(job, item[1]["subject"])):
        subject = fact["subject"]
        if fact["action"] == "quench":
            row = residue_of(ke, subject)
            quenches.setdefault(quench_agent(ke, row), []).append((known_id, subject))
        elif fact["action"] == "filter":
            filtered.append((known_id, subject))
        elif fact["action"] == "evaporate":
            stripped_rows.append((known_id, subject))
    drafts += _in_safe_order(ke, [_quenching(ke, job, agent, items) for agent, items in quenches.items()])
    if filtered:
        drafts.append(_filtering(ke, job, solvent, filtered))
    extraction_id = next(ke.facts_of(f.Extraction))[0]
    if stripped_rows:
        rows = table(Solvent)
        names = listed(list(dict.fromkeys(rows[s].name if s in rows else job.name(s) for _, s in stripped_rows)))
        components = stripped_components(ke, job)
        drafts.append(
            Draft(
                3,
                PlanStep(
                    0,
                    "evaporate",
                    f"Strip off {names} on the rotary evaporator",
                    "; ".join(ke.known[i].reasons[0].text for i, _ in stripped_rows),
                    tuple(i for i, _ in stripped_rows),
                    for_components=components,
                ),
            )
        )
    held = sum(v for s, v in job.mixture.reaction_solvents if s.id == solvent.id and s.log_k_key)
    if stripped_rows:
        held = 0.0
    layer_ml = trial.layer_ml(job.mixture)
    if layer_ml - held >= LEAST_ADDED * layer_ml:
        volume = round_volume(layer_ml - held)
        drafts.append(
            Draft(
                4,
                PlanStep(
                    0,
                    "dilute",
                    f"{_dilute_word(ke, job, bool(stripped_rows), held)} {volume:g} mL of {solvent.name}",
                    (
                        f"brings the organic layer to {round_volume(layer_ml):g} mL"
                        if held
                        else "an organic layer that water does not mix with"
                    )
                    + (f"; {FALLEN}" if _in_water_alone(ke, job) and not ke.first(f.BringsTo) else ""),
                    (extraction_id,),
                    solvent=solvent.id,
                    volume_ml=volume,
                    exact_ml=layer_ml - held,
                    phase_kept="organic",
                ),
            )
        )
    return drafts


def _in_water_alone(ke: Any, job: Job) -> bool:
    """Tell whether a product was made in water with nothing organic beside it, and may lie there as a solid or layer of its own."""
    alone = all(s.id == "water" for s, _ in job.mixture.reaction_solvents) and bool(job.mixture.reaction_solvents)
    return alone and job.mixture.product.principal.molar_mass > LEAST_SOLID_G_MOL


def quench_rank(row: Residue) -> float:
    """Return when a leftover is quenched: the lower, the earlier."""
    return QUENCH_RANK.get(row.kind, 1.5)


def burns_with_water(row: Residue) -> bool:
    """Tell whether a leftover is of what catches fire with water, which is quenched before any comes."""
    return quench_rank(row) < QUENCH_RANK["strong base"]


def _quenching(ke: Any, job: Job, agent: str, quenched: Sequence[tuple[int, str]]) -> Draft:
    """Return one quench for all that the same agent destroys; the fiercest comes first and says how."""
    quenched = sorted(quenched, key=lambda item: quench_rank(residue_of(ke, item[1])))
    rows = [residue_of(ke, c) for _, c in quenched]
    words = " ".join(dict.fromkeys(remedy_words(ke, row) for row in rows))
    names = listed([job.name(c) for _, c in quenched])
    solution = table(Solution).get(poured_in(ke, rows[0]))
    harms = {fact["how"] for _, fact in ke.facts_of(f.Harms, solution=solution.id)} if solution else set()
    if solution and harms - {"carries away"}:
        words += (
            f" {solution.name[:1].upper()}{solution.name[1:]} {HARD}, and nothing milder is known to end {names}: "
            "keep it ice-cold and brief, and part the layers without delay."
        )
    if solution and solution.acts_as == "base" and (citrate := with_citrate(ke, job)):
        words += f" {citrate}"
    rank = quench_rank(rows[0])
    if solution and solution.ph > NEUTRAL_PH:
        rank += BASE_LATER  # what needs the acid of the flask has had it by then
    return Draft(
        rank,
        PlanStep(
            0,
            "quench",
            f"Quench {names} with {agent}: {words}",
            f"{names} still {'reacts' if len(quenched) == 1 else 'react'}",
            tuple(i for i, _ in quenched),
            solution=solution.id if solution else "",
            solute=solution.formula if solution else "",
            strength=solution.strength if solution else "",
            for_components=tuple(c for _, c in quenched),
        ),
    )


def with_citrate(ke: Any, job: Job) -> str:
    """Return what goes in with a base beside metal salts, still to be washed out, that it would bring down; empty without any."""
    rows = [(fact["component"], table(Residue)[fact["residue"]]) for _, fact in ke.facts_of(f.Leftover, action="wash")]
    slimes = sorted(c for c, row in rows if row.never.startswith(BASE_FIRST))
    if not slimes:
        return ""
    ml = round_volume(sum(CITRATE_ML_PER_MMOL * job.mixture.component(c).mmol for c in slimes))
    names = listed([job.name(c) for c in slimes])
    return f"With it goes {ml:g} mL of 1 M sodium citrate: base alone would bring {names} down as a slime."


def _in_safe_order(ke: Any, drafts: Sequence[Draft]) -> list[Draft]:
    """Return the quenches with each after those that destroy what its solution must never meet: permanganate, acid."""
    made = list(drafts)
    for place, draft in enumerate(drafts):
        if draft.step.solution:
            minds, brings = set(table(Solution)[draft.step.solution].never_meets), in_bottle(draft.step.solution)
            apart = [{residue_of(ke, c).id for c in d.step.for_components} for d in drafts]
            if "ammonia" in brings:
                minds = minds - mind_ammonium() if _burns(ke, draft) else minds | mind_ammonium()
            minds |= GELS_WITH_BASE if table(Solution)[draft.step.solution].acts_as == "base" else set()
            before = [
                d.rank
                for d, names in zip(drafts, apart, strict=True)
                if d is not draft and (names & minds or meeting(frozenset(names), brings))
            ]
            made[place] = replace(draft, rank=max([draft.rank, *(rank + AFTER for rank in before)]))
    return made


def _burns(ke: Any, draft: Draft) -> bool:
    """Tell whether a quench is of what catches fire with water, which goes first and leaves no halogen beside it."""
    return any(burns_with_water(residue_of(ke, c)) for c in draft.step.for_components)


def _filtering(ke: Any, job: Job, solvent: Solvent, filtered: Sequence[tuple[int, str]]) -> Draft:
    """Return one filtration for all that lies undissolved."""
    names = listed([job.name(c) for _, c in filtered])
    own = [s.name for s, _ in job.mixture.reaction_solvents if s.id != "water"]
    salts = all(ke.first(f.Inorganic, component=c) and not ke.first(f.Leftover, component=c) for _, c in filtered)
    ended = [c for _, c in filtered if ke.first(f.EndsDry, component=c)]
    metal = all((row := ke.first(f.Leftover, component=c)) and row["kind"] == "metal" for _, c in filtered)
    rinse = own[0] if own and (salts or ended or metal or not met_water(ke)) else solvent.name
    words = f"Filter off {names} and rinse the solid with a little {rinse}"
    reason = f"{names} {'is' if len(filtered) == 1 else 'are'} insoluble"
    if ended:
        names_ended = listed([job.name(c) for c in ended])
        rest = listed([job.name(c) for _, c in filtered if c not in ended])
        words = (
            f"Stir with {_solid(ke, job, ended)}, filter{f' it off with {rest}' if rest else ''}, and rinse the solid with a "
            f"little {rinse}"
        )
        reason = (
            f"{names_ended} becomes {'chloride and ammonia' if _is_base(ke, ended[0]) else 'a sodium salt'}, and nothing "
            f"{'basic' if _is_base(ke, ended[0]) else 'acidic'} is left on the product when the solvent goes"
        )
    leftovers = [ke.first(f.Leftover, component=c) for _, c in filtered]
    brought_down = [table(Residue)[row["residue"]].how for row in leftovers if row and row["residue"] in BROUGHT_DOWN]
    if brought_down:
        words = f"{brought_down[0].rstrip('.')}, rinse them with a little of the same, and strip off the pentane"
        reason = f"{names} has to be brought down first"
    silver = any((row := ke.first(f.Leftover, component=c)) and row["residue"] == SILVER for _, c in filtered)
    return Draft(
        BEFORE_THIOSULFATE if silver else BEFORE_WATER if brought_down else 2,
        PlanStep(
            0,
            "filter",
            words,
            reason,
            tuple(i for i, _ in filtered),
            for_components=tuple(c for _, c in filtered),
        ),
    )


def _is_base(ke: Any, component: str) -> bool:
    return bool(ke.first(f.Harsh, component=component, kind="a strong base"))


def _solid(ke: Any, job: Job, ended: Sequence[str]) -> str:
    """Return the solid that ends an acid (three times what two protons of each need) or a base (one and a half times), in words."""
    mmol = sum(job.mixture.component(c).mmol for c in ended)
    if _is_base(ke, ended[0]):
        return f"{max(0.2, round(1.5 * mmol * NH4CL_G_PER_MMOL, 1)):g} g of solid ammonium chloride until moist pH paper shows 8"
    grams = max(0.2, round(2 * 3 * mmol * NAHCO3_G_PER_MMOL, 1))
    how = "in portions, open, as it gives off carbon dioxide, " if mmol > FIZZES_MMOL else ""
    return f"{grams:g} g of solid sodium hydrogen carbonate {how}until moist pH paper stays neutral"


def _written(job: Job, subject: str) -> str:
    """Return the structure of a component; a solvent's row goes by its id."""
    return next((c.smiles for c in job.mixture.components if c.id == subject), subject)


def _dilute_word(ke: Any, job: Job, stripped: bool, held: float) -> str:
    if held:
        return "Dilute with"
    return "Take up in" if stripped or not job.mixture.reaction_solvents else "Add"


def parting(ke: Any, job: Job) -> tuple[Solution, float] | None:
    """Return the water that is parted before the first wash, and its volume in mL; ``None`` without any.

    Water that is brought to a pH first is parted in that step.
    """
    return None if ke.first(f.BringsTo) else water_in_flask(ke, job)


def water_in_flask(ke: Any, job: Job, quenched: bool = False) -> tuple[Solution, float] | None:
    """Return the water that a quench or the reaction itself brought, and its volume in mL, not rounded; ``None`` without any.

    Of several quenches each has brought its part of it; the solution furthest from neutral gives its name. ``quenched``:
    only where the solution of a quench is there.
    """
    if not _water_ids(ke):
        return None
    poured = _poured_ml(ke, job)
    if quenched and not poured:
        return None
    whole = max(_brought_ml(ke, job), _water_for_two_layers_ml(ke, job))
    parts = poured | {"water": poured.get("water", 0.0) + max(whole - sum(poured.values()), 0.0)}
    unit = max(min((v for v in parts.values() if v), default=whole), whole / MOST_PARTS)
    rows = [row for s, v in parts.items() for row in [table(Solution)[s]] * max(round(v / unit), s in poured)]
    rows += [as_solid(table(Solution)[s]) for s in poured for _ in range(round(_lacking_ml(ke, job, s) / unit))]
    return blended(sorted(rows, key=lambda row: (-abs(row.ph - 7.0), row.id))), whole


def _brought_ml(ke: Any, job: Job) -> float:
    """Return the water that is usual, or that of the reaction with what the quenches bring and their ice, the larger."""
    own = job.mixture.water_ml
    ice = any(
        quench_agent(ke, residue_of(ke, fact["subject"])).startswith(f"{ICE},")
        for _, fact in ke.facts_of(f.Prepares, action="quench")
    )
    brought = own + sum(_poured_ml(ke, job).values()) + ice * trial.WASH_SHARE * trial.layer_ml(job.mixture)
    return max(_usual_water_ml(ke, job), brought)


@while_known
def _poured_ml(ke: Any, job: Job) -> dict[str, float]:
    """Return the volume of each solution that a quench pours in at least (mL), by its id.

    Each is its part of the usual water, or what its leftovers take; beyond twice the layer a solid does it, if there is one.
    """
    needed, layer = _needed_ml(ke, job), trial.layer_ml(job.mixture)
    own = job.mixture.water_ml
    # The flask may have water for its layers already.
    each = (_usual_water_ml(ke, job) - own) / max(len(needed), 1)
    return {
        s: max(
            each,
            (LEAST_POURED if v else trial.WASH_SHARE) * layer if own else 0.0,
            min(v, MOST_POURED * layer) if solid_g_per_mmol(table(Solution)[s]) else v,
        )
        for s, v in needed.items()
    }


def _lacking_ml(ke: Any, job: Job, solution: str) -> float:
    """Return the volume of a solution (mL) whose solute goes in as a solid, beside what is poured in of it."""
    needed, poured = _needed_ml(ke, job)[solution], _poured_ml(ke, job)[solution]
    return needed - poured if needed > WORTH_A_SOLID * poured else 0.0


def quench_poured_ml(ke: Any, job: Job, solution: str) -> tuple[float, float]:
    """Return the volume of a solution (mL) that one quench pours in, and that whose solute goes in as a solid.

    Of several quenches with one solution each brings its part.
    """
    times = times_poured(ke, solution)
    return _poured_ml(ke, job)[solution] / times, _lacking_ml(ke, job, solution) / times


@while_known
def _needed_ml(ke: Any, job: Job) -> dict[str, float]:
    """Return how much of each solution that a quench pours in its leftovers take, and the acid of the flask, mL, by its id."""
    mixture = job.mixture
    poured: dict[str, list[tuple[Residue, Component]]] = {}
    for _, fact in ke.facts_of(f.Prepares, action="quench"):
        row = residue_of(ke, fact["subject"])
        poured.setdefault(poured_in(ke, row), []).append((row, mixture.component(fact["subject"])))
    rows = [table(Solution)[s] for s in poured if s in table(Solution)]
    born = {child for c in job.quenched for child in (c, *job.quenched[c])}
    acid = acid_mmol(mixture, born)
    acid /= max(1, sum(row.acts_as == "acid" if acid < 0 else base_m(row) > 0 for row in rows))
    return {
        s: needed_ml(mixture, table(Solution)[s], items, acid) for s, items in poured.items() if s in table(Solution)
    }


def times_poured(ke: Any, solution: str) -> int:
    """Return how many quenches pour a solution in."""
    rows = [residue_of(ke, fact["subject"]) for _, fact in ke.facts_of(f.Prepares, action="quench")]
    return max(1, len({quench_agent(ke, row) for row in rows if poured_in(ke, row) == solution}))


def _stays(ke: Any, job: Job) -> list[tuple[Solvent, float]]:
    """Return the solvents that mix with water and are not stripped before it comes, with their volumes in mL."""
    return [
        (s, v) for s, v in job.mixture.miscible_solvents if not ke.first(f.Prepares, action="evaporate", subject=s.id)
    ]


def _usual_water_ml(ke: Any, job: Job) -> float:
    own = job.mixture.water_ml
    return max(own, 0.5 * trial.layer_ml(job.mixture), sum(v for _, v in _stays(ke, job)))


def _water_for_two_layers_ml(ke: Any, job: Job) -> float:
    """Return the water that keeps two layers beside a miscible solvent, also in the smaller funnel where it is extracted again."""
    layer = table(Solvent)[ke.first(f.Extraction)["solvent"]].log_k_key
    stays = _stays(ke, job)
    whole = sum(v / most for s, v in stays if (most := most_cosolvent(layer, s.id)))
    return whole - sum(v for _, v in stays) - AGAIN_SHARE * trial.layer_ml(job.mixture)


def residue_of(ke: Any, component: str) -> Residue:
    """Return the row of a leftover."""
    return table(Residue)[ke.first(f.Leftover, component=component)["residue"]]


def _water_ids(ke: Any) -> list[int]:
    """Return the facts that say where water in the flask comes from: a quench, or the reaction."""
    watery = [
        i
        for i, fact in ke.facts_of(f.Prepares, action="quench")
        if quench_brings_water(ke, residue_of(ke, fact["subject"]))
    ]
    return watery + [i for i, _ in ke.facts_of(f.Medium, solvent="water")]


def parting_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[Draft]:
    """Part the water that a quench or the reaction itself brought, and extract it once more."""
    water = parting(ke, job)
    if water is None:
        return []
    quenched = any(
        quench_brings_water(ke, residue_of(ke, x["subject"])) for _, x in ke.facts_of(f.Prepares, action="quench")
    )
    named, again = first_of(water[0].id), round_volume(AGAIN_SHARE * organic_ml)
    own = job.mixture.water_ml
    poured = water_in_flask(ke, job, quenched=True) is not None
    first = "Part the layers (a little water takes up salts that lie undissolved)"
    # Less would make one layer; a quench with an amine or an alcohol brings little.
    if own < (1.0 - LEAST_ADDED) * water[1] and (water[1] > _brought_ml(ke, job) or not poured):
        bring = "Add water to some" if poured or own else "Add"
        first = f"{bring} {round_volume(water[1]):g} mL {'in all' if poured or own else 'of water'} and part the layers"
    step = PlanStep(
        0,
        "part",
        f"{first}; extract the aqueous one with another {again:g} mL of {solvent.name} and combine the organic layers",
        "the water of the quench holds its salts" if quenched else "the water of the reaction holds its salts",
        tuple(_water_ids(ke)),
        solution=named if named != "water" else "",
        solute=water[0].formula,
        strength=water[0].strength,
        solvent=solvent.id,
        volume_ml=round_volume(water[1]),
        exact_ml=water[1],
        again_ml=again,
        repeats=2,
        phase_kept="organic",
    )
    return [Draft(6, step)]


def _rounded_up_g(grams: float) -> float:
    """Return grams as they are weighed out, never less: by the half gram up to ten, by the gram up to a hundred, then by fives."""
    by = 0.5 if grams < 10 else 1.0 if grams < 100 else 5.0
    return by * ceil(grams / by)


def with_quench_volumes(ke: Any, job: Job, steps: Sequence[PlanStep]) -> tuple[PlanStep, ...]:
    """Return the steps with the volume told that each quench with a solution takes at least."""
    if not quench_ml(steps):
        return tuple(steps)
    needed = _needed_ml(ke, job)
    made = []
    for step in steps:
        # Of two poured in together the volume is not that of the second: peroxide after sodium hydroxide.
        if (
            step.action == "quench"
            and step.solution in needed
            and " and " not in step.instruction.partition(": ")[0].split(" with ", 1)[-1]
        ):
            agent, _, how = step.instruction.partition(": ")
            row = table(Solution)[step.solution]
            volume, lacking_ml = quench_poured_ml(ke, job, step.solution)
            solid_g = _rounded_up_g(lacking_ml * row.molarity_m * solid_g_per_mmol(row)) if lacking_ml else None
            more = f" So much of it is there that some {solid_g:g} g of the solid are added as well." if solid_g else ""
            told = f"{agent}, at least {round_volume(volume):g} mL: {how}{more}"
            step = replace(step, instruction=told, exact_ml=volume, solid_g=solid_g)
        made.append(step)
    return tuple(made)


def _formula(reagent: str) -> str:
    """Return the formula of the acid or base that a reagent in words names first."""
    return REAGENT_FORMULAS[min(REAGENT_FORMULAS, key=lambda name: (reagent + name).index(name))]


def pot_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float, freed: str = "") -> list[Draft]:
    """Return what brings the flask to a pH at which the product is free, or the compounds named in ``freed``."""
    found = next(ke.facts_of(f.BringsTo), None)
    if found is None:
        return []
    known_id, fact = found
    rinses = next(ke.facts_of(f.RinsesFirst), None)
    if rinses is not None:
        return _rinsed_pot_steps(ke, job, solvent, fact, (known_id, rinses[0]))
    again = round_volume(AGAIN_SHARE * organic_ml)
    poured = water_in_flask(ke, job)
    volume = trial.neutralising_ml(job.mixture, poured)
    exact = trial.exact_neutralising_ml(job.mixture, trial.layer_ml(job.mixture), poured)
    adds = _adds_water(job, volume)
    # A quench with a solution, too, has brought as much.
    start = f"{adds}, cool" if adds and not water_in_flask(ke, job, quenched=True) else "Cool"
    step = PlanStep(
        0,
        "neutralise",
        f"{start} in ice, and bring the water to pH {fact['ph']:g} with {fact['reagent']} in small "
        f"portions (pH paper); shake, part the layers, extract the water once more with {again:g} mL of "
        f"{solvent.name} and combine the organic layers",
        f"sets {freed or job.mixture.product.name} free from {'their salts' if ' and ' in freed else 'its salt'}"
        + (f"; {FALLS_FREE}" if _in_water_alone(ke, job) else ""),
        (known_id,),
        solute=_formula(fact["reagent"]),
        volume_ml=volume,
        exact_ml=exact,
        again_ml=again,
        target_ph=fact["ph"],
        solvent=solvent.id,
        repeats=2,
        phase_kept="organic",
    )
    return [Draft(10, step)]


def _adds_water(job: Job, volume_ml: float, quenched: bool = False) -> str:
    """Return in words what brings the water of the flask to a volume (mL); nothing where the reaction brought as much.

    ``quenched``: the solution of a quench is in it.
    """
    own = job.mixture.water_ml
    if own > (1.0 - LEAST_ADDED) * volume_ml:
        return ""
    return f"Add water to some {volume_ml:g} mL in all" if own or quenched else f"Add {volume_ml:g} mL of water"


def _rinsed_pot_steps(ke: Any, job: Job, solvent: Solvent, fact: Any, ids: tuple[int, ...]) -> list[Draft]:
    product = job.mixture.product.name
    poured = water_in_flask(ke, job)
    flask = (job.mixture, solvent, fact["ph"], True, poured)
    steps, exact = trial.pot_steps(*flask), trial.pot_steps(*flask, trial.as_it_is)
    adds = _adds_water(job, steps[0].volume_ml, water_in_flask(ke, job, quenched=True) is not None)
    way = ThroughWater(
        table(Solution)[first_of(steps[0].solution)],
        f"{adds}, shake, and keep the aqueous layer" if adds else "Shake, part the layers and keep the aqueous one",
        f"{product} is its salt and stays in the water",
        "aqueous layer",
        "takes the neutral compounds away from the product",
        fact["ph"] < 7,
        fact["reagent"],
        _formula(fact["reagent"]),
        "",
        f"sets {product} free from its salt",
    )
    made = through_water(way, steps, exact, product, solvent, ids)
    return [Draft(10 + offset / 10, step) for offset, step in enumerate(made)]
