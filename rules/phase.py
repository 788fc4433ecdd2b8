"""A layer in the flask or the funnel: what it holds, how layers are poured, pooled and saturated, and how dense they are."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from washlore.knowledge import partition, water
from washlore.knowledge.arrays import at_best, full, maximum, minimum, plain, zeros
from washlore.knowledge.beside import dissolved_m
from washlore.knowledge.records import dataclass, field, replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.rules.mixture import is_organic
from washlore.rules.species import Array, Sheet
from washlore.rules.words import listed

# No layer is taken for smaller than this, so that a division by its volume stays sane.
LEAST_VOLUME_ML = 0.5
# Between the ids of solutions that were poured together; after an id: as much of what it has dissolved, without its water.
BLEND, SOLID = "+", "!"


class LedgerError(ValueError):
    """A step cannot be worked out on this mixture; the message says which and why."""


@dataclass
class Phase:
    """One layer: its volume of base liquid, the mmol of each species (species, draws), strong ions and weak systems.

    ``weak_mmol`` also counts the ions that hold a solute in water (``knowledge/beside.py``).

    ``mass_g`` is the mass of the base liquid; ``ph`` that of a water layer as it comes; ``saturated`` tells whether the
    layer has met the other one, so that each already holds what it takes of the other's liquid.
    """

    mmol: Array
    volume_ml: Array | float
    solvents: tuple[tuple[str, float], ...] = ()
    strong_mmol: Array = field(default_factory=lambda: full(1, 0.0))
    weak_mmol: dict[str, Array] = field(default_factory=dict)
    salt_mmol: Array = field(default_factory=lambda: full(1, 0.0))
    mass_g: Array | float = 0.0
    ph: float = 7.0
    saturated: bool = False


# A layer of one draw with plain numbers in it: a list of ``mmol``, and floats.
Plain = Any


def in_one_draw(phase: Phase) -> Plain:
    """Return a layer of one draw with plain numbers in it."""
    return plain_phase(
        plain(phase.mmol),
        at_best(phase.volume_ml),
        phase.solvents,
        at_best(phase.strong_mmol),
        {key: at_best(mmol) for key, mmol in phase.weak_mmol.items()},
        at_best(phase.salt_mmol),
        at_best(phase.mass_g),
        phase.ph,
        phase.saturated,
    )


def plain_phase(*values: Any) -> Plain:
    """Return a layer of one draw out of plain numbers, in the order of ``Phase``."""
    return Phase(*values)


@lru_cache(maxsize=500)
def _bottle_ph(solution_id: str) -> float:
    return water.ph_of(table(Solution)[solution_id])


def blended(rows: Sequence[Solution]) -> Solution:
    """Return equal volumes of solutions as one, under the ids of all; how it acts is the first's.

    One of which there is twice as much is named twice; what goes in as a solid has ``SOLID`` after its id.
    """
    if len({row.id for row in rows}) == 1:
        return rows[0]
    wet = [row for row in rows if not row.id.endswith(SOLID)]
    return replace(
        rows[0],
        id=BLEND.join(row.id for row in rows),
        name=listed(list(dict.fromkeys(row.name for row in rows))),
        strong_charge_m=sum(row.strong_charge_m for row in rows) / len(wet),
        salt_m=sum(row.salt_m for row in rows) / len(wet),
        density_g_ml=sum(row.density_g_ml for row in wet) / len(wet),
    )


@lru_cache(maxsize=500)
def bottle(solution_id: str) -> Solution:
    """Return the solution with this id, or the blend of several."""
    rows = ((part, table(Solution)[part.removesuffix(SOLID)]) for part in solution_id.split(BLEND))
    return blended([as_solid(row) if part.endswith(SOLID) else row for part, row in rows])


def as_solid(row: Solution) -> Solution:
    """Return a solution of which only what it has dissolved goes into a blend."""
    return replace(row, id=row.id + SOLID)


def first_of(solution_id: str) -> str:
    """Return the id of the solution that gives a blend its name."""
    return solution_id.split(BLEND)[0]


def dissolved_mmol_ml(solution_id: str) -> dict[str, float]:
    """Return what a solution or blend has dissolved that holds protons or solutes, mmol/mL."""
    parts = solution_id.split(BLEND)
    wet = sum(not part.endswith(SOLID) for part in parts)
    found: dict[str, float] = {}
    for part in parts:
        for key, molarity in dissolved_m(part.removesuffix(SOLID)).items():
            found[key] = found.get(key, 0.0) + molarity / wet
    return found


def fresh_wash(solution: Solution, volume_ml: float, numbers: Sheet) -> Phase:
    """Return a portion of a wash solution as a phase."""
    weak = {key: full(numbers.draws, m * volume_ml) for key, m in dissolved_mmol_ml(solution.id).items()}
    return Phase(
        zeros(len(numbers.species), numbers.draws),
        volume_ml,
        (),
        full(numbers.draws, solution.strong_charge_m * volume_ml),
        weak,
        full(numbers.draws, solution.salt_m * volume_ml),
        solution.density_g_ml * volume_ml,
        _bottle_ph(first_of(solution.id)),
    )


def fresh_solvent(solvent: Solvent, volume_ml: float, numbers: Sheet) -> Phase:
    """Return a portion of an organic solvent as a phase."""
    if not solvent.log_k_key:
        raise LedgerError(f"{solvent.name} forms no layer of its own with water, so it cannot extract from it.")
    return Phase(
        zeros(len(numbers.species), numbers.draws),
        volume_ml,
        ((solvent.log_k_key, 1.0),),
        full(numbers.draws, 0.0),
        {},
        full(numbers.draws, 0.0),
        solvent.density_g_ml * volume_ml,
    )


def hand_over(organic: Phase, aqueous: Phase) -> None:
    """Move inorganic weak systems that the flask brought into the first water that meets it."""
    for key, mmol in organic.weak_mmol.items():
        aqueous.weak_mmol[key] = aqueous.weak_mmol.get(key, 0.0) + mmol
    organic.weak_mmol = {}


def pool(one: Phase, two: Phase) -> Phase:
    """Return two layers poured together."""
    none = full(1, 0.0)
    weak = {k: one.weak_mmol.get(k, none) + two.weak_mmol.get(k, none) for k in {*one.weak_mmol, *two.weak_mmol}}
    whole = one.volume_ml + two.volume_ml
    part = at_best(one.volume_ml) / max(at_best(whole), 1e-300)
    solvents = merge([(k, s * part) for k, s in one.solvents] + [(k, s * (1.0 - part)) for k, s in two.solvents])
    return Phase(
        one.mmol + two.mmol,
        whole,
        solvents,
        one.strong_mmol + two.strong_mmol,
        weak,
        one.salt_mmol + two.salt_mmol,
        one.mass_g + two.mass_g,
        two.ph,
        one.saturated and two.saturated,
    )


def merge(parts: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """Return solvents with their shares, each once, the largest share first."""
    merged: dict[str, float] = {}
    for key, share in parts:
        merged[key] = merged.get(key, 0.0) + share
    return tuple(sorted(merged.items(), key=lambda kv: -kv[1]))


def saturate(organic: Phase, aqueous: Phase) -> None:
    """Let each layer take up what it holds of the other's liquid, at their first meeting; salt holds solvent back."""
    if not organic.solvents:
        return
    if not aqueous.saturated:
        salt_m = aqueous.salt_mmol / maximum(aqueous.volume_ml, LEAST_VOLUME_ML)
        for key, share in organic.solvents:
            row = table(Solvent)[key]
            percent = row.in_water_wt_pct or 0.0
            held = percent / (100.0 - percent) * 10.0 ** (-salting_constant(row.smiles) * salt_m)
            lost_ml = minimum(held * aqueous.volume_ml / row.density_g_ml, 0.5 * organic.volume_ml) * share
            organic.volume_ml = organic.volume_ml - lost_ml
            organic.mass_g = organic.mass_g - lost_ml * row.density_g_ml
            aqueous.volume_ml = aqueous.volume_ml + lost_ml
            aqueous.mass_g = aqueous.mass_g + lost_ml * row.density_g_ml
        aqueous.saturated = True
    if not organic.saturated:
        for key, share in organic.solvents:
            percent = table(Solvent)[key].water_held_wt_pct or 0.0
            gained_g = percent / (100.0 - percent) * organic.mass_g * share
            gained_g = minimum(gained_g, 0.3 * aqueous.volume_ml)
            organic.volume_ml = organic.volume_ml + gained_g
            organic.mass_g = organic.mass_g + gained_g
            aqueous.volume_ml = aqueous.volume_ml - gained_g
            aqueous.mass_g = aqueous.mass_g - gained_g
        organic.saturated = True


def solute_mass_g(numbers: Sheet, phase: Phase) -> float:
    """Return the mass of everything dissolved in a layer, at the best estimate, in g."""
    mmol = phase.mmol[:, 0].tolist()
    return sum([s.molecule.molar_mass * amount for s, amount in zip(numbers.species, mmol, strict=True)]) / 1000.0


def swollen_ml(volume_ml: float, solute_g: float, numbers: Sheet, phase: Phase) -> float:
    """Return the volume with the room that non-solvent solutes take, at 1.2 g/mL for an organic solid in solution."""
    solvents = sum(
        [s.molecule.molar_mass * phase.mmol[i, 0] / 1000.0 for i, s in enumerate(numbers.species) if s.solvent]
    )
    return volume_ml + max(0.0, solute_g - float(solvents)) / 1.2


@lru_cache(maxsize=1_000)
def salting_constant(smiles: str) -> float:
    """Return the Setschenow constant (L/mol, log10) of a compound against sodium chloride."""
    molecule = molecules(smiles)[0]
    if not is_organic(molecule):
        return 0.0
    return partition.setschenow(molecule, partition.molecule_log_k(molecule, "1-octanol").value)


@lru_cache(maxsize=1_000)
def cosolvency(smiles: str) -> float:
    """Return the log-linear cosolvency slope of a compound (``yalkowsky``; one line for all solvents)."""
    molecule = molecules(smiles)[0]
    if not is_organic(molecule):
        return 0.0
    return max(0.0, 0.95 * partition.molecule_log_k(molecule, "1-octanol").value + 0.3)
