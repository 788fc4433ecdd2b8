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
STRONG_ACID_PKA = 2.0
WASH_SHARE = 1 / 3
# Share of a solvent that stays behind when a flask is stripped on the rotary evaporator.
STRIPPED_LEFT = 0.03
# Solvents offered when the choice is ours, in the order in which equals are preferred.
OFFERED = ("ethyl_acetate", "mtbe", "dichloromethane", "2-methf", "toluene", "diethyl_ether")


@dataclass(frozen=True)
class Trial:
    """What one solution does to every component in three contacts; shares left, (contacts,).

    ``cautious`` is the same with every number taken one and a half standard deviations on the side that leaves more,
    ``unlucky`` on the side that leaves less (for the product).
    """

    solution: str
    left: dict[str, tuple[float, ...]]
    cautious: dict[str, tuple[float, ...]]
    unlucky: tuple[float, ...]
    spent_ph: float


@dataclass(frozen=True)
class Pot:
    """The flask shaken with plain water: its pH, the product's share kept, and the share its neutral form would keep."""

    ph: float
    kept: float
    neutral: float
    ions: bool


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


def neutral_share(mixture: Mixture, solvent: Solvent) -> float:
    """Return the share of the product's neutral form that one portion of water leaves in the organic layer."""
    ratio = 10.0 ** best_log_d(mixture, solvent) * organic_volume_ml(mixture)
    return ratio / (ratio + wash_volume_ml(organic_volume_ml(mixture)))


def pot(job: Job, solvent: Solvent, gone: Collection[str], stripped: Collection[str]) -> Pot:
    """Return what a first portion of plain water would do to the flask as it stands."""
    mixture = job.mixture
    one = sheet(mixture, 1)
    organic_ml = organic_volume_ml(mixture)
    organic = _organic(one, solvent, organic_ml, gone, stripped)
    strong = float(organic.strong_mmol[0])
    aqueous = _many_washes(one, [table(Solution)["water"]], neutralising_ml(mixture))
    for key, amount in one.weak_mmol.items():
        aqueous.weak_mmol[key] = np.full(1, amount)
    contact = equilibrate(one, organic, aqueous)
    rows = [i for i, s in enumerate(one.species) if s.component == "product"]
    kept = float(organic.mmol[rows, 0].sum() / max(one.mmol[rows].sum(), 1e-300))
    acids = any(
        site.kind == "acid" and site.pka < STRONG_ACID_PKA
        for s in one.species
        for site in s.sites
        if s.component not in ("product", *gone)
    )
    ions = abs(strong) > 0.02 * mixture.product.mmol or bool(one.weak_mmol) or acids
    return Pot(float(contact.ph[0]), kept, neutral_share(mixture, solvent), ions)


def neutralising_ml(mixture: Mixture) -> float:
    """Return the volume of water that the flask is brought to a pH with: half the organic layer or 1 mL per mmol of ion."""
    one = sheet(mixture, 1)
    return round_volume(max(0.5 * organic_volume_ml(mixture), 0.5 * sum(abs(v) for v in one.strong_of.values())))


def uptakes(
    job: Job,
    solvent: Solvent,
    gone: Collection[str],
    stripped: Collection[str],
    solutions: Sequence[Solution],
    pot_ph: float | None = None,
) -> tuple[list[Trial], dict[str, float]]:
    """Return, for each solution, what three contacts with it leave of each component; and what the flask's water left.

    ``gone`` are components that a quench or filter has taken out, ``stripped`` those evaporated before the washes. With
    ``pot_ph`` the flask is first brought to that pH with water. All solutions are worked out in one vectorised pass, a
    solution taking the place of a draw.
    """
    mixture = job.mixture
    one = sheet(mixture, 1)
    count = len(solutions)
    wide = _widen(one, count)
    organic_ml = organic_volume_ml(mixture)
    volume = wash_volume_ml(organic_ml)
    organic = _organic(wide, solvent, organic_ml, gone, stripped)
    start = organic.mmol.copy()
    weak = dict(one.weak_mmol)
    if pot_ph is not None:
        aqueous = _many_washes(wide, [table(Solution)["water"]] * wide.draws, neutralising_ml(mixture))
        for key, amount in weak.items():
            aqueous.weak_mmol[key] = np.full(wide.draws, amount)
        weak = {}
        equilibrate(wide, organic, aqueous, held_ph=pot_ph)
    first = organic.mmol.copy()
    history: list[Array] = []
    spent = np.zeros(wide.draws)
    for portion in range(CONTACTS):
        aqueous = _many_washes(wide, [*solutions] * SIDES, volume)
        if portion == 0:
            for key, amount in weak.items():
                aqueous.weak_mmol[key] = aqueous.weak_mmol.get(key, np.zeros(wide.draws)) + amount
        contact = equilibrate(wide, organic, aqueous)
        history.append(organic.mmol.copy())
        if portion == 0:
            spent = contact.ph
    rows = {c.id: [i for i, s in enumerate(wide.species) if s.component == c.id] for c in mixture.components}

    def left(component_id: str, column: int, states: Sequence[Array] = history) -> tuple[float, ...]:
        own = rows[component_id]
        whole = start[own, column].sum()
        return tuple(float(mmol[own, column].sum() / whole) if whole > 0 else 0.0 for mmol in states)

    trials = [
        Trial(
            solution.id,
            {c.id: left(c.id, column) for c in mixture.components},
            {c.id: left(c.id, column + count) for c in mixture.components},
            left("product", column + 2 * count),
            float(spent[column]),
        )
        for column, solution in enumerate(solutions)
    ]
    return trials, {c.id: left(c.id, 0, (first,))[0] for c in mixture.components}


# Columns of a trial: best estimates, all numbers on the side that leaves more, all on the side that leaves less.
SIDES = 3


def _widen(one: Sheet, count: int) -> Sheet:
    """Return the sheet with a column for each solution and side."""
    shift = np.repeat([0.0, CAUTIOUS_SIGMAS, -CAUTIOUS_SIGMAS], count)
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
        one.strong_of,
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
        np.full(numbers.draws, sum(v for c, v in numbers.strong_of.items() if c not in gone)),
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
    job: Job,
    solvent: Solvent,
    gone: Collection[str],
    stripped: Collection[str],
    solution: Solution,
    back_ph: float,
    pot_ph: float | None = None,
) -> dict[str, float]:
    """Return the share of each component that a swap through ``solution`` leaves with the product."""
    before = [
        Step("quench", removes=tuple(gone)),
        Step("evaporate", removes=tuple(stripped)),
        Step("dilute", solvent=solvent.id, volume_ml=organic_volume_ml(job.mixture)),
    ]
    if pot_ph is not None:
        before.append(Step("neutralise", volume_ml=neutralising_ml(job.mixture), target_ph=pot_ph))
    book = run_ledger(
        job.mixture, [*before, *swap_steps(job.mixture, solvent, solution, back_ph)], numbers=sheet(job.mixture, 1)
    )
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
