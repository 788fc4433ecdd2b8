"""Is the lore consistent, and is any of it dead? Rules that contradict each other, that never fire, SMARTS rows in the shade.

    python tests/fit/measure_lore.py molecules.csv [--count 5000] [--flasks 5000]

The CSV needs a column ``smiles``. Its molecules and the reagent table are shown to every table that has SMARTS, then
planned as products and as leftovers in flasks drawn from a seed, and plans that people write are judged on some of them.
Printed are

* what a plan uses or recommends although a rule or a row forbids it (``tests/lore.py`` says what is compared);
* rules, of planning and of judging, that never fired: those that fire in the cases they state, and those that do not;
* rows that were first to take nothing: those that take the example they state, and those that do not;
* fragments of log K that occur nowhere, and those that always go together.

What is listed as unexplained is to be deleted, merged or mended. The exit code is the number of such things.
"""

from __future__ import annotations

import argparse
import csv
import random
import sys
from collections import Counter
from pathlib import Path

from rdkit import rdBase

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from lore import (
    PLANNED_FOR,
    TABLES,
    WRITTEN_FOR,
    Quarrel,
    fired_in,
    found_in,
    fragment_counts,
    own_examples,
    quarrels,
    reach,
    tabled_structures,
    taken,
)
from random_mixtures import Flask, flask, reagents
from test_judging import judged as judged_in_case
from test_rules import fired as fired_in_case

from washlore.knowledge.rows import table
from washlore.knowledge.solute import SoluteFragment
from washlore.knowledge.structure import Molecule, StructureError, molecules
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
    "Added conc. HCl, shook with methanol, washed with bleach, combined both layers, evaporated at 80 C.",
    "Poured into water, filtered the solid off, washed with cold water and dried in the oven.",
    "Water was added all at once to the hot mixture in the funnel, which was stoppered and shaken; acetone extract dried.",
    "Acidified with 6 M HCl, extracted three times with DCM, washed with NaHCO3, dried over MgSO4 and evaporated.",
    "Washed with 1 M HCl and water, dried over MgSO4, filtered, then washed with sat. NaHCO3 and evaporated.",
    "Diluted with dichloromethane, washed with 1 M HCl, the top layer was kept, dried over MgSO4 and evaporated.",
    "Washed with bleach, then with 1 M HCl, dried over MgSO4, filtered and evaporated.",
    "1. Dilute with ether\n2. Wash with sat. NaHCO3\n3. Dry over MgSO4\n4. Filter\n5. Evaporate",
    "Poured all at once into 6 M HCl at room temperature, extracted with ether, kept the aqueous layer, evaporated.",
    "Washed with water, dried over MgSO4 and concentrated.",
    "Washed with 10 % KF, 10 % Na2S2O3, sat. CuSO4 and water, kept the aqueous layer, basified with NaOH, extracted with ether.",
)


def planned(drawn: Flask) -> tuple[Plan | None, tuple[str, ...]]:
    """Return the plan, if there is one, and the rules that fired."""
    try:
        plan = make_plan(drawn.built(), 4)
    except PlanRefused as refused:
        return None, refused.fired
    return plan, plan.fired


def with_molecule(drawn: Flask, text: str, place: int) -> Flask:
    """Return a flask with a molecule in the place of its product, as one more leftover, or as one more product."""
    if place % 2:
        return Flask("", text, drawn.mmol, drawn.others, drawn.solvents, drawn.extract)
    others = (*drawn.others[:2], (text, drawn.mmol, "reactant" if place % 5 else "product"))
    return Flask("", drawn.product, drawn.mmol, others, drawn.solvents, drawn.extract)


def rows_in_the_shade(texts: list[str]) -> int:
    """Print the rows that take nothing first; return how many of them do not take their own example either."""
    found, parts = reach([*texts, *tabled_structures()])
    print(f"{len(parts)} structures")
    unexplained = 0
    for name in TABLES:
        examples: dict[str, list[str]] = {}
        for row, smiles in own_examples(name):
            examples.setdefault(row, []).append(smiles)
        idle = [row for row in examples if not found[name].count.get(row)]
        rare = {row: smiles for row in idle for smiles in examples[row] if (name, row) in taken(molecules(smiles))}
        print(f"\n{name}: {len(examples)} rows")
        print("  rare, each with its example:", ", ".join(f"{row} ({s})" for row, s in rare.items()) or "none")
        dead = [row for row in idle if row not in rare]
        print("  unexplained:", ", ".join(dead) or "none")
        unexplained += len(dead)
    return unexplained + fragments_in_the_shade(parts)


def fragments_in_the_shade(parts: list[Molecule]) -> int:
    """Print the fragments of log K that nothing has, and those that always go together; return how many rest on nothing.

    A fragment that occurs nowhere here may rest on solutes of its own; one that goes with another may differ in what it adds.
    """
    counts = fragment_counts(parts)
    rows = table(SoluteFragment)
    idle = [name for name, found in counts.items() if not any(found)]
    alike: dict[tuple[int, ...], list[str]] = {}
    for name, found in counts.items():
        if any(found):
            alike.setdefault(tuple(found), []).append(name)
    print(f"\nfragments: {len(counts)} rows")
    print(
        "  rare:", ", ".join(f"{name} ({rows[name].solutes} solutes)" for name in idle if rows[name].solutes) or "none"
    )
    print("  always together:", ", ".join(" and ".join(names) for names in alike.values() if len(names) > 1) or "none")
    dead = [name for name in idle if not rows[name].solutes]
    print("  unexplained:", ", ".join(dead) or "none")
    return len(dead)


def main() -> None:
    """Print what is listed above."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("molecules", type=Path)
    parser.add_argument("--count", type=int, default=5000, help="molecules shown to the tables")
    parser.add_argument("--flasks", type=int, default=5000, help="of these, molecules that are planned")
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    with given.molecules.open(encoding="utf-8", newline="") as file:
        texts = list(dict.fromkeys(row["smiles"] for row in csv.DictReader(file)))
    rng = random.Random(given.seed)
    rng.shuffle(texts)
    texts = texts[: given.count]
    fired: Counter[str] = Counter()
    judged: Counter[str] = Counter()
    found: dict[Quarrel, list[Flask]] = {}
    used = 0
    with rdBase.BlockLogs():
        unexplained = rows_in_the_shade(texts)
        sys.stdout.flush()
        drawn_from = texts[: given.flasks] + rng.sample(
            [r.smiles for r in reagents()], min(given.flasks, len(reagents()))
        )
        for n, text in enumerate(drawn_from):
            try:
                drawn = with_molecule(flask(rng, 3), text, n)
                plan, rules = planned(drawn)
            except (MixtureError, StructureError):
                continue
            except Exception as fault:  # the run goes on, and shows it
                found.setdefault(Quarrel("planner", type(fault).__name__, str(fault), ""), []).append(drawn)
                continue
            used += 1
            fired.update(set(rules))
            if plan is None:
                continue
            for one in [branch.plan for branch in plan.branches] or [plan]:
                for quarrel in quarrels(one):
                    found.setdefault(quarrel, []).append(drawn)
            if n % 4 or plan.branches:
                continue
            considered = Considered(plan.mixture, plan, "", sheet(plan.mixture, 4))
            proposal = read_plan(WRITTEN[n // 4 % len(WRITTEN)]) if n % 8 else as_proposal(plan)
            judged.update({x.rule for x in judge(proposal, considered).findings})
    for _, told, _ in PLANNED_FOR:
        fired.update(fired_in(told))
    for _, product, other, solvent, text in WRITTEN_FOR:
        judged.update(found_in(product, other, solvent, text))
    print(f"\n{used} flasks; wanted by one and forbidden by another:")
    kinds = Counter({(q.wants, q.forbids, q.what): 0 for q in found})
    for quarrel, flasks in found.items():
        kinds[quarrel.wants, quarrel.forbids, quarrel.what] += len(flasks)
    for kind, count in kinds.most_common():
        example = next(flasks[0] for q, flasks in found.items() if (q.wants, q.forbids, q.what) == kind)
        print(f"  {count:5} {' / '.join(kind)}: {example.product} with {' ; '.join(o[0] for o in example.others)}")
    unexplained += len(kinds)
    for what, lore, counted, own in (
        ("planning", all_lore(), fired, fired_in_case),
        ("judging", judging_lore(), judged, lambda case: {x.rule for x in judged_in_case(case).findings}),
    ):
        idle = [x for x in lore if not counted[x.id]]
        dead = [x.id for x in idle if not all(x.id in own(case) for case in x.fires)]
        rare = [f"{x.id} ({x.fires[0].reason})" for x in idle if x.id not in dead]
        print(f"\nrules of {what} that fire in their own cases alone:", ", ".join(rare) or "none")
        print("  unexplained:", ", ".join(dead) or "none")
        unexplained += len(dead)
    sys.exit(min(unexplained, 100))


if __name__ == "__main__":
    main()
