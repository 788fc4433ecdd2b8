"""What must not come together in a flask or a funnel, and acids and bases that are poured in strong."""

from typing import Any

from washlore.knowledge.rows import Solution, table
from washlore.rules.engine import MATCH, TEST, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"

# What comes of two things together, by what ``perils.PAIRS`` calls it, and what to do instead.
OUTCOMES = {
    "cyanogen halide": (
        "a cyanogen halide forms, volatile and deadly",
        "wash the cyanide out with 10 % sodium carbonate first; destroy it with bleach only in that water, above pH 10, "
        "in the hood",
    ),
    "poison acid": (
        "the salt is acidic in water and sets hydrogen cyanide or hydrazoic acid free",
        "wash the cyanide or azide out with 10 % sodium carbonate first, and reduce the oxidant with sulfite while the water is "
        "kept basic",
    ),
    "halogen azide": (
        "a halogen azide forms, which explodes at a touch",
        "wash the azide out with water or carbonate first, and reduce the halogen with sulfite by itself",
    ),
    "chloramines": (
        "chloramines form, which sting and poison; much ammonia and bleach give nitrogen trichloride, which explodes",
        "take the amine or ammonia out with acid before any bleach, or destroy the bleach with sulfite first",
    ),
    "chlorine": (
        "chlorine is set free",
        "destroy the oxidant with 10 % sodium sulfite, kept basic, before any acid",
    ),
    "haloform": (
        "chloroform forms, with much heat",
        "strip the acetone first, or use sulfite or thiosulfate in place of bleach",
    ),
    "fulminating silver": (
        "ammoniacal silver forms, which explodes when it has stood or dried",
        "stir with brine first and filter the silver chloride off; or acidify that water with dilute hydrochloric acid at once",
    ),
    "azidomethane": (
        "azidomethanes form slowly, and explode when they are concentrated",
        "extract with ethyl acetate or ether, and wash the azide out with water made basic first",
    ),
    "sulfur": (
        "acid makes sulfur and sulfur dioxide of thiosulfate, and the layers turn milky",
        "part the acid off before the thiosulfate, or make the water basic with bicarbonate first",
    ),
}  # fmt: skip
# What copper brings down.
FALLS_WITH_COPPER = ("thiol", "thiophenol", "dithiol")
# What spoils a workup, or hurts only whoever lets it stand.
NOT_GRAVE = ("fulminating silver", "sulfur", "azidomethane")
# Grave even where the two stood in the flask before anything was added: the first water sets the poison free.
ALWAYS_GRAVE = ("poison acid",)


@rule(
    j.Together(step=MATCH.n, component=MATCH.c, other=MATCH.other, outcome=MATCH.what, brought=MATCH.brought),
    stage="warn",
    salience=priority.TOGETHER,
    title="Some things must never come together, whatever each of them is for",
    why="Bleach with acid gives chlorine, with ammonia or amines chloramines; halogens and bleach make cyanogen halides of cyanide "
    "and explosive halogen azides of azide; Oxone is acidic enough to set hydrogen cyanide free.",
    sources=("bretherick", "prudent"),
    fires=(
        PlanCase("bleach on a cyanide", _ESTER, ("sodium cyanide; 5 mmol",), plan="wash bleach_5 20" + _END),
        PlanCase("bleach on an amine", _ESTER, ("butylamine; 5 mmol",), plan="wash bleach_5 20" + _END),
        PlanCase(
            "bleach and acid in one pot",
            _ESTER,
            ("benzhydrol; 2 mmol",),
            plan="quench bleach_5 20 | set ph hcl_1m pH 2 | extract dichloromethane 20" + _END,
        ),
        PlanCase(
            "water on iodine and cyanide left in one flask",
            _ESTER,
            ("sodium cyanide; 5 mmol", "iodine; 3 mmol"),
            plan="wash water 20" + _END,
        ),
        PlanCase("hydrochloric acid on Oxone", _ESTER, ("Oxone; 5 mmol",), plan="wash hcl_1m 20" + _END),
        PlanCase("ammonia on a silver salt", _ESTER, ("silver nitrate; 2 mmol",), plan="quench nh3_conc 20" + _END),
        PlanCase(
            "hydroxide on silver and ammonium persulfate",
            "CCN(CC)c1ccccc1",
            ("silver nitrate; 2 mmol", "ammonium persulfate; 10 mmol"),
            plan="set ph naoh_2m pH 12 | extract dichloromethane 3x30" + _END,
        ),
        PlanCase(
            "sodium azide and dichloromethane",
            "COCCc1ccc(Cl)cc1",
            ("sodium azide; 10 mmol",),
            solvent="DMF",
            plan="dilute water 100 | extract dichloromethane 3x40" + _END,
        ),
        PlanCase(
            "thiosulfate into the acid",
            _ESTER,
            ("iodine; 3 mmol",),
            plan="dilute hcl_1m 30 | dilute na2s2o3_10 30" + _END,
        ),
    ),
    silent=(
        PlanCase("thiosulfate on iodine", _ESTER, ("iodine; 3 mmol",), plan="wash na2s2o3_10 20" + _END),
        PlanCase(
            "near miss: the amine is washed out before the bleach",
            _ESTER,
            ("butylamine; 5 mmol",),
            plan="wash hcl_1m 3x20 | wash bleach_5 20" + _END,
        ),
        PlanCase(
            "near miss: the cyanide is washed out before the iodine is reduced",
            _ESTER,
            ("sodium cyanide; 5 mmol",),
            plan="wash na2co3_10 2x20 | wash na2s2o3_10 20" + _END,
        ),
        PlanCase(
            "near miss: sodium azide and ether",
            "COCCc1ccc(Cl)cc1",
            ("sodium azide; 10 mmol",),
            solvent="DMF",
            plan="dilute water 100 | extract diethyl_ether 3x40" + _END,
        ),
        PlanCase(
            "near miss: thiosulfate once the acid is parted off",
            _ESTER,
            ("iodine; 3 mmol",),
            plan="wash hcl_1m 20 | wash na2s2o3_10 20" + _END,
        ),
        PlanCase("near miss: hydrochloric acid on a peracid", _ESTER, ("mCPBA; 1 mmol",), plan="wash hcl_1m 20" + _END),
    ),
)
def never_together(engine: Any, n: int, c: str, other: str, what: str, brought: bool) -> None:
    """Find two things that make a poison or an explosive of each other."""
    job = engine.job
    follows, remedy = OUTCOMES[what]
    first = job.name(c) if c else other
    text = f"{first} meets {other}" if c else f"{other} meets {job.label(n)}"
    engine.conclude(
        j.Finding(
            kind="hazard" if (brought and what not in NOT_GRAVE) or what in ALWAYS_GRAVE else "technique",
            step=n,
            component=c,
            root=f"gas {c}" if c and what == "chlorine" else f"together {what}",
            remedy=remedy,
            numbers=(),
        ),
        f"{text} in step {n}: {follows}" if c else f"{text}: {follows}",
    )


@rule(
    j.Follows(step=MATCH.n, earlier=MATCH.e, outcome=MATCH.what),
    stage="warn",
    title="Bleach is rinsed out before acid or ammonia follows it",
    why="The drops that stay on the glass and in the layer meet the next wash, and so do the waters if one beaker takes both.",
    sources=("bretherick", "prudent"),
    fires=(
        PlanCase("acid after bleach", _ESTER, ("thiophenol; 1 mmol",), plan="wash bleach_5 20 | wash hcl_1m 20" + _END),
        PlanCase(
            "ammonium chloride after bleach",
            _ESTER,
            ("thiophenol; 1 mmol",),
            plan="wash bleach_5 20 | wash nh4cl_sat 20" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: sulfite between them",
            _ESTER,
            ("thiophenol; 1 mmol",),
            plan="wash bleach_5 20 | wash na2so3_10 20 | wash hcl_1m 20" + _END,
        ),
        PlanCase("brine after bleach", _ESTER, ("thiophenol; 1 mmol",), plan="wash bleach_5 20 | wash brine 20" + _END),
    ),
)
def rinse_bleach_out(engine: Any, n: int, e: int, what: str) -> None:
    """Find acid or ammonia right after bleach."""
    job = engine.job
    follows, _ = OUTCOMES[what]
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="",
            root=f"after bleach {n}",
            remedy="wash with 10 % sodium sulfite between the two, and never collect the two waters in one beaker",
            numbers=(),
        ),
        f"{job.label(n)} comes right after {job.label(e)}: where drops or waters of the two meet, {follows}",
    )


@rule(
    j.Strong(step=MATCH.n, words=MATCH.words, acid=MATCH.acid, onto=MATCH.onto, grave=MATCH.grave),
    TEST(lambda words: bool(words)),
    stage="warn",
    salience=priority.STRONG,
    title="Concentrated acid and base are poured onto ice or diluted first, never straight into a flask or funnel",
    why="Diluting them gives off so much heat that the solvent boils and spatters, and undiluted they attack product and solvent: "
    "sulfuric and nitric acid char and oxidise.",
    sources=("prudent", "common_practice"),
    fires=(
        PlanCase(
            "concentrated sulfuric acid as a quench",
            _ESTER,
            ("triethylamine; 5 mmol",),
            plan="quench conc h2so4_1m 20 | extract diethyl_ether 2x20" + _END,
        ),
        PlanCase(
            "concentrated hydrochloric acid as a wash",
            _ESTER,
            ("triethylamine; 5 mmol",),
            plan="wash conc hcl_6m 20" + _END,
        ),
        PlanCase(
            "50 % hydroxide as a quench",
            "OCCCCCCc1ccccc1",
            ("benzoic acid; 5 mmol",),
            plan="quench conc naoh_15pct 20 | extract diethyl_ether 2x20" + _END,
        ),
    ),
    silent=(
        PlanCase("1 M acid", _ESTER, ("triethylamine; 5 mmol",), plan="wash hcl_1m 20" + _END),
        PlanCase(
            "near miss: a pH set with concentrated acid, in drops by its nature",
            "OC(=O)CCc1ccccc1",
            ("CCCCCCCCO",),
            plan="take up naoh_1m 3x20 | set ph conc hcl_6m pH 2 | extract ethyl_acetate 3x20" + _END,
        ),
    ),
)
def poured_in_strong(engine: Any, n: int, words: str, acid: bool, onto: str, grave: bool) -> None:
    """Find concentrated acid or base poured in."""
    job = engine.job
    what = "acid" if acid else "base"
    on = f" onto {job.name(onto)}, which reacts with it at once" if onto else ""
    engine.conclude(
        j.Finding(
            kind="hazard" if grave or onto else "technique",
            step=n,
            component=onto,
            root=f"strong {n}",
            remedy=f"cool the flask in ice and add {_mild(job, n)} in portions, or pour the mixture onto ice first",
            numbers=(),
        ),
        f"{words} is poured in undiluted{on}: the {what} gives off its heat of dilution at once, boils the solvent and spatters",
    )


def _mild(job: Any, n: int) -> str:
    row = table(Solution).get(job.read(n).solution)
    solute = row.solute if row else ""
    mild = {"hydrogen chloride": "1 M hydrochloric acid", "sulfuric acid": "1 M sulfuric acid"}
    return mild.get(solute, "a dilute solution (1 to 2 M)")


@rule(
    j.DriesNitronate(step=MATCH.n, component=MATCH.c),
    stage="warn",
    salience=priority.TOGETHER,
    title="Nothing is stripped from a nitroalkane beside strong base",
    why="The base makes a nitronate of it, and the dry salts of nitromethane and its like explode by heat or shock; nitro alcohols "
    "fall apart in the base that grows strong on them.",
    sources=("bretherick",),
    fires=(
        PlanCase(
            "a nitro alcohol out of methanol with hydroxide",
            "OC(C[N+](=O)[O-])c1ccc(Br)cc1",
            ("nitromethane; 50 mmol", "NaOH; 2 mmol"),
            solvent="methanol",
            plan="evaporate | dilute diethyl_ether 40 | wash water 2x15" + _END,
        ),
        PlanCase(
            "a nitroalkane with potassium hydroxide",
            "CCCCCC[N+](=O)[O-]",
            ("KOH; 20 mmol",),
            solvent="ethanol",
            plan="evaporate | dilute diethyl_ether 40 | wash hcl_1m 2x15" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "acid first",
            "OC(C[N+](=O)[O-])c1ccc(Br)cc1",
            ("nitromethane; 50 mmol", "NaOH; 2 mmol"),
            solvent="methanol",
            plan="quench acetic_10 10 | evaporate | extract diethyl_ether 2x40" + _END,
        ),
        PlanCase(
            "near miss: a nitroarene gives no salt",
            "CCOC(=O)c1ccc([N+](=O)[O-])cc1",
            ("NaOH; 2 mmol",),
            solvent="methanol",
            plan="evaporate | dilute diethyl_ether 40 | wash water 2x15" + _END,
        ),
    ),
)
def nitronate_is_dried(engine: Any, n: int, c: str) -> None:
    """Find a nitronate that is stripped to dryness."""
    name = engine.job.name(c)
    engine.conclude(
        j.Finding(
            kind="hazard",
            step=n,
            component=c,
            root="dries nitronate",
            remedy="bring the mixture to pH 5 to 6 with acetic acid or dilute HCl first, or pour it into water and extract",
            numbers=(),
        ),
        f"{engine.job.label(n)} leaves the sodium or potassium salt of {name} dry: it may explode",
    )


@rule(
    j.Gels(step=MATCH.n, component=MATCH.c, solution=MATCH.s, share=MATCH.share),
    stage="warn",
    title="A metal that base brings down as a gel meets acid or tartrate first",
    why="Hydroxide and carbonate make a gel of aluminium and titanium that holds product, drops and solvent; acid keeps the metal "
    "in the water, tartrate and citrate bind it there.",
    sources=("vogel", "common_practice"),
    fires=(
        PlanCase(
            "bicarbonate on a Friedel-Crafts mixture",
            "CC(=O)c1ccc(OC)cc1",
            ("AlCl3; 12 mmol",),
            plan="quench nahco3_sat 40 | extract dichloromethane 2x20" + _END,
        ),
        PlanCase(
            "water on a titanium alkoxide",
            "OC[C@@H]1O[C@H]1CCC",
            ("titanium(IV) isopropoxide; 2 mmol",),
            plan="wash water 2x15" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "acid first",
            "CC(=O)c1ccc(OC)cc1",
            ("AlCl3; 12 mmol",),
            plan="quench hcl_1m 40 | extract dichloromethane 2x20 | wash nahco3_sat 15" + _END,
        ),
        PlanCase(
            "near miss: beside cyanide nothing but base will do",
            "Oc1ccc(-c2ccccc2)cc1",
            ("titanium tetrachloride; 10 mmol", "sodium cyanide; 2 mmol"),
            plan="quench na2co3_10 60 | extract dichloromethane 2x20" + _END,
        ),
        PlanCase(
            "near miss: Rochelle salt is basic and binds it",
            "OC[C@@H]1O[C@H]1CCC",
            ("titanium(IV) isopropoxide; 2 mmol",),
            plan="quench rochelle_sat 40 | extract dichloromethane 2x20" + _END,
        ),
    ),
)
def metal_gels(engine: Any, n: int, c: str, s: str, share: float) -> None:
    """Find a base, or water, that comes to a metal before what would hold it in the water."""
    name, row = engine.job.name(c), table(Solution)[s]
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component=c,
            root=f"gel {c}",
            remedy="pour it onto ice and 1 M HCl, or into saturated Rochelle salt where the product stands no acid, and stir until "
            "both layers are clear",
            numbers=(("share_there", round(share, 3)),),
        ),
        f"{row.name} makes a gel of {name} that holds product and hides the boundary of the layers",
        (row.source,),
    )


@rule(
    j.Meets(step=MATCH.n, component=MATCH.c, residue=MATCH.r, solution=MATCH.s, share=MATCH.share),
    TEST(lambda r, s: s and r in FALLS_WITH_COPPER),
    stage="warn",
    title="Copper brings a thiol down as a slime",
    why="The copper salt of a thiol dissolves in neither layer, and the copper that it holds is missed where it was meant to go.",
    sources=("common_practice",),
    fires=(
        PlanCase("butanethiol", _ESTER, ("CCCCS; 2 mmol", "pyridine"), plan="wash cuso4_sat 2x15" + _END),
        PlanCase("benzyl mercaptan", _ESTER, ("SCc1ccccc1; 2 mmol", "pyridine"), plan="wash cuso4_sat 2x15" + _END),
    ),
    silent=(
        PlanCase("near miss: a sulfide", _ESTER, ("CCCCSC; 2 mmol", "pyridine"), plan="wash cuso4_sat 2x15" + _END),
        PlanCase(
            "copper that ends white phosphorus, whatever else it meets",
            _ESTER,
            ("CCCCCCCCCCCCS; 2 mmol", "P12P3P1P23; 2 mmol"),
            solvent="toluene",
            plan="quench cuso4_sat 20 | filter" + _END,
        ),
    ),
)
def copper_and_thiol(engine: Any, n: int, c: str, r: str, s: str, share: float) -> None:
    """Find a thiol that falls out with copper."""
    job = engine.job
    if job.is_ours(s, n):
        return
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component=c,
            root=f"slime {c}",
            remedy=f"take {job.name(c)} out first, or take out with acid what the copper is meant for",
            numbers=(("mmol_there", round(share * job.plan.component(c).mmol, 3)),),
        ),
        f"{job.name(c)} meets {table(Solution)[s].name} and falls out with it",
        (table(Solution)[s].source,),
    )
