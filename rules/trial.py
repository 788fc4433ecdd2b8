"""Trials: what would happen with each solvent and each solution, computed before the rules choose among them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from washlore.knowledge import partition
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules.ledger import Phase, Step, equilibrate, run_ledger
from washlore.rules.mixture import ASSUMED_ML_PER_MMOL, LEAST_ASSUMED_ML, Mixture
from washlore.rules.perceive import Job
from washlore.rules.species import Array, Sheet, sheet
from washlore.rules.words import round_volume

CONTACTS = 3
CAUTIOUS_SIGMAS = 1.5
WASH_SHARE = 1 / 3
# Share of a solvent that stays behind when a flask is stripped on the rotary evaporator.
STRIPPED_LEFT = 0.03
# Solvents offered when the choice is ours, in the order in which equals are preferred.
OFFERED = ("ethyl_acetate", "mtbe", "dichloromethane", "2-methf", "toluene", "diethyl_ether")


@dataclass(frozen=True)
class Trial:
    """What one solution does to every component in three contacts; shares left, (contacts,).

    ``cautious`` is the same with every number taken one and a half standard deviations on the side that leaves more.
    """

    solution: str
    left: dict[str, tuple[float, ...]]
    cautious: dict[str, tuple[float, ...]]
    spent_ph: float


def organic_volume_ml(mixture: Mixture) -> float:
    """Return the volume of the organic layer that the washes are sized by."""
    held = sum(v for s, v in mixture.reaction_solvents if s.log_k_key)
    return round_volume(max(LEAST_ASSUMED_ML, held, ASSUMED_ML_PER_MMOL * mixture.product.mmol / 1.0 * 0.8))


def wash_volume_ml(organic_ml: float) -> float:
    """Return the volume of one portion of wash: a third of the organic layer (common practice: 10 to 50 %)."""
    return round_volume(organic_ml * WASH_SHARE)


def best_log_d(mixture: Mixture, solvent: Solvent) -> float:
    """Return the product's log K into a solvent (neutral form, or ion pair of a permanent ion)."""
    part = mixture.product.principal
    from washlore.rules.species import permanent_charge

    if permanent_charge(part):
        return partition.permanent_ion_log_k(part, solvent.log_k_key).value
    return partition.molecule_log_k(part, solvent.log_k_key).value


def offered_solvents(mixture: Mixture) -> list[Solvent]:
    """Return the solvents that could make the organic layer: the one asked for, else the reaction's, else ours."""
    if mixture.extraction is not None:
        return [mixture.extraction]
    rows = [table(Solvent)[key] for key in OFFERED]
    own = [s for s, _ in mixture.reaction_solvents if s.extractant and s.log_k_key and s not in rows]
    return own + rows


def uptakes(
    job: Job, solvent: Solvent, gone: Collection[str], stripped: Collection[str], solutions: Sequence[Solution]
) -> list[Trial]:
    """Return, for each solution, what three contacts with it leave of each component.

    ``gone`` are components that a quench or filter has taken out, ``stripped`` those evaporated before the washes. All
    solutions are worked out in one vectorised pass, a solution taking the place of a draw.
    """
    mixture = job.mixture
    one = sheet(mixture, 1)
    count = len(solutions)
    wide = _widen(one, count)
    organic_ml = organic_volume_ml(mixture)
    volume = wash_volume_ml(organic_ml)
    organic = _organic(wide, solvent, organic_ml, gone, stripped)
    start = organic.mmol.copy()
    history: list[Array] = []
    spent = np.zeros(2 * count)
    for portion in range(CONTACTS):
        aqueous = _many_washes(wide, [*solutions, *solutions], volume)
        if portion == 0:
            for key, amount in one.weak_mmol.items():
                aqueous.weak_mmol[key] = aqueous.weak_mmol.get(key, np.zeros(2 * count)) + amount
        contact = equilibrate(wide, organic, aqueous)
        history.append(organic.mmol.copy())
        if portion == 0:
            spent = contact.ph
    rows = {c.id: [i for i, s in enumerate(wide.species) if s.component == c.id] for c in mixture.components}

    def left(component_id: str, column: int) -> tuple[float, ...]:
        own = rows[component_id]
        whole = start[own, column].sum()
        return tuple(float(mmol[own, column].sum() / whole) if whole > 0 else 0.0 for mmol in history)

    return [
        Trial(
            solution.id,
            {c.id: left(c.id, column) for c in mixture.components},
            {c.id: left(c.id, column + count) for c in mixture.components},
            float(spent[column]),
        )
        for column, solution in enumerate(solutions)
    ]


def _widen(one: Sheet, count: int) -> Sheet:
    """Return the sheet with a column for each solution at the best estimate, then one each on the cautious side."""
    shift = np.repeat([0.0, CAUTIOUS_SIGMAS], count)
    sigma = np.array([s.sigma for item in one.species for s in item.sites]).reshape(-1, 1)
    size = (len(one.species), 1)
    return Sheet(
        one.species,
        one.mmol,
        one.pka[:, :1] + one.sign[:, None] * sigma * shift,
        one.site_of,
        one.sign,
        np.ones(size) * shift,
        np.ones(size) * shift,
        one.strong_mmol,
        one.weak_mmol,
    )


def _organic(
    numbers: Sheet, solvent: Solvent, organic_ml: float, gone: Collection[str], stripped: Collection[str]
) -> Phase:
    mmol = np.repeat(numbers.mmol[:, None], numbers.draws, axis=1)
    for i, item in enumerate(numbers.species):
        if item.component in gone:
            mmol[i] = 0.0
        elif item.component in stripped:
            mmol[i] *= STRIPPED_LEFT
    return Phase(
        mmol,
        organic_ml,
        ((solvent.log_k_key, 1.0),),
        np.full(numbers.draws, numbers.strong_mmol),
        {},
        np.zeros(numbers.draws),
        solvent.density_g_ml * organic_ml,
    )


def _many_washes(numbers: Sheet, solutions: Sequence[Solution], volume: float) -> Phase:
    weak: dict[str, Array] = {}
    for column, row in enumerate(solutions):
        if row.weak_system:
            weak.setdefault(row.weak_system, np.zeros(len(solutions)))[column] = row.weak_m * volume
    return Phase(
        np.zeros((len(numbers.species), numbers.draws)),
        volume,
        (),
        np.array([row.strong_charge_m * volume for row in solutions]),
        weak,
        np.array([row.salt_m * volume for row in solutions]),
        float(np.mean([row.density_g_ml for row in solutions])) * volume,
    )


def swap(
    job: Job, solvent: Solvent, gone: Collection[str], stripped: Collection[str], solution: Solution, back_ph: float
) -> dict[str, float]:
    """Return the share of each component that a swap through ``solution`` leaves with the product."""
    numbers = sheet(job.mixture, 1)
    steps = swap_steps(job.mixture, solvent, solution, back_ph)
    before = [Step("quench", removes=tuple(gone)), Step("evaporate", removes=tuple(stripped)), Step("dilute", solvent=solvent.id, volume_ml=organic_volume_ml(job.mixture))]
    book = run_ledger(job.mixture, [*before, *steps], numbers=numbers)
    return {c.id: float(book.left(c.id)[0]) for c in job.mixture.components}


def swap_steps(mixture: Mixture, solvent: Solvent, solution: Solution, back_ph: float) -> list[Step]:
    """Return the ledger's steps of a swap: into water, rinse the water, set the pH, back into fresh solvent."""
    organic_ml = organic_volume_ml(mixture)
    portion = round_volume(max(organic_ml * 0.4, capacity_ml(mixture, solution)))
    return [
        Step("take up", solution=solution.id, volume_ml=portion, repeats=3),
        Step("rinse water", solvent=solvent.id, volume_ml=round_volume(organic_ml * 0.5)),
        Step("set ph", target_ph=back_ph),
        Step("extract", solvent=solvent.id, volume_ml=round_volume(organic_ml * 0.5), repeats=3),
    ]


def capacity_ml(mixture: Mixture, solution: Solution) -> float:
    """Return the volume of one of three portions that hold 1.5 equivalents of acid or base for the product."""
    return mixture.product.mmol * 1.5 / max(solution.molarity_m, 0.05) / 3
