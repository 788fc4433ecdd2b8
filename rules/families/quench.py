"""Before the washes: quench what is reactive, filter what is solid."""

from typing import Any

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, Case, rule

# What to use where the product would take the usual reductant up.
MILDER = {"na2so3_10": "na2s2o3_10", "nahso3_sat": "na2s2o3_10"}


def spared_groups(engine: Any, row: Residue) -> list[str]:
    """Return the groups of the product that the usual remedy for a leftover would attack."""
    return [g for g in row.spares if engine.first(f.Contains, component="product", group=g)]


# Thiosulfate in acid gives sulfur and sulfur dioxide: with acid in the pot it goes in together with bicarbonate.
WITH_BASE = {"na2s2o3_10": "na2s2o3_nahco3", "na2s2o3_sat": "na2s2o3_nahco3"}
# Quenches that bring no water.
DRY_WORDS = ("isopropanol", "2-propanol", "methanol", "ethanol", "tert-butanol")
AMINE_WORDS = ("amine", "ammonia", "morpholine")
PLAIN_AGENT = "water and saturated sodium hydrogen carbonate"
PLAIN_WORDS = (
    "Stir at 0 C to room temperature in an open flask until it is gone (TLC, or no more gas); no amine, which this product "
    "would take up."
)
ROCHELLE_WORDS = (
    "Dilute with ether at 0 C, add saturated Rochelle salt slowly (gas), and stir until two clear layers stand; no hydroxide, "
    "which this product does not stand."
)


def quench_solution(engine: Any, row: Residue) -> str:
    """Return the id of the solution that quenches a leftover, a milder one where the product or the pot asks for it."""
    if takes_amine(engine, row):
        return "nahco3_sat"
    if minds_hydroxide(engine, row):
        return "rochelle_sat"
    solution = MILDER.get(row.solution, row.solution) if spared_groups(engine, row) else row.solution
    return WITH_BASE.get(solution, solution) if acid_in_the_pot(engine) else solution


def acid_in_the_pot(engine: Any) -> bool:
    """Tell whether a mineral acid, or more than a little of any other, is in the flask."""
    mineral = any(fact["kind"] in ("a strong mineral acid", "nitric acid") for _, fact in engine.facts_of(f.Harsh))
    others = [
        engine.job.mixture.component(fact["component"]).mmol
        for _, fact in engine.facts_of(f.Ionises, kind="acid")
        if fact["pka"] < 6 and fact["component"] != "product"
    ]
    return mineral or sum(others) > 0.5 * engine.job.mixture.product.mmol


def takes_amine(engine: Any, row: Residue) -> bool:
    """Tell whether a quench calls for an amine that the product would take up."""
    wants = any(word in row.quench_with for word in AMINE_WORDS)
    minds = any(engine.first(f.SpoiltBy, tag=tag) for tag in ("amine", "ammonia"))
    return wants and minds


def minds_hydroxide(engine: Any, row: Residue) -> bool:
    """Tell whether a quench calls for hydroxide that the product does not stand."""
    return "NaOH" in row.how and any(fact["ph"] < 13.5 for _, fact in engine.facts_of(f.Stands, side="high"))


def quench_agent(engine: Any, row: Residue) -> str:
    """Return in words what a leftover is quenched with."""
    if takes_amine(engine, row):
        return PLAIN_AGENT
    solution = quench_solution(engine, row)
    return table(Solution)[solution].name if solution != row.solution else row.quench_with


def quench_words(engine: Any, row: Residue) -> str:
    """Return how a leftover is quenched, fitted to the product."""
    if takes_amine(engine, row):
        return PLAIN_WORDS
    return ROCHELLE_WORDS if minds_hydroxide(engine, row) else row.how


def quench_brings_water(engine: Any, row: Residue) -> bool:
    """Tell whether a quench leaves a water layer in the flask."""
    return bool(quench_solution(engine, row)) or not any(word in row.quench_with for word in DRY_WORDS)


_ESTER = "CCOC(=O)/C=C/c1ccccc1"


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="quench"),
    stage="classify",
    title="What still reacts with water is destroyed slowly, cold and in an open flask before anything is shaken",
    why="In a closed funnel its heat and gas would have nowhere to go; done first, only its harmless remains meet the "
    "washes.",
    sources=("prudent", "common_practice"),
    fires=(
        Case("benzoyl chloride", _ESTER, ("benzoyl chloride",)),
        Case("sodium borohydride", "OC(C)c1ccccc1", ("sodium borohydride",), solvent="methanol"),
    ),
    silent=(
        Case("an aldehyde is bound in the funnel, not quenched: near miss", _ESTER, ("benzaldehyde",)),
        Case("pyridine", _ESTER, ("pyridine",)),
    ),
)
def quench_first(engine: Any, c: str, r: str) -> None:
    """Quench a reactive leftover."""
    row = table(Residue)[r]
    text = f"{engine.job.name(c)} ({row.name}) with {quench_agent(engine, row)}"
    if row.gas:
        text += f"; gas: {', '.join(row.gas)}"
    engine.conclude(f.Prepares(action="quench", subject=c), text, (row.source,))
    engine.conclude(f.Leaves(component=c, way="quench"), text, (row.source,))


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="filter"),
    stage="classify",
    title="An insoluble solid is filtered off before it reaches the funnel",
    why="Fine solids gather at the interface, hold emulsions together and hide the boundary between the layers.",
    sources=("common_practice",),
    fires=(
        Case("palladium on carbon", _ESTER, ("Pd/C",)),
        Case("manganese dioxide", "O=Cc1ccc(C)cc1", ("MnO2",)),
    ),
    silent=(
        Case("benzoic acid dissolves", _ESTER, ("benzoic acid",)),
        Case("potassium carbonate: near miss, a solid that water dissolves", _ESTER, ("potassium carbonate",)),
    ),
)
def filter_solids(engine: Any, c: str, r: str) -> None:
    """Filter off an insoluble leftover."""
    row = table(Residue)[r]
    text = f"{engine.job.name(c)}: {row.how or row.name}"
    engine.conclude(f.Prepares(action="filter", subject=c), text, (row.source,))
    engine.conclude(f.Leaves(component=c, way="filtration"), text, (row.source,))
