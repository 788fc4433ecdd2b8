"""Water layers that hold product are extracted again: where the ledger finds it worth while, the plan does it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from washlore.knowledge.arrays import at_best, full
from washlore.knowledge.records import replace
from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.arrange import bound, is_strong_acid, ledger_step
from washlore.rules.families.quench import frees_poison
from washlore.rules.families.removal import CHEMICAL
from washlore.rules.idle import NEARLY, Met, Natures, idle_washes
from washlore.rules.ledger import DRAWS, Ledger, Step, band, run_ledger
from washlore.rules.perceive import Job
from washlore.rules.species import Array, Sheet, sheet
from washlore.rules.steps import LEAST_RATIO, MOST_RATIO, PlanStep, in_streams, portions
from washlore.rules.words import listed, round_volume, share

# Water layers with less than this share of the product are not worth another extraction.
WORTH_LOOKING = 0.05
# Product that is worth having back even with a leftover over its target.
WORTH_A_LEFTOVER = 0.1
LOOKED_AT = ("wash", "part", "neutralise")
PORTIONS = 2
MOST_PORTIONS = 5
# Another portion is worth taking if it leaves no more than this of what the portions before it left.
GAIN = 0.4
# Of the product in the water of a miscible solvent: at best, and on the unlucky side of the numbers.
LEAST_CARRIED, MAY_CARRY = 0.02, 0.2
# The best estimate of what is in the middle of its draws: far below that the draws need not be asked.
LEAST_DOUBTED = 0.5 * LEAST_CARRIED
NEARLY_CARRIED = 1.5
# A wash comes too late if no more than this share of the target is left of what it is for.
SURELY = 0.2
# What a wash for less than the target may cost of the product.
DEAR_FOR_A_TRACE = 0.03
NEUTRAL_PH = 6.0
SULFUR_DIOXIDE = "SO2"
# A wash that is less than this of the layer that it meets is made a fifth of it.
LEAST_OF_LAYER, WASH_SHARE = 1.5 * LEAST_RATIO, 0.2
# One that is this much of what is left of it is made as large as that.
NEARLY_MOST = 0.75 * MOST_RATIO


def extract_again(
    ke: Any, job: Job, solvent: Solvent, steps: Sequence[PlanStep], draws: int, first: int
) -> tuple[tuple[PlanStep, ...], Ledger]:
    """Return the steps with further extractions where they bring product back, and the ledger over them."""
    one = sheet(job.mixture, 1)
    steps = _enough_portions(ke, job, _needed(ke, job, steps, one, first), one, first)
    doing = _exactly(ke, job, steps)
    book = run_ledger(job.mixture, doing, numbers=one, first=first)
    idle = _idle(ke, job, steps, book)
    for step, there in idle.items():
        for c in step.for_components:
            _spare(ke, job, step, c, there[c])
    if idle:
        steps = tuple(replace(s, number=n) for n, s in enumerate((s for s in steps if s not in idle), start=first))
        doing = _exactly(ke, job, steps)
        book = run_ledger(job.mixture, doing, numbers=one, first=first)
    again = Step(
        "extract again",
        solvent=solvent.id,
        volume_ml=0.5 * trial.layer_ml(job.mixture),
        repeats=PORTIONS,
    )
    plan: list[tuple[PlanStep | None, Step]] = list(zip(steps, doing, strict=True))
    # The first water holds the miscible solvent of the reaction, and what that eases into it.
    mixes = bool(job.mixture.miscible_solvents)
    first_wet = next((c.step for c in book.contacts), 0) if mixes else 0
    drawn_off = _in_water(book, first_wet)
    doubted = bool(first_wet) and at_best(drawn_off) >= LEAST_DOUBTED
    # The judge goes by the draws of the plan; more of them leave less to chance.
    asked = {max(draws, DRAWS), draws} if doubted else set()
    wide = [run_ledger(job.mixture, doing, n, first=first) for n in sorted(asked)]
    for step in steps:
        held = at_best(_in_water(book, step.number))
        carried = step.number == first_wet and any(_carries(one_of, step.number) for one_of in wide)
        if step.action not in LOOKED_AT or (held < WORTH_LOOKING and not carried):
            continue
        place = next(i for i, (made, _) in enumerate(plan) if made is not None and made.number == step.number) + 1
        before = _run(job, plan, one, first)
        trying = [*plan[:place], (None, again), *plan[place:]]
        after = _run(job, trying, one, first)
        if step.action == "wash" and (spoilt := _spoilt(job, before, after)):
            # What comes back along with the product is washed out once more, if that wash takes it.
            once = replace(step, number=0, repeats=1, instruction=_once_more(step))
            washed = [*plan[:place], (None, again), (once, replace(plan[place - 1][1], repeats=1)), *plan[place:]]
            cleaner = _run(job, washed, one, first)
            taken = [c for c in spoilt if float(cleaner.left(c)[0]) <= GAIN * float(after.left(c)[0])]
            if taken:
                words = f"takes out what came back of {listed([job.name(c) for c in taken])}"
                washed[place + 1] = (replace(once, reason=words, for_components=tuple(taken)), washed[place + 1][1])
                trying, after = washed, cleaner
        back = max(0.0, float(after.left("product")[0] - before.left("product")[0]))
        if _spoilt(job, before, after) and back < WORTH_A_LEFTOVER and not carried:
            continue
        ke.observe(
            f.InWater(step=step.number, share=float(f"{held:.3g}"), back=float(f"{back:.3g}"), carried=carried),
            f"computed: the water of step {step.number} holds {share(held)} of {job.mixture.product.name}; {PORTIONS} further "
            f"portions of {solvent.name} bring {share(back)} of it back to the end",
        )
        ke.begin("again")
        if ke.first(f.ExtractsAgain, step=step.number):
            trying[place] = (_step(ke, job, solvent, step, again), again)
            plan = trying
    plan = _with_enough_water(job, plan, one, first)
    done = tuple(s for s, _ in plan if s is not None)
    if any(s.action == "extract again" for s in done):
        done = _without_idle(ke, job, _enough_portions(ke, job, done, one, first, WORTH_LOOKING), one, first)
    made = [in_streams(replace(s, number=n)) for n, s in enumerate(done, start=first)]
    for place, extraction in enumerate(made):
        if extraction.action == "extract again":
            # The water goes from the funnel into this extraction, and to the waste only after it.
            water = f"water of step {extraction.number - 1}"
            made[place - 1] = replace(made[place - 1], aqueous_to=water)
            made[place] = replace(extraction, stream=water)
    return tuple(made), run_ledger(job.mixture, [ledger_step(s, ke, job) for s in made], draws, first=first)


def acid_meets_poison(ke: Any, job: Job, steps: Sequence[PlanStep], book: Ledger) -> bool:
    """Tell whether the acid of a swap would meet what it turns into a poison gas: some was left, or brought back."""
    for place, step in enumerate(steps):
        if step.action != "take up" or not place:
            continue
        for _, fact in ke.facts_of(f.FirstOut):
            leftover = ke.first(f.Leftover, component=fact["component"])
            there = at_best(book.fraction(fact["component"], book.after[place - 1]))
            if frees_poison(leftover["residue"], table(Solution)[step.solution].ph) and there > job.mixture.target:
                return True
    return False


def _with_enough_water(
    job: Job, plan: list[tuple[PlanStep | None, Step]], one: Sheet, first: int
) -> list[tuple[PlanStep | None, Step]]:
    """Return the plan with washes for the layer as it is by then.

    Extractions have made it larger than they are sized by; much water, for a miscible solvent, has dissolved part of it.
    """
    layers = {c.step: c.organic_ml for c in _run(job, plan, one, first).contacts if c.portion == 1}
    larger = any(done.action == "extract again" for _, done in plan)
    made = []
    for number, (step, done) in enumerate(plan, start=first):
        layer = layers.get(number, 0.0)
        little = larger and done.volume_ml < LEAST_OF_LAYER * layer
        if step is not None and done.action == "wash" and (little or done.volume_ml > NEARLY_MOST * layer > 0.0):
            volume = round_volume(WASH_SHARE * layer if little else layer)
            words = portions("Wash", done.repeats, volume, table(Solution)[done.solution])
            step, done = (
                replace(step, volume_ml=volume, exact_ml=volume, instruction=words),
                replace(done, volume_ml=volume),
            )
        made.append((step, done))
    return made


def _in_water(book: Ledger, number: int) -> Array:
    """Return the share (draws,) of the product in the water that a step sets aside."""
    water = [layer for n, kind, layer in book.set_aside if kind == "aqueous" and n == number]
    return sum((book.fraction("product", layer.mmol) for layer in water), full(book.sheet.draws, 0.0))


def may_carry(middle: float, high: float, nearly: float = 1.0) -> bool:
    """Tell whether water beside a miscible solvent may hold much of the product: the share, and that on the unlucky side.

    Planner and judge both ask; a planner looks from ``nearly`` times as much on, so that no rounding makes the two differ.
    """
    return middle >= LEAST_CARRIED / nearly and high >= MAY_CARRY / nearly


def _carries(wide: Ledger, number: int) -> bool:
    """Tell whether a water layer may hold much of the product beside a miscible solvent."""
    return may_carry(*band(_in_water(wide, number))[1:], nearly=NEARLY_CARRIED)


def _exactly(ke: Any, job: Job, steps: Sequence[PlanStep]) -> list[Step]:
    """Return what the ledger needs of steps; what is decided must not hang on volumes rounded to what is measured out."""
    return [ledger_step(s, ke, job, exact=True) for s in steps]


def _run(job: Job, plan: Sequence[tuple[PlanStep | None, Step]], one: Sheet, first: int) -> Ledger:
    return run_ledger(job.mixture, [done for _, done in plan], numbers=one, first=first)


def _once_more(step: PlanStep) -> str:
    return portions("Wash", 1, step.volume_ml or 0.0, table(Solution)[step.solution])


def _spoilt(job: Job, before: Ledger, after: Ledger) -> list[str]:
    """Return what a further extraction brings back: over the target, and most of it not there without the extraction."""
    spoilt = []
    for c in job.mixture.others:
        without, with_it = float(before.left(c.id)[0]), float(after.left(c.id)[0])
        if c.role != "product" and with_it > job.mixture.target and without <= max(job.mixture.target, GAIN * with_it):
            spoilt.append(c.id)
    return spoilt


def _needed(ke: Any, job: Job, steps: Sequence[PlanStep], one: Sheet, first: int) -> tuple[PlanStep, ...]:
    """Return the steps without the washes that come too late: a quench, an earlier wash or the first water has done their work.

    The trials that chose a wash saw it alone; the whole account shows what the others take. A poison's wash stays, and so
    does one for what the rotary evaporator may not have taken whole, and the acid for a base that only the acid of a quench
    would take: how much of that there is hangs on how much was left to quench.
    """
    made = list(steps)
    poisons = _poisons(ke, made)
    # What acid would spoil comes last: the acid may be found needless before it.
    washes = sorted(
        (s for s in made if s.action == "wash" and s.for_components),
        key=lambda s: (bool(poisons & set(s.for_components)), -table(Solution)[s.solution].harshness),
    )
    for step in washes:
        if table(Solution)[step.solution].acts_as in CHEMICAL or _poisons(ke, made) & set(step.for_components):
            continue
        if _ends_acid(ke, step, made):
            continue
        if table(Solution)[step.solution].acts_as == "acid" and has_sour_quench(made):
            continue
        place = made.index(step)
        doing = _exactly(ke, job, made)
        book = run_ledger(job.mixture, doing, numbers=one, first=first)
        if stripped_before(made, book) & set(step.for_components):
            continue
        there = {c: float(book.fraction(c, book.after[place - 1])[0]) for c in step.for_components} if place else {}
        most = max(there.values(), default=1.0)
        without = [s for s in made if s is not step]
        if most > job.mixture.target:
            continue
        if most > SURELY * job.mixture.target:
            # To make sure of what is under its target already is no reason to lose product.
            spared = run_ledger(job.mixture, _exactly(ke, job, without), numbers=one, first=first)
            if at_best(spared.left("product")) - at_best(book.left("product")) < DEAR_FOR_A_TRACE:
                continue
        for c, left in there.items():
            _spare(ke, job, step, c, left)
        made = without
    return tuple(replace(s, number=n) for n, s in enumerate(made, start=first))


def _poisons(ke: Any, steps: Sequence[PlanStep]) -> set[str]:
    """Return what acid sets a poison free of (drops of its water stay in the funnel); sulfites only where acid follows."""
    sour = any(s.action in ("set ph", "neutralise") and (s.target_ph or 7.0) < NEUTRAL_PH for s in steps)
    sour = sour or any(s.action in ("wash", "take up") and s.solution and _is_sour(s.solution) for s in steps)
    gases = {fact["component"]: table(Residue)[fact["residue"]].acid_frees for _, fact in ke.facts_of(f.Leftover)}
    return {c for c, gas in gases.items() if gas and (sour or gas != SULFUR_DIOXIDE)}


def _is_sour(solution: str) -> bool:
    return solution in table(Solution) and table(Solution)[solution].acts_as == "acid"


def has_sour_quench(steps: Sequence[PlanStep]) -> bool:
    """Tell whether something is quenched with acid, of which nobody knows how much is left."""
    return any(s.action == "quench" and s.solution and table(Solution)[s.solution].ph < NEUTRAL_PH for s in steps)


def stripped_before(steps: Sequence[PlanStep], book: Ledger) -> set[str]:
    """Return what the rotary evaporator takes before the washes; what is held as a salt boils off no more."""
    found: set[str] = set()
    for place, step in enumerate(steps):
        if step.action == "evaporate":
            before = [float(book.fraction(c, book.after[place - 1])[0]) if place else 1.0 for c in step.for_components]
            after = [float(book.fraction(c, book.after[place])[0]) for c in step.for_components]
            found |= {c for c, a, b in zip(step.for_components, before, after, strict=True) if b < a}
    return found


def _idle(ke: Any, job: Job, steps: Sequence[PlanStep], book: Ledger) -> dict[PlanStep, Mapping[str, float]]:
    """Return the washes that have nothing to do in the whole account, and what share of each component meets them."""
    ids = [c.id for c in job.mixture.components]
    natures = Natures(*((fact for _, fact in ke.facts_of(kind)) for kind in (f.Ionises, f.Behaviour)))
    before = dict.fromkeys(ids, 1.0)
    mets = []
    held: set[str] = set()  # what is bound or destroyed; no acid or base takes the rest of it
    for step, mmol in zip(steps, book.after, strict=True):
        held |= {c for c in step.for_components if step.action == "wash" and bound(ke, c, step.solution)}
        after = {c: 0.0 if c in held else float(book.fraction(c, mmol)[0]) for c in ids}
        phs = tuple(float(c.ph[0]) for c in book.contacts if c.step == step.number)
        # What an acid or base holds as its salt is not stripped, whatever it boils at.
        strips = step.action in ("evaporate", "concentrate")
        stripped = tuple(c for c in step.for_components if strips and after[c] < before[c])
        binds = step.action == "wash" and bool(held & set(step.for_components))
        mets.append(Met(_MET.get(step.action, step.action), step.solution, before, after, phs, stripped, binds))
        before = after
    amounts = {c.id: c.mmol for c in job.mixture.components}
    found = idle_washes(mets, natures, amounts, book.sheet, job.mixture.target, NEARLY)
    return {steps[i]: mets[i].before for i in found}


def _without_idle(ke: Any, job: Job, steps: Sequence[PlanStep], one: Sheet, first: int) -> tuple[PlanStep, ...]:
    """Return the steps without a wash that has nothing to do once the extractions stand between, nor that of its water."""
    steps = tuple(replace(s, number=n) for n, s in enumerate(steps, start=first))
    idle = _idle(ke, job, steps, run_ledger(job.mixture, _exactly(ke, job, steps), numbers=one, first=first))
    made: list[PlanStep] = []
    for place, step in enumerate(steps):
        of_idle = step.action == "extract again" and steps[place - 1] in idle
        if step not in idle and not of_idle:
            made.append(step)
    return tuple(made)


# What a step of ours is where it is asked what has met the layer.
_MET = {"neutralise": "pour", "set ph": "pour"}


def _spare(ke: Any, job: Job, step: PlanStep, component: str, left: float) -> None:
    """Declare that a wash chosen for a component is not needed for it."""
    ke.observe(
        f.Spared(solution=step.solution, component=component),
        f"computed: before {table(Solution)[step.solution].name} would come, the steps before it have left "
        f"{share(left)} of {job.name(component)}",
        also=[i for i, _ in ke.facts_of(f.Chosen, component=component)],
    )


def _ends_acid(ke: Any, step: PlanStep, steps: Sequence[PlanStep]) -> bool:
    """Tell whether a base wash ends what is acid: a strong acid in the flask, or an acid wash before it.

    Its last trace would be heated with the product. A strong acid beside more base than acid is a salt already.
    """
    if table(Solution)[step.solution].acts_as != "base":
        return False
    strong = [is_strong_acid(ke, c) for c in step.for_components]
    quenched = [table(Solution)[s.solution].ph for s in steps if s.action == "quench" and s.solution]
    neutral = (ke.first(f.Pot)["ph"] > NEUTRAL_PH and min(quenched, default=7.0) > NEUTRAL_PH) or any(
        s.action == "neutralise" and (s.target_ph or 0.0) > NEUTRAL_PH for s in steps
    )
    before = [table(Solution)[s.solution] for s in steps[: steps.index(step)] if s.action == "wash"]
    acid_before = any(row.acts_as == "acid" for row in before)
    # Ammonia or another basic wash that came for something else has met the last of it.
    neutral = neutral or (not acid_before and any(row.ph > NEUTRAL_PH and row.weak_system for row in before))
    return not neutral if all(strong) else any(strong) or acid_before


# So many portions of a wash that thins something out, and no more.
THINNED_BY = 3


def _enough_portions(
    ke: Any, job: Job, steps: Sequence[PlanStep], one: Sheet, first: int, dearest: float = 1.0
) -> tuple[PlanStep, ...]:
    """Return the steps with another portion of a wash where that brings what it is for to the target.

    The trials that chose the wash saw the flask before the other steps; the whole account may ask for a little more. A portion
    that costs more than the share ``dearest`` of the product is not taken: nothing extracts its water again.
    """
    made = list(steps)
    goes = {c for s in steps if s.action == "concentrate" for c in s.for_components}  # a little more of it may be left
    for place, step in enumerate(steps):
        while made[place].action == "wash" and made[place].for_components and made[place].repeats < MOST_PORTIONS:
            left = _washed(run_ledger(job.mixture, _exactly(ke, job, made), numbers=one, first=first))
            over = [
                c
                for c in step.for_components
                if float(left(c)[0]) > job.mixture.target * (NEARLY if c in goes else 1.0)
                # What a wash only thins out is left to the purification that comes anyway.
                and (made[place].repeats < THINNED_BY or not ke.first(f.Thins, solution=step.solution, component=c))
            ]
            if not over:
                break
            more = replace(
                made[place],
                repeats=made[place].repeats + 1,
                instruction=portions(
                    "Wash", made[place].repeats + 1, step.volume_ml or 0.0, table(Solution)[step.solution]
                ),
            )
            trying = [*made[:place], more, *made[place + 1 :]]
            after = _washed(run_ledger(job.mixture, _exactly(ke, job, trying), numbers=one, first=first))
            cost = float(left("product")[0] - after("product")[0])
            if cost > dearest or not any(float(after(c)[0]) <= GAIN * float(left(c)[0]) for c in over):
                break
            made = trying
    return tuple(made)


def _washed(book: Ledger) -> Callable[[str], Array]:
    """Return what tells the share (draws,) of a component before the last strip: a wash does not count on the evaporator."""
    if book.steps[-1].action != "concentrate" or len(book.steps) < 2:
        return book.left
    return lambda component: book.fraction(component, book.with_unbound(book.after[-2]))


def _step(ke: Any, job: Job, solvent: Solvent, step: PlanStep, again: Step) -> PlanStep:
    layers = "layers" if step.action == "wash" and step.repeats > 1 else "layer"
    known_id = next(i for i, _ in ke.facts_of(f.ExtractsAgain, step=step.number))
    volume = round_volume(again.volume_ml)
    return in_streams(
        PlanStep(
            0,
            "extract again",
            f"Saturate the aqueous {layers} just parted with salt, extract {PORTIONS} × with {volume:g} mL of "
            f"{solvent.name}, and add that to the organic layer",
            f"{job.mixture.product.name} is partly in the water",
            (known_id,),
            solvent=solvent.id,
            volume_ml=volume,
            exact_ml=again.volume_ml,
            repeats=PORTIONS,
            phase_kept="organic",
        )
    )
