"""Reasons for, and against: from a question about a plan to the facts that answer it.

``why`` answers about what is in a plan, ``why_not`` about what is not in it: which rule kept a solution, a drying agent
or a solvent out, with the numbers that the rule saw. Both return the reasons as trees, conclusion first, matched atoms
and table rows last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Gas, Residue, Solution, Solvent, source_text, table
from washlore.rules import facts as f
from washlore.rules.families import solvents as solvent_rules
from washlore.rules.families.protection import MOST_LOST, POISON
from washlore.rules.families.quench import frees_poison
from washlore.rules.mixture import Component, Mixture
from washlore.rules.perceive import Job
from washlore.rules.plan import Plan, PlanStep
from washlore.rules.reasons import Grower, Reasoned, ids_of, walk
from washlore.rules.steps import ORGANIC
from washlore.rules.subjects import Subject, components_named, find_subjects, is_step, split_question
from washlore.rules.trial import OFFERED, OFFERED_FOR_POLAR, OFFERED_FOR_VOLATILE
from washlore.rules.words import amount, listed, share, spread

NINE_IN_TEN = "nine cases in ten: "


@dataclass(frozen=True)
class Answer:
    """An answer: what it is about, what the plan says of it (``verdict``), and the reasons.

    ``kind``: step, component, solution, desiccant, solvent. ``in_plan``: whether the plan uses or holds it.
    """

    kind: str
    subject: str
    in_plan: bool
    verdict: str
    reasons: tuple[Reasoned, ...] = ()

    @property
    def tells_bands(self) -> bool:
        """Tell whether it says how sure the numbers are: a plan of best estimates alone cannot give it."""
        return self.kind in ("step", "component")

    @property
    def sources(self) -> dict[str, str]:
        """Return the citations of all sources behind the answer, by key, in order of appearance."""
        found: dict[str, str] = {}
        for reason in walk(self.reasons):
            for key in reason.sources:
                found.setdefault(key, source_text(key))
        return found


def why(plan: Plan, question: str) -> list[Answer]:
    """Return the answers to a question about a plan, one for each thing that the question may mean.

    ``question``: a step number, a component, a solution, a drying agent or a solvent; ``not`` in front asks why it is
    not used. What is asked without ``not`` and is not in the plan is answered as if ``not`` stood there.
    Raises ``SubjectProblem`` for what is none of these.
    """
    text, negated = split_question(question)
    subjects = find_subjects(text, plan)
    answered = [_answer(plan, subject) for subject in subjects]
    used = [answer for answer in answered if answer.in_plan]
    if used and not negated:
        return used
    if used:
        # What is in the flask may stand on the shelf too, as a wash or a drying agent: "not" may be about either.
        return used + [a for a in answered if not a.in_plan and a.kind in ("solution", "desiccant")]
    return answered


def rests_on_best(question: str, mixture: Mixture) -> bool:
    """Tell whether a question is likely about what a plan of best estimates answers too: a solution, not what is left."""
    text, _ = split_question(question)
    return len(mixture.wanted) == 1 and not is_step(text) and not components_named(text, mixture)


def _answer(plan: Plan, subject: Subject) -> Answer:
    if plan.branches and subject.kind != "step":
        return _in_scheme(plan, subject)
    return {
        "step": _about_step,
        "component": _about_component,
        "solution": _about_solution,
        "desiccant": _about_desiccant,
        "solvent": _about_solvent,
    }[subject.kind](plan, subject.id)


def _in_scheme(plan: Plan, subject: Subject) -> Answer:
    """Answer about a scheme: from its own facts where it shares out, from the plans of its branches beyond that."""
    if subject.kind == "component":
        return _component_in_scheme(plan, subject.id)
    name = str(table({"solution": Solution, "desiccant": Desiccant, "solvent": Solvent}[subject.kind])[subject.id].name)
    if subject.kind == "solvent":
        return _about_solvent(plan, subject.id)
    steps = [s for s in plan.steps if subject.id in (s.solution, s.desiccant)]
    if steps:
        ids = [i for s in steps for i in s.fact_ids]
        return Answer(
            subject.kind, name, True, f"{name} is in the plan: {_step_words(steps)}.", Grower(plan).trees(ids)
        )
    told, reasons = [], []
    for branch in plan.branches:
        inner = _about_solution if subject.kind == "solution" else _about_desiccant
        answer = inner(branch.plan, subject.id)
        told.append(f"for {branch.label}, {answer.verdict[0].lower() + answer.verdict[1:]}")
        reasons += list(answer.reasons)
    return Answer(subject.kind, name, False, sentence_of(told), tuple(reasons))


def sentence_of(parts: Sequence[str]) -> str:
    """Return sentences one after the other, each with a capital."""
    return " ".join(part[0].upper() + part[1:] for part in parts)


def _component_in_scheme(plan: Plan, component_id: str) -> Answer:
    component = plan.component(component_id)
    nature = listed([_NATURE.get(kind, kind) for kind in plan.behaviour[component_id]]) or "not classified"
    quantity = amount(component.mmol)
    low, middle, high = plan.left[component_id]
    crude = next((c for c in plan.crudes if component_id in c.wanted), None)
    if crude is not None:
        where = f"the {ORGANIC}" if crude.label == ORGANIC else crude.label
        said = f"{component.name} ({quantity}) is {nature}. It comes out of {where}: "
        said += f"{share(middle)} of it{spread(low, middle, high, NINE_IN_TEN)}."
    else:
        said = (
            f"{component.name} ({component.role}, {quantity}) is {nature}. Where it goes: {plan.fate[component_id]}. At most "
            f"{share(middle)} of it is in any crude{spread(low, middle, high, NINE_IN_TEN)}."
        )
    ids = [
        i
        for kind in (f.SetAside, f.Together, f.Leaves, f.Prepares, f.Behaviour)
        for i in ids_of(plan, kind, **{"subject" if kind is f.Prepares else "component": component_id})
    ]
    reasons = list(Grower(plan).trees(ids))
    for branch in plan.branches:
        own = next((local for local, name in branch.names.items() if name == component_id and local != "product"), None)
        if own is not None and crude is None:
            reasons += list(_about_component(branch.plan, own).reasons)
    return Answer("component", component.name, True, said, tuple(reasons))


def _step_words(steps: Sequence[PlanStep]) -> str:
    numbers = [str(s.number) for s in steps]
    return f"step{'s' if len(numbers) > 1 else ''} {listed(numbers)}"


def _ends_words(steps: Sequence[PlanStep]) -> str:
    """Say where the water of the one wash ends: the trials behind its reasons were made before the washes that it follows."""
    if len(steps) > 1 or steps[0].action != "wash" or steps[0].spent_ph is None:
        return ""
    return f", where the first portion ends near pH {steps[0].spent_ph:.0f}"


def _about_step(plan: Plan, number: str) -> Answer:
    step = plan.steps[int(number) - 1]
    reasons = Grower(plan).trees(step.fact_ids)
    return Answer(
        "step", f"step {step.number}", True, f"{step.instruction.rstrip('.')}. It {_as_predicate(step)}", reasons
    )


def _as_predicate(step: PlanStep) -> str:
    first = step.reason.split(" ", 1)[0]
    return step.reason if first in ("takes", "leaves") else f"is there because: {step.reason}"


_NATURE = {
    "acid": "an acid",
    "weak acid": "a weak acid",
    "base": "a base",
    "weak base": "a weak base",
    "permanent ion": "an ion at any pH",
    "salt": "a salt",
    "reactive residue": "still reactive",
    "water-miscible solvent": "a water-miscible solvent",
}


def _about_component(plan: Plan, component_id: str) -> Answer:
    component = plan.component(component_id)
    low, middle, high = plan.left[component_id]
    kinds = plan.behaviour[component_id]
    nature = listed([_NATURE.get(kind, kind) for kind in kinds]) or "not classified"
    quantity = amount(component.mmol)
    said = f"{component.name} ({quantity}) is {nature}. "
    if component_id == "product":
        said += f"Expected in the crude: {share(middle)} of it{spread(low, middle, high, NINE_IN_TEN)}. "
        said = said.rstrip()
    else:
        said = (
            f"{component.name} ({component.role}, {quantity}) is {nature}. Where it goes: {plan.fate[component_id]}. "
        )
        said += f"Expected to be left with the product: {share(middle)}{spread(low, middle, high, NINE_IN_TEN)}."
    spared = {fact["solution"] for _, fact in plan.facts_of(f.Spared, component=component_id)}
    order = (
        f.NotRemoved,
        f.Suggests,
        f.Spared,
        f.Kept,
        f.Covered,
        f.Leaves,
        f.Prepares,
        f.Stuck,
        f.Behaviour,
        f.Outcome,
    )
    ids = [
        i
        for kind in order
        for i in ids_of(plan, kind, **{"subject" if kind is f.Prepares else "component": component_id})
        if kind is not f.Kept or plan.known[i].fact["solution"] not in spared
    ]
    if component_id == "product":
        cautions = ids_of(plan, f.Cautions, subject="product")
        ids = [*ids_of(plan, f.Swap), *cautions, *ids, *ids_of(plan, f.Stands), *ids_of(plan, f.SpoiltBy)]
    else:
        ids += ids_of(plan, f.Cautions, id="fragile", subject=component_id)
    return Answer("component", component.name, True, said, Grower(plan).trees(ids))


def _about_solution(plan: Plan, solution: str) -> Answer:
    row = table(Solution)[solution]
    steps = [s for s in plan.steps if s.solution == solution]
    if steps:
        ids = [i for s in steps for i in s.fact_ids]
        said = f"{row.name} is in the plan: {_step_words(steps)}{_ends_words(steps)}."
        return Answer("solution", row.name, True, said, Grower(plan).trees(ids))
    return _against_solution(plan, row)


def _against_solution(plan: Plan, row: Solution) -> Answer:
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


def _about_desiccant(plan: Plan, desiccant: str) -> Answer:
    row = table(Desiccant)[desiccant]
    used = plan.facts_of(f.Dries)
    grower = Grower(plan)
    if any(fact["desiccant"] == desiccant for _, fact in used):
        steps = [s for s in plan.steps if s.desiccant == desiccant]
        return Answer(
            "desiccant",
            row.name,
            True,
            f"{row.name} is in the plan: {_step_words(steps)}.",
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


def _about_solvent(plan: Plan, solvent: str) -> Answer:
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
