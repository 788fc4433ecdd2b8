"""What a plan does to the product: broken by acid, base or water, or taken by what a wash brings."""

from typing import Any

from washlore.knowledge.rows import Group, Solution, table
from washlore.rules import facts as f
from washlore.rules.account import POURED
from washlore.rules.engine import MATCH, NOT, TEST, rule
from washlore.rules.families.protection import TRAITS
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.words import between, share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ACETAL = "c1ccccc1C1OCCO1"
_SILYL = "CC(C)(C)[Si](C)(C)OCCc1ccccc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
# A wash this far beyond what the product stands breaks it; nearer is a matter of minutes.
BEYOND_PH = 1.0
BEYOND_ACID_PH = 2.0
# A loss in five minutes, by a known rate, from which a wash just beyond the limit is called one that breaks the product.
BREAKS = 0.15
# A loss in a quarter of an hour in one phase with acid, which an hour makes half of the product.
BREAKS_IN_ONE_PHASE = 0.1
# From here on, some 4 M and more, water is scarce enough for cations to form within minutes.
CONCENTRATED_PH = -0.6
# What does the work of a wash that brings this, and leaves the product alone.
INSTEAD_OF = {"sulfite": "; thiosulfate reduces oxidants and does not add to carbonyl groups"}

# What stands no bicarbonate is kept to neutral water.
BICARBONATE_PH, NEUTRAL_INSTEAD = 8.2, "plain water or a buffer of pH 7, ice-cold and brief"


@rule(
    j.Did(step=MATCH.n, action=MATCH.action, solution=MATCH.s, ph=MATCH.ph, survives=False, breaks=MATCH.breaks),
    f.Stands(side="high", ph=MATCH.limit, group=MATCH.g),
    TEST(lambda s, ph, limit, breaks: ph > limit + (BEYOND_PH if breaks < BREAKS else 0.0) and ph > 7.5),
    stage="warn",
    title="Strong base breaks what the product is made of",
    why="Hydroxide saponifies esters and opens lactones, takes off Fmoc and acetyl groups, and scrambles stereocentres next to "
    "carbonyl groups; the rate grows tenfold with each pH unit.",
    sources=("greene", "vogel"),
    fires=(
        PlanCase("hydroxide on an ester", "COC(=O)CCCO", ("benzoic acid",), plan="wash naoh_1m 2x15" + _END),
        PlanCase(
            "hydroxide on an aryl acetate", "CC(=O)Oc1ccc(C)cc1", ("benzoic acid",), plan="wash naoh_2m 2x15" + _END
        ),
        PlanCase(
            "water that hydroxide of the flask turns to lye",
            "CC(=O)Oc1ccc(C)cc1",
            ("sodium hydroxide; 5 mmol",),
            plan="wash water 20" + _END,
        ),
    ),
    silent=(
        PlanCase("bicarbonate on an ester", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
        PlanCase(
            "near miss: hydroxide on an amide", "CCCCNC(=O)c1ccccc1", ("phenol",), plan="wash naoh_1m 2x15" + _END
        ),
        PlanCase(
            "near miss: water that an amine makes basic, as the flask was",
            "CC(=O)Oc1ccc(C)cc1",
            ("triethylamine; 20 mmol",),
            plan="wash water 20" + _END,
        ),
    ),
)
def base_breaks_the_product(
    engine: Any, n: int, action: str, s: str, ph: float, limit: float, g: str, breaks: float
) -> None:
    """Find base that destroys the product."""
    if engine.job.must_be(s, n):
        return
    milder = "saturated sodium hydrogen carbonate, pH 8, or a buffer" if limit >= BICARBONATE_PH else NEUTRAL_INSTEAD
    if engine.job.turned(n) is not None:
        milder = "saturated ammonium chloride, or phosphate of pH 6 or 7, which takes the base up, as the first wash"
    _broken(engine, n, s, ph, limit, g, "up to", milder, action=action)


@rule(
    j.Did(step=MATCH.n, action=MATCH.action, solution=MATCH.s, ph=MATCH.ph, survives=False, breaks=MATCH.breaks),
    f.Stands(side="low", ph=MATCH.limit, group=MATCH.g),
    TEST(lambda s, ph, limit, breaks: ph < limit - (BEYOND_ACID_PH if breaks < BREAKS else 0.0) and ph < 6.5),
    stage="warn",
    title="Acid breaks what the product is made of",
    why="Acetals, silyl ethers, enol ethers, tert-butyl esters and their like come apart by protonation; the rate grows tenfold "
    "with each pH unit.",
    sources=("greene",),
    fires=(
        PlanCase("hydrochloric acid on an acetal", _ACETAL, ("pyridine",), plan="wash hcl_1m 2x15" + _END),
        PlanCase(
            "hydrochloric acid on an open-chain acetal",
            "CCOC(C)OCCO",
            ("triethylamine",),
            plan="wash hcl_1m 2x15" + _END,
        ),
        PlanCase(
            "water that hydrogen chloride of the flask turns to acid",
            "COC(C)(C)OCCCO",
            ("HCl; 5 mmol",),
            plan="wash water 20" + _END,
        ),
        PlanCase(
            "hydrochloric acid on a cyclic ketal, by its rate",
            "C1CCC2(CC1)OCCO2",
            ("pyridine",),
            solvent="toluene",
            plan="wash hcl_1m 2x20" + _END,
        ),
    ),
    silent=(
        PlanCase("hydrochloric acid on an ethyl ester", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15" + _END),
        PlanCase("near miss: water on an acetal", _ACETAL, ("pyridine",), plan="wash water 2x15" + _END),
        PlanCase(
            "near miss: bicarbonate in two portions, the second of which is enough",
            _ACETAL,
            ("boron trichloride; 5 mmol",),
            plan="quench nahco3_sat 6 | quench nahco3_sat 40 | wash brine 15" + _END,
        ),
    ),
)
def acid_breaks_the_product(
    engine: Any, n: int, action: str, s: str, ph: float, limit: float, g: str, breaks: float
) -> None:
    """Find acid that destroys the product."""
    if engine.job.must_be(s, n):
        return
    _broken(
        engine,
        n,
        s,
        ph,
        limit,
        g,
        "down to",
        "a buffer or water; phosphate of pH 6 or 7 takes most amines"
        if engine.job.turned(n) is None
        else "saturated sodium hydrogen carbonate in small portions, which takes the acid up, as the first wash",
        action=action,
    )


@rule(
    j.SetTo(step=MATCH.n, ph=MATCH.ph),
    f.Stands(side=MATCH.side, ph=MATCH.limit, group=MATCH.g),
    TEST(
        lambda ph, side, limit: (
            ph > max(limit + BEYOND_PH, 7.5) if side == "high" else ph < min(limit - BEYOND_ACID_PH, 6.5)
        )
    ),
    stage="warn",
    title="A pH that sets the product free must be one that it stands",
    why="In the water all of the product meets the acid or base, and not the trace that an organic layer lets into it. Two units "
    "beyond its pKa is far enough; what lies further breaks esters and protecting groups while the layers are found.",
    sources=("greene", "vogel"),
    fires=(
        PlanCase(
            "pH 14 on an amino ester",
            "COC(=O)[C@@H](N)Cc1ccccc1",
            ("HCl; 30 mmol",),
            solvent="1,4-dioxane",
            plan="set ph naoh_2m pH 14 | extract ethyl_acetate 3x20" + _END,
        ),
        PlanCase(
            "pH 0 on an acid with an acetal",
            "OC(=O)CCc1ccc(C2OCCO2)cc1",
            ("sodium hydroxide; 20 mmol",),
            solvent="methanol",
            plan="set ph hcl_6m pH 0 | extract ethyl_acetate 3x20" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: pH 9 on an amino ester",
            "COC(=O)[C@@H](N)Cc1ccccc1",
            ("HCl; 30 mmol",),
            solvent="1,4-dioxane",
            plan="set ph na2co3_10 pH 9 | extract ethyl_acetate 3x20" + _END,
        ),
        PlanCase(
            "an amine without an ester",
            "C1CCN(CC1)Cc1ccccc1",
            ("HCl; 30 mmol",),
            solvent="1,4-dioxane",
            plan="set ph naoh_2m pH 13 | extract ethyl_acetate 3x20" + _END,
        ),
    ),
)
def set_beyond_what_it_stands(engine: Any, n: int, ph: float, side: str, limit: float, g: str) -> None:
    """Find a pH set that breaks the product."""
    job, group = engine.job, table(Group)[g]
    milder = max(job.neutral_ph(), limit) if side == "low" else min(job.neutral_ph(), limit)
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root=f"broken {n}",
            remedy=f"bring it to pH {milder:g} and no further, cold, and extract at once",
            numbers=(("ph", ph), ("stands_ph", limit)),
        ),
        f"the {group.name} of {job.name('product')} stands water {'up' if side == 'high' else 'down'} to pH {limit:g}, and here "
        f"all of it is in water of pH {ph:g}: {group.limit_reason}",
        (group.source,),
    )


def _is_told_otherwise(job: Any, n: int, action: str, s: str) -> bool:
    """Tell whether a gamble is ours too, or one phase in which nothing keeps the product out of the water.

    Water that the flask turns into lye or acid, and that hardly any of the product is in, is no gamble that anybody chose.
    """
    return job.turned(n) is not None or job.is_ours(s, n) or (action in POURED and job.in_one_phase(n))


def _broken(
    engine: Any,
    n: int,
    s: str,
    ph: float,
    limit: float,
    g: str,
    word: str,
    instead: str,
    survives: bool = False,
    action: str = "wash",
) -> None:
    job = engine.job
    group, name = table(Group)[g], table(Solution)[s].name
    poured, turned = action in POURED, job.turned(n) is not None
    met = f"with {name} in the flask the water is at" if poured else f"{name} has"
    if turned:
        met = f"{job.turned_by(ph)} in the flask {'bring' if ' and ' in job.turned_by(ph) else 'brings'} {name} to"
    loss = job.hydrolysed(n)
    much = ""
    if loss:
        band = between(loss.mid / loss.factor, loss.mid * loss.factor)
        said = share(loss.mid)
        said = said if said.startswith(("over", "under")) else f"about {said}"
        much = f"; {said} of it in {'a quarter of an hour' if poured else 'five minutes of shaking'} ({band})"
    end = "; so little of it is in the water that minutes do no harm, but nothing is gained"
    engine.conclude(
        j.Finding(
            kind="technique" if survives else "loss",
            step=n,
            component="product",
            root=f"broken {n}",
            remedy=f"use {job.ours_for(n) or instead}",
            numbers=(
                ("ph", ph),
                ("stands_ph", limit),
                *((("lost_in_five_minutes", round(loss.mid, 4)),) if loss else ()),
            ),
        ),
        f"the {group.name} of {job.name('product')} stands {'water' if poured else 'a wash'} {word} pH {limit:g}, and "
        f"{met} pH {ph:g}{end if survives else f': {group.limit_reason}{much}'}",
        (group.source,),
    )


@rule(
    j.Did(step=MATCH.n, action=MATCH.action, solution=MATCH.s, ph=MATCH.ph, breaks=MATCH.breaks),
    NOT(f.Stands(side="low")),  # that is told of by its limit
    TEST(lambda ph, breaks: ph < 2.0 and breaks >= BREAKS_IN_ONE_PHASE),
    stage="warn",
    title="Acid that mixes with the reaction meets all of the product, which stands a wash because little of it is in the water",
    why="In DMF, THF or an alcohol the water is one phase with the product; a tert-butyldimethylsilyl ether that outlives a wash "
    "with 1 M acid comes off within an hour there.",
    sources=("greene", "common_practice"),
    fires=(
        PlanCase(
            "a silyl ether in DMF, hydrochloric acid poured in",
            _SILYL,
            ("imidazole",),
            solvent="DMF",
            plan="quench hcl_1m 40 | extract diethyl_ether 3x30" + _END,
        ),
        PlanCase(
            "the same in THF, added",
            _SILYL,
            ("imidazole",),
            solvent="THF",
            plan="dilute hcl_1m 80 | extract ethyl_acetate 3x30" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: in dichloromethane, where water is a layer of its own",
            _SILYL,
            ("imidazole",),
            solvent="dichloromethane",
            plan="quench hcl_1m 40 | wash water 20" + _END,
        ),
        PlanCase(
            "near miss: ammonium chloride in DMF",
            _SILYL,
            ("imidazole",),
            solvent="DMF",
            plan="quench nh4cl_sat 40 | extract diethyl_ether 3x30" + _END,
        ),
        PlanCase(
            "near miss: an ethyl ester in THF, which acid opens too slowly",
            _ESTER,
            ("triethylamine",),
            solvent="THF",
            plan="quench hcl_1m 40 | extract diethyl_ether 3x30" + _END,
        ),
    ),
)
def acid_in_one_phase(engine: Any, n: int, action: str, s: str, ph: float, breaks: float) -> None:
    """Find acid poured onto a product that stands it as a wash only."""
    job = engine.job
    loss = job.hydrolysed(n)
    if not job.in_one_phase(n) or loss is None:
        return
    group = table(Group)[loss.group]
    band = between(loss.mid / loss.factor, loss.mid * loss.factor)
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root=f"broken {n}",
            remedy=f"use {job.ours_for(n) or 'water, or ammonium chloride, which holds the water near pH 5'}",
            numbers=(("ph", ph), ("lost_in_a_quarter_of_an_hour", round(loss.mid, 4))),
        ),
        f"with {table(Solution)[s].name} in the flask the water, one phase with {job.name('product')}, is at pH {ph:g}: "
        f"about {share(loss.mid)} of its {group.name} falls in a quarter of an hour ({band})",
        (loss.source,),
    )


@rule(
    j.Did(step=MATCH.n, action=MATCH.action, solution=MATCH.s, ph=MATCH.ph, survives=True),
    f.Stands(side="high", ph=MATCH.limit, group=MATCH.g),
    TEST(lambda ph, limit: ph > limit + BEYOND_PH),
    stage="warn",
    title="Hydroxide on an ester or the like works only as long as hardly any of it is in the water",
    why="A greasy ester outlives a short, cold wash with hydroxide because it stays out of the water, not because it is slow to "
    "react; a slow separation, a warm day or an alcohol left in the layer ends that.",
    sources=("vogel", "common_practice"),
    fires=(
        PlanCase(
            "hydroxide on a greasy ester",
            "O=C(OCCc1ccccc1)c1ccc(C)cc1",
            ("benzoic acid",),
            plan="wash naoh_1m 2x15" + _END,
        ),
        PlanCase("hydroxide on a fat", "CCCCCCCCCCCC(=O)OCC", ("benzoic acid",), plan="wash naoh_2m 2x15" + _END),
    ),
    silent=(
        PlanCase(
            "bicarbonate on the same ester",
            "O=C(OCCc1ccccc1)c1ccc(C)cc1",
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15" + _END,
        ),
        PlanCase("near miss: hydroxide on an ether", "COCCc1ccc(Cl)cc1", ("phenol",), plan="wash naoh_1m 2x15" + _END),
        PlanCase(
            "near miss: hydroxide ends cyanogen bromide, and nothing milder does",
            "O=C(CCc1ccccc1)OCC1c2ccccc2-c2ccccc21",
            ("BrC#N; 5 mmol",),
            plan="quench naoh_1m 40 | wash water 20" + _END,
        ),
    ),
)
def base_is_a_gamble(engine: Any, n: int, action: str, s: str, ph: float, limit: float, g: str) -> None:
    """Find hydroxide on a greasy product that hydroxide would break."""
    if _is_told_otherwise(engine.job, n, action, s):
        return
    _broken(engine, n, s, ph, limit, g, "up to", "bicarbonate, or keep it cold and short", survives=True)


@rule(
    j.Did(step=MATCH.n, action=MATCH.action, solution=MATCH.s, ph=MATCH.ph, survives=True),
    f.Stands(side="low", ph=MATCH.limit, group=MATCH.g),
    TEST(lambda ph, limit: ph < limit - BEYOND_ACID_PH),
    stage="warn",
    title="Strong acid on an acid-sensitive product works only as long as hardly any of it is in the water",
    why="What stays out of the water outlives a short, cold wash; the film of acid left in the layer grows stronger as the "
    "solvent is stripped.",
    sources=("greene", "common_practice"),
    fires=(
        PlanCase(
            "hydrochloric acid on a greasy enol ether",
            "C=COCCCCCCc1ccccc1",
            ("triethylamine",),
            plan="wash hcl_1m 2x15" + _END,
        ),
        PlanCase(
            "hydrochloric acid on a greasy tetrahydropyranyl ether",
            "CCCCCCCCCCOC1CCCCO1",
            ("triethylamine",),
            plan="wash hcl_1m 2x15" + _END,
        ),
    ),
    silent=(
        PlanCase("hydrochloric acid on an ester", _ESTER, ("triethylamine",), plan="wash hcl_1m 2x15" + _END),
        PlanCase(
            "near miss: phosphate of pH 6 on an enol ether",
            "C=COCCCCCCc1ccccc1",
            ("triethylamine",),
            plan="wash phosphate_ph6 2x15" + _END,
        ),
    ),
)
def acid_is_a_gamble(engine: Any, n: int, action: str, s: str, ph: float, limit: float, g: str) -> None:
    """Find strong acid on a greasy product that acid would break."""
    if _is_told_otherwise(engine.job, n, action, s):
        return
    _broken(engine, n, s, ph, limit, g, "down to", "a milder acid or a buffer", survives=True)


@rule(
    j.Did(step=MATCH.n, solution=MATCH.s, ph=MATCH.ph),
    f.Stands(side="low", ph=MATCH.limit, group=MATCH.g),
    TEST(lambda ph, limit: ph <= CONCENTRATED_PH and limit - BEYOND_ACID_PH <= ph < limit),
    stage="warn",
    salience=priority.ASIDE,
    title="Concentrated acid makes cations of what gives stable ones",
    why="A tertiary benzylic alcohol and its like lose water in concentrated acid, and give the alkene or the chloride; in acid of "
    "1 M and a few minutes they do not.",
    sources=("vogel", "common_practice"),
    fires=(
        PlanCase(
            "6 M hydrochloric acid on a tertiary benzylic alcohol",
            "CCC(C)(O)c1ccccc1",
            ("pyridine",),
            plan="wash hcl_6m 2x15" + _END,
        ),
        PlanCase(
            "6 M hydrochloric acid on triphenylmethanol",
            "OC(c1ccccc1)(c1ccccc1)c1ccccc1",
            ("triethylamine",),
            plan="wash hcl_6m 2x15" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: 1 M hydrochloric acid on it", "CCC(C)(O)c1ccccc1", ("pyridine",), plan="wash hcl_1m 2x15" + _END
        ),
        PlanCase(
            "6 M hydrochloric acid on an ether", "COCCc1ccc(Cl)cc1", ("pyridine",), plan="wash hcl_6m 2x15" + _END
        ),
    ),
)
def concentrated_acid_is_a_gamble(engine: Any, n: int, s: str, ph: float, limit: float, g: str) -> None:
    """Find concentrated acid on what gives a stable cation."""
    job = engine.job
    group = table(Group)[g]
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="product",
            root=f"broken {n}",
            remedy="use acid of 1 M at most, cold and short, or a buffer",
            numbers=(("ph", ph), ("stands_ph", limit)),
        ),
        f"{table(Solution)[s].name} has pH {ph:g}, strong for the {group.name} of {job.name('product')}: {group.limit_reason}",
        (group.source,),
    )


@rule(
    j.Did(step=MATCH.n, solution=MATCH.s),
    f.SpoiltBy(tag=MATCH.tag, group=MATCH.g),
    TEST(lambda s, tag: tag in TRAITS.get(s, ())),
    stage="warn",
    title="A wash that reacts with a group of the product takes the product",
    why="Sulfite adds to aldehydes and reactive ketones, hypochlorite oxidises thiols and amines, copper is held by amines, "
    "fluoride takes silyl groups off.",
    sources=("vogel", "greene"),
    fires=(
        PlanCase("bisulfite on an aldehyde", "O=Cc1ccc(C)cc1", ("pyridine",), plan="wash nahso3_sat 2x15" + _END),
        PlanCase("bisulfite on a cyclic ketone", "O=C1CCCCC1", ("benzaldehyde",), plan="wash nahso3_sat 2x15" + _END),
    ),
    silent=(
        PlanCase("bisulfite on an ester", _ESTER, ("benzaldehyde",), plan="wash nahso3_sat 2x15" + _END),
        PlanCase(
            "near miss: thiosulfate on an aldehyde", "O=Cc1ccc(C)cc1", ("iodine",), plan="wash na2s2o3_10 2x15" + _END
        ),
    ),
)
def wash_reacts_with_product(engine: Any, n: int, s: str, tag: str, g: str) -> None:
    """Find a wash that reacts with the product."""
    job = engine.job
    group = table(Group)[g]
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root=f"broken {n}",
            remedy=f"leave {table(Solution)[s].name} out{INSTEAD_OF.get(tag, '')}",
            numbers=(),
        ),
        f"{table(Solution)[s].name} brings {tag}, which the {group.name} of {job.name('product')} does not stand",
        (group.source,),
    )


@rule(
    j.Unwatered(step=MATCH.n, text=MATCH.text, reacts=True),
    stage="warn",
    title="A product that water destroys can have no aqueous wash",
    why="It would be hydrolysed in the funnel. Filter, evaporate and distil, or take it on as it is.",
    sources=("vogel", "common_practice"),
    fires=(
        PlanCase("an acid chloride", "O=C(Cl)CCc1ccccc1", ("pyridine",), plan="wash water 2x15" + _END),
        PlanCase("an isocyanate", "O=C=Nc1ccccc1", ("triethylamine",), plan="wash hcl_1m 2x15" + _END),
    ),
    silent=(
        PlanCase("an ester", _ESTER, ("pyridine",), plan="wash water 2x15" + _END),
        PlanCase(
            "near miss: an acid chloride that meets no water",
            "O=C(Cl)CCc1ccccc1",
            ("pyridine",),
            plan="filter | concentrate",
        ),
    ),
)
def water_breaks_the_product(engine: Any, n: int, text: str) -> None:
    """Find water on a product that it destroys."""
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root="water",
            remedy="filter off salts under dry conditions, strip the volatiles, and distil or crystallise",
            numbers=(),
        ),
        text,
    )


@rule(
    j.Unwatered(step=MATCH.n, text=MATCH.text, reacts=False),
    stage="warn",
    title="A product that belongs to the water is not worked up with an organic layer",
    why="Where even its least charged form prefers water by far, every wash throws it away and every extraction leaves it "
    "behind.",
    sources=("vogel", "common_practice"),
    fires=(
        PlanCase("taurine", "NCCS(=O)(=O)O", ("pyridine",), plan="wash hcl_1m 2x15" + _END),
        PlanCase("glycine", "NCC(=O)O", ("pyridine",), plan="wash hcl_1m 2x15" + _END),
    ),
    silent=(
        PlanCase("an ester", _ESTER, ("pyridine",), plan="wash water 2x15" + _END),
        PlanCase("near miss: glycine that is only filtered", "NCC(=O)O", ("pyridine",), plan="filter"),
    ),
)
def belongs_to_the_water(engine: Any, n: int, text: str) -> None:
    """Find washes and extractions of a product that stays in the water."""
    what, _, instead = text.partition(". Instead ")
    engine.conclude(
        j.Finding(
            kind="loss" if engine.job.hopeless else "technique",
            step=n,
            component="product",
            root="water",
            remedy=instead or "strip the water and crystallise, or protect it first",
            numbers=(),
        ),
        what,
    )
