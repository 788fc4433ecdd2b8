"""What a question is about: a step, a component, or a row of the tables, found by name, number or structure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Group, Reagent, Residue, Solution, Solvent, column, table
from washlore.knowledge.spelling import begun_by, made_of_symbols, short, slips, without_deuterium
from washlore.rules import facts as f
from washlore.rules.mixture import Mixture
from washlore.rules.plan import Plan
from washlore.rules.words import listed

# A question that fits more rows than this is too vague to answer.
MOST_MEANINGS = 5
# Characters of a question; the longest structure that can be judged has fewer.
LONGEST = 2_000


class SubjectProblem(ValueError):
    """A question is about nothing that is known here; ``near`` holds what could be asked instead."""

    def __init__(self, message: str, near: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.near = tuple(near)


@dataclass(frozen=True)
class Subject:
    """What a question is about: a kind and the id of a row, a component or a step."""

    kind: str
    id: str


def split_question(question: str) -> tuple[str, bool]:
    """Return a question without its ``not``, and whether it had one."""
    text = " ".join(question.split())
    found = re.match(r"not\s+(?=\S)", text, re.IGNORECASE) if text[:3].casefold() == "not" else None
    return (text[found.end() :], True) if found else (text, False)


def in_plan(plan: Plan, subject: Subject) -> bool:
    """Tell whether a plan holds or uses a subject."""
    if subject.kind == "solution":
        return any(step.solution == subject.id for step in plan.steps)
    if subject.kind == "desiccant":
        return any(step.desiccant == subject.id for step in plan.steps)
    if subject.kind == "solvent":
        return subject.id in (plan.extraction, *(s.id for s, _ in plan.mixture.reaction_solvents))
    return True


def is_step(text: str) -> re.Match[str] | None:
    """Return the match of a text that is the number of a step, which is its first group."""
    if not any(c.isdigit() for c in text):
        return None
    return re.fullmatch(r"(?:step\s*)?(-?\d{1,6})\.?", text, re.IGNORECASE)


def find_subjects(text: str, plan: Plan | None = None) -> list[Subject]:
    """Return what a text may mean, the components of the plan first; raise ``SubjectProblem`` where nothing fits."""
    if not text:
        raise SubjectProblem("The question is empty; ask about a step number, a solution, a compound or a solvent.")
    if len(text) > LONGEST:
        raise SubjectProblem(
            f"{short(text)} has {len(text):,} characters; a question of up to {LONGEST:,} can be answered."
        )
    step = is_step(text)
    if step and plan is None:
        raise SubjectProblem(
            f"{text!r} is a step of a plan; name its mixture first, such as `washlore why ester {step[1]}`."
        )
    if step and plan is not None:
        number = int(step[1])
        if not 1 <= number <= len(plan.steps):
            raise SubjectProblem(f"There is no step {number}; the plan has steps 1 to {len(plan.steps)}.")
        return [Subject("step", str(number))]
    found = components_named(text, plan.mixture) if plan is not None else []
    found += _rows(text, KINDS if plan is not None else ALL_KINDS)
    if not found and plan is not None and _key(text) in ("desiccant", "dryingagent", "drying", "dry"):
        found = [Subject("desiccant", str(fact["desiccant"])) for _, fact in plan.facts_of(f.Dries)]
    if not found and plan is not None and _key(text) in ("solvent", "extractionsolvent", "extractant", "organiclayer"):
        found = [Subject("solvent", plan.extraction)]
    if not found and plan is None:
        found = _structures(text)
    if not found:
        found = _partly(text, plan)
    if not found:
        near = _near(text, plan)
        ask = f" Did you mean {listed(near)}?" if len(near) == 1 else f" Near to it: {', '.join(near)}." if near else ""
        if plan is not None:
            what = "is neither in this mixture nor a step, wash solution, drying agent or solvent that is known here"
        else:
            what = "is not a wash solution, drying agent, solvent, functional group or compound that is known here"
        raise SubjectProblem(f"{short(text)} {what}.{ask}", near)
    return found


def _key(text: str) -> str:
    """Return what spellings of one name have in common."""
    plain = text.casefold()
    if not text.isascii():
        import unicodedata

        plain = unicodedata.normalize("NFKD", text).casefold()
    if "sat" in plain:
        plain = re.sub(r"\bsat\b\.?|\bsatd\b\.?", "saturated", plain)
    if any(word in plain for word in ("aq", "wash", "solution")):
        plain = re.sub(r"\baq\b\.?|\baqueous\b|\bwash\b|\bsolution\b", "", plain) or plain
    return "".join(plain.translate(_BETWEEN).split())


_BETWEEN = str.maketrans("", "", "-_.,'()")


def components_named(text: str, mixture: Mixture) -> list[Subject]:
    """Return the components of a mixture that a text names."""
    from washlore.knowledge import names
    from washlore.knowledge.structure import StructureError, molecules

    key = _key(text)
    exact = [
        Subject("component", c.id)
        for c in mixture.components
        if key in (_key(c.name), _key(c.written)) or text in (c.smiles, c.id) or (key == "theproduct" == _key(c.id))
    ]
    if exact:
        return exact
    # Another name of the same compound; only the tables are asked, not the large database of names.
    try:
        smiles = ".".join(part.smiles for part in molecules(names.resolve(text).smiles)) if _cheap(text) else ""
    except (names.NameProblem, StructureError):
        return []
    return [Subject("component", c.id) for c in mixture.components if smiles and c.smiles == smiles]


def _structures(text: str) -> list[Subject]:
    """Return the row of the tables that a SMILES, or the name of a deuterated compound, stands for."""
    from washlore.knowledge import names

    row = None if " " in text else names.row_of(text)
    if row is None and without_deuterium(text):
        try:
            row = names.row_of(names.resolve(text).smiles)
        except names.NameProblem:
            return []
    kinds = {Solvent: "solvent", Reagent: "reagent"}
    return [Subject(kinds[type(row)], row.id)] if row is not None else []


def _cheap(text: str) -> bool:
    from washlore.knowledge import names

    return names.is_written(text) or any(c in text for c in "=#()[]")


@cache
def _folded(row_type: Any) -> tuple[str, ...]:
    """Return what the names of each row have in common with their spellings: a key that is not in it is none of them."""
    columns = [name for name in ("id", "name", "aliases") if name in row_type.__annotations__]
    texts = zip(*(column(row_type, name, raw=True) for name in columns), strict=True)
    return tuple(_key("\0".join("|".join(names) for names in texts)).split("\0"))  # all at once: it is quicker


def _rows(text: str, kinds: Mapping[str, Any]) -> list[Subject]:
    key = _key(text)
    found = []
    for kind, row_type in kinds.items():
        for row, folded in zip(table(row_type).values(), _folded(row_type), strict=True):
            if (key in folded or not key) and key in {
                _key(s) for s in (row.id, row.name, *getattr(row, "aliases", ()))
            }:
                found.append(Subject(kind, row.id))
    return found


# A plan is asked about the first three; what is known without one is asked about all.
KINDS: dict[str, Any] = {"solution": Solution, "desiccant": Desiccant, "solvent": Solvent}
SEARCHED_KINDS: dict[str, Any] = {**KINDS, "group": Group, "residue": Residue}
ALL_KINDS: dict[str, Any] = {**SEARCHED_KINDS, "reagent": Reagent}


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
    for kind, row_type in (KINDS if plan is not None else SEARCHED_KINDS).items():
        for row in table(row_type).values():
            spelled = " ; ".join((row.name, *getattr(row, "aliases", ()), getattr(row, "solute", ""))).casefold()
            if all(re.search(rf"(?<![a-z]){re.escape(w)}", spelled) for w in words):
                found.append(Subject(kind, row.id))
    if plan is not None and len(found) > 1:
        used = [s for s in found if in_plan(plan, s)]
        if used:
            return used
    if len(found) > MOST_MEANINGS:
        usual = [s for s in found if s.kind == "solution" and "customary" in table(Solution)[s.id].note]
        found = usual or found
    if len(found) > MOST_MEANINGS:
        names_ = [name_of(s, plan) for s in found]
        raise SubjectProblem(
            f"{short(text)} fits {len(found)} things: {', '.join(names_[:12])}. Ask about one of them.", names_
        )
    return found


def name_of(subject: Subject, plan: Plan | None = None) -> str:
    """Return the name of a subject."""
    if subject.kind == "step":
        return f"step {subject.id}"
    if subject.kind == "component" and plan is not None:
        return plan.component(subject.id).name
    return str(table(ALL_KINDS[subject.kind])[subject.id].name)


def _near(text: str, plan: Plan | None) -> list[str]:
    known: dict[str, str] = {}
    if plan is not None:
        known |= {_key(c.name): c.name for c in plan.mixture.components}
    for row_type in (KINDS if plan is not None else ALL_KINDS).values():
        for row in table(row_type).values():
            for spelled in (row.name, *getattr(row, "aliases", ())):
                known.setdefault(_key(spelled), row.name)
    import difflib

    found = begun_by(_key(text), known)
    if made_of_symbols(text):
        found += [slip for slip in slips(_key(text)) if slip in known]
    else:
        found += difflib.get_close_matches(_key(text), list(known), n=6, cutoff=0.6)
    return list(dict.fromkeys(known[key] for key in found))[:4]
