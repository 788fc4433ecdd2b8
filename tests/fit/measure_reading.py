"""Measure how far the reader of written workups agrees with another parser's reading of published procedures.

    python tests/fit/measure_reading.py published_workups.jsonl [--part fit|held] [--show N]

Each line of the file is a JSON object with ``id``, ``text``, ``wash_sequence`` (tokens such as nahco3), ``drying_agent``
and ``extraction_solvent``. ``--part held`` takes the records whose number, the last eight hex digits of the id, is a
multiple of five; ``--part fit`` the others. ``--show`` prints disagreements to be judged by hand. Both sides count each
token once a record.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import Counter

from washlore.rules.proposal import Proposal
from washlore.rules.reading import organic_solvent, read_plan

STEMS = {
    "water": "water", "ice": "water", "brine": "brine", "half": "brine", "nahco3": "nahco3", "hcl": "hcl", "naoh": "naoh",
    "na2co3": "na2co3", "k2co3": "k2co3", "nahso3": "nahso3", "citric": "citric_acid", "na2s2o3": "na2s2o3",
    "phosphate": "phosphate_buffer", "nah2po4": "phosphate_buffer", "kh2po4": "phosphate_buffer",
    "k3po4": "phosphate_buffer", "citrate": "citrate_buffer", "nh4cl": "nh4cl", "khso4": "khso4", "nahso4": "nahso4",
    "ammonia": "nh4oh", "nh3": "nh4oh", "na2so3": "na2so3", "koh": "koh", "h2so4": "h2so4", "h3po4": "h3po4",
    "na2so4": "na2so4_soln", "acetic": "acoh",
}  # fmt: skip
THEIRS = {"khco3": "nahco3"}
SOLVENTS = {
    "diethyl_ether": "et2o", "ethyl_acetate": "etoac", "dichloromethane": "dcm", "chloroform": "chcl3",
    "carbon_tetrachloride": "ccl4", "1,2-dichloroethane": "dce", "diisopropyl_ether": "ipe", "xylene": "xylene/chlorobenzene",
    "chlorobenzene": "xylene/chlorobenzene",
}  # fmt: skip
AGENTS = {"sieves_3a": "sieves", "sieves_4a": "sieves"}


def token(solution: str) -> str:
    return STEMS.get(solution.split("_")[0], solution)


def washes(plan: Proposal) -> set[str]:
    return {token(s.solution) for s in plan.steps if s.action == "wash" and s.solution}


def agent(plan: Proposal) -> str:
    return next((AGENTS.get(s.desiccant, s.desiccant) for s in plan.steps if s.action == "dry" and s.desiccant), "")


def solvent(plan: Proposal) -> str:
    first = organic_solvent(plan)
    return SOLVENTS.get(first, first)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("path")
    parser.add_argument("--part", choices=("all", "fit", "held"), default="all")
    parser.add_argument("--show", type=int, default=0)
    parser.add_argument("--what", choices=("wash", "dry", "extract", "empty"), default="wash")
    chosen = parser.parse_args()
    with open(chosen.path, encoding="utf-8") as file:
        records = [json.loads(line) for line in file]
    if chosen.part != "all":
        records = [r for r in records if (int(r["id"][-8:], 16) % 5 == 0) == (chosen.part == "held")]
    read_plan("Wash with water.")
    common = ours_only = theirs_only = 0
    dry = [0, 0]
    extract = [0, 0]
    without = unread = 0
    missed: Counter[str] = Counter()
    extra: Counter[str] = Counter()
    shown = 0
    taken = []
    for record in records:
        begun = time.perf_counter()
        plan = read_plan(record["text"])
        taken.append(time.perf_counter() - begun)
        without += not plan.steps
        unread += len(plan.unread)
        ours, theirs = washes(plan), {THEIRS.get(t, t) for t in record["wash_sequence"]}
        common += len(ours & theirs)
        ours_only += len(ours - theirs)
        theirs_only += len(theirs - ours)
        missed.update(theirs - ours)
        extra.update(ours - theirs)
        told = {"wash": ours != theirs}
        dry[1] += 1
        dry[0] += agent(plan) == record["drying_agent"]
        told["dry"] = agent(plan) != record["drying_agent"]
        told["empty"] = not plan.steps
        told["extract"] = False
        if record["extraction_solvent"] != "unknown":
            extract[1] += 1
            extract[0] += solvent(plan) == record["extraction_solvent"]
            told["extract"] = solvent(plan) != record["extraction_solvent"]
        if told[chosen.what] and shown < chosen.show:
            shown += 1
            print(f"--- {record['id'][-8:]} ours {sorted(ours)} {agent(plan)} {solvent(plan)}")
            print(f"    theirs {record['wash_sequence']} {record['drying_agent']} {record['extraction_solvent']}")
            print("    " + record["text"])
            print("    " + " | ".join(f"{s.action}: {s.words}" for s in plan.steps))
            if plan.unread:
                print("    unread " + " | ".join(f"{u.words} ({u.reason})" for u in plan.unread))
    taken.sort()
    print(f"{len(records)} records, {without} without a step, {unread} phrases unread")
    print(
        f"wash solutions: recall {common / (common + theirs_only):.4f}, precision {common / (common + ours_only):.4f}"
    )
    print(f"  missed {dict(missed)}\n  extra {dict(extra)}")
    print(f"drying agent {dry[0] / dry[1]:.4f}, extraction solvent {extract[0] / extract[1]:.4f} of {extract[1]}")
    print(f"time for one: median {1000 * taken[len(taken) // 2]:.2f} ms, most {1000 * taken[-1]:.2f} ms")


if __name__ == "__main__":
    main()
