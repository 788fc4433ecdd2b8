"""One contact of two layers, solved: where everything is and at what pH.

Each contact solves one equilibrium for all components together: mass balance, the charge balance with the strong ions
of the wash, its weak acid systems, carbonate chemistry with the carbon dioxide above its solubility leaving, and the
autoionisation of water. The pH of the spent wash comes out of it, so a wash that is used up is seen to be.

What is taken as simple: activity coefficients by Davies from the fresh wash; only the neutral form and singly charged
ion pairs enter the organic layer, an ion pair with its counter-ion; layers separate cleanly; nothing precipitates. A
water-miscible solvent adds its volume to the layer it is in and eases solutes into the water log-linearly
(``yalkowsky``).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from washlore.knowledge import partition, water
from washlore.knowledge.arrays import BoolArray, IndexArray, np
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Buffer, table
from washlore.knowledge.structure import molecules
from washlore.rules.heat import heat_kj
from washlore.rules.mixture import is_organic
from washlore.rules.phase import (
    LEAST_VOLUME_ML,
    LedgerError,
    Phase,
    at_best,
    salting_constant,
    saturate,
    solute_mass_g,
    swollen_ml,
)
from washlore.rules.species import Array, Sheet

# Of a wet mixture of water and organic solvent, rounded between the two (4.2 and about 2).
HEAT_CAPACITY_J_PER_G_K = 3.0
# A miscible solvent changes the volumes that decide its own share; this settles in a few rounds.
VOLUMES_TO = 2e-10
MOST_VOLUME_ROUNDS = 25


@dataclass(frozen=True)
class Contact:
    """What one shaking of two layers came to. Arrays over draws; ``organic_share`` is (species, draws).

    Volumes in mL, densities in g/mL, ``co2_ml`` at 25 C, ``heat_kj`` set free and ``rise_c`` the adiabatic rise, all at
    the best estimate.
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
    total = organic.mmol + aqueous.mmol
    fresh = not np.any(aqueous.mmol[:, 0])
    came = np.zeros(len(numbers.species)) if organic.saturated else total[:, 0]
    saturate(organic, aqueous)
    volumes = np.array([s.molar_volume_ml for s in numbers.species])
    organic_ml = np.maximum(organic.volume_ml + volumes @ organic.mmol, LEAST_VOLUME_ML)
    aqueous_ml = np.maximum(aqueous.volume_ml + volumes @ aqueous.mmol, LEAST_VOLUME_ML)
    salt_m = np.broadcast_to(aqueous.salt_mmol / np.maximum(aqueous.volume_ml, LEAST_VOLUME_ML), (numbers.draws,))
    neutral, pair = numbers.log_k(organic.solvents)
    salting = salting_constants(numbers)
    gamma = water.davies_log_gamma(1, np.minimum(water.MAX_IONIC_STRENGTH_M, salt_m))
    forms = _forms(numbers, gamma)
    ph: Array | None = None
    for _ in range(MOST_VOLUME_ROUNDS if volumes.any() else 1):
        share_cosolvent = (volumes @ aqueous.mmol) / aqueous_ml
        shift = salting[:, None] * salt_m[None, :] - _cosolvent_slope(numbers)[:, None] * share_cosolvent
        ph, share, pair_charge, co2 = _solve(
            numbers,
            total,
            neutral + shift,
            pair + shift,
            organic,
            aqueous,
            organic_ml,
            aqueous_ml,
            gamma,
            forms,
            ph,
            held_ph,
        )
        organic.mmol, aqueous.mmol = total * share, total * (1.0 - share)
        before = aqueous_ml
        organic_ml = np.maximum(organic.volume_ml + volumes @ organic.mmol, LEAST_VOLUME_ML)
        aqueous_ml = np.maximum(aqueous.volume_ml + volumes @ aqueous.mmol, LEAST_VOLUME_ML)
        if np.all(np.abs(aqueous_ml - before) <= volumes_to * aqueous_ml):
            break
    if ph is None:
        raise LedgerError("the two layers could not be brought to equilibrium")
    heat = (
        heat_kj(numbers, came, aqueous, ph, float(aqueous_ml[0]), float(salt_m[0]))
        if fresh and held_ph is None
        else 0.0
    )
    strong = organic.strong_mmol + aqueous.strong_mmol
    if held_ph is not None:
        # What the acid or base bottle gave: whatever balances the charges at this pH.
        strong = strong - _imbalance_mmol(numbers, organic, aqueous, ph, pair_charge, aqueous_ml, salt_m)
    organic.strong_mmol = -pair_charge
    aqueous.strong_mmol = strong + pair_charge
    if "carbonate" in aqueous.weak_mmol:
        aqueous.weak_mmol["carbonate"] = aqueous.weak_mmol["carbonate"] - co2
    aqueous.ph = float(ph[0])
    organic_mass, aqueous_mass = solute_mass_g(numbers, organic), solute_mass_g(numbers, aqueous)
    organic_g, aqueous_g = at_best(organic.mass_g) + organic_mass, at_best(aqueous.mass_g) + aqueous_mass
    return Contact(
        step,
        portion,
        ph,
        share,
        organic.mmol.copy(),
        aqueous.mmol.copy(),
        float(organic_ml[0]),
        float(aqueous_ml[0]),
        organic_g / swollen_ml(float(organic_ml[0]), organic_mass, numbers, organic),
        aqueous_g / swollen_ml(float(aqueous_ml[0]), aqueous_mass, numbers, aqueous),
        float(np.atleast_1d(water.co2_volume_ml(co2))[0]),
        heat,
        1000.0 * heat / (HEAT_CAPACITY_J_PER_G_K * max(organic_g + aqueous_g, 1.0)),
    )


def _imbalance_mmol(
    numbers: Sheet, organic: Phase, aqueous: Phase, ph: Array, pair_charge: Array, aqueous_ml: Array, salt_m: Array
) -> Array:
    """Return the charge (mmol) of everything in both layers at ``ph``, strong ions included."""
    strength = np.minimum(water.MAX_IONIC_STRENGTH_M, salt_m)
    return (
        organic.strong_mmol
        + aqueous.strong_mmol
        + pair_charge
        + water_charge(numbers, aqueous, ph, aqueous_ml, strength)
    )


def water_charge(numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: Array, strength: Array) -> Array:
    """Return the charge (mmol) in a water layer at ``ph`` of all but its strong ions; carbonate loses its gas."""
    log_gamma = water.davies_log_gamma(1, strength)
    charge = aqueous_ml * (water.hydrogen_m(ph, strength) - water.hydroxide_m(ph, strength))
    for row, sign, pka in zip(numbers.site_of, numbers.sign, numbers.pka, strict=True):
        odds = 10.0 ** np.clip(sign * (ph - pka) - log_gamma, -30, 30)
        charge = charge - sign * aqueous.mmol[row] * odds / (1.0 + odds)
    charge = charge + sum(s.permanent_charge * aqueous.mmol[i] for i, s in enumerate(numbers.species))
    for key, mmol in aqueous.weak_mmol.items():
        charge = charge + _Buffered(key, mmol, log_gamma, aqueous_ml).charge(10.0**ph)
    return charge


@dataclass(frozen=True)
class _Forms:
    """The ionising species of a contact, ready for the charge balance. ``factor`` is 10**pKa or 10**-pKa by kind."""

    rows: IndexArray
    starts: IndexArray
    sums: Array
    acid: BoolArray
    sign: Array
    factor: Array


def _forms(numbers: Sheet, log_gamma: Array) -> _Forms:
    order = np.argsort(numbers.site_of, kind="stable")
    site_of, sign, pka = numbers.site_of[order], numbers.sign[order], numbers.pka[order]
    rows, starts = np.unique(site_of, return_index=True)
    sums = (site_of[None, :] == rows[:, None]).astype(float)
    acid = sign > 0
    return _Forms(rows, starts, sums, acid, sign[:, None], 10.0 ** (-sign[:, None] * pka - log_gamma))


def _solve(
    numbers: Sheet,
    total: Array,
    neutral: Array,
    pair: Array,
    organic: Phase,
    aqueous: Phase,
    organic_ml: Array,
    aqueous_ml: Array,
    log_gamma: Array,
    forms: _Forms,
    guess: Array | None,
    held_ph: float | Array | None,
) -> tuple[Array, Array, Array, Array]:
    """Return pH, organic share, charge carried as ion pairs (mmol) and CO2 lost (mmol) at equilibrium.

    ``guess`` is a pH to start from, of a solution nearby; ``held_ph`` fixes the pH instead.
    """
    draws = total.shape[1]
    k_neutral, k_pair = 10.0**neutral, 10.0**pair
    charge0 = np.array([s.permanent_charge for s in numbers.species], dtype=float)[:, None]
    fixed = organic_ml * np.where(charge0 != 0, k_pair, k_neutral) / aqueous_ml
    share = fixed / (1.0 + fixed)
    # Whole charges in mmol that do not change with pH: strong ions and permanent ions, in both layers.
    constant = organic.strong_mmol + aqueous.strong_mmol + (charge0 * total).sum(axis=0)
    amount = total[forms.rows]
    into_neutral, into_pair = organic_ml * k_neutral[forms.rows], organic_ml * k_pair[forms.rows]
    buffers = [_Buffered(key, np.asarray(mmol), log_gamma, aqueous_ml) for key, mmol in aqueous.weak_mmol.items()]
    gamma = 10.0**log_gamma
    water_ions = 10.0**-water.PKW / gamma

    single = forms.rows.size == forms.sign.size  # one site each: nothing to add up

    def added(values: Array) -> Array:
        return values if single else forms.sums @ values

    def odds_at(height: Array) -> tuple[Array, Array]:
        odds = forms.factor * np.where(forms.acid[:, None], height, 1.0 / height)
        whole = 1.0 + odds
        return odds, 1.0 / (whole if single else np.multiply.reduceat(whole, forms.starts, axis=0))

    def split(height: Array) -> tuple[Array, Array]:
        """Return organic share and charge of ion pairs (mmol) at ``height`` = 10**pH."""
        odds, unionised = odds_at(height)
        in_organic = unionised * (into_neutral + added(odds) * into_pair)
        moles = amount / (aqueous_ml + in_organic)
        return in_organic * moles, -moles * unionised * added(forms.sign * odds) * into_pair

    def sites_charge(height: Array) -> tuple[Array, Array]:
        """Return the charge (mmol) of what ionises, in both layers, and its slope by ln(``height``)."""
        odds, unionised = odds_at(height)
        ionised = odds / (1.0 + odds)
        total_odds, signed = added(odds), added(forms.sign * odds)
        wet = added(forms.sign * ionised)
        in_organic = unionised * (into_neutral + total_odds * into_pair)
        moles = amount / (aqueous_ml + in_organic)
        paired = unionised * signed * into_pair
        charge = -moles * (paired + aqueous_ml * wet)
        # Each derivative by ln(height): of the odds, the unionised share, what is in the organic layer, and the moles.
        moles_slope = -moles / (aqueous_ml + in_organic) * (unionised * signed * into_pair - wet * in_organic)
        paired_slope = unionised * into_pair * (total_odds - wet * signed)
        wet_slope = aqueous_ml * added(ionised * (1.0 - ionised))
        slope = moles_slope * (paired + aqueous_ml * wet) + moles * (paired_slope + wet_slope)
        return charge.sum(axis=0), -slope.sum(axis=0)

    def imbalance(ph: Array) -> tuple[Array, Array]:
        """Return the charge that is over at a pH, in mol/L of water, and its slope by pH."""
        height = 10.0**ph
        proton, hydroxide = aqueous_ml / (height * gamma), aqueous_ml * water_ions * height
        charge, slope = constant + proton - hydroxide, -proton - hydroxide
        if forms.rows.size:
            more, steeper = sites_charge(height)
            charge, slope = charge + more, slope + steeper
        for buffer in buffers:
            more, steeper = buffer.charge_and_slope(height)
            charge, slope = charge + more, slope + steeper
        return charge / aqueous_ml, LN10 * slope / aqueous_ml

    if guess is None:
        guess = np.full(draws, float(aqueous.ph))  # a wash ends nearer its own pH than any other
    ph = _root(imbalance, draws, guess) if held_ph is None else np.full(draws, held_ph, dtype=float)
    height = 10.0**ph
    pairs = (charge0 * total * share).sum(axis=0)
    if forms.rows.size:
        held, pair_charge = split(height)
        share[forms.rows] = held / np.maximum(amount, 1e-300)
        pairs = pairs + pair_charge.sum(axis=0)
    co2 = sum((buffer.lost(height) for buffer in buffers), np.zeros(draws))
    return ph, np.clip(share, 0.0, 1.0), pairs, co2


class _Buffered:
    """One weak acid system of the water: its charge in mmol as a function of 10**pH; carbonate loses its gas."""

    def __init__(self, key: str, mmol: Array, log_gamma: Array, aqueous_ml: Array) -> None:
        row = table(Buffer)[key]
        self.mmol = mmol
        self.cap = water.CO2_CAP_M * aqueous_ml if key == "carbonate" else None
        self.charges = [row.acid_charge - step for step in range(len(row.pkas) + 1)]
        # 10**-pKa for each step, corrected for the activity of the ions it joins.
        self.steps = [
            10.0 ** -(pka + (base * base - (base + 1) ** 2) * log_gamma)
            for pka, base in zip(row.pkas, self.charges[1:], strict=True)
        ]

    def _weights(self, height: Array) -> Array:
        weights = [np.ones_like(height)]
        for step in self.steps:
            weights.append(weights[-1] * step * height)
        return np.array(weights)

    def charge(self, height: Array) -> Array:
        return self.charge_and_slope(height)[0]

    def charge_and_slope(self, height: Array) -> tuple[Array, Array]:
        """Return the charge (mmol) and its slope by ln(``height``)."""
        weights = self._weights(height)
        lost = np.arange(len(weights), dtype=float)
        charges = np.array(self.charges, dtype=float)
        whole, protons = weights.sum(axis=0), lost @ weights
        charge, both = charges @ weights, (charges * lost) @ weights
        mean = charge / whole
        slope = self.mmol * (both - mean * protons) / whole
        if self.cap is None:
            return self.mmol * mean, slope
        # Carbonic acid above its solubility leaves: what stays then rises with the pH.
        full = self.mmol > self.cap * whole
        return np.where(full, self.cap * charge, self.mmol * mean), np.where(full, self.cap * both, slope)

    def lost(self, height: Array) -> Array:
        if self.cap is None:
            return np.zeros_like(height)
        return np.maximum(0.0, self.mmol - self.cap * self._weights(height).sum(axis=0))


LOWEST_PH, HIGHEST_PH = -3.0, 17.0
LN10 = math.log(10.0)
# Within this of the root the charge is taken for a straight line in pH; an exponential one is off by 1 / ln 10 everywhere.
STRAIGHT_PH = 0.3


def _root(function: Callable[[Array], tuple[Array, Array]], draws: int, guess: Array) -> Array:
    """Return where a falling function of pH crosses zero, to 1e-10 in the function, by Newton's method.

    ``function`` returns value and slope. Bracketed, and halved where a step leaves the bracket or gains too little, so that it
    always arrives.
    """
    low, high = np.full(draws, LOWEST_PH), np.full(draws, HIGHEST_PH)
    ph = np.clip(guess, LOWEST_PH + 1e-6, HIGHEST_PH - 1e-6)
    last = before = high - low
    was_above = np.ones(draws, dtype=bool)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for _ in range(120):
            value, slope = function(ph)
            step = -value / slope
            near = np.abs(step) < STRAIGHT_PH
            if not near.all():
                # Far off, where the charge falls tenfold with each pH, its logarithm is the straight line.
                step = np.where(near, step, -np.arcsinh(1e3 * value) * np.sqrt(1e-6 + value**2) / slope)
            above = value > 0
            low, high = np.where(above, ph, low), np.where(above, high, ph)
            onward = ph + step
            inside = (onward > low) & (onward < high)
            done = (np.abs(value) < 1e-10) | (high - low < 1e-14)
            if done.all():
                return np.where(inside, onward, ph)
            # What has arrived stays while the others go on.
            # From one side it may take its time; from side to side it must gain, or it would go to and fro.
            gains = np.abs(step) < np.where(above == was_above, 1.5, 0.5) * before
            following = np.where(inside & gains, onward, 0.5 * (low + high))
            following = np.where(done, ph, following)
            before, last, was_above = last, np.abs(following - ph), above
            ph = following
    return ph


def salting_constants(numbers: Sheet) -> Array:
    """Return the Setschenow constant (L/mol, log10) of each species (species,); ions are not salted out."""
    return np.array([0.0 if s.permanent_charge else salting_constant(s.molecule.smiles) for s in numbers.species])


def _cosolvent_slope(numbers: Sheet) -> Array:
    """Return the log-linear cosolvency slope of each species (``yalkowsky``; one line for all solvents)."""
    return np.array([0.0 if s.permanent_charge else _cosolvency(s.molecule.smiles) for s in numbers.species])


@lru_cache(maxsize=1_000)
def _cosolvency(smiles: str) -> float:
    molecule = molecules(smiles)[0]
    if not is_organic(molecule):
        return 0.0
    return max(0.0, 0.95 * partition.molecule_log_k(molecule, "1-octanol").value + 0.3)
