"""The record of a plan: one dictionary that the terminal text and the JSON are both made from.

``cli/schemas/plan.schema.json`` describes it field by field.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from washlore.cli.common import version
from washlore.cli.render import account
from washlore.cli.render.reasons import reason_record
from washlore.knowledge import acidity
from washlore.knowledge.groups import molecule_groups
from washlore.knowledge.rows import Desiccant, Group, Pitfall, Solution, Solvent, source_text, table
from washlore.rules import facts as f
from washlore.rules.engine import Lore, all_lore
from washlore.rules.mixture import is_organic
from washlore.rules.protons import Transfer, step_transfers
from washlore.rules.reasons import Grower
from washlore.rules.species import INORGANIC_SIGMA, inorganic_base
from washlore.rules.words import listed

if TYPE_CHECKING:
    from washlore.rules.fragility import Fragile
    from washlore.rules.mixture import Component
    from washlore.rules.plan import Caution, Crude, Plan, PlanStep
    from washlore.rules.window import Window

# Families of rules that weigh one way against another rather than tell of the chemistry.
CHOICES = ("choice", "solvents")
MOST_LESSONS = 2
# Of several kinds of behaviour, the first of these is the one that decides what is done.
BEHAVIOURS = (
    "reactive residue",
    "amphoteric",
    "permanent ion",
    "salt",
    "water-miscible solvent",
    "acid",
    "base",
    "weak acid",
    "weak base",
    "neutral",
)


def plan_record(plan: Plan) -> dict[str, Any]:
    """Return the record of a plan. Fractions are between 0 and 1, volumes in mL, amounts in mmol."""
    record: dict[str, Any] = {
        "washlore": {"version": version()},
        "title": plan.mixture.title,
        "product": plan.mixture.product.name,
        "target": _fraction(plan.mixture.target),
        "components": [_component(plan, c) for c in plan.mixture.components],
        "extraction_solvent": table(Solvent)[plan.extraction].name,
        "organic_volume_ml": _number(plan.organic_ml),
        "steps": _steps(plan),
        "contacts": account.contacts(plan),
        "streams": account.streams(plan),
        "pitfalls": pitfalls(plan),
        "cautions": _cautions(plan),
        "not_removed": [
            {
                "component": plan.component(n.component).name,
                "text": n.text,
                "instead": n.instead,
                "because": because(plan, [n.fact_id]),
            }
            for n in plan.not_removed
        ],
        "fragile": [_fragile(plan, item) for item in plan.fragile],
        "windows": [_window(plan, item) for item in plan.windows],
        "product_recovered": _band(plan.recovered),
        "crudes": [_crude(plan, crude) for crude in plan.crudes],
        "assumptions": list(plan.assumptions),
    }
    record["sources"] = {key: source_text(key) for key in sorted(source_keys(record))}
    return record


def lore() -> dict[str, Lore]:
    """Return every rule by its id."""
    return {item.id: item for item in all_lore()}


def because(plan: Plan, fact_ids: Sequence[int]) -> list[dict[str, Any]]:
    """Return the trees of reasons behind facts as records, as ``washlore why`` tells them."""
    return [reason_record(tree) for tree in Grower(plan, lore=lore()).trees(fact_ids)]


def told(reasons: Iterable[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield trees of reasons and all that is below them, nearest to the conclusion first."""
    queue = deque(reasons)
    while queue:
        reason = queue.popleft()
        yield reason
        queue.extend(reason["because"])


def _cautions(plan: Plan) -> list[dict[str, Any]]:
    """Return the cautions; what is said alike of several components is said once, of all of them."""
    alike: dict[tuple[str, str], list[Caution]] = {}
    known = {c.id: c.name for c in plan.mixture.components}
    for caution in plan.cautions:
        name = known.get(caution.subject, "")
        words = caution.text.replace(name, NAMES, 1) if name else caution.text
        alike.setdefault((caution.id, words), []).append(caution)
    made = []
    for (kind, words), cautions in alike.items():
        subjects = list(dict.fromkeys(c.subject for c in cautions))
        facts = [c.fact_id for c in cautions]
        names = [_subject(plan, subject) for subject in subjects]
        made.append(
            {
                "id": kind,
                "subject": listed(names),
                "steps": sorted({n for subject in subjects for n in caution_steps(plan, subject)}),
                "text": cautions[0].text if len(subjects) == 1 else words.replace(NAMES, listed(names)),
                "source": _first_source(plan, facts),
                "because": because(plan, facts),
            }
        )
    return made


# Stands for the names of what a caution is about.
NAMES = "\0"


def caution_steps(plan: Plan, subject: str) -> list[int]:
    """Return the numbers of the steps that a caution is about; none where it is about the whole."""
    if subject.isdecimal():
        return [int(subject)]
    about = [step.number for step in plan.steps if subject and subject in (step.solution, *step.for_components)]
    if not about and subject in table(Solvent):
        about = [c.step for c in plan.ledger.contacts][:1]
    return about


def pitfalls(plan: Plan) -> list[dict[str, Any]]:
    """Return what students usually get wrong in such a plan, each once, at the first step that it bears on."""
    others = [c.id for c in plan.mixture.components if c.id != "product"]
    stuck = [item.component for item in plan.not_removed]
    told = []
    for row in table(Pitfall).values():
        for step in plan.steps:
            about = [*(step.for_components or others), *stuck]
            about += ["product"] if step.action in ("take up", "set ph", "neutralise") else []
            kinds = {kind for c in about for kind in plan.behaviour[c]}
            solution = table(Solution).get(step.solution)
            acts = solution.acts_as if solution else ""
            if (
                step.action in row.actions
                and (not row.acts_as or acts in row.acts_as)
                and (not row.kinds or kinds.intersection(row.kinds))
            ):
                told.append(
                    {
                        "step": step.number,
                        "rule": row.rule,
                        "belief": row.belief,
                        "fact": row.fact,
                        "source": row.source,
                    }
                )
                break
    return sorted(told, key=lambda item: item["step"])


def _reactions(plan: Plan, step: PlanStep) -> list[dict[str, Any]]:
    """Return the proton transfers that a step is for."""
    wanted = step.for_components or (("product",) if step.action in ("take up", "set ph", "neutralise") else ())
    return [
        transfer_record(plan, item)
        for item in step_transfers(
            step.action,
            table(Solution).get(step.solution),
            step.target_ph,
            [plan.component(c) for c in wanted],
        )
    ]


def transfer_record(plan: Plan, item: Transfer) -> dict[str, Any]:
    """Return the record of a proton transfer between a component of a plan and a solution."""
    name = plan.component(item.component).name
    acid, base = (item.pka, item.partner.pka) if item.component_gives else (item.partner.pka, item.pka)
    verb, taker = ("gives its proton to", item.partner.before) if item.component_gives else ("takes a proton from", "")
    return {
        "component": item.component,
        "gives": item.component_gives,
        "smiles": item.smiles,
        "ion_smiles": item.ion,
        "atom": item.atom,
        "ion_atom": item.ion_atom,
        "partner": item.partner.before,
        "partner_after": list(item.partner.after),
        "equation": item.equation,
        "pka_giving": _number(acid),
        "pka_formed": _number(base),
        "log_k": _number(round(item.log_k, 1)),
        "text": f"{name} {verb} {taker or item.partner.before}",
        "sources": list(item.sources),
    }


def part_offsets(component: Component) -> list[int]:
    """Return, for each part of a component, the index of its first atom in the component's SMILES."""
    offsets, total = [], 0
    for part in component.parts:
        offsets.append(total)
        total += part.mol.GetNumAtoms()
    return offsets


def site_records(component: Component) -> list[dict[str, Any]]:
    """Return the ionisable sites of a component; ``atom`` counts from 0 in the component's SMILES."""
    base = inorganic_base(component)
    if base is not None:
        known = {"kind": "base", "pka": _number(base.pkas[0]), "sigma": _number(INORGANIC_SIGMA), "class": base.name}
        place = max(range(len(component.parts)), key=lambda i: component.parts[i].smiles != "O")
        return [{"atom": part_offsets(component)[place], **known, "tier": "measured", "source": base.source}]
    return [
        {
            "atom": site.atom + offset,
            "kind": site.kind,
            "pka": _number(site.pka),
            "sigma": _number(site.sigma),
            "class": acidity.class_name(site.site_class),
            "tier": site.tier,
            "source": site.source,
        }
        for part, offset in zip(component.parts, part_offsets(component), strict=True)
        if is_organic(part)
        for site in acidity.molecule_sites(part)
    ]


def _atoms(plan: Plan, component: Component) -> list[int]:
    """Return the atoms behind a component's behaviour: its sites where they decide, its functional groups otherwise."""
    kind = main_behaviour(plan.behaviour[component.id])
    sites = [site["atom"] for site in site_records(component) if site["kind"] in kind or kind == "amphoteric"]
    if sites:
        return sorted(sites)
    wanted = set(plan.groups[component.id])
    return sorted(
        {
            atom + offset
            for part, offset in zip(component.parts, part_offsets(component), strict=True)
            for hit in molecule_groups(part)
            if hit.group.id in wanted
            for atom in hit.atoms
        }
    )


def main_behaviour(kinds: Sequence[str]) -> str:
    """Return the one of several behaviours that decides what is done."""
    return min(kinds, key=lambda k: BEHAVIOURS.index(k) if k in BEHAVIOURS else len(BEHAVIOURS), default="neutral")


def _component(plan: Plan, component: Component) -> dict[str, Any]:
    kinds = plan.behaviour[component.id]
    fact_ids = [
        i
        for kind in (f.Behaviour, f.Kept, f.Covered, f.Leaves, f.Stuck, f.NotRemoved, f.Suggests, f.Outcome)
        for i, _ in plan.facts_of(kind, component=component.id)
    ]
    return {
        "id": component.id,
        "name": component.name,
        "written": component.written,
        "origin": component.origin,
        "smiles": component.smiles,
        "formula": ".".join(part.formula for part in component.parts),
        "role": component.role,
        "mmol": _number(component.mmol),
        "amount_assumed": component.assumed,
        "behaviour": main_behaviour(kinds),
        "behaviours": sorted(kinds, key=lambda k: BEHAVIOURS.index(k) if k in BEHAVIOURS else len(BEHAVIOURS)),
        "groups": [table(Group)[g].name for g in plan.groups[component.id]],
        "sites": site_records(component),
        "atoms": _atoms(plan, component),
        "fate": plan.fate[component.id],
        "left": _band(plan.left[component.id]),
        "because": because(plan, fact_ids),
    }


def _crude(plan: Plan, crude: Crude) -> dict[str, Any]:
    """Return what one stream ends in; what is in it beside the wanted compounds comes largest first."""
    others = sorted(crude.others.items(), key=lambda item: -item[1][1])
    return {
        "stream": crude.label,
        "computed": crude.computed,
        "wanted": [
            {
                "name": plan.component(c).name,
                "recovered": _band(crude.recovered[c]),
                "purity": _band(crude.purity[c]) if crude.computed else None,
            }
            for c in crude.wanted
        ],
        "others": [{"name": plan.component(c).name, "left": _band(v)} for c, v in others if crude.computed],
    }


def _fragile(plan: Plan, item: Fragile) -> dict[str, Any]:
    fact_ids = [i for i, _ in plan.facts_of(f.Cautions, id="fragile", subject=item.component)]
    return {
        "component": plan.component(item.component).name,
        "number": item.number,
        "threshold": None if item.threshold is None else _number(round(item.threshold, 3)),
        "estimate": _number(round(item.estimate, 3)),
        "sigma": _number(round(item.sigma, 3)),
        "text": item.text,
        "because": because(plan, fact_ids),
    }


def _window(plan: Plan, item: Window) -> dict[str, Any]:
    suggested = [i for i, _ in plan.facts_of(f.Suggests, component=item.component)]
    name = plan.component(item.component).name
    text = plan.known[suggested[0]].reasons[0].text if suggested else item.text(name, plan.mixture.product.name)
    return {
        "component": name,
        "contacts": [
            {
                "n": held.n,
                "ph": _number(held.ph),
                "left": _fraction(held.left),
                "product_lost": _fraction(held.product_lost),
            }
            for held in item.contacts
        ],
        "solution": item.solution,
        "solution_name": table(Solution)[item.solution].name,
        "suggested": bool(suggested),
        "text": text,
        "because": because(plan, suggested or [i for i, _ in plan.facts_of(f.Window, component=item.component)]),
    }


def _steps(plan: Plan) -> list[dict[str, Any]]:
    """Return the steps; the chemistry of a rule is told at the first step that it stands behind."""
    made = [_step(plan, step) for step in plan.steps]
    known = lore()
    taught: set[str] = set()
    for step in made:
        rules = list(dict.fromkeys(reason["rule"] for reason in told(step["because"]) if reason["rule"] in known))
        new = [rule for rule in rules if rule not in taught]
        chemistry = [rule for rule in new if known[rule].family not in CHOICES]
        lessons = (chemistry or [rule for rule in new if rule == rules[0]])[:MOST_LESSONS]
        taught.update(lessons)
        step["lessons"] = [
            {"rule": rule, "title": known[rule].title, "why": known[rule].why, "sources": list(known[rule].sources)}
            for rule in lessons
        ]
    return made


def _step(plan: Plan, step: PlanStep) -> dict[str, Any]:
    row = table(Solution)[step.solution] if step.solution else None
    return {
        "number": step.number,
        "action": step.action,
        "instruction": step.instruction,
        "reason": step.reason,
        "solution": step.solution or None,
        "solution_name": row.name if row else None,
        "solute": step.solute or None,
        "strength": step.strength or None,
        "solvent": table(Solvent)[step.solvent].name if step.solvent else None,
        "volume_ml": _number(step.volume_ml),
        "repeats": step.repeats,
        "phase_kept": step.phase_kept or None,
        "layer_kept": step.layer_kept or None,
        "layer_sure": step.layer_sure,
        "funnel_ml": step.funnel_ml,
        "desiccant": table(Desiccant)[step.desiccant].name if step.desiccant else None,
        "desiccant_g": _number(step.desiccant_g),
        "target_ph": _number(step.target_ph),
        "spent_ph": _number(step.spent_ph),
        "organic_density_g_ml": _number(step.organic_density_g_ml),
        "aqueous_density_g_ml": _number(step.aqueous_density_g_ml),
        "for": [plan.component(c).name for c in step.for_components],
        "reactions": _reactions(plan, step),
        "stream": step.stream,
        "organic_to": step.organic_to or None,
        "aqueous_to": step.aqueous_to or None,
        "because": because(plan, step.fact_ids),
    }


def _subject(plan: Plan, subject: str) -> str:
    """Return the subject of a caution in words."""
    for component in plan.mixture.components:
        if component.id == subject:
            return component.name
    for kind in (Solution, Solvent, Desiccant):
        if subject in table(kind):
            return str(table(kind)[subject].name)
    return subject


def _band(values: tuple[float, float, float]) -> dict[str, float]:
    low, middle, high = (_fraction(v) for v in values)
    return {"low": low, "mid": middle, "high": high}


def _fraction(value: float) -> float:
    return float(f"{min(1.0, max(0.0, float(value))):.3g}")


def _number(value: float | None) -> float | None:
    return None if value is None else float(f"{float(value):.6g}")


def _first_source(plan: Plan, fact_ids: Sequence[int]) -> str | None:
    return next((key for link in plan.because(fact_ids) for key in link.sources), None)


def source_keys(value: Any) -> Iterable[str]:
    """Yield every source key in a record."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if name == "source" and isinstance(inner, str):
                yield inner
            elif name == "sources" and isinstance(inner, list):
                yield from inner
            else:
                yield from source_keys(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from source_keys(inner)
