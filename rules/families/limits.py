"""What washing cannot do, and what would do it instead."""

from typing import Any

from rdkit.Chem import MolToSmiles

from washlore.knowledge.names import boiling_c
from washlore.knowledge.rows import Gas, Residue, Solution, table
from washlore.knowledge.solute import neutral_form
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, TEST, Case, L, rule
from washlore.rules.families.choice import poisoned_solutions
from washlore.rules.families.quench import remedy_solution, remedy_words
from washlore.rules.families.swap import CHEAP, NEARLY_GONE, swap_trials
from washlore.rules.species import solvents_by_smiles
from washlore.rules.window import WORTHLESS
from washlore.rules.words import between, label, share, spread

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
DISTIL_APART_C = 40.0
# A product that boils below this evaporates from fractions of a column.
VOLATILE_BELOW_C = 150.0
# A group that stands this pH outlives strong base for a minute in the cold.
SLOW_PH = 12.0
# Another extraction must bring this share of the product back.
LEAST_BROUGHT_BACK = 0.03
# What boils above this does not leave the rotary evaporator.
STAYS_ABOVE_C = 150.0
# Of a solvent that water takes in part, further portions take more once so little of it is left.
MORE_WATER_HELPS = 0.3
LAST = "chromatograph on silica, or recrystallise if the product is a solid"
OUTSIDE = (
    "what it does in a funnel is outside what is known here, so it is counted as staying; if it is a solid, filter it off first, "
    "and look up whether water or acid attacks it"
)


def _instead(engine: Any, c: str) -> tuple[str, tuple[str, ...], tuple[int, ...]]:
    """Return what would take a component out, its sources, and the facts behind."""
    leftover = engine.first(f.Leftover, component=c)
    if leftover is not None:
        row = table(Residue)[leftover["residue"]]
        kept = engine.first(f.Kept, component=c)
        if kept is not None and table(Solution)[kept["solution"]].bound_left_pct is not None:
            rest = (
                "activated carbon, a scavenger resin or a short pad of silica"
                if row.kind == "metal salt"
                else "a column"
            )
            return (
                f"a second treatment with {table(Solution)[kept['solution']].name}, longer or stirred warm; then {rest}",
                (row.source,),
                (leftover["__factid__"],),
            )
        if row.action == "wash" and (barred := _barred_remedy(engine, row)):
            return barred
        if leftover["action"] in ("other", "wash") and row.how:
            return remedy_words(engine, row).rstrip("."), (row.source,), (leftover["__factid__"],)
    unplaced = engine.first(f.Unplaced, component=c)
    if unplaced is not None:
        return OUTSIDE, (), (unplaced["__factid__"],)
    # Of a salt that has been set free, what was set free boils.
    boils = engine.first(f.Boils, component=c) or engine.first(f.BoilsWhenFree, component=c)
    product = engine.first(f.Boils, component="product")
    if boils is not None and product is not None and abs(boils["boiling_c"] - product["boiling_c"]) > DISTIL_APART_C:
        return (
            f"distil: {boils['boiling_c']:.0f} C against {product['boiling_c']:.0f} C",
            (),
            (boils["__factid__"], product["__factid__"]),
        )
    if boils is not None and product is not None and product["boiling_c"] < VOLATILE_BELOW_C:
        return (
            f"distil through a column, if the {abs(boils['boiling_c'] - product['boiling_c']):.0f} C between them suffice "
            f"({boils['boiling_c']:.0f} C against {product['boiling_c']:.0f} C); what boils so low is lost on a silica column",
            (),
            (boils["__factid__"], product["__factid__"]),
        )
    if boils is not None and boils["boiling_c"] < 160 and product is None:
        return (
            f"strip it off under vacuum ({boils['boiling_c']:.0f} C at 1 atm), with toluene if need be",
            (),
            (boils["__factid__"],),
        )
    acid_c = _acid_boils_c(engine, c)
    if acid_c is not None and acid_c < STAYS_ABOVE_C:
        return f"as its acid it is stripped off under vacuum ({acid_c:.0f} C at 1 atm), with toluene if need be", (), ()
    solvent = solvents_by_smiles().get(engine.job.mixture.component(c).smiles)
    left = engine.first(f.Outcome, component=c)
    goes = solvent is not None and (
        solvent.miscibility == "miscible"
        or (solvent.miscibility == "partly" and left is not None and left["mid"] < MORE_WATER_HELPS)
    )
    if solvent is not None and goes and solvent.boiling_c >= STAYS_ABOVE_C:
        return (
            f"two or three more washes with water or 5 % lithium chloride, their water extracted again; the rest under high vacuum "
            f"({solvent.boiling_c:.0f} C at 1 atm), or left behind on a column",
            ("common_practice",),
            (),
        )
    last = LAST
    slow = engine.first(f.Stands, side="high")
    if slow is not None and slow["ph"] >= SLOW_PH and engine.first(f.Behaviour, component=c, kind="weak acid"):
        last = f"one quick ice-cold wash with 1 M NaOH, if the product stands it on a trial of a few milligrams; else {last}"
    swap = _small_swap(engine, c)
    if swap is not None:
        text, also = swap
        return f"{text}; or {last}", ("vogel", "common_practice"), also
    return last, ("common_practice",), ()


def _small_swap(engine: Any, c: str) -> tuple[str, tuple[int, ...]] | None:
    """Return how carrying an acid or base product through water would leave a component behind, where no plan goes that way."""
    if engine.first(f.Swap):
        return None
    for trial in swap_trials(engine):
        left = engine.first(f.SwapLeaves, component=c, solution=trial["solution"])
        if trial["recovered"] >= CHEAP and left is not None and left["left"] <= NEARLY_GONE:
            return (
                f"take the product into {label(table(Solution)[trial['solution']])}, rinse that water with fresh solvent, bring it "
                f"to pH {trial['back_ph']:g} and extract, which would leave {share(left['left'])} of it: four more steps for so "
                "little are not planned",
                (trial["__factid__"], left["__factid__"]),
            )
    return None


def _acid_boils_c(engine: Any, c: str) -> float | None:
    """Return where the acid of an organic salt boils: acetic acid of sodium acetate, which acid sets free."""
    part = engine.job.mixture.component(c).principal
    return boiling_c(MolToSmiles(neutral_form(part.mol))) if part.charge < 0 else None


def _barred_remedy(engine: Any, row: Residue) -> tuple[str, tuple[str, ...], tuple[int, ...]] | None:
    """Return what to do where the wash that a leftover asks for harms the product; ``None`` where it does not."""
    solution = table(Solution).get(remedy_solution(engine, row))
    harms = engine.first(f.Harms, solution=solution.id) if solution else None
    if solution is not None and harms is None and solution.id in poisoned_solutions(engine):
        return f"{solution.name}, but only when what acid turns into a poison gas is gone", (row.source,), ()
    if solution is None or harms is None:
        return None
    verb = {"destroys": "destroy", "carries away": "carry away"}.get(harms["how"], "react with")
    text = f"{solution.name} would take it, and {verb} the product as well; {LAST}"
    if row.acid_frees:
        text = (
            f"{solution.name} would take it, and {verb} the product as well. What is volatile is stripped off cold, in the hood, "
            f"through a trap of bleach kept above pH 10; the rest is destroyed by the procedure laid down for it, with someone who "
            f"knows how. Acid gives {table(Gas)[row.acid_frees].name}"
        )
    return text, (row.source,), (harms["__factid__"],)


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
        Case("ferrocene, neutral however its ions are drawn", _ESTER, ("ferrocene",)),
        Case("gold, of which no table says anything", _ESTER, ("[Au]",)),
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
        f"{share(left)} of {engine.job.name(c)} is left{spread(low, left, high)}; instead: {instead}",
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
        f"only {share(mid)} of {engine.job.name('product')} is expected in the crude{spread(low, mid, high)}: keep all "
        "aqueous layers, saturate them with salt and extract them again before anything is discarded",
    )


@rule(
    f.Fragile(
        component=MATCH.c,
        number=MATCH.number,
        threshold=MATCH.threshold,
        estimate=MATCH.estimate,
        sigma=MATCH.sigma,
        holds=MATCH.holds,
        claim=MATCH.claim,
    ),
    f.Outcome(component=MATCH.c, low=MATCH.low, high=MATCH.high),
    stage="warn",
    title="A conclusion that turns over within the uncertainty of a number is no firmer than that number",
    why="Where one pKa or partition coefficient decides, a measured value or one thin-layer plate of the washed layer is worth "
    "more than any further calculation.",
    sources=("common_practice",),
    fires=(
        Case("much benzoic acid beside phenol", "Oc1ccccc1", ("benzoic acid; 10 mmol",), solvent="ethyl acetate"),
        Case("a diol that both layers like", "OCC(O)c1ccccc1", ("benzoic acid",), extract="ethyl acetate"),
    ),
    silent=(
        Case("benzoic acid goes whatever the numbers", _ESTER, ("benzoic acid",)),
        Case("acetophenone stays whatever the numbers: near miss", _ESTER, ("acetophenone",)),
    ),
)
def hangs_on_a_number(
    engine: Any,
    c: str,
    number: str,
    threshold: float | None,
    estimate: float,
    sigma: float,
    holds: str,
    claim: str,
    low: float,
    high: float,
) -> None:
    """Say what is not sure and on which number it hangs."""
    from washlore.rules.fragility import Fragile

    found = Fragile(c, number, threshold, estimate, sigma, holds, claim)
    engine.conclude(f.Cautions(id="fragile", subject=c), f"{found.text} (range of what is left: {between(low, high)})")


@rule(
    f.Window(component=MATCH.c, left_1=MATCH.left_1, left_3=MATCH.left_3, solution=MATCH.s),
    f.Outcome(component=MATCH.c, mid=MATCH.mid, enough=False),
    NOT(f.Harms(solution=MATCH.s, how=~L("carries away"))),
    NOT(f.Leaves(component=MATCH.c)),
    TEST(lambda left_1, left_3, mid: min(left_1, left_1 if left_3 is None else left_3) <= min(WORTHLESS, mid / 2)),
    stage="warn",
    title="Two acids, or two bases, are told apart by a wash held at a pH between them",
    why="At a pH between two pKa values one of the two is an ion and the other is not; held there, the water takes the one and "
    "leaves the other.",
    sources=("perrin_dempsey_serjeant", "common_practice"),
    fires=(
        Case(
            "4-nitrophenol, 7.1, and an acid that spends the wash, beside phenol, 10.0",
            "Oc1ccccc1",
            ("4-nitrophenol", "benzoic acid"),
            solvent="ethyl acetate",
        ),
        Case("phenol beside a greasier phenol", "Oc1ccc(Cc2ccccc2)cc1", ("phenol",), solvent="toluene"),
        Case("DMAP, 9.6, beside an aniline, 5.3", "COc1ccc(N)cc1", ("DMAP",)),
    ),
    silent=(
        Case(
            "benzoic acid beside phenol goes with bicarbonate", "Oc1ccccc1", ("benzoic acid",), solvent="ethyl acetate"
        ),
        Case("two phenols half a unit apart: near miss", "Cc1ccc(O)cc1", ("4-chlorophenol",), solvent="ethyl acetate"),
    ),
)
def hold_the_ph(engine: Any, c: str, left_1: float, left_3: float | None, s: str, mid: float) -> None:
    """Suggest the pH at which a wash would take a component out."""
    fact = engine.first(f.Window, component=c)
    n, ph, left, lost = (
        (1, fact["ph_1"], left_1, fact["lost_1"])
        if left_3 is None or left_1 <= left_3
        else (3, fact["ph_3"], left_3, fact["lost_3"])
    )
    engine.conclude(
        f.Suggests(component=c, solution=s, ph=ph),
        f"{engine.job.name(c)}: {'one contact' if n == 1 else f'{n} contacts'} with water held at pH {ph:.1f} (begin with "
        f"{label(table(Solution)[s])}, correct with acid or base, check with a meter) would leave {share(left)} of it and cost "
        f"{share(lost)} of {engine.job.name('product')}",
    )


@rule(
    f.InWater(step=MATCH.n, share=MATCH.held, back=MATCH.back, carried=MATCH.carried),
    TEST(lambda back, carried: back >= LEAST_BROUGHT_BACK or carried),
    stage="again",
    title="Water layers that hold product are extracted again before they are set aside",
    why="One contact parts a compound by its partition and no more; fresh solvent takes the same share of what is left once "
    "more. The layer that is still in the funnel costs a minute, the same layer in the waste costs the product.",
    sources=("vogel", "zubrick"),
    fires=(
        Case("an amino alcohol in the water of a quench", "NCC(O)c1ccccc1", ("benzoyl chloride; 1 mmol",)),
        Case("a small diol beside an acid", "OCCCCCCO", ("benzoic acid",)),
    ),
    silent=(
        Case("a greasy ester", _ESTER, ("benzoic acid",)),
        Case("an alcohol that hardly goes along: near miss", "OCCCc1ccccc1", ("benzoic acid",)),
    ),
)
def extract_the_water_again(engine: Any, n: int, held: float, back: float, carried: bool) -> None:
    """Extract the water of a step again."""
    fact = engine.first(f.InWater, step=n)
    engine.conclude(
        f.ExtractsAgain(step=n),
        f"{share(held)} of {engine.job.name('product')} is in that water, and {share(back)} comes back",
        also=(fact["__factid__"],),
    )
