"""What is done without water: an acid catalyst ended with a solid base, before its solvent is stripped."""

from typing import Any

from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, L, rule

# Up to this many equivalents a solid base is the simplest end of an acid; more of it is washed out.
MOST_EQUIV = 0.3
STRONG_PKA = 1.0
# A base of this strength holds a strong acid as its salt, and is set free later.
HOLDS_ACID_PKA = 3.0
STRIPPABLE_BELOW_C = 121.0
VOLATILE_BELOW_C = 116.0

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_SOLKETAL = "CC1(C)OCC(CO)O1"
TS_OH = "TsOH; 0.5 mmol"


@rule(
    f.Ionises(component=MATCH.c, kind="acid", pka=MATCH.pka),
    f.Component(id=MATCH.c, role=~L("product"), mmol=MATCH.mmol),
    f.Component(id="product", mmol=MATCH.product),
    f.Medium(miscibility="miscible", solvent=MATCH.s, boiling_c=MATCH.b),
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
    ),
    silent=(
        Case("near miss: as much acid as product is washed out", _ESTER, ("TsOH; 10 mmol",), solvent="acetone"),
        Case("in dichloromethane a wash does it", _ESTER, (TS_OH,)),
        Case("an amine product holds the acid", "C1CCN(CC1)Cc1ccccc1", (TS_OH,), solvent="methanol"),
    ),
)
def end_the_acid_dry(engine: Any, c: str, pka: float, mmol: float, product: float, s: str, b: float) -> None:
    """Neutralise an acid catalyst with a solid and filter."""
    own = engine.first(f.Ionises, component="product", kind="base")
    if own is not None and own["pka"] > HOLDS_ACID_PKA:
        return
    boils = engine.first(f.Boils, component=c)
    if boils is not None and boils["boiling_c"] < VOLATILE_BELOW_C and not engine.first(f.Harsh, component=c):
        return  # trifluoroacetic acid goes with the solvent
    text = f"{engine.job.name(c)} would be concentrated on {engine.job.name('product')} as the solvent is stripped"
    engine.conclude(f.EndsDry(component=c), text)
    engine.conclude(f.Prepares(action="filter", subject=c), text)
    engine.conclude(f.Leaves(component=c, way="filtration"), text)
