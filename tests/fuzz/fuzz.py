"""Throw inputs at washlore by the thousand and keep what breaks it.

    python tests/fuzz/fuzz.py plans --count 100000 --seed 1 --judge 0.01 --keep found.jsonl

Kinds: plans, tables, molecules, names, mixtures, options. A failure is an exception other than the ones that carry a
plain message, an input that takes more than two seconds of the processor, or a process that ever holds over 500 MB; each is
printed and kept as one JSON line. Everything runs in this process, from a seed, so that a run can be repeated. With
``--seeds`` molecules are made from those of a CSV file (column ``smiles``) besides the reagents.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import io
import json
import random
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))
import inputs

SLOWEST_S = 2.0
MOST_MB = 500.0


def targets(judged_share: float, planned_share: float) -> dict[str, Callable[[random.Random], Any]]:
    """Return for each kind a function that draws an input; what it returns is called on it."""
    from washlore.cli.main import main as cli
    from washlore.knowledge import names, sites
    from washlore.knowledge.groups import all_residues, molecule_groups
    from washlore.knowledge.partition import SOLVENTS, molecule_log_k
    from washlore.knowledge.structure import StructureError, molecules
    from washlore.rules.judge import consider, judge
    from washlore.rules.mixture import MixtureError, build, mixture_from_table
    from washlore.rules.plan import make_plan
    from washlore.rules.reading import read_plan, read_table
    from washlore.rules.reading.errors import ReadingError
    from washlore.rules.reckon import PlanRefused

    thought = [
        consider(
            build(p, [(o, None, None) for o in others], product_amount="10 mmol", solvents=[("dichloromethane", 40.0)])
        )
        for p, others in (
            ("CCOC(=O)c1ccccc1", ("pyridine", "benzoic acid")),
            ("CCCCCCN", ("acetophenone",)),
            ("CC(=O)Cl", ()),
        )
    ]

    def plans(rng: random.Random) -> tuple[Any, Callable[[Any], object]]:
        def go(text: str) -> None:
            plan = read_plan(text)
            if plan.readable and rng.random() < judged_share:
                judge(plan, rng.choice(thought))

        return inputs.plan_text(rng), go

    def tables(rng: random.Random) -> tuple[Any, Callable[[Any], object]]:
        def go(made: tuple[str, str]) -> None:
            try:
                read_table(*made)
            except ReadingError as error:
                plain(error)

        return inputs.plan_table(rng), go

    def molecules_(rng: random.Random) -> tuple[Any, Callable[[Any], object]]:
        def go(text: str) -> None:
            try:
                parts = molecules(names.resolve(text).smiles)
                for part in parts:
                    molecule_groups(part)
                    for solvent in rng.sample(list(SOLVENTS), 3):
                        molecule_log_k(part, solvent)
                all_residues(parts)
                sites(text)
                if rng.random() < planned_share:
                    make_plan(build(text, [("triethylamine", "5 mmol", None)]), 8)
                elif rng.random() < planned_share:
                    make_plan(build("CCOC(=O)c1ccccc1", [(text, "5 mmol", None)]), 8)
            except (StructureError, names.NameProblem, MixtureError, PlanRefused) as error:
                plain(error)

        return inputs.smiles(rng), go

    def names_(rng: random.Random) -> tuple[Any, Callable[[Any], object]]:
        def go(text: str) -> None:
            try:
                names.resolve(text)
            except names.NameProblem as error:
                plain(error)

        return inputs.name(rng), go

    def mixtures(rng: random.Random) -> tuple[Any, Callable[[Any], object]]:
        import tomllib

        def go(text: str) -> None:
            try:
                data = tomllib.loads(text)
            except tomllib.TOMLDecodeError:
                return
            try:
                mixture = mixture_from_table(data)
                if rng.random() < planned_share:
                    make_plan(mixture, 8)
            except (MixtureError, PlanRefused) as error:
                plain(error)

        return inputs.mixture_toml(rng), go

    def options(rng: random.Random) -> tuple[Any, Callable[[Any], object]]:
        from click.testing import CliRunner

        def go(words: list[str]) -> None:
            runner = CliRunner()
            with runner.isolated_filesystem():
                done = runner.invoke(cli, words)
            if done.exception is not None and not isinstance(done.exception, SystemExit):
                raise done.exception
            assert "Traceback" not in done.output, done.output

        return inputs.options(rng), go

    return {
        "plans": plans, "tables": tables, "molecules": molecules_, "names": names_, "mixtures": mixtures, "options": options
    }  # fmt: skip


def plain(error: Exception) -> None:
    """Refuse a message that says nothing or shows the inside of the program."""
    text = str(error)
    assert len(text) > 15 and "Traceback" not in text and "object at 0x" not in text, f"a poor message: {text!r}"


def most_megabytes() -> float:
    """Return the most memory that the process ever held, where the system tells."""
    try:
        import resource
    except ImportError:
        return 0.0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1024)


def run(
    kind: str, count: int, seed: int, keep: Path | None, judged: float = 0.01, planned: float = 0.02
) -> list[dict[str, Any]]:
    """Try ``count`` inputs of a kind; return the failures as records."""
    draw = targets(judged, planned)[kind]
    failures: list[dict[str, Any]] = []
    seen: set[str] = set()
    slowest = 0.0
    begun = time.monotonic()
    for n in range(count):
        rng = random.Random(f"{kind} {seed} {n}")
        given, go = draw(rng)
        start = time.process_time()
        trouble = where = ""
        try:
            with contextlib.redirect_stderr(io.StringIO()):
                go(given)
        except Exception as error:
            trouble = f"{type(error).__name__}: {error}"
            frame = traceback.extract_tb(error.__traceback__)[-1]
            where = f"{Path(frame.filename).name}:{frame.lineno} {type(error).__name__}"
        took = time.process_time() - start
        slowest = max(slowest, took)
        if took > SLOWEST_S and not trouble:
            trouble = where = f"took over {SLOWEST_S} s"
        if trouble and (where not in seen or len(failures) < 20):
            seen.add(where)
            record = {
                "kind": kind,
                "seed": seed,
                "n": n,
                "trouble": trouble[:300],
                "where": where,
                "seconds": round(took, 2),
                "given": given,
            }
            failures.append(record)
            print(json.dumps(record, ensure_ascii=True), flush=True)
            if keep is not None:
                with keep.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(record, ensure_ascii=True) + "\n")
        if n % 5000 == 4999:
            print(
                f"{kind}: {n + 1} tried, slowest {slowest:.2f} s, at most {most_megabytes():.0f} MB, "
                f"{time.monotonic() - begun:.0f} s",
                flush=True,
            )
            assert most_megabytes() < MOST_MB, "the process has grown too large"
    print(
        f"{kind}: {count} tried, {len(failures)} kept, slowest {slowest:.2f} s, at most {most_megabytes():.0f} MB",
        flush=True,
    )
    return failures


def main() -> None:
    """Do what the command line asks for; the exit code is 1 where something was kept."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("kind", choices=("plans", "tables", "molecules", "names", "mixtures", "options"))
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
