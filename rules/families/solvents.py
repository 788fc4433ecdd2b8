"""The reaction solvent before the washes, and the solvent of the organic layer."""

from typing import Any

from washlore.knowledge.acidity import molecule_sites
from washlore.knowledge.log_d import pair_log_k
from washlore.knowledge.partition import OCTANOL, molecule_log_k
from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, L, rule
from washlore.rules.families.quench import is_volatile, poured_in, quench_brings_water, unfit
from washlore.rules.families.removal import evaporates
from washlore.rules.trial import organic_volume_ml
from washlore.rules.words import listed, share

STRIPPABLE_BELOW_C = 121.0
ALKANES = ("hexane", "heptane", "cyclohexane")
MUCH_EQUIV = 5.0
# An acid of this pKa sets hydrogen cyanide, hydrazoic acid or hydrogen sulfide free at least in part.
FREES_POISON_PKA = 8.0
BOILS_TOO_CLOSE_C = 80.0
# What boils higher outlasts the rotary evaporator.
LOST_BELOW_C = 130.0
# A solvent that boils this far below the product is stripped without taking much of it along.
STRIPS_CLEANLY_C = 110.0
# One that boils this far above it stays behind when the product is distilled out of it.
DISTILS_OUT_C, DISTILS_OUT_PRICE = 60.0, 0.9
# What it costs to mix another solvent with one that stays: both are stripped in the end, or both are beside a product that boils
# near them.
MIXED_PRICE, NEVER_PARTED_PRICE = 1.0, 3.0
# Salts that do not dissolve in dry acetone, acetonitrile, ethers and the like; iodides, lithium and ammonium salts may.
DRY_SALT_CATIONS = ("[Na+]", "[K+]", "[Cs+]")
DRY_SALT_ANIONS = (
    "[Cl-]",
    "[Br-]",
    "O=C([O-])[O-]",
    "O=C([O-])O",
    "O=S(=O)([O-])[O-]",
    "O=P([O-])([O-])[O-]",
    "O=P([O-])([O-])O",
)
# Miscible solvents that dissolve some salt, and those that are not stripped.
DISSOLVE_SALT = ("water", "methanol", "ethylene_glycol", "acetic_acid", "formic_acid")
WORTH_FILTERING_EQUIV = 0.3
POLAR_LOG_D = 0.5
# What boils below this goes with the water, or much of it does.
COMES_WITH_WATER_C = 160.0
FOR_VERY_POLAR = ("chloroform_isopropanol", "1-butanol")
OXIDISES_ALCOHOLS = ("nitric acid", "perchloric acid", "hydrogen peroxide")
ESTERS = ("ethyl_acetate", "isopropyl_acetate", "n-butyl_acetate", "methyl_acetate")
STRONG_BASE = "a strong base"
# Three washes of 1 M, each as large as the organic layer, and some to spare.
WASHES_HOLD_M = 2.0
# A base above this, or water above this pH, makes the salt of nitromethane in part.
MAKES_NITRONATE_PKA = 9.0
# A base above this is all salt in any acid, and the salt above this log K stays where it is.
STRONG_BASE_PKA, SALT_STAYS_LOG_K = 8.0, -0.5
HELD_BY_HALOGENATED = ("crown_ether", "hmpa", "tetramethylurea")
_ESTER = "CCOC(=O)/C=C/c1ccccc1"


@rule(
    f.Medium(solvent=MATCH.s, miscibility="miscible", boiling_c=MATCH.b),
    TEST(lambda s, b: s != "water" and b < STRIPPABLE_BELOW_C),
    stage="classify",
    title="A volatile water-miscible solvent is stripped off before the first wash",
    why="Left in, it keeps water and organic layer from parting, carries product into the water and water into the "
    "organic layer. Below about 120 C it goes on the rotary evaporator; the residue is taken up in a solvent that "
    "water does not mix with.",
    sources=("zubrick", "common_practice"),
    fires=(
        Case("THF, 66 C", _ESTER, ("benzoic acid",), solvent="THF"),
        Case("methanol, 65 C", _ESTER, ("benzoic acid",), solvent="methanol"),
        Case("THF with a product that would go along: diluted", "CCCCC=C", ("benzoic acid",), solvent="THF"),
    ),
    silent=(
        Case("DMF, 153 C: near miss, miscible but not volatile", _ESTER, ("benzoic acid",), solvent="DMF"),
        Case(
            "cyanide beside acid: hydrogen cyanide would leave with the solvent",
            _ESTER,
            ("sodium cyanide; 5 mmol", "acetic acid; 10 mmol"),
            solvent="THF",
        ),
        Case("dichloromethane forms its own layer", _ESTER, ("benzoic acid",)),
    ),
)
def strip_miscible_solvent(engine: Any, s: str, b: float) -> None:
    """Evaporate a volatile miscible solvent first."""
    row = table(Solvent)[s]
    if _must_not_be_concentrated(engine) or _poison_beside_acid(engine):
        return
    if _takes_product_along(engine, b):
        engine.conclude(
            f.Prepares(action="dilute", subject=s),
            f"{engine.job.name('product')} would go with {row.name} on the rotary evaporator: water takes that instead",
            (row.source,),
        )
        return
    engine.conclude(
        f.Prepares(action="evaporate", subject=s), f"{row.name} mixes with water and boils at {b:.0f} C", (row.source,)
    )


def _poison_beside_acid(engine: Any) -> bool:
    """Tell whether cyanide, azide or sulfide stands beside an acid: its gas would leave with the solvent."""
    poison = any(fact["action"] != "quench" and is_volatile(fact["residue"]) for _, fact in engine.facts_of(f.Leftover))
    acids = [fact for _, fact in engine.facts_of(f.Ionises, kind="acid") if fact["component"] != "product"]
    own = {fact["component"] for _, fact in engine.facts_of(f.Leftover) if is_volatile(fact["residue"])}
    return poison and any(fact["pka"] < FREES_POISON_PKA and fact["component"] not in own for fact in acids)


def _poison_goes_along(engine: Any, solvent_c: float) -> bool:
    """Tell whether hydrazoic or hydrocyanic acid as such is there, and would come over with a solvent before any base holds it."""
    own = {fact["component"] for _, fact in engine.facts_of(f.Leftover) if is_volatile(fact["residue"])}
    return any(fact["component"] in own and fact["boiling_c"] < solvent_c for _, fact in engine.facts_of(f.Boils))


def _takes_product_along(engine: Any, solvent_c: float) -> bool:
    """Tell whether the product boils so near a solvent that it cannot be stripped before the work is done."""
    own = engine.first(f.Boils, component="product")
    return own is not None and own["boiling_c"] < min(solvent_c + BOILS_TOO_CLOSE_C, LOST_BELOW_C)


def _may_be_stripped(engine: Any, solvent: str, boils_c: float) -> bool:
    """Tell whether a solvent that water does not mix with can be taken off before the washes, and nothing is hurt by it."""
    if table(Solvent)[solvent].halogenated and engine.first(f.Leftover, residue="azide_ion"):
        return False  # azidomethanes would be concentrated
    return boils_c < STRIPPABLE_BELOW_C and not (
        (_nitronate(engine) and _bases(engine))
        or _poison_beside_acid(engine)
        or _poison_goes_along(engine, boils_c)
        or _takes_product_along(engine, boils_c)
        or _must_not_be_concentrated(engine)
    )


def _must_not_be_concentrated(engine: Any) -> list[tuple[int, Any]]:
    """Return the harsh components that rule out stripping: any with a neutral product, perchlorate and peroxide always."""
    ionises = engine.first(f.Ionises, component="product") is not None
    always = (*OXIDISES_ALCOHOLS, "hydroxylamine")
    return [
        (i, fact)
        for i, fact in engine.facts_of(f.Harsh)
        if (fact["kind"] in always or not ionises or (fact["kind"] == STRONG_BASE and _nitronate(engine)))
        and not engine.first(f.EndsDry, component=fact["component"])
    ]


def _bases(engine: Any) -> bool:
    """Tell whether a base is in the flask that makes salts of acids of pKa 10, or a quench pours one in."""
    if engine.first(f.Harsh, kind=STRONG_BASE):
        return True
    if any(fact["pka"] > MAKES_NITRONATE_PKA for _, fact in engine.facts_of(f.Ionises, kind="base")):
        return True
    quenched = [table(Residue)[fact["residue"]] for _, fact in engine.facts_of(f.Leftover, action="quench")]
    poured = [table(Solution).get(poured_in(engine, row)) for row in quenched]
    return any(row is not None and row.ph > MAKES_NITRONATE_PKA for row in poured)


def _nitronate(engine: Any) -> bool:
    """Tell whether a base makes a salt of a nitroalkane in the flask, which may explode when it is dry."""
    return any("nitroalkane" in fact["site_class"] for _, fact in engine.facts_of(f.Ionises, kind="acid"))


@rule(
    f.Medium(solvent=MATCH.s, miscibility="miscible", boiling_c=MATCH.b),
    f.Harsh(component=MATCH.c, kind=MATCH.kind),
    TEST(lambda s, b: s != "water" and b < STRIPPABLE_BELOW_C),
    stage="classify",
    title="Nothing is stripped from strong acid or base, perchlorate, peroxide or hydroxylamine; it is diluted with water instead",
    why="As the solvent leaves, acid or base grows concentrated and hot on the product, and perchlorate or peroxide with "
    "organic matter may explode. Water and an organic solvent first take the product away from it.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("sulfuric acid in methanol", _ESTER, ("sulfuric acid; 10 mmol",), solvent="methanol"),
        Case("hydrogen chloride in dioxane", _ESTER, ("HCl; 20 mmol",), solvent="1,4-dioxane"),
    ),
    silent=(
        Case("benzoic acid in THF", _ESTER, ("benzoic acid",), solvent="THF"),
        Case(
            "hydrogen chloride with an amine product: near miss, it is held as the salt",
            "C1CCN(CC1)Cc1ccccc1",
            ("HCl; 20 mmol",),
            solvent="methanol",
        ),
    ),
)
def dilute_instead_of_stripping(engine: Any, s: str, b: float, c: str, kind: str) -> None:
    """Dilute with water where stripping would be dangerous."""
    if c not in {fact["component"] for _, fact in _must_not_be_concentrated(engine)}:
        return
    row = table(Solvent)[s]
    engine.conclude(
        f.Prepares(action="dilute", subject=s),
        f"{engine.job.name(c)} is {kind}: {row.name} stays until water has taken it",
        (row.source,),
    )


@rule(
    f.Medium(solvent=MATCH.s, miscibility="miscible", boiling_c=MATCH.b),
    TEST(lambda s, b: s != "water" and b >= STRIPPABLE_BELOW_C),
    stage="classify",
    title="A water-miscible solvent that does not evaporate is diluted and washed out with water",
    why="Each water wash takes most of it, since it prefers water; several are needed. Ether or ethyl acetate lets go of it "
    "more readily than dichloromethane does; lithium chloride in the water helps.",
    sources=("common_practice",),
    fires=(
        Case("DMF", _ESTER, ("benzoic acid",), solvent="DMF"),
        Case("DMSO", _ESTER, ("benzoic acid",), solvent="DMSO"),
    ),
    silent=(
        Case("acetonitrile: near miss, miscible but volatile", _ESTER, ("benzoic acid",), solvent="acetonitrile"),
        Case("toluene forms its own layer", _ESTER, ("benzoic acid",), solvent="toluene"),
    ),
)
def dilute_high_boiling_solvent(engine: Any, s: str, b: float) -> None:
    """Dilute a high-boiling miscible solvent and wash it out."""
    row = table(Solvent)[s]
    engine.conclude(
        f.Prepares(action="dilute", subject=s), f"{row.name} mixes with water and boils at {b:.0f} C", (row.source,)
    )


def _price(engine: Any, solvent: Solvent, log_d: float) -> tuple[float, list[str]]:
    """Return what speaks against a solvent as one number (lower is better), and the words for it."""
    lost = 1.0 / (1.0 + 3.0 * 10.0**log_d)
    price, words = 6.0 * lost, [f"{share(lost)} of the product would go into one wash of a third of its volume"]
    own = engine.first(f.Medium, solvent=solvent.id) is not None
    if solvent.log_k_key in ALKANES:
        price += 0.5
        words.append("an alkane, which holds only greasy compounds")
    elif own:
        price -= 1.0
        words.append("the reaction ran in it")
    if solvent.greenness is not None:
        price += (10.0 - solvent.greenness) * 0.06
        words.append(f"greenness {solvent.greenness:g} of 10")
    if solvent.halogenated:
        price += 0.15
        words.append("halogenated waste")
    if solvent.peroxide_former:
        price += 0.1
        words.append("forms peroxides")
    if solvent.water_held_wt_pct and solvent.water_held_wt_pct > 4:
        price += 0.15
        words.append(f"holds {solvent.water_held_wt_pct:g} % of water")
    if solvent.boiling_c > 105:
        price += 0.45
        words.append(f"boils at {solvent.boiling_c:.0f} C")
    kept = [
        fact["boiling_c"]
        for _, fact in engine.facts_of(f.Medium)
        if fact["miscibility"] != "miscible" and not _may_be_stripped(engine, fact["solvent"], fact["boiling_c"])
    ]
    product = engine.first(f.Boils, component="product")
    if kept and not own:
        near = product is not None and product["boiling_c"] < max(kept) + BOILS_TOO_CLOSE_C
        price += NEVER_PARTED_PRICE if near else MIXED_PRICE
        words.append("would mix with what the reaction ran in, which cannot be stripped off before the washes")
    if solvent.id in FOR_VERY_POLAR:
        price += 0.7
        words.append("for very polar products")
        if any(fact["kind"] in OXIDISES_ALCOHOLS for _, fact in engine.facts_of(f.Harsh)):
            price += 8.0
            words.append("an alcohol, which may catch fire on nitric acid or the like")
    if product is not None and solvent.boiling_c > product["boiling_c"] - STRIPS_CLEANLY_C:
        apart = product["boiling_c"] - solvent.boiling_c
        price += DISTILS_OUT_PRICE if apart < -DISTILS_OUT_C else 0.02 * (STRIPS_CLEANLY_C - apart)
        words.append(
            f"the product boils at {product['boiling_c']:.0f} C, {abs(apart):.0f} C {'above' if apart > 0 else 'below'} it"
        )
    if solvent.id in ESTERS and _hydroxide_is_likely(engine):
        price += 1.2
        words.append("hydrolysed by the hydroxide that this product or leftover asks for")
    elif solvent.id in ESTERS and engine.first(f.Harsh, kind=STRONG_BASE):
        price += 0.8
        words.append("hydrolysed by the hydroxide in the flask")
    if solvent.halogenated and any(engine.first(f.Leftover, residue=r) for r in ("azide_ion", "acyl_silyl_azide")):
        price += 6.0
        words.append("gives explosive azides with azide ion")
    if solvent.halogenated and (
        any(engine.first(f.Leftover, residue=r) for r in HELD_BY_HALOGENATED)
        or any(fact["charge"] > 0 and fact["component"] != "product" for _, fact in engine.facts_of(f.Charged))
        or _greasy_base(engine, solvent)
    ):
        price += 1.2
        words.append("holds on to quaternary salts, those of greasy bases, crown ethers and HMPA")
    amine = engine.first(f.Ionises, component="product", kind="base") is not None  # goes through acid, not bisulfite
    bisulfite = any(
        not unfit(engine, table(Residue)[fact["residue"]]) and not evaporates(engine, fact["component"])
        for _, fact in engine.facts_of(f.Leftover, solution="nahso3_sat")
    )
    if solvent.halogenated and bisulfite and not amine:
        price += 1.2
        words.append("is as heavy as saturated bisulfite")
    if solvent.halogenated and any(engine.facts_of(f.Prepares, action="dilute")):
        price += 0.6
        words.append("holds on to DMF and the like")
    return price, words


@rule(
    f.Extraction(solvent=MATCH.e),
    f.Medium(solvent="water"),
    f.Component(id="product"),
    NOT(f.Ionises(component="product")),
    NOT(f.Leftover(action="quench")),
    NOT(f.Medium(miscibility="immiscible")),
    TEST(lambda e: e in FOR_VERY_POLAR),
    stage="warn",
    title="A neutral product that hardly leaves its water is freed of salt by stripping the water, not by extracting it",
    why="Butanol and chloroform with 2-propanol take a glycol out of water bit by bit, and take water and salt along. "
    "Where all else is salt it is simpler to strip the water, take the residue up in a dry alcohol or acetone, which leaves "
    "the salts, filter, and strip again.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("propane-1,2-diol beside salt", "CC(O)CO", ("sodium chloride; 20 mmol",), solvent="water"),
        Case("butane-1,4-diol beside sulfate", "OCCCCO", ("sodium sulfate; 5 mmol",), solvent="water"),
    ),
    silent=(
        Case(
            "near miss: beside an acid, which would stay with it", "CC(O)CO", ("benzoic acid; 5 mmol",), solvent="water"
        ),
        Case("an ester leaves the water", _ESTER, ("sodium chloride; 20 mmol",), solvent="water"),
    ),
)
def strip_the_water_instead(engine: Any, e: str) -> None:
    """Say that a very polar product is better freed of its salts dry."""
    others = [fact["id"] for _, fact in engine.facts_of(f.Component) if fact["id"] != "product"]
    waters = {c.id for c in engine.job.mixture.components if c.smiles == "O"}
    salts = [c for c in others if engine.first(f.Inorganic, component=c) and not engine.first(f.Harsh, component=c)]
    if not salts or set(others) - set(salts) - waters:
        return
    boils = engine.first(f.Boils, component="product")
    if boils is not None and boils["boiling_c"] < COMES_WITH_WATER_C:
        return
    names = listed([engine.job.name(c) for c in salts])
    engine.conclude(
        f.Cautions(id="strip the water", subject="product"),
        f"{engine.job.name('product')} likes water, and all that is beside it is salt ({names}): it is simpler to "
        f"strip the water under vacuum, take the residue up in dry ethanol or acetone, filter the salts off and strip again, than "
        f"to extract with {table(Solvent)[e].name}; try it with a little first",
    )


def _greasy_base(engine: Any, solvent: Solvent) -> bool:
    """Tell whether a solvent would keep the hydrochloride of a strong base that is to go into acid: that of a phosphazene."""
    for _, fact in engine.facts_of(f.Ionises, kind="base"):
        if fact["component"] == "product" or fact["pka"] < STRONG_BASE_PKA:
            continue
        part = engine.job.mixture.component(fact["component"]).principal
        shift, _ = pair_log_k(part, solvent.log_k_key, molecule_sites(part))
        if molecule_log_k(part, solvent.log_k_key).value + shift > SALT_STAYS_LOG_K:
            return True
    return False


def _hydroxide_is_likely(engine: Any) -> bool:
    """Tell whether a phenol is to be moved into base or an amine product set free by it."""
    weak_acid = any(7.5 < fact["pka"] < 11.5 for _, fact in engine.facts_of(f.Ionises, kind="acid"))
    base = engine.first(f.Ionises, component="product", kind="base")
    return weak_acid or (base is not None and base["pka"] > 7.5)


@rule(
    f.Component(id="product"),
    NOT(f.Candidate(asked_for=True)),
    stage="classify",
    salience=-10,
    title="The organic layer is the solvent that keeps the product best and is kindest to work with",
    why="The product should prefer it by far to water; then count what the reaction already ran in, waste, peroxides, how "
    "much water it takes up, and how easily it is stripped.",
    sources=("prat2016", "common_practice"),
    fires=(
        Case("the choice is ours after THF", _ESTER, ("benzoic acid",), solvent="THF"),
        Case("the reaction's own toluene may serve", _ESTER, ("benzoic acid",), solvent="toluene"),
    ),
    silent=(
        Case("MTBE is asked for", _ESTER, ("benzoic acid",), extract="MTBE"),
        Case("the reaction's own solvent is asked for by name: near miss", _ESTER, ("benzoic acid",), extract="DCM"),
    ),
)
def choose_extraction_solvent(engine: Any) -> None:
    """Choose the solvent of the organic layer."""
    ranked = []
    for known_id, fact in engine.facts_of(f.Candidate):
        row = table(Solvent)[fact["solvent"]]
        price, words = _price(engine, row, fact["log_d"])
        ranked.append((price, row, words, known_id))
    ranked.sort(key=lambda item: item[0])
    _, best, words, best_id = ranked[0]
    others = ", ".join(row.name for _, row, _, _ in ranked[1:4])
    text = f"{best.name}: {'; '.join(words)}" + (f" (considered too: {others})" if others else "")
    engine.conclude(f.Extraction(solvent=best.id), text, (best.source,), also=(best_id,))


@rule(
    f.Candidate(solvent=MATCH.s, asked_for=True),
    stage="classify",
    title="A solvent that is asked for makes the organic layer",
    why="The user knows what is on the shelf; what the choice costs is said, not overruled.",
    sources=("common_practice",),
    fires=(
        Case("MTBE is asked for", _ESTER, ("benzoic acid",), extract="MTBE"),
        Case("toluene is asked for after THF", _ESTER, ("benzoic acid",), solvent="THF", extract="toluene"),
    ),
    silent=(
        Case("the choice is left to us", _ESTER, ("benzoic acid",)),
        Case("the reaction ran in ether: near miss, nobody asked for it", _ESTER, ("phenol",), solvent="diethyl ether"),
    ),
)
def asked_for_solvent(engine: Any, s: str) -> None:
    """Take the solvent named by the user."""
    engine.conclude(f.Extraction(solvent=s), f"{table(Solvent)[s].name} was asked for", (table(Solvent)[s].source,))


@rule(
    f.Extraction(solvent=MATCH.e),
    f.Medium(solvent=MATCH.s, miscibility=~L("miscible"), boiling_c=MATCH.b),
    TEST(lambda e, s: e != s),
    stage="classify",
    salience=-20,
    title="A reaction solvent that is not the one to extract with is stripped off first",
    why="A mixed organic layer has a density and a water content that nobody knows: dichloromethane and ether together may "
    "float or sink.",
    sources=("common_practice",),
    fires=(
        Case("MTBE is wanted after dichloromethane", _ESTER, ("benzoic acid",), extract="MTBE"),
        Case(
            "ethyl acetate is wanted after hexane", _ESTER, ("benzoic acid",), solvent="hexane", extract="ethyl acetate"
        ),
    ),
    silent=(
        Case("the reaction's own solvent serves", _ESTER, ("benzoic acid",), extract="DCM"),
        Case("a product that would go along", "CCCCC=C", ("benzoic acid",), extract="MTBE"),
        Case("DMF: near miss, it is washed out instead", _ESTER, ("benzoic acid",), solvent="DMF", extract="MTBE"),
        Case("hydrazoic acid would come over", _ESTER, ("HN3; 5 mmol",), solvent="toluene", extract="MTBE"),
        Case("sulfuric acid would grow strong on the product", _ESTER, ("H2SO4; 2 mmol",), solvent="hexane"),
        Case("1,2-dichlorobenzene boils too high", _ESTER, ("benzoic acid",), solvent="1,2-dichlorobenzene"),
        Case("nitromethane beside a base", _ESTER, ("DBU; 5 mmol",), solvent="nitromethane"),
    ),
)
def strip_other_solvent(engine: Any, e: str, s: str, b: float) -> None:
    """Evaporate a reaction solvent that would mix with the extraction solvent."""
    if not _may_be_stripped(engine, s, b):
        return
    row = table(Solvent)[s]
    engine.conclude(
        f.Prepares(action="evaporate", subject=s),
        f"{row.name} (boils at {b:.0f} C) would mix with {table(Solvent)[e].name}",
        (row.source,),
    )


@rule(
    f.Component(id=MATCH.c, role=~L("product"), mmol=MATCH.mmol),
    f.Component(id="product", mmol=MATCH.product),
    f.Ionises(component=MATCH.c),
    f.Boils(component=MATCH.c, boiling_c=MATCH.b),
    NOT(f.Harsh(component=MATCH.c)),
    NOT(f.Harsh(kind="perchloric acid")),
    NOT(f.Harsh(kind="nitric acid")),
    NOT(f.Harsh(kind="hydrogen peroxide")),
    NOT(f.Leftover(component=MATCH.c, action="quench")),
    TEST(lambda mmol, product, b: mmol >= MUCH_EQUIV * product and b < STRIPPABLE_BELOW_C),
    stage="classify",
    title="Much of a volatile amine or acid is stripped off first, so that the washes need not hold it all",
    why="Ten equivalents of triethylamine or acetic acid would use up wash after wash, with heat or gas; the rotary "
    "evaporator takes most of it, and a wash the rest.",
    sources=("common_practice",),
    fires=(
        Case("triethylamine as the solvent", _ESTER, ("triethylamine; 100 mmol",)),
        Case("much acetic acid", _ESTER, ("acetic acid; 200 mmol",)),
    ),
    silent=(
        Case("little triethylamine", _ESTER, ("triethylamine; 12 mmol",)),
        Case("much DBU: near miss, it does not evaporate", _ESTER, ("DBU; 100 mmol",)),
        Case(
            "nitromethane beside hydroxide, whose salt may explode dry",
            _ESTER,
            ("nitromethane; 60 mmol", "NaOH; 1 mmol"),
        ),
        Case(
            "pyridine after a quench with water: near miss, larger washes hold it",
            "O=C(OCCc1ccccc1)c1ccccc1",
            ("TsCl; 2 mmol", "pyridine; 50 mmol"),
        ),
        Case(
            "pyridine beside a tosylate, which would take it up as it grows concentrated",
            "Cc1ccc(S(=O)(=O)OCCc2ccccc2)cc1",
            ("pyridine; 120 mmol",),
        ),
    ),
)
def strip_much_volatile(engine: Any, c: str, mmol: float, product: float, b: float) -> None:
    """Evaporate most of a volatile acid or base first."""
    own = engine.first(f.Boils, component="product")
    if (
        (own is not None and own["boiling_c"] < b + BOILS_TOO_CLOSE_C)
        or _poison_beside_acid(engine)
        or _poison_goes_along(engine, b)
    ):
        return
    if _nitronate(engine) and _bases(engine):
        return
    amine = engine.first(f.Ionises, component=c, kind="base") is not None
    if amine and engine.first(f.SpoiltBy, tag="amine"):
        return  # grown concentrated and warm it would be alkylated or acylated by the product
    if mmol <= WASHES_HOLD_M * organic_volume_ml(engine.job.mixture) and (
        engine.first(f.Medium, solvent="water")
        or any(
            quench_brings_water(engine, table(Residue)[fact["residue"]])
            for _, fact in engine.facts_of(f.Leftover, action="quench")
        )
    ):
        return  # water would have to be evaporated with it; larger washes hold it all
    engine.conclude(
        f.Prepares(action="evaporate", subject=c),
        f"{mmol / product:.0f} equivalents of {engine.job.name(c)} boil at {b:.0f} C",
    )


@rule(
    f.Inorganic(component=MATCH.c),
    f.Component(id=MATCH.c, mmol=MATCH.mmol),
    f.Component(id="product", mmol=MATCH.product),
    f.Medium(solvent=MATCH.s, miscibility=MATCH.m, boiling_c=MATCH.b),
    NOT(f.Medium(solvent="water")),
    NOT(f.Leftover(action="quench")),
    TEST(
        lambda s, b, mmol, product: (
            s not in DISSOLVE_SALT and b < STRIPPABLE_BELOW_C and mmol >= WORTH_FILTERING_EQUIV * product
        )
    ),
    stage="classify",
    salience=-15,
    title="Salts that lie undissolved in the reaction solvent are filtered off before it is stripped",
    why="Carbonates, chlorides, bromides, sulfates and phosphates of sodium and potassium do not dissolve in dry acetone, "
    "acetonitrile or ethers. On the filter they are gone at once; stripped together with the product they cake, and need water "
    "that a polar product may follow.",
    sources=("common_practice",),
    fires=(
        Case("potassium carbonate in acetone", _ESTER, ("potassium carbonate; 15 mmol",), solvent="acetone"),
        Case("potassium bromide in acetonitrile", _ESTER, ("potassium bromide; 10 mmol",), solvent="acetonitrile"),
    ),
    silent=(
        Case("potassium carbonate in methanol", _ESTER, ("potassium carbonate; 15 mmol",), solvent="methanol"),
        Case(
            "sodium iodide in acetone: near miss, it dissolves there",
            _ESTER,
            ("sodium iodide; 15 mmol",),
            solvent="acetone",
        ),
    ),
)
def filter_dry_salts(engine: Any, c: str, mmol: float, product: float, s: str, m: str, b: float) -> None:
    """Filter off salts that the reaction solvent does not dissolve."""
    ions = set(engine.job.mixture.component(c).smiles.split("."))
    cations = ions & set(DRY_SALT_CATIONS)
    if not cations or not ions - cations <= set(DRY_SALT_ANIONS) or ions == cations:
        return
    polar = all(fact["log_d"] < POLAR_LOG_D for _, fact in engine.facts_of(f.Candidate))
    if (m != "miscible" and not polar) or any(engine.facts_of(f.Harsh)) or engine.first(f.Leftover, component=c):
        return
    row = table(Solvent)[s]
    text = f"{engine.job.name(c)} does not dissolve in {row.name}"
    engine.conclude(f.Prepares(action="filter", subject=c), text, (row.source,))
    engine.conclude(f.Leaves(component=c, way="filtration"), text, (row.source,))


@rule(
    f.Prepares(action="evaporate", subject=MATCH.s),
    f.Mixes(component=MATCH.c, solvent=MATCH.s),
    NOT(f.Ionises(component=MATCH.c)),
    stage="free",
    title="A solvent that has been stripped needs no wash of its own",
    why="Half a per cent of it stays at most, and leaves with the next solvent.",
    sources=("common_practice",),
    fires=(
        Case("THF", _ESTER, ("benzoic acid",), solvent="THF"),
        Case("dioxane", _ESTER, ("benzoic acid",), solvent="1,4-dioxane"),
    ),
    silent=(
        Case("dichloromethane was not stripped", _ESTER, ("benzoic acid",)),
        Case("DMF: near miss, washed out instead", _ESTER, ("benzoic acid",), solvent="DMF"),
    ),
)
def stripped_solvent_leaves(engine: Any, s: str, c: str) -> None:
    """Let a stripped solvent leave."""
    engine.conclude(f.Leaves(component=c, way="evaporation"), f"{engine.job.name(c)} was stripped off")


# A neutral liquid that boils so, on such a scale, and takes so little water, is an organic layer without any solvent.
LIQUID_C, OWN_LAYER_G, OWN_LAYER_LOG_P = (35.0, 160.0), 5.0, 1.0


@rule(
    f.Boils(component="product", boiling_c=MATCH.b),
    TEST(lambda b: LIQUID_C[0] < b < LIQUID_C[1]),
    f.Extraction(solvent=MATCH.s),
    stage="warn",
    title="A liquid product that water hardly takes is a layer of its own",
    why="An alkyl halide or an alkene that was made in acid or water is parted, washed and dried as it is, and distilled once; a "
    "solvent would have to be distilled from it, and takes some of it along. Below a few grams too much stays on the glass.",
    sources=("williamson", "common_practice"),
    fires=(
        Case("bromobutane from acid", "1-bromobutane", ("H2SO4; 150 mmol",), solvent="water", amount="100 mmol"),
        Case("cyclohexene", "cyclohexene", ("phosphoric acid; 20 mmol",), solvent="water", amount="100 mmol"),
    ),
    silent=(
        Case("made in a solvent", "1-bromobutane", ("benzoic acid",), amount="100 mmol"),
        Case(
            "made in methyl acetate, which is stripped",
            "heptanal",
            ("triethylsilanol",),
            solvent="methyl acetate",
            amount="90 mmol",
        ),
        Case("half a gram: near miss", "1-bromobutane", ("H2SO4; 5 mmol",), solvent="water", amount="5 mmol"),
        Case("an amine goes into acid", "tripropylamine", ("H2SO4; 150 mmol",), solvent="water", amount="100 mmol"),
        Case("water takes much of it", "butan-2-one", ("H2SO4; 5 mmol",), solvent="water", amount="100 mmol"),
    ),
)
def own_layer(engine: Any, b: float, s: str) -> None:
    """Say that the solvent may be left out."""
    mixture = engine.job.mixture
    part = mixture.product.principal
    grams = mixture.product.mmol * part.molar_mass / 1000.0
    layered = any(row.miscibility != "miscible" and row.id != "water" for row, _ in mixture.reaction_solvents)
    if grams < OWN_LAYER_G or layered or molecule_sites(part):
        return
    if molecule_log_k(part, OCTANOL).value < OWN_LAYER_LOG_P:
        return
    row = table(Solvent)[s]
    engine.conclude(
        f.Cautions(id="own layer", subject="product"),
        f"{engine.job.name('product')} is a liquid (boils near {b:.0f} C), some {grams:.0f} g of it, that water hardly takes: on "
        f"this scale it is a layer of its own. The {row.name} may be left out; then part and wash it with about its own volume "
        "each time, see with a drop of water which layer is which, dry it and distil it once",
    )
