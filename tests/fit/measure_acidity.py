"""Measure the pKa estimates on molecules that their fit has not seen.

    python tests/fit/measure_acidity.py VALUES.csv [--worst]

VALUES.csv as for ``fit_acidity.py``. One molecule in five, by a hash of its InChIKey's first block, is set aside; the
coefficients are fitted to the rest (rows of ``pka_measured.csv`` for the same skeletons left out too) and used on the
set. Printed for the model alone and for the package as shipped (with its measured table): errors, the side of pH 8.3
for sites more than one unit from it, and how often one and two sigma cover the error.
"""

from __future__ import annotations

import argparse
import csv
import math
import tempfile
from collections import defaultdict
from pathlib import Path

import fit_acidity
import numpy as np
from rdkit import Chem

from washlore.knowledge import acidity
from washlore.knowledge.rows import read_rows, table

BICARBONATE_PH = 8.3


def found_site(mol: Chem.Mol, sites: list[acidity.Site], atom: int, kind: str) -> acidity.Site | None:
    """Return the site at ``atom``, or at an atom equal to it by symmetry (the one that ionises first)."""
    ranks = list(Chem.CanonicalRankAtoms(mol, breakTies=False))
    alike = [s for s in sites if s.kind == kind and ranks[s.atom] == ranks[atom]]
    return min(alike, key=lambda s: s.pka if kind == "acid" else -s.pka, default=None)


def summary(label: str, rows: list[tuple[str, float, acidity.Site]]) -> None:
    """Print one line of figures for (kind, measured pKa, site) rows."""
    if not rows:
        return
    error = np.array([site.pka - pka for _, pka, site in rows])
    size = np.abs(error)
    sigma = np.array([site.sigma for _, _, site in rows])
    sides = []
    for kind in ("acid", "base"):
        clear = [(pka, s.pka) for k, pka, s in rows if k == kind and abs(pka - BICARBONATE_PH) > 1]
        right = sum((a > BICARBONATE_PH) == (b > BICARBONATE_PH) for a, b in clear)
        sides.append(f"{kind}s {100 * right / len(clear):5.1f}" if clear else f"{kind}s  none")
    print(
        f"{label:32s} n {len(rows):4d}  RMSE {math.sqrt(np.mean(error**2)):.2f}  MAE {size.mean():.2f}"
        f"  median {np.median(size):.2f}  within 1: {100 * np.mean(size <= 1):.0f} %"
        f"  side of 8.3: {', '.join(sides)} %  1 sigma {100 * np.mean(size <= sigma):.0f} %"
        f"  2 sigma {100 * np.mean(size <= 2 * sigma):.0f} %"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("values", type=Path)
    parser.add_argument(
        "--worst",
        action="store_true",
        help="print errors above 2 and wrong sides of pH 8.3",
    )
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "pka_coefficients.csv"
        fit_acidity.fit(arguments.values, out, leave_out=True)
        fitted = acidity.by_family(read_rows(acidity.Coefficient, out.read_text(encoding="utf-8"), out.name).values())
    acidity._coefficients = lambda: fitted  # type: ignore[assignment]
    alone, shipped, missing, simple, sound = [], [], [], [], []
    rows_of = table(acidity.SiteClass)
    by_class: dict[str, list[tuple[str, float, acidity.Site]]] = defaultdict(list)
    for row in csv.DictReader(arguments.values.read_text(encoding="utf-8").splitlines()):
        mol = acidity.neutral_form(Chem.MolFromSmiles(row["smiles"]))
        if not fit_acidity.set_aside(fit_acidity.block(mol)):
            continue
        atom, kind, pka = int(row["site_atom"]), row["kind"], float(row["pka"])
        site = found_site(mol, acidity.estimate(mol, measured=False), atom, kind)
        if site is None:
            missing.append((row["smiles"], atom, kind, pka))
            continue
        alone.append((kind, pka, site))
        by_class[site.site_class].append((kind, pka, site))
        row_class = rows_of[site.site_class]
        usual = fit_acidity.FARTHEST_OFF * max(row_class.typical_sigma, 1.0)
        if abs(pka - row_class.typical_pka) <= usual:
            sound.append((kind, pka, site))
        if mol.GetNumHeavyAtoms() <= 12:
            simple.append((kind, pka, site))
        full = found_site(mol, acidity.estimate(mol), atom, kind)
        if full is not None:
            shipped.append((kind, pka, full))
            wrong_side = abs(pka - BICARBONATE_PH) > 1 and (full.pka > BICARBONATE_PH) != (pka > BICARBONATE_PH)
            if (abs(full.pka - pka) > 2 or wrong_side) and arguments.worst:
                print(
                    f"  {row['smiles']:60s} {full.site_class:26s} measured {pka:6.2f} "
                    f" found {full.pka:6.2f}"
                    f" ({full.tier}{', wrong side' if wrong_side else ''})"
                )
    print(f"{len(missing)} measured sites are not reported at all")
    for smiles, atom, kind, pka in missing if arguments.worst else []:
        print(f"  {smiles}  atom {atom}  {kind}  {pka}")
    summary("model alone", alone)
    for kind in ("acid", "base"):
        summary(f"model alone, {kind}s", [r for r in alone if r[0] == kind])
    summary("model alone, up to 12 atoms", simple)
    summary("model alone, not misassigned", sound)
    summary("as shipped", shipped)
    summary("as shipped, tier measured", [r for r in shipped if r[2].tier == "measured"])
    for name, rows in sorted(by_class.items(), key=lambda item: -len(item[1])):
        if len(rows) >= 5:
            summary(f"  {name}", rows)


if __name__ == "__main__":
    main()
