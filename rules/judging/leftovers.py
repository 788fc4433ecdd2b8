"""What a plan leaves with the product that a better choice would take out."""

from typing import Any

from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules.engine import MATCH, TEST, L, rule
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.judging.cases import PlanCase
from washlore.rules.words import listed, share

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_ETHER = "COCCc1ccc(Cl)cc1"
_END = " | wash brine | dry na2so4 | filter off desiccant | concentrate"
# A wash that ends this far from its own pH has been used up.
SPENT = 2.5
# What may stay whole is not moved by more of the same.
UNMOVED = 0.97
# Equivalents in a wash from which its failure is not one of quantity.
ENOUGH = 1.5


def _stays(
    engine: Any,
    c: str,
    step: int,
    remedy: str,
    band: tuple[float, float, float],
    ours: float,
    common: str,
    own: str = "",
    more: tuple[tuple[Any, ...], ...] = (),
) -> None:
    """Conclude that a component stays; what stays for one reason and has one remedy is told together."""
    if step and engine.job.assumes_volume(step):
        common += ", if each portion is a third of the layer, as no volume is given"
    engine.conclude(
        j.Stays(
            step=step,
            component=c,
            root=f"left {c}",
            remedy=remedy,
            own=own,
            common=common,
            numbers=(("left", *band), ("left_by_our_plan", round(ours, 5)), *more),
        ),
        f"{own}, and {common}" if own else common,
    )


def _instead(engine: Any, c: str, remedy: str) -> str:
    better = engine.job.ours_of(c)
    return f"{remedy}: {better}" if better else remedy


def _side_is_missing(engine: Any, c: str, kind: str, top: float, bottom: float) -> tuple[str, str]:
    """Return what of a component and of the plan explains that it stays, where the plan has no wash of its side."""
    job = engine.job
    own = job.kind("product")
    for side, one, wanted in ((("base", "weak base"), "a base", "acid"), (("acid", "weak acid"), "an acid", "base")):
        ours = next((s.solution for s in job.plan.steps if c in s.for_components and s.solution), "")
        between = bool(ours) and table(Solution)[ours].acts_as not in (wanted, "buffer")
        if kind in side and own in side and between:
            both = f"{job.name(c)} is {one} ({job.pka(c)}) and {job.name('product')} is one too ({job.pka('product')})"
            return both, "no wash in the plan holds the water between the two"
    if kind in ("base", "weak base") and bottom > 6:
        return f"{job.name(c)} is a base ({job.pka(c)})", "no wash in the plan is acidic"
    if kind in ("acid", "weak acid") and top < 7.5:
        return f"{job.name(c)} is an acid ({job.pka(c)})", "no wash in the plan is basic"
    return "", ""


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    j.Sides(highest=MATCH.top, lowest=MATCH.bottom),
    TEST(lambda kind, top, bottom: kind in ("acid", "weak acid") and bottom < 6 and top < 7.5),
    stage="warn",
    salience=priority.WRONG_SIDE,
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
    job = engine.job
    own = f"{job.name(c)} is an acid ({job.pka(c)})"
    common = "the only wash that is not neutral is acidic"
    _stays(engine, c, job.step_of_lowest(), _instead(engine, c, "use a base"), (low, mid, high), ours, common, own)


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    j.Sides(highest=MATCH.top, lowest=MATCH.bottom),
    TEST(lambda kind, top, bottom: kind in ("base", "weak base") and top > 7.5 and bottom > 6),
    stage="warn",
    salience=priority.WRONG_SIDE,
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
    job = engine.job
    own = f"{job.name(c)} is a base ({job.pka(c)})"
    common = "the only wash that is not neutral is basic"
    _stays(engine, c, job.step_of_highest(), _instead(engine, c, "use an acid"), (low, mid, high), ours, common, own)


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Character(component=MATCH.c, kind="weak acid", pka=MATCH.pka),
    j.Sides(highest=MATCH.top),
    TEST(lambda top, pka: 7.5 < top < pka),
    stage="warn",
    salience=priority.TOO_WEAK,
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
    job = engine.job
    remedy = _instead(engine, c, "use a stronger base")
    common = f"the most basic wash has only pH {top:g}"
    _stays(engine, c, job.step_of_highest(), remedy, (low, mid, high), ours, common, f"{job.name(c)} has pKa {pka:.1f}")


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    j.Sides(only_neutral=True, brine_step=MATCH.n & ~L(0)),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    TEST(lambda kind: kind != "polar"),
    stage="warn",
    salience=priority.SALT_WATER,
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
    remedy = _instead(engine, c, "brine goes last; before it")
    _stays(engine, c, n, remedy, (low, mid, high), ours, "water and brine are the only washes")


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
    salience=priority.USED_UP,
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
    held = times * job.volume(n) * row.molarity_m
    if held > ENOUGH * job.plan.component(c).mmol:
        return  # it is too weak, not too little
    bottle, hold = (f"{times} × {job.volume(n):g} mL", "hold") if times > 1 else (f"{job.volume(n):g} mL", "holds")
    common = (
        f"{bottle} of {row.name} {hold} {held:.3g} mmol for {job.plan.component(c).mmol:.3g} mmol "
        f"of {job.name(c)}, so that the wash ends at pH {spent:.1f} instead of {ph:g}"
    )
    _stays(engine, c, n, _instead(engine, c, "take more, or a stronger solution"), (low, mid, high), ours, common)


@rule(
    j.Portions(
        component=MATCH.c, step=MATCH.n, solution=MATCH.s, repeats=MATCH.times, each=MATCH.each, needed=MATCH.needed
    ),
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours),
    TEST(lambda needed, times, high: needed > times and high <= UNMOVED),
    stage="warn",
    salience=priority.PORTIONS,
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
        PlanCase(
            "near miss: bicarbonate for a base that acid takes",
            _ESTER,
            ("EDU; 9 mmol", "benzoic acid"),
            plan="wash nahco3_sat 2x15" + _END,
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
    used = f"only {times} are used" if times > 1 else "only one is used"
    _stays(
        engine,
        c,
        n,
        f"use {needed} portions of the same volume",
        (low, mid, high),
        ours,
        f"each portion of {job.label(n)} leaves {share(each)} of {job.name(c)}, and {used}",
        more=(("left_by_each_portion", round(each, 4)), ("portions_needed", needed)),
    )


@rule(
    j.Remains(component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours, touched=0),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    j.Sides(highest=MATCH.top, lowest=MATCH.bottom),
    stage="warn",
    title="What no wash takes out stays with the product",
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
def nothing_touches_it(
    engine: Any, c: str, low: float, mid: float, high: float, ours: float, kind: str, top: float, bottom: float
) -> None:
    """Find an impurity that the plan does not touch."""
    own, common = _side_is_missing(engine, c, kind, top, bottom)
    common = common or "no step in the plan takes {} out"
    _stays(engine, c, 0, engine.job.ours_of(c), (low, mid, high), ours, common, own)


@rule(
    j.Remains(
        component=MATCH.c, low=MATCH.low, mid=MATCH.mid, high=MATCH.high, ours=MATCH.ours, touched=MATCH.n & ~L(0)
    ),
    j.Character(component=MATCH.c, kind=MATCH.kind),
    j.Sides(highest=MATCH.top, lowest=MATCH.bottom),
    stage="warn",
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
def part_of_it_stays(
    engine: Any, c: str, low: float, mid: float, high: float, ours: float, n: int, kind: str, top: float, bottom: float
) -> None:
    """Find an impurity that is only thinned out."""
    own, common = _side_is_missing(engine, c, kind, top, bottom)
    step = 0 if common else n
    common = common or f"{engine.job.label(n)} takes only part of {{}} out"
    _stays(engine, c, step, engine.job.ours_of(c), (low, mid, high), ours, common, own)


@rule(
    j.Misses(
        step=MATCH.n,
        component=MATCH.c,
        words=MATCH.words,
        stays=MATCH.stays,
        low=MATCH.low,
        mid=MATCH.mid,
        high=MATCH.high,
    ),
    stage="warn",
    salience=priority.ASIDE,
    title="A wash takes what its acid or base makes a salt of, or what water dissolves, whatever it is meant for",
    why="Hydrochloric acid takes no phosphine oxide and base no ketone: without a proton to give or take in water a compound goes "
    "by its partition alone, and a greasy one stays.",
    sources=("williamson", "common_practice"),
    fires=(
        PlanCase(
            "acid for triphenylphosphine oxide",
            _ETHER,
            ("triphenylphosphine oxide; 10 mmol",),
            solvent="toluene",
            plan="wash hcl_1m 3x20 to remove the phosphine oxide" + _END,
        ),
        PlanCase(
            "base for a ketone",
            _ETHER,
            ("acetophenone; 5 mmol",),
            plan="wash naoh_1m 2x20 to remove acetophenone" + _END,
        ),
    ),
    silent=(
        PlanCase(
            "acid for pyridine", _ETHER, ("pyridine; 5 mmol",), plan="wash hcl_1m 2x20 to remove the pyridine" + _END
        ),
        PlanCase(
            "near miss: said of what the wash takes, beside what it does not",
            _ETHER,
            ("acetophenone; 5 mmol", "benzoic acid; 5 mmol"),
            plan="wash nahco3_sat 2x20 to remove the benzoic acid" + _END,
        ),
    ),
)
def misses_its_purpose(
    engine: Any, n: int, c: str, words: str, stays: float, low: float, mid: float, high: float
) -> None:
    """Find a wash that does not take what it is meant for."""
    job = engine.job
    kind, name = job.kind(c), job.name(c)
    nature = f"{name} is {'an' if kind[0] in 'aeiou' else 'a'} {kind} ({job.pka(c)})" if kind != "other" else ""
    nature = nature or f"{name} has no proton to give or take there"
    taken = any(c in step.for_components for step in job.plan.steps)
    told = "" if taken else next((item.instead for item in job.plan.not_removed if item.component == c), "")
    engine.conclude(
        j.Finding(
            kind="leftover",
            step=n,
            component=c,
            root=f"left {c}",
            remedy=told or job.ours_of(c),
            numbers=(("left", low, mid, high), ("left_by_the_wash", stays)),
        ),
        f'{job.label(n)} is meant for "{words}", and leaves {share(stays)} of it: {nature}',
    )


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
            remedy=f"filter first: {row.how}",
            numbers=(),
        ),
        f"{job.name(c)} is not filtered off before {job.label(n)}",
        (row.source,),
    )


@rule(
    j.Collected(step=MATCH.n),
    stage="warn",
    title="A solid that is filtered off keeps what its liquor does not dissolve, and some of what it does",
    why="It encloses mother liquor and everything else that is neutral and greasy; a solid is judged by its melting point, not "
    "by a partition.",
    sources=("common_practice",),
    fires=(
        PlanCase("into water and filtered", _ESTER, ("pyridine",), solvent="DMF", plan="quench water 100 | filter"),
        PlanCase("diluted and filtered", _ESTER, ("benzoic acid",), solvent="DMF", plan="dilute water 100 | filter"),
    ),
    silent=(
        PlanCase(
            "near miss: a solid is filtered off and the water extracted",
            _ESTER,
            ("pyridine",),
            solvent="DMF",
            plan="quench water 100 | filter | extract ethyl_acetate 3x30 | wash hcl_1m 2x20" + _END,
        ),
        PlanCase("an organic layer", _ESTER, ("pyridine",), plan="filter | wash hcl_1m 2x15" + _END),
    ),
)
def solid_from_water(engine: Any, n: int) -> None:
    """Say what is not known of a product that is collected as a solid."""
    job = engine.job
    others = [job.name(c) for c in job.ids if c != "product"]
    better = next((s for s in job.plan.steps if s.action == "extract"), None)
    watery = job.bench.met_water
    rinse = "cold water" if watery else "a little of the cold solvent"
    instead = (
        f"; if it is not clean, extract into {table(Solvent)[better.solvent].name} instead" if better and watery else ""
    )
    engine.conclude(
        j.Finding(
            kind="technique",
            step=n,
            component="product",
            root="solid product",
            remedy=f"wash it on the filter with {rinse}, dry it, and take a melting point{instead}",
            numbers=(),
        ),
        f"{job.name('product')} is collected as a solid: how much of {listed(others)} it keeps is not computed",
    )
