"""Reasons for, and against: from a question about a plan to the facts that answer it.

``why`` answers about what is in a plan, ``why_not`` about what is not in it: which rule kept a solution, a drying agent
or a solvent out, with the numbers that the rule saw. Both return the reasons as trees, conclusion first, matched atoms
and table rows last.
"""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Solution, Solvent, source_text, table
from washlore.rules import facts as f
from washlore.rules.mixture import Mixture
from washlore.rules.plan import Plan, PlanStep
from washlore.rules.reasons import Grower, Reasoned, ids_of, walk
from washlore.rules.steps import ORGANIC
from washlore.rules.subjects import Subject, components_named, find_subjects, is_step, split_question
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
    if subject.kind in ("desiccant", "solvent"):
        return _about_choice(plan, subject)
    about = {"step": _about_step, "component": _about_component, "solution": _about_solution}
    return about[subject.kind](plan, subject.id)


def _about_choice(plan: Plan, subject: Subject) -> Answer:
    from washlore.rules import explain_choice

    about = {
        "solution": _about_solution,
        "desiccant": explain_choice.about_desiccant,
        "solvent": explain_choice.about_solvent,
    }
    return about[subject.kind](plan, subject.id)


def _in_scheme(plan: Plan, subject: Subject) -> Answer:
    """Answer about a scheme: from its own facts where it shares out, from the plans of its branches beyond that."""
    if subject.kind == "component":
        return _component_in_scheme(plan, subject.id)
    name = str(table({"solution": Solution, "desiccant": Desiccant, "solvent": Solvent}[subject.kind])[subject.id].name)
    if subject.kind == "solvent":
        return _about_choice(plan, subject)
    steps = [s for s in plan.steps if subject.id in (s.solution, s.desiccant)]
    if steps:
        ids = [i for s in steps for i in s.fact_ids]
        return Answer(subject.kind, name, True, f"{name} is in the plan: {step_words(steps)}.", Grower(plan).trees(ids))
    told, reasons = [], []
    for branch in plan.branches:
        answer = _about_choice(branch.plan, subject)
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


def step_words(steps: Sequence[PlanStep]) -> str:
    """Return which steps: step 2, steps 2 and 4."""
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
        said = f"{row.name} is in the plan: {step_words(steps)}{_ends_words(steps)}."
        return Answer("solution", row.name, True, said, Grower(plan).trees(ids))
    from washlore.rules.explain_choice import against_solution

    return against_solution(plan, row)
