"""One contact of two layers, solved: where everything is and at what pH.

Each contact solves one equilibrium for all components together: mass balance, the charge balance with the strong ions
of the wash, its weak acid systems, carbonate chemistry with the carbon dioxide above its solubility leaving, and the
autoionisation of water. The pH of the spent wash comes out of it, so a wash that is used up is seen to be. Ions that hold a
solute in the water (copper pyridine, iodide iodine) and gases above their solubility are part of it.

What is taken as simple: activity coefficients by Davies from the fresh wash; only the neutral form and singly charged
ion pairs enter the organic layer, an ion pair with its counter-ion; layers separate cleanly; nothing precipitates. A
water-miscible solvent adds its volume to the layer it is in and eases solutes into the water log-linearly
(``yalkowsky``).
"""

from __future__ import annotations

from typing import Any

from washlore.knowledge import beside, water
from washlore.knowledge.arrays import (
    at_best,
    column,
    full,
    minimum,
    np,
    plain,
)
from washlore.knowledge.records import dataclass
from washlore.rules import shaking
from washlore.rules.heat import heat_kj
from washlore.rules.phase import (
    Phase,
    in_one_draw,
    solute_mass_g,
    swollen_ml,
)
from washlore.rules.shaking import VOLUMES_TO, Settled, Shaken, gas_of, prepared, shake
from washlore.rules.species import Array, Sheet

# Of a wet mixture of water and organic solvent, rounded between the two (4.2 and about 2).
HEAT_CAPACITY_J_PER_G_K = 3.0
# The share of miscible solvent up to which two layers form is known no better than this: it shifts with their proportion.
LIMIT_KNOWN_TO = 0.08


@dataclass(frozen=True)
class Vapour:
    """A gas over a water layer: its id in ``gases.csv``, what left as gas (mL at 25 C), what stays dissolved (mmol).

    ``above_ppm``: what the air in equilibrium with the water holds, by volume. All at the best estimate.
    """

    gas: str
    component: str
    left_ml: float
    dissolved_mmol: float
    above_ppm: float


@dataclass(frozen=True)
class Mixed:
    """The miscible solvents of a contact as one share of its volume, and the component that makes up most of it.

    ``most``: the largest share that leaves two layers, by the limits of those that are there; ``None`` where not known.
    """

    component: str
    share: float
    most: float | None

    @property
    def one_layer(self) -> bool:
        """Tell whether there is so much of them that surely no two layers form."""
        return self.most is not None and self.share > self.most + LIMIT_KNOWN_TO


@dataclass(frozen=True)
class Contact:
    """What one shaking of two layers came to. Arrays over draws; ``organic_share`` is (species, draws).

    Volumes in mL, densities in g/mL, ``co2_ml`` at 25 C, ``heat_kj`` set free and ``rise_c`` the adiabatic rise, ``salt_m``
    mol/L of the water, all at the best estimate; ``solvents`` those of the organic layer by volume. ``escaped_mmol`` (species,
    draws) left as gas; ``vapours`` are the gases other than carbon dioxide.
    """

    step: int
    portion: int
    ph: Array
    organic_share: Array
    organic_mmol: Array
    aqueous_mmol: Array
    organic_ml: float
    aqueous_ml: float
    organic_density: float
    aqueous_density: float
    co2_ml: float
    heat_kj: float
    rise_c: float
    escaped_mmol: Array
    vapours: tuple[Vapour, ...] = ()
    mixed: Mixed | None = None
    salt_m: float = 0.0
    solvents: tuple[tuple[str, float], ...] = ()


def equilibrate(
    numbers: Sheet,
    organic: Phase,
    aqueous: Phase,
    step: int = 0,
    portion: int = 0,
    held_ph: float | Array | None = None,
    volumes_to: float = VOLUMES_TO,
) -> Contact:
    """Shake two layers until they are at equilibrium; both phases are updated in place.

    With ``held_ph`` (one pH, or one for each draw) strong acid or base is added to the water until it stands there.

    Mass is conserved to rounding, charge to 1e-9 mol/L where the volumes settle to ``VOLUMES_TO`` of their size; a
    larger ``volumes_to`` is quicker. Source of the method: mass and charge balance.
    """
    fresh = not aqueous.mmol[:, 0].any()
    whole: Any = (organic.mmol + aqueous.mmol)[:, 0].tolist()
    came = [0.0] * len(whole) if organic.saturated else whole
    poured_ml = at_best(aqueous.volume_ml)
    found, organic_ml, aqueous_ml, salt_m = _settle(numbers, organic, aqueous, held_ph, volumes_to)
    ph, pair_charge = found.ph, found.pair_charge
    organic_at_best, aqueous_at_best, salt_at_best = at_best(organic_ml), at_best(aqueous_ml), at_best(salt_m)
    heat = (
        heat_kj(numbers, came, aqueous, at_best(ph), poured_ml, aqueous_at_best, salt_at_best)
        if fresh and held_ph is None
        else 0.0
    )
    strong = organic.strong_mmol + aqueous.strong_mmol
    if held_ph is not None:
        # What the acid or base bottle gave: whatever balances the charges at this pH.
        strong = strong - _imbalance_mmol(numbers, organic, aqueous, ph, pair_charge, aqueous_ml, salt_m)
    organic.strong_mmol = -pair_charge
    aqueous.strong_mmol = strong + pair_charge
    for key, lost in found.lost.items():
        aqueous.weak_mmol[key] = aqueous.weak_mmol[key] - lost
    aqueous.ph = at_best(ph)
    organic_mass, aqueous_mass = solute_mass_g(numbers, organic), solute_mass_g(numbers, aqueous)
    organic_g, aqueous_g = at_best(organic.mass_g) + organic_mass, at_best(aqueous.mass_g) + aqueous_mass
    return Contact(
        step,
        portion,
        ph,
        found.share,
        organic.mmol.copy(),
        aqueous.mmol.copy(),
        organic_at_best,
        aqueous_at_best,
        organic_g / swollen_ml(organic_at_best, organic_mass, numbers, organic),
        aqueous_g / swollen_ml(aqueous_at_best, aqueous_mass, numbers, aqueous),
        at_best(water.co2_volume_ml(found.lost.get("carbonate", 0.0))),
        heat,
        1000.0 * heat / (HEAT_CAPACITY_J_PER_G_K * max(organic_g + aqueous_g, 1.0)),
        found.escaped,
        vapours(numbers, aqueous, found),
        _mixed(numbers, organic, organic_at_best + aqueous_at_best, whole, salt_at_best),
        salt_at_best,
        organic.solvents,
    )


def _settle(
    numbers: Sheet, organic: Phase, aqueous: Phase, held_ph: float | Array | None, volumes_to: float
) -> tuple[Settled, Array, Array, Array]:
    """Bring two layers to equilibrium, in place; return it, the volumes (mL) of both, and the salt (mol/L)."""
    if numbers.draws > 1:
        from washlore.rules import shaking_draws

        return shaking_draws.settle(numbers, organic, aqueous, held_ph, volumes_to)
    one, two = in_one_draw(organic), in_one_draw(aqueous)
    made = shake(
        prepared(numbers, organic.solvents), one, two, None if held_ph is None else at_best(held_ph), volumes_to
    )
    for phase, new in ((organic, one), (aqueous, two)):
        phase.mmol, phase.saturated = column(plain(new.mmol)), new.saturated
        phase.volume_ml, phase.mass_g = new.volume_ml, new.mass_g
    settled = _of_one(made)
    return settled, full(1, made.organic_ml), full(1, made.aqueous_ml), full(1, made.salt_m)


def _of_one(made: Shaken) -> Settled:
    return Settled(
        full(1, made.ph),
        column(made.share),
        full(1, made.pair_charge),
        column(made.escaped),
        column(made.free_m),
        {key: full(1, lost) for key, lost in made.lost.items()},
        {key: full(1, free_m) for key, free_m in made.weak_free_m.items()},
    )


def _mixed(numbers: Sheet, organic: Phase, whole_ml: float, total: Array, salt_m: float) -> Mixed | None:
    """Return the miscible solvents of a contact at the best estimate, or ``None`` without any."""
    parts = [(s.molar_volume_ml * total[i] / whole_ml, s) for i, s in enumerate(numbers.species) if s.solvent]
    share = float(sum(part for part, _ in parts))
    if not parts or not organic.solvents or share <= 0.0:
        return None
    layer = organic.solvents[0][0]
    known = [(part, beside.most_cosolvent(layer, s.solvent.id, salt_m)) for part, s in parts if s.solvent]
    limited = sum(part for part, most in known if most)
    crowding = sum(part / most for part, most in known if most)
    most = limited / crowding if crowding and limited > 0.5 * share else None
    return Mixed(max(parts, key=lambda p: p[0])[1].component, share, most)


def _imbalance_mmol(
    numbers: Sheet, organic: Phase, aqueous: Phase, ph: Array, pair_charge: Array, aqueous_ml: Array, salt_m: Array
) -> Array:
    """Return the charge (mmol) of everything in both layers at ``ph``, strong ions included."""
    strength = minimum(water.MAX_IONIC_STRENGTH_M, salt_m)
    return (
        organic.strong_mmol
        + aqueous.strong_mmol
        + pair_charge
        + water_charge(numbers, aqueous, ph, aqueous_ml, strength)
    )


def water_charge(numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: Array, strength: Array) -> Array:
    """Return the charge (mmol) in a water layer at ``ph`` of all but its strong ions; carbonate loses its gas."""
    if numbers.draws == 1:
        made = shaking.water_charge(numbers, in_one_draw(aqueous), at_best(ph), at_best(aqueous_ml), at_best(strength))
        return full(1, made)
    from washlore.rules import shaking_draws

    return shaking_draws.water_charge(numbers, aqueous, ph, aqueous_ml, strength)


def vapours(numbers: Sheet, aqueous: Phase, found: Settled) -> tuple[Vapour, ...]:
    """Return the gases that left a water layer or stand over it, carbon dioxide apart, at the best estimate."""
    made = []
    for i, item in enumerate(numbers.species):
        gas = gas_of(item)
        if gas is not None and gas.henry_m_atm and aqueous.mmol[i, 0] + found.escaped[i, 0] > 0:
            over = 1e6 * float(found.free_m[i, 0]) / gas.henry_m_atm
            left = float(found.escaped[i, 0]) * water.MOLAR_GAS_VOLUME_ML_PER_MMOL
            made.append(Vapour(gas.id, item.component, left, float(aqueous.mmol[i, 0]), over))
    for key, free_m in found.weak_free_m.items():
        gas = beside.gases_by_system()[key]
        if key != "carbonate" and gas.henry_m_atm:
            left = at_best(found.lost[key]) * water.MOLAR_GAS_VOLUME_ML_PER_MMOL
            over = 1e6 * at_best(free_m) / gas.henry_m_atm
            made.append(Vapour(gas.id, "", left, at_best(aqueous.weak_mmol[key]), over))
    return tuple(made)


def vent(
    numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: Array, strength: Array
) -> tuple[Array, tuple[Vapour, ...]]:
    """Let what is gas above its solubility leave an open water layer at ``ph``, in place; return the CO2 (mmol) and the others."""
    if numbers.draws == 1:
        plainly = in_one_draw(aqueous)
        made = shaking.vent(numbers, plainly, at_best(ph), at_best(aqueous_ml), at_best(strength))
        aqueous.mmol = column(plainly.mmol)
        aqueous.weak_mmol = {key: full(1, mmol) for key, mmol in plainly.weak_mmol.items()}
        settled = _of_one(made)
        return settled.lost.get("carbonate", full(1, 0.0)), vapours(numbers, aqueous, settled)
    from washlore.rules import shaking_draws

    settled = shaking_draws.vent(numbers, aqueous, ph, aqueous_ml, strength)
    return settled.lost.get("carbonate", np.zeros_like(ph)), vapours(numbers, aqueous, settled)
