"""What can hurt: dangerous leftovers, what they must not meet, and waste that must be kept apart."""

from collections.abc import Iterator
from typing import Any

from washlore.knowledge.groups import all_residues
from washlore.knowledge.rows import Clash, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, TEST, Case, rule
from washlore.rules.families.choice import washed_with
from washlore.rules.families.quench import frees_poison, gases, poured_in, remedy_solution, taken_out_whole
from washlore.rules.words import listed

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
# Below this sulfite is half sulfur dioxide or more at the first drop of acid, and thiosulfate does not last.
SULFITE_PH = 5.0
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
    quenched = action == "quench" and not taken_out_whole(engine, row)
    given = gases(row, engine.job.mixture.component(c), poured_in(engine, row)) if quenched else ""
    if given:
        words.append(f"its quench gives {given}")
    if given or (quenched and kind in VIOLENT):
        glass = ", behind glass" if kind in VIOLENT else ""
        words.append(f"quench it slowly, cold, stirred, open and vented{glass}")
    if row.never:
        words.append(row.never)
    if words:
        engine.conclude(
            f.Cautions(id=f"danger: {row.id}", subject=c), f"{engine.job.name(c)}: {'; '.join(words)}", (row.source,)
        )


@rule(
    f.Component(id="product"),
    stage="warn",
    salience=-5,
    title="A product that harms people is handled as a reagent of its kind would be",
    why="That it is wanted makes it no gentler: a benzylic bromide, a thiol, an isocyanate or a nitrosamine is on the glassware, "
    "in the funnel and in the trap of the evaporator.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("a benzylic bromide", "BrCc1ccc(C#N)cc1", ("succinimide; 10 mmol",)),
        Case("a thiol", "SCc1ccccc1", ("benzyl alcohol; 1 mmol",)),
        Case("a nitrosamine", "O=NN(C)c1ccccc1", ("N-methylaniline; 1 mmol",)),
    ),
    silent=(
        Case("an ester", _ESTER, ("benzoic acid",)),
        Case("an aryl bromide: near miss, it alkylates nothing", "COC(=O)c1ccc(Br)cc1", ("benzoic acid",)),
    ),
)
def dangerous_product(engine: Any) -> None:
    """Say what the product does to people."""
    for row, _ in all_residues(engine.job.mixture.product.parts):
        if row.danger:
            engine.conclude(
                f.Cautions(id=f"danger: {row.id}", subject="product"),
                f"{engine.job.name('product')}: {row.danger}",
                (row.source,),
            )


@rule(
    f.Component(id="product"),
    stage="warn",
    salience=-6,
    title="A solvent that does more to people than solvents do is named: what causes cancer, harms the unborn, or poisons outright",
    why="A workup handles more of the solvent than of anything else, with the hands around the funnel and its vapour in the face; "
    "whoever may be pregnant has to know before the flask is opened.",
    sources=("clp", "prudent"),
    fires=(
        Case("benzene", _ESTER, ("triethylamine",), solvent="benzene"),
        Case("DMF", _ESTER, ("triethylamine",), solvent="DMF"),
        Case("chloroform for the washes", _ESTER, ("triethylamine",), extract="chloroform"),
    ),
    silent=(
        Case("ethyl acetate", _ESTER, ("triethylamine",), solvent="ethyl acetate"),
        Case("toluene: near miss, benzene's tamer relative", _ESTER, ("triethylamine",), solvent="toluene"),
    ),
)
def dangerous_solvent(engine: Any) -> None:
    """Say what the solvents of the reaction and of the washes do to people."""
    met = [*engine.facts_of(f.Medium), *engine.facts_of(f.Extraction)]
    for solvent in dict.fromkeys(fact["solvent"] for _, fact in met):
        row = table(Solvent)[solvent]
        if row.danger:
            engine.conclude(
                f.Cautions(id=f"danger: {row.id}", subject=solvent),
                f"{row.name}: {row.danger}",
                also=tuple(known_id for known_id, fact in met if fact["solvent"] == solvent),
            )


@rule(
    f.Leftover(component=MATCH.c, residue=MATCH.r),
    stage="warn",
    title="Two leftovers that make something worse of each other are named before anything is mixed, shaken or filtered",
    why="Halogens and oxidants on cyanide, azide or ammonia, azide with heavy metals or chlorinated solvents, peroxide with "
    "acetone: what forms is a poison or explodes, in the flask already.",
    sources=("bretherick", "prudent"),
    fires=(
        Case(
            "a click reaction",
            "c1ccc(CCn2cc(-c3ccccc3)nn2)cc1",
            ("sodium azide", "CuSO4; 1 mmol"),
            solvent="ethyl acetate",
        ),
        Case("azide in dichloromethane", "[N-]=[N+]=NCCc1ccccc1", ("sodium azide",)),
        Case("hydrogen peroxide in acetone", _ESTER, ("hydrogen peroxide; 10 mmol",), solvent="acetone"),
        Case("iodine beside cyanide", _ESTER, ("sodium cyanide", "iodine; 2 mmol"), solvent="DMSO"),
        Case("bleach beside ammonia", _ESTER, ("ammonia; 50 mmol", "bleach; 2 mmol"), solvent="ethyl acetate"),
    ),
    silent=(
        Case("azide alone", _ESTER, ("sodium azide",), solvent="DMF"),
        Case("copper beside an organic azide: near miss", "[N-]=[N+]=NCCc1ccccc1", ("CuI",)),
        Case(
            "iodine in acetone: near miss, an oxidant but no peroxide", _ESTER, ("iodine; 2 mmol",), solvent="acetone"
        ),
    ),
)
def stand_together(engine: Any, c: str, r: str) -> None:
    """Warn of two things that clash in one flask."""
    for row in table(Clash).values():
        if r not in row.residues:
            continue
        others = list(dict.fromkeys(_partners(engine, c, set(row.partners))))
        if others:
            engine.conclude(
                f.Cautions(id=row.id, subject=c),
                f"{listed([engine.job.name(c), *others])} are in one flask: {row.makes}. {row.care}",
                (row.source,),
            )


def _partners(engine: Any, c: str, wanted: set[str]) -> Iterator[str]:
    """Yield the names of other components, and of solvents, that a clash is about."""
    for other in engine.job.mixture.others:
        residue = engine.first(f.Leftover, component=other.id)
        words = {part.smiles for part in other.parts} | ({residue["residue"]} if residue else set())
        words |= {fact["group"] for _, fact in engine.facts_of(f.Contains, component=other.id)}
        if other.id != c and words & wanted:
            yield other.name
    for _, fact in engine.facts_of(f.Medium):
        if fact["solvent"] in wanted:
            yield table(Solvent)[fact["solvent"]].name


@rule(
    f.FirstOut(component=MATCH.c, gas=MATCH.gas),
    f.Leftover(component=MATCH.c, residue=MATCH.r),
    f.Pot(ph=MATCH.ph, ions=True),
    TEST(lambda r, ph: frees_poison(r, ph)),
    stage="warn",
    title="Cyanide, azide or sulfide beside an acid is a gas in the flask already",
    why="The acid has its proton: hydrogen cyanide, hydrazoic acid and hydrogen sulfide are weaker acids than any that a "
    "bicarbonate wash would take out, and volatile.",
    sources=("prudent", "bretherick"),
    fires=(
        Case("cyanide and benzoic acid", _ESTER, ("sodium cyanide; 5 mmol", "benzoic acid; 10 mmol"), solvent="THF"),
        Case("azide and acetic acid", _ESTER, ("sodium azide; 5 mmol", "acetic acid; 20 mmol"), solvent="THF"),
    ),
    silent=(
        Case("cyanide alone stands at pH 11", _ESTER, ("sodium cyanide; 5 mmol",), solvent="THF"),
        Case("cyanide beside triethylamine: near miss", _ESTER, ("sodium cyanide; 5 mmol", "Et3N; 5 mmol")),
    ),
)
def poison_is_free_already(engine: Any, c: str, gas: str, r: str, ph: float) -> None:
    """Warn that a poison gas is in the flask before anything is done."""
    least = table(Residue)[r].frees_below_ph
    engine.conclude(
        f.Cautions(id="poison in the flask", subject=c),
        f"{engine.job.name(c)} with the acid in this flask would stand near pH {ph:.0f}: {gas} is there already. In the hood, "
        f"cold, never alone, make it basic (above pH {least:g}) with sodium carbonate before it is opened, stirred or shaken",
        (table(Residue)[r].source,),
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
    base = next((s for s in washed_with(engine) if table(Solution)[s].ph >= 12.5), None)
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
        Case(
            "bisulfite takes the amine along: near miss, no acid comes",
            "O=C(c1ccccc1)C(O)c1ccccc1",
            ("benzaldehyde; 2 mmol", "triethylamine; 2 mmol"),
            solvent="ethanol",
        ),
    ),
)
def waters_kept_apart(engine: Any) -> None:
    """Warn of aqueous layers that must not be poured together."""
    rows = table(Solution)
    kept = washed_with(engine)
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


@rule(
    f.BringsTo(ph=MATCH.ph),
    TEST(lambda ph: ph < SULFITE_PH),
    f.Prepares(action="quench", subject=MATCH.c),
    f.Leftover(component=MATCH.c, residue=MATCH.r, action="quench"),
    stage="warn",
    title="Acid poured on the water of a sulfite or thiosulfate quench drives sulfur dioxide out",
    why="Sulfite takes its protons at pH 7 and 2; below that it is sulfur dioxide, and thiosulfate falls apart into sulfur and "
    "sulfur dioxide. An acidic product wants that water acidic all the same: no more reductant than the test strip asks for, "
    "the hood, an open vessel, acid in small portions.",
    sources=("crc", "prudent", "common_practice"),
    fires=(
        Case("an acid after sodium chlorite", "OC(=O)c1ccc(C)cc1", ("NaClO2; 5 mmol",), solvent="tert-butanol"),
        Case("an acid after iodine with acetic acid", "OC(=O)c1ccc(C)cc1", ("iodine; 2 mmol", "acetic acid; 20 mmol")),
    ),
    silent=(
        Case("an ester is not acidified", "COC(=O)c1ccc(C)cc1", ("NaClO2; 5 mmol",), solvent="tert-butanol"),
        Case(
            "an acid after bicarbonate: near miss, carbon dioxide only",
            "OC(=O)c1ccc(OCc2ccccc2)cc1",
            ("acetyl chloride; 5 mmol",),
        ),
    ),
)
def sulfite_is_acidified(engine: Any, ph: float, c: str, r: str) -> None:
    """Warn of sulfur dioxide where the flask is acidified after a quench with sulfite."""
    solution = remedy_solution(engine, table(Residue)[r])
    if solution in table(Solution) and _gives_so2(solution):
        engine.conclude(
            f.Cautions(id="sulfur dioxide", subject=c),
            f"{table(Solution)[solution].name}, where more was taken than {engine.job.name(c)} used up, gives sulfur dioxide "
            f"when the water is brought to pH {ph:g}: no more of it than the test strip asks for, then acid in small portions, "
            "open, in the hood",
        )


def _gives_so2(solution: str) -> bool:
    return "acid" in table(Solution)[solution].never_meets and table(Solution)[solution].acts_as == "reductant"
