"""What it costs to start: processor time of whole processes, as multiples of bare imports measured in the same run.

    python tests/benchmarks/cost_of_start.py [--short]

The floor of commands with chemistry is importing rdkit.Chem, click and experta (as ``rules/borrowed.py`` cures it); the
floor of help and version is importing click. Each is the least of several runs, taken in turn, so that whatever else the
machine does weighs on all alike. ``why`` is shown for a flask that is new and for one that was kept (``cli/kept.py``).
A benchmark, not a timed test.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile

CLICK = "import click"
LIBRARIES = "import rdkit.Chem, click; from washlore.rules import borrowed"
MAIN = "from washlore.cli.main import run; run()"
# What runs, the command line, and against which floor it is held.
COMMANDS = (
    ("python with click", CLICK, (), "click"),
    ("--version", MAIN, ("--version",), "click"),
    ("--help", MAIN, ("--help",), "click"),
    ("rdkit.Chem, click and experta", LIBRARIES, (), "libraries"),
    ("why ester brine, a new flask", MAIN, ("why", "ester", "brine"), "libraries"),
    ("why ester brine, asked before", MAIN, ("why", "ester", "brine"), "libraries"),
    ("plan ester", MAIN, ("plan", "ester"), "libraries"),
    ("why brine", MAIN, ("why", "brine"), "libraries"),
    ("know solutions", MAIN, ("know", "solutions"), "click"),
)


def cost_s(code: str, args: tuple[str, ...], cache: str) -> float:
    """Return the processor time of one process, user and system, in seconds."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    # What is installed is compiled; where modules may not be, every start would compile what was edited last.
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | {"WASHLORE_CACHE": cache}
    subprocess.run([sys.executable, "-c", code, *args], env=env, stdout=subprocess.DEVNULL, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Print the costs."""
    rounds = 2 if "--short" in sys.argv else 15
    least: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        os.chmod(folder, 0o700)
        cost_s(MAIN, ("why", "ester", "brine"), folder)
        for _ in range(rounds):
            for name, code, args, _ in COMMANDS:
                cache = folder if name.endswith("before") else "off"
                least[name] = min(least.get(name, 1e9), cost_s(code, args, cache))
    floors = {"click": least["python with click"], "libraries": least["rdkit.Chem, click and experta"]}
    for name, _, _, floor in COMMANDS:
        print(f"{name:32}  {1000 * least[name]:6.0f} ms  {least[name] / floors[floor]:5.2f} x {floor}")


if __name__ == "__main__":
    main()
