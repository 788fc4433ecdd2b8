"""The heat that proton transfer sets free in a contact."""

from __future__ import annotations

import numpy as np

from washlore.knowledge import water
from washlore.knowledge.acidity import Site
from washlore.knowledge.inorganic import Inorganic
from washlore.knowledge.rows import Buffer, table
from washlore.rules.phase import Phase
from washlore.rules.species import Array, Sheet

# Enthalpies of ionisation, kJ per mole of proton lost (goldberg2002 for the buffers; classes from memory).
_IONISATION_KJ = {"carboxylic": 0.0, "phenol": 23.0, "amine": 52.0, "pyridine": 20.0, "aniline": 31.0}
_BUFFER_KJ = {
    "carbonate": (9.2, 14.7),
    "phosphate": (-8.0, 3.6, 16.0),
    "ammonia": (52.0,),
    "citrate": (4.1, 2.4, -3.4),
    "acetate": (-0.4,),
    "sulfate": (-22.0,),
    "borate": (14.0,),
}


def _site_kj(site: Site) -> float:
    site_class, kind = site.site_class, site.kind
    row = table(Inorganic).get(site_class)
    if row is not None and row.pkas:
        return min(zip(row.pkas, row.ionisation_kj, strict=True), key=lambda step: abs(step[0] - site.pka))[1]
    if kind == "acid":
        return _IONISATION_KJ["phenol" if "phenol" in site_class else "carboxylic"]
    for key in ("pyridine", "aniline"):
        if key in site_class:
            return _IONISATION_KJ[key]
    return _IONISATION_KJ["amine"]


def heat_kj(numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: float, salt_m: float) -> float:
    """Return the heat set free in kJ at the best estimate: components come in un-ionised, the wash at its own pH."""
    if not np.any(aqueous.mmol[:, 0]):
        return 0.0
    strength = min(water.MAX_IONIC_STRENGTH_M, salt_m)
    before, after = np.array([aqueous.ph]), ph[:1]
    joules = 0.0
    sites = [site for item in numbers.species for site in item.sites]
    for row, sign, pka, site in zip(numbers.site_of, numbers.sign, numbers.pka[:, 0], sites, strict=True):
        ionised = 1.0 / (1.0 + 10.0 ** float(np.clip(sign * (pka - after[0]), -30, 30)))
        joules -= sign * _site_kj(site) * ionised * aqueous.mmol[row, 0]
    for key, mmol in aqueous.weak_mmol.items():
        row_buffer = table(Buffer)[key]
        steps = np.cumsum([0.0, *_BUFFER_KJ.get(key, (0.0,) * len(row_buffer.pkas))])
        for where, factor in ((after, 1.0), (before, -1.0)):
            fractions = water.alpha_fractions(row_buffer.pkas, row_buffer.acid_charge, where, strength)[:, 0]
            joules -= factor * float(steps[: len(fractions)] @ fractions) * float(mmol[0])
    hydroxide = water.hydroxide_m(after, strength)[0] - water.hydroxide_m(before, strength)[0]
    joules -= 55.8 * float(hydroxide) * aqueous_ml
    return joules / 1000.0
