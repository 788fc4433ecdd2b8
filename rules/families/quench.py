"""Before the washes: quench what is reactive, filter what is solid."""

import re
from math import log10
from typing import Any

from washlore.knowledge.rows import Clash, Gas, Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, Case, rule, while_known
from washlore.rules.enough import acid_mmol
from washlore.rules.meeting import ACID_PH, in_bottle
from washlore.rules.mixture import Component
from washlore.rules.perceive import ACETIC_PH, falls_in_acid, takes_no_acid, wants_alkali
from washlore.rules.species import sheet
from washlore.rules.trial import layer_ml
from washlore.rules.words import listed

# Thiosulfate in acid gives sulfur and sulfur dioxide: with acid in the pot it goes in together with bicarbonate.
WITH_BASE = dict.fromkeys(("na2s2o3_10", "na2s2o3_sat", "na2s2o3_nahco3"), "na2s2o3_nahco3")
# Where the acid is more than that bicarbonate takes (0.6 M, half the volume of the organic layer), sulfite does it.
MOST_ACID_M = 0.3
# So it does where the water is made acidic afterwards, or another quench brings acid; ascorbate where sulfite would add.
SULFITE, ASCORBATE = "na2so3_10", "ascorbate_10"
SULFITE_WORDS = (
    "Add 10 % sodium sulfite in drops at 0 C, in the hood, until the colour is gone and starch-iodide paper stays white: the acid "
    "in the flask would make sulfur of thiosulfate. A little sulfur dioxide comes; filter what solid there is."
)
SULFITE_FIRST_WORDS = (
    "Stir with 10 % sodium sulfite until the colour is gone and starch-iodide paper stays white: this "
    "water is made acidic later, and acid would make sulfur of thiosulfate."
)
ASCORBATE_WORDS = (
    "Stir with 10 % sodium ascorbate until the colour is gone and starch-iodide paper stays white: acid would make sulfur of "
    "thiosulfate, and sulfite would add to this product."
)
BASE_FIRST_WORDS = (
    "At 0 C, in an open flask, add sodium carbonate in small portions until no more gas comes and pH paper shows 8, then 10 % "
    "Na2S2O3 in drops until starch-iodide paper stays white: acid would make sulfur of thiosulfate, and sulfite would add to this "
    "product."
)
# Water brought below this is too acidic for thiosulfate.
THIOSULFATE_PH = ACID_PH
# Water and sodium hydroxide in turn, and the salts filtered off, and what would go with them.
FIESER, GOES_INTO_BASE = "lithium_aluminium_hydride", ("acid", "weak acid", "amphoteric")
# Quenches that bring no water, and the one whose water ends in the solid that is filtered off.
DRY_WORDS = ("isopropanol", "2-propanol", "methanol", "ethanol", "tert-butanol", "acetic acid")
BRINGS_NO_WATER = ("lithium_aluminium_hydride", "hydride_gas", "metal_carbonyl")
# Strengths and names of what comes as a solution in water, in the words of a quench.
WATERY_WORDS = ("water", " M ", " %", "brine", "NaOH", "saturated", "hydrochloric")
AMINE_WORDS = ("amine", "ammonia", "morpholine")
PLAIN_WORDS = (
    "Stir at 0 C to room temperature in an open flask until it is gone (TLC, or no more gas); no amine, which this product "
    "would take up."
)
BASIC_WORDS = (
    "Stir at 0 C to room temperature in an open flask until it is gone (TLC, or no more gas); no amine: only acid would take out "
    "what it makes, and acid takes this product too."
)
GIVEN_TIME_WORDS = (
    "Stir on, at 30 to 40 C if need be, until it is gone (TLC, or no more smell of it): what ends it is there already."
)
BESIDE_METAL_WORDS = "Cool to 0 C; add it in drops, slowly, until no more gas comes and nothing reacts."
# What water destroys anyway goes onto the ice and acid of a Friedel-Crafts mixture with the Lewis acid: bicarbonate there would
# bring the aluminium down as a gel.
POURED_ALONG, POURING = ("acid_chloride", "carboxylic_anhydride", "thionyl_chloride", "oxalyl_chloride"), "hcl_1m"
# The base that follows is a wash, once the layers are parted.
ICE = "ice"
# As acidic as ammonium chloride in the bottle; half the organic layer is the usual water of a quench.
NH4CL_PH, USUAL_WATER = 4.5, 0.5
# Within this much of the limit of the product a solution is only strained for, beyond it refused.
EDGE_PH = 0.3
# Where the usual quench is too acidic for the product and the table knows no other.
GENTLE, CARBONATE, NEUTRAL, CARBONATE_PKA = "nahco3_sat", "na2co3_10", "phosphate_ph7", 10.3
AMMONIUM = "[NH4+]"
GENTLE_WORDS = (
    "At the temperature of the reaction add saturated NaHCO3 in drops, slowly and in an open flask; anything more acidic would "
    "break this product."
)
SOUR_WORDS = (
    "At the temperature of the reaction add saturated NaHCO3 in drops, slowly and in an open flask: it takes the acid that is in "
    "the flask, which would break this product in any other water."
)
BASED_WORDS = (
    "Stir at 0 C with 1 M potassium phosphate, pH 7, in an open flask until it is gone (TLC, or no more gas): that takes the base "
    "that is in the flask, which would break this product in bicarbonate."
)
# Where it would set a poison gas free from another leftover: above the pH that each of them wants.
KEPT_BASIC, MILDER = ("nahco3_sat", "na2co3_10"), "carbonate_ph10"
BASIC_REDUCTANT = "na2so3_10"
# Of metals that base brings down as a gel, tartrate holds the ion in the water, basic or not.
GELS_WITH_BASE, HOLDS_METALS = (
    frozenset({"aluminium_chloride", "titanium_tetrachloride", "titanium_alkoxide"}),
    "rochelle_sat",
)
WANTS_CARBONATE_PH = 8.5
# What is done in acid, as that of nitrite with sulfamic acid.
IN_ACID_PH = 2.0
# What must not meet water at once, whatever the water holds: metals and saline hydrides.
ALCOHOL = "isopropanol"
ALCOHOL_WORDS = (
    "Under nitrogen, covered with ether or toluene, add isopropanol in drops at 0 C until no more gas comes and nothing reacts; "
    "no water before. Then: "
)
# Washes that the words of a remedy may go on to.
AFTERWARDS = {
    "citric acid": "citric_10",
    "1 M HCl": "hcl_1m",
    "dilute acid": "hcl_1m",
    "NaHCO3": "nahco3_sat",
    "bicarbonate": "nahco3_sat",
    "Na2CO3": "na2co3_10",
    "NaOH": "naoh_1m",
}
# An acid weaker than this leaves the water as a gas; a stronger one (hydrogen fluoride) stays and is only kept from acid.
VOLATILE_BELOW_PH = 5.0


def spared_groups(engine: Any, row: Residue) -> list[str]:
    """Return the groups of the product that the usual remedy for a leftover would attack."""
    return [g for g in row.spares if engine.first(f.Contains, component="product", group=g)]


def unfit(engine: Any, row: Residue) -> bool:
    """Tell whether the usual remedy for a leftover would harm the product: by a group of it, by acid or by hydroxide.

    Or whether its ammonium would only get in the way of it.
    """
    return (
        bool(spared_groups(engine, row))
        or too_acidic(engine, row)
        or minds_hydroxide(engine, row)
        or wants_alkali(row, engine.job.mixture.product)
    )


def beyond(side: str, ph: float, limit: float) -> float:
    """Return how far (pH units) a solution is beyond what a product stands; rounded, since 2.0 - 1.7 is more than 0.3."""
    return round(limit - ph if side == "low" else ph - limit, 6)


def too_acidic(engine: Any, row: Residue) -> bool:
    """Tell whether a quench is more acidic than the product, or a leftover that acid turns into a poison gas, stands."""
    ph = quench_ph(row)
    limits = [fact["ph"] for _, fact in engine.facts_of(f.Stands, side="low")]
    if any(beyond("low", ph, limit) > EDGE_PH for limit in limits) or bool(poisoned_by(engine, row)):
        return True
    return in_one_phase(engine) and falls_in_acid(row, engine.job.mixture.product)


def in_one_phase(engine: Any) -> bool:
    """Tell whether the reaction ran in a solvent that mixes with water, so that all of the product meets what is poured in."""
    return any(
        fact["miscibility"] == "miscible" and fact["solvent"] != "water" for _, fact in engine.facts_of(f.Medium)
    )


def _too_basic(engine: Any, row: Residue) -> bool:
    """Tell whether a quench with carbonate is more basic than the product stands, where hydrogen carbonate serves as well."""
    ph = table(Solution)[CARBONATE].ph
    limits = [fact["ph"] for _, fact in engine.facts_of(f.Stands, side="high")]
    return row.solution == CARBONATE and not row.acid_frees and any(beyond("high", ph, limit) > 0 for limit in limits)


def poisoned_by(engine: Any, row: Residue) -> tuple[str, ...]:
    """Return the leftovers that a quench with a solution of the table, or in acid, would turn into a poison gas (component ids).

    Cyanide is one already at the pH of bicarbonate.
    """
    other = bool(row.instead) and not wants_acid(row)  # goes in where the product stands the usual one not
    other = other and (bool(spared_groups(engine, row)) or minds_hydroxide(engine, row))
    if row.action != "quench" or not (row.solution or wants_acid(row) or other or sours(row)):
        return ()
    ph = ACETIC_PH if sours(row) else table(Solution)[row.instead].ph if other else quench_ph(row)
    return tuple(
        fact["component"]
        for _, fact in engine.facts_of(f.Leftover)
        if fact["residue"] != row.id
        and (poison := table(Residue)[fact["residue"]]).acid_frees
        and ph < poison.frees_below_ph
    )


def wants_acid(row: Residue) -> bool:
    """Tell whether what destroys a leftover, no solution of the table, does so in acid, and the row knows another way."""
    return not row.solution and "acid" in row.quench_with and bool(row.instead)


def sours(row: Residue) -> bool:
    """Tell whether a leftover is ended with acetic acid, and what to do where none may come near."""
    return not row.solution and row.quench_with.startswith("acetic acid") and bool(row.instead_how)


def taken_out_whole(engine: Any, row: Residue) -> bool:
    """Tell whether base takes a leftover out as it is, as what would destroy it wants acid that may not come near."""
    return wants_acid(row) and unfit(engine, row)


def quench_ph(row: Residue) -> float:
    """Return the pH of what a leftover is quenched with."""
    if row.solution:
        return table(Solution)[row.solution].ph
    return IN_ACID_PH if wants_acid(row) else 7.0


def frees_poison(residue: str, ph: float) -> bool:
    """Tell whether water of this pH, on the acid side, sets a poison gas free from a leftover."""
    row = table(Residue)[residue]
    return bool(row.acid_frees) and ph < min(7.0, row.frees_below_ph)


def is_volatile(residue: str) -> bool:
    """Tell whether acid turns a leftover into a gas that leaves the water (hydrogen fluoride stays)."""
    row = table(Residue)[residue]
    return row.frees_below_ph >= VOLATILE_BELOW_PH


def holds_poison(solution: str, residue: str) -> bool:
    """Tell whether a base holds in the water, as its ion, what acid would turn into a gas; silyl and acyl forms fall apart."""
    row, other = table(Solution)[solution], table(Residue)[residue]
    return (
        is_volatile(residue)
        and other.action != "quench"
        and row.acts_as == "base"
        and residue not in row.never_meets
        and row.ph > other.frees_below_ph
    )


def _kept_basic(engine: Any, row: Residue) -> str:
    """Return the solution that quenches without setting a poison gas free, or empty."""
    if sours(row):
        return ""
    if row.solution and table(Solution)[row.solution].acts_as == "reductant":
        return BASIC_REDUCTANT if poisoned_by(engine, row) else ""
    if not poisoned_by(engine, row):
        return ""
    if row.id in GELS_WITH_BASE and _least_ph(engine, row) < table(Solution)[HOLDS_METALS].ph:
        return HOLDS_METALS
    return _holding(engine, _least_ph(engine, row))


def _holding(engine: Any, least: float) -> str:
    """Return the base that holds poisons above the pH that they want, the milder one where the product minds the usual."""
    usual = KEPT_BASIC[least > WANTS_CARBONATE_PH]
    limits = [fact["ph"] for _, fact in engine.facts_of(f.Stands, side="high")]
    minds = any(beyond("high", table(Solution)[usual].ph, limit) > 0 for limit in limits)
    return MILDER if minds and least < table(Solution)[MILDER].ph < table(Solution)[usual].ph else usual


def _least_ph(engine: Any, row: Residue) -> float:
    found = [engine.first(f.Leftover, component=c)["residue"] for c in poisoned_by(engine, row)]
    return max(table(Residue)[r].frees_below_ph for r in found)


def minds_hydroxide(engine: Any, row: Residue) -> bool:
    """Tell whether a quench calls for hydroxide that the product does not stand."""
    words = row.quench_with + row.how
    if row.id == FIESER and any(engine.first(f.Behaviour, component="product", kind=k) for k in GOES_INTO_BASE):
        return True  # filtered off as its salt, with the aluminium
    if row.id == FIESER and any(engine.first(f.Leftover, residue=r, action="quench") for r in GELS_WITH_BASE):
        return True
    return "NaOH" in words and any(fact["ph"] < 13.5 for _, fact in engine.facts_of(f.Stands, side="high"))


def other_way(engine: Any, row: Residue) -> bool:
    """Tell whether a leftover is dealt with in the other way that its row knows, for the sake of the product."""
    return bool(row.instead_how) and unfit(engine, row)


def poured_with(engine: Any, row: Residue) -> Residue | None:
    """Return the Lewis acid that is poured onto ice and acid, and takes an acid halide of its mixture along; or ``None``."""
    if row.id not in POURED_ALONG:
        return None
    for _, fact in engine.facts_of(f.Leftover, action="quench", kind="Lewis acid"):
        lewis = table(Residue)[fact["residue"]]
        if lewis.solution == POURING and not unfit(engine, lewis):
            return lewis
    return None


def beside_metal(engine: Any, row: Residue) -> Residue | None:
    """Return the metal whose tartrate takes the place of ammonium chloride or bicarbonate, which would make a gel of it."""
    if row.action != "quench" or row.solution != "nh4cl_sat" or row.kind not in ("organometallic", "strong base"):
        return None
    for _, fact in engine.facts_of(f.Leftover, action="quench"):
        metal = table(Residue)[fact["residue"]]
        if (
            metal.id in GELS_WITH_BASE
            and not poisoned_by(engine, metal)
            and _usual_solution(engine, metal) == HOLDS_METALS
        ):
            return metal
    return None


def meets_lye(engine: Any, row: Residue) -> bool:
    """Tell whether hydroxide is poured in for another leftover, which would make a gel of the metal of this one."""
    others = (table(Residue)[fact["residue"]] for _, fact in engine.facts_of(f.Leftover, action="quench"))
    return row.id in GELS_WITH_BASE and any(
        "NaOH" in other.quench_with and not (unfit(engine, other) and (other.instead or other.instead_with))
        for other in others
    )


def tartrate_words(engine: Any, row: Residue) -> str:
    """Return how tartrate takes a metal before base comes."""
    how = row.instead_how if row.instead == HOLDS_METALS else row.how
    return f"{how.partition(': acid would')[0].rstrip('.')}, before the base that comes for the rest would make a gel of it."


@while_known
def remedy_solution(engine: Any, row: Residue) -> str:
    """Return the id of the solution that a leftover is quenched or washed out with, fitted to product and pot."""
    if row.id in engine.job.ended:
        return ""
    if beside_metal(engine, row):
        return HOLDS_METALS
    if poured_with(engine, row):
        return POURING
    if takes_amine(engine, row):
        gentle = _gentle(engine, row)
        return NEUTRAL if gentle == GENTLE and takes_the_base(engine) else gentle
    basic = _kept_basic(engine, row)
    if basic:
        return basic
    solution = _usual_solution(engine, row)
    if takes_the_acid(engine, row):
        return GENTLE
    if row.action == "quench" and solution == GENTLE and takes_the_base(engine):
        return NEUTRAL
    return _stands_acid(engine, row, solution) if solution in WITH_BASE else solution


def _usual_solution(engine: Any, row: Residue) -> str:
    """Return the id of the solution that a leftover takes beside this product, but for what acid and poison of the flask ask."""
    if meets_lye(engine, row):
        return HOLDS_METALS
    if other_way(engine, row):
        return row.instead
    gentle = row.action == "quench" and (too_acidic(engine, row) or _too_basic(engine, row))
    return GENTLE if gentle else row.solution


def takes_the_acid(engine: Any, row: Residue) -> bool:
    """Tell whether bicarbonate goes in since the acids of the flask would break the product in water that takes none of them."""
    solution = table(Solution).get(_usual_solution(engine, row)) if row.action == "quench" else None
    if solution is None or solution.acts_as not in ("acid", "neutral", "salt") or solution.ph < NH4CL_PH:
        return False
    limits = [fact["ph"] for _, fact in engine.facts_of(f.Stands, side="low")]
    return bool(limits) and beyond("low", _soured_ph(engine, max(limits)), max(limits)) > EDGE_PH


def takes_the_base(engine: Any) -> bool:
    """Tell whether a buffer goes in since the bases of the flask would break the product in water that takes none of them."""
    limits = [fact["ph"] for _, fact in engine.facts_of(f.Stands, side="high")]
    if not limits:
        return False
    base = -acid_mmol(engine.job.mixture, engine.job.quenched)
    part = base / (table(Solution)[GENTLE].molarity_m * _usual_ml(engine))
    return part > 0 and (part >= 1 or CARBONATE_PKA + log10(part / (1 - part)) > min(limits) + EDGE_PH)


def _usual_ml(engine: Any) -> float:
    mixture = engine.job.mixture
    return USUAL_WATER * layer_ml(mixture) + mixture.water_ml


def _soured_ph(engine: Any, limit: float) -> float:
    """Return the pH of the usual water with the acids of the flask that bring it below a limit, less the bases there."""
    mixture, gone = engine.job.mixture, engine.job.quenched
    one = sheet(mixture, 1)
    acid = -sum(mmol for component, mmol in one.strong_of.items() if component not in gone)
    for i, sign, pka in zip(one.site_of, one.sign, one.pka[:, 0], strict=True):
        if one.species[int(i)].component not in gone and (pka < limit if sign > 0 else pka > limit):
            acid += sign * float(one.mmol[int(i)])
    return -log10(acid / _usual_ml(engine)) if acid > 0 else 7.0


def _stands_acid(engine: Any, row: Residue, thiosulfate: str) -> str:
    """Return what reduces a leftover in the acid that is in its water or comes there later."""
    sour = engine.job.soured or acid_poured(engine, row)
    if not (sour or acid_in_the_pot(engine)):
        return thiosulfate
    if not (sour or _much_acid(engine) or _is_acid(engine)):
        return WITH_BASE[thiosulfate]
    if not minds_sulfite(engine, row):
        return SULFITE
    return ASCORBATE if row.solution in WITH_BASE else WITH_BASE[thiosulfate]


def acid_poured(engine: Any, row: Residue) -> bool:
    """Tell whether another leftover is quenched with an acid that would make sulfur of thiosulfate, in the same flask."""
    others = [table(Residue)[x["residue"]] for _, x in engine.facts_of(f.Leftover, action="quench")]
    return any(
        "strong acid" in in_bottle(remedy_solution(engine, other))
        for other in others
        if other.id != row.id and WITH_BASE.keys().isdisjoint((other.solution, other.instead))
    )


def spoils_thiosulfate(engine: Any, ph: float) -> bool:
    """Tell whether water brought to this pH holds thiosulfate of a quench, which acid turns into sulfur."""
    rows = [table(Residue)[x["residue"]] for _, x in engine.facts_of(f.Leftover, action="quench")]
    return ph < THIOSULFATE_PH and any(remedy_solution(engine, row) in WITH_BASE for row in rows)


def minds_sulfite(engine: Any, row: Residue) -> bool:
    """Tell whether sulfite would add to the product: a group of it, or the row of what is quenched, says so."""
    if row.instead in WITH_BASE:
        return other_way(engine, row)
    return engine.first(f.SpoiltBy, tag="sulfite") is not None


def acid_in_the_pot(engine: Any) -> bool:
    """Tell whether a mineral acid, or more than a little of any other, is in the flask."""
    mineral = any(fact["kind"] in ("a strong mineral acid", "nitric acid") for _, fact in engine.facts_of(f.Harsh))
    return mineral or _acid_mmol(engine) > 0.5 * engine.job.mixture.product.mmol


def _acid_mmol(engine: Any) -> float:
    return sum(
        engine.job.mixture.component(fact["component"]).mmol
        for _, fact in engine.facts_of(f.Ionises, kind="acid")
        if fact["pka"] < 6 and fact["component"] != "product"
    )


def _is_acid(engine: Any) -> bool:
    """Tell whether the product is an acid whose water is made acidic again after the quench."""
    return bool(engine.first(f.Behaviour, component="product", kind="acid"))


def _much_acid(engine: Any) -> bool:
    """Tell whether the flask holds more acid than the bicarbonate that goes in with thiosulfate would take."""
    return _acid_mmol(engine) > MOST_ACID_M * layer_ml(engine.job.mixture)


def takes_amine(engine: Any, row: Residue) -> bool:
    """Tell whether a quench calls for an amine that the product would take up, or whose remains no acid could take out."""
    wants = row.solution in ("", "ammonia_10") and any(word in row.quench_with for word in AMINE_WORDS)
    wants = wants and row.action == "quench"
    minds = any(engine.first(f.SpoiltBy, tag=tag) for tag in ("amine", "ammonia")) or basic_remains(engine, row)
    minds = minds or bool(row.solution and beside_ammonia(engine, row))
    return wants and minds and not (row.instead and other_way(engine, row))


def mind_ammonium() -> set[str]:
    """Return the leftovers that clash with ammonium: haloamines, ammonium azide."""
    return {name for clash in table(Clash).values() if AMMONIUM in clash.partners for name in clash.residues}


def beside_ammonia(engine: Any, row: Residue) -> list[str]:
    """Return the other leftovers (component ids) that ammonia must not meet."""
    minds = mind_ammonium() | set(table(Solution)["ammonia_10"].never_meets)
    return [
        fact["component"]
        for _, fact in engine.facts_of(f.Leftover)
        if fact["residue"] in minds and fact["residue"] != row.id
    ]


def _gentle(engine: Any, row: Residue) -> str:
    """Return the carbonate that takes the place of an amine, and holds the poisons of the flask."""
    least = max(
        (
            table(Residue)[fact["residue"]].frees_below_ph
            for _, fact in engine.facts_of(f.Leftover)
            if fact["residue"] != row.id and table(Residue)[fact["residue"]].acid_frees
        ),
        default=0.0,
    )
    return _holding(engine, least)


def basic_remains(engine: Any, row: Residue) -> bool:
    """Tell whether what an amine makes of a leftover is taken out with acid, which would take the product as well."""
    return "amine" in row.quench_with and takes_no_acid(engine.job.mixture.product)


@while_known
def quench_agent(engine: Any, row: Residue) -> str:
    """Return in words what a leftover is quenched with."""
    if row.id in engine.job.ended:
        return str(engine.job.ended[row.id])
    if metal := beside_metal(engine, row):
        return metal.quench_with if metal.solution == HOLDS_METALS else metal.instead_with
    if lewis := poured_with(engine, row):
        return lewis.quench_with
    if takes_amine(engine, row):
        return table(Solution)[remedy_solution(engine, row)].name
    solution = remedy_solution(engine, row)
    named = f"{ALCOHOL}, then {table(Solution)[solution].name}" if wants_alcohol(row) else ""
    named = named or (table(Solution)[solution].name if solution else "")
    before, _, _ = row.quench_with.rpartition(", then ")
    if named and before and not wants_alcohol(row) and not (before == "water" and _kept_basic(engine, row)):
        named = f"{before}, then {named}"
    if _kept_basic(engine, row):
        return named
    if other_way(engine, row) and not takes_the_acid(engine, row):
        return row.instead_with if solution == row.instead else named
    return named if solution != row.solution else row.quench_with


def wants_alcohol(row: Residue) -> bool:
    """Tell whether a leftover is ended with an alcohol before any water comes near."""
    return bool(row.solution) and row.quench_with.startswith(ALCOHOL)


def poured_in(engine: Any, row: Residue) -> str:
    """Return the id of the solution that a quench leaves in the flask: of ice, water."""
    return "water" if quench_agent(engine, row) == ICE else remedy_solution(engine, row)


def remedy_words(engine: Any, row: Residue) -> str:
    """Return how a leftover is dealt with, fitted to the product."""
    if row.id in engine.job.ended:
        return GIVEN_TIME_WORDS
    if meets_lye(engine, row) and remedy_solution(engine, row) == HOLDS_METALS:
        return tartrate_words(engine, row)
    if metal := beside_metal(engine, row):
        return BESIDE_METAL_WORDS if metal.solution == HOLDS_METALS else remedy_words(engine, metal)
    if lewis := poured_with(engine, row):
        return lewis.how
    if takes_amine(engine, row):
        if row.solution and (clashing := beside_ammonia(engine, row)):
            names = listed([engine.job.name(c) for c in clashing])
            return PLAIN_WORDS.replace("no amine, which this product would take up", f"no ammonia beside {names}")
        return BASIC_WORDS if basic_remains(engine, row) else PLAIN_WORDS
    if row.solution in WITH_BASE and remedy_solution(engine, row) == SULFITE:
        return SULFITE_WORDS if acid_in_the_pot(engine) or acid_poured(engine, row) else SULFITE_FIRST_WORDS
    if row.solution in WITH_BASE and remedy_solution(engine, row) == ASCORBATE:
        return ASCORBATE_WORDS
    if minds_sulfite(engine, row) and remedy_solution(engine, row) == WITH_BASE.get(row.instead):
        return BASE_FIRST_WORDS
    first = ALCOHOL_WORDS if wants_alcohol(row) else ""
    if basic := _kept_basic(engine, row):
        poisons = listed([engine.job.name(c) for c in poisoned_by(engine, row)])
        least = _least_ph(engine, row)
        if wants_acid(row):
            told = row.instead_how.replace("saturated NaHCO3", table(Solution)[basic].name)
            return f"{told} The water stays above pH {least:g}, or a poison gas comes from {poisons}."
        if basic == BASIC_REDUCTANT:
            return (
                f"Stir solid sodium carbonate in first, then a little water, until pH paper shows more than {least:g}; then, cold, "
                f"add {table(Solution)[basic].name} in drops, slowly and in an open flask: below that pH a poison gas comes from "
                f"{poisons}."
            )
        return first + (
            f"At the temperature of the reaction add {table(Solution)[basic].name} in drops, slowly and in an open flask, with "
            f"solid sodium carbonate at hand: the water stays above pH {least:g}, or a poison gas comes from {poisons}."
        )
    if takes_the_acid(engine, row):
        return first + SOUR_WORDS
    if remedy_solution(engine, row) == NEUTRAL != _usual_solution(engine, row):
        return first + BASED_WORDS
    if other_way(engine, row):
        return fitted(engine, row.instead_how)
    return fitted(engine, first + GENTLE_WORDS if row.action == "quench" and too_acidic(engine, row) else row.how)


def fitted(engine: Any, words: str) -> str:
    """Return the words of a remedy, with what is wrong for this product in the washes that they go on to."""
    goes_on = re.search(r"\b(wash|washed|takes?|goes)\b.*", words)
    named = [s for name, s in AFTERWARDS.items() if goes_on and name in goes_on[0]]
    barred = [s for s in dict.fromkeys(named) if engine.first(f.Harms, solution=s)]
    if not barred:
        return words
    return f"{words} For this product leave out {listed([table(Solution)[s].name for s in barred])}: it would be lost or spoilt."


def quench_brings_water(engine: Any, row: Residue) -> bool:
    """Tell whether a quench leaves a water layer in the flask."""
    if remedy_solution(engine, row):
        return True
    if row.id in BRINGS_NO_WATER or row.id in engine.job.ended:
        return False
    agent = quench_agent(engine, row)
    words = remedy_words(engine, row)
    return (
        any(w in agent for w in WATERY_WORDS)
        or "then water" in words
        or "wash with water" in words
        or not any(w in agent for w in DRY_WORDS)
    )


def in_granular_salts(engine: Any) -> bool:
    """Tell whether a hydride is quenched so that its aluminium is filtered off as granular salts, with all the water."""
    fieser = table(Residue)[FIESER]
    there = engine.first(f.Leftover, residue=FIESER, action="quench")
    return there is not None and not remedy_solution(engine, fieser)


HALIDES = {"HCl": "Cl", "HBr": "Br"}


def gases(row: Residue, component: Component, solution: str | None = None) -> str:
    """Return the names of the gases that a leftover gives off when it is dealt with: of halides that of its own halogen.

    ``solution``: what it is quenched with, where that is not what its row names; without carbonate no carbon dioxide comes of it.
    """
    held = {atom.GetSymbol() for part in component.parts for atom in part.mol.GetAtoms()}
    rows = table(Solution)
    fizzes = row.solution in rows and rows[row.solution].weak_system == "carbonate"
    instead = rows.get(solution) if solution else None
    still = fizzes and instead is not None and instead.weak_system != "carbonate" and "C" not in held
    found = [g for g in row.gas if g not in HALIDES and not (still and g == "CO2")]
    if any(g in HALIDES for g in row.gas):
        found = [halide for halide, element in HALIDES.items() if element in held] + found
    return listed([table(Gas)[g].name for g in found])


_ESTER = "CCOC(=O)/C=C/c1ccccc1"


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="quench"),
    stage="classify",
    title="What still reacts with water is destroyed slowly, cold and in an open flask before anything is shaken",
    why="In a closed funnel its heat and gas would have nowhere to go; done first, only its harmless remains meet the "
    "washes.",
    sources=("prudent", "common_practice"),
    fires=(
        Case("benzoyl chloride", _ESTER, ("benzoyl chloride",)),
        Case("sodium borohydride", "OC(C)c1ccccc1", ("sodium borohydride",), solvent="methanol"),
    ),
    silent=(
        Case("an aldehyde is bound in the funnel, not quenched: near miss", _ESTER, ("benzaldehyde",)),
        Case("pyridine", _ESTER, ("pyridine",)),
    ),
)
def quench_first(engine: Any, c: str, r: str) -> None:
    """Quench a reactive leftover."""
    row = table(Residue)[r]
    text = f"{engine.job.name(c)} ({row.name}) with {quench_agent(engine, row)}"
    given = "" if taken_out_whole(engine, row) else gases(row, engine.job.mixture.component(c), poured_in(engine, row))
    if given:
        text += f"; gas: {given}"
    engine.conclude(f.Prepares(action="quench", subject=c), text, (row.source,))
    engine.conclude(f.Leaves(component=c, way="quench"), text, (row.source,))


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="filter"),
    stage="classify",
    title="An insoluble solid is filtered off before it reaches the funnel",
    why="Fine solids gather at the interface, hold emulsions together and hide the boundary between the layers.",
    sources=("common_practice",),
    fires=(
        Case("palladium on carbon", _ESTER, ("Pd/C",)),
        Case("palladium hydroxide on carbon", _ESTER, ("Pd(OH)2/C",)),
        Case("manganese dioxide", "O=Cc1ccc(C)cc1", ("MnO2",)),
    ),
    silent=(
        Case("benzoic acid dissolves", _ESTER, ("benzoic acid",)),
        Case("potassium carbonate: near miss, a solid that water dissolves", _ESTER, ("potassium carbonate",)),
    ),
)
def filter_solids(engine: Any, c: str, r: str) -> None:
    """Filter off an insoluble leftover."""
    row = table(Residue)[r]
    text = f"{engine.job.name(c)}: {row.how or row.name}"
    engine.conclude(f.Prepares(action="filter", subject=c), text, (row.source,))
    engine.conclude(f.Leaves(component=c, way="filtration"), text, (row.source,))
