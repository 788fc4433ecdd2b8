"""The layer kept, the layer thrown away, and solvents that make none."""

from typing import Any

from washlore.knowledge.rows import Solvent, table
from washlore.rules.engine import MATCH, TEST, L, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.words import share
from washlore.rules.words import share as _percent

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
_ACID = "OC(=O)CCc1ccccc1"
OTHER = {"organic": "aqueous", "aqueous": "organic", "top": "bottom", "bottom": "top"}


@rule(
    j.Kept(
        step=MATCH.n,
        position=MATCH.position & ~L(""),
        said=MATCH.said,
        holds=MATCH.holds,
        organic_density=MATCH.o,
        aqueous_density=MATCH.a,
    ),
    TEST(lambda holds: holds < 0.5),
    stage="warn",
    salience=priority.LAYER,
    title="The heavier layer is at the bottom, whichever it is",
    why="Chlorinated solvents sink below water and most others float on it; salt and solutes shift the densities by some "
    "hundredths. The layer is told by its density, or by a drop of water, never by habit.",
    sources=("zubrick", "williamson"),
    fires=(
        PlanCase("dichloromethane sinks", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15 top" + _END),
        PlanCase("ether floats", _ESTER, ("pyridine",), solvent="diethyl ether", plan="wash hcl_1m 2x15 bottom" + _END),
    ),
    silent=(
        PlanCase("dichloromethane kept below", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15 bottom" + _END),
        PlanCase(
            "near miss: the organic layer is kept, wherever it is",
            _ESTER,
            ("pyridine",),
            plan="wash hcl_1m 2x15 organic" + _END,
        ),
    ),
)
def heavier_layer_below(engine: Any, n: int, position: str, said: str, holds: float, o: float, a: float) -> None:
    """Find the layer kept by its place that is not the product's."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root=f"layer {n}",
            remedy=f"keep the {OTHER[position]} layer, the {OTHER[said]} one; "
            "let a drop of water fall in to see which layer takes it",
            numbers=(
                ("product_in_layer_kept", round(holds, 4)),
                ("organic_density_g_ml", o),
                ("aqueous_density_g_ml", a),
            ),
        ),
        f"the {position} layer is kept; the organic layer has {o:.2f} g/mL and the aqueous one {a:.2f} g/mL, so that is the "
        f"{said} layer, with {share(holds)} of {job.name('product')}: the rest is thrown away",
    )


@rule(
    j.Kept(step=MATCH.n, position="", said=MATCH.said, holds=MATCH.holds),
    TEST(lambda holds: holds < 0.5),
    stage="warn",
    salience=priority.LAYER,
    title="The product is in one layer, and that is the one to keep",
    why="A neutral product stays in the organic layer whatever the pH of the wash; an acid or base is in the water only as "
    "its salt.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase(
            "the acid wash is kept instead of the ester", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15 aqueous" + _END
        ),
        PlanCase(
            "bicarbonate is kept instead of the ester",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 aqueous" + _END,
        ),
    ),
    silent=(
        PlanCase("the organic layer is kept", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15 organic" + _END),
        PlanCase(
            "near miss: the water is kept, and the product is in it",
            _ACID,
            ("CCCCCCCCO",),
            plan="wash naoh_1m 3x20 aqueous | set ph pH 2 | extract ethyl_acetate 3x20" + _END,
        ),
    ),
)
def keep_the_products_layer(engine: Any, n: int, said: str, holds: float) -> None:
    """Find the phase kept that does not hold the product."""
    job = engine.job
    other = OTHER[said]
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root=f"layer {n}",
            remedy=f"keep the {other} layer",
            numbers=(("product_in_layer_kept", round(holds, 4)),),
        ),
        f"the {said} layer is kept, but it holds {share(holds)} of {job.name('product')}: the rest is in the {other} layer and "
        "is thrown away",
    )


@rule(
    j.NoLayer(step=MATCH.n, solvent=MATCH.s, layers=MATCH.layers),
    stage="warn",
    title="A solvent that mixes with water extracts nothing from it",
    why="Without a second layer there is nothing to separate. Salt may force a layer of acetonitrile, THF or 2-propanol out "
    "of water, but a wet and impure one.",
    sources=("zubrick", "common_practice"),
    fires=(
        PlanCase(
            "acetone",
            _ESTER,
            ("benzoic acid",),
            solvent="DMF",
            plan="dilute water 60 | extract acetone 3x20 | wash nahco3_sat" + _END,
        ),
        PlanCase(
            "ethanol",
            _ESTER,
            ("benzoic acid",),
            solvent="DMF",
            plan="dilute water 60 | extract ethanol 3x20 | wash nahco3_sat" + _END,
        ),
        PlanCase(
            "acetone and water, and the acetone layer kept",
            "ICCCCOCc1ccccc1",
            ("sodium iodide",),
            solvent="acetone",
            plan="dilute water 40 organic | dry mgso4 | filter off desiccant | concentrate",
        ),
    ),
    silent=(
        PlanCase(
            "ether",
            _ESTER,
            ("benzoic acid",),
            solvent="DMF",
            plan="dilute water 60 | extract diethyl_ether 3x20 | wash nahco3_sat" + _END,
        ),
        PlanCase(
            "near miss: 2-MeTHF takes up some water and still parts from it",
            _ESTER,
            ("benzoic acid",),
            solvent="DMF",
            plan="dilute water 60 | extract 2-methf 3x20 | wash nahco3_sat" + _END,
        ),
        PlanCase(
            "near miss: saturated ammonium chloride salts THF out, and the water is extracted",
            _ESTER,
            ("benzoic acid",),
            solvent="THF",
            plan="quench nh4cl_sat 40 organic | extract diethyl_ether 2x20" + _END,
        ),
    ),
)
def miscible_extractant(engine: Any, n: int, s: str, layers: bool) -> None:
    """Find an extraction with a miscible solvent."""
    job = engine.job
    row = table(Solvent)[s]
    instead = table(Solvent)[job.plan.extraction].name
    text = f"{row.name} mixes with water in all proportions: "
    if layers:
        text += f"it goes into both layers, and carries water and {job.name('product')} across"
    else:
        text += f"no second layer forms, and {job.name('product')} stays where it is"
    engine.conclude(
        j.Finding(
            kind="technique" if layers else "loss",
            step=n,
            component="product",
            root=f"no layer {n}",
            remedy=f"extract with {instead}, which water does not mix with",
            numbers=(),
        ),
        text,
        (row.source,),
    )


@rule(
    j.OneLayer(step=MATCH.n, cosolvent=MATCH.s, share=MATCH.share, most=MATCH.most),
    stage="warn",
    title="With too much of a solvent that mixes with both, water and the organic solvent are one layer",
    why="Each miscible solvent has a share, known from three-component diagrams, above which the two-phase region ends. Strip it "
    "first, or add more water and extraction solvent; saturated salt parts the layers again.",
    sources=("treybal", "common_practice"),
    fires=(
        PlanCase(
            "ethanol not stripped",
            _ESTER,
            (),
            solvent="ethanol",
            plan="dilute ethyl_acetate 20 | wash water 2x15" + _END,
        ),
        PlanCase(
            "acetonitrile not stripped",
            _ESTER,
            (),
            solvent="acetonitrile",
            plan="dilute ethyl_acetate 15 | wash water 2x15" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: with much water and solvent two layers form",
            _ESTER,
            (),
            solvent="acetonitrile",
            plan="dilute ethyl_acetate 100 | wash water 2x100" + _END,
        ),
        PlanCase("no miscible solvent", _ESTER, ("pyridine",), plan="wash water 2x15" + _END),
    ),
)
def no_two_layers(engine: Any, n: int, s: str, share: float, most: float) -> None:
    """Find a funnel in which nothing parts."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="",
            root=f"one layer {n}",
            remedy=f"strip {s} off first, or add more water and extraction solvent, or salt to saturation",
            numbers=(("share", share), ("most", most)),
        ),
        f"{_percent(share)} of what is in the funnel in {job.label(n)} is {s}; two layers form only up to about "
        f"{_percent(most)}",
    )


@rule(
    j.Carried(step=MATCH.n, share=MATCH.share, high=MATCH.high, cosolvent=MATCH.s),
    stage="warn",
    title="Water that holds product, as that of DMF and its like does, is extracted again",
    why="A miscible solvent goes into the first water and makes it a better solvent for the product, and a polar product likes "
    "water by itself; one or two extractions of that water bring it back.",
    sources=("yalkowsky", "common_practice"),
    fires=(
        PlanCase(
            "a small polar amide in DMF, water thrown away",
            "CC(=O)NCCc1ccccc1",
            (),
            solvent="DMF",
            plan="dilute ethyl_acetate 60 | wash water 3x30" + _END,
        ),
        PlanCase(
            "an alcohol in DMF",
            "OCCc1ccccc1",
            (),
            solvent="DMF",
            plan="dilute ethyl_acetate 60 | wash water 3x30" + _END,
        ),
        PlanCase(
            "a polar alcohol, washed with much water",
            "OC/C=C\\COCc1ccccc1",
            ("tert-butyldimethylsilanol; 10 mmol",),
            solvent="diethyl ether",
            plan="wash water 3x20" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: the water is extracted",
            "CC(=O)NCCc1ccccc1",
            (),
            solvent="DMF",
            plan="dilute ethyl_acetate 60 | wash water 60 | extract ethyl_acetate 30 | wash brine 30" + _END,
        ),
        PlanCase("no miscible solvent", _ESTER, ("pyridine",), plan="wash water 2x15" + _END),
    ),
)
def first_water_is_thrown_away(engine: Any, n: int, share: float, high: float, s: str) -> None:
    """Find the water of a miscible solvent that is not extracted again."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="product",
            root=f"carried {n}",
            remedy="extract that water once or twice more with the solvent of the organic layer, and pool the extracts",
            numbers=(("product_in_water", round(share, 4)), ("at_most", round(high, 4))),
        ),
        f"{f'{s} carries' if s else 'Its liking for water carries'} {_percent(share)} of {job.name('product')}, perhaps "
        f"{_percent(high)}, into the water of {job.label(n)}, and nothing extracts it again",
    )


@rule(
    j.Discards(step=MATCH.n, share=MATCH.share, high=MATCH.high),
    TEST(lambda share, high: share > 0.02 or high > 0.10),
    stage="warn",
    title="Nothing is thrown away before the product is in hand",
    why="A layer that is still there can be extracted again, whatever went wrong; one that was poured away cannot.",
    sources=("zubrick", "williamson"),
    fires=(
        PlanCase(
            "a small diol, at home in water",
            "OCCCCCO",
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | discard | wash brine | dry na2so4 | filter off desiccant | concentrate",
        ),
        PlanCase(
            "an amine after a wash with ammonium chloride",
            "NCCc1ccccc1",
            ("cyclohexanone",),
            plan="wash nh4cl_sat 15 | discard | wash brine | dry na2so4 | filter off desiccant | concentrate",
        ),
    ),
    silent=(
        PlanCase(
            "near miss: thrown away, but it holds nothing",
            _ESTER,
            ("benzoic acid",),
            plan="wash nahco3_sat 2x15 | discard" + _END,
        ),
        PlanCase("not thrown away", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
    ),
)
def keep_all_layers(engine: Any, n: int, share: float, high: float) -> None:
    """Find layers thrown away too early."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="product",
            root=f"discard {n}",
            remedy="keep every layer, labelled, until the product is weighed and identified",
            numbers=(("product_in_layers", round(share, 4)), ("at_most", round(high, 4))),
        ),
        f"the aqueous layers are thrown away while they hold {_percent(share)} of {job.name('product')}"
        + (f", perhaps {_percent(high)}" if _percent(high) != _percent(share) else ""),
    )
