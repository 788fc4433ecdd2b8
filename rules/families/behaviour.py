"""What each component is in a separating funnel: acid, base, neutral, ion."""

from typing import Any

from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, rule

ACID_BELOW = 6.5
BASE_ABOVE = 4.0

_ESTER = "CCOC(=O)c1ccccc1"


@rule(
    f.Component(id=MATCH.c),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka, sigma=MATCH.sigma),
    TEST(lambda pka: pka < ACID_BELOW),
    stage="classify",
    title="An acid stronger than carbonic acid leaves as its salt already at the pH of bicarbonate",
    why="Bicarbonate holds the water near pH 8. An acid whose pKa lies two units or more below that is over 99 % "
    "ionised there, and its salt stays in the water.",
    sources=("williamson", "vogel"),
    fires=(
        Case("benzoic acid, pKa 4.2", _ESTER, ("benzoic acid",)),
        Case("HOBt, an acid by its N-OH", "CC(C)(C)OC(=O)NCCc1ccccc1", ("HOBt",)),
    ),
    silent=(
        Case("phenol, pKa 10: near miss, an acid too weak for bicarbonate", _ESTER, ("phenol",)),
        Case("a ketone is no acid", _ESTER, ("acetophenone",)),
    ),
)
def stronger_acid(engine: Any, c: str, pka: float, sigma: float) -> None:
    """Call a component an acid."""
    engine.conclude(f.Behaviour(component=c, kind="acid"), f"{engine.job.name(c)} has pKa {pka:.1f} ± {sigma:.1f}")


@rule(
    f.Component(id=MATCH.c),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka, sigma=MATCH.sigma),
    TEST(lambda pka: pka >= ACID_BELOW),
    stage="classify",
    title="An acid weaker than carbonic acid needs carbonate or hydroxide to leave as its salt",
    why="At the pH of bicarbonate a phenol is still in its neutral form and stays in the organic layer; two units above "
    "its pKa it is over 99 % ionised.",
    sources=("williamson", "vogel"),
    fires=(
        Case("phenol, pKa 10", _ESTER, ("phenol",)),
        Case("4-cresol as the product", "Cc1ccc(O)cc1", ("benzoic acid",)),
    ),
    silent=(
        Case("benzoic acid: near miss, an OH acid but strong", _ESTER, ("benzoic acid",)),
        Case("an alcohol does not ionise in water", _ESTER, ("cyclohexanol",)),
    ),
)
def weaker_acid(engine: Any, c: str, pka: float, sigma: float) -> None:
    """Call a component a weak acid."""
    engine.conclude(f.Behaviour(component=c, kind="weak acid"), f"{engine.job.name(c)} has pKa {pka:.1f} ± {sigma:.1f}")


@rule(
    f.Component(id=MATCH.c),
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.pka, sigma=MATCH.sigma),
    TEST(lambda pka: pka >= BASE_ABOVE),
    stage="classify",
    title="A base whose conjugate acid has a pKa above 4 leaves as its salt in dilute acid",
    why="Dilute acid holds the water at pH 1 or 2, well below the pKa of the ammonium ion, so nearly all of the base "
    "is protonated and its salt stays in the water.",
    sources=("williamson", "vogel"),
    fires=(
        Case("pyridine, 5.2", _ESTER, ("pyridine",)),
        Case("triethylamine, 10.7", _ESTER, ("triethylamine",)),
    ),
    silent=(
        Case("p-nitroaniline, 1.0: near miss, an amine but hardly a base", _ESTER, ("Nc1ccc([N+](=O)[O-])cc1",)),
        Case("an amide is no base in water", _ESTER, ("CC(=O)Nc1ccccc1",)),
    ),
)
def dilute_acid_base(engine: Any, c: str, pka: float, sigma: float) -> None:
    """Call a component a base."""
    engine.conclude(
        f.Behaviour(component=c, kind="base"),
        f"the conjugate acid of {engine.job.name(c)} has pKa {pka:.1f} ± {sigma:.1f}",
    )


@rule(
    f.Component(id=MATCH.c),
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.pka, sigma=MATCH.sigma),
    TEST(lambda pka: pka < BASE_ABOVE),
    stage="classify",
    title="A base whose conjugate acid has a pKa below 4 needs strong acid, and may hardly leave even then",
    why="The ammonium ion is itself a fairly strong acid, so only water well below its pKa holds the base as a salt.",
    sources=("williamson", "perrin_organic"),
    fires=(
        Case("p-nitroaniline, 1.0", _ESTER, ("Nc1ccc([N+](=O)[O-])cc1",)),
        Case("3-nitroaniline, 2.5", _ESTER, ("Nc1cccc([N+](=O)[O-])c1",)),
    ),
    silent=(
        Case("aniline, 4.6: near miss", _ESTER, ("aniline",)),
        Case("no nitrogen at all", _ESTER, ("cyclohexanone",)),
    ),
)
def strong_acid_base(engine: Any, c: str, pka: float, sigma: float) -> None:
    """Call a component a weak base."""
    engine.conclude(
        f.Behaviour(component=c, kind="weak base"),
        f"the conjugate acid of {engine.job.name(c)} has pKa {pka:.1f} ± {sigma:.1f}",
    )


@rule(
    f.Component(id=MATCH.c),
    f.Charged(component=MATCH.c, charge=MATCH.charge),
    stage="classify",
    title="A permanent ion changes layer with no acid or base",
    why="Its charge does not depend on pH. Small ones stay in the water; large greasy ones may go into a chlorinated "
    "solvent with their counter-ion, and no number for that is certain.",
    sources=("common_practice",),
    fires=(
        Case("tetrabutylammonium bromide", _ESTER, ("CCCC[N+](CCCC)(CCCC)CCCC.[Br-]",)),
        Case("a phosphonium salt", _ESTER, ("C[P+](c1ccccc1)(c1ccccc1)c1ccccc1.[Br-]",)),
    ),
    silent=(
        Case("triethylammonium chloride: near miss, it gives its proton up", _ESTER, ("CC[NH+](CC)CC.[Cl-]",)),
        Case("an ordinary amine", _ESTER, ("triethylamine",)),
    ),
)
def permanent_ion(engine: Any, c: str, charge: int) -> None:
    """Call a component a permanent ion."""
    engine.conclude(
        f.Behaviour(component=c, kind="permanent ion"), f"{engine.job.name(c)} has charge {charge:+d} at any pH"
    )


@rule(
    f.Component(id=MATCH.c),
    f.Inorganic(component=MATCH.c),
    NOT(f.Ionises(component=MATCH.c)),
    stage="classify",
    title="An inorganic salt belongs to the water",
    why="Ions are held by water and hardly at all by organic solvents.",
    sources=("common_practice",),
    fires=(
        Case("potassium carbonate", _ESTER, ("potassium carbonate",)),
        Case("ammonium chloride", _ESTER, ("ammonium chloride",)),
    ),
    silent=(
        Case("sodium benzoate: near miss, a salt with an organic part", _ESTER, ("[Na+].[O-]C(=O)c1ccccc1",)),
        Case("a neutral compound", _ESTER, ("acetophenone",)),
    ),
)
def inorganic_salt(engine: Any, c: str) -> None:
    """Call a component a salt."""
    engine.conclude(f.Behaviour(component=c, kind="salt"), f"{engine.job.name(c)} is made of ions")


@rule(
    f.Component(id=MATCH.c),
    f.Mixes(component=MATCH.c, solvent=MATCH.s),
    NOT(f.Ionises(component=MATCH.c)),
    stage="classify",
    title="A water-miscible solvent splits between the layers and carries other compounds with it",
    why="It makes the water more like an organic solvent and the organic layer wetter: product is lost to the water and "
    "the layers part slowly.",
    sources=("zubrick", "common_practice"),
    fires=(
        Case("DMF as the solvent", _ESTER, (), solvent="DMF"),
        Case("THF as the solvent", _ESTER, ("benzoic acid",), solvent="THF"),
    ),
    silent=(
        Case("dichloromethane forms its own layer", _ESTER, ("benzoic acid",)),
        Case("pyridine: near miss, it mixes with water but is taken as the base it is", _ESTER, ("pyridine",)),
    ),
)
def miscible_solvent(engine: Any, c: str, s: str) -> None:
    """Call a component a water-miscible solvent."""
    engine.conclude(f.Behaviour(component=c, kind="water-miscible solvent"), f"{engine.job.name(c)} mixes with water")


@rule(
    f.Component(id=MATCH.c),
    f.Leftover(component=MATCH.c, residue=MATCH.r, kind=MATCH.kind, action="quench"),
    stage="classify",
    title="A reactive leftover is quenched before any wash",
    why="It would react with water or the wash in the funnel, with heat and gas in a closed vessel.",
    sources=("prudent", "common_practice"),
    fires=(
        Case("leftover acid chloride", _ESTER, ("benzoyl chloride",)),
        Case("leftover hydride", "OC(c1ccccc1)C", ("LiAlH4",), solvent="THF"),
    ),
    silent=(
        Case("benzoic acid: near miss, the chloride's own acid needs no quench", _ESTER, ("benzoic acid",)),
        Case("pyridine", _ESTER, ("pyridine",)),
    ),
)
def reactive_residue(engine: Any, c: str, r: str, kind: str) -> None:
    """Call a component a reactive residue."""
    engine.conclude(
        f.Behaviour(component=c, kind="reactive residue"), f"{engine.job.name(c)} is still reactive ({kind})"
    )


@rule(
    f.Component(id=MATCH.c),
    NOT(f.Ionises(component=MATCH.c)),
    NOT(f.Charged(component=MATCH.c)),
    NOT(f.Inorganic(component=MATCH.c)),
    NOT(f.Mixes(component=MATCH.c)),
    stage="classify",
    title="A compound that neither gives nor takes a proton in water stays where its partition puts it",
    why="No acid or base changes its form, so only the solvent, the volumes and salt decide its layer.",
    sources=("common_practice",),
    fires=(
        Case("an ester", _ESTER, ("benzoic acid",)),
        Case("a carbamate: its N-H is no base", "CC(C)(C)OC(=O)NCCc1ccccc1", ("triethylamine",)),
    ),
    silent=(
        Case("amine product with an acid: neither is neutral", "NCCCCCCCC", ("benzoic acid",)),
        Case("phenol: near miss, neutral to bicarbonate yet an acid to hydroxide", "Oc1ccccc1", ("benzoic acid",)),
    ),
)
def neutral_compound(engine: Any, c: str) -> None:
    """Call a component neutral."""
    engine.conclude(
        f.Behaviour(component=c, kind="neutral"),
        f"{engine.job.name(c)} has no acidic site below pKa 11.5 and no basic one above 0",
    )


@rule(
    f.Component(id=MATCH.c),
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.acid),
    f.Ionises(component=MATCH.c, kind="base", pka=MATCH.base),
    TEST(lambda base: base >= 2.0),
    stage="classify",
    title="A compound that is acid and base at once is soluble in water on both sides of its isoelectric pH",
    why="In acid it is a cation, in base an anion; between its two pKa values it carries least charge, and if the acid "
    "is the stronger partner it is a zwitterion there and may not leave the water at any pH.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("4-aminobenzoic acid", "Nc1ccc(C(=O)O)cc1", ("cyclohexanone",)),
        Case("an amino acid as impurity", _ESTER, ("NCC(=O)O",)),
    ),
    silent=(
        Case("Boc-glycine: near miss, the nitrogen is no longer basic", "CC(C)(C)OC(=O)NCC(=O)O", ("cyclohexanone",)),
        Case("acid and amine in two different molecules", _ESTER, ("benzoic acid", "triethylamine")),
    ),
)
def amphoteric_compound(engine: Any, c: str, acid: float, base: float) -> None:
    """Call a component amphoteric."""
    kind = "a zwitterion between" if base > acid else "neutral between"
    engine.conclude(
        f.Behaviour(component=c, kind="amphoteric"),
        f"{engine.job.name(c)} has an acid of pKa {acid:.1f} and a base of pKa {base:.1f}: {kind} them, "
        f"isoelectric near pH {(acid + base) / 2:.1f}",
    )
