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


def quench_solution(engine: Any, row: Residue) -> str:
    """Return the id of the solution that quenches a leftover, a milder one where the product asks for it."""
    return MILDER.get(row.solution, row.solution) if spared_groups(engine, row) else row.solution


def quench_agent(engine: Any, row: Residue) -> str:
    """Return in words what a leftover is quenched with."""
    solution = quench_solution(engine, row)
    return table(Solution)[solution].name if solution != row.solution else row.quench_with


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
