"""What the numbers cost: sites and log K of a new molecule, and a ledger of six steps, six components, 256 draws.

    python tests/benchmarks/cost_of_numbers.py [--short]

Everything is measured in one run and printed as a multiple of a floor: parsing the molecule and matching the same SMARTS
with RDKit alone. A benchmark, not a timed test.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from statistics import median

import numpy as np
from rdkit import Chem, RDLogger

from washlore.knowledge import acidity, groups, partition, solute
from washlore.knowledge.rows import Reagent, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.knowledge.water import equilibrium_ph
from washlore.rules.fragility import fragile
from washlore.rules.ledger import Step, run_ledger
from washlore.rules.mixture import build
from washlore.rules.plan import make_plan

STEPS = [
    Step("wash", solution=s, volume_ml=15) for s in ("citric_10", "hcl_1m", "nahco3_sat", "na2co3_10", "water", "brine")
]
OTHERS = ["triethylamine", "HOBt", "benzoic acid", "DMAP", "acetophenone"]


def _timed(job: Callable[[str], object], smiles: list[str]) -> float:
    """Return the median time of ``job`` over the molecules in milliseconds."""
    times = []
    for item in smiles:
        start = time.perf_counter()
        job(item)
        times.append(1000 * (time.perf_counter() - start))
    return median(times)


def main() -> None:
    """Print the costs."""
    RDLogger.DisableLog("rdApp.*")
    short = "--short" in sys.argv
    organic = [r.smiles for r in table(Reagent).values() if "." not in r.smiles and "c" in r.smiles.lower()]
    smiles = organic[:: 20 if short else 4]
    patterns = [
        Chem.MolFromSmarts(row.smarts)
        for row in (
            *table(acidity.SiteClass).values(),
            *table(solute.SoluteFragment).values(),
        )
        if getattr(row, "smarts", "") and Chem.MolFromSmarts(row.smarts) is not None
    ]

    def floor(text: str) -> None:
        mol = Chem.MolFromSmiles(text)
        for pattern in patterns:
            mol.GetSubstructMatches(pattern)

    def ours(text: str) -> None:
        part = molecules(text)[0]
        acidity.molecule_sites(part)
        for solvent in partition.SOLVENTS:
            partition.molecule_log_k(part, solvent)

    warm, smiles = smiles[:5], smiles[5:]
    for text in warm:
        floor(text)
        ours(text)
    floor_ms, ours_ms = _timed(floor, smiles), _timed(ours, smiles)
    mixture = build(
        "CC(C)(C)OC(=O)NCCc1ccccc1",
        [(o, "5 mmol", None) for o in OTHERS],
        product_amount="10 mmol",
        solvents=[("dichloromethane", 40.0)],
    )
    run_ledger(mixture, STEPS)
    ledger_ms = _timed(lambda _: run_ledger(mixture, STEPS), ["x"] * (3 if short else 15))
    whole = make_plan(mixture)
    bottle = table(Solvent)[whole.extraction]
    sweep_ms = _timed(lambda _: fragile(mixture, whole.ledger.steps, whole.ledger, bottle), ["x"] * 3)
    ph_ms = _timed(lambda _: equilibrium_ph([("carbonate", np.linspace(0, 1, 1000)), ("acetate", 0.2)], 0.3), ["x"] * 3)
    group_ms = _timed(lambda text: groups.molecule_groups(molecules(text)[0]), smiles)
    print(f"{len(smiles)} molecules, {len(patterns)} SMARTS, {len(partition.SOLVENTS)} solvents")
    print(f"floor (parse, match the same SMARTS)     {floor_ms:6.2f} ms   1.0 x")
    print(f"sites and log K in all solvents          {ours_ms:6.2f} ms   {ours_ms / floor_ms:.1f} x")
    print(f"ledger, 6 steps, 6 components, 256 draws {ledger_ms:6.2f} ms   {ledger_ms / floor_ms:.1f} x")
    print(f"sweep of what is fragile in a plan       {sweep_ms:6.2f} ms   {sweep_ms / floor_ms:.1f} x")
    print(f"pH of a thousand waters                  {ph_ms:6.2f} ms   {ph_ms / floor_ms:.1f} x")
    print(f"functional groups of a molecule          {group_ms:6.2f} ms   {group_ms / floor_ms:.1f} x")


if __name__ == "__main__":
    main()
