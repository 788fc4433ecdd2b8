"""Which solutions take which leftover out, by the kind of leftover."""

from typing import Any

from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, L, rule
from washlore.rules.families.choice import presses_on_base
from washlore.rules.families.quench import holds_poison, remedy_solution, remedy_words, unfit
from washlore.rules.mixture import is_organic
from washlore.rules.perceive import AMMINE_METALS
from washlore.rules.stripped import GOES_WITH_SOLVENT_C
from washlore.rules.words import label, listed, share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ENAMINE = "C1CCC(=CC1)N1CCCC1"
_BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"
_WEAK_BASE = "CCCCN1C(=O)CN=C(c2ccccn2)c2cc(Br)ccc21"
L0 = L(0)
# What these solutions do is a reaction; what the others do is left to the numbers.
CHEMICAL = ("reductant", "oxidant", "complexing")
# A volatile neutral leaves with the solvent when it boils well below what a rotary evaporator takes off.
LEAVES_BELOW_C = 101.0
BASE_LEAVES_BELOW_C = 116.0
# A wash that leaves this much at most is still worth having where nothing better exists.
WORTH_HAVING = 0.4
LEAST_KEPT = 0.85
# One that strains the product must come near to the target for that, be needed for much (in equivalents of the product), and
# nothing milder may be worth having.
WORTH_STRAIN, STRAIN_EQUIV = 0.05, 0.5
# Citric acid ends near pH 4: of a base that may be this strong half leaves with it.
HALF_A_SALT_PKA = 4.0
LARGEST_BOUND_PYRIDINE = 9
# The acid of such a salt is a sulfonic or a mineral one.
ACID_OF_A_SALT_PKA = 2.0
# Above this many metals fall as hydroxide or carbonate.
METALS_STAY_BELOW_PH = 6.5
AMMONIA_FORMS = ("N", "[NH4+]")
# For metals that ammonia holds in the water, where a basic product stands nothing milder.
AMMONIA = "ammonia_10"


def _waits_for_its_own(engine: Any, c: str, s: str) -> bool:
    """Tell whether a leftover is left to the solution that its row names.

    Plain water leaves many metals as a solid or a slime, an acid's own salt of a metal included; what acid turns into a
    poison gas goes into base wherever one is open.
    """
    if engine.first(f.FirstOut, component=c):
        residue = table(Residue)[engine.first(f.Leftover, component=c)["residue"]]
        if table(Solution)[s].ph < 7 or residue.id in table(Solution)[s].never_meets:
            return True
        return s == "water" and any(_holds(engine, c, fact["solution"]) for _, fact in engine.facts_of(f.Bottle))
    leftover = engine.first(f.Leftover, component=c, action="wash")
    if leftover is None:
        return False
    row = table(Residue)[leftover["residue"]]
    if row.kind == "metal salt" and table(Solution)[s].weak_system == "phosphate":
        return True  # most metals fall as their phosphates
    own = table(Solution).get(remedy_solution(engine, row))
    if own is None or own.id == s:
        return False
    if engine.first(f.Harms, solution=own.id):
        return row.kind == "metal salt" and own.acts_as in CHEMICAL  # nothing plain holds it in the water
    amphoteric_in_water = s == "water" and own.acts_as == "base"
    return (
        own.acts_as in CHEMICAL
        or amphoteric_in_water
        or (row.kind == "metal salt" and table(Solution)[s].ph > METALS_STAY_BELOW_PH > own.ph)
    )


def _holds(engine: Any, c: str, s: str) -> bool:
    """Tell whether a solution is open to this product and holds a leftover in the water as its ion."""
    residue = engine.first(f.Leftover, component=c)["residue"]
    return table(Solution)[s].general and not engine.first(f.Harms, solution=s) and holds_poison(s, residue)


def _take(engine: Any, c: str, s: str, n: int, because: str) -> None:
    if _waits_for_its_own(engine, c, s):
        return
    fact = engine.first(f.Uptake, component=c, solution=s)
    left = fact[f"after_{n}"]
    row = table(Solution)[s]
    if "NH4" in row.formula and any(p.smiles in AMMONIA_FORMS for p in engine.job.mixture.component(c).parts):
        return  # it would bring more of it than it takes
    portions, verb = ("one portion", "leaves") if n == 1 else (f"{n} portions", "leave")
    engine.conclude(
        f.Takes(solution=s, component=c, left=left, contacts=n, sure=fact["sure"]),
        f"{engine.job.name(c)}, {because}: {portions} of {label(row)} (tried before any other wash, the first spent at pH "
        f"{fact['spent_ph']:.1f}) {verb} {share(left)} of it",
        (row.source,),
        also=(fact["__factid__"],),
    )


def evaporates(engine: Any, c: str) -> bool:
    """Tell whether a component boils so low that it goes with the solvent at the end, and needs no wash."""
    boils = engine.first(f.Boils, component=c)
    return boils is not None and boils["boiling_c"] < LEAVES_BELOW_C


@rule(
    f.Behaviour(component=MATCH.c, kind="acid"),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka),
    f.Uptake(component=MATCH.c, solution=MATCH.s, enough=MATCH.n & ~L0),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph, acts_as=MATCH.acts, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    TEST(lambda c, ph, acts, pka: c != "product" and acts in ("base", "buffer") and ph > max(5, pka - 1)),
    stage="remove",
    title="A carboxylic or stronger acid goes into basic water as its salt",
    why="Base takes the proton, the anion is held by water. Bicarbonate is enough; it gives off carbon dioxide.",
    sources=("williamson", "vogel"),
    fires=(
        Case("cinnamic acid beside its ester", _ESTER, ("OC(=O)/C=C/c1ccccc1",)),
        Case("HOBt beside a Boc amine", _BOC, ("HOBt",)),
    ),
    silent=(
        Case("phenol: near miss, a weaker acid with a rule of its own", _ESTER, ("phenol",)),
        Case("an acid that is the product is not to be taken out", "OC(=O)/C=C/c1ccccc1", ("cyclohexanol",)),
    ),
)
def base_takes_acid(engine: Any, c: str, s: str, n: int, ph: float, acts: str, pka: float) -> None:
    """Let a base take an acid."""
    _take(engine, c, s, n, f"an acid of pKa {pka:.1f}")


@rule(
    f.Behaviour(component=MATCH.c, kind="weak acid"),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka),
    f.Uptake(component=MATCH.c, solution=MATCH.s, enough=MATCH.n & ~L0),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph, acts_as=MATCH.acts, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    TEST(lambda c, ph, acts, pka: c != "product" and acts in ("base", "buffer") and ph > max(7, pka - 1)),
    stage="remove",
    title="A phenol or other weak acid goes into water two units more basic than its pKa",
    why="Half of it is ionised at its pKa, 99 % two units above; for a phenol that means carbonate at best, as a rule "
    "hydroxide.",
    sources=("williamson", "vogel"),
    fires=(
        Case("4-cresol beside an ether", "COCCc1ccccc1", ("Cc1ccc(O)cc1",)),
        Case("phenol beside an amide", "CCCCNC(=O)c1ccccc1", ("phenol",)),
    ),
    silent=(
        Case("benzoic acid: near miss, a stronger acid", "COCCc1ccccc1", ("benzoic acid",)),
        Case("an alcohol is no acid to hydroxide", "COCCc1ccccc1", ("cyclohexanol",)),
    ),
)
def strong_base_takes_weak_acid(engine: Any, c: str, s: str, n: int, ph: float, acts: str, pka: float) -> None:
    """Let a strong base take a weak acid."""
    _take(engine, c, s, n, f"a weak acid of pKa {pka:.1f}")


@rule(
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.pka),
    f.Uptake(component=MATCH.c, solution=MATCH.s, enough=MATCH.n & ~L0),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph, acts_as=MATCH.acts, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    NOT(f.Behaviour(component=MATCH.c, kind="acid")),
    TEST(lambda c, ph, acts, pka: c != "product" and acts in ("acid", "buffer") and ph < min(8, pka + 1)),
    stage="remove",
    title="An amine or other base goes into acidic water as its salt",
    why="Acid puts a proton on the nitrogen, the cation is held by water. The weaker the base, the stronger the acid it "
    "needs.",
    sources=("williamson", "vogel"),
    fires=(
        Case("pyridine beside an ester", _ESTER, ("pyridine",)),
        Case("triethylamine beside a Boc amine", _BOC, ("triethylamine",)),
    ),
    silent=(
        Case("an anilide: near miss, a nitrogen without a free pair", _ESTER, ("CC(=O)Nc1ccccc1",)),
        Case("an amine that is the product", "NCCCCCCCC", ("cyclohexanone",)),
    ),
)
def acid_takes_base(engine: Any, c: str, s: str, n: int, ph: float, acts: str, pka: float) -> None:
    """Let an acid take a base."""
    _take(engine, c, s, n, f"a base (conjugate acid pKa {pka:.1f})")


@rule(
    f.Component(id=MATCH.c, role=~L("product")),
    NOT(f.Behaviour(component=MATCH.c, kind="acid")),
    NOT(f.Behaviour(component=MATCH.c, kind="base")),
    f.Uptake(component=MATCH.c, solution="water", enough=MATCH.water & ~L0),
    f.Uptake(component=MATCH.c, solution=MATCH.s, enough=MATCH.n & ~L0),
    f.Bottle(solution=MATCH.s, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    stage="remove",
    title="What prefers water anyway is taken by water, and by any other wash on the way",
    why="Salts, small polar neutrals and miscible solvents are held by water whatever its pH.",
    sources=("common_practice",),
    fires=(
        Case("potassium carbonate", _ESTER, ("potassium carbonate",)),
        Case("ethylene glycol", _ESTER, ("ethylene glycol",)),
    ),
    silent=(
        Case("acetophenone prefers the organic layer", _ESTER, ("acetophenone",)),
        Case("cyclohexanol: near miss, a little soluble in water", _ESTER, ("cyclohexanol",)),
    ),
)
def water_takes_polar(engine: Any, c: str, water: int, s: str, n: int) -> None:
    """Let water take what prefers it."""
    _take(engine, c, s, n, "which prefers water")


@rule(
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Harms(solution="nahco3_sat"),
    f.Uptake(component=MATCH.c, solution="water", enough=MATCH.n & ~L0),
    NOT(f.Harms(solution="water")),
    stage="remove",
    title="A strong or very polar acid stays in plain water where the product allows no base",
    why="A sulfonic or mineral acid is wholly ionised at any pH of a wash, and an acid such as acetic often prefers water even "
    "uncharged: water alone holds them.",
    sources=("common_practice",),
    fires=(
        Case("toluenesulfonic acid beside an acid product", "OC(=O)CCc1ccccc1", ("TsOH",)),
        Case("hydrogen chloride beside an acid product", "OC(=O)CCc1ccccc1", ("HCl",)),
        Case("acetic acid in dichloromethane, which hardly holds it", "OC(=O)CCc1ccccc1", ("acetic acid",)),
    ),
    silent=(
        Case("toluenesulfonic acid beside an ester: bicarbonate is open to it", _ESTER, ("TsOH",)),
        Case("benzoic acid: near miss, it prefers the organic layer", "OC(=O)CCc1ccccc1", ("benzoic acid",)),
    ),
)
def water_takes_strong_acid(engine: Any, c: str, pka: float, n: int) -> None:
    """Let water take a strong or very polar acid beside an acid product."""
    _take_without(engine, c, "acid", f"an acid of pKa {pka:.1f} that water holds")


def _take_without(engine: Any, c: str, kind: str, because: str) -> None:
    """Let every wash take a component that is neutral or of its own kind, and that does not harm the product."""
    for _, fact in tuple(engine.facts_of(f.Uptake, component=c)):
        solution = fact["solution"]
        acts = table(Solution)[solution].acts_as
        if fact["enough"] and acts in ("neutral", kind) and not engine.first(f.Harms, solution=solution):
            _take(engine, c, solution, fact["enough"], because)


@rule(
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.pka),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Harms(solution="citric_10"),
    f.Uptake(component=MATCH.c, solution="water", enough=MATCH.n & ~L0),
    NOT(f.Harms(solution="water")),
    stage="remove",
    title="A very polar base stays in plain water where the product allows no acid",
    why="Imidazole, ethanolamine and small diamines prefer water even uncharged; the acid that would take the product along is not "
    "needed for them.",
    sources=("common_practice",),
    fires=(
        Case("imidazole beside an alkylimidazole", "CCCCCCCCn1ccnc1", ("imidazole; 30 mmol",), solvent="toluene"),
        Case("N-hydroxyethylpiperazine beside an amine", "CCCCCCCCN(CC)CC", ("OCCN1CCNCC1",)),
    ),
    silent=(
        Case("imidazole beside an ester: acid is open to it", _ESTER, ("imidazole",)),
        Case(
            "benzylamine beside an amine: near miss, it prefers the organic layer", "CCCCCCCCN(CC)CC", ("benzylamine",)
        ),
    ),
)
def water_takes_polar_base(engine: Any, c: str, pka: float, n: int) -> None:
    """Let water take a polar base beside a basic product."""
    _take_without(engine, c, "base", f"a base that prefers water (conjugate acid pKa {pka:.1f})")


@rule(
    f.Ionises(component=MATCH.c, kind="acid"),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Uptake(component=MATCH.c, solution="water", enough=MATCH.n & ~L0, sure=True),
    NOT(f.FirstOut(component=MATCH.c)),
    NOT(f.Harms(solution="water")),
    stage="remove",
    title="An acid that is in the flask as its salt goes into plain water, if nothing there sets it free",
    why="The work of the base is done already: water holds a carboxylate at the pH that the flask itself gives it. An ammonium "
    "ion is left to acid all the same: a little base in the next wash would send it back.",
    sources=("common_practice",),
    fires=(
        Case("potassium acetate", _ESTER, ("potassium acetate; 15 mmol",)),
        Case("sodium benzoate", _ESTER, ("sodium benzoate; 5 mmol",)),
    ),
    silent=(
        Case("benzoic acid", _ESTER, ("benzoic acid; 5 mmol",)),
        Case("morpholine hydrochloride", _ESTER, ("C1COCCN1.Cl; 5 mmol",)),
        Case(
            "sodium benzoate beside a stronger acid: near miss, it is set free",
            _ESTER,
            ("sodium benzoate; 5 mmol", "HCl; 20 mmol"),
        ),
        Case("sodium benzoate beside an enamine: near miss, water breaks it", _ENAMINE, ("sodium benzoate; 5 mmol",)),
    ),
)
def water_takes_salt(engine: Any, c: str, n: int) -> None:
    """Let water take an organic salt."""
    if any(p.charge < 0 for p in engine.job.mixture.component(c).parts if is_organic(p)):
        _take(engine, c, "water", n, "which is its salt already")


@rule(
    f.Behaviour(component=MATCH.c, kind="amphoteric"),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.acid),
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.base),
    f.Uptake(component=MATCH.c, solution=MATCH.s, enough=MATCH.n & ~L0),
    f.Bottle(solution=MATCH.s, ph=MATCH.ph, acts_as=MATCH.acts, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    TEST(
        lambda acid, base, ph, acts: (
            base > acid or (ph < base + 1 if acts == "acid" else acts not in ("base", "buffer") or ph > acid - 1)
        )
    ),
    stage="remove",
    title="An amphoteric leftover goes into acid, into base, or into plain water if it is a zwitterion",
    why="It is a cation in acid and an anion in base; a zwitterion carries both charges in between and never leaves the water.",
    sources=("vogel",),
    fires=(
        Case("glycine", _ESTER, ("glycine",)),
        Case("4-aminobenzoic acid", _ESTER, ("Nc1ccc(C(=O)O)cc1",)),
    ),
    silent=(
        Case("benzoic acid is an acid only: near miss", _ESTER, ("benzoic acid",)),
        Case("aniline is a base only", _ESTER, ("aniline",)),
    ),
)
def water_takes_amphoteric(engine: Any, c: str, acid: float, base: float, s: str, n: int, ph: float, acts: str) -> None:
    """Let any wash that suits take an amphoteric leftover: acid only where it is a cation there, base where an anion."""
    _take(engine, c, s, n, "which is acid and base at once")


@rule(
    f.FirstOut(component=MATCH.c, gas=MATCH.gas),
    f.Bottle(solution=MATCH.s, acts_as="base", ph=MATCH.ph, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    stage="remove",
    title="Base holds azide, cyanide and sulfide in the water as their ions, and sets their silyl and acyl forms free first",
    why="Hydrazoic acid, hydrogen cyanide and hydrogen sulfide are weak acids; two units above their pKa nothing volatile is "
    "left.",
    sources=("prudent", "common_practice"),
    fires=(
        Case("trimethylsilyl cyanide", "CCOC(=O)CCc1ccccc1", ("TMSCN",)),
        Case("sodium azide", _ESTER, ("sodium azide",)),
    ),
    silent=(
        Case("sodium chloride", _ESTER, ("sodium chloride",)),
        Case("an organic azide: near miss, azide held by carbon", _ESTER, ("[N-]=[N+]=NCc1ccccc1",)),
    ),
)
def base_holds_poison(engine: Any, c: str, gas: str, s: str, ph: float) -> None:
    """Let base take what acid would set free."""
    row = table(Solution)[s]
    if not _holds(engine, c, s):
        return
    engine.conclude(
        f.Takes(solution=s, component=c, left=0.0, contacts=2, sure=True),
        f"{row.name} keeps {engine.job.name(c)} in the water as an ion, and no {gas} comes",
        (row.source,),
    )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="wash"),
    stage="remove",
    title="A leftover that a wash reacts with is destroyed or bound in the funnel",
    why="Bisulfite adds to aldehydes and the adduct is a salt; ammonia, citrate, tartrate and thiols hold metals in the "
    "water; fluoride turns tin halides into a solid.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("an aldehyde with bisulfite", _ESTER, ("benzaldehyde",)),
        Case("copper iodide with ammonia", _ESTER, ("CuI",)),
        Case("copper beside an amine, which ammonium chloride would take", "NCCCCCCCC", ("CuI; 1 mmol",)),
        Case("zinc acetate, before bicarbonate comes for the acid", _ESTER, ("zinc acetate; 5 mmol",)),
    ),
    silent=(
        Case("sodium iodide: near miss, already a salt", _ESTER, ("sodium iodide",)),
        Case("pyridine", _ESTER, ("pyridine",)),
    ),
)
def reagent_takes_leftover(engine: Any, c: str, r: str) -> None:
    """Let a special wash take a special leftover."""
    residue = table(Residue)[r]
    row = table(Solution).get(remedy_solution(engine, residue))
    if residue.id in AMMINE_METALS and (row is None or engine.first(f.Harms, solution=row.id)):
        row = table(Solution)[AMMONIA]
        if not engine.first(f.Bottle, solution=AMMONIA) or engine.first(f.Harms, solution=AMMONIA):
            return
        engine.conclude(
            f.Takes(solution=AMMONIA, component=c, left=0.0, contacts=2, sure=True),
            f"{engine.job.name(c)} ({residue.name}) with {row.name}, which holds it as its ammine and leaves the product free",
            (residue.source, row.source),
        )
        return
    if row is None or engine.first(f.Harms, solution=row.id):
        return
    # Of a metal's carboxylate the numbers see the acid; the metal goes first, before a base brings it down.
    carboxylate = residue.kind == "metal salt" and engine.first(f.Ionises, component=c, kind="acid")
    if row.acts_as not in CHEMICAL and not (carboxylate and row.ph < METALS_STAY_BELOW_PH):
        return
    if unfit(engine, residue) and not residue.instead:
        return
    engine.conclude(
        f.Takes(solution=row.id, component=c, left=0.0, contacts=1, sure=True),
        f"{engine.job.name(c)} ({residue.name}) with {row.name}: {remedy_words(engine, residue)}",
        (residue.source, row.source),
    )


@rule(
    f.Contains(component=MATCH.c, group="pyridine"),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.pka),
    NOT(f.Harms(solution="cuso4_sat")),
    NOT(f.FirstOut()),
    NOT(f.Leftover(component=MATCH.c)),
    TEST(lambda c, pka: 4 < pka < 8),
    stage="remove",
    title="Copper sulfate binds a small pyridine where the product stands little acid",
    why="The deep blue pyridine complex stays in the water, whatever its pH; wash until the blue no longer darkens. Amines, thiols "
    "and terminal alkynes in the product would bind copper too.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("pyridine beside an acetal", "c1ccc(CCC2OCCO2)cc1", ("pyridine; 12 mmol",)),
        Case("pyridine beside an ester", _ESTER, ("pyridine",)),
    ),
    silent=(
        Case("triethylamine is not bound so", _ESTER, ("triethylamine",)),
        Case("2,6-lutidine: near miss, both sides of the nitrogen are taken", _ESTER, ("2,6-lutidine",)),
        Case("an amine product would be held too: near miss", "NCCCCCCCC", ("pyridine",)),
        Case(
            "a thiol beside it would fall: near miss", "c1ccc(CCC2OCCO2)cc1", ("pyridine; 12 mmol", "CC(C)(C)S; 1 mmol")
        ),
    ),
)
def copper_binds_pyridine(engine: Any, c: str, pka: float) -> None:
    """Let copper sulfate take a small pyridine."""
    if engine.job.mixture.component(c).principal.mol.GetNumAtoms() > LARGEST_BOUND_PYRIDINE:
        return
    if engine.first(f.Contains, component="product", group="terminal_alkyne"):
        return
    if _hindered(engine.job.mixture.component(c).principal.mol):
        return
    row = table(Solution)["cuso4_sat"]
    if any(x["action"] != "quench" and x["residue"] in row.never_meets for _, x in engine.facts_of(f.Leftover)):
        return  # a thiol or sulfide beside it falls as its copper salt
    engine.conclude(
        f.Takes(solution=row.id, component=c, left=0.0, contacts=2, sure=False),
        f"{row.name} binds {engine.job.name(c)} as its blue complex",
        (row.source,),
    )


def _hindered(mol: Any) -> bool:
    """Tell whether both neighbours of the ring nitrogen carry a group."""
    ring = [atom for atom in mol.GetAtoms() if atom.GetSymbol() == "N" and atom.GetIsAromatic()]
    return any(all(side.GetTotalNumHs() == 0 for side in atom.GetNeighbors()) for atom in ring)


@rule(
    f.Boils(component=MATCH.c, boiling_c=MATCH.b),
    f.Component(id=MATCH.c, role=~L("product")),
    NOT(f.FirstOut(component=MATCH.c)),
    NOT(f.Ionises(component=MATCH.c)),
    NOT(f.Leftover(component=MATCH.c, action="quench")),
    TEST(lambda b: b < LEAVES_BELOW_C),
    stage="remove",
    title="A neutral that boils as low as the solvent leaves with it on the rotary evaporator",
    why="No wash is needed for what the evaporation at the end takes off.",
    sources=("common_practice",),
    fires=(
        Case("acetone", _ESTER, ("acetone",)),
        Case("hexane", _ESTER, ("hexane",)),
    ),
    silent=(
        Case("acetophenone boils at 202 C", _ESTER, ("acetophenone",)),
        Case("triethylamine: near miss, volatile but a base that is better washed out", _ESTER, ("triethylamine",)),
    ),
)
def volatile_neutral_leaves(engine: Any, c: str, b: float) -> None:
    """Let a volatile neutral evaporate."""
    engine.conclude(f.Leaves(component=c, way="evaporation"), f"{engine.job.name(c)} boils at {b:.0f} C")


@rule(
    f.Prepares(action="evaporate", subject=MATCH.s),
    f.Boils(component=MATCH.c, boiling_c=MATCH.b),
    f.Component(id=MATCH.c, role=~L("product")),
    NOT(f.FirstOut(component=MATCH.c)),
    NOT(f.Ionises(component=MATCH.c)),
    NOT(f.Leftover(component=MATCH.c, action="quench")),
    NOT(f.Leftover(component=MATCH.c, action="wash")),
    TEST(lambda b: LEAVES_BELOW_C <= b < GOES_WITH_SOLVENT_C),
    stage="remove",
    title="Where the flask is stripped before the washes, a neutral that boils little above its solvent goes too",
    why="Under vacuum a flask that is taken to dryness keeps nothing that boils near toluene; no wash is needed for it.",
    sources=("common_practice",),
    fires=(
        Case("trimethyl orthoformate in THF", _ESTER, ("trimethyl orthoformate",), solvent="thf"),
        Case("isobutyl alcohol in acetonitrile", _ESTER, ("isobutanol",), solvent="acetonitrile"),
    ),
    silent=(
        Case("near miss: nothing is stripped before", _ESTER, ("trimethyl orthoformate",)),
        Case("DMAP in THF", _ESTER, ("DMAP",), solvent="thf"),
    ),
)
def stripped_with_the_solvent(engine: Any, s: str, c: str, b: float) -> None:
    """Let a neutral evaporate with a solvent that is stripped first."""
    row = table(Solvent).get(s)
    what = row.name if row else engine.job.name(s)
    engine.conclude(
        f.Leaves(component=c, way="evaporation"),
        f"{engine.job.name(c)} boils at {b:.0f} C and goes as {what} is stripped",
    )


@rule(
    f.BoilsWhenFree(component=MATCH.c, boiling_c=MATCH.b),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.acid),
    f.Stands(side="low"),
    NOT(f.Harms(solution="nahco3_sat")),
    TEST(lambda b, acid: b < BASE_LEAVES_BELOW_C and acid < ACID_OF_A_SALT_PKA),
    stage="remove",
    title="Where the product minds acid, bicarbonate keeps the acid of a salt in the water and its volatile base evaporates",
    why="Pyridinium tosylate is a catalyst because it is acid. Bicarbonate keeps the sulfonate and sets the pyridine free, which "
    "goes with the solvent; an acid wash would take the pyridine and cost product.",
    sources=("greene", "common_practice"),
    fires=(
        Case("PPTS beside the tetrahydropyranyl ether that it made", "C1CCOC(C1)OCCCCc1ccccc1", ("PPTS; 1 mmol",)),
        Case("PPTS beside an acetal", "c1ccc(CCC2OCCO2)cc1", ("PPTS; 1 mmol",), solvent="toluene"),
    ),
    silent=(
        Case("PPTS beside an ester, which stands acid", _ESTER, ("PPTS; 1 mmol",)),
        Case(
            "near miss: collidinium tosylate, whose base boils high",
            "C1CCOC(C1)OCCCCc1ccccc1",
            ("Cc1ccc(cc1)S(=O)(=O)[O-].Cc1cc(C)[nH+]c(C)c1; 1 mmol",),
        ),
    ),
)
def base_ends_salt_of_volatile_base(engine: Any, c: str, b: float, acid: float) -> None:
    """Let bicarbonate end the salt of a base that evaporates."""
    row = table(Solution)["nahco3_sat"]
    engine.conclude(
        f.Takes(solution=row.id, component=c, left=0.0, contacts=2, sure=True),
        f"{row.name} keeps the acid of {engine.job.name(c)} (pKa {acid:.1f}) in the water and sets its base free, which boils at "
        f"{b:.0f} C and goes with the solvent",
        (row.source,),
    )


@rule(
    f.BoilsWhenFree(component=MATCH.c, boiling_c=MATCH.b),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Ionises(component=MATCH.c, kind="base"),
    f.Harms(solution="citric_10"),
    NOT(f.Leftover(component=MATCH.c)),
    NOT(f.Harms(solution="nahco3_sat")),
    TEST(lambda b: b < BASE_LEAVES_BELOW_C),
    stage="remove",
    salience=-10,  # once what acid may do is known
    title="The hydrochloride of a volatile base goes into bicarbonate where no acid is open to it, and what is set free evaporates",
    why="The salt lies undissolved or stays with the product when the solvent goes. Water takes it, base sets the rest of it free, "
    "and the free amine leaves with the solvent.",
    sources=("common_practice",),
    fires=(
        Case(
            "triethylamine hydrochloride beside a trityl amine",
            "COC(=O)[C@H](CO)NC(c1ccccc1)(c1ccccc1)c1ccccc1",
            ("triethylamine hydrochloride; 10 mmol",),
        ),
        Case("the same beside an amine", "CCCCCCCCN(C)C", ("triethylamine hydrochloride; 10 mmol",)),
        Case(
            "pyridine hydrochloride beside a dimethoxytrityl ether, which ammonium chloride spares and pyridine minds as little",
            "CCCCOC(c1ccccc1)(c1ccc(OC)cc1)c1ccc(OC)cc1",
            ("pyridine hydrochloride; 10 mmol",),
        ),
    ),
    silent=(
        Case("beside an ester acid takes it", _ESTER, ("triethylamine hydrochloride; 10 mmol",)),
        Case("near miss: DBU hydrochloride, whose base does not evaporate", "CCCCCCCCN(C)C", ("DBU hydrochloride",)),
    ),
)
def base_takes_hydrochloride(engine: Any, c: str, b: float) -> None:
    """Let bicarbonate take the salt of a volatile base where acid may not."""
    acids = [
        s
        for _, fact in engine.facts_of(f.Takes, component=c)
        if table(Solution)[s := fact["solution"]].acts_as == "acid"
    ]
    if any(not engine.first(f.Strains, solution=s) for s in acids):
        return
    row = table(Solution)["nahco3_sat"]
    engine.conclude(
        f.Takes(solution=row.id, component=c, left=0.0, contacts=2, sure=True),
        f"{row.name} takes {engine.job.name(c)}, and its base, set free, boils at {b:.0f} C and goes with the solvent",
        (row.source,),
    )


@rule(
    f.Boils(component=MATCH.c, boiling_c=MATCH.b),
    f.Component(id=MATCH.c, role=~L("product")),
    f.Ionises(component=MATCH.c),
    NOT(f.Leftover(component=MATCH.c, action="quench")),
    TEST(lambda b: b < BASE_LEAVES_BELOW_C),
    stage="compare",
    title="A volatile base or acid that no wash may take leaves with the solvent, helped by toluene",
    why="Where acid would take the product as well, or comes near to it, an amine such as triethylamine is stripped off instead, "
    "twice with a little toluene.",
    sources=("common_practice",),
    fires=(
        Case("triethylamine beside an amine of the same strength", "CCCCN(C)C", ("triethylamine",)),
        Case("pyridine beside a pyridine", "Cc1cccnc1", ("pyridine",)),
        Case("pyridine beside a weakly basic imine, too near to citric acid", _WEAK_BASE, ("pyridine",)),
    ),
    silent=(
        Case("triethylamine beside an ester is washed out", _ESTER, ("triethylamine",)),
        Case("triethylamine beside a weak base: near miss, a buffer takes it", _WEAK_BASE, ("triethylamine",)),
        Case("DBU: near miss, a base that does not evaporate", "CCCCN(C)C", ("DBU",)),
    ),
)
def volatile_base_leaves(engine: Any, c: str, b: float) -> None:
    """Let a volatile acid or base evaporate where it cannot be washed out."""
    near = [fact["solution"] for _, fact in engine.facts_of(f.Takes, component=c)]
    base = engine.first(f.Ionises, component="product", kind="base")
    if near and (base is None or base["pka"] + base["sigma"] < HALF_A_SALT_PKA):
        return
    if not all(presses_on_base(engine, s) for s in near):
        return
    why = (
        f"{listed([table(Solution)[s].name for s in near])} would press on the product"
        if near
        else "no wash is open to it"
    )
    engine.conclude(f.Leaves(component=c, way="evaporation"), f"{engine.job.name(c)} boils at {b:.0f} C and {why}")


@rule(
    f.Component(id=MATCH.c, role=~L("product")),
    f.Uptake(component=MATCH.c, solution="water", after_3=MATCH.plain),
    f.Uptake(component=MATCH.c, solution=MATCH.s, after_3=MATCH.left, enough=0),
    f.Bottle(solution=MATCH.s, general=True),
    NOT(f.Harms(solution=MATCH.s)),
    NOT(f.Takes(component=MATCH.c)),
    TEST(lambda s, left, plain: left <= WORTH_HAVING and (s == "water" or left < 0.5 * plain)),
    stage="compare",
    title="Where no wash reaches the target, the one that takes most is still worth having",
    why="Three contacts that leave a tenth make the purification that follows easier.",
    sources=("common_practice",),
    fires=(
        Case("NMP in ether", "CCCCCCCCCCc1ccccc1", ("NMP",), extract="diethyl ether"),
        Case("sulfolane in ethyl acetate", "CCCCCCCCCCc1ccccc1", ("sulfolane",), extract="ethyl acetate"),
    ),
    silent=(
        Case("benzoic acid is taken whole", _ESTER, ("benzoic acid",)),
        Case("acetophenone: near miss, hardly any of it goes", _ESTER, ("acetophenone",)),
        Case("spent DEAD, for which a column comes anyway", _ESTER, ("diethyl hydrazinedicarboxylate",)),
    ),
)
def wash_that_thins(engine: Any, c: str, plain: float, s: str, left: float) -> None:
    """Note a wash that takes most of a component."""
    if engine.first(f.Uptake, component="product", solution=s)["after_3"] < LEAST_KEPT:
        return  # too dear for half a success
    if engine.first(f.Leftover, component=c, action="other"):
        return  # the column or the crystallisation that its row names comes anyway
    if engine.first(f.Strains, solution=s) and not _worth_a_strain(engine, c, left):
        return
    if s != "water" and not engine.first(f.Ionises, component=c):
        return  # acid and base do nothing for it that water does not
    row = table(Solution)[s]
    if "customary" not in row.note:
        return  # what has to be made up is not made up for half a success
    engine.conclude(
        f.Thins(solution=s, component=c, left=left, contacts=3),
        f"three portions of {row.name} leave {share(left)} of {engine.job.name(c)}",
        (row.source,),
    )


def _worth_a_strain(engine: Any, c: str, left: float) -> bool:
    """Tell whether there is so much of a component, so much of it goes, and nothing milder is open."""
    if left > WORTH_STRAIN or engine.job.mixture.component(c).mmol < STRAIN_EQUIV * engine.job.mixture.product.mmol:
        return False
    return not any(
        fact["after_3"] <= WORTH_HAVING and table(Solution)[s].general and "customary" in table(Solution)[s].note
        for _, fact in engine.facts_of(f.Uptake, component=c)
        if not engine.first(f.Harms, solution=(s := fact["solution"])) and not engine.first(f.Strains, solution=s)
    )


@rule(
    f.Component(id=MATCH.c, role=~L("product")),
    NOT(f.Takes(component=MATCH.c)),
    NOT(f.Leaves(component=MATCH.c)),
    stage="stick",
    title="A leftover that no wash may take stays with the product unless the product itself changes layer",
    why="Either it has no proton to give or take, or the solution that would take it would harm the product.",
    sources=("common_practice",),
    fires=(
        Case("cyclohexanol beside an acid", "OC(=O)CCc1ccccc1", ("CCCCCCCCO",)),
        Case("acetophenone beside an ester", _ESTER, ("acetophenone",)),
    ),
    silent=(
        Case("benzoic acid is taken", _ESTER, ("benzoic acid",)),
        Case("acetone: near miss, a neutral that evaporates", _ESTER, ("acetone",)),
    ),
)
def nothing_takes_it(engine: Any, c: str) -> None:
    """Note that a component is stuck."""
    harmful = [fact["solution"] for _, fact in engine.facts_of(f.Harms)]
    uptakes = [fact for _, fact in engine.facts_of(f.Uptake, component=c)]
    barred = [u["solution"] for u in uptakes if u["enough"] and u["solution"] in harmful]
    text = f"{engine.job.name(c)}: "
    if barred:
        names = ", ".join(table(Solution)[s].name for s in barred[:4])
        text += f"{names} would take it but would harm {engine.job.name('product')}"
    else:
        best = min((u["after_3"] for u in uptakes), default=1.0)
        text += f"the best of {len(uptakes)} solutions leaves {share(best)} of it after three contacts"
    engine.conclude(f.Stuck(component=c), text)
