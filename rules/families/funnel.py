"""What can go wrong in the funnel: gas, pressure, heat, layers that turn over, emulsions, product carried along."""

import math
from typing import Any

from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, TEST, Case, rule
from washlore.rules.words import listed, share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
CLOSE_DENSITIES_G_ML = 0.05
GAS_WORTH_WORDS_ML = 15.0
# More than this comes off in an open flask, whatever the funnel.
FUNNEL_GAS_ML = 500.0
# Less is lost in the warmth of the hand; five degrees raise the vapour pressure of ether by a fifth.
RISE_WORTH_WORDS_C = 5.0
# Three quarters of five litres.
MOST_IN_A_FUNNEL_ML = 3750.0
MUCH_COSOLVENT = 0.10
WORTH_EXTRACTING_AGAIN = 0.01
# Amphiphiles, and what makes the salt of each: base, acid, or any water.
ANY_WATER = ("acid", "base", "buffer", "neutral")
SOAPS = {
    "fatty_acid": ("base",), "long_chain_ammonium": ("acid",), "long_chain_sulfate": ANY_WATER, "long_chain_onium": ANY_WATER,
}  # fmt: skip

# Leftovers whose wash or quench makes a fine solid in the funnel.
FALLS = (
    "tributyltin",
    "tin_hydride",
    "silver_salt",
    "tin_dichloride",
    "tin_tetrachloride",
    "titanium_alkoxide",
    "aluminium_salt",
)
GREASY_IONS = ("ammonium_fluoride_salt", "quaternary_ammonium_salt", "phosphonium_salt")


@rule(
    f.Layers(step=MATCH.step, poured_at=MATCH.poured, co2_ml=MATCH.gas),
    TEST(lambda gas: gas > GAS_WORTH_WORDS_ML),
    stage="warn",
    title="Carbonate and acid set carbon dioxide free, and a stoppered funnel turns it into pressure",
    why="Each millimole of acid gives about 24 mL of gas at room temperature. Swirl open until it stops, then stopper, invert and "
    "vent at once, away from faces.",
    sources=("zubrick", "prudent"),
    fires=(
        Case("bicarbonate on benzoic acid", _ESTER, ("benzoic acid; 10 mmol",)),
        Case("bicarbonate on acetic acid", _ESTER, ("acetic acid; 20 mmol",)),
        Case("a quench with bicarbonate", _ESTER, ("acetyl chloride; 5 mmol", "acetic acid; 10 mmol")),
    ),
    silent=(
        Case("an acid wash alone gives no gas", _ESTER, ("pyridine",)),
        Case(
            "bicarbonate with a trace of acid: near miss, the gas stays dissolved", _ESTER, ("benzoic acid; 0.05 mmol",)
        ),
    ),
)
def carbon_dioxide(engine: Any, step: int, poured: int, gas: float) -> None:
    """Warn of carbon dioxide."""
    where = (
        "stir in a wide open flask, and wait until it stops"
        if poured < step or gas > FUNNEL_GAS_ML
        else "swirl in the open funnel, vent often"
    )
    engine.conclude(
        f.Cautions(id="carbon dioxide", subject=f"step {poured}"),
        f"about {gas:.0f} mL of carbon dioxide in step {poured}: add it in portions, {where}",
    )


@rule(
    f.Fizz(step=MATCH.step, co2_ml=MATCH.gas, poured=MATCH.poured),
    TEST(lambda gas: gas > GAS_WORTH_WORDS_ML),
    stage="warn",
    title="Acid on a bicarbonate layer, or carbonate on an acidic flask, sets all the carbon dioxide free at once",
    why="Saturated bicarbonate holds some 25 volumes of gas. A wide open vessel at least three times as large, ice, and acid or "
    "carbonate in small portions keep it from foaming over; never in the funnel.",
    sources=("zubrick", "prudent"),
    fires=(
        Case("a carboxylic acid brought back from bicarbonate", "OC(=O)CCc1ccccc1", ("CCCCCCCCO",)),
        Case("another acid beside a ketone", "OC(=O)c1ccc(C)cc1", ("acetophenone",), solvent="diethyl ether"),
        Case("a pyridine set free from sulfuric acid with bicarbonate", "COC(=O)c1cccnc1", ("H2SO4; 20 mmol",)),
    ),
    silent=(
        Case("an amine brought back from acid", "NCCCCCCCC", ("acetophenone",)),
        Case("an amine set free with hydroxide: near miss", "NCCCCCCCC", ("HCl; 20 mmol",)),
        Case("an acid that needs no way back: near miss", "OC(=O)CCc1ccccc1", ("pyridine",)),
    ),
)
def acid_meets_carbonate(engine: Any, step: int, gas: float, poured: str) -> None:
    """Warn of the gas when bicarbonate is acidified, or acid neutralised with a carbonate."""
    amount = f"{gas / 1000:.1f} L" if gas >= 1000 else f"{gas:.0f} mL"
    engine.conclude(
        f.Cautions(id="carbon dioxide", subject=f"step {step}"),
        f"about {amount} of carbon dioxide in step {step}: a wide open beaker in ice, {poured} in small portions, never in the "
        "funnel",
    )


@rule(
    f.Extraction(solvent=MATCH.s),
    stage="warn",
    title="A volatile solvent builds pressure when it is shaken",
    why="Its vapour saturates the air in the funnel within a few shakes; warm hands and warm washes make it worse.",
    sources=("zubrick",),
    fires=(
        Case("dichloromethane, 40 C", _ESTER, ("benzoic acid",)),
        Case("diethyl ether, 35 C", _ESTER, ("benzoic acid",), extract="diethyl ether"),
    ),
    silent=(
        Case("toluene, 111 C", _ESTER, ("benzoic acid",), extract="toluene"),
        Case("ethyl acetate, 77 C: near miss", _ESTER, ("benzoic acid",), extract="ethyl acetate"),
    ),
)
def volatile_solvent(engine: Any, s: str) -> None:
    """Warn of vapour pressure."""
    row = table(Solvent)[s]
    if row.boiling_c < 60 and engine.first(f.Layers):
        engine.conclude(
            f.Cautions(id="vapour pressure", subject=s),
            f"{row.name} boils at {row.boiling_c:.0f} C: invert, vent after the first swirl, and vent again after each shake",
            (row.source,),
        )


@rule(
    f.Layers(step=MATCH.step, organic_density=MATCH.organic, aqueous_density=MATCH.aqueous),
    TEST(lambda organic, aqueous: abs(organic - aqueous) < CLOSE_DENSITIES_G_ML),
    stage="warn",
    title="Layers of nearly the same density part slowly and may turn over",
    why="Solutes and salt shift the density of a layer by some hundredths; below 0.05 g/mL difference neither the order nor "
    "the speed can be relied on.",
    sources=("zubrick",),
    fires=(
        Case("chlorobenzene, 1.11, against brine", _ESTER, ("benzoic acid",), extract="chlorobenzene"),
        Case(
            "trifluorotoluene, 1.19, against brine",
            _ESTER,
            ("benzoic acid",),
            solvent="trifluorotoluene",
            extract="trifluorotoluene",
        ),
    ),
    silent=(
        Case("ether floats well clear", _ESTER, ("benzoic acid",), solvent="diethyl ether"),
        Case("dichloromethane sinks: near miss, brine brings it closer", _ESTER, ("benzoic acid",)),
    ),
)
def close_densities(engine: Any, step: int, organic: float, aqueous: float) -> None:
    """Warn of layers that are hard to tell apart."""
    engine.conclude(
        f.Cautions(id="close densities", subject=f"step {step}"),
        f"step {step}: organic {organic:.2f}, aqueous {aqueous:.2f} g/mL; let a few drops of water fall in and see which "
        "layer they join; more solvent of the lighter or heavier kind settles it",
    )


@rule(
    f.Layers(step=MATCH.sinks, organic_density=MATCH.o1, aqueous_density=MATCH.a1),
    f.Layers(step=MATCH.floats, organic_density=MATCH.o2, aqueous_density=MATCH.a2),
    TEST(lambda o1, a1, o2, a2: o1 > a1 and o2 < a2),
    stage="warn",
    title="The layers change places between one wash and the next",
    why="Salt makes water heavier: a solvent a little heavier than water sinks in it and floats on brine. Whoever keeps the "
    "same layer each time throws the product away.",
    sources=("zubrick",),
    fires=(
        Case("chlorobenzene, 1.11, in bicarbonate and on brine", _ESTER, ("benzoic acid",), extract="chlorobenzene"),
        Case("chlorobenzene in dilute acid and on brine", _ESTER, ("pyridine",), extract="chlorobenzene"),
    ),
    silent=(
        Case("ether floats on all", _ESTER, ("benzoic acid",), extract="diethyl ether"),
        Case("dichloromethane sinks in brine too: near miss", _ESTER, ("benzoic acid",)),
    ),
)
def layers_change_places(engine: Any, sinks: int, floats: int, o1: float, a1: float, o2: float, a2: float) -> None:
    """Warn of layers that turn over between steps."""
    layers = [fact for _, fact in engine.facts_of(f.Layers)]
    low = [fact["step"] for fact in layers if fact["organic_density"] > fact["aqueous_density"]]
    high = [fact["step"] for fact in layers if fact["organic_density"] < fact["aqueous_density"]]
    if (sinks, floats) != (low[0], high[0]):
        return
    engine.conclude(
        f.Cautions(id="layers change places", subject=""),
        f"the organic layer is the bottom one in {_steps(low)} and the top one in {_steps(high)}: label both layers, keep "
        "all of them until the product is weighed, and test with a drop of water which is which",
        also=[fact["__factid__"] for fact in layers],
    )


def _steps(numbers: list[int]) -> str:
    return f"step{'s' if len(numbers) > 1 else ''} {listed([str(n) for n in numbers])}"


@rule(
    f.Layers(step=MATCH.step, volume_ml=MATCH.volume),
    TEST(lambda volume: volume > MOST_IN_A_FUNNEL_ML),
    stage="warn",
    title="A volume that no separating funnel holds is washed in parts or stirred and decanted",
    why="A funnel needs a quarter of its volume free for shaking and for the gas; five litres is the largest that two hands "
    "can invert.",
    sources=("common_practice",),
    fires=(
        Case("two moles in eight litres", _ESTER, ("benzoic acid",), amount="2 mol"),
        Case("three moles of an amide", "CCCCNC(=O)c1ccccc1", ("triethylamine",), amount="5 mol"),
    ),
    silent=(
        Case("ten millimoles", _ESTER, ("benzoic acid",)),
        Case("half a mole, two litres and the wash: near miss", _ESTER, ("benzoic acid",), amount="500 mmol"),
    ),
)
def too_large_for_a_funnel(engine: Any, step: int, volume: float) -> None:
    """Warn of a volume beyond the largest funnel."""
    first = next(fact for _, fact in engine.facts_of(f.Layers) if fact["volume_ml"] > MOST_IN_A_FUNNEL_ML)
    if step != first["step"]:
        return
    parts = math.ceil(volume / MOST_IN_A_FUNNEL_ML)
    engine.conclude(
        f.Cautions(id="funnel", subject=f"step {step}"),
        f"both layers come to {volume / 1000:.1f} L, more than a 5 L funnel takes at three quarters full: wash in {parts} "
        "parts of equal size from here on, or stir in a jacketed vessel with a bottom valve and let it settle",
    )


@rule(
    f.Cosolvent(step=MATCH.step, component=MATCH.c, share=MATCH.part, product=MATCH.product),
    TEST(lambda part: part > MUCH_COSOLVENT),
    stage="warn",
    title="A solvent that mixes with water carries product into the water layer",
    why="It makes the water less polar: solubility in it rises exponentially with the share of the solvent, and the more so "
    "the greasier the compound.",
    sources=("yalkowsky", "common_practice"),
    fires=(
        Case("DMF in the flask", _ESTER, ("DMF; 10 mL",)),
        Case("a reaction in DMSO", _ESTER, ("benzoic acid",), solvent="DMSO"),
    ),
    silent=(
        Case("no miscible solvent", _ESTER, ("benzoic acid",)),
        Case("a trace of DMF: near miss", _ESTER, ("DMF; 1 mmol",)),
    ),
)
def cosolvent_in_water(engine: Any, step: int, c: str, part: float, product: float) -> None:
    """Warn of product carried into the water."""
    worth = product >= WORTH_EXTRACTING_AGAIN
    engine.conclude(
        f.Cautions(id="cosolvent", subject=f"step {step}"),
        f"{engine.job.name(c)} is {share(part)} of the first water layer of step {step} and carries product into it (by "
        f"estimate {share(product)}); the layers part slowly, and brine helps: keep that layer"
        + (
            ", dilute it with water and extract it again"
            if worth
            else " until the product is weighed, and extract it again if any is missing"
        ),
    )


@rule(
    f.Layers(poured_at=MATCH.step, heat_kj=MATCH.heat, rise_c=MATCH.rise),
    TEST(lambda rise: rise > RISE_WORTH_WORDS_C),
    stage="warn",
    title="Neutralisation heats the funnel, and a warm volatile solvent boils",
    why="A strong base and a strong acid set 56 kJ/mol free. Cool the flask in ice and add the wash in portions.",
    sources=("crc",),
    fires=(
        Case("much triethylamine against acid", "CC(C)(C)OC(=O)NCCc1ccccc1", ("triethylamine; 40 mmol",)),
        Case("much DBU against acid", _ESTER, ("DBU; 60 mmol",)),
    ),
    silent=(
        Case("little amine: near miss", _ESTER, ("triethylamine; 1 mmol",)),
        Case("bicarbonate and acid cool themselves by the gas", _ESTER, ("benzoic acid; 10 mmol",)),
    ),
)
def heat_of_neutralisation(engine: Any, step: int, heat: float, rise: float) -> None:
    """Warn of heat."""
    engine.conclude(
        f.Cautions(id="heat", subject=f"step {step}"),
        f"about {heat:.1f} kJ are set free in step {step}, enough to warm both layers by {rise:.0f} C: cool the mixture in "
        "ice and add the first portion slowly",
    )


@rule(
    f.Kept(solution=MATCH.s),
    f.Bottle(solution=MATCH.s, acts_as=MATCH.acts),
    f.Contains(group=MATCH.g),
    TEST(lambda acts, g: acts in SOAPS.get(g, ())),
    stage="warn",
    title="A greasy acid in base, or a greasy ammonium salt, is a soap and makes emulsions",
    why="It gathers at the interface with its charged end in the water. Swirl instead of shaking; then in order of effort: "
    "wait; swirl with a glass rod; add brine; filter through a pad of diatomaceous earth.",
    sources=("zubrick", "common_practice"),
    fires=(
        Case("lauric acid", "COCCc1ccccc1", ("CCCCCCCCCCCC(=O)O",)),
        Case("lauric acid beside an amide", "CCCCNC(=O)c1ccccc1", ("CCCCCCCCCCCC(=O)O",)),
        Case("decylamine in acid", _ESTER, ("CCCCCCCCCCN; 3 mmol",), solvent="toluene"),
        Case("a quaternary surfactant in any water", "CCCCCCCCCCCCCCCC[N+](C)(C)C.[Br-]", ("benzoic acid",)),
    ),
    silent=(
        Case("benzoic acid", _ESTER, ("benzoic acid",)),
        Case("hexanoic acid: near miss, too short for a soap", _ESTER, ("CCCCCC(=O)O",)),
    ),
)
def soap_emulsion(engine: Any, s: str, acts: str, g: str) -> None:
    """Warn of emulsions."""
    engine.conclude(
        f.Cautions(id="emulsion", subject=s),
        f"{table(Solution)[s].name} makes a soap here: swirl gently; wait; glass rod; brine; filter through diatomaceous earth",
    )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action=MATCH.action),
    TEST(lambda r, action: action == "filter" or r in FALLS),
    stage="warn",
    title="Fine solids gather at the interface and hold an emulsion",
    why="Grains that both liquids wet sit between them and keep the drops apart. What runs through the filter, or falls in the "
    "funnel (tin fluoride, silver chloride, metal hydroxides), is taken off with diatomaceous earth, not shaken on.",
    sources=("zubrick", "common_practice"),
    fires=(
        Case("manganese dioxide beside an acid", "O=Cc1ccc(C)cc1", ("MnO2; 50 mmol", "benzoic acid; 2 mmol")),
        Case("tin fluoride falls in the funnel", _ESTER, ("Bu3SnCl; 10 mmol",), solvent="toluene"),
    ),
    silent=(
        Case("benzoic acid", _ESTER, ("benzoic acid",)),
        Case("copper iodide: near miss, ammonia dissolves it", _ESTER, ("CuI; 1 mmol",)),
    ),
)
def fines_hold_emulsions(engine: Any, c: str, r: str, action: str) -> None:
    """Warn of emulsions held by fine solids, where anything is shaken."""
    if not engine.first(f.Layers):
        return
    engine.conclude(
        f.Cautions(id="emulsion", subject=c),
        f"fine solid of {engine.job.name(c)} gathers between the layers and holds an emulsion: a pad of diatomaceous earth for "
        "the filter; if a skin stays, swirl instead of shaking, wait, run a glass rod round the wall, add brine, and at last "
        "filter both layers through the pad",
    )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="wash"),
    f.Charged(component=MATCH.c, charge=MATCH.charge),
    f.Extraction(solvent=MATCH.s),
    TEST(lambda r, charge: charge > 0 and r in GREASY_IONS),
    stage="warn",
    title="A greasy onium ion likes the organic layer and leaves it only in many washes",
    why="Four butyl groups hide the charge; in a chlorinated solvent its salts dissolve better than in water, and iodide, "
    "tosylate or perchlorate hold it there. It makes emulsions as soaps do.",
    sources=("brandstrom1974", "common_practice"),
    fires=(
        Case("TBAF after a desilylation", "OCCCc1ccccc1", ("TBAF; 15 mmol",), solvent="THF"),
        Case("tetrabutylammonium bromide", _ESTER, ("TBAB; 1 mmol",)),
    ),
    silent=(
        Case("potassium fluoride: near miss, no greasy ion", _ESTER, ("KF; 10 mmol",), solvent="THF"),
        Case("triethylamine gives and takes its charge", _ESTER, ("triethylamine",)),
    ),
)
def greasy_onium(engine: Any, c: str, r: str, charge: int, s: str) -> None:
    """Warn of a greasy onium ion, and say what takes it out."""
    if (
        sum(atom.GetSymbol() == "C" for part in engine.job.mixture.component(c).parts for atom in part.mol.GetAtoms())
        < 8
    ):
        return
    solvent = table(Solvent)[s]
    held = f"; {solvent.name} holds it, and ether, ethyl acetate or toluene let it go" if solvent.halogenated else ""
    engine.conclude(
        f.Cautions(id="greasy ion", subject=c),
        f"{engine.job.name(c)} is a greasy ion and goes into water slowly{held}. {table(Residue)[r].how.rstrip('.')}",
        (table(Residue)[r].source,),
    )
