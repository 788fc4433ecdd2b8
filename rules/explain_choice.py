"""Why a solution is not in a plan, and why this drying agent or solvent and no other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from washlore.knowledge.rows import Desiccant, Gas, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.explain import Answer, step_words
from washlore.rules.families import solvents as solvent_rules
from washlore.rules.families.protection import MOST_LOST, POISON
from washlore.rules.families.quench import frees_poison
from washlore.rules.mixture import Component
from washlore.rules.perceive import Job
from washlore.rules.plan import Plan
from washlore.rules.reasons import Grower, Reasoned, ids_of
from washlore.rules.trial import OFFERED, OFFERED_FOR_POLAR, OFFERED_FOR_VOLATILE
from washlore.rules.words import listed, share


def against_solution(plan: Plan, row: Solution) -> Answer:
    """Say why a solution is not in a plan."""
    grower = Grower(plan)
    product = plan.mixture.product.name
    said: list[str] = []
    ids: list[int] = []
    harms = plan.facts_of(f.Harms, solution=row.id)
    for how in dict.fromkeys(str(fact["how"]) for _, fact in harms):
        if how == "carries away" and _computed_to_stay(plan, row.id):
            said.append(
                f"it would turn part of {product} into its salt, and how much of that goes along hangs on rough numbers"
            )
            continue
        verb = {"destroys": "would break", "carries away": "would carry away", "reacts": "would react with"}[how]
        said.append(f"it {verb} {product}")
    ids += [i for i, _ in harms]
    if not harms:
        more, further = _what_it_would_do(plan, row)
        said += more
        ids += [*further, *ids_of(plan, f.Bottle, solution=row.id)]
    strains = plan.facts_of(f.Strains, solution=row.id)
    poison = [i for i, fact in strains if fact["group"] == POISON]
    if poison:
        # What can kill comes before anything else.
        residues = [str(fact["residue"]) for _, fact in plan.facts_of(f.Leftover)]
        gases = listed(
            sorted({table(Gas)[table(Residue)[r].acid_frees].name for r in residues if frees_poison(r, row.ph)})
        )
        said.insert(0, f"it would set {gases} free from what is in the flask")
        ids[:0] = poison
    others = [i for i, fact in strains if fact["group"] != POISON]
    if others and not harms:
        said.append(f"it is at the edge of what {product} stands")
        ids += others
    reasons = grower.trees(ids)
    if not said:
        said = [f"it is not among the washes for every purpose, and nothing in the flask asks for it (it {_use(row)})"]
        reasons = (*reasons, Reasoned(f"{row.name}: {row.takes_out}", sources=(row.source,)))
    return Answer("solution", row.name, False, f"{row.name} is not in the plan: {'; '.join(said)}.", reasons)


def _computed_to_stay(plan: Plan, solution: str) -> bool:
    """Tell whether by the best numbers hardly any of the product goes into a solution, which is refused as a precaution."""
    uptake = plan.facts_of(f.Uptake, solution=solution, component="product")
    return bool(uptake) and uptake[0][1]["after_3"] > 1 - MOST_LOST


def _use(row: Solution) -> str:
    return f"is for this: {row.takes_out}" if row.takes_out else "has no entry of its own"


def _what_it_would_do(plan: Plan, row: Solution) -> tuple[list[str], list[int]]:
    """Say, for each component that is not the product, what a solution that does no harm would do."""
    said: list[str] = []
    ids: list[int] = []
    too_little: list[str] = []
    for component in plan.mixture.others:
        passed = plan.facts_of(f.Passed, solution=row.id, component=component.id)
        covered = plan.facts_of(f.Covered, solution=row.id, component=component.id)
        uptake = plan.facts_of(f.Uptake, solution=row.id, component=component.id)
        leaves = plan.facts_of(f.Leaves, component=component.id)
        spared = plan.facts_of(f.Spared, solution=row.id, component=component.id)
        if spared:
            said.append(f"the steps before it have taken {component.name} already")
        elif covered:
            by = covered[0][1]["by"]
            other = "the change of layer" if by == "swap" else table(Solution)[by].name
            said.append(f"it would serve for {component.name}, but {other} takes that too and is needed anyway")
        elif passed and not _is_used(plan, passed[0][1]["by"]):
            more, further = _taken_otherwise(plan, component, passed[0][1]["by"])
            said.append(more)
            ids += further
        elif passed:
            other = table(Solution)[passed[0][1]["by"]].name
            said.append(f"it would serve for {component.name}, but {other} goes before it")
        elif uptake and not uptake[0][1]["enough"]:
            fact = uptake[0][1]
            too_little.append(f"{share(fact['after_3'])} of {component.name}")
            ids += ids_of(plan, f.Behaviour, component=component.id)
        elif uptake and leaves:
            said.append(f"{component.name}, which it would take, leaves anyway ({leaves[0][1]['way']})")
            ids += [i for i, _ in leaves]
        ids += [i for i, _ in (*spared, *covered, *passed, *uptake)]
    if too_little:
        said.append(f"three portions of it would leave {listed(too_little)}")
    elif not said and plan.facts_of(f.Uptake, solution=row.id):
        said.append("there is nothing for it to take that another wash does not take")
    return said, ids


def _is_used(plan: Plan, solution: str) -> bool:
    return any(step.solution == solution for step in plan.steps)


def _taken_otherwise(plan: Plan, component: Component, chosen: str) -> tuple[str, list[int]]:
    """Say why not even the solution that was chosen for a component is in the plan."""
    spared = ids_of(plan, f.Spared, component=component.id)
    if spared:
        return f"it would serve for {component.name}, but the steps before it have taken that already", spared
    covered = plan.facts_of(f.Covered, component=component.id)
    if covered:
        by = covered[0][1]["by"]
        other = "the change of layer" if by == "swap" else table(Solution)[by].name
        said = f"it would serve for {component.name}, but {other} takes that too and is needed anyway"
        return said, [i for i, _ in covered]
    name = table(Solution)[chosen].name
    return f"it would serve for {component.name}, but not even {name}, which is milder, is worth a step for it", []


def about_desiccant(plan: Plan, desiccant: str) -> Answer:
    """Say why a drying agent is used, or what speaks against it."""
    row = table(Desiccant)[desiccant]
    used = plan.facts_of(f.Dries)
    grower = Grower(plan)
    if any(fact["desiccant"] == desiccant for _, fact in used):
        steps = [s for s in plan.steps if s.desiccant == desiccant]
        return Answer(
            "desiccant",
            row.name,
            True,
            f"{row.name} is in the plan: {step_words(steps)}.",
            grower.trees([i for i, _ in used]),
        )
    if not used:
        said = f"{row.name} is not in the plan: nothing is dried in it."
        return Answer("desiccant", row.name, False, said)
    barred = plan.facts_of(f.BarredDesiccant, desiccant=desiccant)
    chosen = table(Desiccant)[used[0][1]["desiccant"]]
    if barred:
        product = plan.mixture.product.name
        said = f"{row.name} is not used to dry: it would hold or harm {product}."
        return Answer("desiccant", row.name, False, said, grower.trees([i for i, _ in barred]))
    shunned = plan.facts_of(f.ShunnedDesiccant, desiccant=desiccant)
    if shunned:
        said = f"{row.name} would do {plan.mixture.product.name} little harm in minutes, but {chosen.name} does none."
        return Answer("desiccant", row.name, False, said, grower.trees([i for i, _ in shunned]))
    said = (
        f"{row.name} would do {plan.mixture.product.name} no harm ({row.reason}), but {chosen.name} goes before it "
        f"({chosen.reason})."
    )
    reasons = (
        *grower.trees([i for i, _ in used]),
        Reasoned(
            f"{row.name}: {row.capacity_g_per_g:g} g of water per gram in practice, {row.wait_min:g} min, {row.character}",
            sources=(row.source,),
        ),
    )
    return Answer("desiccant", row.name, False, said, reasons)


class _View:
    """What the rules on solvents ask of an engine, answered by a finished plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.job = Job(plan.mixture)

    def facts_of(self, kind: type[f.Fact], /, **slots: Any) -> Iterator[tuple[int, f.Fact]]:
        return iter(self.plan.facts_of(kind, **slots))

    def first(self, kind: type[f.Fact], /, **slots: Any) -> f.Fact | None:
        return next((fact for _, fact in self.plan.facts_of(kind, **slots)), None)


def about_solvent(plan: Plan, solvent: str) -> Answer:
    """Say what a solvent does in a plan, or why another makes the organic layer."""
    row = table(Solvent)[solvent]
    grower = Grower(plan)
    used = ids_of(plan, f.Extraction, solvent=solvent)
    medium = ids_of(plan, f.Medium, solvent=solvent)
    if used:
        return Answer("solvent", row.name, True, f"{row.name} makes the organic layer.", grower.trees(used))
    best = table(Solvent)[plan.extraction]
    if medium:
        prepared = ids_of(plan, f.Prepares, subject=solvent)
        said = f"The reaction ran in {row.name}; the organic layer is {best.name}."
        if any(fact["action"] == "evaporate" for _, fact in plan.facts_of(f.Prepares, subject=solvent)):
            said = f"The reaction ran in {row.name}, which is stripped off before the first wash."
        elif prepared:
            said = f"The reaction ran in {row.name}, which mixes with water and is washed out."
        return Answer("solvent", row.name, True, said, grower.trees([*prepared, *medium, *ids_of(plan, f.Extraction)]))
    if not row.extractant:
        said = (
            f"{row.name} cannot make the organic layer: it is miscible with water."
            if row.miscibility == "miscible"
            else f"{row.name} is not one to extract with."
        )
        return Answer(
            "solvent",
            row.name,
            False,
            said,
            (Reasoned(f"{row.name}: {row.beside_water}boils at {row.boiling_c:.0f} C", sources=(row.source,)),),
        )
    return _lost_solvent(plan, row, best, grower)


def _lost_solvent(plan: Plan, row: Solvent, best: Solvent, grower: Grower) -> Answer:
    """Compare a solvent that could make the organic layer with the one that does."""
    ids = ids_of(plan, f.Extraction)
    if plan.mixture.extraction is not None:
        said = f"{row.name} is not used: {best.name} was asked for."
        return Answer("solvent", row.name, False, said, grower.trees(ids))
    candidate = plan.facts_of(f.Candidate, solvent=row.id)
    if not candidate:
        offered = listed([table(Solvent)[s].name for s in OFFERED if s in table(Solvent)])
        further = listed([table(Solvent)[s].name for s in (*OFFERED_FOR_POLAR, *OFFERED_FOR_VOLATILE)])
        said = (
            f"{row.name} was not weighed: where nothing is asked for, the choice is among {offered} and the solvent of the "
            f"reaction, with {further} for products that prefer water or boil low. It is used when it is asked for."
        )
        return Answer("solvent", row.name, False, said, grower.trees(ids))
    view = _View(plan)
    told = []
    for item in (row, best):
        fact = plan.facts_of(f.Candidate, solvent=item.id)[0][1]
        price, words = solvent_rules._price(view, item, fact["log_d"])
        told.append((price, f"{item.name}: {'; '.join(words)}"))
    said = f"{row.name} would serve, but less speaks against {best.name} ({told[1][0]:.1f} points against {told[0][0]:.1f})."
    compared = tuple(Reasoned(text, sources=(item.source,)) for item, (_, text) in zip((row, best), told, strict=True))
    return Answer("solvent", row.name, False, said, (*compared, *grower.trees([*(i for i, _ in candidate), *ids])))
