"""Measure the pKa estimates on molecules that their fit has not seen.

    python tests/fit/measure_acidity.py VALUES.csv [--folds N] [--repeats N] [--worst]

VALUES.csv as for ``fit_acidity.py``. Cross-validation by skeleton: molecules with the same first block of the InChIKey
share a fold (by a hash), and all that is fitted (coefficients, penalties, bounds, sigmas) is fitted without the fold,
rows of ``pka_measured.csv`` of its skeletons left out too. Printed, over all folds and repeats: for the model alone,
for the package as shipped (with its measured table), and for the model alone on the measured table's own rows (common
compounds, handbook values): errors, the side of pH 8.3 for sites more than one unit from it, and how often one and two
sigma cover the error. A site that is not reported is on the side of no acid, or of no base. The classes and features
themselves were chosen with these data in view.
"""

from __future__ import annotations

import argparse
import math
import zlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import fit_acidity
import numpy as np
from rdkit import Chem

from washlore.knowledge import acidity

BICARBONATE_PH = 8.3

Row = tuple[str, float, acidity.Site]
"""Kind, measured pKa, the site that was found."""


def found_site(mol: Chem.Mol, sites: list[acidity.Site], atom: int, kind: str) -> acidity.Site | None:
    """Return the site at ``atom``, or at an atom equal to it by symmetry (the one that ionises first)."""
    ranks = list(Chem.CanonicalRankAtoms(mol, breakTies=False))
    alike = [s for s in sites if s.kind == kind and ranks[s.atom] == ranks[atom]]
    return min(alike, key=lambda s: s.pka if kind == "acid" else -s.pka, default=None)


def summary(label: str, rows: list[Row], unreported: Sequence[tuple[str, float]] = ()) -> None:
    """Print one line of figures for (kind, measured pKa, site) rows; the sides count the ``unreported`` sites too."""
    if not rows:
        return
    error = np.array([site.pka - pka for _, pka, site in rows])
    size = np.abs(error)
    sigma = np.array([site.sigma for _, _, site in rows])
    sides = []
    for kind in ("acid", "base"):
        none = math.inf if kind == "acid" else -math.inf
        both = [(k, pka, site.pka) for k, pka, site in rows] + [(k, pka, none) for k, pka in unreported]
        clear = [(pka, found) for k, pka, found in both if k == kind and abs(pka - BICARBONATE_PH) > 1]
        right = sum((a > BICARBONATE_PH) == (b > BICARBONATE_PH) for a, b in clear)
        sides.append(f"{kind}s {100 * right / len(clear):5.1f}" if clear else f"{kind}s  none")
    print(
        f"{label:32s} n {len(rows):4d}  RMSE {math.sqrt(np.mean(error**2)):.2f}  MAE {size.mean():.2f}"
        f"  median {np.median(size):.2f}  within 1: {100 * np.mean(size <= 1):.0f} %"
        f"  side of 8.3: {', '.join(sides)} %  1 sigma {100 * np.mean(size <= sigma):.0f} %"
        f"  2 sigma {100 * np.mean(size <= 2 * sigma):.0f} %"
    )


@dataclass(slots=True)
class Tally:
    """What was found, by way of estimating: (kind, measured pKa, site) rows."""

    alone: list[Row] = field(default_factory=list)
    shipped: list[Row] = field(default_factory=list)
    simple: list[Row] = field(default_factory=list)
    credible: list[Row] = field(default_factory=list)
    handbook: list[Row] = field(default_factory=list)
    missing: list[tuple[str, float]] = field(default_factory=list)
    by_class: dict[str, list[Row]] = field(default_factory=lambda: defaultdict(list))


def measure(rows: list[fit_acidity.Measured], tally: Tally, worst: bool) -> None:
    """Estimate the sites of ``rows`` with the coefficients in force, and add them to the tally."""
    for row in rows:
        mol = acidity.neutral_form(Chem.MolFromSmiles(row.smiles))
        site = found_site(mol, acidity.estimate(mol, measured=False), row.atom, row.kind)
        if row.weight != 1.0:
            if site is not None:
                tally.handbook.append((row.kind, row.pka, site))
            continue
        if site is None:
            tally.missing.append((row.kind, row.pka))
            if worst:
                print(f"  not reported: {row.smiles}  atom {row.atom}  {row.kind}  {row.pka}")
            continue
        tally.alone.append((row.kind, row.pka, site))
        tally.by_class[row.site_class.id].append((row.kind, row.pka, site))
        if fit_acidity.credible(row):
            tally.credible.append((row.kind, row.pka, site))
        if mol.GetNumHeavyAtoms() <= 12:
            tally.simple.append((row.kind, row.pka, site))
        full = found_site(mol, acidity.estimate(mol), row.atom, row.kind)
        if full is None:
            continue
        tally.shipped.append((row.kind, row.pka, full))
        wrong_side = abs(row.pka - BICARBONATE_PH) > 1 and (full.pka > BICARBONATE_PH) != (row.pka > BICARBONATE_PH)
        if worst and (abs(full.pka - row.pka) > 2 or wrong_side):
            print(
                f"  {row.smiles:60s} {full.site_class:26s} measured {row.pka:6.2f} found {full.pka:6.2f}"
                f" ({full.tier}{', wrong side' if wrong_side else ''})"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("values", type=Path)
    parser.add_argument("--folds", type=int, default=5)
    parser.add_argument("--repeats", type=int, default=2)
    parser.add_argument("--worst", action="store_true", help="print errors above 2 and wrong sides of pH 8.3")
    arguments = parser.parse_args()
    rows = fit_acidity.read(arguments.values)
    tally = Tally()
    for repeat in range(arguments.repeats):
        folds = [zlib.crc32(f"{repeat} {r.group}".encode()) % arguments.folds for r in rows]
        for fold in range(arguments.folds):
            kept = [r for r, f in zip(rows, folds, strict=True) if f != fold]
            fitted = acidity.by_family(fit_acidity.fit(kept))
            acidity._coefficients = lambda family, fitted=fitted: fitted.get(family, {})  # type: ignore[assignment]
            acidity._seen_in.cache_clear()
            held_out = [r for r, f in zip(rows, folds, strict=True) if f == fold]
            measure(held_out, tally, arguments.worst and repeat == 0)
    print(f"{len(tally.missing)} measured sites are not reported at all")
    summary("model alone", tally.alone, tally.missing)
    for kind in ("acid", "base"):
        summary(f"model alone, {kind}s", [r for r in tally.alone if r[0] == kind])
    summary("model alone, up to 12 atoms", tally.simple)
    summary("model alone, credible values", tally.credible)
    summary("model alone, measured table", tally.handbook)
    summary("as shipped", tally.shipped, tally.missing)
    summary("as shipped, tier measured", [r for r in tally.shipped if r[2].tier == "measured"])
    for name, found in sorted(tally.by_class.items(), key=lambda item: -len(item[1])):
        if len(found) >= 5 * arguments.repeats:
            summary(f"  {name}", found)


if __name__ == "__main__":
    main()
