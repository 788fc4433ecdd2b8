"""Measure the planner against published workups.

    python tests/fit/measure_workups.py WORKUPS.jsonl [--every N] [--draws N] [--dump PLANS.jsonl]

One procedure a line, with these keys (others are ignored):

    id                  text
    product_smiles      SMILES of the isolated product; of several fragments the largest is taken, uncharged
    other_smiles        list of {smiles, amount, is_solvent, likely_solvent, in_workup_text}; ``amount`` is text such as
                        "2.75 GRAM", "38 MILLILITER", "0.042 MOLE", or null
    yield_pct           isolated yield in per cent, or null
    wash_sequence       washes of the organic layer in order, as tokens: water, brine, nahco3, hcl, naoh, ...
    wash_phrases        the words they were read from
    drying_agent        token such as mgso4, or null
    text                the procedure in full
    within_five_per_patent   true for the subset that statistics are made on (left out: all count)

What is left of an organic reactant at the end is not published: the excess over the limiting one plus a tenth of the
latter is assumed. A wash that is missing in print is weak evidence; a wash that was used on a product isolated in good
yield is strong evidence that it did not destroy it. The tables print counts and, below them, the cases to look at.
``--dump`` writes the plan of each procedure as a line of JSON, to be read by eye.
"""

from __future__ import annotations

import argparse
import json
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from procedures import SUPPORT_BASES, Case, prepare_case, think
from rdkit import Chem, RDLogger

from washlore.knowledge.rows import Solution, table
from washlore.rules import facts as f
from washlore.rules.plan import Plan

# For each token the solutions that it may mean, the mildest usual first; the first one that the planner knows is judged.
TOKENS: dict[str, tuple[str, ...]] = {
    "water": ("water",),
    "brine": ("brine",),
    "nahco3": ("nahco3_5", "nahco3_sat"),
    "khco3": ("nahco3_5", "nahco3_sat"),
    "na2co3": ("na2co3_10",),
    "k2co3": ("k2co3_10", "na2co3_10"),
    "naoh": ("naoh_01m", "naoh_1m"),
    "koh": ("naoh_01m", "koh_1m", "naoh_1m"),
    "nh4oh": ("ammonia_10",),
    "hcl": ("hcl_1m",),
    "h2so4": ("h2so4_1m", "hcl_1m"),
    "h3po4": ("h3po4_1m", "hcl_01m"),
    "khso4": ("khso4_5", "khso4_1m"),
    "citric_acid": ("citric_5", "citric_10"),
    "acoh": ("acetic_5", "acetic_10"),
    "nh4cl": ("nh4cl_sat",),
    "na2s2o3": ("na2s2o3_10",),
    "na2so3": ("na2so3_10",),
    "nahso3": ("nahso3_10", "nahso3_sat"),
    "phosphate_buffer": ("phosphate_ph7",),
}
ACID_TOKENS = frozenset(("hcl", "h2so4", "h3po4", "khso4", "citric_acid", "acoh", "nh4cl"))
BASE_TOKENS = frozenset(("nahco3", "khco3", "na2co3", "k2co3", "naoh", "koh", "nh4oh"))
REDUCTANT_TOKENS = frozenset(("na2s2o3", "na2so3", "nahso3"))
DESICCANTS = {"mgso4": "mgso4", "na2so4": "na2so4", "k2co3": "k2co3", "cacl2": "cacl2", "caso4": "caso4"}

# Judged here by patterns of their own, so that a fault of the planner's perception shows.
BASIC = (
    "[NX3;+0;$(N[#6X4]);!$(N[C,S,P]=[O,S,N]);!$(N-a);!$(NC=C);!$(NC#N);!$(N-[O,N,S,P]);!$(NC(F)(F)F);!$(N[CX4][F,Cl])]",
    "[NX3;!$(N[C,S]=[O,S]);!$(N-[!#6;!#1])][CX3;!$(C=[O,S])]=[NX2;!$(N-[!#6;!#1]);!$(N-C=O);!$(N-S)]",
    "[n;r5;X2]1c[n;X3]cc1",
    "[nX2;r6;!$(n:n);!$(n:c:n);!$(n:c[F,Cl,Br,I]);!$(n:c(=O));!$(n:c[OX2H])]",
    "[NX3;H2;!$(N-[!#6;!#1])]-c",
    "[NX3;H1;!$(N-[!#6;!#1]);!$(NC=[O,S])](-[CX4])-c",
    "[NX3;H0;!$(N-[!#6;!#1]);!$(NC=[O,S])](-[CX4])(-[CX4])-c",
)
STRONGLY_BASIC = BASIC[:1]
# Nitrogens that those patterns find and that are hardly bases (pKa below 3): amino groups beside or across an acceptor, on
# a ring of two ring nitrogens or of nitrogen and sulfur, or between two halogens, and pyridines with a heteroatom at C2.
_ACCEPTOR = "$([N+](=O)[O-]),$(C#N),$(C=O),$(C(F)(F)F),$(S(=O)=O),$(n)"
FEEBLE = (
    f"[NX3]-c:c-,:[{_ACCEPTOR}]",
    f"[NX3]-c:c:c:c-,:[{_ACCEPTOR}]",
    "[NX3]-[c;$(c:n:n),$(c:n:c:n),$(c(:n):n),$(c:n:s),$(c:n:c:c:n),$(c:c:n:c:n),$(c:c:n:n)]",
    "[NX3]-c:[$(c([F,Cl,Br,I])),$(c:c[F,Cl,Br,I])]:*:*:*:[$(c([F,Cl,Br,I]))]",
    "[NX3]-c(:c[F,Cl,Br,I]):c[F,Cl,Br,I]",
    "[n;r6]:c-[F,Cl,Br,I,O,S]",
    "[n;r6]:c:c:[n;r6]",
    "[NX3;H1,H2]-c:n:c-,:[$(C=O),$(c),F,Cl,Br]",
)
ACIDIC = ("[CX3](=O)[OX2H1]", "[SX4](=O)(=O)[OX2H1]", "[PX4](=O)[OX2H1]", "c1nnn[nH]1")
OXIDANTS = {
    "II": "iodine",
    "BrBr": "bromine",
    "O=C(OO)c1cccc(Cl)c1": "mCPBA",
    "CC(=O)OO": "peracetic acid",
    "O=C(OO)C(F)(F)F": "trifluoroperacetic acid",
    "[Na+].[O-]Cl": "sodium hypochlorite",
    "OO": "hydrogen peroxide",
    "O=C1CCC(=O)N1Br": "NBS",
    "CC(C)(C)OO": "tert-butyl hydroperoxide",
}
BASE_INPUTS = (
    "[NX3;!$(N[C,S,P]=[O,S]);!$(N-[!#6;!#1])]",
    "[nX2]",
    "[O-;!$([O-][N,S,P,Cl]);!$([O-]C=O)]",
    "[OH-,H-]",
    "[O-]C(=O)[O-,O]",
)
ACID_INPUTS = (
    "[CX3](=O)[OX2H1]",
    "[CX3](=O)[Cl,Br]",
    "C(=O)OC(=O)",
    "[SX4](=O)(=O)[OX2H1,Cl]",
    "[F,Cl,Br,I;H1]",
    "[B,Al,Ti,Sn](~[F,Cl])~[F,Cl]",
    "P(Cl)Cl",
    "S(=O)(Cl)Cl",
)
MOST_STEPS = 12


def has(mol: Chem.Mol | None, patterns: Iterable[str]) -> bool:
    """Tell whether a molecule matches one of the SMARTS."""
    return mol is not None and any(mol.HasSubstructMatch(_smarts(p)) for p in patterns)


def basic(mol: Chem.Mol | None) -> bool:
    """Tell whether a molecule has a basic nitrogen that is not a feeble one."""
    if mol is None:
        return False
    feeble = {hit[0] for p in FEEBLE for hit in mol.GetSubstructMatches(_smarts(p))}
    return any(hit[0] not in feeble for p in BASIC for hit in mol.GetSubstructMatches(_smarts(p)))


_SMARTS: dict[str, Chem.Mol] = {}


def _smarts(pattern: str) -> Chem.Mol:
    if pattern not in _SMARTS:
        _SMARTS[pattern] = Chem.MolFromSmarts(pattern)
    return _SMARTS[pattern]


def judged(case: Case, token: str) -> str | None:
    """Return the id of the solution that stands for a token, ``None`` if the planner does not consider one."""
    assert case.plan is not None
    known = {fact["solution"] for _, fact in case.plan.facts_of(f.Bottle)}
    return next((s for s in TOKENS.get(token, ()) if s in known), None)


def harms(case: Case, token: str) -> list[tuple[str, str]]:
    """Return (how, reason) of what the planner holds against a token's solution."""
    assert case.plan is not None
    solution = judged(case, token)
    return [
        (str(fact["how"]), case.plan.known[i].reasons[0].text)
        for i, fact in case.plan.facts_of(f.Harms)
        if fact["solution"] == solution
    ]


def washes(plan: Plan, *acts: str) -> list[str]:
    """Return the solutions that a plan washes the organic layer with, of some kinds."""
    rows = table(Solution)
    return [
        s.solution
        for s in plan.steps
        if s.action == "wash" and s.solution and (not acts or rows[s.solution].acts_as in acts)
    ]


def acid_side(plan: Plan) -> list[str]:
    """Return acids and buffers up to pH 7, and where the pH is set below 7 or the product changes layer."""
    rows = table(Solution)
    found = [s for s in washes(plan) if rows[s].ph < 7.1 and rows[s].acts_as in ("acid", "buffer", "complexing")]
    return found + [
        s.action for s in plan.steps if s.action == "set ph" or (s.target_ph is not None and s.target_ph < 7)
    ]


def base_side(plan: Plan) -> list[str]:
    """Return bases and buffers above pH 7.8, and where the pH is set to 7 or above or the product changes layer."""
    rows = table(Solution)
    found = [s for s in washes(plan, "base", "buffer") if rows[s].ph > 7.8]
    return found + [
        s.action for s in plan.steps if s.action == "set ph" or (s.target_ph is not None and s.target_ph >= 7)
    ]


def quenched_with(plan: Plan, acts: str) -> bool:
    """Tell whether a quench, or a solid stirred in before the washes, is itself the acid or base that a wash would be."""
    rows = table(Solution)
    return any(
        (s.action == "quench" and s.solution in rows and rows[s.solution].acts_as == acts)
        or (acts == "base" and "solid sodium hydrogen carbonate" in s.instruction)
        for s in plan.steps
    )


def reduces(plan: Plan) -> bool:
    """Tell whether a plan holds a reducing wash or quench."""
    rows = table(Solution)
    words = ("sulfite", "thiosulfate", "iron(II)", "reduc", "ascorb")
    return any(
        (s.solution and rows[s.solution].acts_as == "reductant")
        or (s.action == "quench" and any(w in s.instruction for w in words))
        for s in plan.steps
    )


def oddities(plan: Plan) -> list[str]:
    """Return what looks absurd in a plan."""
    rows = table(Solution)
    found = []
    if len(plan.steps) > MOST_STEPS:
        found.append(f"{len(plan.steps)} steps")
    done = washes(plan)
    if not done and all(s.target_ph is None for s in plan.steps):
        found.append("no wash at all")
    found += [
        f"{c.name} left: {plan.left[c.id][1]:.0%}"
        for c in plan.mixture.others
        if "water-miscible solvent" in plan.behaviour[c.id] and plan.left[c.id][1] > 0.1
    ]
    found += [f"{s} twice" for s, n in Counter(done).items() if n > 1]
    kinds = [rows[s].acts_as for s in done]
    if "base" in kinds and "acid" in kinds[kinds.index("base") :]:
        found.append("acid after base")
    if plan.recovered[1] < 0.5:
        found.append(f"product recovered {plan.recovered[1]:.0%}")
    found += [
        f"{s.action} with {s.volume_ml:g} mL beside {plan.organic_ml:g} mL"
        for s in plan.steps
        if s.volume_ml and s.volume_ml * s.repeats > 6 * plan.organic_ml
    ]
    if sum(s.repeats for s in plan.steps if s.action == "wash") > 8:
        found.append(f"{sum(s.repeats for s in plan.steps if s.action == 'wash')} portions")
    return found


def ratio(hits: int, total: int) -> str:
    """Return hits of total with a percentage."""
    return f"{hits} of {total} ({100 * hits / total:.1f} %)" if total else "none"


def show(title: str, lines: Iterable[str] = (), most: int = 400) -> None:
    """Print a heading and its lines."""
    print(f"\n{title}")
    for line in list(lines)[:most]:
        print("   ", line)


def report(cases: list[Case]) -> None:
    """Print the tables."""
    counted = [c for c in cases if c.record.get("within_five_per_patent", True)]
    planned = [c for c in counted if c.plan]
    mols = {id(c): Chem.MolFromSmiles(c.product) for c in cases}
    base_in = {id(c): any(has(Chem.MolFromSmiles(s), BASE_INPUTS) for s in c.inputs) for c in cases}
    acid_in = {id(c): any(has(Chem.MolFromSmiles(s), ACID_INPUTS) for s in c.inputs) for c in cases}
    print(f"{len(cases)} procedures, {len(counted)} counted, {len(planned)} planned")

    print("\n1. Published wash, input that justifies it, and the same kind of wash in the plan")
    for name, tokens, own in (("acid", ACID_TOKENS, acid_side), ("base", BASE_TOKENS, base_side)):
        fit = base_in if name == "acid" else acid_in
        used = [c for c in planned if tokens & set(c.record["wash_sequence"])]
        just = [c for c in used if fit[id(c)]]
        missed = [c for c in just if not own(c.made)]
        print(f"    {name}: {ratio(len(just) - len(missed), len(just))} where justified; {len(used)} used")
        missed = [c for c in missed if not quenched_with(c.made, name)]
        print(f"    {name}, a quench with it counted: {ratio(len(just) - len(missed), len(just))}")
        show(f"    {name} wash used, justified, not ours", (line(c) for c in missed))
    used = [c for c in planned if REDUCTANT_TOKENS & set(c.record["wash_sequence"])]
    just = [c for c in used if oxidant(c)]
    print(f"    reductant: {ratio(sum(reduces(c.made) for c in just), len(just))} where justified; {len(used)} used")

    show("2. Washes used on products isolated in good yield that the planner speaks against")
    rows, total = [], Counter[str]()
    for c in (c for c in cases if c.plan and c.good):
        for token in dict.fromkeys(c.record["wash_sequence"]):
            if judged(c, token) is None:
                continue
            total[token] += 1
            rows += [(token, how, why, c) for how, why in harms(c, token)]
    for token in total:
        against = {id(c) for t, _, _, c in rows if t == token}
        print(f"    {token:18s} {ratio(len(against), total[token])}")
    for token, how, why, c in sorted(rows, key=lambda r: (r[0], r[1], r[2])):
        print(f"    {token} {how}: {why} | {c.product} | {c.record['yield_pct']} % | {c.record['id']}")

    print("\n3. Support base among the inputs, product neither base nor amphoteric: an acid-side wash")
    for smiles, name in SUPPORT_BASES.items():
        mine = [c for c in planned if smiles in c.inputs and not has(mols[id(c)], BASIC)]
        missed = [c for c in mine if not acid_side(c.made)]
        print(f"    {name}: {ratio(len(mine) - len(missed), len(mine))}")
        for c in missed:
            print(f"       {line(c)}")

    print("\n4. Acid on a basic product, base on an acid product")
    bases = [c for c in planned if has(mols[id(c)], BASIC) and not has(mols[id(c)], ACIDIC)]
    strong = [c for c in bases if has(mols[id(c)], STRONGLY_BASIC)]
    sure = [c for c in bases if basic(mols[id(c)])]
    for name, group in (
        ("amine, pyridine or amidine", bases),
        ("the same without the feeble ones", sure),
        ("aliphatic amine", strong),
    ):
        wrong = [c for c in group if washes(c.plan, "acid")]
        print(f"    acid wash, {name}: {ratio(len(wrong), len(group))}")
        for c in wrong:
            print(f"       {line(c)}")
    acids = [c for c in planned if has(mols[id(c)], ACIDIC[:1]) and not has(mols[id(c)], BASIC)]
    wrong = [c for c in acids if washes(c.plan, "base")]
    print(f"    base wash, carboxylic acid: {ratio(len(wrong), len(acids))}")
    for c in wrong:
        print(f"       {line(c)}")

    print("\n5. Oxidant among the inputs: a reducing wash or quench")
    mine = [c for c in planned if oxidant(c)]
    missed = [c for c in mine if not reduces(c.made)]
    print(f"    {ratio(len(mine) - len(missed), len(mine))}")
    for c in missed:
        print(f"       {', '.join(oxidant(c))}: {line(c)}")

    print("\n6. Refusals and errors")
    for name, group in (
        ("refused", [c for c in cases if c.refused]),
        ("not usable", [c for c in cases if c.unusable]),
        ("crashed", [c for c in cases if c.crashed]),
    ):
        print(f"    {name}: {ratio(len(group), len(cases))}")
        for c in group:
            why = c.refused or c.unusable or c.crashed.strip().splitlines()[-1]
            print(f"       {c.record['id']} {c.record['yield_pct']} % {c.record['wash_sequence']} {c.product} | {why}")

    print("\n7. Drying agent")
    barred_rows = []
    mine = [c for c in cases if c.plan and c.good and c.record["drying_agent"] in DESICCANTS]
    for c in mine:
        agent = DESICCANTS[c.record["drying_agent"]]
        for i, _ in c.made.facts_of(f.BarredDesiccant, desiccant=agent)[:1]:
            barred_rows.append((c.made.known[i].reasons[0].text, c))
    print(f"    used in good yield and barred here: {ratio(len(barred_rows), len(mine))}")
    for why, count in Counter(re.sub(r" of the product.*| of [A-Z].*", "", w) for w, _ in barred_rows).most_common():
        print(f"       {count:3d} {why}")
    print("    extraction solvent, published and ours")
    pairs = Counter((str(c.record["extraction_solvent"]), c.made.extraction) for c in planned)
    for (theirs, ours), count in pairs.most_common(15):
        print(f"       {count:4d} {theirs} -> {ours}")

    times = sorted(c.seconds for c in cases if c.plan)
    if times:
        print(f"\n8. Time: mean {sum(times) / len(times):.2f} s, worst {times[-1]:.2f} s; steps and oddities")
    print(f"    steps: {sorted(Counter(len(c.made.steps) for c in planned).items())}")
    odd = [(o, c) for c in planned for o in oddities(c.made)]
    for name, count in Counter(re.sub(r"[\d.]+", "N", o) for o, _ in odd).most_common():
        print(f"    {count:4d} {name}")
    for o, c in sorted(odd, key=lambda p: p[0]):
        print(f"       {o}: {line(c)}")


def oxidant(case: Case) -> list[str]:
    """Return the names of the oxidants among the inputs."""
    return [OXIDANTS[s] for s in sorted(case.inputs) if s in OXIDANTS]


def line(case: Case) -> str:
    """Return one line that identifies a case."""
    assert case.plan is not None
    return (
        f"{case.record['id'][:12]} {case.record['yield_pct']} % {'+'.join(case.record['wash_sequence'])} | ours "
        f"{'+'.join(washes(case.plan))} | {case.product} <- {', '.join(o[0] for o in case.others)}"
    )


def as_json(case: Case) -> str:
    """Return a case with its plan as one line of JSON."""
    plan = case.plan
    data: dict[str, Any] = {k: v for k, v in case.record.items() if k != "other_smiles"}
    data |= {
        "product": case.product,
        "others": case.others,
        "media": case.solvents,
        "refused": case.refused,
        "unusable": case.unusable,
        "crashed": case.crashed,
        "seconds": round(case.seconds, 2),
    }
    if plan:
        data |= {
            "extraction": plan.extraction,
            "steps": [f"{s.number} {s.instruction} || {s.reason} [pH {s.spent_ph}]" for s in plan.steps],
            "components": [
                [c.name, c.mmol, plan.behaviour[c.id], [round(x, 4) for x in plan.left[c.id]], plan.fate[c.id]]
                for c in plan.mixture.components
            ],
            "groups": plan.groups["product"],
            "not_removed": [n.text for n in plan.not_removed],
            "cautions": [f"{c.id}: {c.text}" for c in plan.cautions],
            "harms": [
                [fact["solution"], fact["how"], plan.known[i].reasons[0].text] for i, fact in plan.facts_of(f.Harms)
            ],
            "ionises": [plan.known[i].reasons[0].text for i, _ in plan.facts_of(f.Ionises)],
        }
    return json.dumps(data)


def main() -> None:
    """Read, plan, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("workups", type=Path)
    parser.add_argument("--every", type=int, default=1, help="take only every n-th procedure")
    parser.add_argument("--draws", type=int, default=1, help="draws of the ledger")
    parser.add_argument("--dump", type=Path, help="write plans here, one JSON object a line")
    options = parser.parse_args()
    RDLogger.DisableLog("rdApp.*")  # type: ignore[attr-defined]
    lines = options.workups.read_text(encoding="utf-8").splitlines()[:: options.every]
    cases = []
    for text in lines:
        case = prepare_case(json.loads(text))
        think(case, options.draws)
        cases.append(case)
    if options.dump:
        options.dump.write_text("".join(as_json(c) + "\n" for c in cases), encoding="utf-8")
    report(cases)


if __name__ == "__main__":
    main()
