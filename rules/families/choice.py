"""Which of the solutions that would serve is used: the mildest for each leftover, the fewest for all."""

from typing import Any

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import MATCH, NOT, Case, L, rule
from washlore.rules.families.quench import frees_poison

_ESTER = "CCOC(=O)/C=C/c1ccccc1"
_BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"

STRAIN = 3.0
STRAIN_OF_LOSS = 6.0
CARRIES_PRODUCT = 0.05
UNUSUAL = 3.5
UNSURE = 2.0
EACH_CONTACT = 0.4
# A wash is done twice as a rule; what one portion of it would do counts no less.
LEAST_REPEATS = {"acid": 2, "base": 2, "buffer": 2, "neutral": 2, "salt": 1}
# Where nothing in the product minds it, the solution that stands on every bench is the one to use.
ORDINARY = {"hcl_1m": -4.2}


# Nitrogen that may be a base where the numbers see none; on such a product a buffer goes before acid.
BASIC_GROUPS = ("pyridine", "imidazole", "aniline", "primary_amine", "secondary_amine", "tertiary_amine", "amidine")
# A base is safe from acid this far above its pKa, its uncertainty included.
CLEAR_OF_PKA = 3.0
# Acid for a weak acid does no more than water, and base for a weak base: the other side takes its salt.
WRONG_SIDE = 5.0
# What the row of a leftover names goes before what merely serves as well.
ITS_OWN = 1.5


def presses_on_base(engine: Any, solution: str) -> bool:
    """Tell whether an acid comes so near the pKa of a basic product that a buffer, where one serves, is the better choice."""
    row = table(Solution)[solution]
    if row.acts_as != "acid":
        return False
    base = engine.first(f.Ionises, component="product", kind="base")
    if base is not None:
        return bool(row.ph < base["pka"] + base["sigma"] + CLEAR_OF_PKA)
    return any(engine.first(f.Contains, component="product", group=g) for g in BASIC_GROUPS)


def price(engine: Any, solution: str, contacts: int) -> float:
    """Return how unwelcome a solution is on this product; lower is better."""
    row = table(Solution)[solution]
    value = row.harshness + EACH_CONTACT * max(0, contacts - LEAST_REPEATS.get(row.acts_as, 1))
    if "customary" not in row.note and row.general:
        value += UNUSUAL
    pot = engine.first(f.Pot)
    kept = engine.first(f.Uptake, component="product", solution=solution)
    if row.acts_as in ("neutral", "salt") and kept["after_3"] < pot["neutral_3"] - CARRIES_PRODUCT:
        value += STRAIN_OF_LOSS  # an acid product whose salt plain water would carry away, or a base's
    pressed = presses_on_base(engine, solution)
    if pressed:
        value += STRAIN_OF_LOSS
    if engine.first(f.Strains, solution=solution):
        value += STRAIN
    elif not pressed and not engine.first(f.Stands, side="low"):
        value += ORDINARY.get(solution, 0.0)
    return value


def ranked(engine: Any, component: str) -> list[tuple[float, str, int, int]]:
    """Return what would serve for a component as (price, solution, contacts, fact id), best first."""
    barred = poisoned_solutions(engine)
    leftover = engine.first(f.Leftover, component=component, action="wash")
    own = leftover["solution"] if leftover else ""
    found = [
        (
            price(engine, fact["solution"], fact["contacts"])
            + (0.0 if fact["sure"] else UNSURE)
            - (ITS_OWN if fact["solution"] == own else 0.0)
            + (WRONG_SIDE if _wrong_side(engine, component, fact["solution"]) else 0.0),
            fact["solution"],
            fact["contacts"],
            known_id,
        )
        for known_id, fact in engine.facts_of(f.Takes, component=component)
        if fact["solution"] not in barred
    ]
    if not found:
        found = [
            (fact["left"] * 20 + price(engine, fact["solution"], 3), fact["solution"], 3, known_id)
            for known_id, fact in engine.facts_of(f.Thins, component=component)
            if fact["solution"] not in barred
        ]
    found.sort(key=lambda item: (round(item[0], 3), table(Solution)[item[1]].harshness, item[1]))
    best: dict[str, tuple[float, str, int, int]] = {}
    for item in found:
        best.setdefault(item[1], item)  # two rules may tell of one solution
    return list(best.values())


def _wrong_side(engine: Any, component: str, solution: str) -> bool:
    """Tell whether a solution is acid for an acid that prefers water, or base for a base."""
    kind = {"acid": "acid", "base": "base"}.get(table(Solution)[solution].acts_as)
    other = {"acid": "base", "base": "acid"}.get(kind or "")
    return (
        kind is not None
        and engine.first(f.Ionises, component=component, kind=kind) is not None
        and engine.first(f.Ionises, component=component, kind=other) is None
    )


def goes_before_acid(engine: Any, component: str, solution: str) -> bool:
    """Tell whether a solution takes out, before any acid, what acid would turn into a poison gas."""
    leftover = engine.first(f.Leftover, component=component)
    return (
        leftover is not None
        and leftover["action"] != "quench"
        and bool(table(Residue)[leftover["residue"]].acid_frees)
        and not frees_poison(leftover["residue"], table(Solution)[solution].ph)
    )


def poisoned_solutions(engine: Any) -> set[str]:
    """Return the solutions that must not meet a leftover which acid turns into a poison gas, and which no wash takes before.

    What is taken out first meets none of them: its wash goes before all others.
    """
    there = [
        table(Residue)[fact["residue"]].id
        for _, fact in engine.facts_of(f.Leftover)
        if fact["action"] != "quench"
        and engine.first(f.FirstOut, component=fact["component"])
        and not engine.first(f.Takes, component=fact["component"])
    ]
    return {
        bottle["solution"]
        for _, bottle in engine.facts_of(f.Bottle)
        if any(frees_poison(r, bottle["ph"]) or r in table(Solution)[bottle["solution"]].never_meets for r in there)
    }


@rule(
    f.Component(id=MATCH.c, role=~L("product")),
    f.Takes(component=MATCH.c),
    NOT(f.Leaves(component=MATCH.c)),
    stage="stick",
    title="Of the solutions that take a leftover to the target, the mildest is chosen",
    why="A milder solution gives away less product and less heat and gas; what stands on every bench goes before what has "
    "to be made up, and a solution that strains the product goes last.",
    sources=("common_practice",),
    fires=(
        Case("bicarbonate for an acid", _ESTER, ("benzoic acid",)),
        Case("an acid for an amine", _BOC, ("triethylamine",)),
        Case("base, not acid, for a thiol that prefers water", "CS(=O)c1ccccc1", ("2-mercaptoethanol; 1 mmol",)),
        Case("a buffer for it where the product is a weak base", "CC(=O)c1ccc(N2CCCCC2)cc1", ("triethylamine",)),
    ),
    silent=(
        Case("nothing takes a ketone", _ESTER, ("acetophenone",)),
        Case("acetone evaporates: near miss, water would take it too", _ESTER, ("acetone",)),
    ),
)
def mildest_that_serves(engine: Any, c: str) -> None:
    """Choose the mildest solution for a component."""
    _choose(engine, c)


@rule(
    f.Component(id=MATCH.c, role=~L("product")),
    f.Thins(component=MATCH.c),
    NOT(f.Leaves(component=MATCH.c)),
    stage="stick",
    title="A wash that takes most of a leftover is used where nothing takes all of it",
    why="What is left after three contacts is said, and what would take the rest.",
    sources=("common_practice",),
    fires=(
        Case("NMP in ether", "CCCCCCCCCCc1ccccc1", ("NMP",), extract="diethyl ether"),
        Case("sulfolane in ethyl acetate", "CCCCCCCCCCc1ccccc1", ("sulfolane",), extract="ethyl acetate"),
    ),
    silent=(
        Case("benzoic acid is taken whole", _ESTER, ("benzoic acid",)),
        Case("acetophenone: near miss, too little of it goes", _ESTER, ("acetophenone",)),
    ),
)
def best_of_thinning(engine: Any, c: str) -> None:
    """Choose a wash that only thins a component out."""
    _choose(engine, c)


def _choose(engine: Any, c: str) -> None:
    if engine.first(f.Chosen, component=c):
        return  # the rule wakes once for each solution that serves; the first time has ranked them all
    order = ranked(engine, c)
    if not order:
        return  # all that would serve is acid, and a poison is there that nothing takes out before
    _, best, contacts, best_id = order[0]
    row = table(Solution)[best]
    name = engine.job.name(c)
    others = [table(Solution)[s].name for _, s, _, _ in order[1:4]]
    text = f"{row.name} for {name}" + (f", before {', '.join(others)}" if others else ", the only one open to it")
    engine.conclude(
        f.Chosen(solution=best, component=c, contacts=contacts),
        text,
        (row.source,),
        also=(best_id,),
        passing_over=(f.Takes, f.Thins),
    )
    for _, other, _, other_id in order[1:]:
        engine.conclude(
            f.Passed(solution=other, component=c, by=best),
            f"{table(Solution)[other].name} would serve for {name} too, but {row.name} is "
            + ("milder or more usual" if not engine.first(f.Strains, solution=other) else "kinder to the product"),
            also=(other_id, best_id),
            passing_over=(f.Takes, f.Thins),
        )


def washed_with(engine: Any) -> list[str]:
    """Return the solutions of the plan's washes: those kept, without what other steps have been found to do as well."""
    return list(
        dict.fromkeys(
            fact["solution"]
            for _, fact in engine.facts_of(f.Kept)
            if not engine.first(f.Spared, solution=fact["solution"], component=fact["component"])
        )
    )


def kept_solutions(engine: Any) -> dict[str, str]:
    """Return, for each component with a chosen solution, the solution that the plan uses for it.

    From the harshest down: a solution is kept unless everything it was chosen for is taken by one that is kept already.
    A swap takes care of what it leaves behind; what acid turns into a poison gas leaves with one that comes before any acid.
    """
    chosen = {fact["component"]: fact["solution"] for _, fact in engine.facts_of(f.Chosen)}
    poison = {c for c, s in chosen.items() if goes_before_acid(engine, c, s)}
    swap = engine.first(f.Swap)
    if swap is not None:
        for _, fact in engine.facts_of(f.SwapLeaves, solution=swap["solution"], enough=True):
            if fact["component"] not in poison:
                chosen.pop(fact["component"], None)
    takes = {(fact["solution"], fact["component"]) for _, fact in engine.facts_of(f.Takes)}
    # A solvent that mixes with water is washed out first, in much water, whatever comes after.
    own = {fact["component"] for _, fact in engine.facts_of(f.Behaviour, kind="water-miscible solvent")}
    kept: list[str] = []
    result: dict[str, str] = {}
    for solution in sorted(set(chosen.values()), key=lambda s: (-table(Solution)[s].harshness, s)):
        for component in (c for c, s in chosen.items() if s == solution):
            by = next(
                (
                    k
                    for k in kept
                    if (k, component) in takes and (component not in poison or goes_before_acid(engine, component, k))
                ),
                None,
            )
            if component in own:
                by = None
            if by is None and solution not in kept:
                kept.append(solution)
            result[component] = by or solution
    return result


@rule(
    f.Chosen(solution=MATCH.s, component=MATCH.c),
    stage="decide",
    salience=-10,
    title="A wash is kept only if something needs it that no other kept wash takes",
    why="Every wash costs time, product and waste. What a stronger wash takes anyway needs none of its own.",
    sources=("common_practice",),
    fires=(
        Case("acid and bicarbonate for pyridine and benzoic acid", _ESTER, ("pyridine", "benzoic acid")),
        Case("potassium carbonate goes with any water", _ESTER, ("potassium carbonate", "pyridine")),
    ),
    silent=(
        Case("no wash was chosen", _ESTER, ("acetophenone",)),
        Case("only what evaporates: near miss", _ESTER, ("acetone",)),
    ),
)
def fewest_washes(engine: Any, s: str, c: str) -> None:
    """Keep a chosen solution, or let another kept one cover its component."""
    kept = kept_solutions(engine)
    name, row = engine.job.name(c), table(Solution)[s]
    if c not in kept:
        swap = engine.first(f.Swap)
        engine.conclude(
            f.Covered(solution=s, component=c, by="swap"),
            f"{name} is left behind when the product changes layer, so {row.name} is not needed for it",
            also=(swap["__factid__"],),
        )
    elif kept[c] == s:
        engine.conclude(f.Kept(solution=s, component=c), f"{row.name} is needed for {name}", (row.source,))
    else:
        by = table(Solution)[kept[c]]
        takes = engine.first(f.Takes, solution=by.id, component=c)
        engine.conclude(
            f.Covered(solution=s, component=c, by=by.id),
            f"{by.name}, which is needed anyway, takes {name} too",
            (by.source,),
            also=(takes["__factid__"],),
        )
        engine.conclude(f.Kept(solution=by.id, component=c), f"{by.name} takes {name} too", (by.source,))
