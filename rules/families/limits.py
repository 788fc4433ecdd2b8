"""What washing cannot do, and what would do it instead."""

from typing import Any

from washlore.knowledge.rows import Residue, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, L, rule
from washlore.rules.words import share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
DISTIL_APART_C = 40.0


def _instead(engine: Any, c: str) -> tuple[str, tuple[str, ...], tuple[int, ...]]:
    """Return what would take a component out, its sources, and the facts behind."""
    leftover = engine.first(f.Leftover, component=c)
    if leftover is not None:
        row = table(Residue)[leftover["residue"]]
        if row.action == "other" and row.how:
            return row.how, (row.source,), (leftover["__factid__"],)
    boils, product = engine.first(f.Boils, component=c), engine.first(f.Boils, component="product")
    if boils is not None and product is not None and abs(boils["boiling_c"] - product["boiling_c"]) > DISTIL_APART_C:
        return (
            f"distil: {boils['boiling_c']:.0f} C against {product['boiling_c']:.0f} C",
            (),
            (boils["__factid__"], product["__factid__"]),
        )
    if boils is not None and boils["boiling_c"] < 160 and product is None:
        return (
            f"strip it off under vacuum ({boils['boiling_c']:.0f} C at 1 atm), with toluene if need be",
            (),
            (boils["__factid__"],),
        )
    return "chromatograph on silica, or recrystallise if the product is a solid", ("common_practice",), ()


@rule(
    f.Outcome(component=MATCH.c, mid=MATCH.left, low=MATCH.low, high=MATCH.high, enough=False),
    f.Component(id=MATCH.c, role=~L("product")),
    NOT(f.Leaves(component=MATCH.c)),
    stage="warn",
    title="What no wash takes out stays with the crude product",
    why="Washing sorts by charge and by affinity for water; two neutrals of like polarity need another handle.",
    sources=("common_practice",),
    fires=(
        Case("acetophenone beside an ester", _ESTER, ("acetophenone",)),
        Case("p-nitroaniline, too weak a base", _ESTER, ("Nc1ccc([N+](=O)[O-])cc1",)),
    ),
    silent=(
        Case("benzoic acid is taken", _ESTER, ("benzoic acid",)),
        Case("cyclohexanol beside an acid: near miss, the product changes layer", "OC(=O)CCc1ccccc1", ("CCCCCCCCO",)),
    ),
)
def stays_with_product(engine: Any, c: str, left: float, low: float, high: float) -> None:
    """Say what stays and what would take it out."""
    instead, sources, also = _instead(engine, c)
    engine.conclude(
        f.NotRemoved(component=c, instead=instead),
        f"{share(left)} of {engine.job.name(c)} is left ({share(low)} to {share(high)}); instead: {instead}",
        sources,
        also=also,
    )


@rule(
    f.Outcome(component="product", mid=MATCH.mid, low=MATCH.low, high=MATCH.high),
    TEST(lambda mid: mid < 0.9),
    stage="warn",
    title="A product that is at home in water is lost to every wash",
    why="Few and small washes with brine, many small extractions, and the aqueous layers extracted again before they are "
    "thrown away bring most of it back; 1-butanol or chloroform with 2-propanol reach what ethyl acetate does not.",
    sources=("vogel", "common_practice"),
    fires=(
        Case("a small diol", "OCCCCO", ("benzoic acid",)),
        Case("N-methylacetamide", "CNC(C)=O", ("benzoic acid",)),
    ),
    silent=(
        Case("a greasy ester", _ESTER, ("benzoic acid",)),
        Case("cyclohexanone: near miss, somewhat soluble", "O=C1CCCCC1", ("benzoic acid",)),
    ),
)
def polar_product_lost(engine: Any, mid: float, low: float, high: float) -> None:
    """Warn that the product is lost to water."""
    engine.conclude(
        f.Cautions(id="polar product", subject="product"),
        f"only {share(mid)} of {engine.job.name('product')} is expected in the crude ({share(low)} to {share(high)}): keep all "
        "aqueous layers, saturate them with salt and extract them again before anything is discarded",
    )
