"""What judging a written plan costs on a mixture thought through: reading, judging, and the ledger of the plan alone.

    python tests/benchmarks/cost_of_judging.py [--short]

CPU time of each plan, the best of several; then the median, the 95 % point and the ratio to the ledger of the same plan.
A benchmark, not a timed test.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from washlore.rules.bench import Bench
from washlore.rules.judge import consider, judge
from washlore.rules.mixture_file import read_mixture
from washlore.rules.proposal import as_proposal
from washlore.rules.reading import read_plan

EXAMPLES = Path(__file__).resolve().parents[2] / "cli" / "examples"
PLANS = (
    "Washed with 1 M HCl (2 x 15 mL), sat. NaHCO3 (2 x 15 mL) and brine (15 mL), dried over MgSO4, filtered, evaporated.",
    "The mixture was diluted with ethyl acetate (50 mL), washed with water (2 x 20 mL), 10% citric acid, satd bicarb and "
    "brine, dried over anhydrous Na2SO4, filtered and concentrated in vacuo. The residue was purified by chromatography.",
    "Add 40 mL water. Extract with 3 x 30 mL ether. Wash the ether with 4 x 20 mL water and brine. Na2SO4, filter, rotovap.",
)


def _ms(job: Callable[[], object], times: int) -> float:
    """Return the CPU time of the quickest of several runs in milliseconds."""
    spent = []
    for _ in range(times):
        begun = time.process_time()
        job()
        spent.append(1000 * (time.process_time() - begun))
    return min(spent)


def main() -> None:
    """Print the costs."""
    times = 2 if "--short" in sys.argv else 7
    files = sorted(EXAMPLES.glob("*.toml"))
    rows = []
    for file in files[:2] if "--short" in sys.argv else files:
        try:
            thought = consider(read_mixture(file))
        except ValueError:
            continue  # several products, or not for a plan
        if thought.plan is None:
            continue
        for text in (*PLANS, as_proposal(thought.plan).text):
            read = read_plan(text)
            judge(read, thought)
            reading = _ms(lambda text=text: read_plan(text), times)
            judging = _ms(lambda read=read, thought=thought: judge(read, thought), times)
            ledger = _ms(lambda r=read, t=thought: Bench(t.plan, r, numbers=t.numbers).run(), times)
            rows.append((reading, judging, ledger))
    whole = sorted(reading + judging for reading, judging, _ in rows)
    ratio = sum(whole) / sum(ledger for *_, ledger in rows)
    print(f"{len(rows)} plans on {len({*files})} mixtures")
    print(f"reading            {median(r for r, _, _ in rows):6.2f} ms")
    print(f"reading, judging   {median(whole):6.2f} ms, 95 % below {whole[int(0.95 * len(whole))]:.2f} ms")
    print(
        f"ledger alone       {median(x for *_, x in rows):6.2f} ms; reading and judging take {ratio:.2f} times as long"
    )


if __name__ == "__main__":
    main()
