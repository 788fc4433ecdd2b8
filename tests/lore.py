"""Whether the lore is consistent and alive: quarrels within a plan, and rows of SMARTS that no structure reaches first.

Used by ``test_lore.py`` on a few hundred flasks and by ``fit/measure_lore.py`` on thousands of molecules.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

from rdkit import Chem

from washlore.knowledge import acidity, groups, kinetics
from washlore.knowledge.acidity import SiteClass
from washlore.knowledge.kinetics import Rate
from washlore.knowledge.rows import Clash, Group, MeasuredPka, Reagent, Residue, Solution, table
from washlore.knowledge.solute import SoluteFragment, neutral_form
from washlore.knowledge.structure import Molecule, StructureError, molecules
from washlore.rules import facts as f
from washlore.rules.families.quench import frees_poison, is_volatile
from washlore.rules.judge import consider, judge
from washlore.rules.mixture import build, read_other
from washlore.rules.plan import Plan, make_plan
from washlore.rules.reading import read_plan

# Of a leftover that is down to the usual target nothing counts any more.
GONE = 0.01
AMMONIUM_PKA = 9.2
# Hydrogen fluoride stays in the water of a weak acid.
STRONG_ACID_PH = 1.5
# More of the product than this is not carried away by a quench without a word.
MOST_LOST = 0.1


@dataclass(frozen=True)
class Quarrel:
    """Something that one rule or row wants in a plan and another forbids in the same plan."""

    wants: str
    forbids: str
    what: str
    component: str


# Meetings of a solution with a leftover that the tables advise against and that something outweighs.
DECIDED = {
    ("cuso4_sat", "thiol"): "white phosphorus has no other quench; the copper thiolate is filtered off with its solid"
}
# What catches fire with water destroys halogens by itself: none is left beside it when ammonium chloride comes.
LEAVES_NO_HALOGEN = ("metal", "hydride", "organometallic")


def quarrels(plan: Plan) -> list[Quarrel]:
    """Return what a plan uses or recommends although something in it forbids it."""
    return [*_harmful(plan), *_meetings(plan), *_drying(plan), *_told_twice(plan)]


def _rule(plan: Plan, fact_id: int) -> str:
    return plan.known[fact_id].reasons[0].rule


def _harmful(plan: Plan) -> Iterator[Quarrel]:
    """Yield solutions that harm the product and are used or suggested all the same.

    A quench that says so may be hard on the product. What would carry it away is judged by the account of the plan where a
    quench cannot do without it, and said with its cost where a held pH is suggested.
    """
    harms = {fact["solution"]: (_rule(plan, i), fact["how"]) for i, fact in plan.facts_of(f.Harms)}
    for step in plan.steps:
        if step.solution not in harms or step.action not in ("wash", "quench", "neutralise", "part"):
            continue
        rule, how = harms[step.solution]
        told = any(caution.id == "polar product" for caution in plan.cautions)
        quench = how == "carries away" and step.action in ("quench", "part")
        if quench and (told or _lost(plan, step.number) < MOST_LOST):
            continue
        if any("is hard on this product" in s.instruction for s in plan.steps if s.solution == step.solution):
            continue  # a quench must be, and its cost is said
        wants = _rule(plan, step.fact_ids[0]) if step.fact_ids else step.action
        yield Quarrel(wants, rule, f"{step.action} {step.solution}", "product")
    for kind in (f.Takes, f.Thins, f.Chosen, f.Kept, f.Suggests):
        for i, fact in plan.facts_of(kind):
            rule, how = harms.get(fact["solution"], ("", ""))
            if rule and not (kind is f.Suggests and how == "carries away"):
                yield Quarrel(_rule(plan, i), rule, fact["solution"], fact["component"])


def _lost(plan: Plan, number: int) -> float:
    """Return the share of the product that a step takes away for good: extracted again at once, its water gives most back."""
    after = number + 1
    while any(s.number == after and s.action == "extract again" for s in plan.steps):
        after += 1
    return _there(plan, number)["product"] - _there(plan, after)["product"]


def _there(plan: Plan, number: int) -> Mapping[str, float]:
    """Return the share of each component in the layer of the product before a step."""
    book = plan.ledger
    done = [mmol for step, mmol in zip(plan.steps, book.after, strict=False) if step.number < number]
    if not done:
        return {c.id: 1.0 for c in plan.mixture.components}
    return {c.id: float(book.fraction(c.id, done[-1])[0]) for c in plan.mixture.components}


def _meetings(plan: Plan) -> Iterator[Quarrel]:
    """Yield solutions that meet a leftover which the tables keep from them, while it is in the flask."""
    left = [(fact["component"], table(Residue)[fact["residue"]]) for _, fact in plan.facts_of(f.Leftover)]
    quenched = {c: step.number for step in plan.steps if step.action == "quench" for c in step.for_components}
    washed = bool(plan.steps) and plan.steps[0].number > 1  # a branch begins with what has been shared out
    for step in plan.steps:
        row = table(Solution).get(step.solution)
        washed = washed or (step.action == "part" and row is None)
        if row is None or step.action not in ("wash", "quench", "neutralise", "part", "take up"):
            continue
        # Once water has taken the ions, the layer holds what is free already: water and brine set nothing of it free.
        frees_nothing = washed and row.acts_as in ("neutral", "salt")
        washed = True
        shares = _there(plan, step.number)
        for component, residue in left:
            if quenched.get(component, step.number) < step.number or component in step.for_components:
                continue
            if shares.get(component, 0.0) < GONE:
                continue
            if (row.id, residue.id) in DECIDED:
                continue
            if residue.id in _with_ammonium(False) and any(r.kind in LEAVES_NO_HALOGEN for _, r in left):
                continue
            if residue.id in row.never_meets or (
                row.weak_system == "ammonia" and residue.id in _with_ammonium(row.ph > AMMONIUM_PKA)
            ):
                yield Quarrel(f"{step.action}", f"{row.id} never meets", residue.id, component)
            if (
                not frees_nothing
                and frees_poison(residue.id, row.ph)
                and (is_volatile(residue.id) or row.ph < STRONG_ACID_PH)
            ):
                yield Quarrel(f"{step.action} {row.id}", "acid frees", residue.acid_frees, component)


@cache
def _with_ammonium(free: bool) -> frozenset[str]:
    """Return the leftovers that ammonium makes worse; ``free``: that ammonia does, for what needs its acid stays as it is."""
    wanted = {"[NH4+]", "N"} if free else {"[NH4+]"}
    return frozenset(r for row in table(Clash).values() if wanted <= set(row.partners) for r in row.residues)


def _drying(plan: Plan) -> Iterator[Quarrel]:
    barred = {fact["desiccant"]: _rule(plan, i) for i, fact in plan.facts_of(f.BarredDesiccant)}
    for i, fact in plan.facts_of(f.Dries):
        if fact["desiccant"] in barred:
            yield Quarrel(_rule(plan, i), barred[fact["desiccant"]], fact["desiccant"], "product")
    for step in plan.steps:
        if step.desiccant in barred:
            yield Quarrel(step.action, barred[step.desiccant], step.desiccant, "product")


def _told_twice(plan: Plan) -> Iterator[Quarrel]:
    """Yield what one conclusion denies and another asserts."""
    stuck = {fact["component"]: _rule(plan, i) for i, fact in plan.facts_of(f.Stuck)}
    spared = {(fact["solution"], fact["component"]): _rule(plan, i) for i, fact in plan.facts_of(f.Spared)}
    passed = {(fact["solution"], fact["component"]): _rule(plan, i) for i, fact in plan.facts_of(f.Passed)}
    for i, fact in plan.facts_of(f.Takes):
        if fact["component"] in stuck:
            yield Quarrel(_rule(plan, i), stuck[fact["component"]], fact["solution"], fact["component"])
    for i, fact in plan.facts_of(f.Chosen):
        if (fact["solution"], fact["component"]) in passed:
            yield Quarrel(
                _rule(plan, i), passed[fact["solution"], fact["component"]], fact["solution"], fact["component"]
            )
    used = {(step.solution, c) for step in plan.steps if step.action == "wash" for c in step.for_components}
    for pair, by in spared.items():
        if pair in used:
            yield Quarrel("wash", by, *pair)
    settled = {c for c, band in plan.left.items() if band[1] <= plan.mixture.target}
    for leftover in plan.not_removed:
        if leftover.component in settled and leftover.component != "product":
            yield Quarrel(
                "ledger", _rule(plan, leftover.fact_id), "said to stay, yet at the target", leftover.component
            )


# Rules that judge what hardly any drawn flask has: texts as people write them, on flasks that call for the rule.
_ACRYLATE = "CCOC(=O)/C=C/c1ccccc1"
_DCM = ("dichloromethane", 40.0)
WRITTEN_FOR: tuple[tuple[str, str, str, tuple[str, float], str], ...] = (
    ("water-breaks-the-product", "O=C(Cl)c1ccc(Br)cc1", "thionyl chloride", _DCM,
     "The mixture was washed with water (20 mL) and brine, dried over MgSO4, filtered and concentrated."),
    ("belongs-to-the-water", "NCCS(=O)(=O)O", "benzyl bromide", _DCM,
     "Washed with water and brine, dried over Na2SO4, filtered and concentrated."),
    ("not-filtered", _ACRYLATE, "benzoic acid", _DCM,
     "1. Wash with sat. NaHCO3 (2 x 15 mL)\n2. Wash with brine (15 mL)\n3. Dry over MgSO4\n4. Evaporate the solvent"),
    ("keep-all-layers", "CC(O)CCO", "pyridine", ("diethyl ether", 40.0),
     "The ether layer was washed with 1 M HCl and water, the aqueous layers were discarded, dried over MgSO4, filtered and "
     "concentrated."),
    ("solid-from-water", "O=[N+]([O-])c1ccc(C(=O)Nc2ccccc2)cc1", "triethylamine", ("DMF", 40.0),
     "The mixture was poured into ice water (200 mL) and the precipitate was collected by filtration, washed with water and "
     "dried in vacuo."),
    ("rinse-bleach-out", _ACRYLATE, "ethanethiol", _DCM,
     "Washed with bleach (15 mL), then with 1 M HCl (15 mL), brine, dried over MgSO4, filtered and evaporated."),
    ("odd-volume", _ACRYLATE, "benzoic acid", _DCM,
     "Washed with 2 mL of sat. NaHCO3 and 15 mL of brine, dried over MgSO4, filtered and evaporated."),
    ("overfull", _ACRYLATE, "benzoic acid", ("diethyl ether", 1000.0),
     "Washed with 1 L of sat. NaHCO3 and brine (300 mL), dried over MgSO4, filtered and evaporated."),
    ("product-is-stripped", "C1=CCCCC1", "benzoic acid", ("pentane", 40.0),
     "Washed with sat. NaHCO3 (2 x 10 mL) and brine, dried over Na2SO4, filtered and concentrated on the rotary evaporator."),
    ("washed-away", "CCCCO", "benzoic acid", ("diethyl ether", 40.0),
     "Washed with water (5 x 100 mL), sat. NaHCO3 (3 x 50 mL) and brine, dried over MgSO4, filtered and evaporated."),
    ("nitronate-is-dried", "CCCCCC[N+](=O)[O-]", "KOH", ("ethanol", 40.0),
     "The ethanol was evaporated. The residue was taken up in ether (40 mL), washed with 1 M HCl and brine, dried over MgSO4, "
     "filtered and concentrated."),
)  # fmt: skip

# Rules of planning that hardly any drawn flask calls for: a flask as somebody would type it, and what is then said.
PLANNED_FOR: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("end-the-base-dry", ("CCSCCO", "10 mmol", "ethanol; 40 mL", "NaOH; 5 mmol"), "of solid ammonium chloride"),
    ("too-large-for-a-funnel", (_ACRYLATE, "2 mol", "DCM; 8 L", "benzoic acid; 0.2 mol"), "more than a 5 L funnel takes"),
    ("organic-perchlorate", ("CCCCCCCCCCCC[n+]1ccccc1.[O-]Cl(=O)(=O)=O", "10 mmol", "DCM; 40 mL", "benzoic acid; 1 mmol"),
     "is an organic perchlorate and may explode"),
    ("one-layer", (_ACRYLATE, "10 mmol", "ethyl acetate; 40 mL", "ethanol; 1.5 mol", "pyridine; 10 mmol"),
     "do two layers form: strip it off before"),
)  # fmt: skip


def command(flask: tuple[str, ...]) -> list[str]:
    """Return the command line that plans a flask of ``PLANNED_FOR``: product, amount, solvent, leftovers."""
    product, amount, solvent, *others = flask
    words = ["plan", "--product", product, "--amount", amount, "--solvent", solvent]
    return [*words, *(word for other in others for word in ("--with", other))]


def fired_in(flask: tuple[str, ...]) -> tuple[str, ...]:
    """Return the rules that fire on a flask of ``PLANNED_FOR``."""
    product, amount, solvent, *others = flask
    name, _, volume = solvent.partition("; ")
    number, unit = volume.split()
    solvents = [(name, float(number) * (1000 if unit == "L" else 1))]
    return make_plan(build(product, [read_other(o) for o in others], product_amount=amount, solvents=solvents), 4).fired


def found_in(product: str, other: str, solvent: tuple[str, float], text: str) -> set[str]:
    """Return the rules that find something in a text, on 10 mmol of product with 2 mmol of a leftover."""
    flask = build(product, [(other, "2 mmol", None)], product_amount="10 mmol", solvents=[solvent])
    return {finding.rule for finding in judge(read_plan(text), consider(flask)).findings}


# Rows of SMARTS ------------------------------------------------------------------------------------------------


@dataclass
class Reach:
    """How many structures each row of a table takes, and which one is the first of them."""

    count: dict[str, int] = field(default_factory=dict)

    def note(self, row: str) -> None:
        """Count one structure for a row."""
        self.count[row] = self.count.get(row, 0) + 1


TABLES: Mapping[str, type] = {"groups": Group, "residues": Residue, "pka_classes": SiteClass, "kinetics": Rate}


def taken(parts: tuple[Molecule, ...]) -> Iterator[tuple[str, str]]:
    """Yield (table, row) for each row that is the first to take something of a component, each once."""
    yield from (("residues", row.id) for row, _ in groups.all_residues(parts))
    found = set()
    for part in parts:
        found |= {("groups", match.group.id) for match in groups.molecule_groups(part)}
        found |= {("kinetics", row.id) for row, _ in kinetics.rates(part)}
        found |= {("pka_classes", c.id) for c in acidity.site_classes(acidity.neutral_form(part.mol)).values()}
    yield from found


def own_examples(name: str) -> Iterator[tuple[str, str]]:
    """Yield (row, SMILES) of what the rows of a table say that they match."""
    for row in table(TABLES[name]).values():
        yield from ((row.id, smiles) for smiles in (row.matches if hasattr(row, "matches") else (row.example,)))


def fragment_counts(parts: Iterable[Molecule]) -> dict[str, list[int]]:
    """Return how often each fragment behind the log K occurs in each molecule; rows that are computed are left out."""
    queries = {row.id: Chem.MolFromSmarts(row.smarts) for row in table(SoluteFragment).values() if row.smarts}
    neutral = [neutral_form(part.mol) for part in parts]
    return {name: [len(mol.GetSubstructMatches(query)) for mol in neutral] for name, query in queries.items()}


def tabled_structures() -> list[str]:
    """Return the structures of the reagent table and of the measured acidities."""
    return [r.smiles for r in table(Reagent).values()] + [r.smiles for r in table(MeasuredPka).values()]


def reach(texts: Iterable[str]) -> tuple[dict[str, Reach], list[Molecule]]:
    """Return how far each table reaches over structures, and the different molecules; what cannot be read is left out."""
    found = {name: Reach() for name in TABLES}
    seen: dict[str, Molecule] = {}
    for text in texts:
        try:
            parts = molecules(text)
        except StructureError:
            continue
        if len(parts) == 1 and parts[0].smiles in seen:
            continue
        seen.update((p.smiles, p) for p in parts)
        for name, row in taken(parts):
            found[name].note(row)
    return found, list(seen.values())
