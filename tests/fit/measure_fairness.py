"""Measure how fairly published workups are judged: most of them worked, so few may be called wrong.

    python tests/fit/measure_fairness.py WORKUPS.jsonl [--every N] [--yield PERCENT] [--whole] [--dump FILE]

One procedure a line, with the keys that ``measure_workups.py`` states. The text of each procedure is read and judged on a
mixture made of its inputs. What of a reactive reagent or of a strong acid or base outlives the reaction is not published:
metals, hydrides, organometallics and strong bases are taken for consumed, other reactive reagents for used up by the limiting
reactant, strong acids and bases for neutralised.

Printed: shares of procedures with a hazard or loss finding, findings of each kind on average, verdicts, times, and every
hazard and loss to be read by eye. ``--dump`` writes all findings, one JSON object a line.
"""

from __future__ import annotations

import argparse
import json
import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

from procedures import GOOD_YIELD_PCT, STRONG, prepare_case
from rdkit import Chem, RDLogger

from washlore.knowledge import groups
from washlore.knowledge.structure import StructureError, molecules
from washlore.rules.bench import Bench
from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.judging.facts import KINDS
from washlore.rules.mixture import MixtureError, build
from washlore.rules.reading import read_plan

CONSUMED = ("metal", "hydride", "organometallic", "strong base")


def used_up(case: Any) -> None:
    """Take out what the reaction uses up: reactive reagents to the amount of the limiting one, strong acids and bases."""
    limiting = case.record["limiting_mmol"]
    kept = []
    for smiles, amount, role in case.others:
        mol = Chem.MolFromSmiles(smiles)
        if mol is not None and Chem.MolToSmiles(mol) in STRONG:
            continue
        rows = [row for row, _ in groups.all_residues(molecules(smiles))] if mol is not None else []
        if rows and rows[0].kind in CONSUMED:
            continue
        if rows and (rows[0].action == "quench" or rows[0].acid_frees):
            mmol = float(amount.split()[0]) if amount else 0.0
            left = mmol - (limiting or mmol)
            if left <= 0:
                continue
            amount = f"{left:.5g} mmol"
        kept.append((smiles, amount, role))
    case.others[:] = kept


def judged(record: dict[str, Any]) -> tuple[Judgement, Considered, float, float] | None:
    """Return the judgement of a procedure, the mixture, and the seconds for reading with judging and for the ledger."""
    case = prepare_case(record)
    try:
        used_up(case)
    except StructureError:
        return None
    limiting = case.record["limiting_mmol"]
    try:
        mixture = build(
            case.product,
            case.others,
            product_amount=f"{limiting:.5g} mmol" if limiting else None,
            solvents=case.solvents,
        )
    except (MixtureError, StructureError):
        return None
    thought = consider(mixture)
    start = time.process_time()
    proposal = read_plan(record["text"])
    made = judge(proposal, thought)
    took = time.process_time() - start
    ledger = 0.0
    if thought.plan is not None and proposal.readable:
        start = time.process_time()
        Bench(thought.plan, proposal, numbers=thought.numbers).run()
        ledger = time.process_time() - start
    return made, thought, took, ledger


def main() -> None:
    """Read, judge, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("workups", type=Path)
    parser.add_argument("--every", type=int, default=1, help="take only every n-th procedure")
    parser.add_argument("--offset", type=int, default=0, help="start with this one")
    parser.add_argument("--yield", dest="least", type=float, default=GOOD_YIELD_PCT, help="least yield in per cent")
    parser.add_argument("--whole", action="store_true", help="also what exceeds five records of one patent")
    parser.add_argument("--dump", type=Path, help="write findings here, one JSON object a line")
    options = parser.parse_args()
    RDLogger.DisableLog("rdApp.*")  # type: ignore[attr-defined]
    rows = [json.loads(x) for x in options.workups.read_text(encoding="utf-8").splitlines()]
    good = [
        r
        for r in rows
        if (r.get("yield_pct") or 0.0) >= options.least and (options.whole or r.get("within_five_per_patent", True))
    ]
    verdicts: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    rules: Counter[str] = Counter()
    hit, crashed, times, lines = 0, 0, [], []
    for record in good[options.offset :: options.every]:
        try:
            done = judged(record)
        except Exception:  # any exception is a defect looked for
            crashed += 1
            print("crashed", record["id"], traceback.format_exc().strip().splitlines()[-3:])
            continue
        if done is None:
            verdicts["mixture not usable"] += 1
            continue
        made, thought, took, ledger = done
        verdicts[made.verdict] += 1
        if made.verdict == "unreadable":
            continue
        if thought.plan is not None:
            times.append((took, ledger))
        grave = [f for f in made.findings if f.kind in ("hazard", "loss")]
        hit += bool(grave)
        for found in made.findings:
            kinds[found.kind] += 1
            rules[f"{found.kind:10s} {found.rule}"] += 1
        for found in grave:
            print(
                f"{found.kind} {found.rule} | {found.text} | {found.quote[:80]!r} | {thought.mixture.product.smiles} | "
                f"{record['yield_pct']} % {record['wash_sequence']} | {record['id']}"
            )
        lines.append(
            json.dumps(
                {
                    "id": record["id"],
                    "verdict": made.verdict,
                    "product": thought.mixture.product.smiles,
                    "others": [c.name for c in thought.mixture.others],
                    "findings": [[f.kind, f.rule, f.step, f.quote, f.text, f.remedy] for f in made.findings],
                    "steps": [[s.action, s.solution or s.solvent or s.desiccant, s.words] for s in made.proposal.steps],
                    "recovered": made.recovered,
                    "text": record["text"],
                }
            )
        )
    count = len(lines)
    print(f"\n{count} judged, {crashed} crashed; verdicts {dict(verdicts)}")
    print(f"hazard or loss: {hit} of {count} ({100 * hit / max(count, 1):.1f} %)")
    print("findings on average: " + ", ".join(f"{k} {kinds[k] / max(count, 1):.2f}" for k in KINDS))
    for name, number in rules.most_common():
        print(f"    {number:4d} {name}")
    if times:
        ordered = sorted(t for t, _ in times)
        print(
            f"reading and judging: median {1000 * ordered[len(ordered) // 2]:.1f} ms, 95 % "
            f"{1000 * ordered[int(0.95 * len(ordered))]:.1f} ms; {sum(t for t, _ in times) / sum(x for _, x in times):.2f} "
            "times the ledger alone"
        )
    if options.dump:
        options.dump.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
