"""What a plan does with the product: carried away, left behind."""

from typing import Any

from washlore.knowledge.rows import Solution, table
from washlore.rules.engine import MATCH, OR, TEST, L, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.words import between, share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_AMINE = "NCCCCCCCC"
_ACID = "OC(=O)CCc1ccccc1"
_PHENOL = "Cc1ccc(O)cc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
# A loss is called one when it is this much at best, and this much on the lucky side of the numbers.
LEAST_LOSS, SURE_LOSS = 0.15, 0.10
# What the charge of the product explains is also called a loss from here, however wide the numbers.
LARGE_LOSS = 0.30
# Partition alone, without a charge, is known less well: what it takes is held against a plan from here.
LEAST_BEHIND, SURE_BEHIND, SURE_UNSAID = 0.30, 0.25, 0.50
LEAST_AWAY, SURE_AWAY, SURE_AWAY_UNSAID = 0.40, 0.25, 0.40
# This far on the other side of its pKa most of an acid or base is a salt.
IONISED_PH = 0.5


def _called(lost: float, low: float) -> bool:
    """Tell whether a loss by the product's own charge is called one: sure, or large at best."""
    return (lost >= LEAST_LOSS and low >= SURE_LOSS) or lost >= LARGE_LOSS


def _stays_behind(lost: float, low: float, said: bool) -> bool:
    return lost >= LEAST_BEHIND and low >= (SURE_BEHIND if said else SURE_UNSAID)


def _range(mid: float, low: float, high: float) -> str:
    said = between(low, high)
    return "" if said == share(mid) else f" ({said})"


def _lost_text(engine: Any, n: int, lost: float, low: float, high: float) -> str:
    job = engine.job
    return f"{job.label(n)} takes {share(lost)} of {job.name('product')} with it{_range(lost, low, high)}"


def _tell_what_stays(engine: Any, n: int, band: tuple[float, float, float], layer: str, remedy: str) -> None:
    """Conclude that a step leaves product in a layer; ``band`` is the share: low, middle, high."""
    job, (low, lost, high) = engine.job, band
    ph = job.ph_before(n)
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root=f"left behind {n}",
            remedy=remedy,
            numbers=(("product_left_behind", low, lost, high), ("ph", round(ph, 1))),
        ),
        f"{job.label(n)} leaves {share(lost)} of {job.name('product')} in the {layer} at pH {ph:.1f}"
        f"{_range(lost, low, high)}",
    )


@rule(
    j.Lost(step=MATCH.n, share=MATCH.lost, low=MATCH.low, high=MATCH.high, acts=MATCH.acts, solution=MATCH.s),
    OR(j.Character(component="product", kind="base"), j.Character(component="product", kind="weak base")),
    TEST(lambda lost, low, s: bool(s) and _called(lost, low) and _is_acid(s)),
    stage="warn",
    salience=priority.OWN_CHARGE,
    title="An acid wash carries a basic product into the water as its salt",
    why="Acid puts a proton on the product's nitrogen as it would on an impurity's, and the ammonium salt is poured away with "
    "the wash.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase("octylamine and hydrochloric acid", _AMINE, ("cyclohexanone",), plan="wash hcl_1m 2x20" + _END),
        PlanCase(
            "an aniline and hydrochloric acid", "Cc1ccc(N)cc1", ("cyclohexanone",), plan="wash hcl_1m 2x20" + _END
        ),
    ),
    silent=(
        PlanCase("an ester does not mind", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15" + _END),
        PlanCase(
            "near miss: the amine is taken up on purpose and comes back",
            _AMINE,
            ("acetophenone",),
            plan="take up hcl_1m 3x20 | set ph pH 13 | extract ethyl_acetate 3x20" + _END,
        ),
    ),
)
def acid_takes_the_product(engine: Any, n: int, lost: float, low: float, high: float, acts: str, s: str) -> None:
    """Find acid on a basic product."""
    job = engine.job
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root="product base",
            remedy="use no acid on the organic layer; or keep the acidic water, make it basic and extract the amine back",
            numbers=(("product_lost", low, lost, high),),
        ),
        f"{job.name('product')} is a base ({job.pka('product')}): {_lost_text(engine, n, lost, low, high)}",
    )


@rule(
    j.Lost(step=MATCH.n, share=MATCH.lost, low=MATCH.low, high=MATCH.high, solution=MATCH.s),
    OR(j.Character(component="product", kind="acid"), j.Character(component="product", kind="weak acid")),
    TEST(lambda lost, low, s: bool(s) and _called(lost, low) and _is_base(s)),
    stage="warn",
    salience=priority.OWN_CHARGE,
    title="A base wash carries an acidic product into the water as its salt",
    why="Bicarbonate takes a carboxylic acid, carbonate or hydroxide a phenol, whether it is an impurity or the product.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase("a carboxylic acid and bicarbonate", _ACID, ("cyclohexanone",), plan="wash nahco3_sat 2x30" + _END),
        PlanCase("cresol and hydroxide", _PHENOL, ("benzoic acid",), plan="wash naoh_1m 2x20" + _END),
    ),
    silent=(
        PlanCase(
            "near miss: bicarbonate spares a phenol", _PHENOL, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END
        ),
        PlanCase("an ester", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
    ),
)
def base_takes_the_product(engine: Any, n: int, lost: float, low: float, high: float, s: str) -> None:
    """Find base on an acidic product."""
    job = engine.job
    spares = "bicarbonate, which spares an acid as weak as this"
    milder = spares if "weak" in job.kind("product") else "no base on the organic layer"
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root="product acid",
            remedy=f"use {milder}; or keep the basic water, acidify it and extract the product back",
            numbers=(("product_lost", low, lost, high),),
        ),
        f"{job.name('product')} is an acid ({job.pka('product')}): {_lost_text(engine, n, lost, low, high)}",
    )


@rule(
    j.Lost(step=MATCH.n, share=MATCH.lost, low=MATCH.low, high=MATCH.high, solution="", acts="", said=MATCH.said),
    TEST(_stays_behind),
    stage="warn",
    title="What is not extracted stays behind",
    why="Each portion of solvent leaves the same share behind, so that three small portions leave far less than one large one; "
    "the pH must be one at which the product is neutral.",
    sources=("vogel", "williamson"),
    fires=(
        PlanCase(
            "an acid extracted from water that is still basic",
            _ACID,
            ("CCCCCCCCO",),
            plan="take up naoh_1m 3x20 | set ph pH 7 | extract ethyl_acetate 3x20" + _END,
        ),
        PlanCase(
            "one small portion of ether for a diol",
            "OCC(CC)CCCO",
            (),
            solvent="DMF",
            plan="dilute water 80 | extract diethyl_ether 20" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: an acid at pH 2",
            _ACID,
            ("CCCCCCCCO",),
            plan="take up naoh_1m 3x20 | set ph pH 2 | extract ethyl_acetate 3x20" + _END,
        ),
        PlanCase(
            "three portions for an ester",
            _ESTER,
            (),
            solvent="DMF",
            plan="dilute water 80 | extract diethyl_ether 3x20" + _END,
        ),
    ),
)
def left_behind(engine: Any, n: int, lost: float, low: float, high: float, said: bool) -> None:
    """Find an extraction that leaves product in the water."""
    job = engine.job
    ph = job.ph_before(n)
    kind = job.kind("product")
    ionised = (kind in ("acid", "weak acid") and ph > job.pka_value("product") - 1) or (
        kind in ("base", "weak base") and ph < job.pka_value("product") + 1
    )
    if ionised:
        remedy = f"bring the water to pH {job.neutral_ph():g}, where {job.name('product')} is neutral, then extract three times"
    else:
        remedy = "extract with three portions or more, after saturating the water with salt, and keep the water until the end"
    _tell_what_stays(engine, n, (low, lost, high), "water", remedy)


@rule(
    j.Lost(
        step=MATCH.n, share=MATCH.lost, low=MATCH.low, high=MATCH.high, solution="", acts=j.TAKES_UP, said=MATCH.said
    ),
    TEST(_stays_behind),
    stage="warn",
    title="A greasy acid or base is not carried into water by a solution that hardly makes a salt of it",
    why="Bicarbonate stands near pH 8 once its carbon dioxide has filled the water: of a greasy acid so much stays neutral that "
    "the organic layer keeps most. Two units of pH further, a hundred times as much is salt.",
    sources=("leo1971", "williamson"),
    fires=(
        PlanCase(
            "a greasy benzoic acid and bicarbonate",
            "OC(=O)c1ccc(C(C)(C)C)cc1",
            ("naphthalene; 3 mmol",),
            solvent="diethyl ether",
            plan="take up nahco3_sat 3x30 | set ph pH 1 | extract diethyl_ether 3x20" + _END,
        ),
        PlanCase(
            "an arylpropionic acid and bicarbonate",
            "CC(C)Cc1ccc(C(C)C(=O)O)cc1",
            ("naphthalene; 3 mmol",),
            solvent="dichloromethane",
            plan="take up nahco3_sat 2x20 | set ph pH 1 | extract diethyl_ether 3x20" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "near miss: benzoic acid itself",
            "OC(=O)c1ccccc1",
            ("naphthalene; 3 mmol",),
            solvent="diethyl ether",
            plan="take up nahco3_sat 3x30 | set ph pH 1 | extract diethyl_ether 3x20" + _END,
        ),
        PlanCase(
            "hydroxide for the greasy one",
            "OC(=O)c1ccc(C(C)(C)C)cc1",
            ("naphthalene; 3 mmol",),
            solvent="diethyl ether",
            plan="take up naoh_1m 3x20 | set ph pH 1 | extract diethyl_ether 3x20" + _END,
        ),
    ),
)
def not_taken_up(engine: Any, n: int, lost: float, low: float, high: float, said: bool) -> None:
    """Find a solution that leaves the product in the organic layer which it should have come out of."""
    job = engine.job
    acid = "acid" in job.kind("product")
    stronger = "10 % sodium carbonate or 1 M sodium hydroxide" if acid else "1 M hydrochloric acid"
    remedy = f"carry it over with {stronger}, and keep the organic layer until the end"
    _tell_what_stays(engine, n, (low, lost, high), "organic layer", remedy)


@rule(
    j.Lost(step=MATCH.n, share=MATCH.lost, low=MATCH.low, high=MATCH.high, acts=MATCH.acts, solution=~L("")),
    j.Character(component="product", kind=MATCH.kind),
    TEST(
        lambda lost, low, acts, kind: (
            lost >= (LARGE_LOSS if acts in ("acid", "base") else LEAST_LOSS)
            and low >= SURE_LOSS
            and acts in ("neutral", "salt", "base" if "base" in kind else "acid")
            and kind not in ("other", "amphoteric")
        )
    ),
    stage="warn",
    title="A product that the flask holds as its salt goes with the first water",
    why="An acid product beside a base, or an amine beside an acid, is a salt before anything is washed; it must be set free "
    "first.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase(
            "a carboxylic acid beside triethylamine",
            "OC(=O)c1ccc(Br)cc1",
            ("triethylamine; 15 mmol",),
            plan="wash water 2x30" + _END,
        ),
        PlanCase(
            "too little bicarbonate for an amine in much trifluoroacetic acid",
            "C1CCN(CC1)Cc1ccccc1",
            ("TFA; 40 mmol",),
            plan="wash nahco3_sat 8" + _END,
        ),
        PlanCase(
            "an amine beside hydrogen chloride", "C1CCN(CC1)Cc1ccccc1", ("HCl; 30 mmol",), plan="wash water 2x30" + _END
        ),
    ),
    silent=(
        PlanCase(
            "acid first",
            "OC(=O)c1ccc(Br)cc1",
            ("triethylamine; 15 mmol",),
            plan="wash hcl_1m 2x20 | wash water 15" + _END,
        ),
        PlanCase(
            "near miss: a phenol beside triethylamine, too weak an acid",
            _PHENOL,
            ("triethylamine; 5 mmol",),
            plan="wash water 2x10" + _END,
        ),
    ),
)
def salt_goes_with_water(engine: Any, n: int, lost: float, low: float, high: float, acts: str, kind: str) -> None:
    """Find an ionised product in a neutral wash."""
    job = engine.job
    beyond = job.ph_before(n) - job.pka_value("product")
    if (beyond if "acid" in kind else -beyond) < IONISED_PH:
        return  # it is not its charge that carries it
    partner = "base" if "acid" in kind else "acid"
    spent = f", and this wash only brings its water to pH {job.ph_before(n):.1f}" if acts in ("acid", "base") else ""
    engine.conclude(
        j.Finding(
            kind="loss",
            step=n,
            component="product",
            root="product salt",
            remedy=f"bring the flask to pH {job.neutral_ph():g} with water first, so that {job.name('product')} is neutral",
            numbers=(("product_lost", low, lost, high), ("ph", round(job.ph_before(n), 1))),
        ),
        f"{job.name('product')} ({job.pka('product')}) is held as its salt by the {partner} in the flask{spent}: "
        f"{_lost_text(engine, n, lost, low, high)}",
    )


@rule(
    j.Lost(
        step=MATCH.n,
        share=MATCH.lost,
        low=MATCH.low,
        high=MATCH.high,
        acts=MATCH.acts,
        solution=~L(""),
        said=MATCH.said,
    ),
    j.Character(component="product", kind=MATCH.kind),
    TEST(lambda lost, low, said: lost >= LEAST_AWAY and low >= (SURE_AWAY if said else SURE_AWAY_UNSAID)),
    stage="warn",
    title="A product that likes water leaves with every wash",
    why="Its partition decides, not its charge: many or large washes each take their share, and only extracting the washes "
    "again brings it back.",
    sources=("vogel", "common_practice"),
    fires=(
        PlanCase("butanol and much water", "1-butanol", ("potassium carbonate",), plan="wash water 3x40" + _END),
        PlanCase(
            "a hydroxy ester and much water", "COC(=O)CCCO", ("potassium carbonate",), plan="wash water 3x40" + _END
        ),
        PlanCase(
            "an amino alcohol and water, where it is no salt",
            "CC(C)C(N)CO",
            (),
            solvent="diethyl ether",
            plan="wash water 3x20" + _END,
        ),
    ),
    silent=(
        PlanCase("an ester and much water", _ESTER, ("potassium carbonate",), plan="wash water 3x40" + _END),
        PlanCase(
            "near miss: cyclohexanone, somewhat soluble",
            "O=C1CCCCC1",
            ("potassium carbonate",),
            plan="wash water 10" + _END,
        ),
    ),
)
def washed_away(engine: Any, n: int, lost: float, low: float, high: float, acts: str, kind: str, said: bool) -> None:
    """Find a polar product washed away, where our own plan would lose much less."""
    job = engine.job
    if kind not in ("other", "amphoteric"):
        toward = job.ph_before(n) - job.pka_value("product")
        if acts not in ("neutral", "salt") or (toward if "acid" in kind else -toward) >= IONISED_PH:
            return  # its charge carries it: other rules tell
    if float(job.plan.recovered[1]) < job.recovered() + 0.15:
        return
    engine.conclude(
        j.Finding(
            kind="loss" if said else "technique",
            step=n,
            component="product",
            root="polar product",
            remedy="use few and small washes, of brine rather than water, and extract the aqueous layers again before the end",
            numbers=(("product_lost", low, lost, high),),
        ),
        f"{_lost_text(engine, n, lost, low, high)}, by its liking for water alone"
        + ("" if said else ", if each portion is a third of the layer, as no volume is given"),
    )


def _is_acid(solution: str) -> bool:
    """Tell whether a solution is an acid to the product; brine is none, ammonium sulfate of pH 4.5 is one."""
    row = table(Solution)[solution]
    return row.ph < 7.0 - _leeway(row)


def _is_base(solution: str) -> bool:
    """Tell whether a solution is a base to the product; sodium sulfate of pH 7.7 is none."""
    row = table(Solution)[solution]
    return row.ph > 7.0 + _leeway(row)


def _leeway(row: Solution) -> float:
    """Return how far the pH of water and unbuffered salts may lie from 7 and mean nothing."""
    return 1.0 if row.acts_as in ("neutral", "salt") else 0.0
