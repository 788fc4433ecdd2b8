"""Products that stand water for a minute or two only."""

from typing import Any

from washlore.knowledge.rows import Group, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, Case, rule


@rule(
    f.Layers(step=MATCH.n),
    f.SpoiltBy(tag="water", group=MATCH.g),
    f.Stands(side="low", group=MATCH.g),
    stage="warn",
    title="A product that water hydrolyses slowly meets it cold, once and for a minute",
    why="It falls in minutes to hours where it is dissolved in the water, and the rate doubles or trebles with each 10 C. Cold "
    "solutions, layers parted at once and a drying agent at hand keep what haste can keep.",
    sources=("common_practice",),
    fires=(
        Case("an acyl imidazole beside imidazole", "O=C(c1ccccc1)n1ccnc1", ("imidazole; 10 mmol",)),
        Case("the triflate of an alcohol", "CC(C)CCOS(=O)(=O)C(F)(F)F", ("pyridine; 12 mmol",)),
        Case("an enamine beside a salt", "C1CCN(C1)C1=CCCCC1", ("triethylamine hydrochloride; 10 mmol",)),
    ),
    silent=(
        Case("near miss: a tosylate, which water leaves alone", "CCCCCCOS(=O)(=O)c1ccc(C)cc1", ("pyridine; 12 mmol",)),
        Case("near miss: an enamine from which all is stripped", "C1CCN(C1)C1=CCCCC1", ("triethylamine; 10 mmol",)),
    ),
)
def meets_water_briefly(engine: Any, n: int, g: str) -> None:
    """Ask for cold and haste."""
    if engine.first(f.Cautions, id="brief", subject=g):
        return
    group = table(Group)[g]
    engine.conclude(
        f.Cautions(id="brief", subject=g),
        f"{engine.job.name('product')} holds a group that water takes apart, if slowly ({group.name}: {group.limit_reason}): have "
        "the solutions ice-cold, shake each portion for half a minute, part the layers at once and dry without waiting",
        (group.source,),
    )
