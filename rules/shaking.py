"""Two layers shaken, for one draw: the same equilibrium as ``contact.py`` solves for many draws at once, on plain numbers.

The two go the same way to the same end (``tests/test_shaking.py`` holds them equal); here a number is a float, not an array,
which for one draw is ten times as fast and needs no numpy. What differs is only the order in which sums are made.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache

from washlore.knowledge import beside, water
from washlore.knowledge.arrays import plain
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Buffer, Gas, table
from washlore.rules.phase import LEAST_VOLUME_ML, Plain, cosolvency, salting_constant, saturate
from washlore.rules.species import Array, Sheet, Species
from washlore.rules.suppose import supposed

# A miscible solvent changes the volumes that decide its own share; this settles in a few rounds.
VOLUMES_TO = 2e-10
MOST_VOLUME_ROUNDS = 25
# What an ion binds depends on how much is free, and the other way round; this settles slowly where neither is in excess.
BOUND_TO = 1e-6
MOST_BINDING_ROUNDS = 200
# Powers of ten beyond this are no numbers any more; and no water holds more salt than this (mol/L, as sodium chloride).
LARGEST_POWER = 250.0
MOST_SALT_M = 20.0
MOST_ODDS = 1e100
LOWEST_PH, HIGHEST_PH = -3.0, 17.0
LN10 = math.log(10.0)
# Within this of the root the charge is taken for a straight line in pH; an exponential one is off by 1 / ln 10 everywhere.
STRAIGHT_PH = 0.3
# A step of Newton's method this short is the last one: what it misses the root by is about its square.
SURE_PH = 3e-7
# As much for one that is to settle to a ten-thousandth of the volumes, as where every solution is tried.
NEAR_PH, NEAR_VOLUMES = 1e-3, 1e-6


@dataclass
class Shaken:
    """What two layers came to, for one draw. ``share``, ``escaped`` (mmol) and ``free_m`` (mol/L) by species.

    ``pair_charge``: charge carried into the organic layer as ion pairs (mmol). ``lost`` (mmol) and ``weak_free_m`` (mol/L) by
    weak acid system whose acid is a gas. Volumes in mL with the miscible solvents that are in them; ``salt_m`` mol/L.
    """

    ph: float
    share: list[float]
    pair_charge: float
    escaped: list[float]
    free_m: list[float]
    lost: dict[str, float]
    weak_free_m: dict[str, float]
    organic_ml: float
    aqueous_ml: float
    salt_m: float


@dataclass(frozen=True)
class Settled:
    """A solved equilibrium. Arrays over draws; ``share`` and ``escaped`` (mmol) and ``free_m`` are (species, draws).

    ``pair_charge``: charge carried into the organic layer as ion pairs (mmol). ``free_m``: the neutral form in water that
    nothing holds, mol/L. ``lost`` (mmol) and ``weak_free_m`` (mol/L) by weak acid system whose acid is a gas.
    """

    ph: Array
    share: Array
    pair_charge: Array
    escaped: Array
    free_m: Array
    lost: dict[str, Array]
    weak_free_m: dict[str, Array]


def gas_of(item: Species) -> Gas | None:
    """Return the gas that a species is when neutral; the sites of an inorganic compound name it."""
    return beside.gases_by_compound().get(item.sites[0].site_class) if item.sites else None


_Forms = list[tuple[int, list[tuple[bool, float]], float | None]]


def forms(numbers: Sheet) -> _Forms:
    """Return each species that ionises with its sites (acid or not, 10**pKa or 10**-pKa), and what dissolves of a gas (mol/L)."""
    found: _Forms | None = numbers.prepared.get("forms")
    if found is None:
        sites: dict[int, list[tuple[bool, float]]] = {}
        for i, sign, pka in zip(plain(numbers.site_of), plain(numbers.sign), plain(numbers.pka), strict=True):
            sites.setdefault(int(i), []).append((sign > 0, 10.0 ** min(max(-sign * pka, -100.0), 100.0)))
        found = []
        for i, own in sorted(sites.items()):
            gas = gas_of(numbers.species[i])
            found.append((i, own, gas.henry_m_atm if gas and gas.henry_m_atm else None))
        numbers.prepared["forms"] = found
    return found


class Prepared:
    """The numbers of a sheet with one draw beside one organic solvent: what does not change from contact to contact."""

    def __init__(self, numbers: Sheet, solvents: tuple[tuple[str, float], ...]) -> None:
        neutral, pair = numbers.log_k(solvents)
        self.neutral, self.pair = plain(neutral), plain(pair)
        fixed = [bool(s.permanent_charge) for s in numbers.species]
        self.charge = [float(s.permanent_charge) for s in numbers.species]
        self.salting = [
            0.0 if ion else salting_constant(s.molecule.smiles) for s, ion in zip(numbers.species, fixed, strict=True)
        ]
        self.easing = [
            0.0 if ion else cosolvency(s.molecule.smiles) for s, ion in zip(numbers.species, fixed, strict=True)
        ]
        volumes = [s.molar_volume_ml for s in numbers.species]
        self.mixing = [(i, volume) for i, volume in enumerate(volumes) if volume]
        self.forms = forms(numbers)
        sites = {i for i, _, _ in self.forms}
        self.plain = [i for i in range(len(numbers.species)) if i not in sites]
        mixes = {i for i, _ in self.mixing}
        self.mixing_rows = (
            [i for i in self.plain if i in mixes],
            [place for place, (i, _, _) in enumerate(self.forms) if i in mixes],
        )
        most_sites = max((len(own) for _, own, _ in self.forms), default=1)
        self.most_odds = min(MOST_ODDS, 10.0 ** (LARGEST_POWER / most_sites))
        self.held = {
            key: mine
            for key in sorted(beside.holders())
            if (
                mine := [
                    (i, constants[key])
                    for i, s in enumerate(numbers.species)
                    if key in (constants := beside.held_by(s.molecule.smiles))
                ]
            )
        }


def prepared(numbers: Sheet, solvents: tuple[tuple[str, float], ...]) -> Prepared:
    """Return what is prepared of a sheet for a solvent, made once."""
    key = (solvents, supposed())
    found = numbers.prepared.get(key)
    if found is None:
        found = numbers.prepared[key] = Prepared(numbers, solvents)
    return found


@cache
def _system(key: str) -> tuple[int, tuple[float, ...], tuple[int, ...], float | None]:
    """Return a weak acid system: the charge of its acid end, 10**-pKa of its steps, the charges that correct them, gas."""
    row = table(Buffer)[key]
    gas = beside.gases_by_system().get(key)
    # What correction by activity each step takes: the charges squared of the base, less those of the acid.
    shifts = tuple((row.acid_charge - k - 1) ** 2 - (row.acid_charge - k) ** 2 for k in range(len(row.pkas)))
    most_m = water.CO2_CAP_M if key == "carbonate" else gas.henry_m_atm if gas else None
    return row.acid_charge, tuple(10.0**-pka for pka in row.pkas), shifts, most_m or None


def shake(
    numbers: Prepared,
    organic: Plain,
    aqueous: Plain,
    held_ph: float | None = None,
    volumes_to: float = VOLUMES_TO,
    guess: float | None = None,
) -> Shaken:
    """Shake two layers until they are at equilibrium; what they hold is updated in place, as far as it moves between them.

    The amounts of a phase are plain here: ``mmol`` a list, all else floats. See ``contact.equilibrate``, which also moves the
    ions and notes what came of it. ``guess`` is a pH to begin at, by default that of the wash.
    """
    mixing = numbers.mixing
    total = [one + two for one, two in zip(organic.mmol, aqueous.mmol, strict=True)]
    saturate(organic, aqueous)
    organic_base, aqueous_base = organic.volume_ml, aqueous.volume_ml
    carried = sum([volume * aqueous.mmol[i] for i, volume in mixing])
    organic_ml = max(organic_base + sum([volume * organic.mmol[i] for i, volume in mixing]), LEAST_VOLUME_ML)
    aqueous_ml = max(aqueous_base + carried, LEAST_VOLUME_ML)
    salt_m = min(aqueous.salt_mmol / max(aqueous_base, LEAST_VOLUME_ML), MOST_SALT_M)
    log_gamma = float(water.davies_log_gamma(1, min(water.MAX_IONIC_STRENGTH_M, salt_m)))
    held = [(key, rows) for key, rows in numbers.held.items() if key in aqueous.weak_mmol]
    contact = _Equilibrium(numbers, total, organic, aqueous, 10.0**log_gamma)
    bound = [0.0] * len(total) if held else None
    last: tuple[float, float] | None = None
    last_bound: list[tuple[float, float] | None] = [None] * len(total)
    ph = aqueous.ph if guess is None else guess
    sure_ph = NEAR_PH if volumes_to > NEAR_VOLUMES else SURE_PH
    if mixing and not held:
        # A start for the volumes: where the miscible solvents would be at the pH that is guessed.
        contact.at_volumes(organic_ml, aqueous_ml, salt_m, carried / aqueous_ml, bound)
        near = contact.spread(10.0 ** (ph if held_ph is None else held_ph), *numbers.mixing_rows)
        carried = sum([volume * total[i] * (1.0 - near[i]) for i, volume in mixing])
        whole = sum([volume * total[i] for i, volume in mixing])
        organic_ml = max(organic_base + whole - carried, LEAST_VOLUME_ML)
        aqueous_ml = max(aqueous_base + carried, LEAST_VOLUME_ML)
    for _ in range(MOST_BINDING_ROUNDS if held else MOST_VOLUME_ROUNDS if mixing else 1):
        contact.at_volumes(organic_ml, aqueous_ml, salt_m, carried / aqueous_ml, bound)
        ph = contact.root(ph, sure_ph) if held_ph is None else held_ph
        before, height = aqueous_ml, 10.0**ph
        rows, places = (numbers.plain, range(len(numbers.forms))) if held else numbers.mixing_rows
        found = contact.spread(height, rows, places)
        whole = into = 0.0
        for i, volume in mixing:
            there = volume * (total[i] - contact.escaped[i])
            whole += there
            into += there * (1.0 - found[i])
        organic_ml = max(organic_base + whole - into, LEAST_VOLUME_ML)
        aqueous_ml = max(aqueous_base + into, LEAST_VOLUME_ML)
        settled = abs(aqueous_ml - before) <= volumes_to * aqueous_ml
        if bound is not None:
            now = _bound(held, aqueous, aqueous_ml, contact.free_m)
            settled = settled and all(abs(n - b) <= BOUND_TO * (1.0 + n) for n, b in zip(now, bound, strict=True))
            for i, value in enumerate(now):
                bound[i], last_bound[i] = onward(bound[i], value - bound[i], last_bound[i], math.inf)
        if settled:
            break
        carried, last = onward(carried, into - carried, last, whole)
        organic_ml = max(organic_base + whole - carried, LEAST_VOLUME_ML)
        aqueous_ml = max(aqueous_base + carried, LEAST_VOLUME_ML)
    share = contact.spread(height, numbers.plain, range(len(numbers.forms)))
    there = [amount - gone for amount, gone in zip(total, contact.escaped, strict=True)]
    organic.mmol = [amount * part for amount, part in zip(there, share, strict=True)]
    aqueous.mmol = [amount * (1.0 - part) for amount, part in zip(there, share, strict=True)]
    lost, weak_free_m = _gases(contact.weak, height, contact.aqueous_ml)
    return Shaken(
        ph,
        share,
        contact.pair_charge,
        contact.escaped,
        contact.free_m,
        lost,
        weak_free_m,
        organic_ml,
        aqueous_ml,
        salt_m,
    )


class _Equilibrium:
    """One contact: what its charge balance hangs on, at volumes that are tried one after the other."""

    def __init__(self, numbers: Prepared, total: list[float], organic: Plain, aqueous: Plain, gamma: float) -> None:
        self.numbers, self.total, self.gamma = numbers, total, gamma
        self.water_ions = 10.0**-water.PKW / gamma
        # Whole charges in mmol that do not change with pH: strong ions and permanent ions, in both layers.
        self.constant = organic.strong_mmol + aqueous.strong_mmol
        self.constant += sum([charge * amount for charge, amount in zip(numbers.charge, total, strict=True) if charge])
        self.forms = [
            (i, [(acid, factor / gamma) for acid, factor in own], total[i], most) for i, own, most in numbers.forms
        ]
        self.weak = _weak(aqueous.weak_mmol, gamma)
        self.escaped = [0.0] * len(total)
        self.free_m = [0.0] * len(total)
        self.share = [0.0] * len(total)
        self.pair_charge = 0.0

    def at_volumes(
        self, organic_ml: float, aqueous_ml: float, salt_m: float, eased: float, bound: Sequence[float] | None
    ) -> None:
        """Set the volumes (mL), the salt, the share of miscible solvent in the water, and what ions hold by species."""
        numbers = self.numbers
        self.organic_ml, self.aqueous_ml, self.bound = organic_ml, aqueous_ml, bound
        self.eased, self.salt_m = eased, salt_m
        self.rows = []
        for i, sites, amount, most in self.forms:
            shift = numbers.salting[i] * salt_m - numbers.easing[i] * eased
            into_neutral = organic_ml * 10.0 ** (numbers.neutral[i] + shift)
            into_pair = organic_ml * 10.0 ** (numbers.pair[i] + shift)
            held = aqueous_ml * bound[i] if bound is not None else 0.0
            self.rows.append((sites, amount, into_neutral, into_pair, held, most))

    def root(self, guess: float, sure_ph: float) -> float:
        """Return the pH at which the charges balance, to 1e-10 mol/L or after a step shorter than ``sure_ph``."""
        aqueous_ml, constant, most_odds = self.aqueous_ml, self.constant, self.numbers.most_odds
        over_gamma, hydroxide_ml = aqueous_ml / self.gamma, aqueous_ml * self.water_ions
        weak = self.weak
        # Most species have one site and are no gas.
        single = [
            (*sites[0], n, into + held, pair)
            for sites, n, into, pair, held, most in self.rows
            if len(sites) == 1 and most is None
        ]
        rows = [row for row in self.rows if len(row[0]) > 1 or row[5] is not None]

        def imbalance(ph: float) -> tuple[float, float]:
            height = 10.0**ph
            proton, hydroxide = over_gamma / height, hydroxide_ml * height
            charge, slope = constant + proton - hydroxide, -proton - hydroxide
            for acid, factor, amount, into, into_pair in single:
                odds = factor * height if acid else factor / height
                if odds > most_odds:
                    odds = most_odds
                unionised = 1.0 / (1.0 + odds)
                ionised = odds * unionised
                in_pairs = ionised * into_pair
                stays = unionised * into + in_pairs
                volume = aqueous_ml + stays
                charged = amount / volume * (in_pairs + aqueous_ml * ionised)
                charge += -charged if acid else charged
                slope += charged * ((in_pairs - ionised * stays) / volume - unionised)
            for sites, amount, into_neutral, into_pair, held, most in rows:
                unionised, total_odds, signed, wet, curved = 1.0, 0.0, 0.0, 0.0, 0.0
                for acid, factor in sites:
                    odds = factor * height if acid else factor / height
                    if odds > most_odds:
                        odds = most_odds
                    left = 1.0 / (1.0 + odds)
                    ionised = odds * left
                    unionised *= left
                    total_odds += odds
                    curved += ionised * left
                    if acid:
                        signed += odds
                        wet += ionised
                    else:
                        signed -= odds
                        wet -= ionised
                stays = unionised * (into_neutral + total_odds * into_pair + held)
                volume = aqueous_ml + stays
                moles = amount / volume
                in_pairs = unionised * into_pair
                charged = in_pairs * signed + aqueous_ml * wet
                if most is not None and moles * unionised > most:
                    moles = most / max(unionised, 1e-300)
                    slope -= moles * wet * charged
                else:
                    slope += moles * (in_pairs * signed - wet * stays) / volume * charged
                charge -= moles * charged
                slope -= moles * (in_pairs * (total_odds - wet * signed) + aqueous_ml * curved)
            if weak:
                more, steeper = _weak_charge(weak, aqueous_ml, height)
                charge, slope = charge + more, slope + steeper
            return charge / aqueous_ml, LN10 * slope / aqueous_ml

        return root(imbalance, guess, sure_ph)

    def spread(self, height: float, rows: Sequence[int], forms: Sequence[int]) -> list[float]:
        """Return the share (by species) in the organic layer at ``height`` = 10**pH.

        Of what does not ionise only the ``rows`` are worked out, of what does the ``forms``, by their place. What leaves as gas,
        what is free in the water and the charge of ion pairs are noted.
        """
        numbers, total, bound = self.numbers, self.total, self.bound
        organic_ml, aqueous_ml, most_odds = self.organic_ml, self.aqueous_ml, numbers.most_odds
        share, pairs = self.share, 0.0
        for i in rows:
            shift = numbers.salting[i] * self.salt_m - numbers.easing[i] * self.eased
            room = aqueous_ml if bound is None else aqueous_ml * (1.0 + bound[i])
            fixed = organic_ml * 10.0 ** ((numbers.pair[i] if numbers.charge[i] else numbers.neutral[i]) + shift) / room
            share[i] = fixed / (1.0 + fixed)
            pairs += numbers.charge[i] * total[i] * share[i]
            self.free_m[i] = total[i] * (1.0 - share[i]) / room
        for place in forms:
            i = self.forms[place][0]
            sites, amount, into_neutral, into_pair, held, most = self.rows[place]
            unionised, total_odds, signed = 1.0, 0.0, 0.0
            for acid, factor in sites:
                odds = factor * height if acid else factor / height
                if odds > most_odds:
                    odds = most_odds
                unionised /= 1.0 + odds
                total_odds += odds
                signed += odds if acid else -odds
            in_organic = unionised * (into_neutral + total_odds * into_pair)
            everywhere = aqueous_ml + in_organic + held * unionised
            moles = amount / everywhere
            if most is not None and moles * unionised > most:
                moles = most / max(unionised, 1e-300)
                self.escaped[i] = max(0.0, amount - everywhere * moles)
            elif most is not None:
                self.escaped[i] = 0.0
            share[i] = in_organic / everywhere
            self.free_m[i] = moles * unionised
            pairs -= moles * unionised * signed * into_pair
        self.pair_charge = pairs
        return share


# The weak acid systems of a water layer: key, mmol, charge of the acid end, 10**-pKa of its steps, mol/L that dissolve of a gas.
_Weak = list[tuple[str, float, int, list[float], float | None]]


def _weak(weak_mmol: Mapping[str, float], gamma: float) -> _Weak:
    ions = beside.holders()
    found = []
    for key, mmol in weak_mmol.items():
        if key not in ions:
            charge, steps, shifts, most_m = _system(key)
            corrected = [step * gamma**-shift for step, shift in zip(steps, shifts, strict=True)]
            found.append((key, mmol, charge, corrected, most_m))
    return found


def _weak_charge(weak: _Weak, aqueous_ml: float, height: float) -> tuple[float, float]:
    """Return the charge (mmol) of weak acid systems at ``height`` = 10**pH, and its slope by ln(``height``)."""
    charge = slope = 0.0
    for _, mmol, ends, steps, most_m in weak:
        weight, whole, protons, charges, both = 1.0, 1.0, 0.0, float(ends), 0.0
        for lost, step in enumerate(steps, start=1):
            weight *= step * height
            whole += weight
            protons += lost * weight
            charges += (ends - lost) * weight
            both += lost * (ends - lost) * weight
        cap = most_m * aqueous_ml if most_m is not None else 0.0
        if cap and mmol > cap * whole:
            # An acid above its solubility leaves: what stays then rises with the pH.
            charge += cap * charges
            slope += cap * both
        else:
            mean = charges / whole
            charge += mmol * mean
            slope += mmol * (both - mean * protons) / whole
    return charge, slope


def _gases(weak: _Weak, height: float, aqueous_ml: float) -> tuple[dict[str, float], dict[str, float]]:
    """Return what leaves (mmol) of each system whose acid is a gas, and that acid in the water after it, mol/L."""
    lost: dict[str, float] = {}
    free_m: dict[str, float] = {}
    for key, mmol, _, steps, most_m in weak:
        if most_m is None:
            continue
        cap = most_m * aqueous_ml
        weight = whole = 1.0
        for step in steps:
            weight *= step * height
            whole += weight
        lost[key] = max(0.0, mmol - cap * whole)
        free_m[key] = (mmol - lost[key]) / whole / aqueous_ml
    return lost, free_m


def water_charge(numbers: Sheet, aqueous: Plain, ph: float, aqueous_ml: float, strength: float) -> float:
    """Return the charge (mmol) in a plain water layer at ``ph`` of all but its strong ions; carbonate loses its gas."""
    log_gamma = float(water.davies_log_gamma(1, strength))
    charge = aqueous_ml * float(water.hydrogen_m(ph, strength) - water.hydroxide_m(ph, strength))
    for i, sign, pka in zip(numbers.site_of, numbers.sign, numbers.pka[:, 0], strict=True):
        odds = 10.0 ** min(max(sign * (ph - pka) - log_gamma, -30.0), 30.0)
        charge -= sign * aqueous.mmol[i] * odds / (1.0 + odds)
    charge += sum([s.permanent_charge * aqueous.mmol[i] for i, s in enumerate(numbers.species) if s.permanent_charge])
    return charge + _weak_charge(_weak(aqueous.weak_mmol, 10.0**log_gamma), aqueous_ml, 10.0**ph)[0]


def vent(numbers: Sheet, aqueous: Plain, ph: float, aqueous_ml: float, strength: float) -> Shaken:
    """Let what is gas above its solubility leave a plain open water layer at ``ph``, in place; return what left and stays."""
    gamma, height = 10.0 ** float(water.davies_log_gamma(1, strength)), 10.0**ph
    escaped, free_m = [0.0] * len(aqueous.mmol), [0.0] * len(aqueous.mmol)
    if any(most is not None for _, _, most in forms(numbers)):
        for i, sites, most in forms(numbers):
            unionised = 1.0
            for acid, factor in sites:
                odds = factor / gamma * height if acid else factor / gamma / height
                unionised /= 1.0 + min(odds, MOST_ODDS)
            dissolved = aqueous.mmol[i] / aqueous_ml
            held = dissolved if most is None else min(dissolved, most / max(unionised, 1e-300))
            escaped[i], free_m[i] = (dissolved - held) * aqueous_ml, held * unionised
            aqueous.mmol[i] -= escaped[i]
    lost, weak_free_m = _gases(_weak(aqueous.weak_mmol, gamma), height, aqueous_ml)
    for key, gone in lost.items():
        aqueous.weak_mmol[key] -= gone
    return Shaken(ph, escaped, 0.0, escaped, free_m, lost, weak_free_m, 0.0, aqueous_ml, 0.0)


def root(function: Callable[[float], tuple[float, float]], guess: float, sure_ph: float = SURE_PH) -> float:
    """Return where a falling function of pH crosses zero, to 1e-10 in the function, by Newton's method.

    A step shorter than ``sure_ph`` is the last one.
    ``function`` returns value and slope. Bracketed, and halved where a step leaves the bracket or gains too little, so that it
    always arrives.
    """
    low, high = LOWEST_PH, HIGHEST_PH
    ph = min(max(guess, LOWEST_PH + 1e-6), HIGHEST_PH - 1e-6)
    last = before = high - low
    was_above = True
    for _ in range(120):
        value, slope = function(ph)
        step = -value / slope if slope else math.inf
        if abs(step) >= STRAIGHT_PH and slope:
            # Far off, where the charge falls tenfold with each pH, its logarithm is the straight line.
            step = -math.asinh(1e3 * value) * math.sqrt(1e-6 + value * value) / slope
        above = value > 0
        if above:
            low = ph
        else:
            high = ph
        next_ph = ph + step
        inside = low < next_ph < high
        if abs(value) < 1e-10 or high - low < 1e-14 or abs(step) < sure_ph:
            return next_ph if inside else ph
        # From one side it may take its time; from side to side it must gain, or it would go to and fro.
        gains = abs(step) < (1.5 if above is was_above else 0.5) * before
        following = next_ph if inside and gains else 0.5 * (low + high)
        before, last, was_above = last, abs(following - ph), above
        ph = following
    return ph


def onward(
    tried: float, change: float, last: tuple[float, float] | None, most: float
) -> tuple[float, tuple[float, float]]:
    """Return what to try next for a quantity that came out changed, and this try.

    It is where the line through the last two tries says that nothing changes, or plainly what came out where the line helps
    little or leaves the range from none to ``most``.
    """
    if last is not None and abs(change) < abs(last[1]) and tried != last[0]:
        slope = (change - last[1]) / (tried - last[0])
        if -3.0 < slope < -0.1:
            line = tried - change / slope
            if 0.0 < line < most:
                return line, (tried, change)
    return tried + change, (tried, change)


def _bound(
    held: Sequence[tuple[str, Sequence[tuple[int, tuple[float, ...]]]]],
    aqueous: Plain,
    aqueous_ml: float,
    free_m: Sequence[float],
) -> list[float]:
    """Return how much of each species ions hold in the water, as a multiple of its free neutral form."""
    result = [0.0] * len(free_m)
    for key, rows in held:
        whole, per_free = 1.0, {}
        for i, log_betas in rows:
            free = free_m[i]
            terms = [10.0**log_beta * free**n for n, log_beta in enumerate(log_betas)]
            whole += sum(free * t for t in terms)
            per_free[i] = sum((n + 1) * t for n, t in enumerate(terms))
        for i, value in per_free.items():
            result[i] += aqueous.weak_mmol[key] / aqueous_ml * value / whole
    return result
