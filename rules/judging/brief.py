"""Water on a product that stands it for a minute or two only."""

from typing import Any

from washlore.knowledge.rows import Group, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, TEST, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase

_END = " | dry na2so4 | filter off desiccant | concentrate"
_ENAMINE = "C1CCN(C1)C1=CCCCC1"


@rule(
    j.Did(step=MATCH.n, solution=MATCH.s),
    f.SpoiltBy(tag="water", group=MATCH.g),
    TEST(lambda s: bool(s)),
    stage="warn",
    salience=priority.ASIDE,
    title="Water that nothing in the flask needs is kept off a product that it hydrolyses",
    why="Where all the rest is stripped or filtered off, a wash buys nothing and costs what falls in the minutes of shaking.",
    sources=("common_practice",),
    fires=(
        PlanCase("water on an enamine", _ENAMINE, ("triethylamine",), solvent="toluene", plan="wash water 15" + _END),
        PlanCase(
            "bicarbonate on an imine of an aliphatic aldehyde",
            "CCC(C)C=NCCc1ccccc1",
            ("triethylamine",),
            plan="wash nahco3_sat 15" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: water takes a salt that nothing else takes",
            _ENAMINE,
            ("triethylamine hydrochloride; 10 mmol",),
            plan="wash nahco3_sat 2x15" + _END,
        ),
        PlanCase("near miss: an enamine that is stripped", _ENAMINE, ("triethylamine",), plan="filter | concentrate"),
        PlanCase("water on an amine", "CCN(CC)Cc1ccccc1", ("triethylamine",), plan="wash water 15" + _END),
    ),
)
def water_without_need(engine: Any, n: int, s: str, g: str) -> None:
    """Find an aqueous wash of what water hydrolyses, where our own plan has none."""
    job, group = engine.job, table(Group)[g]
    if any(step.solution for step in job.plan.steps) or any(a.contacts for a in job.bench.acts[: n - 1]):
        return
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="product",
            root=f"broken {n}",
            remedy="leave the water out: filter off what is solid, strip the rest, and take the product on dry",
            numbers=(),
        ),
        f"the {group.name} of {job.name('product')} meets water for nothing that stripping would not do: {group.limit_reason}",
        (group.source,),
    )
