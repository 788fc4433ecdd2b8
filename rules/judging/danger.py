"""What in a plan can hurt someone: poison gas, fire, explosion, pressure."""

from typing import Any

from washlore.knowledge.rows import Gas, Residue, Solution, table
from washlore.rules.engine import MATCH, TEST, rule
from washlore.rules.families.quench import frees_poison, gases
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.judging.mixing import FALLS_WITH_COPPER
from washlore.rules.perils import DEADLY
from washlore.rules.words import share

_ESTER = "CCOC(=O)c1ccccc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
# Reagents whose heat and gas a closed funnel does not hold.
VIOLENT = ("metal", "hydride", "organometallic")
# Of these, what only fizzes in water.
TAME = ("cyanoborohydride", "triacetoxyborohydride", "borohydride", "borane_complex", "metal_powder")
GENTLER = ("acid halide", "silane", "fluorinating agent", "mineral acid", "Lewis acid")
# Of what must never meet some solution, what only spoils the workup: amides, and the copper salt of a thiol.
HARMLESS_TOGETHER = ("acid_chloride", "carboxylic_anhydride", *FALLS_WITH_COPPER)
LEAST_SHARE = 0.02
GAS_ML, GAS_PER_ML = 150.0, 1.5


def _gas(residue: str) -> str:
    gas = table(Gas)[table(Residue)[residue].acid_frees]
    return f"{gas.name} ({gas.danger})"


@rule(
    j.Meets(step=MATCH.n, component=MATCH.c, residue=MATCH.r, solution=MATCH.s, share=MATCH.share, ph=MATCH.ph),
    TEST(lambda r, ph: frees_poison(r, ph)),
    stage="warn",
    salience=priority.POISON,
    title="Acid on azide, cyanide, sulfide or hypochlorite sets a poison gas free",
    why="Their acids are weak and volatile: below pH 9 hydrogen cyanide, below pH 7 hydrogen sulfide, below pH 5 hydrazoic acid "
    "and chlorine leave the water.",
    sources=("prudent", "bretherick"),
    fires=(
        PlanCase(
            "azide and hydrochloric acid",
            _ESTER,
            ("sodium azide",),
            solvent="DMF",
            plan="dilute water 60 | set ph hcl_1m pH 2 | extract diethyl_ether 3x20" + _END,
        ),
        PlanCase("cyanide and hydrochloric acid", _ESTER, ("sodium cyanide",), plan="wash hcl_1m 2x15" + _END),
        PlanCase("sulfide and hydrochloric acid", _ESTER, ("sodium sulfide",), plan="wash hcl_1m 2x15" + _END),
        PlanCase("cyanide and neat acetic acid", _ESTER, ("sodium cyanide",), plan="quench acetic_acid" + _END),
        PlanCase("bleach and hydrochloric acid", _ESTER, ("sodium hypochlorite",), plan="wash hcl_1m 2x15" + _END),
    ),
    silent=(
        PlanCase("chloride and hydrochloric acid", _ESTER, ("sodium chloride",), plan="wash hcl_1m 2x15" + _END),
        PlanCase(
            "near miss: the azide is washed out before the acid",
            _ESTER,
            ("sodium azide",),
            plan="wash na2co3_10 2x15 | wash hcl_1m 2x15" + _END,
        ),
    ),
)
def acid_frees_poison(engine: Any, n: int, c: str, r: str, s: str, share: float, ph: float) -> None:
    """Find acid on what gives a poison gas."""
    job = engine.job
    row = table(Residue)[r]
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root=f"gas {c}",
            remedy="wash it out with dilute carbonate first, keep that water basic and apart from acid, and treat it by itself",
            numbers=(("mmol_there", round(share * job.plan.component(c).mmol, 3)), ("ph", round(ph, 1))),
        ),
        f"{job.name(c)} is still there and meets pH {ph:.1f}: {_gas(r)} is set free",
        (row.source,),
    )


@rule(
    j.Meets(step=MATCH.n, component=MATCH.c, residue=MATCH.r, solution=MATCH.s, share=MATCH.share, ph=MATCH.ph),
    TEST(lambda r, ph, s: s and not frees_poison(r, ph) and r not in HARMLESS_TOGETHER),
    stage="warn",
    salience=priority.MEETING,
    title="Some solutions must never meet some leftovers",
    why="Ammonia with bleach or iodine, copper with azides, bleach with amines or acetone give explosive or poisonous products.",
    sources=("bretherick", "prudent"),
    fires=(
        PlanCase("ammonia and bleach", _ESTER, ("sodium hypochlorite",), plan="wash nh4cl_nh3 2x15" + _END),
        PlanCase("ammonia and iodine", _ESTER, ("iodine",), plan="wash ammonia_10 2x15" + _END),
    ),
    silent=(
        PlanCase("thiosulfate and iodine", _ESTER, ("iodine",), plan="wash na2s2o3_10 2x15" + _END),
        PlanCase("near miss: copper and pyridine", _ESTER, ("pyridine",), plan="wash cuso4_sat 2x15" + _END),
        PlanCase("copper and a thiol, which only falls out", _ESTER, ("CCCCS",), plan="wash cuso4_sat 2x15" + _END),
    ),
)
def deadly_together(engine: Any, n: int, c: str, r: str, s: str, share: float, ph: float) -> None:
    """Find two things that must not meet."""
    job = engine.job
    row = table(Solution)[s]
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root=f"meets {c}",
            remedy=f"take {job.name(c)} out first, and leave {row.name} away from it",
            numbers=(("mmol_there", round(share * job.plan.component(c).mmol, 3)),),
        ),
        f"{job.name(c)} meets {row.name}: {row.never_reason}",
        (row.source,),
    )


@rule(
    j.Unquenched(step=MATCH.n, component=MATCH.c, residue=MATCH.r, kind=MATCH.kind, later=MATCH.later),
    TEST(lambda kind, r: kind in VIOLENT and r not in TAME),
    stage="warn",
    salience=priority.MEETING,
    title="What reacts with water is quenched in an open flask before anything is shaken",
    why="In a closed funnel its gas and heat have nowhere to go; hydrides and metals give hydrogen, which may catch fire.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase(
            "lithium aluminium hydride",
            "OC(C)c1ccccc1",
            ("LiAlH4",),
            solvent="diethyl ether",
            plan="wash water 2x15" + _END,
        ),
        PlanCase(
            "the quench comes after the wash",
            "OC(C)c1ccccc1",
            ("LiAlH4",),
            solvent="diethyl ether",
            plan="wash water 2x15 | quench water" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: quenched first",
            "OC(C)c1ccccc1",
            ("LiAlH4",),
            solvent="diethyl ether",
            plan="quench water 5 | wash rochelle_sat 2x15" + _END,
        ),
        PlanCase("nothing reactive", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
    ),
)
def quench_is_missing(engine: Any, n: int, c: str, r: str, kind: str, later: int) -> None:
    """Find a violent leftover that meets a wash."""
    _unquenched(engine, n, c, r, later, "hazard")


@rule(
    j.Unquenched(
        step=MATCH.n, component=MATCH.c, residue=MATCH.r, kind=MATCH.kind, share=MATCH.share, later=MATCH.later
    ),
    TEST(lambda kind, r, share: (r in TAME or kind in GENTLER) and share > LEAST_SHARE),
    stage="warn",
    title="A reagent that gives gas or heat with the wash is quenched before it is shaken",
    why="Acid chlorides and their like react with a basic wash within minutes and set carbon dioxide or hydrogen chloride free.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase("phosphorus oxychloride", _ESTER, ("POCl3; 10 mmol",), plan="wash nahco3_sat 2x15" + _END),
        PlanCase("thionyl chloride", _ESTER, ("thionyl chloride; 10 mmol",), plan="wash nahco3_sat 2x15" + _END),
    ),
    silent=(
        PlanCase(
            "quenched first",
            _ESTER,
            ("thionyl chloride; 10 mmol",),
            plan="quench water 10 | wash nahco3_sat 2x15" + _END,
        ),
        PlanCase(
            "near miss: the acid, not the chloride",
            _ESTER,
            ("acetic acid; 10 mmol",),
            plan="wash nahco3_sat 2x15" + _END,
        ),
    ),
)
def quench_is_better(engine: Any, n: int, c: str, r: str, kind: str, share: float, later: int) -> None:
    """Find a reactive leftover that meets a wash."""
    _unquenched(engine, n, c, r, later, "technique")


def _unquenched(engine: Any, n: int, c: str, r: str, later: int, kind: str) -> None:
    job = engine.job
    row = table(Residue)[r]
    order = f", and the quench only comes in step {later}" if later else ""
    given = gases(row, job.plan.component(c))
    gas = f"; gas set free: {given}" if given else ""
    engine.conclude(
        j.Finding(
            kind=kind,
            step=n,
            component=c,
            root=f"quench {c}",
            remedy=f"quench before any wash, cold and open: {job.quench_words(c, row.how)}",
            numbers=(("mmol", round(job.plan.component(c).mmol, 3)),),
        ),
        f"{job.name(c)} is still reactive when it meets water in the funnel{order}{gas}",
        (row.source,),
    )


@rule(
    j.Hasty(step=MATCH.n, component=MATCH.c, residue=MATCH.r, kind=MATCH.kind, words=MATCH.words),
    TEST(lambda kind: kind in VIOLENT or kind in GENTLER),
    stage="warn",
    salience=priority.HASTE,
    title="A quench that gives off heat and gas is added in drops, cold",
    why="The heat and the gas of a whole portion come within seconds; the solvent boils over, and hydrogen or an alkane may catch "
    "fire.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase(
            "acid all at once on lithium aluminium hydride",
            "OC(C)c1ccccc1",
            ("LiAlH4",),
            solvent="diethyl ether",
            plan="quench hcl_3m 20 all at once" + _END,
        ),
        PlanCase(
            "water quickly on a Grignard reagent",
            "OC(C)c1ccccc1",
            ("methylmagnesium bromide; 5 mmol",),
            solvent="diethyl ether",
            plan="quench water 20 quickly" + _END,
        ),
        PlanCase(
            "hydroxide rapidly on aluminium chloride",
            "CC(=O)c1ccc(C)cc1",
            ("AlCl3; 12 mmol",),
            plan="quench naoh_1m 20 quickly" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "not in haste",
            "OC(C)c1ccccc1",
            ("LiAlH4",),
            solvent="diethyl ether",
            plan="quench rochelle_sat 20" + _END,
        ),
        PlanCase(
            "near miss: all at once, but nothing reactive is left",
            _ESTER,
            ("benzoic acid",),
            plan="quench water 20 all at once | wash nahco3_sat 2x15" + _END,
        ),
    ),
)
def hasty_quench(engine: Any, n: int, c: str, r: str, kind: str, words: str) -> None:
    """Find a violent quench in haste."""
    job = engine.job
    row = table(Residue)[r]
    given = gases(row, job.plan.component(c))
    gas = f" and {given}" if given else ""
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root=f"haste {c}",
            remedy=f"cool and add it in drops: {job.quench_words(c, row.how)}",
            numbers=(("mmol", round(job.plan.component(c).mmol, 3)),),
        ),
        f'{job.label(n)} goes onto {job.name(c)} in haste ("{words}"), which gives off its heat{gas} within seconds',
        (row.source,),
    )


@rule(
    j.Reversed(step=MATCH.n, component=MATCH.c, residue=MATCH.r, molar=MATCH.molar, alcohol=MATCH.alcohol),
    stage="warn",
    salience=priority.HASTE,
    title="What boils with water is poured into it, never the water into the reagent",
    why="The first drops of water meet all of the reagent and boil in it, and it spatters, gases and runs away; poured in "
    "portions into much ice or water, each portion meets enough water to take its heat. A metal wants an alcohol first.",
    sources=("prudent", "vogel"),
    fires=(
        PlanCase(
            "water into concentrated sulfuric acid",
            "COC(=O)c1cccc([N+](=O)[O-])c1",
            ("sulfuric acid; 120 mmol",),
            plan="dilute water 30 added | extract diethyl_ether 3x30" + _END,
        ),
        PlanCase(
            "hydrochloric acid onto lithium",
            "OCc1ccc(C(C)(C)C)cc1",
            ("lithium; 10 mmol",),
            solvent="diethyl ether",
            plan="quench hcl_2m 50 | extract diethyl_ether 3x30" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: poured onto ice",
            "COC(=O)c1cccc([N+](=O)[O-])c1",
            ("sulfuric acid; 120 mmol",),
            plan="quench ice_water 60 | extract diethyl_ether 3x30" + _END,
        ),
        PlanCase(
            "isopropanol first",
            "OCc1ccc(C(C)(C)C)cc1",
            ("lithium; 10 mmol",),
            solvent="diethyl ether",
            plan="quench isopropanol 10 | quench water 50 | extract diethyl_ether 3x30" + _END,
        ),
    ),
)
def water_goes_in(engine: Any, n: int, c: str, r: str, molar: float, alcohol: bool) -> None:
    """Find water that is poured into what should be poured into it."""
    job = engine.job
    row = table(Residue)[r]
    given = gases(row, job.plan.component(c), job.read(n).solution or "water")
    gas = f" and {given}" if given else ""
    if alcohol:
        text = (
            f"{job.label(n)} meets {job.name(c)} with no alcohol before it: its heat{gas} come at once, and catch fire"
        )
    else:
        how = f"{molar:g} M as it is" if molar else "neat as it is"
        text = f"{job.label(n)} goes into {job.name(c)}, {how}: it gives off its heat{gas} where the water falls in"
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root=f"haste {c}",
            remedy=job.quench_words(c, row.how),
            numbers=(("mmol", round(job.plan.component(c).mmol, 3)),),
        ),
        text,
        (row.source,),
    )


@rule(
    j.Poisoned(step=MATCH.n, text=MATCH.text, remedy=MATCH.remedy, acid=MATCH.acid),
    stage="warn",
    salience=priority.POISON,
    title="A poison that acid sets free is destroyed before a product that needs acid is worked up",
    why="The acid that would take the product out of the water sets hydrogen cyanide, hydrazoic acid or hydrogen sulfide free in "
    "the same flask.",
    sources=("prudent", "bretherick"),
    fires=(
        PlanCase(
            "a carboxylate beside cyanide, acidified",
            "OC(=O)c1ccc(OCc2ccccc2)cc1",
            ("sodium hydroxide; 30 mmol", "sodium cyanide; 5 mmol"),
            plan="quench hcl_2m 40 | extract ethyl_acetate 3x30" + _END,
        ),
        PlanCase(
            "a phenolate beside azide, and only water",
            "Oc1ccc(Cl)cc1",
            ("sodium hydroxide; 30 mmol", "sodium azide; 5 mmol"),
            plan="quench water 40 | extract ethyl_acetate 3x30" + _END,
        ),
    ),
    silent=(
        PlanCase("no poison", "Oc1ccc(Cl)cc1", ("sodium hydroxide; 30 mmol",), plan="quench hcl_2m 40" + _END),
        PlanCase(
            "near miss: a neutral product, and no acid",
            _ESTER,
            ("sodium cyanide; 5 mmol",),
            plan="wash na2co3_10 2x20" + _END,
        ),
    ),
)
def poison_stands_in_the_way(engine: Any, n: int, text: str, remedy: str, acid: bool) -> None:
    """Find a workup that begins beside a poison which it would set free."""
    engine.conclude(
        j.Finding(
            kind="hazard" if acid else "loss", step=n, component="product", root="poison", remedy=remedy, numbers=()
        ),
        text,
    )


@rule(
    j.CakeDries(step=MATCH.n, component=MATCH.c, words=MATCH.words),
    stage="warn",
    salience=priority.HASTE,
    title="The cake of a hydrogenation catalyst is kept wet",
    why="Palladium on carbon and Raney nickel hold hydrogen; dry in air they catch fire, and so do the solvent, the paper and the "
    "bin.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase(
            "sucked dry",
            "CCOc1ccc(N)cc1",
            ("palladium on carbon; 0.3 mmol",),
            solvent="methanol",
            plan="filter suck dry | concentrate",
        ),
        PlanCase(
            "into the bin",
            "CCOc1ccc(N)cc1",
            ("Raney nickel; 5 mmol",),
            solvent="ethanol",
            plan="filter into bin | concentrate",
        ),
    ),
    silent=(
        PlanCase(
            "near miss: never sucked dry",
            "CCOc1ccc(N)cc1",
            ("palladium on carbon; 0.3 mmol",),
            solvent="methanol",
            plan="filter never suck dry | concentrate",
        ),
        PlanCase(
            "kept wet",
            "CCOc1ccc(N)cc1",
            ("palladium on carbon; 0.3 mmol",),
            solvent="methanol",
            plan="filter | rinse methanol 2x10 | concentrate",
        ),
    ),
)
def cake_dries(engine: Any, n: int, c: str, words: str) -> None:
    """Find a catalyst that is let go dry."""
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root=f"dry {c}",
            remedy="filter under nitrogen, stop while the cake is still wet, rinse it, wet it with water, and collect it under "
            "water in a labelled bottle",
            numbers=(),
        ),
        f'{engine.job.name(c)} is filtered off and let go dry ("{words}"): it ignites in air',
    )


@rule(
    j.Concentrates(step=MATCH.n, component=MATCH.c, residue=MATCH.r, share=MATCH.left),
    TEST(lambda r: r in DEADLY),
    stage="warn",
    salience=priority.POISON,
    title="What kills through skin or lungs is destroyed in the flask, before anything is shaken or stripped",
    why="Cold water takes hours over dimethyl sulfate and its like; ammonia takes half an hour. What is left goes over the hands "
    "that hold the funnel, and into the trap of the evaporator.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase(
            "dimethyl sulfate with water only", _ESTER, ("dimethyl sulfate; 5 mmol",), plan="wash water 2x15" + _END
        ),
        PlanCase("diethyl sulfate", _ESTER, ("diethyl sulfate; 5 mmol",), plan="wash nahco3_sat 15" + _END),
    ),
    silent=(
        PlanCase(
            "ammonia first",
            _ESTER,
            ("dimethyl sulfate; 5 mmol",),
            plan="quench ammonia_10 10 | wash hcl_1m 15 | wash nahco3_sat 15" + _END,
        ),
        PlanCase(
            "benzyl chloride: near miss, no such poison",
            _ESTER,
            ("benzyl chloride; 5 mmol",),
            plan="wash water 2x15" + _END,
        ),
    ),
)
def poison_is_left(engine: Any, n: int, c: str, r: str, left: float) -> None:
    """Find a deadly alkylator that nothing destroys."""
    name, row = engine.job.name(c), table(Residue)[r]
    text = f"no step destroys {name} ({row.danger}), and {share(left)} of it is there when the solvent is stripped"
    _left_at_the_end(engine, n, c, row, left, "destroy it first", text)


@rule(
    j.Concentrates(step=MATCH.n, component=MATCH.c, residue=MATCH.r, share=MATCH.left),
    TEST(lambda r: r not in DEADLY),
    stage="warn",
    salience=priority.MEETING,
    title="A peroxide, a diazo compound or a strong oxidant is destroyed before the solvent is stripped",
    why="As the solvent leaves it grows concentrated beside organic matter, and may explode.",
    sources=("prudent", "bretherick"),
    fires=(
        PlanCase(
            "peracid with a wash of brine only",
            "C1(c2ccccc2)CO1",
            ("mCPBA",),
            plan="wash brine 15 | dry na2so4 | filter off desiccant | concentrate",
        ),
        PlanCase(
            "tert-butyl hydroperoxide",
            "C1(c2ccccc2)CO1",
            ("tert-butyl hydroperoxide",),
            plan="wash brine 15 | dry na2so4 | filter off desiccant | concentrate",
        ),
    ),
    silent=(
        PlanCase(
            "near miss: sulfite first",
            "C1(c2ccccc2)CO1",
            ("mCPBA",),
            plan="wash na2so3_10 2x15 | wash nahco3_sat 2x15" + _END,
        ),
        PlanCase("no oxidant", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
    ),
)
def oxidant_is_concentrated(engine: Any, n: int, c: str, r: str, left: float) -> None:
    """Find an oxidant that is concentrated."""
    text = f"{share(left)} of {engine.job.name(c)} is still there when the solvent is stripped"
    remedy = "destroy it first, and test for it before the evaporation"
    _left_at_the_end(engine, n, c, table(Residue)[r], left, remedy, text)


def _left_at_the_end(engine: Any, n: int, c: str, row: Residue, left: float, remedy: str, text: str) -> None:
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root=f"quench {c}",
            remedy=f"{remedy}: {row.how}",
            numbers=(("left", round(left, 4)),),
        ),
        text,
        (row.source,),
    )


@rule(
    j.Gas(step=MATCH.n, co2_ml=MATCH.gas, liquid_ml=MATCH.liquid, vented=False, boiling_c=MATCH.b),
    TEST(lambda gas, liquid: gas > GAS_ML and gas > GAS_PER_ML * liquid),
    stage="warn",
    title="Carbonate and acid in a funnel build up pressure unless it is vented",
    why="Each millimole of acid gives about 24 mL of carbon dioxide; a low-boiling solvent adds its vapour. Swirl open until it "
    "stops, then stopper, invert and vent at once, away from faces.",
    sources=("zubrick", "prudent"),
    fires=(
        PlanCase(
            "bicarbonate on much acetic acid", _ESTER, ("acetic acid; 40 mmol",), plan="wash nahco3_sat 2x30" + _END
        ),
        PlanCase("carbonate on much acid", _ESTER, ("benzoic acid; 40 mmol",), plan="wash nahco3_sat 3x30" + _END),
    ),
    silent=(
        PlanCase("vented", _ESTER, ("acetic acid; 40 mmol",), plan="wash nahco3_sat 2x30 | vent" + _END),
        PlanCase(
            "near miss: little acid, little gas", _ESTER, ("benzoic acid; 1 mmol",), plan="wash nahco3_sat 2x15" + _END
        ),
    ),
)
def vent_is_missing(engine: Any, n: int, gas: float, liquid: float, b: float) -> None:
    """Find gas and no venting."""
    job = engine.job
    vapour = f"; the solvent boils at {b:.0f} C and adds its vapour" if b < 60 else ""
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="",
            root=f"vent {n}",
            remedy="add the wash in portions to the open funnel, swirl until the gas stops, then stopper and vent often",
            numbers=(("co2_ml", round(gas)),),
        ),
        f"{job.label(n)} sets about {gas:.0f} mL of carbon dioxide free over {liquid:.0f} mL of liquid, and no venting is "
        f"said{vapour}",
    )


@rule(
    j.Unreduced(step=MATCH.n, component=MATCH.c, residue=MATCH.r),
    stage="warn",
    title="A metal oxidant is reduced before anything is extracted",
    why="Chromium(VI) and permanganate go on oxidising product and solvent, hide the boundary between the layers, and leave a "
    "poisonous water that has to be reduced all the same.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase(
            "Jones reagent without an alcohol",
            "O=C1CCCC(CCCC)C1",
            ("CrO3; 7 mmol",),
            solvent="acetone",
            plan="dilute water 40 | extract diethyl_ether 3x30" + _END,
        ),
        PlanCase(
            "permanganate without sulfite", _ESTER, ("potassium permanganate; 5 mmol",), plan="dilute water 40" + _END
        ),
    ),
    silent=(
        PlanCase(
            "near miss: with isopropanol first",
            "O=C1CCCC(CCCC)C1",
            ("CrO3; 7 mmol",),
            solvent="acetone",
            plan="quench isopropanol 2 | dilute water 40 | extract diethyl_ether 3x30" + _END,
        ),
        PlanCase(
            "permanganate and bisulfite",
            _ESTER,
            ("potassium permanganate; 5 mmol",),
            plan="quench nahso3_sat 20 | wash water 20" + _END,
        ),
        PlanCase(
            "near miss: bisulfite into the water that is poured in first, and nothing parted before",
            _ESTER,
            ("potassium permanganate; 5 mmol",),
            plan="quench water 20 | quench nahso3_sat 20 | extract ethyl_acetate 20" + _END,
        ),
    ),
)
def oxidant_is_carried_off(engine: Any, n: int, c: str, r: str) -> None:
    """Find a metal oxidant that nothing reduces."""
    job = engine.job
    row = table(Residue)[r]
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component=c,
            root=f"quench {c}",
            remedy=f"reduce it first: {row.how}",
            numbers=(("mmol", round(job.plan.component(c).mmol, 3)),),
        ),
        f"{job.name(c)} is still an oxidant in {job.label(n)}: nothing in the plan reduces it",
        (row.source,),
    )
