"""An acid or base product carried through the water layer and back, away from what does not ionise."""

from typing import Any

from washlore.knowledge.rows import Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, OR, TEST, Case, rule
from washlore.rules.families.choice import ORDINARY, STRAIN, UNUSUAL
from washlore.rules.families.protection import UNCERTAIN
from washlore.rules.perceive import LIGAND
from washlore.rules.words import label, listed, share

WORTHWHILE = 0.7
# A way that brings back less than this of the product is worth going only if it takes off thrice what it loses.
CHEAP, TAKES_OFF_FOR_LOST = 0.9, 3.0
# Where more than this follows the product through the water, and more than stays behind, another purification comes anyway.
MOST_FOLLOWS_EQUIV = 1.0
NEARLY_GONE = 0.1
# Less than this beside the product is left to the purification that follows anyway: four more steps are no price for it.
WORTH_EQUIV = 0.05

_ACID = "OC(=O)CCc1ccccc1"


def _price(engine: Any, solution: str) -> float:
    """Return how unwelcome a solution is for a swap: a salt is wanted here, so only what breaks the product counts."""
    row = table(Solution)[solution]
    value = row.harshness + (0.0 if "customary" in row.note else UNUSUAL)
    if any(fact["group"] != UNCERTAIN for _, fact in engine.facts_of(f.Strains, solution=solution)):
        return value + STRAIN
    return value if engine.first(f.Stands, side="low") else value + ORDINARY.get(solution, 0.0)


def swap_trials(engine: Any) -> list[Any]:
    """Return the swaps that were tried: first what is left behind and brought back at best, then the mildest.

    Another base goes into acid along with the product; into a buffer between the two only the stronger one.
    """
    stuck = {fact["component"] for _, fact in engine.facts_of(f.Stuck)}
    mmol = {c: engine.job.mixture.component(c).mmol for c in stuck}
    taken: dict[str, float] = {}
    for _, fact in engine.facts_of(f.SwapLeaves):
        if fact["component"] in stuck and fact["left"] <= NEARLY_GONE:
            taken[fact["solution"]] = taken.get(fact["solution"], 0.0) + mmol[fact["component"]]
    product_mmol = engine.job.mixture.product.mmol

    def order(trial: Any) -> tuple[float, float, float]:
        recovered = round(trial["recovered"], 1)
        gain = taken.get(trial["solution"], 0.0) / product_mmol - TAKES_OFF_FOR_LOST * (1 - recovered)
        return round(-gain, 1), -recovered, _price(engine, trial["solution"])

    return sorted((fact for _, fact in engine.facts_of(f.SwapTrial)), key=order)


@rule(
    OR(
        f.Behaviour(component="product", kind="acid"),
        f.Behaviour(component="product", kind="weak acid"),
        f.Behaviour(component="product", kind="base"),
        f.Behaviour(component="product", kind="weak base"),
    ),
    f.SwapTrial(solution=MATCH.s, recovered=MATCH.r, back_ph=MATCH.ph),
    TEST(lambda r: r >= WORTHWHILE),
    stage="decide",
    title="An acid or base product goes into the water as its salt, leaves the neutrals behind, and comes back at the other pH",
    why="Only the product changes layer with the pH; what stays in the organic layer both ways is left behind. The water is "
    "rinsed with fresh solvent, brought to a pH two units beyond the product's pKa on its neutral side, and extracted.",
    sources=("williamson", "vogel"),
    fires=(
        Case("a carboxylic acid and a neutral alcohol", _ACID, ("CCCCCCCCO",)),
        Case("an alkylamine and an aniline, told apart by a buffer", "NCCCCCCCC", ("p-anisidine; 13 mmol",)),
        Case("an amine and a neutral ketone", "NCCCCCCCC", ("acetophenone",)),
    ),
    silent=(
        Case("a neutral product cannot change layer", "CCOC(=O)c1ccccc1", ("acetophenone",)),
        Case("an acid with only pyridine to lose: near miss, an acid wash does it", _ACID, ("pyridine",)),
        Case(
            "a greasy diketone of which a quarter would be lost for a little ester",
            "O=C(CC(=O)c1ccccc1)c1ccccc1",
            ("ethyl benzoate; 3 mmol",),
            solvent="toluene",
            extract="MTBE",
        ),
        Case("an amine with a trace of a ketone", "NCCCCCCCC", ("acetophenone; 0.1 mmol",)),
    ),
)
def carry_through_water(engine: Any, s: str, r: float, ph: float) -> None:
    """Carry the product through the water layer and back."""
    if swap_trials(engine)[0]["solution"] != s or engine.first(f.Swap):
        return
    stuck = [(i, fact["component"]) for i, fact in engine.facts_of(f.Stuck)]
    leaves = {fact["component"]: (i, fact) for i, fact in engine.facts_of(f.SwapLeaves, solution=s)}
    gone = [c for _, c in stuck if c in leaves and leaves[c][1]["left"] <= NEARLY_GONE]
    # Of what a wash thins out, only the rest would stay without the swap.
    thinned = {fact["component"]: fact["left"] for _, fact in engine.facts_of(f.Thins)}
    amount = {c: engine.job.mixture.component(c).mmol * thinned.get(c, 1.0) for _, c in stuck}
    # A catalyst's ligand goes in the chromatography that a trace of the metal asks for anyway.
    amount = {c: mmol for c, mmol in amount.items() if engine.job.mixture.component(c).origin != LIGAND}
    taken = sum(amount[c] * (1 - leaves[c][1]["left"]) for c in amount if c in leaves)
    follows = sum(amount.values()) - taken
    product_mmol = engine.job.mixture.product.mmol
    if not gone or taken < WORTH_EQUIV * product_mmol:
        return
    if r < CHEAP and taken < TAKES_OFF_FOR_LOST * (1 - r) * product_mmol:
        return
    if follows > max(MOST_FOLLOWS_EQUIV * product_mmol, taken):
        return
    row = table(Solution)[s]
    engine.conclude(
        f.Swap(solution=s, back_ph=ph),
        f"{engine.job.name('product')} goes into {label(row)} and comes back at pH {ph:g}; "
        f"{share(r)} of it is recovered and {listed([engine.job.name(c) for c in gone])} "
        f"{'stay' if len(gone) > 1 else 'stays'} behind",
        (row.source,),
        also=(*(i for i, _ in stuck), *(leaves[c][0] for c in gone)),
    )
