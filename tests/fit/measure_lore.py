"""Is the lore consistent, and is any of it dead? Rules that contradict each other, that never fire, SMARTS rows in the shade.

    python tests/fit/measure_lore.py molecules.csv [--count 5000]

The CSV needs a column ``smiles``; its molecules and the reagent table are planned as products and as leftovers, in flasks
drawn from a seed, and a few plans that people write are judged on them. Printed are

* solutions that one rule recommends for a component and another forbids, with what came of it: in the plan or not;
* rules, of planning and of judging, that never fired;
* rows of groups, residues and pKa classes that never matched, and rows that a row before them always takes away from.
"""

from __future__ import annotations

import argparse
import csv
import random
import sys
from collections import Counter
from pathlib import Path

from rdkit import Chem, rdBase

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from random_mixtures import Flask, flask, reagents

from washlore.knowledge import acidity, groups
from washlore.knowledge.rows import Residue, Solution, table
from washlore.knowledge.smarts import elements
from washlore.knowledge.structure import Molecule, StructureError, molecules
from washlore.rules import facts as f
from washlore.rules.engine import all_lore, judging_lore
from washlore.rules.judge import Considered, judge
from washlore.rules.mixture import MixtureError
from washlore.rules.plan import Plan, make_plan
from washlore.rules.proposal import as_proposal
from washlore.rules.reading import read_plan
from washlore.rules.reckon import PlanRefused
from washlore.rules.species import sheet

WRITTEN = (
    "Washed with 1 M HCl (2 x 15 mL), sat. NaHCO3 and brine, dried over MgSO4, filtered and concentrated.",
    "Extracted with ether, washed with 10 % NaOH, keep the top layer, evaporate.",
    "Quenched with water, poured into 6 M HCl, the aqueous layer was discarded; dried over CaCl2; evaporated.",
    "Brine, then concentrated. Dried over Na2SO4.",
)


def planned(drawn: Flask) -> tuple[Plan | None, tuple[str, ...]]:
    """Return the plan, if there is one, and the rules that fired."""
    try:
        plan = make_plan(drawn.built(), 4)
    except PlanRefused as refused:
        return None, refused.fired
    return plan, plan.fired


def quarrels(plan: Plan) -> list[tuple[str, str, str, bool]]:
    """Return (rule that recommends, rule that forbids, solution, whether the plan uses it)."""
    used = {step.solution for step in plan.steps if step.action in ("wash", "take up")}
    by = {i: known.reasons[0].rule for i, known in plan.known.items()}
    forbids: dict[str, list[str]] = {}
    for i, fact in plan.facts_of(f.Harms):
        forbids.setdefault(fact["solution"], []).append(by[i])
    there = [table(Residue)[fact["residue"]] for _, fact in plan.facts_of(f.Leftover) if fact["action"] != "quench"]
    for row in table(Solution).values():
        forbids.setdefault(row.id, []).extend(f"never meets {r.id}" for r in there if r.id in row.never_meets)
    found = []
    for kind in (f.Takes, f.Chosen, f.Kept):
        for i, fact in plan.facts_of(kind):
            for other in forbids.get(fact["solution"], ()):
                found.append((f"{by[i]} ({kind.__name__})", other, fact["solution"], fact["solution"] in used))
    return found


def shade(parts: list[Molecule]) -> None:
    """Print the rows of the SMARTS tables that match nothing, and those that always come second."""
    alone: dict[str, Counter[str]] = {name: Counter() for name in ("groups", "residues", "pKa classes")}
    first = {name: Counter[str]() for name in alone}
    for part in parts:
        for match in {m.group.id for m in groups.molecule_groups(part)}:
            first["groups"][match] += 1
        for row, _ in groups.all_residues((part,)):
            first["residues"][row.id] += 1
        present = elements(part.mol)
        for pattern in groups._residue_patterns():
            if pattern.possible(present) and part.mol.HasSubstructMatch(pattern.query):
                alone["residues"][pattern.row.id] += 1
        neutral = acidity.neutral_form(part.mol)
        for site in acidity.site_classes(neutral).values():
            first["pKa classes"][site.id] += 1
        for site_class, site_pattern, _ in acidity._patterns():
            if neutral.HasSubstructMatch(site_pattern.query):
                alone["pKa classes"][site_class.id] += 1
    rows = {"groups": groups._group_patterns(), "residues": groups._residue_patterns()}
    names = {name: [p.row.id for p in rows[name]] for name in rows} | {
        "pKa classes": [c.id for c, _, _ in acidity._patterns()]
    }
    for name, ids in names.items():
        print(f"\n{name}: {len(ids)} rows")
        print("  never match:", ", ".join(i for i in ids if not first[name][i] and not alone[name][i]) or "none")
        shaded = [i for i in ids if alone[name][i] and not first[name][i]]
        print("  always taken by a row before:", ", ".join(shaded) or "none")


def main() -> None:
    """Print what is listed above."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("molecules", type=Path)
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    with given.molecules.open(encoding="utf-8", newline="") as file:
        texts = list(dict.fromkeys(row["smiles"] for row in csv.DictReader(file)))
    rng = random.Random(given.seed)
    rng.shuffle(texts)
    fired: Counter[str] = Counter()
    judged: Counter[str] = Counter()
    found: Counter[tuple[str, str, str, bool]] = Counter()
    parts: list[Molecule] = []
    used = 0
    with rdBase.BlockLogs():
        for n, text in enumerate(texts[: given.count] + [r.smiles for r in reagents()]):
            try:
                parts += molecules(text)
                drawn = flask(rng, 3)
                if n % 2:
                    drawn = Flask("", text, drawn.mmol, drawn.others, drawn.solvents, drawn.extract)
                else:
                    others = (*drawn.others[:2], (text, drawn.mmol, "reactant"))
                    drawn = Flask("", drawn.product, drawn.mmol, others, drawn.solvents, drawn.extract)
                plan, rules = planned(drawn)
            except (MixtureError, StructureError):
                continue
            used += 1
            fired.update(set(rules))
            if plan is None:
                continue
            found.update(quarrels(plan))
            considered = Considered(plan.mixture, plan, "", sheet(plan.mixture, 4))
            proposal = as_proposal(plan) if n % 5 == 0 else read_plan(WRITTEN[n % len(WRITTEN)])
            judged.update({x.rule for x in judge(proposal, considered).findings})
    print(f"{used} flasks, {len(parts)} structures")
    print("\nrecommended by one rule and forbidden by another, and used all the same:")
    for (one, two, solution, in_plan), count in found.most_common():
        if in_plan:
            print(f"  {count:5} {one} / {two}: {solution}")
    print("\nrecommended by one rule and forbidden by another, and left out:")
    pairs = Counter[tuple[str, str]]()
    for (one, two, _, in_plan), count in found.items():
        if not in_plan:
            pairs[one, two] += count
    for (one, two), count in pairs.most_common(40):
        print(f"  {count:5} {one} / {two}")
    print("\nrules of planning that never fired:", ", ".join(x.id for x in all_lore() if not fired[x.id]) or "none")
    print(
        "\nrules of judging that found nothing:", ", ".join(x.id for x in judging_lore() if not judged[x.id]) or "none"
    )
    unique = {p.smiles: p for p in parts}
    shade([p for p in unique.values() if isinstance(p.mol, Chem.Mol)])


if __name__ == "__main__":
    main()
