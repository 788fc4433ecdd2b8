"""Measure how sharply plans are judged: sound plans are spoilt in known ways, and changed in ways that do no harm.

    python tests/fit/measure_sharpness.py [--show]

Sixty plans: twenty mixtures, three ways of writing each. Each is mutated; a harmful mutation counts as found when a finding
of an expected kind names the expected step (or none), a harmless one passes when it raises nothing that the sound plan
did not. The mutations are chosen by the chemistry of the mixture as noted here, not by what the judge computes.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.judging.cases import shorthand
from washlore.rules.mixture import build, read_other
from washlore.rules.proposal import Proposal

END = ["wash brine 15", "dry na2so4", "filter off desiccant", "rinse", "concentrate"]
ACID, BASE = "wash hcl_1m 2x15", "wash nahco3_sat 2x15"


@dataclass(frozen=True)
class Plan:
    """A sound plan. ``takes``: the step (from 1) that each kind of impurity needs: ``base`` an acid wash, ``acid`` a base wash.

    ``product``: what the product does not stand: ``hydroxide``, ``acid``; or what it is: ``acidic``, ``basic``, ``alcohol``.
    """

    name: str
    product: str
    others: tuple[str, ...]
    solvent: str
    steps: tuple[str, ...]
    takes: tuple[tuple[str, int], ...]
    marks: frozenset[str]
    heavy: bool = False


def _plans() -> Iterator[Plan]:
    """Yield the sixty plans."""
    mixtures: list[tuple[str, str, tuple[str, ...], set[str]]] = [
        ("ethyl cinnamate, pyridine", "CCOC(=O)/C=C/c1ccccc1", ("pyridine; 12 mmol",), set()),
        ("ethyl cinnamate, both", "CCOC(=O)/C=C/c1ccccc1", ("pyridine; 5 mmol", "benzoic acid; 2 mmol"), set()),
        ("methyl hydroxybutanoate-like ester", "COC(=O)CCCc1ccccn1", ("benzoic acid; 2 mmol",), {"hydroxide", "basic"}),
        ("aryl acetate", "CC(=O)Oc1ccccc1", ("benzoic acid; 2 mmol",), {"hydroxide"}),
        ("methyl ether of phenol", "COCCc1ccc(Cl)cc1", ("triethylamine; 8 mmol",), set()),
        ("amide", "CCCCNC(=O)c1ccccc1", ("CCCCCC(=O)O; 2 mmol", "CCN(CC)c1ccccc1; 1 mmol"), set()),
        ("Boc amine", "CC(C)(C)OC(=O)NCCc1ccccc1", ("CCCCCC(=O)O; 5 mmol",), set()),
        ("acetal", "c1ccccc1C1OCCO1", ("benzoic acid; 2 mmol",), {"acid"}),
        ("an acetal and ether", "COC(OC)CCOCc1ccccc1", ("benzoic acid; 1 mmol",), {"acid"}),
        ("carboxylic acid", "OC(=O)CCc1ccccc1", ("pyridine; 5 mmol",), {"acidic"}),
        ("second carboxylic acid", "OC(=O)c1ccc(Br)cc1", ("triethylamine; 5 mmol",), {"acidic"}),
        ("phenol", "Oc1ccc(CCCC)cc1", ("benzoic acid; 2 mmol",), {"phenolic"}),
        ("octylamine", "NCCCCCCCC", ("benzoic acid; 1 mmol",), {"basic"}),
        ("benzylpiperidine", "C1CCN(CC1)Cc1ccccc1", ("acetic acid; 3 mmol",), {"basic"}),
        ("an alcohol", "OC(CCC)c1ccccc1", ("benzoic acid; 2 mmol",), {"alcohol"}),
        ("another alcohol", "OCCCCCCCC", ("triethylamine; 8 mmol",), {"alcohol"}),
        ("a ketone", "O=C(CC)c1ccccc1", ("benzoic acid; 1 mmol", "Cc1ccccc1N; 2 mmol"), set()),
        ("a nitrile", "N#CCCCc1ccccc1", ("imidazole; 6 mmol",), set()),
        ("an aryl bromide", "CCc1ccc(Br)cc1", ("benzoic acid; 3 mmol", "pyridine; 3 mmol"), set()),
        ("a butanolide", "O=C1OCCC1CCc1ccccc1", ("benzoic acid; 2 mmol",), {"hydroxide"}),
    ]
    acids = ("benzoic", "acetic", "CCCCC")
    for name, product, others, marks in mixtures:
        need_base = any(o.startswith(acids) for o in others)
        need_acid = any(not o.startswith(acids) for o in others)
        for solvent, heavy in (("dichloromethane", True), ("diethyl ether", False), ("toluene", False)):
            steps: list[str] = []
            takes: list[tuple[str, int]] = []
            if need_acid:
                steps.append(ACID if heavy else "wash hcl_1m 3x14")
                takes.append(("base", len(steps)))
            if need_base:
                steps.append(BASE if heavy else "wash nahco3_sat 3x12")
                takes.append(("acid", len(steps)))
            yield Plan(
                f"{name} in {solvent}", product, others, solvent, (*steps, *END), tuple(takes), frozenset(marks), heavy
            )


@dataclass(frozen=True)
class Mutation:
    """A plan changed: what is expected of a harmful one, nothing of a harmless one."""

    name: str
    steps: tuple[str, ...]
    kinds: tuple[str, ...] = ()
    step: int = 0


def swap(steps: tuple[str, ...], number: int, new: str) -> tuple[str, ...]:
    """Return the steps with one of them replaced."""
    return (*steps[: number - 1], new, *steps[number:])


def drop(steps: tuple[str, ...], number: int) -> tuple[str, ...]:
    """Return the steps without one of them."""
    return (*steps[: number - 1], *steps[number:])


def harmful(plan: Plan) -> Iterator[Mutation]:
    """Yield the ways in which a plan is spoilt."""
    steps, brine = plan.steps, len(plan.steps) - 4
    # An acid beside an amine is a salt already, which water takes.
    for kind, number in plan.takes if plan.marks != {"basic"} else ():
        yield Mutation(f"drop the wash for the {kind}", drop(steps, number), ("leftover",))
        wrong = "wash nahco3_sat 2x15" if kind == "base" else "wash hcl_1m 2x15"
        yield Mutation(
            f"the other kind of wash for the {kind}", swap(steps, number, wrong), ("leftover", "loss"), number
        )
        yield Mutation(
            f"a tenth of the volume for the {kind}",
            swap(steps, number, f"{steps[number - 1].split()[0]} {steps[number - 1].split()[1]} 1.2"),
            ("leftover", "technique"),
            number,
        )
        yield Mutation("brine in its place", swap(steps, number, "wash brine 2x15"), ("leftover", "loss"))
    first = plan.takes[0][1]
    place = "top" if plan.heavy else "bottom"
    yield Mutation("the wrong layer by its place", swap(steps, first, f"{steps[first - 1]} {place}"), ("loss",), first)
    yield Mutation("the aqueous layer kept", swap(steps, first, f"{steps[first - 1]} aqueous"), ("loss",), first)
    dry = brine + 1
    yield Mutation(
        "dried first", ("dry na2so4", "filter off desiccant", *steps[:brine], steps[-1]), ("technique", "leftover"), 1
    )
    yield Mutation("not dried", (*steps[:brine], "concentrate"), ("leftover",), brine + 1)
    yield Mutation(
        "stripped before drying",
        (*steps[:brine], "concentrate", "dry na2so4", "filter off desiccant"),
        ("technique", "leftover"),
        brine + 1,
    )
    if "hydroxide" in plan.marks:
        number = dict(plan.takes)["acid"]
        yield Mutation("hydroxide for bicarbonate", swap(steps, number, "wash naoh_2m 2x15"), ("loss",), number)
    if plan.marks & {"acidic", "phenolic"}:
        yield Mutation(
            "hydroxide on an acid product", (*steps[:first], "wash naoh_1m 2x20", *steps[first:]), ("loss",), first + 1
        )
        yield (
            Mutation("potassium carbonate on an acid", swap(steps, dry, "dry k2co3"), ("loss",), dry)
            if "acidic" in plan.marks
            else Mutation("not dried", (*steps[:brine], "concentrate"), ("leftover",), brine + 1)
        )
    if "acid" in plan.marks:
        yield Mutation("hydrochloric acid on an acetal", ("wash hcl_1m 2x15", *steps), ("loss",), 1)
    if "basic" in plan.marks:
        yield Mutation("hydrochloric acid on an amine", ("wash hcl_1m 2x20", *steps), ("loss",), 1)
    if plan.marks & {"basic", "alcohol"}:
        yield Mutation("calcium chloride", swap(steps, dry, "dry cacl2"), ("loss",), dry)


def harmless(plan: Plan) -> Iterator[Mutation]:
    """Yield changes that do no harm."""
    steps, brine = plan.steps, len(plan.steps) - 4
    for kind, number in plan.takes:
        step = steps[number - 1]
        if kind == "base":
            yield Mutation("KHSO4 for HCl", swap(steps, number, step.replace("hcl_1m", "khso4_1m")))
        else:
            yield Mutation("5 % bicarbonate", swap(steps, number, step.replace("nahco3_sat", "nahco3_5")))
        yield Mutation("three small ones", swap(steps, number, f"wash {step.split()[1]} 3x10"))
        yield Mutation("no volume", swap(steps, number, f"wash {step.split()[1]} 2x"))
        yield Mutation("the right layer by name", swap(steps, number, f"{step} organic"))
    yield Mutation("a water wash more", (*steps[: brine - 1], "wash water 15", *steps[brine - 1 :]))
    if not plan.marks & {"acid", "basic"}:
        yield Mutation("magnesium sulfate", tuple(s.replace("na2so4", "mgso4") for s in steps))
    yield Mutation(
        "the right layer by its place", swap(steps, brine, f"wash brine 15 {'bottom' if plan.heavy else 'top'}")
    )
    yield Mutation("vented and waited", (steps[0], "vent", *steps[1:]))


def proposal(steps: tuple[str, ...]) -> Proposal:
    """Return steps in shorthand as a proposal."""
    return shorthand(" | ".join(steps))


def thought(plan: Plan, extract: str = "choose") -> Considered:
    """Return the mixture of a plan, thought through."""
    return consider(
        build(
            plan.product,
            [read_other(o) for o in plan.others],
            product_amount="10 mmol",
            solvents=[(plan.solvent, 40.0)],
            extract=extract,
        )
    )


def said(made: Judgement) -> list[str]:
    """Return the findings in short."""
    return [f"{f.kind}:{f.rule}@{f.step}" for f in made.findings]


def main() -> None:
    """Mutate, judge, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--show", action="store_true", help="print what every mutation raises")
    options = parser.parse_args()
    plans = list(_plans())
    found, missed, quiet, loud, unsound = Counter[str](), Counter[str](), 0, 0, 0
    for plan in plans:
        flask = thought(plan)
        base = judge(proposal(plan.steps), flask)
        if base.verdict != "ok":
            unsound += 1
            print("sound plan faulted:", plan.name, said(base), [f.text for f in base.findings])
        for mutation in harmful(plan):
            made = judge(proposal(mutation.steps), flask)
            good = any(
                f.kind in mutation.kinds and (not mutation.step or f.step in (mutation.step, 0)) for f in made.findings
            )
            (found if good else missed)[mutation.name] += 1
            if not good or options.show:
                print("" if good else "missed:", mutation.name, "|", plan.name, said(made))
        known = {(f.kind, f.rule) for f in base.findings}
        for mutation in harmless(plan):
            made = judge(proposal(mutation.steps), flask)
            new = [f for f in made.findings if (f.kind, f.rule) not in known]
            quiet += not new
            loud += bool(new)
            if new:
                print("raised by a harmless change:", mutation.name, "|", plan.name, said(made), [f.text for f in new])
    total = sum(found.values()) + sum(missed.values())
    print(f"\n{len(plans)} plans, {unsound} faulted as they are")
    print(f"harmful: {sum(found.values())} of {total} found ({100 * sum(found.values()) / total:.1f} %)")
    for name in sorted({*found, *missed}):
        print(f"    {found[name]:4d} of {found[name] + missed[name]:4d}  {name}")
    print(f"harmless: {loud} of {loud + quiet} raised something")


if __name__ == "__main__":
    main()
