"""From conclusions to steps at the bench: what is done, in which order, with how much."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import ceil
from typing import Any

from washlore.knowledge.beside import bound_by
from washlore.knowledge.records import replace
from washlore.knowledge.rows import Gas, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.closing import added_steps, last_step
from washlore.rules.enough import needed_ml
from washlore.rules.families.choice import LEAST_REPEATS, goes_before_acid
from washlore.rules.families.finishing import met_water
from washlore.rules.families.quench import (
    frees_poison,
    remedy_words,
)
from washlore.rules.families.removal import CHEMICAL, METALS_STAY_BELOW_PH
from washlore.rules.ledger import AGAIN_SHARE, Step
from washlore.rules.opening import (
    parting_steps,
    pot_steps,
    prepare_drafts,
    quench_poured_ml,
    residue_of,
    water_in_flask,
    with_citrate,
    with_quench_volumes,
)
from washlore.rules.perceive import Job
from washlore.rules.reckon import WASH_RANK
from washlore.rules.steps import Draft, PlanStep, ThroughWater, in_streams, portions, through_water
from washlore.rules.words import listed, round_volume, share

# A leftover that acid would turn into a poison gas leaves before any acid comes, and the one that needs most base first of all.
FIRST_RANK = 12
# A product that does not stand this pH meets base before plain water and acid.
ACID_LABILE_PH = 2.0
STRONG_ACID_PKA = 2.0
# Less than this share is hardly any.
LEAST_TOLD = 0.001
# A wash that binds a metal is repeated so often where one portion as large as the organic layer does not hold enough.
MOST_BINDING_PORTIONS = 4


def arrange(
    ke: Any, job: Job, solvent: Solvent, gone: Sequence[str], stripped: Sequence[str], first: int = 1
) -> tuple[PlanStep, ...]:
    """Return the steps of the plan, in order and numbered from ``first``."""
    drafts: list[Draft] = []
    organic_ml = trial.organic_volume_ml(job.mixture)
    drafts += prepare_drafts(ke, job, solvent, organic_ml)
    if not met_water(ke):
        # Nothing aqueous comes: the reaction's own solvent is stripped, if there is one, and none is put in its place.
        drafts = [d for d in drafts if d.step.action in ("quench", "filter")]
        extraction_id = next(ke.facts_of(f.Extraction))[0]
        leaves = [(i, fact["component"]) for i, fact in ke.facts_of(f.Leaves, way="evaporation")]
        drafts.append(Draft(95, last_step(ke, job, solvent, organic_ml, extraction_id, leaves, stripped)))
        return tuple(in_streams(replace(d.step, number=n)) for n, d in enumerate(drafts, start=first))
    drafts += parting_steps(ke, job, solvent, organic_ml)
    drafts += pot_steps(ke, job, solvent, organic_ml)
    drafts += _wash_steps(ke, job, gone, stripped)
    drafts += _swap_steps(ke, job, solvent)
    drafts += added_steps(ke, job, solvent, organic_ml)
    drafts.sort(key=lambda d: d.rank)
    steps = [in_streams(replace(d.step, number=n)) for n, d in enumerate(drafts, start=first)]
    return with_quench_volumes(ke, job, steps)


def prepare_steps(ke: Any, job: Job, solvent: Solvent) -> tuple[PlanStep, ...]:
    """Return what is done before the first wash: quench, filter, strip, dilute."""
    organic_ml = trial.organic_volume_ml(job.mixture)
    drafts = prepare_drafts(ke, job, solvent, organic_ml) + parting_steps(ke, job, solvent, organic_ml)
    drafts.sort(key=lambda d: d.rank)
    steps = [in_streams(replace(d.step, number=n)) for n, d in enumerate(drafts, start=1)]
    return with_quench_volumes(ke, job, steps)


def _wash_steps(ke: Any, job: Job, gone: Sequence[str], stripped: Sequence[str]) -> list[Draft]:
    by_solution: dict[str, list[tuple[int, str]]] = {}
    for known_id, fact in ke.facts_of(f.Kept):
        by_solution.setdefault(fact["solution"], []).append((known_id, fact["component"]))
    drafts = []
    for solution, needs in sorted(by_solution.items()):  # of one rank by their ids, not as the flask was listed
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
        exact = trial.part_ml(job.mixture, row, gone, (*stripped, *parted), trial.layer_ml(job.mixture))
        # What it binds may ask for more than its share of the layer, and beyond the layer for further portions.
        takes_ml = _binding_ml(ke, job, row, [c for _, c in needs])
        most = trial.layer_ml(job.mixture)
        if takes_ml > repeats * exact:
            repeats = max(repeats, min(MOST_BINDING_PORTIONS, ceil(takes_ml / most)))
            exact = min(takes_ml / repeats, most)
            volume = round_volume(exact)
        poisons = [c for _, c in needs if goes_before_acid(ke, c, solution)]
        # Base that must come first finds the metals still there.
        citrate = with_citrate(ke, job) if poisons and row.acts_as == "base" else ""
        beside = f". {citrate.rstrip('.')}" if citrate else ""
        drafts.append(
            Draft(
                FIRST_RANK - row.ph / 100 if poisons else _wash_rank(ke, row, [c for _, c in needs]),
                PlanStep(
                    0,
                    "wash",
                    portions("Wash", repeats, volume, row),
                    takes_text(ke, job, solution, [c for _, c in needs]) + _run_off(ke, job, poisons) + beside,
                    tuple(i for i, _ in needs),
                    solution=solution,
                    solute=row.formula,
                    strength=row.strength,
                    volume_ml=volume,
                    exact_ml=exact,
                    repeats=repeats,
                    phase_kept="organic",
                    for_components=tuple(c for _, c in needs),
                ),
            )
        )
    return drafts


def _binding_ml(ke: Any, job: Job, row: Solution, components: Sequence[str]) -> float:
    """Return how much of a wash that binds its leftovers these take, mL; 0 where the equation is not known."""
    bound_here = [c for c in components if ke.first(f.Leftover, component=c) and bound(ke, c, row.id)]
    return needed_ml(job.mixture, row, [(residue_of(ke, c), job.mixture.component(c)) for c in bound_here], 0.0)


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
    least = max(row.frees_below_ph for row in rows)
    gas = listed(sorted({table(Gas)[row.acid_frees].name for row in rows}))
    return (
        f". Run this water off into a bottle of its own and keep it above pH {least:g}: acid would make {gas} of it; nothing "
        "acidic comes near before it is away"
    )


def _wash_rank(ke: Any, row: Solution, components: Sequence[str] = ()) -> float:
    """Return the place of a wash: base before anything else where the product stands no acid, but a metal before that."""
    limits = [fact["ph"] for _, fact in ke.facts_of(f.Stands, side="low")]
    if limits and max(limits) >= ACID_LABILE_PH:
        if row.acts_as == "base":
            return WASH_RANK["reductant"] - 1
        if row.ph < METALS_STAY_BELOW_PH and any(
            ke.first(f.Leftover, component=c, kind="metal salt") for c in components
        ):
            return WASH_RANK["reductant"] - 2  # carbonate would bring it down as a slime
    kinds = {fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component="product")}
    if row.acts_as in ("neutral", "salt") and kinds & {"acid", "weak acid"}:
        return WASH_RANK["acid"] + 5  # plain water would carry the product away while base is still there
    return WASH_RANK[row.acts_as] + row.harshness / 100


def takes_text(
    ke: Any,
    job: Job,
    solution: str,
    components: Sequence[str],
    traces: Mapping[str, float] | None = None,
    stripped: Sequence[str] = (),
    sour: bool = False,
    much: Collection[str] = (),
) -> str:
    """Say what a wash is for. ``traces`` has the shares of what the steps before it leave hardly any of, by component.

    Of what is in ``much`` much is left. Of the traces, what was ``stripped`` is what the rotary evaporator leaves, a strong
    acid is ended so that none is heated, and a base after a ``sour`` quench is one that its acid may not reach. A trace is
    not spoken of where the wash has more to do.
    """
    traces = traces or {}
    base = table(Solution)[solution].acts_as == "base"
    here = [c for c in components if c not in traces]
    whole = [job.name(c) for c in here if c not in much and ke.first(f.Takes, solution=solution, component=c)]
    part = [job.name(c) for c in here if job.name(c) not in whole]
    left = [job.name(c) for c in traces if c in stripped]
    ended = [job.name(c) for c in traces if c not in stripped and base and is_strong_acid(ke, c)]
    words = []
    if whole:
        words.append(f"takes out {listed(whole)}")
    if part:
        words.append(f"takes part of {listed(part)}")
    if left:
        words.append(f"takes what the rotary evaporator leaves of {listed(left)}")
    if ended:
        words.append(f"ends the last of {listed(ended)}, which would be heated with the product")
    rest = {job.name(c): s for c, s in traces.items() if job.name(c) not in (*left, *ended)}
    if words:
        rest = {name: s for name, s in rest.items() if s >= LEAST_TOLD}
    sure = [
        f"{name} ({f'{share(s)} is' if s >= LEAST_TOLD else 'hardly any is'} left by then)" for name, s in rest.items()
    ]
    if sure and sour:
        words.append(f"takes {listed(list(rest))} where the quench has used up its acid")
    elif sure:
        words.append(f"makes sure of {listed(sure)}")
    done = [
        remedy_words(ke, table(Residue)[ke.first(f.Leftover, component=c)["residue"]])
        for c in components
        if bound(ke, c, solution)
        and ke.first(f.Leftover, component=c)
        and table(Solution)[solution].acts_as in CHEMICAL
    ]
    text = "; ".join(words)
    return f"{text}. {' '.join(dict.fromkeys(done)).rstrip('.')}" if done else text


def is_strong_acid(ke: Any, component: str) -> bool:
    """Tell whether a component is a strong acid, whose last trace would be heated with the product."""
    return ke.first(f.Harsh, component=component) is not None or any(
        fact["pka"] < STRONG_ACID_PKA for _, fact in ke.facts_of(f.Ionises, component=component, kind="acid")
    )


def _swap_steps(ke: Any, job: Job, solvent: Solvent) -> list[Draft]:
    found = next(ke.facts_of(f.Swap), None)
    if found is None:
        return []
    known_id, fact = found
    row = table(Solution)[fact["solution"]]
    product = job.mixture.product.name
    steps = trial.swap_steps(job.mixture, solvent, row, fact["back_ph"])
    exact = trial.swap_steps(job.mixture, solvent, row, fact["back_ph"], trial.as_it_is)
    into = portions("Extract the product into", steps[0].repeats, steps[0].volume_ml, row).replace("into with", "into")
    acid_back = row.acts_as == "base"
    way = ThroughWater(
        row,
        f"{into}; keep the aqueous layers together",
        f"{product} goes into the water as its salt",
        "aqueous layers",
        "takes back what neutral compounds went along",
        acid_back,
        f"6 M {'hydrochloric acid' if acid_back else 'sodium hydroxide'}",
        "HCl" if acid_back else "NaOH",
        "6 M",
        f"{product} is neutral again there",
    )
    made = through_water(way, steps, exact, product, solvent, (known_id,))
    return [Draft(60 + offset, step) for offset, step in enumerate(made)]


def ledger_step(step: PlanStep, ke: Any, job: Job, exact: bool = False) -> Step:
    """Return what the ledger needs of a step; ``exact``: with volumes that are not rounded to what is measured out."""
    removes: tuple[str, ...] = ()
    if step.action in ("quench", "filter", "evaporate", "concentrate"):
        removes = step.for_components
    elif step.action == "wash":
        removes = tuple(c for c in step.for_components if bound(ke, c, step.solution))
    solution = step.solution if step.action in ("wash", "take up", "part") else ""
    if solution and (step.action == "part" or step.joins_flask):
        poured = water_in_flask(ke, job)
        solution = poured[0].id if poured else solution
    elif step.action == "neutralise" and (poured := water_in_flask(ke, job, quenched=True)):
        solution = poured[0].id  # the bicarbonate of a quench gives its gas off there
    volume = (step.exact_ml if exact and step.exact_ml else step.volume_ml) or 0.0
    if step.action == "quench" and step.solution and water_in_flask(ke, job):
        solution, volume = step.solution, sum(quench_poured_ml(ke, job, step.solution))  # as a solid or not
    # An acid that a solid base has ended does not run through the filter.
    ended = step.action == "filter" and any(ke.first(f.EndsDry, component=c) for c in step.for_components)
    return Step(
        "quench" if ended else step.action,
        solution,
        step.solvent,
        volume,
        step.repeats,
        step.target_ph,
        removes,
        (AGAIN_SHARE * trial.layer_ml(job.mixture) if exact else step.again_ml) if step.again_ml else 0.0,
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
