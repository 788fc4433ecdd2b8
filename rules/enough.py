"""How much of a solution a leftover takes, by the equation of what happens: what a quench or a binding wash is sized by."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import cache

from washlore.knowledge import groups
from washlore.knowledge.rows import Buffer, Residue, Solution, table
from washlore.knowledge.water import alpha_charges
from washlore.rules.mixture import Component, Mixture
from washlore.rules.species import sheet

# A fifth more than the equation says.
EXCESS = 1.2
# Electrons that one molecule of a reductant gives, by what its formula holds; thiosulfate gives one, to tetrathionate.
ELECTRONS = {"S2O3": 1.0, "SO3": 2.0, "C6H7": 2.0}
# A quench with a base ends here; acids below it have given their protons by then, bases above it hold theirs.
ENDS_PH = 7.5

# Molar masses (g/mmol) of what goes in as a solid where a quench asks for more than the solution that a funnel would hold.
NAHCO3_G_PER_MMOL, NH4CL_G_PER_MMOL = 0.084, 0.0535
GRAMS_PER_MMOL = {
    "sodium hydrogen carbonate": NAHCO3_G_PER_MMOL,
    "sodium carbonate": 0.106,
    "sodium sulfite": 0.126,
    "sodium hydrogen sulfite": 0.104,
    "sodium thiosulfate": 0.158,
    "sodium ascorbate": 0.198,
    "ammonium chloride": NH4CL_G_PER_MMOL,
    "potassium sodium tartrate tetrahydrate": 0.282,
}


def equivalents_mmol(row: Residue, component: Component) -> float:
    """Return what a leftover takes, mmol of electrons, protons, base or ligands; 0 where its row does not say."""
    if not row.equivalents:
        return 0.0
    return row.equivalents * component.mmol * sum(_hits(row.id, part.smiles) for part in component.parts)


@cache
def _hits(residue: str, smiles: str) -> int:
    from washlore.knowledge.structure import molecules

    return sum(groups.count_hits(table(Residue)[residue], part) for part in molecules(smiles))


def gives_m(solution: Solution) -> float:
    """Return what a solution has for a leftover, mmol/mL: electrons, base, acid or ligands, by what it does."""
    if solution.acts_as == "reductant":
        return solution.molarity_m * next((n for f, n in ELECTRONS.items() if f in solution.formula), 1.0)
    if solution.acts_as == "base":
        return base_m(solution)
    if solution.weak_system == "ammonia":
        free = solution.weak_m + solution.strong_charge_m
        return free if solution.acts_as == "complexing" else solution.weak_m
    if solution.acts_as == "acid":
        return max(-solution.strong_charge_m, solution.molarity_m)
    return solution.molarity_m


def solid_g_per_mmol(solution: Solution) -> float:
    """Return the molar mass (g/mmol) of what goes in as a solid for a solution; 0 where only the solution does."""
    return GRAMS_PER_MMOL.get(solution.solute.split(" and ")[0], 0.0)


def base_m(solution: Solution) -> float:
    """Return the base that a solution brings down to pH 7.5, mmol/mL; of a reductant only that of its bicarbonate."""
    if solution.acts_as != "base" and solution.weak_system != "carbonate":
        return 0.0
    # What is still an ion there has not taken a proton: acetate takes none, phosphate not quite half of its three.
    return max(solution.strong_charge_m + _charge(solution.weak_system) * solution.weak_m, 0.0)


def acid_mmol(mixture: Mixture, without: Collection[str]) -> float:
    """Return the base (mmol) that the acids of a flask take up to pH 7.5, less what its own bases take; ``without``: ids.

    Below zero it is the acid that its bases take.
    """
    one = sheet(mixture, 1)
    needs = -sum(mmol for component, mmol in one.strong_of.items() if component not in without)
    for i, sign, pka in zip(one.site_of, one.sign, one.pka[:, 0], strict=True):
        if one.species[int(i)].component in without:
            continue
        if sign > 0 and pka < ENDS_PH:
            needs += float(one.mmol[int(i)])
        elif sign < 0 and pka > ENDS_PH:
            needs -= float(one.mmol[int(i)])
    needs -= sum(mmol * _charge(system) for system, mmol in one.weak_without(without).items())
    return needs


@cache
def _charge(system: str) -> float:
    """Return the charge of one mole of an inorganic weak acid at pH 7.5; carbonate has left as gas."""
    row = table(Buffer).get(system)
    if row is None or system == "carbonate":
        return 0.0
    return float(alpha_charges(row.pkas, row.acid_charge, ENDS_PH, 0.5))


def needed_ml(
    mixture: Mixture, solution: Solution, quenched: Iterable[tuple[Residue, Component]], acid: float
) -> float:
    """Return how much of a solution (mL) the leftovers that it ends take.

    ``acid`` is that of the flask (mmol), base below zero: a base takes the one along, and an acid the other.
    """
    takes = sum(
        equivalents_mmol(row, component)
        for row, component in quenched
        if row.solution in table(Solution) and table(Solution)[row.solution].acts_as == solution.acts_as
    )
    gives, base = gives_m(solution), base_m(solution)
    if solution.acts_as == "base":
        takes, acid = takes + max(acid, 0.0), 0.0
    if solution.acts_as == "acid" and takes:
        takes += max(-acid, 0.0)
    acid = max(acid, 0.0)
    return EXCESS * max(takes / gives if gives else 0.0, acid / base if base else 0.0)
