"""Several products: which water layer draws which out of the organic layer, and what no wash parts."""

from typing import Any

from washlore.knowledge.rows import Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, OR, Case, rule
from washlore.rules.words import label, share

_NEUTRAL = "c1ccc2ccccc2c1"
DISTIL_APART_C = 40.0


def _set_aside(engine: Any, c: str, flask: str, s: str, text: str) -> None:
    row = table(Solution)[s]
    engine.conclude(f.SetAside(component=c, flask=flask, solution=s), text, (row.source,))


@rule(
    f.Component(id=MATCH.c, role="product"),
    f.Behaviour(component=MATCH.c, kind="acid"),
    f.Draw(component=MATCH.c, flask=MATCH.flask, solution=MATCH.s, way="solution", least=MATCH.least, most=MATCH.most),
    stage="part",
    title="A carboxylic or stronger acid is drawn out with bicarbonate, which leaves phenols and neutrals behind",
    why="Bicarbonate takes the proton of an acid and not that of a phenol; hydroxide would take both. Acid brings the compound "
    "back, and fresh solvent takes it up.",
    sources=("williamson", "vogel"),
    fires=(
        Case("an acid and a hydrocarbon", _NEUTRAL, ("benzoic acid; 5 mmol; product",)),
        Case("an acid and a phenol", "Oc1ccc(C(C)(C)C)cc1", ("OC(=O)c1ccc(C)cc1; 5 mmol; product",), extract="MTBE"),
    ),
    silent=(
        Case("the acid is no product", _NEUTRAL, ("benzoic acid; 5 mmol",)),
        Case("a phenol and a hydrocarbon: near miss, a weaker acid", _NEUTRAL, ("4-cresol; 5 mmol; product",)),
    ),
)
def draws_acid(engine: Any, c: str, flask: str, s: str, least: float, most: float) -> None:
    """Draw an acid into its own flask."""
    row = table(Solution)[s]
    _set_aside(engine, c, flask, s, f"{label(row)} draws {share(least)} of {engine.job.name(c)} into {flask}")


@rule(
    f.Component(id=MATCH.c, role="product"),
    f.Behaviour(component=MATCH.c, kind="weak acid"),
    f.Draw(component=MATCH.c, flask=MATCH.flask, solution=MATCH.s, way="solution", least=MATCH.least, most=MATCH.most),
    stage="part",
    title="A phenol is drawn out with hydroxide once the stronger acids are gone",
    why="Hydroxide takes every acid, so what bicarbonate takes must be out before; then phenols go alone and neutrals stay.",
    sources=("williamson", "vogel"),
    fires=(
        Case("a phenol and a hydrocarbon", _NEUTRAL, ("4-cresol; 5 mmol; product",)),
        Case(
            "an acid, a phenol and a hydrocarbon",
            _NEUTRAL,
            ("benzoic acid; 5 mmol; product", "4-tert-butylphenol; 5 mmol; product"),
        ),
    ),
    silent=(
        Case("an acid and a hydrocarbon", _NEUTRAL, ("benzoic acid; 5 mmol; product",)),
        Case(
            "a phenol that stays in the organic layer: near miss",
            "Oc1ccc(C(C)(C)C)cc1",
            ("OC(=O)c1ccc(C)cc1; 5 mmol; product",),
            extract="MTBE",
        ),
    ),
)
def draws_weak_acid(engine: Any, c: str, flask: str, s: str, least: float, most: float) -> None:
    """Draw a weak acid into its own flask."""
    row = table(Solution)[s]
    _set_aside(engine, c, flask, s, f"{label(row)} draws {share(least)} of {engine.job.name(c)} into {flask}")


@rule(
    f.Component(id=MATCH.c, role="product"),
    OR(f.Behaviour(component=MATCH.c, kind="base"), f.Behaviour(component=MATCH.c, kind="weak base")),
    f.Draw(component=MATCH.c, flask=MATCH.flask, solution=MATCH.s, way="solution", least=MATCH.least, most=MATCH.most),
    stage="part",
    title="An amine is drawn out with acid, before the acids are drawn out with base",
    why="Acid makes the amine its salt and leaves acids and neutrals as they are. First out, it takes no acid along as an ion "
    "pair. Base brings it back.",
    sources=("williamson", "vogel"),
    fires=(
        Case("an aniline and a hydrocarbon", _NEUTRAL, ("Cc1ccc(N)cc1; 5 mmol; product",)),
        Case("an amine and an acid", "OC(=O)c1ccc(C)cc1", ("NCCCCCCCC; 5 mmol; product",), extract="MTBE"),
    ),
    silent=(
        Case("the amine is no product", _NEUTRAL, ("Cc1ccc(N)cc1; 5 mmol",)),
        Case("an amide and a hydrocarbon: near miss, no base", _NEUTRAL, ("CCCCNC(=O)c1ccccc1; 5 mmol; product",)),
    ),
)
def draws_base(engine: Any, c: str, flask: str, s: str, least: float, most: float) -> None:
    """Draw a base into its own flask."""
    row = table(Solution)[s]
    _set_aside(engine, c, flask, s, f"{label(row)} draws {share(least)} of {engine.job.name(c)} into {flask}")


@rule(
    f.Component(id=MATCH.c, role="product"),
    f.Draw(
        component=MATCH.c,
        flask=MATCH.flask,
        solution=MATCH.s,
        way="held",
        ph=MATCH.ph,
        least=MATCH.least,
        most=MATCH.most,
    ),
    stage="part",
    title="Two acids, or two bases, are drawn apart by water held at a pH between them, at a price",
    why="Between two pKa values the one is an ion and the other is not; the nearer the two, the more of each goes the wrong "
    "way, and the pH drifts as it goes, so that it is held with a meter.",
    sources=("perrin_dempsey_serjeant", "common_practice"),
    fires=(
        Case("two anilines, 5.1 and 4.0", "Cc1ccc(N)cc1", ("Nc1ccc(Cl)cc1; 5 mmol; product",), extract="MTBE"),
        Case("two anilines, 4.6 and 3.5", "Nc1cccc(Cl)c1", ("aniline; 5 mmol; product",), extract="MTBE"),
    ),
    silent=(
        Case("an amine and an acid", "OC(=O)c1ccc(C)cc1", ("NCCCCCCCC; 5 mmol; product",), extract="MTBE"),
        Case("two cresols: near miss, no pH tells them apart", "Cc1ccc(O)cc1", ("Cc1cccc(O)c1; 5 mmol; product",)),
    ),
)
def draws_at_held_ph(engine: Any, c: str, flask: str, s: str, ph: float, least: float, most: float) -> None:
    """Draw one of two of a kind out at a held pH."""
    _set_aside(
        engine,
        c,
        flask,
        s,
        f"at pH {ph:.1f} {share(least)} of {engine.job.name(c)} goes into {flask}, with {share(most)} of what should stay",
    )


@rule(
    f.Component(id=MATCH.c, role="product"),
    f.Draw(component=MATCH.c, flask=MATCH.flask, solution=MATCH.s, way="water", least=MATCH.least),
    stage="part",
    title="A compound that no organic solvent holds at any pH is left in the water and comes out of it as a solid",
    why="An amino acid is a zwitterion between its two pKa values and an ion outside them; extraction cannot bring it back. At "
    "its isoelectric pH it is least soluble: concentrate, cool and filter, or use ion exchange.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("phenylalanine and a hydrocarbon", _NEUTRAL, ("NC(Cc1ccccc1)C(=O)O; 5 mmol; product",)),
        Case("glycine and a ketone", "CC(=O)c1ccccc1", ("glycine; 5 mmol; product",)),
    ),
    silent=(
        Case("glycine is no product", "CC(=O)c1ccccc1", ("glycine; 5 mmol",)),
        Case(
            "aminobenzoic acid of which enough is uncharged: near miss",
            _NEUTRAL,
            ("CCCCNc1ccc(C(=O)O)cc1; 5 mmol; product",),
        ),
    ),
)
def stays_in_water(engine: Any, c: str, flask: str, s: str, least: float) -> None:
    """Leave a water-bound product in the water."""
    _set_aside(engine, c, flask, s, f"water holds {share(least)} of {engine.job.name(c)} whatever its pH")


@rule(
    f.Component(id=MATCH.c, role="product"),
    f.Draw(component=MATCH.c, flask=MATCH.flask, solution=MATCH.s, way="parted", least=MATCH.least),
    stage="part",
    title="A product that stands in the water of the reaction as its salt is there already: that water is its flask",
    why="Hydroxide or acid of the reaction has drawn it out of the organic layer; thrown away with the water it would be lost. "
    "Rinse the water with fresh solvent, then set the compound free.",
    sources=("williamson", "vogel"),
    fires=(
        Case(
            "the acid and the alcohol of an aldehyde that hydroxide has split",
            "OCc1ccc(Cl)cc1",
            ("4-chlorobenzoic acid; 10 mmol; product", "KOH; 30 mmol"),
            solvent="water",
        ),
        Case(
            "an amine in the acid of its reduction beside a neutral",
            _NEUTRAL,
            ("Nc1ccc(C)cc1; 10 mmol; product", "HCl; 40 mmol"),
            solvent="water",
        ),
    ),
    silent=(
        Case("an acid in ether", _NEUTRAL, ("benzoic acid; 5 mmol; product",), solvent="diethyl ether"),
        Case(
            "two acids in the water: near miss, they are brought back together",
            _NEUTRAL,
            ("benzoic acid; 5 mmol; product", "4-cresol; 5 mmol; product", "NaOH; 30 mmol"),
            solvent="water",
        ),
    ),
)
def stands_in_the_reaction_water(engine: Any, c: str, flask: str, s: str, least: float) -> None:
    """Keep the reaction's water as the flask of a product."""
    _set_aside(engine, c, flask, s, f"the water of the reaction holds {share(least)} of {engine.job.name(c)}: {flask}")


@rule(
    f.Component(id=MATCH.c, role="product"),
    f.Remains(component=MATCH.c, flask=MATCH.flask),
    stage="part",
    title="What the others are drawn away from stays in the organic layer",
    why="A neutral compound changes layer with no acid or base; of compounds that all ionise, the last one need not be moved.",
    sources=("williamson", "common_practice"),
    fires=(
        Case("a hydrocarbon beside an acid", _NEUTRAL, ("benzoic acid; 5 mmol; product",)),
        Case("an acid beside an amine", "OC(=O)c1ccc(C)cc1", ("NCCCCCCCC; 5 mmol; product",), extract="MTBE"),
    ),
    silent=(
        Case("one product only", _NEUTRAL, ("benzoic acid; 5 mmol",)),
        Case("one product that is washed: near miss", "OC(=O)c1ccc(C)cc1", ("NCCCCCCCC; 5 mmol",), extract="MTBE"),
    ),
)
def stays_in_organic(engine: Any, c: str, flask: str) -> None:
    """Keep the last product in the organic layer."""
    engine.conclude(
        f.SetAside(component=c, flask=flask, solution=""),
        f"{engine.job.name(c)} stays in the {flask}; the others leave it",
    )


@rule(
    f.Alike(component=MATCH.c, other=MATCH.o, best=MATCH.best),
    stage="part",
    title="Two compounds of one kind that no pH tells apart stay together through every wash",
    why="Washing sorts by charge and by affinity for water; compounds alike in both need another handle.",
    sources=("common_practice",),
    fires=(
        Case("two hydrocarbons", _NEUTRAL, ("CCCCCCCCc1ccccc1; 5 mmol; product",)),
        Case("two cresols", "Cc1ccc(O)cc1", ("Cc1cccc(O)c1; 5 mmol; product",)),
    ),
    silent=(
        Case("an acid and a hydrocarbon", _NEUTRAL, ("benzoic acid; 5 mmol; product",)),
        Case("two hydrocarbons of which one is wanted: near miss", _NEUTRAL, ("CCCCCCCCc1ccccc1; 5 mmol",)),
    ),
)
def no_wash_parts(engine: Any, c: str, o: str, best: float) -> None:
    """Say that two products stay together and what parts them."""
    instead, also = _instead(engine, c, o)
    engine.conclude(
        f.Together(component=c, other=o, instead=instead),
        f"{engine.job.name(c)} and {engine.job.name(o)} cannot be parted by washing (at the best pH {share(best)} is drawn apart)",
        also=also,
    )


def _instead(engine: Any, c: str, o: str) -> tuple[str, tuple[int, ...]]:
    """Return what parts two alike products, and the facts behind."""
    one, two = engine.first(f.Boils, component=c), engine.first(f.Boils, component=o)
    if one is not None and two is not None and abs(one["boiling_c"] - two["boiling_c"]) > DISTIL_APART_C:
        return f"distil: {one['boiling_c']:.0f} C against {two['boiling_c']:.0f} C", (
            one["__factid__"],
            two["__factid__"],
        )
    for this, that in ((c, o), (o, c)):
        found = engine.first(f.Contains, component=this, group="aldehyde")
        if found is not None and engine.first(f.Contains, component=that, group="aldehyde") is None:
            return (
                f"shake with saturated sodium bisulfite: {engine.job.name(this)} goes into the water, or falls out, as its "
                "adduct; carbonate sets it free again",
                (found["__factid__"],),
            )
    if any(engine.first(f.Behaviour, component=c, kind=k) for k in ("acid", "base", "weak base")):
        return "crystallise one of them as a salt, or chromatograph on silica", ()
    return "chromatograph on silica, or recrystallise if one of them is a solid", ()
