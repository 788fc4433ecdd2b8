"""The flask before the first wash: a product that is a salt there must be set free first."""

from typing import Any

from washlore.knowledge.rows import Gas, Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, OR, TEST, Case, L, rule
from washlore.rules.enough import acid_mmol
from washlore.rules.families.quench import (
    VOLATILE_BELOW_PH,
    frees_poison,
    is_volatile,
    quench_agent,
    quench_brings_water,
    remedy_solution,
)
from washlore.rules.families.removal import BASE_LEAVES_BELOW_C, CHEMICAL
from washlore.rules.meeting import FREE_AMMONIA_PH
from washlore.rules.perceive import wants_alkali
from washlore.rules.words import share

MARGIN_PH = 2.2
LEAST_PH, MOST_PH = 1.5, 13.0
HARDLY_AN_ACID_PKA, NEARLY_ALL = 9.0, 0.9
# Citric acid brings water no lower than this, and an acid of the second pKa is free enough there.
CITRIC_PH, FREE_IN_CITRIC_PKA = 2.5, 3.0
STILL_THERE = 0.85
NEUTRAL_PH = 7.0
# Below this share in the organic layer the product is in the flask's water, and that water can be rinsed.
IN_THE_WATER = 0.1
GREASY_LOG_K = 0.3
# Water that stands below this holds acid that is not spent.
SOUR_PH, STRONG_ACID_PKA = 5.0, 2.0
HYDROXIDE, MOST_BICARBONATE_PH, MOST_CARBONATE_PH = "6 M sodium hydroxide", 8.3, 11.0
# So much acid would make two litres of carbon dioxide of a carbonate.
MUCH_ACID_MMOL = 80.0

_ACID = "OC(=O)c1ccc(OCc2ccccc2)cc1"
_AMINE = "C1CCN(CC1)Cc1ccccc1"


def _limit(engine: Any, side: str) -> float | None:
    limits = [fact["ph"] for _, fact in engine.facts_of(f.Stands, side=side)]
    if side == "low":
        # Fluoride and nitrite stay in water that is not too acidic.
        rows = [
            table(Residue)[fact["residue"]] for _, fact in engine.facts_of(f.Leftover) if fact["action"] != "quench"
        ]
        limits += [row.frees_below_ph for row in rows if row.acid_frees and row.frees_below_ph < VOLATILE_BELOW_PH]
    return (max(limits) if side == "low" else min(limits)) if limits else None


def _basified(engine: Any, pka: float) -> tuple[float, str]:
    """Return the pH at which an amine of this pKa is free, as far as the product stands it, and the base that gives it."""
    highest = _limit(engine, "high")
    target = min(pka + MARGIN_PH, MOST_PH, MOST_PH if highest is None else highest - 0.3)
    target = max(round(target * 2) / 2, 7.5)
    return target, _base_for(target, acid_mmol(engine.job.mixture, engine.job.quenched))


def _base_for(ph: float, acid: float = 0.0) -> str:
    """Return the mildest base that brings water to a pH: hydrogen carbonate holds it at 8.3. Hydroxide takes much acid (mmol)."""
    if ph > MOST_CARBONATE_PH:
        return HYDROXIDE
    mildest = "solid sodium hydrogen carbonate" if ph <= MOST_BICARBONATE_PH else "potassium carbonate"
    return f"{HYDROXIDE} for most of the acid, then {mildest}" if acid > MUCH_ACID_MMOL else mildest


def _acidified(engine: Any, pka: float, most: float) -> tuple[float, str]:
    """Return the pH, ``most`` at most, at which an acid of this pKa is free, as far as the product stands it, and what gives it."""
    lowest = _limit(engine, "low")
    if lowest is None:
        return round(2 * max(min(pka - MARGIN_PH, most), LEAST_PH)) / 2, "6 M hydrochloric acid"
    target = round(2 * max(min(pka - MARGIN_PH, most), LEAST_PH, lowest + 0.3)) / 2
    if target >= CITRIC_PH or pka >= FREE_IN_CITRIC_PKA:
        return max(target, CITRIC_PH), "10 % citric acid or 1 M potassium hydrogen sulfate"
    return target, "1 M potassium hydrogen sulfate"


@rule(
    f.Ionises(component="product", kind="base", pka=MATCH.pka),
    f.Pot(ph=MATCH.ph, kept=MATCH.kept, neutral=MATCH.neutral, ions=True),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    TEST(lambda pka, ph, kept, neutral: pka >= 2 and ph < pka + 1 and kept < STILL_THERE * neutral),
    stage="free",
    title="A basic product that is a salt in the flask is set free with base before anything is separated",
    why="Acid in the pot holds the amine as its ammonium salt, and the first water would carry it away. Two units above the "
    "pKa of the ammonium ion 99 % is free amine and goes into the organic layer.",
    sources=("vogel", "williamson"),
    fires=(
        Case("an amine with hydrogen chloride in the pot", _AMINE, ("HCl; 30 mmol",)),
        Case("an amine after trifluoroacetic acid", _AMINE, ("TFA; 40 mmol",)),
    ),
    silent=(
        Case("a neutral product does not mind", "CCOC(=O)c1ccccc1", ("HCl; 30 mmol",)),
        Case(
            "an amine with potassium carbonate: near miss, it is free already",
            _AMINE,
            ("potassium carbonate; 20 mmol",),
        ),
    ),
)
def free_the_base(engine: Any, pka: float, ph: float, kept: float, neutral: float) -> None:
    """Basify the flask before the first wash."""
    target, reagent = _basified(engine, pka)
    _bring(engine, target, reagent, ph, kept, neutral)


@rule(
    OR(f.Behaviour(component="product", kind="acid"), f.Behaviour(component="product", kind="weak acid")),
    f.Ionises(component="product", kind="acid", pka=MATCH.pka),
    f.Pot(ph=MATCH.ph, kept=MATCH.kept, neutral=MATCH.neutral, ions=True),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    TEST(lambda pka, ph, kept, neutral: ph > pka - 1 and kept < STILL_THERE * neutral),
    stage="free",
    title="An acidic product that is a salt in the flask is set free with acid before anything is separated",
    why="Base in the pot holds the acid as its salt, and the first water would carry it away. Two units below its pKa 99 % "
    "is free acid and goes into the organic layer.",
    sources=("vogel", "williamson"),
    fires=(
        Case("a saponification: the acid is its sodium salt", _ACID, ("sodium hydroxide; 30 mmol",)),
        Case("a phenol with potassium carbonate", "Oc1ccc(Cl)cc1", ("sodium hydroxide; 30 mmol",)),
    ),
    silent=(
        Case("a neutral ester does not mind", "CCOC(=O)c1ccccc1", ("potassium carbonate; 20 mmol",)),
        Case("an acid with hydrogen chloride: near miss, it is free already", _ACID, ("HCl; 30 mmol",)),
    ),
)
def free_the_acid(engine: Any, pka: float, ph: float, kept: float, neutral: float) -> None:
    """Acidify the flask before the first wash."""
    target, reagent = _acidified(engine, pka, 6.5)
    _bring(engine, target, reagent, ph, kept, neutral)


# What a quench in words leaves its water at.
TOLD_PH = {"NaOH": 13.0, "10 % ammonia": 10.5}
# A quench with a solution whose acid or base is used up by the product: it ionises what lies beyond its own pH.
WEAK_SYSTEMS = ("carbonate", "sulfite", "borate", "phosphate", "tartrate", "citrate", "ascorbate", "")


def quench_ph(engine: Any, residue: str) -> float | None:
    """Return the pH that the solution of a quench holds, ``None`` where it holds none (brine, thiosulfate, no solution)."""
    leftover = table(Residue)[residue]
    row = table(Solution).get(remedy_solution(engine, leftover))
    if row is None and quench_brings_water(engine, leftover):
        agent = quench_agent(engine, leftover)
        return next((ph for word, ph in TOLD_PH.items() if word in agent), None)
    if row is None or not (row.weak_system or row.strong_charge_m):
        return None
    # Ammonium chloride holds no pH against an acid or a base; ammonia does.
    if row.weak_system not in WEAK_SYSTEMS and not (row.weak_system == "ammonia" and row.ph > FREE_AMMONIA_PH):
        return None
    return row.ph


@rule(
    f.Ionises(component="product", kind="acid", pka=MATCH.pka),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="quench"),
    stage="free",
    title="After a quench with a basic solution an acidic product is its salt and must be acidified before the layers are parted",
    why="Carbonate and sulfite take the proton of a carboxylic acid; the water that destroyed the leftover would carry the product "
    "away. Acid on sulfite gives sulfur dioxide, on carbonate carbon dioxide: in the hood, open, in small portions.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("a benzoic acid after sodium chlorite", "OC(=O)c1ccc(C)cc1", ("NaClO2; 5 mmol",), solvent="tert-butanol"),
        Case("an acid after permanganate", "OC(=O)c1ccc(C)cc1", ("KMnO4; 5 mmol",), solvent="acetone"),
        Case("an acid after acetyl chloride, quenched with bicarbonate", _ACID, ("acetyl chloride; 5 mmol",)),
        Case("an acid after diphosgene, quenched with ammonia or hydroxide", _ACID, ("ClC(=O)OC(Cl)(Cl)Cl; 5 mmol",)),
        Case("an acid after dimethyl sulfate, quenched with ammonia", _ACID, ("dimethyl sulfate; 5 mmol",)),
    ),
    silent=(
        Case("an ester after the same", "COC(=O)c1ccc(C)cc1", ("NaClO2; 5 mmol",), solvent="tert-butanol"),
        Case("a phenol after bicarbonate: near miss, too weak an acid", "Oc1ccc(CC)cc1", ("acetyl chloride; 5 mmol",)),
        Case("an acid after ammonium chloride: near miss", _ACID, ("methylmagnesium bromide; 2 mmol",), solvent="THF"),
    ),
)
def acidify_after_basic_solution(engine: Any, pka: float, c: str, r: str) -> None:
    """Acidify where the solution of a quench has made a salt of the product."""
    ph = quench_ph(engine, r)
    if ph is None or ph < pka - 1 or engine.first(f.BringsTo):
        return
    pot = engine.first(f.Pot)
    if pot is not None and pka > HARDLY_AN_ACID_PKA and pot["kept"] > NEARLY_ALL * pot["neutral"]:
        return  # so weak and so greasy that the organic layer holds it all the same
    target, reagent = _acidified(engine, pka, 5.0)
    row = table(Solution).get(remedy_solution(engine, table(Residue)[r]))
    sulfite = row is not None and row.weak_system == "sulfite"
    engine.conclude(
        f.BringsTo(ph=target, reagent=reagent),
        f"the quench of {engine.job.name(c)} holds the water near pH {ph:.0f}, and {engine.job.name('product')} (pKa {pka:.1f}) is "
        "its salt there" + ("; acid drives sulfur dioxide out of the sulfite: in the hood, open" if sulfite else ""),
    )


@rule(
    f.Ionises(component="product", kind="base", pka=MATCH.pka),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="quench"),
    stage="free",
    title="Bicarbonate leaves an amine half a salt; after a quench with it the flask is made basic enough",
    why="At pH 8 an amine of pKa 9 or more is the ammonium ion, and with an acid set free by the quench (acetic acid, hydrogen "
    "chloride) it stays in the water.",
    sources=("vogel", "common_practice"),
    fires=(
        Case(
            "reductive amination with triacetoxyborohydride",
            "CN(C)Cc1ccccc1CCC",
            ("sodium triacetoxyborohydride; 5 mmol",),
            solvent="1,2-dichloroethane",
        ),
        Case("an amine after sulfite", "CN(C)Cc1ccccc1CCC", ("hydrogen peroxide; 5 mmol",)),
    ),
    silent=(
        Case("an amide is no base", "CCCCNC(=O)c1ccccc1", ("sodium triacetoxyborohydride; 5 mmol",)),
        Case(
            "a pyridine, 6: near miss, free at pH 8", "Cc1ccc(CCc2ccccc2)nc1", ("sodium triacetoxyborohydride; 5 mmol",)
        ),
    ),
)
def basify_after_weak_base(engine: Any, pka: float, c: str, r: str) -> None:
    """Basify where the solution of a quench leaves a basic product its salt."""
    ph = quench_ph(engine, r)
    if ph is None or ph > pka + 1 or pka < 7.5 or engine.first(f.BringsTo):
        return
    target, reagent = _basified(engine, pka)
    engine.conclude(
        f.BringsTo(ph=target, reagent=reagent),
        f"the quench of {engine.job.name(c)} holds the water near pH {ph:.0f}, and {engine.job.name('product')} (conjugate "
        f"acid pKa {pka:.1f}) is its salt there",
    )


# Quenches that leave the flask basic, and those that leave it acidic or buffered below the pKa of an amine.
BASIC_KINDS = ("strong base", "organometallic", "hydride", "metal")
ACIDIC_KINDS = ("acid halide", "Lewis acid", "mineral acid", "acylating agent", "sulfonylating agent")


@rule(
    f.Ionises(component="product", kind="acid", pka=MATCH.pka),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    f.Leftover(component=MATCH.c, kind=MATCH.kind, action="quench", solution=MATCH.s),
    TEST(lambda pka, kind, s: kind in BASIC_KINDS and pka < (9.0 if s == "nh4cl_sat" else 11.0)),
    stage="free",
    title="After the quench of a strong base an acidic product is still its salt and must be acidified",
    why="Water or ammonium chloride brings the flask to pH 8 to 14 only; an acid or acidic phenol stays ionised there and "
    "would go out with the first water.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("a benzoic acid after butyllithium", _ACID, ("n-BuLi; 20 mmol",), solvent="THF"),
        Case("an acid after sodium hydride", _ACID, ("sodium hydride; 20 mmol",), solvent="THF"),
    ),
    silent=(
        Case("an alcohol does not mind", "OC(c1ccccc1)CCCC", ("n-BuLi; 20 mmol",), solvent="THF"),
        Case("an acid after thionyl chloride: near miss, an acidic quench", _ACID, ("thionyl chloride; 5 mmol",)),
    ),
)
def acidify_after_quench(engine: Any, pka: float, c: str, kind: str, s: str) -> None:
    """Acidify after a basic quench; where plain water ended it, what the flask itself holds decides."""
    if _ended_with_water(engine, c):
        return
    target, reagent = _acidified(engine, pka, 5.0)
    engine.conclude(
        f.BringsTo(ph=target, reagent=reagent),
        f"the quench of {engine.job.name(c)} leaves base, and {engine.job.name('product')} (pKa {pka:.1f}) is its salt there",
    )


@rule(
    f.Ionises(component="product", kind="base", pka=MATCH.pka),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    f.Leftover(component=MATCH.c, kind=MATCH.kind, action="quench", solution=MATCH.s),
    TEST(lambda pka, kind, s: pka >= 4 and (kind in ACIDIC_KINDS or (s == "nh4cl_sat" and pka > 7.5))),
    stage="free",
    title="After an acidic quench, or one with ammonium chloride, a basic product is still its salt and must be set free",
    why="Acid halides and Lewis acids leave acid behind, and ammonium chloride holds the water near pH 9 or below; an amine is "
    "protonated there and would go out with the first water.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("an amine after a Grignard reagent", _AMINE, ("PhMgBr; 5 mmol",), solvent="THF"),
        Case("a pyridine after phosphorus oxychloride", "Cc1ccc(CCc2ccccc2)nc1", ("POCl3; 10 mmol",)),
    ),
    silent=(
        Case("an ester does not mind", "CCOC(=O)c1ccccc1", ("POCl3; 10 mmol",)),
        Case(
            "a pyridine after ammonium chloride: near miss, free at pH 8", "Cc1ccc(CCc2ccccc2)nc1", ("PhMgBr; 5 mmol",)
        ),
    ),
)
def basify_after_quench(engine: Any, pka: float, c: str, kind: str, s: str) -> None:
    """Basify after an acidic quench."""
    if _ended_with_water(engine, c):
        return
    target, reagent = _basified(engine, pka)
    engine.conclude(
        f.BringsTo(ph=target, reagent=reagent),
        f"the quench of {engine.job.name(c)} leaves the water below pH {pka:.0f}, and {engine.job.name('product')} (conjugate "
        f"acid pKa {pka:.1f}) is its salt there",
    )


def _ended_with_water(engine: Any, c: str) -> bool:
    row = table(Residue)[engine.first(f.Leftover, component=c)["residue"]]
    return wants_alkali(row, engine.job.mixture.product)


@rule(
    f.Behaviour(component="product", kind="amphoteric"),
    f.Ionises(component="product", kind="acid", pka=MATCH.acid),
    f.Ionises(component="product", kind="base", pka=MATCH.base),
    f.Pot(ph=MATCH.ph, kept=MATCH.kept, neutral=MATCH.neutral),
    NOT(f.KeptDry()),
    TEST(lambda ph, acid, base, kept, neutral: abs(ph - (acid + base) / 2) > 1 and kept < STILL_THERE * neutral),
    stage="free",
    title="An amphoteric product is brought to its isoelectric pH, where least of it is charged",
    why="On the acid side it is a cation, on the basic side an anion; half way between its two pKa values it is as little "
    "soluble in water as it gets.",
    sources=("vogel",),
    fires=(
        Case("an aminophenol in base", "Nc1ccc(O)cc1CCCCCC", ("sodium hydroxide; 30 mmol",)),
        Case("an aminobenzoic acid in acid", "CCCCNc1ccc(C(=O)O)cc1", ("HCl; 30 mmol",)),
        Case(
            "a greasy amino acid beside an amine",
            "OC(=O)COCCN1CCN(CC1)C(c1ccccc1)c1ccccc1",
            ("triethylamine; 15 mmol",),
        ),
    ),
    silent=(
        Case("an acid only", _ACID, ("sodium hydroxide; 30 mmol",)),
        Case("the same aminophenol with nothing in the pot: near miss", "Nc1ccc(O)cc1CCCCCC", ("cyclohexanone",)),
        Case("a dipeptide that no solvent takes from water is left dry", "NCC(=O)NCC(=O)O", ("triethylamine",)),
    ),
)
def bring_to_isoelectric(engine: Any, ph: float, acid: float, base: float, kept: float, neutral: float) -> None:
    """Bring an amphoteric product to its isoelectric pH."""
    target = round(min(max((acid + base) / 2, 2.0), 11.0) * 2) / 2
    reagent = "hydrochloric acid" if ph > target else _base_for(target)
    _bring(engine, target, reagent, ph, kept, neutral)


@rule(
    f.Behaviour(component="product", kind="amphoteric"),
    f.Ionises(component="product", kind="acid", pka=MATCH.acid),
    f.Ionises(component="product", kind="base", pka=MATCH.base),
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="quench"),
    stage="free",
    title="After a quench an amphoteric product is brought to its isoelectric pH before the layers are parted",
    why="A quench leaves acid or base behind, and either holds such a product in its water; only near its isoelectric pH is "
    "most of it without a charge.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("a dialkylaminomethylphenol after acetyl chloride", "CCCN(CCC)Cc1ccccc1O", ("acetyl chloride; 5 mmol",)),
        Case("an aminophenol after butyllithium", "Nc1ccc(O)cc1CCCCCC", ("n-BuLi; 20 mmol",), solvent="THF"),
    ),
    silent=(
        Case("nothing to quench", "CCCN(CCC)Cc1ccccc1O", ("cyclohexanone",)),
        Case("a phenol is an acid only: near miss", "Oc1ccc(CCCCCC)cc1", ("acetyl chloride; 5 mmol",)),
    ),
)
def isoelectric_after_quench(engine: Any, acid: float, base: float, c: str, r: str) -> None:
    """Bring an amphoteric product to its isoelectric pH after a quench."""
    if engine.first(f.BringsTo) or not quench_brings_water(engine, table(Residue)[r]):
        return
    target = round(min(max((acid + base) / 2, 2.0), 11.0) * 2) / 2
    reagent = f"hydrochloric acid or {_base_for(target)}, whichever it needs"
    if target > NEUTRAL_PH and any(
        fact["action"] != "quench" and is_volatile(fact["residue"]) for _, fact in engine.facts_of(f.Leftover)
    ):
        reagent = _base_for(target)  # where a drop of acid falls it would set the gas of a poison free
    engine.conclude(
        f.BringsTo(ph=target, reagent=reagent),
        f"the quench of {engine.job.name(c)} leaves acid or base, and {engine.job.name('product')} (pKa {base:.1f} and "
        f"{acid:.1f}) is charged on either side of pH {target:g}",
    )


def _freed(residue: str, ph: float, reagent: str) -> bool:
    """Tell whether a poison gas comes at a pH; of cyanide acid sets some free on the basic side of neutral too."""
    return frees_poison(residue, ph) or ("acid" in reagent and ph < table(Residue)[residue].frees_below_ph)


def _bring(engine: Any, target: float, reagent: str, ph: float, kept: float, neutral: float) -> None:
    engine.conclude(
        f.BringsTo(ph=target, reagent=reagent),
        f"water alone would stand at pH {ph:.1f} and leave {share(kept)} of {engine.job.name('product')} in the organic layer, "
        f"its neutral form {share(neutral)}: bring it to pH {target:g} with {reagent}",
    )


@rule(
    f.BringsTo(ph=MATCH.ph, reagent=MATCH.reagent),
    f.Leftover(component=MATCH.c, residue=MATCH.r, action=MATCH.action),
    TEST(lambda ph, reagent, r, action: action != "quench" and is_volatile(r) and _freed(r, ph, reagent)),
    stage="free",
    title="A flask that holds cyanide, azide or sulfide is not acidified",
    why="The product and the poison's ion are in the same water, and what sets the one free sets the other free as a gas. No "
    "order of washes parts them; the poison is destroyed first, or the product is made without an excess of it.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("a carboxylate and cyanide", _ACID, ("sodium hydroxide; 30 mmol", "sodium cyanide; 5 mmol")),
        Case("a phenolate and azide", "Oc1ccc(Cl)cc1", ("sodium hydroxide; 30 mmol", "sodium azide; 5 mmol")),
    ),
    silent=(
        Case("cyanide beside a neutral product", "CCOC(=O)c1ccccc1", ("sodium hydroxide; 30 mmol", "sodium cyanide")),
        Case("an amine set free with base: near miss", _AMINE, ("HCl; 30 mmol", "sodium azide; 1 mmol")),
    ),
)
def never_acidified(engine: Any, ph: float, reagent: str, c: str, r: str, action: str) -> None:
    """Bar the acid that would set the product free beside a poison."""
    row = table(Residue)[r]
    engine.conclude(
        f.PoisonsPot(component=c, gas=table(Gas)[row.acid_frees].name),
        f"{engine.job.name('product')} would need pH {ph:g} to leave the water in its neutral form, but there is "
        f"{engine.job.name(c)} in the same flask, and acid turns it into {table(Gas)[row.acid_frees].name}",
        (row.source,),
    )


@rule(
    f.AfterPot(component=MATCH.c, left=MATCH.left, enough=True),
    f.Component(id=MATCH.c, role=~L("product")),
    stage="remove",
    title="What is left behind when the flask is brought to its pH needs no wash of its own",
    why="The first water is an extraction too: salts and strong acids or bases stay in it, and where it holds the product its "
    "rinse takes the neutrals away.",
    sources=("common_practice",),
    fires=(
        Case("hydrogen chloride", _AMINE, ("HCl; 30 mmol",)),
        Case("trifluoroacetic acid", _AMINE, ("TFA; 40 mmol",)),
    ),
    silent=(
        Case("nothing was brought to a pH", "CCOC(=O)c1ccccc1", ("HCl; 30 mmol",)),
        Case(
            "p-toluenesulfonic acid in the water that the reaction made: near miss, a film of it stays",
            "C1=Cc2cccc(-c3ccccc3)c2C1",
            ("TsOH; 1 mmol",),
            solvent="water",
        ),
        Case(
            "toluene in such a flask: near miss, it stays in the organic layer",
            _AMINE,
            ("potassium carbonate; 20 mmol",),
        ),
    ),
)
def first_water_takes(engine: Any, c: str, left: float) -> None:
    """Let the first water take what stays in it; a metal that has a wash of its own still gets it.

    The water of a quench is spent, and nobody knows at which pH: acids and bases still get their wash.
    """
    harsh = engine.first(f.Harsh, component=c)
    ionises = engine.first(f.Ionises, component=c) or (harsh and harsh["kind"] != "a strong base")
    quenched = engine.first(f.Prepares, action="quench") is not None
    if ionises and not engine.first(f.BringsTo) and (quenched or not engine.first(f.Medium, solvent="water")):
        return
    if not engine.first(f.BringsTo) and engine.first(f.Pot)["ph"] < SOUR_PH and _strong_acid(engine, c):
        return  # a film of that water stays in the organic layer, and would be heated with the product
    leftover = engine.first(f.Leftover, component=c, action="wash")
    if leftover and leftover["solution"] and table(Solution)[leftover["solution"]].acts_as in CHEMICAL:
        return
    if leftover and table(Residue)[leftover["residue"]].acid_frees:
        return  # a poison has a wash of its own before any acid: drops of that water stay in the funnel
    engine.conclude(f.Leaves(component=c, way="first water"), f"{share(left)} of {engine.job.name(c)} is left after it")


def _strong_acid(engine: Any, c: str) -> bool:
    return any(fact["pka"] < STRONG_ACID_PKA for _, fact in engine.facts_of(f.Ionises, component=c, kind="acid"))


def _freed_by_quench(engine: Any) -> bool:
    """Tell whether ammonia or hydroxide that a quench in words leaves in the water sets a basic product free."""
    site = engine.first(f.Ionises, component="product", kind="base")
    told = [
        quench_ph(engine, fact["residue"])
        for _, fact in engine.facts_of(f.Leftover, action="quench")
        if not remedy_solution(engine, table(Residue)[fact["residue"]])
    ]
    return site is not None and any(ph is not None and ph > site["pka"] - 1 for ph in told)


@rule(
    f.Pot(ph=MATCH.ph, kept=MATCH.kept, neutral=MATCH.neutral, ions=True),
    f.Ionises(component="product", kind=MATCH.kind, pka=MATCH.pka),
    NOT(f.Behaviour(component="product", kind="amphoteric")),
    f.Behaviour(component=MATCH.c, kind="neutral"),
    f.Component(id=MATCH.c, role=~L("product")),
    NOT(f.Mixes(component=MATCH.c)),
    f.Greasy(component=MATCH.c, log_k=MATCH.log_k),
    TEST(lambda kept, neutral, log_k: kept < IN_THE_WATER < neutral and log_k > GREASY_LOG_K),
    TEST(lambda ph, kind, pka: ph > pka if kind == "acid" else ph < pka),
    stage="free",
    title="A product that is its salt in the flask is first rinsed in the water with organic solvent, then set free",
    why="While the product is held by the water, ether or the like takes the neutral leftovers away from it; one acidification "
    "or basification then brings it back clean.",
    sources=("vogel", "williamson"),
    fires=(
        Case(
            "a saponification with benzyl alcohol left", _ACID, ("sodium hydroxide; 30 mmol", "benzyl alcohol; 10 mmol")
        ),
        Case(
            "an amine hydrochloride with a ketone left",
            _AMINE,
            ("HCl; 30 mmol", "acetophenone; 5 mmol"),
            solvent="ethyl acetate",
        ),
    ),
    silent=(
        Case("nothing neutral is left", _ACID, ("sodium hydroxide; 30 mmol",)),
        Case("the acid is free already: near miss", _ACID, ("benzyl alcohol; 10 mmol",)),
        Case(
            "an imide in much water: near miss, it is no salt at that pH",
            "O=C1CCC(c2ccccc2)C(=O)N1",
            ("phosphorus tribromide; 20 mmol", "iodobenzene; 3 mmol"),
            solvent="diethyl ether",
            extract="heptane",
        ),
        Case(
            "an amine hydrochloride beside triethylsilane: near miss, that leaves with the solvent",
            _AMINE,
            ("HCl; 30 mmol", "triethylsilane; 5 mmol"),
            solvent="ethyl acetate",
        ),
        Case(
            "an amine hydrochloride: near miss, the ammonia that ended diphosgene frees it",
            "Cl.NCCCc1ccccc1",
            ("ClC(=O)OC(Cl)(Cl)Cl; 1 mmol", "acetophenone; 5 mmol"),
            solvent="ethyl acetate",
        ),
    ),
)
def rinse_the_salt_first(
    engine: Any, ph: float, kept: float, neutral: float, kind: str, pka: float, c: str, log_k: float
) -> None:
    """Rinse the flask's water while it holds the product as its salt, unless a quench in words sets that free."""
    boils = engine.first(f.Boils, component=c)
    if _freed_by_quench(engine) or (boils is not None and boils["boiling_c"] < BASE_LEAVES_BELOW_C):
        return
    engine.conclude(
        f.RinsesFirst(because=c),
        f"water of the flask holds {share(1 - kept)} of {engine.job.name('product')} as its salt, and "
        f"{engine.job.name(c)} (log K {log_k:.1f}) goes into the organic layer",
    )
