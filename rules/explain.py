"""Reasons for, and against: from a question about a plan to the facts that answer it.

``why`` answers about what is in a plan, ``why_not`` about what is not in it: which rule kept a solution, a drying agent
or a solvent out, with the numbers that the rule saw. Both return the reasons as trees, conclusion first, matched atoms
and table rows last.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from washlore.knowledge.rows import Desiccant, Group, Reagent, Residue, Solution, Solvent, source_text, table
from washlore.rules import facts as f
from washlore.rules.engine import Lore, Reason, all_lore, judging_lore
from washlore.rules.families import solvents as solvent_rules
from washlore.rules.families.protection import POISON
from washlore.rules.plan import Plan, PlanStep
from washlore.rules.trial import OFFERED
from washlore.rules.words import amount, listed, share

# A question that fits more rows than this is too vague to answer.
MOST_MEANINGS = 5


class SubjectProblem(ValueError):
    """A question is about nothing that is known here; ``near`` holds what could be asked instead."""

    def __init__(self, message: str, near: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.near = tuple(near)


@dataclass(frozen=True)
class Reasoned:
    """A statement with what it rests on. ``rule`` is empty for what was given, seen or computed.

    ``repeated`` marks a statement whose reasons stand further up in the same answer. ``sources`` are keys.
    """

    text: str
    rule: str = ""
    title: str = ""
    why: str = ""
    sources: tuple[str, ...] = ()
    below: tuple[Reasoned, ...] = ()
    repeated: bool = False


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
    def sources(self) -> dict[str, str]:
        """Return the citations of all sources behind the answer, by key, in order of appearance."""
        found: dict[str, str] = {}
        for reason in walk(self.reasons):
            for key in reason.sources:
                found.setdefault(key, source_text(key))
        return found


@dataclass(frozen=True)
class Subject:
    """What a question is about: a kind and the id of a row, a component or a step."""

    kind: str
    id: str


def walk(reasons: Iterable[Reasoned]) -> Iterator[Reasoned]:
    """Yield reasons and all that is below them, depth first."""
    for reason in reasons:
        yield reason
        yield from walk(reason.below)


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


def split_question(question: str) -> tuple[str, bool]:
    """Return a question without its ``not``, and whether it had one."""
    text = " ".join(question.split())
    found = re.match(r"not\s+(?=\S)", text, re.IGNORECASE)
    return (text[found.end() :], True) if found else (text, False)


# What a question is about --------------------------------------------------------------------------------------


def find_subjects(text: str, plan: Plan | None = None) -> list[Subject]:
    """Return what a text may mean, the components of the plan first; raise ``SubjectProblem`` where nothing fits."""
    if not text:
        raise SubjectProblem("The question is empty; ask about a step number, a solution, a compound or a solvent.")
    step = re.fullmatch(r"(?:step\s*)?(-?\d+)\.?", text, re.IGNORECASE)
    if step and plan is not None:
        number = int(step[1])
        if not 1 <= number <= len(plan.steps):
            raise SubjectProblem(f"There is no step {number}; the plan has steps 1 to {len(plan.steps)}.")
        return [Subject("step", str(number))]
    found = _components(text, plan) if plan is not None else []
    found += _rows(text, _KINDS if plan is not None else _ALL_KINDS)
    if not found and plan is not None and _key(text) in ("desiccant", "dryingagent", "drying", "dry"):
        found = [Subject("desiccant", str(fact["desiccant"])) for _, fact in plan.facts_of(f.Dries)]
    if not found and plan is not None and _key(text) in ("solvent", "extractionsolvent", "extractant", "organiclayer"):
        found = [Subject("solvent", plan.extraction)]
    if not found:
        found = _partly(text, plan)
    if not found:
        near = _near(text, plan)
        ask = f" Did you mean {listed(near)}?" if len(near) == 1 else f" Near to it: {', '.join(near)}." if near else ""
        if plan is not None:
            what = "is neither in this mixture nor a step, wash solution, drying agent or solvent that is known here"
        else:
            what = "is not a wash solution, drying agent, solvent, functional group or compound that is known here"
        raise SubjectProblem(f"{text!r} {what}.{ask}", near)
    return found


def _key(text: str) -> str:
    """Return what spellings of one name have in common."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    plain = re.sub(r"\bsat\b\.?|\bsatd\b\.?", "saturated", plain)
    plain = re.sub(r"\baq\b\.?|\baqueous\b|\bwash\b|\bsolution\b", "", plain) or plain
    return re.sub(r"[\s\-_.,'()]", "", plain)


def _components(text: str, plan: Plan) -> list[Subject]:
    from washlore.knowledge import names
    from washlore.knowledge.structure import StructureError, molecules

    key = _key(text)
    exact = [
        Subject("component", c.id)
        for c in plan.mixture.components
        if key in (_key(c.name), _key(c.written)) or text in (c.smiles, c.id) or (key == "theproduct" == _key(c.id))
    ]
    if exact:
        return exact
    # Another name of the same compound; only the tables are asked, not the large database of names.
    try:
        smiles = ".".join(part.smiles for part in molecules(names.resolve(text).smiles)) if _cheap(text) else ""
    except (names.NameProblem, StructureError):
        return []
    return [Subject("component", c.id) for c in plan.mixture.components if smiles and c.smiles == smiles]


def _cheap(text: str) -> bool:
    from washlore.knowledge import names

    return names._key(text) in names._index() or any(c in text for c in "=#()[]")


def _rows(text: str, kinds: Mapping[str, Any]) -> list[Subject]:
    key = _key(text)
    found = []
    for kind, row_type in kinds.items():
        for row in table(row_type).values():
            if key in {_key(s) for s in (row.id, row.name, *getattr(row, "aliases", ()))}:
                found.append(Subject(kind, row.id))
    return found


# A plan is asked about the first three; what is known without one is asked about all.
_KINDS: dict[str, Any] = {"solution": Solution, "desiccant": Desiccant, "solvent": Solvent}
_SEARCHED_KINDS: dict[str, Any] = {**_KINDS, "group": Group, "residue": Residue}
_ALL_KINDS: dict[str, Any] = {**_SEARCHED_KINDS, "reagent": Reagent}


def _partly(text: str, plan: Plan | None) -> list[Subject]:
    """Return rows whose names hold all words of a text; of several, those of the plan, or the usual ones."""
    words = [w for w in re.split(r"[\s,]+", text.casefold()) if w]
    if not words or len("".join(words)) < 3:
        return []
    found = []
    if plan is not None:
        found += [
            Subject("component", c.id)
            for c in plan.mixture.components
            if all(w in c.name.casefold() for w in words) and c.origin != "SMILES"
        ]
    for kind, row_type in (_KINDS if plan is not None else _SEARCHED_KINDS).items():
        for row in table(row_type).values():
            spelled = " ; ".join((row.name, *getattr(row, "aliases", ()), getattr(row, "solute", ""))).casefold()
            if all(re.search(rf"(?<![a-z]){re.escape(w)}", spelled) for w in words):
                found.append(Subject(kind, row.id))
    if plan is not None and len(found) > 1:
        used = [s for s in found if _answer(plan, s).in_plan]
        if used:
            return used
    if len(found) > MOST_MEANINGS:
        usual = [s for s in found if s.kind == "solution" and "customary" in table(Solution)[s.id].note]
        found = usual or found
    if len(found) > MOST_MEANINGS:
        names_ = [name_of(s, plan) for s in found]
        raise SubjectProblem(
            f"{text!r} fits {len(found)} things: {', '.join(names_[:12])}. Ask about one of them.", names_
        )
    return found


def name_of(subject: Subject, plan: Plan | None = None) -> str:
    """Return the name of a subject."""
    if subject.kind == "step":
        return f"step {subject.id}"
    if subject.kind == "component" and plan is not None:
        return plan.component(subject.id).name
    return str(table(_ALL_KINDS[subject.kind])[subject.id].name)


def _near(text: str, plan: Plan | None) -> list[str]:
    known: dict[str, str] = {}
    if plan is not None:
        known |= {_key(c.name): c.name for c in plan.mixture.components}
    for row_type in (_KINDS if plan is not None else _ALL_KINDS).values():
        for row in table(row_type).values():
            for spelled in (row.name, *getattr(row, "aliases", ())):
                known.setdefault(_key(spelled), row.name)
    found = difflib.get_close_matches(_key(text), list(known), n=6, cutoff=0.6)
    return list(dict.fromkeys(known[key] for key in found))[:4]


# Trees ---------------------------------------------------------------------------------------------------------


@dataclass
class Grower:
    """Grows trees of reasons from fact ids; what stands in an earlier tree is not spelt out again."""

    plan: Plan
    seen: set[int] = field(default_factory=set)
    lore: dict[str, Lore] = field(default_factory=lambda: {item.id: item for item in all_lore()})

    def trees(self, fact_ids: Iterable[int]) -> tuple[Reasoned, ...]:
        """Return one tree for each reason of each fact; facts that stand further up already are left out."""
        found: list[Reasoned] = []
        for fact_id in dict.fromkeys(fact_ids):
            if fact_id not in self.seen:
                found += self._grow(fact_id)
        return tuple(found)

    def _grow(self, fact_id: int) -> list[Reasoned]:
        known = self.plan.known.get(fact_id)
        if known is None:
            return []
        again = fact_id in self.seen
        if again and type(known.fact) is f.Component:
            return []  # that a compound is in the flask needs to be said once
        self.seen.add(fact_id)
        found = []
        for reason, facts in _merged(known.reasons):
            item = self.lore.get(reason.rule)
            below: list[Reasoned] = []
            if not again:
                for inner in (*facts, *self._atoms(known.fact)):
                    if not self._beside(known.fact, inner):
                        below += self._grow(inner)
            found.append(
                Reasoned(
                    reason.text,
                    item.id if item else "",
                    item.title if item else "",
                    item.why if item else "",
                    reason.sources,
                    tuple(below),
                    again and bool(facts),
                )
            )
        return found

    def _atoms(self, fact: f.Fact) -> list[int]:
        """Return the fact that holds the atoms behind a limit of the product."""
        if type(fact) in (f.Stands, f.SpoiltBy):
            return _ids(self.plan, f.Contains, component="product", group=fact["group"])
        return []

    def _beside(self, conclusion: f.Fact, inner: int) -> bool:
        """Tell whether a fact only let a choice begin: what another solution would do does not speak for the chosen."""
        fact = self.plan.known[inner].fact
        return (
            type(conclusion) is f.Chosen
            and type(fact) in (f.Takes, f.Thins)
            and fact["solution"] != conclusion["solution"]
        )


def _merged(reasons: Sequence[Reason]) -> list[tuple[Reason, tuple[int, ...]]]:
    """Return each thing said by each rule once, with the facts that it rests on.

    A rule that fires once for each of several facts, and says the same each time, rests on what those have in common.
    """
    said: dict[tuple[str, str], list[Reason]] = {}
    for reason in reasons:
        said.setdefault((reason.rule, reason.text), []).append(reason)
    merged = []
    for alike in said.values():
        common = set(alike[0].facts).intersection(*(r.facts for r in alike))
        merged.append((alike[0], tuple(i for i in alike[0].facts if i in common) or alike[0].facts))
    return merged


# Answers -------------------------------------------------------------------------------------------------------


def _answer(plan: Plan, subject: Subject) -> Answer:
    return {
        "step": _about_step,
        "component": _about_component,
        "solution": _about_solution,
        "desiccant": _about_desiccant,
        "solvent": _about_solvent,
    }[subject.kind](plan, subject.id)


def _ids(plan: Plan, kind: type[f.Fact], /, **slots: Any) -> list[int]:
    return [i for i, _ in plan.facts_of(kind, **slots)]


def _step_words(steps: Sequence[PlanStep]) -> str:
    numbers = [str(s.number) for s in steps]
    return f"step{'s' if len(numbers) > 1 else ''} {listed(numbers)}"


def _about_step(plan: Plan, number: str) -> Answer:
    step = plan.steps[int(number) - 1]
    reasons = Grower(plan).trees(step.fact_ids)
    return Answer("step", f"step {step.number}", True, f"{step.instruction}. It {_as_predicate(step)}", reasons)


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


def _band(low: float, high: float) -> str:
    low_text, high_text = share(low), share(high)
    return "nine times in ten: " + (low_text if low_text == high_text else f"{low_text} to {high_text}")


def _about_component(plan: Plan, component_id: str) -> Answer:
    component = plan.component(component_id)
    low, middle, high = plan.left[component_id]
    kinds = plan.behaviour[component_id]
    nature = listed([_NATURE.get(kind, kind) for kind in kinds]) or "not classified"
    quantity = amount(component.mmol)
    said = f"{component.name} ({quantity}) is {nature}. "
    if component_id == "product":
        said += f"Expected in the crude: {share(middle)} of it ({_band(low, high)}). "
        said = said.rstrip()
    else:
        said = (
            f"{component.name} ({component.role}, {quantity}) is {nature}. Where it goes: {plan.fate[component_id]}. "
        )
        said += f"Expected to be left with the product: {share(middle)} ({_band(low, high)})."
    order = (f.NotRemoved, f.Suggests, f.Kept, f.Covered, f.Leaves, f.Prepares, f.Stuck, f.Behaviour, f.Outcome)
    ids = [
        i
        for kind in order
        for i in _ids(plan, kind, **{"subject" if kind is f.Prepares else "component": component_id})
    ]
    if component_id == "product":
        cautions = _ids(plan, f.Cautions, subject="product")
        ids = [*_ids(plan, f.Swap), *cautions, *ids, *_ids(plan, f.Stands), *_ids(plan, f.SpoiltBy)]
    else:
        ids += _ids(plan, f.Cautions, id="fragile", subject=component_id)
    return Answer("component", component.name, True, said, Grower(plan).trees(ids))


def _about_solution(plan: Plan, solution: str) -> Answer:
    row = table(Solution)[solution]
    steps = [s for s in plan.steps if s.solution == solution]
    if steps:
        ids = [i for s in steps for i in s.fact_ids]
        return Answer(
            "solution", row.name, True, f"{row.name} is in the plan: {_step_words(steps)}.", Grower(plan).trees(ids)
        )
    return _against_solution(plan, row)


def _against_solution(plan: Plan, row: Solution) -> Answer:
    grower = Grower(plan)
    product = plan.mixture.product.name
    said: list[str] = []
    ids: list[int] = []
    harms = plan.facts_of(f.Harms, solution=row.id)
    for how in dict.fromkeys(str(fact["how"]) for _, fact in harms):
        verb = {"destroys": "would break", "carries away": "would carry away", "reacts": "would react with"}[how]
        said.append(f"it {verb} {product}")
    ids += [i for i, _ in harms]
    if not harms:
        more, further = _what_it_would_do(plan, row)
        said += more
        ids += [*further, *_ids(plan, f.Bottle, solution=row.id)]
    strains = plan.facts_of(f.Strains, solution=row.id)
    poison = [i for i, fact in strains if fact["group"] == POISON]
    if poison:
        # What can kill comes before anything else.
        gases = listed(sorted({str(fact["gas"]) for _, fact in plan.facts_of(f.FirstOut)}))
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
        if covered:
            by = covered[0][1]["by"]
            other = "the change of layer" if by == "swap" else table(Solution)[by].name
            said.append(f"it would serve for {component.name}, but {other} takes that too and is needed anyway")
        elif passed:
            other = table(Solution)[passed[0][1]["by"]].name
            said.append(f"it would serve for {component.name}, but {other} goes before it")
        elif uptake and not uptake[0][1]["enough"]:
            fact = uptake[0][1]
            too_little.append(f"{share(fact['after_3'])} of {component.name}")
            ids += _ids(plan, f.Behaviour, component=component.id)
        elif uptake and leaves:
            said.append(f"{component.name}, which it would take, leaves anyway ({leaves[0][1]['way']})")
            ids += [i for i, _ in leaves]
        ids += [i for i, _ in (*covered, *passed, *uptake)]
    if too_little:
        said.append(f"three portions of it would leave {listed(too_little)}")
    elif not said and plan.facts_of(f.Uptake, solution=row.id):
        said.append("there is nothing for it to take that another wash does not take")
    return said, ids


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
    barred = plan.facts_of(f.BarredDesiccant, desiccant=desiccant)
    chosen = table(Desiccant)[used[0][1]["desiccant"]]
    if barred:
        product = plan.mixture.product.name
        said = f"{row.name} is not used to dry: it would hold or harm {product}."
        return Answer("desiccant", row.name, False, said, grower.trees([i for i, _ in barred]))
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

    def facts_of(self, kind: type[f.Fact], /, **slots: Any) -> Iterator[tuple[int, f.Fact]]:
        return iter(self.plan.facts_of(kind, **slots))

    def first(self, kind: type[f.Fact], /, **slots: Any) -> f.Fact | None:
        return next((fact for _, fact in self.plan.facts_of(kind, **slots)), None)


def _about_solvent(plan: Plan, solvent: str) -> Answer:
    row = table(Solvent)[solvent]
    grower = Grower(plan)
    used = _ids(plan, f.Extraction, solvent=solvent)
    medium = _ids(plan, f.Medium, solvent=solvent)
    if used:
        return Answer("solvent", row.name, True, f"{row.name} makes the organic layer.", grower.trees(used))
    best = table(Solvent)[plan.extraction]
    if medium:
        prepared = _ids(plan, f.Prepares, subject=solvent)
        said = f"The reaction ran in {row.name}; the organic layer is {best.name}."
        if any(fact["action"] == "evaporate" for _, fact in plan.facts_of(f.Prepares, subject=solvent)):
            said = f"The reaction ran in {row.name}, which is stripped off before the first wash."
        elif prepared:
            said = f"The reaction ran in {row.name}, which mixes with water and is washed out."
        return Answer("solvent", row.name, True, said, grower.trees([*prepared, *medium, *_ids(plan, f.Extraction)]))
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
            (
                Reasoned(
                    f"{row.name}: {row.miscibility} with water, boils at {row.boiling_c:.0f} C", sources=(row.source,)
                ),
            ),
        )
    return _lost_solvent(plan, row, best, grower)


def _lost_solvent(plan: Plan, row: Solvent, best: Solvent, grower: Grower) -> Answer:
    """Compare a solvent that could make the organic layer with the one that does."""
    ids = _ids(plan, f.Extraction)
    if plan.mixture.extraction is not None:
        said = f"{row.name} is not used: {best.name} was asked for."
        return Answer("solvent", row.name, False, said, grower.trees(ids))
    candidate = plan.facts_of(f.Candidate, solvent=row.id)
    if not candidate:
        offered = listed([table(Solvent)[s].name for s in OFFERED if s in table(Solvent)])
        said = (
            f"{row.name} was not weighed: where nothing is asked for, the choice is among {offered} and the solvent of the "
            f"reaction. It is used when it is asked for."
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


# Lore without a mixture ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Entry:
    """What is known of a row without any mixture: its fields in words, and the rules that name it."""

    kind: str
    name: str
    lines: tuple[str, ...]
    cited: tuple[str, ...]
    rules: tuple[Lore, ...]

    @property
    def sources(self) -> dict[str, str]:
        """Return the citations behind the entry, by key."""
        keys = dict.fromkeys((*self.cited, *(key for item in self.rules for key in item.sources)))
        return {key: source_text(key) for key in keys}


def lore_on(question: str) -> list[Entry]:
    """Return what is known of a solution, drying agent, solvent, functional group, leftover or reagent.

    Raises ``SubjectProblem`` for anything else.
    """
    text, _ = split_question(question)
    return [_entry(subject) for subject in find_subjects(text)]


def _entry(subject: Subject) -> Entry:
    row = table(_ALL_KINDS[subject.kind])[subject.id]
    say: Mapping[str, Callable[[Any], list[str]]] = {
        "solution": _solution_lines,
        "desiccant": _desiccant_lines,
        "solvent": _solvent_lines,
        "group": _group_lines,
        "residue": _residue_lines,
        "reagent": _reagent_lines,
    }
    lines = say[subject.kind](row)
    cited = [row.source, *(_site_sources(row) if subject.kind == "reagent" else ())]
    return Entry(subject.kind, row.name, tuple(lines), tuple(dict.fromkeys(cited)), tuple(_rules_on(row)))


def _solution_lines(row: Solution) -> list[str]:
    lines = [f"pH {row.ph:g}, density {row.density_g_ml:.2f} g/mL" + (f", {row.strength}" if row.strength else "")]
    if row.takes_out:
        lines.append(f"takes out: {row.takes_out}")
    if row.never_meets:
        told = [table(Group)[g].name if g in table(Group) else g.replace("_", " ") for g in row.never_meets]
        lines.append(f"never meets: {', '.join(told)}" + (f" ({row.never_reason})" if row.never_reason else ""))
    elif row.never_reason:
        lines.append(f"mind: {row.never_reason}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _desiccant_lines(row: Desiccant) -> list[str]:
    lines = [
        f"{row.formula or row.name}, {row.character}",
        f"binds {row.capacity_g_per_g:g} g of water per gram in practice; takes {row.wait_min:g} min",
        row.reason,
    ]
    for verb, groups in (("holds back", row.binds), ("harms", row.attacks)):
        if groups:
            told = [table(Group)[g].name if g in table(Group) else g.replace("_", " ") for g in groups]
            lines.append(f"{verb}: {', '.join(told)}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _solvent_lines(row: Solvent) -> list[str]:
    lines = [f"{row.miscibility} with water, density {row.density_g_ml:.2f} g/mL, boils at {row.boiling_c:.0f} C"]
    if row.water_held_wt_pct is not None:
        lines.append(f"holds {row.water_held_wt_pct:g} % of water when saturated")
    if row.in_water_wt_pct is not None:
        lines.append(f"water saturated with it holds {row.in_water_wt_pct:g} % of it")
    lines.append("makes an organic layer" if row.extractant else "makes no organic layer to extract with")
    if row.peroxide_former:
        lines.append("forms peroxides on standing")
    if row.waste_class:
        lines.append(f"waste: {row.waste_class}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _group_lines(row: Group) -> list[str]:
    lines = []
    if row.lowest_ph is None and row.highest_ph is None:
        lines.append("stands any pH of a wash")
    else:
        low = f"down to pH {row.lowest_ph:g}" if row.lowest_ph is not None else "any acid"
        high = f"up to pH {row.highest_ph:g}" if row.highest_ph is not None else "any base"
        lines.append(f"stands {low} and {high} for the minutes of a wash")
    if row.limit_reason:
        lines.append(f"because: {row.limit_reason}")
    if row.avoid:
        lines.append(f"kept from: {', '.join(row.avoid)}")
    if row.matches:
        lines.append(f"for example: {', '.join(row.matches[:3])}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _residue_lines(row: Residue) -> list[str]:
    lines = [
        {
            "quench": "quenched before any wash",
            "wash": "taken out by a wash of its own",
            "filter": "filtered off before the funnel",
        }.get(row.action, "no wash serves")
    ]
    if row.solution:
        lines.append(f"wash: {table(Solution)[row.solution].name}")
    if row.quench_with:
        lines.append(f"quenched with: {row.quench_with}")
    if row.how:
        lines.append(f"how: {row.how}")
    if row.gas:
        lines.append(f"gas set free: {', '.join(row.gas)}")
    if row.never:
        lines.append(f"never: {row.never}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _reagent_lines(row: Reagent) -> list[str]:
    from washlore.knowledge import acidity, groups
    from washlore.knowledge.structure import molecules

    lines = [
        f"used as {row.use}; {row.smiles}" + ("" if row.boiling_c is None else f"; boils at {row.boiling_c:.0f} C")
    ]
    for site in acidity.sites(row.smiles):
        if 0 <= site.pka <= 14:
            lines.append(
                f"{acidity.class_name(site.site_class)} at atom {site.atom}, pKa "
                f"{'of the conjugate acid ' if site.kind == 'base' else ''}{site.pka:.1f} ± {site.sigma:.1f} ({site.tier})"
            )
    remedy = groups.molecule_residue(molecules(row.smiles))
    if remedy is not None:
        lines.append(f"{remedy.name}: {remedy.how}")
    if row.note:
        lines.append(f"note: {row.note}")
    return lines


def _site_sources(row: Reagent) -> list[str]:
    from washlore.knowledge import acidity, groups
    from washlore.knowledge.structure import molecules

    remedy = groups.molecule_residue(molecules(row.smiles))
    return [site.source for site in acidity.sites(row.smiles) if 0 <= site.pka <= 14] + (
        [remedy.source] if remedy is not None else []
    )


def _rules_on(row: Any) -> list[Lore]:
    """Return the rules whose title or reason names a row, by one of its longer names."""
    spelled = [
        s
        for s in (row.name, *getattr(row, "aliases", ()), getattr(row, "solute", ""))
        if len(s) > 3 and not s[0].isdigit()
    ]
    plain = re.sub(r"^(saturated|\d+(\.\d+)? ?(%|M)) ", "", row.name)
    words = {s.casefold() for s in (*spelled, plain) if len(s) > 3}
    if getattr(row, "solute", "") == "sodium hydrogen carbonate":
        words.add("bicarbonate")
    if getattr(row, "solute", "") == "sodium hydroxide":
        words.add("hydroxide")
    found = []
    for item in (*all_lore(), *judging_lore()):
        text = f"{item.title} {item.why}".casefold()
        if any(re.search(rf"(?<![a-z]){re.escape(w)}(?![a-z])", text) for w in words):
            found.append(item)
    return found
