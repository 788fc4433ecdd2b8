"""What the evaporator takes of a product that boils low."""

from typing import Any

from washlore.rules.engine import MATCH, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.words import share

_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"


@rule(
    j.Strips(
        step=MATCH.n, boiling_c=MATCH.b, words=MATCH.words, mbar=MATCH.mbar, bath_c=MATCH.bath, vapour_mbar=MATCH.vapour
    ),
    stage="warn",
    title="A product that boils low leaves with its solvent on the rotary evaporator",
    why="What boils within some tens of degrees of the solvent, or above the pressure that is set, goes over with it; a column at "
    "atmospheric pressure parts them.",
    sources=("common_practice",),
    fires=(
        PlanCase(
            "dipropyl ether under vacuum",
            "CCCOCCC",
            ("1-propanol",),
            solvent="pentane",
            plan="wash water 3x10" + _END + " in vacuo",
        ),
        PlanCase(
            "cyclohexene on the rotary evaporator",
            "C1=CCCCC1",
            ("benzoic acid",),
            solvent="pentane",
            plan="wash nahco3_sat 2x10" + _END + " rotovap",
        ),
    ),
    silent=(
        PlanCase(
            "near miss: no word of a vacuum",
            "CCCOCCC",
            ("1-propanol",),
            solvent="pentane",
            plan="wash water 3x10" + _END,
        ),
        PlanCase("octanol, 195 C", "OCCCCCCCC", ("benzoic acid",), plan="wash nahco3_sat 2x10" + _END + " in vacuo"),
    ),
)
def product_is_stripped(engine: Any, n: int, b: float, words: str, mbar: float, bath: float, vapour: float) -> None:
    """Find a volatile product under vacuum."""
    job = engine.job
    boils_away = 0 < mbar < vapour
    much = (
        f"; in a bath of {bath:.0f} C its vapour pressure is some {vapour:.0f} mbar, and at {mbar:.0f} mbar it boils away"
        if boils_away
        else ""
    )
    engine.conclude(
        j.Finding(
            kind="loss" if boils_away else "technique",
            step=n,
            component="product",
            root="volatile product",
            remedy=job.our_last_step(),
            numbers=(("boiling_c", round(b)), ("vapour_mbar", vapour)),
        ),
        f"{job.name('product')} boils near {b:.0f} C, and {job.label(n)} strips it ({words}){much}",
    )


@rule(
    j.Unstripped(step=MATCH.n, component=MATCH.c, boiling_c=MATCH.b, share=MATCH.left),
    stage="warn",
    salience=priority.TOO_WEAK,
    title="A solvent that boils high is washed out with water and not stripped",
    why="DMSO and N-methylpyrrolidone boil near 200 C and have a few mbar at the temperature of a bath: days on the rotary "
    "evaporator, while three washes of an ether or ester layer with water take them.",
    sources=("crc", "common_practice"),
    fires=(
        PlanCase(
            "NMP on the rotary evaporator", "CCOC(=O)/C=C/c1ccccc1", (), solvent="NMP", plan="evaporate NMP rotovap"
        ),
        PlanCase("DMSO", "CCOC(=O)/C=C/c1ccccc1", (), solvent="DMSO", plan="evaporate DMSO | dilute diethyl_ether 40"),
    ),
    silent=(
        PlanCase(
            "near miss: washed out before",
            "CCOC(=O)/C=C/c1ccccc1",
            (),
            solvent="DMSO",
            plan="dilute diethyl_ether 60 | wash water 3x60" + _END,
        ),
        PlanCase("THF is", "CCOC(=O)/C=C/c1ccccc1", (), solvent="THF", plan="evaporate THF | dilute diethyl_ether 40"),
    ),
)
def boils_too_high(engine: Any, n: int, c: str, b: float, left: float) -> None:
    """Find a high-boiling solvent that is to be stripped."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="leftover",
            step=n,
            component=c,
            root=f"left {c}",
            remedy=job.ours_of(c) or "take up in ether or ethyl acetate and wash with water three times",
            numbers=(("left", left), ("boiling_c", round(b))),
        ),
        f"{job.name(c)} boils at {b:.0f} C and hardly leaves in {job.label(n)}: {share(left)} of it is there at the end",
    )
