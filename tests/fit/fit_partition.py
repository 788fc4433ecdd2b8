"""Fit the coefficients of the partition tables and measure them on molecules set aside.

    python tests/fit/fit_partition.py DESCRIPTORS.csv LOG_K.csv [--index] [--write]

``DESCRIPTORS.csv`` holds name, smiles, E, S, A, B, V and ``LOG_K.csv`` smiles, solvent, log_k: compiled values with their
primary references, which are no part of the project. Octanol log P come from the data files of the ``chemicals``
package; where they give no structure, the name is read by ``py2opsin`` if that is installed. Molecules fall into five
parts by crc32(first block of the InChIKey) % 5. Part 0 is set aside: the figures printed first are for it, with
coefficients and slopes from parts 1 to 4. (Its figures were in view while the fragments, the ridge and the weight of
log P were settled, so they are a little kind.) What ``--write`` stores is then fitted on all five parts; slopes and
standard errors come from predictions for the part left out. ``--index`` rebuilds
``tables/log_p_octanol.csv``.

Both kinds of value are fitted at once: E, S, A and B of 3,900 solutes and the log P of 6,000, which see the same
coefficients through the octanol equation. Unusual values weigh less (Huber weights).
"""

from __future__ import annotations

import argparse
import csv
import zlib
from dataclasses import astuple, dataclass, fields, replace
from pathlib import Path

import numpy as np
import pandas as pd
from compiled_log_p import compiled_log_p
from rdkit import Chem, RDLogger

from washlore.knowledge import partition, solute
from washlore.knowledge.rows import table

TABLES = Path(partition.__file__).parent / "tables"
PARTS = 5
# Spread of one descriptor and of log P about the fit. The spread of log P is set wide, so that 6,000 of them do not
# outvote the descriptors.
SPREAD = {"E": 0.10, "S": 0.22, "A": 0.12, "B": 0.12}
LOG_P_SPREAD = 1.1
# Penalty and bend (in robust spreads) of each descriptor. A is compiled with the least care, of polyols above all (printed
# values of like compounds differ by a factor of two), so it is held the tightest and its outliers count the least.
RIDGE = {"E": 0.5, "S": 0.5, "A": 1.5, "B": 0.5}
BEND = {"E": 2.5, "S": 2.5, "A": 1.5, "B": 2.5}
LOG_P_BEND = 2.5
LEAST_SOLUTES = 2
SOLVENT_NAMES = {
    "diethyl ether": "diethyl_ether",
    "methyl tert-butyl ether": "mtbe",
    "diisopropyl ether": "diisopropyl_ether",
    "ethyl acetate": "ethyl_acetate",
    "n-butyl acetate": "n-butyl_acetate",
    "dichloromethane": "dichloromethane",
    "trichloromethane": "chloroform",
    "1,2-dichloroethane": "1,2-dichloroethane",
    "toluene": "toluene",
    "p-xylene": "xylene",
    "chlorobenzene": "chlorobenzene",
    "tetrachloromethane": "carbon_tetrachloride",
    "n-hexane": "hexane",
    "n-heptane": "heptane",
    "2-butanone": "2-butanone",
}


def part_of(block: str) -> int:
    """Return the part (0 to 4) of a molecule from the first block of its InChIKey."""
    return zlib.crc32(block.encode()) % PARTS


def held_out(block: str) -> bool:
    """Tell whether a molecule is set aside."""
    return part_of(block) == 0


@dataclass
class Solutes:
    """Molecules: fragment counts (n, fragments), V, Crippen log P, the most A can be, and ESAB (n, 4) or a log P (n,)."""

    smiles: list[str]
    blocks: np.ndarray
    part: np.ndarray
    counts: np.ndarray
    volume: np.ndarray
    crippen: np.ndarray
    heavy: np.ndarray
    most_a: np.ndarray
    values: np.ndarray

    @property
    def donor(self) -> np.ndarray:
        """Molecules with a hydrogen to give to a hydrogen bond."""
        return self.most_a > 0

    @property
    def held(self) -> np.ndarray:
        """Molecules set aside."""
        return self.part == 0


def count_all(smiles: list[str], values: np.ndarray) -> Solutes:
    """Count fragments in every molecule."""
    counter = solute.FragmentCounter()
    rows = []
    for text in smiles:
        mol = solute.neutral_form(Chem.MolFromSmiles(text))
        counts, volume, crippen = counter.count(mol)
        rows.append((solute.block(mol), counts, volume, crippen, mol.GetNumHeavyAtoms(), solute.most_acidity(mol)))
    blocks, counts, volume, crippen, heavy, most_a = zip(*rows, strict=True)
    return Solutes(
        list(smiles),
        np.array(blocks),
        np.array([part_of(b) for b in blocks]),
        np.array(counts),
        np.array(volume),
        np.array(crippen),
        np.array(heavy),
        np.array(most_a),
        np.asarray(values, float),
    )


def octanol_equation() -> np.ndarray:
    """Return c, e, s, a, b, v of octanol."""
    q = table(partition.SolventEquation)[partition.OCTANOL]
    return np.array([q.c, q.e, q.s, q.a, q.b, q.v])


def fit(solutes: Solutes, known: Solutes, use: np.ndarray, use_known: np.ndarray, rounds: int = 6) -> np.ndarray:
    """Return coefficients (fragments, 4) of E, S, A, B.

    Ridge regression with Huber weights. A is fitted on molecules with a donor hydrogen only: without
    one it is 0. A fragment that fewer than ``LEAST_SOLUTES`` molecules have gets no coefficient; rows set by hand
    (source ``from_memory``) stay as they are.
    """
    seen = (solutes.counts[use] != 0).sum(0) + (known.counts[use_known] != 0).sum(0)
    by_hand = np.array([f.source == "from_memory" for f in table(solute.SoluteFragment).values()])
    keep = np.flatnonzero((seen >= LEAST_SOLUTES) & ~by_hand)
    size = len(keep)
    x, y, donor = solutes.counts[np.ix_(use, keep)], solutes.values[use], solutes.donor[use]
    z, z_donor = known.counts[np.ix_(use_known, keep)], known.donor[use_known].astype(float)
    equation = octanol_equation()
    target = known.values[use_known] - equation[0] - equation[5] * known.volume[use_known]
    base = np.ones((len(x), 4))
    base[:, 2] = donor
    weight, weight_known = base.copy(), np.ones(len(z))
    ridge = np.ones(size)
    ridge[0] = 1e-6
    scale = np.array([1 / SPREAD[d] ** 2 for d in "ESAB"])
    penalty = np.array([RIDGE[d] / SPREAD[d] ** 2 for d in "ESAB"])
    bend = [BEND[d] for d in "ESAB"]
    mask = [np.ones(len(z)), np.ones(len(z)), z_donor, np.ones(len(z))]
    solution = np.zeros((size, 4))
    for _ in range(rounds):
        matrix, right = np.zeros((4 * size, 4 * size)), np.zeros(4 * size)
        w = weight_known / LOG_P_SPREAD**2
        plain, donors = (z * w[:, None]).T @ z, (z * (w * z_donor)[:, None]).T @ z
        for i in range(4):
            rows = slice(i * size, (i + 1) * size)
            wi = weight[:, i] * scale[i]
            matrix[rows, rows] += (x * wi[:, None]).T @ x + np.diag(ridge) * penalty[i]
            right[rows] += (x * wi[:, None]).T @ y[:, i] + equation[1 + i] * (z * (w * mask[i])[:, None]).T @ target
            for j in range(4):
                product = donors if 2 in (i, j) else plain
                matrix[rows, j * size : (j + 1) * size] += equation[1 + i] * equation[1 + j] * product
        solution = np.linalg.solve(matrix, right).reshape(4, size).T
        for i in range(4):
            error = np.abs(y[:, i] - x @ solution[:, i])
            spread = 1.4826 * np.median(error[base[:, i] > 0]) + 1e-3
            weight[:, i] = base[:, i] / np.maximum(1, error / (bend[i] * spread))
        estimate = z @ solution
        estimate[:, 2] *= z_donor
        error = np.abs(target - estimate @ equation[1:5])
        weight_known = 1 / np.maximum(1, error / (LOG_P_BEND * (1.4826 * np.median(error) + 1e-3)))
    result = np.array([(f.e, f.s, f.a, f.b) for f in table(solute.SoluteFragment).values()])
    result[~by_hand] = 0
    result[keep] = solution
    return result


def predict(solutes: Solutes, coefficients: np.ndarray) -> np.ndarray:
    """Return predicted ESAB (n, 4)."""
    p = solutes.counts @ coefficients
    p[:, 2] = np.clip(p[:, 2], 0, solutes.most_a)
    p[:, 3] = np.maximum(p[:, 3], 0)
    return p


def equation_matrix() -> tuple[list[str], np.ndarray]:
    """Return solvent keys and their coefficients (solvents, 6)."""
    rows = table(partition.SolventEquation).values()
    return [r.solvent for r in rows], np.array([(r.c, r.e, r.s, r.a, r.b, r.v) for r in rows])


def log_k(descriptors: np.ndarray, volume: np.ndarray, matrix: np.ndarray) -> np.ndarray:
    """Return log K (n, solvents)."""
    return np.c_[np.ones(len(volume)), descriptors, volume] @ matrix.T


def rmse(x: np.ndarray) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(np.square(x))))


def robust_slope(x: np.ndarray, y: np.ndarray) -> float:
    """Slope through the origin with Huber weights."""
    weight = np.ones(len(x))
    slope = 0.0
    for _ in range(10):
        slope = float((weight * x * y).sum() / (weight * x * x).sum())
        error = np.abs(y - slope * x)
        weight = 1 / np.maximum(1, error / (2.5 * (1.4826 * np.median(error) + 1e-3)))
    return slope


def leave_part_out(
    wanted: Solutes, solutes: Solutes, known: Solutes, matrix: np.ndarray, parts: tuple[int, ...] = tuple(range(PARTS))
) -> np.ndarray:
    """Return log K (n, solvents) of each ``wanted`` molecule of ``parts`` from a fit on the other ``parts``."""
    result = np.full((len(wanted.blocks), len(matrix)), np.nan)
    for part in parts:
        others = [p for p in parts if p != part]
        coefficients = fit(solutes, known, np.isin(solutes.part, others), np.isin(known.part, others))
        here = wanted.part == part
        result[here] = log_k(predict(wanted, coefficients), wanted.volume, matrix)[here]
    return result


def rare(molecules: Solutes, seen: np.ndarray) -> np.ndarray:
    """Return for each molecule how many of its fragments fewer than ``partition.RARE_SOLUTES`` molecules have."""
    return ((molecules.counts != 0) & (seen < partition.RARE_SOLUTES)).sum(1)


def slopes(estimate: np.ndarray, reference: np.ndarray, log_p: np.ndarray, octanol: int) -> np.ndarray:
    """Return per solvent what a unit of (measured - estimated log P) adds to log K."""
    gap = log_p - estimate[:, octanol]
    use = np.isfinite(gap) & (np.abs(gap) < 2.5)
    result = [robust_slope(gap[use], (reference - estimate)[use, j]) for j in range(estimate.shape[1])]
    result[octanol] = 1.0
    return np.array(result)


def bands(value: np.ndarray, edges: tuple[float, ...]) -> np.ndarray:
    """Return the band number of each value."""
    return np.searchsorted(edges, value, side="right")


def band_factors(value: np.ndarray, edges: tuple[float, ...], factors: tuple[float, ...]) -> np.ndarray:
    """Return the factor of the band that each value falls in."""
    return np.asarray(factors)[bands(value, edges)]


def class_factors(scaled: np.ndarray, classes: list[np.ndarray], share: float) -> list[np.ndarray]:
    """Return one factor per band of each class such that ``share`` of the errors lies below their product.

    ``scaled``: |error| over its quantile (n, columns). Factors never fall with the band: a doubt does not sharpen.
    """
    factors = [np.ones(int(c.max()) + 1) for c in classes]
    for _ in range(6):
        for k, cls in enumerate(classes):
            others = np.prod([factors[m][c] for m, c in enumerate(classes) if m != k], axis=0)
            relative = scaled / np.reshape(others, (-1, 1))
            for band in range(len(factors[k])):
                inside = cls == band
                if inside.sum() >= 20:
                    factors[k][band] = np.quantile(relative[inside], share)
            factors[k] = np.maximum.accumulate(factors[k])
    return factors


def one_sigma(scaled: np.ndarray, share: float) -> np.ndarray:
    """Return per solvent the larger of the ``share`` quantile and half the 90 % quantile: the errors are heavy-tailed."""
    return np.maximum(np.quantile(scaled, share, axis=0), np.quantile(scaled, 0.9, axis=0) / 2)


def beyond_equation(whole: np.ndarray, own: np.ndarray) -> np.ndarray:
    """Return what is left of standard errors when the equation's part, which is added again in use, is taken out."""
    return np.sqrt(np.maximum(whole**2 - own**2, (0.3 * whole) ** 2))


def write_rows(row_type: type, rows: list) -> None:
    """Write a table whose columns are the fields of ``row_type``."""
    with (TABLES / f"{row_type.table}.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([f.name for f in fields(row_type)])
        for row in rows:
            writer.writerow([" ; ".join(v) if isinstance(v, tuple) else v for v in astuple(row)])


def write_index(known: Solutes, rows: list[tuple[str, str, float, str]], estimate: np.ndarray) -> None:
    """Write ``log_p_octanol.csv``; values that two independent estimates contradict are left out.

    Amino acids are excepted: their value is for the zwitterion and neither estimate knows that.
    """
    zwitterion = known.counts[:, list(table(solute.SoluteFragment)).index("zwitterion")] > 0
    wrong = (np.abs(known.values - estimate) > 2) & (np.abs(known.values - known.crippen) > 2) & ~zwitterion
    with (TABLES / "log_p_octanol.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["inchikey_block", "log_p", "source"])
        for (block, smiles, value, collection), bad in zip(rows, wrong, strict=True):
            if bad:
                print("left out", smiles, value)
            else:
                writer.writerow([block, f"{value:.2f}", collection])


def main() -> None:
    """Fit, report on the set-aside molecules, and write when asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("descriptors")
    parser.add_argument("log_k")
    parser.add_argument("--index", action="store_true", help="rebuild the index of measured octanol log P")
    parser.add_argument("--write", action="store_true", help="store coefficients, slopes and standard errors")
    options = parser.parse_args()
    RDLogger.DisableLog("rdApp.*")

    frame = pd.read_csv(options.descriptors)
    solutes = count_all(list(frame.smiles), frame[["E", "S", "A", "B"]].to_numpy())
    rows = compiled_log_p()
    known = count_all([r[1] for r in rows], np.array([r[2] for r in rows]))
    by_block = dict(zip(known.blocks, known.values, strict=True))
    log_p = np.array([by_block.get(b, np.nan) for b in solutes.blocks])
    names, matrix = equation_matrix()
    octanol = names.index(partition.OCTANOL)
    reference = log_k(solutes.values, solutes.volume, matrix)
    held, has_log_p = solutes.held, np.isfinite(log_p)
    print(
        len(solutes.blocks),
        "solutes,",
        int(held.sum()),
        "set aside;",
        len(rows),
        "log P;",
        int(has_log_p.sum()),
        "both",
    )

    # 1. Figures on the set-aside part.
    coefficients = fit(solutes, known, ~held, ~known.held)
    descriptors = predict(solutes, coefficients)
    estimate = log_k(descriptors, solutes.volume, matrix)
    for k, name in enumerate("ESAB"):
        error = (descriptors - solutes.values)[held, k]
        print(f"{name}: set aside RMSE {rmse(error):.3f}, median |error| {np.median(np.abs(error)):.3f}")
    inner = leave_part_out(solutes, solutes, known, matrix, (1, 2, 3, 4))
    slope = slopes(inner, reference, log_p, octanol)
    gap = log_p - estimate[:, octanol]
    shifted = estimate + np.where(has_log_p, gap, 0)[:, None] * slope
    plain = np.abs(solutes.values[:, 2]) < 4  # one compiled glycoside has A = 6.8
    print("set aside (without the solute of A = 6.8): RMSE, by fragments / with measured log P where known")
    for j, name in enumerate(names):
        a, b = (estimate - reference)[:, j], (shifted - reference)[:, j]
        use = held & plain
        print(
            f"  {name:22s} {rmse(a[use]):.2f} / {rmse(b[use]):.2f}  median |error| {np.median(np.abs(b[use])):.2f}"
            f"  known log P {rmse(b[use & has_log_p]):.2f}  unknown {rmse(b[use & ~has_log_p]):.2f}"
            f"  all {rmse(b[held]):.2f}  slope {slope[j]:.2f}"
        )
    report_measured(options.log_k, coefficients, slope, by_block, names, matrix)
    error = log_k(predict(known, coefficients), known.volume, matrix)[:, octanol] - known.values
    fresh = ~np.isin(known.blocks, solutes.blocks)
    for label, use in (("all", known.held), ("without compiled descriptors", known.held & fresh)):
        print(
            f"log P set aside, {label}: n {use.sum()}, RMSE {rmse(error[use]):.2f}, median {np.median(np.abs(error[use])):.2f}"
        )

    # 2. What is stored: fitted on everything, errors from parts left out in turn.
    outside = leave_part_out(solutes, solutes, known, matrix)
    final_slope = slopes(outside, reference, log_p, octanol)
    gap = log_p - outside[:, octanol]
    share = 0.65
    seen = (solutes.counts != 0).sum(0) + (known.counts != 0).sum(0)
    error = outside - reference
    outside_known = leave_part_out(known, solutes, known, matrix)[:, octanol]
    fresh = ~np.isin(known.blocks, solutes.blocks)
    estimates = np.r_[outside[:, octanol], outside_known[fresh]]
    classes = [
        bands(np.abs(estimates - np.r_[solutes.crippen, known.crippen[fresh]]), partition.CRIPPEN_GAP_EDGES),
        bands(np.r_[solutes.heavy, known.heavy[fresh]], partition.HEAVY_ATOM_EDGES),
        bands(np.r_[rare(solutes, seen), rare(known, seen)[fresh]], partition.RARE_FRAGMENT_EDGES),
    ]
    # Two kinds of test, equally weighted: every solvent against the equations, and octanol against measured log P.
    chosen = [names.index(n) for n in ("diethyl_ether", "ethyl_acetate", "dichloromethane", "toluene", "hexane")]
    scaled = np.abs(error[:, chosen]) / np.quantile(np.abs(error[:, chosen]), share, axis=0)
    error_known = np.abs(outside_known - known.values)[fresh]
    error_known = np.repeat(error_known[:, None], len(chosen), axis=1) / np.quantile(error_known, share)
    factors = class_factors(np.r_[scaled, error_known], classes, share)
    spread = np.prod([f[c] for f, c in zip(factors, classes, strict=True)], axis=0)[: len(error)]
    base = beyond_equation(one_sigma(np.abs(error) / spread[:, None], share), 0.6 * equation_sigma(names))
    error_p = (outside + gap[:, None] * final_slope - reference)[has_log_p]
    classes_p = [
        bands(np.abs(gap[has_log_p]), partition.LOG_P_GAP_EDGES),
        bands(solutes.heavy[has_log_p], partition.HEAVY_ATOM_EDGES),
    ]
    scaled = np.abs(error_p[:, chosen]) / np.quantile(np.abs(error_p[:, chosen]), share, axis=0)
    factors_p = class_factors(scaled, classes_p, share)
    spread_p = np.prod([f[c] for f, c in zip(factors_p, classes_p, strict=True)], axis=0)
    # With a measured log P the equation's own error is most of what is left; it is added again where sigma is used.
    base_p = beyond_equation(one_sigma(np.abs(error_p) / spread_p[:, None], share), 0.9 * equation_sigma(names))
    for label, values in zip(
        ("CRIPPEN_GAP", "HEAVY_ATOM", "RARE_FRAGMENT", "LOG_P_GAP", "HEAVY_ATOM_LOG_P"),
        factors + factors_p,
        strict=True,
    ):
        print(f"{label}_FACTORS = {tuple(round(float(v), 2) for v in values)}")
    for label, e, wide in (
        ("by fragments", error, spread[:, None] * base),
        ("with measured log P", error_p, spread_p[:, None] * base_p),
    ):
        ratio = np.abs(e) / np.hypot(wide, equation_sigma(names))
        one, two = 100 * (ratio < 1).mean(0), 100 * (ratio < 2).mean(0)
        print(label, "- per cent within one and two sigma:")
        print("  " + ", ".join(f"{n} {x:.0f} {y:.0f}" for n, x, y in zip(names, one, two, strict=True)))

    final = fit(solutes, known, np.ones_like(held), np.ones_like(known.held))
    if options.index:
        write_index(known, rows, log_k(predict(known, final), known.volume, matrix)[:, octanol])
    if options.write:
        write_rows(
            solute.SoluteFragment,
            [
                replace(f, **dict(zip("esab", (round(float(v), 4) for v in c), strict=True)), solutes=int(n))
                for f, c, n in zip(table(solute.SoluteFragment).values(), final, seen, strict=True)
            ],
        )
        write_rows(
            partition.SolventEquation,
            [
                replace(
                    q,
                    octanol_slope=round(float(final_slope[j]), 3),
                    sigma_fragments=round(float(base[j]), 3),
                    sigma_octanol=round(float(base_p[j]), 3),
                )
                for j, q in enumerate(table(partition.SolventEquation).values())
            ],
        )


def report_measured(
    path: str,
    coefficients: np.ndarray,
    slope: np.ndarray,
    log_p: dict[str, float],
    names: list[str],
    matrix: np.ndarray,
) -> None:
    """Print errors against measured log K of the molecules set aside, by fragments and with measured log P."""
    frame = pd.read_csv(path)
    frame = frame[frame.solvent.isin(list(SOLVENT_NAMES))].reset_index(drop=True)
    solutes = count_all(list(frame.smiles), frame.log_k.to_numpy())
    octanol = names.index(partition.OCTANOL)
    column = np.array([names.index(SOLVENT_NAMES[s]) for s in frame.solvent])
    row = np.arange(len(frame))
    estimate = log_k(predict(solutes, coefficients), solutes.volume, matrix)
    gap = np.array([log_p.get(b, np.nan) for b in solutes.blocks]) - estimate[:, octanol]
    shifted = estimate[row, column] + np.where(np.isfinite(gap), gap * slope[column], 0)
    print("measured log K set aside: RMSE by fragments / with measured log P where known")
    for label, use in [(n, solutes.held & (column == names.index(n))) for n in SOLVENT_NAMES.values()] + [
        ("all", solutes.held)
    ]:
        a, b = (estimate[row, column] - solutes.values)[use], (shifted - solutes.values)[use]
        print(
            f"  {label:22s} n {use.sum():4d}  {rmse(a):.2f} / {rmse(b):.2f}  median |error| {np.median(np.abs(b)):.2f}"
        )


def equation_sigma(names: list[str]) -> np.ndarray:
    """Return the standard errors of the solvent equations."""
    return np.array([table(partition.SolventEquation)[n].sigma for n in names])


if __name__ == "__main__":
    main()
