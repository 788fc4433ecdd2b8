"""After the washes that remove something: neutralise, brine, dry."""

from typing import Any

from washlore.knowledge.rows import Desiccant, Group, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, rule

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ACETAL = "c1ccccc1C1OCCO1"
_BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"
# A group that does not stand this pH is not left standing over an acidic solid, nor heated with a trace of acid.
ACID_SENSITIVE_PH = 2.0
ACID_WORTH_NEUTRALISING_PH = 3.5
BRINE_RANK, NEUTRALISE_RANK = 80, 70


def last_is_acid(engine: Any) -> bool:
    """Tell whether the washes so far end on the acid side."""
    kinds = {table(Solution)[fact["solution"]].acts_as for _, fact in engine.facts_of(f.Kept)}
    return "acid" in kinds and "base" not in kinds


@rule(
    f.Kept(solution=MATCH.s),
    f.Stands(side="low", group=MATCH.g, ph=MATCH.ph),
    f.Bottle(solution=MATCH.s, acts_as="acid", ph=MATCH.acid),
    NOT(f.Harms(solution="nahco3_sat")),
    TEST(lambda acid: acid < ACID_WORTH_NEUTRALISING_PH),
    stage="arrange",
    title="After an acid wash the last trace of acid is taken out before an acid-sensitive product is dried and warmed",
    why="A film of acidic water left in the organic layer grows stronger as the solvent is stripped; bicarbonate ends it.",
    sources=("leonard", "common_practice"),
    fires=(
        Case("Boc amine after an acid wash for triethylamine", _BOC, ("triethylamine",)),
        Case("a tert-butyl ester after an acid wash", "CC(C)(C)OC(=O)CCc1ccccc1", ("pyridine",)),
    ),
    silent=(
        Case("an ethyl ester needs no such care", _ESTER, ("pyridine",)),
        Case("Boc amine with an acid only: near miss, the last wash is a base", _BOC, ("benzoic acid",)),
    ),
)
def neutralise_after_acid(engine: Any, s: str, g: str, ph: float, acid: float) -> None:
    """Add a bicarbonate wash after acid."""
    if not last_is_acid(engine):
        return
    group = table(Group)[g]
    engine.conclude(
        f.Adds(action="wash", subject="nahco3_sat", rank=NEUTRALISE_RANK),
        f"the {group.name} does not stand acid on warming, and {table(Solution)[s].name} comes before",
        (group.source,),
    )


# Groups that stand any wash but not to be warmed with the acid that a film of it leaves behind.
MIND_WARM_ACID = (
    "tertiary_alcohol",
    "allylic_alcohol",
    "tertiary_halide",
    "pyrrole",
    "indole",
    "furan",
    "donor_cyclopropane",
)


@rule(
    f.Kept(solution=MATCH.s),
    f.Contains(component="product", group=MATCH.g),
    f.Bottle(solution=MATCH.s, acts_as="acid", ph=MATCH.acid),
    NOT(f.Harms(solution="nahco3_sat")),
    NOT(f.Stands(side="low", group=MATCH.g)),
    TEST(lambda g, acid: g in MIND_WARM_ACID and acid < ACID_WORTH_NEUTRALISING_PH),
    stage="arrange",
    title="Acid is neutralised before a product is warmed that loses water or polymerises in warm acid",
    why="The wash is over in a minute and cold; on the rotary evaporator the last film of acid meets the product alone, warm and "
    "ever stronger.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("a tertiary alcohol after acid", "CC(O)(CCc1ccccc1)CC", ("aniline",)),
        Case("an allylic alcohol after acid", "OC(C=C)CCc1ccccc1", ("aniline",)),
    ),
    silent=(
        Case("a secondary alcohol: near miss", "OC(C)CCCc1ccccc1", ("aniline",)),
        Case("a tertiary alcohol after base only", "CC(O)(CCc1ccccc1)CC", ("benzoic acid",)),
    ),
)
def neutralise_before_warming(engine: Any, s: str, g: str, acid: float) -> None:
    """Add a bicarbonate wash before the product is warmed."""
    if not last_is_acid(engine):
        return
    engine.conclude(
        f.Adds(action="wash", subject="nahco3_sat", rank=NEUTRALISE_RANK),
        f"the {table(Group)[g].name} does not stand acid on warming, and {table(Solution)[s].name} comes before",
        (table(Group)[g].source,),
    )


def met_water(engine: Any) -> bool:
    """Tell whether anything aqueous meets the organic layer before it is dried."""
    from washlore.knowledge.rows import Residue
    from washlore.rules.families.quench import quench_brings_water

    if (
        engine.job.wet
        or any(engine.first(kind) for kind in (f.Kept, f.Swap, f.BringsTo))
        or engine.first(f.Medium, solvent="water")
    ):
        return True
    quenched = [fact["subject"] for _, fact in engine.facts_of(f.Prepares, action="quench")]
    return any(
        quench_brings_water(engine, table(Residue)[engine.first(f.Leftover, component=c)["residue"]]) for c in quenched
    )


@rule(
    f.Extraction(solvent=MATCH.s),
    NOT(f.Harms(solution="brine")),
    stage="arrange",
    title="Brine last takes most of the dissolved water out and leaves less for the drying agent",
    why="Salt lowers the activity of the water, so the organic layer gives its water up; it also breaks thin emulsions and "
    "drives polar compounds back into the organic layer. It removes no organic impurity.",
    sources=("zubrick", "williamson"),
    fires=(
        Case("ethyl acetate, which holds 3 % of water", _ESTER, ("benzoic acid",), extract="ethyl acetate"),
        Case("dichloromethane, with drops clinging to the glass", _ESTER, ("pyridine",)),
    ),
    silent=(
        Case("an acid chloride meets no water", "O=C(Cl)CCc1ccccc1", ("pyridine",)),
        Case("an isocyanate: near miss, organic but not for water either", "O=C=Nc1ccccc1", ("acetone",)),
    ),
)
def brine_last(engine: Any, s: str) -> None:
    """Add brine before drying, where water has been."""
    if not met_water(engine):
        return
    row = table(Solvent)[s]
    held = row.water_held_wt_pct or 0.0
    engine.conclude(
        f.Adds(action="wash", subject="brine", rank=BRINE_RANK),
        f"{row.name} saturated with water holds {held:g} % of it",
        (row.source,),
    )


@rule(
    f.Contains(component="product", group=MATCH.g),
    stage="arrange",
    salience=10,
    title="A drying agent that binds the product or breaks it is not used",
    why="Calcium chloride holds alcohols, amines, amides and phenols; basic solids hold acids; slightly acidic ones open "
    "acetals and their like on standing.",
    sources=("armarego", "vogel"),
    fires=(
        Case("an alcohol against calcium chloride", "OC1CCCCC1CCC", ("benzoic acid",)),
        Case("a carboxylic acid against potassium carbonate", "OC(=O)CCc1ccccc1", ("pyridine",)),
    ),
    silent=(
        Case("a plain hydrocarbon is bound by nothing", "CCCCCCCCCCc1ccccc1", ("pyridine",)),
        Case("an ether: near miss, oxygen that calcium chloride does not hold", "COCCc1ccccc1", ("pyridine",)),
    ),
)
def desiccant_binds_or_breaks(engine: Any, g: str) -> None:
    """Bar drying agents by the product's groups."""
    group = table(Group)[g]
    for row in table(Desiccant).values():
        if g in row.binds or g in row.attacks:
            verb = "binds" if g in row.binds else "harms"
            engine.conclude(
                f.BarredDesiccant(desiccant=row.id, group=g),
                f"{row.name} {verb} the {group.name} of {engine.job.name('product')}",
                (row.source,),
            )


@rule(
    f.Stands(side="low", ph=MATCH.ph, group=MATCH.g),
    TEST(lambda ph: ph >= ACID_SENSITIVE_PH),
    stage="arrange",
    salience=10,
    title="An acid-sensitive product is not left standing over an acidic drying agent",
    why="Magnesium sulfate is the salt of a weak base and slightly acidic in its film of water; sodium sulfate and potassium "
    "carbonate are not.",
    sources=("armarego", "leonard"),
    fires=(
        Case("an acetal", _ACETAL, ("benzoic acid",)),
        Case("an enol ether", "C=COCCCCCCc1ccccc1", ("cyclohexanol",)),
    ),
    silent=(
        Case("an ester", _ESTER, ("benzoic acid",)),
        Case("an ordinary ether: near miss", "COCCc1ccccc1", ("benzoic acid",)),
    ),
)
def no_acidic_desiccant(engine: Any, ph: float, g: str) -> None:
    """Bar acidic drying agents for an acid-sensitive product."""
    group = table(Group)[g]
    for row in table(Desiccant).values():
        if row.character == "acidic":
            engine.conclude(
                f.ShunnedDesiccant(desiccant=row.id, group=g),
                f"{row.name} is slightly acidic and the {group.name} of {engine.job.name('product')} stands pH {ph:g} and "
                "above only",
                (row.source, group.source),
            )


@rule(
    f.Extraction(solvent=MATCH.s),
    stage="arrange",
    salience=-10,
    title="The drying agent is the quickest that leaves the product alone",
    why="Magnesium sulfate is quick and fine, sodium sulfate slower (5 to 10 minutes) and neutral, potassium carbonate "
    "basic; the agent is added until fresh powder no longer clumps, then filtered off and rinsed.",
    sources=("armarego", "williamson"),
    fires=(
        Case("an ester", _ESTER, ("benzoic acid",)),
        Case("an acetal", _ACETAL, ("benzoic acid",)),
    ),
    silent=(
        Case("a product that no water may touch is not dried with a solid here", "O=C(Cl)CCc1ccccc1", ("pyridine",)),
        Case("an isocyanate: near miss, organic and dry already", "O=C=Nc1ccccc1", ("acetone",)),
    ),
)
def choose_desiccant(engine: Any, s: str) -> None:
    """Choose the drying agent, where water has been."""
    if not met_water(engine):
        return
    barred: dict[str, int] = {}
    for kind in (f.BarredDesiccant, f.ShunnedDesiccant):
        for known_id, fact in engine.facts_of(kind):
            barred.setdefault(fact["desiccant"], known_id)
    order = sorted(table(Desiccant).values(), key=lambda row: row.rank)
    best = next(row for row in order if row.id not in barred)
    passed = [row for row in order if row.rank < best.rank]
    text = f"{best.name}: {best.reason}"
    if passed:
        text += f" ({'; '.join(engine.known[barred[row.id]].reasons[0].text for row in passed)})"
    engine.conclude(f.Dries(desiccant=best.id), text, (best.source,), also=tuple(barred[row.id] for row in passed))


@rule(
    f.Behaviour(component="product", kind="base"),
    f.Ionises(component="product", kind="base", pka=MATCH.pka),
    TEST(lambda pka: pka > 7),
    stage="arrange",
    salience=10,
    title="A basic product is dried over a neutral or basic solid",
    why="Magnesium sulfate is slightly acidic and its ion holds amines, which costs product on the filter; sodium sulfate "
    "and potassium carbonate do neither.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("octylamine", "NCCCCCCCC", ("cyclohexanone",)),
        Case("N-benzylpiperidine", "C1CCN(CC1)Cc1ccccc1", ("acetophenone",)),
    ),
    silent=(
        Case("an amide is no base", "CCCCNC(=O)c1ccccc1", ("phenol",)),
        Case("aniline, 4.6: near miss, too weak a base to be held", "Nc1ccccc1", ("triethylamine",)),
    ),
)
def neutral_desiccant_for_base(engine: Any, pka: float) -> None:
    """Bar acidic drying agents for a basic product."""
    for row in table(Desiccant).values():
        if row.character == "acidic":
            engine.conclude(
                f.ShunnedDesiccant(desiccant=row.id, group="base"),
                f"{row.name} is slightly acidic and {engine.job.name('product')} is a base (conjugate acid pKa {pka:.1f})",
                (row.source,),
            )
