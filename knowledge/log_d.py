"""How a compound distributes between an organic solvent and water of a given pH: log D with its uncertainty."""

from __future__ import annotations

import math

from washlore.knowledge import acidity, partition
from washlore.knowledge.ion_pairs import CHLORIDE, ion_pair_shift, permanent_ion_log_k
from washlore.knowledge.records import dataclass
from washlore.knowledge.structure import Molecule, molecules


@dataclass(frozen=True)
class LogD:
    """log10 of (all forms in the organic layer) / (all forms in the water), with one sigma."""

    value: float
    sigma: float
    neutral_share: float


def pair_log_k(
    molecule: Molecule, solvent: str, sites: tuple[acidity.Site, ...], counter: str = CHLORIDE
) -> tuple[float, float]:
    """Return (shift of log K from neutral form to ion pair, sigma) for the ion that the sites of a molecule make."""
    kinds = {s.kind for s in sites}
    shifts = [ion_pair_shift(molecule, solvent, -1 if kind == "acid" else 1, counter) for kind in sorted(kinds)]
    return min(shifts) if shifts else (0.0, 0.0)


def distribution(smiles: str, solvent: str, ph: float) -> LogD:
    """Return log D of the largest part of ``smiles`` between ``solvent`` and water at ``ph``, 25 C.

    Independent sites; what has no net charge and singly charged ion pairs enter the organic layer. log K of an acid that is a
    base too was measured for, or fitted to, zwitterion and neutral form together. ``solvent`` is one of
    ``partition.SOLVENTS``. Sigma by error propagation over pKa, log K and ion pair terms. Raises ``StructureError`` for a
    SMILES that cannot be read and ``ValueError`` for an unknown solvent.
    """
    molecule = molecules(smiles)[0]
    sites = acidity.molecule_sites(molecule)
    if not sites and molecule.charge:
        ion = permanent_ion_log_k(molecule, solvent)
        return LogD(ion.log_k, ion.sigma, 0.0)
    neutral = partition.molecule_log_k(molecule, solvent)
    shift, shift_sigma = pair_log_k(molecule, solvent, sites)

    def log_d(log_k: float, pair: float, pkas: list[float]) -> float:
        odds = [
            10.0 ** max(-30.0, min(30.0, (ph - p) if s.kind == "acid" else (p - ph)))
            for s, p in zip(sites, pkas, strict=True)
        ]
        unionised = 1.0 / math.prod(1.0 + o for o in odds)
        lost, gained = (sum(o for s, o in zip(sites, odds, strict=True) if s.kind == k) for k in ("acid", "base"))
        uncharged = 1.0 + lost * gained
        return math.log10(unionised * (uncharged * 10.0**log_k + sum(odds) * 10.0**pair))

    pkas = [s.pka for s in sites]
    pair = neutral.value + shift
    best = log_d(neutral.value, pair, pkas)
    # The terms are independent: the variance is the sum of what each one's sigma moves.
    variance = (log_d(neutral.value + neutral.sigma, pair + neutral.sigma, pkas) - best) ** 2
    if sites:
        variance += (log_d(neutral.value, pair + shift_sigma, pkas) - best) ** 2
    for i, site in enumerate(sites):
        moved = [p + site.sigma if j == i else p for j, p in enumerate(pkas)]
        variance += (log_d(neutral.value, pair, moved) - best) ** 2
    share = 1.0 / math.prod(1.0 + 10.0 ** ((ph - s.pka) if s.kind == "acid" else (s.pka - ph)) for s in sites)
    return LogD(best, math.sqrt(variance), share)
