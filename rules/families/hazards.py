"""What can hurt or go wrong at the bench: gas, heat, pressure, peroxides, layers that turn over, emulsions."""

import math
from typing import Any

from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, TEST, Case, rule
from washlore.rules.families.quench import gases, remedy_solution
from washlore.rules.words import listed, share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
CLOSE_DENSITIES_G_ML = 0.05
GAS_WORTH_WORDS_ML = 15.0
# Less is lost in the warmth of the hand; five degrees raise the vapour pressure of ether by a fifth.
RISE_WORTH_WORDS_C = 5.0
# Three quarters of five litres.
MOST_IN_A_FUNNEL_ML = 3750.0
MUCH_COSOLVENT = 0.10
WORTH_EXTRACTING_AGAIN = 0.01
# Amphiphiles, and what makes the salt of each: base, acid, or any water.
SOAPS = {"fatty_acid": ("base",), "long_chain_ammonium": ("acid",), "long_chain_sulfate": ("acid", "base", "neutral")}
VIOLENT = (
    "metal",
    "hydride",
    "organometallic",
    "strong base",
    "acid halide",
    "Lewis acid",
    "silane",
    "fluorinating agent",
    "mineral acid",
)
PEROXIDES = ("hydroperoxide_tbhp", "mcpba")
AZIDES = ("azide_ion", "acyl_silyl_azide")
AZIDOMETHANES = ("dichloromethane", "chloroform", "1,2-dichloroethane")
HEAVY_METALS = ("copper", "silver_oxidant", "nickel", "palladium")


@rule(
    f.Component(id="product"),
    stage="warn",
    title="The safety data sheets, the local rules and the person in charge come before anything printed here",
    why="A plan made from structures knows neither the room nor the people in it.",
    sources=("prudent",),
    fires=(Case("any mixture", _ESTER, ("benzoic acid",)), Case("another", "NCCCCCCCC", ("cyclohexanone",))),
    silent=(
        Case("a refused mixture has no plan to be careful with", "O=C(Cl)CCc1ccccc1", ("pyridine",)),
        Case("refused too: near miss", "O=C=Nc1ccccc1", ("acetone",)),
    ),
)
def defer_to_local_rules(engine: Any) -> None:
    """Defer to SDS, local rules and supervision."""
    engine.conclude(
        f.Cautions(id="defer", subject=""),
        "read the data sheet of each compound, wear goggles, gloves and coat, work in the hood, and ask before improvising",
    )


@rule(
    f.Layers(step=MATCH.step, co2_ml=MATCH.gas),
    TEST(lambda gas: gas > GAS_WORTH_WORDS_ML),
    stage="warn",
    title="Carbonate and acid set carbon dioxide free, and a stoppered funnel turns it into pressure",
    why="Each millimole of acid gives about 24 mL of gas at room temperature. Swirl open until it stops, then stopper, invert and "
    "vent at once, away from faces.",
    sources=("zubrick", "prudent"),
    fires=(
        Case("bicarbonate on benzoic acid", _ESTER, ("benzoic acid; 10 mmol",)),
        Case("bicarbonate on acetic acid", _ESTER, ("acetic acid; 20 mmol",)),
    ),
    silent=(
        Case("an acid wash alone gives no gas", _ESTER, ("pyridine",)),
        Case(
            "bicarbonate with a trace of acid: near miss, the gas stays dissolved", _ESTER, ("benzoic acid; 0.05 mmol",)
        ),
    ),
)
def carbon_dioxide(engine: Any, step: int, gas: float) -> None:
    """Warn of carbon dioxide."""
    engine.conclude(
        f.Cautions(id="carbon dioxide", subject=f"step {step}"),
        f"about {gas:.0f} mL of carbon dioxide in step {step}: add it in portions, swirl in the open funnel, vent often",
    )


@rule(
    f.Fizz(step=MATCH.step, co2_ml=MATCH.gas),
    TEST(lambda gas: gas > GAS_WORTH_WORDS_ML),
    stage="warn",
    title="Acidifying a bicarbonate layer sets all its carbon dioxide free at once",
    why="Saturated bicarbonate holds some 25 volumes of gas. A wide open vessel at least three times as large, ice, and acid in "
    "small portions keep it from foaming over; never in the funnel.",
    sources=("zubrick", "prudent"),
    fires=(
        Case("a carboxylic acid brought back from bicarbonate", "OC(=O)CCc1ccccc1", ("CCCCCCCCO",)),
        Case("another acid beside a ketone", "OC(=O)c1ccc(C)cc1", ("acetophenone",), solvent="diethyl ether"),
    ),
    silent=(
        Case("an amine brought back from acid", "NCCCCCCCC", ("acetophenone",)),
        Case("an acid that needs no way back: near miss", "OC(=O)CCc1ccccc1", ("pyridine",)),
    ),
)
def acidified_bicarbonate(engine: Any, step: int, gas: float) -> None:
    """Warn of the gas when bicarbonate is acidified."""
    amount = f"{gas / 1000:.1f} L" if gas >= 1000 else f"{gas:.0f} mL"
    engine.conclude(
        f.Cautions(id="carbon dioxide", subject=f"step {step}"),
        f"about {amount} of carbon dioxide in step {step}: a wide open beaker in ice, acid in small portions, never in the funnel",
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
    f.Extraction(solvent=MATCH.s),
    stage="warn",
    title="An ether is tested for peroxides before it is evaporated",
    why="Ethers take up oxygen on standing; the peroxides stay behind when the ether is stripped and may explode.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("diethyl ether", _ESTER, ("benzoic acid",), extract="diethyl ether"),
        Case("2-MeTHF", _ESTER, ("benzoic acid",), extract="2-MeTHF"),
    ),
    silent=(
        Case("ethyl acetate", _ESTER, ("benzoic acid",), extract="ethyl acetate"),
        Case("toluene: near miss", _ESTER, ("benzoic acid",), extract="toluene"),
    ),
)
def ether_peroxides(engine: Any, s: str) -> None:
    """Warn of peroxides."""
    row = table(Solvent)[s]
    if row.peroxide_former:
        engine.conclude(
            f.Cautions(id="peroxides", subject=s),
            f"{row.name}: test with a strip before stripping, and never take it to dryness if it is old",
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
        f"estimate {share(product)}): keep that layer"
        + (
            ", dilute it with water and extract it again"
            if worth
            else " until the product is weighed, and extract it again if any is missing"
        ),
    )


@rule(
    f.Layers(step=MATCH.step, heat_kj=MATCH.heat, rise_c=MATCH.rise),
    TEST(lambda rise: rise > RISE_WORTH_WORDS_C),
    stage="warn",
    title="Neutralisation heats the funnel, and a warm volatile solvent boils",
    why="A strong base and a strong acid set 56 kJ/mol free. Cool the flask in ice and add the wash in portions.",
    sources=("crc",),
    fires=(
        Case("much triethylamine against acid", _ESTER, ("triethylamine; 40 mmol",)),
        Case("much DBU against acid", _ESTER, ("DBU; 40 mmol",)),
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
    f.Leftover(component=MATCH.c, residue=MATCH.r, action=MATCH.action, kind=MATCH.kind),
    stage="warn",
    title="A dangerous leftover: what it does, what it gives off, and what it must never meet",
    why="Gas and heat of a quench come as fast as the reagent is added, and no faster; that is the only control there is. The "
    "wrong partner sets a poisonous or explosive product free, in the waste bottle as well as in the funnel.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("azide", _ESTER, ("sodium azide",)),
        Case("leftover mCPBA", "C1(c2ccccc2)CO1", ("mCPBA",)),
        Case("hydride", "OC(C)c1ccccc1", ("LiAlH4",), solvent="THF"),
        Case("osmium tetroxide", "OCC(O)CCc1ccccc1", ("OsO4; 0.1 mmol",)),
    ),
    silent=(
        Case("benzoic acid", _ESTER, ("benzoic acid",)),
        Case("sodium chloride: near miss, a harmless salt", _ESTER, ("sodium chloride",)),
    ),
)
def dangerous_leftover(engine: Any, c: str, r: str, action: str, kind: str) -> None:
    """Say what a leftover does, gives off and must not meet."""
    row = table(Residue)[r]
    words = [row.danger] if row.danger else []
    quenched = action == "quench"
    if quenched and row.gas:
        words.append(f"its quench gives {gases(row)}")
    if quenched and (row.gas or kind in VIOLENT):
        glass = ", behind glass" if kind in VIOLENT else ""
        words.append(f"quench it slowly, cold, stirred, open and vented{glass}")
    if row.never:
        words.append(row.never)
    if words:
        engine.conclude(
            f.Cautions(id=f"danger: {row.id}", subject=c), f"{engine.job.name(c)}: {'; '.join(words)}", (row.source,)
        )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r),
    f.Leftover(component=MATCH.other, kind=MATCH.kind),
    TEST(lambda r, other, c: r in AZIDES and other != c),
    stage="warn",
    title="Azide and a heavy metal in one flask may form an azide that explodes when dry",
    why="Copper, silver, lead and mercury azides are primary explosives; they form wherever the ions meet, in the funnel, in the "
    "sink and in the waste.",
    sources=("treitler", "bretherick"),
    fires=(
        Case(
            "a click reaction",
            "c1ccc(CCn2cc(-c3ccccc3)nn2)cc1",
            ("sodium azide", "CuSO4; 1 mmol"),
            solvent="ethyl acetate",
        ),
        Case("silver nitrate and azide", _ESTER, ("sodium azide", "[Ag+].[O-][N+](=O)[O-]"), solvent="ethyl acetate"),
    ),
    silent=(
        Case("azide alone", _ESTER, ("sodium azide",)),
        Case("copper beside an organic azide: near miss", "[N-]=[N+]=NCCc1ccccc1", ("CuI",)),
    ),
)
def azide_meets_metal(engine: Any, c: str, r: str, other: str, kind: str) -> None:
    """Warn of heavy-metal azides."""
    residue = engine.first(f.Leftover, component=other)["residue"]
    if residue not in HEAVY_METALS:
        return
    engine.conclude(
        f.Cautions(id="metal azide", subject=c),
        f"{engine.job.name(c)} and {engine.job.name(other)} are in one flask: their azide explodes when dry. Keep everything wet, "
        "scrape nothing, dry no solid, and give the water to azide waste",
    )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r),
    f.Medium(solvent=MATCH.s),
    TEST(lambda r, s: r in AZIDES and s in AZIDOMETHANES),
    stage="warn",
    title="Azide ion and dichloromethane or chloroform form azidomethanes that explode when they are concentrated",
    why="Diazidomethane and triazidomethane form at room temperature within hours; they boil with the last of the solvent.",
    sources=("treitler",),
    fires=(
        Case("azide in dichloromethane", "[N-]=[N+]=NCCc1ccccc1", ("sodium azide",)),
        Case("azide in chloroform", "[N-]=[N+]=NCCc1ccccc1", ("sodium azide",), solvent="chloroform"),
    ),
    silent=(
        Case("azide in DMF", "[N-]=[N+]=NCCc1ccccc1", ("sodium azide",), solvent="DMF"),
        Case("an organic azide in dichloromethane: near miss", "[N-]=[N+]=NCCc1ccccc1", ("benzoic acid",)),
    ),
)
def azide_met_chlorinated_solvent(engine: Any, c: str, r: str, s: str) -> None:
    """Warn of azidomethanes."""
    name = table(Solvent)[s].name
    engine.conclude(
        f.Cautions(id="azidomethane", subject=c),
        f"{engine.job.name(c)} has stood in {name}: azidomethanes may be there, and explode when concentrated. Dilute, wash the "
        "azide out at once, work behind a shield, evaporate nothing before someone who knows azides has been asked",
        (table(Solvent)[s].source,),
    )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r),
    TEST(lambda r: r in PEROXIDES),
    stage="warn",
    title="Peroxide and acetone with a trace of acid form acetone peroxides, which explode at a touch",
    why="Hydrogen peroxide and peracids add to acetone; the cyclic trimer falls out as a solid and is set off by friction.",
    sources=("bretherick", "prudent"),
    fires=(
        Case("hydrogen peroxide in acetone", _ESTER, ("hydrogen peroxide; 10 mmol",), solvent="acetone"),
        Case("a peracid and acetone", "C1(c2ccccc2)CO1", ("mCPBA; 2 mmol", "acetone; 10 mmol")),
    ),
    silent=(
        Case("hydrogen peroxide in methanol", _ESTER, ("hydrogen peroxide; 10 mmol",), solvent="methanol"),
        Case(
            "iodine in acetone: near miss, an oxidant but no peroxide", _ESTER, ("iodine; 2 mmol",), solvent="acetone"
        ),
    ),
)
def peroxide_meets_acetone(engine: Any, c: str, r: str) -> None:
    """Warn of acetone peroxides."""
    acetone = engine.first(f.Medium, solvent="acetone") or any(o.smiles == "CC(C)=O" for o in engine.job.mixture.others)
    if not acetone:
        return
    engine.conclude(
        f.Cautions(id="acetone peroxide", subject=c),
        f"{engine.job.name(c)} and acetone are in one flask: with a trace of acid they form peroxides that explode at a touch. "
        "Keep it basic and cold, destroy the peroxide at once, filter and scrape nothing, evaporate nothing before the test "
        "paper stays white",
    )


@rule(
    f.Extraction(solvent=MATCH.e),
    stage="warn",
    title="Chloroform and strong base react, with acetone there violently",
    why="Hydroxide takes the proton of chloroform; the trichloromethyl anion falls to dichlorocarbene or adds to acetone with a "
    "burst of heat. Alkali metals explode with any chlorinated solvent.",
    sources=("bretherick", "prudent"),
    fires=(
        Case("chloroform and 1 M NaOH", "COCCc1ccccc1", ("phenol",), solvent="chloroform", extract="chloroform"),
        Case("dichloromethane, hydroxide and acetone", "COCCc1ccccc1", ("phenol", "acetone; 20 mmol")),
    ),
    silent=(
        Case("chloroform and bicarbonate", _ESTER, ("benzoic acid",), solvent="chloroform", extract="chloroform"),
        Case("dichloromethane and 1 M NaOH: near miss, slow without acetone", "COCCc1ccccc1", ("phenol",)),
    ),
)
def haloform_meets_base(engine: Any, e: str) -> None:
    """Warn of chloroform, or chlorinated solvent and acetone, with strong base."""
    solvents = {e} | {fact["solvent"] for _, fact in engine.facts_of(f.Medium)}
    acetone = "acetone" in solvents or any(c.smiles == "CC(C)=O" for c in engine.job.mixture.others)
    there = [s for s in ("chloroform", "dichloromethane") if s in solvents]
    if not there or not ("chloroform" in there or acetone):
        return
    base = next(
        (fact["solution"] for _, fact in engine.facts_of(f.Kept) if table(Solution)[fact["solution"]].ph >= 12.5), None
    )
    strong = [fact["component"] for _, fact in engine.facts_of(f.Leftover) if fact["kind"] in ("strong base", "metal")]
    strong += [fact["component"] for _, fact in engine.facts_of(f.Harsh, kind="a strong base")]
    if base is None and not strong:
        return
    with_what = table(Solution)[base].name if base else engine.job.name(strong[0])
    engine.conclude(
        f.Cautions(id="haloform and base", subject=there[0]),
        f"{table(Solvent)[there[0]].name} and {with_what}{', with acetone there,' if acetone else ''} may react with a burst of "
        "heat: keep it cold and brief, never in a closed bottle, or extract with ethyl acetate or an ether instead; keep "
        "acetone and this waste apart",
        (table(Solvent)[there[0]].source,),
    )


@rule(
    f.Dries(),
    stage="warn",
    title="Waters that must not meet go into different waste bottles",
    why="Acid sets hydrogen cyanide, hydrazoic acid, hydrogen sulfide, chlorine and sulfur dioxide free from the water that held "
    "their salts, and ammonia makes chloramines of bleach; in the waste bottle nobody is watching.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("thiosulfate water and acid water", _ESTER, ("iodine", "pyridine")),
        Case("cyanide water and acid water", _ESTER, ("sodium cyanide", "triethylamine; 10 mmol")),
    ),
    silent=(
        Case("acid water only", _ESTER, ("pyridine",)),
        Case("acid and bicarbonate: near miss, they only fizz", _ESTER, ("pyridine", "benzoic acid")),
    ),
)
def waters_kept_apart(engine: Any) -> None:
    """Warn of aqueous layers that must not be poured together."""
    rows = table(Solution)
    kept = list(dict.fromkeys(fact["solution"] for _, fact in engine.facts_of(f.Kept)))
    quenched = {}
    for _, fact in engine.facts_of(f.Prepares, action="quench"):
        residue = table(Residue)[engine.first(f.Leftover, component=fact["subject"])["residue"]]
        quenched[fact["subject"]] = rows.get(remedy_solution(engine, residue))
    acids = [rows[s].name for s in kept if rows[s].acts_as == "acid" and rows[s].ph < 4]
    sulfur = [row.name for row in (*(rows[s] for s in kept), *quenched.values()) if row and _gives_so2(row.id)]
    held = [
        f"the water with {engine.job.name(fact['component'])} (acid gives {fact['gas']})"
        for _, fact in engine.facts_of(f.FirstOut)
    ]
    apart = held + [f"{name} (acid gives sulfur dioxide)" for name in dict.fromkeys(sulfur)]
    if not apart or not (acids or held):
        return
    halogenated = table(Solvent)[engine.first(f.Extraction)["solvent"]].halogenated
    engine.conclude(
        f.Cautions(id="waste", subject=""),
        f"waste: keep {listed(apart)} apart from {listed(acids) if acids else 'any acid'}, in bottles of their own"
        + ("; the solvent is halogenated waste" if halogenated else ""),
    )


def _gives_so2(solution: str) -> bool:
    return "acid" in table(Solution)[solution].never_meets and table(Solution)[solution].acts_as == "reductant"


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
    f.Boils(component="product", boiling_c=MATCH.b),
    TEST(lambda b: b < 150),
    stage="warn",
    title="A volatile product is lost on the rotary evaporator",
    why="It leaves with the solvent; choose a low-boiling solvent, a cool bath and a modest vacuum, and stop in time.",
    sources=("common_practice",),
    fires=(
        Case("ethyl butanoate-like: butyl acetate", "butyl acetate", ("acetic acid",)),
        Case("anisole-like: toluene as product", "toluene", ("benzoic acid",)),
    ),
    silent=(
        Case("ethyl benzoate, 213 C", "CCOC(=O)c1ccccc1", ("benzoic acid",)),
        Case("a volatile impurity: near miss, it may go", _ESTER, ("acetone",)),
    ),
)
def volatile_product(engine: Any, b: float) -> None:
    """Warn of a volatile product."""
    engine.conclude(
        f.Cautions(id="volatile product", subject="product"),
        f"{engine.job.name('product')} boils at {b:.0f} C: cool bath, modest vacuum, weigh before it is dry to the touch",
    )
