"""What a plan leaves with the product that a better choice would take out."""

from typing import Any

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules.engine import MATCH, TEST, L, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging.cases import PlanCase
from washlore.rules.words import share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ETHER = "COCCc1ccc(Cl)cc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
# A wash that ends this far from its own pH has been used up.
SPENT = 2.5
# Equivalents in a wash from which its failure is not one of quantity.
ENOUGH = 1.5


def _says(engine: Any, c: str, low: float, mid: float, high: float) -> str:
    return f"{share(mid)} of {engine.job.name(c)} stays with the product (90 % band {share(low)} to {share(high)})"


def _finding(
    engine: Any, c: str, step: int, remedy: str, low: float, mid: float, high: float, ours: float, text: str
) -> None:
    job = engine.job
    better = job.ours_of(c)
    engine.conclude(
        j.Finding(
            kind="leftover",
            step=step,
            component=c,
            root=f"left {c}",
            remedy=f"{remedy}: {better}" if better and remedy else better or remedy,
            numbers=(("left", low, mid, high), ("left_by_our_plan", round(ours, 5))),
        ),
        text,
    )


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    j.Sides(highest=MATCH.top, lowest=MATCH.bottom),
    TEST(lambda kind, top, bottom: kind in ("acid", "weak acid") and bottom < 6 and top < 7.5),
    stage="warn",
    salience=10,
    title="Acid does not take an acid out",
    why="In acidic water an acid keeps its proton and stays neutral, at home in the organic layer. Base makes it a salt.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase("hydrochloric acid for benzoic acid", _ESTER, ("benzoic acid",), plan="wash hcl_1m 2x15" + _END),
        PlanCase("citric acid for phenol", _ETHER, ("phenol",), plan="wash citric_10 2x15" + _END),
    ),
    silent=(
        PlanCase("bicarbonate for benzoic acid", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
        PlanCase(
            "near miss: acid first, base after",
            _ESTER,
            ("benzoic acid", "pyridine"),
            plan="wash hcl_1m 2x15 | wash nahco3_sat 2x15" + _END,
        ),
    ),
)
def acid_for_an_acid(
    engine: Any, c: str, low: float, mid: float, high: float, ours: float, kind: str, top: float, bottom: float
) -> None:
    """Find an acid wash meant for an acid."""
    if engine.job.others_of("base", "weak base", "amphoteric"):
        return  # it has another purpose; that nothing touches the acid is said by another rule
    text = f"the only wash that is not neutral is acidic, and {engine.job.name(c)} is an acid ({engine.job.pka(c)}): "
    step = engine.job.step_of_lowest()
    _finding(engine, c, step, "use a base", low, mid, high, ours, text + _says(engine, c, low, mid, high))


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    j.Sides(highest=MATCH.top, lowest=MATCH.bottom),
    TEST(lambda kind, top, bottom: kind in ("base", "weak base") and top > 7.5 and bottom > 6),
    stage="warn",
    salience=10,
    title="Base does not take a base out",
    why="In basic water an amine is neutral and at home in the organic layer. Acid makes it a salt.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase("bicarbonate for triethylamine", _ESTER, ("triethylamine",), plan="wash nahco3_sat 2x15" + _END),
        PlanCase("hydroxide for aniline", _ETHER, ("aniline",), plan="wash naoh_1m 2x15" + _END),
    ),
    silent=(
        PlanCase("acid for pyridine", _ESTER, ("pyridine",), plan="wash hcl_1m 2x15" + _END),
        PlanCase(
            "near miss: base for an acid, acid for the base",
            _ESTER,
            ("benzoic acid", "pyridine"),
            plan="wash hcl_1m 2x15 | wash nahco3_sat 2x15" + _END,
        ),
    ),
)
def base_for_a_base(
    engine: Any, c: str, low: float, mid: float, high: float, ours: float, kind: str, top: float, bottom: float
) -> None:
    """Find a base wash meant for a base."""
    if engine.job.others_of("acid", "weak acid", "amphoteric"):
        return  # it has another purpose; that nothing touches the base is said by another rule
    text = f"the only wash that is not neutral is basic, and {engine.job.name(c)} is a base ({engine.job.pka(c)}): "
    step = engine.job.step_of_highest()
    _finding(engine, c, step, "use an acid", low, mid, high, ours, text + _says(engine, c, low, mid, high))


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Character(component=MATCH.c, kind="weak acid", pka=MATCH.pka),
    j.Sides(highest=MATCH.top),
    TEST(lambda top, pka: 7.5 < top < pka),
    stage="warn",
    salience=12,
    title="Bicarbonate is too weak a base for a phenol",
    why="It holds the water near pH 8, where a phenol of pKa 10 keeps its proton; carbonate takes part, hydroxide takes it.",
    sources=("williamson", "vogel"),
    fires=(
        PlanCase("bicarbonate for phenol", _ETHER, ("phenol",), plan="wash nahco3_sat 2x15" + _END),
        PlanCase("bicarbonate for cresol", _ETHER, ("Cc1ccc(O)cc1",), plan="wash nahco3_5 3x15" + _END),
    ),
    silent=(
        PlanCase("hydroxide for phenol", _ETHER, ("phenol",), plan="wash naoh_1m 2x15" + _END),
        PlanCase(
            "near miss: a nitrophenol, strong enough for bicarbonate",
            _ETHER,
            ("O=[N+]([O-])c1ccc(O)c([N+](=O)[O-])c1",),
            plan="wash nahco3_sat 3x15" + _END,
        ),
    ),
)
def too_weak_a_base(
    engine: Any, c: str, low: float, mid: float, high: float, ours: float, pka: float, top: float
) -> None:
    """Find bicarbonate meant for a phenol."""
    text = f"the most basic wash has pH {top:g}, and {engine.job.name(c)} has pKa {pka:.1f}: "
    step = engine.job.step_of_highest()
    _finding(engine, c, step, "use a stronger base", low, mid, high, ours, text + _says(engine, c, low, mid, high))


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Sides(only_neutral=True, brine_step=MATCH.n & ~L(0)),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    TEST(lambda kind: kind != "polar"),
    stage="warn",
    salience=11,
    title="Brine takes water out of the organic layer and no organic impurity",
    why="Salt in the water drives organic compounds the other way, back into the organic layer.",
    sources=("zubrick", "williamson"),
    fires=(
        PlanCase(
            "brine for benzoic acid",
            _ESTER,
            ("benzoic acid",),
            plan="wash brine 2x15 | dry na2so4 | filter off desiccant | concentrate",
        ),
        PlanCase(
            "brine for triethylamine",
            _ESTER,
            ("triethylamine",),
            plan="wash brine 2x15 | dry na2so4 | filter off desiccant | concentrate",
        ),
    ),
    silent=(
        PlanCase("bicarbonate, then brine", _ESTER, ("benzoic acid",), plan="wash nahco3_sat 2x15" + _END),
        PlanCase("near miss: water for glycol", _ESTER, ("ethylene glycol",), plan="wash water 3x15" + _END),
    ),
)
def brine_removes_nothing(
    engine: Any, c: str, low: float, mid: float, high: float, ours: float, n: int, kind: str
) -> None:
    """Find brine meant to remove organics."""
    text = f"water and brine are the only washes: {_says(engine, c, low, mid, high)}"
    _finding(engine, c, n, "brine goes last; before it", low, mid, high, ours, text)


@rule(
    j.Portions(
        component=MATCH.c,
        step=MATCH.n,
        solution=MATCH.s,
        repeats=MATCH.times,
        each=MATCH.each,
        needed=MATCH.needed,
        spent_ph=MATCH.spent,
        bottle_ph=MATCH.ph,
    ),
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    TEST(lambda spent, ph: abs(spent - ph) > SPENT and abs(ph - 7) > 1),
    stage="warn",
    salience=13,
    title="A wash takes no more than its acid or base has equivalents for",
    why="Once the acid or base is used up the water takes the pH of what it has taken, and the rest stays in the organic layer.",
    sources=("williamson", "common_practice"),
    fires=(
        PlanCase(
            "5 mL of 0.1 M acid for 12 mmol of triethylamine",
            _ESTER,
            ("triethylamine; 12 mmol",),
            plan="wash hcl_01m 5" + _END,
        ),
        PlanCase("0.1 M acid for 20 mmol of pyridine", _ESTER, ("pyridine; 20 mmol",), plan="wash hcl_01m 2x10" + _END),
    ),
    silent=(
        PlanCase(
            "near miss: the same volume of 1 M acid, for little",
            _ESTER,
            ("triethylamine; 1 mmol",),
            plan="wash hcl_1m 2x15" + _END,
        ),
        PlanCase("bicarbonate enough", _ESTER, ("benzoic acid; 2 mmol",), plan="wash nahco3_sat 2x15" + _END),
    ),
)
def used_up(
    engine: Any,
    c: str,
    n: int,
    s: str,
    times: int,
    each: float,
    needed: int,
    spent: float,
    ph: float,
    low: float,
    mid: float,
    high: float,
    ours: float,
) -> None:
    """Find a wash without capacity."""
    row = table(Solution)[s]
    job = engine.job
    if times * job.volume(n) * row.molarity_m > ENOUGH * job.plan.component(c).mmol:
        return  # it is too weak, not too little
    text = (
        f"{times} × {job.volume(n):g} mL of {row.name} hold {times * job.volume(n) * row.molarity_m:.3g} mmol for "
        f"{job.plan.component(c).mmol:.3g} mmol of {job.name(c)}; the wash ends at pH {spent:.1f} instead of {ph:g}: "
        f"{_says(engine, c, low, mid, high)}"
    )
    _finding(engine, c, n, "take more, or a stronger solution", low, mid, high, ours, text)


@rule(
    j.Portions(
        component=MATCH.c, step=MATCH.n, solution=MATCH.s, repeats=MATCH.times, each=MATCH.each, needed=MATCH.needed
    ),
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    TEST(lambda needed, times: needed > times),
    stage="warn",
    salience=8,
    title="One portion leaves its share behind, and the next takes the same share of what is left",
    why="Each contact divides what is there by the same factor, so that portions multiply: if one leaves a fifth, three leave "
    "less than a hundredth.",
    sources=("vogel", "williamson"),
    fires=(
        PlanCase(
            "one water for much DMF", _ESTER, (), solvent="DMF", plan="dilute dichloromethane 60 | wash water 40" + _END
        ),
        PlanCase("one acid for diethylaniline", _ESTER, ("CCN(CC)c1ccccc1; 12 mmol",), plan="wash hcl_1m 12" + _END),
    ),
    silent=(
        PlanCase(
            "near miss: five waters for DMF",
            _ESTER,
            (),
            solvent="DMF",
            plan="dilute diethyl_ether 100 | wash water 5x60" + _END,
        ),
        PlanCase(
            "one bicarbonate is enough for benzoic acid",
            _ESTER,
            ("benzoic acid; 1 mmol",),
            plan="wash nahco3_sat 15" + _END,
        ),
    ),
)
def too_few_portions(
    engine: Any,
    c: str,
    n: int,
    s: str,
    times: int,
    each: float,
    needed: int,
    low: float,
    mid: float,
    high: float,
    ours: float,
) -> None:
    """Find one wash where several are needed."""
    job = engine.job
    text = (
        f"each portion of {job.label(n)} leaves {share(each)} of {job.name(c)}, and {times} "
        f"{'is' if times == 1 else 'are'} used: {_says(engine, c, low, mid, high)}"
    )
    engine.conclude(
        j.Finding(
            kind="leftover",
            step=n,
            component=c,
            root=f"left {c}",
            remedy=f"use {needed} portions of the same volume",
            numbers=(("left", low, mid, high), ("left_by_each_portion", round(each, 4)), ("portions_needed", needed)),
        ),
        text,
    )


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours, touched=0),
    stage="warn",
    title="What no step of the plan touches stays with the product",
    why="A wash takes what it turns into a salt, binds or dissolves better than the organic layer does, and nothing else.",
    sources=("common_practice",),
    fires=(
        PlanCase(
            "the base is forgotten",
            _ESTER,
            ("benzoic acid", "pyridine; 12 mmol"),
            plan="wash nahco3_sat 2x15 | wash brine | dry na2so4 | filter off desiccant | concentrate",
        ),
        PlanCase("the acid is forgotten", _ESTER, ("CCCCCCC(=O)O", "pyridine"), plan="wash hcl_1m 2x15" + _END),
    ),
    silent=(
        PlanCase(
            "both are seen to",
            _ESTER,
            ("benzoic acid", "pyridine"),
            plan="wash hcl_1m 2x15 | wash nahco3_sat 2x15" + _END,
        ),
        PlanCase(
            "near miss: acetophenone, which nothing takes out of an ester",
            _ESTER,
            ("acetophenone", "pyridine"),
            plan="wash hcl_1m 2x15" + _END,
        ),
    ),
)
def nothing_touches_it(engine: Any, c: str, low: float, mid: float, high: float, ours: float) -> None:
    """Find an impurity that the plan does not touch."""
    text = f"no step takes a tenth of {engine.job.name(c)} out: {_says(engine, c, low, mid, high)}"
    _finding(engine, c, 0, "", low, mid, high, ours, text)


@rule(
    j.Remains(
        component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours, touched=MATCH.n & ~L(0)
    ),
    stage="warn",
    salience=-5,
    title="A wash that takes only part of an impurity leaves the rest with the product",
    why="The further the pH of the spent wash lies beyond the pKa of the impurity, and the more water is used, the more goes.",
    sources=("common_practice",),
    fires=(
        PlanCase(
            "ammonium chloride for a dialkylaniline",
            _ESTER,
            ("CCN(CC)c1ccccc1; 12 mmol",),
            plan="wash citric_10 15" + _END,
        ),
        PlanCase("ammonium chloride for DMAP", _ESTER, ("DMAP; 2 mmol",), plan="wash nh4cl_sat 15" + _END),
    ),
    silent=(
        PlanCase("acid for pyridine", _ESTER, ("pyridine; 12 mmol",), plan="wash hcl_1m 2x15" + _END),
        PlanCase(
            "near miss: potassium hydrogen sulfate for pyridine",
            _ESTER,
            ("pyridine; 12 mmol",),
            plan="wash khso4_1m 2x15" + _END,
        ),
    ),
)
def part_of_it_stays(engine: Any, c: str, low: float, mid: float, high: float, ours: float, n: int) -> None:
    """Find an impurity that is only thinned out."""
    text = f"{engine.job.label(n)} takes the most of it, yet {_says(engine, c, low, mid, high)}"
    _finding(engine, c, n, "", low, mid, high, ours, text)


@rule(
    j.Solid(component=MATCH.c, residue=MATCH.r, step=MATCH.n),
    stage="warn",
    title="A solid that water does not dissolve is filtered off before the funnel",
    why="Fine solids gather at the interface, hold emulsions together and hide the boundary between the layers.",
    sources=("common_practice",),
    fires=(
        PlanCase("palladium on carbon", _ESTER, ("Pd/C", "pyridine"), plan="wash hcl_1m 2x15" + _END),
        PlanCase("manganese dioxide", _ESTER, ("MnO2", "pyridine"), plan="wash hcl_1m 2x15" + _END),
    ),
    silent=(
        PlanCase("near miss: filtered first", _ESTER, ("Pd/C", "pyridine"), plan="filter | wash hcl_1m 2x15" + _END),
        PlanCase("a solid that water dissolves", _ESTER, ("potassium carbonate",), plan="wash water 2x15" + _END),
    ),
)
def solid_in_the_funnel(engine: Any, c: str, r: str, n: int) -> None:
    """Find a solid that is not filtered off."""
    job = engine.job
    row = table(Residue)[r]
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component=c,
            root=f"solid {c}",
            remedy=f"filter first: {row.how}" if row.how else "filter it off first",
            numbers=(),
        ),
        f"{job.name(c)} is not filtered off before {job.label(n)}",
        (row.source,),
    )
