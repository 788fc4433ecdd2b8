"""Gases over the water of a funnel, and so much miscible solvent that no two layers form."""

from typing import Any

from washlore.knowledge.rows import Gas, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, Case, rule
from washlore.rules.words import share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"


@rule(
    f.OneLayer(step=MATCH.step, component=MATCH.c, share=MATCH.part, most=MATCH.most),
    stage="warn",
    title="With too much of a solvent that mixes with both, water and the organic solvent are one layer",
    why="Each miscible solvent has a share, known from three-component diagrams, above which the two-phase region ends: about "
    "a fifth of an alcohol with ethyl acetate, half of it with toluene. Near it the layers are slow and alike.",
    sources=("treybal", "common_practice"),
    fires=(
        Case("much ethanol in ethyl acetate", _ESTER, ("ethanol; 1.5 mol", "pyridine"), solvent="ethyl acetate"),
        Case("much acetone in ethyl acetate", _ESTER, ("acetone; 1.5 mol", "pyridine"), solvent="ethyl acetate"),
    ),
    silent=(
        Case("near miss: some ethanol", _ESTER, ("ethanol; 50 mmol", "pyridine"), solvent="ethyl acetate"),
        Case("a reaction in THF, which is stripped first", _ESTER, ("pyridine",), solvent="THF"),
    ),
)
def one_layer(engine: Any, step: int, c: str, part: float, most: float) -> None:
    """Warn that no two layers form."""
    engine.conclude(
        f.Cautions(id="one layer", subject=f"step {step}"),
        f"{share(part)} of what is in the funnel in step {step} is {engine.job.name(c)} or its like, and only up to about "
        f"{share(most)} do two layers form: strip it off before, or add more water and extraction solvent; salt to "
        "saturation helps",
    )


@rule(
    f.Vapour(step=MATCH.step, component=MATCH.c, gas=MATCH.g, left_ml=MATCH.gas_ml, ppm=MATCH.ppm),
    stage="warn",
    title="A gas stands over the water that frees it long before it bubbles",
    why="Over a solution the air holds the gas in proportion to what is dissolved (Henry's law). Of hydrogen cyanide a hundredth "
    "of a mole in a litre gives a thousand parts per million.",
    sources=("sander2015", "prudent"),
    fires=(
        Case(
            "ammonia from its chloride by bicarbonate", _ESTER, ("ammonium chloride; 20 mmol", "benzoic acid; 3 mmol")
        ),
        Case("hydrogen sulfide at the pH of bicarbonate", _ESTER, ("sodium sulfide; 5 mmol", "triethylamine; 10 mmol")),
    ),
    silent=(
        Case("near miss: ammonium chloride and plain water", _ESTER, ("ammonium chloride; 20 mmol",)),
        Case("carbon dioxide is spoken of by its volume", _ESTER, ("benzoic acid; 10 mmol",)),
    ),
)
def gas_over_the_funnel(engine: Any, step: int, c: str, g: str, gas_ml: float, ppm: float) -> None:
    """Warn of a gas that a leftover sets free."""
    gas = table(Gas)[g]
    parts = f"{100 * ppm / 1e6:.0f} %" if ppm >= 1e4 else f"{float(f'{ppm:.1g}'):,.0f} parts per million"
    leaves = f", and {gas_ml:.0f} mL of it leaves" if gas_ml >= 1.0 else ""
    engine.conclude(
        f.Cautions(id=f"{gas.name} vapour", subject=f"step {step}"),
        f"the air over step {step} can hold {parts} of {gas.name} from {engine.job.name(c)}{leaves} ({gas.danger}): in the hood, "
        "vent into it, away from faces",
        (gas.source,),
    )
