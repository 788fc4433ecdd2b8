"""What can hurt or be lost when the solvent is taken off: peroxides, products that explode, products that evaporate."""

from typing import Any

from washlore.knowledge.rows import Explosive, Group, Residue, Solvent, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, TEST, Case, rule

_ESTER = "CCOC(=O)/C=C/c1ccccc1"


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


def estimated(engine: Any) -> bool:
    """Tell whether the boiling point of the product is an estimate."""
    return "by estimate" in engine.known[engine.first(f.Boils, component="product")["__factid__"]].reasons[0].text


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
        f"{engine.job.name('product')} boils {'near' if estimated(engine) else 'at'} {b:.0f} C"
        f"{' by estimate' if estimated(engine) else ''}: what evaporates with the solvent is lost and not counted here; weigh and "
        "take a spectrum early, and account for solvent that is left",
    )


CYCLISING = ("amino_ester", "dipeptide_ester")


@rule(
    f.Contains(component="product", group=MATCH.g),
    TEST(lambda g: g in CYCLISING),
    stage="warn",
    title="A free amino ester is not kept: it closes to the diketopiperazine",
    why="The amine of one takes the ester of the next, or of itself two residues on; concentrated and warm within hours, as the "
    "hydrochloride not at all.",
    sources=("greene", "common_practice"),
    fires=(
        Case("an amino ester", "COC(=O)[C@@H](N)CC(C)C", ("toluene; 10 mmol",)),
        Case("a dipeptide ester", "NC(Cc1ccccc1)C(=O)NCC(=O)OC", ("HCl; 30 mmol",)),
    ),
    silent=(
        Case("a Boc amino ester", "CC(C)(C)OC(=O)NCC(=O)OC", ("benzyl alcohol; 1 mmol",)),
        Case("a beta-amino ester: near miss", "NCCC(=O)OCc1ccccc1", ("toluene; 10 mmol",)),
    ),
)
def closes_to_diketopiperazine(engine: Any, g: str) -> None:
    """Warn of an amino ester that does not keep."""
    row = table(Group)[g]
    engine.conclude(
        f.Cautions(id="does not keep", subject="product"),
        f"{engine.job.name('product')} is a free {row.name.split(' with')[0]} and {row.limit_reason.split('; ')[-1]}: strip it "
        "cold, and use it the same day or keep it as the hydrochloride",
        (row.source,),
    )


@rule(
    f.Contains(component=MATCH.c, group=MATCH.g),
    TEST(lambda g: g in table(Explosive)),
    stage="warn",
    title="A compound that may explode is not heated, not dried out and not rubbed",
    why="Bonds between nitrogen or oxygen atoms give way to heat, friction or metals, and pure or dry there is nothing to take "
    "the heat up. Of an azide the count of atoms tells: (C + O) / N of 3 or more may be isolated, of 1 to 3 only in "
    "small amounts, cold and dilute, below 1 never.",
    sources=("bretherick", "stanford_azides"),
    fires=(
        Case("a small azide", "[N-]=[N+]=NCCc1ccccc1", ("sodium azide",), solvent="DMF"),
        Case("a perester", "CC(C)(C)OOC(=O)c1ccccc1", ("benzoic acid",)),
        Case("a nitrate ester", "O=[N+]([O-])OCCCc1ccccc1", ("nitric acid; 5 mmol",)),
        Case("picric acid as a leftover", _ESTER, ("picric acid; 3 mmol",)),
    ),
    silent=(
        Case("a nitroarene: near miss, stable as such", "O=[N+]([O-])c1ccc(C)cc1", ("nitric acid; 5 mmol",)),
        Case("a triazole: near miss, the nitrogens are held by the ring", "c1ccc(CCn2ccnn2)cc1", ("benzoic acid",)),
    ),
)
def may_explode(engine: Any, c: str, g: str) -> None:
    """Warn of a compound that may explode; what is quenched first has its own words."""
    leftover = engine.first(f.Leftover, component=c)
    if leftover and table(Residue)[leftover["residue"]].danger:
        return
    row = table(Explosive)[g]
    text = f"{engine.job.name(c)}: {row.danger}. {_capital(row.care)}"
    if g in AZIDES:
        text += f". {_atoms_for_nitrogen(engine.job.mixture.component(c).principal.mol)}"
    engine.conclude(f.Cautions(id=f"may explode: {g}", subject=c), text, (row.source,))


AZIDES = ("azide", "acyl_azide", "sulfonyl_azide")
# (C + O) / N of an azide: isolated from the first on, never below the second.
ISOLATED_FROM, NEVER_BELOW = 3.0, 1.0


def _ratio(mol: Any) -> float:
    symbols = [atom.GetSymbol() for atom in mol.GetAtoms()]
    return (symbols.count("C") + symbols.count("O")) / symbols.count("N")


def stays_in_solution(engine: Any) -> bool:
    """Tell whether the product is an azide that is not stripped to dryness."""
    found = [g for g in AZIDES if engine.first(f.Contains, component="product", group=g)]
    return bool(found) and ("acyl_azide" in found or _ratio(engine.job.mixture.product.principal.mol) < ISOLATED_FROM)


def never_distilled(engine: Any) -> str:
    """Return the danger, in words, of a product that is not to be distilled; empty for any other."""
    rows = [table(Explosive)[g] for g in table(Explosive) if engine.first(f.Contains, component="product", group=g)]
    return next((row.danger for row in rows if "no distillation" in row.care), "")


def _atoms_for_nitrogen(mol: Any) -> str:
    """Say what the count of carbon and oxygen for each nitrogen allows (``stanford_azides``)."""
    ratio = _ratio(mol)
    told = f"It has (C + O) / N = {ratio:.1f}"
    if ratio < NEVER_BELOW:
        return f"{told}: below 1, never isolate it; keep it in the solution and use it there"
    if ratio < ISOLATED_FROM:
        return f"{told}: below 3, so no more than some grams, cold, and not above 1 M in solution; do not strip it to dryness"
    return f"{told}: 3 or more, it may be isolated with this care"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


@rule(
    f.Component(id="product"),
    stage="warn",
    title="An organic perchlorate is kept away from heat and from dryness",
    why="The ion is an oxidant beside its fuel; dry it goes off by heat or friction, and nothing warns of it.",
    sources=("bretherick",),
    fires=(
        Case(
            "a pyridinium perchlorate", "CCCCCCCCCCCC[n+]1ccccc1.[O-][Cl+3]([O-])([O-])[O-]", ("benzoic acid; 1 mmol",)
        ),
        Case("the same, written otherwise", "CCCCCCCCCCCC[n+]1ccccc1.[O-]Cl(=O)(=O)=O", ("benzoic acid; 1 mmol",)),
    ),
    silent=(
        Case("an ester", _ESTER, ("benzoic acid",)),
        Case("a bromide: near miss", "CCCCCCCCCCCC[n+]1ccccc1.[Br-]", ("benzoic acid; 1 mmol",)),
    ),
)
def organic_perchlorate(engine: Any) -> None:
    """Warn of a perchlorate salt as the product."""
    if not any(part.smiles in PERCHLORATE for part in engine.job.mixture.product.parts):
        return
    engine.conclude(
        f.Cautions(id="may explode: perchlorate", subject="product"),
        f"{engine.job.name('product')} is an organic perchlorate and may explode when it is dry: exchange the ion "
        "(hexafluorophosphate, tosylate) where you can; else small amounts, strip in the cold, no metal spatula, no rubbing",
    )


PERCHLORATE = ("[O-][Cl+3]([O-])([O-])[O-]", "[O-]Cl(=O)(=O)=O", "O=Cl(=O)(=O)[O-]")
