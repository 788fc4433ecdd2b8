"""What must not meet the product: solutions that break it, carry it away or react with it."""

from typing import Any

from washlore.knowledge import groups, kinetics
from washlore.knowledge.rows import Gas, Group, Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, OR, TEST, Case, L, rule
from washlore.rules.families.quench import EDGE_PH, VOLATILE_BELOW_PH, beyond
from washlore.rules.words import share

MOST_LOST = 0.05
MOST_DECAY = 0.05
UNCERTAIN = "uncertain numbers"
LITTLE_DECAY = 0.02
SHAKING_MIN = 5.0
# Groups that go so fast that the drops left on the glass are enough.
WORST_IN_FILMS = ("orthoester", "ketene_acetal", "enol_ether", "ketal", "conjugated_acetal", "tms_ether", "silyl_ester")
POISON = "poison gas"
# From the first on a product is a base that no acid may meet; a feebler one is watched; below the last it is no base in a wash.
BASIC_PKA, WATCHED_PKA, ACID_PKA = 3.6, 0.0, 6.5
# A feebler base is refused an acid that is this much more acidic than the product's ammonium ion is.
HALF_A_SALT_PH = 0.5
# An ester or the like that stands this pH is hydrolysed slowly; a greasy one hardly meets the water at all.
SLOW_LIMIT_PH, GREASY_LOG_P = 12.0, 3.5
# A base this far below the pKa of an amine holds it as its salt itself.
BUFFERED_PH = 1.5
# Further beyond its limit than this even a greasy product is not risked for a leftover.
MOST_BEYOND_PH = 1.0
# In water above this much ammonium is ammonia.
AMMONIA_IS_FREE_PH = 8.0
# What stands no more than this is an acylating agent.
ACYLATES_PH = 9.5
# In dilute hydroxide, where a rate constant says that it is hardly touched, this far.
MOST_BEYOND_DILUTE, DILUTE_BASE_PH = 1.5, 13.0

_BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"
_ACETAL = "c1ccccc1C1OCCO1"
_AMINE = "NCCCCCCCC"
_PHENOL = "Cc1ccc(O)cc1"

# What a solution brings besides its pH, in the words of the column ``avoid`` of the groups.
TRAITS = {
    "na2so3_10": ("sulfite",),
    "nahso3_sat": ("sulfite",),
    "bleach_5": ("bleach", "oxidant"),
    "h2o2_3": ("oxidant",),
    "cuso4_sat": ("copper",),
    "cacl2_10": ("calcium",),
    "kf_10": ("fluoride",),
    "ammonia_10": ("ammonia", "amine"),
    "nh4cl_nh3": ("ammonia",),  # a minute of it does no ketone, enone or tosylate any harm
    "nh3_10": ("ammonia", "amine"),
    "na2s2o3_10": ("reductant",),
    "feso4_10": ("reductant",),
    "borate_ph9": ("borate",),
}


def outlives(engine: Any, side: str, g: str, s: str, ph: float, limit: float, log_p: float) -> bool:
    """Tell whether a product outlives a solution beyond the limit of its group, since hardly any of it meets the water.

    On the acid side a rate constant must say so. On the basic side it is enough for a greasy product that the group is
    slow to react or that its rate is known.
    """
    if g in WORST_IN_FILMS:
        return False
    part = engine.job.mixture.product.principal
    kinds = {fact["kind"] for _, fact in engine.facts_of(f.Behaviour, component="product")}
    acid, base = bool(kinds & {"acid", "weak acid"}), bool(kinds & {"base", "weak base"})
    stays_neutral = acid and not base if side == "low" else base and not acid
    kept = engine.first(f.Uptake, component="product", solution=s)
    in_organic = engine.first(f.Pot)["neutral"] if stays_neutral else kept["after_1"] if kept else 0.0
    loss = kinetics.loss_fraction(part, ph, SHAKING_MIN, 1.0 - in_organic)
    law = "h" if side == "low" else "oh"
    reacting = {atom for rate, atom in kinetics.rates(part) if rate.law == law}
    hits = [match.atoms for match in groups.molecule_groups(part) if match.group.id == g]
    known = bool(hits) and all(reacting & set(atoms) for atoms in hits)
    small = loss is not None and loss.mid <= LITTLE_DECAY
    if side == "low":
        return known and small
    if ph > limit + (MOST_BEYOND_DILUTE if known and small and ph <= DILUTE_BASE_PH else MOST_BEYOND_PH):
        return False
    return log_p > GREASY_LOG_P and (limit >= SLOW_LIMIT_PH or (known and small))


@rule(
    f.KeptDry(),
    f.Bottle(solution=MATCH.s),
    stage="protect",
    title="No water comes near a product that would stay in it, where nothing else needs any",
    why="A sugar or a small polyol leaves no water for an organic layer; what is volatile is stripped off it instead, and "
    "it is crystallised from what is not.",
    sources=("common_practice",),
    fires=(
        Case("sorbitol with triethylamine", "OCC(O)C(O)C(O)C(O)CO", ("triethylamine; 12 mmol",), solvent="cyclohexane"),
        Case("a methyl glycoside with a ketone", "OCC1OC(OC)C(O)C(O)C1O", ("acetophenone",), solvent="ethyl acetate"),
    ),
    silent=(
        Case("a greasy alcohol: near miss", "OCCCc1ccccc1", ("triethylamine; 12 mmol",), solvent="cyclohexane"),
        Case("an ester", "CCOC(=O)/C=C/c1ccccc1", ("triethylamine",)),
    ),
)
def kept_dry(engine: Any, s: str) -> None:
    """Refuse every solution."""
    engine.conclude(
        f.Harms(solution=s, how="carries away"),
        f"{table(Solution)[s].name} would carry {engine.job.name('product')} away",
    )


@rule(
    f.Stands(side="low", ph=MATCH.limit, group=MATCH.g),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph),
    f.Pot(log_p=MATCH.log_p),
    TEST(lambda limit, ph: beyond("low", ph, limit) > EDGE_PH),
    stage="protect",
    title="A solution more acidic than the product stands would break it",
    why="Acetals, silyl ethers, enol ethers, tert-butyl esters and their like come apart by protonation; the rate grows "
    "tenfold with each pH unit.",
    sources=("greene",),
    fires=(
        Case("an acetal against 1 M HCl", _ACETAL, ("benzoic acid",)),
        Case("an enol ether", "C=COCCCCCCc1ccccc1", ("triethylamine",)),
    ),
    silent=(
        Case("an ethyl ester stands dilute acid", "CCOC(=O)/C=C/c1ccccc1", ("pyridine",)),
        Case("an ordinary ether: near miss, one oxygen only on the carbon", "COCCc1ccccc1", ("pyridine",)),
    ),
)
def too_acidic(engine: Any, limit: float, g: str, s: str, ph: float, log_p: float) -> None:
    """Refuse a solution that is too acidic for the product."""
    if outlives(engine, "low", g, s, ph, limit, log_p):
        return
    group = table(Group)[g]
    engine.conclude(
        f.Harms(solution=s, how="destroys"),
        f"the {group.name} of {engine.job.name('product')} stands pH {limit:g} and above, {table(Solution)[s].name} has "
        f"pH {ph:g}: {group.limit_reason}",
        (group.source,),
    )


@rule(
    f.Stands(side="high", ph=MATCH.limit, group=MATCH.g),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph),
    f.Pot(log_p=MATCH.log_p),
    TEST(lambda limit, ph: beyond("high", ph, limit) > EDGE_PH),
    stage="protect",
    title="A solution more basic than the product stands would break it",
    why="Hydroxide saponifies esters and opens lactones, takes off Fmoc and acetyl groups, and scrambles stereocentres "
    "next to carbonyl groups; the rate grows tenfold with each pH unit.",
    sources=("greene", "vogel"),
    fires=(
        Case("an ethyl ester against 1 M NaOH", "CCOC(=O)/C=C/c1ccccc1", ("phenol",)),
        Case("an aryl acetate", "CC(=O)Oc1ccc(C)cc1", ("benzoic acid",)),
    ),
    silent=(
        Case("an amide stands hydroxide for minutes: near miss", "CCCCNC(=O)c1ccccc1", ("phenol",)),
        Case("an ether", "COCCc1ccccc1", ("benzoic acid",)),
    ),
)
def too_basic(engine: Any, limit: float, g: str, s: str, ph: float, log_p: float) -> None:
    """Refuse a solution that is too basic for the product."""
    if outlives(engine, "high", g, s, ph, limit, log_p):
        return
    group = table(Group)[g]
    engine.conclude(
        f.Harms(solution=s, how="destroys"),
        f"the {group.name} of {engine.job.name('product')} stands pH {limit:g} and below, {table(Solution)[s].name} has "
        f"pH {ph:g}: {group.limit_reason}",
        (group.source,),
    )


@rule(
    f.Stands(side=MATCH.side, ph=MATCH.limit, group=MATCH.g),
    f.Uptake(component="product", solution="water", spent_ph=MATCH.ph),
    f.Pot(log_p=MATCH.log_p),
    TEST(lambda side, limit, ph: beyond(side, ph, limit) > EDGE_PH),
    stage="protect",
    title="Plain water takes up the acid or base of the flask, and may break the product with it",
    why="Water holds no pH: with hydroxide in the flask the first portion is lye, with a strong acid it is acid. A wash that takes "
    "the one or the other comes first.",
    sources=("greene", "common_practice"),
    fires=(
        Case("hydroxide beside an anhydride", "O=C(OC(=O)c1ccccc1)c1ccccc1", ("barium hydroxide; 8 mmol",)),
        Case("hydrogen chloride beside a silyl ether", "C[Si](C)(C)OC1CCCCC1", ("HCl; 10 mmol",)),
    ),
    silent=(
        Case("near miss: hydroxide beside an ether", "COCCc1ccc(Cl)cc1", ("sodium hydroxide; 10 mmol",)),
        Case("sodium chloride beside an anhydride", "O=C(OC(=O)c1ccccc1)c1ccccc1", ("sodium chloride; 10 mmol",)),
    ),
)
def water_takes_it_up(engine: Any, side: str, limit: float, g: str, ph: float, log_p: float) -> None:
    """Refuse plain water that the flask itself makes too acidic or too basic for the product."""
    if outlives(engine, side, g, "water", ph, limit, log_p):
        return
    group = table(Group)[g]
    engine.conclude(
        f.Harms(solution="water", how="destroys"),
        f"the {group.name} of {engine.job.name('product')} stands pH {limit:g} and {'above' if side == 'low' else 'below'}, and "
        f"the flask brings plain water to pH {ph:.1f}: {group.limit_reason}",
        (group.source,),
    )


@rule(
    OR(f.SpoiltBy(tag="amine", group=MATCH.g), f.SpoiltBy(tag="ammonia", group=MATCH.g)),
    f.Stands(side="high", group=MATCH.g, ph=MATCH.limit),
    f.Uptake(component="product", solution="nh4cl_sat", spent_ph=MATCH.ph),
    TEST(lambda limit, ph: limit <= ACYLATES_PH and ph > AMMONIA_IS_FREE_PH),
    stage="protect",
    title="Base in the flask sets ammonia free from ammonium chloride, which an acylating product takes up",
    why="Above pH 8 a twentieth and more of the ammonium is ammonia, which makes an amide of an anhydride or an active ester at "
    "once.",
    sources=("common_practice",),
    fires=(
        Case("hydroxide beside an anhydride", "O=C(OC(=O)c1ccccc1)c1ccccc1", ("barium hydroxide; 8 mmol",)),
        Case("hydroxide beside an active ester", "O=C(ON1C(=O)CCC1=O)c1ccccc1", ("sodium hydroxide; 10 mmol",)),
    ),
    silent=(
        Case("near miss: an aldehyde", "C[C@@H](C=O)COCc1ccccc1", ("sodium hydroxide; 10 mmol",)),
        Case("no base beside an anhydride", "O=C(OC(=O)c1ccccc1)c1ccccc1", ("quinoline; 8 mmol",)),
    ),
)
def ammonia_is_set_free(engine: Any, g: str, limit: float, ph: float) -> None:
    """Refuse ammonium chloride where the flask makes ammonia of it."""
    group = table(Group)[g]
    engine.conclude(
        f.Harms(solution="nh4cl_sat", how="reacts"),
        f"the flask brings saturated ammonium chloride to pH {ph:.1f}, and its ammonia reacts with the {group.name} of "
        f"{engine.job.name('product')}",
        (group.source,),
    )


@rule(
    f.Stands(side=MATCH.side, ph=MATCH.limit, group=MATCH.g),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph),
    f.Pot(log_p=MATCH.log_p),
    stage="protect",
    title="A solution at the edge of what the product stands gives way to a milder one",
    why="A short, cold wash is survived, a slow separation or a warm day may not be; where a milder solution does the same "
    "there is nothing to gain.",
    sources=("greene", "common_practice"),
    fires=(
        Case("Boc against 1 M HCl", _BOC, ("triethylamine",)),
        Case("a tert-butyl ester against 1 M HCl", "CC(C)(C)OC(=O)CCc1ccccc1", ("triethylamine",)),
    ),
    silent=(
        Case("an amide stands what a wash brings", "CCCCNC(=O)c1ccccc1", ("pyridine",)),
        Case(
            "a benzyl carbamate: near miss, a carbamate that stands acid", "O=C(OCc1ccccc1)NCCc1ccccc1", ("pyridine",)
        ),
    ),
)
def at_the_edge(engine: Any, side: str, limit: float, g: str, s: str, ph: float, log_p: float) -> None:
    """Prefer something milder."""
    by = beyond(side, ph, limit)
    if by <= -EDGE_PH or (by > EDGE_PH and not outlives(engine, side, g, s, ph, limit, log_p)):
        return
    group = table(Group)[g]
    engine.conclude(
        f.Strains(solution=s, group=g),
        f"{table(Solution)[s].name} has pH {ph:g}, the {group.name} of {engine.job.name('product')} stands pH {limit:g}: "
        f"{group.limit_reason}",
        (group.source,),
    )


@rule(
    f.Pot(neutral_3=MATCH.neutral),
    f.Uptake(component="product", solution=MATCH.s, after_3=MATCH.left, spent_ph=MATCH.ph),
    f.Bottle(solution=MATCH.s, acts_as=~L("salt") & ~L("neutral")),
    TEST(lambda neutral, left: left < neutral * (1 - MOST_LOST)),
    stage="protect",
    title="A wash that turns the product into its salt carries it into the water",
    why="An acid product leaves with base, a basic product with acid, as surely as an impurity of the same kind would.",
    sources=("williamson", "vogel"),
    fires=(
        Case("an amine against hydrochloric acid", _AMINE, ("cyclohexanone",)),
        Case("a phenol against hydroxide", _PHENOL, ("benzoic acid",)),
        Case("a carboxylic acid against bicarbonate", "OC(=O)CCc1ccccc1", ("cyclohexanol",)),
    ),
    silent=(
        Case("a neutral ester stays", "CCOC(=O)c1ccccc1", ("pyridine", "benzoic acid")),
        Case("a Boc amine stays: near miss, its nitrogen is no base", _BOC, ("triethylamine",)),
    ),
)
def carried_away(engine: Any, neutral: float, s: str, left: float, ph: float) -> None:
    """Refuse a solution that takes the product out."""
    acts = table(Solution)[s].acts_as
    kinds = {fact["kind"] for _, fact in engine.facts_of(f.Behaviour, component="product")}
    site = engine.first(f.Ionises, component="product", kind=acts) if acts in ("acid", "base") else None
    pka = 7.0 if site is None else float(site["pka"])
    if (acts == "acid" and "acid" in kinds and "base" not in kinds and table(Solution)[s].ph < pka) or (
        acts == "base"
        and "base" in kinds
        and not kinds & {"acid", "weak acid"}
        and table(Solution)[s].ph > pka - BUFFERED_PH
    ):
        return  # what the pot holds does that, not this solution
    engine.conclude(
        f.Harms(solution=s, how="carries away"),
        f"three portions of {table(Solution)[s].name} (tried before any other wash, the first spent at pH {ph:.1f}) "
        f"would leave {share(left)} of "
        f"{engine.job.name('product')} in the organic layer, and {share(neutral)} if it stayed neutral",
    )


@rule(
    f.Pot(neutral_unlucky=MATCH.neutral),
    f.Unlucky(solution=MATCH.s, after_2=MATCH.left),
    f.Bottle(solution=MATCH.s, acts_as=~L("salt") & ~L("neutral")),
    TEST(lambda neutral, left: left < 0.7 * neutral),
    stage="protect",
    title="A solution that would cost much product if the numbers are a little off gives way to a safer one",
    why="pKa and partition are known to some tenths of a unit at best; a wash whose pH lies close to the product's pKa is a "
    "gamble. What the product would lose to plain water all the same does not count against a solution.",
    sources=("common_practice",),
    fires=(
        Case("an aniline against citric acid", "Cc1ccc(N)cc1", ("benzoic acid",)),
        Case("a phenol against carbonate", "Oc1ccc(CCCC)cc1", ("benzoic acid",)),
    ),
    silent=(
        Case("a greasy ester does not ionise", "CCOC(=O)c1ccccc1", ("pyridine",)),
        Case("a Boc amine: near miss", _BOC, ("triethylamine",)),
        Case(
            "a polar neutral beside much DMF: near miss, water would cost as much",
            "CC(C)(C)OC(=O)N[C@@H](Cc1ccccc1)C(=O)NCC(=O)OC",
            ("DIPEA", "DMF"),
        ),
    ),
)
def gambles_product(engine: Any, neutral: float, s: str, left: float) -> None:
    """Prefer a safer solution."""
    engine.conclude(
        f.Strains(solution=s, group=UNCERTAIN),
        f"with every number on the unlucky side two portions of {table(Solution)[s].name} leave {share(left)} of "
        f"{engine.job.name('product')}, and {share(neutral)} if it stayed neutral",
    )


@rule(
    f.Decays(solution=MATCH.s, share=MATCH.share, group=MATCH.g),
    TEST(lambda share: share > MOST_DECAY),
    stage="protect",
    title="A solution that would destroy a good part of the product within a normal shaking time is out",
    why="Handbook rate constants, applied to the part of the product that is dissolved in the water during five minutes "
    "of shaking, give the loss to an order of magnitude.",
    sources=("from_memory",),
    fires=(
        Case("an acetylated phenol against hydroxide", "CC(=O)Oc1ccccc1", ("benzoic acid",)),
        Case("ethyl formate-type ester of a small alcohol", "O=COCCOC", ("benzoic acid",)),
    ),
    silent=(
        Case(
            "a greasy tert-butyl ester: near miss, too little of it meets the water",
            "CCCCCCCC(=O)OC(C)(C)C",
            ("phenol",),
        ),
        Case("an ether", "COCCc1ccccc1", ("phenol",)),
    ),
)
def decays_in_wash(engine: Any, s: str, share: float, g: str) -> None:
    """Refuse a solution that hydrolyses the product fast."""
    engine.conclude(
        f.Harms(solution=s, how="destroys"),
        f"about {100 * min(share, 1):.0f} % of {engine.job.name('product')} ({_group_name(g)}) would be gone after "
        f"five minutes with {table(Solution)[s].name}",
    )


@rule(
    f.SpoiltBy(tag=MATCH.tag, group=MATCH.g),
    f.Bottle(solution=MATCH.s),
    TEST(lambda tag, s: tag in TRAITS.get(s, ())),
    stage="protect",
    title="A solution that reacts with a group of the product is out",
    why="Sulfite adds to aldehydes and reactive ketones, hypochlorite oxidises thiols and amines, copper is held by amines, "
    "fluoride takes silyl groups off.",
    sources=("vogel", "greene"),
    fires=(
        Case("an aldehyde product after a peracid", "O=Cc1ccc(C)cc1", ("mCPBA",)),
        Case("a ketone product after a peracid", "O=C1CCCCC1", ("mCPBA",)),
    ),
    silent=(
        Case("an epoxide product: sulfite is harmless in minutes", "C1(c2ccccc2)CO1", ("pyridine",)),
        Case("an ester: near miss, its carbonyl takes no bisulfite", "CCOC(=O)c1ccccc1", ("mCPBA",)),
    ),
)
def reacts_with_product(engine: Any, tag: str, g: str, s: str) -> None:
    """Refuse a solution that reacts with the product."""
    group = table(Group)[g]
    engine.conclude(
        f.Harms(solution=s, how="reacts"),
        f"{table(Solution)[s].name} brings {tag}, which the {group.name} of {engine.job.name('product')} does not stand",
        (group.source,),
    )


@rule(
    f.SpoiltBy(tag="water", group=MATCH.g),
    NOT(f.Stands(side="low", group=MATCH.g)),
    stage="protect",
    title="A product that water destroys can have no aqueous wash at all",
    why="It would be hydrolysed in the funnel. Filter, evaporate and distil, or take it on as it is.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("an acid chloride", "O=C(Cl)CCc1ccccc1", ("pyridine",)),
        Case("an isocyanate", "O=C=Nc1ccccc1", ("triethylamine",)),
    ),
    silent=(
        Case("an amide", "CCCCNC(=O)c1ccccc1", ("pyridine",)),
        Case("an anhydride: near miss, it stands a short cold wash near neutral", "O=C1OC(=O)c2ccccc12", ("pyridine",)),
    ),
)
def no_water_at_all(engine: Any, g: str) -> None:
    """Refuse every aqueous solution."""
    group = table(Group)[g]
    engine.conclude(
        f.Harms(solution="any", how="reacts"),
        f"{engine.job.name('product')} is {_article(group.name)} {group.name}: {group.limit_reason or group.note}",
        (group.source,),
    )


@rule(
    f.Decays(solution="water", share=MATCH.share, group=MATCH.g),
    TEST(lambda share: share > MOST_DECAY),
    stage="protect",
    title="A product of which plain water destroys a good part in the time of one shake can have no aqueous wash at all",
    why="So much of it dissolves in the water, and reacts there so fast, that cold and haste do not save it. Filter, evaporate, "
    "crystallise or distil.",
    sources=("bunton1963", "common_practice"),
    fires=(
        Case(
            "an anhydride as much at home in water as in ethyl acetate",
            "O=C1OC(=O)C2C1C1C=CC2C1",
            ("acetone",),
            solvent="ethyl acetate",
        ),
        Case("maleic anhydride", "O=C1C=CC(=O)O1", ("acetone",), solvent="ethyl acetate"),
    ),
    silent=(
        Case("an ester", "CCOC(=O)c1ccccc1", ("pyridine",)),
        Case(
            "a greasy anhydride: near miss, hardly any of it meets the water",
            "O=C(OC(=O)c1ccccc1)c1ccccc1",
            ("pyridine",),
        ),
        Case("an orthoester, which only acid opens: bicarbonate keeps it", "C#CCOC(=O)CC12OCC(CC)(CO1)CO2", ("DMF",)),
    ),
)
def water_alone_destroys(engine: Any, share: float, g: str) -> None:
    """Refuse every aqueous solution, unless only acid destroys the product and bicarbonate keeps it."""
    in_base = engine.first(f.Decays, solution="nahco3_sat")
    if engine.first(f.Stands, side="low", group=g) and (in_base is None or in_base["share"] <= MOST_DECAY):
        return
    engine.conclude(
        f.Harms(solution="any", how="destroys"),
        f"about {100 * min(share, 1):.0f} % of {engine.job.name('product')} ({_group_name(g)}) would be gone after "
        "five minutes with plain water",
    )


def _group_name(group: str) -> str:
    return table(Group)[group].name if group in table(Group) else group.replace("_", " ")


def _article(word: str) -> str:
    return "an" if word[:1].lower() in "aeiou" or word[:2] in SPOKEN_WITH_A_VOWEL else "a"


SPOKEN_WITH_A_VOWEL = ("N-", "N,", "S-")


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r),
    TEST(lambda r: bool(table(Residue)[r].acid_frees)),
    stage="protect",
    title="Azide, cyanide and sulfide leave in basic or plain water before any acid comes near",
    why="Acid sets hydrazoic acid, hydrogen cyanide or hydrogen sulfide free, all volatile and deadly.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("azide", "CCOC(=O)c1ccccc1", ("sodium azide",)),
        Case("cyanide", "CCOC(=O)c1ccccc1", ("sodium cyanide", "pyridine")),
    ),
    silent=(
        Case("chloride", "CCOC(=O)c1ccccc1", ("sodium chloride",)),
        Case("an organic nitrile: near miss, cyanide held by carbon", "N#Cc1ccccc1", ("sodium chloride",)),
    ),
)
def out_before_acid(engine: Any, c: str, r: str) -> None:
    """Let azide and its like leave before any acid."""
    residue = table(Residue)[r]
    if residue.action == "quench":
        return  # destroyed before any wash
    gas = table(Gas)[residue.acid_frees].name
    for _, bottle in tuple(engine.facts_of(f.Bottle)):
        if bottle["ph"] < min(6.0, residue.frees_below_ph):
            row = table(Solution)[bottle["solution"]]
            engine.conclude(
                f.Strains(solution=row.id, group=POISON),
                f"{row.name} on {engine.job.name(c)} sets {gas} free; not before that is out",
                (row.source,),
            )
    if residue.frees_below_ph >= VOLATILE_BELOW_PH:
        engine.conclude(
            f.FirstOut(component=c, gas=gas), f"{engine.job.name(c)} with acid gives {gas}", (residue.source,)
        )


@rule(
    f.Ionises(component="product", kind="base", pka=MATCH.pka),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph, acts_as=MATCH.acts),
    TEST(
        lambda pka, ph, acts: (
            acts in ("acid", "buffer", "complexing")
            and ph < pka + (1 if pka >= BASIC_PKA else HALF_A_SALT_PH)
            and pka >= WATCHED_PKA
        )
    ),
    stage="protect",
    title="A basic product is not washed with anything more acidic than its own ammonium ion",
    why="Part of it would leave as the salt with each portion, and how much hangs on numbers that nobody has measured for a "
    "new compound.",
    sources=("common_practice",),
    fires=(
        Case("an amine against ammonium chloride", _AMINE, ("cyclohexanone",)),
        Case("a pyridine against citric acid", "Cc1ccc(CCc2ccccc2)nc1", ("triethylamine",)),
        Case(
            "p-nitroaniline against 1 M HCl: nine tenths of it would be the salt",
            "Nc1ccc([N+](=O)[O-])cc1",
            ("aniline",),
        ),
    ),
    silent=(
        Case("an ester", "CCOC(=O)c1ccccc1", ("pyridine",)),
        Case("2,4-dinitroaniline: near miss, no base", "Nc1ccc([N+](=O)[O-])cc1[N+](=O)[O-]", ("triethylamine",)),
    ),
)
def no_acid_on_base(engine: Any, pka: float, s: str, ph: float, acts: str) -> None:
    """Refuse acid on a basic product."""
    acid = engine.first(f.Ionises, component="product", kind="acid")
    if acid is not None and acid["pka"] <= pka:
        return  # a zwitterion, whose layer hangs on its isoelectric pH
    unlucky = engine.first(f.Unlucky, solution=s)
    if pka < BASIC_PKA and (acid is not None or (unlucky is not None and unlucky["after_2"] > 0.7)):
        return  # an acid by trade, or so greasy that its salt would stay as well
    engine.conclude(
        f.Harms(solution=s, how="carries away"),
        f"{table(Solution)[s].name} has pH {ph:g}, the conjugate acid of {engine.job.name('product')} pKa {pka:.1f}",
    )


@rule(
    f.Ionises(component="product", kind="acid", pka=MATCH.pka),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph, acts_as=MATCH.acts),
    TEST(lambda pka, ph, acts: acts in ("base", "buffer") and ph > pka - (1 if pka < ACID_PKA else 0.5)),
    stage="protect",
    title="An acidic product is not washed with anything more basic than its own pKa",
    why="Part of it would leave as the salt with each portion; a greasy acid that stays makes a soap and an emulsion instead.",
    sources=("common_practice",),
    fires=(
        Case("a carboxylic acid against bicarbonate", "OC(=O)CCc1ccccc1", ("cyclohexanol",)),
        Case("a fatty acid, which would stay and make soap", "CCCCCCCCCCCCCCCC(=O)O", ("HCl; 2 mmol",)),
    ),
    silent=(
        Case("an ester", "CCOC(=O)c1ccccc1", ("benzoic acid",)),
        Case("an alcohol: near miss, an OH that no wash ionises", "OCCCc1ccccc1", ("benzoic acid",)),
    ),
)
def no_base_on_acid(engine: Any, pka: float, s: str, ph: float, acts: str) -> None:
    """Refuse base on an acidic product."""
    if pka >= ACID_PKA and engine.first(f.Unlucky, solution=s)["after_2"] > 1 - MOST_LOST:
        engine.conclude(
            f.Strains(solution=s, group=UNCERTAIN),
            f"{table(Solution)[s].name} has pH {ph:g}, {engine.job.name('product')} pKa {pka:.1f}: its salt is too greasy for "
            "the water, yet something milder is safer",
        )
        return
    engine.conclude(
        f.Harms(solution=s, how="carries away"),
        f"{table(Solution)[s].name} has pH {ph:g}, {engine.job.name('product')} pKa {pka:.1f}",
    )
