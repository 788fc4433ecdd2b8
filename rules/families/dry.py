"""What is done without water: an acid or a base ended with a solid, before its solvent is stripped."""

from typing import Any

from washlore.knowledge.partition import OCTANOL, molecule_log_k
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, L, rule

# Up to this many equivalents a solid base is the simplest end of an acid; more of it is washed out.
MOST_EQUIV = 0.3
STRONG_PKA = 1.0
# The sulfuric acid of Jones reagent, some four for three of chromium trioxide, and what is left of it.
MOST_OF_JONES = 1.5
# A base is ended dry up to one equivalent, for a product so polar (log P, octanol) that alcohol in the water would hold it.
MOST_BASE_EQUIV, POLAR_LOG_P = 1.0, 1.2
# A base of this strength holds a strong acid as its salt, and is set free later.
HOLDS_ACID_PKA = 3.0
STRIPPABLE_BELOW_C = 121.0
VOLATILE_BELOW_C = 116.0

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_SOLKETAL = "CC1(C)OCC(CO)O1"
TS_OH = "TsOH; 0.5 mmol"


def _end_dry(engine: Any, c: str, text: str) -> None:
    """Conclude that a solid ends an acid or a base, and that its salt is filtered off."""
    engine.conclude(f.EndsDry(component=c), text)
    engine.conclude(f.Prepares(action="filter", subject=c), text)
    engine.conclude(f.Leaves(component=c, way="filtration"), text)


@rule(
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka),
    f.Component(id=MATCH.c, role=~L("product"), mmol=MATCH.mmol),
    f.Component(id="product", mmol=MATCH.product),
    f.Medium(miscibility=MATCH.m, solvent=MATCH.s, boiling_c=MATCH.b),
    NOT(f.Medium(solvent="water")),
    NOT(f.Leftover(action="quench")),
    NOT(f.Leftover(component=MATCH.c)),
    NOT(f.Harsh(kind="nitric acid")),
    NOT(f.Harsh(kind="perchloric acid")),
    NOT(f.Harsh(kind="hydrogen peroxide")),
    NOT(f.Harsh(kind="a strong base")),
    TEST(lambda c, pka, mmol, product, b: c != "product" and pka < STRONG_PKA and b < STRIPPABLE_BELOW_C),
    TEST(lambda mmol, product: mmol <= MOST_EQUIV * product),
    stage="classify",
    salience=20,
    title="An acid catalyst is ended with a solid base and filtered off before its solvent is stripped",
    why="The acid grows strong on the product as the solvent leaves, and turns acetals, esters and glycosides back. Stirred with "
    "solid sodium hydrogen carbonate it becomes a salt that lies on the filter, and no water has come near a product that may "
    "like it.",
    sources=("greene", "common_practice"),
    fires=(
        Case("toluenesulfonic acid beside an acetonide in acetone", _SOLKETAL, (TS_OH,), solvent="acetone"),
        Case("sulfuric acid of an esterification in ethanol", _ESTER, ("sulfuric acid; 1 mmol",), solvent="ethanol"),
        Case(
            "beside a polar monoketal in toluene, which a wash would carry off",
            "O=C1CCC2(CC1)OCCO2",
            (TS_OH,),
            solvent="toluene",
        ),
    ),
    silent=(
        Case("near miss: as much acid as product is washed out", _ESTER, ("TsOH; 10 mmol",), solvent="acetone"),
        Case("in dichloromethane a wash does it", _ESTER, (TS_OH,)),
        Case("near miss: its sodium salt is no acid", _SOLKETAL, ("sodium tosylate; 0.5 mmol",), solvent="acetone"),
        Case("an amine product holds the acid", "C1CCN(CC1)Cc1ccccc1", (TS_OH,), solvent="methanol"),
    ),
)
def end_the_acid_dry(engine: Any, c: str, pka: float, mmol: float, product: float, m: str, s: str, b: float) -> None:
    """Neutralise an acid catalyst with a solid and filter; in a solvent that parts from water only for a polar product."""
    _end_acid(engine, c, m)


@rule(
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka),
    f.Component(id=MATCH.c, role=~L("product"), mmol=MATCH.mmol),
    f.Component(id="product", mmol=MATCH.product),
    f.Medium(miscibility="miscible", solvent=MATCH.s, boiling_c=MATCH.b),
    f.Leftover(residue="chromium_vi", action="quench"),
    NOT(f.Medium(solvent="water")),
    NOT(f.Leftover(component=MATCH.c)),
    TEST(lambda c, pka, b: c != "product" and pka < STRONG_PKA and b < STRIPPABLE_BELOW_C),
    TEST(lambda mmol, product: mmol <= MOST_OF_JONES * product),
    stage="classify",
    salience=20,
    title="The acid of a Jones oxidation is ended with a solid base once the chromium is green, and filtered off with it",
    why="The alcohol has ended the chromium without water, and its green salts lie there as a tar. Solid sodium hydrogen carbonate "
    "takes the sulfuric acid, both stay on one filter, and the acetone is stripped before any water comes, which it would carry "
    "product into.",
    sources=("leonard", "common_practice"),
    fires=(
        Case(
            "Jones reagent in acetone",
            "O=C1CCCC(C)C1",
            ("chromium trioxide; 3 mmol", "sulfuric acid; 10 mmol"),
            solvent="acetone",
        ),
        Case(
            "with less acid", "O=C(CCCC)CCCC", ("chromium trioxide; 2 mmol", "sulfuric acid; 5 mmol"), solvent="acetone"
        ),
    ),
    silent=(
        Case(
            "near miss: three times as much acid as product is washed out",
            "O=C1CCCC(C)C1",
            ("chromium trioxide; 3 mmol", "sulfuric acid; 30 mmol"),
            solvent="acetone",
        ),
        Case("no acid", "O=C1CCCC(C)C1", ("PCC; 3 mmol",), solvent="acetone"),
    ),
)
def end_the_acid_of_jones(engine: Any, c: str, pka: float, mmol: float, product: float, s: str, b: float) -> None:
    """Neutralise the acid of a chromium oxidation with a solid once an alcohol has ended the oxidant."""
    quenched = [fact["residue"] for _, fact in engine.facts_of(f.Leftover, action="quench")]
    if any(residue != "chromium_vi" for residue in quenched):
        return
    _end_acid(engine, c, "miscible")


def _end_acid(engine: Any, c: str, m: str) -> None:
    """Conclude that a solid ends an acid, unless the product holds it or it leaves with the solvent."""
    if m != "miscible" and molecule_log_k(engine.job.mixture.product.principal, OCTANOL).value > POLAR_LOG_P:
        return
    own = engine.first(f.Ionises, component="product", kind="base")
    if own is not None and own["pka"] > HOLDS_ACID_PKA:
        return
    if engine.job.mixture.component(c).principal.charge < 0:
        return  # a salt of it, which holds no acid
    boils = engine.first(f.Boils, component=c)
    if boils is not None and boils["boiling_c"] < VOLATILE_BELOW_C and not engine.first(f.Harsh, component=c):
        return  # trifluoroacetic acid goes with the solvent
    text = f"{engine.job.name(c)} would be concentrated on {engine.job.name('product')} as the solvent is stripped"
    _end_dry(engine, c, text)


@rule(
    f.Harsh(component=MATCH.c, kind="a strong base"),
    f.Component(id=MATCH.c, role=~L("product"), mmol=MATCH.mmol),
    f.Component(id="product", mmol=MATCH.product),
    f.Medium(miscibility="miscible", solvent=MATCH.s, boiling_c=MATCH.b),
    NOT(f.Medium(solvent="water")),
    NOT(f.Leftover(action="quench")),
    NOT(f.Leftover(component=MATCH.c)),
    NOT(f.Ionises(component="product")),
    TEST(lambda mmol, product, b: mmol <= MOST_BASE_EQUIV * product and b < STRIPPABLE_BELOW_C),
    stage="classify",
    salience=20,
    title="For a polar product hydroxide is ended with solid ammonium chloride and filtered off before its solvent is stripped",
    why="Nothing is stripped from strong base; but with the alcohol left in it, the first water would hold much of a product that "
    "likes water. With ammonium chloride the hydroxide becomes a chloride that lies on the filter, and ammonia, which leaves "
    "with the solvent.",
    sources=("common_practice",),
    fires=(
        Case("sodium hydroxide in ethanol beside a hydroxy sulfide", "CCSCCO", ("NaOH; 5 mmol",), solvent="ethanol"),
        Case("potassium hydroxide in methanol beside a diol", "OCCCCCO", ("KOH; 2 mmol",), solvent="methanol"),
    ),
    silent=(
        Case("a greasy ketone is taken out of the water", "CCCCCCCCC(C)=O", ("NaOH; 5 mmol",), solvent="ethanol"),
        Case("near miss: two equivalents are washed out", "CCSCCO", ("NaOH; 20 mmol",), solvent="ethanol"),
    ),
)
def end_the_base_dry(engine: Any, c: str, mmol: float, product: float, s: str, b: float) -> None:
    """Neutralise a hydroxide with a solid and filter."""
    own = engine.job.mixture.product.principal
    log_p = molecule_log_k(own, OCTANOL).value
    if log_p > POLAR_LOG_P or engine.first(f.Medium, miscibility="immiscible"):
        return
    text = (
        f"{engine.job.name(c)} forbids stripping, and {engine.job.name('product')} (log P {log_p:.1f}) would stay in water with "
        "the solvent"
    )
    _end_dry(engine, c, text)
