"""What a review costs a plan: flat with the size of the class, in one process and in two, in time and in memory.

    python tests/benchmarks/cost_of_review.py [--short | --long]

All is measured in one run. The floor is reading the same CSV with pandas and, for each row, matching the SMARTS of the table
of groups with RDKit alone on the components of the flask. ``--long`` goes to 10,000 different plans and takes long. A
benchmark, not a timed test: on a machine that is busy, trust the processor time and not the clock.
"""

from __future__ import annotations

import csv
import os
import sys
import tempfile
import time
from pathlib import Path

from rdkit import Chem, RDLogger

from washlore.cli.common import examples
from washlore.knowledge.rows import Group, table
from washlore.rules.mixture_file import read_mixture

RUN = "from washlore.cli.main import main\nif __name__ == '__main__':\n    main()\n"


def text(n: int) -> str:
    """Return a plan that no other number gives."""
    acid = ("1 M HCl", "10% citric acid", "0.5 M HCl")[n % 3]
    return (
        f"Wash with {10 + n % 17} mL of {acid} {'twice' if n % 2 else 'once'}, then with {10 + n // 17 % 23} mL of sat. NaHCO3 and "
        f"{10 + n // 391 % 29} mL of brine. Dry over {'MgSO4' if n % 5 else 'Na2SO4'}, filter, evaporate."
    )


def class_file(folder: Path, rows: int, distinct: int) -> Path:
    """Write a class of ``rows`` with ``distinct`` different plans."""
    path = folder / f"{rows}-{distinct}.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["student", "answer"])
        writer.writerows([f"Ficta {n}", text(n % distinct)] for n in range(rows))
    return path


def measured(folder: Path, path: Path, workers: int = 1) -> tuple[float, float, float]:
    """Return seconds by the clock, seconds of processor time, and the peak of memory in MB of a review."""
    script = folder / "run.py"
    script.write_text(RUN)
    out = folder / f"out-{path.stem}-{workers}"
    command = [sys.executable, str(script), "review", "ester", str(path), "--out", str(out), "--feedback", "none"]
    begun = time.perf_counter()
    child = os.posix_spawn(
        sys.executable,
        [*command, "--workers", str(workers)],
        os.environ,
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )
    _, status, used = os.wait4(child, 0)
    if status:
        raise SystemExit(f"review ended with {status}")
    return time.perf_counter() - begun, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def floor(path: Path, rows: int) -> float:
    """Return the processor time a row for reading the CSV and matching the SMARTS."""
    import pandas as pd

    patterns = [p for row in table(Group).values() if (p := Chem.MolFromSmarts(row.smarts)) is not None]
    smiles = [c.smiles for c in read_mixture(examples()["ester"]).components]
    begun = time.process_time()
    for _ in pd.read_csv(path).itertuples():
        for item in smiles:
            mol = Chem.MolFromSmiles(item)
            for pattern in patterns:
                mol.GetSubstructMatches(pattern)
    return (time.process_time() - begun) / rows


def main() -> None:
    """Print the costs."""
    RDLogger.DisableLog("rdApp.*")
    short, long = "--short" in sys.argv, "--long" in sys.argv
    sizes = (10, 40) if short else (100, 1_000, 10_000) if long else (100, 1_000)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        least = floor(class_file(folder, sizes[0], sizes[0]), sizes[0])
        print(f"floor (read the CSV, match the SMARTS)  {1000 * least:6.2f} ms a row   1.0 x")
        empty = measured(folder, class_file(folder, 1, 1))
        each = {}
        for size in sizes:
            clock, used, peak = measured(folder, class_file(folder, size, size))
            each[size] = (used - empty[1]) / (size - 1)
            print(
                f"{size:6,} different plans, one process     {1000 * each[size]:6.2f} ms a plan  {each[size] / least:.1f} x"
                f"   {size / clock:.0f} a second by the clock, {1 / each[size]:.0f} by processor time, peak {peak:.0f} MB",
                flush=True,
            )
        print(f"cost a plan, {sizes[-1]:,} as a part of {sizes[0]:,}: {each[sizes[-1]] / each[sizes[0]]:.2f}")
        size = sizes[1]
        one = measured(folder, class_file(folder, size + 1, size + 1))[0]
        two = measured(folder, class_file(folder, size + 2, size + 2), 2)[0]
        print(f"{size:6,} different plans, two processes    {one / two:.2f} x one, start included", flush=True)
        many = (60, 600) if short else (1_000, 100_000)
        peaks = [measured(folder, class_file(folder, rows, 50)) for rows in many]
        print(
            f"peak memory, {many[1]:,} rows as a part of {many[0]:,}: {peaks[1][2] / peaks[0][2]:.2f} "
            f"({peaks[0][2]:.0f} and {peaks[1][2]:.0f} MB); {many[1] / peaks[1][0]:.0f} rows a second"
        )


if __name__ == "__main__":
    main()
