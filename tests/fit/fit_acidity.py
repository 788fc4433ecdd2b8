"""Fit the pKa coefficients to a table of measured values and write ``pka_coefficients.csv``.

    python tests/fit/fit_acidity.py VALUES.csv [--out FILE] [--worst N]

VALUES.csv has the columns smiles, site_atom (index in that SMILES of the atom that loses or gains H+), kind (acid, or
base: the pKa is the conjugate acid's), pka (water, 25 C). The package's own ``pka_measured.csv`` joins the fit with
double weight. Printed: errors per class on molecules left out in five-fold cross-validation, for the rows of
VALUES.csv; these choose the penalty and are therefore a little kind (``measure_acidity.py`` is not).

The fit is ridge regression with Huber weights. Per family of classes each feature has a shared coefficient, which
sets out from zero or from a published reaction constant (``RHO``); a class may deviate from it under a stronger
penalty.
"""

from __future__ import annotations

import argparse
import csv
import datetime
import math
import zlib
from collections import Counter, defaultdict
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
from rdkit import Chem

from washlore.knowledge import acidity
from washlore.knowledge.acidity_features import features, statistical
from washlore.knowledge.rows import MeasuredPka, table
from washlore.knowledge.surroundings import Surroundings

FOLDS = 5
FEWEST_ROWS = 10  # fewer measured sites than this in a family: class mean
FEWEST_PER_FEATURE = 2
HUBER_ROUNDS = 6
PENALTIES = (0.3, 1.0, 3.0, 8.0, 24.0)
OWN_WEIGHT = 2.0
LEADING = {
    "pull",
    "far_pull",
    "m_sigma",
    "p_sigma",
    "p_minus_extra",
    "o_field",
    "o_sigma",
    "m_aza",
    "o_aza",
    "p_aza",
    "peri_amine",
    "bonded_phenol",
    "bonded_amine",
    "fused_conjugated_sigma",
    "fused_crossed_sigma",
}
LIGHT_PENALTY = 0.03  # for the leading features and the class intercepts
FARTHEST_OFF = 4.0  # rows so many typical sigmas (and units) off the class's usual value count as misassigned
# Reaction constants from which the fit of a family sets out (Perrin, Dempsey and Serjeant, pKa Prediction, 1981; recalled).
RHO: dict[str, dict[str, float]] = {
    "benzoic": {"m_sigma": -1.0, "p_sigma": -1.0},
    "phenol": {"m_sigma": -2.2, "p_sigma": -2.2, "p_minus_extra": -2.2, "o_sigma": -2.2, "o_minus_extra": -2.2},
    "thiophenol": {"m_sigma": -2.2, "p_sigma": -2.2, "p_minus_extra": -2.2},
    "aniline": {"m_sigma": -2.9, "p_sigma": -2.9, "p_minus_extra": -2.9, "o_sigma": -2.9, "o_minus_extra": -2.9},
    "pyridine": {"m_sigma": -5.9, "p_sigma": -5.9},
    "boronic": {"m_sigma": -2.1, "p_sigma": -2.1},
}
WIDEST = 3.0  # a class's sigma at most, in its usual sigmas: where most values are misassigned they say nothing
CLEARLY = 0.85  # how much smaller the mean's squared errors have to be for it to take the model's place
CLASS_SHARE = 0.6  # how freely a class deviates from its family
OUT = Path(__file__).parents[2] / "knowledge" / "tables" / "pka_coefficients.csv"


@dataclass(slots=True)
class Measured:
    """One measured site, its class and features."""

    smiles: str
    atom: int
    kind: str
    pka: float
    group: str
    site_class: acidity.SiteClass
    features: dict[str, float]
    target: float
    heavy_atoms: int
    weight: float = 1.0
    out_of_fold: float = math.nan


def block(mol: Chem.Mol) -> str:
    """Return the first block of the InChIKey, which stands for the skeleton."""
    return Chem.MolToInchiKey(mol)[:14] or Chem.MolToSmiles(mol)


def prepared(smiles: str, atom: int, kind: str, pka: float, weight: float) -> Measured | None:
    """Return a measured site with its class and features, or None where no class takes it."""
    mol = acidity.neutral_form(Chem.MolFromSmiles(smiles))
    classes = acidity.site_classes(mol)
    site_class = classes.get((atom, kind))
    if site_class is None:
        return None
    around = Surroundings(mol)
    charged = acidity.charged_before(around, atom, site_class, classes)
    sign = 1.0 if kind == "base" else -1.0
    target = pka - sign * statistical(around, atom)
    found = features(around, atom, site_class.frame, charged)
    return Measured(smiles, atom, kind, pka, block(mol), site_class, found, target, mol.GetNumAtoms(), weight)


def read(path: Path) -> list[Measured]:
    """Return the measured sites of a file, and of the package's own table, whose class can be told."""
    rows = []
    missed: Counter[str] = Counter()
    for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines()):
        site = prepared(row["smiles"], int(row["site_atom"]), row["kind"], float(row["pka"]), 1.0)
        if site is None:
            missed[row.get("site_class", "?")] += 1
        else:
            rows.append(site)
    print(f"{len(rows)} sites read; no class for {sum(missed.values())}: {dict(missed.most_common(12))}")
    own: dict[tuple[str, str], list[MeasuredPka]] = defaultdict(list)
    for row in table(MeasuredPka).values():
        own[row.smiles, row.kind].append(row)
    for (smiles, kind), several in own.items():
        # Of several equals only the first ionisation is what the model describes.
        first = sorted(several, key=lambda r: r.pka if kind == "acid" else -r.pka)
        sites = [prepared(smiles, r.atom, kind, r.pka, OWN_WEIGHT) for r in first]
        earlier: list[float] = []
        for site in sites:
            if site and all(abs(site.site_class.typical_pka - e) > 1.0 for e in earlier):
                rows.append(site)
            if site:
                earlier.append(site.site_class.typical_pka)
    return rows


def design(
    rows: list[Measured], names: list[str], classes: list[str], scale: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return the matrix (shared features, then per class an intercept and its own features) and column penalties."""
    base = np.array([[r.features.get(n, 0.0) for n in names] for r in rows]).reshape(len(rows), len(names)) / scale
    light = np.array([LIGHT_PENALTY if n.removeprefix("own_") in LEADING else 1.0 for n in names])
    columns, penalties = [base], [light]
    for c in classes:
        mask = np.array([r.site_class.id == c for r in rows], float)[:, None]
        columns.append(mask)
        penalties.append(np.array([LIGHT_PENALTY]))
        if len(classes) > 1:
            columns.append(CLASS_SHARE * mask * base)
            penalties.append(np.sqrt(light))
    return np.hstack(columns), np.concatenate(penalties)


def credible(row: Measured) -> bool:
    """Return whether a value may belong to the site it is given for; the package's own rows always may."""
    usual = FARTHEST_OFF * max(row.site_class.typical_sigma, 1.0)
    return row.weight != 1.0 or abs(row.target - row.site_class.typical_pka) <= usual


class Ridge:
    """Ridge regression with Huber weights (two robust standard errors) of ``y`` on ``x``, for several penalties."""

    def __init__(self, x: np.ndarray, y: np.ndarray, own_weight: np.ndarray, ridge: np.ndarray) -> None:
        self.shown = np.flatnonzero(np.any(x != 0.0, axis=0))  # a column that nothing shows gets no coefficient
        self.x, self.ridge, self.width = x[:, self.shown], ridge[self.shown], x.shape[1]
        self.y, self.own_weight, self.weight = y, own_weight, own_weight
        # By way of the rows where they are fewer than the columns: the same solution.
        self.kernel = (self.x / self.ridge) @ self.x.T if len(y) < len(self.shown) else None

    def solve(self, penalty: float, rounds: int) -> np.ndarray:
        """Return the coefficients; the weights of the penalty before are where the rounds begin."""
        x, ridge = self.x, penalty * self.ridge
        for _ in range(rounds):
            if self.kernel is None:
                weighted = x * self.weight[:, None]
                b = np.linalg.solve(weighted.T @ x + np.diag(ridge), weighted.T @ self.y)
            else:
                b = x.T @ np.linalg.solve(self.kernel / penalty + np.diag(1 / self.weight), self.y) / ridge
            off = np.abs(self.y - x @ b)
            self.weight = self.own_weight / np.maximum(1.0, off / (2 * max(0.2, 1.4826 * float(np.median(off)))))
        whole = np.zeros(self.width)
        whole[self.shown] = b
        return whole


def fold_of(row: Measured) -> int:
    return zlib.crc32(("fold" + row.group).encode()) % FOLDS


def widenings(rows: list[Measured]) -> np.ndarray:
    """Return for each row of one class by how much its surroundings widen the error, other molecules counted."""
    shown: dict[str, Counter[str]] = defaultdict(Counter)
    for r in rows:
        for n in r.features:
            shown[n][r.group] += 1
    return np.array(
        [acidity.widening([shown[n].total() - shown[n][r.group] for n in r.features], r.heavy_atoms) for r in rows]
    )


def spread(errors: np.ndarray, prior: float) -> float:
    """Return a sigma that covers some 71 % of the errors once and 91 % twice; ``prior`` weighs as six rows."""
    if not len(errors):
        return prior
    sigma = 0.45 * float(np.quantile(errors, 0.68)) + 0.23 * float(np.quantile(errors, 0.95))
    return (len(errors) * sigma + 6 * prior) / (len(errors) + 6)


def poorer(estimates: np.ndarray, means: np.ndarray, y: np.ndarray, kept: np.ndarray) -> bool:
    """Return whether a class's mean is clearly nearer than its model, on molecules left out."""
    return bool(kept.any()) and CLEARLY * clipped(estimates - y)[kept].mean() >= clipped(means - y)[kept].mean()


def clipped(errors: np.ndarray) -> np.ndarray:
    """Return the squares of errors, those above three units as three."""
    return np.minimum(np.abs(errors), 3) ** 2


def fit_family(family: str, rows: list[Measured]) -> list[tuple[str, str, float, int]]:
    """Return (class, feature, value, rows) for a family and note each row's out-of-fold estimate."""
    classes = {r.site_class.id: r.site_class for r in rows}
    y = np.array([r.target - r.site_class.typical_pka for r in rows])
    sound = np.array([credible(r) for r in rows])
    folds = np.array([fold_of(r) for r in rows])
    own_weight = np.array([r.weight for r in rows])
    rho = RHO.get(family, {})
    known = np.array([sum(rho[n] * v for n, v in r.features.items() if n in rho) for r in rows])
    counts = Counter(n for r, s in zip(rows, sound, strict=True) if s for n in r.features)
    names = sorted(n for n, c in counts.items() if c >= FEWEST_PER_FEATURE)
    result: list[tuple[str, str, float, int]] = []
    modelled = int(sound.sum()) >= FEWEST_ROWS
    left_out, b = np.zeros(len(y)), np.zeros(0)
    scale = np.ones(len(names))
    if modelled:
        raw = np.array([[r.features.get(n, 0.0) for n in names] for r in rows]).reshape(len(rows), len(names))
        scale = np.maximum(raw[sound].std(axis=0), 1e-3) ** 0.5
        x, ridge = design(rows, names, list(classes), scale)
        trials = np.zeros((len(PENALTIES), len(y)))
        for f in range(FOLDS):
            test = folds == f
            train = ~test & sound
            if test.any() and train.any():
                left_in = Ridge(x[train], (y - known)[train], own_weight[train], ridge)
                for k, penalty in enumerate(PENALTIES):
                    trials[k, test] = known[test] + x[test] @ left_in.solve(penalty, 3)
        losses = clipped(trials - y)[:, sound].mean(axis=1)
        best = int(np.argmin(losses))
        left_out = trials[best]
        b = Ridge(x[sound], (y - known)[sound], own_weight[sound], ridge).solve(PENALTIES[best], HUBER_ROUNDS)
    width = len(names) + 1 if len(classes) > 1 else 1
    for k, name in enumerate(names if modelled and any(r.tier == "model" for r in classes.values()) else []):
        result.append(("*", name, b[k] / scale[k] + rho.get(name, 0.0), counts[name]))
    for j, (c, row) in enumerate(classes.items()):
        mask = np.array([r.site_class.id == c for r in rows])
        kept = mask & sound
        n = int(kept.sum())
        of_class = np.flatnonzero(mask)
        means = np.zeros(len(y))
        for i in of_class:
            others = kept & (folds != folds[i])
            means[i] = float(np.median(y[others])) * others.sum() / (others.sum() + 3) if others.any() else 0.0
        use_mean = not modelled or row.tier == "class mean" or poorer(left_out, means, y, kept)
        mean = (float(np.median(y[kept])) * n if n else 0.0) / (n + 3) + row.typical_pka
        margin = 1.0 if n >= 20 else 3.0
        low = row.typical_pka + (min(float(y[kept].min()), 0.0) if n else 0.0) - margin
        high = row.typical_pka + (max(float(y[kept].max()), 0.0) if n else 0.0) + margin
        for i in of_class:
            value = float(means[i] if use_mean else left_out[i])
            rows[i].out_of_fold = min(max(value + row.typical_pka, low), high)
        errors = np.abs(np.array([rows[i].out_of_fold - rows[i].target for i in of_class]))
        if not use_mean:
            errors /= widenings([rows[i] for i in of_class])
        prior = row.typical_sigma if use_mean else min(row.typical_sigma, 1.0)
        sigma = min(spread(errors, prior), WIDEST * max(row.typical_sigma, 1.0))
        if n < len(of_class) / 2:  # most values belong to another site: their errors say nothing of the estimate
            sigma = min(sigma, 1.5 * row.typical_sigma)
        result += [
            (c, "mean", mean, n),
            (c, "sigma", sigma, n),
            (c, "lowest", low, n),
            (c, "highest", high, n),
        ]
        if not use_mean:
            own = b[len(names) + width * j : len(names) + width * (j + 1)]
            result.append((c, "intercept", float(own[0]) + row.typical_pka, n))
            for k, value in enumerate(own[1:]):
                shown = sum(names[k] in r.features for r in rows if r.site_class.id == c)
                if shown:
                    result.append((c, names[k], CLASS_SHARE * value / scale[k], shown))
    return result


def fit(rows: list[Measured]) -> list[acidity.Coefficient]:
    """Fit all families, note each row's out-of-fold estimate, and return the coefficients."""
    families = defaultdict(list)
    for r in rows:
        families[r.site_class.family].append(r)
    own = sum(r.weight != 1.0 for r in rows)
    stamp = f"fitted {datetime.date.today().isoformat()} to {len(rows) - own} sites of the source and {own} of pka_measured.csv"
    return [
        acidity.Coefficient(
            f"{family}/{c}/{feature}",
            family,
            c,
            feature,
            round(value, 2),
            n,
            "mansouri2019",
            stamp if feature == "mean" else "",
        )
        for family in sorted(families)
        for c, feature, value, n in sorted(fit_family(family, families[family]))
    ]


def write(coefficients: list[acidity.Coefficient], out: Path) -> None:
    """Write the table of coefficients."""
    with out.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow([f.name for f in fields(acidity.Coefficient)])
        for c in coefficients:
            writer.writerow([c.id, c.family, c.site_class, c.feature, f"{c.value:.2f}", c.rows, c.source, c.note])


def report(rows: list[Measured]) -> None:
    """Print the cross-validated errors of each class."""
    groups: dict[str, list[float]] = defaultdict(list)
    for r in rows:
        if r.weight != 1.0 or r.site_class.tier == "omit":
            continue
        error = r.out_of_fold - r.target
        sound = credible(r)
        for key in (
            "all",
            *(["all but misassigned"] if sound else []),
            f"all {r.kind}s",
            r.site_class.id,
        ):
            groups[key].append(error)
    print(f"{'class':34s}{'n':>6s}{'RMSE':>7s}{'MAE':>7s}{'bias':>7s}{'% <1':>6s}")
    for key, errors in sorted(groups.items(), key=lambda item: -len(item[1])):
        e = np.array(errors)
        print(
            f"{key:34s}{len(e):6d}{math.sqrt(np.mean(e**2)):7.2f}{np.mean(abs(e)):7.2f}{e.mean():7.2f}"
            f"{100 * np.mean(abs(e) <= 1):6.0f}"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("values", type=Path)
    parser.add_argument("--out", type=Path, default=OUT)
    parser.add_argument("--worst", type=int, default=0, help="print so many of the largest errors")
    arguments = parser.parse_args()
    rows = read(arguments.values)
    write(fit(rows), arguments.out)
    report(rows)
    for r in sorted(
        (r for r in rows if r.site_class.tier != "omit"),
        key=lambda r: -abs(r.out_of_fold - r.target),
    )[: arguments.worst]:
        print(f"{r.smiles:60s} {r.site_class.id:28s} measured {r.target:6.2f} left out {r.out_of_fold:6.2f}")


if __name__ == "__main__":
    main()
