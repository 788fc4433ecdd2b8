"""The heat that proton transfer sets free in a contact."""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge import water
from washlore.knowledge.arrays import at_best
from washlore.knowledge.beside import holders
from washlore.knowledge.heats import WATER_KJ, buffer_kj, site_kj
from washlore.knowledge.rows import Buffer, table
from washlore.rules.phase import Phase
from washlore.rules.species import Array, Sheet, Species


def heat_kj(
    numbers: Sheet,
    came: Array | Sequence[float],
    aqueous: Phase,
    ph: Array | float,
    poured_ml: float,
    aqueous_ml: float,
    salt_m: float,
) -> float:
    """Return the heat set free in kJ at the best estimate.

    ``came`` (species,): mmol of what had met no water before, in the form it was put into the flask; all else came
    un-ionised out of an organic layer. The wash came at its own pH, ``poured_ml`` of it; ``aqueous_ml`` is the layer after.
    """
    there = aqueous.mmol[:, 0].tolist()
    if not any(there):
        return 0.0
    strength = min(water.MAX_IONIC_STRENGTH_M, salt_m)
    before, after = aqueous.ph, at_best(ph)
    joules = 0.0
    sites = [site for item in numbers.species for site in item.sites]
    ions = [ionised for item in numbers.species for ionised in _came_ionised(item)]
    rows = zip(numbers.site_of, numbers.sign, numbers.pka[:, 0], sites, ions, strict=True)
    for row, sign, pka, site, was in rows:
        ionised = 1.0 / (1.0 + 10.0 ** min(max(sign * (pka - after), -30.0), 30.0))
        joules -= sign * site_kj(site) * (ionised * there[row] - was * came[row])
    for key, mmol in aqueous.weak_mmol.items():
        if key in holders():
            continue
        row_buffer = table(Buffer)[key]
        for where, factor in ((after, 1.0), (before, -1.0)):
            fractions = water.alpha_fractions(row_buffer.pkas, row_buffer.acid_charge, where, strength)
            step = 0.0
            for fraction, kj in zip(fractions, (0.0, *(buffer_kj(key) or (0.0,) * len(row_buffer.pkas))), strict=False):
                step += kj
                joules -= factor * step * fraction * at_best(mmol)
    hydroxide = water.hydroxide_m(after, strength) * aqueous_ml - water.hydroxide_m(before, strength) * poured_ml
    joules -= WATER_KJ * float(hydroxide)
    return float(joules) / 1000.0


def _came_ionised(item: Species) -> list[float]:
    """Return for each site 1 where the compound came as its ion there: the strongest acids and bases of its charge."""
    wanted = "acid" if item.came_charge < 0 else "base"
    own = [i for i, site in enumerate(item.sites) if site.kind == wanted]
    own.sort(key=lambda i: item.sites[i].pka, reverse=wanted == "base")
    ions = set(own[: abs(item.came_charge)])
    return [1.0 if i in ions else 0.0 for i in range(len(item.sites))]
