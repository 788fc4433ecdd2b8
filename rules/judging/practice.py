"""How it is done: volumes, the funnel, washes without a purpose, the pH of a swap."""

import re
from typing import Any

from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules.engine import MATCH, TEST, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.steps import FULLEST, FUNNELS_ML, LEAST_RATIO, MOST_RATIO

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ACID = "OC(=O)CCc1ccccc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
# A little over is not told: a plan sized for three quarters comes there by other roundings.
FUNNEL_ML = 1.05 * FULLEST * FUNNELS_ML[-1]
OTHER_VESSEL = re.compile(
    r"\b(stirred|bottom outlet|reactor|in (two|three|four|several|two or more) (halves|parts|batches|lots))\b", re.I
)


@rule(
    j.Ratio(step=MATCH.n, ratio=MATCH.ratio, portion_ml=MATCH.portion, layer_ml=MATCH.layer),
    TEST(lambda ratio: ratio < LEAST_RATIO or ratio > MOST_RATIO),
    stage="warn",
    title="A portion of wash is 10 to 50 % of the volume of the organic layer",
    why="Less does not mix through and takes little; more wastes water, loses product and fills the funnel, where several "
    "small portions do better. Equal volumes are common and sound: of 113 portions in published procedures half lie between "
    "31 and 87 %, nine tenths below 125 %. Only what lies outside 8 to 150 % is told.",
    sources=("zubrick", "common_practice"),
    fires=(
        PlanCase("2 mL for 40 mL", _ESTER, ("potassium chloride",), plan="wash water 2" + _END),
        PlanCase("200 mL for 40 mL", _ESTER, ("potassium chloride",), plan="wash water 200" + _END),
    ),
    silent=(
        PlanCase("15 mL for 40 mL", _ESTER, ("potassium chloride",), plan="wash water 2x15" + _END),
        PlanCase("near miss: an equal volume", _ESTER, ("potassium chloride",), plan="wash water 40" + _END),
    ),
)
def odd_volume(engine: Any, n: int, ratio: float, portion: float, layer: float) -> None:
    """Find a volume out of proportion."""
    job = engine.job
    better = "several small portions of a third of the layer" if ratio > 1 else "portions of a third of the layer"
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="",
            root="volume",
            remedy=f"use {better}, about {layer / 3:.0f} mL each",
            numbers=(("share_of_layer", round(ratio, 3)),),
        ),
        f"{job.label(n)}: {portion:g} mL beside an organic layer of {layer:.0f} mL is {100 * ratio:.0f} %",
    )


@rule(
    j.Unvented(step=MATCH.n, co2_ml=MATCH.gas, solvent=MATCH.s, boiling_c=MATCH.b),
    stage="warn",
    salience=priority.ASIDE,
    title="A funnel is vented after the first swirl, and again after each shake",
    why="Vapour of a low-boiling solvent and carbon dioxide of carbonate on acid raise the pressure until the stopper flies. It "
    "is said of numbered and bulleted plans only: prose takes it for granted.",
    sources=("zubrick", "prudent"),
    fires=(
        PlanCase(
            "a list with ether and no venting",
            _ESTER,
            ("pyridine",),
            solvent="diethyl ether",
            plan="wash hcl_1m 2x15" + _END,
            bullets=True,
        ),
        PlanCase(
            "a list with bicarbonate on acetic acid",
            _ESTER,
            ("acetic acid; 4 mmol",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15" + _END,
            bullets=True,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: the same in running text",
            _ESTER,
            ("pyridine",),
            solvent="diethyl ether",
            plan="wash hcl_1m 2x15" + _END,
        ),
        PlanCase(
            "vented",
            _ESTER,
            ("pyridine",),
            solvent="diethyl ether",
            plan="wash hcl_1m 2x15 | vent" + _END,
            bullets=True,
        ),
        PlanCase(
            "neither vapour nor gas",
            _ESTER,
            ("pyridine",),
            solvent="toluene",
            plan="wash hcl_1m 2x15" + _END,
            bullets=True,
        ),
    ),
)
def venting_is_not_listed(engine: Any, n: int, gas: float, s: str, b: float) -> None:
    """Find a list of steps that never vents."""
    job = engine.job
    solvent = table(Solvent)[s].name if s in table(Solvent) else "the solvent"
    cause = (
        f"{job.label(n)} sets about {gas:.0f} mL of carbon dioxide free"
        if gas >= 25
        else f"{solvent} boils at {b:.0f} C and its vapour fills the closed funnel"
    )
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="",
            root=f"vent {n}",
            remedy="swirl open until the gas stops, stopper, invert, vent at once away from faces, and after each shake",
            numbers=(("co2_ml", round(gas)), ("boiling_c", b)),
        ),
        f"no venting is listed: {cause}",
    )


@rule(
    j.Vessel(step=MATCH.n, total_ml=MATCH.total),
    TEST(lambda total: total > FUNNEL_ML),
    stage="warn",
    title="A separating funnel is filled to three quarters at most",
    why="The rest is room for mixing and for gas; 2 L is the largest that can be shaken by hand.",
    sources=("zubrick", "common_practice"),
    fires=(
        PlanCase(
            "1 L of ether and 1 L of water",
            _ESTER,
            ("potassium chloride",),
            solvent="",
            plan="dilute diethyl_ether 1000 | wash water 1000" + _END,
        ),
        PlanCase(
            "2 L of ethyl acetate",
            _ESTER,
            ("potassium chloride",),
            solvent="",
            plan="dilute ethyl_acetate 2000 | wash water 2x500" + _END,
        ),
    ),
    silent=(
        PlanCase("55 mL", _ESTER, ("potassium chloride",), plan="wash water 2x15" + _END),
        PlanCase(
            "near miss: 1.3 L",
            _ESTER,
            ("potassium chloride",),
            solvent="",
            plan="dilute ethyl_acetate 1000 | wash water 2x300" + _END,
        ),
    ),
)
def overfull(engine: Any, n: int, total: float) -> None:
    """Find a funnel overfull."""
    job = engine.job
    moves = (s for s in job.proposal.steps[n:] if s.action not in ("combine", "vent", "check ph", "cool", "wait"))
    after = next((s.start for s in moves if s.start > job.read(n).start), None)
    if OTHER_VESSEL.search(job.proposal.text[job.read(n).start : after]):
        return
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="",
            root="volume",
            remedy="do it in two halves, or in a stirred vessel with a bottom outlet",
            numbers=(("liquid_ml", round(total)),),
        ),
        f"{job.label(n)} brings {total:.0f} mL together, more than three quarters of a 2 L funnel",
    )


@rule(
    j.Idle(step=MATCH.n, solution=MATCH.s, acts=MATCH.acts),
    stage="warn",
    salience=priority.ASIDE,
    title="A wash with nothing to do costs time and some product",
    why="Where nothing in the flask is acid, base or bound by the solution, it takes out what water would.",
    sources=("common_practice",),
    fires=(
        PlanCase(
            "acid where no base is", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | wash hcl_1m 15" + _END
        ),
        PlanCase(
            "thiosulfate where no oxidant is",
            _ESTER,
            ("pyridine",),
            plan="wash hcl_1m 2x15 | wash na2s2o3_10 15" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "each has its purpose",
            _ESTER,
            ("benzoic acid", "pyridine"),
            plan="wash hcl_1m 2x15 | wash nahco3_sat 2x15" + _END,
        ),
        PlanCase(
            "near miss: bicarbonate to end an acid wash",
            _ESTER,
            ("pyridine",),
            plan="wash hcl_1m 2x15 | wash nahco3_sat 15" + _END,
        ),
    ),
)
def idle_wash(engine: Any, n: int, s: str, acts: str) -> None:
    """Find a wash without a purpose."""
    job = engine.job
    engine.conclude(
        j.Finding(kind="technique", step=n, component="", root="idle", remedy="leave it out", numbers=()),
        f"{table(Solution)[s].name} finds nothing to take out in {job.label(n)}",
    )


@rule(
    j.Swapped(step=MATCH.n, tested=False),
    stage="warn",
    title="In a change of layer the pH is checked before anything is extracted or thrown away",
    why="Whether the product is a salt or neutral hangs on the pH alone; paper tells it in a second, and a wrong guess costs the "
    "product.",
    sources=("williamson", "common_practice"),
    fires=(
        PlanCase(
            "acidified, no pH",
            _ACID,
            ("CCCCCCCCO",),
            plan="take up naoh_1m 3x20 | set ph hcl_6m | extract ethyl_acetate 3x20" + _END,
        ),
        PlanCase(
            "basified, no pH",
            "NCCCCCCCC",
            ("acetophenone",),
            plan="take up hcl_1m 3x20 | set ph naoh_3m | extract ethyl_acetate 3x20" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "pH 2 is said",
            _ACID,
            ("CCCCCCCCO",),
            plan="take up naoh_1m 3x20 | set ph hcl_6m pH 2 | extract ethyl_acetate 3x20" + _END,
        ),
        PlanCase(
            "near miss: no pH, but paper",
            _ACID,
            ("CCCCCCCCO",),
            plan="take up naoh_1m 3x20 | set ph hcl_6m | check ph | extract ethyl_acetate 3x20" + _END,
        ),
    ),
)
def ph_not_checked(engine: Any, n: int) -> None:
    """Find a swap without a pH."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="product",
            root=f"ph {n}",
            remedy=f"bring it to pH {job.neutral_ph():g} and check with paper",
            numbers=(("ph", job.neutral_ph()),),
        ),
        f"{job.label(n)} names no pH, and none is checked before the extraction",
    )
