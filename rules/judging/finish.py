"""The end of a plan: brine, drying, filtering, stripping, and their order."""

from typing import Any

from washlore.knowledge.rows import Desiccant, Group, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, TEST, L, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ETHER = "COCCc1ccc(Cl)cc1"
_ACETAL = "c1ccccc1C1OCCO1"
_END = " | filter off desiccant | concentrate"
# A solvent that holds more water than this asks much of a drying agent without brine.
HOLDS_WATER_PCT = 2.5
# What calcium chloride binds, but not firmly enough to call the product lost.
LOOSELY = {"cacl2": ("amide", "lactam", "phenol", "phosphine_oxide", "sulfoxide", "n_oxide")}


@rule(
    j.Finish(dry=MATCH.dry & ~L(0), water=MATCH.water, last_dry=MATCH.last),
    TEST(lambda dry, water: water > dry),
    stage="warn",
    salience=priority.OUT_OF_ORDER,
    title="Drying comes after the last wash",
    why="A dried layer that meets water again is wet again; the drying agent was wasted, or dissolves in the wash.",
    sources=("williamson", "common_practice"),
    fires=(
        PlanCase(
            "dried before bicarbonate",
            _ESTER,
            ("benzoic acid",),
            plan="dry mgso4 | filter off desiccant | wash nahco3_sat 2x15 | wash brine 15 | concentrate",
        ),
        PlanCase(
            "dried before brine",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | dry mgso4 | wash brine 15 | concentrate",
        ),
    ),
    silent=(
        PlanCase(
            "dried last", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END
        ),
        PlanCase(
            "near miss: magnesium sulfate with the salts of a hydride, and again after the wash",
            "COCCc1ccc(Cl)cc1",
            ("lithium aluminium hydride; 5 mmol", "benzylamine; 3 mmol"),
            plan="quench water 2 | dry mgso4 | filter off desiccant | wash citric_10 2x15 | wash brine 15 | dry mgso4"
            + _END,
        ),
        PlanCase(
            "near miss: concentrated, taken up again, washed and dried",
            _ESTER,
            ("benzoic acid",),
            plan="concentrate | dilute ethyl_acetate 40 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END,
        ),
    ),
)
def dried_too_early(engine: Any, dry: int, water: int, last: int) -> None:
    """Find drying before washing."""
    job = engine.job
    wet = last < water
    engine.conclude(
        j.Finding(
            kind="technique",
            step=dry,
            component="",
            root="order of drying",
            remedy="wash first, brine last, then dry, filter, rinse and strip",
            numbers=(),
        ),
        f"{job.label(dry)} comes before {job.label(water)}, which wets the layer again"
        + (": water goes into the crude product" if wet else ""),
    )


@rule(
    j.Finish(dry=0, water=MATCH.water & ~L(0), strip=MATCH.strip, solvent=MATCH.s, held=MATCH.held),
    TEST(lambda water, strip: strip > water),
    stage="warn",
    title="A washed layer is dried before it is stripped",
    why="The organic layer holds water in solution and in drops; stripped with it, water stays with the product, foams, and "
    "hydrolyses what is sensitive.",
    sources=("zubrick", "williamson"),
    fires=(
        PlanCase(
            "no drying agent", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | wash brine 15 | concentrate"
        ),
        PlanCase(
            "no drying agent, ethyl acetate",
            _ESTER,
            ("benzoic acid",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15 | concentrate",
        ),
    ),
    silent=(
        PlanCase("dried", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END),
        PlanCase("near miss: never wet", _ESTER, ("acetone",), plan="filter | concentrate"),
    ),
)
def not_dried(engine: Any, water: int, strip: int, s: str, held: float) -> None:
    """Find a wet layer that is stripped."""
    job = engine.job
    holds = f"{table(Solvent)[s].name} saturated with water holds {held:g} % of it" if held else ""
    engine.conclude(
        j.Finding(
            kind="leftover",
            step=strip,
            component="",
            root="order of drying",
            remedy="dry over sodium or magnesium sulfate until fresh powder moves freely, filter and rinse, then strip",
            numbers=(("water_held_percent", held),),
        ),
        f"{job.label(strip)} follows {job.label(water)} without drying"
        + (f": {holds}, and drops besides" if holds else ""),
    )


@rule(
    j.Finish(strip=MATCH.strip & ~L(0), last_dry=MATCH.last, filter=MATCH.filter),
    TEST(lambda strip, last, filter: strip < max(last, filter)),
    stage="warn",
    title="Drying agent is filtered off before the solvent is stripped",
    why="A hydrate gives its water back on warming, and the solid stays with the product.",
    sources=("williamson", "common_practice"),
    fires=(
        PlanCase(
            "stripped before drying",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine 15 | concentrate | dry mgso4 | filter off desiccant",
        ),
        PlanCase(
            "stripped before filtering",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | concentrate | filter off desiccant",
        ),
    ),
    silent=(
        PlanCase("in order", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END),
        PlanCase(
            "near miss: partly stripped before the washes",
            _ESTER,
            ("benzoic acid",),
            plan="evaporate | dilute ethyl_acetate 40 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END,
        ),
    ),
)
def stripped_too_early(engine: Any, strip: int, last: int, filter: int) -> None:
    """Find stripping before drying or filtering."""
    job = engine.job
    undried = strip < last
    before = job.label(last if undried else filter)
    engine.conclude(
        j.Finding(
            kind="leftover" if undried else "technique",
            step=strip,
            component="",
            root="order of drying",
            remedy="dry, filter, rinse the solid with clean solvent, and only then strip",
            numbers=(),
        ),
        f"{job.label(strip)} comes before {before}: water or drying agent stays with {job.name('product')}",
    )


@rule(
    j.Finish(strip=MATCH.strip, last_dry=MATCH.last & ~L(0), filter=0, itemised=True),
    TEST(lambda strip, last: strip > last),
    stage="warn",
    title="The drying agent is filtered off, and rinsed, before the solvent is stripped",
    why="The solid would stay in the flask and give its water back on warming; what it holds of the product comes with a rinse "
    "of clean dry solvent.",
    sources=("williamson", "common_practice"),
    fires=(
        PlanCase(
            "dried and stripped", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | dry mgso4 | concentrate"
        ),
        PlanCase(
            "dried and stripped, with brine",
            _ESTER,
            ("pyridine",),
            plan="wash hcl_1m 2x15 | wash brine 15 | dry na2so4 | concentrate",
        ),
    ),
    silent=(
        PlanCase("filtered", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15 | dry mgso4" + _END),
        PlanCase(
            "near miss: dried, and the plan ends there",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4",
        ),
    ),
)
def not_filtered(engine: Any, strip: int, last: int) -> None:
    """Find a drying agent that is never filtered off."""
    job = engine.job
    if job.read(last).desiccant in ("phase_separator", "toluene_azeotrope"):
        return
    engine.conclude(
        j.Finding(
            kind="technique",
            step=last,
            component="",
            root="filter",
            remedy="filter, rinse the solid with two or three small portions of clean dry solvent, then strip",
            numbers=(),
        ),
        f"no filtration is named between {job.label(last)} and {job.label(strip)}: the solid would stay with "
        f"{job.name('product')}",
    )


@rule(
    j.Finish(filter=MATCH.filter & ~L(0), strip=MATCH.strip, rinsed=False, listed=True),
    TEST(lambda filter, strip: strip > filter),
    stage="warn",
    title="The drying agent is rinsed with a little clean solvent, and the rinse goes with the filtrate",
    why="The wet cake holds about its own volume of the solution, and the product in it. It is said of numbered and bulleted "
    "plans only: prose takes it for granted.",
    sources=("zubrick", "williamson"),
    fires=(
        PlanCase(
            "a list that filters and strips",
            _ESTER,
            ("benzoic acid",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END,
            bullets=True,
        ),
        PlanCase(
            "a list with hydrochloric acid",
            _ESTER,
            ("pyridine",),
            solvent="toluene",
            plan="wash hcl_1m 2x15 | wash brine 15 | dry na2so4" + _END,
            bullets=True,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: rinsed",
            _ESTER,
            ("benzoic acid",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | rinse ethyl_acetate 5 | concentrate",
            bullets=True,
        ),
        PlanCase(
            "running text",
            _ESTER,
            ("benzoic acid",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15 | wash brine 15 | dry mgso4" + _END,
        ),
    ),
)
def rinse_is_not_listed(engine: Any, filter: int, strip: int) -> None:
    """Find a list of steps that filters without a rinse."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="technique",
            step=filter,
            component="product",
            root="rinse",
            remedy="rinse the solid with two or three small portions of clean dry solvent before stripping",
            numbers=(),
        ),
        f"{job.label(filter)} is followed by {job.label(strip)} without a rinse: the cake keeps some of {job.name('product')}",
    )


@rule(
    j.Finish(dry=~L(0), brine=0, water=~L(0), solvent=MATCH.s, held=MATCH.held),
    TEST(lambda held: held >= HOLDS_WATER_PCT),
    stage="warn",
    title="Brine before the drying agent spares most of it where the solvent holds much water",
    why="Salt lowers the activity of the water and draws it out of the organic layer; the drying agent then has little to do.",
    sources=("zubrick", "williamson"),
    fires=(
        PlanCase(
            "ethyl acetate without brine",
            _ESTER,
            ("benzoic acid",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15 | dry mgso4" + _END,
        ),
        PlanCase(
            "2-MeTHF without brine",
            _ESTER,
            ("benzoic acid",),
            solvent="2-MeTHF",
            plan="wash nahco3_sat 2x15 | dry mgso4" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "with brine",
            _ESTER,
            ("benzoic acid",),
            solvent="ethyl acetate",
            plan="wash nahco3_sat 2x15 | wash brine | dry mgso4" + _END,
        ),
        PlanCase(
            "near miss: dichloromethane holds little water",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | dry mgso4" + _END,
        ),
    ),
)
def brine_is_skipped(engine: Any, s: str, held: float) -> None:
    """Find drying without brine in a wet solvent, where brine does the product no harm."""
    job = engine.job
    if job.harms("brine"):
        return
    name = table(Solvent)[s].name
    engine.conclude(
        j.Finding(
            kind="technique",
            step=job.first_dry(),
            component="",
            root="brine",
            remedy="wash with brine last, or take two to three times the drying agent",
            numbers=(("water_held_percent", held),),
        ),
        f"{name} saturated with water holds {held:g} % of it, and no brine comes before {job.label(job.first_dry())}",
    )


@rule(
    j.Did(step=MATCH.n, action="dry", desiccant=MATCH.d),
    f.BarredDesiccant(desiccant=MATCH.d, group=MATCH.g),
    TEST(lambda d, g: g in table(Desiccant)[d].binds and _holds(d, g)),
    stage="warn",
    title="A drying agent that holds the product keeps it on the filter",
    why="Calcium chloride forms solid complexes with alcohols and amines; a basic solid turns an acid into its salt.",
    sources=("armarego", "vogel"),
    fires=(
        PlanCase(
            "calcium chloride and an alcohol",
            "OC1CCCCC1CCC",
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry cacl2" + _END,
        ),
        PlanCase(
            "potassium carbonate and a carboxylic acid",
            "OC(=O)CCc1ccccc1",
            ("pyridine",),
            plan="wash hcl_1m 2x15 | wash brine | dry k2co3" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "calcium chloride and an ether",
            _ETHER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry cacl2" + _END,
        ),
        PlanCase(
            "near miss: sodium sulfate and an alcohol",
            "OC1CCCCC1CCC",
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry na2so4" + _END,
        ),
    ),
)
def desiccant_holds_product(engine: Any, n: int, d: str, g: str) -> None:
    """Find a drying agent that binds the product."""
    _desiccant(engine, n, d, g, "loss", "holds")


@rule(
    j.Did(step=MATCH.n, action="dry", desiccant=MATCH.d),
    f.BarredDesiccant(desiccant=MATCH.d, group=MATCH.g),
    TEST(lambda d, g: g in table(Desiccant)[d].binds and any(w in g for w in LOOSELY.get(d, ()))),
    stage="warn",
    salience=priority.ASIDE,
    title="Calcium chloride is for hydrocarbons, ethers and halides; it takes up amides and phenols too",
    why="Calcium binds what has a lone pair to give: alcohols and amines firmly, amides, lactams, phenols, sulfoxides and "
    "phosphine oxides in part. What it holds stays on the filter.",
    sources=("armarego", "vogel"),
    fires=(
        PlanCase(
            "calcium chloride and an anilide",
            "CC(=O)Nc1ccc(CCCC)cc1",
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry cacl2" + _END,
        ),
        PlanCase(
            "calcium chloride and a benzamide",
            "CCCCNC(=O)c1ccccc1",
            ("pyridine",),
            plan="wash hcl_1m 2x15 | wash brine | dry cacl2" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "calcium chloride and an ether",
            _ETHER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry cacl2" + _END,
        ),
        PlanCase(
            "near miss: magnesium sulfate and an anilide",
            "CC(=O)Nc1ccc(CCCC)cc1",
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry mgso4" + _END,
        ),
    ),
)
def desiccant_holds_a_little(engine: Any, n: int, d: str, g: str) -> None:
    """Find a drying agent that binds the product in part."""
    _desiccant(engine, n, d, g, "technique", "binds, in part,")


def _holds(desiccant: str, group: str) -> bool:
    """Tell whether a drying agent holds a group firmly; what it only holds a little is left aside."""
    firmly = {
        "cacl2": ("alcohol", "glycol", "polyol", "amine", "aniline", "pyridine", "imidazole", "carboxylic_acid"),
        "k2co3": ("carboxylic_acid", "fatty_acid", "sulfonic", "sulfinic", "tetrazole", "phosphorus_acid", "thioacid"),
    }
    return any(word in group for word in firmly.get(desiccant, (group,)))


@rule(
    j.Did(step=MATCH.n, action="dry", desiccant=MATCH.d),
    f.BarredDesiccant(desiccant=MATCH.d, group=MATCH.g),
    TEST(lambda d, g: g not in table(Desiccant)[d].binds),
    stage="warn",
    title="An acid-sensitive product is dried over a neutral or basic solid, a base-sensitive one over a neutral one",
    why="Magnesium sulfate is slightly acidic in its film of water, hydroxides and carbonates are basic; minutes over them may "
    "be enough for the most sensitive groups.",
    sources=("armarego", "leonard"),
    fires=(
        PlanCase(
            "magnesium sulfate and an orthoester",
            "COC(OC)(OC)CCc1ccccc1",
            ("cyclohexanol",),
            plan="wash water 2x15 | wash brine | dry mgso4" + _END,
        ),
        PlanCase(
            "magnesium sulfate and an enol ether",
            "C=COCCCCCCc1ccccc1",
            ("cyclohexanol",),
            plan="wash water 2x15 | wash brine | dry mgso4" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: magnesium sulfate and an acetal, which stands it for minutes",
            _ACETAL,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry mgso4" + _END,
        ),
        PlanCase(
            "magnesium sulfate and an ester",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | wash brine | dry mgso4" + _END,
        ),
    ),
)
def desiccant_harms_product(engine: Any, n: int, d: str, g: str) -> None:
    """Find a drying agent that may harm the product."""
    _desiccant(engine, n, d, g, "technique", "may harm")


def _desiccant(engine: Any, n: int, d: str, g: str, kind: str, verb: str) -> None:
    job = engine.job
    row = table(Desiccant)[d]
    engine.conclude(
        j.Finding(
            kind=kind,
            step=n,
            component="product",
            root=f"desiccant {n}",
            remedy=f"dry over {job.our_desiccant()}",
            numbers=(),
        ),
        f"{row.name} is {row.character} and {verb} the {table(Group)[g].name} of {job.name('product')}",
        (row.source,),
    )
