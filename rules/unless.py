"""The smallest change that turns a decision of a plan, found by asking the engine again.

Each candidate changes one thing: an impurity is absent, there is more or less of it, a pKa or a log K is another, a
group of the product is not there, the organic layer is another solvent, more may be left. All of them are tried first, each
at its widest; those that turn the decision are then narrowed down by bisection. The number of times the engine is asked is
bounded, the less the more there is in the flask and the more things a question may mean, so that an answer takes no more
than a second or two.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from contextlib import nullcontext
from functools import partial

from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Group, Solution, Solvent, table
from washlore.knowledge.structure import StructureError
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.again import extract_again
from washlore.rules.ledger import band
from washlore.rules.mixture import Component, Mixture, is_organic
from washlore.rules.plan import Plan, decide
from washlore.rules.reckon import PlanRefused
from washlore.rules.species import log_k_numbers, sheet
from washlore.rules.subjects import Subject, SubjectProblem, find_subjects, name_of, split_question
from washlore.rules.suppose import Supposition, supposing
from washlore.rules.words import amount, share

MOST_ASKED = 26
# So many components and things meant are within that; each beyond costs its share, down to the least that finds anything.
USUAL_COMPONENTS, LEAST_ASKED = 6, 10
# Decades in which a number is looked for; a tenth of a unit is near enough.
WIDEST = 3.0
NEAR_ENOUGH = 0.1
MOST_TURNS = 4
# Of the product more than this share counts as kept.
KEPT = 0.9
# What stands in for a number of decades where a change is not one of degree.
SIZE = {"solvent": 1.2, "group": 2.0, "absent": 3.5}


@dataclass(frozen=True)
class Turn:
    """One change that turns the decision.

    ``what``: amount, absent, pka, log_k, group, solvent or target; ``threshold`` and ``now`` are in ``unit`` and ``None``
    for what is no number. ``size`` orders changes, in decades. ``sure`` says how far the threshold is from the estimate.
    """

    what: str
    subject: str
    text: str
    size: float
    threshold: float | None = None
    now: float | None = None
    unit: str = ""
    sure: str = ""


@dataclass(frozen=True)
class Unless:
    """The decision about a subject, and the changes that would turn it, smallest first."""

    subject: str
    in_plan: bool
    decision: str
    turns: tuple[Turn, ...]
    asked: int


class _Asker:
    """Asks the engine whether a decision holds on a changed mixture, and counts."""

    def __init__(self, decision: Callable[[Mixture], bool], now: bool, most: int = MOST_ASKED) -> None:
        self.decision = decision
        self.now = now
        self.most = most
        self.asked = 0

    @property
    def spent(self) -> bool:
        """Tell whether no more questions are left."""
        return self.asked >= self.most

    def turns(self, mixture: Mixture, supposed: Supposition | None = None) -> bool:
        """Tell whether the decision is another one on this mixture."""
        self.asked += 1
        with supposing(supposed) if supposed is not None else nullcontext():
            try:
                return self.decision(mixture) != self.now
            except (PlanRefused, StructureError):
                return False

    def edge(self, changed: Callable[[float], bool], far: float) -> float | None:
        """Return the number nearest to 0, on the side of ``far``, at which ``changed`` is true; ``far`` itself turns.

        ``None`` where there are not enough questions left to find it.
        """
        near = 0.0
        while abs(far - near) > NEAR_ENOUGH:
            if self.spent:
                return None
            middle = (near + far) / 2
            if changed(middle):
                far = middle
            else:
                near = middle
        return far


def unless(plan: Plan, given: Mixture, question: str) -> list[Unless]:
    """Return, for each thing that a question may mean, the changes that would turn what the plan decided about it.

    ``given`` is the mixture that the plan was made for. Raises ``SubjectProblem`` for a question that is about nothing
    known, and for a mixture with several products.
    """
    if len(given.wanted) > 1:
        raise SubjectProblem("What would turn a decision is looked for with one product; this mixture has several.")
    text, _ = split_question(question)
    subjects = find_subjects(text, plan)
    size = max(1.0, len(plan.mixture.components) / USUAL_COMPONENTS) * len(subjects)
    most = max(LEAST_ASKED // len(subjects), int(MOST_ASKED / size))
    return [_about(plan, given, subject, most) for subject in subjects]


def _about(plan: Plan, given: Mixture, subject: Subject, most: int) -> Unless:
    if subject.kind == "step":
        step = plan.steps[int(subject.id) - 1]
        if step.solution:
            return _about(plan, given, Subject("solution", step.solution), most)
        if step.desiccant:
            return _about(plan, given, Subject("desiccant", step.desiccant), most)
        action = step.action
        return _search(
            plan,
            given,
            subject,
            f"step {step.number}",
            lambda m: any(s.action == action for s in decide(m).steps),
            most,
        )
    name = name_of(subject, plan)
    if subject.kind == "solution":
        return _search(
            plan, given, subject, name, lambda m: any(s.solution == subject.id for s in decide(m).steps), most
        )
    if subject.kind == "desiccant":
        return _search(
            plan, given, subject, name, lambda m: any(s.desiccant == subject.id for s in decide(m).steps), most
        )
    if subject.kind == "solvent":
        return _search(plan, given, subject, name, lambda m: decide(m).solvent.id == subject.id, most)

    def left_enough(mixture: Mixture) -> bool:
        wanted = KEPT if subject.id == "product" else mixture.target
        found = decide(mixture)
        _, book = extract_again(found.ke, found.job, found.solvent, found.steps, 1, 1)
        return band(book.left(subject.id))[1] > wanted

    return _search(plan, given, subject, name, left_enough, most)


def _search(
    plan: Plan, mixture: Mixture, subject: Subject, name: str, decision: Callable[[Mixture], bool], most: int
) -> Unless:
    now = decision(mixture)
    asker = _Asker(decision, now, most)
    found = [*_candidates(plan, subject, mixture, asker)] if _can_be_otherwise(subject) else []
    turns = [turn for narrowed in found if (turn := narrowed()) is not None]
    turns.sort(key=lambda t: t.size)
    return Unless(name, now, _decision(plan, subject, name, now), tuple(turns[:MOST_TURNS]), asker.asked)


def _can_be_otherwise(subject: Subject) -> bool:
    """Tell whether a change of the flask can matter: a solvent that makes no layer is never one to extract with."""
    return subject.kind != "solvent" or table(Solvent)[subject.id].extractant


def _decision(plan: Plan, subject: Subject, name: str, now: bool) -> str:
    if subject.kind == "component":
        if subject.id == "product":
            return f"{'nine tenths' if now else 'less than nine tenths'} of {name} {'are' if now else 'is'} kept"
        goal = share(plan.mixture.target)
        return f"{'more' if now else 'no more'} than {goal} of {name} is left"
    if not _can_be_otherwise(subject):
        return f"{name} makes no layer beside water, so no change of the flask makes it the organic layer"
    return f"{name} is {'' if now else 'not '}in the plan"


# A change that turns the decision, still to be narrowed down; that gives nothing where no questions are left.
_Found = Callable[[], Turn | None]


def _candidates(plan: Plan, subject: Subject, mixture: Mixture, asker: _Asker) -> Iterable[_Found]:
    """Yield the changes that turn the decision, the likely ones first."""
    concerned = _concerned(plan, subject, mixture)
    for component in concerned:
        if component.id != "product" and component.id != subject.id:
            yield from _amount(mixture, component, asker)
    for group in dict.fromkeys(
        fact["group"] for kind in (f.Stands, f.SpoiltBy, f.BarredDesiccant) for _, fact in plan.facts_of(kind)
    ):
        if group in table(Group) and not asker.spent and asker.turns(mixture, Supposition(without_group=group)):
            row, product = table(Group)[group], plan.mixture.product.name
            yield _known(Turn("group", product, f"{product} had no {row.name}", SIZE["group"]))
    for component in concerned:
        yield from _numbers(plan, mixture, component, asker)
    if subject.kind != "solvent" or subject.id != plan.extraction:
        for solvent in trial.offered_solvents(replace(mixture, extraction=None)):
            other = solvent.id not in (plan.extraction, subject.id) and not asker.spent
            if other and asker.turns(replace(mixture, extraction=solvent)):
                yield _known(Turn("solvent", solvent.name, f"the organic layer were {solvent.name}", SIZE["solvent"]))
    if mixture.extraction is not None and not asker.spent and asker.turns(replace(mixture, extraction=None)):
        asked = table(Solvent)[plan.extraction].name
        yield _known(Turn("solvent", asked, f"{asked} were not asked for as the organic layer", SIZE["solvent"]))
    yield from _target(mixture, asker)


def _known(turn: Turn) -> _Found:
    return lambda: turn


def _concerned(plan: Plan, subject: Subject, mixture: Mixture) -> list[Component]:
    """Return the components that the decision may hang on: the subject, those a solution would take or quench, and the product."""
    ids: list[str] = []
    if subject.kind == "component":
        ids = [subject.id]
    elif subject.kind in ("step", "desiccant"):
        # What is dried, and what comes after, is there for the water of the washes, and these for what they take out.
        own = plan.steps[int(subject.id) - 1].for_components if subject.kind == "step" else ()
        ids = ["product", *(own or (c for step in plan.steps for c in step.for_components))]
    elif subject.kind == "solution" and subject.id in table(Solution):
        for kind in (f.Leftover, f.Kept, f.Covered, f.Passed, f.Takes, f.Thins, f.Chosen):
            ids += [fact["component"] for _, fact in plan.facts_of(kind, solution=subject.id)]
    everyone = [c.id for c in mixture.components]
    picked = [c for c in dict.fromkeys((*ids, "product")) if c in everyone]
    if not ids:
        picked = everyone
    return [mixture.component(c) for c in picked]


def _with_amount(mixture: Mixture, component: Component, mmol: float) -> Mixture:
    others = tuple(replace(c, mmol=mmol) if c.id == component.id else c for c in mixture.others)
    return replace(mixture, others=others)


def _amount(mixture: Mixture, component: Component, asker: _Asker) -> Iterable[_Found]:
    """Yield the amount of a component below or above which the decision turns, or its absence."""
    if asker.spent:
        return
    name, now = component.name, component.mmol

    def there_is(decades: float) -> bool:
        return asker.turns(_with_amount(mixture, component, now * 10.0**decades))

    def narrowed(far: float) -> Turn | None:
        if (at := asker.edge(there_is, far)) is None:
            return None
        mmol = now * 10.0**at
        told = f"no more than {amount(mmol)} of {name}" if far < 0 else f"{amount(mmol)} of {name} or more"
        return Turn("amount", name, f"there were {told} (now {amount(now)})", abs(at), mmol, now, "mmol")

    without = replace(mixture, others=tuple(c for c in mixture.others if c.id != component.id))
    if asker.turns(without):
        if not asker.spent and there_is(-WIDEST):
            yield lambda: narrowed(-WIDEST)
        else:
            yield _known(Turn("absent", name, f"{name} were not in the flask", SIZE["absent"]))
    elif not asker.spent and there_is(1.0):
        yield lambda: narrowed(1.0)


def _numbers(plan: Plan, mixture: Mixture, component: Component, asker: _Asker) -> Iterable[_Found]:
    """Yield the pKa and the log K of a component at which the decision turns, each with how sure that is."""
    part = component.principal
    if not is_organic(part):
        return
    for kind in ("acid", "base"):
        site = next((x for _, x in plan.facts_of(f.Ionises, component=component.id, kind=kind)), None)
        if site is None:
            continue
        whose = component.name if kind == "acid" else f"the conjugate acid of {component.name}"
        yield from _shift(
            mixture, asker, Supposition("pka", part.smiles, kind), f"the pKa of {whose}", site["pka"], site["sigma"]
        )
    solvent = table(Solvent)[plan.extraction]
    species = [s for s in sheet(mixture, 1).species if s.component == component.id and s.molecule.smiles == part.smiles]
    if species and not species[0].permanent_charge:
        value, sigma, _, _ = log_k_numbers(species[0], ((solvent.log_k_key, 1.0),))
        words = f"the log K of {component.name} between {solvent.name} and water"
        yield from _shift(mixture, asker, Supposition("log_k", part.smiles), words, value, sigma)


def _shift(
    mixture: Mixture, asker: _Asker, base: Supposition, words: str, estimate: float, sigma: float
) -> Iterable[_Found]:
    def moved(by: float) -> bool:
        return asker.turns(mixture, replace(base, shift=by))

    def narrowed(far: float) -> Turn | None:
        if (at := asker.edge(moved, far)) is None:
            return None
        threshold = estimate + at
        text = f"{words} were {'above' if at > 0 else 'below'} {threshold:.1f} (estimated {estimate:.1f} ± {sigma:.1f})"
        return Turn(base.what, words, text, abs(at), round(threshold, 2), round(estimate, 2), "", how_sure(at, sigma))

    for far in (WIDEST, -WIDEST):
        if not asker.spent and moved(far):
            yield partial(narrowed, far)


def how_sure(distance: float, sigma: float) -> str:
    """Say how likely it is that a number lies beyond a threshold at this distance from its estimate."""
    if sigma <= 0:
        return "the number is taken as exact"
    chance = 0.5 * math.erfc(abs(distance) / sigma / math.sqrt(2))
    if chance < 0.005:
        return "by what is known of the number it does not lie there"
    return f"the chance that the number lies there is about {100 * chance:.0f} %"


def _target(mixture: Mixture, asker: _Asker) -> Iterable[_Found]:
    """Yield the share that may be left at which the decision turns."""

    def goal(decades: float) -> bool:
        return asker.turns(replace(mixture, target=min(0.9, max(1e-5, mixture.target * 10.0**decades))))

    def narrowed(far: float, word: str) -> Turn | None:
        if (at := asker.edge(goal, far)) is None:
            return None
        value = min(0.9, mixture.target * 10.0**at)
        text = f"{word} {share(value)} of each impurity might be left (now {share(mixture.target)})"
        return Turn("target", "target", text, abs(at), value, mixture.target, "fraction")

    for far, word in ((1.5, "at least"), (-1.5, "only")):
        if not asker.spent and goal(far):
            yield partial(narrowed, far, word)
