"""Print what a report costs beyond imports, in processor time, and how large it is; aim: 1 s and 1 MB.

    python tests/benchmarks/cost_of_pages.py

The first page of a process makes the templates, the fonts and the tables ready; the next ones find them there. The floor is
the plan alone, without a page.
"""

from __future__ import annotations

import importlib
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

IMPORTED = (
    "rdkit.Chem.Draw.rdMolDraw2D",
    "jinja2",
    "matplotlib.figure",
    "matplotlib.backends.backend_svg",
    "washlore.rules.plan",
    "washlore.cli.plan",
)


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time that ``work`` takes."""
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    """Measure the shipped example ``ester``."""
    for module in IMPORTED:
        importlib.import_module(module)
    from washlore.cli.common import find
    from washlore.cli.page.report import plan_page
    from washlore.cli.page.write import write
    from washlore.cli.render.record import plan_record
    from washlore.rules.mixture_file import read_mixture
    from washlore.rules.plan import make_plan

    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "ester.html"

        def plan() -> dict:
            return plan_record(make_plan(read_mixture(find("ester"))))

        cold_plan = seconds(plan)
        made = plan()
        cold_page = seconds(lambda: write(path, plan_page(made)))
        floor, page = seconds(plan), seconds(lambda: write(path, plan_page(made)))
        print(
            f"cold: plan {cold_plan:.2f} s, page {cold_page:.2f} s, together {cold_plan + cold_page:.2f} s beyond imports"
        )
        print(f"warm: plan (the floor) {floor:.3f} s, page {page:.3f} s, {page / floor:.1f} x the floor")
        print(f"size: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
