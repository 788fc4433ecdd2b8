"""From conclusions to steps at the bench: what is done, in which order, with how much."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from washlore.knowledge.beside import bound_by
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Gas, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.families.choice import goes_before_acid
from washlore.rules.families.finishing import met_water
from washlore.rules.families.quench import (
    frees_poison,
    quench_agent,
    quench_brings_water,
    remedy_solution,
    remedy_words,
)
from washlore.rules.families.removal import CHEMICAL, GOES_WITH_SOLVENT_C
from washlore.rules.ledger import AGAIN_SHARE, Step
from washlore.rules.perceive import Job
from washlore.rules.reckon import WASH_RANK, stripped_components
from washlore.rules.words import label, listed, round_volume

# What burns or boils with water goes first; nothing aqueous meets the flask before it is gone.
QUENCH_RANK = {
    "metal": 1.0,
    "hydride": 1.0,
    "organometallic": 1.05,
    "strong base": 1.1,
    "acid halide": 1.2,
    "Lewis acid": 1.25,
    "silane": 1.25,
}
# What a flask is brought to a pH with.
REAGENT_FORMULAS = {
    "hydrochloric acid": "HCl",
    "citric acid": "C6H8O7",
    "sodium hydrogen carbonate": "NaHCO3",
    "potassium carbonate": "K2CO3",
    "sodium hydroxide": "NaOH",
}
NAHCO3_G_PER_MMOL = 0.084
# A leftover that acid would turn into a poison gas leaves before any acid comes.
FIRST_RANK = 12
LEAST_REPEATS = {"acid": 2, "base": 2, "buffer": 2, "neutral": 2, "salt": 1}
# A product that does not stand this pH meets base before plain water and acid.
ACID_LABILE_PH = 2.0
# Separating funnels that can be shaken by hand, mL; filled to three quarters at most, so that there is room to vent.
FUNNELS_ML = (30, 60, 125, 250, 500, 1000, 2000)
FULLEST = 0.75


@dataclass(frozen=True)
class PlanStep:
    """One numbered step. ``number`` counts from 1; volumes are of one portion in mL.

    ``layer_sure`` is false where the densities are too near to say which layer is on top. ``funnel_ml`` is the smallest
    separating funnel that both layers fill to three quarters at most, ``None`` without layers or where 2 L is too small.

    ``stream`` is what the step works on, in the words of the label on the flask; ``organic_to`` and ``aqueous_to`` say
    where its layers go: a stream, ``organic waste`` or ``aqueous waste``, ``crude`` after the last step, empty without
    such a layer. ``also`` names further streams that it takes up.
    """

    number: int
    action: str
    instruction: str
    reason: str
    fact_ids: tuple[int, ...]
    solution: str = ""
    solute: str = ""
    strength: str = ""
    solvent: str = ""
    volume_ml: float | None = None
    repeats: int = 1
    phase_kept: str = ""
    layer_kept: str = ""
    layer_sure: bool | None = None
    funnel_ml: int | None = None
    desiccant: str = ""
    desiccant_g: float | None = None
    target_ph: float | None = None
    spent_ph: float | None = None
    organic_density_g_ml: float | None = None
    aqueous_density_g_ml: float | None = None
    for_components: tuple[str, ...] = ()
    stream: str = ""
    organic_to: str = ""
    aqueous_to: str = ""
    also: tuple[str, ...] = ()


MIXTURE, ORGANIC, AQUEOUS = "reaction mixture", "organic layer", "aqueous layer"
ORGANIC_WASTE, AQUEOUS_WASTE, CRUDE = "organic waste", "aqueous waste", "crude"
# What each action works on, and where its organic and aqueous layers go.
_STREAMS = {
    "quench": (MIXTURE, "", ""),
    "filter": (MIXTURE, "", ""),
    "evaporate": (MIXTURE, "", ""),
    "dilute": (MIXTURE, ORGANIC, ""),
    "neutralise": (ORGANIC, ORGANIC, AQUEOUS_WASTE),
    "wash": (ORGANIC, ORGANIC, AQUEOUS_WASTE),
    "take up": (ORGANIC, ORGANIC_WASTE, AQUEOUS),
    "rinse water": (AQUEOUS, ORGANIC_WASTE, AQUEOUS),
    "set ph": (AQUEOUS, "", AQUEOUS),
    "extract": (AQUEOUS, ORGANIC, AQUEOUS_WASTE),
    "dry": (ORGANIC, ORGANIC, ""),
    "filter off desiccant": (ORGANIC, ORGANIC, ""),
    "concentrate": (ORGANIC, CRUDE, ""),
    "crystallise": (AQUEOUS, CRUDE, AQUEOUS_WASTE),
    "part": (ORGANIC, ORGANIC, AQUEOUS_WASTE),
    "extract again": (AQUEOUS_WASTE, ORGANIC, AQUEOUS_WASTE),
}


def in_streams(step: PlanStep, names: Mapping[str, str] | None = None) -> PlanStep:
    """Return a step with its streams filled in; ``names`` renames streams, as flask A for the organic layer of a branch."""
    stream, organic, aqueous = (step.stream, step.organic_to, step.aqueous_to) if step.stream else _STREAMS[step.action]
    named = names or {}
    return replace(
        step,
        stream=named.get(stream, stream),
        organic_to=named.get(organic, organic),
        aqueous_to=named.get(aqueous, aqueous),
    )


@dataclass(frozen=True)
class _Draft:
    rank: float
    step: PlanStep


def arrange(
    ke: Any, job: Job, solvent: Solvent, gone: Sequence[str], stripped: Sequence[str], first: int = 1
) -> tuple[PlanStep, ...]:
    """Return the steps of the plan, in order and numbered from ``first``."""
    drafts: list[_Draft] = []
    organic_ml = trial.organic_volume_ml(job.mixture)
    drafts += _prepare_drafts(ke, job, solvent, organic_ml)
    if not met_water(ke) and job.mixture.reaction_solvents:
        # Nothing aqueous comes: the reaction's own solvent is stripped, and none is put in its place.
        drafts = [d for d in drafts if d.step.action in ("quench", "filter")]
        extraction_id = next(ke.facts_of(f.Extraction))[0]
        leaves = [(i, fact["component"]) for i, fact in ke.facts_of(f.Leaves, way="evaporation")]
        drafts.append(_Draft(95, _last_step(ke, job, solvent, organic_ml, extraction_id, leaves, stripped)))
        return tuple(in_streams(replace(d.step, number=n)) for n, d in enumerate(drafts, start=first))
    drafts += _parting_steps(ke, job, solvent, organic_ml)
    drafts += _pot_steps(ke, job, solvent, organic_ml)
    drafts += _wash_steps(ke, job, gone, stripped)
    drafts += _swap_steps(ke, job, solvent)
    drafts += _added_steps(ke, job, solvent, organic_ml)
    drafts.sort(key=lambda d: d.rank)
    return tuple(in_streams(replace(d.step, number=n)) for n, d in enumerate(drafts, start=first))


def prepare_steps(ke: Any, job: Job, solvent: Solvent) -> tuple[PlanStep, ...]:
    """Return what is done before the first wash: quench, filter, strip, dilute."""
    organic_ml = trial.organic_volume_ml(job.mixture)
    drafts = _prepare_drafts(ke, job, solvent, organic_ml) + _parting_steps(ke, job, solvent, organic_ml)
    drafts.sort(key=lambda d: d.rank)
    return tuple(in_streams(replace(d.step, number=n)) for n, d in enumerate(drafts, start=1))


def _prepare_drafts(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    drafts = []
    stripped_rows = []
    filtered = []
    quenches: dict[tuple[str, str], list[tuple[int, str]]] = {}
    # Not in the order in which the components were listed, which means nothing.
    for known_id, fact in sorted(ke.facts_of(f.Prepares), key=lambda item: _written(job, item[1]["subject"])):
        subject = fact["subject"]
        if fact["action"] == "quench":
            row = _residue(ke, subject)
            quenches.setdefault((quench_agent(ke, row), remedy_words(ke, row)), []).append((known_id, subject))
        elif fact["action"] == "filter":
            filtered.append((known_id, subject))
        elif fact["action"] == "evaporate":
            stripped_rows.append((known_id, subject))
    drafts += [_quenching(ke, job, agent, words, items) for (agent, words), items in quenches.items()]
    if filtered:
        drafts.append(_filtering(ke, job, solvent, filtered))
    extraction_id = next(ke.facts_of(f.Extraction))[0]
    if stripped_rows:
        rows = table(Solvent)
        names = listed(list(dict.fromkeys(rows[s].name if s in rows else job.name(s) for _, s in stripped_rows)))
        components = stripped_components(ke, job)
        drafts.append(
            _Draft(
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
    need = organic_ml - held
    if need >= 0.2 * organic_ml:
        volume = round_volume(need)
        drafts.append(
            _Draft(
                4,
                PlanStep(
                    0,
                    "dilute",
                    f"{_dilute_word(ke, job, bool(stripped_rows), held)} {volume:g} mL of {solvent.name}",
                    "an organic layer that water does not mix with",
                    (extraction_id,),
                    solvent=solvent.id,
                    volume_ml=volume,
                    phase_kept="organic",
                ),
            )
        )
    return drafts


def _quenching(ke: Any, job: Job, agent: str, words: str, quenched: Sequence[tuple[int, str]]) -> _Draft:
    """Return one quench for all that is destroyed in the same way."""
    rows = [_residue(ke, c) for _, c in quenched]
    names = listed([job.name(c) for _, c in quenched])
    solution = table(Solution).get(remedy_solution(ke, rows[0]))
    return _Draft(
        min(QUENCH_RANK.get(row.kind, 1.5) for row in rows),
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


def _filtering(ke: Any, job: Job, solvent: Solvent, filtered: Sequence[tuple[int, str]]) -> _Draft:
    """Return one filtration for all that lies undissolved."""
    names = listed([job.name(c) for _, c in filtered])
    own = [s.name for s, _ in job.mixture.reaction_solvents if s.id != "water"]
    salts = all(ke.first(f.Inorganic, component=c) and not ke.first(f.Leftover, component=c) for _, c in filtered)
    ended = [c for _, c in filtered if ke.first(f.EndsDry, component=c)]
    rinse = own[0] if (salts or ended) and own else solvent.name
    words = f"Filter off {names} and rinse the solid with a little {rinse}"
    reason = f"{names} {'is' if len(filtered) == 1 else 'are'} insoluble"
    if ended:
        acids = listed([job.name(c) for c in ended])
        rest = listed([job.name(c) for _, c in filtered if c not in ended])
        words = (
            f"Stir with {_solid_base_g(job, ended):g} g of solid sodium hydrogen carbonate until moist pH paper stays neutral, "
            f"filter{f' it off with {rest}' if rest else ''}, and rinse the solid with a little {rinse}"
        )
        reason = f"{acids} becomes a sodium salt, and nothing acidic is left on the product when the solvent goes"
    return _Draft(
        2,
        PlanStep(
            0,
            "filter",
            words,
            reason,
            tuple(i for i, _ in filtered),
            for_components=tuple(c for _, c in filtered),
        ),
    )


def _solid_base_g(job: Job, acids: Sequence[str]) -> float:
    """Return grams of sodium hydrogen carbonate: three times what the acids need, two protons each at most."""
    mmol = sum(job.mixture.component(c).mmol for c in acids)
    return max(0.2, round(2 * 3 * mmol * NAHCO3_G_PER_MMOL, 1))


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


def water_in_flask(ke: Any, job: Job) -> tuple[Solution, float] | None:
    """Return the water that a quench or the reaction itself brought, and its volume in mL; ``None`` without any.

    Of several quenches the solution that is furthest from neutral counts.
    """
    if not _water_ids(ke):
        return None
    poured = {
        remedy_solution(ke, _residue(ke, fact["subject"])) for _, fact in ke.facts_of(f.Prepares, action="quench")
    } & table(Solution).keys()
    rows = sorted((table(Solution)[s] for s in poured), key=lambda row: (-abs(row.ph - 7.0), row.id))
    solution = rows[0] if rows else table(Solution)["water"]
    own = sum(v for s, v in job.mixture.reaction_solvents if s.id == "water")
    organic_ml = trial.organic_volume_ml(job.mixture)
    mixed = sum(
        v
        for s, v in job.mixture.reaction_solvents
        if s.miscibility == "miscible"
        and s.id != "water"
        and not ke.first(f.Prepares, action="evaporate", subject=s.id)
    )
    return solution, round_volume(max(own, 0.5 * organic_ml, mixed))


def _residue(ke: Any, component: str) -> Residue:
    return table(Residue)[ke.first(f.Leftover, component=component)["residue"]]


def _water_ids(ke: Any) -> list[int]:
    """Return the facts that say where water in the flask comes from: a quench, or the reaction."""
    watery = [
        i
        for i, fact in ke.facts_of(f.Prepares, action="quench")
        if quench_brings_water(ke, _residue(ke, fact["subject"]))
    ]
    return watery + [i for i, _ in ke.facts_of(f.Medium, solvent="water")]


def _parting_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    """Part the water that a quench or the reaction itself brought, and extract it once more."""
    water = parting(ke, job)
    if water is None:
        return []
    quenched = any(
        quench_brings_water(ke, _residue(ke, x["subject"])) for _, x in ke.facts_of(f.Prepares, action="quench")
    )
    step = PlanStep(
        0,
        "part",
        f"Part the layers (a little water takes up salts that lie undissolved); extract the aqueous one with another "
        f"{AGAIN_SHARE * organic_ml:g} mL of {solvent.name} and combine the organic layers",
        "the water of the quench holds its salts" if quenched else "the water of the reaction holds its salts",
        tuple(_water_ids(ke)),
        solution=water[0].id if water[0].id != "water" else "",
        solute=water[0].formula,
        strength=water[0].strength,
        solvent=solvent.id,
        volume_ml=water[1],
        repeats=2,
        phase_kept="organic",
    )
    return [_Draft(6, step)]


def _formula(reagent: str) -> str:
    """Return the formula of the acid or base that a reagent in words names first."""
    return REAGENT_FORMULAS[min(REAGENT_FORMULAS, key=lambda name: (reagent + name).index(name))]


def _pot_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    found = next(ke.facts_of(f.BringsTo), None)
    if found is None:
        return []
    known_id, fact = found
    rinses = next(ke.facts_of(f.RinsesFirst), None)
    if rinses is not None:
        return _rinsed_pot_steps(ke, job, solvent, fact, (known_id, rinses[0]))
    volume = trial.neutralising_ml(job.mixture)
    step = PlanStep(
        0,
        "neutralise",
        f"Add {volume:g} mL of water, cool in ice, and bring the water to pH {fact['ph']:g} with {fact['reagent']} in small "
        f"portions (pH paper); shake, part the layers, extract the water once more with {organic_ml * AGAIN_SHARE:.0f} mL of "
        f"{solvent.name} and combine the organic layers",
        f"sets {job.mixture.product.name} free from its salt",
        (known_id,),
        solute=_formula(fact["reagent"]),
        volume_ml=volume,
        target_ph=fact["ph"],
        solvent=solvent.id,
        repeats=2,
        phase_kept="organic",
    )
    return [_Draft(10, step)]


def _rinsed_pot_steps(ke: Any, job: Job, solvent: Solvent, fact: Any, ids: tuple[int, ...]) -> list[_Draft]:
    product = job.mixture.product.name
    drafts = []
    poured = water_in_flask(ke, job)
    for offset, step in enumerate(trial.pot_steps(job.mixture, solvent, fact["ph"], True, poured and poured[0])):
        common: dict[str, Any] = {"fact_ids": ids, "volume_ml": step.volume_ml or None, "repeats": step.repeats}
        if step.action == "take up":
            made = PlanStep(
                0,
                "take up",
                f"Add {step.volume_ml:g} mL of water, shake, and keep the aqueous layer",
                f"{product} is its salt and stays in the water",
                solution=step.solution,
                solute=table(Solution)[step.solution].formula,
                strength=table(Solution)[step.solution].strength,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "rinse water":
            made = PlanStep(
                0,
                "rinse water",
                f"Shake the aqueous layer with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; keep the aqueous layer",
                "takes the neutral compounds away from the product",
                solvent=solvent.id,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "set ph":
            acid = fact["ph"] < 7
            made = PlanStep(
                0,
                "set ph",
                f"{'Acidify' if acid else 'Basify'} the aqueous layer to pH {fact['ph']:g} with {fact['reagent']}, in ice, in "
                "small portions; check with pH paper",
                f"sets {product} free from its salt",
                ids,
                solute=_formula(fact["reagent"]),
                target_ph=fact["ph"],
                phase_kept="aqueous",
            )
        else:
            made = PlanStep(
                0,
                "extract",
                f"Extract with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; combine the organic layers",
                f"{product} goes back into the organic layer",
                solvent=solvent.id,
                phase_kept="organic",
                **common,
            )
        drafts.append(_Draft(10 + offset / 10, made))
    return drafts


def _wash_steps(ke: Any, job: Job, gone: Sequence[str], stripped: Sequence[str]) -> list[_Draft]:
    by_solution: dict[str, list[tuple[int, str]]] = {}
    for known_id, fact in ke.facts_of(f.Kept):
        by_solution.setdefault(fact["solution"], []).append((known_id, fact["component"]))
    drafts = []
    for solution, needs in by_solution.items():
        row = table(Solution)[solution]
        contacts = 1
        for _, component in needs:
            takes = ke.first(f.Takes, solution=solution, component=component) or ke.first(
                f.Thins, solution=solution, component=component
            )
            contacts = max(contacts, takes["contacts"] if takes else 1)
        repeats = max(contacts, LEAST_REPEATS.get(row.acts_as, 1))
        parted = [fact["component"] for _, fact in ke.facts_of(f.Leaves, way="first water")]
        volume = trial.portion_ml(job.mixture, row, gone, (*stripped, *parted))
        poisons = [c for _, c in needs if goes_before_acid(ke, c, solution)]
        drafts.append(
            _Draft(
                FIRST_RANK if poisons else _wash_rank(ke, row),
                PlanStep(
                    0,
                    "wash",
                    portions("Wash", repeats, volume, row),
                    _takes_text(ke, job, solution, [c for _, c in needs]) + _run_off(ke, job, poisons),
                    tuple(i for i, _ in needs),
                    solution=solution,
                    solute=row.formula,
                    strength=row.strength,
                    volume_ml=volume,
                    repeats=repeats,
                    phase_kept="organic",
                    for_components=tuple(c for _, c in needs),
                ),
            )
        )
    return drafts


def _run_off(ke: Any, job: Job, poisons: Sequence[str]) -> str:
    """Say that the water which holds a poison's ion is away before acid comes."""
    washes = [table(Solution)[fact["solution"]].ph for _, fact in ke.facts_of(f.Kept)]
    poisons = [
        c
        for c in poisons
        if ke.first(f.FirstOut, component=c)
        or any(frees_poison(ke.first(f.Leftover, component=c)["residue"], ph) for ph in washes)
    ]
    if not poisons:
        return ""
    rows = [table(Residue)[ke.first(f.Leftover, component=c)["residue"]] for c in poisons]
    least = max(row.below_ph or 7.0 for row in rows)
    gas = listed(sorted({table(Gas)[row.acid_frees].name for row in rows}))
    return (
        f". Run this water off into a bottle of its own and keep it above pH {least:g}: acid would make {gas} of it; nothing "
        "acidic comes near before it is away"
    )


def _wash_rank(ke: Any, row: Solution) -> float:
    """Return the place of a wash: base before anything else where the product stands no acid."""
    limits = [fact["ph"] for _, fact in ke.facts_of(f.Stands, side="low")]
    if row.acts_as == "base" and limits and max(limits) >= ACID_LABILE_PH:
        return WASH_RANK["reductant"] - 1
    kinds = {fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component="product")}
    if row.acts_as in ("neutral", "salt") and kinds & {"acid", "weak acid"}:
        return WASH_RANK["acid"] + 5  # plain water would carry the product away while base is still there
    return WASH_RANK[row.acts_as] + row.harshness / 100


def _takes_text(ke: Any, job: Job, solution: str, components: Sequence[str]) -> str:
    whole = [job.name(c) for c in components if ke.first(f.Takes, solution=solution, component=c)]
    part = [job.name(c) for c in components if job.name(c) not in whole]
    words = []
    if whole:
        words.append(f"takes out {listed(whole)}")
    if part:
        words.append(f"takes part of {listed(part)}")
    done = [
        remedy_words(ke, table(Residue)[ke.first(f.Leftover, component=c)["residue"]])
        for c in components
        if bound(ke, c, solution)
        and ke.first(f.Leftover, component=c)
        and table(Solution)[solution].acts_as in CHEMICAL
    ]
    text = "; ".join(words)
    return f"{text}. {' '.join(dict.fromkeys(done)).rstrip('.')}" if done else text


def portions(verb: str, repeats: int, volume: float, row: Solution) -> str:
    """Return in words how many portions of a solution are used."""
    amount = f"{volume:g} mL" if repeats == 1 else f"{repeats} × {volume:g} mL"
    return f"{verb} with {amount} of {label(row)}"


def _swap_steps(ke: Any, job: Job, solvent: Solvent) -> list[_Draft]:
    found = next(ke.facts_of(f.Swap), None)
    if found is None:
        return []
    known_id, fact = found
    row = table(Solution)[fact["solution"]]
    product = job.mixture.product.name
    back = fact["back_ph"]
    acid_back = row.acts_as == "base"
    made = []
    for offset, step in enumerate(trial.swap_steps(job.mixture, solvent, row, back)):
        common: dict[str, Any] = {"fact_ids": (known_id,), "volume_ml": step.volume_ml or None, "repeats": step.repeats}
        if step.action == "take up":
            plan_step = PlanStep(
                0,
                "take up",
                portions("Extract the product into", step.repeats, step.volume_ml, row).replace("into with", "into")
                + "; keep the aqueous layers together",
                f"{product} goes into the water as its salt",
                solution=row.id,
                solute=row.formula,
                strength=row.strength,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "rinse water":
            plan_step = PlanStep(
                0,
                "rinse water",
                f"Shake the aqueous layers with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; keep the aqueous layer",
                "takes back what neutral compounds went along",
                solvent=solvent.id,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "set ph":
            plan_step = PlanStep(
                0,
                "set ph",
                f"{'Acidify' if acid_back else 'Basify'} the aqueous layer to pH {back:g} with "
                f"6 M {'hydrochloric acid' if acid_back else 'sodium hydroxide'}, in ice, in small portions; check with pH "
                "paper",
                f"{product} is neutral again there",
                (known_id,),
                solute="HCl" if acid_back else "NaOH",
                strength="6 M",
                target_ph=back,
                phase_kept="aqueous",
            )
        else:
            plan_step = PlanStep(
                0,
                "extract",
                f"Extract with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; combine the organic layers",
                f"{product} goes back into the organic layer",
                solvent=solvent.id,
                phase_kept="organic",
                **common,
            )
        made.append(_Draft(60 + offset, plan_step))
    return made


def _added_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
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
            _Draft(
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
                    phase_kept="organic",
                ),
            )
        )
    leaves = [(i, fact["component"]) for i, fact in ke.facts_of(f.Leaves, way="evaporation")]
    dried = next(ke.facts_of(f.Dries), None)
    if dried is not None:
        drafts += _drying_steps(ke, solvent, organic_ml, dried, any(s == "brine" for s in added))
    extraction_id = next(ke.facts_of(f.Extraction))[0]
    drafts.append(_Draft(95, _last_step(ke, job, solvent, organic_ml, extraction_id, leaves)))
    return drafts


def _drying_steps(ke: Any, solvent: Solvent, organic_ml: float, dried: tuple[int, Any], brine: bool) -> list[_Draft]:
    drafts: list[_Draft] = []
    dries_id, dries = dried
    desiccant = table(Desiccant)[dries["desiccant"]]
    water_g = water_left_g(solvent, organic_ml, brine)
    grams = desiccant_mass_g(water_g, desiccant)
    reason = ke.known[dries_id].reasons[0].text
    if desiccant.id == "toluene_azeotrope":
        drafts.append(
            _Draft(
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
            _Draft(
                90,
                PlanStep(
                    0,
                    "dry",
                    f"Dry over about {grams:g} g of {desiccant.name} for {desiccant.wait_min:g} min (it meets some "
                    f"{water_g:.1f} g of water); add more until fresh powder moves freely",
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
            _Draft(
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


def _last_step(
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
    off = solvent.name
    if stripped is not None:
        off = listed([s.name for s, _ in job.mixture.reaction_solvents])
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
        for _, fact in ke.facts_of(f.Boils)
        if fact["boiling_c"] < GOES_WITH_SOLVENT_C
        and fact["component"] not in (*going, "product")
        and not ke.first(f.Ionises, component=fact["component"], kind="acid")
        and not ke.first(f.Leaves, component=fact["component"])
    ]
    text = f"Strip off {off} on the rotary evaporator into a tared flask and weigh"
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
        "leaves the crude product",
        (extraction_id, *(i for i, _ in leaves)),
        for_components=tuple(dict.fromkeys((*going, *rest, *(stripped or ())))),
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


def ledger_step(step: PlanStep, ke: Any, job: Job) -> Step:
    """Return what the ledger needs of a step."""
    removes: tuple[str, ...] = ()
    if step.action in ("quench", "filter", "evaporate", "concentrate"):
        removes = step.for_components
    elif step.action == "wash":
        removes = tuple(c for c in step.for_components if bound(ke, c, step.solution))
    solution = step.solution if step.action in ("wash", "take up", "part") else ""
    # An acid that a solid base has ended does not run through the filter.
    ended = step.action == "filter" and any(ke.first(f.EndsDry, component=c) for c in step.for_components)
    return Step(
        "quench" if ended else step.action,
        solution,
        step.solvent,
        step.volume_ml or 0.0,
        step.repeats,
        step.target_ph,
        removes,
    )


def bound(ke: Any, component: str, solution: str) -> bool:
    """Tell whether a solution reacts with a component rather than dissolving it or holding it by known constants."""
    if solution and bound_by(ke.job.mixture.component(component).principal.smiles, solution):
        return False
    takes = ke.first(f.Takes, component=component, solution=solution) if solution else None
    if takes is None or takes["left"] > 0.0:
        return False
    acts_as = table(Solution)[solution].acts_as
    return acts_as in CHEMICAL or (acts_as == "base" and ke.first(f.FirstOut, component=component) is not None)


def funnel_for(volume_ml: float) -> int | None:
    """Return the smallest separating funnel (mL) that a volume fills to three quarters at most, or ``None``."""
    return next((size for size in FUNNELS_ML if volume_ml <= FULLEST * size), None)
