"""Measure the partition layer as shipped against compiled values.

    python tests/fit/measure_partition.py DESCRIPTORS.csv LOG_K.csv [--only-held-out]

Two yardsticks: log K from the solvent equations with compiled Abraham descriptors, and compiled measured log K. The
files are those of ``fit_partition.py``; the stored coefficients were fitted on all molecules of the first, so these
figures flatter the fragments: figures for molecules set aside before the fit are what ``fit_partition.py`` prints. Run
this on other molecules to test the tool. The last table shows how many errors lie within one and two sigma.
"""

from __future__ import annotations

import argparse
import time

import numpy as np
import pandas as pd
from fit_partition import SOLVENT_NAMES, equation_matrix, held_out, log_k, rmse
from rdkit import Chem

from washlore.knowledge import partition
from washlore.knowledge.structure import molecules

MISCIBLE_OR_ODD = 4.0  # A of one compiled glycoside is 6.8


def line(name: str, error: np.ndarray, sigma: np.ndarray) -> str:
    """Return one line of figures."""
    ratio = np.abs(error) / sigma
    return (
        f"  {name:22s} n {len(error):5d}  RMSE {rmse(error):.2f}  median |error| {np.median(np.abs(error)):.2f}"
        f"  bias {np.mean(error):+.2f}  within 1 sigma {100 * np.mean(ratio < 1):.0f} %, 2 sigma {100 * np.mean(ratio < 2):.0f} %"
    )


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("descriptors")
    parser.add_argument("log_k")
    parser.add_argument("--only-held-out", action="store_true", help="only the fifth that fit_partition.py sets aside")
    options = parser.parse_args()
    names, matrix = equation_matrix()

    frame = pd.read_csv(options.descriptors)
    frame = frame[frame.A < MISCIBLE_OR_ODD]
    wanted = [
        not options.only_held_out or held_out(Chem.MolToInchiKey(Chem.MolFromSmiles(s))[:14]) for s in frame.smiles
    ]
    frame = frame[wanted]
    solutes = [molecules(s)[0] for s in frame.smiles]
    start = time.perf_counter()
    values = [[partition.molecule_log_k(m, n) for n in names] for m in solutes]
    print(f"{1000 * (time.perf_counter() - start) / len(solutes):.2f} ms per molecule, all solvents")
    reference = log_k(frame[["E", "S", "A", "B"]].to_numpy(), frame.V.to_numpy(), matrix)
    got = np.array([[k.value for k in row] for row in values])
    sigma = np.array([[k.sigma for k in row] for row in values])
    tier = np.array([[k.tier for k in row] for row in values])
    print("against the equations with compiled descriptors")
    for j, name in enumerate(names):
        print(line(name, (got - reference)[:, j], sigma[:, j]))
    for kind in ("fragments", "measured octanol", "measured"):
        inside = tier == kind
        print(line(kind, (got - reference)[inside], sigma[inside]))

    print("against compiled measured log K")
    measured = pd.read_csv(options.log_k)
    everything = []
    for label, key in SOLVENT_NAMES.items():
        rows = measured[measured.solvent == label]
        if options.only_held_out:
            rows = rows[[held_out(Chem.MolToInchiKey(Chem.MolFromSmiles(s))[:14]) for s in rows.smiles]]
        if len(rows) == 0:
            continue
        found = [partition.log_k(s, key) for s in rows.smiles]
        error = np.array([k.value for k in found]) - rows.log_k.to_numpy()
        everything.append((error, np.array([k.sigma for k in found])))
        print(line(key, *everything[-1]))
    print(line("all", *(np.concatenate(x) for x in zip(*everything, strict=True))))


if __name__ == "__main__":
    main()
