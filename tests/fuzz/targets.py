"""What the fuzzers throw their inputs at: what is done with an input of each kind.

What is done returns quietly or raises; an exception that carries a plain message for the user is not a failure.
"""

from __future__ import annotations

import contextlib
import gc
import os
import random
import sys
import tempfile
import time
import tomllib
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import files

SLOWEST_S = 2.0
MOST_MB = 500.0


@dataclass(frozen=True)
class Target:
    """One kind of input: ``go`` tries one and tells whether it was understood, ``from_text`` makes one of any text."""

    go: Callable[[Any, random.Random], bool]
    from_text: Callable[[str], Any] = str


def targets(judged_share: float, planned_share: float) -> dict[str, Target]:
    """Return the target of each kind; the shares say how many go on to be judged or planned."""
    from washlore.cli.main import main as cli
    from washlore.cli.render.judgement import check_record, check_text
    from washlore.knowledge import names, sites
    from washlore.knowledge.groups import all_residues, molecule_groups
    from washlore.knowledge.partition import SOLVENTS, molecule_log_k
    from washlore.knowledge.structure import StructureError, molecules
    from washlore.rules.judge import consider, judge
    from washlore.rules.mixture import MixtureError, build
    from washlore.rules.mixture_file import mixture_from_table
    from washlore.rules.plan import make_plan
    from washlore.rules.reading import read_plan, read_table
    from washlore.rules.reading.errors import ReadingError
    from washlore.rules.reckon import PlanRefused
    from washlore.rules.toml_text import parsed

    dichloromethane = [("dichloromethane", 40.0)]
    thought = [
        consider(build(p, [(o, None, None) for o in others], product_amount="10 mmol", solvents=dichloromethane))
        for p, others in (
            ("CCOC(=O)c1ccccc1", ("pyridine", "benzoic acid")),
            ("CCCCCCN", ("acetophenone",)),
            ("CC(=O)Cl", ()),
        )
    ]

    others = [(name, "5 mmol", "product") for name in ("benzoic acid", "p-toluidine")]
    several = consider(build("naphthalene", others, product_amount="5 mmol", solvents=dichloromethane))

    def plan(text: str, rng: random.Random) -> bool:
        try:
            read = read_plan(text)
        except ReadingError as error:
            return plain(error)
        if read.readable and rng.random() < judged_share:
            judge(read, rng.choice(thought))
        parted = read_plan(text, several=True)
        if parted.readable and rng.random() < judged_share:
            check_text(check_record(judge(parted, several), followed=True), 80)
        return read.readable

    def plan_table(made: tuple[str, str], rng: random.Random) -> bool:
        try:
            read = read_table(*made)
        except ReadingError as error:
            return plain(error)
        if read.readable and rng.random() < judged_share:
            check_text(check_record(judge(read, rng.choice((*thought, several))), followed=True), 80)
        return read.readable

    def structure(text: str, rng: random.Random) -> bool:
        understood = False
        try:
            parts = molecules(names.resolve(text).smiles)
            for part in parts:
                molecule_groups(part)
                for solvent in rng.sample(list(SOLVENTS), 3):
                    molecule_log_k(part, solvent)
            all_residues(parts)
            sites(text)
            understood = True
            if rng.random() < planned_share:
                make_plan(build(text, [("triethylamine", "5 mmol", None)]), 8)
            elif rng.random() < planned_share:
                make_plan(build("CCOC(=O)c1ccccc1", [(text, "5 mmol", None)]), 8)
        except (StructureError, names.NameProblem, MixtureError, PlanRefused) as error:
            plain(error)
        return understood

    def name(text: str, _: random.Random) -> bool:
        try:
            return bool(names.resolve(text).smiles)
        except names.NameProblem as error:
            return plain(error)

    def mixture(text: str, rng: random.Random) -> bool:
        understood = False
        try:
            data = parsed(text)
        except tomllib.TOMLDecodeError:
            return False
        try:
            read = mixture_from_table(data)
            understood = True
            if rng.random() < planned_share:
                make_plan(read, 8)
        except (MixtureError, PlanRefused) as error:
            plain(error)
        return understood

    def options(words: list[str], _: random.Random) -> bool:
        from click.testing import CliRunner

        with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
            done = CliRunner().invoke(cli, words)
        gc.collect()  # a command leaves its garbage to the end of its process; here many run in one
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise done.exception
        assert "Traceback" not in done.output, done.output
        return done.exit_code in (0, 1)

    return {
        "plans": Target(plan),
        "tables": Target(plan_table, lambda text: (text[1:], "toml" if text[:1] == "[" else "csv")),
        "molecules": Target(structure),
        "names": Target(name),
        "mixtures": Target(mixture),
        "files": Target(lambda given, rng: files.tried(given, rng.random() < judged_share)),
        "options": Target(options, lambda text: text.replace("\x00", "").split("\n")),
    }


def plain(error: Exception) -> bool:
    """Refuse a message that says nothing or shows the inside of the program; a plain one means: not understood."""
    text = str(error)
    assert len(text) > 15 and "Traceback" not in text and "object at 0x" not in text, f"a poor message: {text!r}"
    return False


@dataclass(frozen=True)
class Trial:
    """What came of one input: the trouble and its place in the source, both empty where there was none."""

    trouble: str
    where: str
    cpu_s: float
    understood: bool = False


def tried(target: Target, given: Any, rng: random.Random) -> Trial:
    """Try one input; processor time counts, so that a busy machine makes nothing slow."""
    start, before = time.process_time(), most_megabytes()
    trouble = where = ""
    understood = False
    try:
        # A real file: what watches the program asks for its number.
        with open(os.devnull, "w", encoding="utf-8") as nowhere, contextlib.redirect_stderr(nowhere):
            understood = target.go(given, rng)
    except Exception as error:
        trouble = f"{type(error).__name__}: {error}"[:300]
        frame = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{Path(frame.filename).name}:{frame.lineno} {type(error).__name__}"
    cpu_s = time.process_time() - start
    if cpu_s > SLOWEST_S and not trouble:
        trouble = where = f"took over {SLOWEST_S} s"
    if (most := most_megabytes()) > max(MOST_MB, 1.2 * before) and not trouble:
        trouble, where = f"took memory from {before:.0f} to {most:.0f} MB", f"took over {MOST_MB:.0f} MB"
    return Trial(trouble, where, cpu_s, understood)


def most_megabytes() -> float:
    """Return the most memory that the process ever held, where the system tells."""
    try:
        import resource
    except ImportError:
        return 0.0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1024)
