"""Throw inputs at washlore by the thousand and keep what breaks it.

    python tests/fuzz/fuzz.py plans --count 100000 --seed 1 --judge 0.01 --keep found.jsonl

Kinds: plans, tables, molecules, names, mixtures, files, options. A failure is an exception other than the ones that carry a
plain message, an input that takes more than two seconds of the processor, or a process that ever holds over 500 MB; each is
printed and kept as one JSON line. Everything runs in this process, from a seed, so that a run can be repeated. With
``--seeds`` molecules are made from those of a CSV file (column ``smiles``) besides the reagents.
"""

from __future__ import annotations

import argparse
import csv
import json
import random
import sys
import time
from dataclasses import asdict
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))
import inputs
from files import DRAWS
from targets import MOST_MB, most_megabytes, targets, tried


def run(
    kind: str, count: int, seed: int, keep: Path | None, judged: float = 0.01, planned: float = 0.02
) -> list[dict[str, Any]]:
    """Try ``count`` inputs of a kind; return the failures as records."""
    target = targets(judged, planned)[kind]
    failures: list[dict[str, Any]] = []
    seen: set[str] = set()
    slowest = 0.0
    understood = 0
    begun = time.monotonic()
    for n in range(count):
        rng = random.Random(f"{kind} {seed} {n}")
        given = DRAWS[kind](rng)
        trial = tried(target, given, rng)
        slowest = max(slowest, trial.cpu_s)
        understood += trial.understood
        if trial.trouble and (trial.where not in seen or len(failures) < 20):
            seen.add(trial.where)
            record = {"kind": kind, "seed": seed, "n": n, "given": given, **asdict(trial)}
            failures.append(record)
            print(json.dumps(record, ensure_ascii=True), flush=True)
            if keep is not None:
                with keep.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(record, ensure_ascii=True) + "\n")
        if n % 5000 == 4999:
            print(
                f"{kind}: {n + 1} tried, {understood} understood, slowest {slowest:.2f} s, at most {most_megabytes():.0f} MB, "
                f"{time.monotonic() - begun:.0f} s",
                flush=True,
            )
            assert most_megabytes() < MOST_MB, "the process has grown too large"
    print(
        f"{kind}: {count} tried, {understood} understood, {len(failures)} kept, slowest {slowest:.2f} s, "
        f"at most {most_megabytes():.0f} MB",
        flush=True,
    )
    return failures


def main() -> None:
    """Do what the command line asks for; the exit code is 1 where something was kept."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kind", choices=DRAWS)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--judge", type=float, default=0.01, help="the share of readable plans that are judged")
    parser.add_argument("--plan", type=float, default=0.02, help="the share of molecules and mixtures that are planned")
    parser.add_argument("--keep", type=Path, help="a file to which failures are added")
    parser.add_argument("--seeds", type=Path, action="append", default=[], help="CSV files of molecules to begin with")
    given = parser.parse_args()
    for path in given.seeds:
        with path.open(encoding="utf-8", newline="") as file:
            inputs.REAL.extend(row["smiles"] for row in csv.DictReader(file))
    raise SystemExit(bool(run(given.kind, given.count, given.seed, given.keep, given.judge, given.plan)))


if __name__ == "__main__":
    main()
