"""What must hold for any flask: 2,000 random ones, each planned, judged, and planned once more in another guise.

A break is printed with the seed of its flask; ``flask(random.Random(seed))`` in ``random_mixtures.py`` makes it again.
``python tests/test_invariants.py 5000 1000`` looks at a thousand more flasks from seed 5000 on; ``... trace 40`` prints what
is said of forty, to be compared between versions of Python and of the libraries.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from more_contacts import with_one_more
from random_mixtures import Flask, flask

from washlore.cli.render.plan import plan_text
from washlore.cli.render.record import plan_record
from washlore.rules import facts as f
from washlore.rules.judge import Considered, judge
from washlore.rules.ledger import LedgerError, run_ledger
from washlore.rules.plan import Plan, make_plan
from washlore.rules.proposal import as_proposal
from washlore.rules.reading import read_plan
from washlore.rules.reckon import PlanRefused
from washlore.rules.species import sheet

FLASKS, BLOCK, DRAWS = 2000, 50, 12
IONISABLE = {"acid", "weak acid", "base", "weak base", "amphoteric"}


def planned(drawn: Flask) -> Plan | str:
    """Return the plan, or why there is none."""
    try:
        return make_plan(drawn.built(), DRAWS)
    except PlanRefused as refused:
        return str(refused)


def operations(plan: Plan) -> list[tuple[object, ...]]:
    """Return what is done in which order, without volumes."""
    return [(s.action, s.solution, s.solvent, s.desiccant, s.repeats, s.target_ph) for s in plan.steps]


def by_structure(plan: Plan) -> dict[str, tuple[float, float, float]]:
    return {c.smiles: plan.left[c.id] for c in plan.mixture.components}


def near(one: tuple[float, ...], two: tuple[float, ...], apart: float) -> bool:
    return all(abs(a - b) <= apart for a, b in zip(one, two, strict=True))


def of_itself(plan: Plan) -> Iterator[str]:
    """Yield what is wrong with one plan by itself."""
    for known_id, known in plan.known.items():
        if known.reasons[0].rule != "observation" and not any(b.sources for b in plan.because([known_id])):
            yield f"no source behind {known.reasons[0].rule}: {known.reasons[0].text}"
    for component in plan.mixture.components:
        low, middle, high = plan.left[component.id]
        if not -1e-9 <= low <= middle + 1e-9 <= high + 2e-9 <= 1 + 1e-6:
            yield f"{component.name}: left {low}, {middle}, {high}"
        before = np.ones(DRAWS)
        for step, mmol in zip(plan.ledger.steps, plan.ledger.after, strict=True):
            now = plan.ledger.fraction(component.id, mmol)
            if step.action == "wash" and (now > before + 1e-9).any():
                yield f"{component.name}: a wash with {step.solution} brings some back"
            before = now
    barred = {fact["solution"] for _, fact in plan.facts_of(f.Harms)}
    for step in plan.steps:
        if step.action == "wash" and step.solution in barred:
            yield f"washes with {step.solution}, which harms the product"


def with_more_contacts(plan: Plan, rng: random.Random) -> Iterator[str]:
    """Yield what one more contact leaves more of, against physics; ``more_contacts.py`` says what that is."""
    washes = [i for i, step in enumerate(plan.ledger.steps) if step.action == "wash"]
    if washes:
        chosen = rng.choice(washes)
        for text in with_one_more(plan.mixture, plan.ledger, chosen, DRAWS)[1]:
            yield f"one more contact with {plan.ledger.steps[chosen].solution}: {text}"


def twice_as_much(drawn: Flask, plan: Plan) -> Iterator[str]:
    """Yield what is not the same where every amount and every volume is doubled, in the ledger."""
    doubled = [replace(s, volume_ml=2 * s.volume_ml, again_ml=2 * s.again_ml) for s in plan.ledger.steps]
    extra = {c.smiles: c for c in plan.mixture.others}
    others = tuple(replace(c, mmol=2 * c.mmol) for c in extra.values())
    mixture = replace(
        plan.mixture,
        product=replace(plan.mixture.product, mmol=2 * plan.mixture.product.mmol),
        others=others,
        reaction_solvents=tuple((s, 2 * v) for s, v in plan.mixture.reaction_solvents),
    )
    try:
        book = run_ledger(mixture, doubled, DRAWS)
    except LedgerError as error:
        yield f"doubled, it cannot be done: {error}"
        return
    for component in mixture.components:
        # The pH is solved to a tolerance in mmol, so that the last digits differ.
        if not np.allclose(book.left(component.id), plan.ledger.left(component.id), rtol=1e-3, atol=1e-4):
            yield f"doubled, another share of {component.name} is left"


# The layer is four millilitres for a millimole in this range; below and above it is held to what can be handled.
SCALES_ML = (20.0, 150.0)


def scaled(drawn: Flask, plan: Plan) -> Iterator[str]:
    """Yield what is not the same in a whole plan for twice as much of everything; volumes are rounded to what is measured."""
    if not SCALES_ML[0] <= plan.organic_ml <= SCALES_ML[1]:
        return
    other = planned(drawn.scaled(2.0))
    if isinstance(other, str):
        yield f"twice as much is refused: {other}"
        return
    # Whether water is extracted once more hangs on a share, and that on volumes rounded to what is measured; what comes
    # after it meets another layer.
    again = [sum(s.action == "extract again" for s in p.steps) for p in (plan, other)]
    steps, doubled = ([s for s in p.steps if s.action != "extract again"] for p in (plan, other))
    if [(s.action, s.solution, s.solvent, s.desiccant) for s in steps] != [
        (s.action, s.solution, s.solvent, s.desiccant) for s in doubled
    ]:
        yield f"twice as much is done otherwise: {operations(other)}, was {operations(plan)}"
        return
    if again[0] != again[1]:
        return
    for one, two in zip(steps, doubled, strict=True):
        if one.volume_ml and two.volume_ml and one.repeats == two.repeats:
            ratio = two.volume_ml / one.volume_ml
            if not 1.35 <= ratio <= 3.0:  # 7 and 10 mL, 10 and 25 mL are neighbours of the double
                yield f"twice as much: step {one.number} takes {two.volume_ml:g} mL, was {one.volume_ml:g} mL"
    before, after = by_structure(plan), by_structure(other)
    for smiles, band in before.items():
        # A volume rounded by some per cent moves a share that hangs on the pH; no further than the plan's own range says.
        within = band[0] <= after[smiles][1] <= band[2]
        if not within and not near(band[1:2], after[smiles][1:2], 0.1):
            yield f"twice as much: {smiles} is left at {after[smiles]}, was {band}"


def tips_into_the_water(plan: Plan | str, other: Plan | str) -> bool:
    """Tell whether an inert neutral is what makes an ionisable product go through the water: dirt that stays behind there.

    A product that no layer holds, and that nothing needed water for, is one for the water with it.
    """
    if isinstance(plan, str) or not IONISABLE & set(plan.behaviour["product"]):
        return False
    if isinstance(other, str):
        return bool(plan.facts_of(f.KeptDry)) and "belongs to the water" in other
    (new,) = {c.id for c in other.mixture.components if c.smiles not in {d.smiles for d in plan.mixture.components}}
    ways = [{kind.__name__ for kind in (f.Swap, f.RinsesFirst) if p.facts_of(kind)} for p in (plan, other)]
    return bool(ways[1] - ways[0]) and other.left[new][2] < 0.02


def in_another_guise(guise: str, drawn: Flask, plan: Plan | str, rng: random.Random) -> Iterator[str]:
    """Yield what changes with the order of the list, the spelling, or an inert neutral."""
    if guise == "inert":
        drawn = drawn.with_inert(rng)
        other = planned(drawn)
        if tips_into_the_water(plan, other):  # once it goes there, one more changes nothing
            plan, other = other, planned(drawn.with_inert(rng))
    else:
        other = planned(drawn.shuffled(rng).respelt(rng))
    if isinstance(plan, str) or isinstance(other, str):
        if isinstance(plan, str) != isinstance(other, str):
            yield f"{guise}: one is refused: {plan if isinstance(plan, str) else other}"
        return
    if operations(plan) != operations(other):
        only = [o for o in operations(plan) if o not in operations(other)]
        yield f"{guise}: {only} became {[o for o in operations(other) if o not in operations(plan)] or 'another order'}"
        return
    before, after = by_structure(plan), by_structure(other)
    for smiles, band in before.items():
        if not near(band, after[smiles], 0.02 if guise == "inert" else 1e-4):
            yield f"{guise}: {smiles} is left at {after[smiles]}, was {band}"
    if guise != "inert" and Counter(c.id for c in plan.cautions) != Counter(c.id for c in other.cautions):
        yield f"{guise}: other cautions"


def as_judged(plan: Plan) -> Iterator[str]:
    """Yield what the judge says of our own plan: it is always "ok"."""
    judged = judge(as_proposal(plan), Considered(plan.mixture, plan, "", sheet(plan.mixture, DRAWS)))
    for finding in judged.findings:
        yield f"{finding.rule}: our own plan is faulted: {finding.text}"
    if judged.verdict != "ok" and not judged.findings:
        yield f"our own plan is {judged.verdict}, and nothing is said"


def as_printed(plan: Plan) -> Iterator[str]:
    """Yield what the judge says of our own plan as it is printed: handed in, it is "ok" too."""
    printed = read_plan(plan_text(plan_record(plan), 100))
    judged = judge(printed, Considered(plan.mixture, plan, "", sheet(plan.mixture, DRAWS)))
    for finding in judged.findings:
        yield f"{finding.rule}: our own plan is faulted as it is printed: {finding.text}"
    if judged.verdict != "ok" and not judged.findings:
        yield f"our own plan as printed is {judged.verdict}"


def breaks(seed: int) -> list[str]:
    """Return what one flask breaks."""
    rng = random.Random(seed)
    drawn = flask(rng, 3)
    plan = planned(drawn)
    found: list[str] = []
    if not isinstance(plan, str):
        found += [*of_itself(plan), *as_judged(plan)]
        if seed >= FLASKS or seed % 10 == 0:  # words cost more than numbers
            found += as_printed(plan)
        found += [*with_more_contacts(plan, rng), *twice_as_much(drawn, plan)]
    # One more plan for each flask: with an inert neutral, told in another order and spelling, or for twice as much.
    kind = ("inert", "retold", "doubled")[seed % 3]
    if kind == "doubled":
        found += [] if isinstance(plan, str) else scaled(drawn, plan)
    else:
        found += in_another_guise(kind, drawn, plan, rng)
    return [f"seed {seed} ({drawn}): {text}" for text in found]


@pytest.mark.parametrize("first", range(0, FLASKS, BLOCK))
def test_what_holds_for_any_flask(first):
    found = [text for seed in range(first, first + BLOCK) for text in breaks(seed)]
    assert not found, "\n".join(found)


def trace(count: int) -> str:
    """Return all that is said of the first flasks: rules, steps, reasons, cautions."""
    said = []
    for seed in range(count):
        plan = planned(flask(random.Random(seed), 3))
        if isinstance(plan, str):
            said.append(plan)
        else:
            steps = [(step.instruction, step.reason) for step in plan.steps]
            said.append(repr((plan.fired, steps, [caution.text for caution in plan.cautions])))
    return "\n".join(said)


def test_the_same_is_said_under_any_hash_seed():
    script = "import test_invariants; print(test_invariants.trace(15))"
    said = {
        subprocess.run(
            [sys.executable, "-c", script],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
            cwd=Path(__file__).resolve().parent,
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2026")
    }
    assert len(said) == 1


def main() -> None:
    """Print what a range of flasks breaks, or with ``trace`` and a count what is said of the first flasks."""
    if sys.argv[1] == "trace":
        print(trace(int(sys.argv[2])))
        return
    first, count = int(sys.argv[1]), int(sys.argv[2])
    broken = 0
    for seed in range(first, first + count):
        found = breaks(seed)
        broken += bool(found)
        for text in found:
            print(text, flush=True)
    print(f"{count} flasks, {broken} of them break something")


if __name__ == "__main__":
    main()
