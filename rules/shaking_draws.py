"""Two layers shaken, for many draws at once: the same equilibrium as ``shaking.py`` solves for one, on arrays.

The two go the same way to the same end (``tests/test_shaking.py`` holds them equal).
"""

from __future__ import annotations

from collections.abc import Callable

from washlore.knowledge import beside, water
from washlore.knowledge.arrays import BoolArray, IndexArray, np
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Buffer, table
from washlore.rules.phase import LEAST_VOLUME_ML, LedgerError, Phase, cosolvency, salting_constant, saturate
from washlore.rules.shaking import (
    BOUND_TO,
    HIGHEST_PH,
    LARGEST_POWER,
    LN10,
    LOWEST_PH,
    MOST_BINDING_ROUNDS,
    MOST_SALT_M,
    MOST_VOLUME_ROUNDS,
    STRAIGHT_PH,
    SURE_PH,
    Settled,
    gas_of,
)
from washlore.rules.species import Array, Sheet


def settle(
    numbers: Sheet, organic: Phase, aqueous: Phase, held_ph: float | Array | None, volumes_to: float
) -> tuple[Settled, Array, Array, Array]:
    """Bring two layers to equilibrium for all draws, in place; return it, the volumes (mL) of both, and the salt (mol/L)."""
    total = organic.mmol + aqueous.mmol
    saturate(organic, aqueous)
    volumes = np.array([s.molar_volume_ml for s in numbers.species])
    organic_ml = np.maximum(organic.volume_ml + volumes @ organic.mmol, LEAST_VOLUME_ML)
    aqueous_ml = np.maximum(aqueous.volume_ml + volumes @ aqueous.mmol, LEAST_VOLUME_ML)
    salt_m = np.minimum(aqueous.salt_mmol / np.maximum(aqueous.volume_ml, LEAST_VOLUME_ML), MOST_SALT_M)
    salt_m = np.broadcast_to(salt_m, (numbers.draws,))
    neutral, pair = numbers.log_k(organic.solvents)
    salting = salting_constants(numbers)
    gamma = water.davies_log_gamma(1, np.minimum(water.MAX_IONIC_STRENGTH_M, salt_m))
    forms = _forms(numbers, gamma)
    buffers = _Buffers(aqueous, gamma)
    held = _held(numbers, aqueous)
    bound = np.zeros_like(total) if held else None
    found: Settled | None = None
    # Miscible solvent in the water, mL, and what ions hold: each goes on from how it changed in the last two rounds.
    carried = volumes @ aqueous.mmol
    last: _Try | None = None
    last_bound: _Try | None = None
    for _ in range(MOST_BINDING_ROUNDS if held else MOST_VOLUME_ROUNDS if volumes.any() else 1):
        share_cosolvent = carried / aqueous_ml
        shift = salting[:, None] * salt_m[None, :] - _easing(numbers)[:, None] * share_cosolvent
        found = _solve(
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
            buffers,
            found.ph if found else None,
            held_ph,
            bound,
        )
        there = total - found.escaped
        organic.mmol, aqueous.mmol = there * found.share, there * (1.0 - found.share)
        before = aqueous_ml
        organic_ml = np.maximum(organic.volume_ml + volumes @ organic.mmol, LEAST_VOLUME_ML)
        aqueous_ml = np.maximum(aqueous.volume_ml + volumes @ aqueous.mmol, LEAST_VOLUME_ML)
        settled = bool(np.all(np.abs(aqueous_ml - before) <= volumes_to * aqueous_ml))
        if bound is not None:
            now = _bound(held, aqueous, aqueous_ml, found.free_m)
            settled = settled and bool(np.all(np.abs(now - bound) <= BOUND_TO * (1.0 + now)))
            bound, last_bound = _onward(bound, now - bound, last_bound, np.inf)
        if settled:
            break
        whole = volumes @ there
        carried, last = _onward(carried, volumes @ aqueous.mmol - carried, last, whole)
        organic_ml = np.maximum(organic.volume_ml + whole - carried, LEAST_VOLUME_ML)
        aqueous_ml = np.maximum(aqueous.volume_ml + carried, LEAST_VOLUME_ML)
    if found is None:
        raise LedgerError("the two layers could not be brought to equilibrium")
    return found, organic_ml, aqueous_ml, salt_m


_Try = tuple[Array, Array]


def _onward(tried: Array, change: Array, last: _Try | None, most: Array | float) -> tuple[Array, _Try]:
    """Return what to try next for a quantity that came out changed, and this try.

    It is where the line through the last two tries says that nothing changes, or plainly what came out where the line helps
    little or leaves the range from none to ``most``.
    """
    plain = tried + change
    if last is None:
        return plain, (tried, change)
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = (change - last[1]) / (tried - last[0])
        line = tried - change / slope
    helps = (np.abs(change) < np.abs(last[1])) & (slope < -0.1) & (slope > -3.0) & (line > 0.0) & (line < most)
    return np.where(helps, line, plain), (tried, change)


def _held(numbers: Sheet, aqueous: Phase) -> list[tuple[str, list[tuple[int, tuple[float, ...]]]]]:
    """Return for each ion of the water that holds solutes the rows that it holds, with their cumulative constants."""
    found = []
    for key in sorted(beside.holders().intersection(aqueous.weak_mmol)):
        rows = [(i, beside.held_by(s.molecule.smiles)) for i, s in enumerate(numbers.species)]
        mine = [(i, constants[key]) for i, constants in rows if key in constants]
        if mine:
            found.append((key, mine))
    return found


def _bound(
    held: list[tuple[str, list[tuple[int, tuple[float, ...]]]]], aqueous: Phase, aqueous_ml: Array, free_m: Array
) -> Array:
    """Return how much of each species (species, draws) ions hold in the water, as a multiple of its free neutral form."""
    result = np.zeros_like(free_m)
    for key, rows in held:
        whole = np.ones(free_m.shape[1])
        per_free = {}
        for i, log_betas in rows:
            free = free_m[i]
            terms = [10.0**log_beta * free**n for n, log_beta in enumerate(log_betas)]
            whole = whole + sum(free * t for t in terms)
            per_free[i] = sum((n + 1) * t for n, t in enumerate(terms))
        for i, value in per_free.items():
            result[i] += aqueous.weak_mmol[key] / aqueous_ml * value / whole
    return result


@dataclass(frozen=True)
class _Forms:
    """The ionising species of a contact, ready for the charge balance. ``factor`` is 10**pKa or 10**-pKa by kind.

    ``most_odds``: where a site counts as wholly ionised, so low that the product over all sites of a species is a number.
    """

    rows: IndexArray
    starts: IndexArray
    sums: Array
    acid: BoolArray
    sign: Array
    factor: Array
    most_odds: float

    def odds(self, height: Array) -> Array:
        """Return ionised over un-ionised of each site at ``height`` = 10**pH, (sites, draws)."""
        odds = self.factor * np.where(self.acid[:, None], height, 1.0 / height)
        return np.minimum(odds, self.most_odds)


def _forms(numbers: Sheet, log_gamma: Array) -> _Forms:
    order = np.argsort(np.asarray(numbers.site_of, dtype=np.intp), kind="stable")
    site_of, sign = np.asarray(numbers.site_of, dtype=np.intp)[order], np.asarray(numbers.sign)[order]
    pka = np.asarray(numbers.pka)[order]
    rows, starts = np.unique(site_of, return_index=True)
    sums = (site_of[None, :] == rows[:, None]).astype(float)
    acid = sign > 0
    most_sites = int(sums.sum(axis=1).max(initial=1.0))
    factor = 10.0 ** np.clip(-sign[:, None] * pka - log_gamma, -100.0, 100.0)
    return _Forms(rows, starts, sums, acid, sign[:, None], factor, 10.0 ** min(100.0, LARGEST_POWER / most_sites))


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
    buffers: _Buffers,
    guess: Array | None,
    held_ph: float | Array | None,
    bound: Array | None,
) -> Settled:
    """Return the equilibrium of two layers of known volume.

    ``guess`` is a pH to start from, of a solution nearby; ``held_ph`` fixes the pH instead. ``bound`` (species, draws): what
    ions hold of each species in the water, as a multiple of its free neutral form.
    """
    draws = total.shape[1]
    k_neutral, k_pair = 10.0**neutral, 10.0**pair
    charge0 = np.array([s.permanent_charge for s in numbers.species], dtype=float)[:, None]
    room = aqueous_ml if bound is None else aqueous_ml * (1.0 + bound)
    fixed = organic_ml * np.where(charge0 != 0, k_pair, k_neutral) / room
    share = fixed / (1.0 + fixed)
    # Whole charges in mmol that do not change with pH: strong ions and permanent ions, in both layers.
    constant = organic.strong_mmol + aqueous.strong_mmol + (charge0 * total).sum(axis=0)
    amount = total[forms.rows]
    into_neutral, into_pair = organic_ml * k_neutral[forms.rows], organic_ml * k_pair[forms.rows]
    into_held = None if bound is None else aqueous_ml * bound[forms.rows]
    most_free_m = _most_free_m(numbers, forms)
    buffers.within(aqueous_ml)
    gamma = 10.0**log_gamma
    water_ions = 10.0**-water.PKW / gamma

    single = forms.rows.size == forms.sign.size  # one site each: nothing to add up

    def added(values: Array) -> Array:
        return values if single else forms.sums @ values

    def odds_at(height: Array) -> tuple[Array, Array]:
        odds = forms.odds(height)
        whole = 1.0 + odds
        return odds, 1.0 / (whole if single else np.multiply.reduceat(whole, forms.starts, axis=0))

    def spread(odds: Array, unionised: Array) -> tuple[Array, Array, Array, BoolArray | None]:
        """Return (rows, draws), for 1 mol/L in the water: mmol in the organic layer, and with those that ions hold.

        And the mol/L in the water, and where a gas is above its solubility (``None`` without any).
        """
        in_organic = unionised * (into_neutral + added(odds) * into_pair)
        stays = in_organic if into_held is None else in_organic + into_held * unionised
        moles = amount / (aqueous_ml + stays)
        if most_free_m is None:
            return in_organic, stays, moles, None
        full = moles * unionised > most_free_m
        return in_organic, stays, np.where(full, most_free_m / np.maximum(unionised, 1e-300), moles), full

    def split(height: Array) -> tuple[Array, Array, Array, Array]:
        """Return (rows, draws) at ``height`` = 10**pH: mmol in the organic layer, mmol in both, charge of ion pairs (mmol).

        And the free neutral form in the water, mol/L.
        """
        odds, unionised = odds_at(height)
        in_organic, stays, moles, _ = spread(odds, unionised)
        pair_charge = -moles * unionised * added(forms.sign * odds) * into_pair
        return in_organic * moles, (aqueous_ml + stays) * moles, pair_charge, moles * unionised

    def sites_charge(height: Array) -> tuple[Array, Array]:
        """Return the charge (mmol) of what ionises, in both layers, and its slope by ln(``height``)."""
        odds, unionised = odds_at(height)
        ionised = odds / (1.0 + odds)
        total_odds, signed = added(odds), added(forms.sign * odds)
        wet = added(forms.sign * ionised)
        _, stays, moles, full = spread(odds, unionised)
        paired = unionised * signed * into_pair
        charge = -moles * (paired + aqueous_ml * wet)
        # Each derivative by ln(height): of the odds, the unionised share, what is in the organic layer, and the moles.
        moles_slope = -moles / (aqueous_ml + stays) * (paired - wet * stays)
        if full is not None:
            moles_slope = np.where(full, moles * wet, moles_slope)
        paired_slope = unionised * into_pair * (total_odds - wet * signed)
        wet_slope = aqueous_ml * added(ionised * (1.0 - ionised))
        slope = moles_slope * (paired + aqueous_ml * wet) + moles * (paired_slope + wet_slope)
        return np.add.reduce(charge), -np.add.reduce(slope)

    def imbalance(ph: Array) -> tuple[Array, Array]:
        """Return the charge that is over at a pH, in mol/L of water, and its slope by pH."""
        height = 10.0**ph
        proton, hydroxide = aqueous_ml / (height * gamma), aqueous_ml * water_ions * height
        charge, slope = constant + proton - hydroxide, -proton - hydroxide
        if forms.rows.size:
            more, steeper = sites_charge(height)
            charge, slope = charge + more, slope + steeper
        if buffers.keys:
            more, steeper = buffers.charge_and_slope(height)
            charge, slope = charge + more, slope + steeper
        return charge / aqueous_ml, LN10 * slope / aqueous_ml

    if guess is None:
        guess = np.full(draws, float(aqueous.ph))  # a wash ends nearer its own pH than any other
    ph = _root(imbalance, draws, guess) if held_ph is None else np.full(draws, held_ph, dtype=float)
    height = 10.0**ph
    pairs = (charge0 * total * share).sum(axis=0)
    free_m = total * (1.0 - share) / room
    escaped = np.zeros_like(total)
    if forms.rows.size:
        above, everywhere, pair_charge, free = split(height)
        share[forms.rows] = above / np.maximum(everywhere, 1e-300)
        free_m[forms.rows] = free
        pairs = pairs + pair_charge.sum(axis=0)
        if most_free_m is not None:
            escaped[forms.rows] = np.where(np.isfinite(most_free_m), np.maximum(0.0, amount - everywhere), 0.0)
    lost, weak_free_m = buffers.gases(height)
    return Settled(
        ph,
        np.clip(share, 0.0, 1.0),
        pairs,
        escaped,
        free_m,
        lost,
        weak_free_m,
    )


def _most_free_m(numbers: Sheet, forms: _Forms) -> Array | None:
    """Return the solubility (mol/L) under 1 atm of each row of ``forms`` that is a gas, (rows, 1); ``None`` without any."""
    gases = [gas_of(numbers.species[row]) for row in forms.rows]
    if not any(gases):
        return None
    return np.array([gas.henry_m_atm if gas and gas.henry_m_atm else np.inf for gas in gases])[:, None]


class _Buffers:
    """The weak acid systems of a water layer: their charge in mmol as a function of 10**pH; one whose acid is a gas loses it.

    All at once: each array is (systems, draws), or (forms, systems, draws) with nothing in the forms that a system lacks.
    """

    def __init__(self, aqueous: Phase, log_gamma: Array) -> None:
        ions = beside.holders()
        self.keys = [key for key in aqueous.weak_mmol if key not in ions]
        if not self.keys:
            return
        rows = [table(Buffer)[key] for key in self.keys]
        gases = [beside.gases_by_system().get(key) for key in self.keys]
        self.mmol = np.array([np.broadcast_to(aqueous.weak_mmol[key], log_gamma.shape) for key in self.keys])
        # What dissolves of the acid end, mol/L, where it is a gas.
        most = [
            water.CO2_CAP_M if key == "carbonate" else gas.henry_m_atm if gas else None
            for key, gas in zip(self.keys, gases, strict=True)
        ]
        self.gassy = [i for i, cap_m in enumerate(most) if cap_m]
        self.is_gas = np.array([bool(cap_m) for cap_m in most])[:, None]
        self.cap_m = np.array([cap_m or 0.0 for cap_m in most])[:, None]
        forms = 1 + max(len(row.pkas) for row in rows)
        self.lost = np.arange(forms, dtype=float)[:, None, None]
        self.charges = np.array([row.acid_charge for row in rows], dtype=float)[:, None] - self.lost
        # 10**-pKa for each step, corrected for the activity of the ions it joins.
        self.steps = np.zeros((forms - 1, len(rows), log_gamma.size))
        for i, row in enumerate(rows):
            for step, pka in enumerate(row.pkas):
                base = row.acid_charge - step - 1
                self.steps[step, i] = 10.0 ** -(pka + (base * base - (base + 1) ** 2) * log_gamma)

    def within(self, aqueous_ml: Array) -> _Buffers:
        """Say how much water there is; return the systems."""
        if self.keys:
            self.aqueous_ml, self.cap = aqueous_ml, self.cap_m * aqueous_ml
        return self

    def _weights(self, height: Array) -> Array:
        weights = np.ones((len(self.lost), *self.mmol.shape))
        for step in range(len(self.steps)):
            weights[step + 1] = weights[step] * self.steps[step] * height
        return weights

    def charge_and_slope(self, height: Array) -> tuple[Array, Array]:
        """Return the charge (draws,) in mmol and its slope by ln(``height``), all systems together."""
        weights = self._weights(height)
        whole, protons = np.add.reduce(weights), np.add.reduce(self.lost * weights)
        charged = self.charges * weights
        charge, both = np.add.reduce(charged), np.add.reduce(self.lost * charged)
        mean = charge / whole
        held, slope = self.mmol * mean, self.mmol * (both - mean * protons) / whole
        if self.gassy:
            # An acid above its solubility leaves: what stays then rises with the pH.
            full = self.is_gas & (self.mmol > self.cap * whole)
            held, slope = np.where(full, self.cap * charge, held), np.where(full, self.cap * both, slope)
        return np.add.reduce(held), np.add.reduce(slope)

    def gases(self, height: Array) -> tuple[dict[str, Array], dict[str, Array]]:
        """Return what leaves (mmol) of each system whose acid is a gas, and that acid in the water after it, mol/L."""
        if not self.keys or not self.gassy:
            return {}, {}
        whole = self._weights(height).sum(axis=0)
        lost = np.maximum(0.0, self.mmol - self.cap * whole)
        free_m = (self.mmol - lost) / whole / self.aqueous_ml
        return {self.keys[i]: lost[i] for i in self.gassy}, {self.keys[i]: free_m[i] for i in self.gassy}


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
            done = (np.abs(value) < 1e-10) | (high - low < 1e-14) | (np.abs(step) < SURE_PH)
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


def _easing(numbers: Sheet) -> Array:
    """Return the log-linear cosolvency slope of each species (``yalkowsky``; one line for all solvents)."""
    return np.array([0.0 if s.permanent_charge else cosolvency(s.molecule.smiles) for s in numbers.species])


def water_charge(numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: Array, strength: Array) -> Array:
    """Return the charge (mmol) in a water layer at ``ph`` of all but its strong ions; carbonate loses its gas."""
    log_gamma = water.davies_log_gamma(1, strength)
    charge = aqueous_ml * (water.hydrogen_m(ph, strength) - water.hydroxide_m(ph, strength))
    for row, sign, pka in zip(numbers.site_of, numbers.sign, numbers.pka, strict=True):
        odds = 10.0 ** np.clip(sign * (ph - pka) - log_gamma, -30, 30)
        charge = charge - sign * aqueous.mmol[row] * odds / (1.0 + odds)
    charge = charge + sum(s.permanent_charge * aqueous.mmol[i] for i, s in enumerate(numbers.species))
    buffers = _Buffers(aqueous, log_gamma).within(aqueous_ml)
    return charge + buffers.charge_and_slope(10.0**ph)[0] if buffers.keys else charge


def vent(numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: Array, strength: Array) -> Settled:
    """Let what is gas above its solubility leave an open water layer at ``ph``, in place."""
    log_gamma = water.davies_log_gamma(1, strength)
    height = 10.0**ph
    free_m = np.zeros_like(aqueous.mmol)
    escaped = np.zeros_like(aqueous.mmol)
    forms = _forms(numbers, log_gamma)
    most_free_m = _most_free_m(numbers, forms) if forms.rows.size else None
    if most_free_m is not None:
        odds = forms.odds(height)
        unionised = 1.0 / np.multiply.reduceat(1.0 + odds, forms.starts, axis=0)
        dissolved = aqueous.mmol[forms.rows] / aqueous_ml
        held = np.minimum(dissolved, most_free_m / np.maximum(unionised, 1e-300))
        escaped[forms.rows], free_m[forms.rows] = (dissolved - held) * aqueous_ml, held * unionised
        aqueous.mmol = aqueous.mmol - escaped
    lost, weak_free_m = _Buffers(aqueous, log_gamma).within(aqueous_ml).gases(height)
    for key, gone in lost.items():
        aqueous.weak_mmol[key] = aqueous.weak_mmol[key] - gone
    return Settled(ph, escaped, np.zeros_like(ph), escaped, free_m, lost, weak_free_m)
